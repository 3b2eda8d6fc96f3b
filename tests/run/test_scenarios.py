"""The worked scenarios of this project, with the figures that stand on paper for them. Regression only: no outside source.

A tolerance is half of the last digit printed, and one more where the paper rounds its parts before it adds them.
Where the plan reckons in another way than the paper, the reason stands beside the figure.
"""

import pytest

from calcs.core import judge
from calcs.run import derive, gas_checks
from calcs.run.plan import FORM
from tests.run.runs import EXAMPLE, FURNACES, load, mixture, on, segments, stops, verdicts

NORM = 22.41397  # L/mol at 0 °C and 101.325 kPa


def run_of(furnace: str, **changed):
    """The run behind the answer, for figures that no figure of the answer shows."""
    inputs = FORM.read(EXAMPLE | FURNACES[furnace] | changed)
    return derive.run(inputs, derive.job(inputs))


def value(answer, name, unit):
    return answer.figures[name].quantity.to(unit).m


def status(answer):
    return answer.figures["status"].value


def flow(mol_per_s: float) -> float:
    """L/min at 0 °C and 101.325 kPa."""
    return mol_per_s * NORM * 60


def cold_at(run, celsius: float) -> str:
    """Clock time at which the last cooling passes a temperature."""
    stretch, kelvin = run.cooling[-1], celsius + 273.15
    for (t0, a), (t1, b) in zip(stretch.curve, stretch.curve[1:], strict=False):
        if b <= kelvin <= a:
            begun = run.event("segment", len(run.stretches) - 1).start_s
            return f"{run.clock(begun + t0 + (a - kelvin) / (a - b) * (t1 - t0)):%H:%M}"
    raise AssertionError(celsius)


def minutes(clock: str) -> int:
    hours, rest = clock.split(":")
    return int(hours) * 60 + int(rest)


# ---------------------------------------------------------------- oxygen-free copper in argon, furnace A


def test_copper_is_for_release_with_its_cautions():
    answer = on("A")
    assert status(answer) == "for release" and not stops(answer)
    found = verdicts(answer)
    assert found["ROOM-2"] == "close" and found["OXI-2"] == "within" and found["TMP-2"] == "within"
    assert found["LEAK-2"] == "within" and verdicts(on("A", resolution="0.01 mbar"))["LEAK-2"] == "close"
    assert "OXI-1" in stops(on("A", finish="bright"))


def test_copper_pumping_and_cycles():
    run = run_of("A")
    assert run.pump_s / 60 == pytest.approx(6.1, abs=0.05)
    assert run.pump_planned_s / 60 == pytest.approx(18, abs=0.5)
    assert run.one_cycle_leaves * 1e6 == pytest.approx(21, abs=0.5)
    assert run.left_by_cycles * 1e6 == pytest.approx(0.002, abs=0.0005)
    assert run.backfill_mol * NORM == pytest.approx(129, abs=0.5) and run.backfill_s / 60 == pytest.approx(
        6.5, abs=0.05
    )
    free = on("A", cycles="", flow="")
    assert value(free, "cycles", "") == 2 and free.extra["ruled_by"]["cycles"] == "the oxygen limit"
    assert (
        value(free, "flow", "liter/minute") == pytest.approx(2.0) and free.extra["ruled_by"]["flow"] == "the controller"
    )


@pytest.mark.parametrize(("given", "ppm"), [("2 L/min", 7.8), ("0.5 L/min", 25), ("10 L/min", 3.2)])
def test_copper_oxygen_that_remains(given, ppm):
    assert value(on("A", flow=given), "oxygen", "ppm") == pytest.approx(ppm, abs=0.5 if ppm > 10 else 0.05)


@pytest.mark.parametrize(("given", "millilitres"), [("2 L/min", 0.0156), ("0.5 L/min", 0.0126), ("10 L/min", 0.0316)])
def test_copper_more_flow_is_not_always_cleaner(given, millilitres):
    """Oxygen of gas and leak while hot, mL/min at 0 °C and 101.325 kPa."""
    changed = FORM.read(EXAMPLE | FURNACES["A"] | {"flow": given})
    run = derive.run(changed, derive.job(changed))
    rate = gas_checks.oxygen_while_hot(changed, run) / run.hot_s * NORM * 60e3
    assert rate == pytest.approx(millilitres, abs=0.0002)


def test_copper_film_and_leak():
    answer = on("A")
    assert answer.checks["OXI-2"]["figure"].startswith("17")
    assert answer.checks["LEAK-2"]["figure"].startswith("0.004")
    assert value(answer, "hot_time", "minute") == pytest.approx(228, abs=1)  # rounded up on paper


def test_copper_programme_power_and_gas():
    answer, run = on("A"), run_of("A")
    ramp, soak, cool = run.stretches
    assert ramp.duration_s / 60 == pytest.approx(116) and ramp.power_w / 1e3 == pytest.approx(3.0, abs=0.05)
    assert flow(ramp.gas_change) == pytest.approx(2.2, abs=0.05)
    assert flow(ramp.flow + ramp.gas_change) == pytest.approx(4.2, abs=0.05)
    assert soak.power_w / 1e3 == pytest.approx(1.7, abs=0.05)
    assert cool.duration_s / 3600 == pytest.approx(4.6, abs=0.05)
    assert run.furnace.body.cooling_rate(873.15, None) * 60 == pytest.approx(6.4, abs=0.05)
    assert value(answer, "make_up_peak", "liter/minute") == pytest.approx(0.33, abs=0.005)
    assert run.programme_s / 3600 == pytest.approx(7.0, abs=0.05)
    assert value(answer, "energy", "kWh") == pytest.approx(4.9, abs=0.05)
    assert value(answer, "gas_used", "liter") == pytest.approx(1105, abs=1)  # 259 + 292 + 554, each rounded
    assert run.cooling_gas * NORM == pytest.approx(554, abs=0.5)
    assert answer.extra["if_shut"] / 100 == pytest.approx(337, abs=0.5)


def test_copper_cylinder_and_room():
    answer, run = on("A"), run_of("A")
    assert run.cylinder_mol * NORM == pytest.approx(5896, abs=3)  # the density of the table; the paper has 5890 too
    assert run.reserve_mol * NORM == pytest.approx(276, abs=1)
    assert answer.checks["GAS-1"]["figure"].startswith(("1879", "1880"))  # 1326 + 554 on paper, each rounded
    assert value(answer, "cylinder_left", "bar") == pytest.approx(98, abs=0.5)
    assert run.released_m3 == pytest.approx(6.44, abs=0.01)
    assert value(answer, "room_oxygen", "percent") == pytest.approx(18.7, abs=0.05)


def test_copper_the_card_by_the_clock():
    """The step table of that card, from 08:00; to the minute, which is what it prints."""
    run = run_of("A")
    asked = {
        ("prepare", 0): "08:00", ("pump", 1): "08:40", ("fill", 1): "08:58", ("pump", 2): "09:10",
        ("rise test", 2): "09:28", ("fill", 2): "09:40", ("verify", 0): "09:46", ("segment", 0): "10:06",
        ("segment", 1): "12:02", ("segment", 2): "12:32", ("equalise", 0): "17:09",
    }  # fmt: skip
    for (key, number), clock in asked.items():
        assert minutes(f"{run.clock(run.event(key, number).start_s):%H:%M}") == pytest.approx(minutes(clock), abs=1), (
            key
        )
    assert f"{run.clock(run.events[-1].end_s):%H:%M}" == "17:15"
    for celsius, clock in ((400, "13:11"), (200, "14:29"), (100, "15:55"), (60, "17:09")):
        assert minutes(cold_at(run, celsius)) == pytest.approx(minutes(clock), abs=1)
    assert on("A").extra["opens_at"] == "17:09"


def test_copper_the_steps_say_what_to_expect():
    said = " ".join(" ".join(row.values()) for row in on("A").figures["steps"].rows).replace("\u00a0", " ")
    # 129 L on paper; the card rounds gas up.
    for words in ("120 bar", "0.1 mbar", "0.004", "1005 mbar", "130 L", "2.0 L/min", "600 °C", "60 °C", "H1", "H6"):
        assert words in said, words


# ---------------------------------------------------------------- green alumina with binder, furnace C


def green(kilograms: str = "3.0 kg") -> list[dict]:
    return load(material="alumina", grade="", form="green part", mass=kilograms, area="", thickness="10 mm",
                touches="alumina")  # fmt: skip


def debind(rate: str) -> dict:
    return segments(
        f"ramp to 150 °C at 1 K/min · ramp to 500 °C at {rate} · soak 60 min · ramp to 1500 °C at 5 K/min · "
        "soak 120 min · cool to 900 °C at 5 K/min · cool to 60 °C"
    )


IN_AIR = {
    "gas": "air", "pumped_pressure": "", "cycles": "", "exhaust": "extraction", "flow": "20 L/min", "binder_share": "4 %",
    "target_oxygen": "", "target_water": "", "finish": "not critical", "maximum_temperature": "1550 °C",
    "set_point": "0 mbar gauge", "load_ramp_limit": "", "calibration_gas": "air", "load": green(),
}  # fmt: skip


def test_binder_in_argon_is_refused_as_first_typed():
    answer = on("C", soak_temperature="1500 °C", soak_time="2 h", binder_share="4 %", load=green())
    assert "LOAD-3" in stops(answer) and "120\u00a0g" in answer.checks["LOAD-3"]["message"]
    assert "gas_used" not in answer.figures


def test_binder_in_air_at_two_tenths_is_a_little_too_quick():
    """20 L/min allow 0.20 g/min; 0.2 K/min brings 3 % more, 0.19 K/min keeps to it cold, 0.13 K/min hot as well."""
    answer = on("C", **IN_AIR, **debind("0.2 K/min"))
    assert stops(answer) == {"LOAD-3b"} and answer.checks["LOAD-3b"]["limit"] == "0.20\u00a0g/min"
    assert "0.19" in answer.checks["LOAD-3b"]["remedy"] and "0.13" in answer.checks["LOAD-3b"]["remedy"]
    slower = on("C", **IN_AIR, **debind("0.19 K/min"))
    assert status(slower) == "for release" and verdicts(slower)["LOAD-3b"] == "close"
    assert verdicts(on("C", **IN_AIR, **debind("0.13 K/min")))["LOAD-3b"] == "within"


def test_binder_in_air_sixty_per_cent_of_the_load():
    changed = IN_AIR | {"load": green("1.8 kg")} | debind("0.2 K/min")
    answer, run = on("C", **changed), run_of("C", **changed)
    assert not stops(answer) and verdicts(answer)["LOAD-3b"] == "within"
    assert verdicts(answer)["RMP-4"] == "close" and verdicts(answer)["FIT-2"] == "close"
    assert "1600" in answer.checks["TMP-2"]["message"]
    *heating, natural = run.stretches
    assert sum(s.duration_s for s in heating) / 3600 == pytest.approx(39.7, abs=0.05)
    assert run.power_peak / 1e3 == pytest.approx(7.0, abs=0.05)
    assert heating[4].power_w / 1e3 == pytest.approx(4.9, abs=0.05) and heating[3].duration_s / 60 == pytest.approx(200)
    assert value(answer, "energy", "kWh") == pytest.approx(47, abs=0.5)
    # 13.8 h on paper: the paper cools with 27 kJ/K, while its power and energy were reckoned with the record's 25.
    assert natural.duration_s / 3600 == pytest.approx(13.8 * 25 / 27, abs=0.05)
    # 52 m³ on paper is not 20 L/min over its own 53.4 h, which is 64 m³; here 52.5 h.
    assert value(answer, "gas_used", "meter ** 3") == pytest.approx(20e-3 * 60 * run.programme_s / 3600, rel=1e-3)
    # About 10 h between 400 and 600 °C on paper; here without the 20 min in which the band is crossed quickly.
    assert "9\u00a0h 20\u00a0min" in answer.checks["RMP-4"]["message"]


def test_binder_in_air_is_not_pumped_and_not_left_alone():
    steps = [row["do"] for row in on("C", **IN_AIR, **debind("0.19 K/min")).figures["steps"].rows]
    assert not any(text.startswith(("Pump", "Wash", "Rise")) for text in steps)
    assert stops(on("C", **IN_AIR | {"attended": "no"}, **debind("0.19 K/min"))) == {"ATT-1"}
    assert "LOAD-3" in stops(on("C", **IN_AIR | {"pumped_pressure": "0.1 mbar abs"}, **debind("0.19 K/min")))


# ---------------------------------------------------------------- titanium in argon at 1500 m, furnace B

# Furnace B's paper has two heat capacities: the record's 20 kJ/K for power, and about 21.4 for cooling.
COOLS = {"chamber_heat_capacity": "21.4 kJ/K"}
COUPONS = {
    "ambient_pressure": "", "altitude": "1500 m", "room_volume": "45 m3", "cylinder_pressure": "150 bar gauge",
    "gas_oxygen": "0.5 ppm", "gas_water": "0.5 ppm", "pumped_pressure": "0.05 mbar abs", "flow": "1.5 L/min",
    "cycles": "3", "pumped_temperature": "150 °C", "load_ramp_limit": "",
    "load": load(material="titanium coupons", grade="2", form="plate", mass="11.25 g", count="40", area="16.5 cm2",
                 thickness="4 mm", touches="molybdenum foil"),
    **segments("ramp to 150 °C at 5 K/min · soak 60 min · ramp to 700 °C at 5 K/min · soak 60 min · cool to 60 °C"),
}  # fmt: skip


def test_titanium_stops_as_typed_and_is_released_with_its_cylinder_outside_the_room():
    """House decision: below 18 % oxygen no alarm helps. Outdoors the release leaves the room alone; here a small
    cylinder beside it stands for that, and a large room for the same cylinder."""
    answer = on("B", **COUPONS)
    assert stops(answer) == {"ROOM-2"} and status(answer) == "draft"
    assert value(answer, "room_oxygen", "percent") == pytest.approx(16.5, abs=0.05)
    assert "ROOM-1" in stops(on("B", **COUPONS | {"oxygen_monitor": "no"}))
    for freed in ({"room_volume": "100 m3"}, {"cylinder_volume": "20 L"}):
        released = on("B", **COUPONS | freed)
        assert status(released) == "for release" and not stops(released)
        assert {"FIT-2"} <= {name for name, verdict in verdicts(released).items() if verdict == "close"}


def test_titanium_site_and_pressures():
    run = run_of("B", **COUPONS)
    assert run.ambient_pa / 100 == pytest.approx(845.6, abs=0.05)
    assert run.hold_pa / 100 == pytest.approx(855.6, abs=0.05)
    answer = on("B", **COUPONS | {"set_point": "1010 mbar abs"})
    assert "PRS-1" in stops(answer) and "+164\u00a0mbar gauge" in answer.checks["PRS-1"]["message"]


def test_titanium_may_be_pumped_cold_and_at_150_only():
    assert "VAC-1" not in stops(on("B", **COUPONS))
    assert stops(on("B", **COUPONS | {"pumped_temperature": "700 °C"})) == {"VAC-1"}


def test_titanium_cycles_and_residual():
    run, answer = run_of("B", **COUPONS), on("B", **COUPONS)
    assert run.one_cycle_leaves * 1e6 == pytest.approx(12, abs=0.5)
    two = run_of("B", **COUPONS | {"cycles": "2"})
    assert two.left_by_cycles * 1e6 == pytest.approx(0.0007, abs=0.00005)
    assert run.pump_s / 60 == pytest.approx(1.6, abs=0.05)
    assert run.backfill_mol * NORM == pytest.approx(17.3, abs=0.05)
    assert answer.checks["LEAK-2"]["figure"].startswith("0.005")
    assert value(answer, "oxygen", "ppm") == pytest.approx(2.0, abs=0.05)
    # 0.6 ppm from gas and leak on paper, with a room half as humid; its 2 ppm of the walls stand among the unchecked.
    assert 0.6 < value(answer, "water", "ppm") < 0.75


def test_titanium_dose():
    """15 nm of TiO2 on paper, above 400 °C; the plan counts from 200 °C on and takes TiO, of which more forms."""
    answer = on("B", **COUPONS)
    film = float(answer.checks["OXI-2"]["figure"].split("\u00a0")[0])
    assert 15 < film < 30 and verdicts(answer)["OXI-2"] == "close"
    assert "OXI-1" in stops(on("B", **COUPONS | {"finish": "bright"}))


def test_titanium_partners_and_gases():
    assert verdicts(on("B", **COUPONS))["FIT-9"] == "within"
    for touches in ("80Ni-20Cr tray", "alumina"):
        row = COUPONS["load"][0] | {"touches": touches}
        assert verdicts(on("B", **COUPONS | {"load": [row]}))["FIT-2"] == "close", touches
    hot = COUPONS | segments("ramp to 950 °C at 5 K/min · soak 60 min · cool to 60 °C")
    row = COUPONS["load"][0] | {"touches": "nickel tray"}
    assert "FIT-1" in stops(on("B", **hot | {"load": [row]}))  # Ti2Ni melts at 942 °C
    for gas in ({"gas": "nitrogen"}, mixture("argon 98 % · hydrogen 2 %")):
        assert "OXI-3" in stops(on("B", **COUPONS | gas))


def test_titanium_programme_energy_and_gas():
    answer, run = on("B", **COUPONS | COOLS), run_of("B", **COUPONS | COOLS)
    assert [round(s.duration_s / 60) for s in run.stretches[:4]] == [26, 60, 110, 60]
    assert run_of("B", **COUPONS).power_peak / 1e3 == pytest.approx(3.1, abs=0.05)  # with the record's 20 kJ/K
    assert run.cooling_s / 3600 == pytest.approx(10.2, abs=0.05)
    assert run.programme_s / 3600 == pytest.approx(14.5, abs=0.05)
    assert value(answer, "energy", "kWh") == pytest.approx(7.0, abs=0.05)
    assert value(answer, "gas_used", "liter") == pytest.approx(1354, abs=1.5)  # 52 + 384 + 918, each rounded
    assert run.cylinder_mol * NORM == pytest.approx(7379, abs=5)
    assert run.released_m3 == pytest.approx(9.5, abs=0.05)


# ---------------------------------------------------------------- 316L in forming gas, furnace B

STEEL = {
    "load": load(material="316L stainless steel", grade="", form="plate", mass="1 kg", area="0.1 m2", thickness="5 mm"),
    "soak_temperature": "1050 °C", "soak_time": "20 min", "ramp": "6 K/min", "finish": "bright", "cycles": "3",
    "cylinder_pressure": "150 bar gauge", "load_ramp_limit": "",
}  # fmt: skip
FORMING = mixture("nitrogen 95 % · hydrogen 5 %")
OFFERED = mixture("argon 97.1 % · hydrogen 2.9 %")


def test_steel_in_forming_gas_is_refused():
    answer = on("B", **STEEL, **FORMING)
    assert verdicts(answer)["ATM-2"] == "close" and "0.91" in answer.checks["ATM-2"]["message"]
    assert {"FIT-1"} <= stops(answer) and "Cr2N" in answer.checks["FIT-1"]["message"]
    assert "ATM-3" in stops(on("B", **STEEL, **FORMING | {"premixed": "no"}))
    assert "FIT-1" in stops(on("A", **STEEL, **FORMING))


def test_steel_in_the_gas_that_is_offered_instead():
    """Argon with 2.9 % hydrogen: index 0.94. Two things stay that only a person can sign: steel's oxide (no alloy is
    in the tables) and what hydrogen does to the alloy of the retort, so that the card is a draft until then."""
    answer = on("B", **STEEL, **OFFERED)
    assert not stops(answer) and "0.94" in answer.checks["ATM-2"]["message"]
    assert "could burn" in answer.checks["ATM-2"]["message"]
    held = {name for name, verdict in verdicts(answer).items() if verdict == "cannot_say"}
    assert held == {"FIT-9", "OXI-1"}
    assert verdicts(on("B", **STEEL | {"finish": "light tint allowed"}, **OFFERED))["OXI-1"] == "within"


def test_steel_time_gas_and_energy():
    answer, run = on("B", **STEEL, **OFFERED, **COOLS), run_of("B", **STEEL, **OFFERED, **COOLS)
    assert run.programme_s / 3600 == pytest.approx(14.5, abs=0.05)
    assert value(answer, "gas_used", "liter") == pytest.approx(1801, abs=2)
    # The energy on paper is that of the record's 20 kJ/K.
    assert value(on("B", **STEEL, **OFFERED), "energy", "kWh") == pytest.approx(9.7, abs=0.1)
    # 55 and 107 min on paper, with a third heat capacity; natural cooling is good to 30 % anyway.
    for high, low, time in ((950, 700, 55), (850, 500, 107)):
        assert run.furnace.body.cooling_time(high + 273.15, low + 273.15) / 60 == pytest.approx(time, rel=0.1)
    # 8 K/min need 5.6 of 6 kW on paper; 5.4 here.
    quick = run_of("B", **STEEL | {"ramp": "8 K/min"}, **OFFERED, **COOLS)
    assert quick.power_peak / 1e3 == pytest.approx(5.6, rel=0.05)


# ---------------------------------------------------------------- carbon rods at 2500 °C, furnace C


def rods(**changed):
    return on("C", maximum_temperature="1550 °C", load=load(material="carbon rods", grade="", form="bar",
                                                            touches="alumina fibre"), **changed)  # fmt: skip


def test_carbon_rods_at_2500_are_refused():
    answer = rods(soak_temperature="2500 °C")
    assert "TMP-1" in stops(answer) and "2500" in answer.checks["TMP-1"]["message"]
    assert "1550" in answer.checks["TMP-1"]["message"] and "gas_used" not in answer.figures


def test_carbon_rods_with_binder_are_refused_at_1000_too():
    assert "LOAD-3" in stops(rods(soak_temperature="1000 °C", binder_share="10 %"))
    assert "ROOM-3" in stops(rods(soak_temperature="1000 °C", exhaust="room", volatile="yes"))


def test_carbon_on_the_lining_is_no_plan_for_release():
    """Carbon on alumina-silica fibre stops from 1250 °C in flowing gas; on alumina fibre no row says, which holds it."""
    held = rods(soak_temperature="1300 °C")
    assert status(held) == "draft" and verdicts(held)["FIT-9"] == "cannot_say"
    changed = {"maximum_temperature": "1550 °C", "insulation_material": "alumina-silica fibre"}
    rod = load(material="carbon rods", grade="", form="bar", touches="alumina-silica fibre")
    found = on("C", **changed, soak_temperature="1255 °C", load=rod).checks["FIT-1"]["message"]
    assert found.startswith("Carbon with alumina-silica fibre") and "F160" in found
    assert verdicts(on("C", **changed, soak_temperature="1245 °C", load=rod))["FIT-1"] == "within"


def test_a_sensor_beyond_its_end_and_elements_beyond_theirs():
    hot = rods(soak_temperature="1710 °C")
    assert "TMP-1" in stops(hot)
    over = on("C", maximum_temperature="2600 °C", soak_temperature="1850 °C",
              holding_powers="300 °C 0.45 kW · 1850 °C 7 kW",
              load=load(material="alumina", grade="", form="bar"))  # fmt: skip
    assert {"TMP-2", "TMP-3"} <= stops(over)


# ---------------------------------------------------------------- six more that are refused


def test_brass_under_vacuum():
    answer = on("A", load=load(material="brass shells", grade=""), soak_temperature="450 °C",
                pumped_temperature="450 °C", pumped_pressure="0.05 mbar abs")  # fmt: skip
    assert "LOAD-4" in stops(answer) and "50\u00a0Pa" in answer.checks["LOAD-4"]["message"]
    assert "Zinc of brass" in answer.checks["LOAD-4"]["message"]


def test_a_soldered_assembly():
    """Its flux is what stops it: lead at 400 °C has 3e-5 Pa, far below the 1 Pa that a shared chamber bears in gas."""
    answer = on("A", load=load(material="soldered assembly", grade="", form="assembly"), soak_temperature="400 °C")
    assert "LOAD-4" in stops(answer) and "flux" in answer.checks["LOAD-4"]["message"]
    assert judge(3e-5, 1.0) == "within"


def test_a_sealed_ampoule_with_sulphur():
    answer = on(
        "A", load=load(material="sealed quartz ampoule with sulphur", grade="", form="other"), closed_void="yes"
    )
    assert {"LOAD-2", "LOAD-4"} <= stops(answer) and "sulphur" in answer.checks["LOAD-4"]["message"]


def test_carbon_monoxide_as_gas():
    assert on("A", gas="carbon monoxide").refusal.reason == "toxic_gas"


def test_argon_with_five_per_cent_hydrogen():
    assert on("B", **mixture("argon 95 % · hydrogen 5 %")).refusal.reason == "flammable_gas"


def test_a_long_run_on_a_small_cylinder():
    assert "GAS-1" in stops(on("A", soak_temperature="1050 °C", soak_time="18 h", cylinder_pressure="30 bar gauge"))
