"""Owns one board: holds its lease, watches it, runs its cycle, writes its record.

`step` does everything once; the process around it (serve.py) calls it after every clock's wait.
It waits for nothing but the disk at the end of a record, once a cycle and for at most 2 s: port,
clients, disk, hook and lessons have threads or processes of their own. Screens are clients and may
come, go or crash without the cycle noticing.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import Any

from glossbath.board.clock import Clock, iso
from glossbath.board.link import Link
from glossbath.board.session import Session
from glossbath.board.state import ENDED, HEATING, OFF, Board, Raw
from glossbath.checks import Line
from glossbath.client.messages import Message, Reply, Request, Snapshot
from glossbath.errors import KeeperError

from .alarm_manager import AlarmManager
from .batch import LiveBatch
from .event_log import EventLog, phase_begins
from .failed import Failed
from .fence import PRIORITY, Fence
from .handlers import Handlers
from .hook import Hook
from .learner import Learner
from .snapshots import SnapshotMaker
from .steering import Steering
from .stops import Answer

MOST_REQUESTS = 1_000  # waiting; a client that asks faster than a step answers is told so

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
        learner: Learner | None = None,
    ) -> None:
        self._clock = clock
        self._fence = Fence()
        self._to_clients = publish
        publish = self._publish
        self._board = Board()
        self._event_log = EventLog(rig, self._board, clock, publish, hook, self._fence, learner)
        self._session = Session(link, self._board, self._event_log.tell)
        self._alarms = AlarmManager(clock, self._event_log.tell, publish, self._event_log.tripped)
        self._snapshots = SnapshotMaker(
            self._session, self._event_log, self._alarms, clock, publish, speed
        )
        self._handlers = Handlers(
            self._session,
            self._event_log,
            self._alarms,
            self._snapshots,
            clock,
            cycles,
            self._renew_lease,
            self._fence,
        )
        self._failed: Failed | None = None
        self._inbox: deque[tuple[Request, Answer, int]] = deque()
        self._lock = threading.RLock()  # a client may connect while a step goes on

    # -- what the process around it calls

    @property
    def batch(self) -> LiveBatch | None:
        """The newest cycle, running or ended."""
        return self._event_log.batch

    @property
    def running(self) -> bool:
        """Whether a cycle runs."""
        return self._event_log.running is not None

    @property
    def met(self) -> bool:
        """Whether the board has ever said who it is."""
        return self._board.boot is not None

    @property
    def steering(self) -> Steering:
        """Which client steers."""
        return self._handlers.steering

    @property
    def over(self) -> bool:
        """Whether the process may end: a client asked for it, or a keeper that failed has done
        what it could to stop the rig."""
        if self._failed is None:
            return self._handlers.closing
        return self._failed.over(self._clock.now_ms())

    @property
    def failure(self) -> str:
        """What raised in a step and ended this keeper's work; empty while all is well."""
        return self._failed.why if self._failed is not None else ""

    def step(self) -> None:
        """Take in what has arrived, judge it, send what is due.

        Whatever raises in here ends the cycle by a stop, a closed record that says why, and an
        alarm; afterwards a step does nothing but stop the rig. See `failure` and `over`. Raises
        KeeperError only when a virtual rig has gone, and its time with it.
        """
        with self._lock:
            now_ms = self._clock.now_ms()
            try:
                if self._failed is None:
                    self._step(now_ms)
                else:
                    self._failed.step(now_ms, self._inbox)
            except KeeperError:
                raise
            except Exception as error:
                if self._failed is None:
                    self._failed = Failed(
                        error, self._session, self._event_log, self._alarms, self._handlers
                    )
                    self._failed.begin(now_ms)

    def _step(self, now_ms: int) -> None:
        if self._alarms.woke():  # before news is taken in, which may be as old as the absence
            self._session.stopping = True
        self._session.keep_open(now_ms)
        for message in self._session.link.drain():
            self._receive(message, now_ms)
        self._handlers.answer_stops(now_ms)
        while self._inbox:
            self._handlers.handle(*self._inbox.popleft())
        self._supervise(now_ms)
        for why in self._event_log.hook_failures():
            self._alarms.caution("hook-failed", why)
        for code, words in self._fence.news():
            self._alarms.call(code, PRIORITY, words)
        self._event_log.tell_lessons()
        self._renew_lease()
        self._session.send_orders(now_ms)
        if self.batch is not None:
            self.batch.writer.sync(now_ms / 1000)
        self._fence("showing", self._snapshots.publish_changes)

    def _publish(self, message: Message) -> None:
        self._fence("showing", lambda: self._to_clients(message))

    def ask(self, request: Request, answer: Answer, client: int = 0) -> None:
        """A client's request, from any thread. A stop goes to the board before anything else."""
        stop = request.op == "stop"
        if stop:
            self._session.stop_now()
        if len(self._inbox) >= (2 * MOST_REQUESTS if stop else MOST_REQUESTS):
            answer(Reply(request.id, False, "Too much was asked at once: wait, then ask again."))
            return
        self._inbox.append((request, answer, client))
        self._clock.wake()

    def shut_down(self, why: str) -> None:
        """Stop the rig and end the record: the keeper is about to go. The record says whether the
        board had confirmed the stop by then."""
        with self._lock:
            if not self._session.stop_confirmed:
                self._session.stop_now()
                self._session.link.written()  # what waits is lost when the port is closed
            if self.running:
                text = f"The keeper was told to end ({why}) and stopped the rig."
                self._event_log.tell("keeper", "shutdown", text)
                self._handlers.finish("stopped")
            self._session.link.close()

    def stop_to_end(self) -> bool:
        """Order the stop before `shut_down`; False once nothing is gained by further steps."""
        if not self._session.stopping:
            self._session.stop_now()
        connected = self._session.link.connected
        return connected and self._board.known and not self._session.stop_confirmed

    def snapshot(self) -> Snapshot:
        """The rig as it is; any thread may call."""
        with self._lock:
            return self._snapshots.snapshot()

    def greet(self, welcome: Callable[[Snapshot], None]) -> None:
        """Call welcome with the rig as it is and its past; nothing is published meanwhile, so
        whoever welcomes a client here gets everything that follows. Any thread may call."""
        with self._lock:
            welcome(self._snapshots.snapshot(self._snapshots.history.readings()))

    def mention(self, code: str, text: str) -> None:
        """Put something about this computer into the record and tell the clients."""
        with self._lock:
            self._event_log.tell("keeper", code, text)

    # -- the board's news

    def _receive(self, message: dict[str, Any], now_ms: int) -> None:
        news = self._session.receive(message, now_ms)
        if news.kind == "boot":
            self._board_restarted()
        elif news.reading is not None:
            self._record_reading(news.reading, now_ms)
        elif news.kind == "state":
            self._follow_state()
        elif news.kind == "note":
            self._alarms.note(message)
        elif news.kind in ("hello", "health"):
            self._snapshots.publish()

    def _record_reading(self, raw: Raw, now_ms: int) -> None:
        batch, wall_ns = self._event_log.running, self._clock.wall_ns()
        self._alarms.watch.reading(raw, self._board.cycle, now_ms)
        if batch is not None:
            reading = batch.record_reading(raw, self._board, wall_ns)
        else:
            ended = self.batch  # its time runs on: what follows stands beside what was
            time_s = ended.time_s() if ended is not None else raw.board_ms / 1000
            reading = self._board.reading(raw, time_s, iso(wall_ns), None)
        self._snapshots.history.add(reading)
        self._publish(reading)
        self._follow_state()
        batch = self._event_log.running
        if batch is not None and batch.assist is not None:
            assist = batch.assist
            if not self._fence("assist", lambda: assist.reading(reading)):
                batch.assist = None

    def _follow_state(self) -> None:
        board, batch = self._board, self._event_log.running
        if board.state == "tripped" and board.trip:
            # After a restart the state comes first, the reading with the reason a moment later.
            self._alarms.trip(board.trip, board.trip_detail)
        if batch is None or not batch.started:
            return
        phases = batch.recipe.phases
        if board.state in ENDED:
            self._handlers.finish("tripped" if self._alarms.found else board.state)
        elif board.state in HEATING and batch.phase_index != board.index < len(phases):
            batch.phase_index = board.index
            text = phase_begins(batch.recipe, board.index)
            self._event_log.tell("phase", phases[board.index].name, text)

    def _board_restarted(self) -> None:
        self._session.stopping = False
        self._session.drop("restarted")
        self._alarms.watch.restarted()
        self._event_log.tell("board", "restarted", "The board restarted.")
        if self._event_log.running is not None:
            self._alarms.trip("board-restarted", "")
            self._handlers.finish("tripped")

    # -- supervision

    def _renew_lease(self) -> None:
        now_ms = self._clock.now_ms()
        if self._leasing and self._session.renew_lease(now_ms):
            self._alarms.watch.lease_sent(now_ms)

    @property
    def _leasing(self) -> bool:
        return self._event_log.running is not None and not self._session.stopping

    def _supervise(self, now_ms: int) -> None:
        if self._alarms.look(self._line(now_ms)):
            self._session.stopping = True
        if not self._session.stopping:
            return
        self._alarms.watch.stop_ordered(now_ms)
        self._session.repeat_stop(now_ms)
        if self.running and self._session.silent(now_ms):
            self._event_log.tell("keeper", "unseen", "The board did not answer to the stop.")
            self._handlers.finish("tripped" if self._alarms.found else "stopped")
        elif not self.running and self._board.state in OFF:
            self._session.stopping = False
            self._alarms.watch.stop_seen()

    def _line(self, now_ms: int) -> Line:
        batch, link = self.batch, self._session.link
        return Line(
            connected=link.connected,
            leasing=self._leasing,
            lease_age_ms=self._session.lease_age_ms(now_ms),
            bad_lines=link.bad,
            record_failure=batch.writer.failure if batch is not None else "",
        )
