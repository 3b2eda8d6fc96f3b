"""Record files, and the three ways in which a plan comes to a record: a plan file, a link, or an earlier record.

A record file keeps every closed version whole. What it says of figures and verdicts is for people who read it;
opening one goes the way of typing, and everything is worked out again.
"""

import hashlib
import json
from dataclasses import dataclass, field
from urllib.parse import unquote

import calcs
from calcs.run import code, files
from calcs.run.files import RECORD, VERSION, CannotOpen, short

LONGEST_LINK = 8000  # characters of an address, as the pages write it
MOST_VERSIONS = 200
MOST_CHANGES = 5000
OPEN, CLOSED = "open", "closed"
KEPT_PLAN = "last plan"
CHANGE_COLUMNS = ("field", "old", "new", "when", "who", "why")
VERSION_TEXTS = ("status", "saved", "who", "why", "code", "package", "site")
LOG_TEXTS = ("name", "sha256", "said")
PARTS = ("format", "version", "calc_version", "site", "pages", "status", "plan", "versions", "history", "asked",
         "comparison", "figures")  # fmt: skip
SCHEMA = 1  # raised when the meaning of what a record code covers changes


@dataclass(frozen=True)
class Source:
    """What stands behind a record: the plan as typed, and the versions that there were before."""

    inputs: dict
    code: str = ""  # what the file says of itself
    package: str = ""  # the version of the package that made that code
    versions: tuple[dict, ...] = ()
    history: tuple[dict, ...] = ()
    asked: tuple[str, ...] = ()  # readings outside their band that somebody has looked at again
    notes: tuple[str, ...] = field(default_factory=tuple)


# ---------------------------------------------------------------- opening


def source(text: str) -> Source:
    """Return the plan behind a record, from the text of a plan file, a link of the plan's page, or a record file.

    Args:
        text: anything that somebody may type, paste or open.

    Raises:
        CannotOpen: reason too_large, damaged, wrong_kind or schema_newer; the message is one sentence.
    """
    tidy = text.strip().removeprefix("\ufeff")
    if " ".join(tidy.casefold().split()) == KEPT_PLAN:
        raise CannotOpen("wrong_kind", "The last plan is kept by the browser that made it: open it there, or its file.")
    if not tidy.startswith("{") and "#" in tidy:
        return _from_link(tidy)
    if _says_record(tidy):
        return _from_record(tidy)
    file = files.opened(tidy, files.PLAN)
    return Source(
        files.plan_inputs(file), _text(file.get("code")), _text(file.get("calc_version")), notes=tuple(file["unknown"])
    )


def _says_record(text: str) -> bool:
    """Whether a text is a record file as far as its own words go; whatever is wrong with it is said later."""
    try:
        return files.with_head(text, RECORD)["format"] == RECORD
    except CannotOpen as trouble:
        return trouble.reason == "schema_newer"


def _from_link(text: str) -> Source:
    fragment = text.partition("#")[2]
    if fragment.startswith("p="):
        return _from_compact(fragment)
    if len(fragment) > LONGEST_LINK:
        raise CannotOpen("too_large", f"The link is longer than {LONGEST_LINK} characters: save the plan as a file.")
    if not fragment.startswith("in="):
        raise CannotOpen("wrong_kind", "This is no link of the plan's page: it holds no inputs.")
    try:
        found = json.loads(unquote(fragment.removeprefix("in=")))
    except (ValueError, RecursionError):
        raise CannotOpen("damaged", "The link is damaged: copy the whole of it.") from None
    if not isinstance(found, dict) or found.get("schema") != 1:
        raise CannotOpen("schema_newer", "The link was made by another page or a newer one: update this copy.")
    return _from_inputs(found.get("inputs"))


def _from_compact(fragment: str) -> Source:
    """Read the short link that a card carries, where this copy of the site writes such links."""
    try:
        from calcs.run import link
    except ImportError:
        raise CannotOpen("schema_newer", "The link was made by a newer page: update this copy of the site.") from None
    inputs, plan_code = link.read(fragment)
    found = _from_inputs(inputs)
    return Source(found.inputs, plan_code, "", notes=found.notes)


def _from_inputs(inputs) -> Source:
    files.check_inputs(inputs)
    file = files.opened(json.dumps({"format": files.PLAN, "version": 1, "inputs": inputs}))
    return Source(files.plan_inputs(file), notes=tuple(file["unknown"]))


def _from_record(text: str) -> Source:
    found = files.with_head(text, RECORD)
    plan, versions, history = found.get("plan"), found.get("versions"), found.get("history", [])
    if not isinstance(plan, dict) or not isinstance(versions, list) or not 1 <= len(versions) <= MOST_VERSIONS:
        raise CannotOpen("damaged", "The file is damaged: plan or versions of the record are missing.")
    files.check_inputs(plan.get("inputs"))
    for number, version in enumerate(versions, 1):
        _check_version(version, number)
    if not isinstance(history, list) or len(history) > MOST_CHANGES or not all(_is_change(row) for row in history):
        raise CannotOpen("damaged", "The file is damaged: its list of changes cannot be read.")
    behind = _from_inputs(plan["inputs"])
    notes = [f"The file holds “{short(n)}”, which this page does not know: it is not kept." for n in found if n not in PARTS]  # fmt: skip
    notes += _unlike(versions, _text(plan.get("code")))
    asked = found.get("asked")
    return Source(
        behind.inputs, _text(plan.get("code")), _text(plan.get("calc_version")), tuple(versions),
        tuple({name: row[name] for name in CHANGE_COLUMNS} for row in history),
        tuple(a for a in asked if isinstance(a, str))[: files.MOST_ROWS * 2] if isinstance(asked, list) else (),
        (*behind.notes, *notes),
    )  # fmt: skip


def _check_version(version, number: int) -> None:
    whole = (
        isinstance(version, dict)
        and version.get("number") == number
        and version.get("status") in (OPEN, CLOSED)
        and all(isinstance(version.get(name, ""), str) for name in VERSION_TEXTS)
        and _is_log(version.get("log"))
    )
    if not whole:
        raise CannotOpen("damaged", f"The file is damaged: version {number} of the record cannot be read.")
    files.check_inputs(version.get("inputs"))


def _is_log(log) -> bool:
    if log is None:
        return True
    return (
        isinstance(log, dict)
        and all(isinstance(log.get(name, ""), str) for name in LOG_TEXTS)
        and all(isinstance(log.get(n, 0), int) and not isinstance(log.get(n, 0), bool) for n in ("bytes", "rows"))
        and isinstance(log.get("findings", []), list)
        and all(isinstance(line, str) for line in log.get("findings", []))
    )


def _is_change(row) -> bool:
    return isinstance(row, dict) and all(isinstance(row.get(name), str) for name in CHANGE_COLUMNS)


def _unlike(versions, plan_code: str) -> list[str]:
    """Return a sentence for each version whose code does not fit what the file holds of it."""
    found, before = [], ""
    for version in versions:
        now = record_code(plan_code, version["inputs"], (version.get("log") or {}).get("sha256", ""), before)
        if now != version.get("code"):
            found.append(
                f"The code of version {version['number']} does not fit what the file holds: it was changed outside "
                "this page. Compare it with the paper."
            )
        before = version.get("code", "")
    return found


def _text(value) -> str:
    return value[:40] if isinstance(value, str) else ""


# ---------------------------------------------------------------- codes


def record_code(plan_code: str, inputs: dict, log_sha256: str, before: str) -> str:
    """Return the code of one version of a record: it binds plan, readings, log and the version before it.

    Args:
        plan_code: code of the plan, as on the paper.
        inputs: what was typed, as `kept` gives it.
        log_sha256: hash of the log, or "".
        before: code of the version before, or "".
    """
    held = {"schema": SCHEMA, "plan": plan_code, "inputs": inputs, "log": log_sha256, "before": before}
    return code.of_text(json.dumps(held, sort_keys=True, separators=(",", ":")))


def fingerprint(data: bytes) -> str:
    """Return the SHA-256 hash of a file as 64 hexadecimal digits.

    Source:
        FIPS 180-4; hashlib of the standard library, compared with the standard's examples in the tests.
    """
    return hashlib.sha256(data).hexdigest()


# ---------------------------------------------------------------- writing


def record_file(record, figures: dict, site: str = "", pages: dict | None = None, asked=()) -> str:
    """Return the text of a record file.

    Args:
        record: the Record of an answer.
        figures: name to text, for people who read the file.
        site: revision of the site.
        pages: page id to revision.
        asked: readings outside their band that somebody looked at again, as Question.key.
    """
    found = {
        "format": RECORD,
        "version": VERSION,
        "calc_version": f"calcs {calcs.__version__}",
        "site": site,
        "pages": pages or {},
        "status": record.status,
        "plan": {"code": record.plan_code, "calc_version": record.plan_package, "inputs": record.plan_inputs},
        "versions": [*record.before, _version(record, site)],
        "history": list(record.history),
        "asked": sorted({*record.asked, *asked}),
        "comparison": [dict(row) for row in record.comparison],
        "figures": figures,
    }
    return json.dumps(found, ensure_ascii=False, indent=1) + "\n"


def _version(record, site: str) -> dict:
    return {
        "number": record.number, "status": record.status, "saved": record.saved, "who": record.who, "why": record.why,
        "code": record.code, "package": f"calcs {calcs.__version__}", "site": site, "inputs": record.kept,
        "log": record.log,
    }  # fmt: skip


def file_name(record) -> str:
    """Return the name of a record's file: day, plan code and version, no typed text."""
    letters = "".join(c for c in f"{record.day}-{record.plan_code}-v{record.number}" if c.isalnum() or c == "-")
    return f"record-{letters}.json"


__all__ = ["CLOSED", "OPEN", "Source", "file_name", "fingerprint", "record_code", "record_file", "source"]
