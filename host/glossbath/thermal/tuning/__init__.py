"""Identification: the experiment, and the model that fits its record."""

from __future__ import annotations

from .experiment import identify_recipe
from .fitting import Identified, fit
from .unknowns import Interval, Known

__all__ = ["Identified", "Interval", "Known", "fit", "identify_recipe"]
