"""What a past cycle tells: its summary, its columns, and the list of all cycles."""

from __future__ import annotations

import errno
import fcntl
import json
import math
import shutil
from pathlib import Path

import pytest

from glossbath.errors import LogError
from glossbath.keeper.cycle_writer import CycleWriter
from glossbath.record import default_folder, list_cycles, open_cycle
from glossbath.record.summary import result_in_words

from .sample import STARTED_NS, cut_copy, header, record


def test_summary_of_the_phases(tmp_path: Path) -> None:
    summary = open_cycle(record(tmp_path)).summary()
    assert [phase["name"] for phase in summary["phases"]] == [
        "melt",
        "soak",
        "cool",
        "reheat",
        "hold",
    ]
    # By hand: melt is readings 0 to 9 of 28 + n/8 °C without n = 6; their n sum to 39.
    assert summary["phases"][0] == {
        "name": "melt",
        "start_s": 0.0,
        "end_s": 9.0,
        "min_c": 28.0,
        "max_c": 29.125,
        "mean_c": round(28 + 39 / 9 / 8, 3),
    }
    assert summary["trips"] == [{"time_s": 30.5, "code": "chocolate-hot", "text": "Too hot."}]
    assert (summary["result"], summary["virtual"], summary["readings"]) == ("complete", True, 50)
    json.dumps(summary)


def test_a_phase_without_a_good_value_has_no_temperatures(tmp_path: Path) -> None:
    folder = record(tmp_path)
    lines = (folder / "readings.csv").read_text("utf-8").splitlines(keepends=True)
    (folder / "readings.csv").write_text(lines[0] + lines[7], "utf-8")
    assert open_cycle(folder).summary()["phases"] == [
        {
            "name": "melt",
            "start_s": 6.0,
            "end_s": 6.0,
            "min_c": None,
            "max_c": None,
            "mean_c": None,
        }
    ]


def test_a_cycle_without_an_end_was_cut_short(tmp_path: Path) -> None:
    summary = open_cycle(record(tmp_path, result="")).summary()
    assert summary["result"] == "cut short"
    assert summary["ended"] is None
    assert summary["not_written"] == 0  # nobody knows of a row that was lost
    assert summary["readings"] == 50


def test_columns_are_arrays_of_one_length(tmp_path: Path) -> None:
    columns = open_cycle(record(tmp_path)).columns("time_s", "chocolate_c", "phase")
    assert columns["time_s"][-1] == 49.0
    assert math.isnan(columns["chocolate_c"][6])
    assert columns["phase"][49] == "hold"
    assert {len(column) for column in columns.values()} == {50}


def test_unknown_column_is_refused(tmp_path: Path) -> None:
    with pytest.raises(LogError, match="no column 'colour'"):
        open_cycle(record(tmp_path)).columns("colour")


def test_cycles_are_listed_newest_first(tmp_path: Path) -> None:
    for day in (2, 1, 3):
        writer = CycleWriter(tmp_path, header(started_ns=STARTED_NS + day * 86_400 * 10**9))
        assert writer.close()
    assert [entry["started"][:10] for entry in list_cycles(tmp_path)] == [
        "2023-11-17",
        "2023-11-16",
        "2023-11-15",
    ]


def test_the_list_needs_only_the_package_and_tells_what_is_wrong(tmp_path: Path) -> None:
    whole = record(tmp_path)
    cut = cut_copy(whole, tmp_path / "2023-11-14_22-13-19_utc_dark_aaaa", {"datapackage.json": 99})
    (whole / "readings.csv").unlink()
    (tmp_path / "something else").mkdir()
    (tmp_path / "notes.txt").write_text("not a cycle")
    first, second = list_cycles(tmp_path)
    assert first["folder"] == str(whole)
    assert (first["result"], first["recipe"], first["virtual"]) == ("complete", "Dark", True)
    assert (first["readings"], first["problem"]) == (50, "")
    assert second["folder"] == str(cut)
    assert second["result"] == "cut short"
    assert "cut or damaged" in second["problem"]


def test_a_package_of_exactly_the_longest_size_is_read(tmp_path: Path) -> None:
    path = record(tmp_path) / "datapackage.json"
    path.write_bytes(path.read_bytes().ljust(1 << 20))
    assert open_cycle(path.parent).result == "complete"
    path.write_bytes(path.read_bytes() + b" ")
    assert "longer than 1048576 bytes" in open_cycle(path.parent).problems[0]


@pytest.mark.parametrize("kept", ["readings", "events"])
@pytest.mark.parametrize(("word", "virtual"), [(b"true", True), (b"false", False), (b"?", None)])
def test_a_table_alone_still_says_whether_chocolate_was_there(
    tmp_path: Path, kept: str, word: bytes, virtual: bool | None
) -> None:
    whole = record(tmp_path)
    alone = tmp_path / "of somebody"
    alone.mkdir()
    table = (whole / f"{kept}.csv").read_bytes().replace(b",true,", b"," + word + b",")
    (alone / f"{kept}.csv").write_bytes(table)
    assert open_cycle(alone).virtual is virtual


@pytest.mark.parametrize(
    ("result", "not_written", "words"),
    [
        ("complete", 0, "complete"),
        ("complete", 3, "complete, record incomplete"),
        ("tripped", 1, "tripped, record incomplete"),
        ("running", 3, "running"),
        ("cut short", 3, "cut short"),
        ("cut short", None, "cut short"),
    ],
)
def test_how_a_cycle_ended_is_said_with_what_its_record_lacks(
    result: str, not_written: int | None, words: str
) -> None:
    assert result_in_words({"result": result, "not_written": not_written}) == words


def test_only_a_folders_name_is_left_to_say_it(tmp_path: Path) -> None:
    for name in ("2023-11-14_22-13-20_utc_dark_virtual_aaaa", "2023-11-14_22-13-20_utc_dark_aaaa"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "datapackage.json").write_text("{")
    real, virtual = list_cycles(tmp_path)[::-1]
    assert (real["virtual"], virtual["virtual"]) == (None, True)


def test_damaged_events_are_counted_beside_damaged_readings(tmp_path: Path) -> None:
    folder = record(tmp_path)
    readings, events = folder / "readings.csv", folder / "events.csv"
    readings.write_bytes(readings.read_bytes().replace(b"30.062", b"30.O62", 2))
    events.write_bytes(events.read_bytes().replace(b"\n12.0,", b"\n1Z.0,"))
    summary = open_cycle(folder).summary()
    assert summary["damaged"] == 3
    assert len(open_cycle(folder).events()) == 2


@pytest.mark.parametrize("lost", ["folder", "locks"])
def test_a_cycle_is_not_called_running_where_nothing_can_tell(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lost: str
) -> None:
    cycle = open_cycle(record(tmp_path, result=""))
    if lost == "folder":
        shutil.rmtree(cycle.folder)
    else:

        def refuse(file: int, how: int) -> None:
            raise OSError(errno.ENOLCK, "No locks available")

        monkeypatch.setattr(fcntl, "flock", refuse)
    assert cycle.result == "cut short"


def test_why_a_folder_cannot_be_opened_is_said(tmp_path: Path) -> None:
    with pytest.raises(LogError, match="cannot be opened: No such file or directory; give the"):
        open_cycle(tmp_path / "none")
    with pytest.raises(LogError, match=r"cannot be opened: .*null byte; give the folder"):
        open_cycle("nul\0byte")
    with pytest.raises(LogError, match=r"cannot be listed: .*null byte; give the folder"):
        list_cycles("nul\0byte")


def test_no_cycles_yet_is_an_empty_list(tmp_path: Path) -> None:
    assert list_cycles(tmp_path / "not yet") == []
    (tmp_path / "file").write_text("")
    with pytest.raises(LogError, match="cannot be listed"):
        list_cycles(tmp_path / "file")


def test_a_package_of_absurd_size_is_not_read(tmp_path: Path) -> None:
    folder = record(tmp_path)
    (folder / "datapackage.json").write_bytes(b" " * 2_000_000)
    assert "longer than" in list_cycles(tmp_path)[0]["problem"]


def test_the_folder_can_be_chosen_by_the_environment(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.delenv("GLOSSBATH_CYCLES", raising=False)
    assert default_folder().parts[-2:] == ("glossbath", "cycles")
    monkeypatch.setenv("GLOSSBATH_CYCLES", str(tmp_path))
    assert default_folder() == tmp_path
