"""A steady pass of the drivers that work in integers allocates nothing.

MicroPython can lock its heap, and then whatever allocates raises. The drivers turn that into a
fault word, so the tests look for a value. CPython has no such lock: there they only run.
"""

from glossbath_board.reading import OK, Reading
from glossbath_board.sensors.analog import AnalogInput
from glossbath_board.sensors.ds18b20 import Ds18b20Bus
from glossbath_board.sensors.sht3x import Sht3x
from glossbath_board.sensors.switch import Switch

try:
    from micropython import heap_lock, heap_unlock
except ImportError:

    def heap_lock():
        pass

    def heap_unlock():
        pass


class Quiet:
    """Every bus at once, always answering the same and allocating nothing."""

    def __init__(self, answer=b""):
        self._answer = answer

    def reset(self):
        return True

    def write(self, buf):
        pass

    def writeto(self, address, buf):
        pass

    def readinto(self, buf):
        answer = self._answer
        for i in range(len(buf)):
            buf[i] = answer[i]

    def readfrom_into(self, address, buf):
        self.readinto(buf)

    def read_u16(self):
        return 30_000

    def value(self):
        return 1


class Ticks:
    """The clock, without taking anything from the heap."""

    now_ms = 0

    def __call__(self):
        return self.now_ms


TICKS = Ticks()


def steady(driver):
    """Two cycles to settle, then eight passes with the heap locked."""
    for number in range(16):
        TICKS.now_ms = 250 * number
        driver.step(250 * number)
    heap_lock()
    try:
        for number in range(16, 24):
            TICKS.now_ms = 250 * number
            driver.step(250 * number)
    finally:
        heap_unlock()


def test_ds18b20():
    reading = Reading("chocolate")
    # A real chip's ROM code and scratchpad, forum log.
    bus = Quiet(bytes.fromhex("6D014B467FFF0C1068"))
    steady(Ds18b20Bus(bus, [(bytes.fromhex("28FF4033721604E6"), reading)], TICKS))
    assert (reading.fault, reading.milli, reading.taken_ms) == (OK, 22_812, 4_000)


def test_sht3x():
    celsius, humidity = Reading("room"), Reading("humidity")
    steady(Sht3x(Quiet(bytes.fromhex("000081" + "000081")), celsius, humidity))
    assert (celsius.fault, celsius.milli, celsius.taken_ms) == (OK, -45_000, 5_250)
    assert humidity.milli == 0


def test_analog():
    reading = Reading("supply")
    steady(AnalogInput(Quiet(), reading, 18_810))
    assert (reading.fault, reading.taken_ms) == (OK, 5_750)


def test_switch():
    switch = Switch(Quiet())
    steady(switch)
    assert switch.on is True
