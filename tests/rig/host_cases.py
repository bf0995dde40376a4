"""Every cut-off of the computer and a fault that brings it about while the board has none of its
own: its table of cut-offs is empty in a copy of the firmware.

`allowed_s` counts from where the condition begins to the keeper's trip. A case without it is one
where the condition is the end of a forecast: there only the chocolate's temperature counts.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from campaign import WatchedWorld
from faults import FAULTS
from firmware_variants import variant
from scenes import SCENES, start
from witness import Witness
from world import World

from glossbath.virtual.parameters import PlantParameters
from glossbath.virtual.virtual import Options

NO_CUTOFFS = "no cut-offs"
Begun = Callable[[World], bool]


def at_once(world: World) -> bool:
    """The condition begins with the fault."""
    return True


@dataclass(frozen=True)
class HostCase:
    """What breaks, and the trip of the computer that it must end in."""

    code: str
    name: str
    put: Callable[[World], None]
    allowed_s: float | None
    scene: str = "melt"
    firmware: str = NO_CUTOFFS
    begun: Begun = at_once
    within_s: float = 900.0
    parameters: PlantParameters = field(default_factory=PlantParameters)

    @property
    def id(self) -> str:
        return f"{self.code}: {self.name}"


@contextmanager
def running(
    folder: Path,
    scene: str,
    firmware: str = NO_CUTOFFS,
    parameters: PlantParameters | None = None,
) -> Iterator[WatchedWorld]:
    """A rig whose cycle runs and whose board has no cut-offs."""
    options = Options(begin=SCENES[scene].begin, parameters=parameters or PlantParameters())
    with variant(firmware):
        world = WatchedWorld(folder, options, fast=True)
        try:
            world.witness = Witness(world)
            start(world, SCENES[scene])
            world.witness.begin(frozenset())
            yield world
        finally:
            world.close()


def measure(world: WatchedWorld, case: HostCase) -> float:
    """Break it; the seconds from the condition's begin to the trip."""
    case.put(world)
    begun_ms = None
    end_ms = world.rig.now_ms + case.within_s * 1000
    while not world.events("trip"):
        assert world.rig.now_ms < end_ms, "no trip"
        if begun_ms is None and case.begun(world):
            begun_ms = world.rig.now_ms
        world.run(0.25)
    assert begun_ms is not None, "tripped before the condition began"
    trip = world.events("trip")[0]
    return (world.times_ms[world.messages.index(trip)] - begun_ms) / 1000


def _fault(name: str) -> Callable[[World], None]:
    """A fault of the campaign."""
    return lambda world: FAULTS[name].put(world, random.Random(1))


def _nothing(world: World) -> None:
    """The firmware is broken already."""


def _shorted(world: World) -> None:
    world.rig.low_voltage.pump_unplugged = True
    world.rig.mains.switch_shorted = True


def _garbled(world: World) -> None:
    rng = random.Random(1)
    world.wire.to_host = lambda data: rng.randbytes(len(data))


def _frozen(seconds: float) -> Callable[[World], None]:
    def put(world: World) -> None:
        world.keeper_alive = False
        world.run(seconds)
        world.keeper_alive = True

    return put


def _body_over_bath(world: World) -> bool:
    probes = world.rig.probes
    # 1.6 times what this rig shows at full heat, and 8 °C.
    return probes["body"].element_c - probes["bath"].element_c > 17.7


FULL_HEAT = "no cut-offs, full heat"
HOT = [
    HostCase(
        "host-hot",
        "full heat for ever in a hold",
        _nothing,
        12.0,
        "hold",
        FULL_HEAT,
        # 3 °C above the warmest bath of the scene's recipe.
        begun=lambda world: world.rig.probes["bath"].element_c > 39.0,
    ),
    # From a cold start the chocolate needs 16 minutes to come near its limit.
    HostCase(
        "host-forecast",
        "full heat for ever in melting",
        _nothing,
        None,
        "melt",
        FULL_HEAT,
        within_s=1200.0,
    ),
    HostCase("host-forecast", "full heat for ever at the end", _nothing, None, "brief", FULL_HEAT),
    HostCase(
        "host-rise",
        "a 1.5 kW appliance with a thin wall gets full heat for ever",
        _nothing,
        150.0,
        "cold",
        FULL_HEAT,
        parameters=PlantParameters(heater_w=1500.0, body_water_w_per_k=120.0),
    ),
    HostCase("host-unasked", "the switch is shorted in a hold", _shorted, 420.0, "hold"),
]
PLACES = [
    HostCase("host-implausible", name, _fault(name), allowed_s, FAULTS[name].scene)
    for name, allowed_s in {
        "chocolate probe: stuck while heating": 200.0,
        "chocolate and bath probes: swapped": 200.0,
        "bath and body probes: swapped": 200.0,
        "chocolate probe: lifted into the air": 320.0,
        "body probe: fallen off the cooker": 250.0,
    }.items()
] + [
    HostCase("host-dry", name, _fault(name), 15.0, FAULTS[name].scene, begun=_body_over_bath)
    for name in ("bath: boiled down, float stuck",)
]
LOST = [
    HostCase("host-contradiction", name, _fault(name), 5.0)
    for name in (
        "chocolate probe: open",
        "bath probe: power-on value",
        "body probe: CRC noise on every answer",
        "probe line: shorted to ground",
    )
] + [
    HostCase("host-blind", "no probe and no heat", _fault("chocolate probe: open"), 20.0, "cool"),
    HostCase("host-stale", "nothing but garbage from the board", _garbled, 12.0),
    HostCase(
        "host-absent",
        "the keeper is frozen for 30 s",
        _frozen(30.0),
        2.0,
        begun=lambda world: world.keeper_alive,
    ),
]
CASES = HOT + PLACES + LOST
