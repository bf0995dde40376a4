"""What a rig's cycles have taught, beside what its identification found: a second file a rig.

Forecasts go by it, and control where that is of use. Limits never do: a rig that fails slowly must
not teach its own cut-offs. An identification begins anew, so it takes the file away (see
`save_model`).
"""

from __future__ import annotations

import json
from pathlib import Path

import msgspec

from glossbath.errors import InputError

from .rig import RigModel
from .store import dump_model, learned_path, load_model, read_toml, write_text

MOST_LESSONS = 50
"""Lines of history that are kept."""
_HEAD = """\
# What this rig's cycles have taught. Forecasts use it, and control where it steers; limits do not.
# Remove this file to go back to what the identification found.
"""


class Learned(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """model is what the rig seems to be by now; steers says whether control is better with it than
    with what was identified; lessons has what changed, a line a cycle, oldest first."""

    model: RigModel
    steers: bool
    lessons: list[str] = []


class Knowledge(msgspec.Struct, frozen=True):
    """What is known of a rig: the best model of it, and the one that its board steers by.
    identified: an experiment has found it. What cycles alone have taught forecasts well, but is no
    ground to say that something is wrong with the rig."""

    model: RigModel
    steering: RigModel
    identified: bool = False


def load_learned(rig: str) -> Learned | None:
    """What the rig's cycles have taught, None where there is nothing that could be used: what a
    damaged file held was a comfort, and the next cycle teaches anew."""
    try:
        learned = read_toml(learned_path(rig), Learned)
        if learned is not None:
            learned.model.check()
    except InputError:
        return None
    return learned


def knowledge_of(rig: str) -> Knowledge:
    """Learned, else identified, else the reference rig.

    Raises InputError where what was identified cannot be used.
    """
    identified, learned = load_model(rig), load_learned(rig)
    if learned is None:
        return Knowledge(identified, identified, identified.measured)
    steering = learned.model if learned.steers else identified
    return Knowledge(learned.model, steering, identified.measured)


def save_learned(rig: str, learned: Learned) -> Path:
    """Keep what was learned. Returns the file; raises InputError when it cannot be written."""
    lessons = "".join(f"  {json.dumps(line)},\n" for line in learned.lessons[-MOST_LESSONS:])
    text = (
        f"{_HEAD}steers = {'true' if learned.steers else 'false'}\nlessons = [\n{lessons}]\n\n"
        f"[model]\n{dump_model(learned.model.check(), table='model.')}"
    )
    path = learned_path(rig)
    write_text(path, text)
    return path
