"""The sheet that a picture is drawn on: lines, boxes and lettering become SVG elements.

Coordinates are rounded to two decimals, so that the build and the browser write the same bytes.
Colours come from classes alone; each element also carries plain attributes in the colour of the text
around it, so that it can be read without a style sheet.
"""

import re
from dataclasses import dataclass
from html import escape
from math import hypot

from calcs.page import axes

_KEY = re.compile(r"[A-Za-z][A-Za-z0-9-]*")

LINE_WIDTHS = {
    "line": 2.5,
    "limit": 1.75,
    "axis": 1.25,
    "grid": 0.75,
    "edge": 1,
    "thin": 1,
    "thick": 4,
    "bar": 1,
}
_WITHOUT_LINE = ("band", "shade", "ink")
_OPACITIES = {
    "grid": ' stroke-opacity="0.25"',
    "band": ' fill-opacity="0.15"',
    "shade": ' fill-opacity="0.15"',
}


@dataclass(frozen=True)
class Frame:
    """A rectangle of the sheet, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self):
        return self.right - self.left

    @property
    def height(self):
        return self.bottom - self.top

    @property
    def middle(self):
        return (self.top + self.bottom) / 2

    def holds(self, x, y):
        return self.left <= x <= self.right and self.top <= y <= self.bottom


class Sheet:
    """Collects elements and writes them out."""

    def __init__(self, key, width, font):
        self.key, self.width, self.font = checked_key(key), width, font
        self.line_height = 1.25 * font
        self.elements, self.definitions = [], []

    def line(self, x1, y1, x2, y2, style):
        ends = f'x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"'
        self.elements.append(f"<line {ends} {_look(style)}/>")

    def path(self, points, style, dash="", closed=False, clip="", fill="none"):
        d = "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points) + ("Z" if closed else "")
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        clipped = f' clip-path="url(#{clip})"' if clip else ""
        self.elements.append(f'<path d="{d}" {_look(style, fill)}{dashed}{clipped}/>')

    def rect(self, frame, style, fill="none"):
        place = f'x="{_n(frame.left)}" y="{_n(frame.top)}"'
        size = f'width="{_n(frame.width)}" height="{_n(frame.height)}"'
        self.elements.append(f"<rect {place} {size} {_look(style, fill)}/>")

    def circle(self, x, y, radius, style, fill="none"):
        self.elements.append(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}" {_look(style, fill)}/>')

    def text(self, x, y, text, anchor="start", style="", size=None):
        """Write one line; `y` is its base line."""
        words = style.split()
        place = f'x="{_n(x)}" y="{_n(y)}"' + (f' text-anchor="{anchor}"' if anchor != "start" else "")
        place += f' font-size="{_n(size)}"' if size else ""
        place += ' font-weight="bold"' if "strong" in words else ""
        name = " ".join(["pic-text", *(f"pic-{word}" for word in words)])
        self.elements.append(f'<text {place} class="{name}" fill="currentColor">{escaped(text)}</text>')

    def lines_of_text(self, x, middle, lines, anchor="start", style=""):
        """Write lines below one another, centred on `middle`."""
        top = middle - len(lines) * self.line_height / 2
        for k, line in enumerate(lines):
            self.text(x, top + (k + 0.78) * self.line_height, line, anchor, style)

    def paragraph(self, x, top, text, width, anchor="start", style=""):
        """Write wrapped text below `top`; return where it ends."""
        lines = axes.wrap(text, width, self.font, "strong" in style)
        end = top + len(lines) * self.line_height
        self.lines_of_text(x, (top + end) / 2, lines, anchor, style)
        return end

    def wide(self, texts, bold=False):
        """Return the width of the widest text."""
        return max((axes.text_width(text, self.font, bold) for text in texts), default=0.0)

    def wrapped(self, text, widest, bold=False):
        """Return (lines, width, height) of text wrapped to at most `widest`."""
        lines = axes.wrap(text, widest, self.font, bold)
        return lines, self.wide(lines, bold), len(lines) * self.line_height

    def clip(self, frame):
        """Return the id of a clipping rectangle, a hair wider than the frame for lines on its edge."""
        name = f"{self.key}-clip-{len(self.definitions) + 1}"
        place = f'x="{_n(frame.left)}" y="{_n(frame.top - 1)}"'
        size = f'width="{_n(frame.width + 1)}" height="{_n(frame.height + 2)}"'
        self.definitions.append(f'<clipPath id="{name}"><rect {place} {size}/></clipPath>')
        return name

    def hatch(self):
        """Return a fill of slanted lines."""
        name = f"{self.key}-hatch"
        definition = (
            f'<pattern id="{name}" width="7" height="7" patternUnits="userSpaceOnUse">'
            '<path d="M-1 8L8 -1" class="pic-hatch" stroke="currentColor" fill="none"/></pattern>'
        )
        if definition not in self.definitions:
            self.definitions.append(definition)
        return f"url(#{name})"

    def texts_last(self, since):
        """Bring the lettering among the elements from number `since` on to the front of the lines."""
        drawn = self.elements[since:]
        self.elements[since:] = [e for e in drawn if not e.startswith("<text")]
        return [e for e in drawn if e.startswith("<text")]

    def finished(self, picture, box):
        """Return the whole drawing with its name and description."""
        names = f'aria-labelledby="{self.key}-title" aria-describedby="{self.key}-desc"'
        view = " ".join(_n(v) for v in box)
        definitions = f"<defs>{''.join(self.definitions)}</defs>" if self.definitions else ""
        parts = (
            f'<svg class="pic-drawing" role="img" {names} viewBox="{view}" font-size="{_n(self.font)}">',
            f'<title id="{self.key}-title">{escaped(picture.sentence)}</title>',
            f'<desc id="{self.key}-desc">{escaped(picture.description)}</desc>',
            definitions,
            *self.elements,
            "</svg>",
        )
        return "\n".join(part for part in parts if part)


def checked_key(key):
    """Return the key when ids can start with it."""
    if not _KEY.fullmatch(key):
        raise ValueError(f"key {key!r}: letters, digits and hyphens only, a letter first")
    return key


def escaped(text):
    """Return text as markup-free characters; those that no document may hold are left out."""
    kept = (c for c in text if c >= " " and not "\ud800" <= c <= "\udfff" and c not in "\ufffe\uffff\x7f")
    return escape("".join(kept), quote=True)


def _look(style, fill="none"):
    """Return class and plain attributes; `style` is words, the first of which is the kind of line."""
    kind = style.split()[0]
    names = " ".join(f"pic-{word}" for word in style.split())
    width = LINE_WIDTHS.get(kind, 1.5)
    stroke = 'stroke="none"' if kind in _WITHOUT_LINE else f'stroke="currentColor" stroke-width="{_n(width)}"'
    return f'class="{names}" {stroke} fill="{fill}"{_OPACITIES.get(kind, "")}'


def _n(value):
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class Names:
    """Finds free places for names inside a frame of a sheet."""

    def __init__(self, sheet, frame):
        self.sheet, self.frame, self.taken, self.inked = sheet, frame, [], []

    def ink(self, points, every=5.0):
        """Remember where a line runs, so that names keep off it."""
        for (x1, y1), (x2, y2) in zip(points, points[1:], strict=False):
            count = int(min(hypot(x2 - x1, y2 - y1) / every, 200)) + 1
            self.inked += [(x1 + (x2 - x1) * k / count, y1 + (y2 - y1) * k / count) for k in range(count + 1)]

    def write(self, candidates, style):
        """Write into the freest of some (left, top, lines, width, height), earlier ones preferred.

        Candidates that leave the sheet or the frame's height are moved back into it first.
        """
        inside = [self._moved_in(*candidate) for candidate in candidates]
        costs = [self._cost(box) + 0.5 * k for k, (box, _) in enumerate(inside)]
        box, lines = inside[costs.index(min(costs))]
        self.taken.append(box)
        self.sheet.lines_of_text(box.left, box.top + len(lines) * self.sheet.line_height / 2, lines, style=style)

    def _moved_in(self, left, top, lines, width, height):
        left = min(max(left, 1), max(1, self.sheet.width - 1 - width))
        top = max(min(top, self.frame.bottom - 2 - height), self.frame.top - 0.3 * self.sheet.font)
        return Frame(left, top, left + width, top + height), lines

    def _cost(self, box):
        outside = max(0, self.frame.left - box.left) + max(0, box.right - self.frame.right)
        cost = 30 * outside
        for other in self.taken:
            across = min(box.right, other.right) - max(box.left, other.left)
            down = min(box.bottom, other.bottom) - max(box.top, other.top)
            cost += 2 * max(0, across) * max(0, down)
        near = sum(box.left - 2 <= x <= box.right + 2 and box.top <= y <= box.bottom for x, y in self.inked)
        return cost + 10 * near
