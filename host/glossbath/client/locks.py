"""A lock file that one process holds and the system takes away with it: flock(2)."""

from __future__ import annotations

import contextlib
import fcntl
import os
from pathlib import Path


def lock_file(path: Path, content: str, mode: int = 0o600) -> int:
    """Hold path, write content into it, and give its descriptor: to be closed by `unlock`.

    Raises BlockingIOError when another process (or another opening in this one) holds it, and
    OSError when the file cannot be made.
    """
    while True:
        fd = os.open(path, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW | os.O_CLOEXEC, mode)
        try:
            fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
            if _is_still(path, fd):
                os.ftruncate(fd, 0)
                os.pwrite(fd, content.encode(), 0)
                return fd
        except BaseException:
            os.close(fd)
            raise
        os.close(fd)  # its holder took it away in between: there is another file now


def unlock(path: Path, fd: int) -> None:
    """Let others have it; what lies at path is removed only if it is the file that was held."""
    if _is_still(path, fd):
        with contextlib.suppress(OSError):
            path.unlink()
    os.close(fd)


def _is_still(path: Path, fd: int) -> bool:
    try:
        return os.path.samestat(os.lstat(path), os.fstat(fd))
    except OSError:
        return False
