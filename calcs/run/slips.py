"""What a plan's values may have been meant as, where only furnace, load and room together show the slip.

A doubt stands beside its field, with texts that would put it right, and among the notes of the answer. Nothing is
changed, and the answer is that for what was typed.
"""

from dataclasses import replace

from calcs import air, slips, units, wording
from calcs.data import constant
from calcs.form import Problem, rows_of, text_and_unit
from calcs.heat import segments
from calcs.run import said

LIGHTEST = 0.1  # kg of load in a m³ of chamber; less is often a slip of the unit; ours
LONG_SOAK_S = 24 * 3600.0  # hours typed for minutes make a soak longer than this; ours
NEARLY_EMPTY = 20e5  # Pa above the room; common practice, no source
HIGH_GROUND_M = 500.0  # from here on feet taken for metres move the air pressure by more than weather does; ours


def early(inputs, job) -> dict[str, Problem]:
    """Return the doubts that need no figures of the run, by field.

    Args:
        inputs: the values of the plan's form.
        job: what the run is to do.
    """
    found = (
        _soak_temperature(inputs), _programme(inputs), _load(inputs, job), _hold(inputs), _cylinder(inputs),
        _altitude(inputs), _gas(inputs, job),
    )  # fmt: skip
    return dict(doubt for doubt in found if doubt)


def late(inputs, run) -> dict[str, Problem]:
    """Return the doubts that need the figures of the run, by field."""
    read = inputs.reads.get("soak_time")
    if read and read.si == 0:
        return {"soak_time": Problem(f"Soak {slips.said(read)}: the load does not reach the temperature.")}
    if not read or read.si <= LONG_SOAK_S:
        return {}
    field = _field("soak_time")
    offers = slips.offers(field, read, lambda other: other.si <= LONG_SOAK_S)
    gas = "" if run.job.is_air else f" The run uses {said.litres(run.gas_mol, 'up')} of gas."
    long = f"{slips.said(read)} at {said.celsius(run.job.peak_k)} is {wording.duration(read.si)}."
    return {"soak_time": _doubt(field, f"{long}{gas}", offers)}


def notes(inputs) -> tuple[str, ...]:
    """Return the doubts of the plan as notes of the answer."""
    return tuple(problem.message for problem in inputs.doubts.values())


# ---------------------------------------------------------------- values that contradict one another: problems


def other_sense(read) -> tuple[str, ...]:
    """Return the text of a pressure in the other sense: abs for gauge, gauge for abs."""
    return slips.texts([replace(read, sense="gauge" if read.sense == "absolute" else "absolute")])


def pumped(inputs, field) -> Problem:
    """Return the problem of a pumped pressure that is not below the room."""
    read = inputs.reads[field.name]
    offers = slips.offers(field, read, lambda other: other.sense == "absolute" and 0 < other.si < inputs.ambient_pa)
    return _doubt(
        field,
        f"Pressure after pumping: {slips.said(read)} is not below the room. A pumped pressure is counted from empty "
        "space: write abs.",
        offers,
    )


def not_above_the_room(inputs, field, room: str) -> Problem:
    """Return the problem of a limit of pressure that is not above the room."""
    read = inputs.reads[field.name]
    offers = other_sense(read) if read.sense == "absolute" and read.number > 0 else ()
    write = " Write gauge behind it?" if offers else ""
    return Problem(f"{field.label}: {slips.said(read)} is not above the room ({room}).{write}", offers)


def below_the_room(inputs, field, room: str) -> Problem:
    """Return the problem of a hold below the room."""
    read = inputs.reads[field.name]
    offers = other_sense(read) if read.sense == "absolute" and 0 < read.si <= _highest(inputs) else ()
    return Problem(f"{field.label}: {slips.said(read)} is below the room ({room}), where a leak draws air in.", offers)


def soak_too_cold(inputs, field) -> Problem:
    """Return the problem of a soak that is colder than the opening temperature."""
    read, coldest = inputs.reads[field.name], inputs["planned_opening_temperature"]
    offers = slips.offers(field, read, lambda other: coldest < other.si <= _hottest(inputs))
    limit = f"Soak temperature must be above the opening temperature, {said.celsius(coldest)}."
    return _doubt(field, f"{limit} You gave {slips.said(read)}.", offers)


# ---------------------------------------------------------------- doubts


def _doubt(field, words: str, offers, cell=None) -> Problem:
    return Problem(f"{words} {slips.asked(field, offers)}".strip(), slips.texts(offers), cell)


def _field(name: str):
    from calcs.run.plan import FORM  # the plan imports this module

    return FORM.by_name[name]


def _hottest(inputs) -> float:
    return inputs["maximum_temperature"] or segments.TO.ends[1]


def _highest(inputs) -> float:
    """The highest hold, Pa above the room, that the record allows."""
    limits = [inputs[name] for name in ("maximum_pressure", "relief_pressure") if inputs[name] is not None]
    return min(limits, default=inputs.ambient_pa) - inputs.ambient_pa if limits else 0.0


def _too_hot(inputs, field, read, cell=None) -> Problem | None:
    hottest, coldest = inputs["maximum_temperature"], inputs["planned_opening_temperature"]
    if hottest is None or read.si <= hottest * (1 + 1e-9):
        return None
    offers = slips.offers(field, read, lambda other: coldest < other.si <= hottest * (1 + 1e-9))
    words = f"{slips.said(read)} is above the {said.celsius(hottest)} of this furnace."
    return _doubt(field, words, offers, cell) if offers else None


def _soak_temperature(inputs):
    read = inputs.reads.get("soak_temperature")
    problem = read and _too_hot(inputs, _field("soak_temperature"), read)
    return problem and ("soak_temperature", problem)


def _programme(inputs):
    column = next(c for c in segments.COLUMNS if c.name == "to")
    for number, row in enumerate(inputs["segments"] or ()):
        read = _as_typed(inputs, "segments", number, column) if row["to"] is not None else None
        if read and (problem := _too_hot(inputs, column, read, (number, "to"))):
            return "segments", problem
    return None


def _as_typed(inputs, table: str, number: int, column):
    """Return what was typed in a cell, number and unit."""
    text, unit = text_and_unit(rows_of(_field(table), inputs.texts[table])[number].get(column.name))
    return units.read(column.kind, text, unit)


def _load(inputs, job):
    column = next(c for c in _field("load").columns if c.name == "mass")
    most = constant("run.heaviest_density") * inputs["free_volume"]
    volume = said.volume(inputs["free_volume"])
    if job.load_kg < LIGHTEST * inputs["free_volume"]:
        return "load", Problem(f"{said.mass(job.load_kg)} in {volume}: is the mass right?", cell=(0, "mass"))
    if job.load_kg <= most:
        return None
    number = max(range(len(inputs["load"])), key=lambda i: inputs["load"][i]["mass"] * inputs["load"][i]["count"])
    read, count = _as_typed(inputs, "load", number, column), inputs["load"][number]["count"]
    offers = slips.offers(column, read, lambda other: 0 < other.si * count <= most)
    words = f"{said.mass(job.load_kg)} in {volume} is heavier than the densest metal, which would weigh {said.mass(round(most))}."
    return "load", _doubt(column, words, offers, (number, "mass"))


def _hold(inputs):
    """A hold typed as gauge that only fits as absolute."""
    field, read = _field("set_point"), inputs.reads["set_point"]
    if read.sense != "gauge" or read.si <= _highest(inputs):
        return None
    offers = slips.offers(
        field, read, lambda other: other.sense == "absolute" and 0 < other.si - inputs.ambient_pa <= _highest(inputs)
    )
    words = f"{slips.said(read)} is above what relief and record allow."
    return ("set_point", _doubt(field, words, offers)) if offers else None


def _cylinder(inputs):
    read = inputs.reads["cylinder_pressure"]
    gauge = inputs["cylinder_pressure"] - inputs.ambient_pa
    if gauge >= NEARLY_EMPTY:
        return None
    field = _field("cylinder_pressure")
    full = field.accepted.ends[1]
    offers = slips.offers(field, read, lambda o: o.sense == read.sense and NEARLY_EMPTY <= o.si <= full)
    words = f"{slips.said(read)} is {said.bars(gauge)} gauge: the cylinder is nearly empty."
    return "cylinder_pressure", _doubt(field, words, offers)


def _altitude(inputs):
    """Feet typed as metres move the pressure of the air; a barometer would have shown it."""
    read = inputs.reads.get("altitude")
    if not read or inputs["ambient_pressure"] is not None or read.unit.name != "m" or read.si < HIGH_GROUND_M:
        return None
    feet = replace(read, unit=units.unit_of("length", "ft"))
    here, there = (said.mbar(air.air_pressure(height)) for height in (read.si, feet.si))
    words = f"At {slips.said(read)} the air has about {here}; at {slips.said(feet)} it has {there}. Is {slips.said(feet)} meant?"
    return "altitude", Problem(words, slips.texts([feet]))


def _gas(inputs, job):
    if "carbon dioxide" in job.shares:
        return "gas", Problem(
            "Carbon dioxide is not inert: it oxidises hot iron, and over hot carbon it becomes carbon monoxide."
        )
    limit = inputs["target_oxygen"]
    air_oxygen = constant("general.oxygen_in_air")
    if job.is_air and limit is not None and limit < air_oxygen:
        share, most = said.percent(air_oxygen), inputs.said("target_oxygen")
        return "gas", Problem(f"Air is not inert: it holds {share} oxygen, and the limit is {most}.")
    return None
