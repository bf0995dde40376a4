"""Tells the moment on the slab from a live probe, and what the mixture came to.

The probe lies in the part on the slab until it goes back, then in the bowl with everything.
"""

from __future__ import annotations

from collections import deque
from statistics import fmean, linear_regression
from typing import Literal

from . import limits, slab
from .windows import Suggestion

SAY_EVERY_S = 15.0
SLOPE_OVER_S = 20.0
PROBE_LAG_S = 8.0
"""A sheathed probe in stirred chocolate is late by about this much (engineering estimate)."""
STEADY_S = 20.0
STEADY_C = 0.15
MIXING_S = 30.0

Stage = Literal["slab", "mixing", "done"]


class SlabWatch:
    """Follows one batch on the slab. Times in s on any steady clock, temperatures in °C."""

    def __init__(self, plan: slab.SlabPlan, windows: Suggestion) -> None:
        self.stage: Stage = "slab"
        self._plan = plan
        self._windows = windows
        self._recent: deque[tuple[float, float]] = deque()
        self._said_s: float | None = None
        self._back_s = 0.0

    def take(self, time_s: float, celsius: float) -> list[str]:
        """One reading and what is to be said now. Raises InputError for one that cannot be."""
        limits.celsius("probe", celsius, limits.CHOCOLATE_C)
        if self._recent and time_s <= self._recent[-1][0]:
            return []
        self._recent.append((time_s, celsius))
        while time_s - self._recent[0][0] > SLOPE_OVER_S + 5.0:
            self._recent.popleft()
        if self.stage == "slab":
            return self._on_slab(time_s, celsius)
        return self._in_bowl(time_s, celsius) if self.stage == "mixing" else []

    def _on_slab(self, time_s: float, celsius: float) -> list[str]:
        slope = self._slope_c_per_s()
        # The probe is late, so falling chocolate is colder than it says.
        real_c = celsius + min(0.0, slope) * PROBE_LAG_S
        left_c = real_c - self._plan.cool_to_c
        if left_c <= 0:
            self.stage = "mixing"
            self._back_s = time_s
            return [
                f"NOW: about {real_c:.1f} °C on the slab. Put it back into the rest and stir, "
                "with the probe in it."
            ]
        if self._said_s is not None and time_s - self._said_s < SAY_EVERY_S:
            return []
        self._said_s = time_s
        if slope >= -0.002:
            return [f"{celsius:.1f} °C, {left_c:.1f} °C to go; it is not cooling now."]
        return [f"{celsius:.1f} °C, {left_c:.1f} °C to go: about {_span(left_c / -slope)}."]

    def _in_bowl(self, time_s: float, celsius: float) -> list[str]:
        newest = [c for t, c in self._recent if time_s - t <= STEADY_S]
        steady = max(newest) - min(newest) <= STEADY_C
        covered = time_s - self._recent[0][0] >= STEADY_S
        if not (steady and covered and time_s - self._back_s >= MIXING_S):
            return []
        self.stage = "done"
        return slab.after(round(fmean(newest), 1), self._windows).sentences()

    def _slope_c_per_s(self) -> float:
        newest = self._recent[-1][0]
        points = [point for point in self._recent if newest - point[0] <= SLOPE_OVER_S]
        if len(points) < 4:
            return 0.0
        return linear_regression(*zip(*points, strict=True)).slope


def _span(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole} s" if whole < 90 else f"{round(whole / 60)} min"
