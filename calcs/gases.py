"""Gases: what each one is, its viscosity, and which of them a purge or a hold may use."""

from dataclasses import dataclass
from functools import cache
from math import sqrt

from calcs.core import Refused
from calcs.data import constant, number_or_none, rows


@dataclass(frozen=True)
class Gas:
    """One gas of data/gases.csv, in SI units; None where the table has no value."""

    name: str
    formula: str
    molar_mass: float  # kg/mol
    cp_298: float | None  # J/(mol K)
    cp_350: float | None
    gamma: float | None
    mu_300: float | None  # Pa s
    sutherland_s: float | None  # K
    exponent_n: float | None
    mu_low_k: float | None
    mu_high_k: float | None
    diffusion_volume: float
    kind: str  # inert, oxidising, oxygen, flammable, toxic, steam


@cache
def all_gases() -> dict[str, Gas]:
    """Return the gases of the table by name."""
    return {row["gas"]: _gas(row) for row in rows("gases.csv")}


def _gas(row: dict) -> Gas:
    n = {key: number_or_none(text) for key, text in row.items() if key not in ("gas", "formula", "kind")}
    return Gas(
        row["gas"], row["formula"], n["molar_mass"] * 1e-3, n["cp_298"], n["cp_350"], n["gamma"],
        n["mu_300"] * 1e-6 if n["mu_300"] else None, n["sutherland_s"], n["exponent_n"],
        n["mu_low_k"], n["mu_high_k"], n["diffusion_volume"], row["kind"],
    )  # fmt: skip


NAMES = tuple(row["gas"] for row in rows("gases.csv"))
FORMULAS = {row["formula"]: row["gas"] for row in rows("gases.csv") if row["formula"]}


def gas(name: str) -> Gas:
    """Return a gas by its name."""
    return all_gases()[name]


def viscosity(name: str, temperature_k: float) -> float:
    """Return the viscosity of a gas at low pressure, Pa s.

    Args:
        name: a gas of the table with a viscosity fit (not neon, krypton, xenon, water vapour).
        temperature_k: 273 K to 1473 K; methane to 900 K. A degree outside is not extrapolated.

    Raises:
        Refused: no fit for this gas, or the temperature lies outside it.

    Source:
        fitted to CoolProp 8.0 within 0.3 %; carbon monoxide takes the fit of nitrogen (within about 2 %,
        known, source not looked up).
    """
    found = gas(name)
    if found.mu_300 is None:
        raise Refused(
            "no_gas_data", "no viscosity for this gas", f"The table holds no viscosity of {name}.", field="gas"
        )
    if not found.mu_low_k - 25 <= temperature_k <= found.mu_high_k:
        raise Refused(
            "no_gas_data", "the viscosity table ends before that",
            f"The viscosity of {name} is known from {found.mu_low_k:.0f} K to {found.mu_high_k:.0f} K.", field="gas_temperature",
        )  # fmt: skip
    t, s = temperature_k, found.sutherland_s
    return found.mu_300 * (t / 300) ** found.exponent_n * (300 + s) / (t + s)


def mean_speed(name: str, temperature_k: float) -> float:
    """Return the mean thermal speed of the molecules, m/s: sqrt(8 R T / (pi M)).

    Args:
        name: a gas of the table.
        temperature_k: gas temperature, K.

    Source:
        kinetic theory of gases; constant general.gas_constant.
    """
    from math import pi

    return sqrt(8 * constant("general.gas_constant") * temperature_k / (pi * gas(name).molar_mass))


def refuse_for_chamber(name: str, *, built_for_flammable: bool = False) -> None:
    """Refuse a gas that a chamber of this kind must not be filled with.

    Args:
        name: a gas of the table.
        built_for_flammable: the furnace record says that it was built for flammable gas.

    Raises:
        Refused: oxygen_rich, toxic_gas or flammable_gas.

    Source:
        the 23.5 % of oxygen: general.oxygen_rich_limit. The rest is common practice, no source.
    """
    kind = gas(name).kind
    if kind == "oxygen":
        raise Refused(
            "oxygen_rich", "oxygen-rich gas is a fire hazard",
            "Above 23.5 % oxygen, metals, seals and pump oil burn that would not burn in air.",
            "This page does not work with it.", "Ask the furnace's maker and your safety officer.", field="gas",
        )  # fmt: skip
    if kind == "toxic":
        raise Refused(
            "toxic_gas", "this gas is toxic",
            f"{name.capitalize()} needs a gas cabinet, detection and treatment of the exhaust that were built for it; "
            "no number on this page replaces them.",
            "Choose an inert gas.", "Your safety officer decides on anything else.", field="gas",
        )  # fmt: skip
    if kind == "flammable" and not built_for_flammable:
        raise Refused(
            "flammable_gas", f"{name} needs a different analysis",
            f"{name.capitalize()} burns in air, and this page covers gases that do not burn.",
            "Choose an inert gas. SAF-03 says what must be in place first.", "Your safety officer decides.", field="gas",
        )  # fmt: skip
