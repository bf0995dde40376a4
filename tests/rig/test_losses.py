"""What the virtual rig loses and how well it conducts, against tables and correlations."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from CoolProp.CoolProp import PropsSI
from ht.conv_free_immersed import Nu_vertical_plate_Churchill

from glossbath.virtual.evaporation import (
    evaporation_w_per_m2,
    saturation_kpa,
    vaporisation_j_per_kg,
)
from glossbath.virtual.melting import ChocolateParameters
from glossbath.virtual.parameters import PlantParameters
from glossbath.virtual.plant import Actuators, Plant

DT_S = 0.25
NO_FAT = ChocolateParameters(fat_share=0.0, cp_cool_j_per_kg_k=1670.0)
OFF = Actuators()

# Losses.

# Engineering Toolbox, "Heat loss from open water tanks", still air at 15.6 °C, converted from
# Btu/(ft² h); the humidity is not stated there and is taken as 50 %. Water °C, evaporation W/m²,
# surface total W/m². The first row is printed as 80 Btu, so it is good to some 10 % only.
OPEN_TANK = [
    (32.2, 252.0, 410.0, 0.20),
    (37.8, 505.0, 726.0, 0.12),
    (43.3, 757.0, 1041.0, 0.12),
    (48.9, 1136.0, 1483.0, 0.12),
    (54.4, 1514.0, 1940.0, 0.12),
    (60.0, 2082.0, 2587.0, 0.12),
]


@pytest.mark.parametrize(("water_c", "evaporation", "total", "tolerance"), OPEN_TANK)
def test_open_water_loses_what_the_table_says(
    water_c: float, evaporation: float, total: float, tolerance: float
) -> None:
    assert evaporation_w_per_m2(water_c, 15.6, 0.5) == pytest.approx(evaporation, rel=tolerance)
    area_m2 = 0.03
    p = replace(
        PlantParameters(),
        open_area_m2=area_m2,
        body_room_w_per_k=0.0,
        chocolate_room_w_per_k=0.0,
        reservoir_room_w_per_k=0.0,
    )
    plant = Plant(p, room_c=15.6, room_rh_percent=50.0, bath_c=water_c, body_c=water_c)
    plant.set_lid(True)
    mass_kg = plant.water_kg
    plant.step(DT_S, OFF)
    gone_kg = mass_kg - plant.water_kg
    # The vapour also carries the heat it had as water, which the table does not count.
    lost_w = (plant.energy_out_j - gone_kg * 4180.0 * water_c) / DT_S
    assert lost_w / area_m2 == pytest.approx(total, rel=tolerance)


def test_a_lid_off_at_49_degrees_costs_some_30_w_more_and_water() -> None:
    # 0.03 m² at 49 °C lose about 44 W; the lid on loses 0.4 W/K of it, 13 W at 33 K.
    def body_and_bath_loss_w(is_open: bool) -> float:
        plant = Plant(room_c=15.6, room_rh_percent=50.0, bath_c=48.9, body_c=48.9)
        plant.set_lid(is_open)
        plant.step(DT_S, OFF)
        return plant.energy_out_j / DT_S

    more_w = body_and_bath_loss_w(True) - body_and_bath_loss_w(False)
    assert more_w == pytest.approx(44.0 - 13.0, abs=5.0)


def test_humid_air_takes_less_and_saturated_warm_air_nothing() -> None:
    assert evaporation_w_per_m2(45.0, 30.0, 0.9) < evaporation_w_per_m2(45.0, 30.0, 0.4)
    assert evaporation_w_per_m2(25.0, 30.0, 1.0) == 0.0


@pytest.mark.parametrize("celsius", [5.0, 20.0, 40.0, 60.0])
def test_vapour_pressure_and_heat_of_vaporisation_agree_with_coolprop(celsius: float) -> None:
    kelvin = celsius + 273.15
    # CoolProp, IAPWS-95 water.
    pressure_pa = PropsSI("P", "T", kelvin, "Q", 0, "Water")
    heat = PropsSI("H", "T", kelvin, "Q", 1, "Water") - PropsSI("H", "T", kelvin, "Q", 0, "Water")
    assert saturation_kpa(celsius) * 1e3 == pytest.approx(pressure_pa, rel=0.005)
    assert vaporisation_j_per_kg(celsius) == pytest.approx(heat, rel=0.002)


# Default parameters against correlations.


def test_heat_capacity_of_water_is_coolprops() -> None:
    for celsius in (25.0, 30.0, 40.0, 50.0):
        cp = PropsSI("C", "T", celsius + 273.15, "P", 101_325, "Water")
        assert PlantParameters().water_cp_j_per_kg_k == pytest.approx(cp, rel=0.001)


def free_convection_w_per_m2_k(fluid: str, film_c: float, over_k: float, length_m: float) -> float:
    """Churchill-Chu 1975 on a vertical wall, as coded in ht, with CoolProp's properties."""
    at = ("T", film_c + 273.15, "P", 101_325, fluid)
    viscosity, conductivity = PropsSI("V", *at), PropsSI("L", *at)
    density = PropsSI("D", *at)
    expansion = PropsSI("ISOBARIC_EXPANSION_COEFFICIENT", *at)
    kinematic = viscosity / density
    grashof = 9.80665 * expansion * over_k * length_m**3 / kinematic**2
    nusselt = Nu_vertical_plate_Churchill(PropsSI("PRANDTL", *at), grashof)
    return float(nusselt * conductivity / length_m)


def test_water_side_conductances_are_those_of_free_convection() -> None:
    p = PlantParameters()
    wall = free_convection_w_per_m2_k("Water", 45.0, 2.0, 0.12) * 0.12  # crock, 0.12 m²
    bowl = free_convection_w_per_m2_k("Water", 45.0, 2.0, 0.10) * 0.065  # bowl, 0.065 m²
    assert p.body_water_w_per_k == pytest.approx(wall, rel=0.35)
    assert p.water_bowl_w_per_k == pytest.approx(bowl, rel=0.35)


def test_wall_loss_is_that_of_free_convection_and_radiation() -> None:
    # Bare wall 0.14 m² at 40 °C in air of 20 °C, emissivity 0.9.
    convection = free_convection_w_per_m2_k("Air", 30.0, 20.0, 0.15)
    radiation = 0.9 * 5.670374e-8 * (313.15**4 - 293.15**4) / 20.0
    assert PlantParameters().body_room_w_per_k == pytest.approx(
        0.14 * (convection + radiation), rel=0.15
    )


def test_chocolate_follows_a_stirred_bath_in_about_five_minutes() -> None:
    # UA 5 W/K and 1670 J/K give 5.6 min (section 2.6 of the reference values: 4.3 to 8.6 min).
    p = replace(PlantParameters(), water_kg=30.0, chocolate=NO_FAT)

    def minutes(stir_share: float) -> float:
        plant = Plant(p, chocolate_c=40.0, bath_c=50.0, body_c=50.0)
        level_c = 50.0 - 10.0 * math.exp(-1.0)
        stir = Actuators(stir_share=stir_share)
        steps = 0
        while plant.chocolate_c < level_c:
            plant.step(DT_S, stir)
            steps += 1
        return steps * DT_S / 60.0

    assert 4.3 < minutes(0.5) < 8.6
    assert 2.0 < minutes(0.0) / minutes(0.5) < 3.5
