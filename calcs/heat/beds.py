"""Beds of powder and stacks of thin parts: how well they conduct, with the gas between and in a rough vacuum."""

from math import log, pi, sqrt

from calcs import gases
from calcs.core import Range
from calcs.data import constant
from calcs.heat_in_gas import conductivity, gas, share_left

POROSITY = Range("0.2", "0.8", because="A denser bed has sintered, a looser one is a fluff; the model covers neither.")


def bed_conductivity(
    name: str,
    temperature_k: float,
    pressure_pa: float,
    solid_w_per_m_k: float,
    porosity: float,
    particle_m: float,
    emissivity: float,
    contact: float,
) -> float:
    """Return the conductivity of a bed of powder, W/(m K).

    Gas between the grains with its fall in a vacuum, radiation between them, and contact of the solid.

    Args:
        name: a gas of heat_in_gas, or vacuum for residual air.
        temperature_k: temperature, K.
        pressure_pa: pressure, Pa; below 1e-6 it counts as that.
        solid_w_per_m_k: conductivity of the solid, W/(m K).
        porosity: share of the bed that is gas, 0.2 to 0.8.
        particle_m: size of the grains, m.
        emissivity: of the grains, above 0 to 1.
        contact: flattened contact area as a share, 0 to 0.01.

    Source:
        Zehner, Bauer and Schlünder, through VDI Heat Atlas D6.3 (known, source not looked up).
    """
    k_gas = conductivity(name, temperature_k)
    free = _free_length(name, temperature_k, max(pressure_pa, 1e-6), k_gas) / particle_m
    gap = 1 / (1 + free)
    if abs(gap - 1) < 1e-6:
        gap = 1 - 1e-6
    sigma = constant("heat_in_gas.stefan_boltzmann")
    radiation = 4 * sigma / (2 / emissivity - 1) * temperature_k**3 * particle_m / k_gas
    kappa = solid_w_per_m_k / k_gas
    core = _unit_cell(gap, radiation, kappa, porosity)
    around = (1 - sqrt(1 - porosity)) * porosity * (1 / (porosity - 1 + 1 / gap) + radiation)
    return k_gas * (around + sqrt(1 - porosity) * (contact * kappa + (1 - contact) * core))


def _free_length(name: str, temperature_k: float, pressure_pa: float, k_gas: float) -> float:
    """Length that stands for the temperature jump at the grains, m."""
    found, plain = gas(name), gases.gas(gas(name).name)
    c0, c1, c2, c3 = found.specific_heat
    x = log(temperature_k / 300.0)
    heat = c0 + x * (c1 + x * (c2 + x * c3))
    each = constant("general.gas_constant") / plain.molar_mass
    speed = sqrt(2 * pi * each * temperature_k)
    return 2 * (2 - found.accommodation) / found.accommodation * speed * k_gas / (pressure_pa * (2 * heat - each))


def _unit_cell(gap: float, radiation: float, kappa: float, porosity: float) -> float:
    """Conductivity of the core of the unit cell over that of the gas."""
    shape = constant("beds.shape_factor") * ((1 - porosity) / porosity) ** (10 / 9)
    for _ in range(3):
        n = (1 + (radiation - shape * gap) / kappa) / gap - shape * (1 / gap - 1) * (1 + radiation / kappa)
        whole = kappa + radiation
        under = shape * (gap + (1 - gap) * whole)
        if abs(n) > 1e-4 and whole > 0 and under > 0:
            break
        gap *= 1 - 1e-4  # the closed form divides by n; beside its zero it is smooth
    first = shape * (whole - 1) / (n * n * gap * kappa) * log(whole / under)
    second = (shape + 1) / (2 * shape) * (radiation / gap - shape * (1 + (1 - gap) / gap * radiation))
    return 2 / n * (first + second - (shape - 1) / (n * gap))


def stack_conductivity(
    name: str,
    temperature_k: float,
    pressure_pa: float,
    solid_w_per_m_k: float,
    gap_share: float,
    part_m: float,
    emissivity: float,
) -> float:
    """Return the conductivity of a stack of thin parts across its layers, W/(m K), the gaps filled with gas.

    Parts and gaps one after another; parts that touch conduct better, so this is the lower end.

    Args:
        name: a gas of heat_in_gas, or vacuum.
        temperature_k: temperature, K.
        pressure_pa: pressure, Pa.
        solid_w_per_m_k: conductivity of the parts, W/(m K).
        gap_share: share of the height that is gap, above 0, below 1.
        part_m: thickness of one part, m.
        emissivity: of the faces, above 0 to 1.

    Source:
        resistances in series with radiation between close parallel faces; a textbook balance, derived here.
    """
    gap_m = part_m * gap_share / (1 - gap_share)
    k_gas = conductivity(name, temperature_k) * share_left(name, temperature_k, pressure_pa, gap_m)
    sigma = constant("heat_in_gas.stefan_boltzmann")
    across = k_gas + 4 * sigma * temperature_k**3 * gap_m / (2 / emissivity - 1)
    return 1 / (gap_share / across + (1 - gap_share) / solid_w_per_m_k)
