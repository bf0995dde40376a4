"""The keeper's clients, each with what still has to go out. place.py is where they come in.

One thread runs the server; the keeper publishes from its own.
"""

from __future__ import annotations

import contextlib
import itertools
import resource
import selectors
import socket
import sys
import threading
import time
import traceback
from collections import deque
from collections.abc import Callable
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

from .keeper import Keeper
from .place import Place

_MOST_BUFFERED = 4_000_000
_LONGEST_REQUEST = 200_000
MOST_CLIENTS = 64  # far more than anybody looks at a rig with
RESERVED_FILES = 24
"""Descriptors that clients never get: standard streams, port, record, sockets, locks, hook."""
_FULL_S = 0.05


def most_clients() -> int:
    """How many clients there may be, after this process's limit on open files."""
    limit = resource.getrlimit(resource.RLIMIT_NOFILE)[0]  # RLIM_INFINITY is -1
    return MOST_CLIENTS if limit < 0 else max(2, min(MOST_CLIENTS, limit - RESERVED_FILES))


class Client:
    """One connected client: what it has sent and what still has to go out."""

    def __init__(self, peer: socket.socket, number: int) -> None:
        self.peer = peer
        self.number = number
        self.heard = bytearray()
        self.asked = 0
        """Requests so far."""
        self.waiting: deque[bytes] = deque()
        self.buffered = 0

    def queue(self, line: bytes, droppable: bool) -> None:
        """Put a line in the queue; a client that does not read loses readings first."""
        if droppable and self.buffered > _MOST_BUFFERED // 4:
            return
        self.waiting.append(line)
        self.buffered += len(line)


class Server:
    """Serves one keeper's clients. publish may be called from any thread. Raises KeeperError where
    a keeper of this name runs already, InputError where nothing can listen at path."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._place = Place(path)
        self._most = most_clients()
        self._waker, self._woken = socket.socketpair()
        self._woken.setblocking(False)
        self._waker.setblocking(False)
        self._selector = selectors.DefaultSelector()
        self._selector.register(self._woken, selectors.EVENT_READ, self._hear_waker)
        self._listen()
        self._clients: dict[int, Client] = {}
        self._numbers = itertools.count(1)
        self._lock = threading.Lock()
        self.keeper: Keeper | None = None
        self.ending = False

    def _listen(self) -> None:
        for end, handler in (
            (self._place.listener, self._accept),
            (self._place.stops, self._hear_stops),
        ):
            self._selector.register(end, selectors.EVENT_READ, handler)

    @property
    def clients(self) -> int:
        """How many are connected."""
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

    def end(self) -> None:
        """Let `run` return, at once; from any thread."""
        self.ending = True
        self._wake()

    def run(self) -> None:
        """Serve until ending is set."""
        while not self.ending:
            try:
                self._turn()
            except Exception:
                # Whatever one client brings about, the others are served on, a stop first of all.
                traceback.print_exc(file=sys.stderr)
                time.sleep(_FULL_S)

    def _turn(self) -> None:
        self._keep_place()
        ready = self._selector.select(0.5)
        self._hear_stops()
        for key, mask in ready:
            if not isinstance(key.data, Client):
                key.data()
            elif mask & selectors.EVENT_READ:
                self._hear(key.data)
        self._write_all()

    def _keep_place(self) -> None:
        """Listen anew where the socket is gone: its folder is removed at the last logout."""
        if not self._place.lost():
            return
        for end in (self._place.listener, self._place.stops):
            self._selector.unregister(end)
        self._place.again()
        self._listen()

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
        for end in (self._waker, self._woken):
            end.close()
        self._place.close()

    def _hear_waker(self) -> None:
        with contextlib.suppress(BlockingIOError):
            self._woken.recv(4096)

    def _hear_stops(self) -> None:
        """Stops by datagram: no connection, so no number of clients can be in their way."""
        while self.keeper is not None:
            try:
                data, sender = self._place.stops.recvfrom(64)
            except OSError:
                return
            if data.strip() == b"stop":
                self.keeper.ask(Request(0, "stop", {}), self._answer_to(sender))

    def _answer_to(self, sender: str) -> Callable[[Reply], None]:
        def answer(reply: Reply) -> None:
            with contextlib.suppress(OSError):
                self._place.stops.sendto(to_line(reply), sender)

        return answer

    def _accept(self) -> None:
        """Take in who waits: all of them, since the queue that others wait in is short."""
        while not self.ending:
            try:
                peer, _ = self._place.listener.accept()
            except BlockingIOError:
                return
            except OSError:
                if not self._make_room():  # no descriptor is left: it would be asked at once again
                    time.sleep(_FULL_S)
                return
            self._welcome(peer)
            self._hear_stops()

    def _welcome(self, peer: socket.socket) -> None:
        if len(self._clients) >= self._most and not self._make_room():
            peer.close()
            return
        peer.setblocking(False)
        client = Client(peer, next(self._numbers))

        def welcome(snapshot: Snapshot) -> None:
            with self._lock:
                client.queue(to_line(snapshot), False)
                self._clients[peer.fileno()] = client

        assert self.keeper is not None
        try:
            self.keeper.greet(welcome)
        except Exception:
            peer.close()
            raise
        self._selector.register(peer, selectors.EVENT_READ, client)

    def _make_room(self) -> bool:
        """Drop the client that is missed least: not the one that steers; of the others the one
        that reads too slowly, else the one that has asked least and longest ago."""
        steers = self.keeper.steering.by if self.keeper is not None else None
        others = [c for c in self._clients.values() if c.number != steers]
        if not others:
            return False
        slow = max(others, key=lambda c: c.buffered)
        idle = min(others, key=lambda c: (c.asked, c.number))
        self._drop(slow if slow.buffered > _MOST_BUFFERED // 4 else idle)
        return True

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
        client.asked += 1
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
