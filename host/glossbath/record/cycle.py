"""Opens the folder of a past cycle, whole or cut at any byte of any file."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec

from glossbath.client.messages import Event, Reading
from glossbath.errors import LogError

from . import summary
from .columns import READINGS
from .package import FILE, TABLES, CycleFacts, Package, read_package
from .rows import event_from, number, reading_from
from .table import Table

if TYPE_CHECKING:
    from numpy.typing import NDArray

_OFTEN = (
    "time_s",
    "chocolate_c",
    "bath_c",
    "heat_share",
    "chill_share",
    "stir_share",
    "room_c",
    "room_rh_percent",
    "state",
    "phase",
    "phase_index",
)
"""What a report asks for, part by part; read together, since a day of readings takes a while."""
_NUMERIC = {column.name for column in READINGS if column.type in ("number", "integer")}


class PastCycle:
    """A past cycle. What is wrong with its files stands in `problems`, one sentence each."""

    def __init__(self, folder: Path, facts: CycleFacts | None, problems: tuple[str, ...]) -> None:
        self.folder = folder
        self.facts = facts
        """What datapackage.json says, None when it cannot be read."""
        self.problems = problems
        self._readings = Table(folder / "readings.csv")
        self._events = Table(folder / "events.csv")
        self._columns: dict[str, NDArray[Any]] = {}

    @property
    def result(self) -> str:
        """complete, stopped, tripped, running, or cut short when no end was recorded."""
        return summary.result_of(self.folder, self.facts)

    @property
    def virtual(self) -> bool | None:
        """Whether a virtual rig made it; None when nothing in the folder says."""
        if self.facts is not None:
            return self.facts.virtual
        word = next(iter(self._readings), {}).get("virtual") or next(iter(self._events), {}).get(
            "virtual"
        )
        return {"true": True, "false": False}.get(word or "", summary.virtual_by_name(self.folder))

    def readings(self) -> Iterator[Reading]:
        """The readings, oldest first; lines that make no sense are left out."""
        for row in self._readings:
            try:
                yield reading_from(row)
            except (ValueError, KeyError):
                self._readings.damaged += 1

    def rows(self) -> Iterator[dict[str, str]]:
        """The lines of readings.csv as they are, oldest first, by column name."""
        return iter(self._readings)

    def events(self) -> list[Event]:
        """The events, oldest first; lines that make no sense are left out."""
        events = []
        for row in self._events:
            try:
                events.append(event_from(row))
            except (ValueError, KeyError, msgspec.MsgspecError):
                self._events.damaged += 1
        return events

    def columns(self, *names: str) -> dict[str, NDArray[Any]]:
        """Columns of readings.csv as arrays of one length: numbers as float with nan where empty,
        other columns as text. What was read once is kept. Raises LogError for a name that
        readings.csv has not."""
        unknown = [name for name in names if name not in {column.name for column in READINGS}]
        if unknown:
            raise LogError(f"readings.csv has no column {unknown[0]!r}; use one of its columns.")
        if not self._columns.keys() >= set(names):
            self._columns = self._read_columns(sorted({*self._columns, *_OFTEN, *names}))
        return {name: self._columns[name].copy() for name in names}

    def _read_columns(self, names: list[str]) -> dict[str, NDArray[Any]]:
        import numpy as np

        cells: dict[str, list[Any]] = {name: [] for name in names}
        for row in self._readings:
            for name in names:
                cell = row.get(name, "")
                cells[name].append(_number_or_nan(cell) if name in _NUMERIC else cell)
        return {
            name: np.array(values, dtype=float if name in _NUMERIC else str)
            for name, values in cells.items()
        }

    def summary(self) -> dict[str, Any]:
        """The cycle in brief, in plain values that JSON can carry:

        what `list_cycles` tells of it, with `readings` counted in the file; `phases`, each with
        name, start_s, end_s (its first and last reading) and min_c, max_c, mean_c of the
        chocolate (None where the probe had no good value); `trips`, each with time_s, code and
        text; `damaged` lines; `problems`.
        """
        phases, readings = summary.phases_of(self.readings())
        trips = [event for event in self.events() if event.kind == "trip"]
        return {
            **summary.brief(self.folder, self.facts),
            "result": self.result,
            "virtual": self.virtual,
            "readings": readings,
            "phases": phases,
            "trips": [
                {"time_s": trip.time_s, "code": trip.code, "text": trip.text} for trip in trips
            ],
            "damaged": self._readings.damaged + self._events.damaged,
            "problems": list(self.problems),
        }


def open_cycle(folder: str | os.PathLike[str]) -> PastCycle:
    """The cycle in that folder; raises LogError when it is not the folder of one."""
    path = Path(folder)
    try:
        names = {entry.name for entry in path.iterdir()}
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise LogError(
            f"{path} cannot be opened: {reason}; give the folder of a cycle."
        ) from error
    if not names & {FILE, *(f"{table}.csv" for table in TABLES)}:
        raise LogError(f"{path} is not the folder of a cycle; it should contain readings.csv.")
    package = read_package(path)
    if isinstance(package, str):
        return PastCycle(path, None, (package, *_missing(names)))
    return PastCycle(path, package.cycle, (*_missing(names), *_changed(path, package)))


def _missing(names: set[str]) -> list[str]:
    return [f"{table}.csv is missing." for table in TABLES if f"{table}.csv" not in names]


def _changed(folder: Path, package: Package) -> list[str]:
    problems = []
    for resource in package.resources:
        path = folder / f"{resource.name}.csv"
        if resource.name not in TABLES or not resource.hash or not path.exists():
            continue
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
        if resource.hash != f"sha256:{digest}":
            problems.append(
                f"{path.name} was changed or cut after the cycle ended: it has "
                f"{path.stat().st_size} bytes, recorded were {resource.bytes} bytes."
            )
    return problems


def _number_or_nan(cell: str) -> float:
    try:
        return number(cell)
    except ValueError:
        return float("nan")
