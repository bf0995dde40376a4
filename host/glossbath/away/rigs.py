"""Every rig of this computer, followed through its keeper's socket. It only looks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from glossbath.client.client import KeeperClient
from glossbath.client.messages import Message
from glossbath.client.paths import keepers
from glossbath.errors import KeeperError
from glossbath.view.rig_view import RigView

CONNECT_S = 0.5
"""A local socket answers at once or not at all."""
AGAIN_S = 1.0
"""How long a keeper that does not answer is left alone before it is asked again."""

Keepers = Callable[[], Sequence[tuple[str, Path]]]


class FollowedRig:
    """One rig: what its keeper has said, and since when the keeper is gone."""

    def __init__(self, name: str, fahrenheit: bool = False) -> None:
        self.name = name
        self.view = RigView(fahrenheit)
        self.gone = ""
        """Why the keeper is gone, as a sentence; empty while it answers."""
        self.gone_at_s: float | None = None
        self.read_at_s: float | None = None
        """When the last reading came, on the clock of look()."""
        self.news: list[Message] = []
        """What the keeper said between the last two looks, oldest first."""
        self.client: KeeperClient | None = None
        self.ask_again_s = 0.0

    @property
    def lost_in_a_cycle(self) -> bool:
        """Whether the keeper went away while its rig was at work."""
        return bool(self.gone) and self.view.active

    def age_s(self, now_s: float) -> float | None:
        """Seconds since the last reading; None before the first."""
        return None if self.read_at_s is None else max(0.0, now_s - self.read_at_s)


class Rigs:
    """Follows every keeper, or only the one named. Time is an argument."""

    def __init__(
        self, only: str = "", fahrenheit: bool = False, find_keepers: Keepers = keepers
    ) -> None:
        self._only = only
        self._fahrenheit = fahrenheit
        self._find_keepers = find_keepers
        self._rigs: dict[str, FollowedRig] = {}

    def look(self, now_s: float) -> list[FollowedRig]:
        """Fold what the keepers have said since the last look; every rig by name.

        A rig whose keeper went away after its cycle is forgotten; one whose keeper went away
        during a cycle stays, since that is what a person must hear of.
        """
        found = dict(self._find_keepers())
        for name, path in found.items():
            if self._only in ("", name):
                rig = self._rigs.setdefault(name, FollowedRig(name, self._fahrenheit))
                self._follow(rig, path, now_s)
        for rig in list(self._rigs.values()):
            if rig.name not in found and rig.client is None and not rig.gone:
                self._lose(rig, f"The keeper of {rig.name} has gone.", now_s)
            self._fold(rig, now_s)
            if rig.name not in found and rig.gone and not rig.lost_in_a_cycle:
                del self._rigs[rig.name]
        return [self._rigs[name] for name in sorted(self._rigs)]

    def stop(self, name: str) -> str:
        """Send STOP to a rig at once; what came of it, in words. Raises KeeperError."""
        rig = self._rigs.get(name)
        if rig is None or rig.client is None:
            raise KeeperError(f"{name} does not answer: use the stop button at the rig.")
        reply = rig.client.request("stop")
        if not reply.ok:
            raise KeeperError(f"{reply.text} Use the stop button at the rig.")
        return reply.text

    def close(self) -> None:
        """Look no more; every rig goes on."""
        for rig in self._rigs.values():
            if rig.client is not None:
                rig.client.close()
                rig.client = None

    def _follow(self, rig: FollowedRig, path: Path, now_s: float) -> None:
        if rig.client is not None or now_s < rig.ask_again_s:
            return
        rig.ask_again_s = now_s + AGAIN_S
        try:
            rig.client = KeeperClient(path, connect_timeout_s=CONNECT_S)
        except KeeperError as error:
            if not rig.gone:
                self._lose(rig, str(error), now_s)
            return
        if rig.gone:
            # What the old keeper said last is no news of the new one.
            rig.view, rig.read_at_s = RigView(self._fahrenheit), None
        rig.gone, rig.gone_at_s = "", None

    def _fold(self, rig: FollowedRig, now_s: float) -> None:
        rig.news = []
        if rig.client is None:
            return
        closed = rig.client.closed_reason
        before = rig.view.reading
        rig.news = rig.client.drain()
        rig.view.fold(rig.news, now_s)
        if rig.view.reading is not before:
            rig.read_at_s = now_s
        if closed:
            rig.client.close()
            rig.client = None
            self._lose(rig, closed, now_s)

    @staticmethod
    def _lose(rig: FollowedRig, why: str, now_s: float) -> None:
        rig.gone, rig.gone_at_s = why, now_s
        rig.view.lost = why
