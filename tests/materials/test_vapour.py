"""Vapour pressure of the elements, loss into vacuum and gas, and the pressure that holds it back."""

import csv
from math import log10
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calcs
from calcs.core import Refused
from calcs.materials import evaporation as ev

AT, WHEN, LOWEST = "at a temperature", "at a vapour pressure", "lowest chamber pressure"
HERE = Path(__file__).parent
# Two evaluations disagree on these by so much in log10 (0.06 elsewhere); the factor of trust covers it.
APART = {"Sr": 0.36, "Zr": 0.35, "Nb": 0.34, "Ta": 0.19, "W": 0.30, "Co": 0.11}


def work(mode=AT, **changed):
    return calcs.work_out("vapour", calcs.example("vapour", mode) | changed)


def value(name, mode=AT, **changed):
    return work(mode, **changed).figures[name].value


def janaf():
    lines = (HERE / "janaf.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


# ---------------------------------------------------------------- the equations


@pytest.mark.parametrize("symbol", sorted({row["element"] for row in janaf()}))
def test_agrees_with_the_janaf_tables_over_the_whole_range(symbol):
    for row in (r for r in janaf() if r["element"] == symbol):
        temperature = float(row["temperature_k"])
        apart = log10(ev.vapour_pressure(symbol, temperature) / 1e5) - float(row["log_kf"])

        assert abs(apart) < APART.get(symbol, 0.06), temperature
        assert abs(apart) < log10(ev.elements()[symbol].factor), "the factor of trust must cover the difference"


@pytest.mark.parametrize("symbol", list(ev.elements()))
def test_solid_and_liquid_meet_at_the_melting_point(symbol):
    lines = sorted(ev.elements()[symbol].lines, key=lambda line: line.low)
    for one, two in zip(lines, lines[1:], strict=False):
        if one.high == two.low:
            assert log10(one.pressure(one.high) / two.pressure(two.low)) == pytest.approx(0, abs=0.04)


@pytest.mark.parametrize("symbol, melts", [("Fe", 1811.0), ("Pt", 2041.0)])
def test_the_last_term_is_a_thousandth_and_not_a_cube(symbol, melts):
    """Handbooks print D/T³; with it solid and liquid would part by a factor of three and more at melting."""
    solid, liquid = ev.elements()[symbol].lines[:2]
    as_misprinted = solid.pressure(melts) / 10 ** (solid.d * 1e-3 * melts)

    assert abs(log10(solid.pressure(melts) / liquid.pressure(melts))) < 0.02
    assert abs(log10(as_misprinted / liquid.pressure(melts))) > 0.5


@pytest.mark.parametrize("symbol", list(ev.elements()))
def test_every_line_rises_with_temperature(symbol):
    for line in ev.elements()[symbol].lines:
        pressures = [line.pressure(line.low + (line.high - line.low) * i / 20) for i in range(21)]

        assert pressures == sorted(pressures)


@pytest.mark.parametrize("symbol", list(ev.elements()))
def test_temperature_and_pressure_are_inverse(symbol):
    for line in ev.elements()[symbol].lines:
        for share in (0.1, 0.5, 0.9):
            pressure = line.pressure(line.low + share * (line.high - line.low))
            found = ev.temperature_of(symbol, pressure)

            assert log10(ev.vapour_pressure(symbol, found) / pressure) == pytest.approx(0, abs=0.04)
            assert found <= line.high


@pytest.mark.parametrize("symbol", list(ev.elements()))
def test_no_equation_is_drawn_on(symbol):
    low, high = ev.elements()[symbol].ends
    for outside in (low - 0.1, high + 0.1):
        with pytest.raises(Refused) as caught:
            ev.vapour_pressure(symbol, outside)

        assert caught.value.refusal.reason == "outside_range"


def test_a_solid_is_not_drawn_on_past_its_melting_point():
    """Magnesium at 700 °C is liquid: less volatile than its solid equation would say there."""
    solid = ev.elements()["Mg"].lines[0]

    assert ev.line_at("Mg", 973.0).phase == "liquid"
    assert ev.vapour_pressure("Mg", 1100.0) < solid.pressure(1100.0)


# ---------------------------------------------------------------- rates


@pytest.mark.parametrize(
    "symbol, celsius, pressure, rate",
    [
        ("Cu", 900, 5.68e-4, 2.08), ("Cr", 1100, 3.33e-3, 10.2), ("Ni", 1200, 2.86e-3, 8.98), ("Ag", 900, 8.70e-2, 416),
        ("Mn", 1000, 2.49, 8150), ("Zn", 400, 11.0, 5.40e4), ("Pb", 700, 0.887, 6450),
    ],
)  # fmt: skip
def test_rate_into_vacuum_by_hand(symbol, celsius, pressure, rate):
    """4.375e-3 p sqrt(M/T) kg/(m² s) with M in g/mol, worked by hand."""
    molar_mass = ev.elements()[symbol].molar_mass
    kelvin = celsius + 273.15

    assert 4.375e-3 * pressure * (molar_mass * 1e3 / kelvin) ** 0.5 * 3.6e6 == pytest.approx(rate, rel=0.005)
    given_ = {"element": symbol, "load_temperature": f"{celsius} °C", "gas": "vacuum", "chamber_pressure": ""}
    assert value("vacuum_rate", **given_) * 3.6e6 == pytest.approx(rate, rel=0.015)
    assert value("evaporation_rate", **given_) == pytest.approx(value("vacuum_rate", **given_), rel=1e-12)


@pytest.mark.parametrize("pressure, rate", [("10 Pa", 0.24), ("100 Pa", 0.038), ("1000 Pa", 0.0041), ("1 bar", 4.1e-5)])
def test_chromium_of_stainless_in_argon(pressure, rate):
    found = value(
        "evaporation_rate", element="Cr", mole_fraction="0.19", load_temperature="1050 °C", chamber_pressure=pressure
    )

    assert found * 3.6e6 == pytest.approx(rate, rel=0.05)


def test_more_gas_never_loses_more():
    rates = [
        value("evaporation_rate", load_temperature="1000 °C", chamber_pressure=p)
        for p in ("0.1 Pa", "1 Pa", "100 Pa", "10 kPa", "1 bar", "2 bar")
    ]

    assert rates == sorted(rates, reverse=True)
    assert rates[0] < value("vacuum_rate", load_temperature="1000 °C")


def test_helium_lets_three_times_as_much_pass():
    argon, helium = (value("evaporation_rate", load_temperature="1000 °C", gas=g) for g in ("argon", "helium"))

    assert helium / argon == pytest.approx(3, rel=1e-3)


def test_zero_gas_is_high_vacuum_and_gas_never_leaves_the_layer_negative():
    assert ev.layer_rate(1.0, 0.0, 0.06, 1000.0, 10.0, 0.02) == float("inf")
    assert ev.loss_rate(2.0, float("inf")) == 2.0
    assert ev.loss_rate(0.0, 1.0) == 0.0


def test_the_outlet_carries_no_more_than_saturation():
    """Pure copper at 1000 °C in 2 L/min of argon at 1.05 bar: 2.7e-5 g/h, worked by hand."""
    found = value("carry_off", load_temperature="1000 °C", chamber_pressure="1.05 bar")

    assert found * 3.6e6 == pytest.approx(2.7e-5, rel=0.02)


def test_no_more_leaves_than_is_there():
    answer = work(element="Zn", load_temperature="600 °C", component_mass="10 g", duration="100 h")

    assert answer.figures["mass_lost"].value == pytest.approx(0.010)
    assert answer.figures["mass_lost"].high_value == pytest.approx(0.010)
    assert answer.verdict == "outside" and "all of it" in answer.sentence


# ---------------------------------------------------------------- lowest pressure


@pytest.mark.parametrize(
    "typed, pressure",
    [
        ({"element": "Cr", "mole_fraction": "0.19", "load_temperature": "1050 °C"}, 34),
        ({"element": "Cr", "mole_fraction": "0.19", "load_temperature": "1100 °C"}, 144),
        ({"element": "Cu", "load_temperature": "1000 °C"}, 2.3e3),
        ({"element": "Ag", "load_temperature": "900 °C"}, 39e3),
        ({"element": "Mn", "mole_fraction": "0.012", "load_temperature": "1050 °C"}, 19e3),
    ],
)
def test_the_lowest_pressure_gives_back_the_loss(typed, pressure):
    found = value("lowest_pressure", LOWEST, **typed)
    back = value("evaporation_rate", **typed, chamber_pressure=f"{found!r} Pa")

    assert found == pytest.approx(pressure, rel=0.04)
    assert back * 3.6e6 == pytest.approx(0.1, rel=1e-6)


def test_no_gas_is_needed_where_vacuum_will_do():
    answer = work(LOWEST)

    assert answer.figures["lowest_pressure"].value == 0 and "even in high vacuum" in answer.sentence


def test_it_says_when_no_pressure_is_enough():
    answer = work(LOWEST, element="Zn")

    assert answer.verdict == "outside" and answer.judged and "lowest_pressure" not in answer.figures
    assert answer.sentence.startswith("No pressure up to 1 bar")


# ---------------------------------------------------------------- behaviour


def test_the_example_stays_where_it_is():
    answer = work()

    assert answer.verdict == "within" and answer.judged and not answer.cautions
    assert answer.figures["vapour_pressure"].value == pytest.approx(4.46e-9, rel=0.01)
    assert answer.figures["phase"].value == "solid" and answer.figures["group"].value == "dirty"
    assert len(answer.pictures) == 1 and answer.pictures[0].limits


def test_zinc_leaves_the_load():
    answer = work(element="zinc")

    assert answer.verdict == "outside" and "it will leave the load" in answer.sentence
    assert {c.hazard for c in answer.cautions} >= {"Toxic metal fume", "Deposits that catch fire", "Blocked gas outlet"}


def test_a_dirty_metal_is_close_and_not_outside():
    answer = work(element="Ag", load_temperature="1100 °C")

    assert answer.figures["group"].value == "dirty" and answer.verdict == "close"
    assert [c.word for c in answer.cautions] == ["NOTICE"]


def test_the_answer_does_not_depend_on_the_unit():
    first, same = work(), work(
        load_temperature="873.15 K", chamber_pressure="100.5 kPa", load_area="4500 cm2", duration="0.5 h",
        layer_thickness="2 cm", mole_fraction="100 %",
    )  # fmt: skip

    for name in [n for n, figure in first.figures.items() if figure.is_number]:
        assert same.figures[name].value == pytest.approx(first.figures[name].value), name


def test_a_share_lowers_the_pressure_in_proportion_and_widens_the_range():
    pure, alloy = work(load_temperature="1000 °C"), work(load_temperature="1000 °C", mole_fraction="0.1")

    p, q = pure.figures["vapour_pressure"], alloy.figures["vapour_pressure"]
    assert q.value == pytest.approx(0.1 * p.value)
    assert q.high_value / q.value == pytest.approx(6) and p.high_value / p.value == pytest.approx(1.5)
    known = work(load_temperature="1000 °C", mole_fraction="0.1", activity_coefficient="0.5").figures["vapour_pressure"]
    assert known.high_value / known.value == pytest.approx(1.5)


def test_an_alloy_reaches_a_pressure_later():
    pure, alloy = (value("load_temperature", WHEN, element="Cr", mole_fraction=x) for x in ("1", "0.19"))

    assert alloy > pure + 50


def test_cold_metal_has_no_figure_with_digits():
    answer = work(load_temperature="100 °C")

    assert answer.figures["vapour_pressure"].value == "below 10⁻¹² Pa: negligible"
    assert "vacuum_rate" not in answer.figures and answer.verdict == "within"


def test_what_is_weak_is_said():
    assert any("from memory" in note for note in work(element="Bi", load_temperature="700 °C").notes)
    assert any("factor of 2" in note for note in work(element="W", load_temperature="1900 °C").notes)
    assert any("ATM-08" in note for note in work(gas="air").notes)


def test_metal_vapour_is_never_offered_where_water_is_asked_for():
    assert "dew-point" not in work(WHEN).feeds.get("vapour_pressure", ())
    water = calcs.work_out("dew-point", calcs.example("dew-point"))
    assert "vapour" not in water.feeds.get("vapour_pressure", ())


# ---------------------------------------------------------------- refusals and problems


@pytest.mark.parametrize(
    "mode, changed, reason",
    [
        (AT, {"element": "brass"}, "no_data"),
        (AT, {"element": "arsenic"}, "no_data"),
        (AT, {"load_temperature": "24 °C"}, "outside_range"),
        (AT, {"load_temperature": "1578 °C"}, "outside_range"),
        (AT, {"element": "Cr", "load_temperature": "1800 °C"}, "outside_range"),
        (AT, {"element": "Zn", "load_temperature": "900 °C", "chamber_pressure": "500 mbar"}, "boils"),
        (AT, {"element": "Cd", "extraction": "no"}, "toxic_no_extraction"),
        (WHEN, {"vapour_pressure": "1e-99 Pa"}, "outside_range"),
        (WHEN, {"vapour_pressure": "1 bar"}, "outside_range"),
        (WHEN, {"mole_fraction": "0"}, "outside_range"),
        (WHEN, {"element": "Pb", "extraction": "no"}, "toxic_no_extraction"),
    ],
)
def test_refuses(mode, changed, reason):
    answer = work(mode, **changed)

    assert answer.refusal.reason == reason and not answer.figures


def test_the_ends_of_the_equations_are_answered():
    assert work(load_temperature="25 °C").refusal is None
    assert work(load_temperature="1576 °C").refusal is None


def test_vacuum_is_not_refused_where_gas_would_boil():
    hot = {"element": "Zn", "load_temperature": "500 °C"}

    assert work(**hot, gas="argon", chamber_pressure="1 Pa").refusal.reason == "boils"
    assert "as in high vacuum" in " ".join(work(**hot, gas="vacuum", chamber_pressure="1 Pa").notes)


@pytest.mark.parametrize(
    "changed, field",
    [
        ({"chamber_pressure": ""}, "chamber_pressure"),
        ({"element": "Zn", "extraction": ""}, "extraction"),
        ({"activity_coefficient": "2"}, "activity_coefficient"),
        ({"activity_coefficient": "0"}, "activity_coefficient"),
        ({"mole_fraction": "1.2"}, "mole_fraction"),
        ({"evaporation_coefficient": "1.1"}, "evaporation_coefficient"),
        ({"layer_thickness": "4.9 mm"}, "layer_thickness"),
        ({"layer_thickness": "51 mm"}, "layer_thickness"),
        ({"load_temperature": "-300 °C"}, "load_temperature"),
        ({"load_area": "-1 m2"}, "load_area"),
        ({"element": "unobtainium"}, "element"),
    ],
)
def test_what_is_not_possible_is_a_problem(changed, field):
    with pytest.raises(calcs.Problems) as caught:
        work(**changed)

    assert field in caught.value.problems


@given(
    symbol=st.sampled_from(list(ev.elements())), share=st.floats(0, 1), place=st.floats(0, 1),
    total=st.floats(-3, 5), alpha=st.floats(1e-6, 1), layer=st.floats(0.005, 0.05),
)  # fmt: skip
@settings(max_examples=200, deadline=None, derandomize=True)
def test_loss_lies_below_both_ceilings(symbol, share, place, total, alpha, layer):
    line = ev.elements()[symbol].lines[0]
    kelvin = line.low + place * (line.high - line.low)
    pressure, mass = share * line.pressure(kelvin), ev.elements()[symbol].molar_mass
    vacuum = ev.vacuum_rate(pressure, mass, kelvin, alpha)
    passed = ev.layer_rate(pressure, 10**total, mass, kelvin, ev.diffusivity_times_pressure("argon", kelvin), layer)
    loss = ev.loss_rate(vacuum, passed)

    assert 0 <= loss <= min(vacuum, passed) * (1 + 1e-9)
