"""Moments at which a fault is worst: the wrap of the board's clock in each phase, a reset in any
pass of start test and cycle, settings cut at any byte."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from campaign import WatchedWorld
from cut_settings import cut_problem, good_settings
from faults import FAULTS
from sampling import sample
from scenes import SCENES, order_start, start
from witness import Witness
from world import World

from glossbath.virtual.bench import TICKS_PERIOD
from glossbath.virtual.virtual import Options

BRIEF = SCENES["brief"]
PHASES = ("testing", "melt", "soak", "cool", "reheat", "hold")
WDT = 3


@pytest.fixture(scope="module")
def middles_s(tmp_path_factory: pytest.TempPathFactory) -> dict[str, float]:
    """Seconds after power-up at which the brief scene is in the middle of each phase."""
    rig = WatchedWorld(tmp_path_factory.mktemp("brief"), Options(begin=BRIEF.begin), fast=True)
    begins_s = {}
    try:
        order_start(rig, BRIEF)
        rig.until(lambda: rig.state == "testing", 30)
        begins_s["testing"] = rig.rig.now_ms / 1000
        rig.until(lambda: "hold" in [event.code for event in rig.events("phase")], 2_400)
        for event in rig.events("phase"):
            begins_s[event.code] = rig.times_ms[rig.messages.index(event)] / 1000
    finally:
        rig.close()
    ends_s = [*list(begins_s.values())[1:], begins_s["hold"] + 60]
    return {
        name: (begin_s + end_s) / 2
        for (name, begin_s), end_s in zip(begins_s.items(), ends_s, strict=True)
    }


@pytest.mark.parametrize("phase", sample(PHASES, 2))
def test_ticks_that_wrap_change_nothing(
    tmp_path: Path, middles_s: dict[str, float], phase: str
) -> None:
    world = WatchedWorld(tmp_path, Options(begin=BRIEF.begin), fast=True)
    try:
        # MicroPython's ticks_ms wraps at 2**30 ms (py/mpconfig.h), 12.4 days.
        world.rig.ticks_offset_ms = TICKS_PERIOD - round(middles_s[phase] * 1000)
        world.witness = Witness(world)
        start(world, BRIEF)
        world.run(middles_s[phase] + 20 - world.rig.now_ms / 1000)
        phases = [reading.phase for reading in world.readings() if reading.state == "running"]
        assert world.state == "running"
        assert phase in ("testing", *phases)
        assert world.events("trip") + world.events("alarm") == []
        assert world.witness.wrong == []
        assert world.witness.hottest_c <= BRIEF.recipe.max_c
    finally:
        world.close()


def _reset_after(folder: Path, passes: int) -> World:
    """A board that is reset by its watchdog that many passes after the arm button."""
    rig = WatchedWorld(folder, Options(begin=SCENES["melt"].begin), fast=True)
    rig.witness = Witness(rig)
    order_start(rig, SCENES["melt"])
    rig.until(lambda: rig.state == "testing", 30)
    rig.rig.hand.willing = False
    for _ in range(passes):
        rig.rig.step(rig)  # type: ignore[arg-type]
    rig.witness.begin(frozenset())
    rig.rig.restart(WDT)
    return rig


@pytest.mark.parametrize("seed", sample(range(10), 2))
def test_a_watchdog_reset_in_any_pass_leaves_the_rig_off(tmp_path: Path, seed: int) -> None:
    # The start test takes 7.5 s, 30 passes; heat comes after it.
    passes = seed * 6 + random.Random(seed).randrange(6)
    rig = _reset_after(tmp_path, passes)
    try:
        rig.run(30)
        assert rig.witness is not None
        assert rig.witness.last_heat_s is None
        assert not any(rig.rig.pin(name) for name in ("heat", "relay", "chill", "stir", "lamp"))
        assert rig.result == "tripped"
        assert "board-restarted" in {alarm.code for alarm in rig.alarms()}
    finally:
        rig.close()


@pytest.fixture(scope="module")
def settings(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return good_settings(tmp_path_factory.mktemp("rig"))


@pytest.mark.parametrize("tenth", sample(range(10), 3))
def test_settings_cut_anywhere_refuse_every_start(
    tmp_path: Path, settings: bytes, tenth: int
) -> None:
    at = tenth * (len(settings) - 1) // 9
    assert cut_problem(tmp_path, settings, at) == ""


def test_a_recipe_beyond_all_limits_sent_raw_heats_nothing(tmp_path: Path) -> None:
    # The hand at the rig is willing: it presses the arm button whenever the lamp asks.
    rig = WatchedWorld(tmp_path, Options(begin=BRIEF.begin), fast=True)
    try:
        rig.witness = Witness(rig)
        rig.run(5)
        FAULTS["line: a recipe beyond all limits sent raw"].put(rig, random.Random(1))
        rig.run(60)
        assert rig.witness.last_heat_s is None
        assert rig.state == "idle"
    finally:
        rig.close()
