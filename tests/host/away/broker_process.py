"""A real broker for the tests of the bridge, where it is installed."""

from __future__ import annotations

import getpass
import shutil
import signal
import socket
import subprocess
import time
from pathlib import Path

import pytest

GUARD_S = 60.0
SERVER = shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin")
needs_broker = pytest.mark.skipif(not SERVER, reason="no mosquitto here: apt install mosquitto")


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class BrokerProcess:
    """A real broker on a port of its own; nothing but loopback can reach it."""

    def __init__(self, folder: Path, more: str = "allow_anonymous true") -> None:
        folder.mkdir()
        self.port = free_port()
        self._settings = folder / "broker.conf"
        self._settings.write_text(
            f"listener {self.port} 127.0.0.1\n{more}\npersistence true\n"
            f"persistence_location {folder}/\nuser {getpass.getuser()}\n"
        )
        self.url = f"mqtt://127.0.0.1:{self.port}"
        self.start()

    def start(self) -> None:
        assert SERVER
        self.process = subprocess.Popen(
            [SERVER, "-c", str(self._settings)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        until(self._listens)

    def _listens(self) -> bool:
        with socket.socket() as probe:
            return probe.connect_ex(("127.0.0.1", self.port)) == 0

    def kill(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(GUARD_S)


def until(what) -> None:
    """Wait for another process; the limit only guards against hanging."""
    end = time.monotonic() + GUARD_S
    while not what():
        assert time.monotonic() < end
        time.sleep(0.02)
