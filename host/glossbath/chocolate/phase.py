"""A temperature window, and one phase of tempering as a recipe asks for it."""

from __future__ import annotations

import msgspec


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
