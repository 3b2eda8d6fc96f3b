"""Readings against time: rows typed by hand, lines pasted from a note, or the text of a log file."""

import re
from bisect import bisect_right
from dataclasses import dataclass
from datetime import UTC, datetime

from calcs import units
from calcs.core import Refused
from calcs.form import Problem, Problems
from calcs.units_table import SCALES, unit_named

MOST_ROWS = 100_000
TIME, TEMPERATURE, POWER = "time", "temperature", "power"
KINDS = {TIME: "time", TEMPERATURE: "temperature", POWER: "power"}
WORDS = {  # what the head of a column is called in log files; the first that fits wins
    TIME: r"time|zeit|temps|tiempo|elapsed|date|clock",
    POWER: r"power|leistung|puissance|potencia|heater|output",
    TEMPERATURE: r"temp|process value|actual|chamber|pv|ist",
}
NOT_MEASURED = re.compile(r"set ?-?point|wanted|soll|consigne|load|part|limit", re.IGNORECASE)
_SCALE = {
    name: SCALES["°" + name[-1] if name[-1] != "K" else "K"] for name in ("°C", "°F", "K", "degC", "degF", "C", "F")
}
UNITS = {  # a unit alone, as it stands in the head of a column
    TIME: r"s|min|h|d",
    TEMPERATURE: r"°C|°F|K|degC|degF|C|F",
    POWER: r"W|kW",
}


@dataclass(frozen=True)
class Readings:
    """Readings in SI units, time rising from 0; `power_w` is None where the log has no power.

    `left_out` counts rows that hold no reading or do not go on in time.
    """

    time_s: tuple[float, ...]
    temperature_k: tuple[float, ...]
    power_w: tuple[float, ...] | None
    left_out: int = 0

    def __len__(self) -> int:
        return len(self.time_s)


def read(field: str, label: str, given: str | list[dict]) -> Readings:
    """Return the readings of a log.

    Args:
        field: name of the field, for problems.
        label: its label.
        given: rows (dicts of column to text with unit), lines such as "30 min 212.4 °C 2.4 kW" parted by
            `·` or new lines, or the text of a file with one heading line and columns for time, temperature
            and, where there is one, power.

    Raises:
        Problems: a row cannot be read, or no heading says which column is which.
        Refused: log_not_usable, where units or decimal signs can mean two things.
    """
    try:
        rows = _given_rows(given) if not isinstance(given, str) else _text_rows(given)
    except _Trouble as trouble:
        raise Problems({field: Problem(f"{label}: {trouble}")}) from None
    return _in_order(rows)


class _Trouble(ValueError):
    """What is wrong with a log, in words for the reader."""


def _in_order(rows) -> Readings:
    """Drop rows without a reading or not later than the one before, and count time from the first."""
    kept, left_out = [], 0
    for row in rows:
        if row is None or (kept and row[0] <= kept[-1][0]):
            left_out += 1
        else:
            kept.append(row)
    start = kept[0][0] if kept else 0.0
    powers = tuple(row[2] for row in kept)
    return Readings(
        tuple(row[0] - start for row in kept), tuple(row[1] for row in kept),
        powers if kept and all(p is not None for p in powers) else None, left_out,
    )  # fmt: skip


# ---------------------------------------------------------------- rows and lines


def _given_rows(given: list[dict]) -> list:
    found = []
    for number, row in enumerate(given, 1):
        if unknown := row.keys() - KINDS.keys():
            raise _Trouble(f"row {number}: there is no column named “{str(min(unknown, key=str))[:40]}”.")
        found.append(_typed_row(number, {name: _plain(row.get(name)) for name in KINDS}))
    return found


def _plain(cell) -> str:
    if isinstance(cell, dict):
        return f"{cell.get('text', '')} {cell.get('unit') or ''}".strip()
    return "" if cell is None else str(cell)


def _typed_row(number: int, row: dict) -> tuple:
    values = []
    for name, kind in KINDS.items():
        text = row.get(name, "").strip()
        if not text and name == POWER:
            values.append(None)
            continue
        try:
            values.append(units.read(kind, text).si)
        except units.Unreadable as trouble:
            raise _Trouble(f"row {number}, {name}: {trouble}") from None
    return tuple(values)


_LINE = re.compile(
    r"(?P<time>[-+0-9.,]+ ?(?:s|min|h|d)|\d+:\d\d(?::\d\d)?) *[,:]? +"
    r"(?P<temperature>[-+−0-9.,]+ ?(?:°C|°F|K|degC|degF|C|F))"
    r"(?: *,? +(?P<power>[-+0-9.,]+ ?k?W))?"
)


def _text_rows(text: str) -> list:
    lines = [line.strip() for line in re.split(r"[·\n\r]", text.lstrip("\ufeff")) if line.strip()]
    if not lines:
        raise _Trouble("it is empty.")
    if len(lines) > MOST_ROWS:
        raise _Trouble(f"it has {len(lines)} rows; this takes {MOST_ROWS}.")
    if _LINE.fullmatch(lines[0]):
        return [_pasted_row(number, line) for number, line in enumerate(lines, 1)]
    return _file_rows(lines)


def _pasted_row(number: int, line: str) -> tuple:
    match = _LINE.fullmatch(line)
    if not match:
        raise _Trouble(f"row {number}: “{line[:40]}” cannot be taken apart. Write 30 min 212.4 °C 2.4 kW.")
    return _typed_row(number, {name: text or "" for name, text in match.groupdict().items()})


# ---------------------------------------------------------------- files


def _file_rows(lines: list[str]) -> list:
    mark = _separator(lines)
    table = [[cell.strip().strip('"').strip() for cell in line.split(mark)] for line in lines]
    first = next((i for i, row in enumerate(table) if sum(map(_looks_like_reading, row)) >= 2), None)
    if first is None:
        raise _Trouble("no row holds a time and a temperature. Paste lines such as 30 min 212.4 °C, or a file.")
    if first == 0:
        raise _Trouble("the first line names no columns. Put one above: time (min), temperature (°C), power (W).")
    columns = _columns(table[first - 1])
    comma_is_decimal = mark != ","
    clock = _Clock(columns[TIME][1])
    return [_file_row(row, columns, clock, comma_is_decimal) for row in table[first:]]


def _separator(lines: list[str]) -> str:
    """Return the sign that parts the columns: the one that gives the steadiest count over the first 20 lines."""
    sample = lines[-20:]
    for mark in ("\t", ";", "|", ","):
        counts = [line.count(mark) for line in sample]
        if min(counts) >= 1 and counts.count(counts[-1]) >= 0.8 * len(counts):
            return mark
    raise _Trouble("it has one column only. Part the columns with commas, semicolons or tabs.")


_READING = re.compile(r"[-+−]?[0-9][0-9.,]*(?:[eE][-+]?\d+)?|\d{1,3}(?::\d\d){1,2}(?:\.\d+)?|\d{4}-\d\d-\d\d[T ]\S+")


def _looks_like_reading(cell: str) -> bool:
    return bool(_READING.fullmatch(cell))


def _columns(head: list[str]) -> dict[str, tuple[int, str]]:
    """Return for each quantity (number of its column, unit in its heading)."""
    found = {}
    for number, name in enumerate(head):
        if NOT_MEASURED.search(name):
            continue
        for quantity, words in WORDS.items():
            letter = re.match(r"[A-Za-z]\d?\b", name) and _unit_in(name, quantity)  # "T1 (°C)", "P (W)"
            if quantity not in found and (letter or re.search(words, name, re.IGNORECASE)):
                found[quantity] = (number, _unit_in(name, quantity))
                break
    for quantity in (TIME, TEMPERATURE):
        if quantity not in found:
            raise _Trouble(f"no column is named {quantity}. The headings are {', '.join(head)[:120]}.")
    for quantity in (TEMPERATURE, POWER):
        if quantity in found and not found[quantity][1]:
            raise Refused(
                "log_not_usable", f"the unit of the {quantity} is missing",
                f"The heading “{head[found[quantity][0]][:40]}” does not say in which unit the {quantity} was logged.",
                f"Write it there: {quantity} ({'°C' if quantity == TEMPERATURE else 'W'}).", field="log",
            )  # fmt: skip
    return found


def _unit_in(name: str, quantity: str) -> str:
    match = re.search(rf"(?:[\[(/_ ]|^)({UNITS[quantity]})[\])]?$", name.strip())
    return match[1] if match else ""


class _Clock:
    """Turns the time column into seconds: a number with the unit of the heading, h:mm:ss, or date and time."""

    def __init__(self, unit: str):
        self.unit, self.before, self.days = unit, None, 0
        self.factor = unit_named(unit).to_si(1.0) if unit else None

    def seconds(self, cell: str, comma_is_decimal: bool) -> float | None:
        if ":" in cell and "-" in cell:
            try:
                moment = datetime.fromisoformat(cell.replace(" ", "T", 1))
            except ValueError:
                return None
            return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()
        if ":" in cell:
            return self._of_day(cell)
        number = _number(cell, comma_is_decimal)
        if number is not None and not self.unit:
            raise Refused(
                "log_not_usable", "the unit of time is missing",
                "The heading of the time column does not say whether it counts seconds, minutes or hours.",
                "Write the unit into the heading, such as time (min).", field="log",
            )  # fmt: skip
        return None if number is None else number * self.factor

    def _of_day(self, cell: str) -> float | None:
        parts = [_number(part, False) for part in cell.split(":")]
        if None in parts or len(parts) > 3:
            return None
        if len(parts) == 2 and self.unit not in ("h", "min"):
            raise Refused(
                "log_not_usable", "the time can mean two things",
                f"“{cell[:20]}” can be hours and minutes, or minutes and seconds.",
                "Write h or min into the heading of the time column, or log h:mm:ss.", field="log",
            )  # fmt: skip
        large, small, *rest = parts
        seconds = large * 3600 + small * 60 + (rest[0] if rest else 0.0)
        if len(parts) == 2 and self.unit == "min":
            seconds /= 60
        if self.before is not None and seconds < self.before - 12 * 3600:
            self.days += 1  # past midnight
        self.before = seconds
        return seconds + self.days * 86400


def _number(cell: str, comma_is_decimal: bool) -> float | None:
    text = cell.replace("−", "-").replace("\u00a0", "").replace(" ", "")
    if re.fullmatch(r"[-+]?\d{1,3}(\.\d{3})+,\d+", text):
        text = text.replace(".", "").replace(",", ".")
    elif re.fullmatch(r"[-+]?\d{1,3}(,\d{3})+\.\d+", text):
        text = text.replace(",", "")
    elif re.fullmatch(r"[-+]?\d{1,3},\d{3}", text) and comma_is_decimal:
        raise Refused(
            "log_not_usable", "a number can mean two things",
            f"“{cell[:20]}” can be a thousand and more, or a little more than a unit.",
            "Write the file again with a decimal point and without marks between thousands.", field="log",
        )  # fmt: skip
    elif comma_is_decimal:
        text = text.replace(",", ".")
    return float(text) if re.fullmatch(r"[-+]?\d+(\.\d*)?([eE][-+]?\d{1,2})?", text) else None


def _file_row(row: list[str], columns: dict, clock: _Clock, comma_is_decimal: bool) -> tuple | None:
    def cell(quantity):
        return row[columns[quantity][0]] if columns[quantity][0] < len(row) else ""

    time = clock.seconds(cell(TIME), comma_is_decimal)
    temperature = _number(cell(TEMPERATURE), comma_is_decimal)
    if time is None or temperature is None:
        return None
    kelvin = _SCALE[columns[TEMPERATURE][1]].to_si(temperature)
    power = None
    if POWER in columns:
        number = _number(cell(POWER), comma_is_decimal)
        power = None if number is None else number * (1000.0 if columns[POWER][1] == "kW" else 1.0)
    return time, kelvin, power


# ---------------------------------------------------------------- work with readings


def at(readings: Readings, time_s: float) -> float:
    """Return the temperature, K, at a time by straight lines between readings; the end values outside.

    Args:
        readings: at least one of them.
        time_s: time from the first reading, s.
    """
    times, values = readings.time_s, readings.temperature_k
    i = bisect_right(times, time_s)
    if i in (0, len(times)):
        return values[min(i, len(times) - 1)]
    share = (time_s - times[i - 1]) / (times[i] - times[i - 1])
    return values[i - 1] + share * (values[i] - values[i - 1])


def thinned(readings: Readings, most: int) -> Readings:
    """Return at most so many readings, spread evenly; power becomes the mean of what falls between them.

    Args:
        readings: as read.
        most: 2 or more.
    """
    count = len(readings)
    if count <= most:
        return readings
    kept = sorted({round(i * (count - 1) / (most - 1)) for i in range(most)})
    powers = readings.power_w
    if powers is not None:
        means = [
            sum(powers[i] * (readings.time_s[i + 1] - readings.time_s[i]) for i in range(a, b))
            / (readings.time_s[b] - readings.time_s[a])
            for a, b in zip(kept, kept[1:], strict=False)
        ]
        powers = (*means, powers[kept[-1]])
    return Readings(
        tuple(readings.time_s[i] for i in kept), tuple(readings.temperature_k[i] for i in kept), powers,
        readings.left_out,
    )  # fmt: skip
