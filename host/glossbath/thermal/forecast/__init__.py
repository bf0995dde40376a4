"""What will happen: before heating, and from every moment of a cycle on."""

from __future__ import annotations

from .ahead import Amount, Forecast, PhaseTime, Start, forecast
from .beforehand import MOST_ICE_KG, TAP_C, Beginning, Kitchen
from .causes import Finding
from .follow import Forecaster, Outlook, room_of
from .plan import Plan, plan

__all__ = [
    "MOST_ICE_KG",
    "TAP_C",
    "Amount",
    "Beginning",
    "Finding",
    "Forecast",
    "Forecaster",
    "Kitchen",
    "Outlook",
    "PhaseTime",
    "Plan",
    "Start",
    "forecast",
    "plan",
    "room_of",
]
