"""The ledger of revisions: an issued page cannot change in silence, and what changed between two states is shown."""

import copy
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from mkdocs.exceptions import PluginError

import calcs
from scripts import front_matter, review, revisions
from tests.test_front_matter import GOOD

ROOT = Path(__file__).resolve().parents[1]
DAY = "2031-06-01"


@pytest.fixture
def docs(tmp_path):
    """A temporary set of two pages: one for review, one issued."""
    (tmp_path / "a.md").write_text(GOOD, encoding="utf-8")
    text = GOOD.replace("VAC-01", "SAF-01").replace("status: for review", "status: issued")
    (tmp_path / "b.md").write_text(
        text + '\n!!! warning "Hot"\n\n    It burns skin. Wear gloves for it.\n', encoding="utf-8"
    )
    return tmp_path


def read(docs, **codes):
    pages = front_matter.read_all(docs)
    for page in pages.values():
        page.check_code = codes.get(page.id.replace("-", "_"), "00000000")
    return pages


def change(path, old, new):
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def snapshot(pages, docs, day=DAY, site="0.1.0"):
    return revisions.snapshot_of(pages, docs, day) | {"site_revision": site}


def first_ledger(docs):
    pages = read(docs)
    return revisions.recorded(pages, revisions.empty(), snapshot(pages, docs))


# ---------------------------------------------------------------- the gate


def test_an_issued_page_must_be_recorded_and_then_builds(docs):
    assert "not in the ledger" in revisions.troubles(read(docs), revisions.empty())[0]
    ledger = first_ledger(docs)

    assert list(ledger["issued"]) == ["SAF-01"] and ledger["issued"]["SAF-01"][0]["recorded_on"] == DAY
    revisions.check(read(docs), ledger)


def test_a_page_for_review_changes_freely(docs):
    ledger = first_ledger(docs)

    revisions.check(read(docs, VAC_01="11111111"), ledger)


def test_an_issued_page_that_changed_stops_the_build_and_is_not_recorded(docs):
    ledger = first_ledger(docs)
    changed = read(docs, SAF_01="11111111")

    with pytest.raises(PluginError, match="b.md: SAF-01 revision 1 .* raise the revision or revert"):
        revisions.check(changed, ledger)
    with pytest.raises(PluginError, match="raise the revision or revert"):
        revisions.recorded(changed, ledger, snapshot(changed, docs))


def test_taking_the_status_back_does_not_open_the_gate(docs):
    ledger = first_ledger(docs)
    change(docs / "b.md", "status: issued", "status: for review")

    assert "raise the revision" in revisions.troubles(read(docs, SAF_01="11111111"), ledger)[0]


def test_a_raised_revision_is_accepted_and_an_old_one_is_not(docs):
    ledger = first_ledger(docs)
    change(docs / "b.md", "revision: 1", "revision: 2")
    pages = read(docs, SAF_01="11111111")
    ledger = revisions.recorded(pages, ledger, snapshot(pages, docs))

    assert [row["revision"] for row in ledger["issued"]["SAF-01"]] == [1, 2]
    revisions.check(pages, ledger)
    change(docs / "b.md", "revision: 2", "revision: 1")
    assert "revision 2 was issued" in revisions.troubles(read(docs), ledger)[0]


def test_a_withdrawn_page_is_left_alone(docs):
    ledger = first_ledger(docs)
    change(docs / "b.md", "status: issued", "status: withdrawn")

    revisions.check(read(docs, SAF_01="11111111"), ledger)


def test_recording_twice_changes_nothing_and_never_the_past(docs):
    ledger, pages = first_ledger(docs), read(docs)
    before = copy.deepcopy(ledger)
    assert revisions.recorded(pages, ledger, snapshot(pages, docs)) == before == ledger

    second = revisions.recorded(pages, ledger, snapshot(pages, docs, site="0.2.0"))
    assert [row["site_revision"] for row in second["site_revisions"]] == ["0.1.0", "0.2.0"]
    with pytest.raises(PluginError, match="is past"):
        revisions.recorded(pages, second, snapshot(pages, docs, site="0.1.0"))


def test_the_file_comes_back_as_it_was(docs):
    ledger, file = first_ledger(docs), docs / "ledger.json"
    revisions.write(ledger, file)

    assert revisions.read(file) == ledger and revisions.read(docs / "none.json") == revisions.empty()
    file.write_text("{", encoding="utf-8")
    with pytest.raises(PluginError, match="cannot be read"):
        revisions.read(file)
    file.write_text('{"format": "page-revisions", "version": 99}', encoding="utf-8")
    with pytest.raises(PluginError, match="no ledger"):
        revisions.read(file)


def test_the_script_says_what_it_takes():
    done = subprocess.run([sys.executable, str(ROOT / "scripts/review.py"), "approve"], capture_output=True, text=True)

    assert done.returncode == 2 and "record" in done.stderr
    assert review.CODES.name == "pages.csv"


# ---------------------------------------------------------------- this repository


def test_the_ledger_of_this_site_is_whole():
    ledger = revisions.read()
    ids = {page.id for page in front_matter.read_all(ROOT / "docs").values()}

    assert ledger["site_revisions"], f"no baseline is recorded: {revisions.COMMAND}"
    assert calcs.__version__ in {row["site_revision"] for row in ledger["site_revisions"]}
    assert ledger["issued"].keys() <= ids
    for row in ledger["site_revisions"]:
        assert date.fromisoformat(row["recorded_on"]) and len(row["cautions"]) > 100 and len(row["checks"]) > 100


def test_a_page_says_issued_only_if_it_is_in_the_ledger():
    ledger = revisions.read()
    for page in front_matter.read_all(ROOT / "docs").values():
        if page.status == "issued":
            assert any(row["revision"] == page.revision for row in ledger["issued"].get(page.id, ())), page.id


# ---------------------------------------------------------------- before and after


def two_states(docs):
    old = snapshot(read(docs), docs)
    new = copy.deepcopy(old) | {"site_revision": "0.2.0"}
    key, check = next(iter(old["constants"])), next(iter(old["checks"]))
    new["constants"][key] = "1 m"
    new["checks"][check] = "2 m, within 1 %"
    hot = next(row for row in new["cautions"] if row["page"] == "SAF-01" and row["hazard"] == "Hot")
    hot["word"], hot["rest"] = "DANGER", "It kills."
    new["cautions"] = [row for row in new["cautions"] if row["page"] != "VAC-02"] + [
        hot | {"page": "VAC-01", "hazard": "New"}
    ]
    new["pages"]["VAC-01"] |= {"revision": 2, "effect": "wording", "change_note": "Shorter."}
    new["pages"]["SAF-01"] |= {"revision": 2, "effect": "caution", "change_note": "Graver."}
    return old, new, key, check


def test_what_changed_is_found(docs):
    old, new, key, check = two_states(docs)

    assert [row["id"] for row in revisions.changed_pages(old, new)] == ["SAF-01", "VAC-01"]  # a caution comes first
    assert revisions.changed_values(old["constants"], new["constants"]) == [(key, old["constants"][key], "1 m")]
    assert [row[0] for row in revisions.changed_values(old["checks"], new["checks"])] == [check]
    pairs = revisions.changed_cautions(old["cautions"], new["cautions"])
    reworded = [(a, b) for a, b in pairs if a and b]
    assert [(a["word"], b["word"]) for a, b in reworded] == [("WARNING", "DANGER")]
    assert {a["page"] for a, b in pairs if not b} == {"VAC-02"} and [b["hazard"] for a, b in pairs if not a] == ["New"]
    assert not revisions.changed_cautions(old["cautions"], old["cautions"])


def test_the_page_shows_before_and_after_in_full(docs):
    old, new, key, _ = two_states(docs)
    html = revisions.html_of(revisions.empty() | {"site_revisions": [old, new]}, new)

    assert "From site revision 0.1.0 to 0.2.0" in html and "There is one site revision" not in html
    for words in (
        "WARNING: Hot",
        "DANGER: Hot",
        "It burns skin.",
        "It kills.",
        "reworded",
        "added",
        "removed",
        key,
        "1 → 2",
        "Graver.",
    ):
        assert words in html, words
    assert html.index("reworded") < html.index(key) < html.index("Graver.")


def test_with_one_revision_the_page_says_so_and_shows_the_baseline(docs):
    old = snapshot(read(docs), docs)
    html = revisions.html_of(revisions.empty(), old)

    assert "There is one site revision, 0.1.0" in html and "Baseline of site revision 0.1.0" in html
    assert "not recorded in the ledger yet" in html
    assert "is as it was recorded" in revisions.html_of(revisions.empty() | {"site_revisions": [old]}, old)
    other = copy.deepcopy(old)
    other["pages"]["VAC-01"]["check_code"] = "ffffffff"
    assert "differs since in pages (1)" in revisions.html_of(revisions.empty() | {"site_revisions": [other]}, old)


@pytest.mark.browser
def test_the_built_page_shows_the_baseline():
    html = (ROOT / "site/review/changes/index.html").read_text(encoding="utf-8")

    assert "Baseline of site revision" in html and "all-changes" not in html
    assert html.count("<tr") > len(front_matter.read_all(ROOT / "docs"))
