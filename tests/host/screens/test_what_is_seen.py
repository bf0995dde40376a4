"""What the app shows, at both sizes and on every page."""

from __future__ import annotations

import pytest

from glossbath.tui.app import GlossbathApp
from glossbath.tui.big_number import BigNumber, blocks, fitting_scale
from glossbath.tui.details_screen import DetailsScreen
from glossbath.tui.dialogs import Ask
from glossbath.tui.events_screen import EventsScreen
from glossbath.tui.main_screen import MainScreen

from .fake_keeper import TRIP, WARM_ROOM, FakeKeeper, event, reading, snapshot
from .hand import LARGE, SMALL, Open


@pytest.mark.parametrize("size", [SMALL, LARGE, (200, 60)])
async def test_the_important_is_visible(opened: Open, size: tuple[int, int]) -> None:
    async with opened(snapshot(alarms=[WARM_ROOM]), reading(), size=size) as hand:
        await hand.sees("Target 28.5 °C")
        for words in (
            "VIRTUAL RIG",
            "RUNNING",
            "Cooling the chocolate to 28.5 °C; 2.4 °C above the window; about 8 min left.",
            "CHOCOLATE °C",
            "window 28.0–29.0",
            "2.4 °C above the window",
            "▶ cool",
            "LOW raised",
            f"Do now: {WARM_ROOM.do_now}",
            "s STOP",
            "q Quit",
            "link good",
        ):
            await hand.sees(words)
        number = hand.app.screen.query_one("#chocolate-number", BigNumber)
        assert number.value == "31.4"
        scale = fitting_scale("31.4", number.size.width, number.size.height)
        assert scale >= 2
        await hand.sees(blocks("31.4", scale)[0].rstrip())


async def test_the_trend_is_drawn_at_both_sizes(opened: Open) -> None:
    for size in (SMALL, LARGE):
        async with opened(size=size) as hand:
            await hand.sees("0:30")
            await hand.sees("⣀⡤")


async def test_large_terminals_show_bath_and_body_in_blocks(opened: Open) -> None:
    async with opened(size=LARGE) as hand:
        await hand.sees("BATH °C  to 22.0")
        await hand.sees(blocks("26.3", 1)[0])


async def test_a_trip_is_shown_in_words_and_heard(
    opened: Open, keeper: FakeKeeper, monkeypatch: pytest.MonkeyPatch
) -> None:
    bells: list[bool] = []
    monkeypatch.setattr(GlossbathApp, "bell", lambda self: bells.append(True))
    async with opened() as hand:
        await hand.sees("Target 28.5")
        assert not bells
        keeper.say(
            snapshot(state="tripped", result="tripped", alarms=[TRIP]),
            reading(state="tripped"),
            event("trip", TRIP.happened),
        )
        await hand.sees("TRIPPED: The bath went above 60.0 °C.")
        await hand.sees("Please: Lift the bowl out")
        await hand.sees("■ cool ended")
        await hand.sees("▲ HIGH latched")
        assert bells == [True]


async def test_a_real_rig_is_not_called_virtual(opened: Open) -> None:
    async with opened(snapshot(virtual=False), reading()) as hand:
        await hand.sees("Kitchen rig")
        await hand.until(lambda: "VIRTUAL" not in hand.screen())


async def test_text_from_the_keeper_is_never_markup(opened: Open) -> None:
    strange = "[bold]Rig[/] [nonsense"
    async with opened(snapshot(rig=strange, request="Put [1] in."), reading()) as hand:
        await hand.sees("Please: Put [1] in.")
        await hand.sees("[bold]Rig[/] [n")


async def test_without_colour_everything_still_stands(
    opened: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(snapshot(alarms=[TRIP]), reading(), size=LARGE) as hand:
        await hand.sees("▲ HIGH latched")
        await hand.sees("VIRTUAL RIG")


async def test_fahrenheit_and_back(opened: Open) -> None:
    async with opened() as hand:
        await hand.sees("CHOCOLATE °C")
        await hand.press("u")
        await hand.sees("CHOCOLATE °F")
        await hand.sees("Target 83.3 °F")
        await hand.press("u")
        await hand.sees("Target 28.5 °C")


async def test_details(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await hand.press("d")
        assert isinstance(hand.app.screen, DetailsScreen)
        keeper.say(reading(body_c=None, faults={"body": "stale"}))
        await hand.sees("has given no good value for too long")
        known = ("heat lease", "passes", "10120", "overruns", "frames lost")
        for words in ("VIRTUAL RIG", "s STOP", *known):
            await hand.sees(words)
        await hand.press("escape")
        assert isinstance(hand.app.screen, MainScreen)


async def test_events(opened: Open, keeper: FakeKeeper) -> None:
    async with opened(snapshot(alarms=[WARM_ROOM]), reading()) as hand:
        await hand.press("e")
        assert isinstance(hand.app.screen, EventsScreen)
        keeper.say(event("phase", "Cooling began.", 1790.0), event("note", "Tasted.", 1800.0))
        await hand.sees("Tasted.")
        shown = hand.screen()
        assert shown.index("0:30:00  note     Tasted.") < shown.index("0:29:50  phase")
        await hand.sees(WARM_ROOM.do_now)
        await hand.press("d")
        assert isinstance(hand.app.screen, DetailsScreen)
        await hand.press("d")
        assert isinstance(hand.app.screen, MainScreen)


async def test_a_fast_virtual_rig_is_followed_to_its_newest_reading(
    opened: Open, keeper: FakeKeeper
) -> None:
    async with opened() as hand:
        for burst in range(20):
            keeper.say(*(reading(2531.0 + burst * 300 + i, 30.0) for i in range(300)))
        keeper.say(reading(8531.0, 28.5))
        await hand.sees("2:22:11")
        await hand.sees("In the window")


async def test_a_note_dialog_is_not_left_by_quit(opened: Open) -> None:
    async with opened() as hand:
        await hand.press("n", "q")
        assert isinstance(hand.app.screen, Ask)
