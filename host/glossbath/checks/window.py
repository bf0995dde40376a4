"""The last minutes of good readings, with the sums that heat balances need."""

from __future__ import annotations

from bisect import bisect_right
from typing import NamedTuple

from .figures import USUAL

_KEEP_S = 400
_LONGEST_GAP_MS = 5_000


class Point(NamedTuple):
    """One good reading. heat_s is the time (s) of full heat asked so far, chill_j the heat (J)
    that chill should have taken so far."""

    ms: int
    chocolate_c: float
    bath_c: float
    body_c: float
    heat_s: float
    chill_j: float


class Window:
    """Good readings without a gap, oldest first. Times in s before the newest reading."""

    def __init__(self, coil_w_per_k: float = USUAL.coil_w_per_k) -> None:
        self._coil_w_per_k = coil_w_per_k
        self._points: list[Point] = []
        self._times_ms: list[int] = []

    def clear(self) -> None:
        """Forget everything: what lies before a gap says nothing about what lies behind it."""
        self._points.clear()
        self._times_ms.clear()

    def add(
        self,
        ms: int,
        chocolate_c: float,
        bath_c: float,
        body_c: float,
        heat_share: float,
        chill_share: float,
    ) -> None:
        """Add a reading taken at ms on the board's clock."""
        heat_s = chill_j = 0.0
        if self._points:
            last = self._points[-1]
            gap_ms = ms - last.ms
            if not 0 < gap_ms <= _LONGEST_GAP_MS:
                self.clear()
            else:
                heat_s = last.heat_s + heat_share * gap_ms / 1000
                chill_j = last.chill_j + chill_share * self._coil_w_per_k * bath_c * gap_ms / 1000
        self._points.append(Point(ms, chocolate_c, bath_c, body_c, heat_s, chill_j))
        self._times_ms.append(ms)
        if len(self._points) > 2 * _KEEP_S:
            del self._points[:_KEEP_S], self._times_ms[:_KEEP_S]

    def newest(self) -> Point | None:
        """The newest reading."""
        return self._points[-1] if self._points else None

    def before(self, seconds: float) -> Point | None:
        """The newest reading that is at least that old, or None when there is none so old."""
        if not self._points:
            return None
        at = bisect_right(self._times_ms, self._times_ms[-1] - round(seconds * 1000))
        return self._points[at - 1] if at else None

    def thirds(self, seconds: float) -> tuple[Point, Point, Point, Point] | None:
        """The readings at the ends of the last three thirds of a span, oldest first."""
        oldest = self.before(seconds)
        newest = self.newest()
        second, third = self.before(seconds * 2 / 3), self.before(seconds / 3)
        if oldest is None or second is None or third is None or newest is None:
            return None
        return oldest, second, third, newest
