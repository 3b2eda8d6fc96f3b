"""Heat carried by a still gas: conduction, its fall in a rough vacuum, and free convection at a body's surface."""

from dataclasses import dataclass
from functools import cache
from math import exp, log, pi, sqrt

from calcs import gases
from calcs.core import Range
from calcs.data import constant, rows

VACUUM = "vacuum"
TEMPERATURE = Range("250 K", "2000 K", because="The fits to the conductivity of gases were made for it.")


@dataclass(frozen=True)
class HeatGas:
    """One gas of data/heat_in_gas.csv."""

    name: str
    conductivity: tuple[float, float, float, float]
    specific_heat: tuple[float, float, float, float]
    prandtl: float
    diameter_m: float
    accommodation: float


@cache
def gas(name: str) -> HeatGas:
    """Return a gas by its name; vacuum is residual air."""
    wanted = "air" if name == VACUUM else name
    row = next(row for row in rows("heat_in_gas.csv") if row["gas"] == wanted)
    n = {key: float(text) for key, text in row.items() if key != "gas"}
    return HeatGas(
        wanted, (n["a0"], n["a1"], n["a2"], n["a3"]), (n["c0"], n["c1"], n["c2"], n["c3"]),
        n["prandtl"], n["diameter"] * 1e-9, n["accommodation"],
    )  # fmt: skip


def conductivity(name: str, temperature_k: float) -> float:
    """Return the thermal conductivity of a gas where its density does not matter (10 kPa to 200 kPa), W/(m K).

    Args:
        name: a gas of data/heat_in_gas.csv, or vacuum for residual air.
        temperature_k: 250 K to 2000 K; not checked here, the fits run smoothly a little beyond.

    Source:
        fitted to CoolProp 8.0 within 0.1 % (hydrogen, carbon dioxide 0.9 %).
    """
    a0, a1, a2, a3 = gas(name).conductivity
    x = log(temperature_k / 300.0)
    return 1e-3 * exp(a0 + x * (a1 + x * (a2 + x * a3)))


def mean_free_path(name: str, temperature_k: float, pressure_pa: float) -> float:
    """Return the mean free path of the molecules, m: k T / (sqrt(2) pi d² p).

    Args:
        name: see conductivity.
        temperature_k: gas temperature, K.
        pressure_pa: pressure, Pa, above 0.

    Source:
        kinetic theory of gases with one diameter for each gas; constant vacuum.boltzmann.
    """
    diameter = gas(name).diameter_m
    return constant("vacuum.boltzmann") * temperature_k / (sqrt(2) * pi * diameter**2 * pressure_pa)


def jump(name: str) -> float:
    """Return the factor of the temperature jump at a wall: (2 - a)/a · 2 g/((g + 1) Pr), dimensionless.

    Args:
        name: see conductivity.

    Source:
        temperature jump of a rarefied gas, after Kennard; the form that Daryabeigi uses for fibre
        (NASA/TM-1999-208972). Known, source not looked up.
    """
    found = gas(name)
    gamma = gases.gas(found.name).gamma
    return (2 - found.accommodation) / found.accommodation * 2 * gamma / ((gamma + 1) * found.prandtl)


def share_left(name: str, temperature_k: float, pressure_pa: float, gap_m: float) -> float:
    """Return the share of a gas's conduction that is left across a gap at a pressure, 0 to 1.

    1/(1 + 2 jump · free path / gap).

    Args:
        name: see conductivity.
        temperature_k: gas temperature, K.
        pressure_pa: pressure, Pa; 0 gives 0.
        gap_m: gap between walls, or size of the pores, m, above 0.

    Source:
        see jump and mean_free_path.
    """
    if pressure_pa <= 0:
        return 0.0
    return 1 / (1 + 2 * jump(name) * mean_free_path(name, temperature_k, pressure_pa) / gap_m)


def convection(
    name: str, surface_k: float, around_k: float, pressure_pa: float, height_m: float, gap_m: float
) -> float:
    """Return the heat-transfer coefficient of still gas at a body's surface, W/(m² K).

    The larger of free convection at an upright face and of conduction across the gap to the wall.

    Args:
        name: see conductivity.
        surface_k: temperature of the body's surface, K.
        around_k: temperature of the chamber, K.
        pressure_pa: pressure, Pa; 0 gives 0.
        height_m: height of the face, m, above 0.
        gap_m: gap between body and wall, m, above 0.

    Source:
        free convection: Churchill and Chu 1975, through Incropera equation 9.26 (known, source not looked up);
        below a Rayleigh number of 10⁴ it is extrapolated, and there the gap decides.
    """
    film = (surface_k + around_k) / 2
    k = conductivity(name, film)
    across = k * share_left(name, film, pressure_pa, gap_m) / gap_m
    number = nusselt(rayleigh(name, film, abs(surface_k - around_k), pressure_pa, height_m), gas(name).prandtl)
    return max(across, number * k / height_m * share_left(name, film, pressure_pa, height_m))


def rayleigh(name: str, film_k: float, difference_k: float, pressure_pa: float, height_m: float) -> float:
    """Return the Rayleigh number g (ΔT/T) H³ ρ² c²/(Pr k²), ideal gas.

    Args:
        name: see conductivity.
        film_k: mean of surface and gas temperature, K.
        difference_k: their difference, K, 0 or more.
        pressure_pa: pressure, Pa.
        height_m: height of the face, m.

    Source:
        definition; viscosity from Pr k / c.
    """
    found = gas(name)
    density = pressure_pa * gases.gas(found.name).molar_mass / (constant("general.gas_constant") * film_k)
    c0, c1, c2, c3 = found.specific_heat
    x = log(film_k / 300.0)
    heat = density * (c0 + x * (c1 + x * (c2 + x * c3))) / conductivity(name, film_k)
    return constant("general.gravity") * difference_k / film_k * height_m**3 * heat * heat / found.prandtl


def nusselt(rayleigh_number: float, prandtl: float) -> float:
    """Return the mean Nusselt number of an upright plate in free convection.

    Args:
        rayleigh_number: 0 to 10¹².
        prandtl: Prandtl number.

    Source:
        Churchill and Chu 1975: (0.825 + 0.387 Ra^(1/6)/(1 + (0.492/Pr)^(9/16))^(8/27))².
    """
    start, slope = constant("heat_in_gas.nusselt_start"), constant("heat_in_gas.nusselt_slope")
    below = (1 + (constant("heat_in_gas.nusselt_prandtl") / prandtl) ** (9 / 16)) ** (8 / 27)
    return (start + slope * rayleigh_number ** (1 / 6) / below) ** 2
