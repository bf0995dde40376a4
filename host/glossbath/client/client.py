"""A client of the keeper: one Unix socket, one reader thread, one bounded hand-off.

The reader thread only decodes and hands over, so a screen that is busy never makes the keeper
wait. Orders are written to the socket by the caller's own thread, so a stop does not queue behind
anything.
"""

from __future__ import annotations

import contextlib
import heapq
import itertools
import select
import socket
import threading
import time
from collections import deque
from pathlib import Path
from typing import Any

import msgspec

from glossbath.errors import KeeperError

from .messages import Message, Reading, Reply, Request, from_line, to_line

SEND_TIMEOUT_S = 1.0
LONGEST_LINE = 16 * 1024 * 1024  # bytes; a snapshot with its history is far below 1 MB


class Handoff:
    """Messages between the reader thread and whoever drains them, in the order they came.

    Only readings are given up when nobody drains: the oldest first, never anything else.
    """

    def __init__(self, keep_readings: int) -> None:
        self._condition = threading.Condition()
        self._order = itertools.count()
        self._kept: deque[tuple[int, Message]] = deque()
        self._readings: deque[tuple[int, Message]] = deque(maxlen=keep_readings)
        self._ended = False
        self.readings_dropped = 0

    def put(self, message: Message) -> None:
        """Hand one message over; never blocks for long."""
        with self._condition:
            if isinstance(message, Reading):
                self.readings_dropped += len(self._readings) == self._readings.maxlen
                self._readings.append((next(self._order), message))
            else:
                self._kept.append((next(self._order), message))
            self._condition.notify_all()

    def take_all(self) -> list[Message]:
        """Everything handed over since the last call, oldest first."""
        with self._condition:
            kept, readings = list(self._kept), list(self._readings)
            self._kept.clear()
            self._readings.clear()
        return [m for _, m in heapq.merge(kept, readings, key=lambda pair: pair[0])]

    def wait(self, timeout_s: float) -> bool:
        """Wait until there is something to take, or nothing more will come."""
        with self._condition:
            return self._condition.wait_for(
                lambda: bool(self._kept or self._readings) or self._ended, timeout_s
            )

    def end(self) -> None:
        """Say that nothing more will come."""
        with self._condition:
            self._ended = True
            self._condition.notify_all()


class _Waiter:
    """Where one blocking request waits for its reply."""

    def __init__(self) -> None:
        self.done = threading.Event()
        self.reply: Reply | None = None


class KeeperClient:
    """A connection to the keeper whose socket lies at `path`.

    With steer it asks to steer at once, which it gets where nobody else does. Raises KeeperError,
    with one sentence for a person, when no keeper answers there.
    """

    def __init__(
        self,
        path: Path | str,
        *,
        connect_timeout_s: float = 2.0,
        keep_readings: int = 1024,
        steer: bool = False,
    ) -> None:
        self.path = Path(path)
        self.closed_reason = ""
        """Why the connection is closed, as one sentence; empty while it is open."""
        self.bad_lines = 0
        """Lines which were no message of this version."""
        self._socket = _connect(self.path, connect_timeout_s)
        self._handoff = Handoff(keep_readings)
        self._numbers = itertools.count(1)
        self._send_lock = threading.Lock()
        self._waiting: dict[int, _Waiter] = {}
        self._reader = threading.Thread(target=self._read, name="keeper-client", daemon=True)
        self._steer_number = next(self._numbers) if steer else 0
        self._reader.start()
        if steer:
            self._send(Request(self._steer_number, "steer", {"only_if_free": True}))

    def __enter__(self) -> KeeperClient:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def closed(self) -> bool:
        """Whether the connection has ended, for whatever reason."""
        return bool(self.closed_reason)

    @property
    def readings_dropped(self) -> int:
        """Readings given up because nobody drained in time."""
        return self._handoff.readings_dropped

    def drain(self) -> list[Message]:
        """Everything received since the last call, oldest first."""
        return self._handoff.take_all()

    def wait(self, timeout_s: float) -> bool:
        """Wait until drain() has something to give or the connection has ended."""
        return self._handoff.wait(timeout_s)

    def post(self, op: str, **values: Any) -> int:
        """Put an order on the wire now and return its number; its Reply arrives through drain().

        Raises KeeperError when the order could not be sent.
        """
        number = next(self._numbers)
        self._send(Request(number, op, values))
        return number

    def request(self, op: str, *, timeout_s: float = 5.0, **values: Any) -> Reply:
        """Send an order and wait for its Reply.

        Raises KeeperError when it could not be sent, or no reply came within timeout_s.
        """
        number = next(self._numbers)
        waiter = self._waiting[number] = _Waiter()
        try:
            self._send(Request(number, op, values))
            waiter.done.wait(timeout_s)
        finally:
            self._waiting.pop(number, None)
        if waiter.reply is not None:
            return waiter.reply
        if self.closed:
            raise KeeperError(f"No answer to '{op}': {self.closed_reason}")
        raise KeeperError(
            f"The keeper at {self.path} gave no answer to '{op}' within {timeout_s:g} s; "
            "whether it was done is not known, so look at the rig."
        )

    def close(self) -> None:
        """End the connection; the keeper and the rig go on."""
        self._end("This program closed the connection.")
        self._reader.join(SEND_TIMEOUT_S)
        self._socket.close()

    def _send(self, request: Request) -> None:
        """Write one line. A line cut short would garble the next, so a failure ends the link."""
        line = memoryview(to_line(request))
        deadline_s = time.monotonic() + SEND_TIMEOUT_S
        with self._send_lock:
            if self.closed:
                raise KeeperError(f"'{request.op}' was not sent: {self.closed_reason}")
            try:
                while line:
                    left_s = max(0.0, deadline_s - time.monotonic())
                    if not select.select([], [self._socket], [], left_s)[1]:
                        raise TimeoutError(f"it took no order for {SEND_TIMEOUT_S:g} s")
                    line = line[self._socket.send(line, socket.MSG_DONTWAIT) :]
            except ConnectionError as error:
                self._end(f"The keeper at {self.path} has ended or hung up.")
                raise KeeperError(f"'{request.op}' was not sent: {self.closed_reason}") from error
            except (OSError, ValueError) as error:
                self._end(f"The keeper at {self.path} cannot be reached any more: {error}.")
                raise KeeperError(f"'{request.op}' was not sent: {self.closed_reason}") from error

    def _read(self) -> None:
        """The reader thread: bytes to lines to messages, until the keeper hangs up."""
        rest = b""
        while not self.closed:
            try:
                received = self._socket.recv(65536)
            except ConnectionError:
                received = b""
            except OSError as error:
                self._end(f"The connection to the keeper at {self.path} broke: {error}.")
                break
            if not received:
                self._end(f"The keeper at {self.path} has ended or hung up.")
                break
            *lines, rest = (rest + received).split(b"\n")
            for line in lines:
                self._receive(line)
            if len(rest) > LONGEST_LINE:
                self._end(f"What answers at {self.path} does not speak as a keeper does.")

    def _receive(self, line: bytes) -> None:
        try:
            message = from_line(line)
        except msgspec.MsgspecError:
            # Another version may say things this one does not know; the rest stays useful.
            self.bad_lines += 1
            return
        if isinstance(message, Reply) and message.id == self._steer_number != 0:
            return  # who steers stands in the snapshot that comes with it
        waiter = self._waiting.get(message.id) if isinstance(message, Reply) else None
        if waiter is not None and isinstance(message, Reply):
            waiter.reply = message
            waiter.done.set()
        else:
            self._handoff.put(message)

    def _end(self, reason: str) -> None:
        """Mark the connection as ended; the first reason stays."""
        self.closed_reason = self.closed_reason or reason
        # Shutting down wakes the reader thread out of its recv; the other side may be first.
        with contextlib.suppress(OSError):
            self._socket.shutdown(socket.SHUT_RDWR)
        for waiter in list(self._waiting.values()):
            waiter.done.set()
        self._handoff.end()


def _queue_for(connection: socket.socket, path: Path, timeout_s: float) -> None:
    """Connect; where the keeper's queue is full, which Unix sockets tell at once, try again."""
    until_s = time.monotonic() + timeout_s
    while True:
        try:
            connection.connect(str(path))
            return
        except BlockingIOError:
            if time.monotonic() >= until_s:
                raise TimeoutError("too many wait for it") from None
            time.sleep(0.01)


def _connect(path: Path, timeout_s: float) -> socket.socket:
    """A connected socket; raises KeeperError saying what to do."""
    connection = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    connection.settimeout(timeout_s)
    try:
        _queue_for(connection, path, timeout_s)
    except FileNotFoundError:
        sentence = f"No keeper is running at {path}; start a cycle first."
    except ConnectionRefusedError:
        sentence = f"The keeper at {path} has ended without tidying up; start it again."
    except PermissionError:
        sentence = f"The keeper at {path} belongs to another user; ask as that user."
    except OSError as error:
        sentence = f"The keeper at {path} cannot be reached: {error}."
    else:
        connection.settimeout(None)
        return connection
    connection.close()
    raise KeeperError(sentence)
