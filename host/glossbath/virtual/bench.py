"""Answers the firmware's requests for pins, buses, watchdog and time, byte by byte.

The firmware asks over a pipe; every request is one letter and its fixed arguments. A request for
time ends a turn: the rig lets its world go on and then answers.
"""

from __future__ import annotations

import os
import struct
from typing import Protocol

TICKS_PERIOD = 1 << 30  # MicroPython's ticks_ms wraps here on the board

# What the 1-Wire takes: the same as in board/onewire.py, which runs in the other process.
_RESET_US = 960
_BYTE_US = 560
_SEARCH_US = 13_440


class Wire1(Protocol):
    """A 1-Wire bus at the level of bytes."""

    def reset(self, now_ms: int) -> bool: ...
    def write(self, data: bytes, now_ms: int) -> None: ...
    def read(self, n: int, now_ms: int) -> bytes: ...
    def roms(self) -> list[bytes]: ...


class Wire2(Protocol):
    """An I2C bus at the level of bytes; nobody acknowledging is False or None."""

    def write(self, address: int, data: bytes, now_ms: int) -> bool: ...
    def read(self, address: int, count: int, now_ms: int) -> bytes | None: ...


class Wire4(Protocol):
    """The chip on the SPI, while it is selected."""

    def transfer(self, data: bytes, now_ms: int) -> bytes: ...


class PowerLost(Exception):
    """The firmware's process ended or asked for a reset."""


class Bench:
    """The hardware side of one run of the firmware. Times in ms."""

    def __init__(
        self,
        source: int,
        sink: int,
        wire: Wire1,
        i2c: Wire2,
        spi: tuple[Wire4, int] | None,
        unique_id: bytes,
        cause: int,
    ) -> None:
        """spi is the chip there and the pin that selects it, or None where there is none."""
        self._source = source
        self._sink = sink
        self._wire = wire
        self._i2c = i2c
        self._spi = spi
        self._unique_id = unique_id
        self._cause = cause
        self._pending = bytearray()
        self.levels: dict[int, int] = {}
        self.edges_ms: dict[int, int] = {}
        self.watchdog_ms: int | None = None
        self._fed_ms = 0
        self._bitten = False
        self._spent_us = 0

    def turn(self, now_ms: int) -> int:
        """Serve the firmware until it asks for time; returns the ms until it has slept, with
        those that the buses took.

        Raises PowerLost when the firmware ends.
        """
        self._spent_us = 0
        while True:
            letter = self._read(1)
            if letter == b"S":
                return int.from_bytes(self._read(4), "little") + self._spent_us // 1000
            self._serve(letter, now_ms)

    def let_go(
        self, ticks_ms: int, inputs: int, analog: tuple[int, int, int], stall_ms: int = 0
    ) -> None:
        """End the firmware's sleep with new ticks, input levels (a bit a pin) and converters; it
        will find its coming pass stall_ms longer than its work is."""
        self._answer(struct.pack("<IIHHHI", ticks_ms % TICKS_PERIOD, inputs, *analog, stall_ms))

    def bites(self, now_ms: int) -> bool:
        """Whether the watchdog was left unfed for too long."""
        if self.watchdog_ms is None:
            return False
        return self._bitten or now_ms - self._fed_ms > self.watchdog_ms

    def _serve(self, letter: bytes, now_ms: int) -> None:
        if letter == b"P":
            number, level = self._read(2)
            if self.levels.get(number, 0) != level:
                self.edges_ms[number] = now_ms
            self.levels[number] = level
        elif letter == b"W":
            data = self._read(self._read(1)[0])
            self._wire.write(data, now_ms + self._spend_us(_BYTE_US * len(data)))
        elif letter == b"G":
            count = self._read(1)[0]
            self._answer(self._wire.read(count, now_ms + self._spend_us(_BYTE_US * count)))
        elif letter == b"R":
            present = self._wire.reset(now_ms + self._spend_us(_RESET_US))
            self._answer(b"\x01" if present else b"\x00")
        elif letter in b"Ii":
            self._serve_i2c(letter, now_ms)
        elif letter == b"M":
            self._answer(self._transfer(self._read(self._read(1)[0]), now_ms))
        elif letter == b"F":
            self._bitten = self.bites(now_ms)  # a feed that comes too late helps nothing
            self._fed_ms = now_ms
        elif letter == b"D":
            self.watchdog_ms = int.from_bytes(self._read(4), "little")
            self._fed_ms = now_ms
        elif letter == b"N":
            count = len(self._wire.roms())
            self._spend_us(_SEARCH_US * count)
            self._answer(bytes([count]))
        elif letter == b"n":
            self._answer(self._wire.roms()[self._read(1)[0]])
        elif letter == b"U":
            self._answer(self._unique_id)
        elif letter == b"C":
            self._answer(bytes([self._cause]))
        else:
            raise PowerLost  # X, or a firmware that has gone mad

    def _spend_us(self, us: int) -> int:
        """Let a bus take its time; the whole ms of the pass so far."""
        self._spent_us += us
        return self._spent_us // 1000

    def _transfer(self, data: bytes, now_ms: int) -> bytes:
        """Without a chip that is selected the line's pull-up makes it read all ones
        (hardware/wiring.toml, R32)."""
        if self._spi is None or self.levels.get(self._spi[1], 1):
            return b"\xff" * len(data)
        return self._spi[0].transfer(data, now_ms + self._spent_us // 1000)

    def _serve_i2c(self, letter: bytes, now_ms: int) -> None:
        address, count = self._read(2)
        if letter == b"I":
            accepted = self._i2c.write(address, self._read(count), now_ms)
            self._answer(b"\x01" if accepted else b"\x00")
            return
        data = self._i2c.read(address, count, now_ms)
        self._answer(bytes(1 + count) if data is None else b"\x01" + data)

    def _read(self, count: int) -> bytes:
        while len(self._pending) < count:
            chunk = os.read(self._source, 4096)
            if not chunk:
                raise PowerLost
            self._pending += chunk
        data = bytes(self._pending[:count])
        del self._pending[:count]
        return data

    def _answer(self, data: bytes) -> None:
        try:
            os.write(self._sink, data)
        except BrokenPipeError as error:
            raise PowerLost from error
