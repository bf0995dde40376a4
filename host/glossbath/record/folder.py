"""One cycle's folder on the disk, written by one thread.

Every method may raise OSError. After that the folder must be closed and opened again: opening
starts from what is really there, and makes the folder anew if someone took it away.
"""

from __future__ import annotations

import re
import shutil
import unicodedata
import uuid
from pathlib import Path

import msgspec

from .package import FILE, TABLES, CycleHeader, Facts, facts_of, package_text
from .rows import heading
from .sheet import Sheet, flush_folder, replace_file

VIRTUAL_MARK = "virtual"


class CycleFolder:
    """The files of one cycle."""

    def __init__(self, path: Path, facts: Facts) -> None:
        self.path = path
        self._facts = facts
        self._sheets = {
            name: Sheet(path / f"{name}.csv", heading(columns)) for name, columns in TABLES.items()
        }
        self._is_open = False

    @property
    def rows(self) -> int:
        """Rows in all tables, as far as known."""
        return sum(sheet.rows for sheet in self._sheets.values())

    def open(self) -> None:
        """Make what is not there yet; does nothing while the folder is open."""
        if self._is_open:
            return
        # Without parents: an unplugged disk must not become a folder on another one.
        self.path.mkdir(exist_ok=True)
        if not (self.path / FILE).exists():
            replace_file(self.path / FILE, package_text(self.path.name, self._facts))
        for sheet in self._sheets.values():
            sheet.open()
            sheet.sync()
        flush_folder(self.path)
        flush_folder(self.path.parent)
        self._is_open = True

    def append(self, table: str, lines: list[bytes]) -> None:
        """Add lines to a table."""
        self._sheets[table].append(lines)

    def sync(self) -> None:
        """Wait until the disk has everything; notices when the files were taken away."""
        for sheet in self._sheets.values():
            sheet.sync()

    def end(self, result: str, ended: str, not_written: int) -> None:
        """Record how the cycle ended, with counts and digests of both tables."""
        facts = msgspec.structs.replace(
            self._facts,
            result=result,
            ended=ended,
            rows={name: sheet.rows for name, sheet in self._sheets.items()},
            not_written=not_written,
        )
        replace_file(self.path / FILE, package_text(self.path.name, facts, self._sheets))

    def close(self) -> None:
        """Let go of the files."""
        self._is_open = False
        for sheet in self._sheets.values():
            sheet.close()


def new_folder(parent: Path, header: CycleHeader) -> CycleFolder:
    """A folder of its own for a new cycle, opened; raises OSError or InputError."""
    facts = facts_of(header)
    parent.mkdir(parents=True, exist_ok=True)
    while True:
        path = parent / _name(facts)
        try:
            path.mkdir()
        except FileExistsError:
            continue  # another cycle of the same second drew the same id
        folder = CycleFolder(path, facts)
        try:
            folder.open()
        except OSError:
            folder.close()
            shutil.rmtree(path, ignore_errors=True)
            raise
        return folder


def _name(facts: Facts) -> str:
    moment = facts.started.replace("T", "_").replace(":", "-").removesuffix("Z")
    ascii_name = unicodedata.normalize("NFKD", facts.recipe.name).encode("ascii", "ignore")
    slug = re.sub(r"[^a-z0-9]+", "-", ascii_name.decode().lower()).strip("-")[:30] or "recipe"
    mark = [VIRTUAL_MARK] if facts.virtual else []
    return "_".join([moment, "utc", slug, *mark, uuid.uuid4().hex[:4]])
