"""The model of each rig in its own file."""

from __future__ import annotations

from pathlib import Path

import pytest

from glossbath.errors import InputError
from glossbath.process.cycle_forecast import figures_of, known_of, model_orders
from glossbath.thermal.model import (
    Learned,
    RigModel,
    knowledge_of,
    learned_path,
    load_learned,
    load_model,
    model_path,
    save_learned,
    save_model,
)
from glossbath.thermal.model.learned import MOST_LESSONS


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("GLOSSBATH_MODELS", str(tmp_path / "models"))
    return tmp_path / "models"


def test_unknown_rig_is_the_reference_rig() -> None:
    assert load_model("kitchen") == RigModel.default()


def test_model_comes_back_as_it_was_kept() -> None:
    model = RigModel(heater_w=181.5, water_kg=2.75, uncertainty_shares={"heater_w": 0.031})
    path = save_model("kitchen", model, "From an experiment.")
    assert load_model("kitchen") == model
    assert load_model("other") == RigModel.default()
    assert "heater_w = 181.5" in path.read_text("utf-8")


def test_user_data_folder_is_used_without_the_variable(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("GLOSSBATH_MODELS")
    assert model_path("kitchen").parts[-3:] == ("glossbath", "models", "kitchen.toml")


@pytest.mark.parametrize(
    "text",
    [
        "heater_w = 'hot'",
        "heater_w = 1e9",
        "heater_w = nan",
        "heating = 250.0",
        "heater_w = ",
        "[uncertainty_shares]\nheater_w = -1.0",
        "\x00" * 100,
        "#" * 100_000,
    ],
)
def test_damaged_file_is_refused_with_its_name(folder: Path, text: str) -> None:
    folder.mkdir()
    (folder / "kitchen.toml").write_text(text, "utf-8")
    with pytest.raises(InputError, match=r"kitchen\.toml"):
        load_model("kitchen")


def test_bytes_that_are_no_text_are_refused(folder: Path) -> None:
    folder.mkdir()
    (folder / "kitchen.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match=r"kitchen\.toml"):
        load_model("kitchen")


@pytest.mark.parametrize("name", ["", "../up", "a/b", "x" * 40])
def test_bad_name_is_refused(name: str) -> None:
    with pytest.raises(InputError, match="rig name"):
        load_model(name)


def test_folder_that_cannot_be_written_is_told(folder: Path) -> None:
    folder.write_text("a file where the folder should be", "utf-8")
    with pytest.raises(InputError, match="cannot be written"):
        save_model("kitchen", RigModel.default())


IDENTIFIED = RigModel(heater_w=300.0, uncertainty_shares={"heater_w": 0.05})
TAUGHT = RigModel(heater_w=240.0, uncertainty_shares={"heater_w": 0.04, "chill_w_per_k": 0.2})


def test_what_was_learned_comes_back_beside_what_was_identified() -> None:
    save_model("kitchen", IDENTIFIED)
    assert load_learned("kitchen") is None
    learned = Learned(TAUGHT, True, ['2027-01-15 "dark": heater_w 300 -> 240', "nothing new"])
    path = save_learned("kitchen", learned)
    assert load_learned("kitchen") == learned
    assert load_model("kitchen") == IDENTIFIED
    assert knowledge_of("kitchen").model == knowledge_of("kitchen").steering == TAUGHT
    assert "heater_w = 240" in path.read_text("utf-8")


def test_control_goes_on_by_what_was_identified_where_the_lesson_is_no_better() -> None:
    save_model("kitchen", IDENTIFIED)
    save_learned("kitchen", Learned(TAUGHT, False))
    known = known_of("kitchen")
    assert (known.model, known.steering) == (TAUGHT, IDENTIFIED)


def test_limits_learn_nothing() -> None:
    """A heater that fades by a fifth a week must not teach the cut-offs that this is healthy."""
    save_model("kitchen", IDENTIFIED)
    before = figures_of("kitchen")
    save_learned("kitchen", Learned(TAUGHT, True))
    assert figures_of("kitchen") == before
    save_learned("other", Learned(TAUGHT, True))
    assert figures_of("other") == figures_of("never seen")


def test_a_board_is_told_what_was_learned_of_a_rig_that_nobody_measured() -> None:
    assert model_orders("kitchen", RigModel.default()) == []
    save_learned("kitchen", Learned(TAUGHT, True))
    (order,) = model_orders("kitchen", known_of("kitchen").steering)
    assert order["v"][0] == 240


def test_an_identification_takes_away_what_cycles_had_taught() -> None:
    save_learned("kitchen", Learned(TAUGHT, True))
    save_model("kitchen", IDENTIFIED)
    assert load_learned("kitchen") is None
    assert knowledge_of("kitchen").model == IDENTIFIED


@pytest.mark.parametrize("text", ["steers = 5", "\x00", "steers = true\n[model]\nheater_w = 1e9"])
def test_a_damaged_lesson_counts_as_none(text: str) -> None:
    save_model("kitchen", IDENTIFIED)
    path = learned_path("kitchen")
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    assert load_learned("kitchen") is None
    assert known_of("kitchen").steering == IDENTIFIED


def test_history_keeps_the_newest_lessons() -> None:
    save_learned("kitchen", Learned(TAUGHT, True, [f"cycle {at}" for at in range(70)]))
    kept = load_learned("kitchen")
    assert kept is not None
    assert kept.lessons == [f"cycle {at}" for at in range(70 - MOST_LESSONS, 70)]
