"""Faults of probes, their chips and their places."""

from __future__ import annotations

import random

from fault import ANY, GOES_ON, PLACES, PROBE_CODES, PROBES, Fault, Put, bad, codes
from world import World


def _chip(probe: str, fault: str, share: float = 1.0) -> Put:
    def put(world: World, rng: random.Random) -> None:
        world.rig.chips[probe].inject(fault, share)

    return put


def _bus(fault: str) -> Put:
    def put(world: World, rng: random.Random) -> None:
        world.rig.bus.inject(fault)

    return put


def _stick(probe: str) -> Put:
    return lambda world, rng: world.rig.probes[probe].stick()


def _drift(probe: str, c_per_h: float) -> Put:
    return lambda world, rng: world.rig.probes[probe].drift(c_per_h)


def _lag(probe: str, factor: float) -> Put:
    return lambda world, rng: world.rig.probes[probe].lag(factor)


def _swap(one: str, other: str) -> Put:
    return lambda world, rng: world.rig.swap_probes(one, other)


def _lift(probe: str) -> Put:
    def put(world: World, rng: random.Random) -> None:
        plant = world.rig.plant
        # Air above a warm bath or beside a warm crock: a fifth of the way from the room's.
        world.rig.probes[probe].lift(lambda: plant.room_c + 0.2 * (plant.bath_c - plant.room_c))

    return put


def _empty_bowl(world: World, rng: random.Random) -> None:
    plant = world.rig.plant
    plant.take_chocolate(plant.chocolate_kg - 0.02)
    world.rig.probes["chocolate"].lift(lambda: plant.bowl_c)


def chip_faults() -> dict[str, Fault]:
    found = {}
    for probe in PROBES:
        for name, fault in (
            ("open", "absent"),
            ("loses contact", "mute"),
            ("power-on value", "power-on"),
            ("underpowered", "underpowered"),
            ("CRC noise on every answer", "crc noise"),
        ):
            found[f"{probe} probe: {name}"] = Fault(
                _chip(probe, fault),
                told=bad(probe),
                surely_s=8.0,
                also=codes("heat-withheld"),
                heat_off_s=4.0,
                within_s=20.0,
            )
    found["chocolate probe: CRC noise on some answers"] = Fault(
        _chip("chocolate", "crc noise", 0.2),
        ends=GOES_ON,
        also=bad("chocolate") | codes("heat-withheld"),
        within_s=120.0,
    )
    for name, fault in (("shorted to ground", "shorted"), ("shorted to supply or cut", "open")):
        found[f"probe line: {name}"] = Fault(
            _bus(fault),
            told=PROBE_CODES,
            surely_s=8.0,
            also=codes("heat-withheld"),
            heat_off_s=4.0,
            within_s=20.0,
        )
    return found


_BLIND = "until it shows, the reading is one that a good probe could give"
PLACE_FAULTS: dict[str, Fault] = {
    "chocolate probe: stuck while heating": Fault(
        _stick("chocolate"),
        told=PLACES,
        heat_off_s=240.0,
        within_s=300.0,
        blind=codes("chocolate"),
        why=_BLIND,
    ),
    "bath probe: stuck": Fault(
        _stick("bath"),
        scene="cold",
        told=PLACES,
        within_s=900.0,
        blind=codes("bath"),
        why=_BLIND,
    ),
    "body probe: stuck": Fault(
        _stick("body"),
        scene="cold",
        told=PLACES,
        within_s=900.0,
        blind=codes("body"),
        why=_BLIND,
    ),
    "chocolate probe: drifts down 0.1 °C/min in the hold": Fault(
        _drift("chocolate", -6.0),
        scene="hold",
        told=PLACES,
        within_s=2_400.0,
        blind=codes("chocolate"),
        why="two degrees of drift are as likely as two degrees of bath",
    ),
    "chocolate probe: drifts up 0.1 °C/min in the hold": Fault(
        _drift("chocolate", 6.0),
        scene="hold",
        told=PLACES,
        ends=ANY,
        within_s=3_000.0,
        blind=codes("chocolate"),
        why="two degrees of drift are as likely as two degrees of bath",
    ),
    "chocolate probe: drifts down 0.1 °C/min while melting": Fault(
        _drift("chocolate", -6.0),
        told=PLACES,
        within_s=2_400.0,
        blind=codes("chocolate"),
        why="two degrees of drift are as likely as two degrees of bath",
    ),
    "chocolate probe: ten times its lag": Fault(
        _lag("chocolate", 10.0),
        scene="brief",
        ends=ANY,
        also=PLACES,
        within_s=500.0,
        blind=codes("chocolate"),
        why="a slow reading is wrong only while the truth moves",
    ),
    "chocolate and bath probes: swapped": Fault(
        _swap("chocolate", "bath"),
        told=PLACES,
        also=codes("chocolate-hot", "host-hot"),
        within_s=300.0,
        blind=codes("chocolate", "bath"),
        why=_BLIND,
    ),
    "bath and body probes: swapped": Fault(
        _swap("bath", "body"),
        told=PLACES,
        within_s=300.0,
        blind=codes("bath", "body"),
        why=_BLIND,
    ),
    "chocolate and body probes: swapped": Fault(
        _swap("chocolate", "body"),
        told=PLACES,
        also=codes("chocolate-hot", "host-hot"),
        within_s=300.0,
        blind=codes("chocolate", "body"),
        why=_BLIND,
    ),
    "chocolate probe: lifted into the air": Fault(
        _lift("chocolate"),
        told=PLACES,
        heat_off_s=260.0,
        within_s=300.0,
        blind=codes("chocolate"),
        why=_BLIND,
    ),
    "bath probe: lifted into the air": Fault(
        _lift("bath"),
        told=PLACES,
        within_s=600.0,
        blind=codes("bath"),
        why=_BLIND,
    ),
    "body probe: fallen off the cooker": Fault(
        _lift("body"),
        told=PLACES,
        within_s=300.0,
        blind=codes("body"),
        why=_BLIND,
    ),
    "chocolate probe: left in the empty bowl": Fault(
        _empty_bowl,
        scene="hold",
        ends=ANY,
        also=PLACES | codes("stir-light"),
        within_s=300.0,
        blind=codes("chocolate"),
        why="the air in the bowl has the bowl's temperature: only the stirrer's load tells",
    ),
}
