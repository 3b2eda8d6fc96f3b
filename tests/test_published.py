"""Every calculator agrees with the values that others have published, and the control row does not."""

import pytest

import calcs
from calcs import data, published, units

CHECKS = [
    pytest.param(name, number, check, id=f"{name}-{number}")
    for name in calcs.CALCULATORS
    for number, check in enumerate(published.checks_of(name), 1)
]
KINDS = (
    "published example",
    "standard",
    "reference library",
    "second method",
    "limiting case",
    "common practice",
)


@pytest.mark.parametrize("name, number, check", CHECKS)
def test_agrees_with_the_outside_value(name, number, check):
    results = list(published.run_check(name, number, check))

    assert results
    for result in results:
        assert result.passed, result.line


def test_the_row_altered_on_purpose_differs():
    check = published.control_check()
    results = list(published.run_check(check["calculator"], 0, check))

    assert results and not any(r.passed for r in results)
    assert all(r.as_it_should for r in results)


@pytest.mark.parametrize("name, number, check", CHECKS)
def test_says_where_it_is_from(name, number, check):
    known = data.all_sources()

    assert check["source"] in known or check["source"] == "common practice"
    assert check["independence"] in KINDS
    assert check["standing"]
    assert check["source"] == "common practice" or check["place"]
    assert "within" in check or not check.get("expect")


@pytest.mark.parametrize("name", calcs.CALCULATORS)
def test_has_at_least_five(name):
    assert len(published.checks_of(name)) >= 5


@pytest.mark.parametrize("name, number, check", CHECKS)
def test_expects_quantities_of_the_figures_kind(name, number, check):
    kinds = {s.name: s for s in calcs.calculator(name).FIGURES}
    for path, expected in check.get("expect", {}).items():
        figure, *rest = path.split(".")
        shown = kinds[figure]
        kind = next(c.kind for c in shown.columns if c.name == rest[1]) if len(rest) == 2 else shown.kind
        if kind in units.KINDS:
            units.quantity(str(expected)).to(units.KINDS[kind].si)  # raises where the dimension is another
