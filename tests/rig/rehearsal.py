"""A virtual rig that was never commissioned, a scripted person, and the walk: in one process."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from fast import FastLink, FastWire
from hand_clock import HandClock

from glossbath.commission import Scripted, Session, Walk
from glossbath.virtual.chocolates import bowl_of
from glossbath.virtual.hands import obey
from glossbath.virtual.virtual import Options, VirtualRig


class RigClock(HandClock):
    """A clock whose every wait lets the rig make one pass."""

    def __init__(self, rig: VirtualRig, wire: FastWire) -> None:
        super().__init__(wire.opened)
        self._rig = rig
        self.written = 0

    def wait(self, caught_up: Callable[[int], None], written: Callable[[], int]) -> None:
        self.written = written()
        self._rig.step(self)  # type: ignore[arg-type]

    def tick(self, now_ms: int) -> None:
        """The rig's part: the time it is."""
        self.ms = now_ms

    def pace(self, now_ms: int) -> None:
        """As fast as it can."""


class Rehearsal:
    """answers and acts change the script; said has every line of the walk."""

    def __init__(self, folder: Path, options: Options | None = None) -> None:
        self.wire = FastWire()
        self.rig = VirtualRig(
            folder,
            self.wire,  # type: ignore[arg-type]
            options or blank(),
        )
        self.clock = RigClock(self.rig, self.wire)
        self.said: list[str] = []
        self.walk: Walk | None = None

    def hands(self, words: str) -> None:
        """Do something at the rig."""
        obey(self.rig, words)

    def go(
        self,
        resume: bool = False,
        again: str = "",
        answers: Mapping[str, Sequence[str]] | None = None,
        acts: Mapping[str, Sequence[str]] | None = None,
        name: str = "kitchen",
    ) -> bool:
        """One run of the walk with a line and a session of its own."""
        script = {"identify": ("no",), **(answers or {})}
        person = Scripted(self.hands, self.said.append, script, acts)
        with Session(FastLink(self.wire, self.clock), self.clock) as session:
            self.walk = Walk(session, person, name)
            return self.walk.run(resume, again)

    @property
    def results(self) -> dict[str, Any]:
        """What the record has, by step."""
        assert self.walk is not None
        assert self.walk.record is not None
        return self.walk.record.results

    @property
    def failed(self) -> str:
        """The sentence of the last step that was not passed."""
        lines = [line for line in self.said if line.startswith("NOT PASSED: ")]
        return lines[-1].removeprefix("NOT PASSED: ") if lines else ""

    @property
    def dark(self) -> bool:
        """Whether every output that moves or heats is low."""
        return not any(self.rig.pin(name) for name in ("heat", "relay", "chill", "stir"))

    def session(self) -> Session:
        """A line to the board besides the walk."""
        made = Session(FastLink(self.wire, self.clock), self.clock)
        made.meet()
        return made


def blank(**changed: Any) -> Options:
    """A rig with water in its bowl and nothing in its flash."""
    return Options(parameters=bowl_of("water"), commissioned=False, **changed)
