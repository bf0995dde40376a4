"""A cable and a link inside one process: no pseudo-terminal, no reader thread, no waiting.

For runs that ask nothing of the port itself. Frames, decoder and everything above are the real
ones; a fault of the cable is put on the bytes as on the real wire.
"""

from __future__ import annotations

from typing import Any

from glossbath.board.clock import Clock
from glossbath.board.link import Link
from glossbath.virtual.wire import Mangle
from glossbath_board.frame import encode


def _as_is(data: bytes) -> bytes:
    return data


class FastWire:
    """A cable with both ends here; the attributes that the virtual rig's other wires have."""

    port = "memory"

    def __init__(self) -> None:
        self.plugged = True
        self.sent = 0
        self.received = 0
        self.to_host: Mangle = _as_is
        self.to_board: Mangle = _as_is
        self._for_host = bytearray()
        self._for_board = bytearray()

    def plug(self) -> None:
        """Plug the cable in."""
        self.plugged = True

    def unplug(self) -> None:
        """Pull it out: what was on its way is lost."""
        self.plugged = False
        self._for_host.clear()
        self._for_board.clear()

    close = unplug

    def opened(self) -> None:
        """A host has opened the port: what came before is not for it."""
        self._for_host.clear()
        self.sent = self.received = 0

    def send(self, data: bytes) -> None:
        """From the board to the host."""
        if self.plugged:
            self._for_host += self.to_host(data)

    def take(self) -> bytes:
        """What the host has sent since the last call."""
        data = bytes(self._for_board)
        self._for_board.clear()
        self.received += len(data)
        return self.to_board(data) if data else b""

    def write(self, data: bytes) -> None:
        """From the host, or another program on it, to the board."""
        if self.plugged:
            self._for_board += data

    def read(self) -> bytes:
        """What has arrived at the host."""
        data = bytes(self._for_host)
        self._for_host.clear()
        return data


class FastLink(Link):
    """The host's end of a FastWire."""

    def __init__(self, wire: FastWire, clock: Clock) -> None:
        super().__init__(wire.port, clock)
        self._wire = wire
        self._opened = False
        self.written_bytes = 0

    @property
    def connected(self) -> bool:
        if not self._wire.plugged:
            self._opened = False
        return self._opened

    def open(self) -> bool:
        if not self._wire.plugged:
            return False
        self._opened = True
        self._clock.opened()
        self.written_bytes = 0
        self.opened_count += 1
        return True

    def close(self) -> None:
        self._opened = False

    def caught_up(self, count: int) -> None:
        """All that was sent is there already."""

    def written(self) -> int:
        return self.written_bytes

    def drain(self) -> list[dict[str, Any]]:
        return self._decoder.feed(self._wire.read())

    def send(self, message: dict[str, Any], alone: bool = False) -> bool:
        if not self.connected:
            return False
        line = encode({**message, "n": self._number})
        self._number += 1
        self._wire.write(line)
        self.written_bytes += len(line)
        return True
