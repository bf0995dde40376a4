"""A virtual rig and the least that can steer it: frames in memory, a lease, no keeper.

Runs the real firmware about a thousand times faster than time goes, so that every cut-off can be
met through its fault.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from glossbath.board.orders import start_orders
from glossbath.recipe import load
from glossbath.recipe.program import board_program
from glossbath.virtual.virtual import Options, VirtualRig
from glossbath_board.frame import Decoder, encode
from glossbath_board.program import Phase, Program

HOST = 7
LEASE_EVERY_MS = 1_000


def program(
    name: str,
    target_c: float,
    bath_high_c: float,
    max_c: float = 55.0,
    timeout_ms: int = 10_800_000,
) -> Program:
    """One phase within 1 °C of its target, until its time is over, stirred all the time."""
    made = Program(1, round(max_c * 1000), 1_000)
    target = round(target_c * 1000)
    values = [target, target - 1_000, target + 1_000, timeout_ms - 1, timeout_ms, 1_000]
    made.put(0, Phase(name, [*values, 10_000, round(bath_high_c * 1000)]))
    return made


class MemoryWire:
    """A cable with both ends in this process."""

    port = "memory"
    plugged = True
    sent = 0
    received = 0

    def __init__(self) -> None:
        self.from_board = b""
        self.from_host = b""

    def send(self, data: bytes) -> None:
        self.from_board += data

    def take(self) -> bytes:
        data, self.from_host = self.from_host, b""
        return data

    def opened(self) -> None:
        pass

    def close(self) -> None:
        pass


class Direct:
    """One rig and whoever holds its lease. readings and events are frames as they came."""

    def __init__(self, folder: Path, options: Options | None = None) -> None:
        self._wire = MemoryWire()
        self.rig = VirtualRig(folder, self._wire, options or Options())  # type: ignore[arg-type]
        self._decoder = Decoder("b")
        self._number = 0
        self._order = 0
        self._leased_ms = 0
        self.leasing = False
        self.boot: int | None = None
        self.hello: dict[str, Any] = {}
        self.reading: dict[str, Any] = {}
        self.health: dict[str, Any] = {}
        self.events: list[dict[str, Any]] = []
        self.answers: dict[int, dict[str, Any]] = {}
        self.longest_frame = 0
        self.began_ms = 0
        self._pass_ms = 0

    def step(self) -> None:
        """One pass of the board and what follows."""
        rig = self.rig
        if self.leasing and rig.now_ms - self._leased_ms >= LEASE_EVERY_MS:
            self._leased_ms = rig.now_ms
            self.send("lease")
        self._pass_ms = rig.now_ms
        rig.step()
        data, self._wire.from_board = self._wire.from_board, b""
        self.longest_frame = max([self.longest_frame, *(len(p) + 1 for p in data.split(b"\n"))])
        for message in self._decoder.feed(data):
            self._take(message)

    def _take(self, message: dict[str, Any]) -> None:
        self.boot = message["b"]
        kind = message["k"]
        if kind == "hello":
            self.hello = message
        elif kind == "r":
            self.reading = message
        elif kind == "s":
            self.health = message
        elif kind == "e":
            self.events.append({**message, "at": self._pass_ms})
        elif kind == "a":
            self.answers[message["i"]] = message

    def run(self, seconds: float) -> None:
        """Let time pass."""
        end_ms = self.rig.now_ms + round(seconds * 1000)
        while self.rig.now_ms < end_ms:
            self.step()

    def until(self, reached: Callable[[], bool], within_s: float) -> float:
        """Let time pass until something is so; the seconds it took."""
        begin_ms = self.rig.now_ms
        while not reached():
            assert self.rig.now_ms - begin_ms <= within_s * 1000, (
                f"it did not happen within {within_s} s: {self.reading}"
            )
            self.step()
        return (self.rig.now_ms - begin_ms) / 1000

    def send(self, kind: str, **values: Any) -> int:
        """Send an order; its number."""
        self._order += 1
        self._number += 1
        message = {"k": kind, "i": self._order, "h": HOST, "b": self.boot, "n": self._number}
        self._wire.from_host += encode({**message, **values})
        return self._order

    def ask(self, kind: str, **values: Any) -> dict[str, Any]:
        """Send an order and wait for its answer."""
        number = self.send(kind, **values)
        self.until(lambda: number in self.answers, 5)
        return self.answers[number]

    def load(
        self, recipe: str | Program = "dark", hold_s: float = 120.0, **start: Any
    ) -> dict[str, Any]:
        """Load a recipe, or a program as it is, and order its start; the answer to the start."""
        self.until(lambda: bool(self.reading), 5)
        self.run(2)
        self.leasing = True
        self.run(1.5)
        program = recipe
        if isinstance(program, str):
            program = board_program(load(program).with_hold(hold_s), 1.0)
        for order in start_orders(program, "test"):
            values = {key: value for key, value in order.items() if key != "k"}
            if order["k"] == "start":
                values.update(start)
            answer = self.ask(order["k"], **values)
            if not answer["ok"]:
                break
        return answer

    def heat(self, recipe: str | Program = "dark", hold_s: float = 120.0, **start: Any) -> None:
        """Start a cycle and go on until heat is enabled."""
        answer = self.load(recipe, hold_s, **start)
        assert answer["ok"], answer
        self.until(lambda: self.state == "running", 30)

    def restart(self, cause: int) -> None:
        """Power off and on (1), or a reset (3)."""
        self.rig.restart(cause)
        self.restarted()

    def restarted(self) -> None:
        """The board is another: forget what the old one said, and wait for its first reading."""
        self.leasing = False
        self.reading = {}
        self.hello = {}
        self.events = []
        self.answers = {}
        self._decoder = Decoder("b")
        self._wire.from_host = self._wire.from_board = b""
        self.until(lambda: bool(self.reading), 20)

    @property
    def state(self) -> str:
        """What the board last said of itself."""
        for event in reversed(self.events):
            if event["e"] == "state":
                return str(event["st"])
        return ""

    @property
    def trips(self) -> list[tuple[str, str]]:
        """Code and detail of every trip so far."""
        return [(event["tr"], event["d"]) for event in self.events if event["e"] == "trip"]

    def until_trip(self, within_s: float) -> float:
        """Let time pass until a trip; the seconds it took."""
        before = len(self.trips)
        return self.until(lambda: len(self.trips) > before, within_s)

    @property
    def dark(self) -> bool:
        """Whether every output that moves or heats is low."""
        return not any(self.rig.pin(name) for name in ("heat", "relay", "chill", "stir"))


def measure(d: Direct, case: Any) -> float:
    """Meet a case of cutoff_case.py; the seconds from its condition's begin to its trip."""
    case.before(d)
    d.heat(case.recipe)
    d.began_ms = d.rig.now_ms
    d.run(case.warm_up_s)
    assert not d.trips, d.trips
    case.fault(d)
    begun_ms = None
    end_ms = d.rig.now_ms + case.within_s * 1000
    while not d.trips:
        assert d.rig.now_ms < end_ms, f"no trip: {d.reading}"
        if begun_ms is None and case.begun(d):
            begun_ms = d.rig.now_ms
        d.step()
    assert begun_ms is not None, f"tripped before the condition began: {d.trips}"
    tripped_ms = next(event["at"] for event in d.events if event["e"] == "trip")
    return (tripped_ms - begun_ms) / 1000


@contextlib.contextmanager
def direct(folder: Path, options: Options | None = None) -> Iterator[Direct]:
    """A Direct whose rig ends with the context."""
    made = Direct(folder, options)
    try:
        yield made
    finally:
        made.rig.close()
