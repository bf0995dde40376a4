"""Alarm states after IEC 62682: normal, raised, acknowledged, returned, latched (from memory)."""

from __future__ import annotations

import pytest

from glossbath.checks.alarms import Alarms

WORDS = ("It happened.", "The rig did this.", "Do that.")


def standing(alarms: Alarms) -> list[tuple[str, str]]:
    return [(alarm.code, alarm.state) for alarm in alarms.standing()]


def raised(latched: bool = False) -> Alarms:
    alarms = Alarms()
    assert alarms.raise_("a", "medium", "2026-01-01T00:00:00Z", WORDS, latched) is not None
    return alarms


def test_an_alarm_tells_what_happened_what_the_rig_did_and_what_to_do() -> None:
    alarm = raised().standing()[0]
    assert (alarm.happened, alarm.rig_did, alarm.do_now) == WORDS
    assert alarm.state == "raised"


def test_an_alarm_that_stands_is_not_told_again() -> None:
    alarms = raised()
    assert alarms.raise_("a", "medium", "later", WORDS, False) is None
    assert alarms.standing()[0].since == "2026-01-01T00:00:00Z"


# What a person and the rig do, and the state after each step; '' means that it stands no more.
COURSES = {
    "seen, then gone": [("acknowledge", "acknowledged"), ("return", "")],
    "gone, then seen": [("return", "returned"), ("acknowledge", "")],
    "gone and back": [("return", "returned"), ("raise", "raised")],
    "cleared unseen": [("clear", "")],
}
LATCHED = {
    "gone, still latched": [("return", "latched")],
    "seen, gone, still there": [("acknowledge", "acknowledged"), ("return", "acknowledged")],
    "seen, then cleared": [("acknowledge", "acknowledged"), ("clear", "")],
    "cleared unseen": [("clear", "")],
}


def _do(alarms: Alarms, what: str) -> None:
    if what == "acknowledge":
        alarms.acknowledge("a")
    elif what == "return":
        alarms.return_("a")
    elif what == "raise":
        alarms.raise_("a", "medium", "again", WORDS, False)
    else:
        alarms.clear("a")


@pytest.mark.parametrize("course", list(COURSES))
def test_course_of_an_alarm(course: str) -> None:
    alarms = raised()
    for what, state in COURSES[course]:
        _do(alarms, what)
        assert standing(alarms) == ([("a", state)] if state else [])


@pytest.mark.parametrize("course", list(LATCHED))
def test_course_of_a_latched_alarm(course: str) -> None:
    alarms = raised(latched=True)
    for what, state in LATCHED[course]:
        _do(alarms, what)
        assert standing(alarms) == ([("a", state)] if state else [])
        assert bool(alarms.latched()) == bool(state)


def test_a_caution_that_becomes_a_trip_is_told_again_and_latches() -> None:
    alarms = raised()
    alarms.acknowledge()
    alarm = alarms.raise_("a", "high", "later", WORDS, True)
    assert alarm is not None and alarm.state == "latched" and alarm.priority == "high"


def test_urgent_alarms_come_first_then_old_ones() -> None:
    alarms = Alarms()
    for code, priority, since in (
        ("new-low", "low", "2"),
        ("new-high", "high", "2"),
        ("old-high", "high", "1"),
        ("medium", "medium", "0"),
    ):
        alarms.raise_(code, priority, since, WORDS, False)
    codes = [alarm.code for alarm in alarms.standing()]
    assert codes == ["old-high", "new-high", "medium", "new-low"]


def test_acknowledging_all_leaves_nothing_unseen() -> None:
    alarms = raised()
    alarms.raise_("b", "high", "1", WORDS, True)
    assert len(alarms.acknowledge()) == 2
    assert {alarm.state for alarm in alarms.standing()} == {"acknowledged"}
    assert alarms.acknowledge() == []


def test_unknown_codes_change_nothing() -> None:
    alarms = Alarms()
    assert alarms.return_("x") is None
    assert alarms.clear("x") is None
    assert alarms.acknowledge("x") == []
