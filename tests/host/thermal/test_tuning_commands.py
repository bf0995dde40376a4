"""glossbath tune, as a person types it, on records as the keeper writes them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from glossbath.cli.tune import app
from glossbath.client.messages import Reading
from glossbath.errors import InputError
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
    """What a command prints; its refusals are raised."""
    result = CliRunner().invoke(app, list(words), catch_exceptions=False)
    assert result.exit_code == 0, result.output
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
    assert said["gains"]["bath"]["kp"] > 0.0


def test_rig_that_was_never_measured_is_told(cycle: Path) -> None:
    assert "not identified yet" in tune("show", "--rig", "other")


def test_experiment_can_be_written_as_a_recipe(tmp_path: Path) -> None:
    path = tmp_path / "identify.toml"
    assert f"glossbath run {path}" in tune("recipe", "--out", str(path))
    assert load(path) == identify_recipe()
    assert loads(tune("recipe", "--bowl", "milk"), "printed") == identify_recipe("milk")
    with pytest.raises(InputError, match="cannot be written"):
        tune("recipe", "--out", str(tmp_path / "missing" / "identify.toml"))


def test_relay_record_gives_gains(tmp_path: Path) -> None:
    swinging = [
        Reading(
            time_s=float(second),
            wall="",
            chocolate_c=31.0,
            bath_c=31.0 + 0.5 * (abs((second % 600) - 300) / 150.0 - 1.0),
            body_c=32.0,
            target_c=31.0,
            bath_target_c=31.0,
            heat_share=0.0 if (second + 100) % 600 < 300 else 1.0,  # the bath turns 100 s later
            chill_share=0.0,
            stir_share=0.5,
            state="running",
            phase="hold",
            phase_index=4,
            phase_elapsed_s=float(second),
            phase_left_s=None,
            cycle_left_s=None,
        )
        for second in range(4000)
    ]
    folder = record(tmp_path / "cycles", swinging, load("dark"), 1.0)
    said = json.loads(tune("relay", str(folder), "--json"))
    assert said["swing"]["period_s"] == pytest.approx(600.0)
    assert said["swing"]["amplitude"] == pytest.approx(0.5, abs=0.01)
    assert "Tyreus-Luyben" in tune("relay", str(folder))
    with pytest.raises(InputError, match="use bath or chocolate"):
        tune("relay", str(folder), "--probe", "room")


def test_record_that_is_no_experiment_is_refused(cycle: Path) -> None:
    with pytest.raises(InputError, match="two levels"):
        tune("relay", str(cycle))
    with pytest.raises(InputError, match="water_kg"):
        tune("fit", str(cycle), "--water", "nan")
