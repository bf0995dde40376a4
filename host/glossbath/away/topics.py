"""What the bridge says on a broker: topics and payloads, described for others in asyncapi.json.

    glossbath/COMPUTER                    retained, last will: whether this bridge is there
    glossbath/COMPUTER/RIG/state          retained: everything a look at the rig shows
    glossbath/COMPUTER/RIG/reading        each reading as it came
    glossbath/COMPUTER/RIG/event          each event as it came
    glossbath/COMPUTER/RIG/alarm/CODE     retained while the alarm stands

Every payload is a JSON object with `id` (a word for this run of the bridge, a dash, a number that
grows by one a message) and `at` (UTC). Delivery is at least once: whoever has seen an id drops it.
"""

from __future__ import annotations

import re
import secrets
import socket
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import msgspec

from glossbath.client.messages import Alarm, Event, Reading, Snapshot

from .rigs import FollowedRig
from .seen import seen

ROOT = "glossbath"
AT_LEAST_ONCE = 1
_NOT_IN_A_TOPIC = re.compile(r"[^A-Za-z0-9_.-]")


@dataclass(frozen=True)
class Post:
    """One message for a broker."""

    topic: str
    payload: bytes
    retain: bool = False


def level(name: str) -> str:
    """A name as one level of a topic: letters, digits, dash, dot and underscore."""
    return _NOT_IN_A_TOPIC.sub("_", name)[:64] or "_"


def computer_name() -> str:
    """What this computer is called on the broker, unless told otherwise."""
    return level(socket.gethostname())


class Composer:
    """Makes posts of what the rigs of one computer say. now is UTC."""

    def __init__(self, computer: str) -> None:
        self.computer = level(computer)
        self._run = secrets.token_hex(4)
        self._number = 0
        self._states: dict[str, dict[str, Any]] = {}

    @property
    def own_topic(self) -> str:
        """Where this bridge says whether it is there."""
        return f"{ROOT}/{self.computer}"

    def presence(self, online: bool, now: datetime) -> Post:
        """Birth, last will or farewell."""
        return self._post(self.own_topic, {"online": online}, now, retain=True)

    def posts(self, rigs: list[FollowedRig], now_s: float, now: datetime) -> Iterator[Post]:
        """Everything new since the last call. A rig that has gone is taken off the broker."""
        for rig in rigs:
            if rig.view.snapshot is None:
                continue  # whether it is virtual is not known yet
            for message in rig.news:
                yield from self._message(rig, message, now)
            yield from self._state(rig, now_s, now)
        for name in set(self._states) - {rig.name for rig in rigs}:
            del self._states[name]
            yield Post(f"{self._base(name)}/state", b"", retain=True)

    def _message(self, rig: FollowedRig, message: object, now: datetime) -> Iterator[Post]:
        base = self._base(rig.name)
        virtual = {"virtual": rig.view.virtual}
        if isinstance(message, Reading):
            values = {**msgspec.to_builtins(message), **virtual}
            yield self._post(f"{base}/reading", values, now)
        elif isinstance(message, Event):
            yield self._post(f"{base}/event", {**msgspec.to_builtins(message), **virtual}, now)
        elif isinstance(message, Alarm):
            yield from self._alarm(base, message, virtual, now)
        elif isinstance(message, Snapshot):
            for alarm in message.alarms:
                yield from self._alarm(base, alarm, virtual, now)

    def _alarm(
        self, base: str, alarm: Alarm, virtual: dict[str, bool], now: datetime
    ) -> Iterator[Post]:
        topic = f"{base}/alarm/{level(alarm.code)}"
        values = {**msgspec.to_builtins(alarm), **virtual}
        yield self._post(topic, values, now, retain=alarm.state != "cleared")
        if alarm.state == "cleared":
            yield Post(topic, b"", retain=True)

    def _state(self, rig: FollowedRig, now_s: float, now: datetime) -> Iterator[Post]:
        """The state, when anything but its figures has changed; figures come with readings."""
        state = seen(rig, now_s)
        figures = ("age_s", "time_s", "room_c", "room_rh_percent", "sentence")
        left = ("phase_left", "phase_range_s", "cycle_range_s")
        shares = ("heat_share", "chill_share", "stir_share", "chocolate_c", "bath_c", "position")
        kept = {k: v for k, v in state.items() if k not in figures + left + shares}
        if kept != self._states.get(rig.name):
            self._states[rig.name] = kept
            yield self._post(f"{self._base(rig.name)}/state", state, now, retain=True)

    def _base(self, rig: str) -> str:
        return f"{self.own_topic}/{level(rig)}"

    def _post(
        self, topic: str, values: dict[str, Any], now: datetime, retain: bool = False
    ) -> Post:
        self._number += 1
        at = now.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
        head = {"id": f"{self._run}-{self._number}", "at": at, "computer": self.computer}
        return Post(topic, msgspec.json.encode({**head, **values}), retain)
