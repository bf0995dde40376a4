"""The page, the bridge and the notifier beside a keeper that runs a cycle, all of them attacked.

A virtual rig and its keeper run in real time, each by its own clock. Meanwhile the page gets
thousands of idle connections and readers that do not read, the bridge a broker that is not there,
the notifier an address that hangs. Prints, without and with the attack, the greatest gap between
two readings of the board, whether the lease was ever late, and the state at the end.

    .venv/bin/python tests/bench/siege_away.py --seconds 60 --connections 10000
"""

from __future__ import annotations

import argparse
import os
import socket
import subprocess
import sys
import tempfile
import threading
import time
from datetime import datetime
from pathlib import Path

from glossbath.away import targets
from glossbath.cli.demo import begin, virtual_world
from glossbath.cli.virtual_hand import helping
from glossbath.client.launch import connect, start_keeper
from glossbath.client.messages import Event, Reading, Snapshot
from glossbath.recipe import dump, load

SLOW_READERS = 20
ASK = b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Attack:
    """What is done to the processes beside the keeper."""

    def __init__(self, connections: int) -> None:
        self._left = connections
        self.opened = 0
        self.refused = 0
        self.good = 0
        self._stop = threading.Event()
        self._hangs = socket.socket()
        self._hangs.bind(("127.0.0.1", 0))
        self._hangs.listen()  # takes connections and never answers
        self._page = free_port()
        targets.write(
            targets.add(
                targets.Settings(), f"json://127.0.0.1:{self._hangs.getsockname()[1]}", "", ""
            )
        )
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        page = ["look", "--serve", f"127.0.0.1:{self._page}"]
        bridge = ["bridge", "--broker", "mqtt://127.0.0.1:1"]
        self._processes = [
            subprocess.Popen([sys.executable, "-m", *words], **quiet)  # type: ignore[call-overload]
            for words in (
                ["glossbath", *page],
                ["glossbath", *bridge],
                ["glossbath.away.notifier", "--stay"],
            )
        ]
        self._await_page()
        self._threads = [
            threading.Thread(target=work, daemon=True)
            for work in (self._flood, self._read_slowly, self._look)
        ]
        for thread in self._threads:
            thread.start()

    def close(self) -> None:
        self._stop.set()
        for thread in self._threads:
            thread.join(5.0)
        for process in self._processes:
            process.terminate()
            process.wait(10.0)
        self._hangs.close()

    def _await_page(self) -> None:
        until = time.monotonic() + 60.0
        while time.monotonic() < until:
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", self._page)) == 0:
                    return
            time.sleep(0.1)
        raise SystemExit("The page did not come up.")

    def _flood(self) -> None:
        open_now: list[socket.socket] = []
        while self._left > 0 and not self._stop.is_set():
            self._left -= 1
            each = socket.socket()
            each.settimeout(0.5)
            try:
                each.connect(("127.0.0.1", self._page))
                self.opened += 1
            except OSError:
                self.refused += 1
            open_now.append(each)
            if len(open_now) > 500:
                open_now.pop(0).close()
        for each in open_now:
            each.close()

    def _read_slowly(self) -> None:
        readers = []
        for at in range(SLOW_READERS):
            reader = socket.socket()
            reader.bind((f"127.0.0.{20 + at}", 0))
            reader.settimeout(5.0)
            try:
                reader.connect(("127.0.0.1", self._page))
                reader.sendall(ASK.replace(b"/ ", b"/events ", 1) + b"\r\n")
                readers.append(reader)
            except OSError:
                reader.close()
        self._stop.wait()
        for reader in readers:
            reader.close()

    def _look(self) -> None:
        """Somebody who only wants to see the page."""
        while not self._stop.wait(1.0):
            try:
                with socket.create_connection(
                    ("127.0.0.1", self._page), 5.0, source_address=("127.0.0.9", 0)
                ) as other:
                    other.sendall(
                        b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n"
                    )
                    self.good += other.recv(15).startswith(b"HTTP/1.1 200")
            except OSError:
                pass


def measure(rig: str, seconds: float) -> str:
    """The greatest gap between readings by the computer's clock, lost leases, and trips."""
    gaps, lease_lost, trips, state, last = [0.0], 0, 0, "", 0.0
    until = time.monotonic() + seconds
    with connect(rig) as client:
        while time.monotonic() < until:
            client.wait(0.2)
            for message in client.drain():
                if isinstance(message, Reading):
                    at = datetime.fromisoformat(message.wall).timestamp()
                    if last:
                        gaps.append(at - last)
                    last, state = at, message.state
                elif isinstance(message, Snapshot):
                    lease_lost += not message.health.lease_ok
                elif isinstance(message, Event):
                    trips += message.kind == "trip"
    return f"greatest gap {max(gaps):.2f} s, lease late {lease_lost}, trips {trips}, {state}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--connections", type=int, default=10_000)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_CONFIG_HOME"] = os.environ["XDG_STATE_HOME"] = folder
        os.environ["GLOSSBATH_RUN"] = str(Path(folder) / "run")
        flash = Path(folder) / "flash"
        with virtual_world(flash, 1.0) as world, helping("bench", world.order):
            keeper = start_keeper("bench", world.port, Path(folder) / "cycles")
            with connect("bench", steer=True) as client:
                begin(client, recipe=dump(load("dark")), where="dark", batch_kg=1.0)
            measure("bench", 10.0)
            print("alone:        ", measure("bench", asked.seconds / 2))
            attack = Attack(asked.connections)
            print("under attack: ", measure("bench", asked.seconds))
            attack.close()
            print(
                f"connections {attack.opened} opened, {attack.refused} refused; "
                f"the page answered {attack.good} times to somebody else"
            )
            keeper.terminate()
            keeper.wait(15.0)


if __name__ == "__main__":
    main()
