"""What the benches of random kitchens share: their options, and a kitchen under real control."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "stand_ins"))

from chain import Chain, Event, project
from random_kitchens import REPORT_FROM, Kitchen

from glossbath.virtual.plants import PLANTS, AnyPlant


def options(about: str | None, rigs: int) -> argparse.ArgumentParser:
    """Which plant, how many kitchens from which seed on, and on how many processors."""
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--plant", choices=PLANTS, default="lumped")
    parser.add_argument("--rigs", type=int, default=rigs)
    parser.add_argument("--first", type=int, default=REPORT_FROM)
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    return parser


def chain_of(
    found: Kitchen,
    plant: AnyPlant,
    hold_s: float,
    values: list[int] | None,
    events: Sequence[Event] = (),
) -> Chain:
    """The cycle of a kitchen with its own probes; values is what the board is told of the rig."""
    return Chain(
        plant,
        found.program(hold_s),
        project(values),
        seed=found.seed,
        noise_c=found.probe_noise_c,
        tau_s=found.probe_tau_s,
        events=events,
    )
