"""What the planner works out by itself, in order; every assumption is made once and handed on.

`job` reads what is wanted: load, gas, programme. `run` follows with ambient and hold, times of the
programme, cooling and its make-up, flow, cycles, sequence in time, energy, gas, cylinder and room.
"""

import re
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from functools import cached_property
from math import ceil, log

from calcs import units
from calcs.atmosphere import cylinder, hold, purge
from calcs.core import Estimate, OutOfRange, Refused
from calcs.data import constant
from calcs.heat.segments import COOL, RAMP, SOAK, Leg, legs
from calcs.run import furnace_heat
from calcs.run.furnace_heat import Went
from calcs.safety import room_oxygen

MIXTURE = "mixture"
FLOW_STEP = 0.1e-3 / 60  # m³/s: a derived flow is rounded up to 0.1 L/min; ours
POROUS_VESSELS = ("fibre-lined box",)
POROUS_SHAPES = ("powder", "green part")
NO_LIMIT_OXYGEN = 0.01  # oxygen down to which a chamber is washed by flow where the load has no limit; ours


# ---------------------------------------------------------------- what is wanted


@dataclass(frozen=True)
class Job:
    """What the run is to do, before anything is worked out.

    Args of the fields:
        room_k: temperature of the room, K.
        shares: the gas as gas to mole fraction.
        load_kg: mass of everything in the load, kg.
        materials: names of materials and of what they touch, in small letters.
        porous: whether fibre or powder holds gas in pores.
        path: legs of the programme; the time of natural cooling is still open.
        peak_k, soak_s: highest temperature, K, and the time held there, s.
        pumped: whether the chamber is pumped.
        pumped_k: highest temperature while pumped, K.
    """

    room_k: float
    shares: dict
    load_kg: float
    materials: tuple[str, ...]
    porous: bool
    path: tuple[Leg, ...]
    peak_k: float
    soak_s: float
    pumped: bool
    pumped_k: float

    @property
    def gas(self) -> str:
        """The gas that most of it is."""
        return max(self.shares, key=self.shares.get)

    @property
    def is_air(self) -> bool:
        return self.gas == "air"

    def holds(self, word: str) -> bool:
        """Whether a material of the load, or what it touches, is named with this word."""
        return any(re.search(rf"\b{word}\b", name) for name in self.materials)

    @property
    def carbon(self) -> bool:
        """Whether carbon itself lies in the chamber: graphite, carbon rods; not carbon steel."""
        return any(
            re.search(r"\bgraphite|\bcarbon\b(?! steel| dioxide)|\bcoke\b|\bcharcoal", n) for n in self.materials
        )


def job(inputs) -> Job:
    """Return what the run is to do.

    Args:
        inputs: the values of the plan's form, free of contradictions.
    """
    room_k = inputs["room_temperature"]
    path = programme(inputs)
    peak = max(leg.end_k for leg in path)
    names = [row[part] for row in inputs["load"] for part in ("material", "grade", "touches") if row[part]]
    return Job(
        room_k=room_k,
        shares=gas_shares(inputs),
        load_kg=sum(row["mass"] * row["count"] for row in inputs["load"]),
        materials=tuple(name.casefold() for name in names),
        porous=inputs["vessel_kind"] in POROUS_VESSELS or any(row["form"] in POROUS_SHAPES for row in inputs["load"]),
        path=path,
        peak_k=peak,
        soak_s=sum(leg.duration_s for leg in path if leg.kind == SOAK and leg.start_k == peak),
        pumped=inputs["pumped_pressure"] is not None,
        pumped_k=inputs["pumped_temperature"] or room_k,
    )


def gas_shares(inputs) -> dict[str, float]:
    """Return the gas as gas to mole fraction, adding up to 1."""
    if inputs["gas"] != MIXTURE:
        return {inputs["gas"]: 1.0}
    found: dict[str, float] = {}
    for row in inputs["mixture"]:
        found[row["gas"]] = found.get(row["gas"], 0.0) + row["share"]
    total = sum(found.values())
    return {name: share / total for name, share in found.items()}


def programme(inputs) -> tuple[Leg, ...]:
    """Return the legs: those typed, or ramp, soak and natural cooling to the opening temperature.

    A programme that ends hotter than the opening temperature cools on by nature.
    """
    room_k, open_k = inputs["room_temperature"], inputs["planned_opening_temperature"]
    if inputs["segments"]:
        path = legs(inputs["segments"], room_k)
    else:
        soak_k = inputs["soak_temperature"]
        path = [
            Leg(RAMP, room_k, soak_k, (soak_k - room_k) / inputs["ramp"]),
            Leg(SOAK, soak_k, soak_k, inputs["soak_time"], row=1),
        ]
    if path[-1].end_k > open_k:
        path.append(Leg(COOL, path[-1].end_k, open_k, None, row=len(path)))
    return tuple(path)


# ---------------------------------------------------------------- the run


@dataclass(frozen=True)
class Stretch:
    """One leg in time, with what the gas does in it.

    Args of the fields:
        start_s, end_s: from the start of the programme, s.
        flow: gas flow, mol/s.
        gas_change: most gas driven out while it heats, or taken in while it cools, mol/s.
        went: how the furnace goes through it: its power, energy, delay and rates of cooling.
    """

    leg: Leg
    start_s: float
    end_s: float
    flow: float
    gas_change: float
    went: Went

    @property
    def curve(self) -> tuple[tuple[float, float], ...]:
        """(time s from its start, temperature K)."""
        return self.went.curve

    @property
    def power_w(self) -> float:
        """Most heater power asked, W."""
        return self.went.power_w

    @property
    def duration_s(self) -> float:
        return self.end_s - self.start_s


@dataclass(frozen=True)
class Reason:
    """A value that was worked out, and what decided it."""

    value: float
    ruled_by: str


@dataclass(frozen=True)
class Event:
    """A stage of the run that takes time: its key in the sequence, start and duration in s, cycle or leg number."""

    key: str
    start_s: float
    duration_s: float
    number: int = 0

    @property
    def end_s(self) -> float:
        return self.start_s + self.duration_s


@dataclass(frozen=True)
class Run:
    """All figures of the run in SI units; None where an input that it needs is missing."""

    job: Job
    inputs: object = field(repr=False)
    ambient_pa: float
    hold_pa: float
    furnace: object = field(repr=False)
    stretches: tuple[Stretch, ...]
    make_up_peak: float
    derived_flow: Reason
    flow: float
    derived_cycles: Reason
    cycles: int
    left_by_cycles: float | None
    one_cycle_leaves: float | None
    pump_s: float
    pump_planned_s: float
    pump_late_s: float
    backfill_s: float
    backfill_mol: float
    wash_s: float
    events: tuple[Event, ...]
    leak: float | None
    floor: float | None
    energy_j: float
    gas_mol: float
    cylinder_mol: float | None
    reserve_mol: float | None
    cylinder_left_pa: float | None
    released_m3: float | None
    room_worst: float | None
    start: datetime

    @property
    def programme_s(self) -> float:
        return self.stretches[-1].end_s

    @cached_property
    def cooling(self) -> tuple[Stretch, ...]:
        """The stretches of the last cooling: those after the last leg that heats or holds."""
        last = max((i for i, s in enumerate(self.stretches) if s.leg.change_k >= 0), default=-1)
        return self.stretches[last + 1 :]

    @property
    def cooling_s(self) -> float:
        return sum(s.duration_s for s in self.cooling)

    @property
    def cooling_gas(self) -> float:
        """Gas of the last cooling, mol."""
        return sum(s.flow * s.duration_s for s in self.cooling)

    @property
    def expelled_peak(self) -> float:
        """Most gas that heating drives out, mol/s."""
        return max((s.gas_change for s in self.stretches if s.leg.change_k > 0), default=0.0)

    @property
    def power_peak(self) -> float:
        return max(s.power_w for s in self.stretches)

    @property
    def late_s(self) -> float:
        """Time beyond the programme because the power runs out, s."""
        return sum(s.went.late_s for s in self.stretches)

    @property
    def unreached(self) -> Stretch | None:
        """The first leg whose temperature the furnace never reaches."""
        return next((s for s in self.stretches if s.went.never), None)

    @property
    def element_k(self) -> float:
        return self.job.peak_k + self.inputs["element_difference"]

    @property
    def total_s(self) -> float:
        return self.events[-1].end_s

    @cached_property
    def hot_s(self) -> float:
        """Time above 200 °C, s."""
        return sum(above(s.curve, constant("run.hot_temperature")) for s in self.stretches)

    @property
    def lowest_if_shut(self) -> float:
        """Pressure, Pa, if the chamber were shut at the peak and cooled to the room's temperature."""
        whole = hold.Zone(self.inputs["gas_volume"], self.job.peak_k, self.job.room_k)
        return hold.closed_pressure(self.hold_pa, [whole])

    def clock(self, seconds: float) -> datetime:
        return self.start + timedelta(seconds=seconds)

    def event(self, key: str, number: int = 0) -> Event | None:
        return next((e for e in self.events if e.key == key and e.number == number), None)


def run(inputs, wanted: Job) -> Run:
    """Return everything about the run.

    Args:
        inputs: the values of the plan's form.
        wanted: from `job`; no early check stands against it.

    Source:
        the functions of this module, in this order.
    """
    ambient = inputs.ambient_pa
    hold_pa = inputs["set_point"]
    furnace = furnace_heat.of(inputs, wanted.room_k, wanted.peak_k, wanted.gas)
    went = furnace.course(wanted.path, inputs["heater_power"])

    bare = stretches(wanted, went, inputs["gas_volume"], hold_pa)
    make_up = max((s.gas_change for s in bare if s.leg.change_k < 0), default=0.0)
    leak = None if inputs["leak_rate"] is None else purge.leak_flow(inputs["leak_rate"], wanted.room_k)
    derived_flow = least_flow(inputs, wanted, leak, make_up)
    flow = inputs["flow"] if inputs["flow"] is not None else _rounded_up(derived_flow.value)
    course = tuple(s if s.leg.flow_mol_per_s is not None else replace(s, flow=flow) for s in bare)
    floor = floor_of(inputs, wanted, [s.flow for s in course], leak)

    derived_cycles, one_leaves = least_cycles(inputs, wanted, hold_pa)
    cycles = int(inputs["cycles"]) if inputs["cycles"] is not None and wanted.pumped else int(derived_cycles.value)
    left = oxygen_after(cycles, inputs["pumped_pressure"], hold_pa) if wanted.pumped else None
    pump, planned, late = pump_times(inputs, wanted, ambient)
    backfill, backfill_s = backfilling(inputs, wanted, hold_pa)
    wash = 0.0 if wanted.pumped or wanted.is_air else wash_time(inputs, wanted, hold_pa)

    timeline = events(wanted, cycles, planned, backfill_s, wash, course)
    gas = gas_needed(course, cycles, backfill, wash, inputs["controller_range"])
    store = cylinder_state(inputs, wanted, gas)
    return Run(
        job=wanted, inputs=inputs, ambient_pa=ambient, hold_pa=hold_pa, furnace=furnace, stretches=course,
        make_up_peak=make_up,
        derived_flow=derived_flow, flow=flow, derived_cycles=derived_cycles, cycles=cycles, left_by_cycles=left,
        one_cycle_leaves=one_leaves, pump_s=pump, pump_planned_s=planned, pump_late_s=late, backfill_s=backfill_s,
        backfill_mol=backfill, wash_s=wash, events=timeline, leak=leak, floor=floor, energy_j=sum(one.energy_j for one in went),
        gas_mol=gas, start=start_of(inputs), **store,
    )  # fmt: skip


def _rounded_up(flow_mol_per_s: float) -> float:
    """Return a flow rounded up to 0.1 L/min at 0 °C and 101.325 kPa, mol/s."""
    volume = flow_mol_per_s * norm_volume()
    return ceil(volume / FLOW_STEP - 1e-9) * FLOW_STEP / norm_volume()


def norm_volume() -> float:
    """Volume of one mole at 0 °C and 101.325 kPa, m³."""
    return cylinder.norm_volume(1.0)


# ---- programme and cooling


def stretches(wanted: Job, went, gas_volume_m3: float, hold_pa: float) -> tuple[Stretch, ...]:
    """Return the legs in time, each with how the furnace goes through it, and the gas that it drives out or takes in.

    A leg that names no flow of its own has none yet.

    Args:
        wanted: the job.
        went: how the furnace goes through each leg, from furnace_heat.
        gas_volume_m3: all gas, pores included, m³; taken as hot throughout, which is the cautious end.
        hold_pa: pressure in the chamber, Pa absolute.
    """
    found, time = [], 0.0
    for leg, one in zip(wanted.path, went, strict=True):
        own = leg.flow_mol_per_s or 0.0
        found.append(Stretch(leg, time, time + one.duration_s, own, _gas_change(leg, one, gas_volume_m3, hold_pa), one))
        time += one.duration_s
    return tuple(found)


def _gas_change(leg: Leg, went: Went, volume_m3: float, pressure_pa: float) -> float:
    """Return the largest gas flow that the change of temperature drives, mol/s."""
    if leg.change_k > 0:
        return hold.displaced_flow(pressure_pa, [(volume_m3, leg.start_k, leg.rate_k_per_s)])
    return max((hold.displaced_flow(pressure_pa, [(volume_m3, t, rate)]) for t, rate in went.falls), default=0.0)


def above(curve, limit_k: float) -> float:
    """Return the time, s, that a curve of straight pieces lies above a temperature."""
    total = 0.0
    for (t0, a), (t1, b) in zip(curve, curve[1:], strict=False):
        low, high = sorted((a, b))
        share = float(low > limit_k) if low == high else max(0.0, high - max(low, limit_k)) / (high - low)
        total += share * (t1 - t0)
    return total


def slow_between(curve, low_k: float, high_k: float, rate_k_per_s: float) -> float:
    """Return the time, s, that a curve of straight pieces is between two temperatures and moves slower than a rate.

    A piece that stands on an end of the band counts.
    """
    total = 0.0
    for (t0, a), (t1, b) in zip(curve, curve[1:], strict=False):
        bottom, top = sorted((a, b))
        if t1 > t0 and (top - bottom) < rate_k_per_s * (t1 - t0) and bottom <= high_k and top >= low_k:
            share = 1.0 if top == bottom else (min(top, high_k) - max(bottom, low_k)) / (top - bottom)
            total += share * (t1 - t0)
    return total


# ---- flow, cycles, purge


def least_flow(inputs, wanted: Job, leak: float | None, make_up: float) -> Reason:
    """Return the least flow of gas, mol/s, and what ruled it.

    The flow dilutes the leak to the oxygen limit, feeds twice the make-up of cooling, and lies within the
    trusted range of the controller. The dilution turns purge.oxygen_floor round: n = n_leak (x_air − x) / (x − x_gas).

    Args:
        inputs: the values of the plan's form.
        wanted: the job.
        leak: air coming in, mol/s, or None.
        make_up: largest make-up flow of cooling, mol/s.
    """
    need, clean = inputs["target_oxygen"], inputs["gas_oxygen"]
    found = {
        "twice the make-up": constant("run.make_up_factor") * make_up,
        "the controller": constant("run.controller_low") * inputs["controller_range"],
    }
    if not wanted.is_air and None not in (need, clean, leak) and need > clean:
        found["the leak"] = leak * (constant("general.oxygen_in_air") - need) / (need - clean)
    ruling = max(found, key=found.get)
    return Reason(found[ruling], ruling)


def floor_of(inputs, wanted: Job, flows, leak: float | None) -> float | None:
    """Return the mole fraction of oxygen that gas and leak leave at the smallest flow, or None."""
    if wanted.is_air or leak is None or inputs["gas_oxygen"] is None or min(flows) <= 0:
        return None
    return purge.oxygen_floor(min(flows), inputs["gas_oxygen"], leak)


def oxygen_after(cycles: int, pumped_pa: float, hold_pa: float) -> float:
    """Return the mole fraction of the first air's oxygen that cycles leave, with a gas that brings none."""
    return purge.after_cycles(cycles, constant("general.oxygen_in_air"), 0.0, pumped_pa / hold_pa)[-1]


def least_cycles(inputs, wanted: Job, hold_pa: float) -> tuple[Reason, float | None]:
    """Return the cycles to plan and what ruled them, and what one cycle leaves.

    The smallest number that leaves at most a third of the oxygen limit; at least two with fibre or powder,
    at most five.
    """
    if not wanted.pumped:
        return Reason(0.0, "the chamber is not pumped"), None
    one = oxygen_after(1, inputs["pumped_pressure"], hold_pa)
    most = int(constant("run.most_cycles"))
    least, why = (
        (int(constant("run.fewest_cycles_porous")), "fibre or powder") if wanted.porous else (1, "one is enough")
    )
    if inputs["target_oxygen"] is not None:
        part = inputs["target_oxygen"] / constant("run.cycle_part")
        needed = next(
            (n for n in range(1, most + 1) if oxygen_after(n, inputs["pumped_pressure"], hold_pa) <= part), most
        )
        if needed >= least and needed > 1:
            least, why = needed, "the oxygen limit"
    return Reason(float(least), why), one


def ideal_pump_time(volume_m3: float, speed_m3_per_s: float, start_pa: float, end_pa: float) -> float:
    """Return the time, s, of a pump-down at constant speed, with nothing given off: t = (V/S) ln(P/p).

    The plan multiplies it; `pumpdown` follows the walls and the water.

    Args:
        volume_m3: all gas, m³.
        speed_m3_per_s: pumping speed at the chamber, m³/s.
        start_pa, end_pa: pressures, Pa absolute, the second the lower.

    Source:
        definition of pumping speed.
    """
    return volume_m3 / speed_m3_per_s * log(start_pa / end_pa)


def pump_times(inputs, wanted: Job, ambient_pa: float) -> tuple[float, float, float]:
    """Return the ideal time of one pump-down, the planned one, and the one after which it is given up, s."""
    if not wanted.pumped:
        return 0.0, 0.0, 0.0
    ideal = ideal_pump_time(inputs["gas_volume"], inputs["effective_speed"], ambient_pa, inputs["pumped_pressure"])
    if wanted.porous:
        planned = constant("run.pump_factor_fibre") * ideal
        return ideal, planned, max(constant("run.pump_late_fibre"), planned)
    late = constant("run.pump_late_factor") * ideal + constant("run.pump_late_bare")
    return ideal, constant("run.pump_factor_bare") * ideal, late


def backfilling(inputs, wanted: Job, hold_pa: float) -> tuple[float, float]:
    """Return the gas of one filling, mol, and its time at the controller's full scale, s."""
    if not wanted.pumped:
        return 0.0, 0.0
    gas = (
        (hold_pa - inputs["pumped_pressure"])
        * inputs["gas_volume"]
        / (constant("general.gas_constant") * wanted.room_k)
    )
    return gas, gas / inputs["controller_range"]


def wash_time(inputs, wanted: Job, hold_pa: float) -> float:
    """Return the time to wash the chamber by flow at full scale down to the oxygen limit, s.

    Two stirred volumes and a mixing factor of a half, as `purge` has them.
    """
    target = inputs["target_oxygen"] or NO_LIMIT_OXYGEN
    air, clean = constant("general.oxygen_in_air"), inputs["gas_oxygen"] or 0.0
    share = max((target - clean) / (air - clean), 1e-7)
    flow = inputs["controller_range"] * constant("general.gas_constant") * wanted.room_k / hold_pa
    pores = inputs["gas_volume"] - inputs["free_volume"]
    exchange, mixing = (units.read(*of).si for of in (("time", "5 min"), ("number", "0.5")))
    return purge.time_to_share(share, inputs["free_volume"], max(pores, 0.0), exchange, flow * mixing)


# ---- the sequence in time


def events(wanted: Job, cycles: int, pump_s: float, backfill_s: float, wash_s: float, course) -> tuple[Event, ...]:
    """Return the stages of the run in order, from preparing to the record; the rise test is on the last pump-down."""
    found: list[Event] = []

    def then(key: str, duration: float, number: int = 0) -> None:
        found.append(Event(key, found[-1].end_s if found else 0.0, duration, number))

    then("prepare", constant("run.prepare_time"))
    for n in range(1, cycles + 1):
        then("pump", pump_s, n)
        if n == cycles:
            then("rise test", constant("run.rise_wait") + constant("run.rise_time"), n)
        then("fill", backfill_s + (constant("run.rest_time") if n < cycles else 0.0), n)
    if wash_s:
        then("wash", wash_s)
    then("verify", constant("run.verify_time"))
    for n, stretch in enumerate(course):
        then("segment", stretch.duration_s, n)
    then("equalise", constant("run.equalise_time"))
    return tuple(found)


def start_of(inputs) -> datetime:
    """Return the start as a point in time."""
    day: date = inputs["run_date"]
    seconds = units.read("time", inputs["start_time"]).si
    return datetime(day.year, day.month, day.day) + timedelta(seconds=seconds)


def total_range(found: Run) -> Estimate:
    """Return the whole time with its range, s: ideal to given-up pumping, and the spread of natural cooling."""
    early, late = found.furnace.cooling_range(found.cooling_s)
    low = found.total_s - found.cycles * (found.pump_planned_s - found.pump_s) - (found.cooling_s - early)
    high = found.total_s + found.cycles * (found.pump_late_s - found.pump_planned_s) + (late - found.cooling_s)
    return Estimate(found.total_s, low, high, cause="mostly pumping and natural cooling")


# ---- gas, cylinder, room


def gas_needed(course, cycles: int, backfill: float, wash_s: float, full_scale: float) -> float:
    """Return the gas of the run, mol: fillings, washing by flow, and the flow of every leg."""
    return cycles * backfill + wash_s * full_scale + sum(s.flow * s.duration_s for s in course)


def cylinder_state(inputs, wanted: Job, gas_mol: float) -> dict:
    """Return content, reserve and pressure left of the cylinder, and what its release does to the room.

    Source:
        real gas by `cylinder`; the room by `room_oxygen`, whole cylinder at once, pushed out before it mixes.
    """
    nothing = dict.fromkeys(("cylinder_mol", "reserve_mol", "cylinder_left_pa", "released_m3", "room_worst"))
    if wanted.is_air:
        return nothing
    volume, temperature = inputs["cylinder_volume"], inputs["cylinder_temperature"]
    kept = min(inputs["reserve_pressure"], inputs["cylinder_pressure"])
    try:
        content = cylinder.content(wanted.shares, volume, inputs["cylinder_pressure"], temperature)
        reserve = cylinder.content(wanted.shares, volume, kept, temperature)
    except (Refused, OutOfRange, KeyError):  # a gas or mixture whose pressure does not tell its content
        return nothing
    left = cylinder_pressure(wanted.shares, (content - gas_mol) / volume, temperature) if gas_mol < content else None
    released = content * constant("general.gas_constant") * wanted.room_k / inputs.ambient_pa
    worst = None
    if inputs["room_volume"] is not None:
        share = room_oxygen.sudden_share(min(released, inputs["room_volume"]), inputs["room_volume"])
        worst = room_oxygen.oxygen_with(share, wanted.gas)
    return {
        "cylinder_mol": content, "reserve_mol": reserve, "cylinder_left_pa": left, "released_m3": released,
        "room_worst": worst,
    }  # fmt: skip


def cylinder_pressure(shares: dict, density_mol_per_m3: float, temperature_k: float) -> float:
    """Return the pressure, Pa absolute, of a gas of known density: p = r R T (1 + B r + C r² + D r³ + E r⁴).

    Args:
        shares: gas to mole fraction.
        density_mol_per_m3: amount over volume, mol/m³.
        temperature_k: temperature, K.

    Source:
        cylinder.series.
    """
    r = density_mol_per_m3 / 1e4
    factor = 1 + sum(c * r**n for n, c in enumerate(cylinder.series(shares, temperature_k), 1))
    return density_mol_per_m3 * constant("general.gas_constant") * temperature_k * factor


def room_oxygen_running(gas_mol_per_s: float, found: Run) -> float:
    """Return the oxygen that a room holds at the end of a run whose exhaust ends in it, as a mole fraction.

    Args:
        gas_mol_per_s: gas let into the room, mol/s.
        found: the run; volume and fresh air of the room are given.

    Source:
        room_oxygen.gas_share; the fresh air is divided by the number for poor mixing, safety.mixing_divisor.
    """
    volume = found.inputs["room_volume"]
    fresh = found.inputs["air_changes"] * volume / 3600 / constant("safety.mixing_divisor")
    flow = gas_mol_per_s * constant("general.gas_constant") * found.job.room_k / found.ambient_pa
    kind = "extract" if fresh else "none"
    return room_oxygen.oxygen_with(room_oxygen.gas_share(found.total_s, volume, flow, fresh, kind), found.job.gas)
