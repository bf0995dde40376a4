"""What a client wants of a cycle, checked; and the sentences about orders and phases."""

from __future__ import annotations

from typing import Any

import msgspec

from glossbath_board.errors import OrderError
from glossbath_board.program import Program

from .errors import InputError
from .log import CycleHeader
from .orders import board_program
from .recipe import Recipe, loads
from .state import Snapshot
from .trips import meaning

BATCH_LOW_KG, BATCH_HIGH_KG = 0.05, 10.0
_TEXT = 500

END_TEXT = {
    "complete": "The cycle is complete: heat, chill and stirrer are off.",
    "stopped": "The cycle was stopped: heat, chill and stirrer are off.",
    "tripped": "The cycle ended in a trip: heat, chill and stirrer are off.",
}


_NOT_READY = {
    "commission": "This rig has not been commissioned: run glossbath commission first.",
    "water-only": "This rig heats only water until it has been commissioned: go on with "
    "glossbath commission --resume.",
}


class Desired(msgspec.Struct, frozen=True):
    """A cycle somebody asks for."""

    recipe: Recipe
    batch_kg: float
    lot: str
    note: str

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


def from_request(values: dict[str, Any]) -> Desired:
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
        if len(text) > _TEXT:
            raise InputError(f"The {name} has {len(text)} characters: use at most {_TEXT}.")
    return Desired(recipe, float(batch_kg), lot, note)


def phase_begins(recipe: Recipe, index: int) -> str:
    """The sentence for the beginning of a phase."""
    phase = recipe.phases[index]
    window = f"{phase.window.low_c:g} to {phase.window.high_c:g} °C"
    return f"Phase {phase.name} begins: chocolate to {phase.target_c:g} °C ({window})."


def start_text(ok: bool, answer: dict[str, Any]) -> str:
    """What the board said to a start order."""
    if ok:
        return "The board took the recipe. Press the arm button at the rig to allow heat."
    return refusal(answer)


def refusal(answer: dict[str, Any]) -> str:
    """Why the board refused an order, as a sentence."""
    why, at = str(answer.get("why")), str(answer.get("at", ""))
    if why == "objection" and at in _NOT_READY:
        return _NOT_READY[at]
    if why == "objection":
        return f"The board refuses to start: {meaning(at)[0]}"
    if why == "flash":
        return "The board cannot write its flash memory: install its firmware again."
    if why == "silent":
        return "The board did not answer: check the cable."
    if why == "busy":
        return "Another computer steers this board: stop it there first."
    if why == "state":
        return f"The board cannot do that while it is {at}."
    if why == "range":
        return f"The board refused {at}: it must be from {answer.get('lo')} to {answer.get('hi')}."
    return f"The board refused the order ({why} {at})."
