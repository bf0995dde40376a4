"""The text of a label: ingredients by mass, allergens, lot, net mass, best-before.

Regulation (EU) 1169/2011 is the model: descending mass at the time of use (Art. 18), allergens
emphasised (Art. 21), here by capitals. Other places have other rules; the authority decides.
"""

from __future__ import annotations

import msgspec

from glossbath.errors import InputError, quoted

from . import limits

ALLERGENS: dict[str, tuple[str, ...]] = {
    "cereals with gluten": ("wheat", "rye", "barley", "oat", "spelt", "gluten", "malt"),
    "crustaceans": ("crustacean",),
    "eggs": ("egg",),
    "fish": ("fish",),
    "peanuts": ("peanut",),
    "soya": ("soy",),
    "milk": ("milk", "whey", "butteroil", "butter oil", "cream", "lactose"),
    "nuts": (
        "almond", "hazelnut", "walnut", "cashew", "pecan", "brazil", "pistachio", "macadamia",
    ),
    "celery": ("celery",),
    "mustard": ("mustard",),
    "sesame": ("sesame",),
    "sulphites": ("sulphit", "sulfit", "sulphur", "sulfur"),
    "lupin": ("lupin",),
    "molluscs": ("mollusc",),
}  # fmt: skip
"""Annex II of the regulation, with words by which an ingredient shows it."""


class Label(msgspec.Struct, frozen=True):
    """What stands on a label."""

    name: str
    ingredients: list[str]
    allergens: list[str]
    lines: list[str]

    @property
    def printed(self) -> list[str]:
        """What goes on the paper: all but the last line, which is for the maker."""
        return self.lines[:-1]

    def sentences(self) -> list[str]:
        """The label, line by line."""
        return list(self.lines)


def ingredient(text: str) -> tuple[str, float]:
    """One ingredient as name=mass, with dashes for spaces. Raises InputError."""
    name, _, amount = text.rpartition("=")
    try:
        mass = float(amount.replace(",", "."))
    except ValueError:
        mass = -1.0
    if not name or not (mass > 0):
        raise InputError(
            f"{quoted(text)} is not an ingredient: write name=mass with dashes for spaces, for "
            "example whole-milk-powder=22."
        )
    return name.replace("-", " "), limits.number("mass", mass, 0.0, 1e6, "")


def allergens_of(name: str) -> list[str]:
    """The allergens that an ingredient's name shows."""
    plain = name.lower()
    found = [group for group, words in ALLERGENS.items() if any(word in plain for word in words)]
    unnamed = {"nut", "nuts"} & set(plain.split())
    return [*found, "nuts"] if unnamed and "nuts" not in found else found


def label(
    name: str,
    parts: list[tuple[str, float]],
    *,
    lot: str,
    net_g: float,
    best_before: str,
    may_contain: str = "",
) -> Label:
    """The label of a bar. Raises InputError for an implausible net mass."""
    limits.number("net mass", net_g, 1.0, 10_000.0, "g")
    ordered = sorted(parts, key=lambda part: -part[1])
    shown = [one.upper() if allergens_of(one) else one for one, _ in ordered]
    allergens = sorted({group for one, _ in parts for group in allergens_of(one)})
    lines = [
        name,
        f"Ingredients: {', '.join(shown)}.",
        *([f"Contains: {', '.join(allergens)}."] if allergens else []),
        *([f"May contain: {may_contain}."] if may_contain else []),
        f"Net {net_g:g} g   Lot {lot}   Best before {best_before}",
        "Store at 15 to 18 °C, dry.",
        "Check it against the rules where you sell: name, cocoa content, nutrition and address "
        "are for you to add.",
    ]
    return Label(name, [one for one, _ in ordered], allergens, lines)
