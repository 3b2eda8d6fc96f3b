"""How a form behaves, tried on one page: reading back, doubtful input, alternatives, furnace, links, taking away."""

import json
import re

import pytest
from playwright.sync_api import expect

from tests.browser.reader import Reader

pytestmark = pytest.mark.browser
PURGE = "/atmosphere/purge/"


@pytest.fixture(scope="module")
def reader(page):
    return Reader(page, "purge").open(PURGE)


@pytest.fixture(autouse=True)
def fresh(reader):
    reader.form.get_by_role("button", name="Example", exact=True).click()
    yield


def test_a_unit_typed_is_read_back_and_wins(reader):
    reader.type("free_volume", "0,5 m3").box("free_volume").blur()

    expect(reader.field("free_volume").locator(".read-as")).to_contain_text("0.5 m³")
    expect(reader.field("free_volume").locator(".unit")).to_have_value("")


def test_a_doubtful_comma_offers_two_buttons_that_fill_the_field(reader):
    reader.type("duration", "1,500 min").press()
    offers = reader.field("duration").locator(".problem button")

    expect(offers).to_have_text(["Use 1500 min", "Use 1.5 min"])
    offers.nth(1).click()
    expect(reader.box("duration")).to_have_value("1.5 min")
    expect(reader.result.locator(".answer-sentence")).to_be_visible()


def test_the_problem_list_leads_to_the_field(reader):
    reader.type("gas_oxygen", "x").press()
    reader.form.locator(".problem-list a").click()

    expect(reader.box("gas_oxygen")).to_be_focused()


def test_a_refusal_shows_no_figure(reader):
    reader.choose("gas", "hydrogen").press()

    expect(reader.result.locator(".refusal")).to_contain_text("No answer: hydrogen needs a different analysis")
    expect(reader.result.locator("table")).to_have_count(0)
    expect(reader.page.locator("#purge-result .take-away")).to_be_hidden()


def test_results_follow_the_form_after_the_first_press(reader):
    reader.press()
    before = reader.answered()
    reader.choose("gas", "nitrogen")

    expect(reader.result).not_to_have_text(before)
    expect(reader.page.locator("#purge-result .old-note")).to_be_hidden()


def test_the_mode_decides_what_is_asked(reader):
    reader.form.get_by_label("By cycles").check()

    expect(reader.field("duration")).to_be_hidden()
    expect(reader.field("pumped_pressure")).to_be_visible()
    reader.press()
    expect(reader.result.locator(".answer-sentence")).to_contain_text("2 cycles")
    reader.form.get_by_label("By flow").check()


def test_clear_can_be_undone(reader):
    reader.type("free_volume", "30 L")
    reader.form.get_by_role("button", name="Clear the form").click()
    expect(reader.box("free_volume")).to_have_value("")
    reader.form.get_by_role("button", name="Undo").click()

    expect(reader.box("free_volume")).to_have_value("30 L")


def test_changing_the_example_furnace_leaves_its_other_values(reader):
    reader.page.reload()
    reader.open(PURGE)
    reader.type("free_volume", "20 L").box("free_volume").blur()

    expect(reader.form.locator(".furnace-said")).to_contain_text("went back to their defaults")
    expect(reader.box("pore_volume")).to_have_value("0 L")


def test_residual_oxygen_of_twenty_litres(reader):
    reader.page.reload()
    reader.open(PURGE)
    reader.type("free_volume", "20 L").box("free_volume").blur()
    reader.type("flow", "").type("actual_flow", "2 L/min").type("gas_oxygen", "1 ppm").type(
        "target_oxygen", "100 ppm"
    ).press()

    expect(reader.result.locator(".answer-sentence")).to_contain_text("1 h 17 min if the gas mixes perfectly")
    expect(reader.result).to_contain_text("dead legs")


def test_a_link_carries_the_inputs_as_typed(reader, watched, home):
    reader.type("free_volume", "30 L").press()
    reader.answered()
    reader.page.context.grant_permissions(["clipboard-read", "clipboard-write"], origin=home)
    reader.page.locator("#purge-result").get_by_role("button", name="Copy link").click()
    expect(reader.status).to_have_text("Link copied.")
    link = reader.page.evaluate("navigator.clipboard.readText()")

    other = Reader(watched.page(), "purge")
    other.page.goto(link)
    expect(other.result.locator(".answer-sentence")).to_be_visible(timeout=60_000)
    expect(other.box("free_volume")).to_have_value("30 L")
    expect(other.form.locator(".form-note")).to_contain_text("Filled from a link made with revision 1")
    other.page.close()


HOSTILE = {"free_volume": "<img src=x onerror=alert(1)>", "gas_oxygen": '"><script>alert(1)</script>', "flow": "__import__('os')",
           "duration": "javascript:alert(1)", "evil": "1", "target_oxygen": "x" * 500}  # fmt: skip


def test_a_hostile_link_is_shown_as_text_or_dropped_and_named(watched):
    from urllib.parse import quote

    page = watched.page()
    page.on("dialog", lambda dialog: pytest.fail("something of the link was run"))
    other = Reader(page, "purge")
    page.goto(PURGE + "#in=" + quote(json.dumps({"schema": 1, "revision": "1", "inputs": HOSTILE})))

    expect(other.form.locator(".problem-list")).to_be_visible(timeout=60_000)
    expect(other.box("free_volume")).to_have_value(HOSTILE["free_volume"])
    expect(other.form.locator(".form-note")).to_contain_text("Left out: evil, target_oxygen")
    assert page.locator("form img, form script").count() == 0
    page.close()


@pytest.mark.parametrize("state", ["#in=%7Bbroken", "#in=" + "x" * 9000, "#in=%5B1%5D", "#in=%E0%A4%A"])
def test_a_broken_link_is_refused_in_words(watched, state):
    page = watched.page()
    page.goto(PURGE + state)

    expect(page.locator(".form-note")).to_contain_text("could not be used", timeout=60_000)
    page.close()


def test_the_csv_is_saved(reader):
    reader.press()
    reader.answered()
    with reader.page.expect_download() as waiting:
        reader.page.locator("#purge-result").get_by_role("button", name="CSV").click()

    assert re.fullmatch(r"purge-\d{4}-\d\d-\d\d\.csv", waiting.value.suggested_filename)


def test_everything_works_with_storage_refused(browser, home):
    context = browser.new_context(base_url=home, service_workers="block")
    context.add_init_script("Object.defineProperty(self, 'localStorage', {get() { throw new Error('refused'); }})")
    other = Reader(context.new_page(), "purge").open(PURGE)
    other.press()
    expect(other.result.locator(".answer-sentence")).to_be_visible()
    context.close()
