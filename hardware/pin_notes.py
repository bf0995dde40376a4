"""What the drawings and rules say about each signal and pin, beside the numbers of profiles.py.

The board carries the numbers alone: these words would cost it 10 KB of its memory.
"""

from __future__ import annotations

# What the signal's high level means, in a few words for drawings and screens.
MEANS = {
    "heat": "solid-state relay on",
    "relay": "pulsed: charge pump holds the master relay",
    "chill": "ice-water pump on",
    "stir": "stirrer on",
    "lamp": "status lamp lit",
    "arm": "arm button pressed",
    "stop": "stop button's coil circuit closed",
    "lid": "lid on",
    "load": "voltage at the heater outlet",
    "water": "enough water in the bath",
    "onewire": "DS18B20 probes",
    "sck": "SPI clock",
    "mosi": "SPI board to chip",
    "miso": "SPI chip to board",
    "cs": "SPI chip select, active low",
    "sda": "I2C data",
    "scl": "I2C clock",
    "stir_current": "stirrer motor current",
    "supply": "12 V supply through a divider",
    "ntc": "10 k NTC divider",
}

# External pulls: direction and ohms. Signals that are not here need none.
PULL = {
    "heat": "down",
    "relay": "down",
    "chill": "down",
    "stir": "down",
    "arm": "down",
    "stop": "down",
    "lid": "down",
    "load": "down",
    "water": "down",
    "stir_current": "down",
    "onewire": "up",
    "miso": "up",
    "cs": "up",
    "sda": "up",
    "scl": "up",
}
# Nothing pulled down is above 8.2 k: a floating RP2350 A2 pad can hold itself at about 2.2 V
# and only 8.2 k or less pulls it down (erratum E9).
PULL_OHM = {
    "heat": 4700,
    "relay": 4700,
    "chill": 4700,
    "stir": 4700,
    "arm": 4700,
    "stop": 4700,
    "lid": 4700,
    "load": 6800,
    "water": 4700,
    "stir_current": 4700,
    "onewire": 4700,
    "miso": 10000,
    "cs": 10000,
    "sda": 4700,
    "scl": 4700,
}
PULL_WHY = {
    "heat": "off while the board starts, hangs in its loader or is unplugged",
    "relay": "charge pump stays empty while the board starts or is unplugged",
    "chill": "pump stays still while the board starts or is unplugged",
    "stir": "blades stay still while the board starts or is unplugged",
    "arm": "a cut wire reads: not pressed",
    "stop": "a cut wire reads: stopped",
    "lid": "a cut wire reads: lid open",
    "load": "defined low; the start test proves the high side",
    "water": "a cut wire reads: no water",
    "stir_current": "a cut wire reads: no current, so a stirrer that should turn is a fault",
    "onewire": "the bus idles high; open-drain chips cannot drive it up",
    "miso": "a missing chip reads all ones, which the driver refuses",
    "cs": "no chip is selected while the board starts",
    "sda": "the bus idles high; open-drain chips cannot drive it up",
    "scl": "the bus idles high; open-drain chips cannot drive it up",
}

CHIP = {"rpi_pico": "RP2040", "rpi_pico2": "RP2350"}

# The GPIO numbers that the chip has.
_RP2_GPIO = tuple(range(30))
GPIO = {"rpi_pico": _RP2_GPIO, "rpi_pico2": _RP2_GPIO}
# Those that can measure a voltage.
ADC = {
    "rpi_pico": (26, 27, 28, 29),
    "rpi_pico2": (26, 27, 28, 29),
}
# Pins no signal may use, each with its reason.
_RP2_FORBIDDEN = {
    0: "UART0 TX: kept for a debug console",
    1: "UART0 RX: kept for a debug console",
    23: "sets the mode of the board's own 3.3 V supply",
    24: "senses USB power on the board",
    29: "measures the board's own input voltage",
}
FORBIDDEN = {
    "rpi_pico": _RP2_FORBIDDEN,
    "rpi_pico2": _RP2_FORBIDDEN,
}

# What a pin does between power-on and boot.py; BOOT_OF holds the pins that differ.
BOOT = {
    # pico-sdk, rp2040 pads_bank0.h: pad reset value 0x56, input with pull-down.
    "rpi_pico": "input with a weak internal pull-down",
    "rpi_pico2": "input with a weak pull-down; stepping A2 may float near 2.2 V (E9)",
}
BOOT_OF: dict[str, dict[int, str]] = {
    "rpi_pico": {},
    "rpi_pico2": {},
}

# What to look for when buying the board.
NOTE = {
    "rpi_pico": "The board without radio: a radio would own GPIO 23, 24, 25 and 29.",
    "rpi_pico2": "The board without radio. Every external pull-down must be 8.2 k or less.",
}
