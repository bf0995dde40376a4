"""What lies in the bowl: how much heat it takes, and where it melts."""

from __future__ import annotations

import msgspec

from glossbath.chocolate.heat import (
    CHOCOLATE_CP,
    CHOCOLATE_CP_HOT,
    CP_STEP_C,
    FAT_LATENT_J_PER_KG,
    MELTS_C,
    WATER_CP,
)
from glossbath.errors import InputError

_MELT_TAU_S = 60.0
"""How slowly melting follows temperature in a stirred bowl; estimate."""
_PIECES_SHARE = 0.55
"""Pieces that have not melted touch the bowl less than a liquid does; estimate."""


class Contents(msgspec.Struct, frozen=True):
    """Mass (kg), specific heats (J/(kg K)) below and above step_c, and latent heat (J/kg) taken up
    evenly between melt_low_c and melt_high_c."""

    kg: float
    cool_j_per_kg_k: float
    warm_j_per_kg_k: float
    latent_j_per_kg: float = 0.0
    melt_low_c: float = 28.0
    melt_high_c: float = 36.0
    melt_tau_s: float = _MELT_TAU_S
    step_c: float = CP_STEP_C
    solid_touch_share: float = 1.0
    """Heat transfer to the bowl while all is solid, of that when all is liquid."""

    def taking(self, share: float) -> Contents:
        """The same contents that take that share of the heat, at any temperature and to melt."""
        return msgspec.structs.replace(
            self,
            cool_j_per_kg_k=self.cool_j_per_kg_k * share,
            warm_j_per_kg_k=self.warm_j_per_kg_k * share,
            latent_j_per_kg=self.latent_j_per_kg * share,
        )

    def solid_limit(self, celsius: float) -> float:
        """Share of what can melt which may stay solid at this temperature, 0 to 1."""
        share = (self.melt_high_c - celsius) / (self.melt_high_c - self.melt_low_c)
        return min(1.0, max(0.0, share))

    def cp_j_per_kg_k(self, celsius: float) -> float:
        """Specific heat at a temperature, without melting."""
        return self.cool_j_per_kg_k if celsius <= self.step_c else self.warm_j_per_kg_k

    def enthalpy_j(self, celsius: float, solid_share: float) -> float:
        """Heat above solid at 0 °C in J."""
        over = celsius - self.step_c
        sensible = self.cool_j_per_kg_k * min(celsius, self.step_c)
        sensible += self.warm_j_per_kg_k * max(0.0, over)
        return self.kg * (sensible + self.latent_j_per_kg * (1.0 - solid_share))


def chocolate(kg: float, fat_share: float, kind: str = "dark") -> Contents:
    """A batch of kg with that fat share (0 to 1); kind is dark, milk, white or own.

    Specific heats and the fat's latent heat: Beckett, 4th ed., "Useful Physical Constants".
    Raises InputError when a value is implausible.
    """
    check_kg("batch", kg)
    if kind not in MELTS_C:
        raise InputError(f"There is no {kind!r} chocolate: use {', '.join(MELTS_C)}.")
    if not (0.0 <= fat_share <= 1.0):
        raise InputError(
            f"The fat share is {fat_share:g}, outside 0 to 1; give it as a share of the mass."
        )
    low_c, high_c = MELTS_C[kind]
    return Contents(
        kg,
        CHOCOLATE_CP,
        CHOCOLATE_CP_HOT,
        fat_share * FAT_LATENT_J_PER_KG,
        low_c,
        high_c,
        solid_touch_share=_PIECES_SHARE,
    )


def water(kg: float) -> Contents:
    """Water in the bowl, as for an identification; raises InputError for an absurd mass."""
    return Contents(check_kg("water in the bowl", kg), WATER_CP, WATER_CP)


def check_kg(what: str, kg: float) -> float:
    """kg if it is from 0.05 to 20; raises InputError otherwise."""
    if not (0.05 <= kg <= 20.0):
        raise InputError(f"The {what} is {kg:g} kg, outside 0.05 to 20 kg; give its weight in kg.")
    return kg
