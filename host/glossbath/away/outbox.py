"""Brings notices to their targets: each once, again until a person has answered where that is
asked for, later where the network is away, and never without bound.

Nothing here reads a clock or sends by itself: time and the way to send are arguments.
"""

from __future__ import annotations

import heapq
import itertools
from dataclasses import dataclass, field
from datetime import datetime

from .notice import NEVER_QUIET, REPEATED, Notice
from .targets import Target

RETRY_S = (5.0, 15.0, 45.0, 120.0, 300.0)
"""How long to wait after each failure; the last for every further one."""
GIVE_UP_S = 24 * 3600.0
MOST_WAITING = 500
REPEAT_S = (120.0, 300.0, 600.0, 1200.0)
"""After how long a notice that nobody answered is told again: quickly at first, then for ever at
the last. IEC 62682 asks that an alarm stays annunciated until it is acknowledged."""
MOST_REPEATS = 12
QUIET_LOOK_S = 30.0


@dataclass(order=True)
class Letter:
    due_s: float
    number: int
    """In the order they were made."""
    notice: Notice = field(compare=False)
    target: Target = field(compare=False)
    made_s: float = field(compare=False)
    made_at: datetime = field(compare=False)
    failures: int = field(compare=False, default=0)
    repeats: int = field(compare=False, default=0)


class Outbox:
    """What waits to be told. now_s is a steady clock, now the local time of day."""

    def __init__(self) -> None:
        self._waiting: list[Letter] = []
        self._numbers = itertools.count()
        self.delivered = 0
        self.dropped = 0
        self.failing_since: dict[str, datetime] = {}
        """Target's name to when its first undelivered notice was made."""

    def __len__(self) -> int:
        return len(self._waiting)

    def add(self, notice: Notice, targets: list[Target], now_s: float, now: datetime) -> None:
        """Have a notice told to every target that asked for its event."""
        for target in targets:
            if notice.event in target.events:
                self._put(Letter(now_s, next(self._numbers), notice, target, now_s, now))

    def take_due(self, now_s: float, now: datetime) -> list[Letter]:
        """What is to be sent now; each has to be given back to settle().

        What has lost its point meanwhile is dropped, what must be quiet now waits on.
        """
        due = []
        while self._waiting and self._waiting[0].due_s <= now_s:
            letter = heapq.heappop(self._waiting)
            notice, target = letter.notice, letter.target
            if notice.answered() if letter.repeats else not notice.matters():
                self._settled(target)
            elif notice.event not in NEVER_QUIET and target.is_quiet(now.time()):
                self._again(letter, now_s + QUIET_LOOK_S)
            else:
                due.append(letter)
        return due

    def settle(self, letter: Letter, taken: bool, now_s: float) -> None:
        """A letter was sent, or was not: it is told again later, tried again later, or is done."""
        if taken:
            self.delivered += 1
            letter.failures = 0
            self._settled(letter.target)
            self._repeat(letter, now_s)
            return
        letter.failures += 1
        self.failing_since.setdefault(letter.target.name, letter.made_at)
        if now_s - letter.made_s > GIVE_UP_S:
            self.dropped += 1
            return
        self._again(letter, now_s + RETRY_S[min(letter.failures, len(RETRY_S)) - 1])

    def _repeat(self, letter: Letter, now_s: float) -> None:
        """Tell it again later, where the event is one that wants an answer."""
        if letter.notice.event not in REPEATED or letter.repeats >= MOST_REPEATS:
            return
        wait_s = REPEAT_S[min(letter.repeats, len(REPEAT_S) - 1)]
        letter.repeats += 1
        self._again(letter, now_s + wait_s)

    def _again(self, letter: Letter, due_s: float) -> None:
        letter.due_s = due_s
        self._put(letter)

    def _put(self, letter: Letter) -> None:
        heapq.heappush(self._waiting, letter)
        if len(self._waiting) > MOST_WAITING:
            # The oldest that is no trip and no alarm goes first.
            worst = min(
                self._waiting, key=lambda each: (each.notice.event in REPEATED, each.number)
            )
            self._waiting.remove(worst)
            heapq.heapify(self._waiting)
            self.dropped += 1

    def _settled(self, target: Target) -> None:
        if not any(each.target == target and each.failures for each in self._waiting):
            self.failing_since.pop(target.name, None)


def urgency(letter: Letter) -> str:
    """How loud a target should be, in the library's words; what nobody answers becomes louder."""
    if letter.notice.event in NEVER_QUIET or letter.repeats > 0:
        return "failure"
    return "warning" if letter.notice.event in REPEATED else "info"


def words(letter: Letter, now: datetime) -> tuple[str, str]:
    """Title and text; one that comes late says of when it is, one that is told again says so."""
    title, text = letter.notice.title, letter.notice.text
    if letter.repeats:
        title = f"{title} (not answered, told {letter.repeats + 1} times)"
    if (now - letter.made_at).total_seconds() > 60 and not letter.repeats:
        text = f"At {letter.made_at:%H:%M}: {text}"
    return title, text
