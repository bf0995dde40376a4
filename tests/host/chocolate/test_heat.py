"""Heat sums against textbook examples and the lumped model's hand calculations."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from glossbath.chocolate import heat
from glossbath.errors import InputError


def test_aluminium_pan_and_water_from_the_textbook() -> None:
    # OpenStax College Physics, module m42224: 27.0 kJ and 62.8 kJ.
    pan = heat.sensible_j(0.500, 900, 20, 80)
    water = heat.sensible_j(0.250, 4186, 20, 80)
    assert pan == pytest.approx(27_000)
    assert water == pytest.approx(62_790)


def test_swimming_pool_from_the_textbook() -> None:
    # OpenStax College Physics: 80 000 L warmed by 1.50 °C takes 5.02e8 J.
    assert heat.sensible_j(80_000, 4186, 20, 21.5) == pytest.approx(5.02e8, rel=1e-3)


def test_pan_with_a_litre_of_water() -> None:
    # univerkov: 300 g aluminium (920) and 1 L water (4200), 15 to 100 °C, 380.46 kJ.
    total = heat.sensible_j(0.3, 920, 15, 100) + heat.sensible_j(1, 4200, 15, 100)
    assert total == pytest.approx(380_460)


def test_bath_water_agrees_with_a_steam_library() -> None:
    # CoolProp enthalpy of water at 101 325 Pa.
    def enthalpy(celsius: float) -> float:
        return float(PropsSI("H", "T", celsius + 273.15, "P", 101325, "Water"))

    expected = 3 * (enthalpy(50) - enthalpy(20))
    assert expected == pytest.approx(376_234, abs=5)
    assert heat.sensible_j(3, heat.WATER_CP, 20, 50) == pytest.approx(expected, rel=2e-4)


@pytest.mark.parametrize(
    ("fat_share", "kj_per_kg"), [(0.25, 39), (0.30, 47), (0.33, 52), (0.36, 57), (0.40, 63)]
)
def test_melt_heat_follows_the_fat(fat_share: float, kj_per_kg: float) -> None:
    # fat share x 157 kJ/kg, Beckett 4th ed. after Chevalley et al. 1970.
    assert heat.latent_j(1, fat_share, 20, 45) / 1000 == pytest.approx(kj_per_kg, abs=0.6)


def test_tabulated_melt_heats_of_chocolate_mean_an_ordinary_fat_content() -> None:
    # Beckett 4th ed.: dark 46 J/g, milk 44 J/g.
    assert heat.latent_j(1, 0.293, 20, 45) == pytest.approx(46_000, rel=1e-3)
    assert heat.latent_j(1, 0.280, 20, 45) == pytest.approx(44_000, rel=2e-3)


def test_warming_across_forty_degrees_uses_both_specific_heats() -> None:
    # Beckett 4th ed.: 1590 J/(kg K) to 40 °C, 1670 above.
    assert heat.chocolate_j(2, 20, 45) == pytest.approx(2 * (1590 * 20 + 1670 * 5))
    assert heat.chocolate_j(2, 45, 20) == pytest.approx(-2 * (1590 * 20 + 1670 * 5))


def test_reference_rig_takes_what_the_hand_calculation_says() -> None:
    # 3 kg water + 3 kg crock + 1 kg chocolate, 20 to 50 °C with 46 kJ of melting: 553.3 kJ by
    # hand with 1670 J/(kg K) throughout; the table's lower value to 40 °C takes off 1.6 kJ.
    result = heat.batch_heat(1, 0.293, 20, 50, water_kg=3, crock_kg=3)
    assert result.total_j == pytest.approx(553_300 - 1600, rel=1e-3)
    assert result.low_j < 553_300 < result.high_j


def test_no_melt_heat_when_the_batch_is_already_liquid() -> None:
    assert heat.batch_heat(1, 0.36, 36, 45).latent_j == 0
    assert heat.batch_heat(1, 0.36, 20, 28).latent_j == 0
    assert heat.batch_heat(1, 0.36, 20, 45, solid_share=0.0).latent_j == 0


@pytest.mark.parametrize(
    ("kind", "fat_share", "from_c", "kj_per_kg"),
    [
        # Working temperature to 12 °C with 1590 J/(kg K) and Beckett's 46 and 44 J/g, by hand.
        ("dark", 46 / 157, 32, 77.80),
        ("milk", 44 / 157, 30, 72.62),
        ("dark", 0.36, 32, 88.32),
        ("white", 0.36, 28, 81.96),
    ],
)
def test_a_cooler_takes_the_heat_of_setting_too(
    kind: str, fat_share: float, from_c: float, kj_per_kg: float
) -> None:
    made = heat.batch_heat(1, fat_share, from_c, 12, kind=kind)
    # The curve sets white from 26 and milk from 27 °C, so all of it lies between.
    assert made.total_j / -1000 == pytest.approx(kj_per_kg, abs=0.01)
    assert made.low_j < made.total_j < made.high_j < 0


def test_from_forty_five_to_fifteen_setting_more_than_doubles_the_heat() -> None:
    # 5 x 1670 + 25 x 1590 = 48.1 kJ/kg, and 0.36 x 157 = 56.5 kJ/kg of setting: 104.6 by hand.
    assert heat.batch_heat(1, 0.36, 45, 15).total_j == pytest.approx(-104_620)


def test_melting_is_spread_so_that_no_half_degree_costs_sixty_kilojoules() -> None:
    totals = [heat.batch_heat(1, 0.36, 20, 25 + step / 2).total_j for step in range(30)]
    steps = [b - a for a, b in pairwise(totals)]
    assert min(steps) > 0
    # 56.5 kJ/kg over 8 K and 1590 J/(kg K): at most 4.4 kJ in half a degree.
    assert max(steps) < 4500


def test_the_sum_is_told_in_one_sentence_with_its_signs() -> None:
    (sentence,) = heat.batch_heat(1, 0.293, 20, 50, water_kg=3, crock_kg=3).sentences()
    assert sentence.startswith("It takes 552 kJ")
    (sentence,) = heat.batch_heat(1, 0.36, 45, 15, water_kg=3).sentences()
    assert sentence.startswith("It gives off 481 kJ")
    assert "setting 57" in sentence
    # Hot chocolate into a cool bath: chocolate gives, water takes.
    (mixed,) = heat.batch_heat(1, 0.36, 58, 48, water_kg=0.5, water_from_c=40).sentences()
    assert mixed == (
        "It takes 0 kJ (between -2 and 3 kJ): chocolate -17, melting 0, water 17, crock 0 kJ."
    )


@pytest.mark.parametrize(("power_w", "minutes"), [(250, 36.89), (150, 61.5)])
def test_heater_time_without_loss(power_w: float, minutes: float) -> None:
    # 16 910 J/K x 30 K + 46 kJ by hand.
    seconds = heat.heater_s(16_910, power_w, 20, 50, latent_j=46_000)
    assert seconds / 60 == pytest.approx(minutes, abs=0.03)


def test_heater_time_with_loss() -> None:
    # t = tau ln((Te - T0)/(Te - T1)) by hand: 38.7 min for the rig above; 2599.3 s for
    # 15 kJ/K and 4 W/K.
    assert heat.heater_s(16_910, 250, 20, 50, loss_w_per_k=2) / 60 == pytest.approx(38.7, abs=0.05)
    assert heat.heater_s(15_000, 200, 20, 45, loss_w_per_k=4) == pytest.approx(2599.3, abs=0.05)
    assert heat.heater_s(15_000, 200, 20, 45) == pytest.approx(1875)


def test_passive_cooling_takes_over_three_hours() -> None:
    # tau = 16 910 / 2 s; 50 to 27 °C in a room of 20 °C: 3.4 h by hand; 45 to 27: 4773.6 s.
    hours = heat.cooling_s(16_910, 50, 27, loss_w_per_k=2, room_c=20) / 3600
    assert hours == pytest.approx(3.4, abs=0.03)
    seconds = heat.cooling_s(15_000, 45, 27, loss_w_per_k=4, room_c=20)
    assert seconds == pytest.approx(4773.6, abs=0.1)


def test_chilling_without_loss_is_a_straight_line() -> None:
    assert heat.cooling_s(10_000, 45, 25, loss_w_per_k=0, room_c=20, chill_w=200) == 1000


def test_a_heater_too_weak_is_refused_with_the_temperature_it_can_hold() -> None:
    with pytest.raises(InputError, match=r"60 W holds 40\.0 °C at most.*45 °C is never reached"):
        heat.heater_s(15_000, 60, 20, 45, loss_w_per_k=3)


def test_a_room_too_warm_is_refused() -> None:
    with pytest.raises(InputError, match="never cool the bath to 27 °C"):
        heat.cooling_s(15_000, 45, 27, loss_w_per_k=2, room_c=29)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (
            lambda: heat.latent_j(-1, 0.36, 20, 45),
            r"between 0\.01 and 100 kg, not -1 kg",
        ),
        (lambda: heat.latent_j(1, 0.0, 20, 45), r"fat must be between 15 and 70 %, not 0 %"),
        (lambda: heat.latent_j(1, 36, 20, 45), r"not 3600 %; did you mean 36 %\?"),
        (lambda: heat.latent_j(math.nan, 0.36, 20, 45), "not a missing number"),
        (lambda: heat.chocolate_j(1, 20, 300), r"between -20 and 80 °C, not 300 °C"),
        (lambda: heat.chocolate_j(1, 20, 113), r"if that is 113 °F, enter 45\.0 °C"),
        (lambda: heat.heater_s(0, 200, 20, 45), "heat capacity must be between"),
        (lambda: heat.heater_s(15_000, -5, 20, 45), "heater power must be between 1 and 5000 W"),
        (lambda: heat.heater_s(15_000, 200, 45, 20), "A heater warms"),
        (lambda: heat.heater_s(15_000, 200, 20, math.inf), "end must be between"),
    ],
)
def test_input_that_cannot_be_meant_is_refused(call: object, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence) as refused:
        call()  # type: ignore[operator]
    assert "\n" not in str(refused.value)


@given(
    start=st.floats(10, 60), end=st.floats(10, 60), kg=st.floats(0.1, 20), share=st.floats(0, 1)
)
def test_heat_up_and_back_is_nothing(start: float, end: float, kg: float, share: float) -> None:
    there = heat.chocolate_j(kg, start, end)
    back = heat.chocolate_j(kg, end, start)
    assert there + back == pytest.approx(0, abs=1e-6)
    assert heat.latent_j(kg, 0.36, start, end, solid_share=share) * (end - start) >= 0
