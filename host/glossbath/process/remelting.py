"""A recipe that begins where the chocolate is: which of its phases are still needed.

Only phases are left out. Arming, self-test, lease and every cut-off are those of any cycle.
"""

from __future__ import annotations

from typing import Any

import msgspec

from glossbath.chocolate import rescue
from glossbath.chocolate.windows import from_phases
from glossbath.errors import InputError
from glossbath.process.start_request import StartRequest
from glossbath.recipe import Recipe

FIRST = {"melt": "melt", "cool": "soak", "reheat": "reheat", "": "hold"}
"""The step with which a way back begins, and the phase that a cycle begins with for it. Chocolate
that is hot is soaked all the same: how long it has been hot is not known."""


def shortened(
    recipe: Recipe, chocolate_c: float | None, *, in_temper: bool = False
) -> tuple[Recipe, list[str]]:
    """The recipe without the phases that this chocolate does not need, and why in sentences.

    chocolate_c: what the probe says now. in_temper: its last dip test was good. Raises InputError
    when the probe says nothing.
    """
    if chocolate_c is None:
        raise InputError(
            "The chocolate probe gives no temperature, so the way back into temper cannot be "
            "planned: check the probe, or run the whole recipe."
        )
    windows = from_phases(recipe.chocolate, recipe.phases)
    way = rescue.remelt(chocolate_c, windows, good_temper=in_temper)
    first = FIRST[way.steps[0].phase if way.steps else ""]
    names = [phase.name for phase in recipe.phases]
    phases = recipe.phases[names.index(first) :]
    kept = [phase.name for phase in phases]
    seed = recipe.seed if "cool" in kept else None
    lines = [
        f"The chocolate is at {chocolate_c:.1f} °C. {way.line}",
        f"This cycle runs {', '.join(kept)}.",
    ]
    return msgspec.structs.replace(recipe, phases=phases, seed=seed), lines


def asked(
    wanted: StartRequest, values: dict[str, Any], chocolate_c: float | None
) -> tuple[StartRequest, list[str]]:
    """What a start request wants, begun where the chocolate is if the request says `remelt`, and
    the reasons in sentences. Raises InputError."""
    if not values.get("remelt"):
        return wanted, []
    in_temper = bool(values.get("in_temper"))
    recipe, lines = shortened(wanted.recipe, chocolate_c, in_temper=in_temper)
    return msgspec.structs.replace(wanted, recipe=recipe), lines
