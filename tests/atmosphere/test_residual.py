"""Oxygen and moisture that remain: the budget, the vent line, what is refused."""

from math import exp, log, log10

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from iapws.iapws97 import _PSat_T
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

import calcs
from calcs import gases
from calcs.atmosphere import residual
from calcs.atmosphere.purge import leak_flow, oxygen_floor

ONE, VENT = calcs.example("residual"), calcs.example("residual", "vent line only")
NARROW = {
    "vent_bore": "25 mm",
    "vent_length": "0.1 m",
    "chamber_pressure": "101.325 kPa",
    "ambient_pressure": "101.325 kPa",
}
# CRC Handbook, diffusion in gases, cm²/s at 101.325 kPa (looked at in stored public copies)
MEASURED = (
    ("oxygen", "argon", 373.15, 0.285), ("oxygen", "argon", 473.15, 0.430), ("oxygen", "argon", 573.15, 0.600),
    ("oxygen", "methane", 373.15, 0.341), ("water vapour", "air", 293.15, 0.242), ("water vapour", "air", 373.15,
                                                                                   0.399),
    ("argon", "nitrogen", 293.15, 0.190), ("argon", "helium", 293.15, 0.726), ("argon", "hydrogen", 293.15, 0.794),
    ("argon", "carbon dioxide", 293.15, 0.148), ("argon", "xenon", 293.15, 0.108), ("argon", "neon", 293.15, 0.313),
)  # fmt: skip


def work(base=ONE, **changed):
    return calcs.work_out("residual", {name: text for name, text in (base | changed).items() if text != ""})


def value(answer, name="oxygen"):
    return answer.figures[name].value


def by_source(answer):
    def number(cell):
        return 0.0 if isinstance(cell, str) else cell.m

    return {row["source"]: (number(row["oxygen"]), number(row["water"])) for row in answer.figures["shares"].rows}


# ---------------------------------------------------------------- the budget


def test_the_example_is_answered():
    answer = work()

    assert value(answer) * 1e6 == pytest.approx(7.78, abs=0.01) and value(answer, "water") * 1e6 == pytest.approx(
        22.63, abs=0.02
    )
    assert answer.verdict == "within" and answer.judged
    assert "mostly from the leak" in answer.sentence and "mostly from walls and load" in answer.sentence
    assert len(answer.pictures) == 2 and all(p.stacked and p.limit for p in answer.pictures)


def test_the_sources_add_up_to_what_remains():
    answer = work()
    rows = by_source(answer)

    assert answer.figures["shares"].rows[3]["oxygen"] == "less than 0.001"
    assert sum(oxygen for oxygen, _ in rows.values()) == pytest.approx(value(answer) * 1e6)
    assert sum(moisture for _, moisture in rows.values()) == pytest.approx(value(answer, "water") * 1e6)


def test_the_balance_is_that_of_purging():
    answer = work(water_release_rate="0 mbar L/s")
    flow = 2e-3 / 60 * 101325 / (8.314462618 * 273.15)

    assert value(answer) == pytest.approx(oxygen_floor(flow, 2e-6, leak_flow(1e-4)), rel=1e-9)


def test_the_low_end_is_a_leak_that_blows_outward():
    oxygen = work(water_release_rate="0 mbar L/s").figures["oxygen"]

    assert oxygen.low_value == pytest.approx(2e-6, rel=1e-6) and oxygen.high_value == pytest.approx(oxygen.value)


def test_the_answer_does_not_depend_on_the_unit_typed():
    same = work(flow="2000 mL/min", leak_rate="1e-4 Pa m3/s", vent_bore="1.6 cm", gas_oxygen="2000 ppb",
                room_temperature="68 °F",
                chamber_pressure="1.005 bar")  # fmt: skip
    for name, figure in work().figures.items():
        if figure.is_number:
            assert same.figures[name].value == pytest.approx(figure.value, rel=1e-6), name


def test_more_gas_and_a_smaller_leak_leave_less():
    flows = [value(work(flow=f"{q} L/min")) for q in (0.05, 0.5, 2, 20, 100)]
    leaks = [value(work(leak_rate=f"{q} mbar L/s")) for q in (1e-6, 1e-4, 1e-3, 1e-2)]
    walls = [value(work(water_release_rate=f"{q} mbar L/s"), "water") for q in (0, 1e-4, 1e-2, 1)]

    assert flows == sorted(flows, reverse=True) and leaks == sorted(leaks) and walls == sorted(walls)


def test_humid_air_brings_water_against_iapws():
    found = by_source(
        work(room_humidity="80 %", room_temperature="30 °C", ambient_pressure="101.325 kPa", chamber_pressure="102 kPa")
    )
    oxygen, moisture = found["leak"]

    assert moisture / oxygen * 0.20946 == pytest.approx(0.8 * _PSat_T(303.15) * 1e6 / 101325, rel=3e-4)


@pytest.mark.parametrize(
    "oxygen, moisture", [("20 ppm", "50 ppm"), ("3 ppm", ""), ("", "4 ppm"), ("5000 ppm", "5000 ppm")]
)
def test_the_flow_for_the_limit_just_meets_it(oxygen, moisture):
    base = ONE | NARROW | {"target_oxygen": oxygen, "target_water": moisture, "leak_rate": "1e-4 mbar L/s"}
    litres = value(work(base), "flow_for_target") * 6e4
    sums = work(base, flow=f"{litres:.12g} L/min")
    limits = [(float(t.split()[0]) * 1e-6, n) for t, n in ((oxygen, "oxygen"), (moisture, "water")) if t]
    ratios = [value(sums, name) / limit for limit, name in limits]

    assert max(ratios) == pytest.approx(1, rel=2e-3) and max(ratios) <= 1 + 1e-6


def test_where_the_vent_decides_more_flow_is_asked_for():
    wide = ONE | NARROW | {"leak_rate": "1e-7 mbar L/s", "water_release_rate": "1e-7 mbar L/s", "target_water": ""}
    litres = value(work(wide), "flow_for_target") * 6e4

    assert value(work(wide, flow=f"{litres:.12g} L/min")) == pytest.approx(20e-6, rel=1e-3)
    assert litres > 0.04


@pytest.mark.parametrize("changed, verdict", [
    ({}, "within"), ({"target_oxygen": "12 ppm"}, "close"), ({"target_oxygen": "7 ppm"}, "outside"),
    ({"target_water": "20 ppm"}, "outside"), ({"leak_rate": ""}, "cannot_say"), ({"leak_rate": "0 mbar L/s"}, "close"),
    ({"leak_rate": "", "target_water": "20 ppm"}, "outside"), ({"target_oxygen": "", "target_water": ""}, "within"),
    ({"flow": "10 mL/min", **NARROW, "leak_rate": "1e-5 mbar L/s", "target_oxygen": "", "target_water": ""}, "outside"),
])  # fmt: skip
def test_verdicts(changed, verdict):
    assert work(**changed).verdict == verdict


def test_without_a_leak_it_is_a_lower_bound():
    for leak in ("", "0 mbar L/s"):
        answer = work(leak_rate=leak)

        assert "lower bound" in answer.sentence and answer.figures["oxygen"].high_value is None
    assert "leak_flow" not in work(leak_rate="").figures


def test_more_than_a_per_cent_is_not_purged():
    answer = work(flow="10 mL/min", **NARROW, leak_rate="1e-5 mbar L/s")

    assert (
        value(answer) > 0.01 and answer.cautions[0].word == "WARNING" and any("do not heat" in n for n in answer.notes)
    )


def test_time_to_settle_needs_a_volume():
    assert value(work(), "settling_time") == pytest.approx(
        10 * 0.108 / (2e-3 / 60 * 293.15 / 273.15 * 101325 / 100500), rel=1e-6
    )
    assert "settling_time" not in work(gas_volume="").figures


# ---------------------------------------------------------------- the vent line


def slope_at_wall(mu, peclet):
    """phi'(1) by integration across the tube; a second way to the series of the calculator."""
    start = 1e-6
    a = mu * mu - 2 * peclet * mu
    found = solve_ivp(
        lambda s, y: [y[1], -y[1] / s - (mu * mu - 2 * peclet * (1 - s * s) * mu) * y[0]],
        (start, 1), [1.0, -a * start / 2], rtol=1e-10, atol=1e-12,
    )  # fmt: skip
    return found.y[1, -1]


@pytest.mark.parametrize("peclet, allowed", [(0.01, 1e-6), (0.1, 1e-6), (0.5, 1e-6), (1.2, 1e-6), (5, 1e-6), (11.9,
                                                                                                              1e-6),
                                                                                                              (19.9,
                                                                                                               1e-6),
                                             (21, 5e-3), (50, 2e-3), (100, 2e-3)])  # fmt: skip
def test_decay_against_integration(peclet, allowed):
    near = residual.upstream_decay(peclet)
    theirs = brentq(slope_at_wall, 0.9 * near, 1.1 * near, args=(peclet,), xtol=1e-12)

    assert near == pytest.approx(theirs, rel=allowed)


def test_there_is_no_slower_mode():
    """Between nothing and the root found the slope at the wall does not change its sign."""
    for peclet in (0.1, 1, 5, 15):
        root = residual.upstream_decay(peclet)
        assert all(slope_at_wall(root * share, peclet) > 0 for share in (0.02, 0.1, 0.3, 0.6, 0.9, 0.99)), peclet


def test_decay_rises_with_flow_and_is_plug_flow_at_the_small_end():
    found = [residual.upstream_decay(10 ** (k / 4)) for k in range(-24, 21)]

    assert found == sorted(found) and residual.upstream_decay(1e-9) == pytest.approx(1e-9)
    assert all(mu <= 10 ** (k / 4) * (1 + 1e-9) for k, mu in zip(range(-24, 21), found, strict=True))


def test_fifty_millilitres_a_minute_against_a_wide_short_vent():
    answer = work(VENT | NARROW, flow="50 mL/min")

    assert value(answer, "back_diffusion") * 1e6 == pytest.approx(20.3, rel=0.03)
    plug = 0.20946 * exp(-1.822e-3 * 0.1 / 1.916e-5)
    assert value(answer, "back_diffusion") > plug  # the layer at the wall is slower than the mean
    figure = answer.figures["back_diffusion"]
    assert figure.low_value == pytest.approx(figure.value / 2) and figure.high_value == pytest.approx(2 * figure.value)


def test_back_diffusion_too_small_for_a_float_is_still_a_logarithm():
    answer = work(VENT, flow="100 L/min", vent_bore="1 mm", vent_length="20 m")

    assert value(answer, "back_diffusion_log10") < -1e4 and value(answer, "back_diffusion") > 0
    assert "nothing measurable" in answer.sentence


def test_velocity_and_flow_are_two_ways_to_say_one_thing():
    by_flow = work(VENT | NARROW, flow="50 mL/min")
    velocity = 50e-6 / 60 * 293.15 / 273.15 / (3.141592653589793 * 0.0125**2)
    by_velocity = work(VENT | NARROW, flow="", vent_velocity=f"{velocity} m/s")

    assert value(by_flow, "back_diffusion_log10") == pytest.approx(value(by_velocity, "back_diffusion_log10"), rel=1e-6)


@pytest.mark.parametrize("one, other, temperature, measured", MEASURED)
def test_diffusivity_against_measured_values(one, other, temperature, measured):
    allowed = 0.10 if "water vapour" in (one, other) else 0.06

    assert residual.binary_diffusivity(one, other, temperature, 101325) * 1e4 == pytest.approx(measured, rel=allowed)


def test_diffusivity_is_the_same_both_ways_and_falls_with_pressure():
    for name in ("argon", "helium", "krypton", "xenon"):
        one, other = (
            residual.binary_diffusivity("oxygen", name, 300, 1e5),
            residual.binary_diffusivity(name, "oxygen", 300, 2e5),
        )
        assert one == pytest.approx(2 * other)


def test_a_diffusivity_typed_counts():
    plain, typed = work(VENT | NARROW, flow="50 mL/min"), work(VENT | NARROW, flow="50 mL/min", diffusivity="3e-5 m2/s")

    assert value(typed, "diffusivity") == pytest.approx(3e-5)
    assert value(typed, "back_diffusion_log10") > value(plain, "back_diffusion_log10")


# ---------------------------------------------------------------- refusals and problems


@pytest.mark.parametrize("changed, reason", [
    ({"flow": "0 L/min"}, "no_flow"), ({"leak_rate": "1 mbar L/s", "flow": "0.5 L/min"}, "hole_not_leak"),
    ({"chamber_pressure": "994 mbar"}, "below_ambient"), ({"target_oxygen": "2 ppm"}, "target_below_gas"),
    ({"target_water": "3 ppm"}, "target_below_gas"), ({"gas": "air"}, "target_below_gas"), ({"gas": "hydrogen"},
                                                                                            "flammable_gas"),
    ({"gas": "oxygen"}, "oxygen_rich"), ({"gas": "carbon monoxide"}, "toxic_gas"),
])  # fmt: skip
def test_what_is_refused(changed, reason):
    answer = work(**changed)

    assert answer.refusal and answer.refusal.reason == reason and not answer.figures


def test_just_inside_it_is_answered():
    limit = leak_flow(1e-4) / 0.1 * 22.413969e-3 * 6e4
    assert not work(flow=f"{limit * 1.001} L/min").refusal and work(flow=f"{limit * 0.999} L/min").refusal
    assert not work(chamber_pressure="995 mbar").refusal
    assert not work(target_oxygen="2.1 ppm").refusal


@pytest.mark.parametrize("base, changed, name", [
    (ONE, {"flow": "101 L/min"}, "flow"), (ONE, {"flow": ""}, "flow"), (ONE, {"gas": "water vapour"}, "gas"),
    (ONE, {"leak_rate": "1.1 mbar L/s"}, "leak_rate"), (ONE, {"room_humidity": "101 %"}, "room_humidity"),
    (ONE, {"vent_bore": "0.9 mm"}, "vent_bore"), (ONE, {"vent_temperature": "301 °C"}, "vent_temperature"),
    (ONE, {"target_oxygen": "0.001 ppm"}, "target_oxygen"), (VENT, {"vent_velocity": "1 m/s"}, "vent_velocity"),
    (VENT, {"flow": ""}, "flow"),
])  # fmt: skip
def test_what_is_a_problem(base, changed, name):
    with pytest.raises(calcs.Problems) as caught:
        work(base, **changed)
    assert name in caught.value.problems


@settings(max_examples=80, deadline=None)
@given(
    st.floats(1e-6, 100),
    st.floats(1, 100),
    st.floats(0.01, 20),
    st.sampled_from([n for n in gases.NAMES if gases.gas(n).kind == "inert"]),
)
def test_any_vent_of_the_range_has_a_finite_logarithm(litres, bore, length, gas):
    answer = work(VENT, flow=f"{litres} L/min", vent_bore=f"{bore} mm", vent_length=f"{length} m", gas=gas)

    assert -1e9 < value(answer, "back_diffusion_log10") <= log10(0.20946) and log(value(answer, "back_diffusion")) <= 0
