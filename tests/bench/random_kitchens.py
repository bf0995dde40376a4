"""Kitchens drawn at random, as physical things, and the rig of either plant that stands in one.

A kitchen is drawn once and can be put into either physics, so that one seed means the same cooker
in both. Seeds below REPORT_FROM are for tuning what is built, those from there on for reporting.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace

from glossbath.recipe import load
from glossbath.recipe.program import board_program
from glossbath.virtual.chocolates import bowl_of
from glossbath.virtual.distributed.parameters import SlabParameters, slab_of
from glossbath.virtual.parameters import PlantParameters
from glossbath.virtual.plants import AnyParameters, AnyPlant, plant_of
from glossbath_board.program import Program

TUNE_FROM, REPORT_FROM = 1, 100_000
_CROCK_KG_PER_M3, _CROCK_W_PER_M_K, _CROCK_CP = 2300.0, 1.3, 850.0
_FILM_W_PER_M2_K = 340.0


@dataclass(frozen=True)
class Kitchen:
    """Masses in kg, temperatures in °C, heat in W. A spread is a factor on the usual value."""

    seed: int
    chocolate: str
    heater_w: float
    crock_mm: float
    water_kg: float
    batch_kg: float
    ice_kg: float
    room_c: float
    tap_c: float
    humidity_percent: float
    begin: dict[str, float]
    """Where chocolate_c and bath_c start if not at the room's temperature."""
    spread: dict[str, float]
    """loss, wall, coil, film, layer."""
    places: dict[str, float]
    """Where the probes are: fields of SlabParameters."""
    probe_tau_s: float
    probe_noise_c: float

    def parameters(self, plant: str) -> AnyParameters:
        """The rig of 'lumped' or 'distributed' physics."""
        return self._lumped() if plant == "lumped" else self._distributed()

    def plant(self, plant: str) -> AnyPlant:
        """That rig, in this kitchen, about to begin."""
        return plant_of(self.parameters(plant), **self.options())

    def options(self) -> dict[str, float]:
        """What a plant begins with besides its parameters."""
        place = {"room_c": self.room_c, "room_rh_percent": self.humidity_percent}
        return {**place, **self.begin, "body_c": self.begin["bath_c"]}

    def program(self, hold_s: float) -> Program:
        """The recipe of its chocolate for its batch."""
        return board_program(load(self.chocolate).with_hold(hold_s), self.batch_kg)

    @property
    def _crock_m2(self) -> float:
        return 0.13 * math.pow(self.water_kg / 3.0, 2.0 / 3.0)

    @property
    def _bowl_size(self) -> float:
        return math.pow(self.batch_kg, 2.0 / 3.0)

    def _distributed(self) -> SlabParameters:
        usual, spread, bowl = slab_of(self.chocolate), self.spread, self._bowl_size
        return replace(
            usual,
            heater_w=self.heater_w,
            jacket_j_per_k=usual.jacket_j_per_k * math.sqrt(self.heater_w / 250.0),
            jacket_room_w_per_k=usual.jacket_room_w_per_k * spread["loss"],
            crock_mm=self.crock_mm,
            crock_m2=self._crock_m2,
            crock_room_w_per_k=usual.crock_room_w_per_k * spread["loss"],
            crock_water_w_per_m2_k=usual.crock_water_w_per_m2_k * spread["film"],
            water_kg=self.water_kg,
            lid_w_per_k=usual.lid_w_per_k * spread["loss"],
            bowl_kg=usual.bowl_kg * bowl,
            bowl_water_w_per_k=usual.bowl_water_w_per_k * bowl * spread["wall"],
            chocolate_kg=self.batch_kg,
            bowl_layer_w_per_k=usual.bowl_layer_w_per_k * bowl * spread["wall"],
            layer_core_w_per_k=usual.layer_core_w_per_k * bowl * spread["layer"],
            core_room_w_per_k=usual.core_room_w_per_k * bowl * spread["loss"],
            ice_kg=self.ice_kg,
            bucket_water_c=self.tap_c,
            coil_w_per_k=usual.coil_w_per_k * spread["coil"],
            **self.places,
        )

    def _lumped(self) -> PlantParameters:
        usual, spread, bowl = bowl_of(self.chocolate), self.spread, self._bowl_size
        crock_kg = self._crock_m2 * self.crock_mm / 1000.0 * _CROCK_KG_PER_M3
        half_wall = 0.5 * self.crock_mm / 1000.0 / _CROCK_W_PER_M_K
        film = 1.0 / (_FILM_W_PER_M2_K * spread["film"])
        return replace(
            usual,
            heater_w=self.heater_w,
            body_kg=crock_kg + 0.4,
            body_cp_j_per_kg_k=_CROCK_CP,
            water_kg=self.water_kg,
            bowl_kg=usual.bowl_kg * bowl,
            chocolate_kg=self.batch_kg,
            body_water_w_per_k=self._crock_m2 / (half_wall + film),
            water_bowl_w_per_k=usual.water_bowl_w_per_k * bowl * spread["wall"],
            bowl_chocolate_w_per_k=usual.bowl_chocolate_w_per_k * bowl * spread["wall"],
            body_room_w_per_k=usual.body_room_w_per_k * spread["loss"],
            lid_room_w_per_k=usual.lid_room_w_per_k * spread["loss"],
            chocolate_room_w_per_k=usual.chocolate_room_w_per_k * bowl * spread["loss"],
            coil_w_per_k=usual.coil_w_per_k * spread["coil"],
            ice_kg=self.ice_kg,
            reservoir_water_c=self.tap_c,
        )


def by_ratio(draw: random.Random, low: float, high: float) -> float:
    """Evenly by ratio between low and high."""
    return low * math.pow(high / low, draw.random())


def _begin(draw: random.Random, room_c: float) -> dict[str, float]:
    """Most start cold; some with a warm bath, some with melted chocolate, some too hot."""
    kind = draw.random()
    if kind < 0.55:
        return {"bath_c": draw.uniform(max(12.0, room_c - 5.0), room_c + 5.0)}
    if kind < 0.75:
        return {"bath_c": draw.uniform(room_c, 55.0)}
    chocolate_c = draw.uniform(34.0, 51.0) if kind < 0.95 else draw.uniform(51.0, 75.0)
    return {
        "chocolate_c": chocolate_c,
        "bath_c": min(59.0, max(15.0, chocolate_c + draw.uniform(-10.0, 3.0))),
        "stable_share": 0.0,
    }


def kitchen(seed: int) -> Kitchen:
    """The kitchen of a seed, the same one for ever.

    Cooker 110 to 1500 W, crock 5 to 14 mm, water 1.5 to 6 kg, batch 0.3 to 6 kg, room 12 to 34,
    tap 5 to 30 and start 15 to 75 °C, ice 0 to 5 kg.
    """
    draw = random.Random(seed)
    room_c = draw.uniform(12.0, 34.0)
    batch_kg = by_ratio(draw, 0.3, 6.0)
    return Kitchen(
        seed=seed,
        chocolate=draw.choice(("dark", "milk", "white")),
        heater_w=by_ratio(draw, 110.0, 1500.0),
        crock_mm=draw.uniform(5.0, 14.0),
        water_kg=by_ratio(draw, max(1.5, min(5.0, batch_kg)), 6.0),
        batch_kg=batch_kg,
        ice_kg=draw.uniform(0.0, 5.0),
        room_c=room_c,
        tap_c=draw.uniform(5.0, min(30.0, room_c)),
        humidity_percent=draw.uniform(30.0, 90.0),
        begin=_begin(draw, room_c),
        spread={
            name: draw.uniform(0.7, 1.3) for name in ("loss", "wall", "coil", "film", "layer")
        },
        places={
            "probe_layer_share": draw.uniform(0.0, 0.3),
            "probe_stem_share": draw.uniform(0.001, 0.008),
            "bath_probe_up_share": draw.random(),
            "bath_probe_wall_share": draw.uniform(0.0, 0.25),
            "body_probe_jacket_share": draw.uniform(0.0, 0.05),
            "pocket_tau_s": draw.uniform(2.0, 12.0),
        },
        probe_tau_s=draw.uniform(4.0, 14.0),
        probe_noise_c=draw.uniform(0.0, 0.04),
    )


def kitchens(count: int, first: int) -> list[Kitchen]:
    """Those of count seeds from first on."""
    return [kitchen(seed) for seed in range(first, first + count)]
