"""The load sense at its corners: voltage at the outlet is seen, leakage of an open switch is not.

The optocoupler's light carries the outlet's rectified current through two resistors; its
transistor pulls `load` up against the pull-down, and a capacitor bridges the zero crossings.
"""

from __future__ import annotations

import math

from hardware.wiring import Wiring

MEAN = 0.9  # mean of a rectified sine, as a share of its effective value
HALF_PERIOD_S = 0.010  # 50 Hz, the slower one


def series_ohm(wiring: Wiring, supply: str) -> float:
    """The two series resistors for the nominal supply "120" or "230", in ohms."""
    both = [wiring.parts[name].rated for name in ("R20", "R21")]
    return sum(r.ohms_120 if supply == "120" and r.ohms_120 else r.ohms for r in both)


def level_volts(wiring: Wiring, volts: float, ohms: float, ratio: float) -> float:
    """Mean volts at `load` for effective volts at the outlet, as if 3.3 V were no limit."""
    mean_amps = MEAN * max(volts - wiring.sense.led_volts, 0.0) / ohms
    return ratio * mean_amps * wiring.parts["R9"].rated.ohms


def weakest_volts(wiring: Wiring, supply: str, fresh: bool = False, half: bool = False) -> float:
    """The lowest that `load` sinks to with voltage at the outlet, every part at its worst.

    fresh: an optocoupler that has not aged. half: a switch that conducts every second half wave.
    """
    sense, parts = wiring.sense, wiring.parts
    ratio = parts["OK1"].rated.ratio_low_percent / 100 * sense.hot_share
    ratio *= 1.0 if fresh else sense.aged_share
    off = 1 + parts["R20"].rated.tolerance_percent / 100
    off *= 1 + parts["R9"].rated.tolerance_percent / 100
    least = wiring.mains.range[supply][0]
    mean = level_volts(wiring, least, series_ohm(wiring, supply) * off, ratio)
    gap_s = 2 * HALF_PERIOD_S if half else HALF_PERIOD_S
    smooth_s = decay_s(wiring, -1)
    return min(mean / 2 if half else mean, 3.3) * (1 - gap_s / (2 * smooth_s))


def decay_s(wiring: Wiring, sign: int) -> float:
    """Time constant of `load` against its capacitor, at the low (-1) or high (1) end."""
    c, r = wiring.parts["C5"].rated, wiring.parts["R9"].rated
    off = (1 + sign * c.tolerance_percent / 100) * (1 + sign * r.tolerance_percent / 100)
    return c.farads * r.ohms * off


def leakage_volts(wiring: Wiring, supply: str) -> float:
    """The most at `load` from an open solid-state relay's leakage, a small cooker plugged in."""
    cooker_ohm = wiring.mains.range[supply][1] ** 2 / wiring.sense.cooker_watts_least
    across = wiring.parts["SSR1"].rated.leak_ma / 1000 * cooker_ohm
    ratio = wiring.parts["OK1"].rated.ratio_high_percent / 100
    # The peak counts: the light is dark below its own volts, so take them off the peak.
    lit = max(across * math.sqrt(2) - wiring.sense.led_volts, 0.0)
    return ratio * lit / series_ohm(wiring, supply) * wiring.parts["R9"].rated.ohms


def sees_voltage(wiring: Wiring) -> list[str]:
    """An aged, hot, weak optocoupler still gives a full level at the lowest supply."""
    found = []
    for supply in wiring.mains.range if "OK1" in wiring.parts else ():
        low = weakest_volts(wiring, supply)
        if not low >= wiring.sense.level_high_volts:
            found.append(
                f"the load sense gives {low:.2f} V at its worst on a {supply} V supply and the "
                f"board needs {wiring.sense.level_high_volts:g} V; take a better OK1 or smaller "
                "R20 and R21"
            )
    return found


def ignores_leakage(wiring: Wiring) -> list[str]:
    """An open switch's leakage stays below half the low threshold, and the switch latches."""
    sense, switch = wiring.sense, wiring.parts["SSR1"].rated
    lit = wiring.mains.range if "OK1" in wiring.parts else ()
    seen = max((leakage_volts(wiring, supply) for supply in lit), default=0.0)
    found = []
    if not (switch.leak_ma > 0 and 2 * seen <= sense.level_low_volts):
        found.append(
            f"SSR1 leaks {switch.leak_ma:g} mA, which gives {seen:.2f} V at `load` with a small "
            f"cooker; half of {sense.level_low_volts:g} V is the most; choose one that leaks less"
        )
    highest = max(most for _, most in wiring.mains.range.values())
    least_amps = sense.cooker_watts_least / highest
    if not 0 < 2 * switch.least_amps <= least_amps:
        found.append(
            f"SSR1 needs {switch.least_amps:g} A to stay on and a small cooker draws "
            f"{least_amps:.2f} A; choose one that needs half of that or less"
        )
    return found


def settles(wiring: Wiring) -> list[str]:
    """The level follows the outlet before the board's proof and cut-offs look."""
    sense = wiring.sense
    seconds = decay_s(wiring, 1) * math.log(3.3 / sense.level_low_volts)
    if seconds <= sense.settle_ms / 1000:
        return []
    return [
        f"the load sense takes {1000 * seconds:.0f} ms to fall and may take "
        f"{sense.settle_ms:g} ms; reduce C5 or R9"
    ]


def one_shorted(wiring: Wiring) -> list[str]:
    """With one series resistor shorted the other neither burns nor breaks down."""
    found = []
    for name in ("R20", "R21") if "OK1" in wiring.parts else ():
        rated = wiring.parts[name].rated
        for supply, (_, most) in wiring.mains.range.items():
            ohms = rated.ohms_120 if supply == "120" and rated.ohms_120 else rated.ohms
            watts = most**2 / ohms
            if not (rated.watts >= watts and rated.volts >= most):
                found.append(
                    f"{name} alone on a {supply} V supply would stand {most:g} V and {watts:.2f} "
                    f"W; it is rated {rated.volts:g} V and {rated.watts:g} W; choose a larger one"
                )
    return found


def sees_the_lamp(wiring: Wiring) -> list[str]:
    """A phototransistor over the outlet's lamp gives a full level, and none in the dark."""
    ohms = wiring.parts["R9"].rated.ohms
    found = []
    for name, part in wiring.of_kind("phototransistor").items():
        # The lamp flickers with the mains: the capacitor carries the level over the gaps.
        mean = min(part.rated.photo_ma / 1e3 * ohms, 3.3)
        lit = mean * (1 - HALF_PERIOD_S / (2 * decay_s(wiring, -1)))
        dark = part.rated.leak_ua / 1e6 * ohms
        if not lit >= wiring.sense.level_high_volts:
            found.append(f"{name} gives {lit:.2f} V in the lamp's light; take a better one")
        if not dark <= wiring.sense.level_low_volts / 2:
            found.append(f"{name} gives {dark:.2f} V in the dark; take a better one")
    return found


def one_sense(wiring: Wiring) -> list[str]:
    """Something tells the board of voltage at the outlet."""
    senses = wiring.of_kind("opto", "phototransistor")
    if any("load" in part.pins.values() for part in senses.values()):
        return []
    return ["nothing tells the board of voltage at the outlet; put an OK1 or PT1 on `load`"]


RULES = (sees_voltage, ignores_leakage, settles, one_shorted, sees_the_lamp, one_sense)
