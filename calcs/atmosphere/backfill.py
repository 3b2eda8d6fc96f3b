"""Filling a chamber from vacuum: how long it takes, how warm the gas gets, when to shut and when to open the vent."""

from dataclasses import dataclass
from math import pi

from calcs import gases, orifice, wording
from calcs.core import Answer, Caution, Estimate, Figures, Range, ReadOff, Refused, Shown, Work, judge, worst
from calcs.data import constant
from calcs.form import REFERENCES, Field, Form, Problems
from calcs.picture import Axis, Curve, Limit, Mark, Plot, Table

PAGE = "ATM-03"

CONTROLLER, BYPASS, VALVE = "controller", "bypass", "valve coefficient"
MODES = (CONTROLLER, BYPASS, VALVE)
COLD = Range("0 °C", "60 °C", because="This is for a cold chamber; gas let into a hot one expands, see ATM-04.")
CURVE_POINTS = 40

FORM = Form(
    question="How fast may I fill?",
    modes=MODES,
    mode_label="What does the gas come through?",
    ask=("start_pressure", "fill_pressure", "gas", "flow", "bypass_bore", "flow_coefficient"),
    # The pressure of the room always has a value: so an empty field here reaches `answer`, which refuses with its
    # reason.
    any_of=(("supply_pressure", "ambient_pressure"), ("relief_pressure", "ambient_pressure")),
    fields=(
        Field("start_pressure", "Pressure at the start", "absolute pressure", "0.1 mbar", accepted=Range("0 Pa"),
              hint="Where the pumping ended.", find="pumpdown"),
        Field("fill_pressure", "Pressure after filling", "absolute pressure", "1005 mbar", accepted=Range("0 Pa",
                                                                                                          above=True),
              hint="Absolute: the room and a few millibars."),
        Field("gas", "Gas", "choice", "argon", choices=gases.NAMES, spoken=gases.FORMULAS,
              hint="What the cylinder label says."),
        Field("flow", "Gas flow", "standard flow", "20 L/min", modes=(CONTROLLER,),
              accepted=Range("0 L/min", "10000 L/min", above=True, because="No controller of this class passes more."),
              hint="What the controller is set to."),
        Field("bypass_bore", "Bypass bore", "length", "2 mm", modes=(BYPASS,),
              accepted=Range("0.1 mm", "20 mm", because="Bypass valves of this class have no other bores."),
              hint="The smallest on the way."),
        Field("flow_coefficient", "Flow coefficient Kv", "number", "0.15", modes=(VALVE,),
              accepted=Range("1e-4", "100", because="Valves of this class have no other."),
              hint="From the valve's sheet; 0.865 times Cv."),
        Field("gas_volume", "All gas in the chamber, pores included", "volume", "108 L",
              accepted=Range("0.1 L", "1000 L", because="Larger and smaller chambers fill in another way."),
              hint="Open space and what the insulation holds."),
        Field("supply_pressure", "Supply pressure behind valve or controller", "pressure with sense", "0.4 bar gauge",
              accepted=Range("0 Pa", "20 bar", above=True, because="Above 20 bar real gas passes more than these "
                                                                   "formulas say."),
              hint="On the outlet gauge of the regulator."),
        Field("relief_pressure", "Relief opens at", "gauge pressure", "35 mbar gauge",
              accepted=Range("0 Pa", "10 bar", above=True, because="That protects no chamber of this class."),
              hint="Leave it empty where none is fitted."),
        Field("maximum_pressure", "Highest pressure that the chamber is rated for", "gauge pressure", "50 mbar gauge",
              optional=True,
              accepted=Range("0 Pa", "10 bar", above=True, because="Such a vessel is no chamber of this class."),
              hint="From the furnace's manual."),
        Field("discharge_coefficient", "Discharge coefficient", "number", "0.6", modes=(BYPASS,), default="0.6",
              accepted=Range("0.5", "1", because="A sharp edge has 0.6, a rounded one up to 1.")),
        Field("gas_temperature", "Gas temperature", "temperature", "20 °C", default="20 °C", accepted=COLD,
              hint="At the inlet."),
        Field("chamber_temperature", "Chamber temperature", "temperature", "20 °C", default="20 °C", accepted=COLD),
        Field("flow_reference", "Reference condition of the flow", "choice", REFERENCES[0], choices=REFERENCES,
              modes=(CONTROLLER,),
              default=REFERENCES[0], hint="The controller's document names it."),
        Field("ambient_pressure", "Ambient pressure (barometer in the room)", "absolute pressure", "995 mbar",
              default="101.325 kPa", accepted=Range("45 kPa", "110 kPa",
                                                    because="The air of no workshop lies outside this.")),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("time", "Time to fill", "time", "min, s", "range", 3),
    Shown("overshoot_time", "Time from there to the relief pressure if nothing is shut", "time", "s, min, h", "down",
          3),
    Shown("vent_opening_pressure", "Open the vent only above", "absolute pressure", "mbar", "up", 4),
    Shown("amount", "Gas let in", "amount", "mol, mmol", "up", 3),
    Shown("gas_used", "Gas let in, at 0 °C, 101.325 kPa", "volume", "L", "up", 3),
    Shown("flow_at_start", "Flow at the start, at 0 °C, 101.325 kPa", "standard flow", "L/min, mL/min", "up", 3,
          (BYPASS, VALVE)),
    Shown("flow_at_end", "Flow at the end, at 0 °C, 101.325 kPa", "standard flow", "L/min, mL/min", "up", 3, (BYPASS,
                                                                                                              VALVE)),
    Shown("gas_temperature_bound", "Gas temperature if no heat is lost", "temperature", "°C", "up", 3),
    Shown("pressure_sag", "Pressure lost when that gas cools", "pressure difference", "mbar", "up", 3),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Time to fill with argon from 0.1 mbar to 1005 mbar by a controller, gas and chamber at 20 °C, flow at "
        "0 °C and "
        "101.325 kPa",
        down=("gas_volume", ("10 L", "20 L", "50 L", "100 L", "200 L")),
        across=("flow", ("1 L/min", "2 L/min", "5 L/min", "10 L/min", "20 L/min")),
        figures=("time",),
    ),
    ReadOff(
        caption="Time to fill 108 L from 0.1 mbar to 1005 mbar through a bypass, discharge coefficient 0.6, supply 0.4 "
        "bar above a "
        "room at 995 mbar",
        down=("bypass_bore", ("0.5 mm", "1 mm", "2 mm", "4 mm")),
        across=("gas", ("argon", "nitrogen", "helium", "carbon dioxide")),
        figures=("time",),
        given={"mode": BYPASS},
    ),
)


# ---------------------------------------------------------------- physics


def controller_time(
    volume_m3: float, temperature_k: float, from_pa: float, to_pa: float, flow_mol_per_s: float
) -> float:
    """Return the time to fill with a steady flow, s: t = V (p2 - p1) / (R T n).

    Args:
        volume_m3: gas volume, pores included.
        temperature_k: gas in the chamber once it has taken the temperature of the walls.
        from_pa: pressure at the start.
        to_pa: pressure at the end.
        flow_mol_per_s: amount flow, above 0.

    Source:
        balance of amounts of an ideal gas; constant general.gas_constant.
    """
    return volume_m3 * (to_pa - from_pa) / (constant("general.gas_constant") * temperature_k * flow_mol_per_s)


def gas_while_filling(volume_m3: float, flow_mol_per_s: float, ratio: float, supply_k: float, wall_k: float) -> float:
    """Return the temperature of the gas while a vacuum is filled steadily and the walls take heat from it, K.

    T = (n cp Ts + h A Tw) / (n cv + h A). Flow work heats the gas, the walls cool it; with a steady flow from
    vacuum the balance holds from beginning to end. A is the surface of a cube of that volume, the least a box can have.

    Args:
        volume_m3: gas volume.
        flow_mol_per_s: amount flow.
        ratio: cp/cv of the gas.
        supply_k: temperature of the gas let in.
        wall_k: temperature of the walls.

    Source:
        first law for the gas in a rigid vessel; heat transfer backfill.wall_heat_transfer (common practice, no source).
    """
    cv = constant("general.gas_constant") / (ratio - 1)
    to_walls = constant("backfill.wall_heat_transfer") * 6 * volume_m3 ** (2 / 3)
    return (flow_mol_per_s * ratio * cv * supply_k + to_walls * wall_k) / (flow_mol_per_s * cv + to_walls)


def vent_opening(ambient_pa: float) -> float:
    """Return the absolute pressure above which the vent may be opened, Pa: the room and twice the error of the gauges.

    Args:
        ambient_pa: pressure of the room.

    Source:
        twice is common practice, no source; error backfill.gauge_error.
    """
    return ambient_pa + 2 * constant("backfill.gauge_error")


@dataclass(frozen=True)
class Filling:
    """One way of filling: a steady flow, or an opening behind a constant supply. SI units."""

    volume_m3: float
    temperature_k: float
    steady_mol_per_s: float | None = None
    opening: orifice.Opening | None = None

    def time(self, from_pa: float, to_pa: float) -> float:
        """Return the time from one pressure to another, s."""
        if self.opening:
            return self.opening.fill_time(self.volume_m3, self.temperature_k, from_pa, to_pa)
        return controller_time(self.volume_m3, self.temperature_k, from_pa, to_pa, self.steady_mol_per_s)


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return how long a filling takes, how warm the gas may get, and when to shut and to open the vent.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above and calcs.orifice.
    """
    _refuse(inputs)
    start, end, ambient = inputs["start_pressure"], inputs["fill_pressure"], inputs.ambient_pa
    wall, filling = inputs["chamber_temperature"], _filling(inputs)
    cold = filling.time(start, end)
    amount = inputs["gas_volume"] * (end - start) / (constant("general.gas_constant") * wall)
    ratio = gases.gas(inputs["gas"]).gamma
    bound = orifice.filled_temperature(ratio, inputs["gas_temperature"], wall, start, end)
    warm = max(
        wall, min(bound, gas_while_filling(inputs["gas_volume"], amount / cold, ratio, inputs["gas_temperature"], wall))
    )
    relief = None if inputs["relief_pressure"] is None else ambient + inputs["relief_pressure"]
    reaches = relief is not None and inputs["supply_pressure"] > relief
    overshoot = filling.time(end, relief) if reaches else None
    spread = _spread(inputs)
    time = Estimate(cold, cold / (1 + spread) * wall / warm, cold / (1 - spread), _cause(inputs))
    figures = FIGURES.fill(
        time=time,
        overshoot_time=None if overshoot is None else Estimate(
            overshoot, overshoot / (1 + spread) * wall / warm, overshoot / (1 - spread), _cause(inputs)),
        vent_opening_pressure=vent_opening(ambient),
        amount=amount, gas_used=amount * _norm_volume(),
        flow_at_start=filling.opening.flow(start) * _norm_volume() if filling.opening else None,
        flow_at_end=filling.opening.flow(end) * _norm_volume() if filling.opening else None,
        gas_temperature_bound=bound,
        pressure_sag=Estimate(end * (1 - wall / bound), end * (1 - wall / warm), end * (1 - wall / bound),
                              "how much heat the walls take"),
    )  # fmt: skip
    return Answer(
        sentence=_sentence(inputs, figures, filling, start, end, ambient),
        verdict=_verdict(inputs, cold, warm, overshoot),
        judged=True,
        figures=figures,
        leaves_out=(
            "the lag of the gauge, and that many vacuum gauges read wrong near room pressure and in other gases",
            "gas given off by walls and load, and the pump if it still runs",
            "the pressure drop in pipe and filter behind the supply gauge, and whether the relief passes the whole "
            "flow (SAF-02)",
        ),
        cautions=_cautions(inputs, figures, cold, end, ambient),
        pictures=(_picture(inputs, filling, start, end, relief if reaches else None, ambient),),
        working=_working(inputs, filling, cold, amount, bound, warm),
        notes=_notes(inputs, cold, warm, end, ambient, relief, overshoot),
    )


def _norm_volume() -> float:
    """m³ of one mole at 0 °C and 101.325 kPa."""
    return constant("general.gas_constant") * constant("general.zero_celsius") / constant("general.standard_atmosphere")


def _filling(inputs) -> Filling:
    vessel = inputs["gas_volume"], inputs["chamber_temperature"]
    if inputs.mode == CONTROLLER:
        return Filling(*vessel, steady_mol_per_s=inputs["flow"])
    if inputs.mode == BYPASS:
        area = inputs["discharge_coefficient"] * pi * inputs["bypass_bore"] ** 2 / 4
    else:
        area = orifice.valve_area(inputs["flow_coefficient"])
    return Filling(
        *vessel, opening=orifice.Opening(area, inputs["supply_pressure"], inputs["gas_temperature"], inputs["gas"])
    )


def _spread(inputs) -> float:
    return {CONTROLLER: 0.0, BYPASS: constant("orifice.discharge_spread"), VALVE: constant("orifice.valve_spread")}[
        inputs.mode
    ]


def _cause(inputs) -> str:
    warmth = "how warm the gas still is"
    return {
        CONTROLLER: warmth,
        BYPASS: f"the edge of the bore, and {warmth}",
        VALVE: f"a coefficient measured with water, and {warmth}",
    }[inputs.mode]


# ---- refusals


def _refuse(inputs) -> None:
    gases.refuse_for_chamber(inputs["gas"])
    if inputs["gas"] == "water vapour":
        raise Problems({"gas": "Gas: steam turns to water in a cold chamber. Choose the gas that flows in."})
    if inputs["supply_pressure"] is None:
        raise Refused(
            "supply_unknown", "the supply pressure is not known",
            "What stands behind the valve decides how fast the chamber fills and how far past the room the pressure "
            "can go.",
            "Read the outlet gauge of the regulator, and say whether it counts from the room (gauge) or from empty "
            "space (abs).",
            field="supply_pressure",
        )  # fmt: skip
    start, end, supply = inputs["start_pressure"], inputs["fill_pressure"], inputs["supply_pressure"]
    if start >= end:
        raise Refused(
            "already_filled", "the chamber is already filled",
            f"It starts at {inputs.said('start_pressure')}, which is not below the {inputs.said('fill_pressure')} "
            f"wanted.",
            "Check both pressures and their units; both are absolute.", field="fill_pressure",
        )  # fmt: skip
    _refuse_above_rating(inputs, end - inputs.ambient_pa)
    if supply <= end or supply <= inputs.ambient_pa:
        raise Refused(
            "supply_too_low", "the supply cannot reach that pressure",
            f"The supply stands at {supply / 100:.4g} mbar absolute, the chamber is to reach {end / 100:.4g} mbar in a "
            f"room at "
            f"{inputs.ambient_pa / 100:.4g} mbar.",
            "Fill to less, or set the regulator higher within what the relief allows.", field="supply_pressure",
        )  # fmt: skip
    _refuse_without_relief(inputs, supply - inputs.ambient_pa)


def _refuse_above_rating(inputs, gauge) -> None:
    rated, relief = inputs["maximum_pressure"], inputs["relief_pressure"]
    above = f"Filling to {inputs['fill_pressure'] / 100:.4g} mbar absolute is {gauge / 100:.3g} mbar above the room"
    if rated is not None and gauge > rated * (1 + 1e-9):
        raise _above_rated(
            "the filling exceeds the chamber's rating", f"{above}; the rating is {rated / 100:.3g} mbar."
        )
    if gauge > constant("atmosphere.pressure_equipment"):
        raise _above_rated(
            "above 0.5 bar this is pressure equipment",
            "More than 0.5 bar above the room belongs to vessels built, tested and licensed for it.",
        )
    if relief is not None and gauge >= relief:
        raise _above_rated(
            "the relief opens before that",
            f"{above}; the relief opens at {relief / 100:.3g} mbar and the gas blows off.",
        )


def _above_rated(heading: str, why: str) -> Refused:
    return Refused(
        "above_rated_pressure", heading, why, "Fill to a few millibars above the room.",
        "The furnace's manual sets the limit.",
        field="fill_pressure",
    )  # fmt: skip


def _refuse_without_relief(inputs, supply_gauge) -> None:
    """Refuse where the supply can pass what the chamber holds and nothing opens before that."""
    rated, relief = inputs["maximum_pressure"], inputs["relief_pressure"]
    if rated is not None and supply_gauge <= rated:
        return
    if relief is not None and (rated is None or relief <= rated):
        return
    holds = (
        "nobody has said what the chamber holds"
        if rated is None
        else f"the chamber is rated for {rated / 100:.3g} mbar"
    )
    what = "no relief is fitted" if relief is None else f"the relief opens only at {relief / 100:.3g} mbar"
    raise Refused(
        "no_relief", "nothing opens before the chamber fails",
        f"The supply can rise to {supply_gauge / 100:.3g} mbar above the room, {holds}, and {what}.",
        "Fit a relief that opens below the rating and passes the whole flow, or lower the supply below the rating.",
        "SAF-02 works out the line; a competent person signs it.", field="relief_pressure",
    )  # fmt: skip


# ---- verdict, words


def _verdict(inputs, cold, warm, overshoot) -> str:
    gauge = inputs["fill_pressure"] - inputs.ambient_pa
    found = ["within"]
    for limit in (inputs["maximum_pressure"], inputs["relief_pressure"]):
        if limit is not None and gauge > 0:
            found.append(judge(gauge, limit))
    if overshoot is not None and overshoot < constant("backfill.reaction_time"):
        found.append("close")
    high_supply = inputs["supply_pressure"] - inputs.ambient_pa > constant("atmosphere.supply_limit")
    if high_supply or cold < constant("backfill.quick_fill") or warm > constant("backfill.hot_gas"):
        found.append("close")
    return worst(found)


def _sentence(inputs, figures, filling, start, end, ambient) -> str:
    time = figures["time"]
    span = f" ({time.span})" if time.span != time.text else ""
    text = (
        f"From {inputs.said('start_pressure')} to {inputs.said('fill_pressure')} the chamber fills with "
        f"{inputs['gas']} in about "
        f"{time.text}{span}, gas at {inputs.said('gas_temperature')}"
    )
    if start < ambient < end:
        passed = _clock(filling.time(start, ambient))
        text += f". It passes the pressure of the room, {ambient / 100:.4g} mbar, after about {passed}"
    elif end <= ambient:
        text += f". It stays below the pressure of the room, {ambient / 100:.4g} mbar: the vent stays shut"
    if "overshoot_time" in figures:
        text += f"; if nobody shuts the gas, the relief opens {figures['overshoot_time'].span} later"
    return f"{text}."


def _clock(seconds: float) -> str:
    if seconds >= 7200:
        return wording.duration(seconds)
    return wording.with_unit(
        wording.number(seconds if seconds < 100 else seconds / 60, 2), "s" if seconds < 100 else "min"
    )


def _notes(inputs, cold, warm, end, ambient, relief, overshoot) -> tuple[str, ...]:
    notes = []
    if overshoot is not None and overshoot < constant("backfill.reaction_time"):
        notes.append(
            f"Between the pressure wanted and the relief lie about {_clock(overshoot)}: too little for a hand at a "
            f"valve. Fill the last part "
            "with less flow, or let the instrument shut it."
        )
    supply_gauge = inputs["supply_pressure"] - ambient
    if supply_gauge > constant("atmosphere.supply_limit"):
        notes.append(
            "The supply stands more than 0.5 bar above the room, more than is usual before a chamber with a ceramic "
            "lining: common practice, no source."
        )
    if warm > constant("backfill.hot_gas"):
        notes.append(
            f"Even with the walls cooling it the gas may pass "
            f"{wording.number(warm - constant('general.zero_celsius'), 2, 'up')} °C while it flows in."
        )
    if cold >= 60:
        notes.append(
            "The filling is slow, so the walls keep the gas cool: expect the low end of the pressure lost. Read the "
            "gauge again a minute after shutting."
        )
    else:
        notes.append(
            "The filling is quick: the gas is warm when the gauge reaches the pressure, which then sags. Read again "
            "after a minute and top up."
        )
    if end < vent_opening(ambient):
        notes.append(
            "The filling ends where the gauges cannot tell it from the room: keep the vent shut, or air runs in."
        )
    if relief is not None and overshoot is None:
        notes.append("The supply stands below the relief pressure, so the relief is never reached.")
    if (
        relief is not None
        and inputs["maximum_pressure"] is not None
        and inputs["relief_pressure"] > inputs["maximum_pressure"]
    ):
        notes.append(
            "The relief opens above the rating of the chamber; only the low supply protects it. SAF-02 looks at the "
            "whole."
        )
    if inputs["maximum_pressure"] is None:
        notes.append(
            "No rating of the chamber is given: treat it as unable to hold any pressure, with its relief path always "
            "free."
        )
    if inputs["gas"] == "carbon dioxide":
        notes.append("Carbon dioxide is not inert to hot metal or carbon: fill with it cold only.")
    return tuple(notes)


def _cautions(inputs, figures, cold, end, ambient) -> tuple[Caution, ...]:
    later = (
        f" Here the relief opens {figures['overshoot_time'].span} after the wanted pressure."
        if "overshoot_time" in figures
        else ""
    )
    found = [
        Caution("WARNING", "Filling past room pressure",
                f"A full cylinder stands behind a chamber made for millibars; a filling that nobody stops can throw "
                f"the door.{later}",
                "Prove the relief path free, stay at the valve, and end the filling by an absolute gauge whose reading "
                "does not hang on the gas."),
    ]  # fmt: skip
    if inputs["gas"] != "air":
        found.append(Caution(
            "WARNING", "Never put your head into a filled chamber",
            "The gas stays in the chamber. One or two breaths of it can end consciousness.",
            "Air the chamber and measure the oxygen at the door before anybody leans in."))  # fmt: skip
    if end < vent_opening(ambient):
        found.append(Caution(
            "NOTICE", "Vent opened too early",
            "Below the pressure of the room air runs in through an open vent within seconds.",
            f"Open the vent only above {figures['vent_opening_pressure'].text} absolute, never by a gauge that shows "
            f"zero."))  # fmt: skip
    if cold < constant("backfill.quick_fill"):
        found.append(Caution(
            "NOTICE", "Blast of gas",
            "A quick filling lifts fibre dust onto the load and can shock or shift ceramic parts.",
            "Use a smaller bore or a lower supply, so that the filling takes at least half a minute."))  # fmt: skip
    return tuple(found)


# ---- picture, working


def _picture(inputs, filling, start, end, relief, ambient) -> Plot:
    top = end if relief is None else relief
    unit, factor = ("min", 60.0) if filling.time(start, top) > 180 else ("s", 1.0)
    levels = [start + (top - start) * i / CURVE_POINTS for i in range(CURVE_POINTS)] + [top]
    points = [(filling.time(start, p) / factor, p / 100) for p in levels]
    filled = filling.time(start, end) / factor
    limits = [Limit("pressure of the room", ambient / 100)]
    limits += [Limit("relief opens", relief / 100)] if relief is not None else []
    shut = wording.with_unit(wording.number(filled, 2), unit)
    if start < ambient < end:
        crossing = wording.with_unit(wording.number(filling.time(start, ambient) / factor, 2), unit)
        sentence = f"It crosses room pressure after {crossing}: shut the gas at {shut}"
    else:
        sentence = f"The pressure wanted is reached after {shut}"
    rows = [[wording.number(t, 3), wording.number(p, 4)] for t, p in points[:: CURVE_POINTS // 8]]
    return Plot(
        sentence=sentence,
        description=f"Pressure in the chamber in mbar against time in {unit}, from {rows[0][1]} mbar at the start to "
        f"{rows[-1][1]} mbar "
        f"after {rows[-1][0]} {unit}.",
        x=Axis("Time", unit),
        y=Axis("Absolute pressure", "mbar"),
        curves=(Curve("pressure", points),),
        limits=tuple(limits),
        marks=(Mark("shut here", filled, end / 100),),
        table=Table("Pressure against time", (f"Time, {unit}", "Pressure, mbar"), rows),
    )


def _working(inputs, filling, cold, amount, bound, warm) -> tuple[Work, ...]:
    start, end = inputs["start_pressure"], inputs["fill_pressure"]
    steps = [
        Work("Gas let in", "n = V (p₂ − p₁) / (R T)",
             f"V = {inputs['gas_volume'] * 1e3:.5g} L, p₁ = {start:.5g} Pa, p₂ = {end:.7g} Pa, T = "
             f"{inputs['chamber_temperature']:.5g} K",
             f"n = {amount:.5g} mol", ("general.gas_constant",)),
    ]  # fmt: skip
    opening = filling.opening
    if opening is None:
        steps.append(Work("Time", "t = n / flow", f"flow = {inputs['flow']:.5g} mol/s", f"t = {cold:.5g} s"))
    else:
        steps += [
            Work("Effective area", "A = C_d π d²/4" if inputs.mode == BYPASS else "A = Kv q / √(2 Δp/ρ)",
                 f"C_d = {inputs['discharge_coefficient']:.3g}, d = {inputs['bypass_bore'] * 1e3:.4g} mm"
                 if inputs.mode == BYPASS else f"Kv = {inputs['flow_coefficient']:.4g}",
                 f"A = {opening.area_m2 * 1e6:.4g} mm²",
                 () if inputs.mode == BYPASS else ("orifice.kv_flow", "orifice.kv_drop", "orifice.kv_density")),
            Work("Choked flow", "n = A p_s C / √(M R T_s), C = √k (2/(k+1))^((k+1)/(2(k−1)))",
                 f"p_s = {opening.supply_pa:.6g} Pa, T_s = {opening.supply_k:.5g} K, k = {opening.ratio:.5g}",
                 f"n = {opening.choked_mol_per_s:.5g} mol/s up to {opening.critical_pa / 100:.4g} mbar in the chamber",
                 source="shapiro-1953"),
            Work("Time", "t = V/(R T) ∫ dp/n(p), Simpson's rule where the flow is not choked",
                 f"flow at the end {opening.flow(end):.4g} mol/s", f"t = {cold:.5g} s"),
        ]  # fmt: skip
    steps += [
        Work("Gas temperature without loss of heat", "T = k T_s / (1 + (p₁/p₂)(k T_s/T₁ − 1))",
             f"k = {gases.gas(inputs['gas']).gamma:.5g}, T_s = {inputs['gas_temperature']:.5g} K", f"T = {bound:.4g} K",
             source="filling-textbook"),
        Work("Gas temperature with the walls taking heat", "T = (n c_p T_s + h A T_w) / (n c_v + h A)",
             f"n = {amount / cold:.4g} mol/s, A = 6 V^(2/3) = {6 * inputs['gas_volume'] ** (2 / 3):.3g} m²",
             f"T = {warm:.4g} K",
             ("backfill.wall_heat_transfer",)),
    ]  # fmt: skip
    return tuple(steps)
