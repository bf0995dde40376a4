"""A cycle on a line full of hostile bytes, both ways; what was sent, answered and used up."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from campaign import WatchedWorld
from garbage import DAMAGED_FROM, NONSENSE_FROM, Garbage
from scenes import SCENES, start
from witness import Witness

from glossbath.virtual.virtual import Options
from glossbath_board.frame import Decoder

_PER_PASS = 330  # with the frames of a cycle less than the board takes in a pass, mostly


@dataclass
class Siege:
    """What a run has shown. answers counts the board's to orders nobody should obey, damaged has
    those to frames that were damaged, obeyed those that were not refused: both must stay empty.
    """

    sent_bytes: int = 0
    answers: int = 0
    damaged: list[dict[str, Any]] = field(default_factory=list)
    obeyed: list[dict[str, Any]] = field(default_factory=list)
    free_heap: list[int] = field(default_factory=list)
    host_bytes: list[int] = field(default_factory=list)
    """What this process, the keeper in it, holds in memory, as often as free_heap."""
    resets: int = 0
    errors: str = ""
    state: str = ""
    result: str = ""
    over_c: float = 0.0
    wrong: list[str] = field(default_factory=list)
    bad_lines: int = 0
    told: list[str] = field(default_factory=list)


def besiege(total_bytes: int, seed: int) -> Siege:
    """Run a cycle while total_bytes of garbage go to the board and as many to the keeper."""
    siege = Siege()
    with tempfile.TemporaryDirectory(prefix="glossbath-siege-") as folder:
        scene = SCENES["melt"]
        world = WatchedWorld(Path(folder), Options(begin=scene.begin, seed=seed), fast=True)
        try:
            world.witness = Witness(world)
            start(world, scene)
            _fill(world, siege, total_bytes, seed)
            siege.state, siege.result = world.state, world.result
            siege.resets = world.rig.resets
            siege.over_c = world.witness.hottest_c - scene.recipe.max_c
            siege.wrong = world.witness.wrong
            siege.bad_lines = world.link.bad
            siege.told = [alarm.code + " " + alarm.happened for alarm in world.alarms()]
            siege.errors = (Path(folder) / "firmware-errors.txt").read_text()
        finally:
            world.close()
    return siege


def _fill(world: WatchedWorld, siege: Siege, total_bytes: int, seed: int) -> None:
    boot = world.keeper._board.boot or 0
    to_board, to_host = Garbage(seed, boot), Garbage(seed + 1, boot, boot ^ 1)
    heard = Decoder("b")

    def from_board(data: bytes) -> bytes:
        for message in heard.feed(data):
            _note(message, siege)
        return to_host.some(_PER_PASS) + data

    world.wire.to_host = from_board
    while siege.sent_bytes < total_bytes:
        garbage = to_board.some(_PER_PASS)
        siege.sent_bytes += len(garbage)
        world.wire.write(garbage)
        world.rig.step(world)  # type: ignore[arg-type]
        world.messages.clear()
        world.times_ms.clear()
        world.witness._read = 0  # type: ignore[union-attr]


def _note(message: dict[str, Any], siege: Siege) -> None:
    number = message.get("i")
    if message.get("k") == "s":
        siege.free_heap.append(message["hf"])
        siege.host_bytes.append(resident_bytes())
    if message.get("k") != "a" or not isinstance(number, int):
        return
    if number >= DAMAGED_FROM:
        siege.answers += 1
        if number < NONSENSE_FROM:
            siege.damaged.append(message)
        if message.get("ok") and "v" in message:
            siege.obeyed.append(message)


def resident_bytes() -> int:
    """What this process has in memory; 0 where the system does not tell."""
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    except OSError:
        return 0
    return pages * os.sysconf("SC_PAGESIZE")
