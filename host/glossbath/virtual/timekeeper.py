"""Virtual time for other processes: nobody's clock goes on before everybody has caught up.

A participant connects to a Unix socket and gets a line `tick NOW_MS WALL_MS SENT` for every step
of virtual time; it answers `done WRITTEN` when it has dealt with everything up to then. SENT is
how many bytes the board has put on the wire since the participant said `opened`, WRITTEN how many
it has put there itself, so neither side runs ahead of the cable.
"""

from __future__ import annotations

import contextlib
import socket
import time
from pathlib import Path

from .wire import AnyWire

_PATIENCE_S = 10.0  # a participant that is silent for longer is let go


class Timekeeper:
    """Serves virtual time. speed is simulated seconds per wall second, 0 for as fast as can be."""

    def __init__(self, path: Path, wire: AnyWire, speed: float) -> None:
        path.unlink(missing_ok=True)
        self._listener = socket.socket(socket.AF_UNIX)
        self._listener.bind(str(path))
        path.chmod(0o600)
        self._listener.listen()
        self._listener.setblocking(False)
        self._wire = wire
        self._guests: list[socket.socket] = []
        self.speed = speed
        self.written = 0
        self._epoch_ms = time.time_ns() // 1_000_000
        self._paced_ms = 0
        self._paced_at = time.monotonic()

    def close(self) -> None:
        """Let everybody go."""
        for guest in self._guests:
            guest.close()
        self._listener.close()

    def tick(self, now_ms: int) -> None:
        """Tell everybody the time and wait until all have answered."""
        with contextlib.suppress(BlockingIOError):
            guest, _ = self._listener.accept()
            guest.settimeout(_PATIENCE_S)
            self._guests.append(guest)
        line = b"tick %d %d %d\n" % (now_ms, self._epoch_ms + now_ms, self._wire.sent)
        for guest in list(self._guests):
            try:
                guest.sendall(line)
                self._hear_out(guest)
            except OSError:
                guest.close()
                self._guests.remove(guest)

    def _hear_out(self, guest: socket.socket) -> None:
        heard = b""
        while True:
            chunk = guest.recv(256)
            if not chunk:
                raise ConnectionResetError
            heard += chunk
            while b"\n" in heard:
                line, heard = heard.split(b"\n", 1)
                if line == b"opened":
                    self._wire.opened()
                    guest.sendall(b"ok\n")
                elif line.startswith(b"done "):
                    self.written = int(line[5:])
                    return

    def pace(self, now_ms: int) -> None:
        """Sleep until wall time has caught up with virtual time at the wanted speed."""
        if self.speed <= 0:
            self._paced_ms, self._paced_at = now_ms, time.monotonic()
            return
        due = self._paced_at + (now_ms - self._paced_ms) / 1000 / self.speed
        late = time.monotonic() - due
        if late < 0:
            time.sleep(-late)
        elif late > 1.0:
            self._paced_ms, self._paced_at = now_ms, time.monotonic()
