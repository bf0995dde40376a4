"""Cookers far stronger than the reference rig: control holds them back, so that a healthy one does
not look like one that burns."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest
from chain import Chain, project

sys.path.append(str(Path(__file__).parent.parent / "bench"))

from kitchen_bench import chain_of
from kitchen_onlookers import Columns, Onlooker, identify
from random_kitchens import kitchen

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


@pytest.mark.parametrize("seed", [105066, 106176, 106479, 106488])
def test_a_thick_crock_on_a_strong_cooker_does_not_look_as_if_it_were_dry(seed: int) -> None:
    """Random kitchens with 1.0 to 1.3 kW and more than 12 mm of stoneware, at 1.3 W/(m K) as the
    kitchens have it (estimate): some 100 K between its faces at full power."""
    strong = kitchen(seed)
    rig = strong.plant("distributed")
    run = Chain(rig, strong.program(60.0), project(None), seed=seed, tau_s=strong.probe_tau_s)
    run.run(2 * 3600.0)
    assert run.supervisor.trip == ""


@pytest.mark.parametrize("seed", [100002, 100003, 102026])
def test_a_strong_cooker_that_is_held_back_is_not_called_weak(seed: int) -> None:
    """Their elements are cold when a cycle begins, and warm for minutes more when control has
    already taken their power back."""
    strong, columns = kitchen(seed), Columns()
    identify(strong, "distributed", columns)
    assert columns.model is not None
    looking = Onlooker(strong, 60.0, columns.model)
    for reading in chain_of(strong, strong.plant("distributed"), 60.0, columns.values):
        looking.look(reading)
        if reading.time_s > 2400.0:
            break
    looking.tell(columns, None)
    assert columns.findings == []
