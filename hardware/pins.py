"""Rules about the board's pins and their external pulls.

The pin tables come as arguments, so that a test can break a copy.
"""

from __future__ import annotations

from glossbath_board import profiles
from hardware import pin_notes
from hardware.wiring import Part, Wiring

MOVES_OR_HEATS = ("heat", "relay", "chill", "stir")
WEAKEST_OHM = 8200
DECOUPLED = ("driver", "comparator", "amplifier")
SERIES_OHM = 1000  # a pull may lie behind a resistor of this size or less


def pin_table(board: str, pins: dict[str, int]) -> list[str]:
    """Every signal has one pin; no pin is used twice, forbidden, missing or unable."""
    found = [
        f"{board}: signal {s} has no pin; give it one" for s in profiles.SIGNALS if s not in pins
    ]
    owner: dict[int, str] = {}
    for signal, gpio in pins.items():
        if signal not in profiles.SIGNALS:
            found.append(f"{board}: {signal} is not a signal of the rig; remove it")
        if gpio in owner:
            found.append(f"{board}: GPIO {gpio} is used by {owner[gpio]} and {signal}; move one")
        owner[gpio] = signal
        if gpio not in pin_notes.GPIO[board]:
            found.append(f"{board}: {signal} is on GPIO {gpio}, which the chip does not have")
        if gpio in pin_notes.FORBIDDEN[board]:
            reason = pin_notes.FORBIDDEN[board][gpio]
            found.append(f"{board}: {signal} is on GPIO {gpio}, forbidden ({reason}); move it")
        if signal in profiles.ANALOG and gpio not in pin_notes.ADC[board]:
            found.append(f"{board}: {signal} needs an ADC pin and GPIO {gpio} has none; move it")
    return found


def board_has_every_signal(wiring: Wiring) -> list[str]:
    """The board in the wiring has a terminal for each signal of the pin tables, no others."""
    terminals = set(wiring.parts["U1"].pins) - {"vsys", "gnd", "3v3"}
    return [
        f"U1 and profiles.py differ in {', '.join(sorted(terminals ^ set(profiles.SIGNALS)))}; "
        "make them agree"
        for _ in (0,)
        if terminals != set(profiles.SIGNALS)
    ]


def pulls(wiring: Wiring) -> list[str]:
    """Every pull that pin_notes.py asks for is a resistor in the wiring, right way and size."""
    found = []
    for signal, direction in pin_notes.PULL.items():
        rail = "gnd" if direction == "down" else "3v3"
        ohms = pin_notes.PULL_OHM[signal]
        if not any(
            part.rated.ohms == ohms and _joins(part, rail, net)
            for part in wiring.of_kind("resistor").values()
            for net in near(wiring, signal)
        ):
            found.append(
                f"{signal} has no external pull-{direction} of {ohms} ohm to {rail} "
                f"({pin_notes.PULL_WHY[signal]}); add one"
            )
    return found


def fall_low(wiring: Wiring) -> list[str]:
    """Whatever is pulled down is pulled by 8.2 k or less (RP2350 erratum E9)."""
    found = []
    for signal in (*MOVES_OR_HEATS, *(s for s in profiles.INPUTS)):
        beside = near(wiring, signal)
        ohms = [
            part.rated.ohms
            for part in wiring.of_kind("resistor").values()
            if any(_joins(part, "gnd", net) for net in beside)
        ]
        if not any(0 < value <= WEAKEST_OHM for value in ohms):
            found.append(
                f"{signal} must fall low by itself and has no pull-down of {WEAKEST_OHM} ohm or "
                "less; add one"
            )
    return found


def decoupled(wiring: Wiring) -> list[str]:
    """Every chip with a fast or a fine job has a capacitor beside its supply pin."""
    found = []
    for name, part in wiring.of_kind(*DECOUPLED).items():
        rail = part.pins["vcc"]
        if not any(
            other.at == name and {"gnd", rail} == set(other.pins.values())
            for other in wiring.of_kind("capacitor").values()
        ):
            found.append(f"{name} has no decoupling capacitor from {rail} to 0 V; add one")
    return found


def near(wiring: Wiring, signal: str) -> set[str]:
    """The signal's net and those behind one small series resistor."""
    return {signal} | {
        net
        for part in wiring.of_kind("resistor").values()
        if part.rated.ohms <= SERIES_OHM and signal in part.pins.values()
        for net in part.pins.values()
        if net not in ("gnd", "3v3")
    }


def _joins(part: Part, a: str, b: str) -> bool:
    return {a, b} == set(part.pins.values())


RULES = (board_has_every_signal, pulls, fall_low, decoupled)
