"""Runs the real firmware as a process: under MicroPython's unix port, or under CPython.

The firmware's standard input and output are its USB port; two more pipes carry pins, buses and
time to and from the bench.
"""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path

from glossbath.errors import GlossbathError
from glossbath_board import files

_STAND_INS = Path(__file__).parent / "board"
_MICROPYTHON = (
    "import sys; from micropython_run import run_main; run_main(['micropython'] + sys.argv[1:])"
)


def firmware_folder() -> Path:
    """The folder whose content lies at the root of a board: boot.py and main.py."""
    import glossbath_board

    package = Path(glossbath_board.__file__).parent
    for folder in (package.parent, package / "root"):
        if all((folder / name).is_file() for name in files.START_FILES):
            return folder
    raise GlossbathError(f"The firmware's boot.py and main.py are missing beside {package}.")


def micropython_is_here() -> bool:
    """Whether MicroPython's unix port is installed for this platform."""
    return importlib.util.find_spec("micropython_run") is not None


class Engine:
    """One run of the firmware, from power-up to reset or power cut.

    flash is the folder that stands for the board's file system. Raises GlossbathError where the
    firmware cannot be found.
    """

    def __init__(self, flash: Path, micropython: bool, heap_bytes: int = 2_000_000) -> None:
        self._flash = flash
        self._micropython = micropython
        self._heap_bytes = heap_bytes
        self._install_libraries()
        self._process: subprocess.Popen[bytes] | None = None
        self._fds: list[int] = []

    def _install_libraries(self) -> None:
        """Put simple_pid and the firmware's package where an installer puts them: into a folder
        that is named after its content, which main.py finds by the file `active`."""
        self._flash.mkdir(parents=True, exist_ok=True)
        new = self._flash.parent / "new"
        shutil.rmtree(new, ignore_errors=True)
        for name in ("simple_pid", "glossbath_board"):
            found = importlib.util.find_spec(name)
            if found is None or found.origin is None:
                raise GlossbathError(f"The package {name} is missing: install Glossbath again.")
            shutil.copytree(
                Path(found.origin).parent,
                new / name,
                ignore=shutil.ignore_patterns("__pycache__", "*.pyi", "py.typed", "root"),
            )
        for name in files.START_FILES:
            shutil.copyfile(firmware_folder() / name, self._flash / name)
        identity = files.identity(str(new), str(self._flash))
        place = self._flash.parent / (files.PREFIX + identity)
        if place.exists():
            shutil.rmtree(new)
        else:
            new.rename(place)
        (self._flash / "active").write_text(str(place))

    def start(self) -> None:
        """Power up. Afterwards bench_in, bench_out, usb_in and usb_out are open descriptors."""
        from_rig, self.bench_out = os.pipe()
        self.bench_in, to_rig = os.pipe()
        usb_from_rig, self.usb_out = os.pipe()
        self.usb_in, usb_to_rig = os.pipe()
        self._fds = [self.bench_out, self.bench_in, self.usb_out, self.usb_in]
        os.set_blocking(self.usb_in, False)
        os.set_blocking(self.usb_out, False)
        firmware = str(firmware_folder())
        words = [str(_STAND_INS / "power_up.py"), str(_STAND_INS), firmware]
        run = [sys.executable, "-I"]
        if self._micropython:
            run += ["-c", _MICROPYTHON, "-X", f"heapsize={self._heap_bytes}"]
        try:
            with open(self._flash.parent / "firmware-errors.txt", "ab") as errors:
                self._process = subprocess.Popen(
                    run + words,
                    stdin=usb_from_rig,
                    stdout=usb_to_rig,
                    stderr=errors,
                    cwd=self._flash,
                    pass_fds=(from_rig, to_rig),
                    env={"RIG_FDS": f"{from_rig},{to_rig}", "PATH": os.environ.get("PATH", "")},
                )
        finally:
            for number in (from_rig, to_rig, usb_from_rig, usb_to_rig):
                os.close(number)

    @property
    def pid(self) -> int:
        """The firmware's process."""
        assert self._process is not None
        return self._process.pid

    def stop(self) -> None:
        """Cut the power."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None
        for number in self._fds:
            os.close(number)
        self._fds = []
