"""Every state of the interpreter: absent, slow, failing, offline, from the disk, without JavaScript."""

from pathlib import Path

import pytest
from playwright.sync_api import expect

import calcs
from tests.browser.reader import READY, Reader

pytestmark = pytest.mark.browser
ROOT = Path(__file__).resolve().parents[2]
PURGE = "/atmosphere/purge/"


@pytest.mark.parametrize("name", calcs.CALCULATORS)
def test_reads_without_javascript(browser, home, name):
    context = browser.new_context(base_url=home, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"/{calcs.CALCULATORS[name]}/{name}/")

    expect(page.locator("form.calculator")).to_be_hidden()
    expect(page.locator(".without-script")).to_be_visible()
    expect(page.locator("table.read-off, .answer-sentence, .run-card").first).to_be_visible()
    context.close()


def test_never_shows_the_worked_example_beside_other_values(browser, home):
    context = browser.new_context(base_url=home, service_workers="block")
    page = context.new_page()
    page.route("**/*.wasm", lambda route: None)  # an interpreter that never starts
    page.goto(PURGE)
    expect(page.locator("#purge-result .old-note")).to_be_hidden()
    page.locator("[name=target_oxygen]").press_sequentially("1")

    expect(page.locator("#purge-result .old-note")).to_be_visible()
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("status")).to_contain_text("Getting the calculator ready")
    context.close()


def test_says_when_it_cannot_start_and_can_be_tried_again(browser, home):
    context = browser.new_context(base_url=home, service_workers="block")
    page = context.new_page()
    page.route("**/pyscript/core.js", lambda route: route.abort())
    page.goto(PURGE)
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("status")).to_contain_text("could not start", timeout=READY)
    expect(page.get_by_role("button", name="Try again")).to_be_visible()
    expect(page.locator("#purge-result .result-body")).to_be_empty()

    page.unroute("**/pyscript/core.js")
    page.reload()
    expect(page.locator("form[data-state=ready]")).to_be_visible(timeout=READY)
    context.close()


def test_works_without_a_network_after_one_visit(browser, home):
    context = browser.new_context(base_url=home)
    reader = Reader(context.new_page(), "purge").open(PURGE)
    reader.press()
    reader.answered()
    reader.page.evaluate("navigator.serviceWorker.ready.then(() => null)")
    context.set_offline(True)

    other = Reader(context.new_page(), "programme").open("/heat/programme/")  # a page not visited before
    other.press()
    expect(other.result.locator(".answer-sentence")).to_be_visible()
    other.page.goto("/no/such/page/")
    expect(other.page.locator("h1")).to_contain_text("404")
    context.close()


def test_works_from_the_disk(browser):
    context = browser.new_context(offline=True)
    page, outside = context.new_page(), []
    context.on("request", lambda r: r.url.startswith(("file:", "blob:", "data:")) or outside.append(r.url))
    page.goto((ROOT / "site-disk/atmosphere/purge.html").as_uri())
    reader = Reader(page, "purge")
    expect(reader.form).to_have_attribute("data-state", "ready", timeout=READY)
    reader.type("target_oxygen", "100 ppm").press()
    expect(reader.result.locator(".answer-sentence")).to_contain_text("100 ppm")

    page.locator("h1").click()
    page.keyboard.press("/")
    page.locator("[data-md-component=search-query]").press_sequentially("purge", delay=30)
    expect(page.locator(".md-search-result__item").first).to_be_visible()
    context.close()
    assert not outside


def test_one_interpreter_serves_the_visit(watched):
    page = watched.page()
    starts = []
    page.on("request", lambda r: r.url.endswith("stdlib.zip") and starts.append(r.url))
    reader = Reader(page, "purge").open(PURGE)
    reader.press()
    reader.answered()
    page.locator("article a[href*=room-oxygen]").first.click()
    expect(page.locator("form[data-calculator=room-oxygen]")).to_be_visible()
    page.go_back()
    again = Reader(page, "purge")
    expect(again.form).to_have_attribute("data-state", "ready", timeout=READY)
    again.press()
    again.answered()

    assert len(starts) == 1
    page.close()


def test_search_finds_by_question_unit_synonym_and_id(watched):
    page = watched.page()
    page.goto("/")
    page.locator("[data-md-component=search-query]").click()
    for words in ("ATM-02", "sweep-through", "Torr"):
        page.locator("[data-md-component=search-query]").fill("")
        page.locator("[data-md-component=search-query]").press_sequentially(words, delay=20)
        expect(page.locator(".md-search-result__item").first).to_be_visible()
    page.close()


def test_a_figure_travels_to_the_page_that_asks_for_it(watched):
    page = watched.page()
    reader = Reader(page, "purge").open(PURGE)
    reader.press()
    reader.answered()
    page.evaluate("self.stayed = true")
    link = reader.result.locator("[data-use]").first
    name, value = link.get_attribute("data-use"), link.get_attribute("data-value")
    link.click()
    other = page.locator(f"form.calculator:not([data-calculator=purge]) .field[data-field={name}]")

    expect(other.locator(f"[name={name}]")).to_have_value(value)
    expect(other.locator(".mark")).to_contain_text("from ATM-02")
    assert page.evaluate("self.stayed")  # one way of going there: a second load would race and lose the figure
