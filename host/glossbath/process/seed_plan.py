"""What a recipe's seed does to a batch."""

from __future__ import annotations

from glossbath.chocolate.seed import SeedPlan, given_seed
from glossbath.recipe.seed import Seed

BASE_C = (20.0, 60.0)
SEED_C = (-20.0, 29.0)
"""Between these temperatures a plan is made; what lies beyond counts as the nearer end."""


def plan_seed(
    seed: Seed, batch_kg: float, fat_share: float, base_c: float, room_c: float
) -> SeedPlan:
    """What a recipe's seed does to a batch at base_c; raises InputError for a mass that cannot
    be."""
    return given_seed(
        batch_kg,
        min(BASE_C[1], max(BASE_C[0], base_c)),
        min(SEED_C[1], max(SEED_C[0], room_c)),
        seed.kg(batch_kg),
        fat_share=fat_share,
        butter=seed.kind == "butter",
    )
