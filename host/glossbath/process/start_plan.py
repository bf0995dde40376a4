"""The plan of a cycle that is about to be started on a rig, from what probes and a person say."""

from __future__ import annotations

from typing import Any

from glossbath.client.messages import Reading
from glossbath.errors import InputError
from glossbath.recipe import Recipe
from glossbath.thermal.forecast import Beginning, Kitchen, Plan, Start, plan, room_of

from . import remelting
from .cycle_forecast import known_of
from .start_request import Said

_ROOM_C = 22.0
"""Of a rig that reads nothing."""


def has_bucket(rig: str) -> bool:
    """Whether a rig chills with ice water. One without has `chill_w_per_k = 0` in its model."""
    return known_of(rig).model.chill_w_per_k > 0.0


def plan_start(
    recipe: Recipe,
    rig: str,
    batch_kg: float,
    reading: Reading | None,
    said: Said,
    way: dict[str, Any] | None = None,
) -> Plan:
    """The plan of this recipe on that rig as it stands now. way: `remelt` and `in_temper` of a
    start that begins where the chocolate is.

    Raises InputError for a kitchen, batch or temperature that cannot be.
    """
    room_known = said.room_c is not None or (reading is not None and reading.room_c is not None)
    room_c = said.room_c
    if room_c is None:
        room_c = _ROOM_C if reading is None else room_of(reading)
    if way and way.get("remelt"):
        chocolate_c = reading.chocolate_c if reading else None
        in_temper = bool(way.get("in_temper"))
        recipe, _ = remelting.shortened(recipe, chocolate_c, in_temper=in_temper)
    known = known_of(rig)
    if said.ice_kg and not known.model.chill_w_per_k:
        raise InputError("This rig has no chill bucket: leave the ice out.")
    kitchen = Kitchen(room_c, room_known, said.tap_c, said.ice_kg)
    start = _start(reading, room_c)
    return plan(Beginning(recipe, known.model, start, batch_kg, kitchen, known.steering))


def _start(reading: Reading | None, room_c: float) -> Start:
    """What the probes read, and where one reads nothing, the room."""
    read = (reading.chocolate_c, reading.bath_c, reading.body_c) if reading else (None,) * 3
    return Start(*(room_c if celsius is None else celsius for celsius in read))
