"""One cycle as the keeper runs it: recipe, record, and how it ended."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from glossbath.board.clock import Clock, iso
from glossbath.board.state import Board, Raw
from glossbath.client.messages import Event, Reading
from glossbath.process.assist import Assist
from glossbath.process.cycle_forecast import CycleForecast

from .cycle_writer import CycleHeader, CycleWriter


class LiveBatch:
    """A cycle from its start order to its end. result is '' while it runs."""

    def __init__(
        self, folder: Path, header: CycleHeader, clock: Clock, cycle: str, alone_min: int = 0
    ) -> None:
        self.recipe = header.recipe
        self.cycle = cycle
        self.writer = CycleWriter(folder, header)
        self.header = header
        self.result = ""
        self.started = False
        self.alone_min = alone_min
        """For how long its hold may go on without this computer."""
        self.phase_index = -1
        self.forecast: CycleForecast | None = None
        self.assist: Assist | None = None
        self.dip_result: str | None = None
        """What the newest dip test said."""
        self.emptied = False
        """Whether a person ended the cycle by emptying the bowl."""
        self._clock = clock
        self._board_start_ms: int | None = None
        self._start_ms = clock.now_ms()

    @property
    def folder(self) -> str:
        """Where the record lies."""
        return str(self.writer.folder)

    @property
    def running(self) -> bool:
        """Whether the cycle has not ended."""
        return not self.result

    def time_s(self) -> float:
        """Seconds since the start order, by the keeper's clock."""
        return (self._clock.now_ms() - self._start_ms) / 1000

    def record_reading(self, raw: Raw, board: Board, wall_ns: int) -> Reading:
        """Turn a reading that came at wall_ns into a Reading of this cycle and record it."""
        if self._board_start_ms is None:
            self._board_start_ms = raw.board_ms - round(self.time_s() * 1000)
        time_s = (raw.board_ms - self._board_start_ms) / 1000
        reading = board.reading(raw, time_s, iso(wall_ns), self.recipe)
        if self.forecast is not None:
            reading = self.forecast.foretell(reading)
        steady_ns = self._clock.now_ms() * 1_000_000
        self.writer.reading(reading, raw.board_ms, str(board.boot), wall_ns, steady_ns)
        return reading

    def event(
        self, kind: str, code: str, text: str, values: dict[str, Any] | None = None
    ) -> Event:
        """Log something that happened once."""
        event = Event(self.time_s(), iso(self._clock.wall_ns()), kind, code, text, values or {})
        self.writer.event(event)
        return event

    def finish(self, result: str) -> None:
        """Close the record."""
        self.result = result
        if self.forecast is not None:
            self.forecast.end()
        self.writer.finish(result, self._clock.wall_ns())
        self.writer.close(timeout_s=2.0)  # heat is off: a slow disk may take a moment
