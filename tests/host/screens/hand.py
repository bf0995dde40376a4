"""A person at the app: presses keys, waits for what the screen says, reads it."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable

from patience import PATIENCE_S
from textual.pilot import Pilot

from glossbath.tui.app import GlossbathApp

SMALL, LARGE = (80, 24), (140, 40)


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now_s = 1000.0

    def __call__(self) -> float:
        return self.now_s


class Hand:
    """A person at the app: presses keys, waits for what the screen says, reads it."""

    def __init__(self, app: GlossbathApp, pilot: Pilot[str], clock: Clock) -> None:
        self.app, self.pilot, self.clock = app, pilot, clock

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.pilot.pause()

    async def until(self, done: Callable[[], bool]) -> None:
        """Let the app take messages until something holds."""
        give_up_s = time.monotonic() + PATIENCE_S
        while time.monotonic() < give_up_s:
            self.app.pump()
            await self.pilot.pause()
            if done():
                return
            if self.app.client is not None:
                self.app.client.wait(0.02)
        raise AssertionError(f"never came about; the screen says:\n{self.screen()}")

    async def sees(self, words: str) -> None:
        """Wait until the screen shows some words, on one line or broken over several."""

        def shown() -> bool:
            screen = self.screen()
            return words in screen or words in " ".join(screen.split())

        await self.until(shown)

    def screen(self) -> str:
        """What stands on the terminal now."""
        rows = self.app.screen._compositor.render_strips()
        return "\n".join("".join(segment.text for segment in row) for row in rows)


Opened = contextlib.AbstractAsyncContextManager[Hand]
Open = Callable[..., Opened]
