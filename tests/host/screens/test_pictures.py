"""The screens as pictures with fixed data, so that a change of looks is seen and meant."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from textual.pilot import Pilot

from glossbath.client import KeeperClient
from glossbath.state import Message
from glossbath.tui.app import GlossbathApp

from .fake_keeper import TRIP, WARM_ROOM, FakeKeeper, event, reading, snapshot

RUNNING: list[Message] = [snapshot(), reading()]
TRIPPED: list[Message] = [
    snapshot(state="tripped", result="tripped", alarms=[TRIP, WARM_ROOM]),
    reading(state="tripped", chill_share=0.0, stir_share=0.0, phase_left_s=None),
    event("trip", TRIP.happened),
]
FAULTY: list[Message] = [
    snapshot(),
    reading(chocolate_c=None, body_c=None, faults={"chocolate": "open", "body": "stale"}),
]

SCENES = {
    "running-80x24": (RUNNING, (80, 24), "", False),
    "running-140x40": (RUNNING, (140, 40), "", False),
    "fahrenheit-140x40": (RUNNING, (140, 40), "", True),
    "tripped-80x24": (TRIPPED, (80, 24), "", False),
    "quit-80x24": (RUNNING, (80, 24), "q", False),
    "details-80x24": (FAULTY, (80, 24), "d", False),
}


READY = event("note", "Ready.")


@pytest.mark.parametrize("scene", SCENES)
def test_picture(keeper: FakeKeeper, snap_compare: Callable[..., bool], scene: str) -> None:
    messages, size, key, fahrenheit = SCENES[scene]
    keeper.greeting = [*messages, READY]
    moment_s = [1000.0]
    app = GlossbathApp(
        lambda: KeeperClient(keeper.path), fahrenheit=fahrenheit, clock=lambda: moment_s[0]
    )

    async def settle(pilot: Pilot[str]) -> None:
        while READY not in app.view.events:
            assert app.client is not None
            app.client.wait(5.0)
            app.pump()
        # The trend is drawn anew once a second.
        moment_s[0] += 2.0
        app.pump()
        await pilot.press(*key)
        await pilot.pause()

    assert snap_compare(app, terminal_size=size, run_before=settle)
