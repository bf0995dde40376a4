"""The fields of a form: what may be typed into each, said beside it, and read from it.

A field keeps no state. What is typed is text; `read` turns it into the value that a command takes
or raises InputError with one sentence to stand beside the field.
"""

from __future__ import annotations

import re
from enum import StrEnum
from pathlib import Path
from typing import Any

import msgspec

from glossbath.chocolate import limits
from glossbath.errors import InputError, quoted

_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
_YES = ("y", "yes", "1", "true")
_NO = ("n", "no", "0", "false")


class Field(msgspec.Struct, frozen=True, kw_only=True):
    """One thing to be typed."""

    name: str
    """The command's argument."""
    label: str
    typed: str = ""
    """What stands there at the start."""
    live: str = ""
    """Which live value fills it, by its name in `live.values`; empty for none."""
    optional: bool = False
    """Whether it may be left empty, which gives the command's own default for nothing."""

    @property
    def title(self) -> str:
        """The label with its unit."""
        return self.label

    def hint(self) -> str:
        """What may be typed."""
        return "may stay empty" if self.optional else ""

    def read(self, typed: str) -> Any:
        """The value; raises InputError."""
        raise NotImplementedError

    def _missing(self) -> InputError:
        return InputError(f"Type the {_lower(self.label)}: {self.hint()}.")


class Number(Field, frozen=True, kw_only=True):
    """A number between two limits, both in `unit`. A decimal comma is taken for a point."""

    unit: str
    low: float
    high: float

    @property
    def title(self) -> str:
        return f"{self.label}, {self.unit}" if self.unit else self.label

    def hint(self) -> str:
        empty = ", or empty" if self.optional else ""
        return f"{self.low:g} to {self.high:g} {self.unit}".rstrip() + empty

    def read(self, typed: str) -> float | None:
        text = typed.strip()
        if not text:
            if self.optional:
                return None
            raise self._missing()
        try:
            value = float(text.replace(",", "."))
        except ValueError:
            raise InputError(
                f"{quoted(text)} is no number: type the {_lower(self.label)} in {self.unit}, "
                f"{self.hint()}."
            ) from None
        return _within(self, value)


class Pair(Field, frozen=True, kw_only=True):
    """Two rising numbers between two limits, such as a window: '31 32' or '31-32'."""

    unit: str
    low: float
    high: float

    @property
    def title(self) -> str:
        return f"{self.label}, {self.unit}"

    def hint(self) -> str:
        empty = ", or empty" if self.optional else ""
        return f"two numbers, {self.low:g} to {self.high:g} {self.unit}{empty}"

    def read(self, typed: str) -> tuple[float, float] | None:
        text = typed.strip()
        if not text:
            if self.optional:
                return None
            raise self._missing()
        # The dash of '31-32' is no sign.
        numbers = [float(n.replace(",", ".")) for n in _NUMBER.findall(re.sub(r"[-–]", " ", text))]
        if len(numbers) != 2 or re.search(r"[^\d\s.,–-]", text):
            raise InputError(
                f"{quoted(text)} is no window: type two numbers in {self.unit}, for example "
                f"{(self.low + self.high) / 2:.0f} {(self.low + self.high) / 2 + 1:.0f}."
            )
        low, high = (_within(self, value) for value in numbers)
        limits.ordered(_lower(self.label), low, high, self.unit)
        return low, high


class Choice(Field, frozen=True, kw_only=True):
    """One word of a few; its beginning is enough."""

    words: type[StrEnum]

    def hint(self) -> str:
        *most, last = [word.value for word in self.words]
        return f"{', '.join(most)} or {last}"

    def read(self, typed: str) -> StrEnum:
        text = typed.strip().lower()
        found = [word for word in self.words if text and word.value.startswith(text)]
        if len(found) != 1:
            raise InputError(
                f"The {_lower(self.label)} must be {self.hint()}, not {quoted(text)}."
            )
        return found[0]


class YesNo(Field, frozen=True, kw_only=True):
    """Yes or no; empty means not known where that is allowed."""

    typed: str = "no"

    def hint(self) -> str:
        return "y or n, or empty if not known" if self.optional else "y or n"

    def read(self, typed: str) -> bool | None:
        text = typed.strip().lower()
        if text in _YES:
            return True
        if text in _NO:
            return False
        if not text and self.optional:
            return None
        raise InputError(f"Type y or n for '{_lower(self.label)}', not {quoted(text)}.")


class Text(Field, frozen=True, kw_only=True):
    """Words as they are."""

    example: str

    def hint(self) -> str:
        empty = ", or empty" if self.optional else ""
        return f"for example {self.example}{empty}"

    def read(self, typed: str) -> str | list[str] | Path | None:
        text = typed.strip()
        if text:
            return text
        if self.optional:
            return None
        raise self._missing()


class Parts(Text, frozen=True, kw_only=True):
    """Several words, each a part of its own."""

    def read(self, typed: str) -> list[str]:
        return str(super().read(typed)).split()


class File(Text, frozen=True, kw_only=True):
    """The path of a file or folder."""

    def read(self, typed: str) -> Path | None:
        text = super().read(typed)
        return None if text is None else Path(str(text)).expanduser()


class Signs(Field, frozen=True, kw_only=True):
    """Any of a list of signs, each with its sentence; typed as their words with spaces."""

    def hint(self) -> str:
        return "mark what is so"

    def groups(self) -> list[tuple[str, dict[str, str]]]:
        """Headings, and under each the words with their sentences."""
        from glossbath.chocolate import bloom

        known = bloom.table()
        return [
            ("What you see", known.signs),
            ("When it showed", known.after),
            ("How it was stored", known.stored),
        ]

    def read(self, typed: str) -> list[str]:
        return typed.split()


def _within(field: Number | Pair, value: float) -> float:
    name = _lower(field.label)
    if field.unit == "°C":
        return limits.celsius(name, value, (field.low, field.high))
    return limits.number(name, value, field.low, field.high, field.unit)


def _lower(label: str) -> str:
    """The label inside a sentence."""
    return label[:1].lower() + label[1:]
