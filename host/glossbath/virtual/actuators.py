"""What flows into a plant."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True)
class Actuators:
    """What really flows, as shares (0 to 1) of heater power, pump flow and stirrer speed."""

    heat_share: float = 0.0
    chill_share: float = 0.0
    stir_share: float = 0.0
