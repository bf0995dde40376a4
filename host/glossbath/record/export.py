"""A cycle's readings as one file for other programs."""

from __future__ import annotations

import csv
from pathlib import Path

from glossbath.errors import InputError, LogError

from .columns import READINGS
from .cycle import PastCycle, open_cycle

_SUFFIXES = (".csv", ".parquet")


def export_readings(folder: Path, out: Path) -> int:
    """Write the readings to out and return how many; its ending says which format.

    Raises InputError for another ending or where Parquet needs pandas, LogError if out cannot be
    written.
    """
    if out.suffix not in _SUFFIXES:
        raise InputError(f"{out.name} must end in .csv or .parquet: give it such a name.")
    if out.exists():
        raise InputError(f"{out} exists already: choose another name.")
    cycle = open_cycle(folder)
    try:
        return _csv(cycle, out) if out.suffix == ".csv" else _parquet(cycle, out)
    except OSError as error:
        raise LogError(f"{out} cannot be written: {error.strerror}.") from error


def _csv(cycle: PastCycle, out: Path) -> int:
    count = 0
    with out.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow([column.name for column in READINGS])
        for row in cycle.rows():
            writer.writerow([row.get(column.name, "") for column in READINGS])
            count += 1
    return count


def _parquet(cycle: PastCycle, out: Path) -> int:
    try:
        import pandas
    except ImportError as error:
        raise InputError("Parquet needs pandas: install it with pip, or use .csv.") from error
    columns = cycle.columns(*(column.name for column in READINGS))
    frame = pandas.DataFrame(columns)
    try:
        frame.to_parquet(out)
    except ImportError as error:
        raise InputError("Parquet needs pyarrow: install it with pip, or use .csv.") from error
    return len(frame)
