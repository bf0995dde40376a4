"""The firmware's control classes against the virtual plant, in one process, giving readings.

A pass does what the board's loop does in the same order; supervisor, frames, wires and the keeper
are left out: nothing here comes near a cut-off. Time is simulated.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator
from itertools import pairwise

from glossbath.client.messages import Reading
from glossbath.recipe import Recipe
from glossbath.recipe.program import board_program
from glossbath.virtual.actuators import Actuators
from glossbath.virtual.melting import ChocolateParameters
from glossbath.virtual.parameters import PlantParameters
from glossbath.virtual.plants import AnyParameters, plant_of
from glossbath.virtual.probe import Probe
from glossbath_board import cycle as states
from glossbath_board import reading as board
from glossbath_board.control import Control
from glossbath_board.cycle import Cycle
from glossbath_board.estimate import BATH_SPAN_S, Estimate
from glossbath_board.limits import PASS_MS
from glossbath_board.model import Model
from glossbath_board.output import Allowed, Outputs

NAMES = ("chocolate", "bath", "body")
Event = tuple[float, Callable[["RigRun"], None]]
_CONVERT_PASSES = 3
_ROUND_PASSES = 6
_WARM_UP_PASSES = 12


def water_bowl(kg: float = 1.0, **changed: float) -> PlantParameters:
    """The reference rig with water in its bowl."""
    liquid = ChocolateParameters(
        fat_share=0.0,
        cp_cool_j_per_kg_k=4180.0,
        cp_warm_j_per_kg_k=4180.0,
        stable_nucleation_per_s=0.0,
        unstable_nucleation_per_s=0.0,
    )
    return PlantParameters(chocolate=liquid, chocolate_kg=kg, **changed)


class _Pin:
    def __init__(self) -> None:
        self.level = 0

    def value(self, level: int) -> None:
        self.level = level


class RigRun:
    """One rig at rest at the room's temperature, running one recipe. Iterate for its readings."""

    def __init__(
        self,
        recipe: Recipe,
        parameters: AnyParameters | None = None,
        *,
        seed: int = 1,
        room_c: float = 24.0,
        events: list[Event] | None = None,
        board_model: list[int] | None = None,
    ) -> None:
        parameters = parameters or PlantParameters()
        liquid = 0.0 if parameters.chocolate.fat_share == 0.0 else None
        self.plant = plant_of(parameters, room_c=room_c, stable_share=liquid)
        self.recipe = recipe
        self._events = sorted(events or [], key=lambda event: event[0])
        self._program = board_program(recipe, parameters.chocolate_kg)
        self._sources = [
            lambda: self.plant.seen_c("chocolate"),
            lambda: self.plant.seen_c("bath"),
            lambda: self.plant.seen_c("body"),
        ]
        self.probes = {
            name: Probe(source(), rng=random.Random(seed * 10 + at))
            for at, (name, source) in enumerate(zip(NAMES, self._sources, strict=True))
        }
        self._raw = {name: board.Reading(name) for name in NAMES}
        self.cycle = Cycle()
        chocolate, bath = (
            Estimate(self._raw["chocolate"]),
            Estimate(self._raw["bath"], BATH_SPAN_S),
        )
        self._estimates = (chocolate, bath)
        self.control = Control(chocolate, bath, self.cycle, Model(board_model))
        self._pins = {name: _Pin() for name in ("heat", "relay", "chill", "stir", "lamp")}
        self._outputs = Outputs(self._pins)
        self._allowed = Allowed()
        self._actuators = Actuators()
        self._passes = self._taken_ms = self.now_ms = 0
        self._coming = [0, 0, 0]
        self.entered_s: dict[str, float] = {}

    def __iter__(self) -> Iterator[Reading]:
        for _ in range(_WARM_UP_PASSES):
            self._sense()
            self._world()
        for event in ("start", "armed", "proven"):
            self.cycle.handle(event)
        self.cycle.program = self._program
        begin_ms = self.now_ms
        while self.cycle.state in states.HEATING and not self._late():
            elapsed_s = (self.now_ms - begin_ms) / 1000
            while self._events and self._events[0][0] <= elapsed_s:
                self._events.pop(0)[1](self)
            self._pass()
            self.entered_s.setdefault(self._phase_name(), elapsed_s)
            if (self.now_ms - begin_ms) % 1000 == 0:
                yield self._reading(elapsed_s)
            self._world()

    def _late(self) -> bool:
        phase = self.cycle.phase
        return phase is not None and self.cycle.phase_ms > phase.timeout_ms

    def readings(self) -> list[Reading]:
        """All readings of the whole cycle."""
        return list(self)

    def phase_times_s(self) -> dict[str, float]:
        """How long each phase took."""
        begins = list(self.entered_s.items())
        return {name: after - begin for (name, begin), (_, after) in pairwise(begins)}

    def _phase_name(self) -> str:
        return self.cycle.phase.name if self.cycle.phase else self.cycle.state

    def _sense(self) -> None:
        self.now_ms += PASS_MS
        place = self._passes % _ROUND_PASSES
        if place == 0:
            self._taken_ms = self.now_ms
            self._coming = [
                math.floor(probe.celsius() * 16.0 + 0.5) * 125 // 2
                for probe in self.probes.values()
            ]
        elif place >= _CONVERT_PASSES:
            at = place - _CONVERT_PASSES
            self._raw[NAMES[at]].good(self._coming[at], self._taken_ms)
        self._passes += 1
        for estimate in self._estimates:
            estimate.step(self.now_ms)

    def _pass(self) -> None:
        self._sense()
        self.cycle.step(PASS_MS, self._raw["chocolate"].milli)
        self.control.step(self.cycle.phase, PASS_MS)
        allowed, control = self._allowed, self.control
        allowed.relay = True
        allowed.heat_permille = control.heat_permille
        allowed.chill_permille = control.chill_permille
        allowed.stir_permille = control.stir_permille
        self._outputs.drive(self._allowed, PASS_MS)

    def _world(self) -> None:
        flowing = self._actuators
        flowing.heat_share = float(self._outputs.heat_on)
        flowing.chill_share = float(self._pins["chill"].level)
        flowing.stir_share = float(self._pins["stir"].level)
        self.plant.step(PASS_MS / 1000, flowing)
        for probe, source in zip(self.probes.values(), self._sources, strict=True):
            probe.step(PASS_MS / 1000, source())

    def _reading(self, time_s: float) -> Reading:
        celsius = {name: self._raw[name].milli / 1000 for name in NAMES}
        phase = self.cycle.phase
        return Reading(
            time_s=time_s,
            wall="",
            chocolate_c=celsius["chocolate"],
            bath_c=celsius["bath"],
            body_c=celsius["body"],
            target_c=phase.target_mc / 1000 if phase else None,
            bath_target_c=None,
            heat_share=self._allowed.heat_permille / 1000,
            chill_share=self._allowed.chill_permille / 1000,
            stir_share=self._allowed.stir_permille / 1000,
            state=self.cycle.state,
            phase=phase.name if phase else "",
            phase_index=self.cycle.index,
            phase_elapsed_s=self.cycle.phase_ms / 1000,
            phase_left_s=None,
            cycle_left_s=None,
            dwell_s=self.cycle.dwell_ms / 1000,
        )
