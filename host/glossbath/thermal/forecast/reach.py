"""Whether a phase can still be reached as things are, seen from the readings alone.

At full heat, or at full chill, a bath nears a temperature exponentially, whatever the rig is made
of: from two rates of change, one after the other, follows where it ends. And full heat never warms
it faster than it has before, when it was colder. That needs no model, so it holds for a rig that
nobody measured, with a dead pump, without ice or in a hot room.
"""

from __future__ import annotations

from collections import deque

from glossbath.chocolate.phase import PhasePlan
from glossbath.client.messages import Reading

SPAN_S = 600.0
_FULL_SHARE = 0.95
_STEP_S = 10.0
_LEAST_K = 0.5
"""Of the bath's change from third to third: less cannot be told from noise, and is none."""
_SURE_K = 0.4
"""The end must miss what is needed by this: engineering choice, tried on both virtual plants."""


_MELTED_C = 36.5
"""Fat that melts slows the bath a while: below this only what full heat can do at most counts."""


class Reach:
    """Follows the readings of one cycle."""

    def __init__(self) -> None:
        self._index = -1
        self._points: deque[tuple[float, float]] = deque()
        self._chocolate_c = 0.0
        self._elapsed_s = 0.0
        self._best_k_per_s = 0.0

    def add_reading(self, reading: Reading) -> None:
        """Keep a reading of full heat or full chill; anything else begins anew."""
        cooling = reading.phase == "cool"
        chocolate_c = reading.chocolate_c or 0.0
        if (chocolate_c < _MELTED_C) != (self._chocolate_c < _MELTED_C):
            self._points.clear()
        self._chocolate_c, self._elapsed_s = chocolate_c, reading.phase_elapsed_s
        share = reading.chill_share if cooling else reading.heat_share
        full = share >= _FULL_SHARE and reading.state == "running"
        if reading.phase_index != self._index or not full or reading.bath_c is None:
            self._index = reading.phase_index
            self._points.clear()
            return
        if self._points and reading.time_s - self._points[-1][0] < _STEP_S:
            return
        self._points.append((reading.time_s, reading.bath_c))
        while self._points and reading.time_s - self._points[0][0] > SPAN_S + _STEP_S:
            self._points.popleft()

    def end_c(self) -> float | None:
        """Where the bath ends if all stays as it is, in °C; None while that cannot be told."""
        thirds = self._thirds()
        if thirds is None:
            return None
        first, middle, last = thirds
        before_k, after_k = middle - first, last - middle
        if abs(before_k) < _LEAST_K and abs(after_k) < _LEAST_K:
            return last
        if before_k * after_k <= 0.0 or abs(after_k) >= 0.9 * abs(before_k):
            return None  # it turns, or hardly slows: its end is not in sight
        left = after_k / before_k
        return last + after_k * left / (1.0 - left)

    def _thirds(self) -> tuple[float, float, float] | None:
        """Means of the bath over the thirds of the span, in °C; None while it is not full."""
        points = list(self._points)
        if len(points) < 3 or points[-1][0] - points[0][0] < SPAN_S:
            return None
        third = len(points) // 3
        first, middle, last = (
            sum(celsius for _, celsius in part) / len(part)
            for part in (points[:third], points[third : 2 * third], points[2 * third :])
        )
        return first, middle, last

    def _most_c(self, left_s: float) -> float | None:
        """What the bath reaches at most in left_s of full heat, in °C."""
        thirds = self._thirds()
        if thirds is None:
            return None
        rate = (thirds[2] - thirds[0]) / (SPAN_S * 2.0 / 3.0)
        self._best_k_per_s = max(self._best_k_per_s, rate)
        return thirds[2] + self._best_k_per_s * left_s

    def problem(self, phase: PhasePlan) -> str:
        """One sentence if the phase's window cannot be reached, what would help included."""
        end_c = self.end_c()
        if phase.name == "melt" and self._chocolate_c < _MELTED_C:
            end_c = self._most_c(phase.timeout_s - self._elapsed_s)
        if end_c is None:
            return ""
        if phase.name == "cool" and end_c > phase.window.high_c + _SURE_K:
            return (
                f"The cooling cannot be reached: at full chill the bath comes to {end_c:.1f} °C, "
                f"and the chocolate needs {phase.window.high_c:.1f} °C. Put ice into the chill "
                "water, see that its pump runs and the hoses are free, or cool the room."
            )
        if phase.name != "cool" and end_c < phase.window.low_c - _SURE_K:
            return (
                f"The {phase.name} cannot be reached: at full heat the bath comes to "
                f"{end_c:.1f} °C, and the chocolate needs {phase.window.low_c:.1f} °C. Put the "
                "lid on, see that the cooker gives its full heat, or use a stronger one."
            )
        return ""
