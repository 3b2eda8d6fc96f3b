"""An answer as HTML: sentence, figures, what it leaves out, cautions, pictures, working."""

import calcs
from calcs import units, wording
from calcs.core import VERDICTS, Answer, Caution, Column, Figure, Refusal, Work
from calcs.page import svg
from calcs.page.addresses import Links, calculators_by_page, title
from calcs.page.markup import items, table, tag, text

SHAPES = {  # own plain shapes; the word stands beside them and carries the meaning
    "within": "M4 12 L9 17 L20 6",
    "close": "M8 5 V19 M16 5 V19",
    "outside": "M5 5 L19 19 M19 5 L5 19",
    "cannot_say": "M8 9 A4 4 0 1 1 12 13 V15 M12 18.5 V19",
}
LONGEST_TYPED = 300  # characters of one input that a result repeats
DEFER = "Follow the furnace's manual, your local rules and a competent person; the stricter one holds."


def answer_html(
    name: str, answer: Answer, links: Links, origin: str = "", example_count: tuple[int, int] | None = None
) -> str:
    """Return the result block of a calculator.

    Args:
        name: the calculator.
        answer: what it said.
        links: the way to other pages.
        origin: a line saying whose values these are, such as "Worked with the example values".
        example_count: (inputs still at their example value, all inputs).
    """
    if answer.refusal:
        return refusal_html(answer.refusal)
    parts = [
        _sentence(answer),
        _origins(answer, origin, example_count),
        _figures(name, answer, links),
        *_tables(answer, links),
        _leaves_out(answer),
        _notes(answer),
        cautions_html(answer.cautions),
        *(svg.picture_html(picture, f"{name}-{number}") for number, picture in enumerate(answer.pictures, 1)),
        _working(name, answer, links),
    ]
    return "".join(parts)


def refusal_html(refusal: Refusal) -> str:
    """Return a refusal: no figure, no picture; why, what to do, who decides."""
    parts = [tag("h3", text(f"No answer: {refusal.heading}"), class_="refusal-heading"), tag("p", text(refusal.why))]
    parts += [tag("p", text(words)) for words in (refusal.remedy, refusal.ask) if words]
    return tag("div", *parts, class_="refusal")


def verdict_html(verdict: str) -> str:
    """Return the word of a verdict with its shape."""
    shape = f'<svg class="verdict-shape" viewBox="0 0 24 24" aria-hidden="true" focusable="false"><path d="{SHAPES[verdict]}"/></svg>'
    return tag("span", shape, tag("strong", text(VERDICTS[verdict])), class_=f"verdict {verdict.replace('_', '-')}")


def _sentence(answer: Answer) -> str:
    verdict = verdict_html(answer.verdict) + " " if answer.judged else ""
    return tag("p", verdict, text(answer.sentence), class_="answer-sentence")


def _origins(answer: Answer, origin: str, example_count) -> str:
    said = [origin] if origin else []
    if example_count and example_count[0]:
        said.append(f"{example_count[0]} of {example_count[1]} inputs are still example values.")
    inputs = answer.inputs
    if inputs is not None and inputs.ambient_pa and any(r.sense in ("gauge", "below") for r in inputs.reads.values()):
        said.append(
            f"Pressures above the room are counted from {inputs.ambient_pa / 1000:.1f} kPa ({inputs.ambient_said})."
        )
    if inputs is not None and inputs.defaulted:
        form = calcs.calculator(answer.calculator).FORM
        values = [
            f"{_small(form.by_name[n].label)} {form.by_name[n].default}"
            for n in inputs.defaulted
            if form.by_name[n].default
        ]
        if values:
            said.append("Defaults used: " + "; ".join(values) + ".")
    return "".join(tag("p", text(line), class_="origin") for line in said)


def _small(words: str) -> str:
    return words[:1].lower() + words[1:]


def _figures(name: str, answer: Answer, links: Links) -> str:
    rows = []
    for figure in answer.figures.values():
        if figure.si_rows or figure.shown.kind == "table":
            continue
        used = tag("span", *_uses(answer, figure, links)) if answer.feeds.get(figure.name) else ""
        note = " ".join(n for n in (figure.note, f"Range: {figure.cause}." if figure.cause else "") if n)
        label = text(figure.label)
        if any(figure.name in step.figures for step in answer.working):
            label = tag("a", label, href=f"#{name}-working-{figure.name}")
        rows.append([label, text(figure.text), text(_range(figure)), text(note) + used])
    if not rows:
        return ""
    note = tag("p", text("Figures are rounded towards caution."), class_="small")
    return table("Key figures", ["Figure", "Value", "Range", "Note"], rows, "figures") + note


def _range(figure: Figure) -> str:
    if not figure.is_number:
        return "–"
    if figure.low_value is None and figure.high_value is None:
        return "no range known" if figure.shown.round == "up, range" or figure.shown.round == "down, range" else "–"
    return figure.span


def _uses(answer: Answer, figure: Figure, links: Links) -> list[str]:
    found = []
    for name in answer.feeds[figure.name][:3]:
        found.append(tag("a", text(f"Use in {title(name).split()[0]}"), href=links.calculator(name), class_="use", data_use=figure.name,
                         data_value=carried(figure), title=title(name)))  # fmt: skip
    return [" ", *(" ".join(found),)]


def carried(figure: Figure) -> str:
    """Return a figure as text that another form reads: whole precision, with its unit."""
    if not figure.is_number:
        return str(figure.value)
    sense = {"absolute pressure": " abs", "gauge pressure": " gauge"}.get(figure.shown.kind, "")
    number = f"{units.from_si(figure.value, figure.unit):.6g}"
    return f"{number} {figure.unit.name}{sense}".strip() if figure.unit.name != "1" else number


def _tables(answer: Answer, links: Links) -> list[str]:
    """Return each figure that is a table, folded; rows that a verdict puts within limits are folded by themselves."""
    found = []
    for figure in answer.figures.values():
        rows = figure.si_rows
        if not rows:
            continue
        if figure.name == "checks":
            asking = [row for row in rows if row["verdict"] != "within"]
            calm = [row for row in rows if row["verdict"] == "within"]
            found.append(_fold(figure, asking, f"Checks that ask for something: {len(asking)}", True, links))
            found.append(_fold(figure, calm, f"Checks within limits: {len(calm)}", False, links))
        else:
            found.append(
                _fold(figure, rows, figure.label, len(rows) <= 8 or figure.name in ("steps", "comparison"), links)
            )
    return found


def _fold(figure: Figure, rows, heading: str, is_open: bool, links: Links) -> str:
    if not rows:
        return ""
    columns = figure.shown.columns
    cells = [[_cell_html(column, row[column.name], links) for column in columns] for row in rows]
    shown = table(heading, [text(_head(column)) for column in columns], cells)
    return tag("details", tag("summary", text(heading)), shown, class_="rows-of-figure", open=is_open)


def _cell_html(column: Column, value, links: Links) -> str:
    """A cell as HTML: a verdict gets its word and shape, the id of a calculator's page its link."""
    if column.name == "verdict" and value in VERDICTS:
        return verdict_html(value)
    if column.name == "page" and value in (pages := calculators_by_page()):
        return tag("a", text(value), href=links.calculator(pages[value]))
    return text(cell_text(column, value))


def _head(column: Column) -> str:
    unit = units.unit_of(column.kind, column.unit).shown if column.kind != "text" and column.unit else ""
    return f"{column.label}, {unit}" if unit and unit != "1" else column.label


def cell_text(column: Column, value) -> str:
    """Return a cell of a table figure as text, without its unit (the head of the column has it)."""
    if value is None:
        return "–"
    if isinstance(value, str):
        return value
    if hasattr(value, "magnitude"):
        value = value.magnitude
    elif column.kind != "text":
        value = units.from_si(value, units.unit_of(column.kind, column.unit))
    return wording.number(float(value), column.digits, column.round)


def _leaves_out(answer: Answer) -> str:
    if not answer.leaves_out:
        return ""
    return tag(
        "div", tag("p", tag("strong", text("What this leaves out"))), items(answer.leaves_out), class_="leaves-out"
    )


def _notes(answer: Answer) -> str:
    return tag("div", items(answer.notes), class_="notes") if answer.notes else ""


def cautions_html(cautions) -> str:
    """Return caution boxes: signal word, hazard, what happens, what to do; and once whom to follow."""
    if not cautions:
        return ""
    return "".join(caution_html(c) for c in cautions) + tag("p", text(DEFER), class_="defer")


def caution_html(caution: Caution) -> str:
    word = caution.word
    return tag(
        "div",
        tag("p", tag("strong", text(f"{word}: {caution.hazard}")), class_="admonition-title"),
        tag("p", text(caution.harm)),
        tag("p", text(caution.action)),
        class_=f"admonition {word.lower()}",
    )


def _working(name: str, answer: Answer, links: Links) -> str:
    steps = [_work(name, step, links) for step in answer.working]
    typed = _inputs_table(name, answer)
    if not steps and not typed:
        return ""
    return tag(
        "details",
        tag("summary", text("Working: inputs as read, equations, constants")),
        typed,
        *steps,
        class_="working",
    )


def _work(name: str, step: Work, links: Links) -> str:
    lines = [tag("span", id=f"{name}-working-{figure}") for figure in step.figures]
    lines += [tag("p", tag("strong", text(step.title))), tag("p", tag("code", text(step.equation)))]
    lines += [tag("p", text(words)) for words in (step.values, step.result) if words]
    named = [tag("a", text(key), href=links.constant(key)) for key in step.constants]
    named += [tag("a", text(step.source), href=links.source(step.source))] if step.source else []
    if named:
        lines.append(tag("p", text("Constants and source: "), ", ".join(named), class_="small"))
    return tag("div", *lines, class_="work")


def _inputs_table(name: str, answer: Answer) -> str:
    inputs = answer.inputs
    if inputs is None:
        return ""
    form = calcs.calculator(name).FORM
    rows = [[text(form.by_name[n].label), text(typed), text(read)] for n, typed, read in inputs_as_read(form, inputs)]
    return table("Inputs as typed and as read", ["Input", "Typed", "Read as"], rows) if rows else ""


def inputs_as_read(form, inputs) -> list[tuple[str, str, str]]:
    """Return (name, as typed, as read) of every input used, defaults marked."""
    found = []
    for name, typed in inputs.texts.items():
        if isinstance(typed, (list, tuple)):
            typed = " · ".join(" ".join(str(v) for v in _cells(row)) for row in typed)
        if len(str(typed)) > LONGEST_TYPED:
            typed = f"{str(typed)[:LONGEST_TYPED]} … ({len(str(typed))} characters)"  # a log
        read = inputs.reads.get(name)
        said = (
            units.read_as(read, inputs.ambient_pa, inputs["flow_reference"])
            .removeprefix("Read as ")
            .replace(" (unit as typed)", "")
            if read
            else str(typed)
        )
        found.append((name, f"{typed} (default)" if name in inputs.defaulted else str(typed), said))
    return found


def _cells(row: dict) -> list[str]:
    cells = (str(v.get("text", "") if isinstance(v, dict) else v) for v in row.values())
    return [cell for cell in cells if cell.strip()]
