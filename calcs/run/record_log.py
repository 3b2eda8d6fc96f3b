"""What a record keeps of the log of a run: name, hash, number of rows, and what the log calculator found in it.

The text of the log is not kept: the file stays with the lab, and its hash tells whether it is still the same one.
"""

import json
import re

import calcs
from calcs import units, wording
from calcs.form import Problems, as_typed
from calcs.run.record_files import fingerprint
from calcs.wording import count

CALCULATOR = "log"
MOST_FINDINGS = 40
HOT_STEPS = ("heat", "soak", "cool")  # those that a log of temperatures speaks of
LONGEST_FINDING = 190  # it becomes a text of the deviations, which has 200 characters at most


def kept(log, name: str, planned) -> dict:
    """Return what is kept of a log.

    Args:
        log: the text of a log file, or rows as dicts of texts.
        name: name of the file, "" where there is none.
        planned: the answer of the plan, for the comparison.
    """
    text = log if isinstance(log, str) else json.dumps(log, ensure_ascii=False, sort_keys=True)
    data = text.encode("utf-8", "surrogatepass")
    rows = sum(1 for line in re.split(r"[\n·]", text) if line.strip()) if isinstance(log, str) else len(log)
    found = {"name": name, "sha256": fingerprint(data), "bytes": len(data), "rows": rows}
    summary, findings = _checked(log, planned)
    of = f"“{name}”" if name else "without a name"
    said = f"Log {of}: {count(rows, 'row')}, {len(data)} bytes, SHA-256 {found['sha256']}. {summary}"
    return found | {"said": said, "findings": findings}


def _checked(log, planned) -> tuple[str, list[str]]:
    """Return (a sentence, the findings) of the log calculator, where this copy of the site has one."""
    if CALCULATOR not in calcs.CALCULATORS:
        return "This copy of the site does not compare logs: hash and size only.", []
    typed = {"log": log, "ambient_pressure": f"{planned.inputs.ambient_pa} Pa", **_programme(planned.inputs)}
    try:
        answer = calcs.work_out(CALCULATOR, typed)
    except Problems as trouble:
        return f"Not compared with the plan: {'; '.join(trouble.messages.values())[:300]}", []
    if answer.refusal:
        return f"Not compared with the plan: {answer.refusal.why}", []
    figure = answer.figures.get("findings")
    if not figure:
        return answer.sentence, []
    columns = {column.name: column for column in figure.shown.columns}
    late = answer.figures["shift"].value if "shift" in answer.figures else 0.0
    rows = [row for row in figure.si_rows if row.get("verdict") != "within"][:MOST_FINDINGS]
    return answer.sentence, [
        _finding(number, row, columns, _step(row, late, planned)) for number, row in enumerate(rows, 1)
    ]


def _step(row: dict, late_s: float, planned) -> str:
    """Return the number of the step in which a finding begins, or "" where that cannot be told.

    The log is lined up with the programme, so its time less the lateness is time since the heating began.
    """
    at = row.get("from")
    if not isinstance(at, (int, float)):
        return ""
    end, found = late_s, ""
    for (key, _), step in zip(planned.extra["written"], planned.figures["steps"].rows, strict=True):
        if key not in HOT_STEPS:
            continue
        if not found or at >= end:
            found = step["step"]
        try:
            end += units.read("time", step["time"].rpartition(", ")[2]).si
        except units.Unreadable:
            return ""
    return found


def _programme(planned) -> dict:
    """Return the programme of the plan as the log calculator asks for it."""
    texts = planned.texts
    found = {"start_temperature": as_typed(texts["room_temperature"])}
    if planned["segments"]:
        return found | {"segments": texts["segments"]}
    segments = [
        {"kind": "ramp", "to": as_typed(texts["soak_temperature"]), "rate": as_typed(texts["ramp"])},
        {"kind": "soak", "time": as_typed(texts["soak_time"])},
        {"kind": "cool", "to": as_typed(texts["planned_opening_temperature"])},
    ]
    return found | {"segments": segments}


def _finding(number: int, row: dict, columns: dict, step: str) -> str:
    """Return a finding in one line: its number, its step, what it is, from when to when."""
    cells = {name: _cell(row.get(name), columns.get(name)) for name in ("from", "to", "what")}
    span = " to ".join(cells[name] for name in ("from", "to") if cells[name])
    where = f" (step {step})" if step else ""
    return f"log {number}{where}: {cells['what']}{f' ({span})' if span else ''}"[:LONGEST_FINDING]


def _cell(value, column) -> str:
    if value is None or isinstance(value, str) or column is None or column.kind == "text":
        return " ".join(str(value or "").split())
    unit = units.unit_of(column.kind, column.unit)
    return wording.with_unit(wording.number(units.from_si(value, unit), column.digits, column.round), unit.shown)


def undecided(log: dict | None, deviations) -> tuple[dict, ...]:
    """Return the findings of the log that no row of the deviations speaks of, as rows to be decided.

    Args:
        log: what is kept of the log, or None.
        deviations: rows of the record; one that begins with "log 3" speaks of the third finding.
    """
    spoken = {str(row["what"]).split(":")[0].strip() for row in deviations or ()}
    return tuple(
        {"key": words.split(":")[0], "what": words, "step": "".join(re.findall(r"^log \d+ \(step (\d+)\)", words))}
        for words in (log or {}).get("findings", ())
        if words.split(":")[0] not in spoken
    )
