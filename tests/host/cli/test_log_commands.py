"""glossbath log: what is listed, shown, checked, exported, reported and compared. The cycles here
are invented."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

import msgspec
import pytest
from typer.testing import CliRunner, Result

from glossbath import recipe
from glossbath.cli.app import app
from glossbath.keeper.cycle_writer import CycleHeader, CycleWriter

from ..record.sample import STARTED_NS, events, reading, record

DAY_NS = 86_400 * 10**9
# 1,700,000,000 s after the epoch is 2023-11-14 22:13:20 UTC (date -u -d @1700000000).
DAYS = ("2023-11-14", "2023-11-15", "2023-11-16")


def log(*words: str) -> Result:
    return CliRunner().invoke(app, ["log", *words])


def cycle(parent: Path, name: str, lot: str, rig: str, day: int, result: str) -> Path:
    """A short cycle that began some days after the first."""
    header = CycleHeader(
        rig=rig,
        virtual=False,
        engine="micropython rp2",
        board="e6614c311b5a2b23",
        firmware="0.1.0",
        recipe=recipe.load(name),
        started_ns=STARTED_NS + day * DAY_NS,
        batch_kg=1.0,
        lot=lot,
    )
    writer = CycleWriter(parent, header)
    plans = header.recipe.phases
    for number in range(50):
        told = reading(number)
        target_c = plans[told.phase_index].target_c
        told = msgspec.structs.replace(told, chocolate_c=target_c, target_c=target_c)
        writer.reading(told, number * 1000, "9c1f", header.started_ns, number * 10**9)
    if result:
        writer.finish(result, STARTED_NS + day * DAY_NS + 60 * 10**9)
    assert writer.close()
    return writer.folder


@pytest.fixture
def cycles(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Three cycles where this computer keeps them."""
    parent = tmp_path / "cycles"
    monkeypatch.setenv("GLOSSBATH_CYCLES", str(parent))
    cycle(parent, "dark", "A17", "left", 0, "complete")
    cycle(parent, "milk", "B2", "right", 1, "stopped")
    cycle(parent, "dark", "A18", "right", 2, "")
    return parent


def listed(*words: str) -> list[str]:
    """Lots of the cycles that are listed, in their order."""
    answer = log("list", "--json", *words)
    assert answer.exit_code == 0, answer.output
    return [one["lot"] for one in json.loads(answer.output)["cycles"]]


@pytest.mark.parametrize(
    ("words", "lots"),
    [
        ([], ["A18", "B2", "A17"]),
        (["--recipe", "dark"], ["A18", "A17"]),
        (["--result", "Stopped"], ["B2"]),
        (["--result", "cut short"], ["A18"]),
        (["--lot", "a17"], ["A17"]),
        (["--rig", "right"], ["A18", "B2"]),
        (["--rig", "right", "--recipe", "dark"], ["A18"]),
        (["--since", DAYS[1]], ["A18", "B2"]),
        (["--until", DAYS[1]], ["B2", "A17"]),
        (["--since", DAYS[1], "--until", DAYS[1]], ["B2"]),
        (["--since", "2024-01-01"], []),
    ],
)
def test_the_list_is_newest_first_and_filtered(
    cycles: Path, words: list[str], lots: list[str]
) -> None:
    assert listed(*words) == lots


def test_the_list_in_words_leads_to_each_cycle(cycles: Path) -> None:
    lines = log("list").output.splitlines()
    assert [line.split("  ")[1:] for line in lines] == [
        ["Dark", "cut short", "lot A18"],
        ["Milk", "stopped", "lot B2"],
        ["Dark", "complete", "lot A17"],
    ]
    for line in lines:
        assert log("show", line.split("  ")[0]).exit_code == 0
    # A name is short where its folder is the usual one, and whole where it is another.
    names = [line.split("  ")[0] for line in lines]
    whole = [
        line.split("  ")[0] for line in log("list", "--folder", str(cycles)).output.splitlines()
    ]
    assert whole == [str(cycles / name) for name in names]
    assert log("list", "--recipe", "white").output == "There are no such cycles.\n"


def test_the_list_is_made_from_the_folders_alone(cycles: Path, tmp_path: Path) -> None:
    kept = {path: path.read_bytes() for path in cycles.rglob("*") if path.is_file()}
    assert len(listed()) == 3
    assert {path: path.read_bytes() for path in cycles.rglob("*") if path.is_file()} == kept
    # Folders that were carried elsewhere, and one that was thrown away: nothing else knows them.
    moved = tmp_path / "carried"
    shutil.copytree(cycles, moved)
    shutil.rmtree(next(moved.glob("*milk*")))
    assert listed("--folder", str(moved)) == ["A18", "A17"]


def test_a_folder_that_is_no_cycle_does_not_spoil_the_list(cycles: Path) -> None:
    (cycles / "holiday pictures").mkdir()
    broken = next(cycles.glob("*milk*"))
    (broken / "datapackage.json").write_text("{ torn")
    assert listed() == ["A18", None, "A17"]
    assert "unreadable  cut short" in log("list").output


def test_a_cycle_is_shown(tmp_path: Path) -> None:
    folder = record(tmp_path)
    told = log("show", str(folder)).output
    assert told.startswith("Dark: complete on a VIRTUAL rig, firmware on micropython 1.29.0\n")
    assert "trip: Too hot." in told
    assert "cool" in told
    summary = json.loads(log("show", str(folder), "--json").output)
    assert (summary["recipe"], summary["readings"]) == ("Dark", 50)


def test_a_whole_record_is_said_to_be_whole(tmp_path: Path) -> None:
    folder = record(tmp_path)
    answer = log("check", str(folder))
    assert answer.exit_code == 0
    assert answer.output == "The record is whole and unchanged since its end.\n"
    assert json.loads(log("check", str(folder), "--json").output) == {
        "folder": str(folder),
        "whole": True,
        "problems": [],
    }


@pytest.mark.parametrize("name", ["readings.csv", "events.csv"])
def test_one_changed_digit_is_noticed(tmp_path: Path, name: str) -> None:
    folder = record(tmp_path)
    path = folder / name
    data = bytearray(path.read_bytes())
    place = next(at for at in range(len(data) - 20, 0, -1) if chr(data[at]).isdigit())
    data[place] = ord("1") if data[place] != ord("1") else ord("2")
    path.write_bytes(bytes(data))
    answer = log("check", str(folder))
    assert answer.exit_code == 1
    assert f"{name} was changed or cut after the cycle ended" in answer.output
    told = json.loads(log("check", str(folder), "--json").output)
    assert not told["whole"]


def test_a_missing_file_and_a_missing_end_are_noticed(tmp_path: Path) -> None:
    folder = record(tmp_path / "a")
    (folder / "events.csv").unlink()
    answer = log("check", str(folder))
    assert (answer.exit_code, answer.output) == (1, "events.csv is missing.\n")
    answer = log("check", str(record(tmp_path / "b", result="")))
    assert answer.exit_code == 1
    assert "The record has no end: the cycle was cut short." in answer.output


def test_readings_are_exported_as_they_were_recorded(tmp_path: Path) -> None:
    out = tmp_path / "out.csv"
    answer = log("export", str(record(tmp_path / "cycles")), str(out))
    assert (answer.exit_code, answer.output) == (0, f"50 readings in {out}\n")
    with out.open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 50
    assert float(rows[3]["chocolate_c"]) == reading(3).chocolate_c
    assert rows[6]["chocolate_c"] == ""


def test_a_report_is_written_beside_the_record_and_does_not_change_it(tmp_path: Path) -> None:
    folder = record(tmp_path)
    answer = log("report", str(folder), "--heater-w", "250")
    assert answer.output == f"{folder / 'report.html'}\n"
    page = (folder / "report.html").read_text(encoding="utf-8")
    for event in events()[1:]:
        assert event.kind in page
    assert "W h" in page
    assert log("check", str(folder)).exit_code == 0


def test_holds_are_compared(cycles: Path, tmp_path: Path) -> None:
    cycle(cycles, "dark", "A19", "left", 3, "complete")
    out = tmp_path / "compare.html"
    answer = log("compare", "--recipe", "dark", "--out", str(out))
    assert answer.exit_code == 0
    assert answer.output.startswith("2 holds: mean working temperature")
    assert "too few to judge" in answer.output
    assert "Cycles of dark" in out.read_text(encoding="utf-8")
    told = json.loads(log("compare", "--recipe", "dark", "--json").output)
    assert len(told["folders"]) == 2


NOWHERE = "nowhere"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["show", NOWHERE], "nowhere cannot be opened: No such file or directory; give the"),
        (["check", NOWHERE], "nowhere cannot be opened"),
        (["report", NOWHERE], "nowhere cannot be opened"),
        (["export", NOWHERE, "out.csv"], "nowhere cannot be opened"),
        (["export", NOWHERE, "out.xls"], "out.xls must end in .csv or .parquet"),
        (["report", NOWHERE, "--heater-w", "0"], "--heater-w is 0: it must be from 1 to 3000 W."),
        (["report", NOWHERE, "--heater-w", "nan"], "--heater-w is nan: it must be from"),
        (["list", "--result", "good"], "--result is 'good': it must be complete, stopped,"),
        (["list", "--since", "1.3.26"], "--since is '1.3.26': it must be a day as year, month"),
        (["list", "--until", "2026-02-30"], "--until is '2026-02-30': it must be a day"),
        (["compare", "--recipe", "none"], "0 complete cycles of this recipe were found"),
    ],
)
def test_bad_input_gets_one_clear_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], sentence: str
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("GLOSSBATH_CYCLES", str(tmp_path / "none"))
    answer = log(*words)
    assert answer.exit_code not in (0, None)
    assert sentence in " ".join(answer.output.split())
    assert len(answer.output.strip().splitlines()) == 1
    assert not list(tmp_path.iterdir())


def test_a_folder_without_a_cycle_is_named(tmp_path: Path) -> None:
    answer = log("show", str(tmp_path))
    assert f"{tmp_path} is not the folder of a cycle; it should contain" in answer.output
