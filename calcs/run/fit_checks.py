"""The checks of a plan on what may touch what, in which gas, how hot: element, wall, sensor, load and its partners.

The rows are those of `calcs.materials.fit`; nothing is decided here but which pairs a run puts together.
"""

from calcs import wording
from calcs.core import worst
from calcs.materials import fit_rules
from calcs.run import said
from calcs.run.found import Found

PRE_OXIDISED, CLASSIFIED = "pre-oxidised", "classified"  # words of conditions that the furnace record answers
NAMES = ("material", "touches")  # columns of the load that name a material
SHAPES = frozenset(
    "strip plate sheet bar rod wire tube foil block piece part shell coupon screw ring disc tray setter crucible boat "
    "sample".split()
)  # words that say nothing about what a thing is made of
IN_VACUUM = {fit_rules.VACUUM: 1.0}


def _answers(inputs, run) -> dict[str, bool]:
    """Return the conditions that the furnace record answers: elements oxidised before, and the class of the fibre.

    The highest chamber temperature of the record is the maker's word that the lining bears it.
    """
    found = {}
    lining = inputs["maximum_temperature"] is not None and run.job.peak_k <= inputs["maximum_temperature"] + 1e-6
    for row in fit_rules.table():
        if PRE_OXIDISED in row.condition and inputs["elements_pre_oxidised"] is not None:
            if row.condition == PRE_OXIDISED or not inputs["elements_pre_oxidised"]:
                found[row.id] = inputs["elements_pre_oxidised"]
        elif row.kind == "wall-gas" and row.verdict == "within" and CLASSIFIED in row.condition and lining:
            found[row.id] = True
    return found


def _named(row: dict) -> dict:
    """The row with the shape taken off names that the table does not know: carbon rods are carbon."""
    return row | {part: _without_shape(row[part], row["grade"] if part == "material" else "") for part in NAMES}


def _without_shape(name: str | None, grade: str | None) -> str | None:
    if not name or fit_rules.known_name(name, grade or "") or fit_rules.known_name(name):
        return name
    bare = " ".join(word for word in name.split() if word.casefold().removesuffix("s") not in SHAPES)
    return bare if bare and fit_rules.known_name(bare) else name


def pairs_of(inputs, run) -> list[fit_rules.Pair]:
    """Return every pair of a run: at its highest temperature in the gas, and at its highest while pumped.

    While pumped the wall is left to VAC-1, which holds the limit of this furnace.

    Args:
        inputs: the values of the plan's form.
        run: the run worked out.
    """
    job, difference, answers = run.job, inputs["element_difference"], _answers(inputs, run)
    left = None if run.floor is None else run.floor + (run.left_by_cycles or 0.0)
    element, sensor, load = inputs["element_material"], inputs["sensor"], [_named(row) for row in inputs["load"]]
    found = fit_rules.pairs(
        job.shares, job.peak_k, job.peak_k + difference, element, inputs["insulation_material"], sensor, load,
        pressure_pa=run.hold_pa, oxygen=left, built=inputs["built_for_flammable_gas"], premixed=inputs["premixed"],
        answers=answers,
    )  # fmt: skip
    if job.pumped and job.pumped_k > job.room_k:  # cold, the pump does nothing to materials that other checks miss
        found += fit_rules.pairs(IN_VACUUM, job.pumped_k, job.pumped_k + difference, element, None, sensor, load,
                                 pressure_pa=inputs["pumped_pressure"], answers=answers)  # fmt: skip
    return [pair for pair in found if pair.b != fit_rules.PARTNER["general"]]


def _found(pairs: list, verdict: str, gas: str) -> Found:
    """Return what the pairs of one verdict come to, the first of them named."""
    bad = [pair for pair in pairs if pair.verdict == verdict]
    if not bad:
        return Found(values={"pairs": wording.count(len(pairs), "pair")})
    first, more = bad[0], len(bad) - 1
    values = {
        "a": first.a, "b": first.b, "reason": first.reason, "row": first.row,
        "temperature": wording.with_unit(wording.plain_number(first.celsius), "°C"), "gas": gas,
        "more": f" Likewise {wording.count(more, 'more pair')}." if more else "",
    }  # fmt: skip
    return Found(verdict, f"row {first.row}", "", values)


def _is_element(pair, inputs) -> bool:
    return pair.a == f"{inputs['element_material']} element" and pair.b != inputs["insulation_material"]


def tmp_2(inputs, run) -> Found:
    """Element in this gas at its own temperature."""
    pairs = [pair for pair in pairs_of(inputs, run) if _is_element(pair, inputs)]
    found = _found(pairs, worst(pair.verdict for pair in pairs), run.job.gas)
    element_k = run.job.peak_k + inputs["element_difference"]
    values = (found.values or {}) | {
        "element": inputs["element_material"], "difference": said.kelvins(inputs["element_difference"]),
        "hot": said.celsius(element_k), "gas": run.job.gas,
    }  # fmt: skip
    return Found(found.verdict, said.celsius(element_k), found.figure, values)


def _others(inputs, run) -> list:
    return [pair for pair in pairs_of(inputs, run) if not _is_element(pair, inputs)]


def fit_1(inputs, run) -> Found:
    """Pairs that are outside."""
    return _found(_others(inputs, run), "outside", run.job.gas)


def fit_2(inputs, run) -> Found:
    """Pairs that are close, or within only under a condition that nobody answered."""
    return _found(_others(inputs, run), "close", run.job.gas)


def fit_9(inputs, run) -> Found:
    """Pairs that no row knows."""
    return _found(_others(inputs, run), "cannot_say", run.job.gas)


LATE = (("TMP-2", tmp_2), ("FIT-1", fit_1), ("FIT-2", fit_2), ("FIT-9", fit_9))
