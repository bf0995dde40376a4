"""Judgements of single steps, as plain functions of what was seen. Each gives '' for good, else
the sentence that says what is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from glossbath_board import limits
from glossbath_board.output_test import NAMES

from .words import INPUTS, shown

RISE_MC = 2_000
APART_MC = 1_000
SUPPLY_MV = (11_400, 12_600)
"""hardware/care.md, PT-6: a 12 V supply that is well."""
_STALL_SHARE = 0.8
_STALL_TIMES, _STALL_MORE_MA = 1.5, 100

_BRIDGED = {
    "stop": " Or its coil contact is bridged or welded: then pressing it ends no heat.",
    "lid": " Or it is bridged: then the stirrer turns with the lid off.",
    "water": " Or the float is stuck or bridged: then the crock may boil dry.",
}
ALONE = {
    "lamp": "the status lamp",
    "chill": "the ice-water pump",
    "stir": "the stirrer",
    "relay": "the master relay",
    "frozen": "the master relay's line",
    "heat": "the heat switch",
}
assert set(ALONE) == set(NAMES)


def alone(before: Mapping[str, Any], after: Mapping[str, Any], name: str) -> str:
    """Whether input `name` changed and no other did."""
    if before[name] == after[name]:
        return (
            f"Input {name} did not change, it says {shown(name, after[name])}: look at its "
            f"switch, its plug and its wire.{_BRIDGED.get(name, '')}"
        )
    for other in INPUTS:
        if other != name and before[other] != after[other]:
            return (
                f"Input {other} changed together with {name}: two wires touch or are swapped. "
                "Unplug before you look."
            )
    return ""


def supply(millivolts: object) -> str:
    """Whether the 12 V supply is what it should be."""
    low, high = SUPPLY_MV
    if not isinstance(millivolts, int):
        return f"The 12 V supply is not measured ({millivolts}): look at its divider's wire."
    if not low <= millivolts <= high:
        return (
            f"The 12 V supply has {millivolts / 1000:.1f} V, it should have {low / 1000:g} to "
            f"{high / 1000:g} V: look at the supply and its fuse."
        )
    return ""


def tried(event: Mapping[str, Any]) -> str:
    """What a trial of one output shows by itself."""
    name, what = str(event["o"]), ALONE[str(event["o"])]
    if event["ld"]:
        return (
            f"Voltage came to the heater's outlet while {what} alone was on. This step is done "
            "with the mains plug out. If it was in, without a cooker that is on: the leakage of "
            "a good heat switch looks like voltage. If a cooker was in and on: the other switch "
            "does not open; unplug at the wall and have it replaced."
        )
    if event["why"] == "arm":
        return "The arm button was let go too early."
    if event["why"] != "time":
        return f"The trial of {what} ended early ({event['why']})."
    current = event["ma"]
    if name == "stir" and not current >= limits.STIR_NONE_MA:
        return (
            f"The stirrer drew {current} mA, less than {limits.STIR_NONE_MA} mA: it is not "
            "plugged in, or its current is not measured."
        )
    if name != "stir" and current > limits.STIR_UNASKED_MA:
        return (
            f"The stirrer drew {current} mA while {what} alone was on: two wires touch or are "
            "swapped. Unplug before you look."
        )
    return ""


def stall(free_ma: int, stall_ma: int) -> tuple[int | None, str]:
    """The limit by which the board tells a stalled stirrer, None for its own; and what is wrong.

    A motor whose stall current is below the firmware's limit would never be seen to stall.
    """
    if not stall_ma >= max(_STALL_TIMES * free_ma, free_ma + _STALL_MORE_MA):
        return None, (
            f"The stirrer draws {free_ma} mA turning and {stall_ma} mA held: the board cannot "
            "tell the two apart. Hold the shaft until it stands, or choose another motor."
        )
    if stall_ma > limits.STIR_CURRENT_MA:
        return None, (
            f"The stirrer draws {stall_ma} mA held, the limit is {limits.STIR_CURRENT_MA} mA: a "
            "hand cannot stop such a motor. Choose a weaker one."
        )
    limit = round(_STALL_SHARE * stall_ma)
    return (limit if limit < limits.STIR_STALLED_MA else None), ""


def warmed(before: Mapping[str, Any], now: Mapping[str, Any]) -> tuple[str, str]:
    """The chip that became warmer, alone of all: its ROM code, or '' and what is wrong.

    before and now map ROM codes to m°C or a fault word. One that cools down says nothing: it may
    have been warmed a minute ago.
    """
    rises = {
        rom: value - before[rom]
        for rom, value in now.items()
        if isinstance(value, int) and isinstance(before.get(rom), int)
    }
    ranked = sorted(rises, key=lambda rom: rises[rom], reverse=True)
    if not ranked or rises[ranked[0]] < RISE_MC:
        return "", "No probe became warmer by 2 °C."
    if len(ranked) > 1 and rises[ranked[0]] - rises[ranked[1]] < APART_MC:
        return "", "More than one probe became warmer: warm one at a time."
    return ranked[0], ""
