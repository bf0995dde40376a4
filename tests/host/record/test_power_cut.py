"""After a power cut the disk has what was waited for, and nothing else is sure: fsync(2).

A new file is found again only when the folder that lists it was waited for too.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from patience import until

from glossbath.keeper.cycle_writer import CycleWriter
from glossbath.record import open_cycle
from glossbath.record.folder import new_folder
from glossbath.record.scribe import Scribe

from .sample import ENDED_NS, header, put


@pytest.fixture
def waited(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What the program waited for, as paths, in turn."""
    paths: list[str] = []
    real = os.fsync

    def fsync(file: int) -> None:
        paths.append(os.readlink(f"/proc/self/fd/{file}"))
        real(file)

    monkeypatch.setattr(os, "fsync", fsync)
    return paths


needs_proc = pytest.mark.skipif(
    not Path("/proc/self/fd").exists(), reason="needs Linux to name a descriptor's file"
)


@needs_proc
def test_a_record_that_has_begun_is_found_after_a_power_cut(
    tmp_path: Path, waited: list[str]
) -> None:
    folder = new_folder(tmp_path, header())
    names = [Path(path).name for path in waited]
    for name in ("readings.csv", "events.csv", "datapackage.json.new"):
        assert name in names
    # The list of the record's own files, after them, and the list that has the record itself.
    own = max(at for at, path in enumerate(waited) if path == str(folder.path))
    assert own > max(names.index(name) for name in ("readings.csv", "events.csv"))
    assert str(tmp_path) in waited[own:]
    folder.close()


@needs_proc
def test_every_sync_waits_for_both_tables(tmp_path: Path, waited: list[str]) -> None:
    folder = new_folder(tmp_path, header())
    waited.clear()
    folder.append("readings", [b"1\n"])
    folder.append("events", [b"1\n"])
    folder.sync()
    assert {Path(path).name for path in waited} == {"readings.csv", "events.csv"}
    folder.close()


@needs_proc
def test_a_cycle_has_the_disk_take_its_readings_each_second(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[float] = []
    monkeypatch.setattr(Scribe, "sync", lambda _: asked.append(now_s))
    writer = CycleWriter(tmp_path, header())
    for now_s in (5.0, 5.5, 5.999, 6.0, 6.999, 7.0, 3.0):  # the last: a clock that went back
        writer.sync(now_s)
    assert asked == [5.0, 6.0, 7.0, 3.0]
    writer.close()


@needs_proc
def test_each_second_the_disk_takes_both_tables_and_the_end_after_them(
    tmp_path: Path, waited: list[str]
) -> None:
    writer = CycleWriter(tmp_path, header())
    waited.clear()
    for second in range(3):
        put(writer, second)
        writer.sync(float(second))
        until(lambda: {"readings.csv", "events.csv"} <= {Path(path).name for path in waited})
        waited.clear()
    put(writer, 3)
    writer.finish("complete", ENDED_NS)
    until(lambda: open_cycle(writer.folder).result == "complete")
    names = [Path(path).name for path in waited]
    assert names.index("readings.csv") < names.index("datapackage.json.new")
    assert writer.close()
    # The new file has its name only once the folder was waited for.
    assert waited.index(str(writer.folder)) > names.index("datapackage.json.new")
