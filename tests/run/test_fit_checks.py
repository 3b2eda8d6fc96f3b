"""The checks of the plan on materials: what the furnace record answers, and what only a person can."""

from tests.run.runs import load, mixture, plan, stops


def check(name, **changed):
    return plan(**changed).checks[name]


def test_the_example_is_within():
    answer = plan()

    assert {name: answer.checks[name]["verdict"] for name in ("TMP-2", "FIT-1", "FIT-2", "FIT-9")} == {
        "TMP-2": "within", "FIT-1": "within", "FIT-2": "within", "FIT-9": "within"
    }  # fmt: skip
    assert "700" in answer.checks["TMP-2"]["message"] and not stops(answer)


def test_the_record_says_whether_the_elements_were_oxidised():
    assert check("TMP-2", elements_pre_oxidised="yes")["verdict"] == "within"
    denied = check("TMP-2", elements_pre_oxidised="no")
    assert denied["verdict"] == "cannot_say" and "FeCrAl" in denied["message"]


def test_the_element_is_judged_hotter_than_the_chamber():
    """NiCr in argon ends at 1150 °C: chamber and difference together reach it."""
    changed = {"element_material": "NiCr", "soak_temperature": "1045 °C"}

    assert check("TMP-2", **changed, element_difference="100 K")["verdict"] == "within"
    assert check("TMP-2", **changed, element_difference="105 K")["verdict"] == "outside"


def test_the_highest_temperature_of_the_record_answers_for_the_class_of_the_fibre():
    assert check("FIT-2", soak_temperature="1000 °C")["verdict"] == "within"


def test_pumped_hot_the_vacuum_speaks_too():
    """Type K may not stay in vacuum above 600 °C, and the sensor is read as hot as the chamber is pumped."""
    hot = {"sensor": "type K", "soak_temperature": "650 °C", "load": load(touches="alumina")}

    assert "F110" not in check("FIT-1", **hot, pumped_temperature="20 °C")["message"]
    stopped = check("FIT-1", **hot, pumped_temperature="650 °C")
    assert stopped["verdict"] == "outside" and "F110" in stopped["message"]


def test_the_gas_itself_is_left_to_its_own_check():
    answer = plan(**mixture("argon 95 % · hydrogen 5 %"), built_for_flammable_gas="yes")

    assert answer.checks["ATM-2"]["verdict"] == "cannot_say"
    assert answer.checks["FIT-2"]["verdict"] == "close" and "F239" not in answer.checks["FIT-2"]["message"]


def test_a_name_of_nobody_is_signed_for():
    held = check("FIT-9", load=load(material="mystery metal"))

    assert held["severity"] == "hold" and "mystery metal" in held["message"].lower()
    assert "signs" in held["remedy"]


def test_materials_that_melt_together_stop_the_run():
    answer = plan(load=load(material="titanium", touches="nickel"), soak_temperature="900 °C")

    assert "FIT-1" in stops(answer) and "F197" in answer.checks["FIT-1"]["message"]
