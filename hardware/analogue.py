"""What the analogue inputs and dividers give with parts and converter at their worst."""

from __future__ import annotations

import math

from hardware.wiring import Wiring

KELVIN = 273.15
WORKING_VOLTS = (11.4, 12.6)  # a 12 V supply that is well: 5 % either way


def divider(wiring: Wiring, upper: str, lower: str, sign: int) -> float:
    """Share of the upper end's volts at a divider's tap, at its low (-1) or high (1) end."""
    a, b = wiring.parts[upper].rated, wiring.parts[lower].rated
    top = a.ohms * (1 - sign * a.tolerance_percent / 100)
    foot = b.ohms * (1 + sign * b.tolerance_percent / 100)
    return foot / (top + foot)


def supply_error(wiring: Wiring, sign: int) -> float:
    """The supply as the board reads it over the supply as it is, at either end."""
    share = divider(wiring, "R26", "R27", sign)
    reference = 1 - sign * wiring.analogue.reference_percent / 100
    return share * wiring.scale.supply_divider / reference


def supply_range(wiring: Wiring) -> list[str]:
    """A good supply never trips, a bad one always does, and what lies between hurts no part."""
    low, high = supply_error(wiring, -1), supply_error(wiring, 1)
    pulse, found = wiring.pulse, []
    if not (WORKING_VOLTS[0] * low > pulse.rail_volts_low):
        found.append("a good 12 V supply may read as too low; take closer R26 and R27")
    if not (WORKING_VOLTS[1] * high < pulse.rail_volts_high):
        found.append("a good 12 V supply may read as too high; take closer R26 and R27")
    worst = pulse.rail_volts_high / low
    tap = worst * divider(wiring, "R26", "R27", 1)
    if not tap <= wiring.analogue.full_scale_volts * (1 - wiring.analogue.reference_percent / 100):
        found.append(
            f"the supply divider gives {tap:.2f} V at {worst:.1f} V, beyond the converter; "
            "reduce R27"
        )
    for name, part in wiring.parts.items():
        if part.kind in ("comparator", "driver") and not part.rated.volts >= worst:
            found.append(
                f"{name} stands {part.rated.volts:g} V and the rail may reach {worst:.1f} V "
                "before the board trips; choose a higher one"
            )
        if part.kind == "mosfet" and part.rated.gate_volts and part.rated.gate_volts < worst:
            found.append(
                f"{name}'s gate stands {part.rated.gate_volts:g} V and is driven to {worst:.1f} V;"
                " choose a higher one"
            )
    return found


def gates_stand_their_drive(wiring: Wiring) -> list[str]:
    """A gate that lies on a 12 V net says what it stands."""
    return [
        f"{name} has its gate on {part.pins['G']} and no gate rating; name one"
        for name, part in wiring.of_kind("mosfet").items()
        if wiring.nets[part.pins["G"]].volts > 5 and not part.rated.gate_volts
    ]


def stop_level(wiring: Wiring) -> list[str]:
    """The stop circuit's divider gives a full level at the lowest rail, no more than 3.3 V at
    the highest."""
    low = wiring.pulse.rail_volts_low * divider(wiring, "R25", "R7", -1)
    high = wiring.pulse.rail_volts_high * divider(wiring, "R25", "R7", 1)
    found = []
    if not low >= wiring.sense.level_high_volts:
        found.append(
            f"`stop` has {low:.2f} V at {wiring.pulse.rail_volts_low:g} V and needs "
            f"{wiring.sense.level_high_volts:g} V; enlarge R7 or reduce R25"
        )
    if not high <= 3.6:  # RP2040 datasheet: IOVDD + 0.3 V (from memory), through 15 k no current
        found.append(
            f"`stop` has {high:.2f} V at {wiring.pulse.rail_volts_high:g} V and stands 3.6 V; "
            "reduce R7 or enlarge R25"
        )
    return found


def guard_error_c(wiring: Wiring) -> float:
    """Most that the second guard's reading may be off at `guard_at_c`, in °C.

    Divider and converter hang on two branches of the same 3.3 V, so the reference's error counts.
    """
    element, fixed = wiring.parts["B6"].rated, wiring.parts["R28"].rated
    kelvin = wiring.analogue.guard_at_c + KELVIN
    ohms = element.ohms * math.exp(element.kelvin_b * (1 / kelvin - 1 / 298.15))
    share = ohms / (ohms + fixed.ohms)
    # d(ohms)/ohms for each cause; the converter's share error works through 1 / (1 - share).
    causes = (
        element.tolerance_percent / 100,
        fixed.tolerance_percent / 100,
        wiring.analogue.reference_percent / 100 / (1 - share),
    )
    return sum(causes) * kelvin**2 / element.kelvin_b


def guard_is_close(wiring: Wiring) -> list[str]:
    """The second guard is as close as its cut-off needs."""
    off = guard_error_c(wiring)
    if off <= wiring.analogue.guard_error_c:
        return []
    return [
        f"the second guard may be {off:.1f} °C off at {wiring.analogue.guard_at_c:g} °C and "
        f"{wiring.analogue.guard_error_c:g} °C is the most; take a closer B6 or R28"
    ]


def relay_pulls_in(wiring: Wiring) -> list[str]:
    """The relay's coil gets what it needs at the lowest rail, warm: copper adds 0.4 % a kelvin."""
    part = wiring.parts["K1"]
    need = 12 * part.rated.pull_in_percent / 100
    if 0 < need <= wiring.pulse.rail_volts_low - wiring.pulse.driver_drop_volts:
        return []
    return [
        f"K1 needs {need:g} V to operate and may get {wiring.pulse.rail_volts_low:g} V less "
        "its driver; choose one that operates at less"
    ]


RULES = (
    supply_range,
    gates_stand_their_drive,
    stop_level,
    guard_is_close,
    relay_pulls_in,
)
