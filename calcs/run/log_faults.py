"""What can be wrong with a record itself: gaps, sensors that stand still, spikes, jumps; and pressure and flow while hot."""

from array import array
from dataclasses import dataclass
from statistics import median

from calcs.data import constant


@dataclass(frozen=True)
class Finding:
    """One finding: from and to (s from the first row), what in words, verdict, and where its number stands.

    `kind` groups findings of one sort; `size` orders them within it.
    """

    from_s: float
    to_s: float
    what: str
    verdict: str
    kind: str = ""
    size: float = 0.0
    at_s: float | None = None

    @property
    def place_s(self) -> float:
        return self.from_s if self.at_s is None else self.at_s


@dataclass(frozen=True)
class Series:
    """One sensor: times (s) and values (K) without the rows that a fault spoils.

    `breaks` are the times of the rows behind which nothing is known: no line is drawn from them to the next row.
    """

    name: str
    times: array
    values: array
    breaks: frozenset = frozenset()

    def __len__(self) -> int:
        return len(self.times)


def usual_interval(times) -> float:
    """Return the median interval between rows, s; 0 for a single row.

    Args:
        times: rising, s.
    """
    step = max(1, len(times) // 5000)
    picked = [times[i + 1] - times[i] for i in range(0, len(times) - 1, step)]
    return median(picked) if picked else 0.0


def gap_limit(times) -> float:
    """Return the interval, s, above which rows are a gap."""
    return max(constant("log.gap_factor") * usual_interval(times), constant("log.gap_least")) * (1 + 1e-9)


def gaps(times, limit_s: float) -> list[tuple[int, int]]:
    """Return the pairs of rows between which the record has a gap.

    A pause counts where it is also long beside the intervals before and after it: notes by hand grow sparser as the
    chamber cools, and that is no gap.
    """
    before, found = times[0], []
    for i, time in enumerate(times):
        if time - before > limit_s and time - before > constant("log.gap_factor") * _usual_near(times, i):
            found.append((i - 1, i))
        before = time
    return found


def _usual_near(times, i: int) -> float:
    """Return the larger of the median intervals of five rows before and after the pause that ends at row i."""
    early = [times[j + 1] - times[j] for j in range(max(0, i - 6), i - 1)]
    late = [times[j + 1] - times[j] for j in range(i, min(i + 5, len(times) - 1))]
    return max((median(part) for part in (early, late) if part), default=0.0)


# ---------------------------------------------------------------- sensors


def stuck(times, values, leaders, others, powers=None) -> list[tuple[int, int]]:
    """Return (first row, last row) of stretches in which a reading stands still although others move.

    Args:
        times: s.
        values: the readings, as logged.
        leaders: columns that the sensor has to follow at once, K: the set point, for the chamber.
        others: columns of other readings, K; a sensor logged in coarse steps may lag far behind them.
        powers: heating power or output, or None.

    Source:
        house rule: log.stuck_rows, log.stuck_time, log.stuck_move, log.stuck_move_coarse, log.stuck_power.
    """
    least_rows, least_time, move = (constant(f"log.stuck_{name}") for name in ("rows", "time", "move"))
    found, start, here = [], 0, values[0]
    for i, value in enumerate(values):
        if value == here:
            continue
        if i - start >= least_rows and times[i - 1] - times[start] >= least_time:
            found.append((start, i - 1))
        start, here = i, value
    end = len(values) - 1
    if end - start + 1 >= least_rows and times[end] - times[start] >= least_time:
        found.append((start, end))
    fine = bool(found) and _step(values) <= constant("log.fine_step")
    far = move if fine else constant("log.stuck_move_coarse")
    return [
        (a, b) for a, b in found
        if any(_span(c[a : b + 1]) > move for c in leaders) or any(_span(c[a : b + 1]) > far for c in others)
        or (fine and powers is not None and _heating_changes(powers, a, b))
    ]  # fmt: skip


def _span(values) -> float:
    known = [v for v in values if v == v]
    return max(known) - min(known) if known else 0.0


def _step(values) -> float:
    """Return the smallest change between neighbours: how finely a sensor is logged."""
    part = values[:20_000]
    return min((abs(b - a) for a, b in zip(part, part[1:], strict=False) if a != b), default=1e9)


def _heating_changes(powers, first: int, last: int) -> bool:
    third = (last - first + 1) // 3
    top = max((p for p in powers if p == p), default=0.0)
    early = [p for p in powers[first : first + third] if p == p]
    late = [p for p in powers[last - third + 1 : last + 1] if p == p]
    if not early or not late or top <= 0:
        return False
    return abs(sum(early) / len(early) - sum(late) / len(late)) > constant("log.stuck_power") * top


def spikes(values) -> list[int]:
    """Return the rows whose single reading lies far from its neighbours.

    Args:
        values: readings, K.

    Source:
        Hampel 1974: distance from the median of seven neighbours over 6 scaled median deviations, and over 5 K.
    """
    least, window = constant("log.spike_least"), int(constant("log.spike_window"))
    factor = constant("log.spike_factor") * constant("log.median_scale")
    half, count = window // 2, len(values)
    candidates = set()
    before = values[0]
    for i, value in enumerate(values):
        if value - before > least or before - value > least:
            candidates.update((i - 1, i))
        before = value
    found = []
    for i in sorted(candidates):
        low = min(max(0, i - half), max(0, count - window))
        near = sorted(values[low : low + window])
        middle = near[len(near) // 2]
        spread = sorted(abs(v - middle) for v in near)[len(near) // 2]
        off = abs(values[i] - middle)
        alone = sum(abs(v - middle) > least for v in near) <= 2  # more than two rows are an event, not a spike
        if alone and off > least and off > factor * spread and len(near) >= window // 2 + 2:
            found.append(i)
    return found


def jumps(times, values) -> list[int]:
    """Return the rows at which a reading changes as no chamber can, and stays there."""
    most, longest, found = constant("log.jump"), constant("log.jump_time"), []
    before = values[0]
    for i, value in enumerate(values):
        if (value - before > most or before - value > most) and times[i] - times[i - 1] <= longest:
            found.append(i)
        before = value
    return found


def without(name: str, times, values, rows: set[int], breaks: set[float]) -> Series:
    """Return a sensor's readings without some rows and without empty ones.

    Args:
        name: of the sensor.
        times: s.
        values: K.
        rows: what to leave out.
        breaks: see Series.
    """
    if not rows and all(v == v for v in values):
        return Series(name, times, values, frozenset(breaks))
    kept = [i for i, v in enumerate(values) if v == v and i not in rows]
    return Series(name, array("d", [times[i] for i in kept]), array("d", [values[i] for i in kept]), frozenset(breaks))


# ---------------------------------------------------------------- pressure and flow


@dataclass(frozen=True)
class Below:
    """A stretch with a value below a level: first and last moment (s), the lowest value and when it stood."""

    from_s: float
    to_s: float
    lowest: float
    at_s: float

    @property
    def duration_s(self) -> float:
        return self.to_s - self.from_s


def below(times, values, level: float, asked, apart_s: float = 0.0) -> list[Below]:
    """Return the stretches in which a value lies below a level, with straight lines between rows.

    Args:
        times: s.
        values: as logged; nan where there is none.
        level: in the unit of the values.
        asked: for each row whether it counts.
        apart_s: stretches nearer than that are one.

    Source:
        crossings of straight lines between the rows.
    """
    found: list[list[float]] = []
    inside, last = False, len(times) - 1
    for i, value in enumerate(values):
        if not (value < level and asked[i]):
            inside = False
            continue
        if not inside:
            start = _crossing(times, values, level, i - 1, i) if i and asked[i - 1] else times[i]
            if found and start - found[-1][1] <= apart_s:
                start = found[-1][0]
                found[-1][1] = times[i]
            else:
                found.append([start, times[i], value, times[i]])
            inside = True
        this = found[-1]
        this[1] = _crossing(times, values, level, i, i + 1) if i < last and not values[i + 1] < level else times[i]
        if value < this[2]:
            this[2], this[3] = value, times[i]
    return [Below(*stretch) for stretch in found]


def _crossing(times, values, level: float, i: int, j: int) -> float:
    a, b = values[i], values[j]
    if a != a or b != b or a == b:
        return times[i] if a == a and a < level else times[j]
    return times[i] + (level - a) / (b - a) * (times[j] - times[i])


def total(times, values, breaks) -> float:
    """Return the integral of a value over time, by straight lines, gaps left out: energy from power."""
    found, before_time, before = 0.0, times[0], values[0]
    for time, value in zip(times, values, strict=True):
        if value == value and before == before and before_time not in breaks:
            found += (value + before) / 2 * (time - before_time)
        before_time, before = time, value
    return found
