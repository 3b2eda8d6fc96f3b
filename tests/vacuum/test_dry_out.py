"""Drying: the four clocks, what stays bound, and what is refused."""

import pytest
from CoolProp.CoolProp import PropsSI
from numpy import exp, log
from scipy import integrate

import calcs
from calcs.vacuum import dry_out
from calcs.vacuum.dry_out import (
    CASTABLE,
    PURGE,
    SOLVENT,
    VACUUM,
    heat_through,
    removed_range,
    removed_share,
    saturation_pressure,
)

VACUUM_EXAMPLE, PURGE_EXAMPLE = (calcs.example("dry-out", mode) for mode in dry_out.FORM.modes)
GAS_CONSTANT = 8.314462618


def work(**changed):
    example = PURGE_EXAMPLE if changed.get("mode") == PURGE else VACUUM_EXAMPLE
    typed = example | changed
    return calcs.work_out("dry-out", {name: text for name, text in typed.items() if text != ""})


def purge(**changed):
    return work(mode=PURGE, **changed)


def value(answer, name):
    return answer.figures[name].value


def span(answer, name):
    return answer.figures[name].low_value, answer.figures[name].high_value


# ---------------------------------------------------------------- the examples


def test_the_example_under_vacuum_does_not_heat_the_lining_through():
    answer = work()
    assert answer.verdict == "outside" and value(answer, "limiting") == "heat-through"
    assert any("warm it under purge" in note for note in answer.notes)
    assert span(answer, "removed_fraction") == pytest.approx((0.375, 0.591), abs=0.001)


def test_under_gas_the_lining_heats_through_four_times_faster():
    assert value(work(), "heat_through_time") == pytest.approx(4 * value(purge(), "heat_through_time"))
    assert purge().verdict == "close"


def test_a_thin_dry_lining_is_within():
    answer = purge(insulation_thickness="10 mm", dry_time="4 h")
    assert answer.verdict == "within" and value(answer, "limiting") == "release"
    assert "only more heat" in answer.sentence


def test_the_answer_does_not_depend_on_the_unit_typed():
    same = work(
        dry_temperature="302 °F",
        dry_time="120 min",
        insulation_mass="17700 g",
        insulation_thickness="0.1 m",
        effective_speed="9.36 m3/h",
        dry_limit="473.15 K",
        wet_temperature="293.15 K",
        pump_vapour_limit="2 kPa",
    )
    for name, figure in work().figures.items():
        if figure.is_number:
            assert same.figures[name].value == pytest.approx(figure.value), name


@pytest.mark.parametrize("mode", [VACUUM, PURGE])
def test_every_range_holds_its_value(mode):
    for answer in (
        work(mode=mode),
        work(mode=mode, free_water="50 g"),
        work(mode=mode, dry_temperature="600 °C", dry_limit=""),
    ):
        for figure in answer.figures.values():
            if figure.is_number:
                assert figure.low_value <= figure.value <= figure.high_value, figure.name


# ---------------------------------------------------------------- what leaves a surface


@pytest.mark.parametrize("temperature", [293.15, 378.15, 423.15, 473.15, 573.15, 673.15, 873.15])
@pytest.mark.parametrize("time", [600, 7200, 86400])
@pytest.mark.parametrize("attempts", [1e9, 1e13])
def test_the_share_agrees_with_the_exact_kinetics(temperature, time, attempts):
    edge = GAS_CONSTANT * temperature * log(attempts * time)
    exact = (
        integrate.quad(
            lambda energy: 1 - exp(-attempts * time * exp(-energy / (GAS_CONSTANT * temperature))),
            50e3,
            200e3,
            limit=400,
            points=[min(max(edge, 51e3), 199e3)],
        )[0]
        / 150e3
    )
    assert removed_share(temperature, time, attempts) == pytest.approx(exact, abs=2e-6)


def test_the_rate_is_the_slope_of_the_share():
    temperature, time = 423.15, 7200.0
    slope = (removed_share(temperature, time * 1.001, 1e11) - removed_share(temperature, time / 1.001, 1e11)) / (
        time * 0.002
    )
    assert dry_out.release_rate(1.0, temperature, time) == pytest.approx(slope / 18.0153e-3, rel=1e-3)


def test_temperature_does_more_than_time():
    assert removed_range(473.15, 2 * 3600)[0] > removed_range(423.15, 24 * 3600)[0]
    assert removed_range(423.15, 3600)[0] > removed_range(293.15, 24 * 3600)[0]
    rising = [
        value(work(dry_temperature=f"{t} °C", dry_limit=""), "removed_fraction")
        for t in (20, 105, 150, 200, 300, 400, 600)
    ]
    assert rising == sorted(rising) and rising[-1] > 0.999
    longer = [value(work(dry_time=f"{t} h"), "removed_fraction") for t in (0.5, 2, 8, 24)]
    assert longer == sorted(longer)


def test_nothing_is_left_where_everything_has_gone():
    answer = work(dry_temperature="600 °C", dry_time="24 h", dry_limit="")
    assert answer.figures["removed_fraction"].high_value > 0.9999
    assert answer.figures["water_release_rate"].low_value < 1e-3 * answer.figures["water_release_rate"].high_value


def test_the_picture_says_only_what_was_computed():
    assert "more bound water than a day at 20 °C" in work().pictures[0].sentence
    assert "little more" in work(dry_temperature="25 °C").pictures[0].sentence


# ---------------------------------------------------------------- carrying water off


@pytest.mark.parametrize("celsius", [1, 20, 37, 50, 58, 60, 75, 95, 99])
def test_the_vapour_pressure_agrees_with_a_library(celsius):
    kelvin = celsius + 273.15
    assert saturation_pressure(kelvin) == pytest.approx(PropsSI("P", "T", kelvin, "Q", 1, "Water"), rel=0.003)


@pytest.mark.parametrize("speed", ["0.1 L/s", "2.6 L/s", "50 L/s"])
@pytest.mark.parametrize("wet", [20, 5, -20])
def test_the_pump_carries_off_what_the_vapour_pressure_lets_it(speed, wet):
    rate = value(work(effective_speed=speed, wet_temperature=f"{wet} °C", pump_vapour_limit="1 bar"), "removal_rate")
    vapour = saturation_pressure(wet + 273.15)
    assert rate == pytest.approx(vapour * float(speed.split()[0]) * 1e-3 * 18.0153e-3 / (GAS_CONSTANT * 293.15))


def test_the_limit_of_the_pump_caps_it():
    capped = value(work(effective_speed="1.1 L/s"), "removal_rate") * 3.6e6
    assert capped == pytest.approx(58.5, rel=0.005)


@pytest.mark.parametrize("exit_temperature, expected", [("20 °C", 5.70), ("50 °C", 33.5)])
def test_the_purge_carries_off_what_saturates_it(exit_temperature, expected):
    answer = purge(exit_temperature=exit_temperature, saturation_reached="1", chamber_pressure="101325 Pa")
    assert value(answer, "removal_rate") * 3.6e6 == pytest.approx(expected, rel=0.005)


def test_free_water_takes_heat_and_time():
    answer = work(insulation_mass="0 kg", free_water="10 g", pump_vapour_limit="40 mbar")
    assert value(answer, "heat_time") == pytest.approx(500)
    frozen = work(insulation_mass="0 kg", free_water="10 g", wet_temperature="-5 °C")
    assert value(frozen, "heat_time") == pytest.approx(566)
    assert value(frozen, "removal_time") > value(answer, "removal_time")


def test_water_above_the_limit_of_the_pump_is_outside():
    wet = work(free_water="10 g", insulation_thickness="5 mm", dry_time="8 h")
    assert wet.verdict == "outside" and value(wet, "limiting") == "removal"
    assert "Water in the pump" in [c.hazard for c in wet.cautions]
    assert (
        work(free_water="10 g", insulation_thickness="5 mm", dry_time="8 h", pump_vapour_limit="40 mbar").verdict
        == "within"
    )


def test_too_little_time_for_free_water_is_outside():
    assert purge(free_water="200 g", insulation_thickness="5 mm").verdict == "outside"
    assert purge(free_water="10 g", insulation_thickness="5 mm", dry_time="8 h").verdict == "within"


def test_steam_and_exhaust_carry_their_cautions():
    assert "Steam in a closed chamber" in [c.hazard for c in purge(free_water="10 g").cautions]
    assert "Air without oxygen" in [c.hazard for c in purge().cautions]
    assert "Air without oxygen" not in [c.hazard for c in purge(gas="air").cautions]


# ---------------------------------------------------------------- heat through the lining


def test_the_far_face_follows_the_series_of_the_plane_wall():
    first, last = heat_through(0.1, 1e-7)
    numbers = range(60)
    for time, expected in ((first, 0.629), (last, 0.9)):
        fourier = 1e-7 * time / 0.1**2
        series = sum(
            4 / 3.141592653589793 * (-1) ** n / (2 * n + 1) * exp(-((2 * n + 1) ** 2) * 9.8696044 * fourier / 4)
            for n in numbers
        )
        assert 1 - series == pytest.approx(expected, abs=0.001)


def test_a_typed_diffusivity_carries_no_factor_of_two():
    assert span(work(insulation_diffusivity="1e-7 m2/s"), "heat_through_time") == pytest.approx((50000, 103000))
    assert span(work(), "heat_through_time") == pytest.approx((25000, 206000))


# ---------------------------------------------------------------- refusals and problems


@pytest.mark.parametrize(
    "changed, reason",
    [
        ({"dry_temperature": "201 °C"}, "above_limit"),
        ({"dry_temperature": "601 °C", "dry_limit": ""}, "above_600"),
        ({"dry_limit": "15 °C"}, "no_dry_temperature"),
        ({"lining": CASTABLE}, "castable"),
        ({"liquid": SOLVENT}, "solvent"),
        ({"mode": PURGE, "exit_temperature": "99 °C"}, "steam"),
        ({"mode": PURGE, "exit_temperature": "150 °C"}, "steam"),
        ({"mode": PURGE, "gas": "water vapour"}, "steam"),
        ({"mode": PURGE, "gas": "oxygen"}, "oxygen_rich"),
        ({"mode": PURGE, "gas": "hydrogen"}, "flammable_gas"),
        ({"mode": PURGE, "gas": "carbon monoxide"}, "toxic_gas"),
    ],
)
def test_what_must_not_be_dried_here_is_refused(changed, reason):
    answer = work(**changed)
    assert answer.refusal.reason == reason and not answer.figures and not answer.pictures


@pytest.mark.parametrize(
    "changed",
    [
        {"dry_temperature": "200 °C"},
        {"dry_temperature": "600 °C", "dry_limit": ""},
        {"dry_temperature": "20 °C", "dry_limit": "20 °C"},
        {"mode": PURGE, "exit_temperature": "97 °C"},
    ],
)
def test_just_inside_there_is_an_answer(changed):
    assert work(**changed).refusal is None


@pytest.mark.parametrize(
    "field, text",
    [
        ("dry_temperature", "10 °C"),
        ("adsorbed_water", "2e-3"),
        ("insulation_thickness", "400 mm"),
        ("dry_time", "0 h"),
        ("free_water", "6 kg"),
    ],
)
def test_outside_the_range_of_a_field_is_a_problem_beside_it(field, text):
    with pytest.raises(calcs.Problems) as caught:
        work(**{field: text})
    assert field in caught.value.problems


def test_less_saturation_carries_off_less():
    full, part = (value(purge(saturation_reached=psi), "removal_rate") for psi in ("1", "0.6"))
    assert part == pytest.approx(0.6 * full)
    assert span(purge(), "removal_rate") == pytest.approx((0.3 * full, full))
