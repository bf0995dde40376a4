"""What a screen shows, decided without a screen."""

from __future__ import annotations

import msgspec
import pytest

from glossbath.client.messages import Alarm, Message, Reply
from glossbath.view.rig_view import RigView
from glossbath.view.sentences import doing, ended, next_step, position

from .fake_keeper import TRIP, WARM_ROOM, event, reading, snapshot


def seen(*messages: Message, fahrenheit: bool = False, now_s: float = 0.0) -> RigView:
    view = RigView(fahrenheit)
    view.fold(messages, now_s)
    return view


@pytest.mark.parametrize(
    ("chocolate_c", "where", "words"),
    [
        (27.5, "below", "0.5 °C below the window"),
        (27.99, "below", "just below the window"),
        (28.0, "in", "in the window"),
        (29.0, "in", "in the window"),
        (29.01, "above", "just above the window"),
        (31.4, "above", "2.4 °C above the window"),
        (None, "", "no chocolate reading"),
    ],
)
def test_place_in_the_window(chocolate_c: float | None, where: str, words: str) -> None:
    view = seen(snapshot(), reading(chocolate_c=chocolate_c))
    assert view.position.where == where
    assert position(view) == words


def test_ladder_while_running() -> None:
    view = seen(snapshot(), reading())
    assert [(step.plan.name, step.mark) for step in view.ladder] == [
        ("melt", "done"),
        ("soak", "done"),
        ("cool", "now"),
        ("reheat", "next"),
        ("hold", "later"),
    ]


def test_ladder_before_and_after_a_cycle() -> None:
    idle = reading(phase="", phase_index=-1, state="idle")
    before = seen(snapshot(state="idle", history=[]), idle)
    assert [step.mark for step in before.ladder] == ["next", *["later"] * 4]
    complete = seen(snapshot(), reading(), snapshot(state="complete", result="complete"))
    assert {step.mark for step in complete.ladder} == {"done"}
    stopped = seen(snapshot(), reading(), snapshot(state="stopped", result="stopped"))
    assert [step.mark for step in stopped.ladder] == ["done", "done", "ended", "later", "later"]


def test_an_index_outside_the_recipe_is_no_phase() -> None:
    view = seen(snapshot(), reading(phase="rest", phase_index=9))
    assert view.plan is None
    assert position(view) == "no window yet"


def test_sentence_while_running() -> None:
    view = seen(snapshot(), reading())
    assert doing(view) == (
        "Cooling the chocolate to 28.5 °C; 2.4 °C above the window; about 8 min left."
    )
    assert next_step(view) == "Next: reheat, to 30.5 °C, after 5 min inside the window."


def test_the_sentence_has_the_time_left_from_low_to_high_or_why_it_has_none() -> None:
    view = seen(snapshot(), reading(phase_range_s=(360.0, 720.0)))
    assert doing(view).endswith("above the window; 6 to 12 min left.")
    blank = {"phase_left_s": None, "cycle_left_s": None, "left_unknown": "a probe fails"}
    assert doing(seen(snapshot(), reading(**blank))).endswith(
        "above the window. The time left is not known: a probe fails."
    )


def test_the_sentence_is_in_the_unit_that_was_chosen() -> None:
    told = doing(seen(snapshot(), reading(), fahrenheit=True))
    assert told.startswith("Cooling the chocolate to 83.3 °F")


def test_a_request_of_the_keeper_is_what_comes_next() -> None:
    view = seen(snapshot(request="Press the arm button at the rig."), reading())
    assert next_step(view) == "Please: Press the arm button at the rig."


def test_a_trip_is_told_in_words() -> None:
    view = seen(snapshot(state="tripped", alarms=[WARM_ROOM, TRIP]), reading(state="tripped"))
    assert doing(view) == (
        "TRIPPED: The bath went above 60.0 °C. Heat was taken away and the master relay dropped."
    )
    assert next_step(view).startswith("Please: Lift the bowl out")


def test_a_trip_without_its_alarm_is_still_told() -> None:
    view = seen(snapshot(state="tripped"), reading(state="tripped"))
    assert doing(view).startswith("TRIPPED: the board took the heat away")
    assert next_step(view) == "Please: look at the rig."


def test_a_silent_board_is_told() -> None:
    dark = msgspec.structs.replace(snapshot().health, connected=False)
    assert doing(seen(snapshot(health=dark), reading())).startswith("The board does not answer")


def test_a_lost_keeper_goes_before_everything() -> None:
    view = seen(snapshot(state="tripped", alarms=[TRIP]), reading())
    view.lost = "The keeper at /run/k has ended or hung up."
    assert doing(view).startswith(
        "This screen sees nothing any more. To stop the rig use its stop"
    )
    assert doing(view).endswith(view.lost)


def alarm(code: str, priority: str, state: str, since: str = WARM_ROOM.since) -> Alarm:
    return msgspec.structs.replace(
        WARM_ROOM, code=code, priority=priority, state=state, since=since
    )


def test_alarms_by_priority_then_by_what_asks_for_a_hand_then_newest() -> None:
    view = seen(
        snapshot(),
        alarm("low", "low", "raised"),
        alarm("seen", "high", "acknowledged"),
        alarm("old", "high", "raised", "2025-03-01T09:01:00Z"),
        alarm("new", "high", "raised", "2025-03-01T09:02:00Z"),
        alarm("mid", "medium", "returned"),
        alarm("odd", "urgent", "raised", "2025-03-01T09:03:00Z"),
    )
    assert [a.code for a in view.alarms] == ["odd", "new", "old", "seen", "mid", "low"]
    assert view.to_acknowledge == view.alarms[0]


def test_a_cleared_alarm_goes_and_a_snapshot_replaces_them_all() -> None:
    view = seen(snapshot(alarms=[TRIP]), alarm("a", "low", "raised"))
    view.fold([msgspec.structs.replace(TRIP, state="cleared")], 0.0)
    assert [a.code for a in view.alarms] == ["a"]
    view.fold([snapshot(alarms=[])], 0.0)
    assert view.alarms == []


def test_what_calls_for_a_sound() -> None:
    view = seen(snapshot(), reading(), alarm("a", "low", "raised"), event("note", "tasted"))
    assert view.calls == 0
    view.fold([alarm("b", "high", "raised")], 0.0)
    assert view.calls == 1
    view.fold([alarm("b", "high", "acknowledged"), alarm("b", "high", "latched")], 0.0)
    assert view.calls == 2
    view.fold([event("trip", TRIP.happened, code=TRIP.code), TRIP], 0.0)
    assert view.calls == 3


def test_old_readings_are_known_to_be_old() -> None:
    view = seen(snapshot(), reading(), now_s=100.0)
    assert view.silent_s(104.0) is None
    assert view.silent_s(112.0) == 12.0
    assert RigView().silent_s(1e9) is None


def test_history_is_taken_once_a_cycle() -> None:
    view = seen(snapshot())
    count = len(view.trend.columns)
    assert count == len(snapshot().history)
    assert view.reading is not None
    view.fold([reading(2600.0), snapshot()], 0.0)
    assert len(view.trend.columns) == count + 1
    assert view.reading.time_s == 2600.0


def test_a_new_cycle_begins_a_new_trend() -> None:
    view = seen(snapshot(), reading(2530.0))
    view.fold([reading(0.5, phase="melt", phase_index=0)], 0.0)
    assert [column.time_s for column in view.trend.columns] == [0.0]
    view.fold([snapshot(folder="/cycles/next", history=[])], 0.0)
    assert view.trend.columns == []
    assert view.reading is None


def test_answers_wait_to_be_taken_out() -> None:
    view = seen(Reply(1, True, "a"), Reply(2, False, "b"))
    assert [reply.id for reply in view.answers] == [1, 2]


@pytest.mark.parametrize(
    ("state", "result", "active"),
    [
        ("running", "", True),
        ("held", "", True),
        ("waiting", "", True),
        ("unheard-of", "", True),
        ("idle", "", False),
        ("tripped", "", False),
        ("running", "stopped", False),
    ],
)
def test_when_a_cycle_is_under_way(state: str, result: str, active: bool) -> None:
    assert seen(snapshot(state=state, result=result)).active is active


def test_how_it_ended() -> None:
    assert ended(seen(snapshot(), reading())) == ""
    view = seen(snapshot(), reading(), snapshot(state="complete", result="complete"))
    assert ended(view) == (
        "The cycle is complete: heat is off. It took 0:42:10. Its record: /cycles/2025-03-01-0900"
    )


def test_nothing_heard_yet_is_no_crash() -> None:
    view = RigView()
    assert doing(view) == "Waiting for the keeper to say what the rig is doing."
    assert (next_step(view), view.ladder, view.alarms, view.active) == ("", [], [], False)
