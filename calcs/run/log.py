"""A log of a run against its plan: lined up, compared, its soak, pressure and sensors looked at."""

from calcs import logs, wording
from calcs.core import Answer, Caution, Column, Figures, Range, Refused, Shown, Work, worst
from calcs.data import constant
from calcs.form import Field, Form, Problem, Problems
from calcs.heat.segments import legs, segments_field
from calcs.run import log_check, log_pictures
from calcs.run.log_check import DIP, JUMP, STUCK, TOO_HOT, Check, kelvin
from calcs.run.log_example import EXAMPLE_LOG
from calcs.run.said import celsius

PAGE = "RUN-04"

AUTOMATIC, BY_TIME, BY_RISE = "automatic", "by time", "by first rise"
TEMPERATURE = Range("0 °C", "3500 °C", above=True, because="No furnace of this kind goes there.")
COLDEST_K, HOTTEST_K = 173.15, 3773.15  # readings outside these are in another unit; ours
# What the reader of logs says, under the keys of this calculator.
REASONS = {"no_time": "time_unreadable", "no_heading": "unit_unknown", "no_temperature": "unit_unknown"}

FORM = Form(
    question="Did the run do what the card said?",
    ask=("log", "start_temperature", "segments", "ambient_pressure"),
    fields=(
        Field("log", "Log (table, or the text of a log file)", "log", EXAMPLE_LOG,
              hint="Choose the logger's file, or paste its rows."),
        Field("start_temperature", "Temperature at the start", "temperature", "20 °C", optional=True,
              accepted=Range("0 °C", "3500 °C", because="No furnace of this kind starts there."),
              hint="Where the programme begins."),
        segments_field(
            ({"kind": "ramp", "to": "600 °C", "rate": "5 K/min"}, {"kind": "soak", "time": "30 min"},
             {"kind": "cool", "to": "60 °C"}),
            optional=True, hint="From the card: one row for each segment.",
        ),
        Field("soak_temperature", "Soak temperature", "temperature", "600 °C", optional=True, in_example=False,
              accepted=TEMPERATURE, hint="Instead of the programme."),
        Field("soak_time", "Soak time, load at temperature", "time", "30 min", optional=True,
              accepted=Range("0 s", "200 h", above=True, because="No soak of this class lasts longer."),
              hint="Empty: that of the programme."),
        Field("tolerance", "Temperature band, plus or minus", "temperature difference", "5 K", default="5 K",
              accepted=Range("0.5 K", "50 K", because="A sensor tells no less, and a band no more.")),
        Field("ambient_pressure", "Ambient pressure (barometer in the room)", "absolute pressure", "995 mbar",
              optional=True, accepted=Range("540 mbar", "1085 mbar", because="Nowhere do people work outside it."),
              hint="On the day of the run."),
        Field("hot_threshold", "Hot above", "temperature", "150 °C", default="150 °C",
              accepted=Range("20 °C", "1500 °C", above=True, because="Below it nothing oxidises."),
              hint="From there pressure and flow are judged."),
        Field("alignment", "How to line up with the plan", "choice", AUTOMATIC, choices=(AUTOMATIC, BY_TIME, BY_RISE),
              default=AUTOMATIC, hint="By time: the first row is the start."),
        Field("ramp_from", "Measure the ramp from", "temperature", "100 °C", optional=True, accepted=TEMPERATURE,
              hint="Empty: after a tenth of the rise."),
        Field("ramp_to", "Measure the ramp to", "temperature", "500 °C", optional=True, accepted=TEMPERATURE,
              hint="Empty: after nine tenths of it."),
        Field("activation_energy", "Activation energy", "molar energy", "150 kJ/mol", optional=True,
              accepted=Range("20 kJ/mol", "900 kJ/mol", because="No process in a furnace lies outside."),
              hint="Only for the equivalent time.", find="equivalence"),
        Field("reference_temperature", "Temperature to compare at", "temperature", "600 °C", optional=True,
              accepted=TEMPERATURE, hint="Empty: that of the soak."),
        Field("continuous_temperature", "Continuous rating", "temperature", "1000 °C", optional=True,
              accepted=TEMPERATURE),
        Field("maximum_temperature", "Highest chamber temperature in this gas", "temperature", "1050 °C", optional=True,
              accepted=TEMPERATURE),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("findings", "Findings", "table", columns=(
        Column("number", "Number"), Column("what", "What"), Column("verdict", "Verdict"), Column("when", "When"),
        Column("from", "From", "time", "min", 4), Column("to", "To", "time", "min", 4),
    )),
    Shown("shift", "Start late by, lag included", "time", "min", "near", 3),
    Shown("time_in_band", "Time within the band, all", "time", "min", "down", 4),
    Shown("unbroken_time_in_band", "Longest unbroken time within the band", "time", "min", "down", 4),
    Shown("overshoot", "Overshoot", "temperature difference", "K", "up", 2),
    Shown("largest_deviation", "Largest deviation from the plan", "temperature difference", "K", "up", 2),
    Shown("ramp_measured", "Ramp measured", "ramp rate", "K/min", "near", 3),
    Shown("equivalent_time", "Equivalent time at the reference temperature", "time", "min", "near", 3),
    Shown("time_above_continuous", "Time above the continuous rating", "time", "min", "up", 3),
    Shown("lowest_overpressure", "Lowest pressure while hot, against the room", "gauge pressure", "mbar", "down", 3),
    Shown("energy", "Energy", "energy", "kWh", "up", 3),
    Shown("rows_read", "Rows read, and left out", "table", columns=(Column("what", "What"), Column("rows", "Rows"))),
)  # fmt: skip

READ_OFF = ()


def answer(inputs) -> Answer:
    """Return what a log says beside its plan.

    Args:
        inputs: of FORM, as read.

    Source:
        the rules of calcs.run.log_plan and log_faults; house thresholds log.*.
    """
    path = _path(inputs)
    log = _log(inputs)
    found = log_check.check(inputs, log, path)
    verdict = worst(f.verdict for f in found.findings)
    figures = _figures(found)
    return Answer(
        sentence=_sentence(found, figures),
        verdict=verdict,
        judged=bool(found.plan or found.wanted_soak_s or found.lowest or found.findings
                    or inputs["maximum_temperature"] is not None),
        figures=figures,
        leaves_out=_leaves_out(found),
        cautions=_cautions(found),
        pictures=tuple(p for p in (log_pictures.run(found), log_pictures.soak(found)) if p),
        working=_working(found),
        notes=_notes(found),
    )  # fmt: skip


# ---------------------------------------------------------------- reading


def _path(inputs):
    segments, soak = inputs["segments"], inputs["soak_temperature"]
    if segments and soak is not None:
        raise Problems(
            {"soak_temperature": "Programme and Soak temperature say the same thing twice. Leave one of them empty."}
        )
    if segments and inputs["start_temperature"] is None:
        raise Problems(
            {"start_temperature": "Temperature at the start is empty. A programme needs it. Example: 20 °C."}
        )
    if not segments and (inputs["alignment"] != AUTOMATIC or (soak is None and inputs["soak_time"] is not None)):
        raise Refused(
            "no_plan", "there is nothing to compare with",
            "A comparison is asked for, but neither the programme nor a soak temperature is given.",
            "Type the programme of the card, or the soak temperature; or leave soak time and alignment as they were.",
            field="segments",
        )  # fmt: skip
    return legs(segments, inputs["start_temperature"]) if segments else None


def _log(inputs) -> logs.Log:
    label = FORM.by_name["log"].label
    try:
        log = logs.read(inputs["log"])
    except logs.Trouble as trouble:
        if trouble.reason in ("row_unreadable", "gone"):
            raise Problems({"log": Problem(f"{label}: {trouble}".strip())}) from None
        reason = REASONS.get(trouble.reason, trouble.reason)
        raise Refused(reason, trouble.heading, trouble.why, trouble.remedy, field="log") from None
    if len(log) < 2:
        raise Refused("empty_log", "the log has one row", "One row has no length in time.",
                      "Choose the log of the whole run.", field="log")  # fmt: skip
    for column in (log.first(log_check.TEMPERATURE), *log.all(log_check.LOAD)):
        known = [v for v in column.values if v == v]
        if known and not (COLDEST_K < min(known) and max(known) < HOTTEST_K):
            raise Refused("unit_unknown", "the temperatures cannot be right",
                          f"“{logs.short(column.name)}” reads {celsius(min(known))} to {celsius(max(known))}.",
                          "Check the unit in its heading, and take rows of an open sensor out.", field="log")  # fmt: skip
    return log


# ---------------------------------------------------------------- saying


def _figures(found: Check) -> dict:
    log = found.log
    rows = [{"what": "read", "rows": wording.grouped(str(len(log)))},
            {"what": "left out: no reading, or time does not go on", "rows": wording.grouped(str(log.left_out))}]  # fmt: skip
    return FIGURES.fill(
        rows_read=rows,
        shift=found.shift_s,
        time_in_band=found.dwell and found.dwell.total_s,
        unbroken_time_in_band=found.dwell and found.dwell.unbroken_s,
        overshoot=found.over_k,
        largest_deviation=found.largest and abs(found.largest[0]),
        ramp_measured=found.ramp,
        equivalent_time=found.dose and found.dose[0],
        time_above_continuous=found.above_s,
        lowest_overpressure=found.lowest and found.lowest[0],
        energy=found.energy_j,
        findings=[{"number": str(n), "when": _when(found, f), "from": f.from_s, "to": f.to_s, "what": f.what, "verdict": f.verdict}
                  for n, f in enumerate(found.findings, 1)],
    )  # fmt: skip


def _sentence(found: Check, figures) -> str:
    rows = f"{logs.rows_said(len(found.log))} over {wording.duration(found.log.times[-1])}"
    parts = []
    if found.dwell:
        wanted = f" of {wording.duration(found.wanted_soak_s)} wanted" if found.wanted_soak_s else ""
        parts.append(f"within {found.inputs.said('tolerance')} of {celsius(found.target_k)} for "
                     f"{wording.duration(found.dwell.unbroken_s, 'down')} unbroken{wanted}, by the {found.dwell_by}")  # fmt: skip
    if found.largest:
        parts.append(f"at most {figures['largest_deviation'].text} off the plan while it heats and holds")
    told = "; ".join(parts)
    if not found.findings:
        return f"Nothing was found in {rows}{f': {told}' if told else ''}."
    gravest = log_check.gravest(found)
    count = wording.count(len(found.findings), "finding")
    what = f"{gravest.what} ({_when(found, gravest)})"
    head = f"{count} in {rows}; the gravest: {what}." if len(found.findings) > 1 else f"One finding in {rows}: {what}."
    return f"{head}{f' It was {told}.' if told else ''}"


def _when(found: Check, one) -> str:
    if one.from_s == one.to_s:
        return f"at {found.moment(one.from_s)}"
    if found.moment(one.from_s) == found.moment(one.to_s):
        return f"about {found.moment(one.from_s)}"
    return f"{found.moment(one.from_s)} to {found.moment(one.to_s)}"


def _leaves_out(found: Check) -> tuple[str, ...]:
    left = ["what the load had: a log holds what a sensor saw, with the sensor's own error",
            "what lies between two rows: a peak shorter than the interval is not in the log"]  # fmt: skip
    if found.log.first("pressure") is None:
        left.append("the pressure: it was not logged, so nothing is said about air drawn in")
    else:
        left.append("whether the chamber was purged: a clean record of pressure is no proof of it")
    if found.plan and any(leg.duration_s is None for leg in legs(found.inputs["segments"], found.plan.values[0])):
        left.append("the cooling, whose time the plan leaves to the furnace")
    return tuple(left)


def _cautions(found: Check) -> tuple[Caution, ...]:
    kinds = {f.kind for f in found.findings if f.verdict in ("outside", "close")}
    grave = {f.kind for f in found.findings if f.verdict == "outside"}
    cautions = []
    if DIP in kinds:
        cautions.append(Caution(
            "WARNING", "Air drawn into a hot chamber",
            "Air burns hot metal powder, carbon, oil vapour and hydrogen, and spoils load, elements and retort.",
            "Do not heat again until the cause is found: test the leak (VAC-04), the make-up flow and the cylinder.",
        ))  # fmt: skip
    if kinds & {STUCK, JUMP}:
        cautions.append(Caution(
            "WARNING", "A sensor that cannot be trusted",
            "A controller that reads a sensor that stands still or is open heats on, past every limit, to a fire.",
            "Do not heat again until the sensor, its leads and the independent limiter have been tested.",
        ))  # fmt: skip
    if TOO_HOT in grave:
        cautions.append(Caution(
            "WARNING", "Hotter than the furnace bears",
            "Elements, retort and lining age at once, and may fail in the next run with a load in it.",
            "Lock the furnace off and let a competent person inspect it after the furnace's manual.",
        ))  # fmt: skip
    return tuple(cautions)


def _notes(found: Check) -> tuple[str, ...]:
    notes = [found.log.said]
    if found.log.left_out:
        notes.append(f"{logs.rows_said(found.log.left_out)} of the log hold no reading or do not go on in time; they are "
                     "left out.")  # fmt: skip
    interval = log_check.faults.usual_interval(found.log.times)
    notes.append(f"Rows stand {wording.duration(interval)} apart, as a rule: no time here is surer than that.")
    oxygen = log_check.highest_oxygen(found)
    if oxygen is not None and oxygen > 0:
        notes.append(f"Highest oxygen while hot: {wording.with_unit(wording.number(oxygen * 1e6, 3, 'up'), 'ppm')}.")
    if found.planned_dose is not None:
        notes.append(f"To the end of its soak the plan is worth {wording.duration(found.planned_dose)} at "
                     f"{celsius(found.dose[1])}.")  # fmt: skip
    return (*notes, *found.notes)


def _working(found: Check) -> tuple[Work, ...]:
    steps = []
    if found.shift_s is not None:
        steps.append(Work(
            "Lined up", {AUTOMATIC: "Σ (T_log(t + s) − T_plan(t))² smallest, over heating and soak",
                         BY_RISE: "s = first rise of the log less that of the plan", BY_TIME: "s = 0"}[
                             found.inputs["alignment"]],
            "" if found.inputs["alignment"] == BY_TIME else f"rise over the start {kelvin(constant('log.rise'))}",
            f"s = {found.shift_s / 60:.2f} min", ("log.rise",),
        ))  # fmt: skip
    if found.largest:
        steps.append(Work("Largest deviation", "max |T_log(t) − T_plan(t − s)| while it heats and holds",
                          f"at {found.moment(found.largest[1])}", f"{found.largest[0]:.2f} K",
                          ("log.settling", "log.lag", "log.outside_factor")))  # fmt: skip
    if found.dwell:
        steps.append(Work("Time in the band", "straight lines between rows, crossings exact, gaps left out",
                          f"{celsius(found.target_k)} ± {found.inputs.said('tolerance')}, by the {found.dwell_by}",
                          f"{found.dwell.total_s / 60:.3f} min in all, {found.dwell.unbroken_s / 60:.3f} min unbroken",
                          ("log.gap_factor", "log.gap_least", "log.dwell_close")))  # fmt: skip
    if found.ramp is not None:
        steps.append(Work("Ramp", "slope of the line of least squares", "", f"{found.ramp * 60:.4g} K/min"))
    if found.lowest:
        steps.append(Work("Pressure while hot", "p − p_room, lowest", f"hot above {celsius(found.inputs['hot_threshold'])}",
                          f"{found.lowest[0] / 100:.3g} mbar at {found.moment(found.lowest[1])}",
                          ("log.dip_close", "log.dip_outside", "log.dip_time")))  # fmt: skip
    if found.dose:
        steps.append(Work("Equivalent time", "∫ exp(−Q/R (1/T − 1/T_ref)) dt, exact on each straight line",
                          f"Q = {found.inputs.said('activation_energy')}, T_ref = {celsius(found.dose[1])}",
                          f"{found.dose[0] / 60:.4g} min", ("general.gas_constant",), "arrhenius"))  # fmt: skip
    if found.energy_j is not None:
        steps.append(Work("Energy", "∫ P dt, gaps left out", "", f"{found.energy_j / 3.6e6:.4g} kWh"))
    return tuple(steps)
