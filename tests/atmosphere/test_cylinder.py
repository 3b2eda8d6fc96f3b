import CoolProp.CoolProp as CP
import pytest

import calcs
from calcs.atmosphere import cylinder
from calcs.core import OutOfRange
from calcs.data import constant, rows

R = constant("general.gas_constant")
LIBRARY = {
    "argon": "Argon",
    "nitrogen": "Nitrogen",
    "air": "Air",
    "helium": "Helium",
    "hydrogen": "Hydrogen",
    "oxygen": "Oxygen",
    "carbon monoxide": "CarbonMonoxide",
    "neon": "Neon",
    "methane": "Methane",
    "krypton": "Krypton",
    "carbon dioxide": "CarbonDioxide",
    "xenon": "Xenon",
}
TEMPERATURES = (258.15, 270.0, 288.15, 293.15, 303.0, 310.0, 323.15)
PRESSURES = (2, 10, 25, 50, 75, 100, 150, 200, 250, 300)


def worked(mode="content", **given):
    return calcs.work_out("cylinder", {n: v for n, v in (calcs.example("cylinder", mode) | given).items() if v != ""})


def refusal(mode="content", **given) -> str:
    return worked(mode, **given).refusal.reason


def problems(mode="content", **given) -> dict:
    with pytest.raises(calcs.Problems) as trouble:
        worked(mode, **given)
    return trouble.value.messages


def value(answer, name, unit):
    return answer.figures[name].quantity.m_as(unit)


# ---- the real gas against the reference equations of state, which the fit was made from


def states(gas):
    """Temperatures and pressures (bar) of a gas on which the calculator answers."""
    row = next(row for row in rows("atmosphere/real_gas.csv") if row["gas"] == gas)
    for temperature in TEMPERATURES:
        top = float(row["max_bar"])
        if gas in ("carbon dioxide", "xenon") and temperature < CP.PropsSI("Tcrit", LIBRARY[gas]):
            top = min(top, 0.9499 * CP.PropsSI("P", "T", temperature, "Q", 1, LIBRARY[gas]) / 1e5)
        yield from ((temperature, bar) for bar in PRESSURES if bar <= top)


@pytest.mark.parametrize("gas", LIBRARY)
def test_content_agrees_with_the_library_over_the_whole_range(gas):
    stated = float(next(row for row in rows("atmosphere/real_gas.csv") if row["gas"] == gas)["error_percent"]) / 100
    worst = 0.0
    for temperature, bar in states(gas):
        exact = 0.05 * CP.PropsSI("Dmolar", "T", temperature, "P", bar * 1e5, LIBRARY[gas])
        worst = max(worst, abs(cylinder.content(gas, 0.05, bar * 1e5, temperature) / exact - 1))

    assert worst <= stated + 1e-5


def mixture_density(shares, pressure, temperature):
    state = CP.AbstractState("HEOS", "&".join(LIBRARY[gas] for gas in shares))
    state.set_mole_fractions(list(shares.values()))
    state.specify_phase(CP.iphase_supercritical_gas)
    state.update(CP.PT_INPUTS, pressure, temperature)
    return state.rhomolar()


@pytest.mark.parametrize("row", rows("atmosphere/real_gas_pairs.csv"), ids=lambda row: f"{row['gas_a']}-{row['gas_b']}")
def test_pairs_agree_with_the_mixture_model(row):
    worst = 0.0
    for part in (0.1, 0.4, 0.8):
        second = part * float(row["max_share"])
        shares = {row["gas_a"]: 1 - second, row["gas_b"]: second}
        for temperature in (260.0, 293.15, 320.0):
            for bar in (20, 90, 160, 290):
                exact = mixture_density(shares, bar * 1e5, temperature)
                worst = max(worst, abs(cylinder.content(shares, 1.0, bar * 1e5, temperature) / exact - 1))

    assert worst <= float(row["error_percent"]) / 100 * 1.05 + 1e-4


@pytest.mark.parametrize("shares", [
    {"argon": 0.86, "carbon dioxide": 0.12, "oxygen": 0.02},
    {"argon": 0.60, "helium": 0.38, "carbon dioxide": 0.02},
    {"nitrogen": 0.90, "hydrogen": 0.05, "argon": 0.05},
])  # fmt: skip
@pytest.mark.parametrize("temperature", [273.15, 293.15, 313.15])
@pytest.mark.parametrize("bar", [50, 150, 200])
def test_three_gases_stay_within_the_stated_band(shares, temperature, bar):
    exact = mixture_density(shares, bar * 1e5, temperature)

    assert cylinder.content(shares, 1.0, bar * 1e5, temperature) == pytest.approx(
        exact, rel=cylinder._fit_spread(shares)
    )


@pytest.mark.parametrize("celsius", range(-15, 31, 5))
def test_saturation_of_carbon_dioxide_agrees_with_the_library(celsius):
    exact = CP.PropsSI("P", "T", 273.15 + celsius, "Q", 1, "CO2")

    assert cylinder.co2_saturation_pressure(273.15 + celsius) == pytest.approx(exact, rel=5e-5)


# ---- behaviour


def test_the_example():
    answer = worked()

    assert value(answer, "amount", "mol") == pytest.approx(262.9, abs=0.1)
    assert value(answer, "content", "L") == pytest.approx(5893, abs=3)
    assert value(answer, "mass", "kg") == pytest.approx(10.50, abs=0.01)
    assert answer.figures["content"].low.m_as("L") == pytest.approx(5893 * (1 - 5 / 121), rel=2e-3)
    assert not answer.judged
    assert "5890 L of argon" in answer.sentence.replace("\u00a0", " ")


def test_gauge_and_absolute_pressure_give_the_same():
    gauge = worked(cylinder_pressure="120 bar gauge", ambient_pressure="995 mbar")
    absolute = worked(cylinder_pressure="120.995 bar abs")
    psi = worked(cylinder_pressure="1740.4529 psi gauge", cylinder_volume="50000 cm3", cylinder_temperature="68 °F")

    assert value(absolute, "amount", "mol") == pytest.approx(value(gauge, "amount", "mol"), rel=1e-9)
    assert value(psi, "amount", "mol") == pytest.approx(value(gauge, "amount", "mol"), rel=1e-6)


def test_a_pressure_without_its_sense_is_asked_back():
    assert "abs" in problems(cylinder_pressure="120 bar")["cylinder_pressure"]


@pytest.mark.parametrize("gas", ["argon", "nitrogen", "helium", "krypton", "methane"])
@pytest.mark.parametrize("temperature", [258.15, 293.15, 323.15])
def test_more_pressure_is_more_gas_and_a_warm_cylinder_holds_less(gas, temperature):
    amounts = [cylinder.content(gas, 0.05, bar * 1e5, temperature) for bar in range(1, 301, 3)]

    assert amounts == sorted(amounts)
    assert all(cylinder.content(gas, 0.05, bar * 1e5, temperature - 0.0) >
               cylinder.content(gas, 0.05, bar * 1e5, min(323.15, temperature + 20)) for bar in (10, 300)
               if temperature < 303)  # fmt: skip


def test_little_pressure_is_an_ideal_gas():
    assert cylinder.compressibility({"argon": 1.0}, 1.0, 293.15) == pytest.approx(1, abs=1e-6)
    assert cylinder.content("argon", 0.05, 0.0, 293.15) == 0


def test_one_gas_as_a_mixture_is_that_gas():
    mixed = worked(gas="mixture", mixture="argon 100 %")

    assert value(mixed, "amount", "mol") == pytest.approx(value(worked(), "amount", "mol"), rel=1e-12)


def test_a_mixture_is_read_from_rows_and_from_one_text():
    rows_ = [{"gas": "argon", "share": "98 %"}, {"gas": "H2", "share": "20000 ppm"}]
    one = worked(gas="mixture", mixture="argon 98 % · hydrogen 2 %")

    assert value(worked(gas="mixture", mixture=rows_), "amount", "mol") == value(one, "amount", "mol")
    assert any(caution.hazard == "Gas that burns" for caution in one.cautions)
    assert "98 % argon with 2 % hydrogen" in one.sentence


# ---- runs


def test_runs_by_the_gas_of_one_run_and_by_flow_are_the_same():
    by_gas = worked("runs left")
    by_flow = worked("runs left", gas_per_run="", flow="2.5 L/min", duration="7 h")

    assert value(by_gas, "runs", "1") == 5
    assert value(by_flow, "runs_exact", "1") == pytest.approx(value(by_gas, "runs_exact", "1"), rel=1e-9)
    assert value(by_flow, "time_left", "h") == pytest.approx(value(by_flow, "usable", "L") / 150, rel=1e-9)
    assert "time_left" not in by_gas.figures


@pytest.mark.parametrize("per_run, verdict", [("5000 L", "close"), ("6000 L", "outside"), ("1000 L", "within")])
def test_verdict_by_whole_runs(per_run, verdict):
    answer = worked("runs left", gas_per_run=per_run)

    assert answer.verdict == verdict and answer.judged
    assert any(c.word == "NOTICE" for c in answer.cautions) == (verdict != "within")


def test_a_cylinder_at_its_reserve_has_no_runs_left():
    answer = worked("runs left", cylinder_pressure="4 bar gauge")

    assert value(answer, "usable", "L") == 0 and value(answer, "runs", "1") == 0
    assert answer.verdict == "outside"


def test_a_part_of_a_run_is_no_run():
    answer = worked("runs left", gas_per_run="1000 L")

    assert value(answer, "runs_exact", "1") == pytest.approx(5.617, abs=2e-3)
    assert value(answer, "runs", "1") == 5


def test_exactly_one_run_is_one_run():
    usable = value(worked("runs left"), "usable", "L")

    assert value(worked("runs left", gas_per_run=f"{usable:.9g} L"), "runs", "1") == 1


# ---- carbon dioxide


def test_liquid_goes_by_mass():
    answer = worked("liquid carbon dioxide")

    assert value(answer, "mass", "kg") == pytest.approx(20)
    assert value(answer, "amount", "mol") == pytest.approx(20 / 0.0440095, rel=1e-6)
    assert value(answer, "saturation_pressure", "bar") == pytest.approx(57.29, abs=0.01)


def test_the_last_liquid_is_gone_where_the_library_says():
    vapour = 0.05 * CP.PropsSI("D", "T", 293.15, "Q", 1, "CO2")  # 9.7 kg; the page says from 0.95 of that pressure

    assert (
        "while liquid remains" in worked("liquid carbon dioxide", cylinder_mass=f"{58 + vapour * 1.02:.3f} kg").sentence
    )
    assert "no liquid is left" in worked("liquid carbon dioxide", cylinder_mass=f"{58 + vapour * 0.8:.3f} kg").sentence


def test_an_overfilled_cylinder_is_a_warning():
    answer = worked("liquid carbon dioxide", cylinder_mass="96 kg")  # 38 kg in 50 L

    assert answer.verdict == "outside" and answer.cautions[0].hazard == "Cylinder filled too full"


def test_above_the_critical_temperature_there_is_no_saturation_pressure():
    answer = worked("liquid carbon dioxide", cylinder_temperature="40 °C")

    assert "saturation_pressure" not in answer.figures
    assert answer.cautions[0].hazard == "Hot carbon dioxide cylinder"


# ---- refusals and problems


@pytest.mark.parametrize("reason, mode, given", [
    ("content_unknown", "content", {"cylinder_pressure": ""}),
    ("content_unknown", "liquid carbon dioxide", {"cylinder_mass": ""}),
    ("content_unknown", "liquid carbon dioxide", {"tare_mass": ""}),
    ("reserve_unknown", "runs left", {"reserve_pressure": ""}),
    ("reserve_too_low", "runs left", {"reserve_pressure": "1.99 bar gauge"}),
    ("weigh_it", "content", {"gas": "CO2", "cylinder_pressure": "56 bar abs"}),
    ("weigh_it", "content", {"gas": "CO2", "cylinder_pressure": "61 bar abs", "cylinder_temperature": "50 °C"}),
    ("outside_fit", "content", {"cylinder_pressure": "300.1 bar abs"}),
    ("outside_fit", "content", {"cylinder_temperature": "-15.1 °C"}),
    ("outside_fit", "content", {"cylinder_temperature": "50.1 °C"}),
    ("outside_fit", "liquid carbon dioxide", {"cylinder_temperature": "51 °C"}),
    ("outside_fit", "content", {"gas": "xenon", "cylinder_pressure": "26 bar abs"}),
    ("outside_fit", "content", {"gas": "water vapour"}),
    ("mixture_outside", "content", {"gas": "mixture", "mixture": "argon 79 % · carbon dioxide 21 %"}),
    ("mixture_outside", "content", {"gas": "mixture", "mixture": "argon 90 % · krypton 10 %"}),
    ("oxygen_rich", "content", {"gas": "mixture", "mixture": "argon 76 % · oxygen 24 %"}),
    ("toxic_gas", "content", {"gas": "mixture", "mixture": "nitrogen 99 % · carbon monoxide 1 %"}),
    ("toxic_gas", "content", {"gas": "chlorine"}),
    ("unstable_gas", "content", {"gas": "acetylene"}),
    ("unstable_gas", "content", {"gas": "Ammonia"}),
])  # fmt: skip
def test_refuses(reason, mode, given):
    answer = worked(mode, **given)

    assert answer.refusal.reason == reason
    assert not answer.figures and answer.refusal.why and answer.refusal.remedy


@pytest.mark.parametrize("given", [
    {"cylinder_pressure": "300 bar abs"}, {"cylinder_temperature": "-15 °C"}, {"cylinder_temperature": "50 °C"},
    {"gas": "mixture", "mixture": "argon 80 % · carbon dioxide 20 %"}, {"gas": "oxygen"}, {"gas": "carbon monoxide"},
    {"gas": "CO2", "cylinder_pressure": "54 bar abs"},
])  # fmt: skip
def test_answers_just_inside(given):
    assert worked(**given).refusal is None


@pytest.mark.parametrize("field, mode, given", [
    ("mixture", "content", {"gas": "mixture", "mixture": ""}),
    ("mixture", "content", {"gas": "mixture", "mixture": "argon 90 % · hydrogen 2 %"}),
    ("cylinder_mass", "liquid carbon dioxide", {"cylinder_mass": "58 kg"}),
    ("duration", "runs left", {"gas_per_run": "", "flow": "2 L/min"}),
    ("flow", "runs left", {"flow": "2 L/min", "duration": "7 h"}),
    ("gas_per_run", "runs left", {"gas_per_run": ""}),
    ("cylinder_volume", "content", {"cylinder_volume": "0.5 L"}),
    ("cylinder_pressure", "content", {"cylinder_pressure": "-2 bar gauge"}),
])  # fmt: skip
def test_says_what_is_wrong(field, mode, given):
    assert field in problems(mode, **given)


def test_the_physics_refuses_outside_its_range_too():
    with pytest.raises(OutOfRange):
        cylinder.compressibility({"argon": 1.0}, 301e5, 293.15)
    with pytest.raises(OutOfRange):
        cylinder.compressibility({"argon": 1.0}, 100e5, 250.0)
