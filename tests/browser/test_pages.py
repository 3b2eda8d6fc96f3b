"""Every page once, light and dark, desktop and phone: no fault for assistive technology, no overflow, no outside host."""

import pytest

from scripts import runtime_files
from scripts.front_matter import read_all
from tests.conftest import ROOT, watching

pytestmark = pytest.mark.browser
PAGES = [p for p in read_all(ROOT / "docs").values() if not p.calculator]
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture(scope="module", params=["light", "dark"])
def scheme(request, browser, home):
    with watching(browser, home, color_scheme=request.param) as watch:
        yield watch.page()


@pytest.mark.parametrize("path", PAGES, ids=lambda p: p.id)
def test_a_page_reads_well_for_everybody(scheme, path):
    scheme.goto(f"/{path.address}/" if path.address else "/")
    scheme.evaluate(runtime_files.AXE.read_text(encoding="utf-8"))
    faults = scheme.evaluate("tags => axe.run(document, {runOnly: tags})", TAGS)["violations"]
    scheme.set_viewport_size({"width": 320, "height": 700})
    width = scheme.evaluate("document.documentElement.scrollWidth")
    scheme.set_viewport_size({"width": 1280, "height": 900})

    assert not [(f["id"], [n["target"] for n in f["nodes"]][:3]) for f in faults]
    assert width <= 320
