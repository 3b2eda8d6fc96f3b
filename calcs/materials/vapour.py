"""What evaporates: vapour pressure of a metal, its loss into vacuum or gas, and the pressure that holds it back."""

from calcs import gases, wording
from calcs.core import Answer, Caution, Estimate, Figures, Range, ReadOff, Refused, Shown, Work, judge
from calcs.data import constant
from calcs.form import REFERENCES, Field, Form, Problems
from calcs.materials import evaporation as ev
from calcs.materials.evaporation import VACUUM
from calcs.picture import Axis, Band, Curve, Limit, Mark, Plot, Table

PAGE = "MAT-01"

AT, WHEN, LOWEST = "at a temperature", "at a vapour pressure", "lowest chamber pressure"
AT_HEAT = (AT, LOWEST)
OTHER = "another element or an alloy"
NAMES = {element.name: symbol for symbol, element in ev.elements().items()}
NOT_HERE = (
    "As", "arsenic", "P", "phosphorus", "S", "sulphur", "sulfur", "Se", "selenium", "Te", "tellurium", "Tl", "thallium",
    "Cs", "caesium", "Rb", "rubidium", "C", "carbon", "B", "boron", "Ge", "germanium", "Y", "yttrium", "brass", "bronze",
    "steel", "stainless", "stainless steel", "solder", "nickel-chromium", "superalloy", "aluminium alloy",
)  # fmt: skip
FUELS = ("hydrogen", "methane", "carbon monoxide")
REACTS = ("air", "oxygen", "carbon dioxide", "water vapour", "carbon monoxide", "methane")
POINTS = 30
THINNEST = 1e-6  # activity below which the picture shows the pure element alone; ours
CURVE_LOW_PA = 1e-6  # the picture begins there, or a decade below the load; ours
CURVE_ABOVE_K = 400.0  # and goes on so far above the load; ours
ROWS_PA = (1e-3, 1e-2, 0.1, 1.0, 10.0, 100.0, 1000.0)

FORM = Form(
    question="Will it evaporate?",
    modes=(AT, WHEN, LOWEST),
    ask=("element", "mole_fraction", "load_temperature", "vapour_pressure", "gas", "chamber_pressure", "accepted_loss",
         "extraction"),
    fields=(
        Field("element", "Element", "choice", "Cu", choices=(*ev.elements(), OTHER),
              spoken=NAMES | {"aluminum": "Al"} | dict.fromkeys(NOT_HERE, OTHER),
              hint="Of an alloy or coating, each element in turn."),
        Field("mole_fraction", "Share in the alloy, by mole", "number", "1", default="1",
              accepted=Range("0", "1", because="It is a share."), hint="1 if pure, plated or in a solder."),
        Field("activity_coefficient", "Activity coefficient", "number", "1", default="1",
              accepted=Range("0", "10", above=True, because="Beyond it the alloy would part into two."),
              hint="1 if not known; the range then widens."),
        Field("load_temperature", "Load temperature", "temperature", "600 °C", modes=AT_HEAT,
              hint="The hottest that it gets."),
        Field("vapour_pressure", "Vapour pressure", "absolute pressure", "1e-3 Pa", modes=(WHEN,),
              accepted=Range("0 Pa", above=True, because="Every metal has some.")),
        Field("gas", "Gas", "choice", "argon", choices=(*gases.NAMES, VACUUM), spoken=gases.FORMULAS),
        Field("chamber_pressure", "Chamber pressure", "absolute pressure", "1005 mbar", optional=True, modes=(AT,),
              accepted=Range("0 Pa", "5 bar", above=True, because="The gas is taken as ideal."),
              hint="Under vacuum: empty means high vacuum."),
        Field("accepted_loss", "Loss accepted", "mass flux", "0.1 g/m2/h", modes=(LOWEST,),
              accepted=Range("0 g/m2/h", above=True, because="Something always evaporates."),
              hint="A bright surface: about 0.1 g/m²/h."),
        Field("flow", "Gas flow", "standard flow", "2 L/min", default="0 L/min", modes=(AT,),
              accepted=Range("0 L/min", "1e5 L/min", because="No chamber of this kind takes more.")),
        Field("load_area", "Load surface", "area", "0.45 m2", optional=True,
              accepted=Range("0 m2", "1000 m2", above=True, because="No load of this kind has more."),
              hint="All sides that the gas reaches."),
        Field("duration", "Duration", "time", "30 min", optional=True,
              accepted=Range("0 s", "10000 h", above=True, because="No run is longer."), hint="At this temperature."),
        Field("component_mass", "Mass of the component in the load", "mass", "2.0 kg", optional=True,
              accepted=Range("0 kg", "10000 kg", above=True, because="No load of this kind is heavier."),
              hint="No more than this can leave."),
        Field("evaporation_coefficient", "Evaporation coefficient", "number", "1", default="1",
              accepted=Range("0", "1", above=True, because="1 is the most that kinetic theory allows."),
              hint="1 is the upper bound, right for clean metal."),
        Field("layer_thickness", "Still layer", "length", "20 mm", default="20 mm",
              accepted=Range("5 mm", "50 mm", because="Gas in a quiet chamber lies still about so far from a surface.")),
        Field("extraction", "Extraction at the furnace", "yes/no", "yes", optional=True,
              hint="Needed where the fume is toxic."),
        Field("flow_reference", "Reference condition of the flow", "choice", REFERENCES[0], choices=REFERENCES,
              default=REFERENCES[0], modes=(AT,), hint="The flow meter's document names it."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("vapour_pressure", "Vapour pressure", "absolute pressure", "Pa", "up, range"),
    Shown("load_temperature", "Temperature at which it is reached", "temperature", "°C", "down, range", 4, (WHEN,),
          range_digits=3),
    Shown("phase", "Phase, and equation used", "choice"),
    Shown("vacuum_rate", "Loss into high vacuum", "mass flux", "g/m2/h", "up, range"),
    Shown("evaporation_rate", "Loss here", "mass flux", "g/m2/h", "up, range", 3, (AT,)),
    Shown("carry_off", "Carried off by the gas, at most", "mass rate", "g/h", "up", 2, (AT,)),
    Shown("mass_lost", "Lost from the load", "mass", "g", "up, range", 3, (AT,)),
    Shown("lowest_pressure", "Lowest chamber pressure that keeps to it", "absolute pressure", "Pa, mbar", "up", 2,
          (LOWEST,)),
    Shown("group", "Group for a shared chamber", "choice"),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Temperature at which the pure element reaches a vapour pressure, rounded down; good to about 15 °C to "
        "40 °C",
        down=("element", ("Cd", "Zn", "Mg", "Pb", "Mn", "Ag", "Sn", "Al", "Cu", "Cr", "Ni", "Fe", "Ti")),
        across=("vapour_pressure", ("0.001 Pa", "0.01 Pa", "0.1 Pa", "1 Pa", "10 Pa")),
        figures=("load_temperature",),
        given={"mode": WHEN},
    ),
    ReadOff(
        caption="Lowest pressure of argon that keeps the loss of chromium from stainless steel (19 % by mole, activity "
        "coefficient 1, still layer 20 mm) to an accepted one; middle values; 0 Pa: high vacuum will do",
        down=("load_temperature", ("950 °C", "1000 °C", "1050 °C", "1100 °C", "1150 °C")),
        across=("accepted_loss", ("0.01 g/m2/h", "0.1 g/m2/h", "1 g/m2/h")),
        figures=("lowest_pressure",),
        given={"mode": LOWEST, "element": "Cr", "mole_fraction": "0.19"},
    ),
)


# ---------------------------------------------------------------- what was typed


def _element(inputs) -> ev.Element:
    """The element, or a refusal where there are no data or nobody takes the fume away."""
    if inputs["element"] == OTHER:
        raise Refused(
            "no_data", "no data for this one",
            "An alloy evaporates by its elements, each at its own pressure; of arsenic, phosphorus, sulphur, selenium, "
            "tellurium and thallium, which are all kept out of a shared chamber, this page holds no equation.",
            "Choose each element of the alloy in turn, the most volatile first: zinc of brass, lead of solder, manganese "
            "of steel, and type its share.", "Your safety officer decides on the others.", field="element",
        )  # fmt: skip
    element = ev.elements()[inputs["element"]]
    if not element.hurts:
        return element
    if inputs["extraction"] is None:
        raise Problems(
            {"extraction": f"Extraction at the furnace: choose one, since fume of {element.name} hurts people."}
        )
    if not inputs["extraction"]:
        raise Refused(
            "toxic_no_extraction", "toxic fume and no extraction",
            f"Fume and deposits of {element.name} hurt people who open the furnace or clean it.",
            "Have the exhaust and the opened door extracted first, or keep it out of the furnace. SAF-04 is about fume.",
            "Your safety officer decides.", field="extraction",
        )  # fmt: skip
    return element


def _activity(inputs) -> float:
    activity = inputs["mole_fraction"] * inputs["activity_coefficient"]
    if activity > 1 + 1e-9:
        raise Problems({
            "activity_coefficient": "Activity coefficient: times the share it is above 1, more than the pure metal has. "
            "Change one of the two."
        })  # fmt: skip
    return min(activity, 1.0)


def _taken_as_ideal(inputs) -> bool:
    """An alloy whose activity coefficient is not known; 1 says so."""
    return inputs["mole_fraction"] < 1 and inputs["activity_coefficient"] == 1


def _spread(inputs, element, activity) -> tuple[float, float]:
    """Factors to the low and to the high end of the pressure; an activity never passes that of the pure metal."""
    if _taken_as_ideal(inputs) and activity:
        alloy = constant("vapour.alloy_spread")
        return 1 / (element.factor * alloy), element.factor * min(alloy, 1 / activity)
    return 1 / element.factor, element.factor


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return what a metal loses at a temperature, when it reaches a pressure, or the pressure that holds it back.

    Args:
        inputs: the values of FORM.

    Source:
        calcs.materials.evaporation.
    """
    return {AT: _at, WHEN: _when, LOWEST: _lowest}[inputs.mode](inputs)


class _Case:
    """One element at one temperature: pressures with their ends, and rates."""

    def __init__(self, inputs, temperature_k: float):
        self.inputs, self.temperature = inputs, temperature_k
        self.element = ev.elements()[inputs["element"]]
        self.activity = _activity(inputs)
        self.line = ev.line_at(self.element.symbol, temperature_k)
        self.pure = self.line.pressure(temperature_k)
        self.pressure = self.activity * self.pure
        low, high = _spread(inputs, self.element, self.activity)
        self.ends = (self.pressure * low, self.pressure * high)
        self.cause = "the published equations" if self.activity == 1 else "the published equations, and the activity"
        self.diffusion = ev.diffusivity_times_pressure(inputs["gas"], temperature_k)

    @property
    def negligible(self) -> bool:
        return self.pressure < constant("vapour.negligible")

    def into_vacuum(self, pressure: float) -> float:
        return ev.vacuum_rate(
            pressure, self.element.molar_mass, self.temperature, self.inputs["evaporation_coefficient"]
        )

    def loss(self, pressure: float, total: float, diffusion: float) -> float:
        layer = ev.layer_rate(
            pressure, total, self.element.molar_mass, self.temperature, diffusion, self.inputs["layer_thickness"]
        )
        return ev.loss_rate(self.into_vacuum(pressure), layer)

    def lowest(self, accepted: float, pressure: float, diffusion: float) -> float:
        return ev.pressure_for_loss(
            accepted, self.into_vacuum(pressure), pressure, self.element.molar_mass, self.temperature, diffusion,
            self.inputs["layer_thickness"],
        )  # fmt: skip

    def common(self) -> dict:
        """The figures that every mode gives."""
        shown = Estimate(self.line.phase, note=_equation(self.line))
        found = {"phase": shown, "group": self.element.group}
        if self.negligible:
            return found | {"vapour_pressure": "below 10⁻¹² Pa: negligible"}
        low, high = self.ends
        return found | {
            "vapour_pressure": Estimate(self.pressure, low, high, cause=self.cause),
            "vacuum_rate": Estimate(
                self.into_vacuum(self.pressure), self.into_vacuum(low), self.into_vacuum(high), cause=self.cause
            ),
        }


def _equation(line) -> str:
    zero = constant("general.zero_celsius")
    who = {"alcock-1984": "Alcock, Itkin and Horrigan 1984", "nist-janaf": "fitted to NIST-JANAF"}
    return (
        f"Equation {who.get(line.source, 'fitted to handbook points from memory')}, {line.low - zero:.0f} °C to "
        f"{line.high - zero:.0f} °C."
    )


# ---- at a temperature


def _at(inputs) -> Answer:
    element = _element(inputs)
    case = _Case(inputs, inputs["load_temperature"])
    total = _total(inputs)
    if inputs["gas"] != VACUUM and case.pressure >= total:
        raise Refused(
            "boils", "it boils at this pressure",
            f"At {inputs.said('load_temperature')} the vapour pressure of {element.name} is "
            f"{wording.number(case.pressure, 2, 'up')} Pa, at or above the chamber pressure of "
            f"{inputs.said('chamber_pressure')}: it leaves as fast as heat reaches it.",
            "Keep it out, or stay below that temperature.", "Whoever owns the furnace decides.", field="load_temperature",
        )  # fmt: skip
    figures = FIGURES.fill(**case.common(), **_losses(inputs, case, total))
    return Answer(
        sentence=_at_sentence(inputs, case, figures),
        verdict=_verdict(inputs, case, total, figures),
        judged=True,
        figures=figures,
        leaves_out=_leaves_out(),
        cautions=_cautions(inputs, case, total),
        pictures=_picture(inputs, case, total),
        working=_at_working(inputs, case, total, figures),
        notes=_notes(inputs, case, total),
    )


def _total(inputs) -> float:
    """Chamber pressure, Pa; 0 is high vacuum."""
    if inputs["chamber_pressure"] is None and inputs["gas"] != VACUUM:
        raise Problems(
            {"chamber_pressure": "Chamber pressure is empty. Type it, since there is gas. Example: 1005 mbar."}
        )
    return inputs["chamber_pressure"] or 0.0


def _losses(inputs, case, total) -> dict:
    if case.negligible:
        return {}
    spread = constant("vapour.diffusion_spread")
    low = case.loss(case.ends[0], total, case.diffusion / spread)
    high = case.loss(case.ends[1], total, case.diffusion * spread)
    here = case.loss(case.pressure, total, case.diffusion)
    cause = case.cause if not total else f"{case.cause}; how fast the vapour passes the gas"
    found = {"evaporation_rate": Estimate(here, low, high, cause=cause)}
    if inputs["flow"] and inputs["gas"] != VACUUM:
        found["carry_off"] = ev.carried_off(inputs["flow"], case.pressure, total, case.element.molar_mass)
    if inputs["load_area"] is not None and inputs["duration"] is not None:
        most = inputs["component_mass"] if inputs["component_mass"] is not None else float("inf")
        lost = [min(rate * inputs["load_area"] * inputs["duration"], most) for rate in (low, here, high)]
        found["mass_lost"] = Estimate(lost[1], lost[0], lost[2], cause=cause)
    return found


def limit_in_chamber(total_pa: float) -> float:
    """Return the vapour pressure of the pure element that a shared chamber bears, Pa.

    Args:
        total_pa: chamber pressure, Pa absolute; 0 is high vacuum.

    Source:
        vapour.limit_in_gas and vapour.limit_in_vacuum: common practice, no source.
    """
    return constant("vapour.limit_in_gas" if total_pa >= constant("vapour.gas_from") else "vapour.limit_in_vacuum")


def judge_element(element: ev.Element, pure_pa: float, total_pa: float) -> str:
    """Return the verdict on an element in a chamber that others use too; one that only soils it is close at worst.

    Args:
        element: a row of the table.
        pure_pa: vapour pressure of the pure element, Pa.
        total_pa: chamber pressure, Pa absolute; 0 is high vacuum.

    Source:
        limit_in_chamber; the group of the element.
    """
    found = judge(pure_pa, limit_in_chamber(total_pa), pure_pa * element.factor)
    return "close" if found == "outside" and element.group != "banned" else found


def _verdict(inputs, case, total: float, figures) -> str:
    """The pure element counts, since alloys are known by a factor of 4 only; what may all leave is outside as well."""
    if _all_of_it(inputs, figures):
        return "outside"
    return judge_element(case.element, case.pure, total)


def _all_of_it(inputs, figures) -> bool:
    lost = figures.get("mass_lost")
    return lost is not None and inputs["component_mass"] is not None and lost.high_value >= inputs["component_mass"]


def _where(inputs) -> str:
    if inputs["gas"] != VACUUM:
        return f"in {inputs['gas']} at {inputs.said('chamber_pressure')}"
    return "in high vacuum" if inputs["chamber_pressure"] is None else f"in vacuum at {inputs.said('chamber_pressure')}"


def _named(case) -> str:
    name = case.element.name
    return name if case.inputs["mole_fraction"] == 1 else f"{name} ({case.inputs.said('mole_fraction')} by mole)"


def _at_sentence(inputs, case, figures) -> str:
    at, name = inputs.said("load_temperature"), _named(case)
    if case.negligible:
        return (
            f"At {at} the vapour pressure of {name} is below 10⁻¹² Pa: nothing evaporates that anybody could measure."
        )
    said = f"At {at} the vapour pressure of {name} is {figures['vapour_pressure'].span}; {_where(inputs)} it loses "
    rate = figures["evaporation_rate"]
    if rate.high_value < constant("vapour.unseen_rate"):
        return f"{said}less than {rate.span.split(' to ')[-1]}, which nobody could measure."
    said += rate.span
    if "mass_lost" in figures:
        said += f", {figures['mass_lost'].span} from {inputs.said('load_area')} in {inputs.said('duration')}"
    if _all_of_it(inputs, figures):
        said += ", which may be all of it"
    if case.pure > limit_in_chamber(_total(inputs)):
        said += ": it will leave the load and settle on the coldest wall that the load sees"
    return said + "."


def _leaves_out() -> tuple[str, ...]:
    return (
        "skins of oxide, which hold metal back, and the vapour of the oxides themselves, which may be worse",
        "an alloy's surface that grows poor in the element: these are rates at the start",
        "draught, fans and strong flow, which thin the still layer; lids and tight packs, which hold vapour back",
    )


def _data_notes(inputs, case) -> list[str]:
    found = []
    if _taken_as_ideal(inputs):
        found.append("The alloy is taken as ideal, which may be wrong by a factor of 4 either way.")
    if case.element.factor > 2:
        often = "a factor of 2" if case.element.factor < 3 else "a factor of 10: the points are from memory"
        found.append(f"The pressure of {case.element.name} is known to about {often}.")
    return found


def _notes(inputs, case, total) -> tuple[str, ...]:
    found = _data_notes(inputs, case)
    if inputs["gas"] in REACTS:
        found.append(
            f"Hot metal reacts with {inputs['gas']}: ATM-08 says whether. This page reckons with a bare surface."
        )
    if inputs["gas"] == VACUUM and total and case.pressure >= total:
        found.append("The vapour pressure is above what the pump leaves: the metal evaporates as in high vacuum.")
    if case.element.group != "no matter" and inputs["mole_fraction"] < 1 and case.pure > limit_in_chamber(total):
        found.append("For the shared chamber the pure element counts, since little of it is enough to coat cold parts.")
    return tuple(found)


def _at_working(inputs, case, total, figures) -> tuple[Work, ...]:
    line, t = case.line, case.temperature
    steps = [
        Work("Vapour pressure of the pure element", "log₁₀(p/atm) = A + B/T + C log₁₀ T + D 10⁻³ T",
             f"T = {t:.2f} K, A = {line.a:g}, B = {line.b:g}, C = {line.c:g}, D = {line.d:g}",
             f"{case.pure:.3g} Pa", ("general.standard_atmosphere", "vapour.negligible"), line.source),
        Work("Over the load", "p = γ x p₀", f"x = {inputs['mole_fraction']:g}, γ = {inputs['activity_coefficient']:g}",
             f"{case.pressure:.3g} Pa", ("vapour.alloy_spread",), "kubaschewski-alcock"),
    ]  # fmt: skip
    if case.negligible:
        return tuple(steps)
    steps.append(
        Work("Into high vacuum", "J = α p √(M / (2π R T))",
             f"α = {inputs['evaporation_coefficient']:g}, M = {case.element.molar_mass * 1e3:g} g/mol",
             figures["vacuum_rate"].text, ("general.gas_constant",), "langmuir-1913")
    )  # fmt: skip
    if total > case.pressure and "evaporation_rate" in figures:
        steps.append(
            Work("Through the still layer, both in a row", "J_D = M D P/(R T d) ln(P/(P − p)), 1/J = 1/J_vac + 1/J_D",
                 f"D P = {case.diffusion:.4g} m² Pa/s, P = {total:.5g} Pa, d = {inputs['layer_thickness'] * 1e3:g} mm",
                 figures["evaporation_rate"].text,
                 ("vapour.metal_diffusivity", "vapour.diffusion_reference", "vapour.diffusion_exponent",
                  "vapour.light_gas_factor", "vapour.diffusion_spread"), "fuller-1966")
        )  # fmt: skip
    if "carry_off" in figures:
        steps.append(
            Work("Saturated at the outlet", "ṁ = n M p/(P − p)", f"n = {inputs['flow']:.4g} mol/s",
                 figures["carry_off"].text)
        )  # fmt: skip
    limit = "vapour.limit_in_gas" if total >= constant("vapour.gas_from") else "vapour.limit_in_vacuum"
    steps.append(
        Work("Shared chamber", "pure element against the limit", f"group: {case.element.group}",
             f"{case.pure:.3g} Pa against {constant(limit):g} Pa", (limit, "vapour.gas_from"), "vapour-common-practice")
    )  # fmt: skip
    return tuple(steps)


# ---- at a vapour pressure


def _when(inputs) -> Answer:
    element, activity = _element(inputs), _activity(inputs)
    wanted = inputs["vapour_pressure"]
    found = ev.temperature_of(element.symbol, wanted / activity) if activity else None
    if found is None:
        raise _no_temperature(inputs, element, activity)
    case = _Case(inputs, found)
    low, high = _spread(inputs, element, activity)
    ends = [ev.temperature_of(element.symbol, wanted / activity / factor) or found for factor in (high, low)]
    common = case.common()
    if not case.negligible:
        common["vapour_pressure"] = wanted
    figures = FIGURES.fill(
        **common, load_temperature=Estimate(found, min(ends[0], found), max(ends[1], found), cause=case.cause)
    )
    at = figures["load_temperature"]
    return Answer(
        sentence=f"{_named(case)[:1].upper()}{_named(case)[1:]} reaches "
        f"{inputs.said('vapour_pressure')} at {at.text} ({at.span}).",
        figures=figures,
        leaves_out=_leaves_out(),
        cautions=_fume(element, found),
        pictures=_picture(inputs, case, 0.0),
        working=(
            Work("Vapour pressure of the pure element", "log₁₀(p/atm) = A + B/T + C log₁₀ T + D 10⁻³ T, solved for T",
                 f"p = {wanted / activity:.3g} Pa, A = {case.line.a:g}, B = {case.line.b:g}, C = {case.line.c:g}, "
                 f"D = {case.line.d:g}", at.text, ("general.standard_atmosphere",), case.line.source),
        ),
        notes=tuple(_data_notes(inputs, case)),
    )  # fmt: skip


def _no_temperature(inputs, element, activity) -> Refused:
    if not activity:
        return Refused(
            "outside_range", "nothing of it is there", "The share of the element is zero, so it never has a vapour "
            "pressure.", "Type its share.", field="mole_fraction",
        )  # fmt: skip
    ends = sorted(line.pressure(t) * activity for line in element.lines for t in (line.low, line.high))
    return Refused(
        "outside_range", "outside the published equations",
        f"The equations of {element.name} reach from {wording.number(ends[0], 1, 'up')} Pa to "
        f"{wording.number(ends[-1], 2, 'down')} Pa, with gaps; none reaches {inputs.said('vapour_pressure')}.",
        "Ask for a vapour pressure inside, or take the value from a handbook.", field="vapour_pressure",
    )  # fmt: skip


# ---- lowest chamber pressure


def _lowest(inputs) -> Answer:
    _element(inputs)
    case = _Case(inputs, inputs["load_temperature"])
    accepted, spread = inputs["accepted_loss"], constant("vapour.diffusion_spread")
    most = constant("vapour.highest_pressure")
    here = case.lowest(accepted, case.pressure, case.diffusion)
    low = case.lowest(accepted, case.ends[0], case.diffusion / spread)
    high = case.lowest(accepted, case.ends[1], case.diffusion * spread)
    enough = here <= most
    cause = f"{case.cause}; how fast the vapour passes the gas"
    figures = FIGURES.fill(
        **case.common(),
        lowest_pressure=Estimate(here, low, min(high, most) if high > most else high, cause=cause) if enough else None,
    )
    return Answer(
        sentence=_lowest_sentence(inputs, case, figures, here, high),
        verdict="outside" if not enough else "close" if high > most else "within",
        judged=high > most,
        figures=figures,
        leaves_out=_leaves_out(),
        cautions=_cautions(inputs, case, min(here, most)),
        pictures=_picture(inputs, case, 0.0),
        working=_lowest_working(inputs, case, figures),
        notes=_notes(inputs, case, 0.0),
    )


def _lowest_sentence(inputs, case, figures, here, high) -> str:
    at, name, accepted = inputs.said("load_temperature"), _named(case), inputs.said("accepted_loss")
    most = constant("vapour.highest_pressure")
    if here > most:
        return (
            f"No pressure up to 1 bar of {inputs['gas']} keeps {name} at {at} to a loss of {accepted}: into high vacuum "
            f"it loses {figures['vacuum_rate'].span}."
        )
    if case.negligible or not high:
        return f"At {at} {name} keeps below {accepted} even in high vacuum: no gas is needed to hold it back."
    gas = "residual gas" if inputs["gas"] == VACUUM else inputs["gas"]
    pressure = figures["lowest_pressure"]
    if not here:
        start = f"Probably even high vacuum keeps {name} at {at} below {accepted}; "
        return start + f"to be on the cautious side hold {pressure.span.split(' to ')[-1]} of {gas}."
    tail = " Even 1 bar may not be enough if the data are wrong that way." if high > most else ""
    return (
        f"About {pressure.text} of {gas} keeps {name} at {at} to a loss of {accepted} ({pressure.span}); into high vacuum "
        f"it would lose {figures['vacuum_rate'].span}.{tail}"
    )


def _lowest_working(inputs, case, figures) -> tuple[Work, ...]:
    line = case.line
    found = [
        Work("Vapour pressure", "p = γ x p₀, log₁₀(p₀/atm) = A + B/T + C log₁₀ T + D 10⁻³ T",
             f"T = {case.temperature:.2f} K, A = {line.a:g}, B = {line.b:g}, C = {line.c:g}, D = {line.d:g}, "
             f"γ x = {case.activity:g}", f"{case.pressure:.3g} Pa", ("general.standard_atmosphere",), line.source),
    ]  # fmt: skip
    if "vacuum_rate" in figures:
        found.append(
            Work("Into high vacuum", "J_vac = α p √(M / (2π R T))", f"M = {case.element.molar_mass * 1e3:g} g/mol",
                 figures["vacuum_rate"].text, ("general.gas_constant",), "langmuir-1913")
        )  # fmt: skip
    if "lowest_pressure" in figures:
        found.append(
            Work("Pressure", "P = p / (1 − exp(−J_D R T d/(M D P))), 1/J_D = 1/J − 1/J_vac",
                 f"J = {inputs.said('accepted_loss')}, D P = {case.diffusion:.4g} m² Pa/s, "
                 f"d = {inputs['layer_thickness'] * 1e3:g} mm", figures["lowest_pressure"].text,
                 ("vapour.metal_diffusivity", "vapour.highest_pressure"), "fuller-1966")
        )  # fmt: skip
    return tuple(found)


# ---------------------------------------------------------------- cautions and picture


def _fume(element, temperature_k) -> tuple[Caution, ...]:
    """Cautions that hang on the element alone, where it has a vapour pressure worth the word."""
    if ev.vapour_pressure(element.symbol, temperature_k) < constant("vapour.limit_in_vacuum") / 10:
        return ()
    found = []
    if element.hurts:
        found.append(
            Caution("WARNING", "Toxic metal fume", f"{element.name.capitalize()} that evaporates is breathed in when the "
                    "furnace is opened or cleaned, and harms for days or for good.",
                    "Extract exhaust and open door; do not brush or blow deposits; treat them as hazardous waste.")
        )  # fmt: skip
    if element.ignites:
        found.append(
            Caution("WARNING", "Deposits that catch fire", f"{element.name.capitalize()} settles on cold walls as a fine "
                    "film that can ignite when air comes in.",
                    "Let all of it cool to room temperature, let air in slowly, and keep a class D extinguisher at hand.")
        )  # fmt: skip
    return tuple(found)


def _cautions(inputs, case, total) -> tuple[Caution, ...]:
    found = list(_fume(case.element, case.temperature))
    if inputs["gas"] in FUELS:
        found.append(
            Caution("WARNING", "Fuel in the furnace gas", "Hydrogen, methane and carbon monoxide burn where they meet "
                    "air hot; carbon monoxide kills without a smell.",
                    "Ask SAF-03 first; this page says nothing about burning.")
        )  # fmt: skip
    if case.pure <= limit_in_chamber(total):
        return tuple(found)
    if case.element.group == "banned":
        found.append(
            Caution("WARNING", "Blocked gas outlet", f"{case.element.name.capitalize()} settles in the outlet and the "
                    "pressure regulator; with the outlet shut the chamber bursts its weakest part.",
                    "Keep it out of a shared chamber, or use a lined one of its own; check outlet and relief afterwards.")
        )  # fmt: skip
    else:
        found.append(
            Caution("NOTICE", "Coated insulators", f"{case.element.name.capitalize()} settles on cold insulators and "
                    "lead-ins and makes them conduct; sensors drift.",
                    "Cover the load, raise the pressure or lower the temperature; check insulation to earth afterwards.")
        )  # fmt: skip
    return tuple(found)


def _picture(inputs, case, total) -> tuple:
    """Vapour pressure on a log scale against temperature: the element, its alloy, the chamber and the load."""
    symbol, name, zero = case.element.symbol, case.element.name, constant("general.zero_celsius")
    low = max(min(CURVE_LOW_PA, case.pure / 10), constant("vapour.negligible"))
    temperatures = ev.grid(
        symbol, low, max(case.temperature, _or(ev.temperature_of(symbol, 1.0))) + CURVE_ABOVE_K, POINTS
    )
    if len(temperatures) < 2:
        return ()
    pure = [(t - zero, ev.vapour_pressure(symbol, t)) for t in temperatures]
    curves = [Curve(f"pure {name}", pure)]
    if THINNEST < case.activity < 1:
        curves.append(Curve("over your alloy", [(t, p * case.activity) for t, p in pure]))
    factor = case.element.factor
    marks = (Mark("", case.temperature - zero, case.pressure),) if not case.negligible else ()
    load = "reached here" if inputs.mode == WHEN else "your load"
    limits = [Limit(load, case.temperature - zero, axis="x")]
    if total >= low:
        limits.append(Limit("chamber pressure", total))
    return (
        Plot(
            sentence=_point(case, name, zero),
            description=f"Vapour pressure in Pa on a log scale against temperature from {temperatures[0] - zero:.0f} to "
            f"{temperatures[-1] - zero:.0f} °C, with the spread of the data as a band; an upright line at "
            f"{case.temperature - zero:.0f} °C.",
            x=Axis("Temperature", "°C"),
            y=Axis("Vapour pressure", "Pa", log=True),
            curves=tuple(curves),
            bands=(Band("spread of the data", [(t, p / factor) for t, p in pure], [(t, p * factor) for t, p in pure]),),
            limits=tuple(limits),
            marks=marks,
            table=_table(case, zero),
        ),
    )


def _or(temperature: float | None) -> float:
    return temperature or 0.0


def _point(case, name, zero) -> str:
    one = ev.temperature_of(case.element.symbol, 1.0)
    if one is None:
        return f"Within the published equations {name} does not cross 1 Pa"
    said = f"Pure {name} reaches 1 Pa at {wording.number(one - zero, 3, 'down')} °C"
    if case.inputs.mode == WHEN:
        return said
    return f"{said}, {'below' if one < case.temperature else 'above'} the temperature of your load"


def _table(case, zero) -> Table:
    rows = []
    for pressure in ROWS_PA:
        cells = [f"{wording.plain_number(pressure)} Pa"]
        for activity in (1.0, case.activity):
            found = ev.temperature_of(case.element.symbol, pressure / activity) if activity else None
            cells.append(f"{wording.number(found - zero, 3, 'down')} °C" if found else "outside the equations")
        rows.append(tuple(cells if 0 < case.activity < 1 else cells[:2]))
    heads = ("Vapour pressure", f"Pure {case.element.name}", "Over your alloy")
    return Table("Temperature at which a vapour pressure is reached", heads[: len(rows[0])], tuple(rows))
