"""glossbath tune, as a person types it, on records as the keeper writes them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from glossbath.cli.app import app
from glossbath.client.messages import Reading
from glossbath.keeper.cycle_writer import CycleHeader, CycleWriter
from glossbath.recipe import Recipe, load, loads
from glossbath.thermal.model import load_model
from glossbath.thermal.tuning import identify_recipe

STARTED_NS = 1_800_000_000_000_000_000


def record(folder: Path, readings: list[Reading], recipe: Recipe, batch_kg: float) -> Path:
    """A finished cycle's folder with these readings."""
    header = CycleHeader(
        rig="test",
        virtual=True,
        engine="cpython",
        board="rpi_pico",
        firmware="0",
        recipe=recipe,
        started_ns=STARTED_NS,
        batch_kg=batch_kg,
    )
    writer = CycleWriter(folder, header)
    for reading in readings:
        moment = round(reading.time_s * 1e9)
        writer.reading(reading, moment // 1_000_000, "1", STARTED_NS + moment, moment)
    writer.finish("complete", STARTED_NS + moment)
    writer.close()
    return writer.folder


@pytest.fixture
def cycle(tmp_path: Path, experiment: list[Reading], monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("GLOSSBATH_MODELS", str(tmp_path / "models"))
    return record(tmp_path / "cycles", experiment, identify_recipe(), 1.0)


def tune(*words: str) -> str:
    """What a command prints."""
    result = CliRunner().invoke(app, ["tune", *words], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def refused(*words: str) -> str:
    """The sentence of a command that refuses."""
    result = CliRunner().invoke(app, ["tune", *words], catch_exceptions=False)
    assert result.exit_code == 2, result.output
    assert "Traceback" not in result.output
    return result.output


def test_experiment_becomes_the_model_of_a_rig(cycle: Path, tmp_path: Path) -> None:
    drawn = tmp_path / "fit.png"
    said = tune("fit", str(cycle), "--water", "3", "--save", "kitchen", "--picture", str(drawn))
    assert "VIRTUAL rig test" in said
    assert "heater power" in said
    assert "95 % confidence (Student's t)" in said
    assert load_model("kitchen").heater_w == pytest.approx(250.0, rel=0.05)
    assert load_model("kitchen").water_kg == 3.0
    assert drawn.exists()
    shown = json.loads(tune("show", "--rig", "kitchen", "--json"))
    assert shown["measured"]
    assert shown["model"]["heater_w"] == pytest.approx(250.0, rel=0.05)
    assert "heater_w = " in tune("show", "--rig", "kitchen")


def test_fit_speaks_json(cycle: Path) -> None:
    said = json.loads(tune("fit", str(cycle), "--water", "3", "--json"))
    heater = said["intervals"]["heater_w"]
    assert heater["low"] < heater["value"] < heater["high"]
    assert said["saved"] is None
    assert said["virtual"] is True


def test_rig_that_was_never_measured_is_told(cycle: Path) -> None:
    assert "not identified yet" in tune("show", "--rig", "other")


def test_experiment_can_be_written_as_a_recipe(tmp_path: Path) -> None:
    path = tmp_path / "identify.toml"
    assert f"glossbath run {path}" in tune("recipe", "--out", str(path))
    assert load(path) == identify_recipe()
    assert loads(tune("recipe", "--bowl", "milk"), "printed") == identify_recipe("milk")
    assert "cannot be written" in refused("recipe", "--out", str(tmp_path / "no" / "it.toml"))


def test_record_that_is_no_experiment_is_refused(cycle: Path) -> None:
    assert "water_kg" in refused("fit", str(cycle), "--water", "nan")
