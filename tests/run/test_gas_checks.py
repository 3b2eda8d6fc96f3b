"""The checks of the plan that vacuum and atmosphere answer: each speaks, each keeps silent, and the figures agree."""

import pytest

import calcs
from calcs.atmosphere import backfill, flow, stability
from calcs.run import gas_checks
from tests.run.runs import EXAMPLE, load, mixture, on, plan

AIR = {"gas": "air", "pumped_pressure": "", "cycles": "", "exhaust": "extraction"}


def check(name, **changed):
    return plan(**changed).checks[name]


# ---------------------------------------------------------------- moisture


def test_moisture_is_that_of_the_page_with_a_saturated_room():
    """The same gas and leak in the calculator `residual`: room at 100 %, nothing from walls, a long narrow vent."""
    page = calcs.work_out("residual", calcs.example("residual") | {
        "water_release_rate": "0 mbar L/s", "room_humidity": "100 %", "room_temperature": "20 °C",
        "vent_bore": "4 mm", "vent_length": "5 m",
    })  # fmt: skip
    assert plan().figures["water"].value == pytest.approx(page.figures["water"].value, rel=1e-6)
    assert plan().figures["water"].low_value == pytest.approx(3e-6)


def test_moisture_rises_with_the_leak_and_falls_with_the_flow():
    dry, wet, more = (
        plan(**c).figures["water"].value for c in ({}, {"leak_rate": "2e-3 mbar L/s"}, {"flow": "4 L/min"})
    )
    assert more < dry < wet
    assert (wet - 3e-6) / (dry - 3e-6) == pytest.approx(2, rel=1e-3)


def test_no_figure_of_moisture_without_its_inputs():
    assert "water" not in plan(gas_water="").figures
    assert "water" not in plan(leak_rate="").figures
    assert "water" not in plan(**AIR).figures


def test_both_limits_are_named_and_what_is_left_out():
    message = check("RES-1")["message"]
    assert "Oxygen 7.8" in message and "moisture 3.7" in message and "walls" in message


# ---------------------------------------------------------------- oxide


@pytest.mark.parametrize(
    ("name", "metal"),
    [
        ("copper", "copper"), ("Oxygen-free copper", "copper"), ("Cu", "copper"), ("copper strip", "copper"),
        ("aluminum", "aluminium"), ("carbon rods", "graphite"), ("Titanium sheet", "titanium"),
        ("stainless steel", None), ("copper nickel", None), ("aluminium bronze", None), ("silicon carbide", None),
        ("titanium alloy", None), ("zirconium oxide", None), ("alumina", None), ("carbon steel", None), ("", None),
    ],
)  # fmt: skip
def test_only_a_pure_metal_is_matched(name, metal):
    assert gas_checks.metal_of(name) == metal


def test_bright_asks_for_an_oxygen_pressure_that_the_page_names():
    """Copper at 600 °C: between 2 and 3 × 10⁻¹³ bar, rounded down, as the page of the oxides has it."""
    page = calcs.work_out(
        "oxide", calcs.example("oxide") | {"mode": "oxide only", "oxide": "Cu2O", "load_temperature": "600 °C"}
    )
    found = check("OXI-1", finish="bright")
    level = page.figures["oxide_log10_po2"].value
    assert found["limit"].startswith(str(int(10 ** (level + 13)))) and "10⁻¹³" in found["limit"]
    assert found["severity"] == "stop" and plan(finish="bright").figures["status"].value == "draft"


def test_hydrogen_keeps_copper_bright_and_not_chromium():
    reducing = mixture("argon 98 % · hydrogen 2 %") | {"finish": "bright"}
    assert check("OXI-1", **reducing)["verdict"] == "within"
    assert check("OXI-1", **reducing | {"load": load(material="aluminium")})["verdict"] == "outside"


def test_without_its_moisture_a_reducing_gas_is_not_called_bright():
    reducing = mixture("argon 98 % · hydrogen 2 %") | {"finish": "bright", "gas_water": "", "target_water": ""}
    assert check("OXI-1", **reducing)["verdict"] == "cannot_say"


def test_one_unknown_row_is_enough_for_nothing_to_be_said():
    two = [EXAMPLE["load"][0], EXAMPLE["load"][0] | {"material": "an alloy"}]
    reducing = mixture("argon 98 % · hydrogen 2 %") | {"finish": "bright"}
    assert check("OXI-1", **reducing | {"load": two})["verdict"] == "cannot_say"
    assert check("OXI-1", finish="bright", load=two)["verdict"] == "outside"  # the copper stops it already


def test_an_unknown_metal_is_a_note_where_bright_is_not_asked_for():
    found = check("OXI-1", load=load(material="stainless steel"))
    assert found["verdict"] == "within" and "stainless steel" in found["message"]


def test_a_ceramic_that_is_an_oxide_cannot_oxidise():
    assert check("OXI-1", finish="bright", load=load(material="alumina"))["verdict"] == "within"


def test_copper_in_air_is_not_bright():
    assert check("OXI-1", **AIR | {"finish": "bright", "target_oxygen": ""})["verdict"] == "outside"


def test_the_film_of_the_worked_scenario():
    """About 17 nm of copper oxide on 0.45 m² after 228 min hot (worked scenario of this project)."""
    found = on("A").checks["OXI-2"]
    assert found["figure"].startswith("17") and found["verdict"] == "within"


def test_the_film_by_hand():
    """2 (n x_gas + n_leak x_air) t V/(2 S): n of 2 L/min at 0 °C, V of Cu2O 23.85 cm³/mol, 0.45 m²."""
    answer = plan()
    leak = 1e-4 / (8.314462618 * 293.15)
    oxygen = (2e-3 / 60 / 0.02241396954 * 2e-6 + leak * 0.20946) * answer.figures["hot_time"].value
    film = 2 * oxygen * 23.85e-6 / 0.45 * 1e9
    assert float(answer.checks["OXI-2"]["figure"].split("\u00a0")[0]) == pytest.approx(film, abs=1)
    assert stability.oxide_thickness("Cu2O", oxygen, 0.45) * 1e9 == pytest.approx(film)


@pytest.mark.parametrize(
    ("changed", "part"),
    [
        ({"load": load(area="")}, "surface of the load is not given"),
        ({"load": load(material="bronze")}, "No metal of the tables"),
        ({"gas_oxygen": ""}, "not known"),
        (AIR, "Air is the gas"),
        ({"load": load(material="nickel"), "soak_temperature": "150 °C"}, "No data at this temperature"),
    ],
)
def test_a_film_that_is_not_worked_out_says_so(changed, part):
    found = check("OXI-2", **changed)
    assert found["verdict"] == "within" and part in found["message"] and not found["figure"]


def test_a_thick_film_is_a_note_where_oxide_is_allowed():
    assert check("OXI-2", finish="oxide allowed")["verdict"] == "within"


# ---------------------------------------------------------------- leak, flow, filling


def test_the_time_to_measure_is_that_of_the_rise_test():
    """20 steps of 0.001 mbar in 108 L at 1e-3 mbar L/s: 2160 s."""
    assert "measured after 36" in check("LEAK-2")["message"]


def test_both_make_up_factors_are_shown_and_the_one_that_rules():
    message = check("GAS-3")["message"]
    assert "1.5 ×" in message and "2 ×" in message and "(hold)" in message and "the plan rules" in message


def test_both_kinds_of_instrument_are_named_with_the_value_to_set():
    """Argon in an instrument for nitrogen: molar heat capacities 29.12 over 20.79; viscosities 17.6 over 22.3 µPa·s."""
    message = check("GAS-5")["message"]
    assert "1.4 if thermal (factor 1.40)" in message and "2.5 if laminar (0.789)" in message
    assert flow.thermal_factor({"nitrogen": 1.0}, {"argon": 1.0}, 298.15) == pytest.approx(29.12 / 20.79, rel=2e-3)
    assert flow.laminar_factor({"nitrogen": 1.0}, {"argon": 1.0}, 293.15) == pytest.approx(17.6 / 22.3, rel=5e-3)


def test_the_value_to_set_follows_the_reference_of_the_controller():
    message = check("GAS-5", flow="2 L/min (0 degC, 101.325 kPa)", flow_reference="20 degC, 101.325 kPa")["message"]
    assert "20\u00a0°C" in message or "20 °C" in message
    assert "1.5 if thermal" in message  # 2 × 293.15/273.15 over 1.40


def test_a_mixture_has_factors_too():
    assert "the mixture" in check("GAS-5", **mixture("argon 98 % · hydrogen 2 %"))["message"]


def test_the_relief_is_reached_as_the_page_of_the_filling_has_it():
    """From 1005 to 1030 mbar at 20 L/min: the page `backfill`, whose steady time it is."""
    page = calcs.work_out("backfill", calcs.example("backfill"))
    found = check("BAK-1", calibration_gas="argon")
    assert float(found["figure"].split("\u00a0")[0]) == pytest.approx(page.figures["overshoot_time"].value, abs=0.1)
    by_hand = backfill.controller_time(0.108, 293.15, 100500, 103000, 20e-3 / 60 / 0.02241396954)
    assert page.figures["overshoot_time"].value == pytest.approx(by_hand, rel=1e-6)


def test_a_controller_for_another_gas_may_pass_more():
    argon, nitrogen = (
        float(check("BAK-1", calibration_gas=g)["figure"].split("\u00a0")[0]) for g in ("argon", "nitrogen")
    )
    assert argon / nitrogen == pytest.approx(1.40, rel=0.03)


@pytest.mark.parametrize(("range_", "verdict"), [("9.8 L/min", "within"), ("10.2 L/min", "close")])
def test_fifteen_seconds_are_the_limit(range_, verdict):
    """108 L, 25 mbar, 20 °C: 2.483 L at 0 °C and 101.325 kPa; in 15 s that is 9.93 L/min."""
    assert check("BAK-1", calibration_gas="argon", controller_range=range_)["verdict"] == verdict
