"""Stirrer current and supply voltage on the ADC."""

from stand_in_bus import CLOCK, Adc, DeadI2c, DeadWire
from stand_in_rig import ROMS

from glossbath_board.probes import Probes
from glossbath_board.reading import BUS, HIGH, LOW, OK, Reading
from glossbath_board.sensors.analog import (
    AnalogInput,
    divider_full_scale_mv,
    shunt_full_scale_ma,
)
from glossbath_board.settings import Settings


def read_once(counts, **settings):
    reading = Reading("input")
    AnalogInput(Adc(counts), reading, **settings).step(4_000)
    return reading


def test_stirrer_current_from_a_shunt_and_its_amplifier():
    # Ohm's law: 50 mOhm and a gain of 20 make 1 V per ampere, so 3.3 V is 3300 mA.
    full = shunt_full_scale_ma(3_300, 50, 20)
    assert full == 3_300
    reading = read_once(32_768, full_scale_milli=full)
    assert (reading.fault, reading.taken_ms) == (OK, 4_000)
    assert abs(reading.milli - 1_650) <= 1
    # A motor that stands still is a value, not a fault.
    assert read_once(0, full_scale_milli=full).milli == 0


def test_supply_voltage_from_a_divider():
    # 47 kOhm over 10 kOhm: 5.7 times the converter's 3.3 V.
    full = divider_full_scale_mv(3_300, 47_000, 10_000)
    assert full == 18_810
    twelve_volt = int(65535 * 12 / 18.81)
    assert abs(read_once(twelve_volt, full_scale_milli=full).milli - 12_000) <= 2


def test_the_boards_own_parts_turn_counts_into_volts_and_amperes():
    # hardware/wiring.toml, [scale]: 4.9 V on the rail for each volt at the pin, 1 V per ampere.
    motor, rail = Adc(int(65_535 * 0.8 / 3.3)), Adc(int(65_535 * 12.0 / 4.9 / 3.3))
    settings = Settings({"probes": ROMS})
    made = Probes(DeadWire(), motor, rail, Adc(0), DeadI2c(), None, settings, CLOCK)
    made.step(1_000)
    assert abs(made.supply.milli - 12_000) <= 5
    assert abs(made.stir_current.milli - 800) <= 2


def test_a_sensor_with_zero_in_the_middle():
    # A Hall sensor: half of the supply at 0 A, -5 A at 0 V, 5 A at 3.3 V.
    settings = {"full_scale_milli": 5_000, "zero_milli": -5_000}
    assert abs(read_once(32_768, **settings).milli) <= 1
    assert abs(read_once(16_384, **settings).milli + 2_500) <= 1
    assert read_once(0, **settings).milli == -5_000


def test_the_top_of_the_range_is_a_fault_and_not_a_value():
    for count in (65_535, 65_200):
        reading = read_once(count, full_scale_milli=3_300)
        assert (reading.fault, reading.milli) == (HIGH, None)
    assert read_once(65_000, full_scale_milli=3_300).fault == OK


def test_a_broken_wire_of_an_input_that_is_never_near_zero():
    settings = {"full_scale_milli": 18_810, "live_count": 1_000}
    reading = read_once(40, **settings)
    assert (reading.fault, reading.milli) == (LOW, None)
    assert read_once(1_000, **settings).fault == OK


def test_noise_is_averaged():
    assert abs(read_once([30_000, 35_536], full_scale_milli=3_300).milli - 1_650) <= 1


def test_a_converter_that_raises_is_a_bus_fault():
    reading = read_once([1, OSError(5)], full_scale_milli=3_300)
    assert (reading.fault, reading.milli, reading.faults_in_row) == (BUS, None, 1)
