"""Codecs of the sensor drivers against reference libraries, exact fractions and single precision.

The board computes in single precision; a desktop hides what that costs. `Single` rounds after
every operation as the board does.
"""

from __future__ import annotations

import math
import struct
from fractions import Fraction

import pytest
from crccheck.crc import Crc8MaximDow, Crc8Nrsc5
from hypothesis import given
from hypothesis import strategies as st
from stand_in_bus import CLOCK, Adc, ScriptedSpi, ScriptedWire, passes

from glossbath_board.reading import OK, Reading
from glossbath_board.sensors import crc8, ds18b20, max31865, ntc, sht3x

ROM = bytes.fromhex("28FF4033721604E6")  # a real chip's, forum log
THRESHOLDS = bytes.fromhex("68C82FA0")  # 176 and 80 of 430 Ohm, see test_max31865.py


class Single:
    """A float that is rounded to single precision after every operation."""

    def __init__(self, value: object) -> None:
        self.value = struct.unpack("f", struct.pack("f", float(value)))[0]  # type: ignore[arg-type]

    def __float__(self) -> float:
        return float(self.value)

    def __add__(self, other: object) -> Single:
        return Single(self.value + Single(other).value)

    def __sub__(self, other: object) -> Single:
        return Single(self.value - Single(other).value)

    def __mul__(self, other: object) -> Single:
        return Single(self.value * Single(other).value)

    def __truediv__(self, other: object) -> Single:
        return Single(self.value / Single(other).value)

    def __rtruediv__(self, other: object) -> Single:
        return Single(Single(other).value / self.value)

    def __round__(self) -> int:
        return round(self.value)

    __radd__ = __add__
    __rmul__ = __mul__


def in_single(function: object) -> object:
    """A function of the math module as the board has it."""
    return lambda x: Single(function(float(x)))  # type: ignore[operator]


@given(st.binary(max_size=40))
def test_both_crcs_agree_with_crccheck(data: bytes) -> None:
    assert crc8.maxim(data, 0, len(data)) == Crc8MaximDow.calc(data)
    assert crc8.sensirion(data, 0, len(data)) == Crc8Nrsc5.calc(data)


def scratchpad(raw: int) -> bytearray:
    body = struct.pack("<h", raw) + bytes([0x4B, 0x46, 0x7F, 0xFF, 0x10 - (raw & 15), 0x10])
    return bytearray(body + bytes([Crc8MaximDow.calc(body)]))


@given(st.integers(-55 * 16, 125 * 16))
def test_ds18b20_temperature_is_exact_to_half_a_millidegree(raw: int) -> None:
    data = scratchpad(raw)
    assert ds18b20.fault_word(data) == OK
    assert ds18b20.millicelsius(data) == math.floor(Fraction(raw * 1000, 16))


@given(st.integers(-55 * 16, 125 * 16), st.integers(0, 71), st.integers(0, 71))
def test_ds18b20_one_or_two_damaged_bits_never_give_a_value(raw: int, one: int, two: int) -> None:
    # The polynomial has a Hamming distance of 4 up to 119 data bits (Koopman's CRC tables, from
    # memory), and a scratchpad has 64.
    data = scratchpad(raw)
    for bit in {one, two}:
        data[bit // 8] ^= 1 << bit % 8
    assert ds18b20.fault_word(data) != OK


@given(st.lists(st.one_of(st.none(), st.binary(min_size=9, max_size=9)), min_size=1, max_size=6))
def test_ds18b20_takes_any_answer_and_believes_sound_ones(
    answers: list[bytes | None],
) -> None:
    script: list[tuple[bytes, bytes | None]] = []
    for answer in answers:
        absent = answer is None
        script += [(b"\xcc\x44", b""), (b"" if absent else b"\x55" + ROM + b"\xbe", answer)]
    wire = ScriptedWire([*script, (b"\xcc\x44", b"")])
    reading = Reading("bath")
    bus = ds18b20.Ds18b20Bus(wire, [(ROM, reading)], CLOCK)
    now_ms = passes(bus, 0, 1)
    for answer in answers:
        now_ms = passes(bus, now_ms, 4)
        assert (reading.milli is None) == (reading.fault != OK)
        if reading.fault == OK:
            assert answer is not None and Crc8MaximDow.calc(answer[:8]) == answer[8]
            assert -55_000 <= reading.milli <= 125_000
    wire.finish()


class StuckBus:
    """An SPI and an I2C bus on which every byte reads the same."""

    def __init__(self, byte: int) -> None:
        self._byte = byte

    def cs(self, level: int) -> None:
        pass

    def write_readinto(self, out: bytes, answer: bytearray) -> None:
        answer[:] = bytes([self._byte]) * len(out)

    def writeto(self, address: int, buf: bytes) -> None:
        pass

    def readfrom_into(self, address: int, buf: bytearray) -> None:
        buf[:] = bytes([self._byte]) * len(buf)


def test_no_chip_reads_a_value_from_a_bus_stuck_at_one_byte() -> None:
    for byte in range(256):
        readings = [Reading(name) for name in ("wire", "spi", "celsius", "humidity")]
        convert = (b"\xcc\x44", b"")
        wire = ScriptedWire([convert, (b"\x55" + ROM + b"\xbe", bytes([byte]) * 9), convert])
        bus = StuckBus(byte)
        passes(ds18b20.Ds18b20Bus(wire, [(ROM, readings[0])], CLOCK), 0, 5)
        passes(max31865.Max31865(bus, bus.cs, readings[1]), 0, 4)
        passes(sht3x.Sht3x(bus, readings[2], readings[3]), 0, 4)
        assert [(r.milli, r.fault == OK) for r in readings] == [(None, False)] * 4, byte


def pt_ratio(celsius: float) -> float:
    """R/R0 by IEC 60751, with the cubic term below 0 °C."""
    cubic = -4.183e-12 * (celsius - 100) * celsius**3 if celsius < 0 else 0.0
    return 1 + 3.9083e-3 * celsius - 5.775e-7 * celsius**2 + cubic


@pytest.mark.parametrize(("nominal", "reference"), [(100, 430), (100, 400), (1000, 4300)])
def test_pt_in_single_precision(
    nominal: int, reference: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = int(pt_ratio(0) * nominal / reference * 32768)
    last = int(pt_ratio(100) * nominal / reference * 32768) + 1
    codes = range(first, last + 1)
    desktop = [max31865.millicelsius(code, nominal, reference) for code in codes]
    monkeypatch.setattr(max31865, "sqrt", in_single(math.sqrt))
    monkeypatch.setattr(max31865, "_A", Single(max31865._A))
    monkeypatch.setattr(max31865, "_B", Single(max31865._B))
    board = [max31865.millicelsius(code, nominal, reference) for code in codes]
    for code, wide, narrow in zip(codes, desktop, board, strict=True):
        assert abs(narrow - wide) <= 1
        # Back through the standard's own formula, in double precision.
        assert math.isclose(
            pt_ratio(wide / 1000) * nominal / reference * 32768, code, abs_tol=0.02
        )


@given(st.floats(-50, 200))
def test_pt_conversion_undoes_the_standard_formula(celsius: float) -> None:
    code = round(pt_ratio(celsius) / 4.3 * 32768)
    # Half a step of the converter, and below 0 °C the cubic term that is left out.
    left_out = 20 * (celsius / -50) ** 3 if celsius < 0 else 0
    assert abs(max31865.millicelsius(code, 100, 430) - celsius * 1000) <= 19 + left_out


def read_max31865(registers: bytes) -> Reading:
    """The reading after a cycle in which the chip answered with these registers."""
    reading = Reading("bath")
    spi = ScriptedSpi(
        [
            (b"\x80\x93", None),
            (b"\x83" + THRESHOLDS, None),
            (b"\x80\x95", None),
            (b"\x80\xb1", None),
            (bytes(9), registers),
            (b"\x80\x11", None),
        ]
    )
    passes(max31865.Max31865(spi, spi.cs, reading), 0, 4)
    spi.finish()
    return reading


@given(st.binary(min_size=9, max_size=9))
def test_max31865_takes_any_registers(registers: bytes) -> None:
    reading = read_max31865(registers)
    assert (reading.milli is None) == (reading.fault != OK)


@given(st.integers(0, 0xFFFF), st.integers(0, 0xFF))
def test_max31865_believes_a_live_chip_within_its_thresholds_only(rtd: int, status: int) -> None:
    registers = b"\xff\x91" + rtd.to_bytes(2, "big") + THRESHOLDS + bytes([status])
    reading = read_max31865(registers)
    sound = not rtd & 1 and not status & 0xFC and 0x2FA0 < rtd < 0x68C8
    assert (reading.fault == OK) == sound
    if sound:
        assert -52_000 < reading.milli < 201_000


def ntc_ohm(celsius: float) -> float:
    """Vishay NTCLE100E3103: the datasheet's ln(R/R25) = A + B/T + C/T^2 + D/T^3."""
    kelvin = celsius + 273.15
    return 10_000 * math.exp(
        -14.63372 + 4791.842 / kelvin - 115334 / kelvin**2 - 3.730535e6 / kelvin**3
    )


def test_ntc_in_single_precision(monkeypatch: pytest.MonkeyPatch) -> None:
    tenths = range(-200, 1251)
    ratios = [ntc_ohm(tenth / 10) / 10_000 for tenth in tenths]
    desktop = [ntc.millicelsius(ratio, ntc.NTCLE100E3103) for ratio in ratios]
    monkeypatch.setattr(ntc, "log", in_single(math.log))
    coefficients = tuple(Single(term) for term in ntc.NTCLE100E3103)
    board = [ntc.millicelsius(Single(ratio), coefficients) for ratio in ratios]  # type: ignore[arg-type]
    for tenth, wide, narrow in zip(tenths, desktop, board, strict=True):
        assert abs(narrow - wide) <= 1
        # The datasheet's two formulas differ by up to 0.012 °C.
        assert abs(wide - tenth * 100) <= 13


@given(st.integers(0, 0xFFFF), st.integers(1_000, 100_000))
def test_ntc_gives_a_plausible_value_or_none(count: int, series_ohm: int) -> None:
    reading = Reading("body")
    ntc.Ntc(Adc(count), reading, series_ohm=series_ohm).step(0)
    if reading.fault == OK:
        assert -34_000 < reading.milli < 178_000
    else:
        assert reading.milli is None


def test_every_word_of_sht3x_is_exact_and_fits_small_integers() -> None:
    for span in (35_000, 20_000):
        # The board's integers above 2**30 allocate.
        assert 13_106 * span + 6_553 < 2**30
        for word in range(0x10000):
            exact = Fraction(word * 5 * span, 65535)
            assert abs(sht3x.scaled(word, span) - exact) <= Fraction(1, 2)
