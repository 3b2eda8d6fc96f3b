"""A log such as the invented furnace HS-1 would write for the example run: our chamber model, noise, planted faults.

Everything here is made up. It is the lining model of `calcs.heat.lining` under a controller that follows the
programme, with the noise of sensors put on top; no real furnace was logged.
"""

import random
from dataclasses import dataclass

from calcs import solids
from calcs.data import constant
from calcs.heat import lining

ROOM_K = 293.15
STEP_S = 5.0
FAULTS = (
    "pressure dip",
    "stuck sensor",
    "spike",
    "gap",
    "short soak",
    "flow loss",
    "overshoot",
    "stuck chamber sensor",
)
HEAD = "time (s),chamber (°C),set point (°C),load (°C),pressure (mbar gauge),flow (L/min),power (W)"


@dataclass(frozen=True)
class Moment:
    """One step of the model: time s, chamber, set point and load in °C, power W."""

    time_s: float
    chamber: float
    wanted: float
    load: float
    power_w: float


def furnace() -> lining.Model:
    """Return HS-1 with 2.0 kg of copper strip in it, in argon."""
    body = lining.Lining(
        0.50, 1.44, 0.100, 190.0,
        solids.typed_curve("insulation", "specific heat", [(900.0, 1000.0)]),
        solids.typed_curve("insulation", "conductivity", [(293.15, 0.04), (1273.15, 0.26)]),
    )  # fmt: skip
    chamber = lining.Chamber(body, 5400.0, 150.0, 11.0, 0.8, 0.03, ROOM_K, 6000.0)
    return lining.Model(chamber, lining.Load(2.0 * 420, 0.45, 0.1, 4.0))


def course(ramp_k_per_min=5.0, soak=600.0, soak_min=30.0, end=60.0, before_min=0.0, overshoot_k=0.0) -> list[Moment]:
    """Return the run of the model: wait, ramp, soak, heater off until the chamber is at `end`.

    Args:
        ramp_k_per_min: of the controller.
        soak: soak temperature, °C.
        soak_min: soak time, min.
        end: the log stops there, °C.
        before_min: waiting at room temperature before the ramp: purge, pump.
        overshoot_k: how far the controller runs over for 6 min after the ramp.
    """
    zero, model = constant("general.zero_celsius"), furnace()
    state, time, found = model.cold(), 0.0, [Moment(0.0, ROOM_K - 273.15, 20.0, 20.0, 0.0)]
    ramp_end = before_min * 60 + (soak - 20.0) / ramp_k_per_min * 60
    off = ramp_end + soak_min * 60
    while time < off or found[-1].chamber > end:
        time += STEP_S
        if time <= off:
            wanted = min(soak, 20.0 + max(0.0, time - before_min * 60) / 60 * ramp_k_per_min)
            over = overshoot_k if ramp_end + 60 < time < ramp_end + 420 else 0.0
            state, power = model.step(state, STEP_S, wanted + over + zero, 6000.0)
        else:
            wanted = 20.0
            state, power = model.step(state, STEP_S, None, 0.0)
        found.append(Moment(time, state.chamber_k - zero, wanted, state.load_k - zero, power))
    return found


def chamber_log(interval_s: float = 10.0, faults=(), seed: int = 1, rows: int | None = None, **run) -> str:
    """Return the log as CSV text.

    Args:
        interval_s: time between rows, s.
        faults: any of FAULTS.
        seed: of the noise.
        rows: so many rows at the most.
        run: arguments of `course`.
    """
    if unknown := set(faults) - set(FAULTS):
        raise ValueError(f"no such fault: {unknown}")
    if "short soak" in faults:
        run["soak_min"] = 18.0
    if "overshoot" in faults:
        run["overshoot_k"] = 14.0
    steps = course(**run)
    noise = random.Random(seed)
    off = next(i for i, m in enumerate(steps) if i and m.wanted < steps[i - 1].wanted) * STEP_S
    begin = run.get("before_min", 0.0) * 60
    lines, kept, shown = [HEAD], {}, 0
    count = int(steps[-1].time_s / interval_s) + 1
    for n in range(min(count, rows or count)):
        time = n * interval_s
        if "gap" in faults and begin + 3000 < time < begin + 3900:
            continue
        lines.append(_row(time, steps, noise, faults, off, begin, kept))
        shown += 1
    return "\n".join(lines) + "\n"


def _row(time, steps, noise, faults, off, begin, kept) -> str:
    place = time / STEP_S
    i = min(int(place), len(steps) - 2)
    share = place - i
    a, b = steps[i], steps[i + 1]
    chamber = a.chamber + share * (b.chamber - a.chamber) + noise.gauss(0, 0.15)
    load = a.load + share * (b.load - a.load) + noise.gauss(0, 0.15)
    pressure, flow = 10.0 + noise.gauss(0, 0.15), 2.0 + noise.gauss(0, 0.01)
    power = b.power_w * (1 + noise.gauss(0, 0.01))
    if "pressure dip" in faults and off + 1200 <= time < off + 1440:
        pressure -= 18.0
    if "flow loss" in faults and off + 3000 <= time < off + 3300:
        flow = 0.0
    if "spike" in faults and not kept.get("spike") and time >= begin + 2400:
        chamber, kept["spike"] = chamber + 80.0, True
    if "stuck sensor" in faults and begin + 3600 <= time < begin + 5100:
        load = kept.setdefault("load", load)
    if "stuck chamber sensor" in faults and begin + 3600 <= time < begin + 5100:
        chamber = kept.setdefault("chamber", chamber)
    return f"{round(time, 3):.10g},{chamber:.2f},{a.wanted:.1f},{load:.2f},{pressure:.2f},{flow:.3f},{power:.0f}"
