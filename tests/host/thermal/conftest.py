"""Lets the tests of this folder import their shared rig, and keeps what takes long to make."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from glossbath.client.messages import Reading
from glossbath.thermal.model import water
from glossbath.thermal.tuning import Identified, Known, fit, identify_recipe

sys.path.insert(0, str(Path(__file__).parent))

from rig_run import RigRun, water_bowl


@pytest.fixture(scope="session")
def experiment() -> list[Reading]:
    """The identification with a kilogram of water, on the reference rig in a room of 24 °C."""
    return RigRun(identify_recipe(), water_bowl(), seed=3).readings()


@pytest.fixture(scope="session")
def identified(experiment: list[Reading]) -> Identified:
    """What it shows when nothing but the masses of water is known."""
    return fit(experiment, Known(3.0, water(1.0)))
