"""One CSV file of a cycle that only grows, and only by whole lines.

Every method may raise OSError. After that the sheet must be closed and opened again. A line that
the disk cut short is taken away, at once or else when opening, so that the file stays a table.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import sys
from pathlib import Path

_CHUNK_BYTES = 1 << 20
_FLAGS = os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0)


class Sheet:
    """Appends lines to path, counts and digests them. heading is the file's first line."""

    def __init__(self, path: Path, heading: bytes) -> None:
        self.path = path
        self.size = 0
        """Bytes in the file."""
        self._heading = heading
        self._lines = 0
        self._digest = hashlib.sha256()
        self._file = -1

    @property
    def rows(self) -> int:
        """Whole lines in the file, without the heading."""
        return max(0, self._lines - 1)

    def open(self) -> None:
        """Open or make the file and take stock of the whole lines in it."""
        self._file = os.open(self.path, _FLAGS, 0o600)
        self._lines, self.size, self._digest = 0, 0, hashlib.sha256()
        rest = b""
        while chunk := os.read(self._file, _CHUNK_BYTES):
            whole, newline, tail = (rest + chunk).rpartition(b"\n")
            self._count(whole + newline)
            rest = tail
        if rest:
            os.ftruncate(self._file, self.size)
        if not self.size:
            self._write(self._heading)

    def append(self, lines: list[bytes]) -> None:
        """Write the lines, in one write when the disk lets it; each ends with a newline."""
        if lines:
            self._write(b"".join(lines))

    def sync(self) -> None:
        """Wait until the disk has it. Raises FileNotFoundError if path no longer is this file."""
        flush(self._file)
        if not (self.path.exists() and os.path.samestat(os.fstat(self._file), self.path.stat())):
            raise FileNotFoundError(errno.ENOENT, "the folder was removed or renamed")

    def close(self) -> None:
        """Let go of the file; open may be called again."""
        file, self._file = self._file, -1
        if file >= 0:
            # What a failing disk has to say was said by write and sync.
            with contextlib.suppress(OSError):
                os.close(file)

    def sha256(self) -> str:
        """Hex digest of the file's bytes."""
        return self._digest.hexdigest()

    def _write(self, data: bytes) -> None:
        written = 0
        try:
            while written < len(data):
                written += os.write(self._file, data[written:])
        except OSError:
            written = data.rfind(b"\n", 0, written) + 1
            with contextlib.suppress(OSError):
                os.ftruncate(self._file, self.size + written)
            raise
        finally:
            self._count(data[:written])

    def _count(self, lines: bytes) -> None:
        self._lines += lines.count(b"\n")
        self.size += len(lines)
        self._digest.update(lines)


if sys.platform == "darwin":
    import fcntl

    def flush(file: int) -> None:
        """Wait until the disk has what was written to the open file."""
        # On macOS fsync alone stops at the drive's cache.
        fcntl.fcntl(file, fcntl.F_FULLFSYNC)

else:

    def flush(file: int) -> None:
        """Wait until the disk has what was written to the open file."""
        os.fsync(file)


def flush_folder(folder: Path) -> None:
    """Wait until the disk has the folder's list of files; Windows has no such call."""
    if os.name != "nt":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def replace_file(path: Path, content: bytes) -> None:
    """Give path new content at once: after a power cut it has the old or the new, never half."""
    fresh = path.with_name(path.name + ".new")
    handle = os.open(fresh, _FLAGS & ~os.O_APPEND | os.O_TRUNC, 0o600)
    try:
        view = memoryview(content)
        while view:
            view = view[os.write(handle, view) :]
        flush(handle)
    finally:
        os.close(handle)
    os.replace(fresh, path)
    flush_folder(path.parent)
