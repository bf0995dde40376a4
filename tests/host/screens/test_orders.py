"""Keys that give orders, above all STOP."""

from __future__ import annotations

import msgspec
import pytest
from textual.widgets import Input

from glossbath.tui.main_screen import MainScreen

from .fake_keeper import TRIP, WARM_ROOM, FakeKeeper, reading, snapshot
from .hand import Open


@pytest.mark.parametrize("key", ["s", "S", "f9"])
async def test_stop_is_sent_at_once(opened: Open, keeper: FakeKeeper, key: str) -> None:
    async with opened() as hand:
        await hand.press(key)
        assert keeper.asked().op == "stop"
        await hand.sees("stop was done.")


@pytest.mark.parametrize("before", ["d", "e", "q", "p"])
async def test_stop_works_over_every_screen_and_question(
    opened: Open, keeper: FakeKeeper, before: str
) -> None:
    async with opened() as hand:
        await hand.sees("Target")
        await hand.press(before)
        assert not isinstance(hand.app.screen, MainScreen)
        await hand.press("s")
        assert keeper.asked().op == "stop"
        assert isinstance(hand.app.screen, MainScreen)


async def test_stop_works_while_a_note_is_typed(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await hand.press("n")
        await hand.sees("While you type, STOP is F9")
        await hand.press(*"seeds")
        assert hand.app.screen.query_one(Input).value == "seeds"
        assert keeper.requests.empty()
        await hand.press("f9")
        assert keeper.asked().op == "stop"
        assert isinstance(hand.app.screen, MainScreen)


async def test_a_stop_nobody_answers_sends_the_person_to_the_rig(
    opened: Open, keeper: FakeKeeper
) -> None:
    keeper.answers = False
    async with opened() as hand:
        await hand.press("s")
        await hand.sees("stop sent")
        hand.clock.now_s += 3.0
        await hand.sees("Use the stop button at the rig. STOP was sent, but no answer came.")


async def test_stop_is_offered_even_when_another_screen_steers(
    opened: Open, keeper: FakeKeeper
) -> None:
    async with opened(snapshot(steering=False), reading()) as hand:
        await hand.sees("s STOP")
        await hand.press("s")
        assert keeper.asked().op == "stop"


async def test_hold_and_resume(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await hand.sees("h Hold")
        await hand.press("h")
        assert keeper.asked().op == "hold"
        keeper.say(snapshot(state="held"), reading(state="held"))
        await hand.sees("h Resume")
        await hand.press("H")
        assert keeper.asked().op == "resume"


async def test_done_is_said_only_while_something_is_asked_for(
    opened: Open, keeper: FakeKeeper
) -> None:
    async with opened() as hand:
        await hand.sees("h Hold")
        assert "f Done" not in hand.screen()
        await hand.press("f")
        assert keeper.requests.empty()
        keeper.say(snapshot(state="held", request="Add 60 g of seed now."), reading(state="held"))
        await hand.sees("f Done")
        await hand.press("f")
        assert keeper.asked().op == "done"


async def test_acknowledge_names_the_alarm(opened: Open, keeper: FakeKeeper) -> None:
    async with opened(snapshot(alarms=[WARM_ROOM]), reading()) as hand:
        await hand.sees("a Ack")
        await hand.press("a")
        asked = keeper.asked()
        assert (asked.op, asked.values) == ("acknowledge", {"code": "room-warm"})
        keeper.say(msgspec.structs.replace(WARM_ROOM, state="acknowledged"))
        await hand.sees("LOW acknowledged")
        await hand.until(lambda: "a Ack" not in hand.screen())


async def test_next_phase_asks_first(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await hand.sees("p Next phase")
        await hand.press("p")
        await hand.sees("Go on to reheat now?")
        await hand.press("enter")
        assert keeper.requests.empty()
        await hand.press("p", "y")
        assert keeper.asked().op == "step"


async def test_clear_asks_whether_the_cause_has_gone(opened: Open, keeper: FakeKeeper) -> None:
    async with opened(snapshot(state="tripped", alarms=[TRIP]), reading(state="tripped")) as hand:
        await hand.sees("c Clear trip")
        await hand.press("c")
        await hand.sees("The bath went above 60.0 °C. Has the cause gone?")
        await hand.press("y")
        asked = keeper.asked()
        assert (asked.op, asked.values) == ("clear", {"code": "bath-hot"})


async def test_a_note_is_written_once_it_has_words(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await hand.press("n", *"  ", "enter")
        assert keeper.requests.empty()
        await hand.press("n", *"added 10 g", "enter")
        asked = keeper.asked()
        assert (asked.op, asked.values) == ("note", {"text": "added 10 g"})
        await hand.press("n", "x", "escape")
        assert isinstance(hand.app.screen, MainScreen)
        assert keeper.requests.empty()


async def test_ice_is_told_in_kilograms_with_a_point_or_a_comma(
    opened: Open, keeper: FakeKeeper
) -> None:
    async with opened() as hand:
        await hand.press("i", *"1,5", "enter")
        asked = keeper.asked()
        assert (asked.op, asked.values) == ("ice", {"kg": 1.5})
        await hand.press("i", *"two", "enter")
        await hand.sees("'two' is not a number of kg: press i again.")
        await hand.press("i", "enter")
        await hand.press("i", *"2", "escape")
        assert isinstance(hand.app.screen, MainScreen)
        assert keeper.requests.empty()


async def test_a_looker_on_may_take_steering(opened: Open, keeper: FakeKeeper) -> None:
    async with opened(snapshot(steering=False), reading()) as hand:
        await hand.sees("v Steer")
        await hand.until(lambda: "h Hold" not in hand.screen())
        await hand.press("h")
        assert keeper.requests.empty()
        await hand.press("v")
        assert keeper.asked().op == "steer"
        keeper.say(snapshot(steering=True))
        await hand.sees("h Hold")


async def test_a_refusal_is_shown(opened: Open, keeper: FakeKeeper) -> None:
    keeper.refusal = "Another screen steers."
    async with opened() as hand:
        await hand.sees("h Hold")
        await hand.press("h")
        await hand.sees("HOLD REFUSED: Another screen steers.")


async def test_what_came_of_an_order_goes_after_a_while(opened: Open) -> None:
    async with opened() as hand:
        await hand.sees("h Hold")
        await hand.press("h")
        await hand.sees("hold was done.")
        hand.clock.now_s += 20.0
        await hand.until(lambda: "hold was done" not in hand.screen())


async def test_alarms_are_acknowledged_one_by_one(opened: Open, keeper: FakeKeeper) -> None:
    async with opened(snapshot(alarms=[WARM_ROOM, TRIP]), reading()) as hand:
        await hand.sees("Target")
        await hand.press("e")
        await hand.sees("Alarms: Enter acknowledges the marked one")
        await hand.press("down", "enter")
        asked = keeper.asked()
        assert (asked.op, asked.values) == ("acknowledge", {"code": "room-warm"})
        keeper.say(msgspec.structs.replace(WARM_ROOM, state="acknowledged"))
        await hand.sees("LOW acknowledged")
        await hand.press("up", "enter")
        assert keeper.asked().values == {"code": "bath-hot"}


async def test_what_the_person_must_do_stands_out(opened: Open, keeper: FakeKeeper) -> None:
    async with opened(snapshot(request="Press the arm button at the rig."), reading()) as hand:
        await hand.sees("Please: Press the arm button at the rig.")
        row = hand.app.screen._compositor.render_strips()[2]
        style = next(segment.style for segment in row if "Please" in segment.text)
        assert style is not None
        assert style.bgcolor is not None
        assert style.bgcolor.name == "#e0b030"
