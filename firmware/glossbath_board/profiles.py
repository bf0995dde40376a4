"""Which pin does what, one table a board: `PROFILES[board][signal]` is a GPIO number.

Imports nothing, so the drawings, the tests and the board itself read the same numbers. What each
pin needs on the outside and why a pin was not chosen stands in hardware/pin_notes.py.
Levels: every signal is active high, and a cut or unplugged wire reads or drives low,
which is the safe answer: not armed, stopped, lid open, no water, nothing switched on.
The one exception is `load`, where low means "no voltage at the outlet"; the test at every
start proves that this wire is alive before heat is allowed.
"""

OUTPUTS = ("heat", "relay", "chill", "stir", "lamp")
INPUTS = ("arm", "stop", "lid", "load", "water")
BUSES = ("onewire", "sck", "mosi", "miso", "cs", "sda", "scl")
ANALOG = ("stir_current", "supply", "ntc")
SIGNALS = OUTPUTS + INPUTS + BUSES + ANALOG

_RP2_PINS = {
    "heat": 16,
    "relay": 17,
    "chill": 18,
    "stir": 19,
    "lamp": 25,
    "arm": 20,
    "stop": 21,
    "lid": 22,
    "load": 10,
    "water": 11,
    "onewire": 15,
    "sck": 2,
    "mosi": 3,
    "miso": 4,
    "cs": 5,
    "sda": 8,
    "scl": 9,
    "stir_current": 26,
    "supply": 27,
    "ntc": 28,
}

PROFILES = {
    "rpi_pico": _RP2_PINS,
    "rpi_pico2": _RP2_PINS,
}

# The hardware units that the SPI and I2C pins belong to.
SPI_UNIT = {"rpi_pico": 0, "rpi_pico2": 0}
I2C_UNIT = {"rpi_pico": 0, "rpi_pico2": 0}
