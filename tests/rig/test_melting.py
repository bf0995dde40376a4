"""Chocolate that melts and sets: latent heat is exact, the kinetics only point the right way."""

from __future__ import annotations

import math

import pytest

from glossbath.errors import InputError
from glossbath.virtual.melting import ChocolateMass, ChocolateParameters
from glossbath.virtual.stirrer import casson_pa

DARK = ChocolateParameters()


def soak(chocolate: ChocolateMass, seconds: float, watts: float, mixing: float = 1.0) -> None:
    for _ in range(round(seconds / 0.25)):
        chocolate.step(0.25, 0.25 * watts, mixing)


def hold(chocolate: ChocolateMass, seconds: float, celsius: float) -> None:
    """Keep it near celsius with a strong bath."""
    for _ in range(round(seconds / 0.25)):
        chocolate.step(0.25, 0.25 * 100.0 * (celsius - chocolate.celsius), 1.0)


@pytest.mark.parametrize(
    ("fat_share", "kj_per_kg"), [(0.25, 39), (0.30, 47), (0.33, 52), (0.36, 57), (0.40, 63)]
)
def test_latent_heat_goes_with_the_fat(fat_share: float, kj_per_kg: float) -> None:
    # Fat share times 157 kJ/kg (Chevalley et al. 1970, as given in Beckett 4th ed. p. 668).
    latent = ChocolateParameters(fat_share=fat_share).latent_j_per_kg
    assert latent / 1e3 == pytest.approx(kj_per_kg, abs=0.6)


def test_dark_chocolate_of_the_table_takes_46_kj_per_kg() -> None:
    # Beckett 4th ed. p. 668: dark chocolate 46 J/g, milk 44 J/g; that is 29 and 28 % fat.
    assert ChocolateParameters(fat_share=0.293).latent_j_per_kg == pytest.approx(46e3, rel=0.01)


@pytest.mark.parametrize("watts", [20.0, 120.0, 600.0])
def test_melting_takes_sensible_and_latent_heat_however_fast(watts: float) -> None:
    # 24 to 50 °C by hand: 1590 * 16 + 1670 * 10 + 0.36 * 157 000 = 98 660 J for 1 kg.
    chocolate = ChocolateMass(DARK, 1.0, 24.0)
    assert chocolate.melted_share == 0.0
    soak(chocolate, 98_660.0 / watts, watts)
    soak(chocolate, 1800.0, 0.0)
    assert chocolate.melted_share == pytest.approx(1.0, abs=1e-9)
    assert chocolate.celsius == pytest.approx(50.0, abs=watts * 0.25 / 1670.0 + 1e-6)


def test_temperature_lingers_while_it_melts() -> None:
    # Between 28 and 36 °C heat goes into 56.5 kJ/kg of latent and 12.7 kJ/kg of sensible heat.
    chocolate = ChocolateMass(DARK, 1.0, 28.0)
    soak(chocolate, 1000.0, 56_520.0 * 0.5 / 1000.0 + 1590.0 * 4.0 / 1000.0)
    assert chocolate.celsius == pytest.approx(32.0, abs=0.6)
    assert chocolate.melted_share == pytest.approx(0.5, abs=0.06)


def test_one_percent_of_the_fat_setting_warms_it_by_a_third_of_a_kelvin() -> None:
    # 565 J/kg, 0.34 K with cp 1670 (hand calculation); cp is 1590 below 40 °C here: 0.355 K.
    chocolate = ChocolateMass(DARK, 1.0, 28.0, stable_share=0.01)
    while chocolate.stable_share < 0.02:
        chocolate.step(0.25, 0.0, 1.0)
    set_share = 0.99 - chocolate.melted_share
    assert chocolate.celsius - 28.0 == pytest.approx(set_share * 56_520.0 / 1590.0, abs=1e-9)


def test_a_seeded_melt_warms_by_itself_below_30() -> None:
    chocolate = ChocolateMass(DARK, 1.0, 27.5, stable_share=0.0)
    soak(chocolate, 60.0, 0.0)
    early_c = chocolate.celsius
    assert early_c == pytest.approx(27.5, abs=0.05)  # few seeds: slowly at first
    soak(chocolate, 900.0, 0.0)
    assert 0.5 < chocolate.celsius - early_c < 6.0
    assert 0.01 < chocolate.stable_share < 0.2


def test_a_clean_melt_above_30_stays_liquid() -> None:
    chocolate = ChocolateMass(DARK, 1.0, 31.5, stable_share=0.0)
    soak(chocolate, 4 * 3600.0, 0.0)
    assert chocolate.melted_share == 1.0
    assert chocolate.celsius == pytest.approx(31.5, abs=1e-9)


def test_growth_at_working_temperature_is_slow_and_at_cooling_temperature_quick() -> None:
    def share_after_ten_minutes(celsius: float) -> float:
        chocolate = ChocolateMass(DARK, 1.0, celsius, stable_share=0.01)
        hold(chocolate, 600.0, celsius)
        return chocolate.stable_share

    assert share_after_ten_minutes(31.5) < 0.02
    assert share_after_ten_minutes(27.5) > 0.05


def test_a_clean_melt_seeds_the_sooner_the_colder_it_is() -> None:
    # Nucleation grows faster than undercooling (any textbook of crystallisation); here as its
    # square, which is an estimate.
    def seeds(under_k: float) -> float:
        chocolate = ChocolateMass(DARK, 1.0, DARK.nucleate_below_c - under_k, stable_share=0.0)
        soak(chocolate, 20.0, 0.0)
        return chocolate.stable_share

    assert seeds(0.5) > 0.0
    assert seeds(1.0) / seeds(0.5) == pytest.approx(4.0, rel=0.1)


def test_stirring_hastens_setting() -> None:
    # Shear shortens induction and favours form V (Mazzanti et al. 2007; Sonwai & Mackley 2006).
    still, stirred = (ChocolateMass(DARK, 1.0, 28.0, stable_share=0.0) for _ in range(2))
    soak(still, 600.0, 0.0, mixing=0.0)
    soak(stirred, 600.0, 0.0, mixing=1.0)
    assert stirred.stable_share > 3.0 * still.stable_share


def test_cooling_too_far_forms_unstable_crystals_which_reheating_melts() -> None:
    # Form IV forms alongside V below 29 °C (Greweling 2007) and melts at 27.5 °C, V at 33.8 °C
    # (Wille & Lutton 1966).
    chocolate = ChocolateMass(DARK, 1.0, 24.5, stable_share=0.0)
    hold(chocolate, 180.0, 24.5)
    assert chocolate.unstable_share > 0.001
    stable_share = chocolate.stable_share
    hold(chocolate, 900.0, 31.5)
    assert chocolate.unstable_share == pytest.approx(0.0, abs=1e-6)
    assert chocolate.stable_share > 0.5 * stable_share


def test_a_melt_only_just_warm_keeps_seeds_and_a_hot_one_forgets() -> None:
    # Memory: cocoa butter heated only just above its melting end sets again in the stable form
    # (van Langevelde et al. 2001).
    def seeds(celsius: float) -> float:
        chocolate = ChocolateMass(DARK, 1.0, 28.0)
        hold(chocolate, 900.0, celsius)
        return chocolate.stable_share

    assert seeds(35.0) > 0.05
    assert seeds(48.0) < 1e-4


def test_seeding_brings_stable_crystals_and_costs_their_melting_heat() -> None:
    chocolate = ChocolateMass(DARK, 1.0, 33.0, stable_share=0.0)
    before_j = chocolate.enthalpy_j
    seed = ChocolateMass(DARK, 0.01, 22.0)
    seed_j = seed.enthalpy_j
    chocolate.add(seed)
    assert chocolate.stable_share == pytest.approx(0.01 / 1.01)
    assert chocolate.enthalpy_j == pytest.approx(before_j + seed_j)
    assert chocolate.kg == pytest.approx(1.01)


def test_fresh_pieces_are_loose_and_set_chocolate_is_not() -> None:
    pieces = ChocolateMass(DARK, 1.0, 22.0)
    assert pieces.suspended_share == 0.0
    set_again = ChocolateMass(DARK, 1.0, 28.0, stable_share=0.0)
    soak(set_again, 1200.0, 0.0)
    assert set_again.suspended_share == pytest.approx(
        set_again.stable_share + set_again.unstable_share
    )


def test_casson_gives_the_stress_of_the_worked_value() -> None:
    # Yield 9.3 Pa, 1.42 Pa·s (IOCCC milk chocolate at 39.9 °C), 10 1/s: 46.48 Pa.
    assert casson_pa(9.3, 1.42, 10.0) == pytest.approx(46.48, abs=0.01)


@pytest.mark.parametrize(
    ("yield_pa", "viscosity", "shear", "apparent"),
    [
        (9.3, 1.42, 2.0, 11.2),  # IOCCC milk
        (9.3, 1.42, 40.0, 2.80),
        (29.02, 6.056, 5.0, 23.7),  # dark, instrument maker's glossary "Casson analysis"
    ],
)
def test_casson_gives_the_apparent_viscosities(
    yield_pa: float, viscosity: float, shear: float, apparent: float
) -> None:
    assert casson_pa(yield_pa, viscosity, shear) / shear == pytest.approx(apparent, rel=0.005)


def test_impossible_chocolate_is_refused() -> None:
    with pytest.raises(InputError, match="fat_share"):
        ChocolateParameters(fat_share=1.5)
    with pytest.raises(InputError, match="melt_low_c"):
        ChocolateParameters(melt_low_c=36.0)
    with pytest.raises(InputError, match="chocolate temperature"):
        ChocolateMass(DARK, 1.0, math.nan)
