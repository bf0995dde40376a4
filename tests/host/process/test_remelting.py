"""Which phases a remelt runs.

Rules: chocolate in good temper that only cooled is warmed; anything else is melted fully, since
crystals leave their memory (van Langevelde et al. 2001).
"""

from __future__ import annotations

import pytest

from glossbath.errors import InputError
from glossbath.process.remelting import asked, shortened
from glossbath.process.start_request import from_request
from glossbath.recipe import dump, load
from glossbath.recipe.program import board_program

WHOLE = ["melt", "soak", "cool", "reheat", "hold"]


@pytest.mark.parametrize(
    ("celsius", "in_temper", "phases"),
    [
        (22.0, False, WHOLE),
        (22.0, True, WHOLE),
        (29.0, False, WHOLE),
        (29.0, True, ["reheat", "hold"]),
        (30.5, True, ["hold"]),
        (30.5, False, WHOLE),
        (31.8, True, ["hold"]),
        (35.0, True, WHOLE),
        (47.0, False, ["soak", "cool", "reheat", "hold"]),
    ],
)
def test_a_cycle_begins_where_the_chocolate_is(
    celsius: float, in_temper: bool, phases: list[str]
) -> None:
    made, lines = shortened(load("dark"), celsius, in_temper=in_temper)
    assert [phase.name for phase in made.phases] == phases
    assert lines[0].startswith(f"The chocolate is at {celsius:.1f} °C.")
    assert lines[1] == f"This cycle runs {', '.join(phases)}."
    # What the board is given passes the board's own checks, with the recipe's own limit.
    program = board_program(made, 1.0)
    assert program.max_mc == 52_000
    assert program.phases[-1].name == "hold"


def test_the_recipe_s_own_windows_decide() -> None:
    # White chocolate is melted at 42 to 45 °C, dark at 46 to 50 °C.
    made, _ = shortened(load("white"), 44.0)
    assert made.phases[0].name == "soak"
    made, _ = shortened(load("dark"), 44.0)
    assert made.phases[0].name == "melt"


def test_seed_is_asked_for_only_where_the_chocolate_is_cooled() -> None:
    assert shortened(load("dark-seeded"), 20.0)[0].seed is not None
    assert shortened(load("dark-seeded"), 30.5, in_temper=True)[0].seed is None


def test_without_a_probe_nothing_is_planned() -> None:
    with pytest.raises(InputError, match="gives no temperature"):
        shortened(load("dark"), None)


def test_chocolate_counts_as_out_of_temper_until_somebody_says_otherwise() -> None:
    made, _ = shortened(load("dark"), 30.5)
    assert [phase.name for phase in made.phases] == WHOLE


def test_a_start_is_shortened_only_where_it_asks_for_that() -> None:
    wanted = from_request({"recipe": dump(load("dark")), "batch_kg": 1.0})
    assert asked(wanted, {}, None) == (wanted, [])
    assert asked(wanted, {"in_temper": True}, 30.5) == (wanted, [])
    made, lines = asked(wanted, {"remelt": True, "in_temper": True}, 30.5)
    assert [phase.name for phase in made.recipe.phases] == ["hold"]
    assert lines[1] == "This cycle runs hold."
    made, _ = asked(wanted, {"remelt": True}, 30.5)
    assert [phase.name for phase in made.recipe.phases] == WHOLE
    assert made.batch_kg == 1.0
