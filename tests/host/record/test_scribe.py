"""A record as long as a day on a disk that keeps up: every row is there, as it was."""

from __future__ import annotations

from pathlib import Path

import msgspec
from patience import until

from glossbath.keeper.cycle_writer import CycleWriter
from glossbath.record import open_cycle
from glossbath.record.folder import new_folder
from glossbath.record.scribe import Scribe

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
