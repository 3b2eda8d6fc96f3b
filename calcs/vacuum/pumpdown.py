"""Pumping down: the time to a pressure, with gas in pores, water, walls, a leak and the line."""

from bisect import bisect_left
from dataclasses import dataclass
from math import exp, log

from calcs import gases, wording
from calcs.core import Answer, Caution, Column, Estimate, Figures, Range, ReadOff, Refused, Shown, Work
from calcs.data import constant, rows
from calcs.form import Field, Form, Problems
from calcs.picture import Axis, Band, Curve, Limit, Mark, Plot, Table
from calcs.vacuum import line as lines

ROOM_K = 293.15  # 20 °C, where a table or a measurement is at room temperature; common practice, no source

PAGE = "VAC-03"

POINTS_PER_DECADE = 7  # of the table of pumping speed against pressure
LARGEST_FALL = 0.12  # of ln p in one step
LARGEST_APPROACH = 0.25  # of V/G in one step, until the pressure has settled
LAGS = 3.0  # a pressure that follows a load dying away as 1/t lags behind it by (V/G)/t
SETTLED = 2e-3  # share of the pressure by which it may still stand off from where it settles
LARGEST_AGEING = 0.06  # of the age of the surfaces in one step
MOST_STEPS = 4000
MARKS_MIN = (10, 30, 60, 120)  # times at which a pressure is always given
CLEAR_OF_END = 3.0  # the target counts as close where the pressure at the time limit is not this much lower; ours
CLEAR_OF_ULTIMATE = 5.0  # or where it is not this much above the pump's end pressure; ours
BACK_STREAMING_PA = 10.0  # below about this, oil vapour comes back from an oil pump; common practice, no source

FORM = Form(
    question="How long to pump down?",
    ask=("target_pressure", "start_pressure", "free_water", "adsorbed_water", "time_limit"),
    fields=(
        Field("target_pressure", "Pressure wanted", "absolute pressure", "0.1 mbar", accepted=Range("0 Pa", above=True),
              hint="Absolute."),
        Field("start_pressure", "Pressure at the start", "absolute pressure", "995 mbar", optional=True,
              accepted=Range("0 Pa", "2 bar", above=True, because="The formulas of the line end there."),
              hint="Leave it empty to start from the pressure of the room."),
        Field("free_water", "Free water (liquid or ice)", "mass", "0 g", default="0 g",
              accepted=Range("0 g", "5000 g", because="That much water is poured out, not pumped out."),
              hint="Wet board, washed parts, condensate. Weigh before and after drying if you can."),
        Field("adsorbed_water", "Adsorbed water, mass per mass of insulation", "number", "2.5e-4", default="2.5e-4",
              accepted=Range("0"), hint="2.5e-4 after a night open to room air; 5e-5 after a dry-out; 1e-3 when damp."),
        Field("time_limit", "Longest time to look at", "time", "4 h", default="4 h",
              accepted=Range("1 min", "2 d", because="After that the figures say nothing more.")),
        Field("free_volume", "Chamber volume, open space", "volume", "24 L",
              accepted=Range("0.1 L", "1000 L", because="Larger and smaller chambers are another kind of plant."),
              hint="Inside width times height times depth, less the load."),
        Field("insulation_volume", "Insulation inside the pumped space, outer volume", "volume", "93 L",
              accepted=Range("0 L", "2000 L"), hint="0 if a sealed muffle or retort holds the vacuum."),
        Field("insulation_porosity", "Porosity of the insulation", "number", "0.90", default="0.90",
              accepted=Range("0", "0.98"), hint="1 less density over the density of its solid; 0.9 for fibre."),
        Field("insulation_mass", "Insulation mass", "mass", "17.7 kg", default="0 kg",
              accepted=Range("0 kg", "1000 kg"),
              hint="Volume times density."),
        Field("wall_area", "Bare surface inside the pumped space", "area", "1.44 m2", default="1.0 m2",
              accepted=Range("0 m2", "100 m2"), hint="Shell, fixtures and load; not the fibre."),
        Field("wall_outgassing", "Outgassing of the surface after 1 h", "outgassing per area", "1.8e-5 Pa m/s",
              default="1.8e-5 Pa m/s", accepted=Range("0 Pa m/s", "1e-2 Pa m/s"),
              hint="1.8e-5 for steel fresh from the workshop; rubber seals 1e-3."),
        Field("wall_exponent", "Exponent of the outgassing "
                               "law", "number", "1.0", default="1.0", accepted=Range("0.5", "1.5"),
              hint="1 for unbaked metal, 0.5 for rubber."),
        Field("leak_rate", "Air leak rate, inward", "throughput", "1e-3 mbar L/s", default="1e-3 mbar L/s",
              accepted=Range("0 Pa m3/s", "10 Pa m3/s", because="A larger leak is a hole: find it first."),
              hint="From a rise test."),
        Field("pump_speed", "Rated pumping speed", "conductance", "10 m3/h", accepted=lines.SPEED,
              hint="From the pump's data sheet, at your mains frequency."),
        Field("pump_ultimate", "Pump's own end pressure", "absolute pressure", "0.003 mbar", accepted=lines.ULTIMATE,
              hint="Measured with the pump blanked off, gas ballast shut; old or wet oil raises it."),
        Field("bore", "Hose bore, smallest", "length", "39 mm", accepted=lines.BORE,
              hint="The narrowest place counts: hose barb, adaptor, port of a valve."),
        Field("length", "Hose length", "length", "1.2 m", accepted=lines.LENGTH),
        Field("fittings_loss", "Loss coefficient of fittings, sum", "number", "3", default="1.5", accepted=lines.LOSS,
              hint="1.5 for entrance and exit; add 0.8 for each elbow, 3 to 6 for an angle valve."),
        Field("hose_type", "Hose wall", "choice", "smooth", default="smooth", choices=("smooth", "corrugated"),
              hint="Corrugated is a metal bellows hose."),
        Field("gas", "Gas", "choice", "air", default="air", choices=gases.NAMES, spoken=gases.FORMULAS,
              hint="What fills the chamber at the start."),
        Field("gas_temperature", "Gas temperature", "temperature", "20 °C", default="20 °C", accepted=Range("-20 degC"),
              hint="Of chamber and hose, cold: −20 °C to 100 °C."),
        Field("ambient_pressure", "Ambient pressure (barometer in the room)", "absolute pressure", "995 mbar",
              default="101.325 kPa", accepted=Range("45 kPa", "110 kPa", because="The air of no workshop lies outside "
                                                                                 "this.")),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("time", "Time to the pressure wanted", "time", "min", "up, range"),
    Shown("reached", "Pressure wanted is reached within the time limit", "yes/no"),
    Shown("gas_volume", "All gas in the chamber, pores included", "volume", "L", "up"),
    Shown("pressure_at_10_min", "Pressure after 10 min", "absolute pressure", "mbar", "up, range"),
    Shown("pressure_at_30_min", "Pressure after 30 min", "absolute pressure", "mbar", "up, range"),
    Shown("pressure_at_60_min", "Pressure after 60 min", "absolute pressure", "mbar", "up, range"),
    Shown("pressure_at_120_min", "Pressure after 120 min", "absolute pressure", "mbar", "up, range"),
    Shown("decade_times", "Time per decade", "table", columns=(
        Column("from", "From"), Column("to", "To"), Column("time", "Time", "time", "min", 2, "up"))),
    Shown("load_shares", "Gas load at the pressure wanted", "table", columns=(
        Column("source", "Source"), Column("throughput", "Throughput", "throughput", "mbar L/s", 2),
        Column("share", "Share", "number", "%", 2))),
    Shown("end_pressure", "Lowest pressure within the time limit", "absolute pressure", "mbar", "up"),
    Shown("plateau_time", "Time spent on free water", "time", "min", "up, range"),
    Shown("oxygen_bound", "Oxygen left after filling, at most", "mole fraction", "ppm", "up"),
)  # fmt: skip

_DRY = {"insulation_volume": "0 L", "insulation_mass": "0 kg", "bore": "25 mm", "length": "1 m", "fittings_loss": "1.5",
        "start_pressure": "1013 mbar"}  # fmt: skip
READ_OFF = (
    ReadOff(
        caption="A bare chamber without insulation, dry, from 1013 mbar to 0.1 mbar: 25 mm × 1 m smooth hose, 1.44 m² "
        "of fresh "
        "steel, leak 0.001 mbar·L/s, pump's end pressure 0.003 mbar",
        down=("free_volume", ("10 L", "30 L", "60 L", "100 L")),
        across=("pump_speed", ("4 m3/h", "5 m3/h", "10 m3/h", "16 m3/h")),
        figures=("time",),
        given=_DRY,
    ),
    ReadOff(
        caption="The lined chamber of the example (108 L of gas, 17.7 kg of fibre, 10 m³/h): time against dampness "
        "and target",
        down=("adsorbed_water", ("0", "5e-5", "2.5e-4", "1e-3")),
        across=("target_pressure", ("1 mbar", "0.1 torr", "0.05 torr", "0.02 mbar")),
        figures=("time",),
    ),
)


# ---------------------------------------------------------------- physics


@dataclass(frozen=True)
class Loads:
    """What gives off gas while pumping, in SI units; `age` is the time since pumping began."""

    leak: float  # Pa·m³/s
    wall: float  # Pa·m³/s after one hour
    exponent: float
    water: float  # B, Pa·m³

    def parts(self, age: float) -> tuple[float, float, float]:
        """Return (leak, walls, insulation) in Pa·m³/s.

        Source:
            power law of outgassing: Redhead 1995 and earlier work (known, source not looked up); the 1/t law of
            water in the insulation follows from an even spread of binding energies.
        """
        shifted = age + constant("vacuum.outgassing_shift")
        wall = self.wall * (constant("vacuum.outgassing_hour") / shifted) ** self.exponent if self.wall else 0.0
        return self.leak, wall, self.water / shifted

    def quick(self):
        """Return a function of the age that gives the sum, with the constants looked up once."""
        shift, hour = constant("vacuum.outgassing_shift"), constant("vacuum.outgassing_hour")
        leak, wall, exponent, water = self.leak, self.wall, self.exponent, self.water
        if exponent == 1:
            water, wall = water + wall * hour, 0.0
        if not wall:
            return lambda age: leak + water / (age + shift)
        return lambda age: leak + water / (age + shift) + wall * (hour / (age + shift)) ** exponent


def water_coefficient(water_share: float, insulation_kg: float, temperature_k: float) -> float:
    """Return B of the law Q = B/t for water given off by an insulation, Pa·m³.

    B = (w m / M_w) (R T)² / dE: each binding energy empties at its own rate; an even spread of them over dE
    gives exactly 1/t.

    Args:
        water_share: adsorbed water, mass per mass of insulation, 0 to 5e-3.
        insulation_kg: mass of the insulation, kg.
        temperature_k: its temperature, K.

    Source:
        sum of first-order desorption over a uniform spread, derived for this project; the idea: Redhead 1995.
    """
    amount = water_share * insulation_kg / constant("vacuum.water_molar_mass")
    return amount * (constant("general.gas_constant") * temperature_k) ** 2 / constant("vacuum.binding_spread")


def water_pressure(temperature_k: float) -> float:
    """Return the vapour pressure of ice or water, Pa.

    Args:
        temperature_k: 233.15 K to 373.15 K.

    Source:
        data/vacuum/water.csv: IAPWS for ice, the equation of state of water above.
    """
    points = [
        (float(row["temperature"]) + constant("general.zero_celsius"), float(row["pressure"]))
        for row in rows("vacuum/water.csv")
    ]
    place = min(max(bisect_left([t for t, _ in points], temperature_k), 1), len(points) - 1)
    (t1, p1), (t2, p2) = points[place - 1], points[place]
    return p1 * (p2 / p1) ** ((1 / t1 - 1 / temperature_k) / (1 / t1 - 1 / t2))


class SpeedTable:
    """G(p), so that the line with its pump takes G (p - p_u): tabulated against ln p once, read quickly."""

    def __init__(self, line: lines.Tube, speed_m3_per_s: float, ultimate_pa: float, highest_pa: float):
        """Make the table from a little above the pump's end pressure to the highest pressure."""
        self.ultimate = ultimate_pa
        low, high = log(ultimate_pa * 1.001), log(highest_pa * 1.001)
        count = max(2, round((high - low) / log(10) * POINTS_PER_DECADE) + 1)
        self.low, self.step, self.last = low, (high - low) / (count - 1), count - 2
        self.values = []
        for i in range(count):
            pressure = exp(low + i * self.step)
            drop, flow = lines.join_pump(line, pressure, speed_m3_per_s, ultimate_pa)
            self.values.append(log(flow / (pressure - ultimate_pa)))

    def __call__(self, log_pressure: float) -> float:
        """Return G, m³/s, at ln p; beyond the ends the end value."""
        place = (log_pressure - self.low) / self.step
        if place <= 0:
            return exp(self.values[0])
        i = min(int(place), self.last)
        part = min(place - i, 1.0)
        return exp(self.values[i] + part * (self.values[i + 1] - self.values[i]))

    def slope(self, log_pressure: float) -> float:
        """Return d ln G/d ln p at ln p, 0 or more."""
        place = (log_pressure - self.low) / self.step
        if place <= 0:
            return 0.0
        i = min(int(place), self.last)
        return max((self.values[i + 1] - self.values[i]) / self.step, 0.0)


@dataclass
class Course:
    """Pressure against time of one pump-down: lists of s and Pa; `plateau` is the time spent on free water."""

    times: list
    pressures: list
    plateau: float = 0.0
    water_left: bool = False

    def pressure_at(self, time: float) -> float:
        """Return the pressure, Pa, at a time, straight in ln p between the steps."""
        i = bisect_left(self.times, time)
        if i <= 0:
            return self.pressures[0]
        if i >= len(self.times):
            return self.pressures[-1]
        part = (time - self.times[i - 1]) / (self.times[i] - self.times[i - 1])
        return self.pressures[i - 1] * (self.pressures[i] / self.pressures[i - 1]) ** part

    def time_to(self, pressure: float) -> float | None:
        """Return the first time, s, at which the pressure is down to this, or None."""
        for i, here in enumerate(self.pressures):
            if here <= pressure:
                if i == 0:
                    return 0.0
                before = self.pressures[i - 1]
                part = log(before / pressure) / log(before / here)
                return self.times[i - 1] + part * (self.times[i] - self.times[i - 1])
        return None


def pump_down(
    volume_m3: float, table: SpeedTable, loads: Loads, start_pa: float, end_s: float,
    water_mol: float = 0.0, water_pa: float = 0.0, temperature_k: float = ROOM_K,
) -> Course:  # fmt: skip
    """Return the course of V dp/dt = -G(p) (p - p_u) + Q(t), with a stay at the vapour pressure while free water lasts.

    Each step solves the equation exactly for a constant G and a load that changes evenly; steps are short enough
    that ln p falls by at most 0.12 and the surfaces age by at most 6 %.

    Args:
        volume_m3: all gas, pores included, m³.
        table: from SpeedTable.
        loads: what gives off gas.
        start_pa: pressure at the start, Pa.
        end_s: time at which to stop, s.
        water_mol: free water, mol.
        water_pa: its vapour pressure, Pa.
        temperature_k: temperature of the gas, K.

    Source:
        balance of gas; checked against an independent integrator and closed solutions.
    """
    ultimate, load = table.ultimate, loads.quick()
    shift = constant("vacuum.outgassing_shift")
    rt = constant("general.gas_constant") * temperature_k
    # Under vacuum at the start, free water boils up at once: to its vapour pressure, or until it is all gone.
    risen = min(max(water_pa - start_pa, 0.0), water_mol * rt / volume_m3)
    water_mol -= risen * volume_m3 / rt
    time, pressure = 0.0, start_pa + risen
    found = Course([0.0], [pressure])
    wet = water_mol > 0
    for _ in range(MOST_STEPS):
        if wet and pressure <= water_pa * (1 + 1e-12):
            pressure = water_pa
            carried = max(table(log(water_pa)) * (water_pa - ultimate) - load(time), 0.0)
            found.plateau = water_mol * rt / carried if carried else end_s
            time, wet = time + found.plateau, False
            found.water_left = time > end_s
            _add(found, time, pressure)
        if time >= end_s:
            break
        step, after = _step(table, volume_m3, load, time, pressure, ultimate, shift, end_s)
        if wet and after < water_pa < pressure:
            part = log(pressure / water_pa) / log(pressure / after)
            step, after = step * part, water_pa
        time, pressure = time + step, after
        _add(found, time, pressure)
    return found


def _add(course: Course, time: float, pressure: float) -> None:
    course.times.append(time)
    course.pressures.append(pressure)


def _step(table, volume, load, time, pressure, ultimate, shift, end) -> tuple[float, float]:
    """One step: (its length in s, the pressure after it)."""
    here = table(log(pressure))
    settling = ultimate + load(time) / here
    rate = here / volume
    length = min(LARGEST_AGEING * (time + shift), end - time)
    distance = abs(1 - settling / pressure)
    if distance > SETTLED:
        length = min(length, LARGEST_FALL / (distance * rate))
        if distance > LAGS * volume / here / (time + shift):  # not the lag behind a load that dies away: still falling
            length = min(length, LARGEST_APPROACH / rate)
    load_now, load_then = load(time), load(time + length)
    middle = after = pressure
    for _ in range(3):  # the speed is needed along the step, which is known only after it
        speed = table(log(middle))
        first, last = ultimate + load_now / speed, ultimate + load_then / speed
        turns = speed / volume * length
        lag = (last - first) / turns if turns > 1e-9 else last - first
        after = max(last - lag + (pressure - first + lag) * exp(-turns), ultimate * (1 + 1e-9))
        if turns < 1:
            middle = (pressure * after) ** 0.5
        else:  # settled: the speed at the end counts; this step of Newton's stays calm where speed grows with pressure
            slope = table.slope(log(middle))
            middle = (after * middle**slope) ** (1 / (1 + slope))
    return length, after


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return the time to a pressure, what holds it up, and what is left, as ranges.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    start = inputs["start_pressure"] if inputs["start_pressure"] is not None else inputs["ambient_pressure"]
    _refuse(inputs, start)
    volume = inputs["free_volume"] + inputs["insulation_porosity"] * inputs["insulation_volume"]
    cases = _cases(inputs, start)
    limit = inputs["time_limit"]
    end = max(limit, MARKS_MIN[-1] * 60)
    water_mol = inputs["free_water"] / constant("vacuum.water_molar_mass")
    courses = [
        pump_down(volume, table, loads, start, end, water_mol, water_pa, inputs["gas_temperature"])
        for table, loads, water_pa in cases
    ]
    target = inputs["target_pressure"]
    times = [_within(course.time_to(target), limit) for course in courses]
    nominal, table, loads = courses[0], cases[0][0], cases[0][1]
    lowest = min(p for t, p in zip(nominal.times, nominal.pressures, strict=True) if t <= limit)
    lowest = min(lowest, nominal.pressure_at(limit))
    at_end = target if times[0] is not None else lowest
    shares = _load_shares(loads, times[0] if times[0] is not None else limit)
    cause = _cause(inputs)
    reached = [t for t in times if t is not None]
    figures = FIGURES.fill(
        time=None if times[0] is None else Estimate(
            times[0], min(reached), None if times[2] is None else max(reached), cause
        ),
        reached=times[0] is not None,
        gas_volume=volume,
        **{f"pressure_at_{m}_min": _pressure_range(courses, m * 60, cause) for m in MARKS_MIN},
        decade_times=_decades(nominal, start, target) or None,
        load_shares=shares or None,
        end_pressure=lowest,
        plateau_time=_plateau(courses) if water_mol else None,
        oxygen_bound=constant("general.oxygen_in_air") * min(at_end / inputs["ambient_pressure"], 1.0),
    )  # fmt: skip
    knee = _knee(nominal, table, loads)
    return Answer(
        sentence=_sentence(inputs, figures, times, start, knee, shares, lowest),
        verdict=_verdict(times, target, lowest, inputs["pump_ultimate"]),
        judged=True,
        figures=figures,
        leaves_out=_leaves_out(inputs),
        cautions=_cautions(inputs),
        pictures=(_picture(courses, knee, target, limit),),
        working=_working(inputs, volume, start, table, loads, times[0]),
        notes=_notes(inputs, times, nominal, table, loads, start, target, shares),
    )


def _within(time, limit):
    return time if time is not None and time <= limit * (1 + 1e-9) else None


def _refuse(inputs, start) -> None:
    gases.refuse_for_chamber(inputs["gas"])
    if inputs["gas"] == "water vapour":
        raise Problems(
            {"gas": "Gas: steam fills no cold chamber. Choose the gas that fills it, and give the water as free water."}
        )
    lines.refuse_line(inputs)
    if inputs["adsorbed_water"] > constant("vacuum.most_adsorbed") * (1 + 1e-9):
        raise Refused(
            "free_water_in_insulation", "that much water is free water",
            f"{inputs.said('adsorbed_water')} kg of water in each kg of insulation is more than its surfaces hold.",
            "Dry out first (VAC-06), or give the water as free water in grams.", field="adsorbed_water",
        )  # fmt: skip
    target, ultimate = inputs["target_pressure"], inputs["pump_ultimate"]
    if target <= ultimate * (1 + 1e-9):
        raise Refused(
            "below_pump_ultimate", "the pump does not reach that",
            f"The pump's own end pressure is {inputs.said('pump_ultimate')}: {inputs.said('target_pressure')} cannot "
            "be reached with it.",
            "Ask for a higher pressure, renew the oil and measure the end pressure again, or use another pump.",
            field="target_pressure",
        )  # fmt: skip
    if start <= target:
        raise Refused(
            "start_below_target", "the chamber is already there",
            "The pressure at the start is not above the pressure wanted.",
            "Check both pressures and their units; both are absolute.", field="start_pressure",
        )  # fmt: skip


def _cases(inputs, start) -> list[tuple]:
    """Return (table, loads, vapour pressure of free water) for the nominal, the best and the worst case."""
    freezing = constant("general.zero_celsius")
    room = inputs["gas_temperature"]
    scatter = constant("vacuum.wall_scatter")
    low, high = constant("vacuum.water_low_factor"), constant("vacuum.water_high_factor")
    tubes = lines.tubes_of(inputs)
    ultimate, speed = inputs["pump_ultimate"], inputs["pump_speed"]
    found, highest = [], max(start, water_pressure(room)) if inputs["free_water"] else start
    tables = {}
    for line, water, wall, slower, water_k in (
        (tubes[0], 1.0, 1.0, 1.0, min(room, freezing)),
        (tubes[1], low, 1 / scatter, 1.0, room),
        (tubes[2], high, scatter, constant("vacuum.speed_low"), min(room, freezing)),
    ):
        key = (line, slower)
        if key not in tables:
            tables[key] = SpeedTable(line, speed * slower, ultimate, highest)
        loads = Loads(
            leak=inputs["leak_rate"], wall=inputs["wall_outgassing"] * inputs["wall_area"] * wall,
            exponent=inputs["wall_exponent"],
            water=water_coefficient(inputs["adsorbed_water"] * water, inputs["insulation_mass"], room),
        )  # fmt: skip
        found.append((tables[key], loads, water_pressure(water_k)))
    return found


def _cause(inputs) -> str:
    if inputs["free_water"]:
        return "mostly how cold the free water gets"
    if inputs["insulation_mass"] and inputs["adsorbed_water"]:
        return "mostly the water in the insulation, then the pump"
    return "the pump (0.8 to 1 of its rated speed) and the state of the walls"


def _pressure_range(courses, time, cause) -> Estimate:
    found = [course.pressure_at(time) for course in courses]
    return Estimate(found[0], min(found), max(found), cause)


def _plateau(courses) -> Estimate | None:
    nominal, best, _ = (course.plateau for course in courses)
    if not nominal:
        return None
    return Estimate(nominal, best, None, "how cold the water gets: the low end at room temperature, the middle at 0 °C")


def _load_shares(loads: Loads, time: float) -> list[dict]:
    parts = loads.parts(time)
    total = sum(parts)
    if total <= 0:
        return []
    names = ("leak", "walls", "water in the insulation")
    return [{"source": n, "throughput": q, "share": q / total} for n, q in zip(names, parts, strict=True)]


def _decades(course: Course, start: float, target: float) -> list[dict]:
    """Time from each power of ten (in mbar) to the next, down to the target."""
    edges, edge = [start], 1e5
    while edge > target * (1 + 1e-9):
        if edge < start * (1 - 1e-9):
            edges.append(edge)
        edge /= 10
    edges.append(target)
    found, before = [], 0.0
    for high, low in zip(edges, edges[1:], strict=False):
        time = course.time_to(low)
        if time is None:
            break
        found.append({"from": _mbar(high), "to": _mbar(low), "time": time - before})
        before = time
    return found


def _mbar(pressure: float) -> str:
    return wording.with_unit(wording.plain_number(float(f"{pressure / 100:.3g}")), "mbar")


def _knee(course: Course, table: SpeedTable, loads: Loads) -> tuple[float, float] | None:
    """The first (time, pressure) at which half of what is pumped comes from walls, water and leak."""
    for time, pressure in zip(course.times, course.pressures, strict=True):
        if sum(loads.parts(time)) >= table(log(pressure)) * (pressure - table.ultimate) / 2:
            return time, pressure
    return None


def _verdict(times, target, lowest, ultimate) -> str:
    if times[0] is None:
        return "outside"
    if times[2] is None or target < CLEAR_OF_END * lowest or target < CLEAR_OF_ULTIMATE * ultimate:
        return "close"
    return "within"


def _sentence(inputs, figures, times, start, knee, shares, lowest) -> str:
    gas, target = figures["gas_volume"].text, inputs.said("target_pressure")
    limit = wording.duration(inputs["time_limit"])
    if times[0] is None:
        largest = max(shares, key=lambda row: row["share"], default=None)
        held = f", held mostly by {_article(largest['source'])}" if largest else ""
        return (
            f"{target} is not reached within {limit}: the chamber with its {gas} of gas then stands at about "
            f"{figures['end_pressure'].text}{held}."
        )
    time = figures["time"]
    if times[2] is None:
        least, middle = wording.duration(time.low_value, "down"), wording.duration(times[0], "up")
        span = f"{least} or more, about {middle} in the middle case"
    else:
        span = f"{time.span}, about {time.text} in the middle case"
    said = f"Down to {target} takes {span}, with {gas} of gas and the pump at {inputs.said('pump_speed')}"
    if knee and knee[1] > inputs["target_pressure"]:
        return f"{said}; below about {_mbar(float(f'{knee[1]:.1g}'))} walls, water and leak set the time, not the pump."
    return f"{said}; down to there the pump and the volume set the time."


def _article(source: str) -> str:
    return {"leak": "the leak", "walls": "gas from the walls", "water in the insulation": "water in the insulation"}[
        source
    ]


def _leaves_out(inputs) -> tuple[str, ...]:
    return (
        "water and vapour from the load, binder and oil",
        "pockets that empty slowly: blind holes, screw threads, gaps (virtual leaks)",
        "a trap or dust filter in the line, unless its loss is in the fittings"
        + ("; ice colder than 0 °C, which lasts longer than the range says" if inputs["free_water"] else ""),
    )


def _cautions(inputs) -> tuple[Caution, ...]:
    found = [
        Caution("WARNING", "Glass under vacuum",
                "The air presses on every evacuated window with 10 N on each square centimetre; a cracked one bursts "
                "inwards and "
                "throws splinters.",
                "Look at the sight glass before you pump, wear eye protection, and pump only what is rated for full "
                "vacuum."),
    ]  # fmt: skip
    exhaust = "oil mist and what the load gives off" if gases.gas(inputs["gas"]).kind == "oxidising" else (
        f"{inputs['gas']}, which displaces the air that people breathe, with oil mist")  # fmt: skip
    found.append(
        Caution("WARNING", "Pump exhaust in the room", f"The pump's exhaust carries {exhaust}.",
                "Lead it outdoors or as the site's rules say, before the pump is started.")
    )  # fmt: skip
    if inputs["free_water"]:
        found.append(
            Caution("NOTICE", "Water in the pump oil",
                    "Vapour condenses in the pump, and its end pressure rises to 0.05 mbar and more.",
                    "Pump with the gas ballast open until the pressure falls below the plateau, then shut it; better, "
                    "dry out first.")
        )  # fmt: skip
    if inputs["target_pressure"] < BACK_STREAMING_PA:
        found.append(
            Caution("NOTICE", "Oil coming back",
                    "Below about 0.1 mbar oil vapour creeps from an oil pump into the chamber, most at its end "
                    "pressure.",
                    "Shut the valve when the pressure is reached, and let the pump take air before you stop it.")
        )  # fmt: skip
    return tuple(found)


def _picture(courses, knee, target, limit) -> Plot:
    """Log pressure against time; nominal as a line, best and worst as a band."""
    last = min(limit, max(8 * (courses[0].time_to(target) or limit) / 4, 60.0))
    times = [last * (i / 60) ** 2 for i in range(61)]  # closer together at the start, where it falls fast
    rows_ = [(t / 60, *(c.pressure_at(t) / 100 for c in courses)) for t in times]
    band = [(m, min(best, p), max(worst, p)) for m, p, best, worst in rows_]
    marks = ()
    if knee and knee[0] <= last:
        marks = (Mark("half from walls", knee[0] / 60, knee[1] / 100),)
        sentence = (
            f"Under about {_mbar(float(f'{knee[1]:.1g}'))} the walls, the water and the leak set the time, not the pump"
        )
    else:
        sentence = "The pump and the volume set the time: each power of ten takes about as long as the one before"
    shown = [
        [wording.number(m, 2) if m else "0", *(wording.number(p, 2, "up") for p in (low, here, high))]
        for (m, here, *_), (_, low, high) in zip(rows_[::6], band[::6], strict=True)
    ]
    return Plot(
        sentence=sentence,
        description=f"Pressure in mbar on a log scale against time in minutes, from {shown[0][2]} mbar at the start "
        f"to {shown[-1][2]} "
        f"mbar after {shown[-1][0]} min, with a band from {shown[-1][1]} to {shown[-1][3]} mbar there.",
        x=Axis("Time", "min"),
        y=Axis("Pressure", "mbar", log=True),
        curves=(Curve("middle case", [(m, p) for m, p, *_ in rows_]),),
        bands=(
            Band("dry and new to damp and worn", [(m, low) for m, low, _ in band], [(m, high) for m, _, high in band]),
        ),
        limits=(Limit("pressure wanted", target / 100),),
        marks=marks,
        table=Table("Pressure against time", ("Time, min", "Low, mbar", "Middle, mbar", "High, mbar"), shown),
    )


def _working(inputs, volume, start, table, loads, time) -> tuple[Work, ...]:
    target, speed, ultimate = inputs["target_pressure"], inputs["pump_speed"], inputs["pump_ultimate"]
    ideal = volume / speed * log((start - ultimate) / (target - ultimate))
    shares = loads.parts(time if time is not None else inputs["time_limit"])
    return (
        Work("All gas, pores included", "V = V_free + φ V_insulation",
             f"{inputs['free_volume'] * 1e3:.4g} L + {inputs['insulation_porosity']:.3g} × "
             f"{inputs['insulation_volume'] * 1e3:.4g} L",
             f"V = {volume * 1e3:.4g} L"),
        Work("Time without line, leak and water, to compare", "t = (V/S₀) ln((p_s − p_u)/(p_t − p_u))",
             f"S₀ = {speed * 1e3:.4g} L/s, p_s = {start:.6g} Pa, p_t = {target:.4g} Pa, p_u = {ultimate:.4g} Pa",
             f"t = {ideal / 60:.3g} min", source="ohanlon"),
        Work("Pumping speed at the pressure wanted, with the line", "S_eff = G (1 − p_u/p)", "G from VAC-02",
             f"S_eff = {table(log(target)) * (1 - ultimate / target) * 1e3:.4g} L/s"),
        Work("Water in the insulation", "B = (w m / M_w) (R T)² / ΔE, Q = B/(t + t_s)",
             f"w = {inputs['adsorbed_water']:.3g}, m = {inputs['insulation_mass']:.4g} kg", f"B = {loads.water:.3g} "
                                                                                            "Pa·m³",
             ("vacuum.binding_spread", "vacuum.outgassing_shift", "vacuum.water_molar_mass", "general.gas_constant"),
             "redhead-1995"),
        Work("Gas load then", "Q = Q_leak + q₁ A (1 h/(t + t_s))^α + B/(t + t_s)", f"A = {inputs['wall_area']:.3g} m²",
             f"{shares[0]:.3g} + {shares[1]:.3g} + {shares[2]:.3g} Pa·m³/s", ("vacuum.outgassing_hour",)),
        Work("Pressure against time", "V dp/dt = −S_eff(p) p + Q(t)",
             "in steps; the ends of the range: water and walls cleaner or dirtier, pump at 0.8 or 1 of its speed",
             f"t = {time / 60:.3g} min" if time is not None else "not reached",
             ("vacuum.water_low_factor", "vacuum.water_high_factor", "vacuum.wall_scatter", "vacuum.speed_low")),
    )  # fmt: skip


def _notes(inputs, times, course, table, loads, start, target, shares) -> tuple[str, ...]:
    notes = []
    if inputs["insulation_volume"] * inputs["insulation_porosity"] > inputs["free_volume"]:
        notes.append(
            "The pores of the insulation hold more gas than the open space: pumped volume is not work-space volume."
        )
    if inputs["insulation_volume"] and not inputs["insulation_mass"]:
        notes.append(
            "The insulation has a volume but no mass here, so no water is reckoned from it: the time is too short."
        )
    if times[0] is None:
        notes.append(_lever(inputs, table, loads, target, shares, course))
    elif target < 100:
        notes.append(
            "Below 1 mbar the gas is mostly water vapour: a thermal gauge calibrated for nitrogen shows it about 1.7 "
            "times too high "
            "(common practice, no source). The times here are for true pressure."
        )
    if inputs["free_water"]:
        notes.append(
            "Free water holds the pressure near 6 to 23 mbar until it is gone. Without heat it freezes: after about "
            "15 % has gone the "
            "rest is ice."
        )
    if len(decades := _decades(course, start, target)) >= 3 and start > 5e4:
        notes.append(
            "Stopwatch: the first decade here takes "
            f"{wording.duration(decades[0]['time'] if start >= 9.9e4 else decades[1]['time'], 'up')}. "
            "All decades longer than said: volume, pump or blockage. Only the last one longer: gas load."
        )
    return tuple(notes)


def _lever(inputs, table, loads, target, shares, course) -> str:
    """What holds the pressure up, and what to do about it."""
    if course.water_left:
        return "Free water lasts longer than the time limit: dry out first (VAC-06)."
    floor = table.ultimate + loads.leak / table(log(target))
    if floor >= target:
        return (
            f"The leak alone sets a floor of about {_mbar(float(f'{floor:.2g}'))}: no time helps. Do a rise test "
            "(VAC-04) before you buy "
            "a pump."
        )
    largest = max(shares, key=lambda row: row["share"], default={"source": ""})["source"]
    return {
        "leak": "The leak is the largest gas load: do a rise test (VAC-04).",
        "walls": "The walls are the largest gas load: clean and dry them, shorten the time open to room air.",
        "water in the insulation": "Water in the insulation is the largest gas load: dry out warm under gas (VAC-06), "
        "then pump.",
    }.get(largest, "The pump and the line are too small for this volume and time.")
