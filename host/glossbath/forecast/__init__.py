"""What will happen: before heating, and from every moment of a cycle on."""

from __future__ import annotations

from glossbath.forecast.ahead import Amount, Forecast, PhaseTime, Start, forecast
from glossbath.forecast.causes import Finding
from glossbath.forecast.follow import Forecaster, Outlook

__all__ = [
    "Amount",
    "Finding",
    "Forecast",
    "Forecaster",
    "Outlook",
    "PhaseTime",
    "Start",
    "forecast",
]
