"""The registers of the review pages: sources, constants and checks, made from the files that the code reads."""

import csv
import re
from functools import cache
from pathlib import Path

import calcs
from calcs import data, published
from calcs.page.markup import table, tag, text

ROOT = Path(__file__).resolve().parents[1]


@cache
def code_text() -> dict[str, str]:
    """Return the text of every module of the package by its dotted name."""
    return {
        path.relative_to(ROOT).with_suffix("").as_posix().replace("/", "."): path.read_text(encoding="utf-8")
        for path in sorted((ROOT / "calcs").rglob("*.py"))
    }


@cache
def tables() -> dict[str, dict]:
    """Return the heading of every CSV table of the package: its lines that begin with #, as key to text."""
    found = {}
    for path in sorted((ROOT / "calcs/data").rglob("*.csv")):
        heading = {}
        for line in path.read_text(encoding="utf-8").splitlines():
            if not line.startswith("#"):
                break
            key, mark, value = line.lstrip("# ").partition(": ")
            if mark and key in ("source", "units", "standing", "range", "place", "title", "note"):
                heading[key] = value
            else:
                heading["title"] = (heading.get("title", "") + " " + line.lstrip("# ")).strip()
        found[path.relative_to(ROOT / "calcs/data").as_posix()] = heading
    return found


@cache
def table_text() -> dict[str, str]:
    """Return the text of every CSV table of the package by its name in the register."""
    folder = ROOT / "calcs/data"
    paths = sorted(folder.rglob("*.csv"))
    return {f"table {path.relative_to(folder).as_posix()}": path.read_text(encoding="utf-8") for path in paths}


def names_key(key: str, words: str) -> bool:
    return re.search(rf"(?<![\w-]){re.escape(key)}(?![\w-])", words) is not None


# ---------------------------------------------------------------- sources


def uses_of_source(key: str, pages: dict) -> list[str]:
    """Return where a source is used: pages, constants, tables, checks, code."""
    found = [page.id for page in pages.values() if key in page.cited]
    found += [f"constant {name}" for name, row in data.all_constants().items() if row["source"] == key]
    found += [f"table {name}" for name, head in tables().items() if names_key(key, " ".join(head.values()))]
    for name, words in table_text().items():
        if name not in found and key in words and names_key(key, words):
            found.append(name)
    for name in calcs.CALCULATORS:
        if any(check["source"] == key for check in published.checks_of(name)):
            found.append(f"checks of {calcs.calculator(name).PAGE}")
    found += [f"code {name}" for name, words in code_text().items() if f'"{key}"' in words]
    return found


def sources_html(pages: dict) -> str:
    """Return the register of sources; one that nobody uses stops the build.

    Raises:
        LookupError: a source is not used.
    """
    rows = []
    for key, row in data.all_sources().items():
        used = uses_of_source(key, pages)
        if not used:
            raise LookupError(f"nobody uses the source {key}")
        said = ". ".join(str(row[k]) for k in ("authors", "title", "edition", "publisher", "year") if row.get(k))
        rows.append([tag("span", text(key), id=key), text(said), text(row["kind"]), text(row["standing"]),
                     text(row.get("licence", "–")), text("; ".join(used))])  # fmt: skip
    heads = ["Key", "Reference", "Kind", "Standing", "Licence note", "Used by"]
    return table("Every source of this site", heads, rows, "register")


# ---------------------------------------------------------------- constants


def uses_of_constant(key: str) -> list[str]:
    found = [name for name, words in code_text().items() if f'"{key}"' in words]
    return [_page_or_module(name) for name in found]


def _page_or_module(name: str) -> str:
    for calculator, room in calcs.CALCULATORS.items():
        if name == f"calcs.{room}.{calculator.replace('-', '_')}":
            return calcs.calculator(calculator).PAGE
    return name


def constants_html(links) -> str:
    """Return the register of constants, then the tables with their headings."""
    rows = []
    for key, row in data.all_constants().items():
        source = row["source"]
        link = (
            text("common practice, no source")
            if source == "common practice"
            else tag("a", text(source), href=links.source(source))
        )
        value = f"{row['value']} {row.get('unit', '')}".strip()
        rows.append([tag("span", text(row["title"]), id=key.replace(".", "-")), text(key), text(row["symbol"]), text(value),
                     text(str(row["digits"])), link + text(f", {row['place']}" if row.get("place") else ""), text(row["standing"]),
                     text("; ".join(uses_of_constant(key)) or "table look-up")])  # fmt: skip
    heads = ["Constant", "Key", "Symbol", "Value", "Digits or uncertainty", "Source and place", "Standing", "Used by"]
    return table("Every constant of this site", heads, rows, "register") + tables_html()


def tables_html() -> str:
    rows = []
    for name, head in tables().items():
        users = [n for n, words in code_text().items() if f'"{name}"' in words]
        rows.append([tag("span", text(name), id=name.replace("/", "-").removesuffix(".csv")), text(head.get("title", "")),
                     text(" ".join(head.get(k, "") for k in ("source", "place"))), text(head.get("units", "")),
                     text(head.get("standing", "")), text("; ".join(map(_page_or_module, users)))])  # fmt: skip
    return tag("h2", text("Tables"), id="tables") + table(
        "Every table of this site, by the heading of its file", ["File", "Title", "Source", "Units", "Standing", "Used by"], rows, "register"
    )  # fmt: skip


# ---------------------------------------------------------------- checks


def checks_html(links) -> str:
    """Return every outside value with what is expected; the browser fills in what it gets."""
    rows, sources = [], data.all_sources()
    cases = [(n, number, check) for n in calcs.CALCULATORS for number, check in enumerate(published.checks_of(n), 1)]
    cases.append(("control", 1, published.control_check()))
    for name, number, check in cases:
        page = "control" if name == "control" else calcs.calculator(name).PAGE
        key = check["source"]
        source = (
            text("common practice, no source") if key not in sources else tag("a", text(key), href=links.source(key))
        )
        for figure, expected in expectations(check):
            rows.append([text(f"{page} case {number}"), text(figure), text(expected), text(check.get("within", "equal")),
                         tag("span", text("not run on this device"), data_check=f"{name}/{number}/{figure}"), text("–"), text("–"),
                         source + text(f", {check.get('place', '')}"), text(check["independence"]), text(check["standing"])])  # fmt: skip
    heads = [
        "Case",
        "Figure",
        "Expected",
        "Within",
        "Verdict here",
        "Got here",
        "Difference",
        "Source",
        "Independence",
        "Standing",
    ]
    names = " ".join([*calcs.CALCULATORS, "control"])
    buttons = tag("p", tag("button", text("Run the checks"), type="button", data_run="start"),
                  tag("button", text("Cancel"), type="button", data_run="cancel", hidden=True),
                  tag("button", text("Copy the report"), type="button", data_run="copy", hidden=True),
                  tag("button", text("CSV"), type="button", data_run="csv", hidden=True),
                  tag("button", text("Print"), type="button", data_run="print", hidden=True), class_="buttons")  # fmt: skip
    status = tag("p", role="status", class_="status")
    report = tag("p", class_="run-report")
    body = table("Every outside value", heads, rows, "register checks")
    return tag("div", coverage_html(), buttons, status, report, body, class_="checks-run", data_names=names)


def expectations(check) -> list[tuple[str, str]]:
    """Return (figure, expected) of an outside value, its verdict or refusal first."""
    found = [(what, check[what]) for what in ("verdict", "refusal") if what in check]
    return found + [(figure, str(value)) for figure, value in check.get("expect", {}).items()]


def coverage_html() -> str:
    """Return how many calculators have at least two independent checks, and which have not."""
    few = []
    for name in calcs.CALCULATORS:
        independent = [c for c in published.checks_of(name) if c["independence"] in published.INDEPENDENT]
        if len(independent) < 2:
            few.append(calcs.calculator(name).PAGE)
    total = len(calcs.CALCULATORS)
    said = f"{total - len(few)} of {total} calculators have at least two independent checks (published example, standard or reference library)"
    return tag("p", text(said + (f"; these have fewer: {', '.join(few)}." if few else ".")), class_="coverage")


# ---------------------------------------------------------------- files


def write(folder: Path, pages: dict) -> None:
    """Write the registers as CSV."""
    with (folder / "sources.csv").open("w", encoding="utf-8", newline="") as file:
        rows = csv.writer(file)
        heads = ["authors", "title", "edition", "publisher", "year", "kind", "standing", "licence"]
        rows.writerow(["key", *heads, "used by"])
        for key, row in data.all_sources().items():
            rows.writerow([key, *(row.get(h, "") for h in heads), "; ".join(uses_of_source(key, pages))])
    with (folder / "constants.csv").open("w", encoding="utf-8", newline="") as file:
        rows = csv.writer(file)
        heads = ["title", "symbol", "value", "unit", "digits", "source", "place", "standing"]
        rows.writerow(["key", *heads, "used by"])
        for key, row in data.all_constants().items():
            rows.writerow([key, *(row.get(h, "") for h in heads), "; ".join(uses_of_constant(key))])
    with (folder / "checks.csv").open("w", encoding="utf-8", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(
            ["calculator", "case", "figure", "expected", "within", "source", "place", "independence", "standing"]
        )
        for name in calcs.CALCULATORS:
            for number, check in enumerate(published.checks_of(name), 1):
                for figure, expected in expectations(check):
                    rows.writerow([name, number, figure, expected, check.get("within", "equal"), check["source"],
                                   check.get("place", ""), check["independence"], check["standing"]])  # fmt: skip
