"""Where recipes come from: a file of the person, or one that comes with the program."""

from __future__ import annotations

import os
import stat
from importlib import resources
from pathlib import Path

from glossbath.errors import RecipeError

from .fields import nearest, shown
from .own import own_files, own_names
from .text import MAX_BYTES, loads, too_long
from .values import Recipe


def builtin_names() -> tuple[str, ...]:
    """The names under which load finds the recipes that come with the program."""
    folder = resources.files("glossbath") / "recipes"
    return tuple(
        sorted(
            file.name.removesuffix(".toml")
            for file in folder.iterdir()
            if file.name.endswith(".toml")
        )
    )


def load(source: str | os.PathLike[str]) -> Recipe:
    """The recipe of that name, own before built-in, or else from the file at that path.

    Raises RecipeError.
    """
    own = own_files() if isinstance(source, str) else {}
    if isinstance(source, str) and source not in own and source in builtin_names():
        file = resources.files("glossbath") / "recipes" / f"{source}.toml"
        return loads(file.read_text("utf-8"), f"Built-in recipe {source}")
    path = own.get(str(source), Path(source))
    return loads(_text(_contents(path), path), f"Recipe file {path}")


def _contents(path: Path) -> bytes:
    try:
        kind = path.stat().st_mode
        if stat.S_ISDIR(kind):
            raise RecipeError(f"{path} is a folder; give the recipe file inside it.")
        if not stat.S_ISREG(kind):
            # A pipe or a device could keep the reader waiting for ever.
            raise RecipeError(f"{path} is not an ordinary file; give a recipe file.")
        with path.open("rb") as file:
            raw = file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise RecipeError(_missing(path)) from None
    except (OSError, ValueError) as error:
        # ValueError: a path with a zero byte in it.
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise RecipeError(
            f"Recipe file {shown(str(path))} cannot be read: {reason}; check path and permissions."
        ) from error
    if len(raw) > MAX_BYTES:
        raise RecipeError(too_long(f"Recipe file {path}"))
    return raw


def _text(raw: bytes, path: Path) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise RecipeError(
            f"Recipe file {path} is not UTF-8 text: byte {error.start + 1} does not belong there; "
            f"save it as UTF-8 in a text editor."
        ) from error


def _missing(path: Path) -> str:
    names = builtin_names()
    like = nearest(str(path), (*names, *own_names()))
    hint = f"did you mean {like}?" if like else f"built-in recipes are {', '.join(names)}."
    return f"There is no recipe file {shown(str(path))} and no recipe of that name; {hint}"
