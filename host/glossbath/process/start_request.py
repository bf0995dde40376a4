"""What a client wants of a cycle, checked."""

from __future__ import annotations

from typing import Any

import msgspec

from glossbath.client.messages import LONGEST_NOTE, Snapshot
from glossbath.errors import InputError
from glossbath.recipe import Recipe, loads
from glossbath.recipe.program import board_program
from glossbath.record import CycleHeader
from glossbath.thermal.forecast import Kitchen
from glossbath_board.errors import OrderError
from glossbath_board.limits import ALONE_CEILING_MIN
from glossbath_board.program import Program

from .seeding import check_seed

BATCH_LOW_KG, BATCH_HIGH_KG = 0.05, 10.0
MOST_ALONE_MIN = ALONE_CEILING_MIN


class Said(msgspec.Struct, frozen=True):
    """What a person says of the kitchen, None for nothing: ice in the bucket in kg, tap water and
    room in °C."""

    ice_kg: float | None = None
    tap_c: float | None = None
    room_c: float | None = None


class StartRequest(msgspec.Struct, frozen=True):
    """A cycle somebody asks for."""

    recipe: Recipe
    batch_kg: float
    lot: str
    note: str
    alone_min: int = 0
    """For how long the hold may go on without this computer, in minutes; 0 is not at all."""
    said: Said = Said()

    def program(self) -> Program:
        """The recipe for the board; raises InputError where the board would refuse it."""
        try:
            return board_program(self.recipe, self.batch_kg)
        except OrderError as error:
            raise InputError(
                f"The board would refuse this recipe: {error.field} must be from {error.low} to "
                f"{error.high}. Change the recipe."
            ) from error

    def header(self, snapshot: Snapshot, started_ns: int) -> CycleHeader:
        """The head of the cycle's record."""
        return CycleHeader(
            rig=snapshot.rig,
            virtual=snapshot.virtual,
            engine=snapshot.engine,
            board=snapshot.board,
            firmware=snapshot.firmware,
            recipe=self.recipe,
            started_ns=started_ns,
            batch_kg=self.batch_kg,
            lot=self.lot,
        )


def from_request(values: dict[str, Any]) -> StartRequest:
    """Check a start request; raises InputError (or RecipeError) with one sentence."""
    recipe = loads(str(values.get("recipe", "")), str(values.get("where", "recipe")))
    hold_s = values.get("hold_s")
    if hold_s is not None:
        if not isinstance(hold_s, (int, float)):
            raise InputError(f"The hold is {str(hold_s)[:40]!r}: it must be a number of seconds.")
        recipe = recipe.with_hold(hold_s)
    batch_kg = values.get("batch_kg", 1.0)
    if not isinstance(batch_kg, (int, float)) or not BATCH_LOW_KG <= batch_kg <= BATCH_HIGH_KG:
        raise InputError(
            f"The batch is {str(batch_kg)[:40]}: it must be from {BATCH_LOW_KG} to "
            f"{BATCH_HIGH_KG} kg."
        )
    lot, note = str(values.get("lot", "")), str(values.get("note", ""))
    for name, text in (("lot", lot), ("note", note)):
        if len(text) > LONGEST_NOTE:
            raise InputError(f"The {name} has {len(text)} characters: use at most {LONGEST_NOTE}.")
    check_seed(recipe, float(batch_kg))
    alone_min = values.get("alone_min", 0)
    if isinstance(alone_min, bool) or not isinstance(alone_min, (int, float)):
        raise InputError(f"Alone is {str(alone_min)[:40]!r}: it must be a number of minutes.")
    if not 0 <= alone_min <= MOST_ALONE_MIN:
        raise InputError(
            f"The hold is to go on alone for {str(alone_min)[:40]} min: it must be from 0 to "
            f"{MOST_ALONE_MIN} min."
        )
    said = _said(values)
    return StartRequest(recipe, float(batch_kg), lot, note, int(alone_min), said)


def _said(values: dict[str, Any]) -> Said:
    """What was said of the kitchen; raises InputError for what no kitchen has."""
    said = {name: values[name] for name in Said.__struct_fields__ if values.get(name) is not None}
    for name, value in said.items():
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise InputError(f"The {name} is {str(value)[:40]!r}: it must be a number.")
    found = Said(**said)
    room_c = 0.0 if found.room_c is None else found.room_c
    Kitchen(room_c, tap_c=found.tap_c, ice_kg=found.ice_kg).check()
    return found
