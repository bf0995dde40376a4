"""What the rig needs of the person now, in one sentence; empty when it needs nothing.

A trip is not told here: its alarm says what to do.
"""

from __future__ import annotations

ARM = "Press the arm button at the rig: it allows heat."
TEST = "Make a dip test and record it: nothing has shown yet that this batch is in temper."
OUT = "The dip test said out of temper: do not mould; the way back is on the Desk."
UNSURE = "The dip test was not sure: make another one and record it."
OVER = "Use the chocolate or take the bowl out: nothing keeps it warm any more."

AFTER_TEST = {"in temper": "", "out of temper": OUT}


def need(
    state: str, phase: str, in_window: bool, tested: str | None, emptied: bool = False
) -> str:
    """The need for a board state, the phase that runs, whether the chocolate is in its window,
    what the newest dip test showed (None while there was none), and whether a person reported
    the bowl empty."""
    if state == "waiting":
        return ARM
    if state == "complete":
        return "" if emptied else OVER
    if state in ("running", "held") and phase == "hold":
        if tested is not None:
            return AFTER_TEST.get(tested, UNSURE)
        return TEST if in_window else ""
    return ""
