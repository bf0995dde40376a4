"""Where a screen's orders leave and their answers come back: what may be asked now, what was
asked, and the one line that says what came of it. Time is an argument."""

from __future__ import annotations

from typing import Any

from glossbath.client.client import KeeperClient
from glossbath.client.messages import Reply
from glossbath.errors import KeeperError

from .rig_view import RigView
from .sentences import answered, waits_for_hand

ANSWER_SHOWN_S = 15.0
STOP_PATIENCE_S = 2.0
"""A stop is answered at once; after this long the person must use their hands."""
AT_THE_RIG = "Use the stop button at the rig."

OFFERS = (
    "hold",
    "resume",
    "done",
    "finish",
    "next_phase",
    "acknowledge",
    "clear",
    "steer",
    "reconnect",
    "note",
    "ice",
)


def offered(view: RigView, action: str) -> bool:
    """Whether an action makes sense now. What is not in OFFERS, above all stop, always does."""
    here = view.snapshot is not None and not view.lost
    steers = here and view.steering
    running = steers and view.active
    offers = {
        "hold": running and view.state != "held",
        "resume": running and view.state == "held",
        "done": here and view.active and waits_for_hand(view),
        "finish": running and view.plan is not None and view.plan.name == "hold",
        "next_phase": running and view.plan is not None and view.next_plan is not None,
        "acknowledge": here and view.to_acknowledge is not None,
        "clear": steers and view.to_clear is not None,
        "steer": here and not view.steering,
        "reconnect": bool(view.lost),
        "note": here and view.active,
        "ice": here and view.active,
    }
    return offers.get(action, True)


class PendingOrders:
    """Orders under way."""

    def __init__(self) -> None:
        self.line = ""
        """What came of the newest order; empty when that is no news any more."""
        self.wants_person = False
        """Whether the line asks for a person."""
        self._shown_until_s = 0.0
        self._asked: dict[int, str] = {}
        self._stops: dict[int, float] = {}
        self._leave_on: int | None = None
        self.may_leave = False
        """Whether a stop that was to be the last act has been confirmed."""

    def say(self, text: str, now_s: float, *, wants_person: bool = False) -> None:
        """Show a line for a while."""
        self.line, self.wants_person = text, wants_person
        self._shown_until_s = now_s + ANSWER_SHOWN_S

    def post(
        self, client: KeeperClient | None, op: str, now_s: float, **values: Any
    ) -> int | None:
        """Send an order at once and give its number; None, and a line that says so, when it could
        not be sent."""
        try:
            if client is None:
                raise KeeperError(f"'{op}' was not sent: there is no keeper.")
            number = client.post(op, **values)
        except KeeperError as error:
            sentence = f"{AT_THE_RIG} {error}" if op == "stop" else str(error)
            self.say(sentence, now_s, wants_person=True)
            return None
        self._asked[number] = op
        if op == "stop":
            self._stops[number] = now_s
        self.say(f"{op} sent", now_s)
        return number

    def post_stop_and_leave(self, client: KeeperClient | None, now_s: float) -> None:
        """Send a stop and allow leaving once the keeper has confirmed it."""
        self._leave_on = self.post(client, "stop", now_s)

    def apply_answer(self, reply: Reply, now_s: float) -> None:
        """Apply the answer to an order."""
        op = self._asked.pop(reply.id, "order")
        self._stops.pop(reply.id, None)
        text, wants_person = answered(op, reply)
        if op == "stop" and wants_person:
            text = f"{AT_THE_RIG} {text}"
        self.say(text, now_s, wants_person=wants_person)
        if reply.id == self._leave_on:
            self._leave_on = None
            self.may_leave = reply.ok

    def tick(self, now_s: float) -> None:
        """Let an old line go, and speak up when a stop stays without an answer."""
        if any(now_s - sent_s > STOP_PATIENCE_S for sent_s in self._stops.values()):
            self._stops.clear()
            self._leave_on = None
            self.say(f"{AT_THE_RIG} STOP was sent, but no answer came.", now_s, wants_person=True)
        elif now_s >= self._shown_until_s:
            self.line, self.wants_person = "", False
