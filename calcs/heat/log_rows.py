"""The rows of a log of readings: how they are asked, typed or pasted, and checked for rising time.

`cooling`, `tuning` and `equivalence` share the table declared here; each names the columns that it needs.
"""

from calcs.core import Range
from calcs.form import Field, Problem, Problems

MOST_ROWS = 400  # more than any of the three needs; a longer log is thinned before it is pasted

TIME = r"(?P<time>\d{1,4}:\d{2}|[\d.,]{1,12} *[a-zA-Z]{1,8}(?: +[\d.]{1,6} *[a-zA-Z]{1,8})?)"
NEXT = r"[\t ]*[,|\t ][\t ]*"  # a space, a tab, a comma or a stroke between two cells
VALUE = r"[-+−]?[\d.]{1,10} *°? *[a-zA-Z]{1,8}"

HINT = "One row for each reading: {}. Lines of a file may be pasted."

TEMPERATURE = Range("0 °C", "1900 °C", because="No furnace of this kind goes there.")


def log_field(example, sample: str, *, power: bool = False, **other) -> Field:
    """Return the field of a log with the columns time, temperature and, where asked, power.

    Args:
        example: rows as typed.
        sample: one row in a line of text, for hint and messages.
        power: whether a column of heater power may follow.
        other: further arguments of Field.
    """
    columns = [
        Field("time", "Time", "time", "5 min", accepted=Range("0 s", "1000 h", because="A longer log is cut.")),
        Field("temperature", "Temperature", "temperature", "588 °C", accepted=TEMPERATURE),
    ]
    row = rf"{TIME}{NEXT}(?P<temperature>{VALUE})"
    if power:
        columns.append(Field("power", "Heater power", "power", "0 W", optional=True, accepted=Range("0 W")))
        row += rf"(?:{NEXT}(?P<power>[\d.]{{1,10}} *[a-zA-Z]{{1,8}}))?"
    names = wording_of(columns)
    return Field(
        "log", f"Log (rows: {names})", "table", example, columns=tuple(columns), row=row,
        rows_allowed=(1, MOST_ROWS), hint=HINT.format(sample), **other,
    )  # fmt: skip


def wording_of(columns) -> str:
    """Return the names of columns for a label: "time, temperature, heater power"."""
    return ", ".join(c.label[:1].lower() + c.label[1:] for c in columns)


def points(rows: list[dict], column: str = "temperature") -> list[tuple[float, float]]:
    """Return the log as (time in s, value in SI units), in the order of its rows.

    Args:
        rows: the rows of the table as the form reads them.
        column: which column is wanted.

    Raises:
        Problems: a time that is not later than the one before.
    """
    found = [(row["time"], row[column]) for row in rows]
    for number, (before, after) in enumerate(zip(found, found[1:], strict=False), 2):
        if after[0] <= before[0]:
            raise Problems({"log": Problem(
                f"Log, row {number}: its time must be later than that of the row before.", cell=(number - 1, "time"),
            )})  # fmt: skip
    return found
