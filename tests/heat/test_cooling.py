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
from calcs import solids
from calcs.heat.cooling import FROM_FURNACE, FROM_LOG, IN_AIR, fit, moment, natural_cooling, time_at, time_in_air
from calcs.heat.lining import Chamber, Lining, Load, Model

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


def example_rows():
    parts = [line.rsplit(" ", 2) for line in calcs.example("cooling")["log"].split(" · ")]
    return [{"time": time, "temperature": f"{number} {unit}"} for time, number, unit in parts]


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
    example = example_rows()
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


# ---------------------------------------------------------------- from the furnace's figures


def lining_of(k0, k1, extra=0.15, load=None):
    """The furnace of the independent model, in the package's own words."""
    k = solids.typed_curve("x", "conductivity", [(ZERO, k0), (ZERO + 2000, k0 + 2000 * k1)])
    c = solids.typed_curve("x", "specific heat", [(ZERO, 900.0), (ZERO + 2000, 1300.0)])
    body = Lining(0.28, 1.04, 0.10, 200.0, c, k)
    return Model(Chamber(body, 3500.0, 150.0, 11.0, extra, 0.0, ROOM, 0.0), load)


@pytest.mark.parametrize(("k0", "k1", "extra"), [(0.03, 1.2e-4, 0.15), (0.1, 1e-4, 0.15), (0.15, 3e-4, 0.8)])
def test_a_natural_cool_down_against_a_library_s_solver(k0, k1, extra):
    truth = LINING.cool_down(k0=k0, k1=k1, k3=0.0, extra=extra, soak_h=300)
    run = natural_cooling(lining_of(k0, k1, extra), 1273.15, 313.15)
    curve = [(t, y) for t, y, _ in run]
    for celsius in (800, 600, 400, 200, 100, 60):
        assert time_at(curve, celsius + ZERO, ROOM) == pytest.approx(LINING.time_of(truth, celsius), rel=0.03), celsius


def test_a_load_cools_behind_the_chamber():
    run = natural_cooling(lining_of(0.03, 1.2e-4, load=Load(1000.0, 0.1, 0.1, 0.0)), 873.15, 333.15)
    assert all(load >= chamber - 1e-9 for _, chamber, load in run) and run[-1][2] > run[-1][1] + 0.5


def test_time_at_lies_on_an_exponential():
    curve = [(600.0 * n, ROOM + 500 * exp(-n / 6)) for n in range(40)]
    for excess in (500, 333, 100, 7):
        assert time_at(curve, ROOM + excess, ROOM) == pytest.approx(3600 * log(500 / excess), abs=1e-6)
    assert time_at(curve, ROOM + 0.1, ROOM) == float("inf")


def test_the_furnace_s_range_holds_the_log_of_the_same_furnace():
    model, logged = work(FROM_FURNACE), work()
    assert hours(model, "low") < hours(logged, "low") and hours(logged, "high") < hours(model, "high")
    assert hours(model, "high") / hours(model) == pytest.approx(1.4) == hours(model) / hours(model, "low")


def test_helium_cools_sooner_and_vacuum_later():
    found = {
        gas: hours(work(FROM_FURNACE, gas=gas, insulation_conductivity="")) for gas in ("helium", "nitrogen", "argon")
    }
    found["vacuum"] = hours(work(FROM_FURNACE, gas="vacuum", insulation_conductivity="", chamber_pressure="10 Pa"))
    assert found["helium"] < found["nitrogen"] < found["argon"] < found["vacuum"]
    assert 0.25 < found["helium"] / found["nitrogen"] < 0.6


def test_a_thicker_lining_and_a_larger_load_cool_later():
    base = hours(work(FROM_FURNACE))
    assert hours(work(FROM_FURNACE, insulation_thickness="150 mm")) > base
    assert hours(work(FROM_FURNACE, load_mass="20 kg")) > base
    assert hours(work(FROM_FURNACE, start_temperature="1000 °C")) > base


def test_hydrogen_behind_the_door_is_a_danger():
    assert "DANGER" in [c.word for c in work(FROM_FURNACE, gas="hydrogen").cautions]
    assert "DANGER" not in [c.word for c in work(FROM_FURNACE).cautions]


def test_the_furnace_s_figures_must_fit():
    for changed, name in (
        ({"outer_area": "0.4 m2"}, "outer_area"),
        ({"start_temperature": "21 °C"}, "start_temperature"),
        ({"start_temperature": "1700 °C", "insulation_conductivity": ""}, "insulation_conductivity"),
    ):
        with pytest.raises(calcs.Problems) as caught:
            work(FROM_FURNACE, **changed)
        assert name in caught.value.problems
    assert refusal(FROM_FURNACE, opening_temperature="") == "no_deciding_temperature"
    assert refusal(FROM_FURNACE, opening_temperature="21 °C") == "never_reached"
    endless = {"insulation_thickness": "1 m", "insulation_density": "3000 kg/m3", "parallel_loss": "0 W/K"}
    assert refusal(FROM_FURNACE, **endless) == "never_reached"
    assert work(FROM_FURNACE, opening_temperature="100 °C", air_limit="60 °C").verdict == "outside"


# ---------------------------------------------------------------- refusals and problems


def test_without_an_opening_temperature_the_clock_is_not_asked():
    assert refusal(opening_temperature="") == "no_deciding_temperature"


def test_fifteen_rows_are_needed():
    example = example_rows()
    assert refusal(log=example[:14]) == "too_few_rows"
    assert work(log=example[:15]).refusal is None


def test_rows_before_five_minutes_do_not_count():
    example = example_rows()
    early = [{"time": "0 min", "temperature": "600 °C"}, {"time": "2 min", "temperature": "597 °C"}]
    answer = work(log=early + example)
    assert hours(answer) == pytest.approx(hours(work()))
    assert any("2 rows" in note.replace("\u00a0", " ") for note in answer.notes)
    assert refusal(log=early + example[:14]) == "too_few_rows"


def test_a_log_with_the_heater_on():
    example = [row | {"power": "0 W"} for row in example_rows()]
    assert work(log=example).refusal is None
    example[3]["power"] = "200 W"
    assert refusal(log=example) == "heater_on"


def test_a_log_that_rises():
    example = [dict(row) for row in example_rows()]
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


def test_rows_whose_time_does_not_go_on_are_left_out():
    example = example_rows()
    twice = [*example[:6], example[5], *example[6:]]
    answer = work(log=twice)
    assert hours(answer) == pytest.approx(hours(work()))
    assert any("left out" in note for note in answer.notes)


@pytest.mark.parametrize("log", ["", "5 min", "5 min 588 °C · what", "time,temp\n5,588", "5 min -300 °C · 6 min 5 °C"])
def test_a_log_that_cannot_be_read(log):
    try:
        answer = work(log=log)
    except calcs.Problems as trouble:
        assert "log" in trouble.problems
    else:
        assert answer.refusal.reason == "log_not_usable"


# ---------------------------------------------------------------- the whole answer


def test_rows_lines_and_a_file_say_the_same():
    assert hours(work(log=example_rows())) == pytest.approx(hours(work()))
    lines = "\n".join(f"{row['time']}, {row['temperature']}, 0 W" for row in example_rows())
    assert hours(work(log=lines)) == pytest.approx(hours(work()))
    file = "time (min);temperature (°C)\n0;600\n" + "\n".join(
        f"{row['time'][:-4]};{row['temperature'][:-3]}" for row in example_rows()
    )
    assert hours(work(log=file)) == pytest.approx(hours(work()))


def test_the_clock_is_that_of_the_log():
    later = [row | {"time": f"{float(row['time'][:-4]) + 60:g} min"} for row in example_rows()]
    assert hours(work(log=later)) == pytest.approx(hours(work()) + 1, abs=0.01)


def test_units_do_not_matter():
    given = [(float(r["time"][:-4]), float(r["temperature"][:-3])) for r in example_rows()]
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
@given(st.sampled_from((FROM_LOG, FROM_FURNACE, IN_AIR)), st.data())
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
