"""Own recipes: found by name, kept version by version, never written over."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest
from typer.testing import CliRunner

from glossbath.cli.app import app
from glossbath.errors import RecipeError
from glossbath.recipe import dump, load, own_names, save


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where own recipes of this test lie; it is not there yet."""
    path = tmp_path / "recipes"
    monkeypatch.setenv("GLOSSBATH_RECIPES", str(path))
    return path


def named(name: str) -> object:
    return msgspec.structs.replace(load("dark"), name=name)


def test_a_folder_that_is_not_there_holds_none(folder: Path) -> None:
    assert own_names() == ()
    assert load("dark").version == 1


def test_a_saved_recipe_is_found_by_name(folder: Path) -> None:
    written, path = save(named("Tuesday beans, 70 %"))
    assert path == folder / "tuesday-beans-70.v1.toml"
    assert load("tuesday-beans-70") == written
    assert load("tuesday-beans-70.v1") == written
    assert own_names() == ("tuesday-beans-70",)


def test_every_change_is_a_new_version_and_the_old_ones_stay(folder: Path) -> None:
    first, _ = save(named("Beans"))
    second, path = save(msgspec.structs.replace(first, fat_share=0.4))
    assert (first.version, second.version) == (1, 2)
    assert path.name == "beans.v2.toml"
    assert load("beans") == second
    assert load("beans.v1") == first
    assert own_names() == ("beans", "beans.v1")


def test_an_own_version_goes_before_the_built_in_one(folder: Path) -> None:
    built_in = load("dark")
    own, _ = save(msgspec.structs.replace(built_in, fat_share=0.4), at_least=2)
    assert own.version == 2
    assert load("dark") == own
    assert load("milk").name == "Milk"


def test_a_file_put_there_by_hand_is_found_by_its_name(folder: Path) -> None:
    folder.mkdir()
    (folder / "beans.toml").write_text(dump(load("dark")), encoding="utf-8")
    assert load("beans") == load("dark")
    assert own_names() == ("beans",)


def test_the_tenth_version_is_newer_than_the_ninth(folder: Path) -> None:
    for _ in range(10):
        save(named("Beans"))
    assert load("beans").version == 10


def test_a_folder_that_cannot_be_written_is_told(folder: Path) -> None:
    folder.write_text("a file stands here")
    with pytest.raises(RecipeError, match=r"cannot be written: .*GLOSSBATH_RECIPES"):
        save(load("dark"))


def test_a_name_without_letters_still_gives_a_file(folder: Path) -> None:
    _, path = save(named("巧克力"))
    assert path.name == "recipe.v1.toml"


def test_an_unknown_name_is_led_to_the_nearest_own_one(folder: Path) -> None:
    save(named("Tuesday"))
    with pytest.raises(RecipeError, match="did you mean tuesday"):
        load("tuesda")


def test_the_list_has_own_recipes_and_says_what_is_wrong_with_a_broken_one(folder: Path) -> None:
    save(named("Tuesday"))
    (folder / "broken.toml").write_text("name = ", encoding="utf-8")
    lines = CliRunner().invoke(app, ["recipe", "list"]).output.splitlines()
    assert any(line.startswith("dark: melt 46-50 °C") for line in lines)
    assert any(line.startswith("tuesday (own): melt 46-50 °C") for line in lines)
    broken = next(line for line in lines if line.startswith("broken (own): cannot be used."))
    assert "is not TOML" in broken
    told = json.loads(CliRunner().invoke(app, ["recipe", "list", "--json"]).output)
    assert told == {
        "recipes": ["dark", "dark-seeded", "milk", "white"],
        "own": ["broken", "tuesday"],
    }
