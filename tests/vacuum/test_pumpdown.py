"""Pumping down, against closed solutions, an independent integrator and the sum over binding energies."""

from math import exp, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

import calcs
from calcs import water
from calcs.vacuum import line, pumpdown

IDEAL = {
    "free_volume": "30 L",
    "insulation_volume": "0 L",
    "wall_area": "0 m2",
    "leak_rate": "0 mbar L/s",
    "pump_speed": "5 m3/h",
    "pump_ultimate": "1e-6 mbar",
    "bore": "300 mm",
    "length": "0 m",
    "start_pressure": "1013 mbar",
    "target_pressure": "0.1 mbar",
}
LINED = {
    "free_volume": "10 L",
    "insulation_volume": "39 L",
    "insulation_mass": "9.7 kg",
    "pump_speed": "4 m3/h",
    "pump_ultimate": "0.003 mbar",
    "bore": "25 mm",
    "length": "1 m",
    "target_pressure": "0.1 torr",
}


def work(base: dict, **more):
    return calcs.work_out("pumpdown", base | more)


def seconds(answer, end="value"):
    figure = answer.figures["time"]
    return {"value": figure.value, "low": figure.low_value, "high": figure.high_value}[end]


def example(**more):
    return work(calcs.example("pumpdown"), **more)


# ---------------------------------------------------------------- closed solutions


def test_thirty_litres_with_five_cubic_metres_an_hour():
    answer = work(IDEAL)

    assert seconds(answer) == pytest.approx(30 / 5 * 3.6 * log(1013 / 0.1), rel=1e-3)
    assert seconds(answer) == pytest.approx(199.2, abs=0.3)
    assert seconds(answer, "low") == pytest.approx(seconds(answer), rel=1e-6)
    assert seconds(answer, "high") == pytest.approx(seconds(answer) / 0.8, rel=1e-3)


@pytest.mark.parametrize(
    "ultimate, leak, target", [(0.3, 0, 1.0), (0.3, 2e-3, 10), (1e-4, 0, 0.01), (5, 1e-3, 8), (0.3, 1e-2, 10)]
)
def test_leak_and_end_pressure_agree_with_the_closed_solution(ultimate, leak, target):
    speed, volume = 4 / 3600, 0.01
    end = ultimate + leak / speed
    expected = volume / speed * log((101_325 - end) / (target - end))
    answer = work(
        IDEAL,
        free_volume="10 L",
        pump_speed="4 m3/h",
        start_pressure="101325 Pa",
        pump_ultimate=f"{ultimate} Pa",
        leak_rate=f"{leak} Pa m3/s",
        target_pressure=f"{target} Pa",
    )

    assert seconds(answer) == pytest.approx(expected, rel=3e-3)


def test_a_narrow_hose_with_a_large_pump_is_hyperbolic():
    # 1/p - 1/p_s = kappa t / (2 V) for viscous flow into empty space; slip at the wall makes the truth quicker
    kappa = np.pi * 0.004**4 / (128 * line.gas_viscosity("air", 293.15) * 2)
    viscous = (1 / 100 - 1 / 1000) * 2 * 0.045 / kappa
    answer = work(
        IDEAL,
        free_volume="45 L",
        bore="4 mm",
        length="2 m",
        fittings_loss="0",
        pump_speed="2000 m3/h",
        start_pressure="1000 Pa",
        target_pressure="100 Pa",
    )

    assert 0.8 * viscous < seconds(answer) < 0.9 * viscous


def test_all_decades_of_a_dry_box_take_the_same_time():
    rows = work(IDEAL, start_pressure="1000 mbar").figures["decade_times"].rows
    times = [row["time"].m_as("s") for row in rows]

    assert len(times) == 4
    assert times == pytest.approx([30 / 5 * 3.6 * log(10)] * 4, rel=2e-3)
    assert [row["from"].replace("\u00a0", " ") for row in rows] == ["1000 mbar", "100 mbar", "10 mbar", "1 mbar"]


# ---------------------------------------------------------------- the whole balance, by another integrator


def by_library(volume, tube, speed, ultimate, loads, start, times):
    """ln p against time by LSODA, the line solved afresh at every call: no table, no steps of ours."""

    def slope(time, y):
        pressure = max(exp(y[0]), ultimate * (1 + 1e-9))
        _, flow = line.join_pump(tube, pressure, speed, ultimate)
        return [(sum(loads.parts(time)) - flow) / volume / pressure]

    found = solve_ivp(slope, (0, times[-1]), [log(start)], method="LSODA", rtol=1e-8, atol=1e-10, t_eval=times)
    return np.exp(found.y[0])


CASES = {
    "lined": (0.045, (0.025, 1.0, 1.5), 4 / 3600, 0.3, (1e-4, 1.8e-5, 1.0, 5.3)),
    "dry": (0.010, (0.025, 1.0, 1.5), 4 / 3600, 0.3, (0.0, 0.0, 1.0, 0.0)),
    "leaking": (0.010, (0.025, 1.0, 1.5), 4 / 3600, 0.3, (5e-3, 0.0, 1.0, 0.0)),
    "wet oil": (0.045, (0.025, 1.0, 1.5), 4 / 3600, 5.0, (1e-4, 1.8e-5, 1.0, 5.3)),
    "narrow": (0.045, (0.016, 1.5, 1.5), 4 / 3600, 0.3, (1e-4, 1.8e-5, 1.0, 5.3)),
    "rubber": (0.108, (0.039, 1.2, 3.0), 10 / 3600, 0.3, (1e-4, 2e-3, 0.5, 9.7)),
    "large": (1.0, (0.1, 2.0, 3.0), 200 / 3600, 0.01, (1e-3, 1e-3, 1.2, 20.0)),
    "stiff": (0.0001, (0.01, 5.0, 1.5), 343 / 3600, 0.03, (0.5, 1e-5, 1.0, 50.0)),
    "small": (0.0002, (0.3, 0.1, 1.5), 2000 / 3600, 0.3, (1e-2, 1e-5, 1.0, 1.0)),
}


@pytest.mark.parametrize("case", CASES)
def test_the_course_agrees_with_an_independent_integrator(case):
    volume, (bore, length, loss), speed, ultimate, given_loads = CASES[case]
    tube, loads = line.tube(bore, length, loss, "air", 293.15), pumpdown.Loads(*given_loads)
    times = [1.0, 10.0, 60.0, 200.0, 600.0, 1800.0, 7200.0, 40_000.0]
    exact = by_library(volume, tube, speed, ultimate, loads, 101_325, times)
    course = pumpdown.pump_down(volume, pumpdown.SpeedTable(tube, speed, ultimate, 101_325), loads, 101_325, times[-1])
    here = [course.pressure_at(t) for t in times]

    # Where p falls by e in 10 s, half a per cent in time is more in pressure: compare ln p there, p later.
    assert np.log(here) == pytest.approx(np.log(exact), abs=0.012, rel=4e-3)
    assert here[-1] == pytest.approx(exact[-1], rel=6e-3)
    assert len(course.times) < 600


@settings(max_examples=40, deadline=None)
@given(
    st.floats(1e-4, 2),
    st.floats(0.1, 2000),
    st.floats(1e-4, 100),
    st.floats(0, 1),
    st.floats(0, 50),
    st.floats(1e3, 2e5),
)
def test_pressure_stays_above_the_end_pressure_and_finite(volume, speed, ultimate, leak, water, start):
    tube = line.tube(0.025, 1, 1.5, "air", 293.15)
    table = pumpdown.SpeedTable(tube, speed / 3600, ultimate, start)
    course = pumpdown.pump_down(volume, table, pumpdown.Loads(leak, 1e-5, 1.0, water), start, 172_800)

    assert course.times == sorted(course.times)
    assert course.times[-1] == pytest.approx(172_800)
    assert len(course.times) < 1000
    assert all(ultimate < p < 1e9 for p in course.pressures)


# ---------------------------------------------------------------- water


def test_water_in_the_insulation_is_the_sum_over_binding_energies():
    kelvin, amount, spread, attempt = 293.15, 0.1345, 150e3, 1e13
    rt = 8.314462618 * kelvin

    def rate(energy, time):
        speed = attempt * exp(-energy / rt)
        return amount / spread * speed * exp(-speed * time)

    b = pumpdown.water_coefficient(2.5e-4, amount * 18.0153e-3 / 2.5e-4, kelvin)
    for time in (60.0, 600.0, 7200.0):
        ridge = rt * log(attempt * time)  # the energy that is emptying at that time
        exact = quad(rate, 50e3, 200e3, args=(time,), points=[ridge - 5e3, ridge, ridge + 5e3], limit=200)[0] * rt
        assert b / time == pytest.approx(exact, rel=1e-3)


@pytest.mark.parametrize(
    "celsius, pascal", [(-35, 22.35), (-10, 259.87), (0, 611.2), (5, 872.6), (20, 2339.3), (37, 6282), (95, 84608)]
)
def test_vapour_pressure(celsius, pascal):
    # saturation tables of ice and water, to the interpolation's 0.3 %
    assert pumpdown.water_pressure(celsius + 273.15) == pytest.approx(pascal, rel=3e-3)


def test_free_water_holds_the_pressure():
    answer = work(LINED, free_water="20 g", insulation_mass="0 kg", insulation_volume="0 L", leak_rate="0 mbar L/s")
    plateau = answer.figures["plateau_time"]
    dry = work(LINED, insulation_mass="0 kg", insulation_volume="0 L", leak_rate="0 mbar L/s")

    assert plateau.value == pytest.approx(66.4 * 60, rel=0.01)
    assert plateau.low_value == pytest.approx(17.35 * 60, rel=0.01)
    assert plateau.high_value is None
    assert seconds(answer) == pytest.approx(seconds(dry) + plateau.value, rel=0.01)
    assert 580 < answer.figures["pressure_at_30_min"].value < 620
    assert any(c.hazard == "Water in the pump oil" for c in answer.cautions)


def test_water_under_vacuum_boils_up_only_as_far_as_it_lasts():
    little = work(LINED, start_pressure="5 mbar", free_water="1 mg")
    none = work(LINED, start_pressure="5 mbar")

    assert seconds(little) == pytest.approx(seconds(none), rel=0.02)


# ---------------------------------------------------------------- what moves the time which way


def test_the_lined_chamber_of_the_trade():
    to_tenth, to_twentieth = work(LINED), work(LINED, target_pressure="0.05 torr")
    dry = work(LINED, insulation_volume="0 L", insulation_mass="0 kg", leak_rate="0 mbar L/s")

    assert 5 * 60 < seconds(to_tenth) < 10 * 60
    assert seconds(to_twentieth) > 1.5 * seconds(to_tenth)
    assert seconds(dry) < 90
    assert seconds(to_tenth, "high") > 2 * seconds(to_tenth)


@pytest.mark.parametrize(
    "field, less, more",
    [
        ("adsorbed_water", "1e-4", "5e-4"),
        ("insulation_volume", "20 L", "80 L"),
        ("free_volume", "5 L", "50 L"),
        ("leak_rate", "0 mbar L/s", "0.05 mbar L/s"),
        ("wall_outgassing", "0 Pa m/s", "1e-3 Pa m/s"),
        ("length", "0.2 m", "5 m"),
        ("pump_ultimate", "1e-4 mbar", "0.05 mbar"),
        ("free_water", "0 g", "1 g"),
        ("start_pressure", "10 mbar", "1013 mbar"),
    ],
)
def test_takes_longer_with_more(field, less, more):
    assert seconds(work(LINED, **{field: less})) < seconds(work(LINED, **{field: more}))


@pytest.mark.parametrize(
    "field, slow, fast",
    [
        ("pump_speed", "2 m3/h", "16 m3/h"),
        ("bore", "12 mm", "40 mm"),
        ("target_pressure", "0.1 mbar", "1 mbar"),
        ("hose_type", "corrugated", "smooth"),
    ],
)
def test_takes_less_with_more(field, slow, fast):
    assert seconds(work(LINED, **{field: slow})) > seconds(work(LINED, **{field: fast}))


def test_units_do_not_change_the_answer():
    other = {
        "free_volume": "0.353146667 ft3",
        "insulation_volume": "39000 cm3",
        "insulation_mass": "21.384840 lb",
        "pump_speed": "2.354319 ft3/min",
        "pump_ultimate": "0.3 Pa",
        "bore": "2.5 cm",
        "length": "39.37008 in",
        "target_pressure": "100 mTorr",
    }

    assert seconds(work(other)) == pytest.approx(seconds(work(LINED)), rel=1e-4)


def test_the_room_is_the_start_where_none_is_typed():
    low = work(LINED, ambient_pressure="60 kPa")

    assert seconds(low) == pytest.approx(seconds(work(LINED, start_pressure="60 kPa")), rel=1e-9)
    assert seconds(low) < seconds(work(LINED))


# ---------------------------------------------------------------- verdicts and what stands in the way


def test_a_leak_sets_a_floor():
    answer = work(LINED, leak_rate="0.1 mbar L/s", target_pressure="0.05 torr")

    assert answer.verdict == "outside" and "time" not in answer.figures
    assert answer.figures["reached"].text == "no"
    assert answer.figures["end_pressure"].value == pytest.approx(0.3 + 1e-2 / 0.94e-3, rel=0.06)
    assert any("leak alone sets a floor" in note for note in answer.notes)
    assert "the leak" in answer.sentence


def test_too_little_time_names_the_largest_load():
    answer = work(LINED, adsorbed_water="5e-3", target_pressure="0.02 mbar", time_limit="30 min")

    assert answer.verdict == "outside"
    assert any("Water in the insulation is the largest" in note for note in answer.notes)


def test_close_where_only_the_middle_case_gets_there():
    answer = work(LINED, time_limit="15 min")

    assert answer.verdict == "close" and answer.figures["time"].high_value is None
    assert "or more" in answer.sentence
    assert work(LINED).verdict == "within"


def test_close_near_the_pumps_end_pressure():
    assert work(IDEAL, target_pressure="4e-6 mbar", pump_speed="5 m3/h").verdict == "close"


def test_shares_are_the_whole():
    rows = example().figures["load_shares"].rows

    assert sum(row["share"].m_as("percent") for row in rows) == pytest.approx(100)
    assert max(rows, key=lambda row: row["share"])["source"] == "water in the insulation"
    assert "load_shares" not in work(IDEAL).figures


def test_oxygen_left_after_filling():
    answer = work(IDEAL, ambient_pressure="1000 mbar")

    assert answer.figures["oxygen_bound"].value == pytest.approx(0.20946 * 0.1 / 1000)


@pytest.mark.parametrize(
    "reason, more",
    [
        ("below_pump_ultimate", {"target_pressure": "0.003 mbar"}),
        ("start_below_target", {"start_pressure": "0.1 torr"}),
        ("start_below_target", {"target_pressure": "2000 mbar"}),
        ("free_water_in_insulation", {"adsorbed_water": "5.1e-3"}),
        ("oxygen_rich", {"gas": "oxygen"}),
        ("toxic_gas", {"gas": "carbon monoxide"}),
        ("flammable_gas", {"gas": "hydrogen"}),
        ("hot_gas", {"gas_temperature": "101 °C"}),
    ],
)
def test_refusals(reason, more):
    answer = work(LINED, **more)

    assert answer.refusal.reason == reason and not answer.figures


@pytest.mark.parametrize(
    "field, text",
    [
        ("free_volume", "0.09 L"),
        ("free_volume", "1001 L"),
        ("insulation_porosity", "0.99"),
        ("leak_rate", "11 Pa m3/s"),
        ("free_water", "5001 g"),
        ("time_limit", "59 s"),
        ("time_limit", "49 h"),
        ("target_pressure", "0 Pa"),
        ("wall_exponent", "0.4"),
        ("wall_outgassing", "0.011 Pa m/s"),
        ("gas", "water vapour"),
        ("start_pressure", "2.1 bar"),
        ("adsorbed_water", "-1e-4"),
    ],
)
def test_problems_just_outside(field, text):
    with pytest.raises(calcs.Problems) as found:
        work(LINED, **{field: text})

    assert field in found.value.messages


def test_the_example():
    answer = example()

    assert answer.figures["gas_volume"].quantity.m_as("liter") == pytest.approx(24 + 0.9 * 93)
    assert 5 * 60 < seconds(answer) < 12 * 60
    assert seconds(answer, "low") < seconds(answer) < seconds(answer, "high")
    assert answer.pictures[0].marks and answer.pictures[0].bands
    assert "walls, water and leak set the time" in answer.sentence


@pytest.mark.parametrize("celsius", range(-40, 58, 7))
def test_vapour_pressure_agrees_with_the_other_equations_of_the_package(celsius):
    kelvin = celsius + 273.15
    other = water.ice_pressure(kelvin) if celsius < 0 else water.liquid_pressure(kelvin)

    assert pumpdown.water_pressure(kelvin) == pytest.approx(other, rel=3e-3)
