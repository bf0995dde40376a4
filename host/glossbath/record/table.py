"""Reads one of a cycle's tables, however it was cut or damaged.

A last line without its newline was cut by a power failure and is left out; so is any line that
does not have a cell for every column. What is left out is counted.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

from glossbath.errors import LogError

_LONGEST_LINE = 1 << 16


class Table:
    """The rows of a CSV file, by column name. Iterating raises LogError if the disk fails."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.damaged = 0
        """Lines left out since the last reading of the file began."""

    def __iter__(self) -> Iterator[dict[str, str]]:
        self.damaged = 0
        try:
            yield from self._rows()
        except FileNotFoundError:
            return
        except OSError as error:
            raise LogError(
                f"{self.path} cannot be read: {error.strerror}; check permissions and the disk."
            ) from error

    def _rows(self) -> Iterator[dict[str, str]]:
        names: list[str] = []
        for line in self._lines():
            cells = _cells(line)
            if cells is None or (names and len(cells) != len(names)):
                self.damaged += 1
            elif not names:
                names = cells
            else:
                yield dict(zip(names, cells, strict=True))

    def _lines(self) -> Iterator[bytes]:
        with self.path.open("rb") as file:
            inside = False  # within a line too long to be one of ours
            while line := file.readline(_LONGEST_LINE):
                if not line.endswith(b"\n"):
                    self.damaged += not inside
                    inside = True
                elif inside:
                    inside = False
                else:
                    yield line


def _cells(line: bytes) -> list[str] | None:
    try:
        text = line.decode().rstrip("\r\n")
        if "\0" in text:
            return None  # what some file systems put where a power cut lost the data
        return next(csv.reader([text], strict=True)) if '"' in text else text.split(",")
    except (UnicodeDecodeError, csv.Error):
        return None
