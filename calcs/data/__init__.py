"""The published tables of the package: constants, sources and data files, read once when first asked for."""

import csv
import tomllib
from functools import cache
from pathlib import Path

HERE = Path(__file__).parent


@cache
def table(name: str) -> dict:
    """Return the content of a TOML file of this folder, such as "constants/general.toml"."""
    return tomllib.loads((HERE / name).read_text(encoding="utf-8"))


@cache
def rows(name: str) -> tuple[dict, ...]:
    """Return the rows of a CSV file of this folder as dicts of column to text.

    Lines that begin with # are its heading: title, source, place, units, range, standing.
    """
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return tuple(csv.DictReader(line for line in lines if line.strip() and not line.startswith("#")))


def number_or_none(text: str) -> float | None:
    """Return the number in a cell, or None where the table leaves the cell empty."""
    return float(text) if text.strip() else None


def constant(key: str) -> float:
    """Return the value of a constant in SI units, by "room.name", such as "general.gas_constant".

    Every number with a physical meaning that the calculators use is a row of constants/<room>.toml,
    with its unit, source, place and standing; the register of constants is made from the same rows.
    """
    return _constants(key.partition(".")[0])[key]


@cache
def _constants(room: str) -> dict[str, float]:
    from calcs.units import si

    found = {}
    for name, row in table(f"constants/{room}.toml").items():
        unit = row.get("unit", "")
        value = row["value"]
        found[f"{room}.{name}"] = si(f"{value} {unit}") if unit else float(value)
    return found


def all_constants() -> dict[str, dict]:
    """Return every row of the constants files by its key."""
    return {
        f"{path.stem}.{name}": row
        for path in sorted((HERE / "constants").glob("*.toml"))
        for name, row in table(f"constants/{path.name}").items()
    }


def all_sources() -> dict[str, dict]:
    """Return every row of the sources files by its key; a key that stands twice is an error of ours."""
    found: dict[str, dict] = {}
    for path in sorted((HERE / "sources").glob("*.toml")):
        for key, row in table(f"sources/{path.name}").items():
            if key in found:
                raise ValueError(f"source {key} stands in two files")
            found[key] = row
    return found
