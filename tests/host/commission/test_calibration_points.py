"""Known temperatures against a reference library, published constants and a printed table."""

from __future__ import annotations

import math

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from glossbath.commission.calibration import (
    boiling,
    boiling_point,
    comparison,
    gallium,
    ice,
    tolerance_k,
)
from glossbath.errors import InputError


@pytest.mark.parametrize(
    ("pressure_mpa", "kelvin"),
    # IAPWS-IF97 (R7-97, revision of 2012), table of the backward equation of region 4.
    [(0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)],
)
def test_saturation_agrees_with_the_standards_own_values(
    pressure_mpa: float, kelvin: float
) -> None:
    assert boiling.saturation_k(pressure_mpa) == pytest.approx(kelvin, abs=1e-6)


@pytest.mark.parametrize(
    ("altitude_m", "hpa", "celsius"),
    # Standard atmosphere (fluids.ATMOSPHERE_1976) and boiling point (iapws and CoolProp).
    [
        (0, 1013.25, 99.974),
        (250, 983.58, 99.144),
        (500, 954.61, 98.312),
        (1000, 898.75, 96.649),
        (1500, 845.56, 94.983),
        (2000, 794.95, 93.315),
        (3000, 701.08, 89.972),
    ],
)
def test_boiling_point_by_altitude(altitude_m: float, hpa: float, celsius: float) -> None:
    assert boiling.standard_hpa(altitude_m) == pytest.approx(hpa, abs=0.01)
    assert boiling_point(altitude_m=altitude_m).celsius == pytest.approx(celsius, abs=1e-3)


@pytest.mark.parametrize(
    ("hpa", "celsius"),
    [(1000, 99.606), (950, 98.178), (900, 96.687), (850, 95.125), (800, 93.485), (700, 89.932)],
)
def test_boiling_point_by_pressure(hpa: float, celsius: float) -> None:
    # Computed with CoolProp and iapws, which agree to 0.001 K.
    assert boiling_point(pressure_hpa=hpa).celsius == pytest.approx(celsius, abs=1e-3)


@given(st.floats(500.0, 1100.0))
def test_boiling_point_agrees_with_coolprop_everywhere(hpa: float) -> None:
    theirs = float(PropsSI("T", "P", hpa * 100.0, "Q", 0, "Water")) - 273.15
    assert boiling.boiling_c(hpa) == pytest.approx(theirs, abs=2e-3)


def test_slope_at_sea_level() -> None:
    # 0.276 K/kPa, computed with CoolProp.
    assert boiling.slope_k_per_hpa(1013.25) == pytest.approx(0.0276, abs=1e-4)


def test_a_weather_report_is_brought_down_to_the_place() -> None:
    # At sea level the report is the pressure; at 1000 m a standard report is 898.75 hPa.
    assert boiling.station_hpa(0.0, 1030.0) == pytest.approx(1030.0)
    assert boiling.station_hpa(1000.0, 1013.25) == pytest.approx(898.75, abs=0.01)


def test_fixed_points_are_those_of_the_temperature_scale() -> None:
    # ITS-90, table 1: gallium melts at 29.7646 °C; ice melts at 0 °C at normal pressure.
    assert gallium().celsius == 29.7646
    assert ice().celsius == 0.0


def test_weather_makes_an_altitude_a_poor_reference() -> None:
    barometer = boiling_point(pressure_hpa=boiling.standard_hpa(500.0))
    altitude = boiling_point(altitude_m=500.0)
    assert altitude.celsius == pytest.approx(barometer.celsius)
    assert altitude.u_k > 0.7 > 0.3 > barometer.u_k


@pytest.mark.parametrize(
    ("kind", "celsius", "tolerance"),
    # IEC 60751 classes at 0, 32 and 100 °C; DS18B20 datasheet, thermometer error.
    [
        ("iec60751-a", 0.0, 0.15),
        ("iec60751-b", 0.0, 0.30),
        ("iec60751-aa", 32.0, 0.154),
        ("iec60751-a", 32.0, 0.214),
        ("iec60751-b", 32.0, 0.46),
        ("iec60751-a", 100.0, 0.35),
        ("iec60751-b", 100.0, 0.80),
        ("iec60751-c", 100.0, 1.60),
        ("ds18b20", 0.0, 0.5),
        ("ds18b20", 85.0, 0.5),
        ("ds18b20", 100.0, 1.0),
        ("ds18b20", -40.0, 2.0),
    ],
)
def test_classes(kind: str, celsius: float, tolerance: float) -> None:
    assert tolerance_k(kind, celsius) == pytest.approx(tolerance, abs=5e-4)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, 0.0, -5.0, 499.0, 1e9])
def test_absurd_pressures_are_refused_in_words(bad: float) -> None:
    with pytest.raises(InputError, match=r"pressure must be between 500 and 1100 hPa"):
        boiling_point(pressure_hpa=bad)


@pytest.mark.parametrize("bad", [math.nan, 9000.0, -1000.0])
def test_absurd_altitudes_are_refused_in_words(bad: float) -> None:
    with pytest.raises(InputError, match=r"altitude must be between -400 and 5000 m"):
        boiling_point(altitude_m=bad)


def test_a_boiling_point_needs_one_of_pressure_and_altitude() -> None:
    with pytest.raises(InputError, match="either the pressure"):
        boiling_point()
    with pytest.raises(InputError, match="either the pressure"):
        boiling_point(pressure_hpa=1000.0, altitude_m=0.0)


def test_a_reference_in_fahrenheit_is_refused() -> None:
    with pytest.raises(InputError, match="between -5 and 100 °C, not 212 °C"):
        comparison(212.0, 0.1)
    with pytest.raises(InputError, match="uncertainty of the reference thermometer"):
        comparison(37.0, math.nan)


def test_an_unknown_kind_of_probe_is_refused() -> None:
    with pytest.raises(InputError, match=r"no kind of probe 'lm35'.*ds18b20"):
        tolerance_k("lm35", 20.0)
    with pytest.raises(InputError, match="-55 to 125"):
        tolerance_k("ds18b20", 200.0)
