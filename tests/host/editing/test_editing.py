"""Changing a recipe: limits as they follow from what is typed, sentences beside the field."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glossbath.editing import PAGES, Draft, Entry, entries
from glossbath.editing.batch import FIELDS, BatchForm
from glossbath.errors import InputError
from glossbath.recipe import builtin_names, load, loads


@pytest.fixture
def draft(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Draft:
    """The built-in dark recipe, opened: melt 48 in 46 to 50 °C, cool 28.5 in 28 to 29 °C."""
    monkeypatch.setenv("GLOSSBATH_RECIPES", str(tmp_path / "recipes"))
    return Draft(load("dark"))


def entry(name: str) -> Entry:
    page, key = name.split("-")
    return next(entry for entry in entries()[page] if entry.key == key)


@pytest.mark.parametrize("name", builtin_names())
def test_a_recipe_that_nobody_changed_is_the_same_but_says_where_it_comes_from(name: str) -> None:
    recipe = load(name)
    opened = Draft(recipe)
    assert not opened.changed
    assert opened.first_problem() is None
    typed = opened.recipe()
    assert typed.phases == recipe.phases
    assert (typed.fat_share, typed.max_c) == (recipe.fat_share, recipe.max_c)
    assert typed.sources[-1] == f"Changed by hand from {recipe.name}, version {recipe.version}."


@pytest.mark.parametrize(
    ("name", "limits"),
    [
        ("melt-target_c", "46 to 50 °C, its window and bath"),
        ("melt-low_c", "15 to 48 °C, its target"),
        ("melt-high_c", "48 to 52 °C, target to trip"),
        ("melt-bath_high_c", "48.5 to 60 °C, for its target"),
        ("cool-bath_low_c", "5 to 28 °C, for its target"),
        ("cool-dwell_min", "0 to below 240 min, its trip"),
        ("cool-stir_percent", "0 to 100 %"),
        ("recipe-max_c", "50 to 55 °C, above every window"),
        ("recipe-chocolate", "dark, milk, white or own"),
    ],
)
def test_limits_stand_beside_the_field(draft: Draft, name: str, limits: str) -> None:
    assert draft.beside(entry(name)) == (limits, False)


def test_limits_follow_what_is_typed_elsewhere(draft: Draft) -> None:
    draft.type("melt-low_c", "44")
    assert draft.limits(entry("melt-target_c")) == "44 to 50 °C, its window and bath"
    draft.type("melt-low_c", "4")  # on the way to 45
    assert draft.limits(entry("melt-target_c")) == "20 to 50 °C, its window and bath"
    draft.type("melt-low_c", "")
    assert draft.limits(entry("melt-target_c")) == "20 to 50 °C, its window and bath"


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("melt-target_c", "51", "51 °C does not fit: 46 to 50 °C, its window and bath."),
        ("melt-target_c", "", "Type the target: 46 to 50 °C, its window and bath."),
        ("melt-target_c", "hot", "'hot' is not a number: type 46 to 50 °C, its window and bath."),
        ("melt-target_c", "nan", "nan °C does not fit"),
        ("melt-target_c", "inf", "inf °C does not fit"),
        ("melt-target_c", "-1e9", "does not fit"),
        ("melt-low_c", "48.1", "48.1 °C does not fit: 15 to 48 °C, its target."),
        ("melt-high_c", "53", "53 °C does not fit: 48 to 52 °C, target to trip."),
        ("reheat-bath_high_c", "30.5", "30.5 °C does not fit: 31 to 60 °C"),
        ("cool-dwell_min", "240", "240 min does not fit: 0 to below 240 min"),
        ("cool-timeout_min", "5", "5 min does not fit: 8 to"),
        ("hold-stir_percent", "101", "101 % does not fit: 0 to 100 %."),
        ("recipe-max_c", "49", "49 °C does not fit: 50 to 55 °C, above every window."),
        ("recipe-fat_percent", "-1", "-1 % does not fit: 0 to 100 %."),
        ("recipe-name", "", "Type the name: 1 to 40 characters."),
        ("recipe-name", "x" * 41, "It has 41 characters: use at most 40."),
        ("recipe-name", "a\x07b", "It has characters that cannot be shown"),
        ("recipe-chocolate", "ruby", "'ruby' is not a kind: dark, milk, white or own."),
        ("recipe-source", "y" * 301, "It has 301 characters: use at most 300."),
    ],
)
def test_a_wrong_value_has_its_sentence_and_is_kept(
    draft: Draft, name: str, typed: str, words: str
) -> None:
    draft.type(name, typed)
    said, wrong = draft.beside(entry(name))
    assert wrong
    assert words in said
    assert draft.typed[name] == typed
    assert draft.problems(entry(name).page) >= 1
    with pytest.raises(InputError):
        draft.recipe()


def test_a_field_that_no_board_takes_sets_no_limit_for_its_neighbours(draft: Draft) -> None:
    draft.type("melt-timeout_min", "0")
    draft.type("melt-target_c", "1e9")
    assert draft.limits(entry("melt-dwell_min")) == "0 to below 840 min"
    assert draft.limits(entry("melt-low_c")) == "15 to 55 °C"


def test_all_phases_together_may_last_a_day_and_no_longer(draft: Draft) -> None:
    """A phase may last 14 h and a run 24 h: what the others take is not left for this one."""
    for name in ("soak", "cool"):
        draft.type(f"{name}-timeout_min", "400")
    others = sum(
        float(draft.typed[f"{name}-timeout_min"]) for name in ("melt", "soak", "cool", "reheat")
    )
    left = 24 * 60 - others
    assert left < 14 * 60
    draft.type("hold-timeout_min", f"{left:g}")
    assert draft.problem(entry("hold-timeout_min")) == ""
    draft.type("hold-timeout_min", f"{left + 1:g}")
    assert f"{left + 1:g} min does not fit" in draft.problem(entry("hold-timeout_min"))


def test_a_decimal_comma_is_a_point(draft: Draft) -> None:
    draft.type("cool-target_c", "28,2")
    assert draft.recipe().phases[2].target_c == 28.2


def test_a_phase_that_contradicts_another_is_refused_beside_its_field(draft: Draft) -> None:
    for key, text in (("low_c", "28"), ("target_c", "28.2"), ("high_c", "29")):
        draft.type(f"reheat-{key}", text)
    problem = draft.first_problem()
    assert problem is not None
    assert problem[0].name == "cool-target_c"
    assert problem[1] == "28.5 °C does not fit: 28 to 28.2 °C, its window and bath."


def test_saving_makes_a_new_version_and_goes_on_from_it(draft: Draft) -> None:
    draft.type("cool-target_c", "28.2")
    draft.type("recipe-source", "My beans set better so.")
    recipe, path = draft.save()
    assert (recipe.version, path.name) == (2, "dark.v2.toml")
    assert recipe.sources[-2:] == (
        "Changed by hand from Dark, version 1.",
        "My beans set better so.",
    )
    assert load("dark") == recipe
    assert not draft.changed
    draft.type("cool-target_c", "28.3")
    assert draft.save()[0].version == 3


def test_another_name_begins_its_own_versions(draft: Draft) -> None:
    draft.type("recipe-name", "Tuesday")
    recipe, path = draft.save()
    assert (recipe.version, path.name) == (1, "tuesday.v1.toml")


NAMES = [entry.name for page in PAGES for entry in entries()[page]]


@given(st.dictionaries(st.sampled_from(NAMES), st.text(max_size=12), max_size=6))
def test_whatever_is_typed_is_a_recipe_or_one_sentence(typed: dict[str, str]) -> None:
    opened = Draft(load("dark"))
    for name, text in typed.items():
        opened.type(name, text)
    try:
        opened.recipe()
    except InputError as error:
        assert str(error)
    assert {name: opened.typed[name] for name in typed} == typed


@pytest.mark.parametrize("typed", ["", "0", "0.04", "10.1", "-1", "nan", "much", "1e9"])
def test_a_batch_that_cannot_be_meant_is_refused_beside_its_field(typed: str) -> None:
    form = BatchForm()
    form.type("batch_kg", typed)
    said, wrong = form.beside(FIELDS[0])
    assert wrong
    assert "0.05" in said
    assert "10 kg" in said
    with pytest.raises(InputError):
        form.order(load("dark"), "dark")
    assert form.typed["batch_kg"] == typed


@pytest.mark.parametrize("name", ["lot", "note"])
def test_words_have_a_limit(name: str) -> None:
    form = BatchForm()
    form.type(name, "x" * 501)
    field = next(field for field in FIELDS if field.name == name)
    assert form.beside(field) == (
        f"It has 501 characters: use at most 500 characters for the {name}.",
        True,
    )


def test_a_start_order_has_what_was_typed() -> None:
    form = BatchForm()
    for name, text in (("batch_kg", "1,2"), ("lot", " A17 "), ("note", "")):
        form.type(name, text)
    order = form.order(load("dark"), "dark")
    assert loads(order.pop("recipe"), "") == load("dark")
    assert order == {
        "where": "dark",
        "batch_kg": 1.2,
        "alone_min": 0.0,
        "lot": "A17",
        "note": "",
    }


@pytest.mark.parametrize("name", builtin_names())
def test_a_recipe_opened_in_fahrenheit_stays_what_it_is(name: str) -> None:
    recipe = load(name)
    opened = Draft(recipe, fahrenheit=True)
    assert not opened.changed
    assert opened.first_problem() is None
    assert opened.recipe().phases == recipe.phases
    assert opened.recipe().max_c == recipe.max_c


def test_fahrenheit_is_typed_shown_and_refused_in_fahrenheit(draft: Draft) -> None:
    """By hand: 118 °F is 47.778 °C; 46 to 50 °C are 114.8 to 122 °F."""
    draft.show_in(True)
    assert draft.typed["melt-target_c"] == "118.4"
    assert not draft.changed
    assert draft.beside(entry("melt-target_c")) == ("114.8 to 122 °F, its window and bath", False)
    assert draft.beside(entry("cool-dwell_min")) == ("0 to below 240 min, its trip", False)
    draft.type("melt-target_c", "48")
    assert draft.problem(entry("melt-target_c")).startswith("48 °F does not fit: 114.8 to 122 °F")
    draft.type("melt-target_c", "118")
    assert draft.recipe().phases[0].target_c == 47.778


@given(st.sampled_from(["low_c", "high_c", "bath_low_c", "bath_high_c", "target_c"]), st.data())
def test_a_limit_that_is_shown_may_be_typed(key: str, data: st.DataObject) -> None:
    page = data.draw(st.sampled_from(PAGES[1:]))
    fahrenheit = data.draw(st.booleans())
    draft = Draft(load("dark"), fahrenheit)
    field = entry(f"{page}-{key}")
    low, _, rest = draft.limits(field).partition(" to ")
    end = data.draw(st.sampled_from([low, *([] if "below" in rest else [rest.split(" ")[0]])]))
    draft.type(field.name, end)
    assert draft.problem(field) == ""


def test_changing_the_unit_loses_nothing_that_was_typed(draft: Draft) -> None:
    draft.type("melt-target_c", "47")
    draft.type("cool-low_c", "about 28")
    draft.show_in(True)
    assert draft.typed["melt-target_c"] == "116.6"
    assert draft.typed["cool-low_c"] == "about 28"
    draft.show_in(False)
    assert draft.typed["melt-target_c"] == "47"
    assert draft.changed
