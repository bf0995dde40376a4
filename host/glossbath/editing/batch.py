"""What is asked before a cycle besides its recipe: how much chocolate, which lot, a note."""

from __future__ import annotations

from typing import Any

from glossbath.client.messages import LONGEST_NOTE
from glossbath.errors import InputError
from glossbath.forms.fields import Field, Number, Text
from glossbath.process.start_request import BATCH_HIGH_KG, BATCH_LOW_KG, from_request
from glossbath.recipe import Recipe, dump


class Words(Text, frozen=True, kw_only=True):
    """Words for the record; they may stay empty."""

    def read(self, typed: str) -> str:
        text = typed.strip()
        if len(text) > LONGEST_NOTE:
            raise InputError(
                f"It has {len(text)} characters: use at most {LONGEST_NOTE} characters for the "
                f"{self.label.lower()}."
            )
        return text


FIELDS: tuple[Field, ...] = (
    Number(
        name="batch_kg", label="Chocolate", unit="kg", low=BATCH_LOW_KG, high=BATCH_HIGH_KG,
        typed="1",
    ),
    Words(name="lot", label="Lot", example="A17", optional=True),
    Words(name="note", label="Note", example="new beans", optional=True),
)  # fmt: skip


class BatchForm:
    """What is typed into these fields; it stays until the program ends."""

    def __init__(self) -> None:
        self.typed = {field.name: field.typed for field in FIELDS}

    def type(self, name: str, text: str) -> None:
        """A person has typed into a field."""
        self.typed[name] = text

    def beside(self, field: Field) -> tuple[str, bool]:
        """What stands beside a field, and whether it is an error sentence."""
        try:
            field.read(self.typed[field.name])
        except InputError as error:
            return str(error), True
        return field.hint(), False

    def order(self, recipe: Recipe, source: str) -> dict[str, Any]:
        """The values of a start order for a recipe; raises InputError with the first thing that
        is wrong, also where the board would refuse the recipe."""
        values = {field.name: field.read(self.typed[field.name]) for field in FIELDS}
        order = {"recipe": dump(recipe), "where": source, **values}
        from_request(order).program()
        return order
