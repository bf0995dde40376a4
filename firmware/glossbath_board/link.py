"""Frames in, frames out, over the board's own USB port; never blocks.

A write on the port can block for half a second while a host holds it open without reading, so a
frame is sent only when the port takes it at once, and dropped and counted otherwise.
"""

import select

from .errors import FrameError
from .frame import MAX_LINE, Decoder, encode
from .port import const

if False:  # for the type checker alone
    from .kinds import Poll, Sink, Source

_READ_BYTES = const(256)  # a pass takes at most this much, so a talkative host cannot hold it up
_OUT_FRAMES = const(8)


class Link:
    """The board's end of the line. source has readinto, sink has write; both are raw streams."""

    def __init__(self, source: "Source", sink: "Sink", boot: int) -> None:
        self._read = source.readinto
        self._write = sink.write
        self._byte = bytearray(1)
        self._source_poll = select.poll()
        self._source_poll.register(source, select.POLLIN)
        self._sink_poll = select.poll()
        self._sink_poll.register(sink, select.POLLOUT)
        self._decoder = Decoder("h")
        self._waiting: list = []
        self._number = 0
        self.boot = boot
        self.dropped = 0

    @property
    def bad(self) -> int:
        """Lines received that were not frames."""
        return self._decoder.bad

    def receive(self) -> list:
        """The messages that have arrived since the last pass."""
        chunk = bytearray()
        for _ in range(_READ_BYTES):
            if not self._ready(self._source_poll, select.POLLIN) or not self._read(self._byte):
                break
            chunk.extend(self._byte)
        return self._decoder.feed(chunk) if chunk else []

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
        """Send what the port takes without waiting."""
        while self._waiting and self._ready(self._sink_poll, select.POLLOUT):
            line = self._waiting.pop(0)
            sent = self._write(line)
            if sent is None or sent < len(line):
                self.dropped += 1  # the rest is lost; the receiver sees a bad line and hunts on
                return

    @staticmethod
    def _ready(poll: "Poll", wanted: int) -> bool:
        for item in poll.poll(0):
            return bool(item[1] & wanted)
        return False


assert MAX_LINE <= 256  # the port's transmit buffer
