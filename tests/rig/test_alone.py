"""A hold without the computer: only where a person chose it, and no longer. The true power of the
virtual rig's heater is the witness."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from world import World

from glossbath.client.messages import Event
from glossbath.recipe import dump, load


@contextlib.contextmanager
def holding(folder: Path, alone_min: int) -> Iterator[World]:
    """A rig in the hold of a recipe, with whatever was chosen at its start."""
    world = World(folder, fast=True)
    try:
        world.run(3)
        text = dump(load("dark").with_hold(7_200))
        more = {"alone_min": alone_min} if alone_min else {}
        assert world.ask("start", recipe=text, where="dark", batch_kg=1.0, **more).ok
        world.until(lambda: world.state == "running", 60)
        for _ in range(4):
            world.run(2)
            assert world.ask("step").ok
        world.run(5)
        assert world.keeper.snapshot().phases[world.keeper._board.index].name == "hold"
        yield world
    finally:
        world.close()


def heated_s(world: World, seconds: float) -> float:
    """For how long heat flowed in so much time."""
    flowed = 0.0
    end_ms = world.rig.now_ms + round(seconds * 1000)
    while world.rig.now_ms < end_ms:
        before = world.rig.now_ms
        world.rig.step(world)  # type: ignore[arg-type]
        flowed += (world.rig.now_ms - before) / 1000 * world.rig.heat_share
    return flowed


def die(world: World) -> None:
    """As kill -9 of the keeper does."""
    world.keeper_alive = False
    world.link.close()


@pytest.mark.parametrize(("alone_min", "goes_on"), [(0, False), (30, True)])
def test_heat_without_the_computer_only_where_it_was_chosen(
    tmp_path: Path, alone_min: int, goes_on: bool
) -> None:
    with holding(tmp_path, alone_min) as world:
        die(world)
        world.run(10)
        assert (heated_s(world, 1_500) > 0) is goes_on
        world.run(330)  # past the half hour
        assert heated_s(world, 600) == 0


def test_a_cable_that_was_out_for_minutes_costs_no_hold_that_may_go_on_alone(
    tmp_path: Path,
) -> None:
    with holding(tmp_path, 30) as world:
        world.wire.plugged = False
        world.run(600)
        assert world.keeper.running
        world.wire.plugged = True
        world.run(30)
        assert world.keeper.running and world.state == "running"
        told = [m for m in world.messages if isinstance(m, Event) and m.code == "alone"]
        assert len(told) == 1 and "went on alone for" in told[0].text
        assert world.ask("stop").ok


def test_without_the_choice_a_cable_that_is_out_ends_the_hold(tmp_path: Path) -> None:
    with holding(tmp_path, 0) as world:
        world.wire.plugged = False
        world.run(60)
        assert heated_s(world, 300) == 0
