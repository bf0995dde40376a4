"""Where a fault may strike: a recipe, and a rig that is warm already so that runs stay short."""

from __future__ import annotations

from dataclasses import dataclass, field

import msgspec
from world import World

from glossbath.chocolate.phase import Window
from glossbath.recipe import Recipe, dump, load

Step = tuple[float, float, float, float, float, float]
"""Target, lower and upper end of the window, lowest and highest bath (°C), dwell (s)."""


@dataclass(frozen=True)
class Scene:
    """How a run begins. begin holds what the plant has besides its parameters."""

    recipe: Recipe
    begin: dict[str, float] = field(default_factory=dict)
    settle_s: float = 5.0
    """After the cycle has begun to run, before anything is broken."""


def _recipe(max_c: float, steps: list[Step], timeout_s: float = 1_200.0) -> Recipe:
    dark = load("dark")
    phases = tuple(
        msgspec.structs.replace(
            phase,
            target_c=step[0],
            window=Window(step[1], step[2]),
            bath_low_c=step[3],
            bath_high_c=step[4],
            dwell_s=step[5],
            timeout_s=max(timeout_s, step[5] + 1_200.0),
        )
        for phase, step in zip(dark.phases, steps, strict=True)
    )
    return msgspec.structs.replace(dark, max_c=max_c, phases=phases)


_MELTED: Step = (48.0, 46.0, 50.0, 20.0, 56.0, 0.0)
_HOLD: Step = (30.5, 30.0, 31.0, 27.0, 33.0, 7_200.0)

SCENES = {
    # Full heat on nearly molten chocolate: where too much heat does harm soonest. The bath is so
    # far below what control leads it to that heat is asked for during minutes.
    "melt": Scene(load("dark"), {"chocolate_c": 42.0, "bath_c": 44.0, "body_c": 48.0}),
    # Molten chocolate at its target under the warmest bath that the recipe allows.
    "hot": Scene(load("dark"), {"chocolate_c": 47.0, "bath_c": 55.0, "body_c": 57.0}),
    # Minutes of full heat into a cool bath.
    "cold": Scene(load("dark"), {"chocolate_c": 27.0, "bath_c": 30.0, "body_c": 33.0}),
    # The same once it has gone well for minutes, so that the computer knows how this rig heats.
    "heated": Scene(
        load("dark"), {"chocolate_c": 27.0, "bath_c": 30.0, "body_c": 33.0}, settle_s=260.0
    ),
    # Ice water against a warm bath.
    "cool": Scene(
        _recipe(52.0, [_MELTED, _MELTED, (28.5, 28.0, 29.0, 21.0, 31.0, 480.0), _HOLD, _HOLD]),
        {"chocolate_c": 47.0, "bath_c": 48.5, "body_c": 50.0},
    ),
    # Tempered chocolate, kept for work.
    "hold": Scene(
        _recipe(
            52.0,
            [
                (31.0, 29.0, 34.0, 25.0, 36.0, 0.0),
                (31.0, 29.0, 34.0, 25.0, 36.0, 0.0),
                (30.0, 29.0, 31.5, 21.0, 33.0, 0.0),
                (30.5, 29.5, 31.5, 27.0, 33.0, 0.0),
                _HOLD,
            ],
        ),
        {"chocolate_c": 30.5, "bath_c": 30.9, "body_c": 31.2, "stable_share": 0.05},
        settle_s=10.0,
    ),
    # All five phases in some eight minutes.
    "brief": Scene(
        _recipe(
            49.0,
            [
                (46.0, 45.5, 47.5, 40.0, 51.0, 12.0),
                (46.0, 45.5, 47.5, 40.0, 51.0, 12.0),
                (43.5, 43.0, 44.0, 35.0, 46.0, 12.0),
                (45.0, 44.5, 45.5, 42.0, 48.0, 12.0),
                (45.0, 44.5, 45.5, 42.0, 48.0, 7_200.0),
            ],
        ),
        {"chocolate_c": 45.0, "bath_c": 46.5, "body_c": 48.0},
    ),
}


def order_start(world: World, scene: Scene) -> None:
    """Order the cycle as a client does, once the board has answered."""
    world.run(3)
    reply = world.ask("start", recipe=dump(scene.recipe), where="scene", batch_kg=1.0)
    assert reply.ok, reply.text


def start(world: World, scene: Scene) -> None:
    """Go on until the cycle runs; from then on nobody presses a button at the rig."""
    order_start(world, scene)
    world.until(lambda: world.state == "running", 60)
    world.rig.hand.willing = False
    world.run(scene.settle_s)
