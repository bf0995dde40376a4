"""Mixtures and ice against textbook examples."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glossbath.chocolate.mixture import (
    Body,
    cold_water_needed_kg,
    ice_needed_kg,
    mix_with_ice,
    mixed_c,
)
from glossbath.errors import InputError


def test_cold_water_in_a_hot_pan() -> None:
    # OpenStax College Physics, module m42224: 59.1 °C.
    assert mixed_c([Body(0.250, 4186, 20), Body(0.500, 900, 150)]) == pytest.approx(
        59.0912, abs=1e-3
    )


def test_two_waters() -> None:
    # 618 g at 73 °C and 478 g at 34 °C: 55.991 °C by hand.
    assert mixed_c([Body(0.618, 4186, 73), Body(0.478, 4186, 34)]) == pytest.approx(
        55.991, abs=1e-3
    )


def test_ice_in_a_drink() -> None:
    # OpenStax College Physics, module m42225: 13 °C (13.2977).
    mix = mix_with_ice(0.018, [Body(0.25, 4186, 20)], water_cp=4186)
    assert mix.celsius == pytest.approx(13.2977, abs=0.02)
    assert mix.left_kg == 0


def test_ice_in_warm_water() -> None:
    # studypool: 124 g ice in 777 g water of 53 °C with 3.33e5 J/kg gives 34.76 °C; the
    # 334 kJ/kg used here is 0.3 % more, so the result lies 0.03 °C lower.
    mix = mix_with_ice(0.124, [Body(0.777, 4186, 53)], water_cp=4186)
    assert mix.celsius == pytest.approx(34.76, abs=0.05)


def test_melting_a_kilogram_of_ice_takes_the_heat_of_eighty_degrees() -> None:
    # OpenStax College Physics, module m42225: 334 kJ warm 1 kg of water from 0 to 79.8 °C.
    mix = mix_with_ice(1, [Body(1, 4186, 79.8)], water_cp=4186)
    assert mix.celsius == pytest.approx(0, abs=0.01)


def test_too_much_ice_stays() -> None:
    mix = mix_with_ice(1, [Body(1, 4180, 40)])
    assert mix.celsius == 0
    assert mix.melted_kg == pytest.approx(4180 * 40 / 334_000)
    assert mix.left_kg == pytest.approx(1 - mix.melted_kg)
    assert mix.sentences() == ["Not all the ice melts: 0.499 kg stays at 0.0 °C."]


def test_no_ice_changes_nothing() -> None:
    mix = mix_with_ice(0, [Body(2, 4180, 40)])
    assert mix.celsius == pytest.approx(40)
    assert mix.melted_kg == 0


def test_ice_for_the_reference_bath() -> None:
    # By hand: 3 kg of water from 45 to 27 °C take 0.505 kg of ice, 0.614 kg with 3 kg of crock
    # at 900 J/(kg K), or 4.5 kg of water at 15 °C.
    assert ice_needed_kg(3 * 4180, 45, 27) == pytest.approx(0.505, abs=5e-4)
    assert ice_needed_kg(3 * 4180 + 3 * 900, 45, 27) == pytest.approx(0.614, abs=5e-4)
    assert cold_water_needed_kg(3 * 4180, 45, 27, 15) == pytest.approx(4.5)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: mixed_c([]), "at least one part"),
        (lambda: mixed_c([Body(0, 4180, 20)]), "mass above 0 kg"),
        (lambda: mixed_c([Body(-1, 4180, 20), Body(2, 4180, 20)]), "mass of 0 kg or more"),
        (lambda: mixed_c([Body(1, 4180, math.nan)]), "temperature in °C"),
        (lambda: mix_with_ice(-0.1, [Body(1, 4180, 20)]), "ice must be between 0 and 100 kg"),
        (lambda: mix_with_ice(0.1, [Body(1, 4180, -5)]), "at 0 °C or above"),
        (lambda: ice_needed_kg(12_540, 27, 45), "below its start of 27 °C"),
        (lambda: ice_needed_kg(12_540, 45, 0), "above the coolant's 0 °C"),
        (lambda: ice_needed_kg(12_540, 113, 27), r"113 °F, enter 45\.0 °C"),
        (lambda: cold_water_needed_kg(12_540, 45, 27, 30), "above the coolant's 30 °C"),
    ],
)
def test_input_that_cannot_be_meant_is_refused(call: object, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        call()  # type: ignore[operator]


@given(ice_kg=st.floats(0, 5), water_kg=st.floats(0.1, 10), water_c=st.floats(0, 90))
def test_no_heat_is_lost_and_no_ice_appears(
    ice_kg: float, water_kg: float, water_c: float
) -> None:
    mix = mix_with_ice(ice_kg, [Body(water_kg, 4180, water_c)])
    assert mix.melted_kg + mix.left_kg == pytest.approx(ice_kg)
    assert 0 <= mix.celsius <= water_c + 1e-9
    gained = mix.melted_kg * 334_000 + mix.melted_kg * 4180 * mix.celsius
    given_off = water_kg * 4180 * (water_c - mix.celsius)
    assert gained == pytest.approx(given_off, abs=1e-3)


@given(celsius=st.floats(1, 26.9), kg=st.floats(1, 10))
def test_the_ice_needed_brings_the_bath_where_it_was_asked(celsius: float, kg: float) -> None:
    ice = ice_needed_kg(kg * 4180, 45, celsius)
    assert mix_with_ice(ice, [Body(kg, 4180, 45)]).celsius == pytest.approx(celsius, abs=1e-6)
