"""Who asks what and who gives what: page, question, input names and figure names of every calculator.

In the browser this comes from one small file that the build writes, so that a first answer does not have to load
every calculator to say where its figures can be used.
"""

import json
from functools import cache
from pathlib import Path

import calcs

# One name, two substances: water in the one, metal in the other. Neither may be offered for the other.
APART = {"vapour_pressure": {"dew-point", "vapour"}}
WRITTEN = Path(__file__).with_name("index.json")  # only in the browser's archive


@cache
def index() -> dict[str, dict]:
    """Return {calculator: {page, question, room, inputs, figures}}."""
    return json.loads(WRITTEN.read_text(encoding="utf-8")) if WRITTEN.is_file() else made()


def made() -> dict[str, dict]:
    """Return the index, made from the calculators themselves."""
    found = {}
    for name, room in calcs.CALCULATORS.items():
        module = calcs.calculator(name)
        found[name] = {
            "page": module.PAGE,
            "question": module.FORM.question,
            "room": room,
            "inputs": [f.name for f in module.FORM.fields],
            "figures": [s.name for s in module.FIGURES],
        }
    return found


@cache
def feeds(name: str, figure: str) -> tuple[str, ...]:
    """Return the other calculators that have an input with the name of a figure."""
    found = (other for other, entry in index().items() if other != name and figure in entry["inputs"])
    return tuple(other for other in found if {name, other} != APART.get(figure))
