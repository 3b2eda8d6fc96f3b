"""The compact link of a plan: there and back, short enough for a card, and one sentence where it cannot be opened."""

import base64
import zlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calcs
from calcs.data import table
from calcs.run import link
from calcs.run.files import CannotOpen
from calcs.run.plan import FORM
from tests.run.runs import EXAMPLE, FURNACES, mixture, segments

CODE = "7QK-2M4-HX3"
ADDRESS = "https://furnace.example/chamber-furnace-practice/run/plan/#"
OWN = EXAMPLE | FURNACES["B"] | {
    "run_name": "Getter rings batch 27 after repair", "run_date": "2033-11-17", "planned_by": "M. Someone-Strand",
    "finish": "bright", "record_review_due": "2034-02-11", "limiter_tested": "2033-08-15", "leak_tested": "2033-10-30",
    "last_content": "sponge, brushed out", "gas": "helium", "gas_oxygen": "0.7 ppm", "gas_water": "1.1 ppm",
    "target_oxygen": "8 ppm", "target_water": "12 ppm", "flow": "1.35 L/min", "set_point": "14 mbar gauge",
    "pumped_pressure": "0.043 mbar abs", "cycles": "3", "cylinder_volume": "47 L", "cylinder_pressure": "163 bar gauge",
    "cylinder_temperature": "17 °C", "reserve_pressure": "8 bar gauge", "ambient_pressure": "1013.7 mbar abs",
    "altitude": "87 m", "room_temperature": "22.5 °C", "room_volume": "143 m3", "air_changes": "3.5",
    "start_time": "06:45", "soak_temperature": "735 °C", "soak_time": "95 min", "ramp": "6.5 K/min",
    "planned_opening_temperature": "48 °C", "opening_temperature": "48 °C", "load_ramp_limit": "7.5 K/min",
    "water_estimate": "3 g",
    "load": [
        {"material": "titanium", "grade": "grade 2", "form": "plate", "mass": "310 g", "count": "12",
         "area": "260 cm2", "thickness": "4.5 mm", "touches": "molybdenum sheet"},
        {"material": "molybdenum", "form": "plate", "mass": "820 g", "count": "4", "area": "0.08 m2",
         "thickness": "0.5 mm", "touches": "alumina"},
        {"material": "alumina", "form": "other", "mass": "1.2 kg", "count": "3", "thickness": "8 mm"},
    ],
}  # fmt: skip
PLANS = {
    "example": EXAMPLE,
    "every value another": OWN,
    **{f"furnace {name}": EXAMPLE | furnace for name, furnace in FURNACES.items()},
    "a table": EXAMPLE | {"segments": [{"kind": "ramp", "to": "900 °F", "rate": "5 K/min"}, {"kind": "soak", "time": "2 h"}]},
    "a table as text": EXAMPLE | segments("ramp to 600 °C at 5 K/min · soak 30 min · cool to 60 °C"),
    "a mixture": EXAMPLE | mixture("argon 98 % · hydrogen 2 %"),
    "odd texts": EXAMPLE | {"run_name": "=1+1", "planned_by": "№ 5 “Ω” 试", "flow": "=2 L/min", "cycles": "2"},
    "units of one's own": EXAMPLE | {"free_volume": "0.85 ft3", "flow": "4", "ramp": "300 K/h", "cylinder_pressure": "1740 psi gauge"},
}  # fmt: skip


def told(inputs):
    return {name: value for name, value in inputs.items() if value}


@pytest.mark.parametrize("name", PLANS)
def test_there_and_back_gives_the_inputs_as_typed_and_the_code(name):
    assert link.read(link.compact(PLANS[name], CODE)) == (told(PLANS[name]), CODE)


@pytest.mark.parametrize("name", PLANS)
def test_usual_plans_fit_on_a_card(name):
    assert len(ADDRESS + link.compact(PLANS[name], CODE)) <= link.LONGEST


def test_a_plan_of_twenty_rows_of_its_own_is_longer():
    rows = [
        {"material": f"alloy number {n * 37 % 101}", "grade": f"q{n * n}", "form": "plate", "mass": f"{n * 13 + 7} g"}
        for n in range(20)
    ]

    assert len(ADDRESS + link.compact(OWN | {"load": rows}, CODE)) > link.LONGEST


def test_the_same_plan_is_worked_out():
    inputs, _ = link.read(link.compact(OWN, CODE))

    assert (
        calcs.work_out("plan", inputs).figures["plan_code"].value
        == calcs.work_out("plan", OWN).figures["plan_code"].value
    )


def test_every_input_and_column_has_its_place():
    known = table("run/link.toml")

    assert [f.name for f in FORM.fields if f.name not in known["names"]] == []
    for f in FORM.fields:
        assert [c.name for c in f.columns if c.name not in known["columns"].get(f.name, ())] == [], f.name


def test_the_schema_has_not_changed():
    """A link as it was printed when the schema was made; if this fails, cards on paper cannot be opened any more."""
    printed = "p=1.tyg_GDMP9DbyNfGIMJanJQAA"

    assert link.read(printed) == ({n: v for n, v in table("run/link.toml")["usual"].items()}, CODE)


def packed(text: str) -> str:
    """Return any text packed as a link, with a right check."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15, 9, zlib.Z_DEFAULT_STRATEGY, link._words())
    data = zlib.crc32(text.encode()).to_bytes(4, "big") + packer.compress(text.encode()) + packer.flush()
    return "p=1." + base64.urlsafe_b64encode(data).decode().rstrip("=")


GOOD = link.compact(OWN, CODE)
DAMAGED = {
    "nothing": "p=1.",
    "no schema": "p=AAAA",
    "markup": "p=1.<script>alert(1)</script>",
    "another alphabet": "p=1.é",
    "cut off": GOOD[:-5],
    "one letter changed": GOOD[:60] + ("A" if GOOD[60] != "A" else "B") + GOOD[61:],
    "unfolds to too much": packed(CODE + "\x1f" + "x" * 100_000),
    "a text longer than a field": packed(CODE + "\x1f" + "x" * 300),
    "a row with more cells than its table": packed(
        CODE + "\x1f" * (table("run/link.toml")["names"].index("load") + 1) + "\x1e" * 9
    ),
}


@pytest.mark.parametrize("name", DAMAGED)
def test_a_damaged_link_says_so(name):
    with pytest.raises(CannotOpen) as caught:
        link.read(DAMAGED[name])

    assert caught.value.reason == "damaged"
    assert caught.value.message.endswith(".")


@pytest.mark.parametrize("text", ["p=2." + "A" * 20, packed("7QK2M4HX3" + "\x1f" * 200)])
def test_a_newer_schema_says_so(text):
    with pytest.raises(CannotOpen) as caught:
        link.read(text)

    assert caught.value.reason == "schema_newer"


def test_a_link_that_no_card_carries_is_not_unfolded():
    with pytest.raises(CannotOpen) as caught:
        link.read("p=1." + "A" * 5000)

    assert caught.value.reason == "too_large"


def test_hostile_text_stays_typed_text():
    hostile = "<img src=x onerror=alert(1)>"
    inputs, _ = link.read(link.compact(EXAMPLE | {"run_name": hostile}, CODE))

    assert inputs["run_name"] == hostile


def test_a_control_character_gets_no_link():
    with pytest.raises(ValueError):
        link.compact(EXAMPLE | {"run_name": "a\x1fb"}, CODE)


@settings(max_examples=200, deadline=None)
@given(st.one_of(st.text(max_size=80), st.text("ABCabc019-_.p=1", max_size=80).map("p=1.".__add__)))
def test_any_text_is_read_or_refused(text):
    try:
        inputs, _ = link.read(text)
    except CannotOpen:
        return
    assert all(name in FORM.by_name for name in inputs)


@settings(max_examples=100, deadline=None)
@given(st.dictionaries(st.sampled_from([f.name for f in FORM.fields if f.kind != "table"]), st.text(max_size=60)))
def test_any_texts_go_there_and_back(texts):
    try:
        made = link.compact(texts, CODE)
    except (ValueError, UnicodeEncodeError):
        return  # control characters, half letters
    assert link.read(made) == (told(texts), CODE)
