"""The border between a page and Python: one request in, one reply out, both plain data.

A request says what to `do`:

    work_out   calculator, inputs, touched, root, ending, revision, today, address  -> the result block, or the problems
    read       calculator, field, input   -> the "read as" line of one field
    check      calculator                 -> its outside values and what it gives for them, worked out here
    open       kind, text, kept           -> the inputs of a saved plan or furnace record, or of the link on a card
                                             (kind "link"), or why it cannot be opened
    furnace_*                             -> see page/furnaces.py
    log_part   token, text, last, …       -> takes a slice of a long log; at the end the line that stands for it
    open_record    text                   -> the steps of a plan, or a record's inputs as typed, or why it cannot be opened
    fingerprint    data                   -> the SHA-256 hash of a file, given as base64
    trends         files                  -> what several records say from run to run
    prepare    calculator                 -> loads it
    warm       nothing                    -> imports what a first answer needs

The reply holds finished HTML made from escaped parts. Typed text never becomes markup.
"""

import sys
from dataclasses import replace

import calcs
from calcs import units
from calcs.core import VERDICTS
from calcs.form import PLAIN, Problems, as_typed
from calcs.page import answer as answers
from calcs.page import export, furnaces
from calcs.page.addresses import Links
from calcs.page.form import read_line
from calcs.page.markup import tag, text


def respond(request: dict) -> dict:
    """Return the reply to a request of a page.

    Raises:
        LookupError: the request names nothing that exists. Only a fault of ours does that.
    """
    return DOINGS[request["do"]](request)


def _work_out(request: dict) -> dict:
    name = request["calculator"]
    form = calcs.calculator(name).FORM
    touched = set(request.get("touched") or ())
    typed = {
        n: v
        for n, v in request["inputs"].items()
        if n == "mode" or (n in form.by_name and (n in touched or not _is_default(form.by_name[n], v)))
    }
    try:
        answer = calcs.work_out(name, typed)
    except Problems as problems:
        return problem_reply(name, form, problems) | {"parts": part_states(form, typed, problems.problems)}
    reads = read_lines(form, answer.inputs) if answer.inputs is not None else {}
    links = Links(request.get("root", ""), request.get("ending", "/"))
    doubts = {n: _plain(problem) for n, problem in answer.inputs.doubts.items()} if answer.inputs is not None else {}
    reply = {"reads": reads, "problems": {}, "doubts": doubts, "parts": part_states(form, typed, {})}
    if answer.refusal:
        html = answers.refusal_html(answer.refusal)
        return reply | {"state": "refused", "html": html, "say": answer.refusal.message, "field": answer.refusal.field}
    counted = _example_count(form, answer, request.get("touched"))
    if name == "plan" and counted[0]:
        _as_draft(answer, counted[0])
    html = answers.answer_html(name, answer, links, example_count=counted)
    verdict = f"{VERDICTS[answer.verdict]}. " if answer.judged else ""
    reply |= {
        "state": "answered",
        "html": html,
        "say": verdict + answer.sentence,
        "copy": export.copy_text(name, answer, request.get("revision", ""), request.get("today", "")),
        "csv": export.csv_text(name, answer),
    }
    if name == "plan":
        from calcs.page import card  # only the plan's page needs it

        reply |= card.reply(answer, request | {"example_left": counted[0]})
        reply["html"] += reply.pop("drawings")
        says = tag("p", text(reply["card_says"]), class_="card-says") if reply["card_says"] else ""
        reply["html"] += tag("div", tag("h3", text("The run card")), reply.pop("card"), says, class_="card-place")
    if name == "record":
        from calcs.page import record  # only the record's page needs it

        reply |= record.reply(answer, request | {"example_left": counted[0]}, reply["html"])
    reply["html"] += furnaces.below_answer(answer, request, links)
    return reply


def _is_default(f, given) -> bool:
    """Whether a box that nobody touched holds the default that the page wrote into it."""
    shows_default = f.default is not None and not (f.in_example and f.example)
    return shows_default and as_typed(given, f.kind) == f.default


def part_states(form, typed: dict, problems: dict) -> list[str]:
    """Return what each part of a long form still needs, in words."""
    found = []
    for _, names in form.parts:
        wrong = [form.by_name[n].label for n in names if n in problems]
        empty = [form.by_name[n].label for n in names if n not in problems and form.by_name[n].optional
                 and form.by_name[n].in_example and form.by_name[n].example and not _typed_text(typed.get(n))]  # fmt: skip
        state = (
            f"still needed: {', '.join(wrong)}" if wrong else f"left empty: {', '.join(empty)}" if empty else "complete"
        )
        found.append(state)
    return found


def _typed_text(given) -> bool:
    return bool(str(given.get("text", "")).strip() if isinstance(given, dict) else given)


def read_lines(form, inputs) -> dict[str, str]:
    """Return what every field was read as, with the room's pressure and the reference of flows put in."""
    ambient, reference = inputs.ambient_pa, inputs["flow_reference"]
    return {n: read_line(form.by_name[n], read, ambient, reference) for n, read in inputs.reads.items()}


def _as_draft(answer, left: int) -> None:
    """A plan with example values in it is a draft, whatever its checks say."""
    answer.figures["status"] = replace(answer.figures["status"], value="draft")
    answer.sentence = (
        f"Draft: {left} inputs are still example values. With these values it would read: {answer.sentence}"
    )


def _example_count(form, answer, touched) -> tuple[int, int]:
    """Inputs that still hold the example's text and were not touched, and all inputs."""
    if touched is None:
        return 0, 0
    example = form.example(answer.inputs.mode)
    used = answer.inputs.texts
    same = [n for n in used if n in example and n not in touched and n not in answer.inputs.defaulted]
    return len(same), len(used)


def problem_reply(name: str, form, problems: Problems) -> dict:
    """Return the reply to inputs that cannot be used: a message beside each field, and all of them in one list."""
    found = {n: p for n, p in problems.problems.items()}
    order = [f.name for f in form.fields if f.name in found] + [n for n in found if n not in form.by_name]
    heading = "There is a problem" if len(order) == 1 else f"There are {len(order)} problems"
    links = [tag("li", tag("a", text(found[n].message), href=f"#{name}-{n}", data_to=n)) for n in order]
    return {
        "state": "problems",
        "html": "",
        "say": heading + ".",
        "summary": tag("h3", text(heading)) + tag("ul", *links),
        "problems": {n: _plain(found[n]) for n in order},
        "reads": {},
    }


def _plain(problem) -> dict:
    return {"message": problem.message, "options": list(problem.options), "cell": problem.cell}


def _read(request: dict) -> dict:
    """Say what one field was read as; nothing where it cannot be read, since complaints come when pressed."""
    f = calcs.calculator(request["calculator"]).FORM.by_name[request["field"]]
    given = request["input"]
    if f.kind in PLAIN or f.kind in ("table", "log"):
        return {"read": "", "typed_unit": False, "notes": False}
    try:
        read = units.read(f.kind, given.get("text", ""), given.get("unit") or None)
    except units.Unreadable:
        return {"read": "", "typed_unit": False, "notes": False}
    return {"read": read_line(f, read), "typed_unit": read.typed_unit, "notes": bool(read.notes)}


def _check(request: dict) -> dict:
    """Compare one calculator with its outside values; "control" is the row altered on purpose."""
    from calcs import published  # only the page of checks needs it

    name = request["calculator"]
    checks = [published.control_check()] if name == "control" else published.checks_of(name)
    results = [
        result
        for number, check in enumerate(checks, 1)
        for result in published.run_check(check.get("calculator", name), number, check)
    ]
    rows = [
        {"key": f"{name}/{r.number}/{r.figure}", "got": r.got, "difference": r.difference, "passed": r.passed,
         "as_it_should": r.as_it_should, "expected": r.expected}
        for r in results
    ]  # fmt: skip
    return {"rows": rows, "version": calcs.__version__, "python": ".".join(map(str, sys.version_info[:3]))}


def _open(request: dict) -> dict:
    """Open a plan or a furnace record: inputs as typed, or one sentence why not."""
    from calcs.run import files

    if request["kind"] == "link":
        return _open_link(request["text"])
    kind = files.PLAN if request["kind"] == "plan" else files.FURNACE
    try:
        file = files.opened(request["text"], kind)
    except files.CannotOpen as trouble:
        return {"problem": trouble.message}
    if kind == files.FURNACE:
        return furnaces.opened(file, request.get("kept"))
    inputs = files.plan_inputs(file)
    notes = list(file["unknown"])
    try:
        notes += files.changed_since(file, calcs.work_out("plan", inputs))
    except Problems:
        notes.append("Some inputs of the file are not accepted now; each says why.")
    return {"inputs": inputs, "notes": notes}


def _open_link(fragment: str) -> dict:
    """Open the link that the code on a card holds: inputs as typed, and whether the code of the plan still holds."""
    from calcs.run import files, link

    try:
        inputs, before = link.read(fragment)
    except files.CannotOpen as trouble:
        return {"problem": trouble.message}
    try:
        notes = files.changed_since({"code": before}, calcs.work_out("plan", inputs), only_code=True)
    except Problems:
        notes = ["Some inputs of the link are not accepted now; each says why."]
    return {"inputs": inputs, "notes": notes}


def _log_part(request: dict) -> dict:
    """Read a slice of a log; what it is worth is said when the form is worked out."""
    from calcs import logs  # only pages with a log need it

    return logs.take_part(request)


def _open_record(request: dict) -> dict:
    from calcs.page import record

    return record.opened(request["text"])


def _fingerprint(request: dict) -> dict:
    from calcs.page import record

    return record.fingerprint(request["data"])


def _trends(request: dict) -> dict:
    from calcs.page import trends

    return trends.reply(request["files"])


def _prepare(request: dict) -> dict:
    """Load a calculator while nobody waits for it."""
    calcs.calculator(request["calculator"])
    return {}


def _warm(request: dict) -> dict:
    """Work one example of each calculator out, so that the build knows which modules the browser needs."""
    for name in (*calcs.CALCULATORS, *calcs.FORMS):
        for mode in calcs.calculator(name).FORM.modes or ("",):
            _work_out({"calculator": name, "inputs": calcs.example(name, mode), "address": "https://warm.example/"})
    return {}


DOINGS = {
    "work_out": _work_out,
    "read": _read,
    "check": _check,
    "open": _open,
    "log_part": _log_part,
    "open_record": _open_record,
    "fingerprint": _fingerprint,
    "trends": _trends,
    "prepare": _prepare,
    "warm": _warm,
    **furnaces.DOINGS,
}
