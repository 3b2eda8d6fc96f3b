"""A log taken apart: its sensors cleaned, lined up with the plan, and every finding in the order of time."""

from dataclasses import dataclass, field
from math import inf

from calcs import logs, wording
from calcs.core import Refused
from calcs.data import constant
from calcs.form import REFERENCES, Problems, flow_in_mol_per_s
from calcs.heat import equivalence
from calcs.heat.segments import COOL, SOAK, Leg
from calcs.log_heads import FLOW, LOAD, OUTPUT, OXYGEN, POWER, PRESSURE, SET, TEMPERATURE
from calcs.run import log_faults as faults
from calcs.run import log_plan
from calcs.run.log_faults import Finding, Series
from calcs.run.said import celsius

MOST_OF_A_KIND = 6  # rows of the table for findings of one kind; the rest are counted in one line
MOST_DOSE_ROWS = 800  # rows of a long log whose dose is added up

GAP, STUCK, SPIKES, JUMP, APART = "gap", "stuck sensor", "spikes", "jump", "sensors apart"
OFF_PLAN, SHORT, DIP, LITTLE_FLOW, TOO_HOT, DOSE, CLOCK, ENDS = (
    "off the plan", "soak", "pressure dip", "flow", "too hot", "dose", "clock", "ends early",
)  # fmt: skip


def kelvin(value: float, towards: str = "up") -> str:
    """Return a temperature difference in words."""
    return wording.with_unit(wording.number(abs(value), 2 if abs(value) < 100 else 3, towards), "K")


def millibar(pascal: float, towards: str = "down") -> str:
    """Return a pressure against the room in words."""
    return wording.with_unit(wording.number(pascal / 100, 2, towards), "mbar")


@dataclass
class Check:
    """What a log holds, beside its plan. Temperatures K, times s from the first row, pressures Pa above the room."""

    inputs: object
    log: logs.Log
    gap_s: float
    chamber: Series
    loads: list[Series]
    breaks: set
    plan: log_plan.Plan | None = None
    shift_s: float | None = None
    target_k: float | None = None
    wanted_soak_s: float | None = None
    largest: tuple[float, float] | None = None
    dwell: log_plan.Dwell | None = None
    dwell_by: str = ""
    over_k: float | None = None
    ramp: float | None = None
    lowest: tuple[float, float] | None = None
    gauge: list | None = None
    dose: tuple[float, float] | None = None
    planned_dose: float | None = None
    energy_j: float | None = None
    above_s: float | None = None
    findings: list[Finding] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    stuck: dict = field(default_factory=dict)

    def add(self, *findings: Finding) -> None:
        self.findings += findings

    def moment(self, time_s: float) -> str:
        """Return a moment of the log in words: by its clock where it has one, else from its first row."""
        if self.log.clock:
            minutes = int((self.log.begins_s + time_s) // 60)
            return f"{minutes // 60 % 24:02}:{minutes % 60:02}"
        return wording.duration(time_s) if time_s else "the start"


def check(inputs, log: logs.Log, path: list[Leg] | None) -> Check:
    """Return everything that can be said about a log.

    Args:
        inputs: of the form, as read.
        log: as read.
        path: the legs of the programme, or None.

    Raises:
        Refused: unit_unknown, where a pressure may be absolute or not.
        Problems: what the log asks for and the form lacks.
    """
    found = _record(inputs, log)
    _set_plan(found, path)
    if found.plan:
        _line_up(found)
    _soak(found)
    _limits(found)
    _pressure(found)
    _flow(found)
    _worth(found)
    _sensors_apart(found)
    found.findings = _few(sorted(found.findings, key=lambda f: (f.from_s, f.to_s)), found)
    return found


# ---------------------------------------------------------------- the record itself


def _record(inputs, log) -> Check:
    times = log.times
    gap = faults.gap_limit(times)
    chamber, loads = log.first(TEMPERATURE), log.all(LOAD)
    sensors = [chamber, *loads]
    sets = [c.values for c in log.all(SET)]
    power = log.first(POWER) or log.first(OUTPUT)
    pauses = faults.gaps(times, gap)
    found = Check(inputs, log, gap, None, [], {times[a] for a, _ in pauses})
    series = []
    for column in sensors:
        name = "chamber" if column is chamber else _load_name(column, loads)
        others = [c.values for c in sensors if c is not column]
        leaders, others = (sets, others) if column is chamber else ([], others + sets)
        series.append(_clean(found, name, column.values, (leaders, others, power and power.values)))
    found.chamber, found.loads = series[0], [s for s in series[1:] if len(s)]
    if not len(found.chamber):
        raise Refused("empty_log", "no reading is left", "The chamber's sensor stands still all through the log.",
                      "Choose the log of a sensor that works.", field="log")  # fmt: skip
    _gaps(found, pauses)
    if log.set_back_s:
        found.add(Finding(0.0, times[-1], f"the clock was set back by {wording.duration(log.set_back_s)}; rows that "
                          "repeat a time are left out", "cannot_say", CLOCK))  # fmt: skip
    return found


def _load_name(column, loads) -> str:
    return "load" if len(loads) == 1 else f"load {loads.index(column) + 1}"


def _clean(found: Check, name: str, values, beside) -> Series:
    """Return a sensor's readings without the rows that faults spoil; each fault becomes a finding."""
    times, gone, breaks = found.log.times, set(), set(found.breaks)
    for a, b in faults.stuck(times, values, *beside):
        gone.update(range(a, b + 1))
        breaks.add(times[max(a - 1, 0)])
        found.stuck.setdefault(name, []).append((times[a], times[b]))
        found.add(Finding(times[a], times[b], f"the {name} sensor stands still at {celsius(values[a])} while others move",
                          "outside", STUCK))  # fmt: skip
    rows = [i for i, v in enumerate(values) if v == v and i not in gone]
    picked = [values[i] for i in rows]
    if len(picked) > 3:
        alone = [rows[i] for i in faults.spikes(picked)]
        if alone:
            gone.update(alone)
            _spike_findings(found, name, alone, values)
        kept = [i for i in rows if i not in gone] if alone else rows
        for i in faults.jumps([times[i] for i in kept], [values[i] for i in kept]):
            a, b = kept[i - 1], kept[i]
            found.add(Finding(times[a], times[b], f"the {name} sensor jumps from {celsius(values[a])} to "
                              f"{celsius(values[b])}: open, short or exchanged", "outside", JUMP))  # fmt: skip
    return faults.without(name, times, values, gone, breaks)


def _spike_findings(found: Check, name: str, rows: list[int], values) -> None:
    times = found.log.times
    worst = max(rows, key=lambda i: abs(values[i] - values[max(i - 1, 0)]))
    size = max(
        abs(values[worst] - values[max(worst - 1, 0)]), abs(values[worst] - values[min(worst + 1, len(values) - 1)])
    )
    said = (f"one reading of the {name} sensor stands apart from its neighbours, by {kelvin(size)}" if len(rows) == 1 else
            f"{len(rows)} readings of the {name} sensor stand apart from their neighbours, by {kelvin(size)} at most")  # fmt: skip
    found.add(
        Finding(times[rows[0]], times[rows[-1]], f"{said}; not counted below", "close", SPIKES, size, times[worst])
    )


def _gaps(found: Check, pauses) -> None:
    times, hot, long = found.log.times, found.inputs["hot_threshold"], constant("log.gap_long")
    chamber = found.log.first(TEMPERATURE).values
    for a, b in pauses:
        span = times[b] - times[a]
        matters = span > long and max(chamber[a], chamber[b]) > hot
        found.add(Finding(times[a], times[b], f"no reading for {wording.duration(span)}",
                          "cannot_say" if matters else "close", GAP, span))  # fmt: skip


# ---------------------------------------------------------------- the plan


def _set_plan(found: Check, path) -> None:
    inputs = found.inputs
    if path:
        found.plan = log_plan.plan_of(path)
        soak = found.plan.soak
        found.target_k = soak.start_k if soak else found.plan.peak_k
        found.wanted_soak_s = inputs["soak_time"] or (soak.duration_s if soak else None)
    elif inputs["soak_temperature"] is not None:
        found.target_k, found.wanted_soak_s = inputs["soak_temperature"], inputs["soak_time"]


def _line_up(found: Check) -> None:
    plan, how = found.plan, found.inputs["alignment"]
    ways = {"automatic": log_plan.best_shift, "by first rise": log_plan.rise_shift, "by time": lambda *_: 0.0}
    shift = ways[how](plan, found.chamber)
    if shift is None:
        found.add(Finding(0.0, found.log.times[-1], "the log never rises as the plan does: nothing can be lined up",
                          "cannot_say", OFF_PLAN))  # fmt: skip
        return
    shift = found.shift_s = float(round(shift))  # to a second: no log tells more
    off, largest, at = log_plan.departures(plan, found.chamber, shift, found.inputs["tolerance"],
                                             max(constant("log.lag"), found.gap_s))  # fmt: skip
    found.largest = (largest, at)
    for one in off:
        found.add(Finding(one.from_s, one.to_s, _departure_said(found, one), one.verdict, OFF_PLAN, abs(one.largest_k),
                          one.at_s))  # fmt: skip
    end = found.log.times[-1]
    if end < shift + plan.heated_s - found.gap_s:
        left = shift + plan.heated_s - end
        found.add(Finding(end, end, f"the log ends {wording.duration(left)} before the plan has heated and held",
                          "cannot_say", ENDS))  # fmt: skip
    if shift < -found.gap_s:
        found.add(Finding(0.0, 0.0, f"the log begins {wording.duration(-shift)} after the plan would have begun",
                          "close", ENDS))  # fmt: skip


def _departure_said(found: Check, one: log_plan.Departure) -> str:
    leg: Leg = one.leg
    where = (f"in the soak at {celsius(leg.start_k)}" if leg.kind == SOAK else
             f"while it cools to {celsius(leg.end_k)}" if leg.kind == COOL or leg.change_k < 0 else
             f"while it rises to {celsius(leg.end_k)}")  # fmt: skip
    side = "above" if one.largest_k > 0 else "below"
    said = f"{kelvin(one.largest_k)} {side} the plan {where}, farthest at {found.moment(one.at_s)}"
    column = found.log.first(SET)
    if column:
        set_k = log_plan.at(Series("set", found.log.times, column.values), one.at_s)
        wanted = found.plan.at(one.at_s - found.shift_s)
        if set_k == set_k and abs(set_k - wanted) > found.inputs["tolerance"]:
            said += f"; the set point stood at {celsius(set_k)}, not {celsius(wanted)}"
    return said


# ---------------------------------------------------------------- the soak, the ramp


def _soak(found: Check) -> None:
    inputs, tolerance = found.inputs, found.inputs["tolerance"]
    _ramp(found)
    if found.target_k is None:
        return
    found.over_k = max(0.0, max(found.chamber.values) - found.target_k)
    low, high = found.target_k - tolerance, found.target_k + tolerance
    if found.plan and not found.plan.soak and inputs["soak_time"] is None:
        return
    found.dwell, found.dwell_by = _decide(found, low, high)
    wanted = found.wanted_soak_s
    if wanted is None:
        return
    dwell, share = found.dwell, constant("log.dwell_close")
    missing = wanted - dwell.unbroken_s
    if missing <= wanted * 1e-6:
        return
    blind = any(f.kind in (GAP, ENDS) and f.to_s >= dwell.from_s - wanted and f.from_s <= dwell.to_s + wanted
                and f.verdict == "cannot_say" for f in found.findings)  # fmt: skip
    if dwell.total_s >= wanted * (1 - 1e-6):
        verdict, why = "close", f"in parts; {wording.duration(dwell.unbroken_s, 'down')} of it unbroken"
    else:
        verdict = "close" if dwell.total_s >= wanted * (1 - share) else "cannot_say" if blind else "outside"
        why = f"{wording.duration(wanted - dwell.total_s, 'up')} short of the {wording.duration(wanted)} wanted"
    found.add(Finding(dwell.from_s, dwell.to_s, f"within {inputs.said('tolerance')} of {celsius(found.target_k)} for "
                      f"{wording.duration(dwell.total_s, 'down')} by the {found.dwell_by}, {why}", verdict, SHORT, missing))  # fmt: skip


def _decide(found: Check, low: float, high: float) -> tuple[log_plan.Dwell, str]:
    """Return the time in the band by the sensor that counts: the slowest load that works, else the chamber."""
    chamber = log_plan.dwell(found.chamber, low, high)
    results = []
    for series in found.loads:
        spoiled = any(a <= chamber.to_s and b >= chamber.from_s for a, b in found.stuck.get(series.name, ()))
        if spoiled:
            found.notes.append(f"The {series.name} sensor is not used for the soak: it stood still there.")
        else:
            results.append((log_plan.dwell(series, low, high), f"{series.name} sensor"))
    results = results or [(chamber, "chamber sensor")]
    return min(results, key=lambda pair: pair[0].unbroken_s)


def _ramp(found: Check) -> None:
    inputs = found.inputs
    low, high = inputs["ramp_from"], inputs["ramp_to"]
    if low is None or high is None:
        start, end = _rise(found)
        if start is None:
            return
        low = start + 0.1 * (end - start) if low is None else low
        high = start + 0.9 * (end - start) if high is None else high
    if not low < high:
        raise Problems({"ramp_to": "Measure the ramp to: it must lie above the temperature that it is measured from."})
    found.ramp = log_plan.ramp_between(found.chamber, low, high)


def _rise(found: Check) -> tuple[float | None, float | None]:
    """Return the ends of the longest planned rise, K, else from the first reading to the soak."""
    if found.plan:
        rises = [leg for leg in found.plan.legs if leg.change_k > 0 and leg.duration_s]
        if rises:
            leg = max(rises, key=lambda one: one.change_k)
            return leg.start_k, leg.end_k
    elif found.target_k is not None and found.target_k > found.chamber.values[0]:
        return found.chamber.values[0], found.target_k
    return None, None


# ---------------------------------------------------------------- limits, pressure, flow


def _limits(found: Check) -> None:
    most, continuous = found.inputs["maximum_temperature"], found.inputs["continuous_temperature"]
    sensors = [found.chamber, *found.loads]
    if continuous is not None:
        found.above_s = max(log_plan.time_above(s, continuous) for s in sensors)
        _too_hot(found, continuous, "the continuous rating", "close")
    if most is not None:
        _too_hot(found, most, "the highest temperature of this furnace", "outside")


def _too_hot(found: Check, limit: float, what: str, verdict: str) -> None:
    for series in (found.chamber, *found.loads):
        mirrored = [-v for v in series.values] if max(series.values) > limit else ()
        for one in (
            faults.below(series.times, mirrored, -limit, [True] * len(mirrored), found.gap_s) if mirrored else ()
        ):
            found.add(Finding(one.from_s, one.to_s, f"the {series.name} sensor reads up to {celsius(-one.lowest)}, above "
                              f"{what} of {celsius(limit)}", verdict, TOO_HOT, -one.lowest - limit, one.at_s))  # fmt: skip


def _pressure(found: Check) -> None:
    column = found.log.first(PRESSURE)
    if column is None:
        return
    ambient = found.inputs.ambient_pa
    gauge = _above_room(found, column, ambient)
    times, chamber = found.log.times, found.log.first(TEMPERATURE).values
    limit = found.inputs["hot_threshold"]
    hot = [y > limit and p == p for y, p in zip(chamber, gauge, strict=True)]
    found.gauge = gauge
    lowest, at = min(((p, t) for p, t, h in zip(gauge, times, hot, strict=True) if h), default=(None, None))
    if lowest is None:
        found.notes.append("No pressure was logged while it was hot.")
        return
    found.lowest = (lowest, at)
    room = ambient or constant("general.standard_atmosphere")
    pumped = sum(h and p < -room * (1 - constant("log.vacuum_share")) for p, h in zip(gauge, hot, strict=True))
    if pumped > sum(hot) / 2:
        found.notes.append("The chamber was pumped while it was hot: no overpressure is judged.")
        return
    outside, long = constant("log.dip_outside"), constant("log.dip_time")
    for dip in faults.below(times, gauge, -constant("log.dip_close"), hot, long):
        verdict = "outside" if dip.lowest < -outside or dip.duration_s > long else "close"
        found.add(Finding(dip.from_s, dip.to_s, f"{millibar(-dip.lowest, 'up')} below the room while hot: air may have been "
                          "drawn in", verdict, DIP, -dip.lowest, dip.at_s))  # fmt: skip


def _above_room(found: Check, column, ambient: float | None) -> list[float]:
    """Return the pressure above the room, Pa. Where nothing says absolute or gauge, the readings may, or it is asked."""
    if column.sense == "gauge":
        return list(column.values)
    if ambient is None:
        raise Problems({"ambient_pressure": "Ambient pressure (barometer in the room) is empty. The log holds a pressure "
                        "that only it can compare with the room. Example: 995 mbar."})  # fmt: skip
    if not column.sense:
        known = sorted(p for p in column.values if p == p)
        middle = known[len(known) // 2] / ambient
        if not constant("log.room_from") < middle < constant("log.room_to"):
            raise Refused(
                "unit_unknown", "absolute or above the room is not said",
                f"The heading “{logs.short(column.name)}” does not say whether its pressure is counted from empty space or "
                "from the room, and the readings fit either.",
                f"Write it there: pressure ({column.unit.shown} abs) or pressure ({column.unit.shown} gauge).", field="log",
            )  # fmt: skip
        found.notes.append("The heading of the pressure says neither absolute nor gauge; its readings lie near the room's "
                           "pressure, so they are absolute.")  # fmt: skip
    return [p - ambient for p in column.values]


def _flow(found: Check) -> None:
    column = found.log.first(FLOW)
    if column is None:
        return
    times, chamber, limit = found.log.times, found.log.first(TEMPERATURE).values, found.inputs["hot_threshold"]
    hot = [y > limit and f == f for y, f in zip(chamber, column.values, strict=True)]
    known = sorted(f for f, h in zip(column.values, hot, strict=True) if h)
    planned = [leg.flow_mol_per_s for leg in found.plan.legs if leg.flow_mol_per_s] if found.plan else []
    usual = known[len(known) // 2] if known else 0.0
    least = min(planned) / flow_in_mol_per_s(1.0, REFERENCES[0]) if planned else usual
    if least <= 0:
        return
    name = "of the planned flow" if planned else "of the usual flow"
    long = constant("log.flow_time")
    for low in faults.below(times, column.values, constant("log.flow_share") * least, hot, long):
        if low.duration_s > long:
            share = wording.with_unit(wording.number(100 * max(low.lowest, 0.0) / least, 2, "down"), "%")
            found.add(Finding(low.from_s, low.to_s, f"gas flow down to {share} {name} while hot", "close", LITTLE_FLOW,
                              least - low.lowest, low.at_s))  # fmt: skip


# ---------------------------------------------------------------- what it was worth


def _worth(found: Check) -> None:
    power = found.log.first(POWER)
    if power:
        found.energy_j = faults.total(found.log.times, power.values, found.breaks)
    energy = found.inputs["activation_energy"]
    if energy is None:
        return
    series = next((s for s in found.loads if f"{s.name} sensor" == found.dwell_by), found.chamber)
    reference = found.inputs["reference_temperature"] or found.target_k or max(series.values)
    if abs(reference - max(series.values)) > equivalence.FARTHEST_K:
        found.notes.append(f"No equivalent time: {celsius(reference)} is more than 300 K from the hottest reading, "
                           f"{celsius(max(series.values))}.")  # fmt: skip
        return
    found.dose = (_dose(series, energy, reference, inf), reference)
    if found.plan is None or found.shift_s is None or found.plan.heated_s <= 0:
        return
    corners = [(t, y) for t, y in found.plan.corners if t <= found.plan.heated_s]
    found.planned_dose = equivalence.dose(corners, energy, reference)
    measured = _dose(series, energy, reference, found.shift_s + found.plan.heated_s)
    ratio = measured / found.planned_dose if found.planned_dose > 0 else 1.0
    near, far = constant("log.dose_close"), constant("log.dose_outside")
    if abs(ratio - 1) > near:
        percent = wording.with_unit(wording.number(100 * abs(ratio - 1), 2, "up"), "%")
        found.add(Finding(
            max(0.0, found.shift_s), max(0.0, found.shift_s + found.plan.heated_s),
            f"to the end of the soak the equivalent time is {percent} {'more' if ratio > 1 else 'less'} than the plan's",
            "outside" if abs(ratio - 1) > far else "close", DOSE, abs(ratio - 1),
        ))  # fmt: skip


def _dose(series: Series, energy: float, reference: float, until_s: float) -> float:
    """Return the equivalent time of a sensor's readings up to a moment, s; a long log is thinned evenly."""
    count = len(series)
    while count > 1 and series.times[count - 1] > until_s:
        count -= 1
    step = max(1, count // MOST_DOSE_ROWS)
    rows = [*range(0, count, step)]
    if rows and rows[-1] != count - 1:
        rows.append(count - 1)
    corners = [(series.times[i], max(series.values[i], 1.0)) for i in rows]
    if count < len(series) and count > 1:
        corners.append((until_s, log_plan.at(series, until_s)))
    return equivalence.dose(corners, energy, reference)


def _sensors_apart(found: Check) -> None:
    """Compare each load with the chamber at the end of the soak, where both should be one."""
    if found.dwell is None or found.target_k is None:
        return
    tolerance = found.inputs["tolerance"]
    soak = log_plan.dwell(found.chamber, found.target_k - tolerance, found.target_k + tolerance)
    if soak.unbroken_s < constant("log.settling"):
        return
    start = soak.to_s - soak.unbroken_s / 4
    limit = max(constant("log.apart"), 2 * tolerance)
    for series in found.loads:
        moments = [start + (soak.to_s - start) * i / 10 for i in range(11)]
        if any(a <= soak.to_s and b >= start for a, b in found.stuck.get(series.name, ())):
            continue
        mean = sum(log_plan.at(series, t) - log_plan.at(found.chamber, t) for t in moments) / len(moments)
        if abs(mean) > limit:
            found.add(Finding(start, soak.to_s, f"the {series.name} sensor reads {kelvin(mean)} "
                              f"{'above' if mean > 0 else 'below'} the chamber at the end of the soak", "close", APART,
                              abs(mean)))  # fmt: skip


def _few(findings: list[Finding], found: Check) -> list[Finding]:
    """Keep the largest of each kind where there are many, and say how many more there were."""
    kept: list[Finding] = []
    for kind in dict.fromkeys(f.kind for f in findings):
        group = [f for f in findings if f.kind == kind]
        order = sorted(group, key=lambda f: (f.verdict != "outside", f.verdict != "cannot_say", -f.size))
        kept += order[:MOST_OF_A_KIND]
        if left := len(group) - MOST_OF_A_KIND:
            if left > 0:
                found.notes.append(f"{left} more findings of the kind “{kind}” are smaller and not listed.")
    return sorted(kept, key=lambda f: (f.from_s, f.to_s))


def gravest(found: Check) -> Finding:
    """Return the finding that is named first: of the worst verdict, what endangers before what only spoils."""
    verdicts = ("close", "cannot_say", "outside")
    kinds = (GAP, SPIKES, CLOCK, APART, DOSE, LITTLE_FLOW, OFF_PLAN, ENDS, SHORT, JUMP, STUCK, DIP, TOO_HOT)
    return max(found.findings, key=lambda f: (verdicts.index(f.verdict), kinds.index(f.kind), f.size))


def highest_oxygen(found: Check) -> float | None:
    """Return the highest oxygen while hot, mole fraction, or None."""
    column, limit = found.log.first(OXYGEN), found.inputs["hot_threshold"]
    if column is None:
        return None
    chamber = found.log.first(TEMPERATURE).values
    return max((o for o, y in zip(column.values, chamber, strict=True) if y > limit and o == o), default=None)
