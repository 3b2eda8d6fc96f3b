"""The furnace record: what one furnace is, typed once and used by every form.

A record is a dict of input name to text, the way a reader types it, under the names that the
calculators use. Its text passes through the same reader as everything typed.
"""

from datetime import date

from calcs import units, wording
from calcs.data import table

EXAMPLE = table("example_furnace.toml")["furnace"]  # the invented workshop's furnace HS-1
CALIBRATED = ("hot_capacity", "insulation_capacity", "inner_conductance", "outer_conductance", "radiative_area")
KNOWN = frozenset(EXAMPLE) - {"furnace_id", "record_revision", "record_review_due"} | set(CALIBRATED)
MIXTURE = "mixture"  # the gas of a form that asks for its parts
MIXED = "mixture with hydrogen"  # inert gas with hydrogen in it, as records name it
OLD_LIMIT = "maximum_temperature"  # in forms the limit for the gas of the run; in old files one without a gas


def revision_said(record: dict) -> str:
    """Return which furnace and revision a record is, as it is named on pages."""
    return f"{short(record.get('furnace_id') or 'a furnace without a name')}, revision {revision(record)}"


def revision(record: dict) -> int:
    """Return the revision of a record; one without a readable number counts as the first."""
    try:
        return max(1, int(units.read("number", str(record.get("record_revision", ""))).si))
    except units.Unreadable:
        return 1


# ---------------------------------------------------------------- limits by gas


def limit_for(record: dict, gas: str | None, mixture=()) -> tuple[str, str]:
    """Return (highest chamber temperature as typed, one sentence about it) for a gas.

    Args:
        record: as typed.
        gas: a gas of the forms, "vacuum", "mixture", or None where a form does not ask for one.
        mixture: rows of gas and share, where the gas is a mixture.
    """
    if gas == "vacuum":
        return _entry(record, "maximum_vacuum_temperature"), ""
    limits = _limits(record)
    if not limits:
        return "", _without_gas(record)
    if gas is None:
        lowest = min(limits, key=lambda g: _kelvin(limits[g]))
        return limits[lowest], f"Highest temperature: {limits[lowest]}, the lowest in the record, for {lowest}."
    wanted = [gas] if gas != MIXTURE else _parts(mixture)
    lacking = [g for g in wanted if g not in limits]
    if lacking or not wanted:
        which = wording.listed(lacking) or "a mixture that is not typed yet"
        return "", f"The furnace record gives no highest temperature for {which}."
    return min((limits[g] for g in wanted), key=_kelvin), ""


def _limits(record: dict) -> dict[str, str]:
    """Return gas to temperature as typed; what is no row of two texts is passed over."""
    rows = record.get("gas_limits")
    pairs = [(row.get("gas"), row.get("temperature")) for row in (rows if isinstance(rows, (list, tuple)) else ())]
    return {gas: temperature for gas, temperature in pairs if isinstance(gas, str) and isinstance(temperature, str)}


def _without_gas(record: dict) -> str:
    if old := _entry(record, OLD_LIMIT):
        return (
            f"The furnace record gives one highest temperature, {short(old)}, and not for which gas: it is not used. "
            "Revise the record."
        )
    return "The furnace record gives no highest temperature for any gas."


def _parts(mixture) -> list[str]:
    """Return the rows of the record that a mixture needs: hydrogen in other gas has one of its own."""
    names = [str(row.get("gas", "")) for row in mixture or () if row.get("gas")]
    return [MIXED] if "hydrogen" in names and len(names) > 1 else names


def _entry(record: dict, name: str) -> str:
    value = record.get(name, "")
    return value if isinstance(value, str) else ""


def _kelvin(text: str) -> float:
    try:
        return units.read("temperature", text).si
    except units.Unreadable:
        return float("inf")


# ---------------------------------------------------------------- review


def overdue(record: dict, today: str) -> str:
    """Return one sentence where a record is past its review or names no day for it, else ""."""
    due = record.get("record_review_due")
    if not due:
        return "This record names no day for its review."
    try:
        days = (date.fromisoformat(today) - date.fromisoformat(str(due).strip())).days
    except ValueError:
        return ""
    if days <= 0:
        return ""
    return f"The review of this record was due on {due}: overdue by {wording.count(days, 'day')}. Ask whoever keeps it."


def short(text, most: int = 40) -> str:
    """Return a text on one line, cut after so many letters."""
    tidy = " ".join(str(text).split())
    return tidy if len(tidy) <= most else f"{tidy[: most - 1]}…"
