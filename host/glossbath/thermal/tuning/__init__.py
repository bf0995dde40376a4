"""Identification: the experiment, and the model that fits its record."""

from __future__ import annotations

from .experiment import identify_recipe
from .fitting import Identified, Interval, Known, fit

__all__ = ["Identified", "Interval", "Known", "fit", "identify_recipe"]
