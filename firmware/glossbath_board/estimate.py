"""Readings become what control needs: a steady value, its slope, and whether to believe them.

The supervisor does not look here; it sees the raw readings.
"""

from .reading import OK, Reading

_SLOPE_SPAN_S = 20.0  # one step of a probe in 12 bits is 0.0625 °C: shorter spans show only steps
_COAST_MS = 5_000


class Estimate:
    """One probe's value in °C and slope in °C/s, renewed whenever the probe gives a new reading."""

    def __init__(self, reading: Reading) -> None:
        self._reading = reading
        self._seen_ms = -1
        self._smooth = 0.0
        self.celsius = 0.0
        self.slope_c_s = 0.0
        self.known = False

    def step(self, now_ms: int) -> None:
        """Take in the probe's reading if it is new; forget it when it is too old."""
        reading = self._reading
        if reading.fault == OK and reading.milli is not None:
            if reading.taken_ms != self._seen_ms:
                self._take(reading.milli / 1000, (reading.taken_ms - self._seen_ms) / 1000)
                self._seen_ms = reading.taken_ms
        elif reading.age_ms(now_ms) > _COAST_MS:
            self.known = False

    def _take(self, celsius: float, dt_s: float) -> None:
        if not self.known or not 0.0 < dt_s < _SLOPE_SPAN_S:
            self._smooth = celsius
            self.slope_c_s = 0.0
            self.known = True
        else:
            # The slope of a first-order lag that follows the value: error over its time constant.
            self.slope_c_s = (celsius - self._smooth) / _SLOPE_SPAN_S
            self._smooth += self.slope_c_s * dt_s
        self.celsius = celsius
