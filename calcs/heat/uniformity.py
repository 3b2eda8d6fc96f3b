"""Temperature survey: how uneven a chamber is, by readings at several places, and how sure such a reading is."""

import re
from dataclasses import dataclass
from math import sqrt

from calcs import wording
from calcs.core import (
    Answer,
    Caution,
    Column,
    Estimate,
    Figures,
    OutOfRange,
    Range,
    ReadOff,
    Refused,
    Shown,
    Work,
    judge,
    worst,
)
from calcs.data import constant, rows
from calcs.form import Field, Form, Problem, Problems
from calcs.heat.log_rows import NEXT, TIME, VALUE
from calcs.picture import Bar, Bars, Circle, Drawing, Limit, Line, Rect, Table, Text

PAGE = "HT-07"

SURVEY, UNCERTAINTY = "survey", "uncertainty"
IN_SURVEY, IN_UNCERTAINTY = (SURVEY,), (UNCERTAINTY,)
LEAST_SENSORS, MOST_SENSORS = 5, 40  # fewer corners than five say nothing about a box; ours
FEW_SAMPLES = 5  # fewer readings a sensor than this is said; common practice, no source
SETTLED_S = 600.0  # over so long a drift is looked at; common practice, no source
NONE = "none"

# Where the sensors of the nine-point plan sit, by number; words of place in a name are understood too.
PLACES = {
    "1": ("low", "front", "left"), "2": ("low", "front", "right"), "3": ("low", "rear", "left"),
    "4": ("low", "rear", "right"),
    "5": ("high", "front", "left"), "6": ("high", "front", "right"), "7": ("high", "rear", "left"),
    "8": ("high", "rear", "right"), "9": ("centre",),
}  # fmt: skip
WORDS = {"low": 0, "bottom": 0, "high": 0, "top": 0, "front": 1, "door": 1, "rear": 1, "back": 1, "left": 2, "right": 2}
SAME = {"bottom": "low", "top": "high", "door": "front", "back": "rear", "middle": "centre", "center": "centre"}

DIFFERENCE = Range("0 K", "200 K", because="More is a fault, not an uncertainty.")
WORK_VOLUME = Range("0 L", "6400 L", above=True, because="For larger zones this page knows no plan.")
NAME = Field("sensor", "Sensor", "text", "1")
SURVEY_ROW = rf"(?P<sensor>\w[\w -]{{0,30}}?){NEXT}{TIME}{NEXT}(?P<reading>{VALUE})"
CORRECTION_ROW = rf"(?P<sensor>\w[\w -]{{0,30}}?){NEXT}(?P<correction>[-+−]?[\d.]{{1,10}} *°? *[KCF])"

READINGS = {
    "1": (597.9, 598.2), "2": (598.6, 598.9), "3": (600.3, 600.5), "4": (600.9, 601.2), "5": (599.2, 599.4),
    "6": (599.8, 600.1), "7": (602.0, 602.3), "8": (602.5, 602.9), "9": (600.6, 600.9),
}  # fmt: skip
CORRECTIONS = {"1": 0.4, "2": -0.3, "3": 0.1, "4": -0.2, "5": 0.3, "6": 0.0, "7": -0.4, "8": 0.2, "9": -0.3}

FORM = Form(
    question="How uneven is the chamber?",
    modes=(SURVEY, UNCERTAINTY),
    ask=("set_temperature", "survey_limit", "survey", "sensor_uncertainty", "instrument_uncertainty", "junction_error",
         "reading_step", "drift_allowance", "repeatability"),
    fields=(
        Field("set_temperature", "Temperature set", "temperature", "600 °C", modes=IN_SURVEY,
              accepted=Range("0 °C", "3500 °C"), hint="What the controller was asked for."),
        Field("survey_limit", "Limit, plus or minus", "temperature difference", "6 K", modes=IN_SURVEY, optional=True,
              accepted=Range("0 K", "500 K", above=True), hint="What the work allows."),
        Field("survey", "Readings after settling (rows: sensor, time, reading)", "table",
              tuple({"sensor": name, "time": f"{2 * n} min", "reading": f"{t:.1f} °C"}
                    for name, found in READINGS.items() for n, t in enumerate(found)),
              modes=IN_SURVEY, optional=True, rows_allowed=(1, 400), row=SURVEY_ROW,
              hint="Sensors 1 to 4 low, 5 to 8 high, 9 in the middle: 1 0 min 597.9 °C.",
              columns=(NAME, Field("time", "Time", "time", "0 min", accepted=Range("0 s", "1000 h")),
                       Field("reading", "Reading", "temperature", "600.6 °C", accepted=Range("0 °C", "3500 °C")))),
        Field("corrections", "Corrections to add (rows: sensor, correction)", "table",
              tuple({"sensor": name, "correction": f"{k:+.1f} K"} for name, k in CORRECTIONS.items()), modes=IN_SURVEY,
              optional=True, rows_allowed=(1, MOST_SENSORS), row=CORRECTION_ROW,
              hint="To add to the reading, from the certificate: 1 -0.3 K.",
              columns=(NAME, Field("correction", "Correction", "temperature difference", "-0.3 K",
                                   accepted=Range("-100 K", "100 K")))),
        Field("survey_uncertainty", "Expanded uncertainty of a reading", "temperature difference", "1.8 K",
              modes=IN_SURVEY, optional=True, accepted=DIFFERENCE, hint="From the other use of this page."),
        Field("work_volume", "Volume surveyed", "volume", "16 L", modes=IN_SURVEY, optional=True,
              accepted=WORK_VOLUME,
              hint="The space between the outer sensors."),
        Field("maximum_temperature", "Highest chamber temperature in this gas", "temperature", "1050 °C",
              modes=IN_SURVEY, optional=True, accepted=Range("0 °C", "3500 °C", above=True),
              hint="From the furnace's manual."),
        Field("sensor_uncertainty", "Sensor certificate, U at k = 2", "temperature difference", "1.0 K",
              modes=IN_UNCERTAINTY, accepted=DIFFERENCE, hint="From the sensor's certificate."),
        Field("instrument_uncertainty", "Instrument certificate, U at k = 2", "temperature difference", "0.7 K",
              modes=IN_UNCERTAINTY, accepted=DIFFERENCE, hint="From the instrument's certificate."),
        Field("junction_error", "Error of the reference junction, plus or minus", "temperature difference", "0.5 K",
              modes=IN_UNCERTAINTY, accepted=DIFFERENCE, hint="From the instrument's manual; a limit."),
        Field("reading_step", "Smallest step of the reading", "temperature difference", "0.1 K", modes=IN_UNCERTAINTY,
              accepted=DIFFERENCE, hint="Last digit that is logged."),
        Field("drift_allowance", "Drift and inhomogeneity, plus or minus", "temperature difference", "0.9 K",
              modes=IN_UNCERTAINTY, accepted=DIFFERENCE, hint="Since the certificate; a limit."),
        Field("repeatability", "Scatter of repeats, standard deviation", "temperature difference", "0.3 K",
              modes=IN_UNCERTAINTY, accepted=DIFFERENCE, hint="Of repeated readings at one place."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("highest_deviation", "Hottest place against the set temperature", "temperature difference", "K", "up", 2,
          IN_SURVEY),
    Shown("lowest_deviation", "Coldest place against the set temperature", "temperature difference", "K", "down", 2,
          IN_SURVEY),
    Shown("span", "Hottest to coldest", "temperature difference", "K", "up", 2, IN_SURVEY),
    Shown("class_met", "Smallest class limit met", "choice", modes=IN_SURVEY),
    Shown("class_met_with_uncertainty", "The same with uncertainty", "choice", modes=IN_SURVEY),
    Shown("standard_uncertainty", "Combined standard uncertainty", "temperature difference", "K", "up", 3,
          IN_UNCERTAINTY),
    Shown("expanded_uncertainty", "Expanded uncertainty, k = 2", "temperature difference", "K", "up", 3,
          IN_UNCERTAINTY),
    Shown("places", "Each sensor", "table", modes=IN_SURVEY, columns=(
        Column("sensor", "Sensor"),
        Column("place", "Place"),
        Column("mean", "Mean", "temperature", "°C", 5),
        Column("lowest", "Lowest", "temperature", "°C", 5, "down"),
        Column("highest", "Highest", "temperature", "°C", 5, "up"),
    )),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Expanded uncertainty (k = 2) of a reading: instrument 0.7 K, junction ± 0.5 K, step 0.1 K, "
        "scatter 0.3 K",
        down=("sensor_uncertainty", ("0.5 K", "1.0 K", "2.0 K", "4.0 K")),
        across=("drift_allowance", ("0.5 K", "1 K", "2 K", "4 K")),
        figures=("expanded_uncertainty",),
        given={"mode": UNCERTAINTY},
    ),
)


# ---------------------------------------------------------------- physics


@dataclass(frozen=True)
class Place:
    """One sensor of a survey: name, place in words, and its corrected mean, lowest and highest reading, K."""

    sensor: str
    place: tuple[str, ...]
    mean_k: float
    lowest_k: float
    highest_k: float
    drift_k_per_s: float

    @property
    def said(self) -> str:
        """The place in words, else the sensor's name."""
        return ", ".join(self.place) if self.place else f"sensor {self.sensor}"


def place_of(sensor: str) -> tuple[str, ...]:
    """Return where a sensor sits: ("low", "front", "left"), ("centre",), or () where its name does not say.

    Args:
        sensor: 1 to 9 of the nine-point plan, or words of place such as "low front left".

    Source:
        the numbering is ours; no standard fixes one.
    """
    if sensor in PLACES:
        return PLACES[sensor]
    words = [SAME.get(word, word) for word in re.split(r"[ _-]+", sensor.casefold())]
    if words == ["centre"]:
        return ("centre",)
    if sorted(WORDS.get(word, -1) for word in words) == [0, 1, 2]:
        return tuple(sorted(words, key=WORDS.__getitem__))
    return ()


def places(readings: list[tuple[str, float, float]], corrections: dict[str, float]) -> list[Place]:
    """Return every sensor's corrected readings.

    Args:
        readings: (sensor, time s, reading K).
        corrections: sensor to the correction that is added, K; a sensor that is missing has 0.

    Source:
        corrected reading = reading + correction (JCGM 100, 3.2.3).
    """
    found: dict[str, list] = {}
    for sensor, time, reading in readings:
        found.setdefault(sensor, []).append((time, reading + corrections.get(sensor, 0.0)))
    places_ = []
    for name, got in found.items():
        values = [y for _, y in got]
        mean = sum(values) / len(values)
        places_.append(Place(name, place_of(name), mean, min(values), max(values), _slope(got)))
    return places_


def _slope(got) -> float:
    n = len(got)
    mean_t, mean_y = sum(t for t, _ in got) / n, sum(y for _, y in got) / n
    spread = sum((t - mean_t) ** 2 for t, _ in got)
    return sum((t - mean_t) * (y - mean_y) for t, y in got) / spread if spread > 0 else 0.0


def class_met(deviation_k: float) -> str:
    """Return the smallest class whose uniformity limit a deviation keeps: "class 1" to "class 6", or "none".

    Args:
        deviation_k: largest deviation from the set temperature either way, K, 0 or more.

    Source:
        SAE AMS2750, limits of the classes; data/heat/uniformity_classes.csv.
    """
    for row in rows("heat/uniformity_classes.csv"):
        if deviation_k <= float(row["limit_k"]) * (1 + 1e-9):
            return f"class {row['class']}"
    return NONE


def sensors_needed(volume_m3: float) -> int:
    """Return how many sensors the plan of a survey asks for.

    Args:
        volume_m3: work zone, m³, at most 6.4.

    Raises:
        OutOfRange: a larger zone.

    Source:
        SAE AMS2750, sensors against volume (known, source not looked up).
    """
    if volume_m3 > constant("uniformity.large_zone") * (1 + 1e-9):
        raise OutOfRange("Volume surveyed", volume_m3, WORK_VOLUME)
    return LEAST_SENSORS if volume_m3 <= constant("uniformity.small_zone") else len(PLACES)


def combined_uncertainty(parts: list[float]) -> float:
    """Return the combined standard uncertainty, K: the root of the sum of squares.

    Args:
        parts: standard uncertainties of independent parts, K.

    Source:
        JCGM 100, 5.1.2.
    """
    return sqrt(sum(u * u for u in parts))


def standard_parts(
    sensor_k: float, instrument_k: float, junction_k: float, step_k: float, drift_k: float, scatter_k: float
) -> dict[str, float]:
    """Return the standard uncertainty of each part of a survey reading, K.

    Args:
        sensor_k: expanded uncertainty of the sensor's certificate at k = 2, K.
        instrument_k: expanded uncertainty of the instrument's certificate at k = 2, K.
        junction_k: limit of the reference junction, plus or minus, K; a value anywhere within it.
        step_k: smallest step of the reading, K.
        drift_k: limit of drift and inhomogeneity, plus or minus, K; a value anywhere within it.
        scatter_k: standard deviation of repeats, K.

    Source:
        JCGM 100: 4.3.3 for certificates, 4.3.7 for limits, F.2.2.1 for the step, 4.2 for repeats.
    """
    k = constant("thermocouple.coverage")
    return {
        "sensor": sensor_k / k, "instrument": instrument_k / k, "reference junction": junction_k / sqrt(3),
        "step of the reading": step_k / sqrt(12), "drift and inhomogeneity": drift_k / sqrt(3), "scatter": scatter_k,
    }  # fmt: skip


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return how uneven a chamber is, or how sure a reading of a survey is.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    return _survey(inputs) if inputs.mode == SURVEY else _uncertainty(inputs)


def _celsius(kelvin: float) -> str:
    return wording.with_unit(wording.plain_number(round(kelvin - constant("general.zero_celsius"), 1)), "°C")


def _kelvin(value: float, towards: str = "up", digits: int = 2) -> str:
    return wording.with_unit(wording.number(value, digits, towards), "K")


def _survey(inputs) -> Answer:
    _refuse(inputs)
    readings = [(row["sensor"], row["time"], row["reading"]) for row in inputs["survey"]]
    corrections, missing = _corrections(inputs, readings)
    found = places(readings, corrections)
    _refuse_few(inputs, found)
    _check_times(readings, found)
    set_k = inputs["set_temperature"]
    hottest, coldest = max(found, key=lambda p: p.highest_k), min(found, key=lambda p: p.lowest_k)
    high, low = hottest.highest_k - set_k, coldest.lowest_k - set_k
    largest = max(high, -low, 0.0)
    expanded, limit = inputs["survey_uncertainty"], inputs["survey_limit"]
    drift = _drift(readings, found)
    verdict = _verdict(largest, expanded, limit, drift)
    figures = FIGURES.fill(
        highest_deviation=_deviation(high, expanded), lowest_deviation=_deviation(low, expanded),
        span=hottest.highest_k - coldest.lowest_k, class_met=class_met(largest),
        class_met_with_uncertainty=class_met(largest + expanded) if expanded is not None else None,
        places=[{"sensor": p.sensor, "place": ", ".join(p.place) or "–", "mean": p.mean_k, "lowest": p.lowest_k,
                 "highest": p.highest_k} for p in found],
    )  # fmt: skip
    return Answer(
        sentence=_survey_sentence(inputs, figures, hottest, coldest, high, low, largest),
        verdict=verdict,
        judged=limit is not None,
        figures=figures,
        leaves_out=(
            "another temperature, another gas or vacuum, and another load: each needs its own survey",
            "what happens on the way: overshoot before settling is not in these readings",
            "places between the sensors, and the differences that are the sensors' own",
        ),
        cautions=SURVEY_CAUTIONS,
        pictures=(_survey_picture(found, set_k, hottest, coldest, limit),),
        working=_survey_working(found, set_k, hottest, coldest, high, low, largest, expanded, limit),
        notes=_survey_notes(readings, found, missing, drift, inputs),
    )


def _deviation(value: float, expanded: float | None):
    if expanded is None:
        return value
    return Estimate(value, value - expanded, value + expanded, cause="uncertainty of a reading")


def _refuse(inputs) -> None:
    if not inputs["survey"]:
        raise Refused(
            "no_readings", "there are no readings",
            "How uneven a chamber is can only be measured.",
            "Put sensors in the corners and the middle, let it settle, and log them.", field="survey",
        )  # fmt: skip
    if len(_units_typed(inputs.texts.get("survey"))) > 1:
        raise Refused(
            "mixed_units", "the readings are in different units",
            "Degrees Celsius, Fahrenheit and kelvin in one table are more often a slip than meant.",
            "Type all readings in one unit.", field="survey",
        )  # fmt: skip
    maximum = inputs["maximum_temperature"]
    if maximum is not None and inputs["set_temperature"] > maximum:
        raise Refused(
            "outside_furnace", "above the furnace's highest temperature",
            f"The survey was set to {inputs.said('set_temperature')}; this furnace may reach {_celsius(maximum)}.",
            "Check the temperature set, or the furnace.", field="set_temperature",
        )  # fmt: skip


def _units_typed(typed) -> set[str]:
    """Return the letters of the temperature units as typed: C, F, K."""
    if isinstance(typed, str):
        texts = re.split(r"[·;\n]", typed)
    else:
        cells = [row.get("reading", "") for row in typed or ()]
        texts = [f"{c.get('text', '')} {c.get('unit') or ''}" if isinstance(c, dict) else str(c) for c in cells]
    found = (re.search(r"([CFK])[a-z]*\s*$", text.strip(), re.IGNORECASE) for text in texts)
    return {match[1].upper() for match in found if match}


def _corrections(inputs, readings) -> tuple[dict[str, float], list[str]]:
    """Return the corrections by sensor, and the sensors without one."""
    known = dict.fromkeys(name for name, _, _ in readings)
    found: dict[str, float] = {}
    for number, row in enumerate(inputs["corrections"] or ()):
        name = row["sensor"]
        if name not in known or name in found:
            what = "stands twice" if name in found else "has no reading"
            raise Problems({"corrections": Problem(
                f"Corrections, row {number + 1}: sensor “{name[:20]}” {what}.", cell=(number, "sensor"),
            )})  # fmt: skip
        found[name] = row["correction"]
    return found, [name for name in known if name not in found]


def _refuse_few(inputs, found) -> None:
    volume = inputs["work_volume"]
    needed = sensors_needed(volume) if volume is not None else LEAST_SENSORS
    if len(found) < needed:
        zone = f" for {inputs.said('work_volume')}" if volume is not None else ""
        raise Refused(
            "too_few_sensors", "too few sensors for this space",
            f"{wording.count(len(found), 'sensor')}; a survey{zone} needs {needed}.",
            "Survey the corners and the middle, or a smaller zone.", field="survey",
        )  # fmt: skip
    if len(found) > MOST_SENSORS:
        raise Problems({"survey": f"Readings: {len(found)} sensors; this takes up to {MOST_SENSORS}."})


def _check_times(readings, found) -> None:
    by_sensor: dict[str, list] = {}
    for name, time, _ in readings:
        by_sensor.setdefault(name, []).append(time)
    first = by_sensor[found[0].sensor]
    for name, times in by_sensor.items():
        if len(set(times)) < len(times):
            raise Problems({"survey": f"Readings: sensor “{name[:20]}” has two readings at one time."})
        if sorted(times) != sorted(first):
            raise Problems({"survey": (
                f"Readings: sensor “{name[:20]}” was not read at the same times as sensor “{found[0].sensor[:20]}”. "
                "A hot place and a cold one are compared at one moment."
            )})  # fmt: skip


def _drift(readings, found) -> float | None:
    """Return the largest drift of a sensor, K in 10 min; None where the readings do not last so long."""
    times = [time for _, time, _ in readings]
    if max(times) - min(times) < SETTLED_S * (1 - 1e-9):
        return None
    return max(abs(p.drift_k_per_s) for p in found) * SETTLED_S


def _verdict(largest: float, expanded: float | None, limit: float | None, drift: float | None) -> str:
    if limit is None:
        return "within"
    if expanded is None:
        verdict = judge(largest, limit)
    else:
        verdict = judge(largest, limit, largest + expanded, margin=0.0)
    return worst([verdict, "close"]) if drift is not None and drift > constant("uniformity.settled") else verdict


def _survey_sentence(inputs, figures, hottest, coldest, high, low, largest) -> str:
    def against(value, towards):
        if abs(value) < 5e-3:
            return "at the temperature set"
        return f"{_kelvin(abs(value), 'up')} {'above' if value > 0 else 'under'} the temperature set"

    said = f"Coldest place ({coldest.said}) {against(low, 'down')}, hottest ({hottest.said}) {against(high, 'up')}"
    limit, expanded = inputs["survey_limit"], inputs["survey_uncertainty"]
    if limit is not None:
        kept = largest <= limit * (1 + 1e-9)
        said += f"; ±{wording.NO_BREAK}{inputs.said('survey_limit')} {'is kept' if kept else 'is not kept'}"
        if expanded is not None and kept != (largest + (expanded if kept else -expanded) <= limit * (1 + 1e-9)):
            said += f", but by less than the uncertainty of {inputs.said('survey_uncertainty')}"
    name = figures["class_met"].value
    said += f"; it keeps the uniformity limit of {name}" if name != NONE else "; it keeps the limit of no class"
    return f"{said}."


SURVEY_CAUTIONS = (
    Caution("WARNING", "Wires through the door",
            "Survey wires spoil the seal: air gets to hot work, hot gas gets out, and sealed sheaths can burst with "
            "steam.",
            "Use the furnace's own lead-through, dry the sheaths first, and keep flammable gas and vacuum out of the "
            "survey."),
    Caution("WARNING", "Fibre dust",
            "Placing sensors in a fibre-lined chamber raises dust that harms the lungs for good.",
            "Wear the mask that your site names, wet the dust and never blow it out."),
)  # fmt: skip


def _survey_working(found, set_k, hottest, coldest, high, low, largest, expanded, limit) -> tuple[Work, ...]:
    zero = constant("general.zero_celsius")
    steps = [
        Work("Corrected readings", "reading + correction", f"{wording.count(len(found), 'sensor')}",
             f"highest {hottest.highest_k - zero:.5g} °C (sensor {hottest.sensor}), lowest "
             f"{coldest.lowest_k - zero:.5g} °C "
             f"(sensor {coldest.sensor})", source="jcgm-100"),
        Work("Deviations", "d₊ = highest − set, d₋ = lowest − set", f"set {set_k - zero:.5g} °C",
             f"d₊ = {high:.4g} K, d₋ = {low:.4g} K, span {high - low:.4g} K"),
        Work("Class", "smallest limit that max(d₊, −d₋) keeps", f"max = {largest:.4g} K", class_met(largest),
             source="ams2750"),
    ]  # fmt: skip
    if expanded is not None and limit is not None:
        steps.append(Work("With uncertainty", "max + U against the limit", f"{largest:.4g} K + {expanded:.4g} K",
                          f"{largest + expanded:.4g} K against {limit:.4g} K", source="jcgm-100"))  # fmt: skip
    return tuple(steps)


def _survey_notes(readings, found, missing, drift, inputs) -> tuple[str, ...]:
    notes = []
    if missing:
        names = (
            "every sensor" if len(missing) == len(found) else f"sensor {wording.listed(name[:20] for name in missing)}"
        )
        notes.append(f"No correction is given for {names}: 0 K is used.")
    samples = min(sum(name == p.sensor for name, _, _ in readings) for p in found)
    if samples < FEW_SAMPLES:
        notes.append(
            f"Only {wording.count(samples, 'reading')} a sensor: the slow swing of the control is hardly in them."
        )
    times = sorted({time for _, time, _ in readings})
    gap = max((b - a for a, b in zip(times, times[1:], strict=False)), default=0.0)
    if gap > constant("uniformity.interval") * (1 + 1e-9):
        notes.append("The readings lie more than 2 min apart: a swing between them is not seen.")
    if drift is None:
        notes.append("The readings last less than 10 min: whether it had settled is taken on trust.")
    elif drift > constant("uniformity.settled"):
        notes.append(f"Not settled: one sensor drifts by {_kelvin(drift)} in 10 min. Wait, and read again.")
    if inputs["survey_uncertainty"] is None:
        notes.append("No uncertainty of a reading is given: see the other use of this page.")
    notes.append(
        "The limit of a class is one thing, the class itself another: that covers sensors, instruments and intervals."
    )
    return tuple(notes)


# ---- pictures


def _signed(value: float) -> str:
    """Return a deviation in K to a tenth, with its sign: no survey is better than that."""
    text = f"{value:+.1f}"
    return "0.0" if float(text) == 0 else text.replace("-", "−")


def _survey_picture(found: list[Place], set_k, hottest, coldest, limit):
    by_place = {p.place: p for p in found if p.place}
    sentence = f"Coldest: {coldest.said}; hottest: {hottest.said}"
    table = Table(
        "Deviation from the temperature set, K", ("Place", "Mean", "Lowest", "Highest"),
        [(f"{p.sensor}: {p.said}" if p.place else p.sensor, _signed(p.mean_k - set_k), _signed(p.lowest_k - set_k),
          _signed(p.highest_k - set_k)) for p in found],
    )  # fmt: skip
    if len(by_place) < len(found) or len(found) > len(PLACES):
        bars = [Bar(p.said, p.mean_k - set_k, p.lowest_k - set_k, p.highest_k - set_k) for p in found]
        limits = () if limit is None else (Limit("limit", limit), Limit("limit", -limit))
        if not any(v for bar in bars for v in (bar.value, bar.low, bar.high)) and not limits:
            limits = (Limit("1 K", 1.0),)
        said = "Deviation of each sensor from the temperature set, in K, with its range."
        return Bars(sentence=sentence, description=said,
                    unit="K", bars=bars, limit=limits, table=table)  # fmt: skip
    shapes = [Text(8, 22, "Mean deviation in K", style="small")]
    for left, top, title, across, up, behind in (
        (70, 84, "From the front: front | rear", ("left", "right"), ("high", "low"), ("front", "rear")),
        (286, 84, "From the left: left | right", ("front", "rear"), ("high", "low"), ("left", "right")),
        (70, 280, "From above: high | low", ("left", "right"), ("rear", "front"), ("high", "low")),
    ):
        shapes += _view(by_place, set_k, left, top, title, across, up, behind, hottest, coldest)
    shapes += _legend(hottest, coldest)
    return Drawing(
        sentence=sentence,
        description="The chamber from the front, from the left and from above, with the mean deviation of each sensor "
        "from the "
        "temperature set, in K; each corner of a view shows the nearer and the farther sensor.",
        view_box=(0, 0, 440, 386),
        shapes=shapes,
        table=table,
    )


def _view(by_place, set_k, left, top, title, across, up, behind, hottest, coldest) -> list:
    """Return one view: a box, a point in each corner and in the middle, and the deviations beside them."""
    width, height = 104, 74
    shapes = [Text(left + width / 2, top - 40, title, anchor="middle", style="small"), Rect(left, top, width, height)]
    for i, side in enumerate(across):
        for j, level in enumerate(up):
            x, y = left + i * width, top + j * height
            both = [by_place.get(_ordered(side, level, depth)) for depth in behind]
            shapes += _points(x, y, [p for p in both if p], hottest, coldest)
            label = " | ".join(_signed(p.mean_k - set_k) if p else "–" for p in both)
            shapes.append(Text(x, y - 10 if j == 0 else y + 22, label, anchor="middle", style="small"))
    if centre := by_place.get(("centre",)):
        x, y = left + width / 2, top + height / 2
        shapes += _points(x, y, [centre], hottest, coldest)
        shapes.append(Text(x, y + 20, _signed(centre.mean_k - set_k), anchor="middle", style="small"))
    return shapes


def _points(x, y, here, hottest, coldest) -> list:
    if hottest in here:
        return [Circle(x, y, 6, "filled")]
    if coldest in here:
        return [Circle(x, y, 6), Line(x - 6, y, x + 6, y), Line(x, y - 6, x, y + 6)]
    return [Circle(x, y, 4)]


def _ordered(*words: str) -> tuple[str, ...]:
    return tuple(sorted(words, key=WORDS.__getitem__))


def _legend(hottest, coldest) -> list:
    x, y = 250, 290
    return [
        Circle(x, y, 6, "filled"), Text(x + 14, y + 5, "hottest place", style="small"),
        Circle(x, y + 28, 6), Line(x - 6, y + 28, x + 6, y + 28), Line(x, y + 22, x, y + 34),
        Text(x + 14, y + 33, "coldest place", style="small"),
        Circle(x, y + 56, 4), Text(x + 14, y + 61, "other places", style="small"),
    ]  # fmt: skip


# ---- uncertainty


def _uncertainty(inputs) -> Answer:
    asked = [f.name for f in FORM.fields if f.modes == IN_UNCERTAINTY]  # in the order of standard_parts
    parts = standard_parts(*(inputs[name] for name in asked))
    combined = combined_uncertainty(list(parts.values()))
    if combined <= 0:
        raise Problems(
            {"sensor_uncertainty": "Sensor certificate: with every part at zero there is nothing to add up."}
        )
    expanded = constant("thermocouple.coverage") * combined
    figures = FIGURES.fill(standard_uncertainty=combined, expanded_uncertainty=expanded)
    largest = max(parts, key=parts.__getitem__)
    share = parts[largest] ** 2 / combined**2
    percent = wording.with_unit(wording.number(share * 100, 2), "%")
    table_rows = [
        (name, wording.number(u, 3), wording.number(u * u / combined**2 * 100, 2)) for name, u in parts.items()
    ]
    return Answer(
        sentence=f"A reading of this survey is good to ±{wording.NO_BREAK}{figures['expanded_uncertainty'].text} (k = "
        "2); "
        f"the largest part is {largest}.",
        figures=figures,
        leaves_out=(
            "where the sensor sits, and heat led away along its wires, which counts for thin sensors and in vacuum",
            "parts that move together: two sensors of one batch drift alike",
            "the difference between chamber and load",
        ),
        pictures=(Bars(
            sentence=f"The largest part, {percent} of the square, is {largest}",
            description="Standard uncertainty of each part in K, and of all together.",
            unit="K",
            bars=[*(Bar(name, u) for name, u in parts.items()), Bar("all together", combined)],
            table=Table("Parts of the uncertainty", ("Part", "Standard uncertainty, K", "Share of the square, %"),
                        table_rows),
        ),),
        working=(
            Work("Parts", "U/2 for certificates, a/√3 for limits, q/√12 for the step, s for repeats",
                 "; ".join(f"{name} {u:.4g} K" for name, u in parts.items()), "", ("thermocouple.coverage",),
                 "jcgm-100"),
            Work("Together", "u = √(Σ uᵢ²), U = k u", "", f"u = {combined:.4g} K, U = {expanded:.4g} K",
                 ("thermocouple.coverage",), "jcgm-100"),
        ),
    )  # fmt: skip
