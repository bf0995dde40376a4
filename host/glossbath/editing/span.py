"""The numbers that may stand in a field: what the fields around it and the board leave."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from glossbath.recipe.phases import (
    BATH_CEILING_C,
    BATH_FLOOR_C,
    CEILING_C,
    FLOOR_C,
    PHASE_CEILING_S,
    REACH_K,
    RUN_CEILING_S,
    SHORTEST_TIMEOUT_S,
)
from glossbath_board.program import NAMES

from .entries import RECIPE, Entry

LOWEST_MAX_C = 20.0

Value = Callable[[str, str], float]
"""The number typed on a page under a key; nan while there is none."""


class Span(NamedTuple):
    """The numbers that may stand in a field, both ends allowed unless `below`."""

    low: float
    high: float
    why: str = ""
    """What sets these limits, where it is another field."""
    below: bool = False
    """Whether the upper end itself is not allowed."""

    def words(self, unit: str) -> str:
        """The limits with their unit and reason."""
        to = "to below" if self.below else "to"
        reason = f", {self.why}" if self.why else ""
        return f"{self.low:g} {to} {self.high:g} {unit}{reason}"

    def holds(self, value: float) -> bool:
        """Whether a number may stand there; nan may not."""
        return self.low <= value < self.high or (value == self.high and not self.below)


def span(entry: Entry, value: Value) -> Span:
    """The numbers that fit between the fields around this one; where those contradict each other
    the board's own limits. A field that is being typed (nan) narrows nothing."""
    board = widest(entry.key)
    narrowed = _narrowed(entry, value, board)
    return narrowed if narrowed.low <= narrowed.high else board


def _narrowed(entry: Entry, value: Value, board: Span) -> Span:
    page, key = entry.page, entry.key
    if page == RECIPE:
        if key != "max_c":
            return board
        highest = [value(name, "high_c") for name in NAMES]
        known = [number for number in highest if not math.isnan(number)]
        return _between(board, max(known, default=None), None, "above every window")
    if key == "dwell_min":
        timeout_min = value(page, "timeout_min")
        return _between(board, None, timeout_min, "its trip")._replace(below=True)
    if key == "timeout_min":
        others_min = sum(value(name, key) for name in NAMES if name != page)
        room_min = RUN_CEILING_S / 60 - others_min
        return _between(board, value(page, "dwell_min"), room_min, "")
    target_c = value(page, "target_c")
    low = high = None
    why = "for its target"
    if key == "target_c":
        low, high, why = value(page, "low_c"), value(page, "high_c"), "its window"
    elif key == "low_c":
        high, why = target_c, "its target"
    elif key == "high_c":
        low, high, why = target_c, value(RECIPE, "max_c"), "target to trip"
    elif key == "bath_low_c":
        high = target_c - (REACH_K if page == "cool" else 0.0)
    elif key == "bath_high_c":
        low = target_c + (REACH_K if page in ("melt", "reheat") else 0.0)
    return _between(board, low, high, why)


def _between(board: Span, low: float | None, high: float | None, why: str) -> Span:
    """board narrowed to low and high; nan compares false, so it narrows nothing."""
    bottom = low if low is not None and low > board.low else board.low
    top = high if high is not None and high < board.high else board.high
    narrowed = (bottom, top) != (board.low, board.high)
    return Span(bottom, top, why if narrowed else "")


def widest(key: str) -> Span:
    """The board's own limits for a field."""
    minutes = PHASE_CEILING_S / 60
    known = {
        "fat_percent": Span(0, 100),
        "max_c": Span(LOWEST_MAX_C, CEILING_C),
        "bath_low_c": Span(BATH_FLOOR_C, BATH_CEILING_C),
        "bath_high_c": Span(BATH_FLOOR_C, BATH_CEILING_C),
        "dwell_min": Span(0, minutes),
        "timeout_min": Span(SHORTEST_TIMEOUT_S / 60, minutes),
        "stir_percent": Span(0, 100),
    }
    return known.get(key, Span(FLOOR_C, CEILING_C))
