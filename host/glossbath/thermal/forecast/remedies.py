"""What would help a cycle that cannot be reached as its kitchen is: each remedy as a number."""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec

from glossbath.recipe import Recipe
from glossbath_board.limits import PHASE_CEILING_MS

from .beforehand import MOST_ICE_KG, Beginning, turned

LONGEST_S = PHASE_CEILING_MS / 1000
_LEAST_BATCH_KG = 0.1
_ROOMS_C = (10.0, 32.0)
_STRONGEST_W = 1500.0
_MORE = (1.0, 1.25, 1.5)
"""Of the ice that is expected to melt: what is tried."""
_SLOWER = 2.0
"""Chocolate that cools for hours gives off heat as it sets, which no model here knows of: both
plants then took 1.1 to 2.2 times as long as it says."""
_STEPS = 5
"""Halvings: finer than anybody weighs or heats a room."""


class Remedies(msgspec.Struct, frozen=True):
    """Each alone suffices even with what is uncertain against it; None: it does not, or is not
    needed.

    ice_kg is all the ice in the bucket; batch_kg the largest batch; room_c the warmest room that
    cools it, or the coolest that warms it; longer_s how long the phase takes if it may.
    """

    ice_kg: float | None = None
    batch_kg: float | None = None
    room_c: float | None = None
    heater_w: float | None = None
    longer_s: float | None = None

    def sentence(self, cooling: bool, said_kg: float | None) -> str:
        """What would help, in words; said_kg is the ice that is there, where that was said."""
        ways = []
        if self.ice_kg is not None:
            more = f" ({self.ice_kg - said_kg:.1f} kg more than there is)" if said_kg else ""
            ways.append(f"about {self.ice_kg:.1f} kg of ice in the chill water{more}")
        if self.batch_kg is not None:
            ways.append(f"a batch of {self.batch_kg * 1000:.0f} g or less")
        if self.heater_w is not None:
            ways.append(f"a cooker of {self.heater_w:.0f} W or more")
        if self.room_c is not None:
            ends = "or cooler" if cooling else "or warmer"
            ways.append(f"a room of {self.room_c:.0f} °C {ends}")
        if self.longer_s is not None:
            hours = math.ceil(self.longer_s / 1800.0) / 2.0
            ways.append(f"a longer time for this phase, {hours:g} h")
        if not cooling:
            ways.append("a lid that stays on")
        if not ways:
            return "Nothing that this plan knows would help: use another recipe or another day."
        said = ways[0] if len(ways) == 1 else f"{', '.join(ways[:-1])} or {ways[-1]}"
        return f"What would help: {said}."


Suffices = Callable[[Beginning], bool]


def remedies(begin: Beginning, phase: str, cooling: bool, needed_kg: float) -> Remedies:
    """What would let a cycle be reached that misses this phase and melts needed_kg of ice."""

    def suffices(changed: Beginning) -> bool:
        return not turned(changed, cooling, -1.0)

    longer_s = _longer_s(begin, phase, suffices)
    batch_kg = _smaller_kg(begin, suffices)
    room_c = _room_c(begin, cooling, suffices)
    if cooling:
        return Remedies(_ice_kg(begin, needed_kg, suffices), batch_kg, room_c, None, longer_s)
    return Remedies(None, batch_kg, room_c, _stronger_w(begin, suffices), longer_s)


def _ice_kg(begin: Beginning, needed_kg: float, suffices: Suffices) -> float | None:
    """All the ice that would do, if more than there is does."""
    said_kg = begin.kitchen.ice_kg
    if not needed_kg or said_kg is None:
        return None
    for more in _MORE:
        kg = math.ceil(max(needed_kg, said_kg) * more * 10.0 - 1e-6) / 10.0
        if said_kg < kg <= MOST_ICE_KG and suffices(begin.with_ice(kg)):
            return kg
    return None


def _smaller_kg(begin: Beginning, suffices: Suffices) -> float | None:
    """The largest batch (kg) that would do, rounded down to 50 g."""

    def does(kg: float) -> bool:
        return suffices(msgspec.structs.replace(begin, batch_kg=kg))

    found = _between(_LEAST_BATCH_KG, begin.batch_kg, does)
    return None if found is None else max(_LEAST_BATCH_KG, math.floor(found * 20.0 + 1e-6) / 20.0)


def _stronger_w(begin: Beginning, suffices: Suffices) -> float | None:
    """The weakest cooker (W) that would do, rounded up to 10 W."""

    def does(heater_w: float) -> bool:
        model = msgspec.structs.replace(begin.model, heater_w=heater_w)
        return suffices(msgspec.structs.replace(begin, model=model))

    found = _between(max(_STRONGEST_W, begin.model.heater_w), begin.model.heater_w, does)
    return None if found is None else math.ceil(found / 10.0 - 1e-6) * 10.0


def _room_c(begin: Beginning, cooling: bool, suffices: Suffices) -> float | None:
    """The warmest room (°C) that cools it with the ice that there is, or the coolest that warms
    it, in whole degrees."""

    def does(room_c: float) -> bool:
        kitchen = msgspec.structs.replace(begin.kitchen, room_c=room_c)
        return suffices(msgspec.structs.replace(begin, kitchen=kitchen))

    best_c, room_c = _ROOMS_C[0 if cooling else 1], begin.kitchen.room_c
    if room_c <= best_c if cooling else room_c >= best_c:
        return None
    found = _between(best_c, room_c, does)
    return None if found is None else float(math.floor(found) if cooling else math.ceil(found))


def _longer_s(begin: Beginning, phase: str, suffices: Suffices) -> float | None:
    """How long the phase should be allowed to take, where the board allows so long."""
    if phase == "hold":
        return None
    patient = msgspec.structs.replace(begin, recipe=_patient(begin.recipe, phase))
    longer_s = _SLOWER * patient.course().phases_s[phase]
    return longer_s if longer_s <= LONGEST_S and suffices(patient) else None


def _patient(recipe: Recipe, name: str) -> Recipe:
    """The recipe with the longest time for one phase that the board takes."""
    phases = tuple(
        msgspec.structs.replace(phase, timeout_s=LONGEST_S) if phase.name == name else phase
        for phase in recipe.phases
    )
    return msgspec.structs.replace(recipe, phases=phases)


def _between(good: float, bad: float, suffices: Callable[[float], bool]) -> float | None:
    """The value nearest to bad that suffices, None where not even good does."""
    if not suffices(good):
        return None
    for _ in range(_STEPS):
        middle = 0.5 * (good + bad)
        if suffices(middle):
            good = middle
        else:
            bad = middle
    return good
