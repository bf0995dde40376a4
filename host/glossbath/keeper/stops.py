"""Stops that clients have asked for, each answered by what the board confirmed."""

from __future__ import annotations

from collections.abc import Callable

from glossbath.board.session import Session
from glossbath.client.messages import Reply, Request

Answer = Callable[[Reply], None]

PATIENCE_MS = 4_000
"""A board answers within one pass; so long the stop is repeated before its silence is told."""

NO_BOARD = (
    "There is no line to the board, so it did not hear the stop: press the stop button at the "
    "rig, or pull its plug. The stop is repeated until the board answers."
)
NOT_CONFIRMED = (
    "The stop was sent, but the board has not confirmed it: press the stop button at the rig, or "
    "pull its plug. The stop is repeated until the board answers."
)


class Stops:
    """The stops of one rig that wait for the board's word."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._waiting: list[tuple[Request, Answer, int]] = []

    def put(self, request: Request, answer: Answer, now_ms: int) -> None:
        """A stop has gone out; its answer waits, unless it can be given at once."""
        self._waiting.append((request, answer, now_ms + PATIENCE_MS))
        self.answer(now_ms)

    def answer(self, now_ms: int) -> None:
        """Answer what the board has confirmed, or has not for too long."""
        if not self._waiting:
            return
        confirmed, state = self._session.stop_confirmed, self._session.stopped_as
        waiting, self._waiting = self._waiting, []
        for request, answer, until_ms in waiting:
            if confirmed:
                text = f"The board has confirmed the stop: it is {state}, all is off."
            elif not self._session.link.connected:
                text = NO_BOARD
            elif now_ms < until_ms:
                self._waiting.append((request, answer, until_ms))
                continue
            else:
                text = NOT_CONFIRMED
            answer(Reply(request.id, confirmed, text, {"confirmed": confirmed}))
