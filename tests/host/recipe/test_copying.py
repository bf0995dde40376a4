"""A recipe under another name: copied from any, renamed where it is one's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from glossbath.errors import RecipeError
from glossbath.recipe import copy, load, own_names, rename


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("GLOSSBATH_RECIPES", str(tmp_path))
    return tmp_path


def test_a_copy_has_the_same_numbers_and_says_where_they_come_from() -> None:
    path = copy("milk", "Alpine 40")
    copied = load("alpine-40")
    assert path.name == "alpine-40.v1.toml"
    assert copied.name == "Alpine 40"
    assert copied.phases == load("milk").phases
    assert copied.sources[-1] == f"Copied from Milk, version {load('milk').version}."


def test_a_renamed_recipe_stands_once() -> None:
    copy("milk", "Alpine 40")
    rename("alpine-40", "Valley 40")
    assert own_names() == ("valley-40",)
    assert load("valley-40").name == "Valley 40"


def test_a_built_in_recipe_keeps_its_name_and_the_way_on_is_said() -> None:
    with pytest.raises(RecipeError, match="glossbath recipe copy milk NAME"):
        rename("milk", "Mine")


@pytest.mark.parametrize("name", ["", "   ", "x" * 41, "a\x07b"])
def test_a_name_that_cannot_stand_in_a_file_writes_nothing(name: str) -> None:
    with pytest.raises(RecipeError, match="1 to 40 characters"):
        copy("milk", name)
    assert own_names() == ()
