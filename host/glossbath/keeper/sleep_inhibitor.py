"""Keeps the computer from falling asleep while a cycle runs, and says when it cannot.

A closed lid, the power button and an empty battery are stronger than any program: the board's
lease covers those.
"""

from __future__ import annotations

from contextlib import ExitStack

ASLEEP_TEXT = (
    "This computer may fall asleep during the cycle: switch its sleep off by hand. "
    "If it sleeps, the board takes the heat away, but in a hold that may go on alone."
)
AWAKE_TEXT = "This computer is kept awake while the cycle runs."


class SleepInhibitor:
    """Asks the operating system to stay awake; `active` says whether it agreed."""

    def __init__(self) -> None:
        self._asked: ExitStack | None = None
        self.active = False

    def ask(self) -> str:
        """Ask now; returns what came of it as a sentence."""
        from wakepy import keep

        if self._asked is None:
            self._asked = ExitStack()
            mode = self._asked.enter_context(keep.running(on_fail="pass"))
            self.active = bool(mode.active)
        return AWAKE_TEXT if self.active else ASLEEP_TEXT

    def release(self) -> None:
        """Let the computer sleep again."""
        if self._asked is not None:
            self._asked.close()
            self._asked = None
        self.active = False
