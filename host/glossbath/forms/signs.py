"""The field for what a person sees on chocolate: any of a list of signs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from .fields import Field


@dataclass(frozen=True)
class Signs(Field):
    """Any of a list of signs, each with its sentence; typed as their words with spaces."""

    default: Any = ""

    def hint(self) -> str:
        return "mark what is so"

    def groups(self) -> list[tuple[str, dict[str, str]]]:
        """Headings, and under each the words with their sentences."""
        from glossbath.chocolate import bloom  # its table is read only when it is asked for

        known = bloom.table()
        return [
            ("What you see", known.signs),
            ("When it showed", known.after),
            ("How it was stored", known.stored),
        ]

    def drawing(self, word: str) -> str:
        """How a sign looks; empty where it has no look."""
        from glossbath.chocolate import bloom

        return bloom.table().drawing.get(word, "")

    def read(self, typed: str) -> list[str]:
        return typed.split()
