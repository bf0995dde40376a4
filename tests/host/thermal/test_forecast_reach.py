"""Cycles that cannot succeed say so, on both plants, whatever is known of the rig."""

from __future__ import annotations

from dataclasses import replace

import pytest
from recipe_run import recipe_run

from glossbath.recipe import load
from glossbath.thermal.forecast import Forecaster
from glossbath.thermal.model import RigModel
from glossbath.virtual.plants import PLANTS, AnyParameters, reference

TOLD_WITHIN_S = 660.0
"""Ten minutes of certainty, and the minute in which chill comes on."""


def watched(
    parameters: AnyParameters,
    *,
    kind: str = "dark",
    room_c: float = 24.0,
) -> tuple[list[tuple[float, str, str]], dict[str, float]]:
    """What was said, with when and in which phase; and when each phase began."""
    recipe = load(kind).with_hold(300.0)
    run = recipe_run(recipe, parameters, room_c=room_c)
    forecaster = Forecaster(recipe, RigModel.default(), 1.0, room_c, renew_s=7200.0)
    said: list[tuple[float, str, str]] = []
    began: dict[str, float] = {}
    for reading in run:
        began.setdefault(reading.phase, reading.time_s)
        problem = forecaster.update(reading).problem
        if problem:
            said.append((reading.time_s, reading.phase, problem))
            break
    return said, began


@pytest.mark.parametrize("plant", PLANTS)
@pytest.mark.parametrize("kind", ["dark", "milk", "white"])
def test_a_cycle_that_succeeds_is_not_called_hopeless(plant: str, kind: str) -> None:
    said, began = watched(reference(plant, kind), kind=kind)
    assert said == []
    assert "hold" in began


@pytest.mark.parametrize("plant", PLANTS)
@pytest.mark.parametrize(
    ("ice_kg", "room_c"),
    [(0.0, 28.0), (0.1, 28.0), (0.0, 33.0)],
    ids=["none", "little", "hot room"],
)
def test_a_bath_that_cannot_be_cooled_is_told_within_ten_minutes(
    plant: str, ice_kg: float, room_c: float
) -> None:
    water = "reservoir_water_c" if plant == "lumped" else "bucket_water_c"
    tap = {water: 28.0 if ice_kg == 0.0 else 0.0}
    rig = replace(reference(plant, "dark"), ice_kg=ice_kg, **tap)
    said, began = watched(rig, room_c=room_c)
    [(when_s, phase, sentence)] = said
    assert phase == "cool"
    # What little ice there is first cools well, and so does the bucket's water; certain it is once
    # both are spent.
    spent_s = 240.0 if ice_kg == 0.0 else 3000.0
    assert when_s - began["cool"] < TOLD_WITHIN_S + spent_s
    assert "cannot be reached" in sentence and "kg of ice in the chill water" in sentence


def test_chocolate_that_stands_still_just_above_its_window_is_told() -> None:
    # The bath comes near enough, but heat of crystals keeps the chocolate half a degree too warm:
    # with an hour of stirring there it would grow thick.
    rig = replace(reference("lumped", "dark"), ice_kg=0.8, reservoir_water_c=28.0)
    said, began = watched(rig, room_c=28.0)
    [(when_s, phase, sentence)] = said
    assert phase == "cool" and "the chocolate has stood still at 29.5 °C" in sentence
    assert "a longer time" not in sentence and "kg of ice" in sentence
    assert when_s - began["cool"] < 70 * 60.0


def test_two_readings_at_the_ends_of_a_gap_say_nothing() -> None:
    recipe = load("dark")
    forecaster = Forecaster(recipe, RigModel.default(), 1.0, 15.0, renew_s=7200.0)
    full_s = None
    for reading in recipe_run(recipe, replace(reference("lumped", "dark"), heater_w=35.0)):
        if full_s is None and reading.heat_share > 0.95:
            full_s = reading.time_s
        since_s = 0.0 if full_s is None else reading.time_s - full_s
        if 182.0 < since_s < 472.0:
            continue  # the line was away
        assert forecaster.update(reading).problem == ""
        if since_s > 480.0:
            return
    pytest.fail("The heater was never at full.")


@pytest.mark.parametrize("plant", PLANTS)
def test_a_heater_too_weak_for_its_losses_is_told_within_ten_minutes(plant: str) -> None:
    said, _ = watched(replace(reference(plant, "dark"), heater_w=35.0), room_c=15.0)
    [(when_s, phase, sentence)] = said
    assert phase == "melt"
    assert when_s < TOLD_WITHIN_S
    assert "at full heat the bath comes to" in sentence
