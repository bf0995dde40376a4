"""The command line as a whole: how it is started, and completion as the library ships it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from patience import PATIENCE_S


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
