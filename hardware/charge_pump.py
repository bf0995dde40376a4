"""The charge pump that holds the master relay: it must hold while edges come and let go after.

Only edges carry charge through the two series capacitors, so a pin frozen high or low, whatever
the reason, empties the reservoir through its bleed.
"""

from __future__ import annotations

import math

from hardware.wiring import Wiring


def pump_volts(wiring: Wiring, edge_ms: float) -> tuple[float, float]:
    """Highest and lowest reservoir volts when `relay` changes level every `edge_ms`.

    A rising edge shares charge between the two series capacitors and the reservoir; between two
    rising edges (twice edge_ms) the reservoir drains through its bleed. This is the steady state.
    """
    p = wiring.pulse
    series = 1 / sum(1 / wiring.parts[name].rated.farads for name in ("C1", "C2"))
    hold = wiring.parts["C3"].rated.farads
    share = series / (series + hold)
    keep = math.exp(-2 * edge_ms / 1000 / bleed_s(wiring))
    top = share * (p.high_volts - 2 * p.diode_volts) / (1 - (1 - share) * keep)
    return top, top * keep


def bleed_s(wiring: Wiring, without: str = "") -> float:
    """Time constant of the reservoir, in seconds, with one bleed resistor open if named."""
    bleeds = [wiring.parts[name].rated.ohms for name in ("R13", "R14") if name != without]
    return wiring.parts["C3"].rated.farads / sum(1 / ohms for ohms in bleeds)


def charge_pump(wiring: Wiring) -> list[str]:
    """The relay holds at twice the usual time between edges and lets go in time without any."""
    p = wiring.pulse
    found = []
    top, _ = pump_volts(wiring, p.toggle_every_ms)
    _, low = pump_volts(wiring, 2 * p.toggle_every_ms)
    if not low >= p.gate_volts_highest:
        found.append(
            f"the charge pump falls to {low:.2f} V between edges and the relay driver needs "
            f"{p.gate_volts_highest:g} V; enlarge C3 or the bleed"
        )
    let_go = bleed_s(wiring) * math.log(top / p.gate_volts_lowest)
    if not let_go <= p.let_go_s:
        found.append(
            f"the master relay lets go {let_go:.1f} s after the last edge; it must take "
            f"{p.let_go_s:g} s or less; reduce C3 or the bleed"
        )
    return found


RULES = (charge_pump,)
