"""The run card as HTML: what stands on it, how it lies on its sides, its code for telephones, and the blank card.

How it comes out on paper is tried in tests/browser/test_card.py.
"""

import re

import pytest
import segno

import calcs
from calcs.data import table
from calcs.page import blank_card, card, card_blocks, card_code, card_room, respond
from calcs.run import link
from tests.html_check import Checked
from tests.run.runs import EXAMPLE, plan, segments
from tests.run.test_link import OWN

ADDRESS = "https://furnace.example/notes/run/plan/"
CODE = "7QK-2M4-HX3"
LONG = segments(
    "ramp to 100 °C at 5 K/min · soak 30 min · ramp to 200 °C at 5 K/min · soak 30 min · " * 6 + "cool to 60 °C"
)


def words(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def asked(address="", **changed):
    return respond(
        {"do": "work_out", "calculator": "plan", "inputs": EXAMPLE | changed, "touched": list(EXAMPLE), "address": address}
    )  # fmt: skip


# ---------------------------------------------------------------- the code for telephones


@pytest.mark.parametrize(
    "address, wanted",
    [
        ("https://furnace.example/run/plan/", True),
        ("http://192.168.1.20:8000/run/plan/", True),
        ("http://[2001:db8::7]/run/plan/", True),
        ("http://workshop/run/plan/", True),
        ("file:///C:/site-disk/run/plan.html", False),
        ("http://localhost:8000/run/plan/", False),
        ("http://bench.localhost/run/plan/", False),
        ("http://localhost./run/plan/", False),
        ("http://127.0.0.1:8000/run/plan/", False),
        ("http://127.8.8.8/run/plan/", False),
        ("http://[::1]:8000/run/plan/", False),
        ("http://0.0.0.0:8000/run/plan/", False),
        ("http://[/", False),
        ("javascript:alert(1)", False),
        ("https://" + "a" * 400 + ".example/", False),
        ("", False),
    ],
)
def test_only_an_address_that_a_telephone_can_reach_gets_a_code(address, wanted):
    assert card_code.reachable(address) is wanted


def test_the_link_reopens_the_plan():
    whole = card_code.link_of(ADDRESS + "#in=old", OWN, CODE)

    assert whole.startswith(ADDRESS + "#p=1.") and len(whole) <= link.LONGEST
    assert link.read(whole.partition("#")[2]) == ({n: v for n, v in OWN.items() if v}, CODE)


def test_a_link_that_is_too_long_is_none():
    assert card_code.link_of("https://furnace.example/" + "long/" * 50, OWN, CODE) == ""


def drawn(svg: str) -> list[list[bool]]:
    """Return the modules that an SVG of a code shows, its margin included."""
    side = int(re.search(r'viewBox="0 0 (\d+)', svg)[1])
    rows = [[False] * side for _ in range(side)]
    for left, top, length in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\3z", svg.partition('fill="#000"')[2]):
        for at in range(int(left), int(left) + int(length)):
            rows[int(top)][at] = True
    return rows


@pytest.mark.parametrize("inputs", [EXAMPLE, OWN], ids=["short", "long"])
def test_the_drawing_is_the_codes_own_modules_with_its_margin_at_half_a_millimetre(inputs):
    """The library's own matrix is the measure; that a reader of another make reads it was tried by hand on a PDF."""
    whole = card_code.link_of(ADDRESS, inputs, CODE)
    svg, size = card_code.picture(whole)
    rows, quiet = drawn(svg), card_code.QUIET
    made = segno.make(whole, error="m", micro=False, boost_error=False)

    assert [row[quiet:-quiet] for row in rows[quiet:-quiet]] == [[bool(m) for m in row] for row in made.matrix]
    assert not any(any(row) for row in rows[:quiet] + rows[-quiet:])
    assert not any(any(row[:quiet]) or any(row[-quiet:]) for row in rows)
    assert made.error == "M" and size == len(rows) * 0.5
    assert f'width="{size}mm" height="{size}mm"' in svg


def test_the_longest_link_takes_47_millimetres():
    """93 modules with the margin for 500 characters at level M: ISO/IEC 18004, as the card's rules state it."""
    assert card_code.picture("https://furnace.example/#p=1." + "a" * 471)[1] == 46.5


def test_a_reachable_site_prints_code_and_caption_and_says_what_it_holds():
    reply = asked(ADDRESS)

    assert 'class="card-qr"' in reply["html"]
    assert words(reply["html"]).count(card_code.SAID) == 1
    assert f"plan code: {reply['plan_code']}" in words(reply["html"])
    assert "Open file" not in reply["html"]


def test_a_copy_on_this_computer_names_the_file_instead():
    reply = asked("http://127.0.0.1:8000/run/plan/")

    assert "card-qr" not in reply["html"] and card_code.SAID not in reply["html"]
    assert f"Open file {reply['file_name']}" in words(reply["html"])


def test_the_page_opens_the_link():
    reply = respond({"do": "open", "kind": "link", "text": link.compact(OWN, CODE)})

    assert reply["inputs"]["run_name"] == OWN["run_name"]
    assert "The code was 7QK-2M4-HX3 and is" in reply["notes"][0]
    now = calcs.work_out("plan", OWN).figures["plan_code"].value
    assert respond({"do": "open", "kind": "link", "text": link.compact(OWN, now)})["notes"] == []
    assert "damaged" in respond({"do": "open", "kind": "link", "text": "p=1.x"})["problem"]


# ---------------------------------------------------------------- the sides


def sheets(html: str) -> int:
    return html.count('class="sheet"')


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"pumped_pressure": "", "effective_speed": "", "cycles": ""},
        {"cycles": "3"},
        {"cycles": "3"} | segments("ramp to 600 °C at 5 K/min · soak 30 min · ramp to 700 °C at 5 K/min · cool to 60 °C"),
        {"run_name": "W" * 80},
        {"maximum_temperature": "500 °C"},
        {"oxygen_monitor": "no", "attended": "no", "exhaust": "room", "analyser": "no", "air_changes": "",
         "limiter_tested": "", "leak_rate": "", "relief_capacity": "", "gas_oxygen": "", "leak_tested": ""},
    ],
    ids=["example", "no pump", "three cycles", "eighteen steps", "long name", "stop", "many cautions"],
)  # fmt: skip
def test_two_sides_up_to_eighteen_steps(changed):
    answer = plan(**changed)
    html = card.card_html(answer, link=card_code.link_of(ADDRESS, OWN, CODE), file_name="x.json")

    assert sheets(html) == 2
    assert html.count("Page</small> 1 of 2") == html.count("Page</small> 2 of 2") == 1


def test_more_steps_take_numbered_sides_and_lose_nothing():
    answer = plan(**LONG, cycles="5")
    html = card.card_html(answer)
    count = len(answer.figures["steps"].rows)

    assert count > 30 and sheets(html) > 2
    assert re.findall(r"<tr><td>(\d+)</td>", html) == [str(n) for n in range(1, count + 1)]
    assert f"Page</small> {sheets(html)} of {sheets(html)}" in html


def test_a_short_card_has_larger_text_and_none_has_smaller():
    def scale(html):
        return float(re.search(r"--k: ([\d.]+)", html)[1])

    assert scale(card.card_html(plan(maximum_temperature="500 °C"))) == 1.25
    assert scale(card.card_html(plan(cycles="5"))) == 1.0
    assert min(card_room.SCALES) == 1.0


def test_where_room_is_short_the_picture_goes_before_a_third_side():
    assert "card-picture" in card.card_html(plan())
    crowded = card.card_html(plan(cycles="4"))
    assert sheets(crowded) == 2 and "card-picture" not in crowded


def test_a_draft_says_so_on_each_side_and_has_no_release():
    html = card.card_html(plan(room_volume=""))

    assert html.count("DRAFT — NOT FOR USE") == sheets(html)
    assert "Released by" not in html and "FOR RELEASE" not in html
    assert "Released by" in card.card_html(plan())


def test_every_hold_point_asks_for_a_name():
    assert re.findall(r"<small>(H\d), by:</small>", card.card_html(plan())) == [f"H{n}" for n in range(1, 7)]


def test_verdicts_are_words_or_shapes_with_a_word():
    html = card.card_html(plan(room_volume=""))

    assert "Cannot say, ROOM-2" in words(html)
    assert 'aria-label="Cannot say"' in html and 'aria-label="Close to a limit"' in html


def test_typed_text_stays_text():
    hostile = "<img src=x onerror=alert(1)>"
    answer = plan(run_name=hostile, furnace_id=hostile, load=[EXAMPLE["load"][0] | {"material": hostile}])
    html = card.card_html(answer, file_name=hostile)

    assert "<img" not in html and "&lt;img" in html
    assert Checked(html).elements


# ---------------------------------------------------------------- the estimate of room


def test_a_line_is_as_wide_as_its_letters():
    """Widths of Helvetica as its metrics file states them (known, source not looked up): n 556, space 278, W 944."""
    assert card_room.width("n", 72 / 25.4) == pytest.approx(0.556, abs=0.006)
    assert card_room.width("W n", 72 / 25.4) == pytest.approx(0.944 + 0.278 + 0.556, abs=0.015)


def test_words_stay_whole_and_a_number_keeps_its_unit():
    wide = card_room.width("10 mbar", 7.2) / card_room.SPARE + 0.01

    assert card_room.lines("10 mbar 20 mbar", wide, 7.2) == 2
    assert card_room.lines("a 10\u00a0mbar", wide, 7.2) == 2
    assert card_room.lines("x" * 100, 20, 7.2) == 7  # 127 mm of letters


# ---------------------------------------------------------------- the blank card


BLANK = blank_card.html("Site revision 0")


def test_the_blank_card_has_two_sides_and_says_that_nothing_is_checked():
    assert sheets(BLANK) == 2
    assert BLANK.count("UNCHECKED — NO PLAN BEHIND IT") == 2
    assert "Nothing on this card has been worked out" in BLANK
    assert Checked(BLANK).elements


def test_the_blank_card_leaves_no_mark_unfilled_and_no_lines_to_write_on_out():
    assert "{" not in BLANK and "}" not in BLANK
    rows = blank_card.step_rows(table("run/blank_card.toml"))
    assert not [row for row in rows if row["expect"].startswith("as step")]


def test_the_blank_card_has_the_steps_valves_and_events_of_every_card():
    example = words(card.card_html(plan()))
    valves = table("run/card.toml")["valves"]
    used = [step["state"] for step in table("run/blank_card.toml")["step"]]

    assert [valves[state] for state in dict.fromkeys(used) if valves[state] not in example] == []
    for event in table("run/emergency.toml")["event"]:
        assert f"{event['number']} {event['event']}:" in words(BLANK)
    for role in card_blocks.SIGN_OFFS:
        assert role in BLANK
    for row in table("run/cautions.toml")["caution"]:
        if row["when"] in ("inert", "always", "hot"):
            assert row["hazard"] in BLANK
