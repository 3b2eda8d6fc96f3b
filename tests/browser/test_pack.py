"""The review pack: the chosen pages become one document, with cover, constants, open points and a sheet to sign."""

from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.reader import READY

pytestmark = pytest.mark.browser
ROOT = Path(__file__).resolve().parents[2]
CHOSEN = ("VAC-03", "SAF-01", "BEN-02")


def choose(page):
    page.get_by_role("button", name="None").click()
    for name in CHOSEN:
        page.locator(f"[name=page][value={name}]").check()
    page.get_by_label("Purpose of this review").fill("Yearly <b>review</b>")
    page.get_by_role("button", name="Make the pack").click()
    expect(page.locator(".pack-form .status")).to_contain_text("for 3 pages|holds 3 pages".split("|")[page.url.startswith("http")],
                                                              timeout=READY)  # fmt: skip


def test_three_pages_become_one_document(watched, tmp_path):
    page = watched.page()
    page.goto("/review/pack/")
    choose(page)
    pack = page.locator(".pack")

    expect(pack.locator("h1", has_text="Review pack")).to_have_count(1)
    expect(pack).to_contain_text("Purpose: Yearly <b>review</b>")
    expect(pack.locator(".pack-list tbody tr")).to_have_count(3)
    heads = pack.locator("table.pack-sheet > thead").all_inner_texts()
    assert len(heads) == 5 and all(name in " ".join(heads) for name in CHOSEN)
    for words in (
        "How long to pump down?",
        "Constants that VAC-03 uses",
        "Open points of SAF-01",
        "Checked against",
    ):
        expect(pack).to_contain_text(words)
    expect(pack.locator("form, button")).to_have_count(0)
    expect(pack.locator(".pack-signatures")).to_contain_text("approve with conditions")
    assert page.evaluate(
        "new Set([...document.querySelectorAll('[id]')].filter((e) => !e.closest('svg')).map((e) => e.id)).size"
    ) == (page.evaluate("[...document.querySelectorAll('[id]')].filter((e) => !e.closest('svg')).length"))
    assert (
        page.evaluate(
            "[...document.querySelectorAll('.pack a[href^=\"#\"]')].filter((a) => !document.getElementById(decodeURIComponent(a.hash.slice(1)))).length"
        )
        == 0
    )
    page.emulate_media(media="print")
    expect(page.get_by_role("heading", name="How do I get the pages")).to_be_hidden()
    expect(pack.locator("h1", has_text="Review pack")).to_be_visible()
    page.close()


def test_nothing_chosen_makes_no_pack(watched):
    page = watched.page()
    page.goto("/review/pack/")
    page.get_by_role("button", name="None").click()
    page.get_by_role("button", name="Make the pack").click()

    expect(page.locator(".pack-form .status")).to_have_text("No page is chosen.")
    expect(page.locator(".pack")).to_be_hidden()
    page.get_by_role("button", name="Due for review").click()
    assert page.locator("[name=page]:checked").count() > 40
    page.close()


def test_from_the_disk_it_says_what_is_missing(browser):
    context = browser.new_context()
    page = context.new_page()
    page.goto((ROOT / "site-disk/review/pack.html").as_uri())
    choose(page)

    expect(page.locator(".pack-form .status")).to_contain_text("print each page by itself")
    expect(page.locator(".pack .pack-list tbody tr")).to_have_count(3)
    expect(page.locator(".pack")).to_contain_text("Constants that VAC-03 uses")
    context.close()
