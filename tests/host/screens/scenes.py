"""What a keeper may say and a person press, with fixed data: scenes for pictures and for words."""

from __future__ import annotations

from textual.pilot import Pilot
from textual.widgets import Input

from glossbath.client.messages import Alarm, Health, Message
from glossbath.tui.app import GlossbathApp
from glossbath.tui.key_bar import KeyBar
from glossbath.tui.start_screen import StartScreen

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


Scene = tuple[list[Message], tuple[int, int], tuple[str, ...]]
"""What the keeper says, columns and rows of the terminal, and what is pressed."""
SMALL, LARGE = (80, 24), (140, 40)
READY = event("note", "Ready.")


async def play(
    pilot: Pilot[str], keeper: FakeKeeper, keys: tuple[str, ...], moment_s: list[float]
) -> None:
    """Press keys in turn until the screen stands still; "lost" takes the keeper away."""
    app = pilot.app
    assert isinstance(app, GlossbathApp)
    while READY not in app.view.events:
        assert app.client is not None
        app.client.wait(0.1)
        app.pump()
    # The trend is drawn anew once a second.
    moment_s[0] += 2.0
    app.pump()
    for key in keys:
        if key == "lost":
            _lose(app, keeper)
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
    await _settle(app, pilot)


async def _settle(app: GlossbathApp, pilot: Pilot[str]) -> None:
    """Until the screen looks the same three times: a panel that grows moves those below it, and
    the trend is drawn to the size that they leave."""
    looks: list[str] = []
    while len(looks) < 3 or len(set(looks[-3:])) > 1:
        app.pump()
        await pilot.pause()
        looks.append("\n".join(strip.text for strip in app.screen._compositor.render_strips()))


def _lose(app: GlossbathApp, keeper: FakeKeeper) -> None:
    keeper.hang_up()
    while not app.view.lost:
        assert app.client is not None
        app.client.wait(0.1)
        app.pump()
