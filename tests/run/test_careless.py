"""What careless or hurried people type into a plan, and what they are told. One row for one slip.

What was typed is kept. One sentence beside its field says what is wrong, the likely meaning is offered as a text that
fills the field, and nothing is taken silently: no figure comes from a field that cannot be used.
"""

from dataclasses import dataclass

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import calcs
from calcs import units
from calcs.page import border
from calcs.run import files
from calcs.run.plan import FORM
from tests.run.runs import EXAMPLE, load, mixture, plan, segments

NO_BAROMETER = {"ambient_pressure": ""}
RUDE = ("invalid", "illegal", "please", "sorry", "oops")


@dataclass(frozen=True)
class Slip:
    """What is typed, the field that it concerns, words of the message, and the texts offered."""

    typed: dict
    says: tuple[str, ...] = ()
    offers: tuple[str, ...] = ()
    field: str = ""

    @property
    def name(self) -> str:
        return self.field or next(iter(self.typed))


def slip(says=(), offers=(), field="", **typed) -> Slip:
    return Slip(typed, (says,) if isinstance(says, str) else tuple(says), tuple(offers), field)


def table_of(slips) -> list:
    return [pytest.param(s, id=f"{s.name}={s.typed[s.name] if s.name in s.typed else ''}"[:60]) for s in slips]


def programme(*rows) -> dict:
    return {"segments": list(rows), "soak_temperature": "", "soak_time": "", "ramp": ""}


def tidy(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def filled(typed: dict, name: str, option: str, cell=None) -> dict:
    """Return the inputs after the offered text was put into its field, as the button does."""
    inputs = EXAMPLE | typed
    if cell is None:
        return inputs | {name: option}
    rows = [dict(row) for row in inputs[name]]
    rows[cell[0]][cell[1]] = option
    return inputs | {name: rows}


# ---------------------------------------------------------------- problems: no answer before they are put right

PROBLEMS = [
    slip("“10” needs a unit, and abs or gauge", set_point="10"),
    slip(("is 0 mbar abs here, the room at 995 mbar", "A real pump leaves"), pumped_pressure="-995 mbar gauge"),
    slip(("below zero absolute", "which is 0.995 bar"), pumped_pressure="-1.2 bar gauge"),
    slip(("below zero absolute", "which is 0.995 bar"), set_point="-1.2 bar gauge"),
    slip("must be above zero absolute. You gave −5 Pa abs", set_point="-5 Pa abs"),
    slip(("not below the room", "write abs"), ("0.1 mbar abs",), pumped_pressure="0.1 mbar gauge"),
    slip("abs", ("0.1 mbar abs", "0.1 mbar gauge"), pumped_pressure="0.1 mbar"),
    slip("abs", ("1.01 bar abs", "1.01 bar gauge"), set_point="1.01 bar"),
    slip(("10 mbar abs is below the room", "a leak draws air in"), ("10 mbar gauge",), set_point="10 mbar abs"),
    slip(("35 mbar abs is not above the room",), ("35 mbar gauge",), relief_pressure="35 mbar abs"),
    slip("1013 mbar gauge is 2026 mbar abs", ("1013 mbar abs",), ambient_pressure="1013 mbar gauge"),
    slip("must be 54 000 Pa to 108 500 Pa abs", ("1013 mbar abs",), ambient_pressure="1013 Pa abs"),
    slip("must be 0 °C to 3500 °C. You gave 5000 °C", ("5000 °F",), soak_temperature="5000 °C"),
    slip("above the opening temperature, 60 °C", (), soak_temperature="45 °C"),
    slip("the direction comes from the temperatures", ("5 K/min",), ramp="-5 K/min"),
    slip(("You gave 500 K/min", "Is 500 K/h (8.333 K/min) meant?"), ("500 K/h",), ramp="500 K/min"),
    slip(("must be 0.0008334 K/s to 0.8333 K/s", "5 K/s"), ("5 K/min", "5 K/h"), ramp="5 K/s"),
    slip(("row 1, rate", "500 K/min"), ("500 K/h",), field="segments", **programme(
        {"kind": "ramp", "to": "600 °C", "rate": "500 K/min"}, {"kind": "soak", "time": "30 min"})),
    slip(("row 1, mass", "above 0 kg"), load=load(mass="0 kg")),
    slip(("row 1, mass", "You gave 6000 kg"), ("6000 g",), load=load(mass="6000 kg")),
    slip("above 0 kg", ("2 kg",), load=load(mass="-2 kg")),
    slip("“1e9” needs a unit", free_volume="1e9"),
    slip("must be 0.1 L to 1000 L. You gave 1 × 10⁹ L", free_volume="1e9 L"),
    slip("“inf” is not a number", free_volume="inf"),
    slip("“nan L” is not a number", free_volume="nan L"),
    slip("“1.5.0 L” has more than one point", free_volume="1.5.0 L"),
    slip("“five” is not a number", free_volume="five"),
    slip("could mean 1500 or 1.500", ("1500 min", "1.5 min"), soak_time="1,500 min"),
    slip("You gave 24 000 L", ("24000 cm3",), free_volume="24000 L"),
    slip(("No chamber is without a leak", "above 0 mbar L/s"), leak_rate="0 mbar L/s"),
    slip(("at most 1 mbar L/s", "one with more is not closed"), leak_rate="5 mbar L/s"),
    slip(("5 mbar/min in 108 L of gas is 9 mbar·L/s", "not closed"), leak_rate="5 mbar/min"),
    slip("a rise of the pressure, not a leak", ("0.0018 mbar L/s",), leak_rate="0.001 mbar/min"),
    slip("", ("200 psi abs", "200 psi gauge"), cylinder_pressure="200 psi"),
    slip("No cylinder of the trade holds more", ("12000 kPa gauge", "12000 mbar gauge"), cylinder_pressure="12000 bar gauge"),
    slip("length, width and height", ("60 m3",), room_volume="4x5x3"),
    slip("length, width and height", ("60 m3",), room_volume="4 × 5 × 3 m"),
    slip("“m2” is a unit of area; this field takes a volume", room_volume="60 m2"),
    slip("must be 0 to 0.4. You gave 30", ("30 %",), binder_share="30"),
    slip("must be 0 to 5. You gave 20", (), cycles="20"),
    slip("starts and ends at the same temperature: write a soak", field="segments", **segments(
        "ramp to 600 °C at 5 K/min · ramp to 600 °C at 5 K/min · cool to 60 °C")),
    slip("“Ar-5H2” is none of the choices", gas="Ar-5H2"),
    slip("“-5 H2 in Ar” cannot be taken apart", field="mixture", **mixture("-5 H2 in Ar")),
]  # fmt: skip


@pytest.mark.parametrize("case", table_of(PROBLEMS))
def test_a_slip_is_told_beside_its_field_and_gives_no_number(case):
    with pytest.raises(calcs.Problems) as trouble:
        plan(**case.typed)
    found = trouble.value.problems

    assert set(found) == {case.name}
    problem = found[case.name]
    for words in case.says:
        assert words in tidy(problem.message)
    assert not [word for word in RUDE if word in problem.message.lower()]
    assert problem.message.startswith(FORM.by_name[case.name].label.split(" (")[0])
    assert problem.options == case.offers


@pytest.mark.parametrize("case", table_of([case for case in PROBLEMS if case.offers]))
def test_a_text_offered_for_a_slip_puts_it_right(case):
    with pytest.raises(calcs.Problems) as trouble:
        plan(**case.typed)
    problem = trouble.value.problems[case.name]
    accepted = []
    for option in problem.options:
        try:
            calcs.work_out("plan", filled(case.typed, case.name, option, problem.cell))
            accepted.append(option)
        except calcs.Problems as still:
            assert case.name not in still.problems or "say whether" in problem.message
    assert accepted


# ---------------------------------------------------------------- doubts: answered, with a question beside the field

DOUBTS = [
    slip(("above the 1050 °C of this furnace", "1922 °F (1050 °C)"), ("1922 °F",), soak_temperature="1922 °C"),
    slip("1323 K (1050 °C)", ("1323 K", "1323 °F"), soak_temperature="1323 °C"),
    slip("1922 °F (1050 °C)", ("1922 °F",), field="segments", **programme(
        {"kind": "ramp", "to": "1922 °C", "rate": "5 K/min"}, {"kind": "soak", "time": "30 min"},
        {"kind": "cool", "to": "60 °C"})),
    slip("1922 °F (1050 °C)", ("1922 °F",), field="segments",
         **segments("ramp to 1922 °C at 5 K/min · soak 30 min · cool to 60 °C")),
    slip("does not reach the temperature", (), soak_time="0 min"),
    slip(("90 h at 600 °C is 3 d 18 h", "L of gas"), ("90 min", "90 s"), soak_time="90 h"),
    slip(("2000 kg in 24.0 L is heavier than the densest metal",), ("2000 g",), load=load(mass="2000 kg")),
    slip("2 g in 24.0 L: is the mass right?", (), load=load(mass="0.002 kg")),
    slip("Is 1.01 bar abs (1010 mbar) meant?", ("1.01 bar abs",), set_point="1.01 bar gauge"),
    slip(("200 psi gauge is 13.8 bar gauge", "nearly empty"), ("200 bar gauge",), cylinder_pressure="200 psi gauge"),
    slip(("at 1500 ft it has 960 mbar", "846 mbar"), ("1500 ft",), altitude="1500 m", **NO_BAROMETER),
    slip("not inert: it oxidises hot iron", (), gas="carbon dioxide"),
    slip("it holds 20.9 % oxygen, and the limit is 20 ppm", (), gas="air"),
]  # fmt: skip


@pytest.mark.parametrize("case", table_of(DOUBTS))
def test_a_doubt_stands_beside_its_field_and_changes_nothing(case):
    answer = plan(**case.typed)
    doubt = answer.inputs.doubts[case.name]

    for words in case.says:
        assert words in tidy(doubt.message)
    assert doubt.options == case.offers
    assert doubt.message in answer.notes
    if case.name in case.typed:
        assert answer.inputs.texts[case.name] == case.typed[case.name]


@pytest.mark.parametrize("case", table_of([case for case in DOUBTS if case.offers]))
def test_a_text_offered_for_a_doubt_ends_it(case):
    if isinstance(case.typed[case.name], str) and case.name == "segments":
        return  # one text has no cell to fill
    doubt = plan(**case.typed).inputs.doubts[case.name]
    for option in doubt.options:
        after = calcs.work_out("plan", filled(case.typed, case.name, option, doubt.cell))
        assert not after.refusal and case.name not in after.inputs.doubts


@pytest.mark.parametrize("typed", [{"soak_temperature": "1922 °C"}, {"load": load(mass="2000 kg")}])
def test_a_doubt_about_a_stop_gives_no_figure_of_a_run(typed):
    figures = plan(**typed).figures

    assert figures["status"].value == "draft" and not {"total_time", "gas_used", "oxygen"} & set(figures)


def test_the_example_raises_no_doubt():
    assert plan().inputs.doubts == {}


# ---------------------------------------------------------------- accepted, and said how it was read

ECHOES = [
    ("soak_temperature", "1050 °F", {}, "1050 °F = 565.556 °C"),
    ("soak_temperature", "1323 K", {}, "1323 K = 1049.85 °C"),
    ("soak_temperature", "\u00a0600\u2009℃ ", {}, "600 °C"),
    ("soak_temperature", "600degC", {}, "600 °C"),
    ("soak_temperature", "600 º C", {}, "600 °C"),
    ("soak_time", "1:30", {}, "1 h 30 min"),
    ("free_volume", "24,0 L", {}, "24 L (comma read as decimal mark)"),
    ("set_point", "1.01 bar abs", {}, "1.5 kPa above the room, which has 99.5 kPa"),
    ("cylinder_pressure", "200 psi gauge", {}, "200 psi above the room = 1.478 MPa absolute, the room at 99.5 kPa"),
    ("flow", "2000 sccm", {}, "2000 sccm = 2 L/min, standard, 0 °C and 101.325 kPa"),
    ("altitude", "1500 ft", NO_BAROMETER, "1500 ft = 457.2 m; the air there has about 960 mbar"),
    ("altitude", "1500 m", NO_BAROMETER, "Read as 1500 m; the air there has about 846 mbar"),
]


@pytest.mark.parametrize("name, typed, with_, words", ECHOES)
def test_a_reading_is_echoed_in_words(name, typed, with_, words):
    reply = border.respond({"do": "work_out", "calculator": "plan", "inputs": EXAMPLE | with_ | {name: typed}})

    assert reply["state"] == "answered"
    assert words in tidy(reply["reads"][name])


@pytest.mark.parametrize("typed, there", [("1050 °F", "565.556 °C"), ("1322 K", "1048.85 °C"), ("600", "873.15 K")])
def test_a_temperature_is_echoed_on_leaving_its_field(typed, there):
    asked = {"do": "read", "calculator": "plan", "field": "soak_temperature", "input": {"text": typed, "unit": "°C"}}

    assert there in border.respond(asked)["read"]


# ---------------------------------------------------------------- refused, cannot be said, or told by a check


def test_a_barometer_value_reduced_to_sea_level_is_refused():
    refusal = plan(ambient_pressure="1013 mbar abs", altitude="1500 m").refusal

    assert refusal.reason == "ambient_not_station" and refusal.field == "ambient_pressure"
    assert "reduced to sea level" in refusal.message and "846 mbar" in refusal.message


def test_oxygen_is_refused_as_a_gas():
    assert plan(gas="oxygen").refusal.reason == "oxygen_rich"


def test_argon_with_five_per_cent_hydrogen_is_refused_with_its_share():
    refusal = plan(**mixture("argon 95 % · hydrogen 5 %")).refusal

    assert refusal.reason == "flammable_gas" and refusal.field == "mixture"
    assert "5.00 % hydrogen in argon is 1." in tidy(refusal.message)
    assert plan(**mixture("argon 98 % · hydrogen 2 %")).refusal is None


@pytest.mark.parametrize(
    "typed, check, words",
    [
        ({"gas": "nitrogen", "load": load(material="titanium", grade="")}, "OXI-3", "takes up nitrogen"),
        ({"gas": "nitrogen", "load": load(material="titanium", grade="")}, "FIT-1", "brittle"),
        ({"gas": "CO2", "load": load(material="graphite", grade="", form="bar")}, "FIT-1", "carbon monoxide"),
    ],
)
def test_a_wrong_gas_for_the_load_stops_the_plan(typed, check, words):
    answer = plan(**typed)

    assert answer.checks[check]["verdict"] == "outside" and words in answer.checks[check]["message"]
    assert answer.figures["status"].value == "draft"


def test_without_a_leak_rate_nothing_is_assumed():
    answer = plan(leak_rate="")

    assert (
        answer.checks["RES-1"]["verdict"] == "cannot_say" and "nothing is assumed" in answer.checks["RES-1"]["message"]
    )
    assert answer.figures["status"].value == "draft"
    assert "oxygen" not in answer.figures or answer.figures["oxygen"].value is None


def test_a_meter_for_another_gas_is_told_with_its_factor():
    message = tidy(plan(flow="20 L/min", calibration_gas="nitrogen").checks["GAS-5"]["message"])

    assert "factor 1.40" in message and "set 14" in message


def test_the_label_on_the_cylinder_is_read_at_the_furnace():
    """That the cylinder holds another gas than the one chosen cannot be seen from here: a person reads its label."""
    doing = " ".join(row["do"] + row["accept"] for row in plan().figures["steps"].rows)

    assert "label" in doing.lower()


def test_a_plan_of_an_older_record_says_that_it_changed():
    kept = files.opened(files.plan_file(EXAMPLE, plan()), files.PLAN)
    now = calcs.work_out("plan", files.plan_inputs(kept) | {"record_revision": "4"})

    assert files.changed_since(kept, now) and not files.changed_since(kept, plan())


# ---------------------------------------------------------------- a bad input never gives a number

QUANTITIES = [f.name for f in FORM.fields if f.kind in units.KINDS]
CHOICES = [f for f in FORM.fields if f.kind in ("choice", "yes/no", "date")]
LETTERS = st.text(st.characters(blacklist_categories=("Nd", "No", "Nl", "Cs")), min_size=1, max_size=20)
NOT_ONE_NUMBER = st.builds("{} {} {}".format, st.integers(1, 99), st.sampled_from(["L;", "or", "..", "=", "&&", "to"]),
                           st.integers(1, 99))  # fmt: skip


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(name=st.sampled_from(QUANTITIES), text=st.one_of(LETTERS, NOT_ONE_NUMBER))
def test_text_that_is_no_quantity_is_a_problem_of_its_field_and_gives_nothing_else(name, text):
    if not text.strip():
        return
    with pytest.raises(calcs.Problems) as trouble:
        plan(**{name: text})

    assert name in trouble.value.problems


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(f=st.sampled_from(CHOICES), text=st.text(min_size=1, max_size=20))
def test_text_that_is_no_choice_is_a_problem(f, text):
    known = {w.casefold() for w in (*f.choices, *f.spoken, "yes", "no")}
    if not text.strip() or " ".join(text.split()).casefold() in known:
        return
    with pytest.raises(calcs.Problems) as trouble:
        plan(**{f.name: text})

    assert f.name in trouble.value.problems


@pytest.mark.parametrize("name", [f.name for f in FORM.fields if f.required and f.kind != "table"])
def test_a_needed_field_left_empty_gives_nothing(name):
    with pytest.raises(calcs.Problems) as trouble:
        plan(**{name: "  "})

    assert name in trouble.value.problems


@pytest.mark.parametrize("case", table_of(PROBLEMS[:6]))
def test_the_page_gets_no_result_with_a_problem(case):
    reply = border.respond({"do": "work_out", "calculator": "plan", "inputs": EXAMPLE | case.typed})

    assert reply["state"] == "problems" and reply["html"] == "" and "csv" not in reply
    assert reply["problems"][case.name]["options"] == list(case.offers)
