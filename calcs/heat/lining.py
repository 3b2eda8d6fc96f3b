"""A chamber inside an insulating lining: heat into it, through it and out of it, with a heater of limited power.

One node for the elements, the hot face and the gas, a lining whose area grows outwards on nodes that lie closer at
the hot face, the shell in the room, and a load that takes heat from the chamber by radiation and convection.
"""

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from math import sqrt

from calcs import solids
from calcs.data import constant
from calcs.heat_in_gas import conductivity, share_left

INTERVALS = 16
WIDENING = 1.2  # each interval is so much wider than the one before; ours, from comparison with a fine grid
TABLE_STEP_K = 10.0


@dataclass(frozen=True)
class Lining:
    """The insulation, SI units. `conductivity` and `specific_heat` are curves of calcs.solids against temperature."""

    inner_m2: float
    outer_m2: float
    thickness_m: float
    density: float
    specific_heat: solids.Curve
    conductivity: solids.Curve

    def area(self, depth_m: float) -> float:
        """Return the area at a depth from the hot face, m²."""
        return self._root(depth_m) ** 2

    def _root(self, depth_m: float) -> float:
        inner, outer = sqrt(self.inner_m2), sqrt(self.outer_m2)
        return inner + (outer - inner) * depth_m / self.thickness_m

    def volume(self, from_m: float, to_m: float) -> float:
        """Return the volume between two depths, m³."""
        slope = (sqrt(self.outer_m2) - sqrt(self.inner_m2)) / self.thickness_m
        return (self._root(to_m) ** 3 - self._root(from_m) ** 3) / (3 * slope)

    @property
    def shape_m(self) -> float:
        """Area over thickness that counts for steady heat, m: sqrt(inner outer)/thickness."""
        return sqrt(self.inner_m2 * self.outer_m2) / self.thickness_m


@dataclass(frozen=True)
class Chamber:
    """A furnace: what holds heat, what loses it, and what the heater can give, SI units.

    Args of the fields:
        capacity_j_per_k: elements, hot face and gas.
        inner_w_per_m2_k: elements to hot face.
        outer_w_per_m2_k: shell to room.
        beside_w_per_k: door and lead-ins.
        gas_w_per_k: gas that flows through, amount flow times molar heat.
        room_k: room.
        power_w: the most that the heater gives.
    """

    lining: Lining
    capacity_j_per_k: float
    inner_w_per_m2_k: float
    outer_w_per_m2_k: float
    beside_w_per_k: float
    gas_w_per_k: float
    room_k: float
    power_w: float

    @cached_property
    def through(self) -> list[tuple[float, float]]:
        """(temperature, integral of conductivity from the room) on a grid, for steady heat."""
        step, points, total = TABLE_STEP_K, [], 0.0
        temperature = self.room_k
        before = self.lining.conductivity.at(temperature)
        for _ in range(420):
            points.append((temperature, total))
            temperature += step
            here = self.lining.conductivity.at(temperature)
            total += step * (before + here) / 2
            before = here
        return points

    def _integral(self, temperature_k: float) -> float:
        place = (temperature_k - self.room_k) / TABLE_STEP_K
        i = min(max(int(place), 0), len(self.through) - 2)
        (_, a), (_, b) = self.through[i], self.through[i + 1]
        return a + (b - a) * (place - i)

    def _temperature_of(self, integral: float) -> float:
        """The temperature, K, up to which conductivity integrates to so much."""
        i = min(max(bisect_right(self.through, integral, key=lambda point: point[1]), 1), len(self.through) - 1)
        (t, a), (_, b) = self.through[i - 1], self.through[i]
        return t + TABLE_STEP_K * (integral - a) / (b - a)


@dataclass(frozen=True)
class Load:
    """The load: one temperature, radiation and convection from the chamber. SI units."""

    capacity_j_per_k: float
    area_m2: float
    emissivity: float
    convection_w_per_m2_k: float

    def conductance(self, chamber_k: float, load_k: float) -> float:
        """Return heat flow over temperature difference between chamber and load, W/K."""
        sigma = constant("heat_in_gas.stefan_boltzmann")
        radiation = self.emissivity * sigma * (chamber_k**2 + load_k**2) * (chamber_k + load_k)
        return self.area_m2 * (radiation + self.convection_w_per_m2_k)


@dataclass
class State:
    """Temperatures at one time, K: chamber, nodes of the lining from hot face to shell, load (None without one)."""

    chamber_k: float
    nodes_k: list[float]
    load_k: float | None = None


# ---------------------------------------------------------------- the lining's conductivity


def fibre_conductivity(gas: str, temperature_k: float, pressure_pa: float, density: float) -> float:
    """Return the conductivity of alumina-silica fibre, W/(m K): solid, gas and radiation.

    Args:
        gas: a gas of heat_in_gas, or vacuum.
        temperature_k: temperature, K.
        pressure_pa: pressure, Pa; 0 gives no gas.
        density: of the fibre, kg/m³.

    Source:
        the three terms after Daryabeigi (NASA/TM-1999-208972); solid term, pores and radiation from
        constants lining.*, which give 0.06 to 0.34 W/m/K in air at 128 kg/m³ from 200 °C to 1000 °C.
    """
    held = conductivity(gas, temperature_k) * share_left(gas, temperature_k, pressure_pa, constant("lining.pore"))
    radiation = constant("lining.radiation") * constant("lining.radiation_density") / density * temperature_k**3
    return constant("lining.solid") + held + radiation


def fibre_curve(gas: str, pressure_pa: float, density: float) -> solids.Curve:
    """Return fibre_conductivity as a curve from 250 K to the end of the fibre's use.

    Args:
        gas: see fibre_conductivity.
        pressure_pa: see fibre_conductivity.
        density: see fibre_conductivity.

    Source:
        fibre_conductivity, every 50 K.
    """
    end = constant("lining.fibre_end")
    temperatures = [250.0 + 50.0 * i for i in range(int((end - 250.0) / 50.0) + 2)]
    return solids.typed_curve(
        "fibre", "conductivity", [(t, fibre_conductivity(gas, t, pressure_pa, density)) for t in temperatures]
    )


def fibre_specific_heat() -> solids.Curve:
    """Return the specific heat of alumina-silica fibre against temperature.

    Source:
        lining.heat_cold and lining.heat_rise: straight line, 900 + 0.2 T(°C) J/(kg K).
    """
    zero = constant("general.zero_celsius")
    cold, rise = constant("lining.heat_cold"), constant("lining.heat_rise")
    return solids.typed_curve("fibre", "specific heat", [(zero + t, cold + rise * t) for t in (0.0, 2000.0)])


# ---------------------------------------------------------------- steady


def steady_loss(chamber: Chamber, temperature_k: float) -> tuple[float, float]:
    """Return (power that holds a temperature, W, and temperature of the shell, K) when all has settled.

    Args:
        chamber: the furnace.
        temperature_k: chamber temperature, K, above the room.

    Source:
        heat through a growing area, q L/sqrt(A1 A2) = integral of k dT; halved until both faces agree.
    """
    hot, cold = _faces(chamber)
    low, high = 0.0, (temperature_k - chamber.room_k) / (1 / hot + 1 / cold)
    for _ in range(60):
        flow = (low + high) / 2
        integral = chamber._integral(temperature_k - flow / hot) - chamber._integral(chamber.room_k + flow / cold)
        if integral * chamber.lining.shape_m > flow:
            low = flow
        else:
            high = flow
    flow = (low + high) / 2
    beside = (chamber.beside_w_per_k + chamber.gas_w_per_k) * (temperature_k - chamber.room_k)
    return flow + beside, chamber.room_k + flow / cold


def _faces(chamber: Chamber) -> tuple[float, float]:
    lining = chamber.lining
    return chamber.inner_w_per_m2_k * lining.inner_m2, chamber.outer_w_per_m2_k * lining.outer_m2


def steady_limit(chamber: Chamber, highest_k: float) -> float | None:
    """Return the temperature, K, at which the loss takes all the power, or None where that lies above highest_k.

    Args:
        chamber: the furnace.
        highest_k: look no further, K.

    Source:
        steady_loss, halved.
    """
    if steady_loss(chamber, highest_k)[0] <= chamber.power_w:
        return None
    low, high = chamber.room_k, highest_k
    for _ in range(50):
        middle = (low + high) / 2
        if steady_loss(chamber, middle)[0] > chamber.power_w:
            high = middle
        else:
            low = middle
    return low


# ---------------------------------------------------------------- in time


class Model:
    """The furnace in time: steps of implicit Euler, either at a wanted temperature or at a given power."""

    def __init__(self, chamber: Chamber, load: Load | None, intervals: int = INTERVALS):
        self.chamber, self.load, self.count = chamber, load, intervals
        lining = chamber.lining
        widths = [WIDENING**i for i in range(intervals)]
        scale = lining.thickness_m / sum(widths)
        places = [0.0]
        for width in widths:
            places.append(places[-1] + width * scale)
        places[-1] = lining.thickness_m
        self.places = places
        middles = [0.0, *((a + b) / 2 for a, b in zip(places, places[1:], strict=False)), lining.thickness_m]
        self.masses = [lining.density * lining.volume(a, b) for a, b in zip(middles, middles[1:], strict=False)]
        self.shapes = [  # half of area over distance: two conductivities are added
            sqrt(lining.area(a) * lining.area(b)) / (b - a) / 2 for a, b in zip(places, places[1:], strict=False)
        ]
        self.low = min(chamber.room_k, constant("general.zero_celsius")) - 2 * TABLE_STEP_K
        # Above the end of its data a curve holds its end value, and so does the table.
        grid = [self.low + TABLE_STEP_K * i for i in range(420)]
        self.k_table = [lining.conductivity.at(t) for t in grid]
        self.c_table = [lining.specific_heat.at(t) for t in grid]

    def cold(self, start_k: float | None = None) -> State:
        """Return the furnace at one temperature all through, K; that of the room unless another is given."""
        start = self.chamber.room_k if start_k is None else start_k
        return State(start, [start] * (self.count + 1), start if self.load else None)

    def soaked(self, temperature_k: float) -> State:
        """Return the furnace after it stood at a temperature, K, until nothing changed."""
        chamber = self.chamber
        flow = steady_loss(chamber, temperature_k)[0]
        flow -= (chamber.beside_w_per_k + chamber.gas_w_per_k) * (temperature_k - chamber.room_k)
        hot, _ = _faces(chamber)
        nodes = [temperature_k - flow / hot]
        left = chamber._integral(nodes[0])
        for shape in self.shapes:
            left -= flow / (2 * shape)
            nodes.append(chamber._temperature_of(left))
        return State(temperature_k, nodes, temperature_k if self.load else None)

    def _look_up(self, nodes: list[float]) -> tuple[list[float], list[float]]:
        low, k_table, c_table, last = self.low, self.k_table, self.c_table, len(self.k_table) - 2
        k, c = [], []
        for node in nodes:
            place = (node - low) / TABLE_STEP_K
            i = int(place)
            i = 0 if i < 0 else last if i > last else i
            share = place - i
            k.append(k_table[i] + share * (k_table[i + 1] - k_table[i]))
            c.append(c_table[i] + share * (c_table[i + 1] - c_table[i]))
        return k, c

    def step(self, state: State, dt: float, wanted_k: float | None, power_w: float) -> tuple[State, float]:
        """Return the state after dt and the power that it took, W.

        Args:
            state: the state before.
            dt: step, s.
            wanted_k: the controller brings the chamber there within the step where 0 to power_w suffices;
                None for full power.
            power_w: the most that the heater gives, W; 0 for a heater that is off.

        Source:
            balance of heat on nodes, implicit Euler; from the shell inwards each node is a straight line in its
            neighbour's temperature, so that power follows from a wanted temperature, or the other way round.
        """
        chamber, nodes = self.chamber, state.nodes_k
        k, c = self._look_up(nodes)
        hot, cold = _faces(chamber)
        masses, shapes, last = self.masses, self.shapes, self.count
        lines, coupling = [(0.0, 0.0)] * (last + 1), 0.0
        start = share = 0.0
        for i in range(last, -1, -1):
            holds = masses[i] * c[i] / dt
            inward = shapes[i - 1] * (k[i - 1] + k[i]) if i else hot
            out, known = (cold, cold * chamber.room_k) if i == last else (coupling * (1 - share), coupling * start)
            total = holds + inward + out
            start, share = (holds * nodes[i] + known) / total, inward / total
            lines[i] = (start, share)
            coupling = inward
        # Chamber: D T - E = power
        loss = chamber.beside_w_per_k + chamber.gas_w_per_k
        holds = chamber.capacity_j_per_k / dt
        slope = holds + loss + hot * (1 - share)
        known = holds * state.chamber_k + loss * chamber.room_k + hot * start
        conductance = load_holds = 0.0
        if self.load:
            conductance = self.load.conductance(state.chamber_k, state.load_k)
            load_holds = self.load.capacity_j_per_k / dt
            through = conductance * load_holds / (conductance + load_holds)
            slope += through
            known += through * state.load_k
        if wanted_k is not None:
            power = slope * wanted_k - known
            hottest = wanted_k
            if not 0 <= power <= power_w:
                power = min(max(power, 0.0), power_w)
                hottest = (power + known) / slope
        else:
            power, hottest = power_w, (power_w + known) / slope
        found, before = [], hottest
        for start, share in lines:
            before = start + share * before
            found.append(before)
        load_k = (load_holds * state.load_k + conductance * hottest) / (load_holds + conductance) if self.load else None
        return State(hottest, found, load_k), power

    def shell(self, state: State) -> float:
        """Return the temperature of the shell, K."""
        return state.nodes_k[-1]
