"""The run card: two sides of paper made from a checked plan, black on white, with room for hand and ink."""

import re

from calcs import wording
from calcs.core import VERDICTS, Answer
from calcs.form import as_typed
from calcs.page import card_blocks as blocks
from calcs.page import card_code, process_drawing, svg
from calcs.page.answer import SHAPES
from calcs.page.card_room import READINGS, SCALES, SHEET, WIDTH, Block, Pieces, arranged, lines, text_height
from calcs.page.markup import tag, text
from calcs.run import files

PICTURE = {"width": 720, "height": 104, "font": 12}
PICTURE_WIDTH = 180.0  # mm
VIEW_BOX = re.compile(r'viewBox="0 0 ([0-9.]+) ([0-9.]+)"')
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
DRAFT, RELEASE = "DRAFT — NOT FOR USE", "FOR RELEASE"
MANY = 4  # checks not within limits; more of them run on, to save lines
PLAIN = (1.0, True, True)  # scale of the text, picture, code for a telephone
LARGER = tuple((scale, True, True) for scale in SCALES if scale > 1)
SPARING = ((1.0, False, True), (1.0, False, False))  # where the sides would be more than two
TEXT = 360.0  # mm of a usual card that grow with the square of the scale: larger letters, fewer to a line


def reply(answer: Answer, request: dict) -> dict:
    """Return what the plan's page gets beside the answer: the card, the file to save and its name."""
    plan_code, inputs = answer.figures["plan_code"].value, _typed(request["inputs"])
    name = files.file_name(files.PLAN, str(answer.inputs["run_date"]), plan_code)
    link = card_code.link_of(request.get("address", ""), inputs, plan_code)
    card = card_html(answer, request.get("example_left", 0), request.get("site", ""), link, name)
    return {
        "drawings": drawings_html(answer),
        "card": card,
        "card_says": card_code.SAID if "card-qr" in card else "",
        "file": files.plan_file(inputs, answer),
        "file_name": name,
        "plan_code": plan_code,
    }


def _typed(inputs: dict) -> dict:
    """Return inputs as one text each, the way a file keeps them."""
    return {n: as_typed(v) if isinstance(v, dict) else v for n, v in inputs.items() if n != "mode"}


def is_draft(answer: Answer, example_left: int = 0) -> bool:
    """Whether the card may only be printed as a draft: a stop, a cannot say, or example values left."""
    return example_left > 0 or answer.figures["status"].value == "draft"


def card_html(answer: Answer, example_left: int = 0, site: str = "", link: str = "", file_name: str = "") -> str:
    """Return the sides of the card: two, and more only where steps and cautions need them.

    Args:
        answer: the answer of the plan.
        example_left: inputs that still hold their example value; with any the card is a draft.
        site: revision of the site, for the foot.
        link: what the code for a telephone says; without one the card names the file.
        file_name: the name under which the plan is saved.
    """
    draft = is_draft(answer, example_left)
    plan_code = answer.figures["plan_code"].value
    code = card_code.picture(link) if link else None
    made = _Made(answer, example_left, site, plan_code, code, file_name)
    scale, pieces, found = made.best()

    def head(page: int, pages: int) -> str:
        return blocks.head((*_head_cells(answer), ("Page", f"{page} of {pages}")), DRAFT if draft else RELEASE)

    return blocks.sheets(pieces, found, head, _foot(answer, site), scale, draft)


class _Made:
    """A card in the making: what does not hang on the layout is made once."""

    def __init__(self, answer: Answer, example_left: int, site: str, plan_code: str, code, file_name: str):
        self.answer, self.example_left, self.site, self.plan_code = answer, example_left, site, plan_code
        self.code, self.file_name = code, file_name
        self.rows, self.picture = blocks.step_rows(answer), _picture(answer)

    def best(self) -> tuple:
        """Return layout, pieces and their arrangement: the largest text on two sides, then what spares room."""
        plain = self._tried(PLAIN)
        if len(plain[2].sides) > 2:
            sparing = (self._tried(layout) for layout in SPARING)
            return next((found for found in sparing if len(found[2].sides) == 2), plain)
        for layout in LARGER:
            if (layout[0] ** 2 - 1) * TEXT < plain[2].spare + SHEET / 4:
                found = self._tried(layout)
                if len(found[2].sides) == 2 and found[2].readings >= READINGS[1]:
                    return found
        return plain

    def _tried(self, layout: tuple) -> tuple:
        pieces = self._pieces(layout)
        return layout[0], pieces, arranged(pieces)

    def _pieces(self, layout: tuple) -> Pieces:
        """Return the blocks of the card with their heights in one layout."""
        k, with_picture, with_code = layout
        answer, draft = self.answer, is_draft(self.answer, self.example_left)
        top = [_wish(answer, k), _verdict(answer, self.example_left, k), _cautions(answer, k)]
        top += [*blocks.facts("before", WIDTH, k), _totals(answer, k)]
        if not self.rows:
            top.append(blocks.paragraph("No sequence: a stop stands in the way.", "card-none", k))
        code, code_width = blocks.code_place(*self.code, self.plan_code, k) if self.code and with_code else (None, 0.0)
        end = [blocks.deviations(k), blocks.sign_offs(draft), blocks.emergency(answer.extra.get("emergency"), k)]
        end += [_not_checked(answer, k)]
        end += [] if code else [blocks.paragraph(card_code.file_line(self.file_name, self.plan_code), "card-again", k)]
        widest_head = (*_head_cells(answer), ("Page", "1 of 2"), ("", DRAFT if draft else RELEASE))
        return Pieces(
            top=[block for block in top if block],
            rows=[Block(blocks.row_html(n, row), blocks.row_height(row, k)) for n, row in enumerate(self.rows, 1)],
            picture=self.picture if with_picture else None,
            beside=code,
            below=blocks.facts("after", WIDTH - code_width, k),
            end=[block for block in end if block],
            every=blocks.head_height(widest_head, k) + blocks.foot_height(_foot_words(answer, self.site), k),
            first=text_height(blocks.STOP_RULES, WIDTH, blocks.SMALL * k, blocks.CLOSE, 1.5),
            table_head=blocks.TABLE_HEAD * k,
            reading_head=blocks.reading_head(WIDTH - code_width, k),
        )


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


# ---------------------------------------------------------------- head and foot


def _head_cells(answer: Answer) -> tuple:
    i = answer.inputs
    return (
        ("Run", i["run_name"]), ("Day", str(i["run_date"])), ("Code", answer.figures["plan_code"].value),
        ("Furnace record", f"{i['furnace_id'] or '–'} rev {i.said('record_revision')}"),
    )  # fmt: skip


def _foot_words(answer: Answer, site: str) -> str:
    due = answer.inputs["record_review_due"]
    return (
        f"RUN-01, {site or 'site revision not known'}. Furnace record to be reviewed by {due}. Uncontrolled copy "
        "unless signed. Printed "
    )


def _foot(answer: Answer, site: str) -> str:
    return tag("p", text(_foot_words(answer, site)), tag("span", class_="printed-on"), class_="card-foot")


# ---------------------------------------------------------------- before the steps


def _wish(answer: Answer, k: float) -> Block:
    i = answer.inputs
    load = "; ".join(_load_row(row) for row in i["load"])
    target = answer.extra.get("target", "")  # it names gas and finish
    words = [("Target", target)] if target else [("Finish", i["finish"]), ("Gas", i["gas"])]
    words.append(("Load", load))
    html = tag(
        "p", *(tag("span", tag("small", text(label)), text(f" {value}")) for label, value in words), class_="card-wish"
    )
    height = text_height(
        "  ".join(f"{label} {value}" for label, value in words), WIDTH, blocks.WISH * k, blocks.CLOSE, 1.0
    )
    return Block(html, height)


def _load_row(row: dict) -> str:
    kilograms = wording.with_unit(wording.plain_number(row["mass"]), "kg")
    parts = [row["material"], row.get("grade"), row["form"], f"{int(row['count'])} × {kilograms}"]
    parts += [f"touches {row['touches']}"] if row.get("touches") else []
    return ", ".join(p for p in parts if p)


def _verdict(answer: Answer, example_left: int, k: float) -> Block:
    rows = [dict(row) for row in answer.figures["checks"].rows]
    counts = {v: sum(row["verdict"] == v for row in rows) for v in VERDICTS}
    said = (
        f"{wording.count(counts['outside'], 'stop')}, {counts['cannot_say']} cannot say, "
        f"{wording.count(counts['close'], 'caution')}; {len(rows)} checks made, "
        f"{len(answer.figures['not_checked'].rows) if 'not_checked' in answer.figures else 0} not made."
    )
    if example_left:
        said = f"{example_left} inputs are still example values. {said}"
    shown = [row for row in rows if row["verdict"] != "within"]
    items = " ".join(_check_item(row) for row in shown)
    title = tag("p", verdict_mark(answer.verdict), tag("strong", text(f" {VERDICTS[answer.verdict]}. ")), text(said))
    run_on = len(shown) > MANY
    html = tag(
        "div",
        title,
        tag("ul", items, class_="run-on" if run_on else None) if items else "",
        class_="card-verdict",
    )
    return Block(html, _verdict_height(f"{VERDICTS[answer.verdict]} {said}", shown, run_on, k))


def _verdict_height(said: str, shown: list[dict], run_on: bool, k: float) -> float:
    """Return the height of the box; "____" stands for the shape, "_______" for the box of initials."""
    height = text_height(f"__ {said}", WIDTH - 4, blocks.BODY * k, blocks.CLOSE, 2.5)
    items = [
        f"__{'_______' if row['verdict'] == 'close' else VERDICTS[row['verdict']]}_{row['id']} {row['message']}"
        for row in shown
    ]
    line, column = max(blocks.SMALL * k * blocks.ITEMS * blocks.MM, 3.2), (WIDTH - 8) / 2
    if run_on:
        return height + line * ((lines(" ".join(items), column, blocks.SMALL * k) + 2) // 2)
    taken = [lines(item, column, blocks.SMALL * k) for item in items]
    # The browser levels two columns of whole items: never more than half and one item.
    return height + line * (0 if not taken else max(max(taken), (sum(taken) + max(taken) + 1) // 2))


def _check_item(row: dict) -> str:
    initials = tag("span", class_="initials") if row["verdict"] == "close" else ""
    word = "" if row["verdict"] == "close" else f"{VERDICTS[row['verdict']]}, "
    mark = tag(
        "span", initials, verdict_mark(row["verdict"]), tag("strong", text(f"{word}{row['id']}")), class_="card-mark"
    )
    return tag("li", mark, text(f" {row['message']}"))


def verdict_mark(verdict: str) -> str:
    """Return the shape of a verdict with its word for those who do not see it."""
    return f'<svg class="verdict-shape" viewBox="0 0 24 24" role="img" aria-label="{VERDICTS[verdict]}"><path d="{SHAPES[verdict]}"/></svg>'


def _cautions(answer: Answer, k: float) -> Block | None:
    return blocks.cautions([(c.word, c.hazard, c.harm, c.action) for c in answer.cautions], k)


def _totals(answer: Answer, k: float) -> Block | None:
    found = []
    for name in TOTALS:
        if name in answer.figures:
            figure = answer.figures[name]
            ranged = figure.low_value is not None or figure.high_value is not None
            found.append(f"{figure.label}: {figure.text}" + (f" ({figure.span})" if ranged else ""))
    return blocks.paragraph(" · ".join(found), "card-totals", k, "Totals. ") if found else None


def _picture(answer: Answer) -> Block | None:
    if not answer.pictures:
        return None
    drawing = svg.svg(answer.pictures[0], "card", **PICTURE)
    wide, high = map(float, VIEW_BOX.search(drawing).groups())
    return Block(tag("div", drawing, class_="card-picture"), high / wide * PICTURE_WIDTH)


def _not_checked(answer: Answer, k: float) -> Block | None:
    if "not_checked" not in answer.figures:
        return None
    names = dict.fromkeys(row["id"] or row["check"] for row in answer.figures["not_checked"].rows)
    words = f"{', '.join(names)}; the page says what each is. The card is no permit and says nothing about the quality of the work."
    return blocks.paragraph(words, "card-not-checked", k, "Not checked by this plan: ")


__all__ = ["card_html", "drawings_html", "is_draft", "reply", "verdict_mark"]
