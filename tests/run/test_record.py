"""The record of a run: kept as written, bound by its codes, and changed after closing only with a reason."""

import csv
import io
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calcs
from calcs.page import respond
from calcs.run import bands, code, files, plan, record, record_files
from tests.anything import HOSTILE, texts
from tests.html_check import Checked
from tests.run.runs import EXAMPLE as PLAN
from tests.run.runs import mixture, segments

EXAMPLE = calcs.example("record")


def work(**changed):
    return calcs.work_out("record", {n: v for n, v in (EXAMPLE | changed).items() if v != ""})


def of_plan(**changed) -> dict:
    """Return the two inputs that name another plan."""
    typed = PLAN | changed
    return {
        "plan_file": json.dumps({"format": "furnace-run", "version": 1, "inputs": typed}),
        "plan_code": calcs.work_out("plan", typed).figures["plan_code"].value,
    }


def readings(**changed) -> list[dict]:
    """Return the example's readings with some of them changed: s4="0.11 mbar"."""
    return [dict(row) | ({"actual": changed[f"s{row['step']}"]} if f"s{row['step']}" in changed else {})
            for row in EXAMPLE["actuals"]]  # fmt: skip


def saved(**changed) -> str:
    """Return the file of a record."""
    typed = {n: v for n, v in (EXAMPLE | changed).items() if v != ""}
    reply = respond(
        {"do": "work_out", "calculator": "record", "inputs": typed, "touched": list(typed), "revision": "1"}
    )
    assert reply["state"] == "answered", reply
    return reply["file"]


def reopened(file: str, **changed):
    """Return the answer to a record file with some inputs changed, the way the page does it."""
    found = respond({"do": "open_record", "text": file})
    typed = {"plan_file": file, "plan_code": found["plan_code"], **found["inputs"], **changed}
    return calcs.work_out("record", {n: v for n, v in typed.items() if v != ""})


def problems(**changed) -> dict:
    with pytest.raises(calcs.Problems) as caught:
        work(**changed)
    return caught.value.problems


def cell(answer, step: int, column: str) -> str:
    return next(row[column] for row in answer.figures["comparison"].rows if row["step"] == str(step))


# ---------------------------------------------------------------- the whole example


def test_the_example_is_a_closed_record():
    answer = work()

    assert answer.sentence.startswith("Closed, version 1: 15 of 15 readings recorded, 1 outside")
    assert answer.verdict == "outside" and answer.judged
    assert answer.figures["complete"].value == 1
    assert cell(answer, 10, "verdict") == "outside" and cell(answer, 10, "actual") == "588 °C; +11 mbar"
    assert "history" not in answer.figures


def test_the_figures_have_the_names_of_the_contract():
    columns = {shown.name: [c.name for c in shown.columns] for shown in record.FIGURES}

    assert list(columns) == ["record_code", "complete", "gas_used", "comparison", "history"]
    assert columns["comparison"] == ["step", "planned", "accept", "actual", "verdict"]
    assert columns["history"] == ["field", "old", "new", "when", "who", "why"]


def test_page_and_print_say_that_a_name_is_no_signature():
    reply = respond({"do": "work_out", "calculator": "record", "inputs": EXAMPLE, "touched": []})

    assert reply["html"].count("Typing a name is not a signature") == 2
    assert "EXAMPLE — NOT A RECORD" in reply["html"]


def test_the_example_code_is_that_of_the_example_plan():
    assert EXAMPLE["plan_code"] == calcs.work_out("plan", PLAN).figures["plan_code"].value


# ---------------------------------------------------------------- nothing is tidied


def test_an_empty_reading_stays_not_recorded():
    answer = work(actuals=readings(s4="", s7=""))

    assert cell(answer, 4, "actual") == record.NOT_RECORDED and cell(answer, 4, "verdict") == "cannot_say"
    assert answer.figures["complete"].value == pytest.approx(13 / 15)


def test_without_any_reading_it_is_open_and_empty():
    answer = calcs.work_out("record", {n: EXAMPLE[n] for n in ("plan_file", "plan_code")})

    assert answer.sentence.startswith("Open: 0 of 15") and not answer.judged
    assert answer.extra["record"].status == record_files.OPEN
    assert "result against target, closed by and where the paper is kept" in answer.sentence


def test_a_reading_outside_its_band_is_asked_about_once_and_kept():
    typed = EXAMPLE | {"actuals": readings(s4="0.5 mbar; 22 min")}
    request = {"do": "work_out", "calculator": "record", "inputs": typed, "touched": list(typed)}
    first = respond(request)
    again = respond(request | {"asked": ["4|0.5 mbar; 22 min", "10|588 °C; +11 mbar"]})

    assert "Look at the paper again" in first["html"] and "“0.5 mbar; 22 min” lies outside" in first["html"]
    assert "Look at the paper again" not in again["html"] and "0.5 mbar; 22 min" in again["html"]
    kept = json.loads(again["file"])
    assert kept["versions"][0]["inputs"]["actuals"][3]["actual"] == "0.5 mbar; 22 min"
    assert "Look at the paper again" not in respond(request | {"inputs": typed | {"plan_file": again["file"]}})["html"]


def test_two_readings_of_one_step_both_stand():
    rows = [*readings(), {"step": "4", "actual": "0.3 mbar", "time": "08:55", "initials": "AE"}]
    answer = work(actuals=rows)

    assert [row["actual"] for row in answer.figures["comparison"].rows if row["step"] == "4"] == [
        "0.09 mbar; 22 min", "0.3 mbar",
    ]  # fmt: skip
    assert answer.figures["complete"].value == 1


def test_readings_can_be_pasted_as_lines():
    answer = work(actuals="4 0.09 mbar 08:57 AE · 12 +7 mbar · 7 0.007 mbar, flattening 09:45 AE")
    rows = answer.extra["record"].readings

    assert rows[0] == {"step": "4", "actual": "0.09 mbar", "time": "08:57", "initials": "AE"}
    assert cell(answer, 12, "verdict") == "within" and cell(answer, 7, "actual") == "0.007 mbar, flattening"


@pytest.mark.parametrize(
    ("step", "reading", "verdict"),
    [
        (4, "0.1 mbar", "within"),
        (4, "0.11 mbar", "outside"),
        (4, "10 Pa", "within"),
        (4, "75 mTorr", "within"),
        (4, "76 mTorr", "outside"),
        (4, "0,09 mbar", "within"),
        (4, "0.09", "cannot_say"),
        (4, "0.09 mbar; 61 min", "outside"),
        (4, "994.9 mbar below", "within"),
        (5, "999 mbar", "outside"),
        (5, "+10 mbar gauge", "within"),
        (1, "room oxygen 20.5 %; cylinder 120 bar", "outside"),
        (1, "20.9 %; 109 bar", "outside"),
        (2, "2100 g", "within"),
        (2, "2101 g", "outside"),
        (3, "Yes.", "within"),
        (3, "blocked", "outside"),
        (7, "0.004 mbar; straight", "outside"),
        (9, "1005 mbar abs; 20 ppm", "within"),
        (9, "+10 mbar; 21 ppm", "outside"),
        (10, "595 °C; power 60 %", "within"),
        (10, "1112 °F", "within"),
        (11, "606 °C", "outside"),
        (11, "load 605 °C, +12 mbar", "within"),
        (12, "+1.9 mbar", "outside"),
        (13, "20.4 %", "outside"),
        (14, "white deposit", "cannot_say"),
        (14, "deposit", "outside"),
        (4, "<img src=x onerror=alert(1)>", "cannot_say"),
    ],
)
def test_a_reading_is_compared_with_what_the_card_prints(step, reading, verdict):
    assert cell(work(actuals=readings(**{f"s{step}": reading})), step, "verdict") == verdict


def test_every_step_of_other_plans_has_its_band_and_says_what_the_card_says():
    for changed in (segments("ramp to 500 °C at 5 K/min · soak 1 h · cool to 60 °C"), mixture("argon 98 % · hydrogen 2 %"),
                    {"pumped_pressure": "", "cycles": "", "effective_speed": ""}, {"leak_rate": ""},
                    {"gas": "air", "finish": "oxide allowed", "target_oxygen": ""}):  # fmt: skip
        answer = calcs.work_out("plan", PLAN | changed)
        if "steps" not in answer.figures:
            continue
        accepted = bands.of(answer)
        assert len(accepted) == len(answer.figures["steps"].rows)
        assert all(band.low <= band.high for step in accepted for band in step.bands)
        assert any(step.bands for step in accepted)


@given(reading=texts)
@settings(max_examples=200, deadline=None, derandomize=True)
def test_any_reading_gets_a_verdict(reading):
    accepted = bands.of(calcs.work_out("plan", PLAN))

    for step in accepted:
        assert bands.judge(reading, step, 99_500.0) in ("within", "outside", "cannot_say")


# ---------------------------------------------------------------- codes


@pytest.mark.parametrize("typed", ["7QK-2M4-H", "", "D7M", "💥", "7QK-2M4-H7Q-2"])
def test_a_code_that_none_is_is_misread(typed):
    if not typed:
        assert "plan_code" in problems(plan_code="")
    else:
        assert work(plan_code=typed).refusal.reason == "code_misread"


def test_each_slip_of_one_character_is_found():
    right = EXAMPLE["plan_code"].replace("-", "")
    for place in range(9):
        other = code.ALPHABET[(code.ALPHABET.index(right[place]) + 7) % 32]
        typed = right[:place] + other + right[place + 1 :]

        assert work(plan_code=typed).refusal.reason == "code_misread", typed


def test_a_code_typed_the_way_people_write_is_read():
    right = EXAMPLE["plan_code"]

    assert not work(plan_code=right.lower().replace("-", " ")).refusal


def test_the_code_of_another_plan_is_refused_with_both_shown():
    other = of_plan(run_name="Copper strip 15")["plan_code"]
    refusal = work(plan_code=other).refusal

    assert refusal.reason == "code_mismatch"
    assert other in refusal.message and EXAMPLE["plan_code"] in refusal.message


def test_a_code_of_an_older_package_is_accepted_and_said():
    file = {"format": "furnace-run", "version": 1, "calc_version": "calcs 0.0.9", "code": "000-000-000", "inputs": PLAN}
    answer = work(plan_file=json.dumps(file), plan_code="000-000-000")

    assert not answer.refusal and any("calcs 0.0.9" in note for note in answer.notes)
    assert answer.extra["record"].plan_code == "000-000-000"
    same = file | {"calc_version": f"calcs {calcs.__version__}"}
    assert work(plan_file=json.dumps(same), plan_code="000-000-000").refusal.reason == "code_mismatch"


def test_the_record_code_hangs_on_everything_that_is_kept():
    seen = {
        work(**changed).figures["record_code"].value
        for changed in (
            {},
            {"actuals": readings(s2="2.03 kg")},
            {"result": "not accepted"},
            {"closed_by": "C. Example"},
            {"paper_kept": "folder 4"},
            {"cylinder_pressure_after": "97 bar gauge"},
            {"deviations": ""},
            {"log": "0 20\n1 21\n"},
            {"log": "0 20\n1 22\n"},
            of_plan(run_name="Other"),
        )  # fmt: skip
    }

    assert len(seen) == 10
    assert all(code.read_code(found) == found for found in seen)
    assert work().figures["record_code"].value in seen


# ---------------------------------------------------------------- where the plan comes from


def link(inputs) -> str:
    from urllib.parse import quote

    state = json.dumps({"schema": 1, "revision": "1", "inputs": inputs})
    return f"https://example.org/run/plan/#in={quote(state, safe='')}"


def test_a_link_of_the_plans_page_is_a_plan():
    assert not work(plan_file=link(PLAN)).refusal


@pytest.mark.parametrize(
    ("text", "reason", "words"),
    [
        ("not json", "not_a_plan", "damaged"),
        ("last plan", "not_a_plan", "browser"),
        ("{", "not_a_plan", "damaged"),
        ("[" * 100_000, "not_a_plan", "damaged"),
        ('{"format": "furnace-record", "version": 1, "record": {}}', "not_a_plan", "furnace record"),
        ('{"format": "other", "version": 1}', "not_a_plan", "not a file of this site"),
        ('{"format": "furnace-run", "version": 99, "inputs": {}}', "schema_newer", "newer page"),
        ('{"format": "record-of-run", "version": 99}', "schema_newer", "newer page"),
        ('{"format": "record-of-run", "version": 1}', "not_a_plan", "damaged"),
        ('{"format": "furnace-run", "version": 1, "inputs": {}}', "not_a_plan", "not accepted now"),
        ("https://example.org/run/plan/#in=%7B", "not_a_plan", "damaged"),
        ("https://example.org/run/plan/#in=%7B%22schema%22%3A2%7D", "schema_newer", "update"),
        ("https://example.org/run/plan/#other", "not_a_plan", "no link"),
        ("x" * 5_000_001, "not_a_plan", "5 MB"),
        (f"https://example.org/#in={'x' * 9000}", "not_a_plan", "8000"),
    ],
)
def test_what_is_no_plan_says_why_in_one_sentence(text, reason, words):
    refusal = work(plan_file=text).refusal

    assert refusal.reason == reason and words in refusal.why and refusal.field == "plan_file"
    assert respond({"do": "open_record", "text": text})["problem"] == refusal.why


def test_a_file_over_5_mb_is_refused_in_a_sentence():
    text = '{"format": "furnace-run", "x": "' + "x" * 5_000_000 + '"}'

    assert "larger than 5 MB" in respond({"do": "open_record", "text": text})["problem"]


def test_a_plan_that_is_refused_or_stopped_early_has_nothing_to_compare_with():
    stopped = of_plan(soak_temperature="1400 °C")
    refused = json.dumps({"format": "furnace-run", "version": 1, "inputs": PLAN | {"gas": "oxygen"}})

    assert work(**stopped).refusal.reason == "not_a_plan"
    assert work(plan_file=refused).refusal.reason == "not_a_plan"


def test_a_record_of_a_draft_says_so():
    answer = work(**of_plan(room_volume=""))

    assert any("draft" in note for note in answer.notes)


# ---------------------------------------------------------------- rows that cannot be placed


def test_a_step_that_the_plan_does_not_have_is_a_problem():
    for step in ("16", "0", "x", "-1", "٣"):
        found = problems(actuals=[{"step": step, "actual": "1"}])["actuals"]

        assert "it has 1 to 15" in found.message and found.cell == (0, "step")


def test_a_rejection_needs_its_reason():
    row = {"step": "10", "what": "log 1: late", "decision": "rejected"}

    assert problems(deviations=[row])["deviations"].cell == (0, "why")
    assert not work(deviations=[row | {"why": "clock of the logger"}]).refusal


def test_a_hash_that_none_is_is_a_problem():
    assert "64 digits" in problems(photographs=[{"file": "a.jpg", "sha256": "abc"}])["photographs"].message


# ---------------------------------------------------------------- gas


def test_the_gas_is_the_same_in_other_units():
    one = work(cylinder_pressure_after="98 bar gauge").figures["gas_used"]
    other = work(cylinder_pressure_after="98.995 bar abs").figures["gas_used"]
    menu = work(cylinder_pressure_after={"text": "9800", "unit": "kPa", "sense": "gauge"}).figures["gas_used"]

    assert one.value == pytest.approx(other.value, rel=1e-9) == pytest.approx(menu.value, rel=1e-9)
    assert one.low_value < one.value < one.high_value


@pytest.mark.parametrize("gas, name", [("argon", "Argon"), ("nitrogen", "Nitrogen"), ("helium", "Helium")])
@pytest.mark.parametrize("after", [2, 20, 60, 100, 119])
def test_gas_used_agrees_with_the_library(gas, name, after):
    from CoolProp.CoolProp import PropsSI

    answer = work(cylinder_pressure_after=f"{after} bar gauge", actuals="", **of_plan(gas=gas))
    if answer.refusal:
        pytest.skip(answer.refusal.why)
    ambient, temperature = 99_500.0, 293.15
    held = [PropsSI("Dmolar", "P", bar * 1e5 + ambient, "T", temperature, name) * 0.05 for bar in (120, after)]
    expected = (held[0] - held[1]) * 8.314462618 * 273.15 / 101_325.0

    assert answer.figures["gas_used"].value == pytest.approx(expected, rel=2e-3)


def test_a_cylinder_that_rises_gives_no_figure_and_says_why():
    answer = work(cylinder_pressure_after="130 bar gauge")

    assert "gas_used" not in answer.figures and any("reads more at the end" in note for note in answer.notes)


def test_a_pressure_without_a_sense_is_asked_for():
    assert "abs" in problems(cylinder_pressure_after="98 bar")["cylinder_pressure_after"].message
    assert "cylinder_pressure_after" in problems(cylinder_pressure_after="400 bar gauge")


# ---------------------------------------------------------------- there and back, versions


def test_there_and_back_gives_the_same_record():
    file = saved()
    answer = reopened(file)

    assert answer.figures["record_code"].value == work().figures["record_code"].value
    assert answer.extra["record"].number == 1 and not answer.notes[0].startswith("The code of version")
    assert answer.sentence == work().sentence


def test_an_open_record_goes_on_without_a_reason():
    file = saved(result="", closed_by="", paper_kept="", actuals=readings(s12=""))
    answer = reopened(file, actuals=readings(), result="accepted", closed_by="B. Example", paper_kept="folder 3")

    assert answer.extra["record"].number == 1 and answer.extra["record"].status == record_files.CLOSED
    assert answer.extra["record"].history == ()


def test_a_change_after_closing_without_a_reason_is_refused():
    refusal = reopened(saved(), actuals=readings(s4="0.08 mbar; 22 min")).refusal

    assert refusal.reason == "no_reason" and refusal.field == "change_reason"


def test_a_change_after_closing_makes_a_version_and_keeps_the_old():
    first = saved()
    answer = reopened(first, actuals=readings(s4="0.08 mbar; 22 min"), closed_by="C. Example", change_reason="misread")
    found = answer.extra["record"]
    row = answer.figures["history"].rows[0]

    assert found.number == 2 and answer.sentence.startswith("Closed, version 2")
    assert (row["field"], row["old"], row["new"]) == (
        "Readings, step 4, actual",
        "0.09 mbar; 22 min",
        "0.08 mbar; 22 min",
    )
    assert row["who"] == "C. Example" and row["why"] == "misread" and row["when"].endswith("UTC")
    assert answer.figures["history"].rows[1]["field"] == "Closed by"

    second = record_files.record_file(found, {})
    versions = json.loads(second)["versions"]
    assert [v["number"] for v in versions] == [1, 2]
    assert versions[0] == json.loads(first)["versions"][0]
    third = reopened(second, result="not accepted", change_reason="measured again")
    assert third.extra["record"].number == 3 and len(third.figures["history"].rows) == 3
    assert third.extra["record"].code != found.code
    assert "misread" in json.dumps(third.figures["history"].rows)


def test_reopened_and_unchanged_it_stays_the_version_that_it_was():
    answer = reopened(saved(), actuals=readings(s4="0.08 mbar"), change_reason="misread")
    again = reopened(record_files.record_file(answer.extra["record"], {}))

    assert again.extra["record"].number == 2
    assert again.figures["record_code"].value == answer.figures["record_code"].value
    assert again.extra["record"].why == "misread" and again.extra["record"].saved == answer.extra["record"].saved
    assert again.extra["record"].history == answer.extra["record"].history


def test_a_closed_record_stays_closed():
    with pytest.raises(calcs.Problems) as caught:
        reopened(saved(), result="", change_reason="not sure")

    assert "stays closed" in caught.value.messages["result"]


def test_removed_and_added_rows_are_changes():
    answer = reopened(saved(), deviations=[], actuals=[*readings()[:-1]], change_reason="page of another run")
    fields = [row["field"] for row in answer.figures["history"].rows]

    assert "Readings, step 15, actual" in fields and "Deviations, row 1, what" in fields
    assert all(row["new"] == "" for row in answer.figures["history"].rows)


def test_an_altered_file_says_that_its_code_does_not_fit():
    found = json.loads(saved())
    found["versions"][0]["inputs"]["actuals"][3]["actual"] = "0.01 mbar"
    answer = reopened(json.dumps(found))

    assert any("The code of version 1 does not fit" in note for note in answer.notes)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda f: f.pop("plan"),
        lambda f: f.update(plan=[]),
        lambda f: f.update(versions={}),
        lambda f: f.update(versions=[]),
        lambda f: f.update(versions=[1]),
        lambda f: f.update(versions=f["versions"] * 201),
        lambda f: f["versions"][0].update(number=2),
        lambda f: f["versions"][0].update(status="done"),
        lambda f: f["versions"][0].update(inputs=[1]),
        lambda f: f["versions"][0].update(inputs={"actuals": [[1]]}),
        lambda f: f["versions"][0].update(log={"rows": "many"}),
        lambda f: f["versions"][0].update(who=7),
        lambda f: f.update(history="none"),
        lambda f: f.update(history=[{"field": "x"}]),
        lambda f: f["plan"].update(inputs={"gas": 7}),
    ],
)
def test_a_damaged_record_gives_one_sentence(spoil):
    found = json.loads(saved())
    spoil(found)
    message = respond({"do": "open_record", "text": json.dumps(found)})["problem"]

    assert "damaged" in message and message.endswith(".") and message.count(". ") == 0


def test_a_cut_off_record_is_damaged():
    assert "damaged" in respond({"do": "open_record", "text": saved()[:-50]})["problem"]


def test_unknown_parts_are_named():
    found = json.loads(saved()) | {"extra": 1}
    found["versions"][0]["inputs"]["other"] = "x"
    reply = respond({"do": "open_record", "text": json.dumps(found)})

    assert any("“extra”" in note for note in reply["notes"]) and "other" not in reply["inputs"]


@given(data=st.data())
@settings(max_examples=60, deadline=None, derandomize=True)
def test_any_text_anywhere_in_a_record_file_does_no_harm(data):
    found = json.loads(saved())
    version = found["versions"][0]
    spots = [(found, "plan"), (found, "history"), (found, "asked"), (version, "inputs"), (version, "log"),
             (version, "who"), (version["inputs"], "result"), (version["inputs"]["actuals"][0], "step"),
             (version["inputs"], "cylinder_pressure_after"), (found["plan"], "code"), (found, "version")]  # fmt: skip
    place, key = data.draw(st.sampled_from(spots))
    place[key] = data.draw(st.one_of(texts, st.none(), st.lists(texts, max_size=2), st.integers()))
    reply = respond({"do": "open_record", "text": json.dumps(found)})

    assert "problem" in reply or reply["steps"]
    trend = respond({"do": "trends", "files": [{"name": "x", "text": json.dumps(found)}]})
    assert trend["say"]


# ---------------------------------------------------------------- hash, log, photographs


@pytest.mark.parametrize(
    ("message", "digest"),
    [  # FIPS 180-4, examples of SHA-256: one block, two blocks; the third is a million letters a
        (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
        (b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
         "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"),
        (b"a" * 1_000_000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
    ],
)  # fmt: skip
def test_the_hash_is_that_of_the_standard(message, digest):
    import base64

    assert record_files.fingerprint(message) == digest
    reply = respond({"do": "fingerprint", "data": base64.b64encode(message).decode()})
    assert reply == {"sha256": digest, "bytes": len(message)}


def test_what_is_no_base64_gives_a_sentence():
    assert "could not be read" in respond({"do": "fingerprint", "data": "not base64!"})["problem"]


def test_the_log_is_kept_as_name_hash_and_rows_and_not_as_text():
    text = "time,temperature\r\n0,20.3\r\n10,68.9\r\n"
    answer = work(log=text, log_name="run14.csv")
    log = answer.extra["record"].log

    assert log["name"] == "run14.csv" and log["rows"] == 3
    assert log["sha256"] == record_files.fingerprint(text.encode())
    file = record_files.record_file(answer.extra["record"], {})
    assert "68.9" not in file and log["sha256"] in file
    assert log["sha256"] in " ".join(answer.notes)


def test_the_log_of_an_earlier_version_stays_and_another_one_is_a_change():
    file = saved(log="0 20\n1 21\n", log_name="a.csv")

    assert reopened(file).extra["record"].log["name"] == "a.csv"
    assert reopened(file).extra["record"].number == 1
    assert reopened(file, log="0 20\n1 22\n").refusal.reason == "no_reason"
    changed = reopened(file, log="0 20\n1 22\n", change_reason="wrong file")
    assert changed.figures["history"].rows[0]["field"] == "Log"


def test_a_log_is_compared_and_each_finding_leads_to_its_step():
    log = calcs.example("log")["log"]
    answer = work(log=log, log_name="run14.csv")
    found = answer.extra["record"]

    assert calcs.work_out("log", calcs.example("log")).sentence[:30] in found.log["said"]
    assert [row["step"] for row in found.proposals] == ["12"]  # 159 min after the start: heated 116, held 30
    html = respond({"do": "work_out", "calculator": "record", "inputs": EXAMPLE | {"log": log}, "touched": []})["html"]
    assert "Found in the log: decide each" in html and html.count("data-decide") == 3
    row = {"step": "12", "what": found.proposals[0]["what"], "why": "valve slipped", "decision": "explained"}
    assert work(log=log, deviations=[row]).extra["record"].proposals == ()


def test_a_line_that_only_refers_to_a_log_is_no_log():
    from calcs import logs

    token = part_of_a_log(calcs.example("log")["log"].replace(" · ", "\n"))
    assert logs.is_reference(token) and not logs.is_reference("0 20\n1 21")
    assert "hash" in problems(log=token)["log"].message


def part_of_a_log(text: str) -> str:
    """Return the line that stands for a log read in slices."""
    size = len(text)
    reply = respond(
        {
            "do": "log_part",
            "token": "",
            "text": text,
            "name": "a.txt",
            "start": "1",
            "size": size,
            "done": size,
            "last": True,
        }
    )
    return reply["reference"]


def test_findings_of_a_log_wait_for_a_decision():
    from calcs.run import record_log

    log = {"findings": ["log 1 (step 10): 12 K behind (40 to 60 min)", "log 2: below the band"]}
    row = {"step": "10", "what": "log 2: below the band", "why": "", "who": "", "decision": "accepted"}

    assert [(r["key"], r["step"]) for r in record_log.undecided(log, [row])] == [("log 1 (step 10)", "10")]
    assert [r["step"] for r in record_log.undecided(log, [])] == ["10", ""]
    assert record_log.undecided(None, [row]) == ()


# ---------------------------------------------------------------- page, paper, CSV


@pytest.mark.parametrize("hostile", [text for text in HOSTILE if text.strip()])
def test_hostile_text_stays_text_on_page_paper_and_in_the_file(hostile):
    typed = EXAMPLE | {
        "actuals": [{"step": "4", "actual": hostile, "time": hostile, "initials": hostile}],
        "deviations": [{"step": "4", "what": hostile, "why": hostile, "who": hostile}],
        "closed_by": hostile, "paper_kept": hostile, "log": hostile, "log_name": hostile,
    }  # fmt: skip
    reply = respond({"do": "work_out", "calculator": "record", "inputs": typed, "touched": list(typed)})

    if reply["state"] == "answered":
        assert "<img" not in reply["html"] and "<script" not in reply["html"]
        assert Checked(reply["html"]).elements
        assert "problem" not in respond({"do": "open_record", "text": reply["file"]})
    else:
        assert reply["state"] == "problems" and reply["html"] == ""


def test_the_csv_is_quoted_as_the_standard_has_it():
    typed = EXAMPLE | {"actuals": readings(s4='0.09 mbar, "slow"', s12="=1+1")}
    text = respond({"do": "work_out", "calculator": "record", "inputs": typed, "touched": list(typed)})["csv"]

    assert '"0.09 mbar, ""slow"""' in text  # RFC 4180, 2.5 to 2.7
    assert text.endswith("\r\n") and "\n" not in text.replace("\r\n", "")
    rows = list(csv.reader(io.StringIO(text, newline="")))
    assert any('0.09 mbar, "slow"' in row for row in rows) and any("'=1+1" in row for row in rows)


def test_paper_shows_at_most_what_three_sides_hold():
    file = saved()
    for number in range(20):
        answer = reopened(file, paper_kept=f"folder {number + 10}", change_reason="moved")
        file = record_files.record_file(answer.extra["record"], {})
    from calcs.page import record as page

    html = page.sheet_html(answer)
    assert "8\N{NO-BREAK SPACE}earlier changes in the file" in html and answer.figures["record_code"].value in html
    assert len(answer.figures["history"].rows) == 20


def test_file_names_hold_no_typed_text():
    reply = respond(
        {"do": "work_out", "calculator": "record", "inputs": EXAMPLE | {"closed_by": "../x"}, "touched": []}
    )

    assert reply["file_name"] == f"record-2031-03-04-{EXAMPLE['plan_code']}-v1.json"
    assert json.loads(reply["file"])["format"] == files.RECORD


def test_opening_a_plan_gives_its_steps_in_words():
    reply = respond({"do": "open_record", "text": EXAMPLE["plan_file"]})

    assert [row["step"] for row in reply["steps"]] == [str(n) for n in range(1, 16)]
    words = reply["steps"][3]["words"].replace("\N{NO-BREAK SPACE}", " ")
    assert "Pump down, 1 of 2" in words and "at most 0.1 mbar abs" in words
    assert reply["inputs"] == {} and reply["plan_code"] == "" and not reply["closed"]


def test_the_parts_of_the_form_hold_every_field():
    assert {f.name for f in plan.FORM.fields}.isdisjoint({"actuals"})
    assert [n for _, names in record.FORM.parts for n in names] == [f.name for f in record.FORM.fields]
