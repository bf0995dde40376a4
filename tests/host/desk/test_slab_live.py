"""glossbath desk slab --live against a keeper that says what a test tells it to say."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from glossbath.cli.desk import app
from glossbath.desk import slab_live

from ..screens.fake_keeper import FakeKeeper, reading, snapshot

RUNNER = CliRunner()


def lying() -> list[float]:
    """What the probe says: warm, then on the slab, then back in the bowl."""
    down = [38.0 - 0.05 * second for second in range(230)]
    return [*down, *[30.4] * 60]


@pytest.fixture
def keeper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[FakeKeeper]:
    monkeypatch.setenv("GLOSSBATH_RUN", str(tmp_path))
    monkeypatch.setattr(slab_live, "PATIENCE_S", 0.2)
    course = [reading(3000.0 + at, celsius) for at, celsius in enumerate(lying())]
    fake = FakeKeeper(tmp_path / "rig.keeper", [snapshot(batch_kg=3.0), *course])
    yield fake
    fake.close()


def test_the_moment_is_told_from_the_live_probe(keeper: FakeKeeper) -> None:
    result = RUNNER.invoke(app, ["slab", "--live"])
    assert result.exit_code == 0, result.output
    lines = result.stdout.splitlines()
    assert lines[0] == "Pour out 2.00 kg (67 %) and keep 1.00 kg warm."
    assert "Put the chocolate probe into the part on the slab." in lines
    assert any(line.startswith("NOW: about 26.") for line in lines)
    assert lines[-1].startswith("At 30.4 °C it is in its window of 30 to 31 °C")


def test_a_plan_that_does_not_work_is_told_at_once(keeper: FakeKeeper) -> None:
    result = RUNNER.invoke(app, ["slab", "--live", "--at", "48"])
    assert result.exit_code == 0
    assert "NOW" not in result.stdout
    assert "let the batch cool first" in result.stdout


def test_a_rig_that_falls_silent_is_one_sentence(keeper: FakeKeeper) -> None:
    keeper.greeting = keeper.greeting[:50]
    result = RUNNER.invoke(app, ["slab", "--live"])
    assert result.exit_code == 1
    assert "No reading came for" in result.stderr


def test_without_a_rig_the_numbers_are_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOSSBATH_RUN", str(tmp_path))
    assert "Give --kg and --at" in RUNNER.invoke(app, ["slab"]).stderr
    nobody = RUNNER.invoke(app, ["slab", "--live"])
    assert nobody.exit_code == 1
    assert "No keeper is running" in nobody.stderr
