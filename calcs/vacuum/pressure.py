"""What a pressure reading means: absolute, above and below the room, at an altitude, and how thin the gas is."""

from math import log10

from calcs import air, gases, wording
from calcs.core import Answer, Caution, Estimate, Figures, Range, ReadOff, Refused, Shown, Work
from calcs.data import constant
from calcs.form import Field, Form, Problems
from calcs.picture import Axis, Beside, Landmark, Scale, Table
from calcs.units import KINDS, from_si
from calcs.vacuum.line import free_path

PAGE = "VAC-01"

NOTHING = 1e-9  # share of the room's pressure that is rounding, not gas
LEAST_PA, MOST_PA = 1e-9, 1e8  # ultra-high vacuum ends there; above 1000 bar gas is no longer ideal
SAME_AS_ROOM = 5e-4  # share of the room's pressure that no dial shows; ours
SEES_LITTLE = 0.5  # weather band over absolute pressure from which a reading counted from the room says nothing; ours
ALIKE_BELOW_M = 400  # below this altitude a reading reduced to sea level cannot be told from one in the room
OIL_PUMP_MBAR, DRY_PUMP_MBAR = 0.003, 0.05  # usual end pressures of pumps, landmarks only; common practice, no source
ALL_UNITS = ("Pa", "mbar", "kPa", "bar", "torr", "mTorr", "inHg", "psi", "atm")
SENSE_OF = {"absolute": "absolute", "gauge": "gauge", "below ambient": "below"}
SENSES = tuple(SENSE_OF)

FORM = Form(
    question="What pressure is that, really?",
    ask=("reading", "altitude", "ambient_pressure"),
    fields=(
        Field("reading", "What the gauge shows", "pressure with sense", "28.9 inHg below",
              hint="Number and unit as on the dial; add abs, gauge or below, or choose it beside.", below_zero=True),
        Field("sense", "Sense of the reading", "choice", "below ambient", choices=SENSES, optional=True,
              in_example=False,
              spoken={"above the room": "gauge", "below the room": "below ambient", "abs": "absolute",
                      "below": "below ambient"},
              hint="Only if it is not typed with the reading: counted from empty space, up from the room, or down "
                   "from the room."),
        Field("altitude", "Altitude", "length", "150 m", default="0 m", menu=("m", "ft"),
              hint="Of the room above sea level, −430 m to 5000 m: gives the usual pressure of the room."),
        Field("ambient_pressure", "Ambient pressure (barometer in the "
                                  "room)", "absolute pressure", "995 mbar", optional=True,
              in_example=False, hint="Better than the altitude. Not the figure of a weather report, which is reduced "
                                     "to sea level."),
        Field("gas", "Gas", "choice", "argon", default="air", choices=gases.NAMES, spoken=gases.FORMULAS,
              hint="For the mean free path only."),
        Field("gas_temperature", "Gas temperature", "temperature", "20 °C", default="20 °C",
              accepted=Range("-20 degC", "1600 degC", because="No chamber of this kind runs outside it."),
              hint="For the number of molecules and the mean free path only."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("absolute_pressure", "Absolute pressure", "absolute pressure", "Pa, mbar, kPa, torr", "near", 4),
    Shown("gauge_pressure", "Above the room", "gauge pressure", "mbar, torr", "near", 4),
    Shown("below_ambient", "Below the room", "pressure difference", "mbar, torr", "near", 4),
    Shown("ambient_pressure", "Ambient pressure, with its weather band", "absolute pressure", "kPa, mbar", "range",
          range_digits=3),
    Shown("share_of_ambient", "Share of ambient", "number", "%"),
    Shown("number_density", "Molecules per volume", "number density", "1/m3"),
    Shown("mean_free_path", "Mean free path", "length", "mm, µm, nm, m, km"),
    Shown("regime", "Range of vacuum", "choice"),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="The usual pressure of the room, and what 30 torr above it and 20 inHg below it are, against altitude",
        down=("altitude", ("0 m", "150 m", "500 m", "1000 m", "1600 m", "2240 m", "3000 m")),
        across=("reading", ("0 mbar gauge", "30 torr gauge", "20 inHg below")),
        figures=("absolute_pressure",),
    ),
    ReadOff(
        caption="Absolute pressures of the trade, with argon at 20 °C",
        down=("reading", ("760 torr abs", "1 torr abs", "1 mbar abs", "0.1 torr abs", "0.1 mbar abs",
                          "50 mTorr abs", "1 Pa abs",
                          "1 mTorr abs")),
        figures=("absolute_pressure", "number_density", "mean_free_path", "regime"),
    ),
)  # fmt: skip


# ---------------------------------------------------------------- physics


def number_density(pressure_pa: float, temperature_k: float) -> float:
    """Return the molecules per volume, 1/m³: n = p / (k T).

    Args:
        pressure_pa: absolute pressure, Pa.
        temperature_k: gas temperature, K.

    Source:
        ideal gas; constant vacuum.boltzmann.
    """
    return pressure_pa / (constant("vacuum.boltzmann") * temperature_k)


def vacuum_range(pressure_pa: float) -> str:
    """Return the word for a range of vacuum: rough, medium, high or ultra-high.

    Args:
        pressure_pa: absolute pressure below that of the room, Pa.

    Source:
        ranges of ISO 3529-1.
    """
    ends = (("rough", "vacuum.rough_end"), ("medium", "vacuum.medium_end"), ("high", "vacuum.high_end"))
    for word, end in ends:
        if pressure_pa >= constant(end) * (1 - 1e-9):
            return word
    return "ultra-high"


def weather_band(ambient_pa: float) -> tuple[float, float]:
    """Return the ends between which weather moves the room's pressure, Pa.

    Args:
        ambient_pa: usual pressure of the room, Pa.

    Source:
        3 % either way: common practice, no source.
    """
    return ambient_pa * (1 - air.WEATHER), ambient_pa * (1 + air.WEATHER)


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return what a reading is as absolute pressure, above and below the room.

    Args:
        inputs: the values of FORM.

    Source:
        unit factors of calcs.units; the room's pressure from air.air_pressure.
    """
    ambient, notes = _ambient(inputs)
    absolute = _absolute(inputs, ambient)
    gauge = absolute - ambient
    counted = _counted(inputs)
    measured = inputs.given("ambient_pressure")
    low, high = (ambient, ambient) if measured else weather_band(ambient)
    path = _free_path(inputs, absolute, notes)
    figures = FIGURES.fill(
        absolute_pressure=absolute,
        gauge_pressure=gauge,
        below_ambient=-gauge if gauge < 0 else None,
        ambient_pressure=ambient
        if measured
        else Estimate(ambient, low, high, "the weather; a barometer in the room takes it away"),
        share_of_ambient=absolute / ambient,
        number_density=number_density(absolute, inputs["gas_temperature"]),
        mean_free_path=path,
        regime=vacuum_range(absolute) if gauge < 0 else None,
    )
    typed = inputs.reads["reading"].sense
    if inputs["sense"] and typed and SENSE_OF[inputs["sense"]] != typed:
        notes.append("The word typed with the reading counts, not the choice beside it.")
    if counted and not measured:
        notes.append(_weather_note(absolute, gauge, low, high))
    limit = constant("vacuum.vessel_threshold")
    return Answer(
        sentence=_sentence(inputs, ambient, absolute, gauge, counted),
        verdict="within" if gauge <= 0 else "close" if gauge <= limit * (1 + 1e-9) else "outside",
        judged=gauge > 0,
        figures=figures,
        leaves_out=_leaves_out(counted, measured),
        cautions=_cautions(gauge, limit, counted, absolute, high - low),
        pictures=(_picture(inputs, ambient, absolute, gauge, counted),),
        working=_working(inputs, ambient, absolute, gauge, path),
        notes=tuple(notes),
    )


def _ambient(inputs) -> tuple[float, list[str]]:
    """Return the pressure of the room and what is to be said about it."""
    if inputs["altitude"] not in air.ALTITUDE:
        raise air.altitude_outside(inputs["altitude"])
    if not inputs.given("ambient_pressure"):
        return air.air_pressure(inputs["altitude"]), []
    ambient = inputs["ambient_pressure"]
    if ambient not in air.STATION_PRESSURE:
        raise Refused(
            "ambient_not_station", "that is not the air of a room",
            f"The pressure of a room lies between 45 kPa and 110 kPa; you gave {inputs.said('ambient_pressure')}.",
            "Type what a barometer in the room shows, absolute, not the figure of a weather "
            "report.", field="ambient_pressure",
        )  # fmt: skip
    if not inputs.given("altitude"):
        return ambient, []
    note = air.check_station(ambient, inputs["altitude"])
    if not note and abs(inputs["altitude"]) < ALIKE_BELOW_M:
        note = "Below about 400 m a reading and a figure reduced to sea level look alike: make sure it is read here."
    return ambient, [note] if note else []


def _counted(inputs) -> bool:
    """Whether the reading is counted from the room: typed so, or chosen in either of the two places."""
    return inputs["reading"] != inputs.reads["reading"].si


def _absolute(inputs, ambient: float) -> float:
    absolute = inputs["reading"]
    counted = _counted(inputs)
    if absolute < (-NOTHING * ambient if counted else 0):
        raise Refused(
            "below_vacuum", "that is below empty space",
            f"With {_kpa(ambient)} in the room no pressure can be more than {_kpa(ambient)} below it, and none below "
            "zero absolute.",
            "Check the unit, the sign, and whether the gauge counts from the room.", field="reading",
        )  # fmt: skip
    if absolute <= (NOTHING * ambient if counted else 0):
        raise Refused(
            "zero_pressure", "there is no pressure of zero",
            "At zero pressure there is no gas, and no pump reaches it. A dial that shows the end of its scale cannot "
            "see what is left.",
            "Read an absolute gauge.", field="reading",
        )  # fmt: skip
    if not LEAST_PA <= absolute <= MOST_PA:
        raise Problems(
            {"reading": "What the gauge shows: this page covers 10⁻⁹ Pa to 1000 bar absolute. Check the unit."}
        )
    return absolute


def _free_path(inputs, absolute: float, notes: list[str]) -> float | None:
    try:
        return free_path(inputs["gas"], inputs["gas_temperature"], absolute)
    except Refused:
        notes.append(
            f"No mean free path: the viscosity of {inputs['gas']} is not in the table at "
            f"{inputs.said('gas_temperature')}."
        )
        return None


def _kpa(pressure: float) -> str:
    """The room's pressure in words: one decimal of a kilopascal."""
    return wording.with_unit(wording.number(pressure / 1000, 4 if pressure >= 99_950 else 3), "kPa")


def _in_units(pressure: float, without: str) -> list[str]:
    """The pressure in the units of the trade, less the one that was typed."""
    found = []
    for name in ("kPa" if pressure >= 1000 else "Pa", "mbar", "torr"):
        unit = KINDS["absolute pressure"].unit(name)
        if unit.name != without:
            number = from_si(pressure, unit)
            # A conversion is exact: a thousand and more keeps its whole numbers, the room one decimal.
            digits = 4 if number >= 1000 or (name == "kPa" and number >= 99.95) else 3
            found.append(wording.with_unit(wording.number(number, digits), unit.shown))
    return found


def _sentence(inputs, ambient, absolute, gauge, counted) -> str:
    typed, unit = inputs.said("reading").removeprefix("−"), inputs.reads["reading"].unit.name
    side = "below" if gauge < 0 else "above"
    room = f"a room at {_kpa(ambient)}{_from_where(inputs)}"
    if counted:
        first, *rest = _in_units(absolute, "")
        return f"{typed} {side} {room} is {first} absolute: {wording.listed(rest, 'or')}."
    same = abs(gauge) < SAME_AS_ROOM * ambient
    against = "the same as" if same else f"{wording.number(abs(gauge) / 1000)}{wording.NO_BREAK}kPa {side}"
    return f"{typed} absolute is {wording.listed(_in_units(absolute, unit), 'or')}; that is {against} {room}."


def _from_where(inputs) -> str:
    if inputs.given("ambient_pressure"):
        return " (barometer)"
    if inputs.given("altitude"):
        return f" (usual at {inputs.said('altitude')})"
    return " (default, for sea level)"


def _weather_note(absolute, gauge, low, high) -> str:
    ends = [max(0.0, gauge + end) for end in (low, high)]
    if high - low >= 2 * SEES_LITTLE * absolute:
        return (
            "Weather moves the room by about 3 %: the absolute pressure may be anything from "
            f"{_kpa(ends[0]) if ends[0] else '0'} to "
            f"{_kpa(ends[1])}. A reading counted from the room cannot tell it; use an absolute gauge, or a barometer "
            "in the room."
        )
    return (
        f"Weather moves the room by about 3 %, and the absolute pressure with it: {_kpa(ends[0])} to {_kpa(ends[1])}."
    )


def _leaves_out(counted, measured) -> tuple[str, ...]:
    weather = (
        "weather: the room's pressure from the altitude can be off by 3 kPa, more in a storm"
        if not measured
        else "the change of the weather since the barometer was read"
    )
    return (
        weather,
        "the error of the gauge itself, and a dial whose zero has moved",
        "the gas: a thermal gauge shows another pressure in another gas (VAC-05)",
    )


def _cautions(gauge, limit, counted, absolute, band) -> tuple[Caution, ...]:
    """A pressure above the room calls for one caution, a vacuum that no dial shows for another."""
    if gauge > limit * (1 + 1e-9):
        return (
            Caution("WARNING", "Chamber as pressure vessel",
                    "More than 0.5 bar above the room belongs to vessels built, tested and licensed for it; a furnace "
                    "chamber can burst.",
                    "Do not fill to this. The furnace's manual says what the chamber is rated for, mostly tens of "
                    "millibars."),
        )  # fmt: skip
    if gauge > 0:
        return (
            Caution("WARNING", "Pressure behind a door",
                    "The chamber is above the room: each 10 mbar presses on each 0.1 m² of door with 100 N, and the "
                    "door flies open.",
                    "Check the pressure against the limit in the furnace's manual, and let it down to the room before "
                    "you open."),
        )  # fmt: skip
    if counted and band >= 2 * SEES_LITTLE * absolute:
        return (
            Caution("NOTICE", "A dial cannot see this",
                    "Runs started on such a reading meet air that nobody saw.",
                    "Judge a vacuum by an absolute gauge only."),
        )  # fmt: skip
    return ()


def _picture(inputs, ambient, absolute, gauge, counted) -> Scale:
    here, room = absolute / 100, ambient / 100
    typed = inputs.said("reading").removeprefix("−")
    if gauge > 0:
        place = "below" if absolute < constant("general.standard_atmosphere") else "above"
        sentence = f"{typed} {'above the room' if counted else 'absolute'} is {place} sea-level pressure"
    elif absolute < 1000:
        sentence = "Counted from the room, every pressure below 10 mbar reads nearly the same"
    else:
        sentence = f"{wording.number(here)} mbar is {wording.number(absolute / ambient * 100)} % of the room"
    low, high = min(1e-3, here / 3), max(2000.0, here * 2)
    points = [
        Landmark("room", room),
        Landmark("dry-running pump ends", DRY_PUMP_MBAR),
        Landmark("two-stage oil pump ends", OIL_PUMP_MBAR),
        Landmark("medium vacuum begins", constant("vacuum.rough_end") / 100),
    ]
    first = max(-6, int(log10(low)) if low >= 1e-6 else -6)
    decades = [10.0**n for n in range(first, int(log10(high)) + 1)]
    # A figure above the room is exact to 0.1 mbar here: more digits would hide that they are all alike.
    ticks = [(value, f"{value - room:+.1f}".replace("-", "−")) for value in decades]
    rows = [
        [p.label, wording.number(p.value), f"{p.value - room:+.1f}".replace("-", "−")]
        for p in (*points, Landmark("yours", here))
    ]
    return Scale(
        sentence=sentence,
        description="A log scale of absolute pressure in mbar with the pressure above the room beside it; yours is "
        f"{wording.number(here)} "
        f"mbar, the room {wording.number(room)} mbar.",
        axis=Axis("Absolute pressure", "mbar", log=True, low=low, high=high),
        points=tuple(points),
        yours=(Landmark("yours", here),),
        beside=Beside("Above the room", "mbar", ticks),
        table=Table("Landmarks", ("Landmark", "Absolute, mbar", "Above the room, mbar"), rows),
    )


def _working(inputs, ambient, absolute, gauge, path) -> tuple[Work, ...]:
    height = inputs["altitude"]
    steps = []
    if not inputs.given("ambient_pressure"):
        radius = constant("general.earth_radius")
        steps.append(
            Work("Pressure of the room from the altitude", "p = p₀ (1 − L H/T₀)^5.25588, H = r z/(r + z)",
                 f"z = {height:.6g} m, H = {radius * height / (radius + height):.6g} m", f"p = {ambient:.6g} Pa",
                 tuple(f"general.{n}" for n in ("sea_level_pressure", "lapse_rate", "sea_level_temperature",
                                                "altitude_exponent",
                                                "earth_radius")), "us-standard-atmosphere")
        )  # fmt: skip
    read = inputs.reads["reading"]
    steps += [
        Work("Reading in pascal", "number × factor of the unit", f"{read.number:.6g} × {read.unit.factor:.9g} Pa",
             f"{read.si:.6g} Pa", source="nist-sp-811"),
        Work("Absolute pressure", "p = p_room + reading, p_room − reading, or the reading itself",
             f"p_room = {ambient:.6g} Pa", f"p = {absolute:.6g} Pa, {gauge:+.6g} Pa against the room"),
        Work("The same in other units", "p / factor of the unit",
             result=", ".join(f"{from_si(absolute, KINDS['absolute pressure'].unit(n)):.5g} {n}" for n in ALL_UNITS)),
        Work("Molecules per volume", "n = p / (k T)", f"T = {inputs['gas_temperature']:.2f} K",
             f"n = {number_density(absolute, inputs['gas_temperature']):.4g} 1/m³", ("vacuum.boltzmann",)),
    ]  # fmt: skip
    if path:
        steps.append(Work("Mean free path", "λ = (η/p) √(π R T / (2 M))", f"gas: {inputs['gas']}", f"λ = {path:.3g} m",
                          ("general.gas_constant",), "jousten"))  # fmt: skip
    return tuple(steps)
