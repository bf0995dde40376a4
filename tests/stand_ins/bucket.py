"""When the chill bucket of a virtual rig takes up no more."""

from __future__ import annotations

from glossbath.virtual.plants import AnyPlant


def is_spent(plant: AnyPlant) -> bool:
    """Its ice is gone, and its water is as warm as the bath but for 2 K."""
    return plant.ice_kg <= 0.0 and plant.reservoir_c > plant.bath_c - 2.0
