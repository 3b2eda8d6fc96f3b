"""Furnace files: one form for every value that the calculators know from a furnace, and what is missing in it.

Labels, kinds and ranges are those of the calculators' own fields; nothing is declared twice. Where a value is
found, what it is for and which checks hang on it stands in data/furnace_fields.toml. All values but the name
are optional: what nobody knows stays empty, and the answer says which checks then cannot say.
"""

from dataclasses import replace

import calcs
from calcs import furnace, gases, wording
from calcs.core import Answer, Caution, Column, Figures, Range, Shown
from calcs.data import table
from calcs.form import Field, Form, Problems
from calcs.run import calibrated

PAGE = "RUN-07"

LIMITED_GASES = (*gases.NAMES, furnace.MIXED)
YEARS = (1950, 2999)  # a day outside them is a slip of typing; ours
MOST_NAMED = 8  # checks that a sentence names; the table has them all
AGREE = 0.1  # of a volume or mass that can be worked out from others; ours
OWN = (
    Field("furnace_place", "Where it stands", "text", "Hollin Street workshop"),
    Field("record_reviewed_by", "Record reviewed by", "text", in_example=False),
    Field("manual_title", "Manual, title", "text", "Box furnace HS: running and care"),
    Field("manual_number", "Manual, document number", "text", "HS-M-1"),
    Field("manual_revision", "Manual, revision", "text", "2"),
    Field("record_change", "What changed", "text", in_example=False),
    Field("record_changed_by", "Changed by", "text", in_example=False),
    Field("gas_limits", "Highest chamber temperature in each gas (rows: gas, temperature)", "table",
          tuple(furnace.EXAMPLE["gas_limits"]), rows_allowed=(1, len(LIMITED_GASES)),
          row=r"(?P<gas>[A-Za-z0-9 ]{1,30}?)[ :,]+(?P<temperature>[-+0-9.]{1,12} *(?:°C|°F|K|C|F|degC|degF))",
          columns=(Field("gas", "Gas", "choice", "argon", choices=LIMITED_GASES, spoken=gases.FORMULAS),
                   Field("temperature", "Highest temperature", "temperature", "1050 °C",
                         accepted=Range("0 °C", "3500 °C", above=True)))),
    *calibrated.FIELDS,
    Field("fit_error", "Error of the fit, rms", "temperature difference", "3 K", in_example=False,
          accepted=Range("0 K")),
    Field("calibrated_on", "Calibrated on", "date", "2031-01-15", in_example=False),
)  # fmt: skip

ROWS = table("furnace_fields.toml")  # in the order of the form
CONTROL = ("record_revision", "record_change", "record_changed_by")  # about a revision, not about the furnace
EXTRA = ("furnace_place", "record_reviewed_by", *CONTROL, *calibrated.NAMES, "fit_error", "calibrated_on")


def _field(name: str) -> Field:
    """Return the field of a record: that of the calculator which asks for it, made optional, with its own hint.

    Pressures are counted from the room, since a record knows no barometer.
    """
    row = ROWS[name]
    owner = calcs.calculator(row["of"]).FORM.by_name if row["of"] else {f.name: f for f in OWN}
    found = owner[name]
    example = furnace.EXAMPLE.get(name, found.example)
    return replace(
        found, example=example, hint=row["where"], optional=name != "furnace_id", default=None, modes=(),
        kind="gauge pressure" if found.kind == "pressure with sense" else found.kind,
        accepted=_above_the_room(found),
    )  # fmt: skip


def _above_the_room(f: Field) -> Range | None:
    above = Range("0 Pa", above=True)
    return above if f.kind == "pressure with sense" else f.accepted


FIELDS = tuple(_field(name) for name in ROWS)
PARTS = tuple(dict.fromkeys(row["part"] for row in ROWS.values()))

FORM = Form(
    question="What is in this furnace's record, and what is missing?",
    button="Check the record",
    fields=FIELDS,
    ask=tuple(ROWS),
    parts=tuple((part, tuple(n for n, row in ROWS.items() if row["part"] == part)) for part in PARTS),
)

FIGURES = Figures(
    Shown("known", "Values known", "number"),
    Shown("missing", "What is missing, and what hangs on it", "table", columns=(
        Column("value", "Value"), Column("where", "Where to find it"), Column("checks", "Checks that cannot say"),
        Column("use", "What it is for"),
    )),
    Shown("agreement", "Whether the values agree with each other", "table", columns=(
        Column("what", "What"), Column("typed", "Typed"), Column("other", "From the other values"),
        Column("verdict", "Verdict"),
    )),
)  # fmt: skip

READ_OFF = ()


def answer(inputs) -> Answer:
    """Return what a record holds, what is missing in it, and where its values contradict each other.

    Args:
        inputs: the values of FORM.

    Raises:
        Problems: a gas stands twice, a calibration is not whole, a day cannot be meant.

    Source:
        none: nothing is worked out but sums and products of the record's own values.
    """
    _check_typed(inputs)
    missing = lacking(inputs)
    rows = list(_agreement(inputs))
    bad = [row for row in rows if row["verdict"] != "agree"]
    wrong = inputs["relief_pressure"] is not None and _relief_above_rating(inputs)
    with_checks = [name for name in missing if ROWS[name]["checks"]]
    verdict = "outside" if wrong else "cannot_say" if with_checks else "close" if bad else "within"
    wanted = [name for name in ROWS if name not in EXTRA]
    return Answer(
        sentence=_sentence(inputs, wanted, missing, bad),
        verdict=verdict,
        judged=verdict != "within",
        figures=FIGURES.fill(
            known=float(len(wanted) - len(missing)), missing=[_missing_row(n) for n in missing], agreement=rows
        ),
        leaves_out=(
            "whether a value is true: the manual, the plate and your own measurements decide",
            "what no calculator of this site asks: size of the work space, cooling water, what the valves do without power",
        ),
        cautions=tuple(_cautions(inputs, wrong)),
        notes=tuple(_notes(inputs)),
    )


def lacking(inputs) -> list[str]:
    """Return the names of the values that a record does not hold, in the order of the form.

    Args:
        inputs: the values of FORM; None or absent where nothing is typed.

    Source:
        none: names only.
    """
    return [name for name in ROWS if name not in EXTRA and inputs.get(name) is None]


def _missing_row(name: str) -> dict:
    row = ROWS[name]
    return {
        "value": FORM.by_name[name].label,
        "where": row["where"],
        "checks": ", ".join(row["checks"]) or "–",
        "use": row["use"],
    }


def _check_typed(inputs) -> None:
    found = {}
    limited = [row["gas"] for row in inputs["gas_limits"] or ()]
    if twice := [gas for gas in dict.fromkeys(limited) if limited.count(gas) > 1]:
        found["gas_limits"] = f"Highest chamber temperature in each gas: {twice[0]} stands twice."
    given = [name for name in calibrated.NAMES if inputs[name] is not None]
    if given and len(given) < len(calibrated.NAMES):
        label = FORM.by_name[next(n for n in calibrated.NAMES if inputs[n] is None)].label
        found[next(n for n in calibrated.NAMES if inputs[n] is None)] = (
            f"{label} is empty. The five values of a calibration belong together: type it, or empty all five."
        )
    for name in ("record_review_due", "limiter_tested", "leak_tested", "calibrated_on"):
        if inputs[name] is not None and not YEARS[0] <= inputs[name].year <= YEARS[1]:
            found[name] = f"{FORM.by_name[name].label}: {inputs[name].year} cannot be meant. Write year-month-day."
    revision = inputs["record_revision"]
    if revision is not None and revision != int(revision):
        found["record_revision"] = "Revision of the record: a whole number."
    if None not in (inputs["gas_volume"], inputs["free_volume"]) and inputs["gas_volume"] < inputs["free_volume"]:
        found["gas_volume"] = "All gas in the chamber: it cannot be less than the open space."
    if found:
        raise Problems(found)


def _agreement(inputs):
    """Yield a row for each value that can also be worked out from others of the record."""
    volume, pores, mass = inputs["free_volume"], inputs["pore_volume"], inputs["insulation_mass"]
    outer, porosity, density = inputs["insulation_volume"], inputs["insulation_porosity"], inputs["insulation_density"]
    for name, parts, reckon in (
        ("pore_volume", (outer, porosity), lambda: outer * porosity),
        ("gas_volume", (volume, pores), lambda: volume + pores),
        ("insulation_mass", (outer, density), lambda: outer * density),
    ):
        typed = inputs[name]
        if typed is None or None in parts:
            continue
        other = reckon()
        off = abs(typed - other) > AGREE * max(typed, other)
        yield {
            "what": FORM.by_name[name].label,
            "typed": inputs.said(name),
            "other": _said(other, "kg" if typed is mass else "L"),
            "verdict": "do not agree" if off else "agree",
        }


def _said(value: float, unit: str) -> str:
    return wording.with_unit(wording.number(value * (1000 if unit == "L" else 1), 3), unit)


def _relief_above_rating(inputs) -> bool:
    return inputs["maximum_pressure"] is not None and inputs["relief_pressure"] >= inputs["maximum_pressure"]


def _sentence(inputs, wanted, missing, bad) -> str:
    revision = f", revision {int(inputs['record_revision'])}" if inputs["record_revision"] is not None else ""
    head = f"{inputs['furnace_id']}{revision}: {len(wanted) - len(missing)} of {len(wanted)} values are known"
    checks = list(dict.fromkeys(check for name in missing for check in ROWS[name]["checks"]))
    shown = checks if len(checks) <= MOST_NAMED else [*checks[:MOST_NAMED], f"{len(checks) - MOST_NAMED} more"]
    tail = f"; without the rest these checks of a plan cannot say: {wording.listed(shown)}" if checks else ""
    contrary = f". {wording.count(len(bad), 'value')} and the others it hangs on do not agree" if bad else ""
    return f"{head}{tail}{contrary}."


def _cautions(inputs, wrong: bool):
    if wrong:
        yield Caution(
            "WARNING", "Relief above the rating",
            "The relief opens only after the chamber is past what it is rated for: door or window can burst.",
            "Do not run the furnace under gas before a person who answers for pressure has put this right.",
        )  # fmt: skip
    elif inputs["relief_pressure"] is None:
        yield Caution(
            "WARNING", "No relief in the record",
            "A gas-filled chamber that heats or fills with its outlet shut bursts at its weakest place.",
            "Find out what relief is fitted and where it opens, and do not heat under gas before.",
        )  # fmt: skip


def _notes(inputs):
    highest = max((row["temperature"] for row in inputs["gas_limits"] or ()), default=None)
    lasting = inputs["continuous_temperature"]
    if highest is not None and lasting is not None and lasting > highest:
        yield "The continuous rating is above the highest temperature of every gas: one of them is wrong."
    if inputs["manual_title"] is None and inputs["manual_number"] is None:
        yield "No manual is named: nobody can look up where the limits come from."
    if inputs["hot_capacity"] is not None and inputs["calibrated_on"] is None:
        yield "The calibration has no day: nobody can tell whether it was made before the last change of the lining."
