"""The picture of a plan: temperature, gas and people over one time axis."""

from calcs import wording
from calcs.data import constant
from calcs.picture import Axis, Block, Curve, Lane, Limit, Row, Strip, Table
from calcs.run import said, steps

SHORT = {"prepare": "prepare", "pump": "pump", "rise test": "rise test", "fill": "fill", "wash": "wash",
         "verify": "verify",
         "equalise": "open"}  # fmt: skip


def programme(run) -> Strip:
    """Return the run in time: temperature wanted with its limits, what the gas does, and the hold points."""
    zero = constant("general.zero_celsius")
    before = next(event.start_s for event in run.events if event.key == "segment")
    curve = [(0.0, run.job.room_k - zero)]
    for stretch in run.stretches:
        curve += [((before + stretch.start_s + t) / 3600, k - zero) for t, k in stretch.curve]
    limits = [
        Limit("highest in this gas", run.inputs["maximum_temperature"] - zero),
        Limit("open at", run.inputs["planned_opening_temperature"] - zero),
    ]
    return Strip(
        sentence=f"The run takes about {said.time(run.total_s, 'up')}, of which {said.time(run.hot_s, 'up')} are "
                 f"above 200 °C",
        description=f"Temperature wanted against time from {steps.clock(run, 0)}; highest "
                    f"{said.celsius(run.job.peak_k)}; below it what "
        "the chamber is filled with and what is done.",
        time=Axis("Time from the start", "h"),
        lanes=(Lane(Axis("Temperature", "°C"), curves=(Curve("wanted", curve),), limits=tuple(limits)),),
        rows=(Row("Doing", _doing(run)), Row("Gas", _gas(run))),
        table=_table(run),
    )  # fmt: skip


def _doing(run) -> list[Block]:
    found = []
    for event in run.events:
        name = _leg_name(run, event) if event.key == "segment" else SHORT[event.key]
        if event.duration_s > 0:
            found.append(Block(name, event.start_s / 3600, event.end_s / 3600, short=name[:1]))
    return found


def _leg_name(run, event) -> str:
    change = run.stretches[event.number].leg.change_k
    return "heat" if change > 0 else "soak" if change == 0 else "cool"


def _gas(run) -> list[Block]:
    """Return air, vacuum or gas in the chamber, over time."""
    found: list[Block] = []
    for event in run.events:
        held = (
            "air"
            if event.key in ("prepare", "equalise")
            else "vacuum"
            if event.key in ("pump", "rise test")
            else run.job.gas
        )
        if event.duration_s <= 0:
            continue
        if found and found[-1].text == held:
            found[-1] = Block(held, found[-1].start, event.end_s / 3600)
        else:
            found.append(Block(held, event.start_s / 3600, event.end_s / 3600))
    return found


def _table(run) -> Table:
    rows = []
    for event in run.events:
        name = _leg_name(run, event) if event.key == "segment" else SHORT[event.key]
        ends = run.stretches[event.number].leg.end_k if event.key == "segment" else None
        rows.append((
            name, steps.clock(run, event.start_s), steps.clock(run, event.end_s),
            wording.duration(event.duration_s, "up"),
            said.celsius(ends) if ends is not None else "",
        ))  # fmt: skip
    return Table("Stages of the run", ("Stage", "From", "To", "Time", "To temperature"), rows)
