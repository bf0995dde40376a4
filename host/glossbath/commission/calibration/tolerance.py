"""What a maker promises of a probe, so that one that is worse is noticed.

A correction can hide a fault: a probe far outside its class is to be replaced, not corrected.
"""

from __future__ import annotations

from glossbath.errors import InputError

# IEC 60751: ±(a + b |t|) in K; A and B as in the 1995 edition, AA and C as in 2008 (from memory).
_RESISTANCE = {
    "AA": (0.1, 0.0017),
    "A": (0.15, 0.002),
    "B": (0.3, 0.005),
    "C": (0.6, 0.01),
}
# DS18B20 datasheet, 3 sigma: (from, to, ±K), the narrowest range first.
_DS18B20 = ((-10.0, 85.0, 0.5), (-30.0, 100.0, 1.0), (-55.0, 125.0, 2.0))
_NTC_K = 1.0
"""A 1 % thermistor with a 1 % resistor near 50 °C; engineering estimate."""

KINDS = ("ds18b20", "ntc", *(f"iec60751-{name.lower()}" for name in _RESISTANCE))


def tolerance_k(kind: str, celsius: float) -> float:
    """How far a probe of this kind may be off at celsius, in K. Raises InputError."""
    if kind == "ntc":
        return _NTC_K
    if kind == "ds18b20":
        for low, high, tolerance in _DS18B20:
            if low <= celsius <= high:
                return tolerance
        raise InputError(f"A DS18B20 measures -55 to 125 °C, not {celsius:g} °C.")
    for name, (a, b) in _RESISTANCE.items():
        if kind == f"iec60751-{name.lower()}":
            return a + b * abs(celsius)
    raise InputError(f"There is no kind of probe {kind!r}: use {', '.join(KINDS)}.")


def class_warning(name: str, kind: str, reference_c: float, measured_c: float, u_k: float) -> str:
    """A sentence when a probe is worse than its class whatever the reference's uncertainty, or ''.

    u_k is the uncertainty of the comparison in K (k = 2). Raises InputError for an unknown kind.
    """
    tolerance = tolerance_k(kind, reference_c)
    error = measured_c - reference_c
    if abs(error) <= tolerance + u_k:
        return ""
    return (
        f"The {name} probe is off by {error:+.2f} °C at {reference_c:.1f} °C; its kind "
        f"({kind}) may be off by {tolerance:.2f} °C: look for a clone, a bad joint or damage "
        f"before you trust it."
    )
