"""Who steers a rig: one client at a time, the others look on. Stopping is allowed to anyone."""

from __future__ import annotations

import threading

from glossbath.errors import GlossbathError

ANYONE = ("stop", "note", "ice", "test", "done", "acknowledge", "steer")
"""Orders that need no steering: they make the rig safer, or only tell."""


class Steering:
    """The wheel of one rig. Clients are known by their number; any thread may call."""

    def __init__(self) -> None:
        self.by: int | None = None
        """The client that steers, None while nobody does."""
        self._lock = threading.Lock()

    def give(self, client: int, only_if_free: bool = False) -> bool:
        """Let a client steer; True if that took the wheel away from another.

        Raises GlossbathError when it is taken and only a free one was asked for.
        """
        with self._lock:
            taken = self.by not in (None, client)
            if taken and only_if_free:
                raise GlossbathError("Somebody else steers this rig; this client looks on.")
            self.by = client
            return taken

    def leave(self, client: int) -> None:
        """A client has gone."""
        with self._lock:
            if self.by == client:
                self.by = None

    def check(self, client: int, op: str) -> None:
        """Raise GlossbathError unless the client may give this order.

        Where nobody steers, who gives an order steers from then on.
        """
        if op in ANYONE:
            return
        with self._lock:
            if self.by not in (None, client):
                raise GlossbathError(
                    f"Somebody else steers this rig, so '{op}' was not done: take over first, "
                    "with v on a screen or --take on the command line."
                )
            self.by = client
