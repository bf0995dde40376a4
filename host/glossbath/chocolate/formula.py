"""A chocolate from its ingredients: composition, cost, yield."""

from __future__ import annotations

import math

import msgspec

from glossbath.errors import InputError, quoted

from . import limits
from .composition import Composition, check

NIB_FAT_SHARE = 0.54
"""Cocoa butter of nibs and of liquor made from them: 53 to 57 % West Africa (from memory); Codex
asks 47 to 60 % of cocoa mass. The maker's own figure goes first."""
LOSS_SHARE = 0.03
"""What stays in the machines (engineering estimate, no source)."""
INGREDIENTS: dict[str, dict[str, float]] = {
    "nibs": {"cocoa": 1.0},
    "liquor": {"cocoa": 1.0},
    "butter": {"cocoa": 1.0, "cocoa_butter": 1.0},
    "sugar": {"sugar": 1.0},
    "whole-milk": {"milk": 0.97, "milk_fat": 0.27},
    "skim-milk": {"milk": 0.965, "milk_fat": 0.008},
    "other": {},
}
"""Shares by mass. Milk powders after Codex CXS 207: whole 26 to 42 % fat, at most 5 % water."""


class Portion(msgspec.Struct, frozen=True):
    """So much of one ingredient, and what a kilogram costs; None where nobody said."""

    ingredient: str
    kg: float
    price_per_kg: float | None = None


class Formula(msgspec.Struct, frozen=True):
    """What the ingredients come to."""

    composition: Composition
    kind: str
    fat_share: float
    batch_kg: float
    yield_kg: float
    cost_per_kg: float | None
    """For each kilogram that comes out; None when a price is missing."""
    bars: int | None
    cost_per_bar: float | None
    lines: list[str]

    def sentences(self) -> list[str]:
        """The sum in words."""
        return list(self.lines)


def portion(text: str) -> Portion:
    """One ingredient as name=kg or name=kg@price. Raises InputError."""
    name, _, rest = text.partition("=")
    amount, _, price = rest.partition("@")
    try:
        kg = float(amount.replace(",", "."))
        cost = float(price.replace(",", ".")) if price else None
    except ValueError:
        kg, cost = math.nan, None
    if name not in INGREDIENTS or math.isnan(kg):
        raise InputError(
            f"{quoted(text)} is not an ingredient: write name=kg or name=kg@price for each kg, "
            f"with one of {', '.join(INGREDIENTS)}, for example sugar=3@1.20."
        )
    limits.mass_kg(name, kg, zero=True)
    if cost is not None:
        limits.number(f"price of {name}", cost, 0.0, 10_000.0, "a kg")
    return Portion(name, kg, cost)


def formula(
    portions: list[Portion],
    *,
    nib_fat_share: float = NIB_FAT_SHARE,
    loss_share: float = LOSS_SHARE,
    bar_g: float | None = None,
) -> Formula:
    """Composition, cost and yield. Raises InputError, also for what is not chocolate."""
    total_kg = sum(one.kg for one in portions)
    limits.mass_kg("sum of the ingredients", total_kg)
    parts = dict.fromkeys(("cocoa", "cocoa_butter", "sugar", "milk", "milk_fat"), 0.0)
    for one in portions:
        shares = INGREDIENTS[one.ingredient]
        if one.ingredient in ("nibs", "liquor"):
            shares = {**shares, "cocoa_butter": nib_fat_share}
        for part, share in shares.items():
            parts[part] += one.kg * share / total_kg
    made = Composition(**{f"{part}_share": share for part, share in parts.items()})
    check(made)
    yield_kg = total_kg * (1 - loss_share)
    prices = [one.kg * one.price_per_kg for one in portions if one.price_per_kg is not None]
    cost = sum(prices) / yield_kg if len(prices) == len(portions) else None
    bars = None if bar_g is None else int(yield_kg * 1000 / bar_g + 1e-9)
    per_bar = None if cost is None or bar_g is None else cost * bar_g / 1000
    result = Formula(made, made.kind, made.fat_share, total_kg, yield_kg, cost, bars, per_bar, [])
    return msgspec.structs.replace(result, lines=_lines(result, loss_share))


def _lines(result: Formula, loss_share: float) -> list[str]:
    made = result.composition
    lines = [
        f"Cocoa {made.cocoa_share * 100:.1f} %, of it cocoa butter "
        f"{made.cocoa_butter_share * 100:.1f} and dry cocoa {made.dry_cocoa_share * 100:.1f} %; "
        f"sugar {made.sugar_share * 100:.1f}, milk {made.milk_share * 100:.1f} with milk fat "
        f"{made.milk_fat_share * 100:.1f} %; fat in all {made.fat_share * 100:.1f} %. It behaves "
        f"like {made.kind} chocolate.",
        f"{result.batch_kg:g} kg of ingredients give {result.yield_kg:.2f} kg, with "
        f"{loss_share * 100:g} % lost in the machines.",
    ]
    if result.cost_per_kg is not None:
        bar = f", {result.cost_per_bar:.2f} a bar" if result.cost_per_bar is not None else ""
        lines.append(f"Ingredients cost {result.cost_per_kg:.2f} a kg{bar}.")
    if result.bars is not None:
        lines.append(f"That is {result.bars} bars.")
    return lines
