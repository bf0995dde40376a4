"""A whole cycle on the virtual rig: real firmware, serial line and keeper, virtual world."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from glossbath.client.client import KeeperClient
from glossbath.client.launch import connect, last_words, start_keeper
from glossbath.client.messages import Message, Reading, Snapshot
from glossbath.client.paths import VIRTUAL
from glossbath.errors import KeeperError

from .virtual_hand import helping

ON_SCREEN_SPEED = 60.0
_START_PATIENCE_S = 60.0
_CLOSE_PATIENCE_S = 2.0


@dataclass
class VirtualWorld:
    """A virtual rig in a process of its own; port is where a host connects, clock its time."""

    port: str
    clock: Path
    process: subprocess.Popen[str]

    def order(self, words: str) -> None:
        """Tell the virtual hands to do something, such as 'unplug'."""
        assert self.process.stdin is not None
        self.process.stdin.write(words + "\n")
        self.process.stdin.flush()


@dataclass
class VirtualKeeper:
    """A keeper on a virtual rig; rig and keeper are processes that end with the context."""

    rig: str
    port: str
    world: subprocess.Popen[str]
    keeper: subprocess.Popen[bytes]
    order: Callable[[str], None]
    """Tells the virtual hands to do something, such as 'unplug'."""


@contextlib.contextmanager
def virtual_world(folder: Path, speed: float, *words: str) -> Iterator[VirtualWorld]:
    """A virtual rig whose flash lies in folder; words are more arguments of glossbath.virtual.

    It ends with the context. Raises KeeperError when it does not come up.
    """
    # What an earlier run in the same folder had for firmware; its flash stays.
    shutil.rmtree(folder / "lib", ignore_errors=True)
    run = [sys.executable, "-m", "glossbath.virtual", str(folder), "--speed", str(speed), *words]
    process = subprocess.Popen(
        run, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, start_new_session=True
    )
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        if not line:
            raise KeeperError("The virtual rig did not come up: see the lines above.")
        place = json.loads(line)
        yield VirtualWorld(place["port"], Path(place["clock"]), process)
    finally:
        process.terminate()
        with process:  # closes its pipes and waits
            pass


@contextlib.contextmanager
def virtual_keeper(
    speed: float,
    cycles: Path | None = None,
    seed: int = 1,
    cpython: bool = False,
    wire: str = "pty",
    chocolate: str = "dark",
    batch_kg: float = 1.0,
) -> Iterator[VirtualKeeper]:
    """A virtual rig and its keeper. Raises KeeperError when either does not come up."""
    words = ["--seed", str(seed), "--wire", wire, "--chocolate", chocolate]
    words += ["--batch", str(batch_kg)]
    if cpython:
        words.append("--cpython")
    with (
        tempfile.TemporaryDirectory(prefix="glossbath-virtual-") as folder,
        virtual_world(Path(folder), speed, *words) as world,
    ):
        rig = virtual_name()
        keeper = start_keeper(rig, world.port, cycles, clock=world.clock, speed=speed)
        try:
            with helping(rig, world.order):
                yield VirtualKeeper(rig, world.port, world.process, keeper, world.order)
        finally:
            _end(rig, keeper)


def _end(rig: str, keeper: subprocess.Popen[bytes]) -> None:
    """Ask a keeper to end, which it does between cycles; while one runs it has to stop it."""
    ends = False
    with contextlib.suppress(KeeperError), connect(rig) as client:
        ends = client.request("close", timeout_s=_CLOSE_PATIENCE_S).ok
    if not ends:
        keeper.terminate()
    with contextlib.suppress(subprocess.TimeoutExpired):
        keeper.wait(15)
    keeper.kill()


def virtual_name() -> str:
    """What a virtual rig of this program is called."""
    return f"{VIRTUAL}{os.getpid()}"


def begin(client: KeeperClient, **wanted: object) -> str:
    """Start a cycle once the board has answered, and return its folder; raises KeeperError with
    the board's refusal."""
    wait_for_board(client)
    return start(client, **wanted)


def start(client: KeeperClient, **wanted: object) -> str:
    """Start a cycle and return its folder; raises KeeperError with the board's refusal."""
    reply = client.request("start", timeout_s=_START_PATIENCE_S, **wanted)
    if not reply.ok:
        raise KeeperError(reply.text)
    return str(reply.values["folder"])


def first_reading(client: KeeperClient) -> Reading | None:
    """What the rig reads once its board has answered; None when it reads nothing in time."""
    snapshot, after = _answer(client)
    for _ in range(30):
        readings = [*snapshot.history, *(it for it in after if isinstance(it, Reading))]
        if readings:
            return readings[-1]
        client.wait(0.1)
        after = client.drain()
    return None


def wait_for_board(client: KeeperClient) -> Snapshot:
    """The rig as it is once its board has answered; raises KeeperError when it does not."""
    return _answer(client)[0]


def _answer(client: KeeperClient) -> tuple[Snapshot, list[Message]]:
    """The first snapshot of a board that has answered, and what came with it."""
    for _ in range(300):
        client.wait(0.1)
        messages = client.drain()
        for message in messages:
            if isinstance(message, Snapshot) and message.engine:
                return message, messages
        if client.closed:
            raise KeeperError(last_words(client.path.stem) or client.closed_reason)
    raise KeeperError("The board did not answer: check the cable and the port.")
