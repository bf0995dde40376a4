"""Orders: what may be asked, and the line that says what came of it."""

from __future__ import annotations

import pytest

from glossbath.client.client import KeeperClient
from glossbath.client.messages import Message, Reply
from glossbath.view.pending_orders import (
    ANSWER_SHOWN_S,
    OFFERS,
    STOP_PATIENCE_S,
    PendingOrders,
    offered,
)
from glossbath.view.rig_view import RigView

from .fake_keeper import TRIP, WARM_ROOM, FakeKeeper, reading, snapshot


def seen(*messages: Message) -> RigView:
    view = RigView()
    view.fold(messages, 0.0)
    return view


IDLE = reading(state="idle", phase="", phase_index=-1)


@pytest.mark.parametrize(
    ("messages", "offers"),
    [
        ([], set()),
        ([snapshot(), reading()], {"hold", "next_phase", "note", "ice"}),
        ([snapshot(state="held"), reading(state="held")], {"resume", "next_phase", "note", "ice"}),
        ([snapshot(state="idle"), IDLE], set()),
        ([snapshot(steering=False), reading()], {"steer", "note", "ice"}),
        (
            [snapshot(state="tripped", alarms=[TRIP, WARM_ROOM]), reading(state="tripped")],
            {"acknowledge", "clear"},
        ),
        ([snapshot(), reading(phase="hold", phase_index=4)], {"hold", "finish", "note", "ice"}),
    ],
)
def test_what_may_be_asked(messages: list[Message], offers: set[str]) -> None:
    view = seen(*messages)
    assert {action for action in OFFERS if offered(view, action)} == offers
    assert offered(view, "stop")


def test_a_lost_keeper_can_only_be_looked_for_again() -> None:
    view = seen(snapshot(alarms=[TRIP]), reading())
    view.lost = "gone"
    assert {action for action in OFFERS if offered(view, action)} == {"reconnect"}
    assert offered(view, "stop")


def test_an_order_its_answer_and_the_end_of_the_line(keeper: FakeKeeper) -> None:
    desk = PendingOrders()
    with KeeperClient(keeper.path) as client:
        number = desk.post(client, "hold", 10.0)
    assert number is not None
    assert desk.line == "hold sent"
    desk.apply_answer(Reply(number, True, "Held by hand."), 11.0)
    assert (desk.line, desk.wants_person) == ("Held by hand.", False)
    desk.tick(11.0 + ANSWER_SHOWN_S)
    assert desk.line == ""


def test_a_refusal_asks_for_a_person(keeper: FakeKeeper) -> None:
    desk = PendingOrders()
    with KeeperClient(keeper.path) as client:
        number = desk.post(client, "step", 0.0)
    assert number is not None
    desk.apply_answer(Reply(number, False, "Another screen steers."), 1.0)
    assert (desk.line, desk.wants_person) == ("STEP REFUSED: Another screen steers.", True)


def test_a_stop_without_an_answer_sends_the_person_to_the_rig(keeper: FakeKeeper) -> None:
    desk = PendingOrders()
    with KeeperClient(keeper.path) as client:
        desk.post_stop_and_leave(client, 0.0)
    desk.tick(STOP_PATIENCE_S)
    assert desk.line == "stop sent"
    desk.tick(STOP_PATIENCE_S + 0.1)
    assert desk.line == "Use the stop button at the rig. STOP was sent, but no answer came."
    assert desk.wants_person
    assert not desk.may_leave


def test_a_stop_that_cannot_be_sent_sends_the_person_to_the_rig() -> None:
    desk = PendingOrders()
    assert desk.post(None, "stop", 0.0) is None
    assert desk.line.startswith("Use the stop button at the rig. 'stop' was not sent")
    assert desk.wants_person


@pytest.mark.parametrize("ok", [True, False])
def test_leaving_after_a_stop_needs_its_confirmation(keeper: FakeKeeper, ok: bool) -> None:
    desk = PendingOrders()
    with KeeperClient(keeper.path) as client:
        desk.post_stop_and_leave(client, 0.0)
    desk.apply_answer(Reply(1, ok, "Heat is off."), 0.1)
    assert desk.may_leave is ok
