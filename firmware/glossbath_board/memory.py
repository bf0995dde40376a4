"""What the board remembers over a reset and a power cut: its trip, and how often it was reset.

Flash is written only while outputs are off; the caller sees to that.
"""

from .errors import StoreError
from .limits import RESETS, STEADY_MS
from .store import Record

WDT_RESET = 3  # machine.reset_cause(): the watchdog, or a reset the firmware asked for


class Memory:
    """Two records in a folder. trip and detail are the latched trip's, '' when there is none.

    lost is '' or a word for a record of the last trip that cannot be read. resets counts resets
    that followed each other within STEADY_MS of operation.
    """

    def __init__(self, folder: str, reset_cause: int | None) -> None:
        self._trips = Record(folder, "trip")
        self._starts = Record(folder, "starts")
        content = self._trips.load()
        self.lost = "damaged" if content is None and self._trips.damaged() else ""
        self.trip = _text(content, "trip")
        self.detail = _text(content, "detail")
        starts = self._starts.load()
        self.resets = self._count(starts)
        expected = starts is not None and starts.get("expected")
        if reset_cause == WDT_RESET or expected:
            self._write_resets(self.resets if expected else self.resets + 1)

    def expect_reset(self) -> None:
        """The next reset is asked for by a person: do not count it. Raises StoreError."""
        self._starts.save({"resets": self.resets, "expected": 1})

    def _count(self, content: dict | None) -> int:
        if content is None:
            return RESETS if self._starts.damaged() else 0
        count = content.get("resets")
        return count if isinstance(count, int) and count >= 0 else RESETS

    def keep(self, trip: str, detail: str) -> None:
        """Write a trip, unless one is kept already: the first is the cause. Raises StoreError."""
        if not self.trip:
            self.trip, self.detail = trip, detail
            self._trips.save({"trip": trip, "detail": detail})

    def forget(self) -> None:
        """A person has cleared the trip: forget it and the resets. Raises StoreError."""
        self._trips.save({"trip": "", "detail": ""})
        self.trip = self.detail = self.lost = ""
        if self.resets:
            self._starts.save({"resets": 0})
            self.resets = 0

    def steady(self, now_ms: int) -> None:
        """The board has run for now_ms, its outputs are off: count resets anew if it is time."""
        if self.resets and now_ms >= STEADY_MS:
            self._write_resets(0)

    def _write_resets(self, count: int) -> None:
        self.resets = count
        try:
            self._starts.save({"resets": count})
        except StoreError:
            self.resets = RESETS + 1  # a count that cannot be kept cannot be trusted


def _text(content: dict | None, key: str) -> str:
    text = content.get(key) if content else ""
    return text if isinstance(text, str) else "unreadable"
