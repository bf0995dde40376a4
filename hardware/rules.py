"""All rules together: what is wrong with a wiring and with the pin tables, in sentences."""

from __future__ import annotations

from glossbath_board import profiles
from hardware import (
    analogue,
    charge_pump,
    circuit,
    drivers,
    load_sense,
    pins,
    protection,
    ratings,
    temperatures,
)
from hardware.wiring import Wiring

RULES = (
    circuit.RULES
    + protection.RULES
    + ratings.RULES
    + temperatures.RULES
    + charge_pump.RULES
    + load_sense.RULES
    + analogue.RULES
    + drivers.RULES
    + pins.RULES
)


def breaches(wiring: Wiring) -> list[str]:
    """Every breach of every rule, empty when the wiring is sound."""
    gone = [s for s in circuit.double_entry(wiring) if "not in the wiring" in s]
    found = gone or ratings.values_are_given(wiring)
    if found:  # the other rules look for these parts and divide by their values
        return found
    found = [sentence for rule in RULES for sentence in rule(wiring)]
    for board, table in profiles.PROFILES.items():
        found += pins.pin_table(board, table)
    return found
