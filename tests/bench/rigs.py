"""Rigs to try a controller on: the reference rig, and random ones around it."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace

from glossbath.recipe import load
from glossbath.recipe.program import board_program
from glossbath.virtual.parameters import PlantParameters
from glossbath.virtual.plant import Plant
from glossbath_board.program import Program

TRANSFER_SPREAD = 0.4
IDENTIFIED_TRUST = 900
"""What the host gives a rig it has measured with a doubt of 2.5 %."""
_WALL = ("water_bowl_w_per_k", "bowl_chocolate_w_per_k", "chocolate_room_w_per_k")
_CONDUCTANCES = (
    *_WALL,
    "body_water_w_per_k",
    "body_room_w_per_k",
    "lid_room_w_per_k",
    "coil_w_per_k",
)


@dataclass(frozen=True)
class Rig:
    """One rig in one room."""

    name: str
    parameters: PlantParameters
    room_c: float = 24.0

    @property
    def batch_kg(self) -> float:
        return self.parameters.chocolate_kg

    def plant(self) -> Plant:
        """The rig at room temperature."""
        return Plant(self.parameters, room_c=self.room_c)

    def model_values(self, trust_permille: int = IDENTIFIED_TRUST) -> list[int]:
        """What the board would be told of this rig if it had been measured without an error."""
        p = self.parameters
        body = p.body_kg * p.body_cp_j_per_kg_k
        water = p.water_kg * p.water_cp_j_per_kg_k + p.bowl_kg * p.bowl_cp_j_per_kg_k
        inner = p.bowl_chocolate_w_per_k * stirred(p, 0.5)
        wall = 1.0 / (1.0 / inner + 1.0 / p.water_bowl_w_per_k) / self.batch_kg ** (2.0 / 3.0)
        loss = p.body_room_w_per_k + p.lid_room_w_per_k + p.chocolate_room_w_per_k
        return [
            round(p.heater_w),
            round(body + water),
            round(body),
            round(1000 * body / p.body_water_w_per_k),
            round(1000 * wall),
            round(1000 * loss),
            round(1000 * p.coil_w_per_k),
            trust_permille,
        ]


def stirred(p: PlantParameters, share: float) -> float:
    """Mean factor on the bowl's inner wall when the stirrer runs for a share of the time."""
    still = p.still_share
    return still + (1.0 - still) * share * math.pow(1.0 / p.nominal_stir_share, 2.0 / 3.0)


def nominal() -> Rig:
    """The reference rig: 250 W, 3 kg of water, 1 kg of chocolate."""
    return Rig("nominal", PlantParameters())


def with_batch(parameters: PlantParameters, kg: float) -> PlantParameters:
    """The same rig with a bowl that fits kg of chocolate: its wall grows as mass to the 2/3."""
    wall = (kg / parameters.chocolate_kg) ** (2.0 / 3.0)
    scaled = {name: getattr(parameters, name) * wall for name in _WALL}
    bowl_kg = parameters.bowl_kg * wall
    return replace(parameters, chocolate_kg=kg, bowl_kg=bowl_kg, ice_kg=2.0 + 0.4 * kg, **scaled)


def random_rig(rng: random.Random, name: str) -> Rig:
    """0.5 to 6 kg, 120 to 400 W, every heat transfer within 40 %, a room of 15 to 35 °C.

    Masses are drawn evenly by ratio, all else evenly. Ice is enough for the batch.
    """
    parameters = with_batch(PlantParameters(), 0.5 * 12.0 ** rng.random())
    spread = {
        field: getattr(parameters, field) * rng.uniform(1 - TRANSFER_SPREAD, 1 + TRANSFER_SPREAD)
        for field in _CONDUCTANCES
    }
    heater_w = rng.uniform(120.0, 400.0)
    room_c = rng.uniform(15.0, 35.0)
    return Rig(name, replace(parameters, heater_w=heater_w, **spread), room_c)


def program_for(rig: Rig, hold_s: float) -> Program:
    """The dark recipe for this rig's batch."""
    return board_program(load("dark").with_hold(hold_s), rig.batch_kg)


def random_rigs(count: int, seed: int) -> list[Rig]:
    """count random rigs, the same ones for the same seed."""
    rng = random.Random(seed)
    return [random_rig(rng, f"{seed}-{at}") for at in range(count)]
