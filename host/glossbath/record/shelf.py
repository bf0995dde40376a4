"""All cycles of this computer: where they lie and what each was, from the folders alone."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from glossbath.errors import LogError

from .package import FILE, TABLES, read_package
from .summary import brief

FOLDER_VARIABLE = "GLOSSBATH_CYCLES"


def default_folder() -> Path:
    """Where cycles are kept: the environment's GLOSSBATH_CYCLES, else the user's data folder."""
    named = os.environ.get(FOLDER_VARIABLE)
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("glossbath", appauthor=False) / "cycles"


def list_cycles(parent: str | os.PathLike[str]) -> list[dict[str, Any]]:
    """The cycles in parent, newest first, from their datapackage.json alone: what
    `glossbath.record.summary.brief` tells, and `problem`, a sentence or empty.

    A parent that is not there holds none; raises LogError when it cannot be read.
    """
    path = Path(parent)
    try:
        folders = [entry for entry in path.iterdir() if entry.is_dir()]
    except FileNotFoundError:
        return []
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise LogError(
            f"Cycles in {path} cannot be listed: {reason}; give the folder that holds them."
        ) from error
    # Names begin with the date, so their order is that of time.
    found = (_entry(folder) for folder in sorted(folders, key=lambda it: it.name, reverse=True))
    return [entry for entry in found if entry is not None]


def _entry(folder: Path) -> dict[str, Any] | None:
    package = read_package(folder)
    if not isinstance(package, str):
        return {**brief(folder, package.cycle), "problem": ""}
    if any((folder / name).exists() for name in (FILE, *(f"{table}.csv" for table in TABLES))):
        return {**brief(folder, None), "problem": package}
    return None
