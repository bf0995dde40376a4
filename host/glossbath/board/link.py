"""The serial line to one board: whole messages in and out, clean reconnects, nobody waits.

The port is a pyserial URL, so a device name, a pseudo-terminal and socket:// are the same here.
Nothing above this file touches pyserial.
"""

from __future__ import annotations

import contextlib
import threading
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import Any

import serial
from serial.tools import list_ports

from glossbath.errors import LinkError, quoted
from glossbath_board.frame import Decoder, encode

from .clock import Clock
from .portlock import PortLock

_RP2_VID_PID = (0x2E8A, 0x0005)  # MicroPython's default on RP2 boards, ports/rp2/mpconfigport.h
_READ_S = 0.2
_WRITE_S = 1.0
_END_S = 2.0
_KEEP = 4096
_MOST_WAITING = 64  # messages that wait for a port which takes none


def find_port() -> str:
    """The one board that is plugged in; raises LinkError when there is none or more than one."""
    found = [p.device for p in list_ports.comports() if (p.vid, p.pid) == _RP2_VID_PID]
    if len(found) == 1:
        return str(found[0])
    if not found:
        raise LinkError("No board was found: plug it in, or name its port.")
    raise LinkError(f"More than one board was found ({', '.join(found)}): name one.")


def named_port(name: str) -> str:
    """The port a person named, or for 'auto' that of the one board; raises LinkError."""
    if name == "auto":
        return find_port()
    if "://" not in name and not Path(name).is_char_device():
        raise LinkError(f"There is no serial port {quoted(name)}: check the cable and the name.")
    return name


class _OpenPort:
    """A port from its opening to its end: one thread reads, one writes.

    The reading thread owns it: nobody else closes it, and it does so only once the writing thread
    has ended, so that no file descriptor goes away under a call. Whatever pyserial raises ends it.
    """

    def __init__(
        self, port: serial.Serial, received: Callable[[bytes], None], ended: Callable[[], None]
    ) -> None:
        self._port = port
        self._received = received
        self._ended = ended
        self._changed = threading.Condition()
        self._waiting: deque[bytes] = deque()
        self._ending = self._closed = self._writing = False
        self.written_bytes = 0
        self._writer = threading.Thread(target=self._write, name="link writer", daemon=True)
        self._reader = threading.Thread(target=self._read, name="link reader", daemon=True)
        self._writer.start()
        self._reader.start()

    @property
    def usable(self) -> bool:
        """Whether it has not begun to end."""
        return not self._ending

    @property
    def over(self) -> bool:
        """Whether the port is closed and both threads have ended."""
        return self._closed

    def put(self, line: bytes, alone: bool) -> bool:
        """Have a line written; alone drops what waits. False if the port takes nothing."""
        with self._changed:
            if alone:
                self._waiting.clear()
            if self._ending or len(self._waiting) >= _MOST_WAITING:
                return False
            self._waiting.append(line)
            self._changed.notify_all()
        return True

    def settled(self) -> None:
        """Return once all has been written, or the port is ending."""
        with self._changed:
            self._changed.wait_for(
                lambda: self._ending or not (self._waiting or self._writing), _WRITE_S
            )

    def end(self) -> None:
        """Let both threads end; from any thread, does not wait."""
        with self._changed:
            self._ending = True
            self._changed.notify_all()
            if not self._closed:
                # Not every kind of pyserial's ports can cancel; the others end by their timeouts.
                with contextlib.suppress(Exception):
                    self._port.cancel_read()
                with contextlib.suppress(Exception):
                    self._port.cancel_write()

    def join(self) -> None:
        """Wait until it is over, for at most _END_S."""
        if threading.current_thread() is not self._reader:
            self._reader.join(_END_S)

    def _read(self) -> None:
        try:
            while not self._ending:
                if data := self._port.read(1):
                    self._received(data + self._port.read(self._port.in_waiting))
        except Exception:
            pass  # unplugged: what pyserial raises then depends on platform and moment
        self.end()
        self._writer.join()
        with self._changed:
            with contextlib.suppress(Exception):
                self._port.close()
            self._closed = True
        self._ended()

    def _write(self) -> None:
        try:
            while line := self._next_line():
                self._port.write(line)
                self.written_bytes += len(line)
        except Exception:
            pass  # an unknown part was sent; the next opening starts clean
        self.end()

    def _next_line(self) -> bytes:
        with self._changed:
            self._writing = False
            self._changed.notify_all()
            self._changed.wait_for(lambda: self._waiting or self._ending)
            if self._ending:
                return b""
            self._writing = True
            return self._waiting.popleft()


class Link:
    """One board's line. `drain` gives messages; `connected` and the counters tell how it is.

    No call waits, but `close`, which lets the port end, and what only virtual time asks for. dtr
    is the level of the DTR line while open: an RP2 board sends only while it is on, an ESP32
    behind a USB bridge is reset by it.
    """

    def __init__(self, port: str, clock: Clock, dtr: bool = True, owner: str = "") -> None:
        self.port = port
        self.obstacle = ""
        """Why the last opening failed, in words: another program has the port, or what the system
        says; empty after one that succeeded."""
        self.taken = False
        """Whether that was because another program has it."""
        self._clock = clock
        self._dtr = dtr
        self._lock_of_port = PortLock(port, owner)
        self._open: _OpenPort | None = None
        self._decoder = Decoder("b")
        self._messages: deque[dict[str, Any]] = deque(maxlen=_KEEP)
        self._arrived = threading.Condition()
        self._lock = threading.Lock()
        self._number = 0
        self.received_bytes = 0
        self.opened_count = 0

    @property
    def connected(self) -> bool:
        """Whether the port is open."""
        return self._open is not None and self._open.usable

    @property
    def good(self) -> int:
        """Frames received whole."""
        return self._decoder.good

    @property
    def bad(self) -> int:
        """Lines received that were no frames."""
        return self._decoder.bad

    @property
    def lost(self) -> int:
        """Frames missing from the board's sequence."""
        return self._decoder.lost

    def open(self) -> bool:
        """Try once to open the port; False if it is not there, taken, or still being closed."""
        if self._open is not None:
            self._open.end()
            if not self._open.over:
                return False
            self._open = None
            self._lock_of_port.release()
        self.obstacle = self._lock_of_port.take()
        self.taken = bool(self.obstacle)
        if self.taken:
            return False
        try:
            port = serial.serial_for_url(
                self.port, do_not_open=True, timeout=_READ_S, write_timeout=_WRITE_S
            )
            port.baudrate = 115200
            if "://" not in self.port:
                port.exclusive = True
                port.dtr = self._dtr
                port.rts = self._dtr
            port.open()
        except Exception as error:  # pyserial raises more than it says, termios.error for one
            self._lock_of_port.release()
            self.obstacle = getattr(error, "strerror", None) or str(error) or repr(error)
            self.taken = "exclusively lock" in str(error)
            return False
        self._clock.opened()
        self.received_bytes = 0
        self.opened_count += 1
        self._open = _OpenPort(port, self._receive, self._wake)
        return True

    def close(self) -> None:
        """Close the port; what it had not delivered is lost."""
        if self._open is not None:
            self._open.end()
            self._open.join()
        self._lock_of_port.release()

    def _receive(self, data: bytes) -> None:
        with self._arrived:
            self.received_bytes += len(data)
            self._messages.extend(self._decoder.feed(data))
            self._arrived.notify_all()

    def _wake(self) -> None:
        with self._arrived:
            self._arrived.notify_all()

    def caught_up(self, count: int) -> None:
        """Return once count bytes have been received since opening, or the port is gone."""
        with self._arrived:
            self._arrived.wait_for(
                lambda: self.received_bytes >= count or not self.connected, timeout=1.0
            )

    def written(self) -> int:
        """Bytes sent since opening, once all that was given to `send` has gone out."""
        if self._open is None:
            return 0
        self._open.settled()
        return self._open.written_bytes

    def drain(self) -> list[dict[str, Any]]:
        """The messages received since the last call, oldest first."""
        with self._arrived:
            messages = list(self._messages)
            self._messages.clear()
        return messages

    def send(self, message: dict[str, Any], alone: bool = False) -> bool:
        """Number one message and have it sent; alone drops those that still wait. False if the
        port does not take it. Any thread may call. Raises FrameError for one that is too long."""
        with self._lock:
            port = self._open
            if port is None or not port.usable:
                return False
            line = encode({**message, "n": self._number})
            self._number += 1
            return port.put(line, alone)
