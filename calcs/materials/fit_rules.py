"""The rows of what may touch what: which of them speak for a pair, and what the pair comes to.

One row holds for one pair, over one interval of temperature, under one condition. Every row that matches speaks,
the worst verdict wins, and a pair without a row is not known. The tables are read when they are first asked for.
"""

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache

from calcs import data, water, wording
from calcs.atmosphere import stability
from calcs.core import VERDICTS, worst
from calcs.data import constant, number_or_none
from calcs.safety import flammable

VACUUM, MOIST, FORMING, HYDROGEN, MONOXIDE = "vacuum", "moist gas", "forming gas", "hydrogen", "carbon monoxide"
ANY = "any"
SAME_ROWS = {"helium": "argon"}  # both are noble; the table has one set of rows for them
SENSOR_LIKE = {"type R": "type S", "type B": "type S"}  # platinum and rhodium too: what harms S harms them; ours
POWDERS = ("titanium", "zirconium", "aluminium", "magnesium", "hafnium")  # fine powder of these catches fire
OXYGEN_FREE = ("oxygen-free", "oxygen free", "cu-of", "cu-ofe", "c10100", "c10200")
TOUGH_PITCH = ("tough", "etp", "c11000")
NO_ROW = "no row for this pair at this temperature: ask a person who answers for materials"
NO_ROW_ID = "no row"
PARTNER = {"solidus": "its own melting", "general": "furnace and people"}


@dataclass(frozen=True)
class Row:
    """One row of the table; low and high in °C, None where open."""

    id: str
    kind: str
    a: str
    b: str
    low: float | None
    high: float | None
    condition: str
    test: str
    verdict: str
    reason: str
    standing: str

    def covers(self, celsius: float) -> bool:
        """Whether the temperature lies in from <= T < to."""
        return (self.low is None or celsius >= self.low) and (self.high is None or celsius < self.high)


@dataclass(frozen=True)
class Family:
    """What a material consists of for this table."""

    parts: tuple[str, ...]
    contact_parts: tuple[str, ...]
    vacuum_parts: tuple[str, ...]
    solidus_c: float | None
    standing: str


@dataclass(frozen=True)
class Pair:
    """What two things come to.

    Args of the fields:
        a, b: the two things in words.
        celsius: the temperature that the pair was read at, °C.
        verdict: within, close, cannot_say or outside.
        reason: why, from the row that decides.
        row, also: id of the row that decides, and of the other rows that speak.
        standing: how that row is known.
        open: rows whose condition nobody answered.
        passed: rows that are worse and lie below this temperature: they are passed on the way up.
    """

    a: str
    b: str
    celsius: float
    verdict: str
    reason: str
    row: str
    also: tuple[str, ...]
    standing: str
    open: tuple[Row, ...] = ()
    passed: tuple[Row, ...] = ()


@dataclass(frozen=True)
class Gas:
    """The gas around it all, and what is known of it; None where nothing is."""

    shares: dict
    pressure_pa: float | None = None
    oxygen: float | None = None
    frost_k: float | None = None
    built: bool | None = None
    premixed: bool | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """The gases that speak, by the words of the table, vacuum among them where the pressure says so."""
        found = dict.fromkeys(SAME_ROWS.get(name, name) for name, share in self.shares.items() if share > 0)
        pressure = self.pressure_pa
        if pressure is None or pressure > constant("fit.gas_only") or VACUUM in found:
            return tuple(found)
        return (VACUUM,) if pressure < constant("fit.vacuum_only") else (*found, VACUUM)

    @property
    def pumped(self) -> bool:
        return VACUUM in self.names

    @property
    def oxygen_share(self) -> float | None:
        """Mole fraction of oxygen: typed, or that of air."""
        air = self.shares.get("air", 0.0) * constant("general.oxygen_in_air")
        return max(self.oxygen or 0.0, air) if air else self.oxygen

    @property
    def fuel_index(self) -> float:
        """Index of the hydrogen against its non-flammable limit; above 1 the gas burns in air."""
        share = self.shares.get(HYDROGEN, 0.0)
        inert = {name: s for name, s in self.shares.items() if name != HYDROGEN and s > 0}
        if not share:
            return 0.0
        if not inert.keys() <= flammable.coefficients().keys():
            return float("inf")
        return flammable.index({HYDROGEN: share}, inert)

    def groups(self, closely: bool) -> tuple[tuple[tuple[str, ...], ...], ...]:
        """What must be known of a pair: of each group one alternative, and of that every gas.

        Args:
            closely: True for load and sensor, which look up nitrogen and hydrogen of forming gas one by one.
        """
        found = []
        names = self.names
        if FORMING in names or (set(names) - {VACUUM} == {"nitrogen", HYDROGEN} and self.fuel_index <= 1):
            found.append(((FORMING,), ("nitrogen", HYDROGEN)) if closely else ((FORMING,),))
            names = [name for name in names if name not in (FORMING, "nitrogen", HYDROGEN)]
        return (*found, *(((name,),) for name in names))

    def speaking(self, closely: bool) -> tuple[str, ...]:
        """The gases whose rows speak; moist gas where the frost point says so."""
        found = [name for group in self.groups(closely) for one in group for name in one]
        if self.frost_k is not None and self.frost_k > constant("fit.moist_above"):
            found.append(MOIST)
        return tuple(dict.fromkeys(found))


# ---------------------------------------------------------------- the tables


@cache
def tests() -> dict[str, str]:
    """Return how each condition of the table is decided, by its words."""
    return {row["condition"]: row["test"] for row in data.rows("materials/fit_conditions.csv")}


@cache
def table() -> tuple[Row, ...]:
    """Return the rows of the table.

    Source:
        data/materials/fit.csv, where each row has its own standing.
    """
    found = []
    for r in data.rows("materials/fit.csv"):
        test = tests()[r["condition"]] if r["condition"] else "always"
        found.append(Row(r["id"], r["kind"], r["a"], r["b"], number_or_none(r["from"]), number_or_none(r["to"]),
                         r["condition"], test, r["verdict"], _unbroken(r["reason"]), r["standing"]))  # fmt: skip
    return tuple(found)


def _unbroken(words: str) -> str:
    return words.replace(" °C", f"{wording.NO_BREAK}°C")


@cache
def _by_name() -> dict[tuple[str, str], list[Row]]:
    """Rows by (kind, name); a contact row under both of its names."""
    found = defaultdict(list)
    for row in table():
        for name in {row.a, row.b} if row.kind == "contact" else {row.a}:
            found[row.kind, name].append(row)
    return found


@cache
def families() -> dict[str, Family]:
    """Return what the alloys and compounds consist of, by name."""
    split = lambda text: tuple(p for p in text.split(";") if p)  # noqa: E731
    return {
        r["name"]: Family(split(r["parts"]), split(r["contact_parts"]), split(r["vacuum_parts"]),
                          number_or_none(r["solidus"]), r["standing"])
        for r in data.rows("materials/fit_families.csv")
    }  # fmt: skip


@cache
def _spoken() -> dict[str, str]:
    own = {name: name for row in table() for name in (row.a, row.b)} | {name: name for name in families()}
    other = {row["said"]: row["name"] for row in data.rows("materials/fit_names.csv")}
    return {said.casefold(): name for said, name in (own | other).items()}


def known_name(material: str, grade: str = "") -> str | None:
    """Return the name by which the table knows a material, or None; nothing is guessed from a part of a word.

    Args:
        material: as typed.
        grade: as typed; "steel" of grade "stainless" is looked up as stainless steel.

    Source:
        data/materials/fit_names.csv and fit_families.csv.
    """
    said = " ".join(material.split()).casefold()
    fine = " ".join((grade or "").split()).casefold()
    for words in (f"{fine} {said}", f"{said} {fine}", said, said.removesuffix("s")):
        if words.strip() in _spoken():
            return _spoken()[words.strip()]
    return None


@cache
def row_ids() -> frozenset[str]:
    """Return the ids that an answer may name: rows with a condition, and the alloys' rows of melting."""
    return frozenset([row.id for row in table() if row.condition] + [row.id for row in _melting_rows().values()])


@cache
def _melting_rows() -> dict[str, Row]:
    found = {}
    for number, (name, family) in enumerate(families().items(), 1):
        if family.solidus_c is not None:
            found[name] = Row(
                f"S{number:02d}", "solidus", name, PARTNER["solidus"], family.solidus_c, None,
                f"no data sheet says that this alloy begins to melt above the highest temperature, and no crucible "
                f"for the melt is named ({name} begins from {family.solidus_c:.0f} °C)", "ask", "outside",
                f"an alloy of this name may begin to melt from {family.solidus_c:.0f} °C", family.standing,
            )  # fmt: skip
    return found


# ---------------------------------------------------------------- conditions


@dataclass(frozen=True)
class _Place:
    """Where a condition is judged: the gas, the temperature in °C, the grade of the material, carbon in the chamber."""

    gas: Gas
    celsius: float
    speaking: tuple[str, ...]
    answers: dict = field(default_factory=dict)
    grade: str = ""
    carbon: bool = False


def _holds(row: Row, place: _Place) -> bool | None:
    """Whether the condition of a row holds; None where nobody knows. What an input decides, no answer changes."""
    word, *rest = row.test.split()
    decided = TESTS[word](row, rest, place)
    return place.answers.get(row.id) if decided is None else decided


def _near(row, rest, place):
    return TESTS[rest[0]](row, rest[1:], place) if rest else True


def _gas(row, rest, place):
    if row.verdict == "within":
        return set(place.speaking) <= {"nitrogen", "argon"}
    return any(name != VACUUM for name in place.speaking)


def _reducing(row, rest, place):
    if {HYDROGEN, FORMING, MONOXIDE} & set(place.speaking):
        return True
    if not place.gas.pumped:
        return False
    return True if place.carbon else None


def _vacuum(row, rest, place):
    if rest and HYDROGEN in place.speaking:
        return _dry(row, rest, place)
    return set(place.speaking) == {VACUUM} if row.verdict == "within" else VACUUM in place.speaking


def _oxygen(row, rest, place):
    """The share lies between two numbers; "or ask": it is above one number, else the reader is asked."""
    share = place.gas.oxygen_share
    if share is None:
        return None
    if rest[0] == "or":
        return True if share >= float(rest[-1]) else None
    low, high = float(rest[0]), float(rest[1])
    return low <= share <= high * (1 + 1e-9)


def _ask(row, rest, place):
    """A number among the inputs can deny the condition; to grant it somebody must answer."""
    return False if rest and TESTS[rest[0]](row, rest[1:], place) is False else None


def _dry(row, rest, place):
    """A frost point grants or denies a row that is within; of any other row it never lifts the verdict."""
    frost = place.gas.frost_k
    dry = None if frost is None else frost <= constant("fit.dry_below")
    if row.verdict != "within" and not dry:
        return None
    return None if dry and "and" in rest else dry


def _moist(row, rest, place):
    return True if place.gas.frost_k is not None and place.gas.frost_k > constant("fit.moist_above") else None


def _ratio(row, rest, place):
    """Hydrogen against moisture, as the oxide of chromium in stainless steel asks for it at this temperature."""
    gas, share = place.gas, place.gas.shares.get(HYDROGEN)
    if gas.frost_k is None or not gas.pressure_pa or not share:
        return None
    kelvin = place.celsius + constant("general.zero_celsius")
    limit = stability.oxide_log10_po2("Cr2O3", kelvin, constant("fit.chromium_activity"))
    moisture = water.ice_pressure(gas.frost_k) / gas.pressure_pa
    return moisture / share < stability.allowed_water_ratio(limit, kelvin)


def _grade(words, others):
    def test(row, rest, place):
        grade = place.grade.casefold()
        if any(word in grade for word in others):
            return False
        return True if any(word in grade for word in words) else None

    return test


def _pressure(row, rest, place):
    pressure = place.gas.pressure_pa
    return True if place.gas.pumped and pressure is not None and pressure <= float(rest[0]) else None


TESTS = {
    "always": lambda row, rest, place: True,
    "ask": _ask,
    "near": _near,
    "gas": _gas,
    "vacuum": _vacuum,
    "nitrogen": lambda row, rest, place: set(place.speaking) == {"nitrogen"},
    "oxidising": lambda row, rest, place: set(place.speaking) == {"air"},
    "reducing": _reducing,
    "oxygen": _oxygen,
    "dry": _dry,
    "moist": _moist,
    "ratio": _ratio,
    "flammable": lambda row, rest, place: place.gas.fuel_index > 1,
    "oxygen-free": _grade(OXYGEN_FREE, TOUGH_PITCH),
    "tough-pitch": _grade(TOUGH_PITCH, OXYGEN_FREE),
    "below": lambda row, rest, place: True if place.celsius < float(rest[0]) else None,
    "pressure": _pressure,
    "atmospheric": lambda row, rest, place: None if place.gas.pumped else True,
}


# ---------------------------------------------------------------- one pair


def _pair(a: str, b: str, place: _Place, rows, adding=(), known=None) -> Pair | None:
    """Return what a pair comes to; None where nothing speaks and nothing needs to.

    Args:
        rows: rows of this pair at any temperature.
        adding: further rows that speak but make nothing known.
        known: of the rows that speak, whether the pair is known; None where it need not be.
    """
    holds = {row.id: _holds(row, place) for row in (*rows, *adding)}
    speaking = [row for row in (*rows, *adding) if row.covers(place.celsius) and holds[row.id] is not False]
    said = {row.id: "close" if row.verdict == "within" and holds[row.id] is None else row.verdict for row in speaking}
    if known is not None and not known([row for row in speaking if row in rows]):
        said[NO_ROW_ID] = "cannot_say"
    if not said:
        return None
    verdict = worst(said.values())
    first = next(name for name, word in said.items() if word == verdict)
    row = next((r for r in speaking if r.id == first), None)
    passed = tuple(
        r for r in (*rows, *adding)
        if r.high is not None and r.high <= place.celsius and holds[r.id] is not False
        and r.verdict != "within" and worst([r.verdict, verdict]) != verdict
    )  # fmt: skip
    return Pair(
        a, b, place.celsius, verdict, NO_ROW if row is None else _reason(row, holds[row.id]), first,
        tuple(name for name in said if name != first), row.standing if row else "not in the table",
        tuple(r for r in speaking if holds[r.id] is None), passed,
    )  # fmt: skip


def _reason(row: Row, holds: bool | None) -> str:
    """The reason of a row; where it has none, how far it goes."""
    if row.verdict == "within" and holds is None:
        return f"only if “{row.condition}” holds" + (f"; {row.reason}" if row.reason else "")
    if row.reason:
        return row.reason
    if row.verdict == "within":
        return "no objection known" + (f" below {row.high:.0f}{wording.NO_BREAK}°C" if row.high is not None else "")
    return "near its limit" if row.verdict == "close" else "above its limit"


def _parts(name: str, gas: Gas, contact: bool = False) -> tuple[str, ...]:
    """The names under which a material is looked up: its own and those of its family."""
    family = families().get(name)
    if family is None:
        return (name,)
    return (
        name,
        *family.parts,
        *(family.contact_parts if contact else ()),
        *(family.vacuum_parts if gas.pumped else ()),
    )


def _gas_known(named: list[Row], groups):
    """Return the function that says whether every gas of a group is known; `named` are the rows at any temperature."""

    def one(gas_name: str, speaking: list[Row]) -> bool:
        if any(row.b == gas_name or (row.b == ANY and row.verdict != "close") for row in speaking):
            return True
        ends = {row.high for row in named if row.b == gas_name or (row.b == ANY and row.verdict == "within")}
        return any(row.b == ANY and row.low is not None and row.low in ends for row in speaking)

    def known(speaking: list[Row]) -> bool:
        return all(any(all(one(name, speaking) for name in way) for way in group) for group in groups)

    return known


def _with_gas(a: str, names, kinds, place: _Place, closely: bool, adding=()) -> Pair | None:
    """Return a thing against the gas around it."""
    rows = [row for kind in kinds for name in names for row in _by_name().get((kind, name), ())]
    rows = [row for row in rows if row.b in (*place.speaking, ANY)]
    known = _gas_known(rows, place.gas.groups(closely))
    return _pair(a, " and ".join(n for n in place.gas.names), place, rows, adding, known)


def _contact_rows(one, other) -> list[Row]:
    found = {
        row.id: row for name in one for row in _by_name().get(("contact", name), ())
        if (row.a == name and row.b in other) or (row.b == name and row.a in other)
    }  # fmt: skip
    return list(found.values())


# ---------------------------------------------------------------- all pairs in play


@dataclass(frozen=True)
class _Thing:
    """A material of the load or what it lies on: as said, its name in the table (None if unknown), grade, form."""

    said: str
    name: str | None
    grade: str = ""
    form: str = ""


def _things(load) -> tuple[dict[str, _Thing], list[tuple[_Thing, _Thing]]]:
    """Return the different materials of a load, and which of them touch."""
    found, touching = {}, []

    def thing(material, grade="", form=""):
        name = known_name(material, grade)
        said = f"{material}, {grade}" if grade else material
        return found.setdefault(said.casefold(), _Thing(said, name, grade or "", form or ""))

    for row in load:
        one = thing(row["material"], row.get("grade") or "", row.get("form") or "")
        for other in re.split(r"\s+and\s+|[+;/]", row.get("touches") or ""):
            if other.strip() and other.strip().casefold() not in ("nothing", "none", "–", "-"):
                touching.append((one, thing(other.strip())))
    return found, touching


def pairs(
    shares: dict, chamber_k: float, element_k: float, element: str | None = None, wall: str | None = None,
    sensor: str | None = None, load=(), pressure_pa: float | None = None, oxygen: float | None = None,
    frost_k: float | None = None, built: bool | None = None, premixed: bool | None = None, answers: dict | None = None,
) -> list[Pair]:  # fmt: skip
    """Return every pair in play with its verdict, the worst first.

    Args:
        shares: gas (or vacuum, moist gas, forming gas) to mole fraction.
        chamber_k: temperature of load, wall and sensor, K.
        element_k: temperature of the element, K.
        element: FeCrAl, NiCr, SiC, MoSi2, molybdenum, tungsten or graphite; None leaves it out.
        wall: insulation, tube, muffle, retort or seal; None leaves it out.
        sensor: "type K" and so on; None leaves it out.
        load: rows with material, grade, form, touches as text.
        pressure_pa: absolute pressure of the chamber, Pa; None counts as that of the room.
        oxygen: mole fraction that remains; None if not known.
        frost_k: frost point of the gas over ice, K; None if not known.
        built: whether the furnace is recorded as built for flammable gas.
        premixed: whether the gas is certified as a pre-mix.
        answers: row id to whether its condition holds.

    Source:
        data/materials/fit.csv read by the rules of the page.
    """
    gas = Gas(shares, pressure_pa, oxygen, frost_k, built, premixed)
    found = [*_general(gas), *_furnace(gas, chamber_k, element_k, element, wall, sensor, answers or {})]
    found += _of_load(gas, chamber_k, element_k, element, wall, sensor, load, answers or {})
    order = list(reversed(VERDICTS))
    return sorted((pair for pair in found if pair), key=lambda pair: order.index(pair.verdict))


def _celsius(kelvin: float) -> float:
    return round(kelvin - constant("general.zero_celsius"), 6)


def _place(gas: Gas, kelvin: float, closely: bool, answers: dict, grade: str = "", carbon: bool = False) -> _Place:
    return _Place(gas, _celsius(kelvin), gas.speaking(closely), answers, grade, carbon)


def _general(gas: Gas) -> Iterator[Pair]:
    """What speaks against a gas whatever it touches."""
    for row in (r for r in table() if r.kind == "general" and gas.shares.get(r.b)):
        verdict, reason = row.verdict, row.reason
        if row.b == HYDROGEN:
            verdict, reason = _hydrogen(gas, row)
        if verdict != "within":
            yield Pair(row.b, PARTNER["general"], 0.0, verdict, reason, row.id, (), row.standing)


def _hydrogen(gas: Gas, row: Row) -> tuple[str, str]:
    if gas.shares.get("air"):
        return "outside", "hydrogen together with air can explode, whatever the furnace is built for"
    if gas.fuel_index > 1:
        return ("close", f"only as the furnace is built and permitted for it: {row.reason}") if gas.built else (
            row.verdict, row.reason)  # fmt: skip
    if gas.premixed is False and not gas.built:
        return "outside", "only a certified pre-mix counts as non-flammable; this gas is mixed on site"
    return "within", ""


def _furnace(gas, chamber_k, element_k, element, wall, sensor, answers) -> Iterator[Pair | None]:
    """Element, wall and sensor against the gas."""
    if element:
        own = ("element-gas", element) in _by_name()  # molybdenum, tungsten and graphite are looked up as loads are
        hot = _place(gas, element_k, not own, answers)
        kinds = ("element-gas",) if own else ("solid-gas",)
        yield _with_gas(f"{element} element", _parts(element, gas), kinds, hot, not own)
    if wall:
        yield _with_gas(wall, (wall,), ("wall-gas",), _place(gas, chamber_k, False, answers), False)
    if sensor:
        like = [row for row in _by_name().get(("sensor", SENSOR_LIKE.get(sensor)), ()) if row.verdict != "within"]
        near = _place(gas, chamber_k, True, answers)
        like = [row for row in like if row.b in (*near.speaking, ANY)]
        yield _with_gas(sensor, (sensor,), ("sensor",), near, True, like)


def _of_load(gas, chamber_k, element_k, element, wall, sensor, load, answers) -> Iterator[Pair | None]:
    """Every material of the load against gas, partner, furnace and sensor."""
    things, touching = _things(load)
    carbon = element == "graphite" or any(t.name and "carbon" in _parts(t.name, gas) for t in things.values())
    at = lambda thing: _place(gas, chamber_k, True, answers, thing.grade, carbon)  # noqa: E731
    for thing in things.values():
        if thing.name is None:
            yield Pair(thing.said, " and ".join(gas.names), _celsius(chamber_k), "cannot_say",
                       "the table does not know this name: ask a person who answers for materials", NO_ROW_ID, (),
                       "not in the table")  # fmt: skip
            continue
        yield _load_gas(thing, at(thing))
        yield _melting(thing, at(thing))
        yield from _load_furnace(thing, at(thing), element_k, element, wall, sensor)
    if element == "graphite" and wall:
        yield _beside("graphite element", ("graphite", "carbon"), wall, (wall,), _place(gas, element_k, False, answers))
    for one, other in touching:
        if one.name and other.name:
            place = at(one)
            rows = _contact_rows(_parts(one.name, gas, True), _parts(other.name, gas, True))
            yield _pair(one.said, other.said, place, rows, known=bool)


def _load_gas(thing: _Thing, place: _Place) -> Pair | None:
    names = _parts(thing.name, place.gas)
    if thing.form == "powder" and set(names) & set(POWDERS):
        names += ("reactive metal powder",)
    kinds = ("solid-gas",) if any(("solid-gas", n) in _by_name() for n in names) else ("wall-gas",)
    volatile = [row for name in names for row in _by_name().get(("load-volatile", name), ())]
    volatile = [row for row in volatile if row.b in (*place.speaking, ANY)]
    return _with_gas(thing.said, names, kinds, place, True, volatile)


def _melting(thing: _Thing, place: _Place) -> Pair | None:
    """The beginning of melting of an alloy, which its family does not tell."""
    row = _melting_rows().get(thing.name)
    if row is None or place.celsius < row.low - constant("fit.solidus_margin") or place.answers.get(row.id) is False:
        return None
    verdict = row.verdict if place.celsius >= row.low else "close"
    left = () if row.id in place.answers else (row,)
    return Pair(thing.said, PARTNER["solidus"], place.celsius, verdict, row.reason, row.id, (), row.standing, left)


def _load_furnace(thing: _Thing, place: _Place, element_k, element, wall, sensor) -> Iterator[Pair | None]:
    """What a load does to the furnace without touching it, to the sensor, and its own parts to one another."""
    names = _parts(thing.name, place.gas, True)
    if element:
        hot = _Place(place.gas, _celsius(element_k), place.speaking, place.answers, thing.grade, place.carbon)
        yield _beside(thing.said, names, f"{element} element", (element,), hot)
    if wall:
        yield _beside(thing.said, names, wall, (wall,), place)
    if sensor:
        like = [row for s in (sensor, SENSOR_LIKE.get(sensor)) for row in _by_name().get(("sensor", s), ())]
        yield _pair(sensor, thing.said, place, [row for row in like if row.b in names])
    family = families().get(thing.name)
    if family and family.contact_parts:
        inside = _contact_rows((thing.name, *family.parts), family.contact_parts)
        yield _pair(thing.said, "its own parts", place, inside)


def _beside(a: str, names, b: str, others, place: _Place) -> Pair | None:
    """Rows that speak although the two do not touch: carbon and silica, sulphur and nickel-chromium."""
    return _pair(a, b, place, [row for row in _contact_rows(names, others) if row.test.startswith("near")])
