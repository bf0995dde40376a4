"""Which cause is told of random kitchens in which one was put, and which comes first of all.

    .venv/bin/python tests/bench/findings.py [--plant distributed] [--rigs 16] [--first SEED]

Each kitchen that can make its cycle is identified as it should be and then makes it seven times:
healthy, and with one thing wrong. Prints a row a cause: which cause was told first, and which was
at any time the likeliest of all. Without --first the seeds are those kept for reporting.
"""

from __future__ import annotations

import dataclasses
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import partial

from ideal import ideal
from kitchen_bench import chain_of, options
from kitchen_onlookers import Columns, identify
from random_kitchens import Kitchen, kitchen

from glossbath.recipe import load
from glossbath.thermal.forecast.account import Account
from glossbath.thermal.forecast.judge import Judge
from glossbath.thermal.model import RigModel, chocolate
from glossbath.virtual.plants import AnyParameters, plant_of

_HOLD_S = 900.0
_PATIENCE_S = 20_000.0
_LEAST_ICE_KG = 2.0
_BOWL = (
    "water_bowl_w_per_k",
    "bowl_chocolate_w_per_k",
    "bowl_water_w_per_k",
    "bowl_layer_w_per_k",
    "layer_core_w_per_k",
)
Change = Callable[[AnyParameters], dict[str, float]]


def _less_bowl(rig: AnyParameters) -> dict[str, float]:
    return {name: 0.5 * getattr(rig, name) for name in _BOWL if hasattr(rig, name)}


WRONG: dict[str, Change] = {
    "healthy": lambda rig: {},
    "heater-weak": lambda rig: {"heater_w": 0.7 * rig.heater_w},
    "water-less": lambda rig: {"water_kg": 0.62 * rig.water_kg},
    "water-more": lambda rig: {"water_kg": 1.45 * rig.water_kg},
    "lid-off": lambda rig: {},
    "ice-gone": lambda rig: {"ice_kg": 0.0},
    "bowl-less": _less_bowl,
}
_OPENED = [(300.0, lambda chain: chain.plant.set_lid(True))]
Told = tuple[str, str, str]
"""What was wrong, what was told first, and what was likeliest of all."""


def _look(
    found: Kitchen, plant: str, model: RigModel, values: list[int] | None, wrong: str
) -> Told:
    """One cycle under the eyes of a judge. Ice that has run out makes ice-gone true as well."""
    rig = found.parameters(plant)
    changed = plant_of(dataclasses.replace(rig, **WRONG[wrong](rig)), **found.options())
    events = _OPENED if wrong == "lid-off" else ()
    chain = chain_of(found, changed, _HOLD_S, values, events)
    recipe, judge = load(found.chocolate), Judge(model)
    contents = chocolate(found.batch_kg, recipe.fat_share, recipe.chocolate)
    account = Account(model, contents, found.room_c)
    first, peak = "", Counter[str]()
    for reading in chain:
        block = account.add_reading(reading)
        if block is not None:
            judge.look(block)
        if judge.odds is not None:
            for code, belief in judge.odds.beliefs.items():
                peak[code] = max(peak[code], belief)
        true = judge.finding and judge.finding.code == "ice-gone" and chain.plant.ice_kg < 0.1
        if judge.finding and not first and not (true and wrong != "ice-gone"):
            first = judge.finding.code
        if reading.time_s > _PATIENCE_S:
            break
    likeliest = max((code for code in peak if code in WRONG), key=lambda code: peak[code])
    return wrong, first or "nothing", likeliest


def looks(seed: int, plant: str) -> list[Told]:
    """All cycles of the kitchen of a seed; none where it cannot make one or is not identified."""
    found = kitchen(seed)
    found = dataclasses.replace(found, ice_kg=max(_LEAST_ICE_KG, found.ice_kg))
    if not ideal(found.plant(plant), found.program(_HOLD_S)).possible:
        return []
    columns = Columns()
    identify(found, plant, columns)
    if columns.model is None:
        return []
    return [_look(found, plant, columns.model, columns.values, wrong) for wrong in WRONG]


def _counted(codes: Counter[str]) -> str:
    return ", ".join(f"{code} {times}" for code, times in codes.most_common())


def main() -> None:
    """Run them and print the tables."""
    asked = options(__doc__, 24).parse_args()
    seeds = range(asked.first, asked.first + asked.rigs)
    with ProcessPoolExecutor(asked.jobs) as pool:
        told = [one for each in pool.map(partial(looks, plant=asked.plant), seeds) for one in each]
    print(f"{asked.plant} plant, seeds {seeds[0]} to {seeds[-1]}")
    right = 0
    for wrong in WRONG:
        mine = [one for one in told if one[0] == wrong]
        top = Counter(one[2] for one in mine)
        right += top[wrong]
        likely = "" if wrong == "healthy" else f" | likeliest {_counted(top)}"
        print(f"{wrong:12s} told first {_counted(Counter(one[1] for one in mine))}{likely}")
    put = sum(one[0] != "healthy" for one in told)
    print(f"the right cause is the likeliest in {right} of {put}")


if __name__ == "__main__":
    main()
