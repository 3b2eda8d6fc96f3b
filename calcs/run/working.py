"""The working of a plan: each equation with the numbers put in."""

from calcs.core import Work
from calcs.data import constant
from calcs.run import gas_checks, heat_working, said


def of(run) -> tuple[Work, ...]:
    """Return the steps of the working, in the order in which the planner takes them."""
    inputs = run.inputs
    found = [Work("Pressure of the hold", "p_w = p_room + hold",
                  f"{said.mbar(run.ambient_pa, 4)} and {said.mbar(run.hold_pa - run.ambient_pa)}",
                  said.both(run.hold_pa, run.ambient_pa))]  # fmt: skip
    found += _pumping(run, inputs) if run.job.pumped else []
    found += _flow(run, inputs)
    found += heat_working.of(run)
    found += _gas(run, inputs)
    return tuple(found)


def _pumping(run, inputs) -> list[Work]:
    ratio = inputs["pumped_pressure"] / run.hold_pa
    return [
        Work("Pump-down at constant speed, with nothing given off", "t = (V/S) ln(p_room/p_1)",
             f"V = {said.volume(inputs['gas_volume'])}, S = {inputs['effective_speed'] * 1e3:.3g} L/s, p_1 = "
             f"{said.mbar(inputs['pumped_pressure'])}",
             f"{run.pump_s / 60:.4g} min; planned {run.pump_planned_s / 60:.3g} min for each",
             ("run.pump_factor_fibre", "run.pump_factor_bare")),
        Work("Oxygen of the first air after the cycles", "x = x_air (p_1/p_w)^n",
             f"p_1/p_w = {ratio:.4g}, n = {run.cycles}",
             f"{run.left_by_cycles * 1e6:.3g} ppm; one cycle leaves {run.one_cycle_leaves * 1e6:.3g} ppm",
             ("general.oxygen_in_air",), "crowl-louvar", ("cycles",)),
        Work("Gas of one filling", "n = V (p_w − p_1)/(R T)", f"T = {run.job.room_k:.2f} K",
             said.litres(run.backfill_mol),
             ("general.gas_constant",)),
    ]  # fmt: skip


def _flow(run, inputs) -> list[Work]:
    found = [Work(
        "Largest make-up flow while it cools", "n = (p_w V/(R T²)) dT/dt, all gas at chamber temperature",
        f"p_w = {said.mbar(run.hold_pa, 4)}, V = {said.volume(inputs['gas_volume'])}",
        said.flow(run.make_up_peak, digits=3),
        ("general.gas_constant",), figures=("make_up_peak",),
    ), Work(
        "Least flow", "largest of: dilution of the leak, twice the make-up, 10 % of the controller",
        f"ruled by {run.derived_flow.ruled_by}", said.flow(run.derived_flow.value, "up", 3),
        ("run.make_up_factor", "run.controller_low"), figures=("flow",),
    )]  # fmt: skip
    if run.floor is not None:
        found.append(Work(
            "Oxygen that gas and leak leave", "x = (n x_gas + n_leak x_air)/(n + n_leak)",
            f"x_gas = {inputs['gas_oxygen'] * 1e6:.3g} ppm, n_leak = {run.leak:.3g} mol/s, n = "
            f"{min(s.flow for s in run.stretches):.4g} mol/s",
            f"{run.floor * 1e6:.3g} ppm", ("general.oxygen_in_air",), figures=("oxygen",),
        ))  # fmt: skip
    if (moisture := gas_checks.water_left(inputs, run)) is not None:
        found.append(Work(
            "Moisture that gas and leak leave", "x = (n x_gas + n_leak x_room)/(n + n_leak), air of the room saturated",
            f"x_gas = {inputs['gas_water'] * 1e6:.3g} ppm, room at {run.job.room_k:.2f} K",
            f"{moisture.value * 1e6:.3g} ppm", (), "murphy-koop-2005", ("water",),
        ))  # fmt: skip
    found.append(Work(
        "Time above 200 °C, and temperature of the elements", "Σ t where T is above; T_peak + difference of the record",
        f"{said.celsius(run.job.peak_k)} + {said.kelvins(inputs['element_difference'])}",
        f"{run.hot_s / 3600:.3g} h; {said.celsius(run.element_k)}", ("run.hot_temperature",),
        figures=("hot_time", "element_temperature"),
    ))  # fmt: skip
    if (oxygen := gas_checks.oxygen_while_hot(inputs, run)) is not None:
        found.append(Work(
            "Oxygen that gas and leak bring while hot", "N = Σ (n + n_leak) x t, above 200 °C",
            f"t = {run.hot_s / 60:.4g} min", f"{oxygen * 1e6:.3g} µmol", ("run.hot_temperature",),
        ))  # fmt: skip
    return found


def _left(run) -> str:
    if run.cylinder_left_pa is None:
        return ""
    return f"{said.bars(run.cylinder_left_pa - run.ambient_pa, 'down')} gauge left; "


def _gas(run, inputs) -> list[Work]:
    flows = "; ".join(f"{said.flow(s.flow)} for {said.time(s.duration_s)}" for s in run.stretches)
    found = [
        Work(
            "Gas of the run",
            "fillings + Σ flow · time",
            f"{run.cycles} × {said.litres(run.backfill_mol)}; {flows}",
            said.litres(run.gas_mol),
            figures=("gas_used",),
        )
    ]
    if run.cylinder_mol is not None:
        found.append(Work(
            "Cylinder", "n = p V/(Z R T); needed 1.2 × gas + one cooling",
            f"{said.litres(run.cylinder_mol, 'down')} in it, {said.litres(run.reserve_mol, 'up')} kept back",
            f"{_left(run)}needed {said.litres(constant('run.gas_margin') * run.gas_mol + run.cooling_gas, 'up')}",
            ("run.gas_margin",), figures=("cylinder_left",),
        ))  # fmt: skip
    if run.room_worst is not None:
        found.append(Work(
            "Whole cylinder into the room at once", "x = x_air (V_room − V_gas)/V_room",
            f"V_room = {said.volume(inputs['room_volume'])}, V_gas = {said.volume(run.released_m3)}",
            f"{run.room_worst * 100:.3g} %",
            ("general.oxygen_in_air",), figures=("room_oxygen",),
        ))  # fmt: skip
    return found
