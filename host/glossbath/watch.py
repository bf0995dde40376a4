"""The host's own cut-offs: a second opinion with its own limits, sharing no code with the board's.

It sees only what arrived and what was ordered. What it finds ends in a stop and a lease that is
not renewed, so that heat ends even if the stop is lost.
"""

from __future__ import annotations

from .board import Raw

CHOCOLATE_OVER_C = 0.5  # above the recipe's own limit: the board should have acted before
BATH_LIMIT_C = 61.0
BODY_LIMIT_C = 97.0
STALE_MS = 4_000
OBEY_MS = 4_000  # a board that was told to stop must be seen to have stopped within this time


class Watch:
    """Looks at each reading and at their absence. `found` is (code, detail) of the first finding."""

    def __init__(self, max_c: float) -> None:
        self._max_c = max_c
        self._seen_ms: int | None = None
        self._board_ms: int | None = None
        self._stop_ms: int | None = None
        self.found: tuple[str, str] | None = None

    def ordered_stop(self, now_ms: int) -> None:
        """A stop has been ordered: heat must end."""
        if self._stop_ms is None:
            self._stop_ms = now_ms

    def reading(self, raw: Raw, now_ms: int) -> None:
        """Judge one reading."""
        if self._board_ms is None or raw.board_ms > self._board_ms:
            self._seen_ms = now_ms
        self._board_ms = raw.board_ms
        limits = (
            ("chocolate", raw.chocolate_c, self._max_c + CHOCOLATE_OVER_C),
            ("bath", raw.bath_c, BATH_LIMIT_C),
            ("body", raw.body_c, BODY_LIMIT_C),
        )
        for name, celsius, limit in limits:
            if celsius is not None and not celsius <= limit:
                self._find("host-hot", f"{name} {celsius:.1f} °C, limit {limit:.1f} °C")
        stopped_for = None if self._stop_ms is None else now_ms - self._stop_ms
        if raw.heat_share > 0 and stopped_for is not None and stopped_for > OBEY_MS:
            self._find("host-contradiction", "heat after a stop")
        if raw.heat_share > 0 and raw.faults:
            self._find("host-contradiction", "heat without a trustworthy probe")

    def silence(self, now_ms: int) -> bool:
        """Whether fresh readings have been missing for too long."""
        if self._seen_ms is None:
            self._seen_ms = now_ms
        return now_ms - self._seen_ms > STALE_MS

    def _find(self, code: str, detail: str) -> None:
        if self.found is None:
            self.found = (code, detail)
