"""A log in the browser: a file of 20 000 rows, a paste, Cancel in a long one, a file that cannot be read."""

import pytest
from playwright.sync_api import expect

from tests.browser.reader import READY, Reader
from tests.run.chamber_log import chamber_log

pytestmark = pytest.mark.browser
LONG = 500_000
# A timer that ought to come every 20 ms: it comes only while the page takes events.
WATCH = """() => { self.pauses = []; let before = performance.now();
  const tick = () => { const now = performance.now(); self.pauses.push(now - before); before = now; setTimeout(tick, 20); }; tick(); }"""
PASTE = """(rows) => { const lines = ["time (s),chamber (°C)"]; for (let i = 0; i < rows; i++) lines.push(`${i},${(20 + i * 0.001).toFixed(3)}`);
  const data = new DataTransfer(); data.setData("text/plain", lines.join("\\n")); self.pauses = [];
  document.querySelector("textarea[name=log]").dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true })); }"""


@pytest.fixture(scope="module")
def reader(page):
    found = Reader(page, "log").open("/run/log/")
    page.evaluate(WATCH)
    return found


@pytest.fixture(scope="module")
def choose(tmp_path_factory):
    """Choose a file of that name with that text. It lies on the disk: sending it through the harness would hold the page."""
    folder = tmp_path_factory.mktemp("logs")

    def chosen(reader, name: str, text: str, encoding: str = "utf-8") -> None:
        (folder / name).write_bytes(text.encode(encoding))
        reader.page.evaluate("self.pauses = []")
        reader.form.locator(".log-file").set_input_files(folder / name)

    return chosen


def events(reader) -> int:
    """How often the page took a timer since the file was chosen: a page that stands still takes none."""
    return reader.page.evaluate("self.pauses.length")


def answers(reader) -> int:
    return int(reader.form.get_attribute("data-answers"))


def wait_for_answer(reader, before: int) -> None:
    expect(reader.form).to_have_attribute("data-answers", str(before + 1), timeout=READY)


@pytest.fixture(scope="module")
def twenty_thousand():
    return chamber_log(1.56, ("pressure dip", "stuck sensor"), before_min=20)


@pytest.fixture(scope="module")
def long_file():
    rows = "\n".join(f"{i / 10:g},{min(600, 20 + i / 200):.2f},10.{i % 9}" for i in range(LONG))
    return "time (s),chamber (°C),pressure (mbar gauge)\n" + rows + "\n"


def test_a_file_of_twenty_thousand_rows_gives_its_findings(reader, choose, twenty_thousand):
    assert twenty_thousand.count("\n") > 20_000
    before = answers(reader)
    choose(reader, "run 7.csv", twenty_thousand)
    wait_for_answer(reader, before)

    expect(reader.result.locator(".answer-sentence")).to_contain_text("2 findings in 20")
    expect(reader.result).to_contain_text("the load sensor stands still")
    expect(reader.result).to_contain_text("below the room while hot")
    expect(reader.field("log").locator(".log-progress")).to_contain_text("temperature in °C, set point in °C")
    assert reader.box("log").input_value().startswith("Log kept in memory: run 7.csv, 20")
    assert events(reader) > 5


def test_the_kept_log_answers_other_plans(reader):
    before = answers(reader)
    reader.type("tolerance", "12 K").press()
    wait_for_answer(reader, before)

    expect(reader.result.locator(".answer-sentence")).to_contain_text("within 12 K of 600 °C")
    reader.type("tolerance", "5 K").box("tolerance").blur()


def test_a_short_paste_stands_in_the_box(reader):
    reader.form.get_by_role("button", name="Example", exact=True).click()
    before = answers(reader)
    reader.type("log", "time (min);chamber (°C)\n0;20\n116;600\n146;600\n150;590").press()
    wait_for_answer(reader, before)

    expect(reader.result.locator(".answer-sentence")).to_contain_text("in 4 rows")
    assert reader.box("log").input_value().startswith("time (min)")


def test_a_long_paste_is_read_in_slices_and_never_stands_in_the_box(reader):
    before = answers(reader)
    reader.page.evaluate(PASTE, 120_000)
    wait_for_answer(reader, before)

    assert "120\u202f000\u00a0rows" in reader.box("log").input_value()
    assert len(reader.box("log").input_value()) < 200


def test_a_long_file_can_be_cancelled_and_the_page_answers_meanwhile(reader, choose, long_file):
    before, kept = answers(reader), reader.box("log").input_value()
    choose(reader, "long.csv", long_file)
    expect(reader.field("log").locator(".log-progress")).to_contain_text("Reading long.csv", timeout=READY)
    reader.form.get_by_role("button", name="Cancel").click()

    expect(reader.field("log").locator(".log-progress")).to_contain_text("Cancelled after")
    expect(reader.form.get_by_role("button", name="Cancel")).to_be_hidden()
    assert reader.box("log").input_value() == kept and answers(reader) == before
    assert events(reader) > 5


def test_the_same_file_whole_is_answered(reader, choose, long_file):
    before = answers(reader)
    choose(reader, "long.csv", long_file)
    wait_for_answer(reader, before)

    expect(reader.result.locator(".answer-sentence")).to_contain_text("500\u202f000\u00a0rows")
    assert events(reader) > 5


def test_one_row_too_many_is_a_stated_limit(reader, choose, long_file):
    before = answers(reader)
    choose(reader, "longer.csv", long_file + "50000,20,10\n")
    wait_for_answer(reader, before)

    expect(reader.result.locator(".refusal")).to_contain_text("No answer: the log is too long")


def test_a_file_that_cannot_be_told_is_refused_in_words(reader, choose):
    before = answers(reader)
    choose(reader, "doubtful.csv", "time,chamber (°C)\n0,20\n1,21\n2,22\n")
    wait_for_answer(reader, before)

    expect(reader.result.locator(".refusal")).to_contain_text("does not say whether it counts seconds, minutes, hours")
    expect(reader.result.locator("table")).to_have_count(0)


def test_other_alphabets_of_files(reader, choose):
    before = answers(reader)
    text = "Zeit (min);Temperatur (°C)\n" + "\n".join(f"{i};{20 + 5 * i},5" for i in range(30))
    for encoding in ("utf-16", "cp1252"):
        choose(reader, "log.txt", text, encoding)
        wait_for_answer(reader, before)
        before += 1
        expect(reader.result.locator(".answer-sentence")).to_contain_text("30 rows")


def test_a_log_of_a_link_that_is_gone_is_a_problem_beside_its_box(reader):
    reader.type("log", "Log kept in memory: run.csv, 3 rows [zzz9]").press()

    expect(reader.field("log").locator(".problem")).to_contain_text("Choose the file again")


def test_the_fit_of_a_furnace_takes_a_log_of_twenty_thousand_rows(page, reader, choose, twenty_thousand):
    other = Reader(page, "follow").open("/heat/follow/")
    other.form.get_by_label("From a log").check()
    for _ in range(2):  # the power stands in the log
        other.field("power_steps").get_by_role("button", name="Remove this row").first.click()
    choose(other, "run 7.csv", twenty_thousand)
    expect(other.result).to_contain_text("readings the furnace fits", timeout=READY)
