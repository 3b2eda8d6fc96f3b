"""A stage of a worked example as HTML: what was typed, what the plan said, its figures, its steps, and the way to it."""

import json
from urllib.parse import quote

import calcs
from calcs.core import Answer
from calcs.page import card
from calcs.page.addresses import Links
from calcs.page.answer import verdict_html
from calcs.page.markup import items, table, tag, text
from calcs.run import examples
from calcs.run.examples import Stage

NEEDS_NO_HEAD = ("material", "form", "gas", "temperature", "power", "share")
LIKE_THE_BROWSER = "!*'()"  # what encodeURIComponent leaves as it is, beside letters, digits and -_.~
STANDS_IN_THE_WAY = ("outside", "cannot_say")
ORDER = (*STANDS_IN_THE_WAY, "close")


def html(run: str, stage: str, links: Links, revisions: dict) -> str:
    """Return one stage of a run, worked out now.

    Args:
        run: name of the run.
        stage: name of the stage.
        links: the way to other pages.
        revisions: calculator to the revision of its page.

    Raises:
        LookupError: there is no such run or stage, or its inputs have problems.
    """
    told = examples.stage(run, stage)
    try:
        answer = told.answer
    except calcs.Problems as trouble:
        raise LookupError(f"the stage {stage} of {run} has problems: {trouble.messages}") from trouble
    if answer.refusal:
        raise LookupError(f"the stage {stage} of {run} is refused: {answer.refusal.reason}")
    draft = told.calculator == examples.PLAN and card.is_draft(answer)
    said = tag("p", verdict_html(answer.verdict), " ", text(answer.sentence), class_="answer-sentence")
    # Of a draft only what stands in the way is told: figures and steps of a run that may not be made invite making it.
    whole = () if draft else (_figures(answer), _cautions(answer), _steps(answer))
    way = tag("p", tag("a", text(f"Open this in {_page(told)}"), href=address(told, links, revisions[told.calculator])))
    parts = [_typed(told), said, _found(answer, STANDS_IN_THE_WAY if draft else ORDER), *whole, way]
    return tag("div", *parts, class_="run-example", role="region", aria_label=f"{examples.title(run)}: {stage}")


def address(told: Stage, links: Links, revision: object) -> str:
    """Return a link that fills the calculator's form with the stage, written the way the form itself writes one.

    Args:
        told: the stage.
        links: the way to other pages.
        revision: revision of the page that the link opens.
    """
    filled = {name: value for name, value in told.inputs.items() if value not in ("", [], ())}
    state = {"schema": 1, "revision": str(revision), "inputs": filled}
    written = json.dumps(state, ensure_ascii=False, separators=(",", ":"))
    return f"{links.calculator(told.calculator)}#in={quote(written, safe=LIKE_THE_BROWSER)}"


def furnace_html(name: str) -> str:
    """Return the record of a furnace of the workshop as a table of inputs as typed.

    Raises:
        LookupError: the workshop has no such furnace.
    """
    by_name = calcs.calculator(examples.PLAN).FORM.by_name
    rows = [
        [text(_label(by_name[key])), text(_said(by_name[key], value))]
        for key, value in examples.record(name).items()
        if value
    ]
    whole = table(f"Furnace record {name}, invented, as typed", ["Input", "Typed"], rows, "figures")
    return _folded(f"Furnace record {name}, invented", whole)


def _folded(label: str, inner: str) -> str:
    shown = tag("summary", text(f"{label}. "), tag("span", text("Show"), class_="show"))
    return tag("details", shown, inner, class_="rows-of-figure")


def _page(told: Stage) -> str:
    return "Plan a run" if told.calculator == examples.PLAN else calcs.calculator(told.calculator).PAGE


def _typed(told: Stage) -> str:
    """What was typed here, and not in the stage before; for the first stage, not in the example."""
    by_name = calcs.calculator(told.calculator).FORM.by_name
    rows = [[text("Furnace"), text(told.furnace)]] if told.calculator == examples.PLAN else []
    rows += [[text(_label(by_name[n])), text(_said(by_name[n], value))] for n, value in told.changed.items()]
    first = next(s for s in examples.stages(told.run) if s.calculator == told.calculator)
    caption = "What was typed, where it differs from the example" if told == first else "What was changed"
    return table(caption, ["Input", "Typed"], rows, "figures")


def _label(field) -> str:
    return field.label.split(" (rows")[0]


def _said(field, value) -> str:
    """An input as typed; the cells of a row with the heads of their columns, where the cell does not say what it is."""
    if not isinstance(value, (list, tuple)):
        return str(value) or "left empty"
    heads = {c.name: "" if c.name in NEEDS_NO_HEAD else f"{c.label.split(',')[0].lower()} " for c in field.columns}
    return " · ".join(", ".join(f"{heads[name]}{cell}" for name, cell in row.items()) for row in value)


def _found(answer: Answer, verdicts: tuple[str, ...]) -> str:
    """Every check with one of these verdicts, the worst first, with what to do."""
    found = [(name, check) for name, check in answer.checks.items() if check["verdict"] in verdicts]
    found.sort(key=lambda row: ORDER.index(row[1]["verdict"]))
    rows = [[text(f"{name} "), verdict_html(check["verdict"]), text(check["message"]), text(f"{check['remedy']} {check['page']}")]
            for name, check in found]  # fmt: skip
    rows = [[name + tag("br") + verdict, *others] for name, verdict, *others in rows]
    heads = ["Check", "What the plan says", "What to do, and where to read on"]
    caption = (
        "Checks that stand in the way" if verdicts == STANDS_IN_THE_WAY else "Checks that are not within their limits"
    )
    return table(caption, heads, rows) if rows else ""


def _figures(answer: Answer) -> str:
    rows = [[text(f.label), text(f.text), text(f.span if f.span != f.text else "–")]
            for f in answer.figures.values() if f.is_number]  # fmt: skip
    return table("Key figures", ["Figure", "Value", "Range"], rows, "figures") if rows else ""


def _cautions(answer: Answer) -> str:
    if not answer.cautions:
        return ""
    said = [f"{c.word}: {c.hazard}. {c.harm} {c.action}" for c in answer.cautions]
    return tag("p", tag("strong", text("Cautions that this result calls for"))) + items(said)


def _steps(answer: Answer) -> str:
    if "steps" not in answer.figures:
        return ""
    names = ("step", "do", "set", "expect", "accept", "time")
    rows = [[text(row[name] or "–") for name in names] for row in answer.figures["steps"].rows]
    whole = table("Steps, short form", ["No.", "Do", "Set", "Expect", "Accept", "Time"], rows)
    return _folded(f"Steps, short form: {len(rows)} of them", whole)
