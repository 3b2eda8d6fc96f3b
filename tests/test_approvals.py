"""A lab's approvals: they hold for one revision and one check code, they lapse in words, and none is shipped."""

import subprocess
from datetime import date
from pathlib import Path

import pytest
from mkdocs.exceptions import PluginError

from scripts import approvals, content_code, front_matter, page_parts

ROOT = Path(__file__).resolve().parents[1]
TODAY = date(2031, 6, 1)
GOOD = """- id: VAC-04
  revision: 3
  check_code: "0a1b2c3d"
  body: Furnace committee
  by: Chair
  date: 2031-03-01
  conditions: Not with hydrogen.
  next_review: 2032-03-01
"""


def page(revision=3, check_code="0a1b2c3d", **other):
    meta = {"id": "VAC-04", "title": "Rise test", "kind": "explanation", "revision": revision, "status": "issued"}
    return front_matter.Page("vacuum/rise-test.md", meta | other, check_code=check_code)


def entries(tmp_path, text=GOOD, known=frozenset({"VAC-04"})):
    file = tmp_path / "approvals.yml"
    file.write_text(text, encoding="utf-8")
    return approvals.read(file, set(known))


def test_no_approval_is_shipped():
    done = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True)

    assert "approvals.yml" not in {Path(name).name for name in done.stdout.split("\n")}


def test_without_a_file_nothing_is_approved(tmp_path):
    assert approvals.read(tmp_path / "approvals.yml", {"VAC-04"}) == {}
    assert approvals.said(page(), [], TODAY) == "Not approved by a lab yet"


def test_an_approval_holds_for_its_revision_and_code(tmp_path):
    said = approvals.said(page(), entries(tmp_path)["VAC-04"], TODAY)

    assert said == (
        "Approved here at revision 3 by Furnace committee (Chair) on 2031-03-01; next review by 2032-03-01. "
        "Conditions: Not with hydrogen."
    )
    assert "overdue by 92 days" in approvals.said(page(), entries(tmp_path)["VAC-04"], date(2032, 6, 1))


def test_it_lapses_with_the_revision_and_with_the_content(tmp_path):
    found = entries(tmp_path)["VAC-04"]

    assert approvals.said(page(revision=4), found, TODAY) == (
        "Approved here at revision 3; this is revision 4: approval lapsed"
    )
    assert "approval lapsed" in approvals.said(page(check_code="ffffffff"), found, TODAY)


def test_a_later_entry_approves_again(tmp_path):
    later = GOOD.replace("revision: 3", "revision: 4").replace("2031-03-01", "2031-05-01")
    found = entries(tmp_path, later + GOOD)["VAC-04"]

    assert approvals.said(page(revision=4), found, TODAY).startswith("Approved here at revision 4")
    assert approvals.said(page(), found, TODAY).startswith(
        "Approved here at revision 3"
    )  # a lab that stays with the old copy


@pytest.mark.parametrize(
    "old, new, named",
    [
        ("id: VAC-04", "id: VAC-99", "VAC-99"),
        ("  by: Chair\n", "", "by"),
        ("revision: 3", "revision: three", "revision"),
        ("revision: 3", "revision: true", "revision"),
        ('"0a1b2c3d"', '"short"', "check_code"),
        ("date: 2031-03-01", "date: soon", "date"),
        ("body: Furnace committee", 'body: ""', "body"),
        ("body:", "colour: red\n  body:", "colour"),
        (GOOD, "approved: yes", "list"),
        (GOOD, "- VAC-04", "must hold"),
        (GOOD, "- id: [", "cannot be read"),
        (GOOD, GOOD + GOOD, "twice"),
    ],
)
def test_a_bad_entry_stops_the_build_and_is_named(tmp_path, old, new, named):
    assert old in GOOD
    with pytest.raises(PluginError, match=named):
        entries(tmp_path, GOOD.replace(old, new, 1))


def test_the_review_box_and_the_register_show_it(tmp_path, monkeypatch):
    one = page(also_called=[], owner="Role", reviewed_on="", reviewed_by="", review_due=TODAY, change_note="First.",
               effect="new", highest_signal_word="none")  # fmt: skip
    monkeypatch.setattr(page_parts, "pages", {one.path: one})
    monkeypatch.setattr(page_parts, "approved", entries(tmp_path))
    monkeypatch.setattr(page_parts, "edition", page_parts.Edition(served=True))
    register = tmp_path / "register.html"
    register.write_text(page_parts.register_html(one, page_parts.links_from("review/register/")), encoding="utf-8")
    page_parts.fill_codes(register)

    for html in (page_parts.review_box(one, None), register.read_text(encoding="utf-8")):
        assert "Approved here at revision 3 by Furnace committee (Chair)" in html
    assert "(approval of" not in register.read_text(encoding="utf-8")


def test_a_withdrawn_page_has_a_bar_and_no_calculator():
    gone = page(status="withdrawn", change_note="Replaced by VAC-09.", calculator="rise-test", kind="calculator")
    gone.meta["id"] = "VAC-04"

    assert "Withdrawn: do not use this page. Replaced by VAC-09." in page_parts.withdrawn_bar(gone)
    assert "<form" not in page_parts.calculator_html(gone, None)
    assert page_parts.withdrawn_bar(page()) == ""


# ---------------------------------------------------------------- the content check code


def code(one=None, markdown="Words.", content="<p>Words.</p>", passing=()):
    return content_code.of(one or page(), markdown, content, passing)


def test_the_code_changes_with_what_is_said_and_with_nothing_else():
    assert code() == code(content='<p class="x">Words<a href="y">.</a></p>') == code(markdown="Words.\n")
    assert code() != code(content="<p>Other words.</p>")
    assert code() != code(markdown="Words, $x_2$.")
    assert code() != code(page(title="Another"))
    assert code(content="<p>Words. site 1</p>", passing=("site 1",)) == code()
    assert len(code()) == 8 and approvals.CODE.fullmatch(code())


def test_the_code_of_a_register_does_not_hang_on_its_rows():
    one = page(kind="register")

    assert code(one) == code(one, content="<p>other rows</p>")
    assert code(one) != code(one, markdown="Other words.")


def test_the_code_of_a_calculator_changes_with_its_code_and_constants(monkeypatch):
    one = page(kind="calculator", calculator="purge")
    first = code(one)
    texts = dict(content_code.registers.code_text())
    assert first == code(one)
    monkeypatch.setattr(
        content_code.registers,
        "code_text",
        lambda: texts | {"calcs.atmosphere.purge": texts["calcs.atmosphere.purge"] + "\n# x\n"},
    )
    assert code(one) == first  # a remark
    monkeypatch.setattr(
        content_code.registers,
        "code_text",
        lambda: texts | {"calcs.atmosphere.purge": texts["calcs.atmosphere.purge"] + "\nx = 1\n"},
    )
    assert code(one) != first
    monkeypatch.undo()
    rows = dict(content_code.data.all_constants())
    rows["general.gas_constant"] = rows["general.gas_constant"] | {"value": 8.3}
    monkeypatch.setattr(content_code.data, "all_constants", lambda: rows)
    assert code(one) != first


@pytest.mark.browser
def test_both_editions_have_the_same_codes():
    served, disk = (
        [
            line.split(",")[0] + line[-9:]
            for line in (ROOT / site / "assets/registers/pages.csv").read_text(encoding="utf-8").splitlines()
        ]
        for site in ("site", "site-disk")
    )

    assert served == disk and len(served) > 40
    assert len({line[-8:] for line in served}) == len(served)
