"""One process of a kind a user, decided by one lock; and starting one in the background."""

from __future__ import annotations

import fcntl
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from glossbath.client.paths import runtime_folder
from glossbath.errors import GlossbathError, KeeperError


@contextmanager
def only_one(kind: str) -> Iterator[None]:
    """Hold the lock of a kind of process. Raises KeeperError where another one holds it."""
    file = os.open(runtime_folder() / f"{kind}.lock", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(file)
        raise KeeperError(f"A {kind} runs already on this computer.") from None
    try:
        yield
    finally:
        os.close(file)


def start_notifier() -> subprocess.Popen[bytes] | None:
    """Start a notifier in the background where there is something to tell, else None.

    One that runs already stays the only one. Never raises: a cycle does not depend on it, and a
    damaged file of addresses is named by glossbath notify.
    """
    from .targets import read

    try:
        settings = read()
    except GlossbathError as error:
        print(f"glossbath: {error} Nobody is told of this cycle.", file=sys.stderr)
        return None
    if not settings.targets and not settings.heartbeat:
        return None
    return subprocess.Popen(
        [sys.executable, "-m", "glossbath.away.notifier"],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
