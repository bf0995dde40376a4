"""The distributed plant against closed forms and against what a kitchen sees."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glossbath.errors import InputError
from glossbath.virtual.actuators import Actuators
from glossbath.virtual.distributed.fat import Portion, fat_of
from glossbath.virtual.distributed.ice import IceBucket
from glossbath.virtual.distributed.moist import vapour_kg_per_m3
from glossbath.virtual.distributed.parameters import SlabParameters
from glossbath.virtual.distributed.plant import DistributedPlant
from glossbath.virtual.distributed.wall import Wall
from glossbath.virtual.plants import PLANTS, plant_of, reference

K, C_V, LENGTH_M = 1.3, 1.95e6, 0.012


def run(plant: DistributedPlant, seconds: float, **shares: float) -> None:
    for _ in range(round(seconds / 0.25)):
        plant.step(0.25, Actuators(**shares))


def semi_infinite_c(flux_w_m2: float, seconds: float) -> float:
    """Surface rise of a half space under a constant flux: 2 q/k sqrt(alpha t/pi).

    Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed., section 2.9 (from memory).
    """
    return 2.0 * flux_w_m2 / K * math.sqrt(K / C_V * seconds / math.pi)


def slab_under_flux_c(flux_w_m2: float, seconds: float, share: float) -> float:
    """Rise at share of the thickness from an insulated face, constant flux into the other one.

    q L/k (Fo + (3 x² - 1)/6 - 2/pi² sum (-1)^n/n² exp(-n² pi² Fo) cos(n pi x)): Carslaw & Jaeger,
    2nd ed., section 3.8, equation 3 (from memory).
    """
    fourier = K / C_V * seconds / LENGTH_M**2
    series = sum(
        (-1) ** n
        / n**2
        * math.exp(-((n * math.pi) ** 2) * fourier)
        * math.cos(n * math.pi * share)
        for n in range(1, 200)
    )
    bracket = fourier + (3.0 * share**2 - 1.0) / 6.0 - 2.0 / math.pi**2 * series
    return flux_w_m2 * LENGTH_M / K * bracket


@pytest.mark.parametrize("cells", [5, 8])
@pytest.mark.parametrize("seconds", [60.0, 240.0, 900.0])
def test_slab_under_constant_flux_agrees_with_the_series(cells: int, seconds: float) -> None:
    wall = Wall(LENGTH_M, 0.1, K, C_V, 20.0, cells)
    for _ in range(round(seconds / 0.1)):
        wall.step(0.1, 200.0, 0.0)
    whole = slab_under_flux_c(2000.0, seconds, 1.0) - slab_under_flux_c(2000.0, seconds, 0.0)
    outer = wall.face_c(False, 200.0) - 20.0
    inner = wall.face_c(True, 0.0) - 20.0
    assert outer == pytest.approx(slab_under_flux_c(2000.0, seconds, 1.0), abs=0.02 * whole)
    assert inner == pytest.approx(slab_under_flux_c(2000.0, seconds, 0.0), abs=0.02 * whole)


def test_slab_begins_as_a_half_space() -> None:
    wall = Wall(LENGTH_M, 0.1, K, C_V, 20.0, 48)
    for _ in range(1200):
        wall.step(0.01, 200.0, 0.0)
    assert wall.face_c(False, 200.0) - 20.0 == pytest.approx(
        semi_infinite_c(2000.0, 12.0), rel=0.03
    )


def test_steady_slab_between_two_films_is_a_row_of_resistances() -> None:
    # q = (T1 - T2) / (1/h1 + L/k + 1/h2): any textbook's composite wall.
    wall = Wall(LENGTH_M, 0.1, K, C_V, 20.0)
    one, other = wall.film_w_per_k(24.0 * 0.1), wall.film_w_per_k(340.0 * 0.1)
    for _ in range(20_000):
        wall.step(0.25, one * (100.0 - wall.cells_c[0]), other * (wall.cells_c[-1] - 30.0))
    expected_w = 70.0 * 0.1 / (1.0 / 24.0 + LENGTH_M / K + 1.0 / 340.0)
    assert other * (wall.cells_c[-1] - 30.0) == pytest.approx(expected_w, rel=1e-6)


@given(
    mm=st.floats(5.0, 14.0),
    heater_w=st.floats(110.0, 1500.0),
    water_kg=st.floats(1.5, 6.0),
    start_c=st.floats(12.0, 60.0),
)
@settings(max_examples=25, deadline=None)
def test_account_of_energy_closes_whatever_happens(
    mm: float, heater_w: float, water_kg: float, start_c: float
) -> None:
    p = SlabParameters(crock_mm=mm, heater_w=heater_w, water_kg=water_kg)
    plant = DistributedPlant(p, bath_c=start_c, chocolate_c=24.0)
    run(plant, 240.0, heat_share=1.0, stir_share=1.0)
    plant.set_lid(True)
    plant.add_water(0.3, 70.0)
    run(plant, 120.0, chill_share=1.0)
    plant.add_chocolate(0.2, 20.0)
    plant.take_chocolate(0.4)
    plant.lose_water(0.5)
    plant.take_ice(0.2)
    run(plant, 240.0, chill_share=1.0, stir_share=1.0)
    moved_j = plant.energy_in_j - plant.energy_out_j
    assert plant.stored_j == pytest.approx(moved_j, abs=1e-6 * plant.energy_in_j + 0.01)


def test_bath_has_layers_while_heated_and_falls_through_while_chilled() -> None:
    plant = DistributedPlant(bath_c=30.0)
    run(plant, 900.0, heat_share=1.0)
    assert plant._upper_c - plant._lower_c > 1.0
    run(plant, 600.0, chill_share=1.0)
    assert abs(plant._upper_c - plant._lower_c) < 2.0


def test_stirring_brings_the_layers_and_the_wall_layer_together() -> None:
    apart = []
    for stir in (0.0, 1.0):
        plant = DistributedPlant(bath_c=50.0, chocolate_c=40.0, stable_share=0.0)
        run(plant, 300.0, heat_share=1.0, stir_share=stir)
        apart.append((plant._upper_c - plant._lower_c, plant.layer_c - plant.chocolate_c))
    assert apart[0][0] > apart[1][0] > 0.0
    assert apart[0][1] > apart[1][1] > 0.0


def test_probe_near_the_wall_reads_more_than_the_bath_while_it_heats() -> None:
    bulk, near = (
        DistributedPlant(SlabParameters(bath_probe_wall_share=share), bath_c=30.0)
        for share in (0.0, 0.3)
    )
    for plant in (bulk, near):
        run(plant, 600.0, heat_share=1.0)
    assert 0.8 < near.seen_c("bath") - bulk.seen_c("bath") < 5.0


def test_stored_heat_goes_on_warming_the_bath_after_heater_off() -> None:
    rises = []
    for mm in (5.0, 14.0):
        plant = DistributedPlant(SlabParameters(crock_mm=mm), bath_c=30.0, chocolate_c=30.0)
        run(plant, 1200.0, heat_share=1.0)
        before = plant.bath_c
        run(plant, 400.0)
        rises.append(plant.bath_c - before)
    assert 0.5 < rises[0] < rises[1] < 8.0


def test_ice_melts_at_its_own_rate_and_its_water_warms_meanwhile() -> None:
    # Balance of a bucket under 500 W: ice gives way at UA (T - 0) = 500 W once T stands.
    bucket = IceBucket(2.0, 2.0, 0.0, 90.0)
    for _ in range(1200):
        bucket.step(0.25, 500.0, 1.0)
    w_per_k = 90.0 * bucket.ice_kg ** (2.0 / 3.0)
    assert bucket.celsius == pytest.approx(500.0 / w_per_k, rel=0.25)
    assert 2.0 - bucket.ice_kg == pytest.approx(500.0 * 300.0 / 333.6e3, rel=0.35)


def test_bucket_without_ice_warms_until_it_cools_no_more() -> None:
    plant = DistributedPlant(SlabParameters(ice_kg=0.1), bath_c=48.0)
    run(plant, 3600.0, chill_share=1.0)
    assert plant.ice_kg == pytest.approx(0.0, abs=1e-9)
    assert plant.reservoir_c > 20.0


def test_dead_pump_chills_nothing() -> None:
    for name in PLANTS:
        plant = plant_of(reference(name), bath_c=48.0, body_c=48.0, chocolate_c=48.0)
        plant.pump_share = 0.0
        before = plant.ice_kg
        for _ in range(1200):
            plant.step(0.25, Actuators(chill_share=1.0))
        assert plant.bath_c > 45.0
        assert plant.ice_kg == pytest.approx(before, abs=0.12)


def test_fat_takes_its_heat_in_two_peaks() -> None:
    # 1 kg under 20 W: where it warms slowly, fat melts.
    fat = fat_of("dark")
    portion = Portion(fat, 1.0, 15.0)
    slopes: dict[int, float] = {}
    while portion.celsius < 42.0:
        before = portion.celsius
        for _ in range(400):
            portion.step(0.25, 5.0, 1.0)
        slopes[int(portion.celsius)] = portion.celsius - before
    assert slopes[25] < 0.8 * slopes[18]
    assert slopes[25] < slopes[29] > slopes[34]
    assert slopes[34] < 0.5 * slopes[40]
    assert portion.solid < 1e-6


def test_melt_sets_only_undercooled_and_gives_its_heat_back() -> None:
    fat = fat_of("dark")
    portion = Portion(fat, 1.0, 45.0, 0.0)
    for celsius, expected in ((33.0, False), (27.0, True)):
        portion.celsius = celsius
        before_j = portion.heat_j
        for _ in range(8000):
            portion.step(0.25, 0.0, 1.0)
        assert (portion.solid > 1e-4) is expected
        assert portion.heat_j == pytest.approx(before_j, rel=1e-9)
        assert (portion.celsius > celsius + 0.05) is expected


def test_vapour_agrees_with_the_steam_tables() -> None:
    # 51.2 g/m³ at 40 °C and 17.3 g/m³ at 20 °C: steam tables, saturated vapour (from memory).
    assert vapour_kg_per_m3(40.0) == pytest.approx(0.0512, rel=0.01)
    assert vapour_kg_per_m3(20.0) == pytest.approx(0.0173, rel=0.01)


def test_open_lid_cools_and_takes_water_along() -> None:
    plants = [DistributedPlant(bath_c=50.0) for _ in range(2)]
    plants[1].set_lid(True)
    for plant in plants:
        run(plant, 1800.0)
    assert plants[0].water_kg == 3.0
    assert 0.01 < 3.0 - plants[1].water_kg < 0.2
    assert plants[1].bath_c < plants[0].bath_c - 0.5


def test_dry_crock_shows_at_the_guard() -> None:
    wet, dry = DistributedPlant(), DistributedPlant()
    dry.lose_water(2.9)
    for plant in (wet, dry):
        run(plant, 900.0, heat_share=1.0)
    assert wet.body_c - wet.bath_c < 35.0
    assert dry.seen_c("body") - dry.seen_c("bath") > 30.0


def test_values_that_cannot_be_are_refused() -> None:
    with pytest.raises(InputError, match="crock_mm is 40 mm, outside 2 to 30 mm"):
        SlabParameters(crock_mm=40.0)
    with pytest.raises(InputError, match="no virtual 'ruby' chocolate"):
        reference("distributed", "ruby")
    with pytest.raises(InputError, match="no virtual plant 'third'"):
        reference("third")
    plant = DistributedPlant()
    with pytest.raises(InputError, match="share outside 0 to 1"):
        plant.step(0.25, Actuators(heat_share=1.5))
    with pytest.raises(InputError, match="dt_s"):
        plant.step(2.0, Actuators())
    with pytest.raises(InputError, match="ice to take out"):
        plant.take_ice(3.0)
    with pytest.raises(InputError, match="chocolate to take"):
        plant.take_chocolate(1.0)


def test_step_length_changes_little() -> None:
    plants = []
    for dt_s in (0.25, 1.0):
        plant = DistributedPlant(replace(SlabParameters(), crock_mm=5.0))
        for _ in range(round(1800 / dt_s)):
            plant.step(dt_s, Actuators(heat_share=1.0, stir_share=1.0))
        plants.append(plant)
    assert plants[0].bath_c == pytest.approx(plants[1].bath_c, abs=0.02)
    assert plants[0].chocolate_c == pytest.approx(plants[1].chocolate_c, abs=0.02)


@pytest.mark.parametrize("dark_c", [24.0, 27.5, 29.0, 35.5])
@pytest.mark.parametrize(("kind", "colder_k"), [("milk", 1.0), ("white", 2.0)])
def test_milk_fat_moves_all_crystals_down_alike(dark_c: float, kind: str, colder_k: float) -> None:
    # How far is an estimate; that milk fat softens is textbook (Beckett, from memory).
    dark = Portion(fat_of("dark"), 1.0, dark_c, 0.1)
    other = Portion(fat_of(kind), 1.0, dark_c - colder_k, 0.1)
    for _ in range(1200):
        for portion, celsius in ((dark, dark_c), (other, dark_c - colder_k)):
            portion.celsius = celsius
            portion.step(0.25, 0.0, 1.0)
    assert dark.solid != pytest.approx(0.1, abs=1e-3)
    assert other.solid == pytest.approx(dark.solid, abs=1e-9)
