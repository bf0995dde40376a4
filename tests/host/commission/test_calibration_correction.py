"""Comparisons to corrections: exact lines, stated doubts, probes that are too bad to correct."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glossbath.commission.calibration import (
    Point,
    Steady,
    best,
    boiling_point,
    class_warning,
    compare,
    gallium,
    ice,
    one_point,
    steadiness,
    two_points,
)
from glossbath.errors import InputError

COLD, WARM = 0.0, 29.7646


def _point(reference_c: float, measured_c: float, u_k: float = 0.05) -> Point:
    return Point(reference_c, measured_c, u_k, "test")


def _still(mean_c: float, noise_c: float = 0.0, minutes: float = 1.5) -> list[tuple[float, float]]:
    rng = random.Random(4)
    return [(t, mean_c + rng.gauss(0.0, noise_c)) for t in range(int(minutes * 60))]


@given(st.floats(-1.5, 1.5), st.floats(-0.015, 0.015), st.floats(-20.0, 110.0))
def test_two_points_find_the_line_the_probe_follows(
    offset: float, gain: float, celsius: float
) -> None:
    def probe(true_c: float) -> float:
        return (true_c - offset) / (1.0 + gain)

    found = two_points(_point(0.0, probe(0.0)), _point(98.3, probe(98.3)))
    # Whole m°C and ppm leave half of each.
    assert found.undo(celsius) == pytest.approx(probe(celsius), abs=0.001)


def test_one_point_moves_the_whole_scale() -> None:
    found = one_point(_point(0.0, 0.31))
    assert (found.offset_mc, found.gain_ppm) == (-310, 0)
    assert found.undo(30.0) == pytest.approx(30.31)


def test_doubt_grows_away_from_one_point() -> None:
    found = one_point(_point(0.0, 0.3, u_k=0.05))
    assert found.u_k(0.0) == pytest.approx(0.05)
    # 0.5 % of 30 K beside 0.05 K, added as roots of squares (JCGM 100, GUM 5.1).
    assert found.u_k(30.0) == pytest.approx(math.hypot(0.05, 0.15))


def test_doubt_between_and_beyond_two_points() -> None:
    # Propagation through the straight line, by hand: halfway each counts half.
    found = two_points(_point(0.0, 0.1, 0.06), _point(40.0, 40.2, 0.08))
    assert found.u_k(0.0) == pytest.approx(0.06)
    assert found.u_k(40.0) == pytest.approx(0.08)
    assert found.u_k(20.0) == pytest.approx(0.05)
    assert found.u_k(80.0) == pytest.approx(math.hypot(0.06, 0.16))


def test_the_points_that_know_most_of_the_working_range_are_used() -> None:
    poor = boiling_point(altitude_m=0.0)
    cold, hot = _point(0.0, 0.2, 0.07), _point(poor.celsius, poor.celsius + 0.3, poor.u_k)
    assert best([cold, hot]).points == (cold,)
    good = boiling_point(pressure_hpa=1013.25)
    hot = _point(good.celsius, good.celsius + 0.3, good.u_k)
    assert best([cold, hot]).points == (cold, hot)
    near = _point(WARM, WARM + 0.22, 0.06)
    assert near in best([cold, hot, near]).points


def test_a_scale_that_is_off_is_mended_by_two_points() -> None:
    found = best([_point(0.0, 0.1), _point(99.9, 101.95, 2.0)])
    assert found.points[0].reference_c == 0.0


def test_a_probe_that_is_too_far_off_is_not_corrected() -> None:
    with pytest.raises(InputError, match=r"-2\.10 °C of correction; the limit is 2 °C. Replace"):
        one_point(_point(0.0, 2.1))
    with pytest.raises(InputError, match="Replace it"):
        best([_point(0.0, 2.1)])
    with pytest.raises(InputError, match=r"scale is off by -2\.9 %"):
        two_points(_point(0.0, 0.0), _point(100.0, 103.0))
    with pytest.raises(InputError, match="of correction"):
        one_point(_point(0.0, math.nan))


def test_points_that_lie_together_or_are_mixed_up_are_refused() -> None:
    with pytest.raises(InputError, match=r"7\.2 °C apart: take two that are at least 10"):
        two_points(_point(WARM, WARM), _point(37.0, 37.0))
    with pytest.raises(InputError, match="mixed up"):
        two_points(_point(0.0, 30.0), _point(WARM, 0.1))
    with pytest.raises(InputError, match="mixed up"):
        two_points(_point(0.0, 20.0), _point(WARM, 20.0))
    with pytest.raises(InputError, match="No comparison was made"):
        best([])


def test_a_probe_worse_than_its_class_is_named() -> None:
    assert class_warning("bath", "ds18b20", 0.0, 0.45, 0.05) == ""
    # Half a kelvin is the class, and the comparison itself is good to 0.1.
    assert class_warning("bath", "ds18b20", 0.0, 0.59, 0.10) == ""
    said = class_warning("bath", "ds18b20", 0.0, -0.75, 0.10)
    assert "bath probe is off by -0.75 °C at 0.0 °C" in said
    assert "0.50 °C" in said
    assert class_warning("bath", "iec60751-a", 32.0, 32.35, 0.05)
    assert class_warning("bath", "ds18b20", 0.0, math.nan, 0.1)


def test_readings_that_stand_still_give_their_mean() -> None:
    found = steadiness(_still(0.31, 0.02))
    assert found.settled
    assert found.mean_c == pytest.approx(0.31, abs=0.01)
    point = compare(ice(), found)
    assert point.error_c == pytest.approx(0.31, abs=0.01)
    assert 0.05 < point.u_k < 0.12


def test_a_chips_step_is_part_of_the_doubt() -> None:
    # 62.5 m°C steps: 0.0625/sqrt(12) = 0.018 K, twice that at k = 2, even if nothing scatters.
    assert steadiness(_still(20.0)).u_k == pytest.approx(0.0361, abs=1e-3)


def test_readings_that_still_move_are_waited_for() -> None:
    # A probe with 20 s of lag, from 25 °C into ice.
    series = [(float(t), 25.0 * math.exp(-t / 20.0)) for t in range(300)]
    assert not steadiness(series[:61]).settled
    assert "a minute" in steadiness(series[:61]).why or "scatters" in steadiness(series[:61]).why
    assert steadiness(series[:250]).settled
    with pytest.raises(InputError, match=r"wait|stir"):
        compare(ice(), steadiness(series[:61]))


def test_slow_drift_is_seen_through_noise() -> None:
    rng = random.Random(2)
    series = [(float(t), 20.0 + t / 60.0 * 0.12 + rng.gauss(0.0, 0.02)) for t in range(70)]
    found = steadiness(series)
    assert found.slope_c_per_min == pytest.approx(0.12, abs=0.03)
    assert "+0.1" in found.why


def test_readings_that_jump_about_are_not_used() -> None:
    assert "scatters" in steadiness(_still(20.0, 0.4)).why


def test_too_few_readings_are_not_used() -> None:
    for series in ([], [(0.0, 20.0)], _still(20.0, minutes=0.5), [(0.0, math.nan)] * 90):
        found = steadiness(series)
        assert not found.settled
        assert "60 s of readings" in found.why


def test_a_gallium_point_in_the_working_range_is_the_best_single_one() -> None:
    at_ice = one_point(compare(ice(), steadiness(_still(0.1))))
    at_gallium = one_point(compare(gallium(), steadiness(_still(29.9))))
    assert at_gallium.u_k(31.0) < 0.1 < at_ice.u_k(31.0)


def test_steady_readings_state_how_long_they_were_watched() -> None:
    found = steadiness(_still(20.0))
    assert isinstance(found, Steady)
    assert (found.count, found.span_s) == (61, 60.0)
