"""A limit thermostat: a bulb on a capillary, a contact that opens when it is hot and stays open.

Faults are set here as they happen: bypassed, in the wrong wire, closing by itself.
"""

from __future__ import annotations

import math

_LAG_S = 15.0
"""A bulb of liquid in a band or in water; estimate."""
_RESETS_BELOW_C = 10.0


class LimitThermostat:
    """Opens at opens_c (°C) at the latest. wire is where its contact lies: "heater" as it should,
    "inputs" in the 12 V of both switching units where those are ready ones, "supply" in the 12 V
    supply's wire, "lamp" in the outlet lamp's."""

    def __init__(self, opens_c: float, bulb_c: float) -> None:
        self.opens_c = opens_c
        self.bulb_c = bulb_c
        self.dipped_c: float | None = None
        self.tripped = False
        self.bypassed = False
        self.closes_by_itself = False
        self.wire = "heater"

    def step(self, seconds: float, crock_c: float) -> None:
        """Let the bulb follow what it lies in."""
        around_c = crock_c if self.dipped_c is None else self.dipped_c
        self.bulb_c += (around_c - self.bulb_c) * (1 - math.exp(-seconds / _LAG_S))
        if self.bulb_c >= self.opens_c:
            self.tripped = True
        elif self.closes_by_itself and self.bulb_c < self.opens_c - _RESETS_BELOW_C:
            self.tripped = False

    def reset(self) -> None:
        """Somebody presses its knob: it closes if the bulb has cooled."""
        if self.bulb_c < self.opens_c - _RESETS_BELOW_C:
            self.tripped = False

    def cuts(self, wire: str) -> bool:
        """Whether this wire is open because of it."""
        return self.tripped and not self.bypassed and self.wire == wire
