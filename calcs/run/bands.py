"""What the card accepts in each step, as figures, and whether a reading from the paper lies within it.

A reading is what somebody wrote: "0.09 mbar", "598 °C; +12 mbar", "clean". It is never altered; it is compared as
far as its figures and words allow.
"""

import re
from math import inf
from typing import NamedTuple

from calcs import units
from calcs.core import worst
from calcs.data import table
from calcs.run import said, steps

DIFFERENCE = {
    "temperature": "temperature difference",
    "gauge pressure": "gauge pressure",
}  # kind of what stands in "by"
PARTS = re.compile(r"[;\n]|,\s")  # between the figures of one reading; "0,09" stays whole
YES, NO = ("yes", "done", "ok", "within"), ("no", "outside", "not done")
LEAD = re.compile(r"^[^\d+−-]{1,40}(?=[\d+−-])")  # words before a figure: "load 598 °C"
DUST = 1e-9


class Band(NamedTuple):
    """One figure that a step accepts: SI values, both ends inside; pressures absolute or above the room by kind."""

    name: str
    kind: str
    low: float = -inf
    high: float = inf

    def holds(self, value: float) -> bool:
        return self.low - DUST * abs(self.low) <= value <= self.high + DUST * abs(self.high)


class Accepted(NamedTuple):
    """What one step accepts: key of its words, figures, and words that settle it."""

    key: str
    bands: tuple[Band, ...] = ()
    yes: tuple[str, ...] = YES
    no: tuple[str, ...] = NO


def written(run) -> list[tuple[str, dict]]:
    """Return, for each step of a run, the key of its words and the values from which `of` makes what it accepts.

    The answer of a plan carries this plain data; only a record asks what it comes to.

    Args:
        run: from derive.run.
    """
    limit = run.inputs["target_oxygen"]
    more = {"oxygen_limit": said.ppm(limit) if limit and not run.job.is_air else "", "band": steps.band(run)}
    return [(key, values | more) for key, values in steps.filled(run)]


def of(planned) -> tuple[Accepted, ...]:
    """Return what each step of a plan accepts, in the order of the card.

    Args:
        planned: the answer of the plan.
    """
    return tuple(_accepted(key, values) for key, values in planned.extra["written"])


def _accepted(key: str, values: dict) -> Accepted:
    row = table("run/bands.toml")[key]
    found = (_band(spec, values) for spec in row.get("bands", ()))
    return Accepted(
        key,
        tuple(band for band in found if band),
        (*YES, *row.get("yes", ())),
        (*NO, *row.get("no", ())),
    )


def _band(spec: dict, values: dict) -> Band | None:
    """Return a band, or None where the plan has no figure for it ("unknown", "as agreed")."""
    try:
        ends = {name: spec[name].format(**values) for name in ("low", "high", "between", "about", "by") if name in spec}
        kind = spec["kind"]
        if "between" in ends:
            ends["low"], ends["high"] = ends["between"].removesuffix(" gauge").split(" to ")
        if "about" in ends:
            middle, by = _si(kind, ends["about"]), _si(DIFFERENCE.get(kind, kind), ends["by"])
            return Band(spec["name"], kind, middle - by, middle + by)
        low, high = (_si(kind, ends[name]) if name in ends else end for name, end in (("low", -inf), ("high", inf)))
    except units.Unreadable:
        return None
    return Band(spec["name"], kind, low, high)


def _si(kind: str, text: str) -> float:
    return units.read(kind, text).si


# ---------------------------------------------------------------- a reading


def judge(reading: str, accepted: Accepted, ambient_pa: float) -> str:
    """Return the verdict on a reading as written: within, outside, or cannot_say where nothing can be compared.

    Args:
        reading: as written on the paper; several figures are parted by ";" or by a comma with a space.
        accepted: what the step accepts.
        ambient_pa: pressure of the room, Pa, for a pressure of the other sense than the band.
    """
    found = [verdict for part in PARTS.split(reading) if (verdict := _judge_part(part.strip(), accepted, ambient_pa))]
    return worst(found) if found else "cannot_say"


def _judge_part(part: str, accepted: Accepted, ambient_pa: float) -> str:
    """Return the verdict on one part of a reading, or "" where it holds nothing to compare."""
    words = " ".join(part.casefold().split()).strip(" .")
    if words in accepted.no or words in accepted.yes:
        return "outside" if words in accepted.no else "within"
    lead = LEAD.match(part)
    bare = part[lead.end() :] if lead else part
    wanted = sorted(accepted.bands, key=lambda band: not (lead and band.name in lead[0].casefold()))
    for band in wanted:
        value = value_of(bare, band.kind, ambient_pa)
        if value is not None:
            return "within" if band.holds(value) else "outside"
    return ""


def value_of(text: str, kind: str, ambient_pa: float = 0.0) -> float | None:
    """Return the SI value of a written figure, or None where it is none of this kind.

    A pressure that says its own sense is turned into the sense of the kind with the pressure of the room.
    """
    try:
        read = units.read(kind, text)
    except units.Unreadable:
        return None
    if kind == "gauge pressure":
        return {"absolute": read.si - ambient_pa, "below": -read.si}.get(read.sense, read.si)
    if kind == "absolute pressure":
        return {"gauge": read.si + ambient_pa, "below": ambient_pa - read.si}.get(read.sense, read.si)
    return read.si


def first_value(reading: str, kind: str, ambient_pa: float = 0.0) -> float | None:
    """Return the first figure of a kind in a reading, SI, or None."""
    for part in PARTS.split(reading):
        lead = LEAD.match(part.strip())
        value = value_of(part.strip()[lead.end() if lead else 0 :], kind, ambient_pa)
        if value is not None:
            return value
    return None


__all__ = ["Accepted", "Band", "first_value", "judge", "of", "value_of", "written"]
