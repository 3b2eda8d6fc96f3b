"""The record of a run on its page, as a file and on paper: at most three sides, the code on each."""

import base64
import binascii

from calcs import wording
from calcs.core import VERDICTS, Answer, Refused
from calcs.page.markup import items, tag, text
from calcs.run import record, record_files
from calcs.run.record import NO_SIGNATURE, Record

# What one sheet can hold. Paper shows the latest changes and the first letters; the file holds everything.
PLANNED, LONG, CHANGES = 90, 110, 12
EXAMPLE = "EXAMPLE — NOT A RECORD"


def reply(answer: Answer, request: dict, html: str) -> dict:
    """Return what the record's page gets: questions first, the answer, findings to decide, the sheet, the file."""
    found: Record = answer.extra["record"]
    example_left, asked = request.get("example_left", 0), request.get("asked") or ()
    asked = [key for key in asked if isinstance(key, str)]
    sheet = tag("div", tag("h3", text("The record on paper")), sheet_html(answer, example_left, request.get("site", "")),
                class_="card-place")  # fmt: skip
    figures = {name: f.text for name, f in answer.figures.items() if not f.si_rows and f.text}
    pages = {"RUN-03": str(request.get("revision", ""))}
    return {
        "html": questions_html(found, asked) + html + proposals_html(found) + sheet,
        "file": record_files.record_file(found, figures, request.get("site", ""), pages, asked),
        "file_name": record_files.file_name(found),
        "closed": found.status == record_files.CLOSED,
    }


def questions_html(found: Record, asked) -> str:
    """Return the readings outside their band that nobody has looked at again yet."""
    left = [question for question in found.questions if question.key not in asked]
    if not left:
        return ""
    return tag(
        "div",
        tag("h3", text("Look at the paper again")),
        items(question.words for question in left),
        tag("p", tag("button", text("It stands so on the paper: keep it"), type="button", data_asked="\n".join(q.key for q in left))),
        class_="record-questions",
    )  # fmt: skip


def proposals_html(found: Record) -> str:
    """Return the findings of the log that wait for a decision, each with its three buttons."""
    if not found.proposals:
        return ""
    rows = [
        tag("li", text(f"{row['what']} "), *(
            tag("button", text(label), type="button", data_decide=decision, data_what=row["what"], data_step=row["step"],
                aria_label=f"{label}: {row['what']}")
            for label, decision in (("Accept", "accepted"), ("Explain", "explained"), ("Reject", "rejected"))))
        for row in found.proposals
    ]  # fmt: skip
    return tag("div", tag("h3", text("Found in the log: decide each")), tag("ul", *rows), class_="record-proposals")


# ---------------------------------------------------------------- opening


def opened(typed: str) -> dict:
    """Return the steps of a plan and, of a record, its inputs as typed; or one sentence why not.

    Args:
        typed: the text of a plan file, a record file, or a link.
    """
    try:
        source, planned = record.behind(typed)
    except Refused as trouble:
        return {"problem": trouble.refusal.why}
    steps = [{"step": row["step"], "words": _step_words(row)} for row in planned.figures["steps"].rows]
    last = source.versions[-1] if source.versions else None
    known = {name: value for name, value in last["inputs"].items() if name in record.KEPT} if last else {}
    code = source.code if last else planned.figures["plan_code"].value
    name, day = planned.inputs["run_name"], planned.inputs["run_date"]
    about = f"{name}, {day}, {planned.extra['furnace']}, plan {code}"
    if last:
        about += f"; record, version {last['number']}, {last['status']}"
    return {
        "steps": steps, "inputs": known, "about": about, "notes": list(source.notes), "asked": list(source.asked),
        "plan_code": code if last else "", "closed": bool(last) and last["status"] == record_files.CLOSED,
        "log": (last.get("log") or {}).get("said", "") if last else "",
    }  # fmt: skip


def _step_words(row: dict) -> str:
    """Return what stands beside the box of a step: what is done, what is expected, what is accepted."""
    parts = (_short(row["do"], LONG), f"Expect {_short(row['expect'], LONG)}", f"Accept {row['accept']}")
    return " ".join(part if part.endswith("…") else f"{part}." for part in parts)


def fingerprint(data: str) -> dict:
    """Return hash and size of a file given as base64, or a sentence where it is none."""
    try:
        whole = base64.b64decode(data, validate=True)
    except (binascii.Error, ValueError):
        return {"problem": "The file could not be read."}
    return {"sha256": record_files.fingerprint(whole), "bytes": len(whole)}


# ---------------------------------------------------------------- paper


def sheet_html(answer: Answer, example_left: int = 0, site: str = "") -> str:
    """Return the printable record: one table whose head, with the code, stands on each side.

    Args:
        answer: the answer of the record.
        example_left: inputs that still hold their example value; with any the sheet says that it is none.
        site: revision of the site, for the foot.
    """
    found: Record = answer.extra["record"]
    parts = [
        tag("p", text(answer.sentence), class_="record-sentence"),
        tag("p", tag("strong", text(NO_SIGNATURE))),
        _readings(found),
        _deviations(found),
        _evidence(answer, found),
        _changes(found),
        _foot(found, site),
    ]
    head = tag("thead", tag("tr", tag("th", _head(found, example_left))))
    body = tag("tbody", tag("tr", tag("td", *parts)))
    return tag(
        "div", tag("table", head, body, class_="record-paper", role="presentation"), class_="run-card record-sheet"
    )


def _head(found: Record, example_left: int) -> str:
    status = EXAMPLE if example_left else f"{found.status.upper()}, VERSION {found.number}"
    cells = (("Run", _short(found.run_name, 40)), ("Day", found.day), ("Plan code", found.plan_code),
             ("Record code", found.code), ("Furnace record", _short(found.furnace, 30)))  # fmt: skip
    inner = "".join(tag("span", tag("small", text(label)), text(f" {value}")) for label, value in cells)
    return tag("div", inner, tag("strong", text(status), class_="card-status"), class_="card-head")


def _readings(found: Record) -> str:
    written: dict[str, list] = {}
    for row in found.readings:
        if row["actual"] or row["time"] or row["initials"]:
            written.setdefault(str(int(row["step"])), []).append(row)
    rows = []
    for row in found.comparison:
        waiting = written.get(row["step"])
        more = waiting.pop(0) if waiting else {}
        by = ", ".join(part for part in (more.get("time"), more.get("initials")) if part)
        rows.append((row["step"], _short(row["planned"], PLANNED), _short(row["accept"], LONG), _short(row["actual"], LONG), _short(by, 30),
                     VERDICTS[row["verdict"]] if row["actual"] != record.NOT_RECORDED else "–"))  # fmt: skip
    return _table("record-steps", ("Step", "Planned", "Accept", "Actual", "Time, by", "Verdict"), rows)


def _deviations(found: Record) -> str:
    rows = [
        (row.get("step", ""), _short(row.get("what", ""), LONG), _short(row.get("why", ""), LONG), row.get("who", ""), row.get("decision", ""))
        for row in found.kept.get("deviations", [])[:CHANGES * 2]
    ]  # fmt: skip
    if not rows:
        return tag("p", tag("strong", text("Deviations: ")), text("none recorded."))
    return _table("record-deviations", ("Step", "Deviation", "Why", "Who", "Decision"), rows)


def _evidence(answer: Answer, found: Record) -> str:
    kept = found.kept
    lines = [
        ("Result against target", kept.get("result", record.NOT_RECORDED)),
        ("Cylinder pressure at the end", kept.get("cylinder_pressure_after", record.NOT_RECORDED)),
        ("Closed by (typed, not signed)", _short(kept.get("closed_by", "not closed"), 80)),
        ("Closed on", found.saved if found.status == record_files.CLOSED else "not closed"),
        ("Where the paper is kept", _short(kept.get("paper_kept", record.NOT_RECORDED), 80)),
        ("Log", _short(found.log["said"], 400) if found.log else "none given"),
    ]
    if "gas_used" in answer.figures:
        gas = answer.figures["gas_used"]
        lines.insert(2, (gas.label, f"{gas.text} ({gas.span}), at 0 °C, 101.325 kPa"))
    if photographs := kept.get("photographs"):
        said = "; ".join(f"{_short(row['file'], 40)} {row['sha256'][:16]}…" for row in photographs[:CHANGES])
        lines.append((f"Photographs ({len(photographs)})", said))
    return "".join(tag("p", tag("strong", text(f"{label}: ")), text(value)) for label, value in lines)


def _changes(found: Record) -> str:
    if not found.history:
        return tag("p", tag("strong", text("Changes after closing: ")), text("none."))
    shown = found.history[-CHANGES:]
    rows = [(_short(r["field"], 60), _short(r["old"], 60) or "–", _short(r["new"], 60) or "–", r["when"], _short(r["who"], 40), _short(r["why"], 60))
            for r in shown]  # fmt: skip
    left = len(found.history) - len(shown)
    more = tag("p", text(f"{wording.count(left, 'earlier change')} in the file.")) if left else ""
    return _table("record-changes", ("Changed", "Old value", "New value", "When", "Who", "Why"), rows) + more


def _foot(found: Record, site: str) -> str:
    words = (f"RUN-03, {site or 'site revision not known'}. Record {found.code}, plan {found.plan_code}, version {found.number}. "
             "Long texts are cut on paper; the file holds them whole. Printed ")  # fmt: skip
    return tag("p", text(words), tag("span", class_="printed-on"), class_="card-foot")


def _table(class_: str, heads, rows) -> str:
    head = tag("tr", *(tag("th", text(h), scope="col") for h in heads))
    body = [tag("tr", *(tag("td", text(cell)) for cell in row)) for row in rows]
    return tag("table", tag("thead", head), tag("tbody", *body), class_=class_)


def _short(words: str, most: int) -> str:
    """Return a text cut at a word, or inside the word where that is longer than a third of the room."""
    if len(words) <= most:
        return words
    cut = words[: most - 1]
    at = cut.rfind(" ")
    return f"{cut[: at if at > most * 2 // 3 else len(cut)].rstrip(' ,;.(')}…"


__all__ = ["fingerprint", "opened", "reply", "sheet_html"]
