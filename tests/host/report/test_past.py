"""Past cycles as a screen shows them. Rig, lots and cycles are invented."""

from __future__ import annotations

from datetime import UTC, timedelta, timezone
from pathlib import Path

import pytest

from glossbath.errors import LogError
from glossbath.keeper.cycle_writer import CycleWriter
from glossbath.record import list_cycles
from glossbath.report.past import cycle_lines, matching, row
from glossbath.words import Degrees, Line

from ..record.sample import header, record
from ..record.sample import reading as sample_reading


def text(*lines: Line) -> str:
    return "\n".join("".join(piece for piece, _ in line) for line in lines)


def test_a_row_says_what_a_person_looks_for(tmp_path: Path) -> None:
    record(tmp_path)
    [cycle] = list_cycles(tmp_path)
    # 1,700,000,000 s after 1970 is 2023-11-14 22:13:20 UTC, by `date -u -d @1700000000`.
    said = text(row(cycle, UTC))
    assert said.startswith("2023-11-14 22:13 ")
    for words in ("Dark", "complete", "1.5 kg", 'L-7 "north"', "VIRTUAL"):
        assert words in said
    assert len(said) <= 76
    assert text(row(cycle, timezone(timedelta(hours=2)))).startswith("2023-11-15 00:13")


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("", 3),
        ("dark", 3),
        ("tripped", 1),
        ("DARK tripped", 1),
        ("cut short", 1),
        ("l-7 complete", 1),
        ("2023-11-14", 3),
        ("bench", 3),
        ("milk", 0),
        ("[bold]", 0),
    ],
)
def test_words_narrow_the_list_in_any_order(tmp_path: Path, words: str, found: int) -> None:
    for result in ("complete", "tripped", ""):
        record(tmp_path, result=result)
    assert len(matching(list_cycles(tmp_path), words, UTC)) == found


def test_a_folder_that_cannot_be_read_still_has_a_row(tmp_path: Path) -> None:
    folder = record(tmp_path)
    (folder / "datapackage.json").write_bytes(b"{")
    [cycle] = list_cycles(tmp_path)
    assert "no date" in text(row(cycle))
    assert "unreadable" in text(row(cycle))
    said = text(*cycle_lines(folder, Degrees()))
    assert "Unreadable, cut short" in said
    assert "datapackage.json is cut or damaged" in said


def test_one_cycle_is_told_with_verdict_phases_and_events(tmp_path: Path) -> None:
    folder = record(tmp_path)
    lines = cycle_lines(folder, Degrees(), UTC)
    said = text(*lines)
    assert lines[0] == [
        (" VIRTUAL RIG ", "virtual"),
        (" ", ""),
        ("Dark, version 1: complete", "strong"),
    ]
    assert "2023-11-14 22:13, 1.5 kg of dark, lot L-7" in said
    assert "This cycle left its recipe." in said
    assert "Melt never reached 46 to 50 °C." in said
    phase = next(line for line in said.splitlines() if line.startswith("cool"))
    # Readings 20 to 29 are 28 + n/8 °C and the probe failed at 20 and 27, so lowest is 30.625,
    # highest 31.625, mean 28 + (198/8)/8 = 31.09 °C (by hand).
    assert phase.split() == [
        "cool", "0:00:20", "9", "s", "28.0–29.0", "30.6", "31.6", "31.1", "not", "reached",
    ]  # fmt: skip
    assert sample_reading(20).chocolate_c is None
    assert "0:00:12  note  Smells" in said
    assert "0:00:30  trip  Too hot." in said
    assert "No test of temper was recorded in this cycle." in said
    assert said.endswith(f"Record in {folder}")
    assert "82.4–84.2" in text(*cycle_lines(folder, Degrees(fahrenheit=True)))


def test_a_cycle_without_readings_is_told(tmp_path: Path) -> None:
    said = text(*cycle_lines(record(tmp_path, readings=0, result="stopped"), Degrees()))
    assert "There are no readings of any phase." in said
    assert "The cycle did not run to its end: stopped in start." in said


def test_a_folder_that_is_no_cycle_is_refused(tmp_path: Path) -> None:
    with pytest.raises(LogError, match="is not the folder of a cycle"):
        cycle_lines(tmp_path, Degrees())


def test_a_real_cycle_is_not_called_virtual(tmp_path: Path) -> None:
    writer = CycleWriter(tmp_path, header(virtual=False))
    writer.finish("stopped", 1_700_000_100_000_000_000)
    assert writer.close()
    assert "VIRTUAL" not in text(row(list_cycles(tmp_path)[0])) + text(
        *cycle_lines(writer.folder, Degrees())
    )
