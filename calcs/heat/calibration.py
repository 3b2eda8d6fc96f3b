"""A furnace as two nodes, fitted to the log of an empty run: heat capacities and conductances by least squares."""

from bisect import bisect_right
from dataclasses import dataclass
from math import exp, log, sqrt

from calcs.data import constant
from calcs.readings import Readings

LONGEST_STEP_S = 150.0
MOST_STEPS = 500  # a log of days takes longer ones; its slow node does not mind
MOST_ITERATIONS = 60
STARTS = (
    "calibration.start_hot", "calibration.start_insulation", "calibration.start_inner", "calibration.start_outer",
    "calibration.start_radiative",
)  # fmt: skip
TRACE = 1e-4  # of the logarithm of a parameter, for the slopes


@dataclass(frozen=True)
class TwoNodes:
    """A hot node that is heated, and an insulation node behind it, SI units.

    C1 dT1/dt = P - G12 (T1 - T2) - S sigma (T1⁴ - Tr⁴); C2 dT2/dt = G12 (T1 - T2) - G2r (T2 - Tr).
    """

    hot_j_per_k: float
    insulation_j_per_k: float
    inner_w_per_k: float
    outer_w_per_k: float
    radiative_m2: float

    def steady_power(self, temperature_k: float, room_k: float) -> float:
        """Return the power, W, that holds a temperature in K in a room in K when all has settled."""
        sigma = constant("heat_in_gas.stefan_boltzmann")
        through = 1 / (1 / self.inner_w_per_k + 1 / self.outer_w_per_k)
        return through * (temperature_k - room_k) + self.radiative_m2 * sigma * (temperature_k**4 - room_k**4)


@dataclass(frozen=True)
class Fitted:
    """The furnace, the temperature that it gives at each reading (K), and the rms error (K)."""

    furnace: TwoNodes
    temperatures_k: tuple[float, ...]
    error_k: float

    def misses(self, readings: Readings) -> list[float]:
        """Return reading less fit at each reading, K."""
        return [a - b for a, b in zip(readings.temperature_k, self.temperatures_k, strict=True)]


def mean_powers(times_s: tuple[float, ...], steps: list[tuple[float, float]]) -> list[float]:
    """Return the mean power of each interval between readings, W.

    Args:
        times_s: times of the readings, s.
        steps: (from s, W), rising in time; before the first the power is 0.

    Source:
        integral of the steps over each interval.
    """
    starts = [start for start, _ in steps]

    def energy(until: float) -> float:
        total = 0.0
        for i in range(bisect_right(starts, until)):
            end = min(until, starts[i + 1]) if i + 1 < len(starts) else until
            total += steps[i][1] * (end - starts[i])
        return total

    found = [energy(t) for t in times_s]
    return [(b - a) / (t1 - t0) for a, b, t0, t1 in zip(found, found[1:], times_s, times_s[1:], strict=False)]


def simulate(furnace: TwoNodes, times_s, powers_w, start_k: float, room_k: float) -> list[float]:
    """Return the temperature of the hot node at each time, K.

    Args:
        furnace: the two nodes.
        times_s: times of the readings, s.
        powers_w: mean power of each interval, W.
        start_k: temperature of both nodes at the first reading, K.
        room_k: room, K.

    Source:
        linearly implicit trapezoidal steps of at most 150 s (a log of days: longer ones); compared with scipy.
    """
    c1, c2, g12, g2 = furnace.hot_j_per_k, furnace.insulation_j_per_k, furnace.inner_w_per_k, furnace.outer_w_per_k
    radiation = furnace.radiative_m2 * constant("heat_in_gas.stefan_boltzmann")
    longest = max(LONGEST_STEP_S, (times_s[-1] - times_s[0]) / MOST_STEPS)
    room4, found, t1, t2 = radiation * room_k**4, [start_k], start_k, start_k
    for before, after, power in zip(times_s, times_s[1:], powers_w, strict=False):
        count = int((after - before) / longest) + 1
        h = (after - before) / count
        d2 = c2 / h + (g12 + g2) / 2
        for _ in range(count):
            cube = radiation * t1 * t1 * t1
            f1 = power - g12 * (t1 - t2) - cube * t1 + room4
            f2 = g12 * (t1 - t2) - g2 * (t2 - room_k)
            d1 = c1 / h + (g12 + 4 * cube) / 2
            whole = d1 * d2 - g12 * g12 / 4
            t1, t2 = t1 + (f1 * d2 + f2 * g12 / 2) / whole, t2 + (f2 * d1 + f1 * g12 / 2) / whole
        found.append(t1)
    return found


def fit(readings: Readings, powers_w: list[float], room_k: float) -> Fitted:
    """Return the two nodes that follow a log best: least squares on the temperatures.

    Args:
        readings: of an empty run, 15 or more, with heating and with cooling.
        powers_w: mean power of each interval between readings, W.
        room_k: room, K.

    Source:
        Levenberg and Marquardt on the logarithms of the five parameters, which keeps them positive; a textbook
        method, written for this project.
    """
    wanted, start = readings.temperature_k, readings.temperature_k[0]

    def run(logs):
        furnace = TwoNodes(*(exp(x) for x in logs))
        return simulate(furnace, readings.time_s, powers_w, start, room_k)

    def misses(found):
        return [a - b for a, b in zip(wanted, found, strict=True)]

    logs = [log(constant(key)) for key in STARTS]
    best = run(logs)
    squares, damping = sum(r * r for r in misses(best)), 1e-2
    for _ in range(MOST_ITERATIONS):
        columns = []
        for j in range(5):
            moved = run([x + (TRACE if i == j else 0.0) for i, x in enumerate(logs)])
            columns.append([(a - b) / TRACE for a, b in zip(moved, best, strict=True)])
        missing = misses(best)
        normal = [[sum(a * b for a, b in zip(x, y, strict=True)) for y in columns] for x in columns]
        right = [sum(a * b for a, b in zip(x, missing, strict=True)) for x in columns]
        before = squares
        for _ in range(12):
            step = _solved(normal, right, damping)
            tried = [x + min(max(s, -1.0), 1.0) for x, s in zip(logs, step, strict=True)]
            tried = [min(max(x, -20.0), 20.0) for x in tried]
            found = run(tried)
            new = sum(r * r for r in misses(found))
            if new < squares:
                logs, best, squares, damping = tried, found, new, damping / 5
                break
            damping *= 4
        if before - squares <= 1e-6 * before:
            break
    return Fitted(TwoNodes(*(exp(x) for x in logs)), tuple(best), sqrt(squares / len(wanted)))


def _solved(normal, right, damping) -> list[float]:
    """Return the solution of (N + damping · diagonal) x = right by elimination with pivots."""
    n = len(right)
    rows = [[*row, r] for row, r in zip(normal, right, strict=True)]
    for i in range(n):
        rows[i][i] += damping * normal[i][i] + 1e-12
    for i in range(n):
        pivot = max(range(i, n), key=lambda k: abs(rows[k][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        if rows[i][i] == 0:
            return [0.0] * n
        for k in range(i + 1, n):
            share = rows[k][i] / rows[i][i]
            rows[k] = [a - share * b for a, b in zip(rows[k], rows[i], strict=True)]
    found = [0.0] * n
    for i in range(n - 1, -1, -1):
        found[i] = (rows[i][n] - sum(rows[i][k] * found[k] for k in range(i + 1, n))) / rows[i][i]
    return found
