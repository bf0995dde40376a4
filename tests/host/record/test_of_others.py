"""A record is safe to look at, whoever wrote what stands in it; and what a running one is."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pandas
import pytest
from typer.testing import CliRunner

from glossbath.cli.app import app
from glossbath.client.messages import Event
from glossbath.keeper.cycle_writer import CycleWriter
from glossbath.record import list_cycles, open_cycle

from .sample import ENDED_NS, header, put, record

# OWASP, "CSV Injection": what makes a spreadsheet take a cell for a formula.
FORMULAS = ["=1+2", "+1", "-3 °C outside", "@SUM(A1)", "=cmd|' /C calc'!A0", "Text: =1"]


def _noted(folder: Path, text: str) -> Path:
    writer = CycleWriter(folder, header())
    put(writer, 0)
    writer.event(Event(1.0, "2023-11-14T22:13:20Z", "note", "note", text))
    writer.finish("complete", ENDED_NS)
    assert writer.close()
    return writer.folder


@pytest.mark.parametrize("text", FORMULAS)
def test_a_note_is_text_in_a_spreadsheet_and_in_pandas(tmp_path: Path, text: str) -> None:
    folder = _noted(tmp_path, text)
    frame = pandas.read_csv(folder / "events.csv")
    (cell,) = frame["text"]
    assert cell.endswith(text)
    assert cell[0] not in "=+-@"
    (event,) = open_cycle(folder).events()
    assert event.text == text


def test_escape_sequences_of_a_record_never_reach_the_terminal(tmp_path: Path) -> None:
    folder = _noted(tmp_path, "plain")
    # As somebody else may have written it, by a program of their own.
    package = folder / "datapackage.json"
    evil = '"\\u001b[2J\\u001b]0;owned\\u0007dark"'
    package.write_text(package.read_text().replace('"Dark"', evil))
    events = folder / "events.csv"
    events.write_bytes(events.read_bytes().replace(b"plain", b"\x1b[31mred\x9b2J"))
    for command in (
        ["log", "list", "--folder", str(tmp_path)],
        ["log", "show", str(folder)],
        ["log", "check", str(folder)],
    ):
        output = CliRunner().invoke(app, command).output
        assert output
        assert not [c for c in output if not c.isprintable() and c != "\n"], command


def test_a_running_cycle_is_listed_as_running(tmp_path: Path) -> None:
    writer = CycleWriter(tmp_path, header())
    put(writer, 0)
    (entry,) = list_cycles(tmp_path)
    assert entry["result"] == "running"
    assert open_cycle(writer.folder).summary()["result"] == "running"
    listed = CliRunner().invoke(app, ["log", "list", "--folder", str(tmp_path)])
    assert "running" in listed.output and "cut short" not in listed.output
    checked = CliRunner().invoke(app, ["log", "check", str(writer.folder)])
    assert "the cycle runs" in checked.output
    writer.finish("complete", ENDED_NS)
    assert writer.close()
    assert list_cycles(tmp_path)[0]["result"] == "complete"


def test_a_cycle_whose_process_was_killed_is_cut_short(tmp_path: Path) -> None:
    script = (
        "import os, signal, sys\n"
        "sys.path.insert(0, sys.argv[1])\n"
        "from sample import *\n"
        "writer = CycleWriter(sys.argv[2], header())\n"
        "os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    subprocess.run([sys.executable, "-c", script, str(Path(__file__).parent), str(tmp_path)])
    assert list_cycles(tmp_path)[0]["result"] == "cut short"


@pytest.mark.parametrize("umask", [0o000, 0o022])
def test_a_record_is_its_owners_alone(tmp_path: Path, umask: int) -> None:
    before = os.umask(umask)
    try:
        folder = record(tmp_path / "cycles")
    finally:
        os.umask(before)
    for path in (folder.parent, folder, *folder.iterdir()):
        assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0, path


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A real file system of half a megabyte, where this machine lets a test mount one."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=512k", "tmpfs", str(place)], capture_output=True
    )
    if mounted.returncode:
        pytest.skip("a file system can be mounted by root only")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def test_a_cycle_that_completes_on_a_full_disk_is_complete(small_disk: Path) -> None:
    writer = CycleWriter(small_disk, header())
    put(writer, 0)
    hog = os.open(small_disk / "hog", os.O_WRONLY | os.O_CREAT)
    with pytest.raises(OSError, match="No space left"):
        while True:
            os.write(hog, bytes(4096))
    os.close(hog)
    for number in range(1, 3_000):
        put(writer, number)
    writer.finish("complete", ENDED_NS)
    assert writer.close()
    cycle = open_cycle(writer.folder)
    assert cycle.result == "complete"
    assert cycle.facts is not None and cycle.facts.not_written > 0
    listed = CliRunner().invoke(app, ["log", "list", "--folder", str(small_disk)])
    assert "complete, record incomplete" in listed.output


def test_a_reserve_leaves_nothing_behind(tmp_path: Path) -> None:
    folder = record(tmp_path)
    assert sorted(path.name for path in folder.iterdir()) == [
        "datapackage.json",
        "events.csv",
        "readings.csv",
    ]
    assert msgspec.json.decode((folder / "datapackage.json").read_bytes())
