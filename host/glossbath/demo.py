"""A whole cycle on the virtual rig: real firmware, serial line and keeper, virtual world."""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from .client import KeeperClient
from .errors import KeeperError
from .launch import connect, start_keeper

ON_SCREEN_SPEED = 60.0
HOLD_S = 1_800.0
_START_PATIENCE_S = 60.0


@dataclass
class VirtualKeeper:
    """A keeper on a virtual rig; rig and keeper are processes that end with the context."""

    rig: str
    port: str
    world: subprocess.Popen[str]
    keeper: subprocess.Popen[bytes]

    def order(self, words: str) -> None:
        """Tell the virtual rig to do something, such as 'unplug'."""
        assert self.world.stdin is not None
        self.world.stdin.write(words + "\n")
        self.world.stdin.flush()


@contextlib.contextmanager
def virtual_keeper(
    speed: float,
    cycles: Path | None = None,
    seed: int = 1,
    cpython: bool = False,
    wire: str = "pty",
    chocolate: str = "dark",
) -> Iterator[VirtualKeeper]:
    """A virtual rig and its keeper. Raises KeeperError when either does not come up."""
    with tempfile.TemporaryDirectory(prefix="glossbath-virtual-") as folder:
        words = [sys.executable, "-m", "glossbath.rig", folder, "--speed", str(speed)]
        words += ["--seed", str(seed), "--wire", wire, "--chocolate", chocolate]
        if cpython:
            words.append("--cpython")
        world = subprocess.Popen(
            words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, start_new_session=True
        )
        try:
            assert world.stdout is not None
            line = world.stdout.readline()
            if not line:
                raise KeeperError("The virtual rig did not come up: see the lines above.")
            place = json.loads(line)
            rig = f"virtual-{os.getpid()}"
            keeper = start_keeper(
                rig, place["port"], cycles, clock=Path(place["clock"]), speed=speed
            )
            try:
                yield VirtualKeeper(rig, place["port"], world, keeper)
            finally:
                keeper.terminate()
                with contextlib.suppress(subprocess.TimeoutExpired):
                    keeper.wait(15)
                keeper.kill()
        finally:
            world.terminate()
            with world:  # closes its pipes and waits
                pass


def begin(client: KeeperClient, **wanted: object) -> str:
    """Start a cycle and return its folder; raises KeeperError with the board's refusal."""
    _wait_for_board(client)
    reply = client.request("start", timeout_s=_START_PATIENCE_S, **wanted)
    if not reply.ok:
        raise KeeperError(reply.text)
    return str(reply.values["folder"])


def _wait_for_board(client: KeeperClient) -> None:
    from .state import Snapshot

    for _ in range(300):
        client.wait(0.1)
        for message in client.drain():
            if isinstance(message, Snapshot) and message.engine:
                return
    raise KeeperError("The board did not answer: check the cable and the port.")


__all__ = ["HOLD_S", "ON_SCREEN_SPEED", "VirtualKeeper", "begin", "connect", "virtual_keeper"]
