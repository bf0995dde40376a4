"""Comparisons become the two whole numbers which the board corrects a probe with.

corrected = raw + offset + raw * gain, in m°C and parts per million, as in the board's probes.py.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from glossbath.errors import InputError

from .points import Point

MOST_OFFSET_MC = 2_000
MOST_GAIN_PPM = 20_000
LEAST_APART_K = 10.0
WORKING_C = 31.0
"""Where it matters most: chocolate is worked near here."""
_GAIN_U = 0.005
"""Uncertainty of a gain nobody measured, in K for each K away from the one point; estimate."""


@dataclass(frozen=True)
class Correction:
    """offset_mc in m°C, gain_ppm in millionths, and the comparisons they rest on."""

    offset_mc: int = 0
    gain_ppm: int = 0
    points: tuple[Point, ...] = ()

    def undo(self, corrected_c: float) -> float:
        """The raw reading in °C behind a corrected one."""
        return (corrected_c - self.offset_mc / 1000.0) / (1.0 + self.gain_ppm / 1e6)

    def u_k(self, celsius: float) -> float:
        """Uncertainty (k = 2, K) of a corrected reading near celsius; infinite without points."""
        if not self.points:
            return math.inf
        first = self.points[0]
        if len(self.points) == 1:
            return math.hypot(first.u_k, _GAIN_U * (celsius - first.reference_c))
        second = self.points[1]
        span = second.reference_c - first.reference_c
        share = (celsius - first.reference_c) / span
        return math.hypot((1.0 - share) * first.u_k, share * second.u_k)


def one_point(point: Point) -> Correction:
    """An offset from one comparison. Raises InputError when the probe is too far off."""
    return _checked(point.reference_c - point.measured_c, 0.0, (point,))


def two_points(first: Point, second: Point) -> Correction:
    """Offset and gain from two comparisons at least LEAST_APART_K apart. Raises InputError."""
    span = second.reference_c - first.reference_c
    if not abs(span) >= LEAST_APART_K:
        raise InputError(
            f"The two points lie {abs(span):.1f} °C apart: take two that are at least "
            f"{LEAST_APART_K:g} °C apart, or use one."
        )
    measured = second.measured_c - first.measured_c
    if not 0.5 <= measured / span <= 2.0:
        raise InputError(
            f"Between two points {abs(span):.1f} °C apart the probe moved by {measured:.1f} °C: "
            f"it was not in the liquid, or the points are mixed up. Compare again."
        )
    slope = span / measured
    return _checked(first.reference_c - first.measured_c * slope, slope - 1.0, (first, second))


def best(points: Sequence[Point], at_c: float = WORKING_C) -> Correction:
    """The correction with the least uncertainty at at_c that one or two of the points give.

    A poor second point may be worse than none. Raises InputError without points, and where the
    probe is too far off.
    """
    if not points:
        raise InputError("No comparison was made: make at least one, ice is the simplest.")
    found = [
        two_points(first, second)
        for first, second in itertools.combinations(points, 2)
        if abs(second.reference_c - first.reference_c) >= LEAST_APART_K
    ]
    for point in points:
        # A probe whose scale is off may be far off at one point and still be mended by two.
        if not found or abs(point.error_c) * 1000 <= MOST_OFFSET_MC:
            found.append(one_point(point))
    return min(found, key=lambda correction: correction.u_k(at_c))


def _checked(offset_c: float, gain: float, points: tuple[Point, ...]) -> Correction:
    offset_mc, gain_ppm = offset_c * 1000.0, gain * 1e6
    if not abs(offset_mc) <= MOST_OFFSET_MC:
        raise InputError(
            f"The probe would need {offset_c:+.2f} °C of correction; the limit is "
            f"{MOST_OFFSET_MC / 1000:g} °C. Replace it."
        )
    if not abs(gain_ppm) <= MOST_GAIN_PPM:
        raise InputError(
            f"The probe's scale is off by {gain * 100:+.1f} %; the limit is "
            f"{MOST_GAIN_PPM / 1e4:g} %. Compare again, then replace it."
        )
    return Correction(round(offset_mc), round(gain_ppm), points)
