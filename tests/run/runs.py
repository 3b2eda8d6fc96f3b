"""Runs that the tests of the plan share: the example, and the three invented furnaces."""

import tomllib
from pathlib import Path

import calcs

EXAMPLE = calcs.example("plan")
FURNACES = tomllib.loads((Path(__file__).parent / "furnaces.toml").read_text(encoding="utf-8"))


def plan(**changed):
    """Return the answer to the example with some inputs changed; "" empties one."""
    return calcs.work_out("plan", EXAMPLE | changed)


def on(furnace: str, **changed):
    """Return the answer for one of the invented furnaces, the other inputs as in the example."""
    return calcs.work_out("plan", EXAMPLE | FURNACES[furnace] | changed)


def segments(text: str) -> dict:
    """Return the inputs that give the programme as a table instead of ramp and soak."""
    return {"segments": text, "soak_temperature": "", "soak_time": "", "ramp": ""}


def mixture(text: str, premixed: str = "yes") -> dict:
    return {"gas": "mixture", "mixture": text, "premixed": premixed}


def load(**cells) -> list[dict]:
    """Return the example's load with some cells changed."""
    return [EXAMPLE["load"][0] | cells]


def problems(**changed) -> dict:
    """Return the problems of the example with some inputs changed."""
    try:
        plan(**changed)
    except calcs.Problems as trouble:
        return trouble.messages
    return {}


def verdicts(answer) -> dict[str, str]:
    return {name: check["verdict"] for name, check in answer.checks.items()}


def stops(answer) -> set[str]:
    return {name for name, verdict in verdicts(answer).items() if verdict == "outside"}


def status_of(answer) -> str:
    return answer.figures["status"].value
