"""What is asked before a cycle besides its recipe: how much chocolate, which lot, a note."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from glossbath.client.messages import LONGEST_NOTE
from glossbath.errors import InputError
from glossbath.forms.fields import Field, Number, Text
from glossbath.forms.form import Typed
from glossbath.process.start_request import (
    BATCH_HIGH_KG,
    BATCH_LOW_KG,
    MOST_ALONE_MIN,
    from_request,
)
from glossbath.recipe import Recipe, dump


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

    def forget_cycle(self) -> None:
        """A cycle has begun: what belongs to it alone is not carried into the next."""
        self.typed |= {it.name: it.typed for it in self.fields if it.name != "batch_kg"}

    def order(self, recipe: Recipe, source: str) -> dict[str, Any]:
        """The values of a start order for a recipe; raises InputError with the first thing that
        is wrong, also where the board would refuse the recipe."""
        order = {"recipe": dump(recipe), "where": source, **self.values()}
        from_request(order).program()
        return order
