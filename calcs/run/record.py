"""After the run: what the paper says beside what the plan expected, kept as it was written.

A reading is never tidied. One outside its band is asked about once and then stands. Once a record is closed, a
change needs a reason and makes a new version; the old value stays, with date, name and why.
"""

import json
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from math import sqrt

import calcs
from calcs import logs
from calcs.atmosphere import cylinder
from calcs.core import Answer, Column, Estimate, Figures, OutOfRange, Range, Refused, Shown, Work, worst
from calcs.data import constant
from calcs.form import Field, Form, Problem, Problems, as_typed
from calcs.run import bands, code, derive, plan, record_files, record_log
from calcs.run.files import CannotOpen
from calcs.run.record_files import CLOSED, OPEN
from calcs.wording import count, listed

PAGE = "RUN-03"

RESULTS = ("accepted", "not accepted", "to be decided")
DECISIONS = ("accepted", "explained", "rejected")
NOT_RECORDED = "not recorded"
TO_CLOSE = ("result", "closed_by", "paper_kept")
MOST_ROWS = 60
FINGERPRINT = re.compile(r"[0-9a-f]{64}")
NO_SIGNATURE = (
    "Typing a name is not a signature: the signed paper is the original, and this record only tells what stands on it."
)


def _example_plan() -> str:
    """The plan of the invented workshop as the text of a plan file."""
    return json.dumps({"format": "furnace-run", "version": 1, "inputs": plan.FORM.example()}, ensure_ascii=False)


def _example_code() -> str:
    return code.plan_code(plan.FORM.read(plan.FORM.example()), plan.FORM)


def _reading(step: str, actual: str, time: str, initials: str = "AE") -> dict:
    return {"step": step, "actual": actual, "time": time, "initials": initials}


EXAMPLE_READINGS = (
    _reading("1", "20.9 %; 119 bar", "08:20"), _reading("2", "2.02 kg", "08:31"), _reading("3", "yes", "08:40"),
    _reading("4", "0.09 mbar; 22 min", "09:02"), _reading("5", "1005 mbar", "09:13"),
    _reading("6", "0.08 mbar; 19 min", "09:32"), _reading("7", "0.007 mbar; flattening", "09:45"),
    _reading("8", "1006 mbar", "09:50"), _reading("9", "+10 mbar; 9 ppm", "10:10"),
    _reading("10", "588 °C; +11 mbar", "12:06"), _reading("11", "599 °C; +11 mbar", "12:40"),
    _reading("12", "+7 mbar", "19:30", "BE"), _reading("13", "0 mbar; 20.9 %", "19:48", "BE"),
    _reading("14", "clean", "19:55", "BE"), _reading("15", "98 bar", "20:10", "BE"),
)  # fmt: skip

READINGS_ROW = (
    r"(?P<step>[0-9]{1,2})\s+(?P<actual>.{1,200}?)(?:\s+(?P<time>(?:day\s[0-9]+\s)?[0-9]{1,2}:[0-9]{2}))?"
    r"(?:\s+(?P<initials>[A-Z]{1,4}))?"
)
DEVIATION_ROW = (
    r"(?P<step>[0-9]{1,2})\s+(?P<what>[^,]{1,200}?)(?:,\s*(?P<why>[^,]{1,200}?))?(?:,?\s+(?P<who>[A-Z]{1,4}))?"
)

THE_PLAN = (
    Field("plan_file", "Plan", "log", _example_plan(), in_slices=False,
          hint="The text of a plan file or record, or a link of the plan's page."),
    Field("plan_code", "Plan code on the paper", "text", _example_code(), hint="Nine characters, at the head of the card."),
)  # fmt: skip

READINGS = (
    Field("actuals", "Readings (rows: step, actual, time, initials)", "table", EXAMPLE_READINGS, optional=True,
          rows_allowed=(0, MOST_ROWS), row=READINGS_ROW,
          hint="As on the paper: 0.09 mbar; 22 min. Empty stays “not recorded”.",
          columns=(
              Field("step", "Step", "text", "5"),
              Field("actual", "Actual", "text", "0.09 mbar", optional=True),
              Field("time", "Time", "text", "08:57", optional=True),
              Field("initials", "Initials", "text", "AE", optional=True),
          )),
)  # fmt: skip

EVIDENCE = (
    Field("log", "Log (table, or the text of a log file)", "log", "0 min 20.3 °C 1006 mbar", optional=True,
          in_example=False, in_slices=False, hint="Its hash is kept, not its text."),
    Field("log_name", "Name of the log file", "text", "hs1-run14.csv", optional=True, in_example=False),
    Field("photographs", "Photographs (rows: file, sha256)", "table",
          ({"file": "strip-14.jpg", "sha256": "0" * 64},), optional=True, in_example=False,
          rows_allowed=(0, MOST_ROWS), row=r"(?P<file>.{1,120}?)\s+(?P<sha256>[0-9a-f]{64})",
          hint="Name and hash alone; the pictures stay with you.",
          columns=(Field("file", "File", "text", "strip-14.jpg"),
                   Field("sha256", "SHA-256", "text", "64 hexadecimal digits"))),
)  # fmt: skip

DEVIATIONS = (
    Field("deviations", "Deviations (rows: step, what, why, who, decision)", "table",
          ({"step": "10", "what": "12 K behind the programme", "why": "ramp set to 4 K/min", "who": "BE"},),
          optional=True, rows_allowed=(0, MOST_ROWS), row=DEVIATION_ROW,
          hint="10 12 K behind, ramp set to 4 K/min BE.",
          columns=(
              Field("step", "Step", "text", "10", optional=True),
              Field("what", "What", "text", "12 K behind the programme"),
              Field("why", "Why", "text", "ramp set to 4 K/min", optional=True),
              Field("who", "Who", "text", "BE", optional=True),
              Field("decision", "Decision", "choice", "", choices=DECISIONS, optional=True),
          )),
)  # fmt: skip

CLOSING = (
    Field("cylinder_pressure_after", "Cylinder pressure at the end", "pressure with sense", "98 bar gauge",
          optional=True, accepted=Range("0 bar", "302 bar", because="No cylinder of the trade holds more."),
          hint="As on the paper. Write abs or gauge behind it."),
    Field("result", "Result against target", "choice", "accepted", optional=True, choices=RESULTS),
    Field("closed_by", "Closed by", "text", "B. Example", optional=True, hint="Name and role of who closes it."),
    Field("paper_kept", "Where the paper is kept", "text", "folder 3", optional=True),
)  # fmt: skip

CHANGE = (
    Field("change_reason", "Reason for a change after closing", "text", "initials misread", optional=True,
          in_example=False, hint="Only for a record that was closed before."),
)  # fmt: skip

PARTS = (
    ("The plan", THE_PLAN), ("The readings", READINGS), ("Deviations", DEVIATIONS), ("Log and photographs", EVIDENCE),
    ("Result and closing", CLOSING), ("A change after closing", CHANGE),
)  # fmt: skip
KEPT = tuple(f.name for _, fields in PARTS[1:] for f in fields if f.name not in ("log", "log_name", "change_reason"))


def _ambient(values) -> float | None:
    """The pressure of the room in the plan, for a cylinder pressure above the room."""
    text = values.get("plan_file")
    return behind(text)[1].inputs.ambient_pa if isinstance(text, str) else None


FORM = Form(
    question="What is kept of a run, and how?",
    button="Check the record",
    fields=tuple(f for _, fields in PARTS for f in fields),
    ask=tuple(f.name for _, fields in PARTS for f in fields),
    parts=tuple((heading, tuple(f.name for f in fields)) for heading, fields in PARTS),
    ambient_from=_ambient,
)

FIGURES = Figures(
    Shown("record_code", "Record code", "text"),
    Shown("complete", "Readings recorded, of all", "number", "%", "down"),
    Shown("gas_used", "Gas used, from the cylinder pressures", "volume", "L", "up", 4, range_digits=3),
    Shown("comparison", "Plan against actual", "table", columns=(
        Column("step", "Step"), Column("planned", "Planned"), Column("accept", "Accept"), Column("actual", "Actual"),
        Column("verdict", "Verdict"))),
    Shown("history", "Changes", "table", columns=tuple(
        Column(name, name.capitalize()) for name in record_files.CHANGE_COLUMNS)),
)  # fmt: skip

READ_OFF = ()


@dataclass(frozen=True)
class Question:
    """A reading outside its band, asked about once."""

    key: str
    step: str
    words: str


@dataclass(frozen=True)
class Record:
    """One state of a record: what page, print and file show of it."""

    status: str
    number: int
    code: str
    saved: str
    who: str
    why: str
    plan_code: str
    plan_package: str
    plan_inputs: dict
    plan_status: str
    day: str
    run_name: str
    furnace: str
    kept: dict
    log: dict | None
    before: tuple[dict, ...]
    history: tuple[dict, ...]
    asked: tuple[str, ...]
    comparison: tuple[dict, ...]
    readings: tuple[dict, ...]
    questions: tuple[Question, ...]
    proposals: tuple[dict, ...]
    needs: tuple[str, ...]
    watch: dict


def answer(inputs) -> Answer:
    """Return the record: plan against actual, what is missing, what was used, every change after closing.

    Args:
        inputs: the values of FORM.

    Raises:
        Problems: a step that the plan does not have, a hash that is none, a rejection without a reason.
        Refused: not_a_plan, schema_newer, code_misread, code_mismatch, no_reason.

    Source:
        amendments traceable to the original with date and person: ISO/IEC 17025:2017, 7.5.2, the model;
        gas used by the real gas of `cylinder`.
    """
    source, planned = behind(inputs["plan_file"])
    notes = [*source.notes, *_check_code(inputs["plan_code"], source, planned)]
    _check_rows(inputs, len(planned.figures["steps"].rows))
    compared = _comparison(inputs, planned)
    record = _record(inputs, source, planned, compared)
    gas, gas_notes = gas_used(planned.inputs, inputs["cylinder_pressure_after"])
    inputs.texts["plan_file"] = f"{record.run_name}, plan {record.plan_code}"
    if "log" in inputs.texts:
        inputs.texts["log"] = record.log["said"]
    verdict = worst(row["verdict"] for row in compared)
    recorded = len({row["step"] for row in compared if row["actual"] != NOT_RECORDED})
    total = len({row["step"] for row in compared})
    return Answer(
        sentence=_sentence(record, recorded, total, compared),
        verdict=verdict,
        judged=recorded > 0,
        figures=FIGURES.fill(
            record_code=record.code, complete=recorded / total, gas_used=gas, comparison=compared,
            history=list(record.history) or None,
        ),
        leaves_out=(
            "whether the paper says what the furnace did: this compares one with the plan, nothing with the furnace",
            "the temperature of the cylinder at the end, taken as in the plan: a cylinder that is 10 K colder reads "
            "about 3 % less",
            "signatures: they stand on the paper alone",
        ),
        notes=(*notes, *gas_notes, *_notes(record, planned)),
        working=_working(planned.inputs, inputs, gas),
        extra={"record": record},
    )  # fmt: skip


# ---------------------------------------------------------------- the plan behind it


@lru_cache(maxsize=4)
def behind(text: str) -> tuple:
    """Return (where the plan came from, the answer of the plan) for the text of `plan_file`.

    Args:
        text: a plan file, a link of the plan's page, or a record file.

    Raises:
        Refused: not_a_plan, schema_newer.

    Source:
        record_files and plan.
    """
    try:
        source = record_files.source(text)
    except CannotOpen as trouble:
        reason = "schema_newer" if trouble.reason == "schema_newer" else "not_a_plan"
        heading = "made by a newer page" if reason == "schema_newer" else "no plan in it"
        raise Refused(
            reason, heading, trouble.message, "Open the plan file that was saved with the card, or the record file.",
            "Ask whoever planned the run.", field="plan_file",
        ) from None  # fmt: skip
    try:
        planned = calcs.work_out("plan", source.inputs)
    except Problems as trouble:
        raise _no_plan(f"Its inputs are not accepted now: {'; '.join(trouble.messages.values())}"[:400]) from None
    if planned.refusal:
        raise _no_plan(f"The plan itself is refused: {planned.refusal.why}")
    if "steps" not in planned.figures:
        raise _no_plan("The plan was stopped before it had steps, so there is nothing to compare readings with.")
    return source, planned


def _no_plan(why: str) -> Refused:
    return Refused(
        "not_a_plan", "no plan to compare with", why, "Open the plan file that the run followed.",
        "Ask whoever planned the run.", field="plan_file",
    )  # fmt: skip


def _check_code(typed: str, source, planned) -> list[str]:
    """Compare the code on the paper with the plan's.

    An older package made other codes from the same inputs; then what the file says of itself is compared too.
    """
    try:
        paper = code.read_code(typed)
    except code.Misread as trouble:
        raise Refused(
            "code_misread", "the code is misread", str(trouble), "Type it again from the head of the card.",
            field="plan_code",
        ) from None  # fmt: skip
    now = planned.figures["plan_code"].value
    older = source.package != f"calcs {calcs.__version__}"
    if paper == now:
        return []
    if paper == source.code and older:
        return [f"The code {paper} was made by {source.package or 'an older package'}; the same inputs give {now} now."]
    raise Refused(
        "code_mismatch", "paper and plan differ",
        f"The paper says {paper}, the plan that was opened is {source.code if older and source.code else now}: they "
        "are two plans.",
        "Open the plan that the paper names, or look at the code again.", "Ask whoever planned the run.",
        field="plan_code",
    )  # fmt: skip


# ---------------------------------------------------------------- readings


def _check_rows(inputs, steps: int) -> None:
    """Raise Problems for rows that cannot be placed. What a reading says is never a problem."""
    for name in ("actuals", "deviations"):
        label = FORM.by_name[name].label.split(" (")[0]
        for number, row in enumerate(inputs[name] or ()):
            step = row["step"]
            if step is not None and not (re.fullmatch(r"[0-9]{1,3}", step, re.ASCII) and 1 <= int(step) <= steps):
                words = f"{label}, row {number + 1}: there is no step “{step[:20]}” in this plan; it has 1 to {steps}."
                raise Problems({name: Problem(words, (), (number, "step"))})
    for number, row in enumerate(inputs["deviations"] or ()):
        if row["decision"] in ("explained", "rejected") and not row["why"]:
            words = f"Deviations, row {number + 1}: say why it is {row['decision']}."
            raise Problems({"deviations": Problem(words, (), (number, "why"))})
    if logs.is_reference(inputs["log"]):
        raise Problems({"log": "Log: the record needs the file itself, for its hash. Open it here."})
    for number, row in enumerate(inputs["photographs"] or ()):
        if not FINGERPRINT.fullmatch(row["sha256"]):
            words = f"Photographs, row {number + 1}: a SHA-256 hash has 64 digits of 0 to 9 and a to f."
            raise Problems({"photographs": Problem(words, (), (number, "sha256"))})


def _comparison(inputs, planned) -> list[dict]:
    """Return plan against actual: a row for each step, and one more for each further reading of it."""
    ambient, accepted = planned.inputs.ambient_pa, bands.of(planned)
    written: dict[str, list[dict]] = {}
    for row in inputs["actuals"] or ():
        if row["actual"] or row["time"] or row["initials"]:
            written.setdefault(str(int(row["step"])), []).append(row)
    found = []
    for number, step in enumerate(planned.figures["steps"].rows):
        for row in written.get(step["step"], [{"actual": None}]):
            actual = row["actual"]
            verdict = bands.judge(actual, accepted[number], ambient) if actual else "cannot_say"
            found.append({
                "step": step["step"], "planned": f"{step['do']}: {step['expect']}", "accept": step["accept"],
                "actual": actual or NOT_RECORDED, "verdict": verdict,
            })  # fmt: skip
    return found


def _questions(compared, asked) -> tuple[Question, ...]:
    found = (
        Question(
            f"{row['step']}|{row['actual']}", row["step"],
            f"Step {row['step']}: “{row['actual']}” lies outside what the card accepts ({row['accept']}). Is that what "
            "the paper says? It is kept as it is written there.",
        )
        for row in compared if row["verdict"] == "outside"
    )  # fmt: skip
    return tuple(question for question in found if question.key not in asked)


# ---------------------------------------------------------------- one state of the record


def _record(inputs, source, planned, compared) -> Record:
    """Return the record with its version, or refuse a change after closing that has no reason."""
    kept, log = _kept(inputs), _log(inputs, source, planned)
    plan_code = source.code if source.versions else planned.figures["plan_code"].value
    if source.code and source.package != f"calcs {calcs.__version__}":
        plan_code = source.code
    needs = tuple(FORM.by_name[n].label for n in TO_CLOSE if not kept.get(n))
    last = source.versions[-1] if source.versions else None
    now = datetime.now(UTC).strftime("%Y-%m-%d %H:%M UTC")
    reason, history, before, number = inputs["change_reason"] or "", list(source.history), source.versions[:-1], 1
    status, saved, who = OPEN if needs else CLOSED, now, kept.get("closed_by", "")
    if last:
        changes = _changes(last, kept, log)
        number = last["number"]
        if last["status"] == CLOSED and changes:
            _check_change(reason, needs)
            number, before = number + 1, source.versions
            history += [{"field": f, "old": o, "new": n, "when": now, "who": who, "why": reason} for f, o, n in changes]
        elif last["status"] == CLOSED:
            saved, who, reason = last["saved"], last["who"], last["why"]
    previous = before[-1]["code"] if before else ""
    made = record_files.record_code(plan_code, kept, (log or {}).get("sha256", ""), previous)
    return Record(
        status=status, number=number, code=made, saved=saved, who=who, why=reason if number > 1 else "",
        plan_code=plan_code, plan_package=source.package or f"calcs {calcs.__version__}", plan_inputs=source.inputs,
        plan_status=planned.figures["status"].value, day=planned.inputs["run_date"].isoformat(),
        run_name=planned.inputs["run_name"], furnace=planned.extra["furnace"], kept=kept, log=log,
        before=tuple(before), history=tuple(history), asked=source.asked, comparison=tuple(compared),
        readings=tuple(inputs["actuals"] or ()), questions=_questions(compared, source.asked),
        proposals=record_log.undecided(log, inputs["deviations"]), needs=needs,
        watch=_watch(inputs, planned, compared),
    )  # fmt: skip


def _kept(inputs) -> dict:
    """Return what was typed, as a file keeps it: one text for a field, rows of texts for a table."""
    found = {}
    for name in KEPT:
        typed = inputs.texts.get(name)
        if typed is None:
            continue
        if FORM.by_name[name].kind == "table":
            rows = [{n: cell for n, cell in row.items() if cell is not None} for row in inputs[name]]
            if name == "actuals":
                rows = [row for row in rows if row.keys() - {"step"}]
            if rows:
                found[name] = rows
        else:
            found[name] = " ".join(str(as_typed(typed)).split())
    return found


def _log(inputs, source, planned) -> dict | None:
    """Return what is kept of the log: of one given now, else of the version before."""
    if logs.is_reference(inputs["log"]):
        raise Problems({"log": "Log: the record needs the file itself, for its hash. Open it here."})
    if inputs["log"]:
        return record_log.kept(inputs["log"], inputs["log_name"] or "", planned)
    return source.versions[-1].get("log") if source.versions else None


def _changes(last: dict, kept: dict, log: dict | None) -> list[tuple[str, str, str]]:
    """Return (field, old, new) of everything that differs from the last version, cell by cell."""
    found = []
    for name in KEPT:
        old, new = last["inputs"].get(name, ""), kept.get(name, "")
        label = FORM.by_name[name].label.split(" (")[0]
        if FORM.by_name[name].kind == "table":
            found += _row_changes(label, old or [], new or [], name == "actuals")
        elif as_typed(old) != new:
            found.append((label, str(as_typed(old)), new))
    hashes = [(each or {}).get("sha256", "") for each in (last.get("log"), log)]
    return found + ([("Log", *hashes)] if hashes[0] != hashes[1] else [])


def _row_changes(label: str, old, new, by_step: bool) -> list[tuple[str, str, str]]:
    before, after = _keyed(old, by_step), _keyed(new, by_step)
    found = []
    for key in dict.fromkeys([*before, *after]):
        one, other = before.get(key, {}), after.get(key, {})
        for column in dict.fromkeys([*one, *other]):
            if one.get(column, "") != other.get(column, ""):
                found.append((f"{label}, {key}, {column}", str(one.get(column, "")), str(other.get(column, ""))))
    return found


def _keyed(rows, by_step: bool) -> dict[str, dict]:
    """Return rows by what they are about: the step and which reading of it, or the number of the row."""
    found: dict[str, dict] = {}
    for number, row in enumerate(rows if isinstance(rows, list) else (), 1):
        key = f"step {row.get('step', '')}" if by_step else f"row {number}"
        again = 2
        while key in found:
            key, again = f"{key.split(', reading')[0]}, reading {again}", again + 1
        found[key] = {name: cell for name, cell in row.items() if not by_step or name != "step"}
    return found


def _check_change(reason: str, needs) -> None:
    if not reason:
        raise Refused(
            "no_reason", "a change after closing needs a reason",
            "This record was closed, and what is typed now differs from it.",
            "Write why under “Reason for a change after closing”: the old values stay beside the new ones.",
            field="change_reason",
        )  # fmt: skip
    if needs:
        missing = next(name for name in TO_CLOSE if FORM.by_name[name].label in needs)
        raise Problems({
            missing: f"{FORM.by_name[missing].label} is empty. A closed record stays closed: type it, "
            "the old value stays in the list of changes."
        })  # fmt: skip


# ---------------------------------------------------------------- gas


def gas_used(planned, after_pa: float | None) -> tuple:
    """Return (gas used as a volume at 0 °C and 101.325 kPa in m³ with its range, or None; sentences about it).

    Args:
        planned: inputs of the plan: gas, cylinder volume, temperature and pressure before.
        after_pa: cylinder pressure at the end, Pa absolute; None gives nothing.

    Source:
        content before less content after, real gas by `cylinder`; two readings of a gauge of class 2.5.
    """
    before_pa = planned["cylinder_pressure"]
    if after_pa is None:
        return None, ()
    if after_pa > before_pa:
        return None, ("The cylinder reads more at the end than the plan said at the start: gas used is not worked out. "
                      "Was it changed, or is one of the readings of another gauge?",)  # fmt: skip
    shares, volume, temperature = (
        derive.gas_shares(planned),
        planned["cylinder_volume"],
        planned["cylinder_temperature"],
    )

    def held(pressure_pa: float) -> float:
        return cylinder.content(shares, volume, pressure_pa, temperature)

    try:
        used = held(before_pa) - held(after_pa)
        slope = held(before_pa) / before_pa
    except (Refused, OutOfRange, KeyError):
        return None, ("The pressure of this cylinder does not tell its content: gas used is not worked out.",)
    above = max(before_pa - planned.ambient_pa, constant("atmosphere.gauge_full_scale"))
    error = slope * above * constant("atmosphere.gauge_share") * sqrt(2)
    in_volume = [cylinder.norm_volume(mol) for mol in (used, max(0.0, used - error), used + error)]
    return Estimate(*in_volume, cause="two readings of the cylinder gauge, taken as class 2.5"), ()


# ---------------------------------------------------------------- what it says


def _sentence(record: Record, recorded: int, total: int, compared) -> str:
    outside = sum(row["verdict"] == "outside" for row in compared)
    said = f"{recorded} of {total} readings recorded, {outside} outside what the card accepts"
    said += f", {count(record.watch['deviations'], 'deviation')}"
    if record.status == OPEN:
        return f"Open: {said}. To close it, still needed: {listed(label.lower() for label in record.needs)}."
    return f"Closed, version {record.number}: {said}; result: {record.kept['result']}. Record code {record.code}."


def _notes(record: Record, planned):
    yield NO_SIGNATURE
    if record.plan_status == plan.DRAFT:
        yield "The plan behind this record is a draft: with these inputs it was not for release."
    if record.log:
        yield record.log["said"]
    if record.proposals:
        yield (
            f"{count(len(record.proposals), 'finding')} of the log not decided yet: accept, explain or reject each "
            "under Deviations."
        )
    if record.number > 1:
        yield f"Version {record.number}, changed because: {record.why}. The earlier values stand under Changes."


def _working(planned, inputs, gas):
    if gas is None:
        return ()
    return (
        Work(
            "Gas used, from the cylinder pressures", "V = (n(p₁) − n(p₂)) R T₀ / p₀,  n(p) = p V_c / (Z R T)",
            f"p₁ = {planned.said('cylinder_pressure')}, p₂ = {inputs.said('cylinder_pressure_after')}, "
            f"V_c = {planned.said('cylinder_volume')}, T = {planned.said('cylinder_temperature')}",
            f"{gas.value * 1000:.0f} L",
            ("general.gas_constant", "general.zero_celsius", "general.standard_atmosphere", "atmosphere.gauge_share",
             "atmosphere.gauge_full_scale"), "coolprop",
        ),
    )  # fmt: skip


# ---------------------------------------------------------------- for RUN-05


def _watch(inputs, planned, compared) -> dict:
    """Return what is watched from run to run; None where the paper does not say it."""
    keys = [key for key, _ in planned.extra["written"]]
    rows = {row["step"]: row for row in inputs["actuals"] or () if row["actual"]}
    decided = [row for row in inputs["deviations"] or () if row["decision"] != "rejected"]
    return {
        "rise": _rise(keys, rows, planned.inputs.ambient_pa),
        "time": _time_to_pressure(keys, rows, planned),
        "deviations": len(decided),
        "outside": sum(row["verdict"] == "outside" for row in compared),
    }


def _rise(keys, rows, ambient_pa: float) -> float | None:
    """Return the rate of the last rise test, Pa/s: as written, or the rise over the time of the test."""
    tests = [rows[str(n)] for n, key in enumerate(keys, 1) if key == "rise test" and str(n) in rows]
    if not tests:
        return None
    reading = tests[-1]["actual"]
    rate = bands.first_value(reading, "pressure rise rate")
    rise = bands.first_value(reading, "pressure difference")
    if rate is None and rise is not None:
        rate = rise / (bands.first_value(reading, "time") or constant("run.rise_time"))
    return rate if rate is not None and rate > 0 else None


def _time_to_pressure(keys, rows, planned) -> float | None:
    """Return how long the first pumping took, s: as written beside the pressure, where that was reached."""
    first = next((n for n, key in enumerate(keys, 1) if key == "pump"), None)
    if first is None or str(first) not in rows:
        return None
    reading, band = rows[str(first)]["actual"], bands.of(planned)[first - 1].bands
    reached = bands.first_value(reading, "absolute pressure", planned.inputs.ambient_pa)
    wanted = next((b for b in band if b.kind == "absolute pressure"), None)
    time = bands.first_value(reading, "time")
    if not wanted or reached is None or not wanted.holds(reached) or time is None or time <= 0:
        return None
    return time
