"""The person at the rig, who is told what to do and asked what was seen; here at a console."""

from __future__ import annotations

import os
import select
from collections.abc import Callable
from dataclasses import dataclass
from typing import IO, Protocol

Idle = Callable[[], None]
LEAVE = ("quit", "later")


class Left(Exception):
    """The person wants to go on another time."""


@dataclass(frozen=True)
class Question:
    """One question. code tells it from all others, whatever its words are.

    choices are what may be answered, none for a free text; unit and the limits are a number's.
    """

    code: str
    text: str
    choices: tuple[str, ...] = ()
    unit: str = ""
    low: float = 0.0
    high: float = 0.0

    @property
    def hint(self) -> str:
        """What an answer looks like."""
        if self.choices:
            return "/".join(self.choices)
        return f"{self.low:g} to {self.high:g} {self.unit}" if self.unit else "text"


class Person(Protocol):
    """Whoever stands at the rig."""

    def tell(self, line: str) -> None:
        """A line to read."""
        ...

    def act(self, code: str, line: str) -> None:
        """Something to do now; the walk watches the rig for it and goes on by itself."""
        ...

    def answer(self, question: Question, idle: Idle) -> str:
        """The answer to a question; idle is called while waiting, and keeps the board's time.

        Raises Left when there will be none.
        """
        ...


class Console:
    """Lines on a terminal: usable by a screen reader, over any connection, in a log."""

    def __init__(self, source: int, sink: IO[str]) -> None:
        self._source = source
        self._sink = sink
        self._heard = b""

    def tell(self, line: str) -> None:
        print(line, file=self._sink, flush=True)

    def act(self, code: str, line: str) -> None:
        self.tell(f"-> {line}")

    def answer(self, question: Question, idle: Idle) -> str:
        self.tell(f"?  {question.text} [{question.hint}]")
        while b"\n" not in self._heard:
            # The board's lease and its messages go on while somebody thinks.
            idle()
            if not select.select([self._source], [], [], 0)[0]:
                continue
            data = os.read(self._source, 4096)
            if not data:
                raise Left
            self._heard += data
        line, _, self._heard = self._heard.partition(b"\n")
        said = line.decode(errors="replace").strip()
        if said.lower() in LEAVE:
            raise Left
        return said
