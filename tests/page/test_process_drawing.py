"""The process drawing: its words are those of the run card, its order leads from one state to the next, and it can be read.

What the states must be comes from calcs/data/run/valves.toml, which the run card uses; nothing here repeats a word of it.
"""

import re
import xml.etree.ElementTree as ET

import pytest

from calcs.data import table
from calcs.page import axes, process_drawing
from calcs.page.process_drawing import acted_on, drawing, flowing, html, states, words
from calcs.picture import Arrow, Circle, Line, Poly, Text

CARD = table("run/valves.toml")
STATES = {state["name"]: state for state in states()}
OWN_WORDS = {"dry-out": {"heater"}, "power-lost": {"inlet", "flow meter", "outlet"}}  # not states of the card
each = pytest.mark.parametrize("state", states(), ids=list(STATES))


def settled(word: str) -> str:
    """The position at the end of the step: "shut before room pressure" is shut, "open last" is open."""
    return word.split()[0] if word.split()[0] in ("open", "shut") else word


def test_there_are_ten_states_in_the_order_of_a_run():
    assert [state["title"] for state in states()] == [
        "Waiting, cold", "Pump down", "Rise test", "Dry out under vacuum", "Backfill", "Purge by flow", "Hold and heat",
        "Hold and cool", "To room pressure", "Power lost",
    ]  # fmt: skip


@each
def test_the_words_are_those_of_the_run_card(state):
    shown, card = words(state), CARD[state["words"]]["words"]

    differing = {part for part, word in card.items() if shown[part] != word}

    assert differing == OWN_WORDS.get(state["name"], set())


@each
def test_every_word_is_drawn_beside_its_part(state):
    drawn = " ".join(shape.text for shape in drawing(state).shapes if isinstance(shape, Text))

    for part, word in words(state).items():
        assert process_drawing.LABELS.get(part, part) in drawn, part
        assert word in drawn, f"{part}: {word}"


def test_every_state_of_the_card_has_a_drawing_or_names_the_nearest():
    near = table("run/process_drawing.toml")["near"]

    assert set(CARD) == {state["words"] for state in states()} | set(near)
    for name, row in near.items():
        base, card = words(STATES[row["drawing"]]), CARD[name]["words"]
        moved = {part for part in card if part != "heater" and settled(base[part]) != settled(card[part])}
        assert not moved, f"{name}: {moved}"


@pytest.mark.parametrize("state", [s for s in states() if s["after"]], ids=lambda s: s["name"])
def test_the_order_leads_from_the_state_before_to_this_one(state):
    now = {part: settled(word) for part, word in words(STATES[state["after"]]).items()}
    before = dict(now)

    for step in state["order"]:
        if "part" in step:
            now[step["part"]] = settled(step["word"])
    now |= state.get("follows", {})

    goal = {part: settled(word) for part, word in words(state).items()}
    assert now == goal
    changed = {part for part in goal if goal[part] != before[part]}
    assert changed <= acted_on(state)
    # A setting may be raised and still be called "set"; nothing else is marked without a change.
    assert acted_on(state) - changed <= {"flow meter"}


@each
def test_parts_come_in_the_order_that_the_card_gives(state):
    names = {"inlet": "inlet", "outlet": "outlet", "pump valve": "pump valve", "vacuum gauge": "gauge valve",
             "air valve": "air valve", "heater": "heater", "flow": "flow meter"}  # fmt: skip
    said = CARD[state["words"]]["order"].lower() if state["name"] not in OWN_WORDS else ""
    in_words = sorted((said.index(name), part) for name, part in names.items() if re.search(rf"\b{name}\b", said))
    acted = [step["part"] for step in state["order"] if "part" in step]

    wanted = [part for _, part in in_words if part in acted]

    assert [part for part in acted if part in wanted] == wanted


@each
def test_no_order_lets_gas_in_while_the_pump_valve_is_open(state):
    now = words(STATES[state["after"]]) if state["after"] else words(state)
    for step in state["order"]:
        if "part" in step:
            now = now | {step["part"]: step["word"]}
        assert not (now["pump valve"] == "open" and now["inlet"].startswith("open")), step["say"]
        assert not (now["air valve"].startswith("open") and now["pump valve"] == "open"), step["say"]


@each
def test_heat_with_gas_only_where_gas_can_leave(state):
    now = words(state)
    if now["heater"] == "on":
        assert now["outlet"] == "open" and "outlet" in flowing(state)
    if now["inlet"].startswith("open"):
        assert now["relief valve"] == "in service"
    assert now["air valve"].split()[0] == "shut" or now["heater"] == "off, locked"


@each
def test_a_shut_valve_is_filled_and_an_open_one_is_not(state):
    shapes = drawing(state).shapes
    for part, (x, y, *_) in process_drawing.VALVES.items():
        halves = [s for s in shapes if isinstance(s, Poly) and len(s.points) == 3 and (x, y) in s.points]
        assert len(halves) == 2, part
        assert {half.style == "filled" for half in halves} == {words(state)[part].startswith("shut")}, part


@each
def test_thick_lines_with_a_head_where_gas_moves_and_nowhere_else(state):
    shapes = drawing(state).shapes
    thick = [s for s in shapes if isinstance(s, (Line, Arrow)) and s.style == "thick"]
    heads = [s for s in thick if isinstance(s, Arrow)]

    assert bool(thick) == bool(flowing(state))
    assert len(heads) == len(flowing(state)) + ("air" in flowing(state))  # the air valve: in or out


@each
def test_what_is_acted_on_has_a_dot_and_bold_type(state):
    shapes = drawing(state).shapes
    dots = [s for s in shapes if isinstance(s, Circle) and s.radius == 4]
    bold = " ".join(s.text for s in shapes if isinstance(s, Text) and s.style == "strong")

    assert len(dots) == len(acted_on(state))
    for part in acted_on(state):
        assert words(state)[part] in bold


@each
def test_no_text_runs_over_another_or_off_the_drawing(state):
    boxes = []
    for shape in drawing(state).shapes:
        if isinstance(shape, Text):
            wide = axes.text_width(shape.text, process_drawing.FONT, shape.style == "strong") * 0.9
            left = shape.x - {"start": 0, "middle": wide / 2, "end": wide}[shape.anchor]
            boxes.append((left, shape.y - 12, left + wide, shape.y + 4, shape.text))
    for k, (left, top, right, bottom, said) in enumerate(boxes):
        assert left >= 0 and right <= process_drawing.WIDTH, said
        for other in boxes[k + 1 :]:
            over = left < other[2] and other[0] < right and top < other[3] and other[1] < bottom
            assert not over, f"{said} / {other[4]}"


def test_lettering_stays_readable_on_a_narrow_phone():
    """320 CSS px wide, less the margins of the page: at least 10 px (a house rule)."""
    assert process_drawing.FONT * (320 - 2 * 16) / process_drawing.WIDTH > 10


@each
def test_the_figure_is_sound_and_names_its_state(state):
    markup = html(state)
    found = ET.fromstring(markup.replace(" data-open-in-print>", ">"))

    ids = [e.get("id") for e in found.iter() if e.get("id")]
    assert f"process-{state['name']}" in ids and len(ids) == len(set(ids))
    assert state["title"] in markup and f"<ol><li>{state['order'][0]['say'][:10]}" in markup


def test_the_table_of_all_states_has_every_part_and_state():
    found = ET.fromstring(process_drawing.matrix())
    rows = [["".join(cell.itertext()).replace("●\u00a0", "") for cell in row] for row in found.iter("tr")]

    assert len(rows) == 1 + len(states()) + len(table("run/process_drawing.toml")["near"])
    for state, row in zip(states(), rows[1:], strict=False):
        assert row == [state["title"], *(words(state)[part] for part in process_drawing.PARTS)]
