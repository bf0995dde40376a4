"""The thread that writes a record: what it keeps, in which turn, and what it counts as lost."""

from __future__ import annotations

import errno
from pathlib import Path

import msgspec
from patience import PATIENCE_S, until

from glossbath.keeper.cycle_writer import CycleWriter
from glossbath.record import open_cycle
from glossbath.record.folder import new_folder
from glossbath.record.scribe import Scribe

from .awkward_folder import AwkwardFolder
from .sample import ENDED_NS, STARTED_NS, header, reading


def test_a_disk_that_keeps_up_loses_nothing_however_long_the_cycle(tmp_path: Path) -> None:
    # The bound is on what waits, not on what was ever written: a day has 86 400 rows.
    folder = new_folder(tmp_path, header())
    scribe = Scribe(folder, longest_queue=5)
    for number in range(60):
        scribe.put("readings", b"%d\n" % number)
        until(lambda wanted=number: folder.rows == wanted + 1)  # type: ignore[misc]
        until(lambda: scribe._offered == scribe._settled)
    assert scribe.failure == ""
    assert scribe.unwritten == 0
    assert scribe.close(60.0)
    lines = (folder.path / "readings.csv").read_bytes().split(b"\n")
    assert lines[1:-1] == [b"%d" % number for number in range(60)]


def test_what_is_read_is_what_was_written(tmp_path: Path) -> None:
    writer = CycleWriter(tmp_path, header())
    written = [
        msgspec.structs.replace(
            reading(number), heat_share=number / 8, chill_share=1 - number / 8, stir_share=0.25
        )
        for number in range(6)
    ]
    for number, each in enumerate(written):
        writer.reading(
            each,
            board_ticks_ms=number,
            boot_id="9c1f",
            wall_ns=STARTED_NS + number * 10**9,
            monotonic_ns=number,
        )
    writer.finish("complete", ENDED_NS)
    assert writer.close()
    for found, wanted in zip(open_cycle(writer.folder).readings(), written, strict=True):
        for name in ("chocolate_c", "bath_c", "body_c", "heat_share", "chill_share", "stir_share"):
            assert getattr(found, name) == getattr(wanted, name), name
        assert (found.state, found.phase) == (wanted.state, wanted.phase)
        assert found.phase_index == wanted.phase_index


def awkward(tmp_path: Path, longest_queue: int = 5) -> tuple[AwkwardFolder, Scribe]:
    folder = AwkwardFolder(new_folder(tmp_path, header()))
    return folder, Scribe(folder, longest_queue)


def test_a_disk_that_does_not_answer_is_not_asked_again_for_every_second(tmp_path: Path) -> None:
    folder, scribe = awkward(tmp_path)
    scribe.put("readings", b"0\n")
    assert folder.entered.wait(PATIENCE_S)
    for _ in range(50):
        scribe.sync()
    assert scribe._queue.qsize() == 1
    # Python waits at its end for every thread that is no daemon: this one may never come back.
    assert scribe._thread.daemon
    folder.let_go.set()
    assert scribe.close(PATIENCE_S)


def test_rows_that_were_refused_and_rows_that_failed_are_both_missing(tmp_path: Path) -> None:
    folder, scribe = awkward(tmp_path)
    folder.refusal = OSError(errno.ENOSPC, "No space left on device")
    scribe.put("readings", b"0\n")
    assert folder.entered.wait(PATIENCE_S)
    for number in range(1, 9):
        scribe.put("readings", b"%d\n" % number)
    assert scribe.unwritten == 4  # five may wait
    assert "the disk does not keep up" in scribe.failure
    folder.let_go.set()
    until(lambda: scribe.unwritten == 9)
    assert "No space left on device" in scribe.failure


def test_after_a_failure_rows_are_counted_until_the_next_second_and_then_tried_again(
    tmp_path: Path,
) -> None:
    folder, scribe = awkward(tmp_path, 100)
    folder.let_go.set()
    folder.refusal = OSError(errno.ENOSPC, "No space left on device")
    scribe.put("readings", b"0\n")
    until(lambda: scribe.failure)
    folder.refusal = None
    scribe.put("readings", b"1\n")
    until(lambda: scribe.unwritten == 2)  # not tried at once
    scribe.sync()
    until(lambda: not scribe._sync_waits)
    assert scribe.failure  # a disk without room takes a sync too
    scribe.put("readings", b"2\n")
    until(lambda: not scribe.failure)
    scribe.end("complete", "2023-11-14T22:14:20Z")
    assert scribe.close(PATIENCE_S)
    assert folder.written == [b"2\n"]
    facts = open_cycle(folder.path).facts
    assert facts is not None
    assert (facts.result, facts.rows["readings"], facts.not_written) == ("complete", 1, 2)


def test_the_end_is_tried_by_itself_where_the_last_rows_find_no_room(tmp_path: Path) -> None:
    folder, scribe = awkward(tmp_path, 100)
    scribe.put("readings", b"0\n")
    assert folder.entered.wait(PATIENCE_S)
    scribe.put("readings", b"1\n")
    scribe.end("tripped", "2023-11-14T22:14:20Z")
    folder.refusal = OSError(errno.ENOSPC, "No space left on device")
    folder.let_go.set()
    assert scribe.close(PATIENCE_S)
    facts = open_cycle(folder.path).facts
    assert facts is not None
    assert (facts.result, facts.not_written) == ("tripped", 2)
    assert scribe.unwritten == 2


def test_events_go_to_the_disk_before_readings(tmp_path: Path) -> None:
    folder, scribe = awkward(tmp_path, 100)
    scribe.put("readings", b"0\n")
    assert folder.entered.wait(PATIENCE_S)
    for table, line in (("readings", b"1\n"), ("readings", b"2\n"), ("events", b"trip\n")):
        scribe.put(table, line)
    folder.let_go.set()
    assert scribe.close(PATIENCE_S)
    assert folder.written == [b"0\n", b"trip\n", b"1\n", b"2\n"]


def test_a_record_that_was_closed_may_be_closed_again(tmp_path: Path) -> None:
    folder, scribe = awkward(tmp_path)
    folder.let_go.set()
    assert scribe.close(PATIENCE_S)
    assert scribe.close(0.0)
    assert scribe._queue.empty()
