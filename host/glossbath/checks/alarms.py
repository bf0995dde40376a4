"""Alarms and their states after IEC 62682.

    state         the condition   a person      how it goes on
    raised        is there        has not seen  acknowledge -> acknowledged, gone -> returned
    acknowledged  is there        has seen      gone -> cleared
    returned      has gone        has not seen  acknowledge -> cleared, comes back -> raised
    latched       was there       has not seen  acknowledge -> acknowledged, clear -> cleared
    cleared       has gone        -             no longer stands

A latched alarm, which is what a trip raises, never leaves by itself: seen or not, it stands until
a person clears it.
"""

from __future__ import annotations

from typing import Protocol

import msgspec

from glossbath.client.messages import Alarm

ORDER = {"high": 0, "medium": 1, "low": 2}


class Annunciator(Protocol):
    """Where alarms in words go: (what happened, what the rig did, what to do now)."""

    def call(self, code: str, priority: str, words: tuple[str, str, str]) -> None:
        """Raise an alarm that stands until it is over."""

    def over(self, code: str) -> None:
        """The reason for an alarm has gone."""


class Alarms:
    """The alarms that stand. Each call gives the alarm if it changed, so that it can be told."""

    def __init__(self) -> None:
        self._standing: dict[str, Alarm] = {}
        self._latched: set[str] = set()

    def standing(self) -> list[Alarm]:
        """What needs attention, most urgent first, then oldest first."""
        return sorted(
            self._standing.values(), key=lambda alarm: (ORDER[alarm.priority], alarm.since)
        )

    def latched(self) -> list[Alarm]:
        """The alarms that only a person can clear, seen or not."""
        return [alarm for alarm in self.standing() if alarm.code in self._latched]

    def raise_(
        self, code: str, priority: str, since: str, words: tuple[str, str, str], latched: bool
    ) -> Alarm | None:
        """Raise an alarm; None if it stands already. A latched one replaces one that is not."""
        known = self._standing.get(code)
        stronger = latched and code not in self._latched
        if known is not None and known.state != "returned" and not stronger:
            return None
        happened, rig_did, do_now = words
        state = "latched" if latched else "raised"
        alarm = Alarm(code, priority, state, since, happened, rig_did, do_now, latched)
        self._standing[code] = alarm
        if latched:
            self._latched.add(code)
        return alarm

    def acknowledge(self, code: str = "") -> list[Alarm]:
        """A person has seen it; '' means all. A returned alarm that is acknowledged is cleared."""
        changed = []
        for alarm in list(self._standing.values()):
            if code in ("", alarm.code) and alarm.state != "acknowledged":
                after = "cleared" if alarm.state == "returned" else "acknowledged"
                changed.append(self._move(alarm, after))
        return changed

    def return_(self, code: str) -> Alarm | None:
        """The condition has gone; None if that changes nothing, as with a latched alarm."""
        alarm = self._standing.get(code)
        if alarm is None or code in self._latched or alarm.state == "returned":
            return None
        return self._move(alarm, "returned" if alarm.state == "raised" else "cleared")

    def clear(self, code: str) -> Alarm | None:
        """A person has cleared the cause; None if no such alarm stands."""
        alarm = self._standing.get(code)
        return None if alarm is None else self._move(alarm, "cleared")

    def _move(self, alarm: Alarm, state: str) -> Alarm:
        moved = msgspec.structs.replace(alarm, state=state)
        if state == "cleared":
            del self._standing[alarm.code]
            self._latched.discard(alarm.code)
        else:
            self._standing[alarm.code] = moved
        return moved
