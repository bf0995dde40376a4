"""A person's own recipes: one folder of files, a new file for every version.

A file that was changed is never written over: `Dark` changed twice is dark.v2.toml and
dark.v3.toml beside each other, so a record's recipe can always be found again.
"""

from __future__ import annotations

import os
import re
import unicodedata
from pathlib import Path

import msgspec

from glossbath.errors import RecipeError

from .text import dump
from .values import Recipe

FOLDER_VARIABLE = "GLOSSBATH_RECIPES"
SUFFIX = ".toml"

_VERSIONED = re.compile(r"(?P<name>.+)\.v(?P<version>[1-9]\d{0,3})")
_MOST_VERSIONS = 9999


def own_folder() -> Path:
    """Where own recipes lie: the environment's GLOSSBATH_RECIPES, else the user's data folder."""
    named = os.environ.get(FOLDER_VARIABLE)
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("glossbath", appauthor=False) / "recipes"


def own_files() -> dict[str, Path]:
    """Each own recipe by the names under which load finds it: `dark.v2` for one version, `dark`
    for the newest. A folder that is not there or cannot be read holds none."""
    try:
        paths = sorted(own_folder().glob(f"*{SUFFIX}"))
    except OSError:
        return {}
    files: dict[str, Path] = {}
    newest: dict[str, tuple[int, Path]] = {}
    for path in paths:
        stem = path.name.removesuffix(SUFFIX)
        files[stem] = path
        found = _VERSIONED.fullmatch(stem)
        if found is not None:
            name, version = found["name"], int(found["version"])
            newest[name] = max(newest.get(name, (0, path)), (version, path))
    # A file without a version in its name is what its name says.
    return {name: path for name, (_, path) in newest.items()} | files


def own_names() -> tuple[str, ...]:
    """A name for each own file, as short as it can be: the newest version needs no number."""
    shortest: dict[Path, str] = {}
    for name, path in own_files().items():
        shortest[path] = min(name, shortest.get(path, name), key=len)
    return tuple(sorted(shortest.values()))


def short_name(name: str) -> str:
    """A recipe's name as a file's: lower case letters and digits with dashes."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:30] or "recipe"


def save(recipe: Recipe, at_least: int = 1) -> tuple[Recipe, Path]:
    """Write a recipe as the next version of its name, from at_least on; the recipe as written
    and its file. Raises RecipeError when it cannot be written."""
    folder, name = own_folder(), short_name(recipe.name)
    version = max(at_least, 1 + max(_versions(name), default=0))
    if version > _MOST_VERSIONS:
        raise RecipeError(
            f"Recipe {name} has {_MOST_VERSIONS} versions, the most there may be; give it "
            f"another name."
        )
    recipe = msgspec.structs.replace(recipe, version=version)
    path = folder / f"{name}.v{version}{SUFFIX}"
    fresh = path.with_suffix(".new")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        fresh.write_text(dump(recipe), encoding="utf-8")
        os.replace(fresh, path)
    except OSError as error:
        raise RecipeError(
            f"Recipe file {path} cannot be written: {error.strerror}; make room there "
            f"or set {FOLDER_VARIABLE} to another folder."
        ) from error
    return recipe, path


def _versions(name: str) -> list[int]:
    found = [match for stem in own_files() if (match := _VERSIONED.fullmatch(stem)) is not None]
    return [int(match["version"]) for match in found if match["name"] == name]
