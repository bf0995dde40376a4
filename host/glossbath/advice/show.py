"""Prints a result: sentences for a person, or one JSON object for programs."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, Protocol

import typer


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
    if not as_json:
        for sentence in sentences:
            typer.echo(sentence)
        return
    # The sentences of some results are kept in a field of their own; once is enough.
    bare = {name: value for name, value in values.items() if name not in ("line", "lines")}
    typer.echo(json.dumps({**bare, "sentences": list(sentences)}, ensure_ascii=False))
