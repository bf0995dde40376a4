"""Checks a series of readings over time before anything is concluded from it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from glossbath.errors import InputError


def check(
    name: str,
    times_s: Sequence[float],
    values: Sequence[float],
    *,
    unit: str,
    low: float,
    high: float,
    longest_gap_s: float,
    least_points: int,
) -> None:
    """Raise InputError for a series that is empty, short, unsorted, gapped or out of limits.

    `times_s` in s, strictly rising; `values` in `unit`, each within low and high.
    """
    if len(times_s) != len(values):
        raise InputError(
            f"The {name} has {len(times_s)} times but {len(values)} values: give one for each."
        )
    if len(values) < least_points:
        has = f"has {len(values)} points" if values else "is empty"
        points = "point" if least_points == 1 else "points"
        raise InputError(f"The {name} {has}: it needs at least {least_points} {points}.")
    for time, value in zip(times_s, values, strict=True):
        if not (low <= value <= high):
            meant = "; if that is in °F, give it in °C" if unit == "°C" and value > high else ""
            raise InputError(
                f"The {name} must stay between {low:g} and {high:g} {unit}, "
                f"but is {value:g} {unit} at {time:g} s{meant}."
            )
    for before, after in pairwise(times_s):
        if not (after > before):
            raise InputError(
                f"The {name}'s times must rise, but {after:g} s follows {before:g} s."
            )
        if not (after - before <= longest_gap_s):
            raise InputError(
                f"The {name} has a gap of {after - before:g} s after {before:g} s, longer than "
                f"the {longest_gap_s:g} s allowed: record it again without a pause."
            )
