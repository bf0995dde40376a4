"""A rig at rest at the room's temperature that runs a recipe without a supervisor."""

from __future__ import annotations

from collections.abc import Sequence

from chain import Chain, Event, project

from glossbath.recipe import Recipe
from glossbath.recipe.program import board_program
from glossbath.virtual.melting import ChocolateParameters
from glossbath.virtual.parameters import PlantParameters
from glossbath.virtual.plants import AnyParameters, plant_of


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


def recipe_run(
    recipe: Recipe,
    parameters: AnyParameters | None = None,
    *,
    seed: int = 1,
    room_c: float = 24.0,
    events: Sequence[Event] | None = None,
    board_model: list[int] | None = None,
) -> Chain:
    """A chain for the batch that these parameters have; nothing here comes near a cut-off."""
    parameters = parameters or PlantParameters()
    liquid = 0.0 if parameters.chocolate.fat_share == 0.0 else None
    plant = plant_of(parameters, room_c=room_c, stable_share=liquid)
    program = board_program(recipe, parameters.chocolate_kg)
    return Chain(plant, program, project(board_model), seed=seed, supervised=False, events=events)
