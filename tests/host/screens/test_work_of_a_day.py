"""What a maker meets in a day: the end of the work, a trip that was seen, another screen, the
units and colours that are kept, help. Keys only."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest

from glossbath.tui.app import GlossbathApp
from glossbath.tui.help_screen import HelpScreen
from glossbath.tui.kitchen_screen import KitchenScreen
from glossbath.view.choices import Choices, kept_choices

from .fake_keeper import TRIP, FakeKeeper, reading, snapshot
from .hand import Open

HOLD = (snapshot(), reading(2530.0, 30.6, phase="hold", phase_index=4, target_c=30.5))
TRIPPED = (snapshot(state="tripped", alarms=[TRIP]), reading(state="tripped"))


@pytest.mark.parametrize(
    ("typed", "values"), [("", {}), ("0,8", {"worked_kg": 0.8}), ("1.25", {"worked_kg": 1.25})]
)
async def test_the_work_ends_with_a_key(
    opened: Open, keeper: FakeKeeper, typed: str, values: dict[str, float]
) -> None:
    async with opened(*HOLD) as hand:
        await hand.sees("b Bowl emptied")
        await hand.press("b")
        await hand.sees("How many kg worked?")
        await hand.press(*typed, "enter")
        asked = keeper.asked()
        assert (asked.op, asked.values) == ("finish", values)


async def test_words_for_the_mass_send_nothing(opened: Open, keeper: FakeKeeper) -> None:
    async with opened(*HOLD) as hand:
        await hand.sees("b Bowl emptied")
        await hand.press("b", *"much", "enter")
        await hand.sees("'much' is not a number of kg")
        await hand.press("b", "escape")
        assert keeper.requests.empty()


async def test_the_bowl_is_not_emptied_before_the_hold(opened: Open, keeper: FakeKeeper) -> None:
    async with opened() as hand:
        await hand.sees("h Hold")
        assert "Bowl emptied" not in hand.screen()


async def test_a_trip_that_was_seen_can_still_be_cleared(opened: Open, keeper: FakeKeeper) -> None:
    latched = msgspec.structs.replace(TRIP, latched=True)
    greeting = (snapshot(state="tripped", alarms=[latched]), reading(state="tripped"))
    async with opened(*greeting) as hand:
        await hand.sees("c Clear trip")
        await hand.press("e", "enter")
        assert keeper.asked().op == "acknowledge"
        keeper.say(msgspec.structs.replace(latched, state="acknowledged"))
        await hand.sees("HIGH latched, seen")
        await hand.sees("c Clear trip")
        await hand.press("c", "y")
        assert keeper.asked().op == "clear"


async def test_the_first_screen_is_told_when_another_one_steers(
    opened: Open, keeper: FakeKeeper
) -> None:
    async with opened() as hand:
        await hand.sees("h Hold")
        keeper.say(snapshot(steering=False))
        await hand.sees("Another screen steers this rig now; this one looks on.")
        await hand.sees("v Steer")


async def test_the_trend_comes_back_after_a_small_window(opened: Open) -> None:
    async with opened() as hand:
        await hand.sees("0:30")
        await hand.pilot.resize_terminal(60, 14)
        await hand.until(lambda: "0:30" not in hand.screen())
        await hand.pilot.resize_terminal(80, 24)
        await hand.sees("0:30")


async def test_an_answer_in_its_row_does_not_take_the_trend_for_good(
    opened: Open, keeper: FakeKeeper
) -> None:
    async with opened() as hand:
        await hand.sees("0:30")
        await hand.press("h")
        await hand.sees("hold was done.")
        hand.clock.now_s += 20.0
        await hand.until(lambda: "hold was done" not in hand.screen())
        await hand.sees("0:30")


async def test_z_shows_another_span_of_the_trend_at_each_press(opened: Open) -> None:
    async with opened(size=(100, 30)) as hand:
        await hand.sees("whole cycle (z)")
        await hand.press("z")
        await hand.sees("last 20 min (z)")
        await hand.press("z")
        await hand.sees("window close up (z)")
        await hand.press("z")
        await hand.sees("whole cycle (z)")


async def test_large_digits_fill_the_terminal_and_leave_again(opened: Open) -> None:
    async with opened(size=(100, 30)) as hand:
        await hand.sees("x Large")
        await hand.press("x")
        assert isinstance(hand.app.screen, KitchenScreen)
        rows = [row for row in hand.screen().splitlines() if "█" in row]
        assert len(rows) >= 10
        await hand.sees("Cooling the chocolate to 28.5 °C")
        await hand.press("escape")
        await hand.sees("✓ melt")


@pytest.mark.parametrize("leads", [(), ("e",), ("t",), ("l",), ("r",), ("x",), ("d",)])
async def test_every_screen_says_what_it_is_for_and_what_its_keys_do(
    opened: Open, leads: tuple[str, ...]
) -> None:
    async with opened(size=(100, 40)) as hand:
        await hand.sees("q Quit")
        await hand.press(*leads, "f1")
        assert isinstance(hand.app.screen, HelpScreen)
        await hand.sees("heat, chill and stirrer off at once")
        await hand.press("escape")
        assert not isinstance(hand.app.screen, HelpScreen)


async def test_unit_and_colours_are_kept_for_the_next_time(
    opened: Open, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    async with opened() as hand:
        hand.app.choices = kept_choices()
        await hand.press("u", "f7")
        await hand.sees("CHOCOLATE °F")
        assert hand.app.theme == "glossbath-light"
    again = kept_choices()
    assert (again.fahrenheit, again.light) == (True, True)
    assert GlossbathApp(choices=again).view.degrees.fahrenheit
    assert again.path is not None
    assert json.loads(again.path.read_text()) == {"fahrenheit": True, "light": True}


@pytest.mark.parametrize("damaged", ["", "{", "[1]", '{"fahrenheit": "yes"}', "\x00"])
def test_a_damaged_file_of_choices_costs_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, damaged: str
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    kept_choices().keep()
    path = kept_choices().path
    assert path is not None
    path.write_text(damaged)
    assert kept_choices() == Choices(path=path)


async def test_what_belongs_to_the_last_batch_is_not_carried_into_the_next(
    opened: Open, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOSSBATH_RECIPES", str(tmp_path))
    idle = (
        snapshot(state="idle", recipe="", phases=[], history=[]),
        reading(state="idle", phase=""),
    )
    async with opened(*idle) as hand:
        await hand.sees("IDLE")
        await hand.press("r", "enter", *["down"] * 4, *"A17", "f2")
        await hand.sees("IDLE")
        await hand.until(lambda: len(hand.app.screen_stack) == 1)
        await hand.press("r", "enter")
        await hand.sees("Lot")
        assert hand.app.screen.query_one("#field-lot").value == ""
        assert hand.app.screen.query_one("#field-batch_kg").value == "1"
