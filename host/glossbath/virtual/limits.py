"""One check for every number the virtual rig is given, so that each refusal reads alike."""

from __future__ import annotations

from glossbath.errors import InputError


def require(what: str, value: float, low: float, high: float, unit: str) -> float:
    """Return value if low <= value <= high; NaN and infinities never are.

    Raises InputError with one sentence that names what was wrong, the limits and the unit.
    """
    if not (low <= value <= high):
        raise InputError(
            f"{what} is {value:g} {unit}, outside {low:g} to {high:g} {unit}; "
            "give a value inside that range."
        )
    return value
