"""A dozen screens as pictures, so that a change of looks is seen and meant.

Textual is held to one release in the test extra: the pictures are of its drawing.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from glossbath.client.client import KeeperClient
from glossbath.tui.app import GlossbathApp

from .fake_keeper import FakeKeeper
from .scenes import ALARMED, IDLE, LARGE, READY, RUNNING, SMALL, TRIPPED, Scene, play

SCENES: dict[str, Scene] = {
    "running-80x24": (RUNNING, SMALL, ()),
    "running-140x40": (RUNNING, LARGE, ()),
    "alarm-140x40": (ALARMED, LARGE, ()),
    "tripped-80x24": (TRIPPED, SMALL, ()),
    "keeper-lost-80x24": (RUNNING, SMALL, ("lost",)),
    "quit-80x24": (RUNNING, SMALL, ("q",)),
    "idle-80x24": (IDLE, SMALL, ()),
    "rigs-80x24": (RUNNING, SMALL, ("o",)),
    "recipe-80x24": (IDLE, SMALL, ("r", "enter")),
    "edit-wrong-80x24": (IDLE, SMALL, ("r", "enter", "f4", "9", "9", "f2")),
    "cycle-140x40": (IDLE, LARGE, ("l", "enter")),
    "desk-form-80x24": (RUNNING, SMALL, ("k", "enter")),
}


@pytest.mark.usefixtures("same_place", "left")
@pytest.mark.parametrize("scene", SCENES)
def test_picture(keeper: FakeKeeper, snap_compare: Callable[..., bool], scene: str) -> None:
    messages, size, keys = SCENES[scene]
    keeper.greeting = [*messages, READY]
    moment_s = [1000.0]
    app = GlossbathApp(lambda: KeeperClient(Path("k")), clock=lambda: moment_s[0])

    async def settle(pilot: Pilot[str]) -> None:
        await play(pilot, keeper, keys, moment_s)

    assert snap_compare(app, terminal_size=size, run_before=settle)
