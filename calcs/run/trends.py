"""From run to run: rise rate, time to pressure, gas used and deviations of several records, by date.

A direction is named only where the order of the values would hardly come up by chance. With few records it is not.
"""

from dataclasses import dataclass
from functools import cache

import calcs
from calcs import units, wording
from calcs.data import table
from calcs.form import Problems
from calcs.picture import Axis, Curve, Mark, Plot, Table
from calcs.run import record_files
from calcs.run.files import CannotOpen, short
from calcs.run.record_files import CLOSED

MOST_FILES = 60
FEWEST = 5  # with four values even a perfect order comes up by chance once in twelve; with five, once in sixty
CHANCE = 0.05  # how often an order so clear may come up by chance; common practice, no source
JUMP, JUMP_FROM = 2.0, 3  # the last value at twice the middle of those before is named, from three records on; ours
NAMES = ("rise", "time", "gas", "deviations")


@dataclass(frozen=True)
class Run:
    """What one closed record says of a run; SI values, None where the paper does not say it."""

    file: str
    day: object
    furnace: str
    code: str
    number: int
    rise: float | None
    time: float | None
    gas: float | None
    deviations: float
    planned_gas: float | None
    pumped: str

    def value(self, name: str) -> float | None:
        return getattr(self, name)


@dataclass(frozen=True)
class Trend:
    """One thing watched: its words, what the order says, and the picture where there is one."""

    name: str
    title: str
    sentence: str
    meaning: str
    todo: str
    direction: str  # up, down, none, few, nothing
    picture: Plot | None


def read(name: str, text: str) -> Run:
    """Return what a record file says of its run.

    Args:
        name: name of the file.
        text: its text.

    Raises:
        CannotOpen: no record, an open one, or one whose inputs are not accepted now; the message is one sentence.
    """
    source = record_files.source(text)
    if not source.versions:
        raise CannotOpen("wrong_kind", "This is a saved plan, and the record of a run is asked for.")
    last = source.versions[-1]
    if last["status"] != CLOSED:
        raise CannotOpen("wrong_kind", "This record is not closed yet, so it is not counted.")
    record = calcs.calculator("record")
    kept = {n: v for n, v in last["inputs"].items() if n in record.KEPT}
    try:
        answer = calcs.work_out("record", {"plan_file": text, "plan_code": source.code, **kept})
    except Problems as trouble:
        raise CannotOpen(
            "damaged", f"Its inputs are not accepted now: {next(iter(trouble.messages.values()))}"
        ) from None
    if answer.refusal:
        raise CannotOpen("damaged", answer.refusal.why)
    found, planned = answer.extra["record"], record.behind(text)[1]
    gas = answer.figures.get("gas_used")
    return Run(
        file=name, day=planned.inputs["run_date"], furnace=planned.inputs["furnace_id"], code=found.plan_code,
        number=found.number, rise=found.watch["rise"], time=found.watch["time"], gas=gas.value if gas else None,
        deviations=float(found.watch["deviations"] + found.watch["outside"]),
        planned_gas=planned.figures["gas_used"].value if "gas_used" in planned.figures else None,
        pumped=planned.inputs.said("pumped_pressure") if planned.inputs["pumped_pressure"] is not None else "",
    )  # fmt: skip


def read_all(files) -> tuple[list[Run], list[str]]:
    """Return (runs by date, sentences about files that were left out).

    Args:
        files: pairs of name and text.
    """
    kept: dict[tuple, Run] = {}
    left = []
    for name, text in list(files)[:MOST_FILES]:
        try:
            run = read(name, text)
        except CannotOpen as trouble:
            left.append(f"{short(name)}: {trouble.message}")
            continue
        key = (run.furnace, run.day, run.code)
        if key in kept:
            older = min(kept[key], run, key=lambda r: r.number)
            left.append(
                f"{short(older.file)}: another file holds the same run, version {max(kept[key].number, run.number)}."
            )
            run = max(kept[key], run, key=lambda r: r.number)
        kept[key] = run
    if len(files) > MOST_FILES:
        left.append(f"Only the first {MOST_FILES} files were read.")
    return sorted(kept.values(), key=lambda r: (r.furnace, r.day)), left


# ---------------------------------------------------------------- a direction, or none


@cache
def _orders(n: int) -> tuple[int, ...]:
    """Return how many orders of n values have 0, 1, 2, … pairs the wrong way round."""
    counts = [1]
    for size in range(2, n + 1):
        wider = [0] * (len(counts) + size - 1)
        for place, number in enumerate(counts):
            for shift in range(size):
                wider[place + shift] += number
        counts = wider
    return tuple(counts)


def order(values) -> tuple[int, float]:
    """Return (pairs that rise less pairs that fall, how often so clear an order comes up by chance, both ways).

    Args:
        values: numbers in the order of time, two or more.

    Source:
        Kendall's rank correlation, exact distribution without ties; with ties the share is too high, which is
        cautious. Compared with scipy.stats.kendalltau in the tests.
    """
    pairs = [(a, b) for n, a in enumerate(values) for b in values[n + 1 :]]
    rising = sum(b > a for a, b in pairs) - sum(b < a for a, b in pairs)
    counts = _orders(len(values))
    wrong = (
        (len(pairs) - abs(rising)) // 2 if (len(pairs) - abs(rising)) % 2 == 0 else (len(pairs) - abs(rising) + 1) // 2
    )
    return rising, min(1.0, 2 * sum(counts[: wrong + 1]) / sum(counts))


def direction(values) -> str:
    """Return "nothing", "few", "up", "down" or "none" for values in the order of time.

    Args:
        values: numbers, oldest first.

    Source:
        see order; the limits are named constants of this module.
    """
    if not values:
        return "nothing"
    if len(values) < FEWEST:
        return "few"
    rising, chance = order(values)
    if chance > CHANCE:
        return "none"
    return "up" if rising > 0 else "down"


# ---------------------------------------------------------------- what is said and drawn


def trends(runs: list[Run]) -> list[Trend]:
    """Return what the records of one furnace say, one Trend for each of NAMES.

    Args:
        runs: closed runs of one furnace, by date.

    Source:
        words of data/run/trends.toml.
    """
    return [_trend(name, runs) for name in NAMES]


def _trend(name: str, all_runs: list[Run]) -> Trend:
    words = table("run/trends.toml")[name]
    runs = [run for run in all_runs if run.value(name) is not None]
    values = [run.value(name) for run in runs]
    judged = [_compared(name, run) for run in runs]
    judged = judged if None not in judged else values
    where = direction(judged)
    sentence = f"{words['title']}: {_order_words(where, words, judged, values)}"
    meaning = words.get(where, "") if where in ("up", "down") else ""
    todo = words[f"{where}_do"] if where in ("up", "down") else words["none_do"] if where == "nothing" else ""
    jump = _jump(judged)
    if jump:
        sentence, meaning, todo = f"{sentence} {jump}", meaning or words["up"], todo or words["up_do"]
    if name == "time" and len({run.pumped for run in runs}) > 1:
        sentence += " The plans ask for different pressures: compare like with like."
    return Trend(name, words["title"], sentence, meaning, todo, where, _picture(words, name, runs, sentence))


def _compared(name: str, run: Run) -> float | None:
    """What a direction is looked for in: gas over planned gas, the value itself else."""
    if name != "gas":
        return run.value(name)
    return run.gas / run.planned_gas if run.planned_gas else None


def _order_words(where: str, words: dict, judged, values) -> str:
    if where == "nothing":
        return "no record says it."
    n = len(values)
    span = f"from {said(words, values[0])} to {said(words, values[-1])}" if n > 1 else f"{said(words, values[0])}"
    if where == "few":
        return (
            f"{span} in {wording.count(n, 'record')}: too few to tell a direction from chance; that takes "
            f"{FEWEST} or more."
        )
    if where == "none":
        return f"{span} in {n} records, with no direction that chance would not give as well."
    return (
        f"{'rises' if where == 'up' else 'falls'}, {span} in {n} records; by chance alone so clear an order comes up "
        f"in {wording.number(100 * order(judged)[1], 1, 'up')} of 100 series."
    )


def _middle(values) -> float:
    """The middle of some values in order of size, or the mean of the two in the middle."""
    ordered, half = sorted(values), len(values) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def _jump(judged) -> str:
    if len(judged) < JUMP_FROM or _middle(judged[:-1]) <= 0 or judged[-1] < JUMP * _middle(judged[:-1]):
        return ""
    return (
        f"The last one is {wording.number(judged[-1] / _middle(judged[:-1]), 2)} times the middle of those before it."
    )


def said(words: dict, value: float) -> str:
    """Return a value in the unit of its trend."""
    unit = units.unit_of(words["kind"], words["unit"])
    number = units.from_si(value, unit)
    if words["unit"] == "1":
        return f"{number:.0f}"
    return wording.with_unit(wording.number(number, 3), unit.shown)


def _picture(words: dict, name: str, runs: list[Run], sentence: str) -> Plot | None:
    if len(runs) < 2:
        return None
    unit = units.unit_of(words["kind"], words["unit"])
    days = [(run.day - runs[0].day).days for run in runs]
    spread = days[-1] > 0
    xs = [float(d) for d in days] if spread else [float(n) for n in range(1, len(runs) + 1)]
    shown = [units.from_si(run.value(name), unit) for run in runs]
    curves = [Curve("as recorded", tuple(zip(xs, shown, strict=True)))]
    planned = [units.from_si(run.planned_gas, unit) for run in runs if run.planned_gas] if name == "gas" else []
    if planned and len(planned) == len(runs):
        curves.append(Curve("as planned", tuple(zip(xs, planned, strict=True))))
    columns, rows = ["Day", "Plan", words["title"] + (f", {unit.shown}" if unit.name != "1" else "")], []
    for number, run in enumerate(runs):
        cell = int(shown[number]) if words["unit"] == "1" else float(shown[number])
        rows.append([run.day.isoformat(), run.code, cell] + ([float(planned[number])] if len(curves) > 1 else []))
    columns += ["Planned, L"] if len(curves) > 1 else []
    x = (
        f"Days since {runs[0].day.isoformat()}"
        if spread
        else f"Run of {runs[0].day.isoformat()}, in order of the files"
    )
    highest = max([*shown, *planned])
    return Plot(
        sentence=sentence,
        description=f"{words['axis']} of {len(runs)} records, from {words['from']}.",
        x=Axis(x), y=Axis(words["axis"], "" if unit.name == "1" else unit.shown, low=0.0, high=None if highest > 0 else 1.0),
        curves=tuple(curves), marks=tuple(Mark("", a, b) for a, b in zip(xs, shown, strict=True)),
        table=Table(words["axis"], tuple(columns), tuple(rows)),
    )  # fmt: skip
