"""What a kitchen does to the virtual rig: ladling, spilling, ice, low mains, a stuck paddle."""

from __future__ import annotations

import math

import pytest

from glossbath.errors import InputError
from glossbath.virtual.parameters import PlantParameters
from glossbath.virtual.plant import Actuators, Plant

DT_S = 0.25
SEALED = PlantParameters(
    body_room_w_per_k=0.0,
    lid_room_w_per_k=0.0,
    chocolate_room_w_per_k=0.0,
    reservoir_room_w_per_k=0.0,
)
OFF = Actuators()


def run(plant: Plant, seconds: float, actuators: Actuators = OFF) -> None:
    for _ in range(round(seconds / DT_S)):
        plant.step(DT_S, actuators)


def test_low_mains_heats_with_the_square_of_the_voltage() -> None:
    plant = Plant()
    plant.set_mains(0.9)
    plant.step(DT_S, Actuators(heat_share=0.5))
    assert plant.heat_w == pytest.approx(250.0 * 0.81 * 0.5)


def test_half_the_chocolate_follows_the_bath_and_the_rest_can_be_ladled_out() -> None:
    plant = Plant(chocolate_c=45.0, bath_c=45.0, body_c=45.0)
    plant.take_chocolate(0.5)
    assert plant.chocolate_kg == pytest.approx(0.5)
    assert plant.chocolate_c == pytest.approx(45.0, abs=1e-9)
    with pytest.raises(InputError, match=r"chocolate to take is 0\.5 kg"):
        plant.take_chocolate(0.5)
    plant.take_chocolate(0.49)
    run(plant, 600.0, Actuators(stir_share=0.5))
    assert plant.chocolate_c == pytest.approx(plant.bath_c, abs=1.0)


def test_filling_cold_chocolate_cools_the_bowl_by_the_mixture() -> None:
    # 0.5 kg solid at 20 °C into 1 kg melted at 46 °C, before any of it melts: the sensible heats
    # mix, hand calculation: (1*(1590*40+1670*6) + 0.5*1590*20) / (1.5*1590).
    plant = Plant(chocolate_c=46.0, bath_c=46.0)
    plant.add_chocolate(0.5, 20.0)
    expected_c = (1590.0 * 40.0 + 1670.0 * 6.0 + 0.5 * 1590.0 * 20.0) / (1.5 * 1590.0)
    assert plant.chocolate_c == pytest.approx(expected_c, abs=1e-6)
    assert plant.melted_share == pytest.approx(1.0 / 1.5, abs=1e-9)


def test_a_warmer_room_is_drier_at_the_same_moisture() -> None:
    plant = Plant(room_c=20.0, room_rh_percent=50.0)
    plant.set_room(30.0)
    # e_s(20)/e_s(30) = 23.388/42.460 hPa (psychrolib): 50 % becomes 27.5 %.
    assert plant.room_rh_percent == pytest.approx(27.54, abs=0.1)


def test_losing_water_and_heating_on_boils_the_rest_dry() -> None:
    plant = Plant(SEALED)
    plant.lose_water(2.5)
    heat = Actuators(heat_share=1.0)
    run(plant, 3000.0, heat)
    assert plant.bath_c == pytest.approx(100.0, abs=0.01)
    run(plant, 4 * 3600.0, heat)
    assert plant.water_kg == pytest.approx(0.03, abs=1e-6)
    assert plant.body_c > 150.0
    error_j = plant.stored_j - (plant.energy_in_j - plant.energy_out_j)
    assert abs(error_j) < 1e-9 * plant.energy_in_j


def test_ice_can_be_taken_out_and_added() -> None:
    plant = Plant()
    plant.take_ice(2.0)
    assert plant.ice_kg == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(InputError, match="ice to take out"):
        plant.take_ice(0.1)
    plant.add_ice(1.0)
    assert plant.ice_kg == pytest.approx(1.0)


def test_ice_put_into_warm_water_cools_and_adds_to_it() -> None:
    # Method of mixtures by hand: (1*4180*40 - 0.2*334 000) / (1.2*4180) = 20.02 °C.
    plant = Plant(PlantParameters(ice_kg=0.0, reservoir_water_kg=1.0, reservoir_water_c=40.0))
    plant.add_ice(0.2)
    assert plant.ice_kg == 0.0
    assert plant.reservoir_c == pytest.approx(20.016, abs=0.001)


# The stirrer.


def test_current_rises_as_chocolate_cools_and_sets() -> None:
    def current_ma(celsius: float, solid: float) -> float:
        plant = Plant(chocolate_c=celsius, stable_share=solid, bath_c=celsius)
        plant._chocolate.piece_share = 0.0  # crystals in suspension, as after cooling
        plant.step(DT_S, Actuators(stir_share=0.5))
        return plant.stir_current_ma

    warm, work, thick = current_ma(45.0, 0.0), current_ma(31.0, 0.02), current_ma(28.0, 0.15)
    assert 80.0 < warm < work < thick < 600.0
    assert current_ma(24.0, 0.5) == 600.0  # stalled: half the stall current at half the voltage


def test_current_falls_as_the_bowl_is_ladled_out() -> None:
    plant = Plant(chocolate_c=31.5, bath_c=31.5, stable_share=0.0)
    stir = Actuators(stir_share=0.5)
    plant.step(DT_S, stir)
    full_ma = plant.stir_current_ma
    plant.take_chocolate(0.9)
    plant.step(DT_S, stir)
    assert 80.0 < plant.stir_current_ma < 0.6 * full_ma


def test_a_seized_batch_stalls_and_a_lost_belt_shows_no_load() -> None:
    plant = Plant(chocolate_c=45.0, bath_c=45.0)
    stir = Actuators(stir_share=0.5)
    plant.step(DT_S, stir)
    usual_ma = plant.stir_current_ma
    plant.stirrer.seized = True
    plant.step(DT_S, stir)
    assert plant.stir_current_ma > 3.0 * usual_ma
    plant.stirrer.seized = False
    plant.stirrer.belt_off = True
    plant.step(DT_S, stir)
    assert plant.stir_current_ma < usual_ma
    plant.stirrer.belt_off = False
    plant.stirrer.jammed = True
    plant.step(DT_S, stir)
    assert plant.stir_current_ma == 600.0


# What it refuses.


@pytest.mark.parametrize("share", [-0.1, 1.1, math.nan, math.inf])
def test_shares_outside_0_to_1_are_refused_and_change_nothing(share: float) -> None:
    plant = Plant()
    for bad in (Actuators(share), Actuators(0, share), Actuators(0, 0, share)):
        with pytest.raises(InputError, match="outside 0 to 1"):
            plant.step(DT_S, bad)
    assert plant.stored_j == 0.0


@pytest.mark.parametrize("dt_s", [0.0, -1.0, 10.0, math.nan])
def test_steps_that_are_too_long_or_not_forward_are_refused(dt_s: float) -> None:
    with pytest.raises(InputError, match="dt_s"):
        Plant().step(dt_s, OFF)


def test_impossible_parameters_are_refused() -> None:
    with pytest.raises(InputError, match="water_kg"):
        PlantParameters(water_kg=math.nan)
    with pytest.raises(InputError, match="longest step"):
        PlantParameters(bowl_kg=0.05, water_bowl_w_per_k=900.0)
    with pytest.raises(InputError, match="chocolate temperature"):
        Plant(chocolate_c=-300.0)
