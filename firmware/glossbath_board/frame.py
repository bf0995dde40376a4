"""Bytes to frames and back; the same file serves the board and the host.

A frame is one line: `$`, a small JSON object, `*`, eight hex digits of CRC-32 over the JSON text,
newline. A receiver hunts for the last `$` of a line, so stray text before a frame harms nothing.
Blank lines mean nothing. Every message carries a sequence number `n`, and a sender's identity:
`b` for a board's boot, `h` for a host's session. Repeated and late frames are dropped, gaps are
counted.
A number that leaps ahead is believed once the next frame goes on from it: one forged frame cannot
make an end deaf to all that follow with the true numbers.
"""

import binascii
import json

from .errors import FrameError

MAX_LINE = 200  # bytes with the newline: one USB transfer buffer of the board holds it
_SENDERS_KEPT = 4
_MOST_LEAP = 1_000  # numbers: many minutes of frames
_LARGEST = (1 << 30) - 1  # three years of ten frames a second, and no more than a board's word


def checksum(text: bytes) -> bytes:
    """CRC-32 (ISO-HDLC) of text as eight lower-case hex digits."""
    return b"%08x" % (binascii.crc32(text) & 0xFFFFFFFF)


def encode(message: dict) -> bytes:
    """One message as one line; raises FrameError if it would be longer than MAX_LINE bytes."""
    # A dollar sign inside a string would look like the start of a frame to a hunting receiver.
    text = json.dumps(message, separators=(",", ":")).replace("$", "\\u0024").encode()
    line = b"$" + text + b"*" + checksum(text) + b"\n"
    if len(line) > MAX_LINE:
        raise FrameError("frame of %d bytes, the limit is %d" % (len(line), MAX_LINE))
    return line


class Decoder:
    """Takes bytes in any pieces and gives the messages that arrived whole, once each, in order.

    sender is the key that identifies a sender. Counters: good, bad (lines that were not frames),
    lost (numbers missing from the sequence), repeated (frames seen before, dropped).
    """

    def __init__(self, sender: str = "b") -> None:
        self._sender = sender
        self._pending = b""
        self._last: dict = {}
        self._leap: tuple = (None, 0)  # sender and number of the last frame that leapt ahead
        self.good = 0
        self.bad = 0
        self.lost = 0
        self.repeated = 0

    @property
    def pending(self) -> int:
        """Bytes kept of a line that has not ended; never more than MAX_LINE."""
        return len(self._pending)

    def feed(self, data: bytes | bytearray | memoryview) -> list:
        """The messages that data completes, as dicts; never raises, whatever the bytes are."""
        messages = []
        pieces = (self._pending + bytes(data)).split(b"\n")
        for line in pieces[:-1]:
            message = self._message(line)
            if message is not None and self._is_new(message):
                self.good += 1
                messages.append(message)
        tail = pieces[-1]
        if len(tail) > MAX_LINE:
            start = tail.rfind(b"$")
            tail = tail[start:] if start > len(tail) - MAX_LINE else b""
            self.bad += 1
        self._pending = tail
        return messages

    def _message(self, line: bytes) -> dict | None:
        start = line.rfind(b"$")
        if start < 0:
            if line.strip():
                self.bad += 1
            return None
        line = line[start + 1 :].rstrip(b"\r")
        text = line[:-9]
        if len(line) < MAX_LINE and line[-9:-8] == b"*" and checksum(text) == line[-8:]:
            try:
                message = json.loads(text)
                if isinstance(message, dict):
                    number = message.get("n")
                    if isinstance(number, int) and 0 <= number <= _LARGEST:
                        return message
            except (ValueError, UnicodeError, RuntimeError):
                pass  # RuntimeError: nesting deeper than the interpreter's stack
        self.bad += 1
        return None

    def _is_new(self, message: dict) -> bool:
        number = message["n"]
        who = message.get(self._sender)
        if not isinstance(who, (int, str)):
            who = None
        last = self._last.get(who)
        if last is not None and number <= last:
            self.repeated += 1
            return False
        if last is not None:
            if number - last > _MOST_LEAP:
                sender, leapt = self._leap
                self._leap = (who, number)
                if sender != who or not 0 < number - leapt <= _MOST_LEAP:
                    self.bad += 1
                    return False
            self.lost += number - last - 1
        elif len(self._last) >= _SENDERS_KEPT:
            self._last.clear()
        self._last[who] = number
        return True
