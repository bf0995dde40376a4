"""One rig as its clients see it: the whole of it in a snapshot, and what they must hear of."""

from __future__ import annotations

from collections.abc import Callable

from glossbath.board.clock import Clock
from glossbath.board.session import LEASE_EVERY_MS, Session
from glossbath.client.messages import Health, Message, Reading, Snapshot
from glossbath.process.prompt import need

from .alarm_manager import AlarmManager
from .event_log import EventLog
from .reading_buffer import ReadingBuffer

LEASE_OLD_MS = 3 * LEASE_EVERY_MS


class SnapshotMaker:
    """Puts a rig's parts together for clients; publish is called with every snapshot for them."""

    def __init__(
        self,
        session: Session,
        event_log: EventLog,
        alarms: AlarmManager,
        clock: Clock,
        publish: Callable[[Message], None],
        speed: float,
    ) -> None:
        self.history = ReadingBuffer()
        self._session = session
        self._event_log = event_log
        self._alarms = alarms
        self._clock = clock
        self._publish = publish
        self._speed = speed
        self._shown: tuple[object, ...] = ()

    def publish(self) -> None:
        """Tell the clients how the rig is."""
        self._publish(self.snapshot())

    def publish_changes(self) -> None:
        """Tell the clients what changed without a message of the board's that says so."""
        health = self._health()
        state = self._session.board.state
        shown = (state, health.connected, health.lease_ok, health.log_ok, self._need())
        if shown != self._shown:
            self._shown = shown
            self.publish()

    def snapshot(self, past: list[Reading] | None = None) -> Snapshot:
        """The rig as it is, with the readings of the past that are given."""
        board, batch = self._session.board, self._event_log.batch
        return Snapshot(
            rig=self._event_log.rig,
            virtual=self._event_log.virtual,
            engine=str(board.hello.get("eng", "")),
            board=str(board.hello.get("id", "")),
            firmware=str(board.hello.get("fw", "")),
            state=board.state,
            recipe=batch.recipe.name if batch else "",
            chocolate=batch.recipe.chocolate if batch else "",
            phases=list(batch.recipe.phases) if batch else [],
            folder=batch.folder if batch else "",
            result=batch.result if batch else "",
            speed=self._speed,
            batch_kg=batch.header.batch_kg if batch else 0.0,
            port=self._session.link.port,
            alone_min=batch.alone_min if batch else 0,
            lot=batch.header.lot if batch else "",
            health=self._health(),
            alarms=self._alarms.alarms.standing(),
            history=past or [],
            request=self._need(),
            forecast=batch.forecast.curve if batch and batch.forecast else [],
        )

    def _need(self) -> str:
        batch, reading = self._event_log.running, self.history.newest
        if batch is not None and batch.assist and batch.assist.request:
            return batch.assist.request
        if batch is None or reading is None:
            last = self._event_log.batch
            emptied = last is not None and last.emptied
            return need(self._session.board.state, "", False, None, emptied)
        window = batch.recipe.phases[reading.phase_index].window if reading.phase else None
        chocolate_c = reading.chocolate_c
        inside = bool(window and chocolate_c and window.low_c <= chocolate_c <= window.high_c)
        return need(self._session.board.state, reading.phase, inside, batch.dip_result)

    def _health(self) -> Health:
        link, batch = self._session.link, self._event_log.batch
        said = self._session.board.health
        return Health(
            connected=link.connected,
            lease_ok=self._session.lease_age_ms(self._clock.now_ms()) <= LEASE_OLD_MS,
            frames_received=link.good,
            frames_lost=link.lost,
            frames_bad=link.bad,
            reconnects=max(0, link.opened_count - 1),
            passes=int(said.get("p", 0)),
            overruns=int(said.get("o", 0)),
            log_ok=batch is None or not batch.writer.failure,
        )
