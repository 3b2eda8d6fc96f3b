"""What a committee does: look a sheet up, re-run the checks, follow a number to its source."""

import pytest
from playwright.sync_api import expect

from tests.browser.reader import READY, Reader

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(
    "typed, words",
    [
        ("VAC-04 revision 1", "is current"),
        ("vac-04 rev 9", "newer than this copy"),
        ("VAC-99 revision 1", "unknown"),
        ("two buckets", "Type the id"),
    ],
)
def test_a_printed_sheet_is_looked_up(watched, typed, words):
    page = watched.page()
    page.goto("/review/register/")
    page.get_by_label("Id and revision of a printed sheet").fill(typed)
    page.get_by_role("button", name="Look it up").click()

    expect(page.locator(".look-up [role=status]")).to_contain_text(words)
    page.close()


def test_the_checks_run_here_and_the_altered_row_differs(watched):
    page = watched.page()
    page.goto("/review/checks/")
    expect(page.locator("[data-check]").first).to_have_text("not run on this device")
    page.get_by_role("button", name="Run the checks").click()

    expect(page.locator(".checks-run .status")).to_contain_text(
        "as they should be; the row altered on purpose differs", timeout=READY
    )
    expect(page.locator("[data-check^=control]")).to_have_text("differs, as it must")
    expect(page.locator(".run-report")).to_contain_text("Python 3.")
    page.close()


def test_the_checks_can_be_cancelled(watched):
    page = watched.page()
    page.goto("/review/checks/")
    page.get_by_role("button", name="Run the checks").click()
    page.get_by_role("button", name="Cancel").click()

    expect(page.locator(".checks-run .status")).to_contain_text("Cancelled", timeout=READY)
    page.close()


def test_a_number_leads_to_its_source_in_two_steps(watched):
    page = watched.page()
    reader = Reader(page, "purge").open("/atmosphere/purge/")
    reader.result.locator("details.working summary").click()
    reader.result.locator("details.working a", has_text="general.gas_constant").first.click()
    expect(page.locator("#general-gas_constant")).to_be_visible()
    page.locator("tr", has=page.locator("#general-gas_constant")).locator("a").first.click()

    expect(page.locator("#codata-2018")).to_be_visible()
    page.close()


def test_a_draft_is_offered_and_never_loaded_silently(browser, home):
    context = browser.new_context(base_url=home, service_workers="block")
    reader = Reader(context.new_page(), "plan").open("/run/plan/")
    reader.type("run_name", "My own run").box("run_name").blur()
    again = Reader(context.new_page(), "plan").open("/run/plan/")
    expect(again.box("run_name")).to_have_value("Copper strip 14")
    again.form.get_by_role("button", name="Continue").click()

    expect(again.box("run_name")).to_have_value("My own run")
    context.close()
