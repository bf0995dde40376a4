"""The whole visit of an installer over a port that vanishes at every reset and returns."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

from glossbath.board.portlock import PortLock
from glossbath.errors import InputError, LinkError, OrderRefused
from glossbath.install import Bundle
from glossbath.install.bundle import folder_name
from glossbath.install.visit import visit
from glossbath_board.version import VERSION

from .pty_board import OLD, PtyBoard, plugged

pytestmark = pytest.mark.skipif(
    importlib.util.find_spec("micropython_run") is None,
    reason="MicroPython's unix port has no wheel for this platform",
)


def firmware(content: bytes) -> Bundle:
    files = {"glossbath_board/version.py": content, "simple_pid/__init__.py": b"PID = 1\n"}
    root = {"boot.py": b"# boot\n", "main.py": b"# main\n"}
    return Bundle("rpi_pico", folder_name(files, root), files, root)


OLD_FIRMWARE, NEW = firmware(b"VERSION = 1\n"), firmware(b"VERSION = 2\n")


def board_with_old(folder: Path, **options: object) -> PtyBoard:
    """A board on which the old firmware is installed."""
    board = PtyBoard(folder, **options)  # type: ignore[arg-type]
    for name, data in OLD_FIRMWARE.files.items():
        path = board.flash / OLD_FIRMWARE.folder / name
        path.parent.mkdir(parents=True)
        path.write_bytes(data)
    for name, data in OLD_FIRMWARE.root.items():
        (board.flash / name).write_bytes(data)
    (board.flash / "active").write_text(OLD_FIRMWARE.folder)
    board.old_folder = OLD_FIRMWARE.folder
    return board


def test_installing_over_a_running_firmware_takes_one_try(tmp_path: Path) -> None:
    told: list[str] = []
    with plugged(board_with_old(tmp_path)) as board:
        last = visit(board.port, NEW, False, told.append)
        assert board.phases == ["firmware", "prompt", "firmware"]
    assert told[0] == "The firmware lets other tools in; the board restarts."
    assert last[:2] == ["Done.", f"The board runs firmware {VERSION}."]
    assert (tmp_path / "flash" / "active").read_text() == NEW.folder


def test_a_board_that_takes_long_to_come_back_is_waited_for_and_said(tmp_path: Path) -> None:
    told: list[str] = []
    with plugged(board_with_old(tmp_path, away_s=4.5)) as board:
        last = visit(board.port, NEW, False, told.append)
    assert any(line.startswith("waiting for the board's port") for line in told)
    assert last[1] == f"The board runs firmware {VERSION}."


def test_a_dry_run_leaves_the_firmware_running(tmp_path: Path) -> None:
    with plugged(board_with_old(tmp_path)) as board:
        last = visit(board.port, NEW, True, lambda _: None)
        assert board.runs == "firmware"
    assert any(line.startswith("would write") for line in last)
    assert last[-1] == f"The board runs firmware {OLD}."


def test_a_board_left_at_its_prompt_is_started_by_a_dry_run(tmp_path: Path) -> None:
    board = board_with_old(tmp_path)
    board.at_prompt = True
    with plugged(board):
        last = visit(board.port, NEW, True, lambda _: None)
        assert board.phases == ["prompt", "firmware"]
    assert last[-1] == f"The board runs firmware {OLD}."


def test_a_refusal_leaves_the_firmware_running_and_says_so(tmp_path: Path) -> None:
    with (
        plugged(board_with_old(tmp_path, machine="Raspberry Pi Pico 2 with RP2350")) as board,
        pytest.raises(InputError, match=f"--board rpi_pico2.*The board runs firmware {OLD}"),
    ):
        try:
            visit(board.port, NEW, False, lambda _: None)
        finally:
            assert board.runs == "firmware"


def test_an_empty_board_is_said_to_have_none(tmp_path: Path) -> None:
    with plugged(PtyBoard(tmp_path)) as board:
        last = visit(board.port, NEW, True, lambda _: None)
        assert last[-1] == "There is no firmware on the board yet."
        last = visit(board.port, NEW, False, lambda _: None)
        assert last[1] == f"The board runs firmware {VERSION}."


def test_a_restart_by_the_installer_is_not_counted_as_a_reset(tmp_path: Path) -> None:
    with plugged(board_with_old(tmp_path)) as board:
        visit(board.port, NEW, False, lambda _: None)
    assert (tmp_path / "flash" / "begun").read_text() == "e"


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ({"ok": 0, "why": "state", "at": "running"}, "while it is running: stop the cycle first"),
        ({"ok": 0, "why": "busy", "at": "h"}, "Another computer steers this board"),
    ],
)
def test_a_firmware_that_is_busy_goes_on(
    tmp_path: Path, answer: dict[str, object], said: str
) -> None:
    board = board_with_old(tmp_path)
    board.refuses = answer
    with plugged(board):
        with pytest.raises(OrderRefused, match=said):
            visit(board.port, NEW, False, lambda _: None)
        assert board.phases == ["firmware"]


def test_a_port_that_a_keeper_owns_is_left_alone_and_its_owner_named(tmp_path: Path) -> None:
    with plugged(board_with_old(tmp_path)) as board:
        lock = PortLock(board.port, "a keeper")
        assert lock.take() == ""
        try:
            with pytest.raises(LinkError, match=r"held by a keeper \(process \d+\): end that"):
                visit(board.port, NEW, False, lambda _: None)
        finally:
            lock.release()
        assert board.phases == ["firmware"]


def test_a_firmware_that_does_not_start_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("glossbath.install.maintenance._START_S", 0.5)
    with plugged(PtyBoard(tmp_path)) as board:
        board._firmware = lambda near: board._ending.wait(20)  # type: ignore[assignment,method-assign,return-value]
        last = visit(board.port, NEW, False, lambda _: None)
    assert last[1].startswith("The board's firmware does not answer: unplug it")


def test_a_cable_that_is_pulled_leaves_a_sentence_and_the_old_firmware(tmp_path: Path) -> None:
    board = board_with_old(tmp_path)
    board.start()

    def show(line: str) -> None:
        if line.startswith("write"):
            board.stop()

    with pytest.raises(LinkError, match=r"broke.*unplugged and plugged in.*then install again"):
        visit(board.port, NEW, False, show)
    assert (tmp_path / "flash" / "active").read_text() == OLD_FIRMWARE.folder
    again = PtyBoard(tmp_path)
    again.old_folder = OLD_FIRMWARE.folder
    with plugged(again):
        last = visit(again.port, NEW, False, lambda _: None)
    assert last[1] == f"The board runs firmware {VERSION}."
