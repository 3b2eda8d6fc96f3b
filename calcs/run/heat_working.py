"""The working of the heat of a plan: soak, power of the ramp, energy and cooling, by the source that ruled."""

from calcs.core import Work
from calcs.data import constant
from calcs.run import furnace_heat, heat_through, said

SIGMA = ("heat_in_gas.stefan_boltzmann",)


def of(run) -> list[Work]:
    """Return the steps of the heat, in the order in which the planner takes them."""
    times = "; ".join(
        f"{said.celsius(s.leg.start_k)} to {said.celsius(s.leg.end_k)}: {s.duration_s / 60:.4g} min"
        for s in run.stretches
    )
    energies = " + ".join(f"{s.went.energy_j / 3.6e6:.3g}" for s in run.stretches)
    late = f", {run.late_s / 60:.3g} min of them because the power runs out" if run.late_s else ""
    found = [
        *_source(run),
        *_soak(run),
        Work("Time of the programme", "ΔT/r where the power follows, soaks, and cooling as below", times,
             f"{run.programme_s / 3600:.3g} h{late}"),
        *_ramp(run),
        Work("Energy", "E = ∫ P dt, each segment of the programme", f"{energies} kWh, from {run.furnace.ruled_by}",
             f"{run.energy_j / 3.6e6:.3g} kWh, {_span(run.furnace.energy_range(run.energy_j), 3.6e6)} kWh",
             run.furnace.spreads[-1:], figures=("energy",)),
    ]  # fmt: skip
    if run.cooling:
        early_late = _span(run.furnace.cooling_range(run.cooling_s), 3600)
        found.append(Work(
            "Time to opening", EQUATIONS[run.furnace.ruled_by][1],
            f"from {said.celsius(run.cooling[0].leg.start_k)}, {said.ramp(run.cooling[0].went.steepest)} at first",
            f"{run.cooling_s / 3600:.3g} h, {early_late} h", run.furnace.spreads[:-1], figures=("opening_time",),
        ))  # fmt: skip
    stages = "; ".join(f"{event.key} {event.duration_s / 60:.3g} min" for event in run.events)
    found.append(Work("Whole time", "sum of the stages", stages, f"{run.total_s / 3600:.3g} h", TIMES,
                      figures=("total_time",)))  # fmt: skip
    return found


TIMES = ("run.prepare_time", "run.rise_time", "run.rest_time", "run.verify_time", "run.equalise_time")


def _span(ends: tuple[float, float], unit: float) -> str:
    return " to ".join(f"{end / unit:.3g}" for end in ends)


EQUATIONS = {  # source: power that is needed, cooling
    furnace_heat.HOLDING: (
        "P = P_hold(T) + C r",
        "t = ∫ C dT/P_hold(T) = C/m · ln(P_high/P_low) for each straight piece of P_hold",
    ),
    furnace_heat.LINING: (
        "P = C r + h A₁ (T − T₁) + U (T − T_room)",
        "the same with P = 0: C dT/dt = −h A₁ (T − T₁) − U (T − T_room), lining in steps",
    ),
    furnace_heat.CALIBRATED: (
        "P = C₁ r + G₁₂ (T₁ − T₂) + S σ (T₁⁴ − T_r⁴)",
        "the same with P = 0: C₁ dT₁/dt = −G₁₂ (T₁ − T₂) − S σ (T₁⁴ − T_r⁴)",
    ),
}


def _source(run) -> list[Work]:
    return {
        furnace_heat.HOLDING: _by_holding, furnace_heat.LINING: _by_lining, furnace_heat.CALIBRATED: _by_log,
    }[run.furnace.ruled_by](run)  # fmt: skip


def _by_holding(run) -> list[Work]:
    body = run.furnace.body
    rows = "; ".join(f"{said.celsius(t)} {said.power(p)}" for t, p in body.rows)
    why = f"The lining is not reckoned with: {run.furnace.why}. " if run.furnace.why else ""
    return [Work(f"Source of the heat: {run.furnace.title}", "C dT/dt = P − P_hold(T), straight between the rows",
                 f"{why}P_hold: {rows}", f"C = {body.capacity_j_per_k / 1e3:.3g} kJ/K, all in one")]  # fmt: skip


def _by_lining(run) -> list[Work]:
    furnace, wall = run.furnace, run.furnace.chamber.lining
    whole = run.inputs["chamber_heat_capacity"]
    hot = furnace.chamber.capacity_j_per_k
    return [
        Work(
            f"Source of the heat: {furnace.title}", "mean of ln(loss of the lining/holding power) = 0",
            f"A₁ = {wall.inner_m2:.3g} m², A₂ = {wall.outer_m2:.3g} m², L = {wall.thickness_m * 1e3:.3g} mm, "
            f"ρ = {wall.density:.3g} kg/m³, U = {furnace.chamber.beside_w_per_k:.3g} W/K",
            f"conductivity of the fibre times {furnace.factor:.3g}",
            ("lining.solid", "lining.pore", "lining.radiation", "lining.spread_model"), "daryabeigi",
        ),
        Work(
            "Heat capacity of elements and hot face", "C = C_all − what the settled lining holds for each kelvin",
            f"C_all = {whole / 1e3:.3g} kJ/K, lining {(whole - hot) / 1e3:.3g} kJ/K", f"C = {hot / 1e3:.3g} kJ/K",
            ("lining.heat_cold", "lining.heat_rise"),
        ),
    ]  # fmt: skip


def _by_log(run) -> list[Work]:
    f = run.furnace.furnace
    return [Work(
        f"Source of the heat: {run.furnace.title}",
        "C₁ dT₁/dt = P − G₁₂ (T₁ − T₂) − S σ (T₁⁴ − T_r⁴); C₂ dT₂/dt = G₁₂ (T₁ − T₂) − G₂r (T₂ − T_r)",
        f"C₁ = {f.hot_j_per_k:.4g} J/K, C₂ = {f.insulation_j_per_k:.4g} J/K, G₁₂ = {f.inner_w_per_k:.4g} W/K, "
        f"G₂r = {f.outer_w_per_k:.4g} W/K, S = {f.radiative_m2:.4g} m²",
        f"holds {said.celsius(run.job.peak_k)} with {said.power(f.steady_power(run.job.peak_k, run.job.room_k))}",
        SIGMA,
    )]  # fmt: skip


def _soak(run) -> list[Work]:
    lag, what = heat_through.heat_through(run.inputs, run)
    if lag is None:
        return []
    late = "no end known" if lag.high is None else f"{lag.high / 60:.3g} min at worst"
    return [Work(
        "Soak to programme", "lag of the middle (HT-03) + soak at temperature",
        f"{what}: {lag.value / 60:.3g} min, {late}; {said.time(run.job.soak_s)} wanted",
        f"{(lag.value + run.job.soak_s) / 60:.3g} min", figures=("soak_needed",),
    )]  # fmt: skip


def _ramp(run) -> list[Work]:
    heating = [s for s in run.stretches if s.leg.change_k > 0]
    if not heating:
        return []
    one = max(heating, key=lambda s: s.power_w)
    full = run.inputs["heater_power"]
    given = [f"r = {said.ramp(one.leg.rate_k_per_s)} to {said.celsius(one.leg.end_k)}"]
    if one.went.behind_k is not None:
        given.append(f"runs out at {said.whole_celsius(one.went.behind_k)}")
    return [Work(
        "Power that the ramp asks", EQUATIONS[run.furnace.ruled_by][0], ", ".join(given),
        f"{one.power_w:.4g} W of {full:.4g} W, close above {constant('run.power_share') * 100:.0f} %",
        ("run.power_share", *(SIGMA if run.furnace.ruled_by == furnace_heat.CALIBRATED else ())),
    )]  # fmt: skip
