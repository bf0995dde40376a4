"""What is worth telling a person who is not there, in the same words as the screen.

Decided from what a rig's keeper says, without a network and without a clock.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from glossbath.client.messages import Alarm
from glossbath.view.rig_view import UNACKNOWLEDGED, RigView
from glossbath.view.sentences import PLEASE, STATE_SENTENCES, doing, ended
from glossbath.words import duration, one_line

from .rigs import FollowedRig

EVENTS = {
    "trip": "the board or the computer took the heat away",
    "alarm": "an alarm of high priority",
    "gone": "the keeper has gone during a cycle",
    "ask": "the rig asks for a hand: arm, seed, a dip test",
    "ready": "the chocolate has reached its working window",
    "hold-ending": "the hold is about to end",
    "ended": "the cycle has ended",
}
"""What a target can be told of, by the name that a person types."""

NEVER_QUIET = ("trip", "gone")
REPEATED = ("trip", "alarm", "gone")
HOLD_ENDS_S = 600.0
"""How long before its end a hold is said to end: time to finish a mould and come back."""


@dataclass(frozen=True)
class Notice:
    """One thing to tell.

    key names the occurrence, so that it is told once. matters says, at any later moment, whether
    there is still a point in telling it; answered whether a person has seen to it.
    """

    key: str
    event: str
    rig: str
    title: str
    text: str
    matters: Callable[[], bool] = field(default=lambda: True, compare=False)
    answered: Callable[[], bool] = field(default=lambda: True, compare=False)


class Notices:
    """Finds what is new at the rigs that are followed."""

    def __init__(self) -> None:
        self._seen: set[str] = set()
        self._met: set[str] = set()

    def new(self, rigs: list[FollowedRig]) -> list[Notice]:
        """What has come up since the last call, oldest rig name first.

        What a rig already was when it was first met is not news, but for what still asks for a
        person: an alarm, a trip, a request.
        """
        found = []
        for rig in rigs:
            if rig.view.snapshot is None and not rig.gone:
                continue
            first = rig.name not in self._met
            self._met.add(rig.name)
            for notice in _present(rig):
                if notice.key in self._seen:
                    continue
                self._seen.add(notice.key)
                if not (first and notice.event in ("ready", "ended", "hold-ending")):
                    found.append(notice)
        return found


def _present(rig: FollowedRig) -> Iterator[Notice]:
    """Everything about a rig, as it is now, that a person may be told."""
    if rig.lost_in_a_cycle:
        yield _gone(rig)
        return
    view = rig.view
    if view.snapshot is None:
        return
    yield from (_alarm(rig, alarm) for alarm in view.alarms if alarm.priority == "high")
    if view.snapshot.request:
        yield _ask(rig, view.snapshot.request)
    if view.active and view.reading is not None and view.reading.phase == "hold":
        if view.position.where == "in":
            yield _in_hold(rig, "ready", "Ready to work", doing(view))
        left_s = view.reading.phase_left_s
        if left_s is not None and left_s <= HOLD_ENDS_S:
            text = f"The hold ends in about {duration(left_s)}; then heat and stirrer go off."
            yield _in_hold(rig, "hold-ending", "The hold is about to end", text)
    if view.result and view.result != "tripped":
        yield _ended(rig)


def _occurrence(rig: FollowedRig, event: str, *more: str) -> str:
    snapshot = rig.view.snapshot
    return "|".join((rig.name, snapshot.folder if snapshot else "", event, *more))


def _title(rig: FollowedRig, words: str) -> str:
    """What it is, first of all whether any of it is real."""
    return f"{'VIRTUAL RIG ' if rig.view.virtual else ''}{rig.name}: {words}"


def _alarm(rig: FollowedRig, alarm: Alarm) -> Notice:
    tripped = alarm.state == "latched" or rig.view.tripped

    def now() -> Alarm | None:
        same = (a for a in rig.view.alarms if a.code == alarm.code and a.since == alarm.since)
        return next(same, None)

    def answered() -> bool:
        at_present = now()
        return at_present is None or at_present.state not in (*UNACKNOWLEDGED, "latched")

    event = "trip" if tripped else "alarm"
    words = (one_line(alarm.happened), one_line(alarm.rig_did), "Do now:", one_line(alarm.do_now))
    return Notice(
        _occurrence(rig, "alarm", alarm.code, alarm.since),
        event,
        rig.name,
        _title(rig, "TRIPPED" if tripped else "alarm"),
        " ".join(word for word in words if word),
        matters=lambda: tripped or now() is not None,
        answered=answered,
    )


def _gone(rig: FollowedRig) -> Notice:
    return Notice(
        _occurrence(rig, "gone", str(rig.gone_at_s)),
        "gone",
        rig.name,
        _title(rig, "the keeper has gone"),
        f"Nothing watches {rig.name} from here any more; the board goes on by its own limits. "
        f"{one_line(rig.gone)} Go and look at the rig.",
        answered=lambda: not rig.lost_in_a_cycle,
    )


def _ask(rig: FollowedRig, request: str) -> Notice:
    def same(view: RigView) -> bool:
        return view.snapshot is not None and view.snapshot.request == request

    return Notice(
        _occurrence(rig, "ask", request),
        "ask",
        rig.name,
        _title(rig, "your hand is asked for"),
        f"{PLEASE}{one_line(request)}",
        matters=lambda: same(rig.view),
    )


def _in_hold(rig: FollowedRig, event: str, title: str, text: str) -> Notice:
    key = _occurrence(rig, event)

    def still_holds() -> bool:
        reading = rig.view.reading
        return rig.view.active and reading is not None and reading.phase == "hold"

    return Notice(key, event, rig.name, _title(rig, title.lower()), text, matters=still_holds)


def _ended(rig: FollowedRig) -> Notice:
    result = rig.view.result
    text = STATE_SENTENCES.get(result, "") or ended(rig.view)
    return Notice(
        _occurrence(rig, "ended"), "ended", rig.name, _title(rig, f"cycle {result}"), text
    )
