"""Each calculator page once: it loads, answers its example as the build did, follows a change, and refuses bad input."""

import re

import pytest
from playwright.sync_api import expect

import calcs
from tests.browser.reader import Reader

pytestmark = pytest.mark.browser
OF_THEIR_OWN = ("plan", "record")  # long forms with another button: test_plan.py and test_record.py
NAMES = [name for name in calcs.CALCULATORS if name not in OF_THEIR_OWN]


def address(name: str) -> str:
    return f"/{calcs.CALCULATORS[name]}/{name}/"


@pytest.fixture(scope="module", params=NAMES)
def reader(request, watched):
    return Reader(watched.page(), request.param).open(address(request.param))


def some_quantity(name: str):
    """Return a field of the first mode that takes a quantity; a calculator that asks only for tables has none."""
    form = calcs.calculator(name).FORM
    mode = form.modes[0] if form.modes else ""
    found = [f for f in form.fields if f.asked_in(mode) and f.menu_units and f.kind != "table" and f.in_example]
    if not found:
        pytest.skip("its first mode asks for no quantity")
    return found[0]


def tidy(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def test_the_browser_gives_the_answer_that_the_build_wrote(reader):
    built = tidy(reader.result.text_content())

    reader.press()
    expect(reader.status).not_to_be_empty()
    expect(reader.result.locator(".answer-sentence")).to_be_visible()

    assert tidy(reader.result.text_content()) == built


def test_an_unreadable_box_gets_a_message_keeps_its_text_and_leaves_no_number(reader):
    quantity = some_quantity(reader.name)

    reader.type(quantity.name, "two buckets").press()

    box = reader.box(quantity.name)
    expect(box).to_have_attribute("aria-invalid", "true")
    expect(box).to_have_value("two buckets")
    expect(reader.field(quantity.name).locator(".problem")).to_contain_text("Error:")
    expect(reader.form.locator(".problem-list")).to_be_focused()
    expect(reader.form.locator(".problem-list a").first).to_contain_text(quantity.label)
    expect(reader.result).to_be_empty()
    assert reader.page.title().startswith("Error: ")

    reader.form.get_by_role("button", name="Example", exact=True).click()
    reader.press()
    expect(reader.result.locator(".answer-sentence")).to_be_visible()


def test_a_change_puts_the_answer_out_of_date_at_once(reader):
    reader.press()
    expect(reader.result.locator(".answer-sentence")).to_be_visible()
    quantity = some_quantity(reader.name)

    reader.unfold(quantity.name).box(quantity.name).press_sequentially("1")

    section = reader.page.locator(f"#{reader.name}-result")
    expect(section.locator(".old-note")).to_be_visible()
    expect(section.locator(".take-away")).to_be_hidden()
    reader.form.get_by_role("button", name="Example", exact=True).click()
    reader.press()
    expect(section.locator(".old-note")).to_be_hidden()


def test_the_page_has_no_accessibility_fault(reader):
    from scripts import runtime_files

    reader.page.evaluate(runtime_files.AXE.read_text(encoding="utf-8"))
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    faults = reader.page.evaluate("tags => axe.run(document, {runOnly: tags})", tags)["violations"]

    assert not [(f["id"], [n["target"] for n in f["nodes"]][:3]) for f in faults]


def test_nothing_is_wider_than_a_small_phone(reader):
    reader.page.set_viewport_size({"width": 320, "height": 700})
    width = reader.page.evaluate("document.documentElement.scrollWidth")
    reader.page.set_viewport_size({"width": 1280, "height": 900})

    assert width <= 320
