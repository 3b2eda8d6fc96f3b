"""The rise test: valve shut, pressure climbs. How much of it can be a leak, and how sure that is."""

from dataclasses import dataclass
from itertools import pairwise
from math import exp, expm1, log, log1p, sqrt

from calcs import gases, units, wording
from calcs.core import Answer, Caution, Estimate, Figures, Range, ReadOff, Refused, Shown, Work
from calcs.data import constant
from calcs.form import REFERENCES, Field, Form, Problems
from calcs.picture import Axis, Curve, Mark, Plot, Table
from calcs.vacuum import gauge_gas

PAGE = "VAC-04"

ONE, TWO, ALLOWED, RISE, FLOW = "one test", "two tests", "allowed leak", "expected rise", "flow as leak rate"
UPPER, ESTIMATE = "upper bound", "estimate"
STRAIGHT, FLATTENING, STEEPENING, UNCLEAR, LEVEL = "straight", "flattening", "steepening", "cannot tell", "no rise"
FIT_FROM = 6  # readings from which a curve with four unknowns is fitted
BEND = 0.2  # change of slope over the test that counts as a bend; ours
FELL_STEPS = 3  # steps of the gauge by which a pressure may fall; ours
STEPS_OF_LEAK = 20  # steps of the gauge by which the allowed leak must move the reading; common practice, no source
TIME_CONSTANTS = 3  # of the outgassing part, so that 95 % of it is over
DRIFT_SHARE = 0.2  # share of the rise from which a change of temperature counts; ours
LEAST_RATIO = 1.5  # of the effective times of two tests; ours
SHORTEST_STEP_S = 1.0  # between two readings; nobody reads faster by hand
ROOM_K = 293.15

VOLUME = Range("0.01 L", "100000 L", because="Chambers of this kind lie within it.")
LEAK = Range("1e-12 Pa m3/s", "100 Pa m3/s", because="Smaller ones no rise test sees; larger ones are holes.")
TIME = Range("1 s", "1000 h", because="Nobody tests shorter or longer.")

FORM = Form(
    question="Leak, or outgassing?",
    modes=(ONE, TWO, ALLOWED, RISE, FLOW),
    ask=(
        "readings",
        "pumping_time",
        "allowed_leak",
        "oxygen_limit",
        "fill_pressure",
        "isolated_time",
        "rate_first",
        "pumped_first",
        "rate_second",
        "pumped_second",
        "test_length",
        "flow",
    ),
    fields=(
        Field(
            "gas_volume",
            "All gas in the chamber, pores included",
            "volume",
            "108 L",
            modes=(ONE, ALLOWED, RISE),
            accepted=VOLUME,
            hint="Open space plus pores of the lining.",
            find="pumpdown",
        ),
        Field(
            "readings",
            "Readings (rows: time, pressure)",
            "table",
            (
                {"time": "0 min", "pressure": "5.0 Pa"},
                {"time": "8 min", "pressure": "5.9 Pa"},
                {"time": "16 min", "pressure": "6.5 Pa"},
                {"time": "24 min", "pressure": "6.9 Pa"},
                {"time": "32 min", "pressure": "7.2 Pa"},
                {"time": "40 min", "pressure": "7.5 Pa"},
                {"time": "48 min", "pressure": "7.7 Pa"},
            ),
            modes=(ONE,),
            rows_allowed=(1, 60),
            hint="Time since the valve was shut; six or more.",
            row=r"(?P<time>[0-9][^,:]{0,20}?(?:min|s|h|d|:\d\d))\s*[,:]?\s+(?P<pressure>[0-9.].{0,30})",
            columns=(
                Field("time", "Time", "time", "8 min", accepted=Range("0 s", "1000 h")),
                Field("pressure", "Pressure", "absolute pressure", "5.9 Pa", accepted=Range("0 Pa", "2e5 Pa")),
            ),
        ),
        Field(
            "pumping_time",
            "Pumping before the valve was shut",
            "time",
            "45 min",
            modes=(ONE,),
            optional=True,
            accepted=TIME,
            hint="Walls give off less the longer they were pumped.",
        ),
        Field(
            "allowed_leak",
            "Leak allowed",
            "throughput",
            "1e-3 mbar L/s",
            modes=(ONE, TWO),
            optional=True,
            accepted=LEAK,
            hint="From your furnace record, or worked out here.",
        ),
        Field(
            "resolution",
            "Smallest step of the pressure gauge",
            "pressure difference",
            "0.001 mbar",
            modes=(ONE,),
            default="0.1 Pa",
            accepted=Range("1e-9 Pa", "1000 Pa", because="Coarser gauges show no rise."),
            hint="The last digit of its display.",
        ),
        Field(
            "temperature_change",
            "Temperature change during the test",
            "temperature difference",
            "0 K",
            modes=(ONE,),
            default="0 K",
            accepted=Range("-20 K", "20 K", because="A chamber that changes more is not cold."),
            hint="Chamber wall, end less start.",
        ),
        Field(
            "gauge_type",
            "Gauge",
            "choice",
            gauge_gas.DIAPHRAGM,
            modes=(ONE,),
            default=gauge_gas.DIAPHRAGM,
            choices=gauge_gas.GAUGES,
            hint="Thermal gauges hang on the gas.",
        ),
        Field(
            "gas",
            "Gas in the chamber before the test",
            "choice",
            "air",
            modes=(ONE,),
            default="air",
            choices=gases.NAMES,
            spoken=gases.FORMULAS,
            hint="What was pumped out.",
        ),
        Field(
            "oxygen_limit",
            "Oxygen allowed after standing shut",
            "mole fraction",
            "20 ppm",
            modes=(ALLOWED,),
            accepted=Range("0.001 ppm", "20 %", because="No analyser of the trade sees less, and air holds 21 %."),
            hint="What the load tolerates.",
        ),
        Field(
            "fill_pressure",
            "Pressure after filling",
            "absolute pressure",
            "1005 mbar",
            modes=(ALLOWED,),
            accepted=Range("1 Pa", "2 bar", because="This furnace class is not built for more."),
            hint="Absolute.",
        ),
        Field("isolated_time", "Time standing shut", "time", "15 min", modes=(ALLOWED,), accepted=TIME),
        Field(
            "rate_first",
            "Mean rate, first test",
            "throughput",
            "6.5e-4 Pa m3/s",
            modes=(TWO,),
            accepted=LEAK,
            hint="Rise times volume over time.",
        ),
        Field(
            "pumped_first",
            "Pumping before the first test",
            "time",
            "45 min",
            modes=(TWO,),
            accepted=TIME,
            hint="From starting the pump to shutting the valve.",
        ),
        Field("rate_second", "Mean rate, second test", "throughput", "2.8e-4 Pa m3/s", modes=(TWO,), accepted=LEAK),
        Field(
            "pumped_second",
            "Pumping before the second test",
            "time",
            "150 min",
            modes=(TWO,),
            accepted=TIME,
            hint="All pumping since the start, at least twice the first.",
        ),
        Field("test_length", "Length of a test", "time", "12 min", modes=(TWO, RISE), accepted=TIME),
        Field(
            "leak_rate",
            "Air leak rate, inward",
            "throughput",
            "1e-3 mbar L/s",
            modes=(RISE,),
            accepted=LEAK,
            hint="From a rise test.",
        ),
        Field(
            "flow",
            "Gas flow",
            "standard flow",
            "1.5 mL/min",
            modes=(FLOW,),
            accepted=Range("0 L/min", "1e6 L/min", above=True),
        ),
        Field(
            "flow_reference",
            "Reference condition of the flow",
            "choice",
            REFERENCES[0],
            modes=(FLOW,),
            choices=REFERENCES,
            hint="The flow meter's document names it.",
        ),
        Field(
            "gas_temperature",
            "Gas temperature",
            "temperature",
            "20 °C",
            modes=(FLOW,),
            default="20 °C",
            accepted=Range("0 °C", "100 °C", because="A leak is measured cold."),
        ),
    ),
)

FIGURES = Figures(
    Shown(
        "leak_rate",
        "Leak rate (one test: to be read as “at most”)",
        "throughput",
        "Pa m3/s, mbar L/s",
        "up, range",
        3,
        (ONE, TWO),
    ),
    Shown("leak_half_interval_95", "Half of the 95 % interval of the fit", "throughput", "Pa m3/s", "up", 3, (ONE,)),
    Shown("leak_upper", "Leak rate, at most", "throughput", "Pa m3/s, mbar L/s", "up", 3, (ONE, TWO)),
    Shown("last_third_rate", "Rise of the last third as a leak", "throughput", "Pa m3/s", "up", 3, (ONE,)),
    Shown("mean_rise", "Mean rise", "pressure rise rate", "mbar/min", "near", 3, (ONE,)),
    Shown("mean_rate", "Mean rise as a leak", "throughput", "Pa m3/s, mbar L/s", "near", 3, (ONE,)),
    Shown("rise_shape", "Shape of the rise", "choice", modes=(ONE,)),
    Shown("result_kind", "What the result is", "choice", modes=(ONE, TWO)),
    Shown("outgassing_time_constant", "Time constant of the outgassing part", "time", "min", "near", 2, (ONE,)),
    Shown("minimum_time", "Shortest useful test", "time", "min", "up", 2, (ONE,)),
    Shown("water_coefficient", "Strength of the 1/t outgassing", "outgassing coefficient", "Pa m3", "up", 3, (TWO,)),
    Shown("allowed_leak", "Leak allowed", "throughput", "Pa m3/s, mbar L/s", "down", 3, (ALLOWED,)),
    Shown("expected_rise", "Rise from that leak alone", "pressure difference", "mbar, Pa", "up", 3, (RISE,)),
    Shown("throughput", "The flow as a leak rate", "throughput", "Pa m3/s, mbar L/s", "near", 5, (FLOW,)),
)

READ_OFF = (
    ReadOff(
        caption="Rise that a leak alone makes in 10 min",
        down=("leak_rate", ("1e-4 mbar L/s", "1e-3 mbar L/s", "1e-2 mbar L/s", "1e-1 mbar L/s")),
        across=("gas_volume", ("10 L", "30 L", "108 L", "300 L")),
        figures=("expected_rise",),
        given={"mode": RISE, "test_length": "10 min"},
    ),
    ReadOff(
        caption="Leak allowed so that standing shut for a time adds no more oxygen than this, 108 L filled to 1005 "
        "mbar",
        down=("oxygen_limit", ("1 ppm", "10 ppm", "100 ppm", "1000 ppm")),
        across=("isolated_time", ("5 min", "15 min", "1 h", "12 h")),
        figures=("allowed_leak",),
        given={"mode": ALLOWED},
    ),
)


# ---------------------------------------------------------------- physics: simple balances


def expected_rise(leak_pa_m3_per_s: float, time_s: float, volume_m3: float) -> float:
    """Return the rise of pressure that a steady leak makes in a shut volume, Pa: dp = Q t / V.

    Args:
        leak_pa_m3_per_s: leak rate, Pa·m³/s.
        time_s: time, s.
        volume_m3: volume of gas, m³, above 0.

    Source:
        ideal gas at one temperature; the form of 40 CFR 1065.644.
    """
    return leak_pa_m3_per_s * time_s / volume_m3


def time_to_see(leak_pa_m3_per_s: float, step_pa: float, volume_m3: float, steps: float = STEPS_OF_LEAK) -> float:
    """Return the time in which a leak moves a gauge by some of its steps, s: t = k dp V / Q.

    Args:
        leak_pa_m3_per_s: leak rate, Pa·m³/s, above 0.
        step_pa: smallest step of the gauge, Pa.
        volume_m3: volume of gas, m³.
        steps: steps that are wanted; 20 measure a leak, fewer only show it.

    Source:
        expected_rise turned round; STEPS_OF_LEAK, common practice, no source.
    """
    return steps * step_pa * volume_m3 / leak_pa_m3_per_s


def allowed_leak(oxygen: float, volume_m3: float, fill_pa: float, isolated_s: float) -> float:
    """Return the air leak that adds a mole fraction of oxygen to a shut, filled chamber, Pa·m³/s.

    Q = x V p / (x_air t), all at one temperature and as if the leak flowed at its full rate all the time.

    Args:
        oxygen: mole fraction of oxygen that may be added.
        volume_m3: volume of gas, m³.
        fill_pa: pressure after filling, Pa.
        isolated_s: time standing shut, s, above 0.

    Source:
        balance of amounts; air from general.oxygen_in_air.
    """
    return oxygen * volume_m3 * fill_pa / (constant("general.oxygen_in_air") * isolated_s)


def throughput_of(flow_mol_per_s: float, temperature_k: float) -> float:
    """Return an amount flow as pressure times volume each second, Pa·m³/s: Q = n R T.

    Args:
        flow_mol_per_s: amount flow, mol/s.
        temperature_k: temperature at which the volume is counted, K.

    Source:
        ideal gas; constant general.gas_constant.
    """
    return flow_mol_per_s * constant("general.gas_constant") * temperature_k


# ---------------------------------------------------------------- physics: two tests


def mean_of_power(exponent: float, pumped_s: float, length_s: float) -> float:
    """Return the mean of t^-exponent over a test that begins after some pumping, s^-exponent.

    Args:
        exponent: about 0.5 to 1.5.
        pumped_s: pumping before the test, s, above 0.
        length_s: length of the test, s, above 0.

    Source:
        integral, elementary; for exponent 1 it is ln(1 + T/t)/T.
    """
    if exponent == 1:
        return log1p(length_s / pumped_s) / length_s
    power = 1 - exponent
    return pumped_s**power * expm1(power * log1p(length_s / pumped_s)) / (power * length_s)


def leak_from_two(
    rate_first: float,
    pumped_first_s: float,
    rate_second: float,
    pumped_second_s: float,
    length_s: float,
    exponent: float = 1.0,
) -> tuple[float, float]:
    """Return (leak in Pa·m³/s, strength of the outgassing B) from two rise tests.

    Each mean rate is Q_i = Q_L + B g_i with g_i the mean of t^-exponent: two equations, two unknowns. With
    exponent 1 and effective times 1/g this is Q_L = (Q2 th2 - Q1 th1)/(th2 - th1).

    Args:
        rate_first: mean rate of the first test, Pa·m³/s.
        pumped_first_s: pumping before the first test, s.
        rate_second: mean rate of the second test, Pa·m³/s.
        pumped_second_s: pumping before the second test, s; longer than before the first.
        length_s: length of either test, s.
        exponent: of the law of outgassing.

    Source:
        derived for this project from the 1/t law of outgassing: Dayton 1961, Redhead 1995 (known, sources not
        looked up).
    """
    first, second = (mean_of_power(exponent, pumped, length_s) for pumped in (pumped_first_s, pumped_second_s))
    strength = (rate_first - rate_second) / (first - second)
    return rate_second - strength * second, strength


# ---------------------------------------------------------------- physics: one test


@dataclass(frozen=True)
class Fit:
    """A fit of p = start + slope t + rise (1 - exp(-t/tau)), SI units; `rise` 0 is a straight line.

    `half` is half the 95 % interval of the slope, `spread` the scatter of one reading. `settled` tells whether
    the curve bends over early enough for its slope to mean anything.
    """

    start: float
    slope: float
    rise: float
    tau: float
    half: float
    spread: float
    settled: bool

    def at(self, time_s: float) -> float:
        """Pressure at a time, Pa."""
        return self.start + self.slope * time_s + (self.rise * -expm1(-time_s / self.tau) if self.rise else 0.0)


def student_95(freedom: int) -> float:
    """Return the quantile 0.975 of Student's t: half the width of a 95 % interval in standard errors.

    Args:
        freedom: degrees of freedom, 1 or more.

    Source:
        Abramowitz and Stegun 26.7.5, within 0.3 % from 4 on; below that the tabulated values.
    """
    if freedom < 4:
        return {1: 12.7062, 2: 4.3027, 3: 3.1824}[freedom]
    z, n = 1.959964, freedom
    return (
        z
        + (z**3 + z) / (4 * n)
        + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * n**2)
        + (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / (384 * n**3)
    )


def straight_line(times: list[float], pressures: list[float]) -> tuple[float, float, float]:
    """Return (value at time 0, slope, sum of squared time deviations) of the least-squares line.

    Args:
        times: s, two or more, not all equal.
        pressures: Pa.

    Source:
        ordinary least squares; checked against an independent routine.
    """
    count = len(times)
    mean_time, mean = sum(times) / count, sum(pressures) / count
    squares = sum((t - mean_time) ** 2 for t in times)
    slope = sum((t - mean_time) * (p - mean) for t, p in zip(times, pressures, strict=True)) / squares
    return mean - slope * mean_time, slope, squares


def fit_rise(times: list[float], pressures: list[float], resolution_pa: float) -> Fit:
    """Return the least-squares fit of a steady leak with an outgassing part that dies away.

    For each time constant on a grid the rest is linear; the best is refined by golden section. The outgassing
    part is never negative. The interval comes from the covariance of all four unknowns, with at least the
    scatter that the steps of the gauge make.

    Args:
        times: s, from 0, rising, six or more.
        pressures: Pa.
        resolution_pa: smallest step of the gauge, Pa.

    Source:
        ordinary least squares; checked against an independent fitting routine.
    """
    end = times[-1]
    scaled = [t / end for t in times]
    gap = min(b - a for a, b in pairwise(scaled))
    low, high = log(gap / 2), log(3.0)
    steps = 24
    grid = [low + (high - low) * i / steps for i in range(steps + 1)]
    errors = [_linear(scaled, pressures, exp(x))[0] for x in grid]
    best = errors.index(min(errors))
    tau = exp(
        _golden(lambda x: _linear(scaled, pressures, exp(x))[0], grid[max(best - 1, 0)], grid[min(best + 1, steps)])
    )
    error, start, slope, rise = _linear(scaled, pressures, tau)
    count, floor = len(times), resolution_pa**2 / 12
    settled = False
    if rise > 0:
        variance = max(error / (count - 4), floor)
        columns = [[1.0, t, -expm1(-t / tau), -rise * t * exp(-t / tau) / tau**2] for t in scaled]
        spread = _slope_variance(columns)
        if spread is not None:
            half = student_95(count - 4) * sqrt(variance * spread)
            settled = tau <= 0.5 and slope > half
    if rise <= 0 or spread is None:  # a straight line is the best of these curves, or nothing tells them apart
        rise, tau = 0.0, 1.0
        start, slope, squares = straight_line(scaled, pressures)
        error = sum((p - start - slope * t) ** 2 for t, p in zip(scaled, pressures, strict=True))
        variance = max(error / (count - 2), floor)
        half = student_95(count - 2) * sqrt(variance / squares)
        settled = slope > half
    return Fit(start, slope / end, rise, tau * end, half / end, sqrt(variance), settled)


def _linear(times, pressures, tau) -> tuple[float, float, float, float]:
    """Best (error, start, slope, rise) for one time constant; rise never below 0."""
    count = len(times)
    bend = [-expm1(-t / tau) for t in times]
    mt, mb, mp = sum(times) / count, sum(bend) / count, sum(pressures) / count
    tt = tb = bb = tp = bp = 0.0
    for t, b, p in zip(times, bend, pressures, strict=True):
        t, b, p = t - mt, b - mb, p - mp
        tt, tb, bb, tp, bp = tt + t * t, tb + t * b, bb + b * b, tp + t * p, bp + b * p
    determinant = tt * bb - tb * tb
    rise = (tt * bp - tb * tp) / determinant if determinant > 1e-12 * tt * bb else 0.0
    rise = max(rise, 0.0)
    slope = (tp - rise * tb) / tt
    error = sum(
        (p - mp - slope * (t - mt) - rise * (b - mb)) ** 2 for t, b, p in zip(times, bend, pressures, strict=True)
    )
    return error, mp - slope * mt - rise * mb, slope, rise


def _golden(function, low: float, high: float) -> float:
    """Minimum of a function between two places, by golden section."""
    ratio = (sqrt(5) - 1) / 2
    a, b = high - ratio * (high - low), low + ratio * (high - low)
    fa, fb = function(a), function(b)
    for _ in range(24):
        if fa < fb:
            high, b, fb = b, a, fa
            a = high - ratio * (high - low)
            fa = function(a)
        else:
            low, a, fa = a, b, fb
            b = low + ratio * (high - low)
            fb = function(b)
    return (low + high) / 2


def _slope_variance(columns: list[list[float]]) -> float | None:
    """The second diagonal element of the inverse of J'J, or None where it is as good as singular."""
    size = len(columns[0])
    norms = [sqrt(sum(row[i] ** 2 for row in columns)) for i in range(size)]
    if min(norms) <= 0:
        return None
    matrix = [
        [sum(r[i] * r[j] for r in columns) / (norms[i] * norms[j]) for j in range(size)] + [1.0 if i == 1 else 0.0]
        for i in range(size)
    ]
    for i in range(size):
        pivot = max(range(i, size), key=lambda k: abs(matrix[k][i]))
        if abs(matrix[pivot][i]) < 1e-11:
            return None
        matrix[i], matrix[pivot] = matrix[pivot], matrix[i]
        for k in range(size):
            if k != i:
                share = matrix[k][i] / matrix[i][i]
                matrix[k] = [a - share * b for a, b in zip(matrix[k], matrix[i], strict=True)]
    found = matrix[1][size] / matrix[1][1] / norms[1] ** 2
    return found if found > 0 else None


def outgassing_line(times: list[float], pressures: list[float], pumped_s: float) -> tuple[float, float]:
    """Return (start, strength over volume) of p = start + b ln(1 + t/t_p), least squares: outgassing alone.

    Args:
        times: s, from 0.
        pressures: Pa.
        pumped_s: pumping before the test, s.

    Source:
        integral of the 1/t law of outgassing over a shut volume.
    """
    start, strength, _ = straight_line([log1p(t / pumped_s) for t in times], pressures)
    return start, strength


@dataclass(frozen=True)
class Shape:
    """The word for a rise, its slopes at the beginning and at the end (Pa/s), and by how much steps can fake them."""

    word: str
    first: float
    last: float
    unsure: float


def shape_of(times: list[float], pressures: list[float], resolution_pa: float, spread_pa: float = 0.0) -> Shape:
    """Return whether a rise is straight, flattens or steepens, as far as the steps of the gauge allow.

    The first and the last third are compared. A change by a fifth or more that the steps cannot fake is a bend.

    Args:
        times: s, rising, three or more.
        pressures: Pa.
        resolution_pa: smallest step of the gauge, Pa.
        spread_pa: scatter of one reading where it is known, Pa.

    Source:
        ours; the fifth is a choice.
    """
    size = max(2, (len(times) + 2) // 3)
    slopes, unsure = [], 0.0
    for part in (slice(None, size), slice(-size, None)):
        t, p = times[part], pressures[part]
        _, slope, squares = straight_line(t, p)
        mean = sum(t) / size
        unsure += resolution_pa / 2 * sum(abs(x - mean) for x in t) / squares + 2 * spread_pa / sqrt(squares)
        slopes.append(slope)
    first, last = slopes
    if pressures[-1] - pressures[0] <= resolution_pa:
        word = LEVEL
    elif last < first - unsure and last < (1 - BEND) * first:
        word = FLATTENING
    elif last > first + unsure and last > (1 + BEND) * first:
        word = STEEPENING
    else:
        word = (
            STRAIGHT if unsure <= BEND * max(first, last) or abs(last - first) <= BEND * max(first, last) else UNCLEAR
        )
        if unsure > max(first, last):
            word = UNCLEAR
    return Shape(word, first, last, unsure)


def last_third(times: list[float], pressures: list[float]) -> tuple[float, float, int]:
    """Return (slope in Pa/s, sum of squared time deviations, count) of the readings in the last third of the time.

    At least the last two are taken, and three where a curve is fitted.

    Args:
        times: s, rising.
        pressures: Pa.

    Source:
        ordinary least squares; checked against an independent routine.
    """
    begin = times[0] + (times[-1] - times[0]) * 2 / 3 * (1 - 1e-9)
    count = max(sum(t >= begin for t in times), 3 if len(times) >= FIT_FROM else 2)
    _, slope, squares = straight_line(times[-count:], pressures[-count:])
    return slope, squares, count


@dataclass(frozen=True)
class Found:
    """What one test says, in rates of pressure (Pa/s); times the volume it is a leak."""

    shape: Shape | None
    fit: Fit | None
    mean: float
    last: float
    best: float
    upper: float


def read_test(times: list[float], pressures: list[float], resolution_pa: float) -> Found:
    """Return what a rise test says: shape, fit, the rate that can be a leak and its upper bound, in Pa/s.

    A leak is steady and outgassing is never negative, so no leak is larger than the rise at any time: the end of
    the test, where outgassing has faded most, bounds it best.

    Args:
        times: s, from 0, rising, two or more.
        pressures: Pa.
        resolution_pa: smallest step of the gauge, Pa.

    Source:
        the functions above.
    """
    mean = (pressures[-1] - pressures[0]) / (times[-1] - times[0])
    last, squares, count = last_third(times, pressures)
    if len(times) < FIT_FROM:
        centre = sum(times[-count:]) / count
        steps = resolution_pa / 2 * sum(abs(t - centre) for t in times[-count:]) / squares
        shape = shape_of(times, pressures, resolution_pa) if len(times) > 2 else None
        return Found(shape, None, mean, last, max(last, 0.0), max(last, 0.0) + steps)
    fit = fit_rise(times, pressures, resolution_pa)
    shape = shape_of(times, pressures, resolution_pa, fit.spread)
    freedom = len(times) - 4
    bound = max(last, 0.0) + student_95(freedom) * fit.spread / sqrt(squares)
    if fit.settled:
        return Found(shape, fit, mean, last, fit.slope, fit.slope + fit.half)
    return Found(shape, fit, mean, last, max(last, 0.0), bound)


def fade_of_walls(times: list[float], pumped_s: float) -> float:
    """Return by which factor outgassing that goes as 1/t would slow down from the first to the last third of a test.

    Args:
        times: s, from 0.
        pumped_s: pumping before the test, s.

    Source:
        the 1/t law of outgassing.
    """
    third = times[-1] / 3
    return mean_of_power(1, pumped_s + 2 * third, third) / mean_of_power(1, pumped_s, third)


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return what a rise test, or two, says of the leak; or the leak allowed, the rise expected, a flow as a leak.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    return {ONE: _one, TWO: _two, ALLOWED: _allowed, RISE: _rise, FLOW: _flow}[inputs.mode](inputs)


def _rate(value: float, digits: int = 2, towards: str = "up") -> str:
    """A leak rate in both units of the trade."""
    trade = units.from_si(value, units.unit_of("throughput", "mbar L/s"))
    return (
        f"{wording.with_unit(wording.number(trade, digits, towards), 'mbar·L/s')} "
        f"({wording.with_unit(wording.number(value, digits, towards), 'Pa·m³/s')})"
    )


def _climb(rate: float) -> str:
    """A rise of pressure in the unit in which people read it off."""
    per_minute = rate * 60
    if abs(per_minute) < 1:
        return wording.with_unit(wording.number(per_minute, 2), "Pa/min")
    return wording.with_unit(wording.number(per_minute / 100, 2), "mbar/min")


# ---- one test


def _one(inputs) -> Answer:
    times, pressures = _readings(inputs)
    resolution, volume = inputs["resolution"], inputs["gas_volume"]
    found = read_test(times, pressures, resolution)
    best, upper = found.best * volume, found.upper * volume
    minimum = _minimum_time(found, resolution, volume, inputs["allowed_leak"])
    verdict = _verdict(inputs, found, best, upper, times, pressures, minimum)
    fit = found.fit if found.fit and found.fit.settled else None
    note = "" if fit else "The end of the test, not a fit."
    figures = FIGURES.fill(
        leak_rate=Estimate(
            best, 0.0, upper, cause="how much of the rise is outgassing, which one test cannot tell", note=note
        ),
        leak_half_interval_95=fit.half * volume if fit else None,
        leak_upper=upper,
        last_third_rate=max(found.last, 0.0) * volume if len(times) > 2 else None,
        mean_rise=found.mean,
        mean_rate=found.mean * volume,
        rise_shape=found.shape.word if found.shape else UNCLEAR,
        result_kind=UPPER,
        outgassing_time_constant=fit.tau if fit and fit.rise else None,
        minimum_time=minimum,
    )
    return Answer(
        sentence=_sentence(inputs, found, upper, len(times)),
        verdict=verdict,
        judged=len(times) == 2 or inputs["allowed_leak"] is not None,
        figures=figures,
        leaves_out=(
            "leak and outgassing at once: what bounds the leak is the end of the rise, whatever feeds it",
            "temperature drift, apart from the change that you typed",
            "a pump valve that leaks towards the pump, which hides a leak, and a gauge that gives off or takes up "
            "gas itself",
        ),
        cautions=_cautions(verdict, found),
        pictures=(_picture(inputs, times, pressures, found),),
        working=_working(inputs, times, found, volume),
        notes=_notes(inputs, times, pressures, found, minimum),
    )


def _readings(inputs) -> tuple[list[float], list[float]]:
    """Return times from 0 and pressures, or refuse what is no rise test."""
    table, resolution = inputs["readings"], inputs["resolution"]
    if len(table) < 2:
        raise Problems(
            {
                "readings": "Readings: one reading is no rise. Type a second one, and a third: two cannot tell a "
                "leak from outgassing."
            }
        )
    times, pressures = [row["time"] for row in table], [row["pressure"] for row in table]
    if any(b - a < SHORTEST_STEP_S for a, b in pairwise(times)):
        raise Refused(
            "times_not_rising",
            "the times do not rise",
            "Each reading must be at least a second after the one before it.",
            "Put the rows in order, and check the units of the times.",
            field="readings",
        )
    highest = constant("rise_test.highest_pressure")
    if max(pressures) > highest * (1 + 1e-9):
        raise Refused(
            "pressure_too_high",
            "the pressure is too high for this",
            f"Above {wording.plain_number(highest / 100)} mbar a leak no longer flows at its full rate, and the "
            "rise says less than the truth.",
            "Pump lower before the valve is shut.",
            field="readings",
        )
    top, fell = pressures[0], 0.0
    for pressure in pressures:
        top = max(top, pressure)
        fell = max(fell, top - pressure)
    if fell > FELL_STEPS * resolution * (1 + 1e-9):
        raise Refused(
            "pressure_fell",
            "the pressure fell during the test",
            f"It fell by {wording.number(fell, 2)} Pa, more than {FELL_STEPS} steps of the gauge.",
            "The valve was not shut, the chamber cooled, or the gauge drifts. Find out which, and test again.",
            field="readings",
        )
    _check_gauge(inputs, max(pressures))
    return [t - times[0] for t in times], pressures


def _check_gauge(inputs, highest) -> None:
    kind, gas = inputs["gauge_type"], inputs["gas"]
    if kind in gauge_gas.HEATED_WIRE and gas not in gauge_gas.AS_CALIBRATED:
        raise Refused(
            "gauge_not_corrected",
            "the gauge is not corrected for this gas",
            f"A thermal gauge shows {gas} too high or too low, and the gas changes while air leaks in.",
            "Use a diaphragm gauge, or pump the chamber down from air and test again.",
            field="gauge_type",
        )
    if kind == gauge_gas.HOT_CATHODE and highest > constant("gauge_gas.ion_end"):
        raise Problems(
            {
                "gauge_type": "Gauge: a hot cathode gauge does not work above 0.01 mbar, where these readings lie. "
                "Choose the gauge that was read."
            }
        )
    if kind == gauge_gas.DIAL:
        raise Problems(
            {
                "gauge_type": "Gauge: a dial shows nothing of a rise below 100 mbar. "
                "Choose the vacuum gauge that was read."
            }
        )


def _minimum_time(found: Found, resolution, volume, allowed) -> float:
    """The longest of: 95 % of the outgassing part over, the allowed leak seen in 20 steps, ten minutes."""
    times = [constant("rise_test.shortest_test")]
    if found.fit and found.fit.settled and found.fit.rise:
        times.append(TIME_CONSTANTS * found.fit.tau)
    if allowed:
        times.append(time_to_see(allowed, resolution, volume))
    return max(times)


def _drift(inputs, pressures) -> float:
    """Change of pressure that the typed change of temperature makes, Pa."""
    return sum(pressures) / len(pressures) * inputs["temperature_change"] / ROOM_K


def _drifts(inputs, pressures) -> bool:
    return abs(_drift(inputs, pressures)) > DRIFT_SHARE * max(pressures[-1] - pressures[0], inputs["resolution"])


def _verdict(inputs, found: Found, best, upper, times, pressures, minimum) -> str:
    allowed = inputs["allowed_leak"]
    if len(times) == 2:
        return "cannot_say"
    if allowed is None:
        return "within"
    if upper <= allowed * (1 + 1e-9):
        doubtful = times[-1] < minimum * (1 - 1e-9) or _drifts(inputs, pressures) or found.shape.word == STEEPENING
        return "close" if doubtful else "within"
    if best <= allowed * (1 + 1e-9):
        return "close"
    settled = found.fit is not None and found.fit.settled
    return "outside" if settled or found.shape.word in (STRAIGHT, STEEPENING) else "cannot_say"


def _sentence(inputs, found: Found, upper, count) -> str:
    volume, allowed = inputs["gas_volume"], inputs["allowed_leak"]
    if count == 2:
        return (
            f"The pressure rose by {_climb(found.mean)}, which in {inputs.said('gas_volume')} is "
            f"{_rate(max(found.mean, 0.0) * volume)} "
            "if all of it is a leak. Two readings cannot say whether it is a leak or outgassing: take a third, as "
            "long after the second again."
        )
    words = {
        STRAIGHT: f"It keeps rising straight: more like a leak, of "
        f"{_rate(max(found.best, 0.0) * volume, 2, 'near')}, than like outgassing. "
        "It is at most {}",
        FLATTENING: "The rise flattens: more like outgassing. What can still be a leak is at most {}",
        STEEPENING: "The rise gets steeper, which neither a leak nor walls do by themselves. Taken as a leak, its "
        "end is at most {}",
        UNCLEAR: "The steps of the gauge hide whether the rise is straight or flattens. A leak is at most {}",
        LEVEL: "No rise beyond a step of the gauge. A leak is at most {}",
    }[found.shape.word]
    if found.shape.word == STRAIGHT and _walls_look_straight(inputs):
        words = (
            "It rises straight, but so short a test after so long a pumping looks straight for outgassing too. "
            "A leak is at most {}"
        )
    said = words.format(_rate(upper, 3))
    return f"{said}; {inputs.said('allowed_leak')} is allowed." if allowed else f"{said}."


def _walls_look_straight(inputs) -> bool:
    """Whether pure outgassing would fade by less than a bend over this test, so that straight says nothing."""
    times = [row["time"] - inputs["readings"][0]["time"] for row in inputs["readings"]]
    return inputs["pumping_time"] is not None and fade_of_walls(times, inputs["pumping_time"]) > 1 - BEND


def _cautions(verdict: str, found: Found) -> tuple[Caution, ...]:
    if verdict not in ("outside", "cannot_say"):
        return ()
    return (
        Caution(
            "NOTICE",
            "Air in the hot chamber",
            "A chamber that is not shown tight lets air at the hot load, elements and graphite: they "
            "oxidise, and the gas cannot make up for it.",
            "Do not heat on this result. Find out whether it is a leak or water first.",
        ),
    )


def _notes(inputs, times, pressures, found: Found, minimum) -> tuple[str, ...]:
    notes = [_next_step(inputs, times, found)]
    notes.append(
        "One rise test gives an upper bound for the leak, never the leak: walls and lining that dry as 1/t feign a "
        "steady leak, and "
        "no fit sees through it. Two tests after different pumping do."
    )
    if inputs["allowed_leak"] and times[-1] < minimum:
        notes.append(
            f"The test lasted {wording.duration(times[-1])}; the shortest that is useful here is "
            f"{wording.duration(minimum, 'up')}."
        )
    if _drifts(inputs, pressures):
        notes.append(
            f"The change of temperature alone moves the pressure by "
            f"{wording.number(abs(_drift(inputs, pressures)), 2)} Pa, more "
            "than a fifth of the rise."
        )
    if max(pressures) > constant("rise_test.full_leak_pressure"):
        notes.append("Above 10 mbar a leak begins to flow at less than its full rate: at 100 mbar up to a tenth less.")
    if inputs["gauge_type"] in gauge_gas.HEATED_WIRE:
        notes.append(
            "A thermal gauge shows water vapour up to twice too high. For air the bound holds; a rise of water "
            "looks larger than it is."
        )
    if found.fit and not found.fit.settled:
        notes.append("The curve does not settle within the test, so no leak is fitted; the end of the rise bounds it.")
    return tuple(notes)


def _next_step(inputs, times, found: Found) -> str:
    again = wording.duration(3 * (inputs["pumping_time"] or times[-1]))
    if len(times) == 2:
        return f"Next: leave the valve shut, and read again at {wording.duration(2 * times[-1])}."
    return {
        STRAIGHT: "Next: look for the leak, seals first (VAC-07). To be surer, pump on for about three times as "
        "long and test again: a leak "
        "stays, outgassing falls.",
        FLATTENING: f"Next: pump on, for about {again} more, or dry out (VAC-06), and test again: outgassing "
        "falls, a leak stays.",
        STEEPENING: "Next: check that chamber and gauge stay at one temperature and that no valve creeps; then "
        "test again.",
        UNCLEAR: "Next: test longer, or with a gauge of finer steps.",
        LEVEL: "Next: test longer if the bound is too coarse for you.",
    }[found.shape.word]


def _picture(inputs, times, pressures, found: Found) -> Plot:
    """The readings with a leak alone and outgassing alone as candidates, and the fit where there is one."""
    factor, unit = (100, "mbar") if max(pressures) >= 100 else (1, "Pa")
    start, slope, _ = straight_line(times, pressures)
    pumped = inputs["pumping_time"] or times[-1]
    begin, strength = outgassing_line(times, pressures, pumped)
    every = [times[-1] * i / 40 for i in range(41)]

    def line(t):
        return start + slope * t

    def walls(t):
        return begin + strength * log1p(t / pumped)

    def points(function):
        return [(t / 60, function(t) / factor) for t in every]

    curves = [Curve("leak alone", points(line))]
    if len(times) > 2:
        curves.append(Curve("outgassing alone", points(walls), dash="dashed"))
    if found.fit and found.fit.settled and found.fit.rise:
        curves.append(Curve("leak and outgassing", points(found.fit.at), dash="dotted"))
    rows = [
        [
            wording.number(t / 60, 3),
            *(wording.number(v / factor, 4) for v in (p, line(t), p - line(t), walls(t), p - walls(t))),
        ]
        for t, p in zip(times, pressures, strict=True)
    ]
    words = {
        STRAIGHT: "The readings follow the straight line of a leak more than the bend of outgassing",
        FLATTENING: "The rise flattens: outgassing",
        STEEPENING: "The rise gets steeper with time",
        UNCLEAR: "The steps of the gauge hide the shape",
        LEVEL: "The pressure does not rise by more than a step of the gauge",
    }
    sentence = "Two readings lie on any curve" if found.shape is None else words[found.shape.word]
    if found.shape and found.shape.word == STRAIGHT and _walls_look_straight(inputs):
        sentence = "So short a test looks straight for a leak and for outgassing alike"
    return Plot(
        sentence=sentence,
        description=f"Pressure in {unit} against time in minutes: {len(times)} readings from {rows[0][1]} to "
        f"{rows[-1][1]} {unit}, a straight "
        "line for a leak alone, and a bending curve for outgassing alone that fades as 1/t.",
        x=Axis("Time since the valve was shut", "min"),
        y=Axis("Pressure", unit),
        curves=tuple(curves),
        marks=tuple(Mark("", t / 60, p / factor) for t, p in zip(times, pressures, strict=True)),
        table=Table(
            "Readings and candidates",
            (
                "Time, min",
                f"Reading, {unit}",
                f"Leak alone, {unit}",
                "Off that line",
                f"Outgassing alone, {unit}",
                "Off that curve",
            ),
            rows,
        ),
    )


def _working(inputs, times, found: Found, volume) -> tuple[Work, ...]:
    steps = [
        Work(
            "Mean rise",
            "Q = V Δp / Δt",
            f"V = {volume * 1e3:.4g} L, Δp/Δt = {found.mean:.4g} Pa/s",
            f"Q = {found.mean * volume:.4g} Pa·m³/s",
            source="cfr-1065-644",
        )
    ]
    if found.shape:
        steps.append(
            Work(
                "Shape",
                "slope of the last third against that of the first",
                f"first {found.shape.first:.3g} Pa/s, last {found.shape.last:.3g} Pa/s; steps of the gauge can fake "
                f"{found.shape.unsure:.2g} Pa/s",
                found.shape.word,
            )
        )
    fit = found.fit
    if fit:
        steps.append(
            Work(
                "Fit",
                "p = p₀ + a t + B (1 − exp(−t/τ)), least squares, B ≥ 0",
                f"p₀ = {fit.start:.4g} Pa, a = {fit.slope:.4g} Pa/s ± {fit.half:.2g} (95 %), B = {fit.rise:.3g} Pa"
                + (f", τ = {fit.tau:.3g} s" if fit.rise else ""),
                f"a V = {fit.slope * volume:.4g} Pa·m³/s" + ("" if fit.settled else "; not settled, so not used"),
                source="abramowitz-stegun-t",
            )
        )
    steps.append(
        Work(
            "Upper bound of the leak",
            "(a + t₀.₉₇₅ s_a) V where the fit settles, else the slope of the last third with its own bound",
            f"slope of the last third {found.last:.4g} Pa/s",
            f"at most {found.upper * volume:.4g} Pa·m³/s",
        )
    )
    if inputs["pumping_time"]:
        steps.append(
            Work(
                "What outgassing alone would do",
                "mean of 1/t over the last third of the test, over that of the first",
                f"pumped {inputs['pumping_time']:.4g} s, test {times[-1]:.4g} s",
                f"it would slow to {fade_of_walls(times, inputs['pumping_time']):.2g} of its first rate",
                source="dayton-1961",
            )
        )
    return tuple(steps)


# ---- two tests


def _two(inputs) -> Answer:
    first, second = inputs["rate_first"], inputs["rate_second"]
    pumped, length = (inputs["pumped_first"], inputs["pumped_second"]), inputs["test_length"]
    effective = [1 / mean_of_power(1, p, length) for p in pumped]
    if effective[1] < LEAST_RATIO * effective[0]:
        raise Refused(
            "second_test_too_soon",
            "the second test came too soon",
            "Outgassing had too little time to fall between the tests, so that nothing tells it from a leak.",
            "Pump at least twice as long before the second test as before the first.",
            field="pumped_second",
        )
    value, strength = leak_from_two(first, pumped[0], second, pumped[1], length)
    low, high = _ends_of_two(first, second, pumped, length)
    leak = Estimate(min(max(value, 0.0), second), low, high, cause="how fast outgassing fades, and 5 % on each rate")
    allowed = inputs["allowed_leak"]
    verdict = "within" if allowed is None or high <= allowed else "outside" if low > allowed else "close"
    figures = FIGURES.fill(
        leak_rate=leak, leak_upper=high, result_kind=ESTIMATE, water_coefficient=strength if strength > 0 else None
    )
    return Answer(
        sentence=_two_sentence(inputs, leak, strength),
        verdict=verdict,
        judged=allowed is not None,
        figures=figures,
        leaves_out=(
            "an error of the volume, which passes straight into both rates",
            "outgassing that falls otherwise than by a power of the time, such as rubber seals or trapped pockets",
            "anything done to the chamber between the tests: both start from the same pump-down",
        ),
        cautions=_cautions(verdict, None) if verdict == "outside" else (),
        pictures=(_two_picture(first, second, pumped, length, leak.value, strength),),
        working=(
            Work(
                "Effective times",
                "θ = T / ln(1 + T/t)",
                f"T = {length:.4g} s, t = {pumped[0]:.4g} s and {pumped[1]:.4g} s",
                f"θ₁ = {effective[0]:.4g} s, θ₂ = {effective[1]:.4g} s",
                source="dayton-1961",
            ),
            Work(
                "Leak and outgassing",
                "Q_L = (Q₂ θ₂ − Q₁ θ₁)/(θ₂ − θ₁), B = (Q₁ − Q₂)/(1/θ₁ − 1/θ₂)",
                f"Q₁ = {first:.4g}, Q₂ = {second:.4g} Pa·m³/s",
                f"Q_L = {value:.4g} Pa·m³/s, B = {strength:.4g} Pa·m³",
            ),
            Work(
                "Range",
                "the same with t to the power −0.8 and −1.2, and with 5 % on each rate, kept between 0 and Q₂",
                "",
                f"{low:.3g} to {high:.3g} Pa·m³/s",
                ("rise_test.exponent_low", "rise_test.exponent_high", "rise_test.rate_error"),
            ),
        ),
        notes=_two_notes(first, second, value, low, allowed),
    )


def _ends_of_two(first, second, pumped, length) -> tuple[float, float]:
    """Ends of the leak over exponents 0.8 to 1.2 and 5 % on each rate. No leak exceeds the second rate."""
    error, found = constant("rise_test.rate_error"), []
    for name in ("exponent_low", "exponent_high"):
        exponent = constant(f"rise_test.{name}")
        value, _ = leak_from_two(first, pumped[0], second, pumped[1], length, exponent)
        g1, g2 = (mean_of_power(exponent, p, length) for p in pumped)
        unsure = error * sqrt((second * g1) ** 2 + (first * g2) ** 2) / (g1 - g2)
        found += [value - unsure, value + unsure]
    most = second * (1 + error)
    low, high = min(max(min(found), 0.0), second), min(max(found), most)
    return low, high if high > 0 else most


def _two_sentence(inputs, leak: Estimate, strength: float) -> str:
    trade = units.unit_of("throughput", "mbar L/s")
    low, high = (
        wording.number(units.from_si(v, trade), 2, towards) for v, towards in ((leak.low, "down"), (leak.high, "up"))
    )
    low, high = ("nothing" if leak.low == 0 else low), wording.with_unit(high, "mbar·L/s")
    if leak.value == 0:
        said = (
            "The rise fell as fast as outgassing alone makes it: no leak is needed to explain it, "
            f"and at most {high} fits"
        )
    elif strength <= 0:
        said = f"The rise did not fall with pumping: it is a leak, of about {_rate(leak.value)}"
    else:
        said = f"About {_rate(leak.value)} is a leak, from {low} to {high}; the rest is outgassing that fades"
    allowed = inputs["allowed_leak"]
    return f"{said}; {inputs.said('allowed_leak')} is allowed." if allowed else f"{said}."


def _two_notes(first, second, value, low, allowed) -> tuple[str, ...]:
    notes = []
    if second > first * 1.2:
        notes.append(
            "The second test rose faster than the first: something changed between them. Look for a new leak "
            "before you trust the figure."
        )
    if value < 0:
        notes.append("The rise fell faster than 1/t: take “at most” as the answer.")
    if allowed and low <= allowed:
        notes.append("A third test after three times the pumping narrows the range.")
    return tuple(notes)


def _two_picture(first, second, pumped, length, leak, strength) -> Plot:
    begin, end = pumped[0] / 2, pumped[1] * 3 + length
    every = [begin * (end / begin) ** (i / 40) for i in range(41)]
    walls = [(t / 60, max(leak + max(strength, 0.0) / t, 1e-15) * 10) for t in every]
    middles = [1 / mean_of_power(1, p, length) for p in pumped]
    curves = [Curve("leak and outgassing", walls)]
    if leak > 0:
        curves.append(Curve("leak alone", [(begin / 60, leak * 10), (end / 60, leak * 10)], dash="dashed"))
    rows = [
        [wording.number(t / 60), wording.number(q, 3)]
        for t, q in [(m, r * 10) for m, r in zip(middles, (first, second), strict=True)]
    ]
    return Plot(
        sentence="Outgassing falls with pumping, a leak stays"
        if strength > 0
        else "The rise does not fall with pumping",
        description="Rate of rise as throughput in mbar·L/s against the time pumped in minutes, both on log "
        "scales, with the two tests as "
        "points, the leak as a level line and the sum of leak and outgassing as a curve.",
        x=Axis("Time pumped", "min", log=True),
        y=Axis("Throughput", "mbar·L/s", log=True),
        curves=tuple(curves),
        marks=(Mark("first", middles[0] / 60, first * 10), Mark("second", middles[1] / 60, second * 10)),
        table=Table("The two tests", ("Effective time, min", "Mean rate, mbar·L/s"), rows),
    )


# ---- the small ones


def _allowed(inputs) -> Answer:
    value = allowed_leak(inputs["oxygen_limit"], inputs["gas_volume"], inputs["fill_pressure"], inputs["isolated_time"])
    notes = ["The gas itself and what walls give off are not in this: allow for them in the limit."]
    if inputs["fill_pressure"] > constant("general.standard_atmosphere") * 0.95:
        notes.append(
            "Filled to about the pressure of the room or above it, the chamber leaks less inward than in a rise "
            "test, or outward: the "
            "figure is on the cautious side."
        )
    return Answer(
        sentence=f"Standing shut for {inputs.said('isolated_time')}, a leak of at most {_rate(value, 3, 'down')} "
        "keeps the oxygen that leaks in "
        f"below {inputs.said('oxygen_limit')}, if it flows all the time at the rate that a rise test shows.",
        figures=FIGURES.fill(allowed_leak=value),
        leaves_out=("oxygen of the gas itself, and water given off", "leaks that open only when the chamber is hot"),
        working=(
            Work(
                "Leak allowed",
                "Q = x V p / (x_air t)",
                f"x = {inputs['oxygen_limit']:.4g}, V = {inputs['gas_volume'] * 1e3:.4g} L, p = "
                f"{inputs['fill_pressure']:.6g} Pa, t = {inputs['isolated_time']:.4g} s",
                f"Q = {value:.4g} Pa·m³/s",
                ("general.oxygen_in_air",),
            ),
        ),
        notes=tuple(notes),
    )


def _rise(inputs) -> Answer:
    value = expected_rise(inputs["leak_rate"], inputs["test_length"], inputs["gas_volume"])
    figures = FIGURES.fill(expected_rise=value)
    return Answer(
        sentence=f"A leak of {inputs.said('leak_rate')} alone raises {inputs.said('gas_volume')} by "
        f"{figures['expected_rise'].text} in "
        f"{inputs.said('test_length')}; whatever rises more is outgassing or a larger leak.",
        figures=figures,
        leaves_out=(
            "gas given off by walls, lining and load, which adds to the rise",
            "the pressure at which a leak no longer flows fully, above 10 mbar",
        ),
        working=(
            Work(
                "Rise",
                "Δp = Q t / V",
                f"Q = {inputs['leak_rate']:.4g} Pa·m³/s, t = {inputs['test_length']:.4g} s, V = "
                f"{inputs['gas_volume'] * 1e3:.4g} L",
                f"Δp = {value:.4g} Pa",
                source="cfr-1065-644",
            ),
        ),
        notes=("The rise passes 10 mbar, where a leak slows down: the truth is less.",)
        if value > constant("rise_test.full_leak_pressure")
        else (),
    )


def _flow(inputs) -> Answer:
    value = throughput_of(inputs["flow"], inputs["gas_temperature"])
    reference = inputs.reads["flow"].reference or inputs["flow_reference"]
    return Answer(
        sentence=f"{inputs.said('flow')} stated at {reference.replace('degC', '°C').replace('degF', '°F')} is "
        f"{_rate(value, 3, 'near')} in a chamber at "
        f"{inputs.said('gas_temperature')}.",
        figures=FIGURES.fill(throughput=value),
        leaves_out=(
            "which gas it is: another gas passes the same leak at another rate",
            "what the meter itself is off by",
        ),
        working=(
            Work(
                "Throughput",
                "Q = n R T",
                f"n = {inputs['flow']:.6g} mol/s, T = {inputs['gas_temperature']:.2f} K",
                f"Q = {value:.6g} Pa·m³/s",
                ("general.gas_constant",),
            ),
        ),
        notes=(
            "A leak rate is pressure times volume, and hangs on the temperature; a standard flow is an amount, and "
            "does not.",
        ),
    )
