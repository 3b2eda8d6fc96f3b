"""The ledger of issued revisions, and what a site revision held: docs/review/revisions.json.

A page may change freely while it is a draft or for review. Once its revision has been issued it stands in the ledger
with its content check code, and the build stops when its content is another one. For each site revision the ledger
also keeps what a reviewer compares: pages, constants, cautions, expected values of the checks.
"""

import json
import os
from dataclasses import asdict
from pathlib import Path

from mkdocs.exceptions import PluginError

import calcs
from calcs import data, published
from calcs.page.markup import table, tag, text
from scripts import cautions, registers

ROOT = Path(__file__).resolve().parents[1]
FILE = ROOT / "docs/review/revisions.json"
FORMAT, VERSION = "page-revisions", 1
COMMAND = "python3 scripts/review.py record"
RECORDING = "RECORD_REVISIONS"  # variable of the environment: this build tells codes and judges nothing
FIRST = ("caution", "number")  # effects that a reviewer sees before the others


def empty() -> dict:
    return {"format": FORMAT, "version": VERSION, "issued": {}, "site_revisions": []}


def read(file: Path = FILE) -> dict:
    """Return the ledger; without a file an empty one.

    Raises:
        PluginError: the file is not a ledger that this code reads.
    """
    if not file.is_file():
        return empty()
    try:
        found = json.loads(file.read_text(encoding="utf-8"))
    except ValueError as trouble:
        raise PluginError(f"{file.name}: cannot be read: {trouble}") from trouble
    if not isinstance(found, dict) or (found.get("format"), found.get("version")) != (FORMAT, VERSION):
        raise PluginError(f"{file.name}: is no ledger of version {VERSION}")
    return found


def write(ledger: dict, file: Path = FILE) -> None:
    file.write_text(json.dumps(ledger, ensure_ascii=False, indent=1, sort_keys=True) + "\n", encoding="utf-8")


# ---------------------------------------------------------------- issued revisions


def troubles(pages: dict, ledger: dict) -> list[str]:
    """Return what stops the build: an issued revision whose content is another, or that nobody recorded.

    Args:
        pages: every page with its content check code.
        ledger: from `read`.
    """
    found = []
    for page in pages.values():
        rows = {row["revision"]: row for row in ledger["issued"].get(page.id, [])}
        row = rows.get(page.revision)
        if page.status == "withdrawn":
            continue
        if row and row["check_code"] != page.check_code:
            found.append(
                f"{page.path}: {page.id} revision {page.revision} was issued with check code {row['check_code']} and has "
                f"{page.check_code} now: raise the revision or revert"
            )
        elif any(revision > page.revision for revision in rows):
            found.append(f"{page.path}: {page.id} is at revision {page.revision}, and revision {max(rows)} was issued")
        elif page.status == "issued" and not row:
            found.append(f"{page.path}: {page.id} revision {page.revision} is issued and not in the ledger: {COMMAND}")
    return found


def check(pages: dict, ledger: dict) -> None:
    """Stop the build where an issued page is not what was recorded.

    Raises:
        PluginError: every such page, by name.
    """
    if os.environ.get(RECORDING):
        return
    if found := troubles(pages, ledger):
        raise PluginError("\n".join(found))


def recorded(pages: dict, ledger: dict, snapshot: dict) -> dict:
    """Return the ledger with every newly issued revision, and with the present state of the site revision.

    Args:
        pages: every page with its content check code.
        ledger: from `read`; it is not changed.
        snapshot: from `snapshot_of`; it replaces that of the same site revision, and only if that is the last.

    Raises:
        PluginError: a page changed at a revision that was issued, or an earlier site revision is to be rewritten.
    """
    stopped = [words for words in troubles(pages, ledger) if not words.endswith(COMMAND)]
    if stopped:
        raise PluginError("\n".join(stopped))
    found = json.loads(json.dumps(ledger))
    for page in pages.values():
        rows = found["issued"].setdefault(page.id, []) if page.status == "issued" else []
        if page.status == "issued" and all(row["revision"] != page.revision for row in rows):
            rows.append({"revision": page.revision, "check_code": page.check_code, "recorded_on": snapshot["recorded_on"],
                         "change_note": page.change_note, "effect": page.effect})  # fmt: skip
    earlier = found["site_revisions"]
    if any(row["site_revision"] == snapshot["site_revision"] for row in earlier[:-1]):
        raise PluginError(f"site revision {snapshot['site_revision']} is past: raise the version before you record")
    if earlier and earlier[-1]["site_revision"] == snapshot["site_revision"]:
        earlier.pop()
    earlier.append(snapshot)
    return found


# ---------------------------------------------------------------- what a site revision holds


def snapshot_of(pages: dict, docs: Path, day: str) -> dict:
    """Return what a reviewer compares between two site revisions.

    Args:
        pages: every page with its content check code.
        docs: the folder of the pages.
        day: the date, year-month-day.
    """
    names = ("title", "revision", "status", "effect", "change_note", "check_code")
    return {
        "site_revision": calcs.__version__,
        "recorded_on": day,
        "pages": {page.id: {name: getattr(page, name) for name in names} for page in pages.values()},
        "constants": {
            key: f"{row['value']} {row.get('unit', '')}".strip() for key, row in data.all_constants().items()
        },
        "cautions": [asdict(said) for said in cautions.cautions(docs, pages)],
        "checks": {
            f"{name}, case {number}, {figure}": f"{expected}, within {check_.get('within', 'equal')}"
            for name in calcs.CALCULATORS
            for number, check_ in enumerate(published.checks_of(name), 1)
            for figure, expected in registers.expectations(check_)
        },
    }  # fmt: skip


def changed_pages(old: dict, new: dict) -> list[dict]:
    """Return the pages that differ, those with a changed caution or number first."""
    found = []
    for page in sorted(old["pages"].keys() | new["pages"].keys()):
        before, after = old["pages"].get(page), new["pages"].get(page)
        if before != after:
            found.append({"id": page, "before": before, "after": after})
    return sorted(found, key=lambda row: ((row["after"] or {}).get("effect") not in FIRST, row["id"]))


def changed_values(old: dict, new: dict) -> list[tuple[str, str, str]]:
    """Return (name, before, after) of what differs between two tables; "–" where it was not there."""
    names = sorted(old.keys() | new.keys())
    return [(n, old.get(n, "–"), new.get(n, "–")) for n in names if old.get(n) != new.get(n)]


def changed_cautions(old: list[dict], new: list[dict]) -> list[tuple[dict | None, dict | None]]:
    """Return the cautions that differ as (before, after); None where one was added or removed."""
    gone, come = _without(old, new), _without(new, old)
    found = []
    for row in gone:
        partner = next((c for c in come if (c["page"], c["hazard"]) == (row["page"], row["hazard"])), None)
        if partner:
            come.remove(partner)
        found.append((row, partner))
    return found + [(None, row) for row in come]


def _without(rows: list[dict], others: list[dict]) -> list[dict]:
    left = list(others)
    found = []
    for row in rows:
        if row in left:
            left.remove(row)
        else:
            found.append(row)
    return found


# ---------------------------------------------------------------- the page


def html_of(ledger: dict, now: dict) -> str:
    """Return what changed since each earlier site revision, and the present state as the baseline.

    Args:
        ledger: from `read`.
        now: from `snapshot_of`, the present state.
    """
    earlier = [row for row in ledger["site_revisions"] if row["site_revision"] != now["site_revision"]]
    same = next((row for row in ledger["site_revisions"] if row["site_revision"] == now["site_revision"]), None)
    parts = [_between(row, now) for row in reversed(earlier)]
    if not earlier:
        words = f"There is one site revision, {now['site_revision']}: nothing to compare it with yet. Below is its baseline."
        parts.append(tag("p", text(words), class_="one-revision"))
    return "".join([*parts, _baseline(now, same)])


def _baseline(now: dict, same: dict | None) -> str:
    issued = sum(page["status"] == "issued" for page in now["pages"].values())
    counts = f"{len(now['pages'])} pages, {issued} of them issued; {len(now['constants'])} constants; {len(now['cautions'])} cautions; {len(now['checks'])} expected values."
    rows = [[text(name), text(page["title"]), text(page["revision"]), text(page["status"]), text(page["effect"]),
             text(page["change_note"]), text(page["check_code"])] for name, page in sorted(now["pages"].items())]  # fmt: skip
    heads = ["Page", "Title", "Revision", "Status", "Effect", "Change note", "Check code"]
    return "".join((
        tag("h2", text(f"Baseline of site revision {now['site_revision']}"), id="baseline"),
        tag("p", text(counts)),
        tag("p", text(_how_fresh(now, same))),
        table("Every page at this site revision", heads, rows, "register"),
    ))  # fmt: skip


def _how_fresh(now: dict, same: dict | None) -> str:
    if same is None:
        return "This site revision is not recorded in the ledger yet."
    parts = {
        "pages": len(changed_pages(same, now)),
        "constants": len(changed_values(same["constants"], now["constants"])),
        "cautions": len(changed_cautions(same["cautions"], now["cautions"])),
        "expected values": len(changed_values(same["checks"], now["checks"])),
    }
    told = ", ".join(f"{what} ({count})" for what, count in parts.items() if count)
    since = f"differs since in {told}; it is recorded anew before it is published" if told else "is as it was recorded"
    return f"Recorded in the ledger on {same['recorded_on']}; this copy {since}."


def _between(old: dict, now: dict) -> str:
    pages, constants = changed_pages(old, now), changed_values(old["constants"], now["constants"])
    boxes, checks = (
        changed_cautions(old["cautions"], now["cautions"]),
        changed_values(old["checks"], now["checks"]),
    )
    name = f"From site revision {old['site_revision']} to {now['site_revision']}"
    anchor = f"from-{old['site_revision'].replace('.', '-')}"
    return "".join((
        tag("h2", text(name), id=anchor),
        tag("p", text(f"{len(pages)} pages changed, {len(constants)} constants, {len(boxes)} cautions, {len(checks)} expected values.")),
        _table("Cautions added, removed, reworded", ["Page", "Change", "Before", "After"], [_caution_row(*pair) for pair in boxes]),
        _table("Constants before and after", ["Constant", "Before", "After"], [[*map(text, row)] for row in constants]),
        _table("Expected values before and after", ["Check", "Before", "After"], [[*map(text, row)] for row in checks]),
        _table("Pages, those with a changed caution or number first", ["Page", "Revision", "Effect", "Change note", "Status"],
               [_page_row(row) for row in pages]),
    ))  # fmt: skip


def _table(caption: str, heads: list[str], rows: list[list[str]]) -> str:
    return table(caption, heads, rows, "register") if rows else tag("p", text(f"{caption}: none."))


def _caution_row(before: dict | None, after: dict | None) -> list[str]:
    change = "reworded" if before and after else "removed" if before else "added"
    return [text((after or before)["page"]), text(change), _caution(before), _caution(after)]


def _caution(row: dict | None) -> str:
    return text(f"{row['word']}: {row['hazard']} ({row['place']}). {row['rest']}") if row else text("–")


def _page_row(row: dict) -> list[str]:
    before, after = row["before"], row["after"]
    if not after:
        return [text(row["id"]), text(f"{before['revision']} → gone"), text("–"), text("–"), text("–")]
    revision = f"{before['revision']} → {after['revision']}" if before else f"new, {after['revision']}"
    return [text(row["id"]), text(revision), text(after["effect"]), text(after["change_note"]), text(after["status"])]
