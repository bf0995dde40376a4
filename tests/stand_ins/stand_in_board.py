"""A board in a few lines: answers orders, reports what a test wants, and keeps what it was sent.

The link and the clock of a keeper, without port and without waiting.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from hand_clock import HandClock

from glossbath.client.messages import Alarm, Event, Message, Reply, Request
from glossbath.keeper.hook import Occasion
from glossbath.keeper.keeper import Keeper
from glossbath.recipe import dump, load

STEP_MS = 250
_BECOMES = {"hold": "held", "resume": "running", "clear": "idle"}


class StandInBoard:
    """Also the link to itself. values are what its readings say, in the frame's own keys."""

    def __init__(self) -> None:
        self.connected = False
        self.there = True
        """Whether its cable is in: else it cannot be opened."""
        self.port = "/dev/invented"
        self.good = self.bad = self.lost = self.opened_count = self.written_bytes = 0
        self.sent: list[dict[str, Any]] = []
        self.urgent: list[dict[str, Any]] = []
        """Of those what went before all that waited to be written."""
        self.answering = True
        self.obeying = True
        self.reporting = True
        self.refusal: dict[str, Any] = {}
        """What every start is refused with; empty to take it."""
        self.goes_back = True
        """Whether it knows the order `back`, which older firmware does not."""
        self.boot = 5
        self.rig = "virtual"
        """What it says it is."""
        self.ms = 0
        self.values: dict[str, Any] = {
            "c": 44_000,
            "w": 45_000,
            "y": 47_000,
            "u": 45_000,
            "h": 0,
            "x": 0,
            "s": 500,
            "st": "idle",
            "ph": 0,
            "pt": 0,
            "d": 0,
        }
        self.inbox: list[dict[str, Any]] = []
        self.cycle = ""

    def open(self) -> bool:
        self.connected = self.there
        self.opened_count += 1
        return self.connected

    def close(self) -> None:
        self.connected = False

    def written(self) -> int:
        return 0

    def drain(self) -> list[dict[str, Any]]:
        news, self.inbox = self.inbox, []
        return news if self.connected else []

    def send(self, message: dict[str, Any], alone: bool = False) -> bool:
        if not self.connected:
            return False
        self.sent.append(message)
        if alone:
            self.urgent.append(message)
        if message["k"] == "hello":
            self.say({"k": "hello", "v": 1, "eng": "stand-in", "id": "00", "rig": self.rig})
        elif self.answering:
            self._obey(message)
        return True

    def _obey(self, message: dict[str, Any]) -> None:
        answer = {"k": "a", "i": message["i"], "ok": 1}
        kind = message["k"]
        if kind == "start" and self.refusal:
            answer |= {"ok": 0, **self.refusal}
        elif kind == "start":
            self.cycle = message["cycle"]
            self.values.update(st="running", h=300)
        elif kind == "stop" and self.obeying:
            self.values.update(st="stopped", h=0)
        elif kind == "step":
            self.values["ph"] = message["to"]
        elif kind == "back" and not self.goes_back:
            answer |= {"ok": 0, "why": "unknown order", "at": "k"}
        elif kind == "back":
            self.values.update(ph=message["to"], st="held", pt=0, d=0)
        elif kind in _BECOMES:
            self.values["st"] = _BECOMES[kind]
        if kind in ("stop", "clear"):
            answer["v"] = self.values["st"]
        self.say(answer)

    def say(self, message: dict[str, Any]) -> None:
        """Send a message to the host."""
        self.inbox.append({"b": self.boot, **message})

    def second(self) -> None:
        """A second has passed: report, if it does."""
        self.ms += 1_000
        if self.reporting:
            self.say({"k": "r", "t": self.ms, **self.values})

    def kinds(self, kind: str) -> int:
        """How many orders of a kind came."""
        return sum(message["k"] == kind for message in self.sent)


class FakeHook:
    """Keeps the occasions it was called for; failing is what it will say of them."""

    def __init__(self) -> None:
        self.occasions: list[Occasion] = []
        self.failing: list[str] = []

    def call(self, occasion: Occasion) -> None:
        self.occasions.append(occasion)

    def failures(self) -> list[str]:
        said, self.failing = self.failing, []
        return said


class Rig:
    """A keeper and its stand-in board."""

    def __init__(self, folder: Path, publish: Callable[[Message], None] | None = None) -> None:
        self.board = StandInBoard()
        self.clock = HandClock(ms=1_000_000)
        self.hook = FakeHook()
        self.messages: list[Message] = []
        self.keeper = Keeper(
            self.board,  # type: ignore[arg-type]
            self.clock,
            "north",
            folder,
            publish or self.messages.append,
            1.0,
            self.hook,  # type: ignore[arg-type]
        )
        self.run(3)

    def run(self, seconds: float) -> None:
        """Let time pass; the board reports each second, the keeper steps four times in it."""
        for _ in range(round(seconds * 1000 / STEP_MS)):
            self.clock.ms += STEP_MS
            if self.clock.ms % 1_000 == 0:
                self.board.second()
            self.keeper.step()

    def ask(self, op: str, **values: Any) -> Reply:
        """A client's request and its answer."""
        answers: list[Reply] = []
        self.keeper.ask(Request(1, op, values), answers.append)
        self.run(3)
        assert answers, "no answer"
        return answers[0]

    def start(self) -> Reply:
        """Start a cycle of dark chocolate."""
        return self.ask("start", recipe=dump(load("dark")), where="dark", batch_kg=1.0)

    @property
    def result(self) -> str:
        """How the cycle ended."""
        return self.keeper.snapshot().result

    def alarms(self) -> dict[str, str]:
        """Code to state of every alarm that stands."""
        return {alarm.code: alarm.state for alarm in self.keeper.snapshot().alarms}

    def events(self, kind: str) -> list[Event]:
        """Every event of a kind."""
        return [m for m in self.messages if isinstance(m, Event) and m.kind == kind]

    def told(self, code: str) -> list[str]:
        """The states an alarm went through, as clients saw them."""
        return [m.state for m in self.messages if isinstance(m, Alarm) and m.code == code]
