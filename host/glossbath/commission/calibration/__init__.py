"""Calibration of probes: known temperatures, steady readings, correction and its uncertainty."""

from __future__ import annotations

from .correction import Correction, best, one_point, two_points
from .points import Point, Reference, boiling_point, compare, comparison, gallium, ice
from .settling import Steady, steadiness
from .tolerance import class_warning, tolerance_k

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
