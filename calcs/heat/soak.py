"""The soak: when the middle of a load is at temperature, and how long the programme must hold for it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import pi, sqrt

from calcs import heat_in_gas, solids, units, wording
from calcs.core import (
    Answer,
    Caution,
    Column,
    Estimate,
    Figures,
    Range,
    ReadOff,
    Refused,
    Shown,
    Work,
    judge,
)  # fmt: skip
from calcs.data import constant
from calcs.form import Field, Form, Problem, Problems
from calcs.heat.beds import POROSITY, bed_conductivity, stack_conductivity
from calcs.heat.conduction import Body, Course, Surface, course
from calcs.heat.segments import COOL, SOAK, Leg, legs, segments_field
from calcs.picture import Axis, Band, Curve, Limit, Plot, Table

PAGE = "HT-03"

SLAB, CYLINDER, SPHERE, BOX = "slab", "cylinder", "sphere", "box"
SHORT, TRAY, STACK, THIN = "short cylinder", "powder tray", "stack", "thin part"
BOTH, ONE = "both", "one"
OWN = "own data"
GASES = ("air", "nitrogen", "argon", "helium", "hydrogen", "carbon dioxide", heat_in_gas.VACUUM)
METALS = solids.LOADS[:9]
WELL_CONDUCTING = 1e6  # W/(m K): a thin part has one temperature

POSITIVE = dict(above=True)
SIZE = Range("0.1 mm", "600 mm", because="Thinner parts follow at once, larger ones do not fit.")
SHARE = Range("0.01", "1", because="No surface radiates less, or more.")

FORM = Form(
    question="When is the middle hot?",
    ask=("shape", "thickness", "material", "load_emissivity", "gas", "segments"),
    one_of=(("load_emissivity", "effective_emissivity"),),
    fields=(
        Field("shape", "Shape", "choice", SLAB, choices=(SLAB, CYLINDER, SPHERE, BOX, SHORT, TRAY, STACK, THIN),
              hint="A tight basket or pack of sheets is a stack."),
        Field("thickness", "Thickness (full) or diameter", "length", "10 mm", accepted=SIZE,
              hint="The smallest way through; depth of a powder."),
        Field("width", "Width (box, short cylinder: height)", "length", "120 mm", optional=True, accepted=SIZE,
              hint="For a box and a short cylinder only."),
        Field("depth", "Depth (box)", "length", "200 mm", optional=True, accepted=SIZE, hint="For a box only."),
        Field("heated_faces", "Faces that see the chamber", "choice", BOTH, optional=True, choices=(BOTH, ONE),
              hint="Empty: both; one for a powder tray."),
        Field("material", "Material", "choice", "copper", choices=(*solids.LOADS, OWN),
              hint="Of the grains, for a powder."),
        Field("density", "Density", "density", "8933 kg/m3", optional=True, in_example=False,
              accepted=Range("0 kg/m3", **POSITIVE), hint="Empty: from the material. Of the bed, for a powder."),
        Field("specific_heat", "Specific heat", "specific heat", "417 J/kg/K", optional=True, in_example=False,
              accepted=Range("0 J/kg/K", **POSITIVE), hint="Empty: from the material, by temperature."),
        Field("conductivity", "Thermal conductivity", "thermal conductivity", "379 W/m/K", optional=True,
              in_example=False,
              accepted=Range("0 W/m/K", **POSITIVE), hint="Empty: from the material. Of the whole bed or stack."),
        Field("material_data", "Own data (rows: temperature, conductivity, specific_heat)", "table",
              ({"temperature": "20 °C", "conductivity": "400 W/m/K", "specific_heat": "385 J/kg/K"},
               {"temperature": "600 °C", "conductivity": "366 W/m/K", "specific_heat": "433 J/kg/K"}),
              optional=True, in_example=False, rows_allowed=(1, 40),
              hint="20 °C 400 W/m/K 385 J/kg/K, one row for each.",
              row=r"(?P<temperature>[-+0-9.]{1,12} *[°a-zA-Z]{1,4})[, ]+(?P<conductivity>[0-9.]{1,12} "
              r"*[mW/K·]{3,8})[, ]+"
                  r"(?P<specific_heat>[0-9.]{1,12} *[kJg/K·]{3,9})",
              columns=(Field("temperature", "Temperature", "temperature", "20 °C",
              accepted=Range("-273 °C", "3500 °C")),
                       Field("conductivity", "Conductivity", "thermal conductivity", "400 W/m/K",
                             accepted=Range("0 W/m/K", **POSITIVE)),
                       Field("specific_heat", "Specific heat", "specific heat", "385 J/kg/K",
                             accepted=Range("0 J/kg/K", **POSITIVE)))),
        Field("porosity", "Porosity of a powder", "number", "0.5", optional=True,
              accepted=Range("0", "1", above=True, below=True),
              hint="0.4 poured coarse, 0.5 to 0.6 fine."),
        Field("particle_size", "Particle size of a powder", "length", "50 µm", optional=True,
              accepted=Range("1 µm", "5 mm", because="Dust and lumps conduct in another way."),
              hint="Of the grains."),
        Field("load_emissivity", "Emissivity of the load", "number", "0.1", accepted=SHARE,
              hint="Bright copper 0.03 to 0.1, oxidised metal 0.6 to 0.8."),
        Field("chamber_emissivity", "Emissivity of the chamber", "number", "0.8", default="0.8", accepted=SHARE),
        Field("load_area", "Load surface", "area", "0.45 m2", optional=True, accepted=Range("0 m2", **POSITIVE),
              hint="All parts together; empty: small against the chamber."),
        Field("inner_area", "Hot face area", "area", "0.50 m2", optional=True, accepted=Range("0 m2", **POSITIVE)),
        Field("effective_emissivity", "Effective emissivity", "number", "0.09", in_example=False, accepted=SHARE,
              hint="Instead of the emissivities and areas."),
        Field("gas", "Gas", "choice", "argon", choices=GASES, hint="Still gas in the chamber."),
        Field("chamber_pressure", "Chamber pressure", "absolute pressure", "1005 mbar", default="101.325 kPa",
              accepted=Range("1e-3 Pa", "2e5 Pa", because="This furnace class is not built for more.")),
        Field("convection_coefficient", "Convection at the load's surface", "heat-transfer coefficient", "4 W/m2/K",
              optional=True, in_example=False, accepted=Range("0 W/m2/K", "2000 W/m2/K"),
              hint="Empty: from gas and shape. With a fan, yours."),
        Field("start_temperature", "Temperature at the start", "temperature", "20 °C", default="20 °C",
              accepted=Range("0 °C", "2500 °C")),
        segments_field(
            example=({"kind": "ramp", "to": "600 °C", "rate": "5 K/min"}, {"kind": "soak", "time": "30 min"}),
            hint="Up to the last soak, which goes on as long as needed: ramp to 600 °C at 5 K/min · soak 30 min."),
        Field("tolerance", "Temperature band, plus or minus", "temperature difference", "5 K", default="10 K",
              accepted=Range("0.5 K", "100 K", because="Narrower than a sensor reads, or wider than any soak bears."),
              hint="How near to the chamber the middle must be."),
        Field("soak_time", "Soak time, load at temperature", "time", "30 min", default="60 min",
              accepted=Range("0 min", "10000 min")),
        Field("at_time", "Look at the time", "time", "116 min", optional=True,
              accepted=Range("0 s", "3000 h", **POSITIVE),
              hint="After the start, to see surface and middle then."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("time", "Middle stays within the band from (after the start of the programme)", "time", "min", "up, range"),
    Shown("lag", "Middle arrives after the chamber by", "time", "min", "up, range"),
    Shown("soak_needed", "Soak to programme", "time", "min", "up, range"),
    Shown("core_temperature", "Middle, at that time", "temperature", "°C", "down, range", range_digits=3),
    Shown("surface_temperature", "Surface, at that time", "temperature", "°C", "near, range", range_digits=3),
    Shown("largest_difference", "Largest difference, surface to middle", "temperature difference", "K", "up, range"),
    Shown("biot", "Biot number", "number", "1", "near", 2),
    Shown("convection_coefficient", "Convection at the load's surface", "heat-transfer coefficient", "W/m2/K", "near",
    2),
    Shown("bed_conductivity", "Conductivity of the powder bed", "thermal conductivity", "W/m/K", "range", 2),
    Shown("curve", "Chamber, surface, middle against time", "table", columns=(
        Column("time", "Time", "time", "min", 4), Column("chamber", "Chamber", "temperature", "°C", 4),
        Column("surface", "Surface", "temperature", "°C", 4), Column("middle", "Middle", "temperature", "°C", 4),
    )),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Lag of a copper plate behind the chamber, both faces, 5 K/min to 600 °C in argon at 1005 mbar, "
        "within 5 K; "
        "load small against the chamber",
        down=("thickness", ("1 mm", "2 mm", "5 mm", "10 mm", "20 mm")),
        across=("load_emissivity", ("0.05", "0.1", "0.3", "0.7")),
        figures=("lag",),
        given={"load_area": "", "at_time": ""},
    ),
    ReadOff(
        caption="Lag of a stainless 304 plate of 10 mm behind the chamber, emissivity 0.3, 5 K/min, within 5 K; gas at "
        "101.325 kPa, vacuum without any",
        down=("segments", ("ramp to 300 °C at 5 K/min · soak 30 min", "ramp to 600 °C at 5 K/min · soak 30 min",
                           "ramp to 900 °C at 5 K/min · soak 30 min")),
        across=("gas", ("argon", "helium", "vacuum")),
        figures=("lag",),
        given={"material": "stainless 304", "load_emissivity": "0.3", "load_area": "", "at_time": "",
        "chamber_pressure": ""},
    ),
)  # fmt: skip


# ---------------------------------------------------------------- physics


def effective_emissivity(load: float, chamber: float, area_ratio: float) -> float:
    """Return the emissivity that counts between a body and the chamber round it: 1/(1/e + A/Aw (1/ew - 1)).

    Args:
        load: emissivity of the load, above 0 to 1.
        chamber: emissivity of the chamber, above 0 to 1.
        area_ratio: surface of the load over that of the chamber, 0 to 1.

    Source:
        grey bodies, one inside the other: Incropera, chapter 13 (known, source not looked up).
    """
    return 1 / (1 / load + area_ratio * (1 / chamber - 1))


@dataclass(frozen=True)
class Form1d:
    """A shape as a one-dimensional body: half thickness, exponent, factor of conductivity, lateness."""

    half_m: float
    exponent: float
    factor: float = 1.0
    late: float = 0.0


def box_form(half_m: tuple[float, float, float]) -> Form1d:
    """Return the one-dimensional body that stands for a box.

    Same volume over surface, and the slowest mode of a box whose surface is held at one temperature.

    Args:
        half_m: three half dimensions, m.

    Source:
        derived for this site; see equivalent-body.
    """
    a, b, c = sorted(half_m)
    exponent = a * (1 / a + 1 / b + 1 / c) - 1
    slowest = (pi / 2) ** 2 * (1 / a**2 + 1 / b**2 + 1 / c**2)
    return _equivalent(a, exponent, slowest, b)


def short_cylinder_form(radius_m: float, half_height_m: float) -> Form1d:
    """Return the one-dimensional body that stands for a short cylinder.

    Args:
        radius_m: radius, m.
        half_height_m: half its height, m.

    Source:
        derived for this site; see equivalent-body. 2.4048 is the first zero of the Bessel function J0.
    """
    smallest = min(radius_m, half_height_m)
    exponent = smallest * (2 / radius_m + 1 / half_height_m) - 1
    slowest = (2.4048 / radius_m) ** 2 + (pi / (2 * half_height_m)) ** 2
    return _equivalent(smallest, exponent, slowest, radius_m if smallest == half_height_m else half_height_m)


def _equivalent(half_m: float, exponent: float, slowest: float, second_m: float) -> Form1d:
    first, rise, bend = (constant(key) for key in ("soak.mode_slab", "soak.mode_rise", "soak.mode_bend"))
    mode = first + rise * exponent + bend * exponent**2  # first mode of slab, cylinder, sphere and between
    flat = second_m >= constant("soak.flat_from") * half_m
    late = constant("soak.late_flat" if flat else "soak.late_compact")
    return Form1d(half_m, exponent, slowest * half_m**2 / mode**2, late)


def lateness(form: Form1d, biot: float) -> float:
    """Return by what a lag of the one-dimensional body is multiplied for a box or a short cylinder, 1 or more.

    Args:
        form: the shape.
        biot: coefficient times half_m over conductivity at the end.

    Source:
        compared with 207 product solutions, Biot number 0.05 to 20; see equivalent-body.
    """
    return 1 + form.late * min(1.0, sqrt(biot))


def spread(emissivity: float) -> tuple[float, float]:
    """Return (low, high) of an emissivity that somebody took from a table.

    Args:
        emissivity: as typed.

    Source:
        soak.bright_factor and soak.dull_spread.
    """
    if emissivity < constant("soak.bright_below"):
        factor = constant("soak.bright_factor")
        return emissivity / factor, min(1.0, emissivity * factor)
    share = constant("soak.dull_spread")
    return emissivity * (1 - share), min(1.0, emissivity * (1 + share))


# ---------------------------------------------------------------- what was asked


@dataclass(frozen=True)
class _Case:
    """One way in which it may be: the likely one, or an end of the range."""

    body: Body
    surface: Surface
    conductivity: Callable[[float], float]  # of what the body is made of, for the Biot number


@dataclass(frozen=True)
class _Asked:
    path: list[Leg]
    corners: list[tuple[float, float]]
    arrives_s: float  # the chamber is at the last temperature
    programmed_s: float | None  # length of the last soak, None without one
    target_k: float
    low_k: float
    high_k: float


def _programme(inputs) -> _Asked:
    start = inputs["start_temperature"]
    return _asked(legs(inputs["segments"], start), start)


def _asked(path: list[Leg], start: float) -> _Asked:
    last = max((i for i, leg in enumerate(path) if leg.kind == SOAK), default=None)
    if last is not None:
        kept, programmed = path[: last + 1], path[last].duration_s
        while len(kept) > 1 and kept[-2].change_k == 0:
            programmed += kept[-2].duration_s
            kept = kept[:-1]
        kept = kept[:-1]
    else:
        kept, programmed = list(path), None
        while kept and kept[-1].kind == COOL and kept[-1].duration_s is None:
            kept.pop()
    for leg in kept:
        if leg.duration_s is None:
            raise Problems({"segments": Problem(
                f"Programme, row {leg.row + 1}: how long it cools by nature hangs on the furnace. Type a rate or a "
                f"time.",
                cell=(leg.row, "rate"))})  # fmt: skip
    time, corners = 0.0, [(0.0, start)]
    for leg in kept:
        time += leg.duration_s
        corners.append((time, leg.end_k))
    temperatures = [k for _, k in corners]
    return _Asked(path, corners, time, programmed, temperatures[-1], min(temperatures), max(temperatures))


def _form(inputs) -> Form1d:
    shape, thickness = inputs["shape"], inputs["thickness"]
    one = (inputs["heated_faces"] or (ONE if shape == TRAY else BOTH)) == ONE
    if shape in (SLAB, TRAY, STACK, THIN):
        return Form1d(thickness if one else thickness / 2, 0.0)
    if shape in (CYLINDER, SPHERE):
        return Form1d(thickness / 2, 1.0 if shape == CYLINDER else 2.0)
    missing = [n for n in ("width", "depth")[: 2 if shape == BOX else 1] if inputs[n] is None]
    if missing:
        labels = {f.name: f.label for f in FORM.fields}
        raise Problems({n: f"{labels[n]}: a {shape} needs it. Type it." for n in missing})
    if shape == BOX:
        return box_form((thickness / 2, inputs["width"] / 2, inputs["depth"] / 2))
    return short_cylinder_form(thickness / 2, inputs["width"] / 2)


def _refuse_size(inputs) -> None:
    area, t = inputs["inner_area"], inputs["thickness"]
    if area is None:
        return
    w, d = inputs["width"] or t, inputs["depth"] or t
    own = {SPHERE: pi * t * t, CYLINDER: pi * t * t / 2, BOX: 2 * (t * w + w * d + t * d),
           SHORT: pi * t * (t / 2 + w)}.get(inputs["shape"], 2 * t * t)  # fmt: skip
    if own > area:
        raise Refused(
            "does_not_fit", "the load is larger than the chamber",
            f"A body of this size has at least {own:.3g} m² of surface; the chamber round it has {area:.3g} m².",
            "Check the sizes and their units.", field="thickness",
        )  # fmt: skip


def _curves(inputs, asked: _Asked) -> tuple[solids.Curve, solids.Curve, list[str]]:
    """Return specific heat and conductivity of the solid against temperature, and notes about their ends."""
    material, rows = inputs["material"], inputs["material_data"]
    if material == OWN:
        typed = inputs["specific_heat"] is not None and inputs["conductivity"] is not None
        if rows is None and not typed:
            raise Problems(
                {"material_data": "Own data: type conductivity and specific heat, one row for each temperature."}
            )
        rows = rows or [{"temperature": asked.target_k, "conductivity": 1.0, "specific_heat": 1.0}]
        found = [solids.typed_curve(OWN, p, [(row["temperature"], row[p.replace(" ", "_")]) for row in rows])
                 for p in ("specific heat", "conductivity")]  # fmt: skip
    else:
        melts = solids.value(material, "melting start")
        if asked.high_k > melts:
            raise Refused(
                "phase_change", "the load melts or softens before that",
                f"{_capital(material)} begins to melt or to soften near {_celsius(melts)}; what it does beyond is "
                f"not worked out here.",
                "Lower the temperature, or ask MAT-01 and the maker of the load.", field="segments",
            )  # fmt: skip
        found = [solids.curve(material, p) for p in ("specific heat", "conductivity")]
    typed = (inputs["specific_heat"], inputs["conductivity"])
    found = [c if v is None else solids.typed_curve(material, c.prop, [(asked.target_k, v)])
             for c, v in zip(found, typed, strict=True)]  # fmt: skip
    return *found, _range_notes(found, asked)


def _range_notes(curves, asked: _Asked) -> list[str]:
    notes = []
    for c in curves:
        if c.is_constant:
            continue
        beyond = asked.high_k - c.temperatures_k[-1]
        if beyond > solids.BEYOND_K:
            raise Refused(
                "data_ended", "the material data end before that",
                f"The {c.prop} of {c.solid} is known up to {_celsius(c.temperatures_k[-1])}; the programme goes to "
                f"{_celsius(asked.high_k)}.",
                f"Up to {solids.BEYOND_K:.0f} K beyond, the last value is held. Type your own data for more.",
                field="material",
            )  # fmt: skip
        if beyond > 0:
            notes.append(
                f"Data of {c.solid} end at {_celsius(c.temperatures_k[-1])} ({c.prop}); the last value is held beyond."
            )
        elif asked.low_k < c.temperatures_k[0] - 50:
            notes.append(
                f"Data of {c.solid} begin at {_celsius(c.temperatures_k[0])} ({c.prop}); the first value is held below."
            )
    return notes


def _pressure(inputs) -> float:
    """Pressure that counts: vacuum without a typed pressure is no gas at all."""
    if inputs["gas"] == heat_in_gas.VACUUM and "chamber_pressure" in inputs.defaulted:
        return 0.0
    return inputs["chamber_pressure"]


def _bed(inputs, asked: _Asked, solid_k: solids.Curve) -> tuple[solids.Curve, solids.Curve, solids.Curve] | None:
    """Return the conductivity of a bed or stack (likely, slow, fast), or None where the solid's own counts."""
    shape = inputs["shape"]
    if shape not in (TRAY, STACK) or inputs["conductivity"] is not None:
        return None
    temperatures = [asked.low_k - 5 + (asked.high_k - asked.low_k + 10) * i / 12 for i in range(13)]
    gas, pressure = inputs["gas"], _pressure(inputs)

    def curve_of(function):
        return solids.typed_curve("bed", "conductivity", [(t, function(t)) for t in temperatures])

    if shape == STACK:
        share, part = constant("beds.gap_share"), constant("beds.part_thickness")
        emissivity = inputs["load_emissivity"] or inputs["effective_emissivity"]
        slow = curve_of(lambda t: stack_conductivity(gas, t, pressure, solid_k.at(t), share, part, emissivity))
        return slow, slow, solid_k
    porosity, grain = inputs["porosity"], inputs["particle_size"]
    missing = {"porosity": porosity, "particle_size": grain}
    if None in missing.values():
        labels = {f.name: f.label for f in FORM.fields}
        raise Problems(
            {
                n: f"{labels[n]}: a powder tray needs it, or the conductivity of the bed."
                for n, v in missing.items()
                if v is None
            }
        )
    if porosity not in POROSITY:
        raise Refused(
            "porosity_outside", "no bed of powder is so dense, or so loose",
            f"The model of the bed holds for a porosity of {POROSITY.said}. {POROSITY.because}",
            "Type the conductivity of the bed if you know it.", field="porosity",
        )  # fmt: skip
    contact = constant("beds.contact_metal" if inputs["material"] in METALS else "beds.contact_ceramic")
    dark = constant("beds.grain_emissivity")
    likely, slow = (
        curve_of(
            lambda t, touching=touching: bed_conductivity(
                gas, t, pressure, solid_k.at(t), porosity, grain, dark, touching
            )
        )
        for touching in (contact, 0.0)
    )
    return likely, slow, likely


def _density(inputs) -> float:
    if inputs["density"] is not None:
        return inputs["density"]
    if inputs["material"] == OWN:
        raise Problems({"density": "Density: own data need it. Type it."})
    share = 1.0
    if inputs["shape"] == TRAY and inputs["porosity"] is not None:
        share = 1 - inputs["porosity"]
    if inputs["shape"] == STACK:
        share = 1 - constant("beds.gap_share")
    return solids.value(inputs["material"], "density") * share


def _emissivities(inputs) -> tuple[float, float, float]:
    """Return the effective emissivity: likely, low, high."""
    if inputs["effective_emissivity"] is not None:
        typed = inputs["effective_emissivity"]
        return typed, *spread(typed)
    ratio = 0.0
    if inputs["load_area"] is not None and inputs["inner_area"] is not None:
        ratio = min(1.0, inputs["load_area"] / inputs["inner_area"])
    typed = inputs["load_emissivity"]
    return tuple(effective_emissivity(e, inputs["chamber_emissivity"], ratio) for e in (typed, *spread(typed)))


def _convection(inputs, factor: float):
    """Return the function (surface K, chamber K) to W/(m² K)."""
    if inputs["convection_coefficient"] is not None:
        typed = inputs["convection_coefficient"]
        return lambda surface, around: typed
    gas, pressure, gap = inputs["gas"], _pressure(inputs), constant("soak.gap")
    height = constant("soak.part_height")
    if inputs["shape"] in (CYLINDER, SPHERE, BOX, SHORT):
        height = max(inputs["thickness"], inputs["width"] or 0.0 if inputs["shape"] in (BOX, SHORT) else 0.0, 0.01)
    return lambda surface, around: factor * heat_in_gas.convection(gas, surface, around, pressure, height, gap)


def _cases(inputs, asked: _Asked, form: Form1d) -> tuple[list[_Case], list[str], tuple | None]:
    """Return the likely, slow and fast case, notes, and the conductivity of a bed."""
    heat, solid_k, notes = _curves(inputs, asked)
    bed, density = _bed(inputs, asked, solid_k), _density(inputs)
    inside = bed or (solid_k,) * 3
    wide = constant("soak.convection_spread")
    found = []
    for emissivity, convection, k in zip(_emissivities(inputs), (1.0, 1 - wide, 1 + wide), inside, strict=True):
        conductivity = k.at if inputs["shape"] != THIN else (lambda t: WELL_CONDUCTING)
        body = Body(form.half_m, form.exponent, density, heat.at, conductivity, form.factor)
        found.append(_Case(body, Surface(emissivity, _convection(inputs, convection)), k.at))
    return found, notes, bed


# ---------------------------------------------------------------- the answer


@dataclass(frozen=True)
class _Found:
    """What one case came to."""

    course: Course
    inside_s: float | None
    lag_s: float | None
    biot: float


def _work_out(case: _Case, asked: _Asked, form: Form1d, inputs) -> _Found:
    band = inputs["tolerance"]
    until = max(inputs["at_time"] or 0.0, asked.arrives_s + (asked.programmed_s or 0.0))
    went = course(
        case.body, case.surface, asked.corners, inputs["start_temperature"], band, until, min(0.12, band / 20)
    )
    coefficient = case.surface.coefficient(asked.target_k, asked.target_k)
    biot = coefficient * form.half_m / (case.conductivity(asked.target_k) * form.factor)
    if went.inside_from_s is None:
        return _Found(went, None, None, biot)
    lag = max(0.0, went.inside_from_s - asked.arrives_s) * (lateness(form, biot) if form.late else 1.0)
    inside = went.inside_from_s if lag == 0 else asked.arrives_s + lag
    return _Found(went, inside, lag, biot)


def _three(cases, asked: _Asked, form: Form1d, inputs) -> tuple[_Found, _Found, _Found]:
    """Return what the likely, the slow and the fast case came to."""
    likely, slow, fast = (_work_out(case, asked, form, inputs) for case in cases)
    if form.late:
        fast = replace(fast, lag_s=max(0.0, (fast.course.inside_from_s or asked.arrives_s) - asked.arrives_s))
        fast = replace(fast, inside_s=min(fast.inside_s, asked.arrives_s + fast.lag_s) if fast.inside_s else None)
    if likely.inside_s is None:
        raise Refused(
            "no_heat_exchange", "almost no heat reaches the middle",
            "Within 1000 hours the middle does not come within the band: nearly nothing carries heat to it.",
            "Let gas in, spread the load thinner, or widen the band.", field="gas",
        )  # fmt: skip
    return likely, slow, fast


def lag_of(path: list[Leg], known: dict) -> Estimate:
    """Return by how much the middle of a load comes later than the chamber, s, with its range.

    Args:
        path: the legs up to and with the soak that is judged, each with its time.
        known: values by the names of FORM, SI: start_temperature, shape, thickness, material, load_emissivity, gas,
            chamber_pressure and what else is known. The tolerance and the emissivity of the chamber are those of the
            form where they are left out.

    Raises:
        Refused: as the page does, where data end, the load melts or no heat reaches the middle.
        Problems: where a leg has no time of its own.

    Source:
        the same cases and the same course as the page.
    """
    defaults = ("tolerance", "chamber_emissivity")
    read = {name: units.read(FORM.by_name[name].kind, FORM.by_name[name].default).si for name in defaults}
    values = {field.name: None for field in FORM.fields} | read | known
    asked, form = _asked(list(path), values["start_temperature"]), _form(values)
    cases, _, _ = _cases(values, asked, form)
    likely, slow, fast = _three(cases, asked, form, values)
    return _estimate(likely.lag_s, fast.lag_s, slow.lag_s, "mostly the emissivity of the load")


def answer(inputs) -> Answer:
    """Return when the middle is within the band, the soak to programme, and the range of both.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above and calcs.heat.conduction.
    """
    asked, form = _programme(inputs), _form(inputs)
    _refuse_size(inputs)
    cases, notes, bed = _cases(inputs, asked, form)
    likely, slow, fast = _three(cases, asked, form, inputs)
    figures = FIGURES.fill(**_values(inputs, asked, likely, slow, fast, bed, cases[0]))
    programmed, needed = asked.programmed_s, figures["soak_needed"]
    verdict = "within"
    if programmed is not None:
        verdict = judge(needed.value, programmed, needed.high_value or float("inf")) if programmed > 0 else "outside"
    return Answer(
        sentence=_sentence(inputs, asked, figures, programmed, verdict), verdict=verdict, judged=programmed is not None,
        figures=figures, leaves_out=_leaves_out(inputs), cautions=_cautions(inputs, likely, asked),
        pictures=(_picture(inputs, asked, likely, figures),),
        working=_working(inputs, asked, form, cases, likely, figures),
        notes=(*notes, *_notes(inputs, form, likely)),
    )  # fmt: skip


def _estimate(value, low, high, cause) -> Estimate:
    ends = [v for v in (value, low, high) if v is not None]
    return Estimate(value, min(ends), None if high is None else max(ends), cause)


def _values(inputs, asked, likely, slow, fast, bed, case) -> dict:
    cause = "mostly the emissivity of the load" if not bed else "mostly how well the bed conducts"
    time = _estimate(likely.inside_s, fast.inside_s, slow.inside_s, cause)
    lag = _estimate(likely.lag_s, fast.lag_s, slow.lag_s, cause)
    wanted = inputs["soak_time"]
    needed = Estimate(lag.value + wanted, lag.low + wanted, None if lag.high is None else lag.high + wanted, cause)
    all_three = (likely.course, slow.course, fast.course)
    spans = [c.largest_difference for c in all_three]
    found = {
        "time": time, "lag": lag, "soak_needed": needed, "biot": likely.biot,
        "largest_difference": None if inputs["shape"] == THIN else Estimate(spans[0], min(spans), max(spans), cause),
        "convection_coefficient": case.surface.convection(*_surface_at(likely.course, asked.arrives_s)),
        "curve": _curve_rows(likely.course),
    }  # fmt: skip
    if inputs["at_time"] is not None:
        looks = [c.at(inputs["at_time"]) for c in all_three]
        for place, name in ((2, "core_temperature"), (1, "surface_temperature")):
            values = [look[place] for look in looks]
            found[name] = Estimate(values[0], min(values), max(values), cause)
    if bed:
        ends = [k.at(asked.target_k) for k in bed]
        found["bed_conductivity"] = Estimate(ends[0], min(ends), max(ends),
            "contact of the grains" if inputs["shape"] == TRAY
                                             else "contact of the parts")  # fmt: skip
    return found


def _surface_at(went: Course, time_s: float) -> tuple[float, float]:
    around, surface, _ = went.at(time_s)
    return surface, around


def _curve_rows(went: Course) -> list[dict]:
    end = went.points[-1][0]
    rows = []
    for i in range(13):
        chamber, surface, middle = went.at(end * i / 12)
        rows.append({"time": end * i / 12, "chamber": chamber, "surface": surface, "middle": middle})
    return rows


def _celsius(kelvin: float) -> str:
    return wording.with_unit(wording.plain_number(round(kelvin - constant("general.zero_celsius"), 1)), "°C")


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _span(figure) -> str:
    """ "25 to 60 min", or "at least 25 min"; times up to the next minute."""
    low = wording.duration(figure.low_value, "down")
    if figure.high_value is None:
        return f"at least {low}"
    high = wording.duration(figure.high_value, "up")
    return low if low == high else f"{low} to {high}"


def _sentence(inputs, asked, figures, programmed, verdict) -> str:
    band, target = inputs.said("tolerance"), _celsius(asked.target_k)
    lag, needed = figures["lag"], figures["soak_needed"]
    if lag.high_value == 0:
        said = f"The middle stays within {band} of the chamber all the way to {target}"
    else:
        said = (f"The middle comes within {band} of {target} {_span(lag)} after the chamber, likely "
                f"{wording.duration(lag.value, 'up')}")  # fmt: skip
    said += f". For {inputs.said('soak_time')} at temperature, programme a soak of {_span(needed)}"
    if programmed is None:
        return f"{said}."
    there = wording.duration(programmed)
    if verdict == "outside":
        short = wording.duration(needed.value - programmed, "up")
        return f"{said}; the {there} in the programme end too early, by about {short}."
    return f"{said}; the programme has {there}" + (", which may be too short." if verdict == "close" else ".")


def _leaves_out(inputs) -> tuple[str, ...]:
    return (
        "parts that shade each other: a shaded part heats at half to a third of the rate (common practice, no source)",
        "supports and trays that carry heat in or out, and gas driven by a fan",
        "heat taken or given by drying, binder, melting or reaction; unevenness of the chamber (HT-07)",
    )


def _cautions(inputs, likely: _Found, asked: _Asked) -> tuple[Caution, ...]:
    found = []
    if likely.course.largest_lag > constant("soak.late_cooling"):
        found.append(Caution(
            "WARNING", "Hot inside when it reads cold",
            "What heats late cools late: the middle can burn you, or catch fire in air, when the chamber reads cold.",
            "Decide the opening by a thermocouple in the load, or wait as HT-05 says.",
        ))  # fmt: skip
    if inputs["shape"] == TRAY:
        found.append(Caution(
            "WARNING", "Fine powder",
            "Powder that is pumped fast is thrown through the chamber and the pump; fine metal powder burns in air "
            "while warm.",
            "Pump slowly through a filter, cover the tray with a mesh, and open only when it is cold all through.",
        ))  # fmt: skip
    found.append(Caution(
        "NOTICE", "Soak counted too early",
        "A soak that counts from the chamber's arrival can end while the middle is cold.",
        "Put a thermocouple into the load once, and start the count when it is within the band.",
    ))  # fmt: skip
    return tuple(found)


def _notes(inputs, form: Form1d, likely: _Found) -> list[str]:
    notes, material, emissivity = [], inputs["material"], inputs["load_emissivity"]
    if emissivity is not None and material != OWN:
        ends = [solids.curve(material, f"emissivity {state}") for state in ("bright", "oxidised")
                if solids.has(material, f"emissivity {state}")]  # fmt: skip
        if ends:
            low, high = min(min(c.values) for c in ends), max(max(c.values) for c in ends)
            if not low / 1.5 <= emissivity <= min(1.0, high * 1.2):
                notes.append(f"Unusual: tables give {material} an emissivity of {low:g} to {high:g}, bright to "
                             f"oxidised; "
                             f"you typed {wording.plain_number(emissivity)}.")  # fmt: skip
    if emissivity is not None and emissivity < constant("soak.bright_below"):
        notes.append(
            "Bright metal: its emissivity may be half or twice as much, and rises as it oxidises. The range "
            "says what that does."
        )
    if inputs["load_area"] is None and inputs["effective_emissivity"] is None:
        notes.append("Without a load surface the load counts as small against the chamber.")
    elif inputs["inner_area"] and inputs["load_area"] and inputs["load_area"] > inputs["inner_area"]:
        notes.append(
            "The load has more surface than the chamber: its parts see each other. The surfaces count as equal."
        )
    if inputs["gas"] == heat_in_gas.VACUUM:
        notes.append("No pressure is typed: no gas is reckoned with." if _pressure(inputs) == 0 else
                     f"Vacuum is residual air at {inputs.said('chamber_pressure')}.")  # fmt: skip
    if form.late:
        notes.append("Boxes and short cylinders are worked out as a one-dimensional body, with a margin on its lag.")
    if inputs["shape"] == STACK:
        notes.append(
            "A stack of parts of 1 mm with a tenth of gaps is reckoned with: like gas-filled gaps (late end and likely "
            "value) or like one solid piece (early end). Type conductivity and density if you know them."
        )
    if material == "carbon steel" and likely.course.points[-1][1] > 1000:
        notes.append("Carbon steel takes up much heat at 735 °C while it changes form; that is reckoned with.")
    if inputs["shape"] == THIN and likely.biot > 0.1:
        notes.append("The Biot number is above 0.1: this part is not thin. Choose slab, and see the middle.")
    if material == "quartz glass":
        notes.append(
            "Quartz glass lets part of the heaters' radiation through; it heats more evenly than reckoned here."
        )
    return notes


def _picture(inputs, asked: _Asked, likely: _Found, figures) -> Plot:
    zero, band = constant("general.zero_celsius"), inputs["tolerance"]
    end = likely.course.points[-1][0] * 1.02
    steps = [end * i / 90 for i in range(91)]
    looks = [likely.course.at(t) for t in steps]
    lines = [[(t / 60, look[i] - zero) for t, look in zip(steps, looks, strict=True)] for i in range(3)]
    target = asked.target_k - zero
    rows = [
        (wording.number(t / 60), *(wording.number(v - zero, 4) for v in look))
        for t, look in list(zip(steps, looks, strict=True))[::9]
    ]
    lag = figures["lag"]
    return Plot(
        sentence=f"The middle arrives {_span(lag)} after the chamber" if lag.high_value != 0 else "The middle keeps "
        "up with the chamber",
        description=f"Chamber, surface and middle of the load in °C against time, {wording.duration(end)} in all, "
        f"likely case; "
        f"the band is {inputs.said('tolerance')} either way of {_celsius(asked.target_k)}.",
        x=Axis("Time", "min"), y=Axis("Temperature", "°C"),
        curves=(Curve("chamber", lines[0], dash="dotted"), Curve("surface", lines[1], dash="dashed"),
        Curve("middle", lines[2])),
        bands=(Band("band", [(0.0, target - band), (end / 60, target - band)],
        [(0.0, target + band), (end / 60, target + band)]),),
        limits=(Limit("middle inside", likely.inside_s / 60, "x"),) if likely.inside_s else (),
        table=Table("Chamber, surface and middle", ("Time, min", "Chamber, °C", "Surface, °C", "Middle, °C"), rows),
    )  # fmt: skip


def _working(inputs, asked, form: Form1d, cases, likely: _Found, figures) -> tuple[Work, ...]:
    case = cases[0]
    body, k = case.body, case.conductivity(asked.target_k)
    coefficient = case.surface.coefficient(asked.target_k, asked.target_k)
    emissivities = " / ".join(f"{c.surface.emissivity:.3g}" for c in cases)
    return (
        Work("Heat into the surface", "q = ε σ (T_chamber⁴ − T_surface⁴) + h (T_chamber − T_surface)",
             f"ε = {emissivities} (likely / slow / fast), h = {figures['convection_coefficient'].value:.3g} W/m²/K "
             f"as the chamber arrives",
             f"together {coefficient:.3g} W/m²/K at {_celsius(asked.target_k)}", ("heat_in_gas.stefan_boltzmann",),
             "incropera"),
        Work("Biot number", "Bi = (h + 4 ε σ T³) L/k",
        f"L = {form.half_m * 1e3:.4g} mm, k = {k * form.factor:.4g} W/m/K",
             f"{likely.biot:.3g}"),
        Work("Inside", "ρ c ∂T/∂t = x⁻ᵐ ∂/∂x (xᵐ k ∂T/∂x)",
             f"m = {form.exponent:.3g}, ρ = {body.density:.5g} kg/m³, c = {body.specific_heat(asked.target_k):.4g} "
             f"J/kg/K at the end",
             f"{len(likely.course.points)} steps, each checked by two halves"),
        Work("Soak to programme", "lag + soak time", f"{wording.duration(likely.lag_s)} + {inputs.said('soak_time')}",
             wording.duration(likely.lag_s + inputs["soak_time"], "up")),
    )  # fmt: skip
