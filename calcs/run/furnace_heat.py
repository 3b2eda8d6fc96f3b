"""What a furnace does with a programme: the time it takes, the power, the energy, and how it cools.

Three sources, one interface. Where the record holds the two nodes that a log gave (HT-02), they rule; else the
lining, where its sizes agree with the holding powers; else the holding powers, the chamber taken as one body.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from math import exp, inf, log

from calcs import units
from calcs.data import constant
from calcs.heat import follow, lining, two_nodes
from calcs.heat.calibration import TwoNodes
from calcs.heat.segments import Leg
from calcs.run import calibrated, said
from calcs.run.balance import Body

CALIBRATED, LINING, HOLDING = "a log of the furnace (HT-02)", "the furnace's lining", "the furnace's holding powers"
LINING_NAMES = ("inner_area", "outer_area", "insulation_thickness", "insulation_density", "parallel_loss")
SIZES = LINING_NAMES[:4]  # without the loss beside the insulation, which has its usual value
LINING_FIELDS = tuple(
    replace(follow.FORM.by_name[name], modes=(), default=None, optional=True) for name in LINING_NAMES
)
FIBRES = ("alumina-silica fibre", "alumina fibre")  # linings whose conductivity is modelled
MOST_CHORDS = 8  # of the rule of the chord; four suffice
LEAST_HOT = 0.1  # share of the heat capacity that elements and hot face must have, or the sizes hold too much; ours
FIRST_STEP_S, GROWTH = 5.0, 0.02  # steps of a cool-down: no longer than this share of the time gone
LAYERS = 12  # of the lining; with 64 the cooling differs by less than 0.1 %
STEPS = 25  # of a ramp or a soak, at the least; a lining then cools 1 to 2 % late and takes 0.7 % too much heat
LONGEST_S = 10_000 * 3600.0  # no run waits longer; the plan refuses it
STILL_K_PER_S = 1e-5  # a chamber that climbs slower than this climbs no more; ours
MOST_POINTS = 49  # points of a curve that are kept


@dataclass(frozen=True)
class Went:
    """One leg of the programme as the furnace goes through it.

    Args of the fields:
        curve: (time s from its start, temperature K), first and last included.
        power_w: most power that the programme asks in it, W, whether the heater has it or not.
        energy_j: heat that the heater gives in it, J.
        late_s: time beyond the programme because the power runs out, s.
        behind_k: temperature from which the power does not suffice, K, or None.
        never: the temperature at its end is never reached.
        falls: (temperature K, rate of fall K/s) along it where it cools.
    """

    curve: tuple[tuple[float, float], ...]
    power_w: float
    energy_j: float
    late_s: float = 0.0
    behind_k: float | None = None
    never: bool = False
    falls: tuple[tuple[float, float], ...] = ()

    @property
    def duration_s(self) -> float:
        return self.curve[-1][0]

    @property
    def steepest(self) -> float:
        """Fastest fall, K/s; 0 where it does not cool."""
        return max((rate for _, rate in self.falls), default=0.0)


# ---------------------------------------------------------------- the three sources


@dataclass(frozen=True)
class FromHoldingPowers:
    """The chamber as one body: calcs.run.balance. `why` says what kept a better source from ruling."""

    body: Body
    why: str = ""
    ruled_by, decided_by = HOLDING, "holding_powers"
    title = "The chamber as one body with its holding powers"

    @property
    def short(self) -> str:
        return "the chamber taken as one body"

    def course(self, path: tuple[Leg, ...], full_w: float) -> tuple[Went, ...]:
        """Return each leg as the furnace goes through it with so much power, W."""
        return tuple(self._went(leg, full_w) for leg in path)

    def _went(self, leg: Leg, full_w: float) -> Went:
        body, ramp = self.body, leg.rate_k_per_s
        if leg.change_k < 0:
            curve = tuple(body.cooling_curve(leg.start_k, leg.end_k, ramp))
            held = body.capacity_j_per_k * (ramp or inf)
            energy = body.cooling_heat(leg.start_k, leg.end_k, ramp) if ramp else 0.0
            falls = tuple((t, body.cooling_rate(t, ramp)) for _, t in curve)
            return Went(curve, max(body.holding_power(leg.start_k) - held, 0.0), energy, falls=falls)
        needs = body.power_needed(leg.end_k, ramp)
        if leg.change_k == 0:
            energy = body.holding_power(leg.start_k) * leg.duration_s
            return Went(((0.0, leg.start_k), (leg.duration_s, leg.end_k)), needs, energy)
        if needs <= full_w:
            energy = body.heat(leg.start_k, leg.end_k, ramp) if ramp else 0.0
            return Went(((0.0, leg.start_k), (leg.duration_s, leg.end_k)), needs, energy)
        return self._behind(leg, full_w, needs)

    def _behind(self, leg: Leg, full_w: float, needs: float) -> Went:
        """A ramp that the power does not follow to its end: full power from where it runs out."""
        body, ramp = self.body, leg.rate_k_per_s
        out = max(body.runs_out_at(full_w, ramp), leg.start_k)
        before = (out - leg.start_k) / ramp
        after = body.heating_time(out, leg.end_k, full_w)
        if after is None:
            return Went(((0.0, leg.start_k), (leg.duration_s, leg.end_k)), needs, 0.0, 0.0, out, never=True)
        energy = (body.heat(leg.start_k, out, ramp) if before else 0.0) + full_w * after
        steps = [out + (leg.end_k - out) * i / 12 for i in range(1, 13)]
        curve = [(0.0, leg.start_k), *([(before, out)] if before else [])]
        curve += [(before + body.heating_time(out, t, full_w), t) for t in steps]
        return Went(tuple(curve), needs, energy, before + after - leg.duration_s, out)

    def cooling_range(self, seconds: float) -> tuple[float, float]:
        """Return the ends of a time of natural cooling, s."""
        spread = constant("run.cooling_spread")
        return seconds * (1 - spread), seconds * (1 + spread)

    def energy_range(self, joule: float) -> tuple[float, float]:
        """Return the ends of an energy, J."""
        spread = constant("run.energy_spread")
        return joule * (1 - spread), joule * (1 + spread)

    cooling_cause, energy_cause = (
        "holding powers, the chamber as one body; load and draughts",
        "holding powers, and the load's own heat",
    )
    spreads = ("run.cooling_spread", "run.energy_spread")


class _Stepped:
    """A furnace that is followed in steps: `model` has `cold` and `step` of lining.Model or two_nodes.Model."""

    def __init__(self, model, room_k: float):
        self.model, self.room_k = model, room_k

    def course(self, path: tuple[Leg, ...], full_w: float) -> tuple[Went, ...]:
        """Return each leg as the furnace goes through it with so much power, W."""
        asked = self._through(path, inf)
        if all(went.power_w <= full_w for went in asked):
            return asked
        real = self._through(path, full_w)
        return tuple(replace(r, power_w=a.power_w) for r, a in zip(real, asked, strict=True))

    def _through(self, path, full_w: float) -> tuple[Went, ...]:
        state, found = self.model.cold(path[0].start_k), []
        for leg in path:
            state, went = _Walk(self.model, state, leg, full_w, self.room_k).done()
            found.append(went)
            if went.never:
                break
        unreached = path[len(found) :]
        return (*found, *(Went(((0.0, leg.start_k), (leg.duration_s or 0.0, leg.end_k)), 0.0, 0.0, never=True)
                          for leg in unreached))  # fmt: skip


class _Walk:
    """One leg, step by step."""

    def __init__(self, model, state, leg: Leg, full_w: float, room_k: float):
        self.model, self.state, self.leg, self.full, self.room = model, state, leg, full_w, room_k
        self.time = self.energy = self.peak = self.power = 0.0
        self.behind = self.ran_out = None
        self.points, self.falls = [(0.0, state.chamber_k)], []

    def done(self) -> tuple[object, Went]:
        leg, never, late = self.leg, False, 0.0
        if leg.change_k < 0:
            self._cool(leg.end_k, leg.rate_k_per_s)
        else:
            self._lead()
            never = not self._arrive()
            late = max(self.time - leg.duration_s, 0.0) if self.behind is not None else 0.0
        went = Went(_thinned(self.points), self.peak, self.energy, late, self.behind, never, tuple(self.falls))
        return self.state, went

    def _step(self, dt: float, wanted: float | None, power: float) -> None:
        state, last = self.state, self.power
        self._take(dt, *self.model.step(state, dt, wanted, power))
        if wanted is not None and self.leg.change_k >= 0:
            self._look_behind(state, dt, wanted, power, last)

    def _take(self, dt: float, found, taken: float) -> None:
        """Add a step to what is known of the leg."""
        before, self.state, self.power = self.state.chamber_k, found, taken
        self.time += dt
        self.energy += taken * dt
        self.peak = max(self.peak, taken)
        self.points.append((self.time, self.state.chamber_k))
        if self.state.chamber_k < before and self.leg.change_k < 0:
            self.falls.append((before, (before - self.state.chamber_k) / dt))

    def _look_behind(self, state, dt: float, wanted: float, power: float, last: float) -> None:
        """Note where the power ran out, and that the furnace falls behind once it lags by more than a kelvin."""
        if self.power < power:
            self.ran_out = None
        elif self.ran_out is None:
            needed = self.model.step(state, dt, wanted, inf)[1]
            share = min(max((power - last) / (needed - last), 0.0), 1.0) if needed > last else 0.0
            self.ran_out = state.chamber_k + share * (wanted - state.chamber_k)
        if self.behind is None and wanted - self.state.chamber_k > constant("follow.arrived"):
            self.behind = self.ran_out

    def _lead(self) -> None:
        """Follow the straight line of the programme as far as the power goes."""
        total, gone, longest = self.leg.duration_s, 0.0, self.leg.duration_s / STEPS
        dt = min(FIRST_STEP_S, longest)
        while gone < total * (1 - 1e-9):
            left = total - gone  # the last step is a short one, so that the power is that of the end
            dt = min(dt, left - FIRST_STEP_S) if left > 2 * FIRST_STEP_S else left
            gone += dt
            self._step(dt, self.leg.start_k + self.leg.change_k * gone / total, self.full)
            dt = min(dt * 1.4, longest)

    def _arrive(self) -> bool:
        """Wait for the end of the leg; return whether it is reached."""
        end, band, dt, begun = self.leg.end_k, constant("follow.arrived"), FIRST_STEP_S, self.time
        while end - self.state.chamber_k > band:
            before = self.state.chamber_k
            self._step(dt, end, self.full)
            moved = self.state.chamber_k - before
            if self.time - begun > LONGEST_S or (dt >= 600 and moved < STILL_K_PER_S * dt):
                return False
            gap = end - self.state.chamber_k
            dt = max(min(dt * 1.5 if moved < 4 else dt, gap / moved * dt if moved > 0 else inf), 0.5)
        return True

    def _cool(self, end: float, rate: float | None) -> None:
        """Cool to the end by nature, or along a straight line where nature is quicker; steps grow with the time."""
        start, room = self.leg.start_k, self.room
        line_s = inf if rate is None else (start - end) / rate
        while self.state.chamber_k > end + 1e-6 and self.time < LONGEST_S:
            dt, before = max(FIRST_STEP_S, GROWTH * self.time), self.state
            if rate is not None and abs(before.chamber_k - start + rate * self.time) < 1e-6:
                dt = min(dt, line_s - self.time)
            on_line = rate is not None and self.time + dt <= line_s * (1 + 1e-9)
            wanted, power = (start - rate * (self.time + dt), self.full) if on_line else (None, 0.0)
            after, taken = self.model.step(before, dt, wanted, power)
            if after.chamber_k < end - 1e-6:  # the last step ends there: meanwhile the excess falls exponentially
                whole = log((before.chamber_k - room) / max(after.chamber_k - room, 1e-9))
                dt *= min(1.0, log((before.chamber_k - room) / (end - room)) / whole)
                self._step(dt, None, 0.0)
                self.points[-1] = (self.time, end)
                break
            self._take(dt, after, taken)


def _thinned(points: list) -> tuple:
    """No more points than a curve needs, the first and the last kept."""
    step = max(1, -(-len(points) // MOST_POINTS))
    kept = points[:-1:step]
    return (*kept, points[-1])


class FromLog(_Stepped):
    """The two nodes that a log of this furnace gave."""

    why, ruled_by, decided_by, short = "", CALIBRATED, "outer_conductance", "by the furnace's own log"
    title = "The two nodes that a log of this furnace gave"
    cooling_cause, energy_cause = (
        "fit to a log (HT-02); load and draughts",
        "fit to a log (HT-02), and the load's own heat",
    )
    spreads = ("run.calibrated_early", "run.calibrated_late", "run.calibrated_energy")

    def __init__(self, furnace: TwoNodes, room_k: float):
        super().__init__(two_nodes.Model(furnace, room_k), room_k)
        self.furnace = furnace

    def cooling_range(self, seconds: float) -> tuple[float, float]:
        """Return the ends of a time of natural cooling, s."""
        return seconds * (1 - constant("run.calibrated_early")), seconds * (1 + constant("run.calibrated_late"))

    def energy_range(self, joule: float) -> tuple[float, float]:
        """Return the ends of an energy, J."""
        spread = constant("run.calibrated_energy")
        return joule * (1 - spread), joule * (1 + spread)


class FromLining(_Stepped):
    """The lining of the record, its conductivity and the capacity of its hot face set by the record's own figures."""

    why, ruled_by, decided_by, short = "", LINING, "holding_powers", "by lining and holding powers"
    title = "The lining, its conductivity set by the holding powers"
    cooling_cause = "lining from its sizes; load and draughts"
    energy_cause = "lining from its sizes, and the load's own heat"
    spreads = ("run.cooling_spread", "run.energy_spread")
    cooling_range, energy_range = FromHoldingPowers.cooling_range, FromHoldingPowers.energy_range

    def __init__(self, chamber: lining.Chamber, factor: float):
        super().__init__(lining.Model(chamber, None, LAYERS), chamber.room_k)
        self.chamber, self.factor = chamber, factor


# ---------------------------------------------------------------- which one rules


def of(inputs, room_k: float, peak_k: float, gas: str):
    """Return the source that rules: FromLog, FromLining or FromHoldingPowers.

    Args:
        inputs: the values of the plan's form.
        room_k: room, K.
        peak_k: highest temperature of the programme, K.
        gas: the gas that most of the chamber holds.
    """
    nodes = [inputs[name] for name in calibrated.NAMES]
    if None not in nodes:
        return FromLog(TwoNodes(*nodes), room_k)
    rows = tuple((row["temperature"], row["power"]) for row in inputs["holding_powers"])
    body = Body(room_k, rows, inputs["chamber_heat_capacity"])
    sizes = tuple(inputs[name] for name in LINING_NAMES)
    if None in sizes[:4]:
        return FromHoldingPowers(body)
    found, why = _lined(sizes, body, peak_k, gas, inputs["insulation_material"], inputs["set_point"])
    return found or FromHoldingPowers(body, why)


@lru_cache(maxsize=8)
def _lined(sizes: tuple, body: Body, peak_k: float, gas: str, material: str, pressure_pa: float):
    """Return (the lining, "") where it agrees with the record's own figures, or (None, why not)."""
    inner, outer, thickness, density, beside = sizes
    if material not in FIBRES:
        return None, f"no conductivity of {material} in the tables here"
    if gas not in follow.GASES:
        return None, f"no heat data of {gas}"
    if max(peak_k, body.last_k) > constant("lining.fibre_end"):
        return None, f"the fibre model ends at {said.celsius(constant('lining.fibre_end'))}"
    wall = lining.Lining(
        inner, outer, thickness, density, lining.fibre_specific_heat(), lining.fibre_curve(gas, pressure_pa, density)
    )
    beside = _usual("parallel_loss") if beside is None else beside
    chamber = lining.Chamber(
        wall, body.capacity_j_per_k, _usual("inner_coefficient"), _usual("outer_coefficient"), beside, 0.0,
        body.room_k, 0.0,
    )  # fmt: skip
    if why := _contradicts(chamber, body):
        return None, why
    chamber, factor = _set_by_holding(chamber, body)
    hot = body.capacity_j_per_k - _held_by_lining(chamber, max(peak_k, body.rows[0][0]))
    if hot < LEAST_HOT * body.capacity_j_per_k:
        return None, "the lining alone holds as much heat as the record gives the whole chamber"
    return FromLining(replace(chamber, capacity_j_per_k=hot), factor), ""


def _usual(name: str) -> float:
    field = follow.FORM.by_name[name]
    return units.read(field.kind, field.default).si


def _contradicts(chamber: lining.Chamber, body: Body) -> str:
    """Where the sizes give a loss that the holding powers do not bear out, within the spread of such a model."""
    spread = constant("lining.spread_model")
    for kelvin, power in body.rows:
        loss = lining.steady_loss(chamber, kelvin)[0]
        if not 1 - spread <= loss / power <= 1 / (1 - spread):
            return f"its sizes give {said.power(loss)} at {said.celsius(kelvin)}, the record holds {said.power(power)}"
    return ""


def _set_by_holding(chamber: lining.Chamber, body: Body) -> tuple[lining.Chamber, float]:
    """Return the lining with its conductivity times one factor, so that its losses meet the holding powers.

    They meet in the mean: the mean of ln(loss/holding power) is 0, found by the rule of the chord.
    """

    def scaled(ln_factor: float) -> lining.Chamber:
        k = chamber.lining.conductivity
        k = replace(k, values=tuple(v * exp(ln_factor) for v in k.values))
        return replace(chamber, lining=replace(chamber.lining, conductivity=k))

    def miss(ln_factor: float) -> float:
        trial = scaled(ln_factor)
        return sum(log(lining.steady_loss(trial, kelvin)[0] / power) for kelvin, power in body.rows) / len(body.rows)

    before, here = 0.0, -miss(0.0)
    last, now = -here, miss(here)
    for _ in range(MOST_CHORDS):
        if abs(now) < 1e-6 or now == last:
            break
        before, here, last = here, min(max(here - now * (here - before) / (now - last), -3.0), 3.0), now
        now = miss(here)
    return scaled(here), exp(here)


def _held_by_lining(chamber: lining.Chamber, hot_k: float) -> float:
    """Return the heat that the settled lining holds for each kelvin of the chamber above the room, J/K."""
    model = lining.Model(chamber, None)
    nodes, heat, room = model.soaked(hot_k).nodes_k, chamber.lining.specific_heat, chamber.room_k
    held = sum(m * heat.at((t + room) / 2) * (t - room) for m, t in zip(model.masses, nodes, strict=True))
    return held / (hot_k - room)
