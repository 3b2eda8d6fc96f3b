import pytest
from scipy.integrate import solve_ivp

import calcs
from calcs.atmosphere import cylinder
from calcs.data import constant
from calcs.safety import room_oxygen

AIR = constant("general.oxygen_in_air")
STEADY, SUDDEN, MEASURED = "steady release", "sudden release", "measured concentration"


def worked(mode=STEADY, **given):
    typed = calcs.example("room-oxygen", mode) | given
    return calcs.work_out("room-oxygen", {n: v for n, v in typed.items() if v != ""})


def problems(mode=STEADY, **given) -> dict:
    with pytest.raises(calcs.Problems) as trouble:
        worked(mode, **given)
    return trouble.value.messages


def percent(answer, name="room_oxygen", end=""):
    figure = answer.figures[name]
    return (figure.low if end == "low" else figure.high if end == "high" else figure.quantity).m_as("percent")


def hazards(answer) -> list[str]:
    return [caution.hazard for caution in answer.cautions]


# ---- the balances against numerical integration


@pytest.mark.parametrize("kind", ["extract", "supply", "none"])
@pytest.mark.parametrize("released", [1e-5, 1e-3, 0.02])
@pytest.mark.parametrize("fresh", [0.001, 0.03])
@pytest.mark.parametrize("hours", [0.1, 1.0, 20.0])
def test_a_steady_release_agrees_with_numerical_integration(kind, released, fresh, hours):
    volume = 40.0
    if kind == "extract" and released >= fresh:
        fresh = 0.0  # no fresh air comes in: the room breathes out

    def balance(_, oxygen):
        coming_in = {"extract": max(fresh - released, 0.0), "supply": fresh, "none": 0.0}[kind]
        going_out = coming_in + released
        return [(coming_in * AIR - going_out * oxygen[0]) / volume]

    exact = solve_ivp(balance, (0, hours * 3600), [AIR], method="LSODA", rtol=1e-10, atol=1e-13).y[0][-1]
    share = room_oxygen.gas_share(hours * 3600, volume, released, fresh, kind)

    assert room_oxygen.oxygen_with(share, "argon") == pytest.approx(exact, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("kind", ["extract", "supply", "none"])
@pytest.mark.parametrize("fresh", [0.0, 0.02, 0.1])
@pytest.mark.parametrize("share", [0.01, 0.069, 0.5])
def test_the_time_to_a_share_is_where_that_share_is_reached(kind, fresh, share):
    time = room_oxygen.time_to_share(share, 60.0, 0.03, fresh, kind)
    settled = room_oxygen.steady_share(0.03, fresh, kind)

    assert (time is None) == (share >= settled)
    if time is not None:
        assert room_oxygen.gas_share(time, 60.0, 0.03, fresh, kind) == pytest.approx(share, rel=1e-9)


@pytest.mark.parametrize("kind", ["extract", "supply", "none"])
def test_a_long_time_is_the_steady_value(kind):
    settled = room_oxygen.steady_share(0.01, 0.05, kind)

    assert room_oxygen.gas_share(1e7, 60.0, 0.01, 0.05, kind) == pytest.approx(settled, rel=1e-9)


def test_as_much_gas_as_the_fan_draws_is_no_jump():
    below = room_oxygen.gas_share(3600, 60.0, 0.0333333, 0.0333334, "extract")
    above = room_oxygen.gas_share(3600, 60.0, 0.0333334, 0.0333333, "extract")

    assert below == pytest.approx(above, rel=1e-5)


def test_mixing_while_escaping_agrees_with_numerical_integration():
    exact = solve_ivp(lambda _, x: [-x[0] / 40.0], (0, 10.68), [AIR], rtol=1e-10, atol=1e-13).y[0][-1]
    share = room_oxygen.sudden_share(10.68, 40.0, mixing=True)

    assert room_oxygen.oxygen_with(share, "argon") == pytest.approx(exact, rel=1e-7)


@pytest.mark.parametrize("volume", [1.0, 60.0, 1e4])
def test_recovery_agrees_with_numerical_integration(volume):
    time = room_oxygen.recovery_time(0.3, 0.02, volume, volume / 1800)
    exact = solve_ivp(lambda _, f: [-f[0] / 1800], (0, time), [0.3], rtol=1e-10, atol=1e-13).y[0][-1]

    assert exact == pytest.approx(0.02, rel=1e-6)


def test_the_room_needed_leaves_just_enough():
    needed = room_oxygen.room_needed(10.68)

    assert room_oxygen.oxygen_with(room_oxygen.sudden_share(10.68, needed), "argon") == pytest.approx(0.195)


# ---- steady


def test_the_example():
    answer = worked()

    assert percent(answer) == pytest.approx(20.923, abs=0.001)
    assert percent(answer, end="low") == pytest.approx(AIR * 100 * (1 - 0.132 / 40), abs=0.001)
    assert answer.verdict == "within" and answer.judged and not answer.cautions
    assert "time_to_limit" not in answer.figures
    assert answer.figures["oxygen_partial_pressure"].quantity.m_as("Pa") == pytest.approx(0.20923 * 99_500, rel=1e-4)


def test_fresh_air_and_air_changes_say_the_same():
    changes = worked(ventilation="", air_changes="2")

    assert percent(changes) == pytest.approx(percent(worked()), rel=1e-12)


def test_units_do_not_change_the_answer():
    other = worked(room_volume="60000 L", ventilation="2000 L/min", release_flow="0.132 m3/h", duration="420 min")

    assert percent(other) == pytest.approx(percent(worked()), rel=1e-9)


def test_more_gas_and_less_air_is_less_oxygen():
    by_release = [percent(worked(release_flow=f"{r} L/min")) for r in (0, 1, 10, 100, 1000, 5000)]
    by_air = [percent(worked(release_flow="50 L/min", ventilation=f"{q} m3/h")) for q in (0, 2, 10, 100, 1000)]

    assert by_release == sorted(by_release, reverse=True) and by_release[0] == pytest.approx(AIR * 100)
    assert by_air == sorted(by_air)


@pytest.mark.parametrize("flow, verdict", [("20 L/min", "within"), ("50 L/min", "close"), ("200 L/min", "outside")])
def test_verdict_by_the_oxygen(flow, verdict):
    answer = worked(release_flow=flow)

    assert answer.verdict == verdict
    assert ("Air without enough oxygen" in hazards(answer)) == (verdict == "outside")


def test_the_time_to_the_limit():
    answer = worked(release_flow="200 L/min")
    minutes = answer.figures["time_to_limit"].quantity.m_as("min")

    assert percent(worked(release_flow="200 L/min", duration=f"{minutes:.9g} min")) == pytest.approx(19.5)


def test_poor_mixing_alone_may_pass_the_limit():
    answer = worked(release_flow="100 L/min", duration="100 h")

    assert "time_to_limit" not in answer.figures and answer.verdict == "close"
    assert any("third of the fresh air" in note for note in answer.notes)


def test_more_gas_than_air():
    answer = worked(release_flow="2001 L/min")

    assert answer.verdict == "outside"
    assert percent(answer, "steady_oxygen") == 0
    assert "less than 0.1\u00a0%" in answer.sentence


def test_no_ventilation_needs_no_figure():
    answer = worked(ventilation="", ventilation_kind="none")

    assert percent(answer) == pytest.approx(AIR * 100 * 2.718281828459045 ** (-0.132 * 7 / 60), rel=1e-9)
    assert percent(worked(ventilation_kind="none")) == percent(answer)  # a figure typed beside “none” is not used


def test_a_low_place_is_never_within():
    few = worked(release_flow="0.1 L/min", low_spot_volume="50 m3")
    many = worked(low_spot_volume="6 m3")

    assert few.verdict == "close" and "Gas that gathers" in hazards(few)
    assert many.verdict == "outside" and percent(many, "low_spot_oxygen") == pytest.approx(17.96, abs=0.01)


def test_an_exhaust_into_a_room_without_an_alarm_is_never_within():
    assert worked(exhaust="room", oxygen_monitor="no").verdict == "close"
    assert worked(exhaust="room").verdict == "within"
    assert worked(oxygen_monitor="no").verdict == "within"


# ---- sudden


def test_the_example_cylinder_let_go():
    answer = worked(SUDDEN)

    assert percent(answer) == pytest.approx(100 * AIR * (1 - 6.4 / 60), rel=1e-9)
    assert answer.verdict == "outside" and "Air without enough oxygen" in hazards(answer)
    assert any("run plan" in note for note in answer.notes)
    assert percent(answer, end="low") < percent(answer) < percent(answer, "mixed_oxygen")


def test_a_cylinder_instead_of_a_volume():
    by_cylinder = worked(SUDDEN, release_volume="", cylinder_volume="50 L", cylinder_pressure="120 bar gauge")
    amount = cylinder.content("argon", 0.05, 120e5 + 99_500, 293.15)
    volume = amount * 8.314462618 * 293.15 / 99_500

    assert volume == pytest.approx(6.44, abs=0.01)
    assert percent(by_cylinder) == pytest.approx(100 * AIR * (1 - volume / 60), rel=1e-9)


@pytest.mark.parametrize("room, verdict", [("60 m3", "outside"), ("95 m3", "close"), ("350 m3", "within")])
def test_verdict_on_a_release(room, verdict):
    assert worked(SUDDEN, room_volume=room).verdict == verdict


def test_without_fresh_air_nothing_recovers():
    answer = worked(SUDDEN, ventilation="0 m3/h")

    assert "recovery_time" not in answer.figures
    assert any("does not recover" in note for note in answer.notes)


def test_recovery_is_until_twenty_and_a_half():
    minutes = worked(SUDDEN).figures["recovery_time"].quantity.m_as("min")
    share = 6.4 / 60 * 2.718281828459045 ** (-120 * minutes / 60 / 60)

    assert 100 * AIR * (1 - share) == pytest.approx(20.5)


# ---- gases with limits of their own


def test_carbon_dioxide_is_judged_by_its_own_limit():
    answer = worked(MEASURED, gas="CO2", concentration="2 %")

    assert answer.verdict == "outside"
    assert percent(answer) == pytest.approx(20.53, abs=0.01)
    assert hazards(answer) == ["Gas that gathers", "Carbon dioxide harms by itself"]  # the oxygen is not the trouble


@pytest.mark.parametrize("gas, inside, beyond", [("hydrogen", "0.9 %", "1.1 %"), ("methane", "1 %", "1.2 %")])
def test_gas_that_burns_is_never_within(gas, inside, beyond):
    assert worked(MEASURED, gas=gas, concentration=inside).verdict == "close"
    assert worked(MEASURED, gas=gas, concentration=beyond).verdict == "outside"


def test_oxygen_raises_the_oxygen():
    answer = worked(SUDDEN, gas="oxygen")

    assert percent(answer) > 23.5 and answer.verdict == "outside"
    assert hazards(answer) == ["Too much oxygen feeds fire"]
    assert "rises" in answer.sentence and "room_needed" not in answer.figures


@pytest.mark.parametrize("reading, verdict, hazard", [
    ("18 %", "outside", "Air without enough oxygen"), ("19.49 %", "outside", "Air without enough oxygen"),
    ("19.5 %", "close", ""), ("20.9 %", "within", ""), ("22.5 %", "close", "Too much oxygen feeds fire"),
    ("23.5 %", "close", "Too much oxygen feeds fire"), ("23.6 %", "outside", "Too much oxygen feeds fire"),
])  # fmt: skip
def test_an_oxygen_meter_read_directly(reading, verdict, hazard):
    answer = worked(MEASURED, gas="oxygen", concentration=reading)

    assert answer.verdict == verdict
    assert hazards(answer) == ([hazard] if hazard else [])


def test_air_does_nothing():
    answer = worked(gas="air", release_flow="1000 L/min")

    assert percent(answer) == pytest.approx(AIR * 100) and answer.verdict == "within" and not answer.cautions


# ---- refusals and problems


@pytest.mark.parametrize("reason, mode, given", [
    ("no_room_volume", STEADY, {"room_volume": ""}),
    ("no_room_volume", SUDDEN, {"room_volume": ""}),
    ("no_ventilation", STEADY, {"ventilation": ""}),
    ("no_ventilation", SUDDEN, {"ventilation": ""}),
    ("gas_fills_room", SUDDEN, {"release_volume": "60 m3"}),
    ("toxic_gas", STEADY, {"gas": "carbon monoxide"}),
    ("toxic_gas", MEASURED, {"gas": "CO"}),
    ("weigh_it", SUDDEN, {"release_volume": "", "gas": "CO2", "cylinder_volume": "50 L",
                          "cylinder_pressure": "57 bar abs"}),
    ("outside_fit", SUDDEN, {"release_volume": "", "cylinder_volume": "50 L", "cylinder_pressure": "301 bar abs"}),
])  # fmt: skip
def test_refuses(reason, mode, given):
    answer = worked(mode, **given)

    assert answer.refusal.reason == reason
    assert not answer.figures and answer.refusal.why and answer.refusal.remedy


def test_answers_just_inside():
    assert worked(SUDDEN, release_volume="59.9 m3").refusal is None
    assert worked(ventilation="0 m3/h").refusal is None  # 0 is an answer


@pytest.mark.parametrize("field, mode, given", [
    ("air_changes", STEADY, {"air_changes": "2"}),
    ("cylinder_volume", SUDDEN, {"cylinder_volume": "50 L", "cylinder_pressure": "120 bar gauge"}),
    ("release_volume", SUDDEN, {"release_volume": ""}),
    ("room_volume", STEADY, {"room_volume": "0.9 m3"}),
    ("room_volume", STEADY, {"room_volume": "100001 m3"}),
    ("duration", STEADY, {"duration": "1001 h"}),
    ("concentration", MEASURED, {"concentration": "101 %"}),
    ("gas", STEADY, {"gas": "water vapour"}),
    ("oxygen_monitor", STEADY, {"oxygen_monitor": ""}),
])  # fmt: skip
def test_says_what_is_wrong(field, mode, given):
    assert field in problems(mode, **given)
