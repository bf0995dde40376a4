"""What a look at the rig can find, and how long a sign must last before it counts."""

from __future__ import annotations

from typing import NamedTuple


class Finding(NamedTuple):
    """Something wrong that is so now. A trip ends the cycle, anything else is a caution."""

    code: str
    detail: str
    trip: bool


def trip(code: str, detail: str) -> Finding:
    """A finding that ends the cycle."""
    return Finding(code, detail, True)


def caution(code: str, detail: str) -> Finding:
    """A finding that a person is told of while the cycle goes on."""
    return Finding(code, detail, False)


class Lasting:
    """How long signs have been there without a break, by name. Times in ms."""

    def __init__(self) -> None:
        self._since_ms: dict[str, int] = {}

    def for_ms(self, name: str, there: bool, now_ms: int) -> int:
        """Let a sign be there or not; returns how long it has been there, -1 if it is not."""
        if not there:
            self._since_ms.pop(name, None)
            return -1
        return now_ms - self._since_ms.setdefault(name, now_ms)
