"""By how much the middle of the load comes later than the chamber, and the soak to programme for it.

The soak of the programme counts as the time that the load is wanted at temperature.
"""

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from calcs import solids, wording
from calcs.core import Estimate, Refused
from calcs.form import Problems
from calcs.heat import soak
from calcs.heat.segments import SOAK, Leg
from calcs.run.gas_checks import PLAIN_WORDS

SLABS, RODS, WALLS = ("strip", "plate"), ("bar", "wire"), ("tube",)  # forms of the load that have a known shape
AT_ONCE = 60.0  # s; a middle that comes later than the chamber by less counts as at once; ours
FULL = 1.0  # m²; load and hot face alike: the load counts as filling the chamber, which is the slow end; ours


def solid_of(row: dict, names: tuple[str, ...]) -> str | None:
    """Return the solid of the tables that a row of the load names, or None.

    Args:
        row: a row of the load, with material and grade as typed.
        names: the solids that count: solids.LOADS or solids.BRITTLE.
    """
    words = {tuple(_words(name)): name for name in names}
    spoken = [f"{row['material']} {row['grade'] or ''}", row["material"]]
    return next((words[tuple(_words(text))] for text in spoken if tuple(_words(text)) in words), None)


def _words(name: str) -> list[str]:
    """The words of a name that say what it is; stainless steel 304 is stainless 304."""
    found = [word for word in re.findall(r"[^\W_]+", name.casefold()) if word not in PLAIN_WORDS]
    return [word for word in found if word != "steel" or "stainless" not in found]


def part_of(row: dict) -> str:
    return f"{row['material']} of {_millimetres(row['thickness'])}"


def _millimetres(length_m: float) -> str:
    return wording.with_unit(wording.plain_number(round(length_m * 1e3, 2)), "mm")


def soak_needed(inputs, run) -> Estimate | None:
    """Return the soak to programme for the thickest row of the load, s, or None where it was not worked out.

    The soak of the programme counts as the time that the load is wanted at temperature, typed alone or in a table.

    Args:
        inputs: the values of the plan's form.
        run: from derive.run.

    Source:
        soak.lag_of.
    """
    lag, _ = heat_through(inputs, run)
    if lag is None:
        return None
    wanted = run.job.soak_s
    return Estimate(lag.value + wanted, lag.low + wanted, None if lag.high is None else lag.high + wanted, lag.cause)


def heat_through(inputs, run) -> tuple[Estimate | None, str]:
    """Return by how much the middle of the thickest row comes later, s, and its name; or None and what lacks.

    The surface counts as bright unless it is hot in air: that is the slow end. The load counts as filling the chamber.

    Args:
        inputs: the values of the plan's form.
        run: from derive.run.
    """
    thick = [row for row in inputs["load"] if row["thickness"] is not None]
    if not thick:
        return None, "no thickness is given"
    row = max(thick, key=lambda one: one["thickness"])
    material, lacking = _lacking(row, run)
    if lacking:
        return None, lacking
    last = judged_soak(run)
    if last is None:
        return None, "the programme has no soak at its highest temperature"
    try:
        lag = _lag(tuple(_even(s) for s in run.stretches[: last + 1]), tuple(_known(row, material, run).items()))
    except Refused as refused:
        return None, refused.refusal.heading
    except Problems:
        return None, "a segment before the soak cools by nature"
    return lag, part_of(row)


def judged_soak(run) -> int | None:
    """Return the number of the last soak at the highest temperature of the programme, or None without one."""
    found = (i for i, s in enumerate(run.stretches) if s.leg.kind == SOAK and s.leg.start_k == run.job.peak_k)
    return max(found, default=None)


@dataclass(frozen=True)
class Programmed:
    """A soak as typed, and what to programme so that the load has it: times in s, and which row of the load."""

    wanted_s: float
    lag_s: float
    what: str

    @property
    def needed_s(self) -> float:
        return self.wanted_s + self.lag_s


def programmed(run) -> Programmed | None:
    """Return the soak that is judged with the one to programme, or None where they are the same or it is not known.

    Args:
        run: from derive.run.
    """
    lag, what = heat_through(run.inputs, run)
    if lag is None or lag.value <= AT_ONCE:
        return None
    return Programmed(run.stretches[judged_soak(run)].duration_s, lag.value, what)


def _even(stretch) -> Leg:
    """The leg without the dust of unit factors, which would move the steps of the course and so its last digits.

    Where the furnace falls behind, the leg takes the time that the furnace takes.
    """
    leg, late = stretch.leg, stretch.went.late_s
    time = None if leg.duration_s is None else round(leg.duration_s + late, 6)
    return replace(leg, start_k=round(leg.start_k, 6), end_k=round(leg.end_k, 6), duration_s=time)


@lru_cache(maxsize=4)
def _lag(path: tuple, known: tuple) -> Estimate:
    """The one slow step of a plan: check and figure ask for it once each."""
    return soak.lag_of(list(path), dict(known))


def _lacking(row: dict, run) -> tuple[str | None, str]:
    """Return the solid of a row, and what lacks to work it out."""
    material = solid_of(row, solids.LOADS)
    if material is None:
        return None, f"no heat data of {row['material']}"
    if row["form"] not in (*SLABS, *RODS, *WALLS):
        return material, f"the form “{row['form']}” has no shape to reckon with"
    if _emissivity(material, run) is None:
        return material, f"no emissivity of {material}"
    if run.job.gas not in soak.GASES:
        return material, f"no heat data of {run.job.gas}"
    return material, ""


def _emissivity(material: str, run) -> float | None:
    states = ("emissivity oxidised", "emissivity bright") if run.job.is_air else (
        "emissivity bright", "emissivity oxidised")  # fmt: skip
    hot = round(run.job.peak_k, 6)
    return next((solids.value(material, s, hot) for s in states if solids.has(material, s)), None)


def _known(row: dict, material: str, run) -> dict:
    return {
        "start_temperature": round(run.job.room_k, 6), "thickness": round(row["thickness"], 9), "material": material, "gas": run.job.gas,
        "shape": soak.CYLINDER if row["form"] in RODS else soak.SLAB,
        "heated_faces": soak.ONE if row["form"] in WALLS else soak.BOTH,
        "load_emissivity": _emissivity(material, run), "load_area": FULL, "inner_area": FULL,
        "chamber_pressure": round(run.hold_pa, 3),
    }  # fmt: skip
