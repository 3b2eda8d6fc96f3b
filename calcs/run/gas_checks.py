"""Checks of a plan that vacuum and atmosphere answer: what remains, oxide, leak, flow, controller, filling.

Each function asks the calculator that owns the physics. The words stand in data/run/gas_checks.toml.
"""

import re

from calcs import units, water, wording
from calcs.atmosphere import backfill, flow, oxide, purge, residual, stability
from calcs.core import Estimate, Refused, judge, worst
from calcs.data import constant
from calcs.run import derive, said
from calcs.run.found import Found
from calcs.run.steps import gas_name
from calcs.vacuum import rise_test

NORM = "0 degC, 101.325 kPa"  # conditions at which the plan states every flow
BRIGHT = "bright"
WORST = ("outside", "cannot_say", "close", "within")
NO_LIMIT = ("oxide allowed", "not critical")
SATURATED = 1.0  # relative humidity of the room's air: the wettest that it can be, since nobody types it here
# Words beside a metal's name that change nothing about what it is. Any other word makes it a material without data.
PLAIN_WORDS = frozenset(
    "pure oxygen free plain strip strips plate plates sheet sheets bar bars rod rods wire wires tube tubes foil foils "
    "powder block blocks cast wrought annealed clean test piece pieces part parts coupon coupons "
    "sample samples shell shells screw screws ring rings disc discs".split()
)
OXIDE_CERAMICS = ("alumina", "mullite", "silica", "quartz", "zirconia", "magnesia", "yttria", "porcelain")


# ---------------------------------------------------------------- oxygen and moisture that remain


def water_left(inputs, run) -> Estimate | None:
    """Return the moisture that gas and leak leave at the smallest flow, a mole fraction, or None where an input lacks.

    The room's air counts as saturated, so the value is an upper bound; walls, lining and load are not in it.

    Args:
        inputs: the values of the plan's form.
        run: from derive.run.

    Source:
        residual.water_floor.
    """
    least = min(s.flow for s in run.stretches)
    if run.job.is_air or run.leak is None or inputs["gas_water"] is None or least <= 0:
        return None
    humid = water.share_in_air(SATURATED, run.job.room_k, run.ambient_pa)
    value = residual.water_floor(least, inputs["gas_water"], run.leak, humid)
    low = min(inputs["gas_water"], value)
    return Estimate(value, low, value, cause="how wet the leaking air is; walls, lining and load not reckoned with")


def res_1(inputs, run) -> Found:
    if run.job.is_air:
        return Found(values={"said": "Air is the gas: 20.9 % oxygen, nothing is kept out"})
    names = (("gas_oxygen", "the oxygen of the gas"), ("leak_rate", "the leak rate"))
    if lacking := [label for name, label in names if inputs[name] is None]:
        words = f"Without {wording.listed(lacking)} the oxygen that remains cannot be said; nothing is assumed"
        return Found("cannot_say", values={"said": words})
    if run.floor is None:
        words = "Without a flow in every segment the oxygen that remains cannot be said"
        return Found("cannot_say", values={"said": words})
    left, need = run.floor + (run.left_by_cycles or 0.0), inputs["target_oxygen"]
    oxygen, oxygen_said = _oxygen(inputs, run, left)
    moisture, moisture_said = _moisture(inputs, run)
    return Found(
        worst([oxygen, moisture]), said.ppm(left, "up"), said.ppm(need) if need is not None else "",
        {"said": f"{oxygen_said}; {moisture_said}"},
    )  # fmt: skip


def _oxygen(inputs, run, left: float) -> tuple[str, str]:
    """The verdict on the oxygen, and its words with both its parts."""
    need = inputs["target_oxygen"]
    gas, leak = said.ppm(inputs["gas_oxygen"]), said.ppm(run.floor - inputs["gas_oxygen"], "up")
    words = f"Oxygen {said.ppm(left, 'up')} ({gas} gas, {leak} leak at most)"
    if need is not None:
        return judge(left, need), f"{words}, limit {said.ppm(need)}"
    if inputs["finish"] in NO_LIMIT:
        return "within", f"{words}, and the finish asks for no limit"
    return "cannot_say", f"{words}; the finish “{inputs['finish']}” needs an oxygen limit, and none is given"


def _moisture(inputs, run) -> tuple[str, str]:
    """The verdict on the moisture and its words."""
    need, found = inputs["target_water"], water_left(inputs, run)
    if found is None:
        words = "the moisture of the gas is not given"
        return ("within", words) if need is None else ("cannot_say", f"{words}, and {said.ppm(need)} is the limit")
    words = f"moisture {said.ppm(found.value, 'up')}"
    if need is None:
        return "within", words
    return judge(found.value, need), f"{words}, limit {said.ppm(need)}"


# ---------------------------------------------------------------- oxide


def metal_of(name: str) -> str | None:
    """Return the metal of the oxidation tables that a row of the load names, or None.

    Args:
        name: the material as typed: copper, oxygen-free copper, Cu. An alloy is no metal of the tables.
    """
    words = [word for word in re.findall(r"[^\W\d_]+", name) if word.casefold() not in PLAIN_WORDS]
    if len(words) != 1:
        return None
    spoken = oxide.SYMBOLS.get(words[0]) or oxide.SYMBOLS.get(words[0].casefold()) or words[0].casefold()
    return spoken if spoken in stability.metals() else None


def _is_oxide(name: str) -> bool:
    """Whether the row is a ceramic that is an oxide already."""
    return any(re.search(rf"\b{word}\b", name.casefold()) for word in OXIDE_CERAMICS)


def _sorted_load(inputs) -> tuple[dict[str, list], list[str]]:
    """Return the rows of each metal, and the names of what is no metal of the tables and no oxide either."""
    metals, others = {}, []
    for row in inputs["load"]:
        metal = metal_of(row["material"])
        if metal:
            metals.setdefault(metal, []).append(row)
        elif not _is_oxide(row["material"]):
            others.append(row["material"])
    return metals, list(dict.fromkeys(others))


def hot_gas(inputs, run) -> dict[str, float] | None:
    """Return what the gas holds at the soak, gas and leak together, or None where its oxygen is not known.

    Moisture that is not known counts as none, which is the hopeful end.
    """
    oxygen = constant("general.oxygen_in_air") if run.job.is_air else run.floor
    if oxygen is None:
        return None
    moisture = water_left(inputs, run)
    own = {name: run.job.shares.get(name, 0.0) for name in ("hydrogen", "carbon monoxide", "carbon dioxide")}
    return own | {"oxygen": oxygen, "water": moisture.value if moisture else 0.0}


def oxi_1(inputs, run) -> Found:
    bright = inputs["finish"] == BRIGHT
    metals, others = _sorted_load(inputs)
    shares = hot_gas(inputs, run)
    if shares is None:
        return _unsaid(bright, "The oxygen at the soak is not known (RES-1), so nothing is said on oxide.")
    judged = sorted((_balance(metal, shares, inputs, run) for metal in metals), key=lambda f: WORST.index(f.verdict))
    if bright and judged and judged[0].verdict == "outside":
        return judged[0]
    if others:
        return _unsaid(bright, f"Not a metal of the tables (ATM-08): {_some(others)}; whether it oxidises is not said.")
    if not judged:
        return Found(values={"said": "The load holds no metal."})
    if bright:
        return judged[0]
    words = f"{judged[0].values['said']} The finish asks for no more."
    return Found("within", judged[0].figure, judged[0].limit, {"said": words})


def _unsaid(bright: bool, words: str) -> Found:
    return Found("cannot_say" if bright else "within", values={"said": words}, judged=False)


def _some(names: list[str]) -> str:
    """Names, cut where the card has no room for them."""
    text = wording.listed(names[:2]) + (" and others" if len(names) > 2 else "")
    return text if len(text) <= 40 else text[:39].rstrip() + "…"


def _balance(metal: str, shares, inputs, run) -> Found:
    """What the balance of gas and metal says at the soak."""
    kelvin, name = run.job.peak_k, metal.capitalize()
    try:
        level, _ = oxide.gas_state(shares, run.hold_pa, kelvin)
        _, limit = oxide.first_oxide(metal, kelvin, 1.0, shares, run.hold_pa)
    except Refused as refused:
        return Found("cannot_say", values={"said": f"{name} at {said.celsius(kelvin)}: {refused.refusal.heading}."})
    word = oxide.balance_says(metal, kelvin, level - limit)
    figures = _bar(level, "up"), _bar(limit, "down")
    told = f"{name} at {said.celsius(kelvin)} oxidises above {figures[1]} oxygen; the gas holds {figures[0]}"
    if word != "yes" and water_left(inputs, run) is None and not run.job.is_air:
        return Found("cannot_say", *figures, {"said": f"{told} without its moisture, which is not given."})
    ends = {"yes": ": it oxidises.", "no": ": it stays metal.", "too close to tell": ": too close to tell."}
    verdict = {"yes": "outside", "no": "within", "too close to tell": "close"}[word]
    return Found(verdict, *figures, {"said": told + ends[word]})


def _bar(log10_bar: float, towards: str) -> str:
    return wording.with_unit(wording.number(10 ** max(log10_bar, oxide.SCALE_END), 1, towards), "bar")


def oxygen_while_hot(inputs, run) -> float | None:
    """Return the oxygen, mol of O2, that gas and leak bring while the chamber is above 200 °C, or None.

    Source:
        stability.delivered_oxygen with purge.oxygen_floor; time of each stretch from derive.above.
    """
    if run.job.is_air or run.floor is None:
        return None
    hot = constant("run.hot_temperature")
    return sum(
        stability.delivered_oxygen(
            s.flow + run.leak, purge.oxygen_floor(s.flow, inputs["gas_oxygen"], run.leak), derive.above(s.curve, hot)
        )
        for s in run.stretches
    )


def oxi_2(inputs, run) -> Found:
    if run.job.is_air:
        return _no_film("Air is the gas")
    oxygen = oxygen_while_hot(inputs, run)
    if oxygen is None:
        return _no_film("The oxygen at the soak is not known (RES-1)")
    metals, _ = _sorted_load(inputs)
    metals.pop("graphite", None)
    if not metals:
        return _no_film("No metal of the tables in the load")
    rows = [row for of in metals.values() for row in of]
    if any(row["area"] is None for row in rows):
        return _no_film("The surface of the load is not given")
    try:
        names = [stability.boundaries(metal, run.job.peak_k)[0][1] for metal in metals]
    except Refused:
        return _no_film("No data at this temperature")
    area = sum(row["area"] * row["count"] for row in rows)
    thickness, name = max((stability.oxide_thickness(name, oxygen, area), name) for name in names)
    tint = constant("oxide.tint_thickness")
    film, limit = _nanometres(thickness, "up"), _nanometres(tint)
    verdict = "close" if thickness > tint * (1 + 1e-9) and inputs["finish"] not in NO_LIMIT else "within"
    words = f"Up to {film} of {name} if the load takes up all oxygen of gas and leak while hot; moisture not counted."
    return Found(verdict, film, limit, {"film": film, "oxide": name, "limit": limit, "said": words})


def _no_film(why: str) -> Found:
    return Found(values={"said": f"{why}: the film is not worked out."}, judged=False)


def _nanometres(thickness_m: float, towards: str = "near") -> str:
    return wording.with_unit(wording.number(thickness_m * 1e9, 2, towards), "nm")


# ---------------------------------------------------------------- leak


def leak_2(inputs, run) -> Found:
    if not run.job.pumped:
        return Found(values={"said": "The chamber is not pumped: no rise test."})
    leak, step = inputs["leak_rate"], inputs["resolution"]
    if leak is None or step is None:
        return Found("cannot_say")
    time, volume = constant("run.rise_time"), inputs["gas_volume"]
    rise = rise_test.expected_rise(leak, time, volume)
    seen = rise_test.time_to_see(leak, step, volume, constant("run.resolution_steps"))
    measured = max(rise_test.time_to_see(leak, step, volume), constant("rise_test.shortest_test"))
    figure, limit = said.mbar(rise, 2), said.mbar(step, 2)
    words = (
        f"In {said.time(time)} the accepted leak shows as {figure}, gauge step {limit}: seen after "
        f"{said.time(seen, 'up')}, measured after {said.time(measured, 'up')}."
    )
    return Found("close" if seen > time * (1 + 1e-9) else "within", figure, limit, {"said": words})


# ---------------------------------------------------------------- flow, controller, filling


def gas_3(inputs, run) -> Found:
    flow_kept = min((s.flow for s in run.stretches if s.leg.change_k < 0), default=run.flow)
    hold_factor, plan_factor = constant("atmosphere.make_up_factor"), constant("run.make_up_factor")
    hold_asks, plan_asks = hold_factor * run.make_up_peak, plan_factor * run.make_up_peak
    least, ruled = max((plan_asks, "plan"), (hold_asks, "hold"))
    values = {
        "flow": said.flow(flow_kept), "make_up": said.flow(run.make_up_peak, "up"), "least": said.flow(least, "up"),
        "hold": f"{wording.plain_number(hold_factor)} × is {said.flow(hold_asks, 'up')} (hold)",
        "plan": f"{wording.plain_number(plan_factor)} × is {said.flow(plan_asks, 'up')} (plan)", "ruled": ruled,
    }  # fmt: skip
    bad = flow_kept < least * (1 - 1e-9) and not run.job.is_air
    return Found("outside" if bad else "within", values["flow"], values["least"], values)


def factors(inputs, run) -> dict[str, float]:
    """Return true over shown flow of the controller, by kind of instrument; a kind without data is left out.

    Args:
        inputs: the values of the plan's form.
        run: from derive.run.

    Source:
        flow.thermal_factor at the sensor temperature that the page `flow` takes, flow.laminar_factor at the room's.
    """
    calibrated, shares, found = {inputs["calibration_gas"]: 1.0}, run.job.shares, {}
    if calibrated == shares:
        return found
    sensor_k = units.read("temperature", flow.FORM.by_name["flow_sensor_temperature"].default).si
    for kind, factor, kelvin in (
        (flow.THERMAL, flow.thermal_factor, sensor_k),
        (flow.LAMINAR, flow.laminar_factor, run.job.room_k),
    ):
        try:
            found[kind] = factor(calibrated, shares, kelvin)
        except Refused:  # no data for this gas
            continue
    return found


def gas_5(inputs, run) -> Found:
    used, calibrated = gas_name(run.job), inputs["calibration_gas"]
    if run.job.shares == {calibrated: 1.0}:
        return Found("within", used, calibrated, {"said": f"{used}, as used."})
    known = factors(inputs, run)
    if not known:
        words = f"Calibrated for {calibrated}, and {used} flows: the value shown is not the flow; no factor is known."
        return Found("close", used, calibrated, {"said": words})
    short = used if len(run.job.shares) == 1 else "the mixture"
    reference = inputs["flow_reference"]
    stated = flow.restated(run.flow * derive.norm_volume(), NORM, reference)
    at = "" if reference == NORM else f", at {reference.replace('degC', '°C').replace('degF', '°F')}"
    sets = [
        (kind, wording.number(stated * 6e4 / factor, 2), wording.number(factor, 3)) for kind, factor in known.items()
    ]
    words = ", ".join(f"{value} if {kind} ({factor})" for kind, value, factor in sets).replace("(", "(factor ", 1)
    head = f"Calibrated for {calibrated}: for {said.flow(run.flow)} of {short} set"
    return Found("close", used, calibrated, {"said": f"{head} {words}{at}."})


def bak_1(inputs, run) -> Found:
    full = inputs["controller_range"] * max([1.0, *factors(inputs, run).values()])
    relief = max(inputs["relief_pressure"], run.hold_pa)
    time = backfill.controller_time(inputs["gas_volume"], run.job.room_k, run.hold_pa, relief, full)
    least = constant("backfill.reaction_time")
    values = {"time": _seconds(time), "least": _seconds(least)}
    return Found("close" if time < least * (1 - 1e-9) else "within", values["time"], values["least"], values)


def _seconds(time_s: float) -> str:
    """A time, rounded down: what is left to act in."""
    if time_s >= 100:
        return said.time(time_s, "down")
    return wording.with_unit(wording.number(time_s, 2, "down"), "s") if time_s else "0 s"


LATE = (
    ("RES-1", res_1), ("OXI-1", oxi_1), ("OXI-2", oxi_2), ("LEAK-2", leak_2), ("GAS-3", gas_3), ("GAS-5", gas_5),
    ("BAK-1", bak_1),
)  # fmt: skip
