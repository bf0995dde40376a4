"""The only file that imports machine: profile numbers become pins and buses."""

import sys

import machine
import onewire

from .profiles import I2C_UNIT, OUTPUTS, PROFILES, SPI_UNIT

BOARD = "rpi_pico"


class Pins:
    """The board's hardware, made once. Every output is low from the moment its pin exists."""

    def __init__(self) -> None:
        numbers = PROFILES[BOARD]
        pin = machine.Pin
        self.outputs = {name: pin(numbers[name], pin.OUT, value=0) for name in OUTPUTS}
        self.arm = pin(numbers["arm"], pin.IN, pin.PULL_DOWN)
        self.stop = pin(numbers["stop"], pin.IN, pin.PULL_DOWN)
        self.lid = pin(numbers["lid"], pin.IN, pin.PULL_DOWN)
        self.load = pin(numbers["load"], pin.IN, pin.PULL_DOWN)
        self.water = pin(numbers["water"], pin.IN, pin.PULL_DOWN)
        self.wire = onewire.OneWire(pin(numbers["onewire"]))
        self.stir_current = machine.ADC(pin(numbers["stir_current"]))
        self.supply = machine.ADC(pin(numbers["supply"]))
        self.ntc = machine.ADC(pin(numbers["ntc"]))
        # The room's sensor may be absent: a bus that hangs must not hold a pass up for long.
        self.i2c = machine.I2C(
            I2C_UNIT[BOARD],
            scl=pin(numbers["scl"]),
            sda=pin(numbers["sda"]),
            freq=100_000,
            timeout=2_000,
        )
        self.source = sys.stdin.buffer
        self.sink = sys.stdout.buffer
        self.virtual = bool(getattr(machine, "VIRTUAL", False))

    @staticmethod
    def spi() -> tuple:
        """The platinum probe's bus, in the MAX31865's mode 1, and its chip select."""
        numbers = PROFILES[BOARD]
        pin = machine.Pin
        bus = machine.SPI(
            SPI_UNIT[BOARD],
            baudrate=1_000_000,
            polarity=0,
            phase=1,
            sck=pin(numbers["sck"]),
            mosi=pin(numbers["mosi"]),
            miso=pin(numbers["miso"]),
        )
        return bus, pin(numbers["cs"], pin.OUT, value=1)

    @staticmethod
    def identity() -> str:
        """The chip's own number, in hex."""
        return "".join("%02x" % byte for byte in machine.unique_id())

    @staticmethod
    def reset_cause() -> int:
        """machine.reset_cause(): what the port knows of why it started."""
        return machine.reset_cause()
