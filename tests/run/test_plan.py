"""Plan a run: what comes out, and what stops it."""

from time import perf_counter

import pytest

import calcs
from calcs.run.balance import Body
from calcs.run.plan import FORM
from tests.run.runs import EXAMPLE, load, mixture, plan, problems, segments, stops, verdicts

COPPER_IN_A = {"furnace_id": "A"}


def value(answer, name, unit):
    return answer.figures[name].quantity.to(unit).m


def status(answer):
    return answer.figures["status"].value


# ---------------------------------------------------------------- the example


def test_the_example_is_for_release_with_cautions():
    answer = plan()
    assert status(answer) == "for release" and answer.verdict == "close"
    close = {name for name, verdict in verdicts(answer).items() if verdict == "close"}
    assert close == {"BAK-1", "GAS-5", "ROOM-2", "SOK-1"}
    assert not stops(answer) and "cannot_say" not in verdicts(answer).values()
    assert answer.figures["soak_needed"].value > 1800  # the 30 min at temperature, and the lag of the middle


def test_the_example_is_quick():
    """The quickest of some tries, for other work on the machine is not what is measured."""
    tries = []
    for _ in range(8):
        begun = perf_counter()
        plan()
        tries.append(perf_counter() - begun)
    assert min(tries) < 0.040


def test_no_word_of_permission():
    answer = plan()
    texts = [answer.sentence, *answer.notes, *(check["message"] for check in answer.checks.values())]
    assert not any("safe" in text.lower() for text in texts)
    assert answer.sentence.startswith("For release: 0\u00a0stops")


def test_the_figures_of_the_example_by_hand():
    """With the holding powers alone: the chamber as one body, whose cooling has a closed form."""
    answer = plan(inner_area="")
    assert value(answer, "gas_used", "liter") == pytest.approx(2 * 99.8 + 2 * (116 + 30 + 431.4), abs=1)
    assert value(answer, "element_temperature", "degC") == pytest.approx(700)
    assert value(answer, "oxygen", "ppm") == pytest.approx(7.78, abs=0.01)
    assert value(answer, "cycles", "") == 2
    total = 40 + 2 * 19.12 + 12 + 2 * 4.99 + 5 + 20 + 577.4 + 6
    assert value(answer, "total_time", "minute") == pytest.approx(total, abs=0.5)


def test_ranges_hold_their_values():
    for figure in plan().figures.values():
        if figure.low_value is not None:
            assert figure.low_value <= figure.value <= figure.high_value, figure.name


def test_steps_are_in_order_and_complete():
    rows = plan().figures["steps"].rows
    assert [row["step"] for row in rows] == [str(n) for n in range(1, len(rows) + 1)]
    assert len(rows) <= 18
    doing = " ".join(row["do"] for row in rows)
    for point in ("H1", "H2", "H3", "H4", "H5", "H6"):
        assert point in doing
    for row in rows:
        assert row["do"] and row["valves"] and row["expect"] and row["accept"] and row["otherwise"] and row["time"]
        assert "{" not in "".join(row.values())


def test_the_rise_test_is_on_the_last_pump_down():
    doing = [row["do"] for row in plan(cycles="3").figures["steps"].rows]
    rise = next(i for i, text in enumerate(doing) if text.startswith("Rise test"))
    assert doing[rise - 1].startswith("Pump down, 3 of 3") and doing[rise + 1].startswith("Fill")


def test_pump_and_inlet_are_never_open_together():
    for row in plan().figures["steps"].rows:
        words = row["valves"]
        assert not ("inlet open" in words and "pump valve open" in words)
        assert not ("air valve open" in words and "heater on" in words)


def test_states_match_the_steps():
    answer = plan()
    assert len(answer.extra["states"]) == len(answer.figures["steps"].rows)


def test_plain_data_is_ready_for_a_file():
    import json

    assert json.loads(json.dumps(plan().to_dict()))["checks"]["ROOM-2"]["verdict"] == "close"
    json.dumps(plan().extra)


# ---------------------------------------------------------------- units and routes


def test_the_same_in_other_units():
    same = plan(
        free_volume="0.024 m3", gas_volume="108000 cm3", set_point="1005 mbar abs", ramp="300 K/h",
        soak_temperature="1112 °F",
        soak_time="0:30", flow="2000 mL/min", cylinder_pressure="120.995 bar abs", leak_rate="1e-4 Pa m3/s",
        room_volume="60000 L", pumped_pressure="10 Pa abs", altitude="", room_temperature="293.15 K",
    )  # fmt: skip
    first = plan()
    for name, figure in first.figures.items():
        if figure.is_number:
            assert same.figures[name].value == pytest.approx(figure.value, rel=1e-6), name
    assert verdicts(same) == verdicts(first) | {"PRS-5": "within"}


def test_a_table_equals_ramp_and_soak():
    table = plan(**segments("ramp to 600 °C at 5 K/min · soak 30 min · cool to 60 °C"))
    for name, figure in plan().figures.items():
        if figure.is_number:
            assert table.figures[name].value == pytest.approx(figure.value), name


def test_end_of_soak_after_236_minutes():
    """From 20 to 900 °C at 5 K/min, then 60 min."""
    answer = plan(soak_temperature="900 °C", soak_time="60 min", load=load(material="alumina", mass="0.4 kg"))
    steps = answer.figures["steps"].rows
    heat = next(row for row in steps if row["do"].startswith("Heat to"))
    soak = next(row for row in steps if row["do"].startswith("Soak at"))
    assert "2\u00a0h 56\u00a0min" in heat["time"] and "1\u00a0h" in soak["time"]
    assert plan(soak_temperature="900 °C", soak_time="60 min", room_volume="").figures["status"].value == "draft"


def test_ambient_from_the_altitude():
    answer = plan(ambient_pressure="")
    assert answer.checks["PRS-4"]["message"].startswith("995")


def test_derived_flow_and_cycles():
    answer = plan(flow="", cycles="")
    assert value(answer, "flow", "liter/minute") == pytest.approx(2.0)
    assert answer.extra["ruled_by"] == {"cycles": "the oxygen limit", "flow": "the controller"}
    assert plan(flow="", target_oxygen="3 ppm").extra["ruled_by"]["flow"] == "the leak"
    quick = plan(flow="", chamber_heat_capacity="0.5 kJ/K", controller_range="5 L/min")
    assert quick.extra["ruled_by"]["flow"] == "twice the make-up"


def test_one_cycle_is_enough_without_fibre_or_limit():
    bare = plan(vessel_kind="metal retort", target_oxygen="1000 ppm", cycles="")
    assert value(bare, "cycles", "") == 1
    assert value(plan(target_oxygen="1000 ppm", cycles=""), "cycles", "") == 2


def test_a_chamber_that_is_not_pumped_is_washed_by_flow():
    answer = plan(pumped_pressure="", cycles="")
    doing = [row["do"] for row in answer.figures["steps"].rows]
    assert any(text.startswith("Wash the chamber") for text in doing) and not any("Pump" in text for text in doing)
    assert value(answer, "cycles", "") == 0
    assert value(answer, "gas_used", "liter") > value(plan(), "gas_used", "liter") - 200


def test_longer_soak_needs_more_of_everything():
    first, longer = plan(), plan(soak_time="3 h")
    for name in ("total_time", "energy", "gas_used", "hot_time"):
        assert longer.figures[name].value > first.figures[name].value
    assert longer.figures["cylinder_left"].value < first.figures["cylinder_left"].value


def test_a_set_cooling_is_never_quicker_than_nature():
    by_nature = plan(**segments("ramp to 600 °C at 5 K/min · soak 30 min · cool to 60 °C"))
    fast = plan(**segments("ramp to 600 °C at 5 K/min · soak 30 min · cool to 60 °C at 10 K/min"))
    slow = plan(**segments("ramp to 600 °C at 5 K/min · soak 30 min · cool to 60 °C at 1 K/min"))
    assert fast.figures["opening_time"].value == pytest.approx(by_nature.figures["opening_time"].value)
    assert slow.figures["opening_time"].value > by_nature.figures["opening_time"].value


def test_the_day_after_is_named():
    answer = plan(start_time="20:00", soak_time="10 h")
    assert "on day 2" in answer.figures["steps"].rows[-1]["time"]


# ---------------------------------------------------------------- what makes a draft


@pytest.mark.parametrize(
    "name",
    ["room_volume", "air_changes", "leak_rate", "leak_tested", "limiter_tested", "relief_capacity", "gas_oxygen"],
)
def test_an_empty_safety_input_makes_a_draft(name):
    answer = plan(**{name: ""})
    assert status(answer) == "draft" and answer.verdict == "cannot_say"
    assert "gas_used" in answer.figures


def test_unknown_leak_and_gas_give_no_oxygen():
    for name in ("leak_rate", "gas_oxygen"):
        assert "oxygen" not in plan(**{name: ""}).figures


def test_an_early_stop_shows_all_stops_and_no_numbers():
    answer = plan(binder_share="4 %", closed_void="yes", soak_temperature="1200 °C")
    assert stops(answer) == {"LOAD-2", "LOAD-3", "TMP-1"}
    assert set(answer.figures) == {"status", "plan_code", "checks", "not_checked"}
    assert status(answer) == "draft" and not answer.pictures and not answer.working


def test_nothing_turns_a_draft_round():
    assert not {name for name in FORM.by_name if "override" in name or "accept" in name or "release" in name}


# ---------------------------------------------------------------- refusals and problems


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        ({"furnace_id": ""}, "no_furnace_record"),
        ({"ambient_pressure": "", "altitude": ""}, "no_ambient"),
        ({"ambient_pressure": "1013 mbar abs", "altitude": "1500 m"}, "ambient_not_station"),
        ({"gas": "oxygen"}, "oxygen_rich"),
        ({"gas": "carbon monoxide"}, "toxic_gas"),
        ({"gas": "hydrogen"}, "flammable_gas"),
        ({"gas": "methane"}, "flammable_gas"),
        (mixture("argon 95 % · hydrogen 5 %"), "flammable_gas"),
        (mixture("argon 99 % · carbon monoxide 1 %"), "toxic_gas"),
        (mixture("argon 99 % · methane 1 %"), "flammable_gas"),
    ],
)
def test_refusals(changed, reason):
    answer = plan(**changed)
    assert answer.refusal.reason == reason and not answer.figures


def test_without_the_room_s_pressure_all_absolute_is_refused_too():
    answer = plan(
        ambient_pressure="", altitude="", set_point="1005 mbar abs", maximum_pressure="1045 mbar abs",
        relief_pressure="1030 mbar abs", cylinder_pressure="121 bar abs", reserve_pressure="6 bar abs",
    )  # fmt: skip
    assert answer.refusal.reason == "no_ambient"


def test_a_weak_mixture_is_planned_with_a_caution():
    answer = plan(**mixture("argon 98 % · hydrogen 2 %"))
    assert answer.refusal is None and answer.checks["ATM-2"]["verdict"] == "close"
    # What hydrogen does to this lining is in no row of the table: somebody signs for it, and nothing else holds the run.
    assert {name for name, verdict in verdicts(answer).items() if verdict == "cannot_say"} == {"FIT-9"}


def test_fuel_in_a_furnace_built_for_it_is_a_draft_never_released():
    answer = plan(gas="hydrogen", built_for_flammable_gas="yes")
    assert answer.refusal is None and verdicts(answer)["ATM-2"] == "cannot_say" and status(answer) == "draft"


PRESSURES = (
    "set_point",
    "maximum_pressure",
    "relief_pressure",
    "pumped_pressure",
    "cylinder_pressure",
    "reserve_pressure",
    "ambient_pressure",
)


@pytest.mark.parametrize("name", PRESSURES)
def test_every_pressure_needs_its_sense(name):
    text = EXAMPLE[name].replace(" gauge", "").replace(" abs", "")
    assert name in problems(**{name: text})
    other = EXAMPLE[name].replace("abs", "below") if "abs" in EXAMPLE[name] else text + " abs"
    assert (
        name in problems(**{name: other})
        or plan(**{name: other}).figures["plan_code"].value != plan().figures["plan_code"].value
    )


@pytest.mark.parametrize(
    ("changed", "field", "part"),
    [
        ({"leak_rate": "0 mbar L/s"}, "leak_rate", "No chamber is without a leak"),
        ({"pumped_pressure": "0.1 mbar gauge"}, "pumped_pressure", "write abs"),
        ({"pumped_pressure": "-995 mbar gauge"}, "pumped_pressure", "0.01 to 0.1"),
        ({"ambient_pressure": "500 mbar gauge"}, "ambient_pressure", "absolute"),
        ({"maximum_pressure": "50 mbar abs"}, "maximum_pressure", "not above the room"),
        ({"set_point": "10 mbar below"}, "set_point", "below the room"),
        ({"reserve_pressure": "1 bar gauge"}, "reserve_pressure", "2 bar gauge"),
        ({"gas_volume": "20 L"}, "gas_volume", "open space"),
        ({"planned_opening_temperature": "22 °C"}, "planned_opening_temperature", "cooling never ends"),
        ({"soak_time": ""}, "soak_time", "empty"),
        ({"soak_temperature": ""}, "soak_temperature", "empty"),
        ({"segments": "soak 5 min"}, "segments", "twice"),
        ({"ramp": "500 K/min"}, "ramp", "K/h"),
        ({"ramp": "-5 K/min"}, "ramp", "0.05"),
        ({"holding_powers": "300 °C 0.9 kW · 600 °C 0.4 kW"}, "holding_powers", "rise"),
        ({"gas": "mixture"}, "mixture", "empty"),
        ({"gas": "mixture", "mixture": "argon 90 % · helium 5 %"}, "mixture", "100 %"),
        ({"mixture": "argon 90 % · helium 10 %"}, "mixture", "Choose mixture"),
        ({"gas": "water vapour"}, "gas", "condenses"),
        ({"cycles": "1.5"}, "cycles", "whole"),
        ({"pumped_pressure": ""}, "cycles", "no pressure"),
        ({"start_time": "half past"}, "start_time", "hours:minutes"),
        ({"start_time": "1e9 h"}, "start_time", "hours:minutes"),
        ({"run_date": "9999-12-31"}, "run_date", "9999"),
        (segments("ramp to 600 °C in 0 min · soak 5 min"), "segments", "60 K/min"),
        (segments("ramp to 600 °C in 1e-300 s · soak 5 min"), "segments", "60 K/min"),
        (
            segments("ramp to 600 °C at 5 K/min · soak 900 h · " * 12 + "cool to 60 °C"),
            "segments",
            "same temperature",
        ),
        ({"holding_powers": "300 °C 0.4 mW · 600 °C 0.9 mW"}, "holding_powers", ""),
        ({"holding_powers": "300 °C 0.001 W · 600 °C 0.002 W"}, "holding_powers", "10 000 hours"),
        ({"controller_range": "1e-9 L/min", "flow": "1 L/min"}, "controller_range", "10 000 hours"),
        ({"effective_speed": "1e-9 L/s"}, "effective_speed", "10 000 hours"),
        ({"elements_pre_oxidised": ""}, "elements_pre_oxidised", "choose"),
        ({"effective_speed": ""}, "effective_speed", "Type it"),
        ({"load": []}, "load", "empty"),
        ({"room_volume": "60 m2"}, "room_volume", ""),
        ({"run_name": ""}, "run_name", "empty"),
    ],
)
def test_what_cannot_hold_together_is_a_problem(changed, field, part):
    messages = problems(**changed)
    assert part in messages[field]


# ---------------------------------------------------------------- the chamber as one body


BODY = Body(293.15, ((573.15, 700.0), (873.15, 1700.0), (1273.15, 3600.0)), 15900.0)


def test_cooling_against_steps_of_a_tenth_of_a_kelvin():
    steps, total = 5400, 0.0
    for i in range(steps):
        total += 15900.0 * 0.1 / BODY.holding_power(873.15 - 0.1 * (i + 0.5))
    assert BODY.cooling_time(873.15, 333.15) == pytest.approx(total, rel=1e-6)


def test_cooling_at_a_set_rate_against_small_steps():
    rate, total, energy = 2 / 60, 0.0, 0.0
    for i in range(54000):
        kelvin = 873.15 - 0.01 * (i + 0.5)
        power = BODY.holding_power(kelvin)
        time = max(0.01 / rate, 15900.0 * 0.01 / power)
        total += time
        energy += max(power - 15900.0 * rate, 0.0) * time
    assert BODY.cooling_time(873.15, 333.15, rate) == pytest.approx(total, rel=1e-5)
    assert BODY.cooling_heat(873.15, 333.15, rate) == pytest.approx(energy, rel=1e-4)


def test_the_curve_ends_where_it_should():
    curve = BODY.cooling_curve(873.15, 333.15)
    assert curve[0] == (0.0, 873.15) and curve[-1][1] == 333.15
    assert curve[-1][0] == pytest.approx(BODY.cooling_time(873.15, 333.15))


def test_power_runs_out_where_it_is_equal():
    kelvin = BODY.runs_out_at(4000.0, 5 / 60)
    assert BODY.power_needed(kelvin, 5 / 60) == pytest.approx(4000.0)
    assert BODY.steepest(kelvin, 4000.0) == pytest.approx(5 / 60)


# ---------------------------------------------------------------- whatever is typed


@pytest.mark.parametrize(
    "text", ["two buckets", "1e999 L", "-40 K", "nan mbar abs", "<b>", "0", "1e-30 mbar abs", "🔥", "x" * 5000]
)
def test_no_text_breaks_it(text):
    for name in FORM.by_name:
        try:
            answer = plan(**{name: text})
        except calcs.Problems as trouble:
            assert trouble.messages
        else:
            assert answer.refusal or answer.sentence
