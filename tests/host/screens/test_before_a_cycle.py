"""Before a cycle: choose a recipe, change it, say how much, start it."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input

from glossbath.recipe import dump, load, loads
from glossbath.thermal.model import RigModel, save_model
from glossbath.tui.edit_screen import EditScreen
from glossbath.tui.main_screen import MainScreen
from glossbath.tui.recipe_screen import RecipeScreen
from glossbath.tui.recipes_screen import RecipesScreen

from .fake_keeper import FakeKeeper, reading, snapshot
from .hand import LARGE, SMALL, Hand, Open

COLD = {"state": "idle", "phase": "", "bath_c": 24.0, "body_c": 24.0}
IDLE = (snapshot(state="idle", recipe="", phases=[], history=[]), reading(state="idle", phase=""))
DARK = 0
"""Place of the dark recipe in the list."""


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where own recipes of this test lie."""
    path = tmp_path / "recipes"
    monkeypatch.setenv("GLOSSBATH_RECIPES", str(path))
    monkeypatch.setenv("GLOSSBATH_MODELS", str(tmp_path / "models"))
    return path


async def to_recipe(hand: Hand, down: int = DARK) -> None:
    await hand.sees("IDLE")
    await hand.press("r")
    await hand.press(*["down"] * down, "enter")
    assert isinstance(hand.app.screen, RecipeScreen)


async def retype(hand: Hand, name: str, text: str) -> None:
    """Type into a field over what stands there."""
    field = hand.app.screen.query_one(f"#field-{name}", Input)
    field.focus()
    field.value = ""
    await hand.press(*text)


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_recipes_show_their_windows(opened: Open, size: tuple[int, int]) -> None:
    async with opened(*IDLE, size=size) as hand:
        await hand.sees("A cycle starts from a recipe: press r.")
        await hand.press("r")
        await hand.sees("46–50 → 28–29 → 30–31 °C")
        await hand.sees("milk")
        await hand.press("enter")
        for words in (
            "Dark, version 1",
            "27–33.5",
            "0.05 to 10 kg",
            "Where the numbers come from",
        ):
            await hand.sees(words)


async def test_start_sends_recipe_batch_lot_and_note(opened: Open, keeper: FakeKeeper) -> None:
    async with opened(*IDLE) as hand:
        await to_recipe(hand)
        await retype(hand, "batch_kg", "1,2")
        await retype(hand, "lot", "A17")
        await retype(hand, "note", "new beans")
        await hand.press("f2")
        asked = keeper.asked()
        assert asked.op == "start"
        assert loads(asked.values.pop("recipe"), "") == load("dark")
        assert asked.values == {
            "where": "dark",
            "batch_kg": 1.2,
            "alone_min": 0.0,
            "lot": "A17",
            "note": "new beans",
        }
        await hand.until(lambda: isinstance(hand.app.screen, MainScreen))


async def test_the_boards_refusal_is_shown_and_nothing_typed_is_lost(
    opened: Open, keeper: FakeKeeper
) -> None:
    keeper.refusal = "The board refuses to start: No voltage reaches the heater."
    async with opened(*IDLE) as hand:
        await to_recipe(hand)
        await retype(hand, "lot", "A17")
        await hand.press("f2")
        await hand.sees("Not started. The board refuses to start: No voltage reaches the heater.")
        assert isinstance(hand.app.screen, RecipeScreen)
        await hand.press("escape", "enter")
        assert hand.app.screen.query_one("#field-lot", Input).value == "A17"


@pytest.mark.parametrize("typed", ["", "0", "99", "nan", "much", "1e9", "-1"])
async def test_a_bad_batch_is_told_beside_its_field_and_never_sent(
    opened: Open, keeper: FakeKeeper, typed: str
) -> None:
    async with opened(*IDLE) as hand:
        await to_recipe(hand)
        await retype(hand, "batch_kg", typed)
        await hand.sees("0.05")
        await hand.press("f2")
        assert keeper.requests.empty()
        assert hand.app.screen.query_one("#field-batch_kg", Input).value == typed
        assert hand.app.screen.query(".-wrong")


@pytest.mark.parametrize(
    ("messages", "why"),
    [
        ((snapshot(), reading()), "A cycle is under way on this rig: stop it before"),
        ((snapshot(state="idle", steering=False), reading(state="idle")), "Another screen steers"),
    ],
)
async def test_why_nothing_can_be_started_is_said(
    opened: Open, keeper: FakeKeeper, messages: tuple, why: str
) -> None:
    async with opened(*messages) as hand:
        await hand.press("r", "enter")
        await hand.sees(why)
        await hand.press("f2")
        await hand.sees(why)
        assert keeper.requests.empty()


async def test_stop_works_while_fields_are_filled_in(opened: Open, keeper: FakeKeeper) -> None:
    async with opened(*IDLE) as hand:
        await to_recipe(hand)
        await hand.sees("F9 STOP")
        await hand.press("f9")
        assert keeper.asked().op == "stop"
        assert isinstance(hand.app.screen, MainScreen)


async def test_a_change_is_saved_as_a_new_version_and_can_be_started(
    opened: Open, keeper: FakeKeeper, folder: Path
) -> None:
    async with opened(*IDLE) as hand:
        await to_recipe(hand)
        await hand.press("f4")
        assert isinstance(hand.app.screen, EditScreen)
        await hand.sees("46 to 50 °C, its window")
        await hand.press("pagedown", "pagedown")
        await hand.sees("▶ cool")
        await retype(hand, "cool-target_c", "28.2")
        await hand.sees("changed, not saved")
        await hand.press("f2")
        await hand.sees("Saved as dark.v2; F2 starts it.")
        await hand.sees("Dark, version 2")
        assert load("dark").phases[2].target_c == 28.2
        assert (folder / "dark.v2.toml").exists()
        await hand.press("f2")
        assert loads(keeper.asked().values["recipe"], "").version == 2


async def test_on_a_small_terminal_the_field_to_type_in_is_in_sight(opened: Open) -> None:
    async with opened(*IDLE, size=(60, 18)) as hand:
        await to_recipe(hand)
        await hand.press("f4")
        await hand.sees("Target, °C")
        rows = hand.screen().splitlines()
        assert any("▶ melt" in row and "50 %" in row for row in rows), hand.screen()


async def test_a_recipe_is_changed_in_fahrenheit_where_that_was_chosen(
    opened: Open, folder: Path
) -> None:
    async with opened(*IDLE) as hand:
        await hand.sees("IDLE")
        await hand.press("u")
        await to_recipe(hand)
        await hand.press("f4")
        await hand.sees("114.8 to 122 °F, its window")
        await hand.sees("trips above 125.6 °F")
        await retype(hand, "melt-target_c", "48")
        await hand.sees("48 °F does not fit: 114.8 to 122")
        await retype(hand, "melt-target_c", "117.5")
        await hand.press("f2")
        await hand.sees("Saved as dark.v2; F2 starts it.")
        assert load("dark.v2").phases[0].target_c == 47.5


async def test_a_wrong_value_is_told_beside_the_field_and_kept(opened: Open, folder: Path) -> None:
    async with opened(*IDLE) as hand:
        await to_recipe(hand)
        await hand.press("f4")
        await retype(hand, "melt-target_c", "99")
        await hand.sees("99 °C does not fit: 46 to 50")
        await hand.sees("! melt")
        await hand.press("pagedown", "f2")
        await hand.sees("Not saved. melt: 99 °C does not fit: 46 to 50 °C, its window")
        assert hand.app.screen.query_one("#field-melt-target_c", Input).value == "99"
        assert hand.app.focused is hand.app.screen.query_one("#field-melt-target_c")
        assert not folder.exists()
        # Leaving and coming back loses nothing either.
        await hand.press("escape", "f4")
        await hand.sees("! melt")
        assert hand.app.screen.query_one("#field-melt-target_c", Input).value == "99"


async def test_phases_that_contradict_each_other_are_not_saved(opened: Open) -> None:
    async with opened(*IDLE) as hand:
        await to_recipe(hand)
        await hand.press("f4", "pagedown", "pagedown", "pagedown")
        for key, text in (("low_c", "28"), ("target_c", "28.2")):
            await retype(hand, f"reheat-{key}", text)
        await hand.press("f2")
        await hand.sees("Not saved. cool: 28.5 °C does not fit: 28 to 28.2 °C")


async def test_a_folder_that_cannot_be_written_is_told(opened: Open, folder: Path) -> None:
    folder.write_text("a file stands here")
    async with opened(*IDLE) as hand:
        await to_recipe(hand)
        await hand.press("f4", "f2")
        await hand.sees("set GLOSSBATH_RECIPES to")
        assert isinstance(hand.app.screen, EditScreen)


async def test_any_file_can_be_opened(opened: Open, tmp_path: Path) -> None:
    (tmp_path / "beans.toml").write_text(dump(load("milk")), encoding="utf-8")
    async with opened(*IDLE) as hand:
        await hand.press("r")
        field = hand.app.screen.query_one("#file", Input)
        for path, words in (
            (tmp_path / "none.toml", "There is no recipe file"),
            (tmp_path, "is a folder; give the recipe file inside it"),
            (tmp_path / "beans.toml", "Milk, version 1"),
        ):
            field.focus()
            field.value = str(path)
            await hand.press("enter")
            await hand.sees(words)


async def test_a_broken_own_recipe_is_listed_and_explained(opened: Open, folder: Path) -> None:
    folder.mkdir()
    (folder / "aaa.toml").write_text("name = ", encoding="utf-8")
    async with opened(*IDLE) as hand:
        await hand.press("r")
        await hand.sees("cannot be used: Enter says why")
        await hand.press("end", "enter")
        await hand.sees("is not TOML")
        assert isinstance(hand.app.screen, RecipesScreen)


async def test_the_plan_says_before_the_start_what_will_not_be_reached(
    opened: Open, keeper: FakeKeeper
) -> None:
    hot = (IDLE[0], reading(chocolate_c=24.0, room_c=33.0, **COLD))
    async with opened(*hot, size=LARGE) as hand:
        await to_recipe(hand)
        await retype(hand, "tap_c", "28")
        await retype(hand, "ice_kg", "0")
        await hand.sees("This cannot be reached: the cooling needs 29 °C")
        await hand.sees("What would help: about ")
        await hand.press("f2")
        await hand.sees("F2 once more starts it all the same.")
        assert keeper.requests.empty()
        await hand.press("f2")
        asked = keeper.asked()
        assert (asked.op, asked.values["ice_kg"], asked.values["tap_c"]) == ("start", 0.0, 28.0)


async def test_a_plan_from_before_the_rig_said_anything_is_made_anew(
    opened: Open, keeper: FakeKeeper
) -> None:
    """What was guessed of a rig does not stand once it reads its room and its bath."""
    async with opened(IDLE[0], size=LARGE) as hand:
        await to_recipe(hand)
        await retype(hand, "ice_kg", "0")
        await hand.sees("This may need ice: as far as can be told the cooling takes")
        keeper.say(reading(chocolate_c=24.0, room_c=33.0, **COLD))
        await hand.sees("This cannot be reached: the cooling needs 29 °C")
        await hand.press("f2")
        await hand.sees("F2 once more starts it all the same.")
        assert keeper.requests.empty()


async def test_a_plan_that_fails_stands_in_nobodys_way(
    opened: Open, keeper: FakeKeeper, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*asked: object) -> None:
        raise ZeroDivisionError("invented")

    monkeypatch.setattr("glossbath.editing.kitchen.plan_start", fail)
    async with opened(*IDLE, size=LARGE) as hand:
        await to_recipe(hand)
        await hand.sees("There is no plan for this cycle: ZeroDivisionError: invented")
        await hand.press("f2")
        assert keeper.asked().op == "start"


async def test_ice_that_will_do_is_said_and_the_start_is_not_asked_twice(
    opened: Open, keeper: FakeKeeper
) -> None:
    mild = (IDLE[0], reading(chocolate_c=24.0, **COLD))
    async with opened(*mild, size=LARGE) as hand:
        await to_recipe(hand)
        await hand.sees("kg of ice in the chill water")
        await retype(hand, "ice_kg", "3")
        await hand.sees("3 kg of ice will do: the cooling takes about")
        await hand.press("f2")
        assert keeper.asked().op == "start"


async def test_a_rig_without_a_bucket_is_asked_for_no_ice_and_one_without_a_sensor_for_its_room(
    opened: Open,
) -> None:
    save_model("Kitchen-rig", RigModel(chill_w_per_k=0.0))
    first = snapshot(rig="Kitchen-rig", state="idle", recipe="", phases=[], history=[])
    async with opened(first, reading(chocolate_c=24.0, room_c=None, **COLD), size=LARGE) as hand:
        await to_recipe(hand)
        fields = [str(field.id) for field in hand.app.screen.query(Input)]
        assert "field-room_c" in fields
        assert "field-ice_kg" not in fields and "field-tap_c" not in fields


@pytest.mark.parametrize(
    ("name", "typed", "why"),
    [
        ("ice_kg", "500", "must be between 0 and 20 kg, not 500"),
        ("ice_kg", "much", "'much' is not a number: type the ice in the bucket in kg"),
        ("tap_c", "68", "if that is 68 °F, enter 20.0 °C"),
    ],
)
async def test_a_kitchen_that_there_is_not_is_told_beside_its_field_and_never_sent(
    opened: Open, keeper: FakeKeeper, name: str, typed: str, why: str
) -> None:
    async with opened(*IDLE, size=LARGE) as hand:
        await to_recipe(hand)
        await retype(hand, name, typed)
        await hand.sees(why)
        await hand.press("f2")
        assert keeper.requests.empty()
