"""A recipe as the program keeps it: checked values in °C, s and shares."""

from __future__ import annotations

import hashlib

import msgspec

from glossbath.chocolate.phase import PhasePlan
from glossbath.errors import RecipeError

from .fields import plain, shown
from .rules import PHASE_CEILING_S, RUN_CEILING_S, SHORTEST_TIMEOUT_S
from .seed import Seed


class Composition(msgspec.Struct, frozen=True):
    """What else is in the chocolate beside fat, as shares of its mass from 0 to 1: the component
    groups of food physics (Choi and Okos 1986)."""

    carbohydrate_share: float = 0.0
    protein_share: float = 0.0
    fibre_share: float = 0.0
    ash_share: float = 0.0
    water_share: float = 0.0


class Recipe(msgspec.Struct, frozen=True):
    """A checked recipe. Temperatures in °C, times in s, shares from 0 to 1."""

    name: str
    chocolate: str
    """dark, milk, white or own."""
    version: int
    """Counted up by whoever changes the recipe."""
    fat_share: float
    max_c: float
    """Chocolate above this trips the rig."""
    sources: tuple[str, ...]
    """Where the numbers come from, one sentence each."""
    phases: tuple[PhasePlan, ...]
    """melt, soak, cool, reheat, hold."""
    composition: Composition | None = None
    seed: Seed | None = None

    def with_hold(self, seconds: float) -> Recipe:
        """The same recipe with another hold time in s; the time allowed beyond it is kept.

        Raises RecipeError unless 0 < seconds and the board's longest phase and cycle allow it.
        """
        hold = self.phases[-1]
        if not 0 < seconds < PHASE_CEILING_S:
            raise RecipeError(
                f"Recipe {self.name}: a hold of {shown(seconds)} s was asked for, but it must be "
                f"longer than 0 and shorter than {plain(PHASE_CEILING_S)} s "
                f"({plain(PHASE_CEILING_S / 3600)} h); choose a time in between."
            )
        dwell_s = round(float(seconds), 3)
        spare_s = hold.timeout_s - hold.dwell_s
        others_s = sum(plan.timeout_s for plan in self.phases[:-1])
        room_s = min(PHASE_CEILING_S, RUN_CEILING_S - others_s)
        timeout_s = round(max(SHORTEST_TIMEOUT_S, min(dwell_s + spare_s, room_s)), 3)
        if not 0 < dwell_s < timeout_s:
            raise RecipeError(
                f"Recipe {self.name}: a hold of {plain(dwell_s)} s does not fit, the phases "
                f"before it leave {plain(room_s)} s of the board's longest cycle; choose a "
                f"shorter hold."
            )
        changed = msgspec.structs.replace(hold, dwell_s=dwell_s, timeout_s=timeout_s)
        return msgspec.structs.replace(self, phases=(*self.phases[:-1], changed))

    def checksum(self) -> str:
        """Sixteen hex digits that differ between any two recipes that differ in anything."""
        return hashlib.sha256(msgspec.json.encode(self)).hexdigest()[:16]
