"""The start: every rig, the virtual one in one key, STOP for the marked rig."""

from __future__ import annotations

import contextlib
from collections.abc import AsyncIterator, Callable, Iterator
from pathlib import Path

import pytest

from glossbath.client.messages import Message
from glossbath.errors import LinkError
from glossbath.tui.app import GlossbathApp
from glossbath.tui.cycles_screen import CyclesScreen
from glossbath.tui.main_screen import MainScreen
from glossbath.tui.recipes_screen import RecipesScreen
from glossbath.tui.start_screen import StartScreen

from .fake_keeper import TRIP, FakeKeeper, reading, snapshot
from .hand import LARGE, SMALL, Clock, Hand

Rigs = Callable[..., FakeKeeper]


@pytest.fixture
def rigs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Rigs]:
    """Adds a keeper of a rig, where the start looks for it."""
    monkeypatch.setenv("GLOSSBATH_RUN", str(tmp_path))
    made: list[FakeKeeper] = []

    def add(rig: str, *messages: Message) -> FakeKeeper:
        greeting = messages or (snapshot(rig=rig), reading())
        made.append(FakeKeeper(tmp_path / f"{rig}.keeper", list(greeting)))
        return made[-1]

    yield add
    for fake in made:
        fake.close()


@contextlib.asynccontextmanager
async def started(
    size: tuple[int, int] = SMALL, **starters: Callable[[], str]
) -> AsyncIterator[Hand]:
    clock = Clock()
    app = GlossbathApp(clock=clock, starters=starters)
    async with app.run_test(size=size) as pilot:
        hand = Hand(app, pilot, clock)
        await hand.until(lambda: isinstance(app.screen, StartScreen))
        yield hand


async def looks(hand: Hand, words: str) -> None:
    """Wait until the start shows some words, looking around meanwhile."""

    def shown() -> bool:
        screen = hand.app.screen
        if isinstance(screen, StartScreen):
            screen.look_around()
        return words in hand.screen()

    await hand.until(shown)


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_every_rig_with_state_recipe_temperature_and_alarms(
    rigs: Rigs, size: tuple[int, int]
) -> None:
    rigs("left", snapshot(rig="left", alarms=[TRIP]), reading())
    rigs("right", snapshot(rig="right", virtual=False, state="idle", recipe="", history=[]))
    async with started(size) as hand:
        await looks(hand, "2 rigs answer")
        await looks(hand, "31.4 °C")
        left, right = (
            next(line for line in hand.screen().splitlines() if line.strip().startswith(rig))
            for rig in ("left", "right")
        )
        for words in ("VIRTUAL", "RUNNING", "Dark 60 %", "31.4 °C", "cool", "▲ 1 alarm"):
            assert words in left
        for words in ("real", "IDLE", "no alarms"):
            assert words in right


async def test_a_rig_opens_with_enter_and_the_overview_comes_back(rigs: Rigs) -> None:
    keeper = rigs("left")
    async with started() as hand:
        await looks(hand, "1 rig answers")
        await hand.press("enter")
        await hand.sees("Target 28.5 °C")
        assert isinstance(hand.app.screen, MainScreen)
        # Opening a rig asks to steer, unless somebody does.
        asked = keeper.asked()
        assert (asked.op, asked.values) == ("steer", {"only_if_free": True})
        await hand.press("o")
        await looks(hand, "1 rig answers")
        await hand.press("escape")
        assert isinstance(hand.app.screen, MainScreen)


async def test_without_a_rig_the_virtual_one_is_one_key_away(rigs: Rigs) -> None:
    def virtual() -> str:
        rigs("virtual-1")
        return "virtual-1"

    async with started(virtual=virtual) as hand:
        await looks(hand, "No rig answers on this computer")
        await hand.press("v")
        await hand.app.workers.wait_for_complete()
        await hand.sees("Target 28.5 °C")
        await hand.sees("VIRTUAL RIG")


async def test_the_marked_line_at_the_start_is_the_virtual_rig(rigs: Rigs) -> None:
    called: list[bool] = []

    def virtual() -> str:
        called.append(True)
        rigs("virtual-1")
        return "virtual-1"

    async with started(virtual=virtual) as hand:
        await looks(hand, "the real firmware on a virtual rig")
        await hand.press("enter")
        await hand.app.workers.wait_for_complete()
        await hand.sees("Target 28.5 °C")
    assert called == [True]


async def test_a_board_that_is_not_found_is_told_and_the_start_stays(rigs: Rigs) -> None:
    def board() -> str:
        raise LinkError("No board was found: plug it in, or name its port with --port.")

    async with started(board=board) as hand:
        await hand.press("f")
        await hand.app.workers.wait_for_complete()
        await hand.sees("No board was found: plug it in")
        assert isinstance(hand.app.screen, StartScreen)


async def test_what_cannot_be_brought_up_is_not_offered(rigs: Rigs) -> None:
    async with started() as hand:
        await looks(hand, "Recipes: look at them")
        assert "Virtual rig" not in hand.screen()
        assert "Find a board" not in hand.screen()


async def test_stop_goes_to_the_marked_rig(rigs: Rigs) -> None:
    left, right = rigs("left"), rigs("right")
    async with started() as hand:
        await looks(hand, "2 rigs answer")
        await hand.press("down", "s")
        assert right.asked().op == "stop"
        assert left.requests.empty()
        await hand.sees("stop was sent to right")


async def test_stop_from_a_page_without_a_rig_leads_back_to_the_rigs(rigs: Rigs) -> None:
    left = rigs("left")
    async with started() as hand:
        await looks(hand, "1 rig answers")
        await hand.press("l")
        assert isinstance(hand.app.screen, CyclesScreen)
        await hand.press("f9")
        assert isinstance(hand.app.screen, StartScreen)
        assert left.asked().op == "stop"


async def test_stop_over_a_line_that_is_no_rig_says_what_to_do(rigs: Rigs) -> None:
    left = rigs("left")
    async with started() as hand:
        await looks(hand, "1 rig answers")
        await hand.press("end", "s")
        await hand.sees("Mark the rig to stop")
        assert left.requests.empty()


async def test_pages_open_from_the_start_and_close_again(rigs: Rigs) -> None:
    async with started() as hand:
        for key, kind in (("r", RecipesScreen), ("l", CyclesScreen)):
            await hand.press(key)
            assert isinstance(hand.app.screen, kind)
            await hand.press("escape")
            assert isinstance(hand.app.screen, StartScreen)
        await hand.press("k")
        await hand.sees("no rig attached")
        await hand.press("escape")
        await hand.press("q")
    assert hand.app.return_value == "left"


async def test_orders_for_one_rig_are_not_offered_over_all_of_them(rigs: Rigs) -> None:
    keeper = rigs("left")
    async with started() as hand:
        await looks(hand, "1 rig answers")
        await hand.press("enter")
        await hand.sees("Target 28.5 °C")
        keeper.asked()
        await hand.press("o")
        await looks(hand, "1 rig answers")
        await hand.press("h", "p", "n")
        assert isinstance(hand.app.screen, StartScreen)
        assert keeper.requests.empty()
