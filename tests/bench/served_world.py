"""A case of the fault campaign once alone and once with onlookers at its keeper.

The world of tests/rig/world.py, its keeper served on a socket as a real one is, so that the page,
the bridge and the notifier find it. Time is virtual and waits for the keeper, so that what heat,
trips and temperatures do must be the same to the digit; what onlookers cost shows in how long the
keeper's steps take by the wall clock.
"""

from __future__ import annotations

import itertools
import os
import threading
import time
from collections.abc import Callable
from dataclasses import fields
from pathlib import Path
from typing import Any

import campaign
from campaign import Outcome, WatchedWorld

from glossbath.client.messages import Message
from glossbath.client.paths import socket_path
from glossbath.keeper.keeper import Keeper
from glossbath.keeper.server import Server

LEASE_S = 6.0
"""After which the board takes heat away (firmware/glossbath_board/limits.py)."""
_numbers = itertools.count()
_SAME = {field.name for field in fields(Outcome)} - {
    *("told", "wall_s", "problems", "simulated_s", "step_s", "looked_at")
}


class ServedWorld(WatchedWorld):
    """A world whose keeper has clients."""

    longest_s = 0.0
    """The longest step of a keeper by the wall clock."""
    met = 0
    """Steps during which somebody was connected."""

    def __init__(self, folder: Path, *options: Any, **more: Any) -> None:
        self.server = Server(socket_path(f"beside-{os.getpid()}-{next(_numbers)}"))
        super().__init__(folder, *options, **more)
        self._serving = threading.Thread(target=self.server.run, daemon=True)
        self._serving.start()

    def new_keeper(self) -> Keeper:
        self.server.keeper = super().new_keeper()
        return self.server.keeper

    def _publish(self, message: Message) -> None:
        super()._publish(message)
        self.server.publish(message)

    def tick(self, now_ms: int) -> None:
        began = time.monotonic()
        super().tick(now_ms)
        ServedWorld.longest_s = max(ServedWorld.longest_s, time.monotonic() - began)
        ServedWorld.met += bool(self.server.clients)

    def close(self) -> None:
        super().close()
        self.server.end()
        self._serving.join(5.0)
        self.server.close()


def beside(job: Any, run: Callable[..., Outcome], plant: str) -> Outcome:
    """Run a case alone and looked at; what differs is a problem of the second."""
    alone = run(job, plant=plant)
    ServedWorld.longest_s, ServedWorld.met = 0.0, 0
    campaign.WatchedWorld = ServedWorld  # type: ignore[misc]
    try:
        outcome = run(job, plant=plant)
    finally:
        campaign.WatchedWorld = WatchedWorld  # type: ignore[misc]
    for name in sorted(_SAME):
        one, other = getattr(alone, name), getattr(outcome, name)
        if one != other:
            outcome.problems.append(f"{name} {other} with onlookers, {one} alone")
    # Which alarm of a noisy line comes first differs from run to run, alone too; trips do not.
    if (alone.trip and alone.trip[0]) != (outcome.trip and outcome.trip[0]):
        outcome.problems.append(f"trip {outcome.trip} with onlookers, {alone.trip} alone")
    if ServedWorld.longest_s > LEASE_S / 2:
        outcome.problems.append(f"a step of the keeper took {ServedWorld.longest_s:.2f} s")
    outcome.step_s, outcome.looked_at = ServedWorld.longest_s, ServedWorld.met
    return outcome
