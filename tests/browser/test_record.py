"""After the run in the browser: open the plan, type the paper, close, save, reopen, change with a reason; trends."""

import json
import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

import calcs
from scripts import runtime_files
from tests.browser.reader import READY, Reader
from tests.run.test_trends import file as record_of

pytestmark = pytest.mark.browser
RECORD, TRENDS = "/run/record/", "/run/trends/"
PLAN = {"format": "furnace-run", "version": 1, "inputs": calcs.example("plan")}
CODE = calcs.example("record")["plan_code"]
JSON = "application/json"


@pytest.fixture(scope="module")
def reader(watched):
    page = watched.page()
    page.add_init_script("window.print = () => {}")
    return Reader(page, "record").open(RECORD)


def give(reader, text: str, name="run.json") -> None:
    chooser = reader.form.locator(".record-source")
    chooser.set_input_files({"name": name, "mimeType": JSON, "buffer": text.encode()})


def open_plan(reader) -> None:
    reader.form.locator(".form-note").evaluate("note => { note.textContent = ''; }")  # of the file before
    give(reader, json.dumps(PLAN))
    expect(reader.form.locator(".form-note")).to_contain_text("Opened: Copper strip 14", timeout=READY)


def check(reader) -> None:
    before = reader.form.get_attribute("data-answers")
    reader.form.get_by_role("button", name="Check the record").click()
    expect(reader.form).not_to_have_attribute("data-answers", before, timeout=READY)


def cell(reader, step: int, column: str):
    return reader.field("actuals").locator("tbody tr").nth(step - 1).locator(f"[data-column={column}]")


def type_the_paper(reader) -> None:
    open_plan(reader)
    reader.box("plan_code").fill(CODE)
    for row in calcs.example("record")["actuals"]:
        for column in ("actual", "time", "initials"):
            cell(reader, int(row["step"]), column).fill(row[column])
    reader.box("cylinder_pressure_after").fill("98 bar gauge")
    reader.box("result").select_option("accepted")
    reader.box("closed_by").fill("B. Example")
    reader.box("paper_kept").fill("folder 3")
    check(reader)
    expect(reader.result.locator(".answer-sentence")).to_contain_text("Closed, version 1", timeout=READY)


def save(reader) -> str:
    with reader.page.expect_download() as waiting:
        reader.page.locator("#record-result").get_by_role("button", name="Save the record").click()
    assert re.fullmatch(r"record-[0-9A-Z-]+-v\d\.json", waiting.value.suggested_filename)
    return Path(waiting.value.path()).read_text(encoding="utf-8")


def test_the_browser_gives_the_answer_that_the_build_wrote(reader):
    def without_times(text):
        return re.sub(r"\s+|20\d\d-\d\d-\d\d \d\d:\d\d UTC", " ", text)

    built = without_times(reader.result.text_content())
    check(reader)

    assert without_times(reader.result.text_content()) == built
    expect(reader.result.locator(".card-status")).to_have_text("EXAMPLE — NOT A RECORD")


def test_a_plan_brings_its_steps_and_a_newcomer_sees_what_is_meant(reader):
    open_plan(reader)

    expect(reader.field("actuals").locator("tbody tr")).to_have_count(15)
    expect(reader.field("actuals").locator(".step-words").nth(3)).to_contain_text("Pump down, 1 of 2")
    expect(cell(reader, 4, "actual")).to_have_value("")
    expect(cell(reader, 4, "actual")).to_have_attribute("aria-label", "Actual, step 4")
    expect(reader.box("plan_code")).to_have_value("")
    expect(reader.box("plan_code")).to_be_focused()


def test_from_paper_to_version_two(reader):
    type_the_paper(reader)
    expect(reader.result.locator(".record-questions")).to_contain_text("588 °C; +11 mbar")
    reader.result.get_by_role("button", name="It stands so on the paper: keep it").click()
    expect(reader.result.locator(".record-questions")).to_have_count(0, timeout=READY)
    first = save(reader)
    assert json.loads(first)["status"] == "closed"

    # What was saved is closed: a change is refused until it has a reason.
    cell(reader, 4, "actual").fill("0.08 mbar; 22 min")
    check(reader)
    expect(reader.result.locator(".refusal-heading")).to_contain_text("needs a reason", timeout=READY)

    # The same after opening the file anew.
    reader.page.reload()
    expect(reader.form).to_have_attribute("data-state", "ready", timeout=READY)
    give(reader, first, "record.json")
    expect(reader.result.locator(".answer-sentence")).to_contain_text("Closed, version 1", timeout=READY)
    expect(cell(reader, 4, "actual")).to_have_value("0.09 mbar; 22 min")
    expect(reader.result.locator(".record-questions")).to_have_count(0)
    expect(reader.result.locator(".card-status")).to_have_text("CLOSED, VERSION 1")
    cell(reader, 4, "actual").fill("0.08 mbar; 22 min")
    reader.box("closed_by").fill("C. Example")
    reader.box("change_reason").fill("misread")
    check(reader)
    expect(reader.result.locator(".answer-sentence")).to_contain_text("Closed, version 2", timeout=READY)
    for words in ("Readings, step 4, actual", "0.09 mbar; 22 min", "0.08 mbar; 22 min", "C. Example", "misread"):
        expect(reader.result.locator(".record-changes")).to_contain_text(words)
    second = json.loads(save(reader))
    assert [v["number"] for v in second["versions"]] == [1, 2]
    assert second["versions"][0] == json.loads(first)["versions"][0]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_record_prints_on_at_most_three_sides_with_the_code_on_each(reader, paper, tmp_path):
    type_the_paper(reader)
    code = re.search(r"Record code (\S{11})", reader.result.locator(".answer-sentence").inner_text())[1]
    reader.page.locator("#record-result").get_by_role("button", name="Print the record").click()
    file = tmp_path / "record.pdf"
    reader.page.pdf(path=file, format=paper)
    reader.page.evaluate("document.body.classList.remove('print-card')")

    assert len(re.findall(rb"/Type\s*/Page[^s]", file.read_bytes())) <= 3
    expect(reader.page.locator("#print-sheet thead").first).to_contain_text(code)


def test_the_longest_record_still_prints_on_three_sides(reader, tmp_path):
    type_the_paper(reader)
    for step in range(1, 16):
        cell(reader, step, "actual").fill("not read, somebody forgot it and wrote a long excuse into the box " * 3)
    for _ in range(9):
        reader.field("deviations").get_by_role("button", name="Add a row").click()
        for column in ("what", "why"):
            reader.field("deviations").locator(f"[data-column={column}]").last.fill("something long happened here " * 6)
    check(reader)
    expect(reader.result.locator(".record-deviations")).to_be_attached(timeout=READY)
    reader.page.locator("#record-result").get_by_role("button", name="Print the record").click()
    file = tmp_path / "record.pdf"
    reader.page.pdf(path=file, format="A4")
    reader.page.evaluate("document.body.classList.remove('print-card')")

    assert len(re.findall(rb"/Type\s*/Page[^s]", file.read_bytes())) <= 3


@pytest.mark.parametrize(
    "text, words",
    [
        ("not json", "damaged"),
        ('{"format": "something"}', "not a file of this site"),
        ('{"format": "record-of-run", "version": 99}', "newer page"),
        ('{"format": "record-of-run", "version": 1, "plan": 7}', "damaged"),
        ('{"format": "furnace-record", "version": 1, "record": {}}', "furnace record"),
        ("x" * 5_000_001, "5 MB"),
    ],
    ids=("damaged", "other", "newer", "spoilt", "furnace", "large"),
)
def test_a_file_that_cannot_be_used_says_why_and_loses_nothing(reader, text, words):
    open_plan(reader)
    cell(reader, 4, "actual").fill("0.07 mbar")
    reader.box("paper_kept").fill("folder 9")
    give(reader, text)

    expect(reader.status).to_contain_text(words, timeout=READY)
    expect(reader.status).to_contain_text("Nothing on this page has changed")
    expect(cell(reader, 4, "actual")).to_have_value("0.07 mbar")
    expect(reader.box("paper_kept")).to_have_value("folder 9")


def test_a_misread_code_is_refused_and_the_readings_stay(reader):
    type_the_paper(reader)
    reader.box("plan_code").fill(CODE[:-1] + ("0" if CODE[-1] != "0" else "1"))
    check(reader)

    expect(reader.result.locator(".refusal-heading")).to_contain_text("misread", timeout=READY)
    expect(cell(reader, 4, "actual")).to_have_value("0.09 mbar; 22 min")


def test_markup_in_a_reading_stays_text(reader):
    type_the_paper(reader)
    cell(reader, 4, "actual").fill("<img src=x onerror=alert(1)>")
    check(reader)

    expect(reader.result.locator(".record-steps")).to_contain_text("<img src=x onerror=alert(1)>", timeout=READY)
    expect(reader.result.locator("img")).to_have_count(0)


def test_a_log_keeps_its_hash_line_ends_and_all(reader):
    import hashlib

    data = b"time,temperature\r\n0,20.3\r\n10,68.9\r\n"
    type_the_paper(reader)
    reader.form.locator(".record-log").set_input_files({"name": "run14.csv", "mimeType": "text/csv", "buffer": data})

    expect(reader.result).to_contain_text(hashlib.sha256(data).hexdigest(), timeout=READY)
    expect(reader.box("log_name")).to_have_value("run14.csv")


def test_photographs_leave_name_and_hash(reader):
    open_plan(reader)
    reader.form.locator(".record-photographs").set_input_files(
        {"name": "strip.jpg", "mimeType": "image/jpeg", "buffer": b"abc"}
    )

    hashed = reader.field("photographs").locator("[data-column=sha256]")
    expect(hashed).to_have_value("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", timeout=READY)


def test_the_plan_kept_on_this_device_can_be_used(reader):
    reader.page.evaluate(
        "inputs => localStorage.setItem('draft', JSON.stringify({when: '2031-03-04T08:00:00Z', inputs}))",
        calcs.example("plan"),
    )
    reader.page.reload()
    expect(reader.form).to_have_attribute("data-state", "ready", timeout=READY)
    reader.form.get_by_role("button", name="Use the plan kept on this device").click()
    expect(reader.form.locator(".form-note")).to_contain_text("Opened: Copper strip 14", timeout=READY)
    reader.page.evaluate("localStorage.removeItem('draft')")


def test_the_record_has_no_accessibility_fault(reader):
    type_the_paper(reader)
    faultless(reader.page)


def faultless(page) -> None:
    page.evaluate(runtime_files.AXE.read_text(encoding="utf-8"))
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    faults = page.evaluate("tags => axe.run(document, {runOnly: tags})", tags)["violations"]

    assert not [(f["id"], [n["target"] for n in f["nodes"]][:3]) for f in faults]


# ---------------------------------------------------------------- from run to run


@pytest.fixture(scope="module")
def tool(watched):
    page = watched.page()
    page.goto(TRENDS)
    return page.locator(".trends-tool[data-live]")


def choose(tool, files) -> None:
    tool.locator("input[type=file]").set_input_files(
        [{"name": f["name"], "mimeType": JSON, "buffer": f["text"].encode()} for f in files]
    )


def test_three_records_are_drawn_and_no_direction_is_named(tool):
    choose(tool, [record_of(day, rise=f"0.00{day} mbar") for day in (4, 5, 6)])

    expect(tool.get_by_role("status")).to_contain_text("3\N{NO-BREAK SPACE}closed records read", timeout=READY)
    expect(tool.locator("figure svg")).to_have_count(4)
    expect(tool.locator("figcaption").first).to_contain_text("too few to tell a direction from chance")
    faultless(tool.page)


def test_six_rising_records_say_what_to_do_and_go_into_a_csv(tool):
    choose(tool, [record_of(day, rise=f"0.0{10 + day} mbar") for day in range(1, 7)])

    expect(tool).to_contain_text("Rise rate: rises", timeout=READY)
    expect(tool).to_contain_text("What to do: Run the rise test empty, dry and cold, twice")
    with tool.page.expect_download() as waiting:
        tool.get_by_role("button", name="CSV").click()
    lines = Path(waiting.value.path()).read_text(encoding="utf-8").splitlines()
    assert len(lines) == 7 and lines[1].startswith("2031-03-01,HS-1,")


def test_a_wrong_file_among_records_is_named(tool):
    choose(tool, [{"name": "plan.json", "text": json.dumps(PLAN)}, {"name": "bad.json", "text": "{"}])

    expect(tool.get_by_role("status")).to_contain_text("No closed record", timeout=READY)
    expect(tool).to_contain_text("bad.json: The file is damaged")
    expect(tool.get_by_role("button", name="CSV")).to_be_hidden()
