"""The run card: two sides of paper made from a checked plan, black on white, with room for hand and ink."""

import re

from calcs import wording
from calcs.core import VERDICTS, Answer
from calcs.data import table as data_table
from calcs.form import as_typed
from calcs.page import process_drawing, svg
from calcs.page.answer import SHAPES
from calcs.page.markup import tag, text
from calcs.run import files

PICTURE = {"width": 720, "height": 124, "font": 12}  # 180 mm × 31 mm: the two sides have no more room
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
SIGN_OFFS = ("Planned by", "Checked by (another person)", "Released by", "Run by", "Opened by", "Record closed by")
STOP_RULES = (
    "Oxygen alarm: leave, take others along, nobody goes back in. "
    "Pressure at or below the room while hot: heater off, see SAF-07 event 9. "
    "Pressure rising towards the relief: out of the line of the door, gas shut at the cylinder. "
    "Anything that this card does not foresee: heater off, gas on, ask."
)
BAND = re.compile(r"([+−]?[\d.]+)\s(?:mbar|kg) to ([+−]?[\d.]+)(\s(?:mbar|kg))")  # "+5 mbar to +15 mbar" has no room
TOTALS = (
    "total_time",
    "opening_time",
    "energy",
    "gas_used",
    "flow",
    "cycles",
    "oxygen",
    "make_up_peak",
    "cylinder_left",
    "room_oxygen",
)


def reply(answer: Answer, request: dict) -> dict:
    """Return what the plan's page gets beside the answer: the card, the file to save and its name."""
    name = files.file_name(files.PLAN, str(answer.inputs["run_date"]), answer.figures["plan_code"].value)
    return {
        "drawings": drawings_html(answer),
        "card": card_html(answer, request.get("example_left", 0), request.get("site", "")),
        "file": files.plan_file(_typed(request["inputs"]), answer),
        "file_name": name,
        "plan_code": answer.figures["plan_code"].value,
    }


def _typed(inputs: dict) -> dict:
    """Return inputs as one text each, the way a file keeps them."""
    return {n: as_typed(v) if isinstance(v, dict) else v for n, v in inputs.items() if n != "mode"}


def is_draft(answer: Answer, example_left: int = 0) -> bool:
    """Whether the card may only be printed as a draft: a stop, a cannot say, or example values left."""
    return example_left > 0 or answer.figures["status"].value == "draft"


def card_html(answer: Answer, example_left: int = 0, site: str = "") -> str:
    """Return the sides of the card: two, and a third only where the steps need it.

    Args:
        answer: the answer of the plan.
        example_left: inputs that still hold their example value; with any the card is a draft.
        site: revision of the site, for the foot.
    """
    draft = is_draft(answer, example_left)
    top = [_wish(answer), _verdict(answer, example_left, draft), _cautions(answer), _block("before"), _totals(answer)]
    end = [
        _block("after"),
        _deviations(),
        _sign_offs(draft),
        _emergency(answer.extra.get("emergency")),
        _not_checked(answer),
    ]
    steps = _rows(answer)
    used = TOP_HEIGHT + _verdict_height(answer) + _cautions_height(answer)
    front, back = _split(steps, SHEET - used, SHEET - END_HEIGHT - FEWEST_READINGS * READING_HEIGHT)
    sides = [[*top, _steps(front, 0), _picture(answer)]]
    if back and not isinstance(back[0], dict):  # the rest does not fit one side: a sheet of steps between
        sides.append([_steps(back[0], len(front))])
        front, back = [*front, *back[0]], back[1]
    room = SHEET - END_HEIGHT - sum(_row_height(row) for row in back)
    readings = min(MOST_READINGS, int(room // READING_HEIGHT))
    sides.append([_steps(back, len(front)) if back else "", _readings(readings), *end])
    if not steps:
        sides[0].insert(-1, tag("p", text("No sequence: a stop stands in the way."), class_="card-none"))
    sheets = [
        tag("div", _head(answer, draft, n, len(sides)), *side, tag("p", text(STOP_RULES), class_="stop-rules") if n == 1 else "",
            _foot(answer, site, n, len(sides)), class_="sheet")
        for n, side in enumerate(sides, 1)
    ]  # fmt: skip
    return tag("div", *sheets, class_="run-card draft" if draft else "run-card")


# ---------------------------------------------------------------- how much fits on a side
# Millimetres of a sheet, from the print style: text of 7.2 pt takes 2.86 mm a line and about 1.2 mm a letter. An estimate that is too high costs some white; one that is too low would cost a third sheet.

SHEET = 257  # height in use: A4 less margins is 277, US Letter 259
TOP_HEIGHT = 94  # head, wish, ticks, totals, picture, stop rules, foot
END_HEIGHT = 126  # head, blocks, deviations, signatures, emergencies, what was not checked, foot
READING_HEIGHT = 7.5
MOST_READINGS, FEWEST_READINGS = 14, 3
LETTER, LINE = 1.2, 2.86
WIDTHS = {"do": 48, "valves": 26, "expect": 40, "otherwise": 35, "time": 12}


def _lines(words: str, width_mm: float) -> int:
    """Lines that a text takes in a column, words kept whole."""
    room, lines, at = max(1, int((width_mm - 1.6) / LETTER)), 1, 0
    for word in words.replace(wording.NO_BREAK, "_").split():
        if at and at + 1 + len(word) > room:
            lines, at = lines + 1, 0
        at += len(word) + bool(at)
    return lines


def _row_height(row: dict) -> float:
    return LINE * max(_lines(row[name], width) for name, width in WIDTHS.items()) + 1.2


def _verdict_height(answer: Answer) -> float:
    shown = [row for row in answer.figures["checks"].rows if row["verdict"] != "within"]
    return 6 + LINE * sum(_lines(f"{row['id']} {row['message']}", 84) + 0.3 for row in shown) / 2


def _cautions_height(answer: Answer) -> float:
    boxes = [
        _lines(f"{c.word}: {c.hazard}. {c.harm} {c.action}", 60)
        for c in answer.cautions
        if c.word in ("DANGER", "WARNING")
    ]
    rows = [max(boxes[i : i + 3]) for i in range(0, len(boxes), 3)]
    return sum(LINE * lines + 3 for lines in rows) + LINE * sum(
        c.word in ("CAUTION", "NOTICE") for c in answer.cautions
    )


def _split(steps, first: float, last: float) -> tuple[list, list]:
    """Return the steps of the front and those of the back; where the back cannot hold them, [middle, back]."""
    heights = [_row_height(row) for row in steps]
    count, total = 0, 0.0
    while count < len(steps) and total + heights[count] <= first:
        total += heights[count]
        count += 1
    front, rest = list(steps[:count]), list(steps[count:])
    if sum(heights[count:]) <= last:
        return front, rest
    middle, total = 0, 0.0
    while middle < len(rest) and total + heights[count + middle] <= SHEET - 25:
        total += heights[count + middle]
        middle += 1
    return front, [rest[:middle], rest[middle:]]


def drawings_html(answer: Answer) -> str:
    """Return the process drawing of each state that the steps pass through, folded, with the steps it belongs to."""
    steps: dict[str, list[str]] = {}
    for number, state in enumerate(answer.extra.get("states", ()), 1):
        steps.setdefault(state, []).append(str(number))
    drawn = {}
    for state in process_drawing.states():  # the first drawing of a state shows it without additions
        drawn.setdefault(state["words"], state)
    found = [
        tag("details", tag("summary", text(f"{'Step' if len(numbers) == 1 else 'Steps'} {wording.listed(numbers)}: {drawn[state]['title']}")),
            process_drawing.html(drawn[state]), class_="rows-of-figure")
        for state, numbers in steps.items() if state in drawn
    ]  # fmt: skip
    return tag("div", tag("h3", text("Valves, step by step")), *found) if found else ""


# ---------------------------------------------------------------- both sides


def _head(answer: Answer, draft: bool, page: int, pages: int) -> str:
    i = answer.inputs
    status = "DRAFT — NOT FOR USE" if draft else "FOR RELEASE"
    cells = (
        ("Run", i["run_name"]), ("Day", str(i["run_date"])), ("Code", answer.figures["plan_code"].value),
        ("Furnace record", f"{i['furnace_id'] or '–'} rev {i.said('record_revision')}"), ("Page", f"{page} of {pages}"),
    )  # fmt: skip
    inner = "".join(tag("span", tag("small", text(label)), text(f" {value}")) for label, value in cells)
    return tag("div", inner, tag("strong", text(status), class_="card-status"), class_="card-head")


def _foot(answer: Answer, site: str, page: int, pages: int) -> str:
    due = answer.inputs["record_review_due"]
    words = f"RUN-01, {site or 'site revision not known'}. Furnace record to be reviewed by {due}. Uncontrolled copy unless signed. Code {answer.figures['plan_code'].value}. Page {page} of {pages}. Printed "
    return tag("p", text(words), tag("span", class_="printed-on"), class_="card-foot")


# ---------------------------------------------------------------- front


def _wish(answer: Answer) -> str:
    i = answer.inputs
    load = "; ".join(_load_row(row) for row in i["load"])
    target = answer.extra.get("target", "")
    gas = (
        i["gas"]
        if i["gas"] != "mixture"
        else " + ".join(f"{row['share'] * 100:.3g} % {row['gas']}" for row in i["mixture"] or ())
    )
    words = (("Target", target or i["finish"]), ("Load", load), ("Finish", i["finish"]), ("Gas", gas))
    return tag(
        "p",
        *(tag("span", tag("small", text(label)), text(f" {value}")) for label, value in words if value),
        class_="card-wish",
    )


def _load_row(row: dict) -> str:
    kilograms = wording.with_unit(wording.plain_number(row["mass"]), "kg")
    parts = [row["material"], row.get("grade"), row["form"], f"{int(row['count'])} × {kilograms}"]
    parts += [f"touches {row['touches']}"] if row.get("touches") else []
    return ", ".join(p for p in parts if p)


def _verdict(answer: Answer, example_left: int, draft: bool) -> str:
    rows = [dict(row) for row in answer.figures["checks"].rows]
    counts = {v: sum(row["verdict"] == v for row in rows) for v in VERDICTS}
    said = (
        f"{counts['outside']} stops, {counts['cannot_say']} cannot say, {counts['close']} cautions; {len(rows)} checks made, "
        f"{len(answer.figures['not_checked'].rows) if 'not_checked' in answer.figures else 0} not made."
    )
    if example_left:
        said = f"{example_left} inputs are still example values. {said}"
    shown = [row for row in rows if row["verdict"] != "within"]
    items = "".join(_check_item(row) for row in shown)
    title = tag("p", verdict_mark(answer.verdict), tag("strong", text(f" {VERDICTS[answer.verdict]}. ")), text(said))
    return tag(
        "div", title, tag("ul", items) if items else "", class_="card-verdict" + (" many" if len(shown) > 8 else "")
    )


def _check_item(row: dict) -> str:
    initials = tag("span", class_="initials") if row["verdict"] == "close" else ""
    return tag(
        "li", verdict_mark(row["verdict"]), tag("strong", text(f" {row['id']} ")), text(row["message"]), initials
    )


def verdict_mark(verdict: str) -> str:
    """Return the shape of a verdict with its word for those who do not see it."""
    return f'<svg class="verdict-shape" viewBox="0 0 24 24" role="img" aria-label="{VERDICTS[verdict]}"><path d="{SHAPES[verdict]}"/></svg>'


def _cautions(answer: Answer) -> str:
    boxes = [tag("p", tag("strong", text(f"{c.word}: {c.hazard}. ")), text(f"{c.harm} {c.action}"), class_="card-caution")
             for c in answer.cautions if c.word in ("DANGER", "WARNING")]  # fmt: skip
    lines = [f"{c.word}: {c.hazard}. {c.action}" for c in answer.cautions if c.word not in ("DANGER", "WARNING")]
    return tag("div", *boxes, *(tag("p", text(line), class_="card-line") for line in lines), class_="card-cautions")


def _steps(rows, before: int) -> str:
    heads = ("No.", "Step and setting", "Valves", "Expect (accept)", "If not", "By", "Actual, time")
    head = tag("tr", *(tag("th", text(h), scope="col") for h in heads))
    body = [tag("tr", *_step_cells(number, row)) for number, row in enumerate(rows, before + 1)]
    return tag("table", tag("thead", head), tag("tbody", *body), class_="card-steps")


def _rows(answer: Answer) -> list[dict]:
    """Return the steps with the texts of the card's columns."""
    if "steps" not in answer.figures:
        return []
    short, states = data_table("run/card.toml")["valves"], answer.extra["states"]
    rows = [_texts(row, short[state]) for row, state in zip(answer.figures["steps"].rows, states, strict=True)]
    for number, row in enumerate(rows):
        for name in ("expect", "otherwise"):
            earlier = [n for n, other in enumerate(rows[:number]) if other[name] == row[name] and len(row[name]) > 20]
            if earlier:
                row[name] = f"as step {earlier[0] + 1}"
    return rows


def _texts(row: dict, valves: str) -> dict[str, str]:
    expect = row["expect"] + (f" ({row['accept']})" if row["accept"] not in ("", "yes") else "")
    do = row["do"] + (f" — set {row['set']}" if row["set"] else "")
    found = {"do": do, "valves": valves, "expect": expect, "otherwise": row["otherwise"], "time": row["time"]}
    return {name: BAND.sub(r"\1 to \2\3", words) for name, words in found.items()}


def _step_cells(number: int, row: dict) -> list[str]:
    return [tag("td", str(number)), *(tag("td", text(words)) for words in row.values()), tag("td", class_="ink")]


# ---------------------------------------------------------------- back


def _picture(answer: Answer) -> str:
    strip = answer.pictures[0] if answer.pictures else None
    return tag("div", svg.svg(strip, "card", **PICTURE), class_="card-picture") if strip else ""


def _totals(answer: Answer) -> str:
    found = []
    for name in TOTALS:
        if name in answer.figures:
            figure = answer.figures[name]
            ranged = figure.low_value is not None or figure.high_value is not None
            found.append(f"{figure.label}: {figure.text}" + (f" ({figure.span})" if ranged else ""))
    return tag("p", tag("strong", text("Totals. ")), text(" · ".join(found)), class_="card-totals") if found else ""


def _readings(rows: int) -> str:
    head = tag("tr", *(tag("th", text(h), scope="col") for h in READINGS))
    blank = tag("tr", *(tag("td") for _ in READINGS))
    return tag("table", tag("thead", head), tag("tbody", *[blank] * rows), class_="card-readings")


def _block(when: str) -> str:
    """Facts to be written by hand: ticks before the start; rise test, cylinder, opening and result after it."""
    blocks = [block for block in data_table("run/card.toml")["blocks"] if block["when"] == when]
    return "".join(
        tag("p", tag("strong", text(f"{b['title']} ")), text(b["text"]), class_="card-block") for b in blocks
    )


def _deviations() -> str:
    title = tag("strong", text("Deviations: step, what, why, who decided"))
    return tag("div", title, *[tag("div", class_="ruled")] * 3, class_="card-deviations")


def _sign_offs(draft: bool) -> str:
    """One box a role: name, signature, date and time. A draft has no line for release."""
    roles = [r for r in SIGN_OFFS if not (draft and r == "Released by")]
    boxes = [tag("div", tag("small", text(f"{role}: name, signature, date, time"))) for role in roles]
    return tag("div", *boxes, class_="card-signs")


def _emergency(events=None) -> str:
    events = events or data_table("run/emergency.toml")["event"]
    items = [tag("li", tag("strong", text(f"{e['number']} {e['event']}: ")), text(e["do"])) for e in events]
    title = tag("p", tag("strong", text("If something goes wrong (SAF-07 has the whole; your site's procedure comes first). Emergency number: ")),
                tag("span", class_="blank"))  # fmt: skip
    return tag("div", title, tag("ul", *items), class_="card-emergency")


def _not_checked(answer: Answer) -> str:
    if "not_checked" not in answer.figures:
        return ""
    names = dict.fromkeys(row["id"] or row["check"] for row in answer.figures["not_checked"].rows)
    words = f"{', '.join(names)}; the page says what each is. The card is no permit and says nothing about the quality of the work."
    return tag("p", tag("strong", text("Not checked by this plan: ")), text(words), class_="card-not-checked")


def blank_card() -> str:
    """Return a card without a plan, for the drawer: the back side with an empty head."""
    head = tag("div", *(tag("span", tag("small", text(label)), tag("span", class_="blank"))
                        for label in ("Run", "Day", "Code", "Furnace record")), class_="card-head")  # fmt: skip
    parts = [
        head,
        _block("before"),
        _readings(MOST_READINGS),
        _block("after"),
        _deviations(),
        _sign_offs(True),
        _emergency(),
    ]
    return tag("div", tag("div", *parts, class_="sheet"), class_="run-card")


__all__ = ["blank_card", "card_html", "is_draft", "reply"]
