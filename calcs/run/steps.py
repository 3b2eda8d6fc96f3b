"""The sequence of a run as rows: step, what to do, valves, set, expect with its band, otherwise, and the time.

The words stand in data/run/steps.toml and valves.toml; the figures come from `derive`.
"""

from calcs import wording
from calcs.core import Estimate
from calcs.data import constant, table
from calcs.run import said

BAND_LOW, BAND_HIGH = 500.0, 500.0  # Pa: the hold is accepted 5 mbar either way; common practice, no source
MASS_BAND = 0.05  # share by which the weighed load may differ; common practice, no source
WARMEST_HOLD = 0.5  # the band ends at half of the relief at the latest, as check PRS-1 has it


def rows(run) -> list[dict]:
    """Return the steps of a run in order, as rows of the figure `steps`.

    Args:
        run: from derive.run.
    """
    found = []
    for key, words, values, when in _steps(run):
        texts = table("run/steps.toml")[words]
        row = {part: texts[part].format(**values) for part in ("do", "set", "expect", "accept", "otherwise")}
        found.append({"step": str(len(found) + 1), "valves": valves(key), "time": when} | row)
    return found


def states(run) -> list[str]:
    """Return the valve state of each step, a key of valves.toml, for the drawing."""
    return [key for key, *_ in _steps(run)]


def filled(run) -> list[tuple[str, dict]]:
    """Return, of each step, the key of its words and the values that stand in them, as the card prints them."""
    return [(words, values) for _, words, values, _ in _steps(run)]


def valves(state: str) -> str:
    """Return the valve words of a state in one line, and the order of the change."""
    row = table("run/valves.toml")[state]
    words = " · ".join(f"{name} {word}" for name, word in row["words"].items())
    return f"{words}. {row['order']}".strip(". ") + "."


def _steps(run):
    """Yield (valve state, words, values, time) of each step."""
    job, inputs = run.job, run.inputs
    prepare = run.events[0]
    yield "waiting", "prepare", _prepare(run), _at(run, prepare.start_s, prepare.duration_s)
    yield "waiting", "load", _mass(job.load_kg), _at(run, prepare.start_s)
    yield "waiting", "close", {"gas": gas_name(job)}, f"by {clock(run, prepare.end_s)}"
    for event in run.events[1:]:
        when = _at(run, event.start_s, event.duration_s)
        if event.key == "segment":
            yield *_segment(run, run.stretches[event.number]), when
        elif event.key == "equalise":
            yield "equalise", "equalise", {"open": said.celsius(inputs["planned_opening_temperature"])}, when
        else:
            state = {"wash": "flow", "verify": "flow"}.get(event.key, event.key)
            yield state, event.key, FILL[event.key](run, event), when
    after = clock(run, run.events[-1].end_s)
    yield "open", "open", {}, f"from {after}"
    yield "left", "record", {"left": _left(run)}, f"from {after}"


def _prepare(run) -> dict:
    return {
        "limiter": said.celsius(run.job.peak_k + constant("run.limiter_margin")),
        "cylinder": said.bars(run.inputs["cylinder_pressure"] - run.ambient_pa),
    }


def _mass(load_kg: float) -> dict:
    low, high = load_kg * (1 - MASS_BAND), load_kg * (1 + MASS_BAND)
    return {"mass": said.mass(load_kg), "mass_low": said.mass(low), "mass_high": said.mass(high)}


def _pump(run, event) -> dict:
    return {
        "number": event.number, "count": run.cycles, "pressure": said.mbar(run.inputs["pumped_pressure"]),
        "planned": said.time(run.pump_planned_s, "up"), "ideal": said.time(run.pump_s, "up"),
        "late": said.time(run.pump_late_s, "up"),
    }  # fmt: skip


def _rise(run, event) -> dict:
    leak = run.inputs["leak_rate"]
    if leak is None:
        return {"rise": "unknown"}
    return {"rise": said.mbar(leak * constant("run.rise_time") / run.inputs["gas_volume"], 2, "up")}


def _fill(run, event) -> dict:
    rest = (
        "" if event.number == run.cycles else f"; first rest {said.time(constant('run.rest_time'))} at the pumped end"
    )
    return {
        "gas": gas_name(run.job), "number": event.number, "count": run.cycles, "rest": rest,
        "scale": said.flow(run.inputs["controller_range"], digits=3),
        "pressure": said.both(run.hold_pa, run.ambient_pa),
        "time": said.time(run.backfill_s, "up"), "litres": said.litres(run.backfill_mol, "up"),
        "low": said.mbar(run.hold_pa - BAND_LOW, 4), "high": said.mbar(_band_top(run) + run.ambient_pa, 4),
    }  # fmt: skip


def _wash(run, event) -> dict:
    return {"scale": said.flow(run.inputs["controller_range"], digits=3), "time": said.time(run.wash_s, "up")}


def _verify(run, event) -> dict:
    limit = run.inputs["target_oxygen"]
    return {
        "flow": said.flow(run.stretches[0].flow), "pressure": said.both(run.hold_pa, run.ambient_pa),
        "band_expect": f"{_sign(run.hold_pa - run.ambient_pa)} gauge", "band": band(run),
        "oxygen": _oxygen(run), "limit": f"at most {said.ppm(limit)}" if limit and not run.job.is_air else "as agreed",
    }  # fmt: skip


def _oxygen(run) -> str:
    if run.job.is_air:
        return "that of air"
    return f"about {said.ppm(run.floor, 'up')}" if run.floor is not None else "not worked out"


FILL = {"pump": _pump, "rise test": _rise, "fill": _fill, "wash": _wash, "verify": _verify}


def _segment(run, stretch) -> tuple:
    leg = stretch.leg
    values = {
        "to": said.celsius(leg.end_k), "time": said.time(stretch.duration_s, "up"), "flow": said.flow(stretch.flow),
        "band": band(run),
    }  # fmt: skip
    if leg.change_k > 0:
        return "heat", "heat", values | {
            "rate": said.ramp(leg.rate_k_per_s), "time": values["time"] + _late(stretch),
            "outflow": said.flow(stretch.flow + stretch.gas_change, "up"),
            "power": said.power(min(stretch.power_w, run.inputs["heater_power"]), "up"),
        }  # fmt: skip
    if leg.change_k == 0:
        return (
            "heat",
            "soak",
            values | {"power": said.power(stretch.power_w, "up")} | _soak_set(run, stretch, values["time"]),
        )
    return _cooling(run, stretch, values)


def _late(stretch) -> str:
    late = stretch.went.late_s
    return f" with all the power, {said.time(late, 'up')} behind the programme" if late else ""


def _soak_set(run, stretch, typed: str) -> dict:
    """The soak to programme, with the one that is wanted at the load, and by how much the middle comes later."""
    from calcs.run import heat_through  # which imports this module, by way of the gas checks

    needed = heat_through.programmed(run)
    if needed is None or stretch is not run.stretches[heat_through.judged_soak(run)]:
        return {"wanted": typed, "middle": "add the time until the middle is hot"}
    return {
        "wanted": f"{said.time(needed.needed_s, 'up')} ({typed} wanted)",
        "middle": f"the middle comes {said.time(needed.lag_s, 'up')} after the chamber",
    }


def _cooling(run, stretch, values) -> tuple:
    leg = stretch.leg
    low, high = run.furnace.cooling_range(stretch.duration_s)
    natural = leg.rate_k_per_s is None
    how = "Heater off; cool by nature" if natural else f"Cool at {said.ramp(leg.rate_k_per_s)}, then as nature allows,"
    rate = stretch.went.steepest
    return "cool" if natural else "held cool", "cool", values | {
        "how": how, "spread": f"{said.time(low, 'down')} to {said.time(high, 'up')}", "rate": said.ramp(rate, "up"),
        "make_up": said.flow(stretch.gas_change, "up"),
    }  # fmt: skip


def _left(run) -> str:
    if run.cylinder_left_pa is None:
        return "____ bar"
    return said.bars(run.cylinder_left_pa - run.ambient_pa, "down")


def gas_name(job) -> str:
    """The gas as the card names it: argon, or a mixture with its shares."""
    if len(job.shares) == 1:
        return job.gas
    return " + ".join(f"{name} {said.percent(share)}" for name, share in job.shares.items())


def band(run) -> str:
    """The band in which the hold is accepted: +5 to +15 mbar gauge."""
    low = run.hold_pa - run.ambient_pa - BAND_LOW
    return f"{_sign(low)} to {_sign(_band_top(run))} gauge"


def _band_top(run) -> float:
    """The upper end of the band, Pa above the room; never above half of the relief."""
    above = run.hold_pa - run.ambient_pa
    relief = run.inputs["relief_pressure"]
    return (
        above + BAND_HIGH
        if relief is None
        else max(min(above + BAND_HIGH, WARMEST_HOLD * (relief - run.ambient_pa)), above)
    )


def _sign(pressure_pa: float) -> str:
    return f"{'+' if pressure_pa > 0 else ''}{said.mbar(pressure_pa)}"


def clock(run, seconds: float) -> str:
    """The time of day, with the day of the run where it is not the first."""
    moment = run.clock(seconds)
    days = (moment.date() - run.start.date()).days
    return f"{moment:%H:%M}" + (f" on day {days + 1}" if days else "")


def _at(run, start_s: float, duration_s: float | None = None) -> str:
    when = clock(run, start_s)
    return when if duration_s is None else f"{when}, {said.time(duration_s, 'up')}"


def opening(run) -> Estimate:
    """Return the time from the end of the last hold to the opening temperature, with its spread, s."""
    return Estimate(run.cooling_s, *run.furnace.cooling_range(run.cooling_s), cause=run.furnace.cooling_cause)


def hold_points(run) -> list[dict]:
    """Return the hold points, each with the clock time at which it is expected where the plan knows it."""
    from calcs.run.checks import hold_events

    times = {point: clock(run, event.start_s) for point, event in hold_events(run)} | {"H1": clock(run, 0.0)}
    return [dict(row) | {"time": times.get(row["id"], "")} for row in table("run/hold_points.toml")["point"]]


def emergency(run) -> list[dict]:
    """Return the emergency block: eleven events, with what this furnace may do when gas is lost."""
    limit = run.inputs["maximum_vacuum_temperature"]
    alone = (
        wording.duration(run.cylinder_mol / run.flow, "down") if run.cylinder_mol and run.flow else "an unknown time"
    )
    if limit is not None and run.job.peak_k <= limit:
        shut = (
            f"No gas left: outlet shut while still above the room; shut at {said.celsius(run.job.peak_k)} it "
            f"sinks to {said.mbar(run.lowest_if_shut)} abs."
        )
    else:
        shut = "No gas left: touch no valve; this chamber may not stand under vacuum while hot."
    found = [dict(row) | {"do": row["do"].format(shut=shut)} for row in table("run/emergency.toml")["event"]]
    found[9]["do"] += f" The full cylinder feeds {said.flow(run.flow)} for {alone}."
    return found
