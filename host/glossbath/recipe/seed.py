"""The [seed] table of a recipe: what is stirred in while the chocolate cools, and at how many °C.

A recipe without it tempers by temperature alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

import msgspec

from glossbath.chocolate.phase import PhasePlan
from glossbath.chocolate.seed import BUTTER_SEED_FROM_C, SURVIVES_C

from .fields import Fields, plain

Kind = Literal["butter", "chocolate"]
KINDS: tuple[Kind, ...] = ("butter", "chocolate")
NAMES = {"butter": "cocoa butter", "chocolate": "tempered chocolate"}

_KEYS = ("kind", "grams", "share_percent", "seed_c")
_LEAST_G, _MOST_G = 1.0, 3000.0
_LEAST_PERCENT, _MOST_PERCENT = 0.2, 40.0


class Seed(msgspec.Struct, frozen=True):
    """Seed to stir in. Exactly one of mass_kg and share is given."""

    kind: Kind
    seed_c: float
    """The chocolate's temperature at which the rig waits and asks for the seed."""
    mass_kg: float | None = None
    share: float | None = None
    """Seed over batch, by mass."""

    def kg(self, batch_kg: float) -> float:
        """How much for a batch, in kg."""
        return self.mass_kg if self.mass_kg is not None else (self.share or 0.0) * batch_kg

    @property
    def name(self) -> str:
        """What it is, in words."""
        return NAMES[self.kind]


def seed_from(table: Any, phases: tuple[PhasePlan, ...], where: str) -> Seed:
    """The checked seed of a recipe with these phases; raises RecipeError."""
    if not isinstance(table, Mapping):
        Fields({}, where).refuse("seed must be a table; begin it with a line [seed].")
    fields = Fields(table, f"{where}, seed")
    fields.refuse_unknown(_KEYS)
    given = [key for key in ("grams", "share_percent") if key in table]
    if len(given) != 1:
        fields.refuse("give either grams or share_percent, one of them; they say the same.")
    kind: Kind = "butter" if fields.choice("kind", KINDS) == "butter" else "chocolate"
    seed_c = round(fields.number("seed_c", 15.0, 60.0, "°C"), 3)
    _check_place(seed_c, phases, fields)
    if "grams" in table:
        grams = fields.number("grams", _LEAST_G, _MOST_G, "g")
        return Seed(kind, seed_c, mass_kg=round(grams / 1000, 6))
    percent = fields.number("share_percent", _LEAST_PERCENT, _MOST_PERCENT, "%")
    return Seed(kind, seed_c, share=round(percent / 100, 6))


def seed_lines(seed: Seed) -> list[str]:
    """The table as lines of a recipe file."""
    if seed.mass_kg is not None:
        amount = f"grams = {plain(round(seed.mass_kg * 1000, 3))}"
    else:
        amount = f"share_percent = {plain(round((seed.share or 0.0) * 100, 4))}"
    return ["", "[seed]", f'kind = "{seed.kind}"', amount, f"seed_c = {plain(seed.seed_c)}"]


def _check_place(seed_c: float, phases: tuple[PhasePlan, ...], fields: Fields) -> None:
    if not seed_c <= SURVIVES_C:
        fields.refuse(
            f"seed_c is {plain(seed_c)} °C, above {plain(SURVIVES_C)} °C, where the seed would be "
            f"lost because form V does not survive; use {plain(BUTTER_SEED_FROM_C)} to "
            f"{plain(SURVIVES_C)} °C."
        )
    cool = next(phase for phase in phases if phase.name == "cool")
    if not seed_c >= cool.target_c:
        fields.refuse(
            f"seed_c is {plain(seed_c)} °C, below the target of phase cool, "
            f"{plain(cool.target_c)} °C, so it may never be reached; raise seed_c or lower that "
            f"target."
        )
