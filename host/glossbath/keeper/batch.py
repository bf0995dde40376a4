"""One cycle as the keeper runs it: recipe, log, and how it ended."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from glossbath.board.clock import Clock, iso
from glossbath.board.state import Board, Raw
from glossbath.client.messages import Event, Reading
from glossbath.process.assist import Assist
from glossbath.process.cycle_forecast import CycleForecast
from glossbath.recipe import Recipe

from .cycle_writer import CycleHeader, CycleWriter

ENDED = ("complete", "stopped", "tripped")


class Batch:
    """A cycle from its start order to its end. result is '' while it runs."""

    def __init__(self, folder: Path, header: CycleHeader, clock: Clock, cycle: str) -> None:
        self.recipe = header.recipe
        self.cycle = cycle
        self.writer = CycleWriter(folder, header)
        self.header = header
        self.result = ""
        self.started = False
        self.phase_index = -1
        self.forecast: CycleForecast | None = None
        self.assist: Assist | None = None
        self.dip_result: str | None = None
        """What the newest dip test said."""
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

    def reading(self, raw: Raw, board: Board) -> Reading:
        """Turn a reading frame into a Reading of this cycle and log it."""
        if self._board_start_ms is None:
            self._board_start_ms = raw.board_ms - round(self.time_s() * 1000)
        reading = to_reading(
            raw,
            board,
            (raw.board_ms - self._board_start_ms) / 1000,
            iso(self._clock.wall_ns()),
            self.recipe,
        )
        if self.forecast is not None:
            reading = self.forecast.take(reading)
        self.writer.reading(
            reading,
            raw.board_ms,
            str(board.boot),
            self._clock.wall_ns(),
            self._clock.now_ms() * 1_000_000,
        )
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


def to_reading(raw: Raw, board: Board, time_s: float, wall: str, recipe: Recipe | None) -> Reading:
    """A Reading for clients; without a recipe there is no target."""
    phase = None
    if recipe is not None and raw.state in ("running", "held") and raw.index < len(recipe.phases):
        phase = recipe.phases[raw.index]
    left_s = None
    if phase is not None and phase.name == "hold":
        left_s = max(0.0, phase.dwell_s - raw.dwell_ms / 1000)
    return Reading(
        time_s=time_s,
        wall=wall,
        chocolate_c=raw.chocolate_c,
        bath_c=raw.bath_c,
        body_c=raw.body_c,
        target_c=phase.target_c if phase else None,
        bath_target_c=raw.bath_target_c,
        heat_share=raw.heat_share,
        chill_share=raw.chill_share,
        stir_share=raw.stir_share,
        state=raw.state,
        phase=phase.name if phase else "",
        phase_index=raw.index,
        phase_elapsed_s=raw.phase_ms / 1000,
        phase_left_s=left_s,
        cycle_left_s=None,
        faults=raw.faults,
        room_c=board.room_c,
        room_rh_percent=board.room_rh_percent,
        stir_ma=raw.stir_ma,
    )
