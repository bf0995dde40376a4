"""A platinum thermometer at a MAX31865, register by register, as its datasheet (19-6478) has it.

The element is IEC 60751's, its leads have a resistance each, and the mains may hum into them.
Faults are set by name and change only what the bus would show.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from glossbath.errors import InputError

from .limits import require

# Register 00h and what its bits do: table 2 of the datasheet.
_BIAS, _AUTO, _ONE_SHOT, _THREE_WIRES = 0x80, 0x40, 0x20, 0x10
_DETECT, _DETECT_AUTOMATIC, _CLEAR, _FILTER_50_HZ = 0x0C, 0x04, 0x02, 0x01
# Register 07h: table 7.
_HIGH, _LOW, _REFIN_HIGH, _VOLTAGE = 0x80, 0x40, 0x20, 0x04
_RESET = bytes((0, 0, 0, 0xFF, 0xFF, 0, 0, 0))
_WRITABLE = (0, 3, 4, 5, 6)
_FULL = 0x7FFF
_READY_MS = {50: 66.0, 60: 55.0}  # one shot, at most (from memory)

# Callendar-Van Dusen with the coefficients of IEC 60751.
_A, _B, _C = 3.9083e-3, -5.775e-7, -4.183e-12

PLATINUM_FAULTS = {
    "open": "element broken: no current, full scale",
    "shorted": "element bridged: near zero",
    "force open": "FORCE- wire broken: REFIN- above 0.85 of the bias",
    "voltage": "a sensor wire beyond the chip's supply",
    "absent": "chip or its supply gone: the line's pull-up reads as ones",
    "grounded": "SDO held to ground: reads zeros",
    "resets": "loses power in every conversion and has its registers at their reset values",
    "stuck": "answers well, but its value never changes again",
}


@dataclass(frozen=True)
class Element:
    """What is fitted. reference_ohm is the resistor on the module, lead_ohm that of one lead of
    the cable; hum_ohm is how far the mains, of mains_hz, throw a reading off where no notch of the
    filter takes them out. setting is what the rig's settings say of it; wrong ones are a fault
    too."""

    setting: str = "pt1000-3-50"
    ohm: float = 1000.0
    wires: int = 3
    reference_ohm: float = 4300.0
    lead_ohm: float = 0.035
    mains_hz: int = 50
    hum_ohm: float = 0.0


def resistance(ohm: float, celsius: float) -> float:
    """Of a platinum element with ohm at 0 °C; IEC 60751, -200 to 850 °C."""
    require("temperature", celsius, -200.0, 850.0, "°C")
    cubic = _C * (celsius - 100.0) * celsius**3 if celsius < 0.0 else 0.0
    return ohm * (1.0 + _A * celsius + _B * celsius**2 + cubic)


class Max31865:
    """One chip. celsius is asked for the temperature (°C) whenever a conversion starts."""

    def __init__(self, element: Element, celsius: Callable[[], float]) -> None:
        self._element = element
        self._celsius = celsius
        self._registers = bytearray(_RESET)
        self._fault = ""
        self._coming: tuple[float, int] | None = None
        self._hum = 1.0
        self.asked_early = 0
        """How often its value was read while it converted."""

    @property
    def fault(self) -> str:
        """Name of the fault in force, or empty."""
        return self._fault

    def inject(self, fault: str) -> None:
        """Break it as PLATINUM_FAULTS says; "" mends it. Raises InputError for other names."""
        if fault and fault not in PLATINUM_FAULTS:
            raise InputError(
                f"Fault {fault!r} is not one of: {', '.join(PLATINUM_FAULTS)}; choose one."
            )
        self._fault = fault

    def transfer(self, data: bytes, now_ms: int) -> bytes:
        """One transfer with the chip selected: an address, then bytes in or out from there on."""
        if self._fault == "absent":
            return b"\xff" * len(data)
        if self._fault == "grounded":
            return bytes(len(data))
        self._settle(now_ms)
        at, writing = data[0] & 0x0F, data[0] & 0x80
        answer = bytearray(len(data))
        for place in range(1, len(data)):
            register = (at + place - 1) % len(self._registers)
            if writing:
                self._write(register, data[place], now_ms)
            else:
                answer[place] = self._read(register)
        return bytes(answer)

    def _read(self, register: int) -> int:
        if register == 1 and self._coming is not None:
            self.asked_early += 1
        value = self._registers[register]
        return value | (self._registers[7] != 0) if register == 2 else value

    def _write(self, register: int, value: int, now_ms: int) -> None:
        if register not in _WRITABLE:
            return
        if register:
            self._registers[register] = value
            return
        if value & _CLEAR:
            self._registers[7] = 0
        if value & _BIAS and value & _DETECT == _DETECT_AUTOMATIC:
            self._detect()
        if value & _BIAS and value & (_ONE_SHOT | _AUTO):
            mains = 50 if value & _FILTER_50_HZ else 60
            self._coming = (now_ms + _READY_MS[mains], self._code(value, mains))
        # What was ordered is cleared by the chip once it is done.
        self._registers[0] = value & ~(_ONE_SHOT | _DETECT | _CLEAR)

    def _detect(self) -> None:
        if self._fault in ("open", "force open"):
            self._registers[7] |= _REFIN_HIGH

    def _settle(self, now_ms: int) -> None:
        if self._fault == "voltage":
            self._registers[7] |= _VOLTAGE
        if self._coming is None or now_ms < self._coming[0]:
            return
        code = self._coming[1]
        self._coming = None
        if self._fault == "resets":
            self._registers[:] = _RESET
            return
        self._registers[1], self._registers[2] = code >> 7, code << 1 & 0xFE
        high, low = (self._registers[at] << 8 | self._registers[at + 1] for at in (3, 5))
        self._registers[7] |= _HIGH if code << 1 >= high & 0xFFFE else 0
        self._registers[7] |= _LOW if code << 1 <= low & 0xFFFE else 0

    def _code(self, config: int, mains_hz: int) -> int:
        """What a conversion finds, in 15 bits of the reference resistor."""
        if self._fault == "open":
            return _FULL
        if self._fault == "shorted":
            return 0
        if self._fault == "stuck":
            return (self._registers[1] << 8 | self._registers[2]) >> 1
        element = self._element
        ohm = resistance(element.ohm, self._celsius()) + self._leads_ohm(
            bool(config & _THREE_WIRES)
        )
        if mains_hz != element.mains_hz:
            self._hum = -self._hum
            ohm += self._hum * element.hum_ohm
        return min(_FULL, max(0, int(ohm / element.reference_ohm * 32768 + 0.5)))

    def _leads_ohm(self, three_wires: bool) -> float:
        """What the leads add. With the three-wire bit the drop from FORCE+ to RTDIN+ is taken off
        once more, which is one lead's, unless both are joined at the chip (two wires)."""
        wires, lead = self._element.wires, self._element.lead_ohm
        added = {2: 2 * lead, 3: lead, 4: 0.0}[wires]
        return added - lead if three_wires and wires > 2 else added
