"""The board's program fails in the middle of a pass that heats: an exception or an exhausted heap
in each stage, in a copy of the real firmware that fails when its flash says so."""

from __future__ import annotations

from pathlib import Path

import pytest
from campaign import WatchedWorld
from firmware_variants import STAGES, variant
from scenes import SCENES, start
from witness import Witness

from glossbath.virtual.engine import micropython_is_here
from glossbath.virtual.virtual import Options

MELT = SCENES["melt"]
WAYS = ("raise", "fill", "keep")
"""An exception; a heap filled by what is given back when the stage ends; one that stays full."""
OUTPUTS = ("heat", "relay", "chill", "stir", "lamp")
HEAT_MOST_S = 0.5
# On CPython there is no heap to fill.
RUNS = WAYS if micropython_is_here() else WAYS[:1]


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("way", RUNS)
def test_a_failure_in_any_stage_ends_heat_at_once_and_is_told(
    tmp_path: Path, way: str, stage: str
) -> None:
    with variant("fails on demand"):
        world = WatchedWorld(tmp_path, Options(begin=MELT.begin), fast=True)
    try:
        witness = world.witness = Witness(world)
        start(world, MELT)
        world.until(lambda: world.rig.heat_share > 0, 10)
        witness.begin(frozenset())
        # Whole at once: the board's processor runs on while this is written.
        (tmp_path / "flash" / "fail.new").write_text(f"{way} {stage}")
        (tmp_path / "flash" / "fail.new").rename(tmp_path / "flash" / "fail")
        world.run(30)
        assert world.rig.resets == 1
        assert (witness.last_heat_s or 0.0) <= HEAT_MOST_S
        assert not any(world.rig.pin(name) for name in OUTPUTS)
        assert world.result == "tripped"
        told = {alarm.code: alarm for alarm in world.alarms()}
        assert "board-restarted" in told
        if way != "keep":  # with a heap that stays full there is no room to write a trip
            assert world.state == "tripped"
            assert stage in told["firmware"].happened
        assert not (tmp_path / "flash" / "fail").exists()
    finally:
        world.close()
