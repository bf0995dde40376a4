"""One measured quantity as the board keeps it: an integer value, or the word for what is wrong.

A fault is a value here, never a zero: `milli` is None whenever `fault` is not OK.
"""

# The words travel in frames and appear in the log, so they are plain and short.
OK = ""
NONE_YET = "none yet"  # no conversion has finished since start
ABSENT = "absent"  # nothing answers
SHORT = "short"  # line held to ground: an all-zero scratchpad passes its CRC
CRC = "crc"  # the answer was damaged on the wire
POWER_ON = "power-on"  # the chip's reset value: it lost power during a conversion
UNDERPOWERED = "underpowered"  # the chip's own sign of too little supply
COARSE = "coarse"  # the chip is set to steps too large to control by
OPEN = "open"  # sensor wire broken
LOW = "low"  # sensor wire to ground
HIGH = "high"  # sensor wire to supply
BUS = "bus"  # the chip itself does not answer sensibly
FOREIGN = "foreign"  # a well-formed answer that this chip type cannot give
STALE = "stale"  # the last good value is too old

FAULTS = (
    NONE_YET,
    ABSENT,
    SHORT,
    CRC,
    POWER_ON,
    UNDERPOWERED,
    COARSE,
    OPEN,
    LOW,
    HIGH,
    BUS,
    FOREIGN,
    STALE,
)


class Reading:
    """A quantity in thousandths of its unit (m°C, m%RH) or a fault word, and when it was taken."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.milli: int | None = None
        self.fault = NONE_YET
        self.taken_ms = 0
        self.faults_in_row = 0

    def good(self, milli: int, now_ms: int) -> None:
        """Keep a value taken at now_ms."""
        self.milli = milli
        self.fault = OK
        self.taken_ms = now_ms
        self.faults_in_row = 0

    def bad(self, fault: str) -> None:
        """Keep the word for what is wrong; the age goes on counting from the last good value."""
        self.milli = None
        self.fault = fault
        self.faults_in_row += 1

    def age_ms(self, now_ms: int) -> int:
        """Milliseconds since the last good value, on the loop's accumulated clock."""
        return now_ms - self.taken_ms
