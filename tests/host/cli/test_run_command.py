"""glossbath run before anything runs: the port that was named, and a keeper that is gone."""

from __future__ import annotations

import json
import socket
from pathlib import Path

import pytest
from click.testing import Result
from patience import PATIENCE_S
from typer.testing import CliRunner

from glossbath.cli.app import app
from glossbath.cli.demo import wait_for_board
from glossbath.client.client import KeeperClient
from glossbath.errors import KeeperError
from glossbath.thermal.model import RigModel, save_model

from ..screens.fake_keeper import FakeKeeper, reading, snapshot


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of sockets."""
    monkeypatch.setenv("GLOSSBATH_RUN", str(tmp_path))
    monkeypatch.setenv("GLOSSBATH_MODELS", str(tmp_path / "models"))
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


@pytest.mark.parametrize("last", ["", "The port was taken away."])
def test_a_keeper_that_ends_before_its_board_answers_says_why(folder: Path, last: str) -> None:
    keeper = FakeKeeper(folder / "rig.keeper", [snapshot(engine="")])
    if last:
        (folder / "rig.log").write_text(f"Looking for the board.\n{last}\n", encoding="utf-8")
    with KeeperClient(keeper.path) as client:
        client.wait(PATIENCE_S)
        keeper.hang_up()
        with pytest.raises(KeeperError) as gone:
            wait_for_board(client)
    keeper.close()
    assert str(gone.value) == (last or client.closed_reason) != ""


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


@pytest.mark.parametrize(("words", "in_temper"), [([], False), (["--in-temper"], True)])
def test_where_the_chocolate_is_goes_with_the_start_of_a_remelt(
    folder: Path, words: list[str], in_temper: bool
) -> None:
    keeper = FakeKeeper(folder / "rig.keeper", [snapshot()])
    try:
        CliRunner().invoke(app, ["run", "dark", "--remelt", *words, "--detach"])
        asked = keeper.asked()
        said = (asked.op, asked.values["remelt"], asked.values["in_temper"])
        assert said == ("start", True, in_temper)
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


COLD = {"state": "idle", "phase": "", "bath_c": 24.0, "body_c": 24.0}


def started(folder: Path, room_c: float | None, *words: str) -> Result:
    """A start of a dark cycle on a rig that stands idle in that room."""
    messages = [snapshot(history=[]), reading(0.0, 24.0, room_c=room_c, **COLD)]
    keeper = FakeKeeper(folder / "rig.keeper", messages)
    keeper.values = {"folder": "/cycles/one"}
    try:
        result = CliRunner().invoke(app, ["run", "dark", "--detach", *words])
        asked = keeper.asked()
        assert asked.op == "start"
        said = {
            name for name in ("ice_kg", "tap_c", "room_c") if asked.values.get(name) is not None
        }
        assert said == {f"{word[2:]}_{'kg' if word == '--ice' else 'c'}" for word in words
                        if word in ("--ice", "--tap", "--room")}  # fmt: skip
        return result
    finally:
        keeper.close()


def test_what_will_not_be_reached_is_said_before_the_start(folder: Path) -> None:
    said = started(folder, 33.0, "--ice", "0", "--tap", "28").output
    assert "This cannot be reached: the cooling needs 29 °C." in said
    assert "There is no ice in the chill water of 28 °C, and the room has 33 °C." in said
    assert "What would help: about " in said and " kg of ice in the chill water" in said
    assert said.index("What would help") < said.index("runs on rig")
    in_f = started(folder, 33.0, "--ice", "0", "--tap", "82.4", "--fahrenheit").output
    assert "the cooling needs 84.2 °F." in in_f and "the room has 91.4 °F" in in_f


def test_the_plan_is_there_for_programs(folder: Path) -> None:
    made = json.loads(started(folder, 33.0, "--ice", "0", "--tap", "28", "--json").stdout)
    assert made["out_of_reach"] == "cool"
    assert 2.0 < made["ice_needed_kg"] < 6.0
    assert made["plan"][0].startswith("This cannot be reached")
    well = json.loads(started(folder, 20.0, "--ice", "3", "--tap", "12", "--json").stdout)
    assert (well["out_of_reach"], well["plan"][0].split(":")[0]) == ("", "3 kg of ice will do")


def test_a_room_without_a_sensor_may_be_said(folder: Path) -> None:
    said = started(folder, None, "--ice", "0", "--tap", "28", "--room", "33").output
    assert "the room has 33 °C" in said
    guessed = started(folder, None, "--ice", "0", "--tap", "35").output
    assert "33 °C" not in guessed


def test_a_rig_without_a_bucket_is_not_asked_for_ice(folder: Path) -> None:
    save_model("rig", RigModel(chill_w_per_k=0.0))
    said = started(folder, 33.0).output
    assert "This rig has no chill bucket" in said and "kg of ice" not in said
    assert "leave the ice out" in started(folder, 20.0, "--ice", "2").output


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--ice", "500"), "ice in the bucket must be between 0 and 20 kg, not 500"),
        (("--ice", "-1"), "ice in the bucket must be between 0 and 20 kg"),
        (("--ice", "nan"), "ice in the bucket must be between 0 and 20 kg"),
        (("--tap", "68"), "if that is 68 °F, enter 20.0 °C"),
        (("--room", "inf"), "room must be between 0 and 50 °C"),
        (("--tap", "14", "--fahrenheit"), "tap water must be between 32 and 104 °F"),
    ],
)
def test_a_kitchen_that_there_is_not_is_refused_before_anything_starts(
    words: tuple[str, ...], why: str
) -> None:
    result = CliRunner().invoke(app, ["run", "dark", *words])
    said = result.stderr or str(result.exception)
    assert result.exit_code == 2
    assert why in said and len(said.strip().splitlines()) == 1
