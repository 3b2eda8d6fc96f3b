"""Cooling: the fit of a log, the margin beyond its end, one part in air, and what is refused."""

import importlib.util
from math import exp, log
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import least_squares

import calcs
from calcs.heat.cooling import FROM_LOG, IN_AIR, fit, moment, time_in_air

SPEC = importlib.util.spec_from_file_location("lining_model", Path(__file__).with_name("lining_model.py"))
LINING = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(LINING)

ZERO, ROOM = 273.15, 293.15


def work(use=FROM_LOG, **changed):
    return calcs.work_out("cooling", calcs.example("cooling", use) | changed)


def refusal(use=FROM_LOG, **changed):
    answer = work(use, **changed)
    assert not answer.figures
    return answer.refusal.reason


def hours(answer, end=""):
    figure = answer.figures["time"]
    return {"": figure.value, "low": figure.low_value, "high": figure.high_value}[end] / 3600


def rows(points):
    return [{"time": f"{t / 60:.6g} min", "temperature": f"{y:.3f} °C"} for t, y in points]


def two_exponentials(a1, tau1, a2, tau2, times):
    return [(t, ROOM + a1 * exp(-t / tau1) + a2 * exp(-t / tau2)) for t in times]


# ---------------------------------------------------------------- the fit


@pytest.mark.parametrize(
    ("a1", "tau1", "a2", "tau2"), [(191.5, 819, 788.5, 15194), (400, 300, 200, 20000), (30, 1500, 900, 9000)]
)
def test_a_clean_log_gives_its_constants_back(a1, tau1, a2, tau2):
    times = [300 + 300 * n for n in range(50)]
    found = fit(two_exponentials(a1, tau1, a2, tau2, times), ROOM)
    assert found.constants_s == pytest.approx((tau1, tau2), rel=2e-3)
    assert found.amplitudes_k == pytest.approx((a1, a2), rel=2e-3)
    assert found.error_k < 0.05


@pytest.mark.parametrize("seed", range(6))
def test_a_noisy_log_is_fitted_as_well_as_by_a_library(seed):
    rng = np.random.default_rng(seed)
    times = np.linspace(300, 14000, 40)
    clean = 150 * np.exp(-times / 900) + 500 * np.exp(-times / 11000)
    above = clean + rng.normal(0, 1.0, times.size)
    found = fit([(float(t), ROOM + float(y)) for t, y in zip(times, above, strict=True)], ROOM)

    def misses(p):
        return np.exp(p[0]) * np.exp(-times / np.exp(p[1])) + np.exp(p[2]) * np.exp(-times / np.exp(p[3])) - above

    best = least_squares(misses, [log(150), log(900), log(500), log(11000)])
    assert found.error_k <= np.sqrt(np.mean(best.fun**2)) * 1.001
    assert found.constants_s[1] == pytest.approx(exp(max(best.x[1], best.x[3])), rel=0.02)


def test_one_exponential_is_one_exponential():
    times = [300 + 300 * n for n in range(30)]
    found = fit([(t, ROOM + 800 * exp(-t / 3600)) for t in times], ROOM)
    assert found.temperature(7200) == pytest.approx(ROOM + 800 * exp(-2), abs=0.05)
    assert found.time(ROOM + 10) == pytest.approx(3600 * log(80), rel=1e-3)


def test_a_long_log_is_thinned_and_fits_as_well():
    times = [300 + 40 * n for n in range(390)]
    found = fit(two_exponentials(191.5, 819, 788.5, 15194, times), ROOM)
    assert found.constants_s[1] == pytest.approx(15194, rel=5e-3)


def test_neither_amplitude_is_negative():
    bent = [(300 + 300 * n, ROOM + 500 * (1 - (n / 40) ** 2)) for n in range(30)]  # falls faster and faster
    assert min(fit(bent, ROOM).amplitudes_k) >= 0


# ---------------------------------------------------------------- beyond the log


FURNACES = {
    "in nitrogen": {},
    "thin conduction": {"k0": 0.02, "k1": 0.4e-4},
    "vacuum": {"k0": 0.01, "k1": 0.0},
    "helium": {"k0": 0.15, "k1": 3e-4, "k3": 1e-10},
    "leaky door": {"extra": 0.8},
}


@pytest.mark.parametrize("name", FURNACES)
def test_the_bare_fit_is_early_and_the_late_end_is_never_early(name):
    chamber = LINING.cool_down(**FURNACES[name])
    for end in (500, 300, 120):
        last = LINING.time_of(chamber, end)
        points = [(300 + (last - 300) * (i / 24) ** 1.3, 0.0) for i in range(25)]
        points = [(t, chamber(t) + ZERO) for t, _ in points]
        found = fit(points, ROOM)
        for limit in (200, 100, 60, 45):
            if limit < end:
                m, truth = moment(found, points, limit + ZERO), LINING.time_of(chamber, limit)
                assert m.early_s < truth <= m.late_s, (end, limit)
                assert 0.95 * truth < m.time_s < 1.3 * truth, (end, limit)


def test_inside_the_log_the_rows_answer():
    answer = work(opening_temperature="371 °C", air_limit="", touch_limit="371 °C")
    assert hours(answer) == pytest.approx(1.0) == hours(answer, "low") == hours(answer, "high")
    assert answer.verdict == "within"
    halfway = work(opening_temperature="355.5 °C", air_limit="", touch_limit="400 °C")
    assert hours(halfway) == pytest.approx(67.5 / 60)


def test_the_time_grows_steadily_across_the_end_of_the_log():
    found = [hours(work(opening_temperature=f"{t} °C", air_limit="", touch_limit="400 °C")) for t in range(180, 40, -5)]
    assert found == sorted(found) and len(set(found)) == len(found)


def test_a_lower_limit_takes_longer_and_the_latest_limit_decides():
    answer = work(opening_temperature="100 °C", air_limit="60 °C", touch_limit="80 °C", **{})
    assert answer.figures["governing_limit"].value == "the load may meet air"
    names = [row["limit"] for row in answer.figures["limit_times"].rows]
    assert names == ["the furnace may be opened", "the load may be touched", "the load may meet air"]


def test_a_warmer_room_makes_it_later():
    assert hours(work(room_temperature="25 °C")) > hours(work())


def test_a_longer_log_narrows_the_range():
    example = calcs.example("cooling")["log"]
    short = work(log=example[:16])
    assert hours(short, "high") - hours(short, "low") > hours(work(), "high") - hours(work(), "low")


# ---------------------------------------------------------------- one part in air


def test_a_part_in_air_against_a_library():
    sigma = 5.670374419e-8
    for start, end, h, e in (
        (873.15, 333.15, 7, 0.1),
        (1473.15, 300.0, 20, 0.85),
        (400, 296, 100, 0.01),
        (1300, 1200, 1, 1),
    ):
        exact = quad(lambda t: 840 / 0.45 / (h * (t - ROOM) + e * sigma * (t**4 - ROOM**4)), end, start)[0]  # noqa: B023
        assert time_in_air(start, end, ROOM, 840, 0.45, h, e) == pytest.approx(exact, rel=1e-5)


def test_a_part_in_air_against_integration_in_time():
    sigma = 5.670374419e-8

    def fall(t, y):
        return [-0.45 / 840 * (7 * (y[0] - ROOM) + 0.1 * sigma * (y[0] ** 4 - ROOM**4))]

    def cold(t, y):
        return y[0] - 333.15

    cold.terminal = True
    found = solve_ivp(fall, (0, 1e5), [873.15], events=cold, rtol=1e-9, atol=1e-9)
    assert work(IN_AIR).figures["time"].value == pytest.approx(found.t_events[0][0], rel=1e-5)


def test_without_radiation_it_is_newton_s_law():
    t = time_in_air(800, 400, 300, 1000, 0.5, 10, 0.0)
    assert t == pytest.approx(1000 / (0.5 * 10) * log(500 / 100), rel=1e-7)


def test_the_part_moves_the_right_way():
    base = work(IN_AIR).figures["time"].value
    assert work(IN_AIR, load_mass="4 kg").figures["time"].value == pytest.approx(2 * base)
    assert work(IN_AIR, load_area="0.9 m2").figures["time"].value == pytest.approx(base / 2)
    assert work(IN_AIR, load_emissivity="0.8").figures["time"].value < base
    figure = work(IN_AIR).figures["time"]
    assert figure.low_value < figure.value < figure.high_value


# ---------------------------------------------------------------- refusals and problems


def test_without_an_opening_temperature_the_clock_is_not_asked():
    assert refusal(opening_temperature="") == "no_deciding_temperature"


def test_fifteen_rows_are_needed():
    example = calcs.example("cooling")["log"]
    assert refusal(log=example[:14]) == "too_few_rows"
    assert work(log=example[:15]).refusal is None


def test_rows_before_five_minutes_do_not_count():
    example = calcs.example("cooling")["log"]
    early = [{"time": "0 min", "temperature": "600 °C"}, {"time": "2 min", "temperature": "597 °C"}]
    answer = work(log=early + example)
    assert hours(answer) == pytest.approx(hours(work()))
    assert any("2 rows" in note.replace("\u00a0", " ") for note in answer.notes)
    assert refusal(log=early + example[:14]) == "too_few_rows"


def test_a_log_with_the_heater_on():
    example = [dict(row) for row in calcs.example("cooling")["log"]]
    example[3]["power"] = "200 W"
    assert refusal(log=example) == "heater_on"
    example[3]["power"] = "0 W"
    assert work(log=example).refusal is None


def test_a_log_that_rises():
    example = [dict(row) for row in calcs.example("cooling")["log"]]
    example[7]["temperature"] = "400 °C"
    assert refusal(log=example) == "not_falling"
    flat = [{"time": f"{5 + n} min", "temperature": "300 °C"} for n in range(16)]
    assert refusal(log=flat) == "not_falling"


def test_a_room_warmer_than_the_log():
    low = two_exponentials(100, 600, 9, 9000, [300 + 300 * n for n in range(60)])
    log_rows = rows([(t, y - ZERO) for t, y in low])
    assert refusal(log=log_rows, room_temperature="30 °C") == "room_above_reading"


@pytest.mark.parametrize("name", ["opening_temperature", "air_limit", "touch_limit"])
def test_a_limit_at_the_room_is_never_reached(name):
    assert refusal(**{name: "21.9 °C"}) == "never_reached"
    assert work(**{name: "22 °C"}).refusal is None


def test_a_part_never_gets_to_the_room():
    assert refusal(IN_AIR, target_temperature="21.9 °C") == "never_reached"
    assert work(IN_AIR, target_temperature="22.1 °C").refusal is None


def test_a_furnace_opened_before_the_load_may_meet_air():
    answer = work(opening_temperature="200 °C", air_limit="60 °C")
    assert answer.verdict == "outside" and "the load decides" in answer.sentence
    assert answer.figures["governing_limit"].value != "the furnace may be opened"


def test_a_start_below_the_end_is_a_problem():
    with pytest.raises(calcs.Problems) as caught:
        work(IN_AIR, start_temperature="50 °C")
    assert "start_temperature" in caught.value.problems


def test_times_must_rise():
    example = [dict(row) for row in calcs.example("cooling")["log"]]
    example[5]["time"] = "30 min"
    with pytest.raises(calcs.Problems) as caught:
        work(log=example)
    assert caught.value.problems["log"].cell == (5, "time")


# ---------------------------------------------------------------- the whole answer


def test_pasted_lines_are_read_like_rows():
    example = calcs.example("cooling")["log"]
    for between in (" ", ", ", "\t", " | "):
        for end in ("\n", " · ", ";"):
            text = end.join(f"{row['time']}{between}{row['temperature']}" for row in example)
            assert hours(work(log=text)) == pytest.approx(hours(work()))
    with_power = "\n".join(f"{row['time']}, {row['temperature']}, 0 W" for row in example)
    assert hours(work(log=with_power)) == pytest.approx(hours(work()))


def test_units_do_not_matter():
    given = [(float(r["time"][:-4]), float(r["temperature"][:-3])) for r in calcs.example("cooling")["log"]]
    example = [{"time": f"{t / 60:.9g} h", "temperature": f"{y + ZERO:.6g} K"} for t, y in given]
    same = work(log=example, opening_temperature="140 °F", air_limit="333.15 K", room_temperature="68 °F")
    assert hours(same) == pytest.approx(hours(work()), rel=1e-6)


def test_the_sentence_says_to_measure():
    assert "by measured temperature, not by time" in work().sentence
    assert "by measured temperature, not by time" in work(IN_AIR).sentence
    assert [c.word for c in work().cautions] == ["WARNING", "WARNING"]


def test_far_extrapolation_is_close_at_best():
    assert work().verdict == "close" and "far beyond its end" in work().sentence
    assert work(opening_temperature="100 °C", air_limit="", touch_limit="100 °C").verdict == "within"


@settings(max_examples=60, deadline=None)
@given(st.sampled_from((FROM_LOG, IN_AIR)), st.data())
def test_any_text_gives_an_answer_a_problem_or_a_refusal(mode, data):
    name = data.draw(st.sampled_from(sorted(calcs.example("cooling", mode))))
    try:
        answer = work(mode, **{name: data.draw(st.text(max_size=60))})
    except calcs.Problems as trouble:
        assert trouble.messages
    else:
        assert answer.refusal or answer.sentence


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(0.5, 60), st.floats(-8, 60)), min_size=16, max_size=30), st.floats(25, 900))
def test_any_log_gives_an_answer_or_a_refusal(steps, limit):
    t, y, found = 300.0, 900.0, []
    for more, fall in steps:
        found.append((t, max(y, 24.0)))
        t, y = t + more * 60, y - fall
    answer = work(log=rows(found), opening_temperature=f"{limit:.2f} °C", air_limit="", touch_limit="890 °C")
    assert answer.refusal or hours(answer, "low") <= hours(answer) * (1 + 1e-9) <= hours(answer, "high") * (1 + 2e-9)
