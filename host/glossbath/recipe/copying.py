"""A recipe under another name: copied from any, or renamed where it is the person's own."""

from __future__ import annotations

from pathlib import Path

import msgspec

from glossbath.errors import RecipeError

from .files import load
from .own import own_files, save
from .text import dump, loads
from .values import Recipe

LONGEST_NAME = 40


def copy(source: str, name: str) -> Path:
    """Write the recipe found as `source` under a name of the person's; its file.

    Raises RecipeError.
    """
    recipe = load(source)
    said = f"Copied from {recipe.name}, version {recipe.version}."
    return save(_named(recipe, name, (*recipe.sources, said)[-20:]))[1]


def rename(source: str, name: str) -> Path:
    """Give an own recipe another name; its new file. Raises RecipeError."""
    path = own_files().get(source)
    if path is None:
        raise RecipeError(
            f"{source} is not an own recipe, so its name stays: copy it with "
            f"glossbath recipe copy {source} NAME."
        )
    recipe = load(source)
    _, fresh = save(_named(recipe, name, recipe.sources))
    try:
        path.unlink()
    except OSError as error:
        raise RecipeError(
            f"The recipe stands in {fresh} now, but {path} cannot be taken away: {error.strerror}."
        ) from error
    return fresh


def _named(recipe: Recipe, name: str, sources: tuple[str, ...]) -> Recipe:
    name = name.strip()
    if not 0 < len(name) <= LONGEST_NAME or not name.isprintable():
        raise RecipeError(
            f"A recipe's name has 1 to {LONGEST_NAME} characters that can be printed, not "
            f"{len(name)}: choose another one."
        )
    named = msgspec.structs.replace(recipe, name=name, sources=sources)
    return loads(dump(named), f"Recipe {name}")
