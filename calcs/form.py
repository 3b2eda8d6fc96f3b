"""What a calculator asks, and how typed text becomes the values that it works with.

`Form.read` takes text as typed and returns `Inputs`, or raises `Problems` with every message at once.
Nothing is clipped, guessed or replaced; with any problem there is no answer.
"""

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property

from calcs import air, furnace, slips, units, wording
from calcs.core import Range, Refused
from calcs.data import constant

PRESSURES = ("absolute pressure", "pressure with sense", "gauge pressure")
REFERENCES = tuple(units.REFERENCES)  # conditions at which a standard flow may be stated; all of them are in use
SENSE_WORDS = {"absolute": "abs", "gauge": "gauge", "below ambient": "below"}
LONGEST_TEXT = 200


@dataclass(frozen=True)
class Problem:
    """What is wrong with one field, and texts that would put it right. `cell` is (row, column) of a table."""

    message: str
    options: tuple[str, ...] = ()
    cell: tuple[int, str] | None = None


class Problems(ValueError):
    """Typed inputs that cannot be used: a problem per field, all of them at once."""

    def __init__(self, problems: dict[str, Problem | str]):
        self.problems = {n: p if isinstance(p, Problem) else Problem(p) for n, p in problems.items()}
        super().__init__("; ".join(f"{name}: {p.message}" for name, p in self.problems.items()))

    @property
    def messages(self) -> dict[str, str]:
        """The message of each field."""
        return {name: problem.message for name, problem in self.problems.items()}


@dataclass(frozen=True)
class Field:
    """One thing asked.

    Args of the fields:
        name: the name of names, links and files.
        label: what the reader sees.
        kind: a kind of quantity, or choice, yes/no, table, text, date, log (the text of a log file, or rows).
        example: a value of the invented workshop, as typed; also shown in messages.
        accepted: the range outside which there is no answer.
        usual: the range outside which the answer carries a note.
        default: text used when the field is left empty; "" with `optional` means None.
        modes: the modes that ask for it; empty means all.
        in_example: False for an alternative that the example does not use.
        menu: display units, where the kind's own list does not suit.
        row: for a table, how one row is written in a line of text, with named groups for its columns.
    """

    name: str
    label: str
    kind: str
    example: object = ""
    accepted: Range | None = None
    usual: Range | None = None
    default: str | None = None
    optional: bool = False
    modes: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    spoken: dict = field(default_factory=dict)  # other words for a choice, such as formulas of gases
    hint: str = ""
    in_example: bool = True
    menu: tuple[str, ...] = ()
    columns: tuple["Field", ...] = ()
    row: str = ""
    rows_allowed: tuple[int, int] = (1, 40)
    below_zero: bool = False  # the calculator itself answers a pressure below zero absolute
    in_slices: bool = True  # a log: whether a long one may be read in slices and kept; False where its text is needed
    find: str = ""  # the calculator that finds this value, for the link beside the field

    @property
    def required(self) -> bool:
        return not self.optional and self.default is None

    def asked_in(self, mode: str) -> bool:
        return not self.modes or mode in self.modes

    @property
    def menu_units(self) -> tuple["units.Unit", ...]:
        """The units of the menu beside the field; empty for kinds without."""
        if self.kind not in units.KINDS:
            return ()
        if self.menu:
            return tuple(units.unit_of(self.kind, name) for name in self.menu)
        return units.KINDS[self.kind].units

    @cached_property
    def sample(self) -> str:
        """The example as it stands in a message."""
        if isinstance(self.example, str) and self.example and self.kind != "log":
            return self.example
        return self.choices[0] if self.choices else ""


@dataclass(frozen=True)
class Form:
    """The question of a calculator and its fields.

    Args of the fields:
        ask: names of the three to six fields that stay open; the others are folded.
        one_of: groups of names of which exactly one must be given.
        any_of: groups of names of which at least one must be given.
        parts: (heading, names) where a long form is divided: the plan, the record.
        ambient_from: takes the values read so far and returns the pressure of the room, Pa, or None.
    """

    question: str
    fields: tuple[Field, ...]
    modes: tuple[str, ...] = ()
    mode_label: str = "What do you want to work out?"
    button: str = "Work it out"
    ask: tuple[str, ...] = ()
    one_of: tuple[tuple[str, ...], ...] = ()
    any_of: tuple[tuple[str, ...], ...] = ()
    parts: tuple[tuple[str, tuple[str, ...]], ...] = ()
    ambient_from: Callable | None = None  # gives the room's pressure from what was read, where no field asks for it

    @cached_property
    def by_name(self) -> dict[str, Field]:
        return {f.name: f for f in self.fields}

    def example(self, mode: str = "") -> dict:
        """Return the invented workshop's values as typed, for one mode (the first where none is named)."""
        mode = mode or (self.modes[0] if self.modes else "")
        found = {"mode": mode} if self.modes else {}
        for f in self.fields:
            if f.asked_in(mode) and f.in_example and f.example not in ("", (), []):
                found[f.name] = [dict(row) for row in f.example] if f.kind == "table" else f.example
        return found

    def read(self, typed: dict) -> "Inputs":
        """Return the values of typed inputs.

        Args:
            typed: input name to text; a (text, menu unit) pair where a page sends both; a list of
                dicts, or one text, for a table.

        Raises:
            Problems: something cannot be read, is missing, or lies outside its range.
            Refused: a value above or below the room is given and the room's pressure is not known.
        """
        return _Reading(self, typed).inputs()


class Inputs(dict):
    """Values by input name, in SI units. `reads` holds what was typed; `defaulted` what was left empty."""

    def __init__(self, mode: str):
        super().__init__()
        self.mode = mode
        self.reads: dict[str, units.Read] = {}
        self.texts: dict[str, object] = {}
        self.defaulted: list[str] = []
        self.notes: list[str] = []
        self.doubts: dict[str, Problem] = {}  # what may be a slip and is answered all the same, with offers
        self.ambient_pa: float | None = None
        self.ambient_said = ""

    def __missing__(self, name):
        return None  # not asked in this mode, or left empty where that is allowed

    def said(self, name: str) -> str:
        """An input as the reader wrote it: number and unit, without added digits."""
        if name not in self.reads:
            return str(self[name])
        read = self.reads[name]
        unit = "" if read.unit.name == "1" else read.unit.shown
        return wording.with_unit(wording.plain_number(read.number), unit)

    def given(self, name: str) -> bool:
        """Whether the reader typed it (a default does not count)."""
        return self.get(name) is not None and name not in self.defaulted


class _Reading:
    """One reading of one form: collects values and problems, then joins what hangs together."""

    def __init__(self, form: Form, typed: dict):
        self.form, self.problems = form, {}
        self.typed = dict(typed)
        self.values = Inputs(self._mode())
        self.fields = [f for f in form.fields if f.asked_in(self.values.mode)]

    def inputs(self) -> Inputs:
        if unknown := [n for n in self.typed if n not in self.form.by_name and n != "mode"]:
            self.problems |= {name: Problem(f"There is no input named “{name[:40]}”.") for name in unknown}
        for f in self.fields:
            self._read_field(f)
        self._alternatives()
        self._ambient()
        for f in self.fields:
            if f.name in self.values.reads and f.name not in self.problems:
                self._settle(f)
        self._leak_of_rise()
        self.problems = {name: self._offered(name, problem) for name, problem in self.problems.items()}
        if self.problems:
            raise Problems(self.problems)
        return self.values

    def _mode(self) -> str:
        modes, typed = self.form.modes, str(self.typed.get("mode", "") or "").strip()
        if not modes:
            return ""
        if typed and typed not in modes:
            raise Problems({"mode": f"Mode: “{typed[:40]}” is none of {', '.join(modes)}."})
        return typed or modes[0]

    # ---- one field

    def _read_field(self, f: Field) -> None:
        text, unit = text_and_unit(self.typed.get(f.name))
        if _empty(text):
            if f.default is None:
                if f.required and not self._has_alternative(f.name):
                    self.problems[f.name] = Problem(_missing(f))
                return
            text, unit = f.default, None
            self.values.defaulted.append(f.name)
        given = self.typed.get(f.name)
        self.values.texts[f.name] = f.default if f.name in self.values.defaulted else as_typed(given, f.kind)
        try:
            self._store(f, text, unit)
        except units.Unreadable as trouble:
            self.problems[f.name] = Problem(_complaint(f, trouble), trouble.options)
        except Problems as trouble:
            self.problems |= trouble.problems

    def _store(self, f: Field, text, unit) -> None:
        if f.kind == "table":
            self.values[f.name] = self._table(f, text)
        elif f.kind == "log":
            self.values[f.name] = _log(f, text)
        elif not isinstance(text, str):
            raise units.Unreadable("expects one text.")
        elif f.kind in PLAIN:
            self.values[f.name] = PLAIN[f.kind](f, text)
        else:
            self.values.reads[f.name] = units.read(f.kind, text, unit)

    def _table(self, f: Field, given) -> list[dict]:
        rows = rows_of(f, given)
        low, high = f.rows_allowed
        if not low <= len(rows) <= high:
            raise Problems({f.name: Problem(f"{f.label}: {len(rows)} rows; this takes {low} to {high}.")})
        return [self._table_row(f, number, row) for number, row in enumerate(rows)]

    def _table_row(self, f: Field, number: int, row: dict) -> dict:
        found = {}
        if unknown := row.keys() - {c.name for c in f.columns}:
            raise Problems({f.name: f"{f.label}, row {number + 1}: there is no column named “{min(unknown)[:40]}”."})
        for column in f.columns:
            text, unit = text_and_unit(row.get(column.name))
            text = column.default if _empty(text) and column.default is not None else text
            try:
                reference = self.values.get("flow_reference")
                found[column.name] = (
                    None if _empty(text) and not column.required else _cell(column, text, unit, reference)
                )
            except units.Unreadable as trouble:
                message = f"{f.label}, row {number + 1}, {column.label[:1].lower()}{column.label[1:]}: {trouble}"
                raise Problems({f.name: Problem(message, trouble.options, (number, column.name))}) from None
        return found

    # ---- what hangs together

    def _has_alternative(self, name: str) -> bool:
        return any(name in group for group in self.form.one_of + self.form.any_of)

    def _alternatives(self) -> None:
        asked = {f.name for f in self.fields}
        for group, exactly in [(g, True) for g in self.form.one_of] + [(g, False) for g in self.form.any_of]:
            names = [n for n in group if n in asked]
            if not exactly and len(names) < len(group):
                continue  # a group of another mode
            given = [n for n in names if not _empty(text_and_unit(self.typed.get(n))[0])]
            labels = [self.form.by_name[n].label for n in names]
            if names and not given and not any(self.values.get(n) is not None or n in self.values.reads for n in names):
                self.problems.setdefault(names[0], Problem(_missing(self.form.by_name[names[0]], labels[1:])))
            elif exactly and len(given) > 1:
                both = " and ".join(self.form.by_name[n].label for n in given)
                for n in given[1:]:
                    self.problems.setdefault(n, Problem(f"{both} say the same thing twice. Leave one of them empty."))

    def _ambient(self) -> None:
        """The pressure of the room: typed, else from the altitude, else the default of the form."""
        reads, typed = self.values.reads, lambda n: n in reads and n not in self.values.defaulted
        if typed("ambient_pressure"):
            self.values.ambient_pa, said = reads["ambient_pressure"].si, "typed"
        elif typed("altitude") or ("altitude" in reads and "ambient_pressure" not in reads):
            if reads["altitude"].si not in air.ALTITUDE:
                return  # the range check says so
            self.values.ambient_pa, said = air.air_pressure(reads["altitude"].si), "from the altitude"
            if "altitude" in self.values.defaulted:
                said = "the default, for sea level"
        elif "ambient_pressure" in reads:
            self.values.ambient_pa, said = reads["ambient_pressure"].si, "the default"
        elif self.form.ambient_from and (found := self.form.ambient_from(self.values)):
            self.values.ambient_pa, said = found, "of the plan"
        else:
            return
        self.values.ambient_said = said

    def _settle(self, f: Field) -> None:
        """Give a read value its final form, then check its range."""
        read = self.values.reads[f.name]
        if f.kind == "standard flow":
            self._range(f, read, read.si)
            self.values[f.name] = self._amount_flow(f, read)
            return
        value = self._pressure(f, read) if f.kind in PRESSURES else read.si
        if f.name not in self.problems:
            self._range(f, self.values.reads[f.name], value)
            self.values[f.name] = value

    def _range(self, f: Field, read, value: float) -> None:
        if f.accepted and value not in f.accepted:
            offers = slips.offers(f, read, lambda other: self._fits(f, other, f.accepted))
            words = (_must_be(f, read), self._given(f, read, value), f.accepted.because, slips.asked(f, offers))
            message = " ".join(word for word in (f.label, *words) if word)
            self.problems[f.name] = Problem(message, slips.texts(offers))
        elif f.usual and value not in f.usual:
            offers = slips.offers(f, read, lambda other: self._fits(f, other, f.usual))
            note = (
                f"Unusual: {f.label[:1].lower()}{f.label[1:]} is outside {f.usual.said}, for which this was checked. "
                "The answer is given with lower confidence."
            )
            self.values.notes.append(f"{note} {slips.asked(f, offers)}".strip())
            if offers:
                self.values.doubts[f.name] = Problem(
                    f"{slips.said(read)} is unusual. {slips.asked(f, offers)}", slips.texts(offers)
                )

    def _fits(self, f: Field, read, allowed: Range) -> bool:
        """Whether a reading would lie in a range, as far as that can be said."""
        value = self._value(f, read) if f.kind in PRESSURES else read.si
        return value is not None and value in allowed and not (f.kind in slips.SCALES and read.si < 0)

    def _given(self, f: Field, read, value: float) -> str:
        """What was typed, in the sense that the range speaks of."""
        wanted = _wanted(f)
        if f.kind not in PRESSURES or read.sense in (None, wanted):
            return f"You gave {slips.said(read)}."
        here = wording.plain_number(float(f"{read.unit.from_si(value):.4g}"))
        sense = "abs" if wanted == "absolute" else "gauge"
        return f"{slips.said(read)} is {wording.with_unit(here, read.unit.shown)} {sense} here{self._room(read.unit)}."

    def _room(self, unit) -> str:
        room = wording.plain_number(float(f"{unit.from_si(self.values.ambient_pa):.4g}"))
        return f", the room at {wording.with_unit(room, unit.shown)}"

    def _offered(self, name: str, problem: "Problem") -> "Problem":
        """Keep of the offers only those that the field would take."""
        f = self.form.by_name.get(name)
        if f is None or not problem.options:
            return problem
        f = next(c for c in f.columns if c.name == problem.cell[1]) if problem.cell else f
        return replace(problem, options=tuple(text for text in problem.options if self._would_take(f, text)))

    def _would_take(self, f: Field, text: str) -> bool:
        if f.kind not in units.KINDS or f.accepted is None:
            return True
        read = units.read(f.kind, text)
        sense_open = f.kind == "pressure with sense" and read.sense is None
        return sense_open or self._value(f, read) is None or self._fits(f, read, f.accepted)

    def _leak_of_rise(self) -> None:
        """A leak typed as the rise that a gauge showed: say what it comes to in this chamber."""
        gas, text = self.values.get("gas_volume"), text_and_unit(self.typed.get("leak_rate"))[0]
        if not gas or "leak_rate" not in self.problems or not isinstance(text, str):
            return
        if found := slips.leak_of_rise(text, gas):
            f, (words, option) = self.form.by_name["leak_rate"], found
            fits = self._would_take(f, option)
            limit = f" It {_must_be(f, units.read(f.kind, option))} {f.accepted.because}" if not fits else ""
            message = f"{f.label}: “{_short(text)}” is a rise of the pressure, not a leak. {words}{limit}".strip()
            self.problems["leak_rate"] = Problem(message, (option,) if fits else ())

    def _pressure(self, f: Field, read) -> float:
        """Return absolute Pa, or for a gauge field Pa above the room, adding the room's pressure where needed."""
        sense = read.sense
        if f.kind == "pressure with sense" and sense is None:
            chosen = self.values.get("sense") or self._sense_beside(f)
            sense = {"absolute": "absolute", "gauge": "gauge", "below ambient": "below"}.get(chosen)
            if sense is None:
                said = slips.said(read)
                self.problems[f.name] = Problem(
                    f"{f.label}: say whether “{said}” is counted from empty space (abs) or from the "
                    "pressure of the room (gauge, below).",
                    slips.texts(replace(read, sense=s) for s in ("absolute", "gauge")),
                )
                return 0.0
            read = replace(read, sense=sense)
            self.values.reads[f.name] = read  # so that it is read back with its sense
        wanted = _wanted(f)
        value = self._value(f, read)
        if value is None:
            self._room_missing(f, wanted)
            return 0.0
        if not f.below_zero:
            self._above_zero(f, read, value)
        return value

    def _value(self, f: Field, read) -> float | None:
        """Return a pressure in the sense of its field; None where that needs the room's pressure and it is not known."""
        wanted, ambient = _wanted(f), self.values.ambient_pa
        sense = read.sense or wanted
        if f.kind not in PRESSURES or sense == wanted:
            return read.si
        if ambient is None:
            return None
        return {"gauge": ambient + read.si, "below": ambient - read.si, "absolute": read.si - ambient}[sense]

    def _above_zero(self, f: Field, read, value: float) -> None:
        """A pressure below that of empty space is a slip, whatever the field."""
        ambient = self.values.ambient_pa
        absolute = value if _wanted(f) == "absolute" else None if ambient is None else value + ambient
        if absolute is None or absolute >= -1e-9 * max(abs(read.si), 1.0):
            return
        other = slips.offers(f, read, lambda o: (self._value(f, o) or 0.0) > 0 and o.sense == "absolute")
        if read.sense == "absolute" or ambient is None:
            message = f"{f.label} must be above zero absolute. You gave {slips.said(read)}."
        else:
            room = self._room(read.unit).removeprefix(", the room at ")
            message = (
                f"{f.label}: {slips.said(read)} is below zero absolute. A gauge value cannot be lower than minus the "
                f"pressure of the room, which is {room}."
            )
        self.problems[f.name] = Problem(f"{message} {slips.asked(f, other)}".strip(), slips.texts(other))

    def _room_missing(self, f: Field, wanted: str) -> None:
        """Say that a value above or below the room cannot be used where the room's pressure is not known."""
        if {"ambient_pressure", "altitude"} & self.problems.keys() or not (
            {"ambient_pressure", "altitude"} & {x.name for x in self.fields}
        ):
            self.problems[f.name] = Problem(
                f"{f.label}: this field takes {'a value above the room' if wanted == 'gauge' else 'absolute pressure'}; "
                "“gauge” and “below” hang on the pressure of the room, which is not known here."
            )
            return
        if "altitude" in self.values.reads:
            raise air.altitude_outside(self.values.reads["altitude"].si)
        raise Refused(
            "no_ambient",
            "the pressure of the room is missing",
            f"{f.label} is counted from the pressure of the room, and neither a barometer value nor an altitude is given.",
            "Type what a barometer in the room shows, or the altitude.",
            field="ambient_pressure",
        )

    def _sense_beside(self, f: Field) -> str | None:
        given = self.typed.get(f.name)
        return given.get("sense") if isinstance(given, dict) else None

    def _amount_flow(self, f: Field, read) -> float:
        """Return mol/s of a flow stated at reference conditions."""
        reference = read.reference or self.values.get("flow_reference")
        if not reference:
            self.problems[f.name] = Problem(
                f"{f.label}: say which reference conditions the flow is stated at; the amount differs by up to 9 %. "
                "Choose them, or type them behind the flow: “2 L/min (0 degC, 101.325 kPa)”."
            )
            return 0.0
        return flow_in_mol_per_s(read.si, reference)


def flow_in_mol_per_s(volume_flow_m3_per_s: float, reference: str) -> float:
    """Return the amount flow of a standard flow: n = p Q / (R T), ideal by convention.

    Args:
        volume_flow_m3_per_s: the flow as stated, m³/s.
        reference: reference conditions, one of REFERENCES.

    Source:
        definition of a standard volume flow; gas constant general.gas_constant.
    """
    temperature_k, pressure_pa = units.REFERENCES[reference]
    return pressure_pa * volume_flow_m3_per_s / (constant("general.gas_constant") * temperature_k)


# ---------------------------------------------------------------- kinds without a unit


def _choice(f: Field, text: str) -> str:
    wanted = " ".join(text.split()).casefold()
    for choice in f.choices:
        if choice.casefold() == wanted or f.spoken.get(" ".join(text.split())) == choice:
            return choice
    known = {k.casefold(): v for k, v in f.spoken.items()}
    if wanted in known and sum(k.casefold() == wanted for k in f.spoken) == 1:
        return known[wanted]
    raise units.Unreadable(f"“{_short(text)}” is none of the choices: {', '.join(f.choices)}.")


def _yes_no(f: Field, text: str) -> bool:
    wanted = text.strip().casefold()
    if wanted not in ("yes", "no"):
        raise units.Unreadable(f"“{_short(text)}” is neither yes nor no.")
    return wanted == "yes"


def _plain_text(f: Field, text: str) -> str:
    tidy = " ".join(text.split())
    if len(tidy) > LONGEST_TEXT:
        raise units.Unreadable(f"has {len(tidy)} characters; write at most {LONGEST_TEXT}.")
    if any(unicodedata.category(c) in ("Cc", "Cf", "Cs", "Co", "Cn") for c in tidy):
        raise units.Unreadable("holds characters that cannot be shown or printed. Type it again.")
    return tidy


def _date(f: Field, text: str) -> date:
    tidy = text.strip()
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", tidy, re.ASCII):
        raise units.Unreadable(
            f"“{_short(text)}” is not a date. Write year-month-day, such as {f.sample or '2031-03-04'}."
        )
    try:
        return date.fromisoformat(tidy)
    except ValueError:
        raise units.Unreadable(f"“{tidy}” is a day that does not exist. Write year-month-day.") from None


def _log(f: Field, given) -> str | list[dict]:
    """Return the text of a log, or its rows, as given: what it means, and how long it may be, is the business of `calcs.logs`."""
    if isinstance(given, str):
        return given
    if isinstance(given, (list, tuple)) and all(isinstance(row, dict) for row in given):
        return [row for row in given if not all(_empty(text_and_unit(v)[0]) for v in row.values())]
    raise units.Unreadable("expects the text of a log file, or rows.")


PLAIN = {"choice": _choice, "yes/no": _yes_no, "text": _plain_text, "date": _date}


# ---------------------------------------------------------------- helpers


def _cell(column: Field, text, unit, reference=None):
    if _empty(text):
        raise units.Unreadable(f"is empty. Example: {column.sample}." if column.sample else "is empty.")
    if not isinstance(text, str):
        raise units.Unreadable("expects one text.")
    if column.kind in PLAIN:
        return PLAIN[column.kind](column, text)
    read = units.read(column.kind, text, unit)
    value = _cell_pressure(column, read) if column.kind in PRESSURES else read.si
    if column.accepted and value not in column.accepted:
        offers = slips.offers(column, read, lambda other: other.si in column.accepted)
        words = (_must_be(column, read), f"You gave {slips.said(read)}.", column.accepted.because)
        message = " ".join(word for word in (*words, slips.asked(column, offers)) if word)
        raise units.Unreadable(message, slips.texts(offers))
    if column.kind == "standard flow":
        return flow_in_mol_per_s(value, read.reference or reference or REFERENCES[0])
    return value


def _cell_pressure(column: Field, read) -> float:
    """Return the pressure of a cell, which has one sense: absolute values and values above the room never mix."""
    if column.kind == "gauge pressure" and read.sense in ("gauge", "below"):
        return -read.si if read.sense == "below" else read.si
    if column.kind == "absolute pressure" and read.sense == "absolute":
        return read.si
    wanted = (
        "above the room; write “gauge” behind it"
        if column.kind == "gauge pressure"
        else "absolute; write “abs” behind it"
    )
    raise units.Unreadable(f"“{_short(read.typed)}”: this column takes a pressure {wanted}.")


def _wanted(f: Field) -> str:
    """The sense in which a field holds its pressure."""
    return "gauge" if f.kind == "gauge pressure" else "absolute"


def _must_be(f: Field, read) -> str:
    """The range in words, its ends in the unit typed."""
    sense = {"pressure with sense": " abs", "gauge pressure": " above the room"}.get(f.kind, "")
    return f"must be {f.accepted.said_in(read.unit)}{sense}."


def rows_of(f: Field, given) -> list[dict]:
    """Return the rows of a table as dicts of text; one text is taken apart by the table's own row pattern."""
    if isinstance(given, str):
        lines = [line.strip() for line in re.split(r"[·;\n]", given) if line.strip()]
        rows = []
        for number, line in enumerate(lines[: f.rows_allowed[1] + 1], 1):
            match = re.fullmatch(f.row, line) if f.row else None
            if not match:
                raise Problems(
                    {f.name: f"{f.label}, row {number}: “{_short(line)}” cannot be taken apart. {f.hint}".strip()}
                )
            rows.append({k: v.strip() for k, v in match.groupdict().items() if v})
        return rows
    if not isinstance(given, (list, tuple)) or not all(isinstance(row, dict) for row in given):
        raise Problems({f.name: f"{f.label}: expects rows."})
    return [row for row in given if not all(_empty(text_and_unit(v)[0]) for v in row.values())]


def text_and_unit(given) -> tuple[object, str | None]:
    """Take apart what a page sends: a text with the unit of its menu."""
    if isinstance(given, dict):
        return given.get("text", ""), given.get("unit") or None
    if isinstance(given, tuple) and len(given) == 2:
        return given
    return given, None


def as_typed(given, kind: str = ""):
    """Return what a page sends for a field as one text: "10", mbar, gauge is "10 mbar gauge"; rows stay rows."""
    text, unit = text_and_unit(given)
    if not isinstance(text, str) or not text.strip():
        return text
    sense = given.get("sense") if isinstance(given, dict) else None
    if kind == "gauge pressure" and unit:
        sense = "gauge"  # the page writes it beside the box
    bare = re.fullmatch(r"[-+−\d\s.,eE×x*^⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+", text) is not None
    words = [
        text.strip(),
        unit if bare and unit and unit != "1" else "",
        SENSE_WORDS.get(sense, "") if bare or kind != "gauge pressure" else "",
    ]
    return " ".join(word for word in words if word)


def _empty(text) -> bool:
    return (
        text is None or (isinstance(text, str) and not text.strip()) or (isinstance(text, (list, tuple)) and not text)
    )


def _complaint(f: Field, trouble: units.Unreadable) -> str:
    """The label, what is the matter, and an example where the reader has no reading to offer."""
    shown = f" Example: {f.sample}." if f.sample and not trouble.options and f.kind in units.KINDS else ""
    return f"{f.label}: {trouble}{shown}"


def _missing(f: Field, alternatives=()) -> str:
    other = f", or give {' or '.join(a[:1].lower() + a[1:] for a in alternatives)} instead" if alternatives else ""
    if f.kind in ("choice", "yes/no"):
        return f"{f.label}: choose one{other}."
    example = f" Example: {f.sample}." if f.sample else ""
    return f"{f.label} is empty. Type it{other}.{example}"


def _short(text: str) -> str:
    tidy = " ".join(text.split())
    return tidy if len(tidy) <= 40 else tidy[:39] + "…"


def known_by_furnace(form: Form) -> tuple[str, ...]:
    """Return the names of the fields that a furnace record fills and that are not the question itself."""
    return tuple(f.name for f in form.fields if f.name in furnace.KNOWN and f.name not in form.ask)
