"""No false alarm of water in the chocolate over many whole cycles, and what listening costs.

Each run has its own noise, recipe, room and mass: `.venv/bin/pytest tests/bench/test_seizing.py`.
GLOSSBATH_RUNS says how many (50).
"""

from __future__ import annotations

import os
import random
import sys
import time
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "rig"))

from dataclasses import replace

from world import World, world

from glossbath.client.messages import Reading
from glossbath.process.seizing import EVERY_S, Seizing
from glossbath.virtual.chocolates import bowl_of
from glossbath.virtual.virtual import Options

RUNS = int(os.environ.get("GLOSSBATH_RUNS", "50"))


def whole_cycle(rig: World, recipe: str) -> set[str]:
    """Run a cycle to its end; gives the codes of its alarms."""
    assert rig.start(recipe, 1800).ok
    rig.until(lambda: bool(rig.result), 8 * 3600)
    assert rig.result == "complete"
    return {event.code for event in rig.events("alarm")}


@pytest.mark.timeout(600)
@pytest.mark.parametrize("run", range(RUNS))
def test_no_false_alarm(tmp_path: Path, run: int) -> None:
    chance = random.Random(run)
    recipe = chance.choice(["dark", "milk", "white"])
    kg = chance.uniform(0.7, 1.3)
    parameters = replace(bowl_of(recipe), chocolate_kg=kg, water_kg=chance.uniform(2.6, 3.4))
    begin = {"room_c": chance.uniform(17.0, 29.0)}
    options = Options(parameters=parameters, seed=run, begin=begin)
    with world(tmp_path, options, fast=True) as rig:
        assert "seized" not in whole_cycle(rig, recipe)


def test_listening_costs_less_than_a_thousandth_of_the_time() -> None:
    seizing = Seizing()
    begun_s = time.perf_counter()
    for second in range(3600):
        reading = Reading(
            time_s=float(second), wall="", chocolate_c=30.0, bath_c=30.0, body_c=30.0,
            target_c=30.5, bath_target_c=30.0, heat_share=0.0, chill_share=0.0, stir_share=0.4,
            state="running", phase="hold", phase_index=4, phase_elapsed_s=0.0, phase_left_s=None,
            cycle_left_s=None, stir_ma=200.0 + second % 7,
        )  # fmt: skip
        assert seizing.judge(reading) is None
    took_s = time.perf_counter() - begun_s
    print(
        f"an hour of readings takes {took_s * 1000:.0f} ms, {took_s / 360 * 1000:.2f} ms each "
        f"{EVERY_S:.0f} s"
    )
    assert took_s < 3.6
