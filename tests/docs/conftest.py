"""Lets the tests of this folder import what is beside them, the faults of the virtual rig and
`hardware`."""

import copy
import sys
from pathlib import Path

import pytest

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1] / "rig")]
sys.path.insert(0, str(Path(__file__).parents[2]))


@pytest.fixture
def rig():
    """A copy of the sound wiring, to break."""
    from sound_rig import SOUND

    return copy.deepcopy(SOUND)
