"""The pumping line, against the integral equation for short tubes, a library of pipe flow, and printed tables."""

from math import pi, sqrt

import fluids
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

import calcs
from calcs.vacuum import line

AIR = 0.0289655
RT = 8.314462618 * 293.15
PUMP = {
    "mode": "to a pump",
    "inlet_pressure": "10 Pa",
    "bore": "25 mm",
    "length": "1 m",
    "pump_speed": "4 m3/h",
    "pump_ultimate": "0.3 Pa",
}
TWO = {
    "mode": "between two pressures",
    "inlet_pressure": "200 mbar",
    "outlet_pressure": "180 mbar",
    "bore": "4 mm",
    "length": "5 m",
    "fittings_loss": "0",
}


def value(given: dict, name: str) -> float:
    return calcs.work_out("line", given).figures[name].value


# ---------------------------------------------------------------- physics against others


def passing_by_rings(length: float, count: int = 500) -> float:
    """Share of molecules that pass a tube of radius 1: diffuse exchange between rings of its wall."""

    def discs(x):
        return (2 + x * x - np.sqrt((2 + x * x) ** 2 - 4)) / 2  # from one disc to another at the distance x

    step = length / count
    edges = np.arange(count + 1) * step
    to_ring = discs(edges[:-1]) - discs(edges[1:])  # from the entrance to each ring
    to_exit = to_ring[::-1] / (2 * step)  # from each ring to the exit, by reciprocity
    apart = np.abs(np.subtract.outer(np.arange(count), np.arange(count))) * step
    rings = (discs(np.abs(apart - step)) - 2 * discs(apart) + discs(apart + step)) / (2 * step)
    np.fill_diagonal(rings, 1 - (1 - discs(step)) / step)
    leaving = np.linalg.solve(np.eye(count) - rings, to_exit)
    return float(discs(length) + to_ring @ leaving)


@pytest.mark.parametrize("length", [0.1, 0.5, 1, 2, 5, 10, 50, 100])
def test_short_tubes_agree_with_the_integral_equation(length):
    assert line.passing_share(length) == pytest.approx(passing_by_rings(length), rel=7e-3)


def test_the_ring_solution_agrees_with_printed_values():
    for length, printed in ((1, 0.6720), (10, 0.1910), (100, 0.0253)):  # Clausing's problem, as later tables print it
        assert passing_by_rings(length) == pytest.approx(printed, rel=3e-3)


def test_ends_of_the_short_tube_formula():
    assert line.passing_share(0) == 1
    assert line.passing_share(1e5) == pytest.approx(8 / 3e5, rel=1e-3)


@pytest.mark.parametrize("rarefaction, printed", [(0.01, 1.4768), (0.02, 1.4608), (0.04, 1.4391), (0.08, 1.4131)])
def test_transition_flow_agrees_with_the_printed_table(rarefaction, printed):
    assert line.flow_coefficient(rarefaction) == pytest.approx(printed, rel=5e-3)


@pytest.mark.parametrize("rarefaction", [1e2, 1e3, 1e5])
def test_transition_flow_ends_in_slip_flow(rarefaction):
    assert line.flow_coefficient(rarefaction) == pytest.approx(rarefaction / 4 + 1.018, rel=6e-3)


def test_transition_flow_has_its_minimum():
    found = min((line.flow_coefficient(d / 100), d / 100) for d in range(5, 200))

    assert 0.2 < found[1] < 0.6 and found[0] == pytest.approx(1.38, abs=0.02)


@pytest.mark.parametrize("bore", [0.01, 0.025, 0.1])
@pytest.mark.parametrize("rarefaction", [0.01, 0.3, 1.5, 10, 100])
def test_a_long_tube_agrees_with_knudsens_old_formula(bore, rarefaction):
    viscosity, length = line.gas_viscosity("air", 293.15), 50.0
    pressure = rarefaction * viscosity * sqrt(2 * RT / AIR) / (bore / 2)
    tube = line.tube(bore, length, 0, "air", 293.15)
    here = line.throughput(tube, pressure * 1.001, 0.002 * pressure) / (0.002 * pressure)
    path = line.free_path("air", 293.15, pressure)
    blend = (1 + 2.507 * bore / 2 / path) / (1 + 3.095 * bore / 2 / path)
    old = (
        pi * bore**4 * pressure / (128 * viscosity * length)
        + blend * pi * bore**3 * sqrt(8 * RT / pi / AIR) / 12 / length
    )

    assert here == pytest.approx(old, rel=0.07)


def pipe_by_library(bore, length, inlet, outlet):
    """Throughput of a pipe at one temperature, laminar or turbulent, by another program."""
    viscosity = PropsSI("V", "T", 293.15, "P", 101325, "Air")

    def excess(mass_rate):
        reynolds = 4 * mass_rate / (pi * bore * viscosity)
        friction = 64 / reynolds if reynolds < 2300 else fluids.friction.Blasius(reynolds)
        return (
            fluids.isothermal_gas(rho=inlet * AIR / RT, fd=friction, P1=inlet, P2=outlet, L=length, D=bore) - mass_rate
        )

    return brentq(excess, 1e-12, 10) * RT / AIR


@pytest.mark.parametrize(
    "bore, length, inlet, outlet",
    [
        (0.004, 5, 2e4, 1.8e4),
        (0.004, 5, 1e4, 9e3),
        (0.01, 20, 1e4, 9.9e3),
        (0.01, 10, 1e5, 9e4),
        (0.025, 10, 1e5, 9e4),
        (0.05, 50, 2e5, 1.9e5),
    ],
)
def test_pipes_agree_with_a_library(bore, length, inlet, outlet):
    tube = line.tube(bore, length, 0, "air", 293.15)

    assert line.throughput(tube, inlet, inlet - outlet) == pytest.approx(
        pipe_by_library(bore, length, inlet, outlet), rel=0.02
    )


def test_friction_joins_without_a_step():
    for reynolds in (2300, 4000):
        assert line.friction_coefficient(reynolds * 0.9999) == pytest.approx(
            line.friction_coefficient(reynolds * 1.0001), rel=1e-3
        )
    assert line.friction_coefficient(1e4) == pytest.approx(fluids.friction.Blasius(1e4), rel=2e-3)
    assert line.friction_coefficient(100) == 0.64


@pytest.mark.parametrize("gas, speed", [("air", 11.57), ("nitrogen", 11.77), ("helium", 31.13)])
def test_an_opening_passes_a_quarter_of_the_mean_speed(gas, speed):
    tube = line.tube(sqrt(4e-4 / pi), 0, 1.5, gas, 293.15)

    assert line.throughput(tube, 1e-4, 1e-4) / 1e-4 * 1e3 == pytest.approx(speed, rel=3e-3)


@pytest.mark.parametrize("gas, speed", [("air", 19.9), ("argon", 17.9), ("helium", 56.7), ("carbon dioxide", 15.7)])
def test_a_choked_opening(gas, speed):
    tube = line.tube(sqrt(4e-4 / pi), 0, 0.5, gas, 293.15)

    assert line.throughput(tube, 1e5, 9e4) / 1e5 * 1e3 == pytest.approx(speed, rel=5e-3)


@pytest.mark.parametrize("kelvin", [300, 350, 450, 600])
def test_water_vapour_agrees_with_a_library(kelvin):
    expected = PropsSI("V", "T", kelvin, "P", 100, "Water")

    assert line.gas_viscosity("water vapour", kelvin) == pytest.approx(expected, rel=0.01)


def test_every_gas_of_the_list_has_data_in_the_hose():
    for gas in line.gases.NAMES:
        for kelvin in (253.15, 293.15, 373.15):
            assert 5e-6 < line.gas_viscosity(gas, kelvin) < 5e-5
        assert 1.2 < line.heat_capacity_ratio(gas) < 1.7


# ---------------------------------------------------------------- with a pump


@settings(max_examples=60, deadline=None)
@given(st.floats(1e-2, 1e5), st.floats(2e-3, 0.3), st.floats(0.01, 20), st.floats(1, 2000))
def test_pump_and_line_pass_the_same(inlet, bore, length, speed):
    tube, speed = line.tube(bore, length, 1.5, "air", 293.15), speed / 3600
    drop, flow = line.join_pump(tube, inlet, speed, 1e-4)

    assert 0 < drop < inlet
    assert line.throughput(tube, inlet, drop) == pytest.approx(speed * (inlet - drop - 1e-4), rel=1e-6)
    # 1/S_eff = 1/S0 + 1/C, where the pump's end pressure does not count
    effective = flow / (inlet - 1e-4)
    assert 1 / effective == pytest.approx(1 / speed + drop / flow, rel=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.floats(1e-3, 2e5), st.floats(1e-3, 0.3), st.floats(0.01, 50), st.floats(0, 100), st.floats(0.01, 0.98))
def test_more_drop_passes_more(inlet, bore, length, loss, part):
    tube = line.tube(bore, length, loss, "argon", 293.15)
    less, more = (line.throughput(tube, inlet, inlet * p) for p in (part, part * 1.02))

    assert 0 < less <= more * (1 + 1e-9)


def test_wider_shorter_and_higher_is_faster():
    def speed(**more):
        return value(PUMP | more, "effective_speed")

    assert speed(bore="16 mm") < speed() < speed(bore="40 mm")
    assert speed(length="5 m") < speed() < speed(length="0.2 m")
    assert speed(inlet_pressure="1 Pa") < speed() < speed(inlet_pressure="1000 Pa")
    assert speed(fittings_loss="60", inlet_pressure="100 mbar", bore="10 mm") < speed(
        inlet_pressure="100 mbar", bore="10 mm"
    )
    assert speed(gas="argon") < speed()


@pytest.mark.parametrize("inlet, pump_inlet, speed", [("10 Pa", 8.51, 0.912), ("1 Pa", 0.740, 0.489)])
def test_25_mm_by_1_m_with_a_small_pump(inlet, pump_inlet, speed):
    given = PUMP | {"inlet_pressure": inlet}

    assert value(given, "pump_inlet_pressure") == pytest.approx(pump_inlet, rel=0.02)
    assert value(given, "effective_speed") * 1e3 == pytest.approx(speed, rel=0.02)


def test_a_corrugated_hose_is_slower_and_less_certain():
    smooth = calcs.work_out("line", PUMP).figures["effective_speed"]
    corrugated = calcs.work_out("line", PUMP | {"hose_type": "corrugated"}).figures["effective_speed"]

    assert corrugated.value * 1e3 == pytest.approx(0.811, rel=0.02)
    assert corrugated.low_value * 1e3 == pytest.approx(0.688, rel=0.02)
    assert corrugated.high_value <= smooth.value
    assert corrugated.high_value - corrugated.low_value > smooth.high_value - smooth.low_value


def test_units_do_not_change_the_answer():
    other = {
        "mode": "to a pump",
        "inlet_pressure": "75.00617 mTorr",
        "bore": "0.9842520 in",
        "length": "3.28084 ft",
        "pump_speed": "66.66667 L/min",
        "pump_ultimate": "3e-6 bar",
        "gas_temperature": "68 °F",
    }

    assert value(other, "effective_speed") == pytest.approx(value(PUMP, "effective_speed"), rel=1e-6)


@pytest.mark.parametrize("bore, verdict", [("40 mm", "within"), ("16 mm", "close"), ("8 mm", "outside")])
def test_verdict_by_the_share_kept(bore, verdict):
    answer = calcs.work_out("line", PUMP | {"bore": bore})

    assert answer.verdict == verdict and answer.judged
    assert ("bigger pump will not help" in answer.sentence) == (verdict == "outside")


def test_the_shares_of_the_picture_are_the_whole():
    bars = calcs.work_out("line", PUMP | {"inlet_pressure": "1 Pa"}).pictures[0].bars

    assert sum(bar.value for bar in bars) == pytest.approx(100, abs=0.1)
    assert {bar.label for bar in bars} >= {"pump", "hose", "pump near its end pressure"}


@pytest.mark.parametrize(
    "inlet, word", [("1000 mbar", "viscous"), ("0.1 mbar", "transition"), ("0.0021 mbar", "molecular")]
)
def test_flow_regime_in_words(inlet, word):
    given = PUMP | {"inlet_pressure": inlet, "pump_ultimate": "1e-4 mbar"}

    assert calcs.work_out("line", given).figures["regime"].text == word


def test_turbulence_is_said():
    assert any("negligible" in n for n in calcs.work_out("line", PUMP | {"inlet_pressure": "1 bar"}).notes)
    strong = TWO | {"inlet_pressure": "1 bar", "outlet_pressure": "0.5 bar", "bore": "10 mm"}
    assert any("turbulent friction" in n for n in calcs.work_out("line", strong).notes)
    assert not calcs.work_out("line", TWO).notes


# ---------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    "reason, given",
    [
        ("hot_gas", PUMP | {"gas_temperature": "100.1 °C"}),
        ("no_flow", TWO | {"outlet_pressure": "200 mbar"}),
        ("no_flow", TWO | {"outlet_pressure": "300 mbar"}),
        ("below_pump_ultimate", PUMP | {"inlet_pressure": "0.3 Pa"}),
        ("below_pump_ultimate", PUMP | {"inlet_pressure": "0.1 Pa"}),
        ("pressure_outside", PUMP | {"inlet_pressure": "0.9e-3 Pa", "pump_ultimate": "1e-6 mbar"}),
        ("pressure_outside", PUMP | {"inlet_pressure": "2.01 bar"}),
    ],
)
def test_refusals(reason, given):
    answer = calcs.work_out("line", given)

    assert answer.refusal.reason == reason and not answer.figures


@pytest.mark.parametrize(
    "field, text",
    [
        ("bore", "0.9 mm"),
        ("bore", "301 mm"),
        ("length", "51 m"),
        ("length", "-1 m"),
        ("fittings_loss", "101"),
        ("pump_speed", "0 m3/h"),
        ("pump_speed", "2001 m3/h"),
        ("pump_ultimate", "201 mbar"),
        ("gas_temperature", "-21 °C"),
        ("bore", "5 mbar"),
    ],
)
def test_problems_just_outside(field, text):
    with pytest.raises(calcs.Problems) as found:
        calcs.work_out("line", PUMP | {field: text})

    assert field in found.value.messages


def test_a_line_of_nothing_is_a_problem():
    with pytest.raises(calcs.Problems, match="entrance"):
        calcs.work_out("line", PUMP | {"length": "0 m", "fittings_loss": "0"})


@pytest.mark.parametrize("gas", ["hydrogen", "oxygen", "carbon monoxide"])
def test_dangerous_gas_is_answered_with_a_warning(gas):
    answer = calcs.work_out("line", PUMP | {"gas": gas})

    assert answer.figures and answer.cautions[0].word == "WARNING"


def test_the_example():
    answer = calcs.work_out("line", calcs.example("line"))

    assert answer.figures["effective_speed"].value * 1e3 == pytest.approx(2.46, abs=0.02)
    assert answer.sentence.replace("\u00a0", " ").startswith(
        "Of the pump's 10 m³/h, about 8.8 m³/h reach the chamber at 0.1 mbar"
    )
