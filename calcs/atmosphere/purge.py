"""Purging: how much oxygen is left in a chamber after gas has flowed through it, or after pump-and-fill cycles."""

from math import ceil, exp, log, sqrt

from calcs import gases, wording
from calcs.core import (
    Answer,
    Caution,
    Column,
    Estimate,
    Figures,
    Range,
    ReadOff,
    Refused,
    Shown,
    Work,
    judge,
)  # fmt: skip
from calcs.data import constant
from calcs.form import REFERENCES, Field, Form, Problems
from calcs.picture import Axis, Curve, Limit, Mark, Plot, Table

ROOM_K = 293.15  # 20 °C, where a table or a measurement is at room temperature; common practice, no source

PAGE = "ATM-02"

BY_FLOW, BY_CYCLES = "by flow", "by cycles"
FLOW, CYCLES = (BY_FLOW,), (BY_CYCLES,)
PERFECT, POOR = 1.0, 0.2  # mixing factors of the two ends of the band; common practice, no source
MOST_CYCLES = 50

OXYGEN = Range("0.01 ppm", "25 %", because="Below 0.01 ppm no analyser of the trade could confirm the answer.")
VOLUME = Range("0.1 L", "1000 L", because="Larger and smaller chambers mix in another way.")
MIXING = Range(
    "0.1", "1", because="1 is perfect mixing; below 0.1 the gas runs from inlet to vent without washing the chamber."
)
CHAMBER_TEMPERATURE = Range("0 °C", "1600 °C", because="No chamber of this kind runs outside it.")

FORM = Form(
    question="How much oxygen is left after purging?",
    modes=(BY_FLOW, BY_CYCLES),
    mode_label="How do you purge?",
    ask=("flow", "gas", "gas_oxygen", "target_oxygen", "duration", "free_volume", "pumped_pressure", "fill_pressure", "cycles"),
    one_of=(("flow", "actual_flow"),),
    any_of=(("target_oxygen", "duration"), ("target_oxygen", "cycles")),
    fields=(
        Field("gas", "Gas", "choice", "argon", choices=gases.NAMES, spoken=gases.FORMULAS,
              hint="What the cylinder label says."),
        Field("flow", "Gas flow", "standard flow", "10 L/min", modes=FLOW, accepted=Range("0 L/min", above=True),
              hint="What the flow meter is set to."),
        Field("actual_flow", "Gas flow at chamber temperature and pressure", "actual flow", "10.8 L/min", modes=FLOW,
              in_example=False, accepted=Range("0 L/min", above=True),
              hint="Only instead of the gas flow above."),
        Field("gas_oxygen", "Oxygen in the supplied gas", "mole fraction", "2 ppm",
              accepted=Range("0 ppm", "1000 ppm", because="Dirtier gas does not purge."),
              hint="From the certificate of the gas grade."),
        Field("target_oxygen", "Oxygen limit", "mole fraction", "20 ppm", accepted=OXYGEN, optional=True,
              hint="What the load tolerates."),
        Field("duration", "Duration", "time", "60 min", modes=FLOW, optional=True,
              accepted=Range("0 s", "1000 h", above=True), hint="To see what is left after that time."),
        Field("pumped_pressure", "Pressure after pumping (low end of a cycle)", "absolute pressure", "0.1 mbar", modes=CYCLES,
              accepted=Range("0 Pa", above=True), hint="What this pump reaches on this chamber in the time you give it.",
              find="pumpdown"),
        Field("fill_pressure", "Pressure after filling", "absolute pressure", "1005 mbar", modes=CYCLES,
              accepted=Range("0 Pa", "2 bar", above=True, because="This furnace class is not built for more.")),
        Field("cycles", "Pump-and-fill cycles", "number", "2", menu=("1",), modes=CYCLES, optional=True,
              accepted=Range("1", str(MOST_CYCLES), because="More cycles than that mean that the pump is not pumping."),
              hint="To see what is left after that many."),
        Field("free_volume", "Chamber volume, open space", "volume", "24 L", accepted=VOLUME,
              hint="Inside width times height times depth, less the load."),
        Field("pore_volume", "Gas held in the pores", "volume", "84 L", default="0 L",
              accepted=Range("0 L", "1000 L"),
              hint="Outer volume of the insulation times its porosity; 0 where a sealed tube or retort holds the gas."),
        Field("exchange_time", "Exchange time of the pores", "time", "5 min", modes=FLOW, default="5 min",
              accepted=Range("0.1 min", "600 min"), hint="About 1 min for 50 mm of fibre, 20 min for 100 mm of dense brick."),
        Field("leak_rate", "Air leak rate, inward", "throughput", "1e-3 mbar L/s", default="0 mbar L/s",
              accepted=Range("0 mbar L/s", "1 mbar L/s", because="A larger leak is a hole: find it first."),
              hint="From a rise test. 0 means that no leak is reckoned with."),
        Field("chamber_temperature", "Chamber temperature", "temperature", "20 °C", default="20 °C",
              accepted=CHAMBER_TEMPERATURE),
        Field("chamber_pressure", "Chamber pressure", "absolute pressure", "1005 mbar", modes=FLOW, default="101.325 kPa",
              accepted=Range("1 Pa", "2 bar", because="This furnace class is not built for more.")),
        Field("start_oxygen", "Oxygen at the start", "mole fraction", "20.946 %", default="20.946 %", accepted=OXYGEN,
              hint="Air, unless you start from something else."),
        Field("mixing_factor", "Mixing factor", "number", "0.5", modes=FLOW, default="0.5", accepted=MIXING,
              hint="1 is perfect mixing; 0.2 to 0.5 for boxes with shelves and corners."),
        Field("low_time", "Time spent at the low pressure, each cycle", "time", "5 min", modes=CYCLES, default="0 min",
              accepted=Range("0 s", "24 h"), hint="A leak adds air during it."),
        Field("base_pressure", "Lowest pressure this pump reaches on this chamber", "absolute pressure", "0.02 mbar",
              modes=CYCLES, optional=True, accepted=Range("0 Pa", above=True), find="pumpdown"),
        Field("maximum_pressure", "Highest pressure that the chamber is rated for", "gauge pressure", "50 mbar gauge",
              modes=CYCLES, optional=True, accepted=Range("0 Pa", above=True), hint="From the furnace's manual."),
        Field("flow_reference", "Reference condition of the flow", "choice", REFERENCES[0], choices=REFERENCES, modes=FLOW,
              default=REFERENCES[0], hint="The flow meter's document names it."),
        Field("ambient_pressure", "Ambient pressure (barometer in the room)", "absolute pressure", "995 mbar",
              default="101.325 kPa", accepted=Range("45 kPa", "110 kPa", because="The air of no workshop lies outside this.")),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("time", "Time to the oxygen limit", "time", "min, h", "up, range", 3, FLOW),
    Shown("volume_changes", "Volume changes needed", "number", "1", "up, range", 3, FLOW),
    Shown("oxygen", "Oxygen in the open space, after duration or cycles", "mole fraction", "ppm, %", "up"),
    Shown("oxygen_in_pores", "Oxygen in the pores after duration", "mole fraction", "ppm, %", "up", 3, FLOW),
    Shown("slow_time", "Slow time constant", "time", "min", "up", 3, FLOW),
    Shown("cycles_needed", "Cycles needed", "number", "1", "up", 3, CYCLES),
    Shown("oxygen_floor", "Oxygen that no purging goes below", "mole fraction", "ppm", "up"),
    Shown("gas_used", "Gas used, at 0 °C, 101.325 kPa", "volume", "L", "up"),
    Shown("shut_vent_rise", "Pressure rise if the vent is shut", "pressure rise rate", "mbar/min", "up", 3, FLOW),
    Shown("oxygen_curve", "Oxygen against time or cycle", "table", columns=(
        Column("at", "Time or cycle"),
        Column("oxygen", "Open space", "mole fraction", "ppm", 3, "up"),
        Column("low", "If mixing is perfect", "mole fraction", "ppm", 3, "up"),
        Column("high", "If mixing is poor", "mole fraction", "ppm", 3, "up"),
    )),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Time by flow until 20 ppm oxygen, mixing factor 0.5, argon with 2 ppm oxygen, no pores, chamber at 20 °C "
        "and 101.325 kPa, flow at 0 °C and 101.325 kPa",
        down=("free_volume", ("5 L", "10 L", "20 L", "50 L", "100 L")),
        across=("flow", ("1 L/min", "2 L/min", "5 L/min", "10 L/min", "20 L/min")),
        figures=("time",),
        given={"pore_volume": "0 L", "chamber_pressure": "101.325 kPa", "leak_rate": "0 mbar L/s", "duration": ""},
    ),
    ReadOff(
        caption="Oxygen left by cycles of pumping and filling to 1005 mbar, from air, gas with 2 ppm oxygen, no leak",
        down=("pumped_pressure", ("0.1 mbar", "1 mbar", "10 mbar", "100 mbar")),
        across=("cycles", ("1", "2", "3", "4")),
        figures=("oxygen",),
        given={"mode": BY_CYCLES, "leak_rate": "0 mbar L/s", "target_oxygen": ""},
    ),
)


# ---------------------------------------------------------------- physics


def leak_flow(leak_pa_m3_per_s: float, temperature_k: float = ROOM_K) -> float:
    """Return the amount flow of a leak, mol/s: n = q / (R T).

    Args:
        leak_pa_m3_per_s: leak rate, Pa·m³/s, 0 or more.
        temperature_k: temperature at which it was measured, K.

    Source:
        ideal gas; constant general.gas_constant.
    """
    return leak_pa_m3_per_s / (constant("general.gas_constant") * temperature_k)


def oxygen_floor(flow_mol_per_s: float, gas_oxygen: float, leak_mol_per_s: float) -> float:
    """Return the mole fraction of oxygen that purging by flow settles at.

    Gas and leak mix: x = (n x_gas + n_leak x_air) / (n + n_leak). Release from walls is left out.

    Args:
        flow_mol_per_s: gas flow, mol/s, above 0.
        gas_oxygen: mole fraction of oxygen in the gas.
        leak_mol_per_s: air coming in, mol/s.

    Source:
        balance of amounts; air from general.oxygen_in_air.
    """
    air = constant("general.oxygen_in_air")
    return (flow_mol_per_s * gas_oxygen + leak_mol_per_s * air) / (flow_mol_per_s + leak_mol_per_s)


def changes_needed(start: float, target: float, floor: float, mixing: float = 1.0) -> float:
    """Return the volume changes that bring a stirred volume without pores from start to target.

    N = ln((x0 - xf) / (xt - xf)) / eta.

    Args:
        start: mole fraction of oxygen at the start, above the target.
        target: mole fraction wanted, above the floor.
        floor: mole fraction that it settles at.
        mixing: mixing factor, 0.1 to 1.

    Source:
        dilution balance with a mixing factor: Crowl and Louvar, Chemical Process Safety, sweep-through
        purging (known, source not looked up).
    """
    return log((start - floor) / (target - floor)) / mixing


def decay(volume_m3: float, pores_m3: float, exchange_s: float, flow_m3_per_s: float) -> tuple:
    """Return (fast rates and shares) of a chamber whose pores give their gas up slowly.

    With a = Q/V, b = Vp/(V tau), c = 1/tau the open space follows
    x(t) = A exp(-l1 t) + B exp(-l2 t), the pores r1 A exp(-l1 t) + r2 B exp(-l2 t), where x counts from the
    floor and both start at 1.

    Args:
        volume_m3: open volume, m³.
        pores_m3: gas in the pores, m³, 0 or more.
        exchange_s: exchange time of the pores, s.
        flow_m3_per_s: flow at chamber conditions times the mixing factor, m³/s.

    Returns:
        (slow rate 1/s, fast rate 1/s, slow share, slow ratio of pores, fast ratio of pores).

    Source:
        balance of two stirred volumes, derived for this project; checked against numerical integration.
    """
    a = flow_m3_per_s / volume_m3
    if pores_m3 <= 0:
        return a, a, 1.0, 0.0, 0.0
    b, c = pores_m3 / (volume_m3 * exchange_s), 1 / exchange_s
    total = a + b + c
    root = sqrt(total * total - 4 * a * c)
    slow, fast = 2 * a * c / (total + root), (total + root) / 2  # this form keeps its digits where a is small
    slow_ratio, fast_ratio = c / (c - slow), c / (c - fast)
    return slow, fast, (1 - fast_ratio) / (slow_ratio - fast_ratio), slow_ratio, fast_ratio


def purged(
    time_s: float, volume_m3: float, pores_m3: float, exchange_s: float, flow_m3_per_s: float
) -> tuple[float, float]:
    """Return what is left of the starting excess after a time, in the open space and in the pores (1 at the start).

    Args:
        time_s: time, s.
        volume_m3: open volume, m³.
        pores_m3: gas in the pores, m³.
        exchange_s: exchange time of the pores, s.
        flow_m3_per_s: flow at chamber conditions times the mixing factor, m³/s.

    Source:
        see decay.
    """
    slow, fast, share, slow_ratio, fast_ratio = decay(volume_m3, pores_m3, exchange_s, flow_m3_per_s)
    early, late = (1 - share) * exp(-fast * time_s), share * exp(-slow * time_s)
    if pores_m3 <= 0:
        return early + late, early + late
    return early + late, fast_ratio * early + slow_ratio * late


def time_to_share(
    share_left: float, volume_m3: float, pores_m3: float, exchange_s: float, flow_m3_per_s: float
) -> float:
    """Return the time, s, until the open space holds a share of its starting excess.

    Args:
        share_left: wanted share, between 0 and 1.
        volume_m3: open volume, m³.
        pores_m3: gas in the pores, m³.
        exchange_s: exchange time of the pores, s.
        flow_m3_per_s: flow at chamber conditions times the mixing factor, m³/s.

    Source:
        see decay; solved by halving, since the share falls steadily.
    """
    slow, *_ = decay(volume_m3, pores_m3, exchange_s, flow_m3_per_s)
    low, high = 0.0, log(1 / share_left) / slow  # the slow part alone would need at most that
    while purged(high, volume_m3, pores_m3, exchange_s, flow_m3_per_s)[0] > share_left:
        high *= 2
    for _ in range(80):
        middle = (low + high) / 2
        if purged(middle, volume_m3, pores_m3, exchange_s, flow_m3_per_s)[0] > share_left:
            low = middle
        else:
            high = middle
    return high


def after_cycles(cycles: int, start: float, gas_oxygen: float, ratio: float, leak_share: float = 0.0) -> list[float]:
    """Return the mole fraction of oxygen after each pump-and-fill cycle, the start first.

    x_j = x_gas + (x_(j-1) - x_gas) p_low/p_high + air that leaked in while the pressure was low.

    Args:
        cycles: number of cycles.
        start: mole fraction at the start.
        gas_oxygen: mole fraction in the gas.
        ratio: low pressure over high pressure, below 1.
        leak_share: oxygen that leaks in during one low time, as a mole fraction of the filled chamber.

    Source:
        vacuum purging: Crowl and Louvar, Chemical Process Safety (known, source not looked up); the leak
        term is a balance of amounts.
    """
    found = [start]
    for _ in range(cycles):
        found.append(gas_oxygen + (found[-1] - gas_oxygen) * ratio + leak_share)
    return found


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return what is left after purging by flow or by cycles, with its range and cautions.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    gases.refuse_for_chamber(inputs["gas"])
    if inputs["gas"] == "air":
        raise Refused(
            "target_below_floor", "air does not purge air out",
            "Air holds 20.9 % oxygen, so no amount of it lowers the oxygen in the chamber.",
            "Choose the gas that flows in.", field="gas",
        )  # fmt: skip
    if inputs["gas"] == "water vapour":
        raise Problems(
            {"gas": "Gas: steam condenses in a cold chamber and is no purge gas. Choose the gas that flows in."}
        )
    return _by_flow(inputs) if inputs.mode == BY_FLOW else _by_cycles(inputs)


def _by_flow(inputs) -> Answer:
    temperature, pressure = inputs["chamber_temperature"], inputs["chamber_pressure"]
    molar_volume = constant("general.gas_constant") * temperature / pressure
    flow = inputs["flow"] if inputs["flow"] is not None else inputs["actual_flow"] / molar_volume
    leak = leak_flow(inputs["leak_rate"])
    floor = oxygen_floor(flow, inputs["gas_oxygen"], leak)
    start, target, duration = inputs["start_oxygen"], inputs["target_oxygen"], inputs["duration"]
    _refuse_unreachable(start, target, floor, inputs["gas_oxygen"])

    actual, mixing = flow * molar_volume, inputs["mixing_factor"]
    chamber = (inputs["free_volume"], inputs["pore_volume"], inputs["exchange_time"])
    factors = (mixing, PERFECT, min(POOR, mixing))

    def oxygen_at(time, factor, place=0):
        return floor + (start - floor) * purged(time, *chamber, actual * factor)[place]

    time = changes = None
    if target is not None:
        share = (target - floor) / (start - floor)
        times = [time_to_share(share, *chamber, actual * factor) for factor in factors]
        time = Estimate(*times, cause="mostly how well the gas mixes")
        changes = Estimate(*(t * actual / chamber[0] for t in times), cause=time.cause)
    oxygen = pores = None
    if duration is not None:
        oxygen = Estimate(*(oxygen_at(duration, factor) for factor in factors), cause="mostly how well the gas mixes")
        pores = (
            Estimate(*(oxygen_at(duration, factor, 1) for factor in factors), cause=oxygen.cause)
            if chamber[1]
            else None
        )

    verdict = _verdict(target, floor, oxygen)
    gas_m3 = flow * (time.value if time else duration) * _norm_volume()
    slow = decay(*chamber, actual * mixing)[0]
    end = max(t for t in ((time.high if time else 0), duration or 0))
    curve = _curve(oxygen_at, factors, end)
    figures = FIGURES.fill(
        time=time, volume_changes=changes, oxygen=oxygen, oxygen_in_pores=pores, slow_time=1 / slow, oxygen_floor=floor,
        gas_used=gas_m3, shut_vent_rise=flow * molar_volume * pressure / (chamber[0] + chamber[1]),
        oxygen_curve=[
            {"at": wording.duration(t), "oxygen": o, "low": low, "high": high} for t, o, low, high in curve[:: len(curve) // 10]
        ],
    )  # fmt: skip
    return Answer(
        sentence=_flow_sentence(inputs, figures),
        verdict=verdict,
        judged=target is not None,
        figures=figures,
        leaves_out=(
            "dead legs: pipes and ports that the stream does not pass",
            "water and gas given off by walls and load",
            "air that diffuses up an open vent"
            + ("" if inputs["leak_rate"] else "; no leak is reckoned with (leak rate 0)"),
        ),
        cautions=_cautions(figures["gas_used"].text),
        pictures=(_flow_picture(curve, floor, target, mixing),),
        working=_flow_working(inputs, flow, actual, floor, factors, time, figures),
        notes=_flow_notes(inputs, verdict, target, floor),
    )


def _refuse_unreachable(start, target, floor, gas_oxygen) -> None:
    if target is None:
        return
    if target >= start:
        raise Refused(
            "already_there", "the chamber is already there",
            f"The limit of {_ppm(target)} is not below the {_ppm(start)} at the start.",
            "Lower the limit, or check the oxygen at the start.", field="target_oxygen",
        )  # fmt: skip
    if target <= floor:
        gas = target <= gas_oxygen
        raise Refused(
            "target_below_floor",
            "the limit is below the gas itself" if gas else "the limit is below what gas and leak leave",
            f"You asked for {_ppm(target)}; the {'gas holds' if gas else 'gas and the leak leave'} "
            f"{_ppm(gas_oxygen if gas else floor)}. No amount of purging passes below it.",
            ("Use cleaner gas or a purifier" if gas else "Find the leak, or flow more gas") + ", or raise the limit if the load "
            "allows.", field="target_oxygen",
        )  # fmt: skip


def _verdict(target, floor, oxygen) -> str:
    """Judge what is left against the limit; a limit near the floor is close at best."""
    if target is None:
        return "within"
    if oxygen is not None:
        verdict = judge(oxygen.value, target, oxygen.high)
        return "close" if verdict == "within" and target < 2 * floor else verdict
    return "close" if target < 2 * floor else "within"


def _norm_volume() -> float:
    """m³ of one mole at 0 °C and 101.325 kPa."""
    return constant("general.gas_constant") * constant("general.zero_celsius") / constant("general.standard_atmosphere")


def _ppm(share: float) -> str:
    shown = Shown("x", "", "mole fraction", "ppm, %")
    return Figures(shown).fill(x=share)["x"].text


def _curve(oxygen_at, factors, end) -> list[tuple]:
    times = [end * i / 60 for i in range(61)]
    return [(t, *(oxygen_at(t, factor) for factor in factors)) for t in times]


def _flow_sentence(inputs, figures) -> str:
    said, target, duration = [], inputs["target_oxygen"], inputs["duration"]
    if duration is not None:
        oxygen = figures["oxygen"]
        against = ""
        if target is not None:
            against = f"; your limit is {inputs.said('target_oxygen')}"
        said.append(f"after {inputs.said('duration')} about {oxygen.text} oxygen is left ({oxygen.span}){against}")
    if target is not None:
        time = figures["time"]
        said.append(
            f"down to {inputs.said('target_oxygen')} takes {wording.duration(time.low_value, 'up')} if the gas mixes perfectly, "
            f"about {time.text} at mixing factor {inputs.said('mixing_factor')}, and up to "
            f"{wording.duration(time.high_value, 'up')} where it mixes poorly"
        )
    sentences = ". ".join(f"{part[:1].upper()}{part[1:]}" for part in said)
    return f"{sentences}, if the gas is what its certificate says and nothing else gives off air."


def _flow_picture(curve, floor, target, mixing) -> Plot:
    minutes = [(t / 60, o * 1e6, low * 1e6, high * 1e6) for t, o, low, high in curve]
    limits = [Limit("the gas itself" if floor else "", floor * 1e6)] if floor > 1e-9 else []
    limits += [Limit("your limit", target * 1e6)] if target is not None else []
    rows = [[wording.number(m), *(wording.number(x, 3, "up") for x in rest)] for m, *rest in minutes[::6]]
    return Plot(
        sentence="Below the floor of gas and leak more purging does nothing",
        description=f"Oxygen in ppm on a log scale against time in minutes, from {rows[0][1]} ppm at the start to "
        f"{rows[-1][1]} ppm after {rows[-1][0]} min; the two other curves show perfect and poor mixing.",
        x=Axis("Time", "min"),
        y=Axis("Oxygen", "ppm", log=True),
        curves=(
            Curve(f"mixing {wording.plain_number(mixing)}", [(m, o) for m, o, _, _ in minutes]),
            Curve("perfect", [(m, low) for m, _, low, _ in minutes], dash="dashed"),
            Curve("poor", [(m, high) for m, _, _, high in minutes], dash="dotted"),
        ),
        limits=tuple(limits),
        table=Table(
            "Oxygen against time", ("Time, min", "Oxygen, ppm", "Perfect mixing, ppm", "Poor mixing, ppm"), rows
        ),
    )


def _flow_working(inputs, flow, actual, floor, factors, time, figures) -> tuple[Work, ...]:
    q = f"{actual * 6e4:.4g} L/min"
    steps = [
        Work("Flow at chamber temperature and pressure", "Q = n R T / p",
             f"n = {flow:.4g} mol/s, T = {inputs['chamber_temperature']:.2f} K, p = {inputs['chamber_pressure']:.0f} Pa",
             f"Q = {q}", ("general.gas_constant",)),
        Work("Oxygen that gas and leak leave", "x_f = (n x_gas + n_leak x_air) / (n + n_leak)",
             f"x_gas = {inputs['gas_oxygen']:.3g}, n_leak = {leak_flow(inputs['leak_rate']):.3g} mol/s",
             f"x_f = {floor * 1e6:.4g} ppm", ("general.oxygen_in_air", "general.gas_constant")),
    ]  # fmt: skip
    if time:
        ideal = changes_needed(inputs["start_oxygen"], inputs["target_oxygen"], floor)
        steps.append(Work(
            "Volume changes in a stirred space without pores", "N = ln((x0 − x_f) / (x_t − x_f)) / η",
            f"x0 = {inputs['start_oxygen']:.5g}, x_t = {inputs['target_oxygen']:.3g}, η = {factors[0]:g}",
            f"N = {ideal:.4g} at η = 1, {ideal / factors[0]:.4g} at η = {factors[0]:g}", source="crowl-louvar",
        ))  # fmt: skip
    if inputs["pore_volume"]:
        steps.append(Work(
            "Open space and pores together", "x = A exp(−l₁ t) + B exp(−l₂ t), l₁, l₂ from Q/V, V_p/(V τ), 1/τ",
            f"V = {inputs['free_volume'] * 1e3:.4g} L, V_p = {inputs['pore_volume'] * 1e3:.4g} L, "
            f"τ = {inputs['exchange_time'] / 60:.3g} min, η Q = {factors[0] * actual * 6e4:.4g} L/min",
            f"slow time constant {figures['slow_time'].text}",
        ))  # fmt: skip
    return tuple(steps)


def _flow_notes(inputs, verdict, target, floor) -> tuple[str, ...]:
    notes = []
    if inputs["mixing_factor"] > 0.5:
        notes.append(
            "A mixing factor above 0.5 is hopeful for a box with shelves; an oxygen analyser at the vent is the only proof."
        )
    if not inputs["pore_volume"]:
        notes.append(
            "No gas in pores is reckoned with. A fibre-lined chamber holds more gas in its lining than in its open space."
        )
    if target is not None and target < 2 * floor:
        notes.append("Your limit is less than twice what gas and leak leave: more time gains next to nothing.")
    if inputs["gas"] == "nitrogen":
        notes.append("Nitrogen is 3 % lighter than air: do not count on layers; reckon with mixing.")
    if inputs["gas"] == "carbon dioxide":
        notes.append("Carbon dioxide is not inert to hot metal or carbon: purge with it cold only.")
    return tuple(notes)


# ---- cycles


def _by_cycles(inputs) -> Answer:
    low, high = inputs["pumped_pressure"], inputs["fill_pressure"]
    gauge = high - inputs.ambient_pa
    _refuse_pressures(inputs, low, high, gauge)
    temperature, volume = inputs["chamber_temperature"], inputs["free_volume"] + inputs["pore_volume"]
    filled_mol = high * volume / (constant("general.gas_constant") * temperature)
    leak_share = leak_flow(inputs["leak_rate"]) * inputs["low_time"] * constant("general.oxygen_in_air") / filled_mol
    ratio, gas_oxygen = low / high, inputs["gas_oxygen"]
    floor = gas_oxygen + leak_share / (1 - ratio)
    start, target = inputs["start_oxygen"], inputs["target_oxygen"]
    _refuse_unreachable(start, target, floor, gas_oxygen)

    needed = _cycles_needed(start, target, floor, ratio) if target is not None else None
    cycles = ceil(inputs["cycles"]) if inputs["cycles"] is not None else min(needed, MOST_CYCLES)
    steps = after_cycles(cycles, start, gas_oxygen, ratio, leak_share)
    oxygen = steps[-1]
    verdict = "within" if target is None else judge(oxygen, target)
    if inputs["maximum_pressure"] is None and gauge > 5000:
        verdict = "outside"
    gas_m3 = cycles * (high - low) / high * filled_mol * _norm_volume()
    figures = FIGURES.fill(
        oxygen=oxygen, cycles_needed=float(needed) if needed else None, oxygen_floor=floor, gas_used=gas_m3,
        oxygen_curve=[{"at": f"cycle {n}" if n else "start", "oxygen": x, "low": x, "high": x} for n, x in enumerate(steps)],
    )  # fmt: skip
    return Answer(
        sentence=_cycles_sentence(inputs, figures, cycles, needed),
        verdict=verdict,
        judged=target is not None or verdict == "outside",
        figures=figures,
        leaves_out=(
            "water and gas given off by walls and load while the pressure is low",
            "dead legs that one short pumping does not empty",
            "leaks during filling" + ("" if inputs["leak_rate"] else "; no leak is reckoned with (leak rate 0)"),
        ),
        cautions=(
            Caution("WARNING", "Filling past room pressure", "A full cylinder behind a chamber made for millibars can burst it or throw its door.",
                    "Fill through a regulator set low, with the relief path free, by an absolute gauge that does not hang on the gas."),
            *_cautions(figures["gas_used"].text),
        ),
        pictures=(_cycles_picture(steps, floor, target),),
        working=(
            Work("Dilution of one cycle", "p_low / p_high", f"{low:.4g} Pa / {high:.6g} Pa", f"{ratio:.4g}"),
            Work("After each cycle", "x_j = x_gas + (x_(j−1) − x_gas) p_low / p_high + leak",
                 f"x_gas = {gas_oxygen * 1e6:.3g} ppm, leak {leak_share * 1e6:.3g} ppm a cycle",
                 " → ".join(_ppm(x) for x in steps[:6]), ("general.oxygen_in_air",), "crowl-louvar"),
        ),
        notes=_cycle_notes(inputs, low, gauge),
    )  # fmt: skip


def _refuse_pressures(inputs, low, high, gauge) -> None:
    if low >= high:
        raise Refused(
            "low_not_below_fill", "the low pressure is not below the filling",
            "A cycle pumps down and fills up; without a difference nothing is replaced.",
            "Type the pressure after pumping, absolute, and the pressure after filling.", field="pumped_pressure",
        )  # fmt: skip
    base, rated = inputs["base_pressure"], inputs["maximum_pressure"]
    if base is not None and low < base:
        raise Refused(
            "pump_cannot_reach", "the pump does not reach that",
            f"You said that the pump stops near {base / 100:.3g} mbar on this chamber.",
            "Pump to a higher pressure and add a cycle, or see how long pumping takes.", field="pumped_pressure",
        )  # fmt: skip
    if rated is not None and gauge > rated:
        raise Refused(
            "above_rated_pressure", "the filling exceeds the chamber's rating",
            f"Filling to {high / 100:.0f} mbar absolute is {gauge / 100:.0f} mbar above the room; the rating is {rated / 100:.0f} mbar.",
            "Fill to less.", "The furnace's manual sets the limit.", field="fill_pressure",
        )  # fmt: skip
    if rated is None and gauge > 50_000:
        raise Refused(
            "above_rated_pressure", "above 0.5 bar this is pressure equipment",
            "More than 0.5 bar above the room belongs to vessels built, tested and licensed for it.",
            "Fill to a few millibars above the room.", "The furnace's manual sets the limit.", field="fill_pressure",
        )  # fmt: skip


def _cycles_needed(start, target, floor, ratio) -> int:
    """Smallest number of cycles that reaches the target; the excess over the floor shrinks by the ratio each time."""
    exact = log((start - floor) / (target - floor)) / log(1 / ratio)
    return max(1, ceil(exact - 1e-9))


def _cycles_sentence(inputs, figures, cycles, needed) -> str:
    gas = inputs["gas_oxygen"]
    share = f", {inputs.said('gas_oxygen')} of it from the gas itself" if gas > figures["oxygen"].value / 2 else ""
    text = (
        f"After {wording.count(cycles, 'cycle')} from {inputs.said('pumped_pressure')} about {figures['oxygen'].text} oxygen is left"
        f"{share}, if the gas is what its certificate says and nothing leaks or gives off."
    )
    if needed is not None:
        text += f" Your limit is {inputs.said('target_oxygen')}: {wording.count(needed, 'cycle')} would reach it."
    return text


def _cycles_picture(steps, floor, target) -> Plot:
    points = [(float(n), x * 1e6) for n, x in enumerate(steps)]
    limits = [Limit("the gas itself", floor * 1e6)] if floor > 1e-9 else []
    limits += [Limit("your limit", target * 1e6)] if target is not None else []
    return Plot(
        sentence="Each cycle divides what is left by the same number, down to the gas itself",
        description=f"Oxygen in ppm on a log scale against the number of cycles, from {wording.number(points[0][1])} ppm "
        f"to {wording.number(points[-1][1])} ppm after {wording.count(len(points) - 1, 'cycle')}.",
        x=Axis("Cycles", ""),
        y=Axis("Oxygen", "ppm", log=True),
        curves=(Curve("oxygen left", points, step=True),),
        marks=(Mark("after the last cycle", *points[-1]),),
        limits=tuple(limits),
        table=Table(
            "Oxygen after each cycle",
            ("Cycle", "Oxygen, ppm"),
            [[str(int(n)), wording.number(x, 3, "up")] for n, x in points],
        ),
    )


def _cycle_notes(inputs, low, gauge) -> tuple[str, ...]:
    notes = []
    base = inputs["base_pressure"]
    if base is not None and low < 10 * base:
        notes.append(
            "Below about ten times the lowest pressure of the pump the gas left is water and leaked air, not diluted air: "
            "the figure flatters. Ten times is common practice, no source."
        )
    if gauge < 0:
        notes.append("The filling ends below the pressure of the room: keep the vent shut, or air runs in.")
    if inputs["maximum_pressure"] is None and gauge > 5000:
        notes.append(
            "No rated pressure is given: treat the chamber as unable to hold any, and keep within 0.05 bar of the room."
        )
    if inputs["leak_rate"] and not inputs["low_time"]:
        notes.append("The leak is left out, because no time at the low pressure is given.")
    return tuple(notes)


def _cautions(gas_text: str) -> tuple[Caution, ...]:
    return (
        Caution("WARNING", "Air without oxygen",
                f"All of the gas ({gas_text}) comes out at the vent. In a small or badly aired room it lowers the oxygen that people "
                "breathe, without any sign.",
                "Lead the exhaust outdoors, watch the oxygen alarm, and look at SAF-01 for this room."),
        Caution("WARNING", "Never put your head into a purged chamber",
                "The gas stays in the chamber. One or two breaths of it can end consciousness.",
                "Air the chamber and measure the oxygen at the door before anybody leans in."),
    )  # fmt: skip
