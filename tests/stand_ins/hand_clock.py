"""A keeper's clocks in a test's hand: they stand until they are moved."""

from __future__ import annotations

from collections.abc import Callable

EPOCH_MS = 1_800_000_000_000


class HandClock:
    """ms is the time since the computer came up. While it sleeps slept_ms grows with it; setting
    the computer's date is wall_set_ms. opened is what the line wants to know."""

    virtual = True

    def __init__(self, opened: Callable[[], None] = lambda: None, ms: int = 0) -> None:
        self.opened = opened
        self.ms = ms
        self.slept_ms = 0
        self.wall_set_ms = 0

    def now_ms(self) -> int:
        return self.ms - self.slept_ms

    def boot_ms(self) -> int:
        return self.ms

    def system_ns(self) -> int:
        return self.wall_ns()

    def take_date(self) -> None:
        pass

    def wall_ns(self) -> int:
        return (EPOCH_MS + self.ms + self.wall_set_ms) * 1_000_000

    def wait(self, caught_up: Callable[[int], None], written: Callable[[], int]) -> None:
        raise AssertionError("a test steps the keeper itself")

    def wake(self) -> None:
        pass
