"""Where water boils: from pressure, and pressure from altitude or a weather report.

Weather moves the pressure at one place by some 3 %, and with it the boiling point by 0.8 K: an
altitude alone is a poor reference, a barometer a good one.
"""

from __future__ import annotations

import math

from glossbath.chocolate import limits

PRESSURE_HPA = (500.0, 1100.0)
ALTITUDE_M = (-400.0, 5000.0)
STANDARD_HPA = 1013.25
WEATHER_HPA = 25.0
"""What weather adds at one place, k = 2; from memory of records at middle latitudes."""
BAROMETER_HPA = 2.0
"""A household barometer or a weather report of the hour; engineering estimate."""

# IAPWS-IF97, region 4, backward equation T_s(p): pressures in MPa, temperatures in K.
_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
_KELVIN = 273.15


def saturation_k(pressure_mpa: float) -> float:
    """Saturation temperature of water in K (IAPWS-IF97, region 4), 0.0006 to 22 MPa."""
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _N
    beta = math.sqrt(math.sqrt(pressure_mpa))
    e = beta * beta + n3 * beta + n6
    f = n1 * beta * beta + n4 * beta + n7
    g = n2 * beta * beta + n5 * beta + n8
    d = 2 * g / (-f - math.sqrt(f * f - 4 * e * g))
    return (n10 + d - math.sqrt((n10 + d) ** 2 - 4 * (n9 + n10 * d))) / 2


def boiling_c(pressure_hpa: float) -> float:
    """Boiling point of water in °C at a pressure in hPa. Raises InputError."""
    low, high = PRESSURE_HPA
    pressure_hpa = limits.number("pressure", pressure_hpa, low, high, "hPa")
    return saturation_k(pressure_hpa / 1e4) - _KELVIN


def standard_hpa(altitude_m: float) -> float:
    """Pressure of the standard atmosphere in hPa. Raises InputError."""
    import psychrolib  # type: ignore[import-untyped]

    low, high = ALTITUDE_M
    altitude_m = limits.number("altitude", altitude_m, low, high, "m")
    psychrolib.SetUnitSystem(psychrolib.SI)
    return float(psychrolib.GetStandardAtmPressure(altitude_m)) / 100.0


def station_hpa(altitude_m: float, sea_level_hpa: float) -> float:
    """Pressure at a place in hPa, from a weather report's pressure, which is that of sea level.

    Raises InputError.
    """
    sea_level_hpa = limits.number("pressure of the report", sea_level_hpa, 900.0, 1100.0, "hPa")
    return standard_hpa(altitude_m) * sea_level_hpa / STANDARD_HPA


def slope_k_per_hpa(pressure_hpa: float) -> float:
    """How much the boiling point moves with the pressure, in K for each hPa."""
    return (
        saturation_k((pressure_hpa + 1.0) / 1e4) - saturation_k((pressure_hpa - 1.0) / 1e4)
    ) / 2
