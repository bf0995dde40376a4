"""The one limit on wall time in the tests: a guard against hanging, not a judgement of speed.

What takes a second on an idle computer may take a minute on one with much else to do.
"""

from __future__ import annotations

import time
from collections.abc import Callable

PATIENCE_S = 120.0


def until(happened: Callable[[], object], pause: Callable[[], object] | None = None) -> None:
    """Look until something has happened, and do `pause` between two looks.

    Raises AssertionError after PATIENCE_S.
    """
    give_up_s = time.monotonic() + PATIENCE_S
    while not happened():
        assert time.monotonic() < give_up_s, f"it did not happen within {PATIENCE_S:g} s"
        if pause is None:
            time.sleep(0.001)  # lets other threads go on
        else:
            pause()
