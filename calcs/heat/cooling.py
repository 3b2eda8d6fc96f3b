"""Cooling: when a furnace may be opened, from its own cool-down, from its figures, or for one part in air."""

from dataclasses import dataclass, replace
from math import exp, inf, log, sqrt

from calcs import heat_in_gas, readings, solids, wording
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
)  # fmt: skip
from calcs.data import constant
from calcs.form import Field, Form, Problem, Problems
from calcs.heat.lining import Chamber, Lining, Load, Model, fibre_curve, fibre_specific_heat
from calcs.picture import Axis, Band, Curve, Limit, Mark, Plot, Table

PAGE = "HT-05"

FROM_LOG, FROM_FURNACE, IN_AIR = "from a log", "from the furnace", "part in air"
LOG, FURNACE, AIR = (FROM_LOG,), (FROM_FURNACE,), (IN_AIR,)
OPENED, LOADED = (FROM_LOG, FROM_FURNACE), (FROM_FURNACE, IN_AIR)
OPENING, MEETS_AIR, TOUCHED = "the furnace may be opened", "the load may meet air", "the load may be touched"

LEAST_ROWS = 15  # with fewer rows two time constants cannot be told apart; ours
SETTLING_S = 5 * 60.0  # so long after the heater is off the chamber still evens out; common practice, no source
MOST_ROWS = 1000  # rows that are looked at; a longer log is thinned evenly
MOST_POINTS = 40  # rows that the fit works with; a longer log is thinned evenly
RISE_K = 5.0  # a rise by more than this is not the noise of a sensor; common practice, no source
IDLE_W = 1.0  # less than this is not heating; ours
NEAR_ROOM_K = 2.0  # closer to the room than this no chamber comes in a useful time; ours
FAR_LOGS, FAR_FALL = 1.5, 3.0  # extrapolated by more log lengths, or by a larger fall: close at best; ours

GASES = ("air", "nitrogen", "argon", "helium", "hydrogen", heat_in_gas.VACUUM)
FIRST_STEP_S, LONGEST_STEP_S, GROWTH, MOST_STEPS = 5.0, 900.0, 1.025, 1000  # steps of a natural cool-down

HOT = Range("0 °C", "1900 °C", because="No furnace of this kind goes there.")
ROOM = Range("5 °C", "45 °C", because="Nobody works in a room outside this.")

EXAMPLE_LOG = (
    "5 min 588 °C · 10 min 549 °C · 15 min 518 °C · 20 min 493 °C · 30 min 452 °C · 40 min 421 °C · 50 min 394 °C · "
    "60 min 371 °C · 75 min 340 °C · 90 min 312 °C · 105 min 287 °C · 120 min 264 °C · 140 min 237 °C · "
    "160 min 212 °C · 180 min 191 °C · 200 min 172 °C · 220 min 154 °C · 240 min 139 °C"
)

FORM = Form(
    question="When may it be opened?",
    modes=(FROM_LOG, FROM_FURNACE, IN_AIR),
    mode_label="What do you have?",
    ask=("log", "gas", "chamber_heat_capacity", "opening_temperature", "air_limit", "start_temperature",
         "target_temperature", "load_mass",
         "load_specific_heat", "load_area", "load_emissivity", "convection_coefficient", "room_temperature"),
    fields=(
        Field("log", "Log (table, or the text of a log file)", "log", EXAMPLE_LOG, modes=LOG,
              hint="From heater off: 30 min 452 °C, or a file."),
        Field("gas", "Gas", "choice", "argon", modes=FURNACE, choices=GASES,
              hint="In chamber and lining while it cools."),
        Field("chamber_heat_capacity", "Heat capacity of elements, hot face, furniture", "heat capacity", "5.4 kJ/K",
              modes=FURNACE, accepted=Range("0 J/K", "1e9 J/K", above=True),
              hint="About 0.5 kJ/K for each kg of shelf."),
        Field("start_temperature", "Temperature at the start", "temperature", "600 °C", modes=LOADED, accepted=HOT,
              hint="Of chamber and load when it begins."),
        Field("target_temperature", "Temperature wanted", "temperature", "60 °C", modes=AIR, accepted=HOT),
        Field("load_mass", "Load mass, total", "mass", "2.0 kg", modes=LOADED, hint="Parts and setter together.",
              accepted=Range("0 kg", "500 kg", above=True)),
        Field("load_specific_heat", "Specific heat of the load", "specific heat", "420 J/kg/K", modes=LOADED,
              hint="Mean over the fall: copper 420, steel 600, alumina 1000.",
              accepted=Range("50 J/kg/K", "6000 J/kg/K", because="No solid has less or more.")),
        Field("load_area", "Load surface", "area", "0.45 m2", modes=LOADED, accepted=Range("0 m2", above=True),
              hint="Only what sees the room."),
        Field("load_emissivity", "Emissivity of the load", "number", "0.1", modes=LOADED,
              accepted=Range("0.01", "1", because="No surface has less or more."),
              hint="Bright metal 0.1, oxidised metal or ceramic 0.8."),
        Field("convection_coefficient", "Convection at the load's surface", "heat-transfer coefficient",
              "7 W/m2/K", modes=AIR, hint="Still air 5 to 10, a fan 20 to 50.",
              accepted=Range("0 W/m2/K", "2000 W/m2/K", above=True, because="No air cools faster.")),
        Field("room_temperature", "Room temperature", "temperature", "20 °C", accepted=ROOM,
              hint="5 K wrong moves the end by 5 %."),
        Field("opening_temperature", "Opening temperature of the furnace", "temperature", "60 °C", modes=OPENED,
              optional=True, accepted=HOT, hint="From the furnace's manual."),
        Field("air_limit", "Temperature at which the load may meet air", "temperature", "60 °C", modes=OPENED,
              optional=True, accepted=HOT, hint="Bright copper 60 °C, bright steel 150 °C."),
        Field("touch_limit", "Temperature that may be touched", "temperature", "55 °C", modes=OPENED, default="55 °C",
              accepted=HOT, hint="55 °C for bare metal touched briefly."),
        Field("inner_area", "Hot face area", "area", "0.50 m2", modes=FURNACE,
              accepted=Range("0 m2", "1000 m2", above=True)),
        Field("outer_area", "Shell area", "area", "1.44 m2", modes=FURNACE,
              accepted=Range("0 m2", "1000 m2", above=True)),
        Field("insulation_thickness", "Insulation thickness", "length", "100 mm", modes=FURNACE,
              accepted=Range("1 mm", "1 m", because="No lining of this kind is thinner or thicker.")),
        Field("insulation_density", "Insulation density", "density", "190 kg/m3", modes=FURNACE,
              accepted=Range("20 kg/m3", "3000 kg/m3", because="From loose fibre to dense brick.")),
        Field("insulation_specific_heat", "Insulation specific heat", "specific heat", "1000 J/kg/K", modes=FURNACE,
              optional=True, accepted=Range("50 J/kg/K", "6000 J/kg/K"),
              hint="Empty: 900 to 1100 J/kg/K by temperature."),
        Field("insulation_conductivity", "Insulation conductivity (rows: temperature, conductivity)", "table",
              ({"temperature": "20 °C", "conductivity": "0.04 W/m/K"},
               {"temperature": "1000 °C", "conductivity": "0.26 W/m/K"}),
              modes=FURNACE, optional=True, rows_allowed=(1, 40), hint="Empty: fibre by density, gas and pressure.",
              row=r"(?P<temperature>[-+0-9.]{1,12} *[°a-zA-Z]{1,4})[, ]+(?P<conductivity>[0-9.]{1,12} *[mW/K·]{3,8})",
              columns=(Field("temperature", "Temperature", "temperature", "20 °C",
                             accepted=Range("-273 °C", "3500 °C")),
                       Field("conductivity", "Conductivity", "thermal conductivity", "0.04 W/m/K",
                             accepted=Range("1e-4 W/m/K", "100 W/m/K")))),
        Field("inner_coefficient", "Heat transfer from elements to hot face", "heat-transfer coefficient", "150 W/m2/K",
              modes=FURNACE, default="150 W/m2/K", accepted=Range("1 W/m2/K", "10000 W/m2/K")),
        Field("outer_coefficient", "Heat transfer from shell to room", "heat-transfer coefficient", "11 W/m2/K",
              modes=FURNACE, default="11 W/m2/K", accepted=Range("0.1 W/m2/K", "1000 W/m2/K")),
        Field("parallel_loss", "Loss beside the insulation (door, lead-ins)", "thermal conductance", "0.8 W/K",
              modes=FURNACE, default="0.15 W/K", accepted=Range("0 W/K", "1000 W/K")),
        Field("chamber_pressure", "Chamber pressure", "absolute pressure", "1005 mbar", default="101.325 kPa",
              modes=FURNACE, accepted=Range("0 Pa", "2 bar", above=True,
                                            because="This furnace class is not built for more.")),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("time", "Time to opening, on the log's clock, with the margin for extrapolation", "time", "h, min",
          "up, range"),
    Shown("time_fit", "The same, bare fit (early)", "time", "h, min", "up", 3, LOG),
    Shown("governing_limit", "Which limit comes last", "choice", modes=OPENED),
    Shown("fast_time_constant", "Fast time constant", "time", "min", "near", 3, LOG),
    Shown("slow_time_constant", "Slow time constant", "time", "h, min", "up", 3, LOG),
    Shown("fit_error", "Error of the fit, rms", "temperature difference", "K", "up", 2, LOG),
    Shown("limit_times", "Time to each limit", "table", modes=OPENED, columns=(
        Column("limit", "From when"),
        Column("temperature", "Temperature", "temperature", "°C", 3),
        Column("early", "Earliest", "time", "h", 3, "up"),
        Column("time", "Likely", "time", "h", 3, "up"),
        Column("late", "Not before", "time", "h", 3, "up"),
    )),
    Shown("curve", "Temperature against time", "table", columns=(
        Column("temperature", "Temperature", "temperature", "°C", 3),
        Column("early", "Earliest", "time", "h", 3, "up"),
        Column("late", "Latest", "time", "h", 3, "up"),
    )),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="One part in still air (7 W/m²/K, 20 °C), 2.0 kg with 0.45 m² and 420 J/kg/K: time from 600 °C",
        down=("target_temperature", ("400 °C", "200 °C", "100 °C", "60 °C", "40 °C")),
        across=("load_emissivity", ("0.1", "0.3", "0.8")),
        figures=("time",),
        given={"mode": IN_AIR},
    ),
    ReadOff(
        caption="The log of the example: time until the furnace is at its opening temperature",
        down=("opening_temperature", ("200 °C", "100 °C", "80 °C", "60 °C", "45 °C")),
        figures=("time_fit", "time"),
        given={"air_limit": "", "touch_limit": "200 °C"},
    ),
)


# ---------------------------------------------------------------- physics: the fit


@dataclass(frozen=True)
class Fit:
    """T = room + A1 exp(-t/tau1) + A2 exp(-t/tau2), fitted to a log.

    Args of the fields:
        room_k: room temperature, K.
        amplitudes_k: A1, A2, K, 0 or more.
        constants_s: tau1, tau2, s, the slow one last.
        error_k: root mean square of what the fit misses, K.
        last_s, last_k: time and temperature of the last row of the log.
        length_s: from the first to the last row, s.
    """

    room_k: float
    amplitudes_k: tuple[float, float]
    constants_s: tuple[float, float]
    error_k: float
    last_s: float
    last_k: float
    length_s: float

    def temperature(self, time_s: float) -> float:
        """Return the fitted temperature at a time, K."""
        return self.room_k + sum(
            a * exp(-time_s / tau) for a, tau in zip(self.amplitudes_k, self.constants_s, strict=True)
        )

    def time(self, temperature_k: float) -> float:
        """Return the time at which the fit reaches a temperature above the room, s."""
        low, high = 0.0, max(self.last_s, 1.0)
        while self.temperature(high) > temperature_k:
            high *= 2
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if self.temperature(middle) > temperature_k else (low, middle)
        return high


def fit(log_points: list[tuple[float, float]], room_k: float) -> Fit:
    """Return the two exponentials that fit a cool-down best.

    First from a grid of 25 time constants, the amplitudes of each pair by least squares; then by damped steps in all
    four. Neither amplitude may be negative.

    Args:
        log_points: (time s, temperature K), falling, 15 rows or more.
        room_k: room temperature, K, below every reading.

    Source:
        separable least squares, a textbook method, written for this project; checked against scipy.
    """
    step = max(1, -(-len(log_points) // MOST_POINTS))
    kept = log_points[::step]
    if kept[-1] != log_points[-1]:
        kept.append(log_points[-1])
    times, above = [t for t, _ in kept], [y - room_k for _, y in kept]
    length = times[-1] - times[0]
    grid = [length * 0.01 * 400 ** (i / 24) for i in range(25)]
    columns = [[exp(-t / tau) for t in times] for tau in grid]
    best = (inf, 0.0, 0.0, 0.0, 0.0)
    for i in range(25):
        for j in range(i + 1, 25):
            best = min(best, (*_amplitudes(columns[i], columns[j], above), log(grid[i]), log(grid[j])))
    best = _refined(best, times, above, (log(grid[0]), log(10 * length)))
    _, fast, slow, ln_fast, ln_slow = best
    pairs = sorted([(exp(ln_fast), fast), (exp(ln_slow), slow)])
    found = Fit(room_k, tuple(a for _, a in pairs), tuple(tau for tau, _ in pairs), 0.0, *log_points[-1], length)
    misses = sum((found.temperature(t) - y) ** 2 for t, y in log_points)
    return Fit(room_k, found.amplitudes_k, found.constants_s, sqrt(misses / len(log_points)), *log_points[-1], length)


def _amplitudes(p: list[float], q: list[float], y: list[float]) -> tuple[float, float, float]:
    """Return (sum of squares, A1, A2) of the best y = A1 p + A2 q with neither below zero."""
    pp = qq = pq = py = qy = yy = 0.0
    for a, b, c in zip(p, q, y, strict=True):
        pp += a * a
        qq += b * b
        pq += a * b
        py += a * c
        qy += b * c
        yy += c * c
    whole = pp * qq - pq * pq
    if whole > 1e-9 * pp * qq:
        a1, a2 = (py * qq - qy * pq) / whole, (qy * pp - py * pq) / whole
        if a1 >= 0 and a2 >= 0:
            return yy - a1 * py - a2 * qy, a1, a2
    return min((yy - py * py / pp, py / pp, 0.0), (yy - qy * qy / qq, 0.0, qy / qq))


def _refined(best, times, above, limits) -> tuple:
    """Return the least squares near a first guess, as (squares, A1, A2, ln tau1, ln tau2).

    Damped Gauss-Newton steps in all four at once; a step that leaves the limits or makes an amplitude negative is
    refused and damped more. With one amplitude at zero only the other exponential is moved.
    """
    parts = [k for k in (0, 1) if best[1 + k] > 0]
    value = [best[1 + k] for k in parts] + [best[3 + k] for k in parts]
    squares, system = _normal_equations(value, times, above)
    damping = 1e-3
    for _ in range(60):
        step = _solved(system, damping)
        trial = [v + d for v, d in zip(value, step, strict=True)]
        half = len(parts)
        allowed = all(a > 0 for a in trial[:half]) and all(limits[0] <= x <= limits[1] for x in trial[half:])
        found = _normal_equations(trial, times, above) if allowed else (inf, None)
        if found[0] <= squares:
            done = squares - found[0] <= 1e-12 * squares
            value, (squares, system), damping = trial, found, damping / 5
            if done:
                break
        elif damping > 1e8:
            break
        else:
            damping *= 4
    amplitudes, logs = [0.0, 0.0], [best[3], best[4]]
    for n, k in enumerate(parts):
        amplitudes[k], logs[k] = value[n], value[n + len(parts)]
    return squares, *amplitudes, *logs


def _normal_equations(value, times, above) -> tuple[float, tuple]:
    """Return the sum of squares and (JᵀJ, Jᵀr) of the exponentials with amplitudes and log time constants `value`."""
    half, size = len(value) // 2, len(value)
    rates = [exp(-x) for x in value[half:]]
    matrix, right, squares = [[0.0] * size for _ in range(size)], [0.0] * size, 0.0
    for t, y in zip(times, above, strict=True):
        shapes = [exp(-t * rate) for rate in rates]
        row = shapes + [value[n] * shapes[n] * t * rates[n] for n in range(half)]
        miss = y - sum(value[n] * shapes[n] for n in range(half))
        squares += miss * miss
        for a in range(size):
            right[a] += row[a] * miss
            for b in range(a, size):
                matrix[a][b] += row[a] * row[b]
    for a in range(size):
        for b in range(a):
            matrix[a][b] = matrix[b][a]
    return squares, (matrix, right)


def _solved(system, damping) -> list[float]:
    """Return the damped step (M + damping × its diagonal) x = r, by elimination; the matrix is positive."""
    matrix, right = system
    size = len(right)
    m = [[*matrix[a], right[a]] for a in range(size)]
    for a in range(size):
        m[a][a] *= 1 + damping
    for a in range(size):
        pivot = m[a][a] or 1e-300
        for b in range(a + 1, size):
            share = m[b][a] / pivot
            for c in range(a, size + 1):
                m[b][c] -= share * m[a][c]
    x = [0.0] * size
    for a in reversed(range(size)):
        x[a] = (m[a][size] - sum(m[a][b] * x[b] for b in range(a + 1, size))) / (m[a][a] or 1e-300)
    return x


@dataclass(frozen=True)
class Moment:
    """When a limit is reached, s on the log's clock: by the bare fit, with the margin, and not before.

    `measured` says that the log itself reaches it.
    """

    early_s: float
    time_s: float
    late_s: float
    measured: bool = False


def _refuse_room(limit_k: float, room_k: float, field: str) -> None:
    if limit_k < room_k + NEAR_ROOM_K:
        raise Refused(
            "never_reached", "that limit is never reached",
            f"{_celsius(limit_k)} is not {wording.plain_number(NEAR_ROOM_K)} K above the room.",
            "Raise the limit, or check the room temperature.", field=field,
        )  # fmt: skip


def moment(
    found: Fit, log_points: list[tuple[float, float]], limit_k: float, field: str = "opening_temperature"
) -> Moment:
    """Return when a cool-down reaches a temperature.

    Inside the log the rows themselves answer. Beyond it the fit runs on from the last row, and is early, since an
    insulation conducts less and less as it cools: the part beyond the log is stretched by
    1 + c ln((T_last - room)/(limit - room)), and the late end by a further factor.

    Args:
        found: the fit.
        log_points: the log, (time s, temperature K).
        limit_k: the limit, K, above the room by 2 K or more.
        field: the field that a refusal points to.

    Raises:
        Refused: never_reached.

    Source:
        stretch and factor: fitted to a lining model of this project in six gases and two linings, 314 cases
        (thermal reference of this project); no case early with the factor.
    """
    _refuse_room(limit_k, found.room_k, field)
    if limit_k >= found.last_k:
        return _within_log(log_points, limit_k)
    beyond = found.time(limit_k) - found.time(found.last_k)
    fall = (found.last_k - found.room_k) / (limit_k - found.room_k)
    stretched = beyond * (1 + constant("cooling.stretch") * log(fall))
    return Moment(
        found.last_s + beyond, found.last_s + stretched, found.last_s + constant("cooling.late_factor") * stretched
    )


def _within_log(log_points, limit_k: float) -> Moment:
    before = None
    for t, y in log_points:
        if y <= limit_k:
            if before is None or before[1] == y:
                return Moment(t, t, t, True)
            at = before[0] + (t - before[0]) * (before[1] - limit_k) / (before[1] - y)
            return Moment(at, at, at, True)
        before = (t, y)
    return Moment(*([log_points[-1][0]] * 3), True)


# ---------------------------------------------------------------- physics: the furnace's own figures


def natural_cooling(model: Model, start_k: float, end_k: float) -> list[tuple[float, float, float]]:
    """Return how a soaked furnace with its heater off cools: (time s, chamber K, load K), the start first.

    The steps grow with time. It ends when chamber and load are at or below `end_k`, or after 1000 steps, which is
    some 200 h.

    Args:
        model: furnace, lining and load.
        start_k: temperature that the whole furnace was held at, K.
        end_k: temperature at which nothing more is wanted, K.

    Source:
        calcs.heat.lining, one-dimensional lining with implicit Euler steps.
    """
    state, time, step = model.soaked(start_k), 0.0, FIRST_STEP_S
    found = [(0.0, start_k, start_k)]
    for _ in range(MOST_STEPS):
        state, _ = model.step(state, step, None, 0.0)
        time += step
        step = min(step * GROWTH, LONGEST_STEP_S)
        load = state.chamber_k if state.load_k is None else state.load_k
        found.append((time, state.chamber_k, load))
        if max(state.chamber_k, load) <= end_k:
            break
    return found


def time_at(curve: list[tuple[float, float]], limit_k: float, room_k: float) -> float:
    """Return when a falling curve reaches a temperature, s; inf where it does not.

    Args:
        curve: (time s, temperature K), falling.
        limit_k: temperature, K, above the room.
        room_k: room temperature, K.

    Source:
        between two points the excess over the room falls as an exponential.
    """
    before = None
    for t, y in curve:
        if y <= limit_k:
            if before is None or y >= before[1]:
                return t
            whole = log((before[1] - room_k) / max(y - room_k, 1e-9))
            return before[0] + (t - before[0]) * min(1.0, log((before[1] - room_k) / (limit_k - room_k)) / whole)
        before = (t, y)
    return inf


# ---------------------------------------------------------------- physics: one part in air


def time_in_air(
    start_k: float, end_k: float, room_k: float, heat_capacity_j_per_k: float, area_m2: float,
    coefficient_w_per_m2_k: float, emissivity: float, steps: int = 200,
) -> float:  # fmt: skip
    """Return the time in which a part of one temperature cools in the room, s.

    t = C / A times the integral of dT / (h (T - Tr) + eps sigma (T^4 - Tr^4)), with temperature as the variable
    (its logarithm above the room), by Simpson's rule.

    Args:
        start_k: temperature at the start, K, above the room.
        end_k: temperature wanted, K, above the room.
        room_k: room temperature, K.
        heat_capacity_j_per_k: heat capacity of the part, J/K.
        area_m2: surface that sees the room, m².
        coefficient_w_per_m2_k: convection, W/m²/K.
        emissivity: 0 to 1.
        steps: even number of steps.

    Source:
        balance of heat of a lumped body; constant heat_in_gas.stefan_boltzmann.
    """
    sigma = _sigma()

    def seconds_per_log(x):  # dt/d ln(T - Tr)
        above = exp(x)
        t = room_k + above
        return above / (coefficient_w_per_m2_k * above + emissivity * sigma * (t**4 - room_k**4))

    low, high = log(end_k - room_k), log(start_k - room_k)
    width = (high - low) / steps
    total = seconds_per_log(low) + seconds_per_log(high)
    total += sum((4 if i % 2 else 2) * seconds_per_log(low + i * width) for i in range(1, steps))
    return heat_capacity_j_per_k / area_m2 * total * width / 3


def _sigma() -> float:
    return constant("heat_in_gas.stefan_boltzmann")


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return when the furnace may be opened, or when a part in air is cold.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    return {FROM_LOG: _from_log, FROM_FURNACE: _from_furnace, IN_AIR: _in_air}[inputs.mode](inputs)


def _celsius(kelvin: float) -> str:
    return wording.with_unit(wording.plain_number(round(kelvin - constant("general.zero_celsius"), 1)), "°C")


def _from_log(inputs) -> Answer:
    limits = _limits(inputs)
    log_points, notes = _usable(inputs)
    found = fit(log_points, inputs["room_temperature"])
    moments = {name: moment(found, log_points, limit, FIELD_OF[name]) for name, limit in limits.items()}
    last = max(moments, key=lambda name: moments[name].late_s)
    whole = moments[last]
    verdict, said = _verdict(inputs, found, limits, moments)
    figures = FIGURES.fill(
        time=Estimate(whole.time_s, whole.early_s, whole.late_s, cause="mostly how far the log is carried on"),
        time_fit=whole.early_s,
        governing_limit=last,
        fast_time_constant=found.constants_s[0] if found.amplitudes_k[0] > 0 and found.amplitudes_k[1] > 0 else None,
        slow_time_constant=_slow(found),
        fit_error=found.error_k,
        limit_times=_limit_rows(limits, moments),
        curve=_curve_rows(found, log_points, min(limits.values())),
    )
    return Answer(
        sentence=_log_sentence(whole, last, limits[last], said),
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=(
            "a load that is still hot inside when its surface is cold, and one with a longer tail than this log shows",
            "draughts, a gas that is changed or shut off during the cooling, and a room that warms up",
            "everything but temperature: pressure and the oxygen at the door decide as well",
        ),
        cautions=OPENING_CAUTIONS,
        pictures=(_log_picture(found, log_points, limits, moments, last),),
        working=_log_working(inputs, found, limits[last], whole),
        notes=(*notes, *_log_notes(found, moments)),
    )


def _limit_rows(limits, moments) -> list[dict]:
    return [
        {"limit": name, "temperature": limits[name], "early": m.early_s, "time": m.time_s, "late": m.late_s}
        for name, m in sorted(moments.items(), key=lambda item: item[1].late_s)
    ]


def _slow(found: Fit) -> float:
    return found.constants_s[1] if found.amplitudes_k[1] > 0 else found.constants_s[0]


def _limits(inputs) -> dict[str, float]:
    if inputs["opening_temperature"] is None:
        raise Refused(
            "no_deciding_temperature", "no temperature decides the opening",
            "Without an opening temperature nothing measured can say when the door may be opened; the clock never "
            "does.",
            "Type the opening temperature from the furnace's manual.", "Ask whoever answers for the furnace.",
            field="opening_temperature",
        )  # fmt: skip
    found = {OPENING: inputs["opening_temperature"], TOUCHED: inputs["touch_limit"]}
    if inputs["air_limit"] is not None:
        found[MEETS_AIR] = inputs["air_limit"]
    return found


def _usable(inputs) -> tuple[list[tuple[float, float]], list[str]]:
    """Return the rows that the fit may use, and what was left out.

    Raises:
        Refused: heater_on, too_few_rows, not_falling, room_above_reading.
    """
    found = readings.thinned(readings.read("log", FORM.by_name["log"].label, inputs["log"]), MOST_ROWS)
    every = [(found.begins_s + t, y) for t, y in zip(found.time_s, found.temperature_k, strict=True)]
    if not every or not all(y in HOT for _, y in every):
        raise Problems({"log": Problem("Log: its temperatures must be 0 °C to 1900 °C. Check the unit.")})
    heated = next(((t, p) for (t, _), p in zip(every, found.power_w or (), strict=False) if p > IDLE_W), None)
    if heated:
        raise Refused(
            "heater_on", "the heater is still on in this log",
            f"At {wording.duration(heated[0])} the log has {wording.with_unit(wording.number(heated[1], 3), 'W')}.",
            "Take the rows after the heater went off, with the time counted from then.", field="log",
        )  # fmt: skip
    kept = [(t, y) for t, y in every if t >= SETTLING_S * (1 - 1e-9)]
    notes = []
    if found.left_out:
        notes.append(f"{wording.count(found.left_out, 'row')} of the log left out: no reading, or time does not go on.")
    if left := len(every) - len(kept):
        notes.append(f"{wording.count(left, 'row')} before 5 min left out: the chamber still evens out.")
    if len(kept) < LEAST_ROWS:
        raise Refused(
            "too_few_rows", "too few rows to see two time constants",
            f"{wording.count(len(kept), 'row')} from 5 min on; {LEAST_ROWS} are needed.",
            "Log more often, or wait longer.", field="log",
        )  # fmt: skip
    lowest, room = kept[0][1], inputs["room_temperature"]
    for t, y in kept:
        if y > lowest + RISE_K:
            raise _not_falling(f"At {wording.duration(t)} it rises to {_celsius(y)}.")
        lowest = min(lowest, y)
    if kept[-1][1] > kept[0][1] - RISE_K:
        raise _not_falling(f"From {_celsius(kept[0][1])} it goes to {_celsius(kept[-1][1])} only.")
    if lowest <= room:
        raise Refused(
            "room_above_reading", "the room is warmer than the log",
            f"The log goes down to {_celsius(lowest)}, the room is given as {_celsius(room)}.",
            "Check the room temperature and the sensor.", field="room_temperature",
        )  # fmt: skip
    return kept, notes


def _not_falling(why: str) -> Refused:
    return Refused(
        "not_falling",
        "this log does not cool",
        why,
        "Take a stretch in which the heater is off and nothing is changed.",
        field="log",
    )


def _verdict(inputs, found: Fit, limits, moments) -> tuple[str, str]:
    air = inputs["air_limit"]
    if air is not None and limits[OPENING] > air * (1 + 1e-9):
        return "outside", (
            f"the furnace's {_celsius(limits[OPENING])} are hotter than the {_celsius(air)} at which the load may meet "
            "air: "
            "the load decides"
        )
    for name, m in moments.items():
        if m.measured:
            continue
        fall = (found.last_k - found.room_k) / (limits[name] - found.room_k)
        if m.time_s - found.last_s > FAR_LOGS * found.length_s or fall > FAR_FALL:
            return "close", "the log is carried far beyond its end: log on, and work it out again"
    return "within", ""


def _log_sentence(whole: Moment, last: str, limit: float, said: str) -> str:
    if whole.measured:
        reached = wording.duration(whole.time_s, "up")
        text = f"At {reached} the log itself reaches {_celsius(limit)}, the last of the limits ({last})"
    else:
        early, late = wording.duration(whole.early_s, "up"), wording.duration(whole.late_s, "up")
        text = (
            f"Between {early} and {late} on the log's clock it reaches {_celsius(limit)}, the last of the limits "
            f"({last}); "
            "open by measured temperature, not by time"
        )
    return f"{text}; {said}." if said else f"{text}."


OPENING_CAUTIONS = (
    Caution("WARNING", "Opening hot",
            "Air that rushes in can light what was left in the chamber, and work that is cold outside can be hot "
            "inside. Argon and "
            "nitrogen roll out of the door and take the oxygen from whoever bends down.",
            "Open by the measured temperature of chamber and load, with no pressure difference, and with the oxygen "
            "measured at the door."),
    Caution("WARNING", "A cooling chamber draws in air",
            "Shut and cooling, the chamber falls below the pressure of the room; air comes in by every leak, and a "
            "door can jump.",
            "Keep make-up gas flowing until it is cold, and let the pressure even out before anybody loosens the "
            "door."),
)  # fmt: skip


def _curve_rows(found: Fit, log_points, lowest: float) -> list[dict]:
    """Return the temperatures from the first row of the log down to the lowest limit, with both ends of the time."""
    top, steps = log_points[0][1], 12
    ratio = (lowest - found.room_k) / (top - found.room_k)
    if ratio >= 1:
        return [{"temperature": top, "early": log_points[0][0], "late": log_points[0][0]}]
    rows = []
    for i in range(steps + 1):
        limit = found.room_k + (top - found.room_k) * ratio ** (i / steps)
        m = moment(found, log_points, limit)
        rows.append({"temperature": limit, "early": m.early_s, "late": m.late_s})
    return rows


def _between(time) -> str:
    """Say a range of time; `time` has the ends low and high, s."""
    return f"Between {wording.duration(time.low, 'up')} and {wording.duration(time.high, 'up')}"


def _log_picture(found: Fit, log_points, limits, moments, last) -> Plot:
    zero = constant("general.zero_celsius")
    rows = _curve_rows(found, log_points, min(limits.values()))
    step = max(1, len(log_points) // 12)
    marks = [Mark("" if i else "log", t / 3600, y - zero) for i, (t, y) in enumerate(log_points[::step])]
    whole = moments[last]
    if whole.measured:
        sentence = f"The log reaches {_celsius(limits[last])} after {wording.duration(whole.time_s, 'up')}"
    else:
        sentence = f"{_between(Estimate(0.0, whole.early_s, whole.late_s))}: measure, do not wait by the clock"
    return _band_picture(
        rows, "h", sentence,
        f"Temperature against time: {len(log_points)} readings down to {_celsius(found.last_k)}, then a band from the "
        f"bare fit to the latest time, down to {_celsius(min(limits.values()))}.",
        limits, marks,
    )  # fmt: skip


def _band_picture(rows, unit: str, sentence: str, description: str, limits: dict, marks=()) -> Plot:
    """Return temperature against time as a band between its two ends, with the limits as lines."""
    zero, divisor = constant("general.zero_celsius"), {"h": 3600.0, "min": 60.0}[unit]
    early, late = ([(row[end] / divisor, row["temperature"] - zero) for row in rows] for end in ("early", "late"))
    lines = {limit: name for name, limit in reversed(limits.items())}
    table_rows = [
        (wording.number(y, 3), wording.number(t, 3, "up"), wording.number(late_t, 3, "up"))
        for (t, y), (late_t, _) in zip(early, late, strict=True)
    ]
    drawn = len(rows) > 1
    return Plot(
        sentence=sentence,
        description=description,
        x=Axis("Time", unit, low=0.0),
        y=Axis("Temperature", "°C", low=0.0),
        curves=(Curve("earliest", early), Curve("latest", late)) if drawn else (),
        bands=(Band("between", early, late),) if drawn else (),
        limits=tuple(Limit(name, limit - zero) for limit, name in lines.items()),
        marks=tuple(marks),
        table=Table(
            "Temperature against time", ("Temperature, °C", f"Earliest, {unit}", f"Latest, {unit}"), table_rows
        ),
    )


def _log_working(inputs, found: Fit, limit: float, whole: Moment) -> tuple[Work, ...]:
    (a1, a2), (t1, t2) = found.amplitudes_k, found.constants_s
    steps = [
        Work("Two exponentials above the room", "T = T_room + A₁ exp(−t/τ₁) + A₂ exp(−t/τ₂)",
             f"last row {_celsius(found.last_k)}, T_room = {_celsius(found.room_k)}",
             f"A₁ = {a1:.4g} K, τ₁ = {t1 / 60:.4g} min, A₂ = {a2:.4g} K, τ₂ = {t2 / 60:.4g} min, rms "
             f"{found.error_k:.3g} K",
             source="cooling-lining-model"),
    ]  # fmt: skip
    if not whole.measured:
        fall = (found.last_k - found.room_k) / (limit - found.room_k)
        steps.append(Work(
            "Beyond the last row",
            "t = t_last + Δt (1 + c ln((T_last − T_room)/(T − T_room))), late: t_last + f (t − t_last)",
            f"t_last = {found.last_s / 60:.4g} min at {_celsius(found.last_k)}, Δt = "
            f"{(whole.early_s - found.last_s) / 60:.4g} min, ratio {fall:.4g}",
            f"bare fit {whole.early_s / 3600:.4g} h, with the margin {whole.time_s / 3600:.4g} h, not before "
            f"{whole.late_s / 3600:.4g} h",
            ("cooling.stretch", "cooling.late_factor"), "cooling-lining-model",
        ))  # fmt: skip
    return tuple(steps)


def _log_notes(found: Fit, moments) -> list[str]:
    notes = []
    if not found.amplitudes_k[0] or not found.amplitudes_k[1]:
        notes.append(
            "One exponential fits this log as well as two; what the insulation still holds shows itself later only."
        )
    if found.constants_s[1] > 4 * found.length_s and found.amplitudes_k[1]:
        notes.append(
            "The slow time constant is more than four times the log: it is a guess. Log on, and work it out again."
        )
    if found.error_k > RISE_K:
        notes.append("The fit misses the log by more than 5 K: something changed during the cooling.")
    if all(m.measured for m in moments.values()):
        notes.append("Every limit lies inside the log: nothing had to be carried on.")
    return notes


# ---- from the furnace's figures


def _from_furnace(inputs) -> Answer:
    limits = _limits(inputs)
    room, start = inputs["room_temperature"], inputs["start_temperature"]
    for name, limit in limits.items():
        _refuse_room(limit, room, FIELD_OF[name])
    if start <= room + NEAR_ROOM_K:
        raise Problems({"start_temperature": Problem("Temperature at the start: it is not above the room.")})
    run = natural_cooling(_model(inputs), start, min(limits.values()))
    hottest = [(t, max(chamber, load)) for t, chamber, load in run]
    curves = {OPENING: [(t, y) for t, y, _ in run], MEETS_AIR: hottest, TOUCHED: hottest}
    likely = {name: time_at(curves[name], limit, room) for name, limit in limits.items()}
    if max(likely.values()) == inf:
        raise Refused(
            "never_reached", "that limit is not reached in any useful time",
            f"After {wording.duration(run[-1][0])} the hottest place is still at {_celsius(hottest[-1][1])}.",
            "Check the figures of the furnace, or raise the limit.", field="opening_temperature",
        )  # fmt: skip
    spread = constant("cooling.model_spread")
    moments = {name: Moment(t / (1 + spread), t, t * (1 + spread)) for name, t in likely.items()}
    last = max(moments, key=lambda name: moments[name].late_s)
    return _furnace_answer(inputs, run, limits, moments, last, _model_rows(curves[OPENING], limits, room, spread))


def _furnace_answer(inputs, run, limits, moments, last, curve) -> Answer:
    whole = moments[last]
    time = Estimate(whole.time_s, whole.early_s, whole.late_s, cause="furnace figures without a log")
    figures = FIGURES.fill(time=time, governing_limit=last, limit_times=_limit_rows(limits, moments), curve=curve)
    figures["time"] = replace(figures["time"], shown=replace(figures["time"].shown, label="Time to opening"))
    outside = limits[OPENING] > limits.get(MEETS_AIR, inf) * (1 + 1e-9)
    said = "; the furnace may be opened before the load may meet air: the load decides" if outside else ""
    return Answer(
        sentence=f"{_between(time)} after the heater is off it reaches {_celsius(limits[last])}, the last of the "
        f"limits ({last}); open by measured temperature, not by time{said}.",
        verdict="outside" if outside else "close",
        judged=True,
        figures=figures,
        leaves_out=(
            "convection between chamber and load, draughts, and the gas that flows",
            "a load that is still hot inside when its surface is cold",
            "everything but temperature: pressure and the oxygen at the door decide as well",
        ),
        cautions=(*OPENING_CAUTIONS, *((HYDROGEN,) if inputs["gas"] == "hydrogen" else ())),
        pictures=(_band_picture(
            curve, "h", f"{_between(time)}: measure, do not wait by the clock",
            f"Chamber temperature against time after the heater is off, from {inputs.said('start_temperature')}, as a "
            "band.",
            limits,
        ),),
        working=_furnace_working(inputs, limits[last], whole, run),
        notes=(
            "No log stands behind this, so the range is wide. Log one cool-down of this furnace and use it instead.",
            "For a furnace that stood at temperature until nothing changed; after a short run it cools sooner.",
        ),
    )  # fmt: skip


HYDROGEN = Caution(
    "DANGER", "Hydrogen behind the door",
    "Air that meets hydrogen in a warm chamber explodes.",
    "Open nothing before inert gas has replaced the hydrogen and a gas detector has shown it, by the maker's "
    "procedure.",
)  # fmt: skip

FIELD_OF = {OPENING: "opening_temperature", MEETS_AIR: "air_limit", TOUCHED: "touch_limit"}


def _model(inputs) -> Model:
    """Return furnace, lining and load; the heater is off."""
    if inputs["outer_area"] <= inputs["inner_area"]:
        said = f"Shell area: it must be larger than the hot face, {inputs.said('inner_area')}."
        raise Problems({"outer_area": Problem(said)})
    heat, start = fibre_specific_heat(), inputs["start_temperature"]
    if inputs["insulation_specific_heat"] is not None:
        heat = solids.typed_curve("insulation", "specific heat", [(start, inputs["insulation_specific_heat"])])
    body = Lining(
        inputs["inner_area"], inputs["outer_area"], inputs["insulation_thickness"], inputs["insulation_density"],
        heat, _conductivity(inputs),
    )  # fmt: skip
    chamber = Chamber(
        body, inputs["chamber_heat_capacity"], inputs["inner_coefficient"], inputs["outer_coefficient"],
        inputs["parallel_loss"], 0.0, inputs["room_temperature"], 0.0,
    )  # fmt: skip
    capacity = inputs["load_mass"] * inputs["load_specific_heat"]
    return Model(chamber, Load(capacity, inputs["load_area"], inputs["load_emissivity"], 0.0))


def _conductivity(inputs) -> solids.Curve:
    if typed := inputs["insulation_conductivity"]:
        pairs = [(row["temperature"], row["conductivity"]) for row in typed]
        return solids.typed_curve("insulation", "conductivity", pairs)
    end = constant("lining.fibre_end")
    if inputs["start_temperature"] > end:
        said = f"Insulation conductivity is empty, and the fibre model ends at {_celsius(end)}. Type it."
        raise Problems({"insulation_conductivity": Problem(said)})
    vacuum = inputs["gas"] == heat_in_gas.VACUUM and "chamber_pressure" in inputs.defaulted
    pressure = 0.0 if vacuum else inputs["chamber_pressure"]
    return fibre_curve(inputs["gas"], pressure, inputs["insulation_density"])


def _model_rows(curve, limits: dict, room: float, spread: float) -> list[dict]:
    top, rows = curve[0][1], []
    ratio = min((min(limits.values()) - room) / (top - room), 1.0)
    for i in range(13):
        limit = room + (top - room) * ratio ** (i / 12)
        t = time_at(curve, limit * (1 + 1e-12), room)
        rows.append({"temperature": limit, "early": t / (1 + spread), "late": t * (1 + spread)})
    return rows


def _furnace_working(inputs, limit, whole, run) -> tuple[Work, ...]:
    zero, spread = constant("general.zero_celsius"), constant("cooling.model_spread")
    shown = "; ".join(f"{t / 3600:.3g} h {y - zero:.4g} °C" for t, y, _ in run[:: max(1, len(run) // 8)])
    return (
        Work("Chamber, lining and load with the heater off",
             "C dT/dt = −(heat into the lining, beside it and to the load), in steps",
             f"{len(run) - 1} steps from a soaked furnace at {inputs.said('start_temperature')}", shown,
             ("heat_in_gas.stefan_boltzmann",), "cooling-lining-model"),
        Work("Range", "t / (1 + s) to t (1 + s)", f"s = {spread:g}, {_celsius(limit)} at {whole.time_s / 3600:.4g} h",
             f"{whole.early_s / 3600:.4g} h to {whole.late_s / 3600:.4g} h", ("cooling.model_spread",),
             "heat-common-practice"),
    )  # fmt: skip


# ---- one part in air


def _in_air(inputs) -> Answer:
    start, end, room = inputs["start_temperature"], inputs["target_temperature"], inputs["room_temperature"]
    _refuse_room(end, room, "target_temperature")
    if start <= end:
        raise Problems(
            {"start_temperature": Problem("Temperature at the start: it is not above the temperature wanted.")}
        )
    capacity = inputs["load_mass"] * inputs["load_specific_heat"]
    h, emissivity = inputs["convection_coefficient"], inputs["load_emissivity"]
    spread, either = constant("cooling.convection_spread"), constant("cooling.emissivity_spread")
    ends = ((h, emissivity), (h * spread, min(1.0, emissivity + either)), (h / spread, max(0.0, emissivity - either)))

    def seconds(down_to, k=0):
        return time_in_air(start, down_to, room, capacity, inputs["load_area"], *ends[k])

    time = Estimate(*(seconds(end, k) for k in range(3)), cause="emissivity and draught")
    ratio = (end - room) / (start - room)
    rows = []
    for i in range(13):
        down_to = room + (start - room) * ratio ** (i / 12)
        rows.append({"temperature": down_to, "early": seconds(down_to, 1), "late": seconds(down_to, 2)})
    figures = FIGURES.fill(time=time, curve=rows)
    shown = replace(figures["time"].shown, label="Time to that temperature", units="min, h")
    figures["time"] = replace(figures["time"], shown=shown)
    loss = inputs["load_area"] * (h * (start - room) + emissivity * _sigma() * (start**4 - room**4))
    ends_said = f"{time.low / 60:.4g} min; the other way: {time.high / 60:.4g} min"
    return Answer(
        sentence=f"From {inputs.said('start_temperature')} to {inputs.said('target_temperature')} the part needs about "
        f"{wording.duration(time.value, 'up')} in the room, and {wording.duration(time.low, 'up')} to "
        f"{wording.duration(time.high, 'up')} "
        "with what is not known of surface and draught; touch by measured temperature, not by time.",
        figures=figures,
        leaves_out=(
            "the middle of a thick part, which stays hotter than its skin",
            "parts that see each other instead of the room, and the hot furnace beside them",
            "what the air does to the hot surface",
        ),
        cautions=(
            Caution("WARNING", "Hot work looks like cold work",
                    "Below about 500 °C metal does not glow; a grip at it burns at once.",
                    "Set it on a fireproof place with a sign, keep people away, and measure before anybody touches "
                    "it."),
            Caution("CAUTION", "Hot brittle parts in cold air",
                    "Ceramic and glass can crack and throw splinters when they come out hot.",
                    "Let brittle work cool in the chamber, and wear face protection."),
        ),
        pictures=(_band_picture(
            rows, "min", f"{_between(time)}: measure, do not wait by the clock",
            f"Temperature of the part against time, from {inputs.said('start_temperature')} to "
            f"{inputs.said('target_temperature')}, as a band.",
            {"wanted": end},
        ),),
        working=(
            Work("Heat given off by the surface", "q = A [h (T − T_room) + ε σ (T⁴ − T_room⁴)]",
                 f"A = {inputs['load_area']:.4g} m², h = {h:.4g} W/m²/K, ε = {emissivity:.3g}, C = {capacity:.5g} J/K",
                 f"at the start {loss:.4g} W",
                 ("heat_in_gas.stefan_boltzmann",)),
            Work("Time", "t = C ∫ dT / q", "Simpson's rule, 200 steps",
                 f"{time.value / 60:.4g} min; with h × {spread:g} and ε + {either:g}: {ends_said}",
                 ("cooling.convection_spread", "cooling.emissivity_spread"), "heat-common-practice"),
        ),
    )  # fmt: skip
