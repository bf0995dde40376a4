"""Owns one board: holds its lease, watches it, runs its cycle, writes its record.

`step` does everything once and never blocks; the process around it (serve.py) calls it after each
wait of the clock. Screens are clients and may come, go or crash without the cycle noticing.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import Any

from . import desired
from .batch import ENDED, Batch, to_reading
from .board import Board
from .clock import Clock, iso
from .guard import Guard
from .hook import Hook
from .journal import Journal
from .lifeline import Lifeline
from .link import Link
from .requests import Answer, Requests
from .showing import Showing
from .state import Message, Reply, Request, Snapshot
from .steering import Steering
from .watch import Line

MOST_REQUESTS = 1_000  # waiting; a client that asks faster than a step answers is told so

RESTING = ("idle", *ENDED)
HEATING = ("running", "held")

Publish = Callable[[Message], None]


class Keeper:
    """One board's keeper. publish is called with every message for clients."""

    def __init__(
        self,
        link: Link,
        clock: Clock,
        rig: str,
        cycles: Path,
        publish: Publish,
        speed: float = 1.0,
        hook: Hook | None = None,
    ) -> None:
        self._clock = clock
        self._publish = publish
        self._board = Board()
        self._journal = Journal(rig, self._board, clock, publish, hook)
        self._lifeline = Lifeline(link, self._board, self._journal.tell)
        self._guard = Guard(clock, self._journal.tell, publish, self._journal.tripped)
        self._showing = Showing(self._lifeline, self._journal, self._guard, clock, publish, speed)
        self._requests = Requests(
            self._lifeline,
            self._journal,
            self._guard,
            self._showing,
            clock,
            cycles,
            self._renew_lease,
        )
        self._inbox: deque[tuple[Request, Answer, int]] = deque()
        self._lock = threading.RLock()  # a client may connect while a step goes on

    # -- what the process around it calls

    @property
    def batch(self) -> Batch | None:
        """The newest cycle, running or ended."""
        return self._journal.batch

    @property
    def steering(self) -> Steering:
        """Which client steers."""
        return self._requests.steering

    @property
    def closing(self) -> bool:
        """Whether a client asked the keeper to end."""
        return self._requests.closing

    def step(self) -> None:
        """Take in what has arrived, judge it, send what is due."""
        with self._lock:
            self._step(self._clock.now_ms())

    def _step(self, now_ms: int) -> None:
        if self._guard.woke():  # before news is taken in, which may be as old as the absence
            self._lifeline.stopping = True
        self._lifeline.keep_open(now_ms)
        for message in self._lifeline.link.drain():
            self._take(message, now_ms)
        while self._inbox:
            self._requests.handle(*self._inbox.popleft())
        self._supervise(now_ms)
        for why in self._journal.hook_failures():
            self._guard.caution("hook-failed", why)
        self._renew_lease()
        self._lifeline.send_orders(now_ms)
        if self.batch is not None:
            self.batch.writer.sync(now_ms / 1000)
        self._showing.publish_changes()

    def ask(self, request: Request, answer: Answer, client: int = 0) -> None:
        """A client's request, from any thread. A stop goes to the board before anything else."""
        if request.op == "stop":
            self._lifeline.stop_now()
        if len(self._inbox) >= MOST_REQUESTS:
            answer(Reply(request.id, False, "Too much was asked at once: wait, then ask again."))
            return
        self._inbox.append((request, answer, client))
        self._clock.wake()

    def shut_down(self, why: str) -> None:
        """Stop the rig and end the record: the keeper is about to go."""
        self._lifeline.stop_now()
        if self._journal.running is not None:
            text = f"The keeper was told to end ({why}) and stopped the rig."
            self._journal.tell("keeper", "shutdown", text)
            self._requests.finish("stopped")
        self._lifeline.link.close()

    def snapshot(self) -> Snapshot:
        """The rig as it is; any thread may call."""
        with self._lock:
            return self._showing.snapshot()

    def greet(self, welcome: Callable[[Snapshot], None]) -> None:
        """Call welcome with the rig as it is and its past; nothing is published meanwhile, so
        whoever welcomes a client here gets everything that follows. Any thread may call."""
        with self._lock:
            welcome(self._showing.snapshot(self._showing.history.readings()))

    def mention(self, code: str, text: str) -> None:
        """Put something about this computer into the record and tell the clients."""
        with self._lock:
            self._journal.tell("keeper", code, text)

    # -- the board's news

    def _take(self, message: dict[str, Any], now_ms: int) -> None:
        news = self._lifeline.take(message, now_ms)
        if news == "reading":
            self._take_reading(now_ms)
        elif news == "boot":
            self._board_restarted()
        elif news == "state":
            self._state_changed()
        elif news == "note":
            self._guard.note(message)
        elif news in ("hello", "health"):
            self._showing.publish()

    def _take_reading(self, now_ms: int) -> None:
        raw, batch = self._board.raw, self._journal.running
        assert raw is not None
        self._guard.watch.reading(raw, self._board.cycle, now_ms)
        if batch is not None:
            reading = batch.reading(raw, self._board)
        else:
            ended = self.batch  # its time runs on: what follows stands beside what was
            time_s = ended.time_s() if ended is not None else raw.board_ms / 1000
            reading = to_reading(raw, self._board, time_s, iso(self._clock.wall_ns()), None)
        self._showing.history.add(reading)
        self._publish(reading)
        self._state_changed()
        batch = self._journal.running
        if batch is not None and batch.attendance is not None:
            batch.attendance.reading(reading)

    def _state_changed(self) -> None:
        board, batch = self._board, self._journal.running
        if board.state == "tripped" and board.trip:
            # After a restart the state comes first, the reading with the reason a moment later.
            self._guard.trip(board.trip, board.trip_detail)
        if batch is None or not batch.started:
            return
        phases = batch.recipe.phases
        if board.state in ENDED:
            self._requests.finish("tripped" if self._guard.found else board.state)
        elif board.state in HEATING and batch.phase_index != board.index < len(phases):
            batch.phase_index = board.index
            text = desired.phase_begins(batch.recipe, board.index)
            self._journal.tell("phase", phases[board.index].name, text)

    def _board_restarted(self) -> None:
        self._lifeline.stopping = False
        self._lifeline.drop("restarted")
        self._guard.watch.restarted()
        self._journal.tell("board", "restarted", "The board restarted.")
        if self._journal.running is not None:
            self._guard.trip("board-restarted", "")
            self._requests.finish("tripped")

    # -- supervision

    def _renew_lease(self) -> None:
        now_ms = self._clock.now_ms()
        if self._leasing and self._lifeline.renew_lease(now_ms):
            self._guard.watch.lease_sent(now_ms)

    @property
    def _leasing(self) -> bool:
        return self._journal.running is not None and not self._lifeline.stopping

    def _supervise(self, now_ms: int) -> None:
        running = self._journal.running is not None
        if self._guard.look(self._line(now_ms)):
            self._lifeline.stopping = True
        if not self._lifeline.stopping:
            return
        self._guard.watch.stop_ordered(now_ms)
        self._lifeline.repeat_stop(now_ms)
        if running and self._lifeline.silent(now_ms):
            text = "The board did not answer; its lease has run out."
            self._journal.tell("keeper", "unseen", text)
            self._requests.finish("tripped" if self._guard.found else "stopped")
        elif not running and self._board.state in RESTING:
            self._lifeline.stopping = False
            self._guard.watch.stop_seen()

    def _line(self, now_ms: int) -> Line:
        batch, link = self.batch, self._lifeline.link
        return Line(
            connected=link.connected,
            leasing=self._leasing,
            lease_age_ms=self._lifeline.lease_age_ms(now_ms),
            bad_lines=link.bad,
            record_failure=batch.writer.failure if batch is not None else "",
        )
