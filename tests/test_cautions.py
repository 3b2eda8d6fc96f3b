"""The list of cautions, refusals and known limits says no less than pages and code do, and nothing else."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

import calcs
from calcs import published
from calcs.data import table
from scripts import cautions, front_matter

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
PAGES = front_matter.read_all(DOCS)
CODE = {
    path: path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "calcs").rglob("*.py"))
    if "page" not in path.parts and path.name != "core.py"
}


# ---------------------------------------------------------------- nothing is missing


def test_every_caution_of_the_pages_is_listed():
    written = {
        page.id: len(re.findall(r'^ *!!! \w+ "', (DOCS / path).read_text(encoding="utf-8"), re.MULTILINE))
        for path, page in PAGES.items()
    }
    listed = cautions.cautions(DOCS, PAGES)
    on_pages = [row for row in listed if row not in cautions.of_calculators()]

    assert len(on_pages) == sum(written.values()) > 100
    for page_id, count in written.items():
        assert sum(row.page == page_id for row in on_pages) == count, page_id


def test_every_caution_of_the_code_is_listed():
    made = sum(len(re.findall(r"(?<![\w.])Caution\((?!row)", text)) for text in CODE.values())

    assert len(cautions.of_calculators()) == made + len(table("run/cautions.toml")["caution"])


def test_every_refusal_of_the_code_is_listed():
    made = sum(len(re.findall(r"(?<![\w])Refused\(", text)) for text in CODE.values())

    assert len(cautions.refusals()) == made > 100


@pytest.mark.parametrize("name", calcs.CALCULATORS)
def test_the_cautions_of_the_examples_are_listed(name):
    """What a calculator says with its example is in the list, word for word where nothing depends on the inputs."""
    said = {(row.word, row.hazard) for row in cautions.of_calculators() if calcs.calculator(name).PAGE in row.page}
    patterns = [(word, re.sub(r"‹[^›]*›", ".+", re.escape(hazard))) for word, hazard in said]
    for caution in calcs.work_out(name, calcs.example(name)).cautions:
        assert any(word == caution.word and re.fullmatch(p, caution.hazard) for word, p in patterns), caution.hazard


def test_refusals_that_outside_values_ask_for_are_listed():
    listed = [(row.pages, row.reason) for row in cautions.refusals()]
    asked = 0
    for name in calcs.CALCULATORS:
        for check in published.checks_of(name):
            if "refusal" in check:
                page = calcs.calculator(name).PAGE
                assert any(
                    reason == check["refusal"] and (page in pages or "every" in pages) for pages, reason in listed
                )
                asked += 1
    assert asked > 3


def test_every_page_with_known_limits_has_them_listed():
    for path in PAGES:
        markdown = cautions.body(DOCS / path)
        written = re.search(r"^## When this is wrong\n(.*?)(?=^## |\Z)", markdown, re.MULTILINE | re.DOTALL)
        points = cautions.wrong_of(markdown)

        assert bool(points) == bool(written), path
        if written:
            assert len(points) >= len(re.findall(r"^- ", written[1], re.MULTILINE)) > 0 or not re.search(
                r"^- ", written[1], re.MULTILINE
            ), path


def test_every_accepted_range_is_listed():
    declared = sum(
        bool(field.accepted) + sum(bool(column.accepted) for column in field.columns)
        for name in calcs.CALCULATORS
        for field in calcs.calculator(name).FORM.fields
    )
    assert len(cautions.ranges()) == declared


def test_every_check_of_the_plan_is_listed():
    assert {row[0] for row in cautions.plan_checks()} == set(calcs.work_out("plan", calcs.example("plan")).checks)


# ---------------------------------------------------------------- it is in order and can be read


def test_the_gravest_stand_first():
    words = [row.word for row in cautions.cautions(DOCS, PAGES)]

    assert words == sorted(words, key=["DANGER", "WARNING", "CAUTION", "NOTICE"].index)
    assert words[0] == "DANGER" and set(words) == {"DANGER", "WARNING", "CAUTION", "NOTICE"}


def test_nothing_is_left_empty():
    for row in cautions.cautions(DOCS, PAGES):
        assert row.page and row.place and row.hazard and len(row.rest) > 20, row
    for row in cautions.refusals():
        assert row.pages and re.fullmatch(r"[a-z0-9_‹› /]+", row.reason) and row.heading and row.why, row
        assert row.condition and row.code, row


PAGE = """# What?

!!! danger "Air **without** oxygen"

    It [kills](a.md) [@key].
    Air it.

## Then

- A point
  in two lines, with $p_2$.
- Another.

## When this is wrong

- The first *point*,
  of two lines.
- The second.

You notice late.

## Sources
"""


def test_a_page_is_read():
    (found,) = cautions.of_page("VAC-01", PAGE)

    assert found == cautions.Said("DANGER", "VAC-01", "What?", "Air without oxygen", "It kills. Air it.")
    assert cautions.wrong_of(PAGE) == ["The first point, of two lines.", "The second.", "You notice late."]
    assert cautions.words_html("a < b, $p_2 < 1$") == 'a &lt; b, <span class="arithmatex">\\(p_2 &lt; 1\\)</span>'


def test_words_that_depend_on_the_inputs_stand_as_names():
    rows = {row.reason: row for row in cautions.refusals() if row.pages == "VAC-02"}

    assert "‹" in rows["pressure_outside"].why and rows["pressure_outside"].condition == "answer: inlet not in INLET"


def test_a_shared_refusal_names_the_pages_that_ask_for_it():
    toxic = next(row for row in cautions.refusals() if row.reason == "toxic_gas" and row.code.startswith("calcs.gases"))

    assert "ATM-02" in toxic.pages and "RUN-01" in toxic.pages and "VAC-01" not in toxic.pages


# ---------------------------------------------------------------- the built pages


class Boxes(HTMLParser):
    """Counts the caution boxes of a page by word, those of a result apart."""

    def __init__(self, text: str):
        super().__init__()
        self.stack, self.counts = [], {}
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        classes = (dict(attributes).get("class") or "").split()
        if tag not in ("br", "hr", "img", "input", "link", "meta", "path"):
            self.stack.append((tag, classes))
        if "admonition" in classes and not any("result" in c for _, c in self.stack):
            word = next(c.upper() for c in classes if c != "admonition")
            self.counts[word] = self.counts.get(word, 0) + 1

    def handle_startendtag(self, tag, attributes):
        pass  # closes itself and holds nothing

    def handle_endtag(self, tag):
        while self.stack and self.stack.pop()[0] != tag:
            pass


@pytest.mark.browser
def test_the_counts_match_the_built_pages():
    shown = {}
    for path in (ROOT / "site").rglob("index.html"):
        for word, count in Boxes(path.read_text(encoding="utf-8")).counts.items():
            shown[word] = shown.get(word, 0) + count
    listed = {}
    for page in PAGES.values():
        for row in cautions.of_page(page.id, cautions.body(DOCS / page.path)):
            listed[row.word] = listed.get(row.word, 0) + 1

    assert shown == listed


@pytest.mark.browser
def test_the_page_shows_the_list():
    html = (ROOT / "site/review/cautions/index.html").read_text(encoding="utf-8")

    assert html.count("<tr") > len(cautions.cautions(DOCS, PAGES)) + len(cautions.refusals()) + len(cautions.ranges())
    assert f"{len(cautions.cautions(DOCS, PAGES))} cautions: DANGER" in html
    for name in ("cautions", "refusals", "ranges", "limits"):
        assert (ROOT / f"site/assets/registers/{name}.csv").read_text(encoding="utf-8").count("\n") > 20
