"""Cooling: when a furnace may be opened, from its own cool-down, from its figures, or for one part in air."""

from dataclasses import dataclass, replace
from math import exp, inf, log, sqrt

from calcs import wording
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
from calcs.heat.log_rows import log_field, points
from calcs.picture import Axis, Band, Curve, Limit, Mark, Plot, Table

PAGE = "HT-05"

FROM_LOG, IN_AIR = "from a log", "part in air"
LOG, AIR = (FROM_LOG,), (IN_AIR,)
OPENING, MEETS_AIR, TOUCHED = "the furnace may be opened", "the load may meet air", "the load may be touched"

LEAST_ROWS = 15  # with fewer rows two time constants cannot be told apart; ours
SETTLING_S = 5 * 60.0  # so long after the heater is off the chamber still evens out; common practice, no source
MOST_POINTS = 40  # rows that the fit works with; a longer log is thinned evenly
RISE_K = 5.0  # a rise by more than this is not the noise of a sensor; common practice, no source
IDLE_W = 1.0  # less than this is not heating; ours
NEAR_ROOM_K = 2.0  # closer to the room than this no chamber comes in a useful time; ours
FAR_LOGS, FAR_FALL = 1.5, 3.0  # extrapolated by more log lengths, or by a larger fall: close at best; ours

HOT = Range("0 °C", "1900 °C", because="No furnace of this kind goes there.")
ROOM = Range("5 °C", "45 °C", because="Nobody works in a room outside this.")
SOME = Range("0", above=True)

EXAMPLE_LOG = tuple(
    {"time": f"{minutes} min", "temperature": f"{celsius} °C"}
    for minutes, celsius in (
        (5, 588), (10, 549), (15, 518), (20, 493), (30, 452), (40, 421), (50, 394), (60, 371), (75, 340), (90, 312),
        (105, 287), (120, 264), (140, 237), (160, 212), (180, 191), (200, 172), (220, 154), (240, 139),
    )
)  # fmt: skip

FORM = Form(
    question="When may it be opened?",
    modes=(FROM_LOG, IN_AIR),
    mode_label="What do you have?",
    ask=("log", "opening_temperature", "air_limit", "start_temperature", "target_temperature", "load_mass",
         "load_specific_heat", "load_area", "load_emissivity", "convection_coefficient", "room_temperature"),
    fields=(
        log_field(EXAMPLE_LOG, "5 min 588 °C", power=True, modes=LOG),
        Field("start_temperature", "Temperature at the start", "temperature", "600 °C", modes=AIR, accepted=HOT,
              hint="What the part has when it comes out."),
        Field("target_temperature", "Temperature wanted", "temperature", "60 °C", modes=AIR, accepted=HOT),
        Field("load_mass", "Load mass, total", "mass", "2.0 kg", modes=AIR, hint="Parts and setter together.",
              accepted=Range("0 kg", "500 kg", above=True)),
        Field("load_specific_heat", "Specific heat of the load", "specific heat", "420 J/kg/K", modes=AIR,
              hint="Mean over the fall: copper 420, steel 600, alumina 1000.",
              accepted=Range("50 J/kg/K", "6000 J/kg/K", because="No solid has less or more.")),
        Field("load_area", "Load surface", "area", "0.45 m2", modes=AIR, accepted=Range("0 m2", above=True),
              hint="Only what sees the room."),
        Field("load_emissivity", "Emissivity of the load", "number", "0.1", modes=AIR,
              accepted=Range("0.01", "1", because="No surface has less or more."),
              hint="Bright metal 0.1, oxidised metal or ceramic 0.8."),
        Field("convection_coefficient", "Convection at the load's surface", "heat-transfer coefficient",
              "7 W/m2/K", modes=AIR, hint="Still air 5 to 10, a fan 20 to 50.",
              accepted=Range("0 W/m2/K", "2000 W/m2/K", above=True, because="No air cools faster.")),
        Field("room_temperature", "Room temperature", "temperature", "20 °C", accepted=ROOM,
              hint="5 K wrong moves the end by 5 %."),
        Field("opening_temperature", "Opening temperature of the furnace", "temperature", "60 °C", modes=LOG,
              optional=True, accepted=HOT, hint="From the furnace's manual."),
        Field("air_limit", "Temperature at which the load may meet air", "temperature", "60 °C", modes=LOG,
              optional=True, accepted=HOT, hint="Bright copper 60 °C, bright steel 150 °C."),
        Field("touch_limit", "Temperature that may be touched", "temperature", "55 °C", modes=LOG, default="55 °C",
              accepted=HOT, hint="55 °C for bare metal touched briefly."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("time", "Time to opening, on the log's clock, with the margin for extrapolation", "time", "h, min",
          "up, range"),
    Shown("time_fit", "The same, bare fit (early)", "time", "h, min", "up", 3, LOG),
    Shown("governing_limit", "Which limit comes last", "choice", modes=LOG),
    Shown("fast_time_constant", "Fast time constant", "time", "min", "near", 3, LOG),
    Shown("slow_time_constant", "Slow time constant", "time", "h, min", "up", 3, LOG),
    Shown("fit_error", "Error of the fit, rms", "temperature difference", "K", "up", 2, LOG),
    Shown("limit_times", "Time to each limit", "table", modes=LOG, columns=(
        Column("limit", "From when"),
        Column("temperature", "Temperature", "temperature", "°C", 3),
        Column("early", "Bare fit", "time", "h", 3, "up"),
        Column("time", "With the margin", "time", "h", 3, "up"),
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


def moment(found: Fit, log_points: list[tuple[float, float]], limit_k: float) -> Moment:
    """Return when a cool-down reaches a temperature.

    Inside the log the rows themselves answer. Beyond it the fit runs on from the last row, and is early, since an
    insulation conducts less and less as it cools: the part beyond the log is stretched by
    1 + c ln((T_last - room)/(limit - room)), and the late end by a further factor.

    Args:
        found: the fit.
        log_points: the log, (time s, temperature K).
        limit_k: the limit, K, above the room by 2 K or more.

    Raises:
        Refused: never_reached.

    Source:
        stretch and factor: fitted to a lining model of this project in six gases and two linings, 314 cases
        (thermal reference of this project); no case early with the factor.
    """
    if limit_k < found.room_k + NEAR_ROOM_K:
        raise Refused(
            "never_reached", "that limit is never reached",
            f"{_celsius(limit_k)} is not {wording.plain_number(NEAR_ROOM_K)} K above the room.",
            "Raise the limit, or check the room temperature.", field="opening_temperature",
        )  # fmt: skip
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


# ---------------------------------------------------------------- physics: one part in air


def time_in_air(
    start_k: float, end_k: float, room_k: float, heat_capacity_j_per_k: float, area_m2: float,
    coefficient_w_per_m2_k: float, emissivity: float, steps: int = 200,
) -> float:  # fmt: skip
    """Return the time in which a part of one temperature cools in the room, s.

    t = C / A times the integral of dT / (h (T - Tr) + eps sigma (T^4 - Tr^4)), with temperature as the variable
    (its logarithm above the room), by Simpson's rule.

    Args:
        start_k, end_k: temperatures, K, both above the room.
        room_k: room temperature, K.
        heat_capacity_j_per_k: heat capacity of the part, J/K.
        area_m2: surface that sees the room, m².
        coefficient_w_per_m2_k: convection, W/m²/K.
        emissivity: 0 to 1.
        steps: even number of steps.

    Source:
        balance of heat of a lumped body; Stefan-Boltzmann constant general or cooling file.
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
    return constant("cooling.stefan_boltzmann")


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return when the furnace may be opened, or when a part in air is cold.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    return _from_log(inputs) if inputs.mode == FROM_LOG else _in_air(inputs)


def _celsius(kelvin: float) -> str:
    return wording.with_unit(wording.plain_number(round(kelvin - constant("general.zero_celsius"), 1)), "°C")


def _from_log(inputs) -> Answer:
    limits = _limits(inputs)
    log_points, notes = _usable(inputs)
    found = fit(log_points, inputs["room_temperature"])
    moments = {name: moment(found, log_points, limit) for name, limit in limits.items()}
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
        limit_times=[
            {"limit": name, "temperature": limits[name], "early": m.early_s, "time": m.time_s, "late": m.late_s}
            for name, m in sorted(moments.items(), key=lambda item: item[1].late_s)
        ],
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
    rows = inputs["log"]
    every = points(rows)
    heated = next((row for row in rows if row["power"] is not None and row["power"] > IDLE_W), None)
    if heated:
        raise Refused(
            "heater_on", "the heater is still on in this log",
            f"At {wording.duration(heated['time'])} the log has {wording.number(heated['power'], 3)} W.",
            "Take the rows after the heater went off, with the time counted from then.", field="log",
        )  # fmt: skip
    kept = [(t, y) for t, y in every if t >= SETTLING_S * (1 - 1e-9)]
    notes = []
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
             f"{len(inputs['log'])} rows, T_room = {_celsius(found.room_k)}",
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


# ---- one part in air


def _in_air(inputs) -> Answer:
    start, end, room = inputs["start_temperature"], inputs["target_temperature"], inputs["room_temperature"]
    if end < room + NEAR_ROOM_K:
        raise Refused(
            "never_reached", "that temperature is never reached",
            f"{inputs.said('target_temperature')} is not {wording.plain_number(NEAR_ROOM_K)} K above the room.",
            "Raise it, or check the room temperature.", field="target_temperature",
        )  # fmt: skip
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
                 ("cooling.stefan_boltzmann",)),
            Work("Time", "t = C ∫ dT / q", "Simpson's rule, 200 steps",
                 f"{time.value / 60:.4g} min; with h × {spread:g} and ε + {either:g}: {ends_said}",
                 ("cooling.convection_spread", "cooling.emissivity_spread"), "heat-common-practice"),
        ),
    )  # fmt: skip
