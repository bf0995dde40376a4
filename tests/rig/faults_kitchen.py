"""Faults of water, ice, stirrer and chocolate, and what people do in a kitchen."""

from __future__ import annotations

import random
from collections.abc import Callable

from fault import ANY, GOES_ON, PLACES, Fault, Put, codes
from faults_power import mains
from world import World


def plant(act: Callable[[World], None]) -> Put:
    return lambda world, rng: act(world)


def _pump_stuck(world: World, rng: random.Random) -> None:
    low = world.rig.low_voltage
    # The stop button cuts the pump's supply, whatever its transistor does.
    low.chill_share = lambda pin, stopped: 0.0 if stopped else 1.0  # type: ignore[method-assign]


def _no_ice(world: World, rng: random.Random) -> None:
    plant = world.rig.plant
    plant.take_ice(plant.ice_kg)
    # What is left has stood in the kitchen.
    plant.warm_bucket(plant.room_c)


def _boiled_down_float_stuck(world: World, rng: random.Random) -> None:
    world.rig.float_held_up = True
    world.rig.plant.lose_water(world.rig.plant.water_kg - 0.2)


KITCHEN_FAULTS: dict[str, Fault] = {
    "bath: boiled down below the float": Fault(
        plant(lambda w: w.rig.plant.lose_water(w.rig.plant.water_kg - 0.3)),
        told=codes("water-low", "heat-withheld", "host-dry", "body-apart"),
        also=PLACES,
        within_s=400.0,
    ),
    "bath: boiled down, float stuck": Fault(
        _boiled_down_float_stuck,
        scene="heated",
        ends=ANY,
        told=codes("host-dry", "body-apart", "host-rise", "bath-rise"),
        also=PLACES | codes("host-hot", "bath-hot", "body-hot"),
        silent_on={"distributed": "0.2 kg of water still carries the heat: nothing becomes hot"},
        within_s=600.0,
    ),
    "chill pump: runs for good": Fault(
        _pump_stuck,
        ends=ANY,
        told=codes("heat-lost"),
        also=PLACES | codes("phase-time"),
        within_s=300.0,
    ),
    "chill pump: dead": Fault(
        lambda world, rng: setattr(world.rig.low_voltage, "pump_unplugged", True),
        scene="cool",
        ends=ANY,
        told=codes("chill-weak"),
        also=codes("phase-time"),
        within_s=260.0,
    ),
    "chill: ice gone": Fault(
        _no_ice,
        scene="cool",
        ends=ANY,
        told=codes("chill-weak"),
        also=codes("phase-time"),
        within_s=500.0,
    ),
    "stirrer: stalled": Fault(
        plant(lambda w: setattr(w.rig.plant.stirrer, "jammed", True)),
        surely_s=60.0,
        hidden_by=codes("stirrer: belt off", "stirrer: unplugged"),
        told=codes("stir-stalled", "stir-current"),
        heat_off_s=60.0,
        within_s=90.0,
    ),
    "stirrer: belt off": Fault(
        plant(lambda w: setattr(w.rig.plant.stirrer, "belt_off", True)),
        ends=GOES_ON,
        told=codes("stir-light"),
        within_s=120.0,
    ),
    "stirrer: unplugged": Fault(
        lambda world, rng: setattr(world.rig.low_voltage, "stirrer_unplugged", True),
        surely_s=80.0,
        told=codes("stir-none"),
        within_s=120.0,
    ),
    "chocolate: seized": Fault(
        plant(lambda w: setattr(w.rig.plant.stirrer, "seized", True)),
        scene="hold",
        told=codes("stir-stalled", "stir-current"),
        within_s=200.0,
    ),
    "lid: left open": Fault(
        plant(lambda w: w.rig.plant.set_lid(True)),
        ends=GOES_ON,
        surely_s=6.0,
        told=codes("stir-withheld"),
        within_s=60.0,
    ),
    "stop button: pressed": Fault(
        mains("stop_pressed"),
        surely_s=3.0,
        told=codes("stop-button"),
        also=codes("no-power"),
        heat_off_s=0.5,
        within_s=30.0,
    ),
    "kitchen: half a litre of hot water poured in": Fault(
        plant(lambda w: w.rig.plant.add_water(0.5, 70.0)),
        scene="hold",
        ends=ANY,
        also=codes("host-rise", "bath-rise", "host-unasked") | PLACES,
        within_s=200.0,
    ),
    "kitchen: a tenth of cold chocolate put in": Fault(
        plant(lambda w: w.rig.plant.add_chocolate(0.1, 22.0)),
        ends=GOES_ON,
        also=codes("reading-jumped"),
        within_s=200.0,
    ),
}
