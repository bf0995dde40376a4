"""The board's end of the line, against what the unix port hides: a stream that blocks.

On the board `sys.stdin.buffer` waits for a byte and `sys.stdout.buffer` for room; the unix port's
pipes hold the bytes of a whole test, so nothing there ever waits. `Line` stands for the board's
USB port: to read where nothing has come, or to write where there is no room, is an error here.
"""

import select

from glossbath_board import link
from glossbath_board.frame import encode
from glossbath_board.link import Link

BOOT = 7


class Line:
    """One stream in each direction; a call that would block on the board fails."""

    def __init__(self):
        self.coming = b""
        self.room = 0
        self.sent = b""

    def readinto(self, buf):
        assert self.coming, "the board would block, waiting for a byte"
        count = min(len(buf), len(self.coming))
        buf[:count] = self.coming[:count]
        self.coming = self.coming[count:]
        return count

    def write(self, data):
        assert self.room, "the board would block, waiting for room"
        taken = data[: self.room]
        self.room -= len(taken)
        self.sent += taken
        return len(taken)


class Poll:
    def register(self, stream, flags):
        self._stream = stream
        self._flags = flags

    def poll(self, timeout_ms):
        assert timeout_ms == 0, "the board would wait"
        line = self._stream
        ready = line.coming if self._flags == Select.POLLIN else line.room
        return [(line, self._flags)] if ready else []


class Select:
    POLLIN = select.POLLIN
    POLLOUT = select.POLLOUT
    poll = Poll


def made():
    line, own = Line(), link.select
    link.select = Select
    try:
        return line, Link(line, line, BOOT)
    finally:
        link.select = own


def order(number):
    return encode({"k": "hello", "h": 1, "i": number, "n": number})


def test_nothing_to_read_does_not_block():
    line, end = made()
    assert end.receive() == []
    line.coming = order(0)[:20]
    assert end.receive() == []
    line.coming = order(0)[20:]
    assert [message["k"] for message in end.receive()] == ["hello"]


def test_a_host_that_talks_without_end_gets_256_bytes_of_a_pass():
    line, end = made()
    line.coming = b"x" * 5_000
    end.receive()
    assert len(line.coming) == 5_000 - 256


def test_a_host_that_does_not_read_holds_nothing_up():
    line, end = made()
    for _ in range(50):
        end.post({"k": "r", "t": 1})
        end.flush()
    assert line.sent == b""
    assert end.dropped == 50 - 8
    line.room = 10_000
    end.flush()
    assert line.sent.count(b"\n") == 8


def test_a_frame_that_went_out_in_part_is_counted_and_not_sent_again():
    line, end = made()
    end.post({"k": "r", "t": 1})
    line.room = 5
    end.flush()
    assert end.dropped == 1
    line.room = 1_000
    end.post({"k": "r", "t": 2})
    end.flush()
    assert line.sent.count(b"\n") == 1


def test_the_interrupt_byte_is_a_byte_like_any_other():
    # 0x03 is Ctrl-C: a board's console makes KeyboardInterrupt of it unless kbd_intr(-1) was said
    # (test_loop_failures.py); through the unix port's pipe it comes as a plain byte.
    line, end = made()
    line.coming = b"\x03\x03" + order(0) + b"\x03" + order(1)
    assert [message["i"] for message in end.receive()] == [0, 1]
