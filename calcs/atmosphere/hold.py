"""The hold: a chamber slightly above the room, what shutting it does, and the flow that heating and cooling need."""

from dataclasses import dataclass, replace
from math import exp, log, pi

from calcs import air, gases, wording
from calcs.atmosphere.cylinder import norm_volume
from calcs.core import (
    Answer,
    Caution,
    Estimate,
    Figures,
    Range,
    ReadOff,
    Refused,
    Shown,
    Work,
    judge,
    worst,
)  # fmt: skip
from calcs.data import constant
from calcs.form import REFERENCES, Field, Form, Problems
from calcs.picture import Axis, Curve, Landmark, Limit, Mark, Plot, Scale, Table

PAGE = "ATM-04"

SET_POINT, CLOSED, HEATING, COOLING, REGULATOR = "set point", "closed", "heating", "cooling", "regulator"
THERMAL = (CLOSED, HEATING, COOLING)
SUM_TOLERANCE = 0.01  # zones add up to the gas of the chamber within 1 %; ours
ROOM_K = 293.15  # the room towards which a furnace left to itself cools, 20 °C; ours
RATES_SHOWN = (1, 5, 10)  # K/min, for the make-up of a chamber that was shut: an illustration, ours
STEPS = 60

HOLD_RANGE = Range(
    "0.1 torr", "100 torr", because="Less is lost in the error of the gauge; more is no hold but a load on the door."
)
GAS_TEMPERATURE = Range(
    "100 K", "2100 K", because="Outside it the gas of a furnace chamber is no longer near to ideal, or no gas."
)
RATE = Range("0 K/min", "100 K/min", because="A box does not change faster.")
DOOR = Range("10 mm", "2 m")
VOLUME = Range("0.1 L", "1000 L")

FORM = Form(
    question="What flow keeps it above the room?",
    modes=(SET_POINT, CLOSED, HEATING, COOLING, REGULATOR),
    ask=("set_point", "ambient_pressure", "start_temperature", "end_temperature", "ramp", "cooling_rate", "flow",
         "outlet_open", "gas"),
    one_of=(("door_width", "door_diameter"), ("door_height", "door_diameter")),
    any_of=(
        ("set_point", "chamber_pressure"), ("gas_volume", "zones"), ("start_temperature", "zones"), ("end_temperature",
                                                                                                     "zones"),
        ("ramp", "zones"), ("cooling_rate", "zones"),
    ),
    fields=(
        Field("set_point", "Hold above the room", "gauge pressure", "10 mbar gauge", accepted=Range("0.1 torr"),
              hint="What the back-pressure regulator is set to: 0.1 torr to 100 torr, mostly 2 torr to 40 torr."),
        Field("ambient_pressure", "Ambient pressure (barometer in the room)", "absolute pressure", "995 mbar",
              optional=True,
              accepted=Range("50 kPa", "110 kPa", because="The air of no workshop lies outside this."),
              hint="This or the altitude is needed. A barometer in the room, not the weather report."),
        Field("altitude", "Altitude", "length", "150 m", menu=("m", "ft", "km"), optional=True,
              accepted=Range("-400 m", "5000 m", because="The standard atmosphere is used within it."),
              hint="Of the room above sea level. Without a barometer the pressure is taken from it."),
        Field("start_temperature", "Temperature at the start", "temperature", "20 °C", modes=THERMAL,
              accepted=GAS_TEMPERATURE,
              hint="Of the gas. For cooling the hotter of the two counts as the start."),
        Field("end_temperature", "Temperature at the end", "temperature", "600 °C", modes=THERMAL,
              accepted=GAS_TEMPERATURE),
        Field("ramp", "Heating ramp", "ramp rate", "5 K/min", modes=(HEATING,), accepted=RATE,
              hint="The steepest one near room temperature."),
        Field("cooling_rate", "Cooling rate", "ramp rate", "6 K/min", modes=(COOLING,), accepted=RATE,
              hint="Held to the end. A furnace left to itself slows down: the answer gives that as its low end."),
        Field("flow", "Gas flow", "standard flow", "2 L/min", modes=(HEATING, COOLING, REGULATOR),
              accepted=Range("0 L/min", "100 L/min", because="More does not belong to a hold."),
              hint="What flows in while this goes on."),
        Field("outlet_open", "Outlet open while heating", "yes/no", "yes", modes=(HEATING,),
              hint="Can gas leave through outlet and back-pressure regulator all the time?"),
        Field("gas_volume", "All gas in the chamber, pores included", "volume", "108 L", modes=(*THERMAL, REGULATOR),
              accepted=VOLUME,
              hint="Open space and the pores of the insulation."),
        Field("zones", "Zones", "table",
              ({"volume": "24 L", "start_temperature": "20 °C", "end_temperature": "600 °C", "rate": "5 K/min"},
               {"volume": "84 L", "start_temperature": "20 °C", "end_temperature": "310 °C", "rate": "2.5 K/min"}),
              modes=THERMAL, optional=True, in_example=False, rows_allowed=(1, 5),
              hint="Instead of one temperature: volume, start, end and rate of each part, such as 24 L 20 °C 600 °C "
                   "5 K/min.",
              row=r"(?P<volume>\S+ \S+)\s+(?P<start_temperature>\S+ \S+)\s+(?P<end_temperature>\S+ "
                  r"\S+)(?:\s+(?P<rate>\S+ \S+))?",
              columns=(Field("volume", "Volume", "volume", "24 L", accepted=Range("0 L", "1000 L", above=True)),
                       Field("start_temperature", "Temperature at the start", "temperature", "20 °C",
                             accepted=GAS_TEMPERATURE),
                       Field("end_temperature", "Temperature at the end", "temperature", "600 °C",
                             accepted=GAS_TEMPERATURE),
                       Field("rate", "Rate", "ramp rate", "5 K/min", optional=True, accepted=RATE))),
        Field("chamber_pressure", "Chamber pressure", "absolute pressure", "1005 mbar", modes=THERMAL, in_example=False,
              accepted=Range("0 Pa", above=True),
              hint="Instead of the hold above the room, absolute. If both are given this one counts."),
        Field("gas", "Gas", "choice", "argon", choices=gases.NAMES, spoken=gases.FORMULAS,
              hint="What the cylinder label says."),
        Field("gas_temperature", "Gas temperature", "temperature", "20 °C", modes=(REGULATOR,), default="20 °C",
              accepted=Range("0 °C", "100 °C", because="A regulator is not hotter.")),
        Field("door_width", "Door opening width", "length", "300 mm", modes=(SET_POINT,), accepted=DOOR),
        Field("door_height", "Door opening height", "length", "250 mm", modes=(SET_POINT,), accepted=DOOR),
        Field("door_diameter", "Diameter of a round door", "length", "310 mm", modes=(SET_POINT,), in_example=False,
              accepted=DOOR,
              hint="Only instead of width and height."),
        Field("regulator_band", "Band of the back-pressure regulator", "pressure difference", "5 mbar",
              modes=(REGULATOR,),
              accepted=Range("0 Pa", above=True),
              hint="From where it begins to open to where it passes the flow below."),
        Field("regulator_flow", "Flow over that band", "standard flow", "10 L/min", modes=(REGULATOR,),
              accepted=Range("0 L/min", above=True)),
        Field("maximum_pressure", "Highest pressure that the chamber is rated for", "gauge pressure", "50 mbar gauge",
              optional=True,
              accepted=Range("0 Pa", above=True), hint="From the furnace's manual."),
        Field("relief_pressure", "Relief opens at", "gauge pressure", "35 mbar gauge", optional=True,
              accepted=Range("0 Pa", above=True), hint="Empty means that none is fitted."),
        Field("flow_reference", "Reference condition of the flow", "choice", REFERENCES[0], choices=REFERENCES,
              modes=(HEATING, COOLING, REGULATOR), default=REFERENCES[0], hint="The flow meter's document names it."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("absolute_pressure", "Absolute pressure in the chamber", "absolute pressure", "mbar", "near", 4,
          (SET_POINT,)),
    Shown("door_force", "Force on the door, outward", "force", "N", "up", 3, (SET_POINT,)),
    Shown("door_force_vacuum", "Force on the door under vacuum, inward", "force", "N", "up", 3, (SET_POINT,)),
    Shown("closed_pressure", "Pressure reached with everything shut", "absolute pressure", "bar, mbar",
          "up (heating), down (cooling)", 3, (CLOSED,), range_digits=3),
    Shown("effective_temperature", "Effective gas temperature at the end", "temperature", "°C", "near", 3, (CLOSED,)),
    Shown("expelled_flow", "Gas driven out at the start of the ramp", "standard flow", "L/min, mL/min", "up", 3,
          (HEATING,)),
    Shown("gas_driven_out", "Gas driven out in all, at 0 °C, 101.325 kPa", "volume", "L", "up", 3, (HEATING,)),
    Shown("make_up_at_start", "Make-up flow at the start of cooling", "standard flow", "L/min, mL/min", "up", 3,
          (COOLING,)),
    Shown("make_up_peak", "Largest make-up flow on the way", "standard flow", "L/min, mL/min", "up", 3, (COOLING,)),
    Shown("flow_needed", "Flow to keep while cooling", "standard flow", "L/min, mL/min", "up", 3, (COOLING,)),
    Shown("gas_taken_in", "Gas taken in by cooling, at 0 °C, 101.325 kPa", "volume", "L", "up", 3, (COOLING,)),
    Shown("regulator_offset", "Steady offset of the regulator", "pressure difference", "mbar, torr", "up", 3,
          (REGULATOR,)),
    Shown("regulator_time_constant", "Time constant of the regulator", "time", "s", "up", 3, (REGULATOR,)),
    Shown("settling_time", "Time to settle within 5 %", "time", "s", "up", 3, (REGULATOR,)),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Absolute pressure in the chamber, by the hold above the room and by the altitude, standard atmosphere",
        down=("set_point", ("2 torr", "10 mbar", "10 torr", "30 torr", "40 torr")),
        across=("altitude", ("0 m", "500 m", "1000 m", "1500 m", "2500 m")),
        figures=("absolute_pressure",),
        given={"mode": SET_POINT, "ambient_pressure": ""},
    ),
    ReadOff(
        caption="Flow to keep while cooling from 1000 °C to 20 °C at a steady rate, by the gas in the chamber and by "
        "the rate, 10 mbar "
        "above a room at 995 mbar, flow at 0 °C and 101.325 kPa: 1.5 times the largest make-up flow",
        down=("gas_volume", ("10 L", "24 L", "50 L", "108 L", "200 L")),
        across=("cooling_rate", ("1 K/min", "3 K/min", "5 K/min", "10 K/min")),
        figures=("flow_needed",),
        given={"mode": COOLING, "start_temperature": "1000 °C", "end_temperature": "20 °C"},
    ),
)


# ---------------------------------------------------------------- physics


@dataclass(frozen=True)
class Zone:
    """A part of the gas that has one temperature: volume m³, start K, end K, rate of change K/s (no sign)."""

    volume_m3: float
    start_k: float
    end_k: float
    rate_k_per_s: float = 0.0


def amount_over_pressure(volumes_and_temperatures) -> float:
    """Return Σ V/T in m³/K: the amount of gas is p/R times it.

    Args:
        volumes_and_temperatures: pairs of volume m³ and temperature K, parts at one pressure.

    Source:
        ideal gas.
    """
    return sum(volume / temperature for volume, temperature in volumes_and_temperatures)


def closed_pressure(pressure_pa: float, zones) -> float:
    """Return the pressure of a shut chamber after its zones went from start to end temperature, Pa absolute.

    p2 = p1 Σ(V/T1) / Σ(V/T2); the amount of gas stays, and all zones are at one pressure.

    Args:
        pressure_pa: absolute pressure at the start, Pa.
        zones: Zone objects.

    Source:
        ideal gas; CoolProp's real gas differs by 0.2 % for argon from 790 torr, 20 °C to 1000 °C.
    """
    before = amount_over_pressure((z.volume_m3, z.start_k) for z in zones)
    after = amount_over_pressure((z.volume_m3, z.end_k) for z in zones)
    return pressure_pa * before / after


def effective_temperature(zones) -> float:
    """Return the temperature at which one zone would hold the same gas at the end, K: the harmonic mean V / Σ(V/T).

    Args:
        zones: Zone objects.

    Source:
        ideal gas, derived for this project.
    """
    return sum(z.volume_m3 for z in zones) / amount_over_pressure((z.volume_m3, z.end_k) for z in zones)


def displaced_flow(pressure_pa: float, volumes_temperatures_rates) -> float:
    """Return the amount flow that a change of temperature drives out or draws in at steady pressure, mol/s.

    n = (p/R) Σ V/T² |dT/dt|. Out while heating; while cooling it is the make-up flow.

    Args:
        pressure_pa: absolute pressure, Pa.
        volumes_temperatures_rates: volume m³, temperature K, rate K/s (no sign) of each part.

    Source:
        derivative of the ideal-gas law; compared with the derivative of CoolProp's density in the tests.
    """
    total = sum(volume * rate / temperature**2 for volume, temperature, rate in volumes_temperatures_rates)
    return pressure_pa / constant("general.gas_constant") * total


def displaced_amount(pressure_pa: float, zones) -> float:
    """Return the amount that leaves (below zero: enters) from start to end at steady pressure, mol.

    Args:
        pressure_pa: absolute pressure, Pa.
        zones: Zone objects.

    Source:
        ideal gas.
    """
    before = amount_over_pressure((z.volume_m3, z.start_k) for z in zones)
    after = amount_over_pressure((z.volume_m3, z.end_k) for z in zones)
    return pressure_pa / constant("general.gas_constant") * (before - after)


def make_up_along(pressure_pa: float, zones) -> list[tuple[float, float, float]]:
    """Return (time s, temperature of the zone that moves longest K, amount flow mol/s) along a change at steady rates.

    Each zone changes at its own rate until its end temperature, then stays there. The list holds even steps and the
    moments right before and after a zone arrives, so the largest flow is in it.

    Args:
        pressure_pa: absolute pressure, Pa.
        zones: Zone objects; those whose rate is 0 stay at their start temperature.

    Source:
        see displaced_flow; between two arrivals the flow of cooling zones only rises: its largest value is at one.
    """
    ends = [abs(z.end_k - z.start_k) / z.rate_k_per_s if z.rate_k_per_s else 0.0 for z in zones]
    last = max(ends)
    if last <= 0:
        return [(0.0, zones[0].start_k, 0.0)]
    leader = zones[ends.index(last)]
    times = sorted(
        {last * i / STEPS for i in range(STEPS + 1)}
        | {e * f for e in ends for f in (1 - 1e-9, 1 + 1e-9) if 0 < e * f <= last}
    )
    return [(t, temperature_at(leader, t), displaced_flow(pressure_pa, _moving(zones, ends, t))) for t in times]


def natural_peak(pressure_pa: float, zones, surroundings_k: float) -> float:
    """Return the largest make-up flow of a cooling that slows down as it nears the room, mol/s.

    Each zone starts at its rate and then cools in proportion to what it is hotter than the room:
    T = Ta + (T0 − Ta) exp(−t/τ), τ = (T0 − Ta)/rate.

    Args:
        pressure_pa: absolute pressure, Pa.
        zones: Zone objects that cool; those at or below the surroundings, or without a rate, give nothing.
        surroundings_k: temperature of the room, K.

    Source:
        Newton's law of cooling, as the gentle end of the range; the flow is sampled at 400 moments.
    """
    moving = [z for z in zones if z.rate_k_per_s > 0 and z.start_k > surroundings_k + 1e-9]
    if not moving:
        return 0.0
    constants = [(z.start_k - surroundings_k) / z.rate_k_per_s for z in moving]
    last, largest = 4 * max(constants), 0.0
    for step in range(401):
        parts = []
        for zone, tau in zip(moving, constants, strict=True):
            excess = (zone.start_k - surroundings_k) * exp(-last * step / 400 / tau)
            if surroundings_k + excess >= zone.end_k:
                parts.append((zone.volume_m3, surroundings_k + excess, excess / tau))
        largest = max(largest, displaced_flow(pressure_pa, parts))
    return largest


def temperature_at(zone: Zone, time_s: float) -> float:
    """Return the temperature of a zone, K, a time after the start.

    Args:
        zone: the zone.
        time_s: time, s.

    Source:
        steady rate until the end temperature.
    """
    way = min(zone.rate_k_per_s * time_s, abs(zone.end_k - zone.start_k))
    return zone.start_k + way if zone.end_k > zone.start_k else zone.start_k - way


def _moving(zones, ends, time) -> list[tuple[float, float, float]]:
    return [
        (z.volume_m3, temperature_at(z, time), z.rate_k_per_s)
        for z, end in zip(zones, ends, strict=True)
        if time <= end
    ]


def regulator(
    flow_mol_per_s: float, band_pa: float, band_mol_per_s: float, volume_m3: float, temperature_k: float
) -> tuple[float, float]:
    """Return (steady offset Pa, time constant s) of a back-pressure regulator that opens in proportion.

    n_out = K (p − p_set), K = flow over the band / band; offset n/K, time constant V/(R T K).

    Args:
        flow_mol_per_s: gas flowing in, mol/s.
        band_pa: band, Pa.
        band_mol_per_s: flow that it passes at the end of the band, mol/s.
        volume_m3: gas in the chamber, m³.
        temperature_k: gas temperature, K.

    Source:
        balance of amounts, derived for this project; compared with numerical integration in the tests.
    """
    slope = band_mol_per_s / band_pa
    return flow_mol_per_s / slope, volume_m3 / (constant("general.gas_constant") * temperature_k * slope)


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return pressure, force, closed pressure or flow of a hold, with the cautions that belong to it.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    gases.refuse_for_chamber(inputs["gas"])
    if inputs["gas"] == "water vapour":
        raise Problems(
            {"gas": "Gas: steam condenses in a cold chamber and holds no pressure. Choose the gas that flows in."}
        )
    _refuse_empty(inputs)
    note = _check_ambient(inputs)
    _refuse_pressure_equipment(inputs)
    found = {SET_POINT: _set_point, CLOSED: _closed, HEATING: _heating, COOLING: _cooling, REGULATOR: _regulator}[
        inputs.mode
    ](inputs)
    found.notes = (*((note,) if note else ()), *found.notes, *_gas_notes(inputs))
    return found


def _refuse_empty(inputs) -> None:
    """Say what is missing where the form lets a field be empty because another mode has an alternative to it."""
    needed = {"set_point": (SET_POINT, REGULATOR), "gas_volume": (REGULATOR,)}
    missing = [FORM.by_name[name] for name, modes in needed.items() if inputs.mode in modes and inputs[name] is None]
    if missing:
        raise Problems({f.name: f"{f.label} is empty. Type it. Example: {f.example}." for f in missing})


def _check_ambient(inputs) -> str:
    """Refuse a missing or impossible pressure of the room; return a note where barometer and altitude differ."""
    if inputs.ambient_pa is None:
        raise Refused(
            "no_ambient", "the pressure of the room is missing",
            "A hold is counted from the pressure of the room, and neither a barometer value nor an altitude is given.",
            "Type what a barometer in the room shows, or the altitude.", field="ambient_pressure",
        )  # fmt: skip
    if inputs.given("ambient_pressure") and inputs.given("altitude"):
        return air.check_station(inputs.ambient_pa, inputs["altitude"])
    return ""


def _gauge(inputs) -> float:
    """Pressure at the start above the room, Pa; below zero under vacuum."""
    return _pressure(inputs) - inputs.ambient_pa


def _pressure(inputs) -> float:
    """Absolute pressure at the start, Pa: as typed, else the room and the hold."""
    if inputs["chamber_pressure"] is not None:
        return inputs["chamber_pressure"]
    return inputs.ambient_pa + inputs["set_point"]


def _refuse_pressure_equipment(inputs) -> None:
    limit, said = constant("atmosphere.pressure_equipment"), "0.5 bar"
    above = {
        "set_point": inputs["set_point"],
        "maximum_pressure": inputs["maximum_pressure"],
        "relief_pressure": inputs["relief_pressure"],
    }
    if inputs["chamber_pressure"] is not None:
        above["chamber_pressure"] = _gauge(inputs)
    for name, value in above.items():
        if value is not None and value > limit * (1 + 1e-9):
            raise Refused(
                "pressure_equipment", "above 0.5 bar this is pressure equipment",
                f"{value / 1e5:.2g} bar above the room is more than the {said} of this furnace class; vessels for "
                f"more are built, "
                "tested and licensed for it.",
                "Check the unit and whether the value is absolute.",
                "The vessel's own documents, and whoever inspects it, decide.",
                field=name,
            )  # fmt: skip
    point = inputs["set_point"]
    if point is not None and point not in HOLD_RANGE:
        raise Problems({"set_point": f"Hold above the room must be {HOLD_RANGE.said}. {HOLD_RANGE.because}"})


def _limits(inputs) -> list[tuple[str, float]]:
    """What the pressure above the room must not pass: (name, Pa)."""
    found = []
    if inputs["relief_pressure"] is not None:
        found.append(("the relief", inputs["relief_pressure"]))
    if inputs["maximum_pressure"] is not None:
        found.append(("the rating of the chamber", inputs["maximum_pressure"]))
    return found


def _judge_hold(inputs, gauge) -> str:
    """Verdict on a steady pressure above the room: under half of the relief, and under the rating."""
    verdicts = []
    if inputs["maximum_pressure"] is not None:
        verdicts.append(judge(gauge, inputs["maximum_pressure"]))
    if inputs["relief_pressure"] is not None:
        verdicts.append(
            "outside"
            if gauge > constant("atmosphere.relief_share") * inputs["relief_pressure"] * (1 + 1e-9)
            else "within"
        )
    return worst(verdicts)


# ---- set point


def _set_point(inputs) -> Answer:
    gauge, ambient = inputs["set_point"], inputs.ambient_pa
    area = _door_area(inputs)
    figures = FIGURES.fill(absolute_pressure=ambient + gauge, door_force=gauge * area, door_force_vacuum=ambient * area)
    verdict = _judge_hold(inputs, gauge)
    return Answer(
        sentence=f"{inputs.said('set_point')} above a room at {_mbar(ambient)} is {_absolute(ambient + gauge)}; it "
                 f"pushes the door "
        f"outward with {figures['door_force'].text}.",
        verdict=verdict,
        judged=bool(_limits(inputs)),
        figures=figures,
        leaves_out=(
            "weather: it moves the room by up to 3 %, and an absolute gauge does not follow it",
            "the error of the gauge; a hold smaller than twice that error may be below the room",
            "windows, ports and bellows, on which the same pressure acts",
        ),
        cautions=_door_cautions(inputs, figures, gauge),
        pictures=(_ladder(inputs, gauge),),
        working=(
            Work("Absolute pressure", "p = p_room + p_hold",
                 f"p_room = {ambient:.0f} Pa ({inputs.ambient_said}), p_hold = {gauge:.0f} Pa",
                 f"p = {ambient + gauge:.0f} Pa"),
            Work("Force on the door", "F = p_hold A; under vacuum p_room A inward", f"A = {area:.4g} m²",
                 f"F = {gauge * area:.4g} N; {ambient * area:.4g} N"),
        ),
        notes=_set_point_notes(inputs, gauge),
    )  # fmt: skip


def _absolute(pressure) -> str:
    torr = pressure / constant("general.standard_atmosphere") * 760
    others = ((torr, "torr"), (pressure / 1e3, "kPa"))
    said = ", ".join(wording.with_unit(wording.number(value, 4), unit) for value, unit in others)
    return f"{_mbar(pressure)} absolute ({said})"


def _door_area(inputs) -> float:
    if inputs["door_diameter"] is not None:
        return pi / 4 * inputs["door_diameter"] ** 2
    return inputs["door_width"] * inputs["door_height"]


def _door_cautions(inputs, figures, gauge) -> tuple[Caution, ...]:
    found = []
    for name, limit in _limits(inputs):
        if gauge > limit:
            found.append(Caution(
                "WARNING", "Hold above the limit",
                f"{_mbar(gauge)} above the room is more than {name} ({_mbar(limit)}): gas blows off all the time, or "
                f"the chamber is overloaded.",
                "Set the hold to less than half of the relief, and never raise the relief instead."))  # fmt: skip
    found.append(Caution(
        "WARNING", "Door with pressure behind it",
        f"{figures['door_force'].text} push on the door as soon as its clamps are loose, and it springs open "
        f"towards you.",
        "Let the pressure out to the room and see zero on the gauge before you loosen a clamp; stand "
        "aside."))  # fmt: skip
    return tuple(found)


def _set_point_notes(inputs, gauge) -> tuple[str, ...]:
    notes = []
    usual = constant("atmosphere.hold_low"), constant("atmosphere.hold_high")
    if not usual[0] * (1 - 1e-9) <= gauge <= usual[1] * (1 + 1e-9):
        notes.append("Holds of 2 torr to 40 torr (2.7 mbar to 53 mbar) are usual: common practice, no source.")
    if inputs["relief_pressure"] is None:
        supply = constant("atmosphere.supply_limit") / 1e5
        notes.append(
            "No relief is given: a chamber under gas needs a path that opens by itself, and a supply of at most about "
            f"{supply:g} bar (common practice, no source)."
        )
    elif gauge > constant("atmosphere.relief_share") * inputs["relief_pressure"]:
        notes.append(
            "The hold is more than half of the relief setting: the relief may simmer, and there is no room for a "
            "pressure swing."
        )
    if gauge < 2000:
        notes.append(
            "The barometer can fall or rise by 20 mbar overnight: with an absolute gauge, reset the hold every day."
        )
    return tuple(notes)


def _ladder(inputs, gauge) -> Scale:
    points = [("the room", 0.0)] + [(name.replace("the ", ""), limit) for name, limit in _limits(inputs)]
    marks = [("your hold", gauge)]
    rows = [
        (label, wording.number(value / 100), wording.number((inputs.ambient_pa + value) / 100, 4))
        for label, value in points + marks
    ]
    return Scale(
        "The hold stands between the room and the first limit" if gauge < min((v for _, v in points[1:]),
                                                                              default=gauge + 1)
        else "The hold stands above a limit",
        "Upright scale of pressure above the room in mbar: " + ", ".join(f"{label} {value / 100:.3g}" for label,
                                                                         value in points + marks) + ".",
        Axis("Above the room", "mbar"),
        points=tuple(Landmark(label, value / 100) for label, value in points),
        yours=tuple(Landmark(label, value / 100) for label, value in marks),
        table=Table("Pressures", ("Level", "mbar above the room", "mbar absolute"), rows),
    )  # fmt: skip


# ---- zones


def _zones(inputs, rate_name="") -> list[Zone]:
    """The zones of the form, or the one zone of its single fields; checked for volume and rate."""
    rows = inputs["zones"]
    if not rows:
        return [
            Zone(inputs["gas_volume"], inputs["start_temperature"], inputs["end_temperature"], inputs[rate_name] or 0.0)
        ]
    total, given = sum(row["volume"] for row in rows), inputs["gas_volume"]
    if given is not None and abs(total / given - 1) > SUM_TOLERANCE:
        raise Problems({
            "zones": f"Zones: their volumes add up to {total * 1e3:.4g} L; all gas in the chamber is "
                     f"{given * 1e3:.4g} L. "
            "Zone volumes must add up to the chamber volume."
        })  # fmt: skip
    if total not in VOLUME:
        raise Problems({"zones": f"Zones: their volumes add up to {total * 1e3:.4g} L; that must be {VOLUME.said}."})
    if rate_name and any(row["rate"] is None for row in rows):
        raise Problems({"zones": "Zones: each row needs a rate, such as 5 K/min."})
    return [Zone(row["volume"], row["start_temperature"], row["end_temperature"], row["rate"] or 0.0) for row in rows]


def _directed(zones, upward: bool) -> tuple[list[Zone], bool]:
    """The zones turned so that they heat (upward) or cool, and whether any had to be turned."""
    turned = [
        replace(z, start_k=min(z.start_k, z.end_k), end_k=max(z.start_k, z.end_k)) if upward
        else replace(z, start_k=max(z.start_k, z.end_k), end_k=min(z.start_k, z.end_k))
        for z in zones
    ]  # fmt: skip
    return turned, turned != list(zones)


def _zone_notes(inputs, turned: bool) -> tuple[str, ...]:
    notes = []
    if inputs.mode != CLOSED and _gauge(inputs) < 0:
        notes.append("The chamber stands below the room: with the outlet open air comes in, and this is no hold.")
    if turned:
        notes.append(
            f"{inputs.mode.capitalize()} runs from the {'colder' if inputs.mode == HEATING else 'hotter'} to the "
            f"other temperature."
        )
    if inputs["zones"] and inputs["start_temperature"] is not None:
        notes.append("The zones count; the single temperatures and the single rate are not used.")
    if inputs["chamber_pressure"] is not None and inputs["set_point"] is not None:
        if abs(inputs.ambient_pa + inputs["set_point"] - inputs["chamber_pressure"]) > 50:
            notes.append("The chamber pressure counts; the hold above the room is not used.")
    if not inputs["zones"] and (inputs["gas_volume"] or 0) > 0:
        notes.append(
            "All the gas is taken to be at one temperature. Gas in the outer insulation and in cold ports stays "
            "colder: zones tell more."
        )
    return tuple(notes)


# ---- closed


def _closed(inputs) -> Answer:
    zones, pressure, ambient = _zones(inputs), _pressure(inputs), inputs.ambient_pa
    end, mean = closed_pressure(pressure, zones), effective_temperature(zones)
    start_mean = sum(z.volume_m3 for z in zones) / amount_over_pressure((z.volume_m3, z.start_k) for z in zones)
    change = min(1.0, abs(mean - start_mean) / constant("atmosphere.gas_temperature_spread"))
    spread = constant("atmosphere.closed_spread") * change
    heating = end > pressure * (1 + 1e-9)
    figures = FIGURES.fill(
        closed_pressure=Estimate(end, end * (1 - spread), end * (1 + spread), cause="the true temperature of the gas")
        if spread
        else end,
        effective_temperature=mean,
    )
    figures["closed_pressure"] = replace(
        figures["closed_pressure"],
        shown=replace(figures["closed_pressure"].shown, round="up, range" if heating else "down, range"),
    )
    if pressure < ambient and end < ambient:
        return _closed_vacuum(inputs, zones, pressure, ambient, end, figures)
    build = _closed_heating if heating else _closed_cooling
    return build(inputs, zones, pressure, ambient, end, figures)


def _bar(pressure, towards) -> str:
    return f"{wording.number(pressure / 1e5, 3, towards)}{wording.NO_BREAK}bar"


def _mbar(pressure) -> str:
    return f"{wording.plain_number(float(f'{pressure / 100:.4g}'))}{wording.NO_BREAK}mbar"


def _closed_heating(inputs, zones, pressure, ambient, end, figures) -> Answer:
    limits = [f"{name} at {_mbar(limit)} above the room" for name, limit in _limits(inputs) if end - ambient > limit]
    against = f" Passed on the way: {wording.listed(limits)}." if limits else ""
    return Answer(
        sentence=f"WARNING, never heat it shut: with everything closed the gas would reach {_bar(end, 'up')} absolute, "
        f"{_bar(max(end - ambient, 0.0), 'up')} above the room, if nothing gives way before." + against,
        verdict="outside",
        judged=True,
        figures=figures,
        leaves_out=CLOSED_LEAVES_OUT,
        cautions=(
            Caution("WARNING", "Heating a closed chamber",
                    f"A box made for millibars would see {_bar(max(end - ambient, 0.0), 'up')} above the room: it "
                    f"bursts, or throws its door or "
                    "a window.",
                    "Keep the outlet open and the relief in service whenever gas is in the chamber and the heater is "
                    "on. This is no plan, "
                    "only what would happen."),
        ),
        pictures=(_closed_picture(inputs, zones, pressure, ambient,
                                  "Shut and heated it passes every limit of a furnace chamber"
                                  if limits else "Shut and heated the pressure rises with the temperature"),),
        working=_closed_working(zones, pressure, end, figures),
        notes=_zone_notes(inputs, False),
    )  # fmt: skip


CLOSED_LEAVES_OUT = (
    "water, binder and load that give off gas of their own, which adds to the pressure",
    "cold gas in ports and pipes, which lowers the change: do not count on it",
    "leaks, which let air in below the pressure of the room",
)


def _closed_vacuum(inputs, zones, pressure, ambient, end, figures) -> Answer:
    """A chamber that stands below the room from start to end: no hold, and no over-pressure either."""
    return Answer(
        sentence=f"Shut under vacuum it goes from {_low(pressure)} to {_low(end)} absolute and stays below the room "
                 f"at {_mbar(ambient)}.",
        figures=figures,
        leaves_out=CLOSED_LEAVES_OUT,
        pictures=(_closed_picture(inputs, zones, pressure, ambient, "Shut under vacuum it stays below the room"),),
        working=_closed_working(zones, pressure, end, figures),
        notes=("Below the room every leak lets air in. Whether the vessel may stand under vacuum at that heat, its "
               "manual says.",
               *_zone_notes(inputs, False)),
    )  # fmt: skip


def _low(pressure) -> str:
    return f"{wording.number(pressure / 100, 3)}{wording.NO_BREAK}mbar"


def _closed_cooling(inputs, zones, pressure, ambient, end, figures) -> Answer:
    low = figures["closed_pressure"].low_value or end
    verdict = "outside" if end < ambient * (1 - 1e-9) else "close" if low < ambient else "within"
    short = -displaced_amount(pressure, zones)
    if verdict == "outside":
        sentence = (
            f"With the gas shut off it falls to {_bar(end, 'down')} absolute, {_bar(ambient - end, 'up')} below the "
            f"room: air is drawn in "
            f"through every seal. To stay at {_mbar(pressure)} it needs "
            f"{wording.number(norm_volume(short) * 1e3, 3, 'up')}{wording.NO_BREAK}L of "
            "gas (at 0 °C, 101.325 kPa) on the way."
        )
    else:
        sentence = f"With everything shut it stands at {_bar(end, 'down')} absolute at the end, not below the room."
    cautions = (
        Caution("WARNING", "Air drawn onto hot work",
                "A chamber that cools shut pulls air in: hot metal powder, carbon and deposits can burn, and a "
                "window loaded from outside can "
                "implode.",
                "Keep make-up gas flowing until the load is cold; if the gas fails, keep everything shut only if the "
                "vessel may stand under "
                "vacuum, and do not open the vent."),
    ) if verdict == "outside" else ()  # fmt: skip
    pictures = [_closed_picture(inputs, zones, pressure, ambient,
                                "Shut and cooled it falls below the room and draws air in"
                                if verdict == "outside" else "Shut and cooled it stays above the room")]  # fmt: skip
    if short > 0:
        pictures.append(_rates_picture(zones, pressure))
    return Answer(
        sentence=sentence,
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=CLOSED_LEAVES_OUT,
        cautions=cautions,
        pictures=tuple(pictures),
        working=_closed_working(zones, pressure, end, figures),
        notes=_zone_notes(inputs, False),
    )


def _part_way(zones, share) -> list[tuple[float, float]]:
    return [(z.volume_m3, z.start_k + share * (z.end_k - z.start_k)) for z in zones]


def _widest(zones) -> Zone:
    return max(zones, key=lambda z: abs(z.end_k - z.start_k))


def _celsius(kelvin) -> float:
    return kelvin - constant("general.zero_celsius")


def _closed_picture(inputs, zones, pressure, ambient, sentence) -> Plot:
    """Pressure against the temperature of the zone that changes most, all zones the same share of their way."""
    lead = _widest(zones)
    before = amount_over_pressure((z.volume_m3, z.start_k) for z in zones)
    steps = [i / STEPS for i in range(STEPS + 1)] if lead.end_k != lead.start_k else [0.0, 1.0]
    points = [
        (
            _celsius(lead.start_k + s * (lead.end_k - lead.start_k)),
            pressure * before / amount_over_pressure(_part_way(zones, s)) / 1e5,
        )
        for s in steps
    ]
    limits = [Limit("the room", ambient / 1e5)] + [
        Limit(name, (ambient + limit) / 1e5) for name, limit in _limits(inputs)[:1]
    ]
    rows = [(f"{t:.0f}".replace("-", "−"), wording.number(p)) for t, p in points[:: max(1, len(points) // 10)]]
    return Plot(
        sentence,
        f"Absolute pressure from {points[0][1]:.3g} bar at {points[0][0]:.0f} °C to {points[-1][1]:.3g} bar at "
        f"{points[-1][0]:.0f} °C; the room "
        f"has {ambient / 1e5:.3g} bar.",
        Axis("Temperature", "°C"), Axis("Absolute pressure", "bar", low=0.0),
        (Curve("everything shut", points),), limits=tuple(limits),
        table=Table("Pressure with everything shut", ("Temperature, °C", "Pressure, bar absolute"), rows),
    )  # fmt: skip


def _norm_flow(flow_mol_per_s) -> float:
    """L/min at 0 °C and 101.325 kPa."""
    return norm_volume(flow_mol_per_s) * 6e4


def _rates_picture(zones, pressure) -> Plot:
    """Make-up flow against temperature for three cooling rates, for a chamber whose gas was shut off."""
    lead = _widest(zones)
    span = abs(lead.end_k - lead.start_k)
    shares = [i / STEPS for i in range(STEPS + 1)]

    def flow(share, rate):
        parts = [
            (v, t, rate / 60 * abs(z.end_k - z.start_k) / span)
            for (v, t), z in zip(_part_way(zones, share), zones, strict=True)
        ]
        return _norm_flow(displaced_flow(pressure, parts))

    at = [_celsius(lead.start_k + s * (lead.end_k - lead.start_k)) for s in shares]
    curves = [
        Curve(f"{rate} K/min", [(t, flow(s, rate)) for t, s in zip(at, shares, strict=True)]) for rate in RATES_SHOWN
    ]
    rows = [
        (f"{at[i]:.0f}".replace("-", "−"), *(wording.number(flow(shares[i], rate), 3, "up") for rate in RATES_SHOWN))
        for i in range(0, STEPS + 1, STEPS // 10)
    ]
    return Plot(
        "The colder it gets, the more make-up gas the same cooling rate asks for",
        f"Make-up flow in L/min at 0 °C, 101.325 kPa against temperature, for cooling at 1, 5 and 10 K/min; at 5 "
        f"K/min from "
        f"{flow(0, 5):.2g} to {flow(1, 5):.2g} L/min.",
        Axis("Temperature", "°C"), Axis("Make-up flow", "L/min", low=0.0), tuple(curves),
        table=Table("Make-up flow, L/min at 0 °C, 101.325 kPa", ("Temperature, °C",
                                                                 *(f"at {r} K/min" for r in RATES_SHOWN)), rows),
    )  # fmt: skip


def _closed_working(zones, pressure, end, figures) -> tuple[Work, ...]:
    said = " · ".join(f"{z.volume_m3 * 1e3:.4g} L {z.start_k:.2f} K → {z.end_k:.2f} K" for z in zones)
    return (
        Work("Shut chamber", "p₂ = p₁ Σ(V/T₁) / Σ(V/T₂)", f"p₁ = {pressure:.0f} Pa; {said}",
             f"p₂ = {end:.0f} Pa = {end / 1e5:.4g} bar absolute"),
        Work("Effective temperature", "T = V / Σ(V/T₂)", "", f"{figures['effective_temperature'].value:.1f} K"),
        Work("Range", "15 % where the temperature changes by 100 K or more, less below", "",
             figures["closed_pressure"].span,
             ("atmosphere.closed_spread", "atmosphere.gas_temperature_spread")),
    )  # fmt: skip


# ---- heating


def _heating(inputs) -> Answer:
    zones, turned = _directed(_zones(inputs, "ramp"), upward=True)
    if not inputs["outlet_open"] and inputs["relief_pressure"] is None:
        raise Refused(
            "closed_outlet", "heated gas has no way out",
            "With the outlet shut and no relief the pressure climbs with the temperature until something gives way.",
            "Open the outlet before the heater goes on, and have a relief fitted that nobody can shut.",
            "Mode “closed” shows what would happen.", field="outlet_open",
        )  # fmt: skip
    pressure, flow = _pressure(inputs), inputs["flow"]
    parts = [(z.volume_m3, z.start_k, z.rate_k_per_s) for z in zones]
    out, total = displaced_flow(pressure, parts), displaced_amount(pressure, zones)
    figures = FIGURES.fill(expelled_flow=norm_volume(out), gas_driven_out=norm_volume(total))
    shut = not inputs["outlet_open"]
    verdict = "outside" if shut or _gauge(inputs) < 0 else _judge_hold(inputs, _gauge(inputs))
    together = f"{wording.number(_norm_flow(out + flow), 3, 'up')}{wording.NO_BREAK}L/min"
    sentence = (
        f"At the start of the ramp the gas expands by {figures['expelled_flow'].text}; with the flow of "
        f"{inputs.said('flow')} the outlet must "
        f"pass {together} (at 0 °C, 101.325 kPa), {figures['gas_driven_out'].text} by expansion until the end of the "
        f"ramp."
    )
    if shut:
        sentence = (
            f"WARNING, the outlet is shut: all of it, {together}, must leave through the relief, which is no way to "
            f"run. " + sentence
        )
    return Answer(
        sentence=sentence,
        verdict=verdict,
        judged=verdict == "outside" or bool(_limits(inputs)),
        figures=figures,
        leaves_out=(
            "water, binder and load that give off gas: that can be many times more than the expansion",
            "whether outlet, filter and relief pass that flow: SAF-02 works it out",
            "parts of the lining that heat later than the chamber, so the true peak is lower and lasts longer",
        ),
        cautions=(
            Caution("WARNING", "Outlet shut or blocked while heating",
                    "The gas has nowhere to go; the pressure follows the temperature, far past what a box can hold.",
                    "Prove the outlet and the relief free before the heater goes on, and watch the pressure during "
                    "the first hundred degrees."),
        ),
        pictures=_flow_pictures(zones, pressure, flow, "Most gas is driven out at the cold start of the ramp",
                                "expansion"),
        working=_displaced_working(zones, pressure, out, total, "driven out"),
        notes=(*_zone_notes(inputs, turned), *_flow_notes(inputs, flow, zones)),
    )  # fmt: skip


def _flow_pictures(zones, pressure, flow, sentence, label, factor=0.0) -> tuple:
    along = make_up_along(pressure, zones)
    if len(along) < 3:
        return ()
    points = [(_celsius(t), _norm_flow(n)) for _, t, n in along]
    limits = [Limit("your flow", _norm_flow(flow))] if flow else []
    curves = [Curve(label, points)]
    if factor:
        curves.append(Curve(f"{factor:g} times", [(t, factor * n) for t, n in points]))
    step = max(1, len(points) // 10)
    shown = points[::step] if (len(points) - 1) % step == 0 else [*points[::step], points[-1]]
    return (
        Plot(
            sentence,
            f"Flow in L/min at 0 °C, 101.325 kPa against the temperature of the chamber: {points[0][1]:.2g} L/min at "
            f"{points[0][0]:.0f} °C, "
            f"{points[-1][1]:.2g} L/min at {points[-1][0]:.0f} °C.",
            Axis("Temperature", "°C"), Axis("Flow at 0 °C, 101.325 kPa", "L/min", low=0.0), tuple(curves),
            limits=tuple(limits),
            table=Table("Flow by expansion" if not factor else "Make-up flow", ("Temperature, °C", "Flow, L/min"),
                        [(f"{t:.0f}".replace("-", "−"), wording.number(n, 3, "up")) for t, n in shown]),
        ),
    )  # fmt: skip


def _displaced_working(zones, pressure, flow, total, word) -> tuple[Work, ...]:
    said = " · ".join(
        f"{z.volume_m3 * 1e3:.4g} L at {z.start_k:.2f} K, {z.rate_k_per_s * 60:.3g} K/min, to {z.end_k:.2f} K"
        for z in zones
    )
    return (
        Work(f"Gas {word} at the start", "n = (p/R) Σ V/T² |dT/dt|", f"p = {pressure:.0f} Pa; {said}",
             f"n = {flow:.4g} mol/s = {_norm_flow(flow):.4g} L/min at 0 °C, 101.325 kPa", ("general.gas_constant",)),
        Work(f"Gas {word} in all", "(p/R) |Σ V/T₁ − Σ V/T₂|", "",
             f"{abs(total):.4g} mol = {norm_volume(abs(total)) * 1e3:.4g} L",
             ("general.gas_constant", "general.zero_celsius", "general.standard_atmosphere")),
    )  # fmt: skip


def _flow_notes(inputs, flow, zones) -> tuple[str, ...]:
    hourly = constant("atmosphere.slow_change")
    volume = sum(z.volume_m3 for z in zones)
    needed = hourly * volume * inputs.ambient_pa / (constant("general.gas_constant") * ROOM_K)
    if flow < needed:
        return (
            f"The flow is less than one change of the cold chamber an hour "
            f"({wording.number(_norm_flow(needed), 2, 'up')} L/min): "
            "hardly a purge. Common practice, no source.",
        )
    return ()


# ---- cooling


def _cooling(inputs) -> Answer:
    zones, turned = _directed(_zones(inputs, "cooling_rate"), upward=False)
    pressure, flow = _pressure(inputs), inputs["flow"]
    along = make_up_along(pressure, zones)
    start, (_, at_k, peak) = along[0][2], max(along, key=lambda step: step[2])
    needed = constant("atmosphere.make_up_factor") * peak
    taken, gentle = -displaced_amount(pressure, zones), min(peak, natural_peak(pressure, zones, ROOM_K))
    held = "mostly whether the rate is held to the end"
    figures = FIGURES.fill(
        make_up_at_start=_uncertain(start),
        make_up_peak=_uncertain(peak, gentle, held),
        flow_needed=norm_volume(needed),
        gas_taken_in=norm_volume(taken),
    )
    verdict = "outside" if flow < peak * (1 - 1e-9) else "close" if flow < needed * (1 - 1e-9) else "within"
    verdict = worst((verdict, "outside" if _gauge(inputs) < 0 else "within"))
    return Answer(
        sentence=_cooling_sentence(inputs, zones, figures, at_k, gentle),
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=(
            "the cooling curve of this furnace: the figure to keep takes the rate as held to the end",
            "cold gas in ports and pipes that does not shrink, and heat that the lining gives back",
            "a power cut, or a fan or door that cools faster than was typed",
        ),
        cautions=_cooling_cautions(verdict),
        pictures=_flow_pictures(zones, pressure, flow, _cooling_point(along, flow, verdict), "make-up",
                                constant("atmosphere.make_up_factor")),
        working=(*_displaced_working(zones, pressure, start, taken, "taken in"),
                 Work("Largest make-up and flow to keep", "1.5 × the largest n along the way",
                      f"largest at {_celsius(at_k):.0f} °C",
                      f"{_norm_flow(peak):.4g} L/min; keep {_norm_flow(needed):.4g} L/min",
                      ("atmosphere.make_up_factor", "atmosphere.make_up_spread"))),
        notes=("The run plan asks for twice the largest make-up flow; here it is 1.5 times. Both factors are common "
               "practice, no source.",
               *_zone_notes(inputs, turned), *_flow_notes(inputs, flow, zones)),
    )  # fmt: skip


def _uncertain(flow_mol_per_s, gentle=None, cause="the true temperature of the gas") -> Estimate:
    spread, value = constant("atmosphere.make_up_spread"), norm_volume(flow_mol_per_s)
    low = value if gentle is None else norm_volume(gentle)
    return Estimate(value, low * (1 - spread), value * (1 + spread), cause=cause)


def _cooling_sentence(inputs, zones, figures, at_k, gentle) -> str:
    hot, cold = max(z.start_k for z in zones), min(z.end_k for z in zones)
    how = f"at {inputs.said('cooling_rate')}" if not inputs["zones"] else "at the rates of its zones"
    slower = f"{wording.number(_norm_flow(gentle), 2, 'up')}{wording.NO_BREAK}L/min"
    return (
        f"Cooling from {_celsius(hot):.0f} °C to {_celsius(cold):.0f} °C {how} asks for at least "
        f"{figures['flow_needed'].text} (at 0 °C, "
        f"101.325 kPa); the largest make-up flow is {figures['make_up_peak'].text}, near {_celsius(at_k):.0f} °C, if "
        f"that rate is "
        f"held to the end, and {slower} in a furnace that slows down by itself. You keep {inputs.said('flow')}."
    )


def _cooling_point(along, flow, verdict) -> str:
    if verdict == "within":
        return "The flow covers the make-up all the way down, with margin"
    factor = 1.0 if verdict == "outside" else constant("atmosphere.make_up_factor")
    below = next((t for _, t, n in along if factor * n > flow * (1 + 1e-9)), along[-1][1])
    if verdict == "outside":
        return f"From about {_celsius(below):.0f} °C down the flow does not cover this cooling, and air comes in"
    return f"From about {_celsius(below):.0f} °C down the margin of the flow is used up"


def _cooling_cautions(verdict) -> tuple[Caution, ...]:
    if verdict == "outside":
        return (
            Caution("WARNING", "Air drawn onto hot work",
                    "The gas shrinks faster than it is made up; the chamber falls below the room and draws in air. "
                    "Metal powder, carbon and "
                    "deposits can burn.",
                    "Raise the flow or slow the cooling until the gauge stays above the room. Never open the vent to "
                    "air meanwhile."),
        )  # fmt: skip
    return (
        Caution("NOTICE", "Gas shut off too early",
                "A chamber that still shrinks when the gas is shut draws in air and spoils the load and the elements.",
                "Keep the flow until the load is below its opening temperature, then shut the outlet before the gas."),
    )  # fmt: skip


# ---- regulator


def _regulator(inputs) -> Answer:
    flow = inputs["flow"]
    offset, tau = regulator(
        flow, inputs["regulator_band"], inputs["regulator_flow"], inputs["gas_volume"], inputs["gas_temperature"]
    )
    settling = tau * log(1 / 0.05)
    figures = FIGURES.fill(regulator_offset=offset, regulator_time_constant=tau, settling_time=settling)
    reached = inputs["set_point"] + offset
    beyond = flow > inputs["regulator_flow"] * (1 + 1e-9)
    verdict = worst(("outside" if beyond else "within", _judge_hold(inputs, reached)))
    tail = "; that is more than its band, and it may be wide open before" if beyond else ""
    return Answer(
        sentence=f"With {inputs.said('flow')} flowing the chamber settles {figures['regulator_offset'].text} above "
                 f"the set {inputs.said('set_point')}, "
        f"at {_mbar(reached)} above the room, within 5 % after {figures['settling_time'].text}{tail}.",
        verdict=verdict,
        judged=beyond or bool(_limits(inputs)),
        figures=figures,
        leaves_out=(
            "friction and stick of the regulator, which add their own band",
            "pressure lost in filter and exhaust line behind it, which adds to the offset",
            "gas driven out by heating, which adds to the flow: work that out in mode “heating”",
        ),
        cautions=(
            Caution("WARNING", "A back-pressure regulator is no relief",
                    "It can stick, clog with fibre or dust, or be shut; then the pressure rises as long as gas "
                    "flows in.",
                    "Keep the relief valve in service beside it, with nothing between it and the chamber."),
        ),
        pictures=(_regulator_picture(inputs, reached, offset, tau),),
        working=(
            Work("Steady offset", "n / K, K = flow over the band / band",
                 f"n = {flow:.4g} mol/s, K = {inputs['regulator_flow'] / inputs['regulator_band']:.4g} mol/s/Pa",
                 f"{offset:.4g} Pa"),
            Work("Time constant", "τ = V / (R T K)",
                 f"V = {inputs['gas_volume'] * 1e3:.4g} L, T = {inputs['gas_temperature']:.2f} K",
                 f"τ = {tau:.4g} s", ("general.gas_constant",)),
            Work("Settling", "within 5 %: τ ln(1/0.05)", "", f"{settling:.4g} s"),
        ),
        notes=_flow_notes(inputs, flow, [Zone(inputs["gas_volume"], ROOM_K, ROOM_K)]),
    )  # fmt: skip


def _regulator_picture(inputs, reached, offset, tau) -> Plot:
    times = [6 * tau * i / STEPS for i in range(STEPS + 1)]
    points = [(t, (reached - offset * exp(-t / tau)) / 100) for t in times]
    limits = tuple(Limit(name, limit / 100) for name, limit in _limits(inputs)[:1])
    rows = [(wording.number(t), wording.number(p)) for t, p in points[:: STEPS // 10]]
    return Plot(
        "The regulator settles above its set value, by as much as the flow asks for",
        f"Pressure above the room from {points[0][1]:.3g} mbar, when the regulator begins to open, to "
        f"{points[-1][1]:.3g} mbar after "
        f"{times[-1]:.3g} s.",
        Axis("Time after it begins to open", "s"), Axis("Above the room", "mbar"), (Curve("chamber", points),),
        limits=limits,
        marks=(Mark("within 5 %", tau * log(20), (reached - 0.05 * offset) / 100),),
        table=Table("Pressure after the regulator begins to open", ("Time, s", "mbar above the room"), rows),
    )  # fmt: skip


def _gas_notes(inputs) -> tuple[str, ...]:
    gas, notes = inputs["gas"], []
    if gas == "air":
        notes.append("Air is no protective gas; the pressures and flows are the same for it.")
    if gas == "carbon dioxide":
        notes.append(
            "Carbon dioxide is not inert to hot metal or carbon, and is not quite an ideal gas: the figures are "
            "within about 1 % of it."
        )
    return tuple(notes)
