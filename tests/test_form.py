import pytest

from calcs.core import Range, Refused
from calcs.form import REFERENCES, Field, Form, Problems, flow_in_mol_per_s

FORM = Form(
    question="What?",
    modes=("one", "two"),
    one_of=(("flow", "actual_flow"),),
    any_of=(("limit", "duration"),),
    fields=(
        Field("volume", "Volume", "volume", "24 L", accepted=Range("0.1 L", "1000 L", because="So.")),
        Field("flow", "Flow", "standard flow", "2 L/min"),
        Field("actual_flow", "Actual flow", "actual flow", "2 L/min", in_example=False),
        Field("flow_reference", "Reference", "choice", REFERENCES[0], choices=REFERENCES, optional=True),
        Field("limit", "Limit", "mole fraction", "20 ppm", optional=True),
        Field("duration", "Duration", "time", "1 h", optional=True),
        Field("pressure", "Pressure", "absolute pressure", "1005 mbar", default="101.325 kPa"),
        Field("relief", "Relief", "gauge pressure", "35 mbar gauge", optional=True),
        Field("reading", "Reading", "pressure with sense", "5 mbar abs", optional=True),
        Field("gas", "Gas", "choice", "argon", choices=("argon", "carbon monoxide", "cobalt"), spoken={"CO": "carbon monoxide", "Co": "cobalt", "Ar": "argon"}),
        Field("open", "Open", "yes/no", "yes", default="yes"),
        Field("day", "Day", "date", "2031-03-04", optional=True),
        Field("name", "Name", "text", "run", optional=True),
        Field("altitude", "Altitude", "length", "150 m", optional=True, modes=("two",)),
        Field("ambient_pressure", "Ambient pressure", "absolute pressure", "995 mbar", optional=True),
        Field("rows", "Rows", "table", optional=True, row=r"(?P<time>\S+ \S+) (?P<kind>\S+)?", rows_allowed=(2, 3), columns=(
            Field("time", "Time", "time", "1 min", accepted=Range("0 s", "10 h")), Field("kind", "Kind", "choice", choices=("ramp", "soak"), optional=True))),
    ),
)  # fmt: skip
GOOD = {"volume": "24 L", "flow": "2 L/min (0 degC, 101.325 kPa)", "limit": "20 ppm", "gas": "argon"}


def problems_of(**typed) -> dict:
    with pytest.raises(Problems) as trouble:
        FORM.read(GOOD | typed)
    return trouble.value.messages


def test_values_come_out_in_si():
    inputs = FORM.read(GOOD)

    assert inputs["volume"] == pytest.approx(0.024)
    assert inputs["limit"] == pytest.approx(20e-6)
    assert inputs["open"] is True
    assert inputs["duration"] is None
    assert inputs.mode == "one"


def test_every_problem_is_told_at_once():
    found = problems_of(volume="two buckets", limit="1,500 ppm", gas="cheese")

    assert set(found) == {"volume", "limit", "gas"}
    assert found["volume"].startswith("Volume: “two buckets”")


def test_outside_its_range_a_value_is_a_problem_with_the_range():
    assert "0.1" in problems_of(volume="0 L")["volume"]


def test_a_bare_number_without_a_menu_is_a_problem():
    assert "volume" in problems_of(volume="24")


def test_a_page_sends_text_and_menu_unit_together():
    assert FORM.read(GOOD | {"volume": ("24", "L")})["volume"] == pytest.approx(0.024)
    assert FORM.read(GOOD | {"volume": {"text": "0.024 m3", "unit": "L"}})["volume"] == pytest.approx(0.024)


def test_what_is_empty_and_needed_is_named():
    assert problems_of(volume=" ")["volume"] == "Volume is empty. Type it. Example: 24 L."


def test_exactly_one_of_two_alternatives():
    assert "same thing twice" in problems_of(actual_flow="3 L/min")["actual_flow"]
    assert "actual flow" in problems_of(flow="")["flow"]


def test_at_least_one_of_some():
    assert "limit" in problems_of(limit="")
    assert FORM.read(GOOD | {"limit": "", "duration": "1 h"})["duration"] == 3600


def test_a_standard_flow_becomes_an_amount_at_its_reference():
    one_litre = flow_in_mol_per_s(1e-3, "0 degC, 101.325 kPa")

    assert one_litre == pytest.approx(0.0446150, rel=1e-6)
    assert FORM.read(GOOD)["flow"] == pytest.approx(2 * one_litre / 60)
    assert "reference" in problems_of(flow="2 L/min")["flow"]


def test_a_gauge_value_takes_the_rooms_pressure():
    inputs = FORM.read(GOOD | {"pressure": "10 mbar gauge", "ambient_pressure": "995 mbar", "relief": "1030 mbar abs"})

    assert inputs["pressure"] == pytest.approx(100_500)
    assert inputs["relief"] == pytest.approx(3_500)


def test_a_gauge_value_takes_the_altitude_where_there_is_no_barometer():
    inputs = FORM.read(GOOD | {"mode": "two", "pressure": "0 mbar gauge", "altitude": "1600 m"})

    assert inputs["pressure"] == pytest.approx(83_523, rel=1e-4)
    assert inputs.ambient_said == "from the altitude"


def test_a_gauge_value_without_the_room_is_refused():
    with pytest.raises(Refused) as refused:
        FORM.read(GOOD | {"pressure": "10 mbar gauge"})

    assert refused.value.refusal.reason == "no_ambient"


def test_a_pressure_that_needs_its_sense_asks_for_it():
    assert "abs" in problems_of(reading="5 mbar")["reading"]
    assert FORM.read(GOOD | {"reading": {"text": "5", "unit": "mbar", "sense": "absolute"}})["reading"] == 500


def test_choices_know_their_formulas_and_their_case():
    assert FORM.read(GOOD | {"gas": "CO"})["gas"] == "carbon monoxide"
    assert FORM.read(GOOD | {"gas": "Co"})["gas"] == "cobalt"
    assert FORM.read(GOOD | {"gas": "ar"})["gas"] == "argon"
    assert "gas" in problems_of(gas="co")


@pytest.mark.parametrize("text", ["2031-02-30", "4.3.2031", "2031-3-4", "tomorrow"])
def test_a_date_is_year_month_day(text):
    assert "day" in problems_of(day=text)


def test_text_is_kept_short_and_printable():
    assert "name" in problems_of(name="x" * 201)
    assert "name" in problems_of(name="a\u202eb")
    assert FORM.read(GOOD | {"name": "  run   14 "})["name"] == "run 14"


def test_a_table_is_rows_or_lines():
    rows = [{"time": "1 min", "kind": "ramp"}, {"time": "2 min"}]
    inputs = FORM.read(GOOD | {"rows": rows})

    assert inputs["rows"] == [{"time": 60, "kind": "ramp"}, {"time": 120, "kind": None}]
    assert FORM.read(GOOD | {"rows": "1 min ramp · 2 min soak"})["rows"][1]["kind"] == "soak"


@pytest.mark.parametrize(
    "rows, words",
    [
        ([{"time": "1 min"}], "1 rows; this takes 2 to 3"),
        ([{"time": "1 min"}, {"time": "soon"}], "row 2, time"),
        ([{"time": "1 min"}, {"time": "11 h"}], "must be"),
        ([{"time": "1 min"}, {"colour": "red"}], "colour"),
        ("1 min ramp · nonsense", "row 2"),
        ("x", "row 1"),
        (5, "expects rows"),
    ],
)
def test_a_table_names_the_row_in_trouble(rows, words):
    assert words in problems_of(rows=rows)["rows"]


def test_another_modes_field_is_not_asked_and_ignored():
    assert FORM.read(GOOD | {"mode": "one", "altitude": "nonsense"})["altitude"] is None
    assert "altitude" in problems_of(mode="two", altitude="nonsense")


def test_an_unknown_name_or_mode_is_a_problem():
    assert "tmie" in problems_of(tmie="3")
    assert "mode" in problems_of(mode="three")


def test_defaults_are_named():
    inputs = FORM.read(GOOD)

    assert "pressure" in inputs.defaulted and "volume" not in inputs.defaulted
    assert not inputs.given("pressure") and inputs.given("volume")


def test_an_input_is_said_as_it_was_typed():
    assert FORM.read(GOOD | {"volume": "0.0240 m3"}).said("volume").replace("\u00a0", " ") == "0.024 m³"
