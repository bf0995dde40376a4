"""Starts keepers as processes of their own, which outlive the terminal they were started from."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from pathlib import Path

from glossbath.errors import KeeperError

from .client import KeeperClient
from .paths import runtime_folder, socket_path

_PATIENCE_S = 20.0


def start_keeper(
    rig: str,
    port: str,
    cycles: Path | None = None,
    clock: Path | None = None,
    speed: float = 1.0,
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
    errors = runtime_folder() / f"{rig}.log"
    with open(errors, "wb") as sink:
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
            said = errors.read_text(errors="replace").strip().splitlines()
            raise KeeperError(said[-1] if said else f"The keeper of {rig} ended at once.")
        if answers(rig):
            return process
        time.sleep(0.02)
    process.kill()
    raise KeeperError(f"The keeper of {rig} did not come up within {_PATIENCE_S:g} s.")


def answers(rig: str) -> bool:
    """Whether a rig's keeper runs."""
    # The file alone says nothing: a keeper that was killed leaves it behind.
    with socket.socket(socket.AF_UNIX) as probe:
        return probe.connect_ex(str(socket_path(rig))) == 0


def connect(rig: str, steer: bool = False) -> KeeperClient:
    """A client of a rig's keeper, which steers if it may; raises KeeperError when none answers."""
    return KeeperClient(socket_path(rig), steer=steer)
