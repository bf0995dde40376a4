"""The two physics of the virtual rig, and the choice between them."""

from __future__ import annotations

from glossbath.errors import InputError

from .chocolates import bowl_of
from .distributed.parameters import SlabParameters, slab_of
from .distributed.plant import DistributedPlant
from .parameters import PlantParameters
from .plant import Plant

AnyParameters = PlantParameters | SlabParameters
AnyPlant = Plant | DistributedPlant
PLANTS = ("lumped", "distributed")


def reference(plant: str, chocolate: str = "dark") -> AnyParameters:
    """The reference rig of one of PLANTS with that chocolate, or water, in its bowl.

    Raises InputError for another word.
    """
    if plant not in PLANTS:
        raise InputError(f"There is no virtual plant {plant!r}: use {' or '.join(PLANTS)}.")
    return bowl_of(chocolate) if plant == "lumped" else slab_of(chocolate)


def plant_of(parameters: AnyParameters, **begin: float | None) -> AnyPlant:
    """A plant of these parameters; begin as the plant's own arguments have it."""
    if isinstance(parameters, SlabParameters):
        return DistributedPlant(parameters, **begin)  # type: ignore[arg-type]
    return Plant(parameters, **begin)  # type: ignore[arg-type]
