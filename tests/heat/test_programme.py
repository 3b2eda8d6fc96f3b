"""The temperature programme: its time, its limits, and the same curve in fewer steps."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calcs
from calcs.heat.programme import EACH, PAIR, fewer_steps, risk_bands, rounded
from calcs.heat.segments import Leg, legs

EXAMPLE = calcs.example("programme")
SHORTER = calcs.example("programme", "fewer steps")
CURVE = (
    "0:20 30:80 60:150 90:170 120:200 180:260 240:320 300:400 360:480 420:600 480:720 540:850 600:1000 720:1000 900:600"
)
POINTS = [(float(t) * 60, float(y)) for t, y in (point.split(":") for point in CURVE.split())]


def work(**changed):
    return calcs.work_out("programme", EXAMPLE | changed)


def minutes(answer, name="total_time"):
    return answer.figures[name].quantity.to("minute").m


def problems(**changed):
    with pytest.raises(calcs.Problems) as caught:
        work(**changed)
    return caught.value.problems


# ---------------------------------------------------------------- total time


def test_the_example_is_answered():
    answer = work()
    assert minutes(answer) == pytest.approx(116 + 30 + 270)
    assert answer.figures["set_temperature"].quantity.m == pytest.approx(520)
    assert answer.verdict == "within" and answer.refusal is None
    assert "2 h 26 min to the end of soak" in answer.sentence.replace("\u00a0", " ")


def test_nine_hundred_degrees_at_five_kelvin_a_minute_and_an_hour_take_236_minutes():
    answer = work(segments="ramp to 900 °C at 5 K/min · soak 60 min", at_time="")
    assert minutes(answer) == pytest.approx(236)
    assert "3 h 56 min to the end of soak" in answer.sentence.replace("\u00a0", " ")


def test_the_answer_does_not_depend_on_the_unit_typed():
    same = work(
        start_temperature="68 °F", at_time="6000 s", furnace_ramp_limit="600 K/h", maximum_temperature="1323.15 K",
        segments="ramp to 1112 °F at 9 °F/min · soak 1800 s · cool to 333.15 K at 120 K/h",
    )  # fmt: skip
    first = work()
    for name, figure in first.figures.items():
        if figure.is_number:
            assert same.figures[name].value == pytest.approx(figure.value), name


def test_a_ramp_by_time_equals_the_ramp_by_its_rate():
    by_time = work(segments="ramp to 600 °C in 116 min · soak 30 min · cool to 60 °C in 4 h 30 min")
    assert minutes(by_time) == pytest.approx(minutes(work()))


def test_a_slower_ramp_takes_longer():
    found = [minutes(work(segments=f"ramp to 600 °C at {rate} K/min", at_time="")) for rate in (1, 2, 5, 10)]
    assert found == sorted(found, reverse=True) and len(set(found)) == 4


def test_rows_and_one_text_are_read_alike():
    rows = [{"kind": "ramp", "to": "600 °C", "rate": "5 K/min"}, {"kind": "soak", "time": "30 min"}]
    text = "Ramp to 600 °C at 5 K/min; soak for 30 min"
    assert minutes(work(segments=rows)) == minutes(work(segments=text))


def test_flow_and_pressure_of_a_row_are_read():
    row = "ramp to 600 °C at 5 K/min, flow 2 L/min (20 degC, 101.325 kPa) pressure 10 mbar gauge"
    read = calcs.calculator("programme").FORM.read(EXAMPLE | {"segments": row})["segments"][0]
    assert read["flow"] == pytest.approx(2e-3 / 60 * 101325 / (8.314462618 * 293.15))
    assert read["pressure"] == pytest.approx(1000)


def test_an_absolute_pressure_is_not_taken_as_above_the_room():
    assert "gauge" in problems(segments="soak 5 min pressure 1005 mbar abs")["segments"].message


@pytest.mark.parametrize(
    ("segments", "part"),
    [
        ("ramp to 900 °C", "needs a rate or a time"),
        ("ramp to 20 °C at 5 K/min", "starts and ends at the same temperature"),
        ("soak", "a soak needs a time"),
        ("cool to 60 °C at 2 K/min", "does not cool"),
        ("ramp to 600 °C at 5 K/min · cool to 60 °C", "cools by nature"),
        ("ramp to 600 °C at 5 K/min in 2 h", "same thing twice"),
        ("fly to 600 °C", "cannot be taken apart"),
        ("ramp to 600 °C at -5 K/min", "positive"),
        ("ramp to 600 °C in 0 min · ramp to 600 °C in 0 min", "same temperature"),
        ("soak 0 min", "no length"),
    ],
)
def test_a_row_that_says_too_little_or_too_much_is_a_problem(segments, part):
    assert part in problems(segments=segments, at_time="")["segments"].message


def test_a_problem_names_its_cell():
    assert problems(segments="soak 5 min · ramp to 900 °C")["segments"].cell == (1, "rate")


def test_no_ramp_of_zero_or_of_weeks():
    for rate in ("0 K/min", "0.01 K/h"):
        assert work(segments=f"ramp to 900 °C at {rate}").refusal.reason == "zero_ramp"


def test_above_the_highest_temperature_is_refused_at_it_is_answered():
    assert work(segments="ramp to 1050.1 °C at 5 K/min").refusal.reason == "above_maximum"
    assert work(segments="ramp to 1050 °C at 5 K/min").refusal is None
    assert not work(segments="ramp to 1050.1 °C at 5 K/min").figures


@pytest.mark.parametrize("name", ["maximum_temperature", "furnace_ramp_limit"])
def test_without_the_furnace_s_limit_there_is_no_answer(name):
    assert work(**{name: ""}).refusal.reason == "no_furnace_limit"


def test_continuous_above_highest_is_a_problem():
    assert "continuous_temperature" in problems(continuous_temperature="1100 °C")


def test_a_time_after_the_end_is_a_problem():
    assert "at_time" in problems(at_time="7 h")


@pytest.mark.parametrize(
    ("rate", "verdict"),
    [("8 K/min", "within"), ("8.1 K/min", "close"), ("10 K/min", "close"), ("10.1 K/min", "outside")],
)
def test_verdict_on_the_furnace_s_ramp(rate, verdict):
    assert work(segments=f"ramp to 600 °C at {rate}", load_ramp_limit="", at_time="").verdict == verdict


@pytest.mark.parametrize(("rate", "verdict"), [("2 K/min", "within"), ("2.1 K/min", "close"), ("4.1 K/min", "outside")])
def test_verdict_on_the_load_s_ramp(rate, verdict):
    assert work(segments=f"ramp to 600 °C at {rate}", load_ramp_limit="4 K/min").verdict == verdict


def test_cooling_too_fast_counts_as_well():
    assert work(segments="ramp to 600 °C at 5 K/min · cool to 60 °C at 20 K/min").verdict == "outside"


def test_a_step_is_outside():
    assert work(segments="ramp to 600 °C in 0 min · soak 5 min", at_time="").verdict == "outside"


@pytest.mark.parametrize(
    ("segments", "verdict", "above"),
    [
        ("ramp to 1000 °C at 5 K/min · soak 60 min", "within", 0),
        ("ramp to 1040 °C at 4 K/min · cool to 60 °C at 4 K/min", "within", 20),
        ("ramp to 1040 °C at 2 K/min · cool to 60 °C at 2 K/min", "close", 40),
        ("ramp to 1010 °C at 5 K/min · soak 1 min", "close", 3),
    ],
)
def test_time_above_the_continuous_rating(segments, verdict, above):
    answer = work(segments=segments, load_ramp_limit="")
    assert (answer.verdict, minutes(answer, "time_above_continuous")) == (verdict, pytest.approx(above))


def test_more_steps_than_the_controller_takes():
    assert work(step_limit="2").verdict == "outside"
    assert work(step_limit="2", step_counting=PAIR).verdict == "within"
    assert work(step_counting=PAIR).figures["step_count"].value == 2


def test_thirty_one_segments_do_not_fit_thirty_steps():
    rows = " · ".join(f"ramp to {30 + 10 * n} °C at {1 + n % 2} K/min" for n in range(31))
    answer = work(segments=rows, at_time="")
    assert answer.figures["step_count"].value == 31 and answer.verdict == "outside"
    fewer = rows.rpartition(" · ")[0]
    assert work(segments=fewer, at_time="").verdict == "within"


def test_equal_slopes_are_one_step():
    answer = work(
        segments="ramp to 300 °C at 5 K/min · ramp to 600 °C at 5 K/min · soak 10 min · soak 20 min",
        at_time="",
    )
    assert answer.figures["step_count"].value == 2 and answer.figures["segment_count"].value == 4
    assert minutes(answer) == pytest.approx(146)


def test_waiting_gives_a_lower_bound():
    for waiting in ("hold-back", "guaranteed soak"):
        figure = work(waiting=waiting).figures["total_time"]
        assert figure.low_value == figure.value and figure.high_value is None
        assert "at least" in work(waiting=waiting).sentence
    assert work(waiting="hold-back").verdict == "close"
    assert work(waiting="hold-back", segments="ramp to 600 °C at 5 K/min").verdict == "within"


def test_time_in_the_bands_by_hand():
    found = {row["band"].replace("\u00a0", " "): row["time"].m for row in work().figures["band_times"].rows}
    below = next(time for band, time in found.items() if "below 150 °C" in band)
    assert below == pytest.approx(130 / 5 + 90 / 2)
    binder = next(time for band, time in found.items() if "200 °C to 600 °C" in band)
    assert binder == pytest.approx(80 + 30 + 200)
    assert not any("titanium" in band for band in found)


def test_every_band_has_its_standing_and_rises():
    assert all(low < high for _, low, high in risk_bands()) and len(risk_bands()) > 10


def test_times_rounded_to_the_controller_change_the_rate():
    leg = Leg("ramp", 293.15, 1273.15, 980 / 7.3 * 60)
    assert leg.duration_s / 60 == pytest.approx(134.2466, abs=1e-4)
    assert rounded([leg], 60.0)[0].rate_k_per_s * 60 == pytest.approx(7.3134, abs=1e-4)
    answer = work(segments="ramp to 1000 °C at 7.3 K/min", at_time="")
    assert any("2 h 14 min" in note.replace("\u00a0", " ") for note in answer.notes)


def test_a_programme_that_ends_hot_says_so():
    assert "Ends hot" in [c.hazard for c in work(segments="ramp to 600 °C at 5 K/min").cautions]
    assert "Ends hot" not in [c.hazard for c in work().cautions]


def test_a_negative_slope_needs_no_sign():
    found = legs([{"kind": "ramp", "to": 300.0, "rate": 0.1, "time": None, "flow": None, "pressure": None}], 400.0)
    assert found[0].change_k == -100 and found[0].duration_s == pytest.approx(1000)


# ---------------------------------------------------------------- fewer steps


def test_the_example_of_fewer_steps():
    answer = calcs.work_out("programme", SHORTER)
    assert answer.figures["step_count"].value == 4
    assert answer.figures["largest_departure"].quantity.m == pytest.approx(5.217, abs=1e-3)


def every_choice(points, steps):
    """The least departure with exactly so many steps, all choices tried; soak ends stay."""
    inner = range(1, len(points) - 1)
    flat = lambda i: points[i][1] == points[i + 1][1]  # noqa: E731
    keep = {i for i in inner if flat(i - 1) != flat(i)}
    best = float("inf")
    for chosen in combinations(inner, steps - 1):
        if keep <= set(chosen):
            best = min(best, departure(points, (0, *chosen, len(points) - 1)))
    return best


def departure(points, knots):
    worst = 0.0
    for a, b in zip(knots, knots[1:], strict=False):
        (t0, y0), (t1, y1) = points[a], points[b]
        worst = max([worst] + [abs(y0 + (y1 - y0) * (t - t0) / (t1 - t0) - y) for t, y in points[a + 1 : b]])
    return worst


@pytest.mark.parametrize(("most", "least"), [(8, 6.6667), (6, 20.0), (4, 47.1429)])
def test_the_least_departure_equals_that_of_trying_every_choice(most, least):
    found = fewer_steps(POINTS, most)
    assert found.departure_k == pytest.approx(least, abs=1e-4)
    assert found.departure_k == pytest.approx(min(every_choice(POINTS, n) for n in range(1, most + 1)))
    assert departure(POINTS, found.knots) == pytest.approx(found.departure_k)


def test_a_tolerance_gives_the_fewest_steps():
    found = fewer_steps(POINTS, 30, 10.0)
    assert (found.steps, found.departure_k) == (7, pytest.approx(8.3333, abs=1e-4))


def test_a_pair_counts_once():
    each, pair = fewer_steps(POINTS, 30, 10.0, EACH), fewer_steps(POINTS, 30, 10.0, PAIR)
    assert pair.steps == each.steps - 1 and pair.knots == each.knots


def test_a_straight_curve_needs_one_step():
    straight = [(60.0 * n, 300.0 + 10 * n) for n in range(10)]
    assert fewer_steps(straight, 30) == fewer_steps(straight, 1)
    assert fewer_steps(straight, 30).steps == 1 and fewer_steps(straight, 30).departure_k < 1e-9


def test_too_many_steps_is_refused():
    answer = calcs.work_out("programme", SHORTER | {"step_limit": "2"})
    assert answer.refusal.reason == "too_many_steps" and "4" in answer.refusal.message
    assert (
        calcs.work_out("programme", SHORTER | {"step_limit": "1", "departure_limit": ""}).refusal.reason
        == "too_many_steps"
    )


def test_times_must_rise():
    with pytest.raises(calcs.Problems) as caught:
        calcs.work_out("programme", SHORTER | {"points": "0 min 20 °C · 30 min 80 °C · 30 min 90 °C"})
    assert caught.value.problems["points"].cell == (2, "time")


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 90), st.integers(20, 1200)), min_size=3, max_size=9), st.integers(2, 6))
def test_no_shorter_programme_is_better(steps, most):
    times = [0]
    for minutes_more, _ in steps:
        times.append(times[-1] + minutes_more)
    points = [(60.0 * t, float(y)) for t, (_, y) in zip(times, [(0, 20), *steps], strict=True)]
    found = fewer_steps(points, most)
    best = min(every_choice(points, n) for n in range(1, most + 1))
    if found is None:
        assert best == float("inf")
    else:
        assert found.departure_k == pytest.approx(best, abs=1e-6)
        assert found.steps <= most and departure(points, found.knots) == pytest.approx(found.departure_k, abs=1e-6)


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(sorted(EXAMPLE)), st.text(max_size=60))
def test_any_text_gives_an_answer_a_problem_or_a_refusal(name, text):
    try:
        answer = work(**{name: text})
    except calcs.Problems as trouble:
        assert trouble.messages
    else:
        assert answer.refusal or answer.sentence
