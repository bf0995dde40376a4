"""Every keeper on this computer and what its rig does now, for a screen that shows them all.

It only looks: its clients never steer, so they take nothing from whoever does.
"""

from __future__ import annotations

import contextlib
import time
from dataclasses import dataclass

from glossbath.client.client import KeeperClient
from glossbath.client.paths import VIRTUAL, keepers
from glossbath.errors import KeeperError
from glossbath.words import Degrees, Line, one_line

from .panels import SIGNS
from .rig_view import PRIORITIES, RigView

CONNECT_S = 0.2
"""A local socket answers at once or not at all; a screen waits no longer."""
NAME_CELLS, STATE_CELLS, RECIPE_CELLS, PHASE_CELLS = 15, 9, 13, 7


@dataclass(frozen=True)
class RigRow:
    """One rig as it is now."""

    rig: str
    answers: bool
    virtual: bool = False
    state: str = ""
    recipe: str = ""
    phase: str = ""
    chocolate_c: float | None = None
    alarms: int = 0
    worst: str = ""
    """The highest priority among the alarms; empty without any."""
    result: str = ""
    folder: str = ""
    port: str = ""

    def line(self, degrees: Degrees) -> Line:
        """The row of a list: name, kind, state, recipe, chocolate, phase, alarms."""
        name: Line = [(_cells(self.rig, NAME_CELLS), "strong")]
        if not self.answers:
            return [*name, ("no answer: its keeper has gone or is busy", "dim")]
        kind = (" VIRTUAL ", "virtual") if self.virtual else (" real    ", "dim")
        state = (" " + _cells(self.state.upper() or "no state", STATE_CELLS), "strong")
        chocolate = f"{degrees.number(self.chocolate_c):>6} {degrees.sign}  "
        told = _cells(self.recipe or "-", RECIPE_CELLS) + chocolate
        return [*name, kind, state, (told, ""), (_cells(self.phase, PHASE_CELLS), ""), *self._sign]

    @property
    def _sign(self) -> Line:
        if not self.alarms:
            return [("no alarms", "dim")]
        word = "alarm" if self.alarms == 1 else "alarms"
        return [(f" {SIGNS[self.worst]} {self.alarms} {word} ", self.worst)]


def _cells(text: str, cells: int) -> str:
    shown = one_line(text)
    return (shown if len(shown) < cells else shown[: cells - 2] + "…").ljust(cells)


class Overview:
    """Looks at every keeper. Time is an argument."""

    def __init__(self) -> None:
        self._clients: dict[str, KeeperClient] = {}
        self._views: dict[str, RigView] = {}

    def look(self, now_s: float) -> list[RigRow]:
        """Every rig whose keeper's socket lies there, by name."""
        names = []
        for rig, path in keepers():
            client = self._clients.get(rig)
            if client is None or client.closed:
                self._open(rig, path)
            # A virtual rig has gone with its keeper, so a socket left behind is only litter.
            if rig in self._clients or not rig.startswith(VIRTUAL):
                names.append(rig)
        for rig in set(self._clients) - set(names):
            self._forget(rig)
        for rig, client in self._clients.items():
            self._views[rig].fold(client.drain(), now_s)
        return [self._row(rig) for rig in names]

    def settled(self, within_s: float) -> list[RigRow]:
        """Every rig, once each keeper has said how its rig is; waits for at most within_s."""
        self.look(0.0)
        until_s = time.monotonic() + within_s
        for client in self._clients.values():
            client.wait(max(0.0, until_s - time.monotonic()))
        return self.look(0.0)

    def stop(self, rig: str) -> str:
        """Send STOP to a rig at once; what came of it, in words."""
        client = self._clients.get(rig)
        if client is None or client.closed:
            return f"Use the stop button at the rig: {rig} does not answer."
        try:
            client.post("stop")
        except KeeperError as error:
            return f"Use the stop button at the rig. {error}"
        return f"stop was sent to {rig}"

    def close(self) -> None:
        """Look no more; every rig goes on."""
        for rig in list(self._clients):
            self._forget(rig)

    def _open(self, rig: str, path: object) -> None:
        self._forget(rig)
        with contextlib.suppress(KeeperError):
            self._clients[rig] = KeeperClient(str(path), connect_timeout_s=CONNECT_S)
            self._views[rig] = RigView()

    def _forget(self, rig: str) -> None:
        client = self._clients.pop(rig, None)
        self._views.pop(rig, None)
        if client is not None:
            client.close()

    def _row(self, rig: str) -> RigRow:
        view = self._views.get(rig)
        if view is None or view.snapshot is None:
            return RigRow(rig, answers=False)
        reading, alarms = view.reading, view.alarms
        worst = alarms[0].priority if alarms else ""
        return RigRow(
            rig,
            answers=True,
            virtual=view.snapshot.virtual,
            state=view.state,
            recipe=view.snapshot.recipe,
            result=view.snapshot.result,
            folder=view.snapshot.folder,
            port=view.snapshot.port,
            phase=reading.phase if reading else "",
            chocolate_c=reading.chocolate_c if reading else None,
            alarms=len(alarms),
            worst=worst if not worst or worst in PRIORITIES else PRIORITIES[0],
        )
