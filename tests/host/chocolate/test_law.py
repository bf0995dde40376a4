"""Names on a label, against worked recipes and the texts of three laws.

The recipes are counted by hand from liquor of 54 % fat, whole milk powder of 27 % fat and 3 %
water and skim milk powder of 0.8 and 3.5 %.
"""

from __future__ import annotations

import re

import pytest

from glossbath.chocolate.composition import Composition
from glossbath.chocolate.law import LAWS, Law, names


def recipe(
    liquor: float, butter: float, sugar: float, whole: float = 0.0, skim: float = 0.0
) -> Composition:
    """A composition from parts in per cent."""
    return Composition(
        cocoa_share=(liquor + butter) / 100,
        cocoa_butter_share=(0.54 * liquor + butter) / 100,
        sugar_share=sugar / 100,
        milk_share=(0.97 * whole + 0.965 * skim) / 100,
        milk_fat_share=(0.27 * whole + 0.008 * skim) / 100,
    )


A, B = recipe(60, 10, 30), recipe(15, 20, 43, whole=22)
C, D = recipe(0, 30, 45, whole=25), recipe(25, 10, 65)
E, F = recipe(15, 22, 45, skim=18), recipe(0, 22, 62, whole=16)
G = recipe(10, 12, 54, whole=24)


def allowed(made: Composition, law: Law) -> set[str]:
    return {verdict.name for verdict in names(made, law) if verdict.met}


@pytest.mark.parametrize(
    ("made", "law", "expected"),
    [
        # Codex CXS 87-1981: chocolate 35/18/14, sweet 30/18/12, couverture 35/31/2.5.
        (A, "codex", {"chocolate", "sweet chocolate", "couverture"}),
        (A, "eu", {"chocolate", "couverture chocolate"}),
        (A, "us", {"sweet chocolate", "semisweet or bittersweet chocolate"}),
        (B, "codex", {"milk chocolate", "milk couverture", "family milk chocolate"}),
        (B, "eu", {"milk chocolate", "milk couverture", "family milk chocolate"}),
        (B, "us", {"milk chocolate"}),
        (C, "codex", {"white chocolate"}),
        (C, "eu", {"white chocolate"}),
        (C, "us", {"white chocolate"}),
        # The edge: 11.5 % of dry cocoa is neither chocolate (14) nor sweet chocolate (12).
        (D, "codex", set()),
        (D, "eu", set()),
        (D, "us", {"sweet chocolate"}),
        # Skim milk: its milk fat of 0.14 % is no milk chocolate anywhere.
        (E, "codex", set()),
        (E, "eu", set()),
        (E, "us", set()),
        # 62 % of sugar is over the 55 % of 21 CFR 163.124.
        (F, "codex", {"white chocolate"}),
        (F, "eu", {"white chocolate"}),
        (F, "us", set()),
        # Total fat of 23.88 % is under the 25 % of the directive.
        (G, "codex", {"family milk chocolate"}),
        (G, "eu", set()),
        (G, "us", {"milk chocolate"}),
    ],
)
def test_worked_recipes_bear_the_names_they_may(
    made: Composition, law: Law, expected: set[str]
) -> None:
    assert allowed(made, law) == expected


LEAN = {
    # As little cocoa butter as chocolate can have, next to no dry cocoa and milk.
    "dark": Composition(0.165, 0.15, 0.80),
    "milk": Composition(0.165, 0.15, 0.77, milk_share=0.06, milk_fat_share=0.001),
    "white": Composition(0.15, 0.15, 0.80, milk_share=0.01),
}
DARK, COUVERTURE = {"total cocoa": 35, "cocoa butter": 18, "dry cocoa": 14}, {
    "total cocoa": 35, "cocoa butter": 31, "dry cocoa": 2.5,
}  # fmt: skip
MILK = {"total cocoa": 25, "dry cocoa": 2.5, "milk": 14, "milk fat": 3.5}
FAMILY = {"total cocoa": 20, "dry cocoa": 2.5, "milk": 20, "milk fat": 5}
LIMITS: dict[Law, dict[str, dict[str, float]]] = {
    # Codex CXS 87-1981, section 2, with the lower end where it leaves a range; from memory.
    "codex": {
        "chocolate": DARK,
        "sweet chocolate": {"total cocoa": 30, "cocoa butter": 18, "dry cocoa": 12},
        "couverture": COUVERTURE,
        "milk chocolate": MILK | {"milk": 12, "milk fat": 2.5},
        "family milk chocolate": FAMILY,
        "milk couverture": MILK | {"total fat": 31},
        "white chocolate": {"cocoa butter": 20, "milk": 14, "milk fat": 2.5},
    },
    # Directive 2000/36/EC, Annex I A; from memory.
    "eu": {
        "chocolate": DARK,
        "couverture chocolate": COUVERTURE,
        "milk chocolate": MILK | {"total fat": 25},
        "milk couverture": MILK | {"total fat": 31},
        "family milk chocolate": FAMILY | {"total fat": 25},
        "white chocolate": {"cocoa butter": 20, "milk": 14, "milk fat": 3.5},
    },
    # 21 CFR 163.123, 163.130 and 163.124; from memory.
    "us": {
        "sweet chocolate": {"chocolate liquor": 15},
        "semisweet or bittersweet chocolate": {"chocolate liquor": 35},
        "milk chocolate": {"chocolate liquor": 10, "milk": 12, "milk fat": 3.39},
        "white chocolate": {"cocoa butter": 20, "milk": 14, "milk fat": 3.5, "sugar": 55},
    },
}


@pytest.mark.parametrize("law", LIMITS)
def test_every_limit_is_the_one_in_the_text_of_the_law(law: Law) -> None:
    told = {
        verdict.name: {
            part: float(limit)
            for line in verdict.missed
            for part, limit in re.findall(r"its (.+) of [\d.]+ % is \w+ the ([\d.]+) %", line)
        }
        for made in LEAN.values()
        for verdict in names(made, law)
    }
    assert told == LIMITS[law]


def test_milk_couverture_is_judged_by_its_total_fat() -> None:
    lean = recipe(15, 16, 47, whole=22)
    verdict = next(one for one in names(lean, "codex") if one.name == "milk couverture")
    assert verdict.missed == ["its total fat of 30.0 % is under the 31 %"]


def test_what_was_only_recalled_says_so() -> None:
    recalled = [one for one in names(C, "eu") if one.name == "white chocolate"]
    assert "recalled, not read" in recalled[0].sentence()


def test_a_missed_limit_is_named_with_its_law() -> None:
    (white,) = names(F, "us")
    assert white.sentence() == (
        'It may not be called "white chocolate": its sugar of 62.0 % is over the 55 % '
        "(21 CFR 163.124)."
    )


def test_every_name_has_its_source() -> None:
    assert all(product.source for products in LAWS.values() for product in products)
