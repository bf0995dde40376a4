"""What one ordinary cycle teaches of rigs that nobody has measured, in random kitchens.

    python tests/bench/lessons.py [--plant distributed] [--rigs 20] [--first SEED]

Each kitchen makes its batch as a rig of which nothing is known, learns from that as a keeper would
have it learn, and makes the same batch again with what was learned. Where the lesson says that
control is to go by it, the second batch must take no longer; what the others would have taken
shows what that judgement is worth. The water in the bath is not told: it is taken to be 3 kg.
"""

from __future__ import annotations

import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "stand_ins"))

from chain import Trace
from kitchen_bench import chain_of, options
from random_kitchens import Kitchen, kitchen
from verdict import quantile

from glossbath.client.messages import Reading
from glossbath.errors import InputError
from glossbath.process.learning import steers_better, undisturbed
from glossbath.recipe import load
from glossbath.thermal.model import RigModel, board_values, chocolate
from glossbath.thermal.tuning import Known, fit

_HOLD_S = 900.0
_PATIENCE_S = 10 * 3600.0


@dataclass
class Lesson:
    """One kitchen. why is the reason why nothing was learned, or empty. steers: what the lesson
    says; ratio: time to the hold with it over that before; beyond_c: how much farther from its
    target the hold was at worst, in °C."""

    seed: int
    why: str = ""
    steers: bool = False
    ratio: float = 0.0
    beyond_c: float = 0.0


def _cycle(found: Kitchen, plant: str, values: list[int] | None) -> tuple[Trace, list[Reading]]:
    chain = chain_of(found, found.plant(plant), _HOLD_S, values)
    readings = []
    for reading in chain:
        readings.append(reading)
        if reading.time_s > _PATIENCE_S:
            break
    return chain.trace, readings


def lesson(seed: int, plant: str) -> Lesson:
    """What the kitchen of a seed learns on one of the plants."""
    found = kitchen(seed)
    before, readings = _cycle(found, plant, None)
    if before.end != "complete":
        return Lesson(seed, f"the cycle ended as {before.end}")
    recipe = load(found.chocolate)
    contents = chocolate(found.batch_kg, recipe.fat_share, recipe.chocolate)
    reference = RigModel.default()
    try:
        taken = undisturbed(readings)
        model = fit(taken, Known(reference.water_kg, contents)).model
    except InputError as error:
        return Lesson(seed, str(error)[:60])
    steers = steers_better(recipe, found.batch_kg, taken[0], model, reference)
    after, _ = _cycle(found, plant, board_values(model))
    if "hold" not in after.entered_s:
        return Lesson(seed, "", steers, float("inf"))
    target_c = recipe.phases[-1].target_c
    strays = [max(abs(one - target_c) for one in trace.of("hold")) for trace in (before, after)]
    ratio = after.entered_s["hold"] / before.entered_s["hold"]
    return Lesson(seed, "", steers, ratio, strays[1] - strays[0])


def _told(name: str, lessons: list[Lesson]) -> str:
    if not lessons:
        return f"{name:40s} none"
    ratios = [one.ratio for one in lessons]
    return (
        f"{name:40s} {len(lessons):3d}: time over that before, median {quantile(ratios, 0.5):.3f} "
        f"worst {max(ratios):.3f}; hold farther off by at most "
        f"{max(one.beyond_c for one in lessons):+.2f} °C"
    )


def main() -> None:
    """Run them and print the table; exit code 1 where a lesson that steers made a rig slower."""
    asked = options(__doc__, 20).parse_args()
    seeds = range(asked.first, asked.first + asked.rigs)
    with ProcessPoolExecutor(asked.jobs) as pool:
        lessons = []
        for one in pool.map(partial(lesson, plant=asked.plant), seeds):
            lessons.append(one)
            print(one, flush=True)
    taught = [one for one in lessons if not one.why]
    steering = [one for one in taught if one.steers]
    print(f"\n{asked.plant} plant, seeds {seeds[0]} to {seeds[-1]}")
    print(f"{'teach nothing':40s} {len(lessons) - len(taught):3d}")
    print(_told("control goes by the lesson", steering))
    print(_told("it does not; if it did", [one for one in taught if not one.steers]))
    sys.exit(any(one.ratio > 1.0 for one in steering))


if __name__ == "__main__":
    main()
