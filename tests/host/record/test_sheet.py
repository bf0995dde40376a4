"""One table on a disk that takes a few bytes at a time, or none in the middle of a line.

write(2) may take less than it was given; what it took before it failed stays in the file.
"""

from __future__ import annotations

import errno
import hashlib
import os
from pathlib import Path

import pytest

from glossbath.record.sheet import Sheet, replace_file

HEADING = b"time_s,state\n"


@pytest.fixture
def sheet(tmp_path: Path) -> Sheet:
    made = Sheet(tmp_path / "readings.csv", HEADING)
    made.open()
    return made


def takes(monkeypatch: pytest.MonkeyPatch, at_once: int, most: int | None = None) -> None:
    """Let the disk take so many bytes at once, and so many in all before it is full."""
    real = os.write
    left = {"bytes": most}

    def write(file: int, data: bytes) -> int:
        size = min(at_once, len(data))
        if left["bytes"] is not None:
            size = min(size, left["bytes"])
            if not size:
                raise OSError(errno.ENOSPC, "No space left on device")
            left["bytes"] -= size
        return real(file, data[:size])

    monkeypatch.setattr(os, "write", write)


def _agrees(sheet: Sheet, content: bytes) -> None:
    assert sheet.path.read_bytes() == content
    assert sheet.size == len(content)
    assert sheet.rows == content.count(b"\n") - 1
    assert sheet.sha256() == hashlib.sha256(content).hexdigest()


def test_a_table_has_its_heading_and_every_line(sheet: Sheet) -> None:
    _agrees(sheet, HEADING)
    sheet.append([])
    sheet.append([b"1,a\n", b"2,b\n"])
    sheet.append([b"3,c\n"])
    _agrees(sheet, HEADING + b"1,a\n2,b\n3,c\n")


def test_what_is_taken_a_few_bytes_at_a_time_is_whole(
    sheet: Sheet, monkeypatch: pytest.MonkeyPatch
) -> None:
    takes(monkeypatch, 3)
    sheet.append([b"1,running\n", b"2,held\n"])
    _agrees(sheet, HEADING + b"1,running\n2,held\n")
    replace_file(sheet.path, b"something else\n" * 3)
    assert sheet.path.read_bytes() == b"something else\n" * 3


@pytest.mark.parametrize(
    ("most", "kept"),
    [(0, b""), (3, b""), (4, b"1,a\n"), (7, b"1,a\n"), (8, b"1,a\n2,b\n"), (11, b"1,a\n2,b\n")],
)
def test_a_disk_that_is_full_in_a_line_keeps_the_lines_before_it(
    sheet: Sheet, monkeypatch: pytest.MonkeyPatch, most: int, kept: bytes
) -> None:
    takes(monkeypatch, 5, most)
    with pytest.raises(OSError, match="No space left"):
        sheet.append([b"1,a\n", b"2,b\n", b"3,c\n"])
    _agrees(sheet, HEADING + kept)
    monkeypatch.undo()
    sheet.append([b"4,d\n"])
    _agrees(sheet, HEADING + kept + b"4,d\n")


def test_a_table_taken_up_again_counts_what_is_there_and_leaves_half_a_line_out(
    sheet: Sheet, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheet.append([b"1,a\n", b"2,b\n"])
    sheet.close()
    sheet.close()  # once more does no harm
    with sheet.path.open("ab") as file:
        file.write(b"3,")
    monkeypatch.setattr("glossbath.record.sheet._CHUNK_BYTES", 5)
    again = Sheet(sheet.path, HEADING)
    assert again.rows == 0
    again.open()
    _agrees(again, HEADING + b"1,a\n2,b\n")
    again.append([b"3,c\n"])
    _agrees(again, HEADING + b"1,a\n2,b\n3,c\n")
    again.close()


@pytest.mark.parametrize("instead", ["nothing", "another file"])
def test_a_table_that_somebody_took_away_is_noticed_when_the_disk_has_it(
    sheet: Sheet, instead: str
) -> None:
    sheet.sync()
    sheet.path.rename(sheet.path.with_suffix(".moved"))
    if instead == "another file":
        sheet.path.write_bytes(HEADING)
    with pytest.raises(FileNotFoundError, match="the folder was removed or renamed"):
        sheet.sync()


def test_what_an_attempt_before_has_left_does_not_stand_in_the_new_content(
    tmp_path: Path,
) -> None:
    path = tmp_path / "datapackage.json"
    path.with_name("datapackage.json.new").write_bytes(b"x" * 500)
    replace_file(path, b"{}\n")
    assert path.read_bytes() == b"{}\n"
    assert [each.name for each in tmp_path.iterdir()] == ["datapackage.json"]


def test_content_that_cannot_be_written_leaves_the_old(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "datapackage.json"
    replace_file(path, b"old\n")
    before = len(os.listdir("/proc/self/fd")) if Path("/proc/self/fd").exists() else None
    takes(monkeypatch, 2, 3)
    with pytest.raises(OSError, match="No space left"):
        replace_file(path, b"new content\n")
    assert path.read_bytes() == b"old\n"
    if before is not None:
        assert len(os.listdir("/proc/self/fd")) == before
