"""glossbath run before anything runs: the port that was named, and a keeper that is gone."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest
from typer.testing import CliRunner

from glossbath.cli.app import app

from ..screens.fake_keeper import FakeKeeper, reading, snapshot


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of sockets."""
    monkeypatch.setenv("GLOSSBATH_RUN", str(tmp_path))
    return tmp_path


def refused(*words: str) -> str:
    result = CliRunner().invoke(app, list(words))
    assert result.exit_code == 1, result.output
    assert len(result.stderr.splitlines()) == 1
    return result.stderr


@pytest.mark.parametrize("port", ["nowhere", "notes.txt", "."])
def test_a_port_that_is_none_is_told_and_leaves_no_keeper_behind(folder: Path, port: str) -> None:
    (folder / "notes.txt").write_text("no port")
    said = refused("run", "dark", "--port", str(folder / port))
    assert "There is no serial port" in said
    assert sorted(path.name for path in folder.iterdir()) == ["notes.txt"]


def test_a_keeper_that_was_killed_does_not_stand_in_the_way(folder: Path) -> None:
    with socket.socket(socket.AF_UNIX) as left:
        left.bind(str(folder / "rig.keeper"))  # nobody listens there any more
    said = refused("run", "dark", "--port", str(folder / "nowhere"))
    assert "There is no serial port" in said


@pytest.mark.parametrize("hold", ["-1", "0", "840", "nan"])
def test_a_hold_that_no_board_gives_is_refused_in_minutes(hold: str) -> None:
    result = CliRunner().invoke(app, ["demo", "--hold", hold])
    assert result.exit_code != 0
    assert "more than 0 and less than 840 min" in result.stderr


@pytest.mark.parametrize("minutes", ["-1", "721", "much"])
def test_a_hold_alone_beyond_the_boards_ceiling_is_refused(minutes: str) -> None:
    result = CliRunner().invoke(app, ["run", "dark", "--alone", minutes])
    assert result.exit_code == 2
    assert "alone" in str(result.exception or result.stderr).lower() + result.stderr.lower()


def test_the_choice_of_a_hold_alone_goes_with_the_start(folder: Path) -> None:
    keeper = FakeKeeper(folder / "rig.keeper", [snapshot()])
    try:
        CliRunner().invoke(app, ["run", "dark", "--alone", "30", "--detach"])
        asked = keeper.asked()
        assert (asked.op, asked.values["alone_min"]) == ("start", 30)
    finally:
        keeper.close()


def test_damp_air_is_reported_before_the_start(folder: Path) -> None:
    """30 °C at 85 % has its dew point near 27.2 °C (Magnus): above the bath's lowest."""
    damp = reading(state="idle", phase="", room_c=30.0, room_rh_percent=85.0)
    keeper = FakeKeeper(folder / "rig.keeper", [snapshot(history=[]), damp])
    try:
        result = CliRunner().invoke(app, ["run", "dark", "--detach"])
        assert keeper.asked().op == "start"
        assert "The room's dew point is 27." in result.output
        assert "keep drops off the chocolate" in result.output
        result = CliRunner().invoke(app, ["run", "dark", "--detach", "--fahrenheit"])
        assert "The room's dew point is 81 °F" in result.output
    finally:
        keeper.close()
