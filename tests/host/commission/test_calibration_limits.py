"""Both sides of every limit of a comparison, and the doubt it states, by hand.

Doubts add as roots of squares (JCGM 100, GUM, 5.1); a step is a rectangle, 1/√12 of its width.
"""

from __future__ import annotations

import math

import pytest

from glossbath.commission.calibration import (
    Correction,
    Point,
    best,
    boiling_point,
    class_warning,
    compare,
    comparison,
    gallium,
    ice,
    one_point,
    steadiness,
    tolerance_k,
    two_points,
)
from glossbath.commission.calibration.boiling import station_hpa
from glossbath.errors import InputError

Series = list[tuple[float, float]]
STEP_U_K = 2 * 0.0625 / math.sqrt(12)


def _every(seconds: float, count: int, celsius: float = 20.0) -> Series:
    return [(number * seconds, celsius) for number in range(count)]


def _scattering(noise_c: float) -> Series:
    """A minute that scatters by so much about a level line."""
    size = noise_c * math.sqrt(58 / 60)
    # Two up and two down in turn have next to no slope.
    return [(float(t), 20.0 + size * (1 if t % 4 in (0, 3) else -1)) for t in range(60)]


@pytest.mark.parametrize(
    ("series", "settled"),
    [
        (_every(6.0, 10), True),  # ten readings in 54 s
        (_every(7.0, 9), False),
        (_every(5.89, 10), False),  # 53 s
        (_scattering(0.095), True),
        (_scattering(0.105), False),
        ([(float(t), 20.0 + 0.049 * t / 60) for t in range(61)], True),
        ([(float(t), 20.0 + 0.051 * t / 60) for t in range(61)], False),
        ([(float(t), 20.0 - 0.051 * t / 60) for t in range(61)], False),
    ],
)
def test_a_minute_of_ten_readings_that_hardly_move_is_enough(
    series: Series, settled: bool
) -> None:
    assert steadiness(series).settled == settled
    # Whenever the board was switched on.
    later = steadiness([(1e4 + at_s, celsius) for at_s, celsius in series])
    assert later.settled == settled
    assert later.span_s == pytest.approx(series[-1][0] - series[0][0])
    assert later.noise_c == pytest.approx(steadiness(series).noise_c, abs=1e-6)


def test_what_was_before_the_last_minute_does_not_count() -> None:
    series = [(float(t), 60.0 if t < 40 else 20.0) for t in range(101)]
    found = steadiness(series)
    assert found.settled
    assert (found.mean_c, found.count, found.span_s) == (20.0, 61, 60.0)
    assert not steadiness(series[:100]).settled


def test_too_short_a_series_says_how_much_there_is() -> None:
    found = steadiness(_every(1.0, 30))
    assert (found.mean_c, found.count, found.span_s) == (20.0, 30, 29.0)
    assert (found.slope_c_per_min, found.noise_c) == (0.0, 0.0)
    empty = steadiness([])
    assert math.isnan(empty.mean_c)
    assert (empty.count, empty.span_s) == (0, 0.0)


def test_a_shorter_window_may_be_asked_for() -> None:
    assert steadiness(_every(1.0, 28), window_s=30.0).settled
    assert "30 s of readings" in steadiness(_every(1.0, 27), window_s=30.0).why


def test_the_doubt_of_a_mean_is_its_scatter_and_the_chips_steps() -> None:
    found = steadiness(_scattering(0.06))
    # About a straight line, so two of its readings count for nothing (GUM, H.3.2).
    assert found.noise_c == pytest.approx(0.06, rel=0.002)
    assert found.u_k == pytest.approx(math.hypot(2 * 0.06 / math.sqrt(60), STEP_U_K), rel=0.01)


@pytest.mark.parametrize(("reference", "u_k"), [(ice(), 0.05), (gallium(), 0.05)])
def test_a_comparisons_doubt_has_reference_chip_and_place(reference: object, u_k: float) -> None:
    point = compare(reference, steadiness(_every(1.0, 61)))  # type: ignore[arg-type]
    assert point.u_k == pytest.approx(math.hypot(u_k, STEP_U_K, 0.05))


def test_boiling_is_known_to_a_fifth_of_a_kelvin_and_its_pressure() -> None:
    # A barometer is good to 2 hPa, weather alone moves it by 25 (engineering estimates); the
    # boiling point moves by 0.0276 K for each (CoolProp).
    at_hpa, at_m = boiling_point(pressure_hpa=1013.25), boiling_point(altitude_m=0.0)
    assert at_hpa.u_k == pytest.approx(math.hypot(0.2, 2.0 * 0.0276), abs=1e-4)
    assert at_m.u_k == pytest.approx(math.hypot(0.2, 25.0 * 0.0276), abs=2e-3)


@pytest.mark.parametrize(("pressure_hpa", "altitude_m"), [(500.0, -400.0), (1100.0, 5000.0)])
def test_a_place_counts_up_to_and_with_its_limits(pressure_hpa: float, altitude_m: float) -> None:
    assert boiling_point(pressure_hpa=pressure_hpa).celsius > 0
    assert boiling_point(altitude_m=altitude_m).celsius > 0
    with pytest.raises(InputError, match="pressure must be between 500 and 1100 hPa"):
        boiling_point(pressure_hpa=pressure_hpa + math.copysign(0.1, pressure_hpa - 600))
    with pytest.raises(InputError, match="altitude must be between -400 and 5000 m"):
        boiling_point(altitude_m=altitude_m + math.copysign(0.1, altitude_m))


@pytest.mark.parametrize("hpa", [900.0, 1100.0])
def test_a_report_counts_up_to_and_with_its_limits(hpa: float) -> None:
    assert station_hpa(0.0, hpa) == pytest.approx(hpa)
    with pytest.raises(InputError, match="pressure of the report must be between 900 and 1100"):
        station_hpa(0.0, hpa + math.copysign(0.1, hpa - 1000))


@pytest.mark.parametrize(("celsius", "u_k"), [(-5.0, 0.005), (100.0, 1.0)])
def test_a_thermometer_counts_up_to_and_with_its_limits(celsius: float, u_k: float) -> None:
    assert (comparison(celsius, u_k).celsius, comparison(celsius, u_k).u_k) == (celsius, u_k)
    beyond = celsius + math.copysign(0.01, celsius)
    with pytest.raises(InputError, match="must be between -5 and 100 °C"):
        comparison(beyond, u_k)
    with pytest.raises(InputError, match=r"must be between 0\.005 and 1 °C"):
        comparison(celsius, u_k * (1.01 if u_k == 1.0 else 0.99))


@pytest.mark.parametrize("sign", [1, -1])
def test_two_kelvin_are_corrected_and_not_a_millikelvin_more(sign: int) -> None:
    assert one_point(Point(0.0, sign * 2.0, 0.05, "")).offset_mc == -2_000 * sign
    with pytest.raises(InputError, match="Replace it"):
        one_point(Point(0.0, sign * 2.001, 0.05, ""))


@pytest.mark.parametrize(("measured_c", "gain_ppm"), [(98.05, 19_888), (102.0, -19_608)])
def test_a_scale_may_be_off_by_two_per_cent(measured_c: float, gain_ppm: int) -> None:
    cold = Point(0.0, 0.0, 0.05, "")
    assert two_points(cold, Point(100.0, measured_c, 0.05, "")).gain_ppm == gain_ppm
    further = 100 + (measured_c - 100) * 1.06
    with pytest.raises(InputError, match="the limit is 2 %"):
        two_points(cold, Point(100.0, further, 0.05, ""))


def test_two_points_lie_ten_kelvin_apart_at_least() -> None:
    cold = Point(20.0, 20.0, 0.05, "")
    assert two_points(cold, Point(30.0, 30.1, 0.05, "")).gain_ppm == -9_901
    with pytest.raises(InputError, match=r"10\.0 °C apart: take two that are at least 10"):
        two_points(cold, Point(29.99, 30.0, 0.05, ""))
    # What lies closer is used one by one, in either order.
    near = Point(29.99, 30.0, 0.01, "")
    assert best([cold, near]).points == best([near, cold]).points == (near,)


def test_doubt_is_propagated_from_wherever_the_points_lie() -> None:
    found = two_points(Point(10.0, 10.1, 0.06, ""), Point(50.0, 50.2, 0.08, ""))
    assert found.u_k(10.0) == pytest.approx(0.06)
    assert found.u_k(50.0) == pytest.approx(0.08)
    assert found.u_k(30.0) == pytest.approx(0.05)
    assert Correction().undo(31.0) == 31.0
    assert Correction().u_k(31.0) == math.inf


def test_two_points_ten_kelvin_apart_may_be_the_best() -> None:
    below, above = Point(26.0, 26.1, 0.05, ""), Point(36.0, 36.1, 0.05, "")
    assert best([below, above]).points == (below, above)


@pytest.mark.parametrize(("off_c", "alone"), [(1.9, True), (2.0, True), (2.1, False)])
def test_a_point_two_kelvin_off_may_be_used_alone_and_one_further_off_not(
    off_c: float, alone: bool
) -> None:
    near, poor = Point(30.0, 30.0 + off_c, 0.05, ""), Point(0.0, 1.9, 0.5, "")
    assert best([near, poor]).points == ((near,) if alone else (near, poor))


@pytest.mark.parametrize(("moved_c", "words"), [(4.99, "mixed up"), (20.01, "mixed up")])
def test_a_probe_that_moved_by_half_or_twice_was_not_in_the_liquid(
    moved_c: float, words: str
) -> None:
    cold = Point(20.0, 20.0, 0.05, "")
    with pytest.raises(InputError, match=words):
        two_points(cold, Point(30.0, 20.0 + moved_c, 0.05, ""))
    inside = 5.0 if moved_c < 10 else 20.0
    with pytest.raises(InputError, match=r"scale is off|of correction"):
        two_points(cold, Point(30.0, 20.0 + inside, 0.05, ""))


@pytest.mark.parametrize(
    ("kind", "celsius", "within_k"),
    # DS18B20 datasheet, thermometer error; IEC 60751 counts |t|; a thermistor is an estimate.
    [
        *(("ds18b20", -10.0, 0.5), ("ds18b20", 85.0, 0.5)),
        *(("ds18b20", -10.1, 1.0), ("ds18b20", 85.1, 1.0)),
        *(("ds18b20", -30.0, 1.0), ("ds18b20", 100.0, 1.0)),
        *(("ds18b20", -30.1, 2.0), ("ds18b20", 100.1, 2.0)),
        *(("ds18b20", -55.0, 2.0), ("ds18b20", 125.0, 2.0)),
        *(("iec60751-c", -40.0, 1.0), ("ntc", 30.0, 1.0)),
    ],
)
def test_a_class_changes_where_its_maker_says(kind: str, celsius: float, within_k: float) -> None:
    assert tolerance_k(kind, celsius) == pytest.approx(within_k)


@pytest.mark.parametrize("celsius", [-55.1, 125.1])
def test_a_chip_beyond_its_range_is_promised_nothing(celsius: float) -> None:
    with pytest.raises(InputError, match="measures -55 to 125 °C"):
        tolerance_k("ds18b20", celsius)


@pytest.mark.parametrize("sign", [1, -1])
def test_a_warning_begins_where_class_and_doubt_together_end(sign: int) -> None:
    assert class_warning("body", "ntc", 0.0, sign * 1.125, 0.125) == ""
    assert class_warning("body", "ntc", 20.0, 20.0 + sign * 1.125, 0.125) == ""
    said = class_warning("body", "ntc", 0.0, sign * 1.126, 0.125)
    assert f"body probe is off by {sign * 1.13:+.2f} °C at 0.0 °C" in said
    assert "(ntc) may be off by 1.00 °C" in said
