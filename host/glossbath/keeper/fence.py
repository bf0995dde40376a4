"""What helps a cycle but is not needed for its safety may fail; the cycle goes on and says so.

Seeding, forecast, hook, learning and what is shown to clients run behind a fence. Supervision, the
line and the record do not: what raises there ends the cycle, see keeper.py.
"""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable

PRIORITY = "medium"

_WHAT = {
    "assist": ("The help for seed and stirrer", "If the recipe waits, let it go on by hand."),
    "forecast": ("The forecast", "Look at the temperatures yourself."),
    "hook": ("The command that is run on a trip and at the end", "Check it after the cycle."),
    "learning": ("Learning from the cycle", "Nothing: the model of this rig stays as it was."),
    "showing": ("What the screens are told", "Leave the screen and attach again."),
}


class Fence:
    """Runs helpers; what each raised stands in `news` until it was told."""

    def __init__(self) -> None:
        self._failed: set[str] = set()
        self._untold: list[tuple[str, str]] = []

    def __call__(self, what: str, act: Callable[[], object]) -> bool:
        """Run act, one of the helpers in this file's table; False if it raised."""
        try:
            act()
        except Exception as error:
            traceback.print_exc(file=sys.stderr)  # the keeper's log
            if what not in self._failed:
                self._failed.add(what)
                self._untold.append((what, f"{type(error).__name__}: {error}"))
            return False
        return True

    def begin(self) -> list[str]:
        """A new cycle: what fails again is told again. Gives the codes of the alarms that are no
        more than history now."""
        codes = [f"{what}-failed" for what in sorted(self._failed)]
        self._failed.clear()
        return codes

    def news(self) -> list[tuple[str, tuple[str, str, str]]]:
        """What has failed since the last call: an alarm's code, and its words."""
        untold, self._untold = self._untold, []
        goes_on = "The cycle goes on without it."
        return [
            (f"{what}-failed", (f"{name} failed ({why[:200]}).", goes_on, do_now))
            for what, why in untold
            for name, do_now in (_WHAT[what],)
        ]
