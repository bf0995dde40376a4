"""A client that reads nothing costs the keeper a bounded amount of memory, then its place."""

from __future__ import annotations

import contextlib
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from stand_in_board import Rig

from glossbath.client.messages import Event, Reading
from glossbath.keeper.server import Server

MOST_BYTES = 5_000_000
LINE = "x" * 100_000


class Served:
    """A server with one client, whose other end the test holds."""

    def __init__(self, folder: Path) -> None:
        self.server = Server(folder / "north.keeper")
        self.server.keeper = Rig(folder / "cycles").keeper
        self.peer = socket.socket(socket.AF_UNIX)
        self.peer.connect(str(self.server.path))
        self.server._accept()
        (self.client,) = self.server._clients.values()

    def waiting(self) -> int:
        """Bytes kept for the client."""
        return sum(map(len, self.client.waiting))


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    made = Served(tmp_path)
    yield made
    made.peer.close()
    with contextlib.suppress(OSError):
        made.server.close()


def test_one_that_never_reads_is_dropped_before_it_fills_the_memory(served: Served) -> None:
    for number in range(200):  # 20 MB
        served.server.publish(Event(float(number), "", "note", "", LINE))
        assert served.waiting() <= MOST_BYTES
        served.server._write_all()
        if not served.server.clients:
            break
    assert served.server.clients == 0


def test_one_that_reads_stays_and_gets_every_event(served: Served) -> None:
    heard = b""
    served.peer.setblocking(False)
    for number in range(200):
        served.server.publish(Event(float(number), "", "note", "", LINE))
        while served.waiting():
            served.server._write_all()
            with contextlib.suppress(BlockingIOError):
                heard += served.peer.recv(1_000_000)
    with contextlib.suppress(BlockingIOError):
        while data := served.peer.recv(1_000_000):
            heard += data
    assert heard.count(LINE.encode()) == 200
    assert served.server.clients == 1
    assert served.client.buffered == 0


def test_readings_are_given_up_first_and_the_client_stays(served: Served) -> None:
    reading = Reading(
        1.0, LINE, None, None, None, None, None, 0.0, 0.0, 0.0, "idle", "", 0, 0.0, None, None
    )
    for _ in range(200):
        served.server.publish(reading)
        served.server._write_all()
    assert served.server.clients == 1
    assert served.waiting() <= MOST_BYTES // 4 + len(LINE)
