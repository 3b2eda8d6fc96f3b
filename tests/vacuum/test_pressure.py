"""Pressure: what a reading is, absolute, at an altitude; checked against independent libraries of air and gases."""

import fluids
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

import calcs
from calcs.vacuum import pressure


def work(reading: str, **more):
    return calcs.work_out("pressure", {"reading": reading, **more})


def pascals(answer, name="absolute_pressure"):
    return answer.figures[name].quantity.m_as("pascal")


def said(answer) -> str:
    return answer.sentence.replace("\u00a0", " ")


# ---------------------------------------------------------------- as on the dial


def test_thirty_torr_above_a_room_at_1600_metres():
    answer = work("30 Torr gauge", altitude="1600 m")

    assert pascals(answer) == pytest.approx(87_527, abs=5)
    assert said(answer).startswith("30 torr above a room at 83.5 kPa (usual at 1600 m) is 87.5 kPa absolute")
    assert answer.verdict == "close" and answer.judged


def test_the_default_room_is_named():
    answer = work("30 Torr gauge")

    assert "a room at 101.3 kPa (default, for sea level) is 105.3 kPa absolute" in said(answer)


@pytest.mark.parametrize(
    "reading, expected",
    [
        ("0.1 torr abs", "0.1 torr absolute is 13.3 Pa or 0.133 mbar"),
        ("13 Pa abs", "0.0975 torr"),
        ("1,5 mbar abs", "1.5 mbar absolute is 150 Pa"),
        ("790 torr abs", "790 torr absolute is 105.3 kPa or 1053 mbar; that is 4.00 kPa above a room"),
        ("101.325 kPa abs", "that is the same as a room at 101.3 kPa"),
    ],
)
def test_readings_in_words(reading, expected):
    assert expected in said(work(reading))


def test_a_reading_without_its_sense_is_asked_about():
    with pytest.raises(calcs.Problems) as found:
        work("0.1 torr")

    assert found.value.problems["reading"].options == ("0.1 torr abs", "0.1 torr gauge")


@pytest.mark.parametrize(
    "sense, absolute", [("absolute", 13.33224), ("gauge", 101_338.3), ("below ambient", 101_311.7)]
)
def test_the_choice_beside_gives_the_sense(sense, absolute):
    assert pascals(work("0.1 torr", sense=sense)) == pytest.approx(absolute, rel=1e-5)


@pytest.mark.parametrize(
    "sense, words", [("absolute", "absolute is"), ("gauge", "above a room"), ("below ambient", "below a room")]
)
def test_the_menu_of_the_page_gives_the_sense(sense, words):
    answer = calcs.work_out("pressure", {"reading": {"text": "30", "unit": "torr", "sense": sense}})

    assert f"30 torr {words}" in said(answer)


def test_the_typed_word_counts_and_that_is_said():
    answer = work("0.1 torr abs", sense="gauge")

    assert pascals(answer) == pytest.approx(13.332, rel=1e-4)
    assert any("word typed" in note for note in answer.notes)
    assert not work("0.1 torr abs", sense="absolute").notes


@pytest.mark.parametrize("typed, option", [("10 mT", "10 mTorr"), ("1,500 Pa", "1500 Pa")])
def test_doubtful_text_is_asked_about(typed, option):
    with pytest.raises(calcs.Problems) as found:
        work(typed)

    assert option in found.value.problems["reading"].options


def test_units_do_not_change_the_answer():
    metric = work("-900.0 mbar gauge", altitude="500 m")
    other = work("26.57699 inHg below", altitude="1640.42 ft")

    assert pascals(other) == pytest.approx(pascals(metric), rel=1e-4)


@given(st.floats(-80, 80))
def test_above_the_room_and_back(kilopascal):
    answer = work(f"{kilopascal:.6f} kPa gauge", altitude="150 m")
    back = work(f"{pascals(answer):.9g} Pa abs", altitude="150 m")

    assert back.figures["gauge_pressure"].quantity.m_as("pascal") == pytest.approx(kilopascal * 1000, abs=0.01)
    assert pascals(answer) == pytest.approx(pascals(answer, "ambient_pressure") + kilopascal * 1000, abs=1e-3)


# ---------------------------------------------------------------- against libraries


@pytest.mark.parametrize("altitude", range(-430, 5001, 181))
def test_the_room_agrees_with_an_independent_atmosphere(altitude):
    answer = work("0 Pa gauge", altitude=f"{altitude} m")

    assert pascals(answer) == pytest.approx(fluids.ATMOSPHERE_1976(altitude).P, rel=1e-5)


@pytest.mark.parametrize(
    "gas, name", [("air", "Air"), ("argon", "Argon"), ("helium", "Helium"), ("nitrogen", "Nitrogen")]
)
@pytest.mark.parametrize("celsius", [0, 20, 400, 1100])
def test_the_free_path_agrees_with_library_viscosity(gas, name, celsius):
    kelvin = celsius + 273.15
    molar = PropsSI("M", name)
    expected = (
        PropsSI("V", "T", kelvin, "P", 1000, name) * (3.141592653589793 * 8.314462618 * kelvin / 2 / molar) ** 0.5
    )
    answer = work("1 Pa abs", gas=gas, gas_temperature=f"{celsius} °C")

    assert answer.figures["mean_free_path"].quantity.m_as("m") == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize("gas", ["neon", "xenon", "water vapour"])
def test_beyond_the_viscosity_table_there_is_no_free_path(gas):
    assert "mean_free_path" in work("1 Pa abs", gas=gas).figures
    hot = work("1 Pa abs", gas=gas, gas_temperature="1000 °C")

    assert "mean_free_path" not in hot.figures and any("No mean free path" in n for n in hot.notes)


@pytest.mark.parametrize(
    "pascal, word",
    [
        (101, "rough"),
        (100, "rough"),
        (99, "medium"),
        (0.1, "medium"),
        (0.09, "high"),
        (1e-6, "high"),
        (0.9e-6, "ultra-high"),
    ],
)
def test_ranges_of_vacuum(pascal, word):
    assert pressure.vacuum_range(pascal) == word


def test_above_the_room_is_no_vacuum():
    assert "regime" not in work("1 mbar gauge").figures
    assert "below_ambient" not in work("1 mbar gauge").figures


def test_below_the_room_counts_downwards():
    answer = work("400 mbar abs", ambient_pressure="1000 mbar")

    assert answer.figures["below_ambient"].quantity.m_as("mbar") == pytest.approx(600)
    assert answer.figures["gauge_pressure"].quantity.m_as("mbar") == pytest.approx(-600)
    assert answer.figures["share_of_ambient"].quantity.m_as("percent") == pytest.approx(40)


# ---------------------------------------------------------------- what it says about itself


@pytest.mark.parametrize(
    "gauge, verdict, judged",
    [
        ("0 mbar", "within", False),
        ("-1 mbar", "within", False),
        ("1 mbar", "close", True),
        ("0.5 bar", "close", True),
        ("0.501 bar", "outside", True),
    ],
)
def test_verdict_by_pressure_above_the_room(gauge, verdict, judged):
    answer = work(f"{gauge} gauge")

    assert (answer.verdict, answer.judged) == (verdict, judged)
    assert [c.word for c in answer.cautions] == (["WARNING"] if judged else [])


def test_a_dial_cannot_see_a_vacuum():
    answer = work("28.9 inHg below", altitude="150 m")

    assert any("anything from 0 to 4.6" in note.replace("\u00a0", " ") for note in answer.notes)
    assert answer.cautions[0].word == "NOTICE"
    assert not work("28.9 inHg below", ambient_pressure="995 mbar").cautions


def test_the_weather_band_goes_with_a_barometer():
    assert work("1 Pa abs").figures["ambient_pressure"].low_value == pytest.approx(101_325 * 0.97)
    assert work("1 Pa abs", ambient_pressure="995 mbar").figures["ambient_pressure"].low_value is None


def test_barometer_and_altitude_that_disagree():
    assert not [n for n in work("1 Pa abs", altitude="1000 m", ambient_pressure="900 mbar").notes]
    assert any("differ" in n for n in work("1 Pa abs", altitude="1000 m", ambient_pressure="930 mbar").notes)
    assert any("look alike" in n for n in work("1 Pa abs", altitude="150 m", ambient_pressure="995 mbar").notes)


@pytest.mark.parametrize(
    "reason, given",
    [
        ("below_vacuum", {"reading": "-0.9 bar gauge", "altitude": "2240 m"}),
        ("below_vacuum", {"reading": "-1 Pa abs"}),
        ("below_vacuum", {"reading": "30 inHg below"}),
        ("zero_pressure", {"reading": "0 Pa abs"}),
        ("zero_pressure", {"reading": "-101.325 kPa gauge"}),
        ("zero_pressure", {"reading": "760 torr below"}),
        ("altitude_outside", {"reading": "1 bar gauge", "altitude": "5001 m"}),
        ("altitude_outside", {"reading": "1 bar abs", "altitude": "-431 m"}),
        ("ambient_not_station", {"reading": "1 bar abs", "ambient_pressure": "44.9 kPa"}),
        ("ambient_not_station", {"reading": "1 bar gauge", "ambient_pressure": "111 kPa"}),
        ("ambient_not_station", {"reading": "1 bar abs", "ambient_pressure": "1013 mbar", "altitude": "1600 m"}),
    ],
)
def test_refusals(reason, given):
    answer = calcs.work_out("pressure", given)

    assert answer.refusal.reason == reason and not answer.figures


@pytest.mark.parametrize("altitude", ["5000 m", "-430 m"])
def test_the_ends_of_the_altitudes_are_answered(altitude):
    assert work("1 mbar gauge", altitude=altitude).figures


@pytest.mark.parametrize("reading", ["1e-10 Pa abs", "1001 bar abs", "1e-300 Pa abs"])
def test_what_no_gauge_of_the_trade_shows_is_a_problem(reading):
    with pytest.raises(calcs.Problems):
        work(reading)


def test_the_example():
    answer = calcs.work_out("pressure", calcs.example("pressure"))

    assert pascals(answer) == pytest.approx(99_535 - 28.9 * 3386.389, abs=5)
    assert answer.figures["regime"].text == "rough"
