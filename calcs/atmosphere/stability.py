"""Which oxides and nitrides are stable: free energies, boundaries between phases, oxygen pressure of a gas.

Pressures here are in bar, the standard state of the free energies; logarithms are to base ten.
"""

from dataclasses import dataclass
from functools import cache
from math import exp, expm1, log, sqrt

from calcs.core import Refused
from calcs.data import constant, rows

TABLE_K = 298.15  # 25 °C, the reference temperature of thermochemical tables: a definition

LN10 = log(10)
SMALLEST = 1e-300  # bar; less is nothing, and has no logarithm
STEPS = 60  # halvings of the logarithm of a pressure: to better than 1e-13


@dataclass(frozen=True)
class Segment:
    """One line of a table of free energies: dG = a + b T + c T ln T, J/mol, from low to high in K."""

    low: float
    high: float
    a: float
    b: float
    c: float
    first: bool = False

    def energy(self, temperature_k: float) -> float:
        """Return the free energy, J for each mole of O2 or N2."""
        return self.a + self.b * temperature_k + self.c * temperature_k * log(temperature_k)


@dataclass(frozen=True)
class Oxide:
    """An oxide: metal, atoms in its formula, volume of one mole in m³, free energy."""

    name: str
    metal: str
    metal_atoms: float
    oxygen_atoms: float
    molar_volume: float
    segments: tuple[Segment, ...]

    @property
    def oxygen_per_metal(self) -> float:
        return self.oxygen_atoms / self.metal_atoms


def _segments(table: str, column: str, name: str) -> tuple[Segment, ...]:
    return tuple(
        Segment(*(float(row[key]) for key in ("low", "high", "a", "b", "c")), first=row.get("first") == "yes")
        for row in rows(f"atmosphere/{table}.csv")
        if row[column] == name
    )


@cache
def oxides() -> dict[str, Oxide]:
    """Return every oxide of the tables by its name."""
    return {
        row["oxide"]: Oxide(
            row["oxide"], row["metal"], float(row["metal_atoms"]), float(row["oxygen_atoms"]),
            float(row["molar_volume"]) * 1e-6,
            _segments("oxides", "oxide", row["oxide"]),
        )
        for row in rows("atmosphere/oxide_formulas.csv")
    }  # fmt: skip


@cache
def metals() -> dict[str, tuple[float, float]]:
    """Return (uncertainty in J for each mole of O2, band in decades) of each metal, graphite among them."""
    return {
        row["metal"]: (float(row["uncertainty"]) * 1e3, float(row["band"]))
        for row in rows("atmosphere/oxide_metals.csv")
    }


@cache
def nitrides() -> dict[str, tuple[str, float, tuple[Segment, ...]]]:
    """Return (metal, metal atoms for each N2, segments) of each nitride of the table by its name."""
    names = {row["nitride"]: row for row in rows("atmosphere/nitrides.csv")}
    return {
        name: (row["metal"], float(row["metal_per_nitrogen"]), _segments("nitrides", "nitride", name))
        for name, row in names.items()
    }


@cache
def _gas_segments(product: str) -> tuple[Segment, ...]:
    return _segments("oxide_gases", "product", product)


def _energy(segments: tuple[Segment, ...], temperature_k: float) -> float | None:
    for segment in segments:
        if segment.low <= temperature_k <= segment.high:
            return segment.energy(temperature_k)
    return None


def gas_energy(product: str, temperature_k: float) -> float:
    """Return the free energy of a gas reaction, J for each mole of O2.

    Args:
        product: "water" (2 H2 + O2), "carbon dioxide" (2 CO + O2), "carbon monoxide" (2 C + O2) or
            "carbon dioxide from carbon" (C + O2).
        temperature_k: 298.15 K to 2000 K.

    Raises:
        Refused: the temperature lies outside the table.

    Source:
        data/atmosphere/oxide_gases.csv, fitted to the NASA Glenn coefficients.
    """
    found = _energy(_gas_segments(product), temperature_k)
    if found is None:
        raise _no_data("gas", TABLE_K, 2000)
    return found


def in_decades(energy_j: float, temperature_k: float) -> float:
    """Return an energy, J/mol, as decades of pressure at a temperature: dG / (R T ln 10).

    Args:
        energy_j: J/mol.
        temperature_k: above 0.

    Source:
        definition of the equilibrium constant; constant general.gas_constant.
    """
    return energy_j / (constant("general.gas_constant") * temperature_k * LN10)


def data_range(metal: str) -> tuple[float, float]:
    """Return the temperatures, K, between which the first oxide of a metal is known.

    Args:
        metal: a metal of the table, or graphite.

    Source:
        data/atmosphere/oxides.csv.
    """
    if metal == "graphite":
        found = _gas_segments("carbon monoxide")
    else:
        found = [s for oxide in oxides().values() if oxide.metal == metal for s in oxide.segments if s.first]
    return min(s.low for s in found), max(s.high for s in found)


def _no_data(what: str, low: float, high: float) -> Refused:
    zero = constant("general.zero_celsius")
    return Refused(
        "no_data", "no data at this temperature",
        f"The data for {what} run from {low - zero:.0f} °C to {high - zero:.0f} °C, and nothing is drawn out beyond "
        f"their ends.",
        "Stay inside them, or ask somebody with tables for the phase that is stable there.", field="load_temperature",
    )  # fmt: skip


def oxide_log10_po2(name: str, temperature_k: float, activity: float = 1.0) -> float:
    """Return log10 of the oxygen pressure, bar, at which a metal and one of its oxides are in balance.

    Args:
        name: an oxide of the table.
        temperature_k: inside the data of that oxide.
        activity: activity of the metal, 0.001 to 1.

    Raises:
        Refused: no data at this temperature.

    Source:
        (2x/y) M + O2 = (2/y) MxOy: log10 pO2 = dG/(R T ln 10) - (2x/y) log10 a; data/atmosphere/oxides.csv.
    """
    oxide = oxides()[name]
    energy = _energy(oxide.segments, temperature_k)
    if energy is None:
        raise _no_data(name, min(s.low for s in oxide.segments), max(s.high for s in oxide.segments))
    return in_decades(energy, temperature_k) - 2 / oxide.oxygen_per_metal * log(activity) / LN10


def boundaries(metal: str, temperature_k: float, activity: float = 1.0) -> list[tuple[str, str, float]]:
    """Return the steps from a metal to its highest oxide: (phase below, phase above, log10 pO2 in bar).

    Of the phases with more oxygen, the next is the one met at the lowest oxygen pressure; oxides that are
    never stable are passed over.

    Args:
        metal: a metal of the table.
        temperature_k: inside the data of its first oxide.
        activity: activity of the metal, 0.001 to 1.

    Raises:
        Refused: no data at this temperature.

    Source:
        lowest free energy at each oxygen pressure; data/atmosphere/oxides.csv.
    """
    low, high = data_range(metal)
    if not low <= temperature_k <= high:
        raise _no_data(metal, low, high)
    rt = constant("general.gas_constant") * temperature_k
    phases = []  # (name, oxygen atoms, free energy) for each atom of metal
    for oxide in oxides().values():
        if oxide.metal == metal and (energy := _energy(oxide.segments, temperature_k)) is not None:
            phases.append((oxide.name, oxide.oxygen_per_metal, energy * oxide.oxygen_per_metal / 2))
    here, found = (metal, 0.0, rt * log(activity)), []
    while richer := [p for p in phases if p[1] > here[1] + 1e-9]:
        potential, step = min((2 * (p[2] - here[2]) / (p[1] - here[1]), p) for p in richer)
        found.append((here[0], step[0], potential / (rt * LN10)))
        here = step
    return found


def carbon_log10_po2(oxygen_bar: float, temperature_k: float, activity: float = 1.0) -> tuple[float, str]:
    """Return log10 of the oxygen pressure over graphite that has taken up all oxygen of a gas, and its main product.

    Args:
        oxygen_bar: oxygen atoms in the gas as a pressure, bar: p (2 x_O2 + x_H2O + x_CO + 2 x_CO2), above 0.
        temperature_k: 298.15 K to 2000 K.
        activity: activity of the carbon.

    Source:
        2 C + O2 = 2 CO and C + O2 = CO2 with p_CO + 2 p_CO2 = oxygen_bar; data/atmosphere/oxide_gases.csv.
    """
    # K1 sqrt(pO2) = pCO, K2 pO2 = pCO2; logarithms, because the constants span 100 decades
    one = -in_decades(gas_energy("carbon monoxide", temperature_k), temperature_k) / 2 + log(activity) / LN10
    two = -in_decades(gas_energy("carbon dioxide from carbon", temperature_k), temperature_k) + log(activity) / LN10
    ratio = 8 * max(oxygen_bar, SMALLEST) * 10 ** (two - 2 * one)  # sqrt(pO2) = K1/(4 K2) (sqrt(1 + 8 K2 O / K1²) - 1)
    root = ratio / (sqrt(1 + ratio) + 1)  # the same as sqrt(1 + ratio) - 1, with all its digits
    half = one - two + log(root / 4) / LN10
    return 2 * half, "carbon monoxide" if one + half > two + 2 * half else "carbon dioxide"


def gas_log10_po2(shares: dict[str, float], pressure_bar: float, temperature_k: float) -> float:
    """Return log10 of the oxygen pressure, bar, of a gas in balance with itself.

    Oxygen, hydrogen, water, carbon monoxide and carbon dioxide are counted; the amount of gas is taken as
    unchanged, and methane, soot and fragments of molecules are left out.

    Args:
        shares: mole fractions under "oxygen", "water", "hydrogen", "carbon monoxide", "carbon dioxide"; at
            least one of oxygen, water and carbon dioxide above 0.
        pressure_bar: pressure of the gas, bar.
        temperature_k: 298.15 K to 2000 K.

    Source:
        balance of oxygen atoms with 2 H2 + O2 = 2 H2O and 2 CO + O2 = 2 CO2; data/atmosphere/oxide_gases.csv.
    """
    get = {name: shares.get(name, 0.0) * pressure_bar for name in GAS_PARTS}
    water = -in_decades(gas_energy("water", temperature_k), temperature_k) / 2 * LN10  # ln of pH2O / (pH2 sqrt(pO2))
    dioxide = -in_decades(gas_energy("carbon dioxide", temperature_k), temperature_k) / 2 * LN10
    hydrogen, carbon = get["hydrogen"] + get["water"], get["carbon monoxide"] + get["carbon dioxide"]
    excess = 2 * get["oxygen"] - get["hydrogen"] - get["carbon monoxide"]
    bound = 2 * get["oxygen"] + get["water"] + get["carbon dioxide"]

    def surplus(u: float) -> float:  # too much oxygen above zero; the form is chosen so that no digits cancel
        if excess >= 0:
            return 2 * exp(u) - hydrogen * _reduced(water + u / 2) - carbon * _reduced(dioxide + u / 2) - excess
        return 2 * exp(u) + hydrogen * _reduced(-water - u / 2) + carbon * _reduced(-dioxide - u / 2) - bound

    low, high = -700.0, log(pressure_bar) + 1
    for _ in range(STEPS):
        middle = (low + high) / 2
        if surplus(middle) > 0:
            high = middle
        else:
            low = middle
    return high / LN10


GAS_PARTS = ("oxygen", "water", "hydrogen", "carbon monoxide", "carbon dioxide")


def _reduced(logarithm: float) -> float:
    """1 / (1 + e^x), without overflow."""
    if logarithm > 0:
        return exp(-logarithm) / (1 + exp(-logarithm))
    return 1 / (2 + expm1(logarithm))


def ratio_log10_po2(product: str, ratio: float, temperature_k: float) -> float:
    """Return log10 of the oxygen pressure, bar, of a gas with a ratio of water to hydrogen, or of CO2 to CO.

    Args:
        product: "water" or "carbon dioxide".
        ratio: the ratio, above 0.
        temperature_k: 298.15 K to 2000 K.

    Source:
        log10 pO2 = 2 log10 ratio + dG/(R T ln 10); data/atmosphere/oxide_gases.csv.
    """
    return 2 * log(ratio) / LN10 + in_decades(gas_energy(product, temperature_k), temperature_k)


def allowed_water_ratio(log10_po2: float, temperature_k: float) -> float:
    """Return the ratio of water to hydrogen with an oxygen pressure: below it the metal stays metal.

    Args:
        log10_po2: log10 of the oxygen pressure of the metal's first oxide, bar.
        temperature_k: 298.15 K to 2000 K.

    Source:
        see ratio_log10_po2.
    """
    return 10 ** ((log10_po2 - in_decades(gas_energy("water", temperature_k), temperature_k)) / 2)


def first_nitride(metal: str, temperature_k: float, activity: float = 1.0) -> tuple[str, float] | None:
    """Return the nitride that forms at the lowest nitrogen pressure and log10 of that, bar; None without data.

    Args:
        metal: a metal of the table.
        temperature_k: temperature, K.
        activity: activity of the metal.

    Source:
        log10 pN2 = dG/(R T ln 10) - n log10 a, n metal atoms for each N2; data/atmosphere/nitrides.csv.
    """
    found = []
    for name, (of, atoms, segments) in nitrides().items():
        if of == metal and (energy := _energy(segments, temperature_k)) is not None:
            found.append((in_decades(energy, temperature_k) - atoms * log(activity) / LN10, name))
    return min(found)[::-1] if found else None


def delivered_oxygen(flow_mol_per_s: float, oxygen_share: float, time_s: float) -> float:
    """Return the oxygen, mol of O2, that a gas brings in a time.

    Args:
        flow_mol_per_s: gas flow, mol/s.
        oxygen_share: mole fraction of oxygen.
        time_s: time, s.

    Source:
        balance of amounts.
    """
    return flow_mol_per_s * oxygen_share * time_s


def oxide_thickness(name: str, oxygen_mol: float, area_m2: float) -> float:
    """Return the thickness, m, of an oxide that takes up an amount of oxygen on an area: h = (2/y) N V / S.

    Args:
        name: an oxide of the table.
        oxygen_mol: O2, mol.
        area_m2: surface, m², above 0.

    Source:
        balance of amounts; molar volumes of data/atmosphere/oxide_formulas.csv.
    """
    oxide = oxides()[name]
    return 2 / oxide.oxygen_atoms * oxygen_mol * oxide.molar_volume / area_m2


def uncertainty(metal: str, temperature_k: float) -> float:
    """Return the uncertainty of a metal's oxygen pressure in decades, never finer than a factor of two.

    Args:
        metal: a metal of the table, or graphite.
        temperature_k: temperature, K.

    Source:
        data/atmosphere/oxide_metals.csv; constant oxide.finest_margin.
    """
    return max(constant("oxide.finest_margin"), in_decades(metals()[metal][0], temperature_k))
