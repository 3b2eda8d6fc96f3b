"""Drying chamber and load: heat, removal, heat through the lining, and what the surfaces let go at a temperature."""

from dataclasses import dataclass
from math import exp, log, sqrt

from calcs import gases, units, water, wording
from calcs.core import Answer, Caution, Estimate, Figures, Range, ReadOff, Refused, Shown, Work
from calcs.data import constant
from calcs.form import REFERENCES, Field, Form
from calcs.heat.equivalence import scaled_exponential_integral
from calcs.picture import Axis, Band, Curve, Mark, Plot, Table
from calcs.vacuum.pumpdown import water_pressure

PAGE = "VAC-06"

VACUUM, PURGE = "under vacuum", "under purge"
V, P = (VACUUM,), (PURGE,)
FIBRE, BRICK, CASTABLE = "fibre", "brick", "castable or cement"
WATER, SOLVENT = "water", "solvent or binder"
ROOM_K = 293.15
COLD_DAY_S = 24 * 3600.0  # with which the picture compares
HOUR_S = 3600.0

DRY_TEMPERATURE = Range("20 °C", "600 °C")
ADSORBED = Range("5e-5", "1e-3", because="Less is dry already; more is free water.")

FORM = Form(
    question="How long to dry it?",
    modes=(VACUUM, PURGE),
    mode_label="What carries the water off?",
    ask=("dry_temperature", "dry_time", "free_water", "dry_limit", "flow", "exit_temperature"),
    fields=(
        Field(
            "dry_temperature",
            "Drying temperature",
            "temperature",
            "150 °C",
            accepted=Range("20 °C", "3500 °C"),
            hint="What load, binder and seals allow.",
        ),
        Field(
            "dry_time",
            "Drying time",
            "time",
            "2 h",
            accepted=Range("1 min", "1000 h", because="Nobody dries shorter or longer."),
            hint="At that temperature.",
        ),
        Field(
            "free_water",
            "Free water (liquid or ice)",
            "mass",
            "0 g",
            default="0 g",
            accepted=Range("0 g", "5000 g", because="That much is poured out, not dried."),
            hint="Wet board, washed parts, condensate.",
        ),
        Field(
            "dry_limit",
            "Temperature that load, seals and furnace allow when drying",
            "temperature",
            "200 °C",
            optional=True,
            hint="From manual and data sheets.",
        ),
        Field(
            "flow",
            "Gas flow",
            "standard flow",
            "5 L/min",
            modes=P,
            accepted=Range("0 L/min", "1000 L/min", above=True),
            hint="What the flow meter is set to.",
        ),
        Field(
            "exit_temperature",
            "Temperature of the gas where it leaves",
            "temperature",
            "45 °C",
            modes=P,
            accepted=Range("0 °C", "300 °C"),
            hint="At the vent, not in the chamber.",
        ),
        Field(
            "insulation_mass",
            "Insulation mass",
            "mass",
            "17.7 kg",
            accepted=Range("0 kg", "1000 kg"),
            hint="Volume times density.",
        ),
        Field("insulation_thickness", "Insulation thickness", "length", "100 mm", accepted=Range("5 mm", "300 mm")),
        Field(
            "effective_speed",
            "Pumping speed at the chamber",
            "conductance",
            "2.6 L/s",
            modes=V,
            accepted=Range("0.001 L/s", "1000 L/s", because="Pumps and hoses of this kind lie within it."),
            find="line",
        ),
        Field(
            "flow_reference",
            "Reference condition of the flow",
            "choice",
            REFERENCES[0],
            choices=REFERENCES,
            modes=P,
            default=REFERENCES[0],
            hint="The flow meter's document names it.",
        ),
        Field(
            "adsorbed_water",
            "Adsorbed water, mass per mass of insulation",
            "number",
            "2.5e-4",
            default="2.5e-4",
            accepted=ADSORBED,
            hint="2.5e-4 after a night open; 1e-3 damp.",
        ),
        Field(
            "pump_vapour_limit",
            "Water-vapour limit of the pump",
            "absolute pressure",
            "20 mbar",
            modes=V,
            default="20 mbar",
            accepted=Range("0.01 mbar", "1 bar"),
            hint="Data sheet, gas ballast open; 10 to 40 mbar.",
        ),
        Field(
            "wet_temperature",
            "Temperature of the water or ice",
            "temperature",
            "20 °C",
            modes=V,
            default="20 °C",
            accepted=Range("-50 °C", "100 °C", because="Colder ice gives nothing off; hotter water is steam."),
        ),
        Field(
            "gas_temperature",
            "Gas temperature",
            "temperature",
            "20 °C",
            modes=V,
            default="20 °C",
            accepted=Range("-20 °C", "100 °C"),
            hint="At the pump, not in the furnace.",
        ),
        Field("gas", "Gas", "choice", "argon", modes=P, default="argon", choices=gases.NAMES, spoken=gases.FORMULAS),
        Field(
            "saturation_reached",
            "How near to saturation the gas leaves",
            "number",
            "0.6",
            modes=P,
            default="0.6",
            accepted=Range("0.3", "1"),
            hint="1 where the gas sweeps every corner.",
        ),
        Field(
            "chamber_pressure",
            "Chamber pressure",
            "absolute pressure",
            "1005 mbar",
            modes=P,
            default="101.325 kPa",
            accepted=Range(
                "10 mbar",
                "2 bar",
                because="Below that it is pumping; above it no chamber of this kind is built for it.",
            ),
        ),
        Field(
            "insulation_diffusivity",
            "Thermal diffusivity of the insulation",
            "diffusivity",
            "4e-7 m2/s",
            optional=True,
            in_example=False,
            accepted=Range("1e-9 m2/s", "1e-4 m2/s", because="No insulation lies outside it."),
            hint="Left empty: 4e-7 in gas, 1e-7 in vacuum.",
        ),
        Field(
            "heat_to_water",
            "Heat that reaches the water",
            "power",
            "50 W",
            default="50 W",
            accepted=Range("0.01 W", "100 kW", because="No furnace of this kind gives more."),
        ),
        Field("lining", "Lining", "choice", FIBRE, default=FIBRE, choices=(FIBRE, BRICK, CASTABLE)),
        Field("liquid", "What is dried off", "choice", WATER, default=WATER, choices=(WATER, SOLVENT)),
    ),
)

FIGURES = Figures(
    Shown("heat_time", "Time to heat the water off", "time", "min, h", "up, range", 2),
    Shown("removal_rate", "Water carried off", "mass rate", "g/h", "down, range", 3),
    Shown("removal_time", "Time to carry it off", "time", "min, h", "up, range", 2),
    Shown("heat_through_time", "Time to heat the insulation through", "time", "h", "up, range", 2),
    Shown("removed_fraction", "Share of bound water removed", "number", "%", "down, range", 2),
    Shown("water_left", "Bound water left", "mass", "g", "up, range", 2),
    Shown("water_release_rate", "Water still given off at the end", "throughput", "Pa m3/s", "up, range", 2),
    Shown("limiting", "What decides", "choice"),
)

READ_OFF = (
    ReadOff(
        caption="Share of bound water removed, middle of a range of 10 to 15 points either way",
        down=("dry_temperature", ("20 °C", "105 °C", "150 °C", "200 °C", "300 °C", "400 °C")),
        across=("dry_time", ("30 min", "2 h", "8 h", "24 h")),
        figures=("removed_fraction",),
        given={"dry_limit": ""},
    ),
    ReadOff(
        caption="Water that a purge carries off, gas leaving at a temperature, six tenths saturated, 1005 mbar, "
        "flow at 0 °C and 101.325 kPa",
        down=("exit_temperature", ("20 °C", "35 °C", "45 °C", "60 °C", "80 °C")),
        across=("flow", ("1 L/min", "2 L/min", "5 L/min", "10 L/min")),
        figures=("removal_rate",),
        given={"mode": PURGE},
    ),
)


# ---------------------------------------------------------------- physics


def saturation_pressure(temperature_k: float) -> float:
    """Return the vapour pressure of ice below 0 °C or of liquid water above it, Pa.

    Args:
        temperature_k: 223 K to 373.15 K.

    Source:
        calcs.water up to 58 °C; data/vacuum/water.csv above.
    """
    if temperature_k < constant("water.triple_point"):
        return water.ice_pressure(temperature_k)
    if temperature_k in water.LIQUID:
        return water.liquid_pressure(temperature_k)
    return water_pressure(temperature_k)


def pumped_off(vapour_pa: float, speed_m3_per_s: float, gas_temperature_k: float) -> float:
    """Return the water that a pump carries off, kg/s: m = p S M / (R T).

    Args:
        vapour_pa: pressure of the vapour at the chamber, Pa.
        speed_m3_per_s: pumping speed there, m³/s.
        gas_temperature_k: temperature at which that speed counts, K.

    Source:
        ideal gas; constants general.gas_constant, vacuum.water_molar_mass.
    """
    return (
        vapour_pa
        * speed_m3_per_s
        * constant("vacuum.water_molar_mass")
        / (constant("general.gas_constant") * gas_temperature_k)
    )


def purged_off(flow_mol_per_s: float, share: float, saturation_reached: float) -> float:
    """Return the water that a purge carries off, kg/s: m = n psi x/(1 - x) M.

    Args:
        flow_mol_per_s: gas that flows in, mol/s.
        share: mole fraction of water at saturation where the gas leaves, below 0.95.
        saturation_reached: how near to saturation the gas leaves, 0.3 to 1.

    Source:
        balance of amounts. How near the gas comes to saturation is common practice, no source.
    """
    return flow_mol_per_s * saturation_reached * share / (1 - share) * constant("vacuum.water_molar_mass")


def emptied_energy(temperature_k: float, time_s: float, attempts_per_s: float) -> float:
    """Return the binding energy up to which a surface has lost its water, J/mol: E = R T (ln(nu t) + gamma).

    Args:
        temperature_k: temperature, K.
        time_s: time at it, s, above 0.
        attempts_per_s: attempts to leave, 1/s.

    Source:
        first-order desorption from a wide spread of energies: Redhead 1995 (known, source not looked up); checked
        against the exact kinetics.
    """
    return (
        constant("general.gas_constant")
        * temperature_k
        * (log(attempts_per_s * time_s) + constant("dry_out.euler_gamma"))
    )


def _first_integral(x: float) -> float:
    """E1(x), the integral of exp(-u)/u from x to infinity; 0 where a float cannot hold it."""
    return exp(-x) * scaled_exponential_integral(x) if x < 700 else 0.0


def _tries(temperature_k: float, time_s: float, attempts_per_s: float) -> tuple[float, float]:
    """How often a molecule has tried with success in the time: (lowest energy, highest energy)."""
    rt = constant("general.gas_constant") * temperature_k
    low = constant("dry_out.lowest_binding")
    energies = (low, low + constant("vacuum.binding_spread"))
    return tuple(exp(min(log(attempts_per_s * time_s) - energy / rt, 700.0)) for energy in energies)


def removed_share(temperature_k: float, time_s: float, attempts_per_s: float) -> float:
    """Return the share of bound water that has left, 0 to 1, for energies spread evenly from 50 to 200 kJ/mol.

    Each energy empties as 1 - exp(-nu t exp(-E/RT)); the mean over the spread is
    1 - (RT/dE) (E1(nu t exp(-E2/RT)) - E1(nu t exp(-E1/RT))), which is (E - E1)/dE with E of emptied_energy while
    that lies well between the two.

    Args:
        temperature_k: 293 K to 873 K.
        time_s: time at it, s, above 0.
        attempts_per_s: 1e9 (caught again in pores) to 1e13 (bare surface).

    Source:
        first-order desorption from an even spread of energies, derived for this project; the idea: Redhead 1995.
    """
    lowest, highest = _tries(temperature_k, time_s, attempts_per_s)
    rt = constant("general.gas_constant") * temperature_k
    left = rt / constant("vacuum.binding_spread") * (_first_integral(highest) - _first_integral(lowest))
    return min(max(1 - left, 0.0), 1.0)


def removed_range(temperature_k: float, time_s: float) -> tuple[float, float, float]:
    """Return (middle, low, high) of the share of bound water removed.

    Args:
        temperature_k: 293 K to 873 K.
        time_s: time at it, s, above 0.

    Source:
        see removed_share.
    """
    slow, fast = constant("dry_out.attempts_slow"), constant("dry_out.attempts_fast")
    return tuple(removed_share(temperature_k, time_s, attempts) for attempts in (sqrt(slow * fast), slow, fast))


def release_rate(bound_kg: float, temperature_k: float, time_s: float, attempts_per_s: float = 1e11) -> float:
    """Return the water that still comes off, mol/s: n = (m/M) (R T/dE)/t, while energies remain to be emptied.

    Args:
        bound_kg: bound water at the start, kg.
        temperature_k: temperature, K.
        time_s: time at it, s.
        attempts_per_s: attempts to leave, 1/s.

    Source:
        derivative of removed_share.
    """
    amount = bound_kg / constant("vacuum.water_molar_mass")
    lowest, highest = _tries(temperature_k, time_s, attempts_per_s)
    still = exp(-min(highest, 700.0)) - exp(-min(lowest, 700.0))
    return (
        amount * constant("general.gas_constant") * temperature_k / constant("vacuum.binding_spread") / time_s * still
    )


def heat_through(thickness_m: float, diffusivity_m2_per_s: float) -> tuple[float, float]:
    """Return times, s, after which a slab heated on one face has its gradient, and is hot on the far face.

    t = f L²/a with f = 0.5 and 1.03.

    Args:
        thickness_m: thickness, m.
        diffusivity_m2_per_s: thermal diffusivity, m²/s.

    Source:
        series of the plane wall: Incropera (known, source not looked up); far face insulated, 90 % of the step at 1.03.
    """
    unit = thickness_m**2 / diffusivity_m2_per_s
    return constant("dry_out.gradient_time") * unit, constant("dry_out.through_time") * unit


# ---------------------------------------------------------------- the answer


@dataclass(frozen=True)
class Clocks:
    """Times in s as Estimates: heat, removal, heat_through; and the share of bound water removed."""

    heat: Estimate
    removal: Estimate
    through: Estimate
    removed: tuple[float, float, float]


def answer(inputs) -> Answer:
    """Return the clocks of drying, what stays bound, and which clock decides.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    _refuse(inputs)
    bound, removed = _bound_water(inputs), removed_range(inputs["dry_temperature"], inputs["dry_time"])
    carried = Estimate(
        inputs["free_water"] + bound.value * removed[0],
        inputs["free_water"] + bound.low * removed[1],
        inputs["free_water"] + bound.high * removed[2],
    )
    rate, wet_pressure = _removal(inputs)
    clocks = Clocks(_heat(inputs, carried), _ratio(carried, rate), _through(inputs), removed)
    limiting, verdict = _judge(inputs, clocks, wet_pressure)
    figures = FIGURES.fill(
        heat_time=clocks.heat,
        removal_rate=rate,
        removal_time=clocks.removal,
        heat_through_time=clocks.through,
        removed_fraction=Estimate(*removed, cause="how often water is caught again in the pores"),
        water_left=Estimate(
            bound.value * (1 - removed[0]),
            bound.low * (1 - removed[2]),
            bound.high * (1 - removed[1]),
            cause="how much water the insulation held",
        ),
        water_release_rate=_release(inputs, bound),
        limiting=limiting,
    )
    return Answer(
        sentence=_sentence(inputs, figures, limiting, clocks),
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=(
            "the history of the chamber: how wet it was is known to a factor of five",
            "parts of the lining that have not reached the drying temperature, and keep their water",
            "water in cement, hydrates and binders, and gas other than water",
        ),
        cautions=_cautions(inputs, wet_pressure),
        pictures=(_picture(inputs, removed),),
        working=_working(inputs, bound, carried, rate, clocks, wet_pressure),
        notes=_notes(inputs, clocks, wet_pressure),
    )


def _refuse(inputs) -> None:
    if inputs["lining"] == CASTABLE:
        raise Refused(
            "castable",
            "castables need their maker's schedule",
            "Water in a fresh castable or cement turns to steam inside it, and can burst it.",
            "Follow the heating schedule of its maker, step by step.",
            "Ask the maker of the lining.",
            field="lining",
        )
    if inputs["liquid"] == SOLVENT:
        raise Refused(
            "solvent",
            "solvent and binder are not water",
            "Their vapour can burn or poison, and spoils an oil pump; none of these figures holds for it.",
            "Dry the load where its vapour is extracted, before it comes into this furnace. See SAF-04 and SAF-03.",
            "Your safety officer decides.",
            field="liquid",
        )
    if inputs.mode == PURGE:
        gases.refuse_for_chamber(inputs["gas"])
        if inputs["gas"] == "water vapour":
            raise Refused("steam", "steam does not dry", "Steam brings water in.", "Choose a dry gas.", field="gas")
    limit = inputs["dry_limit"]
    if limit is not None and limit < DRY_TEMPERATURE.ends[0] - 1e-6:
        raise Refused(
            "no_dry_temperature",
            "nothing that load and seals allow dries it",
            f"The limit of {inputs.said('dry_limit')} lies below room temperature.",
            "Dry the chamber without this load, or dry the load elsewhere.",
            field="dry_limit",
        )
    if inputs["dry_temperature"] not in DRY_TEMPERATURE:
        raise Refused(
            "above_600",
            "above 600 °C it is a run, not a drying",
            f"You asked for {inputs.said('dry_temperature')}; these figures end at 600 °C.",
            "Plan it as a temperature programme (HT-01), with its own checks.",
            field="dry_temperature",
        )
    if limit is not None and inputs["dry_temperature"] > limit + 1e-6:
        raise Refused(
            "above_limit",
            "above what load and furnace allow",
            f"You asked for {inputs.said('dry_temperature')}; the limit that you gave is {inputs.said('dry_limit')}.",
            "Dry colder and longer, or without the part that sets the limit.",
            "The furnace's manual sets its own limit.",
            field="dry_temperature",
        )


def _bound_water(inputs) -> Estimate:
    """Bound water in the insulation, kg, known to about a factor of five."""
    value = inputs["adsorbed_water"] * inputs["insulation_mass"]
    return Estimate(value, value * constant("vacuum.water_low_factor"), value * constant("vacuum.water_high_factor"))


def _removal(inputs) -> tuple[Estimate, float]:
    """Water carried off, kg/s, with its range; and the vapour pressure of the water, Pa (under purge: at the exit)."""
    if inputs.mode == VACUUM:
        wet, limit = saturation_pressure(inputs["wet_temperature"]), inputs["pump_vapour_limit"]
        cold = min(wet, saturation_pressure(min(inputs["wet_temperature"], constant("general.zero_celsius"))))
        value, low = (
            pumped_off(min(p, limit), inputs["effective_speed"], inputs["gas_temperature"]) for p in (wet, cold)
        )
        return Estimate(value, low, value, cause="water that boils cools itself towards freezing"), wet
    share = _exit_share(inputs)
    value, low, high = (
        purged_off(inputs["flow"], share, psi) for psi in (inputs["saturation_reached"], 0.3, 1.0)
    )  # the range accepted
    return Estimate(value, low, high, cause="how near to saturation the gas leaves"), share * inputs["chamber_pressure"]


def _exit_share(inputs) -> float:
    """Mole fraction of water at saturation where the gas leaves."""
    exit_k = inputs["exit_temperature"]
    boiling = exit_k > constant("general.zero_celsius") + 100
    share = 1.0 if boiling else saturation_pressure(exit_k) / inputs["chamber_pressure"]
    if share >= constant("dry_out.steam_share"):
        raise Refused(
            "steam",
            "the gas would leave as steam",
            f"At {inputs.said('exit_temperature')} and this pressure the gas can hold more than 95 % water: "
            "saturation no longer limits it.",
            "Give the temperature at the vent, not in the chamber; or keep the vent cooler.",
            field="exit_temperature",
        )
    return share


def _heat(inputs, carried: Estimate) -> Estimate:
    """Time, s, in which the heat that reaches the water drives it off; bound water takes up to its binding energy."""
    frozen = inputs.mode == VACUUM and inputs["wet_temperature"] < constant("general.zero_celsius")
    needed = constant("dry_out.heat_of_sublimation" if frozen else "dry_out.heat_of_evaporation")
    free, power = inputs["free_water"], inputs["heat_to_water"]
    energy = emptied_energy(inputs["dry_temperature"], inputs["dry_time"], constant("dry_out.attempts_fast"))
    strongest = energy / constant("vacuum.water_molar_mass")
    high = (free * needed + (carried.high - free) * max(needed, strongest)) / power
    return Estimate(
        carried.value * needed / power,
        carried.low * needed / power,
        high,
        cause="how much water there is and how firmly it sits",
    )


def _ratio(carried: Estimate, rate: Estimate) -> Estimate:
    return Estimate(
        carried.value / rate.value,
        carried.low / rate.high,
        carried.high / rate.low,
        cause="how much water there is and how fast it is carried off",
    )


def _through(inputs) -> Estimate:
    typed = inputs["insulation_diffusivity"]
    usual = typed or constant("dry_out.diffusivity_vacuum" if inputs.mode == VACUUM else "dry_out.diffusivity_gas")
    spread = 1.0 if typed else constant("dry_out.diffusivity_factor")
    first, last = heat_through(inputs["insulation_thickness"], usual)
    cause = "from its gradient to the far face hot" + ("" if typed else ", and diffusivity known to a factor of 2")
    return Estimate(sqrt(first * last), first / spread, last * spread, cause=cause)


def _release(inputs, bound: Estimate) -> Estimate:
    """Water still given off at the end, as throughput at the gas temperature, Pa·m³/s."""
    rt = constant("general.gas_constant") * (inputs["gas_temperature"] or ROOM_K)
    attempts = constant("dry_out.attempts_slow"), constant("dry_out.attempts_fast")
    tried = (sqrt(attempts[0] * attempts[1]), *attempts)
    one = [release_rate(1.0, inputs["dry_temperature"], inputs["dry_time"], a) * rt for a in tried]
    low, high = min(one) * bound.low, max(one) * bound.high
    return Estimate(one[0] * bound.value, low, high, cause="how much water the insulation held")


def _judge(inputs, clocks: Clocks, wet_pressure) -> tuple[str, str]:
    """The clock that decides, and the verdict on the drying time."""
    time = inputs["dry_time"]
    named = {"heat": clocks.heat, "removal": clocks.removal, "heat-through": clocks.through}
    slowest = max(named, key=lambda n: named[n].value)
    highs = max(c.high for c in named.values())
    limiting = "release" if highs <= time else slowest
    free = inputs["free_water"]
    too_wet = inputs.mode == VACUUM and free and wet_pressure > inputs["pump_vapour_limit"]
    if too_wet or (free and time < clocks.removal.value):
        return "removal", "outside"
    if highs <= time:
        return limiting, "within"
    return limiting, "close" if max(c.low for c in named.values()) <= time else "outside"


def _percent(share: float, towards: str) -> str:
    return wording.with_unit(wording.number(share * 100, 2, towards), "%")


def _sentence(inputs, figures, limiting, clocks: Clocks) -> str:
    _, low, high = clocks.removed
    said = (
        f"{inputs.said('dry_time')} at {inputs.said('dry_temperature')} {inputs.mode} drives off "
        f"{wording.number(low * 100, 2, 'down')} to "
        f"{_percent(high, 'up')} of the bound water; the rest comes off when the chamber is later hotter than that"
    )
    decides = {
        "release": "time is not the limit: only more heat would drive off more",
        "heat": f"what decides is heat for the water, {figures['heat_time'].span}",
        "removal": f"what decides is carrying it off, {figures['removal_time'].span}",
        "heat-through": f"what decides is heating the lining through, {figures['heat_through_time'].span}",
    }[limiting]
    return f"{said}; {decides}."


def _cautions(inputs, wet_pressure) -> tuple[Caution, ...]:
    cautions = []
    if inputs["free_water"] > 0:
        cautions.append(
            Caution(
                "WARNING",
                "Steam in a closed chamber",
                "One gram of water makes 1.7 L of steam at 100 °C. With the way out shut it can throw the door or "
                "burst the chamber.",
                "Keep the vent or the pump valve open while it dries, prove the relief path free, and heat slowly.",
            )
        )
    if inputs.mode == PURGE:
        cautions.append(_at_the_vent(inputs["gas"]))
    if inputs.mode == VACUUM and inputs["dry_temperature"] > DRY_TEMPERATURE.ends[0] + 1:
        cautions.append(
            Caution(
                "NOTICE",
                "Heating under vacuum",
                "Elements, seals and insulation have their own limits in vacuum, and the back of the lining stays "
                "cold and wet.",
                "Heat under vacuum only where the manual allows it. Warm the lining under gas first, then pump.",
            )
        )
    if inputs.mode == VACUUM and (inputs["free_water"] > 0):
        cautions.append(
            Caution(
                "NOTICE",
                "Water in the pump",
                "Water that condenses in an oil pump spoils its oil and raises its end pressure.",
                "Open the gas ballast, let the pump get warm first, and purge most of the water off before pumping.",
            )
        )
    return tuple(cautions)


def _at_the_vent(gas: str) -> Caution:
    if gas == "air":
        harm, action = "Hot air and steam come out at the vent and scald.", "Lead the exhaust away from people."
        return Caution("CAUTION", "Hot wet air", harm, action)
    return Caution(
        "WARNING",
        "Air without oxygen",
        "All of the gas comes out at the vent, for hours, without any sign. It lowers the oxygen that people breathe.",
        "Lead the exhaust outdoors, watch the oxygen alarm, and look at SAF-01 for this room.",
    )


def _notes(inputs, clocks: Clocks, wet_pressure) -> tuple[str, ...]:
    notes = [
        "End the drying on a reading, not on the clock: a rise test (VAC-04) or the dew point at the vent (ATM-06)."
    ]
    if inputs.mode == VACUUM and clocks.through.low > inputs["dry_time"]:
        gas = heat_through(inputs["insulation_thickness"], constant("dry_out.diffusivity_gas"))
        notes.append(
            f"Under gas at room pressure the lining heats through in {wording.duration(gas[0], 'down')} to "
            f"{wording.duration(gas[1], 'up')}, "
            "give or take a factor of 2: warm it under purge, then pump."
        )
    if inputs.mode == VACUUM and inputs["free_water"] and wet_pressure > inputs["pump_vapour_limit"]:
        notes.append("The water's vapour pressure is above the limit of the pump: it would condense in the pump.")
    if inputs.mode == VACUUM and inputs["free_water"]:
        notes.append(
            "Pumped without heat, water cools itself: about 15 % evaporates and the rest is ice, which dries ten "
            "times more slowly."
        )
    if clocks.removed[1] < 1:
        notes.append("A second hold near the highest temperature of the run catches what this one leaves bound.")
    return tuple(notes)


def _picture(inputs, removed) -> Plot:
    """Share removed against time: cold, and at the drying temperature with its range."""
    hot, time = inputs["dry_temperature"], inputs["dry_time"]
    end = max(COLD_DAY_S, 2 * time)
    every = [600 * (end / 600) ** (i / 30) for i in range(31)]
    at_hot = [(t / HOUR_S, *(100 * share for share in removed_range(hot, t))) for t in every]
    at_room = [(t / HOUR_S, 100 * removed_range(ROOM_K, t)[0]) for t in every]
    hour, day = removed_range(hot, HOUR_S)[0], removed_range(ROOM_K, COLD_DAY_S)[0]
    said = units.from_si(hot, units.unit_of("temperature", "°C"))
    label = f"{wording.plain_number(round(said, 1))} °C"
    warmer = hot > ROOM_K + 1
    curves = [Curve(label, [(t, share) for t, share, _, _ in at_hot])]
    if warmer:
        curves.append(Curve("20 °C", at_room, dash="dashed"))
    if warmer and hour > day:
        sentence = f"An hour at {label} drives off more bound water than a day at 20 °C"
    else:
        sentence = f"At {label} a day drives off little more bound water than an hour"
    rows = [
        [wording.number(t), *(wording.number(share, 2) for share in (low, mid, high, cold))]
        for (t, mid, low, high), (_, cold) in zip(at_hot[::3], at_room[::3], strict=True)
    ]
    return Plot(
        sentence=sentence,
        description=f"Share of bound water removed in per cent against time in hours on a log scale, at {label} "
        "with its range and at 20 °C; "
        f"yours is {wording.number(removed[0] * 100, 2)} % after {wording.duration(time)}.",
        x=Axis("Time", "h", log=True),
        y=Axis("Bound water removed", "%", low=0, high=100),
        curves=tuple(curves),
        bands=(
            Band(f"range at {label}", [(t, low) for t, _, low, _ in at_hot], [(t, high) for t, _, _, high in at_hot]),
        ),
        marks=(Mark("yours", time / HOUR_S, 100 * removed[0]),) if time >= 600 else (),
        table=Table("Bound water removed", ("Time, h", "Low, %", "Middle, %", "High, %", "At 20 °C, middle, %"), rows),
    )


def _working(inputs, bound, carried, rate, clocks: Clocks, wet_pressure) -> tuple[Work, ...]:
    hot, time = inputs["dry_temperature"], inputs["dry_time"]
    fast, slow = (constant(f"dry_out.attempts_{name}") for name in ("fast", "slow"))
    carry = (
        Work(
            "Carried off by the pump",
            "m = p S M/(R T), p the vapour pressure of the water or the limit of the pump",
            f"vapour pressure {wet_pressure:.4g} Pa, limit {inputs['pump_vapour_limit']:.4g} Pa, S = "
            f"{inputs['effective_speed'] * 1e3:.4g} L/s",
            f"{rate.value * 3.6e6:.4g} g/h",
            ("general.gas_constant", "vacuum.water_molar_mass"),
            "murphy-koop-2005",
        )
        if inputs.mode == VACUUM
        else Work(
            "Carried off by the purge",
            "m = n ψ x/(1 − x) M, x = p_sat/p",
            f"n = {inputs['flow']:.4g} mol/s, x = {wet_pressure / inputs['chamber_pressure']:.4g}, ψ = "
            f"{inputs['saturation_reached']:g}",
            f"{rate.value * 3.6e6:.4g} g/h",
            ("vacuum.water_molar_mass",),
            "murphy-koop-2005",
        )
    )
    return (
        Work(
            "Bound water removed",
            "F = (E − 50 kJ/mol)/150 kJ/mol, E = R T (ln(ν t) + γ); near 200 kJ/mol by the exact integral",
            f"T = {hot:.2f} K, t = {time:.4g} s: E = {emptied_energy(hot, time, slow) / 1e3:.4g} kJ/mol at ν = "
            "10⁹/s, "
            f"{emptied_energy(hot, time, fast) / 1e3:.4g} at 10¹³/s",
            f"F = {clocks.removed[1]:.3g} to {clocks.removed[2]:.3g}",
            (
                "general.gas_constant",
                "dry_out.lowest_binding",
                "vacuum.binding_spread",
                "dry_out.attempts_slow",
                "dry_out.attempts_fast",
                "dry_out.euler_gamma",
            ),
            "redhead-1995",
        ),
        Work(
            "Water to be carried off",
            "free water + w m F",
            f"bound {bound.value * 1e3:.3g} g ({bound.low * 1e3:.2g} to {bound.high * 1e3:.3g})",
            f"{carried.low * 1e3:.2g} to {carried.high * 1e3:.3g} g",
            ("vacuum.water_low_factor", "vacuum.water_high_factor"),
        ),
        Work(
            "Heat",
            "t = m L/P; at most with the binding energy instead of L",
            f"P = {inputs['heat_to_water']:.4g} W",
            f"{clocks.heat.value:.3g} s ({clocks.heat.low:.2g} to {clocks.heat.high:.3g})",
            ("dry_out.heat_of_evaporation", "dry_out.heat_of_sublimation"),
        ),
        carry,
        Work(
            "Heat through the lining",
            "t = f L²/a, f = 0.5 to 1.03",
            f"L = {inputs['insulation_thickness'] * 1e3:.4g} mm",
            f"{clocks.through.low / 3600:.3g} to {clocks.through.high / 3600:.3g} h",
            ("dry_out.gradient_time", "dry_out.through_time", "dry_out.diffusivity_gas", "dry_out.diffusivity_vacuum"),
            "incropera",
        ),
    )
