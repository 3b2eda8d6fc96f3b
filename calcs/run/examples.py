"""The worked examples: runs of the invented workshop, each told in stages from the wish to the allowed run.

The inputs of every stage stand once, in data/run/examples/<name>.toml, and only what differs from the stage before.
"""

from dataclasses import dataclass
from pathlib import Path

import calcs
from calcs import data, furnace
from calcs.core import Answer

PLAN = "plan"
FOLDER = "run/examples"


@dataclass(frozen=True)
class Stage:
    """One stage of a run, as typed.

    Args of the fields:
        run: name of the run, as its file.
        name: name of the stage.
        calculator: whose inputs these are.
        furnace: the furnace of the stage, such as "HS-1".
        inputs: everything typed, complete.
        changed: what differs from the stage before; for the first stage from the example of the calculator.
    """

    run: str
    name: str
    calculator: str
    furnace: str
    inputs: dict
    changed: dict

    @property
    def answer(self) -> Answer:
        """What the calculator says to the stage; worked out anew each time."""
        return calcs.work_out(self.calculator, self.inputs)


def names() -> tuple[str, ...]:
    """Return the names of all runs, as their files."""
    return tuple(sorted(path.stem for path in (Path(data.HERE) / FOLDER).glob("*.toml")))


def title(name: str) -> str:
    """Return what a run is called.

    Raises:
        LookupError: there is no such run.
    """
    return _file(name)["title"]


def stages(name: str) -> tuple[Stage, ...]:
    """Return the stages of a run in order.

    Raises:
        LookupError: there is no such run.
    """
    found: list[Stage] = []
    for row in _file(name)["stage"]:
        calculator = row.get("calculator", PLAN)
        before = next((s for s in reversed(found) if s.calculator == calculator), None)
        base = before.inputs if before else calcs.example(calculator, row.get("mode", ""))
        where = row.get("furnace") or (found[-1].furnace if found else furnace.EXAMPLE["furnace_id"])
        there = before.furnace if before else furnace.EXAMPLE["furnace_id"]
        inputs = base | (record(where) if where != there else {}) | row["inputs"]
        found.append(Stage(name, row["name"], calculator, where, inputs, row["inputs"]))
    return tuple(found)


def stage(name: str, wanted: str) -> Stage:
    """Return one stage of a run.

    Raises:
        LookupError: there is no such run, or it has no such stage.
    """
    for found in stages(name):
        if found.name == wanted:
            return found
    raise LookupError(f"the run {name} has no stage “{wanted}”")


def record(name: str) -> dict:
    """Return the furnace record of the workshop under the names that the plan asks for; "" where it says nothing.

    Raises:
        LookupError: the workshop has no such furnace.
    """
    asked = calcs.calculator(PLAN).FORM.by_name
    for known in (furnace.EXAMPLE, data.table("run/second_furnace.toml")["furnace"]):
        if known["furnace_id"] == name:
            names = [key for key in asked if key in furnace.EXAMPLE]  # all that a record can say
            return {key: known.get(key, "") for key in names}
    raise LookupError(f"the workshop has no furnace {name}")


def _file(name: str) -> dict:
    if name not in names():
        raise LookupError(f"there is no run {name}; there are {', '.join(names())}")
    return data.table(f"{FOLDER}/{name}.toml")
