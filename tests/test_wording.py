import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs import wording


@pytest.mark.parametrize(
    "value, digits, towards, text",
    [
        (199.04, 3, "near", "199"),
        (199.04, 3, "up", "200"),
        (0.2418, 2, "down", "0.24"),
        (1013.25, 5, "near", "1013.2"),
        (12345.0, 3, "up", "12\u202f400"),
        (0.000133, 2, "near", "1.3 × 10⁻⁴"),
        (-0.5, 2, "near", "−0.50"),
        (0.1 + 0.2, 1, "up", "0.3"),
        (2.5e7, 2, "near", "2.5 × 10⁷"),
        (99.96, 3, "up", "100"),
        (0.0, 3, "near", "0"),
    ],
)
def test_numbers_are_written_with_their_digits(value, digits, towards, text):
    assert wording.number(value, digits, towards) == text


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_never_written(value):
    with pytest.raises(ValueError):
        wording.number(value)


@given(st.floats(min_value=1e-12, max_value=1e12), st.integers(1, 5))
def test_rounding_up_never_gives_less_and_down_never_more(value, digits):
    up, down = wording.rounded_to(value, digits, "up"), wording.rounded_to(value, digits, "down")

    assert float(down) <= value * (1 + 1e-10)
    assert float(up) >= value * (1 - 1e-10)


@pytest.mark.parametrize(
    "seconds, towards, text",
    [
        (45, "near", "45 s"),
        (14160, "near", "3 h 56 min"),
        (14161, "up", "3 h 57 min"),
        (14159, "down", "3 h 55 min"),
        (5 * 86400 + 3600, "near", "5 d 1 h"),
        (0, "near", "0 s"),
    ],
)
def test_times_are_said_the_way_people_say_them(seconds, towards, text):
    assert wording.duration(seconds, towards).replace("\u00a0", " ") == text


def test_a_typed_number_gets_no_digits_added():
    assert [wording.plain_number(x) for x in (20.0, 0.1, 1e-7, 12345.0)] == ["20", "0.1", "1 × 10⁻⁷", "12\u202f345"]


def test_lists_and_counts_read_as_sentences():
    assert wording.listed(["a"]) == "a"
    assert wording.listed(["a", "b", "c"]) == "a, b and c"
    assert wording.count(1, "cycle").replace("\u00a0", " ") == "1 cycle"
    assert wording.count(3, "cycle").replace("\u00a0", " ") == "3 cycles"
