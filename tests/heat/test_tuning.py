"""Tuning: the rules, how calm the loop is, the fit of a step test, and what is refused."""

import csv
from math import exp, inf, pi
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import curve_fit

import calcs
from calcs.data import rows as data_rows
from calcs.heat import tuning
from calcs.heat.tuning import (
    IMC_PI,
    KNOWN,
    RULES,
    SIMC_PI,
    SIMC_PID,
    STEP_TEST,
    Process,
    Settings,
    from_series,
    identify,
    peak_sensitivity,
    response,
    to_series,
)

FURNACE = Process(200.0, 3000.0, 90.0)  # 2 K for one per cent


def work(use=KNOWN, **changed):
    return calcs.work_out("tuning", calcs.example("tuning", use) | changed)


def refusal(use=KNOWN, **changed):
    answer = work(use, **changed)
    assert not answer.figures
    return answer.refusal.reason


def log_of(rise, times, temperature=False, noise=0.0, seed=1, start=400.0):
    rng = np.random.default_rng(seed)
    values = [rise(t) + noise * rng.normal() for t in times]
    if temperature:
        return [
            {"time": f"{t:.6g} s", "temperature": f"{start + y:.3f} °C"} for t, y in zip(times, values, strict=True)
        ]
    return [{"time": f"{t:.6g} s", "rise": f"{y:.3f} K"} for t, y in zip(times, values, strict=True)]


def known(gain=200.0, lag=3000.0, dead=90.0, step=0.1):
    return lambda t: gain * step * (1 - exp(-(t - dead) / lag)) if t > dead else 0.0


TIMES = [60.0 * n for n in range(60)]


# ---------------------------------------------------------------- rules


@pytest.mark.parametrize(
    ("rule", "closed_loop", "gain", "integral", "derivative"),
    [
        (SIMC_PI, 90, 8.3333, 720, 0), (SIMC_PI, 270, 4.1667, 1440, 0), (IMC_PI, 90, 8.3333, 3000, 0),
        ("Ziegler-Nichols PI", 90, 15.0, 300, 0), ("Ziegler-Nichols PID", 90, 20.0, 180, 45),
        ("Cohen-Coon PI", 90, 15.0417, 282.09, 0), ("Cohen-Coon PID", 90, 22.347, 218.75, 32.55),
    ],
)  # fmt: skip
def test_the_rules_by_hand(rule, closed_loop, gain, integral, derivative):
    found = tuning.settings(rule, FURNACE, closed_loop)
    assert found.gain_per_k * 100 == pytest.approx(gain, rel=1e-4)
    assert found.integral_s == pytest.approx(integral, rel=1e-4)
    assert found.derivative_s == pytest.approx(derivative, rel=1e-3)


def test_every_rule_of_the_list_gives_settings():
    process = Process(200.0, 3000.0, 90.0, 40.0)
    for rule in RULES:
        found = tuning.settings(rule, process, 200.0)
        assert found.gain_per_k > 0 and found.integral_s > 0 and found.derivative_s >= 0
    listed = {row["rule"] for row in data_rows("heat/tuning_rules.csv")}
    assert listed == {r for r in RULES if not r.startswith(("SIMC", "IMC"))}


def test_an_integrating_furnace_is_tuned_by_slope_and_dead_time_alone():
    # SIMC looks at k/τ and θ only, where the lag is long: ten times both change nothing.
    one, ten = (
        tuning.settings(SIMC_PI, Process(200, 30000, 90), 270),
        tuning.settings(SIMC_PI, Process(2000, 300000, 90), 270),
    )
    assert one.gain_per_k == pytest.approx(ten.gain_per_k) and one.integral_s == ten.integral_s


def test_series_there_and_back():
    for k, ti, td in ((1.3, 2.0, 1.2), (5, 100, 1), (2, 10, 10)):
        ideal = from_series(k, ti, td)
        back = to_series(ideal)
        larger, smaller = max(ti, td), min(ti, td)
        assert (back.integral_s, back.derivative_s) == pytest.approx((larger, smaller), rel=1e-6)
        # the two forms are one controller: compare them at a frequency
        s = 1j * 0.37
        first = ideal.gain_per_k * (1 + 1 / (ideal.integral_s * s) + ideal.derivative_s * s)
        second = back.gain_per_k * (1 + 1 / (back.integral_s * s)) * (1 + back.derivative_s * s)
        assert first == pytest.approx(second)
    assert to_series(Settings(1.0, 3.9, 1.0)) is None


# ---------------------------------------------------------------- calm


@pytest.mark.parametrize(
    ("rule", "closed_loop"),
    [(SIMC_PI, 90), (SIMC_PI, 270), ("Ziegler-Nichols PI", 90), ("Ziegler-Nichols PID", 90), ("Cohen-Coon PID", 90)],
)
def test_the_peak_against_a_library_s_scan(rule, closed_loop):
    chosen = tuning.settings(rule, FURNACE, closed_loop)
    s = 1j * np.geomspace(1e-6, 2, 100_000)
    td = chosen.derivative_s
    control = chosen.gain_per_k * (1 + 1 / (chosen.integral_s * s) + td * s / (1 + 0.1 * td * s))
    scan = np.max(1 / np.abs(1 + control * 200 * np.exp(-90 * s) / (3000 * s + 1)))
    assert peak_sensitivity(FURNACE, chosen) == pytest.approx(scan, rel=2e-3)


def test_the_edge_of_stability_is_found():
    # Proportional gain alone (endless integral time): the edge lies where the phase is half a turn.
    from scipy.optimize import brentq

    w = brentq(lambda w: np.arctan(3000 * w) + 90 * w - pi, 1e-4, 0.03)
    edge = np.sqrt(1 + (3000 * w) ** 2) / 200
    assert peak_sensitivity(FURNACE, Settings(0.97 * edge, 1e7)) < inf
    assert peak_sensitivity(FURNACE, Settings(1.03 * edge, 1e7)) == inf


def test_a_shorter_closed_loop_time_is_livelier():
    found = [peak_sensitivity(FURNACE, tuning.settings(SIMC_PI, FURNACE, t)) for t in (90, 180, 270, 900, 3000)]
    assert found == sorted(found, reverse=True)


def test_an_unstable_loop_swings_in_the_simulation_too():
    lively = Settings(0.4, 200.0)
    assert peak_sensitivity(FURNACE, lively) == inf
    rises = [y for _, y, _ in response(FURNACE, lively, 5.0, 0.5, 6000).steps]
    assert max(rises[-40:]) - min(rises[-40:]) > 5


# ---------------------------------------------------------------- the answer to a step


def test_by_hand_it_is_the_first_order_curve():
    found = response(FURNACE, None, 50.0, 0.1, 9000)
    for t, y, output in found.steps:
        exact = 50 * (1 - exp(-(t - 90) / 3000)) if t > 90 else 0.0
        assert y == pytest.approx(exact, abs=0.3) and output == pytest.approx(0.35)


def test_the_integral_waits_at_full_power():
    chosen = tuning.settings(SIMC_PI, FURNACE, 90)
    assert response(FURNACE, chosen, 150.0, 0.0, 20000).overshoot_k == pytest.approx(0.0, abs=0.5)


def test_a_calm_loop_arrives_and_stays():
    for rule, second in ((SIMC_PI, 0.0), (IMC_PI, 0.0), (SIMC_PID, 40.0)):
        process = Process(200.0, 3000.0, 90.0, second)
        chosen = tuning.settings(rule, process, 270)
        end = response(process, chosen, 50.0, 0.3, 40000).steps[-1]
        assert end[1] == pytest.approx(50, abs=0.5) and end[2] == pytest.approx(0.55, abs=0.01)


def test_the_output_stays_between_nothing_and_all():
    for _, _, output in response(FURNACE, tuning.settings("Cohen-Coon PID", FURNACE, 90), 300.0, 0.5, 9000).steps:
        assert 0 <= output <= 1


# ---------------------------------------------------------------- the step test


@pytest.mark.parametrize(("gain", "lag", "dead"), [(200, 3000, 90), (3000, 6600, 58), (50, 400, 300), (500, 20000, 30)])
def test_a_clean_record_gives_its_figures_back(gain, lag, dead):
    rise = known(gain, lag, dead)
    times = [0.0, *np.geomspace(10, 3 * lag, 55)]
    found = identify([(t, rise(t)) for t in times], 0.1).process
    assert (found.gain_k, found.lag_s, found.dead_s) == pytest.approx((gain, lag, dead), rel=1e-3, abs=0.5)


@pytest.mark.parametrize("seed", range(5))
def test_a_noisy_record_is_fitted_as_well_as_by_a_library(seed):
    rng = np.random.default_rng(seed)
    t = np.arange(0, 6000, 100.0)
    y = np.array([known()(x) for x in t]) + rng.normal(0, 0.3, t.size)

    def shape(t, a, b, c):
        return np.where(t > c, a * (1 - np.exp(-(t - c) / b)), 0)

    best, covariance = curve_fit(shape, t, y, p0=(20, 3000, 90))
    found = identify(list(zip(t.tolist(), y.tolist(), strict=True)), 0.1)
    assert found.process.lag_s == pytest.approx(best[1], rel=0.02)
    assert found.process.dead_s == pytest.approx(best[2], abs=8)
    assert found.errors[1] == pytest.approx(2 * np.sqrt(covariance[1, 1]), rel=0.25)


def test_the_answer_of_a_test_is_that_of_its_figures():
    log = log_of(known(), TIMES)
    tested = work(STEP_TEST, log=log, closed_loop_time="270 s")
    typed = work(process_gain="2 K/%", process_lag="3000 s", dead_time="90 s", closed_loop_time="270 s")
    for name in ("controller_gain", "integral_time", "peak_sensitivity"):
        assert tested.figures[name].value == pytest.approx(typed.figures[name].value, rel=5e-3)


def test_temperatures_and_rises_say_the_same():
    one = work(STEP_TEST, log=log_of(known(), TIMES))
    other = work(STEP_TEST, log=log_of(known(), TIMES, temperature=True))
    assert other.figures["process_lag"].value == pytest.approx(one.figures["process_lag"].value, rel=1e-3)


def test_pasted_lines_are_read():
    text = "\n".join(f"{60 * n} s, {known()(60.0 * n):.3f} K" for n in range(60))
    assert work(STEP_TEST, log=text).figures["process_lag"].value == pytest.approx(3000, rel=5e-3)
    celsius = "\n".join(f"{n - 5} min\t{400 + known()(60.0 * (n - 5)):.3f} °C" for n in range(65))
    assert work(STEP_TEST, log=celsius).figures["process_lag"].value == pytest.approx(3000, rel=5e-3)


def test_the_example_test():
    answer = work(STEP_TEST)
    figure = answer.figures["process_lag"]
    assert figure.low_value < figure.value < figure.high_value
    assert answer.figures["process_gain"].quantity.m == pytest.approx(30, abs=1)


# ---------------------------------------------------------------- refusals


def test_without_a_record_there_are_no_settings():
    assert refusal(STEP_TEST, log="") == "no_step_record"
    assert refusal(STEP_TEST, log=log_of(known(), TIMES[:19])) == "no_step_record"
    assert work(STEP_TEST, log=log_of(known(), TIMES[:20])).refusal is None


def test_a_step_in_the_noise():
    flat = log_of(lambda t: 0.0, TIMES, noise=1.0)
    assert refusal(STEP_TEST, log=flat) == "step_too_small"


def test_the_wrong_sign():
    assert refusal(STEP_TEST, log=log_of(lambda t: -known()(t), TIMES)) == "wrong_sign"


def test_a_start_that_drifts():
    times = [60.0 * n for n in range(-10, 60)]
    steady = log_of(known(), times, noise=0.02)
    assert work(STEP_TEST, log=steady).refusal is None
    drifting = log_of(lambda t: known()(t) + 0.003 * t, times, noise=0.02)
    assert refusal(STEP_TEST, log=drifting) == "no_steady_start"


def test_no_dead_time():
    assert refusal(dead_time="0 s") == "no_dead_time"
    at_once = log_of(lambda t: 20 * (1 - exp(-(t + 30) / 3000)), TIMES)
    assert refusal(STEP_TEST, log=at_once) == "no_dead_time"


def test_a_test_near_the_limit():
    high = work(STEP_TEST, start_temperature="920 °C")
    assert high.refusal.reason == "near_limit"
    assert work(STEP_TEST, start_temperature="910 °C").refusal is None
    hot = log_of(known(), TIMES, temperature=True, start=990.0)
    assert refusal(STEP_TEST, log=hot) == "near_limit"
    unknown = work(STEP_TEST, start_temperature="")
    assert any("is not looked at" in note for note in unknown.notes)


@pytest.mark.parametrize("rule", ["Ziegler-Nichols PI", "Ziegler-Nichols PID", "Cohen-Coon PI", "Cohen-Coon PID"])
def test_lively_rules_are_shown_but_not_given(rule):
    given = {"process_gain": "2 K/%", "process_lag": "3000 s", "dead_time": "90 s"}
    assert refusal(**given, rule=rule) == "too_lively"
    table = {row["rule"]: row for row in work(**given).figures["all_rules"].rows}
    assert table[rule]["word"] in ("not given", "unstable") and table[SIMC_PI]["word"] == "calm"


def test_simc_pid_needs_its_second_lag():
    with pytest.raises(calcs.Problems) as caught:
        work(rule=SIMC_PID, second_lag="")
    assert "second_lag" in caught.value.problems
    assert work(rule=SIMC_PID).figures["derivative_time"].value > 0


def test_the_closed_loop_is_not_faster_than_the_dead_time():
    with pytest.raises(calcs.Problems) as caught:
        work(closed_loop_time="59 s")
    assert "closed_loop_time" in caught.value.problems
    assert work(closed_loop_time="60 s").refusal is None


@pytest.mark.parametrize(
    "row",
    [
        {"time": "30 s"},
        {"time": "30 s", "rise": "1 K", "temperature": "401 °C"},
        {"time": "30 s", "temperature": "401 °C"},
    ],
)
def test_rows_that_say_too_little_or_too_much(row):
    log = log_of(known(), TIMES)
    with pytest.raises(calcs.Problems) as caught:
        work(STEP_TEST, log=[log[0], row, *log[1:]])
    assert caught.value.problems["log"].cell[0] == 1


# ---------------------------------------------------------------- the whole answer


def test_verdicts():
    given = {"process_gain": "2 K/%", "process_lag": "3000 s", "dead_time": "90 s"}
    assert work(**given, closed_loop_time="90 s").verdict == "within"
    assert work(process_gain="2 K/%", process_lag="80 s", dead_time="90 s", closed_loop_time="").verdict == "close"
    lively = work(**given, closed_loop_time="90 s", rule=IMC_PI)
    assert lively.verdict == "within" and lively.figures["peak_sensitivity"].value < 1.7


def test_units_do_not_matter():
    same = work(
        process_gain="30 °C/%",
        process_lag="6600 s",
        dead_time="1 min",
        closed_loop_time="180 s",
        controller_span="2160 °F",
    )
    assert same.figures["controller_gain"].value == pytest.approx(work().figures["controller_gain"].value)
    assert same.sentence == work().sentence


def test_forms():
    ideal = work(rule=SIMC_PID).figures
    series = work(rule=SIMC_PID, controller_form="series").figures
    assert series["derivative_time"].value == pytest.approx(90)
    assert ideal["controller_gain"].value > series["controller_gain"].value
    parallel = work(controller_form="parallel")
    assert any("Parallel form" in note for note in parallel.notes)


def test_band_and_gain_are_one():
    figures = work().figures
    assert figures["proportional_band"].value * figures["controller_gain"].value == pytest.approx(1)
    assert (
        "% of the span" in work().sentence.replace("\u00a0", " ")
        and "% of the span" not in work(controller_span="").sentence
    )


def test_the_picture_shows_temperature_and_output_before_and_after():
    picture = work().pictures[0]
    assert len(picture.lanes) == 2 and [len(lane.curves) for lane in picture.lanes] == [2, 2]
    assert [c.label for c in picture.lanes[0].curves] == ["SIMC PI", "by hand"]


def test_the_rules_file_is_what_it_says():
    path = Path(tuning.__file__).parents[1] / "data/heat/tuning_rules.csv"
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    assert len(list(csv.DictReader(lines))) == 4


@settings(max_examples=60, deadline=None)
@given(st.sampled_from((KNOWN, STEP_TEST)), st.data())
def test_any_text_gives_an_answer_a_problem_or_a_refusal(mode, data):
    name = data.draw(st.sampled_from(sorted(calcs.example("tuning", mode))))
    try:
        answer = work(mode, **{name: data.draw(st.text(max_size=60))})
    except calcs.Problems as trouble:
        assert trouble.messages
    else:
        assert answer.refusal or answer.sentence


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.01, 9000), st.floats(1, 3e6), st.floats(0.1, 3e5), st.sampled_from(RULES), st.floats(0.1, 3e5),
    st.sampled_from(("ideal", "parallel", "series")), st.floats(1, 50),
)  # fmt: skip
def test_any_furnace_gives_settings_or_a_refusal(gain, lag, dead, rule, second, form, times):
    try:
        answer = work(
            process_gain=f"{gain:.4g} K/%", process_lag=f"{lag:.4g} s", dead_time=f"{dead:.4g} s", rule=rule,
            second_lag=f"{second:.4g} s", controller_form=form, closed_loop_time=f"{dead * times * 1.001:.6g} s",
        )  # fmt: skip
    except calcs.Problems as trouble:
        assert trouble.messages
    else:
        assert answer.refusal or answer.figures["peak_sensitivity"].value >= 1


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(-50, 400), min_size=20, max_size=60), st.floats(1, 50))
def test_any_record_gives_settings_or_a_refusal(rises, step):
    log = [{"time": f"{30 * n} s", "rise": f"{y:.3f} K"} for n, y in enumerate(rises)]
    answer = work(STEP_TEST, log=log, output_step=f"{step:.2f} %", closed_loop_time="")
    assert answer.refusal or answer.sentence
