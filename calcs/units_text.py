"""The letters of typed text: one kind of space, digit and minus; the number; the spelling of units.

Nothing here evaluates anything. A number is matched by pattern, a unit is looked up on the list of its kind.
"""

import re
import sys
import unicodedata
from functools import cache, lru_cache
from itertools import product

from calcs.units_table import KINDS, SYMBOLS, Kind, Unit

LONGEST = 200  # characters of typed text that are looked at
MOST_FACTORS = 6  # symbols in one unit


class Unreadable(ValueError):
    """Typed text that cannot be used. `options` are texts that would fill the field."""

    def __init__(self, message: str, options: tuple[str, ...] = ()):
        super().__init__(message)
        self.message = message
        self.options = tuple(options)


def quoted(text: str) -> str:
    """Return typed text fit to stand in a message: one line, printable, not long."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text[: LONGEST + 1]).split())
    return line if len(line) <= 40 else line[:39] + "…"


def number_text(number: float) -> str:
    """Return a number as plain text that is read back the same."""
    return f"{number:.15g}"


# ---------------------------------------------------------------- characters

_SAME = dict.fromkeys("\u2212\u2010\u2011\u2012\u2013\ufe63\uff0d", "-")  # minus, hyphens, en dash
_SAME |= dict.fromkeys("×✕✖⨯", "×") | dict.fromkeys("⋅∙•∗", "·") | dict.fromkeys("º˚", "°")
_SAME |= {
    "℃": "°C",
    "℉": "°F",
    "\u03bc": "µ",
    "\u212a": "K",
    "ℓ": "L",
    "⁄": "/",
    "∕": "/",
    "’": "'",
    "\t": "  ",
}
_SAME |= {chr(0x2080 + digit): str(digit) for digit in range(10)}  # H₂O


def plain_letters(text: str) -> str:
    """Return the text in plain characters: one kind of space, minus and digit; superscripts stay."""
    if len(text) > LONGEST:
        raise Unreadable(f"holds {len(text)} characters. Type one number and its unit.")
    text = text.strip()
    if not text:
        raise Unreadable("nothing is typed. Type one number and its unit.")
    return "".join(map(_plain_character, text))


def _plain_character(character: str) -> str:
    if character in _SAME:
        return _SAME[character]
    if " " <= character <= "~":
        return character
    if "\uff01" <= character <= "\uff5e":  # full-width letters, digits and marks
        return chr(ord(character) - 0xFEE0)
    category = unicodedata.category(character)
    if category == "Zs":
        return " "
    if category == "Nd":
        return str(unicodedata.decimal(character))
    if category[0] in "CZ":
        raise Unreadable("holds a character that cannot be seen. Type one number and its unit afresh.")
    return character


# ---------------------------------------------------------------- the number

RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")
_TENTH_POWER = r"10 ?(?:\^ ?(?P<power>[+-]?[0-9]+)|(?P<raised>[⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+))"
_POWER_ALONE = re.compile(rf"(?P<sign>[+-]?) ?{_TENTH_POWER}(?P<rest>.*)")
_NUMBER = re.compile(
    r"(?P<sign>[+-]?) ?(?P<run>[0-9.,'][0-9.,' ]*)"
    rf"(?P<exponent>[eE](?P<letter>[+-]?[0-9]+)|[xX×·*] ?{_TENTH_POWER})?(?P<rest>.*)"
)
_WHOLE = r"(?:[0-9]+|[1-9][0-9]{0,2}(?: [0-9]{3})+)"
_PART = r"(?:[0-9]+|[0-9]{3}(?: [0-9]{3})+)"
_MANTISSA = re.compile(rf"{_WHOLE}(?:\.|[.,]{_PART})?|[.,]{_PART}")
_BEGINS_UNIT = re.compile(r"[^\W\d_]|[/%°(]")
_SECOND_NUMBER = re.compile(r"[:;=]|(?<![\w^-])[0-9]")
_OWN_FACTOR = re.compile(r"(?<=[0-9⁰¹²³⁴⁵⁶⁷⁸⁹]) +(?:1e-6|10 ?\^ ?-6|10⁻⁶) ?/ ?(?=K$|°C$)")
_OWN_ONE = re.compile(r"(?<=[0-9⁰¹²³⁴⁵⁶⁷⁸⁹]) +1 ?/ ?(?=[a-zA-Zµ°])")


def number_and_rest(text: str):
    """Return (number, what follows it, notes) of plain text that begins with a number."""
    text = _OWN_ONE.sub(" /", _OWN_FACTOR.sub(" ppm/", text))  # units that begin with a digit: 1/m3, 1e-6/K
    notes = []
    if match := _POWER_ALONE.fullmatch(text):
        mantissa = "1"
    elif match := _NUMBER.fullmatch(text):
        mantissa = _mantissa(match, text, notes)
    else:
        raise Unreadable(_no_number(text))
    number, rest = _float(match, mantissa, text), match["rest"].strip()
    if rest and (not _BEGINS_UNIT.match(rest) or _SECOND_NUMBER.search(re.split(r"\(| at ", rest)[0])):
        raise Unreadable(_not_one_number(text))
    return number, rest, notes


def _not_one_number(text: str) -> str:
    if re.match(r"[0-9]+:[0-9]", text):
        return f"“{quoted(text)}” is a time in hours:minutes. This field takes one number and its unit."
    return f"“{quoted(text)}” is not one number with one unit."


def _no_number(text: str) -> str:
    kinds = [kind for kind in KINDS.values() if exact(kind, text)]
    if kinds:
        enter = f"Enter the {kinds[0].family}, such as 1.5 {quoted(text)}."
        return f"“{quoted(text)}” is a unit without a number. {enter}"
    return f"“{quoted(text)}” is not a number with a unit."


def _float(match, mantissa: str, text: str) -> float:
    groups = match.groupdict()
    raised = (groups["raised"] or "").translate(RAISED)
    power = groups.get("letter") or groups["power"] or raised or "0"
    value = float(f"{match['sign']}{mantissa}e{power}")
    if abs(value) > sys.float_info.max:
        raise Unreadable(f"“{quoted(text)}” is too large to calculate with.")
    if abs(value) < sys.float_info.min and re.search("[1-9]", mantissa):
        raise Unreadable(f"“{quoted(text)}” is too small to calculate with. Type 0 if you mean none.")
    return value


def _mantissa(match, text: str, notes: list) -> str:
    """Return the digits with a decimal point, or raise when the marks leave two meanings."""
    run = match["run"].strip()
    before, after = match["sign"], f"{match['exponent'] or ''} {match['rest'].strip()}".rstrip()
    _refuse_doubtful_marks(run, text, lambda number: f"{before}{number}{after}")
    if not _MANTISSA.fullmatch(run):
        if " " in run:
            raise Unreadable(_not_one_number(text))
        raise Unreadable(f"“{quoted(text)}” is not a number with a unit.")
    if "," in run:
        notes.append("comma read as decimal mark")
    return run.replace(" ", "").replace(",", ".")


def _refuse_doubtful_marks(run: str, text: str, filled) -> None:
    points, commas = run.count("."), run.count(",")
    if "'" in run:
        groups = re.fullmatch(r"[0-9]{1,3}('[0-9]{3})+([.,][0-9]+)?", run)
        options = (filled(run.replace("'", "").replace(",", ".")),) if groups else ()
        raise Unreadable(f"“{quoted(text)}” has a mark between its digits. Leave it out.", options)
    if points and commas:
        _refuse_two_marks(run, text, filled)
    if points > 1 or commas > 1:
        mark = "comma" if commas else "point"
        groups = re.fullmatch(r"[0-9]{1,3}([.,][0-9]{3})+", run)
        options = (filled(re.sub("[.,]", "", run)),) if groups else ()
        message = f"“{quoted(text)}” has more than one {mark}."
        raise Unreadable(f"{message} Write one decimal mark, and no mark between thousands.", options)
    if re.fullmatch(r"0*[1-9][0-9]*,[0-9]{3}", run):
        whole, part = run.split(",")
        options = (filled(whole + part), filled(f"{whole}.{part.rstrip('0')}".rstrip(".")))
        said = f"{whole}{part} or {whole}.{part}"
        raise Unreadable(f"“{quoted(text)}” could mean {said}. Write it without the comma, or with a point.", options)


def _refuse_two_marks(run: str, text: str, filled) -> None:
    message = f"“{quoted(text)}” has two different marks."
    for group, mark in ((".", ","), (",", ".")):
        if re.fullmatch(rf"[0-9]{{1,3}}(\{group}[0-9]{{3}})+\{mark}[0-9]+", run):
            whole, part = run.replace(group, "").split(mark)
            second = "" if len(part) == 3 else f" or {whole},{part}"
            raise Unreadable(f"{message} Write {whole}.{part}{second}.", (filled(f"{whole}.{part}"),))
    raise Unreadable(f"{message} Write one decimal mark, and no mark between thousands.")


# ---------------------------------------------------------------- the spelling of units

_WORDS = {  # whole texts that stand for a unit of the table
    "lpm": "L/min",
    "cfm": "ft3/min",
    "cfh": "ft3/h",
    "cc/min": "cm3/min",
    "ccm": "cm3/min",
    "cmh": "m3/h",
    "kw h": "kWh",
    "w h": "Wh",
    "micron": "µmHg",
    "microns": "µmHg",
    "mmwc": "mmH2O",
    "mmwg": "mmH2O",
    "inwc": "inH2O",
    "inwg": "inH2O",
}
LENGTH_WORDS = {"micron": "µm", "microns": "µm"}


def exact(kind: Kind, text: str) -> Unit | None:
    """Return the unit that a text names with its letters in their proper case, or None."""
    word = " ".join(text.casefold().replace("·", " ").replace(".", " ").split())
    if word in LENGTH_WORDS and kind.family == "length":
        return kind.unit(LENGTH_WORDS[word])
    return _index(kind.name).get(key_of(_WORDS.get(word, text)))


@cache
def _index(kind_name: str) -> dict:
    """Return the units of a kind by what they are compared by."""
    kind = KINDS[kind_name]
    return {key_of(unit.name): unit for unit in kind.units + kind.extra if unit.name != "1"}


# A unit is compared by its factors above and below the line, in no order: `L mbar s⁻¹` is mbar L/s.

DEGREE = re.compile(r"(?:\bdeg(?:ree)?s?\b|\bdeg|°)[ .]*(celsius|fahrenheit|kelvin|[cfk])\b", re.IGNORECASE)
_CUBIC = re.compile(r"\b(cubic|cu|square|sq)\b[ .]+([A-Za-z]+)", re.IGNORECASE)
_COLUMN = re.compile(r"\b(mm|cm|in|inch|inches|µm|um)[ .]*(?:of )?(hg|mercury|water|wc|wg)\b", re.IGNORECASE)
_FACTOR = re.compile(r"([A-Za-zµ°%]+)(?:\^?(-?[1-9]))?")


def factors_of(text: str):
    """Return [(symbol as typed, power, whether above the line), …], or None when it is no product."""
    text = re.sub(r"h2o\b", "Water", text.translate(RAISED), flags=re.IGNORECASE)
    text = _COLUMN.sub(_column, DEGREE.sub(lambda match: degree(match[1]), text))
    text = _CUBIC.sub(lambda match: match[2] + ("3" if match[1].lower().startswith("cu") else "2"), text)
    text = re.sub(r"\bper cent\b", "percent", text, flags=re.IGNORECASE)
    text = re.sub(r"[·*. ]+", " ", re.sub(r"\bper\b", "/", text, flags=re.IGNORECASE)).strip()
    above, stroke, below = text.partition("/")
    if match := re.fullmatch(r" *\(([^()/]*)\) *", below):
        below = match[1]
    parts = [(part, True) for part in above.split()] if above.strip() != "1" else []
    for piece in below.split("/") if stroke else ():
        if not piece.split():
            return None
        parts += [(part, False) for part in piece.split()]
    factors = []
    for part, is_above in parts:
        match = _FACTOR.fullmatch(part)
        power = int(match[2] or 1) if match else 0
        if not match or (match[2] == "1"):
            return None
        factors.append((match[1], abs(power), is_above == (power > 0)))
    return factors if len(factors) <= MOST_FACTORS else None


def degree(letter: str) -> str:
    return {"c": "°C", "f": "°F", "k": "K"}[letter[0].lower()]


def _column(match) -> str:
    """Join a length and its liquid into one symbol, keeping the case of the length: it holds a prefix."""
    length = "in" if match[1].lower().startswith("in") else match[1]
    return length + ("Hg" if match[2].lower() in ("hg", "mercury") else "Water")


@lru_cache(1000)
def key_of(text: str):
    """Return what a unit's text is compared by, letters in their proper case; None when it is no unit."""
    if text == "1e-6/K":
        text = "ppm/K"
    factors = factors_of(text) or [("", 1, True)]
    return _joined(factors, [typed for typed, _, _ in factors])


def _joined(factors, spellings):
    """Return the comparison key of factors, each with one spelling; None when one is no symbol."""
    key = []
    for (_, power, above), spelling in zip(factors, spellings, strict=True):
        name, own_power = ("cm", 3) if spelling == "cc" else ("", 1)
        if spelling in SYMBOLS:
            name = SYMBOLS[spelling].name
        if not name:
            return None
        # Below the line a degree Celsius is a kelvin: J/kg/°C is J/kg/K.
        key.append(("K" if name == "°C" and not above else name, own_power * power, above))
    return tuple(sorted(key))


# ---------------------------------------------------------------- letters in the wrong case


def fold(text: str) -> str:
    return text.casefold().replace("\u03bc", "µ")


@cache
def _spellings() -> dict:
    """Return folded spelling to the spellings in proper case."""
    found = {}
    for spelling in (*SYMBOLS, "cc"):
        found.setdefault(fold(spelling), []).append(spelling)
    return found


def in_other_case(kind: Kind, text: str):
    """Return (units meant for certain, units perhaps meant) if the case of letters did not count.

    The case of a prefix is never guessed: `MBAR`, `MPA`, `ML` stay in doubt, `KPA` and `PA` do not.
    """
    word = " ".join(fold(text).replace("·", " ").split())
    factors = factors_of(_WORDS.get(word, text)) or ()
    certain, doubtful = [], []
    for spellings in product(*[_spellings().get(fold(typed), ()) for typed, _, _ in factors]) if factors else ():
        unit = _index(kind.name).get(_joined(factors, spellings))
        if unit and unit not in certain + doubtful:
            pairs = zip(factors, spellings, strict=True)
            in_doubt = any(_prefix_in_doubt(typed, meant) for (typed, _, _), meant in pairs)
            (doubtful if in_doubt else certain).append(unit)
    return certain, doubtful


def _prefix_in_doubt(typed: str, meant: str) -> bool:
    if typed == meant or meant == "cc":
        return False
    prefixes = {SYMBOLS[spelling].prefix for spelling in _spellings()[fold(meant)] if spelling != "cc"}
    prefix = SYMBOLS[meant].prefix
    return len(prefixes) > 1 or (prefix not in ("", *_ONE_CASE) and typed[0] != prefix)


_ONE_CASE = "kchdµ"  # prefixes whose other case is no prefix
