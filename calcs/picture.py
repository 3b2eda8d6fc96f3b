"""What a picture says, as plain data: no HTML, no colour, no pixel.

A calculator makes one of `Plot`, `Bars`, `Scale`, `Strip` or `Drawing`; `calcs.page.svg` draws it.
Every picture carries the sentence that states its point, a description of what is on it, and the
table of its values. What cannot be drawn honestly (nothing to show, a value that is not a finite
number, zero on a logarithmic axis) raises ValueError here, where the calculator can see why.
"""

from dataclasses import dataclass
from math import isfinite

# Beyond these a value is a fault in the calculation, not a fact about a furnace.
LARGEST = 1e30
SMALLEST_ON_LOG = 1e-100  # equilibrium oxygen over a stable oxide comes near 1e-60 bar

MOST_CURVES = 3  # few ideas in one picture: a house rule
DASHES = ("solid", "dashed", "dotted")
MARK_SHAPES = ("dot", "ring", "cross")
SHAPE_STYLES = ("outline", "thin", "thick", "dashed", "dotted", "filled", "shaded", "hatched", "ground")
TEXT_STYLES = ("plain", "strong", "muted", "small")
ANCHORS = ("start", "middle", "end")


@dataclass(frozen=True)
class Table:
    """The values behind a picture. A cell is text or a number; the first cell of a row names the row.

    Whole numbers (int) are shown whole, floats with three significant digits.
    """

    caption: str
    columns: tuple
    rows: tuple

    def __post_init__(self):
        _text("table caption", self.caption)
        _set(self, columns=tuple(self.columns), rows=tuple(tuple(row) for row in self.rows))
        _some("table columns", self.columns)
        _some("table rows", self.rows)
        for row in self.rows:
            if len(row) != len(self.columns):
                raise ValueError(f"table {self.caption!r}: {len(row)} cells in a row, not {len(self.columns)}")
            for cell in row:
                if not isinstance(cell, str):
                    _number(f"table {self.caption!r}", cell)


@dataclass(frozen=True)
class Axis:
    """A quantity in words, its unit, and whether it is logarithmic.

    `low` and `high` fix the ends; left out, the ends come from what is drawn.
    Named points always stay visible: they push a fixed end outwards.
    """

    label: str
    unit: str = ""
    log: bool = False
    low: float | None = None
    high: float | None = None

    def __post_init__(self):
        _text("axis label", self.label)
        for end in (self.low, self.high):
            if end is not None:
                self.check(f"end of the axis {self.label!r}", end)
        if self.low is not None and self.high is not None and not self.low < self.high:
            raise ValueError(f"axis {self.label!r}: low end {self.low} must be below high end {self.high}")

    def check(self, what, value):
        """Raise ValueError when `value` has no place on this axis."""
        _number(what, value)
        if self.log and value < SMALLEST_ON_LOG:
            raise ValueError(f"{what}: {value} cannot stand on the logarithmic axis {self.label!r}")


@dataclass(frozen=True)
class Curve:
    """A named line through (x, y) points in the units of the axes.

    `dash` left empty takes the next free one; `step` draws stairs (level, then up or down).
    """

    label: str
    points: tuple
    dash: str = ""
    step: bool = False

    def __post_init__(self):
        _text("curve label", self.label)
        _among("dash", self.dash, ("", *DASHES))
        _set(self, points=_pairs(f"curve {self.label!r}", self.points, at_least=2))


@dataclass(frozen=True)
class Band:
    """A named range between two edges, each a list of (x, y) points running the same way."""

    label: str
    low_points: tuple
    high_points: tuple

    def __post_init__(self):
        _text("band label", self.label)
        what = f"band {self.label!r}"
        _set(
            self,
            low_points=_pairs(what, self.low_points, at_least=2),
            high_points=_pairs(what, self.high_points, at_least=2),
        )


@dataclass(frozen=True)
class Limit:
    """A named line at one value of the y axis (level) or of the x axis (upright)."""

    label: str
    value: float
    axis: str = "y"

    def __post_init__(self):
        _text("limit label", self.label)
        _number(f"limit {self.label!r}", self.value)
        _among("limit axis", self.axis, ("x", "y"))


@dataclass(frozen=True)
class Mark:
    """A point; without a label it is one reading among others."""

    label: str
    x: float
    y: float
    shape: str = "dot"

    def __post_init__(self):
        _number(f"mark {self.label!r}", self.x)
        _number(f"mark {self.label!r}", self.y)
        _among("mark shape", self.shape, MARK_SHAPES)


@dataclass(frozen=True)
class Plot:
    """Curves, bands, limits and points on two axes."""

    sentence: str
    description: str
    x: Axis
    y: Axis
    curves: tuple = ()
    bands: tuple = ()
    limits: tuple = ()
    marks: tuple = ()
    table: Table = None

    def __post_init__(self):
        _head(self)
        _panel(self, self.x)


@dataclass(frozen=True)
class Bar:
    """One horizontal bar. `low` and `high` are its range, `note` a few words beneath its name."""

    label: str
    value: float
    low: float | None = None
    high: float | None = None
    note: str = ""

    def __post_init__(self):
        _text("bar label", self.label)
        _number(f"bar {self.label!r}", self.value)
        if (self.low is None) != (self.high is None):
            raise ValueError(f"bar {self.label!r}: a range has two ends")
        if self.low is not None:
            _number(f"bar {self.label!r}", self.low)
            _number(f"bar {self.label!r}", self.high)
            if not self.low <= self.value <= self.high:
                raise ValueError(f"bar {self.label!r}: {self.value} is not within {self.low} to {self.high}")


@dataclass(frozen=True)
class Bars:
    """Horizontal bars on one axis, with a limit line or several.

    `stacked`: each bar starts where the one before ended, and a last bar shows all of them together.
    `log`: points instead of bars, since a length from nothing means nothing on a logarithmic axis.
    """

    sentence: str
    description: str
    unit: str
    bars: tuple
    limit: Limit | tuple | None = None
    log: bool = False
    stacked: bool = False
    table: Table = None
    total: str = "Together"

    def __post_init__(self):
        _head(self)
        limits = () if self.limit is None else (self.limit,) if isinstance(self.limit, Limit) else self.limit
        _set(self, bars=tuple(self.bars), limit=tuple(limits))
        _some("bars", self.bars)
        if self.stacked and self.log:
            raise ValueError("stacked bars need a linear axis: lengths do not add on a logarithmic one")
        for bar in self.bars:
            if self.stacked and (bar.value < 0 or (bar.low or 0) < 0):
                raise ValueError(f"bar {bar.label!r}: a part of a stack cannot be negative")
        for value in self.values() if self.log else ():
            if value < SMALLEST_ON_LOG:
                raise ValueError(f"bars: {value} cannot stand on a logarithmic axis")
        if not self.log and not any(self.values()):
            raise ValueError("bars: every value is zero, there is nothing to draw")

    def values(self):
        """Every value that the axis must hold; of a stack also its sum."""
        found = [v for bar in self.bars for v in (bar.value, bar.low, bar.high) if v is not None]
        if self.stacked:
            found += [sum(b.value if b.high is None else b.high for b in self.bars)]
        return found + [limit.value for limit in self.limit]


@dataclass(frozen=True)
class Landmark:
    """A named place on a scale. `shown` replaces the value and unit that are written beside the name."""

    label: str
    value: float
    shown: str = ""

    def __post_init__(self):
        _text("landmark label", self.label)
        _number(f"landmark {self.label!r}", self.value)


@dataclass(frozen=True)
class Beside:
    """A second scale beside the first: pairs of (value on the first scale, number or text shown there)."""

    label: str
    unit: str
    ticks: tuple

    def __post_init__(self):
        _text("label of the second scale", self.label)
        _set(self, ticks=tuple((float(at), shown) for at, shown in self.ticks))
        _some("second scale", self.ticks)
        for at, shown in self.ticks:
            _number(f"second scale {self.label!r}", at)
            if not isinstance(shown, str):
                _number(f"second scale {self.label!r}", shown)


@dataclass(frozen=True)
class Scale:
    """One upright scale with named landmarks and the reader's own values; up to two more scales beside it."""

    sentence: str
    description: str
    axis: Axis
    points: tuple = ()
    yours: tuple = ()
    beside: tuple = ()
    table: Table = None

    def __post_init__(self):
        _head(self)
        _set(self, points=tuple(self.points), yours=tuple(self.yours))
        beside = (self.beside,) if isinstance(self.beside, Beside) else tuple(self.beside)
        _set(self, beside=beside)
        _some("scale", self.points + self.yours)
        if len(self.beside) > 2:
            raise ValueError("a scale has room for two more beside it")
        for point in self.points + self.yours:
            self.axis.check(f"landmark {point.label!r}", point.value)
        for second in self.beside:
            for at, _ in second.ticks:
                self.axis.check(f"second scale {second.label!r}", at)


@dataclass(frozen=True)
class Lane:
    """One quantity of a strip against the strip's time. `share` is its height relative to its neighbours."""

    y: Axis
    curves: tuple = ()
    bands: tuple = ()
    limits: tuple = ()
    marks: tuple = ()
    share: float = 1.0

    def __post_init__(self):
        _number("share of a lane", self.share)
        if not 0.1 <= self.share <= 10:
            raise ValueError(f"share of a lane: {self.share} is not between 0.1 and 10")


@dataclass(frozen=True)
class Block:
    """A stretch of time with a word on it. `short` stands in where the text has no room."""

    text: str
    start: float
    end: float
    short: str = ""
    filled: bool = False

    def __post_init__(self):
        _text("text of a block", self.text)
        _stretch(self.text, self.start, self.end)


@dataclass(frozen=True)
class Row:
    """A row of blocks on the strip's time: which gas, which valve, who must be there."""

    label: str
    blocks: tuple

    def __post_init__(self):
        _text("row label", self.label)
        _set(self, blocks=tuple(self.blocks))
        _some(f"row {self.label!r}", self.blocks)


@dataclass(frozen=True)
class Strip:
    """The programme picture: lanes and rows over one time axis, stages along the top.

    `stages` are blocks named along the top edge; `faults` are blocks hatched across all lanes.
    """

    sentence: str
    description: str
    time: Axis
    lanes: tuple
    rows: tuple = ()
    stages: tuple = ()
    faults: tuple = ()
    table: Table = None

    def __post_init__(self):
        _head(self)
        if self.time.log:
            raise ValueError("the time of a strip runs on a linear axis")
        _set(self, lanes=tuple(self.lanes), rows=tuple(self.rows))
        _set(self, stages=tuple(self.stages), faults=tuple(self.faults))
        _some("lanes", self.lanes)
        for lane in self.lanes:
            _panel(lane, self.time)


@dataclass(frozen=True)
class Line:
    x1: float
    y1: float
    x2: float
    y2: float
    style: str = "outline"


@dataclass(frozen=True)
class Arrow:
    """A line with its head at the second point."""

    x1: float
    y1: float
    x2: float
    y2: float
    style: str = "outline"


@dataclass(frozen=True)
class Rect:
    x: float
    y: float
    width: float
    height: float
    style: str = "outline"


@dataclass(frozen=True)
class Circle:
    x: float
    y: float
    radius: float
    style: str = "outline"


@dataclass(frozen=True)
class Poly:
    """A line through points, closed or open."""

    points: tuple
    style: str = "outline"
    closed: bool = True


@dataclass(frozen=True)
class Text:
    x: float
    y: float
    text: str
    anchor: str = "start"
    style: str = "plain"


@dataclass(frozen=True)
class Drawing:
    """A drawing of simple shapes inside `view_box` = (left, top, width, height), y downwards.

    Draw for a width of about 440, so that the lettering keeps its size beside the other pictures.
    """

    sentence: str
    description: str
    view_box: tuple
    shapes: tuple
    table: Table = None

    def __post_init__(self):
        _head(self)
        _set(self, view_box=tuple(self.view_box), shapes=tuple(_settled(s) for s in self.shapes))
        _some("shapes", self.shapes)
        if len(self.view_box) != 4:
            raise ValueError("view box: left, top, width and height are needed")
        for value in self.view_box:
            _number("view box", value)
        left, top, width, height = self.view_box
        if width <= 0 or height <= 0:
            raise ValueError("view box: width and height must be above zero")
        for shape in self.shapes:
            for x, y in _corners(shape):
                _number("shape", x)
                _number("shape", y)
                if not (left <= x <= left + width and top <= y <= top + height):
                    raise ValueError(f"{shape} leaves the view box at ({x}, {y})")


Picture = Plot | Bars | Scale | Strip | Drawing


# Checks, shared by the classes above.


def _set(thing, **values):
    for name, value in values.items():
        object.__setattr__(thing, name, value)


def _text(what, value):
    if not isinstance(value, str) or not value.strip():
        raise ValueError(f"{what}: words are missing")


def _some(what, values):
    if not values:
        raise ValueError(f"{what}: there is nothing to draw")


def _among(what, value, allowed):
    if value not in allowed:
        raise ValueError(f"{what}: {value!r} is none of {', '.join(repr(a) for a in allowed)}")


def _number(what, value):
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise ValueError(f"{what}: {value!r} is not a number")
    if not isfinite(value) or abs(value) > LARGEST:
        raise ValueError(f"{what}: {value!r} cannot be drawn")


def _pairs(what, points, at_least):
    points = tuple((x, y) for x, y in points)
    if len(points) < at_least:
        raise ValueError(f"{what}: {len(points)} points, at least {at_least} are needed")
    for x, y in points:
        _number(what, x)
        _number(what, y)
    return points


def _stretch(what, start, end):
    _number(what, start)
    _number(what, end)
    if not start <= end:
        raise ValueError(f"{what}: it ends at {end}, before it starts at {start}")


def _head(picture):
    _text("sentence of the picture", picture.sentence)
    _text("description of the picture", picture.description)
    if not isinstance(picture.table, Table):
        raise ValueError(f"picture {picture.sentence!r}: its table is missing")


def _panel(panel, x):
    """Settle and check what stands between the two axes of a plot or lane."""
    _set(panel, bands=tuple(panel.bands), limits=tuple(panel.limits), marks=tuple(panel.marks))
    _set(panel, curves=_with_dashes(tuple(panel.curves)))
    _some(f"picture of {panel.y.label!r}", panel.curves + panel.bands + panel.marks)
    if len(panel.bands) > MOST_CURVES:
        raise ValueError(f"{len(panel.bands)} bands: a picture holds at most {MOST_CURVES}")
    for curve in panel.curves:
        _on_axes(f"curve {curve.label!r}", curve.points, x, panel.y)
    for band in panel.bands:
        _on_axes(f"band {band.label!r}", band.low_points + band.high_points, x, panel.y)
    for mark in panel.marks:
        _on_axes(f"mark {mark.label!r}", ((mark.x, mark.y),), x, panel.y)
    for limit in panel.limits:
        (x if limit.axis == "x" else panel.y).check(f"limit {limit.label!r}", limit.value)


def _on_axes(what, points, x, y):
    for along, up in points:
        x.check(what, along)
        y.check(what, up)


def _with_dashes(curves):
    """Give each curve its own dash; two alike could not be told apart in black on white."""
    if len(curves) > MOST_CURVES:
        raise ValueError(f"{len(curves)} curves: a picture holds at most {MOST_CURVES}")
    asked = [curve.dash for curve in curves if curve.dash]
    if len(set(asked)) < len(asked):
        raise ValueError("two curves have the same dash")
    free = [dash for dash in DASHES if dash not in asked]
    return tuple(curve if curve.dash else Curve(curve.label, curve.points, free.pop(0), curve.step) for curve in curves)


def _settled(shape):
    """Return the shape with its words checked, lists made tuples."""
    if isinstance(shape, Text):
        _text("text in a drawing", shape.text)
        _among("text style", shape.style, TEXT_STYLES)
        _among("anchor", shape.anchor, ANCHORS)
        return shape
    if not isinstance(shape, (Line, Arrow, Rect, Circle, Poly)):
        raise ValueError(f"{shape!r} is not a shape")
    _among("shape style", shape.style, SHAPE_STYLES)
    if isinstance(shape, Poly):
        return Poly(_pairs("poly", shape.points, at_least=2), shape.style, shape.closed)
    return shape


def _corners(shape):
    if isinstance(shape, (Line, Arrow)):
        return ((shape.x1, shape.y1), (shape.x2, shape.y2))
    if isinstance(shape, Rect):
        return ((shape.x, shape.y), (shape.x + shape.width, shape.y + shape.height))
    if isinstance(shape, Circle):
        r = shape.radius
        return ((shape.x - r, shape.y - r), (shape.x + r, shape.y + r))
    if isinstance(shape, Poly):
        return shape.points
    return ((shape.x, shape.y),)
