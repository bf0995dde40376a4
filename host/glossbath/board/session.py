"""The session with one board: the line kept open, orders until they are answered, the lease, and a
stop that comes first.

Whoever has a board speaks to it through this: the keeper step by step, a commissioning and an
installer through `dialog`, which waits for each answer.
"""

from __future__ import annotations

import secrets
from collections import deque
from collections.abc import Callable
from typing import Any

from .link import Link
from .orders import Done, OrderQueue
from .state import OFF, Board, News, as_data

LEASE_EVERY_MS = 1_000
STOP_EVERY_MS = 1_000
RETRY_OPEN_MS = 500
HELLO_EVERY_MS = 1_000
LOST_MS = 8_000  # the board's lease has run out by then, whatever was on its way
LONG_AGO_MS = -(10**9)
_KEPT = 16  # leases and stops whose answers are waited for

Tell = Callable[[str, str, str], None]


def _untold(kind: str, code: str, sentence: str) -> None:
    """For who has no record."""


class Session:
    """Holds one board. tell(kind, code, sentence) hears of the line's comings and goings."""

    def __init__(self, link: Link, board: Board, tell: Tell = _untold) -> None:
        self.link = link
        self.board = board
        self.stopping = False
        """Whether a stop is repeated and the lease withheld until the board rests."""
        self.stopped_as = ""
        """The state, one in which all is off, by which the board has answered such a stop."""
        self._tell = tell
        self._orders = OrderQueue(self._send)
        self._host = secrets.randbits(30)
        self._was_connected = False
        self._heard_ms = 0
        self._opened_ms = self._hello_ms = self._lease_ms = self._stop_ms = LONG_AGO_MS
        self._lease_ok_ms = LONG_AGO_MS
        self._leases: deque[int] = deque(maxlen=_KEPT)
        self._stops: deque[int] = deque(maxlen=_KEPT)

    def keep_open(self, now_ms: int) -> None:
        """Open the line when it is shut, and ask the board who it is until it says so."""
        if not self.link.connected:
            if self._was_connected:
                self._was_connected = False
                self._tell("link", "lost", "The line to the board was lost.")
            if now_ms - self._opened_ms >= RETRY_OPEN_MS:
                self._opened_ms = now_ms
                self.link.open()
        if not self.link.connected:
            return
        if not self._was_connected:
            self._was_connected = True
            self._hello_ms = self._lease_ms = LONG_AGO_MS
            self._tell("link", "open", "The line to the board is open.")
        if not self.board.known and now_ms - self._hello_ms >= HELLO_EVERY_MS:
            self._hello_ms = now_ms
            self.link.send({"k": "hello", "h": self._host, "i": self._orders.identity()})

    def receive(self, message: dict[str, Any], now_ms: int) -> News:
        """Fold one message of the board's; gives what it told."""
        self._heard_ms = now_ms
        message = as_data(message)
        news = self.board.receive(message)
        if news.kind == "answer" and not self._orders.apply_answer(message):
            self._confirm(message, now_ms)
        elif news.kind == "boot":
            self._hello_ms = LONG_AGO_MS
        return news

    def _confirm(self, answer: dict[str, Any], now_ms: int) -> None:
        """An answer to a lease or a stop."""
        if not answer.get("ok"):
            return
        if answer.get("i") in self._leases:
            self._lease_ok_ms = now_ms
        elif answer.get("i") in self._stops and answer.get("v") in OFF:
            self.stopped_as = str(answer["v"])

    @property
    def stop_confirmed(self) -> bool:
        """Whether the board has answered the stop by a state in which all is off."""
        return bool(self.stopped_as)

    def silent(self, now_ms: int) -> bool:
        """Whether the board has said nothing for so long that its lease has run out."""
        return now_ms - self._heard_ms > LOST_MS

    # -- the lease

    def fresh_lease(self) -> None:
        """Let the next renewal be due at once."""
        self._lease_ms = LONG_AGO_MS

    def renew_lease(self, now_ms: int) -> bool:
        """Renew the lease when that is due; whether it was sent."""
        due = self.board.known and now_ms - self._lease_ms >= LEASE_EVERY_MS
        if not due:
            return False
        self._lease_ms = now_ms
        self._leases.append(self._orders.identity())
        return self._send({"k": "lease", "i": self._leases[-1]})

    def lease_age_ms(self, now_ms: int) -> int:
        """How long ago the board last took a lease."""
        return now_ms - self._lease_ok_ms

    # -- orders

    def put(self, orders: list[dict[str, Any]], done: Done) -> None:
        """Queue orders that belong together; done(ok, answer) is called once they have ended."""
        self._orders.put(orders, done)

    def send_orders(self, now_ms: int) -> None:
        """Send, repeat or give up on the order under way."""
        self._orders.step(now_ms, self.board.known)

    def drop(self, why: str) -> None:
        """Give up on every order that waits."""
        self._orders.drop(why)

    def stop_now(self) -> None:
        """Order the board to stop, at once and before all that waits; from any thread."""
        if not self.stopping:
            self.stopped_as = ""
        self.stopping = True
        self._stops.append(secrets.randbits(30))
        self._send({"k": "stop", "i": self._stops[-1]}, alone=True)

    def repeat_stop(self, now_ms: int) -> None:
        """Order the stop again when that is due."""
        if now_ms - self._stop_ms >= STOP_EVERY_MS:
            self._stop_ms = now_ms
            self.stop_now()

    def _send(self, order: dict[str, Any], alone: bool = False) -> bool:
        return self.link.send({**order, "h": self._host, "b": self.board.boot}, alone)
