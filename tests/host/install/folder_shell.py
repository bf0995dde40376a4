"""A shell on a board whose file system is a folder here, without a line."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

from glossbath.install.shell import Shell

from .pty_board import PICO


class Cut(Exception):
    """The cable was pulled."""


class FolderShell(Shell):
    """Breaks after so many changes to files; a write that is cut leaves half of the file."""

    def __init__(self, flash: Path, changes: int = 10_000) -> None:
        self.flash = flash
        self.changes = changes
        self.restarted = False

    def ask(self, expression: str) -> Any:
        if "statvfs" in expression:
            return (4096, 4096, 200, 200)
        if "_machine" in expression:
            return PICO
        return 0x0306 if "_mpy" in expression else ("micropython", (1, 29, 0))

    def exists(self, path: str) -> bool:
        return (self.flash / path).exists()

    def names(self, path: str) -> list[str]:
        return [entry.name for entry in (self.flash / path).iterdir()]

    def is_folder(self, path: str) -> bool:
        return (self.flash / path).is_dir()

    def sha256(self, path: str) -> bytes:
        return hashlib.sha256(self.read(path)).digest()

    def read(self, path: str) -> bytes:
        return (self.flash / path).read_bytes()

    def _change(self) -> None:
        if self.changes == 0:
            raise Cut
        self.changes -= 1

    def make_folder(self, path: str) -> None:
        if not self.exists(path):
            self._change()
            (self.flash / path).mkdir()

    def write(self, path: str, data: bytes) -> None:
        if self.changes == 0:
            (self.flash / path).write_bytes(data[: len(data) // 2])
        self._change()
        (self.flash / path).write_bytes(data)

    def rename(self, old: str, new: str) -> None:
        self._change()
        (self.flash / old).replace(self.flash / new)

    def remove(self, path: str) -> None:
        if self.is_folder(path):
            for name in sorted(self.names(path)):
                self.remove(f"{path}/{name}")
            self._change()
            (self.flash / path).rmdir()
        else:
            self._change()
            (self.flash / path).unlink()

    def restart(self) -> None:
        self._change()
        self.restarted = True
