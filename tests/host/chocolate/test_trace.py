"""Series that cannot be used are refused with what is wrong where."""

from __future__ import annotations

import math

import pytest

from glossbath.chocolate import trace
from glossbath.errors import InputError

TIMES = [float(t) for t in range(10)]
VALUES = [30.0] * 10


def checked(times: list[float], values: list[float]) -> None:
    trace.check(
        "cooling curve", times, values,
        unit="°C", low=-5.0, high=60.0, longest_gap_s=5.0, least_points=5,
    )  # fmt: skip


def test_a_good_series_passes() -> None:
    checked(TIMES, VALUES)


@pytest.mark.parametrize(
    ("times", "values", "sentence"),
    [
        ([], [], "cooling curve is empty: it needs at least 5 points"),
        (TIMES[:3], VALUES[:3], "has 3 points: it needs at least 5"),
        (TIMES, VALUES[:9], "has 10 times but 9 values"),
        (TIMES, [*VALUES[:9], 300.0], "between -5 and 60 °C, but is 300 °C at 9 s"),
        (TIMES, [*VALUES[:9], math.nan], "is nan °C at 9 s"),
        ([*TIMES[:9], 8.0], VALUES, "times must rise, but 8 s follows 8 s"),
        ([*TIMES[:9], math.nan], VALUES, "times must rise"),
        ([*TIMES[:9], 20.0], VALUES, "gap of 12 s after 8 s, longer than the 5 s allowed"),
    ],
)
def test_a_bad_series_is_refused(times: list[float], values: list[float], sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        checked(times, values)


def test_a_series_that_needs_one_point_is_asked_for_one() -> None:
    with pytest.raises(InputError, match=r"is empty: it needs at least 1 point\.$"):
        trace.check("speed", [], [], unit="", low=0.0, high=1.0, longest_gap_s=5.0, least_points=1)
