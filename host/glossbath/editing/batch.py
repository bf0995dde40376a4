"""What is asked before a cycle besides its recipe: how much chocolate, the kitchen, lot, note."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from glossbath.client.messages import LONGEST_NOTE, Reading
from glossbath.errors import InputError
from glossbath.forms.fields import Field, Number, Text
from glossbath.forms.form import Typed
from glossbath.process.start_request import (
    BATCH_HIGH_KG,
    BATCH_LOW_KG,
    MOST_ALONE_MIN,
    Said,
    from_request,
)
from glossbath.recipe import Recipe, dump
from glossbath.thermal.forecast import Plan

from .kitchen import NAMES, plan_or_why


@dataclass(frozen=True)
class Words(Text):
    """Words for the record; they may stay empty."""

    default: Any = ""

    def hint(self) -> str:
        return f"for example {self.example}, or empty"

    def read(self, typed: str) -> str:
        text = typed.strip()
        if len(text) > LONGEST_NOTE:
            raise InputError(
                f"It has {len(text)} characters: use at most {LONGEST_NOTE} characters for the "
                f"{self.called}."
            )
        return text


FIELDS: tuple[Field, ...] = (
    Number("Chocolate", name="batch_kg", unit="kg", low=BATCH_LOW_KG, high=BATCH_HIGH_KG,
           default=1.0),
    Number("Hold alone", name="alone_min", unit="min", low=0, high=MOST_ALONE_MIN, default=0,
           note="for how long the hold may go on without this computer"),
    Words("Lot", name="lot", example="A17"),
    Words("Note", name="note", example="new beans"),
)  # fmt: skip


class BatchForm(Typed):
    """What is typed into these fields; it stays until the program ends."""

    def __init__(self) -> None:
        super().__init__(FIELDS)
        self._kitchen: tuple[Field, ...] = ()

    def ask(self, kitchen: Sequence[Field]) -> None:
        """Ask for these of the kitchen too. What was typed in another unit is forgotten."""
        units = {(it.name, getattr(it, "unit", "")) for it in self._kitchen}
        for field in kitchen:
            if (field.name, getattr(field, "unit", "")) not in units:
                self.typed[field.name] = field.typed
        self._kitchen = tuple(kitchen)
        self.fields = (FIELDS[0], *kitchen, *FIELDS[1:])

    @property
    def planned_for(self) -> tuple[str, ...]:
        """What a plan depends on, as it is typed."""
        return tuple(self.typed.get(name, "") for name in ("batch_kg", *NAMES))

    def plan(self, recipe: Recipe, rig: str, reading: Reading | None) -> Plan | None:
        """The plan of a recipe with what is typed; None while that cannot be used."""
        asked = (FIELDS[0], *self._kitchen)
        if any(self.problem(field) for field in asked):
            return None
        values = {field.name: field.read(self.typed[field.name]) for field in asked}
        batch_kg = values.pop("batch_kg")
        return plan_or_why(recipe, rig, batch_kg, reading, Said(**values))

    def forget_cycle(self) -> None:
        """A cycle has begun: what belongs to it alone is not carried into the next."""
        self.typed |= {it.name: it.typed for it in self.fields if it.name != "batch_kg"}

    def order(self, recipe: Recipe, source: str) -> dict[str, Any]:
        """The values of a start order for a recipe; raises InputError with the first thing that
        is wrong, also where the board would refuse the recipe."""
        # What nobody says of the kitchen is left out.
        said = self.values().items()
        values = {name: it for name, it in said if it is not None or name not in NAMES}
        order = {"recipe": dump(recipe), "where": source, **values}
        from_request(order).program()
        return order
