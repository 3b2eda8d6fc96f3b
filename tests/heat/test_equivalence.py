"""Time against temperature: the dose against a library, the parameters, diffusion, and what is refused."""

from math import exp, log, log10, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import erfinv, exp1

import calcs
from calcs.data import constant
from calcs.heat.equivalence import (
    CREEP,
    DIFFUSION,
    EQUIVALENT,
    FORM,
    TEMPERING,
    diffusivity,
    dose,
    duration_for,
    rate_ratio,
    scaled_exponential_integral,
    stretch_dose,
    time_parameter,
)

R, ZERO = 8.31446261815324, 273.15


def work(use=EQUIVALENT, **changed):
    return calcs.work_out("equivalence", calcs.example("equivalence", use) | changed)


def refusal(use=EQUIVALENT, **changed):
    answer = work(use, **changed)
    assert not answer.figures
    return answer.refusal.reason


def minutes(answer, end=""):
    figure = answer.figures["equivalent_time"]
    return {"": figure.value, "low": figure.low_value, "high": figure.high_value}[end] / 60


# ---------------------------------------------------------------- the dose


def test_the_exponential_integral_against_a_library():
    for x in np.geomspace(1e-6, 600, 400):
        assert scaled_exponential_integral(float(x)) == pytest.approx(np.exp(x) * exp1(x), rel=1e-12)
    assert scaled_exponential_integral(5000.0) == pytest.approx(1 / 5001, rel=1e-6)


@pytest.mark.parametrize("energy", [20e3, 80e3, 150e3, 300e3, 600e3, 900e3])
@pytest.mark.parametrize(
    ("start", "end"), [(293, 573), (293, 1473), (1273, 293), (1000, 1010), (873, 1273), (1200, 1199.9)]
)
def test_a_ramp_against_a_library_s_integral(energy, start, end):
    reference = max(start, end) - 20
    duration = 3600.0

    def rate(t):
        kelvin = start + (end - start) * t / duration
        return exp(-energy / R * (1 / kelvin - 1 / reference))

    knots = [0.9, 0.98] if end > start else [0.02, 0.1]
    exact = quad(rate, 0, duration, points=[duration * x for x in knots], limit=500, epsrel=1e-11)[0]
    assert stretch_dose(start, end, duration, energy / R, reference) == pytest.approx(exact, rel=1e-8)


def test_a_stretch_in_two_is_the_stretch_in_one():
    whole = stretch_dose(300, 1200, 9000, 30000, 1150)
    parts = stretch_dose(300, 900, 6000, 30000, 1150) + stretch_dose(900, 1200, 3000, 30000, 1150)
    assert whole == pytest.approx(parts, rel=1e-12)


def test_heating_and_cooling_count_alike():
    assert stretch_dose(300, 1200, 9000, 30000, 1150) == pytest.approx(stretch_dose(1200, 300, 9000, 30000, 1150))


def test_a_soak_counts_by_the_rate():
    assert stretch_dose(1223.15, 1223.15, 3600, 300e3 / R, 1273.15) / 60 == pytest.approx(18.837, abs=5e-4)
    assert stretch_dose(1000, 1000, 77, 30000, 1000) == pytest.approx(77)
    assert stretch_dose(1000, 1000.02, 77, 30000, 1000) == pytest.approx(77, rel=1e-3)  # across the two formulas


def test_the_short_formula_of_the_books_is_a_few_per_cent_high():
    energy, end, rate = 250e3, 1273.15, 5 / 60
    short = R * end**2 / (energy * rate)
    assert 1.05 < short / stretch_dose(293.15, end, (end - 293.15) / rate, energy / R, end) < 1.1


def test_the_example_by_hand():
    answer = work()
    soak = 45 * exp(-150e3 / R * (1 / 853.15 - 1 / 873.15))
    assert minutes(answer) * (1 - answer.figures["ramp_share"].value) == pytest.approx(soak)
    assert minutes(answer) == pytest.approx(43.675, abs=1e-3)
    assert answer.figures["dose_per_10_k"].value == pytest.approx(exp(150e3 / R * (1 / 873.15 - 1 / 883.15)))


def test_a_log_of_the_programme_is_the_programme():
    rows = [(0, 20), (112, 580), (157, 580), (417, 60)]
    text = " · ".join(f"{t} min {y} °C" for t, y in rows)
    same = work(segments="", log=text)
    assert minutes(same) == pytest.approx(minutes(work()), rel=1e-9)
    assert "ramp_share" not in same.figures
    assert any("pauses" in note for note in same.notes)


def test_the_range_holds_the_value_and_widens_with_the_energy():
    for energy in ("50 kJ/mol", "150 kJ/mol", "500 kJ/mol"):
        answer = work(activation_energy=energy)
        assert minutes(answer, "low") < minutes(answer) < minutes(answer, "high")
    wide = [
        minutes(work(activation_energy=e), "high") / minutes(work(activation_energy=e))
        for e in ("50 kJ/mol", "500 kJ/mol")
    ]
    assert wide[0] < wide[1]


def test_hotter_longer_and_slower_do_more():
    base = minutes(work())
    assert minutes(work(segments="ramp to 590 °C at 5 K/min · soak 45 min · cool to 60 °C at 2 K/min")) > base
    assert minutes(work(segments="ramp to 580 °C at 5 K/min · soak 50 min · cool to 60 °C at 2 K/min")) > base
    assert minutes(work(segments="ramp to 580 °C at 3 K/min · soak 45 min · cool to 60 °C at 2 K/min")) > base
    assert minutes(work(reference_temperature="610 °C")) < base


def test_without_a_reference_it_is_the_peak():
    assert minutes(work(reference_temperature="")) == pytest.approx(minutes(work(reference_temperature="580 °C")))
    assert any("Compared at the peak" in note for note in work(reference_temperature="").notes)


def test_dose_and_ratio_agree():
    corners = [(0.0, 1000.0), (600.0, 1000.0)]
    assert dose(corners, 200e3, 1050.0) == pytest.approx(600 / rate_ratio(200e3, 1000.0, 1050.0))


# ---------------------------------------------------------------- parameters and diffusion


@pytest.mark.parametrize("c", [10.0, 20.0, 25.0])
@pytest.mark.parametrize("hours", [0.01, 1.0, 1e5])
def test_a_parameter_there_and_back(c, hours):
    for kelvin in (500.0, 900.0, 1500.0):
        parameter = time_parameter(kelvin, hours * 3600, c)
        assert parameter == pytest.approx(kelvin * (c + log10(hours)))
        assert duration_for(parameter, kelvin, c) == pytest.approx(hours * 3600)


def test_one_hour_is_the_parameter_over_c():
    answer = work(TEMPERING)
    one_hour = answer.figures["equivalent_temperature"].value
    assert time_parameter(one_hour, 3600.0, 20.0) == pytest.approx(answer.figures["parameter"].value)


def test_tempering_and_creep_share_the_form_but_not_the_cautions():
    tempering, creep = work(TEMPERING), work(CREEP)
    assert tempering.figures["parameter"].value == creep.figures["parameter"].value
    assert [c.word for c in tempering.cautions] == ["NOTICE"] and [c.word for c in creep.cautions] == ["WARNING"]
    assert "equivalent_temperature" not in creep.figures


def test_diffusion_by_hand():
    answer = work(DIFFUSION)
    d = 2.5e-5 * exp(-150e3 / (R * 873.15))
    assert answer.figures["solid_diffusivity"].value == pytest.approx(d)
    assert answer.figures["diffusion_length"].value == pytest.approx(sqrt(d * 1800))
    assert work(DIFFUSION, duration="2 h").figures["diffusion_length"].value == pytest.approx(2 * sqrt(d * 1800))


def test_the_half_depth_is_that_of_the_error_function():
    assert constant("equivalence.half_depth") == pytest.approx(2 * erfinv(0.5), rel=1e-9)
    assert constant("equivalence.euler") == pytest.approx(np.euler_gamma, rel=1e-15)


@pytest.mark.parametrize(
    ("d0", "q", "celsius", "printed"),
    [
        (2.8e-4, 251e3, 500, 3.09e-21), (5.0e-5, 284e3, 1100, 7.87e-16), (2.3e-5, 148e3, 1100, 5.39e-11),
        (2.3e-4, 144e3, 500, 4.30e-14), (2.4e-5, 189e3, 500, 4.09e-18), (6.5e-5, 136e3, 500, 4.21e-14),
    ],
)  # fmt: skip
def test_diffusivities_of_the_textbook_s_table(d0, q, celsius, printed):
    assert diffusivity(d0, q, celsius + ZERO) == pytest.approx(printed, rel=2e-3)


# ---------------------------------------------------------------- refusals and problems


@pytest.mark.parametrize("mode", [EQUIVALENT, DIFFUSION])
def test_no_activation_energy_is_assumed(mode):
    assert refusal(mode, activation_energy="") == "no_activation_energy"


def test_three_hundred_kelvin_from_the_peak_and_not_more():
    for text in ("279.9 °C", "880.1 °C"):
        assert refusal(reference_temperature=text) == "outside_range"
    for text in ("280 °C", "880 °C"):
        assert work(reference_temperature=text).refusal is None
    assert refusal(TEMPERING, second_temperature="299.9 °C") == "outside_range"


def test_a_time_without_meaning_is_refused():
    assert refusal(TEMPERING, second_temperature="310 °C") == "outside_range"
    assert refusal(activation_energy="900 kJ/mol", reference_temperature="300 °C") == "outside_range"


@pytest.mark.parametrize("mode", [TEMPERING, CREEP, DIFFUSION])
def test_a_time_of_zero(mode):
    assert refusal(mode, duration="0 min") == "zero_time"


@pytest.mark.parametrize(
    ("changed", "name"),
    [
        ({"start_temperature": ""}, "start_temperature"),
        ({"segments": ""}, "segments"),
        ({"log": "0 min 20 °C · 5 min 40 °C"}, "log"),
        ({"segments": "", "log": "0 min 20 °C"}, "log"),
        ({"segments": "ramp to 600 °C at 5 K/min · cool to 60 °C"}, "segments"),
        ({"segments": "ramp to 600 °C in 0 min"}, "segments"),
        ({"segments": "", "log": "5 min 20 °C · 5 min 40 °C"}, "log"),
        ({"activation_energy": "19 kJ/mol"}, "activation_energy"),
        ({"activation_energy": "901 kJ/mol"}, "activation_energy"),
    ],
)
def test_what_is_a_problem(changed, name):
    with pytest.raises(calcs.Problems) as caught:
        work(**changed)
    assert name in caught.value.problems


# ---------------------------------------------------------------- the whole answer


def test_units_do_not_matter():
    same = work(activation_energy="35.8508604 kcal/mol", reference_temperature="1112 °F", start_temperature="293.15 K")
    assert minutes(same) == pytest.approx(minutes(work()), rel=1e-6)
    kelvin = work(TEMPERING, duration="0.5 h", load_temperature="873.15 K")
    assert kelvin.figures["parameter"].value == pytest.approx(work(TEMPERING).figures["parameter"].value)


def test_the_sentence_says_what_20_k_cost():
    ratio = exp(150e3 / R * (1 / 853.15 - 1 / 873.15))
    assert f"{ratio:.1f} times the time" in work().sentence


@pytest.mark.parametrize("mode", FORM.modes)
def test_every_picture_shows_the_reader_s_own_point(mode):
    picture = work(mode).pictures[0]
    assert picture.marks[0].label == "yours"


def test_the_contour_keeps_the_effect():
    picture = work().pictures[0]
    for celsius, time in picture.curves[0].points:
        assert log(time * 60) == pytest.approx(log(minutes(work()) * 60 / rate_ratio(150e3, 873.15, celsius + ZERO)))


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(FORM.modes), st.data())
def test_any_text_gives_an_answer_a_problem_or_a_refusal(mode, data):
    name = data.draw(st.sampled_from(sorted(calcs.example("equivalence", mode))))
    try:
        answer = work(mode, **{name: data.draw(st.text(max_size=50))})
    except calcs.Problems as trouble:
        assert trouble.messages
    else:
        assert answer.refusal or answer.sentence


@settings(max_examples=150, deadline=None)
@given(
    st.floats(20, 900), st.floats(20, 3150), st.floats(-300, 300), st.floats(0.01, 60),
    st.floats(1e-3, 1e6), st.floats(10, 25), st.floats(-300, 300),
)  # fmt: skip
def test_any_numbers_give_an_answer_or_a_refusal(energy, peak, off, rate, hours, c, second):
    reference, other = max(peak + off, 0.0), max(peak + second, 0.0)
    answer = work(
        activation_energy=f"{energy:.3f} kJ/mol",
        segments=f"ramp to {peak + 1:.3f} °C at {rate:.3f} K/min · soak 10 min",
        reference_temperature=f"{reference:.3f} °C",
    )  # fmt: skip
    assert answer.refusal or answer.pictures
    for mode in (TEMPERING, CREEP):
        answer = work(
            mode, load_temperature=f"{peak:.3f} °C", duration=f"{hours:.4g} h", parameter_constant=f"{c:.3f}",
            second_temperature=f"{other:.3f} °C",
        )  # fmt: skip
        assert answer.refusal or answer.pictures
    answer = work(
        DIFFUSION,
        activation_energy=f"{energy:.3f} kJ/mol",
        load_temperature=f"{peak:.3f} °C",
        duration=f"{hours:.4g} h",
    )
    assert answer.refusal or answer.pictures
