"""The readings of a cycle so far, thinned, for a client that comes late."""

from __future__ import annotations

from glossbath.client.messages import Reading

MOST = 600


class ReadingBuffer:
    """At most `most` readings over the whole cycle, evenly thinned, and always the newest.

    Whenever there is no more room every other reading goes, so memory never grows.
    """

    def __init__(self, most: int = MOST) -> None:
        self._most = most
        self.clear()

    def clear(self) -> None:
        """Forget everything."""
        self._kept: list[Reading] = []
        self._every = 1
        self._count = 0
        self.newest: Reading | None = None

    def add(self, reading: Reading) -> None:
        """Take the next reading."""
        if self._count % self._every == 0:
            self._kept.append(reading)
        self._count += 1
        self.newest = reading
        if len(self._kept) >= self._most:
            self._kept = self._kept[::2]
            self._every *= 2

    def readings(self) -> list[Reading]:
        """Oldest first."""
        if self.newest is None or self.newest is self._kept[-1]:
            return list(self._kept)
        return [*self._kept, self.newest]
