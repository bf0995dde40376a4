"""One cycle's folder on the disk, written by one thread.

Every method may raise OSError. After that the folder must be closed and opened again: opening
starts from what is really there, and makes the folder anew if someone took it away.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import re
import shutil
import unicodedata
import uuid
from pathlib import Path

import msgspec

from .package import FILE, TABLES, CycleFacts, CycleHeader, facts_of, package_text
from .rows import heading
from .sheet import Sheet, flush_folder, replace_file

VIRTUAL_MARK = "virtual"
_RESERVES = (".reserve-1", ".reserve-2")
_RESERVE_BYTES = 11_000
"""Room for the last events and for the end in datapackage.json, kept from the beginning on: a
cycle that completes on a full disk is still recorded as complete."""


class CycleFolder:
    """The files of one cycle."""

    def __init__(self, path: Path, facts: CycleFacts) -> None:
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
        self.path.mkdir(exist_ok=True, mode=0o700)
        if not (self.path / FILE).exists():
            replace_file(self.path / FILE, package_text(self.path.name, self._facts))
            self._reserve_room()
        for sheet in self._sheets.values():
            sheet.open()
            sheet.sync()
        flush_folder(self.path)
        flush_folder(self.path.parent)
        self._is_open = True

    def _reserve_room(self) -> None:
        for name in _RESERVES:
            # Random, so that no file system makes a hole or a few bytes of it.
            replace_file(self.path / name, os.urandom(_RESERVE_BYTES))

    def use_reserve(self) -> None:
        """Give up the room that was kept: the end is about to be written."""
        for name in _RESERVES:
            (self.path / name).unlink(missing_ok=True)

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
        self.use_reserve()
        replace_file(self.path / FILE, package_text(self.path.name, facts, self._sheets))

    def close(self) -> None:
        """Let go of the files."""
        self._is_open = False
        for sheet in self._sheets.values():
            sheet.close()


def new_folder(parent: Path, header: CycleHeader) -> CycleFolder:
    """A folder of its own for a new cycle, opened; raises OSError or InputError."""
    facts = facts_of(header)
    parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    while True:
        path = parent / _name(facts)
        try:
            path.mkdir(mode=0o700)
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


def _name(facts: CycleFacts) -> str:
    moment = facts.started.replace("T", "_").replace(":", "-").removesuffix("Z")
    ascii_name = unicodedata.normalize("NFKD", facts.recipe.name).encode("ascii", "ignore")
    slug = re.sub(r"[^a-z0-9]+", "-", ascii_name.decode().lower()).strip("-")[:30] or "recipe"
    mark = [VIRTUAL_MARK] if facts.virtual else []
    return "_".join([moment, "utc", slug, *mark, uuid.uuid4().hex[:4]])


def claim(folder: Path) -> int:
    """Mark a folder as that of a running cycle, until the descriptor is closed or the process
    ends; -1 where the file system takes no locks."""
    try:
        fd = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    except OSError:
        return -1
    with contextlib.suppress(OSError):
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
    return fd


def claimed(folder: Path) -> bool:
    """Whether a running cycle is being recorded in a folder."""
    try:
        fd = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    except OSError:
        return False
    try:
        fcntl.flock(fd, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    except OSError:
        return False
    finally:
        os.close(fd)
    return False
