"""MAX31865: IEC 60751 and datasheet tables, register traffic, every fault told apart."""

from stand_in_bus import ScriptedSpi, passes

from glossbath_board.reading import BUS, HIGH, LOW, NONE_YET, OK, OPEN, SHORT, Reading
from glossbath_board.sensors.max31865 import Max31865, fault_word, millicelsius

# Three wires, 50 Hz, Pt100 with 430 Ohm: thresholds 0.8 and 1.76 times 100 Ohm, as 15-bit ratios
# shifted left by one: 6096 << 1 = 2FA0h, 13412 << 1 = 68C8h.
THRESHOLDS = bytes.fromhex("68C82FA0")
START = [(b"\x80\x93", bytes(2)), (b"\x83" + THRESHOLDS, bytes(5))]
DETECT = [(b"\x80\x95", bytes(2))]
CONVERT = [(b"\x80\xb1", bytes(2))]
OFF = [(b"\x80\x11", bytes(2))]
READ = bytes(9)


def registers(rtd, status=0, config=0x91, thresholds=THRESHOLDS):
    """What the chip sends for a read of all registers; the first byte comes with the address."""
    return b"\xff" + bytes([config, rtd >> 8, rtd & 0xFF]) + thresholds + bytes([status])


def cycle(answer):
    return START + DETECT + CONVERT + [(READ, answer)] + OFF


def read_once(answer):
    """The reading after one cycle in which the chip answered with these registers."""
    spi = ScriptedSpi(cycle(answer))
    reading = Reading("bath")
    passes(Max31865(spi, spi.cs, reading), 1_000, 4)
    spi.finish()
    return reading


def code_for(ohm, reference_ohm):
    return int(ohm / reference_ohm * 32768 + 0.5)


def test_the_iec_60751_table():
    # IEC 60751 coefficients A, B, C; values worked out in closed form, 20, 50 and 100 °C also read
    # in two repositories that quote the standard.
    table = (
        (-10, 96.0859),
        (0, 100.0),
        (20, 107.7935),
        (25, 109.7347),
        (27, 110.5103),
        (30, 111.6729),
        (31.5, 112.2538),
        (32, 112.4474),
        (40, 115.5408),
        (45, 117.4704),
        (50, 119.3971),
        (60, 123.2419),
        (100, 138.5055),
    )
    for celsius, ohm in table:
        for nominal, reference in ((100, 430), (100, 400), (1000, 4300), (1000, 4000)):
            code = code_for(ohm * nominal / 100, reference)
            # Half a step of the converter is about 0.017 °C.
            milli = millicelsius(code, nominal, reference)
            assert abs(milli - celsius * 1000) <= 19, (celsius, nominal, reference, milli)


def test_the_register_table_of_the_datasheet():
    # MAX31865 datasheet 19-6478, table 9 "Temperature Example for PT100 with 400 Ohm RREF".
    table = (
        (-10, 0x3D7E),
        (0, 0x4000),
        (10, 0x4280),
        (20, 0x44FC),
        (30, 0x4778),
        (40, 0x49F2),
        (50, 0x4C6A),
        (60, 0x4EE0),
        (70, 0x5154),
        (80, 0x53C6),
        (90, 0x5636),
        (100, 0x58A4),
        (110, 0x5B12),
        (150, 0x64B0),
    )
    for celsius, register in table:
        milli = millicelsius(register >> 1, 100, 400)
        # The table's ratios are rounded to a step of 0.03 °C.
        assert abs(milli - celsius * 1000) <= 33, (celsius, milli)


def test_one_cycle_a_second_gives_a_value_as_of_its_conversion():
    spi = ScriptedSpi(cycle(registers(0x4448)))
    reading = Reading("bath")
    driver = Max31865(spi, spi.cs, reading)
    now_ms = passes(driver, 1_000, 3)
    assert reading.fault == NONE_YET
    passes(driver, now_ms, 1)
    spi.finish()
    # 4448h is 8740/32768 of 430 Ohm = 114.69 Ohm, 37.8 °C by the IEC 60751 table.
    assert reading.fault == OK
    assert abs(reading.milli - 37_800) < 50
    assert reading.taken_ms == 1_500


def test_wires_and_mains_choose_the_configuration():
    for wires, mains_hz, bits in ((2, 60, 0x00), (4, 50, 0x01), (3, 60, 0x10)):
        spi = ScriptedSpi([(bytes([0x80, 0x82 | bits]), bytes(2)), (START[1][0], bytes(5))])
        Max31865(spi, spi.cs, Reading("bath"), wires=wires, mains_hz=mains_hz).step(0)
        spi.finish()


def test_settings_that_no_chip_can_have_are_refused():
    for settings in (
        {"wires": 5},
        {"mains_hz": 55},
        {"nominal_ohm": 1000},  # with the 430 Ohm of a Pt100 board
        {"nominal_ohm": 0},
        {"reference_ohm": 4_300_000},
    ):
        try:
            Max31865(None, None, Reading("bath"), **settings)
        except ValueError as error:
            assert "MAX31865" in str(error)
        else:
            raise AssertionError(settings)


def test_a_dead_bus_is_never_a_temperature():
    # All zeros would be -242 °C, all ones 988 °C.
    for byte in (0x00, 0x7F, 0xFF, 0x80):
        reading = read_once(bytes([byte]) * 9)
        assert (reading.fault, reading.milli) == (BUS, None), hex(byte)
    # The chip repeats its settings, but its value is one no working chip gives.
    for rtd in (0x0000, 0x7FFF, 0xFFFE, 0xFFFF):
        reading = read_once(registers(rtd))
        assert (reading.fault, reading.milli) == (BUS, None), hex(rtd)


def test_a_cold_sensor_is_a_value():
    # IEC 60751: 84.27 Ohm at -40 °C.
    cold = read_once(registers(code_for(84.27, 430) << 1))
    assert cold.fault == OK
    assert abs(cold.milli + 40_000) < 40


def test_a_chip_that_forgot_its_settings_is_not_believed():
    # Power-on values of the threshold registers: FFFFh and 0000h (datasheet, page 15).
    reading = read_once(registers(0x4448, thresholds=bytes.fromhex("FFFF0000")))
    assert reading.fault == BUS
    # Bias lost, or the conversion not finished.
    assert read_once(registers(0x4448, config=0x11)).fault == BUS
    assert read_once(registers(0x4448, config=0xB1)).fault == BUS


def test_each_fault_of_the_wires_has_its_own_word():
    # Datasheet 19-6478, tables 10 to 12: bits set, resulting data, cause.
    for status, rtd, word in (
        (0xA0, 0xFFFF, OPEN),  # open element: D7 and D5, full scale
        (0x80, 0xFFFF, OPEN),  # RTDIN+ high and not connected to the element
        (0x20, 0x4449, OPEN),  # FORCE+ or FORCE- unconnected: indeterminate
        (0x40, 0x0001, SHORT),  # element shorted: near zero
        (0x48, 0x0001, SHORT),  # RTDIN+ to ground: near zero
        (0x18, 0x4449, LOW),  # RTDIN- to ground: the value looks valid
        (0x08, 0x4449, LOW),
        (0x04, 0x4449, HIGH),  # an input beyond the chip's supply
        (0x84, 0xFFFF, HIGH),
    ):
        reading = read_once(registers(rtd, status))
        assert (reading.fault, reading.milli) == (word, None), hex(status)
    assert fault_word(0) == OK


def test_a_fault_bit_without_a_cause_is_not_a_value():
    assert read_once(registers(0x4449)).fault == BUS


def test_an_element_of_the_wrong_kind_is_not_a_value():
    # A Pt1000 at 20 °C on a Pt100 board: more than full scale, and the chip says so.
    assert read_once(registers(0xFFFF, 0x80)).fault == OPEN
    # The same when the chip's comparison fails.
    assert read_once(registers(0xFFFE)).fault == BUS


def test_an_exception_costs_one_cycle_and_releases_the_chip():
    good = registers(0x4448)
    failure = [(b"", OSError(5))]
    for at in range(5):
        # Each transfer of a cycle in turn: bias, thresholds, detect, convert, read.
        spi = ScriptedSpi(cycle(good)[:at] + failure + cycle(good))
        reading = Reading("bath")
        driver = Max31865(spi, spi.cs, reading)
        now_ms = passes(driver, 0, 4)
        assert (reading.fault, reading.milli, reading.faults_in_row) == (BUS, None, 1), at
        assert spi.level == 1
        passes(driver, now_ms, 4)
        assert (reading.fault, reading.faults_in_row, reading.taken_ms) == (OK, 0, 1_500), at
        spi.finish()
