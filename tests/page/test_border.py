"""The border between a page and Python: plain data in, plain data out, nothing typed becomes markup."""

import json

import pytest

import calcs
from calcs.page import respond
from calcs.page.addresses import Links
from calcs.page.form import form_html, split_unit
from tests.html_check import Checked

SCRIPT = "<img src=x onerror=alert(1)>"
EACH = [(name, mode) for name in calcs.CALCULATORS for mode in (calcs.calculator(name).FORM.modes or ("",))]


def asked(name="purge", **typed):
    return respond({"do": "work_out", "calculator": name, "inputs": calcs.example(name) | typed, "touched": []})


@pytest.mark.parametrize("name, mode", EACH)
def test_the_example_is_answered_in_plain_data(name, mode):
    reply = respond({"do": "work_out", "calculator": name, "inputs": calcs.example(name, mode), "touched": []})

    if mode in getattr(calcs.calculator(name), "REFUSED_EXAMPLES", ()):
        assert reply["state"] == "refused" and "figures" not in reply["html"]
        return
    assert reply["state"] == "answered"
    assert json.loads(json.dumps(reply, allow_nan=False)) == json.loads(json.dumps(reply))
    assert "still example values" in reply["html"]
    assert Checked(reply["html"]).elements


@pytest.mark.parametrize("name", calcs.CALCULATORS)
def test_the_form_is_well_formed_and_every_box_has_a_name(name):
    html = Checked(form_html(name, Links()))
    labels = {label.get("for") for label in html.of("label")}
    ids = [attributes["id"] for _, attributes in html.elements if "id" in attributes]

    assert len(ids) == len(set(ids))
    for box in html.of("input", "select"):
        assert box.get("aria-label") or box.get("id") in labels or box.get("type") == "radio", box


def test_problems_come_all_at_once_without_a_result():
    reply = asked(free_volume="two buckets", gas_oxygen=SCRIPT)

    assert reply["state"] == "problems" and reply["html"] == ""
    assert set(reply["problems"]) == {"free_volume", "gas_oxygen"}
    assert "There are 2 problems" in reply["summary"]


def test_typed_markup_stays_text():
    reply = asked(gas_oxygen=SCRIPT)

    assert "<img" not in reply["summary"]
    assert "&lt;img" in reply["summary"]


def test_a_doubtful_comma_offers_its_readings():
    assert asked(duration="1,500 min")["problems"]["duration"]["options"] == ["1500 min", "1.5 min"]


def test_a_refusal_shows_no_figure():
    reply = asked(gas="hydrogen")

    assert reply["state"] == "refused"
    assert "figures" not in reply["html"] and "copy" not in reply


def test_one_field_is_read_back():
    reply = respond(
        {"do": "read", "calculator": "purge", "field": "free_volume", "input": {"text": "0,5 m3", "unit": "L"}}
    )

    assert "0.5" in reply["read"] and reply["typed_unit"]


def test_an_unreadable_field_is_not_complained_of_while_typing():
    reply = respond(
        {"do": "read", "calculator": "purge", "field": "free_volume", "input": {"text": "two", "unit": "L"}}
    )

    assert reply["read"] == ""


def test_the_copy_is_short_and_says_what_it_leaves_out():
    copy = asked()["copy"]

    assert copy.count("\n") < 25
    assert "Leaves out:" in copy and copy.startswith("ATM-02")


def test_the_csv_opens_in_a_spreadsheet():
    import csv
    import io

    rows = list(csv.reader(io.StringIO(asked()["csv"])))

    assert rows[0][:4] == ["name", "label", "value", "unit"]
    assert float(next(r for r in rows if r and r[0] == "time")[2]) > 0


@pytest.mark.parametrize("text", ["=1+1", "+cmd", "-x", "@SUM(A1)"])
def test_no_cell_of_the_csv_is_run(text):
    from calcs.page.export import guarded

    assert guarded(text).startswith("'")
    assert guarded("-5.2") == "-5.2"


def test_untouched_examples_are_counted():
    touched = respond(
        {"do": "work_out", "calculator": "purge", "inputs": calcs.example("purge"), "touched": ["gas", "flow"]}
    )

    assert "13 of 15 inputs are still example values" in touched["html"]


@pytest.mark.parametrize("name", calcs.CALCULATORS)
def test_the_example_in_the_boxes_is_the_example(name):
    form = calcs.calculator(name).FORM
    for f in form.fields:
        if isinstance(f.example, str) and f.example and f.menu_units:
            number, unit = split_unit(f, f.example)
            assert number, f.name
            assert unit in {"", *(u.name for u in f.menu_units)}
