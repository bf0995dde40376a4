"""Alarms and their states after IEC 62682: raised, acknowledged, returned, latched, cleared."""

from __future__ import annotations

import msgspec

from .state import Alarm

ORDER = {"high": 0, "medium": 1, "low": 2}


class Alarms:
    """The alarms that stand. Each call gives the alarm if it changed, so that it can be told."""

    def __init__(self) -> None:
        self._standing: dict[str, Alarm] = {}

    def standing(self) -> list[Alarm]:
        """What needs attention, most urgent first."""
        return sorted(
            self._standing.values(), key=lambda alarm: (ORDER[alarm.priority], alarm.since)
        )

    def unacknowledged(self) -> bool:
        """Whether an alarm waits for a person."""
        return any(alarm.state in ("raised", "latched") for alarm in self._standing.values())

    def raise_(
        self, code: str, priority: str, since: str, words: tuple[str, str, str], latched: bool
    ) -> Alarm | None:
        """Raise an alarm; None if it stands already."""
        known = self._standing.get(code)
        if known is not None and known.state != "returned":
            return None
        happened, rig_did, do_now = words
        state = "latched" if latched else "raised"
        alarm = Alarm(code, priority, state, since, happened, rig_did, do_now)
        self._standing[code] = alarm
        return alarm

    def acknowledge(self, code: str = "") -> list[Alarm]:
        """A person has seen it; '' means all. A returned alarm that is acknowledged is cleared."""
        changed = []
        for alarm in list(self._standing.values()):
            if code in ("", alarm.code) and alarm.state in ("raised", "latched", "returned"):
                after = "cleared" if alarm.state == "returned" else "acknowledged"
                changed.append(self._move(alarm, after))
        return changed

    def return_(self, code: str) -> Alarm | None:
        """The condition has gone: an unacknowledged alarm stays as returned, else it is cleared."""
        alarm = self._standing.get(code)
        if alarm is None or alarm.state in ("latched", "returned"):
            return None
        return self._move(alarm, "returned" if alarm.state == "raised" else "cleared")

    def clear(self, code: str) -> Alarm | None:
        """A person has cleared the cause."""
        alarm = self._standing.get(code)
        return None if alarm is None else self._move(alarm, "cleared")

    def _move(self, alarm: Alarm, state: str) -> Alarm:
        moved = msgspec.structs.replace(alarm, state=state)
        if state == "cleared":
            del self._standing[alarm.code]
        else:
            self._standing[alarm.code] = moved
        return moved
