"""Careless and hostile input on the page: the message beside the field, the text kept, no number, a button that mends it."""

import json
import re
from pathlib import Path
from urllib.parse import quote

import pytest
from playwright.sync_api import expect

import calcs
from tests.anything import HOSTILE
from tests.browser.reader import READY, Reader
from tests.conftest import watching

pytestmark = pytest.mark.browser
PURGE, PLAN = "/atmosphere/purge/", "/run/plan/"
NO_STORAGE = """for (const kind of ["localStorage", "sessionStorage"])
    Object.defineProperty(self, kind, { get() { throw new DOMException("refused", "SecurityError"); } });"""


@pytest.fixture(scope="module")
def visit(watched):
    """One page for the module: its links are followed, so that one interpreter serves all calculators."""
    page = watched.page()
    page.goto(PLAN)
    return page


@pytest.fixture(scope="module")
def place(request, visit):
    """A calculator, gone to by the link of the navigation; the tests of one calculator run together."""
    return at(visit, request.param)


@pytest.fixture
def reader(place):
    """The calculator with its example."""
    place.form.get_by_role("button", name="Example", exact=True).click()
    return place


def on(names):
    """Run a test on these calculators."""
    return pytest.mark.parametrize("place", [names] if isinstance(names, str) else names, indirect=True)


def at(page, name: str) -> Reader:
    found = Reader(page, name)
    if not found.form.count():
        page.locator(f"nav a[href*='/{name}/']").first.evaluate("link => link.click()")
    expect(found.form).to_have_attribute("data-state", "ready", timeout=READY)
    return found


def press(reader) -> None:
    reader.form.locator(".work-it-out").click()


def answered(reader) -> str:
    expect(reader.page.locator(f"#{reader.name}-result .old-note")).to_be_hidden()
    expect(reader.result.locator(".answer-sentence")).to_be_visible()
    return reader.result.locator(".answer-sentence").inner_text()


def expect_problem(reader, field: str, typed: str, words: str) -> None:
    """The message stands beside the field and in the summary; the text is kept; there is no result."""
    beside = reader.field(field).locator(".problem")
    expect(beside).to_contain_text(words)
    expect(beside).to_contain_text("Error:")
    expect(reader.form.locator(".problem-list")).to_contain_text(words)
    expect(reader.form.locator(".problem-list")).to_be_focused()
    expect(reader.box(field)).to_have_value(typed)
    expect(reader.box(field)).to_have_attribute("aria-invalid", "true")
    expect(reader.result).to_be_empty()
    expect(reader.page.locator(f"#{reader.name}-result .take-away")).to_be_hidden()
    assert reader.page.title().startswith("Error: ")


# ---------------------------------------------------------------- slips of typing: an offered text mends them

SLIPS = [
    ("plan", "ramp", "500 K/min", "Is 500 K/h", "500 K/h"),
    ("plan", "pumped_pressure", "0.1 mbar gauge", "counted from empty space", "0.1 mbar abs"),
    ("plan", "leak_rate", "0.001 mbar/min", "a rise of the pressure, not a leak", "0.0018 mbar L/s"),
    ("plan", "room_volume", "4x5x3", "length, width and height", "60 m3"),
    ("plan", "relief_pressure", "35 mbar abs", "is not above the room", "35 mbar gauge"),
    ("purge", "free_volume", "24000 L", "must be 0.1 L to 1000 L", "24000 cm3"),
    ("purge", "duration", "1,500 min", "could mean 1500 or 1.500", "1500 min"),
    ("cylinder", "cylinder_volume", "50 cm3", "You gave 50 cm³", "50 L"),
    ("soak", "thickness", "10 m", "You gave 10 m", "10 mm"),
    ("room-oxygen", "room_volume", "4 x 5 x 3 m", "length, width and height", "60 m3"),
]


@pytest.mark.parametrize("place, field, typed, words, offer", SLIPS, indirect=["place"])
def test_a_slip_is_told_and_mended_by_a_button(reader, field, typed, words, offer):
    reader.type(field, typed)
    press(reader)
    expect_problem(reader, field, typed, words)
    reader.form.locator(".problem-list a").first.click()
    expect(reader.box(field)).to_be_focused()

    reader.field(field).get_by_role("button", name=f"Use {offer}", exact=True).click()

    expect(reader.box(field)).to_have_value(offer)
    expect(reader.box(field)).to_be_focused()
    answered(reader)
    expect(reader.field(field).locator(".problem")).to_be_empty()
    assert not reader.page.title().startswith("Error: ")


@on("programme")
def test_a_slip_in_a_table_is_mended_in_its_cell(reader):
    rate = reader.form.locator("[data-column=rate]").first
    rate.fill("500 K/min")
    press(reader)
    expect(rate).to_have_attribute("aria-invalid", "true")
    expect(reader.result).to_be_empty()

    reader.field("segments").get_by_role("button", name="Use 500 K/h").click()

    expect(rate).to_have_value("500 K/h")
    answered(reader)


@on("plan")
def test_a_doubt_is_asked_beside_the_field_and_mended_by_a_button(reader):
    reader.type("soak_temperature", "1922 °C")
    press(reader)
    doubt = reader.field("soak_temperature").locator(".doubt")
    expect(doubt).to_contain_text("above the 1050 °C of this furnace. Is 1922 °F (1050 °C) meant?")
    expect(reader.box("soak_temperature")).to_have_value("1922 °C")
    expect(reader.result.locator(".run-card")).to_contain_text("DRAFT")

    doubt.get_by_role("button", name="Use 1922 °F").click()

    expect(doubt).to_be_empty()
    expect(reader.box("soak_temperature")).to_have_value("1922 °F")
    expect(reader.field("soak_temperature").locator(".read-as")).to_contain_text("1050 °C")


@on("plan")
def test_a_doubt_about_a_row_of_the_load_is_mended_in_its_cell(reader):
    mass = reader.form.locator("[data-column=mass]").first
    mass.fill("2000 kg")
    press(reader)
    reader.field("load").get_by_role("button", name="Use 2000 g").click()

    expect(mass).to_have_value("2000 g")
    expect(reader.field("load").locator(".doubt")).to_be_empty()


@on("plan")
def test_an_altitude_is_echoed_with_its_pressure(reader):
    reader.type("altitude", "1500 m").box("altitude").blur()

    expect(reader.field("altitude").locator(".read-as")).to_have_text(
        "Read as 1500 m; the air there has about 846 mbar"
    )


# ---------------------------------------------------------------- nonsense

NONSENSE = ("two buckets", "12..5 L", "5 bananas", "🪣", "   ")


@on(["plan", "purge", "cylinder", "soak", "room-oxygen"])
def test_nonsense_is_told_at_each_field_and_leaves_nothing(reader):
    form = calcs.calculator(reader.name).FORM
    mode = form.modes[0] if form.modes else ""
    fields = [f.name for f in form.fields if f.menu_units and f.required and f.in_example and f.asked_in(mode)]
    typed = dict(zip(fields, NONSENSE, strict=False))
    for field, text in typed.items():
        reader.type(field, text)
    press(reader)

    expect(reader.form.locator(".problem-list a")).to_have_count(len(typed))
    expect(reader.form.locator(".problem-list")).to_be_focused()
    expect(reader.result).to_be_empty()
    for field, text in typed.items():
        expect(reader.box(field)).to_have_value(text)
        expect(reader.field(field).locator(".problem")).to_contain_text("Error:")


@on("purge")
def test_huge_and_tiny_end_in_words(reader):
    for field, text in [("free_volume", "1e999 L"), ("free_volume", "1e300 L"), ("target_oxygen", "0 ppm"),
                        ("chamber_temperature", "-40 K"), ("chamber_pressure", "1e300 Pa"),
                        ("chamber_pressure", "1e-30 mbar"), ("target_oxygen", "1e-400 ppm")]:  # fmt: skip
        reader.form.get_by_role("button", name="Example", exact=True).click()
        before = int(reader.form.get_attribute("data-answers"))
        reader.type(field, text)
        press(reader)
        expect(reader.form).not_to_have_attribute("data-answers", str(before))
        expect(reader.result.locator("table")).to_have_count(0)
        said = reader.form.locator(".problem-list").inner_text() + reader.result.inner_text()
        assert said.strip() and not re.search(r"\b(inf|nan|Traceback)\b", said), (field, text, said)


# ---------------------------------------------------------------- mixed units, wrong gas


@on("purge")
def test_mixed_units_are_read_back_and_give_the_same_answer(reader):
    typed = {"free_volume": "0.02 m³", "flow": "4 cfh", "duration": "1:30", "chamber_pressure": "3 inH2O gauge",
             "chamber_temperature": "68 F"}  # fmt: skip
    for field, text in typed.items():
        reader.type(field, text)
    press(reader)
    mixed = answered(reader)
    for field, words in [("free_volume", "0.02 m³"), ("flow", "4 ft³/h"), ("duration", "1 h 30 min"),
                         ("chamber_pressure", "3 inH₂O above the room"), ("chamber_temperature", "68 °F = 20 °C")]:  # fmt: skip
        expect(reader.field(field).locator(".read-as")).to_contain_text(words)

    before = reader.form.get_attribute("data-answers")
    for field, text in {"free_volume": "20 L", "flow": "1.8877900 L/min", "duration": "90 min",
                        "chamber_pressure": "100247.27 Pa", "chamber_temperature": "293.15 K"}.items():  # fmt: skip
        reader.type(field, text)
    press(reader)
    expect(reader.form).not_to_have_attribute("data-answers", before)
    expect(reader.field("chamber_temperature").locator(".read-as")).to_contain_text("293.15 K")
    assert answered(reader) == mixed


@on("purge")
def test_a_pressure_in_a_flow_field_is_refused_by_name(reader):
    reader.type("flow", "3 inH2O")
    press(reader)

    expect_problem(reader, "flow", "3 inH2O", "is a unit of pressure; this field takes a standard flow")


@pytest.mark.parametrize(
    "gas, words", [("oxygen", "oxygen-rich gas is a fire hazard"), ("hydrogen", "No answer: hydrogen")]
)
@on(["plan", "purge"])
def test_a_wrong_gas_is_refused_with_its_reason(reader, gas, words):
    reader.choose("gas", gas)
    press(reader)

    expect(reader.result.locator(".refusal")).to_contain_text(words)
    expect(reader.result.locator("table")).to_have_count(0)


# ---------------------------------------------------------------- links that were made to do harm


def link(inputs: dict) -> str:
    return "#in=" + quote(json.dumps({"schema": 1, "revision": "<b>1</b>", "inputs": inputs}))


def test_a_hostile_link_to_the_plan_is_text_or_left_out(watched):
    page, texts = watched.page(), [text for text in HOSTILE if "<" in text or "import" in text or "script" in text]
    page.on("dialog", lambda dialog: pytest.fail("something of the link was run"))
    fields = ["run_name", "planned_by", "free_volume", "soak_time"]
    inputs = dict(zip(fields, texts, strict=False)) | {"__proto__": "1", "<img src=x>": "2", "flow": "x" * 300}
    page.goto(PLAN + link(inputs))
    reader = Reader(page, "plan")

    expect(reader.form.locator(".problem-list")).to_be_visible(timeout=READY)
    expect(reader.form.locator(".form-note")).to_contain_text("<img src=x>")
    for field, text in zip(fields, texts, strict=False):
        expect(reader.box(field)).to_have_value(text)
    assert page.locator("form img, form script, form b").count() == 0
    reader.form.get_by_role("button", name="Example", exact=True).click()
    press(reader)
    answered(reader)  # the page still works
    page.close()


def test_a_link_of_twenty_thousand_characters_is_refused(watched):
    page = watched.page()
    page.goto(PURGE + "#in=" + "x" * 20_000)

    expect(page.locator(".form-note")).to_contain_text("could not be used: longer than 8000 characters")
    expect(page.locator("[name=free_volume]")).to_have_value("24")
    page.close()


# ---------------------------------------------------------------- a browser that keeps nothing


def test_without_storage_one_line_says_so_and_all_works(browser, home):
    with watching(browser, home) as watch:
        watch.context.add_init_script(NO_STORAGE)
        reader = Reader(watch.page(), "plan").open(PLAN)
        expect(reader.form.locator(".no-store")).to_have_count(1)
        expect(reader.form.locator(".no-store")).to_contain_text("keeps nothing between pages")

        plan = {"format": "furnace-run", "version": 1, "inputs": calcs.example("plan")}
        code = opened(reader, json.dumps(plan))
        with reader.page.expect_download() as waiting:
            reader.page.locator("#plan-result").get_by_role("button", name="Save the plan").click()
        saved = Path(waiting.value.path()).read_text(encoding="utf-8")
        reader.form.get_by_role("button", name="Clear the form").click()

        assert opened(reader, saved) == code
        search = reader.page.locator("[data-md-component=search-query]")
        search.click()
        search.press_sequentially("ATM-02", delay=20)
        expect(reader.page.locator(".md-search-result__item").first).to_be_visible()
        reader.page.keyboard.press("Escape")
        figure = reader.page.locator("#plan-result [data-use]").first
        name, value = figure.get_attribute("data-use"), figure.get_attribute("data-value")
        figure.click()
        expect(reader.page.locator(f"form [name='{name}']")).to_have_value(value)


def opened(reader, text: str) -> str:
    """Open a plan's file and return the code on its card."""
    before = reader.form.get_attribute("data-answers")
    reader.form.locator(".plan-file").set_input_files(
        {"name": "run.json", "mimeType": "application/json", "buffer": text.encode()}
    )
    expect(reader.form).not_to_have_attribute("data-answers", before, timeout=READY)
    expect(reader.page.locator("#plan-result .take-away")).to_be_visible(timeout=READY)
    return reader.result.locator(".card-head span").nth(2).inner_text()


# ---------------------------------------------------------------- 1280 px at 400 %


def test_at_four_hundred_per_cent_nothing_scrolls_two_ways(visit):
    visit.set_viewport_size({"width": 320, "height": 256})
    try:
        visit.locator("a[href$='../..'], a.md-logo").first.evaluate("link => link.click()")
        expect(visit.locator("form.calculator")).to_have_count(0)
        assert width(visit) <= 320
        reader = at(visit, "purge")
        press(reader)
        answered(reader)
        assert width(visit) <= 320
        assert not cut(visit), cut(visit)
        reader.form.locator(".work-it-out").focus()
        visit.keyboard.press("Tab")
        assert visit.evaluate("getComputedStyle(document.activeElement).outlineStyle") != "none"
    finally:
        visit.set_viewport_size({"width": 1280, "height": 900})


def width(page) -> int:
    return page.evaluate("document.documentElement.scrollWidth")


def cut(page) -> list[str]:
    """What lies beyond the right edge and not inside a part that scrolls by itself."""
    return page.evaluate("""[...document.querySelectorAll("article *")].filter(e => e.getClientRects().length
        && e.getBoundingClientRect().right > 321 && !e.closest(".wide, .md-typeset__scrollwrap, svg, math, pre, figure"))
        .map(e => e.tagName + "." + e.className).slice(0, 5)""")
