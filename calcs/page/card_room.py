"""How much of the run card fits on a side of paper: lines of text, heights in millimetres, and what goes where.

Letters are reckoned with the widths of the common sans-serif faces of one measure, so an estimate is good to about
a line in thirty; every height is rounded up. One that is too high costs some white, one too low a third sheet.
"""

import re
from dataclasses import dataclass
from functools import lru_cache
from math import ceil

BREAKS = re.compile(r"[ \t\n]+|(?<=-)(?=[^ ])")  # not at a no-break space
SHEET = 257.0  # mm in use: US Letter less margins is 260, A4 278
WIDTH = 185.0  # mm
SCALES = (1.25, 1.12, 1.05, 1.0)  # of the text: 10 and 9 pt, 9 and 8.1 pt, 8.4 and 7.6 pt, 8 and 7.2 pt
POINT = 25.4 / 72  # mm

# Advance widths in hundredths of an em; the metrics of Helvetica and of the faces made to fit it.
_WIDTHS = {
    letter: hundredths / 100
    for hundredths, letters in (
        (20, "'\u202f\u2009"), (22, "ijl"), (27, "|"), (28, " !,./:;I[\\]ft·\xa0"), (33, "()-`r{}²³“”"), (36, '"'),
        (40, "*°"), (50, "Jcksvxyz^"), (56, "#$0123456789?L_abdeghnopqué–±"), (59, "+<=>~−×µ"), (61, "FTZ"),
        (67, "&ABEKPSVXYÅ"), (73, "CDHNRUw"), (78, "GOQ"), (84, "Mm"), (90, "%☐"), (95, "W"), (102, "@—…→"),
    )
    for letter in letters
}  # fmt: skip
OTHER = 0.7  # of a letter that is not in the list; wider scripts count twice
BOLD = 1.07
SPARE = 0.99  # of a column: browsers round glyphs to pixels


def width(words: str, points: float, bold: bool = False) -> float:
    """Return the width of one line of text, mm."""
    return _ems(words) * points * POINT * (BOLD if bold else 1.0)


@lru_cache(4096)
def _ems(word: str) -> float:
    return sum(_WIDTHS.get(letter, OTHER if ord(letter) < 0x2E80 else 2 * OTHER) for letter in word)


def lines(words: str, width_mm: float, points: float, bold: bool = False) -> int:
    """Return the lines that a text takes in a column; words stay whole where they fit."""
    room, space = width_mm * SPARE, width(" ", points, bold)
    found, at = 1, 0.0
    for word in BREAKS.split(words):
        takes = width(word, points, bold)
        if at and at + space + takes <= room:
            at += space + takes
        else:
            found += bool(at) + max(0, ceil(takes / room) - 1)  # a word wider than the column is cut
            at = takes if takes <= room else takes % room
    return found


def text_height(words: str, width_mm: float, points: float, spacing: float, padding: float = 0.0) -> float:
    """Return the height of a paragraph, mm; `spacing` is its line height in ems."""
    return lines(words, width_mm, points) * points * spacing * POINT + padding


@dataclass(frozen=True)
class Block:
    """A piece of the card that stays whole."""

    html: str
    height: float  # mm


@dataclass
class Side:
    """What stands on one side: blocks, rows of the step table (first, end), the picture; the height left, mm."""

    blocks: list[str]
    room: float
    rows: tuple[int, int] = (0, 0)
    picture: bool = False


GAP = 1.0  # mm between blocks


def put(sides: list[Side], block: Block, new_room: float) -> None:
    """Add a block to the last side, or to a new one where it does not fit."""
    if block.height + GAP > sides[-1].room and sides[-1].blocks:
        sides.append(Side([], new_room))
    sides[-1].blocks.append(block.html)
    sides[-1].room -= block.height + GAP


def fitting(heights: list[float], room: float) -> int:
    """Return how many of the first rows fit into a height."""
    count, total = 0, 0.0
    while count < len(heights) and total + heights[count] <= room:
        total += heights[count]
        count += 1
    return count


@dataclass(frozen=True)
class Pieces:
    """What a card is made of, with the heights at one scale of the text.

    Args of the fields:
        top: blocks before the steps, in order.
        rows: rows of the step table.
        picture: the small picture below the first steps, or None.
        beside: what stands beside the readings, such as the code for a telephone, or None.
        below: blocks below the readings, in the same column.
        end: blocks after them, over the whole width.
        every, first: heights of what each side repeats, and of what the first has besides.
        table_head, reading_head: heights of the heads of the two tables.
    """

    top: list[Block]
    rows: list[Block]
    picture: Block | None
    beside: Block | None
    below: list[Block]
    end: list[Block]
    every: float
    first: float
    table_head: float
    reading_head: float


READING, RULED = 8.2, 8.0  # mm: a row of the readings, a line of the deviations, for hands in gloves
READINGS, DEVIATIONS = (3, 6, 14), (2, 4)  # fewest, enough, most


@dataclass
class Arranged:
    """Where everything stands, and how many lines there are to write on."""

    sides: list[Side]
    readings: int
    deviations: int
    spare: float  # mm left with the fewest lines to write on


def arranged(p: Pieces) -> Arranged:
    """Return how the pieces lie on as few sides as they take: two at least, a front and a back."""
    room = SHEET - p.every
    sides = [Side([], room - p.first)]
    for block in p.top:
        put(sides, block, room)
    heights, at = [row.height for row in p.rows], 0
    picture = p.picture and p.picture.height + GAP
    while True:
        side = sides[-1]
        if picture and picture <= side.room:
            side.room -= picture
            side.picture, picture = True, None
        count = fitting(heights[at:], side.room - p.table_head - GAP)
        if count:
            side.rows, side.room = (at, at + count), side.room - p.table_head - GAP - sum(heights[at : at + count])
        at += count
        if at >= len(heights) or not (count or side.blocks):
            break
        sides.append(Side([], room))
    if len(sides) == 1 or least_end(p) > sides[-1].room:
        sides.append(Side([], room))
    return _with_lines(p, sides)


def least_end(p: Pieces, readings: int = READINGS[0], deviations: int = DEVIATIONS[0]) -> float:
    """Return the height of the end of a card with so many lines to write on."""
    column = p.reading_head + readings * READING + sum(block.height + GAP for block in p.below)
    beside = p.beside.height if p.beside else 0.0
    return max(column, beside) + GAP + deviations * RULED + sum(block.height + GAP for block in p.end)


def _with_lines(p: Pieces, sides: list[Side]) -> Arranged:
    """Fill what is left of the last side: readings, then lines for deviations, then readings again."""
    room, readings, deviations = sides[-1].room, READINGS[0], DEVIATIONS[0]
    for wanted in READINGS[1:]:
        while readings < wanted and least_end(p, readings + 1, deviations) <= room:
            readings += 1
        while deviations < DEVIATIONS[1] and least_end(p, readings, deviations + 1) <= room:
            deviations += 1
    return Arranged(sides, readings, deviations, sum(side.room for side in sides) - least_end(p))
