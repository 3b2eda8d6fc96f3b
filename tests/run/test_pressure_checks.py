"""The checks that the calculator of over-pressure answers: the figures are those of its page."""

import pytest

import calcs
from tests.run.runs import plan


def number(text: str) -> float:
    return float(text.replace("\u00a0", " ").split(" ")[0])


def test_the_failed_supply_of_the_record_is_that_of_the_bore():
    """0.35 mm, 200 bar, −15 °C: 196 L/min, as the record of the example furnace has it."""
    typed, worked_out = plan().checks["PRS-2"], plan(supply_failure_flow="").checks["PRS-2"]
    assert number(worked_out["figure"]) == pytest.approx(number(typed["figure"]), rel=0.01)
    page = calcs.work_out("overpressure", calcs.example("overpressure", "regulator fails open") | {
        "cylinder_pressure": "200 bar gauge", "cylinder_temperature": "-15 °C",
    })  # fmt: skip
    flow = page.figures["failure_flow"].quantity.to("liter/minute").m
    expansion = number(typed["figure"]) - 196
    assert number(worked_out["figure"]) == pytest.approx(flow + expansion, abs=1)


def test_a_wider_bore_brings_more_and_stops():
    assert plan(supply_failure_flow="", restriction_bore="0.5 mm").checks["PRS-2"]["verdict"] == "outside"
    assert plan(supply_failure_flow="", restriction_bore="0.3 mm").checks["PRS-2"]["verdict"] == "within"


def test_the_upper_end_makes_it_close():
    """A discharge coefficient of 1 brings 247 L/min, which 245 L/min do not pass."""
    assert plan(supply_failure_flow="", relief_capacity="245 L/min").checks["PRS-2"]["verdict"] == "close"


def test_a_fuller_cylinder_than_usual_counts():
    usual, full = (
        number(plan(supply_failure_flow="", cylinder_pressure=p).checks["PRS-2"]["figure"])
        for p in ("120 bar gauge", "290 bar gauge")
    )
    assert full > usual * 1.2


def test_an_open_bypass_counts_where_it_brings_more():
    small = {"supply_failure_flow": "", "restriction_bore": "0.1 mm"}
    shut, open_ = (number(plan(**small, bypass_bore=b).checks["PRS-2"]["figure"]) for b in ("", "2 mm"))
    assert open_ > 2 * shut


def test_the_typed_value_wins():
    assert plan(restriction_bore="2 mm").checks["PRS-2"]["verdict"] == "within"


def test_without_the_relief_s_capacity_it_stays_a_draft():
    answer = plan(relief_capacity="")
    assert answer.figures["status"].value == "draft" and "alone passes" in answer.checks["PRS-2"]["message"]
    assert "alone" not in plan(relief_capacity="", vent_bore="").checks["PRS-2"]["message"]


def test_the_force_on_the_door_is_that_of_the_page():
    page = calcs.work_out("overpressure", calcs.example("overpressure", "door"))
    found = plan().checks["PRS-6"]
    assert f"{page.figures['door_force'].text} at the hold" in found["message"]
    assert page.figures["door_force_vacuum"].value == pytest.approx(7463, rel=0.001)  # 995 mbar on 0.075 m²
    assert "7.5\u00a0kN under vacuum" in found["message"]


def test_a_chamber_that_is_not_pumped_has_no_force_of_vacuum():
    assert "vacuum" not in plan(pumped_pressure="", cycles="").checks["PRS-6"]["message"]


def test_a_flat_door_bends_above_a_tenth_of_a_bar():
    strong = {"maximum_pressure": "300 mbar gauge"}
    assert plan(**strong, relief_pressure="90 mbar gauge").checks["PRS-6"]["verdict"] == "within"
    assert plan(**strong, relief_pressure="92 mbar gauge").checks["PRS-6"]["verdict"] == "close"


def test_a_door_without_a_size_is_no_hold():
    answer = plan(door_width="", door_height="")
    assert answer.checks["PRS-6"]["verdict"] == "within" and answer.figures["status"].value == "for release"
