"""What stands on the screen in each scene that has no picture of its own."""

from __future__ import annotations

from pathlib import Path

import pytest

from glossbath.client.client import KeeperClient
from glossbath.tui.app import GlossbathApp

from .fake_keeper import FakeKeeper
from .hand import Clock, Hand
from .scenes import (
    ALARMED,
    FAULTY,
    HELD,
    IDLE,
    LARGE,
    LOOKING,
    READY,
    REAL,
    RUNNING,
    SILENT,
    SMALL,
    TRIPPED,
    WAITING,
    Scene,
    in_phase,
    play,
)


def phase(index: int, chocolate_c: float, bath_c: float) -> Scene:
    """The rig two minutes into a phase, before anything is pressed."""
    return in_phase(index, chocolate_c, bath_c), SMALL, ()


SCENES: dict[str, tuple[Scene, tuple[str, ...]]] = {
    "fahrenheit": (
        (RUNNING, LARGE, ("u",)),
        ("CHOCOLATE °F", "Target 83.3 °F", "soak 118.4 done"),
    ),
    "melt": (phase(0, 39.2, 51.0), ("6.8 °C below the window", "▶ melt now", "Next: soak")),
    "soak": (phase(1, 48.1, 50.2), ("In the window", "✓ melt done", "▶ soak now")),
    "cool": (phase(2, 40.3, 22.0), ("11.3 °C above the window", "▶ cool now")),
    "reheat": (phase(3, 29.1, 33.0), ("0.9 °C below the window", "▶ reheat now")),
    "hold": (phase(4, 30.6, 31.0), ("Last phase", "▶ hold now", "┣━●━┫")),
    "held": ((HELD, SMALL, ()), ("HELD", "the recipe waits where it is", "h Resume")),
    "alarm": ((ALARMED, SMALL, ()), ("◆ MEDIUM raised", "Do now: Stir", "● LOW raised", "a Ack")),
    "board-silent": ((SILENT, SMALL, ()), ("BOARD SILENT", "s STOP")),
    "keeper-lost": ((RUNNING, LARGE, ("lost",)), ("KEEPER GONE", "LAST KNOWN", "r Reconnect")),
    "tripped": ((TRIPPED, LARGE, ()), ("TRIPPED: The bath went above 60.0 °C", "c Clear trip")),
    "palette": ((RUNNING, SMALL, ("ctrl+p",)), ("STOP", "key s", "Next phase", "key p")),
    "dip": ((RUNNING, SMALL, ("t", "enter")), ("room 21.5 °C", "0:00:00", "enter Dipped, set")),
    "desk": ((RUNNING, SMALL, ("k",)), ("Before a batch", "How much seed", "esc Back")),
    "events": ((RUNNING, SMALL, ("e",)), ("Events, newest first", "0:42:10  note     Ready.")),
    "waiting": ((WAITING, SMALL, ()), ("WAITING", "Press the arm button at the rig.")),
    "looking-on": ((LOOKING, SMALL, ()), ("v Steer", "● LOW raised")),
    "note": ((RUNNING, SMALL, ("n", *"tasted")), ("A note for the record", "tasted", "F9")),
    "details": (
        (FAULTY, SMALL, ("d",)),
        ("--.- °C", "broken or loose", "draws 310 mA", "frames damaged  1", "21.5 °C"),
    ),
    "alarms": ((TRIPPED, SMALL, ("e",)), ("▲ HIGH latched", "Do now: Lift the bowl out", "trip")),
    "rigs": ((RUNNING, LARGE, ("o",)), ("left", "VIRTUAL  RUNNING", "31.4 °C", "▲ 1 alarm")),
    "recipes": ((IDLE, SMALL, ("r",)), ("dark-seeded", "46–50 → 28–29 → 30–31 °C", "white")),
    "recipe": ((IDLE, LARGE, ("r", "enter")), ("Chocolate, kg", "common practice, no source")),
    "recipe-refused": (
        (IDLE, SMALL, ("r", "enter", "9", "9", "f2")),
        ("The chocolate must be between 0.05 and 10 kg, not 99 kg.",),
    ),
    "edit": ((IDLE, SMALL, ("r", "enter", "f4")), ("▶ melt", "46 to 50 °C, its window")),
    "edit-page": (
        (IDLE, LARGE, ("r", "enter", "f4", "pagedown", "pagedown")),
        ("▶ cool", "28 to 29 °C, its window"),
    ),
    "cycles": ((IDLE, SMALL, ("l",)), ("1 of 1 cycles", "Dark", "complete", "VIRTUAL")),
    "cycle": (
        (IDLE, SMALL, ("l", "enter")),
        ("This cycle left its recipe.", "w Report", "i Picture"),
    ),
}


async def screen_of(keeper: FakeKeeper, scene: Scene) -> str:
    """What stands on the terminal at the end of a scene."""
    messages, size, keys = scene
    keeper.greeting = [*messages, READY]
    moment_s = [1000.0]
    app = GlossbathApp(lambda: KeeperClient(Path("k")), clock=lambda: moment_s[0])
    async with app.run_test(size=size) as pilot:
        await play(pilot, keeper, keys, moment_s)
        return Hand(app, pilot, Clock()).screen()


@pytest.mark.usefixtures("same_place", "left")
@pytest.mark.parametrize("name", SCENES)
async def test_the_screen_says_what_a_person_needs(keeper: FakeKeeper, name: str) -> None:
    scene, words = SCENES[name]
    screen = await screen_of(keeper, scene)
    flowing = " ".join(screen.split())
    missing = [word for word in words if word not in screen and word not in flowing]
    assert missing == [], f"not on the screen:\n{screen}"


@pytest.mark.usefixtures("same_place", "left")
async def test_a_real_rig_is_not_called_virtual_and_a_virtual_one_is(keeper: FakeKeeper) -> None:
    assert "VIRTUAL" not in await screen_of(keeper, (REAL, SMALL, ()))
    keeper.greeting = []
    assert "VIRTUAL" in await screen_of(keeper, (RUNNING, SMALL, ()))
