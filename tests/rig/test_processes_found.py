"""Finding, ending and stopping keepers as a person does: real processes, ports and sockets."""

from __future__ import annotations

import contextlib
import json
import os
import pty
import shutil
import socket
import stat
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from patience import PATIENCE_S, until

from glossbath.cli.demo import VirtualKeeper, begin, virtual_keeper
from glossbath.client.launch import answers, connect
from glossbath.client.messages import Reading, Snapshot
from glossbath.client.paths import runtime_folder, socket_path
from glossbath.recipe import dump, load

GLOSSBATH = [sys.executable, "-c", "from glossbath.cli.app import main; main()"]


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """No other test's keepers are in the way."""
    folder = tmp_path / "run"
    monkeypatch.setenv("GLOSSBATH_RUN", str(folder))
    return folder


def typed(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*GLOSSBATH, *words], capture_output=True, text=True, timeout=PATIENCE_S, check=False
    )


@contextlib.contextmanager
def running(tmp_path: Path, hold_s: float = 600.0, **more: object) -> Iterator[VirtualKeeper]:
    """A virtual rig whose cycle heats."""
    with virtual_keeper(50.0, tmp_path / "cycles") as virtual:
        with connect(virtual.rig) as client:
            text = dump(load("dark").with_hold(hold_s))
            begin(client, recipe=text, where="dark", batch_kg=1.0, **more)
            heats = False

            def look() -> bool:
                nonlocal heats
                heats = heats or any(
                    isinstance(m, Reading) and m.heat_share > 0 for m in client.drain()
                )
                return heats

            until(look, lambda: client.wait(0.1))
        yield virtual


def _state(rig: str) -> str:
    with connect(rig) as client:
        client.wait(PATIENCE_S)
        return next(m.state for m in client.drain() if isinstance(m, Snapshot))


def test_stop_finds_the_only_rig_and_says_what_the_board_confirmed(tmp_path: Path) -> None:
    with running(tmp_path) as virtual:
        noted = typed("note", "=1+1")
        assert noted.returncode == 0, noted.stderr
        done = typed("stop", "--json")
        assert json.loads(done.stdout)["confirmed"] is True
        assert done.returncode == 0
        assert "stopped" in json.loads(done.stdout)["text"]
        assert _state(virtual.rig) == "stopped"


def test_of_several_rigs_one_must_be_named_and_all_can_be_stopped(tmp_path: Path) -> None:
    with running(tmp_path / "a") as virtual, _silent_keeper("second") as _:
        asked = typed("stop")
        assert asked.returncode == 2
        assert virtual.rig in asked.stderr and "second" in asked.stderr
        assert typed("hold").returncode == 2
        everything = typed("stop", "--all")
        assert "confirmed the stop" in everything.stdout
        assert "second: " in everything.stderr  # its board never answered
        assert everything.returncode == 3
        assert _state(virtual.rig) == "stopped"


@contextlib.contextmanager
def _silent_keeper(rig: str) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """A keeper at a port where no board answers."""
    far, near = pty.openpty()
    port = os.ttyname(near)
    process = subprocess.Popen(
        [sys.executable, "-m", "glossbath.keeper.serve", rig, "--port", port, "--stay"],
        stderr=subprocess.PIPE,
    )
    try:
        until(lambda: answers(rig), lambda: time.sleep(0.02))
        yield port, process
    finally:
        process.terminate()
        process.communicate(timeout=PATIENCE_S)
        os.close(far)
        os.close(near)


def test_a_stop_that_the_board_did_not_confirm_has_its_own_code() -> None:
    with _silent_keeper("north"):
        done = typed("stop")
        assert done.returncode == 3
        assert "not confirmed" in done.stderr and "press the stop button" in done.stderr
        assert done.stdout == ""


def test_run_refuses_a_rig_that_has_another_board() -> None:
    with _silent_keeper("rig") as (port, _), _port() as other:
        refused = typed("run", "dark", "--port", other)
        assert refused.returncode == 2
        assert port in refused.stderr and other in refused.stderr
        gone = typed("run", "dark", "--port", "/dev/no-such-port")
        assert gone.returncode == 1
        assert "There is no serial port" in gone.stderr


@contextlib.contextmanager
def _port() -> Iterator[str]:
    far, near = pty.openpty()
    try:
        yield os.ttyname(near)
    finally:
        os.close(far)
        os.close(near)


def test_a_second_keeper_at_a_port_says_who_has_it() -> None:
    with _silent_keeper("north") as (port, first):
        second = subprocess.run(
            [sys.executable, "-m", "glossbath.keeper.serve", "south", "--port", port],
            capture_output=True,
            text=True,
            timeout=PATIENCE_S,
            check=False,
        )
        assert second.returncode == 1
        assert "rig 'north'" in second.stderr and str(first.pid) in second.stderr
        assert "6 s" not in second.stderr
        assert not (runtime_folder() / "south.keeper").exists()


def test_a_keeper_is_ended_by_a_command_and_its_port_is_free() -> None:
    with _silent_keeper("north") as (port, process):
        ended = typed("end")
        assert ended.returncode == 0, ended.stderr
        process.wait(PATIENCE_S)
        assert typed("stop").returncode == 1
        with _free(port) as line:
            assert line.is_open


@contextlib.contextmanager
def _free(port: str) -> Iterator[object]:
    import serial

    with serial.Serial(port, exclusive=True) as line:
        yield line


@pytest.mark.parametrize("what", ["socket", "folder"])
def test_a_socket_that_vanished_is_there_again(
    tmp_path: Path, own_folder: Path, what: str
) -> None:
    with running(tmp_path) as virtual:
        if what == "socket":
            socket_path(virtual.rig).unlink()
        else:
            shutil.rmtree(own_folder)
        until(lambda: answers(virtual.rig), lambda: time.sleep(0.05))
        assert stat.S_IMODE(own_folder.stat().st_mode) == 0o700
        done = typed("stop", "--rig", virtual.rig)
        assert done.returncode == 0, done.stderr
        assert _state(virtual.rig) == "stopped"


def test_hundreds_of_idle_clients_do_not_lock_out_the_stop(tmp_path: Path) -> None:
    with running(tmp_path) as virtual, contextlib.ExitStack() as crowd:
        for _ in range(300):
            peer = crowd.enter_context(socket.socket(socket.AF_UNIX))
            peer.connect(str(socket_path(virtual.rig)))
        done = typed("stop", "--rig", virtual.rig)
        assert done.returncode == 0, done.stderr
        assert typed("attach", "--plain", "--rig", virtual.rig).returncode == 0


def test_of_keepers_started_together_one_serves(own_folder: Path) -> None:
    with _port() as port:
        for _ in range(5):
            pair = [
                subprocess.Popen(
                    [sys.executable, "-m", "glossbath.keeper.serve", "twin", "--port", port],
                    stderr=subprocess.PIPE,
                    text=True,
                )
                for _ in range(3)
            ]
            until(lambda: sum(p.poll() is None for p in pair) == 1, lambda: time.sleep(0.02))  # noqa: B023
            (winner,) = [p for p in pair if p.poll() is None]
            until(lambda: answers("twin"), lambda: time.sleep(0.02))
            for loser in pair:
                if loser is not winner:
                    assert loser.communicate()[1].count("\n") == 1
                    assert loser.returncode == 1
            assert answers("twin"), "a loser took the socket away"
            winner.terminate()
            winner.communicate(timeout=PATIENCE_S)
            assert winner.returncode == 0
