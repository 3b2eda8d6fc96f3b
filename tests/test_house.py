"""The house rules: matched rooms, described functions, sources for every number, nothing that must not be said."""

import inspect
import re
import subprocess
from pathlib import Path

import pytest

import calcs
from calcs import data, furnace, units

ROOT = Path(__file__).resolve().parents[1]
ROOMS = calcs.CALCULATORS.items()
# Words that never stand on a page: they promise, judge the reader, or talk down.
FORBIDDEN = ("guaranteed", "optimal", "easily", "simply", "obviously", "recommended", "best practice", "oops", "please")


def tracked(*endings: str) -> list[Path]:
    """Return the files of the repository that git knows or would take."""
    done = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return [ROOT / n for n in done.stdout.split("\n") if n.endswith(endings) and (ROOT / n).is_file()]


def test_there_are_calculators():
    assert len(calcs.CALCULATORS) >= 9


@pytest.mark.parametrize("name, room", ROOMS)
def test_the_rooms_match(name, room):
    module = name.replace("-", "_")

    assert (ROOT / "calcs" / room / f"{module}.py").is_file()
    assert (ROOT / "docs" / room / f"{name}.md").is_file()
    assert (ROOT / "calcs/published" / room / f"{module}.toml").is_file()
    assert (ROOT / "tests" / room / f"test_{module}.py").is_file()


def test_no_page_names_a_calculator_that_is_not_there():
    for page in (ROOT / "docs").rglob("*.md"):
        if found := re.search(r"^calculator: (\S+)$", page.read_text(encoding="utf-8"), re.MULTILINE):
            assert calcs.room(found[1]) == page.parent.name


@pytest.mark.parametrize("name", calcs.CALCULATORS)
def test_every_field_and_figure_is_declared_well(name):
    module = calcs.calculator(name)
    plain = ("choice", "yes/no", "table", "text", "date", "log")

    for f in module.FORM.fields:
        assert f.kind in plain or f.kind in units.KINDS, f.name
        assert f.label and not f.label.endswith(":"), f.name
        assert set(f.modes) <= set(module.FORM.modes), f.name
        assert f.kind != "choice" or f.choices, f.name
    for shown in module.FIGURES:
        assert shown.kind in ("choice", "yes/no", "table", "text") or shown.kind in units.KINDS, shown.name
        for unit in shown.unit_names:
            units.unit_of(shown.kind, unit)
        for column in shown.columns:
            assert column.kind == "text" or units.unit_of(column.kind, column.unit), column.name
    assert set(module.FORM.ask) <= {f.name for f in module.FORM.fields}


@pytest.mark.parametrize("name", calcs.CALCULATORS)
def test_the_examples_agree_with_the_furnace_record(name):
    for f in calcs.calculator(name).FORM.fields:
        if f.name in furnace.EXAMPLE and isinstance(f.example, str) and f.name != "chamber_heat_capacity":
            assert f.example == furnace.EXAMPLE[f.name], f.name


def public_functions(name: str):
    module = calcs.calculator(name)
    for label, function in inspect.getmembers(module, inspect.isfunction):
        if function.__module__ == module.__name__ and not label.startswith("_"):
            yield label, function


@pytest.mark.parametrize("name", calcs.CALCULATORS)
def test_docstrings_name_every_argument_and_a_source(name):
    for label, function in public_functions(name):
        doc = inspect.getdoc(function) or ""

        for argument in inspect.signature(function).parameters:
            assert f"    {argument}: " in doc, f"{name}.{label}: {argument} is not described"
        assert "Source:" in doc, f"{name}.{label} names no source"


def test_every_constant_has_its_origin():
    known = data.all_sources()

    for key, row in data.all_constants().items():
        assert row["source"] in known or row["source"] == "common practice", key
        for column in ("title", "symbol", "value", "digits", "place", "standing"):
            assert column in row, f"{key} has no {column}"
        assert data.constant(key) == data.constant(key), key


def test_every_source_is_described():
    for key, row in data.all_sources().items():
        for column in ("title", "kind", "standing"):
            assert row.get(column), f"{key} has no {column}"


def test_every_source_and_constant_is_used():
    text = "\n".join(p.read_text(encoding="utf-8") for p in tracked(".py", ".toml", ".md", ".csv"))

    for key in data.all_sources():
        assert len(re.findall(rf"(?<![\w-]){re.escape(key)}(?![\w-])", text)) >= 2, f"nobody cites {key}"
    for key in data.all_constants():
        used = key in text
        assert used, f"nobody uses the constant {key}"


@pytest.mark.parametrize("word", FORBIDDEN)
def test_pages_do_not_say(word):
    for page in (ROOT / "docs").rglob("*.md"):
        text = page.read_text(encoding="utf-8")

        assert not re.search(rf"\b{word}\b", text, re.IGNORECASE), page


def test_nothing_names_a_machine_or_a_registry():
    pattern = re.compile(r"/work/|/tmp/|pypi\.org|registry\.npmjs|files\.pythonhosted|deb\.debian|\"resolved\":")
    for path in tracked(".py", ".toml", ".md", ".yml", ".json", ".js", ".mjs", ".css", ".txt", ".csv"):
        if path != Path(__file__).resolve():
            found = pattern.search(path.read_text(encoding="utf-8"))

            assert not found, f"{path}: {found[0]}"


@pytest.mark.parametrize("name, room", ROOMS)
def test_a_calculator_knows_nothing_of_pages(name, room):
    source = (ROOT / "calcs" / room / f"{name.replace('-', '_')}.py").read_text(encoding="utf-8")

    assert "calcs.page" not in source
    assert room == "run" or "calcs.run" not in source


@pytest.mark.parametrize("name, room", ROOMS)
def test_a_calculator_works_with_si_values_not_with_quantities(name, room):
    """Quantities need pint, which the browser does not have; they are for people who program."""
    for path in [*(ROOT / "calcs" / room).glob("*.py"), *(ROOT / "calcs").glob("*.py")]:
        if path.name not in ("core.py", "units.py"):
            source = path.read_text(encoding="utf-8")

            assert not re.search(
                r"units\.(Quantity|quantity|ureg)|import pint|figures\[[^\]]+\]\.(quantity|low|high)\b", source
            ), path
