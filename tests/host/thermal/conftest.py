"""A rig that the tests of this folder share, made once: it takes long."""

from __future__ import annotations

import pytest
from recipe_run import recipe_run, water_bowl

from glossbath.client.messages import Reading
from glossbath.thermal.model import water
from glossbath.thermal.tuning import Identified, Known, fit, identify_recipe


@pytest.fixture(scope="session")
def experiment() -> list[Reading]:
    """The identification with a kilogram of water, on the reference rig in a room of 24 °C."""
    return recipe_run(identify_recipe(), water_bowl(), seed=3).readings()


@pytest.fixture(scope="session")
def identified(experiment: list[Reading]) -> Identified:
    """What it shows when nothing but the masses of water is known."""
    return fit(experiment, Known(3.0, water(1.0)))
