"""Reads columns of numbers from a CSV file with a header line, such as a cycle's readings."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

from glossbath.errors import InputError, quoted


def rows(path: Path, needed: tuple[str, ...]) -> list[dict[str, str]]:
    """Rows of a CSV file as name to text. Raises InputError when it cannot be used."""
    try:
        with path.open(newline="", encoding="utf-8-sig") as file:
            reader = csv.DictReader(file)
            names = reader.fieldnames or []
            missing = [name for name in needed if name not in names]
            if missing:
                raise InputError(_without(path, missing[0], names))
            return list(reader)
    except FileNotFoundError:
        raise InputError(f"There is no file {path}.") from None
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise InputError(f"{path} cannot be read as a CSV file: {_reason(error)}.") from None


def _without(path: Path, column: str, names: Sequence[str]) -> str:
    said = ", ".join(quoted(name)[1:-1] for name in names[:12]) or "nothing"
    more = ", …" if len(names) > 12 else ""
    # How a spreadsheet saves where the comma stands in numbers.
    if len(names) == 1 and ";" in names[0]:
        more = "; save it with commas between the columns and points in the numbers"
    return f"{path} has no column '{column}': its header line names {said}{more}."


def _reason(error: OSError | UnicodeDecodeError | csv.Error) -> str:
    if isinstance(error, UnicodeDecodeError):
        return f"byte {error.start + 1} is no UTF-8 text; save it as CSV in UTF-8"
    if isinstance(error, OSError):
        return error.strerror or str(error)
    return str(error)


def heads(path: Path) -> list[str]:
    """The names of a CSV file's columns; empty when there is no such file or it has none."""
    try:
        with path.open(newline="", encoding="utf-8-sig") as file:
            return next(csv.reader(file), [])
    except (OSError, UnicodeDecodeError, csv.Error):
        return []


def numbers(path: Path, names: tuple[str, ...]) -> list[list[float]]:
    """The named columns as lists of numbers; rows with an empty cell in them are left out.

    Raises InputError.
    """
    columns: list[list[float]] = [[] for _ in names]
    for line, row in enumerate(rows(path, names), start=2):
        cells = [row[name] or "" for name in names]
        if not all(cell.strip() for cell in cells):
            continue
        for column, name, cell in zip(columns, names, cells, strict=True):
            column.append(number(path, line, name, cell))
    return columns


def numbers_or_none(path: Path, names: tuple[str, ...]) -> list[list[float | None]]:
    """The named cells of each row as numbers, None where a cell is empty. Raises InputError."""
    return [
        [
            number(path, line, name, row[name]) if (row[name] or "").strip() else None
            for name in names
        ]
        for line, row in enumerate(rows(path, names), start=2)
    ]


def number(path: Path, line: int, name: str, cell: str) -> float:
    """One cell as a number. Raises InputError."""
    try:
        return float(cell)
    except ValueError:
        raise InputError(
            f"{path}, line {line}: {quoted(cell)} in column '{name}' is not a number."
        ) from None


def yes(path: Path, line: int, name: str, cell: str) -> bool:
    """One cell as yes or no. Raises InputError."""
    word = cell.strip().lower()
    if word in ("yes", "true", "good", "1"):
        return True
    if word in ("no", "false", "bad", "0"):
        return False
    raise InputError(f"{path}, line {line}: {quoted(cell)} in column '{name}' must be yes or no.")
