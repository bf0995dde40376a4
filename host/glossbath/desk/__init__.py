"""The desk on the command line: the trade's sums and judgements, without a rig.

`glossbath desk ...`: sentences for a person, --json for programs. Bad input is one sentence on
stderr and exit code 2.
"""

from __future__ import annotations

from collections.abc import Callable

import typer

from . import kitchen, looking, making, tempering, testing
from .group import SentenceGroup

app = typer.Typer(
    cls=SentenceGroup,
    help="Sums and judgements for chocolate work, with or without a rig. All of it is advice.",
)

COMMANDS: dict[str, Callable[..., None]] = {
    "batch": making.batch,
    "windows": making.windows,
    "names": making.names,
    "heat": making.heat,
    "heater": making.heater,
    "cooling": making.cooling,
    "mix": making.mix,
    "ice": making.ice,
    "seed": tempering.seed,
    "seen": tempering.seen,
    "slab": tempering.slab,
    "back": tempering.back,
    "hold": tempering.hold,
    "remelt": tempering.remelt,
    "hot": tempering.hot,
    "seized": tempering.seized,
    "dip": testing.dip,
    "look": testing.look,
    "curve": testing.curve,
    "calibrate": testing.calibrate,
    "crystals": testing.crystals,
    "room": kitchen.room,
    "sweat": kitchen.sweating,
    "dry": kitchen.dry,
    "bloom": looking.bloom,
    "learn": looking.learn,
}

for name, command in COMMANDS.items():
    app.command(name)(command)

__all__ = ["app"]
