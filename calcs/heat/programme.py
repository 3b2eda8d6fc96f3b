"""The temperature programme: how long it runs, whether the furnace allows it, and how many steps it takes."""

from dataclasses import dataclass
from math import ceil, inf

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
    worst,
)  # fmt: skip
from calcs.data import constant, number_or_none, rows
from calcs.form import Field, Form, Problem, Problems
from calcs.heat.segments import (
    COOL,
    RAMP,
    SOAK,
    Leg,
    legs,
    segments_field,
    temperature_at,
    time_above,
    time_between,
)  # fmt: skip
from calcs.picture import Axis, Block, Curve, Lane, Limit, Mark, Plot, Row, Strip, Table

PAGE = "HT-01"

TOTAL_TIME, FEWER_STEPS = "total time", "fewer steps"
TOTAL, FEWER = (TOTAL_TIME,), (FEWER_STEPS,)
OFF, HOLD_BACK, GUARANTEED = "off", "hold-back", "guaranteed soak"
EACH, PAIR = "ramp and soak each", "ramp-soak pair"
CLOSE_TO_FURNACE = 0.8  # share of the furnace's ramp from which it is close to the limit; common practice, no source
CLOSE_TO_LOAD = 0.5  # the same for the load's ramp; common practice, no source
BRIEF_S = 30 * 60.0  # so long above the continuous rating without a soak there passes; common practice, no source

ABOVE_ZERO = Range("0 K/min", above=True)

FORM = Form(
    question="What does the programme come to?",
    modes=(TOTAL_TIME, FEWER_STEPS),
    ask=("start_temperature", "segments", "load_ramp_limit", "points", "step_limit", "departure_limit"),
    fields=(
        Field("start_temperature", "Temperature at the start", "temperature", "20 °C", modes=TOTAL,
              accepted=Range("0 °C", "3500 °C"), hint="What the chamber has when the programme begins."),
        segments_field(modes=TOTAL),
        Field("at_time", "Look at the time", "time", "100 min", modes=TOTAL, optional=True, accepted=Range("0 s"),
              hint="To see which temperature is wanted then."),
        Field("maximum_temperature", "Highest chamber temperature in this gas", "temperature", "1050 °C", modes=TOTAL,
              optional=True, accepted=Range("0 °C", "3500 °C", above=True),
              hint="From the furnace's manual, for the gas of this run."),
        Field("continuous_temperature", "Continuous rating", "temperature", "1000 °C", modes=TOTAL,
              accepted=Range("0 °C", "3500 °C", above=True),
              hint="From the furnace's manual; often 200 K below the highest."),
        Field("furnace_ramp_limit", "Ramp that heaters and ceramic allow", "ramp rate", "10 K/min", modes=TOTAL,
              optional=True, accepted=ABOVE_ZERO, hint="From the furnace's manual."),
        Field("load_ramp_limit", "Ramp that the load survives", "ramp rate", "10 K/min", modes=TOTAL, optional=True,
              accepted=ABOVE_ZERO, hint="Leave it empty if the load does not mind."),
        Field("waiting", "Waiting for the chamber", "choice", OFF, modes=TOTAL, default=OFF,
              choices=(OFF, HOLD_BACK, GUARANTEED),
              hint="What the controller does when the chamber lags: nothing, stop the clock, or start the soak late."),
        Field("tolerance", "Temperature band, plus or minus", "temperature difference", "5 K", modes=TOTAL,
              default="5 K",
              accepted=Range("0.5 K", "50 K", because="Narrower than the noise, or wider than any soak bears."),
              hint="Within it the controller counts the chamber as arrived."),
        Field("points", "Curve (rows: time, temperature)", "table",
              ({"time": "0 min", "temperature": "20 °C"}, {"time": "25 min", "temperature": "140 °C"},
               {"time": "70 min", "temperature": "290 °C"}, {"time": "90 min", "temperature": "430 °C"},
               {"time": "116 min", "temperature": "600 °C"}, {"time": "146 min", "temperature": "600 °C"}),
              modes=FEWER, rows_allowed=(3, 40),
              hint="The corners of the curve, time rising: 0 min 20 °C · 25 min 140 °C · …",
              row=r"(?P<time>[^°]{1,30}?(?:min|s|h|d|:\d\d))\s*[,:]?\s+(?P<temperature>.{1,30})",
              columns=(Field("time", "Time", "time", "25 min", accepted=Range("0 s", "10000 h")),
                       Field("temperature", "Temperature", "temperature", "140 °C",
                             accepted=Range("0 °C", "3500 °C")))),
        Field("step_limit", "Steps that the controller takes", "number", "30", menu=("1",), default="30", accepted=Range("1", "500"),
              hint="From the controller's manual."),
        Field("step_counting", "How steps are counted", "choice", EACH, default=EACH, choices=(EACH, PAIR),
              hint="Some controllers count a ramp and the soak after it as one step."),
        Field("departure_limit", "Largest departure allowed", "temperature difference", "10 K", modes=FEWER,
              optional=True,
              accepted=Range("0 K", above=True), hint="How far the shorter programme may leave the curve."),
        Field("time_step", "Smallest time step of the controller", "time", "1 min", default="1 min",
              accepted=Range("0 s", "24 h", above=True), hint="From the controller's manual; often 1 min or 1 s."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("total_time", "Total time", "time", "h, min", "up", 3, TOTAL),
    Shown("segment_count", "Segments", "number", "1", "near", 3, TOTAL),
    Shown("step_count", "Steps as the controller counts", "number", "1", "up"),
    Shown("set_temperature", "Temperature wanted at that time", "temperature", "°C", "near", 4, TOTAL),
    Shown("time_above_continuous", "Time above the continuous rating", "time", "min", "up", 3, TOTAL),
    Shown("largest_departure", "Largest departure from the curve", "temperature difference", "K", "up", 3, FEWER),
    Shown("band_times", "Time in each risk band", "table", modes=TOTAL, columns=(
        Column("band", "Band"), Column("time", "Time", "time", "min", 3, "up"),
    )),
    Shown("steps", "Steps", "table", columns=(
        Column("step", "Step"),
        Column("from", "From", "temperature", "°C", 4),
        Column("to", "To", "temperature", "°C", 4),
        Column("rate", "Rate", "ramp rate", "K/min", 3),
        Column("time", "Time", "time", "min", 4),
    )),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Heating from 20 °C, then a soak of 60 min: time to the end of the soak",
        down=("segments", tuple(
            f"ramp to {to} °C at {rate} K/min · soak 60 min" for to in (300, 600, 900) for rate in (1, 2, 5, 10)
        )),
        figures=("total_time", "step_count"),
        given={"at_time": "", "load_ramp_limit": ""},
    ),
)  # fmt: skip


# ---------------------------------------------------------------- physics


def end_of_soak(path: list[Leg]) -> float | None:
    """Return the time, s, at which the last soak ends, or None without a soak.

    Args:
        path: legs whose times are all known.

    Source:
        sum of the times.
    """
    last = max((i for i, leg in enumerate(path) if leg.kind == SOAK), default=None)
    return None if last is None else sum(leg.duration_s for leg in path[: last + 1])


def joined(path: list[Leg]) -> list[Leg]:
    """Return the programme with nothing lost and no segment too many.

    Segments of no length fall away; neighbours of equal slope become one, as two soaks in a row do.

    Args:
        path: legs whose times are all known.

    Source:
        geometry of straight lines.
    """
    found: list[Leg] = []
    for leg in path:
        if leg.duration_s == 0 and leg.change_k == 0:
            continue
        if found and _same_slope(found[-1], leg):
            before = found[-1]
            found[-1] = Leg(before.kind, before.start_k, leg.end_k, before.duration_s + leg.duration_s, row=before.row)
        else:
            found.append(leg)
    return found


def _same_slope(a: Leg, b: Leg) -> bool:
    if not a.duration_s or not b.duration_s:
        return False
    first, second = a.change_k / a.duration_s, b.change_k / b.duration_s
    return abs(first - second) <= 1e-9 * max(abs(first), abs(second), 1e-12)


def steps_of(path: list[Leg], counting: str) -> int:
    """Return how many steps a controller counts.

    Args:
        path: the programme, joined.
        counting: EACH for one step per ramp and per soak, PAIR where a ramp takes its soak with it.

    Source:
        the two ways of counting: common practice, no source.
    """
    pairs = sum(b.change_k == 0 and a.change_k != 0 for a, b in zip(path, path[1:], strict=False))
    return len(path) - (pairs if counting == PAIR else 0)


def rounded(path: list[Leg], step_s: float) -> list[Leg]:
    """Return the programme with each time rounded to the controller's time step, at least one step each.

    Args:
        path: legs whose times are all known.
        step_s: smallest time step, s, above 0.

    Source:
        rounding to the nearest step.
    """
    return [
        Leg(
            leg.kind,
            leg.start_k,
            leg.end_k,
            max(round(leg.duration_s / step_s), 1) * step_s if leg.duration_s else 0.0,
            row=leg.row,
        )
        for leg in path
    ]


@dataclass(frozen=True)
class Shortened:
    """A curve with fewer corners: which of the given points remain, and how far it leaves the curve at most, K."""

    knots: tuple[int, ...]
    departure_k: float
    steps: int


def fewer_steps(
    points: list[tuple[float, float]], most: int, allowed_k: float | None = None, counting: str = EACH
) -> Shortened | None:
    """Return the curve through some of its points whose largest departure is least.

    With `allowed_k` the fewest steps that keep to it; without, the least departure within `most` steps, and
    the fewest steps that reach it. The ends of every soak stay. None where it cannot be done.

    Args:
        points: (time s, temperature K), 2 to 40 of them, time rising.
        most: steps that the controller takes, 1 or more.
        allowed_k: largest departure, K.
        counting: EACH or PAIR, see steps_of.

    Source:
        least worst departure by dynamic programming over the corners: a textbook method, written for this
        project; both curves are straight between corners, so the corners are where they differ most.
    """
    last = len(points) - 1
    departure = _departures(points)
    # best[j][flat] = (departure, previous corner, was that flat) with s steps that end at corner j.
    level = {(0, False): (0.0, None)}
    found, layers = None, [level]
    for used in range(1, min(most, last) + 1):
        level = _next_level(points, departure, layers, counting)
        layers.append(level)
        ends = [(level[last, flat][0], flat) for flat in (False, True) if (last, flat) in level]
        if not ends:
            continue
        error, flat = min(ends)
        if found is None or error < found[0] - 1e-9:
            found = (error, used, flat)
        if error <= (allowed_k if allowed_k is not None else 1e-9) * (1 + 1e-12):
            break
    if found is None or (allowed_k is not None and found[0] > allowed_k * (1 + 1e-9)):
        return None
    return Shortened(_knots(layers, found[1], last, found[2]), found[0], found[1])


def _departures(points) -> list[list[float]]:
    """Return E[i][j], the largest departure of the straight line from i to j; inf where a soak's end would go."""
    n = len(points)
    keep = {i for i in range(1, n - 1) if (points[i][1] == points[i - 1][1]) != (points[i][1] == points[i + 1][1])}
    found = [[0.0] * n for _ in range(n)]
    for i in range(n):
        t0, y0 = points[i]
        for j in range(i + 2, n):
            if j - 1 in keep or found[i][j - 1] == inf:
                found[i][j] = inf
                continue
            slope = (points[j][1] - y0) / (points[j][0] - t0)
            found[i][j] = max(abs(y0 + slope * (t - t0) - y) for t, y in points[i + 1 : j])
    return found


def _next_level(points, departure, layers, counting) -> dict:
    """Return the best ways to reach each corner with one step more than the layers so far."""
    found = {}
    for (i, flat_before), (error, _) in layers[-1].items():
        for j in range(i + 1, len(points)):
            came_from = (len(layers) - 1, i, flat_before)
            _keep_better(found, (j, points[j][1] == points[i][1]), max(error, departure[i][j]), came_from)
    if counting == PAIR:  # a soak comes with the ramp before it, at no step of its own
        for (i, _), (error, _) in [item for item in found.items() if not item[0][1]]:
            for j in range(i + 1, len(points)):
                if points[j][1] == points[i][1]:
                    _keep_better(found, (j, True), max(error, departure[i][j]), (len(layers), i, False))
    return found


def _keep_better(found, place, error, came_from) -> None:
    if error < inf and (place not in found or error < found[place][0]):
        found[place] = (error, came_from)


def _knots(layers, used, last, flat) -> tuple[int, ...]:
    knots, place = [last], (used, last, flat)
    while (came_from := layers[place[0]][place[1], place[2]][1]) is not None:
        place = came_from
        knots.append(place[1])
    return tuple(reversed(knots))


@dataclass(frozen=True)
class RampCheck:
    """One judged point of the programme: the verdict and what is said about it."""

    verdict: str
    said: str


def check_temperature(path: list[Leg], maximum_k: float, continuous_k: float) -> RampCheck:
    """Judge the highest temperature against maximum and continuous rating.

    Args:
        path: legs whose times are all known.
        maximum_k: highest temperature of the furnace, K.
        continuous_k: continuous rating, K.

    Source:
        the 30 min that pass above the continuous rating: common practice, no source.
    """
    peak = max(max(leg.start_k, leg.end_k) for leg in path)
    if peak > maximum_k:
        return RampCheck("outside", f"{_celsius(peak)} is above the {_celsius(maximum_k)} that this furnace may reach")
    if peak <= continuous_k:
        return RampCheck("within", "the continuous rating is kept")
    soaks = any(leg.change_k == 0 and leg.start_k > continuous_k for leg in path)
    above = time_above(path, continuous_k)
    said = f"the continuous rating is passed for {wording.duration(above, 'up')}; life of elements and lining falls"
    return RampCheck("close" if soaks or above > BRIEF_S else "within", said)


def check_ramps(path: list[Leg], limit_k_per_s: float, whose: str, close_from: float) -> RampCheck:
    """Judge the steepest change of temperature against a limit, K/s, heating and cooling alike.

    Args:
        path: the legs; one that cools by nature is not judged.
        limit_k_per_s: the limit, K/s, above 0.
        whose: for the sentence: "furnace" or "load".
        close_from: share of the limit from which it is close.

    Source:
        the limits are the furnace's and the load's own; the shares are common practice, no source.
    """
    if step := next((leg for leg in path if leg.is_step), None):
        return RampCheck("outside", f"segment {step.row + 1} is a step: no rate keeps to the limit of the {whose}")
    steep = max(path, key=lambda leg: leg.rate_k_per_s or 0.0)
    rate = steep.rate_k_per_s or 0.0
    said = f"segment {steep.row + 1} goes at {_per_minute(rate)}; the {whose} allows {_per_minute(limit_k_per_s)}"
    if rate > limit_k_per_s * (1 + 1e-9):
        return RampCheck("outside", said)
    return RampCheck("close" if rate > close_from * limit_k_per_s * (1 + 1e-9) else "within", said)


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return what a programme comes to, or the same curve in fewer steps.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    return _total(inputs) if inputs.mode == TOTAL_TIME else _fewer(inputs)


def _celsius(kelvin: float) -> str:
    return wording.with_unit(wording.plain_number(round(kelvin - constant("general.zero_celsius"), 1)), "°C")


def _per_minute(k_per_s: float) -> str:
    return wording.with_unit(wording.number(k_per_s * 60, 3), "K/min")


def _total(inputs) -> Answer:
    path = legs(inputs["segments"], inputs["start_temperature"])
    _refuse(inputs, path)
    total = sum(leg.duration_s for leg in path)
    if inputs["at_time"] is not None and inputs["at_time"] > total * (1 + 1e-9):
        raise Problems({"at_time": f"Look at the time: the programme is over after {wording.duration(total)}."})

    short = joined(path)
    if not short:
        raise Problems({"segments": "Programme: it has no length at all. Type a ramp or a soak with a time."})
    count, limit = steps_of(short, inputs["step_counting"]), int(inputs["step_limit"])
    checks = _checks(inputs, path)
    if count > limit:
        said = f"{wording.count(count, 'step')} are more than the {limit} that the controller takes; see fewer steps"
        checks.append(RampCheck("outside", said))
    if inputs["waiting"] == HOLD_BACK and any(leg.change_k < 0 for leg in path):
        checks.append(
            RampCheck(
                "close",
                "hold-back stays on while it cools: where the furnace cools slower, the run waits for hours",
            )
        )
    waits = inputs["waiting"] != OFF
    figures = FIGURES.fill(
        total_time=Estimate(total, total, None, cause="waiting for the chamber") if waits else total,
        segment_count=float(len(inputs["segments"])), step_count=float(count),
        set_temperature=temperature_at(path, inputs["at_time"]) if inputs["at_time"] is not None else None,
        time_above_continuous=time_above(path, inputs["continuous_temperature"]),
        band_times=_band_times(path), steps=_step_rows(short),
    )  # fmt: skip
    return Answer(
        sentence=_total_sentence(inputs, path, total, checks),
        verdict=worst(check.verdict for check in checks),
        judged=True,
        figures=figures,
        leaves_out=(
            "overshoot, and the lag of the chamber behind the programme"
            + ("" if waits else " (no waiting is asked for)"),
            "the lag of the load behind the chamber: add the time until the middle is hot (HT-03)",
            "whether the heaters can follow (HT-02) and whether the chamber cools as fast as asked",
        ),
        cautions=_cautions(path, inputs),
        pictures=(_total_picture(path, inputs),),
        working=_total_working(path, total, inputs),
        notes=_total_notes(inputs, path, short, total, checks),
    )


def _refuse(inputs, path: list[Leg]) -> None:
    for name, what in (
        ("maximum_temperature", "highest chamber temperature in this gas"),
        ("furnace_ramp_limit", "ramp that heaters and ceramic allow"),
    ):
        if inputs[name] is None:
            raise Refused(
                "no_furnace_limit", "the furnace's limit is missing",
                f"Without the {what} nobody can say whether this programme may run.",
                "Take it from the furnace's manual.", "Ask whoever answers for the furnace.", field=name,
            )  # fmt: skip
    if inputs["continuous_temperature"] > inputs["maximum_temperature"]:
        raise Problems(
            {"continuous_temperature": "Continuous rating: it cannot exceed the highest chamber temperature."}
        )
    peak = max(max(leg.start_k, leg.end_k) for leg in path)
    if peak > inputs["maximum_temperature"]:
        raise Refused(
            "above_maximum", "above the furnace's highest temperature",
            f"The programme goes to {_celsius(peak)}; this furnace may reach "
            f"{_celsius(inputs['maximum_temperature'])} in this gas.",
            "Lower the temperature, or use a furnace built for it.", field="segments",
        )  # fmt: skip
    if leg := next((leg for leg in path if leg.duration_s is None), None):
        raise Problems({"segments": Problem(
            f"Programme, row {leg.row + 1}: how long it cools by nature hangs on furnace and load. Type a rate or "
            f"a time here; "
            "a plan (RUN-01) works the natural cooling out.", cell=(leg.row, "rate"),
        )})  # fmt: skip


def _checks(inputs, path) -> list[RampCheck]:
    found = [
        check_temperature(path, inputs["maximum_temperature"], inputs["continuous_temperature"]),
        check_ramps(path, inputs["furnace_ramp_limit"], "furnace", CLOSE_TO_FURNACE),
    ]
    if inputs["load_ramp_limit"] is not None:
        found.append(check_ramps(path, inputs["load_ramp_limit"], "load", CLOSE_TO_LOAD))
    return found


def risk_bands() -> list[tuple[str, float, float]]:
    """Return the temperature bands in which something may happen: what, from K, to K.

    Source:
        data/heat/risk_bands.csv; each line carries its own standing.
    """
    zero = constant("general.zero_celsius")
    found = []
    for row in rows("heat/risk_bands.csv"):
        low, high = number_or_none(row["low"]), number_or_none(row["high"])
        found.append((row["band"], 0.0 if low is None else low + zero, inf if high is None else high + zero))
    return found


def _band_times(path) -> list[dict]:
    return [
        {"band": f"{_band_ends(low, high)}: {name}", "time": time}
        for name, low, high in risk_bands()
        if (time := time_between(path, low, high)) > 0
    ]


def _band_ends(low: float, high: float) -> str:
    if low <= 0:
        return f"below {_celsius(high)}"
    return f"above {_celsius(low)}" if high == inf else f"{_celsius(low)} to {_celsius(high)}"


def _step_rows(path) -> list[dict]:
    return [
        {
            "step": f"{number} {leg.kind}",
            "from": leg.start_k,
            "to": leg.end_k,
            "rate": leg.rate_k_per_s,
            "time": leg.duration_s,
        }
        for number, leg in enumerate(path, 1)
    ]


def _total_sentence(inputs, path, total, checks) -> str:
    least = "at least " if inputs["waiting"] != OFF else ""
    whole = f"{least}{wording.duration(total, 'up')}"
    hold = end_of_soak(path)
    if hold is None:
        said = f"The programme takes {whole}"
    elif hold == total:
        said = f"It takes {whole} to the end of soak"
    else:
        said = f"It takes {least}{wording.duration(hold, 'up')} to the end of soak and {whole} in all"
    bad = [check.said for check in checks if check.verdict != "within"]
    return f"{said}; {'; '.join(bad)}." if bad else f"{said}, within the ratings and ramps given."


def _cautions(path, inputs) -> tuple[Caution, ...]:
    found = []
    if any(leg.change_k > 0 for leg in path):
        found.append(Caution(
            "WARNING", "Heat without a guard",
            "A programme protects nothing: with a stuck switch or a slipped sensor the heaters run on and can "
            "start a fire.",
            "Set the independent over-temperature limiter as the manual says, and stay with the first run of a new "
            "programme.",
        ))  # fmt: skip
        found.append(Caution(
            "WARNING", "Pressure in a shut chamber",
            "Gas and water that are heated in a shut chamber raise the pressure, and can throw the door.",
            "Prove that the outlet is free before the heater goes on; no heat on a closed, wet or organic-loaded "
            "chamber.",
        ))  # fmt: skip
    if time_above(path, inputs["continuous_temperature"]):
        found.append(Caution(
            "NOTICE", "Past the continuous rating", "Elements and lining age faster there.",
            "Keep it short, write the time down, and look at elements and lining afterwards.",
        ))  # fmt: skip
    if path[-1].end_k > constant("heat.ends_hot"):
        found.append(Caution(
            "WARNING", "Ends hot",
            "The programme ends with a hot chamber, and some controllers leave the heater on at the last value.",
            "Find out what the controller does at the end, and plan the cooling with its gas before you start.",
        ))  # fmt: skip
    return tuple(found)


def _corners(path) -> list[tuple[float, float]]:
    """Return the corners as (minutes, °C)."""
    zero = constant("general.zero_celsius")
    time, found = 0.0, [(0.0, path[0].start_k - zero)]
    for leg in path:
        time += leg.duration_s
        found.append((time / 60, leg.end_k - zero))
    return found


def _total_picture(path, inputs):
    zero = constant("general.zero_celsius")
    corners = _corners(path)
    blocks, time = [], 0.0
    for leg in path:
        if leg.duration_s:
            blocks.append(Block(leg.kind, time / 60, (time + leg.duration_s) / 60, short=leg.kind[0]))
        time += leg.duration_s
    steepest = max((leg for leg in path if leg.change_k), key=lambda leg: leg.rate_k_per_s or inf, default=None)
    limits = [
        Limit("highest in this gas", inputs["maximum_temperature"] - zero),
        Limit("continuous", inputs["continuous_temperature"] - zero),
    ]
    looked = inputs["at_time"]
    marks = [Mark("you look here", looked / 60, temperature_at(path, looked) - zero)] if looked is not None else []
    said = "The programme is one long soak" if steepest is None else (
        f"Segment {steepest.row + 1}, from {_celsius(steepest.start_k)} to {_celsius(steepest.end_k)}, is the steepest"
    )  # fmt: skip
    return Strip(
        sentence=said,
        description=f"Temperature wanted against time, {wording.duration(corners[-1][0] * 60)} in all, from "
        f"{_celsius(path[0].start_k)} to {_celsius(path[-1].end_k)}, under the furnace's two limits.",
        time=Axis("Time", "min"),
        lanes=(Lane(Axis("Temperature", "°C"), curves=(Curve("wanted", corners),), limits=tuple(limits),
                    marks=tuple(marks)),),
        rows=(Row("Segment", blocks),) if blocks else (),
        table=Table("Corners of the programme", ("Segment", "Start, min", "End, min", "From, °C", "To, °C"), [
            (f"{n} {leg.kind}", *(wording.number(x, 4) for x in (corners[n - 1][0], corners[n][0], corners[n - 1][1],
                                                                 corners[n][1])))
            for n, leg in enumerate(path, 1)
        ]),
    )  # fmt: skip


def _total_working(path, total, inputs) -> tuple[Work, ...]:
    lines = [
        f"{leg.row + 1}: {abs(leg.change_k):.6g} K at {leg.rate_k_per_s * 60:.5g} K/min = {leg.duration_s / 60:.6g} min"
        if leg.change_k and leg.duration_s
        else f"{leg.row + 1}: {leg.duration_s / 60:.6g} min"
        for leg in path
    ]
    above = time_above(path, inputs["continuous_temperature"])
    return (
        Work("Time of each segment, and the sum", "t = |T_end − T_start| / r", "; ".join(lines),
             f"{total / 60:.6g} min"),
        Work("Time above the continuous rating", "share of a ramp above X: (T_end − X) / (T_end − T_start)",
             f"X = {_celsius(inputs['continuous_temperature'])}", f"{above / 60:.5g} min"),
    )  # fmt: skip


def _total_notes(inputs, path, short, total, checks) -> tuple[str, ...]:
    notes = [
        check.said[:1].upper() + check.said[1:] + "."
        for check in checks
        if check.verdict == "within" and "passed" in check.said
    ]
    if inputs["waiting"] == HOLD_BACK:
        notes.append(
            f"Hold-back stops the programme's clock while the chamber is more than {inputs.said('tolerance')} off: "
            f"each lag adds to "
            "the total. How much hangs on the furnace (HT-02)."
        )
    if inputs["waiting"] == GUARANTEED:
        notes.append(
            f"A guaranteed soak counts only while the chamber is within {inputs.said('tolerance')}: the soak "
            f"starts late by the lag "
            "(HT-02). It proves the chamber, not the middle of the load (HT-03)."
        )
    if any(leg.kind == COOL or leg.change_k < 0 for leg in path):
        notes.append(
            "A furnace cools only as fast as it loses heat: the cooling asked for is the shortest, not a promise."
        )
    real = rounded(short, inputs["time_step"])
    after = sum(leg.duration_s for leg in real)
    if abs(after - total) > 1:
        changed = max(
            (leg for leg in real if leg.change_k and leg.duration_s),
            key=lambda leg: abs(leg.change_k),
            default=None,
        )
        rate = f"; the longest ramp then goes at {_per_minute(changed.rate_k_per_s)}" if changed else ""
        notes.append(
            f"With times in steps of {inputs.said('time_step')} it takes {wording.duration(after)} instead of "
            f"{wording.duration(total)}{rate}."
        )
    if any(leg.is_step for leg in path):
        notes.append(
            "A ramp in no time is a step: the heaters run at full power until the chamber arrives, and the load "
            "takes the shock."
        )
    return tuple(notes)


# ---- fewer steps


def _fewer(inputs) -> Answer:
    points = [(row["time"], row["temperature"]) for row in inputs["points"]]
    for number, (before, after) in enumerate(zip(points, points[1:], strict=False), 2):
        if after[0] <= before[0]:
            raise Problems(
                {
                    "points": Problem(
                        f"Curve, row {number}: its time must be later than that of the row before.",
                        cell=(number - 1, "time"),
                    )
                }
            )
    most, allowed, counting = int(inputs["step_limit"]), inputs["departure_limit"], inputs["step_counting"]
    found = fewer_steps(points, most, allowed, counting)
    if found is None:
        raise _too_many(points, most, counting, inputs)
    kept = [points[i] for i in found.knots]
    path = [
        Leg(SOAK if a[1] == b[1] else RAMP, a[1], b[1], b[0] - a[0], row=n)
        for n, (a, b) in enumerate(zip(kept, kept[1:], strict=False))
    ]
    figures = FIGURES.fill(step_count=float(found.steps), steps=_step_rows(path), largest_departure=found.departure_k)
    departure = figures["largest_departure"].text
    close = allowed is not None and found.departure_k > 0.8 * allowed
    before = len(points) - 1
    exact = "exactly" if found.departure_k < 1e-9 else f"to within {departure}"
    return Answer(
        sentence=f"{wording.count(found.steps, 'step')} instead of {before} "
                 f"{'follow' if found.steps > 1 else 'follows'} the curve {exact}.",
        verdict="close" if close else "within",
        judged=allowed is not None,
        figures=figures,
        leaves_out=(
            "what a corner that falls away was there for: look whether a slow stretch for binder or moisture is gone",
            "the lag of chamber and load, which rounds every corner anyway",
        ),
        pictures=(_fewer_picture(points, kept, found, departure),),
        working=(
            Work("Departure of one straight line from i to j", "E(i, j) = max over q of |line(t_q) − T_q|",
                 "at every corner q between", "infinite where the end of a soak would fall away"),
            Work("Least worst departure with s steps", "D(s, j) = min over i < j of max(D(s − 1, i), E(i, j))",
                 f"{len(points)} corners, at most {most} steps, counted {counting}",
                 f"corners kept: {', '.join(str(i + 1) for i in found.knots)}; departure {found.departure_k:.5g} K"),
        ),
        notes=_fewer_notes(path, inputs),
    )  # fmt: skip


def _too_many(points, most, counting, inputs) -> Refused:
    best = fewer_steps(points, most, None, counting)
    least = fewer_steps(points, len(points), inputs["departure_limit"], counting)
    if best is None:
        why = f"The soaks of this curve alone need more than {wording.count(most, 'step')}."
    else:
        why = (
            f"With {wording.count(most, 'step')} it leaves the curve by "
            f"{wording.with_unit(wording.number(best.departure_k, 3, 'up'), 'K')}."
        )
    remedy = f"Allow {wording.count(least.steps, 'step')}, " if least else "Allow more steps, "
    return Refused(
        "too_many_steps",
        "too many steps for this controller",
        why,
        remedy + "a larger departure, or split the run.",
        field="step_limit",
    )


def _fewer_picture(points, kept, found, departure) -> Plot:
    zero = constant("general.zero_celsius")
    place = lambda p: (p[0] / 60, p[1] - zero)  # noqa: E731
    return Plot(
        sentence=f"With {wording.count(found.steps, 'step')} the programme stays within {departure} of the curve",
        description=f"The curve given with {len(points)} corners and the shorter programme with {len(kept)}, "
                    f"temperature against time.",
        x=Axis("Time", "min"),
        y=Axis("Temperature", "°C"),
        curves=(Curve("given", [place(p) for p in points], dash="dotted"), Curve("shorter", [place(p) for p in kept])),
        table=Table("Corners that remain", ("Corner", "Time, min", "Temperature, °C"),
                    [(f"{i + 1}", *(wording.number(x, 4) for x in place(points[i]))) for i in found.knots]),
    )  # fmt: skip


def _fewer_notes(path, inputs) -> tuple[str, ...]:
    step = inputs["time_step"]
    off = [n for n, leg in enumerate(path, 1) if abs(leg.duration_s / step - ceil(leg.duration_s / step - 1e-9)) > 1e-6]
    if not off:
        return ()
    real = rounded(path, step)
    after, before = sum(leg.duration_s for leg in real), sum(leg.duration_s for leg in path)
    return (
        f"With times in steps of {inputs.said('time_step')} it takes {wording.duration(after)} instead of "
        f"{wording.duration(before)}.",
    )
