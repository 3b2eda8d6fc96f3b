"""Will it oxidise: the oxygen pressure of a gas against that of a metal and its oxides; nitrides; the oxygen budget."""

from math import log10

from calcs import water, wording
from calcs.atmosphere import stability
from calcs.core import Answer, Caution, Estimate, Figures, Range, ReadOff, Refused, Shown, Work, worst
from calcs.data import constant
from calcs.form import REFERENCES, Field, Form, Problems
from calcs.picture import Axis, Band, Curve, Limit, Mark, Plot, Table
from calcs.safety.flammable import index

PICTURE_LOW_K = 673.0  # the picture begins at 400 °C at the latest; ours

PAGE = "ATM-08"

WILL, OXIDE, GAS, THICKNESS = "will it oxidise", "oxide only", "gas only", "oxide thickness"
ALLOY = "an alloy"
METALS = tuple(stability.metals())
OXIDES = tuple(stability.oxides())
ALLOYS = (
    "steel", "stainless steel", "stainless", "brass", "bronze", "superalloy", "nickel alloy", "FeCrAl",
    "nickel-chromium", "cast iron",
    "titanium alloy", "aluminium alloy", "solder",
)  # fmt: skip
SYMBOLS = {
    "Cu": "copper", "Ni": "nickel", "Co": "cobalt", "Fe": "iron", "Mo": "molybdenum", "W": "tungsten", "Sn": "tin",
    "Zn": "zinc",
    "Cr": "chromium", "Mn": "manganese", "Nb": "niobium", "Ta": "tantalum", "V": "vanadium", "Si": "silicon",
    "Ti": "titanium",
    "Zr": "zirconium", "Al": "aluminium", "Mg": "magnesium", "C": "graphite", "carbon": "graphite",
    "aluminum": "aluminium",
}  # fmt: skip
DISSOLVE = ("titanium", "zirconium", "niobium", "tantalum", "vanadium")  # take oxygen up before any oxide is seen
NO_NITROGEN = ("titanium", "zirconium", "niobium", "tantalum")
OXYGEN_WITH_FUEL = 0.001  # share of oxygen beside hydrogen from which the non-flammable rule is not used; ours
SCALE_END = -90.0  # decades; a picture further down shows nothing that a furnace could meet
POINTS = 24

SHARE = Range("0 %", "100 %", because="It is a share.")
HOT = Range("300 K", "2000 K", because="The data end there.")
RATIO = Range("1e-12", "1e12", because="Beyond it the other gas is not there in any amount that counts.")
IN_GAS, NOT_THICK = (WILL, GAS), (WILL, OXIDE, GAS)

FORM = Form(
    question="Will it oxidise?",
    modes=(WILL, OXIDE, GAS, THICKNESS),
    ask=("metal", "oxide", "load_temperature", "gas", "gas_oxygen", "gas_water", "frost_point", "water_to_hydrogen",
         "dioxide_to_monoxide", "flow", "duration", "load_area"),
    one_of=(
        ("gas_water", "frost_point", "water_to_hydrogen", "dioxide_to_monoxide"),
        ("gas_oxygen", "water_to_hydrogen", "dioxide_to_monoxide"),
    ),
    fields=(
        Field("metal", "Metal", "choice", "copper", choices=(*METALS, ALLOY),
              spoken=SYMBOLS | dict.fromkeys(ALLOYS, ALLOY),
              modes=(WILL,), hint="Of an alloy, its element that oxidises first."),
        Field("oxide", "Oxide", "choice", "Cu2O", choices=OXIDES,
              spoken={"FeO": "wustite", "Fe0.947O": "wustite", "wüstite": "wustite"},
              modes=(OXIDE, THICKNESS)),
        Field("load_temperature", "Load temperature", "temperature", "600 °C", modes=NOT_THICK, accepted=HOT,
              hint="The hottest that it gets."),
        Field("gas", "Gas, the rest", "choice", "argon", choices=("argon", "helium", "nitrogen"),
              spoken={"Ar": "argon", "He": "helium", "N2": "nitrogen"},
              default="argon", modes=IN_GAS, hint="What the cylinder label says."),
        Field("gas_oxygen", "Oxygen in the supplied gas", "mole fraction", "8 ppm", accepted=SHARE,
              modes=(WILL, GAS, THICKNESS),
              hint="What the chamber settles at, leak included."),
        Field("gas_water", "Moisture in the supplied gas", "mole fraction", "3 ppm", accepted=SHARE, modes=IN_GAS,
              hint="From the certificate, or measured."),
        Field("frost_point", "Frost point (over ice)", "dew point", "-69 °C", modes=IN_GAS, in_example=False,
              accepted=Range("-120 °C", "0 °C", because="Below it no instrument confirms it, above it there is no "
                                                        "ice."),
              hint="Only instead of the moisture."),
        Field("gas_hydrogen", "Hydrogen in the gas", "mole fraction", "0 %", default="0 %", accepted=SHARE,
              modes=IN_GAS),
        Field("gas_carbon_monoxide", "Carbon monoxide in the gas", "mole fraction", "0 %", default="0 %",
              accepted=SHARE, modes=IN_GAS),
        Field("gas_carbon_dioxide", "Carbon dioxide in the gas", "mole fraction", "0 %", default="0 %",
              accepted=SHARE, modes=IN_GAS),
        Field("gas_nitrogen", "Nitrogen in the gas", "mole fraction", "10 ppm", default="0 %", accepted=SHARE,
              modes=IN_GAS),
        Field("water_to_hydrogen", "Ratio of water to hydrogen", "number", "0.001", modes=(GAS,), in_example=False,
              accepted=RATIO,
              hint="Only instead of the contents."),
        Field("dioxide_to_monoxide", "Ratio of carbon dioxide to monoxide", "number", "0.1", modes=(GAS,),
              in_example=False, accepted=RATIO,
              hint="Only instead of the contents."),
        Field("flow", "Gas flow", "standard flow", "2 L/min", modes=(THICKNESS,),
              accepted=Range("0 L/min", "1e5 L/min", above=True, because="No chamber of this kind takes more.")),
        Field("duration", "Duration", "time", "4 h", modes=(THICKNESS,),
              accepted=Range("0 s", "10000 h", above=True, because="No run is longer."),
              hint="Hot, from above 200 °C until below."),
        Field("load_area", "Load surface", "area", "0.45 m2", modes=(THICKNESS,),
              accepted=Range("0.01 cm2", "1000 m2", because="Smaller and larger loads share the oxygen with the "
                                                            "furnace."),
              hint="All sides that the gas reaches."),
        Field("activity", "Activity of the metal", "number", "1", default="1", modes=(WILL, OXIDE),
              accepted=Range("0.001", "1", because="Below it the rule of mixtures fails."),
              hint="1 if pure; of an alloy, its mole fraction."),
        Field("chamber_pressure", "Chamber pressure", "absolute pressure", "1005 mbar", default="101.325 kPa",
              modes=IN_GAS,
              accepted=Range("1e-6 mbar", "5 bar", because="The gas is taken as ideal.")),
        Field("built_for_flammable_gas", "Furnace recorded as built for flammable gas", "yes/no", "no", optional=True,
              modes=IN_GAS,
              hint="Needed with hydrogen or carbon monoxide."),
        Field("flow_reference", "Reference condition of the flow", "choice", REFERENCES[0], choices=REFERENCES,
              default=REFERENCES[0],
              modes=(THICKNESS,), hint="The flow meter's document names it."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("oxidises", "Oxidises if time and oxygen allow", "yes/no", modes=(WILL,)),
    Shown("margin_decades", "Gas above (+) or below (−) the metal's limit, decades", "number", "1", "up", 2, (WILL,)),
    Shown("first_oxide", "First oxide to form", "choice", modes=(WILL,)),
    Shown("oxide_log10_po2", "Oxygen pressure of the oxide, log10 of bar", "number", "1", "near", 4, (WILL, OXIDE)),
    Shown("oxide_po2", "Oxygen pressure of the oxide", "absolute pressure", "bar", "near", 2, (WILL, OXIDE)),
    Shown("gas_log10_po2", "Oxygen pressure of the gas, log10 of bar", "number", "1", "up", 4, IN_GAS),
    Shown("gas_po2", "Oxygen pressure of the gas", "absolute pressure", "bar", "up", 2, IN_GAS),
    Shown("water_after_reaction", "Moisture after hydrogen has burnt the oxygen", "mole fraction", "ppm, %", "up", 3,
          IN_GAS),
    Shown("allowed_water_ratio", "Ratio of water to hydrogen allowed", "number", "1", "down", 2, (WILL,)),
    Shown("nitride", "Nitride possible", "yes/no", modes=(WILL,)),
    Shown("oxygen_delivered", "Oxygen that the gas delivers", "amount", "µmol, mmol, mol", "up", 3, (THICKNESS,)),
    Shown("oxide_thickness", "Oxide if all of it is taken up", "length", "nm, µm, mm", "up", 2, (THICKNESS,)),
)  # fmt: skip

FIRST = ("Cu2O", "NiO", "wustite", "MoO2", "WO2", "Cr2O3", "MnO", "SiO2", "TiO", "Al2O3")
READ_OFF = (
    ReadOff(
        caption="Oxygen pressure over pure metal and its oxide, log10 of bar: above it the metal oxidises if time "
        "and oxygen allow",
        down=("oxide", FIRST),
        across=("load_temperature", ("600 °C", "800 °C", "1000 °C", "1200 °C")),
        figures=("oxide_log10_po2",),
        given={"mode": OXIDE},
    ),
    ReadOff(
        caption="Oxide if all oxygen of 2 L/min argon (at 0 °C, 101.325 kPa) is taken up by 0.45 m² of copper as Cu2O",
        down=("gas_oxygen", ("1 ppm", "2 ppm", "8 ppm", "20 ppm", "100 ppm")),
        across=("duration", ("1 h", "4 h", "10 h")),
        figures=("oxide_thickness",),
        given={"mode": THICKNESS},
    ),
)


# ---------------------------------------------------------------- the gas


def _contents(inputs) -> dict[str, float]:
    """Mole fractions of the gas, the rest named by its own gas; refuses what must not be let in."""
    shares = {
        "oxygen": inputs["gas_oxygen"], "water": _moisture(inputs), "hydrogen": inputs["gas_hydrogen"],
        "carbon monoxide": inputs["gas_carbon_monoxide"], "carbon dioxide": inputs["gas_carbon_dioxide"],
    }  # fmt: skip
    rest = 1 - sum(shares.values()) - inputs["gas_nitrogen"]
    if rest < -1e-9:
        raise Problems({"gas_oxygen": "The contents of the gas add up to more than 100 %. Change one of them."})
    rest = max(rest, 0.0)
    shares["nitrogen"] = inputs["gas_nitrogen"] + (rest if inputs["gas"] == "nitrogen" else 0.0)
    if inputs["gas"] != "nitrogen":
        shares[inputs["gas"]] = rest
    _refuse_gas(inputs, shares)
    return shares


def _moisture(inputs) -> float:
    if inputs["frost_point"] is None:
        return inputs["gas_water"]
    share = water.ice_pressure(inputs["frost_point"]) / inputs["chamber_pressure"]
    if share > 1:
        raise Problems({
            "frost_point": f"Frost point (over ice): the vapour pressure of ice at {inputs.said('frost_point')} is "
                           f"above the chamber pressure. "
            "Type a lower frost point, or the pressure at which it was measured."
        })  # fmt: skip
    return share


def _refuse_gas(inputs, shares) -> None:
    if shares["carbon monoxide"] > constant("oxide.toxic_share"):
        raise Refused(
            "toxic_gas", "this gas is toxic",
            f"From {constant('oxide.toxic_share') * 1e6:.0f} ppm on, carbon monoxide is immediately dangerous to "
            f"life; a gas with more needs a "
            "gas cabinet, detection and treatment of the exhaust.",
            "For the arithmetic alone use the mode “gas only” with the ratio of carbon dioxide to monoxide.",
            "Your safety officer decides.", field="gas_carbon_monoxide",
        )  # fmt: skip
    fuels = {name: shares[name] for name in ("hydrogen", "carbon monoxide") if shares[name] > 0}
    if fuels:
        _refuse_fuel(inputs, shares, fuels)
    if not (shares["oxygen"] or shares["water"] or shares["carbon dioxide"]):
        raise Refused(
            "no_oxygen_source", "no source of oxygen is given",
            "Oxygen, moisture and carbon dioxide are all zero, and no gas of a cylinder is that clean: there is "
            "nothing to compare.",
            "Type the oxygen and the moisture of the certificate, or what the chamber settles at.", field="gas_oxygen",
        )  # fmt: skip


def _refuse_fuel(inputs, shares, fuels) -> None:
    built = inputs["built_for_flammable_gas"]
    if built is None:
        raise Problems(
            {
                "built_for_flammable_gas": "Furnace recorded as built for flammable gas: choose one, since the gas "
                "holds fuel."
            }
        )
    inert = {name: shares.get(name, 0.0) for name in ("argon", "helium", "nitrogen", "carbon dioxide")}
    field = "gas_hydrogen" if "hydrogen" in fuels else "gas_carbon_monoxide"
    if not built and (index(fuels, inert) > 1 or shares["oxygen"] > OXYGEN_WITH_FUEL):
        raise Refused(
            "flammable_gas", "this mixture can burn in air",
            "It holds more fuel than stays non-flammable, or oxygen beside fuel, and the furnace is not recorded as "
            "built for that.",
            "SAF-03 says how much hydrogen stays non-flammable in which gas.", "The furnace's maker and your safety "
                                                                               "officer decide.", field=field,
        )  # fmt: skip
    if 2 * shares["oxygen"] >= sum(fuels.values()):
        raise Refused(
            "not_reducing", "more oxygen than hydrogen",
            "The hydrogen or carbon monoxide cannot burn all of the oxygen: this is not a reducing gas, and mixing "
            "the two is dangerous.",
            "Check both contents.", "Your safety officer decides on anything that holds fuel and oxygen.", field=field,
        )  # fmt: skip


def gas_state(shares: dict[str, float], pressure_pa: float, temperature_k: float) -> tuple[float, bool]:
    """Return log10 of the oxygen pressure of a gas, bar, and whether its oxygen counts as unburnt beside fuel.

    Args:
        shares: mole fractions of oxygen, water, hydrogen, carbon monoxide and carbon dioxide, all named; one that
            holds oxygen is above 0.
        pressure_pa: pressure of the gas, Pa.
        temperature_k: 298.15 K to 2000 K.

    Raises:
        Refused: no data at this temperature.

    Source:
        stability.gas_log10_po2; oxide.hydrogen_burns.
    """
    pressure = pressure_pa / constant("oxide.standard_pressure")
    fuel = shares["hydrogen"] + shares["carbon monoxide"]
    if fuel and shares["oxygen"] and temperature_k < constant("oxide.hydrogen_burns"):
        return _log10(shares["oxygen"] * pressure), True
    return stability.gas_log10_po2(shares, pressure, temperature_k), False


def _gas_state(inputs, shares) -> tuple[float, bool]:
    return gas_state(shares, inputs["chamber_pressure"], inputs["load_temperature"])


def first_oxide(
    metal: str, temperature_k: float, activity: float, shares: dict[str, float], pressure_pa: float
) -> tuple[str, float]:
    """Return the first oxide of a metal and log10 of its oxygen pressure, bar; of graphite, its main gas.

    Args:
        metal: a metal of the table, or graphite.
        temperature_k: inside the data of that metal.
        activity: activity of the metal, 0.001 to 1.
        shares: the gas, as in gas_state.
        pressure_pa: pressure of the gas, Pa.

    Raises:
        Refused: no data at this temperature.

    Source:
        stability.boundaries and stability.carbon_log10_po2.
    """
    if metal == "graphite":
        atoms = 2 * shares["oxygen"] + shares["water"] + shares["carbon monoxide"] + 2 * shares["carbon dioxide"]
        level, product = stability.carbon_log10_po2(
            atoms * pressure_pa / constant("oxide.standard_pressure"), temperature_k, activity
        )
        return product, level
    _, first, level = stability.boundaries(metal, temperature_k, activity)[0]
    return first, level


def balance_says(metal: str, temperature_k: float, margin_decades: float) -> str:
    """Return whether a metal oxidises if time and oxygen allow: yes, no, or too close to tell.

    Args:
        metal: a metal of the table, or graphite.
        temperature_k: temperature, K.
        margin_decades: oxygen pressure of the gas over that of the first oxide, decades.

    Source:
        bands of data/atmosphere/oxide_metals.csv.
    """
    band = max(stability.metals()[metal][1], stability.uncertainty(metal, temperature_k))
    return "too close to tell" if abs(margin_decades) <= band else "yes" if margin_decades > 0 else "no"


def _log10(pressure_bar: float) -> float:
    return log10(max(pressure_bar, stability.SMALLEST))


def _gas_figures(shares, level, unburnt) -> dict:
    burnt = shares["hydrogen"] > 0 and not unburnt
    return {
        "gas_log10_po2": level,
        "gas_po2": 10**level * constant("oxide.standard_pressure"),
        "water_after_reaction": shares["water"] + 2 * shares["oxygen"] if burnt else None,
    }


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return what a gas does to a metal, the oxygen pressure of an oxide or of a gas, or an upper bound of the oxide.

    Args:
        inputs: the values of FORM.

    Source:
        calcs.atmosphere.stability.
    """
    return {WILL: _will, OXIDE: _oxide_only, GAS: _gas_only, THICKNESS: _thickness}[inputs.mode](inputs)


def _will(inputs) -> Answer:
    metal, temperature, activity = inputs["metal"], inputs["load_temperature"], inputs["activity"]
    if metal == ALLOY:
        raise Refused(
            "alloy_name", "choose an element of the alloy",
            "An alloy oxidises by its elements, each at its own oxygen pressure.",
            "Choose the one that oxidises most readily: chromium for stainless steel, aluminium or titanium where a "
            "superalloy holds them, zinc for "
            "brass, tin for bronze, manganese or iron for plain steel.", field="metal",
        )  # fmt: skip
    shares = _contents(inputs)
    level, unburnt = _gas_state(inputs, shares)
    first, limit = first_oxide(metal, temperature, activity, shares, inputs["chamber_pressure"])
    margin, unsure = level - limit, stability.uncertainty(metal, temperature)
    band = max(stability.metals()[metal][1], unsure)
    oxidises = balance_says(metal, temperature, margin)
    nitride = _nitride(inputs, shares)
    figures = FIGURES.fill(
        oxidises=oxidises,
        margin_decades=Estimate(margin, margin - unsure, margin + unsure, cause="the tables of free energy"),
        first_oxide=first, oxide_log10_po2=limit, oxide_po2=10**limit * constant("oxide.standard_pressure"),
        allowed_water_ratio=None if metal == "graphite" else stability.allowed_water_ratio(limit, temperature),
        nitride=None if nitride is None else nitride[1], **_gas_figures(shares, level, unburnt),
    )  # fmt: skip
    oxide_verdict = {"yes": "outside", "no": "within", "too close to tell": "close"}[oxidises]
    return Answer(
        sentence=_will_sentence(inputs, oxidises, margin, nitride),
        verdict=worst([oxide_verdict, _nitride_verdict(metal, temperature, nitride)]),
        judged=True,
        figures=figures,
        leaves_out=(
            "speed and films: this is thermodynamics only; aluminium and chromium stay bright under nanometres of "
            "oxide",
            "oxygen that titanium, zirconium, niobium, tantalum and vanadium dissolve, which makes them brittle "
            "before any oxide is seen",
            "alloys beyond the activity, carbides, and oxides of two metals",
        ),
        cautions=_cautions(inputs, shares, oxidises),
        pictures=_picture(inputs, shares, level),
        working=_will_working(inputs, shares, first, figures, nitride),
        notes=_will_notes(inputs, shares, unburnt, margin, band),
    )  # fmt: skip


def _nitride(inputs, shares) -> tuple[str, bool, float] | None:
    """The first nitride, whether the gas holds nitrogen enough for it, and by how many decades; None without data."""
    found = stability.first_nitride(inputs["metal"], inputs["load_temperature"], inputs["activity"])
    if found is None:
        return None
    if not shares["nitrogen"]:
        return found[0], False, 0.0
    level = _log10(shares["nitrogen"] * inputs["chamber_pressure"] / constant("oxide.standard_pressure"))
    return found[0], level > found[1], level - found[1]


def _nitride_verdict(metal, temperature, nitride) -> str:
    if nitride is None or not nitride[1]:
        return "within"
    return "outside" if metal in NO_NITROGEN and temperature > constant("oxide.nitride_limit") else "close"


def _will_sentence(inputs, oxidises, margin, nitride) -> str:
    metal, at = inputs["metal"], inputs.said("load_temperature")
    times = wording.number(10 ** min(abs(margin), 250), 1, "up" if margin > 0 else "down")
    if oxidises == "too close to tell":
        near = wording.number(abs(margin), 1, "up")
        said = f"Too close to tell: at {at} the gas lies within {near} decades of the limit of {metal}"
    elif oxidises == "yes":
        said = f"Yes, if time and oxygen allow: at {at} the gas holds about {times} times the oxygen pressure "
        said += f"that {metal} tolerates"
    else:
        said = (
            f"No: at {at} the oxygen pressure of the gas is about {times} times below the one at which {metal} oxidises"
        )
    said += ". Thermodynamics says whether; how much, the oxygen that arrives decides"
    if nitride and nitride[1]:
        said += f". Nitrogen is not inert to {metal}: {nitride[0]} can form as well"
    return said + "."


def _will_notes(inputs, shares, unburnt, margin, band) -> tuple[str, ...]:
    metal, temperature, notes = inputs["metal"], inputs["load_temperature"], []
    if abs(margin) <= band:
        notes.append(
            f"Within {wording.plain_number(round(band, 1))} decades of the limit of this metal nothing is said: the "
            f"tables disagree by that."
        )
    elif margin > 0 and metal != "graphite" and shares["hydrogen"] == 0:
        notes.append(
            "A gas with parts per million of oxygen protects by bringing little, not by being clean enough: mode "
            "“oxide thickness” says how little."
        )
    if unburnt:
        notes.append(
            "Below 500 °C hydrogen may pass oxygen unburnt, so the oxygen of the gas is counted as if there were no "
            "hydrogen."
        )
    if metal == "nickel" and temperature < 700:
        notes.append("The data of NiO are published from 427 °C up; below that they are drawn on by less than 0.5 kJ.")
    if metal in ("niobium", "vanadium"):
        notes.append("The published tables of this metal differ by up to 28 kJ; the margin covers that.")
    if stability.first_nitride(metal, temperature) is None and shares["nitrogen"] > 0.01 and metal != "graphite":
        notes.append(f"No data on nitrides of {metal}: nothing is said about them.")
    return tuple(notes)


def _will_working(inputs, shares, first, figures, nitride) -> tuple[Work, ...]:
    at = f"T = {inputs['load_temperature']:.2f} K"
    steps = [
        Work("Oxygen pressure of the gas", "2 pO₂ + pH₂O + pCO + 2 pCO₂ = all oxygen, with K of H₂O and CO₂",
             f"{at}, p = {inputs['chamber_pressure'] / 1e5:.5g} bar, " + ", ".join(f"{n} {s:.3g}" for n,
                                                                                   s in shares.items() if s),
             f"log₁₀ pO₂ = {figures['gas_log10_po2'].text}", ("general.gas_constant", "oxide.standard_pressure"),
             "nasa-glenn"),
        Work("Oxygen pressure of the oxide", "log₁₀ pO₂ = ΔG/(R T ln 10) − (2x/y) log₁₀ a",
             f"{at}, {inputs['metal']} and {first}, a = {inputs['activity']:g}", f"log₁₀ pO₂ = "
                                                                                 f"{figures['oxide_log10_po2'].text}",
             ("general.gas_constant",), "oneill-pownceby" if first == "NiO" else "nasa-glenn"),
        Work("Margin", "log₁₀ pO₂ (gas) − log₁₀ pO₂ (oxide)", "", f"{figures['margin_decades'].text} decades "
                                                                  f"({figures['margin_decades'].span})",
             ("oxide.finest_margin",), "house-atmosphere"),
    ]  # fmt: skip
    if nitride:
        steps.append(
            Work("Nitride", "log₁₀ pN₂ = ΔG/(R T ln 10)", f"{nitride[0]}, nitrogen {shares['nitrogen']:.3g}",
                 "enough nitrogen" if nitride[1] else "not enough nitrogen", ("oxide.nitride_limit",), "nasa-glenn")
        )  # fmt: skip
    return tuple(steps)


def _oxide_only(inputs) -> Answer:
    name, temperature, activity = inputs["oxide"], inputs["load_temperature"], inputs["activity"]
    level = stability.oxide_log10_po2(name, temperature, activity)
    metal = stability.oxides()[name].metal
    figures = FIGURES.fill(oxide_log10_po2=level, oxide_po2=10**level * constant("oxide.standard_pressure"))
    notes = []
    low, high = stability.data_range(metal)
    if low <= temperature <= high and (first := stability.boundaries(metal, temperature, activity)[0])[1] != name:
        notes.append(
            f"{first[1]} forms first, at log10 {wording.number(first[2], 4)}: {metal} and {name} do not lie side by "
            f"side in balance."
        )
    return Answer(
        sentence=f"At {inputs.said('load_temperature')} {metal} and {name} are in balance at "
                 f"{figures['oxide_po2'].text} of oxygen: above it the "
        "metal oxidises if time and oxygen allow, below it the oxide can be reduced.",
        figures=figures,
        leaves_out=(
            "speed and films: this is thermodynamics only",
            f"the data themselves, which move this by "
            f"{wording.number(stability.uncertainty(metal, temperature), 1, 'up')} decades either way",
            "oxides of two metals, and what the oxide dissolves",
        ),
        working=(
            Work("Oxygen pressure of the oxide", "log₁₀ pO₂ = ΔG/(R T ln 10) − (2x/y) log₁₀ a",
                 f"T = {temperature:.2f} K, a = {activity:g}", f"log₁₀ pO₂ = {figures['oxide_log10_po2'].text}",
                 ("general.gas_constant",), "oneill-pownceby" if name == "NiO" else "nasa-glenn"),
        ),
        notes=tuple(notes),
    )  # fmt: skip


def _gas_only(inputs) -> Answer:
    temperature = inputs["load_temperature"]
    for name, product in (("water_to_hydrogen", "water"), ("dioxide_to_monoxide", "carbon dioxide")):
        if inputs[name] is not None:
            level = stability.ratio_log10_po2(product, inputs[name], temperature)
            return _gas_answer(
                inputs, {}, level, False, f"log₁₀ pO₂ = 2 log₁₀ r + ΔG/(R T ln 10), r = {inputs.said(name)}"
            )
    shares = _contents(inputs)
    level, unburnt = _gas_state(inputs, shares)
    return _gas_answer(
        inputs, shares, level, unburnt, "2 pO₂ + pH₂O + pCO + 2 pCO₂ = all oxygen, with K of H₂O and CO₂"
    )


def _gas_answer(inputs, shares, level, unburnt, equation) -> Answer:
    filled = _gas_figures(shares or {"hydrogen": 0.0}, level, unburnt)
    figures = FIGURES.fill(**filled)
    fuel = not shares or shares["hydrogen"] or shares["carbon monoxide"]
    return Answer(
        sentence=f"At {inputs.said('load_temperature')} this gas holds {figures['gas_po2'].text} of oxygen in "
                 f"balance with the rest of it; compare "
        "it with the oxygen pressure of your metal.",
        figures=figures,
        leaves_out=(
            "whether the gas reaches its balance: below about 500 °C it may not",
            "what leak, walls and lining add on the way",
            "methane, soot and fragments of molecules",
        ),
        cautions=_fuel_cautions("") if fuel else (),
        working=(
            Work("Oxygen pressure of the gas", equation, f"T = {inputs['load_temperature']:.2f} K", f"log₁₀ pO₂ = "
                                                                                                    f"{figures['gas_log10_po2'].text}",
                 ("general.gas_constant",), "nasa-glenn"),
        ),
        notes=("Below 500 °C hydrogen may pass oxygen unburnt, so the oxygen is counted as it comes.",
               ) if unburnt else (),
    )  # fmt: skip


def _thickness(inputs) -> Answer:
    name = inputs["oxide"]
    oxygen = stability.delivered_oxygen(inputs["flow"], inputs["gas_oxygen"], inputs["duration"])
    if not oxygen:
        raise Refused(
            "no_oxygen_source", "no source of oxygen is given", "The oxygen of the gas is zero, and no gas of a "
                                                                "cylinder is that clean.",
            "Type the oxygen of the certificate, or what the chamber settles at.", field="gas_oxygen",
        )  # fmt: skip
    thickness = stability.oxide_thickness(name, oxygen, inputs["load_area"])
    figures = FIGURES.fill(oxygen_delivered=oxygen, oxide_thickness=thickness)
    tint = constant("oxide.tint_thickness")
    said = "that is enough for a tint to show" if thickness >= tint else "less than what shows as a tint on most metals"
    if tint / 2 <= thickness < tint:
        said = "a tint begins to show about there"
    return Answer(
        sentence=f"{inputs.said('flow')} with {inputs.said('gas_oxygen')} brings at most "
                 f"{figures['oxygen_delivered'].text} of oxygen in "
        f"{inputs.said('duration')}; if {inputs.said('load_area')} took all of it up, {name} would be "
        f"{figures['oxide_thickness'].text} thick: {said}.",
        figures=figures,
        leaves_out=(
            "moisture: each ppm of water brings as much oxygen as half a ppm of oxygen does, so add half of it",
            "leak, walls and lining, unless your oxygen figure holds them",
            "parts nearest to the inlet, which take more than their share; getters and hot metal of the furnace, "
            "which take some away",
        ),
        working=(
            Work("Oxygen delivered", "N = n x t", f"n = {inputs['flow']:.4g} mol/s, x = {inputs['gas_oxygen']:.3g}, "
                                                  f"t = {inputs['duration']:.6g} s",
                 figures["oxygen_delivered"].text),
            Work("Thickness", "h = (2/y) N V_m / S",
                 f"V_m = {stability.oxides()[name].molar_volume * 1e6:.4g} cm³/mol, S = {inputs['load_area']:.4g} m²",
                 figures["oxide_thickness"].text, ("oxide.tint_thickness",), "crc-handbook"),
        ),
        notes=("The thickness is an upper bound, spread evenly; titanium, zirconium, niobium and tantalum dissolve "
               "the oxygen instead and go brittle.",),
    )  # fmt: skip


# ---------------------------------------------------------------- cautions and picture


def _fuel_cautions(metal: str) -> tuple[Caution, ...]:
    found = [
        Caution("WARNING", "Fuel in the furnace gas",
                "Gas that holds hydrogen or carbon monoxide burns where it meets air hot; carbon monoxide kills "
                "without a smell.",
                "Ask SAF-03 first, lead the exhaust outdoors, and change to pure inert gas before any air comes in."),
    ]  # fmt: skip
    if metal in DISSOLVE:
        found.append(
            Caution("NOTICE", "Hydrogen in the load", f"{metal.capitalize()} takes hydrogen up while it cools and "
                                                      f"goes brittle.",
                    "Change to argon or vacuum while it is hot, and never cool it in hydrogen.")
        )  # fmt: skip
    if metal == "copper":
        found.append(
            Caution("NOTICE", "Hydrogen in copper", "Copper that holds oxygen cracks in hydrogen above about 400 °C: "
                                                    "steam forms inside it.",
                    "Use oxygen-free copper, or no hydrogen.")
        )  # fmt: skip
    return tuple(found)


def _cautions(inputs, shares, oxidises) -> tuple[Caution, ...]:
    metal, temperature, found = inputs["metal"], inputs["load_temperature"], []
    if shares["hydrogen"] or shares["carbon monoxide"]:
        found += _fuel_cautions(metal)
    if oxidises != "no":
        found += _oxide_cautions(metal, temperature, shares)
    if metal in ("zinc", "magnesium", "manganese"):
        found.append(
            Caution("WARNING", "Metal fume and fine powder",
                    f"{metal.capitalize()} evaporates; the fume makes ill, and what settles on cold walls can catch "
                    f"fire when air comes in.",
                    "Let it cool before opening, extract the air, and do not brush deposits dry. MAT-01 says how "
                    "much evaporates.")
        )  # fmt: skip
    if metal in ("titanium", "zirconium"):
        found.append(
            Caution("WARNING", "Fine powder ignites", f"Fine {metal} burns in air, and in nitrogen and carbon "
                                                      f"dioxide too.",
                    "Heat solid parts only under these rules; for powder or chips ask your safety officer first.")
        )  # fmt: skip
    return tuple(found)


def _oxide_cautions(metal, temperature, shares) -> list[Caution]:
    found = []
    if metal == "graphite":
        found.append(
            Caution("WARNING", "Carbon monoxide", "Hot graphite turns oxygen and moisture into carbon monoxide, "
                                                  "which kills without a smell.",
                    "Lead the exhaust outdoors and watch a carbon monoxide alarm where people are.")
        )  # fmt: skip
    fume = {"molybdenum": "oxide.fume_molybdenum", "tungsten": "oxide.fume_tungsten"}.get(metal)
    if fume and temperature >= constant(fume):
        found.append(
            Caution("CAUTION", "Oxide fume", f"The higher oxide of {metal} evaporates at this temperature and "
                                             f"settles where it is cold.",
                    "Lead the exhaust outdoors, and do not sweep the deposit dry.")
        )  # fmt: skip
    if metal == "chromium" and shares["oxygen"] > 0.01:
        found.append(
            Caution("WARNING", "Yellow deposit", "Chromium in hot air with moisture gives off a chromium(VI) vapour, "
                                                 "which causes cancer.",
                    "Lead the exhaust outdoors; leave yellow deposits to people equipped for them.")
        )  # fmt: skip
    harm = (
        "It dissolves oxygen and goes brittle before any oxide is seen."
        if metal in DISSOLVE
        else "Its surface tints, dulls or scales."
    )
    if metal != "graphite":
        found.append(
            Caution("NOTICE", "The load takes up oxygen", harm,
                    "Bring less oxygen to it: cleaner gas, a tighter chamber, a getter, less gas or vacuum; work out "
                    "the amount first.")
        )  # fmt: skip
    return found


def _picture(inputs, shares, level) -> tuple:
    """The stability diagram: at most three boundaries of the metal, the gas as a band, the load as a point."""
    metal, at = inputs["metal"], inputs["load_temperature"]
    temperatures = _grid(metal, at)
    gas = [(t, _gas_at(inputs, shares, t)) for t in temperatures]
    curves = _boundary_curves(inputs, shares, temperatures)
    if not curves or level < SCALE_END or min(y for _, y in gas) < SCALE_END:
        return ()
    zero, half = constant("general.zero_celsius"), constant("oxide.finest_margin")
    lines = [(t - zero, y) for t, y in gas]
    return (
        Plot(
            sentence=f"Above the lowest line {metal} oxidises; below it, it stays metal",
            description=f"Oxygen pressure in bar on a log scale against temperature from "
            f"{temperatures[0] - zero:.0f} to "
            f"{temperatures[-1] - zero:.0f} °C: the boundaries of {metal} and its oxides, and the gas as a band; at "
            f"{at - zero:.0f} °C the gas is at "
            f"10 to the power {wording.number(level, 3)} bar.",
            x=Axis("Temperature", "°C"),
            y=Axis("Oxygen pressure", "bar", log=True),
            curves=tuple(Curve(label, [(t - zero, 10**y) for t, y in points]) for label, points in curves),
            bands=(
                Band("your gas", [(t, 10 ** (y - half)) for t, y in lines], [(t, 10 ** (y + half)) for t, y in lines]),
            ),
            limits=(Limit("your load", at - zero, axis="x"),),
            marks=(Mark("", at - zero, 10**level),),
            table=_table(metal, temperatures, gas, curves),
        ),
    )


def _grid(metal, at) -> list[float]:
    low, high = stability.data_range(metal)
    low, high = max(low, min(at - 300, PICTURE_LOW_K)), min(high, at + 400)
    found = {low + (high - low) * i / POINTS for i in range(POINTS + 1)} | {at}
    return sorted(t for t in found if low <= t <= high)


def _gas_at(inputs, shares, temperature) -> float:
    """The gas along the picture; its oxygen counts as burnt or not as it does at the load."""
    pressure = inputs["chamber_pressure"] / constant("oxide.standard_pressure")
    if (
        (shares["hydrogen"] or shares["carbon monoxide"])
        and shares["oxygen"]
        and temperature < constant("oxide.hydrogen_burns")
    ):
        return _log10(shares["oxygen"] * pressure)
    return stability.gas_log10_po2(shares, pressure, temperature)


def _boundary_curves(inputs, shares, temperatures) -> list[tuple[str, list]]:
    """Curves by what they part; everything that begins at the metal is one curve, the lowest."""
    metal, found = inputs["metal"], {}
    for t in temperatures:
        if metal == "graphite":
            product, level = first_oxide(metal, t, inputs["activity"], shares, inputs["chamber_pressure"])
            steps = [(metal, "its gases", level)]
        else:
            steps = stability.boundaries(metal, t, inputs["activity"])
        for below, above, level in steps:
            if level > SCALE_END:
                key = metal if below == metal else f"{below} to {above}"
                found.setdefault(key, []).append((t, level, above))
    named = []
    for key, points in found.items():
        names = list(dict.fromkeys(above for _, _, above in points))
        label = f"{metal} to {' or '.join(names)}" if key == metal else key
        named.append((label, [(t, level) for t, level, _ in points]))
    return [(label, points) for label, points in named if len(points) > 1][:3]


def _table(metal, temperatures, gas, curves) -> Table:
    zero = constant("general.zero_celsius")
    wanted = temperatures[:: max(1, len(temperatures) // 8)]
    rows = []
    for t in wanted:
        cells = [dict(points).get(t) for _, points in curves]
        rows.append(
            [
                f"{t - zero:.0f}",
                *("no data" if c is None else wording.number(c, 3) for c in cells),
                wording.number(dict(gas)[t], 3),
            ]
        )
    return Table(
        "log10 of the oxygen pressure, bar", ("Temperature, °C", *(label for label, _ in curves), "your gas"), rows
    )
