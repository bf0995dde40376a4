"""SHT3x: temperature and humidity of the room, on I2C.

Four passes of 250 ms make one cycle of a second:

    pass 0  once a minute, and until it has been seen off: is the chip's own heater off?
    pass 1  single shot, high repeatability, no clock stretching (2400h)
    pass 2  the answer, six bytes (a measurement takes 15.5 ms at most, from memory)

The heater would warm the chip by degrees, so no value counts before the status register has shown
it off. Commands and formats: SHT3x datasheet, version 7.
A line held low reads as zeros, which is SHORT; one that nothing drives reads as ones, ABSENT.
Neither passes the CRC.
"""

from ..reading import ABSENT, BUS, CRC, OK, SHORT, Reading
from . import crc8
from .rounds import Rounds

if False:  # for the type checker alone
    from ..kinds import I2c

_MEASURE = b"\x24\x00"
_READ_STATUS = b"\xf3\x2d"
_HEATER_OFF = b"\x30\x66"
_HEATER_BIT = 0x20  # bit 13: in the upper byte
_CYCLES_A_CHECK = 60

_ALL_ZERO = bytes(6)
_ALL_ONE = b"\xff" * 6

_EIO = 5  # what the board's own I2C raises when no chip acknowledges
_ENODEV = 19  # what the software I2C raises


class Sht3x(Rounds):
    """One chip.

    i2c has writeto(address, buf) and readfrom_into(address, buf). celsius gets m°C, humidity
    m%RH, each judged by its own CRC; taken_ms is the moment the measurement was ordered.
    Nobody acknowledging is ABSENT, any other exception BUS; both spoil both readings, and the
    next cycle tries again.
    """

    def __init__(
        self, i2c: "I2c", celsius: Reading, humidity: Reading, address: int = 0x44
    ) -> None:
        super().__init__()
        self._i2c = i2c
        self._celsius = celsius
        self._humidity = humidity
        self._address = address
        self._answer = bytearray(6)
        self._status = bytearray(3)
        self._cycles_left = 0

    def _do(self, at: int, now_ms: int) -> str:
        if at == 0:
            return self._check_heater()
        if at == 1:
            self._started_ms = now_ms
            self._i2c.writeto(self._address, _MEASURE)
        elif at == 2:
            self._i2c.readfrom_into(self._address, self._answer)
            return self._read_answer()
        return OK

    def _fail(self, fault: str) -> None:
        self._cycles_left = 0
        self._celsius.bad(fault)
        self._humidity.bad(fault)

    @staticmethod
    def _word_for(error: Exception) -> str:
        """ABSENT when nobody acknowledged, else BUS."""
        known = isinstance(error, OSError) and error.args and error.args[0] in (_EIO, _ENODEV)
        return ABSENT if known else BUS

    def _check_heater(self) -> str:
        if self._cycles_left:
            self._cycles_left -= 1
            return OK
        self._i2c.writeto(self._address, _READ_STATUS)
        self._i2c.readfrom_into(self._address, self._status)
        if crc8.sensirion(self._status, 0, 2) != self._status[2]:
            return CRC
        if self._status[0] & _HEATER_BIT:
            self._i2c.writeto(self._address, _HEATER_OFF)
            return BUS
        self._cycles_left = _CYCLES_A_CHECK - 1
        return OK

    def _read_answer(self) -> str:
        """Fill both readings, or give the fault word that holds for both."""
        if self._answer == _ALL_ZERO:
            return SHORT
        if self._answer == _ALL_ONE:
            return ABSENT
        self._fill(self._celsius, 0, 35_000, -45_000)
        self._fill(self._humidity, 3, 20_000, 0)
        return OK

    def _fill(self, reading: Reading, start: int, fifth_of_span: int, lowest: int) -> None:
        answer = self._answer
        if crc8.sensirion(answer, start, start + 2) == answer[start + 2]:
            word = answer[start] << 8 | answer[start + 1]
            reading.good(lowest + scaled(word, fifth_of_span), self._started_ms)
        else:
            reading.bad(CRC)


def scaled(word: int, fifth_of_span: int) -> int:
    """word/65535 of five times fifth_of_span, to the nearest whole number.

    65535 is 5 * 13107. Whole multiples of 13107 are split off first, which keeps every product
    within the board's 30-bit integers.
    """
    return word // 13107 * fifth_of_span + (word % 13107 * fifth_of_span + 6553) // 13107
