"""Readings become what control needs: a steady value, its slope, and whether to believe them.

The supervisor does not look here; it sees the raw readings.
"""

from .reading import OK, Reading

PROBE_LAG_S = 8.0  # a steel tube of 6 mm in stirred liquid; estimate
CHOCOLATE_SPAN_S = 15.0
BATH_SPAN_S = 8.0  # the bath is moved faster, and its loop needs to see it sooner
_COAST_MS = 5_000
_GAP_S = 20.0  # after a longer silence the past says nothing about the slope


class Estimate:
    """One probe's value in °C and slope in °C/s, renewed whenever the probe gives a new reading.

    A critically damped g-h filter (level and slope, each corrected by the error of its forecast)
    with memory span_s: it follows a ramp without falling behind. celsius is what the liquid has
    now: the filter's level carried on over the probe's lag and the reading's age.
    """

    def __init__(self, reading: Reading, span_s: float = CHOCOLATE_SPAN_S) -> None:
        self._reading = reading
        self._span_s = span_s
        self._seen_ms = -1
        self._level = 0.0
        self.celsius = 0.0
        self.slope_c_s = 0.0
        self.known = False

    def step(self, now_ms: int) -> None:
        """Take in the probe's reading if it is new; forget it when it is too old."""
        reading = self._reading
        if reading.fault == OK and reading.milli is not None:
            if reading.taken_ms != self._seen_ms or not self.known:
                self._take(reading.milli / 1000, (reading.taken_ms - self._seen_ms) / 1000)
                self._seen_ms = reading.taken_ms
        elif reading.age_ms(now_ms) > _COAST_MS:
            self.known = False
        if self.known:
            behind_s = PROBE_LAG_S + (now_ms - self._seen_ms) / 1000
            self.celsius = self._level + self.slope_c_s * behind_s

    def _take(self, celsius: float, dt_s: float) -> None:
        if not self.known or not 0.0 < dt_s < _GAP_S:
            self._level = celsius
            self.slope_c_s = 0.0
            self.known = True
            return
        keep = self._span_s / (self._span_s + dt_s)
        error = celsius - self._level - self.slope_c_s * dt_s
        self._level = celsius - error * keep * keep
        self.slope_c_s += error * (1.0 - keep) * (1.0 - keep) / dt_s
