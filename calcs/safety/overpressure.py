"""Over-pressure: what a vent line costs, what a failed regulator, water, and a closed door do to a chamber."""

from dataclasses import dataclass
from functools import cache
from math import expm1, log, log1p, log10, pi, sqrt

from calcs import gases, wording
from calcs.atmosphere.cylinder import norm_volume
from calcs.core import Answer, Caution, Estimate, Figures, Range, ReadOff, Refused, Shown, Work, judge, worst
from calcs.data import constant, rows
from calcs.form import REFERENCES, Field, Form, Problems
from calcs.orifice import Opening
from calcs.picture import Axis, Landmark, Scale, Table
from calcs.vacuum.pumpdown import water_pressure

PAGE = "SAF-02"

VENT, FAILURE, WATER, ENERGY, DOOR = "vent line", "regulator fails open", "water", "stored energy", "door"
IN_LINE, WITH_GAS, SHUT = (VENT, FAILURE), (VENT, FAILURE, ENERGY), (ENERGY, DOOR)
SMALLEST_BORE, LARGEST_BORE = 1e-3, 0.1  # m; the range of the vent bore
NEWTON_STEPS, HALVINGS = 40, 40
SMALLEST_FLOW, LARGEST_FLOW = 1e-8, 1e3  # mol/s; the flow that a line passes is looked for between them

FORM = Form(
    question="What can the pressure do?",
    modes=(VENT, FAILURE, WATER, ENERGY, DOOR),
    ask=("gas", "flow", "cylinder_pressure", "free_water", "chamber_temperature", "chamber_pressure"),
    # The room's pressure always has a value: an empty field beside it reaches `answer`, which refuses.
    any_of=(("maximum_pressure", "ambient_pressure"), ("relief_pressure", "ambient_pressure"),
            ("restriction_bore", "ambient_pressure")),
    fields=(
        Field("gas", "Gas", "choice", "argon", choices=gases.NAMES, spoken=gases.FORMULAS, modes=WITH_GAS,
              hint="What the cylinder label says."),
        Field("flow", "Gas flow", "standard flow", "20 L/min", modes=(VENT,),
              accepted=Range("1e-6 L/min", "1e5 L/min", because="No chamber of this kind takes more or less."),
              hint="The most that the flow meter lets through."),
        Field("cylinder_pressure", "Cylinder pressure now", "pressure with sense", "120 bar gauge", modes=(FAILURE,),
              accepted=Range("0 bar", "300 bar", above=True, because="The table of real gas ends there."),
              hint="The fullest that will ever be connected."),
        Field("free_water", "Free water (liquid or ice)", "mass", "2 g", modes=(WATER,),
              accepted=Range("0 g", "1000 g"),
              hint="In the lining, in the load, or let in."),
        Field("chamber_temperature", "Chamber temperature", "temperature", "600 °C", modes=(WATER,),
              accepted=Range("0 °C", "1600 °C", because="No chamber of this kind runs outside it.")),
        Field("chamber_pressure", "Chamber pressure", "absolute pressure", "1005 mbar", modes=SHUT,
              accepted=Range("0 Pa", "20 bar", above=True, because="This furnace class is not built for more."),
              hint="Above that of the room."),
        Field("maximum_pressure", "Highest pressure that the chamber is rated for", "gauge pressure", "50 mbar gauge",
              accepted=Range("0 Pa", above=True), hint="From the furnace's manual."),
        Field("relief_pressure", "Relief opens at", "gauge pressure", "35 mbar gauge",
              accepted=Range("0 Pa", above=True),
              hint="Stamped on the relief valve."),
        Field("vent_bore", "Vent line bore", "length", "16 mm", modes=IN_LINE,
              accepted=Range("1 mm", "100 mm", because="The friction of tubes was compared there."),
              hint="Inside, at its narrowest."),
        Field("vent_length", "Vent line length", "length", "1 m", modes=IN_LINE,
              accepted=Range("0 m", "20 m", because="Longer lines need a piping engineer.")),
        Field("fittings_loss", "Loss coefficient of fittings, sum", "number", "3", default="1.5", modes=IN_LINE,
              accepted=Range("0", "50", because="More is a blocked line."), hint="1.5 for inlet and outlet; 1 more "
                                                                                 "for each bend."),
        Field("restriction_bore", "Smallest bore between cylinder and chamber", "length", "0.35 mm", modes=(FAILURE,),
              accepted=Range("0.05 mm", "20 mm", because="Smaller blocks, larger is no restriction."),
              hint="The orifice fitted for this purpose."),
        Field("gas_volume", "All gas in the chamber, pores included", "volume", "108 L", modes=(WATER, ENERGY),
              accepted=Range("0.1 L", "1000 L", because="Larger and smaller chambers are another class.")),
        Field("door_width", "Door opening width", "length", "300 mm", modes=(DOOR,), accepted=Range("10 mm", "2 m")),
        Field("door_height", "Door opening height", "length", "250 mm", modes=(DOOR,), accepted=Range("10 mm", "2 m")),
        Field("vent_temperature", "Gas temperature in the vent line", "temperature", "20 °C", default="20 °C",
              modes=IN_LINE,
              accepted=Range("0 °C", "300 °C", because="Hotter gas in a vent line is a fault of its own."),
              hint="Hot gas loses more."),
        Field("cylinder_temperature", "Cylinder temperature", "temperature", "20 °C", default="20 °C", modes=(FAILURE,),
              accepted=Range("-15 °C", "50 °C", because="The table of real gas ends there.")),
        Field("discharge_coefficient", "Discharge coefficient", "number", "0.8", default="0.8", modes=(FAILURE,),
              accepted=Range("0.5", "1", because="No opening passes more than all, and none so little."),
              hint="1 is the most there is."),
        Field("flow_reference", "Reference condition of the flow", "choice", REFERENCES[0], choices=REFERENCES,
              default=REFERENCES[0],
              modes=(VENT,), hint="The flow meter's document names it."),
        Field("ambient_pressure", "Ambient pressure (barometer in the room)", "absolute pressure", "995 mbar",
              default="101.325 kPa",
              accepted=Range("45 kPa", "110 kPa", because="The air of no workshop lies outside this.")),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("peak_pressure", "Pressure reached in the chamber", "gauge pressure", "mbar, bar", "up, range", 3, IN_LINE),
    Shown("pressure_drop", "Pressure lost in the vent line", "pressure difference", "mbar, Pa", "up, range", 3,
          IN_LINE),
    Shown("failure_flow", "Flow if the regulator fails open, at 0 °C, 101.325 kPa", "standard flow", "L/min",
          "up, range", 3, (FAILURE,)),
    Shown("smallest_bore", "Smallest vent bore that keeps to the rating", "length", "mm", "up", 2, IN_LINE),
    Shown("reynolds", "Reynolds number", "number", "1", "near", 3, IN_LINE),
    Shown("pressure_rise", "Rise from the water", "pressure difference", "mbar, kPa", "up", 3, (WATER,)),
    Shown("stored_energy", "Stored energy", "energy", "J, kJ", "up", 3, (ENERGY,)),
    Shown("stored_energy_upper", "Stored energy, upper", "energy", "J, kJ", "up", 3, (ENERGY,)),
    Shown("door_force", "Force on the door, outward", "force", "N, kN", "up", 3, (DOOR,)),
    Shown("door_force_vacuum", "Force on the door under vacuum, inward", "force", "N, kN", "up", 3, (DOOR,)),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Flow of argon if the regulator fails open, at 0 °C and 101.325 kPa, cylinder at 20 °C, discharge "
        "coefficient 0.8",
        down=("restriction_bore", ("0.2 mm", "0.35 mm", "0.5 mm", "1 mm", "2 mm")),
        across=("cylinder_pressure", ("50 bar gauge", "120 bar gauge", "200 bar gauge", "299 bar gauge")),
        figures=("failure_flow",),
        given={"mode": FAILURE},
    ),
    ReadOff(
        caption="Force on a flat door of 300 mm width, outward, in a room at 995 mbar",
        down=("door_height", ("150 mm", "250 mm", "400 mm", "600 mm")),
        across=("chamber_pressure", ("1005 mbar", "1030 mbar", "1045 mbar", "1095 mbar")),
        figures=("door_force",),
        given={"mode": DOOR},
    ),
)


# ---------------------------------------------------------------- physics


@dataclass(frozen=True)
class Line:
    """A vent line: bore and length in m, sum of the loss coefficients of inlet, outlet and fittings."""

    bore_m: float
    length_m: float
    fittings_loss: float


@dataclass(frozen=True)
class Vented:
    """What a flow does in a line: pressure at its inlet, Pa absolute, Reynolds number, whether its end is choked."""

    inlet_pa: float
    reynolds: float
    choked: bool


def friction_factor(reynolds: float) -> float:
    """Return the Darcy friction factor of a smooth tube.

    Laminar up to 2300; above it Blasius, which between 2300 and 4000 is the larger of the two; Haaland above
    a Reynolds number of 100 000.

    Args:
        reynolds: above 0.

    Source:
        64/Re; Blasius 1913; Haaland 1983. A corrugated hose loses several times as much.
    """
    if reynolds < constant("overpressure.laminar_end"):
        return 64 / reynolds
    if reynolds < constant("overpressure.blasius_end"):
        return constant("overpressure.blasius_factor") * reynolds**-0.25
    return (constant("overpressure.haaland_slope") * log10(reynolds / constant("overpressure.haaland_factor"))) ** -2


def vented(flow_mol_per_s: float, gas: str, temperature_k: float, line: Line, outlet_pa: float) -> Vented:
    """Return the pressure at the inlet of a line through which a flow leaves into the room.

    p1² = p2² + G² Rs T (f L/d + K + 2 ln(p1/p2)). The pressure at the outlet cannot fall below G sqrt(Rs T):
    there the gas moves as fast as it can, and the line is choked.

    Args:
        flow_mol_per_s: amount flow, mol/s, above 0.
        gas: a gas of the table with a viscosity.
        temperature_k: gas in the line, 273 K to 573 K.
        line: bore, length and losses.
        outlet_pa: pressure where it ends, Pa absolute.

    Raises:
        Refused: no viscosity of this gas.

    Source:
        isothermal compressible flow in a tube: Crane 410; compared with the library fluids by the tests.
    """
    molar_mass = gases.gas(gas).molar_mass
    flux = flow_mol_per_s * molar_mass / (pi / 4 * line.bore_m**2)  # kg/(m² s)
    reynolds = flux * line.bore_m / gases.viscosity(gas, temperature_k)
    sonic = flux * sqrt(constant("general.gas_constant") * temperature_k / molar_mass)
    outlet = max(outlet_pa, sonic)
    speed = (sonic / outlet) ** 2  # y - 1 = speed (losses + ln y) with y = (p1/p2)²
    losses = friction_factor(reynolds) * line.length_m / line.bore_m + line.fittings_loss
    excess = speed * losses  # y - 1; begun at or below the root, Newton's first step lands above it
    for _ in range(NEWTON_STEPS):
        slope = 1 - speed / (1 + excess)
        if slope <= 0:
            break
        step = (excess - speed * (losses + log1p(excess))) / slope
        excess -= step
        if abs(step) <= 1e-13 * excess:
            break
    return Vented(outlet * sqrt(1 + excess), reynolds, sonic > outlet_pa)


def smallest_bore(
    flow_mol_per_s: float, gas: str, temperature_k: float, line: Line, outlet_pa: float, limit_pa: float
) -> float | None:
    """Return the smallest bore, m, of a line with which the chamber stays within a limit; None beyond 100 mm.

    Args:
        flow_mol_per_s: amount flow, mol/s.
        gas: a gas of the table.
        temperature_k: gas in the line, K.
        line: length and losses; its bore is not used.
        outlet_pa: pressure of the room, Pa.
        limit_pa: pressure above the room that is not passed, spread of the line included, Pa.

    Source:
        see vented; solved by halving.
    """
    share = 1 + constant("overpressure.spread")

    def over(bore: float) -> bool:
        narrow = Line(bore, line.length_m, line.fittings_loss)
        return (vented(flow_mol_per_s, gas, temperature_k, narrow, outlet_pa).inlet_pa - outlet_pa) * share > limit_pa

    if over(LARGEST_BORE):
        return None
    low, high = SMALLEST_BORE, LARGEST_BORE
    if not over(low):
        return low
    for _ in range(HALVINGS):
        middle = sqrt(low * high)
        low, high = (middle, high) if over(middle) else (low, middle)
    return high


def line_capacity(gas: str, temperature_k: float, line: Line, outlet_pa: float, limit_pa: float) -> float:
    """Return the largest flow, mol/s, with which a line keeps the chamber within a limit, spread of the line included.

    Args:
        gas: a gas of the table with a viscosity.
        temperature_k: gas in the line, 273 K to 573 K.
        line: bore, length and losses.
        outlet_pa: pressure of the room, Pa.
        limit_pa: pressure above the room that is not passed, Pa, above 0.

    Raises:
        Refused: no viscosity of this gas.

    Source:
        see vented; solved by halving.
    """
    share = 1 + constant("overpressure.spread")
    low, high = SMALLEST_FLOW, LARGEST_FLOW
    for _ in range(HALVINGS):
        middle = sqrt(low * high)
        over = (vented(middle, gas, temperature_k, line, outlet_pa).inlet_pa - outlet_pa) * share > limit_pa
        low, high = (low, middle) if over else (middle, high)
    return low


@cache
def _factors() -> dict[str, dict[float, list[tuple[float, float]]]]:
    """Gas to temperature to (pressure, factor) of the table, in K and Pa."""
    found: dict = {}
    for row in rows("safety/real_gas_orifice.csv"):
        temperature = float(row["temperature"]) + constant("general.zero_celsius")
        found.setdefault(row["gas"], {}).setdefault(temperature, []).append(
            (float(row["pressure"]) * 1e5, float(row["factor"]))
        )
    return found


def real_gas_factor(gas: str, pressure_pa: float, temperature_k: float) -> float:
    """Return by how much more a choked opening passes of real gas than of ideal gas, never below 1.

    Args:
        gas: a gas of data/gases.csv; without a row in the table only below 20 bar, as 1.
        pressure_pa: pressure upstream, up to 300 bar absolute.
        temperature_k: temperature upstream, -15 °C to 50 °C.

    Raises:
        Refused: no table for this gas and more than 20 bar.

    Source:
        data/safety/real_gas_orifice.csv, computed with CoolProp.
    """
    table = _factors().get(gas)
    if table is None:
        if pressure_pa > constant("overpressure.dense_gas"):
            raise Refused(
                "no_gas_data", "no data for this gas at pressure",
                f"{gas.capitalize()} at this pressure is far from an ideal gas, and liquid that reaches the "
                f"restriction passes several times as much.",
                "Ask the supplier of the regulator for the flow of a failure.", field="gas",
            )  # fmt: skip
        return 1.0
    temperatures = sorted(table)
    return max(1.0, _straight([(t, _straight(table[t], pressure_pa)) for t in temperatures], temperature_k))


def _straight(points, x: float) -> float:
    """Straight between points, level beyond their ends."""
    if x <= points[0][0]:
        return points[0][1]
    for (x1, y1), (x2, y2) in zip(points, points[1:], strict=False):
        if x <= x2:
            return y1 + (y2 - y1) * (x - x1) / (x2 - x1)
    return points[-1][1]


def failure_flow(
    gas: str, pressure_pa: float, temperature_k: float, bore_m: float, coefficient: float, outlet_pa: float
) -> float:
    """Return the flow, mol/s, through the smallest bore between a cylinder and a chamber when the regulator stays open.

    Args:
        gas: a gas of the table.
        pressure_pa: cylinder, Pa absolute, above the outlet.
        temperature_k: cylinder, -15 °C to 50 °C.
        bore_m: bore of the restriction, m.
        coefficient: discharge coefficient, 0.5 to 1.
        outlet_pa: pressure behind it, Pa absolute.

    Raises:
        Refused: no data for this gas at this pressure.

    Source:
        calcs.orifice, times the factor of real gas.
    """
    opening = Opening(coefficient * pi / 4 * bore_m**2, pressure_pa, temperature_k, gas)
    return opening.flow(outlet_pa) * real_gas_factor(gas, pressure_pa, temperature_k)


def coldest_failure(
    gas: str, pressure_pa: float, temperature_k: float, bore_m: float, coefficient: float, outlet_pa: float
) -> float:
    """Return failure_flow from the coldest cylinder, which passes most, mol/s.

    Args:
        gas: a gas of the table.
        pressure_pa: cylinder, Pa absolute, above the outlet.
        temperature_k: cylinder, K; a colder one than overpressure.cold_cylinder counts as it is.
        bore_m: bore of the restriction, m.
        coefficient: discharge coefficient, 0.5 to 1.
        outlet_pa: pressure behind it, Pa absolute.

    Raises:
        Refused: no data for this gas at this pressure.

    Source:
        failure_flow; overpressure.cold_cylinder.
    """
    cold = min(temperature_k, constant("overpressure.cold_cylinder"))
    return failure_flow(gas, pressure_pa, cold, bore_m, coefficient, outlet_pa)


def full_pressure(pressure_pa: float, ambient_pa: float) -> float:
    """Return the highest pressure of any cylinder that will be connected, Pa absolute: this one, or a full one.

    Args:
        pressure_pa: cylinder now, Pa absolute.
        ambient_pa: pressure of the room, Pa.

    Source:
        overpressure.full_cylinder; no more than the table of real gas holds.
    """
    full = max(pressure_pa, constant("overpressure.full_cylinder") + ambient_pa)
    return min(full, _most_pa())


def water_rise(mass_kg: float, temperature_k: float, volume_m3: float) -> float:
    """Return the pressure, Pa, that water adds to a shut chamber: m R T / (M V), at most its vapour pressure.

    Args:
        mass_kg: liquid or ice, kg.
        temperature_k: temperature of the chamber, 273 K to 1873 K.
        volume_m3: gas volume, m³.

    Source:
        ideal gas; vapour pressure up to 100 °C of data/vacuum/water.csv. Above 100 °C the vapour pressure lies
        above every rating that is answered for.
    """
    rise = mass_kg / gases.gas("water vapour").molar_mass * constant("general.gas_constant") * temperature_k / volume_m3
    boiling = constant("general.zero_celsius") + 100
    return min(rise, water_pressure(temperature_k)) if temperature_k <= boiling else rise


def stored_energy(gas: str, pressure_pa: float, ambient_pa: float, volume_m3: float) -> tuple[float, float]:
    """Return the energy, J, that gas above the pressure of the room can set free: isentropic, and Brode's.

    Args:
        gas: a gas of the table with a heat capacity ratio.
        pressure_pa: pressure in the chamber, Pa absolute.
        ambient_pa: pressure of the room, Pa.
        volume_m3: gas volume, m³.

    Source:
        p1 V/(k-1) (1 - (p0/p1)^((k-1)/k)); Brode 1959, (p1 - p0) V/(k-1), as an upper value; Baker and others 1983.
    """
    k = gases.gas(gas).gamma
    isentropic = pressure_pa * volume_m3 / (k - 1) * -expm1((k - 1) / k * log(ambient_pa / pressure_pa))
    return isentropic, (pressure_pa - ambient_pa) * volume_m3 / (k - 1)


def door_force(gauge_pa: float, width_m: float, height_m: float) -> float:
    """Return the force on a flat door, N: pressure difference times area.

    Args:
        gauge_pa: pressure above the room (outward), or that of the room against a vacuum (inward), Pa.
        width_m: opening, m.
        height_m: opening, m.

    Source:
        definition of pressure.
    """
    return gauge_pa * width_m * height_m


def judge_door(gauge_pa: float, rated_pa: float) -> str:
    """Return the verdict on a flat door: its rating, and the pressure from which a flat door bends.

    Args:
        gauge_pa: pressure above the room, Pa.
        rated_pa: highest pressure above the room that the chamber is rated for, Pa.

    Source:
        overpressure.flat_door: common practice, no source.
    """
    flat = "close" if gauge_pa > constant("overpressure.flat_door") else "within"
    return worst([judge(gauge_pa, rated_pa), flat])


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return what the mode asks, judged against the rating of the chamber.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    _refuse(inputs)
    work = {VENT: _vent_line, FAILURE: _failure, WATER: _water, ENERGY: _energy, DOOR: _door}
    return work[inputs.mode](inputs)


def _refuse(inputs) -> None:
    rated, relief = inputs["maximum_pressure"], inputs["relief_pressure"]
    if rated is None:
        raise Refused(
            "no_rated_pressure", "the chamber has no rated pressure",
            "A chamber without a rating counts as unable to hold any pressure, so nothing here can be judged.",
            "Give it an open vent or a relief at all times, and ask its maker for the rating.",
            "The furnace's maker decides.",
            field="maximum_pressure",
        )  # fmt: skip
    if rated > constant("atmosphere.pressure_equipment") * (1 + 1e-9):
        _refuse_equipment("maximum_pressure")
    if relief is None:
        raise Problems(
            {
                "relief_pressure": "Relief opens at is empty. Type it. Example: 35 mbar gauge. Without a relief no "
                "gas is let in."
            }
        )
    if relief >= rated:
        raise Refused(
            "relief_above_rated", "the relief opens too late",
            f"It opens at {_mbar(relief)}, and the chamber is rated for {_mbar(rated)}: the chamber gives way first.",
            "Fit a relief that opens below the rating, with room for the 10 % that it rises while it blows.",
            "A competent person fits it.",
            field="relief_pressure",
        )  # fmt: skip
    if inputs.mode in WITH_GAS:
        gases.refuse_for_chamber(inputs["gas"], built_for_flammable=True)
        if gases.gas(inputs["gas"]).gamma is None:
            raise Refused(
                "no_gas_data", "no data for this gas", f"The table holds too little of {inputs['gas']}.", field="gas"
            )
    if inputs.mode in SHUT:
        gauge = inputs["chamber_pressure"] - inputs.ambient_pa
        if gauge <= 0:
            raise Problems(
                {
                    "chamber_pressure": "Chamber pressure must be above that of the room, absolute. Type it as "
                    "absolute pressure."
                }
            )
        if gauge > constant("atmosphere.pressure_equipment") * (1 + 1e-9):
            _refuse_equipment("chamber_pressure")


def _refuse_equipment(field: str) -> None:
    raise Refused(
        "pressure_equipment", "above 0.5 bar this is pressure equipment",
        "More than 0.5 bar above the room belongs to vessels built, tested and licensed for it.",
        "Use the vessel's own documents.", "Whoever inspects the vessel decides.", field=field,
    )  # fmt: skip


def _mbar(pressure_pa: float, towards: str = "near") -> str:
    return wording.with_unit(wording.number(pressure_pa / 100, 3, towards), "mbar")


def _ladder(inputs, yours: list[tuple[str, float]], sentence: str) -> tuple:
    """The pressures of the chamber on one scale: relief, relief while it blows, rating, and the reader's."""
    relief, rated = inputs["relief_pressure"], inputs["maximum_pressure"]
    blowing = relief * (1 + constant("overpressure.accumulation"))
    points = [("relief opens", relief), ("relief blowing, 10 % more", blowing), ("rating of the chamber", rated)]
    values = [value for _, value in points + yours if value > 0]
    logarithmic = max(values) > 20 * min(values)
    shown = [(name, value) for name, value in points + yours if value > 0 or not logarithmic]
    return (
        Scale(
            sentence=sentence,
            description="Pressures above the room in mbar, from the lowest: "
            + ", ".join(f"{name} {_mbar(value, 'up')}" for name, value in sorted(shown, key=lambda p: p[1])) + ".",
            axis=Axis("Pressure above the room", "mbar", log=logarithmic, low=None if logarithmic else 0.0),
            points=tuple(Landmark(name, value / 100) for name, value in shown if (name, value) in points),
            yours=tuple(Landmark(name, value / 100) for name, value in shown if (name, value) in yours),
            table=Table("Pressures above the room", ("Level", "mbar", "below the rating, mbar"),
                        [(name, wording.number(v / 100, 3, "up"),
                          wording.number((rated - v) / 100, 3, "down")) for name, v in shown]),
        ),
    )  # fmt: skip


def _relief_verdict(inputs) -> str:
    """The relief while it blows must stay at or below the rating."""
    blowing = inputs["relief_pressure"] * (1 + constant("overpressure.accumulation"))
    return "close" if blowing > inputs["maximum_pressure"] * (1 + 1e-9) else "within"


def _relief_note(inputs) -> tuple[str, ...]:
    if _relief_verdict(inputs) == "within":
        return ()
    return (
        "While it blows, a relief rises about 10 % above its setting: here that passes the rating. Fit one that "
        "opens lower.",
    )


# ---- vent line and failed regulator


def _line(inputs) -> Line:
    return Line(inputs["vent_bore"], inputs["vent_length"], inputs["fittings_loss"])


def _through(inputs, flow: float) -> Vented:
    return vented(flow, inputs["gas"], inputs["vent_temperature"], _line(inputs), inputs.ambient_pa)


def _line_figures(inputs, flow: float, low_flow: float, high_flow: float, cause: str) -> dict:
    """Figures of the line: the loss is the pressure reached, since the line ends in the room."""
    spread, ambient = constant("overpressure.spread"), inputs.ambient_pa
    middle = _through(inputs, flow)
    loss, low, high = (_through(inputs, f).inlet_pa - ambient for f in (flow, low_flow, high_flow))
    reached = Estimate(loss, low * (1 - spread), high * (1 + spread), cause=cause)
    bore = smallest_bore(
        high_flow, inputs["gas"], inputs["vent_temperature"], _line(inputs), ambient, inputs["maximum_pressure"]
    )
    return {"peak_pressure": reached, "pressure_drop": reached, "smallest_bore": bore, "reynolds": middle.reynolds}


def _line_notes(inputs, flow: float, bore) -> list[str]:
    notes = list(_relief_note(inputs))
    if _through(inputs, flow).choked:
        notes.append(
            "The gas leaves the end of the line as fast as gas can: the line is choked, and more pressure helps little."
        )
    if bore is None:
        notes.append("No bore up to 100 mm keeps to the rating: let less in, with a smaller restriction.")
    if gases.gas(inputs["gas"]).kind == "flammable":
        notes.append("This gas burns in air: SAF-03 comes first.")
    return notes


LINE_LEAVES_OUT = (
    "dirt, frost, condensed fume and kinks, which close a line without a sign, and a corrugated hose, which loses "
    "several times as much",
    "the relief valve: whether it passes this flow stands on its own plate, not here",
)


def _line_cautions() -> tuple[Caution, ...]:
    return (
        Caution("WARNING", "Vent that can be shut",
                "A chamber whose only way out can be shut, or blocked by fibre and fume, bursts or throws its door "
                "when gas goes on coming in.",
                "Keep a relief in its way that no valve can shut, and prove it free before each run."),
        Caution("WARNING", "Gas from the relief",
                "A relief that opens throws hot gas without oxygen into whatever stands before it.",
                "Lead it outdoors or where nobody's face can be, and look at SAF-01 for the room."),
    )  # fmt: skip


def _line_working(inputs, flow: float, figures) -> Work:
    line = _line(inputs)
    return Work(
        "Pressure at the inlet of the vent line", "p₁² = p₂² + G² R_s T (f L/d + K + 2 ln(p₁/p₂))",
        f"n = {flow:.4g} mol/s, d = {line.bore_m * 1e3:.4g} mm, L = {line.length_m:.4g} m, K = {line.fittings_loss:g}, "
        f"T = {inputs['vent_temperature']:.2f} K, p₂ = {inputs.ambient_pa:.0f} Pa, Re = {figures['reynolds'].text}",
        f"p₁ − p₂ = {figures['pressure_drop'].text} ({figures['pressure_drop'].span})",
        ("general.gas_constant", "overpressure.spread", "overpressure.laminar_end", "overpressure.blasius_factor",
         "overpressure.blasius_end", "overpressure.haaland_factor", "overpressure.haaland_slope"), "crane-410",
    )  # fmt: skip


def _vent_line(inputs) -> Answer:
    flow = inputs["flow"]
    values = _line_figures(inputs, flow, flow, flow, "friction of the wall and losses of the fittings")
    figures = FIGURES.fill(**values)
    peak = values["peak_pressure"]
    relief, rated = inputs["relief_pressure"], inputs["maximum_pressure"]
    verdict = worst(
        [judge(peak.value, rated, peak.high), _relief_verdict(inputs), "close" if peak.high >= relief else "within"]
    )
    lifts = " The relief would open." if peak.high >= relief else ""
    return Answer(
        sentence=f"{inputs.said('flow')} through this vent line hold the chamber {figures['peak_pressure'].span} "
                 f"above the room.{lifts} The relief "
        f"opens at {_mbar(relief)}, {_mbar(rated - relief, 'down')} below the rating of {_mbar(rated)}.",
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=(*LINE_LEAVES_OUT, "gas that heating drives out on top of this flow (ATM-04)"),
        cautions=_line_cautions(),
        pictures=_ladder(inputs, [("your vent line", peak.value)], _gap_sentence(inputs)),
        working=(_line_working(inputs, flow, figures),),
        notes=tuple(_line_notes(inputs, flow, values["smallest_bore"])),
    )  # fmt: skip


def _gap_sentence(inputs) -> str:
    gap = inputs["maximum_pressure"] - inputs["relief_pressure"]
    return f"The relief opens {_mbar(gap, 'down')} below the rating of the chamber"


def _failure(inputs) -> Answer:
    if inputs["restriction_bore"] is None:
        raise Refused(
            "restriction_unknown", "the smallest bore is not known",
            "Between a full cylinder and the chamber only the smallest bore limits the flow of a failure.",
            "Find it in the papers of the gas panel, or have a restriction fitted and marked.",
            "A competent person fits it.",
            field="restriction_bore",
        )  # fmt: skip
    pressure, ambient = inputs["cylinder_pressure"], inputs.ambient_pa
    if pressure <= ambient:
        raise Problems({"cylinder_pressure": "Cylinder pressure now must be above that of the room."})
    flow, low, high = _failure_flows(inputs, pressure)
    full = full_pressure(pressure, ambient)
    full_flow, _, full_high = _failure_flows(inputs, full)
    cause = "coldest cylinder and discharge coefficient 1 at the upper end; friction of the line"
    values = _line_figures(inputs, flow, low, high, cause)
    figures = FIGURES.fill(failure_flow=Estimate(*map(norm_volume, (flow, low, high)), cause=cause), **values)
    peak, rated = values["peak_pressure"], inputs["maximum_pressure"]
    full_peak = _through(inputs, full_flow).inlet_pa - ambient
    full_most = (_through(inputs, full_high).inlet_pa - ambient) * (1 + constant("overpressure.spread"))
    verdict = worst([judge(peak.value, rated, peak.high), judge(full_peak, rated, full_most), _relief_verdict(inputs)])
    return Answer(
        sentence=f"If the regulator fails open, {inputs.said('restriction_bore')} pass "
                 f"{figures['failure_flow'].span}, and this vent line lets the "
        f"chamber reach {figures['peak_pressure'].span} above the room; it is rated for {_mbar(rated)}.",
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=(*LINE_LEAVES_OUT, "a bypass around the restriction, and a restriction that somebody took out"),
        cautions=(
            Caution("WARNING", "Full cylinder, weak chamber",
                    "Behind the regulator stands many times the pressure that the chamber holds. A regulator that "
                    "stays open lets it through at once.",
                    "Fit a restriction and a relief that passes its flow; shut the cylinder whenever nobody is there."),
            *_line_cautions(),
        ),
        pictures=_ladder(inputs, [("regulator open, now", peak.value), ("regulator open, at most", peak.high)],
                         _gap_sentence(inputs)),
        working=(
            Work("Flow through the smallest bore", "n = C A p √(k/(R T M)) (2/(k+1))^((k+1)/(2(k−1))) · Z_f",
                 f"bore {inputs['restriction_bore'] * 1e3:.4g} mm, C = {inputs['discharge_coefficient']:g}, p = "
                 f"{pressure / 1e5:.5g} bar, "
                 f"T = {inputs['cylinder_temperature']:.2f} K, Z_f = "
                 f"{real_gas_factor(inputs['gas'], pressure, inputs['cylinder_temperature']):.4g}",
                 f"{figures['failure_flow'].text} ({figures['failure_flow'].span})",
                 ("general.gas_constant", "overpressure.cold_cylinder", "overpressure.full_cylinder",
                  "overpressure.dense_gas"), "shapiro-1953"),
            _line_working(inputs, flow, figures),
        ),
        notes=tuple(_failure_notes(inputs, pressure, full, full_flow, full_peak) + _line_notes(inputs, flow,
                                                                                               values["smallest_bore"])),
    )  # fmt: skip


def _most_pa() -> float:
    """Highest pressure of the table of factors."""
    return max(p for points in _factors()["argon"].values() for p, _ in points)


def _failure_flows(inputs, pressure: float) -> tuple[float, float, float]:
    """The flow, and its ends: 15 % less by the coefficient; the coldest cylinder with a coefficient of 1."""
    gas, bore, ambient = inputs["gas"], inputs["restriction_bore"], inputs.ambient_pa
    coefficient = inputs["discharge_coefficient"]
    flow = failure_flow(gas, pressure, inputs["cylinder_temperature"], bore, coefficient, ambient)
    cold = coldest_failure(gas, pressure, inputs["cylinder_temperature"], bore, 1.0, ambient)
    return flow, flow * (1 - constant("orifice.discharge_spread")), cold


def _failure_notes(inputs, pressure, full, full_flow, full_peak) -> list[str]:
    notes = []
    if full > pressure * 1.01:
        flow = wording.number(norm_volume(full_flow) * 6e4, 3, "up")
        notes.append(
            f"The next cylinder is a full one: at {full / 1e5:.0f} bar the flow is {flow} L/min and the chamber "
            f"reaches {_mbar(full_peak, 'up')}. "
            "The verdict counts that too."
        )
    notes.append(
        "With the vent shut only the relief is left: compare the flow with the capacity on its plate, at its "
        "setting, for this gas."
    )
    return notes


# ---- water, stored energy, door


def _water(inputs) -> Answer:
    rise = water_rise(inputs["free_water"], inputs["chamber_temperature"], inputs["gas_volume"])
    figures = FIGURES.fill(pressure_rise=rise)
    relief, rated = inputs["relief_pressure"], inputs["maximum_pressure"]
    past = "past the rating" if rise > rated else "past the relief" if rise > relief else "below the relief"
    per_kilowatt = 1e3 / (constant("overpressure.evaporation_heat") + constant("overpressure.water_heat"))
    steam = norm_volume(per_kilowatt / gases.gas("water vapour").molar_mass) * 6e4
    verdict = "outside" if rise > rated else "close" if rise > relief else judge(rise, relief)
    return Answer(
        sentence=f"{inputs.said('free_water')} of water turned to steam at {inputs.said('chamber_temperature')} "
                 f"raise a shut chamber by "
        f"{figures['pressure_rise'].text}, {past}; the relief opens at {_mbar(relief)}, and the rating is "
        f"{_mbar(rated)}.",
        verdict=worst([verdict, _relief_verdict(inputs)]),
        judged=True,
        figures=figures,
        leaves_out=(
            "how fast it boils: water on hot metal flashes in a moment, faster than a relief may follow",
            "hydrogen: hot titanium, zirconium, magnesium, aluminium and carbon turn steam into as much hydrogen",
            "the pressure that was in the chamber before",
        ),
        cautions=(
            Caution("WARNING", "Water in a hot chamber",
                    "It flashes to steam, many hundred times its volume, and throws the door; on hot reactive metal "
                    "it also makes hydrogen, which burns.",
                    "Dry load and lining below 100 °C with the vent open. If water gets in while it is hot: heater "
                    "off, keep away from the door."),
        ),
        pictures=_ladder(inputs, [("rise from the water", rise)], _gap_sentence(inputs)) if rise > 0 else (),
        working=(
            Work("Rise from the water", "Δp = m R T / (M V)",
                 f"m = {inputs['free_water'] * 1e3:.4g} g, T = {inputs['chamber_temperature']:.2f} K, V = "
                 f"{inputs['gas_volume'] * 1e3:.4g} L",
                 figures["pressure_rise"].text, ("general.gas_constant",), "crc-handbook"),
        ),
        notes=(
            f"Each kilowatt that reaches the water makes {wording.number(steam, 2, 'up')} L/min of steam, counted at "
            f"0 °C and 101.325 kPa: that is the "
            "flow which vent and relief must pass.",
            *_relief_note(inputs),
        ),
    )  # fmt: skip


def _energy(inputs) -> Answer:
    gauge = inputs["chamber_pressure"] - inputs.ambient_pa
    middle, upper = stored_energy(inputs["gas"], inputs["chamber_pressure"], inputs.ambient_pa, inputs["gas_volume"])
    figures = FIGURES.fill(stored_energy=middle, stored_energy_upper=upper)
    height = middle / (constant("overpressure.door_mass") * constant("general.gravity"))
    return Answer(
        sentence=f"{_mbar(gauge, 'up')} above the room in {inputs.said('gas_volume')} of {inputs['gas']} hold "
                 f"{figures['stored_energy'].text}, at most "
        f"{figures['stored_energy_upper'].text}: as much as a door of 10 kg that falls "
        f"{wording.number(height, 2, 'up')} m.",
        verdict=worst([judge(gauge, inputs["maximum_pressure"]), _relief_verdict(inputs)]),
        judged=True,
        figures=figures,
        leaves_out=(
            "how much of it reaches the door: all of it, at worst",
            "splinters, hot gas and load, which hurt further off than the door",
            "gas that goes on coming in while the chamber empties",
        ),
        cautions=(_door_caution(),),
        pictures=_ladder(inputs, [("your chamber", gauge)], _gap_sentence(inputs)),
        working=(
            Work("Stored energy", "E = p₁ V/(k − 1) (1 − (p₀/p₁)^((k−1)/k)); upper (p₁ − p₀) V/(k − 1)",
                 f"p₁ = {inputs['chamber_pressure']:.6g} Pa, p₀ = {inputs.ambient_pa:.6g} Pa, V = "
                 f"{inputs['gas_volume'] * 1e3:.4g} L, "
                 f"k = {gases.gas(inputs['gas']).gamma:g}",
                 f"{figures['stored_energy'].text}; {figures['stored_energy_upper'].text}",
                 ("overpressure.door_mass", "general.gravity"), "brode-1959"),
        ),
        notes=_relief_note(inputs),
    )  # fmt: skip


def _door(inputs) -> Answer:
    gauge, ambient = inputs["chamber_pressure"] - inputs.ambient_pa, inputs.ambient_pa
    size = inputs["door_width"], inputs["door_height"]
    relief, rated = inputs["relief_pressure"], inputs["maximum_pressure"]
    figures = FIGURES.fill(door_force=door_force(gauge, *size), door_force_vacuum=door_force(ambient, *size))
    at_relief = wording.with_unit(wording.number(door_force(relief, *size), 3, "up"), "N")
    flat = "close" if gauge > constant("overpressure.flat_door") else "within"
    return Answer(
        sentence=f"At {_mbar(gauge, 'up')} above the room the door is pushed outward with "
                 f"{figures['door_force'].text}. The relief opens at "
        f"{_mbar(relief)}; the door then sees {at_relief}. Under vacuum it is pressed inward with "
        f"{figures['door_force_vacuum'].text}.",
        verdict=worst([judge_door(gauge, rated), _relief_verdict(inputs)]),
        judged=True,
        figures=figures,
        leaves_out=(
            "hinge, clamps and seal: what they hold stands in the furnace's manual",
            "the area inside the seal, which is larger than the opening and carries more",
            "a door that is struck by a sudden rise, which loads it up to twice",
        ),
        cautions=(
            _door_caution(),
            Caution("WARNING", "Window under vacuum", "A window that is scratched or cracked gives way inward under "
                                                      "vacuum and throws splinters.",
                    "Look at it before pumping, and keep its guard in place."),
        ),
        pictures=_ladder(inputs, [("your chamber", gauge)], _gap_sentence(inputs)),
        working=(
            Work("Force on the door", "F = p A", f"p = {gauge:.5g} Pa, A = {size[0] * size[1]:.4g} m²",
                 figures["door_force"].text,
                 ("overpressure.flat_door", "overpressure.accumulation"), "si-brochure"),
            Work("Under vacuum", "F = p_room A", f"p_room = {ambient:.6g} Pa", figures["door_force_vacuum"].text, (),
                 "si-brochure"),
        ),
        notes=(
            *(("Above 0.1 bar a flat rectangular door bends: ask its maker.",) if flat == "close" else ()),
            *_relief_note(inputs),
        ),
    )  # fmt: skip


def _door_caution() -> Caution:
    return Caution(
        "WARNING", "Door with pressure behind it",
        "A clamp that is loosened under pressure lets the door fly open; a few millibars are as much as a person "
        "leaning on it.",
        "Let the pressure down to that of the room, read it on the gauge, and stand beside the door when you loosen "
        "it.",
    )  # fmt: skip
