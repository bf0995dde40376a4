"""Starts keepers as processes of their own, which outlive the terminal they were started from."""

from __future__ import annotations

import contextlib
import errno
import os
import socket
import subprocess
import sys
import time
from pathlib import Path
from typing import IO

from glossbath.errors import InputError, KeeperError

from .client import KeeperClient
from .paths import check_name, keepers, runtime_folder, socket_path

_PATIENCE_S = 20.0
_PROBE_S = 0.5


def start_keeper(
    rig: str,
    port: str,
    cycles: Path | None = None,
    clock: Path | None = None,
    speed: float = 1.0,
    hook: str = "",
) -> subprocess.Popen[bytes]:
    """Start a keeper in the background; raises KeeperError in its own words if it ends at once."""
    words = [
        sys.executable,
        "-m",
        "glossbath.keeper.serve",
        rig,
        "--port",
        port,
        "--speed",
        str(speed),
    ]
    if cycles is not None:
        words += ["--cycles", str(cycles)]
    if clock is not None:
        words += ["--clock", str(clock)]
    if hook:
        words += ["--hook", hook]
    errors = runtime_folder() / f"{rig}.log"
    with _log_file(errors) as sink:
        process = subprocess.Popen(
            words,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=sink,
            start_new_session=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )
    until = time.monotonic() + _PATIENCE_S
    while time.monotonic() < until:
        if process.poll() is not None:
            raise KeeperError(last_words(rig) or f"The keeper of {rig} ended at once.")
        if answers(rig):
            return process
        time.sleep(0.02)
    process.kill()
    raise KeeperError(f"The keeper of {rig} did not come up within {_PATIENCE_S:g} s.")


def _log_file(path: Path) -> IO[bytes]:
    flags = os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_NOFOLLOW
    try:
        fd = os.open(path, flags, 0o600)
    except OSError as error:
        raise InputError(f"The log {path} cannot be written: {error.strerror}.") from error
    os.fchmod(fd, 0o600)
    return os.fdopen(fd, "wb")


def last_words(rig: str) -> str:
    """What a keeper that has ended wrote last into its log; empty when nothing."""
    try:
        said = (runtime_folder() / f"{rig}.log").read_text(errors="replace").strip().splitlines()
    except OSError:
        return ""
    return said[-1] if said else ""


def answers(rig: str) -> bool:
    """Whether a rig's keeper runs."""
    # The file alone says nothing: a keeper that was killed leaves it behind.
    with socket.socket(socket.AF_UNIX) as probe:
        probe.settimeout(_PROBE_S)
        # EAGAIN: its queue of connections is full, so there is somebody.
        return probe.connect_ex(str(socket_path(rig))) in (0, errno.EAGAIN)


def keeper_process(rig: str) -> str:
    """The process identifier of a rig's keeper, as its lock says; 'unknown' where it does not."""
    with contextlib.suppress(OSError):
        said = socket_path(rig).with_suffix(".lock").read_text(errors="replace").strip()
        return said if said.isdigit() else "unknown"
    return "unknown"


def answering() -> list[str]:
    """Every rig of this user whose keeper runs."""
    return [rig for rig, _ in keepers() if answers(rig)]


def the_rig(named: str) -> str:
    """The rig that a person means: the one that was named, else the only one that runs.

    Raises KeeperError where none runs, or none of that name, and InputError where one of several
    must be named; the sentence lists what runs.
    """
    found = answering()
    if named and check_name(named) in found:
        return named
    running = f"Running: {', '.join(found)}." if found else "No keeper runs on this computer."
    if named:
        raise KeeperError(f"No keeper of rig '{named}' runs. {running}")
    if len(found) == 1:
        return found[0]
    if not found:
        raise KeeperError(f"{running} Start a cycle with glossbath run.")
    raise InputError(f"Several rigs run: {', '.join(found)}. Name one with --rig.")


def connect(rig: str, steer: bool = False) -> KeeperClient:
    """A client of a rig's keeper, which steers if it may; raises KeeperError when none answers."""
    return KeeperClient(socket_path(rig), steer=steer)
