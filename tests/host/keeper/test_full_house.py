"""Who is let go when a keeper has as many clients as it may: the one that is missed least."""

from __future__ import annotations

import json
import resource
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from stand_in_board import Rig

from glossbath.keeper import server as served
from glossbath.keeper.server import Server, most_clients

MOST = 4


class House:
    """A server that takes MOST clients, turned by hand."""

    def __init__(self, folder: Path) -> None:
        self.server = Server(folder / "north.keeper")
        self.rig = Rig(folder / "cycles")
        self.server.keeper = self.rig.keeper
        self.peers: list[socket.socket] = []

    def come(self) -> socket.socket:
        """One more client, which has read its welcome."""
        peer = socket.socket(socket.AF_UNIX)
        peer.settimeout(5.0)
        peer.connect(str(self.server.path))
        self.peers.append(peer)
        self.server._turn()
        peer.recv(1_000_000)
        return peer

    def ask(self, peer: socket.socket, **request: object) -> None:
        """A request that is carried out."""
        peer.send(json.dumps({"id": 1, "values": {}, **request}).encode() + b"\n")
        self.server._turn()
        self.rig.keeper.step()

    def gone(self) -> list[int]:
        """Which clients, in the order in which they came, are no longer served."""
        return [at for at, peer in enumerate(self.peers) if not self._there(peer)]

    def _there(self, peer: socket.socket) -> bool:
        peer.setblocking(False)
        try:
            while peer.recv(1_000_000):
                pass
        except BlockingIOError:
            return True
        except OSError:
            return False
        return False


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[House]:
    monkeypatch.setattr(served, "most_clients", lambda: MOST)
    made = House(tmp_path)
    yield made
    for peer in made.peers:
        peer.close()
    made.server.close()


def test_there_is_room_for_as_many_as_there_may_be(house: House) -> None:
    for _ in range(MOST):
        house.come()
    assert house.gone() == []
    assert house.server.clients == MOST


def test_of_idle_clients_the_first_that_came_goes(house: House) -> None:
    for _ in range(MOST + 1):
        house.come()
    assert house.gone() == [0]


def test_who_asks_stays_before_who_only_looks(house: House) -> None:
    first = house.come()
    house.ask(first, op="acknowledge")
    for _ in range(MOST):
        house.come()
    assert house.gone() == [1]


def test_who_steers_stays_whoever_else_asks(house: House) -> None:
    first = house.come()
    house.ask(first, op="steer")
    for _ in range(MOST - 1):
        other = house.come()
        for _ in range(3):
            house.ask(other, op="acknowledge")
    house.come()
    assert house.gone() == [1]


def test_who_does_not_read_goes_first_though_it_asks(house: House) -> None:
    peers = [house.come() for _ in range(MOST)]
    for _ in range(3):
        house.ask(peers[2], op="acknowledge")
    slow = list(house.server._clients.values())[2]
    slow.queue(b"x" * 1_500_000, False)
    house.come()
    assert house.gone() == [2]


@pytest.mark.parametrize(
    ("files", "most"), [(-1, 64), (10_000, 64), (88, 64), (87, 63), (40, 16), (10, 2)]
)
def test_descriptors_are_kept_for_what_a_keeper_needs_itself(
    monkeypatch: pytest.MonkeyPatch, files: int, most: int
) -> None:
    monkeypatch.setattr(resource, "getrlimit", lambda _: (files, files))
    assert most_clients() == most


def test_a_request_that_never_ends_ends_its_client(house: House) -> None:
    peer = house.come()
    peer.setblocking(True)
    for _ in range(4):
        peer.send(b"x" * 50_000)
        house.server._turn()
    assert house.gone() == []
    peer.setblocking(True)
    peer.send(b"x")
    house.server._turn()
    assert house.gone() == [0]
