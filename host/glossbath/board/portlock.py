"""An advisory lock on a serial port, so that a second program says who has it.

A lock file as the Filesystem Hierarchy Standard 3.0 (5.9, /var/lock) describes it: named after the
device, holding the process identifier as ten characters and a newline, readable by everybody. The
lock itself is flock(2) on that file, which the system takes away with the process that holds it,
so that a file left behind locks nothing.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import tempfile
from pathlib import Path

_FHS = Path("/run/lock")


def _folder() -> Path:
    return _FHS if os.access(_FHS, os.W_OK) else Path(tempfile.gettempdir())


class PortLock:
    """The lock of one port; owner says in a word or two who holds it. URLs are not locked: what
    is behind them may well take several."""

    def __init__(self, port: str, owner: str) -> None:
        device = os.path.realpath(port)
        self._port = port
        self._owner = owner
        self._fd = -1
        self._path = None
        if "://" not in port:
            name = device.removeprefix("/dev/").replace("/", "-")
            self._path = _folder() / f"LCK..{name}"

    def take(self) -> str:
        """Lock the port; empty when it is locked, else a sentence on who holds it. A folder that
        takes no lock file is no reason not to work: the port's own exclusive mode remains."""
        if self._path is None or self._fd >= 0:
            return ""
        try:
            self._fd = self._locked(self._path)
        except BlockingIOError:
            return f"The port {self._port} is held by {_holder(self._path)}."
        except OSError:
            return ""
        return ""

    def _locked(self, path: Path) -> int:
        while True:
            fd = os.open(path, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW | os.O_CLOEXEC, 0o644)
            try:
                fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
                if _is_still(path, fd):
                    os.ftruncate(fd, 0)
                    os.pwrite(fd, f"{os.getpid():10d}\n{self._owner}\n".encode(), 0)
                    return fd
            except BaseException:
                os.close(fd)
                raise
            os.close(fd)  # its holder took it away in between: there is another file now

    def release(self) -> None:
        """Let others have the port."""
        if self._fd >= 0 and self._path is not None:
            with contextlib.suppress(OSError):
                self._path.unlink()
            os.close(self._fd)
            self._fd = -1


def _is_still(path: Path, fd: int) -> bool:
    try:
        return os.path.samestat(os.stat(path), os.fstat(fd))
    except FileNotFoundError:
        return False


def _holder(path: Path) -> str:
    try:
        pid, _, owner = path.read_text(errors="replace").strip().partition("\n")
    except OSError:
        return "another program"
    who = owner if owner.isprintable() and owner else "another program"
    return f"{who} (process {pid.strip()})" if pid.strip().isdigit() else who
