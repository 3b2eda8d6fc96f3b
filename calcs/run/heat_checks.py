"""Checks of a plan that the heat calculators answer: ramp against a brittle load, heat-through, the sensor.

Each function asks the calculator that owns the physics. The words stand in data/run/heat_checks.toml.
"""

from calcs import solids
from calcs.core import Refused, worst
from calcs.data import constant
from calcs.heat import programme, soak, stress, thermocouple
from calcs.run import said
from calcs.run.found import Found
from calcs.run.heat_through import AT_ONCE, RODS, SLABS, heat_through, part_of, solid_of
from calcs.run.steps import gas_name

SENSOR_CLASS = "2"  # the common class of a sensor that nobody named; common practice, no source
MELTS = "the load melts or softens before that"  # what the calculator says where the load does not stay solid


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
        found.append((stress.ramp_survived(material, shape, depth, direction), part_of(row)))
    return min(found, default=None)


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
