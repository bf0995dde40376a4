"""What a chocolate is made of: shares of its mass, its kind, and the names the law keeps.

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


class NameRule(msgspec.Struct, frozen=True):
    """One minimum that a name on a label asks for."""

    name: str
    part: str
    least_share: float
    found_share: float
    source: str

    @property
    def met(self) -> bool:
        """Whether the composition reaches the minimum; labels print whole per cents."""
        return self.found_share >= self.least_share - 5e-4

    def sentence(self) -> str:
        """The rule in words."""
        verb = "reaches" if self.met else "misses"
        return (
            f'For the name "{self.name}" the {self.part} of {self.found_share * 100:.1f} % {verb} '
            f"the minimum of {self.least_share * 100:g} % ({self.source})."
        )


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


def name_rules(composition: Composition) -> list[NameRule]:
    """The minimum contents that the chocolate's usual names ask for, met or not.

    Dark and white: Codex CXS 87-1981; milk: Directive 2000/36/EC. Advisory: the food authority
    where the chocolate is sold decides. Raises InputError for an impossible composition.
    """
    check(composition)
    codex, directive = "Codex CXS 87-1981", "Directive 2000/36/EC"
    made = composition
    dark = [
        NameRule("chocolate", "total cocoa", 0.35, made.cocoa_share, codex),
        NameRule("chocolate", "cocoa butter", 0.18, made.cocoa_butter_share, codex),
        NameRule("chocolate", "dry cocoa", 0.14, made.dry_cocoa_share, codex),
    ]
    milk = [
        NameRule("milk chocolate", "total cocoa", 0.25, made.cocoa_share, directive),
        NameRule("milk chocolate", "milk", 0.14, made.milk_share, directive),
        NameRule("milk chocolate", "dry cocoa", 0.025, made.dry_cocoa_share, directive),
        NameRule("milk chocolate", "milk fat", 0.035, made.milk_fat_share, directive),
        NameRule("milk chocolate", "fat", 0.25, made.fat_share, directive),
    ]
    white = [
        NameRule("white chocolate", "cocoa butter", 0.20, made.cocoa_butter_share, codex),
        NameRule("white chocolate", "milk", 0.14, made.milk_share, codex),
        NameRule("white chocolate", "milk fat", 0.025, made.milk_fat_share, codex),
    ]
    couverture = NameRule("couverture", "cocoa butter", 0.31, made.cocoa_butter_share, directive)
    own = {"dark": dark, "milk": milk, "white": white}[made.kind]
    return own if made.kind == "white" else [*own, couverture]
