"""Faults of the computer for tests/bench/siege_processes.py: descriptors, memory, disk, clock."""

from __future__ import annotations

import contextlib
import resource
import subprocess
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from siege_rig import SERVE, Bench

from glossbath.record import open_cycle

_MB = 1 << 20
_CLOCK = """
import time
real = time.time_ns
time.time_ns = lambda: real() + {offset_ns}
"""


def few_files(count: int) -> Callable[[], None]:
    """What limits a process's open files, for its beginning."""
    return lambda: resource.setrlimit(resource.RLIMIT_NOFILE, (count, count))


class Fault:
    """Put before a keeper starts (what `with` gives are its arguments) or while its cycle runs."""

    def __enter__(self) -> dict[str, Any]:
        return {}

    def __exit__(self, *_: object) -> None:
        pass

    def put(self, rig: Bench) -> None:
        """While heat flows."""

    def judged(self, rig: Bench, wrong: str) -> str:
        """What is wrong in the end."""
        return wrong


class Memory(Fault):
    """The keeper may have so much memory of its own."""

    def __enter__(self) -> dict[str, Any]:
        size = 200 * _MB
        return {"limits": lambda: resource.setrlimit(resource.RLIMIT_DATA, (size, size))}


class Clock(Fault):
    """The computer's date is wrong by years."""

    def __init__(self, year: int) -> None:
        self._offset_ns = round((year - 2026) * 365.25 * 86_400e9)

    def __enter__(self) -> dict[str, Any]:
        return {"code": _CLOCK.format(offset_ns=self._offset_ns) + SERVE}


class FullDisk(Fault):
    """No room is left; the cycle completes, and its record says that it is incomplete."""

    def __init__(self) -> None:
        self._stack = contextlib.ExitStack()
        self._folder = ""

    def __enter__(self) -> dict[str, Any]:
        self._folder = self._stack.enter_context(tempfile.TemporaryDirectory(prefix="siege-disk-"))
        mount = ["mount", "-t", "tmpfs", "-o", "size=512k", "tmpfs", self._folder]
        subprocess.run(mount, check=True, capture_output=True)
        self._stack.callback(lambda: subprocess.run(["umount", "-l", self._folder], check=False))
        return {"cycles": self._folder}

    def __exit__(self, *_: object) -> None:
        self._stack.close()

    def put(self, rig: Bench) -> None:
        hog = Path(self._folder) / "hog"
        with hog.open("wb", buffering=0) as file, contextlib.suppress(OSError):
            while True:
                file.write(bytes(4096))

    def judged(self, rig: Bench, wrong: str) -> str:
        return wrong or ("" if open_cycle(rig.record).facts else "the record cannot be read")


class ReadOnlyDisk(FullDisk):
    """The disk can no longer be written to."""

    def put(self, rig: Bench) -> None:
        # Linux refuses a remount while a file is open for writing; made immutable it is the same.
        for path in (*Path(rig.record).iterdir(), Path(rig.record)):
            subprocess.run(["chattr", "+i", path], check=False, capture_output=True)

    def judged(self, rig: Bench, wrong: str) -> str:
        # Nothing can be recorded any more; that the readings up to then are there is what counts.
        cycle = open_cycle(rig.record)
        if cycle.result == "cut short" and next(iter(cycle.readings()), None) is not None:
            return ""
        return wrong


FAULTS: dict[str, Callable[[], Fault]] = {
    "200 MB of memory": Memory,
    "clock at 1970": lambda: Clock(1970),
    "clock at 2200": lambda: Clock(2200),
    "full disk": FullDisk,
    "read-only disk": ReadOnlyDisk,
}
