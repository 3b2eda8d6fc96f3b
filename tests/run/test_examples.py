"""The worked examples: each stage is judged as the page tells it, and the page holds no figure of its own."""

import json
import re
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest

import calcs
from calcs.page import run_example
from calcs.page.addresses import Links
from calcs.run import examples
from calcs.run.plan import FORM
from tests.run.runs import EXAMPLE, verdicts

PAGE = (Path(__file__).resolve().parents[2] / "docs/run/examples.md").read_text(encoding="utf-8")
BODY = PAGE.split("---\n", 2)[2]
MARK = re.compile(r"^\[\[run-example (\S+) ([a-z ]+)\]\]$", re.MULTILINE)
CHECK = re.compile(r"\b[A-Z]{2,5}-\d+b?\b")
PAGES = re.compile(r"(RUN|ST|VAC|ATM|HT|MAT|SAF|BEN|REV)-\d\d$")
FURNACES = {"HS-1", "HS-2"}

# What the text tells of each stage: card, checks that stop, checks on which nothing can be said.
TOLD = {
    ("copper-washers", "wish"): ("draft", {"GAS-1"}, set()),
    ("copper-washers", "allowed"): ("for release", set(), set()),
    ("bright-foil", "wish"): ("draft", {"OXI-1"}, set()),
    ("bright-foil", "hydrogen"): ("draft", set(), {"FIT-9"}),
    ("bright-foil", "allowed"): ("for release", set(), set()),
    ("titanium-plates", "wish"): ("draft", {"OXI-3", "FIT-1", "ROOM-2"}, {"FIT-9"}),
    ("titanium-plates", "argon"): ("draft", {"ROOM-2"}, set()),
    ("titanium-plates", "allowed"): ("for release", set(), set()),
    ("ceramic-rings", "wish"): ("draft", {"LOAD-3"}, set()),
    ("ceramic-rings", "air"): ("draft", {"LOAD-3b"}, set()),
    ("ceramic-rings", "allowed"): ("for release", set(), set()),
    ("damp-shelves", "wish"): ("draft", {"VAC-1"}, set()),
    ("damp-shelves", "allowed"): ("for release", set(), set()),
}
PLANS = [s for name in examples.names() for s in examples.stages(name) if s.calculator == "plan"]
STAGES = [s for name in examples.names() for s in examples.stages(name)]


def stage_id(stage) -> str:
    return f"{stage.run}-{stage.name}"


def sections() -> dict[str, str]:
    """Return the text that tells each run, by its name: from one heading to the next."""
    found = {}
    for part in re.split(r"^## ", BODY, flags=re.MULTILINE)[1:]:
        if names := {name for name, _ in MARK.findall(part)}:
            (name,) = names
            found[name] = part
    return found


def prose(part: str) -> str:
    """Return the text that people wrote: without marks, links, citations."""
    return re.sub(r"\[@[^\]]*\]|\]\([^)]*\)", "", MARK.sub("", part))


# ---------------------------------------------------------------- the page tells every run


def test_the_page_tells_every_stage_once_and_in_order():
    told = MARK.findall(BODY)
    for name in examples.names():
        assert [stage for run, stage in told if run == name] == [s.name for s in examples.stages(name)]
    assert len(told) == len(STAGES)
    assert sections().keys() == set(examples.names()) and 4 <= len(sections()) <= 6


@pytest.mark.parametrize("name", examples.names())
def test_each_section_has_the_title_of_its_run(name):
    assert sections()[name].splitlines()[0] == examples.title(name)


def test_the_page_holds_no_figure_of_its_own():
    """Numbers stand where the build works them out; the text names pages, checks and furnaces, and nothing else."""
    found = [word for word in re.findall(r"\S*\d\S*", prose(BODY)) if not CHECK.search(word)]
    assert not found
    assert not re.search(r"\b(percent|per cent|degrees|hours?|minutes?|litres?|mbar|ppm)\b", prose(BODY))


def test_at_least_two_refusals_become_a_run():
    turned = {run for (run, stage), (card, *_) in TOLD.items() if stage == "wish" and card == "draft"}
    ended = {run for (run, stage), (card, *_) in TOLD.items() if stage == "allowed" and card == "for release"}
    assert len(turned & ended) >= 2 and ended == set(examples.names())


# ---------------------------------------------------------------- what it tells is so


def test_every_stage_has_its_verdict_told():
    assert TOLD.keys() == {(s.run, s.name) for s in PLANS}


@pytest.mark.parametrize("stage", PLANS, ids=stage_id)
def test_a_stage_is_judged_as_it_is_told(stage):
    card, stops, unsaid = TOLD[stage.run, stage.name]
    answer = stage.answer
    found = verdicts(answer)

    assert answer.figures["status"].value == card
    assert {name for name, verdict in found.items() if verdict == "outside"} == stops
    assert {name for name, verdict in found.items() if verdict == "cannot_say"} == unsaid


@pytest.mark.parametrize("stage", PLANS, ids=stage_id)
def test_the_text_names_what_stands_in_the_way(stage):
    _, stops, unsaid = TOLD[stage.run, stage.name]
    assert stops | unsaid <= set(CHECK.findall(prose(sections()[stage.run])))


@pytest.mark.parametrize("name", examples.names())
def test_every_check_that_the_text_names_has_something_to_say(name):
    named = {n for n in CHECK.findall(prose(sections()[name])) if not PAGES.match(n)} - FURNACES
    answers = [s.answer for s in examples.stages(name) if s.calculator == "plan"]
    loud = {check for answer in answers for check, verdict in verdicts(answer).items() if verdict != "within"}
    quiet = {"GAS-2", "RES-1", "COL-1"}  # told as having nothing against it, and as showing where the oxygen is from

    assert named <= loud | quiet, named - loud


def close(run: str, stage: str) -> set[str]:
    answer = examples.stage(run, stage).answer
    return {name for name, verdict in verdicts(answer).items() if verdict == "close"}


def test_what_the_washers_tell():
    wish, allowed = (examples.stage("copper-washers", name).answer for name in ("wish", "allowed"))
    assert verdicts(wish)["GAS-2"] == "within"
    assert verdicts(wish)["ROOM-2"] == "within" and verdicts(allowed)["ROOM-2"] == "close"
    assert verdicts(allowed)["OXI-2"] == "close"
    oxygen = allowed.figures["oxygen"]
    assert oxygen.high_value - oxygen.low_value > oxygen.low_value  # the leak brings more than the bottle


def test_what_the_foil_tells():
    wish, hydrogen, allowed = (s.answer for s in examples.stages("bright-foil"))
    assert verdicts(hydrogen)["OXI-1"] == "within" and "stays metal" in hydrogen.checks["OXI-1"]["message"]
    assert {"ATM-2", "VAC-3", "TMP-2"} <= close("bright-foil", "hydrogen")
    assert verdicts(wish)["OXI-2"] == "close" and verdicts(allowed)["OXI-2"] == "within"
    for figure in ("make_up_peak", "gas_used"):
        assert allowed.figures[figure].value < wish.figures[figure].value / 2
    assert allowed.figures["flow"].value < hydrogen.figures["flow"].value


def test_what_the_plates_tell():
    nitrogen, argon, allowed = (s.answer for s in examples.stages("titanium-plates"))
    assert examples.stage("titanium-plates", "argon").changed == {"gas": "argon"}
    assert {"FIT-2", "OXI-2"} <= close("titanium-plates", "allowed")
    content = allowed.figures["gas_used"].value
    assert allowed.extra["counts"]["stop"] == 0 and content > 0
    left, before = allowed.figures["cylinder_left"].value, 145e5
    assert before / (before - left) > 3  # the cylinder holds several times what the run needs


def test_what_the_rings_tell():
    wish, air, allowed = (s.answer for s in examples.stages("ceramic-rings"))
    assert "steps" not in wish.figures and "steps" not in air.figures  # stopped before any figure of a run
    assert not any("Pump" in row["do"] for row in allowed.figures["steps"].rows)
    assert "cylinder_left" not in allowed.figures and "oxygen" not in allowed.figures
    assert all(words in air.checks["LOAD-3b"]["remedy"] for words in ("Slow the ramp", "less load", "more air"))
    assert allowed.figures["total_time"].value > 24 * 3600  # longer than a day
    assert 0.75 < allowed.figures["flow"].quantity.to("liter/minute").m / 20 < 1  # nearly all that the controller gives
    assert {"FIT-2"} <= close("ceramic-rings", "allowed")
    assert verdicts(allowed)["COL-1"] == "within"
    rows = examples.stage("ceramic-rings", "allowed").inputs["segments"]
    by_nature = examples.stage("ceramic-rings", "allowed").inputs | {
        "segments": [*rows[:4], {"kind": "cool", "to": "60 °C"}]
    }
    assert verdicts(calcs.work_out("plan", by_nature))["COL-1"] == "close"  # left to nature: a caution


def test_what_the_shelves_tell():
    wish, asked, allowed = (s.answer for s in examples.stages("damp-shelves"))
    assert "steps" not in wish.figures
    assert asked.verdict == "outside" and asked.figures["removed_fraction"].value < 1
    hours = 4 * 3600
    assert asked.figures["removal_time"].high_value < hours  # the free water goes in the time asked
    assert "LOAD-5" in close("damp-shelves", "allowed")
    assert any("argon" in row["do"] and "Fill" in row["do"] for row in allowed.figures["steps"].rows)


# ---------------------------------------------------------------- inputs and links


@pytest.mark.parametrize("stage", STAGES, ids=stage_id)
def test_inputs_hold_only_what_differs(stage):
    earlier = [s for s in examples.stages(stage.run) if s.calculator == stage.calculator]
    at = [s.name for s in earlier].index(stage.name)
    mode = stage.inputs.get("mode", "")
    before = earlier[at - 1].inputs if at else calcs.example(stage.calculator, mode)

    assert stage.changed
    for name, value in stage.changed.items():
        assert before.get(name, "") != value, name


def test_the_runs_are_named_as_examples():
    for stage in PLANS:
        assert stage.inputs["run_name"].startswith("Example: ")


def test_the_second_furnace_is_a_record_of_its_own():
    """Nothing of HS-1 is left in a plan on HS-2: what its record does not say is empty."""
    first, second = examples.record("HS-1"), examples.record("HS-2")
    needed = {name for name in first if FORM.by_name[name].required}
    moved = examples.stage("titanium-plates", "wish").inputs

    assert first.keys() == second.keys() and all(second[name] for name in needed)
    assert {name: moved[name] for name in second} == second
    assert {name: value for name, value in first.items() if value} == {n: EXAMPLE[n] for n in first if n in EXAMPLE}


@pytest.mark.parametrize("stage", STAGES, ids=stage_id)
def test_the_link_holds_the_whole_stage(stage):
    """What the browser reads from the address is what was worked out here."""
    href = run_example.address(stage, Links("../../"), 1)
    words = unquote(urlsplit(href).fragment.removeprefix("in="))
    state = json.loads(words)

    assert len(words) < 8000 and state["schema"] == 1
    assert all(not isinstance(value, str) or len(value) <= 200 for value in state["inputs"].values())
    again = calcs.work_out(stage.calculator, state["inputs"])
    assert again.sentence == stage.answer.sentence and again.to_dict() == stage.answer.to_dict()


def test_a_draft_shows_no_steps_and_a_released_run_does():
    links, revisions = Links("../../"), {"plan": 1, "dry-out": 1}
    draft = run_example.html("bright-foil", "hydrogen", links, revisions)
    whole = run_example.html("ceramic-rings", "allowed", links, revisions)

    assert "Steps, short form" not in draft and "Key figures" not in draft and "FIT-9" in draft
    assert "Steps, short form" in whole and "Key figures" in whole and "Open this in Plan a run" in whole


@pytest.mark.parametrize("run, stage", [("nobody", "wish"), ("bright-foil", "nothing")])
def test_an_unknown_run_or_stage_is_named(run, stage):
    with pytest.raises(LookupError, match="nobody|nothing"):
        run_example.html(run, stage, Links(), {"plan": 1})
