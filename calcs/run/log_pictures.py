"""The pictures of a log: planned and measured with numbered findings, and the soak from near."""

from calcs import wording
from calcs.core import VERDICTS
from calcs.data import constant
from calcs.picture import Axis, Band, Curve, Lane, Limit, Mark, Plot, Strip, Table
from calcs.run import log_plan
from calcs.run.log_check import Check, gravest

BINS = 110  # stretches of the time axis; each gives its lowest and highest reading
SHOWN = 9  # numbers on a picture; more would cover the curve


def reduced(times, values, bins: int = BINS) -> list[tuple[float, float]]:
    """Return the curve with the lowest and the highest reading of each stretch, in the order of time."""
    count = len(times)
    if count <= 2 * bins:
        return list(zip(times, values, strict=True))
    found = []
    for b in range(bins):
        low, high = b * count // bins, (b + 1) * count // bins
        part = values[low:high]
        least, most = min(part), max(part)
        pair = sorted({low + part.index(least), low + part.index(most)})
        found += [(times[i], values[i]) for i in pair]
    return [(times[0], values[0]), *found, (times[-1], values[-1])]


def run(found: Check) -> Strip:
    """Return the whole run: temperature with plan and findings, pressure below it where it was logged."""
    zero = constant("general.zero_celsius")
    hour = 3600.0 if found.log.times[-1] >= 7200 else 60.0
    curves = []
    bands = ()
    if found.plan and found.shift_s is not None:
        planned = [((t + found.shift_s) / hour, y - zero) for t, y in found.plan.corners]
        curves.append(Curve("planned", planned, "dashed"))
        tolerance = found.inputs["tolerance"]
        bands = (Band("band", [(t, y - tolerance) for t, y in planned], [(t, y + tolerance) for t, y in planned]),)
    curves.append(Curve("chamber", _points(found.chamber, hour, zero), "solid"))
    if found.loads:
        curves.append(Curve(found.loads[0].name, _points(found.loads[0], hour, zero), "dotted"))
    limits = [Limit(words, found.inputs[name] - zero) for words, name in
              (("highest", "maximum_temperature"),) if found.inputs[name] is not None
              and max(found.chamber.values) > found.inputs[name] - 100]  # fmt: skip
    lanes = [Lane(Axis("Temperature", "°C"), tuple(curves), bands, tuple(limits), _marks(found, hour, zero), 2.0)]
    if found.gauge and len([p for p in found.gauge if p == p]) > 1:
        rows = [i for i, p in enumerate(found.gauge) if p == p]
        points = reduced([found.log.times[i] / hour for i in rows], [found.gauge[i] / 100 for i in rows])
        lanes.append(Lane(Axis("Above the room", "mbar"), (Curve("pressure", points),), limits=(Limit("room", 0.0),)))
    return Strip(
        sentence=_sentence(found),
        description=f"Temperature in °C against time, {wording.duration(found.log.times[-1])} in all: planned and measured, "
        "findings numbered as in the table.",
        time=Axis("Time from the first row", "h" if hour == 3600 else "min"),
        lanes=tuple(lanes),
        table=_table(found),
    )  # fmt: skip


def _points(series, hour: float, zero: float):
    points = [(t / hour, y - zero) for t, y in reduced(series.times, series.values)]
    return points if len(points) > 1 else points * 2


def _marks(found: Check, hour: float, zero: float) -> tuple[Mark, ...]:
    return tuple(
        Mark(str(number), one.place_s / hour, log_plan.at(found.chamber, one.place_s) - zero, "ring")
        for number, one in enumerate(found.findings[:SHOWN], 1)
    )


def _sentence(found: Check) -> str:
    count = len(found.findings)
    if not count:
        return "No finding" if found.plan is None else "The chamber kept to the plan: no finding"
    return f"{wording.count(count, 'finding')}; the gravest at {found.moment(gravest(found).place_s)}"


def _table(found: Check) -> Table:
    if not found.findings:
        moments = [found.log.times[-1] * i / 8 for i in range(9)]
        zero = constant("general.zero_celsius")
        rows = [(wording.duration(t) if t else "start", wording.number(log_plan.at(found.chamber, t) - zero, 4))
                for t in moments]  # fmt: skip
        return Table("Readings", ("Time", "Chamber, °C"), rows)
    rows = [(str(n), found.moment(f.from_s), found.moment(f.to_s), f.what, VERDICTS[f.verdict])
            for n, f in enumerate(found.findings, 1)]  # fmt: skip
    return Table("Findings", ("Number", "From", "To", "What", "Verdict"), rows)


def soak(found: Check) -> Plot | None:
    """Return the soak from near, with its band; None where there was none."""
    if found.dwell is None or found.dwell.total_s <= 0:
        return None
    zero, tolerance = constant("general.zero_celsius"), found.inputs["tolerance"]
    target = found.target_k - zero
    start, end = found.dwell.from_s, found.dwell.to_s
    margin = max(0.3 * (end - start), 2 * found.gap_s)
    low_t, high_t = start - margin, end + margin
    curves, rows = [], []
    for series, dash in ((found.chamber, "solid"), *((s, "dotted") for s in found.loads[:1])):
        kept = [(t, v) for t, v in zip(series.times, series.values, strict=True)
                if low_t <= t <= high_t and abs(v - found.target_k) < 6 * tolerance]  # fmt: skip
        if len(kept) > 1:
            points = reduced([t / 60 for t, _ in kept], [v - zero for _, v in kept])
            curves.append(Curve(series.name, points, dash))
            rows = rows or kept[:: max(1, len(kept) // 12)]
    if not curves:
        return None
    ends = [curves[0].points[0][0], curves[0].points[-1][0]]
    return Plot(
        sentence=f"Within the band for {wording.duration(found.dwell.unbroken_s, 'down')} unbroken, by the {found.dwell_by}",
        description=f"Temperature in °C near {target:.0f} °C against time in min, with the band about it.",
        x=Axis("Time from the first row", "min"),
        y=Axis("Temperature", "°C"),
        curves=tuple(curves),
        bands=(Band("band", [(t, target - tolerance) for t in ends], [(t, target + tolerance) for t in ends]),),
        table=Table("The soak from near", ("Time, min", "Temperature, °C"),
                    [(wording.number(t / 60, 4), wording.number(v - zero, 4)) for t, v in rows]),
    )  # fmt: skip
