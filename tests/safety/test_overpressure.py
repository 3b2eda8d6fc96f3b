"""What pressure does: vent line, failed regulator, water, stored energy, door."""

from math import exp, log, pi, sqrt

import fluids
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

import calcs
from calcs import gases
from calcs.safety import overpressure
from calcs.safety.overpressure import Line, vented

FLUID = {"argon": "Argon", "nitrogen": "Nitrogen", "helium": "Helium", "hydrogen": "Hydrogen", "air": "Air"}


def work(mode="vent line", **changed):
    return calcs.work_out("overpressure", calcs.example("overpressure", mode) | changed)


def figure(mode, name, **changed):
    return work(mode, **changed).figures[name]


# ---------------------------------------------------------------- the vent line


@pytest.mark.parametrize("gas", FLUID)
@pytest.mark.parametrize(
    "bore, length, flow", [(3e-3, 0.3, 1e-5), (6e-3, 1.0, 3e-3), (16e-3, 5.0, 0.1), (0.05, 20.0, 2.0)]
)
def test_agrees_with_the_library_for_pipes(gas, bore, length, flow):
    """The pressures found by this module, put into fluids.isothermal_gas, give the flow back."""
    temperature, outlet = 293.15, 101325.0
    found = vented(flow, gas, temperature, Line(bore, length, 0.0), outlet)
    density = found.inlet_pa * gases.gas(gas).molar_mass / (8.314462618 * temperature)
    friction = fluids.friction_factor(Re=found.reynolds, eD=0)
    mass = fluids.isothermal_gas(rho=density, fd=friction, P1=found.inlet_pa, P2=outlet, L=length, D=bore)

    assert mass / gases.gas(gas).molar_mass == pytest.approx(flow, rel=0.03)


@pytest.mark.parametrize("gas", FLUID)
def test_the_reynolds_number_is_that_of_the_gas(gas):
    viscosity = PropsSI("viscosity", "T", 350.0, "P", 101325, FLUID[gas])
    found = vented(1e-3, gas, 350.0, Line(0.01, 1.0, 1.5), 101325.0)

    assert found.reynolds == pytest.approx(4 * 1e-3 * gases.gas(gas).molar_mass / (pi * 0.01 * viscosity), rel=0.005)


@given(
    logarithm=st.floats(log(1e-12), log(100)), bore=st.floats(1e-3, 0.1), length=st.floats(0, 20),
    loss=st.floats(0, 50),
    kelvin=st.floats(273.15, 573.15),
)  # fmt: skip
@settings(max_examples=200, deadline=None, derandomize=True)
def test_the_equation_holds_for_any_line(logarithm, bore, length, loss, kelvin):
    flow, line = exp(logarithm), Line(bore, length, loss)
    found = vented(flow, "argon", kelvin, line, 101325.0)
    flux = flow * 0.039948 / (pi / 4 * bore**2)
    rt = 8.314462618 * kelvin / 0.039948
    outlet = max(101325.0, flux * sqrt(rt))
    losses = overpressure.friction_factor(found.reynolds) * length / bore + loss
    right = outlet**2 + flux**2 * rt * (losses + 2 * log(found.inlet_pa / outlet))

    assert found.inlet_pa**2 == pytest.approx(right, rel=1e-6)
    assert found.choked == (outlet > 101325.0)


def test_more_flow_a_longer_or_a_narrower_line_costs_more():
    flows = [
        figure("vent line", "pressure_drop", flow=q).value for q in ("1 L/min", "20 L/min", "100 L/min", "1000 L/min")
    ]
    bores = [figure("vent line", "pressure_drop", vent_bore=d).value for d in ("16 mm", "10 mm", "6 mm", "3 mm")]
    lengths = [figure("vent line", "pressure_drop", vent_length=x).value for x in ("0 m", "1 m", "20 m")]

    assert flows == sorted(flows) and bores == sorted(bores) and lengths == sorted(lengths)


def test_hot_gas_loses_more():
    cold, hot = (
        figure("vent line", "pressure_drop", flow="5 L/min", vent_temperature=t).value for t in ("20 °C", "300 °C")
    )

    assert 2 < hot / cold < 4


def test_the_smallest_bore_keeps_to_the_rating_and_a_little_less_does_not():
    line, flow = Line(0.016, 1.0, 1.5), 0.2598
    bore = overpressure.smallest_bore(flow, "argon", 293.15, line, 99500.0, 5000.0)

    def loss(width):
        return (vented(flow, "argon", 293.15, Line(width, 1.0, 1.5), 99500.0).inlet_pa - 99500.0) * 1.2

    assert loss(bore) <= 5000.0 < loss(bore * 0.99)


def test_the_answer_does_not_depend_on_the_unit():
    same = work(
        flow="1.2 m3/h", vent_bore="1.6 cm", vent_length="1000 mm", vent_temperature="68 °F", maximum_pressure="5 kPa"
    )

    for name, first in work().figures.items():
        assert same.figures[name].value == pytest.approx(first.value), name


@pytest.mark.parametrize(
    "bore, verdict", [("16 mm", "within"), ("4.5 mm", "close"), ("4 mm", "outside"), ("2 mm", "outside")]
)
def test_the_verdict_follows_the_rating(bore, verdict):
    assert work(vent_bore=bore).verdict == verdict


def test_a_relief_that_rises_past_the_rating_is_close():
    answer = work(relief_pressure="48 mbar gauge")

    assert answer.verdict == "close" and any("rises about 10 %" in note for note in answer.notes)


def test_the_ladder_names_relief_and_rating():
    picture = work().pictures[0]

    assert [p.label for p in picture.points] == ["relief opens", "relief blowing, 10 % more", "rating of the chamber"]
    assert picture.points[2].value == pytest.approx(50)


# ---------------------------------------------------------------- the failed regulator


def test_the_restriction_of_the_example_passes_what_its_record_says():
    """HS-1: 0.35 mm, 172 L/min from 200 bar gauge at 20 °C, 196 L/min at -15 °C, discharge coefficient 0.8."""
    flows = [
        overpressure.failure_flow("argon", 200.995e5, t, 0.35e-3, 0.8, 99500.0) * 8.314462618 * 273.15 / 101325 * 6e4
        for t in (293.15, 258.15)
    ]

    assert flows == pytest.approx([172, 196], abs=1)


def test_the_upper_end_is_the_coldest_cylinder_with_nothing_lost():
    flow = figure("regulator fails open", "failure_flow")
    cold = figure("regulator fails open", "failure_flow", cylinder_temperature="-15 °C", discharge_coefficient="1")

    assert flow.high_value == pytest.approx(cold.value) and flow.low_value == pytest.approx(0.85 * flow.value)


def test_a_full_cylinder_is_judged_before_it_is_connected():
    nearly_empty = work("regulator fails open", cylinder_pressure="10 bar gauge", restriction_bore="1 mm")

    assert nearly_empty.figures["peak_pressure"].high_value < 5000
    assert nearly_empty.verdict == "outside" and any("full one" in note for note in nearly_empty.notes)


def test_a_narrow_vent_does_not_hold_a_failed_regulator():
    answer = work(
        "regulator fails open", restriction_bore="0.5 mm", vent_bore="6 mm", cylinder_pressure="200 bar gauge"
    )

    assert answer.verdict == "outside" and answer.figures["peak_pressure"].value > 1e5


def test_no_bore_helps_when_too_much_comes():
    answer = work("regulator fails open", restriction_bore="20 mm", cylinder_pressure="200 bar gauge")

    assert "smallest_bore" not in answer.figures and any("No bore" in note for note in answer.notes)


@pytest.mark.parametrize("gas", ["argon", "nitrogen", "air", "methane"])
def test_the_factor_never_lowers_the_flow_and_meets_the_ideal_gas(gas):
    factors = [overpressure.real_gas_factor(gas, p, 293.15) for p in (1e5, 50e5, 120e5, 200e5, 300e5)]

    assert factors[0] == pytest.approx(1, abs=0.005) and factors == sorted(factors)
    assert overpressure.real_gas_factor(gas, 200e5, 258.15) > overpressure.real_gas_factor(gas, 200e5, 323.15)


def test_light_gases_count_as_ideal():
    assert overpressure.real_gas_factor("helium", 300e5, 293.15) == 1.0
    assert overpressure.real_gas_factor("hydrogen", 300e5, 293.15) == 1.0


# ---------------------------------------------------------------- water, energy, door


def test_water_in_a_cold_chamber_stops_at_its_vapour_pressure():
    assert overpressure.water_rise(1.0, 293.15, 0.1) == pytest.approx(
        PropsSI("P", "T", 293.15, "Q", 1, "Water"), rel=0.003
    )
    assert figure("water", "pressure_rise", free_water="0 g").value == 0


def test_the_water_of_the_example_passes_the_rating():
    answer = work("water")

    assert answer.verdict == "outside" and "past the rating" in answer.sentence
    assert work("water", free_water="0.1 g").verdict == "within"
    assert work("water", free_water="1.2 g").verdict == "close"


@pytest.mark.parametrize("gauge_mbar", [1, 10, 100, 500])
def test_the_upper_energy_is_above_the_other(gauge_mbar):
    low, high = overpressure.stored_energy("argon", 1e5 + gauge_mbar * 100, 1e5, 0.1)

    assert 0 < low < high


def test_a_small_pressure_stores_pressure_times_volume_over_k():
    """First term of the expansion, which a careless subtraction would lose."""
    low, _ = overpressure.stored_energy("argon", 1e5 + 0.01, 1e5, 0.1)

    assert low == pytest.approx(0.01 * 0.1 / gases.gas("argon").gamma, rel=1e-5)


def test_the_door_of_the_example():
    door = work("door")

    assert door.figures["door_force"].value == pytest.approx(75.0)
    assert door.figures["door_force_vacuum"].value == pytest.approx(7462.5)
    assert "the door then sees 263" in door.sentence.replace("\u00a0", " ")


def test_a_flat_door_above_a_tenth_of_a_bar_is_close():
    answer = work(
        "door", chamber_pressure="1150 mbar", maximum_pressure="0.4 bar gauge", relief_pressure="0.3 bar gauge"
    )

    assert answer.verdict == "close"
    assert work("door", chamber_pressure="1055 mbar").verdict == "outside"


# ---------------------------------------------------------------- refusals and problems


@pytest.mark.parametrize("mode", ["vent line", "regulator fails open", "water", "stored energy", "door"])
@pytest.mark.parametrize(
    "changed, reason",
    [
        ({"maximum_pressure": ""}, "no_rated_pressure"),
        ({"relief_pressure": "50 mbar gauge"}, "relief_above_rated"),
        ({"relief_pressure": "60 mbar gauge"}, "relief_above_rated"),
        ({"maximum_pressure": "0.6 bar gauge"}, "pressure_equipment"),
    ],
)
def test_refuses_in_every_mode(mode, changed, reason):
    answer = work(mode, **changed)

    assert answer.refusal.reason == reason and not answer.figures


@pytest.mark.parametrize(
    "mode, changed, reason",
    [
        ("regulator fails open", {"restriction_bore": ""}, "restriction_unknown"),
        ("regulator fails open", {"gas": "carbon dioxide", "cylinder_pressure": "57 bar gauge"}, "no_gas_data"),
        ("vent line", {"gas": "oxygen"}, "oxygen_rich"),
        ("stored energy", {"gas": "carbon monoxide"}, "toxic_gas"),
        ("vent line", {"gas": "xenon"}, "no_gas_data"),
        ("stored energy", {"gas": "water vapour"}, "no_gas_data"),
        ("door", {"chamber_pressure": "1600 mbar"}, "pressure_equipment"),
        ("stored energy", {"chamber_pressure": "1600 mbar"}, "pressure_equipment"),
    ],
)
def test_refuses(mode, changed, reason):
    assert work(mode, **changed).refusal.reason == reason


def test_half_a_bar_is_still_answered():
    assert work("door", chamber_pressure="1495 mbar", maximum_pressure="0.5 bar gauge").refusal is None


@pytest.mark.parametrize(
    "mode, changed, field",
    [
        ("vent line", {"relief_pressure": ""}, "relief_pressure"),
        ("door", {"chamber_pressure": "900 mbar"}, "chamber_pressure"),
        ("regulator fails open", {"cylinder_pressure": "0.5 bar abs"}, "cylinder_pressure"),
        ("regulator fails open", {"cylinder_pressure": "120 bar"}, "cylinder_pressure"),
        ("vent line", {"vent_bore": "0.5 mm"}, "vent_bore"),
    ],
)
def test_names_the_field(mode, changed, field):
    with pytest.raises(calcs.Problems) as caught:
        work(mode, **changed)

    assert field in caught.value.problems


def test_a_burning_gas_is_sent_to_its_page():
    assert any("SAF-03" in note for note in work(gas="hydrogen").notes)
