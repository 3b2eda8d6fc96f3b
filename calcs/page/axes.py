"""Where the ends and ticks of an axis lie, how numbers are written, how wide lettering is.

Plain arithmetic for `calcs.page.svg`; the same in the build and in the browser.
"""

import re
from bisect import bisect_left
from itertools import accumulate, pairwise
from math import ceil, floor, log10

THIN = "\u202f"  # thin no-break space
MINUS = "\u2212"
_RAISED = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")

MOST_TICKS = 8
# Clock-like steps for time; the rest of their ladder is 1, 2, 5. No step is more than 2.5 times the one
# before it: that is why every range has a step which gives three to eight ticks.
_TIME_STEPS = {
    "s": (1, 2, 5, 10, 15, 30, 60, 120, 300, 600),
    "min": (1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440),
    "h": (0.25, 0.5, 1, 2, 3, 6, 12, 24, 48, 96),
}
_STRIDES = (1, 2, 3, 5, 10, 20, 25, 50, 100)  # decades from one tick to the next

# Advance widths in ems of a wide sans-serif face, so that lettering in a narrower one also fits.
_WIDTHS = {
    **dict.fromkeys("ijlI|'.,:;!()[]", 0.4),
    **dict.fromkeys("frt /-", 0.42),
    **dict.fromkeys("mwMW%@", 1.0),
    **dict.fromkeys("ABCDEFGHJKLNOPQRSTUVXYZ&", 0.77),
    **dict.fromkeys("\u202f\u2009", 0.2),
    **dict.fromkeys("⁰¹²³⁴⁵⁶⁷⁸⁹⁻₀₁₂₃₄₅₆₇₈₉", 0.46),
    **dict.fromkeys("+=<>×→←↑↓−", 0.84),
}
_UNIT_GAP = re.compile(r"(?<=\d) (?=[^\s\d]{1,8}(?:[ ,;)]|$))")  # a number keeps its unit beside it


# Numbers


def number_text(value, digits=3):
    """Return a number as the site writes it: groups of three, a real minus sign, raised powers of ten."""
    if isinstance(value, int):
        return _grouped(str(value))
    if value == 0:
        return "0"
    mantissa, exponent = f"{value:.{digits - 1}e}".split("e")
    exponent = int(exponent)
    if -4 < exponent < 6:
        decimals = max(0, digits - 1 - exponent)
        return _grouped(_trimmed(f"{float(f'{mantissa}e{exponent}'):.{decimals}f}"))
    return f"{_grouped(_trimmed(mantissa))}{THIN}×{THIN}{power_text(exponent)}"


def power_text(exponent):
    """Return a power of ten with a raised exponent: 10⁻²."""
    return "10" + str(exponent).translate(_RAISED)


def with_unit(text, unit):
    """Return a number and its unit with a no-break space between them."""
    return f"{text}\u00a0{unit}" if unit else text


def _trimmed(text):
    return text.rstrip("0").rstrip(".") if "." in text else text


def _grouped(text):
    sign, text = (MINUS, text[1:]) if text.startswith("-") else ("", text)
    whole, dot, rest = text.partition(".")
    if len(whole) >= 5:
        whole = f"{int(whole):,}".replace(",", THIN)
    return sign + whole + dot + rest


# Ends


def ends(axis, values, pinned=(), tight=False):
    """Return (low, high) of an axis that holds `values`, and `pinned` even beyond fixed ends.

    `tight` keeps the outermost values as ends, for time; otherwise the ends are rounded outwards.
    """
    values = [*values, *pinned]
    low = min(values) if axis.low is None else min([axis.low, *pinned])
    high = max(values) if axis.high is None else max([axis.high, *pinned])
    fixed = (axis.low is not None, axis.high is not None)
    if axis.log:
        return _log_ends(low, high, *fixed)
    return _linear_ends(low, high, *fixed, tight, axis.unit)


def _linear_ends(low, high, low_is_fixed, high_is_fixed, tight, unit):
    if not low_is_fixed and not tight and 0 < low <= 0.35 * high:
        low = 0.0
    least = 1e-6 * max(abs(low), abs(high)) or 1.0
    if high - low < least:  # one value only: open a window around it
        half = 0.1 * max(abs(low), abs(high)) or 1.0
        low, high = min(low, high), max(low, high)
        low, high = (low if low_is_fixed else low - half), (high if high_is_fixed else high + half)
        if high - low < least:
            low, high = low - half, high + half
    if not tight:
        step = _linear_step(low, high, 5, unit)
        low = low if low_is_fixed else step * floor(low / step + 1e-9)
        high = high if high_is_fixed else step * ceil(high / step - 1e-9)
    return float(low), float(high)


def _log_ends(low, high, low_is_fixed, high_is_fixed):
    """Round outwards to 1, 2 or 5; then to whole decades until three decade ticks fit."""
    low, high = min(low, high), max(low, high)
    if not low_is_fixed:
        low = max(v for v in _one_two_five(low) if v <= low * (1 + 1e-9))
    if not high_is_fixed:
        high = min(v for v in _one_two_five(high) if v >= high * (1 - 1e-9))
    if log10(high / low) > 12:  # over so many decades the ticks are far apart: end on whole fives
        low = low if low_is_fixed else 10.0 ** (5 * floor(log10(low) / 5 + 1e-9))
        high = high if high_is_fixed else 10.0 ** (5 * ceil(log10(high) / 5 - 1e-9))
    if low_is_fixed and high_is_fixed and low < high:
        return float(low), float(high)
    for turn in range(6):
        if high > low and len(_decades(low, high)) >= 3:
            break
        if not high_is_fixed and (turn % 2 == 0 or low_is_fixed):
            high = 10.0 ** (floor(log10(high) + 1e-9) + 1)
        else:
            low = 10.0 ** (ceil(log10(low) - 1e-9) - 1)
    return float(low), float(high)


def _one_two_five(around):
    middle = floor(log10(around))
    return [m * 10.0**e for e in range(middle - 1, middle + 2) for m in (1, 2, 5)]


# Ticks


def linear_ticks(low, high, want=5, unit=""):
    """Return three to eight round values in [low, high], about `want` of them."""
    step = _linear_step(low, high, want, unit)
    first, last = _multiples(low, high, step)
    decimals = max(0, 2 - floor(log10(step)))
    return [min(max(round(i * step, decimals), low), high) for i in range(first, last + 1)]


def log_ticks(low, high, most=MOST_TICKS):
    """Return (ticks, words): whole decades where three fit, and what one step between ticks means."""
    decades = _decades(low, high)
    if len(decades) >= 3:
        stride = next(s for s in _STRIDES if sum(e % s == 0 for e in decades) <= max(2, most))
        kept = [e for e in decades if e % stride == 0]
        if len(kept) < 2:
            kept, stride = [decades[0], decades[-1]], decades[-1] - decades[0]
        return [min(max(10.0**e, low), high) for e in kept], _step_words(stride)
    fine = sorted({v for end in (low, high) for v in _one_two_five(end) if low <= v <= high})
    words = "log scale: ten times has the same length everywhere"
    return (fine if len(fine) >= 3 else linear_ticks(low, high)), words


def tick_texts(ticks, log=False):
    """Return one text for each tick, all in the same manner."""
    if log and all(abs(log10(t) - round(log10(t))) < 1e-9 for t in ticks):
        exponents = [round(log10(t)) for t in ticks]
        if exponents[0] >= -3 and exponents[-1] <= 5:
            return [number_text(10.0**e) for e in exponents]
        return [power_text(e) for e in exponents]
    size = max(abs(t) for t in ticks)
    if log or size >= 1e6 or size < 1e-3:
        return [number_text(t) for t in ticks]
    decimals = max(0, 2 - floor(log10(min(b - a for a, b in pairwise(ticks)))))
    needed = max(len(_trimmed(f"{t:.{decimals}f}").partition(".")[2]) for t in ticks)
    return [_grouped(f"{t + 0.0:.{needed}f}") for t in ticks]


def _step_words(stride):
    times = {1: "ten", 2: "a hundred", 3: "a thousand"}.get(stride, power_text(stride))
    return f"each step is {times} times"


def _decades(low, high):
    return list(range(ceil(log10(low) - 1e-9), floor(log10(high) + 1e-9) + 1))


def _multiples(low, high, step):
    return ceil(low / step - 1e-9), floor(high / step + 1e-9)


def _linear_step(low, high, want, unit):
    """Return the round step whose ticks come nearest to `want`, the wider of two alike."""
    span = high - low
    if not span > 1e-9 * max(abs(low), abs(high)):
        raise ValueError(f"an axis from {low} to {high} has no length")
    best = None
    for step in _ladder(span, unit):
        first, last = _multiples(low, high, step)
        count = last - first + 1
        if 3 <= count <= MOST_TICKS and (best is None or abs(count - want) < best[0]):
            best = (abs(count - want), step)
    return best[1]


def _ladder(span, unit):
    """Return round steps around a fifth of the span, widest first."""
    middle = floor(log10(span))
    steps = [m * 10.0**e for e in range(middle - 2, middle + 2) for m in (1, 2, 5)]
    clock = _TIME_STEPS.get(unit, ())
    if clock:
        steps = [s for s in steps if not clock[0] <= s <= clock[-1]] + list(clock)
    return sorted(steps, reverse=True)


# Lettering


def text_width(text, font, bold=False):
    """Return a generous width of one line of text in drawing units."""
    ems = sum(_WIDTHS.get(letter, 0.64 if ord(letter) < 0x2E80 else 1.1) for letter in text)
    return ems * font * (1.1 if bold else 1.0)


def wrap(text, width, font, bold=False):
    """Return lines of at most `width`; a word that is wider by itself is cut."""
    lines = [""]
    for word in _UNIT_GAP.sub("\u00a0", text).split(" "):
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if text_width(longer, font, bold) <= width:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        lines[-1:] = _cut(word, width, font, bold)
    return [line for line in lines if line] or [""]


def _cut(word, width, font, bold):
    pieces = [""]
    for letter in word:
        if pieces[-1] and text_width(pieces[-1] + letter, font, bold) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def spread(wanted, heights, low, high):
    """Return middles near `wanted`, in its order, so that boxes of these heights share [low, high].

    Neighbours that collide move apart equally. Where there is too little room the boxes close up evenly.
    """
    room, need = high - low, sum(heights)
    squeeze = min(1.0, room / need) if need > 0 else 1.0
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i], i))
    sizes = [heights[i] * squeeze for i in order]
    before = [0.0, *accumulate(sizes)][: len(sizes)]
    starts = _rising([wanted[i] - size / 2 - done for i, size, done in zip(order, sizes, before, strict=True)])
    spare = max(room - sum(sizes), 0.0)
    result = [0.0] * len(wanted)
    for i, size, done, start in zip(order, sizes, before, starts, strict=True):
        result[i] = low + min(max(start - low, 0.0), spare) + done + size / 2
    return result


def _rising(values):
    """Return the nearest sequence that never falls: falling neighbours share their mean."""
    groups = []
    for value in values:
        groups.append([value, 1])
        while len(groups) > 1 and groups[-2][0] > groups[-1][0]:
            (a, n), (b, m) = groups[-2], groups.pop()
            groups[-1] = [(a * n + b * m) / (n + m), n + m]
    return [mean for mean, count in groups for _ in range(count)]


def thinned(points, most=600):
    """Return points of a line, fewer than some hundreds, with its spikes kept.

    Each slot of the length keeps its first, lowest, highest and last point. Lines that turn back stay whole.
    """
    if len(points) <= most or any(b[0] < a[0] for a, b in pairwise(points)):
        return list(points)
    left, right, slots = points[0][0], points[-1][0], most // 4
    edges = [left + (right - left) * k / slots for k in range(1, slots)]
    grouped = {}
    for point in points:
        grouped.setdefault(bisect_left(edges, point[0]), []).append(point)
    kept = []
    for group in grouped.values():
        heights = [y for _, y in group]
        chosen = {0, heights.index(min(heights)), heights.index(max(heights)), len(group) - 1}
        kept += [group[i] for i in sorted(chosen)]
    return kept
