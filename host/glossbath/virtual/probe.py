"""A temperature probe: metal in a liquid, which follows late, errs a little and can go wrong.

It gives what its element has, in °C; the chip that reads it makes steps of that.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable

from .limits import require

AIR_LAG_FACTOR = 10.0
"""A probe follows still air some ten times slower than a liquid; estimate."""


class Probe:
    """A first-order lag with offset, drift and Gaussian noise.

    Call `step` as time passes and `celsius` when the chip converts. Probes swapped by whoever
    wired them are two probes, each stepped with the other's liquid.
    """

    def __init__(
        self,
        start_c: float,
        *,
        tau_s: float = 8.0,
        offset_c: float = 0.0,
        noise_c: float = 0.02,
        rng: random.Random | None = None,
    ) -> None:
        """Starts at start_c; tau_s is the lag in liquid, noise_c one standard deviation.

        tau_s of 8 s is a steel tube of 6 mm in stirred liquid; estimate. Raises InputError when a
        value is out of range.
        """
        self.element_c = require("start_c", start_c, -55.0, 300.0, "°C")
        """True temperature of the element in °C."""
        self._tau_s = require("tau_s", tau_s, 0.01, 3600.0, "s")
        self._offset_c = require("offset_c", offset_c, -20.0, 20.0, "°C")
        self._noise_c = require("noise_c", noise_c, 0.0, 5.0, "°C")
        self._rng = random.Random(0) if rng is None else rng
        self._drift_c = 0.0
        self._drift_c_per_s = 0.0
        self._lag_factor = 1.0
        self._air_c: Callable[[], float] | None = None
        self._dipped_c: float | None = None
        self._stuck_c: float | None = None
        self._dt_s = 0.0
        self._follow = 0.0

    def step(self, dt_s: float, liquid_c: float) -> None:
        """Let dt_s (s) pass in liquid_c (°C); exact while the surrounding stays as it is.

        Raises InputError when dt_s is outside 0 to 3600 s.
        """
        if dt_s != self._dt_s:
            self._dt_s = require("dt_s", dt_s, 0.0, 3600.0, "s")
            self._aim()
        if self._air_c is not None:
            liquid_c = self._air_c()
        around_c = liquid_c if self._dipped_c is None else self._dipped_c
        self.element_c += (around_c - self.element_c) * self._follow
        self._drift_c += self._drift_c_per_s * dt_s

    def _aim(self) -> None:
        tau_s = self._tau_s * self._lag_factor
        if self._air_c is not None:
            tau_s *= AIR_LAG_FACTOR
        self._follow = -math.expm1(-self._dt_s / tau_s)

    def celsius(self) -> float:
        """What the chip is given in °C: the element's temperature with all its errors."""
        if self._stuck_c is not None:
            return self._stuck_c
        noise_c = self._rng.gauss(0.0, self._noise_c) if self._noise_c else 0.0
        return self.element_c + self._offset_c + self._drift_c + noise_c

    def lift(self, air_c: Callable[[], float]) -> None:
        """Out of the liquid into air, whose temperature in °C air_c gives."""
        self._air_c = air_c
        self._aim()

    def dip(self, celsius: float) -> None:
        """Into a jug, a hand or another liquid of celsius (°C), until it is mended."""
        self._dipped_c = require("celsius", celsius, -20.0, 120.0, "°C")

    def stick(self) -> None:
        """From now on it gives what it gives now."""
        self._stuck_c = self.celsius()

    def drift(self, c_per_h: float) -> None:
        """From now on its error grows by c_per_h (°C an hour)."""
        self._drift_c_per_s = require("drift", c_per_h, -1000.0, 1000.0, "°C/h") / 3600.0

    def lag(self, factor: float) -> None:
        """It follows factor times slower than it should, as when pulled half out of its pocket."""
        self._lag_factor = require("lag factor", factor, 0.1, 1000.0, "(factor)")
        self._aim()

    def mend(self) -> None:
        """In the liquid, free, no drift, usual lag; the offset it was made with stays."""
        self._air_c = None
        self._dipped_c = None
        self._stuck_c = None
        self._drift_c = self._drift_c_per_s = 0.0
        self._lag_factor = 1.0
        self._aim()
