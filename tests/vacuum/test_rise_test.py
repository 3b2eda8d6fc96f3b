"""The rise test: what one test bounds, what two tell, and what is refused."""

from math import log

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, optimize, stats

import calcs
from calcs.vacuum import rise_test
from calcs.vacuum.rise_test import FLATTENING, LEVEL, STEEPENING, STRAIGHT, UNCLEAR, fit_rise, leak_from_two, shape_of

EXAMPLE = {mode: calcs.example("rise-test", mode) for mode in rise_test.FORM.modes}
VOLUME = 0.030  # m³


def work(mode=rise_test.ONE, **changed):
    typed = EXAMPLE[mode] | changed
    return calcs.work_out("rise-test", {name: text for name, text in typed.items() if text != ""})


def one(*readings, **changed):
    """A test on 30 L without an allowed leak; readings as (minutes, mbar)."""
    rows = [{"time": f"{t} min", "pressure": f"{p} mbar"} for t, p in readings]
    free = {"allowed_leak": "", "pumping_time": ""}
    return work(readings=rows, gas_volume="30 L", **(free | changed))


def problems(mode=rise_test.ONE, **changed):
    with pytest.raises(calcs.Problems) as caught:
        work(mode, **changed)
    return caught.value.problems


def value(answer, name):
    return answer.figures[name].value


# ---------------------------------------------------------------- two, three, six readings


def test_two_readings_cannot_say_and_a_third_is_asked_for():
    answer = one((0, 0.10), (10, 0.60))
    assert answer.verdict == "cannot_say" and answer.judged
    assert value(answer, "mean_rate") == pytest.approx(2.5e-3)
    assert value(answer, "leak_rate") == pytest.approx(2.5e-3)
    assert answer.figures["mean_rise"].text.replace("\u00a0", " ") == "0.0500 mbar/min"
    assert "take a third" in answer.sentence and "read again at 20" in answer.notes[0].replace("\u00a0", " ")


def test_two_readings_cannot_say_even_below_the_allowed_leak():
    assert one((0, 0.10), (10, 0.60), allowed_leak="1 mbar L/s").verdict == "cannot_say"


def test_a_third_reading_on_the_line_leans_to_a_leak():
    answer = one((0, 0.10), (10, 0.60), (20, 1.10))
    assert value(answer, "rise_shape") == STRAIGHT and "more like a leak" in answer.sentence
    assert value(answer, "leak_rate") == pytest.approx(2.5e-3)
    assert "leak_half_interval_95" not in answer.figures  # nothing is fitted below six readings
    assert answer.notes[0].startswith("Next: look for the leak")


def test_a_third_reading_below_the_line_leans_to_outgassing():
    answer = one((0, 0.10), (10, 0.60), (20, 0.75))
    assert value(answer, "rise_shape") == FLATTENING and "more like outgassing" in answer.sentence
    # what can be a leak is the end of the rise: 0.15 mbar in 10 min
    assert value(answer, "leak_rate") == pytest.approx(15 / 600 * VOLUME)
    assert "pump on" in answer.notes[0]


def test_one_test_is_always_an_upper_bound_from_nothing():
    for answer in (one((0, 0.1), (10, 0.6)), one((0, 0.1), (10, 0.6), (20, 1.1)), work()):
        assert value(answer, "result_kind") == rise_test.UPPER
        assert answer.figures["leak_rate"].low_value == 0
        assert answer.figures["leak_rate"].high_value == value(answer, "leak_upper") >= value(answer, "leak_rate")


def test_the_example():
    answer = work()
    assert answer.refusal is None and answer.verdict == "within"
    assert value(answer, "leak_upper") == pytest.approx(7.3e-5, rel=0.01)
    assert value(answer, "outgassing_time_constant") == pytest.approx(812, rel=0.01)


@pytest.mark.parametrize(
    "allowed, verdict", [("1e-3 mbar L/s", "within"), ("6e-4 mbar L/s", "close"), ("3e-4 mbar L/s", "outside")]
)
def test_the_verdict_follows_the_allowed_leak(allowed, verdict):
    assert work(allowed_leak=allowed).verdict == verdict


def test_a_short_test_is_close_at_best():
    long = one((0, 0.1), (5, 0.101), (10, 0.102), (20, 0.104), allowed_leak="1e-2 mbar L/s")
    short = one((0, 0.1), (1, 0.101), (2, 0.102), (4, 0.104), allowed_leak="1e-1 mbar L/s")
    assert (long.verdict, short.verdict) == ("within", "close")


def test_a_flattening_rise_above_the_limit_is_not_called_a_leak():
    answer = one((0, 0.10), (10, 0.60), (20, 0.75), allowed_leak="1e-3 mbar L/s")
    assert answer.verdict == "cannot_say"
    assert one((0, 0.10), (10, 0.60), (20, 1.10), allowed_leak="1e-3 mbar L/s").verdict == "outside"


def test_straight_says_nothing_where_walls_would_rise_straight_too():
    long_pumped = one((0, 0.10), (10, 0.20), (20, 0.30), pumping_time="10 h")
    fresh = one((0, 0.10), (10, 0.20), (20, 0.30), pumping_time="10 min")
    assert "outgassing too" in long_pumped.sentence and "more like a leak" in fresh.sentence


def test_temperature_counts_where_it_moves_a_fifth_of_the_rise():
    slow = [(t, round(8 + t * 0.0001, 4)) for t in (0, 20, 40, 60)]
    warm = one(*slow, allowed_leak="1e-1 mbar L/s", temperature_change="1 K")
    cold = one(*slow, allowed_leak="1e-1 mbar L/s")
    assert (cold.verdict, warm.verdict) == ("within", "close")
    assert any("temperature alone" in note for note in warm.notes)


def test_steeper_and_level_rises_have_their_own_words():
    assert value(one((0, 0.1), (10, 0.2), (20, 0.6)), "rise_shape") == STEEPENING
    assert value(one((0, 0.1), (10, 0.1), (20, 0.1)), "rise_shape") == LEVEL
    assert value(one((0, 0.100), (10, 0.101), (20, 0.104)), "rise_shape") == UNCLEAR


def test_nothing_depends_on_the_unit_typed_or_on_where_the_clock_starts():
    same = work(
        readings="10 min 5.0 Pa · 0.3 h 0.059 mbar · 26 min 65e-3 mbar · 34 min 6.9 Pa · 42 min 7.2 Pa · "
        "50 min 7.5 Pa · 58 min 7.7 Pa",
        gas_volume="0.108 m3",
        resolution="1e-3 mbar",
        pumping_time="0.75 h",
        allowed_leak="1e-4 Pa m3/s",
    )
    for name, figure in work().figures.items():
        if figure.is_number:
            assert same.figures[name].value == pytest.approx(figure.value, rel=1e-6), name


@pytest.mark.parametrize("factor", [0.1, 3, 100])
def test_a_leak_scales_with_the_volume(factor):
    assert value(work(gas_volume=f"{108 * factor} L"), "leak_upper") == pytest.approx(
        factor * value(work(), "leak_upper")
    )


# ---------------------------------------------------------------- the fit against an independent library


def model(t, start, slope, rise, tau):
    return start + slope * t + rise * (1 - numpy.exp(-t / tau))


@pytest.mark.parametrize("slope", [2e-4, 2e-3, 2e-2])
@pytest.mark.parametrize("tau", [300, 900])
@pytest.mark.parametrize("count", [8, 13, 30])
def test_the_fit_agrees_with_a_library_over_the_range(slope, tau, count):
    times = numpy.linspace(0, 3600, count)
    noise = 0.003 * numpy.sin(numpy.arange(count) * 2.4)
    pressures = model(times, 6.0, slope, 4.0, tau) + noise
    ours = fit_rise(list(times), list(pressures), 1e-6)
    theirs, covariance = optimize.curve_fit(model, times, pressures, p0=(6, slope, 4, tau), maxfev=20000)
    half = stats.t.ppf(0.975, count - 4) * numpy.sqrt(covariance[1, 1])
    assert ours.slope == pytest.approx(theirs[1], rel=1e-4)
    assert ours.tau == pytest.approx(theirs[3], rel=1e-3)
    assert ours.half == pytest.approx(half, rel=4e-3)


def test_a_straight_rise_is_fitted_as_a_line():
    times = [600.0 * i for i in range(8)]
    pressures = [5 + 1e-3 * t for t in times]
    fit = fit_rise(times, pressures, 0.1)
    assert fit.slope == pytest.approx(1e-3) and fit.settled
    assert (
        value(
            work(readings=[{"time": f"{t} s", "pressure": f"{p} Pa"} for t, p in zip(times, pressures, strict=True)]),
            "rise_shape",
        )
        == STRAIGHT
    )


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 8, 40, 1000])
def test_the_quantile_agrees_with_a_library(freedom):
    assert rise_test.student_95(freedom) == pytest.approx(stats.t.ppf(0.975, freedom), rel=0.003)


@pytest.mark.parametrize("pumped", [600, 1800, 3600, 14400])
def test_walls_that_feign_a_leak_stay_an_upper_bound_that_is_no_estimate(pumped):
    """No leak at all, outgassing B/t: whatever is fitted, the answer must say at most, from nothing."""
    times = [300.0 * i for i in range(13)]
    rows = [{"time": f"{t} s", "pressure": f"{5 + 4 / 0.045 * log(1 + t / pumped):.3f} Pa"} for t in times]
    answer = work(readings=rows, gas_volume="45 L", resolution="0.001 Pa", allowed_leak="")
    assert value(answer, "result_kind") == rise_test.UPPER and answer.figures["leak_rate"].low_value == 0
    late = 4 / (pumped + 3600)  # true outgassing at the end of the test
    assert value(answer, "leak_upper") > late * 0.8
    assert any("never the leak" in note for note in answer.notes)


def test_a_true_leak_under_outgassing_is_not_above_the_bound():
    times = [300.0 * i for i in range(13)]
    for leak in (1e-5, 1e-4, 1e-3):
        rows = [
            {"time": f"{t} s", "pressure": f"{5 + leak * t / 0.045 + 4 / 0.045 * log(1 + t / 1800):.4f} Pa"}
            for t in times
        ]
        answer = work(readings=rows, gas_volume="45 L", resolution="0.001 Pa", allowed_leak="")
        assert value(answer, "leak_upper") > leak


def test_shape_needs_more_than_a_step_of_the_gauge():
    assert shape_of([0, 600, 1200], [5.0, 6.0, 6.5], 0.1).word == FLATTENING
    assert shape_of([0, 600, 1200], [5.0, 6.0, 6.5], 2.0).word == LEVEL
    assert shape_of([0, 600, 1200], [5.0, 6.0, 6.5], 0.6).word == UNCLEAR


# ---------------------------------------------------------------- two tests


@pytest.mark.parametrize("leak", [0, 1e-5, 5e-4])
@pytest.mark.parametrize("exponent", [0.8, 1.0, 1.2])
@pytest.mark.parametrize("pumped", [(600, 1800), (1800, 7200), (3600, 86400)])
def test_two_tests_give_back_the_leak_that_made_them(leak, exponent, pumped):
    length = 600
    rates = [leak + 4 * integrate.quad(lambda t: t**-exponent, p, p + length)[0] / length for p in pumped]
    found, strength = leak_from_two(rates[0], pumped[0], rates[1], pumped[1], length, exponent)
    assert found == pytest.approx(leak, abs=1e-9) and strength == pytest.approx(4, rel=1e-6)


@pytest.mark.parametrize("exponent", [0.8, 1.0, 1.2])
def test_the_range_of_two_tests_holds_the_truth_for_every_exponent_in_it(exponent):
    leak, pumped, length = 2e-4, (1800, 7200), 600
    rates = [
        leak + 4 * 1800 ** (exponent - 1) * integrate.quad(lambda t: t**-exponent, p, p + length)[0] / length
        for p in pumped
    ]
    answer = work(
        rise_test.TWO,
        rate_first=f"{rates[0]} Pa m3/s",
        rate_second=f"{rates[1]} Pa m3/s",
        pumped_first="1800 s",
        pumped_second="7200 s",
        test_length="600 s",
        allowed_leak="",
    )
    figure = answer.figures["leak_rate"]
    assert figure.low_value <= leak <= figure.high_value and value(answer, "result_kind") == rise_test.ESTIMATE


def test_two_tests_are_judged_by_the_whole_range():
    assert work(rise_test.TWO, allowed_leak="1e-3 mbar L/s").verdict == "close"
    assert work(rise_test.TWO, allowed_leak="1e-2 mbar L/s").verdict == "within"
    same = work(rise_test.TWO, rate_second="6.5e-4 Pa m3/s", allowed_leak="1e-3 mbar L/s")
    assert same.verdict == "outside" and "did not fall" in same.sentence


def test_a_rise_that_falls_faster_than_outgassing_leaves_no_leak_but_a_bound():
    answer = work(rise_test.TWO, rate_second="1e-4 Pa m3/s", allowed_leak="")
    assert value(answer, "leak_rate") == 0 and 0 < value(answer, "leak_upper") <= 1.05e-4
    assert "no leak is needed" in answer.sentence


def test_the_second_test_must_come_late_enough():
    for pumped in ("30 min", "45 min", "60 min"):
        assert work(rise_test.TWO, pumped_second=pumped).refusal.reason == "second_test_too_soon"
    assert work(rise_test.TWO, pumped_second="80 min").refusal is None


# ---------------------------------------------------------------- the small ones


def test_allowed_leak_and_expected_rise_undo_each_other():
    allowed = value(work(rise_test.ALLOWED), "allowed_leak")
    oxygen = (
        0.20946
        * value(work(rise_test.RISE, leak_rate=f"{allowed} Pa m3/s", test_length="15 min"), "expected_rise")
        / 100500
    )
    assert oxygen == pytest.approx(20e-6, rel=1e-6)


def test_a_flow_hangs_on_its_reference_and_on_the_temperature():
    cold = value(work(rise_test.FLOW, gas_temperature="0 °C", flow="1 mL/min"), "throughput")
    warm = value(work(rise_test.FLOW, gas_temperature="20 °C", flow="1 mL/min"), "throughput")
    other = value(
        work(rise_test.FLOW, gas_temperature="20 °C", flow="1 mL/min", flow_reference="20 degC, 101.325 kPa"),
        "throughput",
    )
    assert cold == pytest.approx(other) == pytest.approx(1.68875e-3, rel=1e-5)
    assert warm / cold == pytest.approx(293.15 / 273.15)


def test_a_flow_without_reference_is_a_problem_that_names_the_field():
    found = problems(rise_test.FLOW, flow_reference="")
    assert set(found) & {"flow", "flow_reference"}


# ---------------------------------------------------------------- refusals and problems


@pytest.mark.parametrize(
    "rows, reason",
    [
        ("0 min 5 Pa · 5 min 6 Pa · 5 min 7 Pa", "times_not_rising"),
        ("0 min 5 Pa · 5 min 6 Pa · 4 min 7 Pa", "times_not_rising"),
        ("0 min 5 Pa · 5 min 101 mbar", "pressure_too_high"),
        ("0 min 5 Pa · 5 min 4.6 Pa · 10 min 6 Pa", "pressure_fell"),
    ],
)
def test_what_is_no_rise_test_is_refused(rows, reason):
    answer = work(readings=rows)
    assert answer.refusal.reason == reason and not answer.figures


def test_just_inside_the_refusals():
    assert work(readings="0 min 5 Pa · 5 min 100 mbar").refusal is None
    assert work(readings="0 min 5 Pa · 5 min 4.7 Pa · 10 min 6 Pa").refusal is None


def test_a_thermal_gauge_is_refused_in_other_gas():
    for gas in ("argon", "helium", "water vapour"):
        assert work(gauge_type="thermal", gas=gas).refusal.reason == "gauge_not_corrected"
    assert work(gauge_type="thermal", gas="nitrogen").refusal is None


def test_impossible_combinations_name_the_field():
    assert "readings" in problems(readings="0 min 5 Pa")
    assert "gauge_type" in problems(gauge_type="hot cathode")
    assert "gauge_type" in problems(gauge_type="dial")
    assert "readings" in problems(readings="")
    assert "gas_volume" in problems(gas_volume="0 L")


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0, 1e4), st.floats(0, 200)), min_size=1, max_size=12),
    st.floats(-20, 20),
    st.sampled_from(["1e-9 Pa", "0.1 Pa", "1000 Pa"]),
)
def test_any_readings_give_an_answer_a_problem_or_a_refusal(readings, change, resolution):
    rows = [{"time": f"{t} min", "pressure": f"{p} Pa"} for t, p in readings]
    try:
        work(readings=rows, temperature_change=f"{change} K", resolution=resolution)
    except calcs.Problems:
        pass


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(rise_test.FORM.modes),
    st.sampled_from([f.name for f in rise_test.FORM.fields]),
    st.text(max_size=40),
)
def test_any_text_in_any_field(mode, name, text):
    try:
        calcs.work_out("rise-test", EXAMPLE[mode] | {name: text})
    except calcs.Problems:
        pass
