"""What a batch is: the chocolate, the rig it lies in, and where its phases go."""

from __future__ import annotations

import msgspec

from . import heat, limits
from .lumps import MELT_FROM_C, Lumps
from .windows import Suggestion

COUPLING_W_PER_K_AT_1_KG = 4.5
BATH_MOST_C = 60.0
"""The board's own ceiling for the bath."""


class Targets(msgspec.Struct, frozen=True):
    """Where the phases go, in °C and s."""

    melt_c: float
    cool_c: float
    work_c: float
    soak_s: float = 600.0
    cool_dwell_s: float = 300.0
    hold_s: float = 3600.0


class Rig(msgspec.Struct, frozen=True):
    """The bath as far as the plan needs it."""

    water_kg: float
    heater_w: float
    crock_kg: float = 3.0
    chill_w: float = 0.0
    """Heat the chill coil takes from a warm bath; 0 without a coil."""
    loss_w_per_k: float = 2.0
    coupling_w_per_k: float | None = None
    """Bath to chocolate; None estimates it from the mass."""
    crock_l: float | None = None
    """Volume of the crock up to its rim."""


class Batch(msgspec.Struct, frozen=True):
    """The chocolate and where everything starts."""

    chocolate_kg: float
    fat_share: float
    chocolate_c: float = 20.0
    water_c: float = 20.0
    room_c: float = 20.0


class Doubt(msgspec.Struct, frozen=True):
    """Factors on what is only roughly known."""

    heat: float = 1.0
    coupling: float = 1.0
    loss: float = 1.0


def targets(suggestion: Suggestion) -> Targets:
    """Targets in the middle of the suggested windows."""
    melt, cool = suggestion.melt, suggestion.cool
    return Targets(
        melt_c=(melt.low_c + melt.high_c) / 2,
        cool_c=(cool.low_c + cool.high_c) / 2,
        work_c=suggestion.work_target_c,
    )


def check(batch: Batch, rig: Rig, goal: Targets) -> None:
    """Raise InputError for numbers that cannot be meant."""
    limits.mass_kg("chocolate", batch.chocolate_kg)
    limits.share("fat", batch.fat_share, *limits.FAT_SHARE)
    limits.celsius("chocolate's start", batch.chocolate_c, (0.0, 60.0))
    limits.celsius("water's start", batch.water_c, (0.0, BATH_MOST_C))
    limits.celsius("room", batch.room_c, limits.ROOM_C)
    limits.mass_kg("water", rig.water_kg)
    limits.mass_kg("crock", rig.crock_kg, zero=True)
    limits.number("heater power", rig.heater_w, 20.0, 2000.0, "W")
    limits.number("chill power", rig.chill_w, 0.0, 2000.0, "W")
    limits.number("heat loss", rig.loss_w_per_k, 0.1, 50.0, "W/K")
    if rig.coupling_w_per_k is not None:
        limits.number("coupling", rig.coupling_w_per_k, 0.1, 200.0, "W/K")
    if rig.crock_l is not None:
        limits.number("crock's volume", rig.crock_l, 0.5, 100.0, "l")
    limits.celsius("melt target", goal.melt_c, (35.0, 55.0))
    limits.celsius("cool target", goal.cool_c, (20.0, 33.0))
    limits.celsius("working target", goal.work_c, (22.0, 34.0))
    limits.ordered("step from cooling to working", goal.cool_c, goal.work_c, "°C")
    for name in ("soak_s", "cool_dwell_s", "hold_s"):
        limits.number(name[:-2].replace("_", " "), getattr(goal, name), 0.0, 86_400.0, "s")


def bath_j_per_k(rig: Rig) -> float:
    """Heat capacity of water and crock in J/K."""
    return rig.water_kg * heat.WATER_CP + rig.crock_kg * heat.CROCK_CP


def solid_share(batch: Batch) -> float:
    """Solid part of the fat at the start, all or nothing."""
    return 1.0 if batch.chocolate_c < MELT_FROM_C else 0.0


def lumps(batch: Batch, rig: Rig, doubt: Doubt) -> Lumps:
    """The two lumps of a batch, with its doubts applied."""
    coupling = rig.coupling_w_per_k
    if coupling is None:
        coupling = COUPLING_W_PER_K_AT_1_KG * batch.chocolate_kg ** (2 / 3)
    melt_j_per_kg = batch.fat_share * solid_share(batch) * heat.FAT_LATENT_J_PER_KG
    return Lumps(
        bath_j_per_k=bath_j_per_k(rig),
        chocolate_kg=batch.chocolate_kg,
        chocolate_cp_factor=doubt.heat,
        melt_j_per_kg=melt_j_per_kg * doubt.heat,
        coupling_w_per_k=coupling * doubt.coupling,
        loss_w_per_k=rig.loss_w_per_k * doubt.loss,
        room_c=batch.room_c,
    )
