"""Whose word counts: a board that has restarted, and frames that strayed here from elsewhere."""

from __future__ import annotations

from typing import Any

import pytest

from glossbath.board.state import Board

OWN, STRANGER, OTHER = 7, 8, 9
READING: dict[str, Any] = {
    "k": "r", "t": 1000, "c": 22_000, "w": 22_000, "y": 22_000, "u": None, "h": 0, "x": 0, "s": 0,
    "st": "idle", "ph": 0, "pt": 0, "d": 0,
}  # fmt: skip


def kinds(*boots: int) -> list[str]:
    """What readings of these boots, one after the other, are taken for once the own is known."""
    board = Board()
    assert board.receive({**READING, "b": OWN}).kind != "other"
    return [board.receive({**READING, "b": boot}).kind for boot in boots]


def test_one_reading_of_another_boot_is_not_believed() -> None:
    assert kinds(STRANGER, OWN) == ["other", "reading"]


def test_two_in_a_row_are_a_restart() -> None:
    assert kinds(STRANGER, STRANGER) == ["other", "boot"]


@pytest.mark.parametrize("boots", [(STRANGER, OTHER), (STRANGER, OTHER, STRANGER)])
def test_strangers_that_differ_are_none(boots: tuple[int, ...]) -> None:
    assert set(kinds(*boots)) == {"other"}
