"""What a slip of typing may have meant: the same number in another unit, in the other sense, or without its minus.

Only offers are made here: texts that would fill the field, for the reader to choose. Nothing is changed silently,
and nothing is offered that the field would not take.
"""

from dataclasses import replace
from math import log

from calcs import units, wording

MOST_OFFERS = 2
LIKELY = 100.0  # a value this many times larger or smaller than the example's is not a likely meaning; ours
ALIKE = 2.0  # of units closer to each other than this, one is offered: nobody takes mbar for torr by a slip; ours
SCALES = ("temperature", "dew point")  # their units differ by their zeros too: ratios say nothing


def offers(field, read, fits) -> tuple:
    """Return the readings of the same number that a field would take, the likeliest first, at most two.

    Args:
        field: the Field, for its menu and its example.
        read: what was typed and does not fit, a units.Read.
        fits: says of a Read whether the field would take it.
    """
    if read.said:
        return ()  # written as a clock or in parts: its number was never typed as one
    if (other := _other_sense(read)) and fits(other):
        return (other,)  # where the sense alone puts it right, no unit is doubted
    found = [other for other in _others(field, read) if fits(other)]
    if field.kind in SCALES or (typical := _typical(field)) is None:
        return tuple(found[:MOST_OFFERS])
    likely = [other for other in found if other.si > 0 and typical / LIKELY <= other.si <= typical * LIKELY]
    return tuple(sorted(likely, key=lambda other: abs(log(other.si / typical)))[:MOST_OFFERS])


def texts(readings) -> tuple[str, ...]:
    """Return the texts that fill the field with these readings."""
    return tuple(units.as_text(read) for read in readings)


def asked(field, readings) -> str:
    """Return the question that goes with the offers: “Is 1922 °F (1050 °C) meant?”, or "" without any."""
    usual = _unit_of_example(field)
    words = [f"{said(read)}{_same(read, usual)}" for read in readings]
    return f"Is {' or '.join(words)} meant?" if words else ""


def said(read) -> str:
    """Return number, unit and sense as the reader gave them."""
    if read.said:
        return read.said
    sense = units.SENSES.get(read.sense, "") if units.KINDS[read.kind].sense in ("asked", "gauge", "absolute") else ""
    return " ".join(part for part in (_with_unit(read.number, read.unit), sense) if part)


def leak_of_rise(typed: str, gas_volume_m3: float) -> tuple[str, str] | None:
    """Return (words, text to offer) where a leak was typed as the rise of the pressure, else None.

    Args:
        typed: what stands in the field of the leak rate.
        gas_volume_m3: all gas in the chamber, pores included, m³.

    Source:
        leak = volume times rise of pressure, for gas at rest.
    """
    try:
        rise = units.read("pressure rise rate", typed)
    except units.Unreadable:
        return None
    unit = units.unit_of("throughput", "mbar L/s")
    number = wording.rounded_to(unit.from_si(rise.si * gas_volume_m3), 3, "up") if rise.si else 0
    volume = wording.number(gas_volume_m3 * 1e3, 3)
    words = f"{said(rise)} in {wording.with_unit(volume, 'L')} of gas is {wording.with_unit(f'{float(number):g}', unit.shown)}."
    return words, f"{float(number):g} {unit.name}"


# ---------------------------------------------------------------- candidates


def _other_sense(read):
    """Return the reading as absolute for gauge, as gauge for absolute; None where the field has one sense."""
    if units.KINDS[read.kind].sense != "asked" or not read.sense:
        return None
    return replace(read, sense="gauge" if read.sense == "absolute" else "absolute")


def _others(field, read):
    kind = units.KINDS[field.kind]
    if read.number < 0 and field.kind not in SCALES and not kind.sense:
        yield replace(read, number=-read.number)
    if field.kind == "number" and "%" not in field.sample:
        return  # a count: nobody types cycles in per cent
    taken = [read.unit]
    for unit in field.menu_units:
        if unit.name == "1" and field.kind != "number":
            continue  # a bare number would take the unit of the menu
        if field.kind in SCALES:
            alike = unit == read.unit
        else:
            alike = any(1 / ALIKE < unit.factor / other.factor < ALIKE for other in taken)
        if not alike:
            taken.append(unit)
            yield replace(read, unit=unit)


def _typical(field) -> float | None:
    """Return the example's value in SI units; None where there is none, or none to compare with."""
    read = _example(field)
    return read.si if read and read.si > 0 else None


def _unit_of_example(field):
    read = _example(field)
    return read.unit if read else None


def _example(field):
    try:
        return units.read(field.kind, field.sample)
    except units.Unreadable:
        return None


def _same(read, unit) -> str:
    if unit is None or unit == read.unit or read.sense in ("gauge", "below"):
        return ""
    return f" ({_with_unit(unit.from_si(read.si), unit, 4)})"


def _with_unit(number: float, unit, digits: int = 6) -> str:
    rounded = float(f"{number:.{digits}g}")
    return wording.with_unit(wording.plain_number(rounded), "" if unit.name == "1" else unit.shown)
