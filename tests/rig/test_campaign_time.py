"""Moments at which a fault is worst: the wrap of the board's clock in each phase, a reset in any
pass of start test and cycle, settings cut at any byte."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from campaign import WatchedWorld
from scenes import SCENES, order_start, start
from witness import Witness
from world import World, world

from glossbath.rig.bench import TICKS_PERIOD
from glossbath.rig.virtual import Options

BRIEF = SCENES["brief"]
# Seconds after power-up at which the brief scene is in the middle of each phase.
WRAPS_S = {"testing": 11.0, "melt": 100.0, "soak": 177.0, "cool": 300.0, "reheat": 480.0}
WDT = 3


@pytest.mark.parametrize("phase", list(WRAPS_S))
def test_ticks_that_wrap_change_nothing(tmp_path: Path, phase: str) -> None:
    world = WatchedWorld(tmp_path, Options(begin=BRIEF.begin), fast=True)
    try:
        # MicroPython's ticks_ms wraps at 2**30 ms (py/mpconfig.h), 12.4 days.
        world.rig.ticks_offset_ms = TICKS_PERIOD - round(WRAPS_S[phase] * 1000)
        world.witness = Witness(world)
        start(world, BRIEF)
        world.run(WRAPS_S[phase] + 20 - world.rig.now_ms / 1000)
        phases = [reading.phase for reading in world.readings() if reading.state == "running"]
        assert world.state == "running"
        assert phase in ("testing", *phases)
        assert world.events("trip") + world.events("alarm") == []
        assert world.witness.wrong == []
        assert world.witness.hottest_c <= BRIEF.recipe.max_c
    finally:
        world.close()


def test_the_brief_scene_wraps_where_it_says(tmp_path: Path) -> None:
    with world(tmp_path, Options(begin=BRIEF.begin), fast=True) as rig:
        start(rig, BRIEF)
        rig.run(WRAPS_S["reheat"] + 20)
        at_s = {
            event.code: rig.times_ms[rig.messages.index(event)] / 1000
            for event in rig.events("phase")
        }
    names = ("melt", "soak", "cool", "reheat")
    for name, after in zip(names, (*names[1:], "hold"), strict=True):
        assert at_s[name] < WRAPS_S[name] < at_s.get(after, 10**6)


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


@pytest.mark.parametrize("seed", range(10))
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


def _settings(rig: World) -> list[Path]:
    flash = Path(rig.rig.engine._flash)
    return [flash / "settings.a", flash / "settings.b"]


@pytest.fixture(scope="module")
def settings(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """One good copy of a rig's settings."""
    with world(tmp_path_factory.mktemp("rig"), fast=True) as rig:
        found = [path.read_bytes() for path in _settings(rig) if path.exists()]
    return found[0]


def _board_with(folder: Path, copies: tuple[bytes, bytes]) -> tuple[bool, str]:
    """Whether a board with these two copies takes a start, and what it says."""
    with world(folder, fast=True) as rig:
        for path, content in zip(_settings(rig), copies, strict=True):
            path.write_bytes(content)
        rig.rig.restart()
        rig.run(3)
        reply = rig.start()
        rig.run(2)
        assert rig.rig.heat_share == 0
        return reply.ok, reply.text


@pytest.mark.parametrize("part", range(4))
def test_one_copy_cut_anywhere_is_made_up_for_by_the_other(
    tmp_path: Path, settings: bytes, part: int
) -> None:
    for at in range(part, len(settings), len(settings) // 3):
        for name, copies in (
            ("a", (settings[:at], settings)),
            ("b", (settings, settings[:at])),
        ):
            ok, text = _board_with(tmp_path / f"{name}{at}", copies)
            assert ok, text


@pytest.mark.parametrize("part", range(4))
def test_both_copies_cut_refuse_every_start(tmp_path: Path, settings: bytes, part: int) -> None:
    for at in range(part, len(settings) - 1, len(settings) // 3):
        ok, text = _board_with(tmp_path / f"both{at}", (settings[:at], settings[:at]))
        assert not ok
        assert text.endswith(".")
