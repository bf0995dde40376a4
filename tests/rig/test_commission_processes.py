"""A walk over a real port to a virtual rig in a process of its own, and the command."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from pathlib import Path

import pytest
from patience import PATIENCE_S

from glossbath.board.clock import SteppedClock
from glossbath.board.link import Link
from glossbath.cli.demo import virtual_world
from glossbath.commission import Scripted, Session, Walk

COMMAND = "from glossbath.cli.app import main; main()"


def test_a_walk_through_a_pseudo_terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GLOSSBATH_RIGS", str(tmp_path / "rigs"))
    said: list[str] = []
    script = {"identify": ("no",)}
    with virtual_world(tmp_path / "world", 0.0, "--blank", "--chocolate", "water") as world:
        clock = SteppedClock(world.clock)
        with contextlib.closing(clock), Session(Link(world.port, clock), clock) as session:
            person = Scripted(world.order, said.append, script)
            assert Walk(session, person, "far").run(resume=False), said[-5:]
    assert (tmp_path / "rigs" / "far.html").exists()


def test_the_command_refuses_a_step_that_there_is_not(tmp_path: Path) -> None:
    run = subprocess.run(
        [sys.executable, "-c", COMMAND, "commission", "--virtual", "--again", "paint"],
        env={**os.environ, "GLOSSBATH_RIGS": str(tmp_path)},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
    )
    assert run.returncode == 2
    assert "There is no step 'paint': use identity, inputs" in run.stderr
