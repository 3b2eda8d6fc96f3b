"""Rows of readings in a line of text: patterns for their cells, and a check that time rises.

`tuning` and `uniformity` share them. Plain logs of temperature are read by `calcs.readings`.
"""

from calcs.form import Problem, Problems

MOST_ROWS = 400  # more than either needs; a longer log is thinned before it is pasted

TIME = r"(?P<time>\d{1,4}:\d{2}|[\d.,]{1,12} *[a-zA-Z]{1,8}(?: +[\d.]{1,6} *[a-zA-Z]{1,8})?)"
NEXT = r"[\t ]*[,|\t ][\t ]*"  # a space, a tab, a comma or a stroke between two cells
VALUE = r"[-+−]?[\d.]{1,10} *°? *[a-zA-Z]{1,8}"

HINT = "One row for each reading: {}. Lines of a file may be pasted."


def points(rows: list[dict], column: str) -> list[tuple[float, float]]:
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
