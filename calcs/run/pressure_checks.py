"""Checks of a plan that the calculator of over-pressure answers: relief against the failed supply, force on the door.

The words stand in data/run/pressure_checks.toml.
"""

from math import pi

from calcs import units
from calcs.core import OutOfRange, Refused, judge, worst
from calcs.data import constant
from calcs.orifice import Opening
from calcs.run import said
from calcs.run.found import Found
from calcs.safety import overpressure

# ---------------------------------------------------------------- relief against the failed supply


def _default(name: str) -> float:
    """What the page SAF-02 takes where nobody types it."""
    field = overpressure.FORM.by_name[name]
    return units.read(field.kind, field.default).si


def failed_supply(inputs, run) -> float | None:
    """Return the flow if the supply fails open, mol/s, or None where the record does not tell.

    The typed value wins. Else the smallest bore at the highest pressure of any cylinder that will be connected,
    cold; or the open bypass at the supply pressure, where that is more. A discharge coefficient of 1 instead of the
    page's 0.8 brings a quarter more, which is what the verdict keeps as its margin.

    Args:
        inputs: the values of the plan's form.
        run: from derive.run.

    Source:
        overpressure.coldest_failure.
    """
    if inputs["supply_failure_flow"] is not None:
        return inputs["supply_failure_flow"]
    if inputs["restriction_bore"] is None:
        return None
    full = overpressure.full_pressure(inputs["cylinder_pressure"], run.ambient_pa)
    failed = overpressure.coldest_failure(
        run.job.gas, full, inputs["cylinder_temperature"], inputs["restriction_bore"],
        _default("discharge_coefficient"), run.ambient_pa,
    )  # fmt: skip
    return max(failed, _bypass(inputs, run))


def _bypass(inputs, run) -> float:
    """Flow through a bypass that stands open, mol/s; 0 where the record names none."""
    bore, supply = inputs["bypass_bore"], inputs["supply_pressure"]
    if bore is None or supply is None or supply <= run.ambient_pa:
        return 0.0
    return Opening(pi / 4 * bore**2, supply, run.job.room_k, run.job.gas).flow(run.ambient_pa)


def vent_capacity(inputs, run) -> float | None:
    """Return the flow that the vent line alone passes up to where the relief opens, mol/s; None without its geometry.

    It says nothing of the relief, which is what is left where the vent is blocked.

    Args:
        inputs: the values of the plan's form.
        run: from derive.run.

    Source:
        overpressure.line_capacity.
    """
    if inputs["vent_bore"] is None or inputs["vent_length"] is None:
        return None
    line = overpressure.Line(inputs["vent_bore"], inputs["vent_length"], _default("fittings_loss"))
    limit = inputs["relief_pressure"] - run.ambient_pa
    return overpressure.line_capacity(run.job.gas, _default("vent_temperature"), line, run.ambient_pa, limit)


def prs_2(inputs, run) -> Found:
    try:
        failed = failed_supply(inputs, run)
        vent = vent_capacity(inputs, run) if inputs["relief_capacity"] is None else None
    except (Refused, OutOfRange):
        return Found("cannot_say", values={"said": f"No data of {run.job.gas} for a supply that fails open."})
    if failed is None:
        words = "The record does not say what a supply that fails open brings, nor the smallest bore between."
        return Found("cannot_say", values={"said": words})
    demand = failed + run.expelled_peak
    brings = said.flow(demand, "up", 3) + (" (from the bore)" if inputs["supply_failure_flow"] is None else "")
    if inputs["relief_capacity"] is None:
        alone = f"; the vent line alone passes {said.flow(vent, 'down', 3)}" if vent is not None else ""
        words = f"The record does not say what the relief passes{alone}. A failed supply brings {brings}."
        return Found("cannot_say", brings, "", {"said": words})
    capacity = inputs["relief_capacity"]
    values = {"capacity": said.flow(capacity, "down", 3), "demand": brings}
    return Found(judge(demand, capacity), brings, values["capacity"], values)


# ---------------------------------------------------------------- force on the door


def prs_6(inputs, run) -> Found:
    size = inputs["door_width"], inputs["door_height"]
    if None in size:
        return Found(judged=False, values={"said": "Not worked out: the size of the door is not in the record."})
    hold, relief, rated = (p - run.ambient_pa for p in (
        run.hold_pa, inputs["relief_pressure"], inputs["maximum_pressure"]))  # fmt: skip
    blowing = relief * (1 + constant("overpressure.accumulation"))
    verdict = worst([overpressure.judge_door(hold, rated), overpressure.judge_door(relief, rated),
                     "close" if blowing > min(rated, constant("overpressure.flat_door")) * (1 + 1e-9) else "within"])  # fmt: skip
    forces = [said.newtons(overpressure.door_force(gauge, *size)) for gauge in (hold, blowing)]
    pumped = overpressure.door_force(run.ambient_pa - inputs["pumped_pressure"], *size) if run.job.pumped else 0.0
    words = f"Outward {forces[0]} at the hold, {forces[1]} while the relief blows"
    words += f"; inward {said.newtons(pumped)} under vacuum" if pumped else ""
    values = {"said": f"{words}.", "force": forces[1], "blowing": said.mbar(blowing)}
    return Found(verdict, forces[1], said.mbar(rated), values)


LATE = (("PRS-2", prs_2), ("PRS-6", prs_6))
