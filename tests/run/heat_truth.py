"""Furnaces that heat, hold and cool, by a library's stiff solver: the truth for tests of the plan's heat.

Nothing of it is shared with the package. Temperatures in K, room at 20 °C, heater off in the cooling.
"""

import numpy as np
from scipy.integrate import solve_ivp

ROOM, SIGMA = 293.15, 5.670374419e-8


def _hours(slopes, state, until, **other):
    return solve_ivp(slopes, (0, until), state, method="LSODA", rtol=1e-8, atol=1e-6, max_step=600, **other)


def two_nodes(c1, c2, g12, g2, area, peak, ramp, soak, end):
    """Return (energy of ramp and soak J, power at the end of the ramp W, cooling time s) of two nodes."""

    def power(t1, t2, rate):
        return c1 * rate + g12 * (t1 - t2) + area * SIGMA * (t1**4 - ROOM**4)

    def into(t1, t2):
        return (g12 * (t1 - t2) - g2 * (t2 - ROOM)) / c2

    def heats(t, y):
        t1 = ROOM + ramp * t
        return [into(t1, y[0]), power(t1, y[0], ramp)]

    def holds(t, y):
        return [into(peak, y[0]), power(peak, y[0], 0.0)]

    def cools(t, y):
        return [-power(y[0], y[1], 0.0) / c1, into(*y)]

    up = _hours(heats, [ROOM, 0.0], (peak - ROOM) / ramp).y[:, -1]
    held = _hours(holds, up, soak).y[:, -1]
    return held[1], power(peak, up[0], ramp), _until(cools, [peak, held[0]], end)


def one_body(capacity, powers, peak, ramp, end, full=None):
    """Return (energy of the ramp J, its time s, cooling time s) of one body with holding powers at temperatures."""
    at, watts = np.array(powers).T

    def loss(t):
        return np.interp(t, [ROOM, *at], [0.0, *watts])

    def heats(t, y):
        heater = min(loss(y[0]) + capacity * ramp, full or np.inf)
        return [(heater - loss(y[0])) / capacity, heater]

    def there(t, y):
        return y[0] - peak

    there.terminal = True
    up = _hours(heats, [ROOM, 0.0], 3e5, events=there)
    return up.y[1, -1], up.t[-1], _until(lambda t, y: [-loss(y[0]) / capacity], [peak], end)


def lining(capacity, k, heat, sizes, peak, ramp, soak, end, cells=80):
    """Return (energy of ramp and soak J, power at the end of the ramp W, cooling time s) of a chamber in a lining.

    k and heat are functions of temperature; sizes: inner and outer area, thickness, density, loss beside it,
    coefficients inside and outside.
    """
    inner, outer, thick, density, beside, inside, outside = sizes
    edges = np.linspace(0, thick, cells + 1)
    areas = (np.sqrt(inner) + (np.sqrt(outer) - np.sqrt(inner)) * edges / thick) ** 2
    cubes = (np.sqrt(inner) + (np.sqrt(outer) - np.sqrt(inner)) * edges / thick) ** 3
    volumes = np.diff(cubes) / 3 * thick / (np.sqrt(outer) - np.sqrt(inner))
    dx = thick / cells

    def flows(t, wall):
        kw = k(wall)
        between = (kw[:-1] + kw[1:]) / 2 * areas[1:-1] / dx * (wall[:-1] - wall[1:])
        first = (t - wall[0]) / (1 / (inside * inner) + dx / 2 / (kw[0] * inner))
        last = (wall[-1] - ROOM) / (1 / (outside * outer) + dx / 2 / (kw[-1] * outer))
        through = np.concatenate([[first], between, [last]])
        return first + beside * (t - ROOM), -np.diff(through) / (volumes * density * heat(wall))

    def heats(t, y):
        lost, wall = flows(ROOM + ramp * t, y[:-1])
        return [*wall, lost + capacity * ramp]

    def holds(t, y):
        lost, wall = flows(peak, y[:-1])
        return [*wall, lost]

    def cools(t, y):
        lost, wall = flows(y[0], y[1:])
        return [-lost / capacity, *wall]

    up = _stiff(heats, [*np.full(cells, ROOM), 0.0], (peak - ROOM) / ramp).y[:, -1]
    held = _stiff(holds, up, soak).y[:, -1]
    return held[-1], flows(peak, up[:-1])[0] + capacity * ramp, _until(cools, [peak, *held[:-1]], end)


def _stiff(slopes, state, until, **other):
    return solve_ivp(slopes, (0, until), state, method="BDF", rtol=1e-6, atol=1e-3, **other)


def _until(slopes, state, end):
    def there(t, y):
        return y[0] - end

    there.terminal = True
    return float(_stiff(slopes, state, 3e6, events=there).t[-1])
