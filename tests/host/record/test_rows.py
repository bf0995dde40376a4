"""What stands in a cell, and what a cell that others wrote is taken for."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from glossbath.record import open_cycle
from glossbath.record.rows import event_line, reading_line

from .sample import events, reading, record


def _cells(**changed: object) -> list[str]:
    line = reading_line(msgspec.structs.replace(reading(0), **changed), True, 1, "9c1f", 2, 3)
    return line.decode().rstrip("\n").split(",")


def test_a_quantity_has_thousandths_and_no_more() -> None:
    # The board measures in thousandths of a degree; more digits would be made up.
    assert "30.063" in _cells(bath_c=30.06251)


@pytest.mark.parametrize("virtual", [True, False])
def test_both_tables_say_in_each_line_whether_chocolate_was_there(virtual: bool) -> None:
    word = str(virtual).lower()
    assert event_line(events()[0], virtual).decode().split(",")[2] == word
    line = reading_line(reading(0), virtual, 1, "9c1f", 2, 3)
    assert line.decode().split(",")[6] == word


def _rewritten(folder: Path, before: bytes, after: bytes) -> Path:
    path = folder / "readings.csv"
    path.write_bytes(path.read_bytes().replace(before, after))
    return folder


def test_shares_that_nobody_wrote_are_none(tmp_path: Path) -> None:
    folder = _rewritten(record(tmp_path), b"0.25,0.0,0.8,", b",,,")
    for found in open_cycle(folder).readings():
        assert (found.heat_share, found.chill_share, found.stir_share) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize("word", [b"nan", b"inf", b"-inf"])
def test_what_is_no_number_is_damage_and_no_temperature(tmp_path: Path, word: bytes) -> None:
    folder = _rewritten(record(tmp_path), b"30.062", word)
    cycle = open_cycle(folder)
    assert list(cycle.readings()) == []
    assert cycle.summary()["damaged"] == 50
