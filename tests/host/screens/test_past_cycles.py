"""Past cycles on the screen: found by words, opened, reported."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from patience import PATIENCE_S

from glossbath.tui.cycle_screen import CycleScreen
from glossbath.tui.cycles_screen import CyclesScreen

from ..record.sample import record
from .fake_keeper import reading, snapshot
from .hand import LARGE, SMALL, Hand, Open

SEEN = (snapshot(state="idle", folder="", history=[]), reading(state="idle", phase=""))


@pytest.fixture
def cycles(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Three invented cycles of one recipe: complete, tripped, cut short."""
    folder = tmp_path / "cycles"
    monkeypatch.setenv("GLOSSBATH_CYCLES", str(folder))
    for result in ("complete", "tripped", ""):
        record(folder, result=result)
    return folder


async def to_cycles(hand: Hand) -> None:
    await hand.sees("IDLE")
    await hand.press("l")
    await hand.app.workers.wait_for_complete()
    assert isinstance(hand.app.screen, CyclesScreen)


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_words_narrow_the_list(opened: Open, cycles: Path, size: tuple[int, int]) -> None:
    async with opened(*SEEN, size=size) as hand:
        await to_cycles(hand)
        await hand.sees("3 of 3 cycles")
        await hand.press(*"tripped")
        await hand.sees("1 of 3 cycles")
        await hand.press(*" milk")
        await hand.sees("0 of 3 cycles")
        await hand.press("enter")
        assert isinstance(hand.app.screen, CyclesScreen)


async def test_a_cycle_opens_with_its_verdict_and_its_report_is_written(
    opened: Open, cycles: Path
) -> None:
    async with opened(*SEEN) as hand:
        await to_cycles(hand)
        await hand.press(*"complete", "enter")
        await hand.app.workers.wait_for_complete()
        assert isinstance(hand.app.screen, CycleScreen)
        for words in ("VIRTUAL RIG", "This cycle left its recipe.", "28.0–29.0", "not reached"):
            await hand.sees(words)
        await hand.press("w")
        await hand.app.workers.wait_for_complete()
        await hand.until(lambda: "The report is" in hand.screen())
        [report] = cycles.glob("*/report.html")
        assert "<h2>Phases</h2>" in report.read_text(encoding="utf-8")
        await hand.press("u")
        await hand.app.workers.wait_for_complete()
        await hand.sees("82.4–84.2")


async def test_a_report_that_takes_long_is_said_to_be_under_way(
    opened: Open, cycles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    on = threading.Event()

    def slow(folder: Path, **_: object) -> Path:
        on.wait(PATIENCE_S)
        return folder / "report.html"

    monkeypatch.setattr("glossbath.report.page.write_report", slow)
    async with opened(*SEEN) as hand:
        await to_cycles(hand)
        await hand.press("enter")
        await hand.app.workers.wait_for_complete()
        await hand.press("w")
        await hand.sees("Writing the report …")
        on.set()
        await hand.sees("The report is")


async def test_the_mark_moves_while_words_are_typed(opened: Open, cycles: Path) -> None:
    async with opened(*SEEN) as hand:
        await to_cycles(hand)
        await hand.press("down", *"d", "down", "up", "pagedown", "enter")
        await hand.app.workers.wait_for_complete()
        assert isinstance(hand.app.screen, CycleScreen)


async def test_a_report_that_cannot_be_written_is_told(opened: Open, cycles: Path) -> None:
    for folder in cycles.iterdir():
        (folder / "report.html").mkdir()
    async with opened(*SEEN) as hand:
        await to_cycles(hand)
        await hand.press("enter", "w")
        await hand.app.workers.wait_for_complete()
        await hand.sees("cannot be written: Is a directory")


async def test_a_cycle_that_was_taken_away_is_told(opened: Open, cycles: Path) -> None:
    async with opened(*SEEN) as hand:
        await to_cycles(hand)
        for folder in cycles.iterdir():
            folder.rename(folder.with_suffix(".gone"))
        await hand.press("enter")
        await hand.app.workers.wait_for_complete()
        await hand.sees("cannot be opened")


async def test_no_cycles_yet_is_said(
    opened: Open, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOSSBATH_CYCLES", str(tmp_path / "none"))
    async with opened(*SEEN) as hand:
        await to_cycles(hand)
        await hand.sees("There are no cycles in")


async def test_a_folder_that_cannot_be_listed_is_told(
    opened: Open, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("GLOSSBATH_CYCLES", str(tmp_path / "file"))
    async with opened(*SEEN) as hand:
        await to_cycles(hand)
        await hand.sees("cannot be listed")


async def test_cycles_beside_the_rigs_own_record_are_shown(opened: Open, tmp_path: Path) -> None:
    folder = record(tmp_path / "elsewhere")
    async with opened(snapshot(state="idle", folder=str(folder)), reading(state="idle")) as hand:
        await to_cycles(hand)
        await hand.sees("1 of 1 cycles")
