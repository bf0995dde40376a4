"""The board's end of the line, against what the unix port hides: a stream that blocks.

On the board `sys.stdin.buffer` waits for a byte and `sys.stdout.buffer` for room; the unix port's
pipes hold the bytes of a whole test, so nothing there ever waits. `Port` stands for the board's
USB port as MicroPython drives it (shared/tinyusb/mp_usbd_cdc.c and py/stream.c of its source): a
buffer of 256 bytes, from which a host takes packets of 64; ready to write means one free byte; a
write goes on in parts of at most 64 bytes, each of which waits 500 ms for all of its room while a
host holds the port open and does not read.
"""

import select

from glossbath_board import link
from glossbath_board.frame import Decoder, encode
from glossbath_board.link import Link

BOOT = 7
BUFFER = 256
PACKET = 64
WAIT_MS = 500


class Port:
    """One port. blocked_ms is how long writes have waited; reading is whether the host reads."""

    def __init__(self):
        self.coming = b""
        self.buffer = b""
        self.taken = b""
        self.reading = True
        self.blocked_ms = 0

    @property
    def room(self):
        return BUFFER - len(self.buffer)

    def drain(self, packets=4):
        """The host takes so many packets; the last of them may be short."""
        for _ in range(packets):
            self.taken += self.buffer[:PACKET]
            self.buffer = self.buffer[PACKET:]

    def readinto(self, buf):
        assert self.coming, "the board would block, waiting for a byte"
        count = min(len(buf), len(self.coming))
        buf[:count] = self.coming[:count]
        self.coming = self.coming[count:]
        return count

    def write(self, data):
        """As mp_stream_rw, which goes on after a short count until one is nothing."""
        data = bytes(data)
        done = 0
        while done < len(data):
            count = self._transmit(data[done:])
            if count == 0:
                break
            done += count
        return done

    def _transmit(self, data):
        done = 0
        while done < len(data):
            count = min(len(data) - done, PACKET)
            if count > self.room:
                if self.reading:
                    self.drain()
                else:
                    self.blocked_ms += WAIT_MS
            count = min(count, self.room)
            if count == 0:
                break
            self.buffer += data[done : done + count]
            done += count
        return done


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
    line, own = Port(), link.select
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


class Chance:
    """Numbers that look like chance and are the same in every run (a linear congruence)."""

    def __init__(self, seed):
        self._state = seed

    def below(self, count):
        self._state = (self._state * 1_103_515_245 + 12_345) % (1 << 31)
        return (self._state >> 8) % count


def test_a_host_that_stops_reading_at_any_moment_holds_nothing_up():
    for seed in range(30):
        chance = Chance(seed)
        line, end = made()
        number = 0
        for at in range(200):
            line.reading = at % 40 < 20
            for _ in range(chance.below(3)):
                end.post({"k": "r", "t": number, "x": "y" * chance.below(120)})
                number += 1
            end.flush()
            if line.reading:
                line.drain(chance.below(5))
        assert line.blocked_ms == 0, seed
        assert end.dropped > 0, "the host has not been away for long enough to matter"


def test_a_host_that_reads_gets_every_frame_whole():
    line, end = made()
    decoder = Decoder("b")
    seen = []
    for at in range(60):
        end.post({"k": "r", "t": at, "x": "y" * (at * 2)})
        end.flush()
        line.drain(1 + at % 2)
    for _ in range(20):
        end.flush()
        line.drain()
    seen = [message["t"] for message in decoder.feed(line.taken)]
    assert line.blocked_ms == 0
    assert end.dropped == 60 - len(seen)
    assert (decoder.bad, seen) == (0, sorted(seen))
    assert len(seen) > 40


def test_a_host_that_comes_back_gets_the_newest_frames_whole():
    line, end = made()
    line.reading = False
    for at in range(50):
        end.post({"k": "r", "t": at})
        end.flush()
    assert line.blocked_ms == 0
    line.reading = True
    for _ in range(10):
        line.drain()
        end.flush()
    line.drain()
    decoder = Decoder("b")
    seen = [message["t"] for message in decoder.feed(line.taken)]
    assert decoder.bad == 0
    assert seen[-8:] == list(range(42, 50)), "what waited longest is what was dropped"
    assert end.dropped == 50 - len(seen)


def test_bytes_of_another_in_the_buffer_cost_one_write_and_no_more():
    # Such as what MicroPython prints at a soft reset.
    for strange in range(1, PACKET):
        line, end = made()
        line.reading = False
        line.buffer = b"!" * strange
        for at in range(50):
            end.post({"k": "r", "t": at})
            end.flush()
        assert line.blocked_ms == 3 * WAIT_MS, strange
        assert len(line.buffer) == BUFFER
        line.reading = True
        for _ in range(10):
            line.drain()
            end.flush()
        line.drain()
        assert [m["t"] for m in Decoder("b").feed(line.taken)][-8:] == list(range(42, 50))


def test_the_interrupt_byte_is_a_byte_like_any_other():
    # 0x03 is Ctrl-C: a board's console makes KeyboardInterrupt of it unless kbd_intr(-1) was said
    # (test_loop_failures.py); through the unix port's pipe it comes as a plain byte.
    line, end = made()
    line.coming = b"\x03\x03" + order(0) + b"\x03" + order(1)
    assert [message["i"] for message in end.receive()] == [0, 1]
