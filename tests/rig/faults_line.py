"""Faults of the cable and of what other programs send over it."""

from __future__ import annotations

import random
from collections.abc import Callable

from fault import GOES_ON, Fault, Put, codes
from faults_power import PWRON
from world import World

from glossbath.board.link import Link
from glossbath.keeper.keeper import Keeper
from glossbath.virtual.wire import Mangle
from glossbath_board.frame import encode


def _frames(change: Callable[[bytes], bytes]) -> Mangle:
    """Change whole lines on their way; what has no line end yet waits."""
    rest = bytearray()

    def mangle(data: bytes) -> bytes:
        rest.extend(data)
        *lines, tail = bytes(rest).split(b"\n")
        rest[:] = tail
        return b"".join(change(line + b"\n") for line in lines)

    return mangle


def _both_ways(make: Callable[[random.Random], Mangle]) -> Put:
    def put(world: World, rng: random.Random) -> None:
        world.wire.to_host = make(rng)
        world.wire.to_board = make(rng)

    return put


def _clean(world: World, rng: random.Random) -> None:
    world.wire.to_host = world.wire.to_board = bytes


def _cut(rng: random.Random) -> Mangle:
    return _frames(lambda line: line[: rng.randrange(len(line))] if rng.random() < 0.2 else line)


def _repeat(rng: random.Random) -> Mangle:
    return _frames(lambda line: line * rng.choice((1, 2, 3)))


def _reorder(rng: random.Random) -> Mangle:
    kept: list[bytes] = []

    def change(line: bytes) -> bytes:
        if kept:
            return line + kept.pop()
        if rng.random() < 0.3:
            kept.append(line)
            return b""
        return line

    return _frames(change)


def _garbage(rng: random.Random) -> Mangle:
    return lambda data: rng.randbytes(rng.randrange(1, 120)) + b"\n" + data


def _bytes_134(rng: random.Random) -> Mangle:
    return lambda data: b"\x01\x03\x04\r\x03" + data


def _only_garbage(rng: random.Random) -> Mangle:
    return lambda data: rng.randbytes(len(data))


def _unplug(world: World, rng: random.Random) -> None:
    world.wire.unplug()


def _plug(world: World, rng: random.Random) -> None:
    world.wire.plug()


def _record_old_frames(world: World, rng: random.Random) -> None:
    """Keep what goes by, then reset the board and send the old frames again, over and over."""
    old: dict[str, list[bytes]] = {"host": [], "board": []}

    def keep(side: str) -> Mangle:
        return _frames(lambda line: (old[side].append(line), line)[1])

    world.wire.to_host, world.wire.to_board = keep("host"), keep("board")
    world.run(5)
    world.rig.restart(PWRON)

    def again(side: str) -> Mangle:
        return lambda data: data + (rng.choice(old[side]) if old[side] else b"")

    world.wire.to_host, world.wire.to_board = again("host"), again("board")


def _write_raw(world: World, line: bytes) -> None:
    if not world.wire.plugged:
        return
    if hasattr(world.wire, "write"):
        world.wire.write(line)
    else:
        with open(world.wire.port, "wb", buffering=0) as port:
            port.write(line)


def _raw_recipe(world: World, rng: random.Random) -> None:
    """Another program loads a recipe beyond all limits and starts it; its frames are in order."""
    boot = world.keeper._board.boot
    hot = [58_000, 57_000, 59_000, 1_000, 3_600_000, 500, 20_000, 90_000]
    orders = [
        {"k": "lease"},
        {"k": "plan", "count": 1, "max": 60_000, "g": 1000},
        {"k": "plan", "count": 5, "max": 55_000, "g": 1000},
        *({"k": "phase", "at": at, "name": "melt", "v": hot} for at in range(5)),
        {"k": "start", "cycle": "raw", "sum": "00000000"},
        {"k": "resume"},
        {"k": "clear"},
        {"k": "step", "to": 1},
    ]
    for at, order in enumerate(orders):
        _write_raw(world, encode({**order, "h": 99, "b": boot, "i": 7_000 + at, "n": at}))


def _second_host(world: World, rng: random.Random) -> None:
    """A second keeper opens the same port, and another program orders the rig about."""
    second_link = Link(world.wire.port, world.clock)
    second = Keeper(second_link, world.clock, "second", world._cycles, lambda message: None)
    for _ in range(20):
        second.step()
    second_link.close()
    _raw_recipe(world, rng)


LEASE = codes("lease")
LINE = codes("link-lost", "readings-missing", "lease-unconfirmed", "line-noisy", "host-stale")


LINE_FAULTS: dict[str, Fault] = {
    "cable: out for 3 s": Fault(
        _unplug,
        later=((3.0, _plug),),
        ends=GOES_ON,
        surely_s=2.0,
        told=codes("link-lost"),
        also=LINE,
        within_s=30.0,
        port=True,
    ),
    "cable: out for 20 s": Fault(
        _unplug,
        later=((20.0, _plug),),
        surely_s=2.0,
        told=codes("link-lost"),
        also=LINE | LEASE,
        heat_off_s=9.0,
        within_s=40.0,
        port=True,
    ),
    "cable: out for good": Fault(
        _unplug,
        surely_s=2.0,
        told=codes("link-lost"),
        also=LINE,
        heat_off_s=9.0,
        within_s=30.0,
        port=True,
    ),
    "line: garbage between frames for ten minutes": Fault(
        _both_ways(_garbage),
        later=((600.0, _clean),),
        ends=GOES_ON,
        told=codes("line-noisy"),
        also=LINE,
        within_s=605.0,
        alone=True,
    ),
    "line: garbage between frames for a minute": Fault(
        _both_ways(_garbage),
        later=((60.0, _clean),),
        ends=GOES_ON,
        told=codes("line-noisy"),
        also=LINE,
        within_s=75.0,
    ),
    "line: nothing but garbage": Fault(
        _both_ways(_only_garbage),
        later=((30.0, _clean),),
        surely_s=7.0,
        told=codes("readings-missing", "host-stale"),
        also=LINE | LEASE,
        heat_off_s=9.0,
        within_s=40.0,
    ),
    "line: frames cut": Fault(_both_ways(_cut), ends=GOES_ON, also=LINE, within_s=120.0),
    "line: frames repeated": Fault(_both_ways(_repeat), ends=GOES_ON, within_s=60.0),
    "line: frames reordered": Fault(_both_ways(_reorder), ends=GOES_ON, also=LINE, within_s=60.0),
    "line: bytes 01 03 04 before everything": Fault(
        _both_ways(_bytes_134), ends=GOES_ON, within_s=60.0
    ),
    "line: old frames replayed after a reboot": Fault(
        _record_old_frames,
        told=codes("board-restarted"),
        also=LINE,
        heat_off_s=5.5,
        within_s=60.0,
        resets=1,
    ),
    "line: a recipe beyond all limits sent raw": Fault(_raw_recipe, ends=GOES_ON, within_s=30.0),
    "two hosts at once": Fault(_second_host, ends=GOES_ON, also=LINE, within_s=30.0, port=True),
}
