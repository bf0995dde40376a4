"""Readings for other programs: the same values, and never over a file that is there."""

from __future__ import annotations

from pathlib import Path

import pandas
import pytest

from glossbath.errors import InputError, LogError
from glossbath.record.export import export_readings

from .sample import record


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return record(tmp_path / "cycles")


def _agrees(found: pandas.DataFrame, folder: Path) -> None:
    whole = pandas.read_csv(folder / "readings.csv")
    assert list(found.columns) == list(whole.columns)
    assert list(found["bath_c"]) == list(whole["bath_c"])
    assert list(found["phase"]) == list(whole["phase"])
    assert found["chocolate_c"].isna().sum() == 7


def test_what_is_exported_is_what_was_recorded(folder: Path, tmp_path: Path) -> None:
    assert export_readings(folder, tmp_path / "out.csv") == 50
    _agrees(pandas.read_csv(tmp_path / "out.csv"), folder)


def test_parquet_gets_the_same_columns(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    given: list[tuple[pandas.DataFrame, Path]] = []
    monkeypatch.setattr(
        pandas.DataFrame, "to_parquet", lambda frame, out: given.append((frame, out))
    )
    assert export_readings(folder, tmp_path / "out.parquet") == 50
    ((frame, out),) = given
    assert out == tmp_path / "out.parquet"
    _agrees(frame, folder)


def test_what_parquet_needs_and_has_not_is_said(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing(frame: object, out: Path) -> None:
        raise ImportError("pyarrow")

    monkeypatch.setattr(pandas.DataFrame, "to_parquet", missing)
    with pytest.raises(InputError, match=r"needs pyarrow: install it with pip, or use \.csv"):
        export_readings(folder, tmp_path / "out.parquet")


@pytest.mark.parametrize("name", ["out.csv", "out.parquet"])
def test_a_file_that_is_there_stays_as_it_is(folder: Path, tmp_path: Path, name: str) -> None:
    out = tmp_path / name
    out.write_text("somebody's own")
    with pytest.raises(InputError, match="exists already: choose another name"):
        export_readings(folder, out)
    assert out.read_text() == "somebody's own"


@pytest.mark.parametrize("name", ["out.xlsx", "out", "out.CSV2"])
def test_another_ending_is_refused_before_anything_is_read(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match=r"must end in \.csv or \.parquet"):
        export_readings(tmp_path / "nowhere", tmp_path / name)


def test_a_place_that_takes_nothing_is_told(folder: Path, tmp_path: Path) -> None:
    with pytest.raises(LogError, match="cannot be written: No such file or directory"):
        export_readings(folder, tmp_path / "nowhere" / "out.csv")
