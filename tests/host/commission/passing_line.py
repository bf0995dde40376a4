"""A stand-in board at the end of a walk's own line, and a clock whose waits let time pass."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from hand_clock import HandClock
from stand_in_board import STEP_MS, StandInBoard

BEGAN_MS = 10_000


class Line(StandInBoard):
    """A stand-in board at the walk's end of the line; it reports once a second."""

    def __init__(self) -> None:
        super().__init__()
        self.version = 1
        self.waited_for: list[str] = []
        """The newest message each time that somebody waited until all was on the wire."""
        self.answers_get: Callable[[int], dict[str, Any]] = lambda ms: {"ok": 1, "v": 2}

    def written(self) -> int:
        self.waited_for += [message["k"] for message in self.sent[-1:]]
        return super().written()

    def say(self, message: dict[str, Any]) -> None:
        more = {"v": self.version} if message["k"] == "hello" else {}
        super().say({**message, **more})

    def caught_up(self, ms: int) -> None:
        """Time goes on only here."""

    def _obey(self, message: dict[str, Any]) -> None:
        if message["k"] == "get":
            answer = self.answers_get(self.ms)
            self.say({"k": "a", "i": message["i"], **answer})
        else:
            super()._obey(message)


class Passing(HandClock):
    """A clock whose every wait lets a quarter of a second pass."""

    def __init__(self, line: Line) -> None:
        super().__init__(ms=BEGAN_MS)
        self._line = line

    def wait(self, caught_up: Callable[[int], None], written: Callable[[], int]) -> None:
        self.ms += STEP_MS
        if self.ms % 1_000 == 0:
            self._line.second()
