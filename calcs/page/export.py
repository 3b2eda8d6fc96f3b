"""An answer to take away: as text for a message, and as CSV for a spreadsheet."""

import csv
import io

import calcs
from calcs import units
from calcs.core import VERDICTS, Answer
from calcs.page.answer import cell_text, inputs_as_read

DANGEROUS_STARTS = ("=", "+", "-", "@", "\t", "\r")
MOST_LINES = 25


def copy_text(name: str, answer: Answer, revision: str, today: str, link: str = "") -> str:
    """Return the answer as at most 25 lines of text."""
    module = calcs.calculator(name)
    lines = [f"{module.PAGE} {module.FORM.question} (revision {revision}, {today})"]
    reads = inputs_as_read(module.FORM, answer.inputs)
    lines.append("Inputs: " + "; ".join(f"{module.FORM.by_name[n].label.lower()}: {read}" for n, _, read in reads))
    verdict = f"{VERDICTS[answer.verdict]}. " if answer.judged else ""
    lines.append(verdict + answer.sentence)
    for figure in answer.figures.values():
        if not figure.si_rows and figure.shown.kind != "table":
            ranged = figure.low_value is not None or figure.high_value is not None
            lines.append(f"- {figure.label}: {figure.text}" + (f" ({figure.span})" if ranged else ""))
    lines.append("Leaves out: " + "; ".join(answer.leaves_out))
    lines += [f"{c.word}: {c.hazard}. {c.action}" for c in answer.cautions]
    lines = lines[: MOST_LINES - bool(link)]
    return "\n".join(lines + [link] * bool(link))


def csv_text(name: str, answer: Answer) -> str:
    """Return the figures as CSV: RFC 4180, UTF-8, decimal point, whole precision; tables below the figures."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    page = calcs.calculator(name).PAGE
    writer.writerow(["name", "label", "value", "unit", "low", "high", "note", "source"])
    for figure in answer.figures.values():
        if not figure.si_rows and figure.shown.kind != "table":
            writer.writerow([figure.name, *map(guarded, _figure_row(figure)), page])
    for figure in answer.figures.values():
        if figure.si_rows:
            writer.writerow([])
            writer.writerow([figure.name, *(c.name + (f" ({c.unit})" if c.unit else "") for c in figure.shown.columns)])
            for row in figure.si_rows:
                writer.writerow(["", *(guarded(_cell(c, row[c.name])) for c in figure.shown.columns)])
    return out.getvalue()


def _figure_row(figure) -> list[str]:
    if not figure.is_number:
        return [figure.label, str(figure.value), "", "", "", figure.note]
    ends = [
        ("" if v is None else f"{units.from_si(v, figure.unit):.8g}") for v in (figure.low_value, figure.high_value)
    ]
    return [
        figure.label,
        f"{units.from_si(figure.value, figure.unit):.8g}",
        figure.unit.shown,
        *ends,
        figure.note or figure.cause,
    ]


def _cell(column, value) -> str:
    if column.kind == "text" or value is None or isinstance(value, str):
        return cell_text(column, value)
    return f"{units.from_si(value, units.unit_of(column.kind, column.unit)):.8g}"


def guarded(text: str) -> str:
    """Return a text cell that no spreadsheet runs as a formula; a plain negative number stays a number."""
    try:
        float(text)
    except ValueError:
        return f"'{text}" if text.startswith(DANGEROUS_STARTS) else text
    return text
