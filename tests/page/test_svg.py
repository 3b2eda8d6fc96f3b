"""Pictures: what they refuse, how they are built, and that what they show stands where its value says.

Expected places come from the axes' own ticks (a mark at a tick's value lies on its line). Contrast comes
from the formula of WCAG 2.2 (relative luminance, criteria 1.4.3 and 1.4.11; known, source not looked up).
"""

import math
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from itertools import combinations, pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs.page import axes
from calcs.page.svg import CARD, picture_html, svg
from calcs.picture import (
    Arrow,
    Axis,
    Band,
    Bar,
    Bars,
    Beside,
    Block,
    Circle,
    Curve,
    Drawing,
    Landmark,
    Lane,
    Limit,
    Line,
    Mark,
    Plot,
    Poly,
    Rect,
    Row,
    Scale,
    Strip,
    Table,
    Text,
)

ROOT = Path(__file__).parents[2]
TABLE = Table("Pressure by time", ("Time, min", "Pressure, mbar"), ((0, 1013.25), (10, 0.012), (60, "below 0.01")))
HEAD = {"sentence": "Under 1 mbar the walls set the time", "description": "Pressure from 1013 to 0.01 mbar."}
TIME = Axis("Time", "min")
PRESSURE = Axis("Pressure", "mbar", log=True)

PUMPING = Plot(
    **HEAD,
    x=TIME,
    y=PRESSURE,
    curves=[
        Curve("clean walls", [(0, 1000), (10, 1), (60, 0.01)]),
        Curve("dirty walls", [(0, 1000), (60, 0.5)]),
    ],
    bands=[Band("between them", [(0, 900), (60, 0.01)], [(0, 1100), (60, 0.5)])],
    limits=[Limit("wanted: 0.1 mbar", 0.1), Limit("knee", 12, axis="x")],
    marks=[Mark("1 mbar", 10, 1), Mark("", 30, 0.2, shape="ring"), Mark("", 40, 0.2, shape="cross")],
    table=TABLE,
)
CYCLES = Plot(
    **HEAD,
    x=Axis("Cycles"),
    y=Axis("Oxygen", "ppm", log=True),
    curves=[Curve("by cycles", [(0, 209500), (1, 2095), (2, 21), (3, 2)], step=True)],
    table=TABLE,
)
SOURCES = Bars(
    **HEAD,
    unit="ppm",
    bars=[
        Bar("Gas", 2, 1, 3),
        Bar("Leak", 4, note="at 10 mbar"),
        Bar("Walls, after the dry-out at 150 °C", 1),
    ],
    limit=Limit("limit for this load: 10 ppm", 10),
    stacked=True,
    table=TABLE,
)
SHARES = Bars(**HEAD, unit="%", bars=[Bar("Hose", 80, 70, 85), Bar("Valve", 20)], table=TABLE)
RATES = Bars(**HEAD, unit="mbar·L/s", bars=[Bar("Steel", 1e-6, 1e-7, 1e-5), Bar("Fibre", 3e-3)], log=True, table=TABLE)
LADDER = Scale(
    **HEAD,
    axis=Axis("Absolute pressure", "mbar"),
    points=[
        Landmark("room", 835),
        Landmark("hold", 850),
        Landmark("relief valve opens", 955, shown="955 mbar"),
    ],
    yours=[Landmark("highest in this run", 861)],
    beside=Beside("Above the room", "mbar", [(835, 0), (885, 50), (935, 100)]),
    table=TABLE,
)
PROGRAMME = Strip(
    **HEAD,
    time=Axis("Time", "h"),
    lanes=[
        Lane(
            Axis("Temperature", "°C"),
            curves=[Curve("set", [(0, 20), (5, 1000), (7, 1000), (16, 60)])],
            limits=[Limit("highest for this furnace: 1100 °C", 1100), Limit("door may open", 15, axis="x")],
        ),
        Lane(PRESSURE, curves=[Curve("expected", [(0, 1013), (0.5, 0.1), (1, 1030), (16, 1030)])], share=0.5),
    ],
    rows=[Row("Gas", [Block("vacuum", 0, 1, short="v"), Block("argon 5 L/min", 1, 16, filled=True)])],
    stages=[
        Block("Pump", 0, 0.5, "1"),
        Block("Fill", 0.5, 1, "2"),
        Block("Heat", 1, 7, "3"),
        Block("Cool", 7, 16, "4"),
    ],
    faults=[Block("gas stops", 6, 8)],
    table=TABLE,
)
CHAMBER = Drawing(
    **HEAD,
    view_box=(0, 0, 440, 120),
    shapes=[
        Rect(100, 20, 200, 80),
        Rect(140, 50, 40, 30, "shaded"),
        Circle(200, 15, 10, "ground"),
        Poly([(320, 40), (320, 60), (340, 50)], "filled"),
        Line(300, 50, 320, 50, "dashed"),
        Arrow(10, 50, 100, 50, "thick"),
        Rect(100, 100, 200, 10, "hatched"),
        Text(200, 70, "chamber", "middle", "strong"),
    ],
    table=TABLE,
)
SAMPLES = {
    "pumping": PUMPING,
    "cycles": CYCLES,
    "sources": SOURCES,
    "shares": SHARES,
    "rates": RATES,
    "ladder": LADDER,
    "programme": PROGRAMME,
    "chamber": CHAMBER,
}
every_sample = pytest.mark.parametrize("name", SAMPLES)


def plot(**changes):
    """A small plot with some of its parts exchanged."""
    parts = {"x": TIME, "y": Axis("Temperature", "°C"), "curves": [Curve("set", [(0, 0), (60, 600)])]}
    return Plot(**HEAD, **{"table": TABLE, **parts, **changes})


def texts(root):
    return [element for element in root.iter("text")]


def box_of(element, font):
    """Left, top, right, bottom of a line of lettering, by the widths that the drawing reckons with."""
    size = float(element.get("font-size", font))
    width = axes.text_width(element.text, size, element.get("font-weight") == "bold")
    left = float(element.get("x")) - width * {"start": 0, "middle": 0.5, "end": 1}[element.get("text-anchor", "start")]
    base = float(element.get("y"))
    return left, base - 0.75 * size, left + width, base + 0.22 * size


def outside(drawing):
    """Lettering that leaves the view box by more than a rounding."""
    root = ET.fromstring(drawing)
    left, top, width, height = map(float, root.get("viewBox").split())
    boxes = {element.text: box_of(element, float(root.get("font-size"))) for element in texts(root)}
    return {
        text: box
        for text, box in boxes.items()
        if box[0] < left - 0.5 or box[1] < top - 0.5 or box[2] > left + width + 0.5 or box[3] > top + height + 0.5
    }


# How a figure is built


@every_sample
def test_figure_is_named_described_and_followed_by_its_table(name):
    figure = ET.fromstring(picture_html(SAMPLES[name], name))
    assert [child.tag for child in figure] == ["figcaption", "svg", "details"]
    assert figure.find("figcaption").text == HEAD["sentence"]
    drawing = figure.find("svg")
    by_id = {element.get("id"): element for element in figure.iter() if element.get("id")}
    assert drawing.get("role") == "img"
    assert by_id[drawing.get("aria-labelledby")].text == HEAD["sentence"]
    assert by_id[drawing.get("aria-describedby")].text == HEAD["description"]
    table = figure.find("details").find(".//table")
    assert table.find("caption").text == "Pressure by time"
    assert [head.get("scope") for head in table.iter("th")] == ["col", "col", "row", "row", "row"]
    assert [cell.text for cell in table.iter("td")] == ["1010", "0.012", "below 0.01"]


@every_sample
def test_every_id_is_there_once_and_every_reference_finds_it(name):
    page = picture_html(SAMPLES[name], name) + picture_html(SAMPLES[name], f"{name}-2")
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    referred = re.findall(r"url\(#([^)]+)\)", page) + re.findall(r'aria-(?:labelled|described)by="([^"]+)"', page)
    assert set(referred) <= set(ids)


@every_sample
def test_colour_script_motion_and_addresses_stay_out(name):
    page = picture_html(SAMPLES[name], name)
    assert not re.search(r"#[0-9a-fA-F]{3,8}\b(?!-)|rgb|hsl|style=|<style|<script|<anim|<set|href|http|\son\w+=", page)
    assert set(re.findall(r'stroke="([^"]+)"', page)) <= {"currentColor", "none"}
    assert all(
        fill in ("currentColor", "none") or fill.startswith("url(#") for fill in re.findall(r'fill="([^"]+)"', page)
    )


@every_sample
def test_numbers_carry_at_most_two_decimals(name):
    root = ET.fromstring(svg(SAMPLES[name], name))
    written = [e.get(a, "") for e in root.iter() for a in ("d", "x", "y", "x1", "y1", "cx", "cy", "width")]
    assert not re.search(r"\d\.\d{3}|e[-+]|nan|inf", " ".join(written))


def test_bytes_do_not_depend_on_the_order_of_sets():
    code = (
        "import sys; sys.path[:0] = ['.', 'tests/page']; import test_svg as t\n"
        "from calcs.page.svg import picture_html\n"
        "sys.stdout.buffer.write(''.join(picture_html(p, k) for k, p in t.SAMPLES.items()).encode())"
    )
    runs = [
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert runs[0] == runs[1]
    assert runs[0].decode() == "".join(picture_html(p, k) for k, p in SAMPLES.items())


HOSTILE = '</title><script>alert("1")</script>&amp;\x00\ud800'


def test_typed_words_never_become_markup():
    page = picture_html(
        Plot(
            HOSTILE,
            HOSTILE,
            Axis(HOSTILE, HOSTILE),
            Axis(HOSTILE, HOSTILE),
            curves=[Curve(HOSTILE, [(0, 0), (1, 1)])],
            limits=[Limit(HOSTILE, 0.5)],
            marks=[Mark(HOSTILE, 0.5, 0.5)],
            table=Table(HOSTILE, (HOSTILE, HOSTILE), ((HOSTILE, HOSTILE),)),
        ),
        "hostile",
    )
    figure = ET.fromstring(page)
    assert "script" not in {element.tag for element in figure.iter()}
    assert figure.find("figcaption").text == '</title><script>alert("1")</script>&amp;'
    page.encode("utf-8")


@pytest.mark.parametrize("key", ["", "1st", "a b", 'x"y', "ä"])
def test_refuses_a_key_that_cannot_be_an_id(key):
    with pytest.raises(ValueError, match="key"):
        picture_html(SHARES, key)


@pytest.mark.parametrize(("rows", "short"), [(1, True), (15, True), (16, False)])
def test_print_opens_tables_of_at_most_fifteen_rows(rows, short):
    table = Table("Values", ("Step", "Time, h"), [(str(k), 1.0) for k in range(rows)])
    details = ET.fromstring(picture_html(plot(table=table), "k")).find("details")
    assert ("short" in details.get("class").split()) is short
    assert (details.get("data-open-in-print") is not None) is short


# Where things stand


def test_a_mark_at_a_tick_lies_on_the_lines_of_its_ticks():
    root = ET.fromstring(
        svg(
            plot(y=PRESSURE, curves=(), marks=[Mark("a", 0, 0.001), Mark("", 30, 10), Mark("", 60, 1000)]),
            "k",
        )
    )
    lines = [e for e in root.iter("line") if e.get("class") == "pic-grid"]
    levels = {float(e.get("y1")) for e in lines if e.get("y1") == e.get("y2")}
    uprights = {float(e.get("x1")) for e in lines if e.get("x1") == e.get("x2")}
    circles = [(float(e.get("cx")), float(e.get("cy"))) for e in root.iter("circle")]
    assert {x for x, _ in circles} <= uprights
    assert {y for _, y in circles} <= levels
    assert circles[0][1] > circles[1][1] > circles[2][1]
    # On a log axis 10 lies as many decades above 0.001 as its place says: four of six.
    share = (circles[0][1] - circles[1][1]) / (circles[0][1] - circles[2][1])
    assert share == pytest.approx(4 / 6, abs=1e-3)


def test_stacked_bars_start_where_the_one_before_ends():
    root = ET.fromstring(svg(SOURCES, "k"))
    bars = [(float(e.get("x")), float(e.get("width"))) for e in root.iter("rect") if "pic-bar" in e.get("class", "")]
    (x1, w1), (x2, w2), (x3, w3), (x4, w4) = bars
    assert x2 == pytest.approx(x1 + w1, abs=0.02)
    assert x3 == pytest.approx(x2 + w2, abs=0.02)
    assert (w1 / w2, w1 / w3) == (pytest.approx(2 / 4, abs=0.01), pytest.approx(2 / 1, abs=0.01))
    assert (x4, w4) == (x1, pytest.approx(w1 + w2 + w3, abs=0.03))


def test_stairs_run_level_before_they_fall():
    root = ET.fromstring(svg(CYCLES, "k"))
    d = next(e.get("d") for e in root.iter("path") if "pic-line-1" in e.get("class"))
    places = [tuple(map(float, pair.split())) for pair in d[1:].split("L")]
    moves = [(b[0] != a[0], b[1] != a[1]) for a, b in pairwise(places)]
    assert moves == [(True, False), (False, True)] * 3


def test_lines_have_different_dashes():
    curves = [Curve(name, [(0, k), (60, 600 + k)]) for k, name in enumerate(("set", "surface", "middle"))]
    root = ET.fromstring(svg(plot(curves=curves), "k"))
    dashes = [e.get("stroke-dasharray") for e in root.iter("path") if "pic-line" in e.get("class").split()]
    assert len(dashes) == len(set(dashes)) == 3


def test_names_of_lines_that_end_together_are_moved_apart():
    curves = [Curve(name, [(0, 0), (60, 600 + k)]) for k, name in enumerate(("set", "surface", "middle"))]
    root = ET.fromstring(svg(plot(curves=curves), "k"))
    boxes = [box_of(e, 16) for e in texts(root) if e.text in ("set", "surface", "middle")]
    assert len(boxes) == 3
    assert all(a[3] <= b[1] or b[3] <= a[1] for a, b in combinations(boxes, 2))


def test_a_limit_or_curve_beyond_fixed_ends_is_named_with_its_direction():
    shown = plot(
        y=Axis("Temperature", "°C", low=0, high=500),
        curves=[Curve("set", [(0, 0), (60, 400)]), Curve("wanted", [(0, 700), (60, 900)])],
        limits=[Limit("highest", 1100)],
    )
    words = {e.text for e in texts(ET.fromstring(svg(shown, "k")))}
    assert {"highest\u00a0↑", "wanted\u00a0↑"} <= words


def test_a_mark_pushes_fixed_ends_outwards():
    root = ET.fromstring(svg(plot(x=Axis("Thickness", "mm", low=0, high=10), marks=[Mark("yours", 40, 300)]), "k"))
    corner = next(e.get("d") for e in root.iter("path") if e.get("class") == "pic-axis")
    right = float(corner.rpartition("L")[2].split()[0])
    assert float(next(root.iter("circle")).get("cx")) <= right


@every_sample
def test_lettering_stays_inside_the_view_box(name):
    assert outside(svg(SAMPLES[name], name)) == {}


def test_the_programme_fits_its_place_on_the_card():
    drawing = svg(PROGRAMME, "card", **CARD)
    assert outside(drawing) == {}
    assert ET.fromstring(drawing).get("viewBox") == "0 0 640 180"


names = st.text(st.sampled_from("abc mWi0 ,-éμ"), min_size=1, max_size=60).filter(str.strip)
values = st.floats(-1e6, 1e6)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(names, st.lists(st.tuples(values, values), min_size=2, max_size=6)), min_size=1, max_size=3),
    st.lists(st.tuples(names, values), max_size=2),
    names,
)
def test_any_plot_keeps_its_lettering_inside(curves, limits, label):
    drawing = svg(
        plot(
            x=Axis(label, "min"),
            curves=[Curve(name, points) for name, points in curves],
            limits=[Limit(name, value) for name, value in limits],
        ),
        "k",
    )
    assert outside(drawing) == {}


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(names, st.floats(0, 1e6)), min_size=1, max_size=8), st.booleans(), names)
def test_any_bars_and_scale_keep_their_lettering_inside(rows, stacked, label):
    bars = Bars(
        **HEAD,
        unit="L",
        bars=[Bar(name, value) for name, value in rows],
        limit=Limit(label, 10.0),
        stacked=stacked,
        table=TABLE,
    )
    scale = Scale(**HEAD, axis=Axis(label, "L"), points=[Landmark(name, value) for name, value in rows], table=TABLE)
    assert outside(svg(bars, "k")) == outside(svg(scale, "k")) == {}


# Ends, ticks and numbers


@given(st.floats(-1e5, 1e5), st.floats(1e-3, 1e9), st.sampled_from(["", "s", "min", "h"]), st.integers(3, 8))
def test_linear_ticks_are_few_rising_and_inside(low, span, unit, want):
    high = low + span
    ticks = axes.linear_ticks(low, high, want, unit)
    assert 3 <= len(ticks) <= 8
    assert all(a < b for a, b in pairwise(ticks))
    assert low <= ticks[0] and ticks[-1] <= high


def test_ticks_of_one_axis_are_written_alike_and_differ():
    assert axes.tick_texts(axes.linear_ticks(0, 0.3)) == ["0.0", "0.1", "0.2", "0.3"]
    assert axes.tick_texts(axes.linear_ticks(0, 16, unit="h")) == ["0", "3", "6", "9", "12", "15"]
    assert axes.tick_texts(axes.linear_ticks(-40, 20)) == ["−40", "−20", "0", "20"]
    assert axes.tick_texts(axes.linear_ticks(0, 20000)) == [
        "0",
        "5000",
        "10\u202f000",
        "15\u202f000",
        "20\u202f000",
    ]


@given(st.floats(-60, 20), st.floats(0.02, 60))
def test_log_ticks_are_few_rising_and_inside(exponent, decades):
    low, high = 10.0**exponent, 10.0 ** (exponent + decades)
    ticks, words = axes.log_ticks(low, high)
    assert 3 <= len(ticks) <= 8
    assert all(a < b for a, b in pairwise(ticks))
    assert low <= ticks[0] and ticks[-1] <= high
    assert words


@pytest.mark.parametrize(
    ("low", "high", "texts_expected", "words"),
    [
        (1, 1000, ["1", "10", "100", "1000"], "each step is ten times"),
        (1e-5, 1e3, None, "each step is a hundred times"),
        (1e-7, 1e-4, ["10⁻⁷", "10⁻⁶", "10⁻⁵", "10⁻⁴"], "each step is ten times"),
        (1, 1e5, ["1", "10", "100", "1000", "10\u202f000", "100\u202f000"], "each step is ten times"),
    ],
)
def test_log_axes_say_what_a_step_means(low, high, texts_expected, words):
    ticks, said = axes.log_ticks(low, high)
    assert said == words
    ratio = {"each step is ten times": 10, "each step is a hundred times": 100}[said]
    assert all(b / a == pytest.approx(ratio) for a, b in pairwise(ticks))
    assert axes.tick_texts(ticks, log=True) == (texts_expected or axes.tick_texts(ticks, log=True))


@given(st.lists(st.floats(-1e9, 1e9), min_size=1, max_size=5))
def test_ends_hold_every_value(found):
    low, high = axes.ends(Axis("Temperature", "°C"), found)
    rounding = 1e-6 * (high - low)
    assert low <= min(found) + rounding and max(found) <= high + rounding
    assert low < high


@given(st.lists(st.floats(1e-60, 1e12), min_size=1, max_size=5))
def test_log_ends_hold_every_value_and_three_decades_of_ticks(found):
    low, high = axes.ends(Axis("Pressure", "bar", log=True), found)
    assert low <= min(found) * (1 + 1e-6) and max(found) <= high * (1 + 1e-6)
    assert axes.log_ticks(low, high)[1].startswith("each step")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"),
        (1013.25, "1010"),
        (12345.6, "12\u202f300"),
        (12345, "12\u202f345"),
        (9999, "9999"),
        (-0.5, "−0.5"),
        (0.99951, "1"),
        (80.0, "80"),
        (1.3e-4, "1.3\u202f×\u202f10⁻⁴"),
        (2.5e7, "2.5\u202f×\u202f10⁷"),
    ],
)
def test_numbers_are_written_as_the_site_writes_them(value, text):
    assert axes.number_text(value) == text


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(1, 12)), min_size=1, max_size=8))
def test_spread_keeps_order_and_room(pairs):
    wanted, heights = [w for w, _ in pairs], [h for _, h in pairs]
    middles = axes.spread(wanted, heights, 0, 100)
    order = sorted(range(len(pairs)), key=lambda i: (wanted[i], i))
    for a, b in pairwise(order):
        assert middles[b] - middles[a] >= (heights[a] + heights[b]) / 2 - 1e-6
    assert all(h / 2 - 1e-6 <= m <= 100 - h / 2 + 1e-6 for m, h in zip(middles, heights, strict=True))


def test_a_long_line_keeps_its_ends_and_its_spike():
    points = [(k / 10, math.sin(k / 500)) for k in range(5000)]
    points[1250] = (125.0, 99.0)
    kept = axes.thinned(points)
    assert len(kept) <= 600
    assert (kept[0], kept[-1]) == (points[0], points[-1])
    assert (125.0, 99.0) in kept


# What is refused

NAN, INF = float("nan"), float("inf")


@pytest.mark.parametrize(
    "make",
    [
        lambda: Curve("set", []),
        lambda: Curve("set", [(0, 0)]),
        lambda: Curve("set", [(0, 0), (1, NAN)]),
        lambda: Curve("set", [(0, 0), (INF, 1)]),
        lambda: Curve("set", [(0, 0), (1, 1e31)]),
        lambda: Curve("set", [(0, 0), (1, "2")]),
        lambda: Curve("set", [(0, 0), (1, None)]),
        lambda: Curve(" ", [(0, 0), (1, 1)]),
        lambda: Curve("set", [(0, 0), (1, 1)], dash="wavy"),
        lambda: Limit("relief", NAN),
        lambda: Mark("yours", 0, -INF),
        lambda: Band("range", [(0, 0), (1, 1)], [(0, NAN), (1, 2)]),
        lambda: Axis("Pressure", "mbar", log=True, low=0),
        lambda: Axis("Pressure", "mbar", low=5, high=5),
        lambda: plot(curves=[]),
        lambda: plot(table=None),
        lambda: plot(curves=[Curve(str(k), [(0, k), (1, k)]) for k in range(4)]),
        lambda: plot(curves=[Curve(k, [(0, 0), (1, 1)], dash="dashed") for k in "ab"]),
        lambda: plot(y=PRESSURE),
        lambda: plot(y=PRESSURE, curves=[Curve("set", [(0, 1), (1, 2)])], limits=[Limit("none", 0)]),
        lambda: Bars(**HEAD, unit="L", bars=[], table=TABLE),
        lambda: Bars(**HEAD, unit="L", bars=[Bar("a", 0)], table=TABLE),
        lambda: Bars(**HEAD, unit="L", bars=[Bar("a", 0.0), Bar("b", 1)], log=True, table=TABLE),
        lambda: Bars(**HEAD, unit="L", bars=[Bar("a", 1)], log=True, stacked=True, table=TABLE),
        lambda: Bars(**HEAD, unit="L", bars=[Bar("a", -1), Bar("b", 2)], stacked=True, table=TABLE),
        lambda: Bar("a", NAN),
        lambda: Bar("a", 1, low=2, high=3),
        lambda: Bar("a", 1, low=0),
        lambda: Scale(**HEAD, axis=PRESSURE, points=[], table=TABLE),
        lambda: Scale(**HEAD, axis=PRESSURE, points=[Landmark("vacuum", 0)], table=TABLE),
        lambda: Block("argon", 2, 1),
        lambda: Strip(**HEAD, time=TIME, lanes=[], table=TABLE),
        lambda: Drawing(**HEAD, view_box=(0, 0, 10, 10), shapes=[Line(0, 0, 11, 0)], table=TABLE),
        lambda: Drawing(**HEAD, view_box=(0, 0, 10, 10), shapes=[Rect(0, 0, 5, NAN)], table=TABLE),
        lambda: Drawing(**HEAD, view_box=(0, 0, 10, 10), shapes=[Line(0, 0, 1, 0, "red")], table=TABLE),
        lambda: Table("Values", ("a", "b"), [("1",)]),
        lambda: Table("Values", ("a",), []),
        lambda: Table("Values", ("a", "b"), [("1", INF)]),
        lambda: Table("Values", ("a", "b"), [("1", None)]),
    ],
)
def test_refuses_what_cannot_be_drawn_honestly(make):
    with pytest.raises(ValueError, match=r"\w+ \w+"):
        make()


# The style sheet

CSS = (ROOT / "docs" / "assets" / "pictures.css").read_text(encoding="utf-8")


def palette(selector):
    block = re.search(re.escape(selector) + r" \{([^}]*)\}", CSS)[1]
    return dict(re.findall(r"--pic-([\w-]+): (#[0-9a-f]{6})", block))


def luminance(colour):
    channels = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("selector", [":root", '[data-md-color-scheme="slate"]'])
def test_every_colour_stands_out_from_the_ground(selector):
    colours = palette(selector)
    ground = luminance(colours.pop("ground"))
    assert set(colours) == {"ink", "muted", "line-1", "line-2", "line-3", "limit"}
    for colour in colours.values():
        light, dark = sorted((luminance(colour), ground), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 4.5  # lettering; lines would do with 3


def test_the_style_sheet_knows_the_classes_that_the_drawings_use():
    used = {
        c
        for k, p in SAMPLES.items()
        for names in re.findall(r'class="([^"]+)"', picture_html(p, k))
        for c in names.split()
    }
    left_plain = {
        "pic-axis",
        "pic-grid",
        "pic-stage",
        "pic-mark",
        "pic-ink",
        "pic-shape",
        "pic-outline",
        "pic-thin",
    }
    left_plain |= {
        "pic-thick",
        "pic-dashed",
        "pic-filled",
        "pic-hatched",
        "pic-hatch",
        "pic-arrow",
        "pic-fault",
    }
    left_plain |= {"pic-block", "pic-shade", "pic-edge", "pic-band", "pic-strong", "short"}
    styled = set(re.findall(r"\.(pic[\w-]*)", CSS))
    assert used - styled <= left_plain
