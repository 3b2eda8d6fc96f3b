"""Gas cylinders: how much gas a pressure stands for, how many runs that is, and why carbon dioxide is weighed."""

from functools import cache
from math import exp, floor

from calcs import gases, wording
from calcs.core import (
    Answer,
    Caution,
    Estimate,
    Figures,
    OutOfRange,
    Range,
    ReadOff,
    Refused,
    Shown,
    Work,
)  # fmt: skip
from calcs.data import constant, rows
from calcs.form import REFERENCES, Field, Form, Problems
from calcs.picture import Axis, Bar, Bars, Curve, Mark, Plot, Table

FIT_K = 298.15  # temperature by which the fit of real_gas.csv scales: a choice of the fit

PAGE = "ATM-07"

CONTENT, RUNS, LIQUID = "content", "runs left", "liquid carbon dioxide"
BY_PRESSURE = (CONTENT, RUNS)
MIXTURE = "mixture"
SUM_TOLERANCE = 0.005  # a mixture adds up to 100 % within half a per cent; ours

FIT_PRESSURE = Range("0 bar", "300 bar", because="The equation of the real gas was fitted up to there.")
FIT_TEMPERATURE = Range("-15 °C", "50 °C", because="The equation of the real gas was fitted within it.")

# Named so that they are refused with a reason; a page does not offer them.
UNSTABLE = (
    "acetylene",
    "ammonia",
    "propane",
    "butane",
    "propylene",
    "ethylene",
    "liquefied petroleum gas",
    "nitrous oxide",
)
TOXIC = (
    "chlorine", "hydrogen chloride", "hydrogen fluoride", "hydrogen sulphide", "hydrogen sulfide", "phosphine",
    "arsine",
    "silane", "nitric oxide", "nitrogen dioxide", "fluorine", "phosgene",
)  # fmt: skip

FORM = Form(
    question="Will the cylinder last?",
    modes=(CONTENT, RUNS, LIQUID),
    ask=("gas", "cylinder_pressure", "cylinder_temperature", "cylinder_volume", "reserve_pressure", "gas_per_run",
         "cylinder_mass", "tare_mass"),
    one_of=(("gas_per_run", "flow"), ("duration", "gas_per_run")),
    # The pressure of the room always has a value: an empty field beside it reaches `answer`, which refuses.
    any_of=(("cylinder_pressure", "ambient_pressure"), ("reserve_pressure", "ambient_pressure")),
    fields=(
        Field("gas", "Gas", "choice", "argon", modes=BY_PRESSURE, choices=(*gases.NAMES, MIXTURE),
              spoken=gases.FORMULAS | {name: name for name in (*UNSTABLE, *TOXIC)},
              hint="What the cylinder label says."),
        Field("mixture", "Mixture", "table", ({"gas": "argon", "share": "98 %"}, {"gas": "hydrogen", "share": "2 %"}),
              modes=BY_PRESSURE, optional=True, in_example=False, rows_allowed=(1, 6),
              hint="Only where the gas is a mixture: one row a gas, such as argon 98 %.",
              row=r"(?P<gas>[^\d·]+?)\s+(?P<share>[\d.,].*)",
              columns=(Field("gas", "Gas", "choice", "argon", choices=gases.NAMES, spoken=gases.FORMULAS),
                       Field("share", "Share", "mole fraction", "98 %", accepted=Range("0 %", "100 %")))),
        Field("cylinder_pressure", "Cylinder pressure now", "pressure with sense", "120 bar gauge", modes=BY_PRESSURE,
              accepted=Range("0 Pa"), hint="The gauge on the cylinder side of the regulator, valve open. At most 300 "
                                           "bar absolute."),
        Field("cylinder_temperature", "Cylinder temperature", "temperature", "20 °C", accepted=Range("0 K", above=True),
              hint="Of the cylinder itself, not of the room it came into an hour ago. −15 °C to 50 °C."),
        Field("cylinder_volume", "Cylinder water volume", "volume", "50 L",
              accepted=Range("1 L", "1000 L", because="Smaller and larger vessels are not cylinders."),
              hint="Stamped on the shoulder; for a bundle the sum."),
        Field("reserve_pressure", "Pressure to leave in the cylinder", "gauge pressure", "5 bar gauge", modes=(RUNS,),
              hint="At least 2 bar gauge, or what the supplier asks for."),
        Field("gas_per_run", "Gas for one run, at 0 °C, 101.325 kPa", "volume", "1050 L", modes=(RUNS,),
              accepted=Range("0 L", above=True),
              hint="From the plan of the run. Leave it empty to give flow and duration."),
        Field("flow", "Gas flow", "standard flow", "2 L/min", modes=(RUNS,), in_example=False,
              accepted=Range("0 L/min", above=True), hint="Only instead of the gas for one run."),
        Field("duration", "Duration", "time", "7 h", modes=(RUNS,), in_example=False,
              accepted=Range("0 s", above=True), hint="Of one run at that flow."),
        Field("cylinder_mass", "Mass of the cylinder now", "mass", "78 kg", modes=(LIQUID,), optional=True,
              accepted=Range("0 kg", above=True), hint="With valve and cap as the empty mass counts them."),
        Field("tare_mass", "Mass of the empty cylinder", "mass", "58 kg", modes=(LIQUID,), optional=True,
              accepted=Range("0 kg", above=True), hint="Stamped on the shoulder."),
        Field("flow_reference", "Reference condition of the flow", "choice", REFERENCES[0], choices=REFERENCES,
              modes=(RUNS,),
              default=REFERENCES[0], hint="The flow meter's document names it."),
        Field("ambient_pressure", "Ambient pressure (barometer in the room)", "absolute pressure", "995 mbar",
              default="101.325 kPa", accepted=Range("45 kPa", "110 kPa",
                                                    because="The air of no workshop lies outside this.")),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("content", "Content, at 0 °C, 101.325 kPa", "volume", "L", "down", range_digits=3),
    Shown("amount", "Amount in the cylinder", "amount", "mol", "down"),
    Shown("bill_volume", "Content at 15 °C, 1 bar", "volume", "m3", "down"),
    Shown("mass", "Mass of gas", "mass", "kg", "down"),
    Shown("compressibility", "Compressibility factor", "number", "1", "near", 4),
    Shown("ideal_content", "What the ideal-gas rule would say", "volume", "L", "near"),
    Shown("usable", "Content above the reserve", "volume", "L", "down", 3, (RUNS,)),
    Shown("runs", "Whole runs left", "number", "1", "down", 3, (RUNS,)),
    Shown("runs_exact", "Runs left, unrounded", "number", "1", "down", 3, (RUNS,)),
    Shown("time_left", "Time left at that flow", "time", "h", "down", 3, (RUNS,)),
    Shown("saturation_pressure", "Pressure while liquid remains", "absolute pressure", "bar", "near", 3, (LIQUID,)),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Content at 15 °C and 1 bar of a cylinder of 50 L at 15 °C, by the pressure on its gauge above a "
        "room at "
        "101.325 kPa",
        down=(
            "cylinder_pressure",
            ("20 bar gauge", "50 bar gauge", "100 bar gauge", "150 bar gauge", "200 bar gauge", "290 bar gauge"),
        ),
        across=("gas", ("argon", "nitrogen", "helium", "hydrogen", "air")),
        figures=("bill_volume",),
        given={"cylinder_temperature": "15 °C", "ambient_pressure": "101.325 kPa"},
    ),
    ReadOff(
        caption="Content at 0 °C and 101.325 kPa of argon at 20 °C, by water volume and by the pressure on the gauge "
        "above "
        "a room at 995 mbar",
        down=("cylinder_pressure", ("10 bar gauge", "50 bar gauge", "100 bar gauge", "150 bar gauge", "200 bar gauge")),
        across=("cylinder_volume", ("10 L", "20 L", "50 L", "600 L")),
        figures=("content",),
    ),
)


# ---------------------------------------------------------------- physics


@cache
def _fits() -> dict[str, dict]:
    """Coefficients of each gas as floats, by name."""
    return {row["gas"]: {k: float(v) for k, v in row.items() if k != "gas"} for row in rows("atmosphere/real_gas.csv")}


@cache
def _pairs() -> dict[frozenset, dict]:
    """What a pair of gases adds, by the two names; `second` is the one that `max_share` limits."""
    return {
        frozenset((row["gas_a"], row["gas_b"])): {"second": row["gas_b"]}
        | {k: float(v) for k, v in row.items() if not k.startswith("gas_")}
        for row in rows("atmosphere/real_gas_pairs.csv")
    }


def series(shares: dict[str, float], temperature_k: float) -> tuple[float, float, float, float]:
    """Return B, C, D, E of Z = 1 + B r + C r² + D r³ + E r⁴, with r the density in 10 000 mol/m³.

    Args:
        shares: gas to mole fraction, adding up to 1; each pair of gases has a row in real_gas_pairs.csv.
        temperature_k: 258.15 K to 323.15 K.

    Source:
        fitted for this project to the reference equations of CoolProp 8.0 (pure gases within 0.4 %, most
        within 0.02 %) and to its mixture model (within 1.5 %); data/atmosphere/real_gas.csv and
        real_gas_pairs.csv, compared with the library in the tests.
    """
    t = temperature_k / FIT_K
    total = [0.0, 0.0, 0.0, 0.0]
    for gas, share in shares.items():
        fit = _fits()[gas]
        total[0] += share * (fit["b0"] + fit["b1"] / t + fit["b2"] / t**2 + fit["b3"] / t**3)
        total[1] += share * (fit["c0"] + fit["c1"] / t + fit["c2"] / t**2)
        total[2] += share * (fit["d0"] + fit["d1"] / t)
        total[3] += share * fit["e0"]
    names = list(shares)
    for number, gas in enumerate(names):
        for other in names[number + 1 :]:
            pair, product = _pairs()[frozenset((gas, other))], 2 * shares[gas] * shares[other]
            total[0] += product * (pair["p0"] + pair["p1"] / t)
            total[1] += product * pair["q0"]
    return tuple(total)


def compressibility(shares: dict[str, float], pressure_pa: float, temperature_k: float) -> float:
    """Return the compressibility factor Z = p / (density R T).

    Args:
        shares: gas to mole fraction, as in series.
        pressure_pa: absolute pressure, 0 Pa to 300 bar; carbon dioxide to 60 bar and 0.95 of its
            saturation pressure, xenon to 25 bar.
        temperature_k: 258.15 K to 323.15 K.

    Raises:
        OutOfRange: pressure or temperature outside the fit.

    Source:
        see series; the density is found by halving on the gas side, where pressure rises with density.
    """
    FIT_PRESSURE.check("Cylinder pressure", pressure_pa)
    FIT_TEMPERATURE.check("Cylinder temperature", temperature_k)
    b, c, d, e = series(shares, temperature_k)
    ideal = pressure_pa / (constant("general.gas_constant") * temperature_k * 1e4)
    if ideal <= 0:
        return 1.0

    def z(r):
        return 1 + r * (b + r * (c + r * (d + r * e)))

    low = 0.5 * ideal  # Z is below 2 everywhere in the fit
    for _ in range(120):
        high = low * 1.02
        if high * z(high) >= ideal:
            break
        low = high
    else:
        raise OutOfRange("Cylinder pressure", pressure_pa, FIT_PRESSURE)
    for _ in range(40):
        middle = (low + high) / 2
        if middle * z(middle) < ideal:
            low = middle
        else:
            high = middle
    return ideal / high


def content(gas: str | dict[str, float], volume_m3: float, pressure_pa: float, temperature_k: float) -> float:
    """Return the amount of gas in a cylinder, mol: n = p V / (Z R T).

    Args:
        gas: name of a gas with a row in real_gas.csv, or gas to mole fraction.
        volume_m3: water volume, m³.
        pressure_pa: absolute pressure, 0 Pa to 300 bar.
        temperature_k: temperature of the gas in the cylinder, 258.15 K to 323.15 K.

    Raises:
        OutOfRange: pressure or temperature outside the fit.
        Refused: no equation for this gas, or carbon dioxide or xenon too near to liquid.

    Source:
        definition of the compressibility factor; see series.
    """
    shares = {gas: 1.0} if isinstance(gas, str) else gas
    if len(shares) == 1:
        _refuse_dense(next(iter(shares)), pressure_pa, temperature_k)
    z = compressibility(shares, pressure_pa, temperature_k)
    return pressure_pa * volume_m3 / (z * constant("general.gas_constant") * temperature_k)


def co2_saturation_pressure(temperature_k: float) -> float:
    """Return the pressure of carbon dioxide above its own liquid, Pa absolute.

    ln(p/pc) = (Tc/T)(a1 θ + a2 θ^1.5 + a3 θ² + a4 θ⁴), θ = 1 − T/Tc.

    Args:
        temperature_k: 216.6 K to 304.1282 K; above that there is no liquid.

    Source:
        Span and Wagner 1996; coefficients atmosphere.co2_vapour_a1 to a4; CoolProp 8.0 agrees within 0.003 %.
    """
    critical = constant("atmosphere.co2_critical_temperature")
    theta = 1 - temperature_k / critical
    a1, a2, a3, a4 = (constant(f"atmosphere.co2_vapour_a{n}") for n in (1, 2, 3, 4))
    total = a1 * theta + a2 * theta**1.5 + a3 * theta**2 + a4 * theta**4
    return constant("atmosphere.co2_critical_pressure") * exp(critical / temperature_k * total)


def molar_mass(shares: dict[str, float]) -> float:
    """Return the molar mass of a gas or mixture, kg/mol.

    Args:
        shares: gas to mole fraction.

    Source:
        mean by mole fraction; data/gases.csv.
    """
    return sum(share * gases.gas(gas).molar_mass for gas, share in shares.items())


def norm_volume(amount_mol: float) -> float:
    """Return the volume of an amount at 0 °C and 101.325 kPa, m³, as an ideal gas by convention.

    Args:
        amount_mol: amount, mol.

    Source:
        definition of the reference condition; constants general.zero_celsius, general.standard_atmosphere.
    """
    volume = (
        constant("general.gas_constant") * constant("general.zero_celsius") / constant("general.standard_atmosphere")
    )
    return amount_mol * volume


# ---------------------------------------------------------------- refusals


def refuse_cylinder_gas(gas: str) -> None:
    """Refuse a gas whose pressure says nothing about its content, or that is no business of this site.

    Args:
        gas: a gas of the table, or a name of UNSTABLE or TOXIC.

    Raises:
        Refused: unstable_gas, toxic_gas, or outside_fit for steam.

    Source:
        common practice, no source.
    """
    if gas in UNSTABLE:
        raise Refused(
            "unstable_gas", f"{gas} is no compressed gas",
            f"{gas.capitalize()} is kept liquefied or dissolved, so its pressure does not show what is left, and it "
            f"can burn, "
            "fall apart or poison.",
            "Its supplier's table goes by mass.", "Ask your safety officer before it comes near a furnace.",
            field="gas",
        )  # fmt: skip
    if gas in TOXIC:
        raise Refused(
            "toxic_gas", "this gas is toxic",
            f"{gas.capitalize()} needs a gas cabinet, detection and treatment of the exhaust that were built for it; "
            "no number on this page replaces them.",
            "Choose an inert gas.", "Your safety officer decides on anything else.", field="gas",
        )  # fmt: skip
    if gas == "water vapour":
        raise Refused(
            "outside_fit", "steam is not kept in cylinders", "At these temperatures it condenses.",
            "Choose the gas that the label names.", field="gas",
        )  # fmt: skip


def refuse_outside_fit(pressure_pa: float, temperature_k: float) -> None:
    """Refuse a cylinder outside the fit of the real gas.

    Args:
        pressure_pa: absolute pressure, Pa.
        temperature_k: temperature, K.

    Raises:
        Refused: outside_fit.

    Source:
        FIT_PRESSURE and FIT_TEMPERATURE, from data/atmosphere/real_gas.csv.
    """
    if pressure_pa not in FIT_PRESSURE:
        raise Refused(
            "outside_fit", "the pressure lies outside the fit",
            f"{pressure_pa / 1e5:.0f} bar absolute; the equation of the real gas holds for {FIT_PRESSURE.said}.",
            "Check the unit of the gauge.", field="cylinder_pressure",
        )  # fmt: skip
    if temperature_k not in FIT_TEMPERATURE:
        raise Refused(
            "outside_fit", "the temperature lies outside the fit",
            f"{temperature_k - constant('general.zero_celsius'):.0f} °C; the equation of the real gas holds for "
            f"{FIT_TEMPERATURE.said}.",
            "Let the cylinder come to the temperature of the room; above 50 °C move people away from it.",
            field="cylinder_temperature",
        )  # fmt: skip


def _refuse_dense(gas: str, pressure_pa: float, temperature_k: float) -> None:
    """Refuse a pure gas that may be liquid, or has no equation at this pressure."""
    if gas not in _fits():
        raise Refused("outside_fit", "no equation for this gas", f"The table holds no real gas of {gas}.", field="gas")
    limit = _fits()[gas]["max_bar"] * 1e5
    if gas == "carbon dioxide":
        if temperature_k < constant("atmosphere.co2_critical_temperature"):
            limit = min(limit, constant("atmosphere.co2_gas_share") * co2_saturation_pressure(temperature_k))
        if pressure_pa > limit:
            raise Refused(
                "weigh_it", "weigh a carbon dioxide cylinder",
                "Near its liquid the pressure of carbon dioxide hangs on temperature alone: a full cylinder and a "
                "nearly empty "
                "one show the same.",
                "Weigh the cylinder and choose “liquid carbon dioxide”.", field="cylinder_pressure",
            )  # fmt: skip
    elif pressure_pa > limit:
        raise Refused(
            "outside_fit", f"{gas} is too dense there",
            f"Above {limit / 1e5:.0f} bar absolute {gas} comes near its liquid, and the equation does not follow it.",
            "Weigh the cylinder, or go by the supplier's table.", field="cylinder_pressure",
        )  # fmt: skip


def _shares(inputs) -> dict[str, float]:
    """The gas of the cylinder as gas to mole fraction; refuses what the mixture model does not cover."""
    if inputs["gas"] != MIXTURE:
        refuse_cylinder_gas(inputs["gas"])
        return {inputs["gas"]: 1.0}
    if not inputs["mixture"]:
        raise Problems(
            {"mixture": "Mixture is empty. Type each gas with its share, such as argon 98 % · hydrogen 2 %."}
        )
    shares: dict[str, float] = {}
    for row in inputs["mixture"]:
        shares[row["gas"]] = shares.get(row["gas"], 0.0) + row["share"]
    total = sum(shares.values())
    if abs(total - 1) > SUM_TOLERANCE:
        raise Problems({"mixture": f"Mixture: the shares add up to {total * 100:.4g} %. They must add up to 100 %."})
    shares = {gas: share / total for gas, share in shares.items() if share > 0}
    _refuse_mixture(shares)
    return shares


def _refuse_mixture(shares: dict[str, float]) -> None:
    if shares.get("oxygen", 0) > constant("general.oxygen_rich_limit"):
        raise Refused(
            "oxygen_rich", "oxygen-rich gas is a fire hazard",
            "Above 23.5 % oxygen, metals, seals and pump oil burn that would not burn in air.",
            "This page does not work with such mixtures.", "Ask your safety officer.", field="mixture",
        )  # fmt: skip
    if "carbon monoxide" in shares:
        raise Refused(
            "toxic_gas", "this mixture is toxic",
            "A mixture with carbon monoxide needs detection and treatment of the exhaust that were built for it.",
            "Choose an inert gas.", "Your safety officer decides on anything else.", field="mixture",
        )  # fmt: skip
    if len(shares) > 1 and shares.get("carbon dioxide", 0) > constant("atmosphere.mixture_carbon_dioxide"):
        raise Refused(
            "mixture_outside", "too much carbon dioxide in it",
            "Above 20 % carbon dioxide the mixture comes near its liquid, and pressure no longer tells the content.",
            "Weigh the cylinder, or go by the supplier's table.", field="mixture",
        )  # fmt: skip
    names = list(shares)
    for number, gas in enumerate(names):
        for other in names[number + 1 :]:
            if frozenset((gas, other)) not in _pairs():
                raise Refused(
                    "mixture_outside", "no data for this mixture",
                    f"The table holds no mixture of {gas} and {other}.",
                    "Go by the supplier's table.", field="mixture",
                )  # fmt: skip


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return what a cylinder holds, and for how many runs or how long that lasts.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    if inputs.mode == LIQUID:
        return _liquid(inputs)
    shares = _shares(inputs)
    pressure, temperature = inputs["cylinder_pressure"], inputs["cylinder_temperature"]
    if pressure is None:
        raise Refused(
            "content_unknown", "the pressure of the cylinder is missing", "Without it nothing tells what is left.",
            "Read the gauge on the cylinder side of the regulator with the cylinder valve open.",
            field="cylinder_pressure",
        )  # fmt: skip
    refuse_outside_fit(pressure, temperature)
    amount = content(shares, inputs["cylinder_volume"], pressure, temperature)
    share = _spread(shares, pressure, inputs.ambient_pa)
    figures = _content_figures(inputs, shares, amount, share)
    return (
        _runs_left(inputs, shares, amount, share, figures) if inputs.mode == RUNS else _content(inputs, shares, figures)
    )


def _spread(shares, pressure, ambient) -> float:
    """Share by which the content may be off: the gauge, the fit and, of a mixture, the model behind it."""
    error = _gauge_error(pressure, ambient)
    return min(1.0, (error / pressure if pressure else 0.0) + _fit_spread(shares))


def _gauge_error(pressure, ambient) -> float:
    return max(pressure - ambient, constant("atmosphere.gauge_full_scale")) * constant("atmosphere.gauge_share")


def _fit_spread(shares) -> float:
    """Share by which the real-gas factor may be off: the fit, and of a mixture the model behind it."""
    spread = max(_fits()[gas]["error_percent"] for gas in shares) / 100
    if len(shares) > 1:
        names = list(shares)
        pairs = [_pairs()[frozenset((a, b))] for n, a in enumerate(names) for b in names[n + 1 :]]
        spread += max(pair["error_percent"] for pair in pairs) / 100 + constant("atmosphere.mixture_spread")
    return spread


GAUGE = "mostly the cylinder gauge, taken as class 2.5"


def _around(value, share) -> Estimate:
    return Estimate(value, value * (1 - share), value * (1 + share), cause=GAUGE)


def _content_figures(inputs, shares, amount, share) -> dict:
    pressure, temperature, volume = (
        inputs["cylinder_pressure"],
        inputs["cylinder_temperature"],
        inputs["cylinder_volume"],
    )
    ideal = pressure * volume / (constant("general.gas_constant") * temperature)
    return {
        "content": _around(norm_volume(amount), share),
        "amount": amount,
        "bill_volume": bill_volume(amount),
        "mass": amount * molar_mass(shares),
        "compressibility": ideal / amount if amount else 1.0,
        "ideal_content": norm_volume(ideal),
    }


def bill_volume(amount_mol: float) -> float:
    """Return the volume of an amount at 15 °C and 1 bar, m³, in which gas is sold in Europe.

    Args:
        amount_mol: amount, mol.

    Source:
        ideal gas by convention; atmosphere.bill_temperature, atmosphere.bill_pressure.
    """
    temperature, pressure = constant("atmosphere.bill_temperature"), constant("atmosphere.bill_pressure")
    return amount_mol * constant("general.gas_constant") * temperature / pressure


def _content(inputs, shares, values) -> Answer:
    figures = FIGURES.fill(**values)
    return Answer(
        sentence=(
            f"The cylinder of {inputs.said('cylinder_volume')} at {_pressure_said(inputs)} and "
            f"{inputs.said('cylinder_temperature')} holds about {figures['content'].text} of {_name(inputs)} at 0 °C "
            f"and 101.325 kPa "
            f"({figures['content'].span}), {figures['mass'].text}; the ideal-gas rule would say "
            f"{figures['ideal_content'].text}."
        ),
        figures=figures,
        leaves_out=LEAVES_OUT,
        cautions=_cautions(shares, figures),
        pictures=_content_picture(inputs, figures),
        working=_working(inputs, shares, figures),
        notes=_notes(inputs, shares),
    )


LEAVES_OUT = (
    "leaks between the cylinder and the furnace, also overnight",
    "a cylinder colder or warmer than was typed: 10 K move the pressure by 3 % to 5 %",
    "the error of this gauge, where it is worse than class 2.5 with a scale of 200 bar",
)


def _runs_left(inputs, shares, amount, share, values) -> Answer:
    reserve = inputs["reserve_pressure"]
    if reserve is None:
        raise Refused(
            "reserve_unknown", "the reserve is missing", "A cylinder is never emptied: air and moisture get in.",
            "Type the pressure to leave in it, at least 2 bar above the room.", field="reserve_pressure",
        )  # fmt: skip
    if reserve < constant("atmosphere.lowest_reserve") * (1 - 1e-9):
        raise Refused(
            "reserve_too_low", "too little is left in the cylinder",
            "A cylinder run down to the pressure of the room takes in air and moisture, and the next filling carries "
            "them.",
            "Leave at least 2 bar above the room, or what the supplier asks for.", field="reserve_pressure",
        )  # fmt: skip
    kept_pressure = inputs.ambient_pa + reserve
    kept = amount
    if kept_pressure < inputs["cylinder_pressure"]:
        kept = content(shares, inputs["cylinder_volume"], kept_pressure, inputs["cylinder_temperature"])
    usable, per_run = amount - kept, _per_run(inputs)
    ends = (max(0.0, amount * (1 - share) - kept), usable, amount * (1 + share) - kept if usable else 0.0)
    low, runs, high = (end / per_run for end in ends)
    flow = inputs["flow"]
    figures = FIGURES.fill(
        **values,
        usable=Estimate(norm_volume(usable), norm_volume(ends[0]), norm_volume(ends[2]), cause=GAUGE),
        runs=float(floor(runs + 1e-9)), runs_exact=Estimate(runs, low, high, cause=GAUGE),
        time_left=Estimate(usable / flow, ends[0] / flow, ends[2] / flow, cause=GAUGE) if flow else None,
    )  # fmt: skip
    verdict = "outside" if runs < 1 - 1e-9 else "close" if runs < 2 - 1e-9 else "within"
    return Answer(
        sentence=_runs_sentence(inputs, figures, runs, per_run),
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=(
            *LEAVES_OUT[:2],
            "gas for a second purge, a slower cooling or a run that is broken off and started again",
        ),
        cautions=(*_short(verdict), *_cautions(shares, figures)),
        pictures=_budget_picture(usable, kept, per_run),
        working=(*_working(inputs, shares, figures), _runs_work(usable, kept, per_run, runs)),
        notes=_notes(inputs, shares),
    )


def _per_run(inputs) -> float:
    """Amount for one run, mol."""
    if inputs["gas_per_run"] is not None:
        return inputs["gas_per_run"] / norm_volume(1.0)
    return inputs["flow"] * inputs["duration"]


def _runs_sentence(inputs, figures, runs, per_run) -> str:
    one = f"{wording.number(norm_volume(per_run) * 1e3, 3, 'up')} L"
    kept = f"the reserve of {inputs.said('reserve_pressure')} above the room"
    if runs < 1 - 1e-9:
        text = f"No whole run of {one} is left above {kept}: {figures['usable'].text} can be used"
    else:
        whole = f"{wording.count(int(runs + 1e-9), 'whole run')} of {one}"
        text = f"Above {kept} the gas lasts for {whole} ({figures['runs_exact'].span} with the error of the gauge)"
    if "time_left" in figures:
        text += f"; {inputs.said('flow')} lasts {wording.duration(figures['time_left'].value, 'down')}"
    return f"{text}, if nothing leaks."


def _short(verdict) -> tuple[Caution, ...]:
    if verdict == "within":
        return ()
    return (
        Caution("NOTICE", "Gas that ends while the load is hot",
                "The chamber then draws in air over hot work, elements and seals.",
                "Do not start a run that this cylinder cannot finish; connect a full one, or two."),
    )  # fmt: skip


# ---- liquid carbon dioxide


def _liquid(inputs) -> Answer:
    mass, tare, temperature = inputs["cylinder_mass"], inputs["tare_mass"], inputs["cylinder_temperature"]
    if mass is None or tare is None:
        raise Refused(
            "content_unknown", "a mass is missing",
            "While liquid remains only the mass tells how much carbon dioxide is left.",
            "Weigh the cylinder, and read the empty mass on its shoulder.",
            field="cylinder_mass" if mass is None else "tare_mass",
        )  # fmt: skip
    if mass <= tare:
        raise Problems({"cylinder_mass": "Mass of the cylinder now must be above the mass of the empty cylinder."})
    refuse_outside_fit(0.0, temperature)
    amount = (mass - tare) / gases.gas("carbon dioxide").molar_mass
    saturation = None
    if temperature < constant("atmosphere.co2_critical_temperature"):
        saturation = co2_saturation_pressure(temperature)
    filling = (mass - tare) / inputs["cylinder_volume"]
    over = filling > constant("atmosphere.co2_filling") * (1 + 1e-9)
    figures = FIGURES.fill(
        content=norm_volume(amount), amount=amount, bill_volume=bill_volume(amount), mass=mass - tare,
        saturation_pressure=saturation,
    )  # fmt: skip
    last = _gas_alone(inputs["cylinder_volume"], temperature) if saturation else None
    tail = _liquid_tail(figures, saturation, last, mass - tare)
    return Answer(
        sentence=f"By mass the cylinder holds {figures['mass'].text} of carbon dioxide, {figures['content'].text} at "
                 f"0 °C and "
        f"101.325 kPa; {tail}",
        verdict="outside" if over else "within",
        judged=over,
        figures=figures,
        leaves_out=(
            "the error of the scales, and valve guard or regulator that the empty mass does not count",
            "gas that cannot be drawn because the liquid has cooled and its pressure has fallen",
            "how fast it can be drawn: a fast flow cools the liquid and ices the regulator",
        ),
        cautions=_liquid_cautions(temperature, over, figures),
        pictures=(_saturation_picture(temperature, saturation),),
        working=(
            Work("Amount by mass", "n = (m − m_empty) / M",
                 f"m = {mass:.5g} kg, m_empty = {tare:.5g} kg, M = 0.0440095 kg/mol",
                 f"n = {amount:.4g} mol"),
            Work("Pressure above the liquid", "ln(p/p_c) = (T_c/T)(a₁θ + a₂θ^1.5 + a₃θ² + a₄θ⁴), θ = 1 − T/T_c",
                 f"T = {temperature:.2f} K",
                 f"p = {saturation / 1e5:.4g} bar absolute" if saturation else "no liquid above T_c = 304.13 K",
                 ("atmosphere.co2_critical_temperature", "atmosphere.co2_critical_pressure", "atmosphere.co2_vapour_a1",
                  "atmosphere.co2_vapour_a2", "atmosphere.co2_vapour_a3", "atmosphere.co2_vapour_a4"), "span-wagner"),
            Work("Filling", "(m − m_empty) / V", f"V = {inputs['cylinder_volume'] * 1e3:.4g} L",
                 f"{filling / 1e3:.3g} kg/L; at most 0.75 kg/L", ("atmosphere.co2_filling",), "adr-p200"),
        ),
        notes=(f"Below about {wording.number(last, 2, 'up')} kg in it no liquid is left, and the gauge begins to fall.",
               ) if last else (),
    )  # fmt: skip


def _gas_alone(volume, temperature) -> float | None:
    """Mass of carbon dioxide that fills the cylinder as gas next to its liquid, kg; None where the fit ends before."""
    pressure = constant("atmosphere.co2_gas_share") * co2_saturation_pressure(temperature)
    if pressure > _fits()["carbon dioxide"]["max_bar"] * 1e5:
        return None
    return content("carbon dioxide", volume, pressure, temperature) * gases.gas("carbon dioxide").molar_mass


def _liquid_tail(figures, saturation, last, mass) -> str:
    if not saturation:
        return "above 31 °C there is no liquid, and the pressure climbs steeply with temperature."
    if last and mass < last:
        return "at that mass no liquid is left in it, and the gauge falls as it empties."
    return f"while liquid remains the gauge stays at {figures['saturation_pressure'].text} absolute, whatever is left."


def _liquid_cautions(temperature, over, figures) -> tuple[Caution, ...]:
    found = []
    if over:
        found.append(Caution(
            "WARNING", "Cylinder filled too full",
            "Above 0.75 kg for each litre of water volume the liquid fills the cylinder as it warms, and can burst "
            "it or its disc.",
            "Check both masses. If they are right keep people and heat away, and call the supplier."))  # fmt: skip
    if temperature > constant("atmosphere.co2_critical_temperature"):
        found.append(Caution(
            "WARNING", "Hot carbon dioxide cylinder",
            "Filled to 0.75 kg/L it stands at about 133 bar at 40 °C and 175 bar at 50 °C; the bursting disc may open.",
            "Keep it out of sun and away from the furnace, below 31 °C."))  # fmt: skip
    found.append(_carbon_dioxide(figures))
    return tuple(found)


def _carbon_dioxide(figures) -> Caution:
    return Caution(
        "WARNING", "Carbon dioxide poisons before it suffocates",
        f"{figures['content'].text} of gas can come out. A few per cent of carbon dioxide in the air already harm, "
        f"while the oxygen "
        "still looks normal, and it lies in low places.",
        "Keep the cylinder where the air is moved at the floor, with an alarm for carbon dioxide; look at SAF-01 for "
        "this room.",
    )  # fmt: skip


# ---- words, pictures, working


def _name(inputs) -> str:
    if inputs["gas"] != MIXTURE:
        return inputs["gas"]
    return " with ".join(f"{row['share'] * 100:.4g} % {row['gas']}" for row in inputs["mixture"] if row["share"])


def _pressure_said(inputs) -> str:
    read = inputs.reads["cylinder_pressure"]
    sense = read.sense or inputs["sense"]
    said = {"gauge": "above the room", "below": "below the room"}.get(sense, "absolute" if sense == "absolute" else "")
    return f"{inputs.said('cylinder_pressure')} {said}".strip()


def _cautions(shares, figures) -> tuple[Caution, ...]:
    found = []
    kinds = {gases.gas(gas).kind for gas in shares}
    if "flammable" in kinds:
        found.append(Caution(
            "WARNING", "Gas that burns",
            "Hydrogen and methane burn in air over a wide range of mixtures, hydrogen with a flame that cannot be "
            "seen; a mixture of "
            "a few per cent may burn too.",
            "Store and use it only where the place was made for flammable gas. SAF-03 says what must be in place "
            "first."))  # fmt: skip
    if "oxygen" in kinds and shares.get("oxygen", 0) > constant("general.oxygen_rich_limit"):
        found.append(Caution(
            "WARNING", "Oxygen feeds fire",
            "In oxygen, oil, grease, seals and even metal burn.",
            "Keep oil and grease away from every fitting, and never lead it into a furnace or a pump of this "
            "kind."))  # fmt: skip
    if "toxic" in kinds:
        found.append(Caution(
            "WARNING", "Poisonous gas",
            "Carbon monoxide has no smell and kills at some tenths of a per cent.",
            "Leave it to a place with a gas cabinet, detection and people trained for it."))  # fmt: skip
    if "carbon dioxide" in shares:
        found.append(_carbon_dioxide(figures))
    if figures["content"].value > 0 and kinds & {"inert", "flammable", "toxic"}:
        found.append(Caution(
            "WARNING", "All of it in one room",
            f"A valve that breaks or a hose that comes off lets {figures['content'].text} out in minutes; without "
            f"smell it takes the "
            "place of the air that people breathe.",
            "Secure the cylinder, keep the oxygen alarm on, and look at SAF-01 for the whole cylinder in this "
            "room."))  # fmt: skip
    return tuple(found)


def _notes(inputs, shares) -> tuple[str, ...]:
    notes = []
    gauge = inputs["cylinder_pressure"] - inputs.ambient_pa
    if gauge < constant("atmosphere.lowest_reserve"):
        notes.append("Less than 2 bar above the room is left: close the valve, or air and moisture get in.")
    if len(shares) > 1:
        notes.append(
            "A mixture: the real-gas factor is fitted to a model of the mixture, within about "
            f"{wording.number(_fit_spread(shares) * 100, 2, 'up')} %."
        )
    if inputs["gas"] == "carbon dioxide":
        notes.append("At this pressure no liquid is left in the cylinder: it is nearly empty.")
    if inputs["gas"] != MIXTURE and inputs["mixture"]:
        notes.append("The rows of the mixture are not used, because the gas is not “mixture”.")
    return tuple(notes)


def _content_picture(inputs, figures) -> tuple:
    real, ideal = figures["content"], figures["ideal_content"]
    if not real.value:
        return ()
    factor = figures["compressibility"].value
    word = "more" if factor < 1 else "less"
    off = abs(1 / factor - 1)
    sentence = f"The cylinder holds {off:.1%} {word} than the ideal-gas rule says".replace("%", " %")
    bars = (
        Bar(
            "real gas",
            real.value * 1e3,
            real.low_value * 1e3,
            real.high_value * 1e3,
            note="with the error of the gauge",
        ),
        Bar("ideal-gas rule", ideal.value * 1e3),
    )
    table = Table("Content", ("Rule", "L at 0 °C, 101.325 kPa"),
                  (("real gas", wording.number(real.value * 1e3, 4)), ("ideal-gas rule",
                                                                       wording.number(ideal.value * 1e3,
                                                                                      4))))  # fmt: skip
    return (
        Bars(
            sentence, f"Two bars in litres: real gas {real.text}, ideal-gas rule {ideal.text}.", "L", bars, table=table
        ),
    )


def _budget_picture(usable, kept, per_run) -> tuple:
    runs = int(usable / per_run + 1e-9)
    parts = [
        (f"{wording.count(runs, 'whole run')}", runs * per_run),
        ("part of a run", max(0.0, usable - runs * per_run)),
        ("reserve", kept),
    ]
    parts = [(label, norm_volume(amount) * 1e3) for label, amount in parts if amount > 0]
    if not parts:
        return ()
    sentence = (
        f"Enough for {wording.count(runs, 'run')} above the reserve"
        if runs
        else "Not enough for one run above the reserve"
    )
    table = Table(
        "Gas in the cylinder",
        ("Part", "L at 0 °C, 101.325 kPa"),
        [(label, wording.number(v, 3, "down")) for label, v in parts],
    )
    return (
        Bars(
            sentence, "The content in litres, divided into whole runs, what is over, and the reserve: "
            + ", ".join(f"{label} {wording.number(v)} L" for label, v in parts) + ".",
            "L", tuple(Bar(label, v) for label, v in parts), stacked=len(parts) > 1, table=table,
            total="In the cylinder",
        ),
    )  # fmt: skip


def _saturation_picture(temperature, saturation) -> Plot:
    zero, critical = constant("general.zero_celsius"), constant("atmosphere.co2_critical_temperature")
    low = FIT_TEMPERATURE.ends[0]
    points = [
        (t - zero, co2_saturation_pressure(t) / 1e5) for t in (low + (critical - low) * i / 30 for i in range(31))
    ]
    marks = (Mark("this cylinder", temperature - zero, saturation / 1e5),) if saturation else ()
    table = Table("Pressure of carbon dioxide above its liquid", ("Temperature, °C", "Pressure, bar absolute"),
                  [(f"{t:.0f}".replace("-", "−"), wording.number(p)) for t, p in points[::5]])  # fmt: skip
    return Plot(
        "While liquid remains the gauge is a thermometer: it does not show how much is left",
        f"Pressure of carbon dioxide above its liquid, {points[0][1]:.0f} bar at {points[0][0]:.0f} °C to "
        f"{points[-1][1]:.0f} bar at {points[-1][0]:.0f} °C, where the liquid ends.",
        Axis("Temperature", "°C"), Axis("Pressure", "bar absolute"),
        (Curve("above liquid", points),), marks=marks, table=table,
    )  # fmt: skip


def _working(inputs, shares, figures) -> tuple[Work, ...]:
    pressure, temperature, volume = (
        inputs["cylinder_pressure"],
        inputs["cylinder_temperature"],
        inputs["cylinder_volume"],
    )
    b, c, d, e = series(shares, temperature)
    z = figures["compressibility"].value
    amount = figures["amount"].value
    density = amount / volume / 1e4
    return (
        Work("Real-gas factor", "Z = 1 + B r + C r² + D r³ + E r⁴ with r = density / (10 000 mol/m³), p = r R T Z",
             f"B = {b:.5f}, C = {c:.5f}, D = {d:.5f}, E = {e:.5f} at {temperature:.2f} K; r = {density:.4f}",
             f"Z = {z:.4f}", ("general.gas_constant",), "coolprop"),
        Work("Amount", "n = p V / (Z R T)", f"p = {pressure / 1e5:.5g} bar absolute, V = {volume * 1e3:.4g} L",
             f"n = {amount:.4g} mol = {norm_volume(amount) * 1e3:.4g} L at 0 °C, 101.325 kPa",
             ("general.gas_constant", "general.zero_celsius", "general.standard_atmosphere")),
        Work("As gas is sold", "V = n R T / p at 15 °C and 1 bar", f"n = {amount:.4g} mol",
             f"V = {bill_volume(amount):.4g} m³",
             ("atmosphere.bill_temperature", "atmosphere.bill_pressure")),
        Work("Error of the gauge", "2.5 % of 200 bar, or of the pressure where that is higher", "",
             f"± {_gauge_error(pressure, inputs.ambient_pa) / 1e5:.3g} bar",
             ("atmosphere.gauge_share", "atmosphere.gauge_full_scale"), "en-837-1"),
    )  # fmt: skip


def _runs_work(usable, kept, per_run, runs) -> Work:
    return Work(
        "Runs", "(n − n_reserve) / n_run",
        f"n − n_reserve = {usable:.4g} mol, n_reserve = {kept:.4g} mol, n_run = {per_run:.4g} mol",
        f"{runs:.4g}", ("atmosphere.lowest_reserve",),
    )  # fmt: skip
