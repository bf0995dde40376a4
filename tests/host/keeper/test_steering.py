"""One client steers a rig, the others look on; over the keeper's own socket."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hand_keeper import HandKeeper, hand_keeper

from glossbath.client.messages import Event, Reply, Snapshot
from glossbath.errors import GlossbathError
from glossbath.keeper.steering import ANYONE, Steering


@pytest.fixture
def hand(tmp_path: Path) -> Iterator[HandKeeper]:
    with hand_keeper(tmp_path) as made:
        yield made


def test_the_first_that_asks_steers_and_the_second_looks_on(hand: HandKeeper) -> None:
    with hand.client(steer=True) as first, hand.client(steer=True) as second:
        assert hand.steers(first)
        assert not hand.steers(second)
        assert hand.start(first).ok
        refused = hand.ask(second, "hold")
        assert not refused.ok
        assert "'hold' was not done: take over first" in refused.text
        assert hand.board.values["st"] == "running"


def test_whoever_only_connects_does_not_steer(hand: HandKeeper) -> None:
    with hand.client() as looker, hand.client(steer=True) as steerer:
        assert not hand.steers(looker)
        assert hand.steers(steerer)


def test_taking_over_is_told_to_everyone_and_recorded(hand: HandKeeper) -> None:
    with hand.client(steer=True) as first, hand.client() as second:
        assert hand.start(first).ok
        assert hand.ask(second, "steer").ok
        assert hand.steers(second)
        assert not hand.steers(first)
        assert not hand.ask(first, "hold").ok
        assert hand.ask(second, "hold").ok
    told = [m for m in hand.published if isinstance(m, Event) and m.code == "steering"]
    assert [event.text for event in told] == ["Another client took over steering."]


@pytest.mark.parametrize("op", ["stop", "note", "ice", "test", "acknowledge"])
def test_a_looker_on_may_stop_and_tell(hand: HandKeeper, op: str) -> None:
    with hand.client(steer=True) as first, hand.client() as second:
        assert hand.start(first).ok
        values = {"text": "tasted", "kind": "dip", "result": "in temper", "kg": 1.0}
        assert hand.ask(second, op, **values).ok
        assert hand.steers(first)
    assert hand.board.kinds("stop") >= (op == "stop")


def test_the_wheel_is_free_once_its_client_has_gone(hand: HandKeeper) -> None:
    with hand.client() as looker:
        with hand.client(steer=True) as first:
            assert hand.start(first).ok
            assert not hand.ask(looker, "hold").ok
        hand.until_free()
        assert not hand.steers(looker)
        # Nobody steers: who orders something steers from then on.
        assert hand.ask(looker, "hold").ok
        assert hand.steers(looker)


def test_a_refused_wish_to_steer_is_no_answer_to_an_order(hand: HandKeeper) -> None:
    with hand.client(steer=True) as first, hand.client(steer=True) as second:
        assert hand.start(first).ok
        assert hand.ask(second, "note", text="tasted").ok
        replies = [message for message in hand.heard[second] if isinstance(message, Reply)]
        assert [reply.text for reply in replies] == [
            "There is nothing to acknowledge: no alarm is new.",
            "Noted.",
        ]


@pytest.mark.parametrize("op", ["note", "ice", "test"])
def test_nothing_is_said_to_be_written_while_no_cycle_runs(hand: HandKeeper, op: str) -> None:
    values = {"text": "tasted", "kind": "dip", "result": "in temper", "kg": 1.0}
    with hand.client(steer=True) as client:
        reply = hand.ask(client, op, **values)
    assert not reply.ok
    assert f"No cycle runs, so there is no record to write this {op} into" in reply.text


@pytest.mark.parametrize("kg", [0, 0.005, 20.5, -1, float("nan"), True, "2", None, [1.0]])
def test_ice_that_no_bucket_holds_is_refused(hand: HandKeeper, kg: object) -> None:
    with hand.client(steer=True) as client:
        assert hand.start(client).ok
        reply = hand.ask(client, "ice", kg=kg)
    assert not reply.ok
    assert "ice" in reply.text and "kg" in reply.text


def test_only_a_free_wheel_is_taken_on_demand() -> None:
    wheel = Steering()
    assert not wheel.give(1)
    with pytest.raises(GlossbathError, match="Somebody else steers"):
        wheel.give(2, only_if_free=True)
    assert not wheel.give(1, only_if_free=True)
    assert wheel.give(2)
    wheel.leave(1)
    assert wheel.by == 2
    for op in ANYONE:
        wheel.check(1, op)
    assert wheel.by == 2


def test_the_past_comes_once_and_covers_the_whole_cycle(hand: HandKeeper) -> None:
    with hand.client(steer=True) as first:
        assert hand.start(first).ok
        hand.pass_time(3_000)
        snapshots = [m for m in hand.published if isinstance(m, Snapshot)]
        assert snapshots
        assert all(not snapshot.history for snapshot in snapshots)
    with hand.client() as late:
        greeting = hand.heard[late][0]
    assert isinstance(greeting, Snapshot)
    times = [reading.time_s for reading in greeting.history]
    assert 100 < len(times) <= 600
    assert times == sorted(times)
    assert times[0] <= 2
    assert times[-1] >= 2_998


def test_what_the_person_must_do_is_asked_for_until_it_is_done(hand: HandKeeper) -> None:
    hand.board.values["st"] = "waiting"
    hand.pass_time(1)
    assert hand.keeper.snapshot().request == "Press the arm button at the rig: it allows heat."
    hand.board.values["st"] = "idle"
    with hand.client(steer=True) as first:
        assert hand.start(first).ok
        hand.board.values["ph"] = 4
        hand.pass_time(1, chocolate_c=27.0)
        assert hand.keeper.snapshot().request == ""
        hand.pass_time(1, chocolate_c=30.5)
        assert hand.keeper.snapshot().request.startswith("Make a dip test")
        hand.ask(first, "test", kind="dip", result="out of temper")
        assert "do not mould" in hand.keeper.snapshot().request
        hand.ask(first, "test", kind="dip", result="in temper")
        assert hand.keeper.snapshot().request == ""


def test_an_alarm_that_does_not_stand_cannot_be_acknowledged(hand: HandKeeper) -> None:
    with hand.client() as client:
        refused = hand.ask(client, "acknowledge", code="nonsense")
    assert not refused.ok
    assert refused.text == "No alarm named 'nonsense' stands: see the alarms."
