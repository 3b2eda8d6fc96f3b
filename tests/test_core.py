import math

import pytest

from calcs import units
from calcs.core import (
    Answer,
    Column,
    Estimate,
    Figures,
    OutOfRange,
    Range,
    Refusal,
    Shown,
    check_finite,
    judge,
    worst,
)

VOLUME = Range("0.1 L", "1000 L", because="Larger chambers mix in another way.")
FIGURES = Figures(
    Shown("time", "Time", "time", "min", "up, range"),
    Shown("oxygen", "Oxygen", "mole fraction", "ppm, %", "up"),
    Shown("regime", "Regime", "choice"),
    Shown("cycles", "Cycles", "number", "1"),
    Shown("curve", "Curve", "table", columns=(Column("at", "At"), Column("oxygen", "Oxygen", "mole fraction", "ppm"))),
)


@pytest.mark.parametrize("litres", [0.1, 1000, 24])
def test_a_range_holds_its_ends(litres):
    assert VOLUME.check("Volume", litres * 1e-3) == litres * 1e-3


def test_the_end_of_a_range_survives_conversion():
    assert units.to_si("volume", 1000, "L") in VOLUME
    assert units.read("volume", "1 m3").si in VOLUME


@pytest.mark.parametrize("cubic_metres", [0.099e-3, 1.001, math.nan, math.inf, -1.0])
def test_a_range_refuses_outside_with_what_it_allows(cubic_metres):
    with pytest.raises(OutOfRange) as trouble:
        VOLUME.check("Volume", cubic_metres)

    assert trouble.value.allowed is VOLUME
    assert "0.1" in str(trouble.value) and "mix" in str(trouble.value)


def test_an_end_can_be_outside_itself():
    above_zero = Range("0 Pa", above=True)

    assert 0.0 not in above_zero
    assert 1e-9 in above_zero


def test_a_range_of_temperatures_knows_its_scale():
    assert 293.15 in Range("20 degC", "100 degC")
    assert 290.0 not in Range("20 degC", "100 degC")


@pytest.mark.parametrize(
    "value, high, verdict",
    [(1.0, None, "within"), (1.7, None, "close"), (1.0, 2.5, "close"), (2.1, None, "outside"), (2.0, None, "close")],
)
def test_a_figure_is_judged_with_its_whole_range(value, high, verdict):
    assert judge(value, 2.0, high) == verdict


def test_the_worst_verdict_wins():
    assert worst(["within", "close"]) == "close"
    assert worst(["cannot_say", "close"]) == "cannot_say"
    assert worst(["cannot_say", "outside", "within"]) == "outside"
    assert worst([]) == "within"


def test_a_figure_is_a_quantity_in_its_display_unit():
    figure = FIGURES.fill(time=Estimate(600, 300, 1200))["time"]

    assert figure.quantity.m_as("minute") == pytest.approx(10)
    assert (figure.low.m, figure.high.m) == (pytest.approx(5), pytest.approx(20))
    assert figure.span.replace("\u00a0", " ") == "5.0 to 20 min"


def test_the_unit_keeps_the_figure_readable():
    assert FIGURES.fill(oxygen=0.2095)["oxygen"].text.replace("\u00a0", " ") == "21.0 %"
    assert FIGURES.fill(oxygen=2.1e-5)["oxygen"].text.replace("\u00a0", " ") == "21.0 ppm"


def test_figures_round_towards_caution():
    assert FIGURES.fill(oxygen=2.001e-6)["oxygen"].text.startswith("2.01")


def test_counts_are_whole_and_choices_are_text():
    found = FIGURES.fill(cycles=2.0, regime="viscous")

    assert found["cycles"].text == "2"
    assert found["regime"].quantity == "viscous"


def test_rows_of_a_table_become_quantities():
    figure = FIGURES.fill(curve=[{"at": "start", "oxygen": 0.2}])["curve"]

    assert figure.rows[0]["oxygen"].m_as("ppm") == pytest.approx(200_000)


def test_none_leaves_a_figure_out_and_a_wrong_name_is_ours():
    assert "time" not in FIGURES.fill(time=None)
    with pytest.raises(KeyError):
        FIGURES.fill(tmie=1.0)


def test_a_figure_that_is_not_finite_stops():
    with pytest.raises(ArithmeticError):
        check_finite(Answer(figures=FIGURES.fill(time=math.inf)))


def test_an_answer_becomes_plain_data():
    import json

    answer = Answer(sentence="So.", figures=FIGURES.fill(time=60.0, curve=[{"at": "start", "oxygen": 0.2}]))
    found = json.loads(json.dumps(answer.to_dict()))

    assert found["figures"]["time"]["value"] == "1 min"
    assert found["figures"]["curve"]["rows"][0]["at"] == "start"


def test_a_refusal_holds_no_figure():
    answer = Answer(refusal=Refusal("toxic_gas", "this gas is toxic", "Because."))

    assert answer.to_dict().keys() == {"calculator", "refusal"}
    assert answer.refusal.message.startswith("No answer: this gas is toxic.")
