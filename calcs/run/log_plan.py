"""A log beside its plan: lined up, compared row by row, its soak measured."""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass

from calcs import straight
from calcs.data import constant
from calcs.heat.segments import COOL, SOAK, Leg
from calcs.run.log_faults import Series

SEARCH_S, COARSE_S, FINE_S = 1200.0, 30.0, 3.0  # of the shift: 20 min either way, then ever finer; ours
POINTS = 240  # moments of the plan that are compared while lining up
LARGEST_K = 30.0  # a larger departure counts as this one: a soak cut short must not drag the start along; ours


@dataclass(frozen=True)
class Plan:
    """The planned curve as far as its times are known.

    Args of the fields:
        legs: of the programme, up to the first whose time only the furnace knows.
        times, values: its corners, s from the start, K.
        heated_s: end of the last leg that heats or holds: lining up and dose end there.
        soak: the hottest soak, the longest of those, or None; `soak_from_s` is when it begins.
    """

    legs: tuple[Leg, ...]
    times: tuple[float, ...]
    values: tuple[float, ...]
    heated_s: float
    soak: Leg | None
    soak_from_s: float

    @property
    def end_s(self) -> float:
        return self.times[-1]

    @property
    def peak_k(self) -> float:
        return max(self.values)

    def at(self, time_s: float) -> float:
        """Return the temperature wanted, K; the ends are held outside."""
        return straight.at(self.times, self.values, time_s)

    @property
    def corners(self) -> list[tuple[float, float]]:
        return list(zip(self.times, self.values, strict=True))


def plan_of(path: list[Leg]) -> Plan:
    """Return the plan of a programme's legs.

    Args:
        path: legs; a cooling leg may have no time.

    Source:
        straight lines between the corners of the programme.
    """
    times, values, known, heated, soak, soak_from = [0.0], [path[0].start_k], [], 0.0, None, 0.0
    for leg in path:
        if leg.duration_s is None:
            break
        known.append(leg)
        start = times[-1]
        times.append(start + leg.duration_s)
        values.append(leg.end_k)
        if leg.kind != COOL and leg.change_k >= 0:
            heated = times[-1]
        better = leg.kind == SOAK and (soak is None or (leg.start_k, leg.duration_s) > (soak.start_k, soak.duration_s))
        if better:
            soak, soak_from = leg, start
    return Plan(tuple(known), tuple(times), tuple(values), heated, soak, soak_from)


# ---------------------------------------------------------------- lining up


def at(series: Series, time_s: float) -> float:
    """Return a sensor's reading at a time, K, by straight lines; the ends are held outside."""
    return straight.at(series.times, series.values, time_s)


def first_rise(series: Series, level_k: float) -> float | None:
    """Return when a sensor first rises through a level and stays above it for three rows, s; None where never."""
    times, values = series.times, series.values
    for i, value in enumerate(values):
        if value > level_k and all(v > level_k for v in values[i : i + 3]):
            if i == 0 or value == values[i - 1]:
                return times[i]
            return times[i - 1] + (level_k - values[i - 1]) / (value - values[i - 1]) * (times[i] - times[i - 1])
    return None


def rise_shift(plan: Plan, series: Series) -> float | None:
    """Return by how much the log's first rise comes later than the plan's, s; None where either never rises."""
    level = max(plan.values[0], series.values[0]) + constant("log.rise")
    planned = next((t0 + (level - y0) / (y1 - y0) * (t1 - t0) for (t0, y0), (t1, y1)
                    in zip(plan.corners, plan.corners[1:], strict=False) if y0 <= level < y1), None)  # fmt: skip
    found = first_rise(series, level)
    return None if planned is None or found is None else found - planned


def best_shift(plan: Plan, series: Series) -> float | None:
    """Return the shift that brings the log nearest to the plan while it heats and holds, s; None without any rise.

    It is found by least squares: the sum of (T_log(t + s) - T_plan(t))² over heating and soak is smallest, a departure above 30 K counted as 30 K. It holds
    the late start and the lag of the chamber together; cooling is left out, since no furnace cools as told.

    Args:
        plan: the plan.
        series: the chamber.

    Source:
        least squares on a grid, refined by a parabola; check value of the reference: 5.7 min.
    """
    guess = rise_shift(plan, series)
    if guess is None or plan.heated_s <= 0:
        return None
    step = plan.heated_s / POINTS
    moments = [step * i for i in range(POINTS + 1)]
    wanted = [plan.at(t) for t in moments]
    low, high = series.times[0], series.times[-1]

    def misses(shift: float) -> float:
        pairs = [min(abs(at(series, t + shift) - w), LARGEST_K) ** 2 for t, w in zip(moments, wanted, strict=True)
                 if low <= t + shift <= high]  # fmt: skip
        return sum(pairs) / len(pairs) + (1e6 if len(pairs) < len(moments) / 2 else 0.0) if pairs else 1e12

    best = guess
    for reach, grid in ((SEARCH_S, COARSE_S), (2 * COARSE_S, FINE_S)):
        count = round(reach / grid)
        best = min((best + grid * i for i in range(-count, count + 1)), key=misses)
    a, b, c = misses(best - FINE_S), misses(best), misses(best + FINE_S)
    bend = a - 2 * b + c
    return best + (FINE_S * (a - c) / (2 * bend) if bend > 0 else 0.0)


# ---------------------------------------------------------------- departures


@dataclass(frozen=True)
class Departure:
    """A stretch off the plan: moments (s of the log), largest departure (K, signed), when, in which leg, verdict."""

    from_s: float
    to_s: float
    largest_k: float
    at_s: float
    leg: Leg
    verdict: str


def departures(
    plan: Plan, series: Series, shift_s: float, tolerance_k: float, apart_s: float
) -> tuple[list[Departure], float, float]:
    """Return the stretches off the plan, and the largest departure while it heats and holds (K, signed) with its time.

    Args:
        plan: the plan.
        series: the chamber.
        shift_s: what best_shift gives.
        tolerance_k: the band, K.
        apart_s: stretches nearer than that are one.

    Source:
        house rules: a soak is off beyond 1.5 times the band; a ramp, and a soak within 5 min of it, beyond that and
        what the ramp makes in 2 min; cooling is listed and never worse than close.
    """
    settling, lag, factor = constant("log.settling"), constant("log.lag"), constant("log.outside_factor")
    found: list[list] = []
    largest, largest_at = 0.0, 0.0
    times, values = series.times, series.values
    first, last = bisect_left(times, shift_s), bisect_right(times, shift_s + plan.end_s)
    number, ramp = 0, 0.0
    ends = plan.times[1:]
    before_end = None
    for i in range(first, last):
        moment = times[i] - shift_s
        while number < len(ends) - 1 and moment > ends[number]:
            number += 1
        leg, start = plan.legs[number], plan.times[number]
        share = (moment - start) / leg.duration_s if leg.duration_s else 1.0
        off = values[i] - (leg.start_k + leg.change_k * share)
        size = abs(off)
        if size > abs(largest) and moment <= plan.heated_s + 1e-6:
            largest, largest_at = off, times[i]
        if size <= tolerance_k * (1 + 1e-9):
            continue
        settled = leg.change_k == 0 and moment - start > settling
        ramp = abs(leg.change_k / leg.duration_s) if leg.change_k and leg.duration_s else _ramp_before(plan, number)
        bound = factor * tolerance_k + (0.0 if settled else ramp * lag)
        cooling = leg.kind == COOL or leg.change_k < 0
        verdict = "close" if size <= bound * (1 + 1e-9) or cooling else "outside"
        joined = found and times[i] - before_end <= apart_s and (off > 0) == (found[-1][2] > 0)
        if joined and cooling == (found[-1][4].kind == COOL or found[-1][4].change_k < 0):
            this = found[-1]
            this[1] = times[i]
            if size > abs(this[2]):
                this[2], this[3], this[4] = off, times[i], leg
            this[5] = "outside" if "outside" in (this[5], verdict) else "close"
        else:
            found.append([times[i], times[i], off, times[i], leg, verdict])
        before_end = times[i]
    return [Departure(*stretch) for stretch in found], largest, largest_at


def _ramp_before(plan: Plan, number: int) -> float:
    """Return the ramp of the leg before, K/s."""
    leg = plan.legs[number - 1] if number else None
    return abs(leg.change_k / leg.duration_s) if leg and leg.duration_s else 0.0


# ---------------------------------------------------------------- the soak


@dataclass(frozen=True)
class Dwell:
    """Time within a band, s: all of it, the longest unbroken part, and when that part was."""

    total_s: float
    unbroken_s: float
    from_s: float
    to_s: float


def dwell(series: Series, low_k: float, high_k: float) -> Dwell:
    """Return how long a sensor was within a band, with straight lines between rows and gaps left out.

    Args:
        series: the sensor.
        low_k: lower edge, K.
        high_k: upper edge, K.

    Source:
        crossings of straight lines with the edges of the band, exact.
    """
    total = best = run = 0.0
    run_from = best_from = best_to = 0.0
    joined = False
    times, values, breaks = series.times, series.values, series.breaks
    t0, y0 = times[0], values[0]
    for t1, y1 in zip(times, values, strict=True):
        span = t1 - t0
        if span <= 0 or t0 in breaks or (y0 < low_k and y1 < low_k) or (y0 > high_k and y1 > high_k):
            joined, t0, y0 = False, t1, y1
            continue
        if low_k <= y0 <= high_k and low_k <= y1 <= high_k:
            enter, leave = 0.0, 1.0
        else:
            ends = sorted(((low_k - y0) / (y1 - y0), (high_k - y0) / (y1 - y0)))
            enter, leave = max(0.0, ends[0]), min(1.0, ends[1])
        part = (leave - enter) * span
        total += part
        if enter > 0 or not joined:
            run, run_from = 0.0, t0 + enter * span
        run += part
        joined = leave >= 1.0
        if run > best:
            best, best_from, best_to = run, run_from, t0 + leave * span
        t0, y0 = t1, y1
    return Dwell(total, best, best_from, best_to)


def time_above(series: Series, limit_k: float) -> float:
    """Return how long a sensor was above a temperature, s; being on it does not count."""
    found = 0.0
    t0, y0 = series.times[0], series.values[0]
    for t1, y1 in zip(series.times, series.values, strict=True):
        if (y0 > limit_k or y1 > limit_k) and t1 > t0 and t0 not in series.breaks:
            if y0 > limit_k and y1 > limit_k:
                found += t1 - t0
            else:
                found += (max(y0, y1) - limit_k) / abs(y1 - y0) * (t1 - t0)
        t0, y0 = t1, y1
    return found


def ramp_between(series: Series, low_k: float, high_k: float) -> float | None:
    """Return the ramp of the first rise from one temperature to another, K/s, by least squares; None below three rows.

    Args:
        series: the chamber.
        low_k: from, K.
        high_k: to, K.

    Source:
        slope of the straight line of least squares through the rows between the two temperatures.
    """
    times, values = series.times, series.values
    end = next((i for i, y in enumerate(values) if y >= high_k), None)
    if end is None:
        return None
    start = end
    while start > 0 and values[start - 1] >= low_k:
        start -= 1
    rows = [(times[i], values[i]) for i in range(start, end + 1) if low_k <= values[i] <= high_k]
    if len(rows) < 3:
        return None
    middle_t = sum(t for t, _ in rows) / len(rows)
    middle_y = sum(y for _, y in rows) / len(rows)
    spread = sum((t - middle_t) ** 2 for t, _ in rows)
    return sum((t - middle_t) * (y - middle_y) for t, y in rows) / spread if spread else None
