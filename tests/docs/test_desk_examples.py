"""Every example of the chocolate desk's page says what the program says."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from glossbath.cli.app import app
from glossbath.desk import BY_NAME

PAGE = Path(__file__).parents[2] / "host" / "glossbath" / "chocolate" / "README.md"
FENCED = re.compile(r"^```console\n(.*?)^```", re.DOTALL | re.MULTILINE)


def examples() -> list[tuple[str, str]]:
    """Each command of the page with what the page says it answers."""
    found = []
    for fence in FENCED.findall(PAGE.read_text(encoding="utf-8")):
        for part in fence.split("$ ")[1:]:
            command, _, answer = part.partition("\n")
            found.append((command, answer))
    return found


@pytest.mark.parametrize(("command", "answer"), examples(), ids=[c for c, _ in examples()])
def test_an_example_answers_as_the_page_says(
    command: str, answer: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(PAGE.parent)
    program, *words = shlex.split(command)
    assert program == "glossbath"
    result = CliRunner().invoke(app, words)
    assert result.exit_code == 0, result.output
    assert result.output == answer


def test_every_item_of_the_desk_has_an_example() -> None:
    assert {shlex.split(command)[2] for command, _ in examples()} == set(BY_NAME)


def test_the_page_says_that_it_is_invented() -> None:
    assert "**Everything in the examples is invented**" in PAGE.read_text(encoding="utf-8")
