"""Check a log: lining up, findings, soak, pressure, sensors, refusals; and planted faults, of which just those are found."""

import random
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calcs
from calcs.heat.segments import legs
from calcs.run import log_faults, log_plan
from calcs.run.log_faults import Series
from tests.anything import texts
from tests.run.chamber_log import FAULTS, chamber_log

ZERO = 273.15
PLAN = {"start_temperature": "20 °C", "segments": "ramp to 600 °C at 5 K/min · soak 30 min · cool to 60 °C",
        "ambient_pressure": "995 mbar", "maximum_temperature": "1050 °C", "continuous_temperature": "1000 °C",
        "activation_energy": "150 kJ/mol"}  # fmt: skip
RUN = {"start_temperature": "20 °C", "segments": "ramp to 500 °C at 10 K/min · soak 60 min"}


def work(log, **typed):
    return calcs.work_out("log", {k: v for k, v in typed.items() if v is not None} | {"log": log})


def refused(log, **typed) -> str:
    answer = work(log, **typed)
    assert answer.refusal and not answer.figures
    return answer.refusal.reason


def problems(log, **typed) -> dict:
    with pytest.raises(calcs.Problems) as caught:
        work(log, **typed)
    return caught.value.messages


def findings(answer) -> list[tuple[str, str]]:
    return [(row["what"], row["verdict"]) for row in answer.figures["findings"].rows]


def value(answer, name, unit) -> float:
    return answer.figures[name].quantity.to(unit).magnitude


def text(rows, head="time (min);chamber (°C)") -> str:
    return head + "\n" + "\n".join(";".join(f"{v:g}" for v in row) for row in rows) + "\n"


def run(late=0.0, top=500.0, soak=60.0, step=1.0, change=lambda t, y: y):
    """Rows of a perfect run to `top` °C at 10 K/min, so many minutes late, then 2 K/min down."""
    ramp, rows = (top - 20) / 10, []
    for i in range(int((late + ramp + soak + 60) / step) + 1):
        t = i * step
        y = np.interp(t - late, [0, ramp, ramp + soak, ramp + soak + 200], [20, top, top, top - 400])
        rows.append((t, round(float(change(t, y)), 3)))
    return rows


# ---------------------------------------------------------------- the golden run


@pytest.mark.parametrize("interval", [2, 10, 60])
@pytest.mark.parametrize("seed", [1, 7])
def test_a_run_without_fault_has_no_finding(interval, seed):
    answer = work(chamber_log(interval, seed=seed, before_min=25), **PLAN)

    assert findings(answer) == [] and answer.verdict == "within"
    assert value(answer, "shift", "min") == pytest.approx(25, abs=0.2)
    assert value(answer, "ramp_measured", "K/min") == pytest.approx(5, rel=0.005)
    assert value(answer, "unbroken_time_in_band", "min") >= 30


SAID = {
    "pressure dip": ["below the room while hot"],
    "stuck sensor": ["the load sensor stands still"],
    "stuck chamber sensor": ["the chamber sensor stands still"],
    "spike": ["one reading of the chamber sensor stands apart"],
    "gap": ["no reading for 15"],
    "flow loss": ["gas flow down to 0"],
}


@pytest.mark.parametrize("fault", SAID)
@pytest.mark.parametrize("interval", [5, 10])
def test_each_planted_fault_is_found_and_nothing_else(fault, interval):
    answer = work(chamber_log(interval, (fault,), before_min=25), **PLAN)

    assert [what for what, _ in findings(answer) if SAID[fault][0] in what] and len(findings(answer)) == 1
    assert answer.verdict in ("outside", "cannot_say", "close")


@pytest.mark.parametrize("seed", range(4))
def test_two_planted_faults_are_found_and_nothing_else(seed):
    answer = work(chamber_log(10, ("pressure dip", "stuck sensor"), seed=seed, before_min=25), **PLAN)
    what = findings(answer)

    assert len(what) == 2 and all(verdict == "outside" for _, verdict in what)
    assert "the load sensor stands still" in what[0][0] and "below the room while hot" in what[1][0]
    rows = answer.figures["findings"].rows
    assert rows[0]["from"].to("min").magnitude == pytest.approx(25 + 60, abs=0.5)
    assert rows[0]["to"].to("min").magnitude == pytest.approx(25 + 85, abs=0.5)
    assert rows[1]["from"].to("min").magnitude == pytest.approx(25 + 146 + 20, abs=0.5)
    assert {c.hazard for c in answer.cautions} == {"Air drawn into a hot chamber", "A sensor that cannot be trusted"}


def test_a_short_soak_and_an_overshoot_are_outside():
    short = work(chamber_log(10, ("short soak",)), **PLAN)
    over = work(chamber_log(10, ("overshoot",)), **PLAN)

    assert any("short of the 30" in what and verdict == "outside" for what, verdict in findings(short))
    assert value(short, "time_in_band", "min") == pytest.approx(18.5, abs=0.5)
    assert any("above the plan" in what and verdict == "outside" for what, verdict in findings(over))
    assert value(over, "overshoot", "K") == pytest.approx(14, abs=0.6)


def test_the_generator_knows_its_faults():
    assert set(SAID) < set(FAULTS)
    with pytest.raises(ValueError, match="no such fault"):
        chamber_log(60, ("something else",))
    assert chamber_log(60, seed=1) == chamber_log(60, seed=1) != chamber_log(60, seed=2)


# ---------------------------------------------------------------- lining up


@pytest.mark.parametrize("late", [0.0, 5.0, 37.3, 200.0])
def test_a_late_start_is_found(late):
    answer = work(text(run(late)), **RUN)

    assert value(answer, "shift", "min") == pytest.approx(late, abs=0.05)
    assert findings(answer) == [] and answer.verdict == "within"


def test_the_shift_is_that_of_a_library():
    from scipy.optimize import minimize_scalar

    noise = random.Random(3)
    rows = run(6.3, change=lambda t, y: y - 3 + noise.gauss(0, 1))
    t, y = map(np.array, zip(*rows, strict=True))
    moments = np.linspace(0, 108, 20001)
    wanted = np.interp(moments, [0, 48, 108], [20, 500, 500])
    best = minimize_scalar(
        lambda s: np.sum((np.interp(moments + s, t, y) - wanted) ** 2), bounds=(5, 8), method="bounded"
    )

    assert value(work(text(rows), **RUN), "shift", "min") == pytest.approx(best.x, abs=0.05)


def test_other_ways_to_line_up():
    rows = text(run(5))

    assert value(work(rows, alignment="by first rise", **RUN), "shift", "min") == pytest.approx(5, abs=0.05)
    by_time = work(rows, alignment="by time", **RUN)
    assert value(by_time, "shift", "min") == 0
    assert value(by_time, "largest_deviation", "K") == pytest.approx(50, abs=0.1)
    assert by_time.verdict == "outside"


def test_a_log_that_never_heats_cannot_be_lined_up():
    answer = work(text([(i, 20.0 + 0.01 * (i % 3)) for i in range(120)]), **RUN)

    assert answer.verdict == "outside" and "shift" not in answer.figures
    assert any("never rises" in what for what, _ in findings(answer))


def test_a_log_that_ends_early_cannot_be_judged():
    answer = work(text([r for r in run(0) if r[0] < 80]), **RUN)

    assert any("the log ends" in what and verdict == "cannot_say" for what, verdict in findings(answer))
    assert answer.verdict == "cannot_say"


# ---------------------------------------------------------------- departures


@pytest.mark.parametrize(
    ("size", "verdict"), [(4.5, None), (-6.5, "close"), (6.5, "close"), (9.0, "outside"), (-40.0, "outside")]
)
def test_a_departure_in_the_soak(size, verdict):
    answer = work(text(run(change=lambda t, y: y + size if 70 <= t <= 80 else y)), **RUN)
    off = [(row["from"].to("min").magnitude, row["to"].to("min").magnitude, row["verdict"])
           for row in answer.figures["findings"].rows if "the plan in the soak" in row["what"]]  # fmt: skip

    assert off == ([(pytest.approx(70), pytest.approx(80), verdict)] if verdict else [])
    assert value(answer, "largest_deviation", "K") == pytest.approx(abs(size), abs=0.1)


def test_a_ramp_may_lag_by_what_it_makes_in_two_minutes():
    plan = RUN | {"alignment": "by time"}
    slow, slower = (work(text(run(late)), **plan) for late in (2.0, 3.0))  # 20 and 30 K behind; 7.5 + 20 are allowed

    assert ("close", "outside") == tuple(
        next(v for w, v in findings(a) if "while it rises" in w) for a in (slow, slower)
    )


def test_cooling_is_listed_and_never_outside():
    plan = RUN | {"segments": RUN["segments"] + " · cool to 300 °C at 10 K/min"}
    found = [(w, v) for w, v in findings(work(text(run()), **plan)) if "while it cools" in w]

    assert found and all(verdict == "close" for _, verdict in found)


def test_the_set_point_is_named_where_it_was_not_the_plan_s():
    rows = [(t, y, y) for t, y in run(top=480, soak=70)]
    answer = work(text(rows, "time (min);chamber (°C);set point (°C)"), **RUN)

    assert any("the set point stood at 480" in what for what, _ in findings(answer))


# ---------------------------------------------------------------- the soak


@pytest.mark.parametrize(("soak", "verdict"), [(60, "within"), (57.6, "close"), (50, "outside")])
def test_a_short_soak(soak, verdict):
    answer = work(text(run(soak=soak)), soak_temperature="500 °C", soak_time="63 min" if soak == 60 else "63.0 min")
    # The band is entered 0.5 min early and left 2.5 min late: soak + 3 min of 63.

    assert value(answer, "time_in_band", "min") == pytest.approx(soak + 3, abs=0.01)
    assert answer.verdict == verdict


def test_a_broken_soak_is_close():
    answer = work(
        text(run(change=lambda t, y: y - 6 if 70 <= t <= 72 else y, soak=80)),
        soak_temperature="500 °C",
        soak_time="60 min",
    )

    assert value(answer, "time_in_band", "min") > 60 > value(answer, "unbroken_time_in_band", "min")
    assert answer.verdict == "close" and "in parts" in findings(answer)[0][0]


def test_the_slowest_load_counts():
    rows = [(t, y, y, y - 6 if t < 60 else y) for t, y in run()]
    answer = work(text(rows, "time (min);chamber (°C);load 1 (°C);load 2 (°C)"), **RUN)

    assert "by the load 2 sensor" in answer.sentence
    assert value(answer, "unbroken_time_in_band", "min") < 52


def test_a_load_that_reads_otherwise_at_the_end_of_the_soak():
    rows = [(t, y, y - 14) for t, y in run()]
    answer = work(text(rows, "time (min);chamber (°C);load (°C)"), **RUN)

    assert any("reads 14 K below the chamber".replace(" K", "\u00a0K") in what for what, _ in findings(answer))


def test_time_in_a_band_against_a_fine_count():
    noise = random.Random(5)
    times = np.cumsum([0] + [noise.uniform(20, 90) for _ in range(200)])
    values = 773.15 + np.array([noise.gauss(0, 5) for _ in times])
    fine = np.linspace(0, times[-1], 2_000_001)
    inside = np.mean(np.abs(np.interp(fine, times, values) - 773.15) <= 5) * times[-1]
    found = log_plan.dwell(Series("x", times, values), 768.15, 778.15)

    assert found.total_s == pytest.approx(inside, rel=1e-4)
    assert 0 < found.unbroken_s < found.total_s


def test_a_gap_does_not_count_as_time_in_the_band():
    whole, part = (work(text([r for r in run() if not cut or not 60 < r[0] < 90]), **RUN) for cut in (False, True))

    assert value(whole, "time_in_band", "min") - value(part, "time_in_band", "min") == pytest.approx(30)
    assert part.verdict == "cannot_say"


# ---------------------------------------------------------------- pressure


def with_pressure(dip, at=(100, 104), unit="mbar gauge", base=10.0):
    rows = [(t, y, base + dip if at[0] <= t <= at[1] else base) for t, y in run()]
    return text(rows, f"time (min);chamber (°C);pressure ({unit})")


@pytest.mark.parametrize(
    ("dip", "at", "verdict"),
    [(-11.5, (100, 104), "within"), (-14, (100, 104), "outside"), (-13, (100, 100), "close"), (-25, (100, 100), "outside"),
     (-30, (0, 5), "within")],
)  # fmt: skip
def test_a_dip_of_pressure(dip, at, verdict):
    rows = [(t, y, 10.0 + dip if at[0] <= t <= at[1] else 10.0) for t, y in run(step=0.2)]
    answer = work(text(rows, "time (min);chamber (°C);pressure (mbar gauge)"), **RUN)

    assert answer.verdict == verdict
    assert value(answer, "lowest_overpressure", "mbar") == pytest.approx(10 + (dip if at[0] > 50 else 0))


def test_absolute_and_gauge_are_one():
    gauge = work(with_pressure(-15), **RUN)
    absolute = work(with_pressure(-15, unit="mbar abs", base=1005), ambient_pressure="995 mbar", **RUN)
    bare = work(with_pressure(-15, unit="mbar", base=1005), ambient_pressure="995 mbar", **RUN)

    for other in (absolute, bare):
        assert value(other, "lowest_overpressure", "mbar") == pytest.approx(value(gauge, "lowest_overpressure", "mbar"))
    assert any("neither absolute nor gauge" in note for note in bare.notes)


def test_a_pressure_that_may_be_either_is_asked():
    assert refused(with_pressure(0, unit="mbar"), ambient_pressure="995 mbar", **RUN) == "unit_unknown"
    assert "ambient_pressure" in problems(with_pressure(0, unit="mbar abs", base=1005), **RUN)


def test_a_run_under_vacuum_is_not_blamed_for_it():
    answer = work(with_pressure(0, unit="mbar abs", base=0.01), ambient_pressure="995 mbar", **RUN)

    assert answer.verdict == "within" and any("pumped while it was hot" in note for note in answer.notes)


# ---------------------------------------------------------------- sensors


def test_a_steady_soak_is_no_stuck_sensor():
    rows = [(t, round(y), round(y)) for t, y in run(soak=240)]  # whole degrees, four hours of one number
    answer = work(
        text(rows, "time (min);chamber (°C);set point (°C)"),
        **RUN | {"segments": "ramp to 500 °C at 10 K/min · soak 240 min"},
    )

    assert findings(answer) == []


def test_a_coarse_soak_beside_a_load_that_still_rises_is_no_stuck_sensor():
    rows = [(t, round(y), y - 40 if t < 60 else y) for t, y in run(soak=90)]

    answer = work(text(rows, "time (min);chamber (°C);load (°C)"), soak_temperature="500 °C")
    assert not [what for what, _ in findings(answer) if "stands still" in what]


def test_a_sensor_stuck_while_the_heating_changes():
    rows = [(t, 500.0 if 60 <= t <= 90 else y + 0.01 * (t % 7), 3000.0 if t < 75 else 100.0) for t, y in run()]
    found = findings(work(text(rows, "time (min);chamber (°C);power (W)"), soak_temperature="500 °C"))

    assert any("stands still" in what for what, _ in found)


def test_spikes_are_told_and_not_counted():
    rows = run(change=lambda t, y: y + 60 if t in (70, 90) else y)
    answer = work(text(rows), **RUN)

    assert [v for w, v in findings(answer) if "2 readings of the chamber sensor stand apart" in w] == ["close"]
    assert value(answer, "overshoot", "K") == 0 and value(answer, "time_in_band", "min") == pytest.approx(63)


def test_spikes_agree_with_a_plain_median_filter():
    noise = random.Random(2)
    values = [300 + 0.3 * i + noise.gauss(0, 0.5) for i in range(400)]
    for place in (50, 199, 398):
        values[place] += 30
    off = []
    for i, v in enumerate(values):
        near = values[max(0, min(i - 3, 393)) : max(0, min(i - 3, 393)) + 7]
        middle = np.median(near)
        if abs(v - middle) > max(5, 6 * 1.4826 * np.median(np.abs(np.array(near) - middle))):
            off.append(i)

    assert log_faults.spikes(values) == off == [50, 199, 398]


def test_an_open_sensor_jumps():
    answer = work(text(run(change=lambda t, y: 1370.0 if t > 80 else y)), maximum_temperature="1050 °C", **RUN)

    assert any("jumps from 500" in what and verdict == "outside" for what, verdict in findings(answer))
    assert "A sensor that cannot be trusted" in {c.hazard for c in answer.cautions}


# ---------------------------------------------------------------- limits, energy, dose


def test_times_above_the_ratings():
    answer = work(text(run()), continuous_temperature="490 °C", maximum_temperature="495 °C", **RUN)

    assert value(answer, "time_above_continuous", "min") == pytest.approx(60 + 1 + 5)
    assert {v for w, v in findings(answer) if "reads up to" in w} == {"close", "outside"}


def test_energy_is_that_of_a_library():
    from scipy.integrate import trapezoid

    rows = [(t, y, 1000 + 500 * np.sin(t / 9)) for t, y in run()]
    answer = work(text(rows, "time (min);chamber (°C);power (W)"), **RUN)

    t, p = np.array([r[0] for r in rows]), np.array([float(f"{r[2]:g}") for r in rows])
    assert value(answer, "energy", "kWh") == pytest.approx(trapezoid(p, t / 60) / 1000, rel=1e-6)


def test_the_dose_of_a_perfect_run_is_that_of_the_plan():
    answer = work(text(run()), activation_energy="300 kJ/mol", **RUN)
    plan = calcs.work_out("equivalence", {"activation_energy": "300 kJ/mol", "start_temperature": "20 °C",
                          "segments": RUN["segments"] + " · cool to 380 °C at 2 K/min"})  # fmt: skip

    assert value(answer, "equivalent_time", "min") == pytest.approx(value(plan, "equivalent_time", "min"), rel=1e-3)
    assert not [w for w, _ in findings(answer) if "equivalent" in w]
    cold = work(text(run(top=485)), activation_energy="300 kJ/mol", reference_temperature="500 °C", **RUN)
    assert [v for w, v in findings(cold) if "equivalent" in w] == ["outside"]


def test_the_whole_is_the_same_in_other_units():
    rows = [(t / 60, y * 1.8 + 32, p * 0.0145037738) for t, y, p in
            [(t, y, 1005.0 - (20 if t == 100 else 0)) for t, y in run()]]  # fmt: skip
    other = work(text(rows, "time (h);chamber (°F);pressure (psia)"), ambient_pressure="995 mbar", **RUN)
    same = work(with_pressure(-20, (100, 100)), **RUN)

    for name, unit in (("shift", "min"), ("time_in_band", "min"), ("overshoot", "K"), ("lowest_overpressure", "mbar")):
        assert value(other, name, unit) == pytest.approx(value(same, name, unit), abs=0.02)


def test_flow_is_compared_with_the_plan_s():
    plan = RUN | {"segments": "ramp to 500 °C at 10 K/min flow 2 L/min · soak 60 min flow 2 L/min"}
    for flow, count in ((2.0, 0), (1.1, 0), (0.9, 1)):
        answer = work(text([(t, y, flow) for t, y in run()], "time (min);chamber (°C);flow (L/min)"), **plan)
        assert len(findings(answer)) == count


# ---------------------------------------------------------------- what is asked, what is refused


@pytest.mark.parametrize(
    ("log", "reason"),
    [("time;T (°C)\n0;20\n1;21", "time_unreadable"), ("a,b\n1,2\n3,4", "time_unreadable"), ("time (min),T\n0,20\n1,21", "unit_unknown"),
     ("0,20\n1,21", "unit_unknown"), ("time (min);T (°C)\n0;1,234\n1;1,235", "number_ambiguous"), ("1\n2\n3", "one_column"),
     ("time (min);T (°C)\n", "empty_log"), ("time (min);T (°C)\n0;20\n", "empty_log"), ("time (min);T (°C)\n0;20\n1;9000\n", "unit_unknown"),
     ("time (s);T (°C)\n" + "\n".join(f"{i};2" for i in range(500_001)), "too_large")],
)  # fmt: skip
def test_refusals(log, reason):
    assert refused(log, **RUN) == reason


def test_nothing_to_compare_with():
    rows = text(run())

    assert refused(rows, alignment="by time") == "no_plan"
    assert refused(rows, soak_time="30 min") == "no_plan"
    plain = work(rows)
    assert not plain.refusal and not plain.judged and "largest_deviation" not in plain.figures


def test_problems_name_their_field():
    rows = text(run())

    assert "start_temperature" in problems(rows, segments=RUN["segments"])
    assert "soak_temperature" in problems(rows, soak_temperature="500 °C", **RUN)
    assert "ramp_to" in problems(rows, ramp_from="300 °C", ramp_to="200 °C", **RUN)
    assert "log" in problems("0 min 20 °C · what", **RUN)
    assert "log" in problems("Log kept in memory: a, 3 rows [x9]", **RUN)
    far = work(rows, activation_energy="100 kJ/mol", reference_temperature="1500 °C", **RUN)
    assert "equivalent_time" not in far.figures and any("No equivalent time" in note for note in far.notes)


def test_the_clock_of_a_log_stands_in_its_findings():
    rows = "\n".join(
        f"2026-11-25 {8 + int(t) // 60:02}:{int(t) % 60:02}:00;{y + (9 if 70 <= t <= 80 else 0)}" for t, y in run()
    )
    answer = work(f"time;chamber (°C)\n{rows}", **RUN)

    assert answer.figures["findings"].rows[0]["when"] == "09:10 to 09:20"
    assert re.search(r"\(09:\d\d to 09:\d\d\)", answer.sentence)


def test_a_log_of_twenty_thousand_rows_is_quick():
    from time import process_time

    log = chamber_log(1.56, before_min=25)
    began = process_time()
    answer = work(log, **PLAN)

    assert process_time() - began < 2 and answer.verdict == "within"


def test_many_findings_are_counted_not_listed():
    rows = run(soak=300, change=lambda t, y: y + (9 if int(t / 6) % 2 and t > 60 else 0))
    answer = work(text(rows), start_temperature="20 °C", segments="ramp to 500 °C at 10 K/min · soak 300 min")

    assert len([1 for w, _ in findings(answer) if "the plan" in w]) <= 6
    assert any("not listed" in note for note in answer.notes)


def test_the_plan_ends_where_its_times_are_unknown():
    path = legs([{"kind": "ramp", "to": 873.15, "rate": 5 / 60, "time": None, "flow": None, "pressure": None},
                 {"kind": "soak", "to": None, "rate": None, "time": 1800.0, "flow": None, "pressure": None},
                 {"kind": "cool", "to": 333.15, "rate": None, "time": None, "flow": None, "pressure": None}], 293.15)  # fmt: skip
    plan = log_plan.plan_of(path)

    assert plan.end_s == plan.heated_s == pytest.approx(116 * 60 + 1800) and plan.soak_from_s == pytest.approx(116 * 60)


@settings(max_examples=60, deadline=None)
@given(
    rows=st.lists(st.tuples(st.floats(0, 1e6), st.floats(-50, 2000), st.floats(-1e4, 1e4)), min_size=1, max_size=40),
    tolerance=texts,
)
def test_any_log_gives_an_answer_a_problem_or_a_refusal(rows, tolerance):
    log = text(rows, "time (min);chamber (°C);pressure (mbar gauge)")
    for typed in (PLAN, PLAN | {"tolerance": tolerance}, {"soak_temperature": "600 °C"}):
        try:
            answer = work(log, **typed)
        except calcs.Problems:
            continue
        assert answer.refusal or answer.sentence
        answer.to_dict()
