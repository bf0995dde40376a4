"""The palette has every action that makes sense now, with its key."""

from __future__ import annotations

from textual.command import CommandPalette

from glossbath.tui.details_screen import DetailsScreen
from glossbath.tui.main_screen import MainScreen

from .fake_keeper import FakeKeeper, reading, snapshot
from .hand import Hand, Open


async def to_palette(hand: Hand, words: str = "") -> None:
    await hand.sees("Target")
    await hand.press("ctrl+p")
    assert isinstance(hand.app.screen, CommandPalette)
    await hand.press(*words)


async def test_an_action_is_found_by_its_words_and_done(opened: Open) -> None:
    async with opened() as hand:
        await to_palette(hand, "details")
        await hand.sees("key d")
        await hand.press("enter", "enter")
        await hand.until(lambda: isinstance(hand.app.screen, DetailsScreen))


async def test_an_order_is_given_from_the_palette(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await to_palette(hand, "hold")
        await hand.sees("key h")
        await hand.press("enter", "enter")
        await hand.until(lambda: not keeper.requests.empty())
        assert keeper.asked().op == "hold"


async def test_every_key_that_is_shown_stands_in_it_and_nothing_else(opened: Open) -> None:
    async with opened(size=(140, 70)) as hand:
        await hand.sees("q Quit")
        shown = [row for row in hand.screen().splitlines() if "s STOP" in row or "q Quit" in row]
        words = [part.split(" ", 1)[1] for row in shown for part in row.strip().split("  ")]
        await to_palette(hand)
        await hand.until(lambda: "key q" in hand.screen())
        palette = hand.screen()
        for word in words:
            assert word in palette or word == "All actions"
        for theirs in ("Theme", "Screenshot", "Maximize"):
            assert theirs not in palette


async def test_what_cannot_be_done_is_not_offered(opened: Open) -> None:
    async with opened(snapshot(steering=False), reading()) as hand:
        await to_palette(hand, "hold")
        await hand.until(lambda: "No matches found" in hand.screen())


async def test_stop_works_over_the_palette(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await to_palette(hand, "ho")
        await hand.press("f9")
        assert keeper.asked().op == "stop"
        await hand.until(lambda: isinstance(hand.app.screen, MainScreen))
