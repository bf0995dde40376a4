"""The model of each rig in its own file."""

from __future__ import annotations

from pathlib import Path

import pytest

from glossbath.errors import InputError
from glossbath.thermal.model import RigModel, load_model, model_path, save_model


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
