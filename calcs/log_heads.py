"""What the heading of a column in a log file says: which quantity, which unit, absolute or above the room."""

import re
from dataclasses import dataclass
from functools import cache

from calcs.log_cells import Trouble, short
from calcs.units_table import KINDS, SCALES, Unit, unit_named

TIME, DATE = "time", "date"
TEMPERATURE, SET, LOAD, PRESSURE, FLOW, OXYGEN, POWER = (
    "temperature", "set", "load_temperature", "pressure", "flow", "oxygen", "power",
)  # fmt: skip
OTHER_TEMPERATURE, OUTPUT, OTHER = "other temperature", "output", "other"
MEASURED = (TEMPERATURE, SET, LOAD, PRESSURE, FLOW, OXYGEN, POWER)
SAID = {TEMPERATURE: "temperature", SET: "set point", LOAD: "load temperature", PRESSURE: "pressure", FLOW: "gas flow",
        OXYGEN: "oxygen", POWER: "power"}  # fmt: skip
EXAMPLES = {TEMPERATURE: "chamber (°C)", SET: "set point (°C)", LOAD: "load (°C)", PRESSURE: "pressure (mbar abs)",
            FLOW: "flow (L/min)", OXYGEN: "oxygen (ppm)", POWER: "power (W)"}  # fmt: skip
KIND_OF = {TEMPERATURE: "temperature", SET: "temperature", LOAD: "temperature", OTHER_TEMPERATURE: "temperature",
           PRESSURE: "absolute pressure", FLOW: "standard flow", OXYGEN: "mole fraction", POWER: "power",
           TIME: "time"}  # fmt: skip

# What the trade calls them, in four languages; looked for as parts of words, the first that fits wins.
WORDS = (
    (DATE, r"^\W*(date|datum|fecha)\W*$"),
    (TIME, r"\btime|zeit|\btemps\b|tiempo|elapsed|\bdate|clock|hour|minute|second|^\W*t\W*(?:$|[\[(/,_ ]*(?:s|min|h)\b)"
           r"|uhr|heure|hora|\bstamp|moment|dauer|duration"),
    (OTHER, r"limit|alarm|\bmax|\bmin\.|error|deviation|valve|status|segment|step|ramp|channel ok|unattended"),
    (OTHER_TEMPERATURE, r"shell|water|cold junction|junction|ambient|\broom|element|heater temp|jacket|cooling|door|case"),
    (OXYGEN, r"oxygen|\bo2\b|sauerstoff|oxyg[eè]ne"),
    (PRESSURE, r"press|druck|\bpresi|vacuum|gauge|manomet"),
    (FLOW, r"flow|durchfluss|d[ée]bit|caudal|\bmfc"),
    (SET, r"set ?-?_?point|^\W*set\b|\bset\b|wanted|soll|consigne|target|\bsp\b|programme value|planned"),
    (POWER, r"power|leistung|puissance|potencia|heater|output|\bout\b|heizung"),
    (LOAD, r"load|\bpart\b|specimen|sample|charge|probe|workpiece|\btl\d?\b"),
    (TEMPERATURE, r"temp|process value|actual|chamber|\bpv\b|\bist|furnace|ofen|control|\btc\d*\b|thermocouple"),
)  # fmt: skip
_WORDS = tuple((role, re.compile(words, re.IGNORECASE)) for role, words in WORDS)


@dataclass(frozen=True)
class Head:
    """One column: its heading as written, its quantity, its unit, and for a pressure its sense.

    `sense` is absolute, gauge, below or "" where nothing says so.
    """

    name: str
    role: str
    unit: Unit | None = None
    sense: str = ""


# ---------------------------------------------------------------- units

_SENSES = (
    ("absolute", r"\babs(olut[ea]?)?\b|\babs\."),
    ("gauge", r"\bgauge\b|\brel(ativ[e]?)?\b|überdruck|ueberdruck|above (the )?room|\bover ?-?pressure|\bgage\b"),
    ("below", r"\bbelow\b|unterdruck"),
)
_SENSE = tuple((sense, re.compile(words, re.IGNORECASE)) for sense, words in _SENSES)
_SUFFIX = {"a": "absolute", "g": "gauge"}  # bara, barg, psia, psig
_OTHER_SPELLINGS = {
    "degC": "°C", "deg C": "°C", "C": "°C", "celsius": "°C", "Celsius": "°C", "ºC": "°C", "℃": "°C", "grad C": "°C",
    "degF": "°F", "deg F": "°F", "F": "°F", "fahrenheit": "°F", "ºF": "°F", "℉": "°F", "kelvin": "K", "Kelvin": "K",
    "l/min": "L/min", "lpm": "L/min", "LPM": "L/min", "Nl/min": "L/min", "NL/min": "L/min", "sL/min": "L/min",
    "ln/min": "L/min", "SLPM": "slm", "SLM": "slm", "SCCM": "sccm", "ml/min": "mL/min", "m³/h": "m3/h", "Nm3/h": "m3/h",
    "Torr": "torr", "mTorr": "mTorr", "PSI": "psi", "watt": "W", "Watt": "W", "watts": "W", "KW": "kW",
    "sec": "s", "seconds": "s", "second": "s", "Sekunden": "s", "sek": "s", "mins": "min", "minutes": "min",
    "minute": "min", "Minuten": "min", "hours": "h", "hour": "h", "hr": "h", "hrs": "h", "Stunden": "h", "std": "h",
    "Seconds": "s", "Minutes": "min", "Hours": "h", "days": "d", "day": "d", "ppmv": "ppm", "ppm by volume": "ppm", "vol%": "%", "vol.%": "%", "Vol.-%": "%", "% O2": "%",
    "pct": "%", "percent": "%",
}  # fmt: skip


@cache
def unit_for(text: str, role: str) -> tuple[Unit, str] | None:
    """Return (unit, sense) that a text names for a quantity; None where it names none."""
    words, sense = text.strip().strip("[]() ").strip(), ""
    if role == PRESSURE:
        for found, pattern in _SENSE:
            if pattern.search(words):
                sense, words = found, pattern.sub("", words).strip(" ,;.()-")
        if match := re.fullmatch(r"(m?bar|psi|kPa)\(?([ag])\)?", words):
            words, sense = match[1], sense or _SUFFIX[match[2]]
    name = _OTHER_SPELLINGS.get(words, words)
    if KIND_OF.get(role) == "temperature":
        return (SCALES[name], "") if name in SCALES else None
    kind = KINDS[KIND_OF[role]] if role in KIND_OF else None
    for unit in (kind.units + kind.extra) if kind else ():
        if name and name in (unit.name, unit.shown):
            return (unit, sense) if name != "1" else None
    if role == OUTPUT and name == "%":
        return unit_named("%"), ""
    return None


_BRACKET = re.compile(r"[\[(]([^\[\]()]{1,24})[\])]")
_TAIL = re.compile(r"(?:^|[ _/,:.\-]|\bin )([^ _,:()\[\]]{1,10}(?: ?(?:abs|gauge|rel|a|g)\.?)?)[\])]?$")


def _unit_texts(name: str):
    """Yield the parts of a heading that may be a unit: in brackets, or at its end behind a space, stroke or line."""
    name = re.sub(r"(bar|psi|kPa)\(([ag])\)", r"\1\2", name)
    yield from reversed(_BRACKET.findall(name))
    bare = _BRACKET.sub("", name).replace("_", " ").strip()
    yield bare
    for mark in ("/", " in ", " ", ",", ":"):
        if mark in bare:
            head, _, tail = bare.partition(mark)
            while tail:
                yield tail.strip()
                _, _, tail = tail.partition(mark)
    if match := _TAIL.search(bare):
        yield match[1]


def unit_in(name: str, role: str) -> tuple[Unit | None, str]:
    """Return (unit, sense) that a heading names, (None, sense) where it names no unit of that quantity."""
    for text in _unit_texts(name):
        if found := unit_for(text, role):
            return found[0], found[1] or _sense_of(name, role)
    return None, _sense_of(name, role)


def _sense_of(name: str, role: str) -> str:
    if role != PRESSURE:
        return ""
    bare = re.sub(r"(?i)pressure gauge", "", name)  # the instrument, not the sense
    return next((sense for sense, pattern in _SENSE if pattern.search(bare)), "")


# ---------------------------------------------------------------- quantities


def role_of(name: str) -> str:
    """Return the quantity that a heading names: by its words, else by a unit that only one quantity has."""
    bare = _BRACKET.sub(" ", name).replace("_", " ").strip()
    for role, pattern in _WORDS:
        if pattern.search(bare):
            return _settled(role, name)
    for role in (TEMPERATURE, PRESSURE, FLOW, POWER, TIME):
        if unit_in(name, role)[0]:
            return role
    return OTHER


def _settled(role: str, name: str) -> str:
    """A word can be overruled by the unit: “temps (°C)” is a temperature, “output (%)” no power in W."""
    if role == TIME and unit_in(name, TEMPERATURE)[0]:
        return TEMPERATURE
    if role == POWER and unit_in(name, TEMPERATURE)[0]:
        return OTHER_TEMPERATURE
    if role == POWER and not unit_in(name, POWER)[0] and unit_in(name, OUTPUT)[0]:
        return OUTPUT
    if role == LOAD and unit_in(name, POWER)[0]:
        return POWER
    if role == TEMPERATURE and not unit_in(name, TEMPERATURE)[0]:
        other = next((r for r in (PRESSURE, POWER, FLOW) if unit_in(name, r)[0]), None)
        return other or role
    return role


def read_heads(names: list[str]) -> list[Head]:
    """Return what the headings of a table say. The first temperature that is neither set nor load is the chamber's."""
    heads = []
    for name in names:
        role = role_of(name)
        taken = {head.role for head in heads}
        if role == TEMPERATURE and TEMPERATURE in taken:
            role = OTHER_TEMPERATURE
        if role in (TIME, DATE, SET, PRESSURE, FLOW, OXYGEN, POWER) and role in taken:
            role = OTHER
        unit, sense = unit_in(name, role) if role in KIND_OF or role == OUTPUT else (None, "")
        heads.append(Head(name.strip(), role, unit, sense))
    return _load_for_chamber(_chamber_first(heads))


def _chamber_first(heads: list[Head]) -> list[Head]:
    """Where a later column is named chamber or control and the first temperature is not, that one is the chamber."""
    named = re.compile(r"chamber|control|furnace|process value|\bpv\b|actual", re.IGNORECASE)
    first = next((i for i, head in enumerate(heads) if head.role == TEMPERATURE), None)
    better = [i for i, head in enumerate(heads) if head.role == OTHER_TEMPERATURE and named.search(head.name)
              and not re.search(r"shell|element|room|water|cool", head.name, re.IGNORECASE)]  # fmt: skip
    if first is not None and better and not named.search(heads[first].name):
        heads[first], heads[better[0]] = (
            Head(heads[first].name, OTHER_TEMPERATURE, heads[first].unit),
            Head(heads[better[0]].name, TEMPERATURE, heads[better[0]].unit),
        )
    return heads


def _load_for_chamber(heads: list[Head]) -> list[Head]:
    """A log whose only temperature is that of the load is read by it."""
    if any(head.role == TEMPERATURE for head in heads):
        return heads
    first = next((i for i, head in enumerate(heads) if head.role in (LOAD, OTHER_TEMPERATURE)), None)
    if first is not None:
        heads[first] = Head(heads[first].name, TEMPERATURE, heads[first].unit)
    return heads


def missing_unit(head: Head) -> Trouble:
    """Return the trouble of a column whose unit nobody can tell."""
    return Trouble(
        "unit_unknown", f"the unit of the {SAID[head.role]} is missing",
        f"The heading “{short(head.name)}” does not say in which unit the {SAID[head.role]} was logged.",
        f"Write it there: {EXAMPLES[head.role]}.",
    )  # fmt: skip
