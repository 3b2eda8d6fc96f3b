"""Whatever is typed into whatever field: an answer, a problem beside its field, or a refusal. Nothing else."""

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import calcs
from tests.anything import HOSTILE, texts

EACH = [(name, mode) for name in calcs.CALCULATORS for mode in (calcs.calculator(name).FORM.modes or ("",))]

# Modes that the example furnace is not built for: a calculator names them, and their example is a refusal.
REFUSED = [(name, mode) for name, mode in EACH if mode in getattr(calcs.calculator(name), "REFUSED_EXAMPLES", ())]


def outcome(name: str, typed: dict):
    """Return the answer, or None for problems; anything else is a failure."""
    try:
        answer = calcs.work_out(name, typed)
    except calcs.Problems as problems:
        assert problems.messages
        return None
    if answer.refusal:
        assert not answer.figures and answer.refusal.reason
    else:
        assert answer.sentence and answer.verdict in ("within", "close", "outside", "cannot_say")
        for figure in answer.figures.values():
            numbers = [v for v in (figure.value, figure.low_value, figure.high_value) if isinstance(v, float)]
            assert all(math.isfinite(v) for v in numbers), figure.name
            assert figure.text or figure.rows or figure.shown.kind == "table", figure.name
        answer.to_dict()
    return answer


@pytest.mark.parametrize("name, mode", [case for case in EACH if case not in REFUSED], ids=lambda x: x or "one")
def test_the_example_is_answered(name, mode):
    answer = outcome(name, calcs.example(name, mode))

    assert answer is not None and not answer.refusal
    assert answer.leaves_out


@pytest.mark.parametrize("name, mode", REFUSED, ids=lambda x: x or "one")
def test_an_example_that_must_be_refused_is_refused(name, mode):
    answer = outcome(name, calcs.example(name, mode))

    assert answer.refusal and answer.refusal.remedy and answer.refusal.ask


@pytest.mark.parametrize("name, mode", EACH, ids=lambda x: x or "one")
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(data=st.data())
def test_any_text_in_any_field_does_no_harm(name, mode, data):
    typed = calcs.example(name, mode)
    fields = [f.name for f in calcs.calculator(name).FORM.fields if f.asked_in(mode)]
    for field in data.draw(st.lists(st.sampled_from(fields), min_size=1, max_size=3, unique=True)):
        typed[field] = data.draw(texts)

    outcome(name, typed)


@pytest.mark.parametrize("name, mode", EACH, ids=lambda x: x or "one")
def test_hostile_text_in_every_field_is_a_problem_or_a_refusal(name, mode):
    form = calcs.calculator(name).FORM
    for f in form.fields:
        if f.asked_in(mode) and f.kind not in ("text", "log"):
            for text in ("two buckets", "💥", "nan", "9**9**9", "<img src=x onerror=alert(1)>", "1e999"):
                answer = outcome(name, calcs.example(name, mode) | {f.name: text})

                assert answer is None or answer.refusal, (f.name, text)


@pytest.mark.parametrize("name", calcs.CALCULATORS)
def test_an_empty_form_gives_no_number(name):
    answer = outcome(name, {})

    assert answer is None or answer.refusal


def test_the_list_of_hostile_texts_is_hostile():
    assert len(HOSTILE) > 25
