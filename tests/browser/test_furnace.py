"""A furnace file in the browser: made, saved, opened elsewhere, compared, revised; bad files; a plan of an older revision."""

import json
from pathlib import Path

import pytest
from playwright.sync_api import expect

import calcs
from calcs.run import files
from calcs.run import furnace_record as records
from scripts import runtime_files
from tests.browser.reader import READY, Reader
from tests.conftest import watching

pytestmark = pytest.mark.browser
RECORD, PLAN = "/run/furnace/", "/run/plan/"
EXAMPLE = calcs.example("furnace")


def furnace(**changed):
    """A furnace as it is kept: the example's values under another name, so that nobody takes it for the example."""
    return records.revised(None, EXAMPLE | {"furnace_id": "HS-2", "record_revision": "3"} | changed, "2031-03-04")


def revised(base, **changed):
    typed = base["record"] | {"record_change": "Relief exchanged", "record_changed_by": "A. Example"} | changed
    return records.revised(base, typed, "2031-04-01")


def file_of(kept) -> dict:
    text = files.furnace_file(kept["record"], kept["history"])
    return {"name": "furnace.json", "mimeType": "application/json", "buffer": text.encode()}


def plan_of(kept, **changed) -> dict:
    inputs = calcs.example("plan") | {"furnace_id": kept["record"]["furnace_id"]} | changed
    text = json.dumps({"format": "furnace-run", "version": 1, "inputs": inputs})
    return {"name": "run.json", "mimeType": "application/json", "buffer": text.encode()}


@pytest.fixture(scope="module")
def profile(browser, home):
    """Another profile, with nothing kept; its page keeps one interpreter for the module."""
    with watching(browser, home, viewport={"width": 1366, "height": 768}) as watch:
        yield watch


@pytest.fixture(scope="module")
def the_page(profile):
    return profile.page()


@pytest.fixture
def reader(the_page):
    the_page.goto("/404.html")  # a page without a calculator: nothing starts there
    the_page.evaluate("localStorage.clear(); sessionStorage.clear()")
    return Reader(the_page, "furnace").open(RECORD)


def wait(reader) -> None:
    expect(reader.form).to_have_attribute("data-state", "ready", timeout=READY)


def check(reader):
    reader.form.get_by_role("button", name="Check the record").click()
    expect(reader.page.locator("#furnace-result .take-away")).to_be_visible(timeout=READY)
    return reader


def open_file(reader, file, kind="furnace") -> None:
    reader.form.locator(f".{kind}-file").set_input_files(file)


def opened(reader, kept):
    open_file(reader, file_of(kept))
    expect(reader.form.locator(".furnace-name")).to_have_text(
        f"{kept['record']['furnace_id']}, revision {kept['record']['record_revision']}", timeout=READY
    )
    expect(reader.box("furnace_id")).to_have_value(kept["record"]["furnace_id"])
    return reader


def take(reader, name: str):
    """Press a button under the result and return the file that comes down, as it was written."""
    with reader.page.expect_download() as waiting:
        reader.page.locator("#furnace-result").get_by_role("button", name=name).click()
    return waiting.value.suggested_filename, json.loads(Path(waiting.value.path()).read_text(encoding="utf-8"))


def use_on_device(reader) -> None:
    reader.page.locator("#furnace-result").get_by_role("button", name="Use on this device").click()
    expect(reader.status).to_contain_text("Every page on this device", timeout=READY)


def test_the_page_reads_without_javascript(browser, home):
    context = browser.new_context(base_url=home, java_script_enabled=False)
    page = context.new_page()
    page.goto(RECORD)

    expect(page.locator("form.calculator")).to_be_hidden()
    for label in ("Relief opens at", "Highest chamber temperature in each gas", "Manual, document number"):
        expect(page.locator("table.furnace-values").get_by_role("rowheader", name=label)).to_be_visible()
    expect(page.locator("table.furnace-values").get_by_text("35 mbar gauge")).to_be_visible()
    context.close()


def test_the_example_is_never_saved_as_somebodys_furnace(reader):
    check(reader)
    reader.page.locator("#furnace-result").get_by_role("button", name="Save the furnace file").click()

    expect(reader.form.locator(".problem-list")).to_contain_text("example furnace")
    assert reader.page.evaluate("localStorage.getItem('furnace')") is None


def test_make_a_record_save_it_and_open_it_in_another_profile(reader, browser, home):
    reader.form.get_by_role("button", name="Start an empty record").click()
    expect(reader.box("relief_pressure")).to_have_value("")
    expect(reader.box("free_volume")).to_have_value("")
    reader.type("furnace_id", "HS-7").type("free_volume", "30 L").type("relief_pressure", "40 mbar")
    reader.type("maximum_pressure", "60 mbar")
    check(reader)
    expect(reader.result).to_contain_text("HS-7: 4 of")
    expect(reader.result).to_contain_text("cannot say")
    name, file = take(reader, "Save the furnace file")

    assert name.startswith("furnace-") and name.endswith("-1.json")
    assert file["record"].keys() == {"furnace_id", "free_volume", "relief_pressure", "maximum_pressure",
                                     "record_revision", "record_changed_on"}  # fmt: skip
    assert file["record"]["relief_pressure"] == "40 mbar gauge"

    with watching(browser, home) as watch:
        other = Reader(watch.page(), "plan").open(PLAN)
        open_file(other, {"name": "f.json", "mimeType": "application/json", "buffer": json.dumps(file).encode()})
        expect(other.form.locator(".furnace-name")).to_have_text("HS-7, revision 1", timeout=READY)
        expect(other.box("furnace_id")).to_have_value("HS-7")
        expect(other.box("relief_pressure")).to_have_value("40 mbar gauge")
        for name in ("relief_capacity", "leak_rate", "gas_volume", "maximum_temperature", "record_review_due"):
            expect(other.box(name)).to_have_value("")  # what the record does not know is no value of the example
        expect(other.field("relief_capacity").locator(".mark")).to_have_text("not in the record")
        expect(other.form.locator(".furnace-notes")).to_contain_text("no day for its review")


def test_revise_it_and_compare_the_revisions(reader):
    opened(reader, furnace())
    reader.type("relief_pressure", "30 mbar")
    check(reader)
    reader.page.locator("#furnace-result").get_by_role("button", name="Save the furnace file").click()
    expect(reader.field("record_change").locator(".problem")).to_contain_text("say it in one sentence")
    expect(reader.field("record_changed_by").locator(".problem")).to_contain_text("names who made it")

    reader.type("record_change", "Relief exchanged").type("record_changed_by", "A. Example")
    check(reader)
    name, file = take(reader, "Save the furnace file")
    assert name.endswith("-4.json") and file["record"]["record_revision"] == "4"
    assert [old["relief_pressure"] for old in file["history"]] == ["35 mbar gauge"]
    expect(reader.form.locator(".furnace-name")).to_have_text("HS-2, revision 4")
    expect(reader.box("record_change")).to_have_value("")

    reader.form.locator("details.compare > summary").click()
    expect(reader.form.locator(".history")).to_contain_text("35 mbar gauge → 30 mbar gauge")
    reader.form.locator("[data-compare=one]").select_option("base 0")
    reader.form.locator("[data-compare=two]").select_option("base 1")
    reader.form.get_by_role("button", name="Compare", exact=True).click()
    row = reader.form.locator(".compared tbody tr")
    expect(row).to_have_count(1)
    expect(row).to_contain_text("Relief opens at35 mbar gauge30 mbar gauge")
    expect(row).to_contain_text("PRS-1")


def test_compare_with_a_second_file(reader):
    opened(reader, furnace())
    reader.form.locator("details.compare > summary").click()
    open_file(reader, file_of(furnace(furnace_id="HS-3", heater_power="9 kW")), "other")
    expect(reader.form.locator("[data-compare=two]")).to_have_value("other 0", timeout=READY)
    reader.form.locator("[data-compare=one]").select_option("base 0")
    reader.form.get_by_role("button", name="Compare", exact=True).click()

    expect(reader.form.locator(".compared")).to_contain_text("2 values differ")
    expect(reader.form.locator(".compared")).to_contain_text("9 kW")
    expect(reader.box("heater_power")).to_have_value("6 kW")


def test_used_on_this_device_it_fills_other_pages_and_can_be_forgotten(reader):
    opened(reader, furnace(record_review_due="2020-01-01", door_width=""))
    check(reader)
    use_on_device(reader)
    hold = Reader(reader.page, "hold").open("/atmosphere/hold/")
    expect(hold.form.locator(".furnace-name")).to_have_text("HS-2, revision 3")
    expect(hold.box("gas_volume")).to_have_value("108 L")
    expect(hold.box("door_width")).to_have_value("")
    expect(hold.form.locator(".furnace-notes")).to_contain_text("overdue by", timeout=READY)

    again = Reader(reader.page, "furnace").open(RECORD)
    expect(again.box("furnace_id")).to_have_value("HS-2")
    again.form.get_by_role("button", name="Forget the furnace on this device").click()
    expect(again.box("furnace_id")).to_have_value("HS-1")
    assert reader.page.evaluate("Object.keys(localStorage).filter(k => k.startsWith('furnace')).length") == 0
    wait(again)


def test_the_limit_follows_the_gas(reader):
    limits = [{"gas": "argon", "temperature": "1050 °C"}, {"gas": "nitrogen", "temperature": "950 °C"}]
    opened(reader, furnace(gas_limits=limits))
    check(reader)
    use_on_device(reader)
    plan = Reader(reader.page, "plan").open(PLAN)
    expect(plan.box("maximum_temperature")).to_have_value("1050 °C", timeout=READY)

    plan.choose("gas", "nitrogen")
    expect(plan.box("maximum_temperature")).to_have_value("950 °C", timeout=READY)
    plan.choose("gas", "helium")
    expect(plan.box("maximum_temperature")).to_have_value("")
    expect(plan.form.locator(".furnace-notes")).to_contain_text("no highest temperature for helium", timeout=READY)
    plan.form.get_by_role("button", name="Check the plan").click()
    expect(plan.result).to_contain_text("highest temperature in helium", timeout=READY)

    plan.unfold("maximum_temperature").box("maximum_temperature").fill("800 °C")
    plan.box("maximum_temperature").blur()
    plan.choose("gas", "argon")
    expect(plan.form.locator(".furnace-notes")).to_contain_text("was typed")
    expect(plan.box("maximum_temperature")).to_have_value("800 °C")


def test_a_plan_of_an_older_revision_says_what_changed_and_mixes_nothing(reader):
    before = furnace()
    opened(reader, revised(before, relief_pressure="30 mbar gauge"))
    check(reader)
    use_on_device(reader)
    plan = Reader(reader.page, "plan").open(PLAN)
    open_file(plan, plan_of(before), "plan")
    bar = plan.form.locator(".furnace-differs")
    expect(bar).to_contain_text(
        "The furnace record changed since this run was planned (revision 3 → 4): "
        "Relief opens at: 35 mbar gauge → 30 mbar gauge",
        timeout=READY,
    )
    expect(plan.box("relief_pressure")).to_have_value("35 mbar gauge")
    expect(plan.box("record_revision")).to_have_value("3")
    expect(plan.form.locator(".furnace-name")).to_have_text("HS-2, revision 3")

    bar.get_by_role("button", name="Take the values of HS-2, revision 4").click()
    expect(plan.box("relief_pressure")).to_have_value("30 mbar gauge", timeout=READY)
    expect(plan.box("record_revision")).to_have_value("4")
    expect(bar).to_have_count(0)
    expect(plan.result.locator(".run-card").first).to_contain_text("HS-2 rev 4", timeout=READY)


def test_a_furnace_opened_after_the_plan_is_asked_about_as_well(reader):
    before = furnace()
    plan = Reader(reader.page, "plan").open(PLAN)
    open_file(plan, plan_of(before), "plan")
    expect(plan.form.locator(".form-note")).to_contain_text("Opened from a file", timeout=READY)
    open_file(plan, file_of(revised(before, heater_power="9 kW")))

    expect(plan.form.locator(".furnace-differs")).to_contain_text("Heater power, highest: 6 kW → 9 kW", timeout=READY)
    expect(plan.box("heater_power")).to_have_value("6 kW")
    plan.form.get_by_role("button", name="Keep the plan's values").click()
    expect(plan.form.locator(".furnace-differs")).to_have_count(0)
    expect(plan.box("heater_power")).to_have_value("6 kW")


def test_the_fit_of_a_log_is_put_into_the_record(reader):
    opened(reader, furnace())
    check(reader)
    use_on_device(reader)
    follow = Reader(reader.page, "follow").open("/heat/follow/")
    follow.form.get_by_label("From a log").check()
    follow.press()
    follow.result.get_by_role("link", name="Put into the furnace file").click(timeout=READY)
    record = Reader(reader.page, "furnace")
    expect(record.box("hot_capacity")).not_to_have_value("", timeout=READY)
    expect(record.field("hot_capacity").locator(".mark")).to_contain_text("from HT-02")
    for name in ("radiative_area", "fit_error", "calibrated_on"):
        expect(record.box(name)).not_to_have_value("")
    expect(record.box("furnace_id")).to_have_value("HS-2")

    record.type("record_change", "Calibrated from a log").type("record_changed_by", "A. Example")
    check(record)
    _, file = take(record, "Save the furnace file")
    assert file["record"]["record_revision"] == "4" and file["record"]["hot_capacity"].endswith("J/K")
    assert "hot_capacity" not in file["history"][0]


def test_a_furnace_typed_into_a_plan_is_taken_to_its_record(reader):
    plan = Reader(reader.page, "plan").open(PLAN)
    plan.type("heater_power", "9 kW").box("heater_power").blur()
    plan.form.get_by_role("link", name="Make or revise the furnace file").click()
    record = Reader(reader.page, "furnace")

    expect(record.box("heater_power")).to_have_value("9 kW", timeout=READY)
    expect(record.form.locator(".furnace-notes")).to_contain_text("start an empty record")
    record.form.get_by_role("button", name="Start an empty record").click()
    expect(record.box("heater_power")).to_have_value("9 kW", timeout=READY)
    expect(record.box("relief_pressure")).to_have_value("")


GOOD = json.loads(files.furnace_file(EXAMPLE))
BAD = [
    ("not json", "damaged"),
    ("", "damaged"),
    ("[" * 200_000, "damaged"),
    (json.dumps({"format": "furnace-run", "version": 1, "inputs": {}}), "saved plan"),
    (json.dumps(GOOD | {"version": 9}), "newer page"),
    (json.dumps(GOOD | {"record": {"bore": 39}}), "damaged"),
    (json.dumps(GOOD | {"record": {"gas_limits": [[["x"]]]}}), "damaged"),
    (json.dumps(GOOD | {"record": {"x" * 100_000: {"__proto__": "y"}}}), "damaged"),
    (
        '{"format": "furnace-record", "version": 1, "record": {"__proto__": {"text": "x"}, "constructor": "y"}}',
        "single",
    ),
    (json.dumps(GOOD | {"padding": "x" * 5_000_001}), "larger than 5 MB"),
]


def test_a_file_that_cannot_be_used_says_why_in_one_sentence_and_changes_nothing(reader):
    reader.type("furnace_id", "HS-5").type("bore", "25 mm")
    for text, words in BAD:
        open_file(reader, {"name": "x.json", "mimeType": "application/json", "buffer": text.encode()})
        expect(reader.status).to_contain_text(words, timeout=READY)
        assert reader.status.inner_text().count(". ") == 0
        expect(reader.box("furnace_id")).to_have_value("HS-5")
        expect(reader.box("bore")).to_have_value("25 mm")
    assert reader.page.evaluate("localStorage.getItem('furnace')") is None


def test_hostile_text_of_a_file_stays_text(reader):
    bad = "<img src=x onerror=\"document.title='hurt'\">"
    base = furnace(furnace_id=bad)
    base["record"] |= {"free_volume": bad, "record_change": bad, "sensor": bad}
    base["history"] = [base["record"] | {"manual_title": bad, "record_change": bad}]
    open_file(reader, file_of(base))
    expect(reader.box("furnace_id")).to_have_value(bad, timeout=READY)
    expect(reader.form.locator(".furnace-name")).to_contain_text("<img")
    reader.form.locator("details.compare > summary").click()
    reader.form.locator("[data-compare=one]").select_option("base 0")
    reader.form.get_by_role("button", name="Compare", exact=True).click()
    expect(reader.form.locator(".compared")).to_contain_text("<img")
    reader.form.get_by_role("button", name="Check the record").click()
    expect(reader.field("free_volume").locator(".problem")).to_contain_text("Error:", timeout=READY)

    assert reader.page.locator("form img, .result img").count() == 0
    assert "hurt" not in reader.page.title()


@pytest.mark.parametrize("stored", ["7", '"x"', "[]", "{", '{"furnace_id": 7}', '{"__proto__": {"a": 1}}'])
def test_whatever_lies_in_the_storage_the_page_works(reader, stored):
    reader.page.evaluate("text => localStorage.setItem('furnace', text)", stored)
    reader.page.reload()
    reader.open(RECORD)

    expect(reader.form.get_by_role("button", name="Check the record")).to_be_visible()


def test_the_page_has_no_accessibility_fault_and_fits_a_phone(reader):
    opened(reader, revised(furnace(), relief_pressure="30 mbar gauge"))
    reader.form.locator("details.compare > summary").click()
    check(reader)
    reader.page.evaluate(runtime_files.AXE.read_text(encoding="utf-8"))
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    faults = reader.page.evaluate("tags => axe.run(document, {runOnly: tags})", tags)["violations"]
    reader.page.set_viewport_size({"width": 320, "height": 700})
    width = reader.page.evaluate("document.documentElement.scrollWidth")
    reader.page.set_viewport_size({"width": 1366, "height": 768})

    assert not [(f["id"], [n["target"] for n in f["nodes"]][:3]) for f in faults]
    assert width <= 320
