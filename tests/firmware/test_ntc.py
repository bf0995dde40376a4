"""10 kOhm NTC: datasheet table, a second set of coefficients, broken and shorted sensors."""

from stand_in_bus import Adc

from glossbath_board.reading import BUS, OK, OPEN, SHORT, Reading
from glossbath_board.sensors.ntc import NTCLE100E3103, Ntc, millicelsius


def count_for(ohm, series_ohm=10_000):
    """What a 16-bit converter reads across a thermistor with a resistor to the supply."""
    return int(65535 * ohm / (ohm + series_ohm) + 0.5)


def read_once(counts, series_ohm=10_000):
    reading = Reading("body")
    Ntc(Adc(counts), reading, series_ohm=series_ohm).step(7_000)
    return reading


def test_the_table_of_the_datasheet():
    # Vishay NTCLE100E3103 datasheet, resistance table (in several repositories "from the
    # datasheet"); its own coefficients reproduce it to 0.011 °C.
    for celsius, ohm in (
        (-20, 96_358),
        (0, 32_554),
        (25, 10_000),
        (50, 3_605),
        (85, 1_070),
        (100, 677.3),
    ):
        milli = millicelsius(ohm / 10_000, NTCLE100E3103)
        assert abs(milli - celsius * 1000) <= 12, (celsius, milli)


def test_points_of_the_working_range():
    # From the datasheet's inverse formula ln(R/R25) = A + B/T + C/T^2 + D/T^3.
    for celsius, ohm in (
        (20, 12_487.7),
        (27, 9_166.2),
        (30, 8_059.1),
        (32, 7_405.4),
        (40, 5_329.9),
        (45, 4_371.7),
    ):
        milli = millicelsius(ohm / 10_000, NTCLE100E3103)
        assert abs(milli - celsius * 1000) <= 10, (celsius, milli)


def test_a_three_term_equation_through_another_makers_points():
    # ILX Lightwave LDT-5525 manual, table A.1: 0, 10, 20, 25, 30, 50 °C; the coefficients go
    # through 0, 25 and 50 °C.
    three_terms = (1.10415912e-3, 2.38917947e-4, 0.0, 6.93162653e-8)
    for celsius, ohm in ((0, 32128), (10, 19549), (20, 12262), (25, 9814), (30, 7908), (50, 3542)):
        milli = millicelsius(ohm / 1, three_terms)
        assert abs(milli - celsius * 1000) <= 3, (celsius, milli)


def test_the_coefficients_of_another_part_can_be_given():
    reading = Reading("body")
    three_terms = (1.10415912e-3, 2.38917947e-4, 0.0, 6.93162653e-8)
    adc = Adc(count_for(7_908))  # LDT-5525 manual, 30 °C
    Ntc(adc, reading, coefficients=three_terms, reference_ohm=1).step(0)
    assert abs(reading.milli - 30_000) <= 5


def test_a_divider_reads_the_temperature():
    for celsius, ohm in ((0, 32_554), (25, 10_000), (50, 3_605), (85, 1_070)):
        reading = read_once(count_for(ohm))
        assert (reading.fault, reading.taken_ms) == (OK, 7_000)
        # One count of the converter is 0.03 °C at 85 °C.
        assert abs(reading.milli - celsius * 1000) <= 40, (celsius, reading.milli)
    assert abs(read_once(count_for(3_605, 4_700), 4_700).milli - 50_000) <= 15


def test_noise_is_averaged():
    middle = count_for(10_000)
    reading = read_once([middle - 600, middle + 600])
    assert abs(reading.milli - 25_000) <= 5


def test_a_broken_wire_is_open_and_never_cold():
    for count in (65_535, 65_000, 62_500):
        reading = read_once(count)
        assert (reading.fault, reading.milli) == (OPEN, None), count


def test_a_shorted_sensor_is_short_and_never_hot():
    for count in (0, 100, 640):
        reading = read_once(count)
        assert (reading.fault, reading.milli) == (SHORT, None), count


def test_a_converter_that_raises_is_a_bus_fault():
    reading = read_once(OSError(5))
    assert (reading.fault, reading.milli) == (BUS, None)
