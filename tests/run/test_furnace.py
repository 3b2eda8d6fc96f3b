"""Furnace records: one form from the calculators' own fields, revisions, limits by gas, what changed for a plan."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import calcs
from calcs import furnace as known
from calcs.form import known_by_furnace
from calcs.page import border
from calcs.run import calibrated, checks, files, furnace
from calcs.run import furnace_record as records
from tests.anything import HOSTILE, texts

EXAMPLE = calcs.example("furnace")
PLAN = calcs.example("plan")
DAY = "2031-03-04"
FIVE = {f.name: f.example for f in calibrated.FIELDS}


def work(**changed):
    return calcs.work_out("furnace", EXAMPLE | changed)


def problems(**changed):
    with pytest.raises(calcs.Problems) as caught:
        work(**changed)
    return caught.value.messages


def kept(**changed):
    """A furnace as it is kept, made from the example's values."""
    return records.revised(None, EXAMPLE | changed, DAY)


def revised(base, **changed):
    typed = base["record"] | {"record_change": "Relief exchanged", "record_changed_by": "A. Example"} | changed
    return records.revised(base, typed, "2031-04-01")


def ask(what, **more):
    return border.respond({"do": what, "today": DAY} | more)


# ---------------------------------------------------------------- the form


def test_it_asks_for_every_value_that_a_calculator_takes_from_a_furnace():
    taken = {n for name in calcs.CALCULATORS for n in known_by_furnace(calcs.calculator(name).FORM)}

    assert taken - {known.OLD_LIMIT} <= set(furnace.ROWS)
    assert set(known.EXAMPLE) - {known.OLD_LIMIT} <= set(furnace.ROWS)


@pytest.mark.parametrize("name", [n for n, row in furnace.ROWS.items() if row["of"]])
def test_label_and_range_are_those_of_the_calculator(name):
    mine, theirs = furnace.FORM.by_name[name], calcs.calculator(furnace.ROWS[name]["of"]).FORM.by_name[name]

    assert mine.label == theirs.label
    assert mine.choices == theirs.choices and mine.columns == theirs.columns
    if theirs.kind != "pressure with sense":
        assert mine.kind == theirs.kind and mine.accepted is theirs.accepted


def test_nothing_but_the_name_is_needed_and_nothing_has_a_default():
    assert [f.name for f in furnace.FIELDS if f.required] == ["furnace_id"]
    assert all(f.default is None for f in furnace.FIELDS)


def test_every_check_that_is_named_exists():
    ids = {row.id for row in checks.rows(checks.EARLY) + checks.rows(checks.LATE)}

    assert {check for row in furnace.ROWS.values() for check in row["checks"]} <= ids


def test_the_hints_are_short():
    assert all(len(row["where"].split()) <= 9 and row["use"] for row in furnace.ROWS.values())


def test_the_five_of_a_calibration_carry_the_names_of_the_fit():
    figures = {s.name for s in calcs.calculator("follow").FIGURES}

    assert calibrated.NAMES == known.CALIBRATED and set(calibrated.NAMES) <= figures


# ---------------------------------------------------------------- what it says


def test_a_whole_record_lacks_nothing():
    answer = work()

    assert answer.verdict == "within" and not answer.cautions
    assert answer.figures["known"].value == len([n for n in furnace.ROWS if n not in furnace.EXTRA])
    assert not answer.figures["missing"].si_rows


def test_what_is_missing_is_named_with_its_checks():
    answer = work(relief_pressure="", limiter_tested="")
    rows = {row["value"]: row for row in answer.figures["missing"].si_rows}

    assert answer.verdict == "cannot_say"
    assert rows["Relief opens at"]["checks"] == "PRS-1, BAK-1, DOC-1"
    assert "LIM-1" in answer.sentence and "PRS-1" in answer.sentence
    assert answer.cautions[0].word == "WARNING"


def test_a_value_without_a_check_alone_does_not_hold_anything_up():
    assert work(door_width="").verdict == "within"


@pytest.mark.parametrize("relief", ["50 mbar gauge", "60 mbar"])
def test_a_relief_at_or_above_the_rating_is_outside(relief):
    answer = work(relief_pressure=relief)

    assert answer.verdict == "outside" and "rating" in answer.cautions[0].hazard.lower()


@pytest.mark.parametrize(
    "changed",
    [{"pore_volume": "40 L"}, {"insulation_mass": "177 kg"}, {"gas_volume": "150 L"}, {"free_volume": "60 L"}],
)
def test_values_that_contradict_each_other_are_told(changed):
    answer = work(**changed)

    assert answer.verdict == "close"
    assert any(row["verdict"] == "do not agree" for row in answer.figures["agreement"].si_rows)


def test_slips_are_problems_beside_the_field():
    assert "stands twice" in problems(gas_limits="argon 900 °C · argon 950 °C")["gas_limits"]
    assert "belong together" in problems(hot_capacity="3.6 kJ/K")["insulation_capacity"]
    assert "cannot be meant" in problems(leak_tested="1031-02-20")["leak_tested"]
    assert "whole number" in problems(record_revision="2.5")["record_revision"]
    assert "less than the open space" in problems(gas_volume="20 L")["gas_volume"]
    assert "furnace_id" in problems(furnace_id="")


def test_a_whole_calibration_is_taken_and_asks_for_its_day():
    assert "no day" in " ".join(work(**FIVE).notes)
    assert not work(**FIVE, calibrated_on="2031-01-15").notes


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(data=st.data())
def test_any_text_in_any_field_does_no_harm(data):
    typed = dict(EXAMPLE)
    for name in data.draw(st.lists(st.sampled_from(list(furnace.ROWS)), min_size=1, max_size=3, unique=True)):
        typed[name] = data.draw(texts)
    try:
        answer = calcs.work_out("furnace", typed)
    except calcs.Problems as trouble:
        assert trouble.messages
    else:
        assert answer.sentence and not answer.refusal


@pytest.mark.parametrize("name", [f.name for f in furnace.FIELDS if f.kind != "text"])
def test_hostile_text_is_a_problem(name):
    for text in ("two buckets", "💥", "nan", "<img src=x onerror=alert(1)>", "1e999"):
        assert name in problems(**{name: text}), text


# ---------------------------------------------------------------- revisions


def test_a_new_record_begins_at_one_or_at_the_revision_that_the_paper_has():
    typed = {n: v for n, v in EXAMPLE.items() if n != "record_revision"}

    assert records.revised(None, typed, DAY) == {
        "record": {"record_revision": "1"} | typed | {records.ON: DAY},
        "history": [],
    }
    assert kept()["record"]["record_revision"] == "3"


def test_the_same_values_are_the_same_revision_whatever_the_unit():
    base = kept()

    assert revised(base, free_volume="0.024 m3", relief_pressure="35 mbar", relief_capacity="15 m3/h") == base


def test_a_change_raises_the_revision_and_keeps_the_old_values():
    base = kept()
    after = revised(base, relief_pressure="30 mbar gauge")

    assert after["record"]["record_revision"] == "4" and after["record"][records.ON] == "2031-04-01"
    assert after["history"] == [base["record"]]
    assert [c.line for c in records.changes(base["record"], after["record"])] == [
        "Relief opens at: 35 mbar gauge → 30 mbar gauge"
    ]
    again = revised(after, relief_pressure="", record_change="Relief taken out")
    assert again["history"] == [base["record"], after["record"]]
    assert records.changes(after["record"], again["record"])[0].after == records.EMPTY


def test_a_change_needs_a_sentence_a_name_and_no_jump():
    base = kept()
    typed = base["record"] | {"relief_pressure": "30 mbar gauge", "record_revision": "7"}
    with pytest.raises(calcs.Problems) as caught:
        records.revised(base, typed, DAY)

    assert caught.value.messages.keys() == {"record_change", "record_changed_by", "record_revision"}
    assert "It was 3, so this one is 4" in caught.value.messages["record_revision"]


def test_another_furnace_begins_a_record_of_its_own():
    after = revised(kept(), furnace_id="HS-2")

    assert after["history"] == [] and after["record"]["record_revision"] == "1"


def test_nothing_that_contradicts_itself_is_saved():
    with pytest.raises(calcs.Problems):
        revised(kept(), gas_volume="20 L")


def test_a_bare_pressure_is_kept_with_its_word():
    assert records.record_of({"relief_pressure": "30 mbar"}) == {"relief_pressure": "30 mbar gauge"}
    assert records.record_of({"relief_pressure": {"text": "30", "unit": "mbar"}}) == {
        "relief_pressure": "30 mbar gauge"
    }


def test_empty_fields_and_rows_are_not_in_the_record():
    typed = {
        "free_volume": {"text": " ", "unit": "L"},
        "sensor": "",
        "holding_powers": [{"temperature": "", "power": ""}],
    }

    assert records.record_of(typed) == {}


def test_untouched_example_values_are_never_saved():
    reply = ask("furnace_save", inputs=EXAMPLE, touched=[])
    one = ask("furnace_save", inputs=EXAMPLE, touched=[n for n in EXAMPLE if n != "relief_pressure"])
    mine = ask("furnace_save", inputs=EXAMPLE, touched=list(EXAMPLE))

    assert "file" not in reply and "example furnace" in reply["summary"]
    assert list(one["problems"]) == ["relief_pressure"]
    assert mine["furnace"]["record"]["relief_pressure"] == "35 mbar gauge"


def test_a_saved_file_opens_with_its_history():
    base = kept()
    reply = ask(
        "furnace_save",
        inputs=base["record"] | {"bore": "25 mm", "record_change": "Hose", "record_changed_by": "B"},
        touched=list(EXAMPLE),
        furnace=base,
    )
    back = ask("open", kind="furnace", text=reply["file"])

    assert back["furnace"] == reply["furnace"] and back["notes"] == []
    assert reply["file_name"] == "furnace-2031-03-04-4.json"
    assert "25 mm" in reply["history"] and "Hose" in reply["history"]


# ---------------------------------------------------------------- comparing


def test_two_revisions_are_compared_with_what_hangs_on_each_value():
    after = revised(kept(), relief_pressure="30 mbar gauge", bore="25 mm")
    reply = ask("furnace_compare", one="base 0", two="base 1", inputs={}, furnace=after)

    assert "2 values differ" in reply["html"]
    assert "PRS-1, BAK-1, DOC-1" in reply["html"] and "39 mm" in reply["html"] and "25 mm" in reply["html"]


def test_two_files_and_the_form_are_compared():
    base, other = kept(), kept(furnace_id="HS-2", heater_power="9 kW")
    fill = ask("furnace_fill", calculator="furnace", furnace=base, other=other)
    files_ = ask("furnace_compare", one="base 0", two="other 0", inputs={}, furnace=base, other=other)
    form = ask("furnace_compare", one="example", two="form", inputs=EXAMPLE, furnace=base)

    assert [key for key, _ in fill["choices"]] == ["form", "base 0", "other 0", "example"]
    assert "9 kW" in files_["html"] and "HS-2" in files_["html"]
    assert "no value differs" in form["html"]


@pytest.mark.parametrize("key", ["base 5", "base -1", "base x", "other 0", "", "__proto__", "base ²"])
def test_a_record_that_is_not_there_cannot_be_compared(key):
    assert "Choose again" in ask("furnace_compare", one=key, two="form", inputs={}, furnace=kept())["problem"]


def test_names_of_a_record_never_become_markup():
    bad = "<img src=x onerror=alert(1)>"
    after = revised(kept(), furnace_place=bad, record_change=bad, record_changed_by=bad)
    html = ask("furnace_compare", one="base 0", two="base 1", inputs={}, furnace=after)["html"]
    html += ask("furnace_fill", calculator="furnace", furnace=after)["history"]

    assert bad not in html and "&lt;img" in html


# ---------------------------------------------------------------- limits by gas


@pytest.mark.parametrize(
    ("gas", "limit"),
    [
        ("air", "1100 °C"),
        ("argon", "1050 °C"),
        ("nitrogen", ""),
        ("vacuum", "900 °C"),
        (None, "1050 °C"),
        ("mixture", ""),
    ],
)
def test_the_limit_is_that_of_the_gas(gas, limit):
    assert known.limit_for(known.EXAMPLE, gas)[0] == limit


def test_a_gas_without_a_limit_is_named():
    assert "nitrogen" in known.limit_for(known.EXAMPLE, "nitrogen")[1]


def test_a_mixture_takes_the_lowest_of_its_gases_and_hydrogen_has_its_own_row():
    record = {"gas_limits": [
        {"gas": "argon", "temperature": "1050 °C"}, {"gas": "helium", "temperature": "1650 °F"},
        {"gas": known.MIXED, "temperature": "800 °C"}]}  # fmt: skip
    inert = [{"gas": "argon", "share": "50 %"}, {"gas": "helium", "share": "50 %"}]
    fuel = [{"gas": "argon", "share": "98 %"}, {"gas": "hydrogen", "share": "2 %"}]

    assert known.limit_for(record, "mixture", inert) == ("1650 °F", "")
    assert known.limit_for(record, "mixture", fuel) == ("800 °C", "")
    assert "neon" in known.limit_for(record, "mixture", [*inert, {"gas": "neon", "share": "1 %"}])[1]


def test_a_limit_without_its_gas_is_not_used():
    limit, note = known.limit_for({"maximum_temperature": "1100 °C"}, "argon")

    assert limit == "" and "not for which gas" in note


@pytest.mark.parametrize("rows", ["argon 900 °C", [{"gas": ["x"], "temperature": {}}], [{}], 7, None])
def test_rows_that_are_none_give_no_limit(rows):
    assert known.limit_for({"gas_limits": rows}, "argon")[0] == ""


def test_the_plan_says_for_which_gas_the_record_has_no_limit():
    answer = calcs.work_out("plan", PLAN | {"gas": "nitrogen", "maximum_temperature": ""})

    assert answer.checks["DOC-1"]["verdict"] == "outside"
    assert "highest temperature in nitrogen" in answer.checks["DOC-1"]["message"]


def test_pages_are_given_the_limit_of_their_gas():
    assert ask("furnace_fill", calculator="plan", furnace=kept(), inputs={"gas": "air"})["limit"] == "1100 °C"
    assert ask("furnace_fill", calculator="plan", furnace=None, inputs={"gas": "nitrogen"})["limit"] == ""
    lowest = ask("furnace_fill", calculator="tuning", furnace=kept(), inputs={})
    assert lowest["limit"] == "1050 °C" and "lowest" in lowest["note"]


# ---------------------------------------------------------------- review


@pytest.mark.parametrize(
    ("due", "said"),
    [("2031-03-04", ""), ("2031-03-03", "overdue by 1\xa0day."), ("2030-03-04", "overdue by 365\xa0days."), ("", "no day"),
     ("soon", "")],
)  # fmt: skip
def test_an_overdue_review_is_said_in_words(due, said):
    found = known.overdue({"record_review_due": due}, DAY)

    assert said in found if said else found == ""


# ---------------------------------------------------------------- a plan and the record it was made with


def test_a_plan_of_the_same_record_has_nothing_to_tell():
    assert records.plan_and_record(PLAN, kept()["record"]) == ""
    assert ask("furnace_differs", inputs=PLAN, furnace=kept())["said"] == ""


def test_what_changed_since_the_plan_is_told_value_by_value():
    after = revised(kept(), relief_pressure="30 mbar gauge", leak_rate="", pump_speed="16 m3/h")
    said = records.plan_and_record(PLAN, after["record"])

    assert said.startswith("The furnace record changed since this run was planned (revision 3 → 4): ")
    assert "Relief opens at: 35 mbar gauge → 30 mbar gauge" in said
    assert "Air leak rate, inward: 1e-3 mbar L/s → not in the record" in said
    assert "umping speed: 10" not in said  # the plan does not use it


def test_a_changed_limit_is_told_for_the_gas_of_the_plan():
    after = revised(
        kept(), gas_limits=[{"gas": "air", "temperature": "1100 °C"}, {"gas": "argon", "temperature": "900 °C"}]
    )
    said = records.plan_and_record(PLAN, after["record"])

    assert "Highest chamber temperature in this gas: 1050 °C → 900 °C" in said
    assert "in this gas" not in records.plan_and_record(
        PLAN | {"gas": "air", "maximum_temperature": "1100 °C"}, after["record"]
    )


def test_a_plan_typed_with_menus_is_read_like_text():
    typed = PLAN | {
        "relief_pressure": {"text": "35", "unit": "mbar", "sense": "gauge"},
        "free_volume": {"text": "24", "unit": "L"},
    }

    assert records.plan_and_record(typed, kept()["record"]) == ""


def test_other_values_under_the_same_revision_are_told_as_well():
    said = records.plan_and_record(PLAN | {"heater_power": "9 kW"}, kept()["record"])

    assert "both revision 3" in said and "Heater power, highest: 9 kW → 6 kW" in said


def test_a_plan_of_another_furnace_is_not_compared():
    said = records.plan_and_record(PLAN | {"furnace_id": "HS-9"}, kept()["record"])

    assert "HS-9" in said and "keeps the values" in said


def test_a_plan_of_an_older_package_says_so():
    answer = calcs.work_out("plan", PLAN)
    file = json.loads(files.plan_file(PLAN, answer)) | {"calc_version": "calcs 0.0.9"}
    reply = ask("open", kind="plan", text=json.dumps(file))

    assert any("made with calcs 0.0.9" in note and calcs.__version__ in note for note in reply["notes"])


def test_a_furnace_older_than_the_kept_one_says_so():
    base = kept()
    text = files.furnace_file(base["record"])
    reply = ask("open", kind="furnace", text=text, kept=revised(base, bore="25 mm"))

    assert "older" in reply["notes"][0]


# ---------------------------------------------------------------- values from other pages


def test_the_fit_of_a_log_goes_into_the_record():
    reply = ask("work_out", calculator="follow", inputs=calcs.example("follow", "from a log"), touched=[])
    answer = calcs.work_out("follow", calcs.example("follow", "from a log"))
    values = records.calibration(answer, DAY)
    taken = ask("furnace_carried", values=values, furnace=kept())["values"]

    assert "Put into the furnace file" in reply["html"]
    assert taken.keys() == {*calibrated.NAMES, "fit_error", "calibrated_on"} and taken["calibrated_on"] == DAY
    read = furnace.FORM.read({"furnace_id": "x"} | taken)
    assert read["hot_capacity"] == pytest.approx(answer.figures["hot_capacity"].value, rel=1e-5)
    assert read["radiative_area"] == pytest.approx(answer.figures["radiative_area"].value, rel=1e-5)


def test_other_answers_have_no_such_button():
    assert (
        "furnace file" not in ask("work_out", calculator="follow", inputs=calcs.example("follow"), touched=[])["html"]
    )


def test_a_limit_typed_in_a_plan_goes_to_the_row_of_its_gas():
    values = {
        "maximum_temperature": {"text": "950", "unit": "°C"},
        "gas": "nitrogen",
        "record_change": "x",
        "run_name": "y",
    }

    assert records.carried(values, kept()["record"]) == {
        "gas_limits": [*EXAMPLE["gas_limits"], {"gas": "nitrogen", "temperature": "950 °C"}]
    }


# ---------------------------------------------------------------- what lies in a browser may be from anybody


BROKEN = (None, 7, "x", [], {}, {"record": 7}, {"record": []}, {"record": {"a": 7}}, {"record": {"a": [7]}},
          {"record": {}, "history": "x"}, {"record": {"furnace_id": "\ud800"}}, {"record": {"bore": [{"a": [[]]}]}},
          {"record": {str(n): "x" for n in range(1000)}}, {"record": {"bore": "x" * 100_000}})  # fmt: skip


@pytest.mark.parametrize("given", BROKEN, ids=range(len(BROKEN)))
def test_what_is_no_furnace_is_taken_for_none(given):
    assert not ask("furnace_fill", calculator="furnace", furnace=given)["usable"]
    assert not ask("furnace_fill", calculator="purge", furnace=given)["usable"]
    assert ask("furnace_differs", inputs=PLAN, furnace=given)["said"] == ""


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_values_of_a_record_do_no_harm(text):
    record = dict.fromkeys(furnace.ROWS, text) | {"gas_limits": [{"gas": text, "temperature": text}]}
    furnace_ = {"record": {n: v for n, v in record.items() if v != "\x00"}, "history": [record]}

    ask("furnace_fill", calculator="furnace", furnace=furnace_, inputs={"gas": text, "mixture": [{"gas": text}]})
    ask("furnace_differs", inputs=PLAN, furnace=furnace_)
    ask("furnace_compare", one="base 0", two="base 1", inputs=record, furnace=furnace_)
    ask("furnace_save", inputs=record, touched=list(record), furnace=furnace_)
    ask("furnace_carried", values=record, furnace=furnace_)


@pytest.mark.parametrize(
    ("parts", "why"),
    [({"history": 7}, "history"), ({"history": [7]}, "rows of texts"), ({"record": {"bore": 7}}, "rows of texts"),
     ({"record": {"x" * 10_000: 5}}, "rows of texts"), ({"history": [{}] * 301}, "history"), ({"version": 2}, "newer page"),
     ({"record": {"furnace_id": "\ud800"}}, "rows of texts"), ({"format": "furnace-run"}, "saved plan"),
     ({"format": ["furnace-record"]}, "not a file of this site"), ({"record": {"colour": "red"}}, "single value")],
)  # fmt: skip
def test_a_furnace_file_that_cannot_be_used_says_why(parts, why):
    text = json.dumps(json.loads(files.furnace_file(EXAMPLE)) | parts)
    reply = ask("open", kind="furnace", text=text)

    assert why in reply["problem"] and reply["problem"].endswith(".") and "furnace" not in reply


@pytest.mark.parametrize("name", ["checks", "code", "calc_version", "totals", "status"])
@pytest.mark.parametrize("value", [7, "x", [1], [{"id": [], "verdict": {}}], {"id": 1}, None, "<img src=x>"])
def test_what_a_plan_file_says_beside_its_inputs_does_no_harm(name, value):
    text = json.dumps({"format": "furnace-run", "version": 1, "inputs": PLAN, name: value})

    assert ask("open", kind="plan", text=text)["inputs"] == PLAN


def test_thousands_of_unknown_names_are_told_in_a_few_sentences():
    text = json.dumps(
        {"format": "furnace-run", "version": 1, "inputs": PLAN} | {f"key {n}": "x" * 100 for n in range(9000)}
    )

    assert len(ask("open", kind="plan", text=text)["notes"]) < 15
