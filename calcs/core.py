"""What a calculator says: ranges, figures, verdicts, cautions, refusals, and the answer that holds them.

Everything here is data. How it looks is the business of `calcs.page`.
"""

from dataclasses import dataclass, field, fields, is_dataclass
from functools import cached_property
from math import inf, isclose, isfinite

from calcs import units, wording

VERDICTS = {  # worst last; job of the words: a calculator never gives permission
    "within": "Within limits",
    "close": "Close to a limit",
    "cannot_say": "Cannot say",
    "outside": "Outside limits",
}


SMALLEST_SHARE = 1e-10  # a mole fraction below this is written as "less than": no analyser of the trade sees it; ours


def worst(verdicts) -> str:
    """Return the worst of some verdicts, in the order within, close, cannot_say, outside."""
    order = list(VERDICTS)
    return max(verdicts, key=order.index, default="within")


def judge(value: float, limit: float, high: float | None = None, margin: float = 0.2) -> str:
    """Return the verdict on a value that must not exceed a limit (SI floats, both above zero).

    Args:
        value: the figure itself.
        limit: what it must stay at or below.
        high: the upper end of its range; the range touching the limit is "close".
        margin: closer to the limit than this share of it is "close" too; 20 % is common
            practice, no source.
    """
    if value > limit * (1 + 1e-9):
        return "outside"
    if (high if high is not None else value) > limit * (1 + 1e-9) or value > limit * (1 - margin):
        return "close"
    return "within"


# ---------------------------------------------------------------- what may be asked


class OutOfRange(ValueError):
    """A value lies outside the range in which a method holds."""

    def __init__(self, name: str, value: float, allowed: "Range"):
        self.name, self.value, self.allowed = name, value, allowed
        super().__init__(f"{name} must be {allowed.said}. {allowed.because}".strip())


@dataclass(frozen=True)
class Range:
    """The range in which a method holds. Declared once; code, form, page and tests share it.

    Ends are typed like a reader's text ("24 L") and count as inside unless `above` or `below` say
    otherwise. `because` tells why it stops there.
    """

    low: str | None = None
    high: str | None = None
    because: str = ""
    above: bool = False  # the low end itself is outside
    below: bool = False  # the high end itself is outside

    @cached_property
    def ends(self) -> tuple[float, float]:
        """The two ends in SI units."""
        return _si(self.low, -inf), _si(self.high, inf)

    def __contains__(self, value: float) -> bool:
        # Ends to one part in 10⁹: 1000 L converted is a little more than 1 m³. nan is in no range.
        low, high = self.ends
        if isclose(value, low, rel_tol=1e-9, abs_tol=0):
            return not self.above
        if isclose(value, high, rel_tol=1e-9, abs_tol=0):
            return not self.below
        return low < value < high

    def check(self, name: str, value: float) -> float:
        """Return the value, or raise OutOfRange."""
        if value not in self:
            raise OutOfRange(name, value, self)
        return value

    @property
    def said(self) -> str:
        """The range in words: "0.1 L to 1000 L", "above 0 Pa"."""
        low, high = (end and end.replace("degC", "°C").replace(" ", wording.NO_BREAK) for end in (self.low, self.high))
        from_low = f"above {low}" if self.above else f"{low} or more"
        to_high = f"below {high}" if self.below else f"at most {high}"
        if low is None or high is None:
            return to_high if low is None else from_low
        return f"{from_low} and {to_high}" if self.above or self.below else f"{low} to {high}"


def _si(text: str | None, missing: float) -> float:
    if text is None:
        return missing
    try:
        return float(text)
    except ValueError:
        return units.si(text)


# ---------------------------------------------------------------- what is said


class Refused(Exception):
    """The question cannot be answered, or must not be. No flag turns this into a number."""

    def __init__(self, reason: str, heading: str, why: str, remedy: str = "", ask: str = "", field: str = ""):
        self.refusal = Refusal(reason, heading, why, remedy, ask, field)
        super().__init__(f"{heading}: {why}")


@dataclass(frozen=True)
class Refusal:
    """Why there is no figure.

    Args of the fields: `reason` is a key of the calculator's list, `heading` the reason in about five
    words, `why` one sentence, `remedy` what would make it answerable, `ask` who decides.
    """

    reason: str
    heading: str
    why: str
    remedy: str = ""
    ask: str = ""
    field: str = ""

    @property
    def message(self) -> str:
        return " ".join(part for part in (f"No answer: {self.heading}.", self.why, self.remedy, self.ask) if part)


@dataclass(frozen=True)
class Caution:
    """A hazard beside the result that calls for it. `word` in the meaning of ANSI Z535 and ISO 3864-2."""

    word: str  # DANGER, WARNING, CAUTION, NOTICE
    hazard: str
    harm: str
    action: str
    step: str = ""


@dataclass(frozen=True)
class Work:
    """One step of the working: the equation, the numbers put in, what came out, the figures that it explains."""

    title: str
    equation: str
    values: str = ""
    result: str = ""
    constants: tuple[str, ...] = ()
    source: str = ""
    figures: tuple[str, ...] = ()


@dataclass(frozen=True)
class Column:
    """One column of a table figure; without a kind its cells are text."""

    name: str
    label: str
    kind: str = "text"
    unit: str = ""
    digits: int = 3
    round: str = "near"


@dataclass(frozen=True)
class Shown:
    """What a figure is: declared once per calculator, for the catalogue, the page and the files.

    `units` are the display units, the preferred first; `round` is up, down (towards caution), near
    (exact conversions) or range (a range is said first).
    """

    name: str
    label: str
    kind: str
    units: str = ""
    round: str = "near"
    digits: int = 3
    modes: tuple[str, ...] = ()
    columns: tuple[Column, ...] = ()
    range_digits: int = 2  # digits where the figure carries a range; 3 where 2 would cross a limit, such as 19.5 %

    @property
    def unit_names(self) -> tuple[str, ...]:
        return tuple(u.strip() for u in self.units.split(",") if u.strip())

    @property
    def towards(self) -> str:
        """Which way its value is rounded: the first word of `round` that says one."""
        return next((w.strip() for w in self.round.split(",") if w.strip() in ("up", "down")), "near")


@dataclass(frozen=True)
class Estimate:
    """A value with the ends of its range, in SI units, and the main cause of the width."""

    value: float
    low: float | None = None
    high: float | None = None
    cause: str = ""
    note: str = ""


@dataclass(frozen=True)
class Figure:
    """One figure of an answer. `value`, `low_value`, `high_value` are SI floats, or text, or None."""

    shown: Shown
    value: object
    low_value: float | None = None
    high_value: float | None = None
    cause: str = ""
    note: str = ""
    si_rows: tuple[dict, ...] = ()  # rows of a table with SI values

    @cached_property
    def rows(self) -> tuple[dict, ...]:
        """The rows of a table figure, numbers as quantities of their columns."""
        return tuple(_row(self.shown, row) for row in self.si_rows)

    @property
    def name(self) -> str:
        return self.shown.name

    @property
    def label(self) -> str:
        return self.shown.label

    @property
    def is_number(self) -> bool:
        return isinstance(self.value, (int, float)) and not isinstance(self.value, bool)

    @cached_property
    def unit(self) -> "units.Unit":
        """The display unit: the first of the list that keeps the figure between 0.1 and 1000."""
        choices = [units.unit_of(self.shown.kind, name) for name in self.shown.unit_names]
        choices = choices or [units.KINDS[self.shown.kind].units[0]]
        for unit in choices:
            if 0.1 <= abs(units.from_si(self.value, unit)) < 1000:
                return unit
        return choices[0]

    @property
    def quantity(self):
        """The value as a pint quantity in its display unit; a choice or a yes/no is text."""
        return self._quantity(self.value)

    @property
    def low(self):
        return self._quantity(self.low_value)

    @property
    def high(self):
        return self._quantity(self.high_value)

    def _quantity(self, value):
        if not self.is_number or value is None:
            return value
        return units.Quantity(units.from_si(value, self.unit), self.unit.pint)

    @property
    def text(self) -> str:
        """The value with its unit, rounded towards caution."""
        if not self.is_number:
            return "" if self.value is None else str(self.value)
        return self._said(self.value, self.shown.towards)

    @property
    def span(self) -> str:
        """The range as "25 to 60 min", or the value where there is none."""
        if self.low_value is None and self.high_value is None:
            return self.text
        if self.low_value is None:
            return f"at most {self._said(self.high_value, 'up')}"
        if self.high_value is None:
            return f"at least {self._said(self.low_value, 'down')}"
        low, high = self._said(self.low_value, "down"), self._said(self.high_value, "up")
        if low == high:
            return low
        tail = f"{wording.NO_BREAK}{self.unit.shown}"
        plain = low.count(wording.NO_BREAK) == high.count(wording.NO_BREAK) == 1
        if plain and low.endswith(tail) and high.endswith(tail):
            low = low.removesuffix(tail)  # "25 to 60 min", but "2 h 8 min to 8 h 24 min"
        return f"{low} to {high}"

    def _said(self, value: float, towards: str) -> str:
        if self.shown.kind == "mole fraction" and 0 < value < SMALLEST_SHARE:
            return f"less than{wording.NO_BREAK}{wording.with_unit('0.0001', 'ppm')}"
        number = units.from_si(value, self.unit)
        if self.shown.kind == "time" and self.unit.name == "min" and value >= 7200:
            return wording.duration(value, towards)
        if self.shown.kind == "number" and self.unit.name == "1" and float(number).is_integer() and abs(number) < 1e6:
            return wording.grouped(str(int(number)).replace("-", "−"))  # counts are whole
        ranged = self.low_value is not None or self.high_value is not None
        digits = self.shown.range_digits if ranged else self.shown.digits
        unit = "" if self.unit.name == "1" else self.unit.shown
        return wording.with_unit(wording.number(number, digits, towards), unit)


class Figures(tuple):
    """The figures that a calculator can give, in the order of the page."""

    def __new__(cls, *shown: Shown):
        return super().__new__(cls, shown)

    def fill(self, **values) -> dict[str, Figure]:
        """Return the figures for these SI values: a float, an Estimate, text, yes/no, or rows of a table.

        None leaves a figure out. An unknown name is an error of ours.
        """
        known = {s.name: s for s in self}
        if unknown := values.keys() - known.keys():
            raise KeyError(f"no such figure: {sorted(unknown)}")
        return {name: _figure(known[name], values[name]) for name in known if values.get(name) is not None}


def _figure(shown: Shown, value) -> Figure:
    if isinstance(value, bool):
        return Figure(shown, "yes" if value else "no")
    if isinstance(value, Estimate):
        return Figure(shown, value.value, value.low, value.high, value.cause, value.note)
    if isinstance(value, (list, tuple)):
        return Figure(shown, None, si_rows=tuple(value))
    return Figure(shown, value)


def _row(shown: Shown, row: dict) -> dict:
    """Turn the SI numbers of a row into quantities of their columns."""
    found = {}
    for column in shown.columns:
        value = row[column.name]
        if column.kind != "text" and value is not None and not isinstance(value, str):
            unit = units.unit_of(column.kind, column.unit)
            value = units.Quantity(units.from_si(value, unit), unit.pint)
        found[column.name] = value
    return found


@dataclass(frozen=True)
class ReadOff:
    """The static table of a page: one or two inputs varied, the others as in the example.

    `down` and `across` are (input, texts as typed); without `across` the columns are the `figures`.
    """

    caption: str
    down: tuple[str, tuple[str, ...]]
    across: tuple[str, tuple[str, ...]] | None = None
    figures: tuple[str, ...] = ()
    given: dict = field(default_factory=dict)  # further inputs that differ from the example


@dataclass
class Answer:
    """All that a calculator says about one set of inputs."""

    sentence: str = ""
    verdict: str = "within"
    judged: bool = False  # whether anything was compared with a limit, so that a verdict has a meaning
    figures: dict[str, Figure] = field(default_factory=dict)
    leaves_out: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    pictures: tuple = ()
    working: tuple[Work, ...] = ()
    notes: tuple[str, ...] = ()
    refusal: Refusal | None = None
    checks: dict = field(default_factory=dict)
    extra: dict = field(default_factory=dict)  # plan, record: parts that only their own page shows
    calculator: str = ""
    inputs: object = None

    @property
    def feeds(self) -> dict[str, tuple[str, ...]]:
        """Which other calculators ask for a figure of this name."""
        from calcs.index import feeds

        return {name: found for name in self.figures if (found := feeds(self.calculator, name))}

    def to_dict(self) -> dict:
        """Return plain data, ready for JSON."""
        if self.refusal:
            return {"calculator": self.calculator, "refusal": _plain(self.refusal)}
        return {
            "calculator": self.calculator,
            "sentence": self.sentence,
            "verdict": self.verdict,
            "judged": self.judged,
            "figures": {name: _plain_figure(f) for name, f in self.figures.items()},
            "leaves_out": list(self.leaves_out),
            "cautions": _plain(self.cautions),
            "notes": list(self.notes),
            "working": _plain(self.working),
            "checks": _plain(self.checks),
            "feeds": _plain(self.feeds),
            "refusal": None,
        }


def _plain_figure(figure: Figure) -> dict:
    found = {"label": figure.label, "value": _plain(figure.quantity), "text": figure.text}
    if figure.low_value is not None or figure.high_value is not None:
        found |= {"low": _plain(figure.low), "high": _plain(figure.high), "cause": figure.cause}
    if figure.si_rows:
        found["rows"] = _plain(figure.rows)
    return found | ({"note": figure.note} if figure.note else {})


def _plain(thing):
    """Return the thing as dicts, lists, texts and numbers; quantities become "value unit" text."""
    if isinstance(thing, units.Quantity):
        return f"{thing.m:.12g} {units.name_of(thing.units)}".strip()
    if isinstance(thing, dict):
        return {str(key): _plain(value) for key, value in thing.items()}
    if isinstance(thing, (list, tuple)):
        return [_plain(item) for item in thing]
    if is_dataclass(thing):
        return {f.name: _plain(getattr(thing, f.name)) for f in fields(thing)}
    return thing


def check_finite(answer: Answer) -> Answer:
    """Return the answer; a figure that is not finite is an error of ours and must not be shown.

    Raises:
        ArithmeticError: a figure or one of its ends is nan or infinite.
    """
    for figure in answer.figures.values():
        for value in (figure.value, figure.low_value, figure.high_value):
            if isinstance(value, float) and not isfinite(value):
                raise ArithmeticError(f"{figure.name} is not finite")
    return answer
