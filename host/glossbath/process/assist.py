"""What the keeper does for the chocolate of a running cycle: seed at its time, water in it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from glossbath.checks.alarms import Annunciator
from glossbath.client.messages import Reading
from glossbath.errors import GlossbathError
from glossbath.recipe import Recipe

from . import seeding, seizing
from .seeding import Act, Seeding
from .seizing import Seizing

ALARMS = (seeding.CODE, seizing.CODE)


class Assist:
    """Attends one cycle.

    tell puts an event into the record, order sends one order to the board.
    """

    def __init__(
        self,
        recipe: Recipe,
        batch_kg: float,
        tell: Callable[[str, str, str, dict[str, Any]], None],
        order: Callable[[str], None],
        alarms: Annunciator,
    ) -> None:
        self._tell = tell
        self._order = order
        self._alarms = alarms
        self._seizing = Seizing()
        self._recipe = recipe
        self._batch_kg = batch_kg
        self._seeding = self._seeding_of()
        self._index = 0
        for code in ALARMS:
            alarms.over(code)  # what a cycle before has left

    @property
    def request(self) -> str:
        """What the person should do for the chocolate now; empty when nothing."""
        return self._seeding.request if self._seeding is not None else ""

    def reading(self, reading: Reading) -> None:
        """One reading of the running cycle."""
        found = self._seizing.judge(reading)
        if found is not None:
            self._alarms.call(seizing.CODE, seizing.PRIORITY, seizing.words(found))
        if reading.phase_index < self._index:
            # The recipe has gone back: seed that was in has melted, and more is asked for.
            self._seeding = self._seeding_of()
            self._alarms.over(seeding.CODE)
        self._index = reading.phase_index
        if self._seeding is not None:
            self._do(self._seeding.follow(reading))

    def _seeding_of(self) -> Seeding | None:
        recipe = self._recipe
        if recipe.seed is None or all(phase.name != "cool" for phase in recipe.phases):
            return None
        return Seeding(recipe.seed, self._batch_kg, recipe.fat_share)

    def done(self) -> str:
        """The person says that what was asked for is done; gives the answer in words.

        Raises GlossbathError when nothing was asked for, or it cannot be yet.
        """
        if self._seeding is None:
            raise GlossbathError("Nothing is asked for now.")
        acts = self._seeding.done()
        self._do(acts)
        return next(act.text for act in acts if act.kind == "event")

    def went_on(self) -> None:
        """A person let the recipe go on."""
        if self._seeding is not None:
            self._do(self._seeding.went_on())

    def _do(self, acts: list[Act]) -> None:
        for act in acts:
            if act.kind == "order":
                self._order(act.code)
            elif act.kind == "event":
                self._tell(act.code, "seed", act.text, act.values)
            elif act.kind == "alarm":
                self._alarms.call(act.code, seeding.PRIORITY, act.words)
            else:
                self._alarms.over(act.code)
