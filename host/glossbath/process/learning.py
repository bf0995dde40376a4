"""Learns from an ordinary cycle what its rig is: python -m glossbath.process.learning FOLDER RIG.

The keeper starts this as a process of its own when a cycle has ended (see keeper/learner.py),
since the fit takes up to a minute of a small computer; a person runs `glossbath tune learn`.
"""

from __future__ import annotations

import math
import os
import sys
from collections.abc import Iterable
from pathlib import Path

from glossbath.client.messages import Reading
from glossbath.errors import GlossbathError, InputError
from glossbath.recipe import Recipe
from glossbath.record import PastCycle, open_cycle
from glossbath.record.package import CycleFacts
from glossbath.thermal.forecast import Beginning, Kitchen, Start
from glossbath.thermal.model import (
    Learned,
    RigModel,
    chocolate,
    knowledge_of,
    load_learned,
    load_model,
    save_learned,
)

HOLD_S = 600.0
"""Of the hold: later the lid is opened and chocolate taken out, so that the bowl has less (common
practice, no source)."""
TEACHING = ("complete", "stopped")
_MENDED = ("ice", "back")
"""Events after which a cycle is not like the others."""
_NICE = 15
"""The next cycle on this computer comes first."""
_BETTER = 0.995
"""Of the time that the same batch takes: from here on control goes by what was learned."""
_ROOM_C = 22.0


def learn(folder: Path, rig: str = "", water_kg: float | None = None) -> tuple[str, str]:
    """Join what a cycle shows with what is known of its rig, and keep it. The rig, and what
    changed, in words.

    rig is the record's own unless it is named. water_kg is the water in its bath, where it is
    known better than before. Raises InputError, with the reason, when the cycle teaches nothing.
    """
    from glossbath.thermal.tuning import Known, fit
    from glossbath.thermal.tuning.lesson import after_cycle, changes

    cycle = open_cycle(folder)
    facts = cycle.facts
    if facts is None:
        raise InputError(f"{folder} does not say what was in the bowl: nothing is learned.")
    rig = rig or facts.rig
    past = load_learned(rig)
    lessons = past.lessons if past else []
    _check(cycle, facts, rig, lessons)
    readings = undisturbed(cycle.readings())
    before = knowledge_of(rig).model
    contents = chocolate(facts.batch_kg, facts.recipe.fat_share, facts.recipe.chocolate)
    known = Known(before.water_kg if water_kg is None else water_kg, contents, None, before)
    after = after_cycle(before, fit(readings, known).model)
    changed = changes(before, after)
    steers = steers_better(facts.recipe, facts.batch_kg, readings[0], after, load_model(rig))
    lesson = f"{folder.name}: {changed or 'nothing new'}"
    save_learned(rig, Learned(after, steers, [*lessons, lesson]))
    return rig, changed


def undisturbed(readings: Iterable[Reading]) -> list[Reading]:
    """A cycle's readings from its first whole one up to where people begin to take chocolate out.

    Raises InputError where there is none.
    """
    taken: list[Reading] = []
    for reading in readings:
        if reading.phase == "hold" and reading.phase_elapsed_s > HOLD_S:
            break
        whole = None not in (reading.chocolate_c, reading.bath_c, reading.body_c)
        if taken or (whole and reading.state == "running"):
            taken.append(reading)
    if not taken:
        raise InputError("The record has no running cycle in which all probes were read.")
    return taken


def steers_better(
    recipe: Recipe, batch_kg: float, first: Reading, after: RigModel, identified: RigModel
) -> bool:
    """Whether control that takes the rig for what was learned would have been through with a batch
    that began with this reading sooner than with what it had, on the rig as it was found.

    On both virtual plants this tells what a lesson is worth (`tests/bench/lessons.py`): a model
    that forecasts well may still make control more careful than it need be.
    """
    assert first.chocolate_c is not None and first.bath_c is not None and first.body_c is not None
    start = Start(first.chocolate_c, first.bath_c, first.body_c)
    room_c = _ROOM_C if first.room_c is None else first.room_c
    kitchen = Kitchen(room_c, tap_c=0.0, ice_kg=after.ice_kg)

    def total_s(steering: RigModel) -> float:
        course = Beginning(recipe, after, start, batch_kg, kitchen, steering).course()
        return math.inf if course.stuck else course.total_s

    return total_s(after) < _BETTER * total_s(identified)


def _check(cycle: PastCycle, facts: CycleFacts, rig: str, lessons: list[str]) -> None:
    """Raise InputError for a cycle that shows another rig than the one that works every day."""
    if cycle.result not in TEACHING:
        raise InputError(
            f"This cycle ended as {cycle.result}: only one that is complete, or was stopped by a "
            "person, teaches what the rig is."
        )
    if any(lesson.startswith(f"{cycle.folder.name}: ") for lesson in lessons):
        raise InputError(f"This cycle has taught {rig} already: it would count twice.")
    if any(event.code in _MENDED for event in cycle.events()):
        raise InputError(
            "In this cycle ice was put in, or its cooling was given up: what the chill takes in "
            "one that goes well cannot be told from it."
        )
    if facts.virtual and rig != facts.rig:
        raise InputError(
            f"This cycle ran on the virtual rig {facts.rig}: it teaches nothing about {rig}."
        )
    if facts.recipe.fat_share == 0.0:
        raise InputError(
            "This cycle had water in its bowl: use glossbath tune fit, which knows water better."
        )


def main() -> None:
    """For the keeper: prints what was learned, or why nothing was, in one line."""
    folder, rig = Path(sys.argv[1]), sys.argv[2]
    if hasattr(os, "nice"):
        os.nice(_NICE)
    try:
        _, changed = learn(folder, rig)
    except GlossbathError as error:
        print(f"Nothing was learned from {folder.name}: {error}")
        return
    print(f"Learned from {folder.name}: {changed or 'nothing new'}.")


if __name__ == "__main__":
    main()
