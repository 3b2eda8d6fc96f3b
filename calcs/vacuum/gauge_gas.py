"""Vacuum gauges in other gases: what a reading means, what a gauge would show, and whether it may end a filling."""

from dataclasses import dataclass
from functools import cache
from math import sqrt

from calcs import gases, wording
from calcs.core import Answer, Caution, Estimate, Figures, Range, ReadOff, Refused, Shown, Work
from calcs.data import constant, number_or_none, rows
from calcs.form import Field, Form, Problems
from calcs.picture import Axis, Band, Curve, Limit, Mark, Plot, Table

ROOM_K = 293.15  # 20 °C, where a table or a measurement is at room temperature; common practice, no source

PAGE = "VAC-05"

FROM_READING, FROM_TRUE = "from the reading", "from the true pressure"
READING, TRUE = (FROM_READING,), (FROM_TRUE,)
THERMAL, CONVECTION, HOT_CATHODE, DIAPHRAGM, DIAL = (
    "thermal",
    "thermal with convection",
    "hot cathode",
    "diaphragm",
    "dial",
)
GAUGES = (THERMAL, CONVECTION, HOT_CATHODE, DIAPHRAGM, DIAL)
HEATED_WIRE = (THERMAL, CONVECTION)
AS_CALIBRATED = ("air", "nitrogen")  # a thermal gauge is adjusted in one of them; they differ by 1 %
MIXTURE = "mixture"
SUM_ERROR = 0.001  # by which the shares of a mixture may miss 1; ours
HOT_CHAMBER_K = 20.0  # a chamber this much hotter than its gauge deserves a word; ours
CURVE_FROM_PA, CURVE_TO_PA = 1.0, 2e5

ROOM = "20 °C"
TEMPERATURE = Range("-20 °C", "1600 °C", because="No chamber of this kind runs outside it.")

FORM = Form(
    question="What does the gauge mean in this gas?",
    modes=(FROM_READING, FROM_TRUE),
    mode_label="Which way do you ask?",
    ask=("gauge_type", "gas", "mixture", "reading", "true_pressure"),
    fields=(
        Field(
            "gauge_type", "Gauge", "choice", THERMAL, choices=GAUGES, hint="Thermal is a heated wire; see its label."
        ),
        Field(
            "gas",
            "Gas",
            "choice",
            "argon",
            choices=(*gases.NAMES, MIXTURE),
            spoken=gases.FORMULAS,
            hint="Below 1 mbar often water vapour.",
        ),
        Field(
            "mixture",
            "Mixture (rows: gas, share)",
            "table",
            ({"gas": "argon", "share": "98 %"}, {"gas": "hydrogen", "share": "2 %"}),
            optional=True,
            in_example=False,
            columns=(
                Field("gas", "Gas", "choice", "argon", choices=gases.NAMES, spoken=gases.FORMULAS),
                Field("share", "Share", "mole fraction", "98 %", accepted=Range("0 %", "100 %")),
            ),
            row=r"(?P<gas>[A-Za-z][A-Za-z0-9 ]{0,20}?)[ ,:]+(?P<share>[0-9].{0,30})",
            rows_allowed=(1, 13),
            hint="Only if the gas is a mixture: argon 98 % · hydrogen 2 %.",
        ),
        Field(
            "reading",
            "What the gauge shows",
            "pressure with sense",
            "0.08 mbar abs",
            modes=READING,
            hint="As it stands on the display.",
        ),
        Field(
            "true_pressure",
            "True pressure",
            "absolute pressure",
            "1005 mbar",
            modes=TRUE,
            accepted=Range("1e-7 Pa", "2e5 Pa", because="No chamber of this kind stands outside it."),
            hint="What is really in the chamber.",
        ),
        Field(
            "gauge_temperature",
            "Temperature of a heated gauge",
            "temperature",
            "45 °C",
            modes=READING,
            optional=True,
            in_example=False,
            accepted=Range("20 °C", "200 °C", because="Diaphragm gauges are heated to 45 to 200 °C."),
            hint="Diaphragm gauges only; see its label.",
        ),
        Field("chamber_temperature", "Chamber temperature", "temperature", ROOM, default=ROOM, accepted=TEMPERATURE),
        Field(
            "transition_pressure",
            "Transition pressure of a thermal gauge",
            "absolute pressure",
            "7.4 mbar",
            modes=TRUE,
            default="7.4 mbar",
            accepted=Range("2 mbar", "30 mbar", because="Wires of 50 µm down to thin films lie there."),
            hint="Seldom known; the range is shown.",
        ),
        Field(
            "ambient_pressure",
            "Ambient pressure (barometer in the room)",
            "absolute pressure",
            "995 mbar",
            modes=READING,
            default="101.325 kPa",
            accepted=Range("45 kPa", "110 kPa", because="The air of no workshop lies outside this."),
            hint="For readings counted from the room.",
        ),
    ),
)

FIGURES = Figures(
    Shown("true_pressure", "True pressure", "absolute pressure", "mbar, Pa", "range", 3, READING),
    Shown("gauge_factor", "Factor, true over shown", "number", "1", "range", 3, READING),
    Shown("usable_for_filling", "May end a filling by this gauge", "yes/no"),
    Shown(
        "indicated_pressure",
        "What the gauge would show (direction and order only)",
        "absolute pressure",
        "mbar",
        "range",
        3,
        TRUE,
    ),
    Shown("saturates_at", "Reading stops rising at", "absolute pressure", "mbar", "range", 3, TRUE),
    Shown("over_range_at", "Reading runs over at a true pressure of", "absolute pressure", "mbar", "range", 3, TRUE),
)

READ_OFF = (
    ReadOff(
        caption="True pressure for what a thermal gauge shows, up to 1 mbar, chamber at 20 °C: nominal factor",
        down=("gas", ("nitrogen", "argon", "helium", "hydrogen", "carbon dioxide", "water vapour", "krypton")),
        across=("reading", ("0.01 mbar abs", "0.05 mbar abs", "0.1 mbar abs", "0.5 mbar abs", "1 mbar abs")),
        figures=("true_pressure",),
    ),
    ReadOff(
        caption="What a thermal gauge without convection would show, transition pressure 7.4 mbar: direction and "
        "order only. "
        "A dash means past the end of its scale",
        down=("gas", ("nitrogen", "argon", "carbon dioxide", "helium", "hydrogen")),
        across=("true_pressure", ("1 mbar", "5 mbar", "10 mbar", "100 mbar", "1005 mbar")),
        figures=("indicated_pressure",),
        given={"mode": FROM_TRUE},
    ),
)


# ---------------------------------------------------------------- data


@dataclass(frozen=True)
class Blend:
    """What a gauge needs to know of a gas or a mixture; None where the table has no value.

    factor, factor_low, factor_high: true over shown of a thermal gauge, 0.01 to 1 mbar.
    ion: relative sensitivity of a hot cathode gauge.
    conduction, conduction_low, conduction_high: heat conductivity over that of nitrogen.
    """

    factor: float | None
    factor_low: float | None
    factor_high: float | None
    ion: float | None
    conduction: float
    conduction_low: float
    conduction_high: float


@cache
def _table() -> dict[str, dict]:
    return {
        row["gas"]: {key: number_or_none(text) for key, text in row.items() if key != "gas"}
        for row in rows("vacuum/gauge_factors.csv")
    }


def blend(shares: dict[str, float]) -> Blend:
    """Return the gauge data of a gas or mixture.

    Heat losses of the molecules add in a thermal gauge at low pressure: 1/C = sum x/C. Ion currents add: r = sum x r.
    The conductivity of a mixture lies between sum x k and 1/(sum x/k); their mean is taken.

    Args:
        shares: gas to mole fraction, adding to 1.

    Source:
        data/vacuum/gauge_factors.csv. The mean of the two bounds is a rule of thumb for mixtures, our choice.
    """
    table, nitrogen = _table(), _table()["nitrogen"]["conductivity"]
    parts = [(x, table[name]) for name, x in shares.items() if x > 0]

    def together(column):
        values = [(x, row[column]) for x, row in parts]
        return None if any(v is None for _, v in values) else 1 / sum(x / v for x, v in values)

    ions = [(x, row["ion"]) for x, row in parts]
    arithmetic = sum(x * row["conductivity"] for x, row in parts) / nitrogen
    harmonic = 1 / sum(x / row["conductivity"] for x, row in parts) / nitrogen
    return Blend(
        together("factor"),
        together("factor_low"),
        together("factor_high"),
        sum(x * r for x, r in ions),
        (arithmetic + harmonic) / 2,
        harmonic,
        arithmetic,
    )


# ---------------------------------------------------------------- physics


def _bend(conduction: float, transition_pa: float) -> float:
    """(1/kappa − 1)/p_t, 1/Pa: above 0 the reading saturates, below 0 it runs over."""
    return (1 / conduction - 1) / transition_pa


def indicated(true_pa: float, factor: float, conduction: float, transition_pa: float) -> float | None:
    """Return what a thermal gauge calibrated for nitrogen would show, Pa; None where it runs over its scale.

    1/p_shown = C/p + (1/kappa - 1)/p_t: heat carried molecule by molecule at low pressure, by conduction of the
    dense gas at high pressure, added as resistances. No convection and no losses at the ends of the wire: it gives
    the direction and the order, not a reading.

    Args:
        true_pa: true pressure, Pa, above 0.
        factor: true over shown at low pressure.
        conduction: heat conductivity over that of nitrogen.
        transition_pa: transition pressure of the gauge, 200 to 3000 Pa.

    Source:
        addition of molecular and continuum conduction: Sherman 1963 (known, source not looked up).
    """
    inverse = factor / true_pa + _bend(conduction, transition_pa)
    if inverse <= 1 / constant("gauge_gas.over_range"):
        # A reading near the true pressure, at the end of the scale in nitrogen too, is not running over.
        return true_pa / factor if abs(conduction - 1) < 1e-9 else None
    return 1 / inverse


def saturation(conduction: float, transition_pa: float) -> float | None:
    """Return the reading at which a thermal gauge stops rising, Pa: p_t/(1/kappa - 1); None where it does not.

    Args:
        conduction: heat conductivity over that of nitrogen.
        transition_pa: transition pressure of the gauge, Pa.

    Source:
        see indicated.
    """
    bend = _bend(conduction, transition_pa)
    return 1 / bend if bend > 0 else None


def run_over(factor: float, conduction: float, transition_pa: float) -> float | None:
    """Return the true pressure at which a reading grows beyond bounds, Pa: C p_t/(1 - 1/kappa); None where it does not.

    Args:
        factor: true over shown at low pressure.
        conduction: heat conductivity over that of nitrogen.
        transition_pa: transition pressure of the gauge, Pa.

    Source:
        see indicated.
    """
    bend = _bend(conduction, transition_pa)
    return -factor / bend if bend < 0 else None


def transpiration(chamber_k: float, gauge_k: float) -> float:
    """Return gauge pressure over chamber pressure in the limit of no collisions: sqrt(T_gauge/T_chamber).

    Args:
        chamber_k: temperature of the chamber, K.
        gauge_k: temperature of the gauge, K.

    Source:
        Knudsen 1909 (known, source not looked up). At higher pressure the ratio goes to 1.
    """
    return sqrt(gauge_k / chamber_k)


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return the true pressure behind a reading, or what a gauge would show, and whether it may end a filling.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    shares = _shares(inputs)
    found = blend(shares)
    kind, plain = inputs["gauge_type"], set(shares) <= set(AS_CALIBRATED)
    _refuse_unknown(kind, found, shares)
    if inputs.mode == FROM_TRUE:
        return _from_true(inputs, kind, shares, found, plain)
    return _from_reading(inputs, kind, shares, found, plain)


def _shares(inputs) -> dict[str, float]:
    """Gas to share. A mixture must add to 1."""
    if inputs["gas"] != MIXTURE:
        return {inputs["gas"]: 1.0}
    table = inputs["mixture"]
    if not table:
        raise Problems({"mixture": "Mixture: say how much of which gas, such as argon 98 % · hydrogen 2 %."})
    shares: dict[str, float] = {}
    for row in table:
        shares[row["gas"]] = shares.get(row["gas"], 0.0) + row["share"]
    total = sum(shares.values())
    if abs(total - 1) > SUM_ERROR:
        raise Refused(
            "mixture_sum",
            "the shares do not add to 100 %",
            f"The shares of the mixture add to {wording.plain_number(total * 100)} %.",
            "Type the share of every gas, by volume, so that they add to 100 %.",
            field="mixture",
        )
    return {name: x / total for name, x in shares.items() if x > 0}


def _refuse_unknown(kind: str, found: Blend, shares) -> None:
    if kind in HEATED_WIRE and found.factor is None:
        unknown = wording.listed(n for n in shares if _table()[n]["factor"] is None)
        raise Refused(
            "unknown_gas",
            "no factor for this gas",
            f"No table at hand gives a factor of thermal gauges for {unknown}.",
            "Use a diaphragm gauge: it weighs the gas and does not ask which one it is.",
            field="gas",
        )


def _said(shares) -> str:
    if len(shares) == 1:
        return next(iter(shares))
    return " with ".join(
        f"{wording.plain_number(round(x * 100, 3))} % {n}" for n, x in sorted(shares.items(), key=lambda p: -p[1])
    )


def _text(pascal: float, digits: int = 3, towards: str = "near") -> str:
    """A pressure in mbar, or in Pa where that reads better."""
    if pascal < 0.5:
        return wording.with_unit(wording.number(pascal, digits, towards), "Pa")
    return wording.with_unit(wording.number(pascal / 100, digits, towards), "mbar")


def _with_range(found: Estimate) -> str:
    """A value with its range in one unit: "0.16 mbar (0.15 to 0.18 mbar)"."""
    factor, unit = (1, "Pa") if found.value < 0.5 else (100, "mbar")
    value, low, high = (
        wording.number(v / factor, 2, towards)
        for v, towards in ((found.value, "near"), (found.low, "down"), (found.high, "up"))
    )
    return f"{wording.with_unit(value, unit)} ({low} to {wording.with_unit(high, unit)})"


def _usable(kind: str) -> bool:
    """Whether a filling may end by this gauge: only where the reading does not hang on the gas."""
    return kind in (DIAPHRAGM, DIAL)


# ---- from the reading


def _from_reading(inputs, kind, shares, found, plain) -> Answer:
    reading = _reading(inputs)
    true, why = _true_pressure(inputs, kind, reading, found, plain)
    ranged = true.low is not None
    factor = Estimate(
        true.value / reading, *((e / reading for e in (true.low, true.high)) if ranged else ()), cause=true.cause
    )
    figures = FIGURES.fill(true_pressure=true, gauge_factor=factor, usable_for_filling=_usable(kind))
    return Answer(
        sentence=f"Shown {_typed(inputs, reading)} in {_said(shares)}: the true pressure is "
        + (f"about {_with_range(true)}, {why}." if ranged else f"{_text(true.value)}, {why}."),
        verdict="close" if _coarse(kind, reading, plain) else "within",
        judged=False,
        figures=figures,
        leaves_out=_leaves_out(kind),
        cautions=_cautions(kind, shares, found, plain, reading),
        pictures=_pictures(kind, shares, found, plain, (true.value, reading)),
        working=_working_reading(inputs, kind, shares, found, reading, true),
        notes=_notes_reading(inputs, kind, shares, found, plain, reading),
    )


def _good() -> float:
    return constant("gauge_gas.thermal_good")


def _coarse(kind, reading, plain) -> bool:
    """Whether the reading needs a factor with a range, or stands where the gauge is poor."""
    if kind == HOT_CATHODE:
        return reading >= constant("gauge_gas.ion_good")
    return kind in HEATED_WIRE and (not plain or reading > _good())


def _typed(inputs, reading) -> str:
    """The reading as it was typed, where it was absolute; else in mbar absolute."""
    counted = inputs["reading"] != inputs.reads["reading"].si
    return f"{_text(reading)} absolute" if counted else inputs.said("reading")


def _reading(inputs) -> float:
    reading = inputs["reading"]
    if reading <= 0:
        raise Problems({"reading": "What the gauge shows: the reading must be above 0 absolute."})
    if reading > CURVE_TO_PA:
        raise Problems(
            {"reading": f"What the gauge shows: {_text(reading)} absolute is more than a chamber of this kind holds."}
        )
    return reading


def _true_pressure(inputs, kind, reading, found, plain) -> tuple[Estimate, str]:
    """The true pressure with its range, and the words for why."""
    if kind in HEATED_WIRE:
        _refuse_thermal(kind, reading, plain)
        if reading > _good():
            error = constant("gauge_gas.thermal_error")
            return (
                Estimate(reading, reading * (1 - error), reading * (1 + error), cause="a hot wire above 10 mbar"),
                "since a thermal gauge is coarse above 10 mbar",
            )
        low, high = found.factor_low * reading, found.factor_high * reading
        return (
            Estimate(found.factor * reading, low, high, cause="makes and surfaces of the wire"),
            "if the gauge is clean and calibrated for nitrogen",
        )
    if kind == HOT_CATHODE:
        _refuse_hot_cathode(reading)
        error, value = constant("gauge_gas.ion_error"), reading / found.ion
        return (
            Estimate(value, value / (1 + error), value / (1 - error), cause="makes of hot cathode gauges"),
            "if the gauge is clean and calibrated for nitrogen",
        )
    if kind == DIAL:
        reach = constant("gauge_gas.dial_reach")
        if reading < reach:
            raise _dial_too_low(reading)
        return (
            Estimate(reading, reading - reach, reading + reach, cause="the dial itself"),
            "whatever the gas, as far as a dial can tell",
        )
    return _diaphragm(inputs, reading)


def _refuse_thermal(kind, reading, plain) -> None:
    if not plain and reading > constant("gauge_gas.thermal_end") * (1 + 1e-9):
        raise Refused(
            "thermal_above_limit",
            "above 1 mbar this gauge misleads",
            f"At {_text(reading)} shown, the heat that the wire loses hardly depends on the pressure of this gas "
            "any more, and the true "
            "pressure may be many times higher or lower. No factor mends it.",
            "Use a diaphragm gauge. Ask “from the true pressure” to see what this gauge would show, and never end "
            "a filling by it.",
            field="reading",
        )
    if kind == THERMAL and reading > constant("gauge_gas.thermal_flat"):
        raise Refused(
            "thermal_above_limit",
            "above 100 mbar the wire sees little",
            "A heated wire without convection cools hardly any more above 100 mbar, in air and nitrogen too.",
            "Use a diaphragm gauge or a dial.",
            field="reading",
        )


def _refuse_hot_cathode(pressure, name="reading") -> None:
    if pressure > constant("gauge_gas.ion_end") * (1 + 1e-9):
        raise Refused(
            "hot_cathode_too_high",
            "a hot filament burns out there",
            f"At {_text(pressure)} a hot filament burns out or reads nonsense.",
            "Switch the gauge off. Use a thermal or a diaphragm gauge above 0.01 mbar.",
            field=name,
        )


def _dial_too_low(pressure, name="reading") -> Refused:
    return Refused(
        "dial_too_low",
        "a dial cannot see this pressure",
        f"{_text(pressure)} absolute and empty space look alike on a dial: within 50 mbar of its lower stop it "
        "tells nothing.",
        "Use a diaphragm or a thermal gauge.",
        field=name,
    )


def _diaphragm(inputs, reading) -> tuple[Estimate, str]:
    chamber = inputs["chamber_temperature"]
    gauge = inputs["gauge_temperature"]
    if gauge is None:
        gauge = constant("general.zero_celsius") + 20  # an unheated gauge stands in the room
    other = reading / transpiration(chamber, gauge)
    if reading >= constant("gauge_gas.transpiration_end") or abs(other / reading - 1) < 0.001:
        return Estimate(reading), "since a diaphragm gauge does not ask which gas it weighs"
    low, high = sorted((reading, other))
    return (
        Estimate(sqrt(low * high), low, high, cause="gauge and chamber at different temperatures"),
        "whatever the gas; below 1 mbar the different temperatures of gauge and chamber count",
    )


def _leaves_out(kind: str) -> tuple[str, ...]:
    lines = [
        "what else is in the chamber: while it is pumped, air gives way to water vapour",
        "zero and drift of the gauge, and where it stands on a line that has a flow in it",
    ]
    if kind in HEATED_WIRE:
        lines.insert(
            0,
            "gauge to gauge 10 to 25 % of the reading, more with oil or binder on the wire (common practice, no "
            "source)",
        )
    if kind == HOT_CATHODE:
        lines.insert(0, "gas that the hot filament itself gives off or takes up")
    return tuple(lines)


def _notes_reading(inputs, kind, shares, found, plain, reading) -> tuple[str, ...]:
    notes = []
    if kind in HEATED_WIRE and not plain:
        model = reading_inverse(reading, found, constant("gauge_gas.transition_low"))
        if model and model > found.factor_high * reading * 1.05:
            notes.append(
                f"So near to 1 mbar a gauge with a thick wire may already lag: the true pressure may be up to "
                f"{_text(model, 2, 'up')}."
            )
        notes.append(
            "The factor ends at 1 mbar shown. Above that no factor holds, and the gauge must not end a filling."
        )
    if kind == HOT_CATHODE and reading >= constant("gauge_gas.ion_good"):
        notes.append(
            "Above 0.001 mbar the ion current no longer follows the pressure evenly: take the figure as an order "
            "of size."
        )
    if kind == CONVECTION and plain and reading > _good():
        notes.append("Convection depends on how the gauge is mounted: its manual says which way up.")
    if kind == DIAPHRAGM:
        notes.append("It can end a filling only if its range reaches past the pressure of the room.")
    if kind == DIAL and inputs["gauge_temperature"] is not None:
        notes.append("The temperature of the gauge is not used for a dial.")
    if kind in (*HEATED_WIRE, HOT_CATHODE) and abs(inputs["chamber_temperature"] - ROOM_K) > HOT_CHAMBER_K:
        low = transpiration(inputs["chamber_temperature"], constant("general.zero_celsius") + 20)
        if reading < constant("gauge_gas.transpiration_end") and low < 1:
            notes.append(
                f"The chamber is hotter than the gauge: below about 1 mbar a cold gauge may read down to "
                f"{wording.number(low, 2, 'down')} "
                "of the pressure in the chamber. This is not in the range above."
            )
    return tuple(notes)


def reading_inverse(shown_pa: float, found: Blend, transition_pa: float) -> float | None:
    """Return the true pressure that the model of `indicated` puts behind a reading, Pa; None past saturation.

    Args:
        shown_pa: reading, Pa.
        found: data of the gas.
        transition_pa: transition pressure, Pa.

    Source:
        see indicated.
    """
    rest = 1 / shown_pa - _bend(found.conduction, transition_pa)
    return found.factor_high / rest if rest > 0 else None


def _working_reading(inputs, kind, shares, found, reading, true) -> tuple[Work, ...]:
    given = f"shown {reading:.4g} Pa, {_said(shares)}"
    if kind in HEATED_WIRE:
        return (
            Work(
                "True pressure",
                "p = C p_shown, for a mixture 1/C = Σ x/C",
                f"{given}, C = {found.factor:.4g} ({found.factor_low:.3g} to {found.factor_high:.3g})",
                f"p = {true.value:.4g} Pa",
                ("gauge_gas.thermal_end",),
                "gauge-factor-tables",
            ),
        )
    if kind == HOT_CATHODE:
        return (
            Work(
                "True pressure",
                "p = p_shown / r, for a mixture r = Σ x r",
                f"{given}, r = {found.ion:.4g}",
                f"p = {true.value:.4g} Pa",
                ("gauge_gas.ion_error",),
                "crc-ion-sensitivity",
            ),
        )
    if kind == DIAL:
        return (
            Work(
                "Reach of a dial",
                "p = p_shown ± 50 mbar",
                given,
                f"p = {true.value:.4g} Pa",
                ("gauge_gas.dial_reach",),
            ),
        )
    return (
        Work(
            "Gauge and chamber at different temperatures",
            "p between p_shown and p_shown √(T_chamber/T_gauge), below 100 Pa",
            f"{given}, T_chamber = {inputs['chamber_temperature']:.2f} K",
            f"p = {true.value:.4g} Pa" if true.low is None else f"p = {true.low:.4g} to {true.high:.4g} Pa",
            ("gauge_gas.transpiration_end",),
            "knudsen-transpiration",
        ),
    )


# ---- from the true pressure


def _from_true(inputs, kind, shares, found, plain) -> Answer:
    true = inputs["true_pressure"]
    shown, sentence = _shown(inputs, kind, shares, found, plain, true)
    wire = kind in HEATED_WIRE and not plain and not _near_nitrogen(found)
    transition = inputs["transition_pressure"]
    figures = FIGURES.fill(
        usable_for_filling=_usable(kind),
        indicated_pressure=shown,
        saturates_at=_over_gauges(lambda c, k, p: saturation(k, p), found, transition) if wire else None,
        over_range_at=_over_gauges(run_over, found, transition) if wire else None,
    )
    misled = kind in HEATED_WIRE and true > constant("gauge_gas.thermal_end") and not (plain and true <= _good())
    return Answer(
        sentence=sentence,
        verdict="outside" if misled else "within",
        judged=kind in HEATED_WIRE,
        figures=figures,
        leaves_out=_leaves_out(kind)
        + (
            ("convection and losses at the ends of the wire: the figures give direction and order only",)
            if kind in HEATED_WIRE
            else ()
        ),
        cautions=_cautions(kind, shares, found, plain, true),
        pictures=_pictures(kind, shares, found, plain, (true, shown.value if shown else None), transition),
        working=_working_true(kind, shares, found, true, transition, shown),
        notes=_notes_true(kind, plain, found, true),
    )


def _named(kind: str) -> str:
    return {CONVECTION: "a thermal gauge with convection"}.get(kind, f"a {kind} gauge")


def _near_nitrogen(found: Blend) -> bool:
    return abs(found.conduction - 1) < constant("gauge_gas.near_nitrogen")


def _over_gauges(formula, found: Blend, transition: float) -> Estimate | None:
    """A figure of the model over the factors of the gas and over gauges with transition pressures of 2 to 30 mbar."""
    value = formula(found.factor, found.conduction, transition)
    if value is None:
        return None
    ends = [transition, constant("gauge_gas.transition_low"), constant("gauge_gas.transition_high")]
    tried = [
        formula(c, k, p)
        for p in ends
        for c in (found.factor_low, found.factor, found.factor_high)
        for k in (found.conduction_low, found.conduction, found.conduction_high)
    ]
    tried = [t for t in tried if t is not None]
    return Estimate(value, min(tried), max(tried), cause="wires and films of different size")


def _shown(inputs, kind, shares, found, plain, true) -> tuple[Estimate | None, str]:
    """What the gauge would show, or None where it runs over, and the sentence."""
    start = f"With {inputs.said('true_pressure')} of {_said(shares)} in the chamber"
    if kind == HOT_CATHODE:
        _refuse_hot_cathode(true, "true_pressure")
        error, value = constant("gauge_gas.ion_error"), true * found.ion
        shown = Estimate(value, value * (1 - error), value * (1 + error), cause="makes of hot cathode gauges")
        return shown, f"{start} a hot cathode gauge shows about {_with_range(shown)}."
    if kind in (DIAPHRAGM, DIAL):
        reach = constant("gauge_gas.dial_reach")
        if kind == DIAL and true < reach:
            raise _dial_too_low(true, "true_pressure")
        shown = (
            Estimate(true) if kind == DIAPHRAGM else Estimate(true, true - reach, true + reach, cause="the dial itself")
        )
        return shown, f"{start} {_named(kind)} shows {_text(true)}: it does not ask which gas it weighs."
    if plain or _near_nitrogen(found):
        error = constant("gauge_gas.thermal_error") if true > _good() else 1 - found.factor_low
        value = true / found.factor
        shown = Estimate(value, value * (1 - error), value * (1 + error), cause="the heated wire")
        return (
            shown,
            f"{start} {_named(kind)} shows about {_with_range(shown)}. It must not end a filling all the same.",
        )
    return _misread(inputs, kind, found, true, start)


def _misread(inputs, kind, found, true, start) -> tuple[Estimate | None, str]:
    transition = inputs["transition_pressure"]
    value = indicated(true, found.factor, found.conduction, transition)
    stops = " Do not end a filling by this gauge."
    if value is None:
        at = _over_gauges(run_over, found, transition)
        return None, (
            f"{start} {_named(kind)} has run over its scale and shows a full atmosphere; it does so from about "
            f"{_with_range(at)} on.{stops}"
        )
    tried = [
        indicated(true, c, k, p)
        for p in (transition, constant("gauge_gas.transition_low"), constant("gauge_gas.transition_high"))
        for c in (found.factor_low, found.factor_high)
        for k in (found.conduction_low, found.conduction_high)
    ]
    high = constant("gauge_gas.over_range") if None in tried else max(tried)
    shown = Estimate(
        value,
        min(v for v in (*tried, value) if v is not None),
        max(high, value),
        cause="wires and films of different size",
    )
    level = saturation(found.conduction, transition)
    more = f" However far the chamber is filled, it goes no higher than about {_text(level, 2)}." if level else ""
    if true <= constant("gauge_gas.thermal_end"):
        more = stops = ""
    return shown, f"{start} {_named(kind)} would show about {_with_range(shown)}.{more}{stops}"


def _notes_true(kind, plain, found, true) -> tuple[str, ...]:
    notes = []
    if kind == CONVECTION and not plain:
        notes.append(
            "Convection lets the reading creep on a little past the level shown here; in argon such gauges are "
            "seen to stop at tens "
            "of millibar (common practice, no source)."
        )
    if kind in HEATED_WIRE and not plain and _near_nitrogen(found):
        notes.append(
            "This gas conducts heat nearly as nitrogen does: above 10 mbar nobody can say whether the gauge reads "
            "high or low."
        )
    if kind in HEATED_WIRE and plain and true > constant("gauge_gas.thermal_flat"):
        notes.append("A heated wire without convection tells little above 100 mbar.")
    if kind == DIAPHRAGM:
        notes.append("It can end a filling only if its range reaches past the pressure of the room.")
    return tuple(notes)


def _working_true(kind, shares, found, true, transition, shown) -> tuple[Work, ...]:
    result = f"p_shown = {shown.value:.4g} Pa" if shown else "past the end of the scale"
    if kind in HEATED_WIRE:
        return (
            Work(
                "Model of a heated wire",
                "1/p_shown = C/p + (1/κ − 1)/p_t",
                f"p = {true:.4g} Pa, {_said(shares)}: C = {found.factor:.4g}, "
                f"κ = {found.conduction:.4g}, p_t = {transition:.4g} Pa",
                result,
                ("gauge_gas.transition", "gauge_gas.over_range"),
                "sherman-1963",
            ),
            Work(
                "Where the reading ends",
                "p_t/(1/κ − 1) if κ < 1; true C p_t/(1 − 1/κ) if κ > 1",
                f"κ = {found.conduction:.4g}, from heat conductivities at 300 K",
                source="crc-gas-conductivity",
            ),
        )
    if kind == HOT_CATHODE:
        return (
            Work(
                "Reading",
                "p_shown = r p",
                f"p = {true:.4g} Pa, r = {found.ion:.4g}",
                result,
                ("gauge_gas.ion_error",),
                "crc-ion-sensitivity",
            ),
        )
    return (Work("Reading", "p_shown = p", f"p = {true:.4g} Pa", result),)


# ---- cautions and pictures


def _cautions(kind, shares, found, plain, pressure) -> tuple[Caution, ...]:
    cautions = []
    if kind in HEATED_WIRE and not plain and found.conduction < 1 and not _near_nitrogen(found):
        level = saturation(found.conduction, constant("gauge_gas.transition"))
        cautions.append(
            Caution(
                "WARNING",
                "Filling without end",
                f"In {_said(shares)} a thermal gauge stops near {_text(level, 2)}, however far you fill. Whoever "
                "waits for it to show the room's "
                "pressure over-fills the chamber, with a full cylinder behind it.",
                "End a filling by a diaphragm gauge or a dial whose range passes the room, with the relief path free.",
            )
        )
    if kind in HEATED_WIRE and not plain and found.conduction > 1 and not _near_nitrogen(found):
        level = run_over(found.factor, found.conduction, constant("gauge_gas.transition"))
        cautions.append(
            Caution(
                "WARNING",
                "Full reading at vacuum",
                f"In {_said(shares)} a thermal gauge shows a full atmosphere from about {_text(level, 2)} on. "
                "Whoever trusts it opens a valve or "
                "the door on a vacuum: air rushes in, and the door or a window can be thrown.",
                "End a filling by a diaphragm gauge or a dial whose range passes the room.",
            )
        )
    if kind == HOT_CATHODE:
        cautions.append(
            Caution(
                "NOTICE",
                "Hot filament",
                "A hot filament burns out when the pressure rises past 0.01 mbar.",
                "Switch the gauge off before filling, and before any valve is opened.",
            )
        )
    kinds = {gases.gas(name).kind for name, x in shares.items() if x > 0}
    if "flammable" in kinds:
        cautions.append(
            Caution(
                "WARNING",
                "Gas that burns",
                "The gas or one of its parts burns in air. A hot wire can light a mixture of it "
                "with air inside the gauge.",
                "Work with it only in a furnace built for it, as SAF-03 will say.",
            )
        )
    if "toxic" in kinds:
        cautions.append(
            Caution(
                "WARNING",
                "Gas that poisons",
                "Carbon monoxide kills without smell.",
                "Work with it only with detection and exhaust that were built for it.",
            )
        )
    if "oxygen" in kinds and shares.get("oxygen", 0) > constant("general.oxygen_rich_limit"):
        cautions.append(
            Caution(
                "WARNING",
                "Oxygen-rich gas",
                "Above 23.5 % oxygen, pump oil, seals and metals burn that would not burn in air.",
                "Keep it out of oil-sealed pumps and out of this furnace unless it was built for it.",
            )
        )
    return tuple(cautions)


def _pictures(kind, shares, found, plain, mark, transition=None) -> tuple[Plot, ...]:
    """True against shown for a thermal gauge, with the line on which both are equal."""
    if kind not in HEATED_WIRE or plain or _near_nitrogen(found):
        return ()
    transition = transition or constant("gauge_gas.transition")
    steps = [CURVE_FROM_PA * (CURVE_TO_PA / CURVE_FROM_PA) ** (i / 60) for i in range(61)]
    curve = [(p, indicated(p, found.factor, found.conduction, transition)) for p in steps]
    shown = [(p / 100, s / 100) for p, s in curve if s is not None]
    if len(shown) < 2:
        return ()
    low = found.conduction < 1
    ends = [
        (
            p,
            *(
                indicated(p, found.factor, found.conduction, constant(f"gauge_gas.transition_{end}"))
                for end in ("low", "high")
            ),
        )
        for p in steps
    ]
    edges = [(p / 100, min(a, b) / 100, max(a, b) / 100) for p, a, b in ends if a is not None and b is not None]
    marks = ()
    if mark[0] and mark[1] and mark[0] >= CURVE_FROM_PA / 10:
        marks = (Mark("yours", mark[0] / 100, mark[1] / 100),)
    rows = [
        [wording.number(p / 100), wording.number(s / 100, 2) if s is not None else "past its scale"]
        for p, s in curve[::5]
    ]
    words = (
        f"In {_said(shares)} the gauge shows less than the truth, and above a few millibar it stops rising"
        if low
        else (f"In {_said(shares)} the gauge runs to the end of its scale while the chamber is still at vacuum")
    )
    return (
        Plot(
            sentence=words,
            description=f"What a thermal gauge shows against the true pressure, both in mbar on log scales, from "
            f"{rows[0][0]} mbar to "
            f"{rows[-1][0]} mbar true; the straight line is where both are equal. Direction and order only.",
            x=Axis("True pressure", "mbar", log=True, low=CURVE_FROM_PA / 100, high=CURVE_TO_PA / 100),
            y=Axis("Shown", "mbar", log=True, low=CURVE_FROM_PA / 100, high=CURVE_TO_PA / 100),
            curves=(
                Curve("shown", shown),
                Curve(
                    "shown = true",
                    ((CURVE_FROM_PA / 100, CURVE_FROM_PA / 100), (CURVE_TO_PA / 100, CURVE_TO_PA / 100)),
                    dash="dotted",
                ),
            ),
            bands=(Band("other gauges", [(p, a) for p, a, _ in edges], [(p, b) for p, _, b in edges]),)
            if len(edges) > 1
            else (),
            limits=(Limit("factor ends", constant("gauge_gas.thermal_end") / 100),),
            marks=marks,
            table=Table("True and shown", ("True, mbar", "Shown, mbar"), rows),
        ),
    )
