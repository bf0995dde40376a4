"""What a keeper still does after something raised that must not: it stops the rig, and says so."""

from __future__ import annotations

import contextlib
import sys
import traceback
from collections import deque

from glossbath.board.session import Session
from glossbath.client.messages import Reply, Request

from .alarm_manager import AlarmManager
from .event_log import EventLog
from .handlers import Handlers
from .stops import Answer

LAST_STOPS_MS = 10_000
"""So long a keeper that failed or is to end repeats the stop until it is confirmed."""

CODE = "keeper-failed"
_DID = "It ordered the stop and renews no lease; only the board watches the rig from here on."
_DO_NOW = "Look at the rig: press its stop button. Then start the keeper again."


class Failed:
    """The end of a keeper: a stop, an alarm, a closed record. why names the error."""

    def __init__(
        self,
        error: Exception,
        session: Session,
        event_log: EventLog,
        alarms: AlarmManager,
        handlers: Handlers,
    ) -> None:
        traceback.print_exception(error, file=sys.stderr)  # the keeper's log
        self.why = f"{type(error).__name__}: {error}"[:200]
        self._session = session
        self._event_log = event_log
        self._alarms = alarms
        self._handlers = handlers
        self._began_ms = 0

    def begin(self, now_ms: int) -> None:
        """Do what must be done, each whatever the others raise."""
        self._began_ms = now_ms
        words = (f"The keeper's program failed ({self.why}).", _DID, _DO_NOW)
        for act in (
            self._session.stop_now,
            lambda: self._alarms.call(CODE, "high", words),
            lambda: self._hear(now_ms),
            self._finish,
            self._close_record,
        ):
            with contextlib.suppress(Exception):
                act()

    def over(self, now_ms: int) -> bool:
        """Whether the board has confirmed the stop, or will not any more."""
        return self._session.stop_confirmed or now_ms - self._began_ms >= LAST_STOPS_MS

    def step(self, now_ms: int, inbox: deque[tuple[Request, Answer, int]]) -> None:
        """Repeat the stop, and answer who asks."""
        self._session.keep_open(now_ms)
        self._hear(now_ms)
        self._session.repeat_stop(now_ms)
        self._handlers.answer_stops(now_ms)
        while inbox:
            request, answer, _ = inbox.popleft()
            if request.op == "stop":
                self._handlers.stop(request, answer)
            else:
                answer(Reply(request.id, False, f"This keeper has failed ({self.why})."))

    def _hear(self, now_ms: int) -> None:
        """What has arrived may confirm the stop."""
        for message in self._session.link.drain():
            self._session.receive(message, now_ms)

    def _finish(self) -> None:
        if self._event_log.running is not None:
            self._handlers.finish("tripped")

    def _close_record(self) -> None:
        """Whatever raised, the record gets its end."""
        batch = self._event_log.batch
        if batch is not None and not batch.writer.finished:
            batch.finish("tripped")
