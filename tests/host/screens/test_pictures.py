"""The screens as pictures with fixed data, so that a change of looks is seen and meant."""

from __future__ import annotations

import time
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from glossbath.client.client import KeeperClient
from glossbath.client.messages import Alarm, Health, Message
from glossbath.tui.app import GlossbathApp
from glossbath.tui.key_bar import KeyBar
from glossbath.tui.start_screen import StartScreen

from ..record.sample import record
from .fake_keeper import PHASES, TRIP, WARM_ROOM, FakeKeeper, event, reading, snapshot

RUNNING: list[Message] = [snapshot(), reading()]
IDLE: list[Message] = [
    snapshot(state="idle", recipe="", phases=[], history=[], folder="", lot="", forecast=[]),
    reading(
        state="idle", phase="", target_c=None, bath_target_c=None, phase_left_s=None,
        cycle_left_s=None, chill_share=0.0, stir_share=0.0,
    ),
]  # fmt: skip
TRIPPED: list[Message] = [
    snapshot(state="tripped", result="tripped", alarms=[TRIP, WARM_ROOM]),
    reading(state="tripped", chill_share=0.0, stir_share=0.0, phase_left_s=None),
    event("trip", TRIP.happened),
]
FAULTY: list[Message] = [
    snapshot(),
    reading(chocolate_c=None, body_c=None, faults={"chocolate": "open", "body": "stale"}),
]
WAITING: list[Message] = [
    snapshot(state="waiting", history=[], forecast=[], request="Press the arm button at the rig."),
    reading(0.0, 21.0, state="waiting", phase="", phase_index=0, target_c=None),
]
LOOKING: list[Message] = [snapshot(steering=False, alarms=[WARM_ROOM]), reading()]

HOT = Alarm(
    "chocolate-window",
    "medium",
    "raised",
    "2025-03-01T09:25:00Z",
    "The chocolate left its window upwards.",
    "The bath is being cooled.",
    "Stir, and look whether the probe sits in the chocolate.",
)
ALARMED: list[Message] = [snapshot(alarms=[WARM_ROOM, HOT]), reading()]
SILENT: list[Message] = [
    snapshot(health=Health(False, False, 2530, 40, 9, 2, 10120, 3, True), alarms=[]),
    reading(),
]
REAL: list[Message] = [snapshot(virtual=False, speed=1.0, engine="micropython rp2"), reading()]
HELD: list[Message] = [snapshot(state="held"), reading(state="held")]


def in_phase(index: int, chocolate_c: float, bath_c: float) -> list[Message]:
    """The rig two minutes into a phase."""
    plan = PHASES[index]
    told = reading(
        2530.0,
        chocolate_c,
        bath_c=bath_c,
        phase=plan.name,
        phase_index=index,
        target_c=plan.target_c,
        phase_elapsed_s=120.0,
    )
    return [snapshot(history=[], forecast=[]), told]


SMALL, LARGE = (80, 24), (140, 40)
SCENES = {
    "running-80x24": (RUNNING, SMALL, ()),
    "running-140x40": (RUNNING, LARGE, ()),
    "fahrenheit-140x40": (RUNNING, LARGE, ("u",)),
    "melt-80x24": (in_phase(0, 39.2, 51.0), SMALL, ()),
    "soak-80x24": (in_phase(1, 48.1, 50.2), SMALL, ()),
    "cool-80x24": (in_phase(2, 40.3, 22.0), SMALL, ()),
    "reheat-80x24": (in_phase(3, 29.1, 33.0), SMALL, ()),
    "hold-80x24": (in_phase(4, 30.6, 31.0), SMALL, ()),
    "held-80x24": (HELD, SMALL, ()),
    "real-80x24": (REAL, SMALL, ()),
    "alarm-80x24": (ALARMED, SMALL, ()),
    "alarm-140x40": (ALARMED, LARGE, ()),
    "board-silent-80x24": (SILENT, SMALL, ()),
    "keeper-lost-80x24": (RUNNING, SMALL, ("lost",)),
    "keeper-lost-140x40": (RUNNING, LARGE, ("lost",)),
    "tripped-140x40": (TRIPPED, LARGE, ()),
    "palette-80x24": (RUNNING, SMALL, ("ctrl+p",)),
    "dip-80x24": (RUNNING, SMALL, ("t", "enter")),
    "desk-80x24": (RUNNING, SMALL, ("k",)),
    "desk-form-80x24": (RUNNING, SMALL, ("k", "enter")),
    "events-80x24": (RUNNING, SMALL, ("e",)),
    "tripped-80x24": (TRIPPED, SMALL, ()),
    "waiting-80x24": (WAITING, SMALL, ()),
    "looking-on-80x24": (LOOKING, SMALL, ()),
    "idle-80x24": (IDLE, SMALL, ()),
    "quit-80x24": (RUNNING, SMALL, ("q",)),
    "note-80x24": (RUNNING, SMALL, ("n", "t", "a", "s", "t", "e", "d")),
    "details-80x24": (FAULTY, SMALL, ("d",)),
    "alarms-80x24": (TRIPPED, SMALL, ("e",)),
    "rigs-80x24": (RUNNING, SMALL, ("o",)),
    "rigs-140x40": (RUNNING, LARGE, ("o",)),
    "recipes-80x24": (IDLE, SMALL, ("r",)),
    "recipe-80x24": (IDLE, SMALL, ("r", "enter")),
    "recipe-140x40": (IDLE, LARGE, ("r", "enter")),
    "recipe-refused-80x24": (IDLE, SMALL, ("r", "enter", "9", "9", "f2")),
    "edit-80x24": (IDLE, SMALL, ("r", "enter", "f4")),
    "edit-140x40": (IDLE, LARGE, ("r", "enter", "f4", "pagedown", "pagedown")),
    "edit-wrong-80x24": (IDLE, SMALL, ("r", "enter", "f4", "9", "9", "f2")),
    "cycles-80x24": (IDLE, SMALL, ("l",)),
    "cycle-80x24": (IDLE, SMALL, ("l", "enter")),
    "cycle-140x40": (IDLE, LARGE, ("l", "enter")),
}

READY = event("note", "Ready.")


@pytest.fixture(autouse=True)
def same_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The same rigs, cycles and recipes under the same short names in every run."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("GLOSSBATH_RUN", "run")
    monkeypatch.setenv("GLOSSBATH_CYCLES", "cycles")
    monkeypatch.setenv("GLOSSBATH_RECIPES", "recipes")
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    monkeypatch.setattr(uuid, "uuid4", lambda: uuid.UUID(int=0xC0C0A << 108))
    record(Path("cycles"))
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def left(same_place: None) -> Iterator[FakeKeeper]:
    """A keeper of a rig that the overview finds."""
    Path("run").mkdir()
    fake = FakeKeeper(Path("run/left.keeper"), [snapshot(rig="left", alarms=[TRIP]), reading()])
    yield fake
    fake.close()


@pytest.mark.parametrize("scene", SCENES)
def test_picture(
    keeper: FakeKeeper, left: FakeKeeper, snap_compare: Callable[..., bool], scene: str
) -> None:
    messages, size, keys = SCENES[scene]
    keeper.greeting = [*messages, READY]
    moment_s = [1000.0]
    app = GlossbathApp(lambda: KeeperClient(Path("k")), clock=lambda: moment_s[0])

    async def settle(pilot: Pilot[str]) -> None:
        while READY not in app.view.events:
            assert app.client is not None
            app.client.wait(5.0)
            app.pump()
        # The trend is drawn anew once a second.
        moment_s[0] += 2.0
        app.pump()
        for key in keys:
            if key == "lost":
                keeper.hang_up()
                while not app.view.lost:
                    app.client.wait(0.1)
                    app.pump()
                continue
            await pilot.press(key)
            await app.workers.wait_for_complete()
            await pilot.pause()
            for field in app.screen.query(Input):
                field.cursor_blink = False
        if isinstance(app.screen, StartScreen):
            while "31.4" not in str(app.screen._rows):
                app.screen.look_around()
            app.screen.look_around()
        await pilot.pause()
        for bar in app.screen.query(KeyBar):
            while bar.size.height != len(bar._shown):
                await pilot.pause()

    assert snap_compare(app, terminal_size=size, run_before=settle)
