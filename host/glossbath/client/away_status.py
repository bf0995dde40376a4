"""What the processes that tell and show away from the rig say of themselves, for a screen.

One small file a process, in the runtime folder, replaced in one step each time it changes.
"""

from __future__ import annotations

import contextlib
import os

import msgspec

from .paths import runtime_folder

NOTIFIER = "notifier"
"""The kind of process that tells."""


class AwayStatus(msgspec.Struct, frozen=True):
    """How the telling goes."""

    targets: int = 0
    delivered: int = 0
    waiting: int = 0
    not_delivered: dict[str, str] = {}
    """Address without secrets to the local time since which nothing got through."""
    heartbeat: str = ""
    """Why the last heartbeat failed; empty while they succeed."""
    pid: int = 0

    @property
    def sentence(self) -> str:
        """What a person at a screen must know; empty when all is well."""
        if self.not_delivered:
            shown = ", ".join(f"{name} since {at}" for name, at in self.not_delivered.items())
            return f"Notices are not delivered: {shown}."
        return f"The heartbeat fails: {self.heartbeat}." if self.heartbeat else ""


def write(kind: str, status: AwayStatus) -> None:
    """Replace the status of a kind of process; a full disk is no reason to end."""
    path = runtime_folder() / f"{kind}.status"
    beside = path.with_suffix(".new")
    data = msgspec.json.encode(msgspec.structs.replace(status, pid=os.getpid()))
    with contextlib.suppress(OSError):
        if path.exists() and path.read_bytes() == data:
            return
        beside.write_bytes(data)
        os.replace(beside, path)


def read(kind: str) -> AwayStatus | None:
    """The status of a kind of process that runs; None where none does."""
    try:
        status = msgspec.json.decode(
            (runtime_folder() / f"{kind}.status").read_bytes(), type=AwayStatus
        )
        os.kill(status.pid, 0)
    except (OSError, msgspec.MsgspecError):
        return None
    return status


def remove(kind: str) -> None:
    """The process ends."""
    with contextlib.suppress(OSError):
        (runtime_folder() / f"{kind}.status").unlink()
