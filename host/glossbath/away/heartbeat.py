"""Calls an address again and again, so that a service elsewhere notices when the calls end.

A board whose computer died turns heat off and cannot call anybody; a dead computer cannot either.
The absence of this call is the message.
"""

from __future__ import annotations

import threading
import urllib.request

EVERY_S = 60.0
PATIENCE_S = 20.0


class Heartbeat:
    """One call each EVERY_S, none while the last one still waits for an answer."""

    def __init__(self) -> None:
        self.problem = ""
        """Why the last call failed, in a few words without the address; empty after a good one."""
        self._due_s = 0.0
        self._thread: threading.Thread | None = None

    def step(self, url: str, now_s: float) -> None:
        """Call if it is time. An empty url means that nothing is to be called now."""
        if not url or now_s < self._due_s or (self._thread and self._thread.is_alive()):
            return
        self._due_s = now_s + EVERY_S
        self._thread = threading.Thread(target=self._call, args=(url,), daemon=True)
        self._thread.start()

    def _call(self, url: str) -> None:
        try:
            with urllib.request.urlopen(url, timeout=PATIENCE_S) as answer:
                self.problem = "" if answer.status < 400 else f"it answers {answer.status}"
        except Exception as error:  # whatever a network does, the next call must be made
            self.problem = type(error).__name__
