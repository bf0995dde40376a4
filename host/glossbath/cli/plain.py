"""The rig as plain lines: only ever added to, no cursor movement, for pipes, logs, Braille
displays and screen readers."""

from __future__ import annotations

from typing import TextIO

from glossbath.client.client import KeeperClient
from glossbath.client.messages import Alarm, Event, Message, Reading, Snapshot
from glossbath.errors import KeeperError
from glossbath.view.rig_view import RigView
from glossbath.view.sentences import (
    PLEASE,
    doing,
    ended,
    next_step,
    phase_left,
    position,
    why_unknown,
)
from glossbath.words import clock, fault_sentence, one_line, percent

from .cycle import Listen
from .plain_keys import HELP, PlainKeys
from .terminal import ASCII

LISTEN_S = 1.0
TYPING_S = 0.2
"""A person who types is answered sooner."""


class PlainLines:
    """Turns messages into lines and writes each at once."""

    def __init__(self, out: TextIO, ascii_only: bool, fahrenheit: bool, every_s: float) -> None:
        self.view = RigView(fahrenheit)
        self._out = out
        self._ascii_only = ascii_only
        self._every_s = every_s
        self._next_reading_s: float | None = None
        self._said: tuple[str, str] | None = None
        self._introduced = False

    def write_message(self, message: Message) -> None:
        """Fold one message and write what is worth a line."""
        before = self.view.reading
        calls = self.view.calls
        self.view.fold([message], 0.0)
        if isinstance(message, Snapshot):
            self._snapshot(message)
        elif isinstance(message, Reading):
            if before is None or message.time_s < before.time_s:
                self._next_reading_s = None
            self._reading(message)
        elif isinstance(message, Event):
            self._write(clock(message.time_s), message.kind, message.text)
        elif isinstance(message, Alarm):
            self._alarm(message)
        if self.view.calls > calls and self._out.isatty():
            self._out.write("\a")
            self._out.flush()

    def say(self, kind: str, text: str) -> None:
        """Write a line of this moment."""
        self._write(self._now(), kind, text)

    def end(self) -> None:
        """Write how the cycle ended."""
        self._write(self._now(), "ended", ended(self.view))

    def _now(self) -> str:
        return clock(self.view.reading.time_s) if self.view.reading else "-:--:--"

    def _write(self, when: str, kind: str, text: str) -> None:
        line = f"{when}  {kind:<8} {one_line(text)}"
        if self._ascii_only:
            words = " ".join(line.translate(ASCII).split(" ")).replace("  deg ", " deg ")
            line = words.encode("ascii", "replace").decode("ascii")
        self._out.write(line + "\n")
        self._out.flush()

    def _snapshot(self, snapshot: Snapshot) -> None:
        if not self._introduced:
            self._introduced = True
            kind = "VIRTUAL RIG" if snapshot.virtual else "rig"
            told = [f"{kind} {snapshot.rig}", snapshot.recipe, snapshot.lot, snapshot.board]
            self._write(self._now(), "rig", "; ".join(part for part in told if part))
            for alarm in self.view.alarms:
                self._alarm(alarm)
        # The keeper's sentence may carry numbers that change; the state and the request do not.
        said = (snapshot.state, snapshot.request)
        if said != self._said and not snapshot.result:
            self._said = said
            self._write(self._now(), snapshot.state, doing(self.view))
            if snapshot.request:
                self._write(self._now(), "please", next_step(self.view).removeprefix(PLEASE))

    def _reading(self, reading: Reading) -> None:
        if self._next_reading_s is not None and reading.time_s < self._next_reading_s:
            return
        self._next_reading_s = reading.time_s + self._every_s
        text, plan = self.view.degrees.text, self.view.plan
        parts = [f"chocolate {text(reading.chocolate_c)}"]
        if plan is not None:
            number = self.view.degrees.number
            window = f"{number(plan.window.low_c)} to {number(plan.window.high_c)}"
            parts.append(f"target {text(reading.target_c)}, window {window}")
            parts.append(position(self.view))
        parts.append(f"bath {text(reading.bath_c)}")
        parts.append(
            f"heat {percent(reading.heat_share)}, chill {percent(reading.chill_share)}, "
            f"stir {percent(reading.stir_share)}"
        )
        if left := phase_left(reading):
            parts.append(f"{reading.phase} {left} more")
        elif why := why_unknown(reading).strip():
            parts.append(why[:1].lower() + why[1:].rstrip("."))
        parts += [
            f"{probe} probe {fault_sentence(word)}" for probe, word in reading.faults.items()
        ]
        self._write(clock(reading.time_s), reading.phase or reading.state, "; ".join(parts))

    def _alarm(self, alarm: Alarm) -> None:
        words = f"{alarm.priority.upper()} {alarm.state}: {alarm.happened}"
        if alarm.state != "cleared":
            words += f" {alarm.rig_did} Do now: {alarm.do_now}"
        self._write(self._now(), "ALARM", words)


def follow_plain(
    client: KeeperClient,
    out: TextIO,
    ascii_only: bool = False,
    fahrenheit: bool = False,
    every_s: float = 60.0,
    listen: Listen | None = None,
) -> Snapshot:
    """Write the cycle as plain lines until it has ended; gives the last snapshot.

    A reading gets a line every every_s seconds of the cycle. listen gives what a person types,
    which is obeyed; who leaves with q gets the snapshot as it is. Raises KeeperError when the
    keeper goes away before the cycle has ended.
    """
    lines = PlainLines(out, ascii_only, fahrenheit, every_s)
    keys = PlainKeys(client, lines.view, listen, lines.say, out)
    if listen is not None:
        lines.say("keys", HELP)
    while True:
        client.wait(LISTEN_S if listen is None else TYPING_S)
        keys.answer()
        closed = client.closed_reason
        for message in client.drain():
            lines.write_message(message)
        snapshot = lines.view.snapshot
        if snapshot is not None and (snapshot.result or keys.left):
            if snapshot.result:
                lines.end()
            return snapshot
        if closed:
            raise KeeperError(f"{closed} The cycle had not ended; look at the rig.")
