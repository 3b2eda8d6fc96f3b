"""Furnace records over time: revisions, what changed between two, and what a plan was made with.

A record is a dict of input name to text (or rows) as typed. A kept furnace is a record and its history: the
records of the revisions before, oldest first, whole and unchanged.
"""

from dataclasses import dataclass

from calcs import furnace as furnaces
from calcs import units, wording
from calcs.core import Refused
from calcs.form import Form, Problems, as_typed
from calcs.run import calibrated, furnace
from calcs.run.plan import FORM as PLAN

EMPTY = "not in the record"
ON = "record_changed_on"  # the day of a revision; written by the program, kept in the file
NAMES = (*furnace.ROWS, ON)
KEPT_APART = (*furnace.CONTROL, ON)  # what says something about a revision, not about the furnace
VALUES = tuple(name for name in NAMES if name not in KEPT_APART)
MOST_REVISIONS = 300


@dataclass(frozen=True)
class Change:
    """One value that differs: its name, and both values as text (EMPTY where there is none)."""

    name: str
    before: str
    after: str

    @property
    def label(self) -> str:
        """What the forms call it."""
        f = furnace.FORM.by_name.get(self.name) or PLAN.by_name.get(self.name)
        return f.label.split(" (rows:")[0]

    @property
    def line(self) -> str:
        """The change as "label: before → after"."""
        return f"{self.label}: {self.before} → {self.after}"


def record_of(typed: dict) -> dict:
    """Return the record that a form holds: every value that is not empty, as one text each.

    Args:
        typed: input name to text, or text with menu unit, or rows, as a page sends them.
    """
    found = {}
    for f in furnace.FIELDS:
        value = typed.get(f.name)
        value = as_typed(value, f.kind) if isinstance(value, (dict, tuple)) else value
        if f.kind == "gauge pressure" and isinstance(value, str):
            value = _with_sense(value)
        if isinstance(value, list):
            value = [dict(row) for row in value if any(str(cell).strip() for cell in row.values())]
        if value not in ("", None, []) and not (isinstance(value, str) and not value.strip()):
            found[f.name] = value
    return found


def _with_sense(text: str) -> str:
    """Return a pressure above the room with the word for it: other forms ask for the word."""
    try:
        bare = units.read("pressure with sense", text).sense is None
    except units.Unreadable:
        return text
    return f"{text.strip()} gauge" if bare else text


def example_left(typed: dict, touched) -> list[str]:
    """Return the names that still hold the example furnace's value and that nobody touched."""
    example, mine = furnace.FORM.example(), record_of(typed)
    return [name for name in mine if name in example and name not in touched]


def revised(base: dict | None, typed: dict, today: str) -> dict:
    """Return {record, history} after a form was filled: the same revision where nothing differs, else the next.

    Args:
        base: {record, history} that the form was filled from, or None for a new furnace.
        typed: the form, as a page sends it.
        today: the day, year-month-day.

    Raises:
        Problems: a change without a reason or a name, or a revision that jumps.
    """
    inputs = furnace.FORM.read({name: value for name, value in typed.items() if name in furnace.ROWS})
    furnace.answer(inputs)  # what contradicts itself is not saved
    values = record_of(typed)
    if base is None:
        return {"record": {"record_revision": "1"} | values | {ON: today}, "history": []}
    if not _same_furnace(base["record"], values):  # another furnace begins a record of its own
        return {"record": values | {"record_revision": "1", ON: today}, "history": []}
    before, number = base["record"], furnaces.revision(base["record"])
    changed = changes(before, values)
    if not changed:
        return {"record": before, "history": list(base.get("history") or ())}
    found = {}
    if inputs["record_change"] is None:
        found["record_change"] = f"What changed: say it in one sentence; {_count(changed)}."
    if inputs["record_changed_by"] is None:
        found["record_changed_by"] = "Changed by is empty. A revision names who made it."
    typed_number = inputs["record_revision"]
    if typed_number is not None and typed_number not in (number, number + 1):
        found["record_revision"] = (
            f"Revision of the record: it goes up by one at each change. It was {number}, so this one is {number + 1}."
        )
    if found:
        raise Problems(found)
    record = values | {"record_revision": str(number + 1), ON: today}
    return {"record": record, "history": [*(base.get("history") or ()), before]}


def _count(changed) -> str:
    return f"{wording.count(len(changed), 'value')} {'differs' if len(changed) == 1 else 'differ'} from the record"


def _same_furnace(before: dict, after: dict) -> bool:
    return str(before.get("furnace_id", "")).strip() == str(after.get("furnace_id", "")).strip()


def older(record: dict, other: dict) -> bool:
    """Whether a record is an earlier revision of the same furnace than another."""
    return _same_furnace(record, other) and furnaces.revision(record) < furnaces.revision(other)


# ---------------------------------------------------------------- what differs


def changes(before: dict, after: dict, names=VALUES) -> list[Change]:
    """Return what differs between two records, by value: 24 L and 0.024 m3 are the same.

    Args:
        before: one record, as typed.
        after: the other.
        names: the names to compare, in the order in which they are told.
    """
    return [
        Change(name, said(before.get(name)), said(after.get(name))) for name in names if not _same(name, before, after)
    ]


def said(value) -> str:
    """Return a value of a record in words: its text, its rows in one line, or that it is not in the record."""
    if isinstance(value, dict):
        value = as_typed(value)
    if isinstance(value, (list, tuple)):
        value = " · ".join(" ".join(said(cell) for cell in row.values() if cell) for row in value)
    return furnaces.short(value, 200) if value not in (None, "") else EMPTY


def _same(name: str, before: dict, after: dict) -> bool:
    one, other = before.get(name), after.get(name)
    if one == other or said(one) == said(other):
        return True
    if EMPTY in (said(one), said(other)):
        return False
    a, b = _value(name, before), _value(name, after)
    return a is not None and _equal(a, b)


def _equal(a, b) -> bool:
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) <= 1e-9 * max(abs(a), abs(b))
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(
            x.keys() == y.keys() and all(_equal(x[k], y[k]) for k in x) for x, y in zip(a, b, strict=True)
        )
    return a == b


def _value(name: str, record: dict):
    """Return the value of one entry in SI units, or None where it cannot be read by itself."""
    f = furnace.FORM.by_name.get(name) or (PLAN.by_name[name] if name in PLAN.by_name else None)
    if f is None:
        return None
    reference = furnace.FORM.by_name["flow_reference"]
    form = Form("", (f,) if f.name == "flow_reference" else (reference, f))
    try:
        return form.read({n: record[n] for n in {name, "flow_reference"} if n in record})[name]
    except (Problems, Refused):
        return None


# ---------------------------------------------------------------- a plan and the record it was made with


def plan_snapshot(inputs: dict) -> dict:
    """Return what a plan holds of its furnace: the names of the record among its inputs, as typed."""
    found = {n: v for n, v in inputs.items() if n in NAMES or n == furnaces.OLD_LIMIT}
    return {n: as_typed(v, PLAN.by_name[n].kind) if isinstance(v, dict) else v for n, v in found.items()}


def for_plan(record: dict, inputs: dict) -> dict:
    """Return what a record gives to a plan: its values under the plan's names, the limit that of the plan's gas."""
    gas = as_typed(inputs.get("gas")) or None
    found = {n: v for n, v in record.items() if n in PLAN.by_name and n != furnaces.OLD_LIMIT}
    mixture = inputs.get("mixture")
    limit, _ = furnaces.limit_for(record, gas, mixture if isinstance(mixture, (list, tuple)) else ())
    return found | ({furnaces.OLD_LIMIT: limit} if limit else {})


def changed_for_plan(inputs: dict, record: dict) -> list[Change]:
    """Return what differs between the furnace that a plan was made with and a record, by value.

    Args:
        inputs: of the plan, as typed.
        record: as typed.
    """
    names = [n for n in PLAN.by_name if n in (*NAMES, furnaces.OLD_LIMIT) and n not in KEPT_APART and n != "furnace_id"]
    return changes(plan_snapshot(inputs), for_plan(record, inputs), names)


def plan_and_record(inputs: dict, record: dict) -> str:
    """Return one text on how a plan's furnace differs from a record, or "" where it does not."""
    snapshot = plan_snapshot(inputs)
    if not _same_furnace(snapshot, record):
        return (
            f"This run was planned for furnace {furnaces.revision_said(snapshot)}; the record here is of "
            f"{furnaces.revision_said(record)}. The plan keeps the values that it was made with."
        )
    old, new = furnaces.revision(snapshot), furnaces.revision(record)
    changed = changed_for_plan(inputs, record)
    if old == new and not changed:
        return ""
    lines = "; ".join(c.line for c in changed) or "none of the values that the plan uses"
    if old == new:
        return f"The plan and the furnace record, both revision {new}, do not hold the same values: {lines}."
    return f"The furnace record changed since this run was planned (revision {old} → {new}): {lines}."


# ---------------------------------------------------------------- values that come from another page


def carried(values: dict, base: dict) -> dict:
    """Return values that another page hands over, as the record's own: a limit goes to the row of its gas.

    Args:
        values: input name to text, or rows, as typed; `gas` says for which gas a limit holds.
        base: the record that they come to.
    """
    flat = {n: as_typed(v) if isinstance(v, dict) else v for n, v in values.items()}
    found = {n: v for n, v in flat.items() if n in furnace.ROWS and n not in KEPT_APART and v not in ("", None, [])}
    limit, gas = flat.get(furnaces.OLD_LIMIT), flat.get("gas")
    if isinstance(limit, str) and limit and gas in furnace.LIMITED_GASES:
        rows = [dict(row) for row in base.get("gas_limits") or () if row.get("gas") != gas]
        found["gas_limits"] = [*rows, {"gas": gas, "temperature": limit}]
    return found


def calibration(answer, today: str) -> dict:
    """Return the five values of a fitted log with their day and the error of the fit, as typed.

    Args:
        answer: of `follow`, from a log.
        today: the day, year-month-day.
    """
    if "fit_error" not in answer.figures:
        return {}
    found = {name: _figure(answer.figures[name]) for name in (*calibrated.NAMES, "fit_error")}
    return found | {"calibrated_on": today}


def _figure(figure) -> str:
    return f"{units.from_si(figure.value, figure.unit):.6g} {figure.unit.name}"
