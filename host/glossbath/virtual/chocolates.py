"""What the virtual bowl can be filled with.

Milk fat makes cocoa butter's crystals melt and form a little colder (Greweling 2007, "Dairy fat"),
which is why milk and white chocolate are worked 1 to 4 °C colder than dark (windows of McGee, On
Food and Cooking). How much colder each temperature is here is an estimate.
"""

from __future__ import annotations

from dataclasses import replace

from glossbath.errors import InputError

from .melting import ChocolateParameters
from .parameters import PlantParameters

# kind: share of fat, and how much colder than in dark chocolate everything about crystals happens
_KINDS = {"dark": (0.36, 0.0), "milk": (0.33, 1.0), "white": (0.34, 2.0)}
WATER = "water"
KINDS = (*_KINDS, WATER)
_CRYSTAL_TEMPERATURES = (
    "melt_low_c",
    "melt_high_c",
    "stable_melt_c",
    "nucleate_below_c",
    "grow_reference_c",
    "unstable_low_c",
    "unstable_high_c",
)


_WATER = ChocolateParameters(
    fat_share=0.0,
    cp_cool_j_per_kg_k=4180.0,
    cp_warm_j_per_kg_k=4180.0,
    stable_nucleation_per_s=0.0,
    unstable_nucleation_per_s=0.0,
)
"""Water at 15 to 50 °C, CoolProp; nothing in it sets."""


def chocolate(kind: str) -> ChocolateParameters:
    """Parameters of dark, milk or white chocolate; raises InputError for another word."""
    if kind not in _KINDS:
        raise InputError(f"There is no virtual {kind!r} chocolate: use {', '.join(_KINDS)}.")
    fat_share, colder_c = _KINDS[kind]
    dark = ChocolateParameters()
    colder = {name: getattr(dark, name) - colder_c for name in _CRYSTAL_TEMPERATURES}
    return replace(dark, fat_share=fat_share, **colder)


def bowl_of(kind: str) -> PlantParameters:
    """The reference rig with its bowl full of that chocolate, or of water."""
    return PlantParameters(chocolate=_WATER if kind == WATER else chocolate(kind))
