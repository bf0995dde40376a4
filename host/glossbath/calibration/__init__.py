"""Calibration of probes: known temperatures, steady readings, correction and its doubt."""

from __future__ import annotations

from glossbath.calibration.correction import Correction, best, one_point, two_points
from glossbath.calibration.points import (
    Point,
    Reference,
    boiling_point,
    compare,
    comparison,
    gallium,
    ice,
)
from glossbath.calibration.settling import Steady, steadiness
from glossbath.calibration.tolerance import class_warning, tolerance_k

__all__ = [
    "Correction",
    "Point",
    "Reference",
    "Steady",
    "best",
    "boiling_point",
    "class_warning",
    "compare",
    "comparison",
    "gallium",
    "ice",
    "one_point",
    "steadiness",
    "tolerance_k",
    "two_points",
]
