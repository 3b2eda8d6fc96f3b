"""The line between chamber and pump: how much of the pump's speed arrives, at a pressure, for a gas."""

from dataclasses import dataclass
from functools import cache
from math import inf, log, pi, sqrt

from calcs import gases, wording
from calcs.core import Answer, Caution, Estimate, Figures, Range, ReadOff, Refused, Shown, Work
from calcs.data import constant, number_or_none, rows
from calcs.form import Field, Form, Problems
from calcs.picture import Bar, Bars, Table

PAGE = "VAC-02"

TO_PUMP, BETWEEN = "to a pump", "between two pressures"
PUMP, TWO = (TO_PUMP,), (BETWEEN,)
KEPT_WELL, KEPT_LITTLE = 0.7, 0.3  # shares of the pump's speed; ours: where the hose matters, and where it decides
LEAST_LOSS = 0.1  # loss coefficient below which a line without length has no resistance; an open port has 1.5
SMALL_DROP = 0.01  # share of the pressure below which turbulence in the line changes nothing; ours
MOST_STEPS = 200

INLET = Range("1e-3 Pa", "2e5 Pa", because="The formulas were checked from there to a little above the room.")
HOSE_TEMPERATURE = Range("-20 degC", "100 degC")
BORE = Range("1 mm", "300 mm", because="Lines of this kind of furnace have no other bores.")
LENGTH = Range("0 m", "50 m", because="Longer lines are plant piping, not a hose.")
LOSS = Range("0", "100", because="More than that is a shut valve.")
SPEED = Range("0.1 m3/h", "2000 m3/h", because="Pumps outside this do not serve chambers of this kind.")
ULTIMATE = Range("1e-6 mbar", "200 mbar", because="That covers pumps from diaphragm to rotary vane.")

FORM = Form(
    question="How much pumping reaches the chamber?",
    modes=(TO_PUMP, BETWEEN),
    mode_label="What stands at the far end?",
    ask=("inlet_pressure", "outlet_pressure", "gas"),
    fields=(
        Field("inlet_pressure", "Pressure at the chamber end", "absolute pressure", "0.1 mbar",
              hint="The pressure at which you want to know it: a line that is free at 10 mbar may throttle at 0.01 "
                   "mbar."),
        Field("outlet_pressure", "Pressure at the far end", "absolute pressure", "0.05 mbar", modes=TWO,
              accepted=Range("0 Pa"), hint="What a second gauge at the pump shows."),
        Field("gas", "Gas", "choice", "air", default="air", choices=gases.NAMES, spoken=gases.FORMULAS,
              hint="What flows in the line; below 1 mbar it is mostly water vapour."),
        Field("bore", "Hose bore, smallest", "length", "39 mm", accepted=BORE,
              hint="The narrowest place counts: hose barb, adaptor, port of a valve."),
        Field("length", "Hose length", "length", "1.2 m", accepted=LENGTH, hint="Along the hose, from chamber to "
                                                                                "pump."),
        Field("fittings_loss", "Loss coefficient of fittings, sum", "number", "3", default="1.5", accepted=LOSS,
              hint="1.5 for entrance and exit; add 0.8 for each elbow, 3 to 6 for an angle valve, 0.1 for a ball "
                   "valve."),
        Field("hose_type", "Hose wall", "choice", "smooth", default="smooth", choices=("smooth", "corrugated"),
              hint="Corrugated is a metal bellows hose."),
        Field("pump_speed", "Rated pumping speed", "conductance", "10 m3/h", modes=PUMP, accepted=SPEED,
              hint="From the pump's data sheet, at your mains frequency."),
        Field("pump_ultimate", "Pump's own end "
                               "pressure", "absolute pressure", "0.003 mbar", modes=PUMP, accepted=ULTIMATE,
              hint="Measured with the pump blanked off, gas ballast shut; old or wet oil raises it."),
        Field("gas_temperature", "Gas temperature", "temperature", "20 °C", default="20 °C", accepted=Range("-20 degC"),
              hint="Of the gas in the hose, not of the furnace: −20 °C to 100 °C."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("effective_speed", "Pumping speed at the chamber", "conductance", "m3/h, L/s", "down", 3, PUMP),
    Shown("speed_kept", "Share of the pump's speed kept", "number", "%", "down", 3, PUMP),
    Shown("pump_inlet_pressure", "Pressure at the pump", "absolute pressure", "mbar", "up", 3, PUMP),
    Shown("conductance", "Conductance of the line", "conductance", "L/s", "down"),
    Shown("throughput", "Throughput", "throughput", "Pa m3/s, mbar L/s"),
    Shown("rarefaction", "Rarefaction", "number", "1"),
    Shown("knudsen", "Knudsen number", "number", "1"),
    Shown("reynolds", "Reynolds number", "number", "1"),
    Shown("regime", "Flow regime", "choice"),
    Shown("choked", "Choked", "yes/no"),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Pumping speed at the chamber, of a pump with 10 m³/h and 0.003 mbar, through 1 m of smooth hose with "
        "fittings 1.5, air at 20 °C",
        down=("bore", ("10 mm", "16 mm", "25 mm", "40 mm")),
        across=("inlet_pressure", ("100 mbar", "1 mbar", "0.1 mbar", "0.05 mbar", "0.01 mbar")),
        figures=("effective_speed",),
        given={"length": "1 m", "fittings_loss": "1.5"},
    ),
    ReadOff(
        caption="The same at 0.1 mbar, bore against length",
        down=("length", ("0.5 m", "1 m", "2 m", "5 m")),
        across=("bore", ("16 mm", "25 mm", "40 mm")),
        figures=("effective_speed",),
        given={"fittings_loss": "1.5"},
    ),
)


# ---------------------------------------------------------------- gas data


@cache
def _more_gases() -> dict[str, dict]:
    return {row["gas"]: row for row in rows("vacuum/gases.csv")}


def gas_viscosity(name: str, temperature_k: float) -> float:
    """Return the viscosity of a gas at low pressure, Pa s; it does not depend on pressure here.

    Args:
        name: a gas of the common table.
        temperature_k: 273 K to 1473 K for most; 250 K to 600 K for neon, krypton, xenon and water vapour.

    Raises:
        Refused: the temperature lies outside the data.

    Source:
        gases.viscosity; for the four gases above CRC Handbook of Chemistry and Physics, viscosity of gases.
    """
    row = _more_gases().get(name)
    if row is None:
        return gases.viscosity(name, temperature_k)
    if not 250 <= temperature_k <= 600:  # range of that file
        raise Refused(
            "no_gas_data", "the viscosity table ends before that",
            f"The viscosity of {name} is known from 250 K to 600 K.", field="gas_temperature",
        )  # fmt: skip
    points = [(t, number_or_none(row[f"mu_{t}"])) for t in (200, 300, 400, 500, 600)]
    points = [p for p in points if p[1]]
    (t1, m1), (t2, m2) = next((a, b) for a, b in zip(points, points[1:], strict=False) if temperature_k <= b[0])
    return m1 * 1e-6 * (m2 / m1) ** (log(temperature_k / t1) / log(t2 / t1))


def heat_capacity_ratio(name: str) -> float:
    """Return the ratio of heat capacities of a gas at 298 K.

    Args:
        name: a gas of the table.

    Source:
        the common table of gases; water vapour from data/vacuum/gases.csv.
    """
    return gases.gas(name).gamma or float(_more_gases()[name]["gamma"])


def free_path(name: str, temperature_k: float, pressure_pa: float) -> float:
    """Return the mean free path, m, from the viscosity: l = (eta / p) sqrt(pi R T / (2 M)).

    Tables for hard spheres differ from it by up to about 10 %.

    Args:
        name: a gas of the table.
        temperature_k: within the range of its viscosity.
        pressure_pa: absolute pressure, Pa, above 0.

    Source:
        kinetic theory; Jousten, Handbook of Vacuum Technology (known, source not looked up).
    """
    speed = sqrt(pi * constant("general.gas_constant") * temperature_k / (2 * gases.gas(name).molar_mass))
    return gas_viscosity(name, temperature_k) / pressure_pa * speed


# ---------------------------------------------------------------- physics


@dataclass(frozen=True)
class Tube:
    """A line with its gas, ready for quick repeated use. SI units; made by `tube`."""

    bore_m: float
    area_m2: float
    friction: float  # a of the viscous part, Pa² s/(Pa m³)
    loss: float  # b of the viscous part for the fittings
    inertia: float  # M/(R T A²), so that loss = sum of coefficients times it
    length_over_bore: float
    friction_factor: float  # viscous friction against a smooth wall
    molecular: float  # conductance without collisions, m³/s
    rarefaction_per_pa: float
    reynolds_per_throughput: float
    laminar_to: float  # throughput up to which the flow is laminar
    choked_per_pa: float  # greatest throughput for each Pa at the inlet


def tube(
    bore_m: float, length_m: float, fittings_loss: float, gas_name: str, temperature_k: float,
    friction_factor: float = 1.0, molecular_factor: float = 1.0,
) -> Tube:  # fmt: skip
    """Return a line for a gas at a temperature.

    The viscous friction counts a length of 3 pi/16 bores more than the line has: the creeping flow into an opening
    needs that much. Without it a line of no length would pass too much where molecules hardly meet.

    Args:
        bore_m: smallest inner diameter, 1 mm to 300 mm.
        length_m: 0 to 50 m.
        fittings_loss: sum of loss coefficients, 0 to 100.
        gas_name: a gas of the table.
        temperature_k: gas in the line, 253 K to 373 K.
        friction_factor: viscous friction against a smooth wall.
        molecular_factor: molecular conductance against a smooth wall.

    Source:
        Hagen and Poiseuille for a gas at one temperature, with the end effect of Sampson 1891; Santeler 1986 for
        the short tube; isentropic flow for the greatest throughput.
    """
    gas = gases.gas(gas_name)
    rt, viscosity = constant("general.gas_constant") * temperature_k, gas_viscosity(gas_name, temperature_k)
    area, gamma = pi * bore_m**2 / 4, heat_capacity_ratio(gas_name)
    inertia = gas.molar_mass / (rt * area**2)
    reynolds_per_throughput = 4 * gas.molar_mass / (pi * bore_m * viscosity * rt)
    most_probable = sqrt(2 * rt / gas.molar_mass)
    critical = (2 / (gamma + 1)) ** ((gamma + 1) / (2 * (gamma - 1)))
    return Tube(
        bore_m=bore_m,
        area_m2=area,
        friction=256 * viscosity * (length_m * friction_factor + 3 * pi * bore_m / 16) / (pi * bore_m**4),
        loss=fittings_loss * inertia,
        inertia=inertia,
        length_over_bore=length_m / bore_m,
        friction_factor=friction_factor,
        molecular=molecular_factor * area * gases.mean_speed(gas_name, temperature_k) / 4
        * passing_share(2 * length_m / bore_m),
        rarefaction_per_pa=bore_m / 2 / (viscosity * most_probable),
        reynolds_per_throughput=reynolds_per_throughput,
        laminar_to=constant("vacuum.turbulent_begin") / reynolds_per_throughput,
        choked_per_pa=area * sqrt(gamma * rt / gas.molar_mass) * critical,
    )  # fmt: skip


def passing_share(length_over_radius: float) -> float:
    """Return the share of molecules that pass a tube without collisions among them (1 for an opening).

    Args:
        length_over_radius: length over radius, 0 or more.

    Source:
        Santeler 1986; within 0.7 % of Clausing's integral equation for 0.1 to 200.
    """
    longer = 1 + 1 / (constant("vacuum.short_tube_offset") + constant("vacuum.short_tube_slope") * length_over_radius)
    return 1 / (1 + 3 * length_over_radius * longer / 8)


@cache
def _transition() -> tuple[float, ...]:
    names = (
        "vacuum.transition_a",
        "vacuum.transition_a_power",
        "vacuum.transition_b",
        "vacuum.transition_b_power",
        "vacuum.slip",
    )
    return tuple(constant(name) for name in names)


def transition_factor(rarefaction: float) -> float:
    """Return by how much the molecular part of the conductance of a long tube changes with pressure.

    1 without collisions. It is the kinetic flow coefficient, less its viscous part delta/4, divided by its
    value without collisions, 8/(3 sqrt(pi)).

    Args:
        rarefaction: delta = radius times pressure / (viscosity times most probable speed), 0 or more.

    Source:
        interpolation of the tables of Sharipov and Seleznev 1998, within 1.5 %.
    """
    if rarefaction <= 0:
        return 1.0
    a, a_power, b, b_power, slip = _transition()
    free = (1 + a * rarefaction**a_power * log(rarefaction)) / (1 + b * rarefaction**b_power)
    # (δ/4 + σ) δ/(1 + δ) − δ/4, written so that large δ does not lose its digits
    slipping = (slip - 1 / 4) * rarefaction / (1 + rarefaction)
    return free + 3 * sqrt(pi) / 8 * slipping


def flow_coefficient(rarefaction: float) -> float:
    """Return the kinetic flow coefficient G of a long tube: 8/(3 sqrt(pi)) without collisions, delta/4 when viscous.

    Args:
        rarefaction: delta, see transition_factor.

    Source:
        see transition_factor.
    """
    return rarefaction / 4 + 8 / (3 * sqrt(pi)) * transition_factor(rarefaction)


def friction_coefficient(reynolds: float) -> float:
    """Return the friction factor of a smooth pipe: laminar to 2300, turbulent from 4000, straight in between.

    Args:
        reynolds: Reynolds number, above 0.

    Source:
        64/Re; Blasius 1913. The straight piece between is ours.
    """
    begin, full = constant("vacuum.turbulent_begin"), constant("vacuum.turbulent_full")
    if reynolds <= begin:
        return 64 / reynolds
    turbulent = constant("vacuum.blasius") * max(reynolds, full) ** constant("vacuum.blasius_power")
    if reynolds >= full:
        return turbulent
    laminar = 64 / begin
    return laminar + (turbulent - laminar) * (reynolds - begin) / (full - begin)


def throughput(line: Tube, inlet_pa: float, drop_pa: float) -> float:
    """Return the throughput of a line, Pa·m³/s at the gas temperature, over all regimes.

    Q = Q_v + z(delta) C_m (p1 - p2), at most the choked throughput. Q_v solves b Q² + a Q = p1² - p2².

    Args:
        line: from `tube`.
        inlet_pa: pressure at the chamber end, Pa.
        drop_pa: fall of pressure along the line, 0 to the inlet pressure.

    Source:
        Hagen and Poiseuille, loss coefficients, transition_factor, passing_share.
    """
    difference = drop_pa * (2 * inlet_pa - drop_pa)
    viscous = _viscous(line, difference)
    delta = line.rarefaction_per_pa * (inlet_pa - drop_pa / 2)
    total = viscous + transition_factor(delta) * line.molecular * drop_pa
    return min(total, line.choked_per_pa * inlet_pa)


def _viscous(line: Tube, difference: float) -> float:
    """The root of b Q² + a Q = D, in the form that survives b → 0; above Re 2300 with turbulent friction."""
    if difference <= 0:
        return 0.0
    below = line.friction + sqrt(line.friction**2 + 4 * line.loss * difference)
    if below <= 0:
        return inf  # no resistance at all: the choked throughput is the limit
    laminar = flow = 2 * difference / below
    if line.length_over_bore == 0 or laminar <= line.laminar_to:
        return laminar
    for _ in range(12):  # the friction changes slowly with the flow: a few rounds settle it
        friction = friction_coefficient(line.reynolds_per_throughput * flow) * line.friction_factor
        flow = sqrt(difference / (line.loss + friction * line.length_over_bore * line.inertia))
    return min(flow, laminar)


def join_pump(line: Tube, inlet_pa: float, speed_m3_per_s: float, ultimate_pa: float) -> tuple[float, float]:
    """Return (fall of pressure along the line in Pa, throughput in Pa·m³/s) of a line with a pump at its end.

    The pump takes S0 (p2 - p_u); the line passes throughput(p1 - p2); both are equal.

    Args:
        line: from `tube`.
        inlet_pa: pressure at the chamber end, above the pump's end pressure.
        speed_m3_per_s: rated pumping speed.
        ultimate_pa: the pump's own end pressure.

    Source:
        S = S0 (1 - p_u/p2), the usual approximation: O'Hanlon (known, source not looked up). Solved by the
        rule of false position, since one side rises with the drop and the other falls.
    """
    most = inlet_pa - ultimate_pa

    def excess(drop):
        return throughput(line, inlet_pa, drop) - speed_m3_per_s * (most - drop)

    low, high, at_low, at_high = 0.0, most, -speed_m3_per_s * most, excess(most)
    if at_high <= 0:  # the line passes nothing to speak of
        return most, throughput(line, inlet_pa, most)
    side, drop = 0, most
    for _ in range(MOST_STEPS):
        before, drop = drop, (low * at_high - high * at_low) / (at_high - at_low)
        here = excess(drop)
        if here == 0 or abs(drop - before) <= 1e-11 * drop:
            break
        if here > 0:
            high, at_high = drop, here
            at_low, side = (at_low / 2 if side == 1 else at_low), 1
        else:
            low, at_low = drop, here
            at_high, side = (at_high / 2 if side == -1 else at_high), -1
    return drop, speed_m3_per_s * (most - drop)


def wall_factors(hose_type: str) -> tuple[tuple[float, float], ...]:
    """Return (viscous friction, molecular conductance) against a smooth hose: nominal, best, worst.

    Args:
        hose_type: smooth or corrugated.

    Source:
        corrugated: common practice, no source.
    """
    if hose_type == "smooth":
        return ((1.0, 1.0),) * 3
    return (
        (constant("vacuum.corrugated_friction"), constant("vacuum.corrugated_molecular")),
        (constant("vacuum.corrugated_friction_low"), 1.0),
        (constant("vacuum.corrugated_friction_high"), constant("vacuum.corrugated_molecular_low")),
    )


def regime_of(knudsen: float) -> str:
    """Return the word for the flow in a tube: viscous, transition or molecular.

    Args:
        knudsen: mean free path over bore, above 0.

    Source:
        ends of the ranges by convention: O'Hanlon (known, source not looked up).
    """
    if knudsen < constant("vacuum.viscous_end"):
        return "viscous"
    return "transition" if knudsen <= constant("vacuum.molecular_begin") else "molecular"


# ---------------------------------------------------------------- the answer


def refuse_line(inputs) -> None:
    """Refuse a line that the formulas do not cover; shared with `pumpdown`.

    Args:
        inputs: the values of a form with a line.

    Raises:
        Refused: hot_gas.
        Problems: a line of no length and no loss.

    Source:
        hoses and pumps near room temperature: common practice, no source.
    """
    if inputs["gas_temperature"] not in HOSE_TEMPERATURE:
        raise Refused(
            "hot_gas", "the gas in the hose is too hot",
            f"Hoses and pumps of this kind work up to 100 °C; you gave {inputs.said('gas_temperature')}.",
            "Give the temperature of the gas in the hose (near room temperature), not of the furnace.",
            field="gas_temperature",
        )  # fmt: skip
    if inputs["length"] == 0 and inputs["fittings_loss"] < LEAST_LOSS:
        raise Problems({"fittings_loss": "Loss coefficient of fittings, sum: a line without length still has its "
                                         "entrance and "
                                         "exit. Type 1.5."})  # fmt: skip


def tubes_of(inputs) -> tuple[Tube, Tube, Tube]:
    """Return the line of typed inputs: nominal, best, worst wall.

    Args:
        inputs: the values of a form with a line.

    Source:
        tube, wall_factors.
    """
    return tuple(
        tube(
            inputs["bore"],
            inputs["length"],
            inputs["fittings_loss"],
            inputs["gas"],
            inputs["gas_temperature"],
            *factors,
        )
        for factors in wall_factors(inputs["hose_type"])
    )


def answer(inputs) -> Answer:
    """Return what a line passes, to a pump or between two pressures, with its range.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    inlet = inputs["inlet_pressure"]
    if inlet not in INLET:
        raise Refused(
            "pressure_outside", "outside the pressures covered",
            f"The formulas hold from {INLET.said} at the chamber end; you gave {inputs.said('inlet_pressure')}.",
            "Check the unit.", field="inlet_pressure",
        )  # fmt: skip
    refuse_line(inputs)
    return _to_pump(inputs, inlet) if inputs.mode == TO_PUMP else _between(inputs, inlet)


def _to_pump(inputs, inlet) -> Answer:
    speed, ultimate = inputs["pump_speed"], inputs["pump_ultimate"]
    if inlet <= ultimate * (1 + 1e-9):
        raise Refused(
            "below_pump_ultimate", "the pump cannot reach this pressure",
            f"Its own end pressure is {inputs.said('pump_ultimate')}, and the chamber is to be at "
            f"{inputs.said('inlet_pressure')}: nothing flows.",
            "Ask for a higher pressure, or use a pump with a lower end pressure.", field="inlet_pressure",
        )  # fmt: skip
    tubes = tubes_of(inputs)
    drop, flow = join_pump(tubes[0], inlet, speed, ultimate)
    conductance = flow / drop
    low, high = _conductance_range(inputs, tubes, conductance, inlet, speed, ultimate)
    cause = (
        "the corrugation"
        if inputs["hose_type"] == "corrugated"
        else "bends and the formula itself, 5 % of the conductance"
    )

    def at_chamber(c):
        return (1 - ultimate / inlet) / (1 / speed + 1 / c)

    effective = Estimate(at_chamber(conductance), at_chamber(low), at_chamber(high), cause)
    kept = effective.value / speed
    figures = FIGURES.fill(
        effective_speed=effective,
        speed_kept=Estimate(kept, effective.low / speed, effective.high / speed, cause),
        pump_inlet_pressure=inlet - drop,
        conductance=Estimate(conductance, low, high, cause),
        **_state(tubes[0], inlet, drop, flow),
    )
    shares = _shares(inputs, tubes[0], inlet, ultimate, speed, effective.value, conductance)
    return Answer(
        sentence=_pump_sentence(inputs, figures, kept),
        verdict="within" if kept >= KEPT_WELL else "close" if kept >= KEPT_LITTLE else "outside",
        judged=True,
        figures=figures,
        leaves_out=_leaves_out(inputs),
        cautions=_cautions(inputs),
        pictures=(_picture(shares),),
        working=_working(inputs, tubes[0], inlet, drop, flow, conductance),
        notes=_notes(inputs, tubes[0], inlet, drop, flow, kept),
    )


def _conductance_range(inputs, tubes, conductance, inlet, speed, ultimate) -> tuple[float, float]:
    if inputs["hose_type"] == "corrugated":
        found = []
        for line in (tubes[2], tubes[1]):
            drop, flow = join_pump(line, inlet, speed, ultimate)
            found.append(flow / drop)
        return found[0], found[1]
    error = constant("vacuum.formula_error")
    return conductance * (1 - error), conductance * (1 + error)


def _between(inputs, inlet) -> Answer:
    outlet = inputs["outlet_pressure"]
    if outlet >= inlet:
        raise Refused(
            "no_flow", "no flow",
            f"The far end ({inputs.said('outlet_pressure')}) is not below the chamber end "
            f"({inputs.said('inlet_pressure')}).",
            "Swap the two, or check the units.", field="outlet_pressure",
        )  # fmt: skip
    drop, tubes = inlet - outlet, tubes_of(inputs)
    flow = throughput(tubes[0], inlet, drop)
    conductance = flow / drop
    if inputs["hose_type"] == "corrugated":
        low, high = (throughput(line, inlet, drop) / drop for line in (tubes[2], tubes[1]))
        cause = "the corrugation"
    else:
        error, cause = constant("vacuum.formula_error"), "bends and the formula itself"
        low, high = conductance * (1 - error), conductance * (1 + error)
    figures = FIGURES.fill(conductance=Estimate(conductance, low, high, cause), **_state(tubes[0], inlet, drop, flow))
    fittings = _fittings_share(inputs, tubes[0], inlet, drop, conductance)
    return Answer(
        sentence=f"From {inputs.said('inlet_pressure')} to {inputs.said('outlet_pressure')} the line passes "
        f"{figures['throughput'].text} of {inputs['gas']}: a conductance of {figures['conductance'].text}.",
        figures=figures,
        leaves_out=_leaves_out(inputs),
        pictures=(_picture([("hose", 1 - fittings), ("fittings", fittings)]),),
        working=_working(inputs, tubes[0], inlet, drop, flow, conductance),
        notes=_notes(inputs, tubes[0], inlet, drop, flow, None),
    )


def _state(line: Tube, inlet, drop, flow) -> dict:
    delta = line.rarefaction_per_pa * (inlet - drop / 2)
    knudsen = sqrt(pi) / (4 * delta)  # λ/d, since δ = (√π/2) r/λ
    return {
        "throughput": flow, "rarefaction": delta, "knudsen": knudsen, "reynolds": line.reynolds_per_throughput * flow,
        "regime": regime_of(knudsen), "choked": flow >= line.choked_per_pa * inlet * (1 - 1e-9),
    }  # fmt: skip


def _fittings_share(inputs, line: Tube, inlet, drop, conductance) -> float:
    """Share of the line's resistance that goes when the fittings' loss is taken away (kept within 0 and 1)."""
    if inputs["length"] == 0 or not inputs["fittings_loss"]:
        return 1.0 if inputs["length"] == 0 else 0.0
    bare = tube(
        inputs["bore"],
        inputs["length"],
        0.0,
        inputs["gas"],
        inputs["gas_temperature"],
        *wall_factors(inputs["hose_type"])[0],
    )
    return min(1.0, max(0.0, 1 - conductance * drop / throughput(bare, inlet, drop)))


def _shares(inputs, line, inlet, ultimate, speed, effective, conductance) -> list[tuple[str, float]]:
    """Shares of 1/S_eff: the pump itself, its end pressure, hose, fittings; together 1."""
    drop = effective * inlet / conductance
    fittings = _fittings_share(inputs, line, inlet, drop, conductance)
    in_line = effective / conductance
    return [
        ("pump", effective / speed),
        ("pump near its end pressure", ultimate / inlet),
        ("hose", in_line * (1 - fittings)),
        ("fittings", in_line * fittings),
    ]


def _picture(shares) -> Bars:
    shares = [(name, share) for name, share in shares if share > 1e-4]
    lost = {name: share for name, share in shares if name != "pump"}
    worst = max(lost, key=lost.get, default="pump")
    percent = wording.number(lost.get(worst, 0) * 100, 2)
    if any(name == "pump" for name, _ in shares):
        verb = "takes" if worst in ("hose", "pump near its end pressure") else "take"
        sentence = (
            f"The {worst} {verb} {percent} % of the pump's speed"
            if lost
            else "The line takes nothing of the pump's speed"
        )
    else:
        sentence = f"The {worst} {'makes' if worst == 'hose' else 'make'} {percent} % of the line's resistance"
    return Bars(
        sentence=sentence,
        description="Share of the whole resistance between chamber and pump in percent: "
        + ", ".join(f"{name} {wording.number(share * 100, 2)}" for name, share in shares) + ".",
        unit="%",
        bars=tuple(Bar(name, share * 100) for name, share in shares),
        stacked=True,
        table=Table("Share of the resistance", ("Element", "Share, %"),
                    [[n, wording.number(s * 100, 2)] for n, s in shares]),
    )  # fmt: skip


def _pump_sentence(inputs, figures, kept) -> str:
    effective = figures["effective_speed"]
    said = (
        f"Of the pump's {inputs.said('pump_speed')}, about {effective.text} reach the chamber at "
        f"{inputs.said('inlet_pressure')} "
        f"({effective.span}), with {inputs['gas']} at {inputs.said('gas_temperature')}"
    )
    if kept < KEPT_LITTLE:
        return f"{said}: a bigger pump will not help, a wider or shorter line will."
    if kept < KEPT_WELL:
        return f"{said}: the line takes a good part of it."
    return f"{said}."


def _leaves_out(inputs) -> tuple[str, ...]:
    return (
        "dust filter, trap and dirt, unless you add their loss coefficient",
        "bends tighter than a few bores, and a kinked or sagging hose",
        "that the share changes with pressure: ask again for each pressure that matters",
    )


def _cautions(inputs) -> tuple[Caution, ...]:
    kind = gases.gas(inputs["gas"]).kind
    if kind not in ("flammable", "toxic", "oxygen"):
        return ()
    what = {
        "flammable": "It can burn or explode in the pump and at its exhaust.",
        "toxic": "It comes out at the pump's exhaust and poisons people there.",
        "oxygen": "Oxygen-rich gas sets ordinary pump oil on fire.",
    }[kind]
    return (
        Caution("WARNING", f"{inputs['gas'].capitalize()} in a pump", what,
                "This figure is a conversion, no permission to pump it: the pump, its fluid and its exhaust must be "
                "built for that gas."),
    )  # fmt: skip


def _working(inputs, line, inlet, drop, flow, conductance) -> tuple[Work, ...]:
    delta = line.rarefaction_per_pa * (inlet - drop / 2)
    steps = [
        Work("Rarefaction at the mean pressure", "δ = r p̄ / (η v_m)",
             f"r = {line.bore_m * 500:.4g} mm, p̄ = {inlet - drop / 2:.4g} Pa, "
             f"η = {gas_viscosity(inputs['gas'], inputs['gas_temperature']) * 1e6:.4g} µPa·s", f"δ = {delta:.4g}",
             ("general.gas_constant",)),
        Work("Viscous part", "b Q² + a Q = p₁² − p₂²", f"a = {line.friction:.4g} Pa/(m³/s), b = {line.loss:.4g} s²/m⁶",
             f"Q_v = {_viscous(line, drop * (2 * inlet - drop)):.4g} Pa·m³/s"),
        Work("Molecular part", "z(δ) C_m (p₁ − p₂)",
             f"C_m = {line.molecular * 1e3:.4g} L/s, z = {transition_factor(delta):.4g}, p₁ − p₂ = {drop:.4g} Pa",
             f"{transition_factor(delta) * line.molecular * drop:.4g} Pa·m³/s",
             ("vacuum.transition_a", "vacuum.transition_b", "vacuum.slip", "vacuum.short_tube_offset"),
             "sharipov-seleznev"),
        Work("Line", "C = Q / (p₁ − p₂)", f"Q = {flow:.4g} Pa·m³/s", f"C = {conductance * 1e3:.4g} L/s"),
    ]  # fmt: skip
    if inputs.mode == TO_PUMP:
        steps.append(
            Work("With the pump", "S_eff = (1 − p_u/p₁) / (1/S₀ + 1/C)",
                 f"S₀ = {inputs['pump_speed'] * 1e3:.4g} L/s, p_u = {inputs['pump_ultimate']:.4g} Pa, p₁ = "
                 f"{inlet:.4g} Pa",
                 f"S_eff = {flow / inlet * 1e3:.4g} L/s", source="ohanlon")
        )  # fmt: skip
    return tuple(steps)


def _notes(inputs, line, inlet, drop, flow, kept) -> tuple[str, ...]:
    notes = []
    if line.reynolds_per_throughput * flow > constant("vacuum.turbulent_begin") and inputs["length"]:
        small = drop < SMALL_DROP * inlet
        notes.append("The flow is turbulent; " + ("the effect on the result is negligible." if small else
                     "turbulent friction of a smooth pipe is used, as far as Re 100 000."))  # fmt: skip
    if flow >= line.choked_per_pa * inlet * (1 - 1e-9):
        notes.append("The narrowest place runs at the speed of sound: a lower pressure behind it draws no more gas.")
    if inputs["hose_type"] == "corrugated":
        notes.append("The factors for corrugated hose are common practice, no source: take the range, not the middle.")
    if kept is not None and inputs["pump_ultimate"] > inlet / 5:
        notes.append(
            "The pressure is within five times the pump's own end pressure: the pump itself has lost much of its speed."
        )
    if inputs["gas"] == "water vapour":
        notes.append(
            "Water vapour above its saturation pressure at the hose's temperature condenses; this is not reckoned."
        )
    return tuple(notes)
