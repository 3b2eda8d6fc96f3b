"""The code of a plan: the same for the same inputs, another for others, and it finds a slip of the pen."""

import re

import pytest

from calcs.run import code
from calcs.run.plan import FORM
from tests.run.runs import EXAMPLE, load, plan


def of(**changed):
    return code.plan_code(FORM.read(EXAMPLE | changed), FORM)


def test_its_form():
    assert re.fullmatch(r"[0-9A-HJKMNP-TV-Z]{3}(-[0-9A-HJKMNP-TV-Z]{3}){2}", of())
    assert plan().figures["plan_code"].value == of()


@pytest.mark.parametrize(
    "changed",
    [
        {"free_volume": "0.024 m3"},
        {"free_volume": "24000 cm3"},
        {"soak_temperature": "1112 °F"},
        {"soak_temperature": "873.15 K"},
        {"ramp": "300 K/h"},
        {"soak_time": "1800 s"},
        {"set_point": "1005 mbar abs"},
        {"set_point": "1 kPa gauge"},
        {"leak_rate": "1e-4 Pa m3/s"},
        {"room_volume": "60000 L"},
        {"flow": "2000 mL/min"},
        {"gas": "Ar"},
        {"run_name": "  Copper   strip 14 "},
        {"load": load(mass="2000 g", area="4500 cm2", thickness="0.1 cm")},
    ],
)
def test_other_units_give_the_same_code(changed):
    assert of(**changed) == of()


@pytest.mark.parametrize(
    "changed",
    [
        {"soak_temperature": "601 °C"},
        {"flow": ""},
        {"run_name": "Copper strip 15"},
        {"attended": "no"},
        {"run_date": "2031-03-05"},
        {"load": load(mass="2.001 kg")},
        {"room_volume": ""},
        {"record_revision": "4"},
        {"leak_rate": "1.0001e-3 mbar L/s"},
    ],
)
def test_other_inputs_give_another_code(changed):
    assert of(**changed) != of()


def test_the_version_is_part_of_it(monkeypatch):
    before = of()
    monkeypatch.setattr("calcs.__version__", "9.9.9")
    assert of() != before


def test_a_code_is_read_as_people_write_it():
    plain = of()
    for text in (
        plain,
        plain.lower(),
        plain.replace("-", ""),
        f"  {plain.replace('-', ' ')} ",
        plain.replace("1", "I").replace("0", "o"),
    ):
        assert code.read_code(text) == plain


def test_each_wrong_character_is_found():
    plain = of().replace("-", "")
    for place, right in enumerate(plain):
        for wrong in code.ALPHABET.replace(right, ""):
            with pytest.raises(code.Misread):
                code.read_code(plain[:place] + wrong + plain[place + 1 :])


def test_each_swap_of_two_characters_is_found():
    plain = "7QK2M4HX"
    values = [code.ALPHABET.index(c) for c in plain]
    whole = plain + code.ALPHABET[code.check_value(values)]
    assert code.read_code(whole).replace("-", "") == whole
    for i in range(len(whole)):
        for j in range(i + 1, len(whole)):
            if whole[i] != whole[j]:
                swapped = list(whole)
                swapped[i], swapped[j] = swapped[j], swapped[i]
                with pytest.raises(code.Misread):
                    code.read_code("".join(swapped))


@pytest.mark.parametrize("text", ["", "7QK-2M4", "7QK-2M4-HXUU", "!!!-!!!-!!!", "7QK-2M4-HX3-7QK", "é" * 9])
def test_what_is_no_code(text):
    with pytest.raises(code.Misread):
        code.read_code(text)


def test_a_stopped_plan_has_a_code_too():
    assert plan(closed_void="yes").figures["plan_code"].value == of(closed_void="yes")
