# Stand-in for the board's machine module, talking to the virtual rig.
import sys

import bench

VIRTUAL = True
PWRON_RESET = 1
WDT_RESET = 3


class Pin:
    IN = 0
    OUT = 1
    PULL_UP = 1
    PULL_DOWN = 2

    def __init__(self, number, mode=-1, pull=-1, value=None):
        self._number = number
        if value is not None:
            self.value(value)

    def value(self, level=None):
        if level is None:
            return bench.inputs >> self._number & 1
        bench.post(b"P" + bytes((self._number, 1 if level else 0)))
        return None

    def __call__(self, level):
        self.value(level)


class SPI:
    def __init__(
        self, unit, baudrate=1000000, polarity=0, phase=0, sck=None, mosi=None, miso=None
    ):
        pass

    def write_readinto(self, out, answer):
        answer[:] = bench.ask(b"M" + bytes((len(out),)) + bytes(out), len(out))


class ADC:
    def __init__(self, pin):
        self._at = pin._number - 26

    def read_u16(self):
        return bench.analog[self._at]


class I2C:
    def __init__(self, unit, scl=None, sda=None, freq=400000, timeout=50000):
        pass

    def writeto(self, address, buf):
        if bench.ask(b"I" + bytes((address, len(buf))) + bytes(buf), 1)[0] != 1:
            raise OSError(5)

    def readfrom_into(self, address, buf):
        answer = bench.ask(b"i" + bytes((address, len(buf))), 1 + len(buf))
        if answer[0] != 1:
            raise OSError(5)
        buf[:] = answer[1:]


class WDT:
    def __init__(self, timeout=5000):
        if timeout > 8388:
            raise ValueError("timeout")
        bench.post(b"D" + timeout.to_bytes(4, "little"))

    def feed(self):
        bench.post(b"F")


def unique_id():
    return bench.ask(b"U", 8)


def reset_cause():
    return bench.ask(b"C", 1)[0]


def reset():
    if sys.implementation.name != "micropython" and sys.exc_info()[1] is not None:
        import traceback

        traceback.print_exc()  # into the rig's file of firmware errors
    bench.leave(b"X")
    sys.exit(0)
