"""A virtual rig and a keeper in one process: real firmware, real pseudo-terminal, stepped time.

Faults go into the plant, the chips, the mains or the wire; the keeper sees what arrives.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from fast import FastLink, FastWire
from hand_clock import HandClock

from glossbath.board.link import Link
from glossbath.client.messages import Alarm, Event, Message, Reading, Reply, Request
from glossbath.keeper.keeper import Keeper
from glossbath.recipe import dump, load
from glossbath.virtual.virtual import Options, VirtualRig
from glossbath.virtual.wire import PtyWire


class World:
    """Steps rig and keeper together, as the timekeeper of the virtual rig does for processes.

    fast leaves out the port: see fast.py.
    """

    def __init__(self, folder: Path, options: Options | None = None, fast: bool = False) -> None:
        self.wire: Any = FastWire() if fast else PtyWire(folder / "port")
        self.rig = VirtualRig(folder, self.wire, options or Options())
        self.clock = HandClock(self.wire.opened)
        self.link: Link = (
            FastLink(self.wire, self.clock) if fast else Link(self.wire.port, self.clock)
        )
        self.messages: list[Message] = []
        self.times_ms: list[int] = []
        """When each message was published."""
        self.rows_of_cycle = 0
        """Readings and events of the last cycle that were published."""
        self._batch: Any = None
        self.folder = folder
        self._cycles = folder / "cycles"
        self.keeper = self.new_keeper()
        self.keeper_alive = True
        self.written = 0
        self.speed = 0.0

    def new_keeper(self) -> Keeper:
        """A keeper that knows nothing, as after the one before was killed."""
        return Keeper(self.link, self.clock, "test", self._cycles, self._publish, 0.0)

    def _publish(self, message: Message) -> None:
        self.messages.append(message)
        self.times_ms.append(self.rig.now_ms)
        batch = self.keeper.batch
        if batch is not self._batch:
            self._batch, self.rows_of_cycle = batch, 0
        if isinstance(message, (Reading, Event)) and batch is not None and batch.running:
            self.rows_of_cycle += 1

    def tick(self, now_ms: int) -> None:
        """One step of the keeper, when everything the board sent has arrived."""
        self.clock.ms = now_ms
        if not self.keeper_alive:
            return
        if self.link.connected:
            self.link.caught_up(self.wire.sent)
        self.keeper.step()
        self.written = self.link.written() if self.link.connected else 0

    def pace(self, now_ms: int) -> None:
        """As fast as it can."""

    def run(self, seconds: float) -> None:
        """Let simulated time pass."""
        end_ms = self.rig.now_ms + round(seconds * 1000)
        while self.rig.now_ms < end_ms:
            self.rig.step(self)  # type: ignore[arg-type]

    def until(self, reached: Callable[[], bool], within_s: float) -> float:
        """Let time pass until something is so; returns the seconds it took."""
        begin_ms = self.rig.now_ms
        while not reached():
            assert self.rig.now_ms - begin_ms <= within_s * 1000, "it did not happen in time"
            self.rig.step(self)  # type: ignore[arg-type]
        return (self.rig.now_ms - begin_ms) / 1000

    def ask(self, op: str, **values: Any) -> Reply:
        """A client's request and its answer."""
        answers: list[Reply] = []
        self.keeper.ask(Request(1, op, values), answers.append)
        self.until(lambda: bool(answers), 30)
        return answers[0]

    def start(self, recipe: str = "dark", hold_s: float = 120.0) -> Reply:
        """Start a cycle as a client does."""
        self.run(3)
        text = dump(load(recipe).with_hold(hold_s))
        return self.ask("start", recipe=text, where=recipe, batch_kg=1.0)

    def start_heating(self, recipe: str = "dark") -> None:
        """Start and go on until heat flows."""
        reply = self.start(recipe)
        assert reply.ok, reply.text
        self.until(lambda: self.rig.heat_share > 0 and self.state == "running", 60)
        self.run(5)

    @property
    def state(self) -> str:
        """What the board last said of itself."""
        return self.keeper.snapshot().state

    @property
    def result(self) -> str:
        """How the cycle ended."""
        return self.keeper.snapshot().result

    def readings(self) -> list[Reading]:
        """Every reading published."""
        return [message for message in self.messages if isinstance(message, Reading)]

    def events(self, kind: str) -> list[Event]:
        """Every event of a kind."""
        return [m for m in self.messages if isinstance(m, Event) and m.kind == kind]

    def alarms(self) -> list[Alarm]:
        """What stands."""
        return self.keeper.snapshot().alarms

    def close(self) -> None:
        """End everything."""
        self.keeper.shut_down("test over")
        self.rig.close()


@contextlib.contextmanager
def world(folder: Path, options: Options | None = None, fast: bool = False) -> Iterator[World]:
    """A World that ends with the context."""
    made = World(folder, options, fast)
    try:
        yield made
    finally:
        made.close()
