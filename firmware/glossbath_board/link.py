"""Frames in, frames out, over the board's own USB port; never blocks.

The port takes a write in packets of 64 bytes, and waits up to half a second for the room of each
packet while a host holds it open without reading. That it is ready means room for one byte. So
all that is sent is whole packets, a frame being filled up with newlines: what waits in the port's
buffer of 256 bytes is then whole packets too, as is what a host takes from it, and room for one
byte is room for a packet. What does not fit waits for the next pass; what waits too long is
dropped and counted.
"""

import select

from .errors import FrameError
from .frame import MAX_LINE, Decoder, encode
from .port import const

if False:  # for the type checker alone
    from .kinds import Poll, Sink, Source

_READ_BYTES = const(256)  # a pass takes at most this much, so a talkative host cannot hold it up
_OUT_FRAMES = const(8)
_PACKET_BYTES = const(64)


class Link:
    """The board's end of the line. source has readinto, sink has write; both are raw streams."""

    def __init__(self, source: "Source", sink: "Sink", boot: int) -> None:
        self._read = source.readinto
        self._write = sink.write
        self._byte = bytearray(1)
        self._chunk = bytearray(_READ_BYTES)
        self._can_read = _asked(source, select.POLLIN)
        self._can_write = _asked(sink, select.POLLOUT)
        self._decoder = Decoder("h")
        self._waiting: list = []
        self._begun: memoryview | None = None  # what is left of a frame that is partly sent
        self._number = 0
        self.boot = boot
        self.dropped = 0

    @property
    def bad(self) -> int:
        """Lines received that were not frames."""
        return self._decoder.bad

    def receive(self) -> list:
        """The messages that have arrived since the last pass."""
        chunk, byte, read = self._chunk, self._byte, self._read
        ask, wanted = self._can_read
        count = 0
        while count < _READ_BYTES:
            for item in ask(0):  # noqa: B007 - what it gives is looked at below
                break
            else:
                break  # nothing has come: a read would wait
            if not item[1] & wanted or not read(byte):
                break
            chunk[count] = byte[0]
            count += 1
        return self._decoder.feed(memoryview(chunk)[:count]) if count else []

    def post(self, message: dict) -> None:
        """Number a message and queue it; the oldest is dropped when the queue is full."""
        message["n"] = self._number
        message["b"] = self.boot
        self._number += 1
        if len(self._waiting) >= _OUT_FRAMES:
            self._waiting.pop(0)
            self.dropped += 1
        try:
            self._waiting.append(encode(message))
        except FrameError:
            self.dropped += 1

    def flush(self) -> None:
        """Send the packets that the port takes without waiting."""
        while self._begun or self._waiting:
            if not self._ready(self._can_write):
                return
            rest = self._begun or memoryview(_filled(self._waiting.pop(0)))
            sent = self._write(rest[:_PACKET_BYTES])
            if sent != _PACKET_BYTES:
                # Something else has written to this port. The buffer is full now, so what follows
                # fits again; of this frame the receiver sees a bad line and hunts on.
                self._begun = None
                self.dropped += 1
                return
            self._begun = rest[_PACKET_BYTES:] if len(rest) > _PACKET_BYTES else None

    @staticmethod
    def _ready(asked: tuple) -> bool:
        for item in asked[0](0):
            return bool(item[1] & asked[1])
        return False


def _asked(stream: object, flags: int) -> tuple:
    """How to ask a stream whether it is ready, and for what. The board's ipoll takes nothing from
    the heap; CPython has only poll."""
    poll: Poll = select.poll()
    poll.register(stream, flags)
    return getattr(poll, "ipoll", poll.poll), flags


def _filled(line: bytes) -> bytes:
    return line + b"\n" * (-len(line) % _PACKET_BYTES)


assert MAX_LINE <= 256  # the port's transmit buffer
