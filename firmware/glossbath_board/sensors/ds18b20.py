"""DS18B20 thermometers sharing one 1-Wire line, each bound to its reading by its ROM code.

A cycle for n chips takes n + 3 passes of 250 ms: 1.0 s for one chip, 1.5 s for three. All chips
convert together, so their values belong to the same moment, and one is read per pass:

    pass 0      reset, SKIP ROM, CONVERT T                 about 2 ms on the wire
    pass 4...   reset, MATCH ROM, READ SCRATCHPAD, 9 bytes about 13 ms, one chip a pass
    pass n + 3  the last chip is read, then it is pass 0 of the next cycle

A chip asked before its conversion is over answers with its previous value and a correct CRC,
indistinguishable from a new one. So the time is counted from the end of the order to convert, on
the clock as it is then: what else a pass has to do moves an order within its pass by tens of
milliseconds.

The chips need a supply of their own (three wires): a parasite-powered chip would need the line
held high for the whole conversion.
"""

from ..port import const, ticks_diff
from ..reading import ABSENT, BUS, COARSE, CRC, FOREIGN, OK, POWER_ON, SHORT, UNDERPOWERED, Reading
from . import crc8

if False:  # for the type checker alone
    from collections.abc import Iterable

    from ..kinds import Ticks, Wire

_FAMILY = 0x28
_MATCH_ROM = b"\x55"
_READ_SCRATCHPAD = b"\xbe"
_CONVERT_ALL = b"\xcc\x44"  # SKIP ROM, CONVERT T

# 750 ms at most at 12 bit by the datasheet, and a margin. Four passes are 1000 ms, so that an
# order given 150 ms later in its pass than the first read in its own costs no pass more.
_CONVERSION_MS = const(850)
_RETRY_MS = 1_000  # after a conversion that could not be ordered

_ALL_ZERO = bytes(9)
_ALL_ONE = b"\xff" * 9
_RAW_MAX = 125 * 16
_RAW_MIN = -55 * 16
_RAW_RESET = 0x0550  # 85.0 °C
_RAW_UNDERPOWERED = 0x07FF
_COUNT_AFTER_85 = 0x10
_ELEVEN_BIT = 0x5F  # configuration byte; 9 and 10 bit are steps of 0.5 and 0.25 °C


class Ds18b20Bus:
    """Several chips on one line.

    wire has the interface of MicroPython's onewire.OneWire: reset() -> bool, write(buf) and
    readinto(buf). probes is a sequence of (ROM code of 8 bytes, Reading in m°C). ticks() is the
    board's clock at the moment it is called, in ms that wrap. once reads every chip once, then
    leaves the line alone.

    A reading's taken_ms is the moment the conversion was ordered. A failed read leaves a fault
    word and the next cycle tries again. A probe whose ROM code is damaged, is no DS18B20's or is
    bound a second time never gets a value and is always FOREIGN: two readings must not share one
    chip, since process and protection are to have a sensor each.
    """

    def __init__(
        self,
        wire: "Wire",
        probes: "Iterable[tuple[bytes, Reading]]",
        ticks: "Ticks",
        once: bool = False,
    ) -> None:
        self._wire = wire
        self._ticks = ticks
        self._once = once
        self._readings: list[Reading] = []
        self._requests: list[bytes | None] = []
        for rom, reading in probes:
            request = _MATCH_ROM + bytes(rom) + _READ_SCRATCHPAD if is_rom(rom) else None
            self._requests.append(None if request in self._requests else request)
            self._readings.append(reading)
        self._scratchpad = bytearray(9)
        self._due_ms = 0
        self._started_ms = 0
        self._converting_since = 0  # in ticks
        self.begin()

    def begin(self) -> None:
        """Forget a conversion that is under way: the line was used by another."""
        self._next = len(self._readings)

    def step(self, now_ms: int) -> None:
        """Read one chip, or order a conversion, or both, or wait. Never raises."""
        if now_ms < self._due_ms or not self._readings:
            return
        at = self._next
        if at < len(self._readings):
            if at == 0 and ticks_diff(self._ticks(), self._converting_since) < _CONVERSION_MS:
                return
            self._read(at)
            self._next = at + 1
            if self._next < len(self._readings) or self._once:
                return
        elif self._once and self._started_ms:
            return
        self._convert(now_ms)

    def _convert(self, now_ms: int) -> None:
        fault = self._ask(_CONVERT_ALL, None)
        if fault:
            self._due_ms = now_ms + _RETRY_MS
            for reading in self._readings:
                reading.bad(fault)
            return
        self._converting_since = self._ticks()
        self._started_ms = now_ms
        self._next = 0

    def _read(self, index: int) -> None:
        reading = self._readings[index]
        request = self._requests[index]
        fault = FOREIGN if request is None else self._ask(request, self._scratchpad)
        if fault == OK:
            fault = fault_word(self._scratchpad)
        if fault == OK:
            reading.good(millicelsius(self._scratchpad), self._started_ms)
        else:
            reading.bad(fault)

    def _ask(self, request: bytes, answer: bytearray | None) -> str:
        """Reset and send a request, fill answer; the fault word of the line, or OK."""
        try:
            if not self._wire.reset():
                return ABSENT
            self._wire.write(request)
            if answer is not None:
                self._wire.readinto(answer)
        except Exception as error:
            # OneWireError means that no presence pulse came. It is known by its name because
            # only the board has its module.
            return ABSENT if type(error).__name__ == "OneWireError" else BUS
        return OK


def fault_word(scratchpad: bytearray) -> str:
    """What is wrong with the 9 bytes of a scratchpad, or OK.

    Bytes 4, 5 and 7 hold bits that are fixed in every DS18B20; they reveal another chip, or a
    line that answers by itself. 85.0 °C is what the temperature register holds after
    power-up. It counts as measured only when byte 6 holds 10h, what a genuine chip leaves there
    after converting to 85.0 °C (community finding, from memory); with 0Ch, the reset value, or
    anything else it is POWER_ON. That may cost a clone one true reading as it passes 85.0 °C; the
    opposite choice would take a chip that keeps losing its supply for a heater body at 85 °C,
    below its limit, for ever.
    """
    # Whole patterns first: all zeros pass the CRC, and all ones fail it for another reason.
    if scratchpad == _ALL_ZERO:
        return SHORT
    if scratchpad == _ALL_ONE:
        return ABSENT
    if crc8.maxim(scratchpad, 0, 8) != scratchpad[8]:
        return CRC
    if scratchpad[4] & 0x9F != 0x1F or scratchpad[5] != 0xFF or scratchpad[7] != 0x10:
        return FOREIGN
    if scratchpad[4] < _ELEVEN_BIT:
        return COARSE
    raw = _raw(scratchpad)
    if raw == _RAW_RESET and scratchpad[6] != _COUNT_AFTER_85:
        return POWER_ON
    if raw == _RAW_UNDERPOWERED:
        return UNDERPOWERED
    if not _RAW_MIN <= raw <= _RAW_MAX:
        return FOREIGN
    return OK


def millicelsius(scratchpad: bytearray) -> int:
    """Temperature in m°C from a scratchpad that has no fault.

    A step is 62.5 m°C; an odd number of steps is rounded down by half a m°C. At 9, 10 and 11 bit
    the lowest 3, 2 and 1 bits are undefined by the datasheet and are left out.
    """
    unused = 3 - (scratchpad[4] >> 5 & 0x03)
    return (_raw(scratchpad) >> unused << unused) * 125 // 2


def _raw(scratchpad: bytearray) -> int:
    raw = scratchpad[0] | scratchpad[1] << 8
    return raw - 0x10000 if raw & 0x8000 else raw


def is_rom(rom: bytes | bytearray) -> bool:
    """Whether this is the undamaged ROM code of a DS18B20: 8 bytes, family 28h, CRC right."""
    return len(rom) == 8 and rom[0] == _FAMILY and crc8.maxim(rom, 0, 7) == rom[7]


def suspect_clone(rom: bytes | bytearray) -> bool:
    """Whether a ROM code lacks the two zero bytes of a genuine chip's serial number.

    Genuine: 28-xx-xx-xx-xx-00-00-crc (community finding, from memory). A clone may be outside
    +-0.5 °C.
    """
    return not (rom[0] == _FAMILY and rom[5] == 0 and rom[6] == 0)


def find_chips(wire: "Wire") -> list[bytes]:
    """ROM codes of the DS18B20s on the line.

    For binding probes with everything off, never in a pass: a search takes some 15 ms a chip.
    Whatever the bus raises goes through to the caller.
    """
    return [bytes(rom) for rom in wire.scan() if is_rom(rom)]
