"""A board on a pseudo-terminal for measurements: it takes every order and reports in real time.

Temperatures are invented. It runs on a thread of the program that measures.
"""

from __future__ import annotations

import contextlib
import os
import select
import threading
import time
import tty
from typing import Any

from glossbath_board.frame import Decoder, encode

BOOT = 7


class PtyBoard:
    """Reports rate_hz times a second until closed."""

    def __init__(self, rate_hz: float = 4.0) -> None:
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        self.port = os.ttyname(self._slave)
        self.sent_ms: list[int] = []
        """The board's clock in each reading that has left."""
        self.stopped_at_s: float | None = None
        """When the first stop since `arm` had arrived, on time.perf_counter."""
        self._every_s = 1.0 / rate_hz
        self._number = 0
        self._begun_s = time.monotonic()
        self._state, self._phase = "idle", 0
        self._decoder = Decoder("h")
        self._ending = False
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def arm(self) -> None:
        """Forget the last stop."""
        self.stopped_at_s = None

    def close(self) -> None:
        """End the board and its line."""
        self._ending = True
        self._thread.join()
        os.close(self._master)
        os.close(self._slave)

    def _run(self) -> None:
        due_s = time.monotonic()
        while not self._ending:
            wait_s = max(0.0, due_s - time.monotonic())
            if select.select([self._master], [], [], min(wait_s, 0.2))[0]:
                self._hear()
            if time.monotonic() >= due_s:
                due_s += self._every_s
                self._report()

    def _hear(self) -> None:
        with contextlib.suppress(OSError):
            for message in self._decoder.feed(os.read(self._master, 65536)):
                self._obey(message)

    def _obey(self, order: dict[str, Any]) -> None:
        kind = order["k"]
        if kind == "stop" and self.stopped_at_s is None:
            self.stopped_at_s = time.perf_counter()
        if kind == "hello":
            self._say({"k": "hello", "eng": "stand-in", "id": "pty", "fw": "0", "rig": "real"})
        became = {"start": "running", "stop": "stopped", "hold": "held", "resume": "running"}
        self._state = became.get(kind, self._state)
        self._say({"k": "a", "i": order.get("i"), "ok": 1})

    def _report(self) -> None:
        now_ms = round((time.monotonic() - self._begun_s) * 1000)
        reading = {"k": "r", "t": now_ms, "c": 30_500 + now_ms % 7, "w": 32_000, "y": 33_000}
        reading |= {"u": 31_000, "h": 120, "x": 0, "s": 500, "st": self._state}
        if self._say({**reading, "ph": self._phase, "pt": now_ms, "d": 0}):
            self.sent_ms.append(now_ms)

    def _say(self, message: dict[str, Any]) -> bool:
        line = encode({**message, "b": BOOT, "n": self._number})
        self._number += 1
        try:
            return os.write(self._master, line) == len(line)
        except BlockingIOError:
            return False  # nobody reads
