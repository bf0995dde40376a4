"""The line to one board for whoever commissions it: orders and answers, readings, events.

No keeper stands between: a keeper watches the rig with limits of its own and would stop it before
the board's own cut-off had to act, and it is the board that is put to the test here. Heat is a
lease as always: when this program ends, the board takes heat away.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable
from typing import Any

from glossbath.board.clock import Clock
from glossbath.board.link import Link
from glossbath.board.state import Board, Raw
from glossbath.errors import LinkError, OrderRefused

from .words import refused

LEASE_EVERY_MS = 1_000
_RETRY_OPEN_MS = 500
_HELLO_EVERY_MS = 1_000
_REPEAT_MS = 1_000
_PATIENCE_MS = 10_000
_OTHERS_LEASE_S = 8


class Session:
    """One board. Time goes on in `step`, which every call that waits makes use of.

    leasing renews the board's lease, without which nothing heats. reading is the newest one,
    events are the board's own, each with `at_ms`, the time when it came.
    """

    def __init__(self, link: Link, clock: Clock) -> None:
        self.link = link
        self.clock = clock
        self.leasing = False
        self.events: list[dict[str, Any]] = []
        self.readings = 0
        self.restarts = 0
        self._board = Board()
        self._host = secrets.randbits(30)
        self._answers: dict[int, dict[str, Any]] = {}
        # Not from 1: an answer to whoever was here before must not be taken for one to us.
        self._identity = secrets.randbits(29)
        self._opened_ms = self._hello_ms = self._lease_ms = -(10**9)

    def __enter__(self) -> Session:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def hello(self) -> dict[str, Any]:
        """Who the board says it is; empty until it has."""
        return self._board.hello

    @property
    def reading(self) -> Raw | None:
        """The newest reading."""
        return self._board.raw

    @property
    def state(self) -> str:
        """What the board last said of itself."""
        return self._board.state

    @property
    def now_ms(self) -> int:
        """The clock's time."""
        return self.clock.now_ms()

    def step(self) -> None:
        """Wait for the clock's next step, take in what has arrived, send what is due."""
        self.clock.wait(self.link.caught_up, lambda: self.link.written_bytes)
        now = self.now_ms
        if not self.link.connected and now - self._opened_ms >= _RETRY_OPEN_MS:
            self._opened_ms = now
            self._hello_ms = -(10**9)
            self.link.open()
        for message in self.link.drain():
            self._take(message)
        if not self.link.connected:
            return
        if not self.hello and now - self._hello_ms >= _HELLO_EVERY_MS:
            self._hello_ms = now
            self.link.send({"k": "hello", "h": self._host, "i": self._next()})
        if self.leasing and self.hello and now - self._lease_ms >= LEASE_EVERY_MS:
            self._lease_ms = now
            self._send({"k": "lease", "i": self._next()})

    def _take(self, message: dict[str, Any]) -> None:
        news = self._board.take(message)
        if news == "boot":
            self.restarts += 1
            self._hello_ms = -(10**9)
        elif news == "reading":
            self.readings += 1
        elif news == "answer":
            self._answers[message.get("i", -1)] = message
        elif message.get("k") == "e":
            self.events.append({**message, "at_ms": self.now_ms})

    def _next(self) -> int:
        self._identity += 1
        return self._identity

    def _send(self, order: dict[str, Any]) -> None:
        self.link.send({**order, "h": self._host, "b": self._board.boot})

    def meet(self) -> None:
        """Go on until the board has said who it is and takes orders from here.

        Raises LinkError when it does not answer, OrderRefused when another computer steers it.
        """
        if not self.until(lambda: bool(self.hello) and self.reading is not None, 20):
            raise LinkError(
                f"The board at {self.link.port} did not answer: check cable, port and firmware, "
                "and that no other program uses the port."
            )
        # Whoever steered it last may have gone a moment ago: its lease runs out first.
        end_ms = self.now_ms + 1000 * _OTHERS_LEASE_S
        while not (answer := self.ask("get", key="level")).get("ok"):
            if answer.get("why") != "busy" or self.now_ms >= end_ms:
                raise OrderRefused(refused(answer))
            self.wait(1.0)

    def until(self, reached: Callable[[], bool], within_s: float) -> bool:
        """Go on until something is so; False when it is not within that time."""
        end_ms = self.now_ms + round(1000 * within_s)
        while not reached():
            if self.now_ms >= end_ms:
                return False
            self.step()
        return True

    def wait(self, seconds: float) -> None:
        """Let time pass."""
        self.until(lambda: False, seconds)

    def ask(self, kind: str, **values: Any) -> dict[str, Any]:
        """Order something and give the board's whole answer, a refusal too.

        Raises LinkError when none comes, or when the board restarts meanwhile.
        """
        order = {"k": kind, "i": self._next(), **values}
        restarts, begun, sent = self.restarts, self.now_ms, -(10**9)
        while order["i"] not in self._answers:
            if self.restarts != restarts:
                raise LinkError("The board restarted: look at its supply, then go on.")
            if self.now_ms - begun > _PATIENCE_MS:
                raise LinkError("The board did not answer: check the cable, then go on.")
            if self.now_ms - sent >= _REPEAT_MS and self.hello:
                sent = self.now_ms
                self._send(order)
            self.step()
        return self._answers.pop(order["i"])

    def order(self, kind: str, **values: Any) -> Any:
        """Order something and give the value that the board applied.

        Raises OrderRefused in words, and LinkError as `ask` does.
        """
        answer = self.ask(kind, **values)
        if not answer.get("ok"):
            raise OrderRefused(refused(answer))
        return answer.get("v")

    def put(self, key: str, value: Any) -> Any:
        """Change one of the board's settings; what holds now."""
        return self.order("set", key=key, v=value)

    def since(self, mark: int, kind: str) -> list[dict[str, Any]]:
        """The events of one kind after the first `mark` ones."""
        return [event for event in self.events[mark:] if event.get("e") == kind]

    def close(self) -> None:
        """Stop whatever runs and let the port go."""
        if self.link.connected and self.hello:
            self._send({"k": "stop", "i": self._next()})
        self.leasing = False
        self.link.close()
