"""A session for who asks a board one thing after another and waits for each answer."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Self

from glossbath.errors import LinkError

from .clock import Clock
from .link import Link
from .session import Session
from .state import Board, News, Raw


class Dialog:
    """One board. Time goes on in `step`, which every call that waits makes use of.

    leasing renews the board's lease, without which nothing heats. Used in a `with`, it lets the
    port go at the end.
    """

    def __init__(self, link: Link, clock: Clock) -> None:
        self.link = link
        self.clock = clock
        self.leasing = False
        self.readings = 0
        self._board = Board()
        self._session = Session(link, self._board)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def hello(self) -> dict[str, Any]:
        """Who the board says it is; empty until it has."""
        return self._board.hello

    @property
    def refusal(self) -> str:
        """Why this board cannot be worked with, in words; empty for one that can."""
        return self._board.refusal

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
        self.clock.wait(self.link.caught_up, self.link.written)
        self._session.keep_open(self.now_ms)
        for message in self.link.drain():
            self._note(self._session.receive(message, self.now_ms), message)
        if self.leasing:
            self._session.renew_lease(self.now_ms)
        self._session.send_orders(self.now_ms)

    def _note(self, news: News, message: dict[str, Any]) -> None:
        if news.kind == "boot":
            self._session.drop("restarted")
        elif news.kind == "reading":
            self.readings += 1

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
        answers: list[dict[str, Any]] = []
        self._session.put([{"k": kind, **values}], lambda ok, answer: answers.append(answer))
        while not answers:
            self.step()
        if answers[0].get("k") == "a":
            return answers[0]
        if answers[0]["why"] == "restarted":
            raise LinkError("The board restarted: look at its supply, then go on.")
        raise LinkError("The board did not answer: check the cable, then go on.")

    def close(self) -> None:
        """Let the port go; whatever the board does goes on."""
        self.leasing = False
        self.link.close()
