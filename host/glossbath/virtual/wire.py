"""The cable between the board's USB port and the host: a pseudo-terminal, or a TCP socket.

A fault is put on the bytes on their way: unplugged, cut, garbled, repeated.
"""

from __future__ import annotations

import contextlib
import os
import socket
import termios
import tty
from collections.abc import Callable
from pathlib import Path

Mangle = Callable[[bytes], bytes]


def _as_is(data: bytes) -> bytes:
    return data


class PtyWire:
    """A pseudo-terminal; `port` is a link that always leads to the one now plugged in."""

    def __init__(self, port: Path) -> None:
        self.port = str(port)
        self._link = port
        self._near = -1
        self._far = -1
        self.sent = 0
        self.received = 0
        self.to_host: Mangle = _as_is
        self.to_board: Mangle = _as_is
        self.plug()

    @property
    def plugged(self) -> bool:
        """Whether the cable is in."""
        return self._near >= 0

    def plug(self) -> None:
        """Plug the cable in."""
        if self.plugged:
            return
        self._near, self._far = os.openpty()
        tty.setraw(self._far)
        os.set_blocking(self._near, False)
        self._link.unlink(missing_ok=True)
        self._link.symlink_to(os.ttyname(self._far))
        self.sent = self.received = 0

    def unplug(self) -> None:
        """Pull the cable out; what was on its way is lost."""
        if not self.plugged:
            return
        self._link.unlink(missing_ok=True)
        os.close(self._near)
        os.close(self._far)
        self._near = self._far = -1

    close = unplug

    def opened(self) -> None:
        """A host has opened the port: what came before it is not for it."""
        if self.plugged:
            termios.tcflush(self._far, termios.TCIFLUSH)
        self.sent = self.received = 0

    def send(self, data: bytes) -> None:
        """From the board to the host; what does not fit is lost, as on a port nobody reads."""
        if not self.plugged:
            return
        with contextlib.suppress(BlockingIOError):
            self.sent += os.write(self._near, self.to_host(data))

    def take(self) -> bytes:
        """What the host has sent since the last call."""
        if not self.plugged:
            return b""
        data = bytearray()
        with contextlib.suppress(BlockingIOError, OSError):
            while chunk := os.read(self._near, 4096):
                data += chunk
        self.received += len(data)
        return self.to_board(bytes(data)) if data else b""


class SocketWire:
    """A TCP port on this computer, for platforms without pseudo-terminals; one host at a time."""

    def __init__(self) -> None:
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._listener.setblocking(False)
        self.port = f"socket://127.0.0.1:{self._listener.getsockname()[1]}"
        self._peer: socket.socket | None = None
        self.plugged = True
        self.sent = 0
        self.received = 0
        self.to_host: Mangle = _as_is
        self.to_board: Mangle = _as_is

    def plug(self) -> None:
        """Let hosts connect."""
        self.plugged = True

    def unplug(self) -> None:
        """Drop the host and refuse new ones."""
        self.plugged = False
        if self._peer is not None:
            self._peer.close()
            self._peer = None

    def close(self) -> None:
        """End."""
        self.unplug()
        self._listener.close()

    def opened(self) -> None:
        """A host has opened the port."""
        self._accept()
        self.sent = self.received = 0

    def _accept(self) -> None:
        with contextlib.suppress(BlockingIOError):
            peer, _ = self._listener.accept()
            if self._peer is not None:
                self._peer.close()
            if not self.plugged:
                peer.close()
                return
            peer.setblocking(False)
            peer.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            self._peer = peer
            self.sent = self.received = 0

    def send(self, data: bytes) -> None:
        """From the board to the host."""
        self._accept()
        if self._peer is not None:
            try:
                self.sent += self._peer.send(self.to_host(data))
            except BlockingIOError:
                pass
            except OSError:
                self._peer = None

    def take(self) -> bytes:
        """What the host has sent since the last call."""
        self._accept()
        data = b""
        if self._peer is not None:
            try:
                data = self._peer.recv(65536)
                if not data:
                    self._peer = None
            except BlockingIOError:
                pass
            except OSError:
                self._peer = None
        self.received += len(data)
        return self.to_board(data) if data else b""


AnyWire = PtyWire | SocketWire
