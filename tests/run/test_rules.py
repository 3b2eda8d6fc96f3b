"""Every check of the plan: inputs that make it speak, with its words, and inputs that keep it silent."""

import dataclasses
import sys
from pathlib import Path

import pytest

import calcs
from calcs.data import all_sources, table
from calcs.run import checks, derive, furnace_heat, gas_checks, heat_through, pressure_checks, unchecked
from calcs.run.plan import FORM
from tests.run.runs import EXAMPLE, load, mixture, plan, segments, stops

AIR = {"gas": "air", "pumped_pressure": "", "cycles": "", "exhaust": "extraction"}
RETORT = {"maximum_vacuum_temperature": "150 °C", "vessel_kind": "metal retort"}
LEAN = mixture("argon 98 % · hydrogen 2 %")
DENSE = {"gas": "carbon dioxide", "cylinder_pressure": "30 bar gauge"}
HOT = {"maximum_temperature": "1400 °C", "holding_powers": "300 °C 0.4 kW · 1400 °C 2.8 kW"}
GREEN = AIR | {"binder_share": "4 %", "flow": "20 L/min", "target_oxygen": "",
               "load": load(material="alumina", form="green part", mass="3.0 kg", grade="")}  # fmt: skip
BRICK = {"load": load(material="chamber brick", form="plate", thickness="60 mm", grade=""), "load_ramp_limit": ""}


def slow(rate: str) -> dict:
    """A programme that burns binder out at a rate, the room at 20 °C."""
    return segments(f"ramp to 150 °C at 1 K/min · ramp to 500 °C at {rate} · soak 60 min")


SPEAKS = [  # id, what is changed in the example, verdict, words of its message
    ("LOAD-1", {"load": load(mass="2000 kg")}, "outside", "densest metal"),
    ("LOAD-2", {"closed_void": "yes"}, "outside", "from 1 to 3.0 bar"),
    ("LOAD-3", {"binder_share": "4 %"}, "outside", "80 g of binder"),
    ("LOAD-3", AIR | {"binder_share": "4 %", "exhaust": "room"}, "outside", "air without extraction"),
    ("LOAD-3b", GREEN | slow("0.2 K/min"), "outside", "21 L/min of air for 25 %"),
    ("LOAD-3b", GREEN | slow("0.19 K/min"), "close", "hot"),
    ("LOAD-3b", GREEN | {"flow": ""}, "cannot_say", "Without an air flow"),
    ("LOAD-3b", GREEN | {"soak_temperature": "120 °C"}, "cannot_say", "below 150 °C"),
    ("LOAD-4", {"volatile": "yes"}, "cannot_say", "no name of the load says which"),
    ("LOAD-4", {"load": load(material="brass"), "soak_temperature": "400 °C"}, "outside", "Zinc of brass"),
    ("LOAD-4", {"load": load(material="steel"), "soak_temperature": "1000 °C"}, "close", "Manganese of steel"),
    ("LOAD-4", {"load": load(material="steel"), "soak_temperature": "1000 °C", "exhaust": "room"}, "outside", "toxic"),
    ("LOAD-4", {"load": load(touches="sulphur")}, "outside", "kept out of a shared chamber"),
    ("ATM-2", mixture("nitrogen 95 % · hydrogen 5 %"), "close", "this one could burn"),
    ("ATM-2", {"gas": "hydrogen", "built_for_flammable_gas": "yes"}, "cannot_say", "burns in air"),
    ("ATM-3", mixture("nitrogen 97 % · hydrogen 3 %", "no"), "outside", "mixed on site"),
    ("ATM-3", mixture("nitrogen 97 % · hydrogen 3 %", ""), "cannot_say", "is not said"),
    ("ATM-4", AIR | {"load": load(material="graphite")}, "outside", "carbon in the load"),
    ("TMP-1", {"soak_temperature": "1051 °C"}, "outside", "1051 °C is above the 1050 °C"),
    ("VAC-1", RETORT | {"pumped_temperature": "700 °C"}, "outside", "may not be pumped above 150 °C"),
    ("DOC-1", {"maximum_pressure": ""}, "outside", "highest pressure that the chamber is rated for"),
    ("DOC-1", {"holding_powers": "100 °C 0.1 kW · 300 °C 0.4 kW"}, "outside", "holding power above 300 °C"),
    ("DOC-2", {"run_date": "2031-09-02", "leak_tested": "2031-09-01", "limiter_tested": "2031-09-01"}, "close",
     "was due for review on 2031-09-01"),
    ("TMP-2", {"gas": "nitrogen", "soak_temperature": "950 °C"}, "close", "FeCrAl element"),
    ("TMP-2", {"element_material": "NiCr", "soak_temperature": "1050 °C"}, "outside", "NiCr element"),
    ("TMP-2", DENSE | {"element_material": "NiCr"}, "cannot_say", "No rule for the NiCr element"),
    ("TMP-3", {"sensor": "type K", "soak_temperature": "760 °C"}, "close", "type K in argon"),
    ("TMP-3", {"sensor": "type C"}, "cannot_say", "not in the tables"),
    ("TMP-3", HOT | {"sensor": "type K", "soak_temperature": "1400 °C"}, "outside", "is defined up to"),
    ("TMP-4", {"soak_temperature": "1030 °C"}, "close", "20 K below the highest"),
    ("LIM-1", {"limiter_tested": "2029-02-10"}, "close", "more than 12 months"),
    ("LIM-1", {"limiter_tested": "2029-02-10", "attended": "no", "unattended_allowed": "yes",
               "soak_temperature": "700 °C"}, "outside", "more than 12 months"),
    ("LIM-1", {"limiter_tested": "2031-03-05"}, "close", "2031-03-05"),
    ("LIM-1", {"limiter_tested": ""}, "cannot_say", "No test"),
    ("FIT-1", {"load": load(material="titanium", touches="nickel"), "soak_temperature": "900 °C"}, "outside", "F197"),
    ("FIT-2", {"load": load(material="carbon steel", touches="alumina")}, "close", "Carbon steel"),
    ("FIT-9", {"load": load(touches="a plate of unknown make")}, "cannot_say", "unknown make"),
    ("LOAD-5", {"water_estimate": "10 g"}, "close", "10 g of water"),
    ("VAC-2", {"load": load(form="powder")}, "close", "Powder lifts"),
    ("VAC-3", LEAN, "close", "hydrogen in it"),
    ("VAC-3", {"gas": "hydrogen", "built_for_flammable_gas": "yes"}, "outside", "burns in air"),
    ("PRS-1", {"set_point": "18 mbar gauge"}, "outside", "more than half"),
    ("PRS-1", {"set_point": "1014 mbar abs"}, "outside", "+19 mbar gauge"),
    ("PRS-1", {"relief_pressure": "60 mbar gauge"}, "outside", "rated 50 mbar"),
    ("PRS-2", {"relief_capacity": "190 L/min"}, "outside", "relief and vent pass 190 L/min"),
    ("PRS-2", {"relief_capacity": "220 L/min"}, "close", "relief and vent pass 220 L/min"),
    ("PRS-2", {"supply_failure_flow": "", "restriction_bore": ""}, "cannot_say", "nor the smallest bore"),
    ("PRS-2", {"relief_capacity": ""}, "cannot_say", "the vent line alone passes"),
    ("PRS-2", {"supply_failure_flow": "", "gas": "xenon"}, "cannot_say", "No data of xenon"),
    ("PRS-5", {"altitude": "400 m"}, "close", "differ by 3.0%"),
    ("PRS-6", {"relief_pressure": "48 mbar gauge"}, "close", "with 396 N"),
    ("PRS-6", {"maximum_pressure": "300 mbar gauge", "relief_pressure": "95 mbar gauge"}, "close", "it bends"),
    ("RES-1", {"target_oxygen": "7 ppm"}, "outside", "limit 7.0 ppm"),
    ("RES-1", {"target_oxygen": "2 ppm"}, "outside", "2.0 ppm gas"),
    ("RES-1", {"target_oxygen": "9 ppm"}, "close", "Oxygen 7.8 ppm"),
    ("RES-1", {"cycles": "1"}, "outside", "Oxygen 29 ppm"),
    ("RES-1", {"gas_water": "60 ppm"}, "outside", "moisture 61 ppm"),
    ("RES-1", {"target_water": "4 ppm"}, "close", "limit 4.0 ppm"),
    ("RES-1", {"gas_water": ""}, "cannot_say", "moisture of the gas is not given"),
    ("RES-1", {"gas_oxygen": ""}, "cannot_say", "the oxygen of the gas"),
    ("RES-1", {"leak_rate": ""}, "cannot_say", "the leak rate"),
    ("RES-1", {"target_oxygen": "", "finish": "bright"}, "cannot_say", "needs an oxygen limit"),
    ("RES-2", {"analyser": "no"}, "close", "no analyser"),
    ("OXI-1", {"finish": "bright"}, "outside", "it oxidises"),
    ("OXI-1", {"finish": "bright", "load": load(material="stainless steel")}, "cannot_say", "Not a metal of the"),
    ("OXI-1", {"finish": "bright", "gas_oxygen": ""}, "cannot_say", "is not known"),
    ("OXI-2", {"gas_oxygen": "20 ppm", "target_oxygen": "50 ppm"}, "close", "of Cu2O"),
    ("OXI-3", {"gas": "nitrogen", "load": load(material="titanium")}, "outside", "Titanium takes up nitrogen"),
    ("OXI-3", LEAN | {"load": load(touches="niobium foil")}, "outside", "Niobium takes up hydrogen"),
    ("LEAK-2", {"resolution": "0.01 mbar"}, "close", "gauge step"),
    ("LEAK-2", {"resolution": ""}, "cannot_say", "cannot be said"),
    ("LEAK-3", {"leak_tested": "2030-11-01"}, "cannot_say", "not within 90 days"),
    ("LEAK-3", {"leak_tested": ""}, "cannot_say", "No accepted rise test"),
    ("GAS-1", {"cylinder_pressure": "50 bar gauge"}, "outside", "lie above the reserve"),
    ("GAS-2", {"cylinder_pressure": "9 bar gauge"}, "outside", "nearly empty"),
    ("GAS-3", {"flow": "0.2 L/min"}, "outside", "Air can be drawn in"),
    ("GAS-4", {"flow": "1.9 L/min"}, "close", "outside the 2.0 L/min to 20 L/min"),
    ("GAS-4", {"flow": "20.5 L/min"}, "close", "outside the 2.0 L/min to 20 L/min"),
    ("GAS-5", {"calibration_gas": "nitrogen"}, "close", "Calibrated for nitrogen"),
    ("GAS-6", DENSE | {"load": load(material="carbon rod"), "soak_temperature": "700 °C"}, "outside", "monoxide"),
    ("BAK-1", {"controller_range": "20 L/min"}, "close", "Outlet shut at full flow"),
    ("ROOM-1", {"oxygen_monitor": "no"}, "outside", "there is no alarm"),
    ("ROOM-1", {"room_volume": ""}, "cannot_say", "the room's volume"),
    ("ROOM-1", DENSE, "outside", "carbon dioxide"),
    ("ROOM-2", {"room_volume": "60 m3"}, "close", "18.6 % oxygen"),
    ("ROOM-2", {"room_volume": "40 m3"}, "outside", "an alarm comes too late"),
    ("ROOM-2", {"air_changes": ""}, "cannot_say", "its fresh air"),
    ("ROOM-3", LEAN | {"exhaust": "room"}, "outside", "carries hydrogen"),
    ("ROOM-4", {"exhaust": "room", "air_changes": "0", "room_volume": "10 m3"}, "outside", "oxygen settles at"),
    ("ROOM-4", {"air_changes": ""}, "cannot_say", "fresh air of the room"),
    ("RMP-1", {"load_ramp_limit": "4 K/min"}, "outside", "steeper than the 4 K/min"),
    ("RMP-1", BRICK, "close", "chamber brick of 60 mm"),
    ("RMP-2", {"heater_power": "2.0 kW", "inner_area": ""}, "outside", "cannot follow above"),
    ("RMP-2", {"heater_power": "2.1 kW", "inner_area": ""}, "close", "at its end"),
    ("RMP-2", {"heater_power": "1.7 kW"}, "outside", "cannot follow above"),
    ("RMP-2", {"heater_power": "1.85 kW"}, "close", "at its end"),
    ("RMP-3", {"ramp": "11 K/min", "load_ramp_limit": "50 K/min"}, "outside", "heaters and ceramic allow"),
    ("RMP-4", AIR | {"element_material": "MoSi2", "ramp": "0.5 K/min"}, "close", "they can crumble"),
    ("SOK-1", {}, "close", "after the chamber"),
    ("COL-1", {"load_ramp_limit": "5.1 K/min", "chamber_heat_capacity": "5 kJ/K"}, "close", "It cools at"),
    ("OPN-1", {"planned_opening_temperature": "80 °C"}, "outside", "Opening at 80 °C"),
    ("ATT-1", {"attended": "no"}, "outside", "with nobody there"),
    ("ATT-2", {"start_time": "20:00"}, "within", "At night: H"),
    ("CLEAN-1", {"last_content": "Brass screws"}, "close", "brass"),
]  # fmt: skip

SILENT = {  # id: what keeps it silent where the example makes it speak, or where silence must be the right one
    "LOAD-3b": GREEN | slow("0.13 K/min"),
    "LOAD-4": {"load": load(material="brass"), "soak_temperature": "150 °C"},
    "ATM-2": mixture("argon 95 % · helium 5 %"),
    "ATM-3": LEAN,
    "PRS-2": {"supply_failure_flow": ""},
    "OXI-2": {"load": load(area="2 m2")},
    "GAS-5": {"calibration_gas": "argon"},
    "BAK-1": {"controller_range": "5 L/min"},
    "ROOM-2": {"room_volume": "200 m3"},
    "RMP-4": AIR | {"element_material": "MoSi2", "soak_temperature": "390 °C"},
    "SOK-1": {"load": load(thickness="0.05 mm", material="carbon steel"), "gas": "helium"},
}
ALWAYS = {  # checks that say the same in every plan that is answered
    "PRS-3": "hold point H2",  # an action at the furnace
    "PRS-4": "995 mbar (typed)",  # without a pressure of the room the plan is refused: no_ambient
    "TRUST-1": "Not checked:",
    "ATM-1": "Nothing in the gas is toxic",  # with a toxic gas the plan is refused: toxic_gas
}
FIRST = [name for name, _ in checks.EARLY]
NO_FIGURES = {"status", "plan_code", "checks", "not_checked"}
IDS = [name for name, _ in checks.ALL]


# ---------------------------------------------------------------- the table


@pytest.mark.parametrize(("name", "changed", "verdict", "words"), SPEAKS)
def test_a_check_speaks(name, changed, verdict, words):
    answer = plan(**changed)
    assert answer.refusal is None
    found = answer.checks[name]
    assert found["verdict"] == verdict, found
    assert words in found["message"].replace("\u00a0", " "), found["message"]
    assert verdict == "within" or found["remedy"]


@pytest.mark.parametrize("name", [name for name in IDS if name not in ALWAYS])
def test_a_check_keeps_silent(name):
    found = plan(**SILENT.get(name, {})).checks[name]
    assert found["verdict"] == "within" and found["message"], found
    spoken = [words for one, _, verdict, words in SPEAKS if one == name and verdict == "within"]
    assert not any(words in found["message"] for words in spoken)


@pytest.mark.parametrize("name", ALWAYS)
def test_a_check_says_the_same_in_every_plan(name):
    for changed in ({}, {"attended": "no"}, {"load": load(material="titanium")}):
        found = plan(**changed).checks[name]
        assert found["verdict"] == "within" and ALWAYS[name] in found["message"].replace("\u00a0", " ")


def test_every_check_has_both_cases():
    assert set(IDS) == {name for name, *_ in SPEAKS} | set(ALWAYS)
    assert set(SILENT) <= set(IDS) and not set(ALWAYS) & {name for name, *_ in SPEAKS}


def test_a_toxic_gas_is_looked_at_by_its_row_too():
    assert plan(gas="carbon monoxide").refusal.reason == "toxic_gas"
    job = dataclasses.replace(derive.job(FORM.read(EXAMPLE)), shares={"argon": 0.9, "carbon monoxide": 0.1})
    assert checks.atm_1(None, job).verdict == "outside"


def test_ids_stand_once_and_have_words():
    assert len(IDS) == len(set(IDS))
    for check in checks.rows(checks.ALL):
        assert check.title and check.fine and check.remedy and check.page, check.id


def test_no_words_without_a_check():
    assert {name for file in checks.WORDS for name in table(file)} == set(IDS)


def test_sources_of_checks_exist():
    for check in checks.rows(checks.ALL):
        assert not check.source or check.source in all_sources(), check.id


def load_checks_and_others():
    return [*gas_checks.LATE, *pressure_checks.LATE, *(row for row in checks.EARLY if row[0].startswith("LOAD"))]


def test_a_caution_has_room_on_the_card():
    """A row of the card is short: about 115 letters."""
    short = {name for name, _ in load_checks_and_others()}
    for name, changed, verdict, _ in SPEAKS:
        if verdict == "close" and name in short:
            assert len(plan(**changed).checks[name]["message"]) <= 115, name


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


# ---------------------------------------------------------------- order, and the early stop


def test_the_first_questions_stand_in_the_order_in_which_they_are_asked():
    """May the load enter; may this gas be used; may the furnace go there; does the record say enough."""
    kinds = list(dict.fromkeys(name.split("-")[0] for name in FIRST))
    assert kinds == ["LOAD", "ATM", "TMP", "VAC", "DOC"]


@pytest.mark.parametrize(("name", "changed", "verdict", "words"), [row for row in SPEAKS if row[2] == "outside"])
def test_a_stop_among_the_first_gives_no_number_of_a_run(name, changed, verdict, words):
    answer = plan(**changed)
    early = stops(answer) & set(FIRST)
    assert (set(answer.figures) == NO_FIGURES) == bool(early)
    if early:
        assert set(answer.checks) == set(FIRST)
        assert not answer.pictures and not answer.working and answer.extra["stopped_early"]
        assert answer.figures["status"].value == "draft"


def test_all_stops_of_the_first_questions_are_shown_together_and_in_order():
    answer = plan(
        load=load(material="brass", mass="2000 kg"), closed_void="yes", binder_share="4 %", soak_temperature="1200 °C",
        pumped_temperature="950 °C", maximum_pressure="", **mixture("argon 98 % · hydrogen 2 %", "no"),
    )  # fmt: skip
    expected = ["LOAD-1", "LOAD-2", "LOAD-3", "LOAD-4", "ATM-3", "TMP-1", "VAC-1", "DOC-1"]
    rows = [row["id"] for row in answer.figures["checks"].rows if row["verdict"] == "outside"]
    assert rows == expected
    places = [answer.sentence.index(f"{name}: ") for name in expected]
    assert places == sorted(places)
    assert set(answer.figures) == NO_FIGURES


def test_a_hold_among_the_first_does_not_stop_early():
    answer = plan(volatile="yes")
    assert "gas_used" in answer.figures and answer.figures["status"].value == "draft"


# ---------------------------------------------------------------- what was not checked


def ids_of(rows) -> list[str]:
    return [row["id"] for row in rows]


def results(*, without=(), **changed):
    """The results of all checks but some."""
    inputs = FORM.read(EXAMPLE | changed)
    job = derive.job(inputs)
    early = checks.run_early(inputs, job)
    found = [*early, *checks.run_late(inputs, derive.run(inputs, job), early)]
    return [result for result in found if result.check.id not in without]


def test_the_figure_is_made_from_the_checks():
    assert [dict(row) for row in plan().figures["not_checked"].rows] == unchecked.points(results())


@pytest.mark.parametrize(
    ("gone", "page"),
    [({"BAK-1"}, "ATM-03"), ({"SOK-1"}, "HT-03"), ({"PRS-2", "PRS-6"}, "SAF-02"), ({"LOAD-4"}, "MAT-01")],
)
def test_a_check_that_goes_leaves_its_page_unchecked(gone, page):
    assert page not in ids_of(unchecked.points(results()))
    assert page in ids_of(unchecked.points(results(without=gone)))


def test_a_check_that_comes_takes_its_page_off(monkeypatch):
    """A new check that asks how long to pump down."""
    rows = dict(table("run/unchecked.toml")) | {
        "NEW-1": {"asks": ["pumpdown"], "leaves_out": "water", "ask": "a gauge"}
    }
    monkeypatch.setattr(unchecked, "table", lambda name: rows)
    assert "VAC-03" in ids_of(unchecked.points(results()))
    one = results()[0]
    new = dataclasses.replace(one, check=dataclasses.replace(one.check, id="NEW-1", page="VAC-03"))
    after = unchecked.points([*results(), new])
    assert [row["check"] for row in after if row["page"] == "VAC-03"] == ["water"]


def test_what_could_not_be_said_stands_in_the_list():
    first, held = plan(), plan(leak_tested="")
    assert "LEAK-3" not in ids_of(first.figures["not_checked"].rows)
    row = next(row for row in held.figures["not_checked"].rows if row["id"] == "LEAK-3")
    assert "No accepted rise test" in row["check"] and row["ask"]


def test_what_was_not_compared_stands_in_the_list():
    found = plan(door_width="")
    assert found.checks["PRS-6"]["verdict"] == "within" and "Not worked out" in found.checks["PRS-6"]["message"]
    words = [row["check"] for row in found.figures["not_checked"].rows if row["id"] == "PRS-6"]
    assert any("size of the door" in text for text in words)
    assert len(found.figures["not_checked"].rows) == len(plan().figures["not_checked"].rows) + 1


def test_an_early_stop_leaves_more_unchecked():
    stopped = ids_of(plan(closed_void="yes").figures["not_checked"].rows)
    assert {"SAF-01", "HT-03", "ATM-05", "ATM-07"} <= set(stopped)
    assert len(stopped) > len(plan().figures["not_checked"].rows)


def test_the_number_is_the_same_everywhere():
    answer = plan()
    count = len(answer.figures["not_checked"].rows)
    assert f"did not check {count} points" in answer.sentence
    assert f"{count}\u00a0points" in answer.checks["TRUST-1"]["message"]


def test_everything_unchecked_has_a_page_or_a_person():
    for row in plan().figures["not_checked"].rows:
        assert row["check"] and (row["page"] or row["ask"])
    assert "quality" in plan().figures["not_checked"].rows[-1]["check"]


def test_rows_of_the_list_name_checks_and_calculators_that_exist():
    for name, row in table("run/unchecked.toml").items():
        if name != unchecked.NO_CHECK:
            assert name in IDS and set(row.get("asks", ())) <= set(calcs.CALCULATORS), name
            assert bool(row.get("leaves_out")) == bool(row.get("ask")), name
    assert "LEAK-1" in ids_of(table("run/unchecked.toml")[unchecked.NO_CHECK]) and "LEAK-1" not in IDS


KIN = {  # modules that hold the physics of a calculator under another name
    "evaporation": "vapour", "fit_rules": "fit", "stability": "oxide", "segments": "programme",
    "lining": "follow", "two_nodes": "follow",
}  # fmt: skip


LENT = {"line"}  # lends `flow` a viscosity; no check asks how much pumping reaches the chamber


def touched(changed: dict) -> set[str]:
    """Return the calculators whose code runs while a plan is worked out."""
    modules = {str(Path(calcs.calculator(name).__file__)): name for name in calcs.CALCULATORS}
    folder = Path(calcs.__file__).parent
    modules |= {str(folder / calcs.CALCULATORS[of] / f"{name}.py"): of for name, of in KIN.items()}
    found = set()

    def note(frame, event, _):
        if event == "call" and (name := modules.get(frame.f_code.co_filename)):
            found.add(name)

    sys.setprofile(note)
    try:
        plan(**changed)
    finally:
        sys.setprofile(None)
    return found - {"plan"}


def test_every_calculator_that_a_check_names_is_asked_and_no_other():
    """What the list says is asked is what runs: over plans that between them make every check speak."""
    heat_through._lag.cache_clear()
    furnace_heat._lined.cache_clear()
    cases = [{}, LEAN, BRICK, GREEN | slow("0.2 K/min"), {"finish": "bright"}, {"exhaust": "room"}]
    ran = set().union(*(touched(changed) for changed in cases))
    assert ran - LENT == unchecked.asked(IDS)
