"""Filling a chamber from vacuum: time, warmth, relief, vent."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calcs
from calcs.atmosphere import backfill

EACH = {mode: calcs.example("backfill", mode) for mode in ("controller", "bypass", "valve coefficient")}
GAS_CONSTANT = 8.314462618


def work(mode="controller", **changed):
    return calcs.work_out("backfill", {name: text for name, text in (EACH[mode] | changed).items() if text != ""})


def refused(mode="controller", **changed):
    answer = work(mode, **changed)
    return answer.refusal.reason if answer.refusal else "answered"


def value(answer, name="time"):
    return answer.figures[name].value


# ---------------------------------------------------------------- the examples


def test_the_example_is_answered():
    answer = work()

    assert value(answer) == pytest.approx(299.4, abs=0.1)
    assert value(answer, "amount") == pytest.approx(4.4527, rel=1e-4)
    assert value(answer, "gas_used") * 1e3 == pytest.approx(99.80, abs=0.02)
    assert value(answer, "vent_opening_pressure") == pytest.approx(100_000)
    assert value(answer, "overshoot_time") == pytest.approx(7.45, abs=0.02)
    assert answer.judged and answer.verdict == "close"  # seconds lie between the hold and the relief
    assert "after about 4.9 min" in answer.sentence.replace("\u00a0", " ")


def test_amount_and_flow_agree():
    answer = work()

    assert value(answer, "amount") / value(answer) == pytest.approx(20e-3 / 60 * 101325 / (GAS_CONSTANT * 273.15))


@pytest.mark.parametrize("mode", ["bypass", "valve coefficient"])
def test_the_flow_falls_while_the_chamber_fills(mode):
    answer = work(mode)

    assert value(answer, "flow_at_end") < value(answer, "flow_at_start")
    assert value(answer, "amount") / value(answer) < value(answer, "flow_at_start") / 0.022413969
    assert value(answer, "amount") / value(answer) > value(answer, "flow_at_end") / 0.022413969


# ---------------------------------------------------------------- behaviour


@pytest.mark.parametrize("mode", EACH)
def test_the_answer_does_not_depend_on_the_unit_typed(mode):
    same = work(mode, gas_volume="0.108 m3", start_pressure="10 Pa", fill_pressure="100.5 kPa", gas_temperature="68 °F",
                supply_pressure="1395 mbar abs", relief_pressure="3500 Pa gauge")  # fmt: skip
    for name, figure in work(mode).figures.items():
        if figure.is_number:
            assert same.figures[name].value == pytest.approx(figure.value, rel=1e-6), name


def test_larger_chambers_take_longer_and_larger_bores_shorter():
    volumes = [value(work("bypass", gas_volume=f"{v} L")) for v in (0.1, 1, 10, 100, 1000)]
    bores = [value(work("bypass", bypass_bore=f"{d} mm")) for d in (0.1, 1, 5, 20)]
    supplies = [value(work("bypass", supply_pressure=f"{p} mbar gauge")) for p in (11, 50, 400, 2000)]

    assert (
        volumes == sorted(volumes)
        and bores == sorted(bores, reverse=True)
        and supplies == sorted(supplies, reverse=True)
    )
    assert bores[0] / bores[1] == pytest.approx(100)


def test_helium_fills_three_times_as_fast_as_argon():
    assert value(work("bypass")) / value(work("bypass", gas="helium")) == pytest.approx(3.157, rel=0.003)


@pytest.mark.parametrize("mode", EACH)
def test_ranges_hold_the_value(mode):
    time = work(mode).figures["time"]

    assert time.low_value <= time.value <= time.high_value


def test_the_warm_gas_bound_does_not_hang_on_the_speed_but_the_low_end_does():
    slow, quick = work(flow="1 L/min"), work(flow="1000 L/min")

    assert value(slow, "gas_temperature_bound") == pytest.approx(value(quick, "gas_temperature_bound"))
    assert slow.figures["pressure_sag"].low_value < 100 < 10_000 < quick.figures["pressure_sag"].low_value
    assert quick.figures["pressure_sag"].low_value <= quick.figures["pressure_sag"].value
    assert quick.verdict == "close" and any(c.hazard == "Blast of gas" for c in quick.cautions)


def test_gas_while_filling_lies_between_wall_and_bound():
    found = [backfill.gas_while_filling(0.1, n, 5 / 3, 293.15, 293.15) for n in (1e-6, 1e-3, 1, 1e3)]

    assert (
        found == sorted(found)
        and found[0] == pytest.approx(293.15, abs=0.01)
        and found[-1] == pytest.approx(488.6, abs=0.5)
    )


def test_controller_against_integration_of_the_balance():
    from scipy.integrate import solve_ivp

    n = 0.3717919e-3
    rate = solve_ivp(lambda t, p: [GAS_CONSTANT * 293.15 * n / 0.01], (0, 600), [10.0])

    assert backfill.controller_time(0.01, 293.15, 10.0, rate.y[0, -1], n) == pytest.approx(600)


def test_below_the_room_the_vent_stays_shut():
    answer = work(fill_pressure="990 mbar")

    assert "vent stays shut" in answer.sentence and any(c.hazard == "Vent opened too early" for c in answer.cautions)
    assert not any(c.hazard == "Vent opened too early" for c in work().cautions)


def test_a_low_supply_never_reaches_the_relief():
    answer = work(supply_pressure="30 mbar gauge")

    assert "overshoot_time" not in answer.figures and any("never reached" in note for note in answer.notes)
    assert answer.verdict == "within"


def test_air_is_let_in_without_a_word_about_suffocation():
    assert len(work(gas="air").cautions) == len(work().cautions) - 1


# ---------------------------------------------------------------- refusals and problems


@pytest.mark.parametrize("mode", EACH)
@pytest.mark.parametrize(
    "changed, reason",
    [
        ({"supply_pressure": ""}, "supply_unknown"),
        ({"relief_pressure": ""}, "no_relief"),
        ({"relief_pressure": "", "maximum_pressure": ""}, "no_relief"),
        ({"relief_pressure": "60 mbar gauge"}, "no_relief"),
        ({"supply_pressure": "10 mbar gauge"}, "supply_too_low"),
        ({"supply_pressure": "990 mbar abs", "fill_pressure": "500 mbar"}, "supply_too_low"),
        ({"start_pressure": "1005 mbar"}, "already_filled"),
        ({"fill_pressure": "1046 mbar"}, "above_rated_pressure"),
        ({"fill_pressure": "1031 mbar"}, "above_rated_pressure"),  # the relief opens before that
        ({"fill_pressure": "1.6 bar", "maximum_pressure": "", "relief_pressure": "2 bar gauge",
          "supply_pressure": "3 bar gauge"},
         "above_rated_pressure"),
        ({"gas": "hydrogen"}, "flammable_gas"),
        ({"gas": "oxygen"}, "oxygen_rich"),
        ({"gas": "carbon monoxide"}, "toxic_gas"),
    ],
)  # fmt: skip
def test_what_is_refused(mode, changed, reason):
    assert refused(mode, **changed) == reason


def test_just_inside_it_is_answered():
    assert refused(relief_pressure="", supply_pressure="50 mbar gauge") == "answered"
    assert refused(relief_pressure="50 mbar gauge") == "answered"
    assert refused(fill_pressure="1029 mbar") == "answered"
    assert refused(supply_pressure="11 mbar gauge") == "answered"
    assert refused(start_pressure="0 Pa") == "answered"


@pytest.mark.parametrize(
    "mode, changed, name",
    [("controller", {"gas": "water vapour"}, "gas"), ("controller", {"gas_volume": "0.09 L"}, "gas_volume"),
     ("controller", {"supply_pressure": "0.4 bar"}, "supply_pressure"), ("controller",
                                                                         {"supply_pressure": "21 bar abs"},
                                                                         "supply_pressure"),
     ("controller", {"gas_temperature": "61 °C"}, "gas_temperature"), ("bypass", {"bypass_bore": "21 mm"},
                                                                       "bypass_bore"),
     ("bypass", {"discharge_coefficient": "0.4"}, "discharge_coefficient"), ("valve coefficient",
                                                                             {"flow_coefficient": "0"},
                                                                             "flow_coefficient"),
     ("controller", {"flow": "0 L/min"}, "flow")],
)  # fmt: skip
def test_what_is_a_problem(mode, changed, name):
    with pytest.raises(calcs.Problems) as caught:
        work(mode, **changed)
    assert name in caught.value.problems


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.1, 1000),
    st.floats(0, 90_000),
    st.floats(0.1, 20),
    st.sampled_from(["argon", "nitrogen", "helium", "krypton"]),
)
def test_any_chamber_of_the_range_fills_in_a_finite_time(litres, start, bore, gas):
    answer = work(
        "bypass", gas_volume=f"{litres} L", start_pressure=f"{start:.6f} Pa", bypass_bore=f"{bore} mm", gas=gas
    )

    assert 0 < answer.figures["time"].low_value < answer.figures["time"].high_value < 1e9
