"""The desk on the screen: a form is filled in, answered, and put into the record."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest
from textual.pilot import Pilot

from glossbath.desk import QUESTIONS
from glossbath.tui.desk_app import DeskApp
from glossbath.tui.desk_screen import DeskScreen
from glossbath.tui.form_screen import FormScreen
from glossbath.tui.main_screen import MainScreen

from .fake_keeper import FakeKeeper, reading, snapshot
from .hand import SMALL, Hand, Open


async def choose(pilot: Pilot[object], name: str) -> None:
    """Open an item of the list with the keys."""
    place = next(place for place, item in enumerate(QUESTIONS) if item.name == name)
    await pilot.press("home", *["down"] * place, "enter")
    await pilot.pause()


def shown(app: DeskApp) -> str:
    """What stands on the terminal now."""
    rows = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in row) for row in rows)


async def answered(pilot: Pilot[object], *keys: str) -> str:
    """Press keys, wait for the answer, read the screen in one line."""
    await pilot.press(*keys)
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    return " ".join(shown(pilot.app).split())  # type: ignore[arg-type]


@pytest.fixture
async def alone() -> AsyncIterator[Pilot[object]]:
    """The desk without a rig, on a small terminal."""
    async with DeskApp().run_test(size=SMALL) as pilot:
        await pilot.pause()
        yield pilot


async def test_without_a_rig_readings_are_typed(alone: Pilot[object]) -> None:
    assert "no rig attached" in shown(alone.app)  # type: ignore[arg-type]
    await choose(alone, "seed")
    # By hand: 212 g into 2 kg at 33.5 °C.
    said = await answered(alone, "2", "down", *"33.5", "enter")
    assert "Stir in 212 g of tempered chocolate at 33.5 °C" in said
    assert "F8" not in said


async def test_limits_are_said_as_they_are_typed(alone: Pilot[object]) -> None:
    await choose(alone, "room")
    screen = shown(alone.app)  # type: ignore[arg-type]
    assert "Air of the room, °C" in screen
    assert "0 to 50 °C" in screen
    await alone.press(*"2")
    await alone.pause()
    assert "must be" not in shown(alone.app)  # type: ignore[arg-type]
    await alone.press(*"00")
    await alone.pause()
    said = " ".join(shown(alone.app).split())  # type: ignore[arg-type]
    assert "must be between 0 and 50 °C, not 200 °C" in said


async def test_an_answer_waits_for_the_field_that_is_missing(alone: Pilot[object]) -> None:
    await choose(alone, "room")
    said = await answered(alone, *"21", "enter")
    assert "Type the humidity: 1 to 100 %." in said
    focused = alone.app.focused
    assert focused is not None
    assert focused.id == "field-rh_share"
    said = await answered(alone, *"45", "enter")
    assert "The room suits chocolate work." in said


async def test_nothing_typed_is_lost_on_the_way_back(alone: Pilot[object]) -> None:
    await choose(alone, "slab")
    await alone.press("7", "down", *"99")
    await alone.press("escape")
    assert isinstance(alone.app.screen, DeskScreen)
    await alone.press("enter")
    await alone.pause()
    screen = " ".join(shown(alone.app).split())  # type: ignore[arg-type]
    assert "Chocolate, kg 7" in screen
    assert "Chocolate now, °C 99" in screen
    assert "not 99 °C" in screen


async def test_signs_are_marked_and_the_mark_needs_no_colour(alone: Pilot[object]) -> None:
    await choose(alone, "bloom")
    said = await answered(alone, "enter", "down", "down", "down", "down", "space", "f2")
    assert "[x] the surface is dull" in said
    assert "[ ] there are streaks" in said
    assert "1. It was not in temper when it was poured" in said


async def test_a_sign_is_drawn_while_it_is_looked_at(alone: Pilot[object]) -> None:
    await choose(alone, "bloom")
    await alone.press("down", "down")
    await alone.pause()
    screen = shown(alone.app)  # type: ignore[arg-type]
    assert "[ ] there are white spots or blotches" in screen
    assert "|  o  .O   o |" in screen


async def test_items_open_all_down_the_list(alone: Pilot[object]) -> None:
    for item in QUESTIONS[::5]:
        await alone.press("enter")
        await alone.pause()
        assert isinstance(alone.app.screen, FormScreen)
        assert item.title in shown(alone.app)  # type: ignore[arg-type]
        await alone.press("escape", *["down"] * 5)


# --- with a rig


async def desk(hand: Hand, name: str) -> None:
    """Open an item from the main screen."""
    await hand.sees("Target")
    await hand.press("k")
    await choose(hand.pilot, name)


async def test_live_readings_stand_in_the_fields(opened: Open) -> None:
    async with opened(snapshot(batch_kg=2.0), reading(chocolate_c=33.5)) as hand:
        await desk(hand, "seed")
        assert "VIRTUAL RIG" in hand.screen()
        assert "from the rig" in hand.screen()
        await hand.press("enter")
        # By hand, to the middle of the recipe's own window: 2 x 1590 x 3 J over
        # 1590 x 9 + 0.36 x 157 000 / 2 J/kg is 224 g.
        await hand.sees("Stir in 224 g of tempered chocolate at 33.5")


async def test_readings_are_taken_again_on_demand(opened: Open, keeper: FakeKeeper) -> None:
    async with opened(snapshot(), reading(chocolate_c=33.5)) as hand:
        await desk(hand, "hold")
        await hand.press(*"11")
        await hand.until(lambda: hand.app.focused.value == "11")  # type: ignore[union-attr]
        keeper.say(reading(2600.0, chocolate_c=30.9))
        await hand.until(lambda: hand.app.view.reading.time_s == 2600.0)  # type: ignore[union-attr]
        assert hand.app.focused.value == "11"  # type: ignore[union-attr]
        await hand.press("f5")
        assert hand.app.focused.value == "30.9"  # type: ignore[union-attr]


async def test_a_judged_dip_test_goes_into_the_record(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await desk(hand, "dip")
        await hand.press("4", "enter")
        await hand.sees("it is in temper")
        await hand.press("f8")
        asked = keeper.asked()
        assert asked.op == "test"
        assert asked.values["kind"] == "dip"
        assert asked.values["result"] == "in temper"
        assert asked.values["set_after_s"] == 240.0
        await hand.sees("test was done.")


async def test_stop_works_over_the_desk_and_while_typing(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await hand.sees("Target")
        await hand.press("k", "s")
        assert keeper.asked().op == "stop"
        assert isinstance(hand.app.screen, MainScreen)
        await desk(hand, "learn")
        await hand.press(*"sss")
        assert keeper.requests.empty()
        await hand.press("f9")
        assert keeper.asked().op == "stop"
        assert isinstance(hand.app.screen, MainScreen)


async def test_the_dip_test_runs_by_the_clock(opened: Open, keeper: FakeKeeper) -> None:
    async with opened(snapshot(speed=1.0), reading(room_c=21.0)) as hand:
        await hand.sees("Target")
        await hand.press("t")
        await hand.sees("Dip the tip of a clean, dry knife")
        await hand.sees("chocolate 31.4 °C in cool")
        await hand.sees("room 21.0 °C")
        await hand.sees("temper cannot be judged before the chocolate is worked")
        await hand.press("enter")
        await hand.sees("it should set within the next 5 min")
        hand.clock.now_s += 181.0
        await hand.sees("it should begin to set at its edges")
        # Leaving does not end it.
        await hand.press("escape")
        await hand.press("t")
        await hand.sees("it should begin to set at its edges")
        hand.clock.now_s += 60.0
        await hand.press("enter")
        await hand.sees("Does it show streaks?")
        hand.clock.now_s += 400.0
        await hand.press("n", "n")
        await hand.sees("it is in temper")
        asked = keeper.asked()
        assert asked.op == "test"
        assert asked.values == {
            "kind": "dip",
            "result": "in temper",
            "set_after_s": 241.0,
            "watched_s": 641.0,
            "streaks": False,
            "dull": False,
            "room_c": 21.0,
            "phase": "cool",
        }
        await hand.press("f5")
        await hand.sees("Dip the tip of a clean, dry knife")


async def test_a_virtual_rig_sets_its_chocolate_at_its_own_pace(opened: Open) -> None:
    async with opened(snapshot(speed=60.0), reading(room_c=21.0)) as hand:
        await hand.sees("Target")
        await hand.press("t")
        await hand.sees("Dip the tip of a clean, dry knife")
        await hand.press("enter")
        hand.clock.now_s += 4.0
        await hand.sees("it should begin to set at its edges")
        await hand.press("enter")
        await hand.sees("It had set 4.0 min after the dip.")


async def test_every_key_of_the_dip_test_fits_on_a_small_screen(opened: Open) -> None:
    async with opened() as hand:
        await hand.sees("Target")
        await hand.press("t")
        for words in ("enter Dipped, set", "F5 Another test", "esc Back", "q Quit"):
            await hand.sees(words)
