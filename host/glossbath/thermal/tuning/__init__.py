"""Finds out what a rig is: the experiment, the fit, and the controller gains that follow."""

from __future__ import annotations

from .experiment import identify_recipe
from .fitting import Identified, Interval, Known, fit

__all__ = ["Identified", "Interval", "Known", "fit", "identify_recipe"]
