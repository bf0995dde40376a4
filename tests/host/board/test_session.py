"""The session with a board: what goes over the wire, when, and what counts as the board's word."""

from __future__ import annotations

from typing import Any

import pytest
from stand_in_board import StandInBoard

from glossbath.board.orders import OrderQueue
from glossbath.board.session import Session
from glossbath.board.state import Board
from glossbath_board.version import PROTOCOL

HELLO = {"k": "hello", "b": 7, "v": PROTOCOL, "fw": "1", "eng": "invented", "id": "1", "rig": "r"}


class Talk:
    """A session whose time a test moves, with a board that answers only what a test says."""

    def __init__(self, known: bool = True) -> None:
        self.board = StandInBoard()
        self.board.connected, self.board.answering = True, False
        self.told: list[tuple[str, str]] = []
        self.session = Session(
            self.board,  # type: ignore[arg-type]
            Board(),
            lambda kind, code, _: self.told.append((kind, code)),
        )
        self.now_ms = 50_000
        if known:
            self.session.receive(HELLO, self.now_ms)

    def sent(self, kind: str) -> list[dict[str, Any]]:
        """The orders of a kind that went over the wire."""
        return [order for order in self.board.sent if order["k"] == kind]

    def after(self, ms: int) -> int:
        self.now_ms += ms
        return self.now_ms

    def answer(self, to: dict[str, Any], ms: int = 0, **more: Any) -> None:
        self.session.receive({"k": "a", "b": 7, "i": to["i"], "ok": 1, **more}, self.after(ms))


def test_a_lease_is_renewed_each_second_and_never_by_the_same_number() -> None:
    talk = Talk()
    assert talk.session.renew_lease(talk.now_ms)
    assert not talk.session.renew_lease(talk.after(999))
    assert talk.session.renew_lease(talk.after(1))
    leases = talk.sent("lease")
    assert leases[0]["i"] != leases[1]["i"]
    assert {lease["b"] for lease in leases} == {7}
    talk.session.fresh_lease()
    assert talk.session.renew_lease(talk.after(1))


def test_a_board_that_has_not_said_who_it_is_gets_no_lease() -> None:
    talk = Talk(known=False)
    assert not talk.session.renew_lease(talk.now_ms)
    assert talk.board.sent == []


def test_the_age_of_a_lease_counts_from_the_boards_own_word() -> None:
    talk = Talk()
    talk.session.renew_lease(talk.now_ms)
    assert talk.session.lease_age_ms(talk.now_ms) > 10**8
    (lease,) = talk.sent("lease")
    talk.answer(lease, ms=300)
    assert talk.session.lease_age_ms(talk.after(700)) == 700


def test_a_refusal_and_an_answer_to_something_else_renew_nothing() -> None:
    talk = Talk()
    talk.session.renew_lease(talk.now_ms)
    (lease,) = talk.sent("lease")
    talk.answer(lease, ok=0)
    talk.answer({"i": lease["i"] + 1})
    talk.session.stop_now()
    talk.answer(talk.sent("stop")[0], v="stopped")
    assert talk.session.lease_age_ms(talk.now_ms) > 10**8


def test_a_late_answer_to_one_of_the_last_sixteen_leases_still_counts() -> None:
    talk = Talk()
    for _ in range(17):
        talk.session.renew_lease(talk.after(1_000))
    first, second = talk.sent("lease")[:2]
    talk.answer(first)
    assert talk.session.lease_age_ms(talk.now_ms) > 10**8
    talk.answer(second)
    assert talk.session.lease_age_ms(talk.now_ms) == 0


@pytest.mark.parametrize("state", ["idle", "complete", "stopped", "tripped"])
def test_a_stop_is_confirmed_by_a_state_in_which_all_is_off(state: str) -> None:
    talk = Talk()
    talk.session.stop_now()
    assert talk.session.stopping
    assert not talk.session.stop_confirmed
    assert talk.board.urgent == talk.sent("stop"), "before all that waits to be written"
    talk.answer(talk.sent("stop")[0], v=state)
    assert talk.session.stop_confirmed
    assert talk.session.stopped_as == state


@pytest.mark.parametrize("answer", [{"v": "running"}, {"v": "held"}, {}, {"ok": 0, "v": "idle"}])
def test_a_stop_is_not_confirmed_by_anything_else(answer: dict[str, Any]) -> None:
    talk = Talk()
    talk.session.stop_now()
    talk.answer(talk.sent("stop")[0], **answer)
    assert not talk.session.stop_confirmed


def test_a_lease_that_is_answered_by_idle_confirms_no_stop() -> None:
    talk = Talk()
    talk.session.renew_lease(talk.now_ms)
    talk.session.stop_now()
    talk.answer(talk.sent("lease")[0], v="idle")
    assert not talk.session.stop_confirmed


def test_a_stop_is_repeated_each_second_and_what_confirmed_it_stays() -> None:
    talk = Talk()
    talk.session.repeat_stop(talk.now_ms)
    talk.session.repeat_stop(talk.after(999))
    assert len(talk.sent("stop")) == 1
    talk.answer(talk.sent("stop")[0], v="idle")
    talk.session.repeat_stop(talk.after(1))
    stops = talk.sent("stop")
    assert len(stops) == 2
    assert stops[0]["i"] != stops[1]["i"]
    assert talk.session.stop_confirmed, "the same stop, said again"


def test_what_confirmed_an_earlier_stop_says_nothing_of_a_new_one() -> None:
    talk = Talk()
    talk.session.stop_now()
    talk.answer(talk.sent("stop")[0], v="stopped")
    talk.session.stopping = False  # it rests, and is started again
    talk.session.stop_now()
    assert not talk.session.stop_confirmed


def test_a_board_is_asked_who_it_is_each_second_until_it_says_so() -> None:
    talk = Talk(known=False)
    for ms in (0, 500, 499, 1, 999, 1):
        talk.session.keep_open(talk.after(ms))
    assert len(talk.sent("hello")) == 3
    talk.session.receive(HELLO, talk.now_ms)
    talk.session.keep_open(talk.after(5_000))
    assert len(talk.sent("hello")) == 3


def test_a_board_that_restarts_is_asked_at_once() -> None:
    talk = Talk(known=False)
    talk.session.keep_open(talk.now_ms)
    talk.session.receive(HELLO, talk.now_ms)
    reading = {"k": "r", "b": 8, "t": 1, "h": 0, "x": 0, "s": 0, "ph": 0, "pt": 0, "d": 0}
    for _ in range(2):  # one alone may have strayed here
        talk.session.receive({**reading, "st": "idle"}, talk.after(10))
        talk.session.keep_open(talk.now_ms)
    assert len(talk.sent("hello")) == 2


def test_a_line_that_went_is_opened_again_every_half_second_and_both_is_told_once() -> None:
    talk = Talk()
    talk.session.keep_open(talk.now_ms)
    assert talk.told == [("link", "open")]
    talk.board.connected = talk.board.there = False
    for ms in (0, 499, 1, 499, 1):
        talk.session.keep_open(talk.after(ms))
    assert talk.told == [("link", "open"), ("link", "lost")]
    assert talk.board.opened_count == 3
    talk.board.there = True
    talk.session.keep_open(talk.after(500))
    assert talk.told == [("link", "open"), ("link", "lost"), ("link", "open")]


def test_a_new_line_gets_its_lease_at_once() -> None:
    talk = Talk()
    talk.session.keep_open(talk.now_ms)
    talk.session.renew_lease(talk.now_ms)
    talk.board.connected = False
    talk.session.keep_open(talk.after(500))  # opened again in the same step
    assert talk.session.renew_lease(talk.after(1))


def test_a_board_is_silent_after_eight_seconds_without_a_word() -> None:
    talk = Talk()
    talk.session.receive({"k": "e", "b": 7, "e": "note"}, talk.now_ms)
    assert not talk.session.silent(talk.after(8_000))
    assert talk.session.silent(talk.after(1))


class Asked:
    """An order queue and what it sent."""

    def __init__(self) -> None:
        self.sent: list[dict[str, Any]] = []
        self.done: list[tuple[bool, dict[str, Any]]] = []
        self.queue = OrderQueue(lambda order: self.sent.append(order) is None)

    def put(self, *kinds: str) -> None:
        self.queue.put([{"k": kind} for kind in kinds], lambda ok, a: self.done.append((ok, a)))


def test_an_order_is_repeated_each_second_with_its_number_and_given_up_after_eight() -> None:
    asked = Asked()
    asked.put("hold")
    for at in range(80):
        asked.queue.step(1_000 + at * 100)
    assert len(asked.sent) == 8
    assert {order["i"] for order in asked.sent} == {asked.sent[0]["i"]}
    assert asked.done == []
    asked.queue.step(9_000)
    assert asked.done == [(False, {"why": "silent"})]
    asked.queue.step(20_000)
    assert len(asked.sent) == 8


def test_orders_that_belong_together_go_one_by_one_and_are_done_once() -> None:
    asked = Asked()
    asked.put("plan", "phase", "start")
    for at in range(3):
        asked.queue.step(at)
        assert not asked.queue.apply_answer({"i": asked.sent[-1]["i"] + 100, "ok": 1})
        assert asked.done == []
        assert asked.queue.apply_answer({"i": asked.sent[-1]["i"], "ok": 1, "v": at})
    assert [order["k"] for order in asked.sent] == ["plan", "phase", "start"]
    assert len({order["i"] for order in asked.sent}) == 3
    assert [(ok, answer["v"]) for ok, answer in asked.done] == [(True, 2)]


def test_the_first_refusal_ends_what_belongs_together_and_nothing_else() -> None:
    asked = Asked()
    asked.put("plan", "phase", "start")
    asked.put("hold")
    asked.queue.step(0)
    asked.queue.step(1_000)  # a repeat, which the next order must not inherit
    assert asked.queue.apply_answer({"i": asked.sent[0]["i"], "ok": 0, "why": "busy"})
    assert [(ok, answer["why"]) for ok, answer in asked.done] == [(False, "busy")]
    asked.queue.step(1_001)
    assert asked.sent[-1]["k"] == "hold"
    for at in range(1, 9):
        asked.queue.step(1_001 + 1_000 * at)
    assert [order["k"] for order in asked.sent].count("hold") == 8


def test_time_runs_for_an_order_to_a_board_that_is_not_known_but_nothing_is_sent() -> None:
    asked = Asked()
    asked.put("hold")
    for at in range(9):
        asked.queue.step(1_000 * at, known=False)
    assert asked.sent == []
    assert asked.done == [(False, {"why": "silent"})]


def test_what_is_dropped_is_told_to_each_who_waits() -> None:
    asked = Asked()
    asked.put("plan", "start")
    asked.put("hold")
    asked.queue.drop("lost")
    assert asked.done == [(False, {"why": "lost"})] * 2
    assert not asked.queue.apply_answer({"i": 1, "ok": 1})
