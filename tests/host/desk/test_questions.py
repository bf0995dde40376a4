"""Every question of the desk is declared once: its command and its form take, refuse and answer
the same, whatever is given."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from glossbath.cli.desk import app, option
from glossbath.desk import QUESTIONS
from glossbath.errors import GlossbathError, InputError
from glossbath.forms.fields import Choice, Field, Number, Pair, Parts, YesNo
from glossbath.forms.form import Form
from glossbath.forms.question import Question
from glossbath.forms.signs import Signs

RUNNER = CliRunner()
NAMES = [question.name for question in QUESTIONS]

TYPICAL = {
    "kg": "2", "from_c": "50", "to_c": "40", "at_c": "33", "slab_c": "28", "kept_c": "38",
    "elapsed_s": "2", "rh_share": "55", "room_c": "21", "chocolate_c": "8", "volume": "50",
    "asked_at_s": "200", "thickness": "8", "lot": "A17", "parts": "2@45 1@15", "signs": "dull "
    "soft",
    "file": "nowhere.csv",
}  # fmt: skip
"""Something for every field that has no default, so that one field can be tried at a time."""


PARTS = {"formula": "liquor=6 butter=1 sugar=3", "label": "sugar=43 cocoa-mass=15"}


def typical(question: Question, field: Field) -> str:
    """Something that can be meant for a field."""
    usual = TYPICAL[field.name]
    return PARTS.get(question.name, usual) if field.name == "parts" else usual


def words(question: Question, typed: dict[str, str]) -> list[str]:
    """The command line on which the same is given as in the fields of a form."""
    line, behind = [question.name], []
    for field in question.fields:
        text = typed.get(field.name, "")
        if isinstance(field, YesNo):
            if text in ("yes", "no") and (field.negative or text == "yes"):
                line.append(option(field) if text == "yes" else field.negative)
        elif isinstance(field, (Parts, Signs)):
            behind += text.split()
        elif text and option(field) == field.name.upper():
            behind.append(text)
        elif text:
            line += [option(field), *(text.split(" ", 1) if isinstance(field, Pair) else [text])]
    return [*line, "--json", "--", *behind]


def by_command(question: Question, typed: dict[str, str]) -> Any:
    """What the command answers, or the sentence with which it refuses."""
    result = RUNNER.invoke(app, words(question, typed))
    if result.exit_code == 0:
        return json.loads(result.stdout)
    assert result.exit_code in (1, 2), result.output
    (sentence,) = result.stderr.splitlines()
    return sentence.removeprefix("glossbath: ")


def by_form(question: Question, typed: dict[str, str]) -> Any:
    """What the form answers, or the sentence with which it refuses."""
    form = Form(question)
    for name, text in typed.items():
        form.type(name, text)
    try:
        return json.loads(json.dumps(form.answer().plain()))
    except GlossbathError as error:
        return str(error)


def texts(field: Field) -> st.SearchStrategy[str]:
    """What a person may type into a field, right and wrong."""
    wrong = st.sampled_from(["nan", "inf", "1e9", "much", "31,5", "-5", "92"])
    if isinstance(field, Pair):
        numbers = st.floats(field.low, field.high).map(lambda x: f"{x:.1f}")
        return st.tuples(numbers, numbers | wrong).map(" ".join)
    if isinstance(field, Number):
        return st.floats(field.low, field.high).map(lambda x: f"{x:.2f}") | wrong
    if isinstance(field, Choice):
        return st.sampled_from([*field.words, "purple", field.words[0][:1]])
    if isinstance(field, YesNo):
        return st.sampled_from(["yes", "no"])
    return st.just(TYPICAL.get(field.name, ""))


@pytest.mark.parametrize("question", QUESTIONS, ids=NAMES)
@settings(max_examples=12, deadline=None)
@given(data=st.data())
def test_command_and_form_agree_whatever_is_given(question: Question, data: st.DataObject) -> None:
    typed = {}
    for field in question.on_form:
        drawn = texts(field) if field.name != "parts" else st.just(typical(question, field))
        given_one = drawn if not field.typed and not field.optional else drawn | st.just("")
        text = data.draw(given_one, label=field.name)
        if text:
            typed[field.name] = text
    said, answered = by_command(question, typed), by_form(question, typed)
    if isinstance(answered, str):
        # The command names the option first.
        assert isinstance(said, str)
        assert said.endswith(answered)
    else:
        assert said == answered


def bad_values(field: Number) -> list[str]:
    """Values that no person can mean."""
    step = (field.high - field.low) / 10
    beyond = (f"{field.low - step:.4g}", f"{field.high + step:.5g}")
    values = ("warm", "nan", "inf", "-inf", "1e99", *beyond)
    return [f"{value} {value}" if isinstance(field, Pair) else value for value in values]


NUMBERS = [
    pytest.param(question, field, id=f"{question.name}-{field.name}")
    for question in QUESTIONS
    for field in question.fields
    if isinstance(field, Number)
]


@pytest.mark.parametrize(("question", "field"), NUMBERS)
def test_a_bad_value_is_one_sentence_with_limits_and_unit(
    question: Question, field: Number
) -> None:
    for value in bad_values(field):
        with pytest.raises(InputError) as caught:
            field.read(value)
        sentence = str(caught.value)
        assert sentence.endswith((".", "?"))
        assert field.unit in sentence
        assert f"{field.low:g}" in sentence or "not a window" in sentence
        assert "nan" in value or value.split()[0] in sentence or "1e+9" in sentence
    typed = {one.name: typical(question, one) for one in question.fields if not one.has_default}
    said = by_command(question, {**typed, field.name: value})
    assert said == f"{option(field)}: {sentence}"


@pytest.mark.parametrize("question", QUESTIONS, ids=NAMES)
def test_the_ends_of_a_field_s_limits_are_taken(question: Question) -> None:
    for field in question.fields:
        if type(field) is Number:
            assert field.read(f"{field.low:.6g}") == pytest.approx(field.low)
            assert field.read(f"{field.high:.6g}") == pytest.approx(field.high)


@pytest.mark.parametrize("question", QUESTIONS, ids=NAMES)
def test_a_default_reads_back_as_itself(question: Question) -> None:
    for field in question.fields:
        if field.typed:
            read = field.read(field.typed)
            if isinstance(read, float):
                assert math.isclose(read, field.default, rel_tol=1e-5)
            else:
                assert read == field.default


@pytest.mark.parametrize("question", QUESTIONS, ids=NAMES)
def test_the_help_has_every_field_with_its_limits(question: Question) -> None:
    shown = RUNNER.invoke(app, [question.name, "--help"], env={"COLUMNS": "200"}).stdout
    for field in question.fields:
        assert option(field).strip("-").lower() in shown.lower()
        if type(field) is Number and not field.note:
            assert field.hint().removesuffix(", or empty") in shown
