"""Gas flow: reference conditions, and what an instrument means in another gas."""

import CoolProp.CoolProp as library
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calcs
from calcs import gases, units
from calcs.atmosphere import flow
from calcs.form import REFERENCES

ONE, OTHER = calcs.example("flow"), calcs.example("flow", "change the gas")
FLUIDS = {"air": "Air", "argon": "Argon", "nitrogen": "Nitrogen", "helium": "Helium", "hydrogen": "Hydrogen",
          "oxygen": "Oxygen",
          "carbon dioxide": "CarbonDioxide", "methane": "Methane", "carbon monoxide": "CarbonMonoxide", "neon": "Neon",
          "krypton": "Krypton", "xenon": "Xenon"}  # fmt: skip
WITH_VISCOSITY = [name for name in FLUIDS if name not in ("carbon monoxide", "neon", "krypton", "xenon")]
CRC = {"neon": 31.9, "krypton": 25.5, "xenon": 23.2, "carbon monoxide": 17.8}  # µPa s at 300 K, CRC Handbook


def work(base=ONE, **changed):
    return calcs.work_out("flow", {name: text for name, text in (base | changed).items() if text != ""})


def problems(base=ONE, **changed):
    with pytest.raises(calcs.Problems) as caught:
        work(base, **changed)
    return caught.value.problems


def value(answer, name):
    return answer.figures[name].value


# ---------------------------------------------------------------- the examples


def test_the_example_is_answered():
    answer = work()

    assert value(answer, "molar_flow") == pytest.approx(1.487168e-3, rel=1e-6)
    assert value(answer, "flow_at_0c") * 6e4 == pytest.approx(2)
    assert value(answer, "actual_flow") * 6e4 == pytest.approx(2 * 873.15 / 273.15 * 101325 / 100500)
    assert value(answer, "bill_volume") == pytest.approx(0.89787, rel=1e-4)
    assert value(answer, "cost") == pytest.approx(9.5 * value(answer, "bill_volume"))
    assert not answer.judged and answer.cautions[0].word == "WARNING"
    assert "6.45 L/min" in answer.sentence.replace("\u00a0", " ")


def test_the_factor_of_the_instrument_beats_the_calculated_one():
    answer = work(OTHER)

    assert value(answer, "gas_factor") == 1.39 and value(answer, "true_flow") * 6e4 == pytest.approx(2.78)
    assert value(answer, "setting") * 6e4 == pytest.approx(2 / 1.39)
    assert any("1.400" in note for note in answer.notes)


def test_a_factor_that_looks_turned_over_is_pointed_out():
    assert any("inverse" in note for note in work(OTHER, instrument_factor="0.72").notes)
    assert not any("inverse" in note for note in work(OTHER, instrument_factor="1.42").notes)


# ---------------------------------------------------------------- change the reference


def test_the_answer_does_not_depend_on_the_unit_typed():
    same = work(flow="2000 mL/min", chamber_temperature="1112 °F", chamber_pressure="100.5 kPa", duration="420 min")
    for name, figure in work().figures.items():
        if figure.is_number:
            assert same.figures[name].value == pytest.approx(figure.value, rel=1e-6), name


@pytest.mark.parametrize("reference", REFERENCES)
def test_each_reference_leads_to_all_others_and_back(reference):
    rows = work(flow="1 L/min", flow_reference=reference).figures["flows"].rows
    assert [row["flow"].m for row in rows][REFERENCES.index(reference)] == pytest.approx(1000)
    for row, other in zip(rows, REFERENCES, strict=True):
        again = flow.restated(row["flow"].to("m^3/s").m, other, reference)
        assert again * 6e4 == pytest.approx(1)


@pytest.mark.parametrize("reference, percent", [(1, 1.3), (2, 5.5), (3, 7.3), (4, 9.2), (5, 7.7)])
def test_an_unsaid_reference_is_an_error_of_that_much(reference, percent):
    first = flow.restated(1.0, REFERENCES[0], REFERENCES[reference])

    assert (first - 1) * 100 == pytest.approx(percent, abs=0.06)


def test_a_reference_typed_behind_the_flow_counts():
    typed = work(flow="2 L/min (20 degC, 101.325 kPa)")
    alone = work(flow="2 L/min (20 degC, 101.325 kPa)", flow_reference="")
    chosen = work(flow_reference="20 degC, 101.325 kPa")

    assert value(typed, "molar_flow") == value(alone, "molar_flow") == pytest.approx(value(chosen, "molar_flow"))
    assert any("own reference" in note for note in typed.notes)
    assert not any("own reference" in note for note in alone.notes)


@pytest.mark.parametrize("name", gases.NAMES)
def test_every_gas_of_the_table_is_converted(name):
    answer = work(gas=name)

    assert value(answer, "mass_flow") == pytest.approx(1.487168e-3 * gases.gas(name).molar_mass, rel=1e-5)
    warned = any(c.word == "WARNING" for c in answer.cautions)
    assert warned == (gases.gas(name).kind in ("inert", "flammable", "toxic", "oxygen"))


@pytest.mark.parametrize("name, fluid", FLUIDS.items())
@pytest.mark.parametrize("temperature", [293.15, 600.0, 1200.0])
def test_actual_flow_against_real_gas(name, fluid, temperature):
    top = library.PropsSI("Tmax", fluid)
    if temperature > top:
        temperature = top
    density = library.PropsSI("DMOLAR", "T", temperature, "P", 101325, fluid)
    found = value(work(gas=name, chamber_temperature=f"{temperature} K", chamber_pressure="101325 Pa"), "actual_flow")

    assert found == pytest.approx(1.4871677e-3 / density, rel=0.01 if name in ("carbon dioxide", "xenon") else 0.003)


def test_hotter_and_thinner_gas_takes_more_room():
    warm = [value(work(chamber_temperature=f"{t} °C"), "actual_flow") for t in (-100, 20, 500, 1500)]
    thin = [value(work(chamber_pressure=f"{p} mbar"), "actual_flow") for p in (20_000, 1000, 1, 0.01)]

    assert warm == sorted(warm) and thin == sorted(thin)
    assert (
        work(chamber_temperature="1500 °C").verdict == "close" and work(chamber_temperature="20 °C").verdict == "within"
    )


# ---------------------------------------------------------------- change the gas


@pytest.mark.parametrize("name", FLUIDS)
@pytest.mark.parametrize("celsius", [3, 25, 62, 111, 150])
def test_heat_capacity_against_a_library(name, celsius):
    theirs = library.PropsSI("CPMOLAR", "T", celsius + 273.15, "P", 101325, FLUIDS[name])

    assert flow.heat_capacity({name: 1.0}, celsius + 273.15) == pytest.approx(theirs, rel=5e-4)


@pytest.mark.parametrize("name", WITH_VISCOSITY)
@pytest.mark.parametrize("kelvin", [274, 293.15, 330, 373])
def test_viscosity_against_a_library(name, kelvin):
    theirs = library.PropsSI("V", "T", kelvin, "P", 101325, FLUIDS[name])

    assert flow.mixture_viscosity({name: 1.0}, kelvin) == pytest.approx(theirs, rel=0.004)


@pytest.mark.parametrize("name, printed", CRC.items())
def test_viscosity_against_the_handbook(name, printed):
    assert flow.mixture_viscosity({name: 1.0}, 300) * 1e6 == pytest.approx(printed, rel=0.007)


def test_a_mixture_of_one_gas_with_itself_is_that_gas():
    assert flow.mixture_viscosity({"argon": 0.25, "helium": 0.75}, 300) > flow.mixture_viscosity({"helium": 1.0}, 300)
    for name in ("argon", "hydrogen"):
        typed = f"{name} 30 % · {name} 70 %"
        assert value(work(OTHER, gas="mixture", mixture=typed), "viscosity") == pytest.approx(
            value(work(OTHER, gas=name), "viscosity")
        )


def test_argon_through_an_instrument_for_nitrogen_by_kind():
    found = {kind: value(work(OTHER, instrument_principle=kind, instrument_factor=""), "gas_factor")
             for kind in ("thermal", "laminar", "variable area")}  # fmt: skip

    assert found["thermal"] == pytest.approx(1.4001, rel=0.005)  # opposite ways: the kind must be asked
    assert found["laminar"] == pytest.approx(0.7887, rel=0.005)
    assert found["variable area"] == pytest.approx((28.0134 / 39.948) ** 0.5, rel=1e-5)


def test_the_same_gas_changes_nothing():
    for kind in ("thermal", "laminar", "variable area"):
        answer = work(OTHER, gas="nitrogen", instrument_principle=kind, instrument_factor="")

        assert value(answer, "gas_factor") == pytest.approx(1)
        assert answer.figures["gas_factor"].low_value is None and not answer.cautions and answer.verdict == "within"


def test_ranges_hold_the_value_and_widen_for_large_molecules():
    argon = work(OTHER, instrument_factor="").figures["gas_factor"]
    dioxide = work(OTHER, instrument_factor="", gas="carbon dioxide").figures["gas_factor"]

    assert argon.low_value < argon.value < argon.high_value
    assert argon.high_value / argon.value < dioxide.high_value / dioxide.value


def test_a_float_follows_pressure_and_temperature():
    base = OTHER | {"instrument_principle": "variable area", "instrument_factor": ""}
    denser = value(work(base, gas="nitrogen", gas_pressure="2.8 bar"), "gas_factor")
    warmer = value(work(base, gas="nitrogen", gas_temperature="100 °C"), "gas_factor")

    assert denser == pytest.approx(2**0.5) and warmer == pytest.approx((293.15 / 373.15) ** 0.5)


def test_setting_and_true_flow_belong_together():
    first = work(OTHER, instrument_factor="")
    again = work(OTHER, instrument_factor="", flow_reading=f"{first.figures['setting'].value * 6e4:.12g} L/min")

    assert value(again, "true_flow") * 6e4 == pytest.approx(2)


# ---------------------------------------------------------------- refusals and problems


@pytest.mark.parametrize("base", [ONE, OTHER])
def test_without_reference_conditions_there_is_no_number(base):
    assert work(base, flow_reference="").refusal.reason == "reference_not_chosen"


def test_other_problems_are_told_first():
    found = problems(flow_reference="", chamber_temperature="warm")

    assert {"chamber_temperature", "flow_reference"} <= found.keys()
    assert {"flow", "flow_reference"} <= problems(flow="two", flow_reference="").keys()


@pytest.mark.parametrize(
    "base, changed, reason",
    [
        (ONE, {"chamber_pressure": "20.1 bar"}, "above_20_bar"),
        (
            OTHER,
            {"instrument_principle": "variable area", "gas_pressure": "21 bar", "instrument_factor": ""},
            "above_20_bar",
        ),
        (OTHER, {"gas": "water vapour", "instrument_factor": ""}, "no_gas_data"),
        (OTHER, {"calibration_gas": "water vapour", "instrument_factor": ""}, "no_gas_data"),
        (ONE, {"gas": "mixture", "mixture": "argon 98 % · hydrogen 3 %"}, "mixture_sum"),
        (ONE, {"gas": "mixture", "mixture": "argon 70 % · oxygen 30 %"}, "oxygen_rich"),
        (ONE, {"gas": "mixture", "mixture": "hydrogen 5 % · air 95 %"}, "oxygen_rich"),
        (ONE, {"gas": "nitrous oxide"}, "oxygen_rich"),
        (ONE, {"gas": "mixture", "mixture": "CO 5 % · N2 95 %"}, "toxic_gas"),
        (ONE, {"gas": "phosphine"}, "toxic_gas"),
    ],
)
def test_what_is_refused(base, changed, reason):
    answer = work(base, **changed)

    assert answer.refusal and answer.refusal.reason == reason and not answer.figures


def test_just_inside_it_is_answered():
    assert not work(chamber_pressure="20 bar").refusal
    assert not work(gas="mixture", mixture="argon 98 % · hydrogen 2.4 %").refusal
    assert not work(gas="mixture", mixture="argon 77 % · oxygen 23 %").refusal


@pytest.mark.parametrize(
    "changed, name",
    [({"flow": "0 L/min"}, "flow"), ({"flow": "1001 L/min"}, "flow"), ({"chamber_temperature": "99 K"},
                                                                       "chamber_temperature"),
     ({"chamber_temperature": "2001 K"}, "chamber_temperature"), ({"chamber_pressure": "0.9 Pa"}, "chamber_pressure"),
     ({"gas": "mixture"}, "mixture"), ({"gas": "mixture", "mixture": "argon and hydrogen"}, "mixture"),
     ({"gas": "marsh gas"}, "gas"), ({"duration": "0 h"}, "duration"), ({"price": "-1"}, "price")],
)  # fmt: skip
def test_what_is_a_problem(changed, name):
    assert name in problems(**changed)


def test_formulas_are_read_in_a_mixture():
    answer = work(gas="mixture", mixture="Ar 98 %; H2 2 %")

    assert value(answer, "mass_flow") == pytest.approx(1.4871677e-3 * (0.98 * 39.948 + 0.02 * 2.01588) * 1e-3, rel=1e-6)
    assert "argon with 2" in answer.sentence and any("burns" in c.hazard for c in answer.cautions)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.001, 1000), st.sampled_from(REFERENCES), st.sampled_from(REFERENCES))
def test_round_trips_over_the_range(litres, one, other):
    there = flow.restated(litres / 6e4, one, other)

    assert flow.restated(there, other, one) * 6e4 == pytest.approx(litres)
    assert set(units.REFERENCES) == set(REFERENCES)
