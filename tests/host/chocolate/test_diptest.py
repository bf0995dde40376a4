"""A dip test against a clock that a test moves.

Five minutes to set, ten to show streaks: common practice, no source (McGee, On Food and Cooking,
"Testing for temper", says a few minutes).
"""

from __future__ import annotations

import pytest

from glossbath.chocolate.diptest import DipTest
from glossbath.errors import InputError


def dipped(room_c: float = 20.0, at_s: float = 1000.0) -> DipTest:
    test = DipTest(room_c)
    assert test.prompt.startswith("Dip the tip")
    assert test.take("", at_s) == ["Leave it: it should set within the next 5 min."]
    return test


def test_it_reminds_at_three_five_and_ten_minutes() -> None:
    test = dipped()
    assert test.next_s(1000.0) == 180.0
    assert test.due(1179.0) == []
    assert test.due(1180.0) == ["Look at it: it should begin to set at its edges."]
    assert test.due(1181.0) == []
    assert test.next_s(1200.0) == 100.0
    assert test.due(1300.0) == ["It should have set by now: look again for streaks in 5 min."]
    assert test.due(1600.0) == ["Look at it now: set, even and glossy, or dull and streaky?"]
    assert test.next_s(1700.0) is None


def test_reminders_that_were_slept_through_come_together() -> None:
    assert len(dipped().due(5000.0)) == 3


def test_once_it_has_set_only_the_look_for_streaks_is_left() -> None:
    test = dipped()
    assert test.take("", 1120.0) == ["It had set 2.0 min after the dip."]
    assert test.due(1599.0) == []
    assert test.due(1600.0) == ["Look at it now: set, even and glossy, or dull and streaky?"]


def test_a_good_test_is_in_temper_and_goes_into_the_record() -> None:
    test = dipped()
    test.take("", 1240.0)
    assert test.prompt.startswith("Does it show streaks?")
    test.take("n", 1600.0)
    assert test.prompt == "Is it dull? y or n."
    assert test.take("n", 1605.0) == ["It set clean in 4 min: it is in temper."]
    assert test.stage == "done"
    assert test.values() == {
        "kind": "dip",
        "result": "in temper",
        "set_after_s": 240.0,
        "watched_s": 605.0,
        "streaks": False,
        "dull": False,
        "room_c": 20.0,
    }


def test_what_does_not_set_is_out_of_temper() -> None:
    test = dipped()
    assert test.take("n", 1601.0) == ["It has not set."]
    test.take("no", 1602.0)
    assert "has not set in 10 min" in test.take("y", 1603.0)[0]
    assert test.values()["result"] == "out of temper"
    assert test.values()["set_after_s"] is None


def test_a_word_that_is_no_answer_is_asked_again() -> None:
    test = dipped()
    assert test.take("perhaps", 1100.0) == [test.prompt]
    assert test.stage == "watching"
    test.take("", 1200.0)
    assert test.take("", 1300.0) == [test.prompt]
    assert test.values() == {}


def test_a_hot_room_takes_the_certainty_away() -> None:
    test = dipped(room_c=30.0)
    test.take("", 1400.0)
    test.take("n", 1500.0)
    test.take("n", 1500.0)
    assert test.values()["result"] == "not sure"


def test_a_room_that_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="between 0 and 50"):
        DipTest(71.0)


def test_a_clock_that_goes_back_or_stands_still_breaks_nothing() -> None:
    test = dipped()
    test.take("", 900.0)
    test.take("n", 900.0)
    test.take("n", 900.0)
    assert test.values()["set_after_s"] == 1.0
