"""The cells of a log file: numbers with point or comma, clocks, dates. What can mean two things is asked, not guessed."""

import re
from datetime import UTC, date, datetime
from math import nan

DAY_S, HALF_DAY_S = 86400, 43200
MONTHS = "jan feb mar apr may jun jul aug sep oct nov dec".split()


class Trouble(ValueError):
    """Why a log cannot be used: `reason` is a key of the names, the rest words for the reader."""

    def __init__(self, reason: str, heading: str, why: str, remedy: str):
        super().__init__(f"{why} {remedy}")
        self.reason, self.heading, self.why, self.remedy = reason, heading, why, remedy


def short(text: str) -> str:
    """Return text of a file fit to stand in a message: one line, printable, not long."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text[:120]).split())
    return line if len(line) <= 40 else line[:39] + "…"


# ---------------------------------------------------------------- numbers

_PLAIN = re.compile(r"[-+]?\d+(?:\.\d*)?(?:[eE][-+]?\d{1,2})?|[-+]?\.\d+", re.ASCII)
_GROUPED_POINTS = re.compile(r"[-+]?\d{1,3}(?:\.\d{3})+,\d+", re.ASCII)
_GROUPED_COMMAS = re.compile(r"[-+]?\d{1,3}(?:,\d{3})+\.\d+", re.ASCII)
_MANY_GROUPS = re.compile(r"[-+]?\d{1,3}(?:\.\d{3}){2,}|[-+]?\d{1,3}(?:,\d{3}){2,}", re.ASCII)
_DOUBTFUL = re.compile(r"[-+]?[1-9]\d{0,2}([.,])\d{3}", re.ASCII)
_WITH_COMMA = re.compile(r"[-+]?\d+,\d+(?:[eE][-+]?\d{1,2})?", re.ASCII)
_ONE_MARK = re.compile(r"[-+]?\d+([.,])\d+(?:[eE][-+]?\d{1,2})?", re.ASCII)


def tidy(cell: str) -> str:
    """Return a cell with one kind of minus and no spaces inside."""
    return cell.replace("−", "-").replace("\u00a0", "").replace("\u202f", "").replace(" ", "").strip("\"'\t")


def number(cell: str, decimal: str | None) -> float | None:
    """Return the number of a cell; None where it holds none.

    Args:
        cell: text of a file.
        decimal: the decimal sign that the rest of the file shows, "." or ","; None where it shows none or both.

    Raises:
        Trouble: number_ambiguous, where a sign can part thousands or decimals.
    """
    text = tidy(cell)
    if (match := _DOUBTFUL.fullmatch(text)) and match[1] != (decimal or "."):
        raise Trouble(
            "number_ambiguous", "a number can mean two things",
            f"“{short(cell)}” can be a thousand and more, or a little more than a unit.",
            "Write the file again with a decimal point and without marks between thousands.",
        )  # fmt: skip
    if _GROUPED_POINTS.fullmatch(text):
        text = text.replace(".", "").replace(",", ".")
    elif _GROUPED_COMMAS.fullmatch(text):
        text = text.replace(",", "")
    elif _MANY_GROUPS.fullmatch(text):
        text = text.replace(".", "").replace(",", "")
    elif _WITH_COMMA.fullmatch(text):
        text = text.replace(",", ".")
    return float(text) if _PLAIN.fullmatch(text) else None


def looks_like_number(cell: str) -> bool:
    """Whether a cell holds a number, doubtful or not."""
    try:
        return number(cell, None) is not None
    except Trouble:
        return True


def decimal_sign(cells) -> str | None:
    """Return the decimal sign that some cells show: "." or ","; None where they show neither or both.

    A cell such as 1,234 shows nothing; 0,5 and 1.023,5 show a comma, 12.5 a point. A point with three figures
    behind it counts as decimal where no comma stands anywhere: that is how instruments write.
    """
    found, doubtful = set(), set()
    for cell in cells:
        text = tidy(cell)
        if match := _DOUBTFUL.fullmatch(text):
            doubtful.add(match[1])
        elif match := _ONE_MARK.fullmatch(text):
            found.add(match[1])
        elif _GROUPED_POINTS.fullmatch(text):
            found.add(",")
        elif _GROUPED_COMMAS.fullmatch(text):
            found.add(".")
    if len(found) == 1:
        return found.pop()
    return "." if not found and doubtful <= {"."} else None


# ---------------------------------------------------------------- times

_CLOCK = re.compile(r"(\d{1,4}):(\d\d)(?::(\d\d(?:[.,]\d{1,9})?))?(?: ?([AaPp])\.?[Mm]\.?)?", re.ASCII)
_ISO = re.compile(r"\d{4}-\d\d-\d\d[T ].*|\d{8}T.*|\d{4}-\d\d-\d\d", re.ASCII)
_DATE = re.compile(
    r"(\d{1,4})(?P<mark>[./-])(\d{1,2})(?P=mark)(\d{1,4})\.?|(\d{1,2})[-. ]([A-Za-z]{3,9})[-. ](\d{4})", re.ASCII
)
_DATE_AND_CLOCK = re.compile(rf"({_DATE.pattern})[ T,]*({_CLOCK.pattern})", re.ASCII)
NUMBER, CLOCK, ISO, DATED = "number", "clock", "iso", "dated"


def time_shape(cell: str) -> str | None:
    """Return how a cell writes time: number, clock, iso or dated; None where it writes none."""
    text = cell.strip().strip('"').strip()
    if _ISO.fullmatch(text):
        return ISO
    if _CLOCK.fullmatch(text):
        return CLOCK
    if _DATE_AND_CLOCK.fullmatch(text) or _DATE.fullmatch(text):
        return DATED
    return NUMBER if looks_like_number(text) else None


def _unreadable(why: str, remedy: str) -> Trouble:
    return Trouble("time_unreadable", "the time cannot be told", why, remedy)


class Clock:
    """Reads the time cells of one log, row by row, into seconds; `finish` puts midnights and dates in order.

    Args:
        shape: one of time_shape.
        unit_s: seconds in the unit of the heading, or None.
        heading: the heading, for messages.
        decimal: see number.
        minutes_first: for clocks of two parts, whether they are minutes and seconds; None where unknown.
        suffix: a unit that stands behind the number in each cell.
    """

    def __init__(self, shape: str, unit_s: float | None, heading: str, decimal: str | None, minutes_first=None,
                 suffix: str = ""):  # fmt: skip
        self.shape, self.unit_s, self.heading, self.decimal = shape, unit_s, short(heading), decimal
        self.minutes_first, self.suffix = minutes_first, suffix
        self.dates: list[tuple[int, str]] = []  # (row from which it holds, date as written)
        self.seconds = {NUMBER: self._number, CLOCK: self._clock, ISO: self._iso, DATED: self._dated}[shape]
        if shape == NUMBER and unit_s is None:
            raise _unreadable(
                f"The heading “{self.heading}” does not say whether it counts seconds, minutes, hours or days.",
                "Write the unit into the heading, such as time (min).",
            )

    def _number(self, cell: str, row: int) -> float:
        try:
            return float(cell) * self.unit_s
        except ValueError:
            found = number(cell.strip().removesuffix(self.suffix), self.decimal)
            return nan if found is None else found * self.unit_s

    def _clock(self, cell: str, row: int) -> float:
        match = _CLOCK.fullmatch(cell.strip().strip('"').strip())
        return nan if not match else self._of_day(*match.groups())

    def _of_day(self, large: str, small: str, rest: str | None, half: str | None) -> float:
        if int(small) > 59:
            return nan
        if rest is None and half is None and self.minutes_first is None:
            raise _unreadable(
                f"“{large}:{small}” in the column “{self.heading}” can be hours and minutes, or minutes and seconds.",
                "Write h or min into the heading of the time column, or log h:mm:ss.",
            )
        if rest is None and self.minutes_first:
            return int(large) * 60.0 + int(small)
        hours = int(large)
        if half:
            hours = hours % 12 + (12 if half in "Pp" else 0)
        return hours * 3600.0 + int(small) * 60.0 + (float(rest.replace(",", ".")) if rest else 0.0)

    def _iso(self, cell: str, row: int) -> float:
        text = cell.strip().strip('"').strip()
        try:
            moment = datetime.fromisoformat(text)
        except ValueError:
            return nan
        return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()

    def _dated(self, cell: str, row: int) -> float:
        match = _DATE_AND_CLOCK.fullmatch(cell.strip().strip('"').strip())
        if not match:
            return nan
        self.note_date(match[1], row)
        return self._of_day(*match.groups()[-4:])

    def note_date(self, text: str, row: int) -> None:
        """Remember from which row on a date holds."""
        if not self.dates or self.dates[-1][1] != text:
            self.dates.append((row, text))

    def finish(self, times) -> None:
        """Turn times of day into times from the first day, in place: by the dates, else by the midnights."""
        if self.dates:
            self._by_dates(times)
        elif self.shape == CLOCK:
            self._by_midnights(times)

    def _by_midnights(self, times) -> None:
        days, before = 0, None
        for i, time in enumerate(times):
            if time == time:
                if before is not None and time < before - HALF_DAY_S:
                    days += 1
                before = time
                times[i] = time + days * DAY_S

    def _by_dates(self, times) -> None:
        days = day_numbers([text for _, text in self.dates])
        ends = [row for row, _ in self.dates[1:]] + [len(times)]
        for (start, _), end, day in zip(self.dates, ends, days, strict=True):
            for i in range(start, end):
                times[i] += (day - days[0]) * DAY_S


def day_numbers(texts: list[str]) -> list[int]:
    """Return the days of dates as written, in their order.

    Args:
        texts: dates as a log writes them, in the order of its rows.

    Raises:
        Trouble: time_unreadable, where day and month can change places and both orders are possible.
    """
    if len(set(texts)) == 1:
        return [0] * len(texts)  # one day: elapsed times are the same whatever it is called
    orders = {}
    for order in ("dmy", "mdy", "ymd"):
        days = [_day(text, order) for text in texts]
        if None not in days and all(a <= b for a, b in zip(days, days[1:], strict=False)):
            orders.setdefault(tuple(day - days[0] for day in days), days)
    if not orders:
        raise _unreadable(
            f"The dates, from “{short(texts[0])}” on, do not go on in any order of day, month and year.",
            "Write them as year-month-day, such as 2026-11-25 14:05:00.",
        )
    unbroken = [d for d in orders.values() if all(b - a <= 1 for a, b in zip(d, d[1:], strict=False))]
    if len(orders) > 1 and len(unbroken) != 1:
        raise _unreadable(
            f"“{short(texts[0])}” can have the day or the month first.",
            "Write dates as year-month-day, such as 2026-11-25 14:05:00.",
        )
    return unbroken[0] if unbroken else next(iter(orders.values()))


def _day(text: str, order: str) -> int | None:
    """Return the ordinal of a date read in one order; None where that cannot be."""
    match = _DATE.fullmatch(text)
    if not match:
        return None
    if match[6]:
        name = match[6][:3].lower()
        return _ordinal(int(match[7]), MONTHS.index(name) + 1, int(match[5])) if name in MONTHS else None
    one, mark, two, three = match[1], match[2], match[3], match[4]
    if mark == "." and order == "mdy":
        return None  # dates with points put the day first or the year first
    parts = dict(zip(order, (one, two, three), strict=True))
    if len(parts["y"]) not in (2, 4) or len(parts["d"]) > 2 or len(parts["m"]) > 2:
        return None
    return _ordinal(int(parts["y"]) + (2000 if len(parts["y"]) == 2 else 0), int(parts["m"]), int(parts["d"]))


def _ordinal(year: int, month: int, day: int) -> int | None:
    try:
        return date(year, month, day).toordinal()
    except ValueError:
        return None
