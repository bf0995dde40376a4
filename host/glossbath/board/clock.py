"""Time for the keeper: the computer's own, or steps of virtual time given by a virtual rig.

Both have the same two calls, so the keeper runs one code path. Times are ms on a clock that never
goes back; wall times are UTC.
"""

from __future__ import annotations

import socket
import sys
import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Protocol

from glossbath.errors import KeeperError

STEP_MS = 100


class Clock(Protocol):
    """Where a keeper's time comes from."""

    virtual: bool

    def now_ms(self) -> int:
        """ms since some moment, never going back."""
        ...

    def wall_ns(self) -> int:
        """UTC in ns since 1970."""
        ...

    def system_ns(self) -> int:
        """The same as the system has it, which anybody may set."""
        ...

    def take_date(self) -> None:
        """Something begins that a person will look for by its date: virtual time, which may have
        run far ahead, goes on from the computer's own."""
        ...

    def boot_ms(self) -> int:
        """ms since some moment, going on while the computer sleeps."""
        ...

    def wait(self, caught_up: Callable[[int], None], written: Callable[[], int]) -> None:
        """Sleep until the keeper's next step.

        caught_up(n) is to return once n bytes of the board have been received; written() is how
        many bytes were sent to it. Only virtual time asks.
        """
        ...

    def opened(self) -> None:
        """The port has just been opened and nothing has been read from it."""
        ...

    def wake(self) -> None:
        """Let a wait end early, from any thread."""
        ...


def iso(wall_ns: int) -> str:
    """UTC as ISO 8601 with milliseconds."""
    moment = datetime.fromtimestamp(wall_ns / 1e9, UTC)
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")


class RealClock:
    """The computer's own clocks."""

    virtual = False

    def __init__(self) -> None:
        self._wake = threading.Event()

    def now_ms(self) -> int:
        return time.monotonic_ns() // 1_000_000

    def wall_ns(self) -> int:
        return time.time_ns()

    def system_ns(self) -> int:
        return time.time_ns()

    def take_date(self) -> None:
        pass

    def boot_ms(self) -> int:
        # Linux's monotonic clock stands still in suspend, CLOCK_BOOTTIME does not (PEP 418).
        if sys.platform == "linux":
            return time.clock_gettime_ns(time.CLOCK_BOOTTIME) // 1_000_000
        return time.monotonic_ns() // 1_000_000

    def wait(self, caught_up: Callable[[int], None], written: Callable[[], int]) -> None:
        self._wake.wait(STEP_MS / 1000)
        self._wake.clear()

    def opened(self) -> None:
        pass

    def wake(self) -> None:
        self._wake.set()


class SteppedClock:
    """Virtual time from a rig's clock socket. Raises KeeperError when the rig has gone."""

    virtual = True

    def __init__(self, path: Path) -> None:
        self._socket = socket.socket(socket.AF_UNIX)
        try:
            self._socket.connect(str(path))
        except OSError as error:
            self._socket.close()
            raise KeeperError(f"The virtual rig's clock {path} does not answer.") from error
        self._heard = b""
        self._now_ms = 0
        self._wall_ms = time.time_ns() // 1_000_000
        self._ahead_ms = 0
        self._in_step = False

    def close(self) -> None:
        """Let the rig's time go on without us."""
        self._socket.close()

    def now_ms(self) -> int:
        return self._now_ms

    def wall_ns(self) -> int:
        return (self._wall_ms - self._ahead_ms) * 1_000_000

    def system_ns(self) -> int:
        return self._wall_ms * 1_000_000

    def take_date(self) -> None:
        self._ahead_ms = self._wall_ms - time.time_ns() // 1_000_000

    def boot_ms(self) -> int:
        return self._now_ms

    def wait(self, caught_up: Callable[[int], None], written: Callable[[], int]) -> None:
        if self._in_step:
            self._say(b"done %d\n" % written())
        caught_up(self._next())

    def opened(self) -> None:
        if not self._in_step:
            self._next()
        self._say(b"opened\n")
        self._line()

    def wake(self) -> None:
        pass

    def _next(self) -> int:
        words = self._line().split()
        self._in_step = True
        self._now_ms, self._wall_ms = int(words[1]), int(words[2])
        return int(words[3])

    def _say(self, line: bytes) -> None:
        try:
            self._socket.sendall(line)
        except OSError as error:
            raise KeeperError("The virtual rig has gone.") from error

    def _line(self) -> bytes:
        while b"\n" not in self._heard:
            try:
                chunk = self._socket.recv(4096)
            except OSError as error:
                raise KeeperError("The virtual rig has gone.") from error
            if not chunk:
                raise KeeperError("The virtual rig has gone.")
            self._heard += chunk
        line, self._heard = self._heard.split(b"\n", 1)
        return line
