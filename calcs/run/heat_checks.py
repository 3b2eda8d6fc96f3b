"""Checks of a plan that the heat calculators answer: ramp against a brittle load, heat-through, the sensor.

Each function asks the calculator that owns the physics. The words stand in data/run/heat_checks.toml.
"""

import re
from dataclasses import replace
from functools import lru_cache

from calcs import solids, wording
from calcs.core import Estimate, Refused, worst
from calcs.data import constant
from calcs.form import Problems
from calcs.heat import programme, soak, stress, thermocouple
from calcs.heat.segments import SOAK, Leg
from calcs.run import said
from calcs.run.found import Found
from calcs.run.gas_checks import PLAIN_WORDS
from calcs.run.steps import gas_name

SLABS, RODS, WALLS = ("strip", "plate"), ("bar", "wire"), ("tube",)  # forms of the load that have a known shape
SENSOR_CLASS = "2"  # the common class of a sensor that nobody named; common practice, no source
MELTS = "the load melts or softens before that"  # what the calculator says where the load does not stay solid
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


# ---------------------------------------------------------------- ramp against the load


def brittle_limit(inputs, direction: str) -> tuple[float, str] | None:
    """Return the least ramp that the brittle rows of the load survive, K/s, and which row it is, or None.

    Args:
        inputs: the values of the plan's form.
        direction: stress.HEATING or stress.COOLING.

    Source:
        stress.ramp_survived; a form without a known shape counts as a slab heated from one face.
    """
    found = []
    for row in inputs["load"]:
        material = solid_of(row, solids.BRITTLE)
        if material is None or row["thickness"] is None:
            continue
        shape = stress.CYLINDER if row["form"] in RODS else stress.SLAB
        depth = row["thickness"] / 2 if row["form"] in (*SLABS, *RODS) else row["thickness"]
        found.append((stress.ramp_survived(material, shape, depth, direction), _part(row)))
    return min(found, default=None)


def _part(row: dict) -> str:
    return f"{row['material']} of {_millimetres(row['thickness'])}"


def _millimetres(length_m: float) -> str:
    return wording.with_unit(wording.plain_number(round(length_m * 1e3, 2)), "mm")


def load_limit(inputs, direction: str) -> tuple[float, str, bool] | None:
    """Return the ramp that the load survives, K/s, what survives it, and whether somebody typed it; or None.

    A typed limit wins over one that is worked out.

    Args:
        inputs: the values of the plan's form.
        direction: stress.HEATING or stress.COOLING.
    """
    if inputs["load_ramp_limit"] is not None:
        return inputs["load_ramp_limit"], "the load", True
    worked_out = brittle_limit(inputs, direction)
    return None if worked_out is None else (*worked_out, False)


def rmp_1(inputs, run) -> Found:
    found = load_limit(inputs, stress.HEATING)
    if found is None:
        return Found(values={"said": "No limit is given; the person who asked for the run answers for the ramp."})
    limit, what, typed = found
    heating = [s.leg for s in run.stretches if s.leg.change_k > 0]
    if not heating:
        return Found(values={"said": "Nothing is heated."})
    verdict = programme.check_ramps(heating, limit, "load", programme.CLOSE_TO_LOAD).verdict
    steepest = max(leg.rate_k_per_s or 0.0 for leg in heating)
    ramp, shown = said.ramp(steepest, "up"), said.ramp(limit, "down")
    values = {"ramp": ramp, "limit": shown, "what": what, "said": f"{ramp}; {what} survives {shown}."}
    if verdict != "outside":
        return Found("within", ramp, shown, values)
    factor = float(stress.FORM.by_name["safety_factor"].default) / constant("stress.least_reserve")
    mild = not typed and steepest <= limit * factor  # the calculator calls that close: strength is left, not enough
    return Found("close" if mild else "outside", ramp, shown, values)


# ---------------------------------------------------------------- soak against heat-through


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
    path = [s.leg for s in run.stretches]
    last = max((i for i, leg in enumerate(path) if leg.kind == SOAK and leg.start_k == run.job.peak_k), default=None)
    if last is None:
        return None, "the programme has no soak at its highest temperature"
    try:
        lag = _lag(tuple(_even(leg) for leg in path[: last + 1]), tuple(_known(row, material, run).items()))
    except Refused as refused:
        return None, refused.refusal.heading
    except Problems:
        return None, "a segment before the soak cools by nature"
    return lag, _part(row)


def _even(leg: Leg) -> Leg:
    """The leg without the dust of unit factors, which would move the steps of the course and so its last digits."""
    time = None if leg.duration_s is None else round(leg.duration_s, 6)
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


def sok_1(inputs, run) -> Found:
    lag, what = heat_through(inputs, run)
    if lag is None:
        words = f"Not worked out: {what}."
        melts = what == MELTS
        return Found("close" if melts else "within", values={"said": words, "remedy": "Check material and temperature"})
    needed, soak_ = said.time(lag.value + run.job.soak_s, "up"), said.time(run.job.soak_s)
    if lag.value <= AT_ONCE:
        words = f"Middle of {what} within {_band()} of the chamber at once; {soak_} is enough."
        return Found("within", needed, soak_, {"said": words})
    late = "unknown" if lag.high is None else said.time(lag.high, "up")
    words = f"Middle of {what} comes {said.time(lag.value, 'up')} after the chamber (at worst {late}); soak {soak_}."
    remedy = f"Programme {needed} for {soak_} at temperature, or count the soak by a load thermocouple"
    return Found("close", needed, soak_, {"said": words, "remedy": remedy})


def _band() -> str:
    return soak.FORM.by_name["tolerance"].default


# ---------------------------------------------------------------- the sensor


def tmp_3(inputs, run) -> Found:
    kind, peak = inputs["sensor"].removeprefix("type "), run.job.peak_k
    values = {"sensor": _capital(inputs["sensor"]), "temperature": said.celsius(peak), "gas": gas_name(run.job)}
    if kind not in thermocouple.TYPES:
        return Found("cannot_say", values=values | {"said": f"{values['sensor']}: its range is not in the tables here"})
    end = said.celsius(thermocouple.span(kind)[1])
    if peak > thermocouple.span(kind)[1] + 1e-6:
        words = f"{values['sensor']} is defined up to {end}; {values['temperature']} is planned"
        return Found("outside", values["temperature"], end, values | {"said": words})
    return _in_gas(kind, run, values, end)


def _in_gas(kind: str, run, values: dict, end: str) -> Found:
    """The sensor in its gases, and its class: a bare wire near a limit is a caution, for most are sheathed."""
    places = [(gas, run.job.peak_k) for gas in run.job.shares]
    if run.job.pumped and run.job.pumped_k > run.job.room_k:
        places.append((thermocouple.VACUUM, run.job.pumped_k))
    found = [(gas, kelvin, thermocouple.suits_gas(kind, gas, kelvin)) for gas, kelvin in places]
    verdicts = ["close" if s.verdict == "outside" and not s.spoils else s.verdict for _, _, s in found]
    verdict = worst(verdicts)
    if verdict != "within":
        gas, kelvin, suits = found[verdicts.index(verdict)]
        words = f"Bare {values['sensor'].casefold()[:5]}{kind} in {gas} at {said.celsius(kelvin)}: {_short(suits.why)}"
        if suits.verdict == "cannot_say":
            words = _capital(suits.why)
        return Found(verdict, values["temperature"], end, values | {"said": words})
    try:
        off = thermocouple.class_tolerance(kind, SENSOR_CLASS, run.job.peak_k)
    except Refused as refused:
        return Found("within", values["temperature"], end, values | {"said": f"Suits; {refused.refusal.why}"})
    words = f"{values['sensor']} suits {values['gas']}; new wire of class {SENSOR_CLASS}: ±{said.kelvins(off)}."
    return Found("within", values["temperature"], end, values | {"said": words})


def _short(why: str) -> str:
    """The first part of a reason, which is what a card has room for; the page says all."""
    return why.split(":")[0].split(" (")[0]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


LATE = (("SOK-1", sok_1), ("TMP-3", tmp_3))
