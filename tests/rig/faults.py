"""The faults of the campaign by name: each is put into plant, chips, mains, bench, wire or
computer, and says what end is expected. Nothing here calls code under test."""

from __future__ import annotations

from fault import Fault
from faults_computer import computer_faults, flash_faults
from faults_kitchen import kitchen_faults
from faults_line import line_faults
from faults_power import power_faults
from faults_probes import chip_faults, place_faults

FAULTS: dict[str, Fault] = {
    **chip_faults(),
    **place_faults(),
    **power_faults(),
    **kitchen_faults(),
    **line_faults(),
    **computer_faults(),
    **flash_faults(),
}
