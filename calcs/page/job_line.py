"""The job as a line of stages, for the page that walks through it: twenty-three stops, three hot spots."""

from calcs.page import svg
from calcs.picture import Circle, Drawing, Line, Rect, Table, Text

STAGES = (
    "Enquiry", "The wish in measurable words", "What is in the load", "What the gas may contain", "Hazards", "Supplies",
    "Temperature programme", "Check and release", "Clean, load, close", "Pump down", "Rise test", "Dry out",
    "Backfill and purge", "Set the hold", "Heat", "Soak", "Cool", "Open", "Look and measure", "Leave the furnace",
    "Check the log", "File the record", "Learn",
)  # fmt: skip
HOT_SPOTS = {"A": (2, 4), "B": (12, 13), "C": (16, 17)}  # where a guess is both common and costly
HEATER_ON = STAGES.index("Heat")
ROW = 24


def html() -> str:
    """Return the line as a figure with its table."""
    return svg.picture_html(drawing(), "job-line")


def drawing() -> Drawing:
    """Return the stages from top to bottom; hot spots as bars at the left, the heater as a line."""
    bottom = 20 + ROW * len(STAGES)
    shapes = [Line(60, 20, 60, bottom - ROW, "thick")]
    for name, (first, last) in HOT_SPOTS.items():
        top, end = 20 + ROW * first - 10, 20 + ROW * last + 10
        shapes += [Rect(18, top, 24, end - top, "shaded"), Text(30, (top + end) / 2 + 5, name, "middle", "strong")]
    for number, stage in enumerate(STAGES):
        y = 20 + ROW * number
        shapes += [
            Circle(60, y, 6, "filled" if number >= HEATER_ON else "ground"),
            Text(78, y + 5, f"{number}  {stage}"),
        ]
    y = 20 + ROW * HEATER_ON - ROW / 2
    shapes += [Line(50, y, 430, y, "dashed"), Text(430, y - 4, "heater on", "end", "muted")]
    spots = {n: name for name, (first, last) in HOT_SPOTS.items() for n in range(first, last + 1)}
    rows = [(str(n), stage, spots.get(n, "–")) for n, stage in enumerate(STAGES)]
    return Drawing(
        sentence=f"{HEATER_ON} of {len(STAGES)} stages come before the heater is switched on",
        description="The stages of a run from top to bottom. Marked A: stages 2 to 4, what is in the load, the gas and the "
        "room. B: stages 12 and 13, air out and pressure set. C: stages 16 and 17, cooling and opening.",
        view_box=(0, 0, 440, bottom),
        shapes=shapes,
        table=Table("The stages of a run", ("No.", "Stage", "Hot spot"), rows),
    )
