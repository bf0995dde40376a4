"""One TOML file a rig, in the user's data folder."""

from __future__ import annotations

import os
from pathlib import Path

import msgspec

from glossbath.client.paths import check_name
from glossbath.errors import InputError

from .rig import RigModel

FOLDER_VARIABLE = "GLOSSBATH_MODELS"
_MOST_BYTES = 65_536


def model_path(rig: str) -> Path:
    """The file of a rig's model, there or not: in the folder that the environment's
    GLOSSBATH_MODELS names, else in the user's data folder. Raises InputError for a bad name."""
    named = os.environ.get(FOLDER_VARIABLE)
    if named:
        return Path(named) / f"{check_name(rig)}.toml"
    from platformdirs import user_data_path

    return user_data_path("glossbath", appauthor=False) / "models" / f"{check_name(rig)}.toml"


def load_model(rig: str) -> RigModel:
    """The model kept for a rig, the default where none is kept.

    Raises InputError when the file cannot be read or holds what is implausible.
    """
    path = model_path(rig)
    try:
        with path.open("rb") as file:
            raw = file.read(_MOST_BYTES + 1)
    except FileNotFoundError:
        return RigModel.default()
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
        return msgspec.convert(values, RigModel).check()
    except (msgspec.MsgspecError, UnicodeDecodeError, InputError) as error:
        raise InputError(
            f"The rig model {path} cannot be used: {error} Remove the file or identify again."
        ) from error


def save_model(rig: str, model: RigModel, note: str = "") -> Path:
    """Keep a rig's model; note is a line for whoever opens the file. Returns the file.

    Raises InputError when the model is absurd or the file cannot be written.
    """
    path = model_path(rig)
    text = dump_model(model.check(), note)
    fresh = path.with_suffix(".new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_text(text, encoding="utf-8")
        fresh.replace(path)
    except OSError as error:
        raise InputError(
            f"The rig model {path} cannot be written: {error.strerror}; check the disk."
        ) from error
    return path


def dump_model(model: RigModel, note: str = "") -> str:
    """The model as TOML text: units are in the names, shares from 0 to 1."""
    lines = ["# Heat model of a rig, found by glossbath tune. Units are in the names."]
    if note:
        lines.append(f"# {' '.join(note.split())}")
    for name in model.__struct_fields__:
        if name != "uncertainty_shares":
            lines.append(f"{name} = {float(getattr(model, name)):.6g}")
    lines += ["", "# Relative standard uncertainty of what was measured.", "[uncertainty_shares]"]
    lines += [f"{name} = {share:.3g}" for name, share in model.uncertainty_shares.items()]
    return "\n".join(lines) + "\n"
