"""The soak: against an independent solver, series and product solutions, libraries, and its own limits."""

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq
from scipy.special import j0, j1, jn_zeros

import calcs
from calcs import heat_in_gas, solids
from calcs.heat.beds import bed_conductivity, stack_conductivity
from calcs.heat.conduction import Body, Surface, course
from calcs.heat.soak import box_form, effective_emissivity, lateness, short_cylinder_form, spread

EXAMPLE = calcs.example("soak")
SIGMA, ZERO = 5.670374419e-8, 273.15
OWN = {"material": "own data", "load_area": "", "at_time": ""}


def work(**changed):
    return calcs.work_out("soak", {k: v for k, v in (EXAMPLE | changed).items() if v != ""})


def minutes(answer, name):
    return answer.figures[name].quantity.to("minute").m


def problems(**changed):
    with pytest.raises(calcs.Problems) as caught:
        work(**changed)
    return caught.value.messages


# ---------------------------------------------------------------- example and behaviour


def test_the_example_is_answered():
    answer = work()
    lag, needed = answer.figures["lag"], answer.figures["soak_needed"]

    assert lag.low_value < lag.value < lag.high_value
    assert needed.value == pytest.approx(lag.value + 1800)
    assert minutes(answer, "time") == pytest.approx(116 + minutes(answer, "lag"))
    assert answer.verdict == "outside" and "end too early" in answer.sentence
    assert 450 < answer.figures["core_temperature"].value - ZERO < 480  # at 116 min the chamber has 600 °C
    assert answer.figures["biot"].value < 1e-3


def test_the_answer_does_not_depend_on_the_unit_typed():
    same = work(
        thickness="1 cm", load_emissivity="10 %", chamber_pressure="100.5 kPa", tolerance="9 °F", soak_time="0.5 h",
        at_time="6960 s", segments="ramp to 1112 °F at 300 K/h · soak 1800 s", start_temperature="68 °F",
    )  # fmt: skip
    for name, figure in work().figures.items():
        if figure.is_number:
            assert same.figures[name].value == pytest.approx(figure.value, rel=1e-6), name


@pytest.mark.parametrize(
    ("name", "values"),
    [("thickness", ("2 mm", "5 mm", "10 mm", "30 mm")), ("load_emissivity", ("0.8", "0.4", "0.2", "0.05")),
     ("tolerance", ("20 K", "10 K", "5 K", "1 K")), ("gas", ("helium", "nitrogen", "argon", "vacuum"))],
)  # fmt: skip
def test_the_lag_grows_with(name, values):
    found = [
        minutes(work(**{name: v, "chamber_pressure": "" if name == "gas" else "1005 mbar"}), "lag") for v in values
    ]

    assert found == sorted(found) and len(set(found)) == len(found)


def test_a_longer_soak_time_adds_to_the_soak_and_nothing_else():
    short, long = work(soak_time="0 min"), work(soak_time="60 min")

    assert minutes(short, "soak_needed") == pytest.approx(minutes(short, "lag"))
    assert minutes(long, "soak_needed") == pytest.approx(minutes(short, "soak_needed") + 60)


@pytest.mark.parametrize(("soak", "verdict"), [("30 min", "outside"), ("110 min", "close"), ("4 h", "within")])
def test_verdict_on_the_programmed_soak(soak, verdict):
    answer = work(segments=f"ramp to 600 °C at 5 K/min · soak {soak}")

    assert answer.verdict == verdict and answer.judged


def test_without_a_soak_nothing_is_judged():
    assert not work(segments="ramp to 600 °C at 5 K/min").judged


def test_what_comes_after_the_last_soak_is_left_out():
    longer = work(segments="ramp to 600 °C at 5 K/min · soak 30 min · cool to 60 °C")

    assert minutes(longer, "lag") == pytest.approx(minutes(work(), "lag"))


def test_two_soaks_in_a_row_are_one():
    assert work(segments="ramp to 600 °C at 5 K/min · soak 2 h · soak 2 h").verdict == "within"


def test_one_face_lags_twice_as_long_while_the_inside_does_not_matter():
    fast = {"segments": "ramp to 600 °C in 0 min · soak 30 min", "at_time": ""}

    assert minutes(work(heated_faces="one", **fast), "lag") == pytest.approx(2 * minutes(work(**fast), "lag"), rel=0.02)
    assert minutes(work(heated_faces="one"), "lag") > 1.3 * minutes(work(), "lag")


def test_a_thin_part_equals_a_slab_that_conducts_well():
    assert minutes(work(shape="thin part"), "lag") == pytest.approx(minutes(work(), "lag"), rel=2e-3)
    assert "not thin" in " ".join(work(shape="thin part", material="insulating brick 1260", thickness="50 mm").notes)


def test_a_body_as_warm_as_its_chamber_has_no_lag():
    answer = work(segments="soak 60 min", at_time="10 min")

    assert minutes(answer, "lag") == 0 and answer.figures["core_temperature"].value == pytest.approx(293.15)
    assert "all the way" in answer.sentence


def test_effective_emissivity_replaces_the_others():
    given = {"load_emissivity": "", "effective_emissivity": str(1 / (1 / 0.1 + 0.9 * 0.25))}

    assert minutes(work(**given), "lag") == pytest.approx(minutes(work(), "lag"), rel=2e-3)
    assert "effective_emissivity" in problems(effective_emissivity="0.1")


def test_the_published_exchange_of_grey_bodies():
    """Incropera, chapter 13 (known, source not looked up): 0.3 in 0.8 at a fifth of the area; close parallel faces."""
    assert effective_emissivity(0.3, 0.8, 0.2) == pytest.approx(0.2956, abs=1e-4)
    assert effective_emissivity(0.3, 0.8, 1.0) == pytest.approx(1 / (1 / 0.3 + 1 / 0.8 - 1))


def test_the_spread_of_an_emissivity():
    assert spread(0.1) == (0.05, 0.2)
    assert spread(0.5) == pytest.approx((0.4, 0.6)) and spread(0.9)[1] == 1.0


def test_the_range_is_that_of_the_emissivity():
    fixed = {"convection_coefficient": "4 W/m2/K", "load_area": ""}
    found = work(**fixed).figures["lag"]
    ends = [work(**fixed, load_emissivity=e).figures["lag"].value for e in ("0.2", "0.05")]

    assert (found.low_value, found.high_value) == pytest.approx(ends, rel=1e-6)
    typed = work(convection_coefficient="4 W/m2/K", load_emissivity="", effective_emissivity="0.1").figures["lag"]
    assert (typed.low_value, typed.high_value) == pytest.approx(ends, rel=1e-6)


def test_typed_properties_replace_the_table():
    typed = work(density="8933 kg/m3", specific_heat="433 J/kg/K", conductivity="366 W/m/K")
    double = work(density="17866 kg/m3")

    assert minutes(typed, "lag") == pytest.approx(minutes(work(), "lag"), rel=0.03)
    assert minutes(double, "lag") > 1.3 * minutes(work(), "lag")


def test_own_data():
    rows = [{"temperature": "20 °C", "conductivity": "400 W/m/K", "specific_heat": "385 J/kg/K"},
            {"temperature": "600 °C", "conductivity": "366 W/m/K", "specific_heat": "433 J/kg/K"}]  # fmt: skip
    as_text = "20 °C 400 W/m/K 385 J/kg/K · 600 °C 366 W/m/K 433 J/kg/K"
    own = {"material": "own data", "density": "8933 kg/m3"}

    first = minutes(work(**own, material_data=rows), "lag")
    assert first == pytest.approx(minutes(work(**own, material_data=as_text), "lag"))
    assert first == pytest.approx(minutes(work(), "lag"), rel=0.02)
    assert "material_data" in problems(**own) and "density" in problems(material="own data", material_data=rows)


def test_every_material_shape_and_gas_is_answered():
    for material in solids.LOADS:
        assert not work(material=material, load_emissivity="0.6").refusal, material
    for shape in ("slab", "cylinder", "sphere", "box", "short cylinder", "powder tray", "stack", "thin part"):
        answer = work(shape=shape, material="alumina", load_emissivity="0.6")
        assert not answer.refusal and answer.figures["lag"].value >= 0, shape
    for gas in ("air", "nitrogen", "argon", "helium", "hydrogen", "carbon dioxide", "vacuum"):
        assert not work(gas=gas).refusal, gas


def test_a_vacuum_without_pressure_holds_no_gas():
    none, rough = work(gas="vacuum", chamber_pressure=""), work(gas="vacuum", chamber_pressure="100 Pa")

    assert none.figures["convection_coefficient"].value == 0
    assert minutes(rough, "lag") < minutes(none, "lag")
    assert "No pressure is typed" in " ".join(none.notes)


def test_a_bed_in_a_vacuum_conducts_as_far_as_its_grains_touch():
    answer = work(shape="powder tray", material="alumina", load_emissivity="0.6", gas="vacuum", chamber_pressure="1 Pa")
    bed = answer.figures["bed_conductivity"]

    assert bed.low_value < 0.2 * bed.value and answer.figures["lag"].high_value > 5 * answer.figures["lag"].value


def test_a_stack_lies_between_gas_gaps_and_solid_metal():
    stack, solid = work(shape="stack", thickness="20 mm"), work(density="8039.7 kg/m3", thickness="20 mm")

    assert minutes(stack, "lag") > minutes(solid, "lag")
    assert stack.figures["bed_conductivity"].high_value == pytest.approx(solids.value("copper", "conductivity", 873.15))


# ---------------------------------------------------------------- refusals and problems


@pytest.mark.parametrize(
    ("reason", "changed"),
    [
        ("phase_change", {"segments": "ramp to 1090 °C at 5 K/min", "at_time": ""}),
        ("does_not_fit", {"thickness": "550 mm"}),
        ("does_not_fit", {"shape": "box", "width": "600 mm", "depth": "600 mm"}),
        ("porosity_outside", {"shape": "powder tray", "porosity": "0.85"}),
        ("porosity_outside", {"shape": "powder tray", "porosity": "0.19"}),
        ("data_ended", {"material": "nickel-chromium-iron", "segments": "ramp to 880 °C at 5 K/min", "at_time": ""}),
        ("data_ended", {"material": "stainless 316", "segments": "ramp to 880 °C at 5 K/min", "at_time": ""}),
        ("no_heat_exchange", {"shape": "stack", "thickness": "490 mm", "heated_faces": "one", "gas": "vacuum",
        "chamber_pressure": "",
                              "load_emissivity": "0.01", "at_time": ""}),
    ],
)  # fmt: skip
def test_refusals(reason, changed):
    answer = work(**changed)

    assert answer.refusal and answer.refusal.reason == reason and not answer.figures


def test_just_inside_it_is_answered():
    assert not work(segments="ramp to 1060 °C at 5 K/min", at_time="").refusal  # 1200 K + 150 K
    assert not work(shape="powder tray", porosity="0.8").refusal
    assert not work(material="stainless 316", segments="ramp to 870 °C at 5 K/min", at_time="").refusal


@pytest.mark.parametrize(
    ("name", "changed"),
    [("width", {"shape": "box", "width": ""}), ("depth", {"shape": "box", "depth": ""}),
    ("width", {"shape": "short cylinder", "width": ""}),
     ("porosity", {"shape": "powder tray", "porosity": ""}),
     ("particle_size", {"shape": "powder tray", "particle_size": ""}),
     ("load_emissivity", {"load_emissivity": ""}), ("load_emissivity", {"load_emissivity": "0.009"}),
     ("tolerance", {"tolerance": "0.4 K"}), ("chamber_pressure", {"chamber_pressure": "2.1e5 Pa"}),
     ("segments", {"segments": "ramp to 600 °C at 5 K/min · cool to 60 °C · ramp to 300 °C at 2 K/min · soak 5 min"})],
)  # fmt: skip
def test_problems_name_their_field(name, changed):
    assert name in problems(**changed)


# ---------------------------------------------------------------- an independent solver


def independent(half, power, density, heat, conduct, emissivity, h, corners, start, band, cells=80):
    """When the middle is within the band for good, s: cell-centred volumes and scipy's BDF."""
    edges = np.linspace(0, half, cells + 1)
    areas, dx = (edges / half) ** power, half / cells
    volumes = np.diff((edges / half) ** (power + 1)) * half / (power + 1)
    times, temperatures = [t for t, _ in corners], [k for _, k in corners]

    def around(t):
        return np.interp(t, times, temperatures)

    def slope(t, y):
        k = conduct(y)
        outer, inner = around(t), k[-1] / (dx / 2)

        def balance(surface):
            return emissivity * SIGMA * (outer**4 - surface**4) + h * (outer - surface) - inner * (surface - y[-1])

        surface = y[-1]
        for _ in range(4):
            surface -= balance(surface) / (-4 * emissivity * SIGMA * surface**3 - h - inner)
        flux = np.empty(cells + 1)
        flux[0] = 0
        flux[1:-1] = areas[1:-1] * 2 * k[:-1] * k[1:] / (k[:-1] + k[1:]) * np.diff(y) / dx
        flux[-1] = inner * (surface - y[-1])
        return np.diff(flux) / volumes / (density * heat(y))

    def inside(t, y):
        return abs(around(t) - y[0]) - band

    end = times[-1] + 400_000.0
    inside.terminal, inside.direction = False, -1
    kinks = [t for t in times if t > 0] + [end]
    y, at, last = np.full(cells, start), 0.0, None
    for kink in kinks:
        found = solve_ivp(slope, (at, kink), y, method="BDF", rtol=1e-6, atol=1e-3, events=inside,
                          max_step=60.0 if heat is STEEL else np.inf)  # fmt: skip
        last = found.t_events[0][-1] if len(found.t_events[0]) else last
        y, at = found.y[:, -1], kink
        if at > times[-1]:
            break
    return last


def table(material, prop):
    found = solids.curve(material, prop)
    return lambda y: np.interp(y, found.temperatures_k, found.values)


STEEL = table("carbon steel", "specific heat")
RAMP = lambda rate, to: [(0.0, 293.15), ((to - 20) / rate * 60, to + ZERO)]  # noqa: E731
STEP = lambda to: [(0.0, to + ZERO)]  # noqa: E731
CASES = {
    "stainless bar into a hot chamber": (0.025, 1, "stainless 304", 0.7, 10, STEP(1000), 10),
    "the same in vacuum": (0.025, 1, "stainless 304", 0.3, 0, STEP(1000), 10),
    "stainless plate on a ramp": (0.010, 0, "stainless 304", 0.3, 5, RAMP(10, 900), 5),
    "alumina ball on a ramp": (0.030, 2, "alumina", 0.5, 0, RAMP(5, 1200), 5),
    "copper plate": (0.005, 0, "copper", 0.1, 0, STEP(900), 10),
    "brick block": (0.050, 0, "insulating brick 1260", 0.7, 8, RAMP(5, 800), 5),
    "tungsten rod": (0.020, 1, "tungsten", 0.1, 2, RAMP(10, 1100), 2),
    "quartz rod": (0.015, 1, "quartz glass", 0.7, 4, RAMP(5, 900), 5),
    "graphite ball": (0.050, 2, "graphite", 0.85, 4, RAMP(20, 1200), 10),
    "titanium slab, slow": (0.040, 0, "titanium", 0.3, 3, RAMP(1, 700), 1),
}


@pytest.mark.parametrize("name", CASES)
def test_the_solver_equals_an_independent_one(name):
    half, power, material, emissivity, h, corners, band = CASES[name]
    heat, conduct = table(material, "specific heat"), table(material, "conductivity")
    expected = independent(
        half, power, solids.value(material, "density"), heat, conduct, emissivity, h, corners, 293.15, band
    )
    body = Body(half, power, solids.value(material, "density"), solids.curve(material, "specific heat").at,
                solids.curve(material, "conductivity").at)  # fmt: skip
    ours = course(body, Surface(emissivity, lambda a, b: h), corners, 293.15, band, accuracy_k=min(0.3, band / 10))

    assert ours.inside_from_s == pytest.approx(expected, rel=5e-3)
    fine = course(body, Surface(emissivity, lambda a, b: h), corners, 293.15, band, accuracy_k=0.01, intervals=24)
    assert fine.inside_from_s == pytest.approx(expected, rel=1e-3)


def test_the_peak_of_steel_is_not_skipped():
    half, band = 0.025, 5
    expected = independent(
        half, 1, 7850.0, STEEL, table("carbon steel", "conductivity"), 0.8, 10, RAMP(10, 900), 293.15, band, cells=40
    )
    body = Body(
        half,
        1,
        7850.0,
        solids.curve("carbon steel", "specific heat").at,
        solids.curve("carbon steel", "conductivity").at,
    )
    ours = course(body, Surface(0.8, lambda a, b: 10), RAMP(10, 900), 293.15, band, accuracy_k=0.3)

    assert ours.inside_from_s == pytest.approx(expected, rel=5e-3)


def test_the_heat_of_steel_is_that_of_the_standard():
    """EN 1993-1-2, 3.4.1.2: the formulas, integrated; cp(20) = 439.8, cp(400) = 605.9, cp(735) = 5000."""

    def formula(t):
        if t < 600:
            return 425 + 0.773 * t - 1.69e-3 * t**2 + 2.22e-6 * t**3
        return 666 + 13002 / (738 - t) if t < 735 else 545 + 17820 / (t - 731) if t < 900 else 650

    whole = sum(quad(formula, a, b, limit=200)[0] for a, b in [(20, 600), (600, 735), (735, 900)])
    curve = solids.curve("carbon steel", "specific heat")
    places = np.linspace(20 + ZERO, 900 + ZERO, 20001)
    ours = np.trapezoid([curve.at(x) for x in places], places)

    assert ours == pytest.approx(whole, rel=3e-3) and whole == pytest.approx(632.1e3, rel=1e-3)
    for celsius, value in ((20, 439.8), (400, 605.9), (735, 5000)):
        assert curve.at(celsius + ZERO) == pytest.approx(value, rel=1e-3)


def test_the_lumped_body_equals_the_closed_form():
    """Pure radiation, constant specific heat: the integral of dT/(Te⁴ − T⁴)."""
    around, start, end = 900 + ZERO, 293.15, 890 + ZERO
    expected = 8933 * 440 * 0.005 / (0.1 * SIGMA) * quad(lambda t: 1 / (around**4 - t**4), start, end)[0]
    body = Body(0.005, 0, 8933, lambda t: 440.0, lambda t: 380.0)
    ours = course(body, Surface(0.1, lambda a, b: 0.0), [(0.0, around)], start, 10, accuracy_k=0.3)

    assert expected == pytest.approx(3228.3, rel=1e-3)
    assert ours.inside_from_s == pytest.approx(expected, rel=5e-3)


# ---------------------------------------------------------------- series and product solutions


def modes(shape, biot, count=60):
    if shape == 0:
        f, places = (
            lambda z: z * np.sin(z) - biot * np.cos(z),
            [(i * np.pi, i * np.pi + np.pi / 2) for i in range(count)],
        )
    elif shape == 1:
        zeros = [0.0, *jn_zeros(1, count)]
        f, places = lambda z: z * j1(z) - biot * j0(z), list(zip(zeros, zeros[1:], strict=False))
    else:
        f, places = (
            lambda z: (1 - biot) * np.sin(z) - z * np.cos(z),
            [(i * np.pi, (i + 1) * np.pi) for i in range(count)],
        )
    z = np.array([brentq(f, a + 1e-9, b - 1e-9) for a, b in places])
    if shape == 0:
        return z, 4 * np.sin(z) / (2 * z + np.sin(2 * z))
    if shape == 1:
        return z, 2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2)
    return z, 4 * (np.sin(z) - z * np.cos(z)) / (2 * z - np.sin(2 * z))


def middle(shape, biot, fourier):
    z, c = modes(shape, biot)
    return float(np.sum(c * np.exp(-(z**2) * fourier)))


def test_first_modes_are_those_of_the_textbook_table():
    """Incropera, Table 5.1 (known, source not looked up): Bi = 1."""
    for shape, z, c in ((0, 0.8603, 1.1191), (1, 1.2558, 1.2071), (2, 1.5708, 1.2732)):
        found = modes(shape, 1.0)
        assert found[0][0] == pytest.approx(z, abs=1e-4) and found[1][0] == pytest.approx(c, abs=1e-4)


@pytest.mark.parametrize("shape", [0, 1, 2])
@pytest.mark.parametrize("biot", [0.05, 0.3, 1.0, 5.0, 20.0])
def test_the_solver_equals_the_series(shape, biot):
    half, k, density, heat = 0.01, 10.0, 5000.0, 500.0
    h = biot * k / half
    body = Body(half, shape, density, lambda t: heat, lambda t: k)
    ours = course(body, Surface(0.0, lambda a, b: h), [(0.0, 400.0)], 300.0, 5.0, accuracy_k=0.2)
    fourier = brentq(lambda f: middle(shape, biot, f) - 0.05, 1e-2, 1e3)

    assert ours.inside_from_s == pytest.approx(fourier * half**2 * density * heat / k, rel=8e-3)


@pytest.mark.parametrize("biot", [0.05, 0.2, 1.0, 5.0, 20.0])
@pytest.mark.parametrize(
    "sides", [(1, 1, 1), (1, 1, 3), (1, 2, 2), (1, 2, 5), (1, 3, 3), (1, 5, 5), (1, 10, 20), "1:1", "1:3", "3:1", "8:1"]
)
def test_boxes_and_short_cylinders_are_never_early(sides, biot):
    """Product solutions: the lag given is never shorter than the true one, and at most 36 % too long."""
    half, k, density, heat = 0.005, 10.0, 5000.0, 500.0
    h = biot * k / half
    if isinstance(sides, str):
        radius, height = (float(x) for x in sides.split(":"))
        form = short_cylinder_form(radius * half, height * half)
        product = lambda f: middle(1, biot * radius, f / radius**2) * middle(0, biot * height, f / height**2)  # noqa: E731
    else:
        form = box_form(tuple(side * half for side in sides))
        product = lambda f: np.prod([middle(0, biot * s, f / s**2) for s in sides])  # noqa: E731
    fourier = brentq(lambda f: product(f) - 0.05, 1e-3, 1e3)
    body = Body(form.half_m, form.exponent, density, lambda t: heat, lambda t: k, form.factor)
    ours = course(body, Surface(0.0, lambda a, b: h), [(0.0, 400.0)], 300.0, 5.0, accuracy_k=0.2).inside_from_s
    ours *= lateness(form, biot / form.factor)
    true = fourier * half**2 * density * heat / k

    assert 1.0 <= ours / true < 1.36


# ---------------------------------------------------------------- gas and beds


@pytest.mark.parametrize("gas, fluid",
    [("air", "Air"), ("nitrogen", "Nitrogen"), ("argon", "Argon"), ("helium", "Helium"),
                                        ("carbon dioxide", "CarbonDioxide"), ("hydrogen", "Hydrogen")])  # fmt: skip
def test_the_conductivity_of_gases_equals_the_library(gas, fluid):
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI

    for kelvin in (280, 400, 600, 900, 1200, 1500, 1900):
        assert heat_in_gas.conductivity(gas, kelvin) == pytest.approx(
            props("L", "T", kelvin, "P", 101325, fluid), rel=0.012
        )


@pytest.mark.parametrize("gas, fluid", [("nitrogen", "Nitrogen"), ("argon", "Argon"), ("helium", "Helium")])
def test_free_convection_equals_the_library(gas, fluid):
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    from ht.conv_free_immersed import Nu_vertical_plate_Churchill

    for surface, around in ((300, 350), (500, 700), (900, 1000)):
        film, height = (surface + around) / 2, 0.1
        k, mu, cp, rho = (props(p, "T", film, "P", 101325, fluid) for p in "LVCD")
        grashof = 9.80665 / film * (around - surface) * height**3 * rho**2 / mu**2
        expected = Nu_vertical_plate_Churchill(mu * cp / k, grashof) * k / height

        assert heat_in_gas.convection(gas, surface, around, 101325, height, 1.0) == pytest.approx(expected, rel=0.03)


def test_gas_in_a_gap_stops_conducting_as_the_pressure_falls():
    """Nitrogen across 50 mm at 1273 K, and in pores of 0.1 mm at 800 K; free path at 1 Pa."""
    share = [heat_in_gas.share_left("nitrogen", 1273, p, 0.05) for p in (100, 10, 1)]
    pores = [heat_in_gas.share_left("nitrogen", 800, p, 1e-4) for p in (100, 10)]

    assert share == pytest.approx([0.98, 0.81, 0.30], abs=0.01)
    assert pores == pytest.approx([0.12, 0.014], abs=0.003)
    assert heat_in_gas.mean_free_path("nitrogen", 293, 1.0) == pytest.approx(6.65e-3, rel=0.01)


@pytest.mark.parametrize(
    ("gas", "celsius", "pressures"),
    [("argon", 300, (0.056, 0.056, 0.057, 0.069, 0.122, 0.211)),
    ("argon", 800, (0.061, 0.061, 0.062, 0.072, 0.128, 0.252)),
     ("nitrogen", 800, (0.061, 0.061, 0.064, 0.083, 0.182, 0.369)),
     ("helium", 800, (0.061, 0.061, 0.062, 0.073, 0.166, 0.640))],
)  # fmt: skip
def test_a_bed_of_alumina_from_vacuum_to_the_room(gas, celsius, pressures):
    for pressure, expected in zip((1, 10, 100, 1e3, 1e4, 101325), pressures, strict=True):
        ours = bed_conductivity(gas, celsius + ZERO, pressure, 10, 0.5, 50e-6, 0.5, 0.0077)
        assert ours == pytest.approx(expected, abs=0.0016)


def test_glass_beads_in_air():
    """Measured 0.17 to 0.21 W/m/K for 1 mm beads, porosity 0.4 (known, source not looked up)."""
    assert 0.17 < bed_conductivity("air", 293.15, 101325, 1.1, 0.4, 1e-3, 0.9, 0.0077) < 0.21


def test_a_bed_conducts_more_with_pressure_and_stays_finite():
    for grain in (1e-6, 50e-6, 5e-3):
        for porosity in (0.2, 0.5, 0.8):
            found = [bed_conductivity("argon", 900, 10.0**e, 10, porosity, grain, 0.5, 0.0077) for e in range(-3, 6)]
            assert all(0 < k < 10 for k in found) and found == sorted(found)


def test_a_stack_conducts_as_its_layers_in_series():
    gap = 1e-3 / 9
    k_gas = heat_in_gas.conductivity("argon", 600) * heat_in_gas.share_left("argon", 600, 1e5, gap)
    across = k_gas + 4 * SIGMA * 600**3 * gap / (2 / 0.1 - 1)

    assert stack_conductivity("argon", 600, 1e5, 370, 0.1, 1e-3, 0.1) == pytest.approx(1 / (0.1 / across + 0.9 / 370))
