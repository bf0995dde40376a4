"""glossbath recipe show as a person types it. The windows: common practice, no source."""

from __future__ import annotations

import json

import pytest
from typer.testing import CliRunner

from glossbath.cli.app import app


def shown(*words: str) -> str:
    answer = CliRunner().invoke(app, ["recipe", "show", "dark", *words])
    assert answer.exit_code == 0, answer.output
    return answer.output


@pytest.mark.parametrize(
    ("words", "cool"),
    [
        ((), "28.5 °C, window 28.0 to 29.0"),
        # 28.5 °C are 83.3 °F, 28 and 29 °C are 82.4 and 84.2 °F, by hand.
        (("--fahrenheit",), "83.3 °F, window 82.4 to 84.2"),
    ],
)
def test_a_recipe_is_shown_with_its_windows_and_where_they_come_from(
    words: tuple[str, ...], cool: str
) -> None:
    head, *lines = shown(*words).splitlines()
    assert head == "Dark, version 1: dark chocolate"
    assert [line.split()[0] for line in lines[:5]] == ["melt", "soak", "cool", "reheat", "hold"]
    assert cool in lines[2]
    assert any("common practice, no source" in line for line in lines[5:])
    assert lines[-1] == "It is built in, or the file you named."


def test_a_recipe_is_shown_to_a_program_in_its_own_numbers() -> None:
    told = json.loads(shown("--json", "--fahrenheit"))
    assert told["file"] == ""
    cool = told["recipe"]["phases"][2]
    assert (cool["name"], cool["window"]) == ("cool", {"low_c": 28.0, "high_c": 29.0})
