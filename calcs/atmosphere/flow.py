"""Gas flow: one amount stated at different reference conditions, and what a meter means in another gas."""

from dataclasses import dataclass
from functools import cache
from math import sqrt

from calcs import gases, units, wording
from calcs.atmosphere.cylinder import TOXIC
from calcs.core import Answer, Caution, Column, Estimate, Figures, Range, ReadOff, Refused, Shown, Work
from calcs.data import constant, rows
from calcs.form import REFERENCES, Field, Form, Problems, flow_in_mol_per_s
from calcs.picture import Bar, Bars, Table
from calcs.vacuum.line import gas_viscosity

PAGE = "ATM-01"

REFERENCE, GAS = "change the reference", "change the gas"
BY_REFERENCE, BY_GAS = (REFERENCE,), (GAS,)
MIXTURE = "mixture"
THERMAL, LAMINAR, FLOAT = "thermal", "laminar", "variable area"
OXIDISERS = ("nitrous oxide", "ozone")  # named so that they are refused with a reason; a page does not offer them
SUM_TOLERANCE = 0.005  # a mixture adds up to 100 % within half a per cent; ours
HOT = 2.0  # times the stated flow from which the flow in the chamber is pointed out; ours

FLOW = Range("0 L/min", "1000 L/min", above=True, because="Instruments of this kind of furnace end well before that.")
TWENTY_BAR = "20 bar"
METER_PRESSURE = Range("1 kPa", because="In thinner gas no float swims.")


@dataclass(frozen=True)
class _FlowForm(Form):
    """A form that refuses a flow whose reference conditions are not said, and takes those typed behind the flow."""

    def read(self, typed: dict):
        typed = dict(typed)
        name = "flow_reading" if str(typed.get("mode") or "").strip() == GAS else "flow"
        stated = _stated(typed.get(name))
        if _blank(typed.get("flow_reference")) and stated and stated.reference:
            typed["flow_reference"] = stated.reference
        try:
            return super().read(typed)
        except Problems as trouble:
            if stated and _blank(typed.get("flow_reference")) and trouble.problems.keys() <= {name, "flow_reference"}:
                raise _reference_not_chosen() from None
            raise


def _blank(given) -> bool:
    text = (
        given.get("text", "") if isinstance(given, dict) else given[0] if isinstance(given, tuple) and given else given
    )
    return text is None or not str(text).strip()


def _stated(given):
    """What the text of a flow says, or None where it cannot be read."""
    text, unit = given, None
    if isinstance(given, dict):
        text, unit = given.get("text"), given.get("unit") or None
    elif isinstance(given, tuple) and len(given) == 2:
        text, unit = given
    try:
        return units.read("standard flow", text, unit) if isinstance(text, str) and text.strip() else None
    except units.Unreadable:
        return None


def _reference_not_chosen() -> Refused:
    return Refused(
        "reference_not_chosen", "the reference conditions are not chosen",
        "A standard flow is a name for an amount of gas, and the name means something only with its temperature and "
        "pressure: "
        "the amount differs by up to 9 %.",
        "Choose them, or type them behind the flow: “2 L/min (0 degC, 101.325 kPa)”. The instrument's document names "
        "them.",
        field="flow_reference",
    )  # fmt: skip


FORM = _FlowForm(
    question="Which flow is that?",
    modes=(REFERENCE, GAS),
    ask=("flow", "flow_reading", "flow_reference", "gas", "instrument_principle", "calibration_gas",
         "instrument_factor"),
    fields=(
        Field("flow", "Gas flow", "standard flow", "2 L/min", modes=BY_REFERENCE, accepted=FLOW,
              hint="As the instrument or the recipe states it."),
        Field("flow_reading", "Flow that the instrument shows", "standard flow", "2 L/min", modes=BY_GAS, accepted=FLOW,
              hint="Or the flow that you want to have."),
        Field("flow_reference", "Reference condition of the flow", "choice", REFERENCES[0], choices=REFERENCES,
              hint="The instrument's document names it."),
        Field("gas", "Gas", "choice", "argon", choices=(*gases.NAMES, MIXTURE),
              spoken=gases.FORMULAS | {name: name for name in (*TOXIC, *OXIDISERS)}, hint="What flows now."),
        Field("mixture", "Mixture", "table", ({"gas": "argon", "share": "98 %"}, {"gas": "hydrogen", "share": "2 %"}),
              optional=True, in_example=False, rows_allowed=(1, 6),
              row=r"(?P<gas>[A-Za-z][A-Za-z0-9 ]*?)[\s:,]+(?P<share>[\d.,]+\s*\S*)",
              hint="Only where the gas is a mixture: one row a gas, such as argon 98 %.",
              columns=(Field("gas", "Gas", "choice", "argon", choices=gases.NAMES, spoken=gases.FORMULAS),
                       Field("share", "Share", "mole fraction", "98 %", accepted=Range("0 %", "100 %")))),
        Field("instrument_principle", "Kind of instrument", "choice", "thermal", choices=(THERMAL, LAMINAR, FLOAT),
              modes=BY_GAS,
              hint="Heated tube, pressure drop, or float."),
        Field("calibration_gas", "Gas it is calibrated for", "choice", "nitrogen", choices=gases.NAMES,
              spoken=gases.FORMULAS,
              modes=BY_GAS, hint="On its label or certificate."),
        Field("instrument_factor", "Factor in the instrument's own document", "number", "1.39", modes=BY_GAS,
              optional=True,
              accepted=Range("0.1", "10", because="No two gases of the table differ by more."),
              hint="True flow over shown; it beats the calculated one."),
        Field("chamber_temperature", "Chamber temperature", "temperature", "600 °C", modes=BY_REFERENCE,
              default="20 °C",
              accepted=Range("100 K", "2000 K", because="Outside it no chamber of this kind runs.")),
        Field("chamber_pressure", "Chamber pressure", "absolute pressure", "1005 mbar", modes=BY_REFERENCE,
              default="101.325 kPa",
              accepted=Range("1 Pa", because="In thinner gas a flow is a throughput: see the vacuum pages."),
              hint="Absolute, at most 20 bar."),
        Field("duration", "Duration", "time", "7 h", modes=BY_REFERENCE, optional=True,
              accepted=Range("0 s", "100000 h", above=True, because="No run lasts ten years.")),
        Field("price", "Price of gas per m3 (15 °C, 1 bar)", "number", "9.50", menu=("1",), modes=BY_REFERENCE, optional=True,
              accepted=Range("0", "1e6", above=True), hint="In any money, from the bill."),
        Field("flow_sensor_temperature", "Temperature of a thermal flow sensor", "temperature", "25 °C", modes=BY_GAS,
              default="25 °C", accepted=Range("0 °C", "150 °C", because="The table of heat capacities ends there.")),
        Field("gas_temperature", "Gas temperature", "temperature", "20 °C", modes=BY_GAS, default="20 °C",
              accepted=Range("0 °C", "100 °C", because="No gas line at a flow meter is colder or hotter."),
              hint="In the instrument."),
        Field("gas_pressure", "Gas pressure in the instrument", "absolute pressure", "1.4 bar", modes=BY_GAS,
              default="101.325 kPa", accepted=METER_PRESSURE, hint="Only a float meter asks for it."),
        Field("calibration_temperature", "Scale made for a gas at", "temperature", "20 °C", modes=BY_GAS,
              default="20 °C",
              accepted=Range("0 °C", "100 °C", because="No scale of the trade is made for another."),
              hint="On the float meter's tube."),
        Field("calibration_pressure", "Scale made for a pressure of", "absolute pressure", "1.4 bar", modes=BY_GAS,
              default="101.325 kPa", accepted=METER_PRESSURE, hint="On the float meter's tube."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("molar_flow", "Amount flow", "molar flow", "mmol/min, mol/s", "near", 4, BY_REFERENCE),
    Shown("flow_at_0c", "Flow at 0 °C, 101.325 kPa", "standard flow", "L/min, mL/min", "near", 4, BY_REFERENCE),
    Shown("actual_flow", "Flow at chamber temperature and pressure", "actual flow", "L/min, m3/h", "near", 3,
          BY_REFERENCE),
    Shown("mass_flow", "Mass flow", "mass rate", "g/min", "near", 4, BY_REFERENCE),
    Shown("amount", "Amount over the duration", "amount", "mol", "up", 3, BY_REFERENCE),
    Shown("mass", "Mass over the duration", "mass", "kg, g", "up", 3, BY_REFERENCE),
    Shown("bill_volume", "Volume over the duration at 15 °C, 1 bar", "volume", "m3, L", "up", 3, BY_REFERENCE),
    Shown("cost", "Cost, in the money of the price", "number", "1", "up", 3, BY_REFERENCE),
    Shown("true_flow", "True flow", "standard flow", "L/min, mL/min", "range", 3, BY_GAS),
    Shown("setting", "Setting that gives the flow wanted", "standard flow", "L/min, mL/min", "near", 3, BY_GAS),
    Shown("gas_factor", "Gas factor, true over shown", "number", "1", "range", 4, BY_GAS),
    Shown("viscosity", "Viscosity of the gas", "viscosity", "µPa s", "near", 3, BY_GAS),
    Shown("flows", "Flow at every reference", "table", modes=BY_REFERENCE, columns=(
        Column("reference", "Reference condition"),
        Column("flow", "Flow", "standard flow", "mL/min", 5),
    )),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="What 1 L/min is, by the reference conditions at which it is stated",
        down=("flow_reference", REFERENCES),
        figures=("molar_flow", "flow_at_0c"),
        given={"flow": "1 L/min", "duration": "", "price": ""},
    ),
    ReadOff(
        caption="Calculated gas factor, true flow over shown, of an instrument calibrated for nitrogen: sensor at 25 "
        "°C, gas at "
        "20 °C, float scale and gas at one pressure",
        down=("gas", ("air", "argon", "helium", "hydrogen", "carbon dioxide", "neon", "krypton", "xenon")),
        across=("instrument_principle", (THERMAL, LAMINAR, FLOAT)),
        figures=("gas_factor",),
        given={"mode": GAS, "instrument_factor": ""},
    ),
)


# ---------------------------------------------------------------- physics


def restated(volume_flow_m3_per_s: float, from_reference: str, to_reference: str) -> float:
    """Return a standard flow at other reference conditions, m³/s: Q2 = Q1 (p1/p2)(T2/T1).

    Args:
        volume_flow_m3_per_s: the flow as stated.
        from_reference: the conditions it is stated at, a name of REFERENCES.
        to_reference: the conditions wanted.

    Source:
        ideal gas, which is what a standard flow means by convention.
    """
    (t1, p1), (t2, p2) = units.REFERENCES[from_reference], units.REFERENCES[to_reference]
    return volume_flow_m3_per_s * p1 / p2 * t2 / t1


def molar_mass(shares: dict[str, float]) -> float:
    """Return the molar mass of a gas or mixture, kg/mol.

    Args:
        shares: gas to mole fraction, adding to 1.

    Source:
        the common table of gases.
    """
    return sum(share * gases.gas(name).molar_mass for name, share in shares.items())


@cache
def _heat_capacities() -> dict[str, tuple[int, list[tuple[float, float]]]]:
    found = {}
    for row in rows("atmosphere/heat_capacity.csv"):
        zero = constant("general.zero_celsius")
        points = [(float(column) + zero, float(cell)) for column, cell in row.items() if column not in ("gas", "atoms")]
        found[row["gas"]] = int(row["atoms"]), points
    return found


def heat_capacity(shares: dict[str, float], temperature_k: float) -> float:
    """Return the molar heat capacity at constant pressure of a gas or mixture at 1 atm, J/(mol K).

    Args:
        shares: gas to mole fraction, adding to 1.
        temperature_k: 273.15 K to 423.15 K.

    Raises:
        Refused: no_gas_data for water vapour, which is no gas at these temperatures.

    Source:
        data/atmosphere/heat_capacity.csv, read from CoolProp 8.0; straight between its columns.
    """
    return sum(share * _heat_capacity(name, temperature_k) for name, share in shares.items())


def _heat_capacity(name: str, temperature_k: float) -> float:
    if name not in _heat_capacities():
        raise _no_data(name, "thermal")
    _, points = _heat_capacities()[name]
    for (t1, c1), (t2, c2) in zip(points, points[1:], strict=False):
        if temperature_k <= t2 * (1 + 1e-9):
            return c1 + (c2 - c1) * (temperature_k - t1) / (t2 - t1)
    raise ValueError(f"{temperature_k} K lies outside the table of heat capacities")


def _no_data(name: str, principle: str) -> Refused:
    return Refused(
        "no_gas_data", "no data for this gas and instrument",
        f"The table holds nothing on {name} in a {principle} instrument.",
        "Ask the maker of the instrument for its factor and type it.", field="gas",
    )  # fmt: skip


def mixture_viscosity(shares: dict[str, float], temperature_k: float) -> float:
    """Return the viscosity of a gas or mixture at low pressure, Pa s.

    Args:
        shares: gas to mole fraction, adding to 1.
        temperature_k: 273 K to 373 K.

    Raises:
        Refused: no_gas_data where a viscosity is missing.

    Source:
        Wilke 1950, in Poling, Prausnitz and O'Connell, chapter 9 (known, source not looked up); within about
        5 %, worse for hydrogen or helium with a heavy gas.
    """
    parts = [(share, gas_viscosity(name, temperature_k), gases.gas(name).molar_mass) for name, share in shares.items()]
    total = 0.0
    for share, viscosity, mass in parts:
        weight = sum(other * _wilke(viscosity / v, mass / m) for other, v, m in parts)
        total += share * viscosity / weight
    return total


def _wilke(viscosity_ratio: float, mass_ratio: float) -> float:
    return (1 + sqrt(viscosity_ratio) * mass_ratio**-0.25) ** 2 / sqrt(8 * (1 + mass_ratio))


def thermal_factor(calibrated: dict[str, float], flowing: dict[str, float], sensor_k: float) -> float:
    """Return true over shown flow of a thermal instrument: the ratio of the molar heat capacities.

    Args:
        calibrated: gas that it is calibrated for, as gas to mole fraction.
        flowing: gas that flows.
        sensor_k: temperature of the sensor, 273.15 K to 423.15 K.

    Source:
        the signal goes with amount flow times molar heat capacity: common practice, no source; heat capacities from
        data/atmosphere/heat_capacity.csv.
    """
    return heat_capacity(calibrated, sensor_k) / heat_capacity(flowing, sensor_k)


def laminar_factor(calibrated: dict[str, float], flowing: dict[str, float], gas_k: float) -> float:
    """Return true over shown flow of a laminar instrument: the ratio of the viscosities.

    Args:
        calibrated: gas that it is calibrated for, as gas to mole fraction.
        flowing: gas that flows.
        gas_k: gas in the instrument, 273 K to 373 K.

    Source:
        Hagen and Poiseuille at one pressure drop.
    """
    return mixture_viscosity(calibrated, gas_k) / mixture_viscosity(flowing, gas_k)


def float_factor(mass_ratio: float, pressure_ratio: float = 1.0, temperature_ratio: float = 1.0) -> float:
    """Return true over shown standard flow of a float meter: sqrt((M_cal/M) (p/p_cal) (T_cal/T)).

    Args:
        mass_ratio: molar mass of the calibration gas over that of the flowing gas.
        pressure_ratio: gas pressure over that of the scale, both absolute.
        temperature_ratio: temperature of the scale over gas temperature, both in K.

    Source:
        balance of forces on the float, its drag taken as free of viscosity; handbooks of flow measurement (known,
        source not looked up).
    """
    return sqrt(mass_ratio * pressure_ratio * temperature_ratio)


def gas_amount(flow_mol_per_s: float, duration_s: float) -> tuple[float, float]:
    """Return (mol, m³ at 15 °C and 1 bar) of a flow over a time.

    Args:
        flow_mol_per_s: amount flow.
        duration_s: time.

    Source:
        ideal gas at the conditions of the gas bill: constants atmosphere.bill_temperature, bill_pressure.
    """
    amount = flow_mol_per_s * duration_s
    bill = (
        constant("general.gas_constant")
        * constant("atmosphere.bill_temperature")
        / constant("atmosphere.bill_pressure")
    )
    return amount, amount * bill


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return what a flow is at other conditions, or what an instrument means in another gas.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    shares = _shares(inputs)
    return _change_reference(inputs, shares) if inputs.mode == REFERENCE else _change_gas(inputs, shares)


def _shares(inputs) -> dict[str, float]:
    """The gas as gas to mole fraction; refuses what no instrument of this kind should carry."""
    name = inputs["gas"]
    if name in TOXIC:
        raise _toxic(name.capitalize())
    if name in OXIDISERS:
        raise _oxygen_rich(f"{name.capitalize()} feeds a fire as oxygen does.")
    if name != MIXTURE:
        return {name: 1.0}
    if not inputs["mixture"]:
        raise Problems(
            {"mixture": "Mixture is empty. Type each gas with its share, such as argon 98 % · hydrogen 2 %."}
        )
    shares: dict[str, float] = {}
    for row in inputs["mixture"]:
        shares[row["gas"]] = shares.get(row["gas"], 0.0) + row["share"]
    total = sum(shares.values())
    if abs(total - 1) > SUM_TOLERANCE:
        raise Refused(
            "mixture_sum", "the shares do not add up",
            f"They come to {wording.number(total * 100, 4)} %; a mixture adds up to 100 %, within half a per cent.",
            "Check the certificate of the mixture, and type every gas of it.", field="mixture",
        )  # fmt: skip
    shares = {gas: share / total for gas, share in shares.items() if share > 0}
    _refuse_mixture(shares)
    return shares


def _refuse_mixture(shares) -> None:
    if len(shares) == 1:
        return
    oxygen = shares.get("oxygen", 0.0) + shares.get("air", 0.0) * constant("general.oxygen_in_air")
    if oxygen > constant("general.oxygen_rich_limit"):
        raise _oxygen_rich("Above 23.5 % oxygen, metals, seals and pump oil burn that would not burn in air.")
    if oxygen and any(gases.gas(name).kind == "flammable" for name in shares):
        raise _oxygen_rich("A gas that burns together with oxygen or air can explode in the pipe.")
    if "carbon monoxide" in shares:
        raise _toxic("A mixture with carbon monoxide")


def _oxygen_rich(why: str) -> Refused:
    return Refused(
        "oxygen_rich", "this gas is a fire hazard", why, "This page does not work with it.",
        "Ask the furnace's maker and your safety officer.", field="gas",
    )  # fmt: skip


def _toxic(what: str) -> Refused:
    return Refused(
        "toxic_gas", "this gas is toxic",
        f"{what} needs a gas cabinet, detection and treatment of the exhaust that were built for it.",
        "Choose an inert gas.", "Your safety officer decides on anything else.", field="gas",
    )  # fmt: skip


def _refuse_above_20_bar(inputs, name: str) -> None:
    if inputs[name] not in Range(None, TWENTY_BAR):
        raise Refused(
            "above_20_bar", "that is above 20 bar",
            "At cylinder pressure gases are no longer ideal, and volumes worked out here would be wrong.",
            "For the content of a cylinder see ATM-07.", field=name,
        )  # fmt: skip


# ---- change the reference


def _change_reference(inputs, shares) -> Answer:
    _refuse_above_20_bar(inputs, "chamber_pressure")
    read = inputs.reads["flow"]
    stated = read.reference or inputs["flow_reference"]
    flow = flow_in_mol_per_s(read.si, stated)
    actual = flow * constant("general.gas_constant") * inputs["chamber_temperature"] / inputs["chamber_pressure"]
    amount = bill = None
    if inputs["duration"] is not None:
        amount, bill = gas_amount(flow, inputs["duration"])
    mass = molar_mass(shares)
    figures = FIGURES.fill(
        molar_flow=flow, flow_at_0c=restated(read.si, stated, REFERENCES[0]), mass_flow=flow * mass, actual_flow=actual,
        amount=amount, mass=None if amount is None else amount * mass, bill_volume=bill,
        cost=bill * inputs["price"] if bill is not None and inputs["price"] is not None else None,
        flows=[{"reference": _said(r), "flow": restated(read.si, stated, r)} for r in REFERENCES],
    )  # fmt: skip
    return Answer(
        sentence=_reference_sentence(inputs, shares, stated, figures),
        verdict="close" if actual > HOT * read.si else "within",
        figures=figures,
        leaves_out=(
            "the meter's own gas and calibration: for another gas than its own choose “change the gas”",
            "how far the gas in the chamber is from the temperature typed",
            "that real gas at 1 bar differs from an ideal one: argon by 0.1 %, carbon dioxide by 0.7 %",
        ),
        cautions=_cautions(shares, figures),
        pictures=(_reference_picture(inputs, stated, read.si, actual),),
        working=_reference_working(inputs, stated, read.si, flow, actual, mass, amount, bill),
        notes=_reference_notes(inputs, shares, stated, read, actual),
    )


def _said(reference: str) -> str:
    return reference.replace("degC", "°C").replace("degF", "°F").replace(" °", wording.NO_BREAK + "°")


def _reference_sentence(inputs, shares, stated, figures) -> str:
    text = (
        f"{inputs.said('flow')} of {_name(shares)} at {_said(stated)} is {figures['actual_flow'].text} in a chamber at "
        f"{inputs.said('chamber_temperature')} and {inputs.said('chamber_pressure')}, and {figures['molar_flow'].text} "
        f"in any case"
    )
    if "bill_volume" in figures:
        text += (
            f"; in {inputs.said('duration')} that is {figures['bill_volume'].text} of the supplier's gas (15 °C, 1 bar)"
        )
    if "cost" in figures:
        text += f", which costs {figures['cost'].text}"
    return f"{text}."


def _reference_notes(inputs, shares, stated, read, actual) -> tuple[str, ...]:
    notes = []
    if read.reference and read.reference != inputs["flow_reference"]:
        notes.append(
            f"The flow was typed with its own reference, {_said(stated)}; that one counts, not the one chosen."
        )
    if actual > HOT * read.si:
        notes.append(
            f"In the chamber the flow is {wording.number(actual / read.si, 2)} times the figure stated. It sets how "
            f"often the "
            "gas changes and how fast it leaves the vent; the figure stated sets what the cylinder loses."
        )
    if "water vapour" in shares:
        notes.append("Steam turns to water in a cold line: no volume of it exists at these reference conditions.")
    if inputs["gas"] != MIXTURE and inputs["mixture"]:
        notes.append("The rows of the mixture are not used, because the gas is not “mixture”.")
    if inputs["price"] is not None and inputs["duration"] is None:
        notes.append("Type a duration to see the cost.")
    return tuple(notes)


def _reference_picture(inputs, stated, volume_flow, actual) -> Bars:
    values = [(f"as stated, at {_said(stated)}", volume_flow * 6e4), ("in the chamber", actual * 6e4)]
    more, times = actual >= volume_flow, max(actual, volume_flow) / min(actual, volume_flow)
    return Bars(
        sentence=f"In the chamber the same gas flows with {wording.number(times, 3)} times "
                 f"{'the' if more else 'less than the'} "
        "volume stated" if times > 1.005 else "In the chamber the gas flows with the volume stated",
        description=f"Two bars in L/min: {wording.number(values[0][1])} as stated and {wording.number(values[1][1])} "
                    f"in the chamber "
        f"at {inputs.said('chamber_temperature')} and {inputs.said('chamber_pressure')}.",
        unit="L/min",
        bars=tuple(Bar(label, value) for label, value in values),
        table=Table("The same gas at two conditions", ("Conditions", "Flow, L/min"), [[n, wording.number(v, 4)] for n,
                                                                                      v in values]),
    )  # fmt: skip


def _reference_working(inputs, stated, volume_flow, flow, actual, mass, amount, bill) -> tuple[Work, ...]:
    temperature, pressure = units.REFERENCES[stated]
    steps = [
        Work("Amount flow", "n = p_ref Q / (R T_ref)",
             f"p_ref = {pressure:.7g} Pa, Q = {volume_flow:.5g} m³/s, T_ref = {temperature:.6g} K",
             f"n = {flow:.6g} mol/s",
             ("general.gas_constant",), "start-din-1343"),
        Work("Flow in the chamber", "Q = n R T / p",
             f"T = {inputs['chamber_temperature']:.5g} K, p = {inputs['chamber_pressure']:.6g} Pa",
             f"Q = {actual * 6e4:.5g} L/min",
             ("general.gas_constant",)),
        Work("Mass flow", "m = n M", f"M = {mass * 1e3:.6g} g/mol", f"m = {flow * mass * 6e4:.5g} g/min",
             source="coolprop"),
    ]  # fmt: skip
    if amount is not None:
        steps.append(
            Work("Volume on the bill", "V = n t R T_b / p_b", f"n t = {amount:.5g} mol", f"V = {bill:.5g} m³",
                 ("atmosphere.bill_temperature", "atmosphere.bill_pressure", "general.gas_constant"))
        )  # fmt: skip
    return tuple(steps)


# ---- change the gas


def _change_gas(inputs, shares) -> Answer:
    principle, calibrated = inputs["instrument_principle"], {inputs["calibration_gas"]: 1.0}
    calculated, spread = None, 0.0
    try:
        calculated, spread = _calculated(inputs, principle, calibrated, shares)
    except Refused:
        if inputs["instrument_factor"] is None:
            raise
    own = inputs["instrument_factor"]
    if own is not None:
        factor = own
    elif spread:
        factor = Estimate(calculated, calculated * (1 - spread), calculated * (1 + spread), _cause(principle))
    else:
        factor = calculated
    reading = inputs.reads["flow_reading"].si
    value = own if own is not None else calculated
    true = (
        Estimate(reading * value, reading * factor.low, reading * factor.high, factor.cause)
        if spread and own is None
        else (reading * value)
    )
    figures = FIGURES.fill(
        true_flow=true,
        setting=reading / value,
        gas_factor=factor,
        viscosity=_viscosity_or_none(shares, inputs["gas_temperature"]),
    )
    far = abs(value - 1) > constant("flow.factor_near_one") and own is None
    return Answer(
        sentence=_gas_sentence(inputs, shares, figures, own),
        verdict="close" if far else "within",
        figures=figures,
        leaves_out=_gas_leaves_out(principle),
        cautions=_gas_cautions(inputs, shares, value, figures),
        pictures=(_gas_picture(inputs, reading, figures["true_flow"]),),
        working=_gas_working(inputs, principle, shares, calculated, own),
        notes=_gas_notes(inputs, shares, principle, calculated, own, far),
    )


def _calculated(inputs, principle, calibrated, shares) -> tuple[float, float]:
    """The gas factor and its spread as a share; none where nothing changes."""
    same = shares == calibrated
    if principle == THERMAL:
        factor = thermal_factor(calibrated, shares, inputs["flow_sensor_temperature"])
        atoms = max(_heat_capacities()[name][0] for name in (*calibrated, *shares))
        spread = constant("flow.thermal_spread" if atoms <= 2 else "flow.thermal_spread_large")
    elif principle == LAMINAR:
        factor = laminar_factor(calibrated, shares, inputs["gas_temperature"])
        spread = constant("flow.laminar_spread") + (
            constant("flow.mixture_viscosity_spread") if len(shares) > 1 else 0.0
        )
    else:
        for name in ("gas_pressure", "calibration_pressure"):
            _refuse_above_20_bar(inputs, name)
        pressures = inputs["gas_pressure"] / inputs["calibration_pressure"]
        temperatures = inputs["calibration_temperature"] / inputs["gas_temperature"]
        factor = float_factor(molar_mass(calibrated) / molar_mass(shares), pressures, temperatures)
        same = same and abs(factor - 1) < 1e-12
        spread = constant("flow.float_spread")
    return factor, 0.0 if same else spread


def _cause(principle) -> str:
    return {
        THERMAL: "what the maker adds for the structure of the molecule",
        LAMINAR: "the viscosities and the ends of the laminar path",
        FLOAT: "the drag of the float, which hangs on the viscosity too",
    }[principle]


def _viscosity_or_none(shares, temperature) -> float | None:
    try:
        return mixture_viscosity(shares, temperature)
    except Refused:
        return None


def _name(shares) -> str:
    """The gas in words: argon, or argon with 2 % hydrogen."""
    if len(shares) == 1:
        return next(iter(shares))
    first, *others = sorted(shares, key=shares.get, reverse=True)
    said = (f"{wording.with_unit(wording.plain_number(shares[other] * 100), '%')} {other}" for other in others)
    return f"{first} with {wording.listed(said)}"


def _gas_sentence(inputs, shares, figures, own) -> str:
    shown, true = inputs.said("flow_reading"), figures["true_flow"]
    span = f" ({true.span})" if true.low_value is not None else ""
    by = "by the factor of its own document" if own is not None else f"as a {inputs['instrument_principle']} instrument"
    stated = _said(inputs.reads["flow_reading"].reference or inputs["flow_reference"])
    return (
        f"Shown {shown}, calibrated for {inputs['calibration_gas']}: with {_name(shares)} the true flow is about "
        f"{true.text}{span} at "
        f"{stated}, {by}. For a true {shown} set {figures['setting'].text}."
    )


def _gas_leaves_out(principle) -> tuple[str, ...]:
    own = {
        THERMAL: "the structure factor of the maker, and drift of an instrument mounted upright or fed above 1 to 2 "
        "bar",
        LAMINAR: "the pressure in the instrument, if it does not measure it",
        FLOAT: "that the drag of a small float or ball hangs on the viscosity too",
    }[principle]
    return (
        own,
        "dirt, wear and the calibration itself: 1 % to 2 % of full scale is usual",
        "leaks between instrument and chamber",
    )


def _gas_notes(inputs, shares, principle, calculated, own, far) -> tuple[str, ...]:
    notes = []
    if own is not None and calculated is not None:
        notes.append(
            f"Calculated from the gas data it would be {wording.number(calculated, 4)}; the factor typed was used."
        )
        if abs(own * calculated - 1) < 0.5 * abs(own - calculated) and abs(calculated - 1) > constant(
            "flow.factor_near_one"
        ):
            notes.append(
                "The factor typed looks like the inverse of the calculated one. Here it means true flow over shown; "
                "some documents "
                "print shown over true."
            )
    if far:
        notes.append(
            "Without the factor of the instrument's own document this is a calculation for instruments of its kind, "
            "not for yours."
        )
    atoms = max((_heat_capacities()[n][0] for n in shares if n in _heat_capacities()), default=0)
    if principle == THERMAL and own is None and atoms > 2:
        notes.append(
            "The heat capacity of gases of three and more atoms changes with the sensor's temperature: ask for the "
            "maker's factor."
        )
    if principle == LAMINAR and {"hydrogen", "helium"} & shares.keys() and len(shares) > 1:
        notes.append(
            "Viscosities of mixtures with hydrogen or helium do not lie between those of the parts; Wilke's rule is "
            "off by several per cent."
        )
    if "water vapour" in shares:
        notes.append("Steam turns to water in a cold instrument.")
    if inputs["gas"] != MIXTURE and inputs["mixture"]:
        notes.append("The rows of the mixture are not used, because the gas is not “mixture”.")
    return tuple(notes)


def _gas_picture(inputs, reading, true) -> Bars:
    shown, value = reading * 6e4, true.value * 6e4
    low, high = (None if end is None else end * 6e4 for end in (true.low_value, true.high_value))
    change = (value / shown - 1) * 100
    word = "more" if change > 0 else "less"
    table = [["shown", wording.number(shown, 4), "–"],
             ["true", wording.number(value, 3),
              "–" if low is None else f"{wording.number(low)} to {wording.number(high)}"]]  # fmt: skip
    return Bars(
        sentence=f"{wording.number(abs(change), 2)} % {word} gas flows than the instrument shows" if abs(change) >= 0.05
        else "The instrument shows what flows",
        description=f"Two bars in L/min: {wording.number(shown)} shown and {wording.number(value)} true.",
        unit="L/min",
        bars=(Bar("shown", shown), Bar("true", value, low, high)),
        table=Table("Shown and true flow", ("Flow", "L/min", "Range, L/min"), table),
    )  # fmt: skip


def _gas_working(inputs, principle, shares, calculated, own) -> tuple[Work, ...]:
    steps = []
    calibrated = {inputs["calibration_gas"]: 1.0}
    if calculated is not None and principle == THERMAL:
        sensor = inputs["flow_sensor_temperature"]
        steps.append(Work(
            "Thermal instrument", "F = c_p(calibration gas) / c_p(gas), both molar, at the sensor",
            f"c_p = {heat_capacity(calibrated, sensor):.5g} and {heat_capacity(shares, sensor):.5g} J/(mol·K) at "
            f"{sensor:.5g} K",
            f"F = {calculated:.5g}", source="coolprop"))  # fmt: skip
    elif calculated is not None and principle == LAMINAR:
        gas_k = inputs["gas_temperature"]
        steps.append(Work(
            "Laminar instrument", "F = η(calibration gas) / η(gas)",
            f"η = {mixture_viscosity(calibrated, gas_k) * 1e6:.4g} and {mixture_viscosity(shares, gas_k) * 1e6:.4g} "
            f"µPa·s at {gas_k:.5g} K",
            f"F = {calculated:.5g}", source="poling-properties" if len(shares) > 1 else "coolprop"))  # fmt: skip
    elif calculated is not None:
        steps.append(Work(
            "Float meter", "F = √((M_cal/M) (p/p_cal) (T_cal/T))",
            f"M_cal = {molar_mass(calibrated) * 1e3:.5g}, M = {molar_mass(shares) * 1e3:.5g} g/mol, p = "
            f"{inputs['gas_pressure']:.6g} Pa, "
            f"p_cal = {inputs['calibration_pressure']:.6g} Pa, T_cal = {inputs['calibration_temperature']:.5g} K, "
            f"T = {inputs['gas_temperature']:.5g} K", f"F = {calculated:.5g}", source="float-density"))  # fmt: skip
    factor = calculated if own is None else own
    shown = inputs.reads["flow_reading"].si * 6e4
    steps.append(
        Work(
            "True flow",
            "Q = F Q_shown",
            f"F = {factor:.5g}, Q_shown = {shown:.5g} L/min",
            f"Q = {factor * shown:.5g} L/min",
        )
    )
    return tuple(steps)


# ---- cautions


def _cautions(shares, figures) -> tuple[Caution, ...]:
    found = _kind_cautions(shares)
    if "bill_volume" in figures and not found and _takes_the_air(shares):
        found.append(Caution(
            "WARNING", "Air without oxygen",
            f"All of it, {figures['bill_volume'].text}, comes out at the vent. In a small or badly aired room it "
            f"lowers the oxygen that "
            "people breathe, without any sign.",
            "Lead the exhaust outdoors, watch the oxygen alarm, and look at SAF-01 for this room."))  # fmt: skip
    return tuple(found)


def _takes_the_air(shares) -> bool:
    return any(gases.gas(name).kind == "inert" for name in shares)


def _gas_cautions(inputs, shares, factor, figures) -> tuple[Caution, ...]:
    found = _kind_cautions(shares)
    if factor > 1 + constant("flow.factor_near_one") and _takes_the_air(shares):
        found.append(Caution(
            "WARNING", "More gas than the meter shows",
            f"{figures['true_flow'].text} enter the room instead of {inputs.said('flow_reading')}, and lower its "
            f"oxygen faster than the "
            "setting suggests.",
            "Use the true flow for the room's oxygen (SAF-01) and for the vent line."))  # fmt: skip
    if factor < 1 - constant("flow.factor_near_one"):
        found.append(Caution(
            "NOTICE", "Less gas than the meter shows",
            "The chamber is purged more slowly than the setting suggests, and a cooling chamber may draw air in.",
            f"Set {figures['setting'].text} for a true {inputs.said('flow_reading')}, if the instrument reaches it.",
        ))  # fmt: skip
    return tuple(found)


def _kind_cautions(shares) -> list[Caution]:
    kinds = {gases.gas(name).kind for name in shares}
    found = []
    if "flammable" in kinds:
        found.append(Caution(
            "WARNING", "Gas that burns",
            "Hydrogen and methane burn in air over a wide range of mixtures, and a leak or a vent into the room can "
            "flash.",
            "This is a conversion, no permission to use it: look at SAF-03 first, and ask your safety officer.",
        ))  # fmt: skip
    if "toxic" in kinds:
        found.append(Caution(
            "WARNING", "Poisonous gas", "Carbon monoxide has no smell and kills at some tenths of a per cent.",
            "This is a conversion, no permission to use it: leave it to a place with a gas cabinet, detection and "
            "trained people."))  # fmt: skip
    if "oxygen" in kinds and shares["oxygen"] > constant("general.oxygen_rich_limit"):
        found.append(Caution(
            "WARNING", "Oxygen feeds fire", "In oxygen, oil, grease, seals and even metal burn.",
            "This is a conversion, no permission to use it: keep oxygen out of furnaces and pumps of this kind.",
        ))  # fmt: skip
    return found
