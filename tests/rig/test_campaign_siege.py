"""Hundreds of kilobytes of hostile bytes on the line while a cycle runs; the long run is
tests/bench/siege.py."""

from __future__ import annotations

import pytest
from hostile import Siege, besiege

BYTES = 200_000
HEAP_SLACK = 20_000
"""Bytes: what one pass's garbage may leave of a heap of 2 MB between two collections."""


@pytest.fixture(scope="module")
def siege() -> Siege:
    return besiege(BYTES, 1)


def test_the_cycle_goes_on_and_nothing_crashed(siege: Siege) -> None:
    assert siege.sent_bytes >= BYTES
    assert siege.state == "running"
    assert siege.resets == 0
    assert siege.errors == ""
    assert siege.over_c < 0


def test_no_damaged_frame_was_answered_and_no_stranger_obeyed(siege: Siege) -> None:
    assert siege.damaged == []
    assert siege.obeyed == []
    assert siege.answers > 100, "whole frames must have reached the board"


def test_no_damaged_reading_was_believed(siege: Siege) -> None:
    assert siege.wrong == []
    assert siege.bad_lines > 100


def test_the_boards_memory_stays_flat(siege: Siege) -> None:
    third = len(siege.free_heap) // 3
    assert third >= 2
    early, late = siege.free_heap[:third], siege.free_heap[-third:]
    assert sum(late) / len(late) > sum(early) / len(early) - HEAP_SLACK


def test_the_person_is_told_of_the_noise(siege: Siege) -> None:
    assert any(line.startswith("line-noisy") for line in siege.told)
