"""What will happen: before heating, and from every moment of a cycle on."""

from __future__ import annotations

from .ahead import Amount, Forecast, PhaseTime, Start, forecast, plain_course
from .causes import Finding
from .follow import Forecaster, Outlook

__all__ = [
    "Amount",
    "Finding",
    "Forecast",
    "Forecaster",
    "Outlook",
    "PhaseTime",
    "Start",
    "forecast",
    "plain_course",
]
