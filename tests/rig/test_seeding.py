"""Seeding in a cycle on the real firmware: asked for in time, seen by its heat, or missed.

The virtual hand stirs chocolate into the plant; nothing tells the keeper but the temperature.
Temperatures: form V does not survive above 34 °C (Greweling 2007).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from world import World, world

from glossbath.recipe import dump, load
from glossbath.record import open_cycle
from glossbath.report.crystals import predict
from glossbath.virtual.virtual import Options

SEED_KG = 0.06
ROOM_C = 24.0


def hot() -> Options:
    """A bowl that is melted already: a person has filled in hot chocolate and hot water."""
    return Options(
        begin={"chocolate_c": 47.0, "bath_c": 48.0, "body_c": 49.0, "stable_share": 0.0}
    )


def begin(rig: World, hold_s: float = 300.0) -> None:
    """Start the seeded recipe with 1 kg in the bowl."""
    rig.run(3)
    text = dump(load("dark-seeded").with_hold(hold_s))
    reply = rig.ask("start", recipe=text, where="dark-seeded", batch_kg=1.0)
    assert reply.ok, reply.text


def asked(rig: World) -> bool:
    """Whether seed is asked for now."""
    return rig.keeper.snapshot().request.startswith("Add 60 g of tempered chocolate seed now")


def seed_tests(rig: World) -> list[dict[str, object]]:
    """What was found of seed so far."""
    return [event.values for event in rig.events("test") if event.code == "seed"]


@pytest.mark.parametrize("late_s", [20.0, 400.0])
def test_a_seeded_cycle_completes_and_sees_the_seed_by_its_heat(
    tmp_path: Path, late_s: float
) -> None:
    with world(tmp_path, hot(), fast=True) as rig:
        begin(rig)
        rig.until(lambda: rig.keeper.snapshot().request.startswith("Have 60 g"), 3 * 3600)
        early = rig.ask("done")
        assert not early.ok
        assert "the seed would be lost" in early.text
        rig.until(lambda: asked(rig), 3600)
        assert rig.rig.plant.chocolate_c <= 34.0
        rig.run(late_s)
        assert rig.state == "held"
        assert asked(rig)
        rig.rig.plant.add_chocolate(SEED_KG, ROOM_C)
        took_s = rig.until(lambda: rig.state == "running", 600)
        assert took_s < 300
        (found,) = seed_tests(rig)
        assert found["verdict"] == "added"
        assert found["result"] == "seen"
        assert found["expected_least_c"] * 0.4 <= found["fell_c"]  # type: ignore[operator]
        rig.until(lambda: bool(rig.result), 4 * 3600)
        assert rig.result == "complete"
        assert not rig.events("trip")
        folder = rig.keeper.snapshot().folder
    predicted = predict(open_cycle(folder)).at_end
    assert predicted is not None
    assert predicted.good_share[-1] > 0.005


def test_seed_that_is_never_added_is_told_and_the_recipe_waits(tmp_path: Path) -> None:
    with world(tmp_path, hot(), fast=True) as rig:
        begin(rig)
        rig.until(lambda: asked(rig), 4 * 3600)
        rig.until(lambda: any(a.code == "seed-unseen" for a in rig.alarms()), 700)
        assert rig.state == "held"
        (found,) = seed_tests(rig)
        assert found["result"] == "not seen"
        (alarm,) = [a for a in rig.alarms() if a.code == "seed-unseen"]
        assert "No seed was seen." in alarm.happened
        assert "The recipe waits" in alarm.rig_did
        # A quarter of an hour more without it, and it is still not taken for seed.
        rig.run(900)
        assert rig.state == "held"
        # The person says so in the end.
        reply = rig.ask("done")
        assert reply.ok
        assert "A person said that the seed is in." in reply.text
        rig.until(lambda: rig.state == "running", 30)
        assert not any(a.code == "seed-unseen" and a.state == "raised" for a in rig.alarms())
        assert not rig.keeper.snapshot().request


def test_a_person_may_let_the_recipe_go_on_without_seed(tmp_path: Path) -> None:
    with world(tmp_path, hot(), fast=True) as rig:
        begin(rig)
        rig.until(lambda: asked(rig), 4 * 3600)
        rig.run(5)
        assert rig.ask("resume").ok
        rig.until(lambda: rig.state == "running", 30)
        (found,) = seed_tests(rig)
        assert found["result"] == "skipped"
        rig.run(60)
        assert rig.state == "running"
        assert not rig.ask("done").ok
