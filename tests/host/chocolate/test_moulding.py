"""Cooling in the mould against closed solutions; demoulding against moist air."""

from __future__ import annotations

import math

import pytest

from glossbath.chocolate import heat, moulding
from glossbath.chocolate.moulding import cooling_s, plan
from glossbath.chocolate.room import air
from glossbath.errors import InputError

LATENT = 46_000.0  # dark chocolate: Beckett, 4th ed.


@pytest.mark.parametrize(
    ("w_per_m2_k", "thickness_mm", "sides", "minutes"),
    [
        # Enthalpy method by an own program, converged in grid: k 0.25, 1250 kg/m3, 1590 J/(kg K),
        # 46 kJ/kg over 28 to 20 °C, from 31 to 14 °C at the hottest place in air of 12 °C.
        (15, 8, 1, 99.40),
        (25, 8, 1, 66.04),
        (8, 8, 1, 172.74),
        (15, 10, 2, 58.46),
    ],
)
def test_a_bar_cools_as_conduction_with_latent_heat_says(
    w_per_m2_k: float, thickness_mm: float, sides: int, minutes: float
) -> None:
    seconds = cooling_s(
        thickness_mm, w_per_m2_k, 31, 14, 12,
        latent_j_per_kg=LATENT, sets_c=(20, 28), sides=sides,
    )  # fmt: skip
    assert seconds / 60 == pytest.approx(minutes, rel=0.01)


def test_without_latent_heat_it_is_the_plane_slab_of_the_textbooks() -> None:
    # Heisler's slab, first term: Bi = h L / k = 1, zeta 0.86033, C 1.11913; centre at Fo 1 is
    # 0.533859 of the start (full series).
    depth_m, k = 0.01, moulding.CONDUCTIVITY_W_PER_M_K
    seconds = depth_m**2 * moulding.KG_PER_M3 * heat.CHOCOLATE_CP / k
    to_c = 10 + 0.533859 * 21
    found = cooling_s(10, k / depth_m, 31, to_c, 10, latent_j_per_kg=0.0, sets_c=(20, 28))
    assert found == pytest.approx(seconds, rel=0.01)


def test_a_sharp_front_moves_as_neumann_says() -> None:
    # One phase, Stefan number 0.5: lambda 0.4647859, s = 2 lambda sqrt(alpha t).
    cold_c, melt_c = 8.0, 28.0
    latent = heat.CHOCOLATE_CP * (melt_c - cold_c) / 0.5
    alpha = moulding.CONDUCTIVITY_W_PER_M_K / (moulding.KG_PER_M3 * heat.CHOCOLATE_CP)
    depth_m = 0.02
    expected_s = (depth_m / (2 * 0.4647859)) ** 2 / alpha
    found = cooling_s(
        20, 1e5, melt_c, melt_c - 0.3, cold_c,
        latent_j_per_kg=latent, sets_c=(melt_c - 0.2, melt_c),
    )  # fmt: skip
    # The insulated back is reached when the front is there.
    assert found == pytest.approx(expected_s, rel=0.05)


def test_forgetting_the_latent_heat_would_halve_the_time() -> None:
    # By hand, lumped: 47.3 % of the time without it.
    with_it = cooling_s(5, 8, 31, 14, 12, latent_j_per_kg=LATENT, sets_c=(20, 28))
    without = cooling_s(5, 8, 31, 14, 12, latent_j_per_kg=0.0, sets_c=(20, 28))
    assert without / with_it == pytest.approx(0.473, abs=0.02)


def test_a_cooler_is_sized_with_the_heat_of_setting() -> None:
    # 77.80 kJ/kg from 32 to 12 °C (1590 J/(kg K), 46 kJ/kg, by hand).
    made = plan(2, 8, 32, 12, kind="dark", fat_share=46 / 157)
    assert made.heat_j == pytest.approx(2 * 77_800, rel=1e-3)
    assert made.fast_s < made.slow_s
    assert f"{made.heat_j / 334_000:.2f} kg of ice" in " ".join(made.sentences())


def test_thicker_bars_and_still_air_take_longer() -> None:
    def slow(thickness_mm: float, moving: str = "moving") -> float:
        return plan(
            1, thickness_mm, 31, 12, kind="dark", fat_share=0.36, moving=moving,  # type: ignore[arg-type]
        ).slow_s  # fmt: skip

    assert slow(5) < slow(8) < slow(12)
    assert slow(8) < slow(8, "still")
    # Time goes as thickness while air limits it, and as its square when the bar does.
    assert 8 / 5 < slow(8) / slow(5) < (8 / 5) ** 2


def test_a_bar_from_the_cooler_is_not_brought_into_damp_air() -> None:
    # 20 °C and 60 %: dark stays dry above 15.05 °C (psychrolib, 82 % at the surface).
    damp = plan(1, 8, 31, 12, kind="dark", fat_share=0.36, room=air(20, 0.60))
    assert "colder than 15.0 °C" in damp.sentences()[-1] or "15.1 °C" in damp.sentences()[-1]
    dry = plan(1, 8, 31, 12, kind="dark", fat_share=0.36, room=air(20, 0.35))
    assert "stays dry" in dry.sentences()[-1]


def test_warm_and_cold_moulds_are_told_by_one_rule() -> None:
    def words(mould_c: float) -> str:
        made = plan(1, 8, 30.5, 12, kind="dark", fat_share=0.36, mould_c=mould_c)
        return " ".join(made.sentences())

    assert "too warm" in words(29)
    assert "too cold" in words(15)
    assert "are too" not in words(24)


@pytest.mark.parametrize("air_c", [21.0, math.nan, -30.0])
def test_air_that_never_sets_it_is_refused(air_c: float) -> None:
    with pytest.raises(InputError, match="air of the cooler must be between"):
        plan(1, 8, 31, air_c, kind="dark", fat_share=0.36)
