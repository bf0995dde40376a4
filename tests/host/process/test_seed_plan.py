"""What a recipe's seed does where probe or room say what no kitchen has: the nearer end counts."""

from __future__ import annotations

import pytest

from glossbath.chocolate.seed import given_seed
from glossbath.process.seed_plan import plan_seed
from glossbath.recipe.seed import Seed

CHOCOLATE = Seed("chocolate", 33.0, share=0.06)
BUTTER = Seed("butter", 33.0, mass_kg=0.01)


@pytest.mark.parametrize(("base_c", "as_c"), [(20, 20), (60, 60), (15, 20), (75, 60), (33, 33)])
def test_a_batch_between_its_ends_counts_as_it_is(base_c: float, as_c: float) -> None:
    found = plan_seed(CHOCOLATE, 1.0, 0.36, base_c, 22.0)
    assert found == given_seed(1.0, as_c, 22.0, 0.06, fat_share=0.36, butter=False)


@pytest.mark.parametrize(("room_c", "as_c"), [(-20, -20), (29, 29), (-30, -20), (40, 29), (5, 5)])
def test_seed_between_its_ends_counts_as_cold_as_the_room(room_c: float, as_c: float) -> None:
    found = plan_seed(BUTTER, 2.0, 0.36, 33.0, room_c)
    assert found == given_seed(2.0, 33.0, as_c, 0.01, fat_share=0.36, butter=True)
