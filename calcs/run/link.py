"""The inputs of a plan in few characters, for the code on the card that a phone reads.

The texts as typed are laid in a fixed order, without names; a value of the usual list is left out, and so is a
unit that the usual value has too. What remains is deflated with a store of words that plans often hold. Order,
usual values and words stand in data/run/link.toml and never change for one schema number: a card on paper
outlives many revisions of the site. Opening goes the way of a file: the same closed reader, and everything is
worked out again.
"""

import base64
import re
import zlib
from functools import cache

from calcs.data import table
from calcs.form import LONGEST_TEXT
from calcs.run import code
from calcs.run.files import MOST_ROWS, CannotOpen

SCHEMA = 1
LONGEST = 500  # characters of a whole link on a card; longer ones need a code too fine for a hand-held telephone
LONGEST_READ = 4000  # characters that are looked at when a link is opened
LONGEST_INPUTS = 40_000  # characters that they may unfold to: a plan of 20 load rows in full has about 8000
LETTERS = re.compile(r"[A-Za-z0-9_-]+")
FIELD, ROW, CELL = "\x1f", "\x1d", "\x1e"  # marks between fields, rows and cells; nobody types them
AS_IT_STANDS = "="  # before a text that is not the usual one, or one without the usual unit
UNIT = re.compile(r"[0-9.eE+-]+( .+)")


def compact(inputs: dict, plan_code: str = "") -> str:
    """Return inputs as the part of an address after "#": "p=1.…", with letters, digits, - and _ alone.

    Args:
        inputs: name to text as typed, or to rows of texts; empty ones are left out.
        plan_code: the code of the plan, so that whoever opens the link sees whether it still holds.

    Raises:
        ValueError: a name that schema 1 does not know, or a text with a control character in it.
    """
    names = _table()["names"]
    if unknown := [n for n, v in inputs.items() if v and n not in names]:
        raise ValueError(f"link.toml has no place for {unknown[0]}")
    values = [_stored(name, inputs.get(name) or "") for name in names]
    text = FIELD.join([plan_code.replace("-", ""), *values])
    if text.count(FIELD) != len(names):
        raise ValueError("a control character in a text")
    packer = zlib.compressobj(9, zlib.DEFLATED, -15, 9, zlib.Z_DEFAULT_STRATEGY, _words())
    packed = packer.compress(text.encode()) + packer.flush()
    check = zlib.crc32(text.encode()).to_bytes(4, "big")
    return f"p={SCHEMA}." + base64.urlsafe_b64encode(check + packed).decode().rstrip("=")


def read(fragment: str) -> tuple[dict, str]:
    """Return the inputs as typed and the plan code of a compact link.

    Args:
        fragment: what stands after "#" in the address.

    Raises:
        CannotOpen: too long, damaged, or made by a newer page; the message is one sentence.
    """
    if len(fragment) > LONGEST_READ:
        raise CannotOpen("too_large", f"The link is longer than {LONGEST_READ} characters: no card carries such a one.")
    schema, _, packed = fragment.removeprefix("#").removeprefix("p=").partition(".")
    if not (schema.isascii() and schema.isdigit() and len(schema) < 4 and LETTERS.fullmatch(packed)):
        raise CannotOpen("damaged", "The link is damaged: it is not the code of a run card.")
    if int(schema) != SCHEMA:
        raise CannotOpen(
            "schema_newer",
            f"The link was made by a newer page (schema {int(schema)}, this one reads {SCHEMA}): update this copy of "
            "the site.",
        )
    try:
        plan_code, *values = _unpacked(packed).split(FIELD)
        if len(values) > len(_table()["names"]):
            raise CannotOpen("schema_newer", "The link was made by a newer page: update this copy of the site.")
        found = {name: _typed(name, value) for name, value in zip(_table()["names"], values, strict=False)}
    except CannotOpen:
        raise
    except (ValueError, zlib.error):
        raise CannotOpen("damaged", "The link is damaged: a part of it is missing or changed.") from None
    return {name: value for name, value in found.items() if value}, code.grouped(plan_code[:9])


def _unpacked(packed: str) -> str:
    """Return the text that was packed.

    Raises:
        ValueError: it unfolds to too much, is cut off, or its check differs.
    """
    data = base64.urlsafe_b64decode(packed + "=" * (-len(packed) % 4))
    opener = zlib.decompressobj(-15, _words())
    text = opener.decompress(data[4:], LONGEST_INPUTS)
    if not opener.eof or opener.unused_data or zlib.crc32(text).to_bytes(4, "big") != data[:4]:
        raise ValueError("damaged")
    return text.decode()


def _stored(name: str, value) -> str:
    """Return a typed value as it stands in the link: nothing for the usual one."""
    columns = _table()["columns"].get(name, ())
    if columns and not isinstance(value, str):
        return ROW.join(_stored_row(row, columns) for row in value)
    usual, unit = _usual(name)
    if value == usual:
        return ""
    if unit and value.endswith(unit) and value != unit and not value.startswith(AS_IT_STANDS):
        return value.removesuffix(unit)
    return AS_IT_STANDS + value if unit or columns or not value or value.startswith(AS_IT_STANDS) else value


def _stored_row(row: dict, columns) -> str:
    cells = [str(row.get(name) or "") for name in columns]
    if any(n not in columns for n, cell in row.items() if cell) or any(ROW in c or CELL in c for c in cells):
        raise ValueError("link.toml has no place for a cell")
    return CELL.join(cells).rstrip(CELL)


def _typed(name: str, value: str):
    """Return a stored value as typed.

    Raises:
        ValueError: it is longer than anything that can be typed, or has more cells than its table.
    """
    columns = _table()["columns"].get(name, ())
    usual, unit = _usual(name)
    if value.startswith(AS_IT_STANDS):
        return _not_too_long(value[1:], LONGEST_TEXT * (40 if columns else 1))
    if not value:
        return usual
    if columns:
        rows = [row.split(CELL) for row in value.split(ROW)]
        if len(rows) > MOST_ROWS or any(len(cells) > len(columns) for cells in rows):
            raise ValueError("not a table of the plan")
        return [{n: _not_too_long(cell) for n, cell in zip(columns, cells, strict=False) if cell} for cells in rows]
    return _not_too_long(value + unit)


def _not_too_long(text: str, longest: int = LONGEST_TEXT) -> str:
    if len(text) > longest:
        raise ValueError("too long")
    return text


def _usual(name: str) -> tuple[str, str]:
    """Return the usual text of an input and its unit, with the space before it."""
    usual = _table()["usual"].get(name, "")
    unit = UNIT.fullmatch(usual)
    return usual, unit[1] if unit else ""


def _table() -> dict:
    return table("run/link.toml")


@cache
def _words() -> bytes:
    return _table()["words"].replace("|", CELL).encode()
