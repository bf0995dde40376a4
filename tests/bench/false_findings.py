"""Whole cycles that differ as kitchens do, with the keeper watching: none may trip.

    .venv/bin/python tests/bench/false_findings.py [FIRST [LAST]] [--plant distributed]

The kitchens and what people do in them are those of false_trips.py. Prints one line a cycle with
the alarms it raised, and ends with exit code 1 if one tripped.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import random
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "rig"))
sys.path.insert(0, str(Path(__file__).parents[1] / "stand_ins"))

from false_trips import LONGEST_S, disturb, kitchen
from world import world

from glossbath.recipe import dump, load
from glossbath.virtual.plants import PLANTS

HOLD_S = 1_800.0


def cycle(seed: int, plant: str) -> tuple[int, str, str]:
    """The seed, how its cycle ended, and its story."""
    recipe, options = kitchen(seed, plant)
    draw = random.Random(-seed)
    deeds: list[str] = []
    with tempfile.TemporaryDirectory() as folder, world(Path(folder), options, fast=True) as rig:
        rig.run(3)
        text = dump(load(recipe).with_hold(HOLD_S))
        reply = rig.ask(
            "start", recipe=text, where=recipe, batch_kg=options.parameters.chocolate_kg
        )
        assert reply.ok, reply.text
        rig.until(lambda: rig.state == "running", 60)
        while not rig.result and rig.rig.now_ms < LONGEST_S * 1000:
            rig.run(draw.uniform(300.0, 1200.0))
            if rig.state == "running":
                at_min = rig.rig.now_ms / 60_000
                deeds.append(f"{at_min:.0f} {disturb(rig, draw)}")  # type: ignore[arg-type]
        told = [
            f"{rig.times_ms[rig.messages.index(event)] / 60_000:.0f} {event.code}"
            for kind in ("trip", "alarm")
            for event in rig.events(kind)
            if not event.text.startswith(("Over:", "Acknowledged:"))
        ]
        ended = rig.result or "unfinished"
        return seed, ended, f"{recipe}: {', '.join(deeds)} | {', '.join(told) or 'no alarm'}"


def main() -> int:
    """Run the seeds; the exit code."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("first", type=int, nargs="?", default=1)
    parser.add_argument("last", type=int, nargs="?", default=20)
    parser.add_argument("--plant", choices=PLANTS, default="lumped")
    asked = parser.parse_args()
    seeds = range(asked.first, asked.last + 1)
    bad = 0
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(os.cpu_count() or 1, mp_context=context) as pool:
        for seed, ended, story in pool.map(partial(cycle, plant=asked.plant), seeds):
            bad += ended != "complete"
            print(f"{seed:3d}  {ended:10s}  {story}", flush=True)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
