"""The one registry of units, and the closed reader of typed text.

Text that somebody typed is taken apart by hand: sign, digits, decimal mark, exponent, a unit from the list
of its kind, and a word for the sense of a pressure or the reference of a flow. Nothing typed is handed to an
expression parser, and what is not on the list is refused in words, with texts that would fit.

`units_table` holds the symbols, units and kinds; `units_text` reads numbers and the spelling of units.
"""

import re
import sys
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

from calcs.units_table import KINDS, SCALES, SYMBOLS, Kind, Unit
from calcs.units_text import (
    DEGREE,
    LENGTH_WORDS,
    RAISED,
    Unreadable,
    degree,
    exact,
    factors_of,
    fold,
    in_other_case,
    key_of,
    number_and_rest,
    number_text,
    plain_letters,
    quoted,
)

REFERENCES = {  # names of the reference conditions of a standard flow: temperature in K, pressure in Pa
    "0 degC, 101.325 kPa": (273.15, 101325.0),
    "0 degC, 100 kPa": (273.15, 100000.0),
    "15 degC, 101.325 kPa": (288.15, 101325.0),
    "20 degC, 101.325 kPa": (293.15, 101325.0),
    "25 degC, 101.325 kPa": (298.15, 101325.0),
    "70 degF, 14.696 psia": (SCALES["°F"].to_si(70.0), 101325.35),
}
SENSES = {"absolute": "abs", "gauge": "gauge", "below": "below the room"}
NARROW_SPACE = "\u202f"


@cache
def registry():
    """Return the one registry. It is made when somebody asks for a quantity: a page in the browser never does."""
    import pint

    return pint.UnitRegistry(str(Path(__file__).with_name("units.txt")), cache_folder=None)


def __getattr__(name: str):
    """`units.ureg` and `units.Quantity`, made when first asked for."""
    if name == "ureg":
        return registry()
    if name == "Quantity":
        return registry().Quantity
    raise AttributeError(name)


@dataclass(frozen=True)
class Read:
    """What was read from typed text.

    Args of the fields:
        kind: name of the kind.
        typed: the text as typed.
        number: the number, in `unit`.
        unit: the unit typed, or that of the menu.
        typed_unit: whether the unit was typed.
        sense: "absolute", "gauge" (above the room), "below" (the room; number positive), or None.
        reference: reference conditions typed with a standard flow, a name of REFERENCES, or None.
        notes: what the reading added or changed, in words.
        said: number and unit in words, where they are not written as `number unit`.
    """

    kind: str
    typed: str
    number: float
    unit: Unit
    typed_unit: bool = False
    sense: str | None = None
    reference: str | None = None
    notes: tuple[str, ...] = ()
    said: str = ""

    @property
    def si(self) -> float:
        """The value in SI units: a gauge value from the room, a standard flow in m³/s at its reference."""
        value = self.unit.to_si(self.number)
        # Rounding of the scales' zeros must not make -273.15 °C a little less than nothing.
        return 0.0 if self.unit.shift and abs(value) < 1e-9 else value

    @property
    def quantity(self):
        """The value as a pint quantity, in the unit typed."""
        return registry().Quantity(self.number, self.unit.pint)


# ---------------------------------------------------------------- the public functions


def read(kind_name: str, text: str, unit: str | Unit | None = None) -> Read:
    """Return what typed text says, as a quantity of one kind.

    Args:
        kind_name: a name of KINDS.
        text: anything that somebody may type.
        unit: the menu's unit, for a bare number; a typed unit wins over it.

    Raises:
        Unreadable: the text is not one number with one unit of this kind, or could mean two things.
            Ranges are not checked here, except for temperatures below 0 K.
    """
    kind = KINDS[kind_name]
    try:
        return _read(kind, text, _menu_unit(kind, unit))
    except Unreadable as trouble:
        fitting = [option for option in dict.fromkeys(trouble.options) if _can_be_read(kind, option, unit)]
        raise Unreadable(trouble.message, tuple(fitting)) from None


def quantity(text: str):
    """Return a quantity written in our own data and code, such as `24 L`, `5 K/min`, `20 degC`.

    Any unit of any kind, or a product of their symbols (`J/mol/K`). `°C`, `°F` alone are temperatures. A
    pressure may carry `abs`, since a bare one is absolute here too; a gauge value has no place in data.

    Raises:
        ValueError: no number, or a unit that is not on the list.
    """
    number, unit = _number_and_unit(text)
    return registry().Quantity(number, _registry_unit(unit))


def si(text: str) -> float:
    """Return the SI value of a quantity written in our own data and code; the registry is not needed for it.

    Raises:
        ValueError: no number, or a unit that is not on the list.
    """
    number, unit = _number_and_unit(text)
    return _plain_unit(unit).to_si(number)


def _number_and_unit(text: str) -> tuple[float, str]:
    number, rest, _ = number_and_rest(plain_letters(text))
    return number, re.sub(r" abs(olute)?$|(?<=psi)a$", "", rest) or "1"


def as_text(found: Read) -> str:
    """Return the text that is read as this again: number, unit, and where they were said sense and reference."""
    words = {"sense": found.sense, "reference": found.reference}
    unit = "" if found.unit.name == "1" else f" {found.unit.name}"
    return f"{number_text(found.number)}{unit}{_tail(KINDS[found.kind], words)}"


def unit_of(kind_name: str, name: str) -> Unit:
    """Return the unit of a kind by its name or printed form; KeyError if it is not one."""
    return KINDS[kind_name].unit(name)


def to_si(kind_name: str, number: float, unit: str | Unit) -> float:
    """Return a number in a unit of the kind as SI float, without the registry."""
    return (unit if isinstance(unit, Unit) else unit_of(kind_name, unit)).to_si(number)


def from_si(value: float, unit: Unit) -> float:
    """Return the number of a unit for an SI value."""
    return unit.from_si(value)


def convert(value, kind_name: str, unit_shown: str | Unit) -> float:
    """Return the number to show, in a unit of the kind, for an SI float or a pint quantity."""
    if hasattr(value, "to"):
        value = value.to(KINDS[kind_name].si).magnitude
    unit = unit_shown if isinstance(unit_shown, Unit) else unit_of(kind_name, unit_shown)
    return unit.from_si(value)


def name_of(registry_unit) -> str:
    """Return our name of a registry unit, such as `mbar L/s`; "" for a plain number."""
    spelled = _registry_names()
    parts = {True: [], False: []}
    for name, power in sorted(registry().Quantity(1, registry_unit).unit_items()):
        if name not in spelled or power != int(power):
            return f"{registry_unit}"
        parts[power > 0].append(spelled[name] + (f"{abs(int(power))}" if abs(power) != 1 else ""))
    name = "/".join([" ".join(parts[True]) or "1", *parts[False]])
    if name == "1":
        return ""
    found = _unit_by_key().get(key_of(name))
    return found.name if found else name


# ---------------------------------------------------------------- reading one text


def _read(kind: Kind, text: str, menu: Unit | None) -> Read:
    letters = plain_letters(text)
    if kind.name == "time" and (found := _clock_or_parts(text, letters)):
        return found
    if kind.name == "volume":
        _refuse_sides(text, letters)
    number, rest, notes = number_and_rest(letters)
    found = {"kind": kind.name, "typed": text, "number": number}
    if kind.sense:
        rest, found["sense"] = _sense(kind, number, rest, notes)
    if kind.name in ("standard flow", "actual flow"):
        rest, found["reference"] = _flow_words(kind, number, rest, notes)
    if kind.name == "mole fraction":
        rest = _share(rest)
    try:
        unit = _unit(kind, number, rest, notes) if rest else menu
    except Unreadable as trouble:
        raise Unreadable(trouble.message, [option + _tail(kind, found) for option in trouble.options]) from None
    if unit is None:
        raise Unreadable(f"“{quoted(text)}” needs {_needed(kind, number, found)}.")
    if rest and menu and unit != menu:
        notes.append("unit as typed")
    answer = Read(unit=unit, typed_unit=bool(rest), notes=tuple(notes), **found)
    return _within_floats(kind, answer)


def _needed(kind: Kind, number: float, found: dict) -> str:
    if kind.sense == "asked" and not found["sense"]:
        size = f"{number_text(number)} mbar"
        return f"a unit, and abs or gauge. Type them after the number, such as {size} abs or {size} gauge"
    return f"a unit. Type it after the number, such as {_sample(kind, number)}{_tail(kind, found)}"


def _tail(kind: Kind, found: dict) -> str:
    """Return the words that keep sense and reference in a text offered for the field."""
    if found.get("reference"):
        return f" ({found['reference']})"
    sense = found.get("sense")
    return "" if sense is None or sense == kind.sense else f" {SENSES[sense]}"


def _menu_unit(kind: Kind, unit) -> Unit | None:
    if isinstance(unit, Unit):
        return unit
    if unit is None or unit == "":
        return kind.unit("1") if kind.name == "number" else None
    try:
        return kind.unit(unit)
    except KeyError:
        raise Unreadable(f"“{quoted(str(unit))}” is not in the list of units of this field.") from None


def _can_be_read(kind: Kind, text: str, unit) -> bool:
    try:
        _read(kind, text, _menu_unit(kind, unit))
    except Unreadable:
        return False
    return True


def _within_floats(kind: Kind, found: Read) -> Read:
    """Refuse what the machine cannot hold, and temperatures below absolute zero."""
    value = found.si
    if not abs(value) <= sys.float_info.max:
        raise Unreadable(f"“{quoted(found.typed)}” is too large to calculate with.")
    if found.number and not found.unit.shift and abs(value) < sys.float_info.min:
        raise Unreadable(f"“{quoted(found.typed)}” is too small to calculate with. Type 0 if you mean none.")
    if kind.family == "temperature" and value < 0:
        raise Unreadable(f"“{quoted(found.typed)}” is below absolute zero, which is 0 K or -273.15 °C.")
    return found


def _sample(kind: Kind, number: float = 1.5) -> str:
    name = kind.units[0].shown
    return number_text(number) + ("" if name == "1" else f" {name}")


# ---------------------------------------------------------------- time of several parts

_CLOCK = re.compile(r"([0-9]{1,4}):([0-9]{2})")
_PARTS = re.compile(r"(?:[0-9]+(?:[.,][0-9]+)? ?[A-Za-z]+ ?){2,4}")
_PART_OF_TIME = re.compile(r"([0-9]+(?:[.,][0-9]+)?) ?([A-Za-z]+) ?")


def _clock_or_parts(text: str, plain: str) -> Read | None:
    """Return a time written `1:30` (hours:minutes) or `5 h 30 min`; None when it is written otherwise."""
    kind = KINDS["time"]
    if ":" in plain:
        return _clock(kind, text, plain)
    if not _PARTS.fullmatch(plain):
        return None
    parts = [
        (number.replace(",", "."), exact(kind, word) or exact(kind, word.lower()))
        for number, word in _PART_OF_TIME.findall(plain)
    ]
    if not all(unit for _, unit in parts):
        return None  # 1e5 s is one number
    falling = all(larger.factor > smaller.factor for (_, larger), (_, smaller) in pairwise(parts))
    whole = all("." not in number for number, _ in parts[:-1])
    if not falling or not whole:
        raise Unreadable(f"“{quoted(text)}” is not a time. Write it as 5 h 30 min.")
    for (_, before), (number, unit) in pairwise(parts):
        if float(number) * unit.factor >= before.factor:
            raise Unreadable(f"“{quoted(text)}”: {number} {unit.name} is more than fits beside the part before it.")
    total = sum(float(number) * unit.factor for number, unit in parts)
    said = " ".join(f"{number} {unit.name}" for number, unit in parts)
    notes = ("comma read as decimal mark",) if "," in plain else ()
    unit = parts[-1][1]
    return _within_floats(kind, Read("time", text, total / unit.factor, unit, True, notes=notes, said=said))


def _clock(kind: Kind, text: str, plain: str) -> Read:
    match = _CLOCK.match(plain)
    if not match or int(match[2]) > 59:
        raise Unreadable(f"“{quoted(text)}” is not a time in hours:minutes. Write it as 1:30 or 1 h 30 min.")
    hours, minutes = int(match[1]), int(match[2])
    said = f"{hours} h {minutes} min" if hours else f"{minutes} min"
    if match.end() != len(plain):
        other = f"{hours} min {minutes} s"
        raise Unreadable(f"“{quoted(text)}” has more than hours:minutes. Write it as {said}.", (said, other))
    return Read("time", text, hours * 60.0 + minutes, kind.unit("min"), True, notes=("hours:minutes",), said=said)


# ---------------------------------------------------------------- length, width and height for a volume

_SIDE = r"([0-9]+(?:\.[0-9]+)?) ?(mm|cm|m|in|ft)?"
_SIDES = re.compile(rf"{_SIDE} ?[xX×*] ?{_SIDE} ?[xX×*] ?{_SIDE}")


def _refuse_sides(text: str, plain: str) -> None:
    """Three sides are not a volume: offer their product, in cubic metres where no unit is typed."""
    if not (match := _SIDES.fullmatch(plain)):
        return
    named = {unit for unit in match.groups()[1::2] if unit}
    unit = named.pop() if named else "m"
    sides = [float(side) for side in match.groups()[::2]]
    product = float(f"{sides[0] * sides[1] * sides[2]:.6g}")
    message = f"“{quoted(text)}” is length, width and height. This field takes one volume"
    if named or not match[6] and match.groups()[1::2] != (None, None, None):
        raise Unreadable(f"{message}: multiply them in one unit.")
    raise Unreadable(f"{message}: their product.", (f"{number_text(product)} {unit}3",))


# ---------------------------------------------------------------- words for the sense of a pressure

_ROOM = r"(?: (?:the )?(?:room|ambient|atmosphere|atmospheric(?: pressure)?|barometer))"
_SENSES = {
    "absolute": r"abs(?:olute)?\.?",
    "gauge": rf"gauge|gage|above{_ROOM}?|over-?pressure",
    "below": rf"below{_ROOM}?|vac(?:uum)?\.?",
}
_SENSE_WORD = re.compile(
    r"(?P<unit>.*?)(?:^| |, ?| ?\()(?:" + "|".join(f"(?P<{name}>{words})" for name, words in _SENSES.items()) + r")\)?",
    re.IGNORECASE,
)
_SENSE_LETTER = re.compile(r"(?P<unit>.+?)(?: | ?\()(?P<letter>[agAG])\)?")
_SENSE_JOINED = re.compile(r"(?P<unit>[mM]?[bB][aA][rR]|[kKhM]?[pP][aA]|[pP][sS][iI])(?:(?P<letter>[agAG])|-?abs)")


def _sense(kind: Kind, number: float, rest: str, notes: list):
    """Return (unit text, sense) of what follows the number of a pressure."""
    unit, sense, word = _take_sense(rest)
    again, second, _ = _take_sense(unit)
    if second and second != sense:
        raise Unreadable(f"“{quoted(rest)}” names two senses. Write one: abs, gauge or below.")
    unit = again if second else unit
    if sense and kind.sense == "none":
        option = f"{number_text(number)} {unit}".strip()
        raise Unreadable(f"A difference of pressure has no sense. Leave out “{quoted(word)}”.", (option,))
    if sense == "below":
        _check_below(number, unit, word)
    if word.casefold().startswith("vac"):
        notes.append("vacuum read as below the room")
    if sense is None and kind.sense in ("absolute", "gauge"):
        sense = kind.sense
    return unit, sense


def _take_sense(rest: str):
    if match := _SENSE_WORD.fullmatch(rest):
        sense = next(name for name in _SENSES if match[name])
        return match["unit"].strip(), sense, match[sense]
    if match := _SENSE_LETTER.fullmatch(rest) or _SENSE_JOINED.fullmatch(rest):
        letter = (match["letter"] or "a").lower()
        return match["unit"].strip(), {"a": "absolute", "g": "gauge"}[letter], letter
    return rest, None, ""


def _check_below(number: float, unit: str, word: str) -> None:
    size = f"{number_text(abs(number))} {unit}".strip()
    if number < 0:
        message = f"has both a minus and “{quoted(word)}”. Write {quoted(size)} below the room."
        raise Unreadable(message, (f"{size} below the room",))
    # On a dial in inches of mercury vacuum counts down from the room; elsewhere it may be what is left.
    if word.casefold().startswith("vac") and not re.fullmatch(r"in.*(hg|mercury)", unit, re.IGNORECASE):
        message = f"“vacuum” does not say whether {quoted(size)} is left, or is missing below the room."
        raise Unreadable(message, (f"{size} abs", f"{size} below the room"))


# ---------------------------------------------------------------- words for the reference of a flow

_REFERENCE = re.compile(r"(?P<flow>[^(]*?) ?(?:\((?P<inside>[^()]*)\)|\bat (?P<at>.*))")
_FLOW_WORD = re.compile(
    r"(?P<before>.*?)[ ,]*\b(?P<word>actual|act|standard|std|normal|norm)\b\.? ?(?P<after>.*)", re.I
)
_PER_VOLUME = r"(?=(?i:m?l|c?m\^?3|ft\^?3|cc|cu|cubic|litres?|liters?)(?![A-Za-z]))"
_NORMAL = re.compile(rf"(?:N|[sS]) ?{_PER_VOLUME}")
_NORMAL_IN_DOUBT = re.compile(rf"n{_PER_VOLUME}")
_NORMAL_BEHIND = re.compile(r"(m?[lL])_?n(/.*)")
_ACTUAL_SHORT = re.compile(r"a(cf[mh]|m3/h|l/min|lpm)", re.IGNORECASE)
_STANDARD_NAMES = ("sccm", "slm", "scfh", "scfm")


def _flow_words(kind: Kind, number: float, rest: str, notes: list):
    """Return (unit text, reference) of what follows the number of a flow."""
    reference = None
    if match := _REFERENCE.fullmatch(rest):
        rest, reference = match["flow"], (match["inside"] or match["at"] or "").strip()
        if found := re.search(r"actual|chamber|^(standard|std|normal|norm)$", reference, re.IGNORECASE):
            rest, reference = f"{rest} {found[1] or 'actual'}", None
    rest, word = _flow_word(number, rest.translate(RAISED))
    if kind.name == "actual flow":
        _check_actual(number, rest, word, reference, notes)
        return rest, None
    if word == "actual":
        raise Unreadable(
            "“actual” is a flow at the gas's own pressure and temperature; this field takes a standard flow. "
            "Type the flow as it is at the reference conditions."
        )
    if reference is not None:
        return rest, _reference(number, rest, reference)
    if word or rest.casefold() in (*_STANDARD_NAMES, "slpm"):
        notes.append(f"“{quoted(word or rest)}” does not say its reference conditions: those of the field count")
    return rest, None


def _flow_word(number: float, rest: str):
    """Return (unit text, "actual" or the word for standard, or "")."""
    if match := _FLOW_WORD.fullmatch(rest):
        word = match["word"].casefold()
        unit = f"{match['before']} {match['after']}".replace("conditions", "").strip()
        return unit, "actual" if word.startswith("act") else word
    if match := _NORMAL.match(rest):
        return rest[match.end() :], rest[: match.end()].strip()
    if match := _NORMAL_BEHIND.fullmatch(rest):
        return match[1] + match[2], "n"
    if _NORMAL_IN_DOUBT.match(rest):
        option = f"{number_text(number)} N{rest[1:]}"
        raise Unreadable(f"“{quoted(rest)}”: write a capital N for a normal flow.", (option,))
    if match := _ACTUAL_SHORT.fullmatch(rest):
        return match[1], "actual"
    return rest, ""


def _check_actual(number: float, unit: str, word: str, reference: str | None, notes: list) -> None:
    standard = (word and word != "actual") or unit.casefold() in (*_STANDARD_NAMES, "slpm")
    if standard or reference is not None:
        raise Unreadable(
            "a standard flow is typed; this field takes an actual flow, at the gas's own pressure and "
            "temperature. Convert it first, with the reference conditions."
        )
    if unit.casefold() in ("cfm", "cfh"):
        per = {"m": "minute", "h": "hour"}[unit.casefold()[-1]]
        notes.append(f"cubic feet per {per}, actual")


def _reference(number: float, unit: str, text: str) -> str:
    """Return the name in REFERENCES of typed reference conditions."""
    flow = f"{number_text(number)} {unit}".strip()
    match = re.fullmatch(r"(.*?[CFKcfk])(?: ?[,;] ?| and | )(.*[^ ])", text.strip())
    if match:
        try:
            kelvin = read("temperature", match[1]).si
            pressure = read("absolute pressure", re.sub(r"(?<=[0-9]),(?=[0-9])", ".", match[2]))
            if pressure.sense == "absolute" and (name := _named_reference(kelvin, pressure.si)):
                return name
        except Unreadable:
            pass  # the message below says what can be typed
    options = tuple(f"{flow} ({name})" for name in REFERENCES)
    raise Unreadable(
        f"“{quoted(text)}” names no reference conditions of the list. Type temperature and pressure, "
        f"such as {flow} (0 degC, 101.325 kPa).",
        options,
    )


def _named_reference(kelvin: float, pascal: float) -> str | None:
    # Near enough for 1013 mbar and 293 K, far less than from one name to the next.
    for name, (temperature, pressure) in REFERENCES.items():
        if abs(kelvin - temperature) <= 0.2 and abs(pascal / pressure - 1) <= 5e-4:
            return name
    return None


# ---------------------------------------------------------------- shares by volume

_SHARE = re.compile(
    r"(?P<before>vol|mol|v|wt|mass)?\.? ?(?P<unit>%|percent|per cent|ppm|ppb)"
    r" ?(?:by )?\(?(?P<after>vol|volume|mol|mole|molar|v/v|mol/mol|v|wt|mass|weight|w/w|w)?\.?\)?",
    re.IGNORECASE,
)


def _share(rest: str) -> str:
    """Return the unit of a share by volume; refuse a share by mass."""
    match = _SHARE.fullmatch("ppm" if rest.casefold() == "vpm" else rest)
    if not match:
        return rest
    if any(
        word and word[0] in "wWmM" and not word.lower().startswith("mol") for word in match.group("before", "after")
    ):
        raise Unreadable(f"“{quoted(rest)}” is a share by mass; this field takes a share by volume (mole fraction).")
    return match["unit"]


# ---------------------------------------------------------------- the unit

_ASKED = {  # texts that a pressure, time, temperature or flow field does not guess at
    "pressure": {
        "mt": ("mTorr",),
        "t": ("torr",),
        "mb": ("mbar",),
        "mm": ("mmHg", "mmH2O"),
        "cm": ("cmHg", "cmH2O"),
        "in": ("inHg", "inH2O"),
        "inch": ("inHg", "inH2O"),
        "inches": ("inHg", "inH2O"),
        "µm": ("µmHg",),
        "µ": ("µmHg",),
        "lb": ("psi",),
        "lbs": ("psi",),
    },
    "time": {"m": ("min",)},
    "temperature": dict.fromkeys(("°", "deg", "degree", "degrees"), ("°C", "°F")),
    "temperature difference": dict.fromkeys(("°", "deg", "degree", "degrees"), ("K", "°F")),
    "ramp rate": dict.fromkeys(("°/min", "deg/min", "degrees/min"), ("K/min", "°F/min")),
    "standard flow": {"l/m": ("L/min",), "ml/m": ("mL/min",)},
    "actual flow": {"l/m": ("L/min",)},
    "pumping speed": {"l/m": ("L/min",)},
}


def _unit(kind: Kind, number: float, text: str, notes: list) -> Unit:
    """Return the unit of the kind that a text names, or raise with what it may have been meant for."""
    if unit := exact(kind, text):
        _note_unit(kind, text, unit, notes)
        return unit
    if asked := _ASKED.get(kind.family, {}).get(" ".join(fold(text).split())):
        _ask(number, text, [kind.unit(name) for name in asked])
    certain, doubtful = in_other_case(kind, text)
    if len(certain) == 1 and not doubtful:
        notes.append(f"“{quoted(text)}” read as {certain[0].shown}")
        return certain[0]
    if certain or doubtful:
        _ask(number, text, certain + doubtful)
    raise Unreadable(_not_a_unit(kind, text))


def _note_unit(kind: Kind, text: str, unit: Unit, notes: list) -> None:
    if kind.family == "pressure" and text.casefold() in LENGTH_WORDS:
        notes.append(f"“{text}” read as micrometre of mercury")
    if kind.family in ("temperature difference", "ramp rate") and "°C" in unit.name:
        notes.append("a difference in °C is the same in K")


def _ask(number: float, text: str, units: list) -> None:
    said = " or ".join(unit.shown for unit in units)
    options = tuple(f"{number_text(number)} {unit.name}" for unit in units)
    raise Unreadable(f"“{quoted(text)}” is not clear: is {said} meant?", options)


def _not_a_unit(kind: Kind, text: str) -> str:
    known = [unit.shown for unit in kind.units if unit.name != "1"]
    use = (
        f" Use {', '.join(known[:-1])} or {known[-1]}."
        if len(known) > 1
        else f" Use {''.join(known)}."
        if known
        else ""
    )
    for other in KINDS.values():
        if other.family == kind.family:
            continue
        word = _take_sense(text)[0] if other.sense else text
        if exact(other, word):
            takes = f"{'an' if kind.family[0] in 'aeiou' else 'a'} {kind.family}"
            return f"“{quoted(text)}” is a unit of {other.family}; this field takes {takes}.{use}"
    return f"“{quoted(text)}” is not a unit that this field reads.{use}"


# ---------------------------------------------------------------- units of our own data


@cache
def _registry_unit(text: str):
    """Return the registry's unit of a text from our own data; ValueError when it is not on the list."""
    return registry().Unit(_plain_unit(text).pint)


@cache
def _plain_unit(text: str) -> Unit:
    """Return the unit of a text from our own data; ValueError when it is not on the list."""
    word = degree(match[1]) if (match := DEGREE.fullmatch(text)) else {"C": "°C", "F": "°F"}.get(text, text)
    if word in SCALES:
        return SCALES[word]
    if word == "1":
        return Unit("1", "1", "dimensionless", 1.0)
    key = key_of(text)
    if key is None:
        raise ValueError(f"{text!r} is no unit of the list")
    return _unit_by_key().get(key) or Unit(text, text, _registry_text(text), _product(text))


def _product(text: str) -> float:
    """Return the SI factor of a product of symbols."""
    factor = 1.0
    for typed, power, above in factors_of(text):
        own = 1e-6 if typed == "cc" else SYMBOLS[typed].factor
        factor *= own ** (power if above else -power)
    return factor


@cache
def _unit_by_key() -> dict:
    """Return the units of all kinds by what they are compared by; the first kind that has one names it."""
    found = {}
    for kind in KINDS.values():
        for unit in kind.units + kind.extra:
            if unit.name != "1" and unit.name not in SCALES:
                found.setdefault(key_of(unit.name), unit)
    return found


def _registry_text(text: str) -> str:
    """Return a product of symbols in the registry's words, put together from our own table only."""
    words = []
    for typed, power, above in factors_of(text):
        name, own_power = ("centimeter", 3) if typed == "cc" else (SYMBOLS[typed].pint, 1)
        words.append(f"({name})**{own_power * power if above else -own_power * power}")
    return "*".join(words)


@cache
def _registry_names() -> dict:
    """Return the registry's name of each simple symbol to ours."""
    names = {"degree_Celsius": "°C", "degree_Fahrenheit": "°F"}
    for symbol in SYMBOLS.values():
        names.setdefault(symbol.pint, symbol.name.replace("Water", "H2O"))
    return names


# ---------------------------------------------------------------- the "Read as" line


def read_as(
    found: Read, ambient_pa: float | None = None, reference: str | None = None, first: Unit | None = None
) -> str:
    """Return the line that says how typed text was read, unit and sense in words.

    Args:
        found: what `read` returned.
        ambient_pa: pressure of the room, Pa; with it a value above or below the room is made absolute.
        reference: reference conditions of the field, for a flow typed without its own.
        first: the first unit of the field's own menu, where it has one.
    """
    kind = KINDS[found.kind]
    words = found.said or _with_unit(found.number, found.unit, 12)
    if kind.sense:
        line = _pressure_as(kind, found, words, ambient_pa)
    elif kind.family == "temperature":
        others = {"°C": ("K",), "K": ("°C",), "°F": ("°C", "K")}[found.unit.name]
        line = " = ".join(
            [words, *(_with_unit(kind.unit(name).from_si(found.si), kind.unit(name), 6) for name in others)]
        )
    else:
        line = words + _same_as(kind, found, first or kind.units[0])
        before = {"temperature difference": "a difference of ", "ramp rate": "a rate of "}.get(kind.name, "")
        line = before + line + _manner(kind, found, reference)
    notes = f" ({'; '.join(found.notes)})" if found.notes else ""
    return f"Read as {line}{notes}"


def _same_as(kind: Kind, found: Read, first: Unit) -> str:
    if found.unit == first and not found.said:
        return ""
    return f" = {_with_unit(first.from_si(found.si), first, 4)}"


def _manner(kind: Kind, found: Read, reference: str | None) -> str:
    if kind.name == "standard flow":
        stated = found.reference or reference
        return ", standard" + (", " + stated.replace(", ", " and ").replace("deg", "°") if stated else "")
    if kind.name == "actual flow":
        return ", actual"
    return " by volume" if kind.name == "mole fraction" else ""


def _pressure_as(kind: Kind, found: Read, words: str, ambient_pa: float | None) -> str:
    pascals = _pascals(found.si)
    same = "" if found.unit.name == "Pa" or pascals == words else f" = {pascals}"
    if kind.sense == "none":
        return f"a difference of {words}{same}"
    if found.sense == "absolute":
        above = found.si - ambient_pa if kind.sense == "asked" and ambient_pa is not None else -1.0
        room = f"; {_pascals(above)} above the room, which has {_pascals(ambient_pa)}" if above >= 0 else ""
        return f"{words}, absolute{same}{room}"
    if found.sense is None:
        return f"{words}{same}; say whether absolute, above the room or below the room"
    below = found.sense == "below" or found.number < 0
    words = _with_unit(abs(found.number), found.unit, 12) if below else words
    line = f"{words} {'below' if below else 'above'} the room"
    if ambient_pa is None:
        return line
    total = ambient_pa + (-found.si if found.sense == "below" else found.si)
    if total < 0:
        return f"{line}, which is less than nothing where the room has {_pascals(ambient_pa)}"
    return f"{line} = {_pascals(total)} absolute, the room at {_pascals(ambient_pa)}"


def _pascals(value: float) -> str:
    name = next((name for name, top in (("Pa", 1e3), ("kPa", 1e6)) if abs(value) < top), "MPa")
    return _with_unit(KINDS["absolute pressure"].unit(name).from_si(value), KINDS["absolute pressure"].unit(name), 4)


def _with_unit(number: float, unit: Unit, digits: int) -> str:
    return _figure(number, digits) + ("" if unit.name == "1" else f" {unit.shown}")


def _figure(number: float, digits: int) -> str:
    """Return a number in print: decimal point, narrow spaces from five digits on, powers of ten beyond."""
    if number and not 1e-3 <= abs(number) < 1e7:
        mantissa, power = f"{number:.{digits - 1}e}".split("e")
        mantissa = mantissa.rstrip("0").rstrip(".") if "." in mantissa else mantissa
        raised = str(int(power)).translate(str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻"))
        return f"{mantissa} × 10{raised}".replace("-", "−")
    text = f"{number:.{digits}g}" if abs(number) < 10**digits else f"{number:.0f}"
    whole, point, part = text.partition(".")
    if len(whole.lstrip("-")) >= 5:
        whole = f"{int(whole):,}".replace(",", NARROW_SPACE)
    return f"{whole}{point}{part}".replace("-", "−")
