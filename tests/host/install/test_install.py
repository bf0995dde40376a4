"""Installing over a real pseudo-terminal onto MicroPython's unix port, cut at every step."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import termios
import tty
from collections.abc import Iterator
from pathlib import Path

import pytest

from glossbath.errors import InputError, LinkError
from glossbath.install import Bundle, bundle, install, plan
from glossbath.install.procedure import CHIPS
from glossbath.install.shell import Shell, open_shell
from glossbath.install.visit import unseen
from glossbath_board.profiles import OUTPUTS, PROFILES

from .folder_shell import Cut
from .pty_board import PICO, RUN, STAND_IN

pytestmark = pytest.mark.skipif(
    __import__("importlib.util").util.find_spec("micropython_run") is None,
    reason="MicroPython's unix port has no wheel for this platform",
)


@contextlib.contextmanager
def board(flash: Path, machine: str = PICO) -> Iterator[str]:
    """A board whose file system is flash, at its raw prompt; gives its port."""
    near, far = os.openpty()
    tty.setraw(far)
    process = subprocess.Popen(
        [sys.executable, "-I", "-c", RUN, str(STAND_IN / "raw_prompt.py"), str(STAND_IN), machine],
        stdin=near,
        stdout=near,
        stderr=subprocess.DEVNULL,
        cwd=flash,
    )
    try:
        yield os.ttyname(far)
    finally:
        process.kill()
        process.wait()
        os.close(near)
        os.close(far)


def _small(content: bytes = b"VERSION = 1\n", root: bytes = b"# main\n") -> Bundle:
    """A firmware of three files, so that every cut can be tried."""
    files = {
        "glossbath_board/__init__.py": b"",
        "glossbath_board/version.py": content,
        "simple_pid/__init__.py": b"PID = 1\n",
    }
    folder = f"firmware-{sum(content):012x}"
    return Bundle("rpi_pico", folder, files, {"boot.py": b"# boot\n", "main.py": root})


def _install(flash: Path, files: Bundle) -> list[str]:
    said: list[str] = []
    with board(flash) as port, open_shell(port) as shell:
        install(shell, files, said.append)
    return said


def _starts(flash: Path) -> bytes | None:
    """What main.py would start: the version file of the active firmware, or nothing."""
    if not (flash / "active").exists():
        return None
    folder = flash / (flash / "active").read_text().strip()
    whole = [folder / "simple_pid/__init__.py", folder / "glossbath_board/__init__.py"]
    assert all(path.exists() for path in whole)
    return (folder / "glossbath_board/version.py").read_bytes()


def test_whole_firmware_arrives_with_its_hashes(tmp_path: Path) -> None:
    files = bundle("rpi_pico", compiled=False)
    _install(tmp_path, files)
    for name, data in files.files.items():
        assert (tmp_path / files.folder / name).read_bytes() == data
    assert (tmp_path / "active").read_text() == files.folder
    with board(tmp_path) as port, open_shell(port) as shell:
        again = plan(shell, files)
    assert again.already_active
    assert again.write == ()


def test_upgrade_keeps_settings_and_removes_the_old_firmware(tmp_path: Path) -> None:
    (tmp_path / "settings.a").write_text("mine")
    _install(tmp_path, _small(b"VERSION = 1\n"))
    _install(tmp_path, _small(b"VERSION = 2\n"))
    assert _starts(tmp_path) == b"VERSION = 2\n"
    assert (tmp_path / "settings.a").read_text() == "mine"
    assert len(list(tmp_path.glob("firmware-*"))) == 1


def test_upgrade_from_0_1_0_leaves_none_of_its_files(tmp_path: Path) -> None:
    # The names of version 0.1.0's modules, in its installer's folder and loose beside main.py.
    first = ("__init__", "course", "evidence", "split", "teller", "trial", "values", "workshop")
    for folder in ("firmware-0123456789ab", "."):
        for name in first:
            path = tmp_path / folder / "glossbath_board" / f"{name}.py"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text("OLD = 1\n")
        (tmp_path / folder / "simple_pid").mkdir()
        (tmp_path / folder / "simple_pid" / "pid.py").write_text("OLD = 1\n")
    (tmp_path / "active").write_text("firmware-0123456789ab")
    (tmp_path / "main.py.new").write_text("# cut")
    kept = ("settings.a", "trip.b", "starts.a", "commission.txt")  # all that is not firmware
    for name in kept:
        (tmp_path / name).write_text("mine")
    files = bundle("rpi_pico", compiled=False)
    _install(tmp_path, files)
    wanted = {f"{files.folder}/{name}" for name in files.files} | {
        *kept,
        "active",
        "begun",
        *files.root,
    }
    found = {p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*") if p.is_file()}
    assert found == wanted
    assert all((tmp_path / name).read_text() == "mine" for name in kept)


class CutShell(Shell):
    """A shell whose line breaks after so many changes to the board's files."""

    def __init__(self, shell: Shell, changes: int) -> None:
        super().__init__(shell._transport)
        self._left = changes

    def _change(self) -> None:
        if self._left == 0:
            raise Cut
        self._left -= 1

    def write(self, path: str, data: bytes) -> None:
        self._change()
        super().write(path, data)

    def rename(self, old: str, new: str) -> None:
        self._change()
        super().rename(old, new)

    def remove(self, path: str) -> None:
        self._change()
        super().remove(path)


@pytest.mark.parametrize("changes", [3, 9, 13])
def test_installation_over_a_line_that_is_cut_is_finished_by_the_next(
    tmp_path: Path, changes: int
) -> None:
    old, new = _small(b"VERSION = 1\n", b"# first\n"), _small(b"VERSION = 2\n", b"# second\n")
    _install(tmp_path, old)
    with board(tmp_path) as port, open_shell(port) as shell, contextlib.suppress(Cut):
        install(CutShell(shell, changes), new, lambda _: None)
    assert _starts(tmp_path) in (b"VERSION = 1\n", b"VERSION = 2\n")
    _install(tmp_path, new)
    assert _starts(tmp_path) == b"VERSION = 2\n"
    assert (tmp_path / "main.py").read_bytes() == b"# second\n"


def test_damaged_file_of_the_firmware_that_runs_is_mended(tmp_path: Path) -> None:
    _install(tmp_path, _small())
    broken = tmp_path / _small().folder / "glossbath_board/version.py"
    broken.write_bytes(b"VERSI\xff")
    (tmp_path / _small().folder / "simple_pid/__init__.py").unlink()
    said = _install(tmp_path, _small())
    assert sum(line.startswith("replace") for line in said) == 2
    assert _starts(tmp_path) == b"VERSION = 1\n"
    assert not list(tmp_path.rglob("*.new"))


@pytest.mark.parametrize(
    ("machine", "advice"),
    [
        # How MicroPython's ports name themselves: board, "with", chip (from memory).
        ("Raspberry Pi Pico 2 with RP2350", "give --board rpi_pico2"),
        ("Raspberry Pi Pico 2 with RP2350-RISCV", "give --board rpi_pico2"),
        ("Generic ESP32 module with ESP32", "use one of rpi_pico, rpi_pico2"),
        ("", "use one of"),
    ],
)
def test_firmware_for_another_board_is_refused(tmp_path: Path, machine: str, advice: str) -> None:
    refused = pytest.raises(InputError, match=f"calls itself '.*RP2040: {advice}")
    with board(tmp_path, machine) as port, open_shell(port) as shell, refused:
        install(shell, _small(), lambda _: None)
    assert list(tmp_path.iterdir()) == []


def test_every_profile_has_its_chip() -> None:
    assert set(CHIPS) == set(PROFILES)


def test_old_interpreter_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("glossbath.install.procedure.OLDEST", (9, 0, 0))
    refused = pytest.raises(InputError, match=r"needs MicroPython 9\.0\.0 or newer")
    with board(tmp_path) as port, open_shell(port) as shell, refused:
        install(shell, _small(), lambda _: None)
    assert list(tmp_path.iterdir()) == []


def test_port_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(LinkError), open_shell(str(tmp_path / "nothing"), 0.5):
        pass


@pytest.mark.parametrize("name", sorted(PROFILES))
def test_root_files_name_the_pins_of_the_board(name: str) -> None:
    files = bundle(name, compiled=False)
    numbers = "(" + ", ".join(str(PROFILES[name][output]) for output in OUTPUTS) + ")"
    assert numbers.encode() in files.root["boot.py"]
    assert numbers.encode() in files.root["main.py"]
    assert f'BOARD = "{name}"'.encode() in files.files["glossbath_board/pins.py"]


def test_a_board_behind_a_bridge_is_spoken_to_at_the_prompts_own_speed(tmp_path: Path) -> None:
    # MicroPython's prompt on a UART: 115,200 baud (its documentation; from memory).
    with board(tmp_path) as port, open_shell(port):
        far = os.open(port, os.O_RDONLY | os.O_NOCTTY | os.O_NONBLOCK)
        try:
            speeds = termios.tcgetattr(far)[4:6]
        finally:
            os.close(far)
    assert speeds == [termios.B115200, termios.B115200]


def test_what_would_be_written_is_told_without_a_board() -> None:
    files = _small(b"x" * 41_900)
    first, *rest = unseen(files)
    # 41,900 bytes, and 25 of the others.
    assert first.startswith(f"Firmware {files.folder} for rpi_pico, 41 kB.")
    assert rest == [f"would write {files.folder}/{name}" for name in sorted(files.files)] + [
        "would write boot.py",
        "would write main.py",
    ]


def test_compiled_firmware_is_smaller() -> None:
    plain, compiled = bundle("rpi_pico", compiled=False), bundle("rpi_pico")
    assert compiled.size < plain.size
    modules = {name.rpartition(".")[0] for name in plain.files}
    assert {name.rpartition(".")[0] for name in compiled.files} == modules
    assert all(name.endswith((".mpy", "__init__.py")) for name in compiled.files)
