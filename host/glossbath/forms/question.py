"""One question: a function whose signature declares its fields.

Each parameter is annotated with the field that asks for it, and its default is the field's:

    Kg = Annotated[float, Number("Chocolate", unit="kg", low=0.01, high=100)]

    def heat(kg: Kg, water_kg: Water = 0.0) -> Answer: ...

A parameter may also be a dataclass whose own fields are annotated so; several questions share it.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, is_dataclass, replace
from typing import Any, get_type_hints

from .answer import Answer
from .fields import REQUIRED, Field


@dataclass(frozen=True)
class Question:
    """One question with its fields, in the order in which they are asked."""

    name: str
    """Its command."""
    title: str
    group: str
    ask: Callable[..., Answer]
    recorded: str = ""
    """What kind of test its answer is, for the record of a cycle; empty for none."""
    fields: tuple[Field, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "fields", tuple(fields_of(self.ask)))

    @property
    def on_form(self) -> tuple[Field, ...]:
        """The fields that a screen asks for."""
        return tuple(one for one in self.fields if one.on_form)

    def answer(self, values: Mapping[str, Any]) -> Answer:
        """The answer to values by field name; raises InputError with one sentence.

        A field that is not among the values has its default.
        """
        return self.ask(**_arguments(self.ask, values))


def fields_of(asker: Callable[..., Any]) -> Iterator[Field]:
    """The fields that a function or a dataclass asks for."""
    for name, hint, default in _parameters(asker):
        if _is_group(hint):
            yield from fields_of(hint)
        else:
            declared = next(note for note in hint.__metadata__ if isinstance(note, Field))
            own = declared.default if default is REQUIRED else default
            yield replace(declared, name=name, default=own)


def _parameters(asker: Callable[..., Any]) -> Iterator[tuple[str, Any, Any]]:
    hints = get_type_hints(asker, include_extras=True)
    for name, parameter in inspect.signature(asker).parameters.items():
        missing = parameter.default is inspect.Parameter.empty
        yield name, hints[name], REQUIRED if missing else parameter.default


def _is_group(hint: Any) -> bool:
    return isinstance(hint, type) and is_dataclass(hint)


def _arguments(asker: Callable[..., Any], values: Mapping[str, Any]) -> dict[str, Any]:
    """The arguments of a function, groups of fields put together."""
    found: dict[str, Any] = {}
    for name, hint, _ in _parameters(asker):
        if _is_group(hint):
            found[name] = hint(**_arguments(hint, values))
        elif name in values:
            found[name] = values[name]
    return found
