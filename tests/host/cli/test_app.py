"""The command line as a whole: how it is started, and completion as the library ships it."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from patience import PATIENCE_S
from typer.testing import CliRunner


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "glossbath", *words],
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
    )


def test_the_package_runs_as_the_command_does():
    done = run("recipe", "list")
    assert done.returncode == 0, done.stderr
    assert "dark" in done.stdout


def test_a_wrong_command_is_one_sentence():
    done = run("temper")
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1, done.stderr


def test_a_shell_can_be_told_the_commands():
    done = run("--show-completion", "bash")
    assert done.returncode == 0, done.stderr
    assert "complete" in done.stdout


def test_the_version_is_the_firmwares_and_the_packages():
    from glossbath_board.version import VERSION

    done = run("--version")
    assert (done.returncode, done.stdout) == (0, f"glossbath {VERSION}\n")
    built = subprocess.run(
        [sys.executable, "-m", "hatchling", "metadata", "version"],
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        cwd=Path(__file__).parents[3],
    )
    if built.returncode == 0:  # where the build tool is installed
        assert built.stdout.strip() == VERSION


def commands() -> list[tuple[str, ...]]:
    """Every command of the program, and every group, as words."""
    from glossbath.cli.app import app

    def below(command: Any, words: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        yield words
        for name, one in getattr(command, "commands", {}).items():
            yield from below(one, (*words, name))

    return list(below(typer.main.get_command(app), ()))


@pytest.mark.parametrize("words", commands(), ids=" ".join)
def test_help_names_values_in_a_persons_words(words: tuple[str, ...]):
    """A switch takes no value, and nobody knows what a <str> is."""
    from glossbath.cli.app import app

    shown = CliRunner().invoke(app, [*words, "--help"])
    assert shown.exit_code == 0, shown.output
    assert "--help" in shown.output
    assert not re.search(r"<(bool|str|int|float|path)>", shown.output), shown.output


def test_an_installation_can_be_looked_at_before_there_is_a_board():
    done = run("install", "--dry-run")
    assert done.returncode == 0, done.stderr
    assert "would write main.py" in done.stdout
    assert "glossbath_board/supervisor.mpy" in done.stdout
    refused = run("install")
    assert (refused.returncode, refused.stdout) == (2, "")
    assert "glossbath install auto" in refused.stderr


@pytest.mark.parametrize(
    ("words", "exit_code"),
    [
        ("log show nosuch --json", 1),
        ("run nosuch --json", 2),
        ("desk heat --kg x --from 1 --to 2 --json", 2),
        ("run dark --batch much --json", 2),
    ],
)
def test_a_program_that_asks_for_json_gets_its_refusal_as_json(words: str, exit_code: int):
    done = run(*words.split())
    answer = json.loads(done.stdout)
    assert answer["exit_code"] == exit_code == done.returncode
    assert done.stderr == f"glossbath: {answer['error']}\n"
