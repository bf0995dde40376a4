"""The [seed] table: read, refused in one sentence, written back."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glossbath import recipe
from glossbath.errors import RecipeError
from glossbath.recipe import dump, load, loads
from glossbath.recipe.seed import Seed

DARK = dump(load("dark"))
SEED = 'kind = "butter"\ngrams = 10\nseed_c = 33\n'


def with_seed(table: str = SEED) -> str:
    """The built-in dark recipe with a seed table."""
    before, phases = DARK.split("[[phase]]", 1)
    return f"{before}[seed]\n{table}\n[[phase]]{phases}"


def test_a_recipe_without_the_table_has_no_seed() -> None:
    assert load("dark").seed is None
    assert "[seed]" not in DARK


def test_grams_do_not_grow_with_the_batch_but_a_share_does() -> None:
    by_mass = loads(with_seed(), "invented").seed
    assert by_mass == Seed("butter", 33.0, mass_kg=0.01)
    assert by_mass.kg(2.0) == 0.01
    by_share = loads(with_seed('kind = "chocolate"\nshare_percent = 6\nseed_c = 33'), "x").seed
    assert by_share is not None
    assert by_share.kg(2.0) == pytest.approx(0.12)


def test_seed_of_the_built_in_recipe_is_asked_for_where_form_v_survives() -> None:
    plan = load("dark-seeded")
    assert plan.seed is not None
    # Greweling 2007: form V does not survive above 34 °C; the source on seeding holds 31 to 34 °C.
    assert 31.0 <= plan.seed.seed_c <= 34.0
    cool = next(phase for phase in plan.phases if phase.name == "cool")
    # Below 29 °C form IV forms beside form V (Greweling 2007), which seeding does not need.
    assert cool.window.low_c >= 29.0


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ('kind = "sugar"\ngrams = 10\nseed_c = 33', "kind is 'sugar', but must be one of butter"),
        ('kind = "butter"\nseed_c = 33', "give either grams or share_percent"),
        (SEED + "share_percent = 1", "give either grams or share_percent"),
        ('kind = "butter"\ngrams = 10', "seed_c is missing"),
        ('kind = "butter"\ngrams = 0\nseed_c = 33', "must be from 1 to 3000 g"),
        ('kind = "butter"\ngrams = nan\nseed_c = 33', "must be from 1 to 3000 g"),
        ('kind = "butter"\nshare_percent = 90\nseed_c = 33', "must be from 0.2 to 40 %"),
        ('kind = "butter"\ngrams = 10\nseed_c = 34.5', "the seed would be lost"),
        ('kind = "butter"\ngrams = 10\nseed_c = 27', "below the target of phase cool, 28.5 °C"),
        ('kind = "butter"\ngrams = 10\nseed_c = 91', "must be from 15 to 60 °C; this looks like"),
        (SEED + "colour = 1", "'colour' is not a known key"),
    ],
)
def test_a_seed_that_cannot_be_meant_is_refused(table: str, words: str) -> None:
    with pytest.raises(RecipeError) as refused:
        loads(with_seed(table), "Recipe file my.toml")
    assert words in str(refused.value)
    assert str(refused.value).startswith("Recipe file my.toml, seed:")


def test_a_seed_that_is_no_table_is_refused() -> None:
    with pytest.raises(RecipeError, match="seed must be a table"):
        loads("seed = 3\n" + DARK, "x")


@given(
    st.sampled_from(["butter", "chocolate"]),
    st.integers(28_500, 34_000).map(lambda milli: milli / 1000),
    st.one_of(
        st.integers(1, 3000).map(lambda grams: ("mass_kg", grams / 1000)),
        st.integers(20, 4000).map(lambda basis: ("share", basis / 10_000)),
    ),
)
def test_what_is_written_is_read_back(kind: str, seed_c: float, amount: tuple[str, float]) -> None:
    plain = loads(with_seed(), "x")
    seed = Seed(kind, seed_c, **{amount[0]: amount[1]})  # type: ignore[arg-type]
    meant = msgspec.structs.replace(plain, seed=seed)
    again = loads(recipe.dump(meant), "x")
    assert again == meant
    assert (again.checksum() == plain.checksum()) == (meant == plain)


def test_with_hold_keeps_the_seed() -> None:
    plan = loads(with_seed(), "x")
    assert plan.with_hold(600).seed == plan.seed
