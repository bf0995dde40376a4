"""The charge pump that holds the master relay: it must hold while edges come and let go after.

Only edges carry charge through the two series capacitors, so a pin frozen high or low, whatever
the reason, empties the reservoir through its bleed.
"""

from __future__ import annotations

import math

from hardware.wiring import Wiring


def bleed_ohm(wiring: Wiring) -> float:
    """The two bleed resistors side by side, in ohms."""
    return 1 / sum(1 / wiring.parts[name].rated.ohms for name in ("R13", "R14"))


def time_constants_s(wiring: Wiring) -> tuple[float, float]:
    """How fast the reservoir empties, in seconds: while the pump's input is high, and low.

    While it is high the pump capacitors go on feeding the reservoir and empty with it; while it
    is low the diode cuts them off.
    """
    hold = wiring.parts["C3"].rated.farads
    return bleed_ohm(wiring) * (pump_farads(wiring) + hold), bleed_ohm(wiring) * hold


def pump_farads(wiring: Wiring) -> float:
    """The two pump capacitors in series, in farads."""
    return 1 / sum(1 / wiring.parts[name].rated.farads for name in ("C1", "C2"))


def reservoir_volts(wiring: Wiring, edge_ms: float) -> tuple[float, float]:
    """Highest and lowest reservoir volts when `relay` changes level every `edge_ms`.

    A rising edge shares charge between pump and reservoir; then both empty until the falling
    edge, then the reservoir alone until the next rising one. This is the steady state.
    """
    p = wiring.pulse
    share = pump_farads(wiring) / (pump_farads(wiring) + wiring.parts["C3"].rated.farads)
    high_s, low_s = time_constants_s(wiring)
    keep = math.exp(-edge_ms / 1000 / high_s - edge_ms / 1000 / low_s)
    top = share * (p.swing_volts - 2 * p.diode_volts) / (1 - (1 - share) * keep)
    return top, top * keep


def let_go_s(wiring: Wiring) -> float:
    """Longest time from the last edge until the relay driver lets go, in seconds."""
    p = wiring.pulse
    top, _ = reservoir_volts(wiring, p.toggle_every_ms)
    return time_constants_s(wiring)[0] * math.log(top / p.gate_volts_lowest)


def charge_pump(wiring: Wiring) -> list[str]:
    """The relay holds at twice the usual time between edges and lets go in time without any."""
    p = wiring.pulse
    found = []
    _, low = reservoir_volts(wiring, 2 * p.toggle_every_ms)
    if not low >= p.gate_volts_highest:
        found.append(
            f"the charge pump falls to {low:.2f} V between edges and the relay driver needs "
            f"{p.gate_volts_highest:g} V; enlarge C3 or the bleed"
        )
    if not let_go_s(wiring) <= p.let_go_s:
        found.append(
            f"the master relay lets go {let_go_s(wiring):.1f} s after the last edge; it must take "
            f"{p.let_go_s:g} s or less; reduce C3 or the bleed"
        )
    return found


RULES = (charge_pump,)
