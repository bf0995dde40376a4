"""DS18B20 thermometers on a 1-Wire bus, byte by byte, as their datasheet describes them.

Faults are set on a chip or on the bus by name and change only what the wire would show; the
firmware that reads it has no other way to know.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable

from glossbath.errors import InputError

from .limits import require

_FAMILY = 0x28
_POWER_ON = bytes.fromhex("50 05 4B 46 7F FF 0C 10")  # 85 °C: no conversion since power came
_MATCH_ROM, _READ_ROM, _SKIP_ROM = 0x55, 0x33, 0xCC
_CONVERT, _READ_SCRATCHPAD, _WRITE_SCRATCHPAD, _READ_POWER = 0x44, 0xBE, 0x4E, 0xB4
_CONVERSION_MS = {9: 94, 10: 188, 11: 375, 12: 750}  # datasheet: 93.75 to 750 ms
_LOW_C, _HIGH_C = -55.0, 125.0
_UNDERPOWERED_RAW = 0x07FF  # 127.9375 °C

CHIP_FAULTS = {
    "absent": "wire to this chip broken: no presence, no answer",
    "mute": "answers the reset, then loses contact: reads all ones",
    "crc noise": "a share of scratchpad reads has one bit flipped",
    "power-on": "loses power in every conversion and shows its reset value, 85 °C",
    "underpowered": "too little supply while converting: raw 07FF",
    "stuck": "answers well, but its temperature never changes again",
    "clone": "a chip with a ROM no genuine one has; its sixth byte never changes",
}
BUS_FAULTS = {
    "shorted": "data held to ground: looks like presence, reads all zeros",
    "open": "data wire broken at the board: no presence, reads all ones",
}


def crc8(data: bytes) -> int:
    """CRC-8 of the 1-Wire bus: x^8+x^5+x^4+1 reflected, start 0 (Maxim application note 27)."""
    crc = 0
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = (crc >> 1) ^ 0x8C if crc & 1 else crc >> 1
    return crc


def _with_crc(data: bytes) -> bytes:
    return data + bytes((crc8(data),))


def _known(fault: str, table: dict[str, str]) -> str:
    if fault and fault not in table:
        raise InputError(
            f"Fault {fault!r} is not one of: {', '.join(table)}; choose one of these."
        )
    return fault


class Ds18b20:
    """One chip. celsius is asked for the temperature (°C) whenever a conversion starts."""

    def __init__(
        self,
        rom: bytes,
        celsius: Callable[[], float],
        *,
        parasitic: bool = False,
        rng: random.Random | None = None,
    ) -> None:
        """rom is 8 bytes with a good CRC; rng makes "crc noise" repeatable.

        Raises InputError when the ROM is not a DS18B20's.
        """
        if len(rom) != 8 or rom[0] != _FAMILY or crc8(rom):
            raise InputError(
                f"ROM {rom.hex(' ')} is not 8 bytes of family 28 with a good CRC; use rom_for()."
            )
        self._rom = rom
        self._celsius = celsius
        self.parasitic = parasitic
        self._rng = random.Random(0) if rng is None else rng
        self._fault = ""
        self._fault_share = 1.0
        self._scratchpad = bytearray(_POWER_ON)
        self._coming: tuple[int, int] | None = None
        self.asked_early = 0
        """How often it was read while it converted, and answered with what it had before."""

    @staticmethod
    def rom_for(serial: int) -> bytes:
        """The ROM of a genuine chip with this serial number: 28, six bytes, CRC.

        Genuine ones known so far end in 00 00. Raises InputError outside 0 to 2**32 - 1.
        """
        require("serial", serial, 0, 2**32 - 1, "(number)")
        return _with_crc(bytes((_FAMILY,)) + serial.to_bytes(6, "little"))

    @property
    def rom(self) -> bytes:
        """The 8 bytes it identifies itself with."""
        if self._fault == "clone":
            return _with_crc(self._rom[:1] + b"\xff" + self._rom[1:5] + b"\x04")
        return self._rom

    @property
    def fault(self) -> str:
        """Name of the fault in force, or empty."""
        return self._fault

    def inject(self, fault: str, share: float = 1.0) -> None:
        """Break it as CHIP_FAULTS says; share (0 to 1) is that of damaged reads. "" mends it.

        Raises InputError for an unknown name or share.
        """
        self._fault_share = require("share", share, 0.0, 1.0, "(share)")
        self._fault = _known(fault, CHIP_FAULTS)

    def power_cycle(self) -> None:
        """Lose power and get it back: reset value, no conversion under way."""
        self._scratchpad[:] = _POWER_ON
        self._coming = None

    def convert(self, now_ms: int) -> None:
        """Start a conversion; its result is in the scratchpad after the datasheet's time."""
        self._settle(now_ms)
        if self._fault == "power-on":
            self.power_cycle()
            return
        raw = self._raw()
        self._coming = (now_ms + _CONVERSION_MS[self._bits], raw)

    @property
    def _bits(self) -> int:
        return 9 + (self._scratchpad[4] >> 5 & 3)

    def _raw(self) -> int:
        if self._fault == "underpowered":
            return _UNDERPOWERED_RAW
        if self._fault == "stuck":
            return int.from_bytes(self._scratchpad[:2], "little")
        celsius = self._celsius()
        if not math.isfinite(celsius):
            raise InputError(f"The temperature at a chip is {celsius} °C; give a finite one.")
        raw = math.floor(min(_HIGH_C, max(_LOW_C, celsius)) * 16.0 + 0.5)
        return raw & -(1 << (12 - self._bits)) & 0xFFFF

    def busy(self, now_ms: int) -> bool:
        """Whether a conversion is under way."""
        self._settle(now_ms)
        return self._coming is not None

    def _settle(self, now_ms: int) -> None:
        if self._coming is None or now_ms < self._coming[0]:
            return
        raw = self._coming[1]
        self._coming = None
        self._scratchpad[:2] = raw.to_bytes(2, "little")
        # The datasheet calls this byte reserved; genuine chips count here (from memory), clones
        # leave it.
        if self._fault != "clone":
            self._scratchpad[6] = 0x10 - (raw & 0x0F)

    def scratchpad(self, now_ms: int) -> bytes:
        """Its nine bytes as they appear on the wire at now_ms."""
        self._settle(now_ms)
        self.asked_early += self._coming is not None
        if self._fault == "mute":
            return b"\xff" * 9
        data = bytearray(_with_crc(bytes(self._scratchpad)))
        if self._fault == "crc noise" and self._rng.random() < self._fault_share:
            bit = self._rng.randrange(72)
            data[bit >> 3] ^= 1 << (bit & 7)
        return bytes(data)

    def configure(self, data: bytes, now_ms: int) -> None:
        """WRITE SCRATCHPAD: two alarm bytes, and a third of which only the resolution counts."""
        self._settle(now_ms)
        self._scratchpad[2:4] = data[:2]
        self._scratchpad[4] = data[2] & 0x60 | 0x1F


class OneWireBus:
    """Chips on one data line. Where several answer at once, the line carries the AND of them."""

    def __init__(self, chips: Iterable[Ds18b20]) -> None:
        self.chips = list(chips)
        self._fault = ""
        self._selected: list[Ds18b20] = []
        self._expected = ""
        self._received = bytearray()
        self._answer = b""
        self._polling = False

    @property
    def fault(self) -> str:
        """Name of the fault in force, or empty."""
        return self._fault

    def inject(self, fault: str) -> None:
        """Break the line as BUS_FAULTS says; "" mends it. Raises InputError for other names."""
        self._fault = _known(fault, BUS_FAULTS)

    def _present(self) -> list[Ds18b20]:
        return [] if self._fault else [c for c in self.chips if c.fault != "absent"]

    def roms(self) -> list[bytes]:
        """What SEARCH ROM finds. A shorted line gives one ROM of zeros, whose CRC is right."""
        if self._fault == "shorted":
            return [bytes(8)]
        return sorted(chip.rom for chip in self._present() if chip.fault != "mute")

    def reset(self, now_ms: int) -> bool:
        """Reset pulse; returns whether a presence pulse was seen."""
        self._selected = []
        self._received.clear()
        self._answer = b""
        self._polling = False
        self._expected = "rom command"
        return self._fault == "shorted" or bool(self._present())

    def write(self, data: bytes, now_ms: int) -> None:
        """Bytes from the board: ROM command, function command, their arguments."""
        for byte in data:
            self._accept(byte, now_ms)

    def _accept(self, byte: int, now_ms: int) -> None:
        if self._expected == "rom command":
            self._accept_rom_command(byte)
        elif self._expected == "rom":
            self._received.append(byte)
            if len(self._received) == 8:
                self._selected = [c for c in self._present() if c.rom == self._received]
                self._expected = "command"
        elif self._expected == "command":
            self._accept_command(byte, now_ms)
        elif self._expected == "configuration":
            self._received.append(byte)
            if len(self._received) == 3:
                for chip in self._selected:
                    chip.configure(bytes(self._received), now_ms)
                self._expected = ""

    def _accept_rom_command(self, byte: int) -> None:
        self._expected = "command"
        if byte == _SKIP_ROM:
            self._selected = self._present()
        elif byte == _MATCH_ROM:
            self._expected = "rom"
        elif byte == _READ_ROM:
            self._selected = self._present()
            self._answer = self._together(c.rom for c in self._selected if c.fault != "mute")
        else:
            self._expected = ""  # a command no chip knows: all wait for the next reset

    def _accept_command(self, byte: int, now_ms: int) -> None:
        self._expected = ""
        self._received.clear()
        chips = [c for c in self._selected if c.fault != "mute"]
        if byte == _CONVERT:
            for chip in chips:
                chip.convert(now_ms)
            self._polling = True
        elif byte == _READ_SCRATCHPAD:
            self._answer = self._together(c.scratchpad(now_ms) for c in self._selected)
        elif byte == _WRITE_SCRATCHPAD:
            self._selected = chips
            self._expected = "configuration"
        elif byte == _READ_POWER and any(c.parasitic for c in chips):
            self._answer = bytes(1)

    @staticmethod
    def _together(answers: Iterable[bytes]) -> bytes:
        total = b""
        for answer in answers:
            total = bytes(a & b for a, b in zip(total, answer, strict=True)) if total else answer
        return total

    def read(self, n: int, now_ms: int) -> bytes:
        """n bytes from the line; ones where nobody answers, zeros while chips convert."""
        if self._fault == "shorted":
            return bytes(n)
        if self._fault == "open":
            return b"\xff" * n
        if self._polling:
            busy = any(c.busy(now_ms) and not c.parasitic for c in self._selected)
            return bytes(n) if busy else b"\xff" * n
        sent, self._answer = self._answer[:n], self._answer[n:]
        return sent + b"\xff" * (n - len(sent))
