"""A hundred kilobytes of hostile bytes for a keeper's socket; the long run is
tests/bench/siege.py."""

from __future__ import annotations

import errno
import socket
from pathlib import Path

import pytest
from socket_siege import Siege, besiege
from stand_in_board import Rig

from glossbath.keeper.server import MOST_CLIENTS, Server, most_clients

BYTES = 100_000
MEMORY_SLACK = 3_000_000
"""Bytes: what slow clients may have waiting, the largest part of it being history."""


@pytest.fixture(scope="module")
def siege(tmp_path_factory: pytest.TempPathFactory) -> Siege:
    return besiege(tmp_path_factory.mktemp("siege"), BYTES, 1)


def test_the_server_lives_and_the_good_client_is_answered_every_time(siege: Siege) -> None:
    assert siege.crashed == ""
    assert siege.sent_bytes >= BYTES
    assert siege.good_answers == len(siege.memory)


def test_memory_stays_flat(siege: Siege) -> None:
    half = len(siege.memory) // 2
    assert max(siege.memory[half:]) < max(siege.memory[:half]) + MEMORY_SLACK


@pytest.mark.parametrize(
    "line",
    [
        b'{"id":1,"op":"note","values":{"text":"\x8a"}}',
        b'{"id":1,"op":"note","values":{"text":"\\ud800"}}',
        b'{"id":1,"op":"note","values":{"text":' + b"[" * 50_000,
        b'{"id":1e999,"op":"note","values":{}}',
        b"\x00\xff" * 100,
        b"",
    ],
)
def test_a_line_that_is_no_request_is_answered_and_harms_nobody(
    tmp_path: Path, line: bytes
) -> None:
    server = Server(tmp_path / "north.keeper")
    server.keeper = Rig(tmp_path / "cycles").keeper
    peer = socket.socket(socket.AF_UNIX)
    try:
        peer.connect(str(server.path))
        server._accept()
        (client,) = server._clients.values()
        peer.send(line + b"\n")
        server._hear(client)
        (said,) = [reply for reply in client.waiting if b'"reply"' in reply]
        assert b"not a request" in said
    finally:
        peer.close()
        server.close()


def test_a_keeper_without_a_free_descriptor_waits_and_takes_in_who_waited(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    server = Server(tmp_path / "north.keeper")
    server.keeper = Rig(tmp_path / "cycles").keeper
    listener, full = server._place.listener, [True]

    class Listener:
        def accept(self) -> object:
            if full:
                full.pop()
                raise OSError(errno.EMFILE, "Too many open files")
            return listener.accept()

    monkeypatch.setattr("glossbath.keeper.server.time.sleep", lambda seconds: None)
    monkeypatch.setattr(server._place, "listener", Listener())
    peer = socket.socket(socket.AF_UNIX)
    try:
        peer.connect(str(server.path))
        server._accept()
        assert server.clients == 0
        server._accept()
        assert server.clients == 1
    finally:
        monkeypatch.undo()
        peer.close()
        server.close()


def test_of_too_many_clients_the_longest_idle_ones_go(tmp_path: Path) -> None:
    server = Server(tmp_path / "north.keeper")
    server.keeper = Rig(tmp_path / "cycles").keeper
    peers = []
    try:
        for _ in range(MOST_CLIENTS + 5):
            peer = socket.socket(socket.AF_UNIX)
            peer.connect(str(server.path))
            peers.append(peer)
            server._accept()
        assert server.clients == MOST_CLIENTS
        assert peers[0].recv(100) == b""
        server._write_all()
        assert b"snapshot" in peers[-1].recv(100)
    finally:
        for peer in peers:
            peer.close()
        server.close()


@pytest.mark.parametrize(("files", "clients"), [(32, 8), (10, 2), (1024, 64)])
def test_few_descriptors_leave_fewer_clients_and_never_the_record(
    monkeypatch: pytest.MonkeyPatch, files: int, clients: int
) -> None:
    monkeypatch.setattr("resource.getrlimit", lambda kind: (files, files))
    assert most_clients() == clients
