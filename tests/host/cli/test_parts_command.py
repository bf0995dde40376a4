"""What `glossbath parts` prints and writes."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from typer.testing import CliRunner

from glossbath.cli.app import app


def _printed(*arguments: str) -> str:
    result = CliRunner().invoke(app, ["parts", *arguments])
    assert result.exit_code == 0, result.output
    return result.output


def test_the_first_choice_has_nothing_to_open() -> None:
    text = _printed()
    assert text.startswith("Parts for the ready variant at 230 V.")
    assert "licensed electrician" in text
    assert "First ready switching unit" in text
    assert "Isolating switch" not in text
    assert all(len(line) <= 96 for line in text.splitlines())


def test_each_voltage_has_its_own_values() -> None:
    assert "39 k, 2 W (R20 R21)" in _printed("--variant", "box", "--voltage", "230")
    text = _printed("--variant", "box", "--voltage", "120")
    assert "18 k, 2 W (R20 R21)" in text
    assert "AWG 14" in text


def test_the_list_is_written_as_csv(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    said = _printed("--variant", "box", "--out", str(path))
    with path.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert said.strip() == f"{len(rows)} lines in {path}"
    assert {"count", "part", "value", "look for", "why"} <= set(rows[0])
    (limit,) = [row for row in rows if row["names"] == "TS1"]
    assert "Manual reset" in limit["look for"]


def test_a_place_that_cannot_be_written_is_told() -> None:
    result = CliRunner().invoke(app, ["parts", "--out", "/nowhere/parts.csv"])
    assert result.exit_code == 2
    assert "/nowhere/parts.csv cannot be written" in result.output


@pytest.mark.parametrize("wrong", [("--variant", "shed"), ("--voltage", "110")])
def test_another_word_is_refused(wrong: tuple[str, str]) -> None:
    assert CliRunner().invoke(app, ["parts", *wrong]).exit_code != 0
