"""Seeding: how much tempered chocolate or cocoa butter seed brings a base into its window.

How much of the seed melts is not known beforehand, so a plan is made for half of it and shows
what happens when none or all of it melts.
"""

from __future__ import annotations

import msgspec

from glossbath.errors import InputError

from . import heat, limits
from .phase import Window

SURVIVES_C = 34.0
"""Form V does not survive above this: Greweling, Chocolates and Confections (2007)."""
ADD_AT_C = 33.5
"""Half a degree of room for the probe's own error."""
MELTED_SHARE = 0.5
BUTTER_SEED_SHARE = 0.01
"""1 vol% of form VI crystals at 34 °C, held at 31 to 34 °C and stirred for a few minutes: Food
Tech Innovation Portal, "Chocolate seeding" (2011). By mass that is 0.8 %; 1 % is common practice.
"""
BUTTER_SEED_FROM_C = 31.0
BUTTER_CP_SOLID = 2010.0
"""J/(kg K), cocoa butter at 15 to 21 °C: Beckett, 4th ed."""
LEAST_CRYSTAL_SHARE = 0.01
"""Crystals needed, as a share of all the fat (common practice, no source)."""


class SeedPlan(msgspec.Struct, frozen=True):
    """How much seed, added at which temperature, and what the mixture comes to."""

    seed_kg: float
    seed_share: float
    """Seed over base, by mass."""
    least_kg: float
    most_kg: float
    """Seed needed if all of it, or none of it, melts."""
    add_at_c: float
    mix_c: float
    mix_low_c: float
    mix_high_c: float
    """Mixture if all, or none, of the seed melts."""
    crystal_share: float
    """Fat of the seed left solid, as a share of all the fat."""
    lost: bool
    """Whether seed added now would melt away."""
    lines: list[str]

    def sentences(self) -> list[str]:
        """The plan in words."""
        return list(self.lines)

    @property
    def drop_least_c(self) -> float:
        """Expected fall of temperature if no seed melts."""
        return self.add_at_c - self.mix_high_c

    @property
    def drop_most_c(self) -> float:
        """Expected fall of temperature if all the seed melts."""
        return self.add_at_c - self.mix_low_c


def chocolate_seed(
    base_kg: float,
    base_c: float,
    seed_c: float,
    work: Window,
    *,
    fat_share: float,
    melted_share: float = MELTED_SHARE,
) -> SeedPlan:
    """Tempered chocolate to stir in so that the mixture lands in the middle of `work`.

    Method of mixtures with the melt heat of the part that melts. A base above 34 °C is planned
    from 33.5 °C and marked lost. Raises InputError, also for a base too cool to take seed.
    """
    _check(base_kg, base_c, seed_c, work, fat_share)
    limits.share("melted part of the seed", melted_share)
    target_c = (work.low_c + work.high_c) / 2
    lost = base_c > SURVIVES_C
    add_at_c = ADD_AT_C if lost else base_c
    _check_warm_enough(add_at_c, target_c)
    melt = fat_share * heat.FAT_LATENT_J_PER_KG
    given = heat.sensible_j(base_kg, heat.CHOCOLATE_CP, target_c, add_at_c)
    warm = heat.sensible_j(1.0, heat.CHOCOLATE_CP, seed_c, target_c)
    seed_kg = given / (warm + melt * melted_share)
    cold_c = (base_kg * add_at_c + seed_kg * seed_c) / (base_kg + seed_kg)
    melt_c = seed_kg * melt / (heat.CHOCOLATE_CP * (base_kg + seed_kg))
    plan = SeedPlan(
        seed_kg=seed_kg,
        seed_share=seed_kg / base_kg,
        least_kg=given / (warm + melt),
        most_kg=given / warm,
        add_at_c=add_at_c,
        mix_c=target_c,
        mix_low_c=cold_c - melt_c,
        mix_high_c=cold_c,
        crystal_share=seed_kg * (1 - melted_share) / (base_kg + seed_kg),
        lost=lost,
        lines=[],
    )
    return msgspec.structs.replace(plan, lines=_chocolate_lines(plan, base_c, work))


def butter_seed(
    base_kg: float,
    base_c: float,
    seed_c: float,
    work: Window,
    *,
    fat_share: float,
    seed_share: float = BUTTER_SEED_SHARE,
) -> SeedPlan:
    """Cocoa butter seed to stir in, about 1 % by mass; none of it should melt.

    Raises InputError for implausible numbers.
    """
    _check(base_kg, base_c, seed_c, work, fat_share)
    limits.share("cocoa butter seed", seed_share, 0.002, 0.05)
    lost = base_c > SURVIVES_C
    add_at_c = ADD_AT_C if lost else base_c
    seed_kg = base_kg * seed_share
    cold = seed_kg * BUTTER_CP_SOLID
    warm = base_kg * heat.CHOCOLATE_CP
    mix_c = (warm * add_at_c + cold * seed_c) / (warm + cold)
    melt_c = seed_kg * heat.FAT_LATENT_J_PER_KG / (warm + cold)
    plan = SeedPlan(
        seed_kg=seed_kg,
        seed_share=seed_share,
        least_kg=seed_kg,
        most_kg=seed_kg,
        add_at_c=add_at_c,
        mix_c=mix_c,
        mix_low_c=mix_c - melt_c,
        mix_high_c=mix_c,
        crystal_share=seed_kg / (base_kg * fat_share + seed_kg),
        lost=lost,
        lines=[],
    )
    return msgspec.structs.replace(plan, lines=_butter_lines(plan, base_c, work))


def given_seed(
    base_kg: float, base_c: float, seed_c: float, seed_kg: float, *, fat_share: float, butter: bool
) -> SeedPlan:
    """What a given mass of seed does to a base: the mixture, and what is left of the seed.

    `butter`: cocoa butter, of which none should melt, else tempered chocolate, of which half is
    taken to melt. The base may be of any temperature. Raises InputError.
    """
    limits.share("fat", fat_share, *limits.FAT_SHARE)
    limits.mass_kg("chocolate", base_kg)
    limits.number("seed", seed_kg, 0.0005, base_kg, "kg")
    limits.celsius("chocolate", base_c, (20.0, 60.0))
    limits.celsius("seed", seed_c, (-20.0, 29.0))
    cold = seed_kg * (BUTTER_CP_SOLID if butter else heat.CHOCOLATE_CP)
    warm = base_kg * heat.CHOCOLATE_CP
    unmelted_c = (warm * base_c + cold * seed_c) / (warm + cold)
    seed_fat_kg = seed_kg * (1.0 if butter else fat_share)
    all_melted_c = unmelted_c - seed_fat_kg * heat.FAT_LATENT_J_PER_KG / (warm + cold)
    melted = 0.0 if butter else MELTED_SHARE
    lost = base_c > SURVIVES_C
    return SeedPlan(
        seed_kg=seed_kg,
        seed_share=seed_kg / base_kg,
        least_kg=seed_kg,
        most_kg=seed_kg,
        add_at_c=base_c,
        mix_c=unmelted_c + melted * (all_melted_c - unmelted_c),
        mix_low_c=all_melted_c,
        mix_high_c=unmelted_c,
        crystal_share=seed_fat_kg * (1 - melted) / (base_kg * fat_share + seed_fat_kg),
        lost=lost,
        lines=_lost_lines(base_c) if lost else [],
    )


def _check(base_kg: float, base_c: float, seed_c: float, work: Window, fat_share: float) -> None:
    limits.share("fat", fat_share, *limits.FAT_SHARE)
    limits.mass_kg("chocolate", base_kg)
    limits.celsius("chocolate", base_c, (20.0, 60.0))
    limits.celsius("seed", seed_c, (-20.0, 29.0))
    limits.celsius("start of the working window", work.low_c, (22.0, 34.0))
    limits.celsius("end of the working window", work.high_c, (22.0, 34.0))
    limits.ordered("working window", work.low_c, work.high_c, "°C")


def _check_warm_enough(add_at_c: float, target_c: float) -> None:
    if not (add_at_c > target_c):
        raise InputError(
            f"The chocolate must be warmer than {target_c:g} °C, the middle of its window, to "
            f"take chocolate as seed, not {add_at_c:g} °C: use cocoa butter seed or warm it."
        )


def _lost_lines(base_c: float) -> list[str]:
    return [
        f"At {base_c:g} °C the seed would be lost: form V does not survive above "
        f"{SURVIVES_C:g} °C and would only cool the batch. Cool to {ADD_AT_C:g} °C or lower first."
    ]


def _chocolate_lines(plan: SeedPlan, base_c: float, work: Window) -> list[str]:
    lines = _lost_lines(base_c) if plan.lost else []
    lines.append(
        f"Stir in {plan.seed_kg * 1000:.0f} g of tempered chocolate at {plan.add_at_c:g} °C "
        f"({plan.least_kg * 1000:.0f} g if all of it melts, {plan.most_kg * 1000:.0f} g if none "
        "does), a third at a time, and stop when the temperature is right."
    )
    lines.append(
        f"The mixture should come to {plan.mix_c:.1f} °C, between {plan.mix_low_c:.1f} and "
        f"{plan.mix_high_c:.1f} °C; its window is {work.low_c:g} to {work.high_c:g} °C."
    )
    if plan.crystal_share < LEAST_CRYSTAL_SHARE:
        lines.append(
            f"That leaves only {plan.crystal_share * 100:.1f} % of the fat as crystals, less than "
            f"the {LEAST_CRYSTAL_SHARE * 100:g} % that seeding needs: add it at a warmer moment, "
            f"not above {SURVIVES_C:g} °C, or add cocoa butter seed."
        )
    return lines


def _butter_lines(plan: SeedPlan, base_c: float, work: Window) -> list[str]:
    lines = _lost_lines(base_c) if plan.lost else []
    lines.append(
        f"Stir in {plan.seed_kg * 1000:.0f} g of cocoa butter seed at {plan.add_at_c:g} °C and "
        f"keep stirring for a few minutes; the temperature falls only to {plan.mix_c:.1f} °C."
    )
    if plan.mix_c > work.high_c:
        lines.append(f"Then cool to the working window of {work.low_c:g} to {work.high_c:g} °C.")
    if plan.add_at_c < BUTTER_SEED_FROM_C:
        lines.append(
            f"The source describes adding it between {BUTTER_SEED_FROM_C:g} and "
            f"{SURVIVES_C:g} °C; below that it spreads less evenly, so stir longer."
        )
    return lines
