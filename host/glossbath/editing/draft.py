"""A recipe being changed: what is typed into each field, and what is wrong with it.

Nothing that is typed is lost, however wrong it is. `glossbath.recipe` has the last word.
"""

from __future__ import annotations

from pathlib import Path

import msgspec

from glossbath.chocolate.phase import PhasePlan, Window
from glossbath.errors import InputError
from glossbath.recipe import Recipe, dump, loads, save
from glossbath.recipe.fields import plain
from glossbath.recipe.text import CHOCOLATES
from glossbath_board.program import NAMES

from .entries import ENTRIES, PAGES, RECIPE, Entry
from .span import span, widest

LONGEST_NAME, LONGEST_SOURCE, MOST_SOURCES = 40, 300, 20


class Draft:
    """A recipe being changed."""

    def __init__(self, base: Recipe) -> None:
        self.base = base
        self.typed = _texts(base)
        self._before = dict(self.typed)

    @property
    def changed(self) -> bool:
        """Whether anything differs from the recipe that was opened."""
        return self.typed != self._before

    def type(self, name: str, text: str) -> None:
        """A person has typed into a field."""
        self.typed[name] = text

    def beside(self, entry: Entry) -> tuple[str, bool]:
        """What stands beside a field, and whether it is an error sentence."""
        problem = self.problem(entry)
        return (problem, True) if problem else (self.limits(entry), False)

    def limits(self, entry: Entry) -> str:
        """What may be typed into a field, as things stand in the others."""
        if entry.key == "name":
            return f"1 to {LONGEST_NAME} characters"
        if entry.key == "chocolate":
            return f"{', '.join(CHOCOLATES[:-1])} or {CHOCOLATES[-1]}"
        if entry.key == "source":
            return "one sentence, or empty"
        return span(entry, self._value).words(entry.unit)

    def problem(self, entry: Entry) -> str:
        """What is wrong with a field, as one sentence; empty when nothing is."""
        text = self.typed[entry.name].strip()
        if not text:
            return "" if entry.optional else f"Type the {_in_words(entry)}: {self.limits(entry)}."
        if entry.key == "chocolate":
            return "" if text in CHOCOLATES else f"'{text}' is no kind: {self.limits(entry)}."
        if entry.key in ("name", "source"):
            return _text_problem(text, LONGEST_NAME if entry.key == "name" else LONGEST_SOURCE)
        value = _number(text)
        if value is None:
            return f"'{text}' is no number: type {self.limits(entry)}."
        if not span(entry, self._value).holds(value):
            return f"{plain(value)} {entry.unit} does not fit: {self.limits(entry)}."
        return ""

    def problems(self, page: str) -> int:
        """How many fields of a page are wrong."""
        return sum(bool(self.problem(entry)) for entry in ENTRIES[page])

    def first_problem(self) -> tuple[Entry, str] | None:
        """The first field that is wrong, with its sentence."""
        for entry in (entry for page in PAGES for entry in ENTRIES[page]):
            problem = self.problem(entry)
            if problem:
                return entry, problem
        return None

    def recipe(self) -> Recipe:
        """The recipe as typed; raises InputError with the first thing that is wrong."""
        first = self.first_problem()
        if first is not None:
            entry, sentence = first
            raise InputError(f"{entry.page.capitalize()}, {_in_words(entry)}: {sentence}")
        typed = msgspec.structs.replace(
            self.base,
            name=self._text(RECIPE, "name"),
            chocolate=self._text(RECIPE, "chocolate"),
            fat_share=self._value(RECIPE, "fat_percent") / 100,
            max_c=self._value(RECIPE, "max_c"),
            sources=self._sources(),
            phases=tuple(self._plan(name) for name in NAMES),
        )
        return loads(dump(typed), "This recipe")

    def save(self) -> tuple[Recipe, Path]:
        """Write the recipe as a new version and go on from that; raises InputError."""
        wanted = self.recipe()
        same_name = wanted.name == self.base.name
        recipe, path = save(wanted, self.base.version + 1 if same_name else 1)
        self.base = recipe
        self.typed = _texts(recipe)
        self._before = dict(self.typed)
        return recipe, path

    def _text(self, page: str, key: str) -> str:
        return self.typed[f"{page}-{key}"].strip()

    def _value(self, page: str, key: str) -> float:
        """The number in a field; nan while there is none, or one that no board takes."""
        value = _number(self._text(page, key))
        return value if value is not None and widest(key).holds(value) else float("nan")

    def _sources(self) -> tuple[str, ...]:
        change = f"Changed by hand from {self.base.name}, version {self.base.version}."
        added = [text for text in (change, self._text(RECIPE, "source")) if text]
        return (*self.base.sources, *added)[-MOST_SOURCES:]

    def _plan(self, page: str) -> PhasePlan:
        def value(key: str) -> float:
            return self._value(page, key)

        return PhasePlan(
            name=page,
            target_c=value("target_c"),
            window=Window(value("low_c"), value("high_c")),
            dwell_s=value("dwell_min") * 60,
            timeout_s=value("timeout_min") * 60,
            stir_share=value("stir_percent") / 100,
            bath_low_c=value("bath_low_c"),
            bath_high_c=value("bath_high_c"),
        )


def _texts(recipe: Recipe) -> dict[str, str]:
    """What stands in every field when a recipe is opened."""
    texts = {
        f"{RECIPE}-name": recipe.name,
        f"{RECIPE}-chocolate": recipe.chocolate,
        f"{RECIPE}-fat_percent": _short(recipe.fat_share * 100),
        f"{RECIPE}-max_c": _short(recipe.max_c),
        f"{RECIPE}-source": "",
    }
    for plan in recipe.phases:
        values = {
            "target_c": plan.target_c,
            "low_c": plan.window.low_c,
            "high_c": plan.window.high_c,
            "bath_low_c": plan.bath_low_c,
            "bath_high_c": plan.bath_high_c,
            "dwell_min": plan.dwell_s / 60,
            "timeout_min": plan.timeout_s / 60,
            "stir_percent": plan.stir_share * 100,
        }
        texts |= {f"{plan.name}-{key}": _short(value) for key, value in values.items()}
    return texts


def _short(value: float) -> str:
    return plain(round(value, 4))


def _number(text: str) -> float | None:
    """The number typed, with a decimal point or comma; None when it is none."""
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return None


def _text_problem(text: str, longest: int) -> str:
    if len(text) > longest:
        return f"It has {len(text)} characters: use at most {longest}."
    return "" if text.isprintable() else "It has characters that cannot be shown: leave them out."


def _in_words(entry: Entry) -> str:
    return entry.label[:1].lower() + entry.label[1:]
