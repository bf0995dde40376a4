"""The record of a cycle: one folder with readings.csv, events.csv and datapackage.json.

The files are the record; whatever else is known of past cycles is read from them.
"""

from __future__ import annotations

from .cycle import PastCycle, open_cycle
from .package import CycleHeader
from .shelf import default_folder, list_cycles

__all__ = ["CycleHeader", "PastCycle", "default_folder", "list_cycles", "open_cycle"]
