"""What follows from what the watch finds: alarms, trips in the record, and a call for a stop."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from glossbath import checks
from glossbath.board.clock import Clock, iso
from glossbath.board.state import code_word
from glossbath.checks import Figures, Finding, Line, Moment, Watch, trips
from glossbath.checks.alarms import Alarms
from glossbath.client.messages import Alarm
from glossbath.recipe import Recipe

OFF_DELAY_MS = 10_000  # IEC 62682 calls it off-delay: an alarm that flickers tells nobody anything

Tell = Callable[[str, str, str, dict[str, Any]], None]
OnTrip = Callable[[str, str], None]


class AlarmManager:
    """Watches one rig for the keeper.

    tell puts an event into the record, publish sends an alarm to the clients, on_trip(code,
    sentence) is called once for each trip.
    """

    def __init__(
        self, clock: Clock, tell: Tell, publish: Callable[[Alarm], None], on_trip: OnTrip
    ) -> None:
        self._clock = clock
        self._tell = tell
        self._publish = publish
        self._on_trip = on_trip
        self._present_ms: dict[str, int] = {}
        self.watch = Watch()
        self.alarms = Alarms()
        self.found = False
        """Whether the host itself has found a reason to trip since the cycle began."""

    def begin(
        self, recipe: Recipe, batch_kg: float, cycle: str, alone_min: int, figures: Figures
    ) -> None:
        """A cycle is being started; its hold may go on alone for alone_min."""
        self.found = False
        now_ms = self._clock.now_ms()
        self.watch.begin(recipe, batch_kg, cycle, now_ms, alone_min * 60_000, figures)

    def woke(self) -> bool:
        """Judge the time since the last call: to be called first in every step; True if the
        keeper was away for so long that the rig must stop."""
        now = Moment(
            self._clock.now_ms(), self._clock.boot_ms(), self._clock.system_ns() // 1_000_000
        )
        return self._tell_of(self.watch.absence(now))

    def look(self, line: Line) -> bool:
        """Judge this moment; True while there is a reason to stop the rig."""
        now_ms = self._clock.now_ms()
        stop = self._tell_of(self.watch.present(line, now_ms))
        self._settle(now_ms)
        return stop

    def _tell_of(self, findings: list[Finding]) -> bool:
        stop = False
        for finding in findings:
            if finding.trip:
                stop = self.found = True
                self.trip(finding.code, finding.detail)
            else:
                self.caution(finding.code, finding.detail)
        return stop

    def trip(self, code: str, detail: str) -> None:
        """Latch a trip, the host's or the board's; one that stands already changes nothing."""
        found = checks.meaning(code, detail)
        words = found[1:] if found is not None else trips.meaning(code, detail)
        alarm = self._raise(code, "high", words, True)
        if alarm is not None:
            self._tell("trip", code, alarm.happened, {"detail": detail} if detail else {})
            self._publish(alarm)
            self._on_trip(code, alarm.happened)

    def caution(self, code: str, detail: str) -> None:
        """Raise an alarm that returns by itself once this has not been called for a while."""
        self._present_ms[code] = self._clock.now_ms()
        found = checks.meaning(code, detail)
        if found is None:
            raise KeyError(code)
        alarm = self._raise(code, found.priority, found[1:], False)
        if alarm is not None:
            self._tell("alarm", code, alarm.happened, {"detail": detail} if detail else {})
            self._publish(alarm)

    def note(self, message: dict[str, Any]) -> None:
        """The board says something besides readings, states and trips; see its report.py."""
        kind, code, ms = message.get("e"), code_word(message.get("tr", "")), message.get("ms")
        if kind == "also":
            self._tell("board", code, f"Since the trip also: {trips.meaning(code)[0]}", {})
        elif kind == "ended":
            self._tell("board", code, trips.meaning(code)[0], {})
        elif kind == "alone" and isinstance(ms, int):
            text = f"The hold went on alone for {ms / 1000:.0f} s while the computer was away."
            self._tell("board", "alone", text, {})
        elif kind == "flash":
            self.caution("board-flash", "")

    def call(self, code: str, priority: str, words: tuple[str, str, str]) -> None:
        """Raise an alarm that stands until `over`; one that stands already changes nothing."""
        alarm = self._raise(code, priority, words, False)
        if alarm is not None:
            self._tell("alarm", code, alarm.happened, {})
            self._publish(alarm)

    def over(self, code: str) -> None:
        """The reason for an alarm of `call` has gone."""
        alarm = self.alarms.return_(code)
        if alarm is not None:
            self._publish(alarm)

    def acknowledge(self, code: str) -> None:
        """A person has seen an alarm, or all of them for ''."""
        for alarm in self.alarms.acknowledge(code):
            self._tell("alarm", alarm.code, f"Acknowledged: {alarm.happened}", {})
            self._publish(alarm)

    def clear(self) -> None:
        """A person has cleared the trips, and so has seen everything else that stands."""
        self.found = False
        for alarm in self.alarms.latched():
            cleared = self.alarms.clear(alarm.code)
            if cleared is not None:
                self._publish(cleared)
        self.acknowledge("")

    def _raise(
        self, code: str, priority: str, words: tuple[str, str, str], latched: bool
    ) -> Alarm | None:
        since = iso(self._clock.wall_ns())
        return self.alarms.raise_(code, priority, since, words, latched)

    def _settle(self, now_ms: int) -> None:
        for code, seen_ms in list(self._present_ms.items()):
            if now_ms - seen_ms >= OFF_DELAY_MS:
                del self._present_ms[code]
                alarm = self.alarms.return_(code)
                if alarm is not None:
                    self._tell("alarm", code, f"Over: {alarm.happened}", {})
                    self._publish(alarm)
