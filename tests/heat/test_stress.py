"""Thermal stress: steady ramps against a numerical solution, sudden changes against series and published limits."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, minimize_scalar
from scipy.special import j0, j1, jn_zeros

import calcs
from calcs import solids
from calcs.heat.stress import COOLING, CYLINDER, HEATING, MEAN_LAG, SLAB, SPHERE, TENSION, ramp_difference, sudden_share

EXAMPLE = calcs.example("stress")
SUDDEN = calcs.example("stress", "sudden change")
OWN = {
    "material": "own data", "conductivity": "11.4 W/m/K", "density": "3943 kg/m3", "specific_heat": "1165 J/kg/K",
    "young_modulus": "390 GPa", "expansion": "7.1e-6/K", "poisson": "0.231", "allowable_stress": "95 MPa",
}  # fmt: skip


def work(**changed):
    return calcs.work_out("stress", {k: v for k, v in (EXAMPLE | changed).items() if v != ""})


def sudden(**changed):
    return calcs.work_out("stress", {k: v for k, v in (SUDDEN | changed).items() if v != ""})


def figure(answer, name, unit):
    return answer.figures[name].quantity.to(unit).m


def problems(**changed):
    with pytest.raises(calcs.Problems) as caught:
        work(**changed)
    return caught.value.messages


# ---------------------------------------------------------------- example and behaviour


def test_the_example_is_answered():
    answer = work()

    # By hand: a = 11.4/(3943 × 1165) = 2.482e-6 m²/s, L = 5 mm, r = 5/60 K/s: r L²/(2 a) = 0.4198 K
    assert figure(answer, "temperature_difference", "K") == pytest.approx(0.4198, rel=1e-3)
    # E α/(1 − ν) = 390e9 × 7.6e-6/0.769 = 3.854 MPa/K; a third of it times 0.4198 K
    assert figure(answer, "stress", "MPa") == pytest.approx(0.5393, rel=1e-3)
    assert answer.verdict == "within" and answer.judged and not answer.refusal
    assert "Conduction hardly limits" in " ".join(answer.notes)


def test_the_sudden_example_is_answered():
    answer = sudden()

    # Bi = 10 × 0.005/11.4 = 0.00439; a plate takes Bi/3 of the change while Bi is small
    assert figure(answer, "stress_factor", "") == pytest.approx(0.00439 / 3, rel=0.01)
    assert answer.verdict == "within" and "Hot part into air" in [c.hazard for c in answer.cautions]


def test_the_answer_does_not_depend_on_the_unit_typed():
    same = work(thickness="1 cm", ramp="300 K/h", safety_factor="400 %")
    for name, found in work().figures.items():
        assert same.figures[name].value == pytest.approx(found.value), name


@pytest.mark.parametrize("direction", [HEATING, COOLING])
@pytest.mark.parametrize("shape", ["slab", "cylinder", "sphere", "tube wall"])
def test_twice_the_thickness_bears_a_quarter_of_the_ramp(shape, direction):
    thin, thick = (
        figure(work(shape=shape, direction=direction, thickness=t), "ramp_allowed", "K/min") for t in ("8 mm", "16 mm")
    )

    assert thin == pytest.approx(4 * thick)


def test_one_face_is_four_times_slower_than_two():
    one, both = (figure(work(heated_faces=f), "ramp_allowed", "K/min") for f in ("one", "both"))

    assert both == pytest.approx(4 * one)
    assert figure(work(shape="tube wall"), "ramp_allowed", "K/min") == pytest.approx(one)


def test_cooling_a_plate_pulls_twice_as_hard_as_heating():
    heating, cooling = (figure(work(direction=d), "stress", "MPa") for d in (HEATING, COOLING))

    assert cooling == pytest.approx(2 * heating)


def test_at_the_allowed_ramp_the_tension_is_the_allowed_one():
    limit = figure(work(**OWN, direction=COOLING), "ramp_allowed", "K/min")
    answer = work(**OWN, direction=COOLING, ramp=f"{limit} K/min")

    assert figure(answer, "stress", "MPa") == pytest.approx(95, rel=1e-9)
    assert figure(answer, "temperature_difference", "K") == pytest.approx(figure(answer, "difference_allowed", "K"))
    assert answer.verdict == "within"


def test_at_the_allowed_change_the_stress_is_the_allowed_one():
    limit = figure(sudden(**OWN, convection_coefficient="5000 W/m2/K"), "step_allowed", "K")
    answer = sudden(**OWN, convection_coefficient="5000 W/m2/K", temperature_step=f"{limit} K")

    assert figure(answer, "stress", "MPa") == pytest.approx(95, rel=1e-9)


@pytest.mark.parametrize(
    ("ramp", "verdict"), [("470 K/min", "within"), ("1200 K/min", "close"), ("1300 K/min", "outside")]
)
def test_verdict_by_the_reserve(ramp, verdict):
    own = OWN | {"allowable_stress": "", "strength": "380 MPa"}  # allowed 95, broken from 380/1.5 = 253 MPa on

    assert work(**own, direction=COOLING, ramp=ramp).verdict == verdict


def test_a_stronger_material_bears_more_and_a_larger_safety_factor_less():
    ramps = [figure(work(strength=s), "ramp_allowed", "K/min") for s in ("100 MPa", "200 MPa", "400 MPa")]
    factors = [figure(work(safety_factor=f), "ramp_allowed", "K/min") for f in ("1", "2", "4", "8")]

    assert ramps == sorted(ramps) and factors == sorted(factors, reverse=True)


def test_the_biot_number_typed_equals_the_one_from_the_coefficient():
    by_number = sudden(convection_coefficient="", biot=str(10 * 0.005 / 11.4))

    assert by_number.figures["stress"].value == pytest.approx(sudden().figures["stress"].value, rel=1e-9)


def test_every_material_is_answered_both_ways():
    for material in solids.BRITTLE:
        for answer in (work(material=material), sudden(material=material)):
            assert not answer.refusal and answer.figures["reserve"].value > 0, material


# ---------------------------------------------------------------- refusals and problems


def test_own_data_without_strength_are_refused():
    assert work(**(OWN | {"allowable_stress": ""})).refusal.reason == "no_strength"
    assert not work(**(OWN | {"allowable_stress": ""})).figures


def test_a_strength_that_no_brittle_solid_has_is_refused():
    assert work(strength="380 GPa").refusal.reason == "not_elastic"
    assert work(allowable_stress="40 GPa").refusal.reason == "not_elastic"
    assert work(strength="19 GPa").refusal is None  # a twentieth of 390 GPa is 19.5 GPa


@pytest.mark.parametrize("name", ["young_modulus", "expansion", "poisson", "conductivity", "density", "specific_heat"])
def test_own_data_need_every_property(name):
    assert name in problems(**(OWN | {name: ""}))


def test_own_data_take_a_diffusivity_instead_of_the_three():
    thermal = dict.fromkeys(("conductivity", "density", "specific_heat"), "")
    answer = work(**(OWN | thermal | {"diffusivity": "2.482e-6 m2/s"}))

    assert figure(answer, "temperature_difference", "K") == pytest.approx(0.4197, rel=1e-3)


def test_strength_and_allowed_tension_say_the_same_thing_twice():
    assert "allowable_stress" in problems(strength="380 MPa", allowable_stress="95 MPa")


@pytest.mark.parametrize(
    ("name", "inside", "outside"),
    [("thickness", "0.2 mm", "0.19 mm"), ("thickness", "600 mm", "601 mm"), ("poisson", "0.5", "0.51"),
     ("safety_factor", "1", "0.99"), ("ramp", "0.001 K/min", "0 K/min")],
)  # fmt: skip
def test_just_outside_the_accepted_range_there_is_a_problem(name, inside, outside):
    assert work(**{name: inside}).figures
    assert name in problems(**{name: outside})


# ---------------------------------------------------------------- against others


def ramped(power, cells=200, end=3.0):
    """Surface to middle and surface to mean for L = r = a = 1, by finite volumes and scipy's BDF, after Fo = 3."""
    edges = np.linspace(0, 1, cells + 1)
    centres, areas = (edges[:-1] + edges[1:]) / 2, edges**power
    volumes = np.diff(edges ** (power + 1)) / (power + 1)
    dx = 1 / cells

    def slope(t, y):
        flux = np.empty(cells + 1)
        flux[0] = 0
        flux[1:-1] = areas[1:-1] * np.diff(y) / dx
        flux[-1] = areas[-1] * (t - y[-1]) / (dx / 2)
        return np.diff(flux) / volumes

    y = solve_ivp(slope, (0, end), np.zeros(cells), method="BDF", rtol=1e-8, atol=1e-10).y[:, -1]
    middle = y[0] - (y[1] - y[0]) / (centres[1] ** 2 - centres[0] ** 2) * centres[0] ** 2
    return end - middle, end - np.sum(y * volumes) / np.sum(volumes)


@pytest.mark.parametrize(("shape", "power"), [(SLAB, 0), (CYLINDER, 1), (SPHERE, 2)])
def test_the_steady_ramp_equals_a_numerical_solution(shape, power):
    difference, lag = ramped(power)
    ours = ramp_difference(shape, 1.0, 1.0, 1.0)

    assert ours == pytest.approx(difference, rel=2e-3)
    assert ours * MEAN_LAG[shape] == pytest.approx(lag, rel=2e-3)
    assert ours * TENSION[shape][COOLING] == pytest.approx(lag, rel=2e-3)
    middle = (difference - lag) * (2 / 3 if shape == SPHERE else 1)  # three directions pull in the middle of a sphere
    assert ours * TENSION[shape][HEATING] == pytest.approx(middle, rel=3e-3)


def roots(shape, biot, count):
    if shape == SLAB:
        f, starts = (
            lambda z: z * np.sin(z) - biot * np.cos(z),
            [(i * np.pi, i * np.pi + np.pi / 2) for i in range(count)],
        )
    elif shape == CYLINDER:
        zeros = [0.0, *jn_zeros(1, count)]
        f, starts = lambda z: z * j1(z) - biot * j0(z), list(zip(zeros, zeros[1:], strict=False))
    else:
        f, starts = (
            lambda z: (1 - biot) * np.sin(z) - z * np.cos(z),
            [(i * np.pi, (i + 1) * np.pi) for i in range(count)],
        )
    return np.array([brentq(f, a + 1e-9, b - 1e-9) for a, b in starts])


def series_factor(shape, biot, count=150):
    z = roots(shape, biot, count)
    if shape == SLAB:
        c, surface, mean = 4 * np.sin(z) / (2 * z + np.sin(2 * z)), np.cos(z), np.sin(z) / z
    elif shape == CYLINDER:
        c, surface, mean = 2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2), j0(z), 2 * j1(z) / z
    else:
        c = 4 * (np.sin(z) - z * np.cos(z)) / (2 * z - np.sin(2 * z))
        surface, mean = np.sin(z) / z, 3 * (np.sin(z) - z * np.cos(z)) / z**3
    value = lambda x: -np.sum(c * (mean - surface) * np.exp(-(z**2) * np.exp(x)))  # noqa: E731
    places = np.linspace(np.log(20 / z[-1] ** 2), 1, 300)
    best = int(np.argmin([value(x) for x in places]))
    return -minimize_scalar(value, bounds=(places[max(best - 1, 0)], places[min(best + 1, 299)]), method="bounded").fun


@pytest.mark.parametrize("shape", [SLAB, CYLINDER, SPHERE])
@pytest.mark.parametrize("biot", [0.013, 0.07, 0.33, 1.7, 6.5, 37.0])
def test_between_its_rows_the_table_of_factors_equals_the_series(shape, biot):
    assert sudden_share(shape, "stress", biot) == pytest.approx(series_factor(shape, biot), rel=3e-3)


@pytest.mark.parametrize(
    ("shape", "values"),
    [(SLAB, {0.1: 0.0309, 0.5: 0.1256, 1: 0.2083, 5: 0.4778, 20: 0.6928, 100: 0.8504}),
     (CYLINDER, {0.1: 0.0231, 1: 0.1589, 10: 0.5057, 100: 0.7999}),
     (SPHERE, {0.1: 0.0185, 1: 0.1304, 10: 0.4500, 100: 0.7639})],
)  # fmt: skip
def test_the_table_of_factors(shape, values):
    for biot, share in values.items():
        assert sudden_share(shape, "stress", biot) == pytest.approx(share, rel=5e-3)


@pytest.mark.parametrize("biot", [0.2, 0.5, 1, 2, 5, 10, 20])
def test_the_plate_agrees_with_the_formula_of_manson(biot):
    """Manson, Thermal Stress and Low-Cycle Fatigue, 1966 (known, source not looked up)."""
    published = 1 / (1.5 + 3.25 / biot - 0.5 * np.exp(-16 / biot))

    assert sudden_share(SLAB, "stress", biot) == pytest.approx(published, rel=0.06)


@pytest.mark.parametrize(("shape", "part"), [(SLAB, 3), (CYLINDER, 4), (SPHERE, 5)])
def test_limits_of_the_stress_factor(shape, part):
    assert sudden_share(shape, "stress", 1e-4) == pytest.approx(1e-4 / part, rel=0.02)
    assert (
        sudden_share(shape, "stress", 1e9) == 1.0
    )  # cold shock at full heat transfer: Lu and Fleck, Acta mater. 46 (1998) 4755
    shares = [sudden_share(shape, what, 10 ** (e / 7)) for what in ("stress",) for e in range(-30, 30)]
    assert shares == sorted(shares)


def test_the_properties_of_alumina_are_those_of_the_published_table():
    """NIST SRD 150, sintered alumina, looked at on its public page."""
    for celsius, modulus, strength, density in [
        (20, 416, 380, 3984),
        (500, 390, 375, 3943),
        (1000, 364, 345, 3891),
        (1500, 338, 130, 3834),
    ]:
        kelvin = celsius + 273.15
        assert solids.value("alumina", "young modulus", kelvin) == pytest.approx(modulus * 1e9)
        assert solids.value("alumina", "strength", kelvin) == pytest.approx(strength * 1e6)
        assert solids.value("alumina", "density", kelvin) == pytest.approx(density)
