"""Gauges in other gases: factors, the model of a heated wire, what may end a filling, and what is refused."""

import pytest
from CoolProp.CoolProp import PropsSI

import calcs
from calcs import gases
from calcs.vacuum import gauge_gas
from calcs.vacuum.gauge_gas import CONVECTION, DIAL, DIAPHRAGM, FROM_TRUE, HOT_CATHODE, THERMAL, blend, indicated

READING, TRUE = (calcs.example("gauge-gas", mode) for mode in gauge_gas.FORM.modes)
OTHERS = [name for name in gases.NAMES if name not in ("air", "nitrogen", "methane")]


def work(**changed):
    example = TRUE if changed.get("mode") == FROM_TRUE else READING
    typed = example | changed
    return calcs.work_out("gauge-gas", {name: text for name, text in typed.items() if text != ""})


def backward(true_pressure, **changed):
    return work(mode=FROM_TRUE, true_pressure=true_pressure, **changed)


def problems(**changed):
    with pytest.raises(calcs.Problems) as caught:
        work(**changed)
    return caught.value.problems


def value(answer, name="true_pressure"):
    return answer.figures[name].value


# ---------------------------------------------------------------- thermal gauges up to 1 mbar


def test_the_example():
    answer = work()
    figure = answer.figures["true_pressure"]
    assert (figure.value, figure.low_value, figure.high_value) == pytest.approx((12.8, 12.0, 14.4))
    assert answer.figures["usable_for_filling"].value == "no" and answer.verdict == "close"
    assert answer.cautions[0].word == "WARNING" and "without end" in answer.cautions[0].hazard


@pytest.mark.parametrize("gas, low, middle, high", [("argon", 0.15, 0.16, 0.18), ("water vapour", 0.05, 0.06, 0.075)])
def test_the_factor_comes_with_its_range(gas, low, middle, high):
    figure = work(gas=gas, reading="0.10 mbar abs").figures["true_pressure"]
    assert (figure.low_value, figure.value, figure.high_value) == pytest.approx((low * 100, middle * 100, high * 100))


def test_a_mixture_adds_the_heat_losses():
    half = work(gas="mixture", mixture="argon 50 % · nitrogen 50 %")
    assert value(half, "gauge_factor") == pytest.approx(1 / (0.5 + 0.5 / 1.6))
    pure = work(gas="mixture", mixture=[{"gas": "argon", "share": "100 %"}])
    assert value(pure) == pytest.approx(value(work()))


def test_a_formula_is_the_gas():
    assert value(work(gas="Ar")) == value(work(gas="argon"))


@pytest.mark.parametrize("reading", ["8 Pa abs", "0.08 mbar abs", "60.0049 mTorr absolute", "994.92 mbar below"])
def test_the_answer_does_not_depend_on_the_unit_typed(reading):
    assert value(work(reading=reading)) == pytest.approx(value(work()), rel=1e-5)


@pytest.mark.parametrize("gas", OTHERS)
@pytest.mark.parametrize("kind", [THERMAL, CONVECTION])
def test_above_one_millibar_there_is_no_corrected_number(gas, kind):
    just_in, just_out = (
        work(gas=gas, gauge_type=kind, reading="1 mbar abs"),
        work(gas=gas, gauge_type=kind, reading="1.001 mbar abs"),
    )
    assert just_in.refusal is None
    assert just_out.refusal.reason == "thermal_above_limit" and not just_out.figures and not just_out.pictures


def test_in_air_and_nitrogen_the_range_widens_instead():
    for gas in ("air", "nitrogen"):
        fine, coarse = work(gas=gas, reading="5 mbar abs"), work(gas=gas, reading="50 mbar abs")
        assert (fine.verdict, coarse.verdict) == ("within", "close")
        figure = coarse.figures["true_pressure"]
        assert (figure.low_value, figure.high_value) == pytest.approx((3500, 6500))
        assert work(gas=gas, reading="150 mbar abs").refusal.reason == "thermal_above_limit"
        assert work(gas=gas, gauge_type=CONVECTION, reading="150 mbar abs").refusal is None


def test_a_gas_without_a_factor_is_refused_by_thermal_gauges_only():
    assert work(gas="methane").refusal.reason == "unknown_gas"
    assert work(gas="mixture", mixture="argon 98 % · methane 2 %").refusal.reason == "unknown_gas"
    assert work(gas="methane", gauge_type=HOT_CATHODE, reading="1e-4 Pa abs").refusal is None
    assert work(gas="methane", gauge_type=DIAPHRAGM).refusal is None


def test_shares_must_add_to_one():
    assert work(gas="mixture", mixture="argon 98 % · hydrogen 1 %").refusal.reason == "mixture_sum"
    assert work(gas="mixture", mixture="argon 98 % · hydrogen 2.09 %").refusal is None
    assert "mixture" in problems(gas="mixture", mixture="")


# ---------------------------------------------------------------- no gauge that hangs on the gas ends a filling


@pytest.mark.parametrize("gas", gases.NAMES)
@pytest.mark.parametrize("kind", gauge_gas.GAUGES)
def test_only_gauges_that_weigh_the_gas_may_end_a_filling(gas, kind):
    for answer in (
        work(gas=gas, gauge_type=kind, reading="1e-3 Pa abs"),
        backward("1005 mbar", gas=gas, gauge_type=kind),
    ):
        if not answer.refusal:
            assert value(answer, "usable_for_filling") == ("yes" if kind in (DIAPHRAGM, DIAL) else "no")


@pytest.mark.parametrize("gas", OTHERS)
def test_at_the_end_of_a_filling_a_thermal_gauge_is_outside_limits(gas):
    answer = backward("1005 mbar", gas=gas)
    assert answer.verdict == "outside" and answer.judged


@pytest.mark.parametrize("gas", ["argon", "carbon dioxide", "krypton", "xenon"])
def test_heavy_gas_never_reaches_the_room_on_the_dial(gas):
    answer = backward("1005 mbar", gas=gas)
    level = answer.figures["saturates_at"]
    assert value(answer, "indicated_pressure") < level.value < 5000
    assert level.low_value < level.value < level.high_value
    assert "Filling without end" in [c.hazard for c in answer.cautions]
    assert "goes no higher" in answer.sentence and answer.pictures


@pytest.mark.parametrize("gas", ["helium", "hydrogen", "neon"])
def test_light_gas_shows_a_full_atmosphere_at_vacuum(gas):
    answer = backward("100 mbar", gas=gas)
    assert "indicated_pressure" not in answer.figures and value(answer, "over_range_at") < 5000
    assert "Full reading at vacuum" in [c.hazard for c in answer.cautions]
    assert "run over its scale" in answer.sentence


# ---------------------------------------------------------------- the model


def test_the_model_against_the_reference_table():
    """True to indicated in Pa, made apart from this code with conductivities of another library."""
    table = {
        "argon": ((100, 60.2), (1000, 451), (5000, 1066), (10_000, 1285), (101_325, 1577)),
        "helium": ((100, 113), (500, 1147)),
        "hydrogen": ((100, 207),),
        "carbon dioxide": ((100, 97.8), (1000, 597), (101_325, 1364)),
    }
    for gas, pairs in table.items():
        found = blend({gas: 1.0})
        for true, shown in pairs:
            assert indicated(true, found.factor, found.conduction, 740.0) == pytest.approx(shown, rel=0.025), (
                gas,
                true,
            )


@pytest.mark.parametrize(
    "gas, library",
    [
        ("argon", "Argon"),
        ("helium", "Helium"),
        ("hydrogen", "Hydrogen"),
        ("oxygen", "Oxygen"),
        ("carbon dioxide", "CarbonDioxide"),
        ("air", "Air"),
    ],
)
def test_the_conductivities_agree_with_a_library(gas, library):
    theirs = PropsSI("L", "T", 300, "P", 101325, library) / PropsSI("L", "T", 300, "P", 101325, "Nitrogen")
    assert blend({gas: 1.0}).conduction == pytest.approx(theirs, rel=0.02)


@pytest.mark.parametrize("gas", [name for name in gases.NAMES if name != "methane"])
def test_the_reading_rises_with_the_pressure_and_starts_with_the_factor(gas):
    found = blend({gas: 1.0})
    shown = [indicated(p, found.factor, found.conduction, 740.0) for p in (0.01, 0.1, 1, 10, 100, 1000, 1e4, 1e5)]
    kept = [s for s in shown if s is not None]
    assert kept == sorted(kept) and len(set(kept)) == len(kept)
    assert kept[0] == pytest.approx(0.01 / found.factor, rel=1e-3)


def test_a_mixture_lies_between_its_parts():
    pure, light = blend({"argon": 1.0}).conduction, blend({"hydrogen": 1.0}).conduction
    mixed = blend({"argon": 0.98, "hydrogen": 0.02})
    assert pure < mixed.conduction_low < mixed.conduction < mixed.conduction_high < light


def test_the_range_covers_gauges_of_2_to_30_millibar():
    figure = backward("1005 mbar").figures["saturates_at"]
    for transition in ("2 mbar", "30 mbar"):
        assert (
            figure.low_value
            <= value(backward("1005 mbar", transition_pressure=transition), "saturates_at")
            <= figure.high_value
        )


# ---------------------------------------------------------------- hot cathode, diaphragm, dial


@pytest.mark.parametrize(
    "gas, sensitivity", [("argon", 1.4), ("helium", 0.18), ("hydrogen", 0.43), ("water vapour", 0.93)]
)
def test_hot_cathode_divides_by_the_sensitivity(gas, sensitivity):
    figure = work(gas=gas, gauge_type=HOT_CATHODE, reading="1e-4 Pa abs").figures["true_pressure"]
    assert figure.value == pytest.approx(1e-4 / sensitivity) and figure.low_value < figure.value < figure.high_value


def test_hot_cathode_forward_and_back_agree():
    shown = value(backward("1e-3 Pa", gauge_type=HOT_CATHODE), "indicated_pressure")
    assert value(work(gauge_type=HOT_CATHODE, reading=f"{shown} Pa abs")) == pytest.approx(1e-3)


def test_hot_cathode_is_refused_where_the_filament_burns():
    assert work(gauge_type=HOT_CATHODE, reading="0.01 mbar abs").refusal is None
    assert work(gauge_type=HOT_CATHODE, reading="0.0101 mbar abs").refusal.reason == "hot_cathode_too_high"
    assert backward("1005 mbar", gauge_type=HOT_CATHODE).refusal.reason == "hot_cathode_too_high"


def test_a_diaphragm_does_not_ask_for_the_gas():
    for gas in gases.NAMES:
        assert value(work(gas=gas, gauge_type=DIAPHRAGM, reading="5 mbar abs")) == pytest.approx(500)
        assert value(backward("1005 mbar", gas=gas, gauge_type=DIAPHRAGM), "indicated_pressure") == pytest.approx(
            100_500
        )


def test_a_heated_diaphragm_reads_high_at_low_pressure_only():
    low = work(
        gauge_type=DIAPHRAGM, reading="0.1 Pa abs", gauge_temperature="45 °C", chamber_temperature="23 °C"
    ).figures["true_pressure"]
    assert (low.low_value, low.high_value) == pytest.approx((0.096481, 0.1), rel=1e-4)
    assert (
        work(gauge_type=DIAPHRAGM, reading="2 mbar abs", gauge_temperature="45 °C").figures["true_pressure"].low_value
        is None
    )


def test_a_cold_gauge_on_a_hot_chamber_reads_low():
    hot = work(gauge_type=DIAPHRAGM, reading="0.1 Pa abs", chamber_temperature="1000 °C").figures["true_pressure"]
    assert (hot.low_value, hot.high_value) == pytest.approx((0.1, 0.1 * (1273.15 / 293.15) ** 0.5))


def test_a_dial_asks_for_its_sense_and_cannot_see_vacuum():
    assert "reading" in problems(gauge_type=DIAL, reading="0.5 bar")
    assert "reading" in problems(reading="0.08 mbar")
    assert value(work(gauge_type=DIAL, reading="0.5 bar below")) == pytest.approx(49500)
    assert value(work(gauge_type=DIAL, reading={"text": "0.5", "unit": "bar", "sense": "gauge"})) == pytest.approx(
        149500
    )
    assert work(gauge_type=DIAL, reading="49 mbar abs").refusal.reason == "dial_too_low"
    assert work(gauge_type=DIAL, reading="51 mbar abs").refusal is None
    assert backward("1 mbar", gauge_type=DIAL).refusal.reason == "dial_too_low"


def test_gas_that_burns_or_poisons_carries_a_caution():
    assert any("burns" in c.hazard for c in work(gas="mixture", mixture="argon 98 % · hydrogen 2 %").cautions)
    assert any("poisons" in c.hazard for c in work(gas="carbon monoxide").cautions)
    assert any("Oxygen" in c.hazard for c in work(gas="oxygen").cautions)


def test_a_reading_of_nothing_is_a_problem():
    assert "reading" in problems(reading="0 mbar abs")
    assert "reading" in problems(reading="1.5 bar below")
