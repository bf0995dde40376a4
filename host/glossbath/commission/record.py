"""What a commissioning has found so far: one JSON file a rig, written whole after every step."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import msgspec

from glossbath.client.paths import check_name, rigs_folder
from glossbath.errors import InputError

_MOST_BYTES = 1_000_000
VERSION = 1


class Result(msgspec.Struct, frozen=True):
    """How a step went. when is UTC, ISO 8601; values are what was measured."""

    ok: bool
    text: str
    when: str
    who: str
    firmware: str
    values: dict[str, Any] = {}


class CommissionRecord(msgspec.Struct):
    """One rig's commissioning: results by step, the newest of each."""

    rig: str
    board: str
    virtual: bool
    begun: str
    version: int = VERSION
    results: dict[str, Result] = {}


def record_path(rig: str) -> Path:
    """The file of a rig, there or not. Raises InputError for a bad name."""
    return rigs_folder() / f"{check_name(rig)}.json"


def load(rig: str) -> CommissionRecord | None:
    """The record of a rig, None where there is none; raises InputError when it cannot be used."""
    path = record_path(rig)
    try:
        with path.open("rb") as file:
            raw = file.read(_MOST_BYTES + 1)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise InputError(f"{path} cannot be read: {error.strerror}; check permissions.") from error
    try:
        if len(raw) > _MOST_BYTES:
            raise msgspec.ValidationError(f"it has more than {_MOST_BYTES} bytes")
        record = msgspec.json.decode(raw, type=CommissionRecord)
        if record.version > VERSION:
            raise msgspec.ValidationError(f"it has version {record.version}, known is {VERSION}")
    except (msgspec.MsgspecError, UnicodeDecodeError) as error:
        raise InputError(
            f"{path} cannot be used: {error}. Move it away and commission again."
        ) from error
    return record


def save(record: CommissionRecord) -> Path:
    """Replace a rig's record in one step; returns its file, raises InputError."""
    path = record_path(record.rig)
    fresh = path.with_suffix(".new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with fresh.open("wb") as file:
            file.write(msgspec.json.format(msgspec.json.encode(record), indent=2) + b"\n")
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
    except OSError as error:
        raise InputError(f"{path} cannot be written: {error.strerror}; check the disk.") from error
    return path


def brief(record: CommissionRecord) -> dict[str, Any]:
    """A record in a few words, for programs."""
    signed = record.results.get("sign")
    return {
        "rig": record.rig,
        "board": record.board,
        "virtual": record.virtual,
        "steps": {code: result.ok for code, result in record.results.items()},
        "signed": bool(signed and signed.ok),
    }
