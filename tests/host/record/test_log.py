"""What is written: one folder a cycle that pandas reads and the Data Package standard accepts."""

from __future__ import annotations

import json
from pathlib import Path

import frictionless
import msgspec
import pandas as pd
import pytest

from glossbath import recipe
from glossbath.errors import InputError, LogError
from glossbath.keeper.cycle_writer import CycleWriter
from glossbath.record import CycleHeader, open_cycle

from .sample import ENDED_NS, STARTED_NS, events, header, put, reading, record


def test_pandas_reads_the_readings(tmp_path: Path) -> None:
    folder = record(tmp_path)
    table = pd.read_csv(folder / "readings.csv", parse_dates=["utc"])
    assert list(table["time_s"]) == [float(number) for number in range(50)]
    assert table["chocolate_c"].isna().sum() == 7
    assert table["chocolate_c"].max() == 28.0 + 49 / 8
    assert str(table["utc"].dtype.tz) == "UTC"
    assert table["virtual"].all()
    assert table["wall_ns"][49] == STARTED_NS + 49_000_000_000
    assert table["board_ticks_ms"][49] == 54_000
    assert set(table["phase"]) == {"melt", "soak", "cool", "reheat", "hold"}


def test_pandas_reads_the_events(tmp_path: Path) -> None:
    table = pd.read_csv(record(tmp_path) / "events.csv")
    assert list(table["kind"]) == ["phase", "note", "trip"]
    assert table["text"][1] == 'Smells "good", looks good; über 1 kg'
    assert json.loads(table["values"][2]) == {"limit_c": 52.0, "deep": [1]}


@pytest.mark.parametrize("result", ["complete", "stopped", "tripped", ""])
def test_frictionless_accepts_the_package(tmp_path: Path, result: str) -> None:
    folder = record(tmp_path, result=result)
    report = frictionless.Package(str(folder / "datapackage.json")).validate()
    assert report.valid, report.flatten(["type", "note"])
    assert [task.stats["rows"] for task in report.tasks] == [50, 3]


def test_frictionless_notices_a_change_after_the_end(tmp_path: Path) -> None:
    folder = record(tmp_path)
    path = folder / "readings.csv"
    path.write_bytes(path.read_bytes().replace(b"30.062", b"30.063", 1))
    report = frictionless.Package(str(folder / "datapackage.json")).validate()
    assert "hash-count" in str(report.flatten(["type"]))


def test_every_column_has_a_meaning_and_every_quantity_a_unit(tmp_path: Path) -> None:
    package = json.loads((record(tmp_path) / "datapackage.json").read_text("utf-8"))
    for resource in package["resources"]:
        first = (tmp_path / package["name"] / resource["path"]).read_text("utf-8").partition("\n")
        fields = resource["schema"]["fields"]
        assert [field["name"] for field in fields] == first[0].split(",")
        assert all(field["description"] for field in fields)
        assert all(field["unit"] for field in fields if field["type"] == "number")


def test_the_package_says_what_was_run_on_what(tmp_path: Path) -> None:
    package = json.loads((record(tmp_path) / "datapackage.json").read_text("utf-8"))
    cycle = package["cycle"]
    assert cycle["virtual"] is True
    assert "no chocolate was there" in package["description"]
    assert cycle["engine"] == "micropython 1.29.0"
    assert cycle["board"] == "e6614c311b5a2b23"
    assert cycle["lot"] == 'L-7 "north"'
    assert cycle["batch_kg"] == 1.5
    # 1,700,000,000 s after 1970 UTC: GNU date -u -d @1700000000.
    assert cycle["started"] == "2023-11-14T22:13:20Z"
    assert cycle["ended"] == "2023-11-14T22:14:20Z"
    assert cycle["software"].startswith("glossbath ")
    assert cycle["recipe"]["phases"][0]["target_c"] == 48.0
    assert cycle["rows"] == {"readings": 50, "events": 3}


def test_the_folder_name_tells_date_recipe_and_virtual_rig(tmp_path: Path) -> None:
    name = record(tmp_path).name
    assert name.startswith("2023-11-14_22-13-20_utc_dark_virtual_")
    real = CycleWriter(tmp_path, header(virtual=False))
    assert real.close()
    assert "virtual" not in real.folder.name


def test_cycles_of_the_same_second_get_folders_of_their_own(tmp_path: Path) -> None:
    writers = [CycleWriter(tmp_path, header()) for _ in range(20)]
    assert all(writer.close() for writer in writers)
    assert len({writer.folder for writer in writers}) == 20


def test_what_was_written_is_read_back(tmp_path: Path) -> None:
    cycle = open_cycle(record(tmp_path))
    assert list(cycle.readings()) == [reading(number) for number in range(50)]
    first, note, trip = events()
    assert cycle.events()[0] == first
    assert cycle.events()[1].text == note.text.replace("\n", " ")
    assert cycle.events()[2] == trip
    assert cycle.facts is not None
    assert cycle.facts.recipe == recipe.load("dark")


def test_no_value_breaks_the_table(tmp_path: Path) -> None:
    odd = reading(0)
    nan = float("nan")
    writer = CycleWriter(tmp_path, header())
    writer.reading(
        msgspec.structs.replace(
            odd,
            chocolate_c=nan,
            bath_c=float("inf"),
            state='a,"b"\r\n\0\udcff',
            faults={"x;y": "a=b\n"},
        ),
        0,
        "boot\n1",
        STARTED_NS,
        0,
    )
    event = events()[0]
    writer.event(msgspec.structs.replace(event, text="\udcff\n\0", values={"a": "\udcff"}))
    writer.event(msgspec.structs.replace(event, values={"a": {1, 2}, "n": nan}))
    writer.finish("stopped", ENDED_NS)
    assert writer.close()
    assert writer.failure == ""
    cycle = open_cycle(writer.folder)
    assert next(cycle.readings()).chocolate_c is None
    assert len(cycle.events()) == 2
    report = frictionless.Package(str(writer.folder / "datapackage.json")).validate()
    assert report.valid, report.flatten(["type", "note"])


def test_rows_after_the_end_are_counted_and_not_written(tmp_path: Path) -> None:
    writer = CycleWriter(tmp_path, header())
    put(writer, 0)
    writer.finish("complete", ENDED_NS)
    put(writer, 1)
    assert writer.close()
    put(writer, 2)
    writer.event(events()[0])
    assert writer.unwritten == 3
    assert len(list(open_cycle(writer.folder).readings())) == 1


def test_a_row_after_a_record_was_closed_without_its_end_is_counted_too(tmp_path: Path) -> None:
    writer = CycleWriter(tmp_path, header())
    put(writer, 0)
    assert writer.close()
    put(writer, 1)
    assert writer.unwritten == 1
    assert len(list(open_cycle(writer.folder).readings())) == 1


def test_a_cycle_cannot_end_in_an_unknown_way(tmp_path: Path) -> None:
    writer = CycleWriter(tmp_path, header())
    with pytest.raises(InputError, match="complete, stopped, tripped"):
        writer.finish("ok", ENDED_NS)
    assert writer.close()


def test_a_folder_that_cannot_be_made_is_told_at_the_start(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(LogError, match="choose another folder"):
        CycleWriter(tmp_path / "file", header())
    with pytest.raises(LogError, match="choose another folder"):
        CycleWriter("nul\0byte", header())


@pytest.mark.parametrize("batch_kg", [float("nan"), float("inf"), -1.0])
def test_an_absurd_batch_is_refused(tmp_path: Path, batch_kg: float) -> None:
    bad: CycleHeader = msgspec.structs.replace(header(), batch_kg=batch_kg)
    with pytest.raises(InputError, match="kg"):
        CycleWriter(tmp_path, bad)
    with pytest.raises(InputError, match="clock"):
        CycleWriter(tmp_path, header(started_ns=-1))
