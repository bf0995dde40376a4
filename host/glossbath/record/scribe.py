"""The thread that brings rows to the disk, so that a slow or full one never holds up supervision.

Rows wait in a bounded queue. When the disk fails, rows are counted instead of written until the
next sync, then writing is tried again; the rig goes on meanwhile.
"""

from __future__ import annotations

import contextlib
import threading
from queue import Empty, SimpleQueue
from typing import NamedTuple

from .folder import CycleFolder

_MOST_AT_ONCE = 2_000


class _Row(NamedTuple):
    table: str
    line: bytes


class _End(NamedTuple):
    result: str
    ended: str


class _Sync(NamedTuple):
    last: bool = False


class Scribe:
    """Writes to an open folder until closed. Rows beyond `longest_queue` waiting are refused."""

    def __init__(self, folder: CycleFolder, longest_queue: int) -> None:
        self._folder = folder
        self._longest_queue = longest_queue
        self._queue: SimpleQueue[_Row | _End | _Sync] = SimpleQueue()
        self._offered = 0  # rows put into the queue: written by the owner only
        self._settled = 0  # rows taken out, in the folder or lost: by the thread only
        self._lost = 0
        self._refused = 0  # rows not put into the queue: by the owner only
        self._sync_waits = False
        self._holding_off = False
        self._end: _End | None = None
        self._disk_failure = ""
        self._thread = threading.Thread(target=self._run, name="cycle record", daemon=True)
        self._thread.start()

    @property
    def failure(self) -> str:
        """Why rows are not being written at present, in one sentence; empty when all is well."""
        if self._disk_failure:
            return self._disk_failure
        if self._offered - self._settled >= self._longest_queue:
            return (
                f"The record in {self._folder.path} is not being written: the disk does not keep "
                f"up; the rig goes on without it."
            )
        return ""

    @property
    def unwritten(self) -> int:
        """Rows that are not in the folder and will not be."""
        return self._refused + self._lost

    def put(self, table: str, line: bytes) -> None:
        """Have a line added to a table; never waits."""
        if self._offered - self._settled >= self._longest_queue:
            self._refused += 1
            return
        self._offered += 1
        self._queue.put(_Row(table, line))

    def sync(self) -> None:
        """Have the disk take everything so far; never waits."""
        if not self._sync_waits:
            self._sync_waits = True
            self._queue.put(_Sync())

    def end(self, result: str, ended: str) -> None:
        """Have the end recorded; never waits."""
        self._queue.put(_End(result, ended))

    def close(self, timeout_s: float) -> bool:
        """Write what waits, let go of the files; False if the disk took longer than timeout_s."""
        if self._thread.is_alive():
            self._queue.put(_Sync(last=True))
            self._thread.join(timeout_s)
        return not self._thread.is_alive()

    def _run(self) -> None:
        last = False
        while not last:
            last = self._work(self._waiting())
        if self._end is not None:
            # Rows that found no room must not keep the end from being tried by itself.
            with contextlib.suppress(OSError):
                self._folder.use_reserve()
            self._work([_Sync(last=True)])
        self._folder.close()

    def _waiting(self) -> list[_Row | _End | _Sync]:
        jobs = [self._queue.get()]
        try:
            while len(jobs) < _MOST_AT_ONCE:
                jobs.append(self._queue.get_nowait())
        except Empty:
            pass
        return jobs

    def _work(self, jobs: list[_Row | _End | _Sync]) -> bool:
        """Do the jobs, tell whether they were the last ones."""
        # Events first: they are few, and say more than a reading where room is short.
        lines: dict[str, list[bytes]] = {"events": []}
        sync = last = False
        for job in jobs:
            if isinstance(job, _Row):
                lines.setdefault(job.table, []).append(job.line)
            elif isinstance(job, _End):
                self._end = job
                sync = True
            else:
                sync = True
                last = last or job.last
        if sync:
            self._sync_waits = self._holding_off = False
        try:
            if not self._holding_off:
                self._write(lines, sync)
                if any(lines.values()):
                    # A disk without room takes a sync; only rows show that it is well again.
                    self._disk_failure = ""
        except Exception as error:
            # Anything: a thread that died unnoticed would look like a record being written.
            self._holding_off = True
            self._disk_failure = self._sentence(error)
            self._folder.close()
        self._settled += sum(len(table) for table in lines.values())
        self._lost = self._settled - self._folder.rows
        return last

    def _write(self, lines: dict[str, list[bytes]], sync: bool) -> None:
        self._folder.open()
        for table, rows in lines.items():
            self._folder.append(table, rows)
        if sync:
            self._folder.sync()
        if self._end is not None:
            offered = self._settled + sum(len(rows) for rows in lines.values())
            self._folder.end(*self._end, self._refused + offered - self._folder.rows)
            self._end = None

    def _sentence(self, error: Exception) -> str:
        reason = error.strerror if isinstance(error, OSError) else repr(error)
        return (
            f"The record in {self._folder.path} is not being written: {reason}; look at the disk, "
            f"the rig goes on without it."
        )
