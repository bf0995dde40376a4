"""A disk that is full, gone or slow costs rows of the record and nothing else."""

from __future__ import annotations

import itertools
import json
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import frictionless
import pytest
from patience import PATIENCE_S, until

from glossbath.keeper.cycle_writer import CycleWriter
from glossbath.record import open_cycle
from glossbath.record.folder import new_folder
from glossbath.record.scribe import Scribe

from .awkward_folder import AwkwardFolder
from .sample import ENDED_NS, events, header, put, record

posix = pytest.mark.skipif(sys.platform == "win32", reason="needs limits and signals of POSIX")

# The limit on a file's size makes the kernel refuse writes in the middle of a line, as a full
# disk does; raising it again is what making room is.
FULL_DISK = """
import json, resource, sys
sys.path.insert(0, sys.argv[1])
from sample import *

hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[3]), hard))
writer = CycleWriter(sys.argv[2], header())
number, told = 0, ""
while not told and number < 100_000:
    put(writer, number)
    number += 1
    told = writer.failure
while number < 10 or number % 10:
    put(writer, number)
    number += 1
if sys.argv[4] == "room":
    resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
    while writer.failure:
        writer.sync(number)
        put(writer, number)
        number += 1
writer.event(events()[2])
writer.finish("complete", ENDED_NS)
closed = writer.close()
print(json.dumps({
    "put": number, "told": told, "closed": closed, "failure": writer.failure,
    "unwritten": writer.unwritten, "folder": str(writer.folder),
}))
"""

NO_ROOM_AT_ALL = """
import resource, sys
sys.path.insert(0, sys.argv[1])
from sample import *
from glossbath.errors import LogError

resource.setrlimit(resource.RLIMIT_FSIZE, (5000, resource.RLIM_INFINITY))
try:
    CycleWriter(sys.argv[2], header())
except LogError as error:
    print(error)
"""

KILLED = """
import os, signal, sys
sys.path.insert(0, sys.argv[1])
from sample import *

writer = CycleWriter(sys.argv[2], header())
for number in range(1000):
    put(writer, number)
    if number == 500:
        writer.event(events()[0])
        for table, lines in (("events", 2), ("readings", 501)):
            while (writer.folder / f"{table}.csv").read_bytes().count(b"\\n") < lines:
                pass
        os.kill(os.getpid(), signal.SIGKILL)
"""


def run(script: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the script in a process of its own, which may find `sample` beside this file."""
    here = str(Path(__file__).parent)
    return subprocess.run(
        [sys.executable, "-c", script, here, *arguments],
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )


@posix
@pytest.mark.parametrize("limit_bytes", [12_001, 30_017, 50_500])
def test_a_disk_that_stays_full(tmp_path: Path, limit_bytes: int) -> None:
    process = run(FULL_DISK, str(tmp_path), str(limit_bytes), "full")
    assert process.returncode == 0, process.stderr
    told = json.loads(process.stdout)
    # "File too large" is what POSIX calls EFBIG, the refusal by this limit.
    assert "is not being written: File too large" in told["told"]
    assert "the rig goes on without it" in told["told"]
    assert told["closed"]
    cycle = open_cycle(told["folder"])
    times = [reading.time_s for reading in cycle.readings()]
    assert times == [float(number) for number in range(len(times))]
    assert len(times) > 30
    assert told["unwritten"] == told["put"] - len(times)
    assert len(cycle.events()) == 1
    summary = cycle.summary()
    assert (summary["result"], summary["damaged"]) == ("complete", 0)
    assert summary["not_written"] == told["unwritten"]
    assert cycle.problems == ()


@posix
def test_a_disk_that_is_full_from_the_start_is_told_and_keeps_no_half_folder(
    tmp_path: Path,
) -> None:
    process = run(NO_ROOM_AT_ALL, str(tmp_path))
    assert "No record of the cycle can be begun" in process.stdout, process.stderr
    assert "make room" in process.stdout
    assert list(tmp_path.iterdir()) == []


@posix
def test_a_disk_with_room_again(tmp_path: Path) -> None:
    process = run(FULL_DISK, str(tmp_path), "30017", "room")
    assert process.returncode == 0, process.stderr
    told = json.loads(process.stdout)
    assert told["told"]
    assert told["failure"] == ""
    cycle = open_cycle(told["folder"])
    times = [reading.time_s for reading in cycle.readings()]
    assert times[-1] == told["put"] - 1
    assert told["unwritten"] == told["put"] - len(times) > 0
    assert cycle.result == "complete"
    assert cycle.problems == ()
    assert cycle.summary()["not_written"] == told["unwritten"]
    report = frictionless.Package(str(Path(told["folder"]) / "datapackage.json")).validate()
    assert report.valid, report.flatten(["type", "note"])


@posix
def test_a_program_that_is_killed_leaves_a_record_that_opens(tmp_path: Path) -> None:
    process = run(KILLED, str(tmp_path))
    assert process.returncode == -signal.SIGKILL
    (folder,) = tmp_path.iterdir()
    cycle = open_cycle(folder)
    assert cycle.result == "cut short"
    assert len(list(cycle.readings())) >= 500
    assert len(cycle.events()) == 1


@posix
def test_a_folder_that_is_removed_is_told_and_begun_again(tmp_path: Path) -> None:
    writer = CycleWriter(tmp_path, header())
    for number in range(10):
        put(writer, number)
    writer.sync(0.0)
    until(lambda: (writer.folder / "readings.csv").read_bytes().count(b"\n") == 11)
    shutil.rmtree(writer.folder)
    numbers = itertools.count(10)

    def next_second() -> int:
        writer.sync(float(number := next(numbers)))
        put(writer, number)
        return number

    told = ""
    while not told:
        next_second()
        told = writer.failure
    assert "the folder was removed or renamed" in told
    until(lambda: next_second() and not writer.failure)
    last = next_second()
    writer.finish("stopped", ENDED_NS)
    assert writer.close()
    cycle = open_cycle(writer.folder)
    times = [reading.time_s for reading in cycle.readings()]
    assert times == [float(number) for number in range(last + 1 - len(times), last + 1)]
    assert cycle.result == "stopped"
    assert writer.unwritten == last + 1 - len(times) >= 10
    assert cycle.summary()["not_written"] == writer.unwritten


@posix
def test_a_disk_that_is_unplugged_is_not_replaced_by_a_folder(tmp_path: Path) -> None:
    mount = tmp_path / "stick"
    writer = CycleWriter(mount, header())
    put(writer, 0)
    writer.sync(0.0)
    until(lambda: (writer.folder / "readings.csv").read_bytes().count(b"\n") == 2)
    shutil.rmtree(mount)
    for second in range(1, 5):
        put(writer, second)
        writer.event(events()[0])
        writer.sync(float(2 * second))
    writer.finish("complete", ENDED_NS)
    assert writer.close()
    assert "is not being written" in writer.failure
    assert not mount.exists()


def test_a_folder_taken_up_again_goes_on_where_its_last_whole_line_ended(tmp_path: Path) -> None:
    record(tmp_path / "model")
    folder = new_folder(tmp_path / "own", header())
    folder.append("readings", [b"1\n", b"2\n", b"cut"])
    folder.close()
    assert folder.rows == 2
    folder.open()
    folder.append("readings", [b"3\n"])
    folder.sync()
    folder.close()
    lines = (folder.path / "readings.csv").read_bytes().split(b"\n")
    assert lines[1:] == [b"1", b"2", b"3", b""]


def test_a_disk_that_does_not_answer_never_holds_up_the_rig(tmp_path: Path) -> None:
    folder = AwkwardFolder(new_folder(tmp_path, header()))
    scribe = Scribe(folder, longest_queue=5)
    scribe.put("readings", b"0\n")
    assert folder.entered.wait(PATIENCE_S)
    for number in range(1, 9):
        scribe.put("readings", b"%d\n" % number)
        scribe.sync()
    assert "the disk does not keep up" in scribe.failure
    assert scribe.unwritten == 4
    assert not scribe.close(0.0)
    folder.let_go.set()
    assert scribe.close(PATIENCE_S)
    assert scribe.failure == ""
    lines = (folder.path / "readings.csv").read_bytes().split(b"\n")
    assert lines[1:-1] == [b"0", b"1", b"2", b"3", b"4"]


def test_the_thread_outlives_an_error_nobody_thought_of(tmp_path: Path) -> None:
    folder = new_folder(tmp_path, header())
    scribe = Scribe(folder, longest_queue=100)
    scribe.put("no such table", b"1\n")
    until(lambda: scribe.failure)
    assert "KeyError" in scribe.failure
    scribe.sync()
    scribe.put("events", b"1\n")
    assert scribe.close(PATIENCE_S)
    assert (folder.path / "events.csv").read_bytes().endswith(b"\n1\n")
