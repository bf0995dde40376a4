"""Whether a series of readings stands still, and what it says when it does."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

WINDOW_S = 60.0
SLOPE_C_PER_MIN = 0.05
NOISE_C = 0.10
LEAST_READINGS = 10
STEP_C = 0.0625
"""One step of a DS18B20 at 12 bit."""


@dataclass(frozen=True)
class Steady:
    """The last window of a series: mean in °C, straight line through it, scatter about the line.

    why is '' when the series stands still, else one sentence.
    """

    mean_c: float
    slope_c_per_min: float
    noise_c: float
    count: int
    span_s: float
    why: str

    @property
    def settled(self) -> bool:
        """Whether the mean may be used."""
        return not self.why

    @property
    def u_k(self) -> float:
        """Uncertainty of the mean in K, k = 2: scatter, and the steps in which the chip counts.

        A step is a rectangular distribution, 1/√12 of its width (JCGM 100, GUM).
        """
        scatter = self.noise_c / math.sqrt(self.count)
        return 2.0 * math.hypot(scatter, STEP_C / math.sqrt(12.0))


def steadiness(series: Sequence[tuple[float, float]], window_s: float = WINDOW_S) -> Steady:
    """Judge the last window_s seconds of (time in s, °C), oldest first; not finite is left out."""
    end = series[-1][0] if series else 0.0
    kept = [(t, c) for t, c in series if end - t <= window_s and math.isfinite(c)]
    if len(kept) < LEAST_READINGS or kept[-1][0] - kept[0][0] < 0.9 * window_s:
        mean = sum(c for _, c in kept) / len(kept) if kept else math.nan
        span = kept[-1][0] - kept[0][0] if kept else 0.0
        return Steady(
            mean, 0.0, 0.0, len(kept), span, f"There are not yet {window_s:g} s of readings."
        )
    return _judge(kept)


def _judge(kept: list[tuple[float, float]]) -> Steady:
    count = len(kept)
    mean_t = sum(t for t, _ in kept) / count
    mean_c = sum(c for _, c in kept) / count
    spread = sum((t - mean_t) ** 2 for t, _ in kept)
    slope = sum((t - mean_t) * (c - mean_c) for t, c in kept) / spread
    rest = sum((c - mean_c - slope * (t - mean_t)) ** 2 for t, c in kept)
    noise = math.sqrt(rest / (count - 2))
    per_min = 60.0 * slope
    why = ""
    if not noise <= NOISE_C:
        why = f"The reading scatters by {noise:.2f} °C (at most {NOISE_C:g}): stir, keep it still."
    elif not abs(per_min) <= SLOPE_C_PER_MIN:
        why = (
            f"The reading moves by {per_min:+.2f} °C a minute (at most {SLOPE_C_PER_MIN:g}): wait."
        )
    return Steady(mean_c, per_min, noise, count, kept[-1][0] - kept[0][0], why)
