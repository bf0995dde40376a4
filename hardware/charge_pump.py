"""The charge pump that holds the master relay: it must hold while edges come and let go after.

Only edges carry charge through the two series capacitors, so a pin frozen high or low, whatever
the reason, empties the reservoir through its bleed. A comparator lets the relay go at a known
share of the rail. Both ends must hold with every part at its worst, so `corners` tries them all.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

from hardware.wiring import Part, Wiring

ROUNDS = 60  # edges until the reservoir swings steadily; 60 leave less than a millivolt


@dataclass(frozen=True)
class Pump:
    """One set of values: farads, ohms, volts, amperes. leak is what leaves the reservoir besides
    the bleed; share_of_rail is where the comparator switches, offset how far off it may be."""

    pump_farads: float
    hold_farads: float
    bleed_ohm: float
    rail: float
    driver_drop: float
    diode_drop: float
    leak: float
    share_of_rail: float
    offset: float = 0.0

    @property
    def switch_volts(self) -> float:
        """The reservoir's volts at which the comparator switches."""
        return self.rail * self.share_of_rail + self.offset

    def sinks(self, volts: float, farads: float, seconds: float) -> float:
        """Where the reservoir's volts are after these seconds with no edge."""
        floor = -self.leak * self.bleed_ohm
        fallen = floor + (volts - floor) * math.exp(-seconds / (self.bleed_ohm * farads))
        return max(fallen, 0.0)

    def swings(self, edge_s: float) -> tuple[float, float]:
        """Highest and lowest reservoir volts when `relay` changes level every `edge_s`.

        A rising edge shares charge between pump and reservoir; then both empty until the falling
        edge (the pump feeds on through its diode), then the reservoir alone until the next rise.
        """
        whole = self.pump_farads + self.hold_farads
        lift = self.rail - self.driver_drop - 2 * self.diode_drop
        low = top = 0.0
        for _ in range(ROUNDS):
            top = max(low, low + self.pump_farads / whole * (lift - low))
            low = self.sinks(self.sinks(top, whole, edge_s), self.hold_farads, edge_s)
        return top, low

    def let_go_s(self, edge_s: float) -> float:
        """Seconds from the last edge until the comparator drops the relay, at the most.

        Longest when the pin freezes high, since the pump capacitors then empty along.
        """
        top, _ = self.swings(edge_s)
        if not self.switch_volts > 0:
            return math.inf
        floor = -self.leak * self.bleed_ohm
        if not top > self.switch_volts:
            return 0.0  # it never pulled in
        whole = self.bleed_ohm * (self.pump_farads + self.hold_farads)
        return whole * math.log((top - floor) / (self.switch_volts - floor))


def nominal(wiring: Wiring) -> Pump:
    """The pump with every part as printed, at 12 V, without leakage."""
    parts = wiring.parts
    diode = parts["D3"].rated
    upper, lower = parts["R36"].rated.ohms, parts["R37"].rated.ohms
    return Pump(
        pump_farads=1 / sum(1 / parts[name].rated.farads for name in ("C1", "C2")),
        hold_farads=parts["C3"].rated.farads,
        bleed_ohm=1 / sum(1 / parts[name].rated.ohms for name in ("R13", "R14")),
        rail=12.0,
        driver_drop=wiring.pulse.driver_drop_volts / 2,
        diode_drop=(diode.drop_low_volts + diode.drop_high_volts) / 2,
        leak=0.0,
        share_of_rail=lower / (upper + lower),
    )


def corners(wiring: Wiring) -> Iterator[Pump]:
    """The pump with every part at either end of what it may be, all combinations."""
    middle, parts, pulse = nominal(wiring), wiring.parts, wiring.pulse
    pump, hold = (max(_spread(parts[n]) for n in names) for names in (("C1", "C2"), ("C3",)))
    bleed = max(_spread(parts[n]) for n in ("R13", "R14"))
    reference = max(_spread(parts[n]) for n in ("R36", "R37"))
    share_off = 2 * reference * (1 - middle.share_of_rail)
    leak = sum(parts[n].rated.leak_ua for n in ("D2", "D3")) + pulse.stray_leak_ua
    drops = [
        min(parts[n].rated.drop_low_volts for n in ("D2", "D3")),
        max(parts[n].rated.drop_high_volts for n in ("D2", "D3")),
    ]
    for signs in product((-1, 1), repeat=8):
        a, b, c, d, e, f, g, h = signs
        yield replace(
            middle,
            pump_farads=middle.pump_farads * (1 + a * pump),
            hold_farads=middle.hold_farads * (1 + b * hold),
            bleed_ohm=middle.bleed_ohm * (1 + c * bleed),
            share_of_rail=middle.share_of_rail * (1 + d * share_off),
            rail=pulse.rail_volts_low if e < 0 else pulse.rail_volts_high,
            driver_drop=pulse.driver_drop_volts if e < 0 else 0.0,
            diode_drop=drops[f > 0],
            leak=leak * 1e-6 if g > 0 else 0.0,
            offset=h * pulse.offset_volts,
        )


def _spread(part: Part) -> float:
    """How far a part may be off, as a share: what it is sold with and what heat adds."""
    return (part.rated.tolerance_percent + part.rated.drift_percent) / 100


def hold_margin(wiring: Wiring) -> float:
    """Volts between the reservoir's lowest and what the comparator wants, at the worst corner."""
    edge_s = wiring.pulse.toggle_every_ms * wiring.pulse.missed_edges / 1000
    return min(pump.swings(edge_s)[1] - pump.switch_volts for pump in corners(wiring))


def let_go_s(wiring: Wiring) -> float:
    """Longest time from the last edge until the relay driver lets go, at the worst corner."""
    edge_s = wiring.pulse.toggle_every_ms / 1000
    return max(pump.let_go_s(edge_s) for pump in corners(wiring))


def charge_pump(wiring: Wiring) -> list[str]:
    """At every corner the relay holds with edges missing, and lets go in time without any."""
    found = [
        f"{name} has no tolerance or leakage given; write the datasheet's worst into wiring.toml"
        for name in ("C1", "C2", "C3", "R13", "R14", "R36", "R37", "D2", "D3")
        if not _spread(wiring.parts[name]) + wiring.parts[name].rated.leak_ua > 0
    ]
    short = hold_margin(wiring)
    if not short >= 0:
        found.append(
            f"at its worst corner the charge pump falls {-short:.2f} V too low between edges and "
            "the relay chatters; enlarge C1 to C3 or the bleed, or take parts that leak less"
        )
    longest = let_go_s(wiring)
    if not longest <= wiring.pulse.let_go_s:
        found.append(
            f"at its worst corner the master relay lets go {longest:.1f} s after the last edge; "
            f"it must take {wiring.pulse.let_go_s:g} s or less; reduce C1 to C3 or the bleed"
        )
    return found


RULES = (charge_pump,)
