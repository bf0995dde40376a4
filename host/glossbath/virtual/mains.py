"""From pin levels to current in the heater: relay, charge pump, switch, cut-out, stop button.

Faults are set here as they happen in the parts: welded, shorted, dead, open.
"""

from __future__ import annotations

from .limit_thermostat import LimitThermostat

# The charge pump drops the relay this long after its last edge at most: hardware/charge_pump.py
# works it out from the parts at their worst.
_PUMP_HOLD_MS = 2_670


class Mains:
    """The heater's circuit. Every attribute that is a fault is False on a healthy rig."""

    def __init__(self) -> None:
        self.stop_pressed = False
        self.stop_bridged = False
        """A wire past the stop button's coil contact."""
        self.first = LimitThermostat(90.0, 20.0)
        self.second = LimitThermostat(110.0, 20.0)
        self.cutout_open = False
        self.relay_welded = False
        self.relay_dead = False
        self.switch_shorted = False
        self.switch_open = False
        self.half_wave = False
        self.heater_open = False
        self.sense_dead = False
        self.sense_weak = False
        """An aged optocoupler: its level lies where the board reads now this, now that."""
        self.switch_leaks = False
        """The open solid-state relay passes some milliamperes, within its datasheet."""
        self.cooker_unplugged = False
        self.cooker_off = False
        """At its own knob, or by its own cut-out."""
        self.load_jumper = False
        """A jumper from 3.3 V to the load sense's wire."""
        self.supply_on = True
        self.relay_chatters = False
        """The charge pump leaks: the contact stays closed for a moment after each rising edge."""
        self.relay_line_high = False
        self._flickers = False

    def step(self, seconds: float, crock_c: float) -> None:
        """Let the thermostats' bulbs follow the crock, in °C."""
        for thermostat in (self.first, self.second):
            thermostat.step(seconds, crock_c)

    @property
    def control_dead(self) -> bool:
        """Whether the 12 V side has no mains."""
        return self.first.cuts("supply") or self.second.cuts("supply")

    @property
    def coil_fed(self) -> bool:
        """Whether the stop button's coil circuit has 12 V."""
        starved = self.first.cuts("inputs") or self.second.cuts("inputs")
        fed = self.stop_bridged or not self.stop_pressed
        return fed and not starved and not self.control_dead

    def relay_closed(self, edge_age_ms: int | None) -> bool:
        """Whether the relay's contact is closed, edge_age_ms after the last pulse edge."""
        if self.relay_welded:
            return True
        pulsed = edge_age_ms is not None and edge_age_ms <= _PUMP_HOLD_MS
        if self.relay_chatters:
            pulsed = pulsed and self.relay_line_high
        return pulsed and not self.relay_dead and self.coil_fed

    def switch_closed(self, pin_high: bool) -> bool:
        """Whether the solid-state relay conducts."""
        return (pin_high or self.switch_shorted) and not self.switch_open

    def outlet_live(self, edge_age_ms: int | None, pin_high: bool) -> bool:
        """Whether voltage reaches the heater's outlet."""
        closed = self.relay_closed(edge_age_ms) and self.switch_closed(pin_high)
        return closed and self._feed_on

    @property
    def _feed_on(self) -> bool:
        """Whether live reaches the switches."""
        cut = self.cutout_open or self.first.cuts("heater") or self.second.cuts("heater")
        return self.supply_on and not cut

    def heat_share(self, edge_age_ms: int | None, pin_high: bool) -> float:
        """Share of the heater's power that flows."""
        absent = self.heater_open or self.cooker_unplugged or self.cooker_off
        if absent or not self.outlet_live(edge_age_ms, pin_high):
            return 0.0
        return 0.5 if self.half_wave else 1.0

    def sensed(self, edge_age_ms: int | None, pin_high: bool) -> bool:
        """What the load-sense input shows."""
        if self.load_jumper:
            return True
        live = self.outlet_live(edge_age_ms, pin_high)
        if self.switch_leaks and (self.cooker_unplugged or self.cooker_off):
            # No heater takes the leakage away: it lights the optocoupler.
            live = live or (self._feed_on and self.relay_closed(edge_age_ms))
        if self.sense_weak:
            self._flickers = not self._flickers
            live = live and self._flickers
        return live and not self.sense_dead
