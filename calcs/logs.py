"""Logs of a run: the text of a file taken in slices, lines pasted from a note, or rows; columns of SI values come out.

One reader for every calculator that takes a log. A long file is read slice by slice and kept here, in the memory of
the page's interpreter; the form then holds a line that refers to it.
"""

import csv
import re
from array import array
from dataclasses import dataclass, field
from math import isfinite, nan

from calcs import units, wording
from calcs.log_cells import CLOCK, DATED, ISO, NUMBER, Clock, Trouble, decimal_sign, number, short, tidy, time_shape
from calcs.log_heads import (
    DATE,
    KIND_OF,
    LOAD,
    MEASURED,
    OTHER,
    OTHER_TEMPERATURE,
    OUTPUT,
    POWER,
    PRESSURE,
    SAID,
    TEMPERATURE,
    TIME,
    Head,
    missing_unit,
    read_heads,
    unit_for,
)  # fmt: skip
from calcs.units_table import Unit

MOST_ROWS = 500_000
MOST_CHARACTERS = 60_000_000
SAMPLE = 400  # lines from which the shape of a file is told
MARKS = ("\t", ";", "|", ",")


@dataclass(frozen=True)
class Column:
    """One column: its heading, quantity, unit as written, sense of a pressure, values in SI units (nan: none)."""

    name: str
    role: str
    unit: Unit | None
    sense: str
    values: array

    @property
    def said(self) -> str:
        return f"{short(self.name)}: {SAID.get(self.role, self.role)}"


@dataclass(frozen=True)
class Log:
    """A log: times in s, rising, from 0; columns of equal length; where it began by its own count or clock.

    `begins_s` is the first time as the log counts it; `clock` says whether that is a time of day or a date, of
    which `day_s` is the time of day. `lines` are the numbers of the rows in the file. `left_out` counts rows without
    a reading or whose time does not go on; `set_back_s` is how far the clock was once set back.
    """

    times: array
    columns: tuple[Column, ...]
    lines: array
    begins_s: float = 0.0
    clock: bool = False
    left_out: int = 0
    set_back_s: float = 0.0
    notes: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.times)

    def first(self, role: str) -> Column | None:
        """Return the first column of a quantity, or None."""
        return next((c for c in self.columns if c.role == role), None)

    def all(self, role: str) -> list[Column]:
        """Return every column of a quantity."""
        return [c for c in self.columns if c.role == role]

    @property
    def said(self) -> str:
        """What was read, in words: rows, time, columns."""
        columns = [f"{SAID[c.role]}{f' in {c.unit.shown}' if c.unit else ''}{f' {c.sense}' if c.sense else ''}"
                   for c in self.columns if c.role in MEASURED]  # fmt: skip
        length = wording.duration(self.times[-1]) if len(self) else "no time"
        return f"Read as {rows_said(len(self))} over {length}: {wording.listed(columns)}."


def read(given) -> Log:
    """Return the log of a field: a text, rows, or the line that refers to a kept log.

    Args:
        given: text of a file or of pasted lines; rows (dicts of column to text with unit); a reference.

    Raises:
        Trouble: what cannot be told, with what to write.
    """
    if not isinstance(given, str):
        return _rows_log(given)
    if reference := _REFERENCE.search(given.strip()):
        return kept(reference[1])
    lines = [line.strip() for line in re.split(r"[·\n\r]", given[:20_000]) if line.strip()]
    if lines and _LINE.fullmatch(lines[0]):
        return _pasted_log(given)
    reader = Reader()
    reader.feed(given)
    return reader.finish()


def rows_said(count: int) -> str:
    """Return a number of rows in words."""
    return wording.with_unit(wording.grouped(str(count)), "row" if count == 1 else "rows")


def _too_large(what: str) -> Trouble:
    return Trouble(
        "too_large", "the log is too long",
        f"It has {what}; this page reads {wording.grouped(str(MOST_ROWS))} rows and "
        f"{MOST_CHARACTERS // 1_000_000} million characters at most.",
        "Save every second or tenth row, or the hours that matter.",
    )  # fmt: skip


# ---------------------------------------------------------------- rows and lines


_VALUE = r"[-+−]?\d[\d.,]* ?(?:°C|°F|K|degC|degF|C|F|kW|W|mbar|hPa|kPa|Pa|bar|[tT]orr|psi|L/min|mL/min|ppm|%)"
_SENSED = rf"{_VALUE}(?: (?:abs|gauge|below))?"
_LINE = re.compile(
    rf"(?P<time>[-+0-9.,]+ ?(?:s|min|h|d)|\d+:\d\d(?::\d\d)?) *[,:;]?[ \t]+(?P<values>{_SENSED}(?:[ \t,;]+{_SENSED})*)"
)
_PARTS = re.compile(_SENSED)
_COLUMNS = {TIME: "time", **{role: kind for role, kind in KIND_OF.items() if role in MEASURED}}


def _pasted_log(text: str) -> Log:
    lines = [line.strip() for line in re.split(r"[·\n\r]", text.lstrip("\ufeff")) if line.strip()]
    if len(lines) > MOST_ROWS:
        raise _too_large(rows_said(len(lines)))
    rows = []
    for place, line in enumerate(lines, 1):
        match = _LINE.fullmatch(line)
        if not match:
            raise Trouble("row_unreadable", "a row cannot be taken apart",
                          f"Row {place}: “{short(line)}” cannot be taken apart.", "Write 30 min 212.4 °C 2.4 kW.")  # fmt: skip
        row = {TIME: match["time"]}
        for value in _PARTS.findall(match["values"]):
            row.setdefault(_quantity_of(value, row), value)
        rows.append(row)
    return _rows_log(rows)


def _quantity_of(value: str, row: dict) -> str:
    """Return which column a value with its unit belongs to; a second temperature is that of the load."""
    unit = re.search(r"[^\d\s.,+−-].*$", value)[0].split(" ")[0]
    for role in (TEMPERATURE, PRESSURE, POWER, "flow", "oxygen"):
        if unit_for(unit, role):
            return LOAD if role == TEMPERATURE and TEMPERATURE in row else role
    return OTHER


def _rows_log(rows: list[dict]) -> Log:
    if len(rows) > MOST_ROWS:
        raise _too_large(rows_said(len(rows)))
    if not rows:
        raise _empty()
    used = [role for role in _COLUMNS if any(_plain(row.get(role)) for row in rows)]
    values, senses, found_units = {role: array("d") for role in _COLUMNS}, set(), {}
    for place, row in enumerate(rows, 1):
        if unknown := row.keys() - _COLUMNS.keys():
            raise Trouble("row_unreadable", "a column is not known",
                          f"Row {place}: there is no column named “{short(str(min(unknown, key=str)))}”.",
                          f"The columns are {', '.join(_COLUMNS)}.")  # fmt: skip
        for role in used:
            value, sense = _cell(place, role, _plain(row.get(role)), found_units)
            values[role].append(value)
            senses |= {sense} if sense else set()
    if len(senses) > 1:
        raise Trouble("unit_unknown", "absolute and gauge are mixed",
                      "Some pressures are counted from empty space and some from the room.",
                      "Write all of them one way.")  # fmt: skip
    sense = next(iter(senses), "")
    columns = [Column(role, role, found_units.get(role), sense if role == PRESSURE else "", values[role])
               for role in used if role != TIME]  # fmt: skip
    return _in_order(values[TIME] if TIME in used else array("d"), columns, array("L", range(1, len(rows) + 1)), False)


def _plain(cell) -> str:
    if isinstance(cell, dict):
        return f"{cell.get('text', '')} {cell.get('unit') or ''}".strip()
    return "" if cell is None else str(cell).strip()


def _cell(place: int, role: str, text: str, found_units: dict) -> tuple[float, str]:
    """Return (SI value, sense) of one typed cell; an empty one is nan."""
    if not text and role not in (TIME, TEMPERATURE):
        return nan, ""
    kind = "pressure with sense" if role == PRESSURE else _COLUMNS[role]
    try:
        found = units.read(kind, text)
    except units.Unreadable as trouble:
        raise Trouble(
            "row_unreadable", "a row cannot be read", f"Row {place}, {SAID.get(role, role)}: {trouble}", ""
        ) from None
    found_units.setdefault(role, found.unit)
    sense = (found.sense or "absolute") if role == PRESSURE else ""
    return (-found.si if sense == "below" else found.si), "gauge" if sense == "below" else sense


# ---------------------------------------------------------------- files


@dataclass
class Layout:
    """How a file is written: what parts its columns, its decimal sign, its headings, which column is the time."""

    mark: str
    decimal: str | None
    heads: list[Head]
    time: int
    date: int | None
    clock: Clock
    first: int  # which of the sample's lines holds the first reading
    suffixes: list[str] = field(default_factory=list)  # a unit that stands in the cells themselves

    @property
    def used(self) -> list[int]:
        return [i for i, head in enumerate(self.heads)
                if head.role in MEASURED or head.role in (OTHER_TEMPERATURE, OUTPUT) and head.unit]  # fmt: skip


class Reader:
    """Takes the text of a file in slices: `feed` each, then `finish` for the log."""

    def __init__(self):
        self.tail, self.characters, self.lines_seen = "", 0, 0
        self.layout: Layout | None = None
        self.sample: list[str] = []
        self.times, self.lines = array("d"), array("L")
        self.values: list[array] = []

    @property
    def rows(self) -> int:
        """Rows with a reading so far."""
        return len(self.times)

    def feed(self, text: str) -> None:
        """Take the next slice.

        Raises:
            Trouble: too_large, or what cannot be told.
        """
        if not self.characters:
            text = text.lstrip("\ufeff")
        self.characters += len(text)
        if self.characters > MOST_CHARACTERS:
            raise _too_large("more characters than that")
        if "\x00" in text:
            text = text.replace("\x00", "")
        lines = (self.tail + text).replace("\r\n", "\n").replace("\r", "\n").split("\n")
        if '"' in text:
            lines = _whole_records(lines)
        self.tail = lines.pop()
        if len(self.tail) > 100_000:
            raise Trouble("one_column", "this is no table", "One line has more than 100 000 characters.",
                          "Save the log as text with one row a line.")  # fmt: skip
        self._lines(lines)

    def finish(self) -> Log:
        """Return the log after the last slice.

        Raises:
            Trouble: empty_log, or what cannot be told.
        """
        if self.tail:
            self._lines([self.tail])
        if self.layout is None:
            self._settle()
        layout = self.layout
        layout.clock.finish(self.times)
        columns = [_si_column(layout.heads[i], values) for i, values in zip(layout.used, self.values, strict=True)]
        return _in_order(self.times, [c for c in columns if c], self.lines, layout.clock.shape != NUMBER)

    def _lines(self, lines: list[str]) -> None:
        if self.layout is None:
            self.sample += lines
            if len(self.sample) >= SAMPLE:
                self._settle()
            return
        self._take(lines)

    def _settle(self) -> None:
        if not any(line.strip() for line in self.sample):
            raise _empty()
        self.layout = layout = layout_of(self.sample[: 2 * SAMPLE])
        self.values = [array("d") for _ in layout.used]
        self.lines_seen = layout.first
        sample, self.sample = self.sample[layout.first :], []
        self._take(sample)

    def _take(self, lines: list[str]) -> None:
        """Read rows. Plain numbers go straight through `float`; whatever else stands in a cell is looked at."""
        layout, times, at = self.layout, self.times, self.lines
        mark, swap = layout.mark, layout.decimal == ","
        columns = [(i, values.append, layout.suffixes[i]) for i, values in zip(layout.used, self.values, strict=True)]
        seconds, time_at, date_at = layout.clock.seconds, layout.time, layout.date
        line_number = self.lines_seen
        for line in lines:
            line_number += 1
            if not line or line.isspace():
                continue
            cells = _cells(line, mark) if '"' in line else line.split(mark)
            try:
                if date_at is not None:
                    layout.clock.note_date(cells[date_at].strip().strip('"'), len(times))
                time = seconds(cells[time_at], len(times))
            except IndexError:
                continue
            except Trouble as trouble:
                raise _in_row(trouble, line_number, layout.heads[time_at].name) from None
            if len(times) >= MOST_ROWS:
                raise _too_large(f"more than {wording.grouped(str(MOST_ROWS))} rows")
            times.append(time)
            at.append(line_number)
            for i, append, suffix in columns:
                try:
                    cell = cells[i]
                    if swap:
                        value = (
                            float(cell.replace(",", "."))
                            if "." not in cell
                            else self._slow(cell, i, line_number, suffix)
                        )
                    else:
                        value = float(cell)
                except ValueError:
                    value = self._slow(cell, i, line_number, suffix)
                except IndexError:
                    value = nan
                append(value)
        self.lines_seen = line_number

    def _slow(self, cell: str, i: int, line_number: int, suffix: str) -> float:
        try:
            found = number(cell.strip().removesuffix(suffix) if suffix else cell, self.layout.decimal)
        except Trouble as trouble:
            raise _in_row(trouble, line_number, self.layout.heads[i].name) from None
        return nan if found is None else found


def _in_row(trouble: Trouble, line_number: int, heading: str) -> Trouble:
    where = f"Row {line_number}, “{short(heading)}”: "
    return Trouble(trouble.reason, trouble.heading, where + trouble.why, trouble.remedy)


def _empty() -> Trouble:
    return Trouble("empty_log", "the log is empty", "It holds no row with a time and a reading.",
                   "Choose the file that the logger wrote, or paste its rows with their headings.")  # fmt: skip


def _cells(line: str, mark: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=mark))
    except (csv.Error, StopIteration):
        return line.split(mark)


def _whole_records(lines: list[str]) -> list[str]:
    """Join lines that a line break inside quotes parts (RFC 4180, 2.6); no more than three, for a lost quote."""
    found: list[str] = []
    joined = 0
    for line in lines:
        if found and joined < 3 and found[-1].count('"') % 2 and '"' in line:
            found[-1] += " " + line
            joined += 1
        else:
            found.append(line)
            joined = 0
    return found


def _si_column(head: Head, values: array) -> Column | None:
    """Return a column in SI units; None for one that holds nothing."""
    if not any(isfinite(v) for v in values):
        return None
    shift, factor = (head.unit.shift, head.unit.factor) if head.unit else (0.0, 1.0)
    si = array("d", [(v + shift) * factor if -1e12 < v < 1e12 else nan for v in values])
    sense = head.sense
    if sense == "below":
        si, sense = array("d", [-v for v in si]), "gauge"
    return Column(head.name, head.role, head.unit, sense, si)


def _in_order(times: array, columns: list[Column], lines: array, clock: bool) -> Log:
    """Drop rows without a time or chamber temperature, or not later than the one before; count time from the first."""
    chamber = next((c.values for c in columns if c.role == TEMPERATURE), None)
    if chamber is None:
        raise Trouble("no_temperature", "no temperature is named", "No column is named temperature.",
                      "Name one in the heading line: chamber (°C).")  # fmt: skip
    kept, last, before, set_back = [], -1e300, None, 0.0
    for i, time in enumerate(times):
        if before is not None and time < before and not set_back:
            set_back = before - time
        if time == time:
            before = time
        if time > last and chamber[i] == chamber[i]:
            kept.append(i)
            last = time
    if not kept:
        raise _empty()
    begins, left_out = times[kept[0]], len(times) - len(kept)
    if left_out:
        times, lines = array("d", [times[i] for i in kept]), array("L", [lines[i] for i in kept])
        columns = [Column(c.name, c.role, c.unit, c.sense, array("d", [c.values[i] for i in kept])) for c in columns]
    times = array("d", [t - begins for t in times])
    return Log(times, tuple(columns), lines, begins, clock, left_out, set_back)


# ---------------------------------------------------------------- how a file is written


def layout_of(lines: list[str]) -> Layout:
    """Return how a file is written, from its first lines.

    Args:
        lines: at least one that is not empty; some hundreds tell more.

    Raises:
        Trouble: what cannot be told.
    """
    mark = _mark(lines)
    table = [_cells(line, mark) for line in lines]
    first = next((i for i, cells in enumerate(table) if sum(map(_is_reading, cells)) >= 2), None)
    if first is None:
        raise Trouble("empty_log", "no row holds a time and a reading", "No line holds two numbers side by side.",
                      "Choose the log itself: one row for each moment, with a time and a temperature.")  # fmt: skip
    heads = read_heads(_headings(table, first))
    rows = [cells for cells in table[first:] if sum(map(_is_reading, cells)) >= 2]
    time = _time_column(heads, rows)
    date = next((i for i, head in enumerate(heads) if head.role == DATE and i != time), None)
    decimal = decimal_sign(cell for cells in rows for i, cell in enumerate(cells) if i not in (date, time)
                           or time_shape(cell) == NUMBER)  # fmt: skip
    heads, suffixes = _units_in_cells(heads, rows)
    heads = [_checked(head, i, rows) for i, head in enumerate(heads)]
    clock = _clock(
        heads[time], [cells[time] for cells in rows if time < len(cells)], decimal, date is not None, suffixes[time]
    )
    return Layout(mark, decimal, heads, time, date, clock, first, suffixes)


def _mark(lines: list[str]) -> str:
    """Return the sign that parts the columns: the one with the steadiest count over the last lines of the sample."""
    filled = [line for line in lines if line.strip()]
    sample = filled[-min(20, max(2, len(filled) // 2)) :]  # not the lines above a short table
    best = None
    for mark in MARKS:
        counts = [len(_cells(line, mark)) - 1 for line in sample]
        usual = max(set(counts), key=counts.count)
        if usual >= 1 and counts.count(usual) >= 0.8 * len(counts):
            best = best or mark
    if best is None:
        raise Trouble("one_column", "it has one column only", "No sign parts its lines into the same number of columns.",
                      "Part the columns with commas, semicolons, tabs or upright strokes.")  # fmt: skip
    return best


def _is_reading(cell: str) -> bool:
    text = cell.strip()
    return bool(text) and (time_shape(text) is not None or _number_with_unit(text) is not None)


_NUMBER_AND_UNIT = re.compile(r"([-+−]?[\d.,]*\d(?:[eE][-+]?\d+)?) ?([^\d\s.,+−-][^\d]{0,11}\d?[^\d]{0,6})")


def _number_with_unit(text: str) -> str | None:
    """Return the unit that stands in a cell behind its number, such as 20.3 °C."""
    match = _NUMBER_AND_UNIT.fullmatch(text)
    if not match:
        return None
    roles = (TEMPERATURE, PRESSURE, "flow", POWER, "oxygen", TIME)
    return match[2] if any(unit_for(match[2], role) for role in roles) else None


def _headings(table: list[list[str]], first: int) -> list[str]:
    """Return one heading a column: the line above the first reading, joined with the one above it where it holds units."""
    width = len(table[first])
    above = [cells for cells in table[:first] if len(cells) >= max(2, width - 1) and any(c.strip() for c in cells)]
    if not above:
        if all(_number_with_unit(c.strip()) or time_shape(c) not in (None, NUMBER) for c in table[first] if c.strip()):
            return [f"({_number_with_unit(c.strip()) or 'time'})" if c.strip() else "" for c in table[first]]
        raise Trouble(
            "no_heading", "no line names the columns", "The first line of readings has no heading above it.",
            "Put one there: time (min), chamber (°C), set point (°C), pressure (mbar abs), power (W).",
        )  # fmt: skip
    names = [cell.strip().lstrip("#%").strip() for cell in above[-1]]
    if len(above) > 1 and len(above[-2]) >= len(names) and all(_only_unit(n) for n in names):
        names = [f"{a.strip().lstrip('#%').strip()} ({u.strip('[]() ')})" if u.strip("[]() -") else a.strip()
                 for a, u in zip(above[-2], names, strict=False)]  # fmt: skip
    return names + [""] * (width - len(names))


def _only_unit(text: str) -> bool:
    words = text.strip("[]() -")
    return (
        not words
        or words in ("hh:mm:ss", "h:mm:ss", "hh:mm", "mm:ss")
        or any(unit_for(words, role) for role in (TEMPERATURE, PRESSURE, "flow", POWER, "oxygen", TIME))
    )


def _time_column(heads: list[Head], rows: list[list[str]]) -> int:
    """Return the column of time: the one so named, else the first whose cells are clocks or dates."""
    named = next((i for i, head in enumerate(heads) if head.role == TIME), None)
    if named is not None:
        return named
    for i in range(len(heads)):
        shapes = [time_shape(cells[i]) for cells in rows[:20] if i < len(cells)]
        if shapes and all(shape in (CLOCK, ISO, DATED) for shape in shapes):
            return i
    raise Trouble(
        "no_time", "no column is named time",
        f"The headings are {short(', '.join(head.name for head in heads))}.",
        "Name one time, with its unit: time (min).",
    )  # fmt: skip


def _clock(head: Head, cells: list[str], decimal: str | None, has_date: bool, suffix: str) -> Clock:
    shapes = [shape for cell in cells if cell.strip() and (shape := time_shape(cell.strip().removesuffix(suffix)))]
    if not shapes:
        raise Trouble("time_unreadable", "the time cannot be told",
                      f"The column “{short(head.name)}” holds no time.",
                      "Write seconds or minutes with the unit in the heading, h:mm:ss, or year-month-day h:mm:ss.")  # fmt: skip
    shape = max(set(shapes), key=shapes.count)
    words, minutes_first = head.name.lower(), None
    if shape in (CLOCK, DATED):
        if "mm:ss" in words and "h" not in words.replace("hh:mm:ss", ""):
            minutes_first = True
        if re.search(r"h+:mm", words) or shape == DATED or has_date or (head.unit and head.unit.name == "h"):
            minutes_first = False
        elif head.unit and head.unit.name == "min":
            minutes_first = True
    return Clock(shape, head.unit.factor if head.unit else None, head.name, decimal, minutes_first, suffix)


def _units_in_cells(heads: list[Head], rows: list[list[str]]) -> tuple[list[Head], list[str]]:
    """Take a unit from the cells of a column where its heading has none."""
    suffixes, found = [], []
    for i, head in enumerate(heads):
        tails = {_number_with_unit(cells[i].strip()) for cells in rows[:50] if i < len(cells) and cells[i].strip()}
        tail = tails.pop() if len(tails) == 1 else None
        suffixes.append(tail or "")
        if tail and not head.unit and head.role != OTHER and (unit := unit_for(tail, head.role)):
            head = Head(head.name, head.role, unit[0], head.sense or unit[1])
        found.append(head)
    return found, suffixes


def _checked(head: Head, i: int, rows: list[list[str]]) -> Head:
    """Refuse a measured column without unit; one that holds only words, or 0 and 1, is no reading and is let go."""
    if head.role not in MEASURED or head.unit:
        return head
    cells = {tidy(cells[i]) for cells in rows if i < len(cells)} - {""}
    if not any(time_shape(cell) == NUMBER for cell in cells) or cells <= {"0", "1"}:
        return Head(head.name, OTHER)
    raise missing_unit(head)


# ---------------------------------------------------------------- the log that is kept


_REFERENCE = re.compile(r"^Log kept in memory: .* \[([0-9a-z]{1,20})\]$")
_state: dict = {"token": "", "reader": None, "result": None, "count": 0}


def take_part(request: dict) -> dict:
    """Take a slice of a file and say how far it is.

    Args:
        request: `token` empty for the first slice, then what the reply to it named; `text`; `last`, whether it ends the
            file; `name` of the file; `size` in characters or bytes; `done`, how many of them come before the end of the
            slice; `start`, a text that differs each time a page is opened, so that no old line means a new log; `stop` to
            let go what was read.

    Returns:
        token, words on how far it is, and at the end (or where reading stopped) the line that stands for the log.
    """
    token, name = request.get("token", ""), short(request.get("name", "")) or "the pasted text"
    if request.get("stop"):
        rows = _state["reader"].rows if _state["reader"] else len(_state["result"] or ()) if not isinstance(
            _state["result"], Trouble) else 0  # fmt: skip
        forget()
        return {"say": f"Cancelled after {rows_said(rows)}. Nothing is kept; choose the file again, or a shorter one."}
    if not token:
        count = _state["count"] + 1
        _state.update(
            token=f"{_plain_token(request.get('start', ''))}{count}", reader=Reader(), result=None, count=count
        )
    elif token != _state["token"] or _state["reader"] is None:
        return {"gone": True, "say": "The calculator was started again meanwhile. Choose the file again."}
    _take(request)
    reader, result = _state["reader"], _state["result"]
    share = min(100, int(100 * request.get("done", 0) / max(1, request.get("size", 1))))
    reply = {"token": _state["token"], "say": f"Reading {name}: {rows_said(reader.rows)}, {share}{wording.NO_BREAK}%."}
    if result is not None:
        _state["reader"] = None
        bad = isinstance(result, Trouble)
        reply["say"] = f"{name} cannot be used; the result says why." if bad else result.said
        reply["reference"] = (
            f"Log kept in memory: {name}, {'not readable' if bad else rows_said(len(result))} [{_state['token']}]"
        )
    return reply


def _plain_token(text: str) -> str:
    return re.sub(r"[^0-9a-z]", "", str(text))[:12]


def _take(request: dict) -> None:
    reader = _state["reader"]
    try:
        if request.get("size", 0) > MOST_CHARACTERS:
            raise _too_large(f"{request['size'] // 1_000_000} million characters")
        reader.feed(request.get("text", ""))
        if request.get("last"):
            _state["result"] = reader.finish()
    except Trouble as trouble:
        _state["result"] = trouble


def kept(token: str) -> Log:
    """Return the kept log that a line refers to.

    Raises:
        Trouble: gone, where the interpreter was started again or another log was read since; or why it is not readable.
    """
    if token != _state["token"] or _state["result"] is None:
        raise Trouble("gone", "the log is no longer in memory",
                      "The calculator was started again, or another log was read since.", "Choose the file again.")  # fmt: skip
    if isinstance(_state["result"], Trouble):
        raise _state["result"]
    return _state["result"]


def is_reference(given) -> bool:
    """Whether a text is the line that stands for a kept log, not a log itself."""
    return isinstance(given, str) and _REFERENCE.search(given.strip()) is not None


def forget() -> None:
    """Let a log that is being read, or is kept, go."""
    _state.update(token="", reader=None, result=None)
