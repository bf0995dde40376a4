"""All rigs of this computer in rows, over real sockets. The rigs are invented."""

from __future__ import annotations

import socket
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from patience import until

from glossbath.client.messages import Message
from glossbath.view.overview import Overview, RigRow
from glossbath.words import Degrees

from ..screens.fake_keeper import TRIP, WARM_ROOM, FakeKeeper, reading, snapshot

Add = Callable[..., FakeKeeper]


@pytest.fixture
def add(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Add]:
    """Adds a keeper of a rig that says these messages."""
    monkeypatch.setenv("GLOSSBATH_RUN", str(tmp_path))
    made: list[FakeKeeper] = []

    def keeper(rig: str, *messages: Message) -> FakeKeeper:
        made.append(FakeKeeper(tmp_path / f"{rig}.keeper", list(messages)))
        return made[-1]

    yield keeper
    for fake in made:
        fake.close()


@pytest.fixture
def overview() -> Iterator[Overview]:
    made = Overview()
    yield made
    made.close()


def looked(overview: Overview, enough: Callable[[list[RigRow]], bool]) -> list[RigRow]:
    """Look until the rows are as wanted."""
    rows: list[RigRow] = []

    def look() -> bool:
        rows[:] = overview.look(0.0)
        return enough(rows)

    def pause() -> None:
        for client in list(overview._clients.values()):
            client.wait(0.02)

    until(look, pause)
    return rows


def text(row: RigRow, fahrenheit: bool = False) -> str:
    return "".join(piece for piece, _ in row.line(Degrees(fahrenheit)))


def test_no_rig_is_an_empty_list(add: Add, overview: Overview) -> None:
    assert overview.look(0.0) == []


def test_every_rig_with_what_it_does(add: Add, overview: Overview) -> None:
    add("left", snapshot(alarms=[WARM_ROOM, TRIP]), reading())
    add("right", snapshot(virtual=False, state="idle", recipe="", history=[]))
    rows = looked(overview, lambda rows: all(row.answers for row in rows) and len(rows) == 2)
    rows = looked(overview, lambda rows: rows[0].chocolate_c == 31.4)
    assert text(rows[0]).split("  ")[0] == "left"
    for words in (" VIRTUAL ", "RUNNING", "Dark 60 %", "31.4 °C", "cool", "▲ 2 alarms"):
        assert words in text(rows[0])
    for words in ("right", "real", "IDLE", "--.- °C", "no alarms"):
        assert words in text(rows[1])
    assert "88.5 °F" in text(rows[0], fahrenheit=True)
    assert len(text(rows[0])) <= 78


def test_a_rig_that_changes_is_followed(add: Add, overview: Overview) -> None:
    keeper = add("left", snapshot(), reading())
    looked(overview, lambda rows: rows[0].answers)
    keeper.say(reading(2531.0, 28.4, phase="reheat", phase_index=3))
    rows = looked(overview, lambda rows: rows[0].phase == "reheat")
    assert rows[0].chocolate_c == 28.4


def test_a_keeper_that_ends_does_not_answer_and_one_that_returns_does(
    add: Add, overview: Overview
) -> None:
    keeper = add("left", snapshot(), reading())
    looked(overview, lambda rows: rows[0].answers)
    keeper.close()
    assert looked(overview, lambda rows: not rows) == []
    add("left", snapshot(), reading())
    looked(overview, lambda rows: rows[0].answers)


def test_a_socket_that_was_left_behind_does_not_answer(
    add: Add, overview: Overview, tmp_path: Path
) -> None:
    with socket.socket(socket.AF_UNIX) as dead:
        dead.bind(str(tmp_path / "left.keeper"))
        dead_too = socket.socket(socket.AF_UNIX)
        dead_too.bind(str(tmp_path / "virtual-77.keeper"))
        dead_too.close()
    [row] = overview.look(0.0)
    assert text(row) == "left           no answer: its keeper has gone or is busy"


def test_stop_reaches_the_rig_that_is_meant(add: Add, overview: Overview) -> None:
    left, right = add("left", snapshot(), reading()), add("right", snapshot(), reading())
    looked(overview, lambda rows: all(row.answers for row in rows) and len(rows) == 2)
    assert overview.stop("right") == "stop was sent to right"
    assert right.asked().op == "stop"
    assert left.requests.empty()
    assert overview.stop("middle").startswith("Use the stop button at the rig")


def test_looking_asks_for_nothing(add: Add, overview: Overview) -> None:
    keeper = add("left", snapshot(), reading())
    looked(overview, lambda rows: rows[0].answers)
    assert keeper.requests.empty()


def test_a_long_name_and_a_strange_priority_break_nothing() -> None:
    row = RigRow("a-rig-with-a-name-as-long-as-may-be", True, recipe="x" * 40, chocolate_c=30.0)
    assert len(text(row)) <= 78
