"""The code of a plan: nine characters that bind paper, file and record to one set of inputs.

Eight stand for a hash of the inputs as read, the schema of the plan and the version of the package; the ninth
finds a slip of the pen. The same inputs typed in other units give the same code. The alphabet leaves out
I, L, O and U, which are easily misread (Crockford's base 32; known, source not looked up).
"""

import hashlib
import json
import re
from datetime import date

import calcs

SCHEMA = 1  # raised when the meaning of an input changes
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
ALIKE = str.maketrans("ILO", "110")
LENGTH = 8
DIGITS = 9  # of each value: the last digits of a converted unit must not change the code


class Misread(ValueError):
    """A code that no plan has: a character is wrong, or two are swapped."""


def plan_code(inputs, form) -> str:
    """Return the code of a plan, such as "7QK-2M4-HX3".

    Args:
        inputs: values as the form read them, in SI units.
        form: the form, whose field names are part of what is hashed.
    """
    read = {f.name: _plain(inputs[f.name]) for f in form.fields if inputs[f.name] is not None}
    text = json.dumps(
        {"schema": SCHEMA, "version": calcs.__version__, "inputs": read}, sort_keys=True, separators=(",", ":")
    )
    return of_text(text)


def of_text(text: str) -> str:
    """Return the code of a text: eight characters from its hash and the check character, in three groups."""
    number = int.from_bytes(hashlib.sha256(text.encode()).digest()[:5], "big")  # 40 bits are eight characters
    values = [number >> 5 * place & 31 for place in reversed(range(LENGTH))]
    return grouped("".join(ALPHABET[value] for value in [*values, check_value(values)]))


def _plain(value):
    """Return a value as text or list that does not hang on the unit in which it was typed."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return f"{value + 0.0:.{DIGITS}g}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list):
        return [{name: _plain(cell) for name, cell in row.items() if cell is not None} for row in value]
    return str(value)


def check_value(values: list[int]) -> int:
    """Return the check value of values 0 to 31: no one wrong character and no two swapped ones pass it.

    The sum of 2^(i+1) times the i-th value, reckoned in the field of 32 elements: factors differ from place to
    place and none is 0, so each single change and each swap moves the sum.

    Source:
        arithmetic of a finite field with the polynomial x⁵ + x² + 1; a textbook method.
    """
    total, factor = 0, 1
    for value in values:
        factor = _times(factor, 2)
        total ^= _times(factor, value)
    return total


def _times(a: int, b: int) -> int:
    """Return the product of two elements of the field of 32."""
    product = 0
    while b:
        if b & 1:
            product ^= a
        a <<= 1
        if a & 32:
            a ^= 0b100101
        b >>= 1
    return product


def grouped(code: str) -> str:
    """Return nine characters in three groups."""
    return "-".join(code[i : i + 3] for i in range(0, len(code), 3))


def read_code(text: str) -> str:
    """Return a code as typed from paper, in its printed form.

    Small letters, missing strokes and I, L, O for 1, 1, 0 are read as what they stand for.

    Raises:
        Misread: not nine characters of the alphabet, or the last one does not fit the others.
    """
    tidy = re.sub(r"[\s\-‐-―]", "", text[:60]).upper().translate(ALIKE)
    if len(tidy) != LENGTH + 1 or any(c not in ALPHABET for c in tidy):
        raise Misread(f"“{text[:20]}” is not a plan code: nine characters in three groups, such as 7QK-2M4-HX3.")
    values = [ALPHABET.index(c) for c in tidy]
    if check_value(values[:LENGTH]) != values[LENGTH]:
        raise Misread(f"“{text[:20]}” is misread: its last character does not fit the others. Look at the paper again.")
    return grouped(tidy)
