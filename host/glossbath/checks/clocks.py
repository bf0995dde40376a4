"""Whether news is new and time runs as it should: late, repeated and old readings, a computer
that slept, hung or had its clock set."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from typing import NamedTuple

from . import limits
from .finding import Finding, Lasting, caution, trip

_TREND_MS = 600_000  # clocks drift apart: how long the quickest delivery stays the measure


class Moment(NamedTuple):
    """The computer's clocks at one moment, in ms.

    steady never goes back but may stand still while the computer sleeps; boot goes on then; wall
    is UTC and may be set by anybody.
    """

    steady_ms: int
    boot_ms: int
    wall_ms: int


class Freshness:
    """Ages of readings, from the board's clock and the moment they came in."""

    def __init__(self) -> None:
        self._fresh_ms: int | None = None
        self._board_ms: int | None = None
        self._offsets: deque[tuple[int, int]] = deque()
        self._lasting = Lasting()

    def expect(self, now_ms: int) -> None:
        """Readings are expected from now on."""
        self._fresh_ms = now_ms

    def restarted(self) -> None:
        """The board's clock begins anew."""
        self._board_ms = None
        self._offsets.clear()

    def reading(self, board_ms: int, now_ms: int) -> Iterator[Finding]:
        """Take a reading's times; a finding when the same or older times keep coming."""
        repeated = self._board_ms is not None and board_ms <= self._board_ms
        if self._lasting.for_ms("repeated", repeated, now_ms) >= limits.FAULT_MS:
            yield trip("host-stale", "the same readings come again")
        if repeated:
            return
        self._board_ms = board_ms
        offset_ms = now_ms - board_ms
        offsets = self._offsets
        while offsets and offsets[-1][1] >= offset_ms:
            offsets.pop()
        offsets.append((now_ms, offset_ms))
        while now_ms - offsets[0][0] > _TREND_MS:
            offsets.popleft()
        if offset_ms - offsets[0][1] <= limits.OLD_MS:
            self._fresh_ms = now_ms

    def silence(self, now_ms: int, alone_ms: int = 0) -> Iterator[Finding]:
        """What it means that nothing fresh has come for as long as it has; alone_ms is how long
        the board may go on alone."""
        if self._fresh_ms is None:
            return
        silent_ms = now_ms - self._fresh_ms
        if silent_ms > limits.STALE_MS + alone_ms:
            yield trip("host-stale", f"{silent_ms // 1000} s")
        elif silent_ms > limits.LATE_MS:
            yield caution("readings-missing", f"{limits.LATE_MS // 1000} s")


class Absence:
    """Gaps in the keeper's own time, and jumps of the wall clock."""

    def __init__(self) -> None:
        self._last: Moment | None = None

    def look(self, now: Moment, supervising: bool, alone_ms: int = 0) -> Iterator[Finding]:
        """Judge the time since the last call; supervising says whether a cycle depends on it,
        alone_ms how long it may go on without."""
        last, self._last = self._last, now
        if last is None:
            return
        boot_ms = now.boot_ms - last.boot_ms
        slept = boot_ms - (now.steady_ms - last.steady_ms) > limits.ABSENT_MS
        jump_ms = now.wall_ms - last.wall_ms - boot_ms
        word = "asleep" if slept else "not running"
        if supervising and boot_ms > limits.GONE_MS + alone_ms:
            yield trip("host-absent", f"{word} for {boot_ms / 1000:.0f} s")
        elif supervising and boot_ms > limits.ABSENT_MS:
            yield caution("host-paused", f"{word} for {boot_ms / 1000:.0f} s")
        if not -limits.WALL_JUMP_MS <= jump_ms <= limits.WALL_JUMP_MS:
            yield caution("clock-jump", f"{jump_ms / 1000:+.0f} s")
