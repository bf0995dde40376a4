"""A keeper's socket under hostile clients: garbage, half requests, floods, clients that never
read, clients that come and go. A good client asks all the while."""

from __future__ import annotations

import contextlib
import json
import random
import socket
import threading
import tracemalloc
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from patience import PATIENCE_S
from stand_in_board import Rig

from glossbath.client.client import KeeperClient
from glossbath.keeper.server import Server

_CHUNK = 4_096
_OPS = (
    *("start", "stop", "hold", "resume", "step", "clear", "note"),
    *("test", "steer", "acknowledge", "done", "edit", "x"),
)


@dataclass
class Siege:
    """What came of it."""

    sent_bytes: int = 0
    good_answers: int = 0
    memory: list[int] = field(default_factory=list)
    crashed: str = ""


class Hostile:
    """Clients from one seed."""

    def __init__(self, path: Path, seed: int) -> None:
        self._path = path
        self._rng = random.Random(seed)
        self._peers: list[socket.socket] = []

    def send(self) -> int:
        """One client sends something; returns the bytes that the socket took."""
        rng = self._rng
        while len(self._peers) < 4:
            peer = socket.socket(socket.AF_UNIX)
            peer.connect(str(self._path))
            peer.setblocking(False)
            self._peers.append(peer)
        peer = rng.choice(self._peers)
        sent = 0
        with contextlib.suppress(BlockingIOError):
            try:
                sent = peer.send(self._bytes())
                if rng.random() < 0.5:
                    peer.recv(65_536)
            except ConnectionError:
                self._leave(peer)
        if rng.random() < 0.02:
            self._leave(peer)
        return sent

    def close(self) -> None:
        """All go."""
        for peer in list(self._peers):
            self._leave(peer)

    def _leave(self, peer: socket.socket) -> None:
        if peer in self._peers:
            self._peers.remove(peer)
            peer.close()

    def _bytes(self) -> bytes:
        rng = self._rng
        kind = rng.randrange(6)
        if kind == 0:
            return rng.randbytes(_CHUNK)
        if kind == 1:
            return bytes(rng.choice(b'\n{}[]",:0a') for _ in range(_CHUNK))
        request = json.dumps(
            {"id": rng.randrange(10**9), "op": rng.choice(_OPS), "values": self._values()}
        ).encode()
        if kind == 2:
            return request[: rng.randrange(1, len(request))]
        if kind == 3:
            damaged = bytearray(request)
            damaged[rng.randrange(len(damaged))] = rng.randrange(256)
            return bytes(damaged) + b"\n"
        if kind == 4:
            return b'{"id":1,"op":"note","values":{"text":' + b"[" * rng.randrange(2_000) + b"\n"
        return b"".join(request + b"\n" for _ in range(20))

    def _values(self) -> Any:
        rng = self._rng
        keys = ("recipe", "hold_s", "batch_kg", "text", "kind", "result", "code", "where")
        values = (None, -1, 10**12, 1e300, "x" * 700, [], {}, [[[[]]]], True, "phases = [", "\x00")
        return {rng.choice(keys): rng.choice(values) for _ in range(rng.randrange(4))}


def besiege(folder: Path, total_bytes: int, seed: int, settle_s: float = 0.0) -> Siege:
    """Send total_bytes to a keeper that has had readings for settle_s, so that its history is as
    long as it gets."""
    siege = Siege()
    path = folder / "north.keeper"
    server = Server(path)
    rig = Rig(folder / "cycles", server.publish)
    server.keeper = rig.keeper
    rig.run(settle_s)
    rig.board.sent.clear()
    serving = threading.Thread(target=_serve, args=(server, siege), daemon=True)
    serving.start()
    hostile = Hostile(path, seed)
    tracemalloc.start()
    try:
        with KeeperClient(path) as good:
            while siege.sent_bytes < total_bytes and not siege.crashed:
                for _ in range(20):
                    siege.sent_bytes += hostile.send()
                _ask(good, rig, siege)
                good.drain()
                rig.board.sent.clear()
                siege.memory.append(tracemalloc.get_traced_memory()[0])
    finally:
        tracemalloc.stop()
        hostile.close()
        server.ending = True
        serving.join(PATIENCE_S)
        server.close()
        rig.keeper.shut_down("over")
    return siege


def _serve(server: Server, siege: Siege) -> None:
    try:
        server.run()
    except Exception as error:
        siege.crashed = repr(error)


def _ask(good: KeeperClient, rig: Rig, siege: Siege) -> None:
    """The good client's request goes out, the keeper steps, the answer comes."""
    answers: list[Any] = []

    def ask() -> None:
        answers.append(good.request("note", timeout_s=PATIENCE_S, text="All is well."))

    asking = threading.Thread(target=ask)
    asking.start()
    while asking.is_alive():
        rig.run(0.25)
        asking.join(0.005)
    siege.good_answers += bool(answers and answers[0].text)
