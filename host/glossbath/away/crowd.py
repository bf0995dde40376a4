"""Keeps a crowd of connections from filling the page's process.

A connection that asks for nothing within a few seconds is closed, and so is one more than an
address or the page may have. What is open already goes on.
"""

from __future__ import annotations

import asyncio
from collections import Counter
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

ASK_WITHIN_S = 5.0
MOST = 200
MOST_AN_ADDRESS = 40


class CrowdProtocol(H11Protocol):
    """HTTP as uvicorn speaks it, with the limits above."""

    _addresses: Counter[str] = Counter()

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Count the connection, or close it at once."""
        super().connection_made(transport)
        self._asked = False
        address = self.client[0] if self.client else ""
        # What is closed at once never counts, or a flood would fill the page until it is gone.
        self._counted = (
            self._addresses[address] < MOST_AN_ADDRESS and self._addresses.total() < MOST
        )
        if not self._counted:
            transport.abort()
            return
        self._address = address
        self._addresses[address] += 1
        self.loop.call_later(ASK_WITHIN_S, self._close_if_idle)

    def handle_events(self) -> None:
        """A whole request head has come, or something wrong has."""
        super().handle_events()
        self._asked = self._asked or self.cycle is not None

    def connection_lost(self, exc: Exception | None) -> None:
        """Count it out."""
        if self._counted:
            self._addresses[self._address] -= 1
            if self._addresses[self._address] <= 0:
                del self._addresses[self._address]
        super().connection_lost(exc)

    def _close_if_idle(self) -> None:
        if not self._asked and not self.transport.is_closing():
            self.transport.abort()


def protocol() -> Any:
    """The protocol class for uvicorn's `http`."""
    return CrowdProtocol
