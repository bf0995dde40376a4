"""Block seed, storage, labels and food safety against published figures and hand sums."""

from __future__ import annotations

import pytest

from glossbath.chocolate import blockseed, storage
from glossbath.chocolate.label import allergens_of, ingredient, label
from glossbath.chocolate.phase import Window
from glossbath.chocolate.safety import survival
from glossbath.errors import InputError

FAT = 46 / 157  # Beckett, 4th ed.: 46 J/g of dark chocolate over 157 J/g of cocoa butter
WORK = Window(30.0, 31.0)


@pytest.mark.parametrize(
    ("share", "base_c", "none_c", "all_c"),
    [
        # By hand with 1600 J/(kg K), 46 kJ/kg and seed of 20 °C: T = (1-f) T0 + 20 f - 28.75 f m.
        (0.15, 45, 41.25, 36.94),
        (0.20, 45, 40.00, 34.25),
        (0.25, 45, 38.75, 31.56),
        (0.30, 50, 41.00, 32.38),
        (0.25, 40, 35.00, 27.81),
    ],
)
def test_the_heat_balance_of_block_seed(
    share: float, base_c: float, none_c: float, all_c: float
) -> None:
    assert blockseed.mixed_c(share, base_c, 20, 0.0, FAT) == pytest.approx(none_c, abs=0.01)
    assert blockseed.mixed_c(share, base_c, 20, 1.0, FAT) == pytest.approx(all_c, abs=0.06)


def test_block_seed_lands_in_the_window_and_warns_of_too_little() -> None:
    made = blockseed.plan(2, 45, 20, WORK, fat_share=FAT, kind="dark")
    assert made.melted_c == pytest.approx(31)
    assert made.least_share < made.share < made.most_share
    # Less, all melted, stays above 34 °C, where form V does not survive (Greweling 2007).
    assert blockseed.mixed_c(made.least_share - 0.01, 45, 20, 1.0, FAT) > 34
    # By hand: 24.2 % land at 32 °C from 45 °C when all of it melts.
    assert blockseed.share_for(32, 45, 20, 1.0, FAT) == pytest.approx(0.242, abs=0.001)
    assert 0.20 <= made.share <= 0.33  # cooking books (common practice, no source)


def test_chocolate_of_fifty_degrees_is_cooled_first() -> None:
    made = blockseed.plan(1, 55, 20, WORK, fat_share=FAT, kind="dark")
    assert "cool to about 45 °C first" in made.sentences()[-1]


@pytest.mark.parametrize(
    ("celsius", "hours", "reduction"), [(45, 12, 0.20), (50, 12, 0.46), (50, 131, 5.0)]
)
def test_tempering_heat_kills_next_to_nothing(
    celsius: float, hours: float, reduction: float
) -> None:
    # Krapf and Gantenbein-Demarchi 2010, dark chocolate: D50 1574 min, z 14 °C.
    made = survival(celsius, hours * 3600)
    assert made.log_reduction == pytest.approx(reduction, abs=0.01)
    assert "no kill step" in made.sentences()[0]


def test_the_page_defers_to_the_authority_and_discards_bath_water() -> None:
    page = " ".join(survival(45, 3600).sentences())
    for words in (
        "Discard chocolate that water of bath",
        "Clean dry",
        "food authority",
        "51 of 88",
    ):
        assert words in page


@pytest.mark.parametrize(
    ("coolest_c", "warmest_c", "more", "risks"),
    [
        (16, 18, {}, []),  # McGee 2004: constant 15 to 18 °C
        (18, 20, {}, []),  # Britannica; food-info.net
        (18, 30, {}, ["melted", "fat bloom", "swings"]),  # Ali et al. 2001: bloom at 30 °C
        (24, 26, {}, ["fat bloom"]),  # Walstra: particularly above 25 °C
        (4, 5, {}, ["damp"]),  # food-info.net: out of a store below 10 °C
        (17, 18, {"rh_share": 0.7}, ["humidity"]),  # sources: below 50 %
        (17, 18, {"filled": True}, ["filling"]),
    ],
)
def test_a_store_has_the_risks_that_the_sources_name(
    coolest_c: float, warmest_c: float, more: dict[str, object], risks: list[str]
) -> None:
    made = storage.judge(coolest_c, warmest_c, kind="dark", **more)  # type: ignore[arg-type]
    assert made.risks == risks
    assert "your decision" in made.sentences()[-1]


def test_a_history_counts_its_warm_hours() -> None:
    hours = [0.0, 3600.0, 7200.0, 10_800.0]
    made = storage.judge_history(hours, [18, 27, 27, 18], kind="milk")
    assert "above 25 °C for 2 h" in " ".join(made.sentences())


def test_ingredients_stand_by_mass_and_allergens_are_told_apart() -> None:
    # Regulation (EU) 1169/2011 Art. 18 and 21, on milk chocolate of 43/22/20/15.
    parts = [ingredient(text) for text in
             ("cocoa-mass=15", "sugar=43", "cocoa-butter=20", "whole-milk-powder=22",
              "lecithin-(soya)=0.4")]  # fmt: skip
    made = label("Milk chocolate", parts, lot="A17", net_g=80, best_before="2032-05")
    assert made.sentences()[1] == (
        "Ingredients: sugar, WHOLE MILK POWDER, cocoa butter, cocoa mass, LECITHIN (SOYA)."
    )
    assert made.allergens == ["milk", "soya"]
    assert "Lot A17" in " ".join(made.sentences())


@pytest.mark.parametrize(
    ("name", "groups"),
    [
        ("hazelnut paste", ["nuts"]),
        ("nuts", ["nuts"]),
        ("peanut butter", ["peanuts"]),
        ("coconut fat", []),
        ("wheat flour", ["cereals with gluten"]),
        ("cocoa butter", []),
        ("sesame", ["sesame"]),
    ],
)
def test_allergens_show_in_a_name(name: str, groups: list[str]) -> None:
    assert allergens_of(name) == groups


@pytest.mark.parametrize("text", ["sugar", "sugar=0", "sugar=x", "=4"])
def test_what_is_no_ingredient_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="is not an ingredient"):
        ingredient(text)
