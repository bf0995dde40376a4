"""One TOML file a rig, in the user's data folder."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from typing import TypeVar

import msgspec

from glossbath.client.paths import check_name
from glossbath.errors import InputError

from .rig import RigModel

FOLDER_VARIABLE = "GLOSSBATH_MODELS"
_MOST_BYTES = 65_536

_T = TypeVar("_T")


def model_path(rig: str) -> Path:
    """The file of a rig's model, there or not: in the folder that the environment's
    GLOSSBATH_MODELS names, else in the user's data folder. Raises InputError for a bad name."""
    return _folder() / f"{check_name(rig)}.toml"


def learned_path(rig: str) -> Path:
    """The file of what a rig's cycles have taught, there or not (see learned.py)."""
    return _folder() / "learned" / f"{check_name(rig)}.toml"


def _folder() -> Path:
    named = os.environ.get(FOLDER_VARIABLE)
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("glossbath", appauthor=False) / "models"


def load_model(rig: str) -> RigModel:
    """The model that an identification found for a rig, the default where there was none.

    Raises InputError when the file cannot be read or holds what is implausible.
    """
    path = model_path(rig)
    model = read_toml(path, RigModel)
    if model is None:
        return RigModel.default()
    try:
        return model.check()
    except InputError as error:
        raise unusable(path, error) from error


def read_toml(path: Path, kind: type[_T]) -> _T | None:
    """What a rig's file holds, None where there is no file.

    Raises InputError when it cannot be read or holds something else.
    """
    try:
        with path.open("rb") as file:
            raw = file.read(_MOST_BYTES + 1)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise InputError(
            f"The rig model {path} cannot be read: {error.strerror}; check path and permissions."
        ) from error
    if len(raw) > _MOST_BYTES:
        raise InputError(f"The rig model {path} is longer than {_MOST_BYTES} bytes; remove it.")
    try:
        values = msgspec.toml.decode(raw)
        if "doubt_shares" in values:  # as version 0.1 called it
            values["uncertainty_shares"] = values.pop("doubt_shares")
        return msgspec.convert(values, kind)
    except (msgspec.MsgspecError, UnicodeDecodeError) as error:
        raise unusable(path, error) from error


def unusable(path: Path, error: Exception) -> InputError:
    """The sentence for a file that holds what is implausible."""
    return InputError(
        f"The rig model {path} cannot be used: {error} Remove the file or identify again."
    )


def save_model(rig: str, model: RigModel, note: str = "") -> Path:
    """Keep what an identification found; note is a line for whoever opens the file. What cycles
    had taught before is taken away. Returns the file.

    Raises InputError when the model is absurd or the file cannot be written.
    """
    path = model_path(rig)
    write_text(path, dump_model(model.check(), note))
    with contextlib.suppress(FileNotFoundError):
        learned_path(rig).unlink()
    return path


def write_text(path: Path, text: str) -> None:
    """Write a model's file as a whole or not at all; raises InputError when it cannot be."""
    fresh = path.with_suffix(".new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_text(text, encoding="utf-8")
        fresh.replace(path)
    except OSError as error:
        raise InputError(
            f"The rig model {path} cannot be written: {error.strerror}; check the disk."
        ) from error


def dump_model(model: RigModel, note: str = "", table: str = "") -> str:
    """The model as TOML text: units are in the names, shares from 0 to 1. table is a prefix for
    its own table where it lies in another one."""
    lines = ["# Heat model of a rig, found by glossbath tune. Units are in the names."]
    if note:
        lines.append(f"# {' '.join(note.split())}")
    for name in model.__struct_fields__:
        if name != "uncertainty_shares":
            lines.append(f"{name} = {float(getattr(model, name)):.6g}")
    lines += ["", "# Relative standard uncertainty of what was measured."]
    lines.append(f"[{table}uncertainty_shares]")
    lines += [f"{name} = {share:.3g}" for name, share in model.uncertainty_shares.items()]
    return "\n".join(lines) + "\n"
