"""Calculators for sealed-chamber furnaces: vacuum, inert atmosphere, temperature programmes, and the run plan.

catalogue()              every calculator with its question, inputs and figures
example("purge")         typed inputs of the invented workshop
work_out("purge", {…})   the answer to typed inputs
"""

from importlib import import_module

__version__ = "0.1.0"

CALCULATORS = {  # name: room; the order is that of the job
    "pressure": "vacuum",
    "line": "vacuum",
    "pumpdown": "vacuum",
    "rise-test": "vacuum",
    "gauge-gas": "vacuum",
    "dry-out": "vacuum",
    "flow": "atmosphere",
    "purge": "atmosphere",
    "backfill": "atmosphere",
    "hold": "atmosphere",
    "residual": "atmosphere",
    "dew-point": "atmosphere",
    "cylinder": "atmosphere",
    "oxide": "atmosphere",
    "programme": "heat",
    "follow": "heat",
    "soak": "heat",
    "stress": "heat",
    "cooling": "heat",
    "thermocouple": "heat",
    "uniformity": "heat",
    "tuning": "heat",
    "equivalence": "heat",
    "vapour": "materials",
    "fit": "materials",
    "vessel": "materials",
    "room-oxygen": "safety",
    "overpressure": "safety",
    "flammable": "safety",
    "plan": "run",
    "record": "run",
    "log": "run",
}
FORMS = {"furnace": "run"}  # made and drawn like calculators, but they keep values and answer no question of physics
ROOMS = ("vacuum", "atmosphere", "heat", "materials", "safety", "run")


def calculator(name: str):
    """Return the module of a calculator: its PAGE, FORM, FIGURES, READ_OFF and answer.

    Raises:
        LookupError: there is no calculator of that name.
    """
    return import_module(f"calcs.{room(name)}.{name.replace('-', '_')}")


def room(name: str) -> str:
    """Return the room in which a calculator or a form stands.

    Raises:
        LookupError: there is no calculator of that name.
    """
    if name not in CALCULATORS and name not in FORMS:
        raise LookupError(f"there is no calculator named “{name}”; there are {', '.join(CALCULATORS)}")
    return CALCULATORS.get(name) or FORMS[name]


def work_out(name: str, typed: dict):
    """Return the answer of a calculator to inputs as typed.

    Args:
        name: a name of the catalogue.
        typed: input name to text with its unit; a list of dicts of text for a table.

    Raises:
        LookupError: there is no calculator of that name.
        Problems: something cannot be read, is missing, or lies outside its range; a message per field.
    """
    from calcs.core import Answer, Refused, check_finite

    module = calculator(name)
    inputs = None
    try:
        inputs = module.FORM.read(typed)
        answer = module.answer(inputs)
    except Refused as refused:
        answer = Answer(refusal=refused.refusal)
    answer.calculator, answer.inputs = name, inputs
    if inputs is not None:
        answer.notes = (*inputs.notes, *answer.notes)
    return check_finite(answer)


def example(name: str, mode: str = "") -> dict:
    """Return the inputs of the invented workshop for a calculator, as typed."""
    return calculator(name).FORM.example(mode)


def catalogue() -> list[dict]:
    """Return every calculator: name, page id, room, question, modes, inputs and figures, as plain data."""
    return [_entry(name) for name in CALCULATORS]


def _entry(name: str) -> dict:
    module = calculator(name)
    return {
        "name": name,
        "page": module.PAGE,
        "room": CALCULATORS[name],
        "question": module.FORM.question,
        "modes": list(module.FORM.modes),
        "fields": [_field_entry(f) for f in module.FORM.fields],
        "figures": [
            {"name": s.name, "label": s.label, "kind": s.kind, "units": list(s.unit_names), "round": s.round,
             "modes": list(s.modes)}
            for s in module.FIGURES
        ],
    }  # fmt: skip


def _field_entry(f) -> dict:
    need = "required" if f.required else "optional" if f.default is None else f"default {f.default}"
    return {
        "name": f.name,
        "label": f.label,
        "kind": f.kind,
        "units": [unit.name for unit in f.menu_units],
        "need": need,
        "modes": list(f.modes),
        "choices": list(f.choices),
        "example": f.example,
        "accepted": f.accepted.said if f.accepted else "",
    }


def __getattr__(name: str):
    if name == "Problems":  # here so that `import calcs` stays quick in the browser
        from calcs.form import Problems

        return Problems
    raise AttributeError(name)
