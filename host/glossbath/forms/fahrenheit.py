"""A question in degrees Fahrenheit: what is typed is °F, and so is what is answered.

The trade's sums know °C only. Values for programs stay in °C, as their names say, and so do slopes
in °C/min, which belong to the limits of one cup and one method.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from glossbath.errors import InputError

from .answer import Answer
from .fields import CELSIUS, FAHRENHEIT, Field, Number, Parts
from .question import Question

_NUMBER = r"[-+−]?\d+(?:[.,]\d+)?"
_SAID = re.compile(rf"({_NUMBER}(?:(?: to | and | or | ± |–){_NUMBER})*) °C(?!/min)")
_SPAN = re.compile(r"\b(by|by about|fall of|noise of|where)$")
"""What stands before a difference of temperatures, in every sentence that tells one."""


def said(sentence: str) -> str:
    """A sentence with its temperatures, and differences of them, in °F."""

    def turned(found: re.Match[str]) -> str:
        span = bool(_SPAN.search(sentence[: found.start()].rstrip()))
        numbers = re.split(r"( to | and | or | ± |–)", found[1])
        for at in range(0, len(numbers), 2):
            only_span = span or (at > 0 and numbers[at - 1] == " ± ")
            numbers[at] = _turned(numbers[at], only_span)
        return f"{''.join(numbers)} {FAHRENHEIT}"

    return re.sub(r"°C(?!/min)", FAHRENHEIT, _SAID.sub(turned, sentence))


def _turned(number: str, span: bool) -> str:
    value = float(number.replace(",", ".").replace("−", "-")) * 1.8 + (0.0 if span else 32.0)
    sign = "+" if number.startswith("+") else ""
    return sign + f"{value:.1f}".removesuffix(".0")


@dataclass(frozen=True)
class InFahrenheit(Question):
    """The same question for somebody who thinks in °F."""

    def __post_init__(self) -> None:
        super().__post_init__()
        object.__setattr__(self, "fields", tuple(field_in_fahrenheit(one) for one in self.fields))

    def answer(self, values: Mapping[str, Any]) -> Answer:
        """The answer in °F; raises InputError in °F."""
        try:
            answer = super().answer(values)
        except InputError as error:
            raise InputError(said(str(error))) from error
        return Answer(answer.values, [said(sentence) for sentence in answer.sentences])


def in_fahrenheit(question: Question) -> Question:
    """A question, asked and answered in °F."""
    return InFahrenheit(
        question.name, question.title, question.group, question.ask, question.recorded
    )


def field_in_fahrenheit(field: Field) -> Field:
    """The same field for somebody who types °F; its value stays in °C."""
    asked = replace(field, label=said(field.label), note=said(field.note))
    if isinstance(asked, Number) and asked.unit == CELSIUS:
        low, high = (limit * 1.8 + 32.0 for limit in (asked.low, asked.high))
        return replace(asked, unit=FAHRENHEIT, low=low, high=high)
    if isinstance(asked, Parts) and "@°C" in field.label:
        return replace(asked, example="2@113 1@59", fahrenheit=True)
    return asked
