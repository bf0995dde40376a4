"""Faults of mains, switches, supplies, and resets of the board."""

from __future__ import annotations

import contextlib
import random
from collections.abc import Callable

from fault import GOES_ON, OFF, PLACES, Fault, Put, codes
from scenes import SCENES, order_start
from world import World


def mains(name: str, value: bool = True) -> Put:
    return lambda world, rng: setattr(world.rig.mains, name, value)


def mains_all(*names: str) -> Put:
    def put(world: World, rng: random.Random) -> None:
        for name in names:
            setattr(world.rig.mains, name, True)

    return put


def _start_again(expected: str) -> Callable[[World], list[str]]:
    """Stop, start again with a willing hand: the trip that must come."""

    def after(world: World) -> list[str]:
        world.ask("stop")
        world.run(10)
        world.rig.hand.willing = True
        order_start(world, SCENES["melt"])
        with contextlib.suppress(AssertionError):
            world.until(lambda: world.state == "tripped", 60)
        codes = [alarm.code for alarm in world.alarms()]
        return [] if expected in codes else [f"the next start told {codes}, not {expected}"]

    return after


def _supply(volts: float) -> Put:
    return lambda world, rng: setattr(world.rig.low_voltage, "supply_v", volts)


def _no_supply(gone: bool) -> Put:
    """The 12 V rail is dead: relay coil, motors, and the stop circuit that is fed from it."""

    def put(world: World, rng: random.Random) -> None:
        world.rig.low_voltage.supply_v = 0.0 if gone else 12.0
        world.rig.mains.stop_pressed = gone

    return put


def _board_dark(seconds: float) -> Put:
    return lambda world, rng: world.rig.lose_power(round(seconds * 1000))


def _restart(cause: int) -> Put:
    return lambda world, rng: world.rig.restart(cause)


_SWITCH = codes("unasked-heat", "host-unasked", "unasked-warming")
PWRON, WDT = 1, 3


DIPS_S = (0.01, 0.25, 1.0, 2.0)
PASS_S = 0.25


def dip_faults() -> dict[str, Fault]:
    """Each supply away for 10 ms to 2 s. A pass is 0.25 s, so the shortest is in one look only."""
    found = {}
    for seconds in DIPS_S:
        lasts = f"for {seconds:g} s"
        found[f"mains: away {lasts}"] = Fault(
            mains("supply_on", False),
            later=((seconds, mains("supply_on", True)),),
            ends=GOES_ON,
            also=codes("no-power"),
            within_s=30.0,
        )
        found[f"12 V supply: sags to 9 V {lasts}"] = Fault(
            _supply(9.0),
            later=((seconds, _supply(12.0)),),
            ends=GOES_ON,
            also=codes("supply-low"),
            within_s=30.0,
        )
        seen = seconds >= PASS_S  # what is shorter may fall between two looks
        found[f"12 V supply: away {lasts}"] = Fault(
            _no_supply(True),
            later=((seconds, _no_supply(False)),),
            ends=OFF if seen else OFF | GOES_ON,
            told=codes("stop-button"),
            also=codes("supply-low", "no-power"),
            surely_s=3.0 if seen else None,
            heat_off_s=0.5,
            within_s=30.0,
        )
        found[f"board supply: away {lasts}"] = Fault(
            _board_dark(seconds),
            told=codes("board-restarted"),
            also=codes("readings-missing", "reset-loop"),
            surely_s=5.0,
            heat_off_s=0.5,
            within_s=30.0,
            resets=1,
        )
    return found


POWER_FAULTS: dict[str, Fault] = {
    **dip_faults(),
    "solid-state relay: shorted": Fault(
        mains("switch_shorted"), scene="brief", told=_SWITCH, within_s=300.0
    ),
    "solid-state relay: shorted, load sense dead": Fault(
        mains_all("switch_shorted", "sense_dead"),
        scene="brief",
        told=_SWITCH | codes("no-power"),
        unasked_s=450.0,
        within_s=300.0,
    ),
    "solid-state relay: shorted before the start": Fault(
        mains("switch_shorted"),
        told=codes("proof-switch"),
        heat_off_s=20.0,
        within_s=30.0,
        before_start=True,
        alone=True,
    ),
    "solid-state relay: open": Fault(
        mains("switch_open"), told=codes("no-power"), heat_off_s=5.0, within_s=30.0
    ),
    "solid-state relay: shorted for half the wave": Fault(
        mains_all("switch_shorted", "half_wave"),
        scene="brief",
        told=_SWITCH,
        within_s=300.0,
    ),
    "solid-state relay: half waves": Fault(
        mains("half_wave"),
        scene="cold",
        ends=GOES_ON,
        told=codes("heat-weak"),
        silent_on={"distributed": "nobody measured the rig: a weaker cooker looks the same"},
        at_s=200.0,
        within_s=420.0,
    ),
    "master relay: welded": Fault(
        mains("relay_welded"),
        ends=GOES_ON,
        within_s=30.0,
        after=_start_again("proof-relay"),
        why="while the relay is meant to be closed nothing shows; the next start finds it",
    ),
    "master relay: welded before the start": Fault(
        mains("relay_welded"),
        told=codes("proof-relay"),
        heat_off_s=20.0,
        within_s=30.0,
        before_start=True,
        alone=True,
    ),
    "both switches closed for good": Fault(
        mains_all("switch_shorted", "relay_welded"),
        scene="brief",
        told=_SWITCH,
        also=codes("host-hot", "host-contradiction"),
        within_s=200.0,
        why="no software can open them: the hardware cut-out must",
    ),
    "master relay: dead": Fault(
        mains("relay_dead"), told=codes("no-power"), heat_off_s=3.0, within_s=30.0
    ),
    "master relay: chatters": Fault(
        mains("relay_chatters"), told=codes("no-power"), within_s=60.0
    ),
    "heater: broken element": Fault(
        mains("heater_open"),
        scene="cold",
        told=codes("no-effect", "heat-missing", "heat-weak"),
        also=PLACES,
        within_s=500.0,
    ),
    "mains: away for good": Fault(
        mains("supply_on", False), told=codes("no-power"), heat_off_s=0.5, within_s=30.0
    ),
    "12 V supply: sags": Fault(
        _supply(9.0), surely_s=5.0, told=codes("supply-low"), heat_off_s=6.0, within_s=30.0
    ),
    "hardware cut-out: opened": Fault(
        mains("cutout_open"), told=codes("no-power"), heat_off_s=0.5, within_s=30.0
    ),
    "board: watchdog reset": Fault(
        _restart(WDT),
        surely_s=3.0,
        told=codes("board-restarted"),
        also=codes("reset-loop"),
        heat_off_s=0.5,
        within_s=30.0,
        resets=1,
    ),
    "board: watchdog reset in its start test": Fault(
        _restart(WDT),
        told=codes("board-restarted"),
        heat_off_s=0.5,
        within_s=30.0,
        resets=1,
        before_start=True,
        alone=True,
    ),
}
