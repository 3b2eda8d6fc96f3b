"""Saved plans and furnace records: JSON files of our own, and what is said when one cannot be opened.

A file holds inputs as they were typed; opening it goes the way of typing. What a file says about checks
and totals is for people who read it and is never believed: everything is worked out again.
"""

import json
import re

import calcs
from calcs import furnace
from calcs.core import Answer
from calcs.form import LONGEST_TEXT, as_typed

PLAN, FURNACE, RECORD = "furnace-run", "furnace-record", "record-of-run"
NAMES = {PLAN: "a saved plan", FURNACE: "a furnace record", RECORD: "the record of a run"}
VERSION = 1
LARGEST = 5_000_000  # bytes
MOST_ROWS = 60
MOST_INPUTS = 400
DEEPEST = 20  # brackets within brackets
BRACKET = re.compile(r"[\[\]{}]")
STRING = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*"?', re.DOTALL)  # the last quote is optional, so that it never goes back
MOST_NAMED = 6  # unknown names that are told one by one
PLAN_PARTS = ("format", "version", "calc_version", "code", "inputs", "furnace", "checks", "totals", "status")
RECORD_PARTS = ("format", "version", "calc_version", "record", "history")


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


def furnace_file(record: dict, history=()) -> str:
    """Return the text of a furnace file.

    Args:
        record: input name to text as typed, tables as rows.
        history: the records of the revisions before, oldest first.
    """
    found = {
        "format": FURNACE,
        "version": VERSION,
        "calc_version": f"calcs {calcs.__version__}",
        "record": _stored_record(record),
        "history": [_stored_record(old) for old in history],
    }
    return json.dumps(found, ensure_ascii=False, indent=1) + "\n"


def _stored_record(record: dict) -> dict:
    return {name: _stored(value) for name, value in record.items() if not _nothing(value)}


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
    found = with_head(text, kind)
    parts = PLAN_PARTS if kind == PLAN else RECORD_PARTS
    inputs = found.get("inputs" if kind == PLAN else "record")
    check_inputs(inputs)
    if kind == FURNACE:
        _check_history(found.setdefault("history", []))
    known = _known_names(kind)
    found["unknown"] = _unknown([n for n in found if n not in parts], "", "it is kept and not used")
    found["unknown"] += _unknown([n for n in inputs if n not in known], "an input ", "it is dropped")
    return found


def with_head(text: str, kind: str) -> dict:
    """Return the content of a file of which only size, kind and version have been looked at.

    Raises:
        CannotOpen: see `opened`.
    """
    if len(text.encode("utf-8", "surrogatepass")) > LARGEST:
        raise CannotOpen("too_large", f"The file is larger than 5 MB: {NAMES[kind].split(' ', 1)[1]} never is.")
    if _too_deep(text):
        raise CannotOpen("damaged", "The file is damaged: its brackets are nested deeper than any file of this site.")
    try:
        found = json.loads(text.removeprefix("\ufeff"), parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise CannotOpen("damaged", "The file is damaged: it cannot be read as JSON.") from None
    _check_head(found, kind)
    return found


def _unknown(names: list[str], what: str, then: str) -> list[str]:
    """Return a sentence for each unknown name, and one for all that come after the first few."""
    found = [f"The file holds {what}“{short(n)}”, which this page does not know: {then}." for n in names[:MOST_NAMED]]
    more = len(names) - MOST_NAMED
    return found + ([f"The file holds {more} more names that this page does not know."] if more > 0 else [])


def plan_inputs(file: dict) -> dict:
    """Return the inputs as typed of an opened plan; unknown names are left out."""
    known = _known_names(PLAN)
    return {name: _as_text(value) for name, value in file["inputs"].items() if name in known}


def furnace_record(file: dict) -> dict:
    """Return the record of an opened furnace file: input name to text, or rows; unknown names are left out."""
    known = _known_names(FURNACE)
    return {name: _as_text(value) for name, value in file["record"].items() if name in known}


def furnace_history(file: dict) -> list[dict]:
    """Return the records of the revisions before, oldest first, of an opened furnace file."""
    known = _known_names(FURNACE)
    return [{name: _as_text(value) for name, value in old.items() if name in known} for old in file["history"]]


def is_record(given) -> bool:
    """Whether something is a record: names to texts and rows of texts, not too many."""
    return isinstance(given, dict) and len(given) <= MOST_INPUTS and all(map(_is_typed, given.values()))


def _as_text(value):
    """Return one text for a text with its unit; rows the same, cell by cell."""
    if isinstance(value, list):
        return [{name: _as_text(cell) for name, cell in row.items()} for row in value]
    return as_typed(value) if isinstance(value, dict) else value


def changed_since(file: dict, answer: Answer, only_code: bool = False) -> list[str]:
    """Return sentences on what differs between what a file or link says and what was worked out from it now."""
    found = []
    made, here = file.get("calc_version", ""), f"calcs {calcs.__version__}"
    if made and made != here:
        found.append(f"The file was made with {short(str(made))}, this is {here}: all figures are worked out again.")
    before, now = file.get("code", ""), _text_figure(answer, "plan_code")
    if before and before != now:
        found.append(f"The code was {short(str(before))} and is {now} now: inputs, schema or package changed.")
    if only_code:
        return found
    checks = file.get("checks")
    said = {
        c["id"]: c["verdict"]
        for c in (checks if isinstance(checks, list) else [])
        if isinstance(c, dict) and isinstance(c.get("id"), str) and isinstance(c.get("verdict"), str)
    }
    for name, check in answer.checks.items():
        old = said.get(name, "within")
        if old != check["verdict"]:
            found.append(f"{name} was “{short(str(old))}” and is “{check['verdict']}” now.")
    return found


def _too_deep(text: str) -> bool:
    """Whether brackets are nested deeper than in any file of ours: that ends the interpreter of a browser."""
    depth = 0
    for found in BRACKET.finditer(STRING.sub("", text)):
        depth += 1 if found[0] in "[{" else -1
        if depth > DEEPEST:
            return True
    return False


def _no_constant(name: str):
    raise ValueError(name)


def _check_head(found, kind: str) -> None:
    name = found.get("format") if isinstance(found, dict) else None
    if not isinstance(name, str) or name not in NAMES:
        raise CannotOpen("wrong_kind", f"This is not a file of this site: it says none of {', '.join(NAMES)}.")
    if name != kind:
        raise CannotOpen("wrong_kind", f"This is {NAMES[name]}, and {NAMES[kind]} is asked for.")
    version = found.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise CannotOpen("damaged", "The file is damaged: it does not say which version it has.")
    if version > VERSION:
        raise CannotOpen(
            "schema_newer",
            f"The file was made by a newer page (version {version}, this one reads {VERSION}): update this copy of "
            f"the site.",
        )


def check_inputs(inputs) -> None:
    if not is_record(inputs):
        raise CannotOpen("damaged", "The file is damaged: its inputs are not texts and rows of texts.")


def _check_history(history) -> None:
    from calcs.run.furnace_record import MOST_REVISIONS

    if not isinstance(history, list) or len(history) > MOST_REVISIONS:
        raise CannotOpen("damaged", "The file is damaged: its history is not a list of earlier revisions.")
    for old in history:
        check_inputs(old)


def _is_typed(value) -> bool:
    if isinstance(value, str):
        return len(value) <= 40 * LONGEST_TEXT and _can_be_written(value)
    if isinstance(value, dict):
        return value.keys() <= {"text", "unit", "sense"} and all(
            isinstance(v, str) and len(v) <= LONGEST_TEXT and _can_be_written(v) for v in value.values()
        )
    if isinstance(value, list):
        return len(value) <= MOST_ROWS and all(
            isinstance(row, dict) and all(isinstance(cell, (str, dict)) and _is_typed(cell) for cell in row.values())
            for row in value
        )
    return False


def _can_be_written(text: str) -> bool:
    """Whether a text survives being written: half of a pair of surrogates does not."""
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _known_names(kind: str) -> frozenset:
    from calcs.run.plan import FORM  # plan writes its files through this module

    if kind == PLAN:
        return frozenset(FORM.by_name)
    from calcs.run.furnace_record import NAMES

    return frozenset((*NAMES, furnace.OLD_LIMIT))


def short(text: str) -> str:
    tidy = " ".join(text.encode("utf-8", "replace").decode("utf-8").split())
    return tidy if len(tidy) <= 40 else tidy[:39] + "…"


__all__ = [
    "FURNACE", "PLAN", "RECORD", "VERSION", "CannotOpen", "changed_since", "check_inputs", "file_name",
    "furnace_file", "furnace_history", "furnace_record", "opened", "plan_file", "plan_inputs", "short", "with_head",
]  # fmt: skip
