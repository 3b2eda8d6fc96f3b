"""Outside values: what others have published, and how the calculators compare with it.

One file per calculator, published/<room>/<name>.toml, read by the tests, by `python -m calcs checks` and by
the page on which a reader re-runs them. Each `[[check]]` has:

    given         inputs as typed; `rest = "example"` takes the others from the example
    expect        figure to value, "189.6 min"; a cell of a table is "decade_times.0.time"
    verdict, refusal   instead of or beside expect
    within        "0.2 min" or "0.1 %", and `why` that much
    source, place      a key of data/sources and the place in it
    independence  published example | standard | reference library | second method | limiting case | common practice
    standing      how far the value itself was looked at
    must_fail     true for the one row altered on purpose
"""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import calcs
from calcs import units

HERE = Path(__file__).parent
INDEPENDENT = ("published example", "standard", "reference library")


@dataclass(frozen=True)
class Result:
    """One expected value and what the calculator gave."""

    calculator: str
    number: int
    check: dict
    figure: str
    expected: str
    got: str
    difference: str
    passed: bool

    @property
    def as_it_should(self) -> bool:
        """Passed; or failed where the row is altered on purpose."""
        return self.passed != bool(self.check.get("must_fail"))

    @property
    def line(self) -> str:
        word = "agrees" if self.passed else "differs"
        word += "" if self.as_it_should else "  <-- not as it should be"
        word += " (altered on purpose: must differ)" if self.check.get("must_fail") else ""
        return (
            f"{self.calculator} {self.number} {self.figure}: got {self.got}, expected {self.expected}, "
            f"difference {self.difference}, within {self.check.get('within', 'equal')}: {word}"
        )


def files() -> list[Path]:
    """Return every file of outside values."""
    return sorted(HERE.glob("*/*.toml"))


def checks_of(name: str) -> list[dict]:
    """Return the checks of one calculator."""
    path = HERE / calcs.CALCULATORS[name] / f"{name.replace('-', '_')}.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))["check"] if path.is_file() else []


def control_check() -> dict:
    """Return the row whose expected value is altered on purpose."""
    return tomllib.loads((HERE / "control.toml").read_text(encoding="utf-8"))["check"][0]


def run(names: list[str] | None = None) -> Iterator[Result]:
    """Yield the results of all checks, or of those of some calculators, one by one; the control row last."""
    for name in names or calcs.CALCULATORS:
        for number, check in enumerate(checks_of(name), 1):
            yield from run_check(name, number, check)
    if not names:
        check = control_check()
        yield from run_check(check["calculator"], 0, check)


def run_check(name: str, number: int, check: dict) -> Iterator[Result]:
    """Yield a result for each value that one check expects."""
    given = dict(check["given"])
    if check.get("rest") == "example":
        given = calcs.__dict__["example"](name, given.get("mode", "")) | given
    answer = calcs.work_out(name, {n: text for n, text in given.items() if text != ""})
    for what in ("verdict", "refusal"):
        if what in check:
            got = answer.verdict if what == "verdict" else (answer.refusal.reason if answer.refusal else "answered")
            yield Result(name, number, check, what, check[what], got, "", got == check[what])
    for figure, expected in check.get("expect", {}).items():
        yield _compare(name, number, check, answer, figure, str(expected))


def _compare(name, number, check, answer, path, expected) -> Result:
    if answer.refusal:
        return Result(name, number, check, path, expected, f"refused: {answer.refusal.reason}", "", False)
    got, kind, shown = _found(answer, path)
    if isinstance(got, str) or got is None:
        return Result(name, number, check, path, expected, str(got), "", got == expected)
    want = units.si(expected)
    difference, allowed = got - want, _allowed(check["within"], want, kind)
    return Result(
        name, number, check, path, expected, shown, f"{difference / want:+.2g}" if want else f"{difference:+.2g}",
        abs(difference) <= allowed * (1 + 1e-9),
    )  # fmt: skip


def _found(answer, path: str) -> tuple:
    """Return (SI value or text, kind, text) of a figure, its low or high end, or a cell of a table."""
    name, *rest = path.split(".")
    figure = answer.figures.get(name)
    if figure is None:
        return None, "", ""
    if len(rest) == 2:
        column = next(c for c in figure.shown.columns if c.name == rest[1])
        cell = figure.si_rows[int(rest[0])][rest[1]]
        if isinstance(cell, str) or cell is None:
            return cell, column.kind, str(cell)
        unit = units.unit_of(column.kind, column.unit)
        return cell, column.kind, f"{units.from_si(cell, unit):.6g} {unit.shown}"
    value = {"low": figure.low_value, "high": figure.high_value}[rest[0]] if rest else figure.value
    shown = (
        f"{units.from_si(value, figure.unit):.6g} {figure.unit.shown}".strip() if not isinstance(value, str) else value
    )
    return value, figure.shown.kind, shown


def _allowed(within: str, want: float, kind: str) -> float:
    """Return the tolerance in SI; a percentage is one of the expected value, a temperature a difference."""
    if within.endswith("%"):
        return abs(want) * float(within.removesuffix("%")) / 100
    return units.si(within)
