"""The program as a person runs it: processes, sockets, signals, exit codes."""

from __future__ import annotations

import json
import os
import signal
import stat
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from patience import PATIENCE_S, until

from glossbath.cli.demo import VirtualKeeper, begin, virtual_keeper
from glossbath.client.client import KeeperClient
from glossbath.client.launch import connect, start_keeper
from glossbath.client.messages import Alarm, Reading, Snapshot
from glossbath.client.paths import socket_path
from glossbath.recipe import dump, load
from glossbath.record import open_cycle


def _glossbath(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", "from glossbath.cli.app import main; main()", *words],
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
    )


def _begin(virtual: VirtualKeeper) -> tuple[KeeperClient, str]:
    client = connect(virtual.rig)
    folder = begin(client, recipe=dump(load("dark").with_hold(60)), where="dark", batch_kg=1.0)
    _until(client, lambda message: isinstance(message, Reading) and message.heat_share > 0)
    return client, folder


def _until(client: KeeperClient, wanted) -> object:
    found: list[object] = []

    def look() -> bool:
        found.extend(message for message in client.drain() if wanted(message))
        return bool(found)

    until(look, lambda: client.wait(0.1))
    return found[0]


def test_whole_cycle_through_the_command_line(tmp_path: Path) -> None:
    done = _glossbath("demo", "--json", "--hold", "2", "--out", str(tmp_path))
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["result"] == "complete"
    assert told["virtual"] is True
    assert told["recipe"] == "dark" or told["recipe"] == "Dark"
    assert told["trips"] == []
    assert [phase["name"] for phase in told["phases"]] == [
        "melt",
        "soak",
        "cool",
        "reheat",
        "hold",
    ]
    assert "VIRTUAL" in done.stderr.upper()
    shown = _glossbath("log", "show", told["folder"], "--json")
    assert json.loads(shown.stdout) == told
    listed = _glossbath("log", "list", "--folder", str(tmp_path), "--json")
    assert [cycle["folder"] for cycle in json.loads(listed.stdout)["cycles"]] == [told["folder"]]


def test_screen_that_is_killed_leaves_the_cycle_running(tmp_path: Path) -> None:
    with virtual_keeper(100.0, tmp_path) as virtual:
        client, _ = _begin(virtual)
        words = "from glossbath.cli.app import main; main()"
        screen = subprocess.Popen(
            [sys.executable, "-c", words, "attach", "--rig", virtual.rig, "--plain"],
            stdout=subprocess.PIPE,
        )
        assert screen.stdout is not None
        assert screen.stdout.readline()
        screen.kill()
        screen.wait()
        screen.stdout.close()
        later = _until(client, lambda message: isinstance(message, Reading))
        after = _until(client, lambda m: isinstance(m, Reading) and m.time_s > later.time_s + 60)
        assert after.state == "running"
        client.close()


def test_keeper_that_is_killed_ends_in_a_latched_trip(tmp_path: Path) -> None:
    with virtual_keeper(50.0, tmp_path) as virtual:
        client, folder = _begin(virtual)
        virtual.keeper.send_signal(signal.SIGKILL)
        virtual.keeper.wait()
        client.close()
        assert open_cycle(folder).summary()["result"] == "cut short"
        clock = Path(virtual.port).parent / "clock"
        again = start_keeper(virtual.rig, virtual.port, tmp_path, clock=clock, speed=50.0)
        try:
            with connect(virtual.rig) as second:
                told: list[Alarm] = []

                def alarmed(message: object) -> bool:
                    if isinstance(message, Alarm):
                        told.append(message)
                    if isinstance(message, Snapshot):
                        told.extend(message.alarms)
                    return any(alarm.state == "latched" for alarm in told)

                _until(second, alarmed)
                assert {alarm.code for alarm in told if alarm.state == "latched"} == {"lease"}
        finally:
            again.terminate()
            again.wait()


@pytest.mark.parametrize("told", [signal.SIGHUP, signal.SIGTERM, signal.SIGINT])
def test_keeper_that_is_told_to_end_stops_the_rig(tmp_path: Path, told: signal.Signals) -> None:
    """A terminal that closes, a computer that shuts down, Ctrl-C."""
    with virtual_keeper(100.0, tmp_path) as virtual:
        client, folder = _begin(virtual)
        virtual.keeper.send_signal(told)
        virtual.keeper.wait(PATIENCE_S)
        client.close()
        summary = open_cycle(folder).summary()
        assert summary["result"] == "stopped"
        assert not socket_path(virtual.rig).exists()


def test_a_virtual_cycle_has_the_date_on_which_it_was_begun(tmp_path: Path) -> None:
    """However far ahead virtual time has run while the rig stood idle."""
    with virtual_keeper(1000.0, tmp_path) as virtual:
        client = connect(virtual.rig)

        def hours_ahead(message: object) -> bool:
            if not isinstance(message, Reading):
                return False
            return datetime.fromisoformat(message.wall) > datetime.now(UTC) + timedelta(hours=1)

        _until(client, hours_ahead)
        folder = begin(client, recipe=dump(load("dark")), where="dark", batch_kg=1.0)
        client.request("stop")
        _until(client, lambda message: isinstance(message, Snapshot) and bool(message.result))
        client.close()
        assert [event.code for event in open_cycle(folder).events() if "clock" in event.code] == []
        ahead = datetime.fromisoformat(open_cycle(folder).summary()["started"]) - datetime.now(UTC)
        assert abs(ahead) < timedelta(minutes=10)


def test_stop_from_another_terminal(tmp_path: Path) -> None:
    with virtual_keeper(100.0, tmp_path) as virtual:
        client, folder = _begin(virtual)
        done = _glossbath("stop", "--rig", virtual.rig, "--json")
        assert json.loads(done.stdout)["ok"]
        _until(client, lambda m: isinstance(m, Snapshot) and m.result == "stopped")
        client.close()
        assert open_cycle(folder).summary()["result"] == "stopped"


def test_socket_is_private_and_a_second_keeper_is_refused(tmp_path: Path) -> None:
    with virtual_keeper(10.0, tmp_path) as virtual:
        path = socket_path(virtual.rig)
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
        refused = subprocess.run(
            [sys.executable, "-m", "glossbath.keeper.serve", virtual.rig, "--port", "/dev/null"],
            capture_output=True,
            text=True,
            timeout=PATIENCE_S,
        )
        assert refused.returncode == 1
        assert "runs already" in refused.stderr
        listed = json.loads(_glossbath("rigs", "--json").stdout)["rigs"]
        assert [(rig["rig"], rig["answers"], rig["virtual"]) for rig in listed] == [
            (virtual.rig, True, True)
        ]


BAD = {
    "no-toml": "phases = [",
    "empty": "",
    "upside-down": "window_c = [29, 28]",
    "too-hot": "target_c = 70",
}


@pytest.mark.parametrize("case", list(BAD))
def test_bad_recipe_is_refused_before_anything_heats(tmp_path: Path, case: str) -> None:
    text = dump(load("dark"))
    bad = BAD[case]
    if "=" in bad and case != "no-toml":
        key = bad.split(" =")[0]
        lines = text.splitlines()
        at = next(number for number, line in enumerate(lines) if line.startswith(key))
        lines[at] = bad
        bad = "\n".join(lines)
    file = tmp_path / "bad.toml"
    file.write_text(bad)
    for command in (["run", str(file), "--port", "/dev/null"], ["demo", "--recipe", str(file)]):
        done = _glossbath(*command)
        assert done.returncode == 2
        assert done.stderr.count("\n") == 1
        assert str(file) in done.stderr or "bad.toml" in done.stderr
    assert not list(Path(os.environ["XDG_RUNTIME_DIR"]).glob("glossbath/*.keeper"))
