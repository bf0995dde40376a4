"""datapackage.json: what a cycle was, and what its files contain, for people and programs.

Data Package standard version 2 (datapackage.org) with Table Schema. What the standard has no
property for stands under `cycle`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import UTC, datetime
from importlib import metadata
from pathlib import Path
from typing import Any

import msgspec

from glossbath.errors import InputError
from glossbath.recipe import Recipe

from .columns import EVENTS, READINGS, table_schema
from .rows import clean
from .sheet import Sheet

FILE = "datapackage.json"
TABLES = {"readings": READINGS, "events": EVENTS}
RESULTS = ("complete", "stopped", "tripped")
CUT_SHORT = "cut short"
RUNNING = "running"
INCOMPLETE = "record incomplete"

_MOST_BYTES = 1 << 20
_PROFILE = "https://datapackage.org/profiles/2.0/datapackage.json"


class CycleHeader(msgspec.Struct, frozen=True):
    """What is known of a cycle when it begins."""

    rig: str
    virtual: bool
    engine: str
    """What runs the firmware."""
    board: str
    """Identity of the board."""
    firmware: str
    recipe: Recipe
    """As run."""
    started_ns: int
    """Nanoseconds since 1970 UTC."""
    batch_kg: float = 0.0
    lot: str = ""


class CycleFacts(msgspec.Struct, frozen=True):
    """The `cycle` property. Results and counts are empty as long as the end is not recorded."""

    rig: str
    virtual: bool
    engine: str
    board: str
    firmware: str
    software: str
    recipe: Recipe
    batch_kg: float
    lot: str
    started: str
    ended: str = ""
    result: str = ""
    rows: dict[str, int] = {}
    not_written: int = 0
    """Rows that could not be written, or were in files which someone took away."""


class Resource(msgspec.Struct, frozen=True):
    """What a reader needs to know of one file of the package."""

    name: str
    bytes: int | None = None
    hash: str = ""


class Package(msgspec.Struct, frozen=True):
    """As much of datapackage.json as a reader needs."""

    cycle: CycleFacts
    resources: tuple[Resource, ...] = ()


def facts_of(header: CycleHeader) -> CycleFacts:
    """The facts at the beginning; raises InputError for values that make no sense."""
    if not 0 <= header.started_ns < 1 << 63:
        raise InputError(
            f"The cycle's start is {header.started_ns} ns since 1970, but must be from 0 to "
            f"{(1 << 63) - 1} ns; set the computer's clock."
        )
    if not (math.isfinite(header.batch_kg) and header.batch_kg >= 0):
        raise InputError(
            f"The batch is {header.batch_kg} kg, but must be 0 kg or more; give its weight in kg."
        )
    return CycleFacts(
        rig=clean(header.rig),
        virtual=header.virtual,
        engine=clean(header.engine),
        board=clean(header.board),
        firmware=clean(header.firmware),
        software=f"glossbath {metadata.version('glossbath')}",
        recipe=header.recipe,
        batch_kg=header.batch_kg,
        lot=clean(header.lot),
        started=utc_text(header.started_ns),
    )


def package_text(name: str, facts: CycleFacts, sheets: Mapping[str, Sheet] | None = None) -> bytes:
    """The content of datapackage.json; sheets add size and digest of the finished files."""
    resources = []
    for table, columns in TABLES.items():
        resource: dict[str, Any] = {
            "name": table,
            "path": f"{table}.csv",
            "type": "table",
            "format": "csv",
            "mediatype": "text/csv",
            "encoding": "utf-8",
            "dialect": {"lineTerminator": "\n"},
            "schema": table_schema(columns),
        }
        if sheets is not None:
            resource["bytes"] = sheets[table].size
            resource["hash"] = f"sha256:{sheets[table].sha256()}"
        resources.append(resource)
    where = "a virtual rig: no chocolate was there" if facts.virtual else f"rig {facts.rig}"
    package = {
        "$schema": _PROFILE,
        "name": name.lower(),
        "title": f"Tempering cycle {facts.recipe.name}, {facts.started}",
        "description": f"Recorded on {where}.",
        "created": facts.started,
        "cycle": facts,
        "resources": resources,
    }
    return msgspec.json.format(msgspec.json.encode(package), indent=2) + b"\n"


def read_package(folder: Path) -> Package | str:
    """The package in the folder, or one sentence on why there is none to read."""
    try:
        with (folder / FILE).open("rb") as file:
            raw = file.read(_MOST_BYTES + 1)
    except OSError as error:
        return f"{FILE} cannot be read ({error.strerror}), so recipe, rig and result are unknown."
    if len(raw) > _MOST_BYTES:
        return f"{FILE} is longer than {_MOST_BYTES} bytes, so it is not read."
    try:
        return msgspec.json.decode(raw, type=Package)
    except (msgspec.DecodeError, UnicodeDecodeError):
        return f"{FILE} is cut or damaged, so recipe, rig and result are unknown."


def utc_text(wall_ns: int) -> str:
    """A moment as ISO 8601 in UTC, to the second."""
    moment = datetime.fromtimestamp(wall_ns // 1_000_000_000, UTC)
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")
