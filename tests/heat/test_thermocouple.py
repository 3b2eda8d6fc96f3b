"""Thermocouples: printed tables, the way back, tolerances, gases, and what is refused."""

import csv
from math import sqrt
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

import calcs
from calcs.heat.thermocouple import (
    CLASSES,
    GROUPS,
    TO_TEMPERATURE,
    TO_VOLTAGE,
    TOLERANCE,
    TYPES,
    class_tolerance,
    expanded_uncertainty,
    inverse_low,
    pieces,
    sensitivity,
    span,
    suits_gas,
    temperature,
    voltage,
)

ZERO = 273.15
LINES = Path(__file__).with_name("thermocouple_tables.csv").read_text(encoding="utf-8").splitlines()
PRINTED = [
    (row["type"], float(row["temperature"]), float(row["voltage"]))
    for row in csv.DictReader(line for line in LINES if not line.startswith("#"))
]


def work(use=TO_VOLTAGE, **changed):
    return calcs.work_out("thermocouple", calcs.example("thermocouple", use) | changed)


def refusal(use=TO_VOLTAGE, **changed):
    answer = work(use, **changed)
    assert not answer.figures
    return answer.refusal.reason


# ---------------------------------------------------------------- the functions


def test_the_printed_tables_are_all_there():
    assert {kind for kind, _, _ in PRINTED} == set(TYPES) and len(PRINTED) == 1208


@pytest.mark.parametrize("kind", TYPES)
def test_every_printed_voltage_comes_out_to_half_a_microvolt(kind):
    for letter, t, millivolts in PRINTED:
        if letter == kind:
            assert voltage(kind, t + ZERO) * 1e3 == pytest.approx(millivolts, abs=0.000501), t


@pytest.mark.parametrize("kind", TYPES)
def test_a_printed_voltage_means_its_temperature(kind):
    for letter, t, millivolts in PRINTED:
        if letter == kind and t > inverse_low(kind) - ZERO + 1 and t < span(kind)[1] - ZERO - 1:
            found = temperature(kind, millivolts * 1e-3)
            assert found - ZERO == pytest.approx(t, abs=0.51e-6 / sensitivity(kind, t + ZERO)), t


@pytest.mark.parametrize("kind", TYPES)
def test_the_way_there_and_back_closes(kind):
    low, high = inverse_low(kind), span(kind)[1]
    for i in range(401):
        hot = low + (high - low) * i / 400
        junction = 295.15
        assert temperature(kind, voltage(kind, hot, junction), junction) == pytest.approx(hot, abs=1e-6)


@pytest.mark.parametrize("kind", TYPES)
def test_the_inverse_agrees_with_a_library_s_root(kind):
    low, high = inverse_low(kind), span(kind)[1]
    for share in (0.01, 0.2, 0.37, 0.5, 0.81, 0.99):
        wanted = voltage(kind, low) + share * (voltage(kind, high) - voltage(kind, low))
        by_library = brentq(lambda t: voltage(kind, t) - wanted, low, high, xtol=1e-9)  # noqa: B023
        assert temperature(kind, wanted) == pytest.approx(by_library, abs=1e-6)


@pytest.mark.parametrize("kind", TYPES)
def test_the_sensitivity_is_the_slope_of_the_voltage(kind):
    low, high = inverse_low(kind), span(kind)[1]
    for i in range(1, 40):
        t = low + (high - low) * i / 40
        slope = (voltage(kind, t + 0.01) - voltage(kind, t - 0.01)) / 0.02
        assert sensitivity(kind, t) == pytest.approx(slope, rel=1e-4)


@pytest.mark.parametrize("kind", TYPES)
def test_the_stretches_join(kind):
    for below, above in zip(pieces(kind), pieces(kind)[1:], strict=False):
        assert below.high == above.low
        assert below.voltage(below.high)[0] == pytest.approx(above.voltage(below.high)[0], abs=2e-7)


@pytest.mark.parametrize("kind", TYPES)
def test_the_voltage_rises_where_it_is_turned_back(kind):
    low, high = inverse_low(kind), span(kind)[1]
    found = [voltage(kind, low + (high - low) * i / 500) for i in range(501)]
    assert found == sorted(found) and len(set(found)) == 501


def test_millivolts_of_the_junction_are_added_not_degrees():
    # Copper from a head at 60 °C to an instrument at 25 °C: type K at 1000 °C reads 37 K low.
    seen = temperature("K", voltage("K", 1273.15, 333.15), 298.15)
    assert seen - ZERO == pytest.approx(963.3, abs=0.1)


@pytest.mark.parametrize(
    ("wire", "set_to", "hot", "reads"), [("K", "N", 1000, 1131), ("S", "K", 1000, 236), ("R", "S", 1200, 1305.7)]
)
def test_a_wrong_type_in_the_instrument(wire, set_to, hot, reads):
    assert temperature(set_to, voltage(wire, hot + ZERO)) - ZERO == pytest.approx(reads, abs=0.6)


# ---------------------------------------------------------------- tolerances


@pytest.mark.parametrize(
    ("kind", "tolerance_class", "t", "kelvin"),
    [
        ("K", "1", 375, 1.5), ("K", "1", 1000, 4.0), ("K", "2", 333, 2.5), ("K", "2", 1200, 9.0),
        ("K", "3", -167, 2.505),
        ("N", "1", 600, 2.4), ("S", "1", 1100, 1.0), ("S", "1", 1600, 2.5), ("R", "2", 600, 1.5), ("R", "2", 1600, 4.0),
        ("B", "2", 600, 1.5), ("B", "2", 1700, 4.25), ("B", "3", 800, 4.0), ("B", "3", 1700, 8.5), ("T", "1", 125, 0.5),
        ("T", "3", -200, 3.0), ("J", "2", 750, 5.625), ("E", "1", 800, 3.2), ("E", "2", 900, 6.75),
    ],
)  # fmt: skip
def test_a_tolerance_by_hand(kind, tolerance_class, t, kelvin):
    assert class_tolerance(kind, tolerance_class, t + ZERO) == pytest.approx(kelvin)


def test_which_classes_there_are():
    there = set()
    for kind in TYPES:
        for tolerance_class in CLASSES:
            for t in (-100, 100, 700):
                given = {"thermocouple_type": kind, "tolerance_class": tolerance_class, "gas": ""}
                answer = work(TOLERANCE, **given, sensor_temperature=f"{t} °C")
                if answer.refusal is None:
                    there.add((kind, tolerance_class))
    all_three, first_two = {(k, c) for k in "KNTE" for c in "123"}, {(k, c) for k in "SRJ" for c in "12"}
    assert there == all_three | first_two | {("B", "2"), ("B", "3")}


def test_uncertainty_by_hand():
    assert expanded_uncertainty(2.4, 0.5, 0.5, 1.0) == pytest.approx(2 * sqrt((2.4**2 + 0.5) / 3 + 1))
    figures = work(TOLERANCE).figures
    assert figures["uncertainty"].value == pytest.approx(2 * sqrt((2.4**2 + 0.5) / 3 + 1))
    assert figures["class_tolerance"].text.replace("\u00a0", " ") == "2.4 K"


def test_every_part_widens_the_uncertainty():
    base = work(TOLERANCE).figures["uncertainty"].value
    for name in ("instrument_error", "junction_error", "drift"):
        assert work(TOLERANCE, **{name: "3 K"}).figures["uncertainty"].value > base
    assert work(TOLERANCE, tolerance_class="2").figures["uncertainty"].value > base


def test_what_was_not_typed_is_said():
    answer = work(TOLERANCE, drift="", instrument_error="", gas="")
    notes = " ".join(answer.notes)
    assert "No error of the instrument" in notes and "Drift is not known" in notes and "No gas" in notes
    assert "more with age" in answer.sentence and not answer.judged


# ---------------------------------------------------------------- gases


@pytest.mark.parametrize(
    ("kind", "gas", "t", "verdict"),
    [
        ("K", "argon", 740, "within"), ("K", "argon", 760, "close"),
        ("K", "nitrogen", 800, "outside"), ("K", "air", 1000, "within"),
        ("K", "vacuum", 599, "close"), ("K", "vacuum", 600, "outside"),
        ("N", "argon", 1000, "within"), ("N", "vacuum", 900, "close"),
        ("S", "argon", 500, "within"), ("S", "argon", 900, "close"),
        ("S", "hydrogen", 550, "close"), ("B", "air", 1600, "within"),
        ("T", "hydrogen", 360, "close"), ("T", "hydrogen", 370, "outside"), ("K", "carbon dioxide", 500, "cannot_say"),
    ],
)  # fmt: skip
def test_type_against_gas(kind, gas, t, verdict):
    assert suits_gas(kind, gas, t + ZERO).verdict == verdict


def test_the_verdict_is_that_of_the_gas():
    answer = work(TOLERANCE, thermocouple_type="K", sensor_temperature="900 °C")
    assert (answer.verdict, answer.judged) == ("outside", True)
    assert "reads low" in answer.sentence
    assert [c.word for c in answer.cautions] == ["WARNING", "NOTICE"]


def test_hotter_is_never_kinder():
    order = ["within", "close", "outside"]
    for kind in TYPES:
        for gas in GROUPS:
            found = [order.index(suits_gas(kind, gas, t + ZERO).verdict) for t in range(0, 1800, 50)]
            assert found == sorted(found)


@pytest.mark.parametrize("kind", ["S", "R", "B"])
@pytest.mark.parametrize("gas", ["hydrogen", "methane", "carbon monoxide"])
def test_platinum_in_reducing_gas_is_refused(kind, gas):
    tolerance = {"B": "2"}.get(kind, "1")
    given = {"thermocouple_type": kind, "gas": gas, "sensor_temperature": "900 °C", "tolerance_class": tolerance}
    assert refusal(TOLERANCE, **given) == "wrong_gas"
    assert work(TOLERANCE, **given | {"gas": "air"}).refusal is None


# ---------------------------------------------------------------- refusals and problems


@pytest.mark.parametrize("kind", TYPES)
def test_just_outside_the_type_is_refused_and_the_ends_are_answered(kind):
    low, high = (end - ZERO for end in span(kind))
    for t in (low, high):
        assert work(thermocouple_type=kind, sensor_temperature=f"{t} °C").refusal is None
    for t in (low - 0.01, high + 0.01):
        text = f"{max(t, -273)} °C"
        assert refusal(thermocouple_type=kind, sensor_temperature=text) == "outside_type_range"


@pytest.mark.parametrize("kind", TYPES)
def test_voltages_of_no_such_type(kind):
    for text in ("90 mV", "-12 mV", "5 V"):
        assert refusal(TO_TEMPERATURE, thermocouple_type=kind, voltage=text) == "voltage_outside_type"


@pytest.mark.parametrize(
    ("text", "reason"), [("0.28 mV", "type_b_low"), ("0 mV", "type_b_low"), ("-0.002 mV", "type_b_low")]
)
def test_type_b_is_not_turned_back_where_it_says_nothing(text, reason):
    assert refusal(TO_TEMPERATURE, thermocouple_type="B", voltage=text, junction_temperature="0 °C") == reason
    answer = work(TO_TEMPERATURE, thermocouple_type="B", voltage="0.30 mV", junction_temperature="0 °C")
    assert answer.figures["sensor_temperature"].value > 523


def test_a_junction_colder_than_type_b_knows():
    assert refusal(thermocouple_type="B", junction_temperature="-5 °C") == "outside_type_range"


def test_a_junction_outside_is_a_problem():
    with pytest.raises(calcs.Problems) as caught:
        work(junction_temperature="71 °C")
    assert "junction_temperature" in caught.value.problems


# ---------------------------------------------------------------- the whole answer


def test_the_three_uses_of_the_example():
    there = work()
    assert there.figures["voltage"].text.replace("\u00a0", " ") == "20.035 mV"
    back = work(TO_TEMPERATURE, voltage="20.0350 mV")
    assert back.figures["sensor_temperature"].quantity.m == pytest.approx(600, abs=0.02)
    assert work(TOLERANCE).verdict == "within"


def test_the_answer_does_not_depend_on_the_unit_typed():
    assert work(sensor_temperature="1112 °F", junction_temperature="295.15 K").figures[
        "voltage"
    ].value == pytest.approx(work().figures["voltage"].value)
    assert work(TO_TEMPERATURE, voltage="20000 µV").figures["sensor_temperature"].value == pytest.approx(
        work(TO_TEMPERATURE).figures["sensor_temperature"].value
    )
    assert work(TOLERANCE, drift="1.8 °F").figures["uncertainty"].value == pytest.approx(
        work(TOLERANCE).figures["uncertainty"].value
    )


def test_voltages_are_shown_to_one_microvolt():
    shown = lambda **given: work(junction_temperature="0 °C", **given).figures["voltage"].text.replace("\u00a0", " ")  # noqa: E731
    assert shown(thermocouple_type="K", sensor_temperature="1000 °C") == "41.276 mV"
    assert shown(thermocouple_type="B", sensor_temperature="1000 °C") == "4.834 mV"
    assert shown(thermocouple_type="B", sensor_temperature="100 °C") == "0.033 mV"
    assert shown(thermocouple_type="K", sensor_temperature="-200 °C") == "−5.891 mV"


def test_the_other_types_are_named():
    notes = work(TO_TEMPERATURE, thermocouple_type="N", voltage="41.276 mV", junction_temperature="0 °C").notes
    assert "K 1000" in notes[0].replace("\u202f", "")


@settings(max_examples=60, deadline=None)
@given(st.sampled_from((TO_VOLTAGE, TO_TEMPERATURE, TOLERANCE)), st.data())
def test_any_text_gives_an_answer_a_problem_or_a_refusal(mode, data):
    name = data.draw(st.sampled_from(sorted(calcs.example("thermocouple", mode))))
    try:
        answer = work(mode, **{name: data.draw(st.text(max_size=40))})
    except calcs.Problems as trouble:
        assert trouble.messages
    else:
        assert answer.refusal or answer.sentence
