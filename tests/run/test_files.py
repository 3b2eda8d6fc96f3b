"""Saved plans and furnace records: there and back, and one clear sentence where a file cannot be opened."""

import json

import pytest

import calcs
from calcs import furnace
from calcs.run import files
from tests.run.runs import EXAMPLE, plan, segments


def saved(**changed):
    typed = EXAMPLE | changed
    return files.plan_file(typed, calcs.work_out("plan", typed))


def altered(**parts):
    return json.dumps(json.loads(saved()) | parts)


def reason(text, kind=files.PLAN):
    with pytest.raises(files.CannotOpen) as caught:
        files.opened(text, kind)
    message = caught.value.message
    assert message.endswith(".") and message.count(". ") == 0, message
    return caught.value.reason


def test_there_and_back_gives_the_same_code():
    file = files.opened(saved())
    typed = files.plan_inputs(file)
    again = calcs.work_out("plan", typed)
    assert again.figures["plan_code"].value == file["code"] == plan().figures["plan_code"].value
    assert file["unknown"] == [] and files.changed_since(file, again) == []


def test_text_and_menu_unit_are_kept_apart():
    typed = EXAMPLE | {"free_volume": ("24", "L"), "set_point": {"text": "10", "unit": "mbar", "sense": "gauge"}}
    text = files.plan_file(typed, plan())
    back = files.plan_inputs(files.opened(text))
    assert calcs.work_out("plan", back).figures["plan_code"].value == plan().figures["plan_code"].value


def test_tables_survive():
    typed = segments("ramp to 600 °C at 5 K/min · soak 30 min · cool to 60 °C")
    back = files.plan_inputs(files.opened(saved(**typed)))
    assert calcs.work_out("plan", back).figures["plan_code"].value == plan(**typed).figures["plan_code"].value


def test_a_draft_is_saved_as_well():
    file = files.opened(saved(room_volume=""))
    assert file["status"] == "draft" and {"id": "ROOM-1", "verdict": "cannot_say"}.items() <= file["checks"][0].items()
    assert "room_volume" not in file["inputs"]


def test_what_a_file_says_of_checks_is_not_believed():
    file = files.opened(
        altered(checks=[], status="for release", inputs=json.loads(saved())["inputs"] | {"attended": "no"})
    )
    answer = calcs.work_out("plan", files.plan_inputs(file))
    assert answer.figures["status"].value == "draft"
    found = files.changed_since(file, answer)
    assert any("ATT-1" in line for line in found) and any("code" in line for line in found)


def test_a_furnace_record_there_and_back():
    record = {name: furnace.EXAMPLE[name] for name in furnace.EXAMPLE}
    back = files.furnace_record(files.opened(files.furnace_file(record), files.FURNACE))
    assert back == {name: value for name, value in record.items()}


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "damaged"),
        ("{", "damaged"),
        (saved()[:-40], "damaged"),
        ("[" * 100_000, "damaged"),
        ('{"a":' * 100_000, "damaged"),
        ('"\\' * 300_000, "damaged"),  # in the time that it is long, not in the square of it
        ('"' + "[" * 100_000, "damaged"),
        (altered(extra=json.loads("[" * 40 + "]" * 40)), "damaged"),
        ('{"format": "furnace-run", "version": NaN}', "damaged"),
        ("[]", "wrong_kind"),
        ("7", "wrong_kind"),
        ("null", "wrong_kind"),
        ('{"format": "something"}', "wrong_kind"),
        (files.furnace_file({"free_volume": "24 L"}), "wrong_kind"),
        (altered(version=2), "schema_newer"),
        (altered(version="1"), "damaged"),
        (altered(version=True), "damaged"),
        (altered(version=0), "damaged"),
        (altered(inputs=None), "damaged"),
        (altered(inputs={"flow": 3}), "damaged"),
        (altered(inputs={"load": ["text"]}), "damaged"),
        (altered(inputs={"load": [{"material": [1]}]}), "damaged"),
        (altered(inputs={"flow": {"text": "2", "unit": ["L"]}}), "damaged"),
        (altered(padding="x" * 5_000_001), "too_large"),
    ],
)
def test_a_file_that_cannot_be_opened(text, why):
    assert reason(text) == why


def test_brackets_within_texts_are_not_counted():
    assert files.opened(altered(extra="[{" * 1000 + '\\"'))["extra"].startswith("[{")


def test_a_plan_is_no_furnace_record():
    assert reason(saved(), files.FURNACE) == "wrong_kind"


def test_unknown_parts_are_kept_and_named():
    file = files.opened(altered(extra={"a": 1}, inputs=json.loads(saved())["inputs"] | {"colour": "red"}))
    assert file["extra"] == {"a": 1}
    assert len(file["unknown"]) == 2 and "extra" in file["unknown"][0] and "colour" in file["unknown"][1]
    assert "colour" not in files.plan_inputs(file)


def test_a_mark_at_the_start_of_the_file_does_not_matter():
    assert files.opened("\ufeff" + saved())["version"] == 1


def test_values_go_the_way_of_typing():
    file = files.opened(altered(inputs=EXAMPLE | {"flow": "two buckets"}))
    with pytest.raises(calcs.Problems) as caught:
        calcs.work_out("plan", files.plan_inputs(file))
    assert "flow" in caught.value.messages


def test_the_name_of_a_file_holds_no_typed_text():
    assert files.file_name(files.PLAN, "2031-03-04", "7QK-2M4-HX3") == "run-2031-03-04-7QK-2M4-HX3.json"
    assert "/" not in files.file_name(files.PLAN, "../../x", "a/b")
