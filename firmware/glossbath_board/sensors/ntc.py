"""A 10 kOhm NTC thermistor on the ADC, between the input and ground, a known resistor to supply.

Supply and the converter's reference are the same 3.3 V rail, so only the ratio counts. The ADC
cannot distinguish a broken sensor from a wire to the supply (both read full scale: OPEN), nor a
shorted one from a wire to ground (both read zero: SHORT). Neither may become a temperature: an
open NTC would read as very cold and ask for heat.
"""

from math import log

from ..reading import BUS, OPEN, SHORT, Reading
from .analog import FULL_SCALE, SAMPLES, sample_sum

if False:  # for the type checker alone
    from ..kinds import Adc

# 1/T = a + b L + c L^2 + d L^3, L = ln(R / reference_ohm), T in kelvin.
# Vishay NTCLE100E3103 (10 kOhm, B25/85 3977), coefficients A1 to D1 of its datasheet.
NTCLE100E3103 = (3.354016e-3, 2.569850e-4, 2.620131e-6, 6.383091e-8)

_OPEN_OHM = 200_000  # about -33 °C
_SHORT_OHM = 100  # about 175 °C


class Ntc:
    """One thermistor.

    adc has read_u16(); series_ohm is the resistor to the supply. coefficients are (a, b, c, d)
    with reference_ohm. The classic three-term Steinhart-Hart equation is (A, B, 0, C) with a
    reference of 1 Ohm. reading is in m°C.
    """

    def __init__(
        self,
        adc: "Adc",
        reading: Reading,
        series_ohm: int = 10_000,
        coefficients: tuple[float, float, float, float] = NTCLE100E3103,
        reference_ohm: int = 10_000,
    ) -> None:
        self._adc = adc
        self._reading = reading
        self._coefficients = coefficients
        self._series_ratio = series_ohm / reference_ohm
        # The limits as sums of samples, so that nothing near full scale is ever divided by.
        full = FULL_SCALE * SAMPLES
        self._open_sum = full * _OPEN_OHM // (_OPEN_OHM + series_ohm)
        self._short_sum = full * _SHORT_OHM // (_SHORT_OHM + series_ohm)

    def step(self, now_ms: int) -> None:
        """Take one value, the mean of 16 samples. Never raises."""
        try:
            total = sample_sum(self._adc)
        except Exception:
            self._reading.bad(BUS)
            return
        if total >= self._open_sum:
            self._reading.bad(OPEN)
        elif total <= self._short_sum:
            self._reading.bad(SHORT)
        else:
            ratio = self._series_ratio * (total / (FULL_SCALE * SAMPLES - total))
            self._reading.good(millicelsius(ratio, self._coefficients), now_ms)


def millicelsius(ratio: float, coefficients: tuple[float, float, float, float]) -> int:
    """Temperature in m°C of a thermistor at ratio times its reference resistance.

    The subtraction of 273.15 leaves 0.03 m°C per unit in the last place of single precision.
    """
    a, b, c, d = coefficients
    x = log(ratio)
    return round((1.0 / (a + x * (b + x * (c + x * d))) - 273.15) * 1000.0)
