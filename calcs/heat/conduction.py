"""Temperature inside a body whose surface exchanges heat with a chamber: one dimension, any temperature programme.

The state is the heat content of each node, so that no heat is lost where the specific heat peaks. Each step is
taken once whole and once in two halves, each half linearly implicit; the two results give a better third one and
the size of the next step.
"""

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, log, sqrt

from calcs.data import constant

BINS = 400  # of the table of temperature against heat content
MOST_STEPS = 4000
LONGEST_S = 3.6e6  # 1000 h


@dataclass(frozen=True)
class Body:
    """A body that conducts in one direction, SI units.

    Args of the fields:
        half_m: from the surface to the middle (or to the face without exchange), m.
        shape: 0 for a slab, 1 for a long cylinder, 2 for a sphere; values between for boxes.
        density: kg/m³.
        specific_heat, conductivity: functions of temperature in K, J/(kg K) and W/(m K).
        factor: the conductivity counts so many times (boxes; 1 otherwise).
    """

    half_m: float
    shape: float
    density: float
    specific_heat: Callable[[float], float]
    conductivity: Callable[[float], float]
    factor: float = 1.0

    @property
    def volume_over_area_m(self) -> float:
        """Volume over exchanging surface, m."""
        return self.half_m / (self.shape + 1)


@dataclass(frozen=True)
class Surface:
    """What the surface exchanges: grey radiation and convection.

    Args of the fields:
        emissivity: effective, 0 to 1.
        convection: W/(m² K) from (surface K, chamber K).
    """

    emissivity: float
    convection: Callable[[float, float], float]

    def coefficient(self, surface_k: float, around_k: float) -> float:
        """Return heat flux over temperature difference, W/(m² K)."""
        sigma = constant("heat_in_gas.stefan_boltzmann")
        squares = surface_k * surface_k + around_k * around_k
        return self.emissivity * sigma * squares * (surface_k + around_k) + self.convection(surface_k, around_k)


@dataclass(frozen=True)
class Course:
    """How the temperatures went: (time s, chamber K, surface K, middle K) of every step."""

    points: tuple[tuple[float, float, float, float], ...]
    inside_from_s: float | None  # last time that the middle came within the band, or None

    def at(self, time_s: float) -> tuple[float, float, float]:
        """Return (chamber, surface, middle) in K at a time, straight between steps; the end after the end."""
        times = [p[0] for p in self.points]
        i = min(max(bisect_right(times, time_s), 1), len(times) - 1)
        a, b = self.points[i - 1], self.points[i]
        share = min(max((time_s - a[0]) / (b[0] - a[0]), 0.0), 1.0)
        return tuple(x + share * (y - x) for x, y in zip(a[1:], b[1:], strict=True))

    @property
    def largest_difference(self) -> float:
        """Largest difference between surface and middle, K."""
        return max(abs(surface - middle) for _, _, surface, middle in self.points)

    @property
    def largest_lag(self) -> float:
        """Largest difference between chamber and middle, K."""
        return max(abs(around - middle) for _, around, _, middle in self.points)


class _Table:
    """Temperature, conductivity and d(heat)/dT against heat content, on even steps of heat content."""

    def __init__(self, body: Body, low_k: float, high_k: float):
        count = max(200, ceil((high_k - low_k) / 2.0))
        width = (high_k - low_k) / count
        places = [low_k + width * i for i in range(count + 1)]
        heats = [0.0]
        before = body.specific_heat(low_k)
        for place in places[1:]:
            here = body.specific_heat(place)
            heats.append(heats[-1] + body.density * width * (before + here) / 2)
            before = here
        self.step = heats[-1] / BINS
        self.temperature, self.conductivity = [], []
        j = 0
        for i in range(BINS + 1):
            wanted = min(self.step * i, heats[-1])
            while j < count - 1 and heats[j + 1] < wanted:
                j += 1
            temperature = places[j] + width * (wanted - heats[j]) / (heats[j + 1] - heats[j])
            self.temperature.append(temperature)
            self.conductivity.append(body.conductivity(temperature) * body.factor)
        self.capacity = [self.step / (b - a) for a, b in zip(self.temperature, self.temperature[1:], strict=False)]

    def heat(self, temperature_k: float) -> float:
        """Return the heat content at a temperature, J/m³."""
        i = min(max(bisect_right(self.temperature, temperature_k) - 1, 0), BINS - 1)
        return self.step * i + (temperature_k - self.temperature[i]) * self.capacity[i]

    def look_up(self, heats: list[float]) -> tuple[list[float], list[float], list[float]]:
        """Return temperatures, conductivities and capacities of the nodes; straight on beyond the ends."""
        step, temperature, conductivity, capacity = self.step, self.temperature, self.conductivity, self.capacity
        last = BINS - 1
        found_t, found_k, found_c = [], [], []
        for heat in heats:
            i = int(heat / step) if heat > 0 else 0
            if i > last:
                i = last
            c = capacity[i]
            found_t.append(temperature[i] + (heat - i * step) / c)
            found_k.append(conductivity[i])
            found_c.append(c)
        return found_t, found_k, found_c


class _Grid:
    """Even nodes from the middle (0) to the surface; faces half way, one unit of surface."""

    def __init__(self, body: Body, intervals: int):
        width, power = body.half_m / intervals, body.shape
        faces = [0.0, *((i + 0.5) / intervals for i in range(intervals)), 1.0]
        self.count = intervals + 1
        self.areas = [face**power / width / 2 for face in faces[1:-1]]  # half: two conductivities are added
        volumes = [(b ** (power + 1) - a ** (power + 1)) / (power + 1) for a, b in zip(faces, faces[1:], strict=False)]
        self.volumes = [v * body.half_m for v in volumes]


def _solve(grid: _Grid, state, heats: list[float], dt: float, flux: float, slope: float) -> list[float]:
    """Return the heat contents after a linearly implicit step of dt; flux into the surface changes by slope · ΔT."""
    t, k, c = state
    areas, volumes, last = grid.areas, grid.volumes, grid.count - 1
    diagonal, right, ratios = 0.0, 0.0, []
    below = flow_in = 0.0
    for i in range(last):
        conductance = areas[i] * (k[i] + k[i + 1])
        flow_out = conductance * (t[i] - t[i + 1])
        diagonal = c[i] * volumes[i] / dt + below + conductance - (below * ratios[-1][1] if i else 0.0)
        right = flow_in - flow_out + (below * ratios[-1][0] if i else 0.0)
        ratios.append((right / diagonal, conductance / diagonal))
        below, flow_in = conductance, flow_out
    diagonal = c[last] * volumes[last] / dt + below - slope - (below * ratios[-1][1] if last else 0.0)
    right = flux + flow_in + (below * ratios[-1][0] if last else 0.0)
    change = right / diagonal
    found = [0.0] * (last + 1)
    found[last] = heats[last] + c[last] * change
    for i in range(last - 1, -1, -1):
        start, share = ratios[i]
        change = start + share * change
        found[i] = heats[i] + c[i] * change
    return found


def intervals_for(body: Body, biot: float) -> int:
    """Return how many intervals the grid gets: more where the inside resists more than the surface.

    Args:
        body: the body.
        biot: coefficient · half_m / conductivity.

    Source:
        ours, from comparison with a fine grid.
    """
    return 1 if biot < 0.002 else 3 if biot < 0.05 else 6 if biot < 0.5 else 10 if biot < 5 else 14


def course(
    body: Body,
    surface: Surface,
    corners: list[tuple[float, float]],
    start_k: float,
    band_k: float,
    until_s: float = 0.0,
    accuracy_k: float = 0.3,
    intervals: int | None = None,
) -> Course:
    """Return how a body follows a chamber.

    Args:
        body: what it is.
        surface: what its surface exchanges.
        corners: (time s, chamber K) rising in time from 0; two of one time are a jump. The last holds on.
        start_k: temperature of the body at the start, K.
        band_k: the middle counts as arrived within so many K of the chamber.
        until_s: go on at least to this time, s.
        accuracy_k: error of one step that is let pass, K.
        intervals: of the grid; None takes what the Biot number asks for.

    Returns:
        the course; `inside_from_s` is None where the middle does not arrive within 1000 h.

    Source:
        balance of heat on nodes, written for this project; compared with scipy and with series solutions.
    """
    run = _Run(body, surface, corners, start_k, band_k, accuracy_k, intervals)
    return run.go(max(until_s, corners[-1][0]))


class _Run:
    def __init__(self, body, surface, corners, start_k, band_k, accuracy_k, intervals):
        around = [k for _, k in corners] + [start_k]
        low, high = min(around), max(around)
        self.table = _Table(body, low - 5.0, high + 5.0)
        hottest = surface.coefficient(high, high)
        coldest_k = min(body.conductivity(low), body.conductivity(high)) * body.factor
        self.grid = _Grid(body, intervals or intervals_for(body, hottest * body.half_m / coldest_k))
        self.surface, self.corners, self.band, self.accuracy = surface, corners, band_k, accuracy_k
        self.heats = [self.table.heat(start_k)] * self.grid.count
        self.state = self.table.look_up(self.heats)
        self.time, self.inside_from, self.points = 0.0, None, []
        self.sigma4 = 4 * surface.emissivity * constant("heat_in_gas.stefan_boltzmann")

    def around(self, time: float) -> float:
        """Temperature of the chamber, K; after a jump the later value."""
        i = bisect_right(self.corners, (time, float("inf")))
        if i == 0:
            return self.corners[0][1]
        if i == len(self.corners):
            return self.corners[-1][1]
        (t0, k0), (t1, k1) = self.corners[i - 1], self.corners[i]
        return k0 + (k1 - k0) * (time - t0) / (t1 - t0)

    def go(self, until: float) -> Course:
        self._note(self.around(0.0))
        ends = sorted({t for t, _ in self.corners if t > 0} | ({until} if until > 0 else set()))
        dt = 1.0
        for _ in range(MOST_STEPS):
            end = next((t for t in ends if t > self.time * (1 + 1e-12)), None)
            if end is None and (self.inside_from is not None or self.time >= self.corners[-1][0] + LONGEST_S):
                break
            if end is not None and self.time + dt * 1.0001 >= end:
                dt = self._step(end - self.time, end)
            else:
                dt = self._step(dt, None)
        else:
            self.inside_from = None  # it does not come to an end
        return Course(tuple(self.points), self.inside_from)

    def _step(self, dt: float, land: float | None) -> float:
        """Take one step no longer than dt; return the length proposed for the next."""
        wanted = dt
        while True:
            new, error = self._try(dt)
            if error <= self.accuracy or dt < 1e-3:
                break
            dt *= max(0.2, 0.85 * sqrt(self.accuracy / error))
        self.time = land if land is not None and dt == wanted else self.time + dt
        self.heats, self.state = new, self.table.look_up(new)
        self._note(self.around(self.time) if land is None or dt != wanted else self._before(self.time))
        if land is not None and dt == wanted:
            self._jump()
        return dt * min(3.0, max(0.3, 0.85 * sqrt(self.accuracy / max(error, 1e-9))))

    def _try(self, dt: float) -> tuple[list[float], float]:
        """Return the heat contents after dt from one whole and two half steps, and the error, K."""
        whole = self._implicit(self.state, self.heats, self.time, dt)
        middle = self._implicit(self.state, self.heats, self.time, dt / 2)
        halves = self._implicit(self.table.look_up(middle), middle, self.time + dt / 2, dt / 2)
        ends = self.table.look_up([whole[0], whole[-1], halves[0], halves[-1]])[0]
        error = max(abs(ends[0] - ends[2]), abs(ends[1] - ends[3]))
        return [2 * b - a for a, b in zip(whole, halves, strict=True)], error

    def _implicit(self, state, heats, time, dt) -> list[float]:
        here = state[0][-1]
        around = self._before(time + dt)
        coefficient = self.surface.convection(here, around)
        flux = self.sigma4 / 4 * (around**4 - here**4) + coefficient * (around - here)
        return _solve(self.grid, state, heats, dt, flux, -self.sigma4 * here**3 - coefficient)

    def _before(self, time: float) -> float:
        """Temperature of the chamber right before a time: at a jump the earlier value."""
        i = bisect_right(self.corners, (time * (1 - 1e-12), float("inf")))
        if 0 < i < len(self.corners):
            (t0, k0), (t1, k1) = self.corners[i - 1], self.corners[i]
            return k0 + (k1 - k0) * (time - t0) / (t1 - t0)
        return self.corners[0][1] if i == 0 else self.corners[-1][1]

    def _jump(self) -> None:
        if (after := self.around(self.time)) != self._before(self.time):
            self._note(after)

    def _note(self, around: float) -> None:
        """Keep the point, and the time at which the middle came within the band."""
        point = (self.time, around, self.state[0][-1], self.state[0][0])
        off = abs(around - point[3])
        if off > self.band:
            self.inside_from = None
        elif self.inside_from is None:
            self.inside_from = self._crossed(point, off)
        self.points.append(point)

    def _crossed(self, point, off: float) -> float:
        """When the distance fell to the band: it falls by equal shares in equal times."""
        if not self.points or self.points[-1][0] == point[0]:
            return point[0]
        before = self.points[-1]
        start = abs(before[1] - before[3])
        share = log(start / self.band) / log(start / max(off, 1e-9)) if start > self.band else 1.0
        return before[0] + share * (point[0] - before[0])
