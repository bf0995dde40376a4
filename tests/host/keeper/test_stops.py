"""The way in that no client can fill: a datagram stops the rig, and nothing else does."""

from __future__ import annotations

import json
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from stand_in_board import Rig

from glossbath.keeper.server import Server


class Served:
    """A rig whose cycle runs, behind a server that the test turns by hand."""

    def __init__(self, folder: Path) -> None:
        self.rig = Rig(folder / "cycles")
        assert self.rig.start().ok
        self.rig.run(5)
        self.server = Server(folder / "north.keeper")
        self.server.keeper = self.rig.keeper
        self.asker = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        self.asker.bind(str(folder / "asker"))
        self.asker.setblocking(False)

    def send(self, data: bytes) -> None:
        """A datagram comes, and what it asks for is done."""
        (place,) = (
            end
            for end in self.server.path.parent.glob("north*")
            if end != self.server.path and end.is_socket()
        )
        self.asker.sendto(data, str(place))
        self.server._hear_stops()
        self.rig.run(3)


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    made = Served(tmp_path)
    yield made
    made.asker.close()
    made.server.close()


@pytest.mark.parametrize("data", [b"stop", b"stop\n"])
def test_a_datagram_stops_the_rig_and_is_answered(served: Served, data: bytes) -> None:
    served.send(data)
    assert served.rig.board.kinds("stop") >= 1
    assert served.rig.result == "stopped"
    answer = json.loads(served.asker.recv(10_000))
    assert answer["ok"]


@pytest.mark.parametrize("data", [b"", b"start", b"stop it", b"STOP", b"\xff" * 64])
def test_any_other_datagram_does_nothing(served: Served, data: bytes) -> None:
    served.send(data)
    assert served.rig.board.kinds("stop") == 0
    assert served.rig.keeper.snapshot().state == "running"
