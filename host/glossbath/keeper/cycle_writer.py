"""Writes one cycle's record as it happens.

Nothing here waits for the disk or raises because of it: a record that cannot be written is told
through `failure`, and the rig goes on.
"""

from __future__ import annotations

import os
from pathlib import Path

from glossbath.client.messages import Event, Reading
from glossbath.errors import InputError, LogError
from glossbath.record.folder import claim, new_folder
from glossbath.record.package import RESULTS, CycleHeader, utc_text
from glossbath.record.rows import event_line, reading_line
from glossbath.record.scribe import Scribe

SYNC_S = 1.0
_LONGEST_QUEUE = 20_000  # rows, about 4 MB

__all__ = ["CycleHeader", "CycleWriter"]


class CycleWriter:
    """Begins a new folder in parent. Raises LogError when that fails, InputError for a bad header.

    After that only `close` waits, and nothing raises OSError.
    """

    def __init__(self, parent: str | os.PathLike[str], header: CycleHeader) -> None:
        try:
            folder = new_folder(Path(parent), header)
        except (OSError, ValueError) as error:
            reason = error.strerror if isinstance(error, OSError) else str(error)
            refused = LogError(
                f"No record of the cycle can be begun in {os.fspath(parent)!r}: {reason}; choose "
                f"another folder or make room there."
            )
            refused.exit_code = InputError.exit_code
            raise refused from error
        self.folder = folder.path
        self._claim = claim(folder.path)
        self._virtual = header.virtual
        self._scribe = Scribe(folder, _LONGEST_QUEUE)
        self._synced_s: float | None = None
        self._finished = False
        self._late = 0

    @property
    def failure(self) -> str:
        """Why the record is not being written at present, in one sentence, or empty."""
        return self._scribe.failure

    @property
    def finished(self) -> bool:
        """Whether the end was recorded, or as much of it as the disk takes."""
        return self._finished

    @property
    def unwritten(self) -> int:
        """Rows that are missing in the record."""
        return self._scribe.unwritten + self._late

    def reading(
        self,
        reading: Reading,
        board_ticks_ms: int,
        boot_id: str,
        wall_ns: int,
        monotonic_ns: int,
    ) -> None:
        """Add a reading, with the board's and the computer's clocks when it came in."""
        self._put(
            "readings",
            reading_line(reading, self._virtual, board_ticks_ms, boot_id, wall_ns, monotonic_ns),
        )

    def event(self, event: Event) -> None:
        """Add an event and have the disk take it at once."""
        self._put("events", event_line(event, self._virtual))
        self._scribe.sync()

    def sync(self, now_s: float) -> None:
        """Have the disk take everything, at most every SYNC_S; call it often, on a steady clock.

        It also notices when the files were taken away, and tries again after a failure.
        """
        if self._synced_s is None or not abs(now_s - self._synced_s) < SYNC_S:
            self._synced_s = now_s
            self._scribe.sync()

    def finish(self, result: str, ended_ns: int) -> None:
        """Have the end recorded: complete, stopped or tripped, at ended_ns since 1970 UTC.

        Rows that come later are counted as unwritten. Raises InputError for another result.
        """
        if result not in RESULTS:
            raise InputError(
                f"A cycle cannot end as {result!r}, only as {', '.join(RESULTS)}; use one of them."
            )
        self._finished = True
        self._scribe.end(result, utc_text(ended_ns))

    def close(self, timeout_s: float = 10.0) -> bool:
        """Wait until everything is written; False if the disk took longer than timeout_s."""
        self._finished = True
        closed = self._scribe.close(timeout_s)
        if self._claim >= 0:
            os.close(self._claim)
            self._claim = -1
        return closed

    def _put(self, table: str, line: bytes) -> None:
        if self._finished:
            self._late += 1
        else:
            self._scribe.put(table, line)
