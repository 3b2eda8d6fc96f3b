"""Each bench sheet prints on one side of A4, with its identity and without the review table."""

import re
from pathlib import Path

import pytest

from scripts.front_matter import read_all
from tests.conftest import ROOT

pytestmark = pytest.mark.browser
SHEETS = [page for page in read_all(ROOT / "docs").values() if page.kind == "bench sheet"]


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda page: page.id)
def test_a_sheet_prints_on_one_side(page, sheet, tmp_path):
    page.goto(f"/{sheet.address}/")
    file = tmp_path / "sheet.pdf"
    page.pdf(path=file, format="A4", prefer_css_page_size=True)

    assert len(re.findall(rb"/Type\s*/Page[^s]", Path(file).read_bytes())) == 1


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda page: page.id)
def test_paper_shows_identity_and_print_note_and_no_review_table(page, sheet):
    page.goto(f"/{sheet.address}/")
    page.emulate_media(media="print")
    seen = {
        name: page.locator(name).is_visible() for name in (".page-id", ".print-note", ".review-box", ".valve-words")
    }
    page.emulate_media(media="screen")

    assert seen == {".page-id": True, ".print-note": True, ".review-box": False, ".valve-words": True}
