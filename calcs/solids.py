"""Solids: density, conductivity, specific heat, strength and emissivity of what stands in a furnace or lines it."""

from dataclasses import dataclass
from functools import cache

from calcs import straight
from calcs.data import constant, rows
from calcs.units_table import unit_named

ROOM_K = 293.15  # 20 °C, where a table or a measurement is at room temperature; common practice, no source

BEYOND_K = 150.0  # so far past the last point the end value is held with a note; ours, from the spread of the data

# Solids of which density, conductivity and specific heat are known and that are loads; data/solids.csv holds more.
LOADS = (
    "carbon steel", "stainless 304", "stainless 316", "nickel-chromium-iron", "nickel", "copper", "titanium",
    "molybdenum", "tungsten", "alumina", "alumina refractory", "mullite refractory", "insulating brick 1260",
    "insulating brick 1540", "zirconia", "silicon carbide", "quartz glass", "borosilicate glass", "graphite",
)  # fmt: skip
BRITTLE = (  # solids of which the strength is known
    "alumina", "zirconia", "mullite", "quartz glass", "silicon carbide", "silicon nitride", "borosilicate glass",
    "cordierite", "graphite", "chamber brick",
)  # fmt: skip


@dataclass(frozen=True)
class Curve:
    """One property of one solid against temperature, SI units: straight lines between points, ends held.

    A property without temperatures has one point and an endless range.
    """

    solid: str
    prop: str
    temperatures_k: tuple[float, ...]
    values: tuple[float, ...]
    source: str
    place: str
    standing: str

    def at(self, temperature_k: float) -> float:
        """Return the value at a temperature in K; beyond the ends the end value."""
        return straight.at(self.temperatures_k, self.values, temperature_k)

    def beyond(self, low_k: float, high_k: float) -> float:
        """Return by how many K a stretch of temperature passes the hot or the cold end; 0 inside."""
        if len(self.temperatures_k) < 2:
            return 0.0
        return max(0.0, high_k - self.temperatures_k[-1], self.temperatures_k[0] - low_k)

    @property
    def is_constant(self) -> bool:
        return len(self.values) == 1


def curve(solid: str, prop: str) -> Curve:
    """Return one property of one solid.

    Args:
        solid: a name of data/solids.csv.
        prop: density, conductivity, specific heat, melting start, young modulus, poisson, expansion, strength,
            emissivity bright, emissivity oxidised.

    Raises:
        LookupError: the table has no such row.

    Source:
        data/solids.csv, each row with its own.
    """
    found = _curves().get((solid, prop))
    if found is None:
        raise LookupError(f"no {prop} of {solid}")
    return found


def has(solid: str, prop: str) -> bool:
    """Return whether the table has a property of a solid."""
    return (solid, prop) in _curves()


def value(solid: str, prop: str, temperature_k: float = ROOM_K) -> float:
    """Return a property at a temperature in K, SI units; ends held.

    Raises:
        LookupError: the table has no such row.
    """
    return curve(solid, prop).at(temperature_k)


def typed_curve(solid: str, prop: str, points: list[tuple[float, float]]) -> Curve:
    """Return a curve from (K, SI value) pairs that a reader typed, in any order."""
    points = sorted(points)
    return Curve(solid, prop, tuple(t for t, _ in points), tuple(v for _, v in points), "", "typed", "typed")


@cache
def _curves() -> dict[tuple[str, str], Curve]:
    return {(row["material"], row["property"]): _curve(row) for row in rows("solids.csv")}


def _curve(row: dict) -> Curve:
    factor = unit_named(row["unit"]).factor
    pairs = [part.split(":") for part in row["points"].split()]
    shift = constant("general.zero_celsius") if row["scale"] == "°C" else 0.0
    temperatures = tuple(float(pair[0]) + shift for pair in pairs if len(pair) == 2)
    values = tuple(float(pair[-1]) * factor for pair in pairs)
    return Curve(
        row["material"], row["property"], temperatures or (0.0,), values, row["source"], row["place"], row["standing"]
    )
