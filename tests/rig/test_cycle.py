"""Whole cycles on the real firmware, judged by the true chocolate temperature.

The limits of the recipes are common practice, no source: dark melts at 46 to 50 °C, is cooled to
28 to 29 °C, worked at 30 to 31 °C and must be cooled again above 32 °C; milk is melted at no more
than 45 °C, and white too.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from sampling import sample
from world import World, world

from glossbath.recipe import load
from glossbath.record import open_cycle
from glossbath.virtual.chocolates import bowl_of
from glossbath.virtual.virtual import Options

MELT_AT_MOST_C = {"dark": 50.0, "milk": 45.0, "white": 45.0}
HOLD_S = 1800.0


def _follow(rig: World) -> dict[str, list[float]]:
    """True chocolate temperatures, by phase."""
    seen: dict[str, list[float]] = {}

    def ended() -> bool:
        snapshot = rig.keeper.snapshot()
        batch = rig.keeper.batch
        if snapshot.state == "running" and batch is not None and batch.phase_index >= 0:
            name = batch.recipe.phases[batch.phase_index].name
            seen.setdefault(name, []).append(rig.rig.plant.chocolate_c)
        return bool(snapshot.result)

    rig.until(ended, 6 * 3600)
    return seen


@pytest.mark.parametrize("recipe", sample(["dark", "milk", "white"], of=3))
def test_cycle_completes_inside_its_limits(tmp_path: Path, recipe: str) -> None:
    plan = {phase.name: phase for phase in load(recipe).phases}
    with world(tmp_path, Options(parameters=bowl_of(recipe))) as rig:
        assert rig.start(recipe, HOLD_S).ok
        seen = _follow(rig)
        assert rig.result == "complete"
        assert not rig.events("trip")
        folder = rig.keeper.snapshot().folder
    assert list(seen) == ["melt", "soak", "cool", "reheat", "hold"]
    assert max(seen["melt"] + seen["soak"]) <= MELT_AT_MOST_C[recipe]
    assert min(seen["soak"]) >= plan["soak"].window.low_c - 0.2
    assert min(seen["cool"]) >= plan["cool"].window.low_c - 0.5
    if recipe == "dark":
        assert max(seen["reheat"] + seen["hold"]) <= 32.0
    working_c = plan["hold"].target_c
    assert all(abs(celsius - working_c) <= 0.5 for celsius in seen["hold"])
    summary = open_cycle(folder).summary()
    assert summary["result"] == "complete"
    assert summary["virtual"] is True
    assert summary["trips"] == []
    assert [phase["name"] for phase in summary["phases"]] == list(seen)


def test_record_names_the_interpreter_that_ran_the_firmware(tmp_path: Path) -> None:
    with world(tmp_path) as rig:
        rig.run(3)
        assert rig.keeper.snapshot().engine.startswith(("micropython 1.", "cpython 3."))
        assert rig.keeper.snapshot().virtual
