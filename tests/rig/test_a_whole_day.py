"""README's whole path on the virtual rig, for each chocolate that it offers: a recipe, a cycle, a
dip test, a finished bowl, a report whose verdict is right. Then each fault to practise on, to its
cleared end.

The screen is driven by its keys alone; keeper and firmware are the real ones.
"""

from __future__ import annotations

import contextlib
from collections.abc import AsyncIterator, Callable
from pathlib import Path

import pytest
from sampling import sample

from glossbath.cli.virtual_kitchen import PRACTICE, VirtualKitchen
from glossbath.record import list_cycles, open_cycle
from glossbath.report.findings import judge
from glossbath.tui.app import GlossbathApp
from glossbath.tui.start_screen import StartScreen

from ..host.screens.hand import SMALL, Clock, Hand

SPEED = 300.0
"""A cycle of an hour and a half in the time in which it can be watched."""
LOOKS = 10
"""A cycle takes longer than a person waits for one thing."""

pytestmark = pytest.mark.timeout(900)


@pytest.fixture(autouse=True)
def at_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Cycles, recipes and rigs of a person who has none yet."""
    for name in ("CYCLES", "RECIPES", "RUN"):
        monkeypatch.setenv(f"GLOSSBATH_{name}", str(tmp_path / name.lower()))


@contextlib.asynccontextmanager
async def before_the_virtual_rig() -> AsyncIterator[Hand]:
    """A person who has started the virtual rig with its key."""
    clock = Clock()
    with VirtualKitchen(SPEED) as kitchen:
        app = GlossbathApp(
            clock=clock, starters={"virtual": kitchen}, own_rig=kitchen.rig, kitchen=kitchen
        )
        async with app.run_test(size=SMALL) as pilot:
            hand = Hand(app, pilot, clock)
            await hand.until(lambda: isinstance(app.screen, StartScreen))
            await hand.press("v")
            await hand.sees("The rig is idle: heat, chill and stirrer are off.")
            yield hand


async def watched(hand: Hand, done: Callable[[], bool]) -> None:
    """Wait for what takes most of a cycle."""
    for _ in range(LOOKS):
        with contextlib.suppress(AssertionError):
            await hand.until(done)
            return
    await hand.until(done)


async def start(hand: Hand, chocolate: str, kg: str) -> None:
    """Choose a recipe by its place in the list, type the batch, start."""
    await hand.press("r")
    await hand.sees("Choose a recipe with Enter")
    listed = hand.app.screen.query_one("#recipes")
    while listed.highlighted_option.id != chocolate:  # type: ignore[attr-defined]
        await hand.press("down")
    await hand.press("enter")
    await hand.sees("F2 Start the cycle")
    await hand.press(*kg, "f2")
    await hand.until(lambda: hand.app.view.state in ("testing", "running"))


async def dip(hand: Hand, *answers: str) -> None:
    await hand.press("t")
    await hand.sees("Dip the tip of a clean, dry knife")
    await hand.press("enter")
    hand.clock.now_s += 240 / SPEED
    await hand.sees("it should begin to set at its edges")
    await hand.press("enter")
    await hand.sees("It had set")
    await hand.press(*answers)
    await hand.sees("The test is in the record.")
    await hand.press("escape")


@pytest.mark.parametrize(
    ("chocolate", "kg"), sample([("milk", "1"), ("dark", "1.2"), ("white", "0.8")], of=3)
)
async def test_a_cycle_of_every_chocolate_from_its_bowl_to_its_report(
    tmp_path: Path, chocolate: str, kg: str
) -> None:
    async with before_the_virtual_rig() as hand:
        await start(hand, chocolate, kg)
        view = hand.app.view
        await hand.until(lambda: hand.app.view.state not in ("testing", "waiting"))
        await watched(
            hand,
            lambda: (
                (view := hand.app.view).tripped
                or (view.reading is not None and view.reading.phase == "hold")
            ),
        )
        view = hand.app.view
        assert not view.tripped, hand.screen()
        await hand.until(lambda: hand.app.view.position.where == "in")
        await dip(hand, "n", "n")
        await hand.press("b")
        await hand.press(*"0.7", "enter")
        await hand.sees("The cycle is complete: heat is off.")
        assert "take the bowl out" not in hand.screen()  # it is empty, and was reported so
        await hand.press("m")
        await hand.sees("In temper by the dip test at")
        await hand.press("w")
        await hand.sees("The report is")
        await hand.press("escape", "q")
    [entry] = list_cycles(tmp_path / "cycles")
    assert (entry["result"], entry["chocolate"]) == ("complete", chocolate)
    assert entry["batch_kg"] == float(kg)
    cycle = open_cycle(entry["folder"])
    found = judge(cycle)
    assert found.temper == "in temper"
    assert found.kept, found.verdict
    finished = next(event for event in cycle.events() if event.code == "finished")
    assert finished.values["worked_kg"] == 0.7
    page = Path(entry["folder"], "report.html").read_text(encoding="utf-8")
    for words in ("In temper by the dip test", "VIRTUAL RIG", "0.7 kg worked"):
        assert words in page


@pytest.mark.parametrize("fault", sample(list(PRACTICE), of=3))
async def test_each_fault_to_practise_on_to_its_cleared_end(tmp_path: Path, fault: str) -> None:
    async with before_the_virtual_rig() as hand:
        await start(hand, "dark", "1")
        await hand.until(lambda: hand.app.view.state == "running")
        key = str(list(PRACTICE).index(fault) + 1)
        await hand.press("w")
        await hand.sees("Practise on the virtual rig")
        await hand.press(key)
        await watched(hand, lambda: bool(hand.app.view.alarms or hand.app.view.result))
        hand.app.view.events.clear()
        # Put it right where a hand can, end the cycle, and clear what tripped.
        fault_is_in = {it.name: it.there for it in hand.app._kitchen.faults()}.get(fault)
        if fault_is_in:
            await hand.press("w", key)
        await hand.press("s")
        await hand.until(lambda: not hand.app.view.active)
        if hand.app.view.to_clear is not None:
            await hand.press("e", "enter", "c", "y")
        await hand.press("escape", "g")
        await hand.sees("A new bowl: 1 kg of dark chocolate, fresh water and ice.")
        await hand.sees("The rig is idle")
        assert not hand.app.view.alarms
        await hand.press("q")
    cycle = open_cycle(list_cycles(tmp_path / "cycles")[0]["folder"])
    noted = [event.text for event in cycle.events() if event.kind == "note"]
    assert f"PRACTICE: {PRACTICE[fault].told}" in noted
    assert any("practise" in sentence for sentence in judge(cycle).verdict)
