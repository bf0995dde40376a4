"""Cycles on a rig that lacks something, on both plants: a pump, ice, heat, a cool room.

The controller is told nothing of it and has the model of a rig that nobody measured. Judged by the
true temperatures of the chocolate in the bowl's middle and at its wall.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from direct import direct

sys.path.append(str(Path(__file__).parent.parent / "bench"))

from chain import Chain, Trace, project

from glossbath.recipe import load
from glossbath.recipe.program import board_program
from glossbath.virtual.distributed.parameters import SlabParameters
from glossbath.virtual.plants import PLANTS, AnyParameters, AnyPlant, plant_of, reference
from glossbath.virtual.virtual import Options

HOLD_S = 1800.0
Deed = Callable[[AnyPlant], None]
KINDS = ("dark", "milk", "white")


def with_crock(parameters: AnyParameters, mm: float) -> AnyParameters:
    """The same rig with a thin or thick crock."""
    if isinstance(parameters, SlabParameters):
        return replace(parameters, crock_mm=mm)
    half_wall = mm / 2000.0 / 1.3
    return replace(
        parameters,
        body_kg=0.4 + 0.13 * mm / 1000.0 * 2300.0,
        body_water_w_per_k=0.13 / (half_wall + 1.0 / 340.0),
    )


@dataclass
class Kitchen:
    """A rig with something wrong. deeds happen so many seconds after a phase began."""

    plant: str
    kind: str = "dark"
    room_c: float = 24.0
    mm: float = 8.0
    pump: float = 1.0
    bucket_c: float | None = None
    deeds: tuple[tuple[str, float, Deed], ...] = ()

    def run(self, hold_s: float, most_s: float, **changed: float) -> Trace:
        """The trace of its cycle, ended in hold or given up after most_s."""
        parameters = replace(with_crock(reference(self.plant, self.kind), self.mm), **changed)
        plant = plant_of(parameters, room_c=self.room_c)
        plant.pump_share = self.pump
        if self.bucket_c is not None:
            plant.warm_bucket(self.bucket_c)
        program = board_program(load(self.kind).with_hold(hold_s), 1.0)
        chain = Disturbed(plant, program, project(None))
        chain.deeds = list(self.deeds)
        return chain.run(most_s)


class Disturbed(Chain):
    """A chain in which deeds happen."""

    deeds: list[tuple[str, float, Deed]]

    def _pass(self) -> None:
        super()._pass()
        phase = self.cycle.phase
        for entry in list(self.deeds):
            name, after_s, deed = entry
            if phase and phase.name == name and self.cycle.phase_ms >= 1000.0 * after_s:
                deed(self.plant)
                self.deeds.remove(entry)


def spent_s(trace: Trace, phase: str, after: str) -> float:
    """How long a phase took."""
    return trace.entered_s[after] - trace.entered_s[phase]


def window(kind: str, phase: str) -> tuple[float, float]:
    """Of that phase of a built-in recipe, °C."""
    found = next(one for one in load(kind).phases if one.name == phase)
    return found.window.low_c, found.window.high_c


def hottest_of_melt(trace: Trace) -> float:
    """The warmest that the middle of the bowl was before the cooling."""
    return max(trace.of("melt", "soak"))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("mm", [5.0, 14.0])
@pytest.mark.parametrize("plant", PLANTS)
def test_melt_stays_in_its_window_without_any_chill(plant: str, mm: float, kind: str) -> None:
    trace = Kitchen(plant, kind, mm=mm, pump=0.0).run(HOLD_S, 5400.0)
    assert "cool" in trace.entered_s
    assert hottest_of_melt(trace) <= window(kind, "melt")[1]


@pytest.mark.parametrize("heater_w", [110.0, 350.0])
@pytest.mark.parametrize("plant", PLANTS)
def test_melt_of_a_weak_and_a_strong_cooker_needs_no_chill(plant: str, heater_w: float) -> None:
    trace = Kitchen(plant, mm=11.0, pump=0.0).run(HOLD_S, 9000.0, heater_w=heater_w)
    assert "cool" in trace.entered_s
    assert hottest_of_melt(trace) <= 50.0


@pytest.mark.parametrize("plant", PLANTS)
def test_hot_room_needs_no_chill_to_keep_the_melt_under_its_limit(plant: str) -> None:
    trace = Kitchen(plant, "white", 34.0, 12.0, 0.0).run(HOLD_S, 5400.0)
    assert "cool" in trace.entered_s
    assert hottest_of_melt(trace) <= window("white", "melt")[1]


def ice_gone(plant: AnyPlant) -> None:
    plant.take_ice(plant.ice_kg)
    plant.warm_bucket(plant.room_c)


@pytest.mark.parametrize("after_s", [150.0, 400.0, 900.0])
@pytest.mark.parametrize("plant", PLANTS)
def test_reheat_arrives_although_the_ice_ran_out_in_the_cool(plant: str, after_s: float) -> None:
    trace = Kitchen(plant, deeds=(("cool", after_s, ice_gone),)).run(HOLD_S, 7 * 3600.0)
    assert trace.end == "complete"
    # From 28.5 °C, with 250 W: the window is 1.5 °C away and its dwell is 5 min.
    assert spent_s(trace, "reheat", "hold") < 25 * 60.0
    low, high = window("dark", "hold")
    assert low <= min(trace.of("hold")) and max(trace.of("hold")) <= high


@pytest.mark.parametrize("ice_kg", [0.3, 0.8])
@pytest.mark.parametrize("plant", PLANTS)
def test_little_ice_costs_time_and_no_chocolate(plant: str, ice_kg: float) -> None:
    trace = Kitchen(plant, room_c=20.0).run(HOLD_S, 7 * 3600.0, ice_kg=ice_kg)
    assert trace.end == "complete"
    assert spent_s(trace, "reheat", "hold") < 25 * 60.0
    assert max(trace.of("reheat", "hold")) <= 31.2


@pytest.mark.parametrize("plant", PLANTS)
def test_no_ice_in_a_cool_room_gets_there_by_the_room_alone(plant: str) -> None:
    trace = Kitchen(plant, room_c=15.0, bucket_c=12.0).run(HOLD_S, 9 * 3600.0, ice_kg=0.0)
    assert trace.end == "complete"
    assert max(trace.of("reheat", "hold")) <= 31.2


@pytest.mark.parametrize("plant", PLANTS)
def test_hot_room_holds_below_it_while_there_is_ice(plant: str) -> None:
    trace = Kitchen(plant, room_c=33.0).run(HOLD_S, 5 * 3600.0, ice_kg=4.0)
    assert trace.end == "complete"
    for layer in (False, True):
        assert min(trace.of("hold", layer=layer)) >= 29.8
        assert max(trace.of("hold", layer=layer)) <= 31.2


@pytest.mark.parametrize("plant", PLANTS)
def test_weak_heater_takes_its_time_and_lands_softly(plant: str) -> None:
    trace = Kitchen(plant).run(HOLD_S, 6 * 3600.0, heater_w=110.0)
    assert trace.end == "complete"
    assert max(trace.of("reheat", "hold")) <= 31.0


@pytest.mark.parametrize("plant", PLANTS)
def test_cold_room_keeps_middle_and_wall_inside_the_window(plant: str) -> None:
    trace = Kitchen(plant, room_c=12.0).run(HOLD_S, 6 * 3600.0)
    assert trace.end == "complete"
    for layer in (False, True):
        assert min(trace.of("hold", layer=layer)) >= 30.0
        assert max(trace.of("hold", layer=layer)) <= 31.0


@pytest.mark.parametrize("plant", PLANTS)
def test_batch_above_the_melt_window_is_cooled_into_it_first(plant: str) -> None:
    program = board_program(load("dark").with_hold(HOLD_S), 1.0)
    warm = plant_of(reference(plant), chocolate_c=51.5, bath_c=51.0, body_c=51.0, stable_share=0.0)
    trace = Chain(warm, program, project(None)).run(4 * 3600.0)
    assert trace.end == "complete"
    assert max(trace.chocolate_c) <= 51.6
    assert spent_s(trace, "melt", "soak") < 20 * 60.0


@pytest.mark.parametrize("plant", PLANTS)
def test_batch_above_the_recipes_limit_is_refused_and_leaves_no_trip(
    plant: str, tmp_path: Path
) -> None:
    begin = {"chocolate_c": 58.0, "bath_c": 50.0, "body_c": 50.0, "stable_share": 0.0}
    with direct(tmp_path, Options(parameters=reference(plant), begin=begin)) as board:
        answer = board.load("dark")
        assert not answer["ok"]
        assert (answer["why"], answer["at"], answer["hi"]) == (
            "objection",
            "chocolate-hot",
            52_000,
        )
        assert 57_000 < int(answer["d"]) <= 58_100
        board.run(10)
        assert not board.trips and board.dark
        board.rig.plant.take_chocolate(0.9)
        board.rig.plant.add_chocolate(0.9, 40.0, 0.0)
        board.run(60)
        assert board.load("dark")["ok"]
