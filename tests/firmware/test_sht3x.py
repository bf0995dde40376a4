"""SHT3x: datasheet vectors, both CRCs, the heater, a line that hangs."""

from stand_in_bus import ScriptedI2c, passes

from glossbath_board.reading import ABSENT, BUS, CRC, NONE_YET, OK, SHORT, Reading
from glossbath_board.sensors import crc8
from glossbath_board.sensors.sht3x import Sht3x, scaled

MEASURE = [(b"\x24\x00", b"")]


def with_crc(word):
    data = bytes([word >> 8, word & 0xFF])
    return data + bytes([crc8.sensirion(data, 0, 2)])


def status(word):
    return [(b"\xf3\x2d", b""), (b"", with_crc(word))]


def answer(celsius_word, humidity_word):
    return [(b"", with_crc(celsius_word) + with_crc(humidity_word))]


GOOD = MEASURE + answer(0x6666, 0x6666)


def run(script, cycles=1):
    """Both readings after some cycles of a second; the script must be used up."""
    i2c = ScriptedI2c(script)
    celsius, humidity = Reading("room"), Reading("humidity")
    passes(Sht3x(i2c, celsius, humidity), 2_000, 4 * cycles)
    i2c.finish()
    return celsius, humidity


def test_conversions_of_the_datasheet():
    # SHT3x datasheet v7: T = -45 + 175 S/65535, RH = 100 S/65535; values in closed form.
    for word, milli_celsius, milli_percent in (
        (0x6666, 25_000, 40_000),
        (0x8000, 42_501, 50_001),  # 42.501335 °C, 50.000763 %; a divisor of 65536 gives 42.5
        (0x0000, -45_000, 0),
        (0xFFFF, 130_000, 100_000),
    ):
        assert scaled(word, 35_000) - 45_000 == milli_celsius, hex(word)
        assert scaled(word, 20_000) == milli_percent, hex(word)


def test_one_cycle_a_second_gives_both_values():
    celsius, humidity = run(status(0x8010) + GOOD)
    assert (celsius.fault, celsius.milli, celsius.taken_ms) == (OK, 25_000, 2_250)
    assert (humidity.fault, humidity.milli, humidity.taken_ms) == (OK, 40_000, 2_250)


def test_the_answer_is_not_fetched_in_the_pass_that_asked():
    i2c = ScriptedI2c(status(0) + MEASURE)
    celsius = Reading("room")
    passes(Sht3x(i2c, celsius, Reading("humidity")), 0, 2)
    i2c.finish()
    assert celsius.fault == NONE_YET


def test_the_other_address():
    i2c = ScriptedI2c(status(0) + GOOD, address=0x45)
    celsius = Reading("room")
    passes(Sht3x(i2c, celsius, Reading("humidity"), address=0x45), 0, 4)
    i2c.finish()
    assert celsius.milli == 25_000


def test_each_value_is_judged_by_its_own_crc():
    whole = with_crc(0x6666) + with_crc(0x6666)
    for index in range(6):
        data = bytearray(whole)
        data[index] ^= 0x10
        celsius, humidity = run(status(0) + MEASURE + [(b"", bytes(data))])
        damaged, sound = (celsius, humidity) if index < 3 else (humidity, celsius)
        assert (damaged.fault, damaged.milli) == (CRC, None), index
        assert sound.fault == OK, index


def test_a_held_line_is_never_a_value():
    for data, word in ((bytes(6), SHORT), (b"\xff" * 6, ABSENT)):
        for reading in run(status(0) + MEASURE + [(b"", data)]):
            assert (reading.fault, reading.milli) == (word, None)


def test_nobody_acknowledging_is_absent_and_anything_else_is_the_bus():
    # EIO from the board's own I2C, ENODEV from the software one; ETIMEDOUT when SDA hangs low.
    for error, word in (
        (OSError(5), ABSENT),
        (OSError(19), ABSENT),
        (OSError(110), BUS),
        (RuntimeError(), BUS),
    ):
        failure = [(b"", error)]
        for at in range(4):
            # In each transfer in turn: status order, status, measuring order, answer.
            script = (status(0) + GOOD)[:at] + failure
            for reading in run(script):
                assert (reading.fault, reading.milli, reading.faults_in_row) == (word, None, 1)


def test_a_failed_cycle_is_followed_by_a_fresh_one():
    failure = [(b"", OSError(110))]
    celsius, humidity = run(failure + status(0) + GOOD, cycles=2)
    assert (celsius.milli, humidity.milli) == (25_000, 40_000)
    assert celsius.faults_in_row == 0


def test_no_value_counts_while_the_heater_is_on():
    # Status bit 13 is the heater (datasheet, status register).
    heater_off = [(b"\x30\x66", b"")]
    turned_off = status(0x2000) + heater_off
    for reading in run(turned_off):
        assert (reading.fault, reading.milli) == (BUS, None)
    celsius, _ = run(turned_off + status(0) + GOOD, cycles=2)
    assert celsius.milli == 25_000


def test_a_damaged_status_does_not_show_the_heater_off():
    celsius, _ = run([(b"\xf3\x2d", b""), (b"", b"\x00\x00\x00")])
    assert celsius.fault == CRC


def test_the_heater_is_looked_at_once_a_minute():
    celsius, _ = run(status(0) + GOOD * 60 + status(0) + GOOD * 60, cycles=120)
    assert celsius.milli == 25_000
