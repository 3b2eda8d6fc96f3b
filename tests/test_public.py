"""The public interface and the command line: what outsiders build on."""

import json

import pytest

import calcs
from calcs.__main__ import main


def test_the_catalogue_names_every_calculator():
    entries = calcs.catalogue()

    assert [e["name"] for e in entries] == list(calcs.CALCULATORS)
    json.dumps(entries)
    for entry in entries:
        assert entry["question"].endswith("?") and entry["fields"] and entry["figures"] and entry["page"]


def test_the_example_is_typed_text():
    example = calcs.example("purge")

    assert example["free_volume"] == "24 L"
    assert all(isinstance(value, (str, list)) for value in example.values())


def test_a_name_that_does_not_exist():
    with pytest.raises(LookupError):
        calcs.work_out("cheese", {})


def test_figures_are_quantities_with_their_range():
    time = calcs.work_out("purge", calcs.example("purge")).figures["time"]

    assert time.low.m_as("min") < time.quantity.m_as("min") < time.high.m_as("min")


def test_a_figure_knows_who_can_use_it():
    answer = calcs.work_out("purge", calcs.example("purge"))

    assert all(calcs.CALCULATORS[name] for names in answer.feeds.values() for name in names)


@pytest.mark.parametrize(
    "arguments, status",
    [
        ([], 0),
        (["purge"], 0),
        (["purge", "--rest-from-example"], 0),
        (["purge", "free_volume=30 L", "--rest-from-example", "--json"], 0),
        (["purge", "free_volume=two buckets", "--rest-from-example"], 2),
        (["purge", "free_volume"], 2),
        (["cheese"], 2),
        (["purge", "gas=hydrogen", "--rest-from-example"], 3),
        (["checks", "purge"], 0),
    ],
)
def test_the_command_line_ends_with_its_status(arguments, status, capsys):
    assert main(arguments) == status
    assert capsys.readouterr().out


def test_the_command_line_prints_json(capsys):
    main(["purge", "--rest-from-example", "--json"])

    assert json.loads(capsys.readouterr().out)["figures"]["time"]["value"].endswith("min")


def test_an_alternative_replaces_its_example(capsys):
    assert main(["purge", "actual_flow=2 L/min", "--rest-from-example"]) == 0
