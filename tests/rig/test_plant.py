"""The virtual rig's heat account against worked examples and closed forms."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from glossbath.virtual.melting import ChocolateParameters
from glossbath.virtual.parameters import PlantParameters
from glossbath.virtual.plant import Actuators, Plant

DT_S = 0.25
LOSSLESS = {
    "body_room_w_per_k": 0.0,
    "lid_room_w_per_k": 0.0,
    "chocolate_room_w_per_k": 0.0,
    "reservoir_room_w_per_k": 0.0,
    "open_w_per_m2_k": 0.0,
    "open_area_m2": 0.0,
}
NO_FAT = ChocolateParameters(fat_share=0.0, cp_cool_j_per_kg_k=1670.0)
OFF = Actuators()


def run(plant: Plant, seconds: float, actuators: Actuators = OFF) -> None:
    for _ in range(round(seconds / DT_S)):
        plant.step(DT_S, actuators)


def seconds_until(
    plant: Plant, reached: Callable[[], bool], actuators: Actuators, most_s: float
) -> float:
    for count in range(1, round(most_s / DT_S) + 1):
        plant.step(DT_S, actuators)
        if reached():
            return count * DT_S
    raise AssertionError(
        f"not reached within {most_s} s: body {plant.body_c}, bath {plant.bath_c}"
    )


# Energy.


def test_stored_is_in_minus_out_over_hours_of_everything_at_once() -> None:
    plant = Plant()
    for minute in range(180):
        plant.set_lid(minute % 7 == 0)
        if minute == 60:
            plant.take_chocolate(0.4)
            plant.add_ice(0.5)
            plant.set_room(30.0)
        if minute == 90:
            plant.add_chocolate(0.3, 20.0)
            plant.lose_water(0.2)
            plant.set_mains(0.9)
        if minute == 120:
            plant.add_water(0.4, 15.0)
            plant.take_ice(min(0.1, plant.ice_kg))
        heat = 1.0 if plant.bath_c < 50.0 else 0.0
        run(plant, 60.0, Actuators(heat, 0.2 if minute > 100 else 0.0, 0.5))
    assert plant.energy_in_j > 1e5
    moved_j = plant.energy_in_j + abs(plant.energy_out_j)
    error_j = plant.stored_j - (plant.energy_in_j - plant.energy_out_j)
    assert abs(error_j) < 1e-9 * moved_j


def test_a_closed_rig_keeps_its_heat_and_comes_to_one_temperature() -> None:
    plant = Plant(
        replace(PlantParameters(), chocolate=NO_FAT, **LOSSLESS), chocolate_c=30.0, bath_c=50.0
    )
    run(plant, 6 * 3600.0)
    assert abs(plant.stored_j) < 1e-4  # of some 900 kJ
    assert plant.energy_in_j == 0.0
    assert plant.energy_out_j == 0.0
    assert plant.chocolate_c == pytest.approx(plant.bath_c, abs=1e-6)
    assert plant.body_c == pytest.approx(plant.bath_c, abs=1e-6)


# The method of mixtures.


def test_water_in_a_hot_pan_ends_at_59_1() -> None:
    # OpenStax College Physics m42224: 0.250 kg of water at 20 °C in a 0.500 kg aluminium pan
    # (900 J/(kg K)) at 150 °C: 59.1 °C; exactly 88 430 J / 1496.5 J/K = 59.0912 °C.
    p = replace(
        PlantParameters(),
        body_kg=0.5,
        body_cp_j_per_kg_k=900.0,
        water_kg=0.25,
        water_cp_j_per_kg_k=4186.0,
        water_bowl_w_per_k=0.0,
        **LOSSLESS,
    )
    plant = Plant(p, bath_c=20.0, body_c=150.0)
    run(plant, 600.0)
    assert plant.bath_c == pytest.approx(59.0912, abs=1e-3)
    assert plant.body_c == pytest.approx(59.0912, abs=1e-3)


def test_heating_water_and_pan_takes_89_8_kj() -> None:
    # OpenStax College Physics m42224: 0.500 kg Al and 0.250 kg water, 20 to 80 °C: 89.8 kJ
    # (62 790 + 27 000 J).
    p = replace(
        PlantParameters(),
        body_kg=0.5,
        body_cp_j_per_kg_k=900.0,
        water_kg=0.25,
        water_cp_j_per_kg_k=4186.0,
        water_bowl_w_per_k=0.0,
        **LOSSLESS,
    )
    plant = Plant(p, room_c=20.0)
    heat = Actuators(heat_share=1.0)
    while plant.energy_in_j < 89_790.0 - 250.0 * DT_S / 2:
        plant.step(DT_S, heat)
    run(plant, 600.0)
    assert plant.energy_in_j == pytest.approx(89_790.0, abs=250.0 * DT_S)
    assert plant.bath_c == pytest.approx(80.0, abs=0.05)


@pytest.mark.parametrize(
    ("ice_kg", "water_kg", "water_c", "latent", "expected_c"),
    [
        # 124 g of ice in 777 g of water at 53 °C, L 3.33e5, c 4186 (a published exercise).
        (0.124, 0.777, 53.0, 3.33e5, 34.7577),
        # OpenStax College Physics m42225: three ice cubes, 0.018 kg, in 0.25 kg soda at 20 °C.
        (0.018, 0.250, 20.0, 3.34e5, 13.2977),
    ],
)
def test_ice_cools_the_bath_to_the_temperature_of_the_mixture(
    ice_kg: float, water_kg: float, water_c: float, latent: float, expected_c: float
) -> None:
    p = replace(
        PlantParameters(),
        body_water_w_per_k=0.0,
        water_bowl_w_per_k=0.0,
        water_kg=water_kg,
        water_cp_j_per_kg_k=4186.0,
        ice_kg=ice_kg,
        reservoir_water_kg=0.0,
        latent_ice_j_per_kg=latent,
        **LOSSLESS,
    )
    plant = Plant(p, bath_c=water_c)
    run(plant, 1800.0, Actuators(chill_share=1.0))
    assert plant.ice_kg == 0.0
    assert plant.bath_c == pytest.approx(expected_c, abs=2e-3)
    assert plant.reservoir_c == pytest.approx(expected_c, abs=2e-3)


def test_with_enough_ice_the_bath_goes_to_zero_and_ice_is_left() -> None:
    # 1 kg of ice melts with the heat that cools 1 kg of water by 79.8 K (OpenStax m42225):
    # 0.5 kg of water at 40 °C leaves about half of 0.5 kg of ice.
    p = replace(
        PlantParameters(),
        body_water_w_per_k=0.0,
        water_bowl_w_per_k=0.0,
        water_kg=0.5,
        water_cp_j_per_kg_k=4186.0,
        ice_kg=0.5,
        reservoir_water_kg=0.0,
        **LOSSLESS,
    )
    plant = Plant(p, bath_c=40.0)
    run(plant, 3600.0, Actuators(chill_share=1.0))
    assert plant.reservoir_c == 0.0
    assert plant.bath_c == pytest.approx(0.0, abs=1e-3)
    assert plant.ice_kg == pytest.approx(0.5 * (1.0 - 40.0 / 79.8), abs=1e-3)


# Heating and cooling times.


def test_first_order_heating_takes_2599_3_s() -> None:
    # Closed form: t = tau ln((Tss-T0)/(Tss-T1)); C 15 kJ/K, R 0.25 K/W, 200 W, 20 to 45 °C in a
    # room of 20 °C: 2599.3 s.
    p = replace(
        PlantParameters(),
        heater_w=200.0,
        body_kg=15.0,
        body_cp_j_per_kg_k=1000.0,
        body_water_w_per_k=0.0,
        water_bowl_w_per_k=0.0,
        bowl_chocolate_w_per_k=0.0,
        **{**LOSSLESS, "body_room_w_per_k": 4.0},
    )
    plant = Plant(p, room_c=20.0)
    heat = Actuators(heat_share=1.0)
    assert seconds_until(plant, lambda: plant.body_c >= 45.0, heat, 3000.0) == pytest.approx(
        2599.3, abs=1.0
    )


def test_first_order_cooling_takes_4773_6_s() -> None:
    # The same body, off, from 45 to 27 °C in a room of 20 °C: 3750 s ln(25/7) = 4773.6 s.
    p = replace(
        PlantParameters(),
        body_kg=15.0,
        body_cp_j_per_kg_k=1000.0,
        body_water_w_per_k=0.0,
        water_bowl_w_per_k=0.0,
        **{**LOSSLESS, "body_room_w_per_k": 4.0},
    )
    plant = Plant(p, room_c=20.0, bath_c=20.0, body_c=45.0)
    assert seconds_until(plant, lambda: plant.body_c <= 27.0, OFF, 6000.0) == pytest.approx(
        4773.6, abs=1.0
    )


def test_lossless_melt_takes_36_9_minutes_at_250_w() -> None:
    # 3 kg water, 3 kg crock, 1 kg chocolate with 46 kJ of latent heat, 20 to 50 °C:
    # 553.3 kJ, 36.89 min (hand calculation; heat capacities of section "lumped model": 1670).
    # Our bowl adds 250 J/K, which is taken into account.
    chocolate = ChocolateParameters(
        fat_share=46.0 / 157.0, cp_cool_j_per_kg_k=1670.0, cp_warm_j_per_kg_k=1670.0
    )
    plant = Plant(replace(PlantParameters(), chocolate=chocolate, **LOSSLESS), room_c=20.0)
    run(plant, (553.3e3 + 250.0 * 30.0) / 250.0, Actuators(heat_share=1.0))
    run(plant, 3 * 3600.0)
    assert plant.melted_share == pytest.approx(1.0, abs=1e-9)
    assert plant.chocolate_c == pytest.approx(50.0, abs=0.02)


def test_passive_cooling_from_50_to_27_takes_3_4_h() -> None:
    # Lumped: C 16 910 J/K, 2 W/K to a room of 20 °C: 8455 s ln(30/7) = 3.42 h. The bowl and the
    # lags between nodes, which the closed form leaves out, add some minutes.
    plant = Plant(
        replace(PlantParameters(), chocolate=NO_FAT, ice_kg=0.0),
        room_c=20.0,
        chocolate_c=50.0,
        bath_c=50.0,
        body_c=50.0,
    )
    took_s = seconds_until(plant, lambda: plant.chocolate_c <= 27.0, OFF, 5 * 3600.0)
    assert 3.35 < took_s / 3600.0 < 3.75


def test_the_chill_coil_makes_it_minutes() -> None:
    plant = Plant(chocolate_c=45.0, bath_c=48.0, body_c=48.0)
    chill = Actuators(chill_share=1.0, stir_share=0.5)
    assert seconds_until(plant, lambda: plant.chocolate_c <= 28.0, chill, 1800.0) < 1200.0


def test_one_step_a_second_gives_what_four_a_second_give() -> None:
    quick, slow = Plant(), Plant()
    heat = Actuators(heat_share=1.0, stir_share=0.5)
    run(quick, 3000.0, heat)
    for _ in range(3000):
        slow.step(1.0, heat)
    assert slow.chocolate_c == pytest.approx(quick.chocolate_c, abs=0.03)
    assert slow.bath_c == pytest.approx(quick.bath_c, abs=0.03)
