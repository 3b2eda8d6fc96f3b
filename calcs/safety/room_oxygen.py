"""Oxygen in the room: how far a steady release, or a cylinder let go, lowers it, and how long it takes to come back."""

from dataclasses import replace
from math import exp, log

from calcs import gases, wording
from calcs.atmosphere import cylinder
from calcs.core import Answer, Caution, Estimate, Figures, Range, ReadOff, Refused, Shown, Work, worst
from calcs.data import constant
from calcs.form import Field, Form, Problems
from calcs.picture import Axis, Curve, Landmark, Limit, Plot, Scale, Table

PAGE = "SAF-01"

STEADY, SUDDEN, MEASURED = "steady release", "sudden release", "measured concentration"
NOT_MEASURED = (STEADY, SUDDEN)
EXTRACT, SUPPLY, NONE = "extract", "supply", "none"
OUTDOORS, EXTRACTION, ROOM = "outdoors", "extraction", "room"
STEPS = 60
NEAR = 0.8  # of a limit: from there on close to it, as everywhere on this site; common practice, no source
SHOWN_HOURS = 8  # a working day is drawn where nothing else says how long; ours

FORM = Form(
    question="How low can oxygen in the room fall?",
    modes=(STEADY, SUDDEN, MEASURED),
    ask=("room_volume", "ventilation", "ventilation_kind", "release_flow", "release_volume", "duration", "gas",
         "concentration", "exhaust", "oxygen_monitor"),
    one_of=(("release_volume", "cylinder_volume"), ("release_volume", "cylinder_pressure")),
    # The temperature of the room always has a value: an empty field beside it reaches `answer`, which refuses.
    any_of=(("room_volume", "room_temperature"), ("ventilation", "air_changes", "room_temperature")),
    fields=(
        Field("room_volume", "Room volume, less its contents", "volume", "60 m3", modes=NOT_MEASURED, menu=("m3", "L",
                                                                                                            "ft3"),
              accepted=Range("1 m3", "1e5 m3",
                             because="Smaller is an enclosure, not a room; larger mixes in another way."),
              hint="Length times width times height, less 10 % to 20 % for what stands in it."),
        Field("ventilation", "Fresh air supplied or extracted", "actual flow", "120 m3/h", modes=NOT_MEASURED,
              menu=("m3/h", "L/min", "L/s", "ft3/min"), accepted=Range("0 m3/h"),
              hint="Measured, or from the ventilation's own papers. Air that is only moved about counts as 0."),
        Field("release_flow", "Gas let into the room, at room conditions", "actual flow", "2.2 L/min", modes=(STEADY,),
              accepted=Range("0 L/min"), hint="What comes out of the exhaust where that ends in the room, or a leak."),
        Field("release_volume", "Largest single release, at room conditions", "volume", "6.4 m3", modes=(SUDDEN,),
              menu=("m3", "L", "ft3"), accepted=Range("0 m3", above=True),
              hint="The whole of the largest cylinder. Leave it empty to give the cylinder itself."),
        Field("duration", "Duration", "time", "7 h", modes=(STEADY,), accepted=Range("0 h", "1000 h"),
              hint="How long the gas flows."),
        Field("gas", "Gas", "choice", "argon", choices=gases.NAMES, spoken=gases.FORMULAS,
              hint="What the cylinder label says."),
        Field("concentration", "Gas measured in the room", "mole fraction", "0.3 %", modes=(MEASURED,),
              accepted=Range("0 %", "100 %"),
              hint="Share of that gas in the air. For oxygen the reading of the oxygen meter itself."),
        Field("air_changes", "Fresh-air changes per hour", "number", "2", menu=("1",), modes=NOT_MEASURED, in_example=False,
              accepted=Range("0", "100"), hint="Only instead of the fresh air above. 0 is an answer."),
        Field("ventilation_kind", "Kind of ventilation", "choice", EXTRACT, modes=NOT_MEASURED, choices=(EXTRACT,
                                                                                                         SUPPLY, NONE),
              hint="Extract: a fan draws room air out. Supply: a fan blows fresh air in."),
        Field("exhaust", "Where the exhaust goes", "choice", OUTDOORS, choices=(OUTDOORS, EXTRACTION, ROOM),
              hint="Of the furnace and of its pump."),
        Field("oxygen_monitor", "Oxygen alarm in the room", "yes/no", "yes",
              hint="Fixed, tested, and heard where people are."),
        Field("low_spot_volume", "Low place (pit, basement, layer)", "volume", "6 m3", modes=NOT_MEASURED,
              optional=True,
              in_example=False, menu=("m3", "L", "ft3"), accepted=Range("0 m3", above=True),
              hint="A pit, a basement, or the lowest half metre; for helium and hydrogen the space under the ceiling."),
        Field("cylinder_volume", "Cylinder water volume", "volume", "50 L", modes=(SUDDEN,), in_example=False,
              accepted=Range("0 L", "1000 L", above=True), hint="Only instead of the release."),
        Field("cylinder_pressure", "Cylinder pressure now", "pressure with sense", "120 bar gauge", modes=(SUDDEN,),
              in_example=False,
              accepted=Range("0 Pa"), hint="Only instead of the release. For a plan the pressure of a full one."),
        Field("cylinder_temperature", "Cylinder temperature", "temperature", "20 °C", modes=(SUDDEN,), default="20 °C",
              accepted=Range("0 K", above=True)),
        Field("room_temperature", "Room temperature", "temperature", "20 °C", default="20 °C",
              accepted=Range("5 °C", "45 °C", because="People do not work outside it.")),
        Field("ambient_pressure", "Ambient pressure (barometer in the room)", "absolute pressure", "995 mbar",
              default="101.325 kPa",
              accepted=Range("45 kPa", "110 kPa", because="The air of no workshop lies outside this.")),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("room_oxygen", "Oxygen in the room, average", "mole fraction", "%", "down, range", 3, range_digits=3),
    Shown("steady_oxygen", "Oxygen after a long time", "mole fraction", "%", "down, range", 3, (STEADY,),
          range_digits=3),
    Shown("mixed_oxygen", "Oxygen if it mixes while escaping", "mole fraction", "%", "down", 3, (SUDDEN,)),
    Shown("low_spot_oxygen", "Oxygen in the low place", "mole fraction", "%", "down", 3, NOT_MEASURED),
    Shown("time_to_limit", "Time to 19.5 %", "time", "min", "down", 3, (STEADY,)),
    Shown("room_needed", "Room that stays at 19.5 %", "volume", "m3", "up", 3, (SUDDEN,)),
    Shown("recovery_time", "Time to recover", "time", "min", "up"),
    Shown("oxygen_partial_pressure", "Partial pressure of oxygen", "absolute pressure", "torr, mbar", "down"),
    Shown("gas_limit", "Limit of the gas itself", "mole fraction", "ppm", "down"),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Average oxygen after one cylinder of argon at 20 °C lets go into a room at 20 °C and 1013 mbar, "
        "nothing mixed out on the way",
        down=("room_volume", ("20 m³", "40 m³", "60 m³", "100 m³", "160 m³", "300 m³")),
        across=("cylinder_volume", ("10 L", "20 L", "50 L")),
        figures=("room_oxygen",),
        given={
            "mode": SUDDEN,
            "release_volume": "",
            "cylinder_pressure": "200 bar gauge",
            "ambient_pressure": "101.325 kPa",
        },
    ),
    ReadOff(
        caption="Average oxygen after a long time with argon flowing into a room of 60 m³, by the fresh air that a "
        "fan extracts",
        down=("release_flow", ("1 L/min", "5 L/min", "20 L/min", "50 L/min", "100 L/min")),
        across=("ventilation", ("30 m³/h", "60 m³/h", "120 m³/h", "300 m³/h")),
        figures=("steady_oxygen",),
    ),
)


# ---------------------------------------------------------------- physics


def gas_share(time_s: float, volume_m3: float, release_m3_per_s: float, fresh_m3_per_s: float, kind: str) -> float:
    """Return the share of released gas in a well-mixed room, a time after the release began.

    Extract fan: f = (R/Q)(1 − e^(−Qt/V)) where Q > R. Supply fan: f = R/(Q+R) (1 − e^(−(Q+R)t/V)).
    Without a fan, or with one that draws less than is released: f = 1 − e^(−Rt/V).

    Args:
        time_s: time, s, 0 or more.
        volume_m3: air of the room, m³, above 0.
        release_m3_per_s: gas let in, at room conditions, m³/s, 0 or more.
        fresh_m3_per_s: fresh air, m³/s, 0 or more.
        kind: "extract", "supply" or "none".

    Source:
        oxygen deficiency hazard model of US national laboratories (form known, page looked at in part);
        the balance is integrated numerically in the tests.
    """
    volume, released, fresh = volume_m3, release_m3_per_s, fresh_m3_per_s
    if kind == SUPPLY and fresh + released > 0:
        return released / (fresh + released) * (1 - exp(-(fresh + released) * time_s / volume))
    if kind == EXTRACT and fresh > released:
        return released / fresh * (1 - exp(-fresh * time_s / volume))
    return 1 - exp(-released * time_s / volume)


def steady_share(release_m3_per_s: float, fresh_m3_per_s: float, kind: str) -> float:
    """Return the share of released gas that a room settles at after a long time.

    Args:
        release_m3_per_s: gas let in, m³/s.
        fresh_m3_per_s: fresh air, m³/s.
        kind: "extract", "supply" or "none".

    Source:
        limit of gas_share; 1 where nothing carries the gas away.
    """
    if release_m3_per_s <= 0:
        return 0.0
    if kind == SUPPLY:
        return release_m3_per_s / (fresh_m3_per_s + release_m3_per_s)
    return release_m3_per_s / fresh_m3_per_s if kind == EXTRACT and fresh_m3_per_s > release_m3_per_s else 1.0


def time_to_share(
    share: float, volume_m3: float, release_m3_per_s: float, fresh_m3_per_s: float, kind: str
) -> float | None:
    """Return the time until the room holds a share of released gas, s, or None where it never does.

    Args:
        share: share of released gas, between 0 and 1.
        volume_m3: air of the room, m³.
        release_m3_per_s: gas let in, m³/s.
        fresh_m3_per_s: fresh air, m³/s.
        kind: "extract", "supply" or "none".

    Source:
        gas_share solved for the time.
    """
    settled = steady_share(release_m3_per_s, fresh_m3_per_s, kind)
    if share >= settled:
        return None
    rate = release_m3_per_s
    if kind == SUPPLY:
        rate = fresh_m3_per_s + release_m3_per_s
    elif kind == EXTRACT and fresh_m3_per_s > release_m3_per_s:
        rate = fresh_m3_per_s
    return -volume_m3 / rate * log(1 - share / settled)


def sudden_share(release_m3: float, volume_m3: float, mixing: bool = False) -> float:
    """Return the share of released gas after a sudden release.

    Unmixed, the gas pushes out its own volume of clean air: f = Vg/V, the worst average. Mixing while it
    escapes: f = 1 − e^(−Vg/V).

    Args:
        release_m3: gas let go, at room conditions, m³.
        volume_m3: air of the room, m³.
        mixing: take it as mixing while it escapes.

    Source:
        balance used by guidance on cryogenic gases, such as the appendix of the University of Oxford;
        worked examples in published/safety/room_oxygen.toml.
    """
    return 1 - exp(-release_m3 / volume_m3) if mixing else min(1.0, release_m3 / volume_m3)


def oxygen_with(share: float, gas: str) -> float:
    """Return the mole fraction of oxygen in air that holds a share of released gas.

    Args:
        share: share of released gas, 0 to 1.
        gas: a gas of the table; oxygen raises it, air leaves it.

    Source:
        balance; general.oxygen_in_air.
    """
    air = constant("general.oxygen_in_air")
    return air * (1 - share) + {"oxygen": 1.0, "air": air}.get(gas, 0.0) * share


def recovery_time(share: float, target_share: float, volume_m3: float, fresh_m3_per_s: float) -> float | None:
    """Return the time until fresh air brings a share of released gas down to a target, s; None without fresh air.

    f falls as e^(−Qt/V) once the release has ended.

    Args:
        share: share of released gas at the start.
        target_share: share wanted, above 0.
        volume_m3: air of the room, m³.
        fresh_m3_per_s: fresh air, m³/s.

    Source:
        gas_share without release.
    """
    if share <= target_share:
        return 0.0
    return volume_m3 / fresh_m3_per_s * log(share / target_share) if fresh_m3_per_s > 0 else None


def room_needed(release_m3: float) -> float:
    """Return the room in which a sudden release of inert gas leaves 19.5 % oxygen, m³: Vg / (1 − 0.195/x_air).

    Args:
        release_m3: gas let go, at room conditions, m³.

    Source:
        sudden_share solved for the volume; safety.oxygen_minimum.
    """
    return release_m3 / (1 - constant("safety.oxygen_minimum") / constant("general.oxygen_in_air"))


def cylinder_release(
    gas: str, water_volume_m3: float, pressure_pa: float, temperature_k: float, room_k: float, room_pa: float
) -> float:
    """Return the volume that a whole cylinder takes in the room, m³: n R T / p with the real-gas amount n.

    Args:
        gas: a gas of the table.
        water_volume_m3: water volume, m³.
        pressure_pa: absolute pressure in the cylinder, Pa, up to 300 bar.
        temperature_k: temperature of the cylinder, 258.15 K to 323.15 K.
        room_k: temperature of the room, K.
        room_pa: pressure of the room, Pa.

    Source:
        calcs.atmosphere.cylinder.content; what stays in the cylinder at room pressure is counted too.
    """
    amount = cylinder.content(gas, water_volume_m3, pressure_pa, temperature_k)
    return amount * constant("general.gas_constant") * room_k / room_pa


def judge_oxygen(oxygen: float) -> str:
    """Return the verdict on oxygen in a room.

    Args:
        oxygen: mole fraction.

    Source:
        below 19.5 % and above 23.5 %: 29 CFR 1910.146 (b); 20.5 % and 22 % are ours.
    """
    low, high = 1 - 1e-9, 1 + 1e-9  # 23.5 % typed is a hair more than 0.235
    if oxygen < constant("safety.oxygen_minimum") * low or oxygen > constant("general.oxygen_rich_limit") * high:
        return "outside"
    if oxygen < constant("safety.oxygen_comfort") * low or oxygen > constant("safety.oxygen_enriched_note") * high:
        return "close"
    return "within"


def gas_limit(gas: str) -> float | None:
    """Return the share of a gas in air that is a limit by itself, beside its effect on oxygen, or None.

    Args:
        gas: a gas of the table.

    Source:
        carbon dioxide: eight-hour limit, safety.co2_long_limit. Hydrogen and methane: a quarter of the lower
        flammable limit of IEC 60079-20-1; the quarter is common practice, no source.
    """
    if gas == "carbon dioxide":
        return constant("safety.co2_long_limit")
    flammable = {"hydrogen": "safety.hydrogen_lower_limit", "methane": "safety.methane_lower_limit"}
    if gas in flammable:
        return constant(flammable[gas]) * constant("safety.flammable_share")
    return None


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return how far the oxygen of a room falls, for a steady, a sudden or a measured release.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    _refuse(inputs)
    return {STEADY: _steady, SUDDEN: _sudden, MEASURED: _measured}[inputs.mode](inputs)


def _refuse(inputs) -> None:
    gas = inputs["gas"]
    if gases.gas(gas).kind == "toxic":
        raise Refused(
            "toxic_gas", "this gas is toxic",
            f"{gas.capitalize()} harms at shares so small that the oxygen does not show them.",
            "It needs its own detector, enclosure and exhaust; no oxygen figure stands in for them.",
            "Your safety officer decides.", field="gas",
        )  # fmt: skip
    if gas == "water vapour":
        raise Problems({"gas": "Gas: steam condenses in the room. Choose the gas that is let out."})
    if inputs.mode == MEASURED:
        return
    if inputs["room_volume"] is None:
        raise Refused(
            "no_room_volume", "the volume of the room is missing",
            "How far the oxygen falls depends on how much air there is.",
            "Measure length, width and height, and take off what stands in the room.", field="room_volume",
        )  # fmt: skip
    if inputs["ventilation"] is None and inputs["air_changes"] is None and inputs["ventilation_kind"] != NONE:
        raise Refused(
            "no_ventilation", "the fresh air is missing",
            "An empty field is not taken for any fresh air, and not for none either.",
            "Type what is measured, or 0 where nothing brings fresh air.",
            "Whoever looks after the building can measure it.",
            field="ventilation",
        )  # fmt: skip
    if inputs["ventilation"] is not None and inputs["air_changes"] is not None:
        raise Problems(
            {"air_changes": "Fresh air and fresh-air changes say the same thing twice. Leave one of them empty."}
        )


def _fresh(inputs) -> float:
    """Fresh air, m³/s; none where the kind of ventilation says so."""
    if inputs["ventilation_kind"] == NONE:
        return 0.0
    if inputs["ventilation"] is not None:
        return inputs["ventilation"]
    return inputs["air_changes"] * inputs["room_volume"] / 3600


def _towards(figures, gas) -> dict:
    """Round oxygen up instead of down where the gas is oxygen, whose danger is the high end."""
    if gas != "oxygen":
        return figures
    shares = [f for f in figures.values() if f.shown.kind == "mole fraction"]
    turned = {f.name: replace(f, shown=replace(f.shown, round=f.shown.round.replace("down", "up"))) for f in shares}
    return figures | turned


def _uneven(share: float) -> float:
    """Share of released gas at a bad place of a room whose average is `share`."""
    return min(1.0, share * constant("safety.uneven_drop"))


def _range(best: float, worst_share: float, gas: str, cause: str, value: float | None = None) -> Estimate:
    """Oxygen as an estimate between two shares of released gas; the value is at the first unless another is given."""
    ends = sorted((oxygen_with(best, gas), oxygen_with(worst_share, gas)))
    return Estimate(oxygen_with(best if value is None else value, gas), ends[0], ends[1], cause=cause)


MIXING = "how evenly gas and fresh air mix"


def _clear_share(gas: str) -> float:
    """Share of released gas at which the room is within limits again."""
    air = constant("general.oxygen_in_air")
    if gas == "oxygen":
        target = (constant("safety.oxygen_enriched_note") - air) / (1 - air)
    else:
        target = 1 - constant("safety.oxygen_comfort") / air
    return min(target, gas_limit(gas) or 1.0)


def _verdict(inputs, share: float, low_share: float | None, oxygen: Estimate, steady: float | None = None) -> str:
    gas, limit = inputs["gas"], gas_limit(inputs["gas"])
    found = [judge_oxygen(oxygen.value)]
    if "outside" in (judge_oxygen(oxygen.low), judge_oxygen(oxygen.high)):
        found.append("close")
    if steady is not None and judge_oxygen(steady) == "outside":
        found.append("close")
    if low_share is not None:
        found += ["close", judge_oxygen(oxygen_with(low_share, gas))]
    if inputs["exhaust"] == ROOM and not inputs["oxygen_monitor"]:
        found.append("close")
    if limit is not None and share > limit:
        found.append("outside")
    elif limit is not None and (share > NEAR * limit or gases.gas(gas).kind == "flammable"):
        found.append("close")
    return worst(found)


def _low_share(inputs, share_in) -> float | None:
    """Share of released gas in the low place, by a function of its volume; None where no such place is given."""
    place = inputs["low_spot_volume"]
    return share_in(place) if place is not None else None


def _figures(inputs, share, oxygen, **more) -> dict:
    values = {
        "room_oxygen": oxygen,
        "oxygen_partial_pressure": oxygen.value * inputs.ambient_pa,
        "gas_limit": gas_limit(inputs["gas"]),
    }
    return _towards(FIGURES.fill(**values, **more), inputs["gas"])


def _lowest(gas, oxygen, low_share) -> float:
    return oxygen.value if low_share is None else min(oxygen.value, oxygen_with(low_share, gas))


def _recovery(inputs, share, fresh) -> Estimate | float | None:
    time = recovery_time(share, _clear_share(inputs["gas"]), inputs["room_volume"], fresh)
    if not time:
        return time
    slow = time * constant("safety.mixing_divisor")
    return Estimate(
        time, time, slow, cause=MIXING, note=f"After the release has ended, until {_clear_words(inputs['gas'])}."
    )


def _clear_words(gas) -> str:
    limit = gas_limit(gas)
    if limit is not None and _clear_share(gas) == limit:
        return f"{gas} is below {wording.number(limit * 1e6)} ppm"
    return "oxygen is below 22 %" if gas == "oxygen" else "20.5 % oxygen is reached"


# ---- steady


def _steady(inputs) -> Answer:
    volume, fresh, kind, gas = inputs["room_volume"], _fresh(inputs), inputs["ventilation_kind"], inputs["gas"]
    released, time = inputs["release_flow"], inputs["duration"]
    poor = fresh / constant("safety.mixing_divisor")
    share, settled = gas_share(time, volume, released, fresh, kind), steady_share(released, fresh, kind)
    bad = max(gas_share(time, volume, released, poor, kind), _uneven(share))
    bad_settled = max(steady_share(released, poor, kind), _uneven(settled))
    oxygen = _range(share, bad, gas, MIXING)
    low = _low_share(inputs, lambda place: gas_share(time, place, released, 0.0, NONE))
    limit_share = 1 - constant("safety.oxygen_minimum") / constant("general.oxygen_in_air")
    reach = None if gas in ("oxygen", "air") else time_to_share(limit_share, volume, released, fresh, kind)
    reach_poor = None if gas in ("oxygen", "air") else time_to_share(limit_share, volume, released, poor, kind)
    figures = _figures(
        inputs, share, oxygen,
        steady_oxygen=_range(settled, bad_settled, gas, MIXING),
        low_spot_oxygen=oxygen_with(low, gas) if low is not None else None,
        time_to_limit=Estimate(reach, reach_poor, reach, cause=MIXING) if poor and reach else reach,
        recovery_time=_recovery(inputs, share, fresh),
    )  # fmt: skip
    verdict = _verdict(inputs, share, low, oxygen, oxygen_with(settled, gas))
    if kind == EXTRACT and released >= fresh and released > 0:
        verdict = worst((verdict, "outside"))
    return Answer(
        sentence=_steady_sentence(inputs, figures, reach),
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=LEAVES_OUT,
        cautions=_cautions(inputs, verdict, share, _lowest(gas, oxygen, low), low),
        pictures=(_steady_picture(inputs, fresh, poor, released, time),),
        working=_steady_working(inputs, volume, fresh, released, share, settled),
        notes=_notes(inputs, verdict, share, low, reach, reach_poor),
    )


LEAVES_OUT = (
    "layers and dead corners: at a bad place the oxygen may fall half as much again as the average, or further",
    "the place where the gas comes out, and the inside of the furnace, where there may be no oxygen at all",
    "people, who use oxygen, doors that are opened or shut, and a fan that fails with the power",
)


def _steady_sentence(inputs, figures, reach) -> str:
    room, settled = figures["room_oxygen"], figures["steady_oxygen"]
    worse = room.high_value if inputs["gas"] == "oxygen" else room.low_value
    bad = wording.with_unit(wording.number(max(worse * 100, 0.1), 3, room.shown.towards), "%")
    text = (
        f"After {wording.duration(inputs['duration'])} with {inputs.said('release_flow')} of {inputs['gas']} let into "
        f"the room its oxygen is {_percent(room)} on average, {bad} where it mixes badly; after a long time "
        f"{_percent(settled)} on average."
    )
    if reach is not None:
        text += f" It passes 19.5{wording.NO_BREAK}% after {wording.duration(reach, 'down')}."
    return text + _low_words(inputs, figures)


def _percent(figure) -> str:
    """A figure of oxygen in words that never say 0 %."""
    return figure.text if figure.value >= 1e-3 else f"less than 0.1{wording.NO_BREAK}%"


def _low_words(inputs, figures) -> str:
    if "low_spot_oxygen" not in figures:
        return ""
    place = "under the ceiling" if _density(inputs["gas"]) < constant("safety.light_gas") else "in the low place"
    return (
        f" With all of the gas {place} of {inputs.said('low_spot_volume')} the oxygen there is "
        f"{_percent(figures['low_spot_oxygen'])}."
    )


def _steady_picture(inputs, fresh, poor, released, time) -> Plot:
    volume, kind, gas = inputs["room_volume"], inputs["ventilation_kind"], inputs["gas"]
    end = time or SHOWN_HOURS * 3600.0
    times = [end * i / STEPS for i in range(STEPS + 1)]

    def points(air):
        return [(t / 3600, oxygen_with(gas_share(t, volume, released, air, kind), gas) * 100) for t in times]

    curves = [Curve("well mixed", points(fresh))]
    if poor:
        curves.append(Curve("a third of the fresh air", points(poor)))
    limit, last = _drawn_limit(gas), curves[0].points[-1][1]
    side = "below" if gas == "oxygen" else "above"
    sentence = f"The room stays {side} {limit:g} % oxygen"
    if _past(gas, last):
        sentence = f"This release takes the room past {limit:g} % oxygen"
    return Plot(
        sentence,
        f"Oxygen of the room in per cent against time in hours, from 20.9 % to {last:.1f} % after {end / 3600:.3g} h; "
        f"the limit is {limit:g} %.",
        Axis("Time", "h"),
        Axis("Oxygen", "%"),
        tuple(curves),
        limits=(Limit(f"{limit:g} %", limit),),
        table=_curve_table("Oxygen against time", "Time, h", curves),
    )


def _drawn_limit(gas) -> float:
    """The limit in per cent: the high one for oxygen itself."""
    return 100 * constant("general.oxygen_rich_limit" if gas == "oxygen" else "safety.oxygen_minimum")


def _past(gas, oxygen_percent) -> bool:
    return oxygen_percent > _drawn_limit(gas) if gas == "oxygen" else oxygen_percent < _drawn_limit(gas)


def _curve_table(caption, first, curves) -> Table:
    columns = (first, *(f"{curve.label}, %" for curve in curves))
    numbers = range(0, STEPS + 1, STEPS // 10)
    rows = [
        (wording.number(curves[0].points[n][0]), *(wording.number(c.points[n][1], 4) for c in curves)) for n in numbers
    ]
    return Table(caption, columns, rows)


def _steady_working(inputs, volume, fresh, released, share, settled) -> tuple[Work, ...]:
    equation = {
        EXTRACT: "f = (R/Q)(1 − e^(−Q t/V)), or 1 − e^(−R t/V) where Q is not above R",
        SUPPLY: "f = R/(Q+R) (1 − e^(−(Q+R) t/V))",
        NONE: "f = 1 − e^(−R t/V)",
    }[inputs["ventilation_kind"]]
    return (
        Work("Share of released gas", equation,
             f"V = {volume:.4g} m³, Q = {fresh * 3600:.4g} m³/h, R = {released * 3600:.4g} m³/h, t = "
             f"{inputs['duration'] / 3600:.4g} h",
             f"f = {share:.4g}; after a long time {settled:.4g}", source="odh-model"),
        _oxygen_work(inputs["gas"], share),
        Work("Range", "low end: a third of the fresh air, or half the drop again, whichever is worse", "", "",
             ("safety.mixing_divisor", "safety.uneven_drop")),
    )  # fmt: skip


def _oxygen_work(gas, share) -> Work:
    equation = "x = x_air (1 − f) + f" if gas == "oxygen" else "x = x_air" if gas == "air" else "x = x_air (1 − f)"
    return Work(
        "Oxygen", equation, f"x_air = {constant('general.oxygen_in_air'):.5g}, f = {share:.4g}",
        f"x = {oxygen_with(share, gas) * 100:.4g} %",
        ("general.oxygen_in_air", "safety.oxygen_minimum", "safety.oxygen_comfort"), "start-osha-confined-space",
    )  # fmt: skip


# ---- sudden


def _sudden(inputs) -> Answer:
    volume, fresh, gas = inputs["room_volume"], _fresh(inputs), inputs["gas"]
    release = _release(inputs)
    if release >= volume * (1 - 1e-9):
        raise Refused(
            "gas_fills_room", "the gas would fill the room",
            f"{wording.number(release)} m³ are let go into {wording.number(volume)} m³: nothing to breathe would be "
            f"left.",
            "Put the cylinder outdoors or in a larger room, or use a smaller one.", "Your safety officer decides.",
            field="release_volume",
        )  # fmt: skip
    share, mixed = sudden_share(release, volume), sudden_share(release, volume, mixing=True)
    oxygen = _range(mixed, _uneven(share), gas, "how the gas spreads while it escapes", share)
    low = _low_share(inputs, lambda place: sudden_share(release, place))
    figures = _figures(
        inputs, share, oxygen,
        mixed_oxygen=oxygen_with(mixed, gas),
        low_spot_oxygen=oxygen_with(low, gas) if low is not None else None,
        room_needed=None if gas in ("oxygen", "air") else room_needed(release),
        recovery_time=_recovery(inputs, share, fresh),
    )  # fmt: skip
    verdict = _verdict(inputs, share, low, oxygen)
    return Answer(
        sentence=_sudden_sentence(inputs, figures, release),
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=LEAVES_OUT,
        cautions=_cautions(inputs, verdict, share, _lowest(gas, oxygen, low), low),
        pictures=(_sudden_picture(inputs, fresh, share),),
        working=(
            *_release_working(inputs, release),
            Work("Share of released gas", "f = V_g / V; mixing while it escapes 1 − e^(−V_g/V)",
                 f"V_g = {release:.4g} m³, V = {volume:.4g} m³", f"f = {share:.4g}; {mixed:.4g}",
                 source="oxygen-depletion-appendix"),
            _oxygen_work(gas, share),
        ),
        notes=_notes(inputs, verdict, share, low),
    )  # fmt: skip


def _release(inputs) -> float:
    if inputs["release_volume"] is not None:
        return inputs["release_volume"]
    pressure, temperature = inputs["cylinder_pressure"], inputs["cylinder_temperature"]
    cylinder.refuse_outside_fit(pressure, temperature)
    return cylinder_release(
        inputs["gas"], inputs["cylinder_volume"], pressure, temperature, inputs["room_temperature"], inputs.ambient_pa
    )


def _release_working(inputs, release) -> tuple[Work, ...]:
    if inputs["release_volume"] is not None:
        return ()
    amount = cylinder.content(
        inputs["gas"], inputs["cylinder_volume"], inputs["cylinder_pressure"], inputs["cylinder_temperature"]
    )
    return (
        Work("The whole cylinder in the room", "V_g = n R T / p, n = p_c V_c / (Z R T_c)",
             f"n = {amount:.4g} mol, T = {inputs['room_temperature']:.2f} K, p = {inputs.ambient_pa:.0f} Pa",
             f"V_g = {release:.4g} m³",
             ("general.gas_constant",), "coolprop"),
    )  # fmt: skip


def _sudden_sentence(inputs, figures, release) -> str:
    what = "that release"
    if inputs["release_volume"] is None:
        what = f"the whole cylinder ({wording.number(release, 3, 'up')} m³)"
    way = "rises" if inputs["gas"] == "oxygen" else "falls"
    text = (
        f"If {what} of {inputs['gas']} empties into the room at once, oxygen {way} to "
        f"{_percent(figures['room_oxygen'])} on average ({_percent(figures['mixed_oxygen'])} if it mixes while it "
        "escapes)"
    )
    if "room_needed" in figures:
        text += f"; a room of {figures['room_needed'].text} would stay at 19.5{wording.NO_BREAK}%"
    return text + "." + _low_words(inputs, figures)


def _sudden_picture(inputs, fresh, share) -> Plot:
    gas, volume = inputs["gas"], inputs["room_volume"]
    clear = recovery_time(share, _clear_share(gas), volume, fresh)
    end = max(600.0, 1.2 * clear) if clear else SHOWN_HOURS * 3600.0
    times = [end * i / STEPS for i in range(STEPS + 1)]

    def points(air):
        return [(t / 60, oxygen_with(share * exp(-air * t / volume), gas) * 100) for t in times]

    curves = [Curve("well mixed", points(fresh))]
    if fresh:
        curves.append(Curve("a third of the fresh air", points(fresh / constant("safety.mixing_divisor"))))
    limit, first = _drawn_limit(gas), curves[0].points[0][1]
    sentence = f"This release leaves the room within {limit:g} %"
    if _past(gas, first):
        after = "at once; fresh air brings it back slowly" if fresh else "at once, and nothing brings it back"
        sentence = f"This release takes the room past {limit:g} % {after}"
    return Plot(
        sentence,
        f"Oxygen of the room in per cent against minutes after the release, from {first:.1f} % to "
        f"{curves[0].points[-1][1]:.1f} % after {end / 60:.3g} min; the limit is {limit:g} %.",
        Axis("Time after the release", "min"),
        Axis("Oxygen", "%"),
        tuple(curves),
        limits=(Limit(f"{limit:g} %", limit),),
        table=_curve_table("Oxygen after the release", "Time, min", curves),
    )


# ---- measured


def _measured(inputs) -> Answer:
    gas, reading = inputs["gas"], inputs["concentration"]
    air = constant("general.oxygen_in_air")
    share = (reading - air) / (1 - air) if gas == "oxygen" else reading
    oxygen = reading if gas == "oxygen" else oxygen_with(share, gas)
    bad = oxygen if gas in ("oxygen", "air") else oxygen_with(_uneven(share), gas)
    found = Estimate(oxygen, min(oxygen, bad), max(oxygen, bad), cause="other places of the room")
    figures = _figures(inputs, share, found)
    if gas == "oxygen" and oxygen < air:
        figures = FIGURES.fill(room_oxygen=oxygen, oxygen_partial_pressure=oxygen * inputs.ambient_pa)
    verdict = _verdict(inputs, max(share, 0.0), None, found)
    said = f"{inputs.said('concentration')} of {gas}"
    tail = f" The limit of {gas} itself is {figures['gas_limit'].text}." if "gas_limit" in figures else ""
    return Answer(
        sentence=f"With {said} in the air the oxygen there is {figures['room_oxygen'].text}, "
        f"{figures['oxygen_partial_pressure'].text} of partial pressure in this room." + tail,
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=(
            "other places: the reading holds where the sensor hangs",
            "the error of the instrument, and a sensor that has aged or is made for another gas",
            "what happens next: whether the release goes on",
        ),
        cautions=_cautions(inputs, verdict, max(share, 0.0), oxygen),
        pictures=(_scale(oxygen),),
        working=(_oxygen_work(gas, share),) if gas != "oxygen" else (),
        notes=_notes(inputs, verdict, max(share, 0.0), None),
    )


def _scale(oxygen) -> Scale:
    marks = (
        ("dry air", constant("general.oxygen_in_air")), ("put something right below",
                                                         constant("safety.oxygen_comfort")),
        ("nobody enters below", constant("safety.oxygen_minimum")), ("thought suffers below",
                                                                     constant("safety.oxygen_impairment")),
        ("fire danger above", constant("general.oxygen_rich_limit")),
    )  # fmt: skip
    rows = [(label, wording.number(value * 100, 4)) for label, value in (*marks, ("this room", oxygen))]
    return Scale(
        "Between normal air and the value below which nobody enters lies one and a half per cent",
        "Upright scale of oxygen in per cent: " + ", ".join(f"{label} {value}" for label, value in rows) + ".",
        Axis("Oxygen", "%"),
        points=tuple(Landmark(label, value * 100) for label, value in marks),
        yours=(Landmark("this room", oxygen * 100),),
        table=Table("Oxygen", ("Level", "%"), rows),
    )


# ---- cautions and notes


def _density(gas) -> float:
    """Density over that of air at the same temperature and pressure."""
    return gases.gas(gas).molar_mass / gases.gas("air").molar_mass


def _cautions(inputs, verdict, share, lowest, low=None) -> tuple[Caution, ...]:
    """The cautions that a result calls for; `lowest` is the lowest oxygen found, in the room or in its low place."""
    gas, found = inputs["gas"], []
    if lowest < constant("safety.oxygen_minimum"):
        found.append(SHORT_OF_OXYGEN)
    if gas == "oxygen" and verdict != "within" and lowest > constant("general.oxygen_in_air"):
        found.append(OXYGEN_FEEDS_FIRE)
    if gas in ("oxygen", "air"):
        return tuple(found)
    if low is not None or (_density(gas) > constant("safety.heavy_gas") and verdict != "within"):
        found.append(_gathers(gas))
    if gas == "carbon dioxide" and share > NEAR * constant("safety.co2_long_limit"):
        found.append(_carbon_dioxide(share))
    if gases.gas(gas).kind == "flammable":
        found.append(_burns(gas))
    return tuple(found)


SHORT_OF_OXYGEN = Caution(
    "WARNING",
    "Air without enough oxygen",
    "Nobody feels it coming: thought fails first, then consciousness, within one or two breaths where there is hardly "
    "any oxygen. Many who die in it went in to help.",
    "Raise the alarm, get everybody out and the fresh air on, call the emergency service. Do not go in after somebody "
    "without breathing apparatus.",
)
OXYGEN_FEEDS_FIRE = Caution(
    "WARNING",
    "Too much oxygen feeds fire",
    "Above 23.5 % clothes, hair and oil burn fiercely from a spark.",
    "Stop the release, put out every flame and spark, leave, and air the room and your clothes.",
)


def _gathers(gas) -> Caution:
    place = "in pits, basements and along the floor"
    if _density(gas) < constant("safety.light_gas"):
        place = "under the ceiling"
    return Caution(
        "WARNING",
        "Gas that gathers",
        f"{gas.capitalize()} can stand {place}, where the average of the room says nothing.",
        "Measure there before anybody bends down, climbs down or climbs up.",
    )


def _carbon_dioxide(share) -> Caution:
    long, short, danger = (
        constant(key) * 100 for key in ("safety.co2_long_limit", "safety.co2_short_limit", "safety.co2_danger")
    )
    return Caution(
        "WARNING",
        "Carbon dioxide harms by itself",
        f"{wording.number(share * 100, 2, 'up')} % of it is in the air; the limits are {long:g} % over eight hours and "
        f"{short:g} % over fifteen minutes, and {danger:g} % is immediately dangerous, while the oxygen still looks "
        f"normal.",
        "Measure carbon dioxide itself; an oxygen alarm warns too late.",
    )


def _burns(gas) -> Caution:
    return Caution(
        "WARNING",
        "Gas that burns",
        f"{gas.capitalize()} in the room can catch fire or explode long before the oxygen falls.",
        "Use it only where the room, the detection and the ventilation were made for it. SAF-03 says what must be in "
        "place first.",
    )


def _notes(inputs, verdict, share, low, reach=None, reach_poor=None) -> tuple[str, ...]:
    gas, notes = inputs["gas"], []
    if not inputs["oxygen_monitor"] and gas not in ("air", "oxygen"):
        notes.append(
            "There is no oxygen alarm: nobody would notice. Fit one, where the gas would gather, before gas is used."
        )
    if inputs["ventilation_kind"] == NONE and (inputs["ventilation"] or inputs["air_changes"]):
        notes.append("The kind of ventilation is “none”: the fresh air typed is not used.")
    if inputs.mode != MEASURED and _fresh(inputs) == 0:
        notes.append("Without fresh air the room does not recover by itself.")
    if reach is None and reach_poor is not None:
        notes.append(
            f"If only a third of the fresh air mixes in, 19.5 % is passed after {wording.duration(reach_poor, 'down')}."
        )
    if inputs.mode == STEADY and inputs["ventilation_kind"] == EXTRACT and 0 < _fresh(inputs) <= inputs["release_flow"]:
        notes.append("More gas is let in than the fan draws out: no fresh air comes in at all.")
    if inputs["exhaust"] == OUTDOORS and inputs.mode == STEADY and inputs["release_flow"]:
        notes.append("The exhaust goes outdoors: this is what the room sees if its line comes off or leaks.")
    if low is not None and constant("safety.light_gas") <= _density(gas) <= constant("safety.heavy_gas"):
        notes.append(
            f"{gas.capitalize()} at room temperature is about as heavy as air; let into a pit, or cold, it "
            f"stays there all the same."
        )
    notes += _alarm_note(inputs, oxygen_with(share, gas))
    notes += _altitude_note(inputs, oxygen_with(share, gas), verdict)
    return tuple(notes)


def _alarm_note(inputs, oxygen) -> list[str]:
    if inputs.mode != SUDDEN or not inputs["oxygen_monitor"]:
        return []
    if not constant("safety.oxygen_impairment") <= oxygen < constant("safety.oxygen_minimum"):
        return []
    return [
        "With an alarm in the room the run plan counts a release that leaves 18 % to 19.5 % as a caution, and one that "
        "leaves less as a stop; nobody enters below 19.5 % in either case."
    ]


def _altitude_note(inputs, oxygen, verdict) -> list[str]:
    at_sea_level = constant("safety.oxygen_minimum") * constant("general.standard_atmosphere")
    if verdict != "within" or inputs.ambient_pa * oxygen >= at_sea_level:
        return []
    return [
        "At this pressure of the room the partial pressure of oxygen is already below that of 19.5 % at sea level "
        "(148 torr); people who are not used to it have less in hand. The rule of 19.5 % stays."
    ]
