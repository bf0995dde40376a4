"""Quantities that are proportional to a voltage on the ADC: stirrer current, supply voltage.

A value is the mean of 16 samples taken at once. That smooths the converter's own noise, not the
ripple of a motor: the input has its own RC filter (see the wiring).
"""

from ..reading import BUS, HIGH, LOW, Reading

if False:  # for the type checker alone
    from ..kinds import Adc

SAMPLES = 16
FULL_SCALE = 0xFFFF
_CLIPPED = 65_200  # half a percent below full scale: the input may be anywhere above


class AnalogInput:
    """One input.

    adc has read_u16(). full_scale_milli is the value at full scale in mA or mV, with its sign;
    zero_milli is the value at 0 V. reading gets mA or mV. An input at the top of its range is
    HIGH: the true value is that much or more. A mean below live_count is LOW: set it for an
    input that is never near zero in a sound rig, such as the supply, so that a broken wire is
    distinguished from a small value; 0 turns it off for one that may be zero, such as a motor
    current.
    """

    def __init__(
        self,
        adc: "Adc",
        reading: Reading,
        full_scale_milli: int,
        zero_milli: int = 0,
        live_count: int = 0,
    ) -> None:
        self._adc = adc
        self._reading = reading
        self._span_milli = full_scale_milli - zero_milli
        self._zero_milli = zero_milli
        self._live_count = live_count

    def step(self, now_ms: int) -> None:
        """Take one value. Never raises: an exception of the converter becomes BUS."""
        try:
            count = sample_sum(self._adc) // SAMPLES
        except Exception:
            self._reading.bad(BUS)
            return
        if count >= _CLIPPED:
            self._reading.bad(HIGH)
        elif count < self._live_count:
            self._reading.bad(LOW)
        else:
            # 14 bits are more than the converter has, and keep the product of a span up to
            # 65 V or 65 A within the board's 30-bit integers.
            milli = self._zero_milli + self._span_milli * (count >> 2) // (FULL_SCALE >> 2)
            self._reading.good(milli, now_ms)


def sample_sum(adc: "Adc") -> int:
    """Sum of SAMPLES readings of 16 bits each."""
    total = 0
    for _ in range(SAMPLES):
        total += adc.read_u16()
    return total


def shunt_full_scale_ma(reference_mv: int, shunt_milliohm: int, gain: int) -> int:
    """Current in mA that brings an amplified shunt to the converter's reference voltage."""
    return reference_mv * 1000 // (shunt_milliohm * gain)


def divider_full_scale_mv(reference_mv: int, upper_ohm: int, lower_ohm: int) -> int:
    """Voltage in mV that brings a divider's middle to the converter's reference voltage."""
    return reference_mv * (upper_ohm + lower_ohm) // lower_ohm
