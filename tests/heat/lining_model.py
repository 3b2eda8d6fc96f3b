"""A furnace lining that cools, by finite volumes and a library's stiff solver: the truth for tests of `cooling`.

One chamber node before fibre whose conductivity rises with temperature; nothing of it is shared with the package.
"""

import numpy as np
from scipy.integrate import solve_ivp


def cool_down(k0=0.03, k1=1.2e-4, k3=1.25e-10, start=1000.0, soak_h=3.0, cells=60, density=200.0, extra=0.15):
    """Return a function of time in s giving the chamber in °C, from heater off after a soak; room at 20 °C."""
    room, thickness, inner, outer = 20.0, 0.10, 0.28, 1.04
    edges = np.linspace(0, thickness, cells + 1)
    areas = (np.sqrt(inner) + (np.sqrt(outer) - np.sqrt(inner)) * edges / thickness) ** 2
    volumes = (areas[:-1] + areas[1:]) / 2 * np.diff(edges)
    dx = thickness / cells

    def conductivity(t):
        return k0 + k1 * t + k3 * (t + 273.15) ** 3

    def slopes(chamber, fibre):
        k = conductivity(fibre)
        between = 2 * k[:-1] * k[1:] / (k[:-1] + k[1:]) * areas[1:-1] / dx * (fibre[:-1] - fibre[1:])
        into = (chamber - fibre[0]) / (1 / (150 * inner) + dx / 2 / (k[0] * inner))
        out = (fibre[-1] - room) / (1 / (11 * outer) + dx / 2 / (k[-1] * outer))
        flows = np.concatenate([[into], between, [out]])
        return -(into + extra * (chamber - room)), -np.diff(flows) / (volumes * density * (900 + 0.2 * fibre))

    def held(t, y):
        return slopes(start, y)[1]

    def free(t, y):
        heat, fibre = slopes(y[0], y[1:])
        return np.concatenate([[heat / 3500.0], fibre])

    soaked = solve_ivp(held, (0, soak_h * 3600), np.full(cells, room), method="BDF", rtol=1e-6, atol=1e-4).y[:, -1]
    found = solve_ivp(free, (0, 200 * 3600), np.concatenate([[start], soaked]), method="BDF", rtol=1e-7, atol=1e-5,
                      dense_output=True)  # fmt: skip
    return lambda seconds: float(found.sol(seconds)[0])


def time_of(chamber, celsius):
    """Return when a cool-down reaches a temperature, s, by halving."""
    low, high = 0.0, 200 * 3600.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if chamber(middle) > celsius else (low, middle)
    return high
