"""What a question answers: its values for programs and its sentences for people.

Command line and screen show the same answer, so that neither can say anything else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol


@dataclass(frozen=True)
class Answer:
    """Values by name, and the sentences that state them."""

    values: dict[str, Any]
    sentences: list[str]

    def plain(self) -> dict[str, Any]:
        """The answer as one JSON object. Sentences that a result keeps in a field of its own are
        given once."""
        bare = {name: value for name, value in self.values.items() if name not in _OWN_WORDS}
        return {**bare, "sentences": self.sentences}


_OWN_WORDS = ("line", "lines")


class InWords(Protocol):
    """A result that can state itself in sentences."""

    def sentences(self) -> list[str]:
        """The result in words."""


def answer(result: InWords, more: Sequence[str] = (), **values: Any) -> Answer:
    """The answer of a result (a msgspec struct), with further sentences and values."""
    import msgspec

    return Answer({**msgspec.to_builtins(result), **values}, [*result.sentences(), *more])
