"""Thermal stress: how fast a brittle part may be heated or cooled, and what sudden change it bears."""

from dataclasses import dataclass
from functools import cache
from math import exp, log

from calcs import solids, wording
from calcs.core import Answer, Caution, Figures, Range, ReadOff, Refused, Shown, Work
from calcs.data import constant, rows
from calcs.form import Field, Form, Problems
from calcs.picture import Axis, Curve, Limit, Mark, Plot, Table

PAGE = "HT-04"

STEADY, SUDDEN = "steady ramp", "sudden change"
RAMP, CHANGE = (STEADY,), (SUDDEN,)
SLAB, CYLINDER, SPHERE, WALL = "slab", "cylinder", "sphere", "tube wall"
BOTH, ONE = "both", "one"
HEATING, COOLING = "heating", "cooling"
OWN = "own data"
PROPERTIES = {  # input: name in the table of solids
    "conductivity": "conductivity", "density": "density", "specific_heat": "specific heat",
    "young_modulus": "young modulus", "expansion": "expansion", "poisson": "poisson",
}  # fmt: skip
# Share of E a dT/(1 - nu) that is the tension at the surface (cooling) and in the middle (heating): these follow
# from the steady profiles, mean less surface and middle less mean.
TENSION = {
    SLAB: {COOLING: 2 / 3, HEATING: 1 / 3},
    CYLINDER: {COOLING: 1 / 2, HEATING: 1 / 2},
    SPHERE: {COOLING: 2 / 5, HEATING: 2 / 5},
}
RAMP_PARTS = {
    SLAB: "stress.ramp_difference_slab", CYLINDER: "stress.ramp_difference_cylinder",
    SPHERE: "stress.ramp_difference_sphere",
}  # fmt: skip
MEAN_LAG = {SLAB: 2 / 3, CYLINDER: 1 / 2, SPHERE: 2 / 5}  # surface to mean over surface to middle

FORM = Form(
    question="How fast may it be heated or cooled?",
    modes=(STEADY, SUDDEN),
    ask=("shape", "thickness", "material", "direction", "ramp", "temperature_step", "convection_coefficient"),
    one_of=(("convection_coefficient", "biot"),),
    fields=(
        Field("shape", "Shape", "choice", SLAB, choices=(SLAB, CYLINDER, SPHERE, WALL),
              hint="A tube wall is heated from one side."),
        Field("thickness", "Thickness (full) or diameter", "length", "10 mm",
              accepted=Range("0.2 mm", "600 mm",
              because="Thinner parts have no difference worth a name, larger ones do not fit."),
              hint="Full thickness; for a tube that of its wall."),
        Field("heated_faces", "Faces that see the chamber", "choice", BOTH, default=BOTH, choices=(BOTH, ONE),
              hint="Slabs only: one face makes it four times slower."),
        Field("material", "Material", "choice", "alumina", choices=(*solids.BRITTLE, OWN),
              hint="Typical grades; own data are better."),
        Field("direction", "Heating or cooling", "choice", HEATING, choices=(HEATING, COOLING),
              hint="Cooling puts the surface in tension."),
        Field("ramp", "Heating ramp", "ramp rate", "5 K/min", default="5 K/min", modes=RAMP,
              accepted=Range("0 K/min", above=True), hint="Of the part's surface, up or down."),
        Field("temperature_step", "Sudden change of surroundings", "temperature difference", "150 K", modes=CHANGE,
              accepted=Range("0 K", "3000 K", above=True), hint="Part less surroundings, in the first moment."),
        Field("convection_coefficient", "Convection at the load's surface", "heat-transfer coefficient", "10 W/m2/K",
              modes=CHANGE,
              accepted=Range("0 W/m2/K", above=True),
              hint="Still gas 10, blown gas 50 to 100, water 2000 and more. Add radiation."),
        Field("biot", "Biot number", "number", "0.02", modes=CHANGE, in_example=False, accepted=Range("0", above=True),
              hint="Instead of the coefficient."),
        Field("conductivity", "Thermal conductivity", "thermal conductivity", "11.4 W/m/K", optional=True,
              in_example=False,
              accepted=Range("0 W/m/K", above=True), hint="Empty: from the material, at 500 °C."),
        Field("density", "Density", "density", "3943 kg/m3", optional=True, in_example=False,
              accepted=Range("0 kg/m3", above=True), hint="Empty: from the material."),
        Field("specific_heat", "Specific heat", "specific heat", "1165 J/kg/K", optional=True, in_example=False,
              accepted=Range("0 J/kg/K", above=True), hint="Empty: from the material, at 500 °C."),
        Field("diffusivity", "Diffusivity", "diffusivity", "2.5e-6 m2/s", optional=True, in_example=False,
              accepted=Range("0 m2/s", above=True), hint="Empty: from the three above."),
        Field("young_modulus", "Young's modulus", "stress", "390 GPa", optional=True, in_example=False,
              accepted=Range("0 GPa", above=True), hint="Empty: from the material."),
        Field("expansion", "Expansion coefficient", "expansion coefficient", "7.6e-6/K", optional=True,
              in_example=False,
              accepted=Range("0 1/K", above=True), hint="Empty: from the material."),
        Field("poisson", "Poisson's ratio", "number", "0.231", optional=True, in_example=False,
              accepted=Range("0", "0.5"),
              hint="Empty: from the material."),
        Field("strength", "Bending strength, mean", "stress", "380 MPa", optional=True, in_example=False,
              accepted=Range("0 MPa", above=True), hint="Empty: from the material, at 20 °C."),
        Field("safety_factor", "Safety factor", "number", "4", default="4", accepted=Range("1"),
              hint="Strength over what is allowed; 4 on a mean strength."),
        Field("allowable_stress", "Tension allowed", "stress", "95 MPa", optional=True, in_example=False,
              accepted=Range("0 MPa", above=True), hint="Instead of strength and safety factor."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("ramp_allowed", "Ramp that the load survives", "ramp rate", "K/min", "down", 2, RAMP),
    Shown("stress", "Largest tension", "stress", "MPa", "up"),
    Shown("reserve", "Strength over tension", "number", "1", "down", 2),
    Shown("temperature_difference", "Surface to middle", "temperature difference", "K", "up"),
    Shown("mean_lag", "Surface to mean", "temperature difference", "K", "up", 3, RAMP),
    Shown("difference_allowed", "Difference that it bears", "temperature difference", "K", "down"),
    Shown("stress_factor", "Stress factor of a sudden change", "number", "1", "up", 3, CHANGE),
    Shown("step_allowed", "Sudden change that it bears", "temperature difference", "K", "down", 2, CHANGE),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Ramp that a plate survives by conduction alone, heated or cooled on both faces, cooling, safety "
        "factor 4",
        down=("material", ("alumina", "mullite", "zirconia", "quartz glass", "silicon carbide", "chamber brick")),
        across=("thickness", ("5 mm", "10 mm", "20 mm", "50 mm", "100 mm")),
        figures=("ramp_allowed",),
        given={"direction": COOLING},
    ),
    ReadOff(
        caption="Sudden change that a plate of 10 mm bears, safety factor 4, against the heat-transfer coefficient "
        "(radiation added)",
        down=("material", ("alumina", "mullite", "zirconia", "quartz glass", "silicon carbide", "chamber brick")),
        across=("convection_coefficient", ("20 W/m2/K", "100 W/m2/K", "400 W/m2/K", "5000 W/m2/K")),
        figures=("step_allowed",),
        given={"mode": SUDDEN, "direction": COOLING},
    ),
)  # fmt: skip


# ---------------------------------------------------------------- physics


@dataclass(frozen=True)
class Solid:
    """What a brittle solid is, SI units. `strength_pa` is None where only the allowed tension is known."""

    conductivity: float | None
    diffusivity: float | None
    young_pa: float
    expansion_per_k: float
    poisson: float
    allowed_pa: float
    strength_pa: float | None

    @property
    def stiffness_pa_per_k(self) -> float:
        """Stress of one kelvin that is fully held back in two directions, Pa/K: E a/(1 - nu)."""
        return self.young_pa * self.expansion_per_k / (1 - self.poisson)


def ramp_difference(shape: str, depth_m: float, ramp_k_per_s: float, diffusivity_m2_per_s: float) -> float:
    """Return the difference from surface to middle on a steady ramp, K: r L²/(n a).

    Args:
        shape: SLAB, CYLINDER or SPHERE.
        depth_m: half thickness of a slab with both faces in the chamber, full thickness with one; radius, m.
        ramp_k_per_s: rate of the surface, K/s.
        diffusivity_m2_per_s: k/(rho c), m²/s, above 0.

    Source:
        Carslaw and Jaeger 1959, steady part; n = 2, 4, 6.
    """
    return ramp_k_per_s * depth_m**2 / (constant(RAMP_PARTS[shape]) * diffusivity_m2_per_s)


def ramp_limit(shape: str, depth_m: float, diffusivity_m2_per_s: float, difference_k: float) -> float:
    """Return the ramp, K/s, at which surface and middle differ by so many kelvin.

    Args:
        shape: see ramp_difference.
        depth_m: see ramp_difference.
        diffusivity_m2_per_s: see ramp_difference.
        difference_k: difference that the part bears, K.

    Source:
        ramp_difference turned round.
    """
    return difference_k / ramp_difference(shape, depth_m, 1.0, diffusivity_m2_per_s)


def difference_allowed(solid: Solid, share: float = 1.0) -> float:
    """Return the temperature difference, K, at which the tension reaches what is allowed.

    Args:
        solid: the material.
        share: tension as a share of E a dT/(1 - nu); 1 for a surface that is fully held back.

    Source:
        Kingery 1955: dT = sigma (1 - nu)/(E a).
    """
    return solid.allowed_pa / (solid.stiffness_pa_per_k * share)


def table_solid(material: str) -> Solid:
    """Return a brittle solid with its values of the table, the tension allowed by the safety factor of the form.

    Args:
        material: a name of solids.BRITTLE.

    Source:
        data/solids.csv, at stress.property_temperature.
    """
    hot = constant("stress.property_temperature")
    k, density, heat, young, expansion, poisson = (solids.value(material, name, hot) for name in PROPERTIES.values())
    strength = solids.value(material, "strength")
    factor = float(FORM.by_name["safety_factor"].default)
    return Solid(k, k / (density * heat), young, expansion, poisson, strength / factor, strength)


def ramp_survived(material: str, shape: str, depth_m: float, direction: str) -> float:
    """Return the ramp, K/s, that a part of a brittle material survives by conduction alone, with the safety factor.

    Args:
        material: a name of solids.BRITTLE.
        shape: SLAB, CYLINDER or SPHERE.
        depth_m: see ramp_difference.
        direction: HEATING or COOLING.

    Source:
        table_solid, difference_allowed and ramp_limit.
    """
    solid = table_solid(material)
    return ramp_limit(shape, depth_m, solid.diffusivity, difference_allowed(solid, TENSION[shape][direction]))


@cache
def _factors() -> dict[str, list[tuple[float, float]]]:
    """The table of data/heat/stress_factors.csv by column: (log of biot, log of share)."""
    table = rows("heat/stress_factors.csv")
    return {
        name: [(log(float(row["biot"])), log(float(row[name]))) for row in table] for name in table[0] if name != "biot"
    }


def sudden_share(shape: str, what: str, biot: float) -> float:
    """Return the largest surface stress, or difference, of a sudden change as a share of the change, 0 to 1.

    Args:
        shape: SLAB, CYLINDER or SPHERE.
        what: "stress" for (mean - surface), "difference" for (middle - surface).
        biot: coefficient times depth over conductivity, above 0.

    Source:
        data/heat/stress_factors.csv, from the exact series; Manson 1966 has 1.5 + 3.25/Bi - 0.5 exp(-16/Bi)
        for the inverse in a plate, within 6 % of it.
    """
    points = _factors()[f"{shape}_{what}"]
    x = log(biot)
    if x <= points[0][0]:
        # Towards nothing the surface lags the mean by biot/3, /4, /5 and the middle by biot/2; meet the table there.
        part = 2 if what == "difference" else {SLAB: 3, CYLINDER: 4, SPHERE: 5}[shape]
        first, share = exp(points[0][0]), exp(points[0][1])
        return biot / part / (1 + biot / first * (first / part / share - 1))
    if x >= points[-1][0]:
        return 1.0
    i = next(n for n, (place, _) in enumerate(points) if place > x)
    (x0, y0), (x1, y1) = points[i - 1], points[i]
    return exp(y0 + (y1 - y0) * (x - x0) / (x1 - x0))


# ---------------------------------------------------------------- what was asked


@dataclass(frozen=True)
class _Case:
    shape: str  # SLAB, CYLINDER, SPHERE
    depth_m: float
    solid: Solid
    direction: str


def _case(inputs) -> _Case:
    shape, one = inputs["shape"], inputs["heated_faces"] == ONE
    full = shape == WALL or (shape == SLAB and one)
    depth = inputs["thickness"] if full else inputs["thickness"] / 2
    return _Case(SLAB if shape == WALL else shape, depth, _solid(inputs), inputs["direction"])


def _property(inputs, name: str) -> float | None:
    """A property as typed, else from the table; None where neither has it."""
    if inputs[name] is not None:
        return inputs[name]
    if inputs["material"] == OWN:
        return None
    return solids.value(inputs["material"], PROPERTIES[name], constant("stress.property_temperature"))


def _solid(inputs) -> Solid:
    found = {name: _property(inputs, name) for name in PROPERTIES}
    strength, allowed = _strengths(inputs)
    diffusivity = inputs["diffusivity"]
    thermal = ("conductivity", "density", "specific_heat")
    if diffusivity is None and all(found[n] is not None for n in thermal):
        diffusivity = found["conductivity"] / (found["density"] * found["specific_heat"])
    needed = ["young_modulus", "expansion", "poisson"]
    if inputs.mode == STEADY and diffusivity is None:
        needed += thermal
    if inputs.mode == SUDDEN and inputs["biot"] is None:
        needed.append("conductivity")
    labels = {f.name: f.label for f in FORM.fields}
    missing = [n for n in needed if found[n] is None]
    if missing:
        raise Problems({n: f"{labels[n]}: own data need it. Type it." for n in missing})
    if max(allowed, strength or 0.0) > constant("stress.elastic_strain") * found["young_modulus"]:
        raise Refused(
            "not_elastic", "strength and modulus do not belong together",
            "A strength above a twentieth of Young's modulus is that of no brittle solid; beyond it nothing is "
            "elastic.",
            "Check the units: strength in MPa, Young's modulus in GPa.", field="strength",
        )  # fmt: skip
    return Solid(found["conductivity"], diffusivity, found["young_modulus"], found["expansion"], found["poisson"],
                 allowed, strength)  # fmt: skip


def _strengths(inputs) -> tuple[float | None, float]:
    """Return (mean strength or None, allowed tension) in Pa."""
    strength, allowed = inputs["strength"], inputs["allowable_stress"]
    if allowed is not None and (
        strength is not None or inputs.given("safety_factor") and inputs.said("safety_factor") != "4"
    ):
        raise Problems({"allowable_stress": "Tension allowed, and strength with safety factor, say the same thing "
                                            "twice. "
                                            "Leave one of them empty."})  # fmt: skip
    if strength is None and inputs["material"] != OWN:
        strength = solids.value(inputs["material"], "strength")
    if allowed is not None:
        return strength, allowed
    if strength is None:
        raise Refused(
            "no_strength", "the strength is missing",
            "Whether a brittle part cracks hangs on its strength, and own data were chosen without one.",
            "Type the mean bending strength, or the tension allowed.", "The maker of the part has it.",
            field="strength",
        )  # fmt: skip
    return strength, strength / inputs["safety_factor"]


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return tension, reserve and the ramp or the sudden change that the part bears.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    case = _case(inputs)
    return _steady(inputs, case) if inputs.mode == STEADY else _sudden(inputs, case)


def _verdict(case: _Case, tension: float) -> str:
    """Within what is allowed; close down to the least reserve of strength; outside below it."""
    solid = case.solid
    if tension <= solid.allowed_pa * (1 + 1e-9):
        return "within"
    if solid.strength_pa and tension <= solid.strength_pa / constant("stress.least_reserve"):
        return "close"
    return "outside"


def _steady(inputs, case: _Case) -> Answer:
    solid, share = case.solid, TENSION[case.shape][case.direction]
    difference = ramp_difference(case.shape, case.depth_m, inputs["ramp"], solid.diffusivity)
    tension = solid.stiffness_pa_per_k * share * difference
    bears = difference_allowed(solid, share)
    limit = ramp_limit(case.shape, case.depth_m, solid.diffusivity, bears)
    figures = FIGURES.fill(
        temperature_difference=difference, mean_lag=difference * MEAN_LAG[case.shape], stress=tension,
        reserve=(solid.strength_pa or solid.allowed_pa) / tension, ramp_allowed=limit, difference_allowed=bears,
    )  # fmt: skip
    verdict = _verdict(case, tension)
    said = (
        f"{_capital(inputs['direction'])} at {inputs.said('ramp')}, {_part(inputs)} has "
        f"{figures['temperature_difference'].text} "
        f"from surface to middle and a tension of {figures['stress'].text}; {_allowed(case)}. "
        f"By conduction alone it bears up to {figures['ramp_allowed'].text}."
    )  # fmt: skip
    return Answer(
        sentence=said, verdict=verdict, judged=True, figures=figures, leaves_out=_leaves_out(case),
        cautions=_cautions(inputs),
        pictures=(_ramp_picture(inputs, case, limit),), working=_steady_working(inputs, case, figures, share),
        notes=_notes(inputs, case, limit),
    )  # fmt: skip


def _sudden(inputs, case: _Case) -> Answer:
    solid = case.solid
    biot = inputs["biot"]
    if biot is None:
        biot = inputs["convection_coefficient"] * case.depth_m / solid.conductivity
    share = sudden_share(case.shape, "stress", biot)
    step = inputs["temperature_step"]
    tension = solid.stiffness_pa_per_k * share * step
    figures = FIGURES.fill(
        temperature_difference=sudden_share(case.shape, "difference", biot) * step, stress=tension,
        reserve=(solid.strength_pa or solid.allowed_pa) / tension, difference_allowed=difference_allowed(solid),
        stress_factor=share, step_allowed=difference_allowed(solid, share),
    )  # fmt: skip
    said = (
        f"A sudden change of {inputs.said('temperature_step')} at a Biot number of {wording.number(biot, 2)} puts at "
        f"most "
        f"{figures['stress'].text} on {_part(inputs)}; {_allowed(case)}. It bears a change of up to "
        f"{figures['step_allowed'].text}."
    )  # fmt: skip
    notes = [*_notes(inputs, case, None)]
    if case.direction == HEATING:
        notes.append("On heating the surface is pressed, which it bears well, and the middle pulls with about a "
                     "third of this at "
                     "most: the figure is an upper bound.")  # fmt: skip
    return Answer(
        sentence=said, verdict=_verdict(case, tension), judged=True, figures=figures, leaves_out=_leaves_out(case),
        cautions=_cautions(inputs), pictures=(_step_picture(inputs, case, biot),),
        working=_sudden_working(inputs, case, figures, biot, share), notes=tuple(notes),
    )  # fmt: skip


def _part(inputs) -> str:
    material = "this part" if inputs["material"] == OWN else inputs["material"]
    shape = {SLAB: "slab", CYLINDER: "rod", SPHERE: "sphere", WALL: "tube wall"}[inputs["shape"]]
    return f"a {shape} of {inputs.said('thickness')}" + ("" if inputs["material"] == OWN else f" of {material}")


def _allowed(case: _Case) -> str:
    return f"{wording.with_unit(wording.number(case.solid.allowed_pa / 1e6, 3, 'down'), 'MPa')} are allowed"


def _capital(word: str) -> str:
    return word[:1].upper() + word[1:]


def _leaves_out(case: _Case) -> tuple[str, ...]:
    return (
        "flaws, edges, holes and clamps: reckon with a factor of two either way",
        "uneven heating from one side or end, supports, and the heaters' own limit, which often come first",
        "moisture, binder and changes of form (quartz, cristobalite, zirconia), which crack parts at any ramp",
    )


def _cautions(inputs) -> tuple[Caution, ...]:
    found = []
    if inputs["shape"] == WALL:
        found.append(Caution(
            "WARNING", "Tube breaks under vacuum or pressure",
            "A ceramic or glass tube that cracks while it is pumped falls in and throws splinters; under pressure it "
            "throws them out.",
            "Keep to the maker's ramp where it is lower, and work behind a screen with eye protection.",
        ))  # fmt: skip
    if inputs.mode == SUDDEN:
        found.append(Caution(
            "WARNING", "Hot part into air",
            "A hot ceramic or glass part that is pulled into air can burst, at once or minutes later, and burns on "
            "touch.",
            "Use a screen, face protection and heat gloves; put it on dry fibre, never on metal or water.",
        ))  # fmt: skip
    found.append(Caution(
        "NOTICE", "Cracks come late", "A crack from one run opens in the next, or under the next load.",
        "Look at the part after the run with side light or dye, and take it out of use if it rings dull.",
    ))  # fmt: skip
    return tuple(found)


def _notes(inputs, case: _Case, limit: float | None) -> tuple[str, ...]:
    notes = []
    material, typed = inputs["material"], inputs["strength"] is not None or inputs["allowable_stress"] is not None
    if limit is not None and limit * 60 > 60:
        notes.append("Conduction hardly limits this part. Supports, one-sided radiation and the furnace's own "
                     "ceramic decide: "
                     "makers of ceramic tubes often allow 3 to 5 K/min (common practice, no source).")  # fmt: skip
    if material != OWN:
        notes.append(f"Properties of {material} are those of typical grades at 500 °C, 30 % either way between grades.")
        strength = solids.curve(material, "strength")
        if not typed and not strength.is_constant:
            said = [
                f"{strength.at(t + constant('general.zero_celsius')) / 1e6:.0f} MPa at {t} °C" for t in (1000, 1500)
            ]
            notes.append(
                f"The strength is that of 20 °C; it falls to {wording.listed(said)}. Type the one of your ramp."
            )
        elif not typed:
            notes.append("The strength is that of small bars at 20 °C; large or hot parts are weaker.")
    if material in ("quartz glass", "borosilicate glass", "chamber brick"):
        notes.append({
            "quartz glass": "Quartz glass with a devitrified skin cracks at 220 to 280 °C on cooling, whatever the "
                            "ramp.",
            "borosilicate glass": "From about 500 °C borosilicate yields instead of breaking: the elastic model ends "
                                  "there.",
            "chamber brick": "Brick with mortar joints or cracks is not elastic: take this as the order of magnitude.",
        }[material])  # fmt: skip
    if material == "zirconia":
        notes.append("Stabilised zirconia ages in moisture at 150 to 300 °C and loses strength.")
    if inputs["shape"] in (CYLINDER, SPHERE) and inputs["heated_faces"] == ONE:
        notes.append("A rod or sphere is reckoned as heated all round; one-sided heating is worse.")
    if case.solid.diffusivity and inputs.mode == STEADY:
        time = constant("stress.settled") * case.depth_m**2 / case.solid.diffusivity
        notes.append(f"Nine tenths of the difference are there after about {wording.duration(time, 'up')} of ramp.")
    return tuple(notes)


# ---- pictures and working


def _thicknesses(inputs) -> list[float]:
    """Thicknesses from a fifth to five times the one asked, inside the accepted range, m."""
    low, high = FORM.by_name["thickness"].accepted.ends
    return [min(max(inputs["thickness"] * 5 ** (i / 10), low), high) for i in range(-10, 11)]


def _ramp_picture(inputs, case: _Case, limit: float) -> Plot:
    points = []
    for thickness in dict.fromkeys(_thicknesses(inputs)):
        points.append((thickness * 1e3, limit * (inputs["thickness"] / thickness) ** 2 * 60))
    ramp = inputs["ramp"] * 60
    return Plot(
        sentence=f"Twice the thickness allows a quarter of the ramp; here about "
        f"{wording.with_unit(wording.number(limit * 60, 2, 'down'), 'K/min')}",
        description=f"Ramp allowed in K/min against thickness in mm, both on log scales, from {points[0][0]:.3g} mm "
        f"to {points[-1][0]:.3g} mm.",
        x=Axis("Thickness", "mm", log=True), y=Axis("Ramp", "K/min", log=True),
        curves=(Curve("allowed", points),), limits=(Limit("your ramp", ramp),),
        marks=(Mark("your part", inputs["thickness"] * 1e3, ramp),),
        table=Table("Ramp allowed against thickness", ("Thickness, mm", "Ramp allowed, K/min"),
                    [(wording.number(x), wording.number(y, 2, "down")) for x, y in points[::2]]),
    )  # fmt: skip


def _step_picture(inputs, case: _Case, biot: float) -> Plot:
    points = []
    for thickness in dict.fromkeys(_thicknesses(inputs)):
        share = sudden_share(case.shape, "stress", biot * thickness / inputs["thickness"])
        points.append((thickness * 1e3, difference_allowed(case.solid, share)))
    return Plot(
        sentence="Thinner parts bear a larger sudden change",
        description=f"Sudden change allowed in K against thickness in mm, both on log scales, from "
        f"{points[0][0]:.3g} mm "
        f"to {points[-1][0]:.3g} mm, at the same heat-transfer coefficient.",
        x=Axis("Thickness", "mm", log=True), y=Axis("Sudden change", "K", log=True),
        curves=(Curve("allowed", points),), limits=(Limit("your change", inputs["temperature_step"]),),
        marks=(Mark("your part", inputs["thickness"] * 1e3, inputs["temperature_step"]),),
        table=Table("Sudden change allowed against thickness", ("Thickness, mm", "Change allowed, K"),
                    [(wording.number(x), wording.number(y, 2, "down")) for x, y in points[::2]]),
    )  # fmt: skip


def _solid_said(solid: Solid) -> str:
    return (f"E = {solid.young_pa / 1e9:.4g} GPa, α = {solid.expansion_per_k * 1e6:.3g} × 10⁻⁶/K, ν = "
            f"{solid.poisson:.3g}, "
            f"allowed {solid.allowed_pa / 1e6:.4g} MPa")  # fmt: skip


def _steady_working(inputs, case: _Case, figures, share: float) -> tuple[Work, ...]:
    n = constant(RAMP_PARTS[case.shape])
    return (
        Work("Surface to middle on a steady ramp", "ΔT = r L²/(n a)",
             f"r = {inputs['ramp'] * 60:.4g} K/min, L = {case.depth_m * 1e3:.4g} mm, n = {n:g}, a = "
             f"{case.solid.diffusivity:.4g} m²/s",
             figures["temperature_difference"].text, (RAMP_PARTS[case.shape],), "carslaw-jaeger"),
        Work("Largest tension", "σ = s E α ΔT/(1 − ν)", f"s = {share:.4g}, {_solid_said(case.solid)}",
        figures["stress"].text),
        Work("Ramp allowed", "r = n a ΔT_allowed/L²", f"ΔT_allowed = {figures['difference_allowed'].text}",
             figures["ramp_allowed"].text, source="kingery-stress"),
    )  # fmt: skip


def _sudden_working(inputs, case: _Case, figures, biot: float, share: float) -> tuple[Work, ...]:
    from_h = inputs["biot"] is None
    values = (f"h = {inputs['convection_coefficient']:.4g} W/m²/K, L = {case.depth_m * 1e3:.4g} mm, k = "
              f"{case.solid.conductivity:.4g} W/m/K"
              if from_h else "as typed")  # fmt: skip
    return (
        Work("Biot number", "Bi = h L/k", values, f"{biot:.4g}"),
        Work("Stress factor", "largest over time of (mean − surface), as a share of the change",
             f"{case.shape}, table of the series at Bi = {biot:.4g}", f"{share:.4g}", source="thermal-series"),
        Work("Largest stress", "σ = s E α ΔT/(1 − ν)", _solid_said(case.solid), figures["stress"].text,
        source="manson"),
    )  # fmt: skip
