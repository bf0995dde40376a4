"""From pin levels to current in the heater: relay, charge pump, switch, cut-out, stop button.

Faults are set here as they happen in the parts: welded, shorted, dead, open.
"""

from __future__ import annotations

# The charge pump drops the relay this long after its last edge at most: hardware/charge_pump.py
# works it out from the parts at their worst.
_PUMP_HOLD_MS = 2_670


class Mains:
    """The heater's circuit. Every attribute that is a fault is False on a healthy rig."""

    def __init__(self) -> None:
        self.stop_pressed = False
        self.cutout_open = False
        self.relay_welded = False
        self.relay_dead = False
        self.switch_shorted = False
        self.switch_open = False
        self.half_wave = False
        self.heater_open = False
        self.sense_dead = False
        self.supply_on = True
        self.relay_chatters = False
        """The charge pump leaks: the contact stays closed for a moment after each rising edge."""
        self.relay_line_high = False

    def relay_closed(self, edge_age_ms: int | None) -> bool:
        """Whether the relay's contact is closed, edge_age_ms after the last pulse edge."""
        if self.relay_welded:
            return True
        pulsed = edge_age_ms is not None and edge_age_ms <= _PUMP_HOLD_MS
        if self.relay_chatters:
            pulsed = pulsed and self.relay_line_high
        return pulsed and not self.relay_dead and not self.stop_pressed

    def switch_closed(self, pin_high: bool) -> bool:
        """Whether the solid-state relay conducts."""
        return (pin_high or self.switch_shorted) and not self.switch_open

    def outlet_live(self, edge_age_ms: int | None, pin_high: bool) -> bool:
        """Whether voltage reaches the heater's outlet."""
        closed = self.relay_closed(edge_age_ms) and self.switch_closed(pin_high)
        return closed and self.supply_on and not self.cutout_open

    def heat_share(self, edge_age_ms: int | None, pin_high: bool) -> float:
        """Share of the heater's power that flows."""
        if self.heater_open or not self.outlet_live(edge_age_ms, pin_high):
            return 0.0
        return 0.5 if self.half_wave else 1.0

    def sensed(self, edge_age_ms: int | None, pin_high: bool) -> bool:
        """What the load-sense input shows."""
        return self.outlet_live(edge_age_ms, pin_high) and not self.sense_dead
