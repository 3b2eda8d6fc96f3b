"""Checks of a plan on what leaves the load: vapour of its metals, and binder that burns out.

Each function asks the calculator that owns the physics. The words stand in data/run/load_checks.toml; what the
materials of the trade hold stands in data/run/volatile_materials.csv.
"""

import re
from dataclasses import dataclass
from functools import cache

from calcs import wording
from calcs.core import worst
from calcs.data import constant, number_or_none, rows
from calcs.materials import evaporation as ev
from calcs.materials import fit_rules, vapour
from calcs.run import said
from calcs.run.found import Found
from calcs.safety import flammable

NO_MATTER = "no matter"  # the group of elements that soil nothing
# An element beside one of these words is a compound, and evaporates in another way or not at all.
COMPOUNDS = (
    "oxide", "carbide", "nitride", "boride", "silicide", "carbonate", "hydroxide", "stearate", "titanate", "zirconate",
    "silicate", "aluminate", "phosphate", "niobate", "ferrite", "sulphide", "sulfide", "sulphate", "sulfate",
    "selenide", "telluride", "arsenide", "phosphide", "chloride", "fluoride", "bromide", "iodide", "borate",
)  # fmt: skip
ROOM = "room"
ASK = "Ask the safety officer for the burn-out programme"
MARGIN = 1 + 1e-9  # a ramp at its limit is within it, whatever the last digit of a unit factor


# ---------------------------------------------------------------- what evaporates


@dataclass(frozen=True)
class Part:
    """One thing in the load that can evaporate: the material that holds it, and its element or its name without data."""

    material: str
    symbol: str = ""
    no_equation: str = ""


@dataclass(frozen=True)
class Place:
    """Where the load is hot: temperature K, chamber pressure Pa absolute, and the gas in words."""

    kelvin: float
    total_pa: float
    gas: str

    @property
    def words(self) -> str:
        where = f"under vacuum of {said.mbar(self.total_pa)}" if self.gas == ev.VACUUM else f"in {self.gas}"
        return f"{said.celsius(self.kelvin)} {where}"


@cache
def _words() -> dict[str, dict]:
    return {row["word"].casefold(): row for row in rows("run/volatile_materials.csv")}


@cache
def _elements() -> dict[str, str]:
    """Names of the elements that soil or harm, to their symbols."""
    return {one.name: one.symbol for one in ev.elements().values() if one.group != NO_MATTER}


@cache
def _pattern() -> re.Pattern:
    def listed(names) -> str:
        return "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))

    alone = rf"(?![ -]\w*(?:{'|'.join(COMPOUNDS)}))"
    return re.compile(rf"\b(?:(?P<word>{listed(_words())})|(?P<element>{listed(_elements())}){alone})s?\b")


def parts_of(inputs, peak_k: float) -> list[Part]:
    """Return what the load and all that it touches hold of elements that soil or harm, as their names say.

    Args:
        inputs: the values of the plan's form.
        peak_k: highest temperature of the run, K.

    Source:
        data/run/volatile_materials.csv; names of elements from calcs.materials.evaporation.
    """
    found: dict[Part, None] = {}
    for row in inputs["load"]:
        typed = [row["material"], row["grade"], row["touches"]]
        known = [fit_rules.known_name(name) for name in typed if name]
        for name in dict.fromkeys(text.casefold() for text in (*typed, *known) if text):
            found |= dict.fromkeys(_parts_in(re.sub(r"\b[\w]+-free(?! solder)", "", name), peak_k))
    return list(found)


def _parts_in(name: str, peak_k: float):
    for match in _pattern().finditer(name):
        if match["element"]:
            yield Part(match["element"], _elements()[match["element"]])
            continue
        row = _words()[match["word"]]
        begins = number_or_none(row["from"])
        yield from (Part(row["word"], symbol) for symbol in row["elements"].split(";") if symbol)
        if row["no_equation"] and (begins is None or peak_k >= begins + constant("general.zero_celsius")):
            yield Part(row["word"], no_equation=row["no_equation"])


def places(inputs, job) -> list[Place]:
    """Return where the load is hottest: in the gas at the lowest pressure of the programme, and while pumped.

    Args:
        inputs: the values of the plan's form.
        job: from derive.job.
    """
    held = [inputs.ambient_pa + leg.gauge_pa for leg in job.path if leg.gauge_pa is not None]
    found = [Place(job.peak_k, min([inputs["set_point"], *held]), job.gas)]
    if job.pumped:
        found.append(Place(job.pumped_k, inputs["pumped_pressure"], ev.VACUUM))
    return found


def _pressure(element: ev.Element, kelvin: float) -> tuple[float, str]:
    """The vapour pressure of the pure element, Pa; outside its equations the nearest one, as a bound."""
    if any(line.low <= kelvin <= line.high for line in element.lines):
        return ev.vapour_pressure(element.symbol, kelvin), ""
    below = [line for line in element.lines if line.high < kelvin]
    if below:
        line = max(below, key=lambda one: one.high)
        return line.pressure(line.high), "at least "
    line = min(element.lines, key=lambda one: one.low)
    return line.pressure(line.low), "at most "


def _judged(part: Part, place: Place, inputs) -> tuple[str, float, Found]:
    """Verdict, how near the limit, and the words for one element in one place."""
    element = ev.elements()[part.symbol]
    pure, bound = _pressure(element, place.kelvin)
    limit, verdict = vapour.limit_in_chamber(place.total_pa), vapour.judge_element(element, pure, place.total_pa)
    ends = {"banned": "it blocks outlet and pump", "dirty": "it soils cold parts"}[element.group]
    if pure >= place.total_pa and place.gas != ev.VACUUM:
        verdict, ends = "outside", "it boils"
    elif verdict != "within" and element.hurts and inputs["exhaust"] == ROOM:
        verdict, ends = "outside", "toxic fume, and the exhaust ends in the room"
    if (bound == "at least " and verdict == "within") or (bound == "at most " and verdict != "within"):
        verdict = "cannot_say"
    shown = f"{bound}{_pascal(pure, 'up')}"
    named = element.name.capitalize() + ("" if part.material == element.name else f" of {part.material}")
    words = f"{named}: {shown} at {place.words}, limit {_pascal(limit)}"
    words += "" if verdict == "within" else f": {ends}"
    return verdict, pure / limit, Found(verdict, shown, _pascal(limit), {"said": words})


def _pascal(pressure: float, towards: str = "near") -> str:
    if pressure < constant("vapour.negligible"):
        return "below 10⁻¹² Pa"
    return wording.with_unit(wording.plain_number(float(wording.rounded_to(pressure, 2, towards))), "Pa")


def load_4(inputs, job) -> Found:
    parts = parts_of(inputs, job.peak_k)
    banned = [part for part in parts if part.no_equation]
    if banned:
        what = wording.listed(dict.fromkeys(part.no_equation for part in banned))
        named = wording.listed(dict.fromkeys(f"“{part.material}”" for part in banned))
        words = f"{named}: {what}, kept out of a shared chamber; no equation of the vapour here"
        return Found("outside", what, "none", {"said": words})
    judged = [_judged(part, place, inputs) for part in parts if part.symbol for place in places(inputs, job)]
    overall = worst([verdict for verdict, _, _ in judged]) if judged else "within"
    harms = any(ev.elements()[part.symbol].hurts or ev.elements()[part.symbol].group == "banned" for part in parts)
    if inputs["volatile"] and not harms and overall != "outside":
        words = "A volatile or toxic constituent is typed, and no name of the load says which"
        return Found("cannot_say", values={"said": words})
    if not judged:
        return Found(judged=False, values={"said": "No name of the load says of anything that evaporates"})
    return max((one for one in judged if one[0] == overall), key=lambda one: one[1])[2]


def gives_toxic_fume(inputs, job) -> bool:
    """Return whether an element that hurts people leaves the load near or above its limit.

    Args:
        inputs: the values of the plan's form.
        job: from derive.job.

    Source:
        the same verdicts as LOAD-4.
    """
    parts = [part for part in parts_of(inputs, job.peak_k) if part.symbol and ev.elements()[part.symbol].hurts]
    return any(_judged(part, place, inputs)[0] != "within" for part in parts for place in places(inputs, job))


# ---------------------------------------------------------------- binder in air


def _ramps_in_band(job) -> list:
    """The heating legs that cross the temperatures at which binder leaves."""
    low, high = constant("burn_out.low"), constant("burn_out.high")
    return [leg for leg in job.path if leg.change_k > 0 and leg.end_k > low and leg.start_k < high]


def load_3b(inputs, job) -> Found:
    binder = inputs["binder_share"] * job.load_kg
    if not binder:
        return Found(values={"said": "No binder to burn out."})
    if not job.is_air:
        return Found(values={"said": "Not in air: see LOAD-3."})
    ramps = _ramps_in_band(job)
    if not ramps:
        words = f"The run stays below {said.celsius(constant('burn_out.low'))}: what leaves there is not reckoned."
        return Found("cannot_say", values={"said": words, "remedy": ASK})
    flows = [leg.flow_mol_per_s if leg.flow_mol_per_s is not None else inputs["flow"] for leg in ramps]
    if None in flows or min(flows) <= 0:
        words = f"Without an air flow nothing can be said on the burn-out of {said.mass(binder)} of binder."
        return Found("cannot_say", values={"said": words, "remedy": f"Type the air flow. {ASK}"})
    return _release(binder, max(leg.rate_k_per_s for leg in ramps), min(flows))


def _release(binder: float, ramp: float, air: float) -> Found:
    """The peak of the release against what the air carries, hot and cold."""
    peak, cold, hot = flammable.burn_out_peak(binder, ramp), *(flammable.vapour_carried(air, h) for h in (False, True))
    verdict = "outside" if peak > cold * MARGIN else "close" if peak > hot * MARGIN else "within"
    limit, place = (cold, "cold") if verdict == "outside" else (hot, "hot")
    values = {
        "rate": _grams(peak, "up"), "needed": said.flow(air * peak / limit, "up"), "air": said.flow(air),
        "place": place, "mass": said.mass(binder), "remedy": _slower(ramp / peak, cold, hot, verdict),
        "said": f"{_grams(peak, 'up')} at the peak; the air carries {_grams(hot, 'down')} hot, "
                f"{_grams(cold, 'down')} cold.",
    }  # fmt: skip
    return Found(verdict, values["rate"], _grams(limit, "down"), values)


def _grams(kg_per_s: float, towards: str) -> str:
    return wording.with_unit(wording.number(kg_per_s * 6e4, 2, towards), "g/min")


def _slower(ramp_for_one: float, cold: float, hot: float, verdict: str) -> str:
    """What to do: the ramp, K/s for each kg/s, that keeps to both limits."""
    least, most = (said.ramp(ramp_for_one * limit, "down") for limit in (hot, cold))
    ramps = f"{most} (cold), better {least} (hot chamber)" if verdict == "outside" else least
    low, high = (said.celsius(constant(f"burn_out.{end}")) for end in ("low", "high"))
    share = [f"{wording.plain_number(constant(f'burn_out.{p}_limit') * 1e3)} g/m³ {p}" for p in ("cold", "hot")]
    return (
        f"Slow the ramp from {low} to {high} to {ramps}, or take less load or more air. Reckoned with "
        f"{wording.listed(share)}, and a peak of {wording.plain_number(constant('burn_out.peaking'))} times the mean"
    )
