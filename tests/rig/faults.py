"""The faults of the campaign by name: each is put into plant, chips, mains, bench, wire or
computer, and says what end is expected. Nothing here calls code under test."""

from __future__ import annotations

from fault import Fault
from faults_computer import COMPUTER_FAULTS, FLASH_FAULTS
from faults_kitchen import KITCHEN_FAULTS
from faults_line import LINE_FAULTS
from faults_power import POWER_FAULTS
from faults_probes import PLACE_FAULTS, chip_faults

FAULTS: dict[str, Fault] = {
    **chip_faults(),
    **PLACE_FAULTS,
    **POWER_FAULTS,
    **KITCHEN_FAULTS,
    **LINE_FAULTS,
    **COMPUTER_FAULTS,
    **FLASH_FAULTS,
}
