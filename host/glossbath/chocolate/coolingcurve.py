"""Temper from a cooling curve: the bend that crystallisation makes, and the slope at it.

A standard mass is cooled in a controlled way and its temperature recorded. Latent heat bends the
curve; the inflection is where dT/dt is greatest after the initial cooling. Temperature that rises
there was under-tempered, a plateau is well tempered, a curve that keeps falling is over-tempered.
Where the classes part depends on cup, cooling and recipe: see `curveclass`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import msgspec

from . import limits, trace

if TYPE_CHECKING:
    from numpy.typing import NDArray

STEP_S = 1.0
"""Readings are resampled evenly at this step."""
WINDOW_S = 31.0
"""Span of the local fit, within the 20 to 40 s of common practice."""
ORDER = 2
LEAST_S = 120.0
FALL_SIGMAS = 6.0
"""After the inflection dT/dt must fall again by this many of its own standard errors."""
FALL_LEAST_C_PER_MIN = 0.15


class Inflection(msgspec.Struct, frozen=True):
    """The bend of a cooling curve."""

    seconds: float
    celsius: float
    slope_c_per_min: float
    slope_error_c_per_min: float
    """One standard error of the slope, from the scatter of the readings."""

    def sentences(self) -> list[str]:
        """The bend in words."""
        return [
            f"The curve bends at {self.celsius:.1f} °C after {self.seconds / 60:.1f} min with a "
            f"slope of {self.slope_c_per_min:+.2f} ± {self.slope_error_c_per_min:.2f} °C/min."
        ]


class Curve(msgspec.Struct, frozen=True):
    """A cooling curve on an even time axis, its slope, and its inflection if it has one."""

    times_s: list[float]
    celsius: list[float]
    """Smoothed."""
    slope_c_per_min: list[float]
    noise_c: float
    """Standard deviation of the readings about the smoothed curve."""
    inflection: Inflection | None

    def sentences(self) -> list[str]:
        """What the curve shows."""
        if self.inflection is None:
            return [
                "The curve shows no inflection: nothing crystallised that could be seen, or the "
                "recording stopped too early. It says nothing about temper."
            ]
        return self.inflection.sentences()


def analyse(
    times_s: Sequence[float], celsius: Sequence[float], *, window_s: float = WINDOW_S
) -> Curve:
    """Slope and inflection of a cooling curve by Savitzky and Golay's local quadratic fit.

    `times_s` in s (rising, at most 10 s apart, at least two minutes), `celsius` in °C. Raises
    InputError for a curve that cannot be used.
    """
    import numpy as np
    from scipy.signal import savgol_coeffs, savgol_filter

    trace.check(
        "cooling curve", times_s, celsius,
        unit="°C", low=-5.0, high=60.0, longest_gap_s=10.0, least_points=30,
    )  # fmt: skip
    limits.number("length of the cooling curve", times_s[-1] - times_s[0], LEAST_S, 7200.0, "s")
    limits.number("span of the local fit", window_s, 10.0, 60.0, "s")
    even_s = np.arange(times_s[0], times_s[-1] + STEP_S / 2, STEP_S)
    raw = np.interp(even_s, np.asarray(times_s, float), np.asarray(celsius, float))
    points = int(window_s / STEP_S) // 2 * 2 + 1
    smooth = savgol_filter(raw, points, ORDER)
    slope = savgol_filter(raw, points, ORDER, deriv=1, delta=STEP_S / 60)
    noise = _noise_c(celsius)
    # Readings further apart than the step carry less than one reading a step.
    thinning = max(1.0, (times_s[-1] - times_s[0]) / (len(times_s) - 1) / STEP_S)
    gain = float(np.linalg.norm(savgol_coeffs(points, ORDER, deriv=1, delta=STEP_S / 60)))
    slope_error = noise * gain * math.sqrt(thinning)
    place = _inflection(slope, points // 2, slope_error)
    bend = None
    if place is not None:
        bend = Inflection(
            float(even_s[place]), float(smooth[place]), float(slope[place]), slope_error
        )
    return Curve(even_s.tolist(), smooth.tolist(), slope.tolist(), noise, bend)


def _noise_c(celsius: Sequence[float]) -> float:
    """Standard deviation of single readings from their second differences.

    White noise of deviation s gives second differences of deviation s times the root of 6, and a
    smooth curve gives next to none.
    """
    second = [a - 2 * b + c for a, b, c in zip(celsius, celsius[1:], celsius[2:], strict=False)]
    return math.sqrt(sum(d * d for d in second) / len(second) / 6)


def _inflection(slope: NDArray[Any], margin: int, slope_error: float) -> int | None:
    """Index of the greatest slope after the steepest fall which then falls again, or None.

    The ends, where the fit is one-sided, are left out. A slope that only rises toward zero, as in
    cooling without crystallisation, has no inflection.
    """
    import numpy as np

    inner = slope[margin : len(slope) - margin]
    if len(inner) < 3:
        return None
    start = int(np.argmin(inner))
    after = inner[start:]
    drop_needed = max(FALL_LEAST_C_PER_MIN, FALL_SIGMAS * slope_error)
    rest_lowest = np.minimum.accumulate(after[::-1])[::-1]
    risen = after - after[0] >= drop_needed
    falls = after - rest_lowest >= drop_needed
    usable = np.flatnonzero(risen & falls)
    if len(usable) == 0:
        return None
    best = int(usable[np.argmax(after[usable])])
    return margin + start + best
