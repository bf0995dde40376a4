"""How a record begins: a folder of its own, and nothing left where that fails."""

from __future__ import annotations

import errno
import json
import os
import re
import shutil
import stat
import uuid
from pathlib import Path

import msgspec
import pytest
from patience import until

from glossbath.errors import InputError, LogError
from glossbath.keeper.cycle_writer import CycleWriter
from glossbath.record import open_cycle
from glossbath.record.folder import new_folder

from .sample import ENDED_NS, header, put, record

needs_proc = pytest.mark.skipif(
    not Path("/proc/self/fd").exists(), reason="needs Linux to name a descriptor's file"
)


def open_files(below: Path) -> list[str]:
    """What this process has open in a folder."""
    paths = []
    for name in os.listdir("/proc/self/fd"):
        try:
            paths.append(os.readlink(f"/proc/self/fd/{name}"))
        except OSError:
            continue  # the list's own
    return sorted(path for path in paths if path.startswith(str(below)))


def test_the_name_tells_moment_recipe_and_rig_and_stays_short(tmp_path: Path) -> None:
    long = msgspec.structs.replace(header().recipe, name="Sehr dünnflüssig " * 9)
    folder = new_folder(tmp_path, msgspec.structs.replace(header(), recipe=long))
    folder.close()
    assert re.fullmatch(
        r"2023-11-14_22-13-20_utc_sehr-dunnflussig-sehr-dunnflus_virtual_[0-9a-f]{4}",
        folder.path.name,
    )


def test_a_data_folder_that_is_not_there_yet_is_made(tmp_path: Path) -> None:
    writer = CycleWriter(tmp_path / "share" / "glossbath" / "cycles", header())
    assert writer.close()
    assert writer.folder.parent == tmp_path / "share" / "glossbath" / "cycles"


def test_two_cycles_that_draw_the_same_name_do_not_share_a_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn = iter([uuid.UUID(int=1), uuid.UUID(int=1), uuid.UUID(int=1 << 120)])
    monkeypatch.setattr(uuid, "uuid4", lambda: next(drawn))
    one, other = new_folder(tmp_path, header()), new_folder(tmp_path, header())
    one.close()
    other.close()
    assert one.path != other.path
    assert len(list(tmp_path.iterdir())) == 2


@needs_proc
def test_a_disk_that_takes_nothing_is_told_and_keeps_no_half_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(file: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", refuse)
    with pytest.raises(LogError, match="No space left on device; choose another folder or make"):
        CycleWriter(tmp_path, header())
    assert list(tmp_path.iterdir()) == []
    monkeypatch.undo()
    # The readings were there already when the second table was refused.
    real, asked = os.fsync, []

    def refuse_later(file: int) -> None:
        asked.append(os.readlink(f"/proc/self/fd/{file}"))
        if asked[-1].endswith("events.csv"):
            raise OSError(errno.EIO, "Input/output error")
        real(file)

    monkeypatch.setattr(os, "fsync", refuse_later)
    with pytest.raises(LogError, match="Input/output error"):
        CycleWriter(tmp_path, header())
    assert list(tmp_path.iterdir()) == []
    assert open_files(tmp_path) == []


@needs_proc
def test_a_keeper_of_many_cycles_keeps_no_file_of_them_open(tmp_path: Path) -> None:
    writer = CycleWriter(tmp_path, header())
    for number in range(40):
        put(writer, number)
        writer.sync(float(number))
        until(lambda n=number: writer._scribe._settled > n)  # type: ignore[misc]
    held = open_files(writer.folder)
    assert len(held) == 3  # both tables, and the mark of a running cycle
    writer.finish("complete", ENDED_NS)
    assert writer.close()
    assert open_cycle(writer.folder).result == "complete"
    shutil.copytree(writer.folder, tmp_path / "cut")
    (tmp_path / "cut" / "datapackage.json").unlink()
    assert open_cycle(tmp_path / "cut").result == "cut short"
    assert open_files(tmp_path) == []


def test_a_folder_that_was_taken_away_is_made_again_for_its_owner_alone(tmp_path: Path) -> None:
    folder = new_folder(tmp_path / "cycles", header())
    folder.close()
    shutil.rmtree(folder.path)
    before = os.umask(0)
    try:
        folder.open()
    finally:
        os.umask(before)
    folder.close()
    assert stat.S_IMODE(folder.path.stat().st_mode) == 0o700


@pytest.mark.parametrize("started_ns", [0, (1 << 63) - 1])
def test_a_cycle_may_begin_whenever_its_clock_can_say(tmp_path: Path, started_ns: int) -> None:
    # Nanoseconds in 64 bits end on 11 April 2262: GNU date -u -d @9223372036.
    folder = new_folder(tmp_path, header(started_ns=started_ns))
    folder.close()
    assert folder.path.name[:10] == ("2262-04-11" if started_ns else "1970-01-01")


@pytest.mark.parametrize("started_ns", [-1, 1 << 63])
def test_a_clock_that_says_what_cannot_be_is_told_with_both_limits(
    tmp_path: Path, started_ns: int
) -> None:
    with pytest.raises(InputError) as refused:
        new_folder(tmp_path, header(started_ns=started_ns))
    assert f"start is {started_ns} ns since 1970" in str(refused.value)
    assert "must be from 0 to 9223372036854775807 ns" in str(refused.value)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("batch_kg", [0.0, 0.05])
def test_a_batch_may_be_as_small_as_nothing(tmp_path: Path, batch_kg: float) -> None:
    folder = new_folder(tmp_path, msgspec.structs.replace(header(), batch_kg=batch_kg))
    folder.close()
    facts = open_cycle(folder.path).facts
    assert facts is not None and facts.batch_kg == batch_kg


def test_the_end_is_written_once_with_the_size_of_both_tables(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    replaced: list[str] = []
    real = os.replace

    def replace(old: Path, new: Path) -> None:
        replaced.append(Path(new).name)
        real(old, new)

    monkeypatch.setattr(os, "replace", replace)
    folder = record(tmp_path)
    # Once when it begins and once when it ends: each wears a memory card and may be cut.
    assert replaced.count("datapackage.json") == 2
    for table in json.loads((folder / "datapackage.json").read_text("utf-8"))["resources"]:
        assert table["bytes"] == (folder / table["path"]).stat().st_size
