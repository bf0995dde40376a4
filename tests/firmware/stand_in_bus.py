"""Stand-ins for the buses that a sensor driver is given, for CPython and MicroPython.

A scripted bus is made from a list of pairs (bytes written, bytes answered) and notes everything
that does not go by the script. It cannot simply raise, because a driver turns every exception of
its bus into a fault word; so each test ends with `bus.finish()`, which fails on any note and on
any pair that is left over. An exception in place of an answer is raised in place of answering.
"""


class OneWireError(Exception):
    """Stand-in for onewire.OneWireError, which only the board has."""


class Script:
    """The pairs still to come, and what went wrong so far."""

    def __init__(self, pairs):
        self.pairs = list(pairs)
        self.notes = []

    def take(self, doing):
        """The next pair; (None, None) and a note when there is none."""
        if self.pairs:
            return self.pairs.pop(0)
        self.notes.append("nothing left in the script for: " + doing)
        return None, None

    def expect(self, doing, got, wanted):
        if got != wanted:
            self.notes.append(f"{doing}: got {got!r}, the script has {wanted!r}")

    def finish(self):
        """Fail unless everything went by the script, to its end."""
        assert not self.notes, self.notes
        assert not self.pairs, ("left over", self.pairs)


class ScriptedWire(Script):
    """1-Wire: a pair is everything from one reset to the next. Answer None: no presence pulse."""

    def __init__(self, pairs):
        super().__init__(pairs)
        self._written = b""
        self._wanted = b""
        self._answer = b""

    def _close(self):
        self.expect("written", self._written, self._wanted)
        self.expect("not read", self._answer, b"")
        self._written = self._wanted = self._answer = b""

    def reset(self, required=False):
        self._close()
        self._wanted, self._answer = self.take("reset")
        if self._wanted is None or self._answer is None:
            self._wanted = self._answer = b""
            return False
        if isinstance(self._answer, Exception) and not self._wanted:
            error, self._answer = self._answer, b""
            raise error
        return True

    def write(self, buf):
        self._written += bytes(buf)

    def writebyte(self, value):
        self._written += bytes([value])

    def readinto(self, buf):
        answer, self._answer = self._answer, b""
        if isinstance(answer, Exception):
            raise answer
        self.expect("bytes read", len(buf), len(answer))
        buf[: len(answer)] = answer

    def finish(self):
        self._close()
        super().finish()


class ScriptedSpi(Script):
    """SPI with its chip select `cs`: a pair is one transfer, out and in of the same length."""

    def __init__(self, pairs):
        super().__init__(pairs)
        self.level = 1

    def cs(self, level):
        self.level = level

    def write_readinto(self, out, answer):
        self.expect("chip select", self.level, 0)
        wanted, data = self.take("transfer of " + repr(bytes(out)))
        if isinstance(data, Exception):
            raise data
        self.expect("written", bytes(out), wanted)
        self.expect("length of the answer", len(answer), len(out))
        if data is not None:
            answer[: len(data)] = data

    def finish(self):
        self.expect("chip select at the end", self.level, 1)
        super().finish()


class ScriptedI2c(Script):
    """I2C with one chip: (written, b"") for a write, (b"", answered) for a read."""

    def __init__(self, pairs, address=0x44):
        super().__init__(pairs)
        self._address = address

    def writeto(self, address, buf):
        self.expect("address", address, self._address)
        wanted, answer = self.take("write of " + repr(bytes(buf)))
        if isinstance(answer, Exception):
            raise answer
        self.expect("written", bytes(buf), wanted)

    def readfrom_into(self, address, buf):
        self.expect("address", address, self._address)
        wanted, answer = self.take("read")
        if isinstance(answer, Exception):
            raise answer
        self.expect("written before reading", wanted, b"")
        if answer is not None:
            self.expect("bytes read", len(buf), len(answer))
            buf[: len(answer)] = answer


class DeadWire:
    """A wire on which nothing answers."""

    def reset(self, required=False):
        return False


class DeadI2c:
    """A bus on which nothing answers."""

    def writeto(self, address, buf):
        raise OSError(5)


class Adc:
    """An ADC input at one count, or one that raises; `counts` may be a list taken in turn."""

    def __init__(self, counts):
        self.counts = counts if isinstance(counts, list) else [counts]
        self._at = 0

    def read_u16(self):
        count = self.counts[self._at % len(self.counts)]
        self._at += 1
        if isinstance(count, Exception):
            raise count
        return count


class Pin:
    """An input pin at a level that the test sets; an exception as level is raised."""

    def __init__(self, level=0):
        self.level = level

    def value(self):
        if isinstance(self.level, Exception):
            raise self.level
        return self.level


class Clock:
    """The board's clock at this moment; late_ms is how far into its pass a pass has come."""

    now_ms = 0
    late_ms = 0

    def __call__(self):
        return self.now_ms + self.late_ms


CLOCK = Clock()


def passes(driver, now_ms, count):
    """Step a driver through `count` passes of 250 ms; gives the time of the pass after them."""
    for _ in range(count):
        CLOCK.now_ms = now_ms
        driver.step(now_ms)
        now_ms += 250
    return now_ms
