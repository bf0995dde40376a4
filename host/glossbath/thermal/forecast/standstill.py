"""Chocolate that stands still above its window although all the chill is asked for.

A bath that is cold enough may still not do: chocolate that sets gives off heat, and a warm room
brings some in. What is left is then not a question of time, and the longer it is stirred there the
thicker it grows (common practice, no source).
"""

from __future__ import annotations

from collections import deque

from glossbath.client.messages import Reading

LOOK_S = 1_200.0
"""Time in which nothing must have moved. Engineering choice, tried on both virtual plants."""
STEP_S = 10.0
"""Between the readings that are kept."""
FULL_SHARE = 0.95
"""From this share on heat or chill is full."""
_STILL_K = 0.07
"""Chocolate and bath that fall by less are still: a probe's step is 0.06 K (DS18B20 datasheet)."""


class Standstill:
    """Follows one phase of cooling."""

    def __init__(self) -> None:
        self._points: deque[tuple[float, float, float]] = deque()
        """Time in s, chocolate and bath in °C."""

    def forget(self) -> None:
        """Another phase has begun."""
        self._points.clear()

    def add_reading(self, reading: Reading) -> None:
        """Take in a reading of a cooling."""
        chocolate_c, bath_c = reading.chocolate_c, reading.bath_c
        if reading.chill_share < FULL_SHARE or chocolate_c is None or bath_c is None:
            self.forget()
            return
        points = self._points
        if not points or reading.time_s - points[-1][0] >= STEP_S:
            points.append((reading.time_s, chocolate_c, bath_c))
        while reading.time_s - points[0][0] > LOOK_S:
            points.popleft()

    def stands(self, reading: Reading, high_c: float) -> bool:
        """Whether the chocolate stands still above high_c (°C) at this newest reading."""
        points = self._points
        if not points or reading.chocolate_c is None or reading.chocolate_c <= high_c:
            return False
        if reading.time_s - points[0][0] < LOOK_S - 2.0 * STEP_S:
            return False
        third = len(points) // 3
        first, last = list(points)[:third], list(points)[-third:]
        return all(
            sum(point[at] for point in first) - sum(point[at] for point in last) < third * _STILL_K
            for at in (1, 2)
        )
