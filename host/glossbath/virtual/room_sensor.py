"""The room's SHT3x on its I2C bus, byte by byte, as its datasheet (version 7) describes it.

Only what one sensor at one address does: single shots without clock stretching, its status, its
heater. Faults are set by name and change only what the bus would show.
"""

from __future__ import annotations

from collections.abc import Callable

from glossbath.errors import InputError

from .limits import require

ADDRESS = 0x44
_MEASURE = b"\x24\x00"
_STATUS = b"\xf3\x2d"
_HEATER_ON, _HEATER_OFF = b"\x30\x6d", b"\x30\x66"
_READY_MS = 15.5  # high repeatability, at most

ROOM_FAULTS = {
    "absent": "unplugged: nobody acknowledges",
    "crc noise": "one bit of every answer is flipped",
    "heater": "its heater will not go off and warms it",
}


def crc8(data: bytes) -> int:
    """CRC-8 of the SHT3x: x^8+x^5+x^4+1, start FF, not reflected (datasheet, table 20)."""
    crc = 0xFF
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = (crc << 1 ^ 0x31 if crc & 0x80 else crc << 1) & 0xFF
    return crc


def _word(value: int) -> bytes:
    data = value.to_bytes(2, "big")
    return data + bytes((crc8(data),))


class RoomSensor:
    """One chip. celsius and rh_percent are asked when a measurement begins."""

    def __init__(self, celsius: Callable[[], float], rh_percent: Callable[[], float]) -> None:
        self._celsius = celsius
        self._rh_percent = rh_percent
        self._fault = ""
        self._heater = False
        self._answer = b""
        self._ready_ms = 0.0

    def inject(self, fault: str) -> None:
        """Break it as ROOM_FAULTS says; "" mends it. Raises InputError for other names."""
        if fault and fault not in ROOM_FAULTS:
            raise InputError(
                f"Fault {fault!r} is not one of: {', '.join(ROOM_FAULTS)}; choose one of these."
            )
        self._fault = fault
        self._heater = fault == "heater"

    def write(self, address: int, data: bytes, now_ms: int) -> bool:
        """A command; whether it was acknowledged."""
        if address != ADDRESS or self._fault == "absent":
            return False
        if data == _MEASURE:
            self._measure(now_ms)
        elif data == _STATUS:
            self._answer = _word(0x2000 if self._heater else 0x0000)
            self._ready_ms = now_ms
        elif data in (_HEATER_ON, _HEATER_OFF) and self._fault != "heater":
            self._heater = data == _HEATER_ON
        return True

    def _measure(self, now_ms: int) -> None:
        celsius = require("room temperature", self._celsius(), -40.0, 125.0, "°C")
        rh_percent = require("room humidity", self._rh_percent(), 0.0, 100.0, "%")
        warmed_c = celsius + (3.0 if self._heater else 0.0)
        # T = -45 + 175 S/65535, RH = 100 S/65535: datasheet, section 4.13.
        self._answer = _word(round((warmed_c + 45.0) / 175.0 * 65535)) + _word(
            round(rh_percent / 100.0 * 65535)
        )
        self._ready_ms = now_ms + _READY_MS

    def read(self, address: int, count: int, now_ms: int) -> bytes | None:
        """count bytes of its answer, ones after its end; None where nobody acknowledges."""
        if address != ADDRESS or self._fault == "absent" or now_ms < self._ready_ms:
            return None
        answer, self._answer = self._answer, b""
        if not answer:
            return None
        if self._fault == "crc noise":
            answer = bytes((answer[0] ^ 0x10,)) + answer[1:]
        return (answer + b"\xff" * count)[:count]
