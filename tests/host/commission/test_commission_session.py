"""The walk's own line to a board: who may steer it, how long is waited, and that leaving stops."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from stand_in_board import STEP_MS

from glossbath.commission import Session
from glossbath.errors import LinkError, OrderRefused

from .passing_line import BEGAN_MS, Line, Passing


@pytest.fixture
def line() -> Line:
    return Line()


@pytest.fixture
def session(line: Line) -> Session:
    return Session(line, Passing(line))  # type: ignore[arg-type]


def _s(session: Session) -> float:
    return (session.now_ms - BEGAN_MS) / 1000


def test_a_board_that_answers_is_met_at_once(session: Session) -> None:
    session.meet()
    assert session.hello["id"] == "00"
    assert _s(session) <= 2


def test_a_board_that_says_nothing_is_given_up_after_twenty_seconds(
    session: Session, line: Line
) -> None:
    line.there = False
    with pytest.raises(LinkError, match="board at /dev/invented did not answer: check cable"):
        session.meet()
    assert _s(session) == 20


def test_a_board_that_never_reports_has_not_been_met(session: Session, line: Line) -> None:
    line.reporting = False
    with pytest.raises(LinkError, match="did not answer"):
        session.meet()


def _busy_for(seconds: float) -> Callable[[int], dict[str, Any]]:
    def answer(ms: int) -> dict[str, Any]:
        if ms < seconds * 1000:
            return {"ok": 0, "why": "busy", "at": "h"}
        return {"ok": 1, "v": 2}

    return answer


def test_whoever_steered_it_last_may_have_eight_seconds_to_go(
    session: Session, line: Line
) -> None:
    line.answers_get = _busy_for(8)
    session.meet()
    assert 8 <= _s(session) <= 10


def test_a_board_that_another_computer_goes_on_steering_is_left_to_it(
    session: Session, line: Line
) -> None:
    line.answers_get = _busy_for(12)
    with pytest.raises(OrderRefused, match="Another computer steers this board"):
        session.meet()
    assert _s(session) == 9  # asked each second, and the ninth finds the eight over


def test_another_refusal_is_not_waited_for(session: Session, line: Line) -> None:
    line.answers_get = lambda ms: {"ok": 0, "why": "flash", "at": "level"}
    with pytest.raises(OrderRefused, match="memory refused"):
        session.meet()
    assert _s(session) <= 2


def test_a_value_is_what_the_board_applied_and_a_refusal_is_said_in_words(
    session: Session, line: Line
) -> None:
    session.meet()
    assert session.order("get", key="level") == 2
    line.answers_get = lambda ms: {"ok": 0, "why": "taken", "at": "probe.bath"}
    with pytest.raises(OrderRefused, match="one chip is one probe"):
        session.order("get", key="probe.bath")


def test_readings_are_counted_and_a_restart_ends_what_waits(session: Session, line: Line) -> None:
    session.meet()
    before = session.readings
    session.wait(5.0)
    assert session.readings == before + 5
    line.answering = False
    line.boot += 1
    with pytest.raises(LinkError, match="The board restarted: look at its supply"):
        session.ask("inputs")


def test_a_board_that_cannot_be_worked_with_says_so(session: Session, line: Line) -> None:
    line.version = 99
    with pytest.raises(LinkError, match="speaks version 99 of the protocol"):
        session.meet()


def test_events_are_kept_with_the_time_when_they_came(session: Session, line: Line) -> None:
    session.meet()
    mark = len(session.events)
    before_ms = session.now_ms
    line.say({"k": "e", "e": "trip", "tr": "lease", "d": "", "t": 5})
    line.say({"k": "e", "e": "tried", "o": "lamp", "t": 6})
    session.wait(1.0)
    (trip,) = session.since(mark, "trip")
    assert (trip["tr"], trip["at_ms"]) == ("lease", before_ms + STEP_MS)
    assert session.since(mark + 1, "trip") == []


def test_who_leaves_stops_what_runs_and_lets_the_port_go(session: Session, line: Line) -> None:
    with session:
        session.meet()
        session.leasing = True
        line.values["st"] = "running"
        session.wait(2.0)
    assert line.kinds("stop") == 1
    assert line.urgent[-1]["k"] == "stop"
    assert line.waited_for[-1] == "stop"  # it is on the wire before the port goes
    assert not line.connected
    assert not session.leasing


@pytest.mark.parametrize("there", ["nothing", "a line", "a board that was"])
def test_where_no_board_is_there_nothing_is_sent(session: Session, line: Line, there: str) -> None:
    if there == "a board that was":
        session.meet()
    line.connected = there == "a line"
    session.close()
    assert line.kinds("stop") == 0
    assert not line.connected
