"""What a slip of typing may have meant: offered as texts that fit, for every field of every calculator."""

from dataclasses import replace

import pytest

import calcs
from calcs import slips, units
from calcs.core import Range, Refused
from calcs.form import Field, Form, Problems
from calcs.units_table import KINDS

UNITS = [(kind.name, unit.name) for kind in KINDS.values() for unit in kind.units + kind.extra]
EACH = [(name, mode) for name in calcs.CALCULATORS for mode in (calcs.calculator(name).FORM.modes or ("",))]


def form_of(kind: str, example: str, low: str, high: str, **other) -> Form:
    barometer = Field("ambient_pressure", "Room", "absolute pressure", default="1000 mbar")
    return Form("What?", fields=(Field("value", "Value", kind, example, accepted=Range(low, high), **other), barometer))


def problem(form: Form, text: str):
    with pytest.raises(Problems) as trouble:
        form.read({"value": text})
    return trouble.value.problems["value"]


@pytest.mark.parametrize(
    ("kind", "example", "low", "high", "typed", "offers"),
    [
        ("temperature", "600 °C", "0 °C", "1100 °C", "1922 °C", ("1922 °F",)),
        ("temperature", "600 °C", "0 °C", "1100 °C", "1323 °C", ("1323 K", "1323 °F")),
        ("temperature", "600 °C", "0 °C", "1100 °C", "4000 °C", ()),
        ("ramp rate", "5 K/min", "0.05 K/min", "50 K/min", "500 K/min", ("500 K/h",)),
        ("ramp rate", "5 K/min", "0.05 K/min", "50 K/min", "0.01 K/min", ("0.01 K/s",)),
        ("mass", "2 kg", "0 kg", "500 kg", "2000 kg", ("2000 g",)),
        ("time", "30 min", "0 s", "24 h", "90 h", ("90 min", "90 s")),
        ("volume", "24 L", "0.1 L", "1000 L", "24000 L", ("24000 cm3",)),
        ("volume", "24 L", "0.1 L", "1000 L", "24 cm3", ("24 L", "24 ft3")),
        ("length", "150 m", "0 m", "5000 m", "-150 m", ("150 m",)),
        ("absolute pressure", "995 mbar", "540 mbar", "1085 mbar", "995 Pa", ("995 mbar",)),
        ("pressure with sense", "0.1 mbar abs", "0 Pa", "900 mbar", "0.1 mbar gauge", ("0.1 mbar abs",)),
        ("number", "2", "0", "5", "20", ()),
        ("number", "5 %", "0 %", "40 %", "30", ("30 %",)),
        ("mole fraction", "20 ppm", "0.1 ppm", "1 %", "20 %", ("20 ppm",)),
        ("time", "30 min", "0 s", "24 h", "90:00", ()),
    ],
)
def test_the_same_number_in_another_unit_or_sense_is_offered(kind, example, low, high, typed, offers):
    form = form_of(kind, example, low, high)
    found = problem(form, typed)

    assert found.options == offers
    for option in offers:
        assert form.read({"value": option})["value"] in form.by_name["value"].accepted


def test_the_question_shows_what_the_offer_comes_to():
    found = problem(form_of("ramp rate", "5 K/min", "0.05 K/min", "50 K/min"), "500 K/min")

    assert found.message.replace("\u00a0", " ").endswith("Is 500 K/h (8.333 K/min) meant?")


@pytest.mark.parametrize(
    ("typed", "range_said"),
    [("0 L", "0.1 L to 1000 L"), ("9 m3", "0.0001 m³ to 1 m³"), ("99 ft3", "0.003532 ft³ to 35.31 ft³")],
)
def test_a_bound_is_told_in_the_unit_typed_and_rounded_inwards(typed, range_said):
    form = form_of("volume", "24 L", "0.1 L", "1000 L")

    assert f"must be {range_said}. You gave" in problem(form, typed).message.replace("\u00a0", " ")
    for text in ("0.003532 ft3", "35.31 ft3"):
        assert form.read({"value": text})["value"] in form.by_name["value"].accepted


def test_a_gauge_value_outside_its_range_is_told_as_absolute():
    form = form_of("pressure with sense", "120 bar gauge", "0 bar", "302 bar")

    assert "400 bar gauge is 401 bar abs here, the room at 1 bar" in problem(form, "400 bar gauge").message.replace(
        "\u00a0", " "
    )


def test_below_zero_absolute_is_a_problem_of_every_pressure():
    for kind, typed in (
        ("absolute pressure", "-5 Pa"),
        ("pressure with sense", "-1.2 bar gauge"),
        ("pressure with sense", "1200 mbar below"),
        ("gauge pressure", "-1.2 bar"),
    ):
        form = form_of(kind, "10 mbar", None, None)
        assert "zero absolute" in problem(form, typed).message


def test_an_unusual_value_is_answered_with_a_doubt_beside_its_field():
    form = Form("What?", fields=(Field("value", "Value", "mass", "2 kg", usual=Range("0.1 kg", "50 kg")),))
    inputs = form.read({"value": "2000 kg"})

    assert inputs["value"] == 2000
    assert inputs.doubts["value"].options == ("2000 g",)
    assert inputs.notes[0].startswith("Unusual:")


def test_a_doubtful_comma_is_offered_only_as_far_as_the_field_would_take_it():
    assert problem(form_of("time", "30 min", "0 s", "24 h"), "1,500 min").options == ("1.5 min",)
    assert problem(form_of("time", "30 min", "0 s", "48 h"), "1,500 min").options == ("1500 min", "1.5 min")


def test_a_leak_typed_as_a_rise_is_worked_out_but_not_taken():
    words, offer = slips.leak_of_rise("5 mbar/min", 0.140)

    assert offer == "11.7 mbar L/s" and "140" in words
    assert slips.leak_of_rise("5 mbar L/s", 0.140) is None and slips.leak_of_rise("soon", 0.140) is None


@pytest.mark.parametrize(("kind", "name"), UNITS)
def test_a_reading_as_text_is_read_again(kind, name):
    read = units.read(kind, "2.5", name)
    for sense in ("absolute", "gauge", "below") if KINDS[kind].sense not in ("", "none") else (read.sense,):
        said = replace(read, sense=sense)
        again = units.read(kind, units.as_text(said), name if name == "1" else None)

        assert (again.number, again.unit, again.sense) == (said.number, said.unit, said.sense)


def slipped(f: Field):
    """Yield texts with the example's number too large, too small or negative, in every unit of the menu."""
    try:
        read = units.read(f.kind, f.sample)
    except units.Unreadable:
        return
    for unit in dict.fromkeys((read.unit, *f.menu_units)):
        for times in (-1, 1e-6, 1 / 60, 1, 60, 1e3, 1e6):
            yield units.as_text(replace(read, unit=unit, number=float(f"{read.number * times:.6g}"), said=""))


@pytest.mark.parametrize("name, mode", EACH, ids=lambda x: x or "one")
def test_no_offer_lies_outside_the_range_of_its_field(name, mode):
    form, typed = calcs.calculator(name).FORM, calcs.example(name, mode)
    for f in form.fields:
        if not f.accepted or f.kind not in KINDS or not f.asked_in(mode):
            continue
        for text in slipped(f):
            for option in offers_of(form, typed | {f.name: text}, f.name):
                assert option != text
                left = problems_of(form, typed | {f.name: option})
                assert f.name not in left or "say whether" in left[f.name].message, (f.name, text, option)


def offers_of(form: Form, typed: dict, name: str) -> tuple[str, ...]:
    found = problems_of(form, typed)
    assert name not in found or len(found[name].options) <= slips.MOST_OFFERS
    return found[name].options if name in found else ()


def problems_of(form: Form, typed: dict) -> dict:
    try:
        form.read(typed)
    except Problems as trouble:
        return trouble.problems
    except Refused:
        pass
    return {}
