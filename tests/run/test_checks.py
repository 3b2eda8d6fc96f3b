"""Every check of the plan: one case that makes it speak, and one that keeps it silent."""

import pytest

from calcs.run import checks, gas_checks, heat_checks
from tests.run.runs import EXAMPLE, load, mixture, plan, segments, verdicts

AIR = {"gas": "air", "pumped_pressure": "", "cycles": "", "exhaust": "extraction"}
RETORT = {"maximum_vacuum_temperature": "150 °C", "vessel_kind": "metal retort"}

SPEAKS = [  # id, what is changed in the example, verdict
    ("LOAD-1", {"load": load(mass="2000 kg")}, "outside"),
    ("LOAD-2", {"closed_void": "yes"}, "outside"),
    ("LOAD-3", {"binder_share": "4 %"}, "outside"),
    ("LOAD-3b", AIR | {"binder_share": "4 %"}, "cannot_say"),
    ("LOAD-4", {"volatile": "yes"}, "cannot_say"),
    ("ATM-2", mixture("nitrogen 95 % · hydrogen 5 %"), "close"),
    ("ATM-3", mixture("nitrogen 97 % · hydrogen 3 %", "no"), "outside"),
    ("ATM-3", mixture("nitrogen 97 % · hydrogen 3 %", ""), "cannot_say"),
    ("ATM-4", AIR | {"load": load(material="graphite")}, "outside"),
    ("TMP-1", {"soak_temperature": "1051 °C"}, "outside"),
    ("VAC-1", RETORT | {"pumped_temperature": "700 °C"}, "outside"),
    ("DOC-1", {"maximum_pressure": ""}, "outside"),
    ("DOC-1", {"holding_powers": "100 °C 0.1 kW · 300 °C 0.4 kW"}, "outside"),
    ("DOC-2", {"run_date": "2031-09-02", "leak_tested": "2031-09-01", "limiter_tested": "2031-09-01"}, "close"),
    ("TMP-4", {"soak_temperature": "1030 °C"}, "close"),
    ("LIM-1", {"limiter_tested": "2029-02-10"}, "close"),
    ("LIM-1", {"limiter_tested": "2029-02-10", "attended": "no", "unattended_allowed": "yes",
               "soak_temperature": "700 °C"}, "outside"),
    ("LIM-1", {"limiter_tested": "2031-03-05"}, "close"),
    ("LIM-1", {"limiter_tested": ""}, "cannot_say"),
    ("OXI-3", {"gas": "nitrogen", "load": load(material="titanium")}, "outside"),
    ("OXI-3", mixture("argon 98 % · hydrogen 2 %") | {"load": load(touches="niobium foil")}, "outside"),
    ("LOAD-5", {"water_estimate": "10 g"}, "close"),
    ("VAC-2", {"load": load(form="powder")}, "close"),
    ("VAC-3", mixture("argon 98 % · hydrogen 2 %"), "close"),
    ("PRS-1", {"set_point": "18 mbar gauge"}, "outside"),
    ("PRS-1", {"set_point": "1014 mbar abs"}, "outside"),
    ("PRS-1", {"relief_pressure": "60 mbar gauge"}, "outside"),
    ("PRS-2", {"relief_capacity": "190 L/min"}, "outside"),
    ("PRS-2", {"relief_capacity": "220 L/min"}, "close"),
    ("PRS-2", {"supply_failure_flow": ""}, "cannot_say"),
    ("PRS-5", {"altitude": "400 m"}, "close"),
    ("RES-2", {"analyser": "no"}, "close"),
    ("LEAK-3", {"leak_tested": "2030-11-01"}, "cannot_say"),
    ("LEAK-3", {"leak_tested": ""}, "cannot_say"),
    ("GAS-1", {"cylinder_pressure": "50 bar gauge"}, "outside"),
    ("GAS-2", {"cylinder_pressure": "9 bar gauge"}, "outside"),
    ("GAS-4", {"flow": "1.9 L/min"}, "close"),
    ("GAS-4", {"flow": "20.5 L/min"}, "close"),
    ("GAS-6", {"gas": "carbon dioxide", "load": load(material="carbon rod"), "cylinder_pressure": "30 bar gauge",
               "soak_temperature": "700 °C"}, "outside"),
    ("ROOM-1", {"oxygen_monitor": "no"}, "outside"),
    ("ROOM-1", {"room_volume": ""}, "cannot_say"),
    ("ROOM-1", {"gas": "carbon dioxide", "cylinder_pressure": "30 bar gauge"}, "outside"),
    ("ROOM-2", {"room_volume": "60 m3"}, "close"),
    ("ROOM-2", {"room_volume": "40 m3"}, "outside"),
    ("ROOM-2", {"air_changes": ""}, "cannot_say"),
    ("ROOM-3", mixture("argon 98 % · hydrogen 2 %") | {"exhaust": "room"}, "outside"),
    ("ROOM-4", {"exhaust": "room", "air_changes": "0", "room_volume": "10 m3"}, "outside"),
    ("ROOM-4", {"air_changes": ""}, "cannot_say"),
    ("RMP-1", {"load_ramp_limit": "4 K/min"}, "outside"),
    ("RMP-2", {"heater_power": "2.0 kW", "inner_area": ""}, "outside"),
    ("RMP-2", {"heater_power": "2.1 kW", "inner_area": ""}, "close"),
    ("RMP-2", {"heater_power": "1.7 kW"}, "outside"),
    ("RMP-2", {"heater_power": "1.85 kW"}, "close"),
    ("RMP-3", {"ramp": "11 K/min", "load_ramp_limit": "50 K/min"}, "outside"),
    ("RMP-4", AIR | {"element_material": "MoSi2", "ramp": "0.5 K/min"}, "close"),
    ("COL-1", {"load_ramp_limit": "5.1 K/min", "chamber_heat_capacity": "5 kJ/K"}, "close"),
    ("OPN-1", {"planned_opening_temperature": "80 °C"}, "outside"),
    ("ATT-1", {"attended": "no"}, "outside"),
    ("CLEAN-1", {"last_content": "Brass screws"}, "close"),
    ("TMP-2", {"gas": "nitrogen", "soak_temperature": "950 °C"}, "close"),
    ("TMP-2", {"element_material": "NiCr", "soak_temperature": "1050 °C"}, "outside"),
    ("TMP-2", {"element_material": "NiCr", "gas": "carbon dioxide", "cylinder_pressure": "30 bar gauge"}, "cannot_say"),
    ("FIT-1", {"load": load(material="titanium", touches="nickel"), "soak_temperature": "900 °C"}, "outside"),
    ("FIT-2", {"load": load(material="carbon steel", touches="alumina")}, "close"),
    ("FIT-9", {"load": load(touches="a plate of unknown make")}, "cannot_say"),
]  # fmt: skip

SILENT = {  # what keeps a check silent that the example makes speak
    "ROOM-2": {"room_volume": "200 m3"},
}
ELSEWHERE = {name for name, _ in gas_checks.LATE + heat_checks.LATE}  # tested in modules of their own
STOPS_EARLY = {"LOAD-1", "LOAD-2", "LOAD-3", "ATM-3", "ATM-4", "TMP-1", "VAC-1", "DOC-1"}


@pytest.mark.parametrize(("name", "changed", "verdict"), SPEAKS)
def test_a_check_speaks(name, changed, verdict):
    answer = plan(**changed)
    assert answer.refusal is None
    check = answer.checks[name]
    assert check["verdict"] == verdict, check
    assert check["message"] and check["remedy"]


@pytest.mark.parametrize("name", [name for name, _ in checks.EARLY + checks.LATE if name not in ELSEWHERE])
def test_a_check_keeps_silent(name):
    check = plan(**SILENT.get(name, {})).checks[name]
    assert check["verdict"] == "within" and check["message"]


def test_every_check_can_speak_except_notes():
    notes = {"PRS-3", "PRS-4", "ATT-2", "TRUST-1"}
    named = {name for name, _ in checks.EARLY + checks.LATE} - ELSEWHERE
    assert named - {name for name, _, _ in SPEAKS} == notes


def test_ids_stand_once_and_have_words():
    names = [name for name, _ in checks.EARLY + checks.LATE]
    assert len(names) == len(set(names))
    for check in checks.rows(checks.EARLY + checks.LATE):
        assert check.title and check.fine and check.remedy and check.page, check.id


def test_sources_of_checks_exist():
    from calcs.data import all_sources

    for check in checks.rows(checks.EARLY + checks.LATE):
        assert not check.source or check.source in all_sources(), check.id


def test_the_row_and_the_dict_say_the_same():
    answer = plan()
    for row in answer.figures["checks"].rows:
        assert answer.checks[row["id"]]["verdict"] == row["verdict"]
        assert answer.checks[row["id"]]["message"] == row["message"]


def test_worst_stand_first():
    found = [row["verdict"] for row in plan(attended="no", room_volume="").figures["checks"].rows]
    order = ["outside", "cannot_say", "close", "within"]
    assert found == sorted(found, key=order.index) and len(set(found)) == 4


def test_severity_words():
    found = {check["verdict"]: check["severity"] for check in plan(attended="no", room_volume="").checks.values()}
    assert found == {"outside": "stop", "cannot_say": "hold", "close": "caution", "within": "note"}


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


def test_early_stops_are_the_ones_that_leave_no_figures():
    for name, changed, verdict in SPEAKS:
        if verdict == "outside":
            answer = plan(**changed)
            assert ("gas_used" not in answer.figures) == bool(
                STOPS_EARLY & {n for n, c in answer.checks.items() if c["verdict"] == "outside"}
            ), name


def test_everything_unchecked_has_a_page_or_a_person():
    for row in checks.not_checked():
        assert row["check"] and (row["page"] or row["ask"])
    assert "mixture" not in EXAMPLE
