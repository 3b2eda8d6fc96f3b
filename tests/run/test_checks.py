"""Checks of the plan at their limits, and words that must not be mistaken; test_rules has a case for each check."""

import pytest

from calcs.run import checks
from tests.run.runs import load, plan, segments, verdicts

AIR = {"gas": "air", "pumped_pressure": "", "cycles": "", "exhaust": "extraction"}
RETORT = {"maximum_vacuum_temperature": "150 °C", "vessel_kind": "metal retort"}


@pytest.mark.parametrize(("oxygen", "verdict"), [("18.1", "close"), ("17.9", "outside")])
def test_an_alarm_helps_down_to_eighteen_per_cent(oxygen, verdict):
    released = 6.44
    room = released / (1 - float(oxygen) / 20.946)
    assert plan(room_volume=f"{room:.3f} m3").checks["ROOM-2"]["verdict"] == verdict


def test_the_limit_itself_is_inside():
    assert plan(soak_temperature="1050 °C").checks["TMP-1"]["verdict"] == "within"
    assert plan(set_point="17.5 mbar gauge").checks["PRS-1"]["verdict"] == "within"
    assert plan(**RETORT, pumped_temperature="150 °C").checks["VAC-1"]["verdict"] == "within"
    assert plan(ramp="10 K/min").checks["RMP-1"]["verdict"] == "within"


def test_no_binder_word_is_found_in_foil():
    assert plan(last_content="foil coil, soiled").checks["CLEAN-1"]["verdict"] == "within"
    assert plan(last_content="some OIL").checks["CLEAN-1"]["verdict"] == "close"


def test_carbon_steel_is_not_carbon():
    air = AIR | {"target_oxygen": ""}
    assert verdicts(plan(**air, load=load(material="carbon steel")))["ATM-4"] == "within"
    assert verdicts(plan(**air, load=load(material="silicon carbide")))["ATM-4"] == "within"
    assert verdicts(plan(**air, load=load(material="carbon rods")))["ATM-4"] == "outside"


def test_fuel_index_of_published_mixtures():
    """5 % hydrogen in nitrogen 0.909, in argon 1.588; 3 % in argon 0.968 (ISO 10156, by hand)."""
    index = checks.fuel_index
    assert index({"nitrogen": 0.95, "hydrogen": 0.05}) == pytest.approx(0.909, abs=1e-3)
    assert index({"argon": 0.95, "hydrogen": 0.05}) == pytest.approx(1.588, abs=1e-3)
    assert index({"argon": 0.97, "hydrogen": 0.03}) == pytest.approx(0.968, abs=1e-3)


def test_a_typed_segment_flow_meets_the_same_checks():
    row = segments("ramp to 600 °C at 5 K/min · soak 30 min · cool to 60 °C flow 0.2 L/min")
    assert plan(**row).checks["GAS-3"]["verdict"] == "outside"


def test_night_is_named():
    assert "At night: H" in plan(start_time="20:00").checks["ATT-2"]["message"]
