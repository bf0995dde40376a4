"""Whether host and board can hear each other, and whether the record is being written."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from . import limits
from .finding import Finding, Lasting, caution


class Line(NamedTuple):
    """What the keeper knows of its line and its record."""

    connected: bool
    leasing: bool
    """Whether the lease is being renewed."""
    lease_age_ms: int
    """Since the board last confirmed it."""
    bad_lines: int
    """Received since the start that were no messages."""
    record_failure: str
    """Why the record is not being written, or empty."""


class LineWatch:
    """Judges the line during a cycle. Of several signs of one cause only the first is told."""

    def __init__(self) -> None:
        self._lasting = Lasting()
        self._counted: tuple[int, int] | None = None
        self._noise = 0

    def look(self, line: Line, silent: bool, now_ms: int) -> Iterator[Finding]:
        """silent: readings are missing, which has been told already."""
        if line.record_failure:
            yield caution("log-failing", line.record_failure)
        if self._lasting.for_ms("lost", not line.connected, now_ms) >= 0:
            yield caution("link-lost", "")
            return
        late = line.leasing and line.lease_age_ms > limits.UNLEASED_MS // 2
        unconfirmed_ms = self._lasting.for_ms("lease", late, now_ms)
        if unconfirmed_ms >= limits.UNLEASED_MS // 2 and not silent:
            yield caution("lease-unconfirmed", "")
        self._count(line.bad_lines, now_ms)
        if self._noise >= limits.NOISY_LINES:
            yield caution("line-noisy", f"{self._noise} in {limits.NOISY_MS // 1000} s")

    def _count(self, bad_lines: int, now_ms: int) -> None:
        if self._counted is None:
            self._counted = now_ms, bad_lines
        elif now_ms - self._counted[0] >= limits.NOISY_MS:
            self._noise = bad_lines - self._counted[1]
            self._counted = now_ms, bad_lines
