"""The built editions: every link leads somewhere, nothing names another host, every page is dressed."""

import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest

import calcs

ROOT = Path(__file__).resolve().parents[1]
pytestmark = pytest.mark.browser  # needs both built editions


class Page(HTMLParser):
    """Collects ids, links and files of one page."""

    def __init__(self, path: Path):
        super().__init__()
        self.ids, self.links, self.files = set(), [], []
        self.feed(path.read_text(encoding="utf-8"))

    def handle_starttag(self, tag, attributes):
        found = dict(attributes)
        if "id" in found:
            self.ids.add(found["id"])
        if tag == "a" and found.get("href"):
            self.links.append(found["href"])
        if tag in ("script", "img", "source", "iframe") and found.get("src"):
            self.files.append(found["src"])
        if tag == "link" and found.get("href"):
            self.files.append(found["href"])


def html_files(edition: str) -> list[Path]:
    return sorted((ROOT / edition).rglob("*.html"))


@pytest.fixture(scope="module", params=["site", "site-disk"])
def pages(request):
    return {path: Page(path) for path in html_files(request.param)}


def test_there_are_pages(pages):
    assert len(pages) > len(calcs.CALCULATORS) + 5


def test_every_link_leads_somewhere(pages):
    dead = []
    for path, page in pages.items():
        for href in page.links + page.files:
            parts = urlsplit(href)
            if parts.scheme in ("data", "javascript") or parts.netloc.startswith("127.0.0.1"):
                continue
            assert not parts.netloc and parts.scheme in ("", "mailto"), f"{path} links to {href}"
            target = (path.parent / unquote(parts.path)).resolve() if parts.path else path
            if parts.path.startswith("/"):  # the 404 page is served at any depth
                continue
            if target.is_dir():
                target = target / "index.html"
            if not target.is_file():
                dead.append(f"{path.relative_to(ROOT)}: {href}")
            elif parts.fragment.startswith("in="):  # inputs for the form of that page, not a place on it
                assert 'class="calculator"' in target.read_text(encoding="utf-8"), f"{path}: {href}"
            elif parts.fragment and target in pages and parts.fragment not in pages[target].ids | {"__tabbed"}:
                dead.append(f"{path.relative_to(ROOT)}: {href} (no such place)")
    assert not dead


def test_no_page_or_style_names_another_host():
    allowed = re.compile(r"https?://(127\.0\.0\.1|localhost|www\.w3\.org/|bundle\.invalid)")
    for edition in ("site", "site-disk"):
        for path in (ROOT / edition).rglob("*"):
            theirs = (
                "assets/run/pyscript" in path.as_posix()
                or "assets/run/pyodide" in path.as_posix()
                or path.name in ("bundle.js", "licences.txt")
            )
            if (
                path.suffix in (".html", ".css", ".js", ".mjs", ".json", ".xml")
                and not theirs
                and "javascripts" not in path.parts
            ):
                for found in re.finditer(
                    r"""(?:src|href|url|import|fetch)\s*[=(]\s*["']?(https?://[^"')\s]+)""",
                    path.read_text(encoding="utf-8", errors="replace"),
                ):
                    assert allowed.match(found[1]), f"{path}: {found[1]}"


def test_every_page_is_dressed(pages):
    for path in pages:
        html = path.read_text(encoding="utf-8")
        if path.name != "404.html":
            assert 'class="page-id"' in html and 'class="review-box"' in html, path
            assert "Not approved by a lab yet" in html
        assert 'class="help-now"' in html, path
        assert "edition" in html and "Site revision" in html, path
        assert "[[" not in re.sub(r"<script.*?</script>", "", html, flags=re.DOTALL), path


def test_every_page_of_the_served_edition_has_its_policy():
    for path in html_files("site"):
        html = path.read_text(encoding="utf-8")

        assert html.index("Content-Security-Policy") < html.index("<script"), path


@pytest.mark.parametrize("name, room", calcs.CALCULATORS.items())
def test_a_calculator_page_is_complete_without_script(name, room):
    html = (ROOT / f"site/{room}/{name}/index.html").read_text(encoding="utf-8")

    assert 'class="answer-sentence"' in html or 'class="run-card"' in html
    for heading in ("short-answer", "before-you-start", "work-it-out", "why", "when-this-is-wrong", "at-the-furnace"):
        assert f'id="{heading}"' in html, heading


def test_the_two_editions_hold_the_same_pages():
    served = {
        p.relative_to(ROOT / "site").as_posix().removesuffix("/index.html").removesuffix(".html")
        for p in html_files("site")
    }
    disk = {
        p.relative_to(ROOT / "site-disk").as_posix().removesuffix("/index.html").removesuffix(".html")
        for p in html_files("site-disk")
    }

    assert served == disk
