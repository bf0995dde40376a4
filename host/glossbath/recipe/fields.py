"""Values out of a table of a TOML file, each checked against its limits.

Every refusal is one sentence: file, phase, field, what was given, the limit, the unit and what to
do about it.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import Any, NoReturn

from glossbath.errors import RecipeError

_FAHRENHEIT_LOW, _FAHRENHEIT_HIGH = 80.0, 130.0
_LONGEST_SHOWN = 40


class Fields:
    """One table, and where it stands, for the sentences. Keys carry their unit: `target_c`."""

    def __init__(self, table: Mapping[str, Any], where: str) -> None:
        self.table = table
        self.where = where

    def refuse(self, sentence: str) -> NoReturn:
        """Raise RecipeError with the sentence and the place."""
        raise RecipeError(f"{self.where}: {sentence}")

    def refuse_unknown(self, known: Iterable[str]) -> None:
        """Raise RecipeError for a key that is not among the known ones, naming the nearest."""
        names = list(known)
        for key in self.table:
            if key not in names:
                self.refuse(f"{shown(key)} is not a known key; {_advice(key, names)}")

    def number(self, key: str, low: float, high: float, unit: str) -> float:
        """The number under key, from low to high, both allowed."""
        return self._checked(key, self._given(key), low, high, unit)

    def pair(self, key: str, low: float, high: float, unit: str) -> tuple[float, float]:
        """Two rising numbers under key, written [lower, upper]."""
        given = self._given(key)
        if not isinstance(given, list) or len(given) != 2:
            self.refuse(
                f"{key} is {shown(given)}, but must be two numbers in {unit}; "
                f"write {key} = [lower, upper]."
            )
        bottom = self._checked(f"the lower end of {key}", given[0], low, high, unit)
        top = self._checked(f"the upper end of {key}", given[1], low, high, unit)
        if not bottom < top:
            self.refuse(
                f"{key} is upside down: its lower end is {plain(bottom)} {unit} and its upper "
                f"end {plain(top)} {unit}; write the lower number first."
            )
        return bottom, top

    def integer(self, key: str, low: int, high: int) -> int:
        """The whole number under key, from low to high."""
        given = self._given(key)
        if not isinstance(given, int) or isinstance(given, bool) or not low <= given <= high:
            self.refuse(
                f"{key} is {shown(given)}, but must be a whole number from {low} to {high}; "
                f"write it without quotes."
            )
        return given

    def text(self, key: str, longest: int) -> str:
        """The text under key: one printable line of 1 to longest characters."""
        return self._line(key, self._given(key), longest)

    def texts(self, key: str, most: int, longest: int) -> tuple[str, ...]:
        """The list of 1 to most lines under key."""
        given = self._given(key)
        if not isinstance(given, list) or not 1 <= len(given) <= most:
            self.refuse(
                f"{key} must be a list of 1 to {most} sentences in quotes, given is "
                f'{shown(given)}; write {key} = ["..."].'
            )
        return tuple(
            self._line(f"sentence {at} of {key}", line, longest)
            for at, line in enumerate(given, 1)
        )

    def choice(self, key: str, words: tuple[str, ...]) -> str:
        """The word under key, one of words."""
        given = self._given(key)
        if given not in words:
            self.refuse(
                f"{key} is {shown(given)}, but must be one of {', '.join(words)}; choose one."
            )
        return str(given)

    def _given(self, key: str) -> Any:
        if key not in self.table:
            self.refuse(f"{key} is missing; add a line that sets it.")
        return self.table[key]

    def _line(self, what: str, given: Any, longest: int) -> str:
        if not isinstance(given, str):
            self.refuse(f"{what} is {shown(given)}, but must be text; put it in quotes.")
        if not given.strip() or not given.isprintable():
            self.refuse(
                f"{what} is {shown(given)}, but must be one line of readable text; write it on "
                f"one line without control characters."
            )
        if len(given) > longest:
            self.refuse(
                f"{what} has {len(given)} characters, the limit is {longest} characters; "
                f"shorten it."
            )
        return given

    def _checked(self, what: str, given: Any, low: float, high: float, unit: str) -> float:
        if not isinstance(given, (int, float)) or isinstance(given, bool):
            self.refuse(
                f"{what} is {shown(given)}, but must be a number in {unit}; write the plain "
                f"number without quotes or unit."
            )
        # Written so that nan, which compares false with everything, is refused.
        if not low <= given <= high:
            self.refuse(
                f"{what} is {shown(given)} {unit}, but must be from {plain(low)} to "
                f"{plain(high)} {unit}; {_remedy(given, unit)}."
            )
        return float(given) + 0.0  # makes -0 an ordinary 0


def plain(value: float) -> str:
    """A number without a needless '.0'; reading it back gives the same number."""
    return repr(float(value)).removesuffix(".0")


def shown(value: Any) -> str:
    """What was given, cut to a length that fits a sentence."""
    if isinstance(value, int) and not isinstance(value, bool) and value.bit_length() > 64:
        return "a number of absurd size"
    if isinstance(value, float):
        return plain(value)
    text = repr(value)
    return text if len(text) <= _LONGEST_SHOWN else text[: _LONGEST_SHOWN - 3] + "..."


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word most like word, or an empty text when none is like it."""
    return next(iter(difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)), "")


def _remedy(given: float, unit: str) -> str:
    if unit == "°C" and _FAHRENHEIT_LOW <= given <= _FAHRENHEIT_HIGH:
        celsius = (given - 32.0) / 1.8
        return f"this looks like Fahrenheit: {plain(given)} °F is {celsius:.1f} °C, write °C"
    return "write a number inside this range"


def _advice(key: str, known: list[str]) -> str:
    stem, _, unit = key.rpartition("_")
    for name in known:
        if stem and name.rpartition("_")[0] == stem:
            convert = " and convert the number from Fahrenheit" if unit == "f" else ""
            return f"its unit is fixed, write {name}{convert}."
    like = nearest(key, known)
    return f"did you mean {like}?" if like else f"known are {', '.join(known)}."
