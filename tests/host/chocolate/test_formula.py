"""Compositions from ingredients against recipes worked by hand; cost and yield."""

from __future__ import annotations

import pytest

from glossbath.chocolate.formula import formula, portion
from glossbath.errors import InputError


@pytest.mark.parametrize(
    ("parts", "cocoa", "butter", "dry", "milk", "milk_fat", "fat"),
    [
        # By hand: liquor 54 % fat, whole milk powder 27 % fat and 3 % water, skim 0.8 and 3.5 %.
        ("liquor=60 butter=10 sugar=30", 70, 42.4, 27.6, 0, 0, 42.4),
        ("liquor=15 butter=20 whole-milk=22 sugar=43", 35, 28.1, 6.9, 21.34, 5.94, 34.04),
        ("butter=30 whole-milk=25 sugar=45", 30, 30, 0, 24.25, 6.75, 36.75),
        ("liquor=15 butter=22 skim-milk=18 sugar=45", 37, 30.1, 6.9, 17.37, 0.14, 30.24),
        ("liquor=10 butter=12 whole-milk=24 sugar=54", 22, 17.4, 4.6, 23.28, 6.48, 23.88),
    ],
)
def test_ingredients_come_to_the_composition_worked_by_hand(
    parts: str, cocoa: float, butter: float, dry: float, milk: float, milk_fat: float, fat: float
) -> None:
    made = formula([portion(part) for part in parts.split()]).composition
    found = [made.cocoa_share, made.cocoa_butter_share, made.dry_cocoa_share, made.milk_share,
             made.milk_fat_share, made.fat_share]  # fmt: skip
    expected = [cocoa, butter, dry, milk, milk_fat, fat]
    assert [round(100 * share, 2) for share in found] == pytest.approx(expected, abs=0.011)


def test_cost_yield_and_bars() -> None:
    # By hand: 6 x 9.5 + 1 x 12 + 3 x 1.2 = 72.6 for 10 kg, of which 9.7 kg come out.
    made = formula(
        [portion("liquor=6@9.5"), portion("butter=1@12"), portion("sugar=3@1,2")], bar_g=80
    )
    assert made.cost_per_kg == pytest.approx(72.6 / 9.7)
    assert made.cost_per_bar == pytest.approx(72.6 / 9.7 * 0.08)
    assert made.bars == 121


def test_a_missing_price_gives_no_cost() -> None:
    made = formula([portion("liquor=7@9"), portion("sugar=3")])
    assert made.cost_per_kg is None
    assert not any("cost" in line for line in made.sentences())


def test_the_makers_own_fat_of_nibs_goes_first() -> None:
    portions = [portion("nibs=7"), portion("sugar=3")]
    rich = formula(portions, nib_fat_share=0.57)
    assert rich.fat_share == pytest.approx(0.399)
    assert formula(portions).fat_share == pytest.approx(0.378)


@pytest.mark.parametrize("text", ["honey=1", "sugar", "sugar=x", "sugar=1@y", "=3"])
def test_what_is_no_ingredient_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="is not an ingredient"):
        portion(text)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("sugar=-3", "sugar must be between 0 and 100 kg, not -3 kg"),
        ("butter=1e9", "butter must be between 0 and 100 kg"),
        ("sugar=1@-2", "price of sugar must be between 0 and 10000 a kg, not -2 a kg"),
    ],
)
def test_an_amount_that_cannot_be_meant_is_refused(text: str, sentence: str) -> None:
    # Less than nothing of one ingredient would still leave a sum that can be.
    with pytest.raises(InputError, match=sentence):
        portion(text)


def test_sugar_alone_is_no_chocolate() -> None:
    with pytest.raises(InputError, match="fat"):
        formula([portion("sugar=1")])
