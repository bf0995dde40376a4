"""The page, the bridge and the notifier beside a keeper that runs a cycle, all of them attacked.

A virtual rig and its keeper run in real time, each by its own clock. Meanwhile the page gets
thousands of idle connections and readers that do not read, the bridge a broker that is not there,
the notifier an address that hangs. Prints, without and with the attack, how old the lease became
at the board, the greatest gap between two readings, the heater's true power and trips.

    .venv/bin/python tests/bench/siege_away.py --seconds 60 --connections 10000
"""

from __future__ import annotations

import argparse
import contextlib
import itertools
import os
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from siege_rig import Bench, bench

from glossbath.away import targets
from glossbath.client.messages import Event, Reading

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

    def __str__(self) -> str:
        return (
            f"connections {self.opened} opened, {self.refused} refused; "
            f"the page answered {self.good} times to somebody else"
        )

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


@contextlib.contextmanager
def attacked(connections: int) -> Iterator[None]:
    """Page, bridge and notifier in a world of their own, under attack; says what came of it."""
    with tempfile.TemporaryDirectory(prefix="siege-away-") as folder:
        os.environ["XDG_CONFIG_HOME"] = os.environ["XDG_STATE_HOME"] = folder
        os.environ["GLOSSBATH_RUN"] = str(Path(folder) / "run")
        attack = Attack(connections)
        try:
            yield
        finally:
            attack.close()
            print(attack)


class Truth:
    """What a real rig would have felt: its heater's true power and the age of its lease, by the
    clock of the rig, which a thread of this program is."""

    def __init__(self, rig: Bench) -> None:
        self._rig = rig
        self._leases_ms: list[int] = []
        take = rig.wire.take

        def heard() -> bytes:
            data = take()
            if b'"lease"' in data:
                self._leases_ms.append(rig.rig.now_ms)
            return data

        rig.wire.take = heard  # type: ignore[method-assign]

    def measure(self, seconds: float) -> str:
        """The oldest lease, gaps between readings, passes with and without heat, and trips."""
        begin_ms, trips, state, walls = self._rig.rig.now_ms, 0, "", []
        until = time.monotonic() + seconds
        with self._rig.client() as client:
            while time.monotonic() < until:
                client.wait(0.2)
                for message in client.drain():
                    if isinstance(message, Reading):
                        walls.append(datetime.fromisoformat(message.wall).timestamp())
                        state = message.state
                    elif isinstance(message, Event):
                        trips += message.kind == "trip"
        leases = [at for at in self._leases_ms if at >= begin_ms]
        oldest_s = max(b - a for a, b in itertools.pairwise(leases)) / 1000
        gap_s = max(b - a for a, b in itertools.pairwise(walls))
        heat = [share for at, share in self._rig.heat if at >= begin_ms]
        mean = sum(heat) / len(heat)
        return (
            f"oldest lease {oldest_s:.2f} s of 6, greatest gap between readings {gap_s:.2f} s, "
            f"true heat {100 * mean:.0f} % in {len(heat)} passes, trips {trips}, {state}"
        )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--connections", type=int, default=10_000)
    asked = parser.parse_args()
    with bench() as rig:
        os.environ.update(rig.environment, XDG_STATE_HOME=str(rig.folder))
        truth = Truth(rig)
        rig.start_cycle()
        time.sleep(10.0)
        print("alone:        ", truth.measure(asked.seconds / 2))
        attack = Attack(asked.connections)
        print("under attack: ", truth.measure(asked.seconds))
        attack.close()
        print(attack)


if __name__ == "__main__":
    main()
