"""The rows of a temperature programme: how they are asked, typed, and turned into legs of a curve.

`programme`, `plan` and every other calculator that takes a programme share the table declared here.
"""

from dataclasses import dataclass

from calcs.core import Range, Refused
from calcs.form import Field, Problem, Problems

RAMP, SOAK, COOL = "ramp", "soak", "cool"
SHORTEST_S = 1e-3  # s; what is shorter is a step, and its rate must not run out of the machine's numbers
LONGEST_S = 1000 * 3600.0  # one segment; longer is a slip of the unit, and no furnace runs so long

RATE = Range(
    "0 K/min",
    "60 K/min",
    because="Rates are positive: the direction comes from the temperatures. No chamber follows more.",
)
STEEPEST = RATE.ends[1]  # K/s
TIME = Range("0 s", "1000 h", because="A longer segment is a slip of the unit.")
TO = Range("0 °C", "3500 °C", because="No furnace of this kind goes there.")

COLUMNS = (
    Field("kind", "Kind", "choice", RAMP, choices=(RAMP, SOAK, COOL)),
    Field("to", "To temperature", "temperature", "600 °C", optional=True, accepted=TO),
    Field("rate", "Rate", "ramp rate", "5 K/min", optional=True, accepted=RATE),
    Field("time", "Time", "time", "30 min", optional=True, accepted=TIME),
    Field("flow", "Gas flow", "standard flow", "2 L/min", optional=True, accepted=Range("0 L/min")),
    Field("pressure", "Pressure above the room", "gauge pressure", "10 mbar gauge", optional=True),
)

# One row in a line of text: "ramp to 600 °C at 5 K/min", "ramp to 600 °C in 2 h", "soak 30 min",
# "cool to 60 °C flow 2 L/min pressure 10 mbar gauge". The lengths are bounded so that no text takes long to refuse.
ROW = (
    r"(?i)(?P<kind>ramp|soak|cool)"
    r"(?: +to +(?P<to>[^,]{1,40}?))?"
    r"(?: +at +(?P<rate>[^,]{1,40}?))?"
    r"(?:(?: +(?:in|for)|(?<=soak)) +(?P<time>[^,]{1,40}?))?"
    r"(?:,? +flow +(?P<flow>.{1,60}?))?"
    r"(?:,? +pressure +(?P<pressure>[^,]{1,40}?))?"
)
HINT = "One row for each segment: ramp to 600 °C at 5 K/min · soak 30 min · cool to 60 °C at 2 K/min."
EXAMPLE = (
    {"kind": RAMP, "to": "600 °C", "rate": "5 K/min"},
    {"kind": SOAK, "time": "30 min"},
    {"kind": COOL, "to": "60 °C", "rate": "2 K/min"},
)


def segments_field(example=EXAMPLE, hint: str = HINT, **other) -> Field:
    """Return the field of the programme table; `other` are further arguments of Field."""
    return Field(
        "segments", "Programme (rows: kind, to, rate, time, flow, pressure)", "table", example,
        columns=COLUMNS, row=ROW, rows_allowed=(1, 40), hint=hint, **other,
    )  # fmt: skip


@dataclass(frozen=True)
class Leg:
    """One stretch of the programme.

    Args of the fields:
        kind: ramp, soak or cool.
        start_k, end_k: temperatures at its ends, K.
        duration_s: its time, s; None where the chamber cools by nature, which only furnace and load can time.
        flow_mol_per_s, gauge_pa: gas flow and pressure above the room wanted in it, or None.
        row: number of its row, from 0.
    """

    kind: str
    start_k: float
    end_k: float
    duration_s: float | None
    flow_mol_per_s: float | None = None
    gauge_pa: float | None = None
    row: int = 0

    @property
    def change_k(self) -> float:
        """Temperature change, K; positive while it heats."""
        return self.end_k - self.start_k

    @property
    def rate_k_per_s(self) -> float | None:
        """Size of the ramp, K/s: 0 for a soak, None for a step or where the time is open."""
        if self.change_k == 0:
            return 0.0
        return abs(self.change_k) / self.duration_s if self.duration_s else None

    @property
    def is_step(self) -> bool:
        """Whether it asks for a change of temperature in no time."""
        return self.duration_s == 0 and self.change_k != 0


def legs(rows: list[dict], start_k: float) -> list[Leg]:
    """Return the legs of a programme.

    Args:
        rows: the rows of the table in SI values, as the form reads them.
        start_k: temperature at the start, K.

    Raises:
        Problems: a row that says too little, too much, or two things at once.
        Refused: zero_ramp, a ramp that never arrives.
    """
    found = []
    for number, row in enumerate(rows):
        leg = _leg(number, row, found[-1].end_k if found else start_k)
        found.append(leg)
    return found


def _leg(number: int, row: dict, start_k: float) -> Leg:
    kind, to, rate, time = row["kind"], row["to"], row["rate"], row["time"]
    if kind == SOAK:
        _check_soak(number, to, rate, time, start_k)
        return Leg(SOAK, start_k, start_k, time, row["flow"], row["pressure"], number)
    if to is None:
        raise _problem(number, "to", f"a {kind} needs the temperature that it goes to")
    if rate is not None and time is not None:
        raise _problem(number, "time", "rate and time say the same thing twice; leave one of them empty")
    if to == start_k:
        raise _problem(number, "to", "it starts and ends at the same temperature: write a soak")
    if kind == COOL and to > start_k:
        raise _problem(number, "to", "it does not cool: it starts colder than it ends. Write a ramp")
    if kind == RAMP and rate is None and time is None:
        raise _problem(number, "rate", "a ramp needs a rate or a time")
    duration = _duration(number, rate, abs(to - start_k)) if rate is not None else time
    duration = 0.0 if duration is not None and duration < SHORTEST_S else duration
    return Leg(kind, start_k, to, duration, row["flow"], row["pressure"], number)


def _check_soak(number: int, to, rate, time, start_k: float) -> None:
    if time is None:
        raise _problem(number, "time", "a soak needs a time")
    if rate is not None:
        raise _problem(number, "rate", "a soak has no rate")
    if to is not None and abs(to - start_k) > 1e-6:
        raise _problem(number, "to", "a soak stays at the temperature of the row before. Write a ramp first")


def _duration(number: int, rate_k_per_s: float, change_k: float) -> float:
    if rate_k_per_s <= 0 or change_k / rate_k_per_s > LONGEST_S:
        raise Refused(
            "zero_ramp", "this ramp never arrives",
            f"Row {number + 1} of the programme has a rate at which {change_k:.0f} K take more than 1000 hours.",
            "Type a rate above zero, and check its unit: K/h is sixty times slower than K/min.", field="segments",
        )  # fmt: skip
    return change_k / rate_k_per_s


def _problem(number: int, column: str, what: str) -> Problems:
    return Problems({"segments": Problem(f"Programme, row {number + 1}: {what}.", cell=(number, column))})


def temperature_at(path: list[Leg], time_s: float) -> float:
    """Return the temperature wanted at a time, K; the end value after the end.

    Args:
        path: legs whose times are all known.
        time_s: time from the start, s, 0 or more.

    Source:
        straight lines between the corners of the programme.
    """
    for leg in path:
        if time_s < leg.duration_s:
            return leg.start_k + leg.change_k * time_s / leg.duration_s
        time_s -= leg.duration_s
    return path[-1].end_k


def time_between(path: list[Leg], low_k: float, high_k: float) -> float:
    """Return the time, s, that the programme spends from low_k up to high_k, both ends in K.

    A soak on an end counts: a hold at 600 °C lies in the band 200 to 600 °C.

    Source:
        share of each straight line that lies between the two temperatures.
    """
    return sum(_share(leg, low_k, high_k) * (leg.duration_s or 0.0) for leg in path)


def time_above(path: list[Leg], limit_k: float) -> float:
    """Return the time, s, that the programme spends above a temperature in K; a soak on it does not count.

    Source:
        share of each straight line above it: (end - limit) / (end - start).
    """
    return sum(
        (leg.duration_s or 0.0) * (float(leg.start_k > limit_k) if leg.change_k == 0 else _share(leg, limit_k, 1e9))
        for leg in path
    )


def _share(leg: Leg, low_k: float, high_k: float) -> float:
    bottom, top = sorted((leg.start_k, leg.end_k))
    if bottom == top:
        return float(low_k <= bottom <= high_k)
    return max(0.0, min(top, high_k) - max(bottom, low_k)) / (top - bottom)
