"""One run from the empty form to the closed record, without a network: plan, card, log with two planted faults, record."""

import hashlib
import json
import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

import calcs
from tests.browser.reader import READY, Reader
from tests.run.chamber_log import chamber_log

pytestmark = pytest.mark.browser
PLAN, LOG, RECORD = "/run/plan/", "/run/log/", "/run/record/"
INPUTS = calcs.example("plan")
FAULTS = ("pressure dip", "stuck sensor")


@pytest.fixture(scope="module")
def page(browser, home):
    """A browser that was here once, with the network gone since."""
    context = browser.new_context(base_url=home, viewport={"width": 1280, "height": 900}, accept_downloads=True)
    trouble = []
    first = Reader(context.new_page(), "plan").open(PLAN)
    first.page.add_init_script("window.print = () => {}")
    first.form.get_by_role("button", name="Check the plan").click()
    expect(first.form).not_to_have_attribute("data-answers", "0", timeout=READY)
    first.page.evaluate("navigator.serviceWorker.ready.then(() => null)")
    context.set_offline(True)
    first.page.on("pageerror", lambda error: trouble.append(str(error)))
    yield first.page
    context.close()
    assert not trouble


@pytest.fixture(scope="module")
def log_text():
    return chamber_log(10.0, FAULTS)


def answers(reader) -> str:
    return reader.form.get_attribute("data-answers")


def press(reader, button: str) -> None:
    """Press a button and wait for the answer to that press."""
    before = answers(reader)
    reader.form.get_by_role("button", name=button).click()
    expect(reader.form).not_to_have_attribute("data-answers", before, timeout=READY)


def fill(reader, name: str, typed) -> None:
    """Type one input by hand, rows cell by cell."""
    field = reader.field(name)
    if isinstance(typed, str):
        _put(field.locator(f"[name='{name}']"), typed)
        return
    for number, row in enumerate(typed):
        field.get_by_role("button", name="Add a row").click()
        for column, text in row.items():
            _put(field.locator("tbody tr").nth(number).locator(f"[data-column={column}]"), text)


def _put(box, text: str) -> None:
    if box.evaluate("box => box.tagName") == "SELECT":
        box.select_option(text)
    else:
        box.fill(text)


@pytest.fixture(scope="module")
def plan(page):
    """The plan typed into the empty form, checked and saved: (code, text of the file)."""
    reader = Reader(page, "plan").open(PLAN)
    reader.form.get_by_role("button", name="Clear the form").click()
    reader.form.locator("details").evaluate_all("folds => folds.forEach(fold => { fold.open = true; })")
    for name, typed in INPUTS.items():
        fill(reader, name, typed)
    press(reader, "Check the plan")
    expect(reader.form.locator(".problem-list")).to_be_hidden()
    expect(reader.result.locator(".run-card .card-status").first).to_have_text("FOR RELEASE", timeout=READY)
    with page.expect_download() as waiting:
        page.locator("#plan-result").get_by_role("button", name="Save the plan").click()
    text = Path(waiting.value.path()).read_text(encoding="utf-8")
    return json.loads(text)["code"], text


def test_the_empty_form_becomes_a_card_for_release(page, plan):
    code, _ = plan

    assert code == calcs.work_out("plan", INPUTS).figures["plan_code"].value
    expect(page.locator("#plan-result .sheet").last).to_contain_text(code)


def test_the_card_prints_without_a_network(page, plan, tmp_path):
    file = tmp_path / "card.pdf"
    page.locator("#plan-result").get_by_role("button", name="Print the card").click()
    page.pdf(path=file, format="A4")

    assert len(re.findall(rb"/Type\s*/Page[^s]", file.read_bytes())) == 2


@pytest.fixture(scope="module")
def checked_log(page, plan, log_text, tmp_path_factory):
    """The log held against the programme of the plan."""
    file = tmp_path_factory.mktemp("golden") / "run 14.csv"
    file.write_text(log_text, encoding="utf-8")
    reader = Reader(page, "log").open(LOG)
    before = answers(reader)
    reader.form.locator(".log-file").set_input_files(file)
    expect(reader.form).not_to_have_attribute("data-answers", before, timeout=READY)
    return reader


def test_the_log_shows_the_two_planted_faults_and_nothing_else(checked_log):
    expect(checked_log.result.locator(".answer-sentence")).to_contain_text("2 findings", timeout=READY)
    expect(checked_log.result).to_contain_text("the load sensor stands still")
    expect(checked_log.result).to_contain_text("below the room while hot")


def test_the_record_closes_over_the_paper_and_the_log(page, plan, log_text, checked_log, tmp_path):
    code, text = plan
    reader = Reader(page, "record").open(RECORD)
    reader.form.locator(".record-source").set_input_files(
        {"name": "run.json", "mimeType": "application/json", "buffer": text.encode()}
    )
    expect(reader.form.locator(".form-note")).to_contain_text("Opened: Copper strip 14", timeout=READY)
    reader.box("plan_code").fill(code)
    rows = reader.field("actuals").locator("tbody tr")
    for row in calcs.example("record")["actuals"]:
        for column in ("actual", "time", "initials"):
            rows.nth(int(row["step"]) - 1).locator(f"[data-column={column}]").fill(row[column])
    for name, typed in (
        ("cylinder_pressure_after", "92 bar gauge"),
        ("closed_by", "B. Example"),
        ("paper_kept", "folder 3"),
    ):
        reader.box(name).fill(typed)
    reader.box("result").select_option("accepted")
    press(reader, "Check the record")
    reader.form.locator(".record-log").set_input_files(
        {"name": "run 14.csv", "mimeType": "text/csv", "buffer": log_text.encode()}
    )
    expect(reader.result).to_contain_text(hashlib.sha256(log_text.encode()).hexdigest(), timeout=READY)
    for decision, why in (("explained", "Supply pressure fell"), ("explained", "Plug of the load thermocouple loose")):
        reader.result.locator(f".record-proposals [data-decide={decision}]").first.click()
        reader.field("deviations").locator("[data-column=why]").last.fill(why)
        reader.field("deviations").locator("[data-column=who]").last.fill("B. Example")
        press(reader, "Check the record")
    expect(reader.result.locator(".answer-sentence")).to_contain_text("Closed, version 1", timeout=READY)
    with page.expect_download() as waiting:
        page.locator("#record-result").get_by_role("button", name="Save the record").click()
    saved = json.loads(Path(waiting.value.path()).read_text(encoding="utf-8"))

    version = saved["versions"][-1]
    assert saved["status"] == "closed" and len(saved["versions"]) == 1
    assert code in json.dumps(saved) and hashlib.sha256(log_text.encode()).hexdigest() in json.dumps(version)
    found = json.dumps(version, ensure_ascii=False)
    assert "stands still" in found and "below the room" in found and "Supply pressure fell" in found
