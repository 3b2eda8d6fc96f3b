"""The reader of typed text: what it reads, what it asks about, what it refuses.

The expected factors come from a registry that is not ours: pint's own definitions, which follow the SI
Brochure and NIST Special Publication 811. The rest is the arithmetic written beside each case.
"""

import math
import re
import subprocess
import sys

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import data, units, units_text
from calcs.units import KINDS, Unreadable, convert, quantity, read, read_as

ELSEWHERE = pint.UnitRegistry()  # its own definitions, not ours
SENSED = "pressure with sense"
SPACES = " \u00a0\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000"


def si(kind, text, unit=None):
    return read(kind, text, unit).si


def refusal(kind, text, unit=None):
    with pytest.raises(Unreadable) as caught:
        read(kind, text, unit)
    return caught.value


# ---------------------------------------------------------------- units against another registry

SYMBOLS_ELSEWHERE = {  # our symbol: the other registry's text, where it is not its name there
    "torr": "torr",
    "mTorr": "millitorr",
    "inHg": "inch_Hg",
    "mmHg": "millimeter_Hg",
    "cmHg": "centimeter_Hg",
    "µmHg": "(millimeter_Hg/1000)",
    "inH2O": "(2.54*centimeter_H2O)",
    "mmH2O": "(centimeter_H2O/10)",
    "cmH2O": "centimeter_H2O",
    "kgf": "kilogram_force",
    "lbf": "pound_force",
    "h": "hour",
    "d": "day",
    "min": "minute",
    "in": "inch",
    "ft": "foot",
    "lb": "pound",
    "L": "liter",
    "mL": "milliliter",
    "µL": "microliter",
    "g": "gram",
    "%": "percent",
    "ppb": "1e-9",
    "1e-6": "1e-6",
    "°C": "delta_degC",
    "°F": "delta_degF",
    "cP": "centipoise",
    "P": "poise",
    "sccm": "(centimeter**3/minute)",
    "slm": "(liter/minute)",
    "scfh": "(foot**3/hour)",
    "scfm": "(foot**3/minute)",
    "kWh": "kilowatt_hour",
    "Wh": "watt_hour",
    "cal": "calorie",
    "kcal": "kilocalorie",
}
UNITS = [(kind.name, unit.name) for kind in KINDS.values() for unit in kind.units + kind.extra]
SCALES = ("temperature", "dew point")


def elsewhere(name):
    """Return one of a unit in the other registry, put together from its symbols."""
    total = ELSEWHERE.Quantity(1.0)
    for place, part in enumerate(name.split("/")):
        for symbol in part.split(" "):
            spelling, power = symbol, 1
            if symbol not in SYMBOLS_ELSEWHERE and symbol[-1] in "23":
                spelling, power = symbol[:-1], int(symbol[-1])
            factor = ELSEWHERE.Quantity(SYMBOLS_ELSEWHERE.get(spelling, spelling)) ** power
            total = total * factor if place == 0 else total / factor
    return total


@pytest.mark.parametrize(("kind", "name"), [pair for pair in UNITS if pair[0] not in SCALES])
def test_factor_is_that_of_another_registry(kind, name):
    expected = elsewhere(name).to(KINDS[kind].si).magnitude

    assert units.to_si(kind, 1.0, name) == pytest.approx(expected, rel=1e-9)
    assert read(kind, "1", name).quantity.to(KINDS[kind].si).magnitude == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("kind", SCALES)
@pytest.mark.parametrize(("name", "there"), [("°C", "degree_Celsius"), ("K", "kelvin"), ("°F", "degree_Fahrenheit")])
@pytest.mark.parametrize("number", [0.0, 20.0, 1832.0])
def test_temperature_scale_is_that_of_another_registry(kind, name, there, number):
    expected = ELSEWHERE.Quantity(number, there).to("kelvin").magnitude

    assert units.to_si(kind, number, name) == pytest.approx(expected, rel=1e-12)
    assert units.from_si(expected, units.unit_of(kind, name)) == pytest.approx(number, abs=1e-9)


NOT_THERE = {  # names that the other registry lacks: what they are, in its words
    "mercury": "inch_Hg/inch",
    "water": "centimeter_H2O/centimeter",
    "micron_Hg": "millimeter_Hg/1000",
    "ppb": "1e-9",
}


def step(registry, quantity):
    """Return how much one more of a unit is in base units, whatever its zero."""
    none = registry.Quantity(0.0, quantity.units)
    return quantity.to_base_units().magnitude - none.to_base_units().magnitude


@pytest.mark.parametrize("name", sorted(units.ureg))
def test_registry_file_agrees_with_another_registry(name):
    """The size of each unit and its dimension; the zeros of the two scales are compared below."""
    there = ELSEWHERE.Quantity(NOT_THERE[name]) if name in NOT_THERE else ELSEWHERE.Quantity(1.0, name)
    here = units.Quantity(1.0, name)

    assert step(units.ureg, here) == pytest.approx(step(ELSEWHERE, there), rel=1e-9)
    assert dict(here.dimensionality) == dict(there.dimensionality)


@pytest.mark.parametrize("name", ["degree_Celsius", "degree_Fahrenheit"])
def test_registry_scale_zero_agrees_with_another_registry(name):
    assert units.Quantity(0.0, name).to("kelvin").magnitude == pytest.approx(
        ELSEWHERE.Quantity(0.0, name).to("kelvin").magnitude, rel=1e-12
    )


MENUS = {
    "absolute pressure": "Pa, mbar, kPa, bar, torr, mTorr, inHg, psi, atm",
    "pressure with sense": "Pa, mbar, kPa, bar, torr, mTorr, inHg, psi",
    "gauge pressure": "Pa, mbar, kPa, bar, torr, inH2O, psi",
    "pressure difference": "Pa, mbar, torr, psi",
    "temperature": "°C, K, °F",
    "temperature difference": "K, °F",
    "ramp rate": "K/min, K/h, K/s, °F/min, °F/h",
    "time": "s, min, h, d",
    "volume": "L, m3, cm3, ft3",
    "length": "mm, m, cm, in, ft",
    "area": "m2, cm2, mm2, in2",
    "mass": "kg, g, mg, lb",
    "standard flow": "L/min, mL/min, m3/h, ft3/h",
    "actual flow": "L/min, m3/h, L/s, ft3/min",
    "molar flow": "mol/s, mmol/min",
    "amount": "mol, mmol",
    "throughput": "Pa m3/s, mbar L/s, torr L/s, atm cm3/s",
    "conductance": "m3/h, L/s, m3/s, L/min, ft3/min",
    "mole fraction": "ppm, ppb, %, 1",
    "dew point": "°C, K, °F",
    "power": "W, kW",
    "energy": "J, kJ, kWh",
    "number": "1, %",
    "mass rate": "g/h, g/min, kg/h",
    "mass flux": "g/m2/h, g/cm2/s",
    "mass concentration": "mg/m3, g/m3",
    "force": "N, kN",
    "voltage": "mV, µV",
    "density": "kg/m3, g/cm3",
    "specific heat": "J/kg/K, kJ/kg/K",
    "thermal conductivity": "W/m/K",
    "heat-transfer coefficient": "W/m2/K",
    "heat capacity": "J/K, kJ/K",
    "thermal conductance": "W/K",
    "diffusivity": "m2/s, mm2/s, cm2/s",
    "velocity": "m/s, mm/s",
    "viscosity": "Pa s, µPa s",
    "stress": "MPa, GPa",
    "expansion coefficient": "1e-6/K, 1/K",
    "molar energy": "kJ/mol, kcal/mol",
    "outgassing per area": "Pa m/s, mbar L/s/cm2",
    "outgassing coefficient": "Pa m3, mbar L",
    "number density": "1/m3, 1/cm3",
    "process gain": "K/%",
    "controller gain": "%/K",
    "sensitivity": "µV/K",
}


@pytest.mark.parametrize("kind", sorted(MENUS))
def test_menu_is_the_one_agreed(kind):
    assert [unit.name for unit in KINDS[kind].units] == MENUS[kind].split(", ")


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_menu_holds_at_most_nine_units(kind):
    assert 1 <= len(KINDS[kind].units) <= 9


# ---------------------------------------------------------------- the table of typed texts


@pytest.mark.parametrize(
    ("kind", "text", "expected"),
    [
        (SENSED, "1,5 mbar", 150.0),
        (SENSED, "1 000 Pa", 1000.0),
        (SENSED, "−5 Pa", -5.0),
        (SENSED, "10 pa", 10.0),
        (SENSED, "10 PA", 10.0),
        (SENSED, "30 Torr", 30 * 101325 / 760),
        (SENSED, "10 mTorr", 0.01 * 101325 / 760),
        (SENSED, "1 barg", 1e5),
        (SENSED, "1 psig", 6894.757293168361),
        (SENSED, "10 micron", 1.33322387415),
        ("standard flow", "5 sccm", 5e-6 / 60),
        ("standard flow", "5 slpm", 5e-3 / 60),
        ("temperature", "10 C", 283.15),
        ("temperature", "10 F", (10 + 459.67) * 5 / 9),
        ("temperature", "20 degC", 293.15),
        ("ramp rate", "5 C/min", 5 / 60),
        ("actual flow", "1 cfm", 0.3048**3 / 60),
        ("time", "1:30", 5400.0),
        ("time", "5 h 30 min", 19800.0),
        (SENSED, "1.3e-1 mbar", 13.0),
        ("absolute pressure", "0.1 torr", 13.332236842105263),
        ("absolute pressure", "13 Pa", 13.0),
        ("volume", "0.02 m³", 0.02),
        ("standard flow", "4 cfh", 4 * 0.3048**3 / 3600),
        ("gauge pressure", "3 inH2O gauge", 3 * 0.0254 * 9806.65),
        ("temperature", "1832 F", 1273.15),
        ("temperature", "٢٠ °C", 293.15),
        ("temperature", "６００ ℃", 873.15),
        ("volume", "1×10⁻³ m³", 1e-3),
        ("volume", "10^-3 m3", 1e-3),
    ],
)
def test_reads(kind, text, expected):
    assert si(kind, text) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("kind", "text", "said", "options"),
    [
        (SENSED, "1.000,5 Pa", "Write 1000.5 or 1000,5", ("1000.5 Pa",)),
        (SENSED, "1 MPA", "is mPa or MPa meant?", ("1 mPa", "1 MPa")),
        (SENSED, "1 MBAR", "is mbar meant?", ("1 mbar",)),
        (SENSED, "10 mT", "is mTorr meant?", ("10 mTorr",)),
        (SENSED, "1 mm", "is mmHg or mmH₂O meant?", ("1 mmHg", "1 mmH2O")),
        (SENSED, "1,500 Pa", "could mean 1500 or 1.500", ("1500 Pa", "1.5 Pa")),
        (SENSED, "1:30", "hours:minutes", ()),
        ("volume", "1:30", "hours:minutes", ()),
        (SENSED, "nan Pa", "is not a number", ()),
        (SENSED, "inf Pa", "is not a number", ()),
        (SENSED, "1e999 Pa", "too large", ()),
        (SENSED, "9**9**9 Pa", "is not one number", ()),
        (SENSED, "2*3 mbar", "is not one number", ()),
        (SENSED, "1 Pa; 2 Pa", "is not one number", ()),
        (SENSED, "Pa", "Enter the pressure", ()),
        ("volume", "two buckets", "“two buckets” is not a number with a unit", ()),
        ("volume", "12..5 L", "more than one point", ()),
        ("volume", "5 bananas", "“bananas” is not a unit", ()),
        ("volume", "🪣", "is not a number with a unit", ()),
        ("volume", "5 🪣", "is not one number with one unit", ()),
        ("volume", "   ", "nothing is typed", ()),
        ("volume", "", "nothing is typed", ()),
        ("volume", "1e999 L", "too large", ()),
        ("temperature", "-40 K", "below absolute zero", ()),
        ("standard flow", "3 inH2O", "is a unit of pressure; this field takes a standard flow", ()),
        ("standard flow", "5 L", "“L” is a unit of volume", ()),
        ("standard flow", "5 ML/MIN", "is mL/min meant?", ("5 mL/min",)),
        ("length", "5 MM", "is mm meant?", ("5 mm",)),
        ("stress", "5 mPa", "is MPa meant?", ("5 MPa",)),
        ("length", "5 ft 3 in", "is not one number with one unit", ()),
        (SENSED, "10", "“10” needs a unit, and abs or gauge. Type them after the number, such as 10 mbar abs", ()),
        (SENSED, "10 gauge", "“10 gauge” needs a unit. Type it after the number, such as 10 Pa gauge", ()),
        ("volume", "4x5x3", "is length, width and height", ("60 m3",)),
        ("volume", "4 × 5 × 3 m", "is length, width and height", ("60 m3",)),
        ("volume", "30 cm x 25 cm x 32 cm", "is length, width and height", ("24000 cm3",)),
        ("volume", "4 m x 5 m x 90 in", "multiply them in one unit", ()),
        ("volume", "4x5", "is not a unit that this field reads", ()),
        ("temperature", "٢٠", "needs a unit", ()),
    ],
)
def test_refuses_and_says_why(kind, text, said, options):
    trouble = refusal(kind, text)

    assert said in str(trouble)
    assert trouble.options == options


@pytest.mark.parametrize(
    ("kind", "text", "sense"),
    [
        (SENSED, "28 inHg vacuum", "below"),
        (SENSED, "30 torr", None),
        (SENSED, "30 Torr gauge", "gauge"),
        (SENSED, "5 bar g", "gauge"),
        (SENSED, "5 bar(g)", "gauge"),
        (SENSED, "5 BARG", "gauge"),
        (SENSED, "5 mbarg", "gauge"),
        (SENSED, "5 bara", "absolute"),
        (SENSED, "5 psia", "absolute"),
        (SENSED, "5 mbar a", "absolute"),
        (SENSED, "5 mbar (abs)", "absolute"),
        (SENSED, "5 mbar absolute", "absolute"),
        (SENSED, "5 mbar above the room", "gauge"),
        (SENSED, "5 mbar above ambient", "gauge"),
        (SENSED, "5 mbar below the room", "below"),
        (SENSED, "5 mbar below ambient", "below"),
        (SENSED, "28.9 inHg below", "below"),
        (SENSED, "-0.2 bar gauge", "gauge"),
        ("absolute pressure", "995 mbar", "absolute"),
        ("absolute pressure", "10 mbar gauge", "gauge"),
        ("gauge pressure", "10 mbar", "gauge"),
        ("gauge pressure", "1005 mbar abs", "absolute"),
        ("pressure difference", "3 mbar", None),
        ("volume", "3 L", None),
    ],
)
def test_sense_of_a_pressure(kind, text, sense):
    assert read(kind, text).sense == sense


def test_a_value_below_the_room_is_a_positive_number():
    assert read(SENSED, "28 inHg vacuum").number == 28.0
    assert refusal(SENSED, "-28 inHg vacuum").options == ("28 inHg below the room",)


def test_vacuum_outside_the_inches_of_mercury_is_asked_about():
    assert refusal(SENSED, "0.1 mbar vacuum").options == ("0.1 mbar abs", "0.1 mbar below the room")


def test_an_offered_text_keeps_the_sense():
    assert refusal(SENSED, "5 MBARG").options == ("5 mbar gauge",)
    assert refusal(SENSED, "1,500 Pa abs").options == ("1500 Pa abs", "1.5 Pa abs")


def test_two_senses_are_refused():
    assert "two senses" in str(refusal(SENSED, "5 barg abs"))


def test_a_difference_of_pressure_has_no_sense():
    assert refusal("pressure difference", "3 mbar gauge").options == ("3 mbar",)


# ---------------------------------------------------------------- numbers


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("5", 5),
        ("5.", 5),
        (".5", 0.5),
        (",5", 0.5),
        ("+5", 5),
        ("- 5", -5),
        ("–5", -5),
        ("0,500", 0.5),
        ("0.500", 0.5),
        ("1.500", 1.5),
        ("12 345", 12345),
        ("1 234 567,5", 1234567.5),
        ("1 234,500", 1234.5),
        ("0.000 123", 0.000123),
        ("1e-3", 1e-3),
        ("1E-3", 1e-3),
        ("1x10^-3", 1e-3),
        ("1 x 10^-3", 1e-3),
        ("1,5×10⁻³", 1.5e-3),
        ("1.5·10⁻³", 1.5e-3),
        ("10^-3", 1e-3),
        ("10⁻³", 1e-3),
        ("-10⁶", -1e6),
        ("１２．５", 12.5),
        ("١٢", 12),
        ("𝟏𝟐", 12),
        ("0", 0),
        ("-0", 0),
        ("0e999", 0),
        ("007", 7),
    ],
)
def test_number_is_read(text, number):
    assert si("volume", f"{text} m3") == pytest.approx(number, rel=1e-15)
    assert si("volume", text, "m3") == pytest.approx(number, rel=1e-15)


@pytest.mark.parametrize("space", SPACES)
def test_groups_of_three_take_any_space(space):
    assert si("volume", f"12{space}000{space}m3") == 12000


REFUSED_NUMBERS = """
5-10 --5 ~5 <5 5e 5e+ e5 1e5.5 1e5,5 0x10 1_000 5/3 5^2 2.10^-3 110^-3 (5) five 5j 1e-3^2 1,2,3
1.2.3 1,2.3 5, . , - + e ' 1'00 =5 5= $5 5; 5: None NaN Infinity -inf 1e9999 1e-9999 1e-320 True
1:2 0b1 [5]
""".split()
REFUSED_NUMBERS += [
    "1  000", "1\t000", "1 00", "1 0000", "1000 000", "0 500", "5 5", "1 2 3", "1e3 000", "5 - 10", "±5",
    "5 + 3", "5 10^-3", "½", "Ⅴ", "五", "5\u200b0", "5\x00", "5\n6", "\ud800",
]  # fmt: skip


@pytest.mark.parametrize("text", REFUSED_NUMBERS)
@pytest.mark.parametrize("kind", ["volume", "time", SENSED, "standard flow", "temperature", "mole fraction"])
def test_number_is_refused(kind, text):
    unit = KINDS[kind].units[0].name
    with pytest.raises(Unreadable):
        read(kind, text, unit)


@pytest.mark.parametrize(
    ("text", "options"),
    [
        ("1,000,000 m3", ("1000000 m3",)),
        ("1.000.000 m3", ("1000000 m3",)),
        ("1'000 m3", ("1000 m3",)),
        ("1’000,5 m3", ("1000.5 m3",)),
        ("1,000.5 m3", ("1000.5 m3",)),
        ("-1,500e3 m3", ("-1500e3 m3", "-1.5e3 m3")),
        ("1234,500 m3", ("1234500 m3", "1234.5 m3")),
        ("1,500 buckets", ()),
        ("1,00,000 m3", ()),
    ],
)
def test_doubtful_marks_are_offered_without_the_doubt(text, options):
    assert refusal("volume", text).options == options


def test_a_comma_is_noted():
    assert read("volume", "1,5 L").notes == ("comma read as decimal mark",)


@pytest.mark.parametrize("text", ["1e-307 mPa", "1e308 MPa"])
def test_refuses_what_overflows_on_the_way_to_si(text):
    refusal("absolute pressure", text)


@pytest.mark.parametrize("text", ["9" * 201, "5 " + "Pa " * 90, "5 " + "pa " * 60, "1 " * 100, "(" * 200, "5 L " * 50])
def test_long_texts_are_refused(text):
    refusal("absolute pressure", text)


def test_only_a_text_of_ordinary_length_is_looked_at():
    assert si("volume", "0" * 195 + "5 L") == pytest.approx(0.005)
    assert "characters" in str(refusal("volume", "0" * 200 + "5 L"))


def test_a_unit_of_many_symbols_is_not_tried_in_every_case():
    # Each of these could be two symbols; forty of them would be 2⁴⁰ units to look up.
    assert units_text.factors_of("mpa " * 40) is None
    assert len(units_text.factors_of("mpa " * units_text.MOST_FACTORS)) == units_text.MOST_FACTORS


@pytest.mark.parametrize(
    "text",
    [
        "<img src=x onerror=alert(1)>", '"><script>', "__import__('os')", "javascript:", "5 <b>L</b>",
        "5 L'--", "${7*7}", "{{5}} L", "%s", "5 %n", "5 L\u202e", "5 L ; rm", "x" * 20000,
    ],
)  # fmt: skip
@pytest.mark.parametrize("kind", sorted(KINDS))
def test_injected_text_is_refused(kind, text):
    trouble = refusal(kind, text, KINDS[kind].units[0].name)

    assert len(str(trouble)) < 300
    assert str(trouble).isprintable()


# ---------------------------------------------------------------- units as labs write them


@pytest.mark.parametrize(
    ("kind", "text", "name"),
    [
        ("volume", "5 litres", "L"),
        ("volume", "5 l", "L"),
        ("volume", "5 m^3", "m3"),
        ("volume", "5 M3", "m3"),
        ("volume", "5 cc", "cm3"),
        ("volume", "5 cubic feet", "ft3"),
        ("volume", "5 cu. ft.", "ft3"),
        ("standard flow", "5 l/min", "L/min"),
        ("standard flow", "5 litres per minute", "L/min"),
        ("standard flow", "5 L·min⁻¹", "L/min"),
        ("standard flow", "5 Nm³/h", "m3/h"),
        ("standard flow", "5 std cc/min", "cm3/min"),
        ("standard flow", "5 SCCM", "sccm"),
        ("standard flow", "5 slm", "slm"),
        ("standard flow", "5 ln/min", "L/min"),
        ("standard flow", "5 mln/min", "mL/min"),
        ("standard flow", "5 lpm", "L/min"),
        ("actual flow", "5 L/min actual", "L/min"),
        ("actual flow", "5 acfm", "ft3/min"),
        ("temperature", "5 ℃", "°C"),
        ("temperature", "5 deg C", "°C"),
        ("temperature", "5 deg. C", "°C"),
        ("temperature", "5 degrees Celsius", "°C"),
        ("temperature", "5 c", "°C"),
        ("temperature", "5 k", "K"),
        ("temperature", "5 \u212a", "K"),
        ("temperature", "5 °F", "°F"),
        ("ramp rate", "5 K min⁻¹", "K/min"),
        ("ramp rate", "5 K/h", "K/h"),
        ("ramp rate", "5 F/min", "°F/min"),
        ("ramp rate", "5 °C per minute", "°C/min"),
        ("throughput", "5 mbar·l/s", "mbar L/s"),
        ("throughput", "5 mbar.L/s", "mbar L/s"),
        ("throughput", "5 mbar*L/s", "mbar L/s"),
        ("throughput", "5 L mbar s^-1", "mbar L/s"),
        ("throughput", "5 Pa·m³/s", "Pa m3/s"),
        ("throughput", "5 atm cc/s", "atm cm3/s"),
        ("throughput", "5 atm.cc/sec", "atm cm3/s"),
        ("conductance", "5 CFM", "ft3/min"),
        ("conductance", "5 cubic metres per hour", "m3/h"),
        ("thermal conductivity", "5 W/(m K)", "W/m/K"),
        ("thermal conductivity", "5 W m⁻¹ K⁻¹", "W/m/K"),
        ("specific heat", "5 J/kg/°C", "J/kg/K"),
        ("specific heat", "5 J kg^-1 K^-1", "J/kg/K"),
        ("outgassing per area", "5 mbar l s⁻¹ cm⁻²", "mbar L/s/cm2"),
        ("number density", "5 cm⁻³", "1/cm3"),
        ("number density", "5 1/cm3", "1/cm3"),
        ("number density", "5 /cm3", "1/cm3"),
        ("expansion coefficient", "5 10⁻⁶/K", "1e-6/K"),
        ("expansion coefficient", "5 1e-6/K", "1e-6/K"),
        ("expansion coefficient", "5 ppm/K", "1e-6/K"),
        ("mole fraction", "5 ppmv", "ppm"),
        ("mole fraction", "5 vol.%", "%"),
        ("mole fraction", "5 mol %", "%"),
        ("mole fraction", "5 % by volume", "%"),
        ("mole fraction", "5 PPM", "ppm"),
        ("energy", "5 kW h", "kWh"),
        ("viscosity", "5 µPa·s", "µPa s"),
        ("viscosity", "5 uPa s", "µPa s"),
        ("length", "5 μm", "µm"),
        ("length", "5 micron", "µm"),
        ("length", '5 inches', "in"),
        ("length", "5 in.", "in"),
        ("mass", "5 KG", "kg"),
        ("mass", "5 lbs", "lb"),
        ("time", "5 hrs", "h"),
        ("time", "5 MIN", "min"),
        (SENSED, "5 in Hg", "inHg"),
        (SENSED, "5 inches of mercury", "inHg"),
        (SENSED, "5 inH₂O", "inH2O"),
        (SENSED, "5 IN H2O", "inH2O"),
        (SENSED, "5 mm Hg", "mmHg"),
        (SENSED, "5 millibar", "mbar"),
        (SENSED, "5 Millibar", "mbar"),
        (SENSED, "5 mtorr", "mTorr"),
        (SENSED, "5 KPA", "kPa"),
        (SENSED, "5 kPa", "kPa"),
        (SENSED, "5 hPa", "hPa"),
        (SENSED, "５ Ｐａ", "Pa"),
    ],
)  # fmt: skip
def test_spelling_is_read(kind, text, name):
    found = read(kind, text)

    assert found.unit.name == name
    assert found.number == 5


@pytest.mark.parametrize(
    ("kind", "text", "options"),
    [
        (SENSED, "5 MTORR", ("5 mTorr",)),
        (SENSED, "5 MMHG", ("5 mmHg",)),
        (SENSED, "5 Mpa", ("5 mPa", "5 MPa")),
        (SENSED, "5 mpa", ("5 mPa", "5 MPa")),
        (SENSED, "5 Mbar", ("5 mbar",)),
        (SENSED, "5 mb", ("5 mbar",)),
        (SENSED, "5 in", ("5 inHg", "5 inH2O")),
        ("stress", "5 MPA", ("5 MPa",)),
        ("stress", "5 gpa", ("5 GPa",)),
        ("mass", "5 MG", ("5 mg",)),
        ("length", "5 NM", ("5 nm",)),
        ("voltage", "5 MV", ("5 mV",)),
        ("viscosity", "5 MPa s", ("5 mPa s",)),
        ("time", "5 m", ("5 min",)),
        ("temperature", "5°", ("5 °C", "5 °F")),
        ("temperature", "5 deg", ("5 °C", "5 °F")),
        ("standard flow", "5 l/m", ("5 L/min",)),
        ("standard flow", "5 nL/min", ("5 NL/min",)),
    ],
)
def test_case_of_a_prefix_is_never_guessed(kind, text, options):
    assert refusal(kind, text).options == options


@pytest.mark.parametrize(
    ("kind", "text", "other"),
    [
        ("volume", "5 mbar", "pressure"),
        ("volume", "5 barg", "pressure"),
        ("volume", "5 K", "temperature"),
        ("length", "5 m2", "area"),
        ("standard flow", "5 L", "volume"),
        ("standard flow", "5 mbar L/s", "throughput"),
        ("time", "5 kg", "mass"),
        (SENSED, "5 L/min", "flow"),
        ("temperature", "5 K/min", "ramp rate"),
        ("ramp rate", "5 K", "temperature"),
        ("throughput", "5 mbar/min", "pressure rise rate"),
    ],
)
def test_a_unit_of_another_kind_is_named(kind, text, other):
    message = str(refusal(kind, text))

    assert f"is a unit of {other}" in message or f"is a unit of standard {other}" in message
    assert KINDS[kind].units[0].shown in message


@pytest.mark.parametrize(("kind", "name"), UNITS)
def test_both_spellings_of_every_unit_are_read(kind, name):
    unit = units.unit_of(kind, name)
    texts = [f"2{glue}{spelling}" for spelling in (unit.name, unit.shown) for glue in (" ", "\u00a0")]
    found = [read(kind, text if name != "1" else "2", name) for text in texts]

    assert [one.si for one in found] == pytest.approx([unit.to_si(2.0)] * 4, rel=1e-12)
    assert units.unit_of(kind, unit.shown) == unit


# ---------------------------------------------------------------- menu and typed unit


def test_a_bare_number_takes_the_unit_of_the_menu():
    found = read("volume", "24", "L")

    assert (found.si, found.typed_unit, found.notes) == (pytest.approx(0.024), False, ())


def test_a_typed_unit_wins_and_is_noted():
    found = read("volume", "24 m3", "L")

    assert (found.si, found.typed_unit, found.notes) == (24.0, True, ("unit as typed",))


def test_a_typed_unit_that_is_the_menus_is_not_noted():
    assert read("volume", "24 L", "L").notes == ()


@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"number"}))
def test_a_bare_number_needs_a_unit(kind):
    assert "needs a unit" in str(refusal(kind, "5"))


def test_a_plain_number_needs_none():
    assert si("number", "5") == 5.0
    assert si("number", "50 %") == 0.5
    assert si("mole fraction", "0.2", "1") == 0.2


def test_a_unit_that_is_not_on_the_menu_is_refused():
    assert "list of units" in str(refusal("volume", "5", "<script>"))


def test_what_was_typed_is_kept():
    assert read("volume", "  1,5 L ").typed == "  1,5 L "


def test_quantity_of_what_was_read():
    found = read("temperature difference", "9 °F").quantity

    assert found.to("kelvin").magnitude == pytest.approx(5.0)


# ---------------------------------------------------------------- time, temperature, flow, share


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("1:30", 5400),
        ("0:05", 300),
        ("100:00", 360000),
        ("1 d 2 h", 93600),
        ("90 s", 90),
        ("1h30min", 5400),
        ("1 h 2 min 3 s", 3723),
        ("1 H 30 MIN", 5400),
        ("2 min 1,5 s", 121.5),
    ],
)
def test_time_is_read(text, seconds):
    assert si("time", text) == pytest.approx(seconds, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    ["1:60", "1:5", ":30", "1:", "-1:30", "1:30:00", "1:30 h", "1.5:30", "30 min 5 h", "1 h 1 h",
     "1 h 90 min", "1.5 h 30 min", "1 h 30", "1 h 30 L", "1 h and 5 min"],
)  # fmt: skip
def test_time_is_refused(text):
    refusal("time", text, "min")


def test_hours_and_minutes_are_said():
    found = read("time", "1:30")

    assert found.notes == ("hours:minutes",)
    assert read_as(found) == "Read as 1 h 30 min = 5400 s (hours:minutes)"


def test_a_difference_is_no_temperature():
    assert si("temperature difference", "9 °F") == pytest.approx(5.0)
    assert si("temperature difference", "5 °C") == 5.0
    assert si("temperature", "5 °C") == 278.15
    assert si("ramp rate", "9 F/min") == pytest.approx(5 / 60)


@pytest.mark.parametrize("text", ["0 K", "-273.15 °C", "-459.67 °F"])
def test_absolute_zero_is_zero(text):
    assert si("temperature", text) == 0.0


@pytest.mark.parametrize("kind", SCALES)
@pytest.mark.parametrize("text", ["-0.01 K", "-273.16 °C", "-460 °F"])
def test_below_absolute_zero_is_refused(kind, text):
    assert "below absolute zero" in str(refusal(kind, text))


@pytest.mark.parametrize(
    ("text", "reference"),
    [
        ("2 L/min", None),
        ("2 L/min (0 degC, 101.325 kPa)", "0 degC, 101.325 kPa"),
        ("2 L/min (0 °C, 1 bar)", "0 degC, 100 kPa"),
        ("2 L/min (15 °C; 1013,25 mbar)", "15 degC, 101.325 kPa"),
        ("2 L/min (20 degC, 101.325 kPa)", "20 degC, 101.325 kPa"),
        ("2 L/min (20 degC, 101,325 kPa)", "20 degC, 101.325 kPa"),
        ("2 L/min at 25 °C and 1 atm", "25 degC, 101.325 kPa"),
        ("2 sccm (293.15 K, 760 torr)", "20 degC, 101.325 kPa"),
        ("2 scfh (70 degF, 14.696 psia)", "70 degF, 14.696 psia"),
        ("2 NL/min", None),
    ],
)
def test_reference_of_a_standard_flow(text, reference):
    assert read("standard flow", text).reference == reference


@pytest.mark.parametrize(
    "inside", ["20 °C", "STP", "60 °F, 14.696 psia", "0 °C, 5 bar", "0 °C, 0 bar gauge", "", "1, 2"]
)
def test_unknown_reference_is_refused_with_the_list(inside):
    trouble = refusal("standard flow", f"2 L/min ({inside})")

    assert trouble.options == tuple(f"2 L/min ({name})" for name in units.REFERENCES)


@pytest.mark.parametrize(
    ("name", "kelvin", "pascal"),
    [
        ("0 degC, 101.325 kPa", 273.15, 101325),
        ("0 degC, 100 kPa", 273.15, 100000),
        ("15 degC, 101.325 kPa", 288.15, 101325),
        ("20 degC, 101.325 kPa", 293.15, 101325),
        ("25 degC, 101.325 kPa", 298.15, 101325),
        ("70 degF, 14.696 psia", 294.2611, 101325.35),
    ],
)
def test_reference_conditions_are_what_their_names_say(name, kelvin, pascal):
    temperature, pressure = name.split(", ")

    assert units.REFERENCES[name] == pytest.approx((kelvin, pascal), rel=1e-6)
    assert quantity(temperature).to("kelvin").magnitude == pytest.approx(kelvin, rel=1e-6)
    assert quantity(pressure).to("pascal").magnitude == pytest.approx(pascal, rel=1e-6)


def test_actual_and_standard_are_kept_apart():
    assert "takes a standard flow" in str(refusal("standard flow", "2 L/min actual"))
    assert "takes a standard flow" in str(refusal("standard flow", "2 L/min (actual at chamber conditions)"))
    assert "takes an actual flow" in str(refusal("actual flow", "2 sccm"))
    assert "takes an actual flow" in str(refusal("actual flow", "2 NL/min"))
    assert "takes an actual flow" in str(refusal("actual flow", "2 L/min (0 °C, 1 bar)"))
    assert read("actual flow", "1 cfm").notes == ("cubic feet per minute, actual",)


def test_a_flow_without_its_reference_is_noted():
    assert "“sccm” does not say its reference conditions" in read("standard flow", "5 sccm").notes[0]
    assert read("standard flow", "5 L/min").notes == ()


@pytest.mark.parametrize("text", ["5 wt%", "5 % w/w", "5 ppmw", "5 % by mass", "5 % by weight"])
def test_a_share_by_mass_is_refused(text):
    assert "by mass" in str(refusal("mole fraction", text))


# ---------------------------------------------------------------- the "Read as" line


@pytest.mark.parametrize(
    ("kind", "text", "line"),
    [
        ("absolute pressure", "0.1 Torr", "Read as 0.1 torr, absolute = 13.33 Pa"),
        ("absolute pressure", "5 Pa", "Read as 5 Pa, absolute"),
        (SENSED, "30 Torr gauge", "Read as 30 torr above the room"),
        (SENSED, "-30 Torr gauge", "Read as 30 torr below the room"),
        (
            SENSED,
            "30 Torr",
            "Read as 30 torr = 4 kPa; say whether absolute, above the room or below the room",
        ),
        ("pressure difference", "3 mbar", "Read as a difference of 3 mbar = 300 Pa"),
        ("temperature", "20 degC", "Read as 20 °C = 293.15 K"),
        ("temperature", "1832 F", "Read as 1832 °F = 1000 °C = 1273.15 K"),
        ("temperature difference", "9 °F", "Read as a difference of 9 °F = 5 K"),
        ("ramp rate", "9 F/min", "Read as a rate of 9 °F/min = 5 K/min"),
        ("volume", "24 L", "Read as 24 L"),
        ("volume", "0,02 m3", "Read as 0.02 m³ = 20 L (comma read as decimal mark)"),
        ("standard flow", "2 L/min", "Read as 2 L/min, standard"),
        (
            "standard flow",
            "2 L/min (0 degC, 101.325 kPa)",
            "Read as 2 L/min, standard, 0 °C and 101.325 kPa",
        ),
        ("actual flow", "1 cfm", "Read as 1 ft³/min = 28.32 L/min, actual (cubic feet per minute, actual)"),
        ("throughput", "1e-3 mbar L/s", "Read as 0.001 mbar·L/s = 1 × 10⁻⁴ Pa·m³/s"),
        ("mole fraction", "2 %", "Read as 2 % = 20\u202f000 ppm by volume"),
        ("number", "5", "Read as 5"),
        ("mass", "5 KG", "Read as 5 kg (“KG” read as kg)"),
    ],
)
def test_read_as(kind, text, line):
    assert read_as(read(kind, text)) == line


def test_read_as_with_the_pressure_of_the_room():
    # 30 torr are 4.000 kPa: 101.325 + 4.000 at sea level, and 83.5 + 4.0 at 1600 m.
    assert "= 105.3 kPa absolute, the room at 101.3 kPa" in read_as(read(SENSED, "30 Torr gauge"), 101325.0)
    assert "= 87.5 kPa absolute" in read_as(read(SENSED, "30 Torr gauge"), 83500.0)
    assert "28 inHg below the room = 6.506 kPa absolute" in read_as(read(SENSED, "28 inHg vacuum"), 101325.0)
    assert "less than nothing" in read_as(read(SENSED, "35 inHg below"), 101325.0)


def test_read_as_takes_the_reference_of_the_field():
    line = read_as(read("standard flow", "2 L/min"), reference="20 degC, 101.325 kPa")

    assert line == "Read as 2 L/min, standard, 20 °C and 101.325 kPa"


@pytest.mark.parametrize(("kind", "name"), UNITS)
def test_read_as_names_every_unit(kind, name):
    unit = units.unit_of(kind, name)

    assert ("" if name == "1" else unit.shown) in read_as(read(kind, "300", name))


# ---------------------------------------------------------------- output, and our own data


@pytest.mark.parametrize(("kind", "name"), UNITS)
def test_output_turns_input_back(kind, name):
    found = read(kind, "321.5", name)

    assert convert(found.si, kind, name) == pytest.approx(321.5, rel=1e-12)
    assert convert(found.quantity, kind, units.unit_of(kind, name).shown) == pytest.approx(321.5, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("24 L", "meter**3", 0.024),
        ("5 K/min", "kelvin/second", 5 / 60),
        ("20 °C", "kelvin", 293.15),
        ("20 degC", "kelvin", 293.15),
        ("70 degF", "kelvin", (70 + 459.67) * 5 / 9),
        ("6.5e-3 K/m", "kelvin/meter", 6.5e-3),
        ("8.314462618 J/mol/K", "joule/mole/kelvin", 8.314462618),
        ("5.67e-8 W/m2/K4", "watt/meter**2/kelvin**4", 5.67e-8),
        ("39.948 g/mol", "kilogram/mole", 0.039948),
        ("995 mbar abs", "pascal", 99500),
        ("14.696 psia", "pascal", 101325.35),
        ("7.6 1e-6/K", "1/kelvin", 7.6e-6),
        ("50 %", "dimensionless", 0.5),
        ("3", "dimensionless", 3),
    ],
)
def test_quantity_of_our_own_data(text, unit, expected):
    assert quantity(text).to(unit).magnitude == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    "text", ["", "L", "5 bananas", "5 barg", "10 mbar gauge", "5 __import__", "9**9", "1,500 L", "5 PA"]
)
def test_quantity_refuses(text):
    with pytest.raises(ValueError):
        quantity(text)


@pytest.mark.parametrize(("kind", "name"), [pair for pair in UNITS if pair[1] not in ("°C", "K", "°F")])
def test_name_of_a_registry_unit_is_read_again(kind, name):
    there = read(kind, "1", name).quantity
    again = quantity(f"1 {units.name_of(there.units)}")

    assert again.to(KINDS[kind].si).magnitude == pytest.approx(there.to(KINDS[kind].si).magnitude, rel=1e-9)


@pytest.mark.parametrize(
    "name", ["mbar L/s", "Pa m3/s", "L/min", "K/min", "1e-6/K", "g/m2/h", "kWh", "inHg", "mTorr", "K/%"]
)
def test_name_of_a_registry_unit_is_that_of_the_menus(name):
    assert units.name_of(quantity(f"1 {name}").units) == name


# ---------------------------------------------------------------- properties

KIND_NAMES = st.sampled_from(sorted(KINDS))
NUMBERS = st.floats(min_value=1e-6, max_value=1e9).map(lambda number: float(f"{number:.6g}"))
MENU_OR_NONE = st.one_of(st.none(), st.integers(0, 8))


def read_or_refused(kind, text, unit):
    """Return what was read, or None when it was refused; any other exception is a failure."""
    try:
        return read(kind, text, unit)
    except Unreadable as trouble:
        assert str(trouble)
        assert all(read(kind, option, unit) for option in trouble.options)
        return None


def is_sound(found):
    return found is None or (math.isfinite(found.si) and read_as(found, 101325.0).startswith("Read as "))


def menu(kind, place):
    return None if place is None else KINDS[kind].units[place % len(KINDS[kind].units)].name


@given(KIND_NAMES, st.text(max_size=60), MENU_OR_NONE)
@settings(max_examples=600, deadline=None)
def test_any_text_is_read_or_refused(kind, text, place):
    assert is_sound(read_or_refused(kind, text, menu(kind, place)))


PIECES = st.sampled_from(
    """
    0 5 12 000 1,500 . , - − + e E x × · * ^ / ( ) ⁻³ 10 : ' % ° µ Pa pa MPA mbar bar torr psi abs
    gauge vac below above the room a g L l m mm M min h s d C F K deg per cubic in Hg of water H2O
    sccm slm N std actual at 20°C 101.325 kPa W J kg mol ppm vol wt 1 1/ cm3 m3 nan inf micron
    """.split()
)


@given(KIND_NAMES, st.lists(PIECES, max_size=9), st.sampled_from(["", " "]), MENU_OR_NONE)
@settings(max_examples=1500, deadline=None)
def test_pieces_of_text_are_read_or_refused(kind, pieces, glue, place):
    assert is_sound(read_or_refused(kind, glue.join(pieces), menu(kind, place)))


def spellings(number):
    """Return several ways to write one number."""
    mantissa, power = f"{number:.5e}".split("e")
    raised = str(int(power)).translate(str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"))
    plain = f"{number:.12f}".rstrip("0").rstrip(".")
    whole, _, part = plain.partition(".")
    grouped = f"{int(whole):,}".replace(",", "\u202f") + (f".{part}" if part else "")
    return [
        plain,
        f"{mantissa}e{power}",
        f"{mantissa}E{int(power)}",
        f"{mantissa}x10^{int(power)}",
        f"{mantissa} × 10{raised}",
        mantissa.replace(".", ",") + f"e{power}",
        grouped,
        plain.translate({ord(str(digit)): chr(0xFF10 + digit) for digit in range(10)}),
    ]


# "1" is the number alone, and the printed form of 1e-6/K is a power of ten behind the number: that is read as
# a number with its exponent.
WRITTEN = [(kind, name, form) for kind, name in UNITS for form in sorted({name, units.unit_of(kind, name).shown})]
WRITTEN = [row for row in WRITTEN if row[2] not in ("1", "×10⁻⁶/K")]


@given(st.sampled_from(WRITTEN), NUMBERS, st.integers(0, 7), st.sampled_from(["", *SPACES]))
@settings(max_examples=1500, deadline=None)
def test_number_spelling_and_unit_give_the_si_value(written, number, way, space):
    kind, name, form = written
    space = space or " " * form[0].isdigit()  # 1/m3 stands apart from the number
    expected = units.unit_of(kind, name).to_si(number)

    assert si(kind, spellings(number)[way] + space + form) == pytest.approx(expected, rel=1e-9)
    assert si(kind, spellings(number)[way], name) == pytest.approx(expected, rel=1e-9)


@given(KIND_NAMES, st.text("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=1, max_size=8))
@settings(max_examples=1500, deadline=None)
def test_letters_are_read_only_as_a_unit_that_they_spell(kind, letters):
    """Whatever letters are read must be those of a spelling on the list, in some case."""
    found = read_or_refused(kind, f"5 {letters}", KINDS[kind].units[0].name)

    assert found is None or letters.casefold() in ALL_SPELLINGS


ALL_SPELLINGS = {spelling.casefold() for spelling in units.SYMBOLS} | set(
    """
    above abs absolute acfh acfm act actual alpm bara barabs barg below cc ccm cfh cfm cmh cmwc cmwg
    degc degf degk gage gauge hpaa hpaabs hpag inwc inwg kpaa kpaabs kpag lpm mbara mbarabs mbarg
    micron microns mmhg mmwc mmwg molppm mpaa mpaabs mpag norm normal overpressure paa paabs pag ppbv
    ppmv psia psiabs psig standard std umhg volppm vpm vppb vppm
    """.split()
)


@given(
    st.sampled_from(
        ["1 000 Pa", "5 mbar abs", "5 bar (g)", "3 inHg below the room", "2 in Hg", "1 x 10^3 Pa", "- 5 Pa"]
    ),
    st.sampled_from(SPACES),
)
def test_reading_does_not_hang_on_the_kind_of_space(text, space):
    here, there = read(SENSED, text), read(SENSED, text.replace(" ", space))

    assert (here.si, here.sense, here.unit) == (there.si, there.sense, there.unit)


def test_messages_use_none_of_the_words_that_the_house_leaves_out():
    left_out = re.compile(r"\b(safe|invalid|illegal|please|sorry|error|just|simply|easy|recommended)\b", re.I)
    texts = (
        "1,5,5",
        "1,5.5",
        "nan",
        "Pa",
        "5 L",
        "5 x",
        "1:30",
        "5",
        "",
        "1e999 Pa",
        "5 Pa vac",
        "-5 Pa vac",
    )
    messages = [str(refusal(kind, text)) for kind in ("pressure difference", "mass") for text in texts]

    assert not [message for message in messages if left_out.search(message)]


@pytest.mark.parametrize("key", [key for key, row in data.all_constants().items() if row.get("unit")])
def test_our_own_factors_agree_with_the_registry(key):
    row = data.all_constants()[key]
    text = f"{row['value']} {row['unit']}"

    assert units.si(text) == pytest.approx(units.quantity(text).to_base_units().m, rel=1e-12)


@pytest.mark.parametrize("kind", list(units.KINDS))
def test_every_unit_of_a_kind_agrees_with_the_registry(kind):
    for unit in units.KINDS[kind].units + units.KINDS[kind].extra:
        exact = units.Quantity(3.0, unit.pint).to(units.KINDS[kind].si).m

        assert unit.to_si(3.0) == pytest.approx(exact, rel=1e-12), unit.name


def test_a_page_in_the_browser_never_makes_the_registry():
    code = (
        "import sys, calcs; from calcs.page import respond; "
        "respond({'do': 'work_out', 'calculator': 'purge', 'inputs': calcs.example('purge'), 'touched': []}); "
        "sys.exit('pint' in sys.modules)"
    )

    assert subprocess.run([sys.executable, "-c", code]).returncode == 0
