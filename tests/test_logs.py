"""Logs in every common shape: what is read, what is asked instead of guessed, and long ones in slices."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import logs
from calcs.log_cells import Trouble, day_numbers, decimal_sign, number
from calcs.log_heads import read_heads
from calcs.page.border import respond

ZERO = 273.15
ROWS = [(0, 20.5, 1006.0), (60, 25.25, 1005.5), (120, 31.0, 1006.25)]


def file(mark=",", decimal=".", head="time (s){0}chamber (°C){0}pressure (mbar abs)", rows=ROWS) -> str:
    lines = [head.format(mark)] + [mark.join(f"{v:g}".replace(".", decimal) for v in row) for row in rows]
    return "\n".join(lines) + "\n"


def celsius(log, role="temperature"):
    return [v - ZERO for v in log.first(role).values]


def reason(text) -> str:
    with pytest.raises(Trouble) as caught:
        logs.read(text)
    assert caught.value.why and caught.value.heading
    return caught.value.reason


@pytest.mark.parametrize(
    ("mark", "decimal"), [(",", "."), (";", "."), (";", ","), ("\t", ","), ("\t", "."), ("|", ",")]
)
def test_separators_and_decimal_signs(mark, decimal):
    log = logs.read(file(mark, decimal))

    assert list(log.times) == [0, 60, 120]
    assert celsius(log) == pytest.approx([20.5, 25.25, 31.0])
    assert list(log.first("pressure").values) == pytest.approx([100600, 100550, 100625])
    assert log.first("pressure").sense == "absolute"


@pytest.mark.parametrize(
    "before",
    ["\ufeff", "# written by hand\n", "Run 7; with, commas\n\nOperator A. Example\n", "Channel\tValue\n\n", "1\n"],
)
def test_byte_order_mark_comments_and_heading_lines(before):
    assert celsius(logs.read(before + file())) == pytest.approx([20.5, 25.25, 31.0])


def test_line_ends_of_every_system():
    for end in ("\n", "\r\n", "\r"):
        assert len(logs.read(file().replace("\n", end))) == 3


def test_a_second_line_of_units():
    log = logs.read("Time;Chamber;Load 1;Load 2;Power\nmin;°C;°C;°C;kW\n0;20;20;21;0\n1;25;22;23;2,5\n")

    assert log.times[1] == 60 and len(log.all("load_temperature")) == 2 and log.first("power").values[1] == 2500


def test_quoted_cells_and_missing_ones():
    log = logs.read('time (min),"chamber, control (°C)",note\n0,20.5,"a, ""b"""\n1,,"c"\n2,----,\n3,"22",x\n4,OL,y\n')

    assert celsius(log) == pytest.approx([20.5, 22]) and log.left_out == 3


@pytest.mark.parametrize(
    ("unit", "value", "kelvin"),
    [("°C", "20", 293.15), ("degC", "20", 293.15), ("C", "20", 293.15), ("°F", "68", 293.15), ("F", "68", 293.15),
     ("K", "293.15", 293.15)],
)  # fmt: skip
@pytest.mark.parametrize(
    "head", ["chamber ({})", "chamber [{}]", "chamber/{}", "chamber {}", "chamber in {}", "T_chamber_{}"]
)
def test_units_of_temperature(unit, value, kelvin, head):
    log = logs.read(f"time (s),{head.format(unit)}\n0,{value}\n1,{value}\n")

    assert log.first("temperature").values[0] == pytest.approx(kelvin)


@pytest.mark.parametrize(
    ("unit", "pascal", "sense"),
    [("mbar abs", 100, "absolute"), ("mbar gauge", 100, "gauge"), ("mbarg", 100, "gauge"), ("Pa abs", 1, "absolute"),
     ("kPa", 1000, ""), ("torr", 133.322368, ""), ("psia", 6894.757, "absolute"), ("psig", 6894.757, "gauge"),
     ("hPa", 100, ""), ("mbar rel", 100, "gauge"), ("bar(a)", 1e5, "absolute")],
)  # fmt: skip
def test_units_of_pressure(unit, pascal, sense):
    column = logs.read(f"time (s);chamber (°C);pressure [{unit}]\n0;20;1\n1;20;1\n").first("pressure")

    assert column.values[0] == pytest.approx(pascal, rel=1e-6) and column.sense == sense


def test_other_columns_with_their_units():
    log = logs.read(
        "t (min),T (°C),set point (°C),flow (mL/min),O2 (ppm),power (kW),valve\n0,20,20,500,3,1.5,on\n1,20,20,500,3,1.5,on\n"
    )

    assert log.first("flow").values[0] == pytest.approx(500e-6 / 60)
    assert log.first("oxygen").values[0] == pytest.approx(3e-6)
    assert log.first("power").values[0] == 1500 and log.first("set").values[0] == pytest.approx(293.15)


@pytest.mark.parametrize(
    ("names", "roles"),
    [
        ("Zeit [min];Isttemperatur [°C];Solltemperatur [°C];Druck [mbar abs]", "time temperature set pressure"),
        ("temps (s);consigne (°C);four (°C);débit (L/min)", "time set temperature flow"),
        ("Timestamp;PV (°C);SP (°C);Out (%)", "time temperature set output"),
        ("time (s);TC1 (°C);TC2 (°C);chamber TC (°C)", "time other-temperature other-temperature temperature"),
        ("t/s;T/K;p/Pa", "time temperature pressure"),
        ("time (s);shell temperature (°C);chamber (°C);high limit (°C)", "time other-temperature temperature other"),
        ("Date;Time;load TC (°C)", "date time temperature"),
    ],
)
def test_what_headings_mean(names, roles):
    found = [head.role for head in read_heads(names.split(";"))]

    assert found == [role.replace("-", " ") for role in roles.split()]


# ---------------------------------------------------------------- time


@pytest.mark.parametrize(
    ("head", "first", "second", "seconds"),
    [
        ("time (min)", "0", "1.5", 90), ("elapsed h", "0,0", "0,5", 1800), ("t/s", "5", "15", 10), ("Minutes", "1", "2", 60),
        ("time", "0 min", "2 min", 120), ("time", "0:00:00", "0:00:30", 30), ("time", "23:59:50", "00:00:20", 30),
        ("time (h:mm)", "0:59", "1:00", 60), ("time (mm:ss)", "0:59", "1:00", 1), ("time", "11:59:59 PM", "12:00:09 AM", 10),
        ("time", "10:00:00.25", "10:00:01.75", 1.5), ("time", "2026-11-25 10:00", "2026-11-25 10:01", 60),
        ("time", "2026-11-25T23:00:00Z", "2026-11-26T00:30:00+01:00", 1800), ("time", "25.11.2026 23:59:00", "26.11.2026 00:01:00", 120),
        ("time", "11/25/2026 23:59", "11/26/2026 0:01", 120), ("time", "25/11/2026 23:59", "26/11/2026 0:01", 120),
        ("time", "03/04/2026 10:00", "03/04/2026 10:30", 1800), ("time", "03/04/2026 23:59", "04/04/2026 00:01", 120),
        ("time", "03/04/2026 23:59", "03/05/2026 00:01", 120), ("time", "2026/04/03 23:59", "2026/04/04 00:01", 120),
        ("time", "25-Nov-2026 10:00:00", "25-Nov-2026 10:00:10", 10), ("time", "28.02.2028 23:00:00", "29.02.2028 01:00:00", 7200),
    ],
)  # fmt: skip
def test_times_as_they_are_written(head, first, second, seconds):
    log = logs.read(f"{head};T (°C)\n{first};20\n{second};21\n")

    assert log.times[1] == pytest.approx(seconds)


def test_date_and_time_in_two_columns_over_two_midnights():
    rows = [("30.12.2026", "23:59:00"), ("31.12.2026", "00:01:00"), ("01.01.2027", "00:01:00")]
    log = logs.read("Date;Time;T (°C)\n" + "".join(f"{d};{t};20\n" for d, t in rows))

    assert list(log.times) == [0, 120, 120 + 86400] and log.clock


@pytest.mark.parametrize(
    ("first", "second", "head"),
    [("10:59", "11:00", "time"), ("0", "1", "time"), ("03/04/2026 10:00", "05/07/2026 10:00", "time"),
     ("03-04-26 10:00", "05-07-26 10:00", "time"), ("31/11/2026 10:00", "32/11/2026 10:00", "time")],
)  # fmt: skip
def test_a_time_that_can_mean_two_things_is_asked(first, second, head):
    assert reason(f"{head};T (°C)\n{first};20\n{second};21\n") == "time_unreadable"


def test_the_order_of_days():
    assert day_numbers(["01/02/2026", "01/03/2026"])[1] - day_numbers(["01/02/2026", "01/03/2026"])[0] == 1
    assert day_numbers(["12.01.2026", "13.01.2026"])[1] - day_numbers(["12.01.2026", "13.01.2026"])[0] == 1


def test_rows_that_do_not_go_on_are_left_out_and_a_clock_set_back_is_kept_in_mind():
    log = logs.read(
        "time;T (°C)\n2026-10-25 02:59:00;20\n2026-10-25 02:59:00;21\n2026-10-25 02:00:00;22\n2026-10-25 03:00:00;23\n"
    )

    assert list(log.times) == [0, 60] and log.left_out == 2 and log.set_back_s == 3540


# ---------------------------------------------------------------- numbers


@pytest.mark.parametrize(
    ("cell", "decimal", "value"),
    [("1.023,5", ",", 1023.5), ("1,234.5", None, 1234.5), ("0,50", None, 0.5), ("−5", None, -5.0), ("1e2", ".", 100.0),
     ("1 234,5", ",", 1234.5), ("1.234.567", None, 1234567), ("12,5", None, 12.5), ("1,234", ",", 1.234), ("1.234", ".", 1.234),
     ("0,125", None, 0.125), ("x", None, None), ("", None, None), ("1_0", None, None), ("1,2,3", None, None)],
)  # fmt: skip
def test_numbers(cell, decimal, value):
    assert number(cell, decimal) == value


def test_the_decimal_sign_of_a_file():
    assert (
        decimal_sign(["1,234", "0,5"]) == "," and decimal_sign(["12.5", "3"]) == "." and decimal_sign(["1,234"]) is None
    )
    assert decimal_sign(["1.234"]) == "." and decimal_sign(["12,5", "12.5"]) is None


def test_a_comma_is_told_from_the_rest_of_the_file():
    log = logs.read("time (min);T (°C)\n0;20,5\n1;1,234\n")

    assert celsius(log)[1] == pytest.approx(1.234)


@pytest.mark.parametrize("cells", [("1,234", "1,235"), ("20.5", "1,234"), ("20,5", "1.234")])
def test_an_ambiguous_number_is_asked_with_its_row(cells):
    text = "time (min);T (°C)\n" + "".join(f"{i};{cell}\n" for i, cell in enumerate(cells))

    assert reason(text) == "number_ambiguous"


# ---------------------------------------------------------------- what cannot be told


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", "empty_log"), ("time (min);T (°C)\n", "empty_log"), ("time (min);T (°C)\nx;y\n", "empty_log"),
        ("1\n2\n3", "one_column"), ("time (min) T\n1 2\n3 4\n", "one_column"), ("a,b\n1,2\n3,4", "no_time"),
        ("5,20\n6,30", "no_heading"), ("time (min),temp\n0,20\n1,21", "unit_unknown"),
        ("time (min),T (°C),pressure\n0,20,5\n1,21,5", "unit_unknown"), ("time (min),valve\n0,5\n1,6", "no_temperature"),
        ("0 min 20 °C\nnonsense", "row_unreadable"),
    ],
)  # fmt: skip
def test_what_cannot_be_told_is_said(text, expected):
    assert reason(text) == expected


def test_a_switch_or_a_word_without_unit_is_no_reading():
    assert len(logs.read("time (min),T (°C),heater on,pressure ok\n0,20,0,yes\n1,21,1,yes\n").columns) == 1


def test_rows_and_lines():
    rows = [{"time": "0 min", "temperature": "20 °C", "pressure": "10 mbar gauge"},
            {"time": {"text": "1", "unit": "min"}, "temperature": "68 °F", "pressure": "5 mbar below"}]  # fmt: skip
    lines = "0 min 20 °C 10 mbar gauge · 1 min 20 °C 5 mbar below"

    for given_ in (rows, lines):
        log = logs.read(given_)
        assert list(log.first("pressure").values) == [1000, -500] and celsius(log) == pytest.approx([20, 20])
    assert reason([{"time": "0 min", "colour": "red"}]) == "row_unreadable"
    assert reason([{"time": "0", "temperature": "20 °C"}]) == "row_unreadable"
    assert reason([]) == "empty_log"


# ---------------------------------------------------------------- slices


def send(text: str, size: int = 1000, **more) -> dict:
    token, reply = "", {}
    for at in range(0, max(len(text), 1), size):
        reply = respond({"do": "log_part", "token": token, "text": text[at : at + size], "name": "run.csv", "start": "abc",
                         "size": len(text), "done": at + size, "last": at + size >= len(text), **more})  # fmt: skip
        token = reply.get("token", "")
        if "reference" in reply or "gone" in reply:
            break
    return reply


def test_slices_give_the_same_as_the_whole():
    text = file(";", ",", rows=[(10 * i, 20 + math.sin(i) / 3, 1006 + i % 3) for i in range(3000)])
    whole = logs.read(text)
    for size in (257, 1000, 10_000_000):
        reply = send(text, size)
        kept = logs.read(reply["reference"])

        assert kept.times == whole.times and kept.first("temperature").values == whole.first("temperature").values
    assert (
        "3000\u00a0rows" in reply["reference"]
        and "run.csv" in reply["reference"]
        and "pressure in mbar absolute" in reply["say"]
    )


def test_progress_is_said_and_cancel_lets_go():
    text = file(rows=[(i, 20, 1006) for i in range(5000)])
    reply = respond(
        {
            "do": "log_part",
            "token": "",
            "text": text[:20_000],
            "name": "a",
            "start": "s",
            "size": 40_000,
            "done": 20_000,
        }
    )

    assert "rows, 50\u00a0%" in reply["say"] and "reference" not in reply
    assert respond({"do": "log_part", "stop": True})["say"].startswith("Cancelled after ")
    assert respond({"do": "log_part", "token": reply["token"], "text": "1,2,3"})["gone"]


def test_a_line_of_a_log_that_is_gone_says_so():
    first = send(file())["reference"]
    send(file())

    assert reason(first) == "gone"
    logs.forget()
    assert reason("Log kept in memory: run.csv, 3 rows [abc1]") == "gone"


def test_a_log_that_cannot_be_read_says_why_when_it_is_asked_for():
    reply = send("time,T (°C)\n0,20\n1,21\n")

    assert "not readable" in reply["reference"] and reason(reply["reference"]) == "time_unreadable"


def test_too_many_rows_and_too_large_a_file(monkeypatch):
    assert "not readable" in send("time (s),T (°C)\n", size=10**9, last=True)["reference"]  # a head alone
    reply = respond(
        {"do": "log_part", "token": "", "text": "", "name": "x", "start": "s", "size": 61_000_000, "done": 1}
    )
    assert reason(reply["reference"]) == "too_large"
    monkeypatch.setattr(logs, "MOST_ROWS", 100)
    assert reason(file(rows=[(i, 20, 1006) for i in range(101)])) == "too_large"
    assert len(logs.read(file(rows=[(i, 20, 1006) for i in range(100)]))) == 100
    assert reason(" · ".join(f"{i} min 20 °C" for i in range(101))) == "too_large"


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet="0123456789.,;:|\t\n\"'-+eT °CminK()/ abc", max_size=200))
def test_any_text_is_a_log_or_a_trouble(text):
    try:
        log = logs.read(text)
    except Trouble as trouble:
        assert trouble.why
    else:
        assert len(log) >= 1 and all(math.isfinite(t) for t in log.times)
        assert all(a < b for a, b in zip(log.times, log.times[1:], strict=False))


def test_a_record_needs_the_file_itself_for_its_hash():
    import calcs

    reference = send(file())["reference"]
    with pytest.raises(calcs.Problems) as caught:
        calcs.work_out("record", calcs.example("record") | {"log": reference})

    assert "needs the file itself" in caught.value.messages["log"]
