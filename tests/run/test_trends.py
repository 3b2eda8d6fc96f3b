"""From run to run: no direction without enough records, the right one with them, and one line for each file left out."""

import csv
import io
import itertools
import json
import random
import re

import pytest

import calcs
from calcs.page import respond
from calcs.run import trends
from tests.html_check import Checked
from tests.run.runs import EXAMPLE as PLAN

RECORD = calcs.example("record")
FEW = re.compile("<figcaption>[^<]*too few to tell a direction from chance")


def file(
    day: int, rise="0.006 mbar; flattening", pumped="0.09 mbar; 22 min", after="98 bar gauge", furnace="HS-1", **more
):
    """Return a record file of a run on one day of March."""
    typed = PLAN | {"run_date": f"2031-03-{day:02d}", "furnace_id": furnace}
    rows = [dict(row) for row in RECORD["actuals"]]
    rows[6]["actual"], rows[3]["actual"] = rise, pumped
    inputs = RECORD | {
        "plan_file": json.dumps({"format": "furnace-run", "version": 1, "inputs": typed}),
        "plan_code": calcs.work_out("plan", typed).figures["plan_code"].value,
        "actuals": rows, "cylinder_pressure_after": after, **more,
    }  # fmt: skip
    inputs = {name: value for name, value in inputs.items() if value != ""}
    reply = respond({"do": "work_out", "calculator": "record", "inputs": inputs, "touched": list(inputs)})
    assert reply["state"] == "answered", reply
    return {"name": reply["file_name"], "text": reply["file"]}


def said(files) -> dict:
    runs, _ = trends.read_all([(f["name"], f["text"]) for f in files])
    return {trend.name: trend for trend in trends.trends(runs)}


def test_what_is_read_from_a_record():
    run = trends.read("x", file(4)["text"])

    assert run.rise == pytest.approx(0.6 / 600)  # 0.006 mbar in the ten minutes of the test
    assert run.time == 22 * 60 and run.gas == pytest.approx(1.1, rel=1e-3)
    assert run.deviations == 2 and run.day.isoformat() == "2031-03-04" and run.furnace == "HS-1"


@pytest.mark.parametrize(
    ("reading", "rate"),
    [("0.007 mbar in", None), ("0.006 mbar; 5 min", 0.6 / 300), ("0.001 mbar/min", 0.1 / 60), ("flattening", None),
     ("0 mbar", None), ("0.6 Pa; 20 min; flattening", 0.6 / 1200)],
)  # fmt: skip
def test_a_rise_is_read_as_it_is_written(reading, rate):
    run = trends.read("x", file(4, rise=reading)["text"])

    assert run.rise is None if rate is None else run.rise == pytest.approx(rate)


def test_minutes_count_only_where_the_pressure_was_reached():
    assert trends.read("x", file(4, pumped="0.3 mbar; 60 min")["text"]).time is None
    assert trends.read("x", file(4, pumped="0.09 mbar")["text"]).time is None


def test_three_records_are_too_few_and_the_page_says_so():
    reply = respond({"do": "trends", "files": [file(d, rise=f"0.00{d} mbar") for d in (4, 5, 6)]})

    assert reply["runs"] == 3 and len(FEW.findall(reply["html"])) == 4
    assert "What it can mean" not in reply["html"]
    assert Checked(reply["html"]).elements and reply["html"].count("<svg") == 4


def test_six_rising_records_are_a_direction_with_its_meaning():
    found = said([file(d, rise=f"0.0{10 + d} mbar", pumped=f"0.09 mbar; {10 + d} min", after=f"{110 - d} bar gauge")
                  for d in range(1, 7)])  # fmt: skip

    for name in ("rise", "time", "gas"):
        assert found[name].direction == "up" and "rises" in found[name].sentence and found[name].todo, name
    assert found["deviations"].direction == "none"


def test_the_order_of_the_files_does_not_matter():
    files = [file(d, rise=f"0.0{10 + d} mbar") for d in range(1, 6)]

    assert said(files)["rise"].sentence == said(files[::-1])["rise"].sentence


def test_falling_gas_is_news_as_well():
    found = said([file(d, after=f"{100 + d} bar gauge") for d in range(1, 6)])["gas"]

    assert found.direction == "down" and "lets air in" in found.todo


def test_a_doubled_last_value_is_named_with_few_records():
    found = said([file(4, rise="0.005 mbar"), file(5, rise="0.005 mbar"), file(6, rise="0.011 mbar")])["rise"]

    assert found.direction == "few" and "2.2 times the middle" in found.sentence and "VAC-07" in found.todo


def test_what_no_record_says_is_said_with_how_to_get_it():
    found = said([file(4, rise="flattening", after="")])

    assert found["rise"].direction == "nothing" and "0.007 mbar in 10 min" in found["rise"].todo
    assert found["gas"].direction == "nothing"


def test_files_left_out_are_named():
    plan = {"name": "plan.json", "text": RECORD["plan_file"]}
    opened = file(7, closed_by="", result="")
    newer = {"name": "new.json", "text": '{"format": "record-of-run", "version": 9}'}
    reply = respond({"do": "trends", "files": [file(4), plan, opened, newer, {"name": "<b>", "text": "{"}, file(4)]})

    assert reply["runs"] == 1
    for words in ("saved plan", "not closed yet", "newer page", "&lt;b&gt;: The file is damaged", "the same run"):
        assert words in reply["html"], words


def test_two_furnaces_stand_apart():
    reply = respond({"do": "trends", "files": [file(4), file(5, furnace="HS-2"), file(6, furnace="HS-2")]})

    assert "Furnace HS-1: 1" in reply["html"] and "Furnace HS-2: 2" in reply["html"]


def test_the_later_version_of_one_run_counts():
    first = file(4)
    found = respond({"do": "open_record", "text": first["text"]})
    typed = {"plan_file": first["text"], "plan_code": found["plan_code"], **found["inputs"], "change_reason": "misread",
             "cylinder_pressure_after": "90 bar gauge"}  # fmt: skip
    second = respond({"do": "work_out", "calculator": "record", "inputs": typed, "touched": list(typed)})["file"]
    runs, left = trends.read_all([("b", second), ("a", first["text"])])

    assert [run.number for run in runs] == [2] and len(left) == 1 and left[0].startswith("a:")


def test_the_csv_has_as_many_fields_in_each_line():
    text = respond({"do": "trends", "files": [file(4), file(5, rise="flat", furnace='=HS, "1"')]})["csv"]
    rows = list(csv.reader(io.StringIO(text, newline="")))

    assert len(rows) == 3 and len({len(row) for row in rows}) == 1  # RFC 4180, 2.4
    assert text.count("\r\n") == 3 and ['\'=HS, "1"'] == [rows[1][1]]


# ---------------------------------------------------------------- chance


@pytest.mark.parametrize("n", [4, 5, 6, 9, 20])
def test_the_share_of_chance_agrees_with_the_library(n):
    from scipy.stats import kendalltau

    shuffled = list(range(n))
    for seed in range(12):
        random.Random(seed).shuffle(shuffled)
        _, chance = trends.order(shuffled)

        assert chance == pytest.approx(kendalltau(range(n), shuffled, method="exact").pvalue, rel=1e-9)


def test_ties_are_judged_with_caution():
    from scipy.stats import kendalltau

    for values in itertools.product((1, 2, 3), repeat=6):
        rising, chance = trends.order(values)
        exact = sum(
            abs(trends.order(other)[0]) >= abs(rising) for other in itertools.permutations(values)
        ) / 720 if values in ((1, 1, 2, 2, 3, 3), (1, 2, 2, 3, 3, 3), (1, 1, 1, 2, 2, 3)) else None  # fmt: skip
        assert 0 < chance <= 1
        if exact is not None:
            assert chance >= exact - 1e-12
            assert kendalltau(range(6), values).statistic > 0


def test_four_in_order_are_too_few_and_five_are_enough():
    assert trends.order([1, 2, 3, 4]) == (6, pytest.approx(2 / 24))
    assert trends.order([5, 4, 3, 2, 1]) == (-10, pytest.approx(2 / 120))
    assert [trends.direction(list(range(n))) for n in range(7)] == ["nothing", *["few"] * 4, "up", "up"]
    assert trends.direction([1, 2, 1, 2, 1]) == "none"
