"""MAX31865: a platinum thermometer (Pt100 or Pt1000; two, three or four wires) on SPI.

Four passes of 250 ms make one cycle of a second:

    pass 0  bias on, old faults cleared, thresholds written
    pass 1  the chip's fault detection cycle (0.6 ms at most) looks for broken and touching wires
    pass 2  one conversion (66 ms at most with the 50 Hz filter, from memory)
    pass 3  all eight registers read, bias off

Every cycle writes every register it relies on, so a chip that lost its supply comes back by
itself, and reads them back: a value counts only when the chip repeats its settings. That is what
distinguishes a dead bus, which reads all zeros or all ones, from a very cold or a broken sensor.

Registers, bits and the decoding of faults: MAX31865 datasheet 19-6478, tables 1 to 12.
A broken RTDIN+ wire can go unseen; the datasheet's remedy is 10 MOhm from RTDIN+ to BIAS.
Two wires add the lead's resistance: 0.39 Ohm is 1 °C with a Pt100.
"""

from math import sqrt

from ..reading import BUS, HIGH, LOW, OK, OPEN, SHORT, Reading
from .rounds import Rounds

if False:  # for the type checker alone
    from ..kinds import Select, Spi

_BIAS = 0x80
_ONE_SHOT = 0x20
_THREE_WIRES = 0x10
_DETECT_FAULTS = 0x04
_CLEAR_FAULTS = 0x02
_FILTER_50_HZ = 0x01

_WRITE_CONFIG = 0x80
_WRITE_THRESHOLDS = 0x83

_RTD_HIGH = 0x80
_RTD_LOW = 0x40
_REFIN_HIGH = 0x20
_REFIN_LOW = 0x10
_RTDIN_LOW = 0x08
_VOLTAGE = 0x04

# Thresholds in thousandths of the resistance at 0 °C: about -51 °C and 200 °C. Nothing in a bath
# is ever beyond them, and a Pt100 bound as Pt1000 or the other way round always is.
_LOW_PERMIL = 800
_HIGH_PERMIL = 1_760

# Callendar-Van Dusen, IEC 60751: R = R0 (1 + A t + B t^2) for t >= 0 °C.
_A = 3.9083e-3
_B = -5.775e-7


class Max31865(Rounds):
    """One chip.

    spi has write_readinto(out, in) in mode 1 or 3; cs(0) selects the chip and cs(1) releases it.
    wires is 2, 3 or 4; nominal_ohm is 100 or 1000; reference_ohm is the resistor on the board
    (four times the nominal or more); mains_hz is 50 or 60. reading is in m°C; its taken_ms is the
    moment the conversion was ordered. An exception of the bus abandons the cycle with BUS and the
    next cycle starts afresh. Raises ValueError for a setting that no such chip can have.
    """

    def __init__(
        self,
        spi: "Spi",
        cs: "Select",
        reading: Reading,
        wires: int = 3,
        nominal_ohm: int = 100,
        reference_ohm: int = 430,
        mains_hz: int = 50,
    ) -> None:
        if wires not in (2, 3, 4) or mains_hz not in (50, 60):
            raise ValueError("MAX31865: wires must be 2, 3 or 4 and mains_hz 50 or 60")
        if not 2 * nominal_ohm <= reference_ohm <= 50 * nominal_ohm or nominal_ohm < 1:
            raise ValueError("MAX31865: reference_ohm must be 2 to 50 times nominal_ohm")
        super().__init__()
        self._spi = spi
        self._cs = cs
        self._reading = reading
        self._nominal_ohm = nominal_ohm
        self._reference_ohm = reference_ohm
        self._low = 32768 * nominal_ohm * _LOW_PERMIL // (1000 * reference_ohm)
        self._high = 32768 * nominal_ohm * _HIGH_PERMIL // (1000 * reference_ohm)
        self._prepare_requests(wires, mains_hz)

    def _prepare_requests(self, wires: int, mains_hz: int) -> None:
        base = (_THREE_WIRES if wires == 3 else 0) | (_FILTER_50_HZ if mains_hz == 50 else 0)
        high, low = self._high << 1, self._low << 1
        self._bias_on = bytes((_WRITE_CONFIG, base | _BIAS | _CLEAR_FAULTS))
        self._detect = bytes((_WRITE_CONFIG, base | _BIAS | _DETECT_FAULTS))
        self._convert = bytes((_WRITE_CONFIG, base | _BIAS | _ONE_SHOT))
        self._bias_off = bytes((_WRITE_CONFIG, base))
        self._thresholds = bytes((_WRITE_THRESHOLDS, high >> 8, high & 255, low >> 8, low & 255))
        self._read_all = bytes(9)  # from address 0: config, RTD, thresholds, fault status
        # The chip clears the orders (one-shot, detect, clear) by itself once they are done.
        self._settings = bytes((base | _BIAS,)) + self._thresholds[1:]
        self._config_in = bytearray(2)
        self._thresholds_in = bytearray(5)
        self._registers = bytearray(9)

    def _do(self, at: int, now_ms: int) -> str:
        if at == 0:
            self._transfer(self._bias_on, self._config_in)
            self._transfer(self._thresholds, self._thresholds_in)
        elif at == 1:
            self._transfer(self._detect, self._config_in)
        elif at == 2:
            self._started_ms = now_ms
            self._transfer(self._convert, self._config_in)
        else:
            return self._finish()
        return OK

    def _fail(self, fault: str) -> None:
        self._reading.bad(fault)

    def _transfer(self, out: bytes, answer: bytearray) -> None:
        try:
            self._cs(0)
            self._spi.write_readinto(out, answer)
        finally:
            self._cs(1)

    def _finish(self) -> str:
        self._transfer(self._read_all, self._registers)
        self._transfer(self._bias_off, self._config_in)
        fault = self._judge()
        if fault == OK:
            code = (self._registers[2] << 8 | self._registers[3]) >> 1
            milli = millicelsius(code, self._nominal_ohm, self._reference_ohm)
            self._reading.good(milli, self._started_ms)
        return fault

    def _judge(self) -> str:
        """The fault word for the registers just read, or OK."""
        registers = self._registers
        settings = self._settings
        if registers[1] != settings[0]:
            return BUS
        for i in range(1, 5):
            # Bit 0 of a threshold's lower byte is unused; what it reads as is not specified.
            used = 0xFF if i & 1 else 0xFE
            if (registers[i + 3] ^ settings[i]) & used:
                return BUS
        fault = fault_word(registers[8])
        if fault != OK:
            return fault
        code = (registers[2] << 8 | registers[3]) >> 1
        # The chip itself compares with the thresholds, so beyond them, or with the fault bit set,
        # a clean status contradicts itself.
        if registers[3] & 1 or not self._low < code < self._high:
            return BUS
        return OK


def fault_word(status: int) -> str:
    """The word for a fault status register, or OK.

    Several bits come together; the first of these names the cause (datasheet, tables 10 to 12):
    a wire beyond the chip's supply, an open sensor (reads full scale), a shorted one (near zero),
    a sensor wire to ground (the value looks valid), an open or wrong FORCE wire.
    """
    if status & _VOLTAGE:
        return HIGH
    if status & _RTD_HIGH:
        return OPEN
    if status & _RTD_LOW:
        return SHORT
    if status & (_REFIN_LOW | _RTDIN_LOW):
        return LOW
    if status & _REFIN_HIGH:
        return OPEN
    return OK


def millicelsius(code: int, nominal_ohm: int, reference_ohm: int) -> int:
    """Temperature in m°C from the 15-bit ratio of sensor to reference resistor.

    Solves c = A t + B t^2 with c = R/R0 - 1 as t = 2c / (A + sqrt(A^2 + 4Bc)): no difference of
    nearly equal numbers, and c itself comes from integers, so single precision is good to 1 m°C
    from 0 to 100 °C. Below 0 °C the cubic term of IEC 60751 is left out: 0.1 m°C at -10 °C,
    20 m°C at -50 °C.
    """
    nominal = nominal_ohm * 32768
    c = (code * reference_ohm - nominal) / nominal
    return round(2000.0 * c / (_A + sqrt(_A * _A + 4.0 * _B * c)))
