"""A maker who thinks in °F asks and is answered in °F, and gets the same advice."""

from __future__ import annotations

import json
from typing import Any

import pytest
from typer.testing import CliRunner

from glossbath.cli.desk import app, option
from glossbath.desk import BY_NAME
from glossbath.forms.fahrenheit import in_fahrenheit, said
from glossbath.forms.fields import Number, Pair
from glossbath.forms.form import Form

from .test_commands import SUMS, WORK

RUNNER = CliRunner()


def fahrenheit(celsius: str) -> str:
    return repr(float(celsius) * 9 / 5 + 32)  # NIST SP 811, B.8


def translated(line: str) -> list[str]:
    """A command line with its temperatures in °F."""
    name, *words = line.split()
    pairs = {option(f): 2 if isinstance(f, Pair) else 1 for f in BY_NAME[name].fields
             if isinstance(f, Number) and f.unit == "°C"}  # fmt: skip
    left = 0
    for at, word in enumerate(words):
        if left:
            words[at], left = fahrenheit(word), left - 1
        elif name == "mix" and "@" in word:
            kg, celsius, *cp = word.split("@")
            words[at] = "@".join((kg, fahrenheit(celsius), *cp))
        left = left or pairs.get(word, 0)
    return [name, *words, "--fahrenheit"]


def told(words: list[str]) -> dict[str, Any]:
    result = RUNNER.invoke(app, [*words, "--json"])
    assert result.exit_code == 0, result.output
    values: dict[str, Any] = json.loads(result.stdout)
    return values


def near(one: Any, other: Any) -> bool:
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(near(one[name], other[name]) for name in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(near, one, other))
    return bool(one == other or pytest.approx(one, rel=1e-3, abs=1e-3) == other)


@pytest.mark.parametrize("line", [*SUMS, *WORK])
def test_the_advice_is_the_same_in_other_degrees(line: str) -> None:
    in_c, in_f = told(line.split()), told(translated(line))
    sentences = in_f.pop("sentences")
    assert sentences == [said(sentence) for sentence in in_c.pop("sentences")]
    assert "°C" not in " ".join(sentences).replace("°C/min", "")
    assert near(in_c, in_f)


@pytest.mark.parametrize(
    ("celsius", "in_f"),
    [
        ("Melt at 46 to 50 °C; sources range over 45 to 55 °C.",
         "Melt at 114.8 to 122 °F; sources range over 113 to 131 °F."),
        ("The temperature fell by 2.2 °C where 1.2 to 4.8 °C was expected.",
         "The temperature fell by 4 °F where 2.2 to 8.6 °F was expected."),
        ("It swings by 12 °C: bloomed at the third cycle of 20 and 33 °C.",
         "It swings by 21.6 °F: bloomed at the third cycle of 68 and 91.4 °F."),
        ("Windows are moved by -0.5 °C because", "Windows are moved by -0.9 °F because"),
        ("Sources disagree by about 2 °C on it.", "Sources disagree by about 3.6 °F on it."),
        ("The expected fall of 0.10 °C is less than the noise of 0.20 °C",
         "The expected fall of 0.2 °F is less than the noise of 0.4 °F"),
        ("A freezer of -18 °C", "A freezer of -0.4 °F"),
        ("a slope of -0.06 ± 0.03 °C/min at 22.4 °C",
         "a slope of -0.06 ± 0.03 °C/min at 72.3 °F"),
    ],
)  # fmt: skip
def test_temperatures_and_their_differences_are_told_apart(celsius: str, in_f: str) -> None:
    assert said(celsius) == in_f


def test_what_is_out_of_limits_is_refused_in_the_same_degrees() -> None:
    result = RUNNER.invoke(app, ["hold", "--at", "30", "--fahrenheit"])
    assert result.exit_code == 2
    assert "between 32 and 176 °F, not 30 °F" in str(result.output) + str(result.exception)


def test_a_form_is_filled_from_the_rig_in_the_persons_degrees() -> None:
    form = Form(in_fahrenheit(BY_NAME["hold"]))
    form.fill({"chocolate_c": "30.5", "work": "30 31"})
    assert form.typed["at_c"] == "86.9"
    assert form.typed["work"] == "86 87.8"
    assert form.fields[0].title == "Chocolate now, °F"
    assert form.answer().values["action"] == "use"


def test_a_decimal_comma_is_read_the_same_in_form_and_command() -> None:
    form = Form(BY_NAME["hold"])
    form.type("at_c", "30,5")
    form.type("work", "30,1 31,2")
    words = ["hold", "--at", "30,5", "--work", "30,1", "31,2"]
    assert told(words)["sentences"] == form.answer().sentences
    assert told(["mix", "2,5@48,5", "3@15"]) == told(["mix", "2.5@48.5", "3@15"])
    label = ["label", "sugar=43,5", "cocoa-mass=43.4"]
    assert told(label)["ingredients"] == ["sugar", "cocoa mass"]
    assert told(["formula", "liquor=6@9,5", "sugar=3@1,2"]) == told(
        ["formula", "liquor=6@9.5", "sugar=3@1.2"]
    )
