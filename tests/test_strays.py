"""No number with a physical meaning hides in the code: it is a row of calcs/data, or a named constant with its reason."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1] / "calcs"
NOT_PHYSICS = (
    "units.py",
    "units_table.py",
    "units_text.py",
    "form.py",
    "wording.py",
    "picture.py",
    "core.py",
    "index.py",
)
ALLOWED = {  # numbers of three digits and more that say nothing about the world
    2.4048: "first zero of the Bessel function J0",
    1.959964: "normal quantile, 95 %, two-sided",
    3.1824: "Student's t, 95 %, 3 degrees of freedom",
    4.3027: "the same, 2 degrees of freedom",
    12.7062: "the same, 1 degree of freedom",
    384: "series of the t quantile",
    31557600.0: "seconds of a year of 365.25 days",
    1.0001: "step of a numerical search",
    1.001: "step of a numerical search",
    1.005: "margin of a picture or a comparison",
    1.01: "margin of a picture or a comparison",
    1.02: "margin of a picture or a comparison",
    1.05: "margin of a picture or a comparison",
    99.95: "where a figure turns to the next digit",
    99950: "where a figure turns to the next digit",
    104: "place in a drawing",
    286: "place in a drawing",
    386: "place in a drawing",
    256: "size of a kept table",
    401: "steps of a curve",
    1801: "steps of a curve",
}
FILES = sorted(
    path
    for path in ROOT.rglob("*.py")
    if path.name not in (*NOT_PHYSICS, "__init__.py", "__main__.py")
    and "page" not in path.parts
    and "published" not in path.parts
)


def significant(value: float) -> int:
    """Digits of a number that are not zeros at its ends: 0.150 has two, 101325 six."""
    digits = f"{abs(value):.12e}".split("e")[0].replace(".", "").rstrip("0")
    return len(digits)


def literals(tree: ast.Module):
    """Yield the numbers inside functions; named constants of the module stand at its top with their reason."""
    for function in ast.walk(tree):
        if isinstance(function, (ast.FunctionDef, ast.Lambda)):
            for node in ast.walk(function):
                if isinstance(node, ast.Constant) and type(node.value) in (int, float):
                    yield node


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_no_physical_number_hides_in_a_function(path):
    strays = [
        f"line {node.lineno}: {node.value}"
        for node in literals(ast.parse(path.read_text(encoding="utf-8")))
        if significant(node.value) >= 3 and node.value not in ALLOWED and node.value not in (86400, 86400.0)
    ]

    assert not strays


def test_the_search_finds_a_stray():
    found = list(literals(ast.parse("def f(t):\n    return t * 8.314462618\n")))

    assert [significant(node.value) for node in found] == [10]
