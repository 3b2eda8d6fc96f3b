"""Saved plans and furnace records: JSON files of our own, and what is said when one cannot be opened.

A file holds inputs as they were typed; opening it goes the way of typing. What a file says about checks
and totals is for people who read it and is never believed: everything is worked out again.
"""

import json

import calcs
from calcs.core import Answer
from calcs.form import LONGEST_TEXT

PLAN, FURNACE = "furnace-run", "furnace-record"
VERSION = 1
LARGEST = 5_000_000  # bytes
MOST_ROWS = 60
RECORD_NAMES = ("furnace_id", "record_revision", "record_review_due")
PLAN_PARTS = ("format", "version", "calc_version", "code", "inputs", "furnace", "checks", "totals", "status")
RECORD_PARTS = ("format", "version", "calc_version", "record")


class CannotOpen(ValueError):
    """A file that cannot be used. `reason` is too_large, damaged, wrong_kind or schema_newer."""

    def __init__(self, reason: str, message: str):
        super().__init__(message)
        self.reason, self.message = reason, message


# ---------------------------------------------------------------- writing


def plan_file(inputs: dict, answer: Answer) -> str:
    """Return the text of a plan file.

    Args:
        inputs: the inputs as typed: name to text, to text with menu unit, or to rows.
        answer: the answer to them, for the people who read the file; refused plans have no code.
    """
    figures = {name: f.text for name, f in answer.figures.items() if f.is_number}
    found = {
        "format": PLAN,
        "version": VERSION,
        "calc_version": f"calcs {calcs.__version__}",
        "code": _text_figure(answer, "plan_code"),
        "status": _text_figure(answer, "status"),
        "inputs": {name: _stored(value) for name, value in inputs.items() if not _nothing(value)},
        "checks": [
            {"id": name, "verdict": check["verdict"], "text": check["message"]}
            for name, check in answer.checks.items()
            if check["verdict"] != "within"
        ],
        "totals": figures,
    }  # fmt: skip
    return json.dumps(found, ensure_ascii=False, indent=1) + "\n"


def furnace_file(record: dict) -> str:
    """Return the text of a furnace record: input name to text as typed, holding powers as rows."""
    found = {
        "format": FURNACE,
        "version": VERSION,
        "calc_version": f"calcs {calcs.__version__}",
        "record": {name: _stored(value) for name, value in record.items() if not _nothing(value)},
    }
    return json.dumps(found, ensure_ascii=False, indent=1) + "\n"


def file_name(kind: str, day: str, plan_code: str) -> str:
    """Return the name of a file, from date and code only, so that no typed text becomes part of a name."""
    letters = "".join(c for c in f"{day}-{plan_code}" if c.isalnum() or c == "-")
    return f"{'run' if kind == PLAN else 'furnace'}-{letters}.json"


def _text_figure(answer: Answer, name: str) -> str:
    return answer.figures[name].value if name in answer.figures else ""


def _nothing(value) -> bool:
    return value in ("", None, [], ()) or (isinstance(value, dict) and not str(value.get("text", "")).strip())


def _stored(value):
    """Return a typed value ready for JSON: a pair of text and unit becomes a dict."""
    if isinstance(value, tuple) and len(value) == 2:
        return {"text": value[0], "unit": value[1] or ""}
    if isinstance(value, dict):
        return {str(name): str(cell or "") for name, cell in value.items()}
    if isinstance(value, (list, tuple)):
        return [{name: _stored(cell) for name, cell in row.items() if not _nothing(cell)} for row in value]
    return str(value)


# ---------------------------------------------------------------- opening


def opened(text: str, kind: str = PLAN) -> dict:
    """Return the content of a file.

    The key `unknown` lists sentences about what the file holds and this site does not use; it is kept.

    Args:
        text: the text of the file, at most 5 MB.
        kind: PLAN or FURNACE.

    Raises:
        CannotOpen: too large, damaged, of another kind, or made by a newer page; the message is one sentence.
    """
    if len(text.encode("utf-8", "surrogatepass")) > LARGEST:
        raise CannotOpen("too_large", "The file is larger than 5 MB: no plan is, so it is not one.")
    try:
        found = json.loads(text.removeprefix("\ufeff"), parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise CannotOpen("damaged", "The file is damaged: it cannot be read as JSON.") from None
    _check_head(found, kind)
    parts = PLAN_PARTS if kind == PLAN else RECORD_PARTS
    inputs = found.get("inputs" if kind == PLAN else "record")
    _check_inputs(inputs)
    known = _known_names(kind)
    found["unknown"] = [
        f"The file holds “{_short(n)}”, which this page does not know: it is kept and not used."
        for n in found
        if n not in parts
    ]
    found["unknown"] += [
        f"The file holds an input “{_short(n)}”, which this page does not know: it is dropped."
        for n in inputs
        if n not in known
    ]
    return found


def plan_inputs(file: dict) -> dict:
    """Return the inputs as typed of an opened plan; unknown names are left out."""
    known = _known_names(PLAN)
    return {name: value for name, value in file["inputs"].items() if name in known}


def furnace_record(file: dict) -> dict:
    """Return the record of an opened furnace file: input name to text, or rows; unknown names are left out."""
    known = _known_names(FURNACE)
    return {name: value for name, value in file["record"].items() if name in known}


def changed_since(file: dict, answer: Answer, only_code: bool = False) -> list[str]:
    """Return sentences on what differs between what a file or link says and what was worked out from it now."""
    found = []
    before, now = file.get("code", ""), _text_figure(answer, "plan_code")
    if before and before != now:
        found.append(f"The code was {_short(str(before))} and is {now} now: inputs, schema or package changed.")
    if only_code:
        return found
    said = {
        c["id"]: c["verdict"] for c in file.get("checks") or [] if isinstance(c, dict) and {"id", "verdict"} <= c.keys()
    }
    for name, check in answer.checks.items():
        old = said.get(name, "within")
        if old != check["verdict"]:
            found.append(f"{name} was “{_short(str(old))}” and is “{check['verdict']}” now.")
    return found


def _no_constant(name: str):
    raise ValueError(name)


def _check_head(found, kind: str) -> None:
    if not isinstance(found, dict) or found.get("format") not in (PLAN, FURNACE):
        raise CannotOpen(
            "wrong_kind", "This is not a file of this site: it does not say furnace-run or furnace-record."
        )
    if found["format"] != kind:
        names = {PLAN: "a saved plan", FURNACE: "a furnace record"}
        raise CannotOpen("wrong_kind", f"This is {names[found['format']]}, and {names[kind]} is asked for.")
    version = found.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise CannotOpen("damaged", "The file is damaged: it does not say which version it has.")
    if version > VERSION:
        raise CannotOpen(
            "schema_newer",
            f"The file was made by a newer page (version {version}, this one reads {VERSION}): update this copy of "
            f"the site.",
        )


def _check_inputs(inputs) -> None:
    if not isinstance(inputs, dict) or not all(_is_typed(value) for value in inputs.values()):
        raise CannotOpen("damaged", "The file is damaged: its inputs are not texts and rows of texts.")


def _is_typed(value) -> bool:
    if isinstance(value, str):
        return len(value) <= 40 * LONGEST_TEXT
    if isinstance(value, dict):
        return value.keys() <= {"text", "unit", "sense"} and all(
            isinstance(v, str) and len(v) <= LONGEST_TEXT for v in value.values()
        )
    if isinstance(value, list):
        return len(value) <= MOST_ROWS and all(
            isinstance(row, dict) and all(isinstance(cell, (str, dict)) and _is_typed(cell) for cell in row.values())
            for row in value
        )
    return False


def _known_names(kind: str) -> frozenset:
    from calcs import furnace
    from calcs.run.plan import FORM  # plan writes its files through this module

    if kind == PLAN:
        return frozenset(FORM.by_name)
    return (
        frozenset(furnace.KNOWN)
        | set(RECORD_NAMES)
        | {n for heading, names in FORM.parts if heading == "The furnace" for n in names}
    )


def _short(text: str) -> str:
    tidy = " ".join(text.split())
    return tidy if len(tidy) <= 40 else tidy[:39] + "…"


__all__ = [
    "FURNACE", "PLAN", "VERSION", "CannotOpen", "changed_since", "file_name", "furnace_file", "furnace_record",
    "opened", "plan_file",
    "plan_inputs",
]  # fmt: skip
