"""What a chocolate is made of: shares of its mass, and its kind.

Shares follow the label: cocoa counts cocoa butter and dry cocoa together, milk counts milk fat and
dry milk together.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from glossbath.errors import InputError

from . import limits

Kind = Literal["dark", "milk", "white"]

MILK_STARTS_SHARE = 0.05
"""From here on milk decides how the chocolate behaves (engineering choice, no source)."""
DRY_COCOA_STARTS_SHARE = 0.01
"""Less dry cocoa than this does not colour the chocolate (engineering choice, no source)."""


class Composition(msgspec.Struct, frozen=True):
    """Shares of the mass, 0 to 1. What is left over is lecithin, vanilla and the like."""

    cocoa_share: float
    """Cocoa butter and dry cocoa together, the per cent on the wrapper."""
    cocoa_butter_share: float
    sugar_share: float
    milk_share: float = 0.0
    """Milk fat and dry milk together."""
    milk_fat_share: float = 0.0

    @property
    def fat_share(self) -> float:
        """All the fat."""
        return self.cocoa_butter_share + self.milk_fat_share

    @property
    def dry_cocoa_share(self) -> float:
        """Cocoa without its fat."""
        return self.cocoa_share - self.cocoa_butter_share

    @property
    def rest_share(self) -> float:
        """What no field accounts for."""
        return max(0.0, 1.0 - self.cocoa_share - self.sugar_share - self.milk_share)

    @property
    def milk_fat_part(self) -> float:
        """Milk fat as a share of all the fat."""
        return self.milk_fat_share / self.fat_share

    @property
    def kind(self) -> Kind:
        """Which of the three the chocolate behaves like."""
        if self.dry_cocoa_share < DRY_COCOA_STARTS_SHARE:
            return "white"
        return "milk" if self.milk_share >= MILK_STARTS_SHARE else "dark"


TYPICAL: dict[Kind, Composition] = {
    "dark": Composition(cocoa_share=0.60, cocoa_butter_share=0.36, sugar_share=0.39),
    "milk": Composition(
        cocoa_share=0.36,
        cocoa_butter_share=0.27,
        sugar_share=0.41,
        milk_share=0.22,
        milk_fat_share=0.06,
    ),
    "white": Composition(
        cocoa_share=0.30,
        cocoa_butter_share=0.30,
        sugar_share=0.45,
        milk_share=0.24,
        milk_fat_share=0.065,
    ),
}
"""Ordinary compositions, used when a person names only the kind (common practice, no source)."""


def check(composition: Composition) -> None:
    """Raise InputError for shares that no chocolate can have."""
    limits.share("cocoa", composition.cocoa_share)
    limits.share("sugar", composition.sugar_share)
    limits.share("milk", composition.milk_share)
    limits.share("milk fat", composition.milk_fat_share)
    limits.share("cocoa butter", composition.cocoa_butter_share)
    for part, whole in (("cocoa_butter", "cocoa"), ("milk_fat", "milk")):
        least, most = getattr(composition, f"{part}_share"), getattr(composition, f"{whole}_share")
        if least > most + 1e-9:
            raise InputError(
                f"The {part.replace('_', ' ')} of {least * 100:g} % counts as part of the "
                f"{whole}, so the {whole} must be at least as much, not {most * 100:g} %."
            )
    total = composition.cocoa_share + composition.sugar_share + composition.milk_share
    if total > 1.0 + 1e-6:
        raise InputError(
            f"Cocoa, sugar and milk add up to {total * 100:g} %, which must not exceed 100 %."
        )
    limits.share("fat (cocoa butter and milk fat)", composition.fat_share, *limits.FAT_SHARE)
