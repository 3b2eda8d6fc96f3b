import pytest
from scipy.integrate import solve_ivp

import calcs
from calcs.atmosphere import purge

FLOW = {
    "mode": "by flow", "gas": "argon", "free_volume": "20 L", "actual_flow": "2 L/min", "gas_oxygen": "1 ppm",
    "target_oxygen": "100 ppm",
}  # fmt: skip
CYCLES = {
    "mode": "by cycles", "gas": "argon", "free_volume": "20 L", "pumped_pressure": "1 mbar", "fill_pressure": "1013 mbar",
    "gas_oxygen": "1 ppm", "target_oxygen": "2 ppm",
}  # fmt: skip


def minutes(answer, end=""):
    figure = answer.figures["time"]
    return (figure.low if end == "low" else figure.high if end == "high" else figure.quantity).m_as("minute")


def refusal(given: dict) -> str:
    return calcs.work_out("purge", given).refusal.reason


def test_twenty_litres_at_two_litres_a_minute():
    answer = calcs.work_out("purge", FLOW)

    assert minutes(answer, "low") == pytest.approx(76.6, abs=0.1)
    assert minutes(answer) == pytest.approx(2 * minutes(answer, "low"))
    assert minutes(answer, "high") == pytest.approx(5 * minutes(answer, "low"))
    assert "1 h 17 min if the gas mixes perfectly" in answer.sentence.replace("\u00a0", " ")


def test_a_standard_flow_counts_at_its_reference():
    given = {n: v for n, v in FLOW.items() if n != "actual_flow"} | {
        "flow": "2 L/min",
        "flow_reference": "0 degC, 101.325 kPa",
    }
    cold = calcs.work_out("purge", given)

    assert minutes(cold, "low") == pytest.approx(76.6 * 273.15 / 293.15, abs=0.2)


def test_two_cycles_leave_about_one_ppm():
    answer = calcs.work_out("purge", CYCLES)

    assert answer.figures["cycles_needed"].quantity.m == 2
    assert answer.figures["oxygen"].quantity.m_as("ppm") == pytest.approx(1.204, abs=0.001)
    assert answer.verdict == "within"


def test_units_do_not_change_the_answer():
    other = FLOW | {
        "free_volume": "0.7062933 ft3",
        "actual_flow": "0.120 m3/h",
        "gas_oxygen": "1000 ppb",
        "target_oxygen": "0.01 %",
    }

    assert minutes(calcs.work_out("purge", other)) == pytest.approx(minutes(calcs.work_out("purge", FLOW)), rel=1e-6)


@pytest.mark.parametrize("pores", [1e-3, 8e-3, 84e-3])
@pytest.mark.parametrize("exchange", [6.0, 300.0, 3000.0])
@pytest.mark.parametrize("flow", [1e-6, 1e-4, 1e-2])
def test_pores_agree_with_numerical_integration(pores, exchange, flow):
    volume, end = 24e-3, 3600.0

    def balance(_, x):
        open_space, in_pores = x
        exchanged = (in_pores - open_space) / exchange
        return [pores / volume * exchanged - flow / volume * open_space, -exchanged]

    exact = solve_ivp(balance, (0, end), [1.0, 1.0], method="LSODA", rtol=1e-9, atol=1e-13).y[:, -1]

    assert purge.purged(end, volume, pores, exchange, flow) == pytest.approx(tuple(exact), rel=1e-5, abs=1e-10)


@pytest.mark.parametrize("pores", [0.0, 84e-3])
@pytest.mark.parametrize("share", [0.5, 1e-3, 1e-6])
def test_the_time_to_a_share_is_where_that_share_is_left(pores, share):
    time = purge.time_to_share(share, 24e-3, pores, 300.0, 1e-4)

    assert purge.purged(time, 24e-3, pores, 300.0, 1e-4)[0] == pytest.approx(share, rel=1e-6)


def test_no_pores_is_the_limit_of_few_pores():
    few = purge.purged(600.0, 24e-3, 1e-9, 300.0, 1e-4)[0]

    assert few == pytest.approx(purge.purged(600.0, 24e-3, 0.0, 300.0, 1e-4)[0], rel=1e-4)


@pytest.mark.parametrize(
    "more, less",
    [
        ({"free_volume": "30 L"}, {}),
        ({}, {"actual_flow": "3 L/min"}),
        ({"mixing_factor": "0.3"}, {}),
        ({"pore_volume": "10 L"}, {}),
    ],
)
def test_time_moves_the_right_way(more, less):
    assert minutes(calcs.work_out("purge", FLOW | more)) > minutes(calcs.work_out("purge", FLOW | less))


def test_a_leak_raises_the_floor():
    leaky = calcs.work_out("purge", FLOW | {"leak_rate": "1e-3 mbar L/s"})

    assert leaky.figures["oxygen_floor"].quantity.m > calcs.work_out("purge", FLOW).figures["oxygen_floor"].quantity.m


def test_a_leak_during_cycles_needs_its_time():
    with_time = calcs.work_out(
        "purge", CYCLES | {"leak_rate": "1e-3 mbar L/s", "low_time": "5 min", "target_oxygen": "20 ppm"}
    )
    without = calcs.work_out("purge", CYCLES | {"leak_rate": "1e-3 mbar L/s", "target_oxygen": "20 ppm"})

    assert with_time.figures["oxygen_floor"].quantity.m > without.figures["oxygen_floor"].quantity.m
    assert any("no time at the low pressure" in note for note in without.notes)


@pytest.mark.parametrize(
    "given, reason",
    [
        (FLOW | {"target_oxygen": "0.5 ppm"}, "target_below_floor"),
        (FLOW | {"target_oxygen": "1 ppm"}, "target_below_floor"),
        (FLOW | {"target_oxygen": "21 %"}, "already_there"),
        (FLOW | {"gas": "O2"}, "oxygen_rich"),
        (FLOW | {"gas": "hydrogen"}, "flammable_gas"),
        (FLOW | {"gas": "CH4"}, "flammable_gas"),
        (FLOW | {"gas": "carbon monoxide"}, "toxic_gas"),
        (FLOW | {"gas": "air"}, "target_below_floor"),
        (CYCLES | {"pumped_pressure": "1013 mbar"}, "low_not_below_fill"),
        (CYCLES | {"base_pressure": "2 mbar"}, "pump_cannot_reach"),
        (CYCLES | {"fill_pressure": "1.1 bar", "maximum_pressure": "50 mbar gauge"}, "above_rated_pressure"),
        (CYCLES | {"fill_pressure": "1.9 bar"}, "above_rated_pressure"),
    ],
)
def test_refuses_with_its_reason(given, reason):
    answer = calcs.work_out("purge", given)

    assert answer.refusal.reason == reason
    assert not answer.figures


@pytest.mark.parametrize(
    "name, text",
    [
        ("free_volume", "0.09 L"), ("free_volume", "1001 L"), ("mixing_factor", "0.05"), ("mixing_factor", "1.01"),
        ("gas_oxygen", "1001 ppm"), ("target_oxygen", "0.001 ppm"), ("chamber_temperature", "-1 °C"), ("leak_rate", "2 mbar L/s"),
        ("actual_flow", "0 L/min"), ("gas", "steam engine"), ("free_volume", "5 bananas"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_a_problem_beside_its_field(name, text):
    with pytest.raises(calcs.Problems) as trouble:
        calcs.work_out("purge", FLOW | {name: text})

    assert list(trouble.value.messages) == [name]


def test_limits_are_judged_before_rounding():
    exact = calcs.work_out("purge", CYCLES | {"cycles": "2"}).figures["oxygen"].value
    given = CYCLES | {"cycles": "2"}

    assert calcs.work_out("purge", given | {"target_oxygen": f"{exact * 1e6 * 0.9999:.6f} ppm"}).verdict == "outside"
    assert calcs.work_out("purge", given | {"target_oxygen": f"{exact * 1e6 * 1.0001:.6f} ppm"}).verdict == "close"


def test_filling_without_a_rating_is_outside_limits():
    assert calcs.work_out("purge", CYCLES | {"fill_pressure": "1.1 bar"}).verdict == "outside"


def test_the_cautions_come_with_the_result():
    words = {c.word for c in calcs.work_out("purge", CYCLES).cautions}

    assert words == {"WARNING"}
