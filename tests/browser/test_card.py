"""The run card on paper, A4 and US Letter: how many sides it takes, that nothing of it is cut, that grey loses nothing.

Cards of many plans are put into a bare page with the site's print style, where the widths and heights are those of
paper; one goes the whole way through the plan's page.
"""

import json
import re
import subprocess

import pytest
from playwright.sync_api import expect

import calcs
from calcs.page import blank_card, card, card_code
from calcs.run import link
from scripts import runtime_files
from tests.browser.reader import READY, Reader
from tests.conftest import ROOT
from tests.run.runs import EXAMPLE, FURNACES, segments
from tests.run.test_link import OWN

pytestmark = pytest.mark.browser
SHEET = {"A4": 297 - 19, "Letter": 279.4 - 19}  # mm of height between the margins of the print style
TALLEST = 259.0  # what each side keeps to, so that Letter holds it
NAME = "run-2031-03-04-7QK2M4HX3.json"
MATERIAL = "Material with a long name, second delivery, from the drawer"
LOAD = EXAMPLE["load"][0]
PLANS = {
    "example": EXAMPLE,
    "own": OWN,
    "no pump": EXAMPLE | {"pumped_pressure": "", "effective_speed": "", "cycles": ""},
    "eighteen steps": EXAMPLE | segments("ramp to 300 °C at 5 K/min · soak 30 min · ramp to 600 °C at 2 K/min · soak 1 h · "
                                         "soak 30 min · cool to 60 °C"),
    "long names": EXAMPLE | {"run_name": "Wide Mounting " * 5 + "0123456789", "furnace_id": "F" * 40},
    "wide letters": EXAMPLE | {"run_name": "W" * 80},
    "twenty rows": EXAMPLE | {"load": [LOAD | {"material": f"copper {n}", "mass": "0.1 kg"} for n in range(20)]},
    "twenty long rows": EXAMPLE | {"load": [LOAD | {"material": MATERIAL, "touches": MATERIAL, "grade": "g" * 40}] * 20},
    "many cautions": EXAMPLE | {"oxygen_monitor": "no", "attended": "no", "exhaust": "room", "analyser": "no",
                                "air_changes": "", "limiter_tested": "", "leak_rate": "", "relief_capacity": "",
                                "gas_oxygen": "", "leak_tested": ""},
    "many steps": EXAMPLE | {"cycles": "5"} | segments(" · ".join(f"ramp to {100 + 25 * n} °C at 5 K/min · soak 30 min"
                                                                  for n in range(12)) + " · cool to 60 °C"),
    "a stop": EXAMPLE | {"maximum_temperature": "500 °C"},
    **{f"furnace {name}": EXAMPLE | furnace for name, furnace in FURNACES.items()},
}  # fmt: skip
MORE_SIDES = {"twenty long rows": 3, "many steps": 4}


def made(name: str, with_code: bool) -> str:
    if name == "blank":
        return blank_card.html("Site revision 0.1.0+00000000")
    answer = calcs.work_out("plan", PLANS[name])
    plan_code = answer.figures["plan_code"].value
    address = "https://furnace.example/notes/run/plan/" if with_code else ""
    return card.card_html(
        answer, 0, "site revision 0.1.0+00000000", card_code.link_of(address, PLANS[name], plan_code), NAME
    )


@pytest.fixture(scope="module")
def paper(browser):
    page = browser.new_page()
    page.emulate_media(media="print")
    yield page
    page.close()


def laid(paper, html: str):
    style = (ROOT / "docs/assets/print.css").read_text(encoding="utf-8")
    paper.set_content(
        f'<!doctype html><meta charset="utf-8"><style>{style} body {{ margin: 0 }}</style><body class="print-card">'
        f'<div id="print-sheet">{html}</div>'
    )
    paper.evaluate("document.querySelectorAll('.printed-on').forEach(p => p.textContent = '2031-03-04 08:00')")
    return paper


def text_of(file) -> str:
    done = subprocess.run(["pdftotext", "-raw", str(file), "-"], capture_output=True, text=True, check=True)
    return letters(done.stdout)


def letters(words: str) -> str:
    """Return the letters and digits alone, in order of their code: lines and columns come out in another order."""
    return "".join(sorted(c for c in words if c.isalnum()))


def pages_of(file) -> int:
    done = subprocess.run(["pdfinfo", str(file)], capture_output=True, text=True, check=True)
    return int(re.search(r"Pages:\s+(\d+)", done.stdout)[1])


@pytest.mark.parametrize("with_code", [True, False], ids=["code", "file name"])
@pytest.mark.parametrize("name", PLANS)
def test_each_side_keeps_to_its_sheet(paper, name, with_code):
    html = made(name, with_code)
    laid(paper, html)
    heights = paper.evaluate(
        "[...document.querySelectorAll('.sheet')].map(s => { s.style.minHeight = 0; return s.getBoundingClientRect().height * 25.4 / 96 })"
    )
    wide = paper.evaluate(
        "[...document.querySelectorAll('.sheet *:not(svg *)')].filter(e => e.scrollWidth > e.clientWidth + 2 && e.clientWidth"
        " || e.getBoundingClientRect().right > 186 * 96 / 25.4).map(e => e.className + e.textContent.slice(0, 40))"
    )

    assert len(heights) == MORE_SIDES.get(name, 2)
    assert max(heights) <= TALLEST
    assert wide == []


@pytest.mark.parametrize("format", SHEET)
@pytest.mark.parametrize("name", ["example", "own", "many cautions", "twenty long rows", "blank"])
def test_paper_has_as_many_sides_and_every_letter(paper, name, format, tmp_path):
    laid(paper, made(name, True))
    file = tmp_path / "card.pdf"
    paper.pdf(path=file, format=format)
    shown = paper.evaluate("document.querySelector('.run-card').innerText")

    assert pages_of(file) == MORE_SIDES.get(name, 2)
    assert text_of(file) == letters(shown)


def test_boxes_are_wide_and_high_enough_for_a_hand_in_a_glove(paper):
    laid(paper, made("example", True))
    sizes = paper.evaluate(
        "what => what.map(w => [...document.querySelectorAll(w)].map(e => { const r = e.getBoundingClientRect();"
        " return [r.width * 25.4 / 96, r.height * 25.4 / 96] }))",
        [".card-readings td", ".card-steps td.ink", ".card-deviations .ruled"],
    )
    readings = [size for at, size in enumerate(sizes[0]) if at % 8 not in (0, 7)]  # time and initials are no readings

    assert len(readings) >= 3 * 6 and min(width for width, _ in readings + sizes[1]) >= 18
    assert min(height for group in sizes for _, height in group) >= 7.99


def test_no_letter_is_smaller_than_seven_points(paper):
    laid(paper, made("many cautions", True))
    sizes = paper.evaluate(
        "[...document.querySelectorAll('.run-card *:not(svg *)')].map(e => parseFloat(getComputedStyle(e).fontSize) * .75)"
    )

    assert min(sizes) >= 7.19


def test_grey_paper_loses_nothing(paper, tmp_path):
    """Nothing on the card has a colour: turned to grey, the drawn page is the same."""
    laid(paper, made("many cautions", True))
    file = tmp_path / "card.pdf"
    paper.pdf(path=file, format="A4", print_background=True)
    subprocess.run(["pdftoppm", "-r", "60", str(file), str(tmp_path / "colour")], check=True)

    for image in sorted(tmp_path.glob("colour*.ppm")):
        head, pixels = re.match(rb"P6\s(\d+ \d+)\s255\s", image.read_bytes()), image.read_bytes()
        pixels = pixels[head.end() :]
        assert pixels[0::3] == pixels[1::3] == pixels[2::3]
        assert min(pixels) < 40  # there is ink


def test_the_code_is_printed_at_half_a_millimetre_a_module(paper):
    laid(paper, made("own", True))
    side = paper.evaluate("document.querySelector('.card-qr').getBoundingClientRect().width * 25.4 / 96")
    modules = paper.evaluate("document.querySelector('.card-qr').viewBox.baseVal.width")

    assert side == pytest.approx(modules * 0.5, rel=0.01)


# ---------------------------------------------------------------- through the pages


@pytest.fixture(scope="module")
def reader(watched):
    page = watched.page()
    page.add_init_script("window.print = () => {}")
    return Reader(page, "plan").open("/run/plan/")


def test_the_browsers_python_makes_the_same_card_with_the_code(reader):
    request = {"do": "work_out", "calculator": "plan", "inputs": OWN, "touched": list(OWN), "site": "s",
               "address": "https://furnace.example/run/plan/"}  # fmt: skip
    reply = reader.page.evaluate("async request => (await calculatorAsk(request))", request)
    from calcs.page import respond

    assert "card-qr" in reply["html"]
    assert reply["html"] == respond(request)["html"]
    assert reply["card_says"] == card_code.SAID


def test_a_telephone_opens_the_link_and_gets_the_plan(watched):
    code = calcs.work_out("plan", OWN).figures["plan_code"].value
    other = Reader(watched.page(), "plan").open("/run/plan/#" + link.compact(OWN, code))

    expect(other.form.locator(".form-note")).to_contain_text("Filled from the code on a card", timeout=READY)
    expect(other.box("run_name")).to_have_value(OWN["run_name"])
    expect(other.result.locator(".card-head").first).to_contain_text(code, timeout=READY)
    expect(other.form.locator("[data-column=material]").nth(1)).to_have_value("molybdenum")
    other.page.close()


def test_a_hostile_or_damaged_link_fills_nothing(watched):
    hostile = "<img src=x onerror=document.title='owned'>"
    other = Reader(watched.page(), "plan").open("/run/plan/#" + link.compact(OWN | {"run_name": hostile}, ""))
    expect(other.box("run_name")).to_have_value(hostile, timeout=READY)
    expect(other.result.locator(".card-head").first).to_contain_text("<img", timeout=READY)
    assert "owned" not in other.page.title()
    other.page.close()

    third = Reader(watched.page(), "plan").open("/run/plan/#p=1.AAAA")
    expect(third.form.locator(".form-note")).to_contain_text("damaged", timeout=READY)
    expect(third.box("run_name")).to_have_value(EXAMPLE["run_name"])
    third.page.close()


@pytest.mark.parametrize("format", SHEET)
def test_the_blank_card_prints_alone_from_its_page(watched, format, tmp_path):
    page = watched.page()
    page.goto("/run/blank-card/")
    file = tmp_path / "blank.pdf"
    page.pdf(path=file, format=format, prefer_css_page_size=False)
    text = subprocess.run(["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True).stdout
    page.close()

    assert pages_of(file) == 2
    assert text.count("UNCHECKED — NO PLAN BEHIND IT") == 2
    assert "What do I write on" not in text and "Content check code" not in text


def test_the_blank_card_needs_no_script(browser, home):
    context = browser.new_context(java_script_enabled=False, base_url=home)
    page = context.new_page()
    page.goto("/run/blank-card/")

    expect(page.locator(".blank-place .sheet")).to_have_count(2)
    context.close()


@pytest.mark.parametrize("address", ["/run/card/", "/run/blank-card/"])
@pytest.mark.parametrize("width", [390, 1366])
def test_the_pages_about_the_card_have_no_accessibility_fault(watched, address, width):
    page = watched.page()
    page.set_viewport_size({"width": width, "height": 844})
    page.goto(address)
    page.evaluate(runtime_files.AXE.read_text(encoding="utf-8"))
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    faults = page.evaluate("tags => axe.run(document, {runOnly: tags})", tags)["violations"]
    page.close()

    assert not [(f["id"], [n["target"] for n in f["nodes"]][:3]) for f in faults]


def test_the_page_about_the_card_shows_the_example_as_a_draft(watched):
    page = watched.page()
    page.goto("/run/card/")

    expect(page.locator(".card-shown .card-status").first).to_have_text("DRAFT — NOT FOR USE")
    expect(page.locator(".card-shown .card-head").first).to_contain_text(EXAMPLE["run_name"])
    assert json.dumps(page.locator(".card-shown .sheet").count()) == "2"
    page.close()
