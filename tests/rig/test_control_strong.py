"""Cookers far stronger than the reference rig: control holds them back, so that a healthy one does
not look like one that burns."""

from __future__ import annotations

from dataclasses import replace

import pytest
from chain import Chain, project

from glossbath.recipe import load
from glossbath.recipe.program import board_program
from glossbath.virtual.plants import PLANTS, plant_of, reference


@pytest.mark.parametrize("watts", [500.0, 900.0, 1250.0])
@pytest.mark.parametrize("plant", PLANTS)
def test_a_strong_cooker_is_held_back_and_does_not_look_like_a_fire(
    plant: str, watts: float
) -> None:
    rig = replace(reference(plant), heater_w=watts, water_kg=2.0, chocolate_kg=0.6)
    program = board_program(load("dark").with_hold(600.0), 0.6)
    run = Chain(plant_of(rig, room_c=24.0), program, project(None))
    assert run.run(3 * 3600.0).end == "complete"
    melt = run.trace.of("melt", "soak")
    assert max(melt) < program.phases[0].high_mc / 1000
    # A cooker of 500 W and more needs no longer than the reference rig's 250 W for the melt.
    assert run.phase_times_s()["melt"] < 3000.0
