"""How wide the time left is: by what is uncertain of the rig, and by how the cycle keeps to what
was said of it before."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable

from ..model import Contents, RigModel
from .ahead import WIDE, varied
from .course import Course

Range = tuple[float, float]
Ahead = Callable[[RigModel, Contents, float], Course]
"""The course of a rig, its contents and a room (°C), from the beginning of the cycle on."""

_STRANGE = 2.0
"""So many times wider for a rig that was never measured, which may be any."""
_LEAST_SHARE, _LEAST_S = 0.15, 90.0
"""Of the phases that heat or cool: how far a measured rig strays at least, on both plants."""
_BY_CLOCK = ("soak", "hold")
"""Phases that end by their dwell."""
_SHORTEST, _LONGEST = 0.4, 2.5
"""Of a phase's time: no more is believed of one thing that is uncertain."""
_SPAN_S = 480.0
_STEP_S = 30.0
_SLOW, _STALLED = 0.8, 0.15
"""Seconds that the time left goes down in a second. All of these are engineering choices, tried on
random kitchens of both plants; no source."""


class Spread:
    """Tries everything that is uncertain, one thing a step, since each takes a course."""

    def __init__(
        self, model: RigModel, contents: Contents, room_c: float, base: Course, ahead: Ahead
    ) -> None:
        self._base, self._ahead = base, ahead
        self._waiting = deque(varied(model, contents, room_c))
        self._wider = 1.0 if model.measured else _STRANGE
        self._ratios: list[dict[str, float]] = []
        """Of each phase's time, for each thing that is uncertain."""

    def step(self) -> None:
        """Try one more."""
        if not self._waiting:
            return
        base, other = self._base.phases_s, self._ahead(*self._waiting.popleft()).phases_s
        self._ratios.append(
            {
                name: min(_LONGEST, max(_SHORTEST, other.get(name, seconds) / seconds))
                for name, seconds in base.items()
                if seconds > 0.0
            }
        )

    def around(self, left: dict[str, float]) -> Range:
        """Low and high of the sum of what is left of some phases, all in s."""
        expected_s = sum(left.values())
        square = 0.0
        for ratios in self._ratios:
            square += sum(s * (ratios.get(name, 1.0) - 1.0) for name, s in left.items()) ** 2
        worked_s = sum(s for name, s in left.items() if name not in _BY_CLOCK)
        least_s = _LEAST_SHARE * worked_s + (_LEAST_S if worked_s else 0.0)
        off_s = self._wider * max(WIDE * math.sqrt(square), least_s)
        # As many times shorter as longer, so that a wide range does not begin at nothing.
        if off_s >= expected_s:
            return expected_s * expected_s / (expected_s + off_s or 1.0), expected_s + off_s
        return expected_s - off_s, expected_s + off_s


class Countdown:
    """Whether the time left of a phase goes down as the clock goes on."""

    def __init__(self) -> None:
        self._points: deque[Range] = deque()

    def restart(self) -> None:
        """Another phase, or the recipe was held."""
        self._points.clear()

    def add(self, time_s: float, left_s: float) -> None:
        """What is said now."""
        if not self._points or time_s - self._points[-1][0] >= _STEP_S:
            self._points.append((time_s, left_s))
        while len(self._points) > 2 and time_s - self._points[1][0] >= _SPAN_S:
            self._points.popleft()

    @property
    def rate(self) -> float | None:
        """Seconds less a second over the last minutes, None where it is too early to say."""
        if not self._points:
            return None
        (begin_s, begin_left_s), (end_s, end_left_s) = self._points[0], self._points[-1]
        if end_s - begin_s < _SPAN_S - _STEP_S:
            return None
        return (begin_left_s - end_left_s) / (end_s - begin_s)

    @property
    def stalled(self) -> bool:
        """Whether it does not come nearer."""
        return self.rate is not None and self.rate < _STALLED

    def stretched(self, around: Range, phase_left_s: float) -> Range:
        """The range made as long as it takes at the rate of the last minutes."""
        rate = self.rate
        if rate is None or rate >= _SLOW or rate < _STALLED:
            return around
        return around[0], max(around[1], around[1] + phase_left_s * (1.0 / rate - 1.0))
