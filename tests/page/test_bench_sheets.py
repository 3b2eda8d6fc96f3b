"""The bench sheets: every part there, steps counted through, references to steps and events that exist."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SHEETS = sorted((ROOT / "docs/bench").glob("*.md"))
STEP = re.compile(r"^\| (\d+) \| (.*) \|$", re.MULTILINE)
EVENTS = {
    int(n) for n in re.findall(r"^### (\d+) ", (ROOT / "docs/safety/gone-wrong.md").read_text("utf-8"), re.MULTILINE)
}
each = pytest.mark.parametrize("sheet", SHEETS, ids=lambda path: path.stem)


def steps(path: Path) -> list[int]:
    return [int(number) for number, _ in STEP.findall(path.read_text("utf-8"))]


def test_there_are_ten():
    ids = [re.search(r"^id: (BEN-\d\d)$", path.read_text("utf-8"), re.MULTILINE)[1] for path in SHEETS]

    assert sorted(ids) == [f"BEN-{n:02}" for n in range(1, 11)]


@each
def test_every_part_is_there(sheet):
    text = sheet.read_text("utf-8")

    for part in (
        "**For:**",
        "**You need:**",
        "**Stop",
        "| Card code | Furnace | Date and time | Name | Signed |",
        "[[picture valves-",
    ):
        assert part in text, part
    assert "!!! danger" in text or "!!! warning" in text
    assert "review_due: 2027-11-25" in text and "kind: bench sheet" in text


@each
def test_steps_are_counted_through(sheet):
    found = steps(sheet)

    assert found == list(range(1, len(found) + 1))
    assert found or sheet.stem == "trouble"  # that one goes by the numbers of the events


@each
def test_every_step_says_what_to_do_what_to_see_and_what_if_not(sheet):
    for number, rest in STEP.findall(sheet.read_text("utf-8")):
        do, _, _ = (cell.strip() for cell in rest.split(" |"))
        assert do, f"step {number}"


@each
def test_references_lead_to_steps_and_events_that_exist(sheet):
    text = sheet.read_text("utf-8")

    for name, first in re.findall(r"\]\(([a-z-]+\.md)\)\)?,? steps? (\d+)", text):
        assert int(first) in steps(sheet.parent / name), f"{name} step {first}"
    own = re.findall(
        r"(?<!\))(?<!\)\)), steps? (\d+)|(?:figure of|after|from|repeat) steps? (\d+)|(?:again from|Again from|back to|Go to|go on with) (\d+)",
        text,
    )
    for numbers in own:
        assert int(max(numbers)) in steps(sheet), numbers
    for event in re.findall(r"\bevent (\d+)", text):
        assert int(event) in EVENTS, event


def test_trouble_uses_the_numbers_and_the_order_of_the_page_it_shortens():
    text = (ROOT / "docs/bench/trouble.md").read_text("utf-8")
    rows = [int(n) for n in re.findall(r"^\| \*\*(\d+)\*\* \|", text, re.MULTILINE)]

    assert rows == sorted(rows) and {1, 2, 7, 9, 10} == set(rows) <= EVENTS
