import CoolProp.CoolProp as CP
import fluids
import pytest
from scipy.integrate import solve_ivp

import calcs
from calcs.atmosphere import hold
from calcs.atmosphere.hold import Zone
from calcs.data import constant

R = constant("general.gas_constant")
SHUT = {  # the walkthrough of a cooling with the gas shut off
    "mode": "closed", "gas": "argon", "gas_volume": "24 L", "start_temperature": "1000 °C", "end_temperature": "20 °C",
    "chamber_pressure": "1.05 bar", "ambient_pressure": "995 mbar",
}  # fmt: skip


def worked(mode="set point", **given):
    typed = calcs.example("hold", mode) | given
    return calcs.work_out("hold", {n: v for n, v in typed.items() if v != ""})


def problems(mode="set point", **given) -> dict:
    with pytest.raises(calcs.Problems) as trouble:
        worked(mode, **given)
    return trouble.value.messages


def value(answer, name, unit):
    return answer.figures[name].quantity.m_as(unit)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


# ---- the walkthrough: shut and cooled, shut and heated


def test_cooling_shut_draws_air_in():
    answer = calcs.work_out("hold", SHUT)

    assert value(answer, "closed_pressure", "bar") == pytest.approx(0.2418, abs=1e-4)
    assert answer.figures["closed_pressure"].text.startswith("0.241")  # rounded down, towards caution
    assert answer.verdict == "outside" and answer.judged
    assert "air is drawn in" in answer.sentence
    make_up = answer.pictures[1]
    assert "make-up" in make_up.sentence and [c.label for c in make_up.curves] == ["1 K/min", "5 K/min", "10 K/min"]
    at_start = CP.PropsSI("Dmolar", "T", 1273.15, "P", 1.05e5, "Argon") * 0.024 * 5 / 60 / 1273.15  # n/T dT/dt
    assert make_up.curves[1].points[0][1] == pytest.approx(at_start * 22.414e-3 * 6e4, rel=2e-3)


def test_heating_shut_is_never_a_bare_number():
    answer = calcs.work_out(
        "hold", SHUT | {"start_temperature": "20 °C", "end_temperature": "1000 °C", "chamber_pressure": "1.00 bar"}
    )

    assert value(answer, "closed_pressure", "bar") == pytest.approx(4.343, abs=1e-3)
    assert plain(answer.figures["closed_pressure"].text) == "4.35 bar"  # rounded up, towards caution
    assert answer.verdict == "outside"
    assert answer.sentence.startswith("WARNING")
    assert answer.cautions[0].word == "WARNING" and answer.cautions[0].hazard == "Heating a closed chamber"


def test_without_a_relief_heating_shut_is_refused():
    given = {"outlet_open": "no", "relief_pressure": ""}

    assert worked("heating", **given).refusal.reason == "closed_outlet"
    with_relief = worked("heating", outlet_open="no")
    assert with_relief.verdict == "outside" and with_relief.sentence.startswith("WARNING")


# ---- physics against a reference library


@pytest.mark.parametrize("gas, name", [("Argon", "argon"), ("Nitrogen", "nitrogen"), ("Helium", "helium")])
@pytest.mark.parametrize("end_k", [320.0, 573.15, 873.15, 1273.15])
@pytest.mark.parametrize("bar", [0.6, 1.0, 1.05])
def test_closed_heating_agrees_with_the_real_gas(gas, name, end_k, bar):
    density = CP.PropsSI("D", "T", 293.15, "P", bar * 1e5, gas)
    exact = CP.PropsSI("P", "T", end_k, "D", density, gas)

    assert hold.closed_pressure(bar * 1e5, [Zone(0.01, 293.15, end_k)]) == pytest.approx(exact, rel=2.5e-3)


@pytest.mark.parametrize("hot_share", [0.1, 0.5, 0.9])
@pytest.mark.parametrize("hot_k, warm_k", [(1273.15, 400.0), (773.15, 320.0)])
def test_two_zones_agree_with_the_real_gas(hot_share, hot_k, warm_k):
    """Two zones joined by a pipe settle at one pressure with the amount they had; found here by halving."""
    start = 105_325.0
    zones = [Zone(0.01 * hot_share, 293.15, hot_k), Zone(0.01 * (1 - hot_share), 293.15, warm_k)]
    amount = CP.PropsSI("Dmolar", "T", 293.15, "P", start, "Argon") * 0.01
    low, high = start, 10 * start
    for _ in range(60):
        middle = (low + high) / 2
        held = sum(z.volume_m3 * CP.PropsSI("Dmolar", "T", z.end_k, "P", middle, "Argon") for z in zones)
        low, high = (middle, high) if held < amount else (low, middle)

    assert hold.closed_pressure(start, zones) == pytest.approx(low, rel=2.5e-3)


@pytest.mark.parametrize("gas", ["Argon", "Nitrogen", "Helium"])
@pytest.mark.parametrize("kelvin", [293.15, 373.15, 773.15, 1273.15])
def test_displaced_flow_is_the_derivative_of_the_real_density(gas, kelvin):
    step, pressure, rate = 0.05, 100_500.0, 5 / 60
    slope = CP.PropsSI("Dmolar", "T", kelvin - step, "P", pressure, gas) - CP.PropsSI(
        "Dmolar", "T", kelvin + step, "P", pressure, gas
    )
    exact = 0.108 * slope / (2 * step) * rate

    assert hold.displaced_flow(pressure, [(0.108, kelvin, rate)]) == pytest.approx(exact, rel=5e-3)


@pytest.mark.parametrize("zones", [
    [Zone(0.108, 873.15, 293.15, 0.1)],
    [Zone(0.024, 1273.15, 333.15, 0.2), Zone(0.084, 700.0, 300.0, 0.05)],
    [Zone(0.024, 293.15, 873.15, 0.1), Zone(0.084, 293.15, 500.0, 0.02)],
])  # fmt: skip
def test_the_flow_along_the_way_adds_up_to_the_whole(zones):
    along = hold.make_up_along(1e5, zones)
    total = sum((b[0] - a[0]) * (a[2] + b[2]) / 2 for a, b in zip(along, along[1:], strict=False))

    assert total == pytest.approx(abs(hold.displaced_amount(1e5, zones)), rel=0.02)


def test_the_largest_make_up_is_not_missed():
    zones = [Zone(0.05, 1273.15, 773.15, 0.5), Zone(0.05, 600.0, 293.15, 0.01)]
    fine = max(
        hold.displaced_flow(1e5, [(z.volume_m3, hold.temperature_at(z, t),
                                   z.rate_k_per_s) for z in zones if t < abs(z.end_k - z.start_k) / z.rate_k_per_s])
        for t in range(30_686)
    )  # fmt: skip

    assert max(n for _, _, n in hold.make_up_along(1e5, zones)) == pytest.approx(fine, rel=1e-3)


def test_a_furnace_left_to_itself_agrees_with_newton():
    def cool(_, temperature):
        return [-0.1 * (temperature[0] - 293.15) / (873.15 - 293.15)]

    path = solve_ivp(cool, (0, 60_000), [873.15], rtol=1e-9, max_step=20)
    flows = [1e5 / R * 0.108 / t**2 * 0.1 * (t - 293.15) / 580 for t in path.y[0]]

    assert hold.natural_peak(1e5, [Zone(0.108, 873.15, 293.15, 0.1)], 293.15) == pytest.approx(max(flows), rel=1e-3)


@pytest.mark.parametrize("volume", [1e-3, 0.01, 0.108])
@pytest.mark.parametrize("flow", [1e-5, 3.718e-4, 1e-3])
def test_the_regulator_agrees_with_numerical_integration(volume, flow):
    band, band_flow, kelvin = 666.6, 7.436e-4, 293.15
    offset, tau = hold.regulator(flow, band, band_flow, volume, kelvin)
    slope = band_flow / band
    path = solve_ivp(
        lambda _, p: [R * kelvin / volume * (flow - slope * p[0])], (0, 3 * tau), [0.0], rtol=1e-9, atol=1e-9
    )

    assert offset == pytest.approx(flow / slope)
    assert path.y[0][-1] == pytest.approx(offset * (1 - 2.718281828459045**-3), rel=1e-6)


@pytest.mark.parametrize("metres", [-400, 0, 150, 1500, 3000, 5000])
def test_the_room_by_its_altitude(metres):
    answer = worked(ambient_pressure="", altitude=f"{metres} m", set_point="10 mbar")

    assert value(answer, "absolute_pressure", "Pa") == pytest.approx(fluids.ATMOSPHERE_1976(metres).P + 1000, abs=1)


# ---- each mode


def test_the_example():
    answer = worked()

    assert value(answer, "absolute_pressure", "mbar") == pytest.approx(1005)
    assert value(answer, "door_force", "N") == pytest.approx(75)
    assert value(answer, "door_force_vacuum", "N") == pytest.approx(99_500 * 0.075)
    assert answer.verdict == "within" and answer.judged
    assert "1005 mbar absolute (753.8 torr, 100.5 kPa)" in plain(answer.sentence)


def test_a_round_door():
    round_door = worked(door_width="", door_height="", door_diameter="310 mm")

    assert value(round_door, "door_force", "N") == pytest.approx(1000 * 3.14159265 * 0.31**2 / 4)


def test_units_do_not_change_the_answer():
    other = worked(
        set_point="7.5006168 torr",
        ambient_pressure="29.382335 inHg",
        altitude="",
        door_width="11.811024 in",
        door_height="0.25 m",
    )

    assert value(other, "door_force", "N") == pytest.approx(75, rel=1e-6)
    assert value(other, "absolute_pressure", "Pa") == pytest.approx(100_500, rel=1e-6)


@pytest.mark.parametrize(
    "set_point, verdict",
    [("10 mbar", "within"), ("17.4 mbar", "within"), ("18 mbar", "outside"), ("60 mbar", "outside")],
)
def test_the_hold_stays_under_half_of_the_relief(set_point, verdict):
    answer = worked(set_point=set_point)

    assert answer.verdict == verdict
    assert any(c.hazard == "Hold above the limit" for c in answer.cautions) == (set_point == "60 mbar")


def test_without_limits_nothing_is_judged():
    answer = worked(maximum_pressure="", relief_pressure="")

    assert not answer.judged
    assert any("No relief is given" in note for note in answer.notes)


def test_the_hold_and_the_absolute_pressure_say_the_same():
    by_hold = worked("closed")
    by_pressure = worked("closed", chamber_pressure="1005 mbar", set_point="")

    assert value(by_hold, "closed_pressure", "bar") == pytest.approx(value(by_pressure, "closed_pressure", "bar"))
    both = worked("closed", chamber_pressure="1050 mbar")
    assert any("The chamber pressure counts" in note for note in both.notes)


def test_under_vacuum_nothing_bursts():
    answer = worked("closed", chamber_pressure="0.1 mbar")

    assert answer.verdict == "within" and "WARNING" not in answer.sentence
    assert value(answer, "closed_pressure", "mbar") == pytest.approx(0.1 * 873.15 / 293.15)


def test_heating_drives_out_what_cooling_takes_in():
    out = worked("heating", flow="0 L/min")
    taken = worked("cooling")

    assert value(out, "gas_driven_out", "L") == pytest.approx(value(taken, "gas_taken_in", "L"))
    assert value(out, "expelled_flow", "L/min") == pytest.approx(1.703, abs=2e-3)


def test_cooling_needs_half_as_much_again():
    answer = worked("cooling")

    assert value(answer, "flow_needed", "L/min") == pytest.approx(1.5 * value(answer, "make_up_peak", "L/min"))
    assert answer.figures["make_up_peak"].low.m_as("L/min") == pytest.approx(0.7 * 0.258, rel=0.01)


@pytest.mark.parametrize(
    "flow, verdict", [("2.0 L/min", "outside"), ("2.1 L/min", "close"), ("3.0 L/min", "close"), ("3.1 L/min", "within")]
)
def test_verdict_on_the_flow_while_cooling(flow, verdict):
    answer = worked("cooling", flow=flow)

    assert answer.verdict == verdict
    assert (answer.cautions[0].word == "WARNING") == (verdict == "outside")


@pytest.mark.parametrize("mode, name", [("heating", "expelled_flow"), ("cooling", "make_up_peak")])
def test_faster_and_larger_is_more_flow(mode, name):
    rate = {"heating": "ramp", "cooling": "cooling_rate"}[mode]
    by_rate = [value(worked(mode, **{rate: f"{r} K/min"}), name, "L/min") for r in (1, 2, 5, 50, 100)]
    by_volume = [value(worked(mode, gas_volume=f"{v} L"), name, "L/min") for v in (1, 10, 108, 1000)]

    assert by_rate == sorted(by_rate) and by_volume == sorted(by_volume)
    assert by_rate[-1] == pytest.approx(100 * by_rate[0])


def test_a_rate_of_nothing_is_a_flow_of_nothing():
    assert value(worked("cooling", cooling_rate="0 K/min"), "make_up_peak", "L/min") == 0


def test_the_order_of_the_two_temperatures_does_not_matter():
    one = worked("cooling", start_temperature="600 °C", end_temperature="20 °C")
    other = worked("cooling", start_temperature="20 °C", end_temperature="600 °C")

    assert value(one, "make_up_peak", "L/min") == value(other, "make_up_peak", "L/min")
    assert any("hotter" in note for note in other.notes) and not any("hotter" in note for note in one.notes)


def test_equal_zones_are_one_zone():
    zones = "54 L 600 °C 20 °C 6 K/min · 54 L 600 °C 20 °C 6 K/min"
    many = worked("cooling", zones=zones, cooling_rate="", start_temperature="", end_temperature="")

    assert value(many, "make_up_peak", "L/min") == pytest.approx(value(worked("cooling"), "make_up_peak", "L/min"))


def test_colder_zones_lower_the_pressure():
    zones = [
        {"volume": "24 L", "start_temperature": "20 °C", "end_temperature": "600 °C"},
        {"volume": "84 L", "start_temperature": "20 °C", "end_temperature": "310 °C"},
    ]
    by_zones, alone = worked("closed", zones=zones), worked("closed")

    assert value(by_zones, "closed_pressure", "bar") == pytest.approx(
        1.005 * (0.108 / 293.15) / (0.024 / 873.15 + 0.084 / 583.15)
    )
    assert value(by_zones, "closed_pressure", "bar") < value(alone, "closed_pressure", "bar")


def test_a_flow_beyond_the_band_is_outside():
    assert worked("regulator").verdict == "within"
    assert worked("regulator", flow="10.1 L/min").verdict == "outside"


# ---- refusals and problems


@pytest.mark.parametrize("reason, mode, given", [
    ("no_ambient", "set point", {"ambient_pressure": "", "altitude": ""}),
    ("no_ambient", "closed", {"ambient_pressure": "", "altitude": "", "chamber_pressure": "1 bar"}),
    ("ambient_not_station", "set point", {"ambient_pressure": "1013 mbar", "altitude": "1500 m"}),
    ("pressure_equipment", "set point", {"set_point": "0.51 bar"}),
    ("pressure_equipment", "closed", {"chamber_pressure": "1.6 bar"}),
    ("pressure_equipment", "set point", {"maximum_pressure": "0.51 bar"}),
    ("closed_outlet", "heating", {"outlet_open": "no", "relief_pressure": ""}),
    ("flammable_gas", "set point", {"gas": "hydrogen"}),
    ("flammable_gas", "cooling", {"gas": "methane"}),
    ("oxygen_rich", "set point", {"gas": "oxygen"}),
    ("toxic_gas", "set point", {"gas": "carbon monoxide"}),
])  # fmt: skip
def test_refuses(reason, mode, given):
    answer = worked(mode, **given)

    assert answer.refusal.reason == reason
    assert not answer.figures and answer.refusal.why


@pytest.mark.parametrize("field, mode, given", [
    ("set_point", "set point", {"set_point": "101 torr"}),
    ("set_point", "set point", {"set_point": "0.09 torr"}),
    ("set_point", "set point", {"set_point": ""}),
    ("set_point", "closed", {"set_point": ""}),
    ("gas_volume", "regulator", {"gas_volume": ""}),
    ("gas_volume", "closed", {"gas_volume": ""}),
    ("door_height", "set point", {"door_height": ""}),
    ("door_diameter", "set point", {"door_diameter": "310 mm"}),
    ("start_temperature", "closed", {"start_temperature": "99 K"}),
    ("end_temperature", "closed", {"end_temperature": "2101 K"}),
    ("ramp", "heating", {"ramp": "101 K/min"}),
    ("flow", "cooling", {"flow": "101 L/min"}),
    ("zones", "closed", {"zones": "24 L 20 °C 600 °C"}),
    ("zones", "cooling", {"zones": "108 L 600 °C 20 °C"}),
    ("zones", "closed", {"zones": "24 L 20 °C"}),
    ("gas", "set point", {"gas": "water vapour"}),
])  # fmt: skip
def test_says_what_is_wrong(field, mode, given):
    assert field in problems(mode, **given)


@pytest.mark.parametrize("given", [{"set_point": "100 torr", "maximum_pressure": "0.5 bar"}, {"set_point": "0.1 torr"}])
def test_answers_at_the_ends(given):
    assert worked(**given).refusal is None
