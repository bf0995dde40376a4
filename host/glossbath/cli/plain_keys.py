"""Letters that a person types while plain lines come: each with Enter, so that a screen reader
reads it back. What came of it is one more line."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any, TextIO

from glossbath.client.client import KeeperClient
from glossbath.errors import KeeperError
from glossbath.view.pending_orders import offered
from glossbath.view.rig_view import RigView

from .cycle import Listen, follow

HELP = (
    "Type a letter, then Enter: s stops the rig; h holds or resumes; n and words writes a note; "
    "t is a dip test; b and kg: bowl emptied, the cycle is complete; p next phase; a: alarms "
    "seen; c clears a trip; ? says this; q leaves, and the cycle goes on."
)


class PlainKeys:
    """Reads lines of the person with `listen` and does what they say. `write` gets a kind and a
    sentence for each answer."""

    def __init__(
        self,
        client: KeeperClient,
        view: RigView,
        listen: Listen | None,
        write: Callable[[str, str], None],
        out: TextIO,
    ) -> None:
        self._client, self._view = client, view
        self._listen = listen
        self._write = write
        self._out = out
        self.left = False
        """Whether the person wants to leave."""

    def answer(self) -> None:
        """Do what was typed since the last call, if anything was."""
        if self._listen is None:
            return
        while True:
            try:
                typed = self._listen(0.0)
            except EOFError:
                self._listen = None
                return
            if typed is None:
                return
            self._obey(typed.strip())

    def _obey(self, typed: str) -> None:
        letter, words = typed[:1].lower(), typed[1:].strip()
        if letter == "q":
            self.left = True
        elif letter == "t":
            self._dip()
        elif letter == "n" and not words:
            self._write("answer", "Type n and the words of the note on one line.")
        elif letter == "b":
            self._finish(words)
        elif letter in ("s", "h", "n", "p", "a", "c"):
            self._order(letter, words)
        elif letter:
            self._write("keys", HELP)

    def _order(self, letter: str, words: str) -> None:
        held = self._view.state == "held"
        op = {"s": "stop", "h": "resume" if held else "hold", "n": "note", "p": "step"}.get(
            letter, "acknowledge" if letter == "a" else "clear"
        )
        self._request(op, **({"text": words} if op == "note" else {}))

    def _finish(self, words: str) -> None:
        if not offered(self._view, "finish"):
            self._write("answer", "The bowl is emptied in the hold; before it, s stops the cycle.")
            return
        try:
            worked = {"worked_kg": float(words.replace(",", "."))} if words else {}
        except ValueError:
            self._write("answer", f"{words!r} is not a number of kg: type b 0.8, or b alone.")
            return
        self._request("finish", **worked)

    def _request(self, op: str, **values: Any) -> None:
        try:
            reply = self._client.request(op, **values)
            self._write("answer", reply.text)
        except KeeperError as error:
            hand = "Use the stop button at the rig. " if op == "stop" else ""
            self._write("answer", f"{hand}{error}")

    def _dip(self) -> None:
        from glossbath.chocolate.diptest import DipTest

        room_c = self._view.reading.room_c if self._view.reading else None
        test = DipTest(20.0 if room_c is None else room_c)
        pace = self._view.snapshot.speed if self._view.snapshot else 1.0

        def now_s() -> float:
            return time.monotonic() * (pace if pace > 0 else 1.0)

        if self._listen is not None and follow(test, self._listen, now_s, self._out):
            self._request("test", **test.values())
