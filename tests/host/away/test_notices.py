"""What is told, in which words, and when it is told again. Rigs and people are invented."""

from __future__ import annotations

import msgspec
import pytest

from glossbath.away.notice import Notice, Notices
from glossbath.away.rigs import FollowedRig
from glossbath.client.messages import Message

from ..screens.fake_keeper import PHASES, TRIP, WARM_ROOM, reading, snapshot


class Told:
    """One rig and what a person would have been told of it."""

    def __init__(self) -> None:
        self.rig = FollowedRig("kitchen")
        self.notices = Notices()
        self.say(snapshot(history=[], virtual=False), reading())

    def say(self, *messages: Message) -> list[Notice]:
        self.rig.view.fold(messages, 0.0)
        return self.notices.new([self.rig])


def hold(left_s: float, chocolate_c: float = 30.5) -> Message:
    return reading(
        5000.0, chocolate_c, phase="hold", phase_index=4, target_c=30.5, phase_left_s=left_s
    )


def test_a_trip_is_told_once_with_what_to_do():
    told = Told()
    (notice,) = told.say(TRIP)
    assert notice.event == "trip"
    assert notice.title == "kitchen: TRIPPED"
    for words in (TRIP.happened, TRIP.rig_did, TRIP.do_now):
        assert words in notice.text
    assert told.say(TRIP, reading()) == []


def test_a_virtual_rig_is_called_virtual_first():
    told = Told()
    told.say(snapshot(history=[], virtual=True))
    (notice,) = told.say(TRIP)
    assert notice.title.startswith("VIRTUAL RIG ")


def test_what_can_wait_for_a_look_at_the_screen_is_not_told():
    assert Told().say(WARM_ROOM) == []


def test_a_request_is_told_in_the_screens_words_and_loses_its_point_when_done():
    told = Told()
    asking = snapshot(history=[], virtual=False, request="Add 12 g of seed, then press d.")
    (notice,) = told.say(asking)
    assert notice.event == "ask"
    assert notice.text == "Please: Add 12 g of seed, then press d."
    assert notice.matters()
    told.say(snapshot(history=[], virtual=False))
    assert not notice.matters()


def test_ready_is_told_when_the_hold_is_inside_its_window_and_not_before():
    told = Told()
    assert told.say(hold(14_000.0, chocolate_c=29.0)) == []
    (notice,) = told.say(hold(13_900.0))
    assert notice.event == "ready"
    assert "30.5 °C" in notice.text
    assert told.say(hold(13_800.0, 30.6)) == []


def test_the_end_of_a_hold_is_told_ten_minutes_ahead():
    told = Told()
    told.say(hold(13_900.0))
    assert told.say(hold(601.0)) == []
    (notice,) = told.say(hold(600.0))
    assert notice.event == "hold-ending"
    assert "10 min" in notice.text


@pytest.mark.parametrize("result", ["complete", "stopped"])
def test_the_end_is_told(result):
    told = Told()
    (notice,) = told.say(snapshot(history=[], virtual=False, state=result, result=result))
    assert notice.event == "ended"
    assert result in notice.title


def test_a_cycle_that_had_ended_before_anybody_looked_is_no_news():
    rig = FollowedRig("kitchen")
    rig.view.fold([snapshot(history=[], state="complete", result="complete")], 0.0)
    assert Notices().new([rig]) == []


def test_a_keeper_that_goes_during_a_cycle_is_told_and_after_one_is_not():
    told = Told()
    told.rig.gone = told.rig.view.lost = "The keeper has hung up."
    (notice,) = told.notices.new([told.rig])
    assert notice.event == "gone"
    assert "Go and look at the rig" in notice.text

    told = Told()
    told.say(snapshot(history=[], state="complete", result="complete"))
    told.rig.gone = "The keeper has hung up."
    assert told.notices.new([told.rig]) == []


def test_an_alarm_is_answered_once_a_person_has_acknowledged_it():
    told = Told()
    (notice,) = told.say(msgspec.structs.replace(TRIP, state="raised"))
    assert not notice.answered()
    told.say(msgspec.structs.replace(TRIP, state="acknowledged"))
    assert notice.answered()


def test_phases_of_the_sample_are_those_of_the_words_above():
    assert [phase.name for phase in PHASES] == ["melt", "soak", "cool", "reheat", "hold"]
