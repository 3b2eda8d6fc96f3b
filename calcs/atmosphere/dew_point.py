"""Moisture in a gas: frost point, dew point, ppm and mass for each volume, one from another; the life of a bed."""

from calcs import gases, water, wording
from calcs.core import Answer, Caution, Estimate, Figures, Range, ReadOff, Refused, Shown, Work, judge
from calcs.data import constant
from calcs.form import REFERENCES, Field, Form, Problems
from calcs.picture import Axis, Beside, Landmark, Scale, Table

PAGE = "ATM-06"

FROST, DEW, CONTENT = "from frost point", "from dew point", "from water content"
MASS, HUMIDITY, PRESSURE = "from mass concentration", "from relative humidity", "from vapour pressure"
DRYER, GETTER = "dryer life", "getter life"
MODES = (FROST, DEW, CONTENT, MASS, HUMIDITY, PRESSURE, DRYER, GETTER)
BEDS = (DRYER, GETTER)
SCALE_FLOOR = 173.15  # K, -100 °C: the picture's scale reaches from there to 60 °C unless the reading lies lower

VAPOUR = Range("1e-6 Pa", water.LIQUID_PRESSURE.high, because="There the equations for ice and water end.")
GAS_TEMPERATURE = Range("-50 °C", "58 °C", because="The equation for liquid water holds there.")


class _DewForm(Form):
    """A form that refuses a reading below 0 °C where nobody has said whether it means ice or water."""

    def read(self, typed: dict):
        said = str(typed.get("mode") or "").strip()
        if not said and _below_zero(typed.get("dew_point")) and not _text(typed.get("frost_point")):
            raise Refused(
                "ice_or_water", "over ice or over water is not said",
                "Below 0 °C the same gas has two points: at −40 °C they differ by 4 K, and the ppm by half.",
                "Choose “from frost point” (over ice) or “from dew point” (over water). The meter's document says "
                "which it shows; "
                "most for dry gas show frost point.", field="dew_point",
            )  # fmt: skip
        return super().read(typed)


def _text(given) -> str:
    text = (
        given.get("text", "") if isinstance(given, dict) else given[0] if isinstance(given, tuple) and given else given
    )
    return "" if text is None else str(text).strip()


def _below_zero(given) -> bool:
    from calcs import units

    unit = (
        given.get("unit") or None
        if isinstance(given, dict)
        else given[1]
        if isinstance(given, tuple) and len(given) == 2
        else None
    )
    try:
        return bool(_text(given)) and units.read("dew point", _text(given), unit).si < constant("general.zero_celsius")
    except units.Unreadable:
        return False


FORM = _DewForm(
    question="How dry is that dew point?",
    modes=MODES,
    mode_label="What do you know, or want to know?",
    ask=("frost_point", "dew_point", "water", "mass_concentration", "relative_humidity", "vapour_pressure",
         "gas_oxygen", "total_pressure",
         "flow", "bed_mass", "target_water"),
    fields=(
        Field("frost_point", "Frost point (over ice)", "dew point", "-65 °C", modes=(FROST,),
              accepted=Range("-120 °C", "0 °C", because="Above 0 °C there is no ice, below −120 °C no meter."),
              hint="What most meters for dry gas show."),
        Field("dew_point", "Dew point (over water)", "dew point", "-12 °C", modes=(DEW,),
              accepted=Range("-50 °C", "58 °C", because="The equation for liquid water is used there."),
              hint="Only if its document says over water."),
        Field("water", "Water content", "mole fraction", "3 ppm", modes=(CONTENT, DRYER),
              accepted=Range("0.001 ppm", "900000 ppm", because="Drier gas is not measured; wetter gas is steam."),
              hint="By volume, share of all gas."),
        Field("mass_concentration", "Water per volume", "mass concentration", "4 mg/m3", modes=(MASS,),
              accepted=Range("0 mg/m3", above=True), hint="At the gas temperature below."),
        Field("relative_humidity", "Relative humidity", "number", "45 %", modes=(HUMIDITY,),
              accepted=Range("0 %", "100 %", above=True), hint="At the gas temperature below."),
        Field("vapour_pressure", "Vapour pressure", "absolute pressure", "0.55 Pa", modes=(PRESSURE,),
              accepted=Range("0 Pa", above=True)),
        Field("gas_oxygen", "Oxygen in the supplied gas", "mole fraction", "2 ppm", modes=(GETTER,),
              accepted=Range("0 ppm", "10 %", above=True, because="With more, a getter overheats."),
              hint="From the certificate of the gas grade."),
        Field("total_pressure", "Total pressure at the sensor", "absolute pressure", "1005 mbar", default="101.325 kPa",
              accepted=Range("1 kPa", because="In thinner gas a dew-point meter does not work."),
              hint="Absolute, at most 20 bar."),
        Field("flow", "Gas flow", "standard flow", "2 L/min", modes=BEDS, accepted=Range("0 L/min", "10000 L/min",
                                                                                         above=True,
              because="Beds of this class take less."), hint="Through the bed."),
        Field("bed_mass", "Mass of the bed", "mass", "0.5 kg", modes=BEDS,
              accepted=Range("0.01 kg", "100 kg", because="Beds of this class weigh that.")),
        Field("target_water", "Moisture limit", "mole fraction", "10 ppm", optional=True, accepted=Range("0 ppm",
                                                                                                         above=True),
              hint="What the load tolerates."),
        Field("bed_capacity", "Usable capacity, mass per mass", "number", "0.10", modes=BEDS, default="0.10",
              accepted=Range("0.01", because="A bed that holds less is spent."),
              hint="Sieve 0.10 to 0.18; gel, alumina 0.02 to 0.05."),
        Field("gas_temperature", "Gas temperature", "temperature", "20 °C", default="20 °C", accepted=GAS_TEMPERATURE,
              hint="For mass and humidity."),
        Field("flow_reference", "Reference condition of the flow", "choice", REFERENCES[0], choices=REFERENCES,
              modes=BEDS,
              default=REFERENCES[0], hint="The flow meter's document names it."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("bed_life", "Life of the bed", "time", "h, d", "down, range", 3, BEDS),
    Shown("water", "Water content, share of all gas", "mole fraction", "ppm, %, ppb", "near", 3),
    Shown("frost_point", "Frost point (over ice)", "dew point", "°C", "near", 3),
    Shown("dew_point", "Dew point (over water)", "dew point", "°C", "near", 3),
    Shown("water_dry_basis", "Water content, against dry gas", "mole fraction", "ppm, %, ppb", "near", 3),
    Shown("vapour_pressure", "Vapour pressure", "absolute pressure", "Pa, kPa", "near", 3),
    Shown("mass_concentration", "Water per volume at gas temperature", "mass concentration", "mg/m3, g/m3", "near", 3),
    Shown("relative_humidity", "Relative humidity at gas temperature", "number", "%", "near", 3),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Water content by frost point and total pressure",
        down=(
            "frost_point",
            ("-90 °C", "-80 °C", "-70 °C", "-60 °C", "-50 °C", "-40 °C", "-30 °C", "-20 °C", "-10 °C"),
        ),
        across=("total_pressure", ("800 mbar", "101.325 kPa", "2 bar", "7 bar")),
        figures=("water",),
        given={"target_water": ""},
    ),
    ReadOff(
        caption="Frost point, dew point, vapour pressure and mass for each volume (20 °C) by water content at 101.325 "
        "kPa",
        down=("water", ("1 ppm", "3 ppm", "5 ppm", "10 ppm", "20 ppm", "50 ppm", "100 ppm", "1000 ppm")),
        figures=("frost_point", "dew_point", "vapour_pressure", "mass_concentration"),
        given={"mode": CONTENT, "target_water": "", "total_pressure": "101.325 kPa"},
    ),
)


# ---------------------------------------------------------------- physics


def mass_in_volume(vapour_pressure_pa: float, temperature_k: float) -> float:
    """Return the mass of water in a volume of gas, kg/m³: e M / (R T).

    Args:
        vapour_pressure_pa: vapour pressure, Pa.
        temperature_k: gas temperature, K.

    Source:
        ideal gas; molar mass of water from the common table.
    """
    return (
        vapour_pressure_pa * gases.gas("water vapour").molar_mass / (constant("general.gas_constant") * temperature_k)
    )


def bed_life(bed_kg: float, capacity: float, flow_mol_per_s: float, share: float, molar_mass: float) -> float:
    """Return the time until a bed is full, s: t = m q / (n x M).

    Args:
        bed_kg: mass of the bed.
        capacity: what it holds, mass for each mass.
        flow_mol_per_s: amount flow through it.
        share: mole fraction of what it takes up.
        molar_mass: of what it takes up, kg/mol.

    Source:
        balance of mass.
    """
    return bed_kg * capacity / (flow_mol_per_s * share * molar_mass)


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return the moisture of a gas in every unit, or how long a bed takes water or oxygen out of it.

    Args:
        inputs: the values of FORM.

    Source:
        calcs.water and the functions above.
    """
    if inputs["total_pressure"] not in Range(None, f"{constant('dew_point.highest_pressure'):.0f} Pa"):
        raise Refused(
            "above_20_bar", "that is above 20 bar",
            "At such pressures the gas itself raises the vapour pressure by more than a tenth, and by how much hangs "
            "on the gas.",
            "Lead the sample to the meter at the pressure of the room.", field="total_pressure",
        )  # fmt: skip
    if inputs.mode in BEDS:
        _check_capacity(inputs)
        return _bed(inputs)
    return _moisture(inputs)


def _vapour_pressure(inputs) -> float:
    """The vapour pressure, Pa, from the one quantity that is known; refuses what the equations do not cover."""
    pressure, temperature = inputs["total_pressure"], inputs["gas_temperature"]
    if inputs.mode == FROST:
        found = water.ice_pressure(inputs["frost_point"])
    elif inputs.mode == DEW:
        found = water.liquid_pressure(inputs["dew_point"])
    elif inputs.mode == MASS:
        found = inputs["mass_concentration"] / mass_in_volume(1.0, temperature)
    elif inputs.mode == HUMIDITY:
        found = inputs["relative_humidity"] * water.liquid_pressure(temperature)
    elif inputs.mode == PRESSURE:
        found = inputs["vapour_pressure"]
    else:
        found = inputs["water"] * pressure
    if found >= pressure:
        raise Refused(
            "steam", "that is steam, not moist gas",
            f"The water alone would have {found / 100:.4g} mbar, and the whole gas has {pressure / 100:.4g} mbar.",
            "Check both pressures and their units.", field="total_pressure",
        )  # fmt: skip
    if found not in VAPOUR:
        raise Refused(
            "outside_equation", "the equations end before that",
            f"A vapour pressure of {wording.number(found)} Pa lies outside the equations for ice and water "
            f"({wording.number(1e-6)} Pa to {water.LIQUID_PRESSURE.high}).",
            "Check the unit; wetter gas than that belongs to another method.", field=_asked(inputs),
        )  # fmt: skip
    return found


def _asked(inputs) -> str:
    return {
        MASS: "mass_concentration",
        HUMIDITY: "relative_humidity",
        PRESSURE: "vapour_pressure",
        FROST: "frost_point",
        DEW: "dew_point",
    }.get(inputs.mode, "water")


def _frost_point(vapour_pa: float) -> float | None:
    """The frost point, K, or None where no ice forms: above 0 °C."""
    found = water.frost_point(vapour_pa) if vapour_pa in water.ICE_PRESSURE else None
    return found if found is not None and found <= constant("general.zero_celsius") * (1 + 1e-9) else None


def _values(inputs, vapour) -> dict:
    share, temperature = vapour / inputs["total_pressure"], inputs["gas_temperature"]
    dew = water.dew_point(vapour)
    note = "Water this cold is ice: for comparison only." if dew < constant("dew_point.no_liquid") else ""
    frost = _frost_point(vapour)
    return {
        "water": share, "water_dry_basis": share / (1 - share), "frost_point": frost,
        "dew_point": Estimate(dew, note=note), "vapour_pressure": vapour,
        "mass_concentration": mass_in_volume(vapour, temperature),
        "relative_humidity": vapour / water.liquid_pressure(temperature),
    }  # fmt: skip


def _moisture(inputs) -> Answer:
    vapour = _vapour_pressure(inputs)
    values = _values(inputs, vapour)
    figures, target = FIGURES.fill(**values), inputs["target_water"]
    verdict = "within" if target is None else judge(values["water"], target, _with_meter_error(inputs, values))
    if inputs["total_pressure"] > constant("dew_point.real_gas_doubt") and verdict == "within":
        verdict = "close"
    return Answer(
        sentence=_sentence(inputs, figures),
        verdict=verdict,
        judged=target is not None,
        figures=figures,
        leaves_out=(
            "the meter: 1 K to 3 K off is usual, which is 15 % to 40 % in ppm; a wet sample line takes hours to dry",
            "the pressure at the sensor, if it is not the one typed",
            "the small rise of the vapour pressure by the gas itself: 0.4 % at 1 bar",
        ),
        cautions=_cautions(inputs, values, target),
        pictures=(_picture(inputs, values),),
        working=_working(inputs, vapour, values),
        notes=_notes(inputs, values, vapour),
    )


def _with_meter_error(inputs, values) -> float | None:
    """The water content if a dew-point meter reads too dry by its usual error; None where no meter was read."""
    pressure, error = inputs["total_pressure"], constant("dew_point.meter_error")
    if inputs.mode == FROST:
        top = min(inputs["frost_point"] + error, water.ICE.ends[1])
        return water.ice_pressure(top) / pressure
    if inputs.mode == DEW:
        return water.liquid_pressure(min(inputs["dew_point"] + error, water.LIQUID.ends[1])) / pressure
    return None


def _sentence(inputs, figures) -> str:
    ppm, at = figures["water"].text, f"at {inputs.said('total_pressure')}"
    if "frost_point" in figures:
        points = (
            f"frost point {figures['frost_point'].text} (over ice), which is dew point {figures['dew_point'].text} "
            "(over water)"
        )
    else:
        points = f"dew point {figures['dew_point'].text} (over water)"
    if inputs.mode == FROST:
        text = f"Frost point {inputs.said('frost_point')} (over ice) is {ppm} of water by volume {at}"
    elif inputs.mode == DEW:
        text = f"Dew point {inputs.said('dew_point')} (over water) is {ppm} of water by volume {at}"
    elif inputs.mode == CONTENT:
        text = f"{inputs.said('water')} of water {at} is {points}"
    else:
        given = {MASS: ("mass_concentration", "of water"), HUMIDITY: ("relative_humidity", "relative humidity"),
                 PRESSURE: ("vapour_pressure", "vapour pressure of water")}[inputs.mode]  # fmt: skip
        warm = f" and {inputs.said('gas_temperature')}" if inputs.mode != PRESSURE else ""
        text = f"{inputs.said(given[0])} {given[1]} {at}{warm} is {ppm} of water by volume: {points}"
    if inputs["target_water"] is not None:
        text += f"; your limit is {inputs.said('target_water')}"
    return f"{text}."


def _notes(inputs, values, vapour) -> tuple[str, ...]:
    notes, pressure = [], inputs["total_pressure"]
    if inputs.mode == DEW and inputs["dew_point"] < constant("general.zero_celsius"):
        frost = values["frost_point"]
        ice = f"{wording.number(frost - constant('general.zero_celsius'), 3)} °C" if frost is not None else "0 °C"
        notes.append(
            f"Read as dew point over water. Meters for dry gas mostly show frost point over ice; this gas would read "
            f"{ice} there."
        )
    if pressure > constant("dew_point.real_gas_note"):
        factor = water.enhancement_factor(values["frost_point"] or water.dew_point(vapour), pressure)
        notes.append(
            f"At this pressure the gas holds about {wording.number(max(factor - 1, 0) * 100, 2, 'up')} % more water "
            f"than that (estimated for air)."
        )
    if pressure > constant("dew_point.real_gas_doubt"):
        notes.append(
            "Above 10 bar the method comes near its end: lead the sample to the meter at the pressure of the room."
        )
    if values["relative_humidity"] > 1:
        notes.append(
            "At the gas temperature typed, water would condense: that gas cannot hold so much. Check the temperature."
        )
    if inputs.mode in (FROST, DEW, CONTENT):
        notes.append(
            "The same gas has another dew point at another pressure, but the same ppm: write the pressure beside every "
            "dew point."
        )
    return tuple(notes)


def _cautions(inputs, values, target) -> tuple[Caution, ...]:
    if target is None or values["water"] <= target * (1 + 1e-9):
        return ()
    return (
        Caution("NOTICE", "Wetter than the load tolerates",
                "Water oxidises hot metal as oxygen does, and makes carbon monoxide on hot graphite.",
                "Dry the gas line and chamber (VAC-06), renew the dryer, and measure again before you heat."),
    )  # fmt: skip


# ---- picture, working


def _picture(inputs, values) -> Scale:
    zero, pressure = constant("general.zero_celsius"), inputs["total_pressure"]
    low = 10.0 * ((min(SCALE_FLOOR, (values["frost_point"] or SCALE_FLOOR) - 5) - zero) // 10)
    high = 60.0 if _point(values) > zero else 20.0
    ticks = [t for t in range(int(low), int(high) + 1, 20) if t + zero < water.LIQUID.ends[1]]
    at = [(t, _pressure_at(t + zero)) for t in ticks]
    yours = _point(values) - zero
    points = [_landmark(ppm, pressure) for ppm in (1, 10, 100, 1000) if ppm * 1e-6 * pressure in VAPOUR]
    ppm = wording.with_unit(wording.number(values["water"] * 1e6), "ppm")
    rows = [[wording.number(t, 3), wording.number(e / pressure * 1e6), wording.number(e)] for t, e in at]
    rows.append(
        [
            f"yours: {wording.number(yours, 3)}",
            wording.number(values["water"] * 1e6),
            wording.number(values["vapour_pressure"]),
        ]
    )
    return Scale(
        sentence=f"Yours: {ppm} at {inputs.said('total_pressure')}",
        description=f"An upright scale of the frost point, above 0 °C of the dew point, from {wording.number(low, 3)} "
        f"°C to "
        f"{wording.number(high, 3)} °C, with ppm and vapour pressure beside it; your gas at {wording.number(yours, 3)} "
        f"°C.",
        axis=Axis("Frost or dew point", "°C", low=low, high=high),
        points=tuple(p for p in points if low <= p.value <= high),
        yours=(Landmark("yours", yours, ppm),),
        beside=(
            Beside("Water", "ppm", tuple((t, wording.number(e / pressure * 1e6, 2)) for t, e in at)),
            Beside("Vapour pressure", "Pa", tuple((t, wording.number(e, 2)) for t, e in at)),
        ),
        table=Table(
            "Frost point (above 0 °C dew point), ppm and vapour pressure",
            ("Point, °C", "Water, ppm", "Pressure, Pa"),
            rows,
        ),
    )


def _landmark(ppm: int, pressure: float) -> Landmark:
    celsius = _temperature_at(ppm * 1e-6 * pressure) - constant("general.zero_celsius")
    return Landmark(f"{ppm} ppm", celsius, wording.with_unit(wording.number(celsius), "°C"))


def _point(values) -> float:
    """Frost point, or dew point above 0 °C, K."""
    dew = values["dew_point"]
    return (
        values["frost_point"] if values["frost_point"] is not None else dew.value if isinstance(dew, Estimate) else dew
    )


def _pressure_at(temperature_k: float) -> float:
    return (
        water.ice_pressure(temperature_k)
        if temperature_k <= constant("general.zero_celsius")
        else water.liquid_pressure(temperature_k)
    )


def _temperature_at(vapour_pa: float) -> float:
    frost = _frost_point(vapour_pa)
    return frost if frost is not None else water.dew_point(vapour_pa)


def _working(inputs, vapour, values) -> tuple[Work, ...]:
    ice = inputs.mode == FROST or (inputs.mode != DEW and values["frost_point"] is not None)
    pressure, temperature = inputs["total_pressure"], inputs["gas_temperature"]
    dew = values["dew_point"].value
    points = f"dew point {dew:.5g} K" + (
        f", frost point {values['frost_point']:.5g} K" if values["frost_point"] is not None else ""
    )
    return (
        Work("Vapour pressure over ice" if ice else "Vapour pressure over liquid water",
             "ln e = a + b/T + c ln T + d T" if ice else "ln e = a + b/T + c ln T + d T + tanh(g (T − h)) (i + j/T + k "
                                                         "ln T + l T)",
             points, f"e = {vapour:.5g} Pa", source="murphy-koop-2005"),
        Work("Share of all gas", "x = e / p", f"p = {pressure:.6g} Pa", f"x = {values['water'] * 1e6:.5g} ppm"),
        Work("Against dry gas", "x / (1 − x)", "", f"{values['water_dry_basis'] * 1e6:.5g} ppm"),
        Work("Mass in a volume", "ρ = e M / (R T)", f"T = {temperature:.5g} K, M = 18.0153 g/mol",
             f"ρ = {values['mass_concentration'] * 1e6:.5g} mg/m³", ("general.gas_constant",)),
        Work("Relative humidity", "φ = e / e_w(T)", f"T = {temperature:.5g} K",
             f"φ = {values['relative_humidity'] * 100:.4g} %"),
    )  # fmt: skip


# ---- beds


def _check_capacity(inputs) -> None:
    most = constant("dew_point.most_capacity")
    if inputs["bed_capacity"] > most * (1 + 1e-9):
        raise Refused(
            "capacity_too_high", "no common bed holds that much",
            f"You typed {inputs.said('bed_capacity')} of its own mass; {wording.plain_number(most)} is beyond what "
            f"dryers and getters of the trade "
            "take up.",
            "Type mass for each mass, such as 0.10, and take the maker's usable figure, not the largest.",
            field="bed_capacity",
        )  # fmt: skip


def _bed(inputs) -> Answer:
    dryer = inputs.mode == DRYER
    share = inputs["water"] if dryer else inputs["gas_oxygen"]
    molar_mass = gases.gas("water vapour" if dryer else "oxygen").molar_mass
    full = bed_life(inputs["bed_mass"], inputs["bed_capacity"], inputs["flow"], share, molar_mass)
    if full > 1e15:
        raise Problems(
            {
                "flow": "Gas flow: with so little to take up the bed lasts for ever. Check flow and content and their "
                "units."
            }
        )
    life = Estimate(full, full * constant("dew_point.early_share"), full, "how long the front in the bed is")
    values = _values(inputs, _vapour_pressure(inputs)) if dryer else {}
    figures = FIGURES.fill(bed_life=life, **values)
    return Answer(
        sentence=_bed_sentence(inputs, figures, dryer),
        figures=figures,
        leaves_out=(
            "what the bed took up before: one afternoon open to the room can fill it",
            "how dry or clean the gas is behind the bed: capacity says nothing about that",
            "channels in the bed, dust, and a flow too fast for it",
        ),
        cautions=_bed_cautions(dryer),
        pictures=(_picture(inputs, values),) if dryer else (),
        working=(
            Work("Life of the bed", "t = m q / (n x M)",
                 f"m = {inputs['bed_mass']:.4g} kg, q = {inputs['bed_capacity']:.3g}, n = {inputs['flow']:.5g} mol/s, "
                 f"x = {share:.4g}, "
                 f"M = {molar_mass * 1e3:.6g} g/mol", f"t = {full / 3600:.5g} h", ("dew_point.early_share",)),
        ),
        notes=_bed_notes(inputs, full, dryer, figures),
    )  # fmt: skip


def _bed_sentence(inputs, figures, dryer) -> str:
    what, name = ("water", "water") if dryer else ("oxygen", "gas_oxygen")
    return (
        f"A {'dryer' if dryer else 'getter'} bed of {inputs.said('bed_mass')} takes {inputs.said(name)} of {what} out "
        f"of {inputs.said('flow')} for "
        f"about {_long(figures['bed_life'].low_value)} to {_long(figures['bed_life'].high_value)}, if it starts fresh."
    )


def _long(seconds: float) -> str:
    """A long time in words: hours, days or years, rounded down."""
    for unit, length in (("years", 31557600.0), ("d", 86400.0), ("h", 3600.0)):
        if seconds >= 2 * length:
            return wording.with_unit(wording.number(seconds / length, 2, "down"), unit)
    return wording.duration(seconds, "down")


def _bed_cautions(dryer) -> tuple[Caution, ...]:
    if dryer:
        return (
            Caution("WARNING", "Heating a used bed",
                    "A bed that has seen hydrogen, solvent or binder vapour can burn or burst when it is heated.",
                    "Heat only a bed whose past you know, open to dry inert gas, as its maker says."),
        )  # fmt: skip
    return (
        Caution("WARNING", "Air on a fresh getter",
                "Reduced copper and hot titanium or zirconium take up air so fast that they glow and burn.",
                "Let the bed cool under its gas, and open it only where its maker says how."),
    )  # fmt: skip


def _bed_notes(inputs, full, dryer, figures) -> tuple[str, ...]:
    notes = []
    if full > constant("dew_point.long_life"):
        notes.append(
            "On gas this clean the bed never fills: it dies of one bad hose or one afternoon open to the room. Log its "
            "exposure, not its hours."
        )
    if not dryer:
        notes.append(
            "A getter of titanium or zirconium works only hot (700 °C to 900 °C, known, source not looked up) and does "
            "nothing once cold."
        )
    if dryer and inputs["target_water"] is not None and inputs["water"] <= inputs["target_water"]:
        notes.append("The gas is already drier than your limit before the bed.")
    if dryer and inputs["bed_capacity"] > 0.05 and inputs["water"] < 1e-4:
        notes.append(
            "Below 100 ppm only molecular sieve keeps such a capacity; silica gel and alumina hold 0.02 to 0.05 there."
        )
    return tuple(notes)
