"""Lets the tests of this folder import what is beside them, and the faults of the virtual rig."""

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1] / "rig")]
