"""The pieces of a run card that do not hang on one plan: head, tables, boxes to write in, emergencies; and their heights.

The measures in points and millimetres are those of docs/assets/print.css, where --k is the scale of the text.
"""

import re

from calcs.core import Answer
from calcs.data import table as data_table
from calcs.page import card_code
from calcs.page.card_room import POINT as MM
from calcs.page.card_room import WIDTH, Arranged, Block, Pieces, lines, text_height, width
from calcs.page.markup import tag, text

SMALL, BODY, WISH, HEAD = 7.2, 8.0, 8.5, 9.0  # points at scale 1
CLOSE, ITEMS, CELLS, HAND = 1.2, 1.25, 1.12, 1.5  # line heights, ems: text, checks, cells, lines to write on
COLUMNS = {"do": 54, "valves": 22, "expect": 43, "otherwise": 30, "time": 12}  # mm; number 6, to write 18
TABLE_HEAD = 3.9  # mm
LEAST_ROW = 8.0  # mm, for ink
READINGS = (
    "Time",
    "Chamber °C",
    "Load °C",
    "mbar, abs / gauge",
    "Flow L/min",
    "Oxygen ppm",
    "Room oxygen %",
    "Initials",
)
READING_WIDTHS = (14, 18, 18, 18, 18, 18, 18, 13)  # mm beside a code; wider without one
SIGN_OFFS = ("Planned by", "Checked by (another person)", "Released by", "Run by", "Opened by", "Record closed by")
SIGN_HEIGHT = 9.5  # mm
STOP_RULES = (
    "Oxygen alarm: leave, take others along, nobody goes back in. "
    "Pressure at or below the room while hot: heater off, see SAF-07 event 9. "
    "Pressure rising towards the relief: out of the line of the door, gas shut at the cylinder. "
    "Anything that this card does not foresee: heater off, gas on, ask."
)
BAND = re.compile(r"([+−]?[\d.]+)\s(?:mbar|kg) to ([+−]?[\d.]+)(\s(?:mbar|kg))")  # "+5 mbar to +15 mbar" has no room
HOLD_POINT = re.compile(r"\((H\d)")
RULED_PLACE = "<!--ruled-->"
BESIDE = 1.5  # mm between the readings and the code


def sheets(p: Pieces, found: Arranged, head, foot: str, scale: float, draft: bool) -> str:
    """Return the sides as HTML; `head` is given the number of a side and how many there are."""
    pages, html = len(found.sides), []
    for page, side in enumerate(found.sides, 1):
        first, end = side.rows
        parts = [head(page, pages), *side.blocks]
        parts += [steps(row.html for row in p.rows[first:end])] if end > first else []
        parts += [p.picture.html] if side.picture else []
        parts += _end(p, found) if page == pages else []
        parts += [tag("p", text(STOP_RULES), class_="stop-rules")] if page == 1 else []
        html.append(tag("div", *parts, foot, class_="sheet"))
    return tag(
        "div",
        *html,
        class_="run-card draft" if draft else "run-card",
        style=f"--k: {scale:g}",
        tabindex="0",
        role="region",
        aria_label="Run card",
    )


def _end(p: Pieces, found: Arranged) -> list[str]:
    left = tag("div", readings(found.readings), *(block.html for block in p.below))
    beside = tag("div", p.beside.html, class_="card-beside") if p.beside else ""
    ruled = tag("div", class_="ruled") * found.deviations
    return [
        tag("div", left, beside, class_="card-done"),
        *(block.html.replace(RULED_PLACE, ruled) for block in p.end),
    ]


def paragraph(words: str, class_: str, k: float, title: str = "", points: float = SMALL) -> Block:
    """Return a paragraph over the whole width, its title in bold."""
    html = tag("p", tag("strong", text(title)) if title else "", text(words), class_=class_)
    return Block(html, text_height(title + words, WIDTH, points * k, CLOSE))


# ---------------------------------------------------------------- both sides


def head(cells, status: str) -> str:
    """Return the strip at the top: (label, value) pairs, then the status in capitals."""
    inner = "".join(tag("span", tag("small", text(label)), text(f" {value}")) for label, value in cells)
    return tag("div", inner, tag("strong", text(status), class_="card-status"), class_="card-head")


def head_height(cells, k: float) -> float:
    """Return the height of the strip, mm; each pair stays whole where it fits a line."""
    found, at, room = 1, 0.0, WIDTH - 5
    for label, value in cells:
        takes = width(label, SMALL * k) + width(f" {value}", HEAD * k, bold=True) + 3.2
        if at and at + takes > room:
            found, at = found + 1, 0.0
        # A pair that is wider than the strip is broken, and shares its lines with no other.
        found, at = found + int(takes / room), at + takes if takes <= room else room
    return found * HEAD * k * CLOSE * MM + 5.0  # frame, gap, the larger status


def foot_height(words: str, k: float) -> float:
    """Return the height of the line at the bottom with the time of printing behind it, mm."""
    return text_height(words + "2031-03-04 08:00", WIDTH, SMALL * k, CLOSE, 1.0)


# ---------------------------------------------------------------- before the steps


def cautions(rows, k: float) -> Block | None:
    """Return cautions as (word, hazard, harm, action): DANGER and WARNING in boxes, the others a line each."""
    if not rows:
        return None
    boxed = [row for row in rows if row[0] in ("DANGER", "WARNING")]
    boxes = [tag("p", tag("strong", text(f"{word}: {hazard}. ")), text(f"{harm} {action}"), class_="card-caution")
             for word, hazard, harm, action in boxed]  # fmt: skip
    said = [f"{word}: {hazard}. {action}" for word, hazard, _, action in rows if word not in ("DANGER", "WARNING")]
    left = -len(boxed) % 3 or 3  # the lines fill the columns that the boxes leave
    notes = tag("div", *(tag("p", text(line)) for line in said), style=f"grid-column: span {left}") if said else ""
    html = tag("div", *boxes, notes, class_="card-cautions")
    heights = [
        text_height(f"{word}: {hazard}.__ {harm} {action}", WIDTH / 3 - 3.6, SMALL * k, CELLS, 2.6)
        for word, hazard, harm, action in boxed
    ]
    if said:
        wide = WIDTH * left / 3 - 1
        heights += [sum(text_height(line, wide, SMALL * k, CELLS) for line in said) + 0.8] + [0.0] * (left - 1)
    return Block(html, sum(max(heights[i : i + 3]) for i in range(0, len(heights), 3)))


def facts(when: str, width_mm: float, k: float) -> list[Block]:
    """Return what is written by hand: ticks before the start; rise test, cylinder, opening and result after it."""
    found = []
    for b in data_table("run/card.toml")["blocks"]:
        if b["when"] == when:
            words = b["text"].replace("☐ ", "☐\u00a0")  # a box stays with its first word
            html = tag("p", tag("strong", text(f"{b['title']} ")), text(words), class_="card-block")
            found.append(Block(html, text_height(f"{b['title']} {words}", width_mm, BODY * k, HAND)))
    return found


# ---------------------------------------------------------------- the steps


def step_rows(answer: Answer) -> list[dict]:
    """Return the steps of a plan with the texts of the card's columns."""
    if "steps" not in answer.figures:
        return []
    short, states = data_table("run/card.toml")["valves"], answer.extra["states"]
    rows = [_texts(row, short[state]) for row, state in zip(answer.figures["steps"].rows, states, strict=True)]
    return referred_back(rows)


def referred_back(rows: list[dict], names=("valves", "expect", "otherwise")) -> list[dict]:
    """Put "as step 4" where a row repeats a long text of an earlier one, and return the rows."""
    for number, row in enumerate(rows):
        for name in names:
            earlier = [n for n, other in enumerate(rows[:number]) if other[name] == row[name] and len(row[name]) > 20]
            if earlier:
                row[name] = f"as step {earlier[0] + 1}"
    return rows


def _texts(row: dict, valves: str) -> dict[str, str]:
    expect = row["expect"] + (f" ({row['accept']})" if row["accept"] not in ("", "yes") else "")
    do = row["do"] + (f" — set {row['set']}" if row["set"] else "")
    found = {"do": do, "valves": valves, "expect": expect, "otherwise": row["otherwise"], "time": row["time"]}
    return {name: BAND.sub(r"\1 to \2\3", words) for name, words in found.items()}


def steps(rows) -> str:
    """Return the table of some steps."""
    heads = ("No.", "Step and setting", "Valves", "Expect (accept)", "If not", "By", "Actual, time")
    row = tag("tr", *(tag("th", text(h), scope="col") for h in heads))
    return tag("table", tag("thead", row), tag("tbody", *rows), class_="card-steps")


def row_html(number: int, row: dict) -> str:
    """Return a step; one that is a hold point asks for a name."""
    point = HOLD_POINT.search(row["do"])
    ink = tag("td", tag("small", text(f"{point[1]}, by:")) if point else "", class_="ink")
    return tag("tr", tag("td", str(number)), *(tag("td", text(row[name])) for name in COLUMNS), ink)


def row_height(row: dict, k: float) -> float:
    """Return the height of a step, mm."""
    found = max(lines(row[name], wide - 1.7, SMALL * k) for name, wide in COLUMNS.items())
    return max(LEAST_ROW + 0.3, SMALL * k * CELLS * MM * found + 0.9)


# ---------------------------------------------------------------- after them


def readings(rows: int) -> str:
    """Return the grid for readings."""
    row = tag("tr", *(tag("th", text(h), scope="col") for h in READINGS))
    blank = tag("tr", *(tag("td") for _ in READINGS))
    return tag("table", tag("thead", row), tag("tbody", *[blank] * rows), class_="card-readings")


def reading_head(width_mm: float, k: float) -> float:
    """Return the height of the head of the readings, mm."""
    widths = [w * width_mm / sum(READING_WIDTHS) - 1.7 for w in READING_WIDTHS]
    found = max(lines(h, w, SMALL * k, bold=True) for h, w in zip(READINGS, widths, strict=True))
    return SMALL * k * CELLS * MM * found + 1.2


def code_place(drawing: str, size: float, plan_code: str, k: float) -> tuple[Block, float]:
    """Return the code for a telephone with its caption, and the width that it takes from the readings, mm."""
    said = card_code.CAPTION
    html = drawing + tag("p", text(said), tag("strong", text(plan_code)), class_="card-caption")
    return Block(html, size + text_height(said + plan_code, size, SMALL * k, CLOSE, 0.5)), size + BESIDE


def deviations(k: float) -> Block:
    """Return the head of the deviations; `sheets` puts the lines to write on in."""
    title = tag("strong", text("Deviations: step, what, why, who decided"))
    return Block(tag("div", title, RULED_PLACE, class_="card-deviations"), BODY * k * CLOSE * MM)


def sign_offs(draft: bool) -> Block:
    """Return one box a role: name, signature, date and time. A draft has no line for release."""
    roles = [r for r in SIGN_OFFS if not (draft and r == "Released by")]
    boxes = [tag("div", tag("small", text(f"{role}: name, signature, date, time"))) for role in roles]
    return Block(tag("div", *boxes, class_="card-signs"), 2 * SIGN_HEIGHT)


def emergency(events, k: float) -> Block:
    """Return the eleven events, shortened; those of the plan, or of the data file."""
    events = events or data_table("run/emergency.toml")["event"]
    items = [tag("li", tag("strong", text(f"{e['number']} {e['event']}: ")), text(e["do"])) for e in events]
    said = "If something goes wrong (SAF-07 has the whole; your site's procedure comes first). Emergency number: "
    html = tag(
        "div",
        tag("p", tag("strong", text(said)), tag("span", class_="blank")),
        tag("ul", *items),
        class_="card-emergency",
    )
    column = (WIDTH - 6) / 3
    found = [lines(f"{e['number']} {e['event']}:_ {e['do']}", column, SMALL * k) for e in events]
    line = SMALL * k * CELLS * MM
    return Block(html, text_height(said + "_" * 25, WIDTH, SMALL * k, CLOSE) + line * _levelled(found, 3) + 0.5)


def _levelled(heights: list[int], columns: int) -> int:
    """Return the least height at which blocks, in order, fit into columns."""
    wanted = max(max(heights), -(-sum(heights) // columns))
    while _columns(heights, wanted) > columns:
        wanted += 1
    return wanted


def _columns(heights: list[int], tallest: int) -> int:
    count, at = 1, 0
    for height in heights:
        if at + height > tallest:
            count, at = count + 1, 0
        at += height
    return count
