"""Flammable gas: does a mixture burn in air, how much hydrogen stays non-flammable, dilution, purging before fuel.

The page refuses by default. Nothing here tells how to mix, light or burn off a gas.
"""

from dataclasses import dataclass
from functools import cache
from math import exp, log

from calcs import wording
from calcs.atmosphere.cylinder import norm_volume
from calcs.atmosphere.purge import MIXING, PERFECT, POOR, VOLUME, changes_needed
from calcs.core import Answer, Caution, Estimate, Figures, Range, ReadOff, Refused, Shown, Work, worst
from calcs.data import constant, number_or_none, rows
from calcs.form import REFERENCES, Field, Form, Problems
from calcs.picture import Bar, Bars, Limit, Table

PAGE = "SAF-03"

MIXTURE, LIMIT, LIMITS, DILUTION, PURGE = (
    "mixture",
    "hydrogen limit",
    "flammability limits",
    "dilution",
    "purge before fuel",
)
REFUSED_EXAMPLES = (DILUTION, PURGE)  # the example furnace is not built for fuel: here the example is a refusal
THROUGH, PROCEDURE = "let through the chamber", "mixed, lit or burnt off"
ROOM = "room"
SETS = {"IEC": ("iec",), "NFPA": ("nfpa",), "wider": ("iec", "nfpa")}


@dataclass(frozen=True)
class Fuel:
    """One fuel of data/safety/fuels.csv; shares as fractions, temperatures in °C as in the standards."""

    name: str
    lower: dict
    upper: dict
    ignition_c: float
    tci: float
    least_oxygen: float | None
    toxic: bool


@cache
def fuels() -> dict[str, Fuel]:
    """Return the fuels of the table by name.

    Source:
        data/safety/fuels.csv.
    """
    return {row["gas"]: _fuel(row) for row in rows("safety/fuels.csv")}


def _fuel(row: dict) -> Fuel:
    share = {key: number_or_none(row[key]) for key in row if key not in ("gas", "formula", "toxic")}
    least = share["least_oxygen"]
    return Fuel(
        row["gas"],
        {s: share[f"lower_{s}"] / 100 for s in ("iec", "nfpa")},
        {s: share[f"upper_{s}"] / 100 for s in ("iec", "nfpa")},
        min(share["ignition_iec"], share["ignition_nfpa"]),
        share["tci"] / 100,
        None if least is None else least / 100,
        row["toxic"] == "yes",
    )


@cache
def coefficients(column: str = "k") -> dict[str, float]:
    """Return the nitrogen equivalence of each inert gas.

    Args:
        column: "k" for the current edition, "older" for that of 1996.

    Source:
        data/safety/inert_gases.csv, ISO 10156.
    """
    return {row["gas"]: float(row[column]) for row in rows("safety/inert_gases.csv")}


FUELS = tuple(row["gas"] for row in rows("safety/fuels.csv"))
INERTS = tuple(row["gas"] for row in rows("safety/inert_gases.csv"))
OXIDISING, UNSTABLE, OTHER = (
    ("air", "oxygen"),
    ("acetylene", "silane", "another gas that ignites by itself"),
    "another gas",
)
FORMULAS = {row["formula"]: row["gas"] for name in ("fuels", "inert_gases") for row in rows(f"safety/{name}.csv")}
FORMULAS |= {"O2": "oxygen", "C2H2": "acetylene", "SiH4": "silane", "ethene": "ethylene"}

SHARE = Range("0 %", "100 %", because="It is a share.")
NOT_BUILT = (
    "This gas can burn in air, and the furnace is not recorded as built for that. "
    "A chamber that holds such gas and some air explodes."
)
ASK = "The furnace's maker and your safety officer decide; this page replaces neither."

FORM = Form(
    question="Does this mixture burn?",
    modes=(MIXTURE, LIMIT, LIMITS, DILUTION, PURGE),
    ask=("mixture", "gas", "inert_gas", "flow", "built_for_flammable_gas", "exhaust", "gas_monitor", "premixed"),
    fields=(
        Field("mixture", "Mixture (rows: gas, share)", "table", modes=(MIXTURE, LIMITS), rows_allowed=(1, 12),
              example=[{"gas": "argon", "share": "98 %"}, {"gas": "hydrogen", "share": "2 %"}],
              row=r"(?P<gas>[A-Za-z][A-Za-z0-9 ]*?)\s+(?P<share>[\d.,]+\s*\D*)",
              hint="One row for each gas, as certified.",
              columns=(
                  Field("gas", "Gas", "choice", "argon", choices=(*FUELS, *INERTS, *OXIDISING, *UNSTABLE, OTHER),
                        spoken=FORMULAS),
                  Field("share", "Share", "mole fraction", "98 %", accepted=SHARE, menu=("%", "ppm", "1")),
              )),
        Field("gas", "Gas", "choice", "hydrogen", choices=FUELS, spoken=FORMULAS, modes=(DILUTION, PURGE),
              hint="The fuel alone."),
        Field("inert_gas", "Inert gas", "choice", "argon", choices=INERTS, spoken=FORMULAS, modes=(LIMIT,),
              hint="What the rest of the mixture is."),
        Field("flow", "Gas flow", "standard flow", "2 L/min", modes=(DILUTION,),
              accepted=Range("0 L/min", "1000 L/min", above=True, because="No chamber of this kind takes more."),
              hint="Of the fuel alone."),
        Field("built_for_flammable_gas", "Furnace recorded as built for flammable gas", "yes/no", "no",
              hint="By its maker, in its documents."),
        Field("exhaust", "Where the exhaust goes", "choice", "outdoors", choices=("outdoors", "extraction", ROOM)),
        Field("gas_monitor", "Gas detector for the fuel", "yes/no", "no", hint="In the room, tested."),
        Field("premixed", "Certified as a pre-mix", "yes/no", "yes", optional=True, modes=(MIXTURE,),
              hint="No, if two supplies are joined here."),
        Field("handling", "What is planned with the gas", "choice", THROUGH, choices=(THROUGH, PROCEDURE),
              default=THROUGH),
        Field("limit_set", "Set of limits", "choice", "wider", choices=tuple(SETS), default="wider",
              modes=(LIMITS, DILUTION),
              hint="Wider takes the worse of both."),
        Field("gas_temperature", "Gas temperature", "temperature", "20 °C", default="20 °C", modes=(LIMITS,),
              accepted=Range("0 °C", "1000 °C", because="The rule for hot gas was not tried beyond it.")),
        Field("lower_limit", "Lower flammability limit", "mole fraction", "4.0 %", optional=True, in_example=False,
              modes=(DILUTION,), accepted=Range("0 %", "100 %", above=True),
              hint="Only if yours is lower than the table's."),
        Field("fraction_of_limit", "Dilute to this share of the lower limit", "number", "25 %", default="25 %",
              modes=(DILUTION,),
              accepted=Range("0.01", "0.5", because="Nearer to the limit than half of it no dilution is planned.")),
        Field("flow_reference", "Reference condition of the flow", "choice", REFERENCES[0], choices=REFERENCES,
              default=REFERENCES[0], modes=(DILUTION,), hint="The flow meter's document names it."),
        Field("free_volume", "Chamber volume, open space", "volume", "24 L", modes=(PURGE,), accepted=VOLUME),
        Field("pore_volume", "Gas held in the pores", "volume", "84 L", default="0 L", modes=(PURGE,),
              accepted=Range("0 L", "1000 L"), hint="A fibre lining holds more than the chamber."),
        Field("mixing_factor", "Mixing factor", "number", "0.5", default="0.5", modes=(PURGE,), accepted=MIXING,
              hint="0.2 to 0.5 for boxes with shelves."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("index", "Index against the non-flammable limit", "number", "1", "up", 3, (MIXTURE,)),
    Shown("non_flammable", "Non-flammable in air at room temperature", "yes/no", modes=(MIXTURE,)),
    Shown("hydrogen_limit", "Most hydrogen that stays non-flammable", "mole fraction", "%", "down", 3, (LIMIT,)),
    Shown("lower_limit", "Lower flammability limit of the fuel", "mole fraction", "%", "down", 3, (LIMITS, DILUTION)),
    Shown("upper_limit", "Upper flammability limit of the fuel", "mole fraction", "%", "up", 3, (LIMITS,)),
    Shown("dilution_air", "Air to dilute with", "standard flow", "L/min", "up", 3, (DILUTION,)),
    Shown("purge_volumes", "Volumes of inert gas before fuel", "number", "1", "up, range", 3, (PURGE,)),
    Shown("oxygen", "Oxygen left after them", "mole fraction", "%", "up, range", 3, (PURGE,)),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Most hydrogen that stays non-flammable in air at room temperature, by the gas that makes up the rest",
        down=("inert_gas", INERTS),
        figures=("hydrogen_limit",),
        given={"mode": LIMIT},
    ),
)


# ---------------------------------------------------------------- physics


def index(fuel_shares: dict[str, float], inert_shares: dict[str, float]) -> float:
    """Return the index of a mixture of fuel and inert gas: up to 1 it does not burn in air at room temperature.

    A'_i = A_i / (sum A + sum K B); I = sum of A'_i / T_ci.

    Args:
        fuel_shares: fuel of the table to mole fraction.
        inert_shares: inert gas of the table to mole fraction. No air, no oxygen: the method has no place for them.

    Source:
        ISO 10156; data/safety/fuels.csv and inert_gases.csv.
    """
    if not fuel_shares or not sum(fuel_shares.values()):
        return 0.0
    equivalence = coefficients()
    whole = sum(fuel_shares.values()) + sum(equivalence[gas] * share for gas, share in inert_shares.items())
    return sum(share / whole / fuels()[gas].tci for gas, share in fuel_shares.items())


def largest_share(tci: float, coefficient: float) -> float:
    """Return the largest mole fraction of one fuel in one inert gas that does not burn: A = K T / (1 - T + K T).

    Args:
        tci: largest share in nitrogen, 0 to 1.
        coefficient: nitrogen equivalence of the inert gas.

    Source:
        ISO 10156, index = 1 solved for the share.
    """
    return coefficient * tci / (1 - tci + coefficient * tci)


def limits_of(fuel_shares: dict[str, float], limit_set: str = "wider") -> tuple[float, float]:
    """Return the lower and upper flammability limit of a mixture of fuels in air at 25 °C, mole fractions.

    Args:
        fuel_shares: fuel of the table to share; only their proportions count.
        limit_set: IEC, NFPA, or wider, which takes the lower of the lower and the higher of the upper limits.

    Source:
        Le Chatelier's rule, 1/L = sum y_i/L_i; IEC 60079-20-1, NFPA 497. Rough for the upper limit.
    """
    whole = sum(fuel_shares.values())

    def mixed(limit) -> float:
        return 1 / sum(share / whole / limit(fuels()[gas]) for gas, share in fuel_shares.items())

    names = SETS[limit_set]
    return (
        mixed(lambda fuel: min(fuel.lower[s] for s in names)),
        mixed(lambda fuel: max(fuel.upper[s] for s in names)),
    )


def hot_limits(lower: float, upper: float, temperature_k: float) -> tuple[float, float]:
    """Return flammability limits of hot gas, mole fractions; never narrower than at 25 °C.

    Args:
        lower: lower limit at 25 °C.
        upper: upper limit at 25 °C.
        temperature_k: 273 K to 1273 K.

    Source:
        Zabetakis 1965: 0.072 % of the limit for each kelvin; measured on paraffins below their ignition temperature.
    """
    warmer = max(
        0.0, constant("flammable.temperature_slope") * (temperature_k - constant("flammable.limit_temperature"))
    )
    return lower * (1 - warmer), min(1.0, upper * (1 + warmer))


def dilution_factor(lower_limit: float, share_of_limit: float) -> float:
    """Return how many volumes of air bring one volume of fuel down to a share of its lower limit.

    Args:
        lower_limit: mole fraction.
        share_of_limit: 0.01 to 0.5.

    Source:
        balance of amounts.
    """
    return 1 / (share_of_limit * lower_limit) - 1


def burn_out_peak(mass_kg: float, ramp_k_per_s: float) -> float:
    """Return the largest release of vapour while binder burns out, kg/s: f m r / (T_high − T_low).

    The binder leaves evenly between two temperatures, and at its peak several times faster than on average.

    Args:
        mass_kg: binder or other organics, kg, 0 or more.
        ramp_k_per_s: steepest ramp between burn_out.low and burn_out.high, K/s.

    Source:
        burn_out.peaking, burn_out.low, burn_out.high: common practice, no source.
    """
    span = constant("burn_out.high") - constant("burn_out.low")
    return constant("burn_out.peaking") * mass_kg * ramp_k_per_s / span


def vapour_carried(air_mol_per_s: float, hot: bool) -> float:
    """Return the release of vapour that an air flow keeps at a quarter of its lower flammability limit, kg/s.

    Args:
        air_mol_per_s: air flow, mol/s.
        hot: at burn_out.high, inside the chamber; otherwise at room temperature, in the exhaust.

    Source:
        burn_out.cold_limit, a round value; burn_out.hot_limit, which is that of hot_limits rounded down.
    """
    return norm_volume(air_mol_per_s) * constant("burn_out.hot_limit" if hot else "burn_out.cold_limit")


def purge_before_fuel(fuel: str, mixing: float) -> tuple[float, float]:
    """Return the volumes of inert gas before fuel, and the oxygen that is to be confirmed, a mole fraction.

    The larger of five volumes and of what brings the oxygen to 1 % or to a quarter of the least oxygen that
    supports a flame, whichever is lower.

    Args:
        fuel: a fuel of the table.
        mixing: mixing factor, 0.1 to 1.

    Source:
        NFPA 86 (known, source not looked up); ASTM E2079 for the least oxygen; dilution as in purge.
    """
    least = fuels()[fuel].least_oxygen
    target = constant("flammable.purge_oxygen")
    if least is not None:
        target = min(target, constant("flammable.oxygen_share") * least)
    needed = changes_needed(constant("general.oxygen_in_air"), target, 0.0, mixing)
    return max(constant("flammable.purge_volumes"), needed), target


# ---------------------------------------------------------------- refusals


def _refuse_procedure(inputs) -> None:
    if inputs["handling"] == PROCEDURE:
        raise Refused(
            "procedure_asked", "this page gives no such instruction",
            "Mixing, lighting and burning off hang on interlocks that only the furnace itself has, and no page can "
            "see them.",
            "Use the furnace's own interlocked procedure, or gas that cannot burn.", ASK, field="handling",
        )  # fmt: skip


def _refuse_not_built(field: str) -> None:
    raise Refused(
        "flammable_gas", "the furnace is not built for it", NOT_BUILT,
        "Choose a mixture that stays below the non-flammable limit: mode “hydrogen limit” says how much hydrogen "
        "that is.",
        ASK, field=field,
    )  # fmt: skip


def _refuse_toxic(gas: str, field: str) -> None:
    more = (
        " Air that is merely non-flammable would still hold thousands of times what people may breathe."
        if field == "gas"
        else ""
    )
    raise Refused(
        "toxic_gas", "this gas is toxic",
        f"{gas.capitalize()} needs a gas cabinet, detection and treatment of the exhaust that were built for it.{more}",
        "No number on this page replaces them.", "Your safety officer decides.", field=field,
    )  # fmt: skip


def _shares(inputs) -> tuple[dict[str, float], dict[str, float]]:
    """Fuels and inert gases of the mixture by name; refuses what the method has no place for."""
    shares: dict[str, float] = {}
    for row in inputs["mixture"]:
        shares[row["gas"]] = shares.get(row["gas"], 0.0) + row["share"]
    shares = {gas: share for gas, share in shares.items() if share > 0}
    _refuse_gases(inputs, shares)
    total = sum(shares.values())
    if abs(total - 1) > constant("flammable.sum_tolerance") + 1e-9:
        raise Refused(
            "mixture_sum", "the shares do not make 100 %",
            f"They add up to {wording.number(total * 100, 4)} %.",
            "Type every gas of the mixture with its share by volume.", field="mixture",
        )  # fmt: skip
    fuel = {gas: share for gas, share in shares.items() if gas in FUELS}
    return fuel, {gas: share for gas, share in shares.items() if gas in INERTS}


def _refuse_gases(inputs, shares) -> None:
    if found := [gas for gas in shares if gas in UNSTABLE]:
        raise Refused(
            "unstable_gas", "this gas ignites or explodes alone",
            f"{found[0].capitalize()} can explode or catch fire without the conditions that these rules are about.",
            "It has no place in a furnace of this kind.", ASK, field="mixture",
        )  # fmt: skip
    if found := [gas for gas in shares if gas in OXIDISING]:
        raise Refused(
            "air_in_fuel", "the mixture holds air or oxygen",
            f"A gas that is to go into the chamber must not hold {found[0]} beside fuel, and the rule used here is "
            f"not made for it.",
            "Type the gas as certified, without air.", ASK, field="mixture",
        )  # fmt: skip
    if OTHER in shares:
        raise Refused(
            "no_data", "no data for this gas", "The tables hold the gases of the list, and no other.",
            "Ask the supplier for the classification of the mixture to ISO 10156.", field="mixture",
        )  # fmt: skip
    if inputs.mode == MIXTURE and (found := [gas for gas in shares if gas in FUELS and fuels()[gas].toxic]):
        _refuse_toxic(found[0], "mixture")


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return what the mode asks about a gas that holds fuel, or the reason why there is no answer.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    _refuse_procedure(inputs)
    work = {MIXTURE: _mixture, LIMIT: _hydrogen_limit, LIMITS: _limits, DILUTION: _dilution, PURGE: _purge}
    return work[inputs.mode](inputs)


def _mixture(inputs) -> Answer:
    fuel, inert = _shares(inputs)
    built = inputs["built_for_flammable_gas"]
    if fuel and inputs["premixed"] is False and not built:
        raise Refused(
            "mixed_on_site", "two supplies are joined at the furnace",
            "When the inert supply stops, the chamber gets fuel alone, and this furnace is not recorded as built for "
            "that.",
            "Use a mixture that is certified in one cylinder.", ASK, field="premixed",
        )  # fmt: skip
    on_site = bool(fuel) and inputs["premixed"] is False
    value = index(fuel, {} if on_site else inert)
    if value > 1 and not built:
        _refuse_not_built("mixture")
    more = constant("flammable.cylinder_tolerance")
    worse = index({gas: share * (1 + more) for gas, share in fuel.items()}, _less(inert, more * sum(fuel.values())))
    figures = FIGURES.fill(index=value, non_flammable=value <= 1)
    return Answer(
        sentence=_mixture_sentence(figures["index"].text, value, on_site, bool(fuel)),
        verdict=_mixture_verdict(inputs, value, bool(fuel)),
        judged=True,
        figures=figures,
        leaves_out=(
            "hot gas: the limit holds at room temperature and pressure, and a hot mixture burns where a cold one "
            "does not",
            "what the furnace adds: gas from binders, oil or moist carbon",
            "interlocks, burn-off and detection; nothing here checks them",
        ),
        cautions=_fuel_cautions(fuel, value) if fuel else (_no_oxygen(),),
        pictures=_hydrogen_picture(fuel, inert, value),
        working=_index_working(fuel, {} if on_site else inert, figures),
        notes=_mixture_notes(inputs, fuel, value, worse, on_site),
    )


def _less(inert: dict, excess: float) -> dict:
    """The inert shares after the fuel has grown by an excess."""
    whole = sum(inert.values())
    return {gas: max(0.0, share * (1 - excess / whole)) for gas, share in inert.items()} if whole else {}


def _mixture_sentence(text: str, value: float, on_site: bool, has_fuel: bool) -> str:
    if not has_fuel:
        return "Nothing in this mixture burns; it still takes the place of the air that people breathe."
    if on_site:
        return (
            f"Joined from two supplies, this gas is judged as fuel alone, with an index of {text}: when the inert "
            f"supply stops, "
            "it burns in air."
        )
    if value > 1:
        return (
            f"This mixture burns in air at room temperature by ISO 10156: its index is {text}, and the non-flammable "
            "limit is 1."
        )
    return (
        f"By ISO 10156 this mixture does not burn in air at room temperature: its index is {text}, and the "
        f"non-flammable limit is 1; "
        "where it meets air at red heat it still burns."
    )


def _mixture_verdict(inputs, value: float, has_fuel: bool) -> str:
    if value > 1:
        return "outside"
    found = ["close" if value > constant("flammable.close_index") else "within"]
    if has_fuel and (inputs["premixed"] is None or (inputs["exhaust"] == ROOM and not inputs["gas_monitor"])):
        found.append("close")
    return worst(found)


def _mixture_notes(inputs, fuel, value, worse, on_site) -> tuple[str, ...]:
    notes = []
    if not fuel:
        return ()
    if value > 1:
        notes.append("Follow the furnace's own interlocked procedure; this page cannot check interlocks.")
    elif worse > 1:
        notes.append(
            "A mixed cylinder may hold 10 % more fuel than its label says, and then this one could burn. "
            "Ask the supplier for the certified maximum and type that."
        )
    if inputs["premixed"] is None:
        notes.append("Not said whether the gas is a certified pre-mix: the verdict cannot be better than close.")
    if inputs["exhaust"] == ROOM and not on_site:
        notes.append(
            "The exhaust ends in the room"
            + ("." if inputs["gas_monitor"] else " and no detector watches it: lead it outdoors.")
        )
    notes.append(
        "Some fire codes count any furnace gas that holds fuel as one that may burn, and ask for the same equipment: "
        "ask before you order."
    )
    return tuple(notes)


def _index_working(fuel, inert, figures) -> tuple[Work, ...]:
    if not fuel:
        return ()
    said = ", ".join(
        [
            f"{gas}: {wording.plain_number(share * 100)} %, T_c {wording.plain_number(fuels()[gas].tci * 100)} %"
            for gas, share in fuel.items()
        ]
        + [f"{gas}: {wording.plain_number(share * 100)} %, K {coefficients()[gas]:g}" for gas, share in inert.items()]
    )
    return (
        Work("Index against the non-flammable limit", "I = Σ A′ᵢ / T_cᵢ, A′ᵢ = Aᵢ / (Σ A + Σ K B)", said,
             f"I = {figures['index'].text}", source="iso-10156"),
    )  # fmt: skip


def _hydrogen_picture(fuel, inert, value) -> tuple:
    """Bars of the hydrogen limits with the reader's share, where hydrogen and one inert gas are all there is."""
    if list(fuel) != ["hydrogen"] or len(inert) != 1 or value > 1:
        return ()
    return (_limit_bars(next(iter(inert)), Limit("your hydrogen", fuel["hydrogen"] * 100)),)


def _limit_bars(chosen: str, limit: Limit | None) -> Bars:
    tci = fuels()["hydrogen"].tci
    values = {gas: largest_share(tci, k) * 100 for gas, k in coefficients().items()}
    return Bars(
        sentence="The same hydrogen burns out of one gas and not out of another",
        description="The largest share of hydrogen that does not burn in air at room temperature, in percent, for "
                    "each inert gas: from "
        f"{wording.number(min(values.values()), 3, 'down')} to {wording.number(max(values.values()), 3, 'down')} %.",
        unit="%",
        bars=tuple(Bar(gas, value, note="the rest of your mixture" if gas == chosen else "") for gas,
                   value in values.items()),
        limit=limit,
        table=Table("Most hydrogen that stays non-flammable", ("Rest of the mixture", "Hydrogen, %"),
                    [(gas, wording.number(value, 3, "down")) for gas, value in values.items()]),
    )  # fmt: skip


def _hydrogen_limit(inputs) -> Answer:
    gas = inputs["inert_gas"]
    tci, k = fuels()["hydrogen"].tci, coefficients()[gas]
    value = largest_share(tci, k)
    older = largest_share(constant("flammable.older_tci"), coefficients("older")[gas])
    order = value / (1 + constant("flammable.cylinder_tolerance"))
    figures = FIGURES.fill(hydrogen_limit=value)
    notes = []
    if older < value:
        notes.append(
            f"The edition of 1996 gave {_percent(older)} in {gas}. Certificates and local codes may still use it: "
            f"where they do, stay below it."
        )
    return Answer(
        sentence=f"In {gas} at most {figures['hydrogen_limit'].text} hydrogen stays non-flammable in air at room "
                 f"temperature; for a cylinder "
        f"filled to within 10 % of its label that means ordering at most {_percent(order)}.",
        figures=figures,
        leaves_out=(
            "hot gas: where the mixture meets air at red heat it burns all the same",
            "a mixture that is joined from two supplies at the furnace: when the inert gas stops, it is fuel alone",
            "your local code, which may count any gas that holds hydrogen as flammable",
        ),
        cautions=_fuel_cautions({"hydrogen": value}, 1.0),
        pictures=(_limit_bars(gas, None),),
        working=(
            Work("Largest share of hydrogen", "A = K T_c / (1 − T_c + K T_c)", f"K = {k:g}, T_c = {tci * 100:g} %",
                 f"A = {figures['hydrogen_limit'].text}", ("flammable.cylinder_tolerance", "flammable.older_tci"),
                 "iso-10156"),
        ),
        notes=tuple(notes),
    )  # fmt: skip


def _percent(share: float) -> str:
    return wording.with_unit(wording.number(share * 100, 3, "down"), "%")


def _limits(inputs) -> Answer:
    fuel, inert = _shares(inputs)
    if not fuel:
        raise Problems({"mixture": "Mixture: none of these gases burns, so there are no limits. Add a fuel."})
    value = index(fuel, inert)
    if value > 1 and not inputs["built_for_flammable_gas"]:
        _refuse_not_built("mixture")
    lower, upper = limits_of(fuel, inputs["limit_set"])
    lower, upper = hot_limits(lower, upper, inputs["gas_temperature"])
    figures = FIGURES.fill(lower_limit=lower, upper_limit=upper)
    whole = "" if value > 1 else " The mixture as a whole stays below the non-flammable limit."
    return Answer(
        sentence=f"At {inputs.said('gas_temperature')} the fuel in this gas burns in air between "
                 f"{figures['lower_limit'].text} and "
        f"{figures['upper_limit'].text}.{whole}",
        verdict="outside" if value > 1 else "within",
        figures=figures,
        leaves_out=(
            "the inert gas of the mixture: the limits are those of its fuel part alone",
            "pressures other than that of the room, and oxygen-rich air, which widen the range",
            "the upper limit of a mixture by Le Chatelier's rule is rough",
        ),
        cautions=_fuel_cautions(fuel, value) + _toxic_caution(fuel),
        working=(
            Work("Limits of the fuel part", "1/L = Σ yᵢ / Lᵢ",
                 ", ".join(f"{g}: {wording.plain_number(s * 100)} %" for g, s in fuel.items()),
                 f"{figures['lower_limit'].text} to {figures['upper_limit'].text} at "
                 f"{inputs.said('gas_temperature')}", (),
                 "iec-60079-20-1"),
            Work("Hot gas", "L(T) = L(25 °C) (1 ∓ 0.00072 (T − 25 °C))", inputs.said("gas_temperature"), "",
                 ("flammable.temperature_slope", "flammable.limit_temperature"), "zabetakis-627"),
        ),
        notes=_limit_notes(fuel, inputs["gas_temperature"]),
    )  # fmt: skip


def _limit_notes(fuel, temperature_k: float) -> tuple[str, ...]:
    celsius = temperature_k - constant("general.zero_celsius")
    ignition = min(fuels()[gas].ignition_c for gas in fuel)
    if celsius >= ignition:
        return (
            f"From {ignition:.0f} °C on this fuel ignites in air by itself: the limits above no longer protect. The "
            f"rule for hot gas was "
            "measured below that.",
        )
    return (f"Fuel of this mixture ignites by itself from {ignition:.0f} °C; any hotter surface lights it.",)


def _refuse_fuel_alone(inputs) -> None:
    """Pure fuel: toxic ones and furnaces not built for it get no number."""
    if fuels()[inputs["gas"]].toxic:
        _refuse_toxic(inputs["gas"], "gas")
    if not inputs["built_for_flammable_gas"]:
        _refuse_not_built("gas")


def _dilution(inputs) -> Answer:
    _refuse_fuel_alone(inputs)
    gas, share = inputs["gas"], inputs["fraction_of_limit"]
    table, _ = limits_of({gas: 1.0}, inputs["limit_set"])
    lower = min(table, inputs["lower_limit"]) if inputs["lower_limit"] else table
    factor = dilution_factor(lower, share)
    air = norm_volume(inputs["flow"] * factor)
    figures = FIGURES.fill(
        lower_limit=lower,
        dilution_air=Estimate(air, note="at 0 °C, 101.325 kPa, mixed at once and for as long as gas flows"),
    )
    notes = []
    if inputs["lower_limit"] and inputs["lower_limit"] > table:
        notes.append(f"The table's limit of {_percent(table)} is lower than yours and is used.")
    if inputs["exhaust"] == ROOM:
        notes.append("Diluted gas that ends in the room gathers there: no dilution makes that right. Lead it outdoors.")
    if not inputs["gas_monitor"]:
        notes.append("Nothing watches for escaped fuel: the verdict cannot be better than close.")
    verdict = "outside" if inputs["exhaust"] == ROOM else "within" if inputs["gas_monitor"] else "close"
    return Answer(
        sentence=f"{inputs.said('flow')} of {gas} need at least {figures['dilution_air'].text} of air, stated at 0 "
                 f"°C and 101.325 kPa, to leave at "
        f"{inputs.said('fraction_of_limit')} of the lower limit, if the two mix before anything can light them.",
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=(
            "places where the fuel is not yet mixed: there it burns",
            "a fan that stops; the fuel must stop with it, by an interlock",
            "fuel that leaks before it reaches the exhaust",
        ),
        cautions=_fuel_cautions({gas: 1.0}, 2.0),
        working=(
            Work("Air to dilute with", "Q_air = Q (1/(F L) − 1)",
                 f"F = {wording.plain_number(share)}, L = {_percent(lower)}", figures["dilution_air"].text,
                 ("flammable.detector_share",), "iec-60079-20-1"),
        ),
        notes=tuple(notes),
    )  # fmt: skip


def _purge(inputs) -> Answer:
    _refuse_fuel_alone(inputs)
    gas, mixing = inputs["gas"], inputs["mixing_factor"]
    volumes, target = purge_before_fuel(gas, mixing)
    poor = min(POOR, mixing)
    air = constant("general.oxygen_in_air")
    left = [air * exp(-factor * volumes) for factor in (mixing, PERFECT, poor)]
    cause = "how well the gas mixes, which nobody can calculate"
    figures = FIGURES.fill(
        purge_volumes=Estimate(
            volumes, purge_before_fuel(gas, PERFECT)[0], purge_before_fuel(gas, poor)[0], cause=cause
        ),
        oxygen=Estimate(*left, cause=cause),
    )
    gas_m3 = (inputs["free_volume"] + inputs["pore_volume"]) * volumes
    after = log(1 / (constant("flammable.oxygen_share") * limits_of({gas: 1.0})[0])) / mixing
    return Answer(
        sentence=f"At least {figures['purge_volumes'].text} volumes of inert gas ({figures['purge_volumes'].span}, "
                 f"by how well it mixes) before "
        f"any {gas}, and then an oxygen analyser that reads below {_percent(target)}: volumes alone prove nothing.",
        verdict="cannot_say",
        judged=True,
        figures=figures,
        leaves_out=(
            "dead legs and pores, which give their air up slowly; the analyser must stay low when the gas is stopped",
            "air that leaks in while fuel flows",
            "every interlock, flame supervision and the proof that each works",
        ),
        cautions=_fuel_cautions({gas: 1.0}, 2.0),
        working=(
            Work("Volumes until the oxygen is low enough", "N = ln(x_air / x) / η, at least 5",
                 f"x = {_percent(target)}, η = {wording.plain_number(mixing)}", f"N = {figures['purge_volumes'].text}",
                 ("flammable.purge_volumes", "flammable.purge_oxygen", "flammable.oxygen_share",
                  "general.oxygen_in_air"), "nfpa-86"),
            Work("Oxygen left", "x = x_air e^(−η N)", f"η = {wording.plain_number(mixing)}", figures["oxygen"].text,
                 (), "crowl-louvar"),
        ),
        notes=(
            f"For this chamber that is {wording.number(gas_m3 * 1e3, 3, 'up')} L at chamber temperature and "
            f"pressure, pores included.",
            f"Before air comes back the fuel must go: from pure {gas} to a quarter of its lower limit takes "
            f"{wording.number(after, 3, 'up')} volumes of inert gas at this mixing factor, and an analyser again.",
            "The furnace's own interlocked procedure decides; where it asks for more, it holds.",
        ),
    )  # fmt: skip


# ---------------------------------------------------------------- cautions


def _no_oxygen() -> Caution:
    return Caution(
        "WARNING", "Air without oxygen",
        "Non-flammable is not breathable: the gas takes the place of the air at the vent and in the chamber, without "
        "any sign.",
        "Lead the exhaust outdoors, watch the oxygen alarm, and look at SAF-01 for this room.",
    )  # fmt: skip


def _fuel_cautions(fuel: dict, value: float) -> tuple[Caution, ...]:
    if value > 1:
        return (
            Caution("DANGER", "Fuel and air in the chamber",
                    "Fuel let into a chamber that holds air, or air let into one that holds fuel, explodes; hot "
                    "metal is enough to light it.",
                    "Follow the furnace's own interlocked procedure and nothing else; without one, do not let this "
                    "gas in."),
            _invisible() if "hydrogen" in fuel else _no_oxygen(),
        )  # fmt: skip
    return (
        Caution("WARNING", "It burns where it is hot",
                "Non-flammable holds at room temperature. At a hot vent, a leak or an opened hot door the same gas "
                "burns.",
                "Change to pure inert gas and let the chamber cool before any air comes in."),
        _no_oxygen(),
        *((_embrittles(),) if "hydrogen" in fuel else ()),
    )  # fmt: skip


def _invisible() -> Caution:
    return Caution(
        "WARNING", "Flame that nobody sees",
        "A hydrogen flame is almost invisible in daylight, and a very small spark lights the gas; leaks gather under "
        "the ceiling.",
        "Keep people and sparks away from vent and fittings, and trust the detector, not your eyes.",
    )  # fmt: skip


def _embrittles() -> Caution:
    return Caution(
        "NOTICE", "Hydrogen in metal",
        "Titanium, zirconium, tantalum and niobium take hydrogen up and go brittle; copper that holds oxygen cracks.",
        "Keep them out of hydrogen, however little of it there is.",
    )  # fmt: skip


def _toxic_caution(fuel: dict) -> tuple[Caution, ...]:
    found = [gas for gas in fuel if fuels()[gas].toxic]
    if not found:
        return ()
    return (
        Caution("WARNING", "Poison far below the limit",
                f"{wording.listed(found).capitalize()} harms people at shares hundreds of times below the lower "
                f"flammability limit.",
                "Never take the flammability limit for a health limit: measure the gas itself, and lead it outdoors."),
    )  # fmt: skip
