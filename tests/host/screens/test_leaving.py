"""Leaving the app, and losing the keeper."""

from __future__ import annotations

import pytest

from glossbath.client.client import KeeperClient
from glossbath.tui.app import GlossbathApp
from glossbath.tui.dialogs import Choice
from glossbath.tui.main_screen import MainScreen

from .fake_keeper import FakeKeeper, reading, snapshot
from .hand import SMALL, Clock, Hand, Open


async def test_quitting_asks_and_staying_changes_nothing(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await hand.sees("Target")
        for stay in ("escape", "enter"):
            await hand.press("q")
            assert isinstance(hand.app.screen, Choice)
            await hand.press(stay)
            assert isinstance(hand.app.screen, MainScreen)
        assert keeper.requests.empty()
        assert hand.app.is_running


@pytest.mark.parametrize("key", ["q", "Q", "ctrl+q"])
async def test_leaving_does_not_stop(opened: Open, keeper: FakeKeeper, key: str) -> None:
    async with opened() as hand:
        await hand.sees("Target")
        await hand.press(key)
        await hand.sees("the cycle goes on without this screen")
        await hand.press("l")
    assert hand.app.return_value == "left"
    assert keeper.requests.empty()


@pytest.mark.parametrize(("own", "ends"), [("left", True), ("right", False), ("", False)])
async def test_leaving_says_which_rig_ends_with_the_program(
    keeper: FakeKeeper, own: str, ends: bool
) -> None:
    keeper.greeting = [snapshot(rig="left"), reading()]
    app = GlossbathApp(lambda: KeeperClient(keeper.path), clock=Clock(), own_rig=own)
    async with app.run_test(size=SMALL) as pilot:
        hand = Hand(app, pilot, Clock())
        await hand.sees("Target")
        await hand.press("q")
        await hand.sees("Leave; the virtual rig ends" if ends else "Leave; the cycle goes on")


@pytest.mark.parametrize("pages", ["de", "dx", "xed"])
async def test_one_page_after_another_is_left_with_one_key(opened: Open, pages: str) -> None:
    async with opened() as hand:
        await hand.sees("Target")
        for page in pages:
            await hand.press(page)
            assert not isinstance(hand.app.screen, MainScreen)
        await hand.press("escape")
        assert isinstance(hand.app.screen, MainScreen)


async def test_stop_and_quit_waits_for_the_stop(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await hand.sees("Target")
        await hand.press("q", "x")
        assert keeper.asked().op == "stop"
        await hand.until(lambda: hand.app.return_value == "stopped")


async def test_a_refused_stop_does_not_quit(opened: Open, keeper: FakeKeeper) -> None:
    keeper.refusal = "The board does not answer."
    async with opened() as hand:
        await hand.sees("Target")
        await hand.press("q", "x")
        await hand.sees("Use the stop button at the rig. STOP REFUSED: The board does not answer.")
        assert hand.app.return_value is None


async def test_nothing_to_ask_when_no_cycle_is_under_way(opened: Open) -> None:
    async with opened(snapshot(state="complete", result="complete"), reading()) as hand:
        await hand.press("q")
    assert hand.app.return_value == "ended"


async def test_a_lost_keeper_is_said_and_the_screen_stays(
    opened: Open, keeper: FakeKeeper
) -> None:
    async with opened() as hand:
        await hand.sees("Target")
        keeper.hang_up()
        await hand.sees("KEEPER GONE")
        await hand.sees("This screen sees nothing any more.")
        await hand.sees("LAST KNOWN")
        await hand.sees("was RUNNING")
        assert hand.app.is_running
        await hand.press("s")
        await hand.sees("Use the stop button at the rig.")
        await hand.press("q")
    assert hand.app.return_value == "lost"


async def test_reconnecting(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await hand.sees("Target")
        keeper.hang_up()
        await hand.sees("r Reconnect")
        await hand.press("r")
        await hand.sees("RUNNING  0:42:10  link good")
        await hand.until(lambda: "KEEPER GONE" not in hand.screen())


async def test_no_keeper_at_the_start_is_said(keeper: FakeKeeper) -> None:
    app = GlossbathApp(lambda: KeeperClient(keeper.path.with_name("none")), clock=Clock())
    async with app.run_test(size=SMALL) as pilot:
        hand = Hand(app, pilot, Clock())
        await hand.sees("No keeper is running at")
        await hand.press("s")
        await hand.sees("Use the stop button at the rig.")


async def test_readings_that_stop_coming_are_called_old(opened: Open) -> None:
    async with opened() as hand:
        await hand.sees("Target")
        hand.clock.now_s += 12.0
        await hand.sees("OLD: 12 s ago")
