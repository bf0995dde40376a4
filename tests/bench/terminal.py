"""A program on a terminal of its own, and what it costs."""

from __future__ import annotations

import contextlib
import fcntl
import os
import re
import struct
import subprocess
import sys
import termios
import threading
from pathlib import Path

TICKS_PER_S = os.sysconf("SC_CLK_TCK")
ESCAPES = re.compile(rb"\x1b\[[0-9;?]*[a-zA-Z]|\x1b[()][A-Z0-9]")


class Terminal:
    """Runs `glossbath` with some words on a pseudo-terminal of a size in cells; start is another
    program in its place."""

    def __init__(
        self,
        words: list[str],
        size: tuple[int, int],
        environment: dict[str, str],
        start: str = "from glossbath.cli.app import main; main()",
    ) -> None:
        self._master, slave = os.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        self.process = subprocess.Popen(
            [sys.executable, "-c", start, *words],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            start_new_session=True,
            env={**os.environ, "TERM": "xterm-256color", **environment},
        )
        os.close(slave)
        self._said = b""
        self._changed = threading.Condition()
        self._thread = threading.Thread(target=self._listen, daemon=True)
        self._thread.start()

    def _listen(self) -> None:
        with contextlib.suppress(OSError):
            while data := os.read(self._master, 65536):
                with self._changed:
                    self._said = (self._said + data)[-200_000:]
                    self._changed.notify_all()

    def press(self, key: str) -> None:
        """Send a key."""
        os.write(self._master, key.encode())

    def forget(self) -> None:
        """Forget what was written so far."""
        with self._changed:
            self._said = b""

    def shows(self, words: str, timeout_s: float = 60.0) -> None:
        """Wait until some words have been written to the terminal."""
        wanted = words.encode()
        with self._changed:
            found = self._changed.wait_for(
                lambda: wanted in ESCAPES.sub(b"", self._said), timeout_s
            )
        if not found:
            raise AssertionError(f"the screen never showed {words!r}")

    def close(self) -> None:
        """End the program."""
        self.process.kill()
        self.process.wait()
        os.close(self._master)


def cpu_s(pid: int) -> float:
    """CPU time that a process has used, in s (proc(5): utime and stime)."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS_PER_S


def rss_mb(pid: int) -> float:
    """Resident memory of a process in MB of 10**6 bytes."""
    status = Path(f"/proc/{pid}/status").read_text()
    found = re.search(r"VmRSS:\s+(\d+) kB", status)
    assert found is not None
    return int(found[1]) * 1024 / 1e6
