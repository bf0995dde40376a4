"""A cycle's folder on a disk that gives trouble when a test wants it."""

from __future__ import annotations

import threading

from patience import PATIENCE_S

from glossbath.record.folder import CycleFolder


class AwkwardFolder(CycleFolder):
    """A folder on a disk that answers only when let go, and then as `refusal` says."""

    def __init__(self, folder: CycleFolder) -> None:
        self.__dict__.update(folder.__dict__)
        self.entered, self.let_go = threading.Event(), threading.Event()
        self.refusal: OSError | None = None
        self.syncs = 0
        self.written: list[bytes] = []

    def append(self, table: str, lines: list[bytes]) -> None:
        self.entered.set()
        self.let_go.wait(PATIENCE_S)
        if self.refusal and lines:
            raise self.refusal
        self.written += lines
        super().append(table, lines)

    def sync(self) -> None:
        self.syncs += 1
        super().sync()
