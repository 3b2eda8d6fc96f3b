"""Draw a picture of `calcs.picture` as accessible inline SVG, and as a figure with its table.

The build, the browser and the printed card call the same functions and get the same bytes.
Colours come from classes alone (docs/assets/pictures.css). Lines differ by dash and by the name at
their end, never by colour alone.
"""

from dataclasses import dataclass
from itertools import pairwise
from math import hypot, log10

from calcs.page import axes
from calcs.page.sheet import Frame, Names, Sheet, checked_key, escaped
from calcs.picture import (
    Arrow,
    Axis,
    Bars,
    Circle,
    Drawing,
    Line,
    Plot,
    Poly,
    Rect,
    Scale,
    Strip,
    Table,
    Text,
)

WIDTH, FONT = 440, 16  # at 320 CSS px still about 10.5 px lettering
CARD = {"width": 640, "height": 180, "font": 12}  # 160 mm × 45 mm: 4 units a millimetre, 8.5 pt lettering
SHORT_TABLE = 15  # rows that still open in print

DASHES = {"solid": "", "dashed": "9 5", "dotted": "1.5 5"}
LIMIT_DASH = "14 3 3 3"


def picture_html(picture, key, width=WIDTH, height=None, font=FONT):
    """Return the whole figure: sentence, drawing, table of the values.

    Args:
        picture: one of the pictures of `calcs.picture`.
        key: start of every id in it: letters, digits and hyphens, used once on a page.
        width, height: size in drawing units; the height follows from the content when left out.
        font: size of the lettering in the same units.

    Raises:
        ValueError: the key cannot be an id, or an axis has no length.
    """
    return (
        f'<figure class="pic" id="{checked_key(key)}">\n'
        f"<figcaption>{escaped(picture.sentence)}</figcaption>\n"
        f"{svg(picture, key, width, height, font)}\n{table_html(picture.table, key)}\n</figure>"
    )


def table_html(table: Table, key):
    """Return the folded table below a picture; the print style opens it when it is short."""
    short = ' short" data-open-in-print=""' if len(table.rows) <= SHORT_TABLE else '"'
    head = "".join(f'<th scope="col">{_cell(name)}</th>' for name in table.columns)
    body = "\n".join(
        f'<tr><th scope="row">{_cell(row[0])}</th>{"".join(_data_cell(cell) for cell in row[1:])}</tr>'
        for row in table.rows
    )
    return (
        f'<details class="pic-values{short}><summary>Table of the values</summary>\n'
        f'<div class="pic-table" role="region" aria-labelledby="{checked_key(key)}-caption" tabindex="0">\n'
        f'<table class="pic-data"><caption id="{key}-caption">{escaped(table.caption)}</caption>\n'
        f"<thead><tr>{head}</tr></thead>\n<tbody>\n{body}\n</tbody></table></div></details>"
    )


def svg(picture, key, width=WIDTH, height=None, font=FONT):
    """Return the drawing alone, for a place that states its point and its values elsewhere: the card."""
    sheet = Sheet(key, width, font)
    painters = {Plot: _plot, Bars: _bars, Scale: _scale, Strip: _strip, Drawing: _drawing}
    return sheet.finished(picture, painters[type(picture)](sheet, picture, height))


def _cell(cell):
    return escaped(cell if isinstance(cell, str) else axes.number_text(cell))


def _data_cell(cell):
    return f"<td>{_cell(cell)}</td>" if isinstance(cell, str) else f'<td class="pic-number">{_cell(cell)}</td>'


# Axes


@dataclass(frozen=True)
class _Way:
    """From values of an axis to places on the sheet."""

    axis: Axis
    low: float
    high: float
    start: float
    end: float

    def at(self, value):
        """Return the place of a value; what lies far outside is kept within drawable distance."""
        low, high = (log10(self.low), log10(self.high)) if self.axis.log else (self.low, self.high)
        share = ((log10(value) if self.axis.log else value) - low) / (high - low)
        return self.start + min(max(share, -50.0), 50.0) * (self.end - self.start)

    def holds(self, value):
        edge = 1e-9 * (self.high - self.low)
        return self.low - edge <= value <= self.high + edge


def _ticks(axis, low, high, room, apart):
    """Return (ticks, words for the name): as many as stand `apart` in `room`, three at the least."""
    most = int(min(max(room / apart, 3), axes.MOST_TICKS))
    if axis.log:
        return axes.log_ticks(low, high, most)
    return axes.linear_ticks(low, high, min(most, 6), axis.unit), ""


def _x_ticks(sheet, axis, low, high, frame):
    """Return ticks of a level axis that leave room for their own numbers."""
    ticks, _ = _ticks(axis, low, high, frame.width, 2.6 * sheet.font)
    widest = sheet.wide(axes.tick_texts(ticks, axis.log))
    return _ticks(axis, low, high, frame.width, max(widest + 0.8 * sheet.font, 2.6 * sheet.font))


def _axis_name(axis, words=""):
    name = f"{axis.label}, {axis.unit}" if axis.unit else axis.label
    return f"{name} ({words})" if words else name


def _x_axis(sheet, way, frame, ticks, words, grid_frames, beside=False):
    """Draw upright grid lines, tick numbers under the last frame, and the name; return where it ends."""
    for tick in ticks:
        for one in grid_frames:
            sheet.line(way.at(tick), one.top, way.at(tick), one.bottom, "grid")
        sheet.line(way.at(tick), frame.bottom, way.at(tick), frame.bottom + 4, "axis")
    base, last = frame.bottom + 5 + sheet.font, -1e9
    for tick, text in zip(ticks, axes.tick_texts(ticks, way.axis.log), strict=True):
        half = axes.text_width(text, sheet.font) / 2
        middle = min(max(way.at(tick), half + 1), sheet.width - 1 - half)
        if middle - half > last + 0.3 * sheet.font:
            sheet.text(middle, base, text, "middle")
            last = middle + half
    name = _axis_name(way.axis, words)
    width = axes.text_width(name, sheet.font)
    start = max(frame.right, last) + 0.6 * sheet.font
    if beside and start + width <= sheet.width:
        sheet.text(start, base, name)
        return base + 0.35 * sheet.font
    middle = (frame.left + frame.right) / 2
    if width <= 2 * min(middle, sheet.width - middle):
        return sheet.paragraph(middle, base + 0.35 * sheet.font, name, width + 1, "middle")
    return sheet.paragraph(2, base + 0.35 * sheet.font, name, sheet.width - 4)


def _y_axis(sheet, way, frame, ticks):
    for tick, text in zip(ticks, axes.tick_texts(ticks, way.axis.log), strict=True):
        sheet.line(frame.left, way.at(tick), frame.right, way.at(tick), "grid")
        sheet.line(frame.left - 4, way.at(tick), frame.left, way.at(tick), "axis")
        sheet.text(frame.left - 7, way.at(tick) + 0.36 * sheet.font, text, "end")


# Panels: what stands between two axes, in a plot or in a lane of a strip


def _x_values(panel):
    """Return every x that the axis must hold unless its ends are fixed."""
    points = [p for c in panel.curves for p in c.points]
    points += [p for b in panel.bands for p in b.low_points + b.high_points]
    return [x for x, _ in points] + [limit.value for limit in panel.limits if limit.axis == "x"]


def _y_ends(panel):
    values = [y for c in panel.curves for _, y in c.points]
    values += [y for b in panel.bands for _, y in b.low_points + b.high_points]
    marks = [m.y for m in panel.marks]
    for limit in panel.limits:
        if limit.axis == "y":  # with some air beyond it, where its name can stand
            drawn = [*values, *marks, limit.value]
            air = 0.06 * (max(drawn) - min(drawn))
            log = panel.y.log
            values += (limit.value / 1.5, limit.value * 1.5) if log else (limit.value, limit.value + air)
    return axes.ends(panel.y, values, marks)


def _name_margin(sheet, panels):
    """Return (lines, width) of the names of lines and bands at the right edge."""
    names = []
    for panel in panels:
        arrow = "" if panel.y.low is None and panel.y.high is None else "\u00a0↑"  # it may lie outside
        names += [n.label + arrow for n in (*panel.curves, *panel.bands)]
    wrapped = [axes.wrap(name, 0.3 * sheet.width, sheet.font) for name in names]
    return wrapped, sheet.wide([line for lines in wrapped for line in lines])


def _panel(sheet, panel, frame, x, y, margin):
    """Draw a panel; `margin` is the width at the right for names at the ends of lines."""
    names, clip, ends = Names(sheet, frame), sheet.clip(frame), []
    for k, band in enumerate(panel.bands, 1):
        ends.append((band.label, _band(sheet, band, x, y, clip, k)))
    for limit in panel.limits:
        _limit_line(sheet, limit, frame, x, y, names)
    for k, curve in enumerate(panel.curves, 1):
        points = _stairs(curve.points) if curve.step else curve.points
        places = [(x.at(a), y.at(b)) for a, b in axes.thinned(points)]
        sheet.path(places, f"line line-{k}", DASHES[curve.dash], clip=clip)
        names.ink([(a, min(max(b, frame.top), frame.bottom)) for a, b in places])
        ends.append((curve.label, places))
    corner = [(frame.left, frame.top), (frame.left, frame.bottom), (frame.right, frame.bottom)]
    sheet.path(corner, "axis")
    names.ink(corner)
    for mark in panel.marks:
        _mark(sheet, mark, x.at(mark.x), y.at(mark.y))
        names.taken.append(Frame(x.at(mark.x) - 5, y.at(mark.y) - 5, x.at(mark.x) + 5, y.at(mark.y) + 5))
    for mark in panel.marks:
        _mark_name(sheet, mark, x.at(mark.x), y.at(mark.y), names)
    for limit in panel.limits:
        _limit_name(sheet, limit, frame, x, y, names)
    _end_names(sheet, ends, frame, margin, names)


def _stairs(points):
    result = [points[0]]
    for (_, before), (x, y) in pairwise(points):
        result += [(x, before), (x, y)]
    return result


def _band(sheet, band, x, y, clip, k):
    """Draw a band; return its middle at its first and last point."""
    low = [(x.at(a), y.at(b)) for a, b in axes.thinned(band.low_points)]
    high = [(x.at(a), y.at(b)) for a, b in axes.thinned(band.high_points)]
    sheet.path(low + high[::-1], f"band band-{k}", closed=True, clip=clip, fill="currentColor")
    sheet.path(low, f"edge edge-{k}", clip=clip)
    sheet.path(high, f"edge edge-{k}", clip=clip)
    return [((low[k][0] + high[k][0]) / 2, (low[k][1] + high[k][1]) / 2) for k in (0, -1)]


def _mark(sheet, mark, x, y):
    if mark.shape == "cross":
        sheet.path([(x - 5, y - 5), (x + 5, y + 5)], "line mark")
        sheet.path([(x - 5, y + 5), (x + 5, y - 5)], "line mark")
    elif mark.shape == "ring":
        sheet.circle(x, y, 5, "line mark")
    else:
        sheet.circle(x, y, 4.5, "ink mark", "currentColor")


def _mark_name(sheet, mark, x, y, names):
    if not mark.label.strip():
        return
    lines, width, height = sheet.wrapped(mark.label, 0.5 * names.frame.width, bold=True)
    lefts, tops = (x + 9, x - 9 - width, x - width / 2), (y - height / 2, y - height - 7, y + 7)
    order = ((0, 0), (1, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 1), (2, 2))
    names.write([(lefts[i], tops[j], lines, width, height) for i, j in order], "strong halo")


def _limit_line(sheet, limit, frame, x, y, names):
    way = x if limit.axis == "x" else y
    if not way.holds(limit.value):
        return
    at = way.at(limit.value)
    upright = [(at, frame.top), (at, frame.bottom)]
    ends = upright if limit.axis == "x" else [(frame.left, at), (frame.right, at)]
    sheet.path(ends, "limit", LIMIT_DASH)
    names.ink(ends)


def _limit_name(sheet, limit, frame, x, y, names):
    """Write the name beside its line; with an arrow at the edge when fixed ends leave the line outside."""
    upright, shown = limit.axis == "x", limit.label
    way = x if upright else y
    at = min(max(way.at(limit.value), min(way.start, way.end)), max(way.start, way.end))
    if not way.holds(limit.value):
        below, above = ("←", "→") if upright else ("↓", "↑")
        shown += f"\u00a0{above if limit.value > way.high else below}"
    candidates = []
    for share in (0.4, 0.25) if upright else (0.95, 0.5):
        block = sheet.wrapped(shown, share * frame.width)
        _, width, height = block
        if upright:
            lefts = (at + 5, at - 5 - width)
            tops = [frame.top + k * max(sheet.line_height / 2, 0.1 * frame.height) for k in range(9)]
        else:
            spare = max(frame.width - width - 8, 0)
            lefts = [frame.left + 5 + spare * part for part in (0, 1, 0.25, 0.5, 0.75)]
            tops = (at - height - 2.5, at + 3)
        candidates += [(left, top, *block) for top in tops for left in lefts]
    names.write(candidates, "limit-name halo")


def _end_names(sheet, ends, frame, margin, names):
    """Write the names of lines: beside the right edge, or next to a line that stops well before it."""
    aside = []
    for name, places in ends:
        last = _visible(places, frame)
        if last is None:  # nothing of it shows: say in which direction it lies
            above = places[-1][1] < frame.top
            aside.append((f"{name}\u00a0{'↑' if above else '↓'}", None, frame.top if above else frame.bottom))
        elif last[0] >= frame.right - 0.15 * frame.width:
            aside.append((name, *last))
        else:
            _inner_name(sheet, name, last, places, names)
    wrapped = [axes.wrap(name, margin, sheet.font) for name, _, _ in aside]
    heights = [(len(lines) + 0.3) * sheet.line_height for lines in wrapped]
    slack = 0.6 * sheet.line_height
    middles = axes.spread([at for _, _, at in aside], heights, frame.top - slack, frame.bottom + slack)
    for (_, x, at), lines, middle in zip(aside, wrapped, middles, strict=True):
        left = frame.right + 0.6 * sheet.font
        if x is not None and (abs(middle - at) > 0.4 * sheet.font or x < frame.right - 2):
            sheet.line(x + 1, at, left - 2, middle, "thin lead")
        sheet.lines_of_text(left, middle, lines)


def _inner_name(sheet, name, last, places, names):
    """Write the name of a line that ends inside the frame: at its end, else somewhere along it."""
    blocks = [sheet.wrapped(name, share * names.frame.width) for share in (0.6, 0.35)]
    candidates = []
    for x, y in [last, *(p for p in _even(places)[::-1] if names.frame.holds(*p))]:
        for block in blocks:
            _, width, height = block
            for top in (y - height / 2, y - height - 4, y + 4):
                candidates += [(left, top, *block) for left in (x + 8, x - 8 - width)]
    names.write(candidates, "halo")


def _even(places, count=8):
    """Return points at even distances along a line."""
    step = sum(hypot(c - a, d - b) for (a, b), (c, d) in pairwise(places)) / count
    wanted, done, result = 0.0, 0.0, []
    for (a, b), (c, d) in pairwise(places):
        length = hypot(c - a, d - b)
        while length and wanted <= done + length and len(result) <= count:
            share = (wanted - done) / length
            result.append((a + share * (c - a), b + share * (d - b)))
            wanted += step
        done += length
    return result


def _visible(points, frame):
    """Return the last visible place of a line, and None when the frame shows nothing of it."""
    for (x2, y2), (x1, y1) in pairwise(points[::-1]):
        # Liang and Barsky's clipping: the part of the stretch between the two shares lies in the frame.
        enter, leave = 0.0, 1.0
        for move, room in (
            (x1 - x2, x1 - frame.left),
            (x2 - x1, frame.right - x1),
            (y1 - y2, y1 - frame.top),
            (y2 - y1, frame.bottom - y1),
        ):
            if move == 0:
                leave = leave if room >= -1e-6 else -1.0
            elif move < 0:
                enter = max(enter, room / move)
            else:
                leave = min(leave, room / move)
        if enter <= leave:
            return x1 + leave * (x2 - x1), y1 + leave * (y2 - y1)
    return None


# Plot


def _plot(sheet, plot, height):
    y_low, y_high = _y_ends(plot)
    x_low, x_high = axes.ends(plot.x, _x_values(plot), [m.x for m in plot.marks], tight=not plot.x.log)
    wrapped, margin = _name_margin(sheet, [plot])
    tall = max(0.6 * sheet.width, sum(len(lines) + 0.3 for lines in wrapped) * sheet.line_height)
    y_ticks, y_words = _ticks(plot.y, y_low, y_high, 0.7 * height if height else tall, 2.2 * sheet.font)
    left = sheet.wide(axes.tick_texts(y_ticks, plot.y.log)) + 9
    top = sheet.paragraph(2, 0, _axis_name(plot.y, y_words), sheet.width - 4) + 0.7 * sheet.font
    right = sheet.width - max(margin + 0.9 * sheet.font, 1.5 * sheet.font)
    frame = Frame(left, top, right, height - 2.9 * sheet.font if height else top + tall)
    x = _Way(plot.x, x_low, x_high, frame.left, frame.right)
    y = _Way(plot.y, y_low, y_high, frame.bottom, frame.top)
    x_ticks, x_words = _x_ticks(sheet, plot.x, x_low, x_high, frame)
    _y_axis(sheet, y, frame, y_ticks)
    end = _x_axis(sheet, x, frame, x_ticks, x_words, [frame])
    _panel(sheet, plot, frame, x, y, margin + 1)
    return 0, 0, sheet.width, max(end + 3, height or 0)


# Strip


def _strip(sheet, strip, height):
    # Where the stretches lie.
    times = [t for lane in strip.lanes for t in _x_values(lane)]
    blocks = [b for row in strip.rows for b in row.blocks] + [*strip.stages, *strip.faults]
    times += [t for block in blocks for t in (block.start, block.end)]
    low, high = axes.ends(strip.time, times, [m.x for lane in strip.lanes for m in lane.marks], tight=True)
    # How high the lanes and how wide the margins are.
    plan = _StripPlan(sheet, strip, height)
    _, margin = _name_margin(sheet, strip.lanes)
    right = sheet.width - max(margin + 0.9 * sheet.font, 1.5 * sheet.font)
    time = _Way(strip.time, low, high, plan.left, right)
    frames, rows = plan.frames(right)
    last = (rows or frames)[-1]
    # From the back to the front.
    _faults(sheet, strip, time, frames)
    x_ticks, _ = _x_ticks(sheet, strip.time, low, high, last)
    end = _x_axis(sheet, time, last, x_ticks, "", frames, beside=True)
    _stages(sheet, strip, time, frames[-1].bottom)
    for lane, lines, (y_low, y_high, ticks), frame in zip(
        strip.lanes, plan.lane_names, plan.scales, frames, strict=True
    ):
        y = _Way(lane.y, y_low, y_high, frame.bottom, frame.top)
        above = frame.top - (0.5 * len(lines) + 0.3) * sheet.line_height
        sheet.lines_of_text(2, frame.middle if plan.aside else above, lines, style="halo")
        _y_axis(sheet, y, frame, ticks)
        _panel(sheet, lane, frame, time, y, margin + 1)
    for row, lines, frame in zip(strip.rows, plan.row_names, rows, strict=True):
        sheet.lines_of_text(plan.left - 7, frame.middle, lines, "end")
        for block in row.blocks:
            _block(sheet, block, time, frame)
    return 0, 0, sheet.width, max(end + 3, height or 0)


class _StripPlan:
    """Heights and left margin of a strip; on a wide sheet the lanes' names stand aside, else above."""

    def __init__(self, sheet, strip, height):
        self.sheet, self.strip = sheet, strip
        self.aside = sheet.width >= 35 * sheet.font
        self.top = ((1.3 if strip.stages else 0) + (1 if strip.faults else 0)) * sheet.line_height
        self.row_names = [axes.wrap(row.label, 0.2 * sheet.width, sheet.font) for row in strip.rows]
        self.row_heights = [max(1.35, len(lines) * 1.1) * sheet.line_height for lines in self.row_names]
        self.lane_names = [["one line"] for _ in strip.lanes]
        ends = [_y_ends(lane) for lane in strip.lanes]
        for _ in range(2):  # names say what a tick step means, ticks need heights, heights need names
            self._settle(ends, height)
        self.left = self._left_margin()

    def _settle(self, ends, height):
        sheet, lanes = self.sheet, self.strip.lanes
        shares = sum(lane.share for lane in lanes)
        whole = 11 * sheet.font * shares
        if height:
            taken = self.top + sum(self.row_heights) + 0.35 * sheet.font * len(self.row_heights)
            taken += sum(self._above(k) for k in range(len(lanes))) + 1.35 * sheet.font + 8
            whole = max(height - taken, 2.5 * sheet.font * len(lanes))
        self.lane_heights = [whole * lane.share / shares for lane in lanes]
        self.scales, self.lane_names = [], []
        widest = 0.17 * sheet.width if self.aside else sheet.width - 4
        for lane, (low, high), tall in zip(lanes, ends, self.lane_heights, strict=True):
            ticks, words = _ticks(lane.y, low, high, tall, 1.9 * sheet.font)
            self.scales.append((low, high, ticks))
            self.lane_names.append(axes.wrap(_axis_name(lane.y, words), widest, sheet.font))

    def _above(self, k):
        """Return the room above lane number k."""
        if self.aside:
            return (0.7 if k else 0.3) * self.sheet.font
        return (len(self.lane_names[k]) + (0.6 if k else 0.3)) * self.sheet.line_height

    def _left_margin(self):
        """Return the room for tick numbers and row names, and for the lanes' names where they stand aside."""
        pairs = zip(self.strip.lanes, self.scales, strict=True)
        left = self.sheet.wide([t for lane, s in pairs for t in axes.tick_texts(s[2], lane.y.log)]) + 9
        if self.aside:
            names = [line for lines in self.lane_names for line in lines]
            left += self.sheet.wide(names) + 0.8 * self.sheet.font
        return max(left, self.sheet.wide([line for lines in self.row_names for line in lines]) + 9)

    def frames(self, right):
        """Return the frames of the lanes and of the rows, from top to bottom."""
        top, lanes, rows = self.top, [], []
        for k, tall in enumerate(self.lane_heights):
            top += self._above(k)
            lanes.append(Frame(self.left, top, right, top + tall))
            top += tall
        for tall in self.row_heights:
            top += 0.35 * self.sheet.font
            rows.append(Frame(self.left, top, right, top + tall))
            top += tall
        return lanes, rows


def _faults(sheet, strip, time, frames):
    top = 1.3 * sheet.line_height if strip.stages else 0
    for fault in strip.faults:
        left, right = time.at(fault.start), max(time.at(fault.end), time.at(fault.start) + 2)
        for frame in frames:
            sheet.rect(Frame(left, frame.top, right, frame.bottom), "edge fault", sheet.hatch())
        half = axes.text_width(fault.text, sheet.font, True) / 2
        middle = min(max((left + right) / 2, half + 1), sheet.width - half - 1)
        sheet.text(middle, top + 0.8 * sheet.line_height, fault.text, "middle", "strong")


def _stages(sheet, strip, time, bottom):
    """Name the stages along the top edge: all in full, else all in short, moved apart where narrow."""
    if not strip.stages:
        return
    for at in sorted({time.at(t) for stage in strip.stages for t in (stage.start, stage.end)}):
        sheet.line(at, 0.2 * sheet.font, at, bottom, "grid stage")
    fits = [sheet.wide([s.text]) <= time.at(s.end) - time.at(s.start) - 4 for s in strip.stages]
    shown = [s.text if all(fits) else s.short or s.text for s in strip.stages]
    widths = [sheet.wide([text]) + 0.3 * sheet.font for text in shown]
    wanted = [time.at((s.start + s.end) / 2) for s in strip.stages]
    places = axes.spread(wanted, widths, time.start, time.end)
    if sum(widths) > time.end - time.start:
        return  # too many to name; the table has them
    for text, want, at in zip(shown, wanted, places, strict=True):
        if abs(at - want) <= 1.5 * sheet.font:
            sheet.text(at, 0.9 * sheet.line_height, text, "middle", "halo")


def _block(sheet, block, time, frame):
    left, right = time.at(block.start), time.at(block.end)
    box = Frame(left, frame.top, right, frame.bottom)
    if block.filled:
        sheet.rect(box, "shade", "currentColor")
    sheet.rect(box, "edge block")
    fitting = [t for t in (block.text, block.short) if t and sheet.wide([t]) <= box.width - 4]
    if fitting:
        sheet.lines_of_text((left + right) / 2, frame.middle, fitting[:1], "middle")


# Bars


def _bars(sheet, bars, height):
    axis = Axis(bars.unit or "number", log=bars.log)
    low, high = axes.ends(axis, bars.values() if bars.log else [0.0, *bars.values()])
    start = (1.5 if bars.log else 0.5) * sheet.font  # half the first number of the axis
    way = _Way(axis, low, high, start, sheet.width - 1.6 * sheet.font)
    top = _bar_limit_names(sheet, bars, way)
    before = len(sheet.elements)
    bottom, done = top, 0.0
    for bar in bars.bars:
        start = done if bars.stacked else 0.0
        done = start + bar.value
        bottom = _bar(sheet, bars, way, bar, start, done, bottom)
    if bars.stacked:
        bottom = _total(sheet, bars, way, done, bottom)
    frame = Frame(way.start, top, way.end, bottom + 0.3 * sheet.font)
    texts, shapes = sheet.texts_last(before), sheet.elements[before:]
    del sheet.elements[before:]
    # From the back to the front: grid, bars, limits, lettering.
    ticks, words = _x_ticks(sheet, axis, low, high, frame)
    end = _x_axis(sheet, way, frame, ticks, words, [frame])
    sheet.line(frame.left, frame.bottom, frame.right, frame.bottom, "axis")
    if not bars.log:
        sheet.line(way.at(0.0), frame.top, way.at(0.0), frame.bottom, "axis")
    sheet.elements += shapes
    for limit in bars.limit:
        at = way.at(limit.value)
        sheet.path([(at, top - 3), (at, frame.bottom)], "limit", LIMIT_DASH)
    sheet.elements += texts
    return 0, 0, sheet.width, max(end + 3, height or 0)


def _bar_limit_names(sheet, bars, way):
    """Write the names of limits above the bars, each on lines of its own; return where they end."""
    top = 0.0
    for limit in sorted(bars.limit, key=lambda limit: -limit.value):
        lines, width, tall = sheet.wrapped(limit.label, sheet.width - 4)
        middle = min(max(way.at(limit.value), width / 2 + 1), sheet.width - width / 2 - 1)
        sheet.lines_of_text(middle, top + tall / 2, lines, "middle", "limit-name")
        top += tall
    return top + (0.3 * sheet.font if bars.limit else 0)


def _bar(sheet, bars, way, bar, start, end, top):
    """Draw name, figure and bar from `start` to `end`; return where the row ends."""
    figure = _figure(bar.value, bar.low, bar.high, bars.unit)
    top = _bar_words(sheet, bar.label, figure, bar.note, top, "halo")
    tall = 0.95 * sheet.font
    middle = top + 0.15 * sheet.font + tall / 2
    if bars.log:
        sheet.line(way.start, middle, way.at(end), middle, "thin lead")
    else:
        left, right = sorted((way.at(start), way.at(end)))
        box = Frame(left, middle - tall / 2, max(right, left + 0.75), middle + tall / 2)
        sheet.rect(box, "bar", "currentColor")
    if bar.low is not None and not bars.stacked:
        _whisker(sheet, way.at(bar.low), way.at(bar.high), middle, tall)
    if bars.log:
        sheet.circle(way.at(end), middle, 5.5, "ink bar", "currentColor")
    bottom = middle + tall / 2
    if bars.stacked:  # the next bar starts where this one ends
        sheet.line(way.at(end), middle, way.at(end), bottom + 2.4 * sheet.font, "thin lead")
    return bottom + 0.7 * sheet.font


def _figure(value, low, high, unit):
    text = axes.with_unit(axes.number_text(value), unit)
    if low is None or low == high:
        return text
    return f"{text} ({axes.number_text(low)} to {axes.number_text(high)})"


def _bar_words(sheet, label, figure, note, top, style):
    """Write name left and figure right on one line, or below one another where the line is too short."""
    left = 0.9 * sheet.font
    room = sheet.width - left - 4
    if sheet.wide([label], "strong" in style) + sheet.wide([figure], True) + sheet.font <= room:
        sheet.text(left, top + 0.78 * sheet.line_height, label, style=style)
        sheet.text(sheet.width - 4, top + 0.78 * sheet.line_height, figure, "end", "strong halo")
        top += sheet.line_height
    else:
        top = sheet.paragraph(left, top, label, room, style=style)
        top = sheet.paragraph(left, top, figure, room, style="strong halo")
    return sheet.paragraph(left, top, note, room, style="muted halo") if note else top


def _whisker(sheet, low, high, middle, tall):
    """Draw a range with two feet, first in the colour of the ground so that it shows on a bar."""
    for style in ("whisker-ground", "whisker"):
        for at in (low, high):
            sheet.path([(at, middle - tall / 3), (at, middle + tall / 3)], style)
        sheet.path([(low, middle), (high, middle)], style)


def _total(sheet, bars, way, done, top):
    low = float(sum(b.value if b.low is None else b.low for b in bars.bars))
    high = float(sum(b.value if b.high is None else b.high for b in bars.bars))
    figure = _figure(float(done), low, high, bars.unit)
    top = _bar_words(sheet, bars.total, figure, "", top, "strong halo")
    tall = 0.95 * sheet.font
    middle = top + 0.15 * sheet.font + tall / 2
    box = Frame(way.at(0.0), middle - tall / 2, way.at(done), middle + tall / 2)
    sheet.rect(box, "bar total", "currentColor")
    if low < high:
        _whisker(sheet, way.at(low), way.at(high), middle, tall)
    return middle + tall / 2 + 0.45 * sheet.font


# Scale


def _scale(sheet, scale, height):
    named = [(p, "") for p in scale.points] + [(p, "strong") for p in scale.yours]
    values = [p.value for p, _ in named]
    low, high = axes.ends(scale.axis, values, values + [at for b in scale.beside for at, _ in b.ticks])
    columns, words = _scale_columns(sheet, scale, low, high, height or 20 * sheet.font)
    x = columns[-1][0]
    left = x + 2.4 * sheet.font
    blocks = [sheet.wrapped(_landmark_text(p, scale.axis), sheet.width - left - 2, bool(style)) for p, style in named]
    heights = [tall for _, _, tall in blocks]
    top = _column_heads(sheet, columns, words) + 0.9 * sheet.font
    tall = height - top - sheet.font if height else max(15 * sheet.font, 1.15 * sum(heights))
    way = _Way(scale.axis, low, high, top + tall, top)
    for at, ticks, _ in columns:
        _scale_line(sheet, at, ticks, way)
    slack = sheet.font / 2
    middles = axes.spread([way.at(v) for v in values], heights, top - slack, top + tall + slack)
    for (point, style), (lines, _, _), middle in zip(named, blocks, middles, strict=True):
        _landmark(sheet, x, way.at(point.value), left, middle, lines, style)
    return 0, 0, sheet.width, top + tall + 0.9 * sheet.font


def _scale_columns(sheet, scale, low, high, room):
    """Return (place, (value, text) of each tick, what it is) from left to right, and words for the last."""
    columns, at = [], 0.0
    for second in scale.beside:
        ticks = [(v, t if isinstance(t, str) else axes.number_text(t)) for v, t in second.ticks]
        at += sheet.wide([t for _, t in ticks]) + (2.2 if columns else 0.8) * sheet.font
        columns.append((at, ticks, second))
    ticks, words = _ticks(scale.axis, low, high, room, 2.2 * sheet.font)
    texts = axes.tick_texts(ticks, scale.axis.log)
    at += sheet.wide(texts) + (2.2 if columns else 0.8) * sheet.font
    return [*columns, (at, list(zip(ticks, texts, strict=True)), scale.axis)], words


def _landmark_text(point, axis):
    shown = point.shown or axes.with_unit(axes.number_text(point.value), axis.unit)
    return f"{point.label}: {shown}"


def _column_heads(sheet, columns, words):
    """Name the scales from left to right above their lines; return where the names end."""
    top = 0.0
    sides = {1: ("",), 2: ("Left: ", "Right: "), 3: ("Left: ", "Middle: ", "Right: ")}[len(columns)]
    for side, (_, _, what) in zip(sides, columns, strict=True):
        name = side + _axis_name(what, words if what is columns[-1][2] else "")
        top = sheet.paragraph(2, top, name, sheet.width - 4)
    return top


def _scale_line(sheet, x, ticks, way):
    sheet.line(x, way.start, x, way.end, "axis")
    last = 1e9
    for value, text in sorted(ticks, key=lambda tick: tick[0]):
        at = way.at(value)
        sheet.line(x - 5, at, x, at, "axis")
        if abs(last - at) >= sheet.line_height:
            sheet.text(x - 8, at + 0.36 * sheet.font, text, "end")
            last = at


def _landmark(sheet, x, y, left, middle, lines, style):
    if style:
        pointer = [(x + 1, y), (x + 11, y - 6), (x + 11, y + 6)]
        sheet.path(pointer, "ink mark", closed=True, fill="currentColor")
        sheet.path([(x + 11, y), (left - 4, middle)], "line mark")
    else:
        sheet.path([(x, y), (x + 8, y), (left - 4, middle)], "edge lead")
    sheet.lines_of_text(left, middle, lines, style=style)


# Drawing


def _drawing(sheet, drawing, height):
    for shape in drawing.shapes:
        if isinstance(shape, Text):
            style = "" if shape.style == "plain" else shape.style
            size = 0.85 * sheet.font if shape.style == "small" else None
            sheet.text(shape.x, shape.y, shape.text, shape.anchor, style, size)
        else:
            _shape(sheet, shape)
    return drawing.view_box


def _shape(sheet, shape):
    style = {"thin": "thin shape", "thick": "thick shape", "shaded": "shaded"}.get(shape.style)
    style = style or f"shape {shape.style}"
    dash, fill = DASHES.get(shape.style, ""), "none"
    if shape.style == "filled":
        fill = "currentColor"
    elif shape.style == "hatched":
        fill = sheet.hatch()
    if isinstance(shape, Rect):
        right, bottom = shape.x + shape.width, shape.y + shape.height
        points = [(shape.x, shape.y), (right, shape.y), (right, bottom), (shape.x, bottom)]
        sheet.path(points, style, dash, closed=True, fill=fill)
    elif isinstance(shape, Circle):
        sheet.circle(shape.x, shape.y, shape.radius, style, fill)
    elif isinstance(shape, Poly):
        sheet.path(shape.points, style, dash, shape.closed, fill=fill if shape.closed else "none")
    elif isinstance(shape, Line):
        sheet.path([(shape.x1, shape.y1), (shape.x2, shape.y2)], style, dash)
    elif isinstance(shape, Arrow):
        _arrow(sheet, shape, style, dash)


def _arrow(sheet, arrow, style, dash):
    length = hypot(arrow.x2 - arrow.x1, arrow.y2 - arrow.y1)
    if length == 0:
        return
    along, up = (arrow.x2 - arrow.x1) / length, (arrow.y2 - arrow.y1) / length
    size = min(15 if arrow.style == "thick" else 11, length)
    neck_x, neck_y, wing = arrow.x2 - size * along, arrow.y2 - size * up, 0.45 * size
    sheet.path([(arrow.x1, arrow.y1), (neck_x, neck_y)], style, dash)
    head = [
        (arrow.x2, arrow.y2),
        (neck_x - wing * up, neck_y + wing * along),
        (neck_x + wing * up, neck_y - wing * along),
    ]
    sheet.path(head, "ink arrow", closed=True, fill="currentColor")
