"""Refuses implausible numbers, in one sentence a person can act on.

Every check is written so that NaN and infinity fail it.
"""

from __future__ import annotations

import math

from glossbath.errors import InputError

CHOCOLATE_C = (-20.0, 80.0)
"""Temperatures a batch may be said to have; the rig itself stops far below the upper end."""
WATER_C = (0.0, 100.0)
ROOM_C = (0.0, 50.0)
MASS_KG = (0.01, 100.0)
FAT_SHARE = (0.15, 0.70)
"""Less fat does not flow, more is not chocolate (common practice, no source)."""


def number(
    field: str, value: float, low: float, high: float, unit: str, *, hint: str = ""
) -> float:
    """Return `value` when low <= value <= high, both in `unit`; raise InputError otherwise."""
    if not (low <= value <= high):
        raise InputError(
            f"The {field} must be between {low:g} and {high:g} {unit}, "
            f"not {_said(value, unit)}{hint}."
        )
    return float(value)


def celsius(field: str, value: float, limits: tuple[float, float]) -> float:
    """Return a temperature in °C inside `limits`; a Fahrenheit reading gets a hint."""
    low, high = limits
    hint = ""
    if math.isfinite(value) and low <= _from_fahrenheit(value) <= high:
        hint = f"; if that is {value:g} °F, enter {_from_fahrenheit(value):.1f} °C"
    return number(field, value, low, high, "°C", hint=hint)


def share(field: str, value: float, low: float = 0.0, high: float = 1.0) -> float:
    """Return a share (0 to 1) inside the limits; told to people in percent.

    Raises InputError; a share given as percent, or the other way round, gets a hint.
    """
    if low <= value <= high:
        return float(value)
    hint = ""
    # 36 was meant as 36 % and 0.36 % as 36 %, but 1.2 and 3 are nothing but too much.
    for meant in ([value / 100] if value > 10 else []) + [value * 100]:
        if math.isfinite(value) and value > 0 and low <= meant <= high:
            hint = f"; did you mean {meant * 100:g} %?"
            break
    raise InputError(
        f"The {field} must be between {low * 100:g} and {high * 100:g} %, "
        f"not {_said(value * 100, '%')}{hint or '.'}"
    )


def mass_kg(field: str, value: float, *, zero: bool = False) -> float:
    """Return a mass in kg; `zero` says whether the thing may be absent. Raises InputError."""
    low, high = MASS_KG
    return number(field, value, 0.0 if zero else low, high, "kg")


def ordered(field: str, low: float, high: float, unit: str) -> None:
    """Raise InputError unless low < high."""
    if not (low < high):
        raise InputError(
            f"The {field} must start below its end, not run from {_said(low, '')} to "
            f"{_said(high, unit)}."
        )


def _from_fahrenheit(value: float) -> float:
    return (value - 32.0) / 1.8


def _said(value: float, unit: str) -> str:
    if math.isnan(value):
        return "a missing number"
    return f"{value:.6g} {unit}".rstrip()
