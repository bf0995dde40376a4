"""Sees the truth of a run, which neither board nor keeper can, and holds what they did against it.

True temperatures and true heat come from the plant and the mains; what the person was told comes
from the keeper's messages and the record.
"""

from __future__ import annotations

import csv
from collections import deque
from pathlib import Path

from fault import Fault
from world import World

from glossbath.client.messages import Event, Reading

PROBES = ("chocolate", "bath", "body")
PASS_MS = 250
_LAG_S = 100.0
_TOLERANCE_C = 1.0
UNASKED_MOST_S = 6.5
"""Unasked heat that may flow: 0.5 s to settle, 0.5 s to debounce the sense line, 1.5 s allowed,
two passes, and 2.55 s in which the charge pump lets the relay go (hardware/charge_pump.py)."""
UNASKED_ALL_S = 13.0
"""In all pieces together: what lasts less than 1.5 s, between two windows of heat that was asked
for, shows only once less heat is asked for."""


class Witness:
    """Looks at a world in every pass. begin() is the moment of the fault."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.hottest_c = -273.0
        self.unasked_s = 0.0
        """The longest heat that flowed unasked in one piece."""
        self.unasked_all_s = 0.0
        self._unasked_since_s: float | None = None
        self.fault_s = 0.0
        self.first_fault_s: float | None = None
        self.last_heat_s: float | None = None
        """Seconds after the fault at which heat flowed last."""
        self.ended_s: float | None = None
        self.heat_after_end_s: float | None = None
        self.wrong: list[str] = []
        self._put: list[tuple[str, float, bool]] = []
        self._heat_at_s: float | None = None
        self._keeper = world.keeper
        self._away: list[list[float]] = []
        """From when to when the keeper did not run."""
        self._lost_s: float | None = None
        """Since when the keeper that had begun this cycle is dead."""
        self.blind: frozenset[str] = frozenset()
        self._past: deque[tuple[float, tuple[float, float, float]]] = deque()
        self._read = 0

    def begin(self, blind: frozenset[str]) -> None:
        """The fault happens now; nobody can tell that the blind probes are wrong."""
        self.fault_s = self.first_fault_s = self._now_s
        self.last_heat_s = None
        self.blind = self.blind | blind

    def put(self, name: str, blind: frozenset[str]) -> None:
        """A fault by this name happens now; the first one is where time is counted from."""
        if self.first_fault_s is None:
            self.begin(blind)
        self.blind = self.blind | blind
        self._put.append((name, self._now_s, self.ended_s is None and self._lost_s is None))

    @property
    def _now_s(self) -> float:
        return self.world.rig.now_ms / 1000

    def look(self) -> None:
        """One pass has gone by."""
        rig, plant = self.world.rig, self.world.rig.plant
        chocolate_c, bath_c, body_c = (plant.seen_c(name) for name in PROBES)
        self._past.append((self._now_s, (chocolate_c, bath_c, body_c)))
        while self._past[0][0] < self._now_s - _LAG_S:
            self._past.popleft()
        self.hottest_c = max(self.hottest_c, plant.chocolate_c)
        self._note_unasked(rig.heat_share > 0 and not rig.pin("heat"))
        if rig.heat_share > 0:
            self._heat_at_s = self._now_s
            self.last_heat_s = self._now_s - self.fault_s
            if self.ended_s is not None and self._now_s > self.ended_s + UNASKED_MOST_S:
                self.heat_after_end_s = self._now_s - self.ended_s
        if self.ended_s is None and self.world.result:
            self.ended_s = self._now_s
        self._watch_the_keeper()
        self._judge_readings()

    def _note_unasked(self, unasked: bool) -> None:
        if not unasked:
            self._unasked_since_s = None
            return
        pass_s = PASS_MS / 1000
        self.unasked_all_s += pass_s
        if self._unasked_since_s is None:
            self._unasked_since_s = self._now_s - pass_s
        self.unasked_s = max(self.unasked_s, self._now_s - self._unasked_since_s)

    def _watch_the_keeper(self) -> None:
        world, away = self.world, self._away
        if not world.keeper_alive:
            if not away or away[-1][1] < self._now_s - 1.0:
                away.append([self._now_s, self._now_s])
            away[-1][1] = self._now_s
        elif world.keeper is not self._keeper:
            self._keeper = world.keeper
            self._lost_s = away[-1][0]

    def _due_s(self, at_s: float, seconds: float) -> float:
        """Seconds after at_s, by a clock that stands still while the keeper does not run."""
        due_s = at_s + seconds
        for begin_s, end_s in self._away:
            if at_s <= end_s and begin_s < due_s:
                due_s += end_s - max(begin_s, at_s)
        return due_s

    def _judge_readings(self) -> None:
        messages = self.world.messages
        for message in messages[self._read :]:
            if isinstance(message, Reading) and message.state in ("running", "held"):
                self._judge(message)
        self._read = len(messages)

    def _judge(self, reading: Reading) -> None:
        for at, name in enumerate(PROBES):
            celsius = (reading.chocolate_c, reading.bath_c, reading.body_c)[at]
            if celsius is None or name in self.blind:
                continue
            low = min(truth[at] for _, truth in self._past) - _TOLERANCE_C
            high = max(truth[at] for _, truth in self._past) + _TOLERANCE_C
            if not low <= celsius <= high:
                self.wrong.append(f"{name} {celsius} logged as good, true {low:.1f} to {high:.1f}")

    def told(self) -> list[tuple[str, str, float]]:
        """(kind, code, seconds after the fault) of every trip and alarm that was raised."""
        found = []
        for message, at_ms in zip(self.world.messages, self.world.times_ms, strict=True):
            if not isinstance(message, Event) or message.kind not in ("trip", "alarm"):
                continue
            if not message.text.startswith(("Acknowledged:", "Over:")):
                after_s = at_ms / 1000 - self.fault_s
                found.append((message.kind, message.code, round(after_s, 2)))
        return found

    def untold(self, faults: dict[str, Fault]) -> list[str]:
        """Faults that the person should have been told of by now, whatever the rig was about."""
        told = self.told()
        found = []
        for name, at_s, running in self._put:
            fault = faults[name]
            until_s = self._due_s(at_s, fault.surely_s or 0.0)
            over_s = min(
                each for each in (self._now_s, self.ended_s, self._lost_s) if each is not None
            )
            if fault.surely_s is None or not running or over_s < until_s:
                continue
            if fault.hidden_by & {other for other, since_s, _ in self._put if since_s <= until_s}:
                continue
            # A code that stands from an earlier fault is not told a second time.
            in_time = [code for _, code, after_s in told if after_s + self.fault_s <= until_s]
            if not fault.told & set(in_time):
                found.append(f"{name}: nobody was told within {fault.surely_s:.0f} s")
        return found

    def heated_too_long(self, faults: dict[str, Fault], unasked_s: float) -> list[str]:
        """Faults after which heat flowed for longer than they allow, beyond unasked_s."""
        found = []
        for name, at_s, running in self._put:
            fault = faults[name]
            sure = fault.away or fault.surely_s is not None
            if not (running and sure) or fault.heat_off_s is None or self._heat_at_s is None:
                continue
            if fault.hidden_by & {other for other, _, _ in self._put}:
                continue
            took_s = self._heat_at_s - at_s
            if took_s > fault.heat_off_s + unasked_s:
                found.append(f"{name}: heat for {took_s:.1f} s after it")
        return found

    def lost_rows(self) -> int:
        """Readings and events of the cycle that were told but neither written nor counted as
        missing in the record."""
        batch = self.world.keeper.batch
        if batch is None:
            return 0
        batch.writer.close(10.0)
        rows = 0
        # Wherever the folder is now: a disk that was pulled out still has what it had.
        for name in ("readings.csv", "events.csv"):
            for file in self.world.folder.rglob(f"{Path(batch.folder).name}*/{name}"):
                with open(file, newline="") as opened:
                    rows += sum(1 for _ in csv.DictReader(opened))
        return self.world.rows_of_cycle - rows - batch.writer.unwritten
