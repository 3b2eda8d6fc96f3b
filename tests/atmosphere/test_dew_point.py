"""Moisture in a gas, one measure from another, and the life of dryers and getters."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from iapws._iapws import _Sublimation_Pressure
from iapws.iapws97 import _PSat_T
from scipy.optimize import brentq

import calcs
from calcs.atmosphere import dew_point

MODES = calcs.calculator("dew-point").FORM.modes
EACH = {mode: calcs.example("dew-point", mode) for mode in MODES}
CONVERSIONS = MODES[:6]
# A printed table at 101.3 kPa (looked at on 2026-11-25): frost point, ppm
TABLE = (
    (0, 6033),
    (-10, 2566),
    (-20, 1019),
    (-30, 375.3),
    (-40, 126.8),
    (-50, 38.89),
    (-60, 10.68),
    (-70, 2.584),
    (-80, 0.5410),
    (-90, 0.09564),
)


def work(mode=MODES[0], **changed):
    return calcs.work_out("dew-point", {name: text for name, text in (EACH[mode] | changed).items() if text != ""})


def value(answer, name="water"):
    return answer.figures[name].value


# ---------------------------------------------------------------- conversions


@pytest.mark.parametrize("celsius, ppm", TABLE)
def test_against_a_printed_table(celsius, ppm):
    assert value(work(frost_point=f"{celsius} °C", total_pressure="101.3 kPa")) * 1e6 == pytest.approx(ppm, rel=1.5e-3)


@pytest.mark.parametrize("celsius", [-120, -100, -80, -60, -40, -20, -5])
@pytest.mark.parametrize("pressure", [1e3, 101325.0, 2e6])
def test_water_content_against_iapws(celsius, pressure):
    vapour = _Sublimation_Pressure(celsius + 273.15) * 1e6
    answer = work(frost_point=f"{celsius} °C", total_pressure=f"{pressure} Pa")

    assert value(answer) == pytest.approx(vapour / pressure, rel=2e-3)
    assert value(answer, "water_dry_basis") == pytest.approx(vapour / (pressure - vapour), rel=3e-3)


@pytest.mark.parametrize("celsius", [1, 12, 25, 40, 58])
def test_dew_point_against_iapws(celsius):
    answer = work("from dew point", dew_point=f"{celsius} °C", gas_temperature=f"{celsius} °C")

    assert value(answer, "vapour_pressure") == pytest.approx(_PSat_T(celsius + 273.15) * 1e6, rel=4e-4)
    assert value(answer, "relative_humidity") == pytest.approx(1, rel=1e-9)
    assert "frost_point" not in answer.figures


@pytest.mark.parametrize("ppm", [0.01, 1, 10, 100, 1000, 5000])
def test_frost_point_against_iapws(ppm):
    theirs = brentq(lambda t: _Sublimation_Pressure(t) * 1e6 - ppm * 0.101325, 140, 273.16)

    found = work("from water content", water=f"{ppm} ppm", total_pressure="1 atm")
    assert value(found, "frost_point") == pytest.approx(theirs, abs=0.02)


def test_all_six_ways_say_the_same():
    first = work(target_water="")
    again = {
        "from dew point": {"dew_point": None}, "from water content": {"water": f"{value(first) * 1e6:.15g} ppm"},
        "from mass concentration": {"mass_concentration": f"{value(first, 'mass_concentration') * 1e6:.15g} mg/m3"},
        "from vapour pressure": {"vapour_pressure": f"{value(first, 'vapour_pressure'):.15g} Pa"},
        "from relative humidity": {"relative_humidity": f"{value(first, 'relative_humidity') * 100:.15g} %"},
    }  # fmt: skip
    for mode, given_ in again.items():
        if mode == "from dew point":
            continue  # this gas is drier than any dew point over water that is answered for
        other = work(mode, target_water="", **given_)
        for name in ("water", "frost_point", "dew_point", "vapour_pressure", "mass_concentration", "relative_humidity"):
            assert value(other, name) == pytest.approx(value(first, name), rel=1e-9), (mode, name)


@pytest.mark.parametrize("celsius", [-50, -38, -12, 0, 8, 58])
def test_dew_point_leads_to_itself(celsius):
    answer = work("from dew point", dew_point=f"{celsius} °C", total_pressure="1 bar")

    assert value(answer, "dew_point") == pytest.approx(celsius + 273.15, abs=1e-6)
    if celsius < -1:
        assert value(answer, "frost_point") > value(answer, "dew_point")


def test_frost_and_dew_differ_by_four_kelvin_at_minus_forty():
    frost, dew = work(frost_point="-40 °C"), work("from dew point", dew_point="-40 °C")

    assert value(dew) / value(frost) == pytest.approx(1.472, abs=0.005)
    assert value(dew, "frost_point") - value(dew, "dew_point") == pytest.approx(3.6, abs=0.2)
    assert any("over ice" in note for note in dew.notes)


def test_the_answer_does_not_depend_on_the_unit_typed():
    same = work(frost_point="-85 °F", total_pressure="100.5 kPa", gas_temperature="293.15 K", target_water="10000 ppb")
    for name, figure in work().figures.items():
        assert same.figures[name].value == pytest.approx(figure.value, rel=1e-6), name


def test_pressure_moves_the_point_and_not_the_content():
    points = [
        value(work("from water content", water="10 ppm", total_pressure=f"{p} bar"), "frost_point")
        for p in (0.1, 1, 10, 20)
    ]

    assert points == sorted(points) and points[2] == pytest.approx(273.15 - 42.2, abs=0.1)


def test_wetter_is_wetter_in_every_measure():
    found = [work(frost_point=f"{t} °C") for t in (-120, -90, -60, -30, -1)]
    for name in ("water", "water_dry_basis", "dew_point", "vapour_pressure", "mass_concentration", "relative_humidity"):
        values = [value(a, name) for a in found]
        assert values == sorted(values) and values[0] < values[-1], name


def test_verdicts_and_the_meter():
    assert work(target_water="20 ppm").verdict == "within"
    assert work(target_water="6 ppm").verdict == "close"  # a meter 2 K off would say more
    assert work(target_water="5 ppm").verdict == "outside" and work(target_water="5 ppm").cautions
    assert not work(target_water="").judged
    assert work(target_water="1 %", total_pressure="12 bar").verdict == "close"


def test_water_that_would_condense_is_pointed_out():
    assert any("condense" in n for n in work("from dew point", dew_point="30 °C").notes)
    assert not any("condense" in n for n in work("from dew point", dew_point="10 °C").notes)


@pytest.mark.parametrize("mode", CONVERSIONS)
def test_a_scale_is_drawn_with_the_reading_on_it(mode):
    scale = work(mode).pictures[0]

    assert scale.axis.low <= scale.yours[0].value <= scale.axis.high and len(scale.beside) == 2


# ---------------------------------------------------------------- beds


def test_dryer_and_getter_by_the_balance_of_mass():
    n = 2e-3 / 60 * 101325 / (8.314462618 * 273.15)

    assert value(work("dryer life"), "bed_life") == pytest.approx(0.05 / (n * 3e-6 * 18.0153e-3))
    assert value(work("getter life"), "bed_life") == pytest.approx(0.05 / (n * 2e-6 * 31.9988e-3))
    life = work("dryer life").figures["bed_life"]
    assert life.low_value == pytest.approx(life.value / 2) and life.high_value == life.value


def test_a_bed_lives_longer_on_drier_gas_and_with_more_of_it():
    water = [value(work("dryer life", water=f"{x} ppm"), "bed_life") for x in (1000, 100, 1)]
    mass = [value(work("dryer life", bed_mass=f"{m} kg"), "bed_life") for m in (0.01, 1, 100)]

    assert water == sorted(water) and mass == sorted(mass)
    assert any("Log its exposure" in n for n in work("dryer life").notes)
    assert not any("Log its exposure" in n for n in work("dryer life", water="2000 ppm").notes)


# ---------------------------------------------------------------- refusals and problems


@pytest.mark.parametrize("mode, changed, reason", [
    ("from frost point", {"total_pressure": "20.1 bar"}, "above_20_bar"), ("dryer life", {"total_pressure": "30 bar"},
                                                                           "above_20_bar"),
    ("from vapour pressure", {"vapour_pressure": "1005 mbar"}, "steam"),
    ("from relative humidity", {"relative_humidity": "100 %", "gas_temperature": "58 °C", "total_pressure": "18 kPa"},
     "steam"),
    ("from water content", {"water": "90 %"}, "outside_equation"), ("from vapour pressure",
                                                                    {"vapour_pressure": "1e-7 Pa"}, "outside_equation"),
    ("from mass concentration", {"mass_concentration": "200 g/m3"}, "outside_equation"),
    ("dryer life", {"bed_capacity": "0.26"}, "capacity_too_high"), ("getter life", {"bed_capacity": "30 %"},
                                                                    "capacity_too_high"),
])  # fmt: skip
def test_what_is_refused(mode, changed, reason):
    answer = work(mode, **changed)

    assert answer.refusal and answer.refusal.reason == reason and not answer.figures


def test_below_zero_ice_or_water_must_be_said():
    assert calcs.work_out("dew-point", {"dew_point": "-30 °C"}).refusal.reason == "ice_or_water"
    with pytest.raises(calcs.Problems):
        calcs.work_out("dew-point", {"dew_point": "5 °C"})  # without a mode the frost point is asked for
    assert not calcs.work_out("dew-point", {"mode": "from dew point", "dew_point": "-30 °C"}).refusal


def test_just_inside_it_is_answered():
    assert not work(total_pressure="20 bar").refusal
    assert not work("dryer life", bed_capacity="0.25").refusal
    assert not work("from water content", water="90 %", total_pressure="20 kPa").refusal
    assert not work("from water content", water="0.001 ppm", total_pressure="1 kPa").refusal
    for celsius in (-120, 0):
        assert not work(frost_point=f"{celsius} °C").refusal


@pytest.mark.parametrize("mode, changed, name", [
    ("from frost point", {"frost_point": "1 °C"}, "frost_point"), ("from frost point", {"frost_point": "-121 °C"},
                                                                   "frost_point"),
    ("from dew point", {"dew_point": "-51 °C"}, "dew_point"), ("from dew point", {"dew_point": "59 °C"}, "dew_point"),
    ("from water content", {"water": "91 %"}, "water"), ("from relative humidity", {"relative_humidity": "101 %"},
                                                         "relative_humidity"),
    ("from mass concentration", {"mass_concentration": "0 mg/m3"}, "mass_concentration"), ("from frost point",
                                                                                           {"total_pressure": "9 mbar"},
                                                                                           "total_pressure"),
    ("from frost point", {"gas_temperature": "59 °C"}, "gas_temperature"), ("dryer life", {"bed_mass": "101 kg"},
                                                                            "bed_mass"),
    ("getter life", {"gas_oxygen": "11 %"}, "gas_oxygen"), ("dryer life", {"flow": "1e-30 L/min"}, "flow"),
])  # fmt: skip
def test_what_is_a_problem(mode, changed, name):
    with pytest.raises(calcs.Problems) as caught:
        work(mode, **changed)
    assert name in caught.value.problems


@settings(max_examples=80, deadline=None)
@given(st.floats(-120, 0), st.floats(1e3, 2e6), st.floats(-50, 58))
def test_any_frost_point_of_the_range_comes_back(celsius, pressure, warm):
    first = work(
        frost_point=f"{celsius:.9f} °C",
        total_pressure=f"{pressure} Pa",
        gas_temperature=f"{warm:.9f} °C",
        target_water="",
    )
    vapour = value(first, "vapour_pressure")

    assert vapour / pressure == pytest.approx(value(first))
    assert dew_point.mass_in_volume(vapour, warm + 273.15) == pytest.approx(value(first, "mass_concentration"))
    assert value(first, "frost_point") == pytest.approx(celsius + 273.15, abs=1e-6)
