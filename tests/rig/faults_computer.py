"""Faults of the computer: its keeper, its clocks, its disk; and of the board's flash."""

from __future__ import annotations

import contextlib
import os
import random
import resource
import shutil
from collections.abc import Callable
from pathlib import Path

from fault import GOES_ON, Fault, Put, bad, codes
from faults_line import LEASE, LINE
from world import World


def _die(world: World, rng: random.Random) -> None:
    """As kill -9 does: no word to anybody, the port falls shut."""
    world.keeper_alive = False
    world.link.close()


def _rise_again(world: World, rng: random.Random) -> None:
    world.keeper = world.new_keeper()
    world.keeper_alive = True


def _freeze(world: World, rng: random.Random) -> None:
    world.keeper_alive = False


def _thaw(world: World, rng: random.Random) -> None:
    world.keeper_alive = True


def _wake(seconds: float) -> Put:
    def put(world: World, rng: random.Random) -> None:
        world.clock.slept_ms += round(seconds * 1000)
        world.keeper_alive = True

    return put


def _set_clock(seconds: float) -> Put:
    def put(world: World, rng: random.Random) -> None:
        world.clock.wall_set_ms += round(seconds * 1000)

    return put


def _no_room(world: World, rng: random.Random) -> None:
    hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, hard))


def _room(world: World, rng: random.Random) -> None:
    hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
    resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))


def _to_the_record(act: Callable[[Path], None]) -> Put:
    """Do something to the folder of the cycle that runs. Who removes one that is over means it."""

    def put(world: World, rng: random.Random) -> None:
        batch = world.keeper.batch
        if batch is not None and batch.running and Path(batch.folder).is_dir():
            act(Path(batch.folder))

    return put


def _removed(folder: Path) -> None:
    """Gone at once: what is written meanwhile goes with it."""
    bin_ = folder.parent.with_name("bin")
    folder.rename(bin_)
    shutil.rmtree(bin_)


def _pulled(folder: Path) -> None:
    """The disk is pulled out: folder and all."""
    folder.parent.rename(folder.parent.with_name("pulled"))


def _read_only(folder: Path) -> None:
    """As a remount does: files that are open take no more writes, and none can be opened."""
    for entry in Path("/proc/self/fd").iterdir():
        with contextlib.suppress(OSError):
            if Path(os.readlink(entry)).parent == folder:
                reading = os.open(os.readlink(entry), os.O_RDONLY)
                os.dup2(reading, int(entry.name))
                os.close(reading)
    hidden = folder.with_name(folder.name + " away")
    folder.rename(hidden)
    folder.symlink_to("/proc/1")  # a place that nobody, root neither, may write into


_DISK = codes("log-failing")


COMPUTER_FAULTS: dict[str, Fault] = {
    "host: killed": Fault(
        _die,
        later=((15.0, _rise_again),),
        ends=frozenset({""}),
        told=LEASE,
        heat_off_s=9.0,
        within_s=30.0,
        away=True,
    ),
    "host: killed and started again at once": Fault(
        _die,
        later=((2.0, _rise_again),),
        ends=frozenset({""}),
        told=codes("host-contradiction"),
        also=LEASE,
        heat_off_s=9.0,
        within_s=30.0,
        away=True,
    ),
    "host: frozen for 30 s": Fault(
        _freeze,
        later=((30.0, _thaw),),
        told=codes("host-absent"),
        also=LINE | LEASE,
        heat_off_s=9.0,
        within_s=50.0,
        away=True,
    ),
    "host: frozen for 3 s": Fault(
        _freeze,
        later=((3.0, _thaw),),
        ends=GOES_ON,
        surely_s=5.0,
        told=codes("host-paused"),
        also=LINE,
        within_s=30.0,
        away=True,
    ),
    "host: suspended for 60 s": Fault(
        _freeze,
        later=((60.0, _wake(60.0)),),
        told=codes("host-absent"),
        also=LINE | LEASE,
        heat_off_s=9.0,
        within_s=80.0,
        away=True,
    ),
    "host: wall clock set back an hour": Fault(
        _set_clock(-3_600.0),
        ends=GOES_ON,
        surely_s=2.0,
        told=codes("clock-jump"),
        within_s=30.0,
    ),
    "log: disk full": Fault(
        _no_room,
        later=((40.0, _room),),
        ends=GOES_ON,
        told=_DISK,
        by_disk=True,
        within_s=60.0,
        alone=True,
    ),
    "log: read-only": Fault(
        _to_the_record(_read_only), ends=GOES_ON, told=_DISK, by_disk=True, within_s=40.0
    ),
    "log: folder removed": Fault(
        _to_the_record(_removed), ends=GOES_ON, also=_DISK, within_s=40.0
    ),
    "log: disk pulled out": Fault(
        _to_the_record(_pulled), ends=GOES_ON, told=_DISK, by_disk=True, within_s=40.0
    ),
}


def _flash(world: World) -> Path:
    return Path(world.rig.engine._flash)


def _flash_full(world: World, rng: random.Random) -> None:
    """No record can be written any more: the place of every new one is taken."""
    for name in ("trip", "starts", "settings"):
        (_flash(world) / f"{name}.new").mkdir(exist_ok=True)


def _full_then_open(world: World, rng: random.Random) -> None:
    _flash_full(world, rng)
    world.rig.chips["bath"].inject("absent")


def _clear_is_refused(world: World) -> list[str]:
    """A trip that cannot be forgotten for good stays: the board would recall it."""
    world.rig.chips["bath"].inject("")
    world.run(5)
    reply = world.ask("clear")
    return [f"a full flash cleared its trip: {reply.text}"] if reply.ok else []


FLASH_FAULTS: dict[str, Fault] = {
    "board: flash full": Fault(
        _flash_full,
        ends=GOES_ON,
        also=codes("board-flash", "reset-loop"),
        within_s=30.0,
    ),
    "board: flash full at a trip": Fault(
        _full_then_open,
        told=codes("board-flash"),
        also=bad("bath") | codes("heat-withheld"),
        heat_off_s=4.0,
        within_s=30.0,
        after=_clear_is_refused,
        alone=True,
    ),
}
