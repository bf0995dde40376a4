"""Prints a result: sentences for a person, or one JSON object for programs.

A screen asks the same commands and takes their answers with `answer`, so that it cannot say
anything else than the command line does.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any, Protocol

import typer


@dataclass(frozen=True)
class Answer:
    """What a command found: its values by name, and the sentences that say them."""

    values: dict[str, Any]
    sentences: list[str]


_asked: ContextVar[list[Answer] | None] = ContextVar("asked", default=None)


class Told(Protocol):
    """A result that can say itself in sentences."""

    def sentences(self) -> list[str]:
        """The result in words."""


def show(result: Told, as_json: bool) -> None:
    """Print a result that explains itself."""
    import msgspec

    show_values(msgspec.to_builtins(result), result.sentences(), as_json)


def show_values(values: dict[str, Any], sentences: Sequence[str], as_json: bool) -> None:
    """Print sentences, or the values with the sentences beside them."""
    asked = _asked.get()
    if asked is not None:
        asked.append(Answer(values, list(sentences)))
        return
    if not as_json:
        for sentence in sentences:
            typer.echo(sentence)
        return
    # The sentences of some results are kept in a field of their own; once is enough.
    bare = {name: value for name, value in values.items() if name not in ("line", "lines")}
    typer.echo(json.dumps({**bare, "sentences": list(sentences)}, ensure_ascii=False))


def answer(command: Callable[..., None], arguments: dict[str, Any]) -> Answer:
    """What a command answers, without printing it; raises what the command raises."""
    asked: list[Answer] = []
    token = _asked.set(asked)
    try:
        command(**arguments)
    finally:
        _asked.reset(token)
    return asked[-1]
