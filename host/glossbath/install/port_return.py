"""A board's port that goes away when the board restarts, and comes back, maybe under another name.

A board is known again by what its USB descriptor says: vendor, product and serial number. A port
without them (a pseudo-terminal, a socket) is known by its name.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

from serial.tools import list_ports

from glossbath.errors import LinkError

GONE_S = 3.0  # a board that has answered resets within this; a USB bridge's port never goes
BACK_S = 20.0
SHOW_EVERY_S = 2.0
_LOOK_EVERY_S = 0.05

Identity = tuple[int, int, str]


class PortReturn:
    """Made while the port is there; `wait` gives its name when it is there again.

    now_s and sleep are the clock.
    """

    def __init__(
        self,
        port: str,
        show: Callable[[str], None],
        now_s: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._port = port
        self._show = show
        self._now_s = now_s
        self._sleep = sleep
        self._identity = _identity(port)

    def wait(self) -> str:
        """Wait for the port to go and to come back; raises LinkError when it stays away.

        A port that never goes is taken for one that stays while its board restarts.
        """
        begin_s = shown_s = self._now_s()
        while self._now_s() - begin_s < GONE_S and self._found():
            self._sleep(_LOOK_EVERY_S)
        while not (port := self._found()):
            now_s = self._now_s()
            if now_s - begin_s > BACK_S:
                raise LinkError(
                    f"The board restarted and its port {self._port} did not come back within "
                    f"{BACK_S:.0f} s: unplug the board, plug it in, then install again."
                )
            if now_s - shown_s >= SHOW_EVERY_S:
                shown_s = now_s
                self._show(f"waiting for the board's port ({now_s - begin_s:.0f} s)")
            self._sleep(_LOOK_EVERY_S)
        return port

    def _found(self) -> str:
        """The name of the port that is there, or ''."""
        if self._identity is None:
            there = "://" in self._port or Path(self._port).is_char_device()
            return self._port if there else ""
        for found in list_ports.comports():
            if (found.vid, found.pid, found.serial_number) == self._identity:
                return str(found.device)
        return ""


def _identity(port: str) -> Identity | None:
    device = str(Path(port).resolve()) if "://" not in port else port
    for found in list_ports.comports():
        if found.device in (port, device) and found.serial_number and found.vid and found.pid:
            return found.vid, found.pid, found.serial_number
    return None
