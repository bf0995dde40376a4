"""What a person at the rig saw: alarms acknowledged, notes and tests for the record."""

from __future__ import annotations

from glossbath.chocolate import limits
from glossbath.client.messages import LONGEST_NOTE, Reply, Request
from glossbath.errors import GlossbathError
from glossbath.thermal.forecast import MOST_ICE_KG

from .alarm_manager import AlarmManager
from .batch import LiveBatch
from .event_log import EventLog
from .snapshots import SnapshotMaker
from .stops import Answer

_LEAST_ICE_KG = 0.01
NOTHING_NEW = "There is nothing to acknowledge: no alarm is new."


class Notes:
    """Handlers of such requests."""

    def __init__(
        self, event_log: EventLog, alarms: AlarmManager, snapshots: SnapshotMaker
    ) -> None:
        self._event_log = event_log
        self._alarms = alarms
        self._snapshots = snapshots

    def acknowledge(self, request: Request, answer: Answer) -> None:
        """A person has seen an alarm, or all."""
        code = str(request.values.get("code", ""))
        if code and code not in [alarm.code for alarm in self._alarms.alarms.standing()]:
            raise GlossbathError(f"No alarm named {code[:40]!r} stands: see the alarms.")
        waiting = any(alarm.state != "acknowledged" for alarm in self._alarms.alarms.standing())
        self._alarms.acknowledge(code)
        answer(Reply(request.id, True, "Acknowledged." if waiting else NOTHING_NEW))

    def note(self, request: Request, answer: Answer) -> None:
        """Words for the record."""
        text = str(request.values.get("text", "")).strip()
        if not 0 < len(text) <= LONGEST_NOTE:
            raise GlossbathError(
                f"A note has 1 to {LONGEST_NOTE} characters: shorten it and send it again."
            )
        self._check_record("note")
        self._event_log.tell("note", "note", text)
        answer(Reply(request.id, True, "Noted."))

    def ice(self, request: Request, answer: Answer) -> None:
        """Ice that went into the chill water: for the record, and for the forecast."""
        asked = request.values.get("kg")
        if isinstance(asked, bool) or not isinstance(asked, (int, float)):
            raise GlossbathError(f"The ice is {str(asked)[:40]!r}: it must be a number of kg.")
        kg = limits.number("ice", asked, _LEAST_ICE_KG, MOST_ICE_KG, "kg")
        batch = self._check_record("ice")
        self._event_log.tell("note", "ice", f"{kg:g} kg of ice put in.", {"ice_kg": kg})
        if batch.forecast is not None:
            batch.forecast.add_ice(kg)
        answer(Reply(request.id, True, f"{kg:g} kg of ice: noted, and the forecast counts it."))

    def _check_record(self, what: str) -> LiveBatch:
        """The cycle whose record takes what is to be written; raises GlossbathError for none."""
        batch = self._event_log.running
        if batch is None:
            raise GlossbathError(
                f"No cycle runs, so there is no record to write this {what} into: keep it "
                "elsewhere, or send it while a cycle runs."
            )
        return batch

    def test(self, request: Request, answer: Answer) -> None:
        """A test, and what it said."""
        kind, result = str(request.values.get("kind", "")), str(request.values.get("result", ""))
        if not kind or not result:
            raise GlossbathError("A test needs a kind and a result.")
        batch = self._check_record("test")
        self._event_log.tell("test", kind, f"{kind}: {result}", dict(request.values))
        if kind == "dip":
            batch.dip_result = result
            self._snapshots.publish()
        answer(Reply(request.id, True, "The test is in the record."))
