"""A recipe being changed: what is typed into each field, and what is wrong with it.

Nothing that is typed is lost, however wrong it is. `glossbath.recipe` has the last word.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import NamedTuple

import msgspec

from glossbath.errors import InputError, quoted
from glossbath.forms.fields import Field, number
from glossbath.forms.form import Typed
from glossbath.recipe import Recipe, dump, loads, save
from glossbath.recipe.fields import plain
from glossbath.recipe.rules import (
    LIMITS,
    LONGEST_NAME,
    LONGEST_SOURCE,
    MOST_SOURCES,
    PHASE_KEYS,
    RULES,
    RUN_CEILING_S,
    numbers,
    plan,
)
from glossbath.recipe.text import CHOCOLATES
from glossbath_board.program import NAMES

from .entries import PAGES, RECIPE, Entry, entries

_WORDS = {
    "name": f"1 to {LONGEST_NAME} characters",
    "chocolate": f"{', '.join(CHOCOLATES[:-1])} or {CHOCOLATES[-1]}",
    "source": "one sentence, or empty",
}
_WHY = {
    "target_c": "its window and bath",
    "low_c": "its target",
    "high_c": "target to trip",
    "bath_low_c": "for its target",
    "bath_high_c": "for its target",
    "dwell_min": "its trip",
    "max_c": "above every window",
}
"""What narrows a field's limits, where that is another field."""


class Span(NamedTuple):
    """The numbers that may stand in a field, both ends allowed unless `below`."""

    low: float
    high: float
    why: str = ""
    below: bool = False
    """Whether the upper end itself is not allowed."""

    def words(self, entry: Entry) -> str:
        """The limits as they are typed into a field, with their unit and reason."""
        to = "to below" if self.below else "to"
        low, high = entry.shown(self.low), entry.shown(self.high)
        return f"{low:g} {to} {high:g} {entry.unit}" + (f", {self.why}" if self.why else "")

    def holds(self, value: float) -> bool:
        """Whether a number may stand there; nan may not."""
        return self.low <= value < self.high or (value == self.high and not self.below)


class Draft(Typed):
    """A recipe being changed, its temperatures in °C or °F."""

    def __init__(self, base: Recipe, fahrenheit: bool = False) -> None:
        super().__init__([])
        self._use(fahrenheit)
        self._open(base)

    def _use(self, fahrenheit: bool) -> None:
        self.fahrenheit = fahrenheit
        self.pages = entries(fahrenheit)
        self._named = {entry.name: entry for page in PAGES for entry in self.pages[page]}
        self.fields = tuple(self._named.values())

    def show_in(self, fahrenheit: bool) -> None:
        """Go on in °C or °F: every temperature that can be read is typed anew."""
        if fahrenheit == self.fahrenheit:
            return
        before = self._named
        self._use(fahrenheit)
        for texts in (self.typed, self._before):
            for name, entry in self._named.items():
                value = number(texts[name])
                if value is not None and entry.unit != before[name].unit:
                    texts[name] = _text(entry.shown(before[name].meant(value)))

    def _open(self, base: Recipe) -> None:
        self.base = base
        self.typed = self._texts(base)
        self._before = dict(self.typed)

    @property
    def changed(self) -> bool:
        """Whether anything differs from the recipe that was opened."""
        return self.typed != self._before

    def limits(self, field: Field) -> str:
        """What may be typed into a field, as things stand in the others."""
        entry = self._named[field.name]
        return _WORDS.get(entry.key) or self._span(entry).words(entry)

    def problem(self, field: Field) -> str:
        """What is wrong with a field, as one sentence; empty when nothing is."""
        entry = self._named[field.name]
        text = self.typed[entry.name].strip()
        if not text:
            return "" if entry.optional else f"Type the {entry.called}: {self.limits(entry)}."
        if entry.key == "chocolate":
            wrong = f"{quoted(text)} is not a kind: {self.limits(entry)}."
            return "" if text in CHOCOLATES else wrong
        if entry.key in _WORDS:
            return _text_problem(text, LONGEST_NAME if entry.key == "name" else LONGEST_SOURCE)
        value = number(text)
        if value is None:
            return f"{quoted(text)} is not a number: type {self.limits(entry)}."
        if not self._span(entry).holds(entry.meant(value)):
            return f"{plain(value)} {entry.unit} does not fit: {self.limits(entry)}."
        return ""

    def problems(self, page: str) -> int:
        """How many fields of a page are wrong."""
        return sum(bool(self.problem(entry)) for entry in self.pages[page])

    def first_problem(self) -> tuple[Entry, str] | None:
        """The first field that is wrong, with its sentence."""
        first = super().first_problem()
        return None if first is None else (self._named[first[0].name], first[1])

    def recipe(self) -> Recipe:
        """The recipe as typed; raises InputError with the first thing that is wrong."""
        first = self.first_problem()
        if first is not None:
            entry, sentence = first
            raise InputError(f"{entry.page.capitalize()}, {entry.called}: {sentence}")
        typed = msgspec.structs.replace(
            self.base,
            name=self.typed["recipe-name"].strip(),
            chocolate=self.typed["recipe-chocolate"].strip(),
            fat_share=self._value("recipe-fat_percent") / 100,
            max_c=self._value("recipe-max_c"),
            sources=self._sources(),
            phases=tuple(
                plan(name, {key: self._value(f"{name}-{key}") for key in PHASE_KEYS})
                for name in NAMES
            ),
        )
        return loads(dump(typed), "This recipe")

    def save(self) -> tuple[Recipe, Path]:
        """Write the recipe as a new version and go on from that; raises InputError."""
        wanted = self.recipe()
        same_name = wanted.name == self.base.name
        recipe, path = save(wanted, self.base.version + 1 if same_name else 1)
        self._open(recipe)
        return recipe, path

    def _value(self, name: str) -> float:
        """The number in a field; nan while there is none, or one that no board takes."""
        typed = number(self.typed[name])
        if typed is None:
            return math.nan
        value = self._named[name].meant(typed)
        low, high, _ = LIMITS[_key(name)]
        return value if low <= value <= high else math.nan

    def _span(self, entry: Entry) -> Span:
        """The numbers that fit between the fields around this one; where those contradict each
        other the board's own limits. A field that is being typed (nan) narrows nothing."""
        low, high, _ = widest = LIMITS[entry.key]
        below = False
        for rule in RULES:
            if rule.upper == entry.name:
                low = max(low, self._value(rule.lower) + rule.gap)  # nan is never the greater
            elif rule.lower == entry.name:
                upper = self._value(rule.upper)
                most = (LIMITS[_key(rule.upper)].high if math.isnan(upper) else upper) - rule.gap
                high, below = (most, rule.strict) if most <= high else (high, below)
        if entry.key == "timeout_min":
            others = sum(
                self._value(f"{name}-timeout_min") for name in NAMES if name != entry.page
            )
            high = min(high, RUN_CEILING_S / 60 - others)
        if low > high:
            return Span(widest.low, widest.high)
        narrowed = (low, high) != (widest.low, widest.high)
        return Span(low, high, _WHY.get(entry.key, "") if narrowed else "", below)

    def _texts(self, recipe: Recipe) -> dict[str, str]:
        """What stands in every field when a recipe is opened."""
        values = {"recipe-fat_percent": recipe.fat_share * 100, "recipe-max_c": recipe.max_c}
        for phase in recipe.phases:
            values |= {f"{phase.name}-{key}": value for key, value in numbers(phase).items()}
        return {
            f"{RECIPE}-name": recipe.name,
            f"{RECIPE}-chocolate": recipe.chocolate,
            f"{RECIPE}-source": "",
            **{name: _text(self._named[name].shown(value)) for name, value in values.items()},
        }

    def _sources(self) -> tuple[str, ...]:
        change = f"Changed by hand from {self.base.name}, version {self.base.version}."
        added = [text for text in (change, self.typed["recipe-source"].strip()) if text]
        return (*self.base.sources, *added)[-MOST_SOURCES:]


def _key(name: str) -> str:
    return name.partition("-")[2]


def _text(value: float) -> str:
    return plain(round(value, 4))


def _text_problem(text: str, longest: int) -> str:
    if len(text) > longest:
        return f"It has {len(text)} characters: use at most {longest}."
    return "" if text.isprintable() else "It has characters that cannot be shown: leave them out."
