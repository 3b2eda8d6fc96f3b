"""Temperature survey: deviations, classes, the picture, the budget, and what is refused."""

from math import sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calcs
from calcs.core import OutOfRange
from calcs.heat.uniformity import (
    PLACES,
    SURVEY,
    UNCERTAINTY,
    class_met,
    combined_uncertainty,
    place_of,
    places,
    sensors_needed,
    standard_parts,
)
from calcs.picture import Bars, Drawing

CASE = {  # a survey at 1000 °C worked by hand
    "1": (1000.8, 1001.9, 1001.2), "2": (996.1, 997.4, 997.0), "3": (1003.2, 1004.1, 1003.9),
    "4": (999.0, 999.8, 999.6), "5": (1001.0, 1002.2, 1001.7),
}  # fmt: skip
ADDED = {"1": -0.6, "2": 0.5, "3": -0.9, "4": 0.1, "5": -0.3}


def table(found, step=2):
    return [
        {"sensor": name, "time": f"{step * n} min", "reading": f"{t} °C"}
        for name, got in found.items()
        for n, t in enumerate(got)
    ]


def corrections(found):
    return [{"sensor": name, "correction": f"{k} K"} for name, k in found.items()]


def work(use=SURVEY, **changed):
    return calcs.work_out("uniformity", calcs.example("uniformity", use) | changed)


def case(**changed):
    given = {"set_temperature": "1000 °C", "survey": table(CASE), "corrections": corrections(ADDED),
             "survey_uncertainty": "", "survey_limit": "6 K"}  # fmt: skip
    return work(**given | changed)


def refusal(**changed):
    answer = work(**changed)
    assert not answer.figures
    return answer.refusal.reason


def kelvin(answer, name):
    return answer.figures[name].value


# ---------------------------------------------------------------- deviations


def test_the_survey_by_hand():
    answer = case()
    assert kelvin(answer, "highest_deviation") == pytest.approx(3.2)
    assert kelvin(answer, "lowest_deviation") == pytest.approx(-3.4)
    assert kelvin(answer, "span") == pytest.approx(6.6)
    assert answer.figures["class_met"].value == "class 2" and answer.verdict == "within"


def test_corrections_are_added_not_taken_away():
    wrong = case(corrections=corrections({name: -k for name, k in ADDED.items()}))
    assert kelvin(wrong, "highest_deviation") == pytest.approx(5.0)
    assert kelvin(wrong, "lowest_deviation") == pytest.approx(-4.4)


def test_without_corrections_it_says_so():
    answer = case(corrections="")
    assert kelvin(answer, "highest_deviation") == pytest.approx(4.1)
    assert any("every sensor" in note for note in answer.notes)
    some = case(corrections=corrections({"1": -0.6, "2": 0.5}))
    assert any("3, 4 and 5" in note for note in some.notes)


def test_means_against_a_library():
    rng = np.random.default_rng(3)
    data = {str(n): rng.normal(900, 4, 8) for n in range(1, 10)}
    found = places([(name, 120.0 * i, float(y)) for name, got in data.items() for i, y in enumerate(got)], {"4": 1.5})
    for place in found:
        got = data[place.sensor] + (1.5 if place.sensor == "4" else 0.0)
        assert (place.mean_k, place.lowest_k, place.highest_k) == pytest.approx((got.mean(), got.min(), got.max()))
        assert place.drift_k_per_s == pytest.approx(np.polyfit(120.0 * np.arange(8), got, 1)[0])


@pytest.mark.parametrize(
    ("deviation", "name"),
    [(0, "class 1"), (3, "class 1"), (3.001, "class 2"), (6, "class 2"), (8, "class 3"), (10, "class 4"),
     (14, "class 5"), (28, "class 6"), (28.001, "none")],
)  # fmt: skip
def test_limits_of_the_classes(deviation, name):
    assert class_met(deviation) == name


def test_uncertainty_moves_the_class_and_the_verdict():
    inside = case(survey_uncertainty="1.578 K", survey_limit="6 K")
    assert inside.verdict == "within" and inside.figures["class_met_with_uncertainty"].value == "class 2"
    between = case(survey_uncertainty="1.578 K", survey_limit="4 K")
    assert between.verdict == "close" and "less than the uncertainty" in between.sentence
    missed = case(survey_uncertainty="1.578 K", survey_limit="3 K")
    assert missed.verdict == "outside" and "less than the uncertainty" in missed.sentence
    clear = case(survey_uncertainty="0.1 K", survey_limit="3 K")
    assert clear.verdict == "outside" and "uncertainty" not in clear.sentence
    assert case(survey_uncertainty="3 K").figures["class_met_with_uncertainty"].value == "class 3"


def test_without_uncertainty_the_last_fifth_is_close():
    assert case(survey_limit="3.5 K").verdict == "close"
    assert case(survey_limit="4.3 K").verdict == "within"
    assert not case(survey_limit="").judged


def test_drift_makes_it_close():
    moving = {name: [t + 0.4 * n for n in range(6)] for name, (t, *_) in CASE.items()}
    answer = case(survey=table(moving), survey_limit="12 K")
    assert answer.verdict == "close" and any("Not settled" in note for note in answer.notes)


def test_a_short_record_says_nothing_of_drift():
    assert any("less than 10 min" in note for note in case().notes)


def test_few_and_rare_readings_are_said():
    assert any("Only 3" in note for note in case().notes)
    five = {name: list(got) + [got[0], got[1]] for name, got in CASE.items()}
    assert not any("Only" in note for note in case(survey=table(five)).notes)
    assert any("2 min apart" in note for note in case(survey=table(CASE, step=3)).notes)


# ---------------------------------------------------------------- places and picture


@pytest.mark.parametrize(
    ("name", "place"),
    [
        ("1", ("low", "front", "left")), ("8", ("high", "rear", "right")), ("9", ("centre",)), ("centre", ("centre",)),
        ("Low front LEFT", ("low", "front", "left")), ("left top back", ("high", "rear", "left")),
        ("right_bottom-door", ("low", "front", "right")), ("low low front", ()), ("T7", ()), ("front", ()), ("10", ()),
    ],
)  # fmt: skip
def test_where_a_sensor_sits(name, place):
    assert place_of(name) == place


def test_nine_places_are_nine_different_ones():
    assert len(set(PLACES.values())) == 9


def test_nine_places_are_drawn_in_three_views():
    picture = work().pictures[0]
    assert isinstance(picture, Drawing)
    words = [shape.text for shape in picture.shapes if hasattr(shape, "text")]
    assert sum(" | " in w for w in words) == 3 + 12  # three titles, four corners in each view
    assert "low, front, left" in picture.sentence and "high, rear, right" in picture.sentence
    assert len(picture.table.rows) == 9


def test_other_places_are_drawn_as_bars():
    assert isinstance(case(survey=table({f"T{n}": got for n, got in CASE.items()}), corrections="").pictures[0], Bars)
    even = {f"T{n}": (1000.0, 1000.0) for n in range(6)}
    assert case(survey=table(even), corrections="", survey_limit="").pictures


def test_places_by_words_and_by_number_are_one():
    words = {" ".join(PLACES[name]): got for name, got in CASE.items()}
    given = corrections({" ".join(PLACES[name]): k for name, k in ADDED.items()})
    same = case(survey=table(words), corrections=given)
    assert kelvin(same, "highest_deviation") == pytest.approx(3.2)
    assert same.sentence == case().sentence


# ---------------------------------------------------------------- the budget


def test_the_budget_by_hand():
    parts = standard_parts(0.9, 0.6, 0.4, 0.1, 0.8, 0.25)
    assert combined_uncertainty(list(parts.values())) == pytest.approx(0.7890, abs=5e-5)
    assert combined_uncertainty([3, 4]) == 5
    expected = 2 * sqrt(0.25 + 0.35**2 + 0.25 / 3 + 0.01 / 12 + 0.81 / 3 + 0.09)
    assert work(UNCERTAINTY).figures["expanded_uncertainty"].value == pytest.approx(expected)


def test_limits_and_steps_against_a_simulation():
    rng = np.random.default_rng(5)
    n = 400_000
    total = (
        rng.normal(0, 0.45, n) + rng.normal(0, 0.3, n) + rng.uniform(-0.4, 0.4, n) + rng.uniform(-0.5, 0.5, n)
        + rng.uniform(-0.8, 0.8, n) + rng.normal(0, 0.25, n)
    )  # fmt: skip
    parts = standard_parts(0.9, 0.6, 0.4, 1.0, 0.8, 0.25)
    assert combined_uncertainty(list(parts.values())) == pytest.approx(total.std(), rel=5e-3)


def test_every_part_counts():
    base = work(UNCERTAINTY).figures["standard_uncertainty"].value
    for name in calcs.example("uniformity", UNCERTAINTY):
        if name != "mode":
            assert work(UNCERTAINTY, **{name: "5 K"}).figures["standard_uncertainty"].value > base


def test_nothing_at_all_is_a_problem():
    with pytest.raises(calcs.Problems):
        work(UNCERTAINTY, **{n: "0 K" for n in calcs.example("uniformity", UNCERTAINTY) if n != "mode"})


# ---------------------------------------------------------------- refusals and problems


def test_no_readings():
    assert refusal(survey="") == "no_readings"


def test_five_sensors_are_needed_nine_for_a_larger_zone():
    four = {name: got for name, got in CASE.items() if name != "5"}
    assert refusal(survey=table(four), corrections="") == "too_few_sensors"
    assert sensors_needed(0.085) == 5 and sensors_needed(0.0851) == 9 == sensors_needed(6.4)
    with pytest.raises(OutOfRange):
        sensors_needed(6.41)
    assert refusal(survey=table(CASE), corrections="", work_volume="85.1 L") == "too_few_sensors"
    assert work(survey=table(CASE), corrections="", work_volume="85 L").refusal is None


def test_mixed_units():
    mixed = table(CASE)
    mixed[3]["reading"] = "1825 °F"
    assert refusal(survey=mixed, corrections="") == "mixed_units"
    text = " · ".join(f"{row['sensor']} {row['time']} {row['reading']}" for row in table(CASE))
    assert work(survey=text, corrections="").refusal is None
    assert refusal(survey=text.replace("996.1 °C", "1269.25 K"), corrections="") == "mixed_units"


def test_above_the_furnace():
    assert refusal(set_temperature="1050.1 °C") == "outside_furnace"
    assert work(set_temperature="1050 °C").refusal is None
    assert work(set_temperature="1200 °C", maximum_temperature="").refusal is None


@pytest.mark.parametrize(
    "changed",
    [
        {"corrections": [{"sensor": "77", "correction": "0.1 K"}]},
        {"corrections": [{"sensor": "1", "correction": "0.1 K"}, {"sensor": "1", "correction": "0.2 K"}]},
        {"survey": table(CASE)[:-1], "corrections": ""},
        {"survey": [*table(CASE), table(CASE)[0]], "corrections": ""},
        {"survey": table({f"T{n}": (600.0,) for n in range(41)}), "corrections": ""},
        {"work_volume": "6401 L"},
    ],
)
def test_what_is_a_problem(changed):
    with pytest.raises(calcs.Problems):
        work(**changed)


# ---------------------------------------------------------------- the whole answer


def test_the_example():
    answer = work()
    assert answer.verdict == "within" and "±\u00a06\u00a0K is kept" in answer.sentence
    assert [c.word for c in answer.cautions] == ["WARNING", "WARNING"]


def test_pasted_lines_are_read_like_rows():
    for between in (" ", ", ", "\t"):
        text = "\n".join(between.join((row["sensor"], row["time"], row["reading"])) for row in table(CASE))
        assert kelvin(case(survey=text), "span") == pytest.approx(6.6)
    assert kelvin(case(corrections="1 -0.6 K · 2 +0.5 K · 3 −0.9 K · 4 0.1 K · 5 -0.3 K"), "span") == pytest.approx(6.6)


def test_units_do_not_matter():
    fahrenheit = [row | {"reading": f"{float(row['reading'][:-3]) * 1.8 + 32:.4f} °F"} for row in table(CASE)]
    same = case(survey=fahrenheit, set_temperature="1832 °F", survey_limit="10.8 °F")
    assert kelvin(same, "span") == pytest.approx(6.6) and same.verdict == "within"


@settings(max_examples=60, deadline=None)
@given(st.sampled_from((SURVEY, UNCERTAINTY)), st.data())
def test_any_text_gives_an_answer_a_problem_or_a_refusal(mode, data):
    name = data.draw(st.sampled_from(sorted(calcs.example("uniformity", mode))))
    try:
        answer = work(mode, **{name: data.draw(st.text(max_size=60))})
    except calcs.Problems as trouble:
        assert trouble.messages
    else:
        assert answer.refusal or answer.sentence


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(20, 3400), min_size=5, max_size=12), st.floats(20, 3400), st.floats(0, 150))
def test_any_readings_give_an_answer(readings, wanted, expanded):
    rows = table({str(n): (f"{t:.2f}",) for n, t in enumerate(readings, 1)})
    answer = work(survey=rows, corrections="", set_temperature=f"{wanted:.2f} °C", maximum_temperature="",
                  survey_uncertainty=f"{expanded:.2f} K", work_volume="")  # fmt: skip
    assert answer.sentence and answer.pictures
