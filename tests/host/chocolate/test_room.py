"""Moist air against the ASHRAE handbook, CoolProp and MetPy; sweating and drying by hand."""

from __future__ import annotations

import math

import pytest
from CoolProp.HumidAirProp import HAPropsSI
from hypothesis import given
from hypothesis import strategies as st

from glossbath.chocolate.drying import Drying, drying
from glossbath.chocolate.room import Air, advice, air
from glossbath.chocolate.sweat import dry_above_c, sweat, tau_s
from glossbath.errors import InputError


@pytest.mark.parametrize(
    ("room_c", "rh", "dew_c"),
    [
        # psychrolib's own table of checks and an iapws inverse agree on these to 0.001 °C.
        (20, 0.50, 9.2724),
        (20, 0.65, 13.2272),
        (18, 0.50, 7.4333),
        (22, 0.55, 12.5535),
        (25, 0.60, 16.7011),
        (30, 0.70, 23.9279),
    ],
)
def test_dew_points_agree_with_two_libraries(room_c: float, rh: float, dew_c: float) -> None:
    mine = air(room_c, rh).dew_point_c
    assert mine == pytest.approx(dew_c, abs=1e-3)
    coolprop = float(HAPropsSI("D", "T", room_c + 273.15, "R", rh, "P", 101325)) - 273.15
    assert mine == pytest.approx(coolprop, abs=0.01)


def test_dew_points_agree_with_a_weather_library() -> None:
    metpy = pytest.importorskip("metpy.calc")
    units = pytest.importorskip("metpy.units").units
    # MetPy 1.7 uses Ambaum (2020), which differs from ASHRAE by up to 0.04 °C here.
    for room_c, rh in ((20, 0.5), (25, 0.6), (30, 0.7)):
        theirs = metpy.dewpoint_from_relative_humidity(units.Quantity(room_c, "degC"), rh)
        assert air(room_c, rh).dew_point_c == pytest.approx(theirs.to("degC").magnitude, abs=0.05)


def test_magnus_formula_of_the_weather_services_agrees() -> None:
    # Sonntag 1990, WMO-No. 8: e_s = 6.112 exp(17.62 T/(243.12 + T)); within 0.02 °C.
    gamma = math.log(0.5) + 17.62 * 20 / (243.12 + 20)
    assert air(20, 0.5).dew_point_c == pytest.approx(243.12 * gamma / (17.62 - gamma), abs=0.02)


def test_frost_is_called_frost() -> None:
    # psychrolib and CoolProp give the frost point, -6.01 °C, where Magnus over water says -6.8.
    dry = air(10, 0.30)
    assert dry.frost
    assert dry.dew_point_c == pytest.approx(-6.0105, abs=1e-3)
    assert "frost point" in dry.sentences()[0]


def test_pressure_falls_with_altitude() -> None:
    # ASHRAE Handbook Fundamentals 2017, ch. 1: 95 461 Pa at 500 m, 89 875 Pa at 1000 m.
    assert air(20, 0.5, altitude_m=500).pressure_pa == pytest.approx(95_461, abs=1)
    assert air(20, 0.5, altitude_m=1000).pressure_pa == pytest.approx(89_875, abs=1)


def test_the_handbook_example_of_a_wet_bulb() -> None:
    # ASHRAE 2017, example 1: 40 °C with wet bulb 20 °C has RH 14 % and W 0.0065.
    hot = air(40, 0.13979)
    assert hot.wet_bulb_c == pytest.approx(20, abs=0.01)
    assert hot.water_g_per_kg == pytest.approx(6.5, abs=0.15)


@pytest.mark.parametrize(("room_c", "rh", "grams"), [(20, 0.5, 8.6214), (25, 0.6, 13.7807)])
def test_water_in_a_cubic_metre(room_c: float, rh: float, grams: float) -> None:
    # Sensor maker's formula with WMO coefficients, 0.3 % below ASHRAE.
    assert air(room_c, rh).water_g_per_m3 == pytest.approx(grams, rel=5e-3)


@pytest.mark.parametrize(
    ("room_c", "rh", "words"),
    [
        (20.5, 0.45, "The room suits"),
        (28, 0.45, "28 °C is warm"),
        (15, 0.45, "15 °C is cool"),
        (19, 0.45, "20 to 21 °C is better"),
        (20.5, 0.55, "55 % is damp"),
        (20.5, 0.75, "75 % is too damp"),
    ],
)
def test_advice_follows_twenty_degrees_and_half_humidity(
    room_c: float, rh: float, words: str
) -> None:
    # Common practice, no source: 20 to 21 °C and below 50 %.
    assert any(words in line for line in advice(air(room_c, rh)))


def test_chocolate_from_the_refrigerator_sweats_in_a_damp_kitchen() -> None:
    # Dew point of 25 °C and 60 %: 16.70 °C (psychrolib, CoolProp).
    answer = sweat(5, air(25, 0.60))
    assert answer.sweats
    assert answer.margin_c == pytest.approx(5 - 16.70, abs=0.01)
    assert "will sweat, the dew point is 16.7 °C" in answer.sentences()[0]


def test_the_wait_is_newtons_warming() -> None:
    # By hand: tau = 1300 x 1590 x 0.005 / 9.4 = 1099.5 s; the surface of dark chocolate has 82 %
    # at 19.86 °C (by psychrolib from the saturation pressures): ln(20 / (25 - 19.86)).
    assert tau_s(10, wrapped=False) == pytest.approx(1099.5, abs=0.1)
    answer = sweat(5, air(25, 0.60), thickness_mm=10, wrapped=False)
    assert answer.wait_s == pytest.approx(1099.5 * math.log(20 / 5.14), rel=2e-3)
    assert answer.wait_s is not None
    assert answer.wait_least_s is not None
    assert answer.wait_most_s is not None
    assert answer.wait_least_s < answer.wait_s < answer.wait_most_s


def test_a_box_and_a_thick_bar_take_longer() -> None:
    damp = air(25, 0.60)
    thin = sweat(5, damp, thickness_mm=10, wrapped=False).wait_s
    thick = sweat(5, damp, thickness_mm=20, wrapped=False).wait_s
    boxed = sweat(5, damp, thickness_mm=10, wrapped=True).wait_s
    assert thin is not None
    assert thick == pytest.approx(2 * thin)
    assert boxed == pytest.approx(3 * thin)


@pytest.mark.parametrize(
    ("room_c", "rh_share", "dark_c", "milk_c"),
    [
        # Surface humidity e(room) / e_s(surface) of 82 and 78 %, with psychrolib.
        (20, 0.50, 12.25, 13.01),
        (20, 0.60, 15.05, 15.83),
        (22, 0.50, 14.13, 14.91),
        (22, 0.60, 16.98, 17.77),
        (25, 0.60, 19.86, 20.67),
    ],
)
def test_chocolate_stays_dry_three_to_four_kelvin_above_the_dew_point(
    room_c: float, rh_share: float, dark_c: float, milk_c: float
) -> None:
    # food-info.net (Wageningen University): dark takes up water above 82 %, milk above 78 %.
    room = air(room_c, rh_share)
    assert dry_above_c(room, "dark") == pytest.approx(dark_c, abs=0.02)
    assert dry_above_c(room, "milk") == pytest.approx(milk_c, abs=0.02)
    assert 2.9 < dry_above_c(room, "dark") - room.dew_point_c < 3.3
    assert 3.6 < dry_above_c(room, "milk") - room.dew_point_c < 4.1


def test_a_dehumidifier_warms_the_room() -> None:
    # By hand: 10 l a day at 0.45 kWh/l give 283 W of latent heat and 188 W of work.
    made = Drying(0.0, 10.0, 5.0, 20.0)
    assert made.heat_w == pytest.approx(471, abs=1)


def test_dry_air_lets_cold_chocolate_be_used_at_once() -> None:
    answer = sweat(16, air(20, 0.40))
    assert not answer.sweats
    assert answer.wait_s == 0


def test_nearly_saturated_air_is_never_safe() -> None:
    answer = sweat(10, air(25, 0.95))
    assert answer.wait_s is None
    assert "dry the room first" in answer.sentences()[0]


def test_litres_to_dry_a_kitchen() -> None:
    # By hand from the table of water in air: 50 m³ at 25 °C from 60 % to 45 % lose a quarter of
    # 13.78 g/m³, 0.172 l.
    answer = drying(50, air(25, 0.60), 0.45)
    assert answer.once_l == pytest.approx(50 * 13.78 * 0.25 / 1000, rel=0.02)
    assert answer.per_day_l == pytest.approx(12 * answer.once_l)
    assert answer.per_day_least_l < answer.per_day_l < answer.per_day_most_l


def test_dry_outside_air_needs_no_machine() -> None:
    winter = drying(50, air(21, 0.60), 0.45, outside=air(2, 0.80))
    assert winter.per_day_l == 0
    assert "open the window" in winter.sentences()[1]


@given(room_c=st.floats(1, 49), rh=st.floats(0.02, 0.99))
def test_dew_point_and_wet_bulb_never_exceed_the_air(room_c: float, rh: float) -> None:
    made = air(room_c, rh)
    assert made.dew_point_c <= room_c + 0.01
    assert made.dew_point_c <= made.wet_bulb_c + 0.15
    assert made.wet_bulb_c <= room_c + 0.01


def damp() -> Air:
    return air(25, 0.60)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: air(20, 1.2), r"humidity must be between 1 and 100 %, not 120 %\.$"),
        (lambda: air(20, 55), r"did you mean 55 %"),
        (lambda: air(20, 0), "not 0 %"),
        (lambda: air(70, 0.5), r"70 °F, enter 21\.1 °C"),
        (lambda: air(math.nan, 0.5), "missing number"),
        (lambda: air(20, 0.5, altitude_m=9000), "altitude must be between -400 and 5000 m"),
        (lambda: sweat(-80, damp()), "chocolate must be between -30 and 40 °C"),
        (lambda: sweat(5, damp(), thickness_mm=0), "thickness must be between 1 and 100 mm"),
        (lambda: drying(0, damp(), 0.45), "room's volume must be between"),
        (lambda: drying(50, damp(), 0.70), "below the room's 60 %, not at 70 %"),
        (lambda: drying(50, damp(), 0.45, air_changes_per_h=-1), "air changes must be between"),
    ],
)
def test_input_that_cannot_be_meant_is_refused(call: object, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        call()  # type: ignore[operator]
