"""Evaporation of metals: vapour pressure, loss into vacuum and into a gas, and the pressure that holds it back.

Knows the elements of data/materials/vapour_pressure.csv, each only inside the range of its published equation.
"""

from dataclasses import dataclass
from functools import cache
from math import expm1, inf, log1p, log10, pi, sqrt

from calcs.core import Refused
from calcs.data import constant, rows

STEPS = 60  # halvings of a temperature interval: to better than 1e-12 K
VACUUM = "vacuum"
LIGHT = ("helium", "hydrogen")


@dataclass(frozen=True)
class Line:
    """One equation of an element: log10(p/atm) = a + b/T + c log10(T) + d 1e-3 T, from low to high in K."""

    phase: str
    a: float
    b: float
    c: float
    d: float
    low: float
    high: float
    source: str

    def pressure(self, temperature_k: float) -> float:
        """Return the vapour pressure, Pa."""
        t = temperature_k
        decades = self.a + self.b / t + self.c * log10(t) + self.d * 1e-3 * t
        return constant("general.standard_atmosphere") * 10**decades


@dataclass(frozen=True)
class Element:
    """An element: name, molar mass in kg/mol, group, what it does, factor of trust, its lines in order of preference."""

    symbol: str
    name: str
    molar_mass: float
    group: str  # banned, dirty or no matter, in a furnace that others use too
    hurts: bool  # its fume hurts people
    ignites: bool  # what settles can catch fire
    factor: float
    lines: tuple[Line, ...]

    @property
    def ends(self) -> tuple[float, float]:
        """The lowest and the highest temperature of all lines, K."""
        return min(line.low for line in self.lines), max(line.high for line in self.lines)


@cache
def elements() -> dict[str, Element]:
    """Return every element of the table by its symbol."""
    return {
        row["element"]: Element(
            row["element"], row["name"], float(row["molar_mass"]) * 1e-3, row["group"], row["hurts"] == "yes",
            row["ignites"] == "yes", float(row["factor"]), _lines(row["element"]),
        )
        for row in rows("materials/vapour_elements.csv")
    }  # fmt: skip


def _lines(symbol: str) -> tuple[Line, ...]:
    return tuple(
        Line(row["phase"], *(float(row[key]) for key in ("a", "b", "c", "d", "low", "high")), row["source"])
        for row in rows("materials/vapour_pressure.csv")
        if row["element"] == symbol
    )


def line_at(symbol: str, temperature_k: float) -> Line:
    """Return the equation of an element that holds at a temperature; where two hold, the first of the table.

    Args:
        symbol: an element of the table.
        temperature_k: inside the range of one of its equations.

    Raises:
        Refused: no equation of this element was published for this temperature.

    Source:
        data/materials/vapour_pressure.csv.
    """
    for line in elements()[symbol].lines:
        if line.low <= temperature_k <= line.high:
            return line
    raise _outside(symbol)


def _outside(symbol: str) -> Refused:
    zero = constant("general.zero_celsius")
    spans = sorted((line.low - zero, line.high - zero) for line in elements()[symbol].lines)
    joined = [list(spans[0])]
    for low, high in spans[1:]:
        if low <= joined[-1][1] + 1e-6:
            joined[-1][1] = max(joined[-1][1], high)
        else:
            joined.append([low, high])
    said = " and ".join(f"{low:.0f} °C to {high:.0f} °C" for low, high in joined)
    return Refused(
        "outside_range", "no published equation at this temperature",
        f"The equations of {elements()[symbol].name} hold from {said}; a line drawn on would be wrong past a melting "
        "point.",
        "Choose a temperature inside, or take the value from a handbook.", field="load_temperature",
    )  # fmt: skip


def vapour_pressure(symbol: str, temperature_k: float) -> float:
    """Return the saturation pressure over the pure element, Pa.

    Args:
        symbol: an element of the table.
        temperature_k: inside the range of one of its equations.

    Raises:
        Refused: outside the range.

    Source:
        alcock-1984 and the other sources of data/materials/vapour_pressure.csv; good to the factor of the element.
    """
    return line_at(symbol, temperature_k).pressure(temperature_k)


def temperature_of(symbol: str, pressure_pa: float) -> float | None:
    """Return the lowest temperature at which the pure element reaches a vapour pressure, K; None if it never does.

    Args:
        symbol: an element of the table.
        pressure_pa: vapour pressure, Pa, above 0.

    Source:
        vapour_pressure, halved inside each equation.
    """
    for line in sorted(elements()[symbol].lines, key=lambda one: one.low):
        if not line.pressure(line.low) <= pressure_pa <= line.pressure(line.high):
            continue
        low, high = line.low, line.high
        for _ in range(STEPS):
            middle = (low + high) / 2
            low, high = (middle, high) if line.pressure(middle) < pressure_pa else (low, middle)
        return high
    return _in_a_step(symbol, pressure_pa)


def _in_a_step(symbol: str, pressure_pa: float) -> float | None:
    """The temperature where two equations meet with the pressure between them: they differ there by up to 0.034."""
    found = sorted(elements()[symbol].lines, key=lambda one: one.low)
    for one, two in zip(found, found[1:], strict=False):
        if abs(one.high - two.low) < 1e-6 and one.pressure(one.high) < pressure_pa < two.pressure(two.low):
            return two.low
    return None


def vacuum_rate(pressure_pa: float, molar_mass: float, temperature_k: float, coefficient: float = 1.0) -> float:
    """Return the loss of a clean surface into high vacuum, kg/(m² s): alpha p sqrt(M/(2 pi R T)).

    Args:
        pressure_pa: vapour pressure over the surface, Pa, 0 or more.
        molar_mass: of the vapour, kg/mol.
        temperature_k: of the surface, K.
        coefficient: evaporation coefficient alpha, above 0 to 1; 1 is the upper bound, right for clean metals.

    Source:
        langmuir-1913; kinetic theory of gases.
    """
    gas_constant = constant("general.gas_constant")
    return coefficient * pressure_pa * sqrt(molar_mass / (2 * pi * gas_constant * temperature_k))


def diffusivity_times_pressure(gas: str, temperature_k: float) -> float:
    """Return D P of metal vapour in a gas, m² Pa/s; it does not depend on the pressure.

    Args:
        gas: name of the gas; vacuum is residual air. Argon, nitrogen and all others count alike, helium and
            hydrogen three times.
        temperature_k: temperature, K.

    Source:
        vapour.metal_diffusivity, a round value good to a factor of 2; power of temperature fuller-1966.
    """
    cold = constant("vapour.metal_diffusivity") * constant("general.standard_atmosphere")
    light = constant("vapour.light_gas_factor") if gas in LIGHT else 1.0
    warmer = temperature_k / constant("vapour.diffusion_reference")
    return light * cold * warmer ** constant("vapour.diffusion_exponent")


def layer_rate(
    pressure_pa: float, total_pa: float, molar_mass: float, temperature_k: float, diffusion: float, layer_m: float
) -> float:
    """Return what passes a still layer of gas, kg/(m² s): M D P/(R T d) ln(P/(P - p)); without end where p reaches P.

    Args:
        pressure_pa: vapour pressure at the surface, Pa; nothing of it at the far side of the layer.
        total_pa: chamber pressure, Pa, 0 or more.
        molar_mass: of the vapour, kg/mol.
        temperature_k: temperature of the layer, K.
        diffusion: D P, m² Pa/s.
        layer_m: thickness of the layer, m, above 0.

    Source:
        diffusion through a stagnant gas (Stefan): poling-properties and any textbook of mass transfer.
    """
    if pressure_pa >= total_pa:
        return inf
    flow = molar_mass * diffusion / (constant("general.gas_constant") * temperature_k * layer_m)
    return flow * -log1p(-pressure_pa / total_pa)


def loss_rate(into_vacuum: float, through_layer: float) -> float:
    """Return the loss with both resistances in a row, kg/(m² s): 1/J = 1/J_vacuum + 1/J_layer.

    Args:
        into_vacuum: vacuum_rate, kg/(m² s).
        through_layer: layer_rate, kg/(m² s); without end in high vacuum.

    Source:
        resistances in a row: a surface and the layer above it.
    """
    if not into_vacuum or not through_layer:
        return 0.0
    return 1 / (1 / into_vacuum + 1 / through_layer)


def pressure_for_loss(
    accepted: float, into_vacuum: float, pressure_pa: float, molar_mass: float, temperature_k: float,
    diffusion: float, layer_m: float,
) -> float:  # fmt: skip
    """Return the chamber pressure at which the loss equals the accepted one, Pa; 0 where vacuum will do.

    The inverse of loss_rate; without end where no pressure is enough in numbers.

    Args:
        accepted: loss accepted, kg/(m² s), above 0.
        into_vacuum: vacuum_rate, kg/(m² s).
        pressure_pa: vapour pressure at the surface, Pa.
        molar_mass: of the vapour, kg/mol.
        temperature_k: temperature, K.
        diffusion: D P, m² Pa/s.
        layer_m: thickness of the still layer, m.

    Source:
        loss_rate and layer_rate, solved for the pressure.
    """
    if accepted >= into_vacuum:
        return 0.0
    through_layer = 1 / (1 / accepted - 1 / into_vacuum)
    decay = through_layer * constant("general.gas_constant") * temperature_k * layer_m / (molar_mass * diffusion)
    held = -expm1(-decay)
    return pressure_pa / held if held else inf


def carried_off(flow_mol_per_s: float, pressure_pa: float, total_pa: float, molar_mass: float) -> float:
    """Return the most that a flowing gas can carry out, kg/s: n M p/(P - p), saturated at the exit.

    Args:
        flow_mol_per_s: gas flow, mol/s.
        pressure_pa: vapour pressure, Pa, below the chamber pressure.
        total_pa: chamber pressure, Pa.
        molar_mass: of the vapour, kg/mol.

    Source:
        Dalton's law of partial pressures.
    """
    return flow_mol_per_s * molar_mass * pressure_pa / (total_pa - pressure_pa)


def grid(symbol: str, low_pa: float, high_k: float, points: int) -> list[float]:
    """Return temperatures for a curve, K: from where the pressure passes low_pa up to high_k, inside the equations.

    Args:
        symbol: an element of the table.
        low_pa: vapour pressure at which the curve begins, Pa.
        high_k: where it ends, K.
        points: how many steps.

    Source:
        vapour_pressure.
    """
    start = temperature_of(symbol, low_pa) or elements()[symbol].ends[0]
    end = min(high_k, elements()[symbol].ends[1])
    if end <= start:
        return []
    # Even steps of 1/T, in which the curve is nearly straight.
    steps = [1 / start + (1 / end - 1 / start) * i / points for i in range(points + 1)]
    lines = elements()[symbol].lines
    return [1 / x for x in steps if any(line.low <= 1 / x <= line.high for line in lines)]
