"""The main job in the browser: from the example to a card on two sides, a draft where something cannot be said."""

import json
import re
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import expect

import calcs
from calcs.run import files
from scripts import runtime_files
from tests.browser.reader import READY, Reader

pytestmark = pytest.mark.browser
PLAN = "/run/plan/"


@pytest.fixture(scope="module")
def reader(watched):
    page = watched.page()
    page.add_init_script("window.print = () => {}")
    return Reader(page, "plan").open(PLAN)


def answers(reader) -> int:
    return int(reader.form.get_attribute("data-answers") or 0)


def check(reader) -> None:
    """Press the button and wait for the answer to that press, not for one that stands there already."""
    before = answers(reader)
    reader.form.get_by_role("button", name="Check the plan").click()
    # Leaving a box asks too; the answer to the press is the last one.
    expect(reader.form).not_to_have_attribute("data-answers", str(before), timeout=READY)
    expect(reader.page.locator("#plan-result .take-away")).to_be_visible(timeout=READY)


def own_values(reader) -> None:
    """Take over the example as one's own: every value typed again, as a person with this very furnace would."""
    plan = {"format": "furnace-run", "version": 1, "inputs": calcs.example("plan")}
    chooser, before = reader.form.locator(".plan-file"), answers(reader)
    chooser.set_input_files({"name": "run.json", "mimeType": "application/json", "buffer": json.dumps(plan).encode()})
    expect(reader.form).not_to_have_attribute("data-answers", str(before), timeout=READY)
    expect(reader.form.locator(".form-note")).to_contain_text("Opened from a file")
    expect(reader.page.locator("#plan-result .take-away")).to_be_visible(timeout=READY)


def test_the_browser_gives_the_answer_that_the_build_wrote(reader):
    built = re.sub(r"\s+", " ", reader.result.text_content())
    check(reader)

    assert re.sub(r"\s+", " ", reader.result.text_content()) == built


def test_with_example_values_the_card_is_a_draft(reader):
    check(reader)

    expect(reader.result.locator(".run-card")).to_contain_text("DRAFT — NOT FOR USE")
    expect(reader.result.locator(".run-card")).to_contain_text("still example values")


def test_with_own_values_it_is_for_release_and_without_the_rooms_volume_a_draft(reader):
    own_values(reader)
    expect(reader.result.locator(".card-status").first).to_have_text("FOR RELEASE")

    reader.type("room_volume", "")
    check(reader)
    expect(reader.result.locator(".card-status").first).to_have_text("DRAFT — NOT FOR USE")
    expect(reader.result).to_contain_text("Cannot say")
    expect(reader.form.locator(".part-state").nth(4)).to_contain_text("Room volume")


def test_another_load_gives_another_code(reader):
    own_values(reader)
    before = reader.result.locator(".card-head span").nth(2).inner_text()
    reader.form.locator("[data-column=mass]").first.fill("3.0 kg")
    check(reader)

    assert reader.result.locator(".card-head span").nth(2).inner_text() != before
    expect(reader.result.locator(".run-card")).to_contain_text("3 kg")


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_card_prints_on_two_sides(reader, paper, tmp_path):
    own_values(reader)
    reader.page.locator("#plan-result").get_by_role("button", name="Print the card").click()
    file = tmp_path / "card.pdf"
    reader.page.pdf(path=file, format=paper)

    assert len(re.findall(rb"/Type\s*/Page[^s]", Path(file).read_bytes())) == 2


def test_nothing_of_the_card_is_cut(reader):
    own_values(reader)
    overflow = reader.result.locator(".sheet").evaluate_all(
        "sheets => sheets.map(s => [...s.querySelectorAll('td, p, li')].filter(e => e.scrollWidth > e.clientWidth + 2 && e.clientWidth).length)"
    )

    assert overflow == [0, 0]


def test_a_bad_value_leaves_no_card(reader):
    own_values(reader)
    reader.type("cylinder_pressure", "120 bar")
    reader.form.get_by_role("button", name="Check the plan").click()

    expect(reader.field("cylinder_pressure").locator(".problem")).to_contain_text("Error:")
    expect(reader.result.locator(".run-card")).to_have_count(0)
    expect(reader.form.locator(".part-state").nth(3)).to_contain_text("still needed")


def test_a_saved_plan_opens_again_with_the_same_code(reader):
    own_values(reader)
    code = reader.result.locator(".card-head span").nth(2).inner_text()
    with reader.page.expect_download() as waiting:
        reader.page.locator("#plan-result").get_by_role("button", name="Save the plan").click()
    saved = Path(waiting.value.path()).read_text(encoding="utf-8")
    assert code.split()[-1] in saved

    reader.form.get_by_role("button", name="Clear the form").click()
    reader.form.locator(".plan-file").set_input_files(
        {"name": "x.json", "mimeType": "application/json", "buffer": saved.encode()}
    )
    expect(reader.result.locator(".card-head span").nth(2)).to_have_text(code, timeout=READY)


@pytest.mark.parametrize(
    "text, words",
    [
        ("not json", "damaged"),
        ('{"format": "something"}', "not a file of this site"),
        ('{"format": "furnace-run", "version": 99, "inputs": {}}', "newer page"),
        ('{"format": "furnace-record", "version": 1, "record": {}}', "furnace record"),
    ],
)
def test_a_file_that_cannot_be_used_says_why_and_changes_nothing(reader, text, words):
    own_values(reader)
    before = reader.box("run_name").input_value()
    reader.form.locator(".plan-file").set_input_files(
        {"name": "x.json", "mimeType": "application/json", "buffer": text.encode()}
    )

    expect(reader.status).to_contain_text(words)
    expect(reader.box("run_name")).to_have_value(before)


def test_a_furnace_file_fills_every_page(reader, watched):
    record = json.loads(files.furnace_file(calcs.example("furnace")))
    record["record"] |= {"furnace_id": "HS-2", "free_volume": "30 L", "record_revision": "1"}
    other = Reader(watched.page(), "purge").open("/atmosphere/purge/")
    other.form.locator(".furnace-file").set_input_files(
        {"name": "f.json", "mimeType": "application/json", "buffer": json.dumps(record).encode()}
    )

    expect(other.form.locator(".furnace-name")).to_have_text("HS-2, revision 1", timeout=READY)
    expect(other.box("free_volume")).to_have_value("30 L")
    other.form.get_by_role("button", name="Back to the example furnace").click()
    expect(other.form.locator(".furnace-name")).to_have_text("HS-1, revision 3")
    other.page.close()


def test_the_plan_has_no_accessibility_fault(reader):
    reader.page.evaluate(runtime_files.AXE.read_text(encoding="utf-8"))
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    faults = reader.page.evaluate("tags => axe.run(document, {runOnly: tags})", tags)["violations"]

    assert not [(f["id"], [n["target"] for n in f["nodes"]][:3]) for f in faults]


def test_the_terminal_works_out_the_same_plan(tmp_path):
    import sys

    file = tmp_path / "run.json"
    file.write_text(
        json.dumps({"format": "furnace-run", "version": 1, "inputs": calcs.example("plan")}), encoding="utf-8"
    )
    done = subprocess.run([sys.executable, "-m", "calcs", "plan", "--file", str(file)], capture_output=True, text=True)

    assert done.returncode == 0
    assert calcs.work_out("plan", calcs.example("plan")).figures["plan_code"].value in done.stdout


def test_a_figure_leads_to_its_working_and_nothing_typed_is_lost(reader):
    own_values(reader)
    reader.type("heater_power", "1.7 kW")
    check(reader)
    reader.result.get_by_role("link", name="Energy", exact=True).click()

    expect(reader.page.locator(".work:has(#plan-working-energy)")).to_be_in_viewport()
    assert reader.page.url.endswith("#plan-working-energy")
    expect(reader.form.locator("[name=heater_power]")).to_have_value("1.7 kW")
    expect(reader.result).to_contain_text("cannot follow above")


def test_a_log_of_the_furnace_rules_and_four_of_its_values_do_not(reader):
    own_values(reader)
    values = {"hot_capacity": "6.5 kJ/K", "insulation_capacity": "9.3 kJ/K", "inner_conductance": "3.5 W/K",
              "outer_conductance": "1.9 W/K", "radiative_area": "0.006 m2"}  # fmt: skip
    for name, text in list(values.items())[:4]:
        reader.type(name, text)
    reader.form.get_by_role("button", name="Check the plan").click()
    expect(reader.form).to_contain_text("Type all five values of the log", timeout=READY)

    reader.type("radiative_area", values["radiative_area"])
    check(reader)
    expect(reader.result).to_contain_text("come from a log of the furnace (HT-02)")
