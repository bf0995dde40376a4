"""glossbath tune, as a person types it, on records as the keeper writes them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from recipe_run import recipe_run
from typer.testing import CliRunner

from glossbath.cli.app import app
from glossbath.client.messages import Reading
from glossbath.keeper.cycle_writer import CycleHeader, CycleWriter
from glossbath.recipe import Recipe, load, loads
from glossbath.thermal.model import Learned, RigModel, load_learned, load_model, save_learned
from glossbath.thermal.tuning import identify_recipe
from glossbath.virtual.parameters import PlantParameters

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


@pytest.fixture(scope="module")
def batch() -> list[Reading]:
    """An ordinary kilogram of dark chocolate on a rig of 310 W that nobody has measured."""
    parameters = PlantParameters(heater_w=310.0)
    return recipe_run(load("dark").with_hold(1200.0), parameters, seed=5).readings()


@pytest.fixture
def cooked(tmp_path: Path, batch: list[Reading], monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("GLOSSBATH_MODELS", str(tmp_path / "models"))
    return record(tmp_path / "cycles", batch, load("dark").with_hold(1200.0), 1.0)


def test_an_ordinary_cycle_makes_a_rig_known(cooked: Path) -> None:
    """The truth is the virtual rig's own: 310 W, where the reference rig has 250."""
    said = tune("learn", str(cooked))
    assert said.startswith("test has learned: ")
    learned = load_learned("test")
    assert learned is not None
    assert learned.model.heater_w == pytest.approx(310.0, rel=0.08)
    assert learned.model.measured
    assert len(learned.lessons) == 1 and cooked.name in learned.lessons[0]
    assert load_model("test") == RigModel.default()
    assert "already" in refused("learn", str(cooked))
    assert load_learned("test") == learned
    shown = tune("show", "--rig", "test")
    assert "was not identified yet: this is what its cycles have taught" in shown
    assert cooked.name in shown
    assert json.loads(tune("show", "--rig", "test", "--json"))["learned"]["lessons"]


def test_a_second_lesson_is_joined_with_the_first(cooked: Path) -> None:
    doubtful = dict.fromkeys(("heater_w", "body_j_per_k", "stirred_w_per_k"), 0.1)
    save_learned("test", Learned(RigModel(uncertainty_shares=doubtful), False, ["the first"]))
    tune("learn", str(cooked))
    learned = load_learned("test")
    assert learned is not None
    assert learned.lessons[0] == "the first" and len(learned.lessons) == 2
    assert 250.0 < learned.model.heater_w <= 310.0 * 1.05


def test_what_teaches_nothing_is_refused_with_its_reason(cooked: Path, cycle: Path) -> None:
    assert "virtual rig test" in refused("learn", str(cooked), "--rig", "kitchen")
    assert "water in its bowl" in refused("learn", str(cycle))
    package = cooked / "datapackage.json"
    package.write_text(package.read_text("utf-8").replace('"complete"', '"tripped"'), "utf-8")
    assert "ended as tripped" in refused("learn", str(cooked))
    assert load_learned("test") is None and load_learned("kitchen") is None
