"""What a screen shows of a rig, folded from the keeper's messages, without a screen.

Everything a screen has to decide is decided here or in the modules that take a RigView
(sentences, panels, chart), so it is tested without a terminal. Nothing here reads a clock.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass

from glossbath.chocolate.phase import PhasePlan
from glossbath.client.messages import (
    Alarm,
    Event,
    Health,
    Message,
    Reading,
    Reply,
    Snapshot,
)
from glossbath.words import Degrees

from .trend import Trend

QUIET_STATES = ("idle", "complete", "stopped", "tripped")
PRIORITIES = ("high", "medium", "low")
ALARM_STATES = ("raised", "latched", "returned", "acknowledged")
UNACKNOWLEDGED = ("raised", "returned")
KEEP_EVENTS = 1000
KEEP_ANSWERS = 50
STALE_S = 5.0
"""A board reports about once a second; five missed reports are not a hiccup."""


@dataclass(frozen=True)
class Position:
    """Where the chocolate stands against the window of the phase."""

    where: str
    """below, in, above, or empty when there is no window or no temperature."""
    by_k: float = 0.0
    """How far outside, in K; 0 inside."""


@dataclass(frozen=True)
class Step:
    """One rung of the phase ladder."""

    plan: PhasePlan
    mark: str
    """done, now, next or later; ended for the phase in which the cycle ended before its time."""


class RigView:
    """The rig as far as the messages taken so far tell."""

    def __init__(self, fahrenheit: bool = False) -> None:
        self.degrees = Degrees(fahrenheit)
        self.snapshot: Snapshot | None = None
        self.reading: Reading | None = None
        self.state = ""
        self.events: deque[Event] = deque(maxlen=KEEP_EVENTS)
        self.trend = Trend()
        self.answers: deque[Reply] = deque(maxlen=KEEP_ANSWERS)
        """The keeper's answers to orders, for whoever gave them to take out."""
        self.calls = 0
        """Counts what should make a sound: trips and new alarms of high priority."""
        self.lost = ""
        """Why the keeper is gone, as a sentence; empty while it is there."""
        self.opening = ""
        """What is being done so that there is a rig to see; empty when nothing is."""
        self.untold = ""
        """Why people away from the rig are not told, as a sentence; empty when all is well."""
        self._alarms: dict[str, Alarm] = {}
        self._called: set[str] = set()
        self._read_at_s: float | None = None
        self._last_phase_index = -1

    # --- taking messages -----------------------------------------------------------------

    def fold(self, messages: Iterable[Message], now_s: float) -> None:
        """Take messages in the order they came; now_s is any steady clock of the screen."""
        for message in messages:
            if isinstance(message, Reading):
                self._fold_reading(message)
                self._read_at_s = now_s
            elif isinstance(message, Snapshot):
                self._fold_snapshot(message, now_s)
            elif isinstance(message, Event):
                self.events.append(message)
                if message.kind == "trip":
                    self._call(message.code)
            elif isinstance(message, Alarm):
                self._fold_alarm(message)
            else:
                self.answers.append(message)

    def _fold_reading(self, reading: Reading) -> None:
        if self.reading is not None and reading.time_s < self.reading.time_s:
            # The clock of the readings starts again with each cycle.
            self.trend = Trend()
            self._last_phase_index = -1
        self.reading = reading
        self.state = reading.state
        if reading.phase:
            self._last_phase_index = reading.phase_index
        plan = self.plan
        self.trend.add(reading, plan.window if plan else None)

    def _fold_snapshot(self, snapshot: Snapshot, now_s: float) -> None:
        new_cycle = self.snapshot is None or self.snapshot.folder != snapshot.folder
        self.snapshot = snapshot
        if new_cycle:
            self.trend = Trend()
            self.reading = None
            self._last_phase_index = -1
            for reading in snapshot.history:
                self._fold_reading(reading)
            if snapshot.history:
                self._read_at_s = now_s
        self.state = snapshot.state
        self._alarms = {a.code: a for a in snapshot.alarms if a.state != "cleared"}

    def _fold_alarm(self, alarm: Alarm) -> None:
        if alarm.state == "cleared":
            self._alarms.pop(alarm.code, None)
        else:
            self._alarms[alarm.code] = alarm
        if alarm.state not in ("raised", "latched"):
            self._called.discard(alarm.code)
        elif alarm.priority == "high":
            self._call(alarm.code)

    def _call(self, code: str) -> None:
        """Ask for a sound, once for a trip that comes as an event and as an alarm."""
        if code not in self._called:
            self._called.add(code)
            self.calls += 1

    # --- what is -------------------------------------------------------------------------

    @property
    def health(self) -> Health:
        """Health as last told."""
        return self.snapshot.health if self.snapshot else Health()

    @property
    def result(self) -> str:
        """How the cycle ended; empty while it runs."""
        return self.snapshot.result if self.snapshot else ""

    @property
    def virtual(self) -> bool:
        """Whether this is a virtual rig."""
        return self.snapshot is not None and self.snapshot.virtual

    @property
    def steering(self) -> bool:
        """Whether this client may steer."""
        return self.snapshot is not None and self.snapshot.steering

    @property
    def active(self) -> bool:
        """Whether a cycle is under way; a state this version does not know counts as one."""
        return bool(self.state) and self.state not in QUIET_STATES and not self.result

    @property
    def tripped(self) -> bool:
        """Whether the rig has tripped and nobody has cleared it."""
        return self.state == "tripped"

    @property
    def plan(self) -> PhasePlan | None:
        """The phase that runs, as the recipe asks for it."""
        if self.snapshot is None or self.reading is None or not self.reading.phase:
            return None
        phases, index = self.snapshot.phases, self.reading.phase_index
        return phases[index] if 0 <= index < len(phases) else None

    @property
    def next_plan(self) -> PhasePlan | None:
        """The phase after the one that runs, or the first one before a cycle."""
        return next((step.plan for step in self.ladder if step.mark == "next"), None)

    @property
    def ladder(self) -> list[Step]:
        """Every phase of the recipe with its mark."""
        if self.snapshot is None:
            return []
        now = self._last_phase_index
        steps = []
        for index, plan in enumerate(self.snapshot.phases):
            if self.result == "complete" or index < now:
                mark = "done"
            elif index == now:
                mark = "now" if self.active else "ended"
            else:
                going_on = self.active or now < 0
                mark = "next" if index == now + 1 and going_on else "later"
            steps.append(Step(plan, mark))
        return steps

    @property
    def position(self) -> Position:
        """Where the chocolate stands against the window; both ends belong to the window."""
        plan = self.plan
        chocolate_c = self.reading.chocolate_c if self.reading else None
        if plan is None or chocolate_c is None:
            return Position("")
        if chocolate_c < plan.window.low_c:
            return Position("below", plan.window.low_c - chocolate_c)
        if chocolate_c > plan.window.high_c:
            return Position("above", chocolate_c - plan.window.high_c)
        return Position("in")

    @property
    def alarms(self) -> list[Alarm]:
        """Alarms a person should see: by priority, then those that still ask for a hand, then
        the newest. A priority this version does not know counts as high."""
        newest_first = sorted(self._alarms.values(), key=lambda alarm: alarm.since, reverse=True)
        return sorted(
            newest_first,
            key=lambda a: (_rank(a.priority, PRIORITIES), _rank(a.state, ALARM_STATES)),
        )

    @property
    def to_acknowledge(self) -> Alarm | None:
        """The first alarm nobody has acknowledged."""
        return next((a for a in self.alarms if a.state in UNACKNOWLEDGED), None)

    @property
    def to_clear(self) -> Alarm | None:
        """The first latched alarm, which a person must clear, seen or not."""
        return next((a for a in self.alarms if a.latched or a.state == "latched"), None)

    def silent_s(self, now_s: float) -> float | None:
        """Seconds since the last reading came, once that is too long; otherwise None."""
        if self._read_at_s is None:
            return None
        silent_s = now_s - self._read_at_s
        return None if silent_s < STALE_S else silent_s


def _rank(word: str, order: tuple[str, ...]) -> int:
    return order.index(word) if word in order else 0
