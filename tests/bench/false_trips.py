"""Twenty whole cycles that differ as kitchens do: none may trip.

    .venv/bin/python tests/bench/false_trips.py [FIRST [LAST]] [--plant distributed]

Each seed draws recipe, room, heater, water, batch, probes' lag and noise, what the rig begins at,
and what people do in between. Prints one line a cycle and ends with exit code 1 if one tripped.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "rig"))
sys.path.insert(0, str(Path(__file__).parents[1] / "stand_ins"))

from direct import Direct, direct

from glossbath.virtual.plants import PLANTS, reference
from glossbath.virtual.virtual import Options

LONGEST_S = 9 * 3600


def kitchen(seed: int, plant: str = "lumped") -> tuple[str, Options]:
    """A recipe and a rig of that plant."""
    draw = random.Random(seed)
    recipe = draw.choice(("dark", "milk", "white"))
    both: dict[str, float] = {
        "heater_w": draw.uniform(200.0, 350.0),
        "water_kg": draw.uniform(2.4, 4.0),
        "chocolate_kg": draw.uniform(0.6, 1.5),
    }
    body_kg = draw.uniform(2.0, 4.0)
    both["ice_kg"] = draw.uniform(2.0, 4.0)
    body_water = draw.uniform(20.0, 40.0)
    own: dict[str, float] = {"crock_mm": 14.0 - 9.0 * (body_water - 20.0) / 20.0}
    if plant == "lumped":
        own = {"body_kg": body_kg, "body_water_w_per_k": body_water}
    parameters = replace(reference(plant, recipe), **both, **own)
    room_c = draw.uniform(16.0, 32.0)
    begin = {"room_c": room_c, "bath_c": draw.uniform(room_c - 4.0, 45.0)}
    return recipe, Options(
        parameters=parameters,
        seed=seed,
        probe_noise_c=draw.uniform(0.0, 0.04),
        probe_tau_s=draw.uniform(4.0, 15.0),
        body_is_ntc=draw.random() < 0.3,
        begin=begin,
    )


def disturb(d: Direct, draw: random.Random) -> str:
    """Something that people do; what it was."""
    plant, probe = d.rig.plant, d.rig.probes["chocolate"]
    deed = draw.choice(("lid", "bowl out", "wipe", "room", "mains", "spark", "water", "hold"))
    if deed == "lid":
        plant.set_lid(True)
        d.run(draw.uniform(20.0, 600.0))
        plant.set_lid(False)
    elif deed == "bowl out":
        d.rig.float_held_down = True
        d.run(draw.uniform(5.0, 120.0))
        d.rig.float_held_down = False
    elif deed == "wipe":
        probe.lift(lambda: plant.room_c)
        d.run(draw.uniform(5.0, 60.0))
        probe.mend()
    elif deed == "room":
        plant.set_room(draw.uniform(16.0, 32.0))
    elif deed == "mains":
        plant.set_mains(draw.uniform(0.9, 1.1))
    elif deed == "spark":
        chip = d.rig.chips[draw.choice(list(d.rig.chips))]
        chip.inject("crc noise", 0.3)
        d.run(60.0)
        chip.inject("")
    elif deed == "water":
        plant.add_water(draw.uniform(0.1, 0.4), draw.uniform(10.0, 80.0))
    else:
        d.ask("hold")
        d.run(draw.uniform(10.0, 300.0))
        d.ask("resume")
    return deed


def cycle(seed: int, plant: str = "lumped") -> tuple[str, str]:
    """How a seed's cycle ended, and what happened in it."""
    recipe, options = kitchen(seed, plant)
    draw = random.Random(-seed)
    deeds = []
    with tempfile.TemporaryDirectory() as folder, direct(Path(folder), options) as d:
        d.heat(recipe, hold_s=1800.0)
        while d.state in ("running", "held") and d.rig.now_ms < LONGEST_S * 1000:
            d.run(draw.uniform(300.0, 1200.0))
            if d.state == "running":
                deeds.append(disturb(d, draw))
        ended = d.state if not d.trips else f"TRIPPED {d.trips[0]}"
        if d.rig.resets:
            ended = "killed"  # somebody ended the firmware's process: this says nothing
        return ended, f"{recipe} {d.rig.now_ms / 3.6e6:.1f} h: {', '.join(deeds)}"


def main() -> int:
    """Run the seeds; the exit code."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("first", type=int, nargs="?", default=1)
    parser.add_argument("last", type=int, nargs="?", default=20)
    parser.add_argument("--plant", choices=PLANTS, default="lumped")
    asked = parser.parse_args()
    bad = 0
    for seed in range(asked.first, asked.last + 1):
        ended, story = cycle(seed, asked.plant)
        bad += ended != "complete"
        print(f"{seed:3d}  {ended:10s}  {story}", flush=True)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
