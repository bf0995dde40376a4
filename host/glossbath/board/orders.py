"""Orders to the board: one under way at a time, repeated until answered, each applied once.

An order keeps its identity when it is repeated, so the board answers again without acting again.
Stop does not queue here: it is sent at once, from any thread, and repeated by the keeper.
"""

from __future__ import annotations

import secrets
from collections import deque
from collections.abc import Callable
from typing import Any

from glossbath_board.program import Program

REPEAT_MS = 1_000
TRIES = 8

Send = Callable[[dict[str, Any]], bool]
Done = Callable[[bool, dict[str, Any]], None]


def start_orders(program: Program, cycle: str, alone_min: int = 0) -> list[dict[str, Any]]:
    """What loads a program into the board and starts it; its hold may go on without a host for
    alone_min minutes."""
    plan = {"k": "plan", "count": program.count, "max": program.max_mc, "g": program.batch_g}
    orders: list[dict[str, Any]] = [plan | {"w": 1} if program.water else plan]
    for at, phase in enumerate(program.phases):
        orders.append({"k": "phase", "at": at, "name": phase.name, "v": list(phase.values)})
    start = {"k": "start", "cycle": cycle, "sum": program.checksum()}
    return [*orders, start | {"alone": alone_min} if alone_min else start]


class OrderQueue:
    """Sends orders one after another. done(ok, answer) is called when a batch ends."""

    def __init__(self, send: Send) -> None:
        self._send = send
        self._waiting: deque[tuple[dict[str, Any], Done | None]] = deque()
        self._tries = 0
        self._sent_ms = 0
        # Answers name an order, not a session: an old one must not fit an order of this session.
        self._identity = secrets.randbits(28)

    def identity(self) -> int:
        """A number for an order that has not been used in this session."""
        self._identity += 1
        return self._identity

    def put(self, orders: list[dict[str, Any]], done: Done | None = None) -> None:
        """Queue orders that belong together; the first refusal ends them all."""
        for at, order in enumerate(orders):
            last = at == len(orders) - 1
            self._waiting.append(({**order, "i": self.identity()}, done if last else None))

    def step(self, now_ms: int, known: bool = True) -> None:
        """Send, repeat, or give up on the order under way; to a board that is not known nothing
        is sent, since it would refuse it, but the time runs."""
        if not self._waiting:
            return
        if self._tries and now_ms - self._sent_ms < REPEAT_MS:
            return
        if self._tries >= TRIES:
            self._end(False, {"why": "silent"})
            return
        if known:
            self._send(self._waiting[0][0])
        self._tries += 1
        self._sent_ms = now_ms

    def apply_answer(self, answer: dict[str, Any]) -> bool:
        """End the order under way by its answer; False if the answer is not to that order."""
        if not self._waiting or answer.get("i") != self._waiting[0][0]["i"]:
            return False
        if not answer.get("ok"):
            self._end(False, answer)
            return True
        _, done = self._waiting.popleft()
        self._tries = 0
        if done is not None:
            done(True, answer)
        return True

    def drop(self, why: str) -> None:
        """Give up on everything that waits."""
        while self._waiting:
            self._end(False, {"why": why})

    def _end(self, ok: bool, answer: dict[str, Any]) -> None:
        self._tries = 0
        done = None
        while self._waiting and done is None:
            _, done = self._waiting.popleft()
        if done is not None:
            done(ok, answer)
