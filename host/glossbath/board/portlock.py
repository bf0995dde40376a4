"""An advisory lock on a serial port, so that a second program says who has it.

A lock file as the Filesystem Hierarchy Standard 3.0 (5.9, /var/lock) describes it: named after the
device, holding the process identifier as ten characters and a newline, readable by everybody. The
lock itself is flock(2) on that file, which the system takes away with the process that holds it,
so that a file left behind locks nothing.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from glossbath.client.locks import lock_file, unlock

_FHS = Path("/run/lock")


def _folder() -> Path:
    return _FHS if os.access(_FHS, os.W_OK) else Path(tempfile.gettempdir())


class PortLock:
    """The lock of one port; owner says in a word or two who holds it. URLs are not locked: what
    is behind them may well take several."""

    def __init__(self, port: str, owner: str) -> None:
        self._port = port
        self._owner = owner
        self._fd = -1
        self._path = Path()

    def take(self) -> str:
        """Lock the port; empty when it is locked, else a sentence on who holds it. A folder that
        takes no lock file is no reason not to work: the port's own exclusive mode remains."""
        if "://" in self._port or self._fd >= 0:
            return ""
        # Looked up anew: what is plugged in again may have another name behind the same link.
        device = os.path.realpath(self._port).removeprefix("/dev/").replace("/", "-")
        self._path = _folder() / f"LCK..{device}"
        try:
            # For everybody to read: it says who has the port.
            self._fd = lock_file(self._path, f"{os.getpid():10d}\n{self._owner}\n", 0o644)
        except BlockingIOError:
            return f"The port {self._port} is held by {_holder(self._path)}."
        except OSError:
            return ""
        return ""

    def release(self) -> None:
        """Let others have the port."""
        if self._fd >= 0:
            unlock(self._path, self._fd)
            self._fd = -1


def _holder(path: Path) -> str:
    try:
        pid, _, owner = path.read_text(errors="replace").strip().partition("\n")
    except OSError:
        return "another program"
    who = owner if owner.isprintable() and owner else "another program"
    return f"{who} (process {pid.strip()})" if pid.strip().isdigit() else who
