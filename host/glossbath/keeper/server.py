"""The keeper's private socket and the clients behind it, each with what still has to go out.

One thread runs the server; the keeper publishes from its own. The socket has mode 0600.
"""

from __future__ import annotations

import contextlib
import itertools
import selectors
import socket
import threading
import time
from collections import deque
from pathlib import Path

import msgspec

from glossbath.client.messages import (
    Message,
    Reading,
    Reply,
    Request,
    Snapshot,
    request_from_line,
    to_line,
)
from glossbath.errors import KeeperError

from .keeper import Keeper

_MOST_BUFFERED = 4_000_000
_LONGEST_REQUEST = 200_000
MOST_CLIENTS = 64  # far more than anybody looks at a rig with


class Client:
    """One connected client: what it has sent and what still has to go out."""

    def __init__(self, peer: socket.socket, number: int) -> None:
        self.peer = peer
        self.number = number
        self.heard = bytearray()
        self.waiting: deque[bytes] = deque()
        self.buffered = 0

    def queue(self, line: bytes, droppable: bool) -> None:
        """Put a line in the queue; a client that does not read loses readings first."""
        if droppable and self.buffered > _MOST_BUFFERED // 4:
            return
        self.waiting.append(line)
        self.buffered += len(line)


class Server:
    """Serves one keeper's clients. publish may be called from any thread."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._take_place()
        self._listener = socket.socket(socket.AF_UNIX)
        self._listener.bind(str(path))
        path.chmod(0o600)
        self._listener.listen()
        self._listener.setblocking(False)
        self._waker, self._woken = socket.socketpair()
        self._woken.setblocking(False)
        self._waker.setblocking(False)
        self._selector = selectors.DefaultSelector()
        self._selector.register(self._listener, selectors.EVENT_READ, None)
        self._selector.register(self._woken, selectors.EVENT_READ, None)
        self._clients: dict[int, Client] = {}
        self._numbers = itertools.count(1)
        self._lock = threading.Lock()
        self.keeper: Keeper | None = None
        self.ending = False

    def _take_place(self) -> None:
        """Refuse a second keeper; remove what one that died has left."""
        with socket.socket(socket.AF_UNIX) as probe:
            try:
                probe.connect(str(self.path))
            except OSError:
                self.path.unlink(missing_ok=True)
                return
        raise KeeperError(f"A keeper for {self.path.stem} runs already: use glossbath attach.")

    @property
    def clients(self) -> int:
        """How many clients are connected."""
        return len(self._clients)

    def publish(self, message: Message) -> None:
        """Send a message to every client."""
        if not self._clients:
            return
        line = to_line(message)
        steers: tuple[int | None, bytes] = (None, b"")
        if isinstance(message, Snapshot) and self.keeper is not None:
            steering = msgspec.structs.replace(message, steering=True)
            steers = (self.keeper.steering.by, to_line(steering))
        with self._lock:
            for client in self._clients.values():
                mine = steers[1] if client.number == steers[0] else line
                client.queue(mine, isinstance(message, Reading))
        self._wake()

    def _wake(self) -> None:
        with contextlib.suppress(BlockingIOError, OSError):
            self._waker.send(b"!")

    def run(self) -> None:
        """Serve until ending is set."""
        while not self.ending:
            for key, mask in self._selector.select(0.5):
                if key.fileobj is self._listener:
                    self._accept()
                elif key.fileobj is self._woken:
                    with contextlib.suppress(BlockingIOError):
                        self._woken.recv(4096)
                elif mask & selectors.EVENT_READ:
                    self._hear(key.data)
            self._write_all()

    def close(self) -> None:
        """Send what still waits, briefly, and end."""
        self.ending = True
        until = time.monotonic() + 1.0
        while time.monotonic() < until and any(c.waiting for c in self._clients.values()):
            self._write_all()
            time.sleep(0.005)
        for client in list(self._clients.values()):
            self._drop(client)
        self._selector.close()
        for end in (self._listener, self._waker, self._woken):
            end.close()
        self.path.unlink(missing_ok=True)

    def _accept(self) -> None:
        with contextlib.suppress(OSError):
            peer, _ = self._listener.accept()
            if len(self._clients) >= MOST_CLIENTS:
                peer.close()
                return
            peer.setblocking(False)
            client = Client(peer, next(self._numbers))

            def welcome(snapshot: Snapshot) -> None:
                with self._lock:
                    client.queue(to_line(snapshot), False)
                    self._clients[peer.fileno()] = client

            assert self.keeper is not None
            self.keeper.greet(welcome)
            self._selector.register(peer, selectors.EVENT_READ, client)

    def _drop(self, client: Client) -> None:
        with self._lock:
            self._clients.pop(client.peer.fileno(), None)
        with contextlib.suppress(KeyError, ValueError):
            self._selector.unregister(client.peer)
        client.peer.close()
        if self.keeper is not None:
            self.keeper.steering.leave(client.number)

    def _hear(self, client: Client) -> None:
        try:
            data = client.peer.recv(65536)
        except BlockingIOError:
            return
        except OSError:
            data = b""
        client.heard += data
        if not data or len(client.heard) > _LONGEST_REQUEST:
            self._drop(client)
            return
        *lines, rest = bytes(client.heard).split(b"\n")
        client.heard = bytearray(rest)
        for line in lines:
            self._ask(client, line)

    def _ask(self, client: Client, line: bytes) -> None:
        def answer(reply: Reply) -> None:
            with self._lock:
                client.queue(to_line(reply), False)
            self._wake()

        try:
            request: Request = request_from_line(line)
        except msgspec.DecodeError:
            answer(Reply(0, False, "That was not a request this keeper understands."))
            return
        assert self.keeper is not None
        self.keeper.ask(request, answer, client.number)

    def _write_all(self) -> None:
        for client in list(self._clients.values()):
            if client.buffered > _MOST_BUFFERED:
                self._drop(client)
                continue
            try:
                self._write(client)
            except OSError:
                self._drop(client)

    def _write(self, client: Client) -> None:
        with self._lock:
            data = b"".join(client.waiting)
            client.waiting.clear()
        if not data:
            return
        try:
            sent = client.peer.send(data)
        except BlockingIOError:
            sent = 0
        with self._lock:
            client.buffered -= sent
            if sent < len(data):
                client.waiting.appendleft(data[sent:])
