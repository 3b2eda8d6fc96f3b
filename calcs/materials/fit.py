"""What may touch what, in which gas, how hot: element, wall, sensor, gas, load and what it lies on, pair by pair."""

from calcs import wording
from calcs.core import VERDICTS, Answer, Caution, Column, Estimate, Figures, Range, ReadOff, Refused, Shown, Work, worst
from calcs.data import constant
from calcs.form import Field, Form, Problems
from calcs.materials.fit_rules import FORMING, HYDROGEN, MOIST, MONOXIDE, NO_ROW_ID, VACUUM, Pair, pairs, row_ids, table

PAGE = "MAT-02"

MIXTURE = "mixture"
SINGLE = ("air", "nitrogen", "argon", "helium", HYDROGEN, MONOXIDE, "carbon dioxide")
GASES = ("air", MOIST, "nitrogen", "argon", "helium", VACUUM, HYDROGEN, FORMING, MONOXIDE, "carbon dioxide", MIXTURE)
FORMULAS = {"N2": "nitrogen", "Ar": "argon", "He": "helium", "H2": HYDROGEN, "CO": MONOXIDE, "CO2": "carbon dioxide"}
ELEMENTS = ("FeCrAl", "NiCr", "SiC", "MoSi2", "molybdenum", "tungsten", "graphite")
WALLS = ("304 steel", "310 steel", "601 alloy", "alumina", "alumina fibre", "alumina-silica fibre", "fused quartz",
         "mullite", "rubber seal")  # fmt: skip
SENSORS = ("type K", "type N", "type S", "type R", "type B", "type C")
SHAPES = ("strip", "plate", "bar", "wire", "tube", "powder", "green part", "assembly", "other")
SUM_TOLERANCE = 0.005  # a mixture adds up to 100 % within half a per cent; ours
FIBRE_DUST_C = 900  # from here on fibre turns to a dust with cristobalite in it; common practice, no source
MOST_PASSED = 4  # bands named that are passed on the way up; ours

TOXIC = ("zinc", "cadmium", "lead", "lead oxide", "antimony", "arsenic", "mercury", "beryllium", "selenium", "thallium",
         "phosphorus", "battery material", "halide", "manganese", "boron oxide", "bismuth")  # fmt: skip
VIOLENT = ("sealed container", "oxidising salt", "metal hydride", "reactive metal powder", "organic binder", "magnesium",
           "alkali metal")  # fmt: skip

HOT = Range("0 °C", "2000 °C", because="The table ends there.")
SHARE = Range("0 %", "100 %", because="It is a share.")

FORM = Form(
    question="May these touch, at this heat, in this gas?",
    ask=("gas", "chamber_temperature", "wall_material", "load", "oxygen", "answers"),
    any_of=(("chamber_temperature", "element_temperature"),),
    fields=(
        Field("gas", "Gas", "choice", "argon", choices=GASES, spoken=FORMULAS, hint="What the cylinder label says."),
        Field("mixture", "Mixture (rows: gas, share)", "table", optional=True, in_example=False, rows_allowed=(1, 8),
              example=[{"gas": "nitrogen", "share": "97 %"}, {"gas": "hydrogen", "share": "3 %"}],
              row=r"(?P<gas>[A-Za-z][A-Za-z0-9 ]*?)\s+(?P<share>[\d.,]+\s*\D*)", hint="Only if the gas is a mixture.",
              columns=(
                  Field("gas", "Gas", "choice", "nitrogen", choices=SINGLE, spoken=FORMULAS),
                  Field("share", "Share", "mole fraction", "97 %", accepted=SHARE, menu=("%", "ppm", "1")),
              )),
        Field("premixed", "Certified as a pre-mix", "yes/no", "yes", optional=True, in_example=False,
              hint="Needed where hydrogen is mixed in."),
        Field("built_for_flammable_gas", "Furnace recorded as built for flammable gas", "yes/no", "no", optional=True,
              hint="Needed with hydrogen."),
        Field("chamber_temperature", "Chamber temperature", "temperature", "600 °C", accepted=HOT,
              hint="The hottest of the run."),
        Field("element_material", "Element", "choice", "FeCrAl", choices=ELEMENTS, optional=True),
        Field("element_difference", "Element hotter than the chamber by", "temperature difference", "100 K",
              default="100 K", accepted=Range("0 K", "300 K", because="Elements of a sound furnace do not run hotter."),
              hint="From the manual, at full power."),
        Field("element_temperature", "Element temperature", "temperature", "700 °C", accepted=HOT, in_example=False,
              hint="Only instead of the difference."),
        Field("wall_material", "Insulation, tube, muffle or retort", "choice", "alumina-silica fibre", choices=WALLS,
              optional=True, hint="What bounds the hot space."),
        Field("sensor", "Temperature sensor", "choice", "type N", choices=SENSORS, optional=True),
        Field("load", "Load (rows: material, grade, form, touches)", "table", optional=True, rows_allowed=(1, 20),
              example=[{"material": "copper", "grade": "oxygen-free", "touches": "alumina"}],
              row=r"(?P<material>[^,]{1,60}?)(?:, (?:grade )?(?P<grade>(?!touches |" + "|".join(SHAPES) + r")[^,]{1,40}))?"
                  r"(?:, (?P<form>" + "|".join(SHAPES) + r"))?, touches (?P<touches>[^,]{1,60})",
              hint="Setters and crucibles too: copper, oxygen-free, touches alumina.",
              columns=(
                  Field("material", "Material", "text", "copper"),
                  Field("grade", "Grade", "text", "oxygen-free", optional=True),
                  Field("form", "Form", "choice", "strip", choices=SHAPES, optional=True),
                  Field("touches", "Touches", "text", "alumina", optional=True),
              )),
        Field("oxygen", "Oxygen that remains", "mole fraction", "8 ppm", optional=True, accepted=SHARE, find="residual",
              hint="While hot, leak included."),
        Field("frost_point", "Frost point (over ice)", "dew point", "-50 °C", optional=True, in_example=False,
              accepted=Range("-120 °C", "0 °C", because="Below it no instrument confirms it, above it there is no ice."),
              hint="Measured at the outlet, hot."),
        Field("chamber_pressure", "Chamber pressure", "absolute pressure", "1005 mbar", default="101.325 kPa",
              in_example=False, accepted=Range("0 Pa", "5 bar", above=True, because="The rows hold up to about there."),
              hint="In vacuum: what remains while hot."),
        Field("answers", "Conditions answered (rows: row, answer)", "table", optional=True, rows_allowed=(1, 60),
              example=[{"row": "F008", "answer": "yes"}], row=r"(?P<row>[FfSs]\d{1,3})\s+(?P<answer>yes|no)",
              hint="The result lists them: F008 yes.",
              columns=(Field("row", "Row of the table", "text", "F008"), Field("answer", "Does it hold?", "yes/no", "yes"))),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("overall", "All pairs together", "choice"),
    Shown("worst", "Row that decides", "choice"),
    Shown("element_temperature", "Element temperature", "temperature", "°C", "up", 4, range_digits=4),
    Shown("pairs", "Every pair", "table", columns=(
        Column("a", "This"), Column("b", "with this"), Column("verdict", "Verdict"), Column("reason", "Why"),
        Column("row", "Row"), Column("standing", "How the row is known"))),
    Shown("questions", "Conditions still to be answered", "table", columns=(
        Column("row", "Row"), Column("pair", "Pair"), Column("condition", "Does this hold?"),
        Column("until", "Until answered"))),
)  # fmt: skip

ALONE = {"wall_material": "", "sensor": "", "load": "", "answers": "", "oxygen": "", "premixed": "yes"}
READ_OFF = (
    ReadOff(
        caption="Elements by gas in a chamber at 950 °C, element at 1050 °C, hydrogen only as forming gas; no condition "
        "answered",
        down=("element_material", ELEMENTS),
        across=("gas", ("air", "nitrogen", "argon", VACUUM, FORMING)),
        figures=("overall",),
        given=ALONE | {"chamber_temperature": "950 °C"},
    ),
    ReadOff(
        caption="Load on what it touches, in argon with 2 ppm oxygen; the gas rows of both count too, no condition "
        "answered",
        down=("load", ("copper, oxygen-free, touches alumina", "copper, touches stainless", "stainless, touches alumina",
                       "titanium, touches alumina", "titanium, touches molybdenum", "nickel, touches alumina",
                       "steel, touches graphite", "graphite, touches alumina")),
        across=("chamber_temperature", ("400 °C", "600 °C", "850 °C", "1000 °C", "1150 °C")),
        figures=("overall",),
        given=ALONE | {"oxygen": "2 ppm", "element_material": ""},
    ),
)  # fmt: skip


# ---------------------------------------------------------------- what was typed


def _shares(inputs) -> dict[str, float]:
    """Gas to mole fraction, the mixture brought to 1."""
    if inputs["gas"] != MIXTURE:
        return {inputs["gas"]: 1.0}
    if not inputs["mixture"]:
        raise Problems({"mixture": "Mixture: type its gases and shares, since the gas is a mixture."})
    found: dict[str, float] = {}
    for row in inputs["mixture"]:
        found[row["gas"]] = found.get(row["gas"], 0.0) + row["share"]
    total = sum(found.values())
    if abs(total - 1) > SUM_TOLERANCE:
        raise Problems({"mixture": f"Mixture: the shares add up to {wording.number(100 * total, 4)} %, not to 100 %."})
    return {name: share / total for name, share in found.items()}


def _check_fuel(inputs, shares) -> None:
    """Hydrogen asks for two facts that nobody may guess."""
    needed = {}
    if shares.get(HYDROGEN) and inputs["built_for_flammable_gas"] is None:
        needed["built_for_flammable_gas"] = (
            "Furnace recorded as built for flammable gas: choose one, since hydrogen is in the gas."
        )
    mixed = shares.get(FORMING) or 0 < shares.get(HYDROGEN, 0.0) < 1
    if mixed and inputs["premixed"] is None:
        needed["premixed"] = "Certified as a pre-mix: choose one, since hydrogen is mixed in."
    if needed:
        raise Problems(needed)


def _pressure(inputs, shares) -> float | None:
    """Chamber pressure, Pa; None for a vacuum whose pressure nobody typed."""
    pressure = inputs["chamber_pressure"]
    if VACUUM not in shares:
        return pressure
    if not inputs.given("chamber_pressure"):
        return None
    if pressure > constant("fit.gas_only"):
        raise Problems({"chamber_pressure": f"Chamber pressure: {inputs.said('chamber_pressure')} is no vacuum. Type what "
                                            "remains while pumped, or leave it empty."})  # fmt: skip
    return pressure


def _answers(inputs) -> dict[str, bool]:
    found: dict[str, bool] = {}
    for number, row in enumerate(inputs["answers"] or (), 1):
        name = row["row"].strip().upper()
        if name not in row_ids():
            raise Problems({"answers": f"Conditions answered, row {number}: “{name[:12]}” is no row with a condition."})
        if found.setdefault(name, row["answer"]) != row["answer"]:
            raise Problems({"answers": f"Conditions answered: {name} is answered with yes and with no."})
    return found


def _temperatures(inputs) -> tuple[float, float]:
    """Chamber and element temperature, K; without a chamber temperature all is read at that of the element."""
    chamber, element = inputs["chamber_temperature"], inputs["element_temperature"]
    if element is None:
        return chamber, chamber + inputs["element_difference"]
    if chamber is not None and chamber > element:
        raise Problems({"element_temperature": "Element temperature: it cannot be below that of the chamber."})
    return (element if chamber is None else chamber), element


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return the verdict on every pair in play, the row behind each, and the conditions still open.

    Args:
        inputs: the values of FORM.

    Source:
        calcs.materials.fit_rules.
    """
    shares, answers = _shares(inputs), _answers(inputs)
    _check_fuel(inputs, shares)
    chamber_k, element_k = _temperatures(inputs)
    things = [inputs[name] for name in ("element_material", "wall_material", "sensor", "load")]
    if not any(things):
        raise Refused("nothing_to_compare", "nothing to compare", "Neither element, wall, sensor nor load is named.",
                      "Name at least one of them.", field="load")  # fmt: skip
    found = pairs(
        shares, chamber_k, element_k, *things[:3], things[3] or (), _pressure(inputs, shares), inputs["oxygen"],
        inputs["frost_point"], inputs["built_for_flammable_gas"], inputs["premixed"], answers,
    )  # fmt: skip
    verdict = worst(pair.verdict for pair in found)
    questions = _questions(found)
    return Answer(
        sentence=_sentence(inputs, found, verdict, questions),
        verdict=verdict,
        judged=True,
        figures=FIGURES.fill(
            overall=f"{VERDICTS[verdict]}{'' if verdict == 'within' else f', {found[0].row}'}",
            worst=found[0].row, element_temperature=_element(inputs, element_k),
            pairs=[_grid_row(pair) for pair in found], questions=questions or None,
        ),
        leaves_out=(
            "impurities, coatings, flux, oil and marker ink that were not typed",
            "time: hours at the edge of a row do what minutes do not, and a slow pass through a bad range counts",
            "strength, warping and thermal shock, and whatever is not in the table",
        ),
        cautions=_cautions(inputs, shares, found),
        working=_working(inputs, chamber_k, element_k, found, verdict),
        notes=_notes(inputs, found, answers),
    )  # fmt: skip


def _element(inputs, element_k) -> Estimate | float | None:
    if not inputs["element_material"]:
        return None
    if inputs["element_temperature"] is not None or inputs.given("element_difference"):
        return element_k
    chamber = inputs["chamber_temperature"]
    return Estimate(element_k, chamber + constant("fit.element_low"), chamber + constant("fit.element_high"),
                    cause="the difference is assumed; the manual or a sensor on the element tells it")  # fmt: skip


def _grid_row(pair: Pair) -> dict:
    row = pair.row + (f", also {', '.join(pair.also)}" if pair.also else "")
    return {"a": pair.a, "b": pair.b, "verdict": VERDICTS[pair.verdict], "reason": _capital(pair.reason), "row": row,
            "standing": pair.standing}  # fmt: skip


def _questions(found: list[Pair]) -> list[dict]:
    rows = {}
    for pair in found:
        for row in pair.open:
            until = "close" if row.verdict == "within" else row.verdict
            rows.setdefault(row.id, {"row": row.id, "pair": f"{pair.a} with {pair.b}", "condition": _capital(row.condition),
                                     "until": f"counts as {VERDICTS[until].lower()}"})  # fmt: skip
    return list(rows.values())


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _at(pair: Pair) -> str:
    """At which temperature; a rule on the gas alone has none."""
    if pair.row != NO_ROW_ID and pair.b == "furnace and people":
        return ""
    return f" at {wording.with_unit(wording.plain_number(pair.celsius), '°C')}"


def _sentence(inputs, found, verdict, questions) -> str:
    first, many = found[0], sum(pair.verdict == verdict for pair in found)
    who = f"{_capital(first.a)} with {first.b}{_at(first)}"
    tail = f" (row {first.row})" if first.row != NO_ROW_ID else ""
    more = f" Likewise {wording.count(many - 1, 'more pair', 'more pairs')}." if many > 1 else ""
    asked = f" Still to be answered: {wording.count(len(questions), 'condition')}." if questions else ""
    if verdict == "outside":
        return f"{who} is outside the limits: {first.reason}{tail}.{more}"
    if verdict == "cannot_say":
        return f"{who}: {first.reason}. Not in the table means not known, never allowed.{more}"
    if verdict == "close":
        return (
            f"Nothing here is outside the limits, but {first.a} with {first.b}{_at(first)} is close: "
            f"{first.reason}{tail}.{more}{asked}"
        )
    where = inputs.said("chamber_temperature" if inputs["chamber_temperature"] is not None else "element_temperature")
    return (
        f"No row speaks against {wording.count(len(found), 'pair', 'pairs')} at {where} in {inputs['gas']}, as far as the "
        "table knows them."
    )


def _notes(inputs, found, answers) -> tuple[str, ...]:
    notes = []
    passed = {row.id: (pair, row) for pair in found for row in pair.passed}
    for pair, row in list(passed.values())[:MOST_PASSED]:
        low = "from the cold" if row.low is None else f"from {row.low:.0f} °C"
        notes.append(f"On the way up {pair.a} with {pair.b} passes a worse range, {low} to {row.high:.0f} °C ({row.id}): "
                     f"{row.reason or VERDICTS[row.verdict].lower()}. Pass it quickly, or change the gas.")  # fmt: skip
    if inputs["chamber_temperature"] is None:
        notes.append("Without a chamber temperature everything is read at that of the element.")
    if inputs["wall_material"] == "rubber seal":
        notes.append(
            "The seal is read at the chamber temperature: type its own temperature there, and ask for it alone."
        )
    spoken = {row for pair in found for row in (pair.row, *pair.also)}
    if idle := [name for name in answers if name not in spoken and answers[name]]:
        notes.append(f"Answered, but not in play here or decided by another input: {wording.listed(idle)}.")
    return tuple(notes)


def _working(inputs, chamber_k, element_k, found, verdict) -> tuple[Work, ...]:
    zero = constant("general.zero_celsius")
    steps = [
        Work("Rows that speak", "from ≤ T < to, and the condition holds or is not answered",
             f"chamber {wording.plain_number(chamber_k - zero)} °C, element {wording.plain_number(element_k - zero)} °C, "
             f"gas {inputs['gas']}", wording.count(len(found), "pair in play", "pairs in play"),
             ("fit.vacuum_only", "fit.gas_only", "fit.dry_below", "fit.moist_above"), "fit-table"),
        Work("Verdict", "the worst of all: within < close < cannot say < outside",
             "; ".join(f"{word} {sum(p.verdict == word for p in found)}".replace("_", " ") for word in VERDICTS),
             VERDICTS[verdict], ("fit.solidus_margin",), "fit-common-practice"),
    ]  # fmt: skip
    if inputs["element_material"] and inputs["element_temperature"] is None:
        steps.insert(0, Work("Element temperature", "T_element = T_chamber + ΔT",
                             f"{wording.plain_number(chamber_k - zero)} °C + {inputs.said('element_difference')}",
                             f"{wording.plain_number(element_k - zero)} °C", ("fit.element_low", "fit.element_high"),
                             "fit-common-practice"))  # fmt: skip
    return tuple(steps)


# ---------------------------------------------------------------- cautions


def _cautions(inputs, shares, found) -> tuple[Caution, ...]:
    rows = {row for pair in found for row in (pair.row, *pair.also)}
    bad = {row for pair in found if pair.verdict in ("outside", "cannot_say") for row in (pair.row, *pair.also)}
    names = _materials(rows)
    wall, sentences = inputs["wall_material"] or "", []
    if shares.get(HYDROGEN) or shares.get(FORMING) or shares.get(MONOXIDE):
        sentences.append(
            Caution(
                "WARNING",
                "Fuel in the furnace gas",
                "Gas with hydrogen or carbon monoxide can burn where it leaves hot, "
                "and explodes in a chamber with air.",
                "Ask SAF-03 first, and change to pure inert gas before any air comes in.",
            )
        )
    if shares.get(MONOXIDE) or (
        names & {"graphite", "carbon"} and bad and set(shares) & {"air", MOIST, "carbon dioxide", MIXTURE}
    ):
        sentences.append(
            Caution(
                "WARNING",
                "Carbon monoxide",
                "Hot carbon turns oxygen, water and carbon dioxide into carbon monoxide, which kills and has no smell.",
                "Lead the exhaust outdoors and keep a carbon monoxide alarm where people are.",
            )
        )
    if toxic := sorted(names & set(TOXIC)):
        sentences.append(
            Caution(
                "WARNING",
                "Toxic fume",
                f"{_capital(wording.listed(toxic))}: fume and deposits harm people long before they harm the furnace.",
                "Leave it out, or use a furnace with extraction kept for it; let it cool before opening.",
            )
        )
    if violent := sorted(names & set(VIOLENT)):
        sentences.append(
            Caution(
                "WARNING",
                "Fire or burst",
                f"{_capital(wording.listed(violent))} can catch fire, give off gas or burst when heated or opened.",
                "Leave it out, and ask your safety officer.",
            )
        )
    if VACUUM in shares and wall in ("alumina", "mullite", "fused quartz", "310 steel", "601 alloy", "304 steel"):
        sentences.append(
            Caution(
                "WARNING",
                "Chamber under vacuum",
                "A wall that is not rated for vacuum at this heat collapses and throws hot fragments.",
                "Pump it hot only with the maker's rating for this wall at this temperature.",
            )
        )
    if "fibre" in wall and max(pair.celsius for pair in found) >= FIBRE_DUST_C:
        sentences.append(
            Caution(
                "WARNING",
                "Dust of used fibre",
                "Fibre that was hot for long gives a dust with cristobalite, which harms the lungs.",
                "Do not disturb it dry; wear the mask and follow the rules for such dust.",
            )
        )
    return tuple(sentences)  # fmt: skip


def _materials(rows: set[str]) -> set[str]:
    """Materials named by these rows."""
    return {name for row in table() if row.id in rows for name in (row.a, row.b)}
