"""What several records say from run to run, on the page: a picture, a table and a sentence each, and one CSV."""

import csv
import io

from calcs import units, wording
from calcs.data import table as data_table
from calcs.page import svg
from calcs.page.export import guarded
from calcs.page.markup import items, tag, text
from calcs.run import trends


def reply(files) -> dict:
    """Return the finished block for some record files, its CSV, and one sentence for the status line.

    Args:
        files: dicts of name and text.
    """
    runs, left = trends.read_all([(str(f.get("name", ""))[:120], str(f.get("text", ""))) for f in files])
    furnaces = list(dict.fromkeys(run.furnace for run in runs))
    parts = [tag("div", tag("p", text("Left out:")), items(left), class_="trends-left")] if left else []
    if len(furnaces) > 1:
        parts.append(tag("p", text(f"The records are of {len(furnaces)} furnaces; each stands by itself.")))
    for number, furnace in enumerate(furnaces, 1):
        parts += _furnace(f"trends-{number}", furnace, [run for run in runs if run.furnace == furnace])
    said = f"{wording.count(len(runs), 'closed record')} read{f', {len(left)} left out' if left else ''}."
    if not runs:
        said = f"No closed record among the files. {' '.join(left)}"
    return {"html": "".join(parts), "csv": csv_text(runs), "say": said, "runs": len(runs)}


def _furnace(key: str, furnace: str, runs) -> list[str]:
    found = [tag("h3", text(f"Furnace {furnace}: {wording.count(len(runs), 'run')}"))]
    for trend in trends.trends(runs):
        found.append(tag("h4", text(trend.title)))
        if trend.picture:
            found.append(svg.picture_html(trend.picture, f"{key}-{trend.name}"))
        else:
            found.append(tag("p", text(trend.sentence)))
        if trend.meaning:
            found.append(tag("p", tag("strong", text("What it can mean: ")), text(trend.meaning)))
        if trend.todo:
            found.append(tag("p", tag("strong", text("What to do: ")), text(trend.todo)))
    return found


def csv_text(runs) -> str:
    """Return the runs as CSV: RFC 4180, decimal point, empty where a record does not say it."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    words = {name: data_table("run/trends.toml")[name] for name in trends.NAMES}
    writer.writerow(["day", "furnace", "plan code", "version", *(f"{n} ({w['unit']})" for n, w in words.items()),
                     "gas planned (L)"])  # fmt: skip
    for run in runs:
        cells = [_number(run.value(name), w) for name, w in words.items()]
        writer.writerow([run.day.isoformat(), guarded(run.furnace), guarded(run.code), run.number, *cells,
                         _number(run.planned_gas, words["gas"])])  # fmt: skip
    return out.getvalue()


def _number(value: float | None, words: dict) -> str:
    return "" if value is None else f"{units.from_si(value, units.unit_of(words['kind'], words['unit'])):.6g}"
