"""A question being answered on a screen, without the screen: what is typed, what is wrong with
it, what it answers.

Nothing that is typed is lost: not by an error, not by leaving the form, not by a live reading.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from glossbath.errors import InputError

from .answer import Answer
from .fields import Field
from .question import Question


class Typed:
    """What stands in some fields, and what is wrong with it."""

    def __init__(self, fields: Sequence[Field], *, eager: bool = True) -> None:
        """eager: an empty field that must be filled is refused before an answer is wanted."""
        self.fields = tuple(fields)
        self._eager = eager
        self.typed = {field.name: field.typed for field in fields}

    def type(self, name: str, text: str) -> None:
        """A person has typed into a field."""
        self.typed[name] = text

    def limits(self, field: Field) -> str:
        """What may be typed into a field."""
        return field.hint()

    def problem(self, field: Field) -> str:
        """What is wrong with a field, as one sentence; empty when nothing is."""
        try:
            field.read(self.typed[field.name])
        except InputError as error:
            return str(error)
        return ""

    def beside(self, field: Field) -> tuple[str, bool]:
        """What stands beside a field, and whether it is an error sentence."""
        looked_at = self._eager or self.typed[field.name].strip()
        problem = self.problem(field) if looked_at else ""
        return (problem, True) if problem else (self.limits(field), False)

    def first_problem(self) -> tuple[Field, str] | None:
        """The first field that cannot be used, with its sentence."""
        for field in self.fields:
            sentence = self.problem(field)
            if sentence:
                return field, sentence
        return None

    def values(self) -> dict[str, Any]:
        """The value of every field; raises InputError with one sentence."""
        return {field.name: field.read(self.typed[field.name]) for field in self.fields}


class Form(Typed):
    """One question being filled in."""

    def __init__(self, question: Question) -> None:
        super().__init__(question.on_form, eager=False)
        self.question = question
        self.by_hand: set[str] = set()
        """Fields that a person has typed into."""
        self.from_rig: set[str] = set()
        """Fields that hold a reading of the rig."""
        self.said: Answer | None = None
        """The answer to what stands in the fields; None once something else stands there."""

    def fill(self, live: Mapping[str, str]) -> None:
        """Put live readings into the fields that nobody has typed into."""
        for field in self.fields:
            value = live.get(field.live, "") if field.live else ""
            if value and field.name not in self.by_hand:
                self._put(field.name, field.from_rig(value))
                self.from_rig.add(field.name)

    def fill_again(self, live: Mapping[str, str]) -> None:
        """Put live readings into every field that has one, typed into or not."""
        self.by_hand -= {field.name for field in self.fields if live.get(field.live, "")}
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

    def limits(self, field: Field) -> str:
        """What may be typed into a field, and whether a rig has filled it."""
        hint = field.hint()
        return f"{hint}; from the rig" if field.name in self.from_rig else hint

    def answer(self) -> Answer:
        """The answer to what is typed; raises InputError with one sentence."""
        return self.question.answer(self.values())

    def test(self) -> dict[str, Any]:
        """The last answer as a test for the record of a cycle: kind, result and its numbers.

        Empty when there is no answer or this question is no test.
        """
        if self.said is None or not self.question.recorded:
            return {}
        values = self.said.values
        verdict = values.get("verdict")
        judged = verdict.get("judged") if isinstance(verdict, dict) else values.get("result")
        numbers = {**values, **(values.get("inflection") or {})}
        plain = {name: value for name, value in numbers.items() if isinstance(value, (int, float))}
        return {
            "kind": self.question.recorded,
            "result": str(judged or self.said.sentences[0]),
            **plain,
        }


class Forms:
    """Every form that was opened, so that what was typed is still there."""

    def __init__(self, live: Callable[[], Mapping[str, str]] = dict) -> None:
        """live gives the live values of a rig, or nothing."""
        self.live = live
        self._opened: dict[tuple[str, type[Question]], Form] = {}

    def open(self, question: Question) -> Form:
        """The form of a question as it was left, with fresh readings where nobody has typed."""
        form = self._opened.setdefault((question.name, type(question)), Form(question))
        form.fill(self.live())
        return form
