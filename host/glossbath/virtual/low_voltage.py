"""The 12 V side: supply, pump and stirrer behind their transistors, and the converters.

Faults are set here as they happen in the parts: unplugged, shorted, cut, sagging.
"""

from __future__ import annotations

import math

# hardware/wiring.toml, [scale]: volts at the pin.
_REFERENCE_V = 3.3
_STIR_V_PER_A = 1.0
_SUPPLY_DIVIDER = 4.9
_NTC_FIXED_OHM = 10_000.0
_FULL_COUNT = 65_535

# NTCLE100E3103, ln(R/R25) = A + B/T + C/T^2 + D/T^3 with T in K: datasheet of Vishay, from memory.
_NTC_OHM_AT_25 = 10_000.0
_NTC_ABCD = (-14.6337, 4791.842, -115_334.0, -3.730535e6)


def ntc_ohm(celsius: float) -> float:
    """Resistance of the guard thermistor in ohms."""
    a, b, c, d = _NTC_ABCD
    t = celsius + 273.15
    return _NTC_OHM_AT_25 * math.exp(a + b / t + c / t**2 + d / t**3)


class LowVoltage:
    """Everything on 12 V but the heat switches. Every fault is False on a healthy rig."""

    def __init__(self) -> None:
        self.supply_v = 12.0
        self.stirrer_unplugged = False
        self.stirrer_shorted = False
        """The transistor conducts whatever its pin says."""
        self.stirrer_sense_cut = False
        self.pump_unplugged = False
        self.ntc_open = False
        self.ntc_short = False

    def stir_share(self, pin_high: bool, stop_pressed: bool) -> float:
        """Share of its voltage that the stirrer gets: the stop button cuts both motors."""
        on = (pin_high or self.stirrer_shorted) and not self.stirrer_unplugged
        return 1.0 if on and not stop_pressed else 0.0

    def chill_share(self, pin_high: bool, stop_pressed: bool) -> float:
        """Share of the pump's flow."""
        return 1.0 if pin_high and not self.pump_unplugged and not stop_pressed else 0.0

    def counts(self, stir_ma: float, body_c: float) -> tuple[int, int, int]:
        """What the three converters read, 0 to 65535: stirrer current, supply, thermistor."""
        stir_v = 0.0 if self.stirrer_sense_cut else stir_ma / 1000.0 * _STIR_V_PER_A
        if self.ntc_short:
            ntc_v = 0.0
        elif self.ntc_open:
            ntc_v = _REFERENCE_V
        else:
            ohm = ntc_ohm(body_c)
            ntc_v = _REFERENCE_V * ohm / (ohm + _NTC_FIXED_OHM)
        return _count(stir_v), _count(self.supply_v / _SUPPLY_DIVIDER), _count(ntc_v)


def _count(volts: float) -> int:
    return min(_FULL_COUNT, max(0, round(volts / _REFERENCE_V * _FULL_COUNT)))
