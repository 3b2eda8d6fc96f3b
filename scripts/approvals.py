"""What a lab has approved: its own file `approvals.yml`, read at each build. This project ships none.

An approval holds for one revision and one content check code of one page. When either has changed it has lapsed, and
the page and the register say so. Nothing here approves anything: a person of the lab writes the file.
"""

import re
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import yaml
from mkdocs.exceptions import PluginError

FILE = Path(__file__).resolve().parents[1] / "approvals.yml"
NEEDED = ("id", "revision", "check_code", "body", "by", "date", "conditions", "next_review")
NONE = "Not approved by a lab yet"
CODE = re.compile(r"[0-9a-f]{8}")


@dataclass(frozen=True)
class Approval:
    """One approval as the lab wrote it."""

    id: str
    revision: int
    check_code: str
    body: str
    by: str
    date: date
    conditions: str
    next_review: date


def read(file: Path, known: set[str]) -> dict[str, list[Approval]]:
    """Return the approvals of a file by page id, the oldest first; without a file there are none.

    Args:
        file: `approvals.yml`, a list of entries.
        known: ids of the pages of this site.

    Raises:
        PluginError: an entry is malformed, names no page of this site, or stands twice.
    """
    if not file.is_file():
        return {}
    try:
        entries = yaml.safe_load(file.read_text(encoding="utf-8")) or []
    except yaml.YAMLError as trouble:
        raise PluginError(f"{file.name}: cannot be read: {trouble}") from trouble
    if not isinstance(entries, list):
        raise PluginError(f"{file.name}: must be a list of entries, each beginning with - id:")
    found: dict[str, list[Approval]] = {}
    for number, entry in enumerate(entries, 1):
        approval = _one(f"{file.name}, entry {number}", entry, known)
        others = found.setdefault(approval.id, [])
        if any(o.revision == approval.revision and o.check_code == approval.check_code for o in others):
            raise PluginError(f"{file.name}, entry {number}: {approval.id} revision {approval.revision} stands twice")
        others.append(approval)
    return {page: sorted(all_, key=lambda a: (a.revision, a.date)) for page, all_ in found.items()}


def _one(place: str, entry, known: set[str]) -> Approval:
    if not isinstance(entry, dict):
        raise PluginError(f"{place}: must hold {', '.join(NEEDED)}")
    missing = [name for name in NEEDED if name not in entry]
    unknown = [name for name in entry if name not in NEEDED]
    if missing or unknown:
        raise PluginError(f"{place}: lacks {missing or 'nothing'}, has unknown {unknown or 'nothing'}")
    if entry["id"] not in known:
        raise PluginError(f"{place}: {entry['id']!r} is no page of this site")
    if not isinstance(entry["revision"], int) or isinstance(entry["revision"], bool) or entry["revision"] < 1:
        raise PluginError(f"{place}: revision must be a whole number from 1")
    if not isinstance(entry["check_code"], str) or not CODE.fullmatch(entry["check_code"]):
        raise PluginError(f"{place}: check_code must be the eight characters of the review box, in quotes")
    for name in ("date", "next_review"):
        if type(entry[name]) is not date:
            raise PluginError(f"{place}: {name} must be a date, year-month-day")
    for name in ("body", "by"):
        if not isinstance(entry[name], str) or not entry[name].strip():
            raise PluginError(f"{place}: {name} is empty")
    return Approval(**entry | {"conditions": str(entry["conditions"] or "").strip()})


def said(page, approvals: list[Approval], today: date) -> str:
    """Return what stands in a page's review box and in the register.

    Args:
        page: the page, with its revision and content check code.
        approvals: those of this page, the oldest first.
        today: the day of the build.
    """
    if not approvals:
        return NONE
    for approval in reversed(approvals):
        if approval.revision == page.revision and approval.check_code == page.check_code:
            return _holds(approval, today)
    last = approvals[-1]
    if last.revision == page.revision:
        return (
            f"Approved here at revision {last.revision} with check code {last.check_code}; the code is "
            f"{page.check_code} now: approval lapsed"
        )
    return f"Approved here at revision {last.revision}; this is revision {page.revision}: approval lapsed"


def _holds(approval: Approval, today: date) -> str:
    late = (today - approval.next_review).days
    due = f"next review by {approval.next_review}" + (f", overdue by {late} days" if late > 0 else "")
    conditions = f" Conditions: {approval.conditions.rstrip('.')}." if approval.conditions else ""
    return f"Approved here at revision {approval.revision} by {approval.body} ({approval.by}) on {approval.date}; {due}.{conditions}"
