"""Mixtures: what warm and cold things come to, and how much ice or cold water a bath needs.

Nothing is lost to the room: a real mixture ends a little nearer to the room's temperature.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

from glossbath.errors import InputError

from . import limits
from .heat import WATER_CP, check_capacity

ICE_LATENT_J_PER_KG = 334_000.0
"""OpenStax College Physics, table of latent heats."""


class Body(msgspec.Struct, frozen=True):
    """Something with a mass, a specific heat and a temperature, to be mixed with others."""

    mass_kg: float
    cp_j_per_kg_k: float
    celsius: float


class IceMix(msgspec.Struct, frozen=True):
    """What ice and something warm come to."""

    celsius: float
    melted_kg: float
    left_kg: float

    def sentences(self) -> list[str]:
        """The mixture in words."""
        if self.left_kg > 0:
            return [
                f"Not all the ice melts: {self.left_kg:.3g} kg stays at {self.celsius:.1f} °C.",
            ]
        return [f"All the ice melts and the mixture comes to {self.celsius:.1f} °C."]


def mixed_c(parts: Sequence[Body]) -> float:
    """Temperature in °C of parts mixed without loss and without melting (method of mixtures).

    Raises InputError for no parts or parts without mass.
    """
    capacity = sum(part.mass_kg * part.cp_j_per_kg_k for part in parts)
    for part in parts:
        if not (part.mass_kg >= 0 and part.cp_j_per_kg_k > 0 and math.isfinite(part.celsius)):
            raise InputError(
                "Every part of a mixture needs a mass of 0 kg or more, a specific heat above "
                "0 J/(kg K) and a temperature in °C."
            )
    if not (0 < capacity < math.inf):
        raise InputError("A mixture needs at least one part with a mass above 0 kg.")
    return sum(p.mass_kg * p.cp_j_per_kg_k * p.celsius for p in parts) / capacity


def mix_with_ice(ice_kg: float, parts: Sequence[Body], *, water_cp: float = WATER_CP) -> IceMix:
    """What ice at 0 °C and warmer parts come to, without loss.

    When the parts cannot melt all the ice the result stands at 0 °C with ice left. Raises
    InputError for a negative mass or parts below 0 °C.
    """
    limits.mass_kg("ice", ice_kg, zero=True)
    start = mixed_c(parts)
    if not (start >= 0):
        raise InputError(f"What the ice goes into must be at 0 °C or above, not {start:g} °C.")
    capacity = sum(part.mass_kg * part.cp_j_per_kg_k for part in parts)
    given = capacity * start
    if given < ice_kg * ICE_LATENT_J_PER_KG:
        melted = given / ICE_LATENT_J_PER_KG
        return IceMix(0.0, melted, ice_kg - melted)
    spare = given - ice_kg * ICE_LATENT_J_PER_KG
    return IceMix(spare / (capacity + ice_kg * water_cp), ice_kg, 0.0)


def ice_needed_kg(capacity_j_per_k: float, from_c: float, to_c: float) -> float:
    """Ice at 0 °C, in kg, that cools a heat capacity (J/K) when it melts into the bath.

    Raises InputError when the end is not below the start or not above 0 °C.
    """
    _cooling(capacity_j_per_k, from_c, to_c, 0.0)
    return capacity_j_per_k * (from_c - to_c) / (ICE_LATENT_J_PER_KG + WATER_CP * to_c)


def cold_water_needed_kg(
    capacity_j_per_k: float, from_c: float, to_c: float, water_c: float
) -> float:
    """Cold water at `water_c`, in kg, that cools a heat capacity (J/K) when poured in.

    Raises InputError when the end is not below the start or not above the cold water.
    """
    limits.celsius("cold water", water_c, limits.WATER_C)
    _cooling(capacity_j_per_k, from_c, to_c, water_c)
    return capacity_j_per_k * (from_c - to_c) / (WATER_CP * (to_c - water_c))


def _cooling(capacity_j_per_k: float, from_c: float, to_c: float, coolant_c: float) -> None:
    check_capacity(capacity_j_per_k)
    limits.celsius("bath's start", from_c, limits.WATER_C)
    limits.celsius("bath's end", to_c, limits.WATER_C)
    if not (coolant_c < to_c <= from_c):
        raise InputError(
            f"The bath must end below its start of {from_c:g} °C and above the coolant's "
            f"{coolant_c:g} °C, not at {to_c:g} °C."
        )
