"""The worked examples in the browser: a link opens the very inputs in the form, and the answer is the one told."""

from pathlib import Path

import pytest
from playwright.sync_api import expect

from calcs.run import examples
from tests.browser.reader import READY

pytestmark = pytest.mark.browser
ROOT = Path(__file__).resolve().parents[2]


def follow(page, stage):
    """Press the link of a stage and wait for the answer of the page it leads to."""
    block = page.get_by_role("region", name=f"{examples.title(stage.run)}: {stage.name}", exact=True)
    block.get_by_role("link", name="Open this in").click()
    form = page.locator(f"form[data-calculator={stage.calculator}]")
    expect(form.locator(".form-note")).to_contain_text("Filled from a link", timeout=READY)
    expect(page.locator(f"#{stage.calculator}-result .answer-sentence").first).to_contain_text(
        stage.answer.sentence.replace("\u00a0", " "), timeout=READY
    )
    return form


@pytest.mark.parametrize(
    "run, name", [("titanium-plates", "allowed"), ("bright-foil", "hydrogen"), ("damp-shelves", "how long")]
)
def test_a_link_opens_the_stage_and_answers_as_told(watched, run, name):
    stage, page = examples.stage(run, name), watched.page()
    page.goto("/run/examples/")
    form = follow(page, stage)

    expect(form.locator(".form-note")).not_to_contain_text("Left out")
    if stage.calculator == "plan":
        code = stage.answer.figures["plan_code"].value
        expect(page.locator("#plan-result .run-card .card-head").first).to_contain_text(code)
    page.close()


def test_a_link_works_from_the_disk(browser):
    stage, context = examples.stage("ceramic-rings", "allowed"), browser.new_context()
    page = context.new_page()
    page.goto((ROOT / "site-disk/run/examples.html").as_uri())
    follow(page, stage)

    expect(page.locator("#plan-result .run-card .card-head").first).to_contain_text(
        stage.answer.figures["plan_code"].value
    )
    context.close()


def test_the_page_fits_a_phone(browser, home):
    context = browser.new_context(base_url=home, service_workers="block", viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto("/run/examples/")

    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    context.close()
