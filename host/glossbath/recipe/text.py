"""A recipe's TOML text, both ways: loads reads and checks, dump writes."""

from __future__ import annotations

import json
import tomllib
from typing import Any

import msgspec

from glossbath.chocolate.phase import PhasePlan
from glossbath.errors import RecipeError

from .fields import Fields, plain
from .phases import PAIRS, phases_from
from .rules import LIMITS, LONGEST_NAME, LONGEST_SOURCE, MOST_SOURCES, numbers
from .seed import seed_from, seed_lines
from .values import Composition, Recipe

CHOCOLATES = ("dark", "milk", "white", "own")
MAX_BYTES = 65_536

_KEYS = (
    "name",
    "chocolate",
    "version",
    "fat_percent",
    "max_c",
    "sources",
    "composition",
    "seed",
    "phase",
)
_PARTS = ("carbohydrate", "protein", "fibre", "ash", "water")
_COMPOSITION_SLACK_PERCENT = 2.0


def loads(text: str, where: str) -> Recipe:
    """The recipe written in text; where names it in refusals. Raises RecipeError."""
    if len(text) > MAX_BYTES:
        raise RecipeError(too_long(where))
    if not text.strip():
        raise RecipeError(
            f"{where} is empty; glossbath recipe copy dark NAME writes one you can change."
        )
    try:
        table = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        # ValueError beside TOMLDecodeError: tomllib lets through what int() says of 5,000 digits.
        reason = "nested too deeply" if isinstance(error, RecursionError) else str(error)[:80]
        raise RecipeError(
            f"{where} is not TOML: {reason}; correct that line, or write a "
            "fresh one with glossbath recipe copy dark NAME."
        ) from error
    return _recipe(table, where)


def dump(recipe: Recipe) -> str:
    """The recipe as the text of a file; loads gives the same recipe back."""
    lines = [
        "# Glossbath recipe: temperatures in °C, times in minutes, shares in percent.",
        f"name = {_quoted(recipe.name)}",
        f"chocolate = {_quoted(recipe.chocolate)}",
        f"version = {recipe.version}",
        f"fat_percent = {_percent(recipe.fat_share)}",
        f"max_c = {plain(recipe.max_c)}",
        "sources = [",
        *(f"    {_quoted(sentence)}," for sentence in recipe.sources),
        "]",
    ]
    if recipe.composition is not None:
        lines += ["", "[composition]"]
        for part in _PARTS:
            share = getattr(recipe.composition, f"{part}_share")
            lines.append(f"{part}_percent = {_percent(share)}")
    if recipe.seed is not None:
        lines += seed_lines(recipe.seed)
    for plan in recipe.phases:
        lines += ["", "[[phase]]", *_phase_lines(plan)]
    return "\n".join(lines) + "\n"


def _phase_lines(plan: PhasePlan) -> list[str]:
    own = {key: plain(round(value, 9)) for key, value in numbers(plan).items()}
    pairs = {key: f"[{own.pop(low)}, {own.pop(high)}]" for key, (low, high) in PAIRS.items()}
    lines = {"name": _quoted(plan.name), "target_c": own.pop("target_c"), **pairs, **own}
    return [f"{key} = {text}" for key, text in lines.items()]


def _percent(share: float) -> str:
    return plain(round(share * 100, 6))


def _quoted(text: str) -> str:
    # A JSON string is a TOML basic string, except that TOML wants DEL escaped as well.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _recipe(table: dict[str, Any], where: str) -> Recipe:
    fields = Fields(table, where)
    fields.refuse_unknown(_KEYS)
    if "phase" not in table:
        fields.refuse("it has no phases; add five tables, each beginning with a line [[phase]].")
    fat_percent = fields.number("fat_percent", *LIMITS["fat_percent"])
    max_c = round(fields.number("max_c", *LIMITS["max_c"]), 3)
    recipe = Recipe(
        name=fields.text("name", LONGEST_NAME),
        chocolate=fields.choice("chocolate", CHOCOLATES),
        version=fields.integer("version", 1, 9999),
        fat_share=round(fat_percent / 100, 5),
        max_c=max_c,
        sources=fields.texts("sources", MOST_SOURCES, LONGEST_SOURCE),
        phases=phases_from(table["phase"], max_c, where),
        composition=_composition(table, fat_percent, where),
    )
    if "seed" not in table:
        return recipe
    seed = seed_from(table["seed"], recipe.phases, where)
    return msgspec.structs.replace(recipe, seed=seed)


def _composition(table: dict[str, Any], fat_percent: float, where: str) -> Composition | None:
    if "composition" not in table:
        return None
    if not isinstance(table["composition"], dict):
        Fields(table, where).refuse("composition must be a table; begin it with [composition].")
    fields = Fields(table["composition"], f"{where}, composition")
    keys = [f"{part}_percent" for part in _PARTS]
    fields.refuse_unknown(keys)
    percents = [fields.number(key, 0, 100, "%") if key in fields.table else 0.0 for key in keys]
    total = fat_percent + sum(percents)
    if not abs(total - 100) <= _COMPOSITION_SLACK_PERCENT:
        fields.refuse(
            f"with {plain(fat_percent)} % fat it adds up to {plain(round(total, 3))} %, but must "
            f"be within {plain(_COMPOSITION_SLACK_PERCENT)} % of 100 %; correct the shares."
        )
    return Composition(*(round(percent / 100, 5) for percent in percents))


def too_long(where: str) -> str:
    return (
        f"{where} is longer than {MAX_BYTES // 1024} KB, the most a recipe may have; "
        f"check that this is a recipe file."
    )
