"""Temperatures that are known from outside: a probe is compared with them.

Every uncertainty here is an expanded uncertainty, k = 2, about 95 % (JCGM 100, GUM).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from glossbath.chocolate import limits
from glossbath.errors import InputError

from . import boiling
from .settling import Steady

ICE_C = 0.0
GALLIUM_C = 29.7646  # ITS-90, melting point, fixed by definition

_ICE_U_K = 0.05  # crushed ice and tap water, stirred; clean slush is within 0.01
_GALLIUM_U_K = 0.05  # a sealed cell or ampoule in a warm bath; engineering estimate
_BOILING_U_K = 0.20  # dissolved salts, steam bubbles, superheating; engineering estimate
_COMPARISON_C = (-5.0, 100.0)
_COMPARISON_U_K = (0.005, 1.0)
_PLACE_U_K = 0.05  # probe and reference never stand in quite the same water; estimate


@dataclass(frozen=True)
class Reference:
    """A known temperature in °C, its uncertainty in K (k = 2), and how it was come by."""

    celsius: float
    u_k: float
    how: str


@dataclass(frozen=True)
class Point:
    """One comparison: what is known and what the probe read in °C, uncertainty (k = 2) in K."""

    reference_c: float
    measured_c: float
    u_k: float
    how: str

    @property
    def error_c(self) -> float:
        """How much too high the probe reads."""
        return self.measured_c - self.reference_c


def ice() -> Reference:
    """Crushed ice and water, well stirred (ASTM E563 describes the good one)."""
    return Reference(ICE_C, _ICE_U_K, "ice point")


def gallium() -> Reference:
    """Melting gallium, in the middle of the working range (ITS-90)."""
    return Reference(GALLIUM_C, _GALLIUM_U_K, "melting gallium")


def comparison(celsius: float, u_k: float) -> Reference:
    """What a reference thermometer shows beside the probes, with its own uncertainty (k = 2).

    Raises InputError.
    """
    low, high = _COMPARISON_C
    celsius = limits.number("reference thermometer", celsius, low, high, "°C")
    u_low, u_high = _COMPARISON_U_K
    u_k = limits.number("uncertainty of the reference thermometer", u_k, u_low, u_high, "°C")
    return Reference(celsius, u_k, f"thermometer good to ±{u_k:g} °C")


def boiling_point(
    *, pressure_hpa: float | None = None, altitude_m: float | None = None
) -> Reference:
    """Boiling water at a pressure measured there, or failing that at an altitude.

    Raises InputError unless exactly one is given.
    """
    if (pressure_hpa is None) == (altitude_m is None):
        raise InputError("Give either the pressure at the place in hPa or its altitude in m.")
    if pressure_hpa is not None:
        known, u_hpa = pressure_hpa, boiling.BAROMETER_HPA
        how = f"water boiling at {pressure_hpa:g} hPa"
    else:
        assert altitude_m is not None
        known, u_hpa = boiling.standard_hpa(altitude_m), boiling.WEATHER_HPA
        how = f"water boiling at {altitude_m:g} m, weather unknown"
    celsius = boiling.boiling_c(known)
    u_k = math.hypot(_BOILING_U_K, u_hpa * boiling.slope_k_per_hpa(known))
    return Reference(celsius, u_k, how)


def compare(reference: Reference, steady: Steady) -> Point:
    """A comparison from readings that stand still; raises InputError when they do not."""
    if not steady.settled:
        raise InputError(steady.why)
    u_k = math.hypot(reference.u_k, steady.u_k, _PLACE_U_K)
    return Point(reference.celsius, steady.mean_c, u_k, reference.how)
