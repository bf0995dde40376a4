"""Seeding hot chocolate with chopped tempered chocolate: it cools and seeds at once.

The heat balance says how much; how much of it melts is not known beforehand, so it is added bit by
bit, and what stays unmelted below 34 °C is the seed.
"""

from __future__ import annotations

import msgspec

from glossbath.errors import InputError

from . import heat, limits
from .phase import Window
from .seed import SURVIVES_C

USUAL_SHARE = (0.20, 0.33)
"""Of the hot chocolate, by cooking books (common practice, no source)."""


class BlockSeed(msgspec.Struct, frozen=True):
    """How much chopped chocolate brings hot chocolate into its window."""

    least_share: float
    """With less, all melted, the mixture stays above what form V survives: nothing is seeded."""
    share: float
    """Brings it to the end of its window when all of it melts."""
    most_share: float
    """Brings it to the middle of its window when half of it melts."""
    unmelted_c: float
    melted_c: float
    """The mixture of `share` if none, or all, of it melts."""
    lines: list[str]

    def sentences(self) -> list[str]:
        """The plan in words."""
        return list(self.lines)


def mixed_c(
    share: float, base_c: float, seed_c: float, melted_share: float, fat_share: float
) -> float:
    """The mixture when `share` of the hot chocolate's mass is replaced by seed of which
    `melted_share` melts: T = (1 - f) T0 + f Ts - f m L / c."""
    melt_k = fat_share * heat.FAT_LATENT_J_PER_KG / heat.CHOCOLATE_CP
    return (1 - share) * base_c + share * (seed_c - melted_share * melt_k)


def share_for(
    to_c: float, base_c: float, seed_c: float, melted_share: float, fat_share: float
) -> float:
    """The share of the whole that brings the mixture to a temperature."""
    melt_k = fat_share * heat.FAT_LATENT_J_PER_KG / heat.CHOCOLATE_CP
    return (base_c - to_c) / (base_c - seed_c + melted_share * melt_k)


def plan(
    kg: float, base_c: float, seed_c: float, work: Window, *, fat_share: float, kind: str
) -> BlockSeed:
    """Chopped chocolate of the same kind for kg of hot chocolate. Raises InputError."""
    limits.mass_kg("chocolate", kg)
    limits.share("fat", fat_share, *limits.FAT_SHARE)
    limits.celsius("seed", seed_c, (-20.0, 29.0))
    limits.celsius("chocolate", base_c, (20.0, 60.0))
    if not (base_c > SURVIVES_C):
        raise InputError(
            f"At {base_c:g} °C it is cool enough for seed already: ask seed how much, which "
            f"counts on seed that stays below {SURVIVES_C:g} °C."
        )
    middle_c = (work.low_c + work.high_c) / 2
    least = share_for(SURVIVES_C, base_c, seed_c, 1.0, fat_share)
    share = share_for(work.high_c, base_c, seed_c, 1.0, fat_share)
    most = share_for(middle_c, base_c, seed_c, 0.5, fat_share)

    def grams(part: float) -> str:
        return f"{1000 * kg * part / (1 - part):.0f} g"

    low, high = (mixed_c(share, base_c, seed_c, melted, fat_share) for melted in (1.0, 0.0))
    lines = [
        f"Chop {grams(share)} of dry tempered {kind} chocolate ({share * 100:.0f} % of the "
        f"whole), and have up to {grams(most)} at hand ({most * 100:.0f} %).",
        "Stir it in a handful at a time while the temperature falls; wait until most of a handful "
        "has melted before the next.",
        f"Above {SURVIVES_C:g} °C it only cools: all melted, {share * 100:.0f} % come to "
        f"{low:.1f} °C, none melted to {high:.1f} °C. What is still unmelted below {SURVIVES_C:g} "
        "°C is the seed.",
        f"Stop at {work.low_c:g} to {work.high_c:g} °C; take out pieces that stay. If none was "
        f"left unmelted below {SURVIVES_C:g} °C, add more: without them it is cool but not in "
        "temper.",
        f"With less than {grams(least)} ({least * 100:.0f} %) all of it melts above "
        f"{SURVIVES_C:g} °C and nothing is seeded.",
    ]
    if share > USUAL_SHARE[1]:
        lines.append(
            f"Books use {USUAL_SHARE[0] * 100:.0f} to {USUAL_SHARE[1] * 100:.0f} %: let the "
            "chocolate cool to about 45 °C first."
        )
    return BlockSeed(least, share, most, high, low, lines)
