"""A form of the desk, without a screen: what is typed, what is wrong with it, what it answers.

Nothing that is typed is lost: not by an error, not by leaving the form, not by a live reading.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import msgspec

from glossbath.errors import InputError

from .answer import Answer, answer
from .fields import Field


class Item(msgspec.Struct, frozen=True):
    """One item of the desk."""

    name: str
    title: str
    group: str
    command: Callable[..., None]
    fields: tuple[Field, ...]
    recorded: str = ""
    """What kind of test its answer is, for the record of a cycle; empty for none."""


class Form:
    """One item being filled in."""

    def __init__(self, item: Item) -> None:
        self.item = item
        self.typed = {field.name: field.typed for field in item.fields}
        self.by_hand: set[str] = set()
        """Fields that a person has typed into."""
        self.from_rig: set[str] = set()
        """Fields that hold a reading of the rig."""
        self.said: Answer | None = None
        """The answer to what stands in the fields; None once something else stands there."""

    def fill(self, live: Mapping[str, str]) -> None:
        """Put live readings into the fields that nobody has typed into."""
        for field in self.item.fields:
            value = live.get(field.live, "") if field.live else ""
            if value and field.name not in self.by_hand:
                self._put(field.name, value)
                self.from_rig.add(field.name)

    def fill_again(self, live: Mapping[str, str]) -> None:
        """Put live readings into every field that has one, typed into or not."""
        self.by_hand -= {field.name for field in self.item.fields if live.get(field.live, "")}
        self.fill(live)

    def type(self, name: str, text: str) -> None:
        """A person has typed into a field."""
        if text == self.typed[name]:
            return
        self._put(name, text)
        self.by_hand.add(name)
        self.from_rig.discard(name)

    def _put(self, name: str, text: str) -> None:
        if text != self.typed[name]:
            self.typed[name] = text
            self.said = None

    def beside(self, field: Field) -> tuple[str, bool]:
        """What stands beside a field, and whether it is an error sentence.

        An empty field that must be filled only shows what may be typed until it is asked.
        """
        if self.typed[field.name].strip():
            problem = self.problem(field)
            if problem:
                return problem, True
        hint = field.hint()
        return (f"{hint}; from the rig" if field.name in self.from_rig else hint), False

    def problem(self, field: Field) -> str:
        """What is wrong with a field, as one sentence; empty when nothing is."""
        try:
            field.read(self.typed[field.name])
        except InputError as error:
            return str(error)
        return ""

    def first_problem(self) -> tuple[Field, str] | None:
        """The first field that cannot be used, with its sentence."""
        for field in self.item.fields:
            sentence = self.problem(field)
            if sentence:
                return field, sentence
        return None

    def answer(self) -> Answer:
        """What the item says to what is typed; raises InputError with one sentence."""
        arguments: dict[str, Any] = {
            field.name: field.read(self.typed[field.name]) for field in self.item.fields
        }
        return answer(self.item.command, arguments)

    def test(self) -> dict[str, Any]:
        """The last answer as a test for the record of a cycle: kind, result and its numbers.

        Empty when there is no answer or this item is no test.
        """
        if self.said is None or not self.item.recorded:
            return {}
        values = self.said.values
        verdict = values.get("verdict")
        judged = verdict.get("judged") if isinstance(verdict, dict) else values.get("result")
        numbers = {**values, **(values.get("inflection") or {})}
        plain = {name: value for name, value in numbers.items() if isinstance(value, (int, float))}
        return {
            "kind": self.item.recorded,
            "result": str(judged or self.said.sentences[0]),
            **plain,
        }


class Forms:
    """Every form that was opened, so that what was typed is still there."""

    def __init__(self, live: Callable[[], Mapping[str, str]] = dict) -> None:
        """live gives the live values of a rig, or nothing."""
        self.live = live
        self._opened: dict[str, Form] = {}

    def open(self, item: Item) -> Form:
        """The form of an item as it was left, with fresh readings where nobody has typed."""
        form = self._opened.setdefault(item.name, Form(item))
        form.fill(self.live())
        return form
