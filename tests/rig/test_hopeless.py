"""A cycle that cannot succeed says so while it runs: what is wrong and what would help, soon after
it is certain, and the chocolate stays safe. Both plants, real firmware."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from world import World, world

from glossbath.client.messages import Alarm
from glossbath.recipe import load
from glossbath.virtual.hands import obey
from glossbath.virtual.plants import PLANTS, reference
from glossbath.virtual.virtual import Options

RECIPE = load("dark")
CERTAIN_S = 660.0
"""Ten minutes, and the minute in which full heat or chill comes on."""
ICE = "Put ice into the chill water, see that its pump runs"


def _pump_dies(made: World) -> None:
    obey(made.rig, "pump off")


def _nothing(made: World) -> None:
    pass


# what is wrong: plant, what begins otherwise, hands, the phase that says so, what it must say,
# how long after the phase began
CASES: dict[str, tuple[dict[str, Any], float, Callable[[World], None], str, str, float]] = {
    # A bath that cools by itself alone does so ever more slowly: that takes longer to tell.
    "dead pump": ({}, 24.0, _pump_dies, "cool", ICE, 3_600.0),
    "no ice": ({"ice_kg": 0.0}, 24.0, _nothing, "cool", ICE, CERTAIN_S),
    # What little there is first cools well: certain it is once that has gone.
    "little ice": ({"ice_kg": 0.1}, 24.0, _nothing, "cool", ICE, CERTAIN_S + 3_000.0),
    "hot room": ({"ice_kg": 0.0}, 33.0, _nothing, "cool", "or cool the room", CERTAIN_S),
    "weak heater": (
        *({"heater_w": 35.0}, 15.0, _nothing, "melt"),
        "see that the cooker gives its full heat, or use a stronger one",
        0.8 * RECIPE.phases[0].timeout_s,
    ),
}


def _standing(made: World) -> Alarm | None:
    return next((alarm for alarm in made.alarms() if alarm.code == "out-of-reach"), None)


@pytest.mark.parametrize("plant", PLANTS)
@pytest.mark.parametrize("name", list(CASES))
def test_what_cannot_be_reached_is_told(tmp_path: Path, name: str, plant: str) -> None:
    changed, room_c, hands, phase, words, within_s = CASES[name]
    rig = replace(reference(plant, "dark"), **changed)
    with world(tmp_path, Options(parameters=rig, begin={"room_c": room_c}), fast=True) as made:
        made.start_heating()
        hands(made)

        def in_phase() -> bool:
            newest = made.readings()[-1]
            return newest.phase == phase or _standing(made) is not None

        made.until(in_phase, 4 * 3600.0)
        made.until(lambda: _standing(made) is not None, within_s)
        alarm = _standing(made)
        assert alarm is not None
        assert made.readings()[-1].phase == phase
        assert "cannot be reached" in alarm.happened and words in alarm.happened
        assert made.state == "running"
        assert made.rig.plant.chocolate_c < RECIPE.max_c
