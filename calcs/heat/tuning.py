"""Tuning the control loop: from a step test, or from gain, time constant and dead time, to settings and their calm."""

from cmath import exp as cexp
from cmath import phase
from dataclasses import dataclass, replace
from math import exp, inf, log, pi, sqrt

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
)
from calcs.data import constant, rows
from calcs.form import Field, Form, Problem, Problems
from calcs.heat.log_rows import HINT, MOST_ROWS, NEXT, points
from calcs.picture import Axis, Curve, Lane, Limit, Strip, Table

PAGE = "HT-08"

KNOWN, STEP_TEST = "from known figures", "from a step test"
FIGURES_KNOWN, TEST = (KNOWN,), (STEP_TEST,)
SIMC_PI, SIMC_PID, IMC_PI = "SIMC PI", "SIMC PID", "IMC PI"
RULES = (SIMC_PI, SIMC_PID, "Ziegler-Nichols PI", "Ziegler-Nichols PID", "Cohen-Coon PI", "Cohen-Coon PID", IMC_PI)
IDEAL, PARALLEL, SERIES = "ideal", "parallel", "series"

LEAST_ROWS = 20  # fewer rows do not show a bend and a dead time; ours
MOST_POINTS = 60  # rows that the fit works with
SHOWN_STEP_K, SHOWN_OUTPUT = 50.0, 0.3  # the picture: a set-point 50 K higher, from 30 % output; ours
STEADY_SHARE = 0.1  # drift before the step, over the length of the record, as a share of the response; ours

LAG = Range("0 s", "1000 h", above=True, because="Slower than any furnace.")
PERCENT = Range("1 %", "50 %", because="Smaller steps drown in noise, larger ones change the furnace.")

SIGNED_TIME = r"(?P<time>[-+−]?(?:\d{1,4}:\d{2}|[\d.,]{1,12} *[a-zA-Z]{1,8}))"
ROW = rf"{SIGNED_TIME}{NEXT}(?:(?P<rise>[-+−]?[\d.]{{1,10}} *K)|(?P<temperature>[-+−]?[\d.]{{1,10}} *(?:°|deg)? *[CF]))"
EXAMPLE_LOG = tuple(
    {"time": f"{60 * n} s", "rise": f"{rise:.1f} K"}
    for n, rise in enumerate((
        0.0, 0.2, 4.6, 9.1, 13.5, 17.7, 22.1, 26.1, 30.4, 34.2, 38.3, 42.2, 46.0, 49.9, 53.5, 57.3, 60.9, 64.4, 68.1,
        71.5, 74.9, 78.3, 81.5, 84.9, 88.0,
    ))
)  # fmt: skip

FORM = Form(
    question="What controller settings?",
    modes=(KNOWN, STEP_TEST),
    mode_label="What do you have?",
    ask=("process_gain", "process_lag", "dead_time", "output_step", "log", "start_temperature", "rule"),
    fields=(
        Field("process_gain", "Process gain", "process gain", "30 K/%", modes=FIGURES_KNOWN,
              accepted=Range("0 K/%", "10000 K/%", above=True, because="No furnace answers more to one per cent."),
              hint="Final rise for one per cent of output."),
        Field("process_lag", "Process time constant", "time", "110 min", modes=FIGURES_KNOWN, accepted=LAG,
              hint="To 63 % of the final rise, after the dead time."),
        Field("dead_time", "Dead time", "time", "60 s", modes=FIGURES_KNOWN, accepted=Range("0 s", "100 h"),
              hint="Until the reading begins to move."),
        Field("output_step", "Step of the output", "number", "10 %", modes=TEST, accepted=PERCENT,
              hint="From 40 to 50 % is 10 %."),
        Field("log", "Log (rows: time from the step, rise or temperature)", "table", EXAMPLE_LOG, modes=TEST,
              optional=True,
              rows_allowed=(1, MOST_ROWS), row=ROW, hint=HINT.format("60 s 0.2 K"), columns=(
                  Field("time", "Time from the step", "time", "60 s", accepted=Range("-100 h", "1000 h")),
                  Field("rise", "Rise", "temperature difference", "0.2 K", optional=True),
                  Field("temperature", "Temperature", "temperature", "400.2 °C", optional=True,
                        accepted=Range("0 °C", "1900 °C")),
              )),
        Field("start_temperature", "Temperature at the start", "temperature", "400 °C", modes=TEST, optional=True,
              accepted=Range("0 °C", "1900 °C"), hint="Where the test began; needed with rises."),
        Field("rule", "Rule", "choice", SIMC_PI, default=SIMC_PI, choices=RULES, hint="SIMC is the calmest of them."),
        Field("second_lag", "Second time constant", "time", "90 s", optional=True, accepted=LAG,
              hint="Of a thick sheath; for SIMC PID."),
        Field("closed_loop_time", "Closed-loop time wanted", "time", "3 min", optional=True, accepted=LAG,
              hint="Empty means three times the dead time."),
        Field("controller_span", "Span of the controller", "temperature difference", "1200 K", optional=True,
              accepted=Range("0 K", "5000 K", above=True), hint="For a proportional band in per cent."),
        Field("controller_form", "Form of the controller", "choice", IDEAL, default=IDEAL,
              choices=(IDEAL, PARALLEL, SERIES), hint="From the controller's manual."),
        Field("maximum_temperature", "Highest chamber temperature in this gas", "temperature", "1050 °C", modes=TEST,
              optional=True, accepted=Range("0 °C", "3500 °C", above=True), hint="From the furnace's manual."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("controller_gain", "Controller gain", "controller gain", "%/K", "down"),
    Shown("integral_time", "Integral time", "time", "s", "up"),
    Shown("derivative_time", "Derivative time", "time", "s", "near"),
    Shown("proportional_band", "Proportional band", "temperature difference", "K", "up"),
    Shown("peak_sensitivity", "Peak sensitivity", "number", "1", "up"),
    Shown("process_gain", "Process gain", "process gain", "K/%", "near, range", 3, TEST),
    Shown("process_lag", "Process time constant", "time", "s", "near, range", 3, TEST),
    Shown("dead_time", "Dead time", "time", "s", "up, range", 3, TEST),
    Shown("all_rules", "Every rule", "table", columns=(
        Column("rule", "Rule"),
        Column("controller_gain", "Controller gain", "controller gain", "%/K", 3, "down"),
        Column("integral_time", "Integral time", "time", "s", 3, "up"),
        Column("derivative_time", "Derivative time", "time", "s", 3),
        Column("peak_sensitivity", "Peak sensitivity", "number", "1", 3, "up"),
        Column("word", "Verdict"),
    )),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="SIMC PI, closed-loop time three times the dead time, process gain 30 K/%: controller gain",
        down=("dead_time", ("15 s", "30 s", "60 s", "120 s", "300 s")),
        across=("process_lag", ("30 min", "60 min", "110 min", "200 min")),
        figures=("controller_gain",),
        given={"closed_loop_time": ""},
    ),
    ReadOff(
        caption="SIMC PI, as above: integral time",
        down=("dead_time", ("15 s", "30 s", "60 s", "120 s", "300 s")),
        across=("process_lag", ("30 min", "60 min", "110 min", "200 min")),
        figures=("integral_time",),
        given={"closed_loop_time": ""},
    ),
)


# ---------------------------------------------------------------- physics: rules


@dataclass(frozen=True)
class Process:
    """A furnace seen by its controller: T(s)/u(s) = k exp(-theta s) / ((tau s + 1)(tau2 s + 1)).

    Args of the fields:
        gain_k: k, K for full output.
        lag_s: tau, s.
        dead_s: theta, s.
        second_s: tau2, s, 0 for none.
    """

    gain_k: float
    lag_s: float
    dead_s: float
    second_s: float = 0.0


@dataclass(frozen=True)
class Settings:
    """Settings of a controller in the ideal form: gain (1/K of full output), integral and derivative time, s."""

    gain_per_k: float
    integral_s: float
    derivative_s: float = 0.0


def settings(rule: str, process: Process, closed_loop_s: float) -> Settings:
    """Return the settings that a rule gives, in the ideal form.

    Args:
        rule: one of RULES; SIMC PID needs a second time constant.
        process: gain, time constant, dead time.
        closed_loop_s: closed-loop time wanted, s (SIMC and IMC only).

    Source:
        Skogestad 2003 (SIMC), Rivera and others 1986 (IMC), Ziegler and Nichols 1942, Cohen and Coon 1953;
        coefficients of the last two in data/heat/tuning_rules.csv.
    """
    k, tau, theta = process.gain_k, process.lag_s, process.dead_s
    if rule == IMC_PI:
        return Settings(tau / (k * (closed_loop_s + theta)), tau)
    if rule in (SIMC_PI, SIMC_PID):
        gain = tau / (k * (closed_loop_s + theta))
        integral = min(tau, constant("tuning.simc_factor") * (closed_loop_s + theta))
        return from_series(gain, integral, process.second_s) if rule == SIMC_PID else Settings(gain, integral)
    row = next(row for row in rows("heat/tuning_rules.csv") if row["rule"] == rule)
    n, q = {key: float(value) for key, value in row.items() if key not in ("rule", "source")}, theta / tau
    return Settings(
        (n["gain_0"] + n["gain_1"] * q) * tau / (k * theta),
        theta * (n["ti_0"] + n["ti_1"] * q) / (n["ti_2"] + n["ti_3"] * q),
        theta * n["td_0"] / (n["td_1"] + n["td_2"] * q),
    )


def from_series(gain: float, integral_s: float, derivative_s: float) -> Settings:
    """Return the ideal form of settings in the series form.

    Args:
        gain: K' of K' (1 + 1/(tau_I' s)) (1 + tau_D' s), 1/K.
        integral_s: tau_I', s.
        derivative_s: tau_D', s.

    Source:
        product multiplied out; Skogestad 2003.
    """
    factor = 1 + derivative_s / integral_s
    return Settings(gain * factor, integral_s * factor, derivative_s / factor)


def to_series(ideal: Settings) -> Settings | None:
    """Return the series form of settings, or None where it has none (integral time below four times the derivative).

    Args:
        ideal: settings in the ideal form.

    Source:
        from_series turned round.
    """
    inner = 1 - 4 * ideal.derivative_s / ideal.integral_s
    if inner < -1e-12:
        return None
    root = (1 + sqrt(max(inner, 0.0))) / 2
    return Settings(ideal.gain_per_k * root, ideal.integral_s * root, ideal.derivative_s / root)


# ---------------------------------------------------------------- physics: calm


def peak_sensitivity(process: Process, chosen: Settings) -> float:
    """Return the largest factor by which the loop enlarges a disturbance, over all frequencies; inf if unstable.

    Ms = max 1/|1 + L(j w)|, with the derivative filtered. Whether the loop is stable follows from how often 1 + L
    winds about zero (Nyquist): one integrator and a stable process leave a quarter turn.

    Args:
        process: the furnace.
        chosen: settings in the ideal form.

    Source:
        textbook definition; Nyquist's criterion.
    """
    slowest = max(process.lag_s, chosen.integral_s, process.second_s)
    low, high = 1e-3 / slowest, 100 / process.dead_s
    steps = 400
    ratio = (high / low) ** (1 / steps)
    w, least, turned, before = low, inf, 0.0, None
    for _ in range(steps + 1):
        value = 1 + _loop(process, chosen, w)
        least = min(least, abs(value))
        if before is not None:
            turned += phase(value / before)
        before, w = value, w * ratio
    if abs(turned - pi / 2) > 1.0:  # the next possible value is a full turn away
        return inf
    return max(1.0, 1 / least)


def _loop(process: Process, chosen: Settings, w: float) -> complex:
    s = 1j * w
    derivative = chosen.derivative_s
    control = (
        1 + 1 / (chosen.integral_s * s) + derivative * s / (1 + constant("tuning.derivative_filter") * derivative * s)
    )
    plant = process.gain_k * cexp(-process.dead_s * s) / ((process.lag_s * s + 1) * (process.second_s * s + 1))
    return chosen.gain_per_k * control * plant


@dataclass(frozen=True)
class Response:
    """A simulated step of the set-point: (s, K above the start, output 0 to 1) and the overshoot, K."""

    steps: tuple[tuple[float, float, float], ...]
    overshoot_k: float


def response(process: Process, chosen: Settings | None, step_k: float, start_output: float, end_s: float) -> Response:
    """Return how temperature and output answer to a higher set-point; without settings the output is set once by hand.

    The output stays between 0 and 1, and the integral waits while it would push further out. The derivative acts on
    the reading.

    Args:
        process: the furnace.
        chosen: settings in the ideal form, or None.
        step_k: how much higher the set-point is, K.
        start_output: output before, 0 to 1.
        end_s: how long to follow, s.

    Source:
        balance of one or two lags with a dead time, in steps of a twelfth of the dead time at most.
    """
    count = 1200
    dt = max(end_s / count, min(process.dead_s / 12, end_s / 400))
    count = int(end_s / dt)
    wait = max(1, round(process.dead_s / dt))
    fixed = min(1.0, start_output + step_k / process.gain_k)
    waiting = [start_output] * wait
    grow1 = 1 - exp(-dt / process.lag_s)
    grow2 = 1 - exp(-dt / process.second_s) if process.second_s > 0 else 1.0
    inner = y = before = slope = 0.0
    integral, found, highest = start_output, [], 0.0
    shown = max(1, count // 160)
    for n in range(count + 1):
        if chosen is None:
            output = fixed
        else:
            error = step_k - y
            smooth = max(0.1 * chosen.derivative_s, dt)
            slope += (dt / smooth) * ((y - before) / dt - slope) if chosen.derivative_s else 0.0
            wanted = integral + chosen.gain_per_k * (error - chosen.derivative_s * slope)
            output = min(1.0, max(0.0, wanted))
            if wanted == output or (wanted > 1) != (error > 0):
                integral += chosen.gain_per_k * error * dt / chosen.integral_s
        if n % shown == 0:
            found.append((n * dt, y, output))
        highest = max(highest, y)
        late = waiting[n % wait]
        waiting[n % wait] = output
        before = y
        inner += grow1 * (process.gain_k * (late - start_output) - inner)
        y += grow2 * (inner - y)
    return Response(tuple(found), max(0.0, highest - step_k))


# ---------------------------------------------------------------- physics: the step test


@dataclass(frozen=True)
class Identified:
    """What a step test says: the process, twice the standard error of its three figures, noise and rms miss, K."""

    process: Process
    errors: tuple[float, float, float]
    miss_k: float


def identify(record: list[tuple[float, float]], output_step: float) -> Identified:
    """Return gain, time constant and dead time that fit a step test best.

    y = 0 up to theta, then k u (1 - exp(-(t - theta)/tau)). First a grid of dead times and time constants, with
    the gain by least squares; then damped steps in all three.

    Args:
        record: (time from the step s, rise K), times of 0 or more.
        output_step: step of the output, 0.01 to 0.5.

    Source:
        least squares; checked against scipy.
    """
    step = max(1, -(-len(record) // MOST_POINTS))
    kept = record[::step]
    end = kept[-1][0]
    best = (inf, 0.0, 0.0, 0.0)
    for i in range(16):
        theta = end * 0.6 * (i / 15) ** 2
        for j in range(16):
            tau = end * 0.02 * 1500 ** (j / 15)
            best = min(best, _amplitude(kept, theta, tau))
    squares, amplitude, theta, tau, errors = _refine(kept, *best)
    gain, n = amplitude / output_step, len(kept)
    return Identified(
        Process(gain, tau, theta),
        (2 * errors[0] / output_step, 2 * errors[1], 2 * errors[2]),
        sqrt(squares / max(1, n - 3)),
    )


def _amplitude(record, theta: float, tau: float) -> tuple[float, float, float, float]:
    """Return (squares, amplitude, theta, tau) of the best amplitude."""
    pp = py = yy = 0.0
    for t, y in record:
        p = 1 - exp(-(t - theta) / tau) if t > theta else 0.0
        pp += p * p
        py += p * y
        yy += y * y
    return (yy - py * py / pp, py / pp, theta, tau) if pp > 0 else (inf, 0.0, theta, tau)


def _refine(record, squares, amplitude, theta, tau) -> tuple:
    """Return (squares, A, theta, tau, standard errors of A, tau, theta) by damped steps in A, ln tau and theta."""
    damping, end = 1e-3, record[-1][0]
    value = [amplitude, log(tau), theta]
    matrix, right, squares = _normal(record, value)
    for _ in range(60):
        step = _three(matrix, right, damping)
        trial = [v + d for v, d in zip(value, step, strict=True)]
        allowed = 0 <= trial[2] <= end and log(end * 1e-3) < trial[1] < log(end * 1e3)
        found = _normal(record, trial) if allowed else (None, None, inf)
        if found[2] <= squares:
            done = squares - found[2] <= 1e-12 * squares
            value, (matrix, right, squares), damping = trial, found, damping / 5
            if done:
                break
        elif damping > 1e8:
            break
        else:
            damping *= 4
    tau = exp(value[1])
    variance = squares / max(1, len(record) - 3)
    errors = [sqrt(max(0.0, variance * x)) for x in _inverse_diagonal(matrix)]
    return squares, value[0], value[2], tau, (errors[0], errors[1] * tau, errors[2])


def _normal(record, value):
    amplitude, ln_tau, theta = value
    tau = exp(ln_tau)
    m, r, squares = [[0.0] * 3 for _ in range(3)], [0.0] * 3, 0.0
    for t, y in record:
        x = (t - theta) / tau
        fade = exp(-x) if x > 0 else 1.0
        p = 1 - fade
        row = (p, -amplitude * fade * x, -amplitude * fade / tau) if x > 0 else (0.0, 0.0, 0.0)
        miss = y - amplitude * p
        squares += miss * miss
        for a in range(3):
            r[a] += row[a] * miss
            for b in range(3):
                m[a][b] += row[a] * row[b]
    return m, r, squares


def _three(m, r, damping):
    """Return the damped step of three unknowns by Cramer's rule."""
    a = [[m[i][j] * (1 + damping * (i == j)) + (1e-300 if i == j else 0.0) for j in range(3)] for i in range(3)]
    whole = _determinant(a) or 1e-300
    found = []
    for k in range(3):
        b = [[r[i] if j == k else a[i][j] for j in range(3)] for i in range(3)]
        found.append(_determinant(b) / whole)
    return found


def _determinant(a) -> float:
    return (
        a[0][0] * (a[1][1] * a[2][2] - a[1][2] * a[2][1])
        - a[0][1] * (a[1][0] * a[2][2] - a[1][2] * a[2][0])
        + a[0][2] * (a[1][0] * a[2][1] - a[1][1] * a[2][0])
    )


def _inverse_diagonal(m) -> list[float]:
    whole = _determinant(m)
    if abs(whole) < 1e-300:
        return [0.0, 0.0, 0.0]
    return [
        (m[1][1] * m[2][2] - m[1][2] * m[2][1]) / whole,
        (m[0][0] * m[2][2] - m[0][2] * m[2][0]) / whole,
        (m[0][0] * m[1][1] - m[0][1] * m[1][0]) / whole,
    ]


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return controller settings, with how calm they are and how furnace and output answer.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    found, notes = (None, []) if inputs.mode == KNOWN else _tested(inputs)
    if found is None:
        process = Process(inputs["process_gain"], inputs["process_lag"], inputs["dead_time"])
        _refuse_no_dead_time(process.dead_s, "dead_time", 0.0)
    else:
        process = found.process
    rule = inputs["rule"]
    second = inputs["second_lag"] or 0.0
    if rule == SIMC_PID and not second:
        raise Problems({"second_lag": "Second time constant is empty. SIMC PID needs it. Example: 90 s."})
    wanted = _closed_loop(inputs, process)
    simple = process
    if rule == SIMC_PID:  # the other rules see one time constant; a delay by the sheath is in the dead time
        process = replace(process, second_s=second)
    chosen = settings(rule, process, wanted)
    peak = peak_sensitivity(process, chosen)
    _refuse_lively(rule, peak)
    form = _in_form(chosen, inputs["controller_form"])
    verdict = "within" if peak <= constant("tuning.calm") else "close"
    if process.dead_s > process.lag_s:
        verdict = "close"
    figures = FIGURES.fill(
        controller_gain=form.gain_per_k,
        integral_time=form.integral_s,
        derivative_time=form.derivative_s or None,
        proportional_band=1 / form.gain_per_k,
        peak_sensitivity=peak,
        all_rules=_rule_rows(simple, second, wanted, inputs["controller_form"]),
        **(_process_figures(found) if found else {}),
    )
    end = min(3 * (process.lag_s + process.second_s), 10 * (wanted + process.dead_s) + 4 * chosen.integral_s)
    after = response(process, chosen, SHOWN_STEP_K, SHOWN_OUTPUT, end)
    return Answer(
        sentence=_sentence(inputs, figures, form, after),
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=(
            "that gain and dead time change with temperature: settings found here hold about here",
            "that a furnace heats faster than it cools, so that an overshoot lasts",
            "the load, the gas and the age of the elements, which all change the gain",
        ),
        cautions=CAUTIONS,
        pictures=(_picture(process, after, end, rule),),
        working=_working(process, rule, chosen, form, wanted, peak, inputs),
        notes=(*notes, *_notes(inputs, process, form, peak, wanted)),
    )


CAUTIONS = (
    Caution("WARNING", "A trial heats on its own",
            "While settings are tried the output can stay at full power, past what furnace and load bear.",
            "Prove the limiter first, stay beside the furnace, and leave hydrogen and any load that matters out of "
            "it."),
)  # fmt: skip


def _closed_loop(inputs, process: Process) -> float:
    wanted = inputs["closed_loop_time"]
    if wanted is None:
        return constant("tuning.closed_loop_factor") * process.dead_s
    if wanted < process.dead_s * (1 - 1e-9):
        raise Problems({"closed_loop_time": Problem(
            "Closed-loop time wanted: it cannot be shorter than the dead time, "
            f"{wording.duration(process.dead_s, 'up')}.",
        )})  # fmt: skip
    return wanted


def _refuse_no_dead_time(dead_s: float, field: str, least_s: float) -> None:
    if dead_s <= least_s:
        raise Refused(
            "no_dead_time", "without a dead time there is no limit to the gain",
            "Every real furnace has one, of seconds at least; at zero the rules give endless gain.",
            "Log more often, or type the interval between two readings.", field=field,
        )  # fmt: skip


def _refuse_lively(rule: str, peak: float) -> None:
    if peak > constant("tuning.lively"):
        said = (
            "the loop would swing without end"
            if peak == inf
            else f"the peak sensitivity is {wording.number(peak, 3, 'up')}"
        )
        raise Refused(
            "too_lively", "these settings are too lively for a furnace",
            f"{rule}: {said}; above {wording.plain_number(constant('tuning.lively'))} a small change of gain makes it "
            "swing.",
            "Take SIMC PI, or a longer closed-loop time.", field="rule",
        )  # fmt: skip


def _in_form(ideal: Settings, form: str) -> Settings:
    if form != SERIES:
        return ideal
    found = to_series(ideal)
    if found is None:
        raise Problems(
            {"controller_form": "Form of the controller: these settings have no series form. Choose ideal or parallel."}
        )
    return found


def _rule_rows(simple: Process, second_s: float, wanted: float, form: str) -> list[dict]:
    found = []
    for rule in RULES:
        if rule == SIMC_PID and not second_s:
            continue
        process = replace(simple, second_s=second_s) if rule == SIMC_PID else simple
        ideal = settings(rule, process, wanted)
        peak = peak_sensitivity(process, ideal)
        shown = (to_series(ideal) or ideal) if form == SERIES else ideal
        calm, lively = constant("tuning.calm"), constant("tuning.lively")
        word = "calm" if peak <= calm else "lively" if peak <= lively else "not given" if peak < inf else "unstable"
        found.append({
            "rule": rule, "controller_gain": shown.gain_per_k, "integral_time": shown.integral_s,
            "derivative_time": shown.derivative_s or None, "peak_sensitivity": peak if peak < inf else None,
            "word": word,
        })  # fmt: skip
    return found


def _sentence(inputs, figures, form: Settings, after: Response) -> str:
    parts = [f"gain {figures['controller_gain'].text}", f"integral time {figures['integral_time'].text}"]
    if form.derivative_s:
        parts.append(f"derivative time {figures['derivative_time'].text}")
    band = figures["proportional_band"].text
    if inputs["controller_span"] is not None:
        share = 1 / (form.gain_per_k * inputs["controller_span"])
        band += f", {wording.with_unit(wording.number(share * 100, 3, 'up'), '%')} of the span"
    over = wording.with_unit(wording.number(after.overshoot_k, 2, "up"), "K")
    step = wording.with_unit(wording.plain_number(SHOWN_STEP_K), "K")
    watch = f"watch the first overshoot, here {over} after a step of {step}"
    return f"Start with {wording.listed(parts)} (proportional band {band}) by {inputs['rule']}, and {watch}."


def _working(process: Process, rule, chosen, form, wanted, peak, inputs) -> tuple[Work, ...]:
    k = process.gain_k / 100
    formula = {
        SIMC_PI: "K = τ/(k (τc + θ)), τI = min(τ, 4 (τc + θ))",
        SIMC_PID: "K' = τ/(k (τc + θ)), τI' = min(τ, 4 (τc + θ)), τD' = τ₂, turned from series to ideal",
        IMC_PI: "K = τ/(k (τc + θ)), τI = τ",
    }.get(rule, "K = (g₀ + g₁ θ/τ) τ/(k θ), τI and τD from the table of rules")
    source = {SIMC_PI: "skogestad-2003", SIMC_PID: "skogestad-2003", IMC_PI: "rivera-imc"}.get(
        rule, "ziegler-nichols" if rule.startswith("Z") else "cohen-coon"
    )
    steps = [
        Work(rule, formula,
             f"k = {k:.4g} K/%, τ = {process.lag_s:.5g} s, θ = {process.dead_s:.4g} s, τc = {wanted:.4g} s"
             + (f", τ₂ = {process.second_s:.4g} s" if process.second_s else ""),
             f"K = {chosen.gain_per_k * 100:.5g} %/K, τI = {chosen.integral_s:.5g} s, τD = {chosen.derivative_s:.4g} s "
             "(ideal)",
             ("tuning.simc_factor", "tuning.closed_loop_factor"), source),
        Work("Proportional band", "100 % / K", f"K = {form.gain_per_k * 100:.5g} %/K", f"{1 / form.gain_per_k:.5g} K"),
        Work("Peak sensitivity", "Ms = max 1/|1 + L(jω)|, L = controller × furnace",
             "400 frequencies, derivative filtered",
             f"Ms = {peak:.4g}", ("tuning.derivative_filter", "tuning.calm", "tuning.lively"), "skogestad-2003"),
    ]  # fmt: skip
    if inputs["controller_form"] == PARALLEL:
        steps.append(Work(
            "Parallel form", "Ki = K/τI, Kd = K τD", "",
            f"Ki = {chosen.gain_per_k * 100 / chosen.integral_s:.4g} %/K/s, Kd = "
            f"{chosen.gain_per_k * 100 * chosen.derivative_s:.4g} % s/K",
        ))  # fmt: skip
    if inputs["controller_form"] == SERIES and chosen.derivative_s:
        steps.append(Work(
            "Series form", "K' = K r, τI' = τI r, τD' = τD / r, r = (1 + √(1 − 4 τD/τI))/2", "",
            f"K' = {form.gain_per_k * 100:.5g} %/K, τI' = {form.integral_s:.5g} s, τD' = {form.derivative_s:.4g} s",
        ))  # fmt: skip
    return tuple(steps)


def _notes(inputs, process: Process, form: Settings, peak: float, wanted: float) -> list[str]:
    notes = []
    if inputs["controller_form"] == PARALLEL:
        rate = wording.number(form.gain_per_k * 100 / form.integral_s, 3)
        notes.append(f"Parallel form: type the integral gain {rate} %/K/s instead of a time; see the working.")
    ratio = process.dead_s / process.lag_s
    if ratio < 0.01:
        notes.append(
            "The dead time is less than a hundredth of the time constant: noise and the step of the reading limit the "
            "gain before "
            "any rule does."
        )
    if ratio > 1:
        notes.append(
            "The dead time is longer than the time constant: look for a sensor far from the heat before you tune."
        )
    if inputs["closed_loop_time"] is None and inputs["rule"] in (SIMC_PI, SIMC_PID, IMC_PI):
        notes.append(f"Closed-loop time {wording.duration(wanted)}: three times the dead time, since none was typed.")
    if inputs["second_lag"] is not None and inputs["rule"] != SIMC_PID:
        notes.append("The second time constant counts in SIMC PID only; elsewhere its delay belongs to the dead time.")
    if inputs.mode == STEP_TEST and inputs["rule"] == SIMC_PID:
        notes.append("The dead time of the test already holds part of the second time constant: the settings are calm.")
    if peak > constant("tuning.calm"):
        notes.append("Livelier than is usual for a furnace: a longer closed-loop time calms it.")
    return notes


# ---- the step test


def _tested(inputs) -> tuple[Identified, list[str]]:
    if not inputs["log"]:
        raise Refused(
            "no_step_record", "there is no record of a step",
            "Settings without a measured answer of this furnace would be guesses.",
            "Set the output by hand, wait until it is steady, step it, and log the rise.", field="log",
        )  # fmt: skip
    record, before, notes = _record(inputs)
    _refuse_near_limit(inputs, record, notes)
    noise = _refuse_unsteady(before, record, notes)
    end_rise = sum(y for _, y in record[-3:]) / len(record[-3:])
    found = identify(record, inputs["output_step"])
    scatter = max(noise, found.miss_k)
    if end_rise < 0 and -end_rise > constant("tuning.noise_factor") * scatter:
        raise Refused(
            "wrong_sign", "more output made it colder",
            f"At the end of the record it is {wording.with_unit(wording.number(-end_rise, 2), 'K')} below the start.",
            "Look at the polarity of sensor and output before anything else.", field="log",
        )  # fmt: skip
    if end_rise < constant("tuning.noise_factor") * scatter or found.process.gain_k <= 0:
        raise Refused(
            "step_too_small", "the step drowns in the noise",
            f"The rise is {wording.with_unit(wording.number(max(end_rise, 0.0), 2), 'K')} where the record scatters by "
            f"{wording.with_unit(wording.number(scatter, 2), 'K')}.",
            "Take a larger step, or log for longer.", field="output_step",
        )  # fmt: skip
    interval = (record[-1][0] - record[0][0]) / (len(record) - 1)
    _refuse_no_dead_time(found.process.dead_s, "log", 0.05 * interval)
    if found.process.dead_s < interval:
        notes.append("The dead time is shorter than the interval between two readings: log more often to see it.")
    if record[-1][0] < found.process.lag_s:
        notes.append(
            "The record is shorter than the time constant: gain and time constant are rough, their quotient is good."
        )
    return found, notes


def _record(inputs) -> tuple[list, list, list[str]]:
    """Return (record from the step on, rows before it, notes); the rise counts from the mean before the step."""
    rows_, notes = inputs["log"], []
    for number, row in enumerate(rows_):
        if (row["rise"] is None) == (row["temperature"] is None):
            raise Problems({"log": Problem(
                f"Log, row {number + 1}: give a rise or a temperature, one of the two.", cell=(number, "rise"),
            )})  # fmt: skip
        if (row["rise"] is None) != (rows_[0]["rise"] is None):
            raise Problems(
                {"log": Problem(f"Log, row {number + 1}: rises and temperatures do not mix.", cell=(number, "rise"))}
            )
    every = points(rows_, "rise" if rows_[0]["rise"] is not None else "temperature")
    before = [(t, y) for t, y in every if t <= 0]
    after = [(t, y) for t, y in every if t >= 0]
    if len(after) < LEAST_ROWS:
        raise Refused(
            "no_step_record", "too few rows after the step",
            f"{wording.count(len(after), 'row')} from the step on; {LEAST_ROWS} are needed to see dead time and bend.",
            "Log more often, or for longer.", field="log",
        )  # fmt: skip
    base = sum(y for _, y in before) / len(before) if before else after[0][1]
    if not before:
        notes.append("The record begins after the step: its first reading is taken as the start.")
    return [(t, y - base) for t, y in after], before, notes


def _refuse_near_limit(inputs, record, notes) -> None:
    maximum = inputs["maximum_temperature"]
    first = inputs["log"][0]["temperature"]
    start = first if first is not None else inputs["start_temperature"]
    if maximum is None or start is None:
        notes.append(
            "Whether the test came near the furnace's highest temperature is not looked at: start or limit is missing."
        )
        return
    highest = start + max(y for _, y in record)
    if highest > maximum - constant("tuning.limit_margin"):
        zero = constant("general.zero_celsius")
        said = wording.with_unit(wording.number(highest - zero, 4), "°C")
        raise Refused(
            "near_limit", "the test came near the furnace's limit",
            f"It went to {said}; this furnace may reach {wording.with_unit(wording.number(maximum - zero, 4), '°C')}, "
            "and the first "
            "overshoot of a loop that is being set can take the rest.",
            f"Test {wording.plain_number(constant('tuning.limit_margin'))} K or more below the limit.",
            "Ask whoever answers for the furnace before any trial near it.", field="log",
        )  # fmt: skip


def _refuse_unsteady(before, record, notes) -> float:
    """Return the noise before the step, K; 0 where too little of it is in the log."""
    if len(before) < 3:
        notes.append("Fewer than three readings before the step: that the start was steady is taken on trust.")
        return 0.0
    n = len(before)
    mean_t, mean_y = sum(t for t, _ in before) / n, sum(y for _, y in before) / n
    spread = sum((t - mean_t) ** 2 for t, _ in before)
    slope = sum((t - mean_t) * (y - mean_y) for t, y in before) / spread
    noise = sqrt(sum((y - mean_y - slope * (t - mean_t)) ** 2 for t, y in before) / max(1, n - 2))
    drift, rise = abs(slope) * record[-1][0], max(abs(y) for _, y in record)
    if drift > max(STEADY_SHARE * rise, 0.0) and abs(slope) * (before[-1][0] - before[0][0]) > 2 * noise:
        raise Refused(
            "no_steady_start", "it was not steady before the step",
            f"Before the step it moved by {wording.with_unit(wording.number(abs(slope) * 600, 2), 'K')} in 10 min.",
            "Hold the output by hand until the reading stands still for 10 min, then step it.", field="log",
        )  # fmt: skip
    return noise


def _process_figures(found: Identified) -> dict:
    p, (gain, lag, dead) = found.process, found.errors
    cause = "scatter of the record"
    return {
        "process_gain": Estimate(p.gain_k, max(0.0, p.gain_k - gain), p.gain_k + gain, cause=cause),
        "process_lag": Estimate(p.lag_s, max(0.0, p.lag_s - lag), p.lag_s + lag, cause=cause),
        "dead_time": Estimate(p.dead_s, max(0.0, p.dead_s - dead), p.dead_s + dead, cause=cause),
    }


def _picture(process: Process, after: Response, end: float, rule: str) -> Strip:
    before = response(process, None, SHOWN_STEP_K, SHOWN_OUTPUT, end)
    lanes = []
    for n, (label, unit, factor) in enumerate((("Temperature above the start", "K", 1.0), ("Output", "%", 100.0)), 1):
        curves = [
            Curve(name, [(row[0] / 60, row[n] * factor) for row in found.steps])
            for name, found in ((rule, after), ("by hand", before))
        ]
        limits = (Limit("set-point", SHOWN_STEP_K),) if n == 1 else ()
        lanes.append(Lane(Axis(label, unit, low=0.0), curves=tuple(curves), limits=limits))
    rows_ = [
        tuple(wording.number(x, 3) for x in (a[0] / 60, a[1], b[1], a[2] * 100, b[2] * 100))
        for a, b in list(zip(after.steps, before.steps, strict=True))[:: max(1, len(after.steps) // 14)]
    ]
    heads = ("Time, min", f"Rise with {rule}, K", "Rise by hand, K", f"Output with {rule}, %", "Output by hand, %")
    arrived = next((t for t, y, _ in after.steps if y >= 0.95 * SHOWN_STEP_K), None)
    by_hand = next((t for t, y, _ in before.steps if y >= 0.95 * SHOWN_STEP_K), None)
    sentence = "With these settings the furnace is there sooner than with the output set once by hand"
    if arrived is not None:
        later = f"after {wording.duration(by_hand)}" if by_hand is not None else f"later than {wording.duration(end)}"
        sentence = f"With these settings 95 % of the step is there after {wording.duration(arrived)}, by hand {later}"
    return Strip(
        sentence=sentence,
        description=f"Temperature and output after a set-point {SHOWN_STEP_K:.0f} K higher, from "
        f"{SHOWN_OUTPUT * 100:.0f} % output: before, "
        f"with the output set once by hand, and after, with {rule}.",
        time=Axis("Time", "min", low=0.0),
        lanes=tuple(lanes),
        table=Table("Answer to the step", heads, rows_),
    )  # fmt: skip
