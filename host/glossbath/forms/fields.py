"""The fields of a question: what may be given for each, its default, and how it is read.

A field is declared once, in the signature of the question's function (see `question`). From it
come the option of the command line, the place to type on the screen, the sentence that refuses
and the test of bad values. A field keeps no state: `read` turns text into the value that the
function takes, or raises InputError with one sentence.
"""

from __future__ import annotations

import re
from dataclasses import KW_ONLY, dataclass
from pathlib import Path
from typing import Any, ClassVar

from glossbath.chocolate import limits
from glossbath.errors import InputError, quoted

REQUIRED: Any = object()
"""The default of a field that has none."""
CELSIUS, FAHRENHEIT = "°C", "°F"
_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
_YES = ("y", "yes", "1", "true")
_NO = ("n", "no", "0", "false")


@dataclass(frozen=True)
class Field:
    """One thing that is asked for."""

    label: str
    _: KW_ONLY
    note: str = ""
    """What the command's help says besides label and limits."""
    option: str = ""
    """Its option, where that is not its name; 'argument' for one without an option."""
    live: str = ""
    """Which reading of a rig fills it, by its name in `live.values`; empty for none."""
    on_form: bool = True
    """Whether a screen asks for it; some make sense on the command line only."""
    name: str = ""
    """The function's argument; set by the question, like the default."""
    default: Any = REQUIRED

    kind: ClassVar[str] = "text"
    """What is given for it, in one word."""

    @property
    def optional(self) -> bool:
        """Whether it may be left empty, which gives the function None."""
        return self.default is None

    @property
    def has_default(self) -> bool:
        """Whether it need not be given."""
        return self.default is not REQUIRED

    @property
    def typed(self) -> str:
        """What stands there at the start."""
        return "" if self.default in (None, REQUIRED) else self.text(self.default)

    @property
    def title(self) -> str:
        """The label, with its unit where it has one."""
        return self.label

    @property
    def called(self) -> str:
        """The label inside a sentence."""
        return self.label[:1].lower() + self.label[1:]

    def text(self, value: Any) -> str:
        """A value as a person types it."""
        return str(value)

    def from_rig(self, reading: str) -> str:
        """A reading of the rig, or several, as a person would type it here."""
        return reading

    def hint(self) -> str:
        """What may be typed."""
        return "may stay empty" if self.optional else ""

    def read(self, typed: str) -> Any:
        """The value; raises InputError."""
        text = typed.strip()
        if text:
            return self._read(text)
        if self.optional:
            return None
        raise InputError(f"Type the {self.called}: {self.hint()}.")

    def _read(self, text: str) -> Any:
        """The value of a text that is not empty; raises InputError."""
        return text

    def _or_empty(self, hint: str) -> str:
        return f"{hint}, or empty" if self.optional else hint


@dataclass(frozen=True)
class Number(Field):
    """A number between two limits, both in `unit`. A decimal comma is taken for a point."""

    kind = "number"
    unit: str = ""
    low: float = 0.0
    high: float = 100.0

    @property
    def title(self) -> str:
        return f"{self.label}, {self.unit}" if self.unit else self.label

    def text(self, value: float) -> str:
        if self.unit == FAHRENHEIT:
            value = round(value * 1.8 + 32.0, 2)
        return f"{value:g}"

    def from_rig(self, reading: str) -> str:
        if self.unit != FAHRENHEIT:
            return reading
        return _NUMBER.sub(lambda found: self.text(float(found[0])), reading)

    def hint(self) -> str:
        return self._or_empty(f"{self.low:g} to {self.high:g} {self.unit}".rstrip())

    def _read(self, text: str) -> float:
        value = number(text)
        if value is None:
            raise InputError(
                f"{quoted(text)} is not a number: type the {self.called} in {self.unit}, "
                f"{self.hint()}."
            )
        return self._within(value)

    def _within(self, value: float) -> float:
        if self.unit == CELSIUS:
            return limits.celsius(self.called, value, (self.low, self.high))
        value = limits.number(self.called, value, self.low, self.high, self.unit)
        return (value - 32.0) / 1.8 if self.unit == FAHRENHEIT else value


@dataclass(frozen=True)
class Percent(Number):
    """A share, typed in per cent and given as 0 to 1."""

    unit: str = "%"

    def text(self, value: float) -> str:
        return f"{value * 100:.6g}"

    def _within(self, value: float) -> float:
        return limits.share(self.called, value / 100, self.low / 100, self.high / 100)


@dataclass(frozen=True)
class Minutes(Number):
    """A time, typed in minutes and given in s."""

    unit: str = "min"

    def text(self, value: float) -> str:
        return f"{value / 60:g}"

    def _within(self, value: float) -> float:
        return super()._within(value) * 60


@dataclass(frozen=True)
class Pair(Number):
    """Two rising numbers between two limits, such as a window: '31 32' or '31-32'."""

    kind = "low high"

    def hint(self) -> str:
        return self._or_empty(f"two numbers, {self.low:g} to {self.high:g} {self.unit}")

    def _read(self, text: str) -> Any:
        # The dash of '31-32' is no sign.
        numbers = [float(n.replace(",", ".")) for n in _NUMBER.findall(re.sub(r"[-–]", " ", text))]
        if len(numbers) != 2 or re.search(r"[^\d\s.,–-]", text):
            middle = (self.low + self.high) / 2
            raise InputError(
                f"{quoted(text)} is not a window: type two numbers in {self.unit}, for example "
                f"{middle:.0f} {middle + 1:.0f}."
            )
        low, high = (self._within(value) for value in numbers)
        limits.ordered(self.called, numbers[0], numbers[1], self.unit)
        return low, high


@dataclass(frozen=True)
class Choice(Field):
    """One word of a few; its beginning is enough."""

    kind = "word"

    words: tuple[str, ...] = ()

    def hint(self) -> str:
        return f"{', '.join(self.words[:-1])} or {self.words[-1]}"

    def _read(self, text: str) -> str:
        begun = text.lower()
        found = [word for word in self.words if word == begun] or [
            word for word in self.words if word.startswith(begun)
        ]
        if len(found) != 1:
            raise InputError(f"The {self.called} must be {self.hint()}, not {quoted(text)}.")
        return found[0]


@dataclass(frozen=True)
class YesNo(Field):
    """Yes or no; empty means not known where that is allowed."""

    negative: str = ""
    """The option that says no, where leaving it out says nothing."""

    def text(self, value: bool) -> str:
        return "yes" if value else "no"

    def hint(self) -> str:
        return "y or n, or empty if not known" if self.optional else "y or n"

    def _read(self, text: str) -> bool:
        if text.lower() in (*_YES, *_NO):
            return text.lower() in _YES
        raise InputError(f"Type y or n for '{self.called}', not {quoted(text)}.")


@dataclass(frozen=True)
class Text(Field):
    """Words as they are."""

    example: str = ""

    def hint(self) -> str:
        return self._or_empty(f"for example {self.example}")


@dataclass(frozen=True)
class Parts(Text):
    """Several words, each a part of its own."""

    fahrenheit: bool = False
    """Whether the number after the first @ of a part is a temperature in °F."""

    def _read(self, text: str) -> list[str]:
        parts = text.split()
        return [_celsius_part(part) for part in parts] if self.fahrenheit else parts


@dataclass(frozen=True)
class File(Text):
    """The path of a file or folder."""

    kind = "path"

    def _read(self, text: str) -> Path:
        return Path(text).expanduser()


def _celsius_part(part: str) -> str:
    """2@113 as 2@45; what is no such part stays as it is, to be refused in its own words."""
    kg, at, rest = part.partition("@")
    typed, more, cp = rest.partition("@")
    value = number(typed)
    return part if value is None else f"{kg}{at}{(value - 32.0) / 1.8:.4f}{more}{cp}"


def number(text: str) -> float | None:
    """A number as a person types it, with a decimal point or comma; None when it is none."""
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        return None
