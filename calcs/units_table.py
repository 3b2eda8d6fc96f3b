"""The symbols, units and kinds of quantity that the site reads and shows.

A unit is written as a product of symbols in plain letters: `mbar L/s`, `W/m2/K`. Its factor to SI, its name
in the unit registry and its printed form all follow from that one text, so they cannot drift apart.
Everything after the first stroke is below the line.

Sources: SI Brochure, 9th edition, for SI units and those accepted with it; NIST Special Publication 811,
Appendix B, for the inch, pound, torr and the columns of mercury and water. Known, sources not looked up.
The tests compare every factor with an independent registry.
"""

import re
from dataclasses import dataclass
from functools import cache

GRAVITY = 9.80665  # m/s2, standard
INCH = 0.0254  # m
POUND = 0.45359237  # kg
ATMOSPHERE = 101325.0  # Pa
MERCURY = 13595.1 * GRAVITY  # Pa for each metre of mercury at 0 °C
WATER = 1000.0 * GRAVITY  # Pa for each metre of water, taken as 1000 kg/m3

PREFIXES = {
    "n": ("nano", 1e-9),
    "µ": ("micro", 1e-6),
    "m": ("milli", 1e-3),
    "c": ("centi", 1e-2),
    "d": ("deci", 1e-1),
    "h": ("hecto", 1e2),
    "k": ("kilo", 1e3),
    "M": ("mega", 1e6),
    "G": ("giga", 1e9),
}

# Symbol: factor to SI, registry name, prefixes taken, other spellings.
BASES = {
    "Pa": (1.0, "pascal", "µmhkMG", "pascal pascals"),
    "bar": (1e5, "bar", "µm", "bars"),
    "torr": (ATMOSPHERE / 760, "torr", "m", "Torr"),
    "atm": (ATMOSPHERE, "atm", "", "atmosphere atmospheres"),
    "psi": (POUND * GRAVITY / INCH**2, "psi", "", ""),
    "ksi": (1000 * POUND * GRAVITY / INCH**2, "ksi", "", ""),
    "inHg": (INCH * MERCURY, "inHg", "", ""),
    "inWater": (INCH * WATER, "inH2O", "", ""),
    "m": (1.0, "meter", "nµmcdk", "metre metres meter meters"),
    "in": (INCH, "inch", "", "inch inches"),
    "ft": (12 * INCH, "foot", "", "foot feet"),
    "L": (1e-3, "liter", "µm", "l ℓ litre litres liter liters"),
    "s": (1.0, "second", "", "sec secs second seconds"),
    "min": (60.0, "minute", "", "mins minute minutes"),
    "h": (3600.0, "hour", "", "hr hrs hour hours"),
    "d": (86400.0, "day", "", "day days"),
    "g": (1e-3, "gram", "µmk", "gram grams gramme grammes"),
    "lb": (POUND, "pound", "", "lbs pound pounds"),
    "lbf": (POUND * GRAVITY, "force_pound", "", ""),
    "kgf": (GRAVITY, "kilogram_force", "", ""),
    "K": (1.0, "kelvin", "m", "kelvin kelvins"),
    "°C": (1.0, "delta_degree_Celsius", "", "C celsius"),
    "°F": (5 / 9, "delta_degree_Fahrenheit", "", "F fahrenheit"),
    "mol": (1.0, "mole", "nµmk", "mole moles"),
    "W": (1.0, "watt", "mk", "watt watts"),
    "J": (1.0, "joule", "kM", "joule joules"),
    "Wh": (3600.0, "watt_hour", "k", ""),
    "cal": (4.184, "calorie", "k", ""),
    "V": (1.0, "volt", "µm", "volt volts"),
    "N": (1.0, "newton", "k", "newton newtons"),
    "P": (0.1, "poise", "c", ""),
    "%": (1e-2, "percent", "", "percent"),
    "ppm": (1e-6, "ppm", "", ""),
    "ppb": (1e-9, "ppb", "", ""),
    "sccm": (1e-6 / 60, "centimeter**3/minute", "", ""),
    "slm": (1e-3 / 60, "liter/minute", "", "slpm"),
    "scfh": ((12 * INCH) ** 3 / 3600, "foot**3/hour", "", ""),
    "scfm": ((12 * INCH) ** 3 / 60, "foot**3/minute", "", ""),
}

# Columns measured in millimetres carry a prefix inside the word, so that `MMHG` is asked about as `MM` is.
COLUMNS = {
    "µmHg": ("µ", 1e-6 * MERCURY, "micron_Hg"),
    "mmHg": ("m", 1e-3 * MERCURY, "mmHg"),
    "cmHg": ("c", 1e-2 * MERCURY, "cmHg"),
    "mmWater": ("m", 1e-3 * WATER, "mmH2O"),
    "cmWater": ("c", 1e-2 * WATER, "cmH2O"),
}


@dataclass(frozen=True)
class Symbol:
    """A symbol with its prefix: factor to SI, registry name, prefix letter ("" for none, or for a word)."""

    name: str
    factor: float
    pint: str
    prefix: str


def _symbols():
    """Return every spelling of every symbol, case as it should be, to its Symbol."""
    spelled = {}
    for base, (factor, registry_name, prefixes, words) in BASES.items():
        for spelling in (base, *words.split()):
            spelled[spelling] = Symbol(base, factor, registry_name, "")
        for letter in prefixes:
            word, power = PREFIXES[letter]
            symbol = Symbol(letter + base, power * factor, word + registry_name, letter)
            in_words = Symbol(letter + base, power * factor, word + registry_name, "")
            # A prefix letter goes with a symbol, a prefix word with a word: mbar, millibar, mTorr, millitorr.
            for spelling in (base, *words.split()):
                if len(spelling) <= 3 or spelling.lower() == "torr":
                    spelled[letter + spelling] = symbol
                if len(spelling) >= 3:
                    spelled[word + spelling] = in_words
    for name, (letter, factor, registry_name) in COLUMNS.items():
        spelled[name] = Symbol(name, factor, registry_name, letter)
    for spelling, symbol in list(spelled.items()):
        if spelling.startswith("µ"):
            spelled.setdefault("u" + spelling[1:], symbol)
    return spelled


SYMBOLS = _symbols()

_PRINTED = (("1e-6/K", "×10⁻⁶/K"), ("H2O", "H₂O"), ("m2", "m²"), ("t2", "t²"), ("m3", "m³"), ("t3", "t³"))
_PRINTED += (("n2", "n²"), ("n3", "n³"), (" ", "·"))
_FACTOR = re.compile(r"([A-Za-zµ°%]+)([2-9]?)")


@dataclass(frozen=True)
class Unit:
    """A unit: name in plain letters, printed form, registry text; SI value = (number + shift) × factor."""

    name: str
    shown: str
    pint: str
    factor: float
    shift: float = 0.0

    def to_si(self, number):
        """Return the SI value of a number of this unit."""
        return (number + self.shift) * self.factor

    def from_si(self, value):
        """Return the number of this unit for an SI value."""
        return value / self.factor - self.shift


@cache
def unit_named(name):
    """Return the Unit for a product of symbols such as `mbar L/s`; temperatures are differences here."""
    if name == "1":
        return Unit("1", "1", "dimensionless", 1.0)
    if name == "1e-6/K":
        return Unit(name, "×10⁻⁶/K", "ppm/kelvin", 1e-6)
    above, *below = name.replace("H2O", "Water").split("/")
    factor, registry_text = 1.0, ["1"] if above == "1" else []
    for part in [] if above == "1" else above.split(" "):
        symbol, power = _symbol_and_power(part)
        factor *= symbol.factor**power
        registry_text.append(f"({symbol.pint})**{power}")
    registry_text = "*".join(registry_text)
    for part in below:
        symbol, power = _symbol_and_power(part)
        factor /= symbol.factor**power
        registry_text += f"/({symbol.pint})**{power}"
    shown = name
    for plain, printed in _PRINTED:
        shown = shown.replace(plain, printed)
    return Unit(name, shown, registry_text, factor)


def _symbol_and_power(part):
    spelling, power = _FACTOR.fullmatch(part).groups()
    return SYMBOLS[spelling], int(power or 1)


# Readings on a scale, not differences: the scale's zero is not zero kelvin.
SCALES = {
    "°C": Unit("°C", "°C", "degree_Celsius", 1.0, 273.15),
    "K": Unit("K", "K", "kelvin", 1.0),
    "°F": Unit("°F", "°F", "degree_Fahrenheit", 5 / 9, 459.67),
}


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: its menu (SI first), what is read besides, and the registry text of its SI unit.

    `family` is the word used to readers ("pressure"); `sense` is what a bare pressure means: "absolute",
    "gauge", "asked" or "none" (a difference); "" for kinds that are no pressure.
    """

    name: str
    units: tuple
    extra: tuple
    si: str
    family: str
    sense: str = ""

    def unit(self, name):
        """Return the unit of this kind with that name or printed form; KeyError if there is none."""
        for unit in self.units + self.extra:
            if name in (unit.name, unit.shown):
                return unit
        raise KeyError(f"{name!r} is no unit of {self.name}")


PRESSURES = "Pa mbar kPa bar torr mTorr inHg psi atm hPa MPa mPa µPa µbar mmHg cmHg µmHg mmH2O cmH2O inH2O kgf/cm2"
FLOWS = "L/min m3/h L/s ft3/min m3/s m3/min L/h mL/min mL/s mL/h cm3/min cm3/s ft3/h"

# Name; SI in the registry's words; menu; read besides. Units part at a comma, symbols in a unit at a space.
_TABLE = """
volume; meter**3; L, m3, cm3, ft3; mL, µL, dm3, mm3, in3
length; meter; mm, m, cm, in, ft; µm, nm, km
area; meter**2; m2, cm2, mm2, in2; ft2
mass; kilogram; kg, g, mg, lb; µg
time; second; s, min, h, d;
temperature difference; kelvin; K, °F; °C, mK
ramp rate; kelvin/second; K/min, K/h, K/s, °F/min, °F/h; °C/min, °C/h, °C/s, °F/s
molar flow; mole/second; mol/s, mmol/min; mol/min, mol/h, mmol/s, mmol/h, µmol/s, µmol/min, kmol/h
amount; mole; mol, mmol; µmol, nmol, kmol
throughput; pascal*meter**3/second; Pa m3/s, mbar L/s, torr L/s, atm cm3/s; Pa L/s, mTorr L/s, mbar L/min, \
torr L/min, mbar m3/h, mbar cm3/s, torr cm3/s, atm cm3/min, µmHg L/s, Pa m3/h
conductance; meter**3/second; m3/h, L/s, m3/s, L/min, ft3/min; m3/min, L/h, cm3/s
mole fraction; dimensionless; ppm, ppb, %, 1; mol/mol, mmol/mol, µmol/mol, nmol/mol
power; watt; W, kW; mW
energy; joule; J, kJ, kWh; MJ, Wh
number; dimensionless; 1, %;
mass rate; kilogram/second; g/h, g/min, kg/h; g/s, kg/s, kg/min, mg/h, mg/min, mg/s, lb/h
mass flux; kilogram/meter**2/second; g/m2/h, g/cm2/s; kg/m2/s, kg/m2/h, g/m2/s, g/cm2/h, mg/cm2/h, mg/m2/h
mass concentration; kilogram/meter**3; mg/m3, g/m3; kg/m3, µg/m3, mg/L, g/L
force; newton; N, kN; lbf, kgf
voltage; volt; mV, µV; V
density; kilogram/meter**3; kg/m3, g/cm3; g/L, kg/L, g/mL, mg/cm3, lb/ft3
specific heat; joule/kilogram/kelvin; J/kg/K, kJ/kg/K; J/g/K
thermal conductivity; watt/meter/kelvin; W/m/K; mW/m/K
heat-transfer coefficient; watt/meter**2/kelvin; W/m2/K; W/cm2/K
heat capacity; joule/kelvin; J/K, kJ/K; MJ/K
thermal conductance; watt/kelvin; W/K; mW/K
diffusivity; meter**2/second; m2/s, mm2/s, cm2/s; m2/h
velocity; meter/second; m/s, mm/s; cm/s, m/min, ft/min, ft/s
viscosity; pascal*second; Pa s, µPa s; mPa s, cP, P
stress; pascal; MPa, GPa; Pa, kPa, N/mm2, psi, ksi
expansion coefficient; 1/kelvin; 1e-6/K, 1/K; µm/m/K
molar energy; joule/mole; kJ/mol, kcal/mol; J/mol
outgassing per area; pascal*meter/second; Pa m/s, mbar L/s/cm2; Pa m3/s/m2, torr L/s/cm2, mbar L/s/m2
outgassing coefficient; pascal*meter**3; Pa m3, mbar L; Pa L, torr L
number density; 1/meter**3; 1/m3, 1/cm3;
process gain; kelvin; K/%; °C/%
controller gain; 1/kelvin; %/K;
sensitivity; volt/kelvin; µV/K; mV/K, V/K
pressure rise rate; pascal/second; Pa/s, mbar/min, Pa/min, torr/min; mbar/h, mbar/s, Pa/h, mTorr/min, µmHg/min
"""


def _named(text):
    return tuple(unit_named(name.strip()) for name in text.split(",") if name.strip())


def _pressure(name, menu, sense, family="pressure"):
    units = tuple(unit_named(unit) for unit in menu.split())
    extra = tuple(unit for unit in map(unit_named, PRESSURES.split()[:-1]) if unit not in units)
    return Kind(name, units, (*extra, unit_named("kgf/cm2")), "pascal", family, sense)


def _flow(name, menu, *more):
    units = tuple(unit_named(unit) for unit in menu.split())
    extra = tuple(unit for unit in map(unit_named, [*more, *FLOWS.split()]) if unit not in units)
    return Kind(name, units, extra, "meter**3/second", name)


def _kinds():
    scales = tuple(SCALES.values())
    kinds = [
        _pressure("absolute pressure", "Pa mbar kPa bar torr mTorr inHg psi atm", "absolute"),
        _pressure("pressure with sense", "Pa mbar kPa bar torr mTorr inHg psi", "asked"),
        _pressure("gauge pressure", "Pa mbar kPa bar torr inH2O psi", "gauge"),
        _pressure("pressure difference", "Pa mbar torr psi", "none"),
        Kind("temperature", scales, (), "kelvin", "temperature"),
        Kind("dew point", scales, (), "kelvin", "temperature"),
        _flow("standard flow", "L/min mL/min m3/h ft3/h", "sccm", "slm", "scfh", "scfm"),
        _flow("actual flow", "L/min m3/h L/s ft3/min"),
    ]
    for line in _TABLE.strip().splitlines():
        name, si, menu, extra = (part.strip() for part in line.split(";"))
        family = "pumping speed" if name == "conductance" else name
        kinds.append(Kind(name, _named(menu), _named(extra), si, family))
    return {kind.name: kind for kind in kinds}


KINDS = _kinds()
