"""What a furnace can follow: its ramp at full power, a programme, the power that holds, and its own log fitted."""

from dataclasses import dataclass, replace

from calcs import gases, heat_in_gas, readings, solids, wording
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
    worst,
)
from calcs.data import constant
from calcs.form import REFERENCES, Field, Form, Problem, Problems
from calcs.heat import calibration, lining
from calcs.heat.lining import Chamber, Lining, Load, Model, State
from calcs.heat.segments import Leg, legs, segments_field
from calcs.picture import Axis, Curve, Lane, Limit, Mark, Plot, Strip, Table

PAGE = "HT-02"

FULL, PROGRAMME, HOLDING, LOG = "full power", "programme", "holding power", "from a log"
ALL_BUT_LOG, MOVING = (FULL, PROGRAMME, HOLDING), (FULL, PROGRAMME)
GASES = ("air", "nitrogen", "argon", "helium", "hydrogen", heat_in_gas.VACUUM)
LONGEST_S = 200 * 3600.0  # no chamber is waited for longer
MOST_STEPS = 3000
LEAST_ROWS = 15
FIT_ROWS = 100
STILL_MOVING_K_PER_S = 0.5 / 60  # ours: a lining model gave the loss within 3 % where a hold ended slower than that

EXAMPLE_LOG = (
    "0 min 20.0 °C · 10 min 88.4 °C · 20 min 152.0 °C · 30 min 212.4 °C · 45 min 295.9 °C · 60 min 371.8 °C · "
    "75 min 440.9 °C · 90 min 505.3 °C · 95 min 491.0 °C · 100 min 478.1 °C · 110 min 456.3 °C · 120 min 436.0 °C · "
    "150 min 387.0 °C · 180 min 346.8 °C · 240 min 284.6 °C · 300 min 237.4 °C · 360 min 200.0 °C · 420 min 168.7 °C · "
    "480 min 143.9 °C · 600 min 107.1 °C"
)

FORM = Form(
    question="Can the furnace follow this ramp?",
    modes=(FULL, PROGRAMME, HOLDING, LOG),
    ask=("target_temperature", "segments", "gas", "chamber_heat_capacity", "load_mass", "log", "power_steps"),
    fields=(
        Field("heater_power", "Heater power, highest", "power", "6 kW", modes=ALL_BUT_LOG, optional=True,
              accepted=Range("0 W", above=True), hint="What the elements give, not the nameplate."),
        Field("power_available", "Share of the power available", "number", "1", default="1",
              accepted=Range("0.1", "1", because="Less than a tenth heats nothing, more than all there is not."),
              hint="Mains 10 % low leaves 0.81."),
        Field("chamber_heat_capacity", "Heat capacity of elements, hot face, furniture", "heat capacity", "5.4 kJ/K",
              modes=MOVING, accepted=Range("0 J/K", above=True), hint="About 0.5 kJ/K for each kg of shelf."),
        Field("inner_area", "Hot face area", "area", "0.50 m2", modes=ALL_BUT_LOG, accepted=Range("0 m2", above=True)),
        Field("outer_area", "Shell area", "area", "1.44 m2", modes=ALL_BUT_LOG, accepted=Range("0 m2", above=True)),
        Field("insulation_thickness", "Insulation thickness", "length", "100 mm", modes=ALL_BUT_LOG,
              accepted=Range("1 mm", "1 m", because="No lining of this kind is thinner or thicker.")),
        Field("insulation_density", "Insulation density", "density", "190 kg/m3", modes=ALL_BUT_LOG,
              accepted=Range("20 kg/m3", "3000 kg/m3", because="From loose fibre to dense brick.")),
        Field("insulation_specific_heat", "Insulation specific heat", "specific heat", "1000 J/kg/K", modes=ALL_BUT_LOG,
              optional=True, accepted=Range("0 J/kg/K", above=True), hint="Empty: 900 to 1100 J/kg/K by temperature."),
        Field("insulation_conductivity", "Insulation conductivity (rows: temperature, conductivity)", "table",
              ({"temperature": "20 °C", "conductivity": "0.04 W/m/K"},
              {"temperature": "1000 °C", "conductivity": "0.26 W/m/K"}),
              modes=ALL_BUT_LOG, optional=True, rows_allowed=(1, 40), hint="Empty: fibre by density, gas and pressure.",
              row=r"(?P<temperature>[-+0-9.]{1,12} *[°a-zA-Z]{1,4})[, ]+(?P<conductivity>[0-9.]{1,12} *[mW/K·]{3,8})",
              columns=(Field("temperature", "Temperature", "temperature", "20 °C",
              accepted=Range("-273 °C", "3500 °C")),
                       Field("conductivity", "Conductivity", "thermal conductivity", "0.04 W/m/K",
                             accepted=Range("0 W/m/K", above=True)))),
        Field("inner_coefficient", "Heat transfer from elements to hot face", "heat-transfer coefficient", "150 W/m2/K",
              modes=ALL_BUT_LOG, default="150 W/m2/K", accepted=Range("0 W/m2/K", above=True)),
        Field("outer_coefficient", "Heat transfer from shell to room", "heat-transfer coefficient", "11 W/m2/K",
              modes=ALL_BUT_LOG, default="11 W/m2/K", accepted=Range("0 W/m2/K", above=True)),
        Field("parallel_loss", "Loss beside the insulation (door, lead-ins)", "thermal conductance", "0.8 W/K",
              modes=ALL_BUT_LOG, default="0.15 W/K", accepted=Range("0 W/K")),
        Field("room_temperature", "Room temperature", "temperature", "20 °C", default="20 °C",
              accepted=Range("5 °C", "45 °C", because="Furnaces stand in rooms for people.")),
        Field("gas", "Gas", "choice", "argon", modes=ALL_BUT_LOG, choices=GASES,
              hint="In the chamber and in its lining."),
        Field("chamber_pressure", "Chamber pressure", "absolute pressure", "1005 mbar", default="101.325 kPa",
              modes=ALL_BUT_LOG,
              accepted=Range("0 Pa", "2e5 Pa", above=True, because="This furnace class is not built for more.")),
        Field("flow", "Gas flow", "standard flow", "2 L/min", default="0 L/min", modes=ALL_BUT_LOG,
              accepted=Range("0 L/min")),
        Field("flow_reference", "Reference condition of the flow", "choice", REFERENCES[0], choices=REFERENCES,
              modes=ALL_BUT_LOG, default=REFERENCES[0]),
        Field("target_temperature", "Temperature wanted", "temperature", "600 °C", modes=(FULL, HOLDING),
              accepted=Range("0 °C", "3500 °C", above=True)),
        Field("maximum_temperature", "Highest chamber temperature in this gas", "temperature", "1050 °C",
              modes=ALL_BUT_LOG,
              accepted=Range("0 °C", "3500 °C", above=True), hint="From the furnace's manual, for this gas."),
        Field("start_temperature", "Temperature at the start", "temperature", "20 °C", modes=(PROGRAMME,),
              optional=True,
              accepted=Range("0 °C", "3000 °C"), hint="Empty: that of the room."),
        segments_field(
            example=({"kind": "ramp", "to": "600 °C", "rate": "5 K/min"}, {"kind": "soak", "time": "30 min"}),
            hint="ramp to 600 °C at 5 K/min · soak 30 min, one row for each.", modes=(PROGRAMME,)),
        Field("load_mass", "Load mass, total", "mass", "2.0 kg", default="0 kg", modes=MOVING,
              accepted=Range("0 kg", "50 kg", because="Heavier loads do not fit this class."),
              hint="Tray and setter included."),
        Field("load_specific_heat", "Specific heat of the load", "specific heat", "420 J/kg/K", modes=MOVING,
              optional=True,
              accepted=Range("0 J/kg/K", above=True)),
        Field("load_area", "Load surface", "area", "0.45 m2", modes=MOVING, optional=True,
              accepted=Range("0 m2", above=True)),
        Field("load_emissivity", "Emissivity of the load", "number", "0.1", default="0.6", modes=MOVING,
              accepted=Range("0.01", "1", because="No surface radiates less, or more.")),
        Field("convection_coefficient", "Convection at the load's surface", "heat-transfer coefficient", "4 W/m2/K",
              default="0 W/m2/K", modes=MOVING, accepted=Range("0 W/m2/K", "2000 W/m2/K")),
        Field("energy_price", "Price per kWh", "number", "0.28", menu=("1",), modes=(PROGRAMME,), optional=True,
              accepted=Range("0", above=True), hint="In your currency; no price, no cost."),
        Field("log", "Log (table, or the text of a log file)", "log", EXAMPLE_LOG, modes=(LOG,),
              hint="Lines such as 30 min 212.4 °C 2.4 kW, or a file with named columns."),
        Field("power_steps", "Power by hand (rows: from time, power)", "table",
              ({"from": "0 min", "power": "2.4 kW"}, {"from": "90 min", "power": "0 W"}),
              modes=(LOG,), optional=True, rows_allowed=(1, 40),
              hint="Where the log has no power: 0 min 2.4 kW · 90 min 0 W.",
              row=r"(?P<from>[0-9.:]{1,12} *[a-z]{0,3})[, ]+(?P<power>[0-9.]{1,12} *k?W)",
              columns=(Field("from", "From", "time", "0 min", accepted=Range("0 s", "10000 h")),
                       Field("power", "Power", "power", "2.4 kW", accepted=Range("0 W")))),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("time", "Time to the temperature", "time", "min", "up, range", 3, (FULL,)),
    Shown("ramp_available", "Ramp available at the temperature, from cold", "ramp rate", "K/min", "down, range", 2,
    (FULL,)),
    Shown("ramp_available_soaked", "The same from a soaked furnace", "ramp rate", "K/min", "down, range", 2, (FULL,)),
    Shown("load_temperature", "Load temperature then", "temperature", "°C", "down, range", 3, MOVING, range_digits=3),
    Shown("holding_power", "Holding power", "power", "W, kW", "up, range", 2, ALL_BUT_LOG),
    Shown("shell_temperature", "Shell temperature", "temperature", "°C", "up, range", 2, ALL_BUT_LOG),
    Shown("energy", "Energy", "energy", "kWh", "up, range", 2, (PROGRAMME,)),
    Shown("cost", "Cost", "number", "1", "up", 2, (PROGRAMME,)),
    Shown("peak_power", "Largest power asked", "power", "kW", "up", 2, (PROGRAMME,)),
    Shown("power_runs_out_at", "Power runs out at", "temperature", "°C", "down", 3, MOVING),
    Shown("delay", "Real time beyond the programme", "time", "min", "up, range", 2, (PROGRAMME,)),
    Shown("hot_capacity", "Heat capacity of the hot node", "heat capacity", "J/K", "near", 2, (LOG,)),
    Shown("insulation_capacity", "Heat capacity of the insulation node", "heat capacity", "J/K", "near", 2, (LOG,)),
    Shown("inner_conductance", "Conductance between the nodes", "thermal conductance", "W/K", "near", 2, (LOG,)),
    Shown("outer_conductance", "Conductance to the room", "thermal conductance", "W/K", "near", 2, (LOG,)),
    Shown("radiative_area", "Radiating area to the room", "area", "m2", "near", 2, (LOG,)),
    Shown("fit_error", "Error of the fit, rms", "temperature difference", "K", "up", 2, (LOG,)),
    Shown("curve", "Chamber and load against time", "table", modes=MOVING, columns=(
        Column("time", "Time", "time", "min", 3), Column("chamber", "Chamber", "temperature", "°C", 4),
        Column("load", "Load", "temperature", "°C", 4), Column("power", "Power", "power", "W", 3),
    )),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Holding power of the example furnace, by its typed conductivity (that of argon)",
        down=("target_temperature", ("200 °C", "400 °C", "600 °C", "800 °C", "1000 °C")),
        figures=("holding_power", "shell_temperature"),
        given={"mode": HOLDING},
    ),
    ReadOff(
        caption="Holding power at 1000 °C with fibre of 128 kg/m³ in different gases at 101.325 kPa, sizes as in the "
        "example",
        down=("gas", ("air", "nitrogen", "argon", "helium", "vacuum")),
        figures=("holding_power",),
        given={"mode": HOLDING, "target_temperature": "1000 °C", "insulation_conductivity": [],
        "insulation_density": "128 kg/m3",
               "chamber_pressure": "", "flow": "0 L/min"},
    ),
)  # fmt: skip


# ---------------------------------------------------------------- physics


@dataclass(frozen=True)
class Point:
    """One moment: time (s), chamber, load (K, None without one), power (W), wanted temperature (K or None)."""

    time_s: float
    chamber_k: float
    load_k: float | None
    power_w: float
    wanted_k: float | None = None


@dataclass(frozen=True)
class HeatUp:
    """Heating at full power: the way there, and the ramp at the end (K/s). `points` may end short of it."""

    points: tuple[Point, ...]
    reached: bool
    ramp_k_per_s: float

    @property
    def time_s(self) -> float:
        return self.points[-1].time_s


def heat_up(model: Model, state: State, target_k: float) -> HeatUp:
    """Return how the chamber heats at full power up to a temperature.

    Args:
        model: the furnace.
        state: where it starts.
        target_k: temperature wanted, K, above that of the state.

    Source:
        Model.step with steps of a few kelvin.
    """
    power, time, dt = model.chamber.power_w, 0.0, 1.0
    points = [Point(0.0, state.chamber_k, state.load_k, power)]
    ramp = 0.0
    for _ in range(MOST_STEPS):
        found, _ = model.step(state, dt, None, power)
        change = found.chamber_k - state.chamber_k
        if change > 12 and dt > 0.05:
            dt /= 2
            continue
        ramp = change / dt
        if found.chamber_k >= target_k:
            share = (target_k - state.chamber_k) / change
            load = None if found.load_k is None else state.load_k + share * (found.load_k - state.load_k)
            return HeatUp((*points, Point(time + share * dt, target_k, load, power)), True, ramp)
        time, state = time + dt, found
        points.append(Point(time, state.chamber_k, state.load_k, power))
        if time > LONGEST_S or (time > 3600 and ramp < 1e-5):
            break
        dt = dt * 1.4 if change < 5 else dt * 0.8 if change > 8 else dt
    return HeatUp(tuple(points), False, max(ramp, 0.0))


@dataclass(frozen=True)
class Followed:
    """A programme as the furnace runs it: moments, waiting beyond the programme (s), where it fell behind (K),
    heat put in (J), largest power (W), hottest shell (K), and the set point that it never reached (K)."""

    points: tuple[Point, ...]
    waited_heating_s: float
    waited_cooling_s: float
    behind_from_k: float | None
    energy_j: float
    peak_w: float
    shell_k: float
    never_k: float | None


class _Follower:
    """Runs a programme leg by leg; the next leg begins when the chamber has arrived."""

    def __init__(self, model: Model, state: State):
        self.model, self.state, self.power = model, state, model.chamber.power_w
        self.time = self.energy = self.peak = self.heating = self.cooling = 0.0
        self.behind = self.never = None
        self.shell = model.shell(state)
        self.points = [Point(0.0, state.chamber_k, state.load_k, 0.0, state.chamber_k)]
        self.arrived = constant("follow.arrived")

    def run(self, path: list[Leg]) -> Followed:
        for leg in path:
            if leg.duration_s is None:
                self._off(leg.end_k)
            else:
                self._leg(leg)
                self._wait(leg.end_k)
            if self.never is not None:
                break
        return Followed(tuple(self.points), self.heating, self.cooling, self.behind, self.energy, self.peak, self.shell,
                        self.never)  # fmt: skip

    def _step(self, dt: float, wanted: float | None, power: float) -> None:
        self.state, taken = self.model.step(self.state, dt, wanted, power)
        self.time += dt
        self.energy += taken * dt
        self.peak = max(self.peak, taken)
        self.shell = max(self.shell, self.model.shell(self.state))
        self.points.append(Point(self.time, self.state.chamber_k, self.state.load_k, taken, wanted))
        short = wanted is not None and wanted - self.state.chamber_k > self.arrived
        if short and self.behind is None:
            self.behind = self.state.chamber_k

    def _leg(self, leg: Leg) -> None:
        gone, dt, total = 0.0, min(10.0, leg.duration_s / 4), leg.duration_s
        while gone < total * (1 - 1e-9):
            dt = min(dt, total - gone)
            gone += dt
            self._step(dt, leg.start_k + leg.change_k * gone / total, self.power)
            dt = min(dt * 1.3, total / 25)

    def _wait(self, end_k: float) -> None:
        dt, start = 5.0, self.time
        while abs(self.state.chamber_k - end_k) > self.arrived:
            before, rising = self.state.chamber_k, self.state.chamber_k < end_k
            self._step(dt, end_k, self.power)
            moved = abs(self.state.chamber_k - before)
            if self.time - start > LONGEST_S or (dt >= 600 and moved / dt < 1e-5):
                self.never = end_k
                break
            dt = min(dt * 1.5, 600.0) if moved < 6 else dt
        waited = self.time - start
        if waited and (rising or self.never):
            self.heating += waited
        else:
            self.cooling += waited

    def _off(self, end_k: float) -> None:
        dt, start = 10.0, self.time
        while self.state.chamber_k > end_k:
            before = self.state
            self._step(dt, None, 0.0)
            if self.state.chamber_k < end_k and dt > 10 and before.chamber_k - self.state.chamber_k > 2:
                self.state, self.time = before, self.time - dt
                self.points.pop()
                dt /= 2
                continue
            if self.time - start > LONGEST_S or before.chamber_k - self.state.chamber_k < 1e-6 * dt:
                self.never = end_k
                break
            dt = min(dt * 1.3, 600.0)


def follow(model: Model, state: State, path: list[Leg]) -> Followed:
    """Return how a furnace runs a programme with an ideal controller that waits at the end of each segment.

    Args:
        model: the furnace.
        state: where it starts.
        path: the legs of the programme, from calcs.heat.segments.

    Source:
        Model.step: the wanted temperature where the power suffices, full power or none where it does not.
    """
    return _Follower(model, state).run(path)


# ---------------------------------------------------------------- what was asked


@dataclass(frozen=True)
class _Case:
    chamber: Chamber
    load: Load | None


def _pressure(inputs) -> float:
    if inputs["gas"] == heat_in_gas.VACUUM and "chamber_pressure" in inputs.defaulted:
        return 0.0
    return inputs["chamber_pressure"]


def _cases(inputs, highest_k: float) -> tuple[_Case, _Case, _Case]:
    """Return the likely furnace, and one that holds and loses less, and one that holds and loses more."""
    _refuse(inputs, highest_k)
    typed = inputs["insulation_conductivity"]
    if typed:
        k = solids.typed_curve("insulation", "conductivity", [(r["temperature"], r["conductivity"]) for r in typed])
    else:
        k = lining.fibre_curve(inputs["gas"], _pressure(inputs), inputs["insulation_density"])
    c = lining.fibre_specific_heat()
    if inputs["insulation_specific_heat"] is not None:
        c = solids.typed_curve("insulation", "specific heat", [(highest_k, inputs["insulation_specific_heat"])])
    body = Lining(
        inputs["inner_area"], inputs["outer_area"], inputs["insulation_thickness"], inputs["insulation_density"], c, k
    )
    share = constant("lining.spread_typed" if typed else "lining.spread_model")
    chamber = Chamber(
        body, inputs["chamber_heat_capacity"] or 0.0, inputs["inner_coefficient"], inputs["outer_coefficient"],
        inputs["parallel_loss"], _gas_heat(inputs), inputs["room_temperature"],
        inputs["heater_power"] * inputs["power_available"],
    )  # fmt: skip
    load = _load(inputs)
    return tuple(_Case(_scaled(chamber, f), load) for f in (1.0, 1 - share, 1 + share))


def _scaled(chamber: Chamber, factor: float) -> Chamber:
    body = chamber.lining
    k = replace(body.conductivity, values=tuple(v * factor for v in body.conductivity.values))
    body = replace(body, conductivity=k, density=body.density * factor)
    return replace(chamber, lining=body, capacity_j_per_k=chamber.capacity_j_per_k * factor,
                   beside_w_per_k=chamber.beside_w_per_k * factor)  # fmt: skip


def _gas_heat(inputs) -> float:
    name = heat_in_gas.gas(inputs["gas"]).name
    return inputs["flow"] * gases.gas(name).cp_350


def _load(inputs) -> Load | None:
    mass = inputs["load_mass"] or 0.0
    if not mass:
        return None
    labels = {f.name: f.label for f in FORM.fields}
    missing = [n for n in ("load_specific_heat", "load_area") if inputs[n] is None]
    if missing:
        raise Problems({n: f"{labels[n]}: a load needs it. Type it, or set the load mass to 0." for n in missing})
    return Load(mass * inputs["load_specific_heat"], inputs["load_area"], inputs["load_emissivity"],
                inputs["convection_coefficient"])  # fmt: skip


def _refuse(inputs, highest_k: float) -> None:
    if inputs["heater_power"] is None:
        raise Refused(
            "no_power", "the heater's power is missing",
            "Without the power of the heater nobody can say what it follows.",
            "Take it from the furnace's manual, or measure it.", field="heater_power",
        )  # fmt: skip
    if inputs["outer_area"] <= inputs["inner_area"]:
        raise Problems({"outer_area": f"Shell area: it must be larger than the hot face, {inputs.said('inner_area')}."})
    if highest_k > inputs["maximum_temperature"] * (1 + 1e-12):
        raise Refused(
            "above_maximum", "above the furnace's highest temperature",
            f"{_celsius(highest_k)} is asked for; this furnace may reach {_celsius(inputs['maximum_temperature'])} "
            f"in this gas.",
            "Lower the temperature, or use a furnace built for it.",
            field="segments" if inputs.mode == PROGRAMME else "target_temperature",
        )  # fmt: skip
    if not inputs["insulation_conductivity"] and highest_k > constant("lining.fibre_end"):
        raise Refused(
            "no_power", "the loss at that heat is not known",
            f"The fibre model ends at {_celsius(constant('lining.fibre_end'))}, and no conductivity of the "
            f"insulation is typed.",
            "Type the conductivity of your insulation against temperature.", field="insulation_conductivity",
        )  # fmt: skip


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return what the furnace can follow, what it takes, and what it costs; or its log fitted.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above, calcs.heat.lining and calcs.heat.calibration.
    """
    return {FULL: _full, PROGRAMME: _programme, HOLDING: _holding, LOG: _from_log}[inputs.mode](inputs)


def _celsius(kelvin: float, digits: int = 1) -> str:
    return wording.with_unit(wording.plain_number(round(kelvin - constant("general.zero_celsius"), digits)), "°C")


def _spanned(values, cause: str) -> Estimate | None:
    """The likely value with the ends of all; a missing one leaves the upper end open."""
    if values[0] is None:
        return None
    known = [v for v in values if v is not None]
    return Estimate(values[0], min(known), max(known) if len(known) == len(values) else None, cause)


def _cause(inputs) -> str:
    return "scatter of one kind of fibre" if inputs["insulation_conductivity"] else "sizes instead of measured losses"


def _check_target(inputs) -> None:
    if inputs["target_temperature"] <= inputs["room_temperature"] + 1:
        raise Problems({"target_temperature": "Temperature wanted: it must be above that of the room."})


def _power_verdict(inputs, holds: tuple, shell: float) -> str:
    power = inputs["heater_power"] * inputs["power_available"]
    if holds[0] > constant("follow.most_holding") * power:
        return "outside"
    close = max(holds) > power / constant("follow.margin") or shell > constant("follow.hot_shell")
    return "close" if close else "within"


# ---- full power


def _full(inputs) -> Answer:
    _check_target(inputs)
    target, cases = inputs["target_temperature"], _cases(inputs, inputs["target_temperature"])
    models = [Model(case.chamber, case.load) for case in cases]
    ups = [heat_up(m, m.cold(), target) for m in models]
    below = max(inputs["room_temperature"], target - constant("follow.soaked_below"))
    soaked = [heat_up(m, m.soaked(below), target) for m in models]
    steady = [lining.steady_loss(case.chamber, target) for case in cases]
    holds, cause = tuple(p for p, _ in steady), _cause(inputs)
    ends = lining.steady_limit(cases[0].chamber, inputs["maximum_temperature"])
    reached = ups[0].reached
    times = [up.time_s if up.reached else None for up in ups]
    figures = FIGURES.fill(
        time=_spanned(times, cause),
        ramp_available=_ramp([up.ramp_k_per_s if up.reached else 0.0 for up in ups], cause) if reached else None,
        ramp_available_soaked=_ramp([up.ramp_k_per_s if up.reached else 0.0 for up in soaked],
        cause) if reached else None,
        load_temperature=_spanned([up.points[-1].load_k for up in ups], cause) if reached and cases[0].load else None,
        holding_power=_spanned(holds, cause), shell_temperature=_spanned([t for _, t in steady], cause),
        power_runs_out_at=ends, curve=_curve(ups[0].points),
    )  # fmt: skip
    verdict = _power_verdict(inputs, holds, max(t for _, t in steady)) if reached else "outside"
    return Answer(
        sentence=_full_sentence(inputs, figures, reached, ends), verdict=verdict, judged=True, figures=figures,
        leaves_out=_leaves_out(inputs), cautions=_cautions(inputs, figures["shell_temperature"].high_value, full=True),
        pictures=(_ramp_picture(inputs, ups[0], figures),), working=_working(inputs, cases[0], target, holds, ups[0]),
        notes=_notes(inputs, cases[0], ends, highest=target),
    )  # fmt: skip


def _ramp(values, cause) -> Estimate:
    return Estimate(values[0], min(values), max(values), cause)


def _full_sentence(inputs, figures, reached, ends) -> str:
    target, hold = inputs.said("target_temperature"), figures["holding_power"]
    if not reached:
        most = f"; it ends near {_celsius(ends, 0)}" if ends else ""
        return f"With all its power the furnace does not reach {target}{most}. Holding there would take {hold.span}."
    time, ramp = figures["time"], figures["ramp_available"]
    high = wording.duration(time.high_value, "up") if time.high_value is not None else "no end"
    return (
        f"With all its power the furnace reaches {target} in about {wording.duration(time.value, 'up')} "
        f"({wording.duration(time.low_value, 'down')} to {high}) and can there still climb at {ramp.text} "
        f"({ramp.span}), "
        f"{figures['ramp_available_soaked'].text} once its lining is hot. Holding takes {hold.span}."
    )


# ---- holding power


def _holding(inputs) -> Answer:
    _check_target(inputs)
    target, cases = inputs["target_temperature"], _cases(inputs, inputs["target_temperature"])
    steady = [lining.steady_loss(case.chamber, target) for case in cases]
    holds, cause = tuple(p for p, _ in steady), _cause(inputs)
    figures = FIGURES.fill(
        holding_power=_spanned(holds, cause), shell_temperature=_spanned([t for _, t in steady], cause)
    )
    power = cases[0].chamber.power_w
    share = wording.with_unit(wording.number(holds[0] / power * 100, 2, "up"), "%")
    hold, shell = figures["holding_power"], figures["shell_temperature"]
    return Answer(
        sentence=f"Holding {inputs.said('target_temperature')} takes about {hold.text} ({hold.span}), {share} of the "
        f"{_watts(power)} there are; the shell settles near {shell.text} ({shell.span}).",
        verdict=_power_verdict(inputs, holds, max(t for _, t in steady)), judged=True, figures=figures,
        leaves_out=_leaves_out(inputs), cautions=_cautions(inputs, shell.high_value, full=False),
        pictures=(_holding_picture(inputs, cases),), working=_working(inputs, cases[0], target, holds, None),
        notes=_notes(inputs, cases[0], None, highest=target),
    )  # fmt: skip


def _watts(watt: float) -> str:
    return (
        wording.with_unit(wording.number(watt / 1e3, 3), "kW")
        if watt >= 1000
        else wording.with_unit(wording.number(watt, 3), "W")
    )


# ---- programme


def _programme(inputs) -> Answer:
    start = inputs["start_temperature"] if inputs["start_temperature"] is not None else inputs["room_temperature"]
    path = legs(inputs["segments"], start)
    _check_path(path, inputs)
    highest = max(max(leg.start_k, leg.end_k) for leg in path)
    cases = _cases(inputs, highest)
    found = []
    for case in cases:
        model = Model(case.chamber, case.load)
        found.append(follow(model, model.cold(start), path))
    likely, cause = found[0], _cause(inputs)
    steady = [lining.steady_loss(case.chamber, max(highest, inputs["room_temperature"] + 1)) for case in cases]
    holds = tuple(p for p, _ in steady)
    waits = [None if f.never_k is not None else f.waited_heating_s + f.waited_cooling_s for f in found]
    energy = _spanned([f.energy_j if f.never_k is None else None for f in found], cause)
    price = inputs["energy_price"]
    figures = FIGURES.fill(
        delay=_spanned(waits, cause), load_temperature=_spanned([f.points[-1].load_k for f in found],
        cause) if cases[0].load else None,
        holding_power=_spanned(holds, cause), shell_temperature=_spanned([f.shell_k for f in found], cause),
        energy=energy, cost=None if price is None or energy is None else energy.value / 3.6e6 * price,
        peak_power=likely.peak_w,
        power_runs_out_at=likely.behind_from_k, curve=_curve(likely.points),
    )  # fmt: skip
    verdict = _programme_verdict(inputs, found, holds)
    return Answer(
        sentence=_programme_sentence(inputs, figures, found), verdict=verdict, judged=True, figures=figures,
        leaves_out=_leaves_out(inputs),
        cautions=_cautions(inputs, figures["shell_temperature"].high_value, full=likely.behind_from_k is not None),
        pictures=(_programme_picture(inputs, likely, cases[0]),),
        working=_working(inputs, cases[0], highest, holds, None),
        notes=_notes(inputs, cases[0], None, highest=highest),
    )  # fmt: skip


def _check_path(path, inputs) -> None:
    if not any(leg.duration_s or leg.change_k for leg in path):
        raise Problems({"segments": "Programme: it has no length at all. Type a ramp or a soak with a time."})
    for leg in path:
        if leg.change_k < 0 and leg.end_k <= inputs["room_temperature"] + 1:
            raise Problems({"segments": Problem(
                f"Programme, row {leg.row + 1}: a chamber does not cool to the room or below. Type a higher "
                f"temperature.",
                cell=(leg.row, "to"))})  # fmt: skip


def _programme_verdict(inputs, found, holds) -> str:
    likely, power = found[0], inputs["heater_power"] * inputs["power_available"]
    if likely.never_k is not None:
        return "outside"
    close = any(f.behind_from_k is not None or f.never_k is not None for f in found) or likely.waited_cooling_s > 60
    close = close or likely.peak_w > power / constant("follow.margin")
    return worst([_power_verdict(inputs, holds, likely.shell_k), "close" if close else "within"])


def _programme_sentence(inputs, figures, found) -> str:
    likely = found[0]
    if likely.never_k is not None:
        ends = _celsius(likely.points[-1].chamber_k, 0)
        return f"The furnace never comes to {_celsius(likely.never_k)}: it ends near {ends}."
    cost = f", {figures['cost'].text} at {inputs.said('energy_price')} a kWh" if "cost" in figures else ""
    took = f"It takes {figures['energy'].span} of energy{cost}."
    if likely.behind_from_k is not None:
        said = (f"The furnace follows up to about {figures['power_runs_out_at'].text}; from there it has all its "
                f"power on, and "
                f"the programme takes {wording.duration(likely.waited_heating_s, 'up')} longer")  # fmt: skip
    else:
        said = f"The furnace follows this programme with at most {figures['peak_power'].text}"
    if likely.waited_cooling_s > 60:
        said += f"; it cools slower than asked, by {wording.duration(likely.waited_cooling_s, 'up')}"
    return f"{said}. {took}"


# ---- from a log


def _from_log(inputs) -> Answer:
    found = readings.read("log", FORM.by_name["log"].label, inputs["log"])
    if len(found) < LEAST_ROWS:
        raise Refused(
            "too_few_rows", "the log has too few readings",
            f"It has {wording.count(len(found), 'reading')} whose time goes on; five unknowns need {LEAST_ROWS} or "
            f"more.",
            "Log once a minute, through heating, a hold and cooling.", field="log",
        )  # fmt: skip
    rise = max(found.temperature_k)
    if not 250 < min(found.temperature_k) or not rise < 3500:
        raise Problems(
            {"log": "Log: its temperatures lie below −20 °C or above 3200 °C. Check the unit in the heading."}
        )
    thin = readings.thinned(found, FIT_ROWS)
    powers = _powers(inputs, found, thin)
    _check_log(thin, powers)
    fitted = calibration.fit(thin, powers, inputs["room_temperature"])
    furnace, misses = fitted.furnace, fitted.misses(thin)
    figures = FIGURES.fill(
        hot_capacity=furnace.hot_j_per_k, insulation_capacity=furnace.insulation_j_per_k,
        inner_conductance=furnace.inner_w_per_k,
        outer_conductance=furnace.outer_w_per_k, radiative_area=furnace.radiative_m2, fit_error=fitted.error_k,
    )  # fmt: skip
    limit, near = constant("follow.fit_limit"), constant("follow.fit_close")
    verdict = "outside" if fitted.error_k > limit else "close" if fitted.error_k > near else "within"
    last = max(i for i, p in enumerate(powers) if p > 0)
    held, rate = _last_heated(thin, last)
    loss = furnace.steady_power(held, inputs["room_temperature"])
    worst_miss = max(range(len(misses)), key=lambda i: abs(misses[i]))
    at = wording.duration(thin.time_s[worst_miss])
    return Answer(
        sentence=f"From {wording.count(len(found), 'reading')} the furnace fits as a hot node of "
        f"{figures['hot_capacity'].text} and an "
        f"insulation of {figures['insulation_capacity'].text}, off by {figures['fit_error'].text} rms and "
        f"{wording.with_unit(wording.number(abs(misses[worst_miss]), 2, 'up'), 'K')} at most, at {at}. "
        f"By that it loses about {_watts(loss)} at {_celsius(held, 0)} once settled.",
        verdict=verdict, judged=True, figures=figures,
        leaves_out=("places in the chamber: one sensor stands for all of it",
        "temperatures above the hottest of the log: nothing was "
                    "measured there", "what a load takes; the run was empty"),
        pictures=(_log_picture(thin, fitted, misses),), working=_log_working(thin, fitted, loss, held, inputs),
        notes=_log_notes(inputs, found, thin, misses, rate),
    )  # fmt: skip


def _powers(inputs, found, thin) -> list[float]:
    """Mean power of each interval, W, from the log's own column or from the steps typed by hand."""
    if thin.power_w is not None and inputs["power_steps"]:
        raise Problems({"power_steps": "Power by hand: the log has a power column already. Leave one of them out."})
    if thin.power_w is not None:
        return [p * inputs["power_available"] for p in thin.power_w[:-1]]
    steps = inputs["power_steps"]
    if not steps:
        raise Refused(
            "log_not_usable", "nothing says what the heater did",
            "Without its power a log tells how fast a furnace cools, not what it holds or loses.",
            "Log the power, or type it by hand: from which time how many watts.", field="power_steps",
        )  # fmt: skip
    pairs = [(row["from"], row["power"] * inputs["power_available"]) for row in steps]
    for number, (before, after) in enumerate(zip(pairs, pairs[1:], strict=False), 2):
        if after[0] <= before[0]:
            raise Problems({"power_steps": Problem(f"Power by hand, row {number}: its time must be later than that "
                                                   f"of the row before.",
                                                   cell=(number - 1, "from"))})  # fmt: skip
    return calibration.mean_powers(thin.time_s, pairs)


def _check_log(thin, powers) -> None:
    start, top = thin.temperature_k[0], max(thin.temperature_k)
    heated = max(powers) > 0 and top > start + 20
    off = [i for i, p in enumerate(powers) if p == 0]
    fall = sum(max(0.0, thin.temperature_k[i] - thin.temperature_k[i + 1]) for i in off)
    if not heated or fall < constant("follow.least_fall") * (top - start):
        what = "no stretch in which known power heats it" if not heated else "hardly any cooling with the heater off"
        raise Refused(
            "log_not_usable", "the log does not hold enough",
            f"The log has {what}; heating, holding and cooling are all needed to tell capacities from losses.",
            "Log an empty run from cold, through a hold, until it has fallen by half.", field="log",
        )  # fmt: skip


def _last_heated(thin, last: int) -> tuple[float, float]:
    """Return temperature (K) and rate (K/s) at the end of the last interval with power."""
    change = thin.temperature_k[last + 1] - thin.temperature_k[last]
    return thin.temperature_k[last + 1], change / (thin.time_s[last + 1] - thin.time_s[last])


def _log_notes(inputs, found, thin, misses, rate) -> tuple[str, ...]:
    notes = []
    if abs(rate) > STILL_MOVING_K_PER_S:
        notes.append("The log holds nowhere: when the heater went off the chamber still moved. Take the loss as good "
                     "to a fifth; a hold "
                     "of some hours would make it good to a few per cent.")  # fmt: skip
    if found.left_out:
        notes.append(
            f"{wording.count(found.left_out, 'row')} of the log hold no reading or do not go on in time; "
            f"they are left out."
        )
    if len(thin) < len(found):
        notes.append(f"The fit uses {len(thin)} of {len(found)} readings.")
    if abs(thin.temperature_k[0] - inputs["room_temperature"]) > 20:
        notes.append(
            "The log begins with a chamber that is not at room temperature: its lining counts as equally "
            "warm, which it may not be."
        )
    longest = run = 0
    for a, b in zip(misses, misses[1:], strict=False):
        run = run + 1 if (a > 0) == (b > 0) else 0
        longest = max(longest, run + 1)
    if longest > len(misses) / 3:
        notes.append(
            "The errors keep one sign over long stretches: two nodes are too few for this lining. Trust the "
            "loss more than the capacities."
        )
    if inputs["power_available"] != 1:
        notes.append(f"The power is taken {inputs.said('power_available')} times.")
    return tuple(notes)


# ---------------------------------------------------------------- shared words


def _leaves_out(inputs) -> tuple[str, ...]:
    return (
        "age of the elements and mains voltage, unless the share of power says so",
        "that one place is hotter than another, and the sensor not the mean of the chamber",
        "moisture in a new or damp lining, which takes hours of power",
    )


def _cautions(inputs, shell_k: float | None, full: bool) -> tuple[Caution, ...]:
    found = []
    if inputs["gas"] == "hydrogen":
        found.append(Caution(
            "WARNING", "Hydrogen in the chamber",
            "Hydrogen burns, and explodes with air; and the lining loses two to three times the heat.",
            "Do not run it in a furnace that is not built and rated for it; SAF-03 and your safety officer decide.",
        ))  # fmt: skip
    if full:
        found.append(Caution(
            "WARNING", "Heat without a guard",
            "At full power the elements are far hotter than the chamber, and a stuck switch or slipped sensor lets "
            "them run on to a fire.",
            "Have the independent limiter set, stay with the run, and keep to the element maker's surface load.",
        ))  # fmt: skip
    if shell_k is not None and shell_k > constant("follow.hot_shell"):
        found.append(Caution(
            "WARNING", "Hot shell", f"The shell may reach {_celsius(shell_k, 0)}, which burns skin in a second or two.",
            "Keep hands, hoses and cables away from it, and put up the guard and the sign for hot surfaces (W017).",
        ))  # fmt: skip
    if inputs["gas"] == "helium":
        found.append(Caution(
            "NOTICE", "Helium in the lining",
            "Helium carries heat two to three times as well through fibre: shell, seals and lead-ins run hotter.",
            "Ask the maker for the highest temperature in helium, and watch the shell.",
        ))  # fmt: skip
    return tuple(found)


def _notes(inputs, case: _Case, ends: float | None, highest: float) -> tuple[str, ...]:
    notes = []
    if inputs["insulation_conductivity"]:
        notes.append(
            "The conductivity typed holds for the gas in which it was measured, mostly air; another gas changes it."
        )
        temperatures = [row["temperature"] for row in inputs["insulation_conductivity"]]
        if len(temperatures) > 1 and highest > max(temperatures) + 50:
            notes.append(
                f"The conductivity is typed up to {_celsius(max(temperatures))}; its last value is held "
                f"beyond, which flatters."
            )
    else:
        notes.append("Conductivity of alumina-silica fibre by density, gas and pressure. For brick, type your own.")
    if inputs["gas"] == heat_in_gas.VACUUM:
        notes.append("No pressure is typed: no gas in the lining is reckoned with." if _pressure(inputs) == 0 else
                     f"Vacuum is residual air at {inputs.said('chamber_pressure')}.")  # fmt: skip
        notes.append("Vacuum lowers the loss of the walls and slows the load (HT-03).")
    if inputs.mode == FULL and ends is None:
        notes.append(f"The power does not run out below {_celsius(inputs['maximum_temperature'])}.")
    if case.load is None and inputs.mode != HOLDING:
        notes.append("The chamber is reckoned as empty.")
    if inputs.mode == PROGRAMME:
        notes.append(
            "Each segment waits until the chamber is within 1 K of its end, as a controller with hold-back does."
        )
    return tuple(notes)


def _curve(points) -> list[dict]:
    step = max(1, len(points) // 14)
    kept = [*points[::step]]
    if kept[-1] is not points[-1]:
        kept.append(points[-1])
    return [{"time": p.time_s, "chamber": p.chamber_k, "load": p.load_k if p.load_k is not None else "–",
        "power": p.power_w}
            for p in kept]  # fmt: skip


def _working(inputs, case: _Case, temperature_k: float, holds, up: HeatUp | None) -> tuple[Work, ...]:
    body, chamber = case.chamber.lining, case.chamber
    k = body.conductivity.at(temperature_k)
    steps = [
        Work("Conductivity of the lining at the hot face", "typed" if inputs["insulation_conductivity"] else
             "k = k_s + k_gas/(1 + 2 β λ/L) + b (128/ρ) T³", f"T = {temperature_k:.1f} K, ρ = {body.density:.4g} kg/m³",
             f"{k:.4g} W/m/K", () if inputs["insulation_conductivity"] else
             ("lining.solid", "lining.pore", "lining.radiation", "lining.radiation_density"), "daryabeigi"),
        Work("Holding power", "P = sqrt(A₁ A₂)/L · ∫ k dT + U (T − T_room) + gas",
             f"A₁ = {body.inner_m2:.4g} m², A₂ = {body.outer_m2:.4g} m², L = {body.thickness_m * 1e3:.4g} mm, "
             f"U = {chamber.beside_w_per_k:.3g} W/K, gas {chamber.gas_w_per_k:.3g} W/K", f"{holds[0]:.4g} W"),
    ]  # fmt: skip
    if up:
        steps.append(Work("Full power from cold", "C dT/dt = P − heat into the lining − losses − load",
                          f"C = {chamber.capacity_j_per_k:.4g} J/K, P = {chamber.power_w:.5g} W, lining on "
                          f"{lining.INTERVALS} intervals",
                          f"{wording.duration(up.time_s)}, {up.ramp_k_per_s * 60:.3g} K/min at the end"))  # fmt: skip
    share = constant("lining.spread_typed" if inputs["insulation_conductivity"] else "lining.spread_model")
    steps.append(Work("Ends of the range", "the same with capacity and losses smaller and larger",
        f"by {share * 100:.0f} %", "low and high",
                      ("lining.spread_typed" if inputs["insulation_conductivity"] else "lining.spread_model",
                      )))  # fmt: skip
    return tuple(steps)


# ---------------------------------------------------------------- pictures


def _ramp_picture(inputs, up: HeatUp, figures) -> Plot:
    zero = constant("general.zero_celsius")
    pairs = [((a.chamber_k + b.chamber_k) / 2 - zero, (b.chamber_k - a.chamber_k) / (b.time_s - a.time_s) * 60,
        b.time_s / 60)
             for a, b in zip(up.points, up.points[1:], strict=False) if b.time_s > a.time_s]  # fmt: skip
    if len(pairs) < 2:
        pairs = [pairs[0], (pairs[0][0] + 1, pairs[0][1], pairs[0][2])]
    kept = pairs[:: max(1, len(pairs) // 10)]
    target = inputs["target_temperature"] - zero
    end = "still climbs at " + figures["ramp_available"].text if up.reached else "no longer climbs"
    return Plot(
        sentence=f"The hotter the chamber, the slower it climbs; at {inputs.said('target_temperature')} it {end}",
        description=f"Ramp at full power from cold in K/min against chamber temperature, from {pairs[0][1]:.3g} "
        f"K/min at "
        f"{pairs[0][0]:.0f} °C to {pairs[-1][1]:.3g} K/min at {pairs[-1][0]:.0f} °C.",
        x=Axis("Chamber temperature", "°C"), y=Axis("Ramp", "K/min", low=0.0),
        curves=(Curve("full power, from cold", [(t, max(r, 0.0)) for t, r, _ in pairs]),),
        limits=(Limit("wanted", target, "x"),),
        table=Table("Ramp at full power", ("Temperature, °C", "Ramp, K/min", "Time, min"),
                    [(wording.number(t, 3), wording.number(max(r, 0.0), 2, "down"), wording.number(m, 3)) for t, r,
                    m in kept]),
    )  # fmt: skip


def _holding_picture(inputs, cases) -> Plot:
    zero, top = constant("general.zero_celsius"), max(inputs["maximum_temperature"], inputs["target_temperature"])
    low = inputs["room_temperature"] + 20
    places = [low + (top - low) * i / 12 for i in range(13)]
    lines = [[(t - zero, lining.steady_loss(case.chamber, t)[0]) for t in places] for case in cases]
    power = cases[0].chamber.power_w
    return Plot(
        sentence=f"Holding takes more than twice the power at twice the temperature; the heater gives {_watts(power)}",
        description="Holding power in W against chamber temperature, likely and both ends of its range.",
        x=Axis("Chamber temperature", "°C"), y=Axis("Power", "W", low=0.0),
        curves=(Curve("likely", lines[0]), Curve("less", lines[1], dash="dashed"),
        Curve("more", lines[2], dash="dotted")),
        limits=(Limit("heater", power), Limit("wanted", inputs["target_temperature"] - zero, "x")),
        table=Table("Holding power", ("Temperature, °C", "Likely, W", "Less, W", "More, W"),
                    [(wording.number(a[0], 3), *(wording.number(x[1], 3, "up") for x in (a, b, c)))
                     for a, b, c in zip(*lines, strict=True)]),
    )  # fmt: skip


def _programme_picture(inputs, likely: Followed, case: _Case) -> Strip:
    zero, points = constant("general.zero_celsius"), likely.points
    step = max(1, len(points) // 150)
    kept = [*points[::step], points[-1]]
    wanted = [(p.time_s / 60, p.wanted_k - zero) for p in kept if p.wanted_k is not None]
    curves = [Curve("wanted", wanted, dash="dotted")] if len(wanted) > 1 else []
    curves.append(Curve("chamber", [(p.time_s / 60, p.chamber_k - zero) for p in kept]))
    if case.load:
        curves.append(Curve("load", [(p.time_s / 60, p.load_k - zero) for p in kept], dash="dashed"))
    power = case.chamber.power_w
    marks = [
        Mark("power runs out", p.time_s / 60, p.chamber_k - zero) for p in points if p.chamber_k == likely.behind_from_k
    ][:1]
    if likely.behind_from_k is not None:
        said = f"From {_celsius(likely.behind_from_k, 0)} the furnace falls behind"
    else:
        said = "The chamber keeps to the programme"
    rows = kept[:: max(1, len(kept) // 12)]
    return Strip(
        sentence=said,
        description=f"Wanted and reached temperature in °C, and power in W, against time, "
        f"{wording.duration(points[-1].time_s)} in all.",
        time=Axis("Time", "min"),
        lanes=(
            Lane(Axis("Temperature", "°C"), curves=tuple(curves), marks=tuple(marks), share=2.0),
            Lane(Axis("Power", "W", low=0.0), curves=(Curve("power", [(p.time_s / 60, p.power_w) for p in kept[1:]]),),
                 limits=(Limit("heater", power),)),
        ),
        table=Table("Programme as run", ("Time, min", "Wanted, °C", "Chamber, °C", "Power, W"),
                    [(wording.number(p.time_s / 60, 3),
                    "off" if p.wanted_k is None else wording.number(p.wanted_k - zero, 4),
                      wording.number(p.chamber_k - zero, 4), wording.number(p.power_w, 3)) for p in rows]),
    )  # fmt: skip


def _log_picture(thin, fitted, misses) -> Plot:
    zero = constant("general.zero_celsius")
    step = max(1, len(thin) // 14)
    rows = list(zip(thin.time_s, thin.temperature_k, fitted.temperatures_k, misses, strict=True))
    return Plot(
        sentence=f"Two nodes follow the log within "
        f"{wording.with_unit(wording.number(max(map(abs, misses)), 2, 'up'), 'K')}",
        description=f"Readings as points and the fit as a line, temperature in °C against time, {len(thin)} readings "
        f"over "
        f"{wording.duration(thin.time_s[-1])}.",
        x=Axis("Time", "min"), y=Axis("Temperature", "°C"),
        curves=(Curve("fit", [(t / 60, f - zero) for t, _, f, _ in rows]),),
        marks=tuple(Mark("", t / 60, y - zero, "ring") for t, y, _, _ in rows),
        table=Table("Readings and what the fit misses", ("Time, min", "Read, °C", "Fit, °C", "Read less fit, K"),
                    [(wording.number(t / 60, 3), wording.number(y - zero, 4), wording.number(f - zero, 4),
                    wording.number(m, 2))
                     for t, y, f, m in rows[::step]]),
    )  # fmt: skip


def _log_working(thin, fitted, loss, top_k, inputs) -> tuple[Work, ...]:
    f = fitted.furnace
    return (
        Work("Two nodes", "C₁ dT₁/dt = P − G₁₂ (T₁ − T₂) − S σ (T₁⁴ − T_r⁴); C₂ dT₂/dt = G₁₂ (T₁ − T₂) − G₂r (T₂ − "
                          "T_r)",
             f"{len(thin)} readings, room {inputs.said('room_temperature')}",
             f"C₁ = {f.hot_j_per_k:.4g} J/K, C₂ = {f.insulation_j_per_k:.4g} J/K, G₁₂ = {f.inner_w_per_k:.4g} W/K, "
             f"G₂r = {f.outer_w_per_k:.4g} W/K, S = {f.radiative_m2:.4g} m²", ("heat_in_gas.stefan_boltzmann",)),
        Work("Error", "sqrt(mean of (read − fit)²)", "", f"{fitted.error_k:.3g} K"),
        Work("Loss when settled", "P = (T − T_r)/(1/G₁₂ + 1/G₂r) + S σ (T⁴ − T_r⁴)", f"T = {_celsius(top_k)}",
        f"{loss:.4g} W"),
    )  # fmt: skip
