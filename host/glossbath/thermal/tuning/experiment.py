"""The experiment that shows what a rig is: a recipe like any other, so that the rig's limits,
supervisor and stop button watch it as they watch a batch.

Its phases are a heat step, a rest, a chill step, a small heat step and a last rest. Narrow limits
lead the bath; the windows are wide, so that a phase lasts as long as its dwell. Heat and chill do
not work against each other, and the stirrer changes its pace, which tells its part in the
heat transfer.
"""

from __future__ import annotations

from glossbath.chocolate.phase import PhasePlan, Window
from glossbath.errors import InputError
from glossbath.recipe import Recipe, dump, loads

BATH_C = {
    "water": (47.0, 26.0, 35.0),
    "dark": (50.0, 31.0, 37.0),
    "milk": (45.0, 30.0, 36.0),
    "white": (40.0, 29.0, 35.0),
}
"""Where the bath is led: up to what each chocolate may have, down to where crystals would grow
and give off heat of their own, and up again (common practice, no source)."""

_BATH_SPAN_K = 1.0
_MAX_OVER_K = 2.0
_FLOOR_C = 15.0
_TIMEOUT_S = 4 * 3600.0
_SOURCE = "Temperatures and times of this experiment: engineering choice, no source."


def identify_recipe(contents: str = "water") -> Recipe:
    """The experiment with a bowl of water, or of dark, milk or white chocolate.

    Water is better: its heat capacity is known. Raises InputError for other contents.
    """
    if contents not in BATH_C:
        raise InputError(f"The bowl cannot hold {contents!r}: use {', '.join(BATH_C)}.")
    top_c, cold_c, warm_c = BATH_C[contents]
    recipe = Recipe(
        name=f"Identify with {contents}",
        chocolate="own" if contents == "water" else contents,
        version=1,
        fat_share=0.0 if contents == "water" else 0.35,
        max_c=top_c + _MAX_OVER_K,
        sources=(_SOURCE,),
        phases=(
            _phase("melt", top_c, (top_c - 4.0, top_c + 1.0), 120.0, 0.5),
            _phase("soak", top_c, (top_c - 6.0, top_c + 1.0), 900.0, 0.5),
            _phase("cool", cold_c, (_FLOOR_C, top_c + 1.0), 1500.0, 1.0),
            _phase("reheat", warm_c, (_FLOOR_C, top_c), 1200.0, 0.2),
            _phase("hold", warm_c, (_FLOOR_C, top_c), 600.0, 0.8),
        ),
    )
    return loads(dump(recipe), "The identification")


def _phase(
    name: str, bath_c: float, window_c: tuple[float, float], dwell_s: float, stir_share: float
) -> PhasePlan:
    """A phase that leads the bath to bath_c."""
    low_c, high_c = bath_c - _BATH_SPAN_K / 2.0, bath_c + _BATH_SPAN_K / 2.0
    target_c = low_c if name == "reheat" else bath_c
    if name == "melt":
        low_c, target_c = _FLOOR_C, bath_c - _BATH_SPAN_K / 2.0
    if name == "cool":
        target_c = high_c
    return PhasePlan(
        name, target_c, Window(*window_c), dwell_s, _TIMEOUT_S, stir_share, low_c, high_c
    )
