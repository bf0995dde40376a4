"""What the board remembers over a reset and a power cut: its trip, and how often it was reset.

Flash is written only while outputs are off; the caller sees to that.
"""

import os

from .errors import StoreError
from .limits import RESETS, STEADY_MS
from .store import Record

WDT_RESET = 3  # machine.reset_cause(): the watchdog, or a reset the firmware asked for
MARKS = "begun"  # main.py adds the cause of each start to this file; see _count_resets
EXPECTED = "e"  # in that file: the next reset is asked for by a person


class Memory:
    """Two records in a folder. trip and detail are the latched trip's, '' when there is none.

    lost is '' or a word for a record of the last trip that cannot be read. resets counts resets
    that followed each other within STEADY_MS of operation. reset_cause is why this start came, or
    None where it is not to be counted.
    """

    def __init__(self, folder: str, reset_cause: int | None) -> None:
        self._marks = folder + "/" + MARKS
        self._trips = Record(folder, "trip")
        self._starts = Record(folder, "starts")
        content = self._trips.load()
        self.lost = "damaged" if self._trips.damaged() else ""
        self.trip = _text(content, "trip")
        self.detail = _text(content, "detail")
        self.resets = self._kept_resets()
        if reset_cause is not None:
            self._count_resets(reset_cause)

    def expect_reset(self) -> None:
        """The next reset is asked for by a person: do not count it. Raises StoreError."""
        try:
            with open(self._marks, "w") as file:
                file.write(EXPECTED)
        except OSError as error:
            raise StoreError("flash refused the mark") from error

    def _kept_resets(self) -> int:
        if self._starts.damaged():
            return RESETS
        content = self._starts.load()
        count = content.get("resets") if content else 0
        return count if isinstance(count, int) and count >= 0 else RESETS

    def _count_resets(self, cause: int) -> None:
        """Count this start, and those before it that were cut before they came so far."""
        marks = ""
        try:
            with open(self._marks) as file:
                marks = file.read()
        except (OSError, ValueError):
            pass  # main.py could not write: this start alone is known
        if not marks or marks[-1] == EXPECTED:
            marks += str(cause)
        count = 0
        expected = False
        for mark in marks:
            if mark == str(WDT_RESET) and not expected:
                count += 1
            expected = mark == EXPECTED
        if count:
            self._write_resets(self.resets + count)
        try:
            os.remove(self._marks)
        except OSError:
            pass  # there is none

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
