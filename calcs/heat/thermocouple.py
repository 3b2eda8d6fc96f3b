"""Thermocouples: the voltage of a temperature, the temperature of a voltage, and how far off both may be."""

from dataclasses import dataclass, replace
from functools import cache
from math import exp, sqrt

from calcs import gases, wording
from calcs.core import (
    Answer,
    Caution,
    Figure,
    Figures,
    Range,
    ReadOff,
    Refused,
    Shown,
    Work,
)
from calcs.data import constant, number_or_none, rows
from calcs.form import Field, Form
from calcs.picture import Axis, Curve, Mark, Plot, Table

PAGE = "HT-06"

TO_VOLTAGE, TO_TEMPERATURE, TOLERANCE = "voltage from temperature", "temperature from voltage", "tolerance"
TYPES = ("K", "N", "S", "R", "B", "J", "T", "E")
CLASSES = ("1", "2", "3")
VACUUM = "vacuum"
DIFFERENCE = Range("0 K", "500 K", because="A larger error is a fault, not an uncertainty.")
GROUPS = {  # how the table of gases groups them; a gas that is not here is not known
    "air": "air",
    "argon": "inert",
    "nitrogen": "inert",
    "helium": "inert",
    "neon": "inert",
    "krypton": "inert",
    "xenon": "inert",
    VACUUM: "vacuum",
    "hydrogen": "hydrogen",
    "methane": "carbon",
    "carbon monoxide": "carbon",
}

FORM = Form(
    question="How far off may this thermocouple be?",
    modes=(TO_VOLTAGE, TO_TEMPERATURE, TOLERANCE),
    ask=("thermocouple_type", "sensor_temperature", "voltage", "junction_temperature", "tolerance_class", "gas"),
    fields=(
        Field("thermocouple_type", "Type", "choice", "N", choices=TYPES,
              hint="The letter on the sensor's label; never guess it from a colour."),
        Field("sensor_temperature", "Temperature of the hot junction", "temperature", "600 °C",
              modes=(TO_VOLTAGE, TOLERANCE), hint="Where the two wires meet."),
        Field("voltage", "Voltage measured", "voltage", "20.0 mV", modes=(TO_TEMPERATURE,),
              hint="With its sign, at the end of the sensor's own wires."),
        Field("junction_temperature", "Temperature of the reference junction", "temperature", "22 °C", default="25 °C",
              modes=(TO_VOLTAGE, TO_TEMPERATURE), hint="Where the sensor's wires end.",
              accepted=Range("-20 °C", "70 °C", because="Terminals hotter or colder than that are measured apart.")),
        Field("tolerance_class", "Tolerance class", "choice", "1", choices=CLASSES, modes=(TOLERANCE,),
              hint="From the sensor's certificate or order."),
        Field("gas", "Gas", "choice", "argon", choices=(*gases.NAMES, VACUUM), spoken=gases.FORMULAS, optional=True,
              modes=(TOLERANCE,), hint="What the bare wires are in."),
        Field("instrument_error", "Error of the instrument, plus or minus", "temperature difference", "0.5 K",
              default="0 K", modes=(TOLERANCE,), accepted=DIFFERENCE, hint="From the instrument's certificate."),
        Field("junction_error", "Error of the reference junction, plus or minus", "temperature difference", "0.5 K",
              default="0.5 K", modes=(TOLERANCE,), accepted=DIFFERENCE, hint="From the instrument's manual."),
        Field("drift", "Drift since calibration", "temperature difference", "1 K", optional=True, modes=(TOLERANCE,),
              accepted=DIFFERENCE, hint="From comparing with a fresh sensor."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("voltage", "Voltage", "voltage", "mV", "near", 5, (TO_VOLTAGE,)),
    Shown("sensor_temperature", "Temperature", "temperature", "°C", "near", 4, (TO_TEMPERATURE,)),
    Shown("sensitivity", "Sensitivity there", "sensitivity", "µV/K", "near", 3),
    Shown("class_tolerance", "Tolerance of the class", "temperature difference", "K", "up", 2, (TOLERANCE,)),
    Shown("uncertainty", "Expanded uncertainty, k = 2", "temperature difference", "K", "up", 2, (TOLERANCE,)),
    Shown("suits_gas", "Suits the gas", "choice", modes=(TOLERANCE,)),
)

READ_OFF = (
    ReadOff(
        caption="Voltage against a reference junction at 0 °C, by type and temperature",
        down=("sensor_temperature", ("100 °C", "200 °C", "400 °C", "600 °C", "800 °C", "1000 °C", "1200 °C")),
        across=("thermocouple_type", TYPES),
        figures=("voltage",),
        given={"junction_temperature": "0 °C"},
    ),
    ReadOff(
        caption="Tolerance of class 2, plus or minus, wire as delivered",
        down=("sensor_temperature", ("100 °C", "300 °C", "600 °C", "800 °C", "1000 °C", "1200 °C", "1500 °C")),
        across=("thermocouple_type", TYPES),
        figures=("class_tolerance",),
        given={"mode": TOLERANCE, "tolerance_class": "2", "gas": "", "drift": ""},
    ),
)


# ---------------------------------------------------------------- physics


@dataclass(frozen=True)
class Piece:
    """One stretch of a reference function: from, to in °C, coefficients in mV/°Cⁿ, and the bump of type K."""

    low: float
    high: float
    coefficients: tuple[float, ...]
    bump: tuple[float, float, float] | None

    def voltage(self, t: float) -> tuple[float, float]:
        """Return (mV, mV/K) at t in °C."""
        value = slope = 0.0
        for c in reversed(self.coefficients):
            slope = slope * t + value
            value = value * t + c
        if self.bump:
            a0, a1, a2 = self.bump
            bump = a0 * exp(a1 * (t - a2) ** 2)
            value, slope = value + bump, slope + 2 * a1 * (t - a2) * bump
        return value, slope


@cache
def pieces(kind: str) -> tuple[Piece, ...]:
    """Return the stretches of the reference function of a type, coldest first.

    Args:
        kind: a letter of TYPES.

    Source:
        NIST Standard Reference Database 60; data/heat/thermocouple_functions.csv.
    """
    found: dict[tuple, dict] = {}
    for row in rows("heat/thermocouple_functions.csv"):
        if row["type"] == kind:
            found.setdefault((float(row["from"]), float(row["to"])), {})[row["power"]] = float(row["value"])
    return tuple(
        Piece(
            low, high, tuple(c[str(n)] for n in range(sum(key.isdigit() for key in c))),
            (c["a0"], c["a1"], c["a2"]) if "a0" in c else None,
        )
        for (low, high), c in sorted(found.items())
    )  # fmt: skip


def span(kind: str) -> tuple[float, float]:
    """Return the ends of a type's reference function, K.

    Args:
        kind: a letter of TYPES.

    Source:
        see pieces.
    """
    zero = constant("general.zero_celsius")
    return pieces(kind)[0].low + zero, pieces(kind)[-1].high + zero


def _at(kind: str, t: float) -> tuple[float, float]:
    """Return (mV, mV/K) against a junction at 0 °C, t in °C."""
    piece = next((p for p in pieces(kind) if t <= p.high), pieces(kind)[-1])
    return piece.voltage(t)


def voltage(kind: str, temperature_k: float, junction_k: float | None = None) -> float:
    """Return the voltage of a thermocouple, V: E(hot) - E(junction).

    Args:
        kind: a letter of TYPES.
        temperature_k: hot junction, K, within the range of the type.
        junction_k: reference junction, K; 0 °C where it is left out.

    Raises:
        Refused: outside_type_range.

    Source:
        NIST Monograph 175 and IEC 60584-1: E(t) = sum of c_i t^i, type K above 0 °C with a0 exp(a1 (t - a2)^2).
    """
    zero = constant("general.zero_celsius")
    _refuse_outside(kind, temperature_k, "sensor_temperature")
    hot = _at(kind, temperature_k - zero)[0]
    if junction_k is None:
        return hot * 1e-3
    _refuse_outside(kind, junction_k, "junction_temperature")
    return (hot - _at(kind, junction_k - zero)[0]) * 1e-3


def sensitivity(kind: str, temperature_k: float) -> float:
    """Return the Seebeck coefficient of a type, V/K: the slope of its reference function.

    Args:
        kind: a letter of TYPES.
        temperature_k: temperature, K, within the range of the type.

    Source:
        derivative of the reference function, see voltage.
    """
    return _at(kind, temperature_k - constant("general.zero_celsius"))[1] * 1e-3


def inverse_low(kind: str) -> float:
    """Return the lowest temperature that a voltage is turned into, K.

    Args:
        kind: a letter of TYPES.

    Source:
        ranges of the inverse functions of NIST Standard Reference Database 60.
    """
    if kind == "B":
        return constant("thermocouple.type_b_low")
    return max(span(kind)[0], constant("thermocouple.inverse_low"))


def temperature(kind: str, voltage_v: float, junction_k: float | None = None) -> float:
    """Return the temperature that a voltage means, K, by Newton's method on the reference function itself.

    The millivolts of the reference junction are added, never its degrees: E(t) = E_measured + E(junction).

    Args:
        kind: a letter of TYPES.
        voltage_v: voltage measured, V.
        junction_k: reference junction, K; 0 °C where it is left out.

    Raises:
        Refused: voltage_outside_type, type_b_low, outside_type_range (the junction).

    Source:
        inverse of voltage(); safeguarded by halving, since the function rises throughout the range.
    """
    zero = constant("general.zero_celsius")
    wanted = voltage_v * 1e3
    if junction_k is not None:
        _refuse_outside(kind, junction_k, "junction_temperature")
        wanted += _at(kind, junction_k - zero)[0]
    low, high = inverse_low(kind) - zero, pieces(kind)[-1].high
    bottom, top = _at(kind, low)[0], _at(kind, high)[0]
    slack = 1e-9  # mV, below a picovolt: an end typed as text must not fall out by rounding
    if kind == "B" and min(_at(kind, float(t))[0] for t in range(0, 60)) - 1e-4 <= wanted < bottom - slack:
        raise Refused(
            "type_b_low", "type B says too little below 250 °C",
            f"{_mv(wanted)} is less than the {_mv(bottom)} of 250 °C; there type B gives less than 3 µV/K, and below "
            "42 °C one voltage has two temperatures.",
            "Use a second sensor of another type for the cold part.", field="voltage",
        )  # fmt: skip
    if not bottom - slack <= wanted <= top + slack:
        raise Refused(
            "voltage_outside_type", "no such voltage on this type",
            f"With its junction added it is {_mv(wanted)}; type {kind} gives {_mv(bottom)} at {_celsius(low + zero)} "
            f"and {_mv(top)} at {_celsius(high + zero)}. It is open, reversed, or another type.",
            "Look at the wiring, the sign and the type.", "An open sensor is replaced, never bridged.", field="voltage",
        )  # fmt: skip
    return _solve(kind, wanted, low, high) + zero


def _solve(kind: str, wanted: float, low: float, high: float) -> float:
    """Return t in °C with E(t) = wanted in mV, between low and high."""
    t = low + (high - low) * 0.5
    for _ in range(80):
        value, slope = _at(kind, t)
        low, high = (t, high) if value < wanted else (low, t)
        step = (wanted - value) / slope if slope > 0 else high - low
        t_next = t + step if low <= t + step <= high else (low + high) / 2
        if abs(t_next - t) < 1e-10:
            return t_next
        t = t_next
    return t


def class_tolerance(kind: str, tolerance_class: str, temperature_k: float) -> float:
    """Return the tolerance of a class, plus or minus, K: wire as delivered, without drift.

    Args:
        kind: a letter of TYPES.
        tolerance_class: "1", "2" or "3".
        temperature_k: temperature, K.

    Raises:
        Refused: no_such_class.

    Source:
        IEC 60584-1, table of tolerances; data/heat/thermocouple_tolerances.csv.
    """
    t = temperature_k - constant("general.zero_celsius")
    lines = {row["class"]: row for row in _classes(kind)}
    row = lines.get(tolerance_class)
    if row is None:
        raise Refused(
            "no_such_class", "this type has no such class",
            f"The standard defines class {wording.listed(sorted(lines))} for type {kind}, "
            f"and no class {tolerance_class}.",
            "Look at the certificate of the sensor.", field="tolerance_class",
        )  # fmt: skip
    low, high = float(row["low"]), float(row["high"])
    if not low - 1e-9 <= t <= high + 1e-9:
        raise Refused(
            "no_such_class", "the class ends before that temperature",
            f"Class {tolerance_class} of type {kind} is defined from {_degrees(low)} to {_degrees(high)}.",
            "Take a class or a type that reaches it, or a calibration at that temperature.", field="tolerance_class",
        )  # fmt: skip
    fixed, share, begin = float(row["fixed"]), float(row["share"]), number_or_none(row["share_from"])
    if row["joined"] == "sum":
        return fixed + share * max(0.0, t - begin)
    return max(fixed, share * abs(t))


def _classes(kind: str) -> list[dict]:
    return [row for row in rows("heat/thermocouple_tolerances.csv") if row["type"] == kind]


def expanded_uncertainty(
    tolerance_k: float, junction_k: float, instrument_k: float = 0.0, drift_k: float = 0.0
) -> float:
    """Return the expanded uncertainty of a reading, K: twice the root of the sum of squares.

    Limits (plus or minus) count with 1/sqrt(3), as a value anywhere between them; drift counts in full,
    since it goes one way.

    Args:
        tolerance_k: limit of the class, K.
        junction_k: limit of the reference junction, K.
        instrument_k: limit of the instrument, K.
        drift_k: drift since calibration, K.

    Source:
        JCGM 100: 4.3.7 for limits, 5.1.2 for the sum, 6.2 for the factor. Drift in full: ours.
    """
    limits = (tolerance_k**2 + junction_k**2 + instrument_k**2) / 3
    return constant("thermocouple.coverage") * sqrt(limits + drift_k**2)


@dataclass(frozen=True)
class Suits:
    """Whether a type suits a gas.

    Args of the fields:
        verdict: within, close, outside or cannot_say.
        why: in a few words.
        spoils: whether the gas attacks the wire there.
        source: key of the source.
        close_from_k: from which temperature it is close to a limit, K.
    """

    verdict: str
    why: str
    spoils: bool = False
    source: str = ""
    close_from_k: float = 0.0


def suits_gas(kind: str, gas: str, temperature_k: float) -> Suits:
    """Return whether a bare thermocouple suits a gas at a temperature.

    Args:
        kind: a letter of TYPES.
        gas: a gas of the list, or "vacuum".
        temperature_k: temperature, K.

    Source:
        data/heat/thermocouple_gases.csv, whose lines name their sources and standing.
    """
    group = GROUPS.get(gas)
    row = next((r for r in rows("heat/thermocouple_gases.csv") if r["type"] == kind and r["group"] == group), None)
    if row is None:
        return Suits("cannot_say", f"nothing is known here of type {kind} in {gas}")
    zero = constant("general.zero_celsius")
    close, outside = float(row["close_from"]) + zero, float(row["outside_from"]) + zero
    if temperature_k >= outside:
        return Suits("outside", row["why"], row["spoils"] == "yes", row["source"], close)
    return Suits("close" if temperature_k >= close else "within", row["why"], False, row["source"], close)


def _refuse_outside(kind: str, temperature_k: float, field: str) -> None:
    low, high = span(kind)
    if not low - 1e-9 <= temperature_k <= high + 1e-9:
        raise Refused(
            "outside_type_range", "outside the range of the type",
            f"Type {kind} is defined from {_celsius(low)} to {_celsius(high)}; {_celsius(temperature_k)} lies outside.",
            "Check the type and the temperature.", field=field,
        )  # fmt: skip


def _celsius(kelvin: float) -> str:
    return _degrees(kelvin - constant("general.zero_celsius"))


def _degrees(celsius: float) -> str:
    return wording.with_unit(wording.plain_number(round(celsius, 3)), "°C")


def _mv(millivolts: float) -> str:
    return wording.with_unit(wording.plain_number(round(millivolts, 3) + 0.0), "mV")


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return the voltage of a temperature, the temperature of a voltage, or how far off a reading may be.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    return {TO_VOLTAGE: _to_voltage, TO_TEMPERATURE: _to_temperature, TOLERANCE: _tolerance}[inputs.mode](inputs)


def _to_microvolt(figure: Figure) -> Figure:
    """Return a voltage shown to one microvolt, which is what the reference functions are good for."""
    microvolts = abs(figure.value) * 1e6
    return replace(figure, shown=replace(figure.shown, digits=max(1, len(str(int(microvolts))))))


def _one_kelvin(figures) -> str:
    return f"one kelvin there is {figures['sensitivity'].text.removesuffix('/K')}"


def _to_voltage(inputs) -> Answer:
    kind, hot, junction = inputs["thermocouple_type"], inputs["sensor_temperature"], inputs["junction_temperature"]
    found = voltage(kind, hot, junction)
    slope = sensitivity(kind, hot)
    figures = FIGURES.fill(voltage=found, sensitivity=slope)
    figures["voltage"] = _to_microvolt(figures["voltage"])
    return Answer(
        sentence=f"Type {kind} at {inputs.said('sensor_temperature')}, with its reference junction at "
        f"{inputs.said('junction_temperature')}, gives {figures['voltage'].text}; {_one_kelvin(figures)}.",
        figures=figures,
        leaves_out=_LEAVES_OUT,
        pictures=(_curve_picture(kind, hot),),
        working=_voltage_working(kind, hot, junction, found, slope),
        notes=_type_b_note(kind, hot),
    )


def _to_temperature(inputs) -> Answer:
    kind, junction = inputs["thermocouple_type"], inputs["junction_temperature"]
    hot = temperature(kind, inputs["voltage"], junction)
    slope = sensitivity(kind, hot)
    figures = FIGURES.fill(sensor_temperature=hot, sensitivity=slope)
    return Answer(
        sentence=f"{inputs.said('voltage')} from type {kind} with its reference junction at "
        f"{inputs.said('junction_temperature')} means {figures['sensor_temperature'].text}; {_one_kelvin(figures)}.",
        figures=figures,
        leaves_out=_LEAVES_OUT,
        cautions=(
            Caution("WARNING", "Sensor wires can be live",
                    "Hot ceramic conducts: in an electric furnace the sensor's wires can carry the heater's voltage.",
                    "Have the voltage measured by somebody competent for live work, or read it on the instrument."),
        ),
        pictures=(_curve_picture(kind, hot),),
        working=_voltage_working(kind, hot, junction, inputs["voltage"], slope),
        notes=(_other_types(inputs, kind), *_type_b_note(kind, hot)),
    )  # fmt: skip


_LEAVES_OUT = (
    "the tolerance of the wire and its drift: see the use “tolerance”",
    "cable of the wrong type or with swapped wires between sensor and instrument",
    "where the hot junction sits: it shows its own temperature, not that of the load",
)


def _other_types(inputs, kind: str) -> str:
    """Say what the same voltage would mean on the other types: a wrong setting shows itself so."""
    found, zero = [], constant("general.zero_celsius")
    for other in TYPES:
        try:
            hot = temperature(other, inputs["voltage"], inputs["junction_temperature"])
        except Refused:
            continue
        if other != kind:
            found.append(f"{other} {wording.with_unit(wording.number(hot - zero, 3), '°C')}")
    if not found:
        return "No other type gives this voltage."
    return f"The same voltage on other types: {', '.join(found)}. A wrong type set in the instrument shows itself so."


def _type_b_note(kind: str, hot: float) -> tuple[str, ...]:
    if kind == "B" and hot < inverse_low("B"):
        return ("Below 250 °C type B gives almost nothing, and below 42 °C one voltage has two temperatures.",)
    return ()


def _voltage_working(kind, hot, junction, found, slope) -> tuple[Work, ...]:
    zero = constant("general.zero_celsius")
    at_hot, at_junction = _at(kind, hot - zero)[0], _at(kind, junction - zero)[0]
    piece = next(p for p in pieces(kind) if hot - zero <= p.high + 1e-9)
    bump = "E(t) = Σ cᵢ tⁱ" + (" + a₀ exp(a₁ (t − a₂)²)" if piece.bump else "")
    return (
        Work(f"Reference function of type {kind}, {_degrees(piece.low)} to {_degrees(piece.high)}, against 0 °C", bump,
             "c₀, c₁, …: " + ", ".join(f"{c:.5g}" for c in piece.coefficients) + " mV/°Cⁱ (all digits in the data file "
             "thermocouple_functions.csv)", f"E = {at_hot:.4f} mV at t = {hot - zero:.4f} °C", source="nist-srd-60"),
        Work("Reference junction: millivolts are added, never degrees", "E(t) = E_measured + E(t_junction)",
             f"E(t_junction = {junction - zero:.3f} °C) = {at_junction:.4f} mV",
             f"{at_hot:.4f} mV = {found * 1e3:.4f} mV + {at_junction:.4f} mV", source="iec-60584-1"),
        Work("Sensitivity", "S = dE/dt", f"at {hot - zero:.3f} °C", f"S = {slope * 1e6:.4g} µV/K"),
    )  # fmt: skip


def _curve_picture(kind: str, hot: float) -> Plot:
    zero = constant("general.zero_celsius")
    low, high = (end - zero for end in span(kind))
    points = [(t, _at(kind, t)[0]) for t in (low + (high - low) * i / 60 for i in range(61))]
    at = (hot - zero, _at(kind, hot - zero)[0])
    steps = [float(t) for t in range(-200, 1801, 200) if low <= t <= high]
    table_rows = [
        (f"{t:.0f}".replace("-", "−"), _fixed(_at(kind, t)[0]), wording.number(_at(kind, t)[1] * 1e3, 3)) for t in steps
    ]
    microvolts = wording.with_unit(wording.number(sensitivity(kind, hot) * 1e6, 2), "µV")
    return Plot(
        sentence=f"Type {kind} gives {microvolts} for each kelvin at this place of its curve",
        description=f"Voltage in mV against temperature in °C, reference junction at 0 °C, from {_degrees(low)} to "
        f"{_degrees(high)}; the point is {_mv(at[1])} at {_degrees(round(at[0], 1))}.",
        x=Axis("Temperature", "°C"),
        y=Axis("Voltage", "mV"),
        curves=(Curve(f"type {kind}", points),),
        marks=(Mark("here", *at),),
        table=Table(f"Type {kind}, reference junction at 0 °C",
                    ("Temperature, °C", "Voltage, mV", "Sensitivity, µV/K"), table_rows),
    )  # fmt: skip


def _fixed(millivolts: float) -> str:
    return f"{millivolts + 0.0:.3f}".replace("-", "−")


# ---- tolerance


def _tolerance(inputs) -> Answer:
    kind, hot, gas = inputs["thermocouple_type"], inputs["sensor_temperature"], inputs["gas"]
    _refuse_outside(kind, hot, "sensor_temperature")
    limit = class_tolerance(kind, inputs["tolerance_class"], hot)
    suits = suits_gas(kind, gas, hot) if gas else None
    if suits and suits.spoils:
        raise Refused(
            "wrong_gas", "this gas spoils the wire",
            f"Type {kind} at {inputs.said('sensor_temperature')} in {gas}: {suits.why}. No tolerance holds there.",
            "Use a closed tube that keeps the gas out, or another type.", "Ask the maker of the sensor.", field="gas",
        )  # fmt: skip
    junction, instrument, drift = inputs["junction_error"], inputs["instrument_error"], inputs["drift"]
    whole = expanded_uncertainty(limit, junction, instrument, drift or 0.0)
    figures = FIGURES.fill(
        sensitivity=sensitivity(kind, hot),
        class_tolerance=limit,
        uncertainty=whole,
        suits_gas=suits.verdict if suits else None,
    )
    return Answer(
        sentence=_tolerance_sentence(inputs, kind, figures, suits),
        verdict=suits.verdict if suits else "within",
        judged=suits is not None,
        figures=figures,
        leaves_out=(
            "drift" + (" beyond what was typed" if drift is not None else ": none was typed, so none is reckoned with"),
            "extension wire, terminals and shunting insulation: each can add as much again",
            "position: the junction shows its own place, not the middle of the load (HT-03, HT-07)",
        ),
        cautions=_tolerance_cautions(kind, suits),
        pictures=(_tolerance_picture(kind, hot, limit, inputs["tolerance_class"]),),
        working=_tolerance_working(inputs, kind, limit, whole, suits),
        notes=_tolerance_notes(inputs, suits),
    )


def _tolerance_sentence(inputs, kind, figures, suits) -> str:
    limit, whole = (f"±{wording.NO_BREAK}{figures[name].text}" for name in ("class_tolerance", "uncertainty"))
    said = (
        f"Type {kind} at {inputs.said('sensor_temperature')}: {limit} if class {inputs['tolerance_class']} and new; "
        f"with instrument and reference junction {whole} (k = 2)"
    )
    said += ", drift included" if inputs["drift"] is not None else ", more with age"
    if suits and suits.verdict != "within":
        return f"{said}. In {inputs['gas']}: {suits.why}."
    return f"{said}."


def _tolerance_cautions(kind, suits) -> tuple[Caution, ...]:
    low = Caution(
        "WARNING", "A sensor that reads low",
        "A worn, shorted or slipped thermocouple reads low, and the controller heats on past every limit set on it.",
        "Keep the limiter on a sensor of its own, and compare the two at every run.",
    )  # fmt: skip
    if suits and suits.verdict == "outside":
        worn = Caution(
            "NOTICE", "Sensor outside its gas", f"Here {suits.why}.",
            "Use a closed tube or another type, and set a date by which the sensor is replaced.",
        )  # fmt: skip
        return (low, worn)
    return (low,)


def _tolerance_picture(kind, hot, limit, chosen) -> Plot:
    zero = constant("general.zero_celsius")
    curves, table_rows = [], []
    for row in _classes(kind):
        low, high = float(row["low"]), float(row["high"])
        name, steps = f"class {row['class']}", [low + (high - low) * i / 80 for i in range(81)]
        points = [(t, class_tolerance(kind, row["class"], t + zero)) for t in steps]
        curves.append(Curve(name, points))
        for t, kelvin in points[::40]:
            table_rows.append((name, wording.plain_number(t), wording.number(kelvin, 2, "up")))
    kelvin = wording.with_unit(wording.number(limit, 2, "up"), "K")
    return Plot(
        sentence=f"What class {chosen} allows at {_celsius(hot)} is ± {kelvin}",
        description=f"Tolerance of type {kind}, plus or minus, in K against temperature in °C, a line for each class.",
        x=Axis("Temperature", "°C"),
        y=Axis("Plus or minus", "K", low=0.0),
        curves=tuple(curves),
        marks=(Mark("yours", hot - zero, limit),),
        table=Table(f"Tolerances of type {kind}", ("Class", "Temperature, °C", "Plus or minus, K"), table_rows),
    )  # fmt: skip


def _tolerance_working(inputs, kind, limit, whole, suits) -> tuple[Work, ...]:
    row = next(r for r in _classes(kind) if r["class"] == inputs["tolerance_class"])
    t = inputs["sensor_temperature"] - constant("general.zero_celsius")
    how = "fixed + share × (t − from)" if row["joined"] == "sum" else "the greater of fixed and share × |t|"
    place = f", from {row['share_from']} °C" if row["share_from"] else ""
    drift = inputs["drift"] or 0.0
    return (
        Work("Tolerance of the class", how, f"fixed {row['fixed']} K, share {row['share']}{place}, t = {t:.2f} °C",
             f"± {limit:.4g} K", source="iec-60584-1"),
        Work("Expanded uncertainty", "U = k √(tolerance²/3 + junction²/3 + instrument²/3 + drift²)",
             f"tolerance {limit:.4g} K, junction {inputs['junction_error']:.3g} K, "
             f"instrument {inputs['instrument_error']:.3g} K, drift {drift:.3g} K",
             f"U = {whole:.4g} K", ("thermocouple.coverage",), "jcgm-100"),
        *((Work("Type and gas", "table of types and gases", f"type {kind} in {inputs['gas']}",
                f"{suits.verdict}: {suits.why}", source=suits.source),) if suits and suits.source else ()),
    )  # fmt: skip


def _tolerance_notes(inputs, suits) -> tuple[str, ...]:
    notes = []
    if "instrument_error" in inputs.defaulted:
        notes.append("No error of the instrument is reckoned with, since none was typed.")
    if inputs["drift"] is None:
        notes.append("Drift is not known and not in the figures. Compare with a fresh sensor in the same place.")
    if suits is None:
        notes.append("No gas was chosen, so nothing is said about how the wire ages.")
    elif suits.verdict == "cannot_say":
        notes.append(f"Not known: {suits.why}. Ask the maker of the sensor.")
    elif suits.verdict == "within":
        close = _celsius(suits.close_from_k)
        notes.append(f"In {inputs['gas']} this type comes close to a limit from {close}: {suits.why}.")
    return tuple(notes)
