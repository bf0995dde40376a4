"""A temperature window, and one phase of tempering as a recipe asks for it."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

MELTING = ("melt", "soak")
"""The phases in which no crystal lasts."""


class Window(msgspec.Struct, frozen=True):
    """A temperature range in °C, both ends belong to it."""

    low_c: float
    high_c: float


class PhasePlan(msgspec.Struct, frozen=True):
    """One phase as the recipe asks for it."""

    name: str
    target_c: float
    window: Window
    dwell_s: float
    timeout_s: float
    stir_share: float
    bath_low_c: float
    bath_high_c: float


def kept_before(phases: Sequence[PhasePlan], index: int) -> PhasePlan | None:
    """The phase before a cooling in which the chocolate is melted, where it keeps for hours as it
    does not where it sets; None where there is none. Common practice, no source."""
    if index < 1 or phases[index].name != "cool" or phases[index - 1].name not in MELTING:
        return None
    return phases[index - 1]
