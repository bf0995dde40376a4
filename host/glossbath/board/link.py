"""The serial line to one board: one reader thread, whole messages out, clean reconnects.

The port is a pyserial URL, so a device name, a pseudo-terminal and socket:// are the same here.
Nothing above this file touches pyserial.
"""

from __future__ import annotations

import contextlib
import threading
from collections import deque
from pathlib import Path
from typing import Any

import serial
from serial.tools import list_ports

from glossbath.errors import LinkError, quoted
from glossbath_board.frame import Decoder, encode

from .clock import Clock

_RP2_VID_PID = (0x2E8A, 0x0005)  # MicroPython's default on RP2 boards, ports/rp2/mpconfigport.h
_READ_S = 0.2
_WRITE_S = 1.0
_KEEP = 4096


def find_port() -> str:
    """The one board that is plugged in; raises LinkError when there is none or more than one."""
    found = [p.device for p in list_ports.comports() if (p.vid, p.pid) == _RP2_VID_PID]
    if len(found) == 1:
        return str(found[0])
    if not found:
        raise LinkError("No board was found: plug it in, or name its port with --port.")
    raise LinkError(f"More than one board was found ({', '.join(found)}): name one with --port.")


def named_port(name: str) -> str:
    """The port a person named, or for 'auto' that of the one board; raises LinkError."""
    if name == "auto":
        return find_port()
    if "://" not in name and not Path(name).is_char_device():
        raise LinkError(f"There is no serial port {quoted(name)}: check the cable and the name.")
    return name


class Link:
    """One board's line. `drain` gives messages; `connected` and the counters tell how it is.

    dtr is the level of the DTR line while open: an RP2 board sends only while it is on, an ESP32
    behind a USB bridge is reset by it.
    """

    def __init__(self, port: str, clock: Clock, dtr: bool = True) -> None:
        self.port = port
        self._clock = clock
        self._dtr = dtr
        self._serial: serial.Serial | None = None
        self._decoder = Decoder("b")
        self._messages: deque[dict[str, Any]] = deque(maxlen=_KEEP)
        self._arrived = threading.Condition()
        self._reader: threading.Thread | None = None
        self._lock = threading.Lock()
        self._number = 0
        self.received_bytes = 0
        self.written_bytes = 0
        self.opened_count = 0

    @property
    def connected(self) -> bool:
        """Whether the port is open."""
        return self._serial is not None

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
        """Try once to open the port; False if it is not there or taken."""
        self.close()
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
            self._clock.opened()
        except (OSError, ValueError):
            return False
        self.received_bytes = 0
        self.written_bytes = 0
        self.opened_count += 1
        self._serial = port
        self._reader = threading.Thread(target=self._read, args=(port,), daemon=True)
        self._reader.start()
        return True

    def close(self) -> None:
        """Close the port; what it had not delivered is lost."""
        port, self._serial = self._serial, None
        if port is not None:
            with contextlib.suppress(OSError, AttributeError):
                port.cancel_read()
            if self._reader is not None and self._reader is not threading.current_thread():
                self._reader.join(2 * _READ_S)
            with contextlib.suppress(OSError):
                port.close()

    def _read(self, port: serial.Serial) -> None:
        while self._serial is port:
            try:
                data = port.read(1)
                if data:
                    data += port.read(port.in_waiting)
            except (OSError, TypeError, AttributeError):
                break  # unplugged, or closed under the read
            if data:
                with self._arrived:
                    self.received_bytes += len(data)
                    self._messages.extend(self._decoder.feed(data))
                    self._arrived.notify_all()
        if self._serial is port:
            self._serial = None
            with contextlib.suppress(OSError):
                port.close()
        with self._arrived:
            self._arrived.notify_all()

    def caught_up(self, count: int) -> None:
        """Return once count bytes have been received since opening, or the port is gone."""
        with self._arrived:
            self._arrived.wait_for(
                lambda: self.received_bytes >= count or not self.connected, timeout=1.0
            )

    def drain(self) -> list[dict[str, Any]]:
        """The messages received since the last call, oldest first."""
        with self._arrived:
            messages = list(self._messages)
            self._messages.clear()
        return messages

    def send(self, message: dict[str, Any]) -> bool:
        """Number and send one message; False if the port does not take it. Any thread may call."""
        with self._lock:
            port = self._serial
            if port is None:
                return False
            line = encode({**message, "n": self._number})
            self._number += 1
            try:
                port.write(line)
                self.written_bytes += len(line)
            except OSError:
                self._serial = None  # an unknown part was sent; the next opening starts clean
                return False
            return True
