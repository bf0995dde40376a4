"""What a person who knows only README does on the first day: from the start screen to the report.

The screen is driven by its keys alone; keeper and firmware are the real ones on the virtual rig.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from glossbath.cli.virtual_kitchen import VirtualKitchen
from glossbath.recipe import load
from glossbath.record import list_cycles, open_cycle
from glossbath.tui.app import GlossbathApp
from glossbath.tui.start_screen import StartScreen

from ..host.screens.hand import SMALL, Clock, Hand

SPEED = 60.0


@pytest.fixture(autouse=True)
def at_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Cycles, recipes and rigs of a person who has none yet."""
    for name in ("CYCLES", "RECIPES", "RUN"):
        monkeypatch.setenv(f"GLOSSBATH_{name}", str(tmp_path / name.lower()))


async def _bring_up_the_virtual_rig(hand: Hand) -> None:
    await hand.sees("No rig answers on this computer: v starts the virtual one")
    await hand.press("v")
    await hand.sees("The rig is idle: heat, chill and stirrer are off.")
    await hand.sees("VIRTUAL RIG")


async def _change_a_recipe(hand: Hand) -> None:
    await hand.press("r")
    await hand.sees("Choose a recipe with Enter")
    await hand.press("enter")
    await hand.sees("F4 Change the recipe")
    await hand.press("f4")
    await hand.sees("46 to 50 °C, its window")
    # A slip of the finger: the limit stands beside the field, and nothing typed is lost.
    await hand.press(*"490", "f2")
    await hand.sees("490 °C does not fit: 46 to 50 °C, its window and bath.")
    await hand.press("backspace")
    await hand.sees("changed, not saved")
    await hand.press("f2")
    await hand.sees("Saved as dark.v2; F2 starts it.")


async def _start(hand: Hand) -> None:
    await hand.press(*"1,2", *["down"] * 4, *"A17", "f2")
    await hand.sees("RUNNING")
    await hand.sees("Melting the chocolate, up to 49.0 °C")


async def _write_a_note(hand: Hand) -> None:
    await hand.press("n")
    await hand.sees("A note for the record of this cycle")
    await hand.press(*"tasted", "enter")
    await hand.sees("Noted.")


async def _test_the_temper(hand: Hand) -> None:
    await hand.press("t")
    await hand.sees("Dip the tip of a clean, dry knife")
    await hand.press("enter")
    hand.clock.now_s += 240 / SPEED
    await hand.sees("it should begin to set at its edges")
    await hand.press("enter")
    await hand.sees("It had set 4.0 min after the dip.")
    await hand.press("n", "n")
    await hand.sees("The test is in the record.")
    await hand.press("escape")


async def _stop(hand: Hand) -> None:
    await hand.press("s")
    await hand.sees("The cycle was stopped: heat is off.")
    await hand.until(lambda: hand.app.view.result == "stopped")


async def _find_the_cycle(hand: Hand) -> None:
    await hand.press("l")
    await hand.sees("1 of 1 cycles")
    await hand.press(*"a17")
    await hand.press("enter")
    await hand.sees("This cycle left its recipe.")
    await hand.sees("note tasted")


async def _write_the_report(hand: Hand) -> None:
    await hand.press("w")
    await hand.sees("The report is")


async def test_from_the_start_screen_to_the_report(tmp_path: Path) -> None:
    clock = Clock()
    with VirtualKitchen(SPEED) as kitchen:
        app = GlossbathApp(
            clock=clock, starters={"virtual": kitchen}, own_rig=kitchen.rig, kitchen=kitchen
        )
        async with app.run_test(size=SMALL) as pilot:
            hand = Hand(app, pilot, clock)
            await hand.until(lambda: isinstance(app.screen, StartScreen))
            for step in (
                _bring_up_the_virtual_rig,
                _change_a_recipe,
                _start,
                _write_a_note,
                _test_the_temper,
                _stop,
                _find_the_cycle,
                _write_the_report,
            ):
                await step(hand)
            await hand.press("escape", "escape", "q")
        assert app.return_value == "ended"
    assert load("dark.v2").phases[0].target_c == 49.0
    _is_all_in_the_record(tmp_path)


def _is_all_in_the_record(home: Path) -> None:
    [entry] = list_cycles(home / "cycles")
    assert (entry["result"], entry["batch_kg"], entry["lot"]) == ("stopped", 1.2, "A17")
    assert entry["virtual"]
    cycle = open_cycle(entry["folder"])
    assert cycle.facts is not None
    assert (cycle.facts.recipe.version, cycle.facts.recipe.phases[0].target_c) == (2, 49.0)
    assert not cycle.problems
    told = {(event.kind, event.text) for event in cycle.events()}
    assert ("note", "tasted") in told
    assert ("test", "dip: in temper") in told
    report = Path(entry["folder"], "report.html").read_text()
    for words in ("VIRTUAL RIG", "A17", "1.2 kg", "tasted", "in temper", "49"):
        assert words in report
