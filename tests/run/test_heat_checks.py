"""The checks of the plan that the heat room answers: each speaks, each keeps silent, and the figures agree."""

from time import perf_counter

import pytest

import calcs
from calcs import solids
from calcs.heat import soak, stress
from calcs.run import heat_checks, heat_through
from tests.run.runs import EXAMPLE, load, mixture, plan, segments

BRICK = {"load": load(material="chamber brick", form="plate", thickness="60 mm", grade=""), "load_ramp_limit": ""}
STEEL = {"load": load(material="stainless steel", grade="304", form="bar", thickness="60 mm")}
SPEAKS = [  # id, what is changed in the example, verdict
    ("RMP-1", BRICK, "close"),
    ("RMP-1", BRICK | {"load": load(material="chamber brick", form="plate", thickness="120 mm"),
                       "ramp": "10 K/min"}, "outside"),
    ("RMP-1", {"load_ramp_limit": "4 K/min"}, "outside"),
    ("COL-1", BRICK | {"load": load(material="chamber brick", form="tube", thickness="60 mm")}, "close"),
    ("SOK-1", {}, "close"),
    ("SOK-1", STEEL | segments("ramp to 600 °C at 5 K/min · soak 5 h"), "close"),
    ("TMP-3", {"sensor": "type K", "soak_temperature": "760 °C"}, "close"),
    ("TMP-3", {"sensor": "type C"}, "cannot_say"),
    ("TMP-3", {"sensor": "type K", "soak_temperature": "1400 °C", "maximum_temperature": "1700 °C",
               "holding_powers": "300 °C 0.4 kW · 1500 °C 3 kW"}, "outside"),
]  # fmt: skip
SILENT = {"SOK-1": {"load": load(thickness="0.05 mm", material="carbon steel"), "gas": "helium"}}


def check(name, **changed):
    return plan(**changed).checks[name]


@pytest.mark.parametrize(("name", "changed", "verdict"), SPEAKS)
def test_a_check_speaks(name, changed, verdict):
    found = check(name, **changed)
    assert found["verdict"] == verdict, found
    assert found["message"] and found["remedy"] and len(found["message"]) <= 115, len(found["message"])


@pytest.mark.parametrize("name", ["RMP-1", "COL-1", "SOK-1", "TMP-3"])
def test_a_check_keeps_silent(name):
    found = check(name, **SILENT.get(name, {}))
    assert found["verdict"] == "within" and found["message"], found


def test_every_check_has_a_case():
    assert {name for name, _ in heat_checks.LATE} <= {name for name, _, _ in SPEAKS}


# ---------------------------------------------------------------- ramp against the load


@pytest.mark.parametrize("material", solids.BRITTLE)
@pytest.mark.parametrize("direction", [stress.HEATING, stress.COOLING])
def test_the_ramp_is_that_of_its_page(material, direction):
    page = calcs.work_out("stress", calcs.example("stress") | {"material": material, "direction": direction})
    found = stress.ramp_survived(material, stress.SLAB, 0.005, direction)
    assert found == pytest.approx(page.figures["ramp_allowed"].value, rel=1e-12)


def test_a_typed_limit_wins():
    assert check("RMP-1", **BRICK | {"load_ramp_limit": "6 K/min"})["verdict"] == "within"


def test_the_weakest_row_rules():
    thin, thick = ({**BRICK["load"][0], "thickness": size} for size in ("20 mm", "60 mm"))
    assert "60" in check("RMP-1", **BRICK | {"load": [thin, thick]})["message"]
    assert check("RMP-1", **BRICK | {"load": [thin]})["verdict"] == "within"


@pytest.mark.parametrize("row", [{"material": "copper"}, {"material": "brick of unknown make"}, {"thickness": ""}])
def test_what_is_not_known_stays_with_the_person_who_asked(row):
    found = check("RMP-1", **BRICK | {"load": [BRICK["load"][0] | row]})
    assert found["verdict"] == "within" and "person who asked" in found["message"]


# ---------------------------------------------------------------- soak


def test_the_lag_is_that_of_its_page():
    """The same plate, typed on the page: full chamber, bright copper at 600 °C."""
    emissivity = solids.value("copper", "emissivity bright", 873.15)
    page = calcs.work_out("soak", calcs.example("soak") | {
        "thickness": "1 mm", "load_emissivity": repr(emissivity), "load_area": "1 m2", "inner_area": "1 m2",
        "tolerance": "10 K", "chamber_pressure": "1005 mbar", "at_time": "",
    })  # fmt: skip
    needed, shown = plan().figures["soak_needed"], page.figures["soak_needed"]
    for part in ("value", "low_value", "high_value"):
        assert getattr(needed, part) == pytest.approx(getattr(shown, part), rel=1e-6)


def test_thicker_or_brighter_comes_later():
    thin, thick = (plan(load=load(thickness=size)).figures["soak_needed"].value for size in ("1 mm", "3 mm"))
    air = plan(gas="air", pumped_pressure="", cycles="", exhaust="extraction", target_oxygen="", finish="not critical")
    assert 1800 < thin < thick and air.figures["soak_needed"].value < thin


@pytest.mark.parametrize(("row", "words"), [
    ({"material": "an alloy of unknown make"}, "no heat data of an alloy"),
    ({"material": "beryllium copper", "grade": ""}, "no heat data of beryllium copper"),
    ({"thickness": ""}, "no thickness"),
    ({"form": "powder"}, "has no shape"),
    ({"material": "borosilicate glass", "grade": ""}, "no emissivity of borosilicate glass"),
])  # fmt: skip
def test_what_lacks_is_said_and_no_figure_shown(row, words):
    answer = plan(load=load(**row))
    found = answer.checks["SOK-1"]
    assert found["verdict"] == "within" and found["message"].startswith("Not worked out") and words in found["message"]
    assert "soak_needed" not in answer.figures


def test_the_thickest_row_is_taken():
    rows = load() + [load()[0] | {"thickness": "30 mm", "material": "titanium", "grade": ""}]
    assert "titanium of 30" in check("SOK-1", load=rows)["message"]


def test_a_load_that_melts_is_named():
    found = check("SOK-1", soak_temperature="1090 °C", maximum_temperature="1200 °C",
                  holding_powers="300 °C 0.4 kW · 1200 °C 2.4 kW")  # fmt: skip
    assert found["verdict"] == "close" and heat_checks.MELTS in found["message"]


def test_without_a_soak_there_is_nothing_to_judge():
    found = check("SOK-1", **segments("ramp to 600 °C at 5 K/min · cool to 60 °C"))
    assert found["message"] == "Not worked out: the programme has no soak at its highest temperature."


def test_the_soak_uses_the_band_of_its_page():
    assert soak.FORM.by_name["tolerance"].default in check("SOK-1", **SILENT["SOK-1"])["message"]


# ---------------------------------------------------------------- sensor


def test_each_gas_of_a_mixture_counts():
    assert check("TMP-3", **mixture("argon 98 % · hydrogen 2 %"))["verdict"] == "close"
    assert check("TMP-3", gas="carbon dioxide", cylinder_pressure="30 bar gauge")["verdict"] == "cannot_say"


def test_hot_vacuum_counts():
    assert check("TMP-3", pumped_temperature="650 °C", sensor="type K")["message"].count("vacuum") == 1


# ---------------------------------------------------------------- the whole


def test_the_example_stays_for_release():
    assert plan().figures["status"].text == "for release"


def test_the_plan_stays_quick():
    """Each load is a new one, so that nothing is ready; the quickest of the tries counts."""
    tries = []
    for size in ("0.9 mm", "0.8 mm", "0.7 mm", "0.6 mm"):
        heat_through._lag.cache_clear()
        began = perf_counter()
        calcs.work_out("plan", EXAMPLE | {"load": load(thickness=size)})
        tries.append(perf_counter() - began)
    assert min(tries) < 0.060
