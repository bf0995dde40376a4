"""Seeding sums by the method of mixtures, and the fate of seed above 34 °C."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glossbath.chocolate.mixture import Body, mixed_c
from glossbath.chocolate.phase import Window
from glossbath.chocolate.seed import butter_seed, chocolate_seed, given_seed
from glossbath.chocolate.windows import suggest
from glossbath.errors import InputError

WORK = Window(31.0, 32.0)


def test_seed_that_does_not_melt_is_a_plain_mixture() -> None:
    plan = chocolate_seed(2, 33.5, 20, WORK, fat_share=0.36, melted_share=0.0)
    mixed = mixed_c([Body(2, 1590, 33.5), Body(plan.seed_kg, 1590, 20)])
    assert mixed == pytest.approx(31.5)
    # By hand: 2 kg x 2 K / 11.5 K.
    assert plan.seed_kg == pytest.approx(4 / 11.5)
    assert plan.most_kg == pytest.approx(plan.seed_kg)


def test_seed_that_melts_takes_the_melt_heat_too() -> None:
    # By hand: 2 x 1590 x 2 J over (1590 x 11.5 + 0.36 x 157 000) J/kg = 85 g.
    plan = chocolate_seed(2, 33.5, 20, WORK, fat_share=0.36, melted_share=1.0)
    assert plan.seed_kg == pytest.approx(6360 / (18_285 + 56_520))
    assert plan.mix_low_c == pytest.approx(31.5)
    assert plan.crystal_share == 0


def test_the_plan_shows_both_ends() -> None:
    plan = chocolate_seed(2, 33.5, 20, WORK, fat_share=0.36)
    assert plan.least_kg < plan.seed_kg < plan.most_kg
    assert plan.mix_low_c < plan.mix_c < plan.mix_high_c
    assert plan.drop_least_c < 33.5 - plan.mix_c < plan.drop_most_c
    assert plan.crystal_share > 0.01
    assert plan.sentences()[0].startswith("Stir in 137 g of tempered chocolate at 33.5 °C (85 g")


@given(base_kg=st.floats(0.1, 20), base_c=st.floats(32.0, 34), melted=st.floats(0, 1))
def test_heat_is_conserved(base_kg: float, base_c: float, melted: float) -> None:
    plan = chocolate_seed(base_kg, base_c, 18, WORK, fat_share=0.33, melted_share=melted)
    given_off = base_kg * 1590 * (base_c - 31.5)
    taken = plan.seed_kg * (1590 * (31.5 - 18) + melted * 0.33 * 157_000)
    assert given_off == pytest.approx(taken)


def test_above_thirty_four_the_seed_is_lost() -> None:
    # Greweling 2007: form V does not survive above 34 °C.
    hot = chocolate_seed(2, 40, 20, WORK, fat_share=0.36)
    assert hot.lost
    assert "At 40 °C the seed would be lost" in hot.sentences()[0]
    assert hot.seed_kg == pytest.approx(chocolate_seed(2, 33.5, 20, WORK, fat_share=0.36).seed_kg)
    assert not chocolate_seed(2, 34.0, 20, WORK, fat_share=0.36).lost
    assert butter_seed(2, 35, 20, WORK, fat_share=0.36).lost


def test_too_little_seed_left_is_told() -> None:
    plan = chocolate_seed(2, 31.8, 20, WORK, fat_share=0.36)
    assert any("as crystals, less than" in line for line in plan.sentences())


def test_a_base_too_cool_for_chocolate_seed_is_refused() -> None:
    with pytest.raises(InputError, match=r"warmer than 31\.5 °C.*not 31 °C: use cocoa butter"):
        chocolate_seed(2, 31.0, 20, WORK, fat_share=0.36)


def test_cocoa_butter_seed_is_about_one_per_cent_and_hardly_cools() -> None:
    # Food Tech Innovation Portal 2011: 1 vol% at 34 °C, held at 31 to 34 °C.
    plan = butter_seed(2, 34, 20, WORK, fat_share=0.36)
    assert plan.seed_kg == pytest.approx(0.020)
    assert 31 < 34 - 0.25 < plan.mix_c < 34
    assert "Then cool to the working window of 31 to 32 °C." in plan.sentences()
    # 20 g of 740 g of fat by hand.
    assert plan.crystal_share == pytest.approx(0.02 / 0.74)


def test_cocoa_butter_seed_below_the_range_of_its_source_is_told() -> None:
    plan = butter_seed(2, 30, 20, suggest("milk").work, fat_share=0.33)
    assert any("between 31 and 34 °C" in line for line in plan.sentences())


@pytest.mark.parametrize(
    ("base_kg", "base_c", "seed_c", "fat_share", "sentence"),
    [
        (-1, 33, 20, 0.36, "chocolate must be between 0.01 and 100 kg"),
        (2, 300, 20, 0.36, "chocolate must be between 20 and 60 °C, not 300 °C"),
        (2, 92, 20, 0.36, r"92 °F, enter 33\.3 °C"),
        (2, 33, 31, 0.36, "seed must be between -20 and 29 °C"),
        (2, 33, 20, 0.0, "fat must be between 15 and 70 %, not 0 %"),
        (2, math.nan, 20, 0.36, "missing number"),
    ],
)
def test_input_that_cannot_be_meant_is_refused(
    base_kg: float, base_c: float, seed_c: float, fat_share: float, sentence: str
) -> None:
    for seed in (chocolate_seed, butter_seed):
        with pytest.raises(InputError, match=sentence):
            seed(base_kg, base_c, seed_c, WORK, fat_share=fat_share)


def test_a_window_the_wrong_way_round_is_refused() -> None:
    with pytest.raises(InputError, match="from 32 to 31 °C"):
        chocolate_seed(2, 33.5, 20, Window(32, 31), fat_share=0.36)


def test_a_given_mass_agrees_with_the_mass_that_was_planned() -> None:
    planned = chocolate_seed(2.0, 33.5, 20.0, Window(31, 32), fat_share=0.36)
    one = given_seed(2.0, 33.5, 20.0, planned.seed_kg, fat_share=0.36, butter=False)
    assert one.mix_c == pytest.approx(planned.mix_c, abs=1e-9)
    assert one.drop_least_c == pytest.approx(planned.drop_least_c, abs=1e-9)
    assert one.drop_most_c == pytest.approx(planned.drop_most_c, abs=1e-9)
    # The plan counts crystals against all the mass times one fat share, which comes to the same.
    assert one.crystal_share == pytest.approx(planned.crystal_share, rel=1e-6)


def test_a_given_mass_of_cocoa_butter_falls_as_the_method_of_mixtures_says() -> None:
    # By hand: (1590 * 33 + 0.01 * 2010 * 20) / (1590 + 20.1) = 32.838 °C; all melted takes
    # 1570 J / 1610.1 J/K = 0.975 °C more.
    one = given_seed(1.0, 33.0, 20.0, 0.01, fat_share=0.36, butter=True)
    assert one.mix_high_c == pytest.approx(32.838, abs=0.001)
    assert one.mix_low_c == pytest.approx(31.863, abs=0.001)
    # By hand: 10 g of 370 g of fat.
    assert one.crystal_share == pytest.approx(0.01 / 0.37, abs=1e-6)


def test_a_base_that_is_too_hot_loses_a_given_seed() -> None:
    one = given_seed(1.0, 36.0, 20.0, 0.06, fat_share=0.36, butter=False)
    assert one.lost
    assert "the seed would be lost" in one.sentences()[0]
    with pytest.raises(InputError, match="seed must be between"):
        given_seed(1.0, 33.0, 20.0, 2.0, fat_share=0.36, butter=False)
    # Seed that is warmer has gone soft: common practice, no source.
    with pytest.raises(InputError, match=r"seed must be between -20 and 29 °C, not 29\.5 °C"):
        given_seed(1.0, 33.0, 29.5, 0.06, fat_share=0.36, butter=False)
